"""``shot-series``: every shot in order, a panel per item, with averages of shots in a row.

Items with too few shots for two averages have their robust line instead, and so have many items.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from explainer.charts import axis, fonts, style
from explainer.charts.callouts import callouts
from explainer.charts.display_list import DATA, SUMMARY, Box, DisplayList
from explainer.charts.downsample import ranges
from explainer.charts.frame import Frame, frame, grid, knocked_out, ticks
from explainer.charts.names import Ending, Named, end_labels, set_close
from explainer.charts.style import LABEL, SMALL, WIDE, Canvas, Role, series
from explainer.claims.figure_data import PANELS, SHOTS, ItemSeries, OneShot, ShotSeriesData
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords

KEY = SMALL * 1.2 + 6
"""Height of a row of the key above the panels' names."""
ABREAST = 3
"""Of more panels than this a phone has two rows."""
COLUMN = 70.0
"""Room for their names, then."""
GAP = 14.0
"""Between two entries of the key."""

Entry = tuple[str, Role, float | None, tuple[float, ...]]
"""Words, colour, width and dash of a line; no width: a ring."""


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is a ``ShotSeriesData``.

    The panels stand side by side and share both scales; callouts point into the first.
    """
    data: ShotSeriesData = result.data
    shown = [one for one in data.series if one.shots]
    few = shown[:PANELS] if len(shown) <= PANELS else []
    shots = [shot for one in shown for shot in one.shots]
    rows = 2 if sheet.phone and len(few) > ABREAST else 1
    if rows > 1:
        sheet = replace(sheet, area=sheet.area * 1.45)
    y = axis.fit([shot.y for shot in shots], 0.1, count=5 if rows == 1 else 3,
                 also=result.y_also)  # fmt: skip
    orders = [shot.order for shot in shots if math.isfinite(shot.order)] or [0.0, 1.0]
    x = axis.fit([min(orders), max(orders)], 0.03, 4, steps_of_ten=False)
    x = replace(x, ticks=axis.whole(x.ticks, orders))
    if not few:
        whole = frame(sheet, words, x, y, COLUMN, x_ticks=False)
        _many(whole, shown)
        callouts(whole, words)
        return whole.plate
    key = _key(data, few, sheet.width - 2 * sheet.margin_x - COLUMN / 2)
    headroom = LABEL + 4 + KEY * len(key)
    outer = frame(sheet, words, x, replace(y, ticks=()) if rows > 1 else y, 8.0, x_ticks=False,
                  headroom=headroom)  # fmt: skip
    wholes = _rows(outer, y) if rows > 1 else [outer]
    whole = wholes[0]
    groups = list(dict.fromkeys(one.group for one in shown))
    each = math.ceil(len(few) / rows) or 1
    panels = [_panel(wholes[i // each], i % each, each) for i in range(len(few))]
    _set_key(whole, key)
    for panel, one in zip(panels, few, strict=True):
        _series(panel, data, one, groups.index(one.group))
    if panels:
        callouts(panels[0], words, whole.area.grown(-2))
    return whole.plate


def _rows(outer: Frame, y: axis.Axis) -> list[Frame]:
    """On a phone two rows of panels, each with its own scale up the side."""
    area = outer.area
    y = y.told_as(outer.y.told)
    left = area.left + max((fonts.width(t, style.TICK) for t in y.labels), default=0.0)
    between = LABEL + style.TICK + 12
    high = (area.height - between) / 2
    made = [
        replace(outer, y=y, area=Box(left, top, area.right, top + high))
        for top in (area.top, area.top + high + between)
    ]
    for row in made:
        grid(row)
    return made


def _key(data: ShotSeriesData, shown: Sequence[ItemSeries], wide: float) -> list[list[Entry]]:
    """What the marks of every panel are, once for all, in rows no wider than ``wide``."""
    if not data.run:
        return [[("drift", "ink", style.BOLD * 0.8, ())]]
    ends = [
        f"{word} {count}" for word, count in (("first", data.first), ("last", data.last)) if count
    ]
    entries: list[Entry] = []
    if not ends or any(one.runs for one in shown):
        entries.append((f"average of {data.run} in a row", "ink", style.BOLD * 0.8, ()))
    if ends:
        entries.append((f"of the {' and the '.join(ends)}", "accent", style.BOLD, ()))
    if any(shot.flagged for one in shown for shot in one.shots):
        entries.append(("stands apart, with its number", "accent", None, ()))
    rows: list[list[Entry]] = [[]]
    for entry in entries:
        if rows[-1] and sum(map(_room, [*rows[-1], entry])) - GAP > wide:
            rows.append([])
        rows[-1].append(entry)
    return rows


def _room(entry: Entry) -> float:
    return 18 + fonts.width(entry[0], SMALL) + GAP


def _set_key(whole: Frame, rows: Sequence[Sequence[Entry]]) -> None:
    """The key above the panels' names."""
    y = whole.area.top - LABEL - 8 - (len(rows) - 1) * KEY
    for row in rows:
        x = whole.area.left
        for entry in row:
            text, role, width, dash = entry
            if width is None:
                whole.plate.dots([(x + 7, y - 0.3 * SMALL)], "circle", 4.0, None, role, 1.1)
            else:
                whole.plate.line(
                    [(x, y - 0.3 * SMALL), (x + 14, y - 0.3 * SMALL)], role, width, dash
                )
            whole.plate.text(x + 18, y, text, SMALL, "muted")
            x += _room(entry)
        y += KEY


def _panel(whole: Frame, index: int, count: int) -> Frame:
    """The ``index``-th of ``count`` equal parts of the area, with its own ticks."""
    gap = 9.0
    wide = (whole.area.width - gap * (count - 1)) / count
    left = whole.area.left + index * (wide + gap)
    area = Box(left, whole.area.top, left + wide, whole.area.bottom)
    part = replace(whole, area=area)
    x = axis.round_ticks(whole.x.low, whole.x.high, 4 if count < 4 else 2)
    x = axis.whole(x, whole.x.ticks)
    ticks(part, x, axis.marks(x))
    return part


def _series(made: Frame, data: ShotSeriesData, one: ItemSeries, rank: int) -> None:
    look = series(rank)
    area = made.area
    name = fonts.shorten(one.item, LABEL, "sans-bold", area.width)
    made.plate.text(area.left, area.top - 4, name, LABEL, look.role, "sans-bold")
    plain = [shot for shot in one.shots if math.isfinite(shot.y) and math.isfinite(shot.order)]
    if not plain:
        return
    places = made.points([shot.order for shot in plain], [shot.y for shot in plain])
    if len(plain) > SHOTS:
        _as_ranges(made, places, look.role)
    else:
        before = sum(len(other.shots) for other in data.series[: data.series.index(one)])
        cells = [(before + i, 0) for i, shot in enumerate(one.shots) if shot in plain]
        made.plate.dots(places, look.shape, style.DOT * 0.62, look.role, "paper", 0.25, cells=cells)
        made.ink.add_points(places, 3)
    if data.run:
        _averages(made, data, one)
    else:
        _robust(made, one, "ink", style.BOLD * 0.8)
    _flagged(made, plain)


def _robust(made: Frame, one: ItemSeries, role: str, width: float) -> np.ndarray | None:
    """The Theil–Sen line over the item's own shots."""
    if one.slope is None or one.intercept is None:
        return None
    orders = [shot.order for shot in one.shots]
    at = np.array([min(orders), max(orders)])
    if at[0] == at[1]:
        return None
    places = made.points(at, one.intercept + one.slope * at)
    places[:, 1] = places[:, 1].clip(made.area.top, made.area.bottom)
    made.plate.line(places, "paper", width + 1.2, step=SUMMARY)
    made.plate.line(places, role, width, step=SUMMARY)
    made.ink.add_line(places, 3)
    return places


def _averages(made: Frame, data: ShotSeriesData, one: ItemSeries) -> None:
    """A bar for the average of so many shots in a row; those that a claim compares in accent."""
    orders = sorted(shot.order for shot in one.shots)
    bars = [(low, high, mean, "ink") for low, high, mean in one.runs]
    if data.first and one.first_mean is not None:
        bars.append((orders[0], orders[min(data.first, len(orders)) - 1], one.first_mean, "accent"))
    if data.last and one.last_mean is not None:
        bars.append((orders[-min(data.last, len(orders))], orders[-1], one.last_mean, "accent"))
    for low, high, mean, role in bars:
        ends = made.points([low, high], [mean, mean])
        ends[:, 0] += (-0.8, 0.8)
        width = style.BOLD * (1.0 if role == "accent" else 0.8)
        made.plate.line(ends, "paper", width + 1.2, step=SUMMARY)
        made.plate.line(ends, role, width, step=SUMMARY)
        made.ink.add_line(ends, 3)


def _flagged(made: Frame, shots: Sequence[OneShot]) -> None:
    """A ring round every shot that stands apart, and its number."""
    apart = [shot for shot in shots if shot.flagged]
    if not apart:
        return
    spots = made.points([s.order for s in apart], [s.y for s in apart])
    made.plate.dots(spots, "circle", 4.0, None, "accent", 1.1, SUMMARY)
    set_close(made, [
        Named(axis.marks([shot.order])[0], (x, y), "accent")
        for shot, (x, y) in zip(apart[:8], spots.tolist(), strict=False)
    ], 4.6)  # fmt: skip


def _as_ranges(made: Frame, places: np.ndarray, role: str) -> None:
    """Too many shots to draw: an upright for each run of them, with its middle."""
    found = ranges(places[:, 0], places[:, 1], int(made.area.width / 2.2))
    runs = [
        [(x, low), (x, high)] for x, low, high in zip(found.x, found.low, found.high, strict=True)
    ]
    made.plate.lines(runs, role, style.THIN, step=DATA, opacity=0.55)
    middle = np.column_stack([found.x, found.middle])
    made.plate.line(middle, role, style.LINE, step=DATA)
    made.ink.add_line(middle)
    text = f"each upright: {found.each} shots, lowest to highest"
    for row, line in enumerate(fonts.wrap(text, SMALL, "sans", made.area.width - 8)):
        knocked_out(made, made.area.left + 3, made.area.top + SMALL * (1 + 1.3 * row), line, SMALL)


def _many(made: Frame, shown: Sequence[ItemSeries]) -> None:
    """Of many items only the robust line of each, with its name at its end."""
    ticks(made, made.x.ticks, made.x.labels)
    groups = list(dict.fromkeys(one.group for one in shown))
    endings = []
    for one in shown:
        look = series(groups.index(one.group))
        places = _robust(made, one, look.role, style.LINE)
        if places is not None:
            x, y = places[-1].tolist()
            name = fonts.shorten(one.item, SMALL, "sans", COLUMN - 8)
            endings.append(Ending(x, y, name, look.role))
    end_labels(made, endings)
    knocked_out(
        made, made.area.left + 3, made.area.top + SMALL, "each line: all of its shots", SMALL
    )
