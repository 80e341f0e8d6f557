"""The uncertainty of a slope when readings come in items: the sandwich, corrected for few items.

CR2 (Bell & McCaffrey 2002; Pustejovsky & Tipton 2018): each item's part of the sum is scaled so
that the variance is unbiased where readings are independent, and Student's t gets the degrees
of freedom of Satterthwaite's rule.  They are items − 1 where all items' x moved alike, and fewer
where a few items moved most.  Items − 1 throughout would be too sure: with 4 or 8 items whose
slopes average 0 and whose movement differs widely, it finds a link in 23–25% of simulated studies
instead of 5%; Satterthwaite's in 5–8%.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from explainer.analysis.sample import ROUNDING, Array

Codes = npt.NDArray[np.intp]


class ClusteredSlope(NamedTuple):
    """A slope in y's unit per x's, its CR2 standard error and Satterthwaite's df."""

    value: float
    se: float
    df: float


def slope_within(sxx: Array, sxy: Array) -> ClusteredSlope | None:
    """The common slope Σsxy/Σsxx when every item has its own level.

    ``sxx`` and ``sxy`` are each item's sums about its own means.  With weights w = sxx/Σsxx and
    item slopes b = sxy/sxx the definition comes down to SE² = Σw²(b − slope)²/(1 − w): for items
    whose x moved alike exactly the t test of their slopes.  None where one item alone moved.
    """
    whole = float(sxx.sum())
    weight = sxx / whole
    if float(weight.max()) >= 1:
        return None
    slope = float(sxy.sum()) / whole
    score = (sxy - sxx * slope) / whole
    se = math.sqrt(float(np.sum(score**2 / (1 - weight))))
    spread = np.diag(weight) - np.outer(weight, weight)
    return ClusteredSlope(slope, se, _df(spread, 1 / np.sqrt(1 - weight)))


def slope_without_time(dx: Array, dy: Array, item: Codes, time: Codes) -> ClusteredSlope | None:
    """The same with an effect per checkpoint as well, from deviations about items' own means.

    Where checkpoints are missing, each item's part is scaled by one number that makes it
    unbiased, not by CR2's matrix; in full tables the two are the same.  None where nothing of x
    is left, or too few readings to see any scatter.
    """
    shape = int(item.max()) + 1, int(time.max()) + 1
    cell = item * shape[1] + time
    per_cell = np.bincount(cell, minlength=shape[0] * shape[1]).reshape(shape).astype(np.float64)
    per_item, per_time = per_cell.sum(axis=1), per_cell.sum(axis=0)
    # What the checkpoints' indicators are once items' levels are out: their cross products.
    cross = np.diag(per_time) - per_cell.T @ (per_cell / per_item[:, None])
    roots, vectors = np.linalg.eigh(cross)
    kept = roots > 1e-9 * per_time.max()
    inverse = (vectors[:, kept] / roots[kept]) @ vectors[:, kept].T

    def freed(values: Array) -> Array:
        """Values without items' levels and checkpoints' effects."""
        away = values - (np.bincount(item, values) / per_item)[item]
        effect = inverse @ np.bincount(time, away)
        return np.asarray(away - effect[time] + ((per_cell @ effect) / per_item)[item])

    largest = float(np.max(np.abs(dx))), float(np.max(np.abs(dy)))
    if min(largest) == 0 or dx.size - shape[0] - int(kept.sum()) < 2:
        return None
    moved, answer = _whole(freed(dx / largest[0])), _whole(freed(dy / largest[1]))
    whole = float(moved @ moved)
    if whole == 0:
        return None
    slope = float(moved @ answer) / whole
    weight = np.bincount(item, moved**2) / whole
    sums = np.bincount(cell, moved, minlength=per_cell.size).reshape(shape)
    spread = np.diag(weight) - sums @ inverse @ sums.T / whole - np.outer(weight, weight)
    # An item that hardly moved has hardly a part in this; one that alone moved has no scatter.
    took_part = weight > 1e-9
    left = np.where(took_part, np.diag(spread), 1.0)
    if np.any(left <= 1e-9 * weight):
        return None
    scale = np.sqrt(np.where(took_part, weight, 0.0) / left)
    score = np.bincount(item, moved * (answer - slope * moved)) / whole
    unit = largest[1] / largest[0]
    se = float(np.linalg.norm(score * scale))
    return ClusteredSlope(slope * unit, se * unit, _df(spread, scale))


def _df(spread: Array, scale: Array) -> float:
    """Satterthwaite: (sum of the roots)² over the sum of their squares, for scaled scores."""
    spread = scale[:, None] * spread * scale
    return float(np.trace(spread) ** 2 / np.sum(spread**2))


def _whole(values: Array) -> Array:
    """Zeros where only rounding is left of values that had size 1."""
    return values if float(np.max(np.abs(values))) > ROUNDING else np.zeros_like(values)
