"""The board: every claim of a study on one small picture, without a number.

A row a claim: its name, its verdict's mark, then a bar for the likely range on a line of its own
scale, the same on both sides of the edge.  Every row's scale is turned so that the right side,
hatched as on a strip, is where that claim needs its range to lie.  A bar wholly there is what backs
a claim; one across the edge covers both answers; one wholly outside points the other way.  A hollow
bar is held back by something else, too; what each item reads against a limit is a mark, and named
below the rows.  What was not tested has no bar; what was, and has none to draw, says so, and so
does what is too small.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from explainer.charts import fonts, style
from explainer.charts.display_list import Box, DisplayList, hatching
from explainer.charts.verdict_marks import set_mark
from explainer.claims.kinds import kind_of
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.words.quantity.numbers import MINUS
from explainer.words.quantity.sizes import Sized
from explainer.words.said import ClaimWords

WIDTH = 300.0
PITCH = 17.0
SECOND = 14.0
"""What each further line of a name adds to its row."""
MOST = 4
"""Lines of a name at most."""
HEAD = 18.0
NAME = 118.0
"""Points for a claim's number and name."""
MARK = NAME + 11.0
LEFT, RIGHT = NAME + 24.0, WIDTH - 4.0
EDGE = LEFT + 0.38 * (RIGHT - LEFT)
"""Where the hatched side, which the claims need, begins."""
ROOM = RIGHT - EDGE - 6
"""From the edge to the end of the longest bar on its right."""
LEAST = -(EDGE - LEFT - 6) / ROOM
"""The longest on its left, where that is 1."""
SIZE = 12.6
#: Where the scale of a unit ends.
ENDS_OF: dict[str, tuple[float, ...]] = {"r": (-1.0, 1.0), "share": (0.0, 1.0)}
HELD: tuple[Code, ...] = ("leans", "cannot-tell")
HOLLOW = "hollow bar: there is a catch, named at its claim"
EITHER = "either way counts: drawn along the best guess"
READINGS = "diamonds: each reading, inside the limit or out"
BARE = "no range to draw"
SMALL = "found too small"


@dataclass(frozen=True)
class BoardRow:
    """One claim: how far its range reaches beyond the edge of what it needs, ``LEAST`` to 1."""

    number: int
    code: Code
    low: float | None = None
    high: float | None = None
    value: float | None = None
    name: str = ""
    held: bool = False
    """Whether something beside the range holds the verdict back, as its strip says."""
    readings: tuple[float, ...] = ()
    """How far each reading against a limit reaches, to 0.01, where it is those and no range."""
    small: bool = False
    """Whether the data are against it because what they show is too small, whatever its side."""
    bare: str = ""
    """What stands where there is no range to draw: the best guess, or that it was counted."""
    either: bool = False
    """Whether its range also reaches where the claim would be true the other way."""
    heading: str = ""
    """Over the first of a voice's claims, where more than one voice is told: whose they are."""


def board_rows(
    verdicts: tuple[Verdict, ...], words: Mapping[str, ClaimWords], headings: Sequence[str] = ()
) -> tuple[BoardRow, ...]:
    """The rows of a study's claims, in their order on the page; ``words`` by claim id.

    ``headings``: whose each claim is, where more than one voice is told.
    """
    rows = [_row(i, v, words[v.claim.id]) for i, v in enumerate(verdicts, start=1)]
    for place, heading in enumerate(headings):
        if place == 0 or headings[place - 1] != heading:
            rows[place] = replace(rows[place], heading=heading)
    return tuple(rows)


def board_plate(rows: tuple[BoardRow, ...]) -> DisplayList:
    """The board as a display list 300 points wide and as high as it has rows."""
    drawn = [row for row in rows if _reaches(row)]
    legend = [HOLLOW] if any(row.held and not row.readings for row in drawn) else []
    legend += [EITHER] if any(row.either for row in drawn) else []
    legend += [READINGS] if any(row.readings for row in drawn) else []
    lines = len(rows) + sum(bool(row.heading) for row in rows)
    names = [_name(row) for row in rows]
    bottom = HEAD + PITCH * lines + SECOND * sum(len(name) - 1 for name in names) + 2
    plate = DisplayList(WIDTH, bottom + 1 + PITCH * len(legend))
    plate.lines(hatching(Box(EDGE, HEAD, RIGHT, bottom), 8.0), "grid", style.THIN)
    plate.text(RIGHT, HEAD - 6, "where the claim needs it →", SIZE, "muted", anchor="end")
    top, lies = HEAD, []
    for row, name in zip(rows, names, strict=True):
        y = top + PITCH / 2
        if row.heading:
            said = fonts.shorten(row.heading, SIZE, "sans-bold", RIGHT)
            plate.text(0, y + 5, said, SIZE, "muted", "sans-bold")
            top += PITCH
        more = SECOND * (len(name) - 1)
        y = top + (PITCH + more) / 2
        for line, (x, text) in enumerate(name):
            plate.text(x, y + 4 - more / 2 + line * SECOND, text, SIZE, "ink")
        top += PITCH + more
        set_mark(plate, row.code, MARK, y, 13)
        plate.line([(LEFT, y), (RIGHT, y)], "grid", style.THIN)
        _bar(plate, row, y)
        lies.append((y, top - PITCH - more, top))
    plate.line([(EDGE, HEAD), (EDGE, bottom)], "ink", style.LINE)
    for row, (y, above, below) in zip(rows, lies, strict=True):
        _instead(plate, row, y, Box(LEFT - 2, above, RIGHT, below))
    for line, said in enumerate(legend, start=1):
        plate.text(RIGHT, bottom + PITCH * line - 4, said, SIZE, "muted", anchor="end")
    return plate


def _name(row: BoardRow) -> list[tuple[float, str]]:
    """A claim's number and name in lines, each with its left edge."""
    number = f"{row.number}  "
    whole = f"{number}{row.name}".rstrip()
    if fonts.width(whole, SIZE) <= NAME:
        return [(0.0, whole)]
    indent = fonts.width(number, SIZE)
    lines = fonts.wrap(row.name, SIZE, "sans", NAME - indent)
    if len(lines) > MOST:
        rest = " ".join(lines[MOST - 1 :])
        lines = [*lines[: MOST - 1], fonts.shorten(rest, SIZE, "sans", NAME - indent)]
    return [(0.0, f"{number}{lines[0]}"), *((indent, line) for line in lines[1:])]


def _reaches(row: BoardRow) -> bool:
    """Whether there is a bar to draw, or diamonds that lie apart."""
    apart = row.low is not None and row.high is not None and row.low < row.high
    return apart and not row.small


def _bar(plate: DisplayList, row: BoardRow, y: float) -> None:
    """The range of one row: a bar, a hollow bar, or each reading against a limit.

    A number without a range has no dot: alone it looks surer than any bar.  A range that is turned
    down for its size reaches where the claim needs it, and would look half backed.
    """
    if _reaches(row):
        assert row.low is not None and row.high is not None
        left, right = sorted((_x(row.low), _x(row.high)))
        if row.readings:
            at = [(_x(reach), y) for reach in row.readings]
            plate.dots(at, "diamond", 2.6, "ink", "ink", 0.4, step=0)
        elif row.held:
            box = [(left, y - 3), (right, y - 3), (right, y + 3), (left, y + 3)]
            plate.area(box, "paper")
            plate.line([*box, box[0]], "ink", style.LINE)
        else:
            plate.line([(left, y), (right, y)], "ink", 3.0)
            plate.lines([[(x, y - 4), (x, y + 4)] for x in (left, right)], "ink", style.LINE)
        if row.value is not None:
            plate.dots([(_x(row.value), y)], "circle", 3.4, "ink", "paper", 1.0, step=0)


def _instead(plate: DisplayList, row: BoardRow, y: float, room: Box) -> None:
    """Words in place of a bar, in a row that is cleared: they are on neither side, and on the
    hatching they would be words about it."""
    bare = row.low == row.high and row.code != "not-tested"  # both None, or all of them alike
    if row.small or bare:
        said = SMALL if row.small else row.bare or BARE
        half = fonts.width(said, SIZE) / 2
        plate.rectangle(room, "paper")
        middle = min((LEFT + RIGHT) / 2, RIGHT - half)
        plate.text(middle, y + 4, said, SIZE, "muted", anchor="middle")


def _x(reach: float) -> float:
    return EDGE + max(LEAST, min(1.0, reach)) * ROOM


def _row(number: int, verdict: Verdict, words: ClaimWords) -> BoardRow:
    row = BoardRow(number, verdict.code, name=(words.brief or words.plainly).rstrip("."))
    strip = _telling(verdict)
    if strip is None or verdict.code == "not-tested":
        return row
    read = strip.measured or ()
    low, high = (read[0], read[-1]) if read else (strip.low, strip.high)
    if low == high and strip.value is not None:
        row = replace(row, bare=_bare(strip, verdict))
    if low is None or high is None or not _has_edge(strip):
        return row
    if strip.claim_zone is not None:
        strip = _without_ends(strip, kind_of(verdict).sizes)
    reached = [_reach(strip, at) for at in _corners(strip, low, high)]
    middle = None if strip.value is None else _reach(strip, strip.value)
    known = [*reached, middle or 0.0]
    scale = max(max(known), min(known) / LEAST) or 1.0
    if not math.isfinite(scale):
        return row
    value = None if middle is None else middle / scale
    return replace(
        row, low=min(reached) / scale, high=max(reached) / scale, value=value,
        either=bool(not _zoned(strip) and min(reached) < -2 * (strip.beyond or 0.0)),
        held=verdict.code in HELD and (min(reached) >= 0 or bool(words.held)),
        # What would lie on one spot is one mark.
        readings=tuple(sorted({round(_reach(strip, at) / scale, 2) for at in read})),
        small=bool(words.short) and max(reached) > 0,
    )  # fmt: skip


def _telling(verdict: Verdict) -> Strip | None:
    """The strip to draw: of a claim that says two things alike well borne out, one with a range."""
    alike = [part.strip for part in verdict.parts if part.code == verdict.code]
    ranged = (s for s in (verdict.strip, *alike) if s is not None and s.low != s.high)
    return next(ranged, verdict.strip)


def _bare(strip: Strip, verdict: Verdict) -> str:
    """A number without a range, as what it is; what was counted out needs none."""
    if strip.low is not None or not kind_of(verdict).ranged:
        return "counted: no range"
    assert strip.value is not None
    sized = Sized(abs(strip.value), None, None, strip.unit)
    size = sized.rough if strip.rough else sized.size  # as its strip and its sentence have it
    return f"best guess {MINUS if strip.value < 0 else ''}{size}"


def _has_edge(strip: Strip) -> bool:
    return strip.beyond is not None or _zoned(strip)


def _zoned(strip: Strip) -> bool:
    return strip.claim_zone not in (None, (None, None))


def _without_ends(strip: Strip, sizes: bool) -> Strip:
    """What the claim needs, open where the scale itself ends: nothing lies past that, and a link
    of 0.95 is no closer to failing for being close to 1.

    ``sizes``: none lies below 0, which is an end then, unless it is all that is asked.
    """
    assert strip.claim_zone is not None
    at_most = sizes and strip.claim_zone[1] is not None
    ends = (*ENDS_OF.get(strip.unit, ()), *([0.0] if at_most else []))
    low, high = (None if end in ends else end for end in strip.claim_zone)
    return replace(strip, claim_zone=(low, high))


def _corners(strip: Strip, low: float, high: float) -> list[float]:
    """The ends of the range and, where it holds them, the points where the reach turns."""
    turns = list[float]()
    if strip.claim_zone is not None:
        a, b = strip.claim_zone
        turns += [(a + b) / 2] if a is not None and b is not None else []
    return [low, high, *(t for t in turns if low < t < high)]


def _reach(strip: Strip, at: float) -> float:
    """How far ``at`` lies inside what the claim needs; below 0 outside.

    A claim of either side is drawn along the side of the best guess, as it is judged: folded at
    nothing, a range right across it would reach to where the claim needs it at both ends.
    """
    if not _zoned(strip):
        return (at if (strip.value or 0.0) >= 0 else -at) - (strip.beyond or 0.0)
    assert strip.claim_zone is not None
    low, high = strip.claim_zone
    inside = [] if low is None else [at - low]
    inside += [] if high is None else [high - at]
    return min(inside)
