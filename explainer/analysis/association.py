"""Do items with more x have more y?  One point per item.

Pearson's r with Fisher's z ranges (Fisher 1921), Spearman's rank correlation with Bonett and
Wright's standard error (2000), and the least-squares line.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from explainer.analysis.result import (
    Estimate,
    Undefined,
    few_or_flat,
    free_r,
    r_estimate,
    r_p,
    t_estimate,
)
from explainer.analysis.sample import Array, centred, pairs, ranks

#: Fisher's z has the standard error 1/√(n − 3).
FEWEST_FOR_R = 4
#: Two points are on a line whatever they are.
FEWEST_FOR_LINE = 3
#: Up to here Spearman's p counts every order; beyond, the t approximation is close.
EXACT_UP_TO = 9


def pearson(x: npt.ArrayLike, y: npt.ArrayLike) -> Estimate | Undefined:
    """Pearson's r of one (x, y) per item, with Fisher z ranges and the t test's p (df n − 2).

    Pairs with a cell that is not finite are left out.  Undefined: ``no-spread`` where x or y is
    the same for all, ``too-few-items`` below four (with r as value for three).
    """
    method = "Pearson's r over items, Fisher z"
    a, b = pairs(x, y)
    n = a.size
    r = _r(a, b)
    if n < FEWEST_FOR_R or r is None:
        return few_or_flat(n, FEWEST_FOR_R, method, free_r(r, n - 2))
    return r_estimate(r, 1 / math.sqrt(n - 3), r_p(r, n - 2), n, method, n - 2)


def spearman(x: npt.ArrayLike, y: npt.ArrayLike) -> Estimate | Undefined:
    """Spearman's rank correlation, ties at mean ranks; SE of z √((1 + r²/2)/(n − 3)).

    p counts every order of y (share with |r| at least as large) up to nine items and is the t
    approximation beyond.  Undefined as for ``pearson``.
    """
    method = "Spearman's r over items, Bonett–Wright"
    a, b = pairs(x, y)
    n = a.size
    rank_a, rank_b = ranks(a), ranks(b)
    r = _r(rank_a, rank_b)
    if n < FEWEST_FOR_R or r is None:
        return few_or_flat(n, FEWEST_FOR_R, method, free_r(r, n - 2))
    p = _exact_p(rank_a, rank_b) if n <= EXACT_UP_TO else r_p(r, n - 2)
    return r_estimate(r, math.sqrt((1 + r * r / 2) / (n - 3)), p, n, method)


def leave_one_out_r(x: npt.ArrayLike, y: npt.ArrayLike) -> Array:
    """Pearson's r without each item in turn, in order; NaN where that leaves nothing to relate.

    One value per pair given, so that places match the caller's items; a pair that is not finite
    counts as already left out.
    """
    a = np.asarray(x, dtype=np.float64).ravel()
    b = np.asarray(y, dtype=np.float64).ravel()
    both = np.flatnonzero(np.isfinite(a) & np.isfinite(b))
    full = _r(a[both], b[both]) if both.size > 1 else None
    answers = np.full(a.size, np.nan if full is None else full)
    answers[both] = _without_each(a[both], b[both])
    return answers


def slope(x: npt.ArrayLike, y: npt.ArrayLike) -> Estimate | Undefined:
    """Slope of the least-squares line of y on x over items, in y's unit per x's; df n − 2.

    Undefined: ``no-spread`` where x or y is the same for all, ``too-few-items`` below three
    (with the slope as value at two).
    """
    method = "least-squares slope over items"
    a, b = pairs(x, y)
    n = a.size
    if n < 2:
        return few_or_flat(n, FEWEST_FOR_LINE, method)
    (_, dx), (_, dy) = centred(a), centred(b)
    sxx = float(dx @ dx)
    if sxx == 0:
        return few_or_flat(n, FEWEST_FOR_LINE, method)
    line = float(dx @ dy) / sxx
    if n < FEWEST_FOR_LINE or not dy.any():
        return few_or_flat(n, FEWEST_FOR_LINE, method, line)
    rest = dy - line * dx
    # A second step takes back what rounding cost the first.
    more = float(dx @ rest) / sxx
    line, rest = line + more, rest - more * dx
    se = float(np.linalg.norm(rest)) / math.sqrt((n - 2) * sxx)
    return t_estimate(line, se, n - 2, n, method)


def _r(x: Array, y: Array) -> float | None:
    """Pearson's r of at least two pairs; None without spread."""
    if x.size < 2:
        return None
    (_, dx), (_, dy) = centred(x), centred(y)
    return ratio_r(float(dx @ dx), float(dx @ dy), float(dy @ dy))


def ratio_r(sxx: float, sxy: float, syy: float) -> float | None:
    """r from sums of squares and products of deviations; None without spread."""
    if sxx <= 0 or syy <= 0:
        return None
    r = sxy / (math.sqrt(sxx) * math.sqrt(syy))
    return min(1.0, max(-1.0, r))


def _without_each(x: Array, y: Array) -> Array:
    """r without each pair, from the sums over all; anew where one pair holds nearly all of them."""
    n = x.size
    if n < 3:
        return np.full(n, np.nan)
    (_, dx), (_, dy) = centred(x), centred(y)
    grown = n / (n - 1)
    whole = float(dx @ dx), float(dx @ dy), float(dy @ dy)
    sxx, sxy, syy = whole[0] - grown * dx**2, whole[1] - grown * dx * dy, whole[2] - grown * dy**2
    sound = (sxx > 1e-4 * whole[0]) & (syy > 1e-4 * whole[2])
    answers = np.full(n, np.nan)
    answers[sound] = np.clip(sxy[sound] / (np.sqrt(sxx[sound]) * np.sqrt(syy[sound])), -1, 1)
    if whole[0] > 0 and whole[2] > 0:
        for i in np.flatnonzero(~sound):
            again = _r(np.delete(x, i), np.delete(y, i))
            answers[i] = np.nan if again is None else again
    return answers


def _exact_p(rank_x: Array, rank_y: Array) -> float:
    """Share of all orders of y whose |r| is at least the observed one.

    Orders are counted by their Σxy: each x in turn is paired with every y that is still free, and
    ways that have used the same y's (a row, by its bits) are counted by their sum so far.
    """
    # scipy's ``permutation_test`` would try all 9! orders one by one; its ``spearmanr`` has the t
    # approximation only.
    n = rank_x.size
    # Twice the distance from the middle rank is a whole number, ties or not.
    x = np.rint(2 * rank_x - (n + 1)).astype(np.int64)
    y = np.rint(2 * rank_y - (n + 1)).astype(np.int64)
    most = int(np.abs(x).sum() * np.abs(y).max())
    rows = np.arange(2**n)
    used = np.array([row.bit_count() for row in rows.tolist()])
    ways = np.zeros((2**n, 2 * most + 1), dtype=np.int64)
    ways[0, most] = 1
    for done, one in enumerate(x):
        for j, other in enumerate(y):
            free = rows[(used == done) & (rows >> j & 1 == 0)]
            ways[free | 1 << j] += np.roll(ways[free], one * other, axis=1)
    seen = abs(int(x @ y))
    as_far = ways[-1, np.abs(np.arange(-most, most + 1)) >= seen].sum()
    return float(as_far / math.factorial(n))
