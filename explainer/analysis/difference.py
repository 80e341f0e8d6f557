"""One group of items against another (Welch 1947): no equal spread assumed."""

from __future__ import annotations

import math

import numpy.typing as npt

from explainer.analysis.result import Estimate, Undefined, pooled_df, t_estimate
from explainer.analysis.sample import mean_sd, readings


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
