"""The uncertainty of a slope when readings come in items: the sandwich, corrected for few items.

CR2 (Bell & McCaffrey 2002; Pustejovsky & Tipton 2018): each item's residuals are scaled by
(I − H_gg)^(−1/2) before they are squared and summed, so that the variance is unbiased where
readings are independent.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from explainer.analysis.sample import Array

Codes = npt.NDArray[np.intp]


def cr2_one_slope(sxx: Array, sxy: Array) -> float | None:
    """CR2 standard error of the common slope Σsxy/Σsxx when every item has its own level.

    ``sxx`` and ``sxy`` are each item's sums about its own means.  With weights w = sxx/Σsxx and
    item slopes b = sxy/sxx the definition comes down to Σ w²(b − slope)²/(1 − w): items whose x
    moved alike give exactly the t test of their slopes.  None where one item alone moved.
    """
    whole = float(sxx.sum())
    weight = sxx / whole
    if float(weight.max()) >= 1:
        return None
    score = (sxy - sxx * (float(sxy.sum()) / whole)) / whole
    return math.sqrt(float(np.sum(score**2 / (1 - weight))))


def cr2_slope(x: Array, y: Array, item: Codes, time: Codes) -> tuple[float, float, int] | None:
    """Slope of y on x with a level per item and an effect per checkpoint; its CR2 standard error.

    Also the residual degrees of freedom.  None where nothing of x is left, or nothing over.
    """
    n_items, n_times = int(item.max()) + 1, int(time.max()) + 1
    per_item = np.bincount(item, minlength=n_items)

    def about_items(values: Array) -> Array:
        """Each column about its item's mean."""
        sums = np.zeros((n_items, values.shape[1]))
        np.add.at(sums, item, values)
        return np.asarray(values - (sums / per_item[:, None])[item], dtype=np.float64)

    dummies = about_items(np.eye(n_times)[time])
    inner = about_items(np.column_stack((x, y)))
    scale = np.max(np.abs(inner), axis=0)
    if not scale.all():
        return None
    inner = inner / scale
    inverse = np.linalg.pinv(dummies.T @ dummies, rcond=1e-10, hermitian=True)
    free = inner - dummies @ (inverse @ (dummies.T @ inner))
    xt, yt = free[:, 0], free[:, 1]
    sxx = float(xt @ xt)
    left = x.size - n_items - int(np.linalg.matrix_rank(dummies.T @ dummies, tol=1e-8)) - 1
    if sxx <= 1e-16 * float(inner[:, 0] @ inner[:, 0]) or left < 1:
        return None
    slope = float(xt @ yt) / sxx
    rest = yt - slope * xt
    total = 0.0
    for g in range(n_items):
        rows = item == g
        d, xg = dummies[rows], xt[rows]
        hat = d @ inverse @ d.T + np.outer(xg, xg) / sxx + 1 / rows.sum()
        root = _inverse_root(np.eye(rows.sum()) - hat)
        total += float(xg @ root @ rest[rows]) ** 2
    size = float(scale[1] / scale[0])
    return slope * size, math.sqrt(total) / sxx * size, left


def _inverse_root(matrix: Array) -> Array:
    """Symmetric M^(−1/2) on the part of space that M keeps."""
    values, vectors = np.linalg.eigh(matrix)
    kept = values > 1e-9
    return np.asarray((vectors[:, kept] / np.sqrt(values[kept])) @ vectors[:, kept].T)
