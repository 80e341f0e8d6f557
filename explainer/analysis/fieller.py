"""The range of a ratio of two uncertain numbers (Fieller 1954).

All ratios θ for which a − θb may be 0.  Where b itself may be 0, no ratio is too large, and both
ends are open (−inf, inf): then the data do not bound the ratio at all, or leave out only a
middle piece, which is not a range that can be shown.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from explainer.analysis.result import Interval
from explainer.analysis.sample import mean_sd, pairs
from explainer.analysis.student import t_quantile


def fieller(a: npt.ArrayLike, b: npt.ArrayLike, level: float) -> Interval:
    """Range of mean(a)/mean(b) over items, from one (a, b) per item.

    Every θ at which the one-sample t test of a − θb (df n − 1) is not significant at ``level``.
    Pairs with a cell that is not finite are left out; with fewer than two both ends are open.
    """
    x, y = pairs(a, b)
    n = x.size
    if n < 2 or not y.any():
        return _open(level)
    # Powers of two, so that scaling costs no digits.
    up, down = _scale(x), _scale(y)
    x, y = x / up, y / down
    mean_x, mean_y = mean_sd(x)[0], mean_sd(y)[0]
    if mean_y == 0:
        return _open(level)
    ratio = mean_x / mean_y
    rest = x - ratio * y
    rest, away = rest - rest.mean(), y - mean_y
    k = n * (n - 1)
    v_rest, v_b, cov = float(rest @ rest) / k, float(away @ away) / k, float(rest @ away) / k
    found = _solve(ratio, mean_y, v_rest, v_b, cov, t_quantile(level, n - 1), level)
    return Interval(found.low * (up / down), found.high * (up / down), level)


def fieller_from(
    a: float, va: float, b: float, vb: float, cov: float, tcrit: float, level: float = 0.95
) -> Interval:
    """Range of a/b from their variances ``va``, ``vb``, their covariance and a t quantile.

    ``level`` is only written into the answer; ``tcrit`` decides.
    """
    if b == 0:
        return _open(level)
    ratio = a / b
    v_rest = va - 2 * ratio * cov + ratio * ratio * vb
    return _solve(ratio, b, v_rest, vb, cov - ratio * vb, tcrit, level)


def _solve(
    ratio: float, b: float, v_rest: float, vb: float, cov: float, t: float, level: float
) -> Interval:
    """Roots δ of b²δ² = t²·var(rest − δb), where rest = a − ratio·b and ratio = a/b.

    About the ratio itself, so that a narrow range is not lost in the difference of large numbers.
    """
    # In units of b: g ≥ 1 says that b is not told from 0.
    g, shift, reach = (t * t * part for part in (vb / b / b, cov / b / b, v_rest / b / b))
    if not (g < 1 and math.isfinite(ratio) and math.isfinite(shift * shift + reach)):
        return _open(level)
    root = math.sqrt(max(shift * shift + reach * (1 - g), 0.0))
    return Interval(ratio + (-shift - root) / (1 - g), ratio + (-shift + root) / (1 - g), level)


def _open(level: float) -> Interval:
    return Interval(-math.inf, math.inf, level)


def _scale(values: npt.NDArray[np.float64]) -> float:
    largest = float(np.max(np.abs(values)))
    return 2.0 ** math.frexp(largest)[1] if largest > 0 else 1.0
