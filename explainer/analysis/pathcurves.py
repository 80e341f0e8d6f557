"""Mean ball paths over items, with bands that hold at one distance or at all of them.

Pointwise bands are t over items at each distance.  Simultaneous ones hold at all p distances
together by Bonferroni: Hotelling's need more items than distances, and a bootstrap over a
handful of items covers far less than it says.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from explainer.analysis.result import Undefined
from explainer.analysis.sample import Array
from explainer.study.derive import breakpoint_feet

Ends = tuple[float | None, ...]


@dataclass(frozen=True)
class PathBand:
    """A mean path, or a mean difference of paths; every tuple has one entry per distance."""

    distance: tuple[float, ...]
    """Feet down the lane, increasing."""
    mean: Ends
    """Boards (or boards apart); None where no item has a reading."""
    pointwise_low: Ends
    pointwise_high: Ends
    simultaneous_low: Ends
    simultaneous_high: Ends
    """Ends are None where fewer than two items, or no spread between them, give no range."""
    n_at: tuple[int, ...]
    """Items with a reading at each distance (the smaller group's, for two groups)."""
    n_items: int
    level: float

    def excludes_zero(self) -> tuple[bool, ...]:
        """True at each distance where the simultaneous band lies wholly on one side of 0."""
        return tuple(
            low is not None and high is not None and (low > 0 or high < 0)
            for low, high in zip(self.simultaneous_low, self.simultaneous_high, strict=True)
        )


@dataclass(frozen=True)
class Breakpoint:
    """Where a path lies farthest out, as finely as its points tell."""

    distance: float
    """Feet down the lane of the outermost measured point."""
    board: float
    spacing: float
    """Feet to the farther of its two neighbours: the true turn lies within ± that."""


def goes_one_way(board: npt.ArrayLike) -> bool:
    """Whether a stretch of a path (boards in order) comes across with no more to and fro than half
    of how far it comes."""
    steps = np.diff(np.asarray(board, dtype=float))
    return bool(np.abs(steps).sum() <= 1.5 * abs(steps.sum()))


def breakpoint_within(distance: npt.ArrayLike, board: npt.ArrayLike) -> Breakpoint | None:
    """The outermost point of one path and how finely it is known; None where none is inside.

    ``distance`` in feet, increasing, and ``board`` of equal length; gaps (NaN) are left out.
    """
    feet, boards = np.asarray(distance, dtype=np.float64), np.asarray(board, dtype=np.float64)
    seen = np.isfinite(feet) & np.isfinite(boards)
    feet, boards = feet[seen], boards[seen]
    if feet.size < 3:
        return None
    i = int(np.flatnonzero(feet == breakpoint_feet(feet, boards))[0])
    if i == 0 or i == feet.size - 1:
        return None
    spacing = max(feet[i] - feet[i - 1], feet[i + 1] - feet[i])
    return Breakpoint(float(feet[i]), float(boards[i]), float(spacing))


def band(
    distance: npt.ArrayLike, boards: npt.ArrayLike, level: float = 0.95
) -> PathBand | Undefined:
    """The mean path of several items, from ``boards`` of shape (items, distances).

    NaN where an item was not measured at a distance; the mean there is over the others.
    Undefined (``too-few-items``) below two items.
    """
    feet, y = _checked(distance, boards)
    if y.shape[0] < 2 or y.shape[1] == 0:
        return Undefined("too-few-items", y.shape[0], "mean path")
    n, mean, variance = _moments(y)
    se = np.sqrt(variance / np.maximum(n, 1))
    return _band(feet, mean, se, n - 1.0, n, y.shape[0], level)


def difference_band(
    distance: npt.ArrayLike,
    a: npt.ArrayLike,
    b: npt.ArrayLike,
    level: float = 0.95,
    *,
    paired: bool = True,
) -> PathBand | Undefined:
    """Mean path a minus mean path b, in boards, from two arrays (items, distances).

    ``paired``: row i of both is the same item.  Else two groups of items, by Welch's t at each
    distance.  Undefined (``too-few-items``) below two items (in either group).
    """
    feet, first = _checked(distance, a)
    _, second = _checked(distance, b)
    if paired:
        if first.shape != second.shape:
            raise ValueError(f"paired paths of one shape, not {first.shape} and {second.shape}")
        return band(feet, first - second, level)
    if min(first.shape[0], second.shape[0]) < 2 or first.shape[1] == 0:
        few = min(first.shape[0], second.shape[0])
        return Undefined("too-few-items", few, "difference of mean paths")
    n_a, mean_a, var_a = _moments(first)
    n_b, mean_b, var_b = _moments(second)
    part_a, part_b = var_a / np.maximum(n_a, 1), var_b / np.maximum(n_b, 1)
    both = part_a + part_b
    bottom = part_a**2 / np.maximum(n_a - 1, 1) + part_b**2 / np.maximum(n_b - 1, 1)
    df = np.divide(both**2, bottom, out=np.zeros_like(both), where=bottom > 0)
    df[np.minimum(n_a, n_b) < 2] = 0
    items = first.shape[0] + second.shape[0]
    return _band(feet, mean_a - mean_b, np.sqrt(both), df, np.minimum(n_a, n_b), items, level)


def _checked(distance: npt.ArrayLike, boards: npt.ArrayLike) -> tuple[Array, Array]:
    """Feet, and boards (items, distances) with NaN for whatever is not finite."""
    feet = np.asarray(distance, dtype=np.float64)
    y = np.asarray(boards, dtype=np.float64)
    if y.ndim != 2 or feet.shape != y.shape[1:]:
        raise ValueError(f"boards of shape (items, {feet.size}), not {y.shape}")
    return feet, np.where(np.isfinite(y), y, np.nan)


def _moments(y: Array) -> tuple[Array, Array, Array]:
    """Count, mean (NaN without items) and variance (0 below two) at each distance."""
    seen = np.isfinite(y)
    n = seen.sum(axis=0).astype(np.float64)
    filled = np.where(seen, y, 0.0)
    mean = np.where(n > 0, filled.sum(axis=0) / np.maximum(n, 1), np.nan)
    away = np.where(seen, y - mean, 0.0)
    return n, mean, (away**2).sum(axis=0) / np.maximum(n - 1, 1)


def _band(
    feet: Array, mean: Array, se: Array, df: Array, n: Array, items: int, level: float
) -> PathBand:
    """The band from one mean, standard error (boards), df and count for each distance."""
    known = np.isfinite(mean)
    measured = int(np.count_nonzero(n >= 2))
    spread = known & (df > 0) & (se > 0)
    tail = (1 - level) / 2

    def ends(area: float) -> tuple[Ends, Ends]:
        """The band with this area in each tail."""
        half = np.zeros_like(mean)
        half[spread] = stdtrit(df[spread], 1 - area) * se[spread]
        return _or_none(mean - half, spread), _or_none(mean + half, spread)

    low, high = ends(tail)
    all_low, all_high = ends(tail / max(measured, 1))
    return PathBand(
        tuple(float(x) for x in feet),
        _or_none(mean, known),
        low,
        high,
        all_low,
        all_high,
        tuple(int(k) for k in n),
        items,
        level,
    )


def _or_none(values: Array, exists: npt.NDArray[np.bool_]) -> Ends:
    return tuple(float(v) if e else None for v, e in zip(values, exists, strict=True))
