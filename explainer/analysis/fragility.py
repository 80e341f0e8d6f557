"""Does one item, or one checkpoint, carry the finding?"""

from __future__ import annotations

from collections.abc import Sequence


def is_fragile(
    full: float, without: Sequence[float | None], halving: float = 0.5
) -> tuple[bool, int]:
    """Whether leaving one out turns the estimate round, undefines it or more than halves it.

    ``full`` the estimate with all, ``without`` the same with each one left out in turn (None
    where it does not exist then).  The index is that of the one whose leaving leaves least of
    the finding; −1 where nothing was left out.  ``halving`` .5 is ours (no standard).
    """
    if not without or full == 0:
        return False, -1
    sign = 1.0 if full > 0 else -1.0
    left = [float("-inf") if v is None else v * sign for v in without]
    which = min(range(len(left)), key=left.__getitem__)
    return left[which] < halving * abs(full), which
