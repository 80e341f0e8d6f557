"""Kinds whose horizontal axis is a row of names: groups, conditions, parts."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from itertools import count

import numpy as np

from explainer.charts import fonts, style
from explainer.charts.axis import Axis
from explainer.charts.display_list import SUMMARY, Points
from explainer.charts.frame import Frame, Key, Sign, frame
from explainer.charts.style import TICK, Canvas, Role
from explainer.words.said import FigureWords

FEW = 6
"""Columns that are all named, if need be in broken words."""


def columns(
    sheet: Canvas,
    words: FigureWords,
    names: Sequence[str],
    y: Axis,
    right: float = 8.0,
    key: Key = (),
    signs: Sequence[Sign] = (),
    below: Sequence[Sequence[str]] = (),
    key_lines: bool = True,
) -> Frame:
    """A frame with one column per name, numbered 0, 1, … along the axis.

    ``below``: lines that stand under each name.
    """
    count = max(len(names), 1)
    x = Axis(-0.5, count - 0.5, tuple(float(n) for n in range(count)))
    room = (sheet.width - 2 * sheet.margin_x - right - 30) / count - 6
    told = told_apart(names, room)
    # Of many names no word is broken; where their columns are too narrow, not each one is named.
    words_of = [word for name in told for word in name.split() if count > FEW or len(name) < 6]
    one_word = max((fonts.width(word, TICK) for word in words_of), default=0.0)
    every = 1 if below else max(1, int(np.ceil((one_word + 3) / (room + 6))))
    if room <= 12 and not below:
        every = max(every, int(np.ceil(14 / (room + 6))))
    rows = [_short(name, max(room, one_word)) for name in told]
    for row, more in zip(rows, below, strict=False):
        row += [line for text in more for line in fonts.wrap(text, TICK, "sans", room + 4)]
    lines = max((len(row) for row in rows), default=1)
    made = frame(sheet, words, x, y, right, key, x_ticks=False, tick_lines=lines, signs=signs,
                 key_lines=key_lines)  # fmt: skip
    for index, row in enumerate(rows):
        middle = float(made.across(index))
        for line, text in enumerate(row if index % every == 0 else ()):
            at = made.area.bottom + 4 + TICK * (1 + line * style.LEADING)
            made.plate.text(middle, at, text, TICK, "ink", anchor="middle")
    return made


def told_apart(names: Sequence[str], room: float) -> list[str]:
    """The names; where they are too wide, without the words they all begin with."""
    if len(names) < 2 or all(fonts.width(name, TICK) <= room for name in names):
        return list(names)
    words = [name.split() for name in names]
    shared = 0
    while all(len(w) > shared + 1 and w[shared] == words[0][shared] for w in words):
        shared += 1
    return [" ".join(w[shared:]) for w in words]


def _short(name: str, room: float) -> list[str]:
    """A name in one or two lines that fit its column."""
    lines = fonts.balanced(name, TICK, "sans", max(room, 12.0))
    if len(lines) > 2:
        lines = [lines[0], " ".join(lines[1:])]
    return [fonts.shorten(line, TICK, "sans", max(room, 12.0)) for line in lines]


def swarm(heights: Points, step: float) -> Points:
    """Sideways shifts that keep dots at these heights apart: 0, +step, -step, +2 steps, …

    Each dot in turn takes the innermost place that is free, from the lowest dot up, so that
    equal values stand side by side and nothing is hidden.
    """
    shifts = np.zeros(len(heights))
    near: deque[tuple[float, int]] = deque()  # heights and places of dots that this one may touch
    for index in np.argsort(heights, kind="stable"):
        height = float(heights[index])
        while near and abs(near[0][0] - height) >= step:
            near.popleft()
        taken = {place for _, place in near}
        place = next(place for place in count() if place not in taken)
        shifts[index] = (place + 1) // 2 * step * (1 if place % 2 else -1)
        near.append((height, place))
    return shifts


def mean_with_range(
    made: Frame, x: float, mean: float, low: float | None, high: float | None, half: float = 9.0,
    role: Role = "ink", weight: float = 1.0,
) -> None:  # fmt: skip
    """A short bar at the mean, thick by ``weight``, and its likely range as an upright."""
    height = float(made.up(mean))
    plate = made.plate
    if low is not None and high is not None:
        bottom, top = made.up([low, high]).tolist()
        plate.line([(x, bottom), (x, top)], "paper", style.LINE + 2.4, step=SUMMARY)
        pieces = [[(x, bottom), (x, top)], [(x - 3, bottom), (x + 3, bottom)],
                  [(x - 3, top), (x + 3, top)]]  # fmt: skip
        plate.lines(pieces, role, style.LINE * 1.3 * weight, step=SUMMARY)
        made.ink.add_line(np.array([(x, bottom), (x, top)]), 4)
    thick = (style.BOLD + 0.4) * weight
    bar = np.array([(x - half, height), (x + half, height)])
    plate.line(bar, "paper", thick + 1.6, step=SUMMARY)
    plate.line(bar, role, thick, step=SUMMARY)
    made.ink.add_line(bar, 4)
