"""What a page draws and prints, as plain geometry in points from its top left corner, as shown.

Only this file and ``pages.py`` know the PDF library; whatever reads charts reads these records.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

Point = tuple[float, float]
Colour = tuple[int, int, int, int]


class PageBox(NamedTuple):
    """Left, top, right, bottom in points; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def centre(self) -> Point:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def holds(self, point: Point, slack: float = 0.0) -> bool:
        return (
            self.left - slack <= point[0] <= self.right + slack
            and self.top - slack <= point[1] <= self.bottom + slack
        )

    def touches(self, other: PageBox, slack: float = 0.0) -> bool:
        return (
            self.left - slack <= other.right
            and other.left <= self.right + slack
            and self.top - slack <= other.bottom
            and other.top <= self.bottom + slack
        )


def around(boxes: list[PageBox]) -> PageBox:
    """The smallest box that holds them all."""
    return PageBox(
        min(b.left for b in boxes), min(b.top for b in boxes),
        max(b.right for b in boxes), max(b.bottom for b in boxes),
    )  # fmt: skip


@dataclass(frozen=True)
class DrawnShape:
    """One stroke or filled outline: ``knots`` are its corners, ``outline`` follows its curves."""

    knots: tuple[Point, ...]
    outline: tuple[Point, ...]
    closed: bool
    fill: Colour | None
    stroke: Colour | None
    width: float
    dash: tuple[float, ...]
    kinds: str
    """One letter per step: m(ove), l(ine), c(urve)."""
    order: int
    """Its place in the order of drawing; strokes of one path share it."""

    @property
    def box(self) -> PageBox:
        xs, ys = [p[0] for p in self.outline], [p[1] for p in self.outline]
        return PageBox(min(xs), min(ys), max(xs), max(ys))

    @property
    def is_segment(self) -> bool:
        """A straight stroke (of two knots, or of several on one line)."""
        box = self.box
        return not self.closed and "c" not in self.kinds and (box.width < 0.05 or box.height < 0.05)


@dataclass(frozen=True)
class PrintedWord:
    """A word; a raised smaller part is written behind ``^``."""

    text: str
    box: PageBox
    size: float
    turned: bool
    """Printed from bottom to top or top to bottom."""

    @property
    def middle(self) -> Point:
        return self.box.centre


@dataclass(frozen=True)
class PageDrawing:
    """A page as far as charts need it."""

    number: int
    width: float
    height: float
    shapes: tuple[DrawnShape, ...]
    words: tuple[PrintedWord, ...]
    pictures: tuple[PageBox, ...]
    """Where images lie."""
