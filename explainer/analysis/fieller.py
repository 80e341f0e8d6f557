"""The range of a ratio of two means (Fieller 1954): which ratios does the data not rule out?"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from explainer.analysis.result import Interval


def fieller(a: npt.ArrayLike, b: npt.ArrayLike, level: float) -> Interval:
    """All θ for which the one-sample t of a − θb is not rejected, a and b paired over items.

    Open ends are ±infinity: where the denominator's own range reaches 0 every ratio is possible.
    """
    x, y = np.asarray(a, dtype=np.float64), np.asarray(b, dtype=np.float64)
    n = int(x.size)
    if n < 2:
        return Interval(-math.inf, math.inf, level)
    covariance = np.cov(x, y) / n
    return fieller_from(
        float(x.mean()), float(covariance[0, 0]), float(y.mean()), float(covariance[1, 1]),
        float(covariance[0, 1]), float(stdtrit(n - 1, (1 + level) / 2)), level,
    )  # fmt: skip


def fieller_from(
    a: float, var_a: float, b: float, var_b: float, cov: float, t: float, level: float
) -> Interval:
    """The range of a/b from the two means, their variances and covariance, and the t to use."""
    bottom = b * b - t * t * var_b
    if bottom <= 0:
        return Interval(-math.inf, math.inf, level)
    middle = a * b - t * t * cov
    under = middle * middle - bottom * (a * a - t * t * var_a)
    reach = math.sqrt(max(under, 0.0))
    return Interval((middle - reach) / bottom, (middle + reach) / bottom, level)
