"""One number from one ball's path: hook, entry angle, breakpoint, board at a distance.

A path is two arrays of equal length: feet down the lane, and boards counted from the bowler's own
side (so a hook ends on a higher board than its launch line, for either hand).  Order does not
matter; points with NaN are left out.  None where the path cannot give the number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

#: Width of one board in inches: a lane 41.5 inches wide of 39 boards (common practice, no source).
BOARD_INCHES = 41.5 / 39
INCHES_PER_FOOT = 12.0


@dataclass(frozen=True)
class Breakpoint:
    """Where a path lies farthest to the outside, as finely as its points tell."""

    distance: float
    """Feet down the lane of the outermost measured point."""
    board: float
    plus_minus: float
    """Feet to the farther of its two neighbours: the true turn lies within that."""


def launch_line(
    distance: npt.ArrayLike, board: npt.ArrayLike, launch: tuple[float, float] = (0.0, 15.0)
) -> tuple[float, float] | None:
    """Slope (boards per foot) and intercept (boards) of the line through the first feet.

    Least squares over the points with ``launch`` feet; None with fewer than two distances there.
    """
    feet, boards = _path(distance, board)
    early = (feet >= launch[0]) & (feet <= launch[1])
    x, y = feet[early], boards[early]
    if np.unique(x).size < 2:
        return None
    middle = x.mean()
    slope = float(np.sum((x - middle) * (y - y.mean())) / np.sum((x - middle) ** 2))
    return slope, float(y.mean() - slope * middle)


def total_hook(
    distance: npt.ArrayLike, board: npt.ArrayLike, launch: tuple[float, float] = (0.0, 15.0)
) -> float | None:
    """Boards between the last point and where the launch line would have ended up.

    None without a launch line, or where nothing was measured past it.
    """
    line = launch_line(distance, board, launch)
    feet, boards = _path(distance, board)
    if line is None or feet[-1] <= launch[1]:
        return None
    slope, intercept = line
    return float(boards[-1] - (intercept + slope * feet[-1]))


def entry_angle(
    distance: npt.ArrayLike, board: npt.ArrayLike, board_inches: float = BOARD_INCHES
) -> float | None:
    """Degrees from the lane's length over the last two distances: atan(Δboards·width/Δfeet)."""
    feet, boards = _path(distance, board)
    if feet.size < 2:
        return None
    across = (boards[-1] - boards[-2]) * board_inches
    along = (feet[-1] - feet[-2]) * INCHES_PER_FOOT
    return math.degrees(math.atan2(across, along))


def breakpoint_of(distance: npt.ArrayLike, board: npt.ArrayLike) -> Breakpoint | None:
    """The outermost measured point (lowest board); None where that is the first or last one."""
    feet, boards = _path(distance, board)
    if feet.size < 3:
        return None
    i = int(np.argmin(boards))
    if i == 0 or i == feet.size - 1:
        return None
    spacing = max(feet[i] - feet[i - 1], feet[i + 1] - feet[i])
    return Breakpoint(float(feet[i]), float(boards[i]), float(spacing))


def board_at(distance: npt.ArrayLike, board: npt.ArrayLike, at: float) -> float | None:
    """The board at ``at`` feet, straight between the two nearest points; None outside the path."""
    feet, boards = _path(distance, board)
    if feet.size == 0 or not feet[0] <= at <= feet[-1]:
        return None
    return float(np.interp(at, feet, boards))


def _path(distance: npt.ArrayLike, board: npt.ArrayLike) -> tuple[Array, Array]:
    """Distances in increasing order, and the mean board at each."""
    feet = np.asarray(distance, dtype=np.float64)
    boards = np.asarray(board, dtype=np.float64)
    if feet.shape != boards.shape or feet.ndim != 1:
        raise ValueError(f"one board for each distance, not {boards.shape} for {feet.shape}")
    seen = np.isfinite(feet) & np.isfinite(boards)
    places, which, count = np.unique(feet[seen], return_inverse=True, return_counts=True)
    return places, np.bincount(which, boards[seen], places.size) / np.maximum(count, 1)
