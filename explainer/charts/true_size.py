"""The true-size drawing: a footprint, a board or a scratch beside a thing everyone has held.

Printed at 100 per cent it can be laid against the thing itself.  What is too small to see is
drawn so many times larger, all by the same factor, and says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from explainer.charts import axis, fonts, style, svg
from explainer.charts.display_list import AXES, Box, DisplayList, hatching
from explainer.charts.style import SMALL

WIDTH = 330.0
MARGIN = 4.0
MM = 72 / 25.4
"""Points in a millimeter."""
TALL = 14.0
LARGEST_MM = (WIDTH - 2 * MARGIN) / MM


@dataclass(frozen=True)
class TrueSize:
    """A thing and its size in millimeters; ``round`` ones are drawn as circles that wide."""

    label: str
    mm: float
    shape: Literal["bar", "round"] = "bar"


def draw_true_size(
    things: Sequence[TrueSize], uid: str, title: str, description: str, white: bool = False
) -> str:
    """The things as an SVG element whose own size on paper is true (or the factor is said)."""
    plate = true_size_plate(things)
    return svg.render(plate, uid, title, description, ground=False, white=white, on_paper=True)


def true_size_plate(things: Sequence[TrueSize]) -> DisplayList:
    """Each thing in a row of its own, the first (what the study speaks of) hatched."""
    shown = [thing for thing in things if math.isfinite(thing.mm) and thing.mm > 0]
    times = magnification(max((thing.mm for thing in shown), default=1.0))
    rows = [_height(thing, times) + SMALL * 1.9 for thing in shown]
    plate = DisplayList(WIDTH, sum(rows) + SMALL * 1.6)
    top = 0.0
    for index, (thing, row) in enumerate(zip(shown, rows, strict=True)):
        label = fonts.shorten(thing.label, SMALL, "sans-bold", WIDTH - 2 * MARGIN)
        plate.text(MARGIN, top + SMALL * 1.1, label, SMALL, face="sans-bold")
        _thing(plate, thing, times, top + SMALL * 1.55, hatched=index == 0)
        top += row
    plate.text(MARGIN, plate.height - 3, _scale(times), SMALL, "muted")
    return plate


def magnification(largest_mm: float) -> float:
    """1 where the largest thing can be seen and fits; else 1, 2 or 5 times a power of ten.

    Below half a millimeter a line on paper is as wide as the thing.
    """
    if 0.5 <= largest_mm <= LARGEST_MM:
        return 1.0
    share = 0.8 if largest_mm > LARGEST_MM else 0.35  # a circle needs its height, too
    room = LARGEST_MM * share / largest_mm
    power = 10.0 ** math.floor(math.log10(room))
    return max(m * power for m in (1.0, 2.0, 5.0) if m * power <= room * 1.0001)


def _scale(times: float) -> str:
    if times == 1:
        return "true size when printed at 100 per cent"
    if times > 1:
        return f"drawn {axis.short(times)} times as large as it is"
    return f"drawn at 1/{axis.short(1 / times)} of its size"


def _height(thing: TrueSize, times: float) -> float:
    return thing.mm * times * MM if thing.shape == "round" else TALL


def _thing(plate: DisplayList, thing: TrueSize, times: float, top: float, hatched: bool) -> None:
    """The outline, at its size; what the study speaks of is hatched."""
    wide = thing.mm * times * MM
    if thing.shape == "round":
        angle = np.linspace(0, 2 * np.pi, 61)
        radius = wide / 2
        outline = np.column_stack(
            [MARGIN + radius + radius * np.cos(angle), top + radius + radius * np.sin(angle)]
        )
        plate.area(outline, "zone", AXES, stroke="ink", width=style.THIN)
        return
    box = Box(MARGIN, top, MARGIN + wide, top + TALL)
    plate.rectangle(box, "zone")
    if hatched:
        plate.lines(hatching(box, 3.5), "line", style.HAIR)
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom),
               (box.left, box.bottom), (box.left, box.top)]  # fmt: skip
    plate.line(corners, "ink", style.THIN)
