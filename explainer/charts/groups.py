"""``groups``: items side by side, one column of dots per group, each mean with its range."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np

from explainer.charts import axis, style
from explainer.charts.bands import zone, zone_label, zone_signs
from explainer.charts.callouts import callouts
from explainer.charts.columns import columns, mean_with_range, swarm
from explainer.charts.display_list import DATA, Box, DisplayList
from explainer.charts.frame import Frame
from explainer.charts.names import Named, column_of, names_beside
from explainer.charts.style import WIDE, Canvas, series
from explainer.claims.figure_data import GroupsData
from explainer.claims.verdict import FigureResult
from explainer.words.facts.items import says_little
from explainer.words.said import FigureWords

TOO_SMALL = "too small a difference to matter"
Places = dict[str, list[tuple[int, tuple[float, float]]]]


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is a ``GroupsData``."""
    data: GroupsData = result.data
    values = [v for group in data.groups for _, v in group.items if math.isfinite(v)]
    also = [v for g in data.groups for v in (g.mean, g.low, g.high) if v is not None]
    start = data.groups[0].mean if data.groups else 0.0
    band = (
        None
        if data.matters_from is None
        else (start - data.matters_from, start + data.matters_from)
    )
    y = axis.fit(values, 0.07, also=[*also, *(band or ()), *result.y_also])
    by = str(getattr(result.figure, "by", "")).replace("_", " ")
    if words.x_label.casefold() == by.casefold() and not any(
        says_little(group.name) for group in data.groups
    ):
        words = replace(words, x_label="")  # a bare column name tells no more than its groups do
    made = columns(sheet, words, [group.name for group in data.groups], y,
                   signs=zone_signs(band, TOO_SMALL))  # fmt: skip
    zone(made, band)
    places: Places = {}
    first = 0
    for index, group in enumerate(data.groups):
        _dots(made, index, group.items, first, places)
        first += len(group.items)
    if data.paired:
        _pairs(made, places)
    named = _named(places, data)
    column = max((column_of(items) for items, _ in named), default=0.0) * sheet.named
    for index, group in enumerate(data.groups):
        if math.isfinite(group.mean) and len(group.items) > 1:
            first_of_pairs = data.paired and index == 0
            aside = -_aside(made) - column if first_of_pairs else _aside(made)
            x = float(made.across(index)) + aside
            mean_with_range(made, x, group.mean, group.low, group.high)
            ends = [made.up(v) for v in (group.low, group.high, group.mean) if v is not None]
            made.ink.block(Box(x - 10, float(min(ends)) - 2, x + 10, float(max(ends)) + 2))
    names_beside(made, named)  # what is said of them keeps clear of the bars
    zone_label(made, band, TOO_SMALL)
    callouts(made, words)
    return made.plate


def _aside(made: Frame) -> float:
    """How far right of its dots a mean stands."""
    return min(34.0, 0.3 * float(made.across(1) - made.across(0)))


def _dots(
    made: Frame, index: int, all_items: tuple[tuple[str, float], ...], first: int, places: Places
) -> None:
    """One group's column; its items stand in the table from row ``first`` on."""
    cells = [(first + i, 0) for i, (_, value) in enumerate(all_items) if math.isfinite(value)]
    items = [item for item in all_items if math.isfinite(item[1])]
    if not items:
        return
    heights = made.up([value for _, value in items])
    step = style.DOT * 2.5
    widest = 0.25 * float(made.across(1) - made.across(0))
    shifts = swarm(heights, step)
    furthest = float(np.abs(shifts).max())
    if furthest > widest:
        shifts *= widest / furthest
    spots = np.column_stack([made.across(index) + shifts, heights])
    look = series(index)
    made.plate.dots(spots, look.shape, style.DOT * 1.2, look.role, "paper", 0.5, cells=cells)
    made.ink.block_points(spots, 3)
    for (name, _), spot in zip(items, spots.tolist(), strict=True):
        places.setdefault(name, []).append((index, (spot[0], spot[1])))


def _pairs(made: Frame, places: Places) -> None:
    """A thin line from an item in one group to the same item in the next."""
    runs = [[a, b] for spots in places.values() for (_, a), (_, b) in pairwise(spots)]
    made.plate.lines(runs, "line", style.THIN, step=DATA)
    for run in runs:
        made.ink.add_line(np.array(run))


def _own(name: str, group: str) -> str:
    """An item's name without the group's, under which it stands: ``Plover 2`` is ``2`` there."""
    return name.removeprefix(f"{group} ") or name


def _named(places: Places, data: GroupsData) -> list[tuple[list[Named], float]]:
    """Names left of their dots, once if the same items stand in each group, and where each column
    ends."""
    columns = []
    for index in range(1 if data.paired else len(data.groups)):
        named = [
            Named(_own(name, data.groups[index].name), spot, series(index).role)
            for name, spots in places.items()
            for group, spot in spots
            if group == index
        ]
        if named:
            columns.append((named, min(item.at[0] for item in named) - 8))
    return columns
