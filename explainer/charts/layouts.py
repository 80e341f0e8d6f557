"""The pictures of a video: wide or tall, whole or with a place left free for a face.

Each is laid out for itself: figures and cards are set anew on the sheet that a layout leaves
them, never cut out of another.  The safe margins of a tall picture are those that common video
sites cover with their own buttons and words: a ninth at the top, a fifth at the foot, a tenth on
the right (common practice, values from memory); the place for a face covers the foot.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from explainer.charts.display_list import Box, DisplayList, Dots, Mark, Stroke
from explainer.charts.style import STILL, STILL_SCALE, Canvas


@dataclass(frozen=True)
class Layout:
    """A picture in points, what a point is in pixels, and the sheet that is set on it."""

    name: str
    width: float
    height: float
    scale: float
    sheet: Canvas
    left: float = 0.0
    top: float = 0.0
    face: Box | None = None
    """Where nothing is drawn, so that somebody can stand there."""

    @property
    def pixels(self) -> tuple[int, int]:
        return round(self.width * self.scale), round(self.height * self.scale)

    @property
    def safe(self) -> Box:
        """Where words stand, in points of the picture: the sheet within its margins."""
        sheet = self.sheet
        return Box(
            self.left + sheet.margin_x, self.top + sheet.margin_y,
            self.left + sheet.width - sheet.margin_x, self.top + sheet.height - sheet.margin_y,
        )  # fmt: skip

    def set(self, drawn: DisplayList) -> DisplayList:
        """What was drawn on the sheet, in its place on the whole picture."""
        if (drawn.width, drawn.height) == (self.width, self.height):
            return drawn
        plate = DisplayList(self.width, self.height)
        plate.marks = [moved(mark, self.left, self.top) for mark in drawn.marks]
        plate.left_out = list(drawn.left_out)
        return plate


def moved(mark: Mark, right: float, down: float) -> Mark:
    """The same mark elsewhere."""
    if isinstance(mark, Stroke):
        return replace(mark, runs=tuple(run + np.array([right, down]) for run in mark.runs))
    if isinstance(mark, Dots):
        return replace(mark, at=mark.at + np.array([right, down]))
    return replace(mark, x=mark.x + right, y=mark.y + down)


SCREEN = Layout("stills", STILL.width, STILL.height, STILL_SCALE, STILL)
BESIDE = Layout(
    "stills-beside", STILL.width, STILL.height, STILL_SCALE,
    Canvas("beside", 336, STILL.height, STILL.margin_x, STILL.margin_y, titled=True),
    face=Box(336, 0, STILL.width, STILL.height),
)  # fmt: skip
TALL = Layout(
    "stills-tall", 300, 1600 / 3, 3.6, Canvas("tall-still", 271, 306, 5, 5, titled=True),
    left=9, top=58, face=Box(0, 366, 300, 1600 / 3),
)  # fmt: skip
