"""``gauge``: the same parts read again and again, operator by operator."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace

import numpy as np

from explainer.charts import axis, fonts, style
from explainer.charts.callouts import callouts
from explainer.charts.columns import columns
from explainer.charts.display_list import DATA, SUMMARY, DisplayList, Points
from explainer.charts.frame import Frame
from explainer.charts.style import SMALL, WIDE, Canvas, series
from explainer.claims.figure_data import GaugeData
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords

SIGHT = "the smallest change this gauge can show"


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is a ``GaugeData``."""
    data: GaugeData = result.data
    y = axis.fit([reading.y for reading in data.readings], 0.07)
    looks = {operator: series(index) for index, operator in enumerate(data.operators)}
    key = list(looks.items()) if len(looks) > 1 else []
    made = columns(sheet, words, data.parts, y, 8.0 if data.mdd is None else 78.0, key)
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
    _sight(made, data.mdd)
    callouts(made, _at_readings(made, words, drawn))
    return made.plate


def _cell(
    made: Frame, middle: float, values: list[float], look: style.Look, half: float
) -> Points:
    """One operator's readings of one part, in the order taken, with their mean as a bar.

    Gives where the readings stand.
    """
    aside = np.linspace(-half * 0.8, half * 0.8, len(values)) if len(values) > 1 else np.zeros(1)
    spots = np.column_stack([middle + aside, made.up(values)])
    made.plate.line(spots, look.role, style.HAIR, step=DATA)
    made.plate.dots(spots, look.shape, min(style.DOT * 0.85, half * 0.5), look.role, "paper", 0.3)
    height = float(made.up(float(np.mean(values))))
    made.plate.line([(middle - half, height), (middle + half, height)], "ink", 1.6, step=SUMMARY)
    made.ink.add_points(spots, 8)
    return spots


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


def _sight(made: Frame, mdd: float | None) -> None:
    """An upright as long as the smallest change the gauge can show, to hold against the spread."""
    if mdd is None or made.y.log:
        return
    area = made.area
    length = min(mdd / (made.y.high - made.y.low) * area.height, area.height)
    x = area.right + 10
    rows = fonts.wrap(f"{SIGHT}: {axis.short(mdd * made.y.told)}", SMALL, "sans", 78.0 - 18)
    middle = (area.top + area.bottom) / 2
    top, bottom = middle - length / 2, middle + length / 2
    pieces = [
        [(x, top), (x, bottom)],
        [(x - 3, top), (x + 3, top)],
        [(x - 3, bottom), (x + 3, bottom)],
    ]
    made.plate.lines(pieces, "accent", style.LINE * 1.3, step=SUMMARY)
    for row, text in enumerate(rows):
        y = middle + SMALL * 1.16 * (row - len(rows) / 2 + 0.8)
        made.plate.text(x + 7, y, text, SMALL, "accent", step=SUMMARY)
