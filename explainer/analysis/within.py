"""Association within items, beside the one between them: two different questions.

Within: centre x and y by item (Bland & Altman 1995, BMJ 310:446).  Between: the line through item
means.  The within slope is judged over items, with a cluster-robust standard error, because the
readings of one item are not independent witnesses.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtr

from explainer.analysis.association import fisher
from explainer.analysis.association import slope as line_through
from explainer.analysis.change import t_estimate
from explainer.analysis.result import Estimate, Undefined

Array = npt.NDArray[np.float64]
METHOD = "within-item slope, items as clusters (CR2), t on items − 1"


@dataclass(frozen=True)
class Within:
    """Both levels of an association."""

    r: float
    """Repeated-measures correlation r_rm; reported beside the slope, decides nothing."""
    r_estimate: Estimate
    """r_rm with its Fisher range, SE 1/√(df − 1)."""
    df: int
    """N − n − 1: it counts readings, which is why r_rm is not the judge."""
    slope: Estimate
    """Within slope in y's unit per x's, judged over items."""
    slope_between: Estimate | None
    """The line through item means; None below 3 items or without spread."""
    slope_difference: float | None
    """Between minus within."""
    difference_df: float | None
    difference_t: float | None
    p_slopes_differ: float | None
    items_same_sign: int
    """Items whose own slope has the sign of the pooled one."""
    item_slopes: Mapping[str, float]
    """Each item's own slope, where its x moved at all."""
    slope_without_time: Estimate | None
    """The within slope once what all items share at each checkpoint is removed."""
    r_loo: Array
    """r_rm without each item in turn, in order of ``items``; NaN where undefined."""
    items: tuple[str, ...]


def within(
    x: npt.ArrayLike, y: npt.ArrayLike, item: npt.ArrayLike, use: npt.ArrayLike | None = None
) -> Within | Undefined:
    """Both levels from one reading per item and checkpoint (arrays of equal length).

    ``use`` names the checkpoint of each reading, for the shared-trend check.  Undefined:
    ``too-few-items`` below two items with two readings each, ``no-spread`` where x (or y) does
    not move within any item.
    """
    a, b = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    both = np.isfinite(a) & np.isfinite(b)
    a, b, names = a[both], b[both], np.asarray(item)[both]
    labels, codes = np.unique(names, return_inverse=True)
    first = np.array([np.flatnonzero(codes == k)[0] for k in range(labels.size)], dtype=np.intp)
    order = np.argsort(first, kind="stable")
    codes = np.argsort(order)[codes]
    items = tuple(str(labels[k]) for k in order)
    counts = np.bincount(codes, minlength=len(items))
    df = int(a.size - len(items) - 1)
    n = int((counts >= 2).sum())
    if n < 2 or df < 2:
        return Undefined("too-few-items", len(items), METHOD)
    cx, cy = _centre(a, codes, counts), _centre(b, codes, counts)
    if _flat(cx, a) or _flat(cy, b):
        return Undefined("no-spread", len(items), METHOD)
    robust = _judged(cx, cy, codes, n)
    if robust is None:
        return Undefined("no-spread", len(items), METHOD)
    r = _r(cx, cy)
    means = _means(a, codes, counts), _means(b, codes, counts)
    between = line_through(*means)
    between_line = between if isinstance(between, Estimate) else None
    gap, gap_df, t, p = _differ(cx, cy, df, between_line)
    slopes = _own_slopes(cx, cy, codes, items)
    sign = 1 if robust.value > 0 else -1
    steps = None if use is None else np.asarray(use)[both]
    return Within(
        r=r,
        r_estimate=fisher(r, n, 1 / math.sqrt(max(df - 1, 1)), "repeated-measures correlation", df),
        df=df, slope=robust, slope_between=between_line, slope_difference=gap,
        difference_df=gap_df, difference_t=t, p_slopes_differ=p,
        items_same_sign=sum(1 for s in slopes.values() if s * sign > 0), item_slopes=slopes,
        slope_without_time=None if steps is None else _without_time(a, b, codes, steps, n),
        r_loo=np.array([_r(cx[codes != k], cy[codes != k]) for k in range(len(items))]),
        items=items,
    )  # fmt: skip


def _centre(values: Array, codes: npt.NDArray[np.intp], counts: npt.NDArray[np.intp]) -> Array:
    return values - _means(values, codes, counts)[codes]


def _means(values: Array, codes: npt.NDArray[np.intp], counts: npt.NDArray[np.intp]) -> Array:
    middle = float(values[0])
    return middle + np.bincount(codes, weights=values - middle, minlength=counts.size) / counts


def _flat(centred: Array, raw: Array) -> bool:
    """No more movement than the rounding of floats."""
    return float(np.max(np.abs(centred))) <= 1e-13 * float(np.max(np.abs(raw)))


def _r(cx: Array, cy: Array) -> float:
    """r of centred values; NaN where one of them does not move."""
    if not cx.size:
        return math.nan
    length_x, length_y = float(np.linalg.norm(cx)), float(np.linalg.norm(cy))
    if length_x == 0 or length_y == 0:
        return math.nan
    return max(-1.0, min(1.0, float((cx / length_x) @ (cy / length_y))))


def _judged(cx: Array, cy: Array, codes: npt.NDArray[np.intp], n: int) -> Estimate | None:
    """Slope of centred data with the CR2 standard error over items, t on n − 1.

    With one centred regressor Bell & McCaffrey's (2002) adjustment has a closed form: each
    item's score Σxe is divided by √(1 − h), h its share of Σx².  (statsmodels' cluster
    covariance is CR1, which is too small for a handful of items.)  None where one item has all
    the movement in x: nothing is left to judge it by.
    """
    scale = float(np.max(np.abs(cx)))
    u = cx / scale
    sxx = float(u @ u)
    value = float(u @ cy) / sxx
    rest = cy - value * u
    size = int(codes.max()) + 1
    share = np.bincount(codes, weights=u * u, minlength=size) / sxx
    score = np.bincount(codes, weights=u * rest, minlength=size)
    if float(share.max()) >= 1 - 1e-9:
        return None
    se = math.sqrt(float(np.sum(score**2 / (1 - share)))) / sxx
    # An exact line leaves rounding only; a tiny se keeps its range defined and honest to digits.
    se = max(se, 1e-13 * max(abs(value), float(np.max(np.abs(cy)))))
    return t_estimate(value / scale, se / scale, n - 1, n, METHOD)


def _differ(
    cx: Array, cy: Array, df: int, between: Estimate | None
) -> tuple[float | None, float | None, float | None, float | None]:
    """Between minus within, Satterthwaite's df, t and p (Mundlak 1978)."""
    if between is None or between.se is None or between.df is None:
        return None, None, None, None
    sxx = float(cx @ cx)
    value = float(cx @ cy) / sxx
    rest = cy - value * cx
    variance = float(rest @ rest) / df / sxx
    other = between.se**2
    gap = between.value - value
    both = variance + other
    if both <= 0:
        return gap, None, None, None
    freedom = both**2 / (variance**2 / df + other**2 / between.df)
    t = gap / math.sqrt(both)
    return gap, freedom, t, float(2 * stdtr(freedom, -abs(t)))


def _own_slopes(
    cx: Array, cy: Array, codes: npt.NDArray[np.intp], items: tuple[str, ...]
) -> dict[str, float]:
    sxx = np.bincount(codes, weights=cx * cx, minlength=len(items))
    sxy = np.bincount(codes, weights=cx * cy, minlength=len(items))
    still = 1e-20 * float(sxx.max())
    return {name: float(sxy[k] / sxx[k]) for k, name in enumerate(items) if sxx[k] > still}


def _without_time(
    a: Array, b: Array, codes: npt.NDArray[np.intp], steps: npt.NDArray[np.generic], n: int
) -> Estimate | None:
    """The within slope with item and checkpoint effects both removed (two-way fixed effects).

    None where nothing of x is left: then everything x does, all items do together.
    """
    labels, when = np.unique(steps, return_inverse=True)
    items = int(codes.max()) + 1
    dummies = np.zeros((a.size, items + labels.size))
    dummies[np.arange(a.size), codes] = 1
    dummies[np.arange(a.size), items + when] = 1
    both = np.column_stack([a - a.mean(), b - b.mean()])
    fit, *_ = np.linalg.lstsq(dummies, both, rcond=None)
    left = both - dummies @ fit
    moved = float(np.max(np.abs(both[:, 0]), initial=0.0))
    if float(np.max(np.abs(left[:, 0]))) <= 1e-9 * moved:
        return None
    return _judged(left[:, 0], left[:, 1], codes, n)
