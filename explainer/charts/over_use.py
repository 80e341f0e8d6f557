"""``over-use``: one thin line per item, their mean in bold, and where the data end.

Beside the lines, on the same scale, stands each item's change from its own start: what a claim
about change is judged by, and what ranges of levels would hide.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np

from explainer.charts import axis, fonts, style
from explainer.charts.axis import Axis
from explainer.charts.bands import (
    in_unit,
    limit_labels,
    limit_signs,
    limits,
    zone,
    zone_label,
    zone_signs,
)
from explainer.charts.callouts import callouts
from explainer.charts.columns import mean_with_range as mean_at, swarm
from explainer.charts.display_list import DATA, SUMMARY, Box, DisplayList, hatching
from explainer.charts.frame import Frame, Sign, frame, ticks
from explainer.charts.names import Ending, end_labels
from explainer.charts.style import SMALL, WIDE, Canvas, series
from explainer.claims.figure_data import ItemLine, OverUseData
from explainer.claims.verdict import FigureResult
from explainer.words.facts.items import sort_of
from explainer.words.said import FigureWords

BEYOND = 66.0
"""Width of the strip for what a claim says past the data; not to scale, and drawn broken off."""
SLIM = 24.0
"""The same on a phone, whose words about it stand below."""
CHANGES, NARROW = 56.0, 40.0
"""Width of the changes, and on a phone."""
OWN = "own change"
TOO_SMALL = "too small a change to matter"


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is an ``OverUseData``."""
    data: OverUseData = result.data
    lines = [_known(line) for line in data.lines]
    groups = list(dict.fromkeys(line.group for line in data.lines))
    looks = {group: series(index) for index, group in enumerate(groups)}
    y = _scale(data, result.y_also)
    names = [fonts.shorten(line.item, SMALL, "sans", sheet.width * 0.2) for line in lines]
    beyond = 0.0 if data.claimed_to is None else SLIM if sheet.phone else BEYOND
    changes = (NARROW if sheet.phone else CHANGES) if data.change and not y.log else 0.0
    if sheet.poster:
        data, changes, beyond = replace(data, claimed_to=None), 0.0, 0.0
    if sheet.phone and changes:
        beyond = 0.0  # said in words below
    column = max(fonts.width(name, SMALL) for name in [*names * sheet.named, _mean_name(
        data, 88, sheet.phone)]) + 14  # fmt: skip
    key = [(sort_of(group, data.by), looks[group]) for group in groups] if len(groups) > 1 else []
    made = frame(sheet, words, _along(data), y, column + changes + beyond, key,
                 x_ticks=False,
                 signs=_signs(data, y, words) if sheet.phone else ())  # fmt: skip
    ticks(made, data.checkpoints, axis.marks(data.checkpoints))
    if changes:
        _changes(made, data, made.area.right + column + 4, changes - 8)
    zone(made, _zone_of(data))
    limits(made, data.limit_low, data.limit_high)
    _edge(made, data, words.x_unit, bool(changes))
    for group in groups:
        _lines(made, [line for line in lines if line.group == group], looks[group], data)
    for group in groups:
        _readings(made, data, lines, group, looks[group])
    _means(made, data)
    end_labels(made, _endings(made, data, lines, names, looks))
    limit_labels(made, data.limit_low, data.limit_high, words.y_unit)
    zone_label(made, _zone_of(data), TOO_SMALL)
    callouts(made, words)
    return made.plate


def _signs(data: OverUseData, y: Axis, words: FigureWords) -> list[Sign]:
    """What a phone says below the data."""
    said = [_measured(data, words.x_unit)]
    if data.claimed_to is not None:
        last = in_unit(axis.marks([data.claimed_to])[0], words.x_unit)
        said.append(f"the claim goes on to {last}")
    hatched = len(said) > 1 and not data.change
    past = Sign("; ".join(said), ground="hatched" if hatched else "",
                line=None if hatched else ("line", style.THIN, (1, 2)),
                upright=not hatched)  # fmt: skip
    return [
        *zone_signs(_zone_of(data), TOO_SMALL),
        *limit_signs(y.told_as(words.y_told), data.limit_low, data.limit_high, words.y_unit),
        past,
    ]


def _measured(data: OverUseData, unit: str) -> str:
    return f"nothing measured past {in_unit(axis.marks([max(data.checkpoints)])[0], unit)}"


def _known(line: ItemLine) -> ItemLine:
    """The line without readings that are missing."""
    kept = [(u, v) for u, v in zip(line.use, line.y, strict=True) if math.isfinite(v)]
    return ItemLine(line.item, line.group, tuple(u for u, _ in kept), tuple(v for _, v in kept))


def _along(data: OverUseData) -> Axis:
    low, high = min(data.checkpoints), max(data.checkpoints)
    if high == low:
        low, high = low - 1, high + 1
    room = (high - low) * 0.03
    return Axis(low - room, high + room * 0.6, data.checkpoints)


def _scale(data: OverUseData, shown: tuple[float, ...] = ()) -> Axis:
    """Everything drawn must fit; a rule's limit only if it lies within a span of the data."""
    values = [v for line in data.lines for v in line.y if math.isfinite(v)] or [0.0]
    also = [point.mean for point in data.means]
    also += _zone_of(data) or ()
    if data.change and data.means:
        own = [*(c for _, c in data.changes), *(c for c in data.change if c is not None)]
        also += [data.means[0].mean + c for c in own]
    low, high = min([*values, *also]), max([*values, *also])
    near = [v for v in (data.limit_low, data.limit_high)
            if v is not None and low - (high - low) <= v <= high + (high - low)]  # fmt: skip
    return axis.fit(values, 0.06, also=[*also, *near, *shown])


def _zone_of(data: OverUseData) -> tuple[float, float] | None:
    """Round the mean at the first checkpoint, what is too small a change to matter."""
    if data.matters_from is None or not data.means:
        return None
    start = data.means[0].mean
    return start - data.matters_from, start + data.matters_from


def _edge(made: Frame, data: OverUseData, unit: str, changes: bool) -> None:
    """The last checkpoint as an edge; beyond it, what a claim says and nobody measured."""
    area, plate = made.area, made.plate
    last = float(made.across(max(data.checkpoints)))
    plate.line([(last, area.top), (last, area.bottom + 9)], "line", style.THIN, (1, 2))
    right = made.sheet.width - made.sheet.margin_x
    measured = _measured(data, unit)
    if made.sheet.phone and (data.claimed_to is None or changes):
        return
    if data.claimed_to is None:
        room = right - area.right - 2 - (CHANGES if changes else 0)
        for row, text in enumerate(fonts.balanced(measured, SMALL, "sans", room)):
            plate.text(
                area.right + 4, area.bottom + 4 + SMALL * (0.9 + row * 1.12), text, SMALL, "muted"
            )
        return
    panel = Box(right - (SLIM if made.sheet.phone else BEYOND) + 6, area.top, right, area.bottom)
    plate.lines(hatching(panel, 7.5), "line", style.HAIR)
    plate.line([(panel.left, area.bottom), (right, area.bottom)], "line", style.THIN, (2, 2))
    plate.line([(panel.left, area.top), (panel.left, area.bottom)], "line", style.THIN, (1, 2))
    label = axis.marks([data.claimed_to])[0]
    plate.text(right, area.bottom + 4 + style.TICK, label, style.TICK, "muted", anchor="end")
    if made.sheet.phone:
        return
    rows = fonts.wrap(measured, SMALL, "sans", panel.width - 8)
    goes_on = f"the claim goes on to {in_unit(label, unit)}"
    rows += ["", *fonts.wrap(goes_on, SMALL, "sans", panel.width - 8)]
    leading = SMALL * 1.16
    top = (panel.top + panel.bottom - leading * len(rows)) / 2
    patch = Box(panel.left + 2, top - 3, panel.right - 2, top + leading * len(rows) + 3)
    plate.rectangle(patch, "paper")
    for row, text in enumerate(rows):
        plate.text(
            (panel.left + panel.right) / 2,
            top + leading * (row + 0.8),
            text,
            SMALL,
            anchor="middle",
        )


def _lines(made: Frame, lines: list[ItemLine], look: style.Look, data: OverUseData) -> None:
    """Joined where two checkpoints follow on one another, dotted across one that is missing."""
    order = {use: rank for rank, use in enumerate(sorted(data.checkpoints))}
    whole: list[list[list[float]]] = []
    bridges: list[list[list[float]]] = []
    for line in lines:
        if not line.use:
            continue
        places = made.points(line.use, line.y)
        made.ink.add_line(places, 2.0)
        rank = [order.get(use, 0) for use in line.use]
        whole.append([places[0].tolist()])
        for (a, b), (here, there) in zip(pairwise(rank), pairwise(places.tolist()), strict=True):
            if b - a > 1:
                bridges.append([here, there])
                whole.append([there])
            else:
                whole[-1].append(there)
    made.plate.lines(whole, look.role, style.THIN, look.dash, DATA)
    made.plate.lines(bridges, look.role, style.HAIR, style.MISSING, DATA)


def _readings(
    made: Frame, data: OverUseData, lines: list[ItemLine], group: str, look: style.Look
) -> None:
    """A marker for every reading of a group, and the cell of the table that has its number."""
    own = [(row, line) for row, line in enumerate(lines) if line.group == group]
    ahead = data.named_by
    cells = [(row, ahead + data.checkpoints.index(use)) for row, line in own for use in line.use]
    at = made.points(
        [u for _, line in own for u in line.use], [v for _, line in own for v in line.y]
    )
    made.plate.dots(at, look.shape, style.DOT * 0.75, look.role, "paper", 0.4, cells=cells)
    made.ink.add_points(at, 8.0)


def _means(made: Frame, data: OverUseData) -> None:
    """The mean line.  It bears no ranges: those of levels say nothing about a change.

    Dotted to and from a hollow dot where fewer were read: who is left out may move it as far as a
    change would.
    """
    if len({line.item for line in data.lines}) < 2 or not data.means:
        return
    places = made.points([m.use for m in data.means], [m.mean for m in data.means])
    made.plate.line(places, "paper", style.BOLD + 1.6, step=SUMMARY)
    few = [m.use in data.fewer for m in data.means]
    steps = list(zip(pairwise(few), pairwise(places.tolist()), strict=True))
    whole = [[places[0].tolist()]]
    for ends, (_, there) in steps:
        whole.append([there]) if any(ends) else whole[-1].append(there)
    made.plate.lines(whole, "ink", style.BOLD, step=SUMMARY)
    made.plate.lines([step for ends, step in steps if any(ends)], "ink", style.BOLD, style.MISSING,
                     SUMMARY)  # fmt: skip
    row, ahead = len(data.lines), data.named_by
    cells = [(row, ahead + data.checkpoints.index(m.use)) for m in data.means]
    for hollow, fill, edge in ((False, "ink", "paper"), (True, "paper", "ink")):
        own = [i for i, one in enumerate(few) if one is hollow]
        made.plate.dots(places[own], "circle", style.DOT * 1.25, fill, edge, 0.8, SUMMARY,
                        [cells[i] for i in own])  # fmt: skip
    made.ink.add_line(places, 3.0)


def _changes(made: Frame, data: OverUseData, left: float, wide: float) -> None:
    """Each item's change from its own start, measured from where their average starts."""
    assert data.change is not None
    area, plate = made.area, made.plate
    part = replace(made, area=Box(left, area.top, left + wide, area.bottom))
    zone(part, _zone_of(data))
    start = data.means[0].mean
    level = float(made.up(start))
    plate.line([(left, level), (left + wide, level)], "line", style.THIN)
    plate.line([(left, area.bottom), (left + wide, area.bottom)], "line", style.THIN)
    groups = list(dict.fromkeys(line.group for line in data.lines))
    of = {line.item: groups.index(line.group) for line in data.lines}
    heights = made.up([start + c for _, c in data.changes])
    shifts = swarm(heights, style.DOT * 2)
    room = wide * 0.28
    shifts *= min(1.0, room / max(float(np.abs(shifts).max()), 1e-9))
    middle = left + wide * 0.36
    for rank in range(len(groups)):
        own = [i for i, (item, _) in enumerate(data.changes) if of[item] == rank]
        look = series(rank)
        plate.dots([(middle + shifts[i], heights[i]) for i in own], look.shape, style.DOT * 0.8,
                   look.role, "paper", 0.4)  # fmt: skip
    mean, low, high = data.change
    ends = [None if end is None else start + end for end in (low, high)]
    mean_at(made, left + wide * 0.82, start + mean, ends[0], ends[1], wide * 0.13)
    for row, text in enumerate(fonts.wrap(OWN, SMALL, "sans", wide + 4)):
        y = area.bottom + 4 + SMALL * (1 + row * 1.12)
        plate.text(left + wide / 2, y, text, SMALL, "muted", anchor="middle")


def _mean_name(data: OverUseData, n_items: int, phone: bool) -> str:
    """What stands at the end of the bold line: of whom it is the mean."""
    if phone:
        return "mean"
    return f"mean, each {data.sorted_as} once" if data.uneven else f"mean of {n_items}"


def _endings(
    made: Frame,
    data: OverUseData,
    lines: list[ItemLine],
    names: list[str],
    looks: dict[str, style.Look],
) -> list[Ending]:
    """Where each line ends, and where their mean does."""
    endings = []
    for line, name in zip(lines, names, strict=True):
        if line.use and (made.sheet.named or len(lines) == 1):
            x, y = made.points(line.use[-1], line.y[-1])[0].tolist()
            endings.append(Ending(x, y, name, looks[line.group].role))
    if len(lines) > 1 and data.means:
        last = data.means[-1]
        x, y = made.points(last.use, last.mean)[0].tolist()
        name = _mean_name(data, last.n_items, made.sheet.phone)
        endings.append(Ending(x, y, name, "ink", "sans-bold", SUMMARY, always=True))
    return endings
