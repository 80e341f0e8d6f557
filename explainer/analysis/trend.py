"""Does a numbered series drift, and by how much per step?

Over several items: one Theil–Sen slope per item (Theil 1950, Sen 1968), then a t interval over
the items' slopes.  For a single series: the Mann–Kendall test (Mann 1945, Kendall 1975), held
again with fewer effective readings where neighbours resemble each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri

from explainer.analysis.change import mean_change
from explainer.analysis.result import Estimate, Undefined
from explainer.analysis.sample import Array, pairs, readings

#: A rank test on fewer readings cannot tell a trend from chance.
FEWEST_FOR_TREND = 4


class SenSlope(NamedTuple):
    """The median pairwise slope, in y's unit per x's, with Sen's rank-based range.

    An end is None where so few pairs exist that the range would reach past the last of them.
    """

    slope: float
    low: float | None
    high: float | None


@dataclass(frozen=True)
class MannKendall:
    """The Mann–Kendall test of one series for a drift in one direction."""

    s: int
    """Pairs that rise minus pairs that fall."""
    var: float
    """Variance of S without a trend, ties counted."""
    z: float
    """(S ∓ 1)/√var: with the continuity correction."""
    p: float
    """Two-sided."""
    n: int


def theil_sen(
    x: npt.ArrayLike, y: npt.ArrayLike, level: float = 0.95, widened: float = 1.0
) -> SenSlope | Undefined:
    """Median of the slopes between all pairs of points with different x (Sen 1968).

    ``x`` and ``y`` of equal length; pairs with NaN are left out.  The range takes the slopes at
    the ranks Sen gives, with the variance of S corrected for ties in x and y, and ``widened``
    times as large where neighbors are alike (``crowding``).
    """
    # As scipy's ``theilslopes``, but that it gives the outermost slope as an end of the range where
    # so few pairs cannot have one.
    a, b = pairs(x, y)
    n = a.size
    if n < 2 or np.ptp(a) == 0:
        return Undefined("too-few-readings" if n < 2 else "no-spread", 1, "Theil–Sen slope")
    first, second = np.triu_indices(n, 1)
    run = a[second] - a[first]
    apart = run != 0
    slopes = np.sort((b[second] - b[first])[apart] / run[apart])
    count = slopes.size
    reach = float(ndtri((1 + level) / 2)) * float(np.sqrt(max(widened * _variance_of_s(a, b), 0.0)))
    low = round((count - reach) / 2) - 1
    high = round((count + reach) / 2)
    return SenSlope(
        float(np.median(slopes)),
        float(slopes[low]) if low >= 0 else None,
        float(slopes[high]) if high < count else None,
    )


def item_slopes(
    series: Sequence[tuple[npt.ArrayLike, npt.ArrayLike]],
) -> tuple[float | None, ...]:
    """Each item's Theil–Sen slope, from its (x, y); None where an item has no slope."""
    fits = (theil_sen(x, y) for x, y in series)
    return tuple(None if isinstance(fit, Undefined) else fit.slope for fit in fits)


def trend_over_items(slopes: Sequence[float | None] | Array) -> Estimate | Undefined:
    """The mean of the items' slopes with t ranges over items; missing slopes are left out."""
    known = np.array([s for s in slopes if s is not None and np.isfinite(s)], dtype=np.float64)
    return mean_change(known)


def mann_kendall(y: npt.ArrayLike) -> MannKendall | Undefined:
    """Mann–Kendall test of ``y`` in order, with ties and continuity correction; NaN left out."""
    # Neither library has it with the continuity correction: scipy's ``kendalltau`` leaves that out,
    # and its p is a fifth smaller for ten readings, on the side of seeing a drift.
    values = readings(y)
    n = values.size
    if n < FEWEST_FOR_TREND:
        return Undefined("too-few-readings", 1, "Mann–Kendall")
    first, second = np.triu_indices(n, 1)
    s = int(np.sum(np.sign(values[second] - values[first])))
    var = _variance_of_s(np.arange(n, dtype=np.float64), values)
    if var <= 0:
        return Undefined("no-spread", 1, "Mann–Kendall")
    z = (s - np.sign(s)) / np.sqrt(var)
    return MannKendall(s, var, float(z), float(2 * ndtr(-abs(z))), n)


def lag1(residuals: npt.ArrayLike) -> float | None:
    """Correlation of each residual with the next (r₁ about their mean); None without spread."""
    e = readings(residuals)
    if e.size < FEWEST_FOR_TREND:
        return None
    e = e - e.mean()
    largest = float(np.max(np.abs(e)))
    if largest == 0:
        return None
    e = e / largest
    return float(np.sum(e[1:] * e[:-1]) / np.sum(e * e))


def p_lag1(y: npt.ArrayLike, x: npt.ArrayLike | None = None) -> float | None:
    """Mann–Kendall p with n_eff = n(1−r₁)/(1+r₁) readings in place of n.

    r₁ comes from the residuals about the Theil–Sen line.  The variance of S grows by n/n_eff
    (Hamed & Rao 1998 in its first-lag form).  A negative r₁ is taken as 0: it would only make a
    trend look surer.  None where the test or r₁ does not exist.
    """
    test = mann_kendall(y)
    widened = crowding(y, x)
    if isinstance(test, Undefined) or widened is None:
        return None
    return float(2 * ndtr(-abs(test.z / np.sqrt(widened))))


def crowding(y: npt.ArrayLike, x: npt.ArrayLike | None = None) -> float | None:
    """By how much the variance of S grows where neighbors resemble each other: (1+r₁)/(1−r₁).

    1 for a negative r₁; None where there is no line or no spread about it.
    """
    b = np.asarray(y, dtype=np.float64)
    a = np.arange(b.size, dtype=np.float64) if x is None else np.asarray(x, dtype=np.float64)
    a, b = pairs(a, b)
    line = theil_sen(a, b)
    if isinstance(line, Undefined):
        return None
    rest = b - line.slope * a
    # What is left of an exact line is rounding, and has no neighbours to resemble.
    r1 = 0.0 if np.ptp(rest) <= 1e-12 * np.max(np.abs(b)) else lag1(rest)
    if r1 is None:
        return None
    r1 = min(max(r1, 0.0), 0.999)
    return (1 + r1) / (1 - r1)


def _variance_of_s(x: Array, y: Array) -> float:
    """Variance of Kendall's S without a trend, ties taken off in both (Sen 1968, eq. 2.6)."""
    n = x.size
    total = float(n * (n - 1) * (2 * n + 5))
    for values in (x, y):
        k = np.unique(values, return_counts=True)[1].astype(np.float64)
        total -= float(np.sum(k * (k - 1) * (2 * k + 5)))
    return total / 18
