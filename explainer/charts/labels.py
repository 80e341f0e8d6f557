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

from explainer.charts.display_list import Box, DisplayList, Points

CELL = 2.5
#: How many spots, each away from the others, are weighed by their leader.
LOOKS = 14
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

    def copy(self) -> InkMap:
        """The same map, to try things on."""
        other = InkMap(0, 0)
        other.shape, other.ink = self.shape, self.ink.copy()
        return other

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
        self._cells(box)[:] += BLOCKED

    def block_points(self, points: Points, radius: float) -> None:
        """No label may cover a mark of this radius on any of the points (k, 2)."""
        for x, y in np.asarray(points, dtype=float).reshape(-1, 2).tolist():
            self.block(Box(x - radius, y - radius, x + radius, y + radius))

    def under(self, box: Box) -> float:
        """How much ink a box would cover."""
        return float(self._cells(box).sum())

    def _cells(self, box: Box) -> NDArray[np.float64]:
        """The part of the map that a box touches."""
        top, left = max(0, int(box.top // CELL)), max(0, int(box.left // CELL))
        bottom, right = int(np.ceil(box.bottom / CELL)), int(np.ceil(box.right / CELL))
        return self.ink[top:bottom, left:right]

    def place(
        self,
        wide: float,
        tall: float,
        near: tuple[float, float],
        inside: Box,
        pull: float = 0.05,
        reach: float = 9.0,
        leader: bool = False,
    ) -> Placed | None:
        """The best spot for a box of this size inside another, near a point but not on it.

        ``pull`` is what a point of distance costs, against 1 for a cell of ink; ``reach`` the
        distance kept from the point.  With ``leader``, the best few spots are weighed again by
        what a line from there would run over.  None when the box is larger than its room.
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
        best: tuple[float, Box, bool] | None = None
        for _ in range(LOOKS if leader else 1):
            row, column = np.unravel_index(int(np.argmin(cost)), cost.shape)
            x, y = float(left[column]), float(top[row])
            box = Box(x, y, x + wide, y + tall)
            price = float(cost[row, column]) + (self.crossed(box, near) if leader else 0.0)
            if best is None or price < best[0]:
                best = price, box, bool(cover[row, column] < BLOCKED)
            cost[max(0, row - 5) : row + 6, max(0, column - 5) : column + 6] = np.inf
        assert best is not None
        return Placed(best[1], best[2], best[0])

    def crossed(self, box: Box, near: tuple[float, float]) -> float:
        """What a straight leader from the box to the point runs over: text costs most."""
        x, y = np.clip(near[0], box.left, box.right), np.clip(near[1], box.top, box.bottom)
        share = np.linspace(0.05, 0.9, 24)
        columns = ((x + (near[0] - x) * share) / CELL).astype(int)
        rows = ((y + (near[1] - y) * share) / CELL).astype(int)
        under = self.ink[rows.clip(0, self.shape[0] - 1), columns.clip(0, self.shape[1] - 1)]
        return float(np.minimum(under, 40.0).sum() * 0.5)


@dataclass(frozen=True)
class Placed:
    """A spot, whether it is free of other text, and what it costs in ink and distance."""

    box: Box
    free: bool
    price: float


def _starts(low: float, high: float) -> NDArray[np.int_]:
    return np.arange(int(np.ceil(low / CELL)), int(np.floor(high / CELL)) + 1)


def overlaps(plate: DisplayList) -> list[str]:
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
