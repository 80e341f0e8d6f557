"""A figure as a list of marks in points, from the top left; every renderer reads the same list.

A kind of figure is set on a ``DisplayList``; ``svg.render`` writes it for page and PDF, and
``stills`` paints it for the screen.  Every mark belongs to a step, so that a still may show
the plate while it is still being built up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from explainer.charts import fonts
from explainer.charts.style import Face, Role, Shape

Points = NDArray[np.float64]
Anchor = Literal["start", "middle", "end"]

#: Steps of the build-up: empty axes with words, the data, their mean or line, then callouts.
AXES, DATA, SUMMARY, FIRST_CALLOUT, TAKEAWAY = 0, 1, 2, 3, 99


@dataclass(frozen=True)
class Box:
    """A rectangle: left, top, right, bottom."""

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

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        """True when the two share more than a hair, or come nearer than ``gap``."""
        return (
            self.left < other.right + gap - 0.01
            and other.left < self.right + gap - 0.01
            and self.top < other.bottom + gap - 0.01
            and other.top < self.bottom + gap - 0.01
        )

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def within(self, other: Box) -> bool:
        slack = 0.01
        return (
            self.left >= other.left - slack
            and self.right <= other.right + slack
            and self.top >= other.top - slack
            and self.bottom <= other.bottom + slack
        )


@dataclass(frozen=True, eq=False)
class Stroke:
    """One or more runs of line, or filled areas, drawn alike.  Each run is (k, 2)."""

    runs: tuple[Points, ...]
    stroke: Role | None
    width: float
    dash: tuple[float, ...] = ()
    fill: Role | None = None
    opacity: float = 1.0
    step: int = AXES


@dataclass(frozen=True, eq=False)
class Dots:
    """Markers of one shape and size, centred on each row of ``at`` (k, 2)."""

    at: Points
    shape: Shape
    radius: float
    fill: Role | None
    stroke: Role
    width: float
    step: int
    cells: tuple[tuple[int, int], ...] = ()
    """For each marker, where the figure's table has its number: row, and column (0: all of it)."""


@dataclass(frozen=True)
class Text:
    """One line of text; (x, y) is the anchor on its baseline."""

    x: float
    y: float
    text: str
    size: float
    face: Face
    role: Role
    anchor: Anchor
    step: int

    @property
    def box(self) -> Box:
        """The room it takes, from a little above its capitals to its descenders."""
        wide = fonts.width(self.text, self.size, self.face)
        left = self.x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]
        return Box(left, self.y - 0.74 * self.size, left + wide, self.y + 0.24 * self.size)


Mark = Stroke | Dots | Text


class DisplayList:
    """Marks in the order they are drawn, on paper of a given size in points."""

    def __init__(self, width: float, height: float) -> None:
        self.width = width
        self.height = height
        self.marks: list[Mark] = []
        self.left_out: list[str] = []
        """Callouts that found no room; said in the description instead."""

    @property
    def box(self) -> Box:
        return Box(0, 0, self.width, self.height)

    @property
    def steps(self) -> tuple[int, ...]:
        """The steps that have marks, in order: each is one still."""
        return tuple(sorted({mark.step for mark in self.marks} | {AXES}))

    @property
    def texts(self) -> list[Text]:
        return [mark for mark in self.marks if isinstance(mark, Text)]

    def upto(self, step: int | None) -> list[Mark]:
        """The marks of ``step`` and those before it; all of them for None."""
        return [mark for mark in self.marks if step is None or mark.step <= step]

    def line(
        self,
        points: Sequence[Sequence[float]] | Points,
        role: Role,
        width: float,
        dash: tuple[float, ...] = (),
        step: int = AXES,
        opacity: float = 1.0,
    ) -> None:
        """One run of straight pieces through ``points``."""
        self.lines([points], role, width, dash, step, opacity)

    def lines(
        self,
        runs: Iterable[Sequence[Sequence[float]] | Points],
        role: Role,
        width: float,
        dash: tuple[float, ...] = (),
        step: int = AXES,
        opacity: float = 1.0,
    ) -> None:
        """Several runs drawn alike, as one mark."""
        arrays = tuple(np.asarray(run, dtype=float) for run in runs)
        arrays = tuple(run for run in arrays if len(run) > 1)
        if arrays:
            self.marks.append(Stroke(arrays, role, width, dash, None, opacity, step))

    def area(
        self,
        points: Sequence[Sequence[float]] | Points,
        fill: Role,
        step: int = AXES,
        opacity: float = 1.0,
        stroke: Role | None = None,
        width: float = 0.0,
    ) -> None:
        """A filled shape."""
        shape = np.asarray(points, dtype=float)
        self.marks.append(Stroke((shape,), stroke, width, (), fill, opacity, step))

    def rectangle(self, box: Box, fill: Role, step: int = AXES, opacity: float = 1.0) -> None:
        """A filled rectangle."""
        corners = [(box.left, box.top), (box.right, box.top),
                   (box.right, box.bottom), (box.left, box.bottom)]  # fmt: skip
        self.area(corners, fill, step, opacity)

    def dots(
        self,
        at: Sequence[Sequence[float]] | Points,
        shape: Shape,
        radius: float,
        fill: Role | None,
        stroke: Role | None = None,
        width: float = 0.7,
        step: int = DATA,
        cells: Iterable[tuple[int, int]] = (),
    ) -> None:
        """Markers; without ``stroke`` their edge has the colour of their fill."""
        where = np.asarray(at, dtype=float).reshape(-1, 2)
        if len(where):
            edge = stroke or fill or "ink"
            self.marks.append(Dots(where, shape, radius, fill, edge, width, step, tuple(cells)))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        role: Role = "ink",
        face: Face = "sans",
        anchor: Anchor = "start",
        step: int = AXES,
    ) -> Text:
        """One line of text; gives it back so that its box can be kept free."""
        mark = Text(x, y, fonts.typeset(text), size, face, role, anchor, step)
        if text.strip():
            self.marks.append(mark)
        return mark


def hatching(box: Box, spacing: float = 5.0) -> list[list[tuple[float, float]]]:
    """Lines at 45 degrees across a box, cut at its edges; every second one from its upper end.

    Back and forth, each begins near the end of the one before, which is the shortest to write.
    """
    runs: list[list[tuple[float, float]]] = []
    start = np.floor((box.left - box.height) / spacing) * spacing
    for offset in np.arange(start, box.right, spacing):
        left = max(box.left, float(offset))
        right = min(box.right, float(offset) + box.height)
        if right - left > 0.3:
            ends = [(x, box.bottom - (x - float(offset))) for x in (left, right)]
            runs.append(ends[::-1] if len(runs) % 2 else ends)
    return runs
