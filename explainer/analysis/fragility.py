"""Does one item, or one checkpoint, carry a finding?  Leave each out and look."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

#: Less than this share of the estimate left: the finding leaned on what was left out.  Our own
#: threshold, settable in a study.
HALVING = 0.5


def drop_each(
    statistic: Callable[..., float | None],
    *columns: npt.ArrayLike,
    by: npt.ArrayLike | None = None,
) -> tuple[float | None, ...]:
    """``statistic(*columns)`` without each row in turn.

    With ``by``, a label per row, without each label's rows in turn, in order of appearance: one
    item, or one checkpoint.  None where the statistic is None or not finite.
    """
    arrays = [np.asarray(c) for c in columns]
    labels = np.arange(len(arrays[0])) if by is None else np.asarray(by)
    answers = []
    for label in dict.fromkeys(labels.tolist()):
        keep = labels != label
        value = statistic(*(a[keep] for a in arrays)) if keep.any() else None
        answers.append(_finite(value))
    return tuple(answers)


def is_fragile(
    full: float | None, without: Sequence[float | None], halving: float = HALVING
) -> tuple[bool, int]:
    """Is there one whose leaving turns the estimate round, undoes it or more than halves it?

    Also the place of the one whose leaving takes away most; −1 where there are none.  An estimate
    of 0 or None has nothing to lose.
    """
    whole = _finite(full)
    if not without or whole is None or whole == 0:
        return False, -1
    left = [-math.inf if _finite(w) is None else float(w) / whole for w in without]  # type: ignore[arg-type]
    worst = min(range(len(left)), key=left.__getitem__)
    return left[worst] < halving, worst


def _finite(value: float | None) -> float | None:
    return float(value) if value is not None and math.isfinite(value) else None
