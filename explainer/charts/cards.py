"""Cards: stills of words between figures, with the same paper, type and margins.

A card builds up as a figure does: step 0 is its head, each row a step of its own, and the last
step marks what matters most.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from explainer.charts import fonts, style
from explainer.charts.chain import LOOK
from explainer.charts.display_list import AXES, TAKEAWAY, Box, DisplayList, Dots, Mark, Stroke
from explainer.charts.strip import strip_plate
from explainer.charts.style import LEADING, SMALL, STILL, STILL_SCALE, Canvas, Face, series
from explainer.charts.verdict_marks import set_mark
from explainer.claims.verdict import Code, Strip
from explainer.words.said import ClaimWords
from explainer.words.script.talk import Card, Row

KICKER, HEAD, HEAD_OVER_ROWS, ROW = 10.5, 24.0, 21.0, 18.0
SMALLEST = 9.0
"""36 pixels high on a still."""
INDENT = 34.0
PITCH = 26.0
"""From one item's dot to the next, where they fit."""
BREATH = 13.0
"""Most room between two rows beyond what they need."""


def draw_card(card: Card, sheet: Canvas = STILL) -> DisplayList:
    """A card on a still's sheet, or on another."""
    card = replace(
        card, title=fonts.typeset(card.title), rows=tuple(_typeset_row(row) for row in card.rows)
    )
    plate = DisplayList(sheet.width, sheet.height)
    room = Box(sheet.margin_x, sheet.margin_y + 6, sheet.width - sheet.margin_x,
               sheet.height - sheet.margin_y - 4)  # fmt: skip
    floor = _foot(plate, card, room)
    left, y = room.left, room.top + KICKER
    kicker = fonts.shorten(card.kicker, KICKER, "sans-bold", room.width)
    plate.text(left, y, kicker, KICKER, "accent", "sans-bold")
    plate.line([(left, y + 7), (left + 44, y + 7)], "accent", style.LINE)
    y += 20
    lines, size = _fitted(card.title, HEAD if not card.rows else HEAD_OVER_ROWS, "serif-bold",
                          room.width, (floor - y) * (0.36 if card.rows else 1.0))  # fmt: skip
    if not card.rows:
        y += max(0.0, (floor - y - len(lines) * size * LEADING) * 0.38)
    for line in lines:
        y += size * LEADING
        plate.text(left, y - 3, line, size, face="serif-bold")
    if card.rows:
        top = y + (15 if card.kind == "chain" else 10)
        _rows(plate, card, Box(left, top, room.right, floor))
    return plate


def _typeset_row(row: Row) -> Row:
    return replace(row, text=fonts.typeset(row.text), small=fonts.typeset(row.small))


def _foot(plate: DisplayList, card: Card, room: Box) -> float:
    """The note at the foot; gives the lowest line that is free above it."""
    if not card.note:
        return room.bottom
    note = fonts.shorten(card.note, SMALL, "sans", room.width)
    plate.text(room.left, room.bottom, note, SMALL, "muted")
    return room.bottom - SMALL - 6


def _rows(plate: DisplayList, card: Card, box: Box) -> None:
    """Rows one under the other, in as large a type as they all fit in."""
    room = box.width - INDENT
    size = ROW
    while size > SMALLEST and sum(_height(r, size, room) for r in card.rows) > box.height:
        size -= 0.5
    heights = [_height(row, size, room) for row in card.rows]
    spare = box.height - sum(heights)
    if spare < 0:
        heights = [box.height / len(heights)] * len(heights)
    between = min(max(spare, 0.0) / (len(card.rows) + 1), BREATH) if card.kind != "chain" else 0.0
    y = box.top + between
    for step, (row, fits) in enumerate(zip(card.rows, heights, strict=True), start=1):
        _row(plate, card, row, Box(box.left, y, box.right, y + fits), size, step)
        y += fits + between


def _height(row: Row, size: float, room: float) -> float:
    wide = len(fonts.wrap(row.text, size, "serif", room)) * size
    return (wide + (size - 2 if row.small else 0)) * LEADING + 9


def _row(plate: DisplayList, card: Card, row: Row, box: Box, size: float, step: int) -> None:
    look = {"items": _dots, "chain": _link, "words": _bullet}[card.kind]
    left = look(plate, row, box, size, step)
    free = box.height - 9 - ((size - 2) * LEADING if row.small else 0)
    most = max(1, round(free / (size * LEADING)))
    lines = fonts.wrap(row.text, size, "serif", box.right - left)
    if len(lines) > most:
        last = fonts.shorten(" ".join(lines[most - 1 :]), size, "serif", box.right - left)
        lines = [*lines[: most - 1], last]
    y = box.top
    for line in lines:
        y += size * LEADING
        plate.text(left, y, line, size, face="serif", step=step)
    if row.small:
        y += (size - 2) * LEADING
        small = max(size - 3, SMALLEST)
        plate.text(left, y, row.small, small, "muted", "sans-bold", step=step)
        if row.marked:
            x = left + fonts.width(row.small, small, "sans-bold") + 8
            plate.text(x, y, "· the weakest link", small, "accent", "sans-bold", step=TAKEAWAY)


def _bullet(plate: DisplayList, row: Row, box: Box, size: float, step: int) -> float:
    y = box.top + size * 0.86
    plate.line([(box.left + 2, y), (box.left + 22, y)], "accent", style.LINE, step=step)
    return box.left + INDENT


def _link(plate: DisplayList, row: Row, box: Box, size: float, step: int) -> float:
    """A ring of the chain, its line as firm as the verdict."""
    width, dash = LOOK.get(row.look, LOOK["not-tested"])  # type: ignore[call-overload]
    turn = np.linspace(0, 2 * np.pi, 41)
    middle, half = box.top + box.height / 2, box.height / 2 + 1
    ring = np.column_stack([box.left + 13 + 9 * np.cos(turn), middle + half * np.sin(turn)])
    plate.line(ring, "ink", width * 0.8, dash, step)
    if row.marked:
        plate.line(ring, "paper", width + 2, (), TAKEAWAY)
        plate.lines([ring[3:18], ring[23:38]], "accent", 2.6, (), TAKEAWAY)
    return box.left + INDENT


def _dots(plate: DisplayList, row: Row, box: Box, size: float, step: int) -> float:
    """One dot for each item, as the figures mark its group."""
    count = int(row.look or 0)
    look = series(step - 1)
    pitch = min(PITCH, box.width * 0.6 / max(count, 1))
    dot = max(pitch * 0.31, 1.2)
    y = box.top + size * 0.86
    places = [(box.left + dot + i * pitch, y) for i in range(count)]
    plate.dots(places, look.shape, dot, look.role, step=step)
    left = box.left + count * pitch + 6
    if not row.text:
        return left
    plate.text(left, box.top + size * LEADING, f"{count} ", size, look.role, "sans-bold", step=step)
    return left + fonts.width(f"{count} ", size, "sans-bold") + 4


def _fitted(
    text: str, size: float, face: Face, wide: float, high: float
) -> tuple[list[str], float]:
    """``text`` in lines and the largest size, down to the smallest, in which they fit."""
    while True:
        lines = fonts.balanced(text, size, face, wide)
        if len(lines) * size * LEADING <= high or size <= SMALLEST:
            break
        size -= 0.5
    most = max(1, int(high // (size * LEADING)))
    if len(lines) > most:
        lines = [*lines[: most - 1], fonts.shorten(" ".join(lines[most - 1 :]), size, face, wide)]
    return lines, size


# Share cards: one picture of 1200 by 630 pixels for a page, and one for each of its claims.
# A card is seen small and away from its page, so it says for itself that data are made up, whose
# site it is, and which verdict the claim got.

WIDTH, HEIGHT = 1200 / STILL_SCALE, 630 / STILL_SCALE
LEFT, RIGHT = 16.0, WIDTH - 16.0
CARD_KICKER, CARD_LEADING = 9.0, 1.2
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
    said = fonts.shorten(kicker, CARD_KICKER, "sans", RIGHT - LEFT)
    plate.text(LEFT, 19, said, CARD_KICKER, "muted")
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
        if len(lines) * size * CARD_LEADING <= high:
            break
    room = max(1, int(high // (size * CARD_LEADING)))
    if len(lines) > room:
        last = fonts.shorten(f"{lines[room - 1]} …", size, face, RIGHT - LEFT)
        lines = [*lines[: room - 1], last]
    y = top
    for line in lines:
        y += size * CARD_LEADING
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
