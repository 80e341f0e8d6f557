"""One group of items against another: their averages (Welch 1947), and how even each is."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy.special import digamma

from explainer.analysis.result import (
    LEVELS,
    Estimate,
    Interval,
    Undefined,
    pooled_df,
    r_p,
    t_estimate,
    t_p,
    t_quantile,
)
from explainer.analysis.sample import centred, mean_sd, pairs, readings
from explainer.analysis.shares import fieller_from


def welch(
    a: npt.ArrayLike, b: npt.ArrayLike, *, floor_sd: float | None = None
) -> Estimate | Undefined:
    """Mean of ``a`` minus mean of ``b``, one number per item, with Welch's t ranges.

    Cells that are not finite are left out.  Undefined: ``too-few-items`` with fewer than two on
    a side (with the difference as value where each side has one), ``no-spread`` where neither
    side has any and ``floor_sd``, the spread to assume in that case, is not given.
    """
    method = "Welch's t between groups of items"
    left, right = readings(a), readings(b)
    n = left.size + right.size
    if min(left.size, right.size) < 2:
        both = left.size and right.size
        gap = float(left.mean() - right.mean()) if both else None
        return Undefined("too-few-items", n, method, gap)
    (mean_a, sd_a), (mean_b, sd_b) = mean_sd(left), mean_sd(right)
    gap = mean_a - mean_b
    if sd_a == 0 and sd_b == 0:
        if floor_sd is None or not floor_sd > 0:
            return Undefined("no-spread", n, method, gap)
        sd_a = sd_b = floor_sd
        method += ", with the spread that the gauge's step can hide"
    # As scipy's ``ttest_ind(equal_var=False)``, which has no answer without spread and warns where
    # only rounding is left of it.
    return _welch(gap, (sd_a, left.size), (sd_b, right.size), method)


def welch_from_printed(
    mean_a: float, sd_a: float, n_a: int, mean_b: float, sd_b: float, n_b: int
) -> Estimate | Undefined:
    """Welch's range of a minus b from printed means, standard deviations and counts of items.

    Undefined: ``too-few-items`` with fewer than two on a side, ``no-spread`` where both SDs are 0.
    """
    method = "Welch's t from printed means and standard deviations"
    gap = mean_a - mean_b
    if min(n_a, n_b) < 2:
        return Undefined("too-few-items", n_a + n_b, method, gap)
    if sd_a == 0 and sd_b == 0:
        return Undefined("no-spread", n_a + n_b, method, gap)
    return _welch(gap, (sd_a, n_a), (sd_b, n_b), method)


def paired_from_printed(
    mean_a: float, sd_a: float, mean_b: float, sd_b: float, n: int, correlation: float
) -> Estimate | Undefined:
    """t range of a minus b of the same ``n`` items, from printed means and standard deviations.

    What is not printed is how alike an item's two readings are: with that ``correlation`` the
    spread of the differences is √(sd_a² + sd_b² − 2·r·sd_a·sd_b).  Undefined as above.
    """
    method = "paired t from printed means and standard deviations"
    gap = mean_a - mean_b
    if n < 2:
        return Undefined("too-few-items", n, method, gap)
    spread = math.sqrt(max(sd_a**2 + sd_b**2 - 2 * correlation * sd_a * sd_b, 0.0))
    if spread == 0:
        return Undefined("no-spread", n, method, gap)
    return t_estimate(gap, spread / math.sqrt(n), n - 1, n, method)


def _welch(gap: float, a: tuple[float, int], b: tuple[float, int], method: str) -> Estimate:
    """``gap`` with Welch's ranges; each side as its SD and how many items."""
    (sd_a, n_a), (sd_b, n_b) = a, b
    se_a, se_b = sd_a / math.sqrt(n_a), sd_b / math.sqrt(n_b)
    df = pooled_df(se_a, n_a - 1, se_b, n_b - 1)
    return t_estimate(gap, math.hypot(se_a, se_b), df, n_a + n_b, method)


# Is one side more even than the other? Spreads compared as a log ratio, a's over b's.
# Where each item was read several times, its own log SD is one number per item, and t decides
# over items (Bartlett & Kendall 1946). Where it was read once, the spread between items is
# compared: of the same items twice by Pitman and Morgan (1939), of different items by the
# distances from their median (Brown & Forsythe 1974), which a long tail does not upset.

#: A ratio of spreads past this, either way, is as good as no bound.
FARTHEST = 50.0


def log_sd(
    deviations: npt.ArrayLike, df: int, floor_sd: float | None = None
) -> float | None:
    """Log of an item's own SD, freed of the bias that few readings bring; None below one ``df``.

    ``deviations`` are its readings less their own mean (or each checkpoint's), ``df`` how many
    are free: readings less means.  E log s = log σ + (ψ(ν/2) − log(ν/2))/2 for normal readings.
    ``floor_sd`` stands in for a scatter of nothing, such as what the step of a display hides;
    without it that is None, too.
    """
    away = np.asarray(deviations, dtype=np.float64)
    if df < 1:
        return None
    sd = math.sqrt(float(away @ away) / df)
    if sd == 0:
        return math.log(floor_sd) if floor_sd else None
    return math.log(sd) - (float(digamma(df / 2)) - math.log(df / 2)) / 2


def pitman_morgan(a: npt.ArrayLike, b: npt.ArrayLike) -> Estimate | Undefined:
    """Log of SD(a)/SD(b) of the same items, a pair each; p against equal spreads, df n − 2.

    The range inverts the test for every ratio (Morgan 1939): with w = s_a²/s_b² and K = 1 +
    2(1 − r²)t²/(n − 2) it is w(K ± √(K² − 1)).
    """
    method = "Pitman and Morgan's test of two spreads of the same items"
    x, y = pairs(a, b)
    n = x.size
    if n < 3:
        return Undefined("too-few-items", n, method, None, 3)
    (_, sd_x), (_, sd_y) = mean_sd(x), mean_sd(y)
    if sd_x == 0 or sd_y == 0:
        return Undefined("no-spread", n, method)
    r = float(np.corrcoef(x, y)[0, 1])
    value = math.log(sd_x / sd_y)
    at = []
    for level in LEVELS:
        k = 1 + 2 * (1 - r * r) * t_quantile(level, n - 2) ** 2 / (n - 2)
        half = math.log(k + math.sqrt(max(0.0, k * k - 1))) / 2
        at.append(Interval(value - half, value + half, level))
    together, apart = x / sd_x + y / sd_x, x / sd_x - y / sd_x
    # As ``centred`` sees it: a constant shift leaves differences that are only rounding.
    flat = not (centred(together)[1].any() and centred(apart)[1].any())
    p = None if flat else r_p(float(np.corrcoef(together, apart)[0, 1]), n - 2)
    return Estimate(value, at[0], at[1], at[2], p, n, method)


def brown_forsythe(a: npt.ArrayLike, b: npt.ArrayLike) -> Estimate | Undefined:
    """Log ratio of the mean distances from the median, a's over b's, of different items.

    p by Welch's t on those distances, and the range of the ratio by Fieller, which is that same
    test turned round.  Below four on a side nothing can be said of a spread: ``too-few-items``.
    """
    method = "Brown and Forsythe's distances from the median, Welch"
    left, right = readings(a), readings(b)
    n = left.size + right.size
    if min(left.size, right.size) < 4:
        return Undefined("too-few-items", n, method, None, 2 * 4)
    left, right = (np.abs(x - np.median(x)) for x in (left, right))
    (u, sd_u), (v, sd_v) = mean_sd(left), mean_sd(right)
    if u == 0 or v == 0 or sd_u == 0 or sd_v == 0:
        return Undefined("no-spread", n, method)
    var_u, var_v = sd_u**2 / left.size, sd_v**2 / right.size
    df = (var_u + var_v) ** 2 / (var_u**2 / (left.size - 1) + var_v**2 / (right.size - 1))
    at = [_logged(fieller_from(u, var_u, v, var_v, 0.0, t_quantile(level, df), level))
          for level in LEVELS]  # fmt: skip
    p = t_p((u - v) / math.sqrt(var_u + var_v), df)
    return Estimate(math.log(u / v), at[0], at[1], at[2], p, n, method)


def _logged(i: Interval) -> Interval:
    """A range of ratios on the log scale; what is not bounded ends at ``FARTHEST``."""
    edge = math.log(FARTHEST)
    low = math.log(i.low) if i.low > 0 else -edge
    high = math.log(i.high) if math.isfinite(i.high) and i.high > 0 else edge
    return Interval(max(low, -edge), min(high, edge), i.level)
