"""Share cards: one picture of 1200 by 630 pixels for a page, and one for each of its claims.

A card is seen small and away from its page, so it says for itself that data are made up, whose
site it is, and which verdict the claim got.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from explainer.charts import fonts
from explainer.charts.display_list import AXES, DisplayList, Dots, Mark, Stroke
from explainer.charts.strip import strip_plate
from explainer.charts.style import STILL_SCALE, Face
from explainer.charts.verdict_marks import set_mark
from explainer.claims.verdict import Code, Strip
from explainer.words.said import ClaimWords

WIDTH, HEIGHT = 1200 / STILL_SCALE, 630 / STILL_SCALE
LEFT, RIGHT = 16.0, WIDTH - 16.0
KICKER, LEADING = 9.0, 1.2
STRIP_SCALE = 0.76
"""At most; less where the claim takes two lines."""


def claim_card(
    code: Code, words: ClaimWords, strip: Strip | None, kicker: str, ends_with: str
) -> DisplayList:
    """A claim in plain words, its verdict and its strip; ``kicker`` stands at the head.

    ``ends_with`` says what a card without a strip says in its place.
    """
    plate = _started(kicker)
    y = _lines(plate, words.plainly, 25.0, (15.0, 13.0, 11.0), 33.0)
    set_mark(plate, code, LEFT + 6, y + 11, 12)
    plate.text(LEFT + 17, y + 15, words.label, 11.5, face="sans-bold")
    drawn = strip is not None and (strip.value is not None or strip.measured is not None)
    if strip is not None and drawn:
        small = strip_plate(strip, words.note, bool(words.held))
        scale = min(STRIP_SCALE, (HEIGHT - 4 - (y + 19)) / small.height)
        left, top = (WIDTH - small.width * scale) / 2, HEIGHT - small.height * scale - 2
        plate.marks += [_placed(mark, scale, left, top) for mark in small.marks]
    else:
        _lines(plate, ends_with, y + 24, (11.0, 10.0, 9.0), HEIGHT - y - 34, "sans")
    return plate


def page_card(
    question: str, answer: str, tally: tuple[tuple[Code, int], ...], kicker: str
) -> DisplayList:
    """The question, the answer, and how many claims got which verdict."""
    plate = _started(kicker)
    y = _lines(plate, question, 27.0, (10.0, 9.0), 26.0, "sans")
    _lines(plate, answer, y + 5, (19.0, 17.0, 15.0, 13.0), HEIGHT - y - 40)
    x = LEFT
    for code, count in tally:
        set_mark(plate, code, x + 7, HEIGHT - 17, 14)
        said = plate.text(x + 18, HEIGHT - 12.5, str(count), 14.0, face="sans-bold")
        x = said.box.right + 14
    return plate


def _started(kicker: str) -> DisplayList:
    plate = DisplayList(WIDTH, HEIGHT)
    said = fonts.shorten(kicker, KICKER, "sans", RIGHT - LEFT)
    plate.text(LEFT, 19, said, KICKER, "muted")
    return plate


def _lines(
    plate: DisplayList, text: str, top: float, sizes: tuple[float, ...], high: float,
    face: Face = "sans-bold",
) -> float:  # fmt: skip
    """Sets ``text`` in the largest size that fits ``high`` points; gives where its last line ends.

    What does not fit in the smallest is cut with an ellipsis.
    """
    lines: list[str] = []
    size = sizes[-1]
    for size in sizes:
        lines = fonts.wrap(fonts.typeset(text), size, face, RIGHT - LEFT)
        if len(lines) * size * LEADING <= high:
            break
    room = max(1, int(high // (size * LEADING)))
    if len(lines) > room:
        last = fonts.shorten(f"{lines[room - 1]} …", size, face, RIGHT - LEFT)
        lines = [*lines[: room - 1], last]
    y = top
    for line in lines:
        y += size * LEADING
        plate.text(LEFT, y - 3, line, size, face=face)
    return y


def _placed(mark: Mark, scale: float, left: float, top: float) -> Mark:
    """A mark of another display list, smaller and in its place on this one."""
    shift = np.array([left, top])
    if isinstance(mark, Stroke):
        runs = tuple(run * scale + shift for run in mark.runs)
        dash = tuple(part * scale for part in mark.dash)
        return replace(mark, runs=runs, width=mark.width * scale, dash=dash, step=AXES)
    if isinstance(mark, Dots):
        return replace(mark, at=mark.at * scale + shift, radius=mark.radius * scale, step=AXES)
    return replace(
        mark, x=mark.x * scale + left, y=mark.y * scale + top, size=mark.size * scale, step=AXES
    )
