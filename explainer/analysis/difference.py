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
    se_a, se_b = sd_a / math.sqrt(left.size), sd_b / math.sqrt(right.size)
    df = pooled_df(se_a, left.size - 1, se_b, right.size - 1)
    return t_estimate(gap, math.hypot(se_a, se_b), df, n, method)
