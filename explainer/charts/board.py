"""The board: every claim of a study on one small picture, without a number.

A row a claim: its verdict's mark, then a bar for the likely range on a line of its own scale.
Every row's scale is turned so that the shaded right side is where that claim needs its range to
lie.  A bar wholly in the shade is what backs a claim; one across the edge covers both answers; one
wholly outside points the other way.  What was not tested has no bar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from explainer.charts import fonts, style
from explainer.charts.display_list import Box, DisplayList
from explainer.charts.verdict_marks import set_mark
from explainer.claims.verdict import Code, Strip, Verdict

WIDTH = 300.0
PITCH = 17.0
HEAD = 18.0
LEFT, RIGHT = 46.0, WIDTH - 4.0
EDGE = LEFT + 0.42 * (RIGHT - LEFT)
"""Where the shaded side, which the claims need, begins."""
SIZE = 12.6


@dataclass(frozen=True)
class BoardRow:
    """One claim: how far its range reaches beyond the edge of what it needs, from -1 to 1."""

    number: int
    code: Code
    low: float | None = None
    high: float | None = None
    value: float | None = None
    heading: str = ""
    """Over the first of a voice's claims, where more than one voice is told: whose they are."""


def board_rows(
    verdicts: tuple[Verdict, ...], headings: Sequence[str] = ()
) -> tuple[BoardRow, ...]:
    """The rows of a study's claims, in their order on the page; ``headings``: whose each is."""
    rows = [_row(i, v) for i, v in enumerate(verdicts, start=1)]
    for place, heading in enumerate(headings):
        if place == 0 or headings[place - 1] != heading:
            rows[place] = replace(rows[place], heading=heading)
    return tuple(rows)


def board_plate(rows: tuple[BoardRow, ...]) -> DisplayList:
    """The board as a display list 300 points wide and as high as it has rows."""
    lines = len(rows) + sum(bool(row.heading) for row in rows)
    plate = DisplayList(WIDTH, HEAD + PITCH * lines + 3)
    plate.rectangle(Box(EDGE, HEAD, RIGHT, plate.height - 1), "zone")
    plate.text(RIGHT, HEAD - 6, "where the claim needs it →", SIZE, "muted", anchor="end")
    top = HEAD - PITCH / 2
    for row in rows:
        if row.heading:
            top += PITCH
            said = fonts.shorten(row.heading, SIZE, "sans-bold", RIGHT - 6)
            plate.text(6, top + 5, said, SIZE, "muted", "sans-bold")
        y = top = top + PITCH
        plate.text(18, y + 4, str(row.number), SIZE, "muted", anchor="end")
        set_mark(plate, row.code, 32, y, 13)
        plate.line([(LEFT, y), (RIGHT, y)], "grid", style.THIN)
        if row.low is not None and row.high is not None:
            ends = [(_x(row.low), y), (_x(row.high), y)]
            plate.line(ends, "ink", 3.0)
            plate.lines([[(x, y - 4), (x, y + 4)] for x, _ in ends], "ink", style.LINE)
        if row.value is not None:
            plate.dots([(_x(row.value), y)], "circle", 3.4, "ink", "paper", 1.0, step=0)
    plate.line([(EDGE, HEAD), (EDGE, plate.height - 1)], "ink", style.LINE)
    return plate


def _x(reach: float) -> float:
    room = (RIGHT - EDGE - 6) if reach > 0 else (EDGE - LEFT - 6)
    return EDGE + max(-1.0, min(1.0, reach)) * room


def _row(number: int, verdict: Verdict) -> BoardRow:
    strip = verdict.strip
    if strip is None or verdict.code == "not-tested":
        return BoardRow(number, verdict.code)
    low, high = strip.measured or (strip.low, strip.high)
    if low is None or high is None or not _has_edge(strip):
        return BoardRow(number, verdict.code)
    reached = [_reach(strip, at) for at in _corners(strip, low, high)]
    middle = None if strip.value is None else _reach(strip, strip.value)
    known = [abs(r) for r in (*reached, middle or 0.0)]
    scale = max(known) or 1.0
    if not math.isfinite(scale):
        return BoardRow(number, verdict.code)
    value = None if middle is None else middle / scale
    return BoardRow(number, verdict.code, min(reached) / scale, max(reached) / scale, value)


def _has_edge(strip: Strip) -> bool:
    return strip.beyond is not None or strip.claim_zone not in (None, (None, None))


def _corners(strip: Strip, low: float, high: float) -> list[float]:
    """The ends of the range and, where it holds them, the points where the reach turns."""
    turns = [0.0] if strip.claim_zone in (None, (None, None)) else []
    if strip.claim_zone is not None:
        a, b = strip.claim_zone
        turns += [(a + b) / 2] if a is not None and b is not None else []
    return [low, high, *(t for t in turns if low < t < high)]


def _reach(strip: Strip, at: float) -> float:
    """How far ``at`` lies inside what the claim needs; below 0 outside."""
    if strip.claim_zone in (None, (None, None)):
        return abs(at) - (strip.beyond or 0.0)
    assert strip.claim_zone is not None
    low, high = strip.claim_zone
    inside = [] if low is None else [at - low]
    inside += [] if high is None else [high - at]
    return min(inside)
