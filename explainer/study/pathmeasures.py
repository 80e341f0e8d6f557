"""What one ball path says in a number: total hook, entry angle, breakpoint, board at a distance.

A path is two arrays of equal length: feet down the lane, ascending, and the board the ball is
on, counted from the bowler's side.  Formulas as in the project's notes on methods, section 13.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from explainer.units import BOARD_INCHES

Floats = NDArray[np.float64]


class PathError(ValueError):
    """A path too short for what is asked.  Internal: becomes a Problem with the path's row."""


def total_hook(feet: Floats, board: Floats, launch: tuple[float, float]) -> float:
    """Boards between the last point and the launch line carried on to the same distance.

    The launch line is the straight line (least squares) through the points that lie from
    ``launch[0]`` to ``launch[1]`` feet; at least two are needed, and one beyond.
    """
    straight = (feet >= launch[0]) & (feet <= launch[1])
    if np.count_nonzero(straight) < 2:
        raise PathError(f"fewer than 2 points from {launch[0]:g} to {launch[1]:g} feet")
    if straight[-1]:
        raise PathError(f"no point past {launch[1]:g} feet")
    x, y = feet[straight], board[straight]
    middle = x.mean()
    slope = float(((x - middle) * (y - y.mean())).sum() / ((x - middle) ** 2).sum())
    return float(board[-1] - (y.mean() + slope * (feet[-1] - middle)))


def entry_angle(feet: Floats, board: Floats) -> float:
    """Degrees between the last segment of the path and the lane's length.

    Positive where the ball moves away from the bowler's side.  The width of a board is that of
    ``explainer.units``.
    """
    if len(feet) < 2:
        raise PathError("fewer than 2 points")
    sideways = float(board[-1] - board[-2]) * BOARD_INCHES
    return math.degrees(math.atan2(sideways, float(feet[-1] - feet[-2]) * 12))


def breakpoint_feet(feet: Floats, board: Floats) -> float:
    """Feet at which the path is farthest out: known only to the spacing of the points.

    Farthest out is the lowest board of a path that comes back up, the highest of one that comes
    back down; the first such point where several are equal.  A path that never turns has its
    breakpoint where it starts to leave its outermost board.
    """
    if len(feet) < 3:
        raise PathError("fewer than 3 points")
    low, high = int(np.argmin(board)), int(np.argmax(board))
    below = min(board[0], board[-1]) - board[low]
    above = board[high] - max(board[0], board[-1])
    return float(feet[high if above > below else low])


def board_at(feet: Floats, board: Floats, at: float) -> float:
    """The board at ``at`` feet, by straight lines between the points; never beyond them."""
    if not len(feet) or at < feet[0] or at > feet[-1]:
        raise PathError(f"no points on both sides of {at:g} feet")
    return float(np.interp(at, feet, board))
