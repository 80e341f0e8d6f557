"""``ball-paths``: the last third of the lane drawn large, the gap by distance, the lane whole.

Where paths were read too seldom in the last third, the whole lane is drawn large instead.

The lane is true to scale lengthwise and stretched sideways, which the figure says.  Sizes: 60
feet from foul line to head pin, 62 feet 10 3/16 inches to the tail plank, 39 boards in 41.5 inches,
pins 12 inches apart (rule books); seven arrows on every fifth board between 12 and 16 feet
(descriptions of lanes; the slant of their row from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from explainer import units
from explainer.charts import axis, fonts, style
from explainer.charts.axis import Axis
from explainer.charts.callouts import callouts
from explainer.charts.display_list import AXES, DATA, SUMMARY, Box, DisplayList, Points
from explainer.charts.frame import Frame, Sign, frame, grid, knocked_out, ticks
from explainer.charts.names import Ending, end_labels, near
from explainer.charts.style import SMALL, WIDE, Canvas, Look, Role, series
from explainer.claims.figure_data import LAST_THIRD, BallPathsData, PathLine
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords

BOARDS = units.LANE_BOARDS
FEET = units.LANE_FEET
DECK = units.LANE_END_FEET
BOARD = units.BOARD_INCHES / 12
"""One board in feet."""
ARROWS = tuple((5 * n, 15.75 - 1.08 * abs(n - 4)) for n in range(1, 8))
"""(board, feet) of the tips of the arrows."""
PINS = tuple(
    (20 + (place - row / 2) * 1.0 / BOARD, FEET + row * math.sqrt(3) / 2)
    for row in range(4) for place in range(row + 1)
)  # fmt: skip
"""(board, feet): rows a half-triangle's height apart."""


SIDE = 0.37
"""Share of a wide sheet that the whole lane and the gap stand in, beside the last third."""
INSET, GAP = 40.0, 66.0
"""Heights of the two on a phone, where they stand above and below it."""
LABEL = SMALL * 1.5
"""Room for a panel's own words above it."""
WASH, BAR = 0.22, 7.0
"""How strong a likely range is drawn, and how wide at a mark that stands alone."""
WHOLE = "the whole lane"


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is a ``BallPathsData``."""
    data: BallPathsData = result.data
    said = words.lines or tuple(line.name for line in data.lines)
    names = [fonts.shorten(name, SMALL, "sans-bold", 84) for name in said]
    column = max([fonts.width(name, SMALL, "sans-bold") for name in names], default=0) + 12
    if data.late:
        return _last_third(data, words, sheet, names, column)
    return _whole_lane(data, words, sheet, names, column)


def _last_third(
    data: BallPathsData, words: FigureWords, sheet: Canvas, names: Sequence[str], column: float
) -> DisplayList:
    """The last third large, the gap of first and last by distance, the lane whole and small."""
    if sheet.phone:
        more = INSET + LABEL + (GAP + LABEL if data.gaps else 0.0)
        sheet = replace(sheet, area=sheet.area + more)
    farthest = max(FEET, *(max(line.distance) for line in data.lines))
    along = Axis(LAST_THIRD - 0.5, farthest + 0.4, ())
    blank = Axis(0.0, 1.0, ())
    outer = frame(sheet, words, along, blank, x_ticks=False, signs=_signs(data, names))
    main, inset, gap = _panels(outer, data, along, column)
    grid(main)
    feet = (40.0, 45.0, 50.0, 55.0, 60.0)
    ticks(main, feet, ("40 ft", "45 ft", "50 ft", "55 ft", "pins"))
    _boards(main)
    _lines_of(main, data, LAST_THIRD)
    _breakpoints(main, data.lines, LAST_THIRD)
    end_labels(main, _endings(main, data.lines, names))
    if not sheet.phone:
        _say_turns(main, data.lines, LAST_THIRD)
    _inset(inset, data, names, say=not sheet.phone)
    if gap is not None:
        _gap(gap, data, names)
    callouts(main, words)
    if not sheet.phone:
        _say_stretch(main)
    return outer.plate


def _panels(
    outer: Frame, data: BallPathsData, along: Axis, column: float
) -> tuple[Frame, Frame, Frame | None]:
    """The last third, the whole lane, and the gap where there is one, each with its own scales."""
    area = outer.area
    y = _across(data, LAST_THIRD)
    left = area.left + max(fonts.width(t, style.TICK) for t in y.labels) + 4
    whole = replace(outer, x=_along(data), y=_across(data))
    far = replace(outer, x=along, y=_gap_scale(data))
    main = replace(outer, x=along, y=y)
    if outer.sheet.width >= 400:
        edge = area.left + area.width * (1 - SIDE)
        start = edge + 22
        split = area.top + area.height * (0.36 if data.gaps else 0.6)
        return (
            replace(main, area=Box(left, area.top, edge - column, area.bottom)),
            replace(whole, area=Box(start, area.top + LABEL - 8, area.right, split - 4)),
            replace(far, area=Box(start + 14, split + 2 * LABEL, area.right - 8, area.bottom))
            if data.gaps else None,
        )  # fmt: skip
    room = area.height
    inset = INSET if outer.sheet.phone else 0.16 * room
    low = (GAP if outer.sheet.phone else 0.26 * room) if data.gaps else 0.0
    top = area.top + LABEL + inset
    bottom = area.bottom - (low + LABEL + style.TICK * 1.9 if data.gaps else 0.0)
    right = area.right - column
    return (
        replace(main, area=Box(left, top + 8, right, bottom)),
        replace(whole, area=Box(left, area.top + LABEL - 8, area.right, top - 8)),
        replace(far, area=Box(left, area.bottom - low, right, area.bottom)) if data.gaps else None,
    )


def _signs(data: BallPathsData, names: Sequence[str]) -> list[Sign]:
    """What a phone says below the data."""
    return [
        Sign("boards and feet are drawn to scales of their own", ground="zone"),
        *(Sign(text, dots=tuple(("circle", "paper", series(i).role) for i in which))
          for text, which in _turnings(data, names)),
    ]  # fmt: skip


def _turnings(
    data: BallPathsData, names: Sequence[str], before: float = math.inf
) -> list[tuple[str, list[int]]]:
    """Where paths turn, with the places of those that turn there: named unless all of them do."""
    alike: dict[str, list[int]] = {}
    for index, line in enumerate(data.lines):
        if line.turns and (line.breakpoint or 0.0) < before:
            alike.setdefault(_turning(line), []).append(index)
    return [
        (text if len(which) == len(names) else f"{', '.join(names[i] for i in which)}: {text}",
         which)
        for text, which in alike.items()
    ]  # fmt: skip


def _turning(line: PathLine) -> str:
    """Where a path turns, and how little is known of it."""
    said = f"turns at {axis.short(line.breakpoint or 0.0)} ft"
    return said + (f", give or take {axis.short(line.spacing)} ft" if line.spacing else "")


def _boards(made: Frame) -> None:
    """The lane under the last third: its seams, and its edges where they are on the scale."""
    area, plate = made.area, made.plate
    plate.rectangle(area, "zone")
    low, high = sorted((made.y.low, made.y.high))
    seams = [n + 0.5 for n in range(1, BOARDS) if low < n + 0.5 < high]
    plate.lines([[(area.left, h), (area.right, h)] for h in made.up(seams).tolist()], "grid", 0.3)
    sides = [side for side in units.LANE_EDGES if low < side < high]
    plate.lines([[(area.left, h), (area.right, h)] for h in made.up(sides).tolist()], "line",
                style.THIN)  # fmt: skip


def _inset(made: Frame, data: BallPathsData, names: Sequence[str], say: bool) -> None:
    """The whole lane small, with a frame about the part that is drawn large."""
    area, plate = made.area, made.plate
    plate.text(area.left, area.top - 3, WHOLE, SMALL, "muted")
    _lane(made, small=True)
    for index, line in enumerate(data.lines):
        for run in _runs(made, line.distance, line.board):
            plate.line(run, series(index).role, style.LINE, series(index).dash, SUMMARY)
    _breakpoints(made, data.lines)
    left, right = made.across([LAST_THIRD, min(made.x.high, FEET + 0.6)]).tolist()
    box = Box(left, area.top, right, area.bottom)
    plate.line([(box.left, box.top), (box.right, box.top), (box.right, box.bottom),
                (box.left, box.bottom), (box.left, box.top)], "ink", style.LINE)  # fmt: skip
    text = "; ".join(text for text, _ in _turnings(data, names, LAST_THIRD))
    if say and fonts.width(text, SMALL) <= area.width:  # else the words beneath the figure tell it
        plate.text(area.right, area.bottom + SMALL * 1.1, text, SMALL, "muted", anchor="end")


def _gap_scale(data: BallPathsData) -> Axis:
    late = [g for g in data.gaps if g.distance >= LAST_THIRD]
    return axis.fit([0.0, *(g.mean for g in late)], 0.12, 3,
                    also=[e for g in late for e in (g.low, g.high) if e is not None])  # fmt: skip


def _gap(made: Frame, data: BallPathsData, names: Sequence[str]) -> None:
    """How far the last path lies from the first at each distance, with its band; 0 is no gap."""
    area, plate = made.area, made.plate
    late = [g for g in data.gaps if g.distance >= LAST_THIRD]
    room = made.sheet.width - made.sheet.margin_x - area.left
    said = fonts.shorten(f"gap, {names[-1]} from {names[0]} (boards)", SMALL, "sans", room)
    plate.text(area.left, area.top - 4, said, SMALL, "muted")
    grid(made)
    ticks(made, (40.0, 50.0, 60.0), ("40 ft", "50 ft", "60 ft"))
    zero = float(made.up(0.0))
    plate.line([(area.left, zero), (area.right, zero)], "line", style.THIN)
    _wash(made, [g.distance for g in late], [g.low for g in late], [g.high for g in late], "ink")
    spots = made.points([g.distance for g in late], [g.mean for g in late])
    plate.line(spots, "ink", style.LINE * 1.4, step=SUMMARY)
    plate.dots(spots, "circle", style.DOT * 0.8, "ink", "paper", 0.4, SUMMARY)


def _whole_lane(
    data: BallPathsData, words: FigureWords, sheet: Canvas, names: Sequence[str], column: float
) -> DisplayList:
    """The lane from end to end."""
    made = frame(sheet, words, _along(data), _across(data), column, x_ticks=False)
    ticks(made, (0, 15, 30, 45, 60), ("foul line", "15 ft", "30 ft", "45 ft", "pins"))
    _lane(made)
    _lines_of(made, data)
    _breakpoints(made, data.lines)
    end_labels(made, _endings(made, data.lines, names))
    _say_turns(made, data.lines)
    callouts(made, words)
    _say_stretch(made)
    return made.plate


def _lines_of(made: Frame, data: BallPathsData, near: float = -math.inf) -> None:
    """Each item's own path, thin, and the average paths with their bands, from ``near`` on."""
    rank = {line.name: index for index, line in enumerate(data.lines)}
    for _, name, distance, board in data.items:
        look = series(rank.get(name, len(rank)))
        for run in _runs(made, distance, board, near):
            made.plate.line(run, look.role, style.HAIR, (), DATA, 0.6)
            made.ink.add_line(run, 0.5)
    for index, line in enumerate(data.lines):
        _wash(made, line.distance, line.low, line.high, series(index).role, near)
    for line in data.lines:  # beneath all of them, or a path would hide one that it lies on
        for run in _runs(made, line.distance, line.board, near):
            made.plate.line(run, "paper", style.BOLD + 1.4, step=SUMMARY)
    before = 0
    for index, line in enumerate(data.lines):
        _path(made, line, series(index), before, near)
        before += len(line.distance)


def _along(data: BallPathsData) -> Axis:
    """The whole lane, and a little more if a reading lies off it."""
    feet = [d for line in data.lines for d in line.distance if math.isfinite(d)]
    return Axis(min([0.0, *feet]) - 0.8, max([DECK, *feet]) + 0.4, (0, 15, 30, 45, 60))


def _across(data: BallPathsData, near: float | None = None) -> Axis:
    """Boards from the bowler's own side: for a right-hander that is the lower edge.

    The bowler stands at the left and looks to the right, so a left-hander's first board is the
    upper edge, and the axis runs downwards.
    """
    found = [b for line in data.lines for b in (*line.board, *line.low, *line.high)]
    found += [b for *_, boards in data.items for b in boards]
    known = [b for b in found if b is not None and math.isfinite(b)]
    if near is not None:
        late = [b for _, _, feet, boards in data.items
                for d, b in zip(feet, boards, strict=True) if d >= near]  # fmt: skip
        late += [b for line in data.lines for side in (line.board, line.low, line.high)
                 for d, b in zip(line.distance, side, strict=True)
                 if d >= near and b is not None and math.isfinite(b)]  # fmt: skip
        plain = axis.fit(late, 0.08)
        return plain if data.hand != "left" else Axis(plain.high, plain.low, plain.ticks)
    low, high = min([0.0, *known]), max([BOARDS + 1.0, *known])
    boards = (1.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 39.0)
    return Axis(low, high, boards) if data.hand != "left" else Axis(high, low, boards)


def _lane(made: Frame, small: bool = False) -> None:
    """Edges and boards, foul line, arrows and pins; ``small``: without what would be specks."""
    plate, area = made.plate, made.area
    near, far = made.across([0.0, DECK]).tolist()
    sides = made.up(list(units.LANE_EDGES)).tolist()
    plate.rectangle(Box(near, min(sides), far, max(sides)), "zone")
    seams = made.up([n + 0.5 for n in range(1, BOARDS)]).tolist()
    if not small:
        plate.lines([[(near, h), (far, h)] for h in seams], "grid", 0.3)
    plate.lines([[(near, h), (far, h)] for h in sides], "line", style.THIN)
    plate.line([(near, area.top), (near, area.bottom)], "ink", style.BOLD)
    for board, feet in ARROWS:
        x, y = made.at(feet, board)
        long, half = (4, 1.2) if small else (8, 2.2)
        plate.area([(x, y), (x - long, y - half), (x - long, y + half)], "line")
    plate.dots([made.at(feet, board) for board, feet in PINS], "circle", 1.1 if small else 2.6,
               "paper", "line", 0.5 if small else 0.9, AXES)  # fmt: skip


def _runs(
    made: Frame, feet: Sequence[float], boards: Sequence[float | None], near: float = -math.inf
) -> list[Points]:
    """The path in pieces without gaps, in points, as far as it lies from ``near`` on."""
    runs: list[list[tuple[float, float]]] = [[]]
    for distance, board in zip(feet, boards, strict=True):
        if board is None or not math.isfinite(board) or not math.isfinite(distance):
            runs.append([])
        elif distance >= near:
            runs[-1].append((distance, board))
    return [made.points(*zip(*run, strict=True)) for run in runs if run]


def _wash(
    made: Frame, feet: Sequence[float], low: Sequence[float | None], high: Sequence[float | None],
    role: Role, near: float = -math.inf,
) -> None:  # fmt: skip
    """The likely range of an average as a wash, without an edge that would look like one more path;
    at a mark between two that have none, as a bar."""
    if len(feet) < 2:
        return
    for below, above in zip(_runs(made, feet, low, near), _runs(made, feet, high, near),
                            strict=True):  # fmt: skip
        if len(below) > 1:
            made.plate.area(np.vstack([below, above[::-1]]), role, SUMMARY, WASH)
        else:
            made.plate.line(np.vstack([below, above]), role, BAR, (), SUMMARY, WASH)


def _path(made: Frame, line: PathLine, look: Look, before: int, near: float) -> None:
    """The average path, with a mark where it was read; ``before``: its first row in the table."""
    for run in _runs(made, line.distance, line.board, near):
        made.plate.line(run, look.role, style.BOLD, look.dash, SUMMARY)
        made.ink.add_line(run, 3)
    read = [(i, d, b) for i, (d, b) in enumerate(zip(line.distance, line.board, strict=True))
            if d >= near and math.isfinite(b)]  # fmt: skip
    made.plate.dots(
        made.points([d for _, d, _ in read], [b for _, _, b in read]) if read else [], look.shape,
        style.DOT * 0.8, look.role, "paper", 0.4, SUMMARY, [(before + i, 0) for i, _, _ in read],
    )  # fmt: skip


def _endings(made: Frame, lines: Sequence[PathLine], names: Sequence[str]) -> list[Ending]:
    """Where each mean path ends."""
    endings = []
    for index, (line, name) in enumerate(zip(lines, names, strict=True)):
        runs = _runs(made, line.distance, line.board)
        if runs:
            x, y = runs[-1][-1].tolist()
            role = series(index).role
            endings.append(Ending(x, y, name, role, "sans-bold", SUMMARY, always=True))
    return endings


def _breakpoints(made: Frame, lines: Sequence[PathLine], near: float = -math.inf) -> None:
    """Where each path turns, as a ring with a bar as long as the spacing leaves it unknown."""
    for index, line in enumerate(lines):
        if not line.turns or line.breakpoint is None or line.breakpoint not in line.distance:
            continue
        if line.breakpoint < near:
            continue
        board = line.board[line.distance.index(line.breakpoint)]
        x, y = made.at(line.breakpoint, board)
        role = series(index).role
        if line.spacing:
            half = float(made.across(line.spacing) - made.across(0))
            ends = [max(x - half, made.area.left), min(x + half, made.area.right)]
            pieces = [[(ends[0], y), (ends[1], y)]]
            pieces += [[(end, y - 3), (end, y + 3)] for end in ends]
            made.plate.lines(pieces, role, style.THIN, step=SUMMARY)
            made.ink.add_line(np.array(pieces[0]), 3)
        made.plate.dots([(x, y)], "circle", 3.4, "paper", role, 1.4, SUMMARY)


def _say_turns(made: Frame, lines: Sequence[PathLine], start: float = -math.inf) -> None:
    """Where a path turns, in words: once for all paths that turn at the same place."""
    said: dict[str, tuple[float, float, Role]] = {}
    for index, line in enumerate(lines):
        if not line.turns or line.breakpoint is None or line.breakpoint not in line.distance:
            continue
        if line.breakpoint < start:
            continue
        text = _turning(line)
        x, y = made.at(line.breakpoint, line.board[line.distance.index(line.breakpoint)])
        said[text] = (x, y, "ink" if text in said else series(index).role)
    for text, (x, y, role) in said.items():
        wide = fonts.width(text, SMALL) + 4
        inside = near(made, x, y, 40, wide)
        found = made.ink.place(wide, SMALL * 1.2, (x, y), inside, 0.5, 6)
        if found and found.free:
            knocked_out(made, found.box.left + 2, found.box.top + 0.86 * SMALL, text, SMALL, role,
                        step=SUMMARY)  # fmt: skip


def _say_stretch(made: Frame) -> None:
    """How many times wider than true the lane is drawn, beside the words of the axis or in it."""
    along = float(made.across(1) - made.across(0))
    across = abs(float(made.up(1) - made.up(0))) / BOARD
    times = round(across / along)
    if times < 2:  # a range of boards wider than a lane can take: nothing to warn of
        return
    text = f"lane drawn about {times} times as wide as it is"
    y = made.area.top - 9
    left = made.sheet.width - made.sheet.margin_x - fonts.width(text, SMALL)
    taken = max((mark.box.right for mark in made.plate.texts if abs(mark.y - y) < 6), default=0)
    if left > taken + 8 and made.area.right > 0.75 * made.sheet.width:
        made.plate.text(left, y, text, SMALL, "muted")
        return
    wide = fonts.width(text, SMALL) + 4
    corner = (made.area.right, made.area.top)
    found = made.ink.place(wide, SMALL * 1.2, corner, made.area, reach=0)
    if found and found.free:
        knocked_out(made, found.box.left + 2, found.box.top + 0.86 * SMALL, text, SMALL, step=AXES)
