"""What all figures with two axes share: margins, ticks, axis words, the note, callouts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from explainer.charts import fonts, style
from explainer.charts.axis import Axis
from explainer.charts.display_list import (
    AXES,
    DATA,
    FIRST_CALLOUT,
    TAKEAWAY,
    Anchor,
    Box,
    DisplayList,
    Points,
    Text,
    hatching,
)
from explainer.charts.labels import InkMap
from explainer.charts.style import CALLOUT, LABEL, SMALL, TICK, Canvas, Face, Look, Role, Shape
from explainer.words.said import FigureWords


@dataclass(frozen=True)
class Frame:
    """A plate with its axes drawn: ``area`` is the room for data, in points."""

    plate: DisplayList
    sheet: Canvas
    area: Box
    x: Axis
    y: Axis
    ink: InkMap
    foot: float
    """Baseline of the line of words under the horizontal axis."""

    def across(self, values: ArrayLike) -> Points:
        return self.area.left + self.x.place(values) * self.area.width

    def up(self, values: ArrayLike) -> Points:
        return self.area.bottom - self.y.place(values) * self.area.height

    def points(self, x: ArrayLike, y: ArrayLike) -> Points:
        """Data as rows (across, down) in points."""
        return np.column_stack([np.atleast_1d(self.across(x)), np.atleast_1d(self.up(y))])

    def at(self, x: float, y: float) -> tuple[float, float]:
        """One point, held inside the area if it lies outside."""
        spot = self.points(x, y)[0]
        return (
            float(np.clip(spot[0], self.area.left, self.area.right)),
            float(np.clip(spot[1], self.area.top, self.area.bottom)),
        )


Key = Sequence[tuple[str, Look]]
RING = 4.2
"""Radius of the ring about what a callout speaks of."""
SWATCH = 16.0
"""Width of the sample of a mark before its words."""


@dataclass(frozen=True)
class Sign:
    """A sample of a mark and what it means, on a line of its own under the data of a phone."""

    text: str
    role: Role = "muted"
    line: tuple[Role, float, tuple[float, ...]] | None = None
    """Colour, width and dash."""
    dots: tuple[tuple[Shape, Role | None, Role], ...] = ()
    """Shape, fill and edge of each, from left to right."""
    ground: Literal["", "zone", "hatched"] = ""
    upright: bool = False
    """The line stands between two ends, as a bracket or a range does."""

    def rows(self, room: float) -> list[str]:
        return fonts.wrap(self.text, SMALL, "sans", room - SWATCH - 4)

    def draw(self, plate: DisplayList, x: float, y: float) -> None:
        """The sample with its middle at the height ``y``."""
        box = Box(x, y - 3.6, x + SWATCH, y + 3.6)
        if self.ground == "zone":
            plate.rectangle(box, "zone")
            edges = [[(box.left, h), (box.right, h)] for h in (box.top, box.bottom)]
            plate.lines(edges, "line", style.HAIR, (2, 2))
        elif self.ground:
            plate.lines(hatching(box), "line", style.HAIR)
        if self.line is not None:
            role, width, dash = self.line
            middle = x + SWATCH / 2
            runs = [[(x, y), (x + SWATCH, y)]]
            if self.upright:
                runs = [[(middle, box.top), (middle, box.bottom)]]
                ends = () if dash else (box.top, box.bottom)
                runs += [[(middle - 3, h), (middle + 3, h)] for h in ends]
            plate.lines(runs, role, width, dash)
        apart = SWATCH / (len(self.dots) + 1)
        for index, (shape, fill, edge) in enumerate(self.dots, start=1):
            plate.dots([(x + index * apart, y)], shape, style.DOT * 1.2, fill, edge, 1.0, AXES)


def frame(
    sheet: Canvas,
    words: FigureWords,
    x: Axis,
    y: Axis,
    right: float = 0.0,
    key: Key = (),
    x_ticks: bool = True,
    tick_lines: int = 1,
    headroom: float = 0.0,
    signs: Sequence[Sign] = (),
    key_lines: bool = True,
) -> Frame:
    """Sets title, axis words, ticks and note; leaves ``right`` points free beside the area.

    ``tick_lines`` is how many lines of words stand under the area: columns may need two;
    ``headroom`` is kept free above it.  On a phone ``signs`` say under the data what other sheets
    say among them, and the first callout stands above.
    """
    x, y = x.told_as(words.x_told), y.told_as(words.y_told)
    if sheet.phone:
        sheet = _as_high(sheet, words, y, key, right, headroom + (tick_lines - 1) * TICK * 1.22,
                         signs)  # fmt: skip
    plate = DisplayList(sheet.width, sheet.height)
    left = sheet.margin_x + max((fonts.width(t, TICK) for t in y.labels), default=0) + 7
    edge = sheet.width - sheet.margin_x - right
    top = _head(plate, sheet, words, key, y, key_lines) + headroom
    bottom, foot = _foot(plate, sheet, words, left, edge, signs)
    bottom -= (tick_lines - 1) * TICK * style.LEADING
    area = Box(left, top, edge, bottom)
    made = Frame(plate, sheet, area, x, y, InkMap(plate.width, plate.height), foot)
    grid(made)
    if x_ticks:
        ticks(made, x.ticks, x.labels)
    return made


def _as_high(
    sheet: Canvas, words: FigureWords, y: Axis, key: Key, right: float, more: float,
    signs: Sequence[Sign],
) -> Canvas:  # fmt: skip
    """The sheet as high as its words and ``more`` points take beside the room for data."""
    blank = DisplayList(sheet.width, sheet.height)
    left = sheet.margin_x + max((fonts.width(t, TICK) for t in y.labels), default=0) + 7
    edge = sheet.width - sheet.margin_x - right
    head = _head(blank, sheet, words, key, y)
    foot = sheet.height - _foot(blank, sheet, words, left, edge, signs)[0]
    return replace(sheet, height=round(head + foot + more + sheet.area))


def _head(
    plate: DisplayList, sheet: Canvas, words: FigureWords, key: Key, axis: Axis,
    key_lines: bool = True,
) -> float:  # fmt: skip
    """Title (in a still), the vertical axis in words, and the key; gives the area's top."""
    room = sheet.width - 2 * sheet.margin_x
    y = sheet.margin_y
    if sheet.titled:
        size = style.TITLE
        while len(lines := fonts.balanced(words.title, size, "serif-bold", room)) > 2 and size > 9:
            size -= 1
        for line in lines:
            y += size * 1.16
            plate.text(sheet.margin_x, y - 3, line, size, face="serif-bold", step=TAKEAWAY)
        y += 5
    y += LABEL * 1.1
    *above, label = fonts.wrap(words.y_label, LABEL, "sans-bold", room) or [""]
    for line in above:
        plate.text(sheet.margin_x, y, line, LABEL, face="sans-bold")
        y += LABEL * style.LEADING
    arrows = "↑↓" if axis.high > axis.low else "↓↑"
    ends = "\u00a0\u00a0 ".join(
        f"{arrow} {word}"
        for word, arrow in zip(reversed(words.y_ends), arrows, strict=True)
        if word
    )
    plate.text(sheet.margin_x, y, label, LABEL, face="sans-bold")
    x = sheet.margin_x + fonts.width(label, LABEL, "sans-bold") + 10
    if axis.log:
        ends += "\u00a0\u00a0 (each line up is ten times the last)"
    if ends and x + fonts.width(ends, LABEL) > sheet.width - sheet.margin_x:
        x, y = sheet.margin_x, y + LABEL * style.LEADING
    if ends:
        ends = fonts.shorten(ends, LABEL, "sans", room)
        plate.text(x, y, ends, LABEL, "muted")
        x += fonts.width(ends, LABEL) + 12
    if key:
        y = _key(plate, sheet, key, x, y, key_lines)
    if sheet.phone and words.callouts:
        y = _callout(plate, sheet, words.callouts[0], y + 3)
    return y + 9


def _callout(
    plate: DisplayList, sheet: Canvas, callout: tuple[str, tuple[float, float]], y: float
) -> float:
    """A remark above the data, after a ring like the one about what it speaks of."""
    text, spot = callout
    x = sheet.margin_x
    ringed = bool(np.isfinite(spot).all())
    if ringed:
        at = (x + RING + 1, y + 0.95 * CALLOUT)
        plate.dots([at], "circle", RING, None, "accent", style.THIN, FIRST_CALLOUT)
        x += 2 * RING + 5
    room = sheet.width - sheet.margin_x - x
    for line in fonts.balanced(text, CALLOUT, "serif-italic", room):
        y += CALLOUT * style.LEADING
        plate.text(x, y, line, CALLOUT, "ink", "serif-italic", step=FIRST_CALLOUT)
    return y


def _key(
    plate: DisplayList, sheet: Canvas, key: Key, x: float, y: float, lines: bool
) -> float:
    """Names of groups beside their marker, and their line if any, at the right end of the head."""
    room = sheet.width - 2 * sheet.margin_x
    sizes = [min(fonts.width(name, LABEL), room - 30) + 30 for name, _ in key]
    at = sheet.width - sheet.margin_x - sum(sizes) + 8
    if at < x:
        at, y = sheet.margin_x, y + LABEL * style.LEADING
    for (name, look), size in zip(key, sizes, strict=True):
        if at + size - 8 > sheet.width - sheet.margin_x + 0.01:
            at, y = sheet.margin_x, y + LABEL * style.LEADING
        middle = y - 0.32 * LABEL
        if lines:
            plate.line([(at, middle), (at + 16, middle)], look.role, style.LINE, look.dash)
        plate.dots([(at + 8, middle)], look.shape, style.DOT, look.role, step=AXES)
        name = fonts.shorten(name, LABEL, "sans", size - 29)
        plate.text(at + 20, y, name, LABEL, look.role)
        at += size
    return y


def _foot(
    plate: DisplayList, sheet: Canvas, words: FigureWords, left: float, right: float,
    signs: Sequence[Sign] = (),
) -> tuple[float, float]:  # fmt: skip
    """The note, a phone's signs and the horizontal axis in words; gives the area's bottom and the
    axis's baseline.
    """
    y = sheet.height - sheet.margin_y - 2
    room = sheet.width - 2 * sheet.margin_x
    for line in reversed(fonts.wrap(words.note, SMALL, "sans", room)):
        plate.text(sheet.margin_x, y, line, SMALL, "muted")
        y -= SMALL * style.LEADING
    if words.note:
        y -= 3
    for sign in reversed(signs if sheet.phone else ()):
        for row, line in reversed(list(enumerate(sign.rows(room)))):
            plate.text(sheet.margin_x + SWATCH + 4, y, line, SMALL, sign.role)
            if row == 0:
                sign.draw(plate, sheet.margin_x, y - 0.34 * SMALL)
            y -= SMALL * style.LEADING
    if sheet.phone and signs:
        y -= 3
    low, high = words.x_ends
    if not (words.x_label or low or high):
        return y - TICK - 7, y
    ends = [f"← {low}" if low else "", f"{high} →" if high else ""]
    label, *below = fonts.balanced(words.x_label, LABEL, "sans-bold", right - left) or [""]
    for line in reversed(below):
        plate.text((left + right) / 2, y, line, LABEL, face="sans-bold", anchor="middle")
        y -= LABEL * style.LEADING
    middle = fonts.width(label, LABEL, "sans-bold")
    side = max(fonts.width(end, LABEL) for end in ends)
    ends = [fonts.shorten(end, LABEL, "sans", (right - left - 12) / 2) for end in ends]
    apart = middle + 2 * side + 20 > right - left
    plate.text((left + right) / 2, y, label, LABEL, face="sans-bold", anchor="middle")
    if any(ends) and apart:
        y -= LABEL * style.LEADING
    plate.text(left, y, ends[0], LABEL, "muted")
    plate.text(right, y, ends[1], LABEL, "muted", anchor="end")
    return y - LABEL - TICK - 8, y


def grid(made: Frame) -> None:
    """Hairlines across and their numbers; the foot line of the area."""
    area, plate = made.area, made.plate
    heights = made.up(made.y.ticks).tolist()
    plate.lines([[(area.left, h), (area.right, h)] for h in heights], "grid", style.HAIR)
    for height, label in zip(heights, made.y.labels, strict=True):
        plate.text(area.left - 6, height + 0.34 * TICK, label, TICK, "muted", anchor="end")
    plate.line([(area.left, area.bottom), (area.right, area.bottom)], "line", style.THIN)


def ticks(made: Frame, at: Sequence[float], labels: Sequence[str]) -> None:
    """Ticks under the area; a label that would touch one already set is left out.

    The first and the last are set before the others, because they say how far the data go.
    """
    area, plate = made.area, made.plate
    places = made.across(at).tolist()
    plate.lines([[(p, area.bottom), (p, area.bottom + 3)] for p in places], "line", style.THIN)
    taken: list[tuple[float, float]] = []
    order = [0, len(places) - 1, *range(1, len(places) - 1)] if len(places) > 1 else [0]
    for index in order[: len(places)]:
        half = fonts.width(labels[index], TICK) / 2
        middle = min(max(places[index], half + 1), plate.width - half - 1)
        if any(middle - half < b + 4 and a < middle + half + 4 for a, b in taken):
            continue
        taken.append((middle - half, middle + half))
        y = area.bottom + 4 + TICK
        plate.text(middle, y, labels[index], TICK, "muted", anchor="middle")


def knocked_out(
    made: Frame,
    x: float,
    y: float,
    text: str,
    size: float,
    role: Role = "muted",
    anchor: Anchor = "start",
    step: int = DATA,
    face: Face = "sans",
) -> None:
    """A word on a patch of paper, so that lines beneath do not strike it through."""
    mark = Text(x, y, text, size, face, role, anchor, step)
    made.plate.rectangle(mark.box.grown(1), "paper", step)
    made.plate.marks.append(mark)
    made.ink.block(mark.box.grown(2))
