"""``ball-paths``: boards against feet down a drawn lane, from the foul line to the pins.

The lane is true to scale lengthwise and stretched sideways, which the figure says.  Sizes: 60
feet from foul line to head pin, 62 feet 10 3/16 inches to the tail plank, 39 boards in 41.5 inches,
pins 12 inches apart (rule books); seven arrows on every fifth board between 12 and 16 feet
(descriptions of lanes; the slant of their row from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from explainer import units
from explainer.charts import axis, fonts, style
from explainer.charts.axis import Axis
from explainer.charts.callouts import callouts
from explainer.charts.display_list import AXES, DATA, SUMMARY, Box, DisplayList, Points
from explainer.charts.ends import Ending, end_labels
from explainer.charts.frame import Frame, frame, knocked_out, ticks
from explainer.charts.names import near
from explainer.charts.style import SMALL, WIDE, Canvas, Look, Role, series
from explainer.claims.figure_data import BallPathsData, PathLine
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


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is a ``BallPathsData``."""
    data: BallPathsData = result.data
    said = words.lines or tuple(line.name for line in data.lines)
    names = [fonts.shorten(name, SMALL, "sans-bold", 84) for name in said]
    column = max([fonts.width(name, SMALL, "sans-bold") for name in names], default=0) + 12
    made = frame(sheet, words, _along(data), _across(data), column, x_ticks=False)
    ticks(made, (0, 15, 30, 45, 60), ("foul line", "15 ft", "30 ft", "45 ft", "pins"))
    _lane(made)
    rank = {line.name: index for index, line in enumerate(data.lines)}
    for _, name, distance, board in data.items:
        look = series(rank.get(name, len(rank)))
        for run in _runs(made, distance, board):
            made.plate.line(run, look.role, style.HAIR, (), DATA, 0.6)
            made.ink.add_line(run, 0.5)
    for index, line in enumerate(data.lines):
        _band(made, line, series(index).role)
    for index, line in enumerate(data.lines):
        _path(made, line, series(index))
    end_labels(made, _endings(made, data.lines, names))
    _breakpoints(made, data.lines)
    callouts(made, words)
    _say_stretch(made)
    return made.plate


def _along(data: BallPathsData) -> Axis:
    """The whole lane, and a little more if a reading lies off it."""
    feet = [d for line in data.lines for d in line.distance if math.isfinite(d)]
    return Axis(min([0.0, *feet]) - 0.8, max([DECK, *feet]) + 0.4, (0, 15, 30, 45, 60))


def _across(data: BallPathsData) -> Axis:
    """Boards from the bowler's own side: for a right-hander that is the lower edge.

    The bowler stands at the left and looks to the right, so a left-hander's first board is the
    upper edge, and the axis runs downwards.
    """
    found = [b for line in data.lines for b in (*line.board, *line.low, *line.high)]
    found += [b for *_, boards in data.items for b in boards]
    known = [b for b in found if b is not None and math.isfinite(b)]
    low, high = min([0.0, *known]), max([BOARDS + 1.0, *known])
    boards = (1.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 39.0)
    return Axis(low, high, boards) if data.hand != "left" else Axis(high, low, boards)


def _lane(made: Frame) -> None:
    """Edges and boards, foul line, arrows and pins."""
    plate, area = made.plate, made.area
    near, far = made.across([0.0, DECK]).tolist()
    sides = made.up([0.5, BOARDS + 0.5]).tolist()
    plate.rectangle(Box(near, min(sides), far, max(sides)), "zone")
    seams = made.up([n + 0.5 for n in range(1, BOARDS)]).tolist()
    plate.lines([[(near, h), (far, h)] for h in seams], "grid", 0.3)
    plate.lines([[(near, h), (far, h)] for h in sides], "line", style.THIN)
    plate.line([(near, area.top), (near, area.bottom)], "ink", style.BOLD)
    for board, feet in ARROWS:
        x, y = made.at(feet, board)
        plate.area([(x, y), (x - 8, y - 2.2), (x - 8, y + 2.2)], "line")
    plate.dots([made.at(feet, board) for board, feet in PINS], "circle", 2.6, "paper", "line",
               0.9, AXES)  # fmt: skip


def _runs(made: Frame, feet: Sequence[float], boards: Sequence[float | None]) -> list[Points]:
    """The path in pieces without gaps, in points."""
    runs: list[list[tuple[float, float]]] = [[]]
    for distance, board in zip(feet, boards, strict=True):
        if board is None or not math.isfinite(board) or not math.isfinite(distance):
            runs.append([])
        else:
            runs[-1].append((distance, board))
    return [made.points(*zip(*run, strict=True)) for run in runs if run]


def _band(made: Frame, line: PathLine, role: Role) -> None:
    """The likely range of the mean path, as an edged wash."""
    for low, high in zip(
        _runs(made, line.distance, line.low), _runs(made, line.distance, line.high), strict=False
    ):
        if len(low) > 1 and len(low) == len(high):
            made.plate.area(np.vstack([low, high[::-1]]), role, SUMMARY, 0.16)
            made.plate.lines([low, high], role, style.HAIR, (), SUMMARY, 0.6)


def _path(made: Frame, line: PathLine, look: Look) -> None:
    for run in _runs(made, line.distance, line.board):
        made.plate.line(run, "paper", style.BOLD + 1.4, step=SUMMARY)
        made.plate.line(run, look.role, style.BOLD, look.dash, SUMMARY)
        made.ink.add_line(run, 3)


def _endings(made: Frame, lines: Sequence[PathLine], names: Sequence[str]) -> list[Ending]:
    """Where each mean path ends."""
    endings = []
    for index, (line, name) in enumerate(zip(lines, names, strict=True)):
        runs = _runs(made, line.distance, line.board)
        if runs:
            x, y = runs[-1][-1].tolist()
            endings.append(Ending(x, y, name, series(index).role, "sans-bold", SUMMARY))
    return endings


def _breakpoints(made: Frame, lines: Sequence[PathLine]) -> None:
    """Where each path turns, as a ring with a bar as long as the spacing leaves it unknown."""
    for index, line in enumerate(lines):
        if line.breakpoint is None or line.breakpoint not in line.distance:
            continue
        board = line.board[line.distance.index(line.breakpoint)]
        x, y = made.at(line.breakpoint, board)
        role = series(index).role
        if line.spacing:
            half = float(made.across(line.spacing) - made.across(0))
            pieces = [[(x - half, y), (x + half, y)]]
            pieces += [[(x + side * half, y - 3), (x + side * half, y + 3)] for side in (-1, 1)]
            made.plate.lines(pieces, role, style.LINE, step=SUMMARY)
        made.plate.dots([(x, y)], "circle", 3.4, "paper", role, 1.4, SUMMARY)
    _say_turns(made, lines)


def _say_turns(made: Frame, lines: Sequence[PathLine]) -> None:
    """Where a path turns, in words: once for all paths that turn at the same place."""
    said: dict[str, tuple[float, float, Role]] = {}
    for index, line in enumerate(lines):
        if line.breakpoint is None or line.breakpoint not in line.distance:
            continue
        text = f"turns at {axis.short(line.breakpoint)} ft"
        text += f", give or take {axis.short(line.spacing)}" if line.spacing else ""
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
    """How many times wider than true the lane is drawn, beside the words of the axis."""
    along = float(made.across(1) - made.across(0))
    across = abs(float(made.up(1) - made.up(0))) / BOARD
    text = f"lane drawn about {max(1, round(across / along))} times as wide as it is"
    y = made.area.top - 9
    left = made.sheet.width - made.sheet.margin_x - fonts.width(text, SMALL)
    taken = max((mark.box.right for mark in made.plate.texts if abs(mark.y - y) < 6), default=0)
    if left > taken + 8:
        made.plate.text(left, y, text, SMALL, "muted")
        return
    wide = fonts.width(text, SMALL) + 4
    corner = (made.area.right, made.area.top)
    found = made.ink.place(wide, SMALL * 1.2, corner, made.area, reach=0)
    if found and found.free:
        knocked_out(made, found.box.left + 2, found.box.top + 0.86 * SMALL, text, SMALL, step=AXES)
