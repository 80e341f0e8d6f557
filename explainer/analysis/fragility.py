"""Does one item, or one checkpoint, carry a finding?  Leave each out and look."""

from __future__ import annotations

import math
from collections.abc import Sequence

#: Less than this share of the estimate left: the finding leaned on what was left out.  Our own
#: threshold, settable in a study.
HALVING = 0.5


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
    """The value, or None where it is none or not finite."""
    return float(value) if value is not None and math.isfinite(value) else None
