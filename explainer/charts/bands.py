"""Bands and lines across the area: what is too small to matter, and a rule's limit."""

from __future__ import annotations

import numpy as np

from explainer.charts import axis, fonts, style
from explainer.charts.axis import Axis
from explainer.charts.callouts import callouts
from explainer.charts.display_list import AXES, DATA, Box, DisplayList
from explainer.charts.frame import Frame, Sign, frame, knocked_out
from explainer.charts.style import SMALL, WIDE, Canvas
from explainer.claims.figure_data import Yardstick
from explainer.words.said import FigureWords


def zone(made: Frame, between: tuple[float, float] | None) -> None:
    """The shaded band between two values, its edges drawn, since shading alone is too faint."""
    if between is None or made.sheet.poster:
        return
    area = made.area
    bottom, top = made.up(between).tolist()
    top, bottom = max(top, area.top), min(bottom, area.bottom)
    made.plate.rectangle(Box(area.left, top, area.right, bottom), "zone")
    edges = [[(area.left, height), (area.right, height)] for height in (top, bottom)]
    made.plate.lines(edges, "line", style.HAIR, (2, 2))


def zone_label(made: Frame, between: tuple[float, float] | None, text: str) -> None:
    """Says what the band means, where it hides least; beside the band if that is thin."""
    if between is None or made.sheet.phone or made.sheet.poster:
        return
    bottom, top = made.up(between).tolist()
    wide, tall = fonts.width(text, SMALL) + 4, SMALL * 1.2
    area = made.area
    strip = Box(area.left + 2, max(area.top, top), area.right - 2, min(area.bottom, bottom))
    if strip.height < tall + 5:
        above, below = max(area.top, top - tall - 4), min(area.bottom, bottom + tall + 4)
        strip = Box(strip.left, above, strip.right, below)
    near = (area.left + area.width * 0.6, strip.bottom)
    found = made.ink.place(wide, tall, near, strip, reach=0)
    if found and found.free:
        x, y = found.box.left + 2, found.box.top + 0.86 * SMALL
        made.plate.rectangle(found.box, "zone")
        made.ink.block(made.plate.text(x, y, text, SMALL, "muted").box.grown(2))


def limits(made: Frame, at_least: float | None, at_most: float | None) -> None:
    """A rule's limits as lines, where they lie on the scale."""
    area = made.area
    for value in (at_least, at_most):
        if value is not None and _on_scale(made, value):
            height = float(made.up(value))
            ends = [(area.left, height), (area.right, height)]
            made.plate.line(ends, "accent", style.LINE, (6, 2.5))
            made.ink.add_line(np.array(ends), 4.0)


def limit_labels(
    made: Frame, at_least: float | None, at_most: float | None, unit: str = ""
) -> None:
    """What each line asks for; a limit off the scale is named at the edge it lies past."""
    area = made.area
    if made.sheet.phone:
        return
    for value, text in _rules(made.y, at_least, at_most, unit):
        height = float(made.up(value))
        height = min(max(height, area.top), area.bottom)
        wide = fonts.width(text, SMALL) + 4
        above, below = max(area.top, height - 15), min(area.bottom, height + 15)
        strip = Box(area.left + 2, above, area.right - 2, below)
        found = made.ink.place(wide, SMALL * 1.2, (area.left, height - 9), strip, 0.08, 0)
        if found and found.free:
            x, y = found.box.left + 2, found.box.top + 0.86 * SMALL
            knocked_out(made, x, y, text, SMALL, "accent", step=AXES)


def zone_signs(between: tuple[float, float] | None, text: str) -> list[Sign]:
    """What the band means, for a phone."""
    return [] if between is None else [Sign(text, ground="zone")]


def limit_signs(y: Axis, at_least: float | None, at_most: float | None, unit: str) -> list[Sign]:
    """What each line asks for, for a phone."""
    line = ("accent", style.LINE, (6.0, 2.5))
    return [Sign(text, "accent", line) for _, text in _rules(y, at_least, at_most, unit)]


def _rules(
    y: Axis, at_least: float | None, at_most: float | None, unit: str
) -> list[tuple[float, str]]:
    """Each limit and what it asks for; past which edge it lies where it is off the scale."""
    found = []
    for value, name in ((at_least, "at least"), (at_most, "at most")):
        if value is None:
            continue
        text = f"the rule: {name} {in_unit(axis.short(value * y.told), unit)}"
        place = float(y.place(value))
        if not -1e-4 <= place <= 1 + 1e-4:
            text = f"{'↓' if place < 0 else '↑'} {text}, off this scale"
        found.append((value, text))
    return found


def in_unit(number: str, unit: str) -> str:
    """``40 microinches``, ``40%``."""
    return f"{number}{unit}" if unit == "%" else f"{number} {unit}".rstrip()


def _on_scale(made: Frame, value: float) -> bool:
    return made.area.top - 0.01 <= float(made.up(value)) <= made.area.bottom + 0.01


# The physics yardstick: one smooth curve, labelled as a formula and not as data.

#: A lane from foul line to head pin, in feet (common practice, no source).
LANE_FEET = 60.0


def draw_yardstick(curve: Yardstick, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The curve on a sheet; dashed, for it is worked out and not measured."""
    if curve.kind == "roll-out":
        shown = [(x, y) for x, y in zip(curve.x, curve.y, strict=True) if y <= 2 * LANE_FEET]
        y_axis: Axis = axis.fit([0.0, *(y for _, y in shown), LANE_FEET], 0.05)
    else:
        shown = list(zip(curve.x, curve.y, strict=True))
        y_axis = axis.fit([*(y for _, y in shown), 1.0], 0.08)
    made = frame(sheet, words, axis.fit([x for x, _ in shown], 0.03), y_axis)
    level = LANE_FEET if curve.kind == "roll-out" else 1.0
    across = made.points([made.x.low, made.x.high], [level, level])
    made.plate.line(across, "muted", style.THIN, (2, 3), DATA)
    spots = made.points([x for x, _ in shown], [y for _, y in shown])
    made.plate.line(spots, "ink", 1.8, (6, 3), DATA)
    made.ink.add_line(spots, 3)
    callouts(made, words)
    return made.plate
