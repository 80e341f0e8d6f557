"""Association between items: r and its range, its rank twin, and the line."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri, stdtr
from scipy.stats import rankdata

from explainer.analysis.change import t_estimate
from explainer.analysis.result import Estimate, Interval, Undefined

Array = npt.NDArray[np.float64]

#: Fisher's range divides by √(n − 3).
FEWEST = 4


def pearson(x: npt.ArrayLike, y: npt.ArrayLike) -> Estimate | Undefined:
    """Pearson's r over items with Fisher's range tanh(atanh r ± z/√(n−3)) (Fisher 1921).

    p from Student's t on n − 2, as scipy's.  Undefined: ``too-few-items`` below 4,
    ``no-spread`` where x or y does not vary.  A perfect r has the range [r, r].
    """
    a, b = _paired(x, y)
    r = _r(a, b)
    method = "Pearson's r over items, Fisher's range"
    if r is None:
        return Undefined("no-spread" if a.size >= 2 else "too-few-items", a.size, method)
    if a.size < FEWEST:
        return Undefined("too-few-items", a.size, method, r)
    return fisher(r, a.size, 1 / math.sqrt(a.size - 3), method)


def spearman(x: npt.ArrayLike, y: npt.ArrayLike) -> Estimate | Undefined:
    """Spearman's rank correlation; SE √((1 + r²/2)/(n−3)) (Bonett & Wright 2000)."""
    a, b = _paired(x, y)
    r = _r(rankdata(a), rankdata(b)) if a.size else None
    method = "Spearman's r over items"
    if r is None:
        return Undefined("no-spread" if a.size >= 2 else "too-few-items", a.size, method)
    if a.size < FEWEST:
        return Undefined("too-few-items", a.size, method, r)
    return fisher(r, a.size, math.sqrt((1 + r * r / 2) / (a.size - 3)), method)


def fisher(r: float, n: int, se: float, method: str, df: float | None = None) -> Estimate:
    """r with ranges on Fisher's z scale; p by t on ``df`` (n − 2 where not given)."""
    freedom = float(n - 2) if df is None else df
    exact = abs(r) >= 1.0
    z = 0.0 if exact else math.atanh(r)

    def interval(level: float) -> Interval:
        if exact:
            return Interval(r, r, level)
        reach = float(ndtri((1 + level) / 2)) * se
        return Interval(math.tanh(z - reach), math.tanh(z + reach), level)

    p = 0.0
    if not exact:
        p = float(2 * stdtr(freedom, -abs(r) * math.sqrt(freedom / (1 - r * r))))
    return Estimate(r, interval(0.95), interval(0.90), interval(0.80), p, n, method, None, freedom)


def leave_one_out_r(x: npt.ArrayLike, y: npt.ArrayLike) -> Array:
    """r without each item in turn, shape (items,); NaN where what is left has no r."""
    a, b = _paired(x, y)
    each = [_r(np.delete(a, i), np.delete(b, i)) for i in range(a.size)]
    return np.array([np.nan if r is None else r for r in each], dtype=np.float64)


def slope(x: npt.ArrayLike, y: npt.ArrayLike) -> Estimate | Undefined:
    """Least-squares slope of y on x over items, in y's unit per x's, t on n − 2."""
    a, b = _paired(x, y)
    method = "least-squares line over items"
    n = int(a.size)
    if n < 3:
        return Undefined("too-few-items", n, method)
    away_x, away_y = a - a.mean(), b - b.mean()
    if not _varies(a):
        return Undefined("no-spread", n, method)
    scale = float(np.max(np.abs(away_x)))
    unit_x = away_x / scale
    sxx = float(unit_x @ unit_x)
    value = float(unit_x @ away_y) / sxx
    rest = away_y - value * unit_x
    se = math.sqrt(float(rest @ rest) / (n - 2) / sxx)
    if se <= 1e-14 * max(abs(value), float(np.max(np.abs(away_y)))):
        return Undefined("no-spread", n, method, value / scale)
    return t_estimate(value / scale, se / scale, n - 2, n, method)


def _paired(x: npt.ArrayLike, y: npt.ArrayLike) -> tuple[Array, Array]:
    a, b = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    both = np.isfinite(a) & np.isfinite(b)
    return a[both], b[both]


def _varies(values: Array) -> bool:
    """More than the rounding of floats."""
    return bool(values.size) and float(np.ptp(values)) > 1e-13 * float(np.max(np.abs(values)))


def _r(a: Array, b: Array) -> float | None:
    """Pearson's r, None without spread; scaled first so that tiny and huge units are alike."""
    if a.size < 2 or not _varies(a) or not _varies(b):
        return None
    a, b = a - a.mean(), b - b.mean()
    a, b = a / float(np.linalg.norm(a)), b / float(np.linalg.norm(b))
    return max(-1.0, min(1.0, float(a @ b)))
