"""A numbered series: does it drift, does it jump once, which readings stand apart?

Over several items: one Theil–Sen slope per item (Theil 1950, Sen 1968), then a t interval over
the items' slopes.  For a single series: the Mann–Kendall test (Mann 1945, Kendall 1975), held
again with fewer effective readings where neighbours resemble each other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri

from explainer.analysis.change import mean_change
from explainer.analysis.result import Estimate, Undefined
from explainer.analysis.sample import Array, pairs, readings
from explainer.study.thresholds import THRESHOLDS

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
        why = "too-few-readings" if n < 2 else "no-spread"
        return Undefined(why, 1, "Theil–Sen slope", None, FEWEST_FOR_TREND)
    slopes = _slopes_of_pairs(a, b)
    slopes.sort()
    count = slopes.size
    reach = float(ndtri((1 + level) / 2)) * float(np.sqrt(max(widened * _variance_of_s(a, b), 0.0)))
    low = round((count - reach) / 2) - 1
    high = round((count + reach) / 2)
    return SenSlope(
        float(slopes[(count - 1) // 2] + slopes[count // 2]) / 2,
        float(slopes[low]) if low >= 0 else None,
        float(slopes[high]) if high < count else None,
    )


def _slopes_of_pairs(a: Array, b: Array) -> Array:
    """The slope between each two points with different x.  Of many points one number each and no
    more is held: ten thousand have fifty million of them."""
    if a.size <= 300:
        first, second = np.triu_indices(a.size, 1)
        run = a[second] - a[first]
        short: Array = (b[second] - b[first])[run != 0] / run[run != 0]
        return short
    slopes, count = np.empty(a.size * (a.size - 1) // 2), 0
    for i in range(a.size - 1):
        run = a[i + 1 :] - a[i]
        apart = run != 0
        own = (b[i + 1 :] - b[i])[apart] / run[apart]
        slopes[count : count + own.size] = own
        count += own.size
    return slopes[:count]


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
        return Undefined("too-few-readings", 1, "Mann–Kendall", None, FEWEST_FOR_TREND)
    s = sum(int(np.sign(values[i + 1 :] - values[i]).sum()) for i in range(n - 1))
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


def p_lag1(
    y: npt.ArrayLike, x: npt.ArrayLike | None = None, levels: Array | float = 0.0
) -> float | None:
    """Mann–Kendall p with n_eff = n(1−r₁)/(1+r₁) readings in place of n.

    r₁ comes from the residuals about the Theil–Sen line, ``levels`` (in y's unit) taken off first.
    The variance of S grows by n/n_eff (Hamed & Rao 1998 in its first-lag form).  A negative r₁ is
    taken as 0: it would only make a trend look surer.  None where the test or r₁ does not exist.
    """
    test = mann_kendall(y)
    widened = crowding(np.asarray(y, dtype=np.float64) - levels, x)
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


# Does a series drift, or does it jump once? A jump also raises every rank test of a drift.
# A straight line and one jump at the same place for all items, each fitted by least squares with
# every item its own level and its own size, are set against each other by Akaike's criterion,
# corrected for few readings (Burnham & Anderson 2002, ch. 2). Both have a level and a size an
# item; the jump has its place besides.

Series = tuple[Array, Array]

#: Readings on either side of a jump, at the least: fewer are outliers, not a level.
SIDE = 3


@dataclass(frozen=True)
class Jump:
    """The best single jump of several series."""

    at: float
    """The first number of the series after it."""
    ahead: float
    """AICc of the straight line minus that of the jump: above 0 the jump fits better."""


def jump(series: Sequence[Series], side: int = SIDE) -> Jump | None:
    """The jump that fits all ``series`` (their x and y) best; None where none can be fitted.

    Readings number above what both curves take, and ``side`` of an item stand on either side.
    """
    kept = [(np.asarray(x, float), np.asarray(y, float)) for x, y in series]
    found = min(_profile(kept, side), default=None)
    ahead = None if found is None else _ahead(kept, found[0], 1)
    return None if found is None or ahead is None else Jump(found[1], ahead)


@dataclass(frozen=True)
class OwnJumps:
    """The best single jump of each of several series, wherever it has it."""

    at: tuple[float, ...]
    """The first number of each series after its own."""
    ahead: float
    """As of a ``Jump``."""


#: What a place counts that is looked for in each series: three, and not one, since the best of many
#: places fits scatter, too (Ninomiya 2005, Ann. Inst. Statist. Math. 57, 73-94).
LOOKED_FOR = 3


def own_jumps(series: Sequence[Series], side: int = SIDE) -> OwnJumps | None:
    """One jump for each of ``series`` at a place of its own; None where one can have none."""
    kept = [(np.asarray(x, float), np.asarray(y, float)) for x, y in series]
    profiles = [_profile([one], side) for one in kept]
    if not profiles or not all(profiles):
        return None
    best = [min(profile) for profile in profiles]
    ahead = _ahead(kept, sum(rest for rest, _ in best), LOOKED_FOR * len(kept))
    return None if ahead is None else OwnJumps(tuple(place for _, place in best), ahead)


def _ahead(series: Sequence[Series], rest: float, places: int) -> float | None:
    """By how much jumps that leave ``rest`` fit better than straight lines (AICc); None where there
    are too few readings."""
    # A level and a size each, and the spread.
    n, k = sum(x.size for x, _ in series), 2 * len(series) + 1
    # What an exact fit leaves is rounding: no less than that of the numbers themselves.
    least = n * (1e-9 * max((float(np.max(np.abs(y))) for _, y in series), default=0.0)) ** 2
    line = sum(_line_rest(x, y) for x, y in series)
    scores = _aicc(max(line, least), n, k), _aicc(max(rest, least), n, k + places)
    return None if None in scores else scores[0] - scores[1]  # type: ignore[operator]


def bends(series: Sequence[Series], at: Sequence[float]) -> bool:
    """Whether slopes that end in a level, or set out from one, fit ``series`` better than jumps at
    ``at``, one place for each: a curve that fades is far from its straight line, too.

    Bent at the first number after the jump or at the last before it.  Like a jump a bend takes a
    level and a size an item, and a place: the one that leaves less fits better.
    """
    def left(bent: Callable[[Array, float], Array], after: bool) -> float:
        return sum(_line_rest(bent(x, place if after else float(x[x < place].max())), y)
                   for (x, y), place in zip(series, at, strict=True))  # fmt: skip

    jumps = sum(_jump_rest(x, y, place) for (x, y), place in zip(series, at, strict=True))
    return any(left(bent, after) < jumps
               for bent in (np.minimum, np.maximum) for after in (True, False))  # fmt: skip


#: 95 of 100 likelihood ratios at the true place of a jump lie below this, -2 ln(1 - √0.95).
LIKELY = -2 * math.log(1 - math.sqrt(0.95))


@dataclass(frozen=True)
class JumpPlaces:
    """Where one jump of several series likely lies: the first number of the series after it."""

    best: float
    low: float
    high: float
    """The outermost places of the 95% set."""


def likely_places(
    series: Sequence[Series], side: int = SIDE, shared_sd: float = 0.0
) -> JumpPlaces | None:
    """The places whose likelihood ratio to the best is not too large (Hansen 2000, Econometrica 68,
    575): n·(S(place) − S(best))/S(best) at most 7.35, for readings that scatter alike.

    n counts the readings less one for each item's level, which is fitted.  None where no jump can
    be fitted, as for ``jump``.  ``shared_sd``, in y's unit, is of an error that all series share at
    each place: it scatters their mean, which tells the places apart, and not the readings about it,
    so that the ratio counts for less by as much.
    """
    kept = [(np.asarray(x, float), np.asarray(y, float)) for x, y in series]
    found = _profile(kept, side)
    if not found:
        return None
    least, best = min(found)
    n = sum(x.size for x, _ in kept) - len(kept)
    less = 1 + len(kept) * n * shared_sd**2 / least if shared_sd and least > 0 else 1.0
    likely = [p for rest, p in found if n * (rest - least) <= LIKELY * least * less]
    return JumpPlaces(best, min(likely), max(likely))


def _profile(series: Sequence[Series], side: int) -> list[tuple[float, float]]:
    """What every place of a jump leaves unexplained, as (rest, place)."""
    if not series:
        return []
    places = np.unique(np.concatenate([x for x, _ in series]))[side:]
    return [
        (sum(_jump_rest(x, y, place) for x, y in series), place)
        for place in places.tolist()
        if all(min((x < place).sum(), (x >= place).sum()) >= side for x, _ in series)
    ]


def slope_beside(x: Array, y: Array, at: float) -> float | None:
    """The least-squares slope of one series once each side of ``at`` has its own level.

    In y's unit per x's; None where x does not move on either side.
    """
    away = [(x[side] - x[side].mean(), y[side] - y[side].mean())
            for side in (x < at, x >= at) if side.any()]  # fmt: skip
    whole = sum(float(dx @ dx) for dx, _ in away)
    return sum(float(dx @ dy) for dx, dy in away) / whole if whole > 0 else None


def _line_rest(x: Array, y: Array) -> float:
    dx, dy = x - x.mean(), y - y.mean()
    whole = float(dx @ dx)
    slope = float(dx @ dy) / whole if whole > 0 else 0.0
    rest = dy - slope * dx
    return float(rest @ rest)


def _jump_rest(x: Array, y: Array, place: float) -> float:
    sides = (y[x < place], y[x >= place])
    return float(sum(((s - s.mean()) ** 2).sum() for s in sides))


def _aicc(rest: float, n: int, k: int) -> float | None:
    if n - k - 1 <= 0 or rest <= 0:
        return None
    return n * math.log(rest / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)


# Readings that stand apart in a series, found without letting them hide each other.
# The Hampel identifier: distance from the median in robust standard deviations (Hampel 1974, Leys
# et al. 2013). A flag is a reason to look, never to delete: a reading goes only for a recorded
# physical cause.

#: Flag beyond this many robust standard deviations (Leys et al. 2013: 3 is "very conservative").
ROBUST_SDS = THRESHOLDS["outlier_k"].value
#: Makes the median absolute deviation of a normal sample estimate its standard deviation.
MAD_TO_SD = 1.4826
#: Below this many readings the median absolute deviation says too little to flag by.
FEWEST_FOR_FLAGS = 5
#: More than this share flagged is a mixture or a drift, not outliers.
SHARE_FLAGGED = THRESHOLDS["many_flagged"].value


def flag(
    x: npt.ArrayLike,
    gauge_step: float | None = None,
    *,
    along: npt.ArrayLike | None = None,
    robust_sds: float = ROBUST_SDS,
) -> npt.NDArray[np.bool_]:
    """True where a reading lies more than ``robust_sds``·1.4826·MAD from the median, with
    ``along``: of the distances from its own line.

    ``x`` one series in order, in its own unit; NaN is never flagged.  ``along`` is where each was
    read (games, shots): its Theil–Sen line over these is taken out first.  Where more than half
    the readings agree (MAD 0), one ``gauge_step`` stands for the spread; without a step nothing is
    flagged.
    """
    values = np.asarray(x, dtype=np.float64)
    flags = np.zeros(values.shape, dtype=np.bool_)
    seen = np.isfinite(values)
    known = values[seen]
    if known.size < FEWEST_FOR_FLAGS:
        return flags
    rest = known if along is None else _detrended(np.asarray(along, np.float64)[seen], known)
    away = np.abs(rest - np.median(rest))
    scale = MAD_TO_SD * float(np.median(away))
    # Readings that agree but for the last bit of a float have no spread.
    if scale <= 1e-12 * float(np.max(np.abs(known))):
        if not gauge_step:
            return flags
        scale = gauge_step
    flags[seen] = away > robust_sds * scale * (1 + 1e-12)
    return flags


def _detrended(along: Array, values: Array) -> Array:
    """``values`` without their Theil–Sen line over ``along``, in their unit."""
    line = theil_sen(along, values)
    return values if isinstance(line, Undefined) else values - line.slope * along


def many_flagged(flags: npt.NDArray[np.bool_], share: float = SHARE_FLAGGED) -> bool:
    """True when so many are flagged that "outlier" is the wrong word."""
    return bool(flags.size) and float(np.mean(flags)) > share
