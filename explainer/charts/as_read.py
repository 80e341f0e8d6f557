"""The points of a chart as they were read off a report, over a thin redrawing of its axes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from explainer.charts import fonts, style
from explainer.charts.axis import Axis, tick_labels
from explainer.charts.display_list import DATA, Box, DisplayList
from explainer.study.description.lifted import LiftedAxis, LiftedFrom, LiftedSeries

WIDTH, HEIGHT = 512.0, 300.0
PHONE = 222.0, 250.0
"""The same for a phone, where the smallest letters are 12 pixels."""
_LEFT, _RIGHT, _TOP, _BOTTOM = 58.0, 14.0, 14.0, 46.0
#: So many names of series fit on a line above; more are told in words only.
_MOST_NAMES = 8


def can_draw(lifted: LiftedFrom) -> bool:
    """Whether its origin says enough to draw it: marks, and numbers along at least one axis."""
    axes = lifted.axes
    return bool(axes and (axes.x or axes.y) and any(s.points for s in lifted.series))


def draw_as_read(lifted: LiftedFrom, phone: bool = False) -> DisplayList:
    """The plate; ValueError where ``can_draw`` says no."""
    if not can_draw(lifted) or lifted.axes is None:
        raise ValueError("nothing was read that could be drawn")
    wide, high = PHONE if phone else (WIDTH, HEIGHT)
    rows = _name_rows(lifted.series, wide)
    high += max(0, len(rows) - 1) * 14.0
    plate = DisplayList(wide, high)
    top = _TOP + 2 + 14.0 * len(rows)
    left = 44.0 if phone else _LEFT
    area = Box(left, top, wide - _RIGHT, high - _BOTTOM)
    across = _axis(lifted.axes.x, [p[0] for s in lifted.series for p in s.points])
    up = _axis(lifted.axes.y, [p[1] for s in lifted.series for p in s.points])
    corners = [(area.left, area.top), (area.left, area.bottom), (area.right, area.bottom)]
    plate.line(corners, "line", style.HAIR)
    _ticks(plate, area, across, lifted, True)
    _ticks(plate, area, up, lifted, False)
    for number, series in enumerate(lifted.series):
        _marks(plate, area, across, up, series, number)
    _names(plate, rows)
    return plate


#: An axis with numbers, or the names that stand along it.
Along = Axis | tuple[str, ...]


def _axis(axis: LiftedAxis | None, values: Sequence[float | str]) -> Along:
    words = tuple(dict.fromkeys(str(v) for v in values if isinstance(v, str)))
    if axis is None or words:
        return words
    low, high = sorted((axis.low, axis.high))
    log = axis.scale == "log" and low > 0
    if low == high:
        low, high = low - 1, high + 1
    return Axis(low, high, tuple(t for t in axis.ticks if low <= t <= high), log)


def _ticks(plate: DisplayList, area: Box, axis: Along, lifted: LiftedFrom, across: bool) -> None:
    named = isinstance(axis, tuple)
    places = _middles(axis) if isinstance(axis, tuple) else axis.place(axis.ticks).tolist()
    labels = axis if isinstance(axis, tuple) else tick_labels(axis.ticks, axis.log)
    last = -math.inf
    for place, label in zip(places, labels, strict=True):
        if across:
            x = area.left + place * area.width
            if not named:
                plate.line([(x, area.bottom), (x, area.bottom + 3)], "line", style.HAIR)
            half = fonts.width(label, style.TICK) / 2
            if x - half > last + 4:
                plate.text(x, area.bottom + 13, label, style.TICK, "muted", anchor="middle")
                last = x + half
        else:
            y = area.bottom - place * area.height
            if not named:
                plate.line([(area.left - 3, y), (area.left, y)], "line", style.HAIR)
            text = fonts.shorten(label, style.TICK, "sans", area.left - 10)
            plate.text(area.left - 6, y + 3, text, style.TICK, "muted", anchor="end")
    axes = lifted.axes
    title = (axes.x if across else axes.y) if axes else None
    if title is not None and title.title:
        text = fonts.shorten(title.title, style.SMALL, "serif-italic", area.width * 0.8)
        if across:
            at = (area.right, area.bottom + 30)
            plate.text(*at, text, style.SMALL, "ink", "serif-italic", "end")
        else:
            plate.text(area.left + 5, area.top + 6, text, style.SMALL, "ink", "serif-italic")


def _middles(names: tuple[str, ...]) -> list[float]:
    return [(i + 0.5) / len(names) for i in range(len(names))]


def _place(axis: Along, value: float | str) -> float | None:
    if isinstance(axis, tuple):
        return _middles(axis)[axis.index(str(value))] if str(value) in axis else None
    if isinstance(value, str):
        return None
    place = float(axis.place(value))
    return place if -0.05 <= place <= 1.05 else None


def _marks(
    plate: DisplayList, area: Box, across: Along, up: Along, series: LiftedSeries, number: int
) -> None:
    look = style.series(number)
    spots = []
    for x, y in series.points:
        at = _place(across, x), _place(up, y)
        if at[0] is not None and at[1] is not None:
            spots.append((area.left + at[0] * area.width, area.bottom - at[1] * area.height))
    if series.sort == "line":
        plate.line(spots, look.role, style.THIN, look.dash, DATA)
    plate.dots(spots, look.shape, style.DOT * 0.8, None, look.role, step=DATA)


def _name_rows(
    series: Sequence[LiftedSeries], wide: float
) -> list[list[tuple[float, int, str]]]:
    """The first names in rows no wider than the plate: left edge, number and name of each."""
    rows: list[list[tuple[float, int, str]]] = []
    x = wide
    for number, one in [(i, s) for i, s in enumerate(series) if s.name][:_MOST_NAMES]:
        text = fonts.shorten(one.name, style.SMALL, "sans", 120)
        taken = fonts.width(text, style.SMALL) + 24
        if x + taken > wide - _RIGHT:
            rows.append([])
            x = 14.0
        rows[-1].append((x, number, text))
        x += taken
    return rows


def _names(plate: DisplayList, rows: list[list[tuple[float, int, str]]]) -> None:
    """A key above the plot."""
    for row, names in enumerate(rows):
        y = _TOP + 14.0 * row
        for x, number, text in names:
            look = style.series(number)
            plate.dots([(x + 4, y)], look.shape, style.DOT, None, look.role)
            plate.text(x + 11, y + 3, text, style.SMALL, "muted")
