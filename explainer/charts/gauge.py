"""``gauge``: the same parts read again and again; how far apart the readings of one part lie.

Readings are dots without a line: neither the parts nor the operators have an order that means
anything.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace

import numpy as np

from explainer.charts import axis, fonts, style
from explainer.charts.axis import Axis
from explainer.charts.bands import in_unit
from explainer.charts.callouts import callouts
from explainer.charts.columns import columns, swarm
from explainer.charts.display_list import SUMMARY, DisplayList, Points
from explainer.charts.frame import Frame, Sign
from explainer.charts.style import SMALL, WIDE, Canvas, series
from explainer.claims.figure_data import GaugeData
from explainer.claims.verdict import FigureResult
from explainer.words.quantity.sizes import Sized
from explainer.words.said import FigureWords

SIGHT = "readings this close could be the same"
BESIDE = 78.0
"""Room for its words beside the readings."""


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is a ``GaugeData``."""
    data: GaugeData = result.data
    y = axis.fit([reading.y for reading in data.readings], 0.07)
    looks = {operator: series(index) for index, operator in enumerate(data.operators)}
    key = list(looks.items()) if len(looks) > 1 else []
    beside = 8.0 if data.mdd is None else 14.0 if sheet.phone else BESIDE
    made = columns(
        sheet, words, data.parts, y, beside, key, _signs(data, words, y), key_lines=False
    )
    readings: dict[tuple[str, str], list[float]] = defaultdict(list)
    drawn: list[Points] = []
    for reading in data.readings:
        if math.isfinite(reading.y):
            readings[reading.part, reading.operator].append(reading.y)
    width = float(made.across(1) - made.across(0)) * 0.76
    slot = width / max(len(looks), 1)
    for part, name in enumerate(data.parts):
        for rank, (operator, look) in enumerate(looks.items()):
            values = readings.get((name, operator))
            if values:
                middle = float(made.across(part)) - width / 2 + slot * (rank + 0.5)
                drawn.append(_cell(made, middle, values, look, min(slot * 0.42, 7.0)))
    _brackets(made, data, width / 2 + 2)
    _sight(made, data.mdd, words.y_unit)
    callouts(made, _at_readings(made, words, drawn))
    return made.plate


def _cell(
    made: Frame, middle: float, values: list[float], look: style.Look, half: float
) -> Points:
    """One operator's readings of one part, equal ones side by side; gives where they stand."""
    heights = made.up(values)
    radius = min(style.DOT * 0.85, max(half * 0.5, 1.3))
    aside = swarm(heights, radius)
    furthest = float(np.abs(aside).max())
    aside *= min(1.0, half / furthest) if furthest else 1.0
    spots = np.column_stack([middle + aside, heights])
    made.plate.dots(spots, look.shape, radius, look.role, "paper", 0.3)
    made.ink.add_points(spots, 8)
    return spots


def _brackets(made: Frame, data: GaugeData, aside: float) -> None:
    """Beside each part's readings, from the lowest to the highest: how far one part's lie apart."""
    runs = []
    for part, name in enumerate(data.parts):
        own = [r.y for r in data.readings if r.part == name and math.isfinite(r.y)]
        if len(own) > 1:
            x = float(made.across(part)) + aside
            low, high = made.up([min(own), max(own)]).tolist()
            runs.append([(x - 2, low), (x, low), (x, high), (x - 2, high)])
    made.plate.lines(runs, "ink", style.THIN, step=SUMMARY)
    for run in runs:
        made.ink.add_line(np.array(run), 2)


def _signs(data: GaugeData, words: FigureWords, y: Axis) -> list[Sign]:
    """What a phone says below the data."""
    signs = [Sign("how far apart the readings of one lie", line=("ink", style.THIN, ()),
                  upright=True)]  # fmt: skip
    if data.mdd is not None and not y.log:
        line = ("accent", style.LINE * 1.3, ())
        signs.append(Sign(_seen(data.mdd * words.y_told, words.y_unit), "accent", line,
                          upright=True))  # fmt: skip
    return signs


def _seen(mdd: float, unit: str) -> str:
    told = Sized(mdd, None, None, "").rough_bare
    return f"{SIGHT}: {in_unit(told, unit)}"


def _at_readings(made: Frame, words: FigureWords, drawn: list[Points]) -> FigureWords:
    """The words with every callout that speaks of a column on the reading it means there."""
    if not drawn:
        return words
    spots = np.vstack(drawn)
    wide = float(made.across(1) - made.across(0))
    moved = []
    for text, (x, y) in words.callouts:
        if np.isfinite(x) and np.isfinite(y):
            away = np.abs(spots[:, 1] - float(made.up(y)))
            away[np.abs(spots[:, 0] - float(made.across(x))) > wide / 2] = np.inf
            nearest = int(np.argmin(away))
            if away[nearest] < 1:
                x += (float(spots[nearest, 0]) - float(made.across(x))) / wide
        moved.append((text, (x, y)))
    return replace(words, callouts=tuple(moved))


def _sight(made: Frame, mdd: float | None, unit: str) -> None:
    """An upright as long as the smallest change the gauge can show, to hold against the spread."""
    if mdd is None or made.y.log:
        return
    area = made.area
    length = min(mdd / (made.y.high - made.y.low) * area.height, area.height)
    x = area.right + 10
    rows = fonts.wrap(_seen(mdd * made.y.told, unit), SMALL, "sans", BESIDE - 18)
    middle = (area.top + area.bottom) / 2
    top, bottom = middle - length / 2, middle + length / 2
    pieces = [
        [(x, top), (x, bottom)],
        [(x - 3, top), (x + 3, top)],
        [(x - 3, bottom), (x + 3, bottom)],
    ]
    made.plate.lines(pieces, "accent", style.LINE * 1.3, step=SUMMARY)
    for row, text in enumerate(() if made.sheet.phone else rows):
        y = middle + SMALL * 1.16 * (row - len(rows) / 2 + 0.8)
        made.plate.text(x + 7, y, text, SMALL, "accent", step=SUMMARY)
