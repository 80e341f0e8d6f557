"""Did most of a change happen early, and does it level off?

The share of the total change done by a checkpoint named beforehand is a ratio of two means over
the same items; its range is Fieller's (Fieller 1954).  The shape of the whole course is a
description only, by AICc (Burnham & Anderson 2002), and never carries a verdict.
"""

from __future__ import annotations

from dataclasses import dataclass


import numpy as np
import numpy.typing as npt

from explainer.analysis.change import mean_change
from explainer.analysis.fieller import fieller
from explainer.analysis.result import Estimate, Interval, Undefined

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class BreakIn:
    """The share of the total change that had happened by the early checkpoint."""

    share: float
    """mean(early)/mean(total): 1 is all of it, above 1 an overshoot."""
    at95: Interval
    at90: Interval
    at80: Interval
    total: Estimate
    """The total change over items, in the measure's unit."""
    n_items: int
    method: str = "ratio of mean changes, Fieller"


def break_in(early: npt.ArrayLike, total: npt.ArrayLike) -> BreakIn | Undefined:
    """The share of each item's ``total`` change done ``early``, over items.

    ``early`` a_i = y at the named checkpoint − y at the start, ``total`` b_i = y at the end − y
    at the start, one pair per item; pairs with NaN are left out.  Undefined (``no-change``) unless
    the total change's 95% range excludes 0: a share of nothing has no meaning.
    """
    method = BreakIn.method
    a, b = np.asarray(early, dtype=np.float64), np.asarray(total, dtype=np.float64)
    both = np.isfinite(a) & np.isfinite(b)
    a, b = a[both], b[both]
    change = mean_change(b)
    if isinstance(change, Undefined):
        return Undefined(change.why, a.size, method)
    share = float(a.mean() / b.mean()) if b.mean() != 0 else None
    if not change.at95.excludes(0.0) or share is None:
        return Undefined("no-change", a.size, method, share)
    return BreakIn(
        share, fieller(a, b, 0.95), fieller(a, b, 0.90), fieller(a, b, 0.80), change, a.size
    )


def rates(
    early: npt.ArrayLike, late: npt.ArrayLike, span_early: float, span_late: float
) -> Estimate | Undefined:
    """Early change per use minus late change per use: paired t over items.

    ``early`` and ``late`` are each item's change over spans of ``span_early`` and ``span_late``
    uses (games); the result is in the measure's unit per use.  With a fall, a negative value
    says that it slows.  ValueError unless both spans are positive.
    """
    if span_early <= 0 or span_late <= 0:
        raise ValueError("a rate needs a positive span of use")
    a, b = np.asarray(early, dtype=np.float64), np.asarray(late, dtype=np.float64)
    both = np.isfinite(a) & np.isfinite(b)
    return mean_change(a[both] / span_early - b[both] / span_late)
