"""``limit``: readings against a rule's limit, with the zone that is too close to call."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from explainer.charts import axis, fonts, style
from explainer.charts.axis import Axis
from explainer.charts.bands import limit_labels, limit_signs, limits
from explainer.charts.callouts import callouts
from explainer.charts.columns import columns
from explainer.charts.display_list import AXES, DATA, Box, DisplayList, hatching
from explainer.charts.frame import Frame, Sign, knocked_out
from explainer.charts.names import Named, name_all
from explainer.charts.style import SMALL, TICK, WIDE, Canvas, Role, Shape
from explainer.claims.figure_data import LimitData, LimitReading
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords

#: What became of a reading -> (shape, fill, edge).
CALLS: dict[str, tuple[Shape, Role, Role]] = {
    "pass": ("circle", "s1", "paper"),
    "too-close": ("diamond", "paper", "ink"),
    "fail": ("cross", "accent", "paper"),
}
WORDS = {"pass": "passes", "too-close": "too close to call", "fail": "fails"}
#: What of them is said of more than one.
MANY = {"passes": "pass", "fails": "fail", "meets the limit": "meet the limit",
        "does not meet it": "do not meet it"}  # fmt: skip
#: Of people: nobody passes or fails, and the zone is what a mark may stand inside.
OF_PEOPLE = {"pass": "meets the limit", "too-close": "too close to call",
             "fail": "does not meet it"}  # fmt: skip


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet, lowest reading first; ``result.data`` is a ``LimitData``."""
    data: LimitData = result.data
    readings = sorted((r for r in data.readings if math.isfinite(r.value)), key=lambda r: r.value)
    edges = [
        e + side * data.guard
        for e in (data.at_least, data.at_most)
        if e is not None
        for side in (-1, 1)
    ]
    y = axis.fit([*(r.value for r in readings), *edges], 0.08, also=result.y_also)
    names = ["" if data.people else reading.item for reading in readings]
    called = OF_PEOPLE if data.people else WORDS
    signs = _signs(data, readings, y.told_as(words.y_told), words.y_unit, called)
    made = _frame(sheet, words, names, y, signs if sheet.phone else ())
    for edge in (data.at_least, data.at_most):
        _guard(made, edge, data.guard)
    limits(made, data.at_least, data.at_most)
    for call, (shape, fill, edge_role) in CALLS.items():
        ranks = [rank for rank, reading in enumerate(readings) if reading.call == call]
        spots = made.points(ranks, [readings[rank].value for rank in ranks])
        cells = [(data.readings.index(readings[rank]), 0) for rank in ranks]
        made.plate.dots(spots, shape, style.DOT * 1.35, fill, edge_role, 1.0, cells=cells)
        made.ink.add_points(spots, 8)
    limit_labels(made, data.at_least, data.at_most, words.y_unit)
    if not sheet.phone:
        _tally(made, readings, called)
    callouts(made, words)
    if not data.people and not _fits(sheet, names):
        spots = made.points(list(range(len(names))), [reading.value for reading in readings])
        name_all(made, [
            Named(name, (spot[0], spot[1]), "ink")
            for name, spot in zip(names, spots.tolist(), strict=True)
        ])  # fmt: skip
    return made.plate


def _signs(
    data: LimitData, readings: list[LimitReading], y: Axis, unit: str, words: Mapping[str, str]
) -> list[Sign]:
    """What a phone says below the data."""
    signs = [Sign(text, dots=(CALLS[call],)) for call, text in _counted(readings, words)]
    signs += limit_signs(y, data.at_least, data.at_most, unit)
    if data.guard > 0 and (data.at_least is not None or data.at_most is not None):
        signs.append(Sign("too close to call", ground="zone"))
    return signs


def _counted(readings: list[LimitReading], words: Mapping[str, str]) -> list[tuple[str, str]]:
    """Each call and how many readings have it."""
    counts = {call: sum(r.call == call for r in readings) for call in CALLS}
    return [
        (call, f"{count} {words[call] if count == 1 else MANY.get(words[call], words[call])}")
        for call, count in counts.items() if count
    ]  # fmt: skip


def _fits(sheet: Canvas, names: list[str]) -> bool:
    """True when every name can stand under its own column."""
    room = (sheet.width - 2 * sheet.margin_x - 40) / max(len(names), 1) - 6
    return all(fonts.width(name, TICK) <= 2 * room * 0.8 for name in names) and room > 12


def _frame(
    sheet: Canvas, words: FigureWords, names: list[str], y: Axis, signs: Sequence[Sign]
) -> Frame:
    shown = names if _fits(sheet, names) else [""] * len(names)
    return columns(sheet, words, shown, y, signs=signs)


def _guard(made: Frame, edge: float | None, guard: float) -> None:
    """Either side of the limit, where one more reading could fall the other way."""
    if edge is None or guard <= 0:
        return
    area = made.area
    bottom, top = made.up([edge - guard, edge + guard]).tolist()
    box = Box(area.left, max(area.top, top), area.right, min(area.bottom, bottom))
    if box.height <= 0:
        return
    made.plate.rectangle(box, "zone")
    made.plate.lines(hatching(box, 6), "grid", style.THIN)
    made.plate.lines(
        [[(box.left, h), (box.right, h)] for h in (box.top, box.bottom)], "line", style.HAIR, (2, 2)
    )
    text = "too close to call"
    if box.height > SMALL * 1.6 and not made.sheet.phone:
        knocked_out(
            made,
            area.right - fonts.width(text, SMALL) - 5,
            box.top + SMALL + 1,
            text,
            SMALL,
            step=AXES,
        )


def _tally(made: Frame, readings: list[LimitReading], words: Mapping[str, str]) -> None:
    """What each shape means and how many there are, in the emptiest corner."""
    rows = _counted(readings, words)
    if not rows:
        return
    leading = SMALL * 1.35
    wide = max(fonts.width(text, SMALL) for _, text in rows) + 16
    found = made.ink.place(
        wide, leading * len(rows), (made.area.left, made.area.top), made.area.grown(-3), reach=0
    )
    if found is None or not found.free:
        return
    # Framed, or a mark of the key could be taken for one more reading.
    box = found.box
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom),
               (box.left, box.bottom), (box.left, box.top)]  # fmt: skip
    made.plate.rectangle(box, "paper", DATA, 0.86)
    made.plate.line(corners, "line", style.THIN, step=DATA)
    for row, (call, text) in enumerate(rows):
        shape, fill, edge = CALLS[call]
        y = found.box.top + leading * (row + 0.5)
        made.plate.dots([(found.box.left + 6, y)], shape, style.DOT * 1.3, fill, edge, 1.0)
        made.plate.text(found.box.left + 14, y + 0.34 * SMALL, text, SMALL, step=DATA)
    made.ink.block(found.box.grown(2))
