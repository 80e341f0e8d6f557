"""Where labels go: never on one another, never off the paper, rarely on the data.

Right-hand labels of lines are a one-dimensional problem with an exact answer (``spread``).
Free-standing notes look for the emptiest spot near the thing they speak of, on a coarse map of
what is already drawn (``InkMap``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from explainer.charts.plate import Box, Plate, Points

CELL = 2.5
#: What it costs to cover a cell that holds text; data ink costs its own weight.
BLOCKED = 1e4


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Positions at least ``gap`` apart within [low, high], as near to ``wanted`` as can be.

    Least squares by pooling adjacent violators (isotonic regression; Barlow and others,
    *Statistical Inference under Order Restrictions*, 1972, from memory).  With more labels than
    room the gap shrinks to what there is.  ``wanted`` may be in any order.
    """
    n = len(wanted)
    if n == 0:
        return []
    gap = min(gap, (high - low) / (n - 1)) if n > 1 else gap
    order = np.argsort(np.asarray(wanted), kind="stable")
    blocks: list[tuple[float, int]] = []
    for rank, index in enumerate(order):
        mean, size = wanted[index] - rank * gap, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean = (mean * size + before * many) / (size + many)
            size += many
        blocks.append((mean, size))
    level = np.repeat([mean for mean, _ in blocks], [size for _, size in blocks])
    level = np.clip(level, low, high - (n - 1) * gap)
    places = [0.0] * n
    for rank, index in enumerate(order):
        places[index] = float(level[rank] + rank * gap)
    return places


class InkMap:
    """How much ink lies where, in cells of a few points; a label asks it for room."""

    def __init__(self, width: float, height: float) -> None:
        self.shape = (int(np.ceil(height / CELL)) + 1, int(np.ceil(width / CELL)) + 1)
        self.ink: NDArray[np.float64] = np.zeros(self.shape)

    def add_line(self, points: Points, weight: float = 1.0) -> None:
        """Ink along the pieces between points (k, 2)."""
        if len(points) < 2:
            self.add_points(points, weight)
            return
        length = np.hypot(*np.diff(points, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(length)])
        at = np.arange(0.0, along[-1] + CELL, CELL)
        sampled = np.column_stack([np.interp(at, along, points[:, k]) for k in (0, 1)])
        self.add_points(sampled, weight)

    def add_points(self, points: Points, weight: float = 1.0) -> None:
        """Ink on each point (k, 2); points off the map are left out."""
        cells = np.floor(np.asarray(points, dtype=float).reshape(-1, 2) / CELL).astype(int)
        rows, columns = cells[:, 1], cells[:, 0]
        on = (rows >= 0) & (rows < self.shape[0]) & (columns >= 0) & (columns < self.shape[1])
        np.add.at(self.ink, (rows[on], columns[on]), weight)

    def block(self, box: Box) -> None:
        """No label may cover this box."""
        top, left = max(0, int(box.top // CELL)), max(0, int(box.left // CELL))
        bottom, right = int(np.ceil(box.bottom / CELL)), int(np.ceil(box.right / CELL))
        self.ink[top:bottom, left:right] += BLOCKED

    def place(self, wide: float, tall: float, near: tuple[float, float], inside: Box,
              pull: float = 0.05, reach: float = 9.0) -> Placed | None:  # fmt: skip
        """The best spot for a box of this size inside another, near a point but not on it.

        ``pull`` is what a point of distance costs, against 1 for a cell of ink; ``reach`` the
        distance kept from the point.  None when the box is larger than its room.
        """
        columns, rows = (
            _starts(inside.left, inside.right - wide),
            _starts(inside.top, inside.bottom - tall),
        )
        if not len(columns) or not len(rows):
            return None
        total = np.zeros((self.shape[0] + 1, self.shape[1] + 1))
        total[1:, 1:] = self.ink.cumsum(0).cumsum(1)
        right = np.minimum(np.ceil((columns * CELL + wide) / CELL).astype(int), self.shape[1])
        below = np.minimum(np.ceil((rows * CELL + tall) / CELL).astype(int), self.shape[0])
        cover = (
            total[np.ix_(below, right)]
            - total[np.ix_(rows, right)]
            - total[np.ix_(below, columns)]
            + total[np.ix_(rows, columns)]
        )
        left, top = columns * CELL, rows * CELL
        dx = np.maximum(np.maximum(left - near[0], near[0] - left - wide), 0)
        dy = np.maximum(np.maximum(top - near[1], near[1] - top - tall), 0)
        distance = np.hypot(dx[None, :], dy[:, None])
        cost = cover + pull * distance + np.where(distance < reach, 5 * (reach - distance), 0)
        row, column = np.unravel_index(int(np.argmin(cost)), cost.shape)
        box = Box(
            float(left[column]), float(top[row]), float(left[column]) + wide, float(top[row]) + tall
        )
        return Placed(box, bool(cover[row, column] < BLOCKED))


@dataclass(frozen=True)
class Placed:
    """A spot, and whether it is free of other text."""

    box: Box
    free: bool


def _starts(low: float, high: float) -> NDArray[np.int_]:
    return np.arange(int(np.ceil(low / CELL)), int(np.floor(high / CELL)) + 1)


def overlaps(plate: Plate) -> list[str]:
    """Every pair of texts that overlap and every text that leaves the paper, in words."""
    found = []
    texts = plate.texts
    boxes = [text.box for text in texts]
    for index, box in enumerate(boxes):
        if not box.within(plate.box):
            found.append(f"{texts[index].text!r} leaves the paper")
        found += [
            f"{texts[index].text!r} overlaps {texts[other].text!r}"
            for other in range(index + 1, len(boxes))
            if box.meets(boxes[other])
        ]
    return found
