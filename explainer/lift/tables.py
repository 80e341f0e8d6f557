"""The tables of a page, cell by cell as printed.

Ruled tables are found by pdfplumber from their lines.  Where rules do not part the columns (most
printed tables have a few level rules or none), columns are where no row's words reach, and rows
are the lines of words between two level rules.  Prose and charts are left out beforehand.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from explainer.lift.axes import number
from explainer.lift.captions import Caption, table_caption
from explainer.lift.shapes import DrawnShape, PageBox, PageDrawing, PrintedWord, around

_RAISED = str.maketrans(
    "0123456789+-()abcdefghijklmnoprstuvwxyz",
    "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻⁽⁾ᵃᵇᶜᵈᵉᶠᵍʰⁱʲᵏˡᵐⁿᵒᵖʳˢᵗᵘᵛʷˣʸᶻ",
)
MARKS = "⁰¹²³⁴⁵⁶⁷⁸⁹ᵃᵇᶜᵈᵉᶠᵍʰⁱʲᵏˡᵐⁿᵒᵖʳˢᵗᵘᵛʷˣʸᶻ*†‡§¶"
#: Gaps between words, in letter sizes: of one cell, and of two columns where a head is tight.
_SPACE, _TIGHT = 0.72, 0.42
_PROSE_WORDS = 8
#: Rows alone at the head of a page.
_FEW_ROWS = 4


@dataclass(frozen=True)
class PrintedTable:
    """A table as printed: ``cells`` row by row, empty where nothing is printed."""

    page: int
    label: str
    caption: str
    box: PageBox
    cells: tuple[tuple[str, ...], ...]
    ruled: bool
    bounds: tuple[float, ...]
    """Where its columns part, in points from the page's left edge; one fewer than columns."""


@dataclass
class _WordRow:
    """A line of words, parted where a gap is wider than a space."""

    parts: list[list[PrintedWord]]

    @property
    def words(self) -> list[PrintedWord]:
        return [w for part in self.parts for w in part]

    @property
    def box(self) -> PageBox:
        return around([w.box for w in self.words])

    @property
    def size(self) -> float:
        return max(w.size for w in self.words)


def printed_tables(
    drawing: PageDrawing, charts: Sequence[PageBox], known: Sequence[Caption],
    open_page: Callable[[], Any] | None,
) -> list[PrintedTable]:  # fmt: skip
    """Every table of the page.  ``open_page`` gives pdfplumber's page, asked for where rules are.

    ``charts`` are boxes whose words belong to charts.
    """
    words = [w for w in drawing.words if not w.turned]
    words = [w for w in words if not any(c.holds(w.middle, 2.0) for c in charts)]
    captioned = [c.box for c in known]
    words = [w for w in words if not any(b.holds(w.middle) for b in captioned)]
    rules = _rules(drawing.shapes, charts)
    found: list[PrintedTable] = []
    if open_page is not None and _has_lattice(drawing.shapes, charts):
        for box, cells, bounds in _ruled(open_page(), charts):
            found.append(_named(drawing.number, box, cells, bounds, known, True))
    taken = [t.box for t in found]
    words = [w for w in words if not any(b.holds(w.middle, 1.0) for b in taken)]
    for rows in _blocks(_without_prose(_rows(words)), rules):
        rows = _above_last_rule(rows, rules)
        cells, bounds = _cells(rows, rules)
        if _is_table(cells):
            box = around([r.box for r in rows])
            found.append(_named(drawing.number, box, cells, bounds, known, False))
    return sorted(found, key=lambda t: (t.box.top, t.box.left))


def loose_rows(
    drawing: PageDrawing, charts: Sequence[PageBox], tables: Sequence[PrintedTable]
) -> list[list[tuple[str, float, float]]]:
    """Rows near the head of a page that are no table: the last ones of one before, perhaps.

    Each as its parts: words, left and right in points.
    """
    if tables:
        return []
    words = [
        w for w in drawing.words
        if not w.turned and w.box.bottom < 0.35 * drawing.height
        and not any(c.holds(w.middle, 2.0) for c in charts)
    ]  # fmt: skip
    rows = [r for r in _without_prose(_rows(words)) if len(r.parts) >= 2 and _numbers(r)]
    return [
        [(" ".join(raised(w.text) for w in part), part[0].box.left, part[-1].box.right)
         for part in row.parts]
        for row in rows[:_FEW_ROWS]
    ]  # fmt: skip


def _named(
    page: int, box: PageBox, cells: list[list[str]], bounds: list[float],
    known: Sequence[Caption], ruled: bool,
) -> PrintedTable:  # fmt: skip
    caption = table_caption(box, known)
    fixed = tuple(tuple(row) for row in cells)
    return PrintedTable(page, caption.label if caption else "", caption.text if caption else "",
                        box, fixed, ruled, tuple(round(b, 1) for b in bounds))  # fmt: skip


def raised(text: str) -> str:
    """A word with its raised part in raised letters: ``12.3^a`` is 12.3ᵃ."""
    head, *rest = text.split("^")
    return head + "".join(part.translate(_RAISED) for part in rest)


# --- ruled -----------------------------------------------------------------------------------


def _level(shape: DrawnShape) -> list[tuple[float, float, float]]:
    """Level edges of a line or rectangle: (y, left, right)."""
    box = shape.box
    if "c" in shape.kinds or box.width < 12:
        return []
    if box.height < 2.0:
        return [(box.centre[1], box.left, box.right)]
    if len(shape.knots) in (4, 5) and (shape.stroke is not None):
        return [(box.top, box.left, box.right), (box.bottom, box.left, box.right)]
    return []


def _rules(
    shapes: Sequence[DrawnShape], charts: Sequence[PageBox]
) -> list[tuple[float, float, float]]:
    """Level lines, pieces of one line joined."""
    found = sorted(
        rule for s in shapes if not any(c.holds(s.box.centre) for c in charts)
        for rule in _level(s)
    )  # fmt: skip
    joined: list[tuple[float, float, float]] = []
    for y, left, right in found:
        for i, (y0, l0, r0) in enumerate(joined[-12:], start=max(0, len(joined) - 12)):
            if abs(y - y0) < 0.8 and left <= r0 + 2 and l0 <= right + 2:
                joined[i] = (y0, min(left, l0), max(right, r0))
                break
        else:
            joined.append((y, left, right))
    return joined


def _has_lattice(shapes: Sequence[DrawnShape], charts: Sequence[PageBox]) -> bool:
    upright = flat = 0
    for s in shapes:
        box = s.box
        if "c" in s.kinds or any(c.holds(box.centre) for c in charts):
            continue
        if len(s.knots) in (4, 5) and box.height > 6 and box.width > 6:
            upright, flat = upright + 2, flat + 2
        upright += box.width < 2 and box.height > 6
        flat += box.height < 2 and box.width > 6
    return upright >= 3 and flat >= 3


def _ruled(
    page: Any, charts: Sequence[PageBox]
) -> list[tuple[PageBox, list[list[str]], list[float]]]:
    """Tables whose columns and rows are parted by lines, through the library."""
    found = []
    settings = {"snap_tolerance": 2, "join_tolerance": 3, "intersection_tolerance": 3}
    for table in page.find_tables(settings):
        box = PageBox(*table.bbox)
        if any(c.touches(box, -3) for c in charts):
            continue
        rows = table.extract(x_tolerance_ratio=0.25, y_tolerance=2.5)
        cells = [[" ".join((c or "").split()) for c in row] for row in rows]
        cells = [row for row in cells if any(row)]
        width = max((len(r) for r in cells), default=0)
        keep = [i for i in range(width) if any(i < len(r) and r[i] for r in cells)]
        cells = [[r[i] if i < len(r) else "" for i in keep] for r in cells]
        if len(keep) >= 2 and len(cells) >= 2 and not _crammed(page, table):
            bounds = _lefts(table)
            bounds = [bounds[i] for i in keep[1:]] if len(bounds) == width else []
            found.append((box, _with_raised(page, table, cells), bounds))
    return found


def _lefts(table: Any) -> list[float]:
    """The left edge of each column of a ruled table."""
    return sorted({round(cell[0], 1) for row in table.rows for cell in row.cells if cell})


def _crammed(page: Any, table: Any) -> bool:
    """Cells that hold several lines of several words each: rules between groups only."""
    lines = [
        (cell or "").count("\n") + 1 for row in table.extract() for cell in row if cell
    ]  # fmt: skip
    rows = len(table.rows)
    return bool(lines) and rows <= 3 and sorted(lines)[len(lines) // 2] >= 3


def _with_raised(page: Any, table: Any, cells: list[list[str]]) -> list[list[str]]:
    """Footnote marks, which the library prints as plain letters, raised again."""
    sizes = [c["size"] for c in page.crop(table.bbox, strict=False).chars if c["text"].strip()]
    if not sizes:
        return cells
    usual = sorted(sizes)[len(sizes) // 2]
    small = [
        c for c in page.crop(table.bbox, strict=False).chars
        if c["text"].strip() and c["size"] < 0.85 * usual
    ]  # fmt: skip
    if not small or len(small) > 0.3 * len(sizes):
        return cells
    tails = {c["text"] for c in small}
    changed = []
    for row in cells:
        new = []
        for cell in row:
            match = re.fullmatch(r"(.*\S)\s?([a-z0-9]{1,2})", cell)
            fits = match and all(letter in tails for letter in match[2])
            raised_here = fits and match and _ends_small(small, page, table, cell)
            new.append(match[1] + match[2].translate(_RAISED) if raised_here and match else cell)
        changed.append(new)
    return changed


def _ends_small(small: list[Any], page: Any, table: Any, cell: str) -> bool:
    """Whether a small letter stands last in a cell with this very text."""
    for row in table.rows:
        for box in row.cells:
            if box is None:
                continue
            inside = [c for c in small if box[0] <= c["x0"] <= box[2]
                      and box[1] <= (c["top"] + c["bottom"]) / 2 <= box[3]]  # fmt: skip
            if inside:
                text = page.crop(box, strict=False).extract_text(x_tolerance_ratio=0.25) or ""
                if "".join(text.split()) == "".join(cell.split()):
                    return True
    return False


# --- by gaps ---------------------------------------------------------------------------------


def _rows(words: Sequence[PrintedWord]) -> list[_WordRow]:
    """Lines of words, parted at gaps; a wide page's side-by-side lines are one row."""
    lines: list[list[PrintedWord]] = []
    for word in sorted(words, key=lambda w: w.box.centre[1]):
        for line in lines[-3:]:
            if _one_level(line, word):
                line.append(word)
                break
        else:
            lines.append([word])
    rows = []
    for line in lines:
        line.sort(key=lambda w: w.box.left)
        parts = [[line[0]]]
        for word in line[1:]:
            before = parts[-1][-1]
            if word.box.left - before.box.right > _SPACE * min(word.size, before.size):
                parts.append([])
            parts[-1].append(word)
        rows.append(_WordRow(parts))
    return sorted(rows, key=lambda r: r.box.top)


def _one_level(line: list[PrintedWord], word: PrintedWord) -> bool:
    """Boxes share most of their height; a dash or a dot, which have next to none, is between."""
    box = around([w.box for w in line])
    shared = min(box.bottom, word.box.bottom) - max(box.top, word.box.top)
    low = min(box.height, word.box.height)
    if low < 0.35 * word.size:
        slack = 0.5 * word.size
        return box.top - slack <= word.box.centre[1] <= box.bottom + slack
    return shared > 0.5 * low


def _without_prose(rows: list[_WordRow]) -> list[_WordRow]:
    """Rows without the parts that are lines of running text, and what stands in their column."""
    prose = [
        around([w.box for w in part])
        for row in rows for part in row.parts
        if len(part) >= _PROSE_WORDS and sum(number(w.text) is None for w in part) >= 6
    ]  # fmt: skip
    columns: list[PageBox] = []
    for box in sorted(prose, key=lambda b: b.top):
        for i, column in enumerate(columns):
            near = abs(column.left - box.left) < 14 and box.top - column.bottom < 30
            if near:
                columns[i] = around([column, box])
                break
        else:
            columns.append(box)
    columns = [PageBox(c.left - 3, c.top - 1, c.right + 3, c.bottom + 14) for c in columns]
    kept = []
    for row in rows:
        parts = [p for p in row.parts if not _in_prose(p, prose, columns)]
        if parts:
            kept.append(_WordRow(parts))
    return kept


def _in_prose(part: list[PrintedWord], prose: list[PageBox], columns: list[PageBox]) -> bool:
    box = around([w.box for w in part])
    if box in prose:
        return True
    lettered = sum(number(w.text) is None for w in part) >= 0.5 * len(part)
    for column in columns:
        lines = sum(column.holds(b.centre) for b in prose)
        if lines < 2 or not column.holds(box.centre):
            continue
        last = abs(box.left - column.left - 3) < 3 and box.top > column.bottom - 30
        if (box.bottom < column.bottom - 14.5) or (last and lettered):
            return True
    return False


def _blocks(rows: list[_WordRow], rules: list[tuple[float, float, float]]) -> list[list[_WordRow]]:
    """Runs of rows close together, each with several parts or between two that have."""
    found: list[list[_WordRow]] = []
    run: list[_WordRow] = []

    def close() -> None:
        while run and len(run[-1].parts) < 2:
            run.pop()
        while run and len(run[0].parts) < 2:
            run.pop(0)
        if len(run) >= 3 or (len(run) == 2 and all(len(r.parts) >= 3 for r in run)):
            found.append(list(run))
        run.clear()

    for row in rows:
        if run:
            gap = row.box.top - max(r.box.bottom for r in run[-2:])
            size = max(row.size, run[-1].size)
            bridge = any(run[-1].box.top <= y <= row.box.bottom for y, _, _ in rules)
            alone = len(row.parts) < 2 and run[1:] and all(len(r.parts) < 2 for r in run[-2:])
            if gap > (2.6 if bridge else 1.75) * size or alone:
                close()
        run.append(row)
    close()
    return [part for block in found for part in _side_by_side(block)]


def _above_last_rule(
    rows: list[_WordRow], rules: list[tuple[float, float, float]]
) -> list[_WordRow]:
    """Rows without the notes below the line that ends a table (where two lines or more span it)."""
    box = around([r.box for r in rows])
    spanning = [
        y for y, left, right in rules
        if box.top - 8 <= y <= box.bottom and right - left > 0.85 * box.width
        and left < box.left + 0.2 * box.width
    ]  # fmt: skip
    if len(spanning) < 2:
        return rows
    kept = list(rows)
    while len(kept) > 2 and kept[-1].box.centre[1] > max(spanning) and not _numbers(kept[-1]):
        kept.pop()
    return kept


def _side_by_side(block: list[_WordRow]) -> list[list[_WordRow]]:
    """Two tables beside one another, parted by a gap wider than any column's."""
    gaps = _gaps(block)
    wide = [g for g in gaps if g[1] - g[0] > 34]
    if len(gaps) < 3 or not wide:
        return [block]
    widest = max(wide, key=lambda g: g[1] - g[0])
    others = sorted(g[1] - g[0] for g in gaps if g != widest)
    if widest[1] - widest[0] < 2.2 * others[-1]:
        return [block]
    middle = (widest[0] + widest[1]) / 2
    sides: list[list[_WordRow]] = []
    for left in (True, False):
        rows = []
        for row in block:
            parts = [p for p in row.parts if (p[0].box.left < middle) == left]
            if parts:
                rows.append(_WordRow(parts))
        sides.append(rows)
    if all(sum(len(r.parts) >= 2 for r in side) >= 3 for side in sides):
        return sides
    return [block]


def _gaps(rows: list[_WordRow]) -> list[tuple[float, float]]:
    """Stretches of x that no part of a full row covers, between the first and the last."""
    most = sorted(len(r.parts) for r in rows)[-max(1, len(rows) // 4)]
    full = [r for r in rows if len(r.parts) >= max(2, 0.6 * most)]
    body = [r for r in full if _numbers(r) >= 0.3 * len(r.parts)] or full
    spans = sorted(
        (p[0].box.left, p[-1].box.right)
        for r in body for p in r.parts
    )  # fmt: skip
    merged: list[list[float]] = []
    for left, right in spans:
        if merged and left <= merged[-1][1] + 0.5:
            merged[-1][1] = max(merged[-1][1], right)
        else:
            merged.append([left, right])
    return [(a[1], b[0]) for a, b in pairwise(merged)]


def _numbers(row: _WordRow) -> int:
    """How many parts of a row are numbers (with a unit or a mark behind them, perhaps)."""
    return sum(
        len(part) <= 2 and number(part[0].text.split("^")[0].rstrip("*†‡§")) is not None
        for part in row.parts
    )


def _cells(
    rows: list[_WordRow], rules: list[tuple[float, float, float]]
) -> tuple[list[list[str]], list[float]]:
    """The words of each row in the columns they stand in, and where those part."""
    gaps = [g for g in _gaps(rows) if g[1] - g[0] > 2.0]
    if not gaps:
        return [], []
    bounds = _bounds(rows, gaps)
    grid: list[list[str]] = []
    boxes: list[PageBox] = []
    for row in rows:
        cells = [""] * (len(bounds) + 1)
        space = min(_inner_gaps(row), default=0.0)
        for part in row.parts:
            for piece in _split(part, bounds, space):
                at = _column(piece, bounds)
                text = " ".join(raised(w.text) for w in piece)
                cells[at] = f"{cells[at]} {text}".strip()
        grid.append(cells)
        boxes.append(row.box)
    for i in range(min(len(rows) - 1, 4)):
        _spread(grid[i], _ruled_groups(rows, i, bounds, rules))
    whole = _wrapped(grid, boxes, rules)
    for head, below in pairwise(whole[:4]):
        filled = [k for k, cell in enumerate(head) if cell]
        _spread(head, _repeated_groups(filled, below))
    return whole, bounds


def _spread(head: list[str], starts: list[int]) -> None:
    """Moves heads that stand in the middle of several columns into the first of them."""
    texts = [cell for cell in head if cell]
    if starts and len(starts) == len(texts):
        head[:] = [""] * len(head)
        for start, text in zip(starts, texts, strict=True):
            head[start] = text


def _repeated_groups(at: list[int], below: list[str]) -> list[int]:
    """First columns of groups of one size, one for each head, under which the same heads stand:
    1, 40, 160 games, twice."""
    for size in range(len(below) // max(1, len(at)), 1, -1):
        for first in range(len(below) - size * len(at) + 1):
            starts = [first + n * size for n in range(len(at))]
            groups = [below[start : start + size] for start in starts]
            held = all(start <= k < start + size for start, k in zip(starts, at, strict=True))
            alike = all(groups[0]) and all(group == groups[0] for group in groups)
            if held and alike and len(at) > 1 and any(number(c) is None for c in groups[0]):
                return starts
    return []


def _ruled_groups(
    rows: list[_WordRow], i: int, bounds: list[float], rules: list[tuple[float, float, float]]
) -> list[int]:
    """First columns below the lines that stand under some heads of a row; empty without such."""
    top, bottom = rows[i].box.bottom - 3, rows[i + 1].box.top + 3
    whole = around([row.box for row in rows])
    own = [(left, right) for y, left, right in rules
           if top <= y <= bottom and right - left < 0.92 * whole.width]  # fmt: skip
    places: dict[int, float] = {}
    for part in (p for row in rows[i + 1 :] for p in row.parts):
        places.setdefault(_column(part, bounds), (part[0].box.left + part[-1].box.right) / 2)
    starts, found = [], False
    for part in rows[i].parts:
        left, right = part[0].box.left, part[-1].box.right
        start = sum(b < (left + right) / 2 for b in bounds)
        line = next((one for one in own if one[0] - 2 <= left and right <= one[1] + 2), None)
        under = [k for k, at in places.items() if line and line[0] <= at <= line[1]]
        if len(under) > 1:
            found, start = True, min(under)
        starts.append(start)
    return starts if found and len(set(starts)) == len(starts) else []


def _bounds(rows: list[_WordRow], gaps: list[tuple[float, float]]) -> list[float]:
    """Where columns part: in the middle of each gap, moved off the words of the head."""
    bounds = []
    for left, right in gaps:
        clear = [(left, right)]
        for word in (w for r in rows for w in r.words):
            box = word.box
            if box.right > left and box.left < right:
                cut = [(a, min(b, box.left)) for a, b in clear if box.left > a]
                cut += [(max(a, box.right), b) for a, b in clear if box.right < b]
                clear = [c for c in cut if c[1] - c[0] > 0.8] or clear
        a, b = max(clear, key=lambda c: c[1] - c[0])
        bounds.append((a + b) / 2)
    return bounds


def _inner_gaps(row: _WordRow) -> list[float]:
    return [b.box.left - a.box.right for p in row.parts for a, b in pairwise(p)]


def _split(
    part: list[PrintedWord], bounds: list[float], space: float
) -> list[list[PrintedWord]]:
    """A part that reaches over a bound: two cells if the words leave room there, else one."""
    pieces = [[part[0]]]
    for word in part[1:]:
        before = pieces[-1][-1]
        gap = word.box.left - before.box.right
        crossed = any(before.box.right - 0.5 <= b <= word.box.left + 0.5 for b in bounds)
        if crossed and gap > max(_TIGHT * word.size, 1.4 * space):
            pieces.append([])
        pieces[-1].append(word)
    return pieces


def _column(piece: list[PrintedWord], bounds: list[float]) -> int:
    """The column of a cell; a cell over several columns stands in its first."""
    left, right = piece[0].box.left, piece[-1].box.right
    crossed = [i for i, b in enumerate(bounds) if left + 1 < b < right - 1]
    if crossed:
        inside = [b for b in bounds if b <= left + 1]
        return len(inside)
    middle = (left + right) / 2
    return sum(b < middle for b in bounds)


def _wrapped(
    grid: list[list[str]], boxes: list[PageBox], rules: list[tuple[float, float, float]]
) -> list[list[str]]:
    """Lines that only go on with the words above them, put back into those cells.

    Between level rules that part every row, all lines of a row are one; elsewhere a line without
    a number that stands closer than rows do and whose cells all stand below words.
    """
    parted = [
        any(a.bottom - 1 <= y <= b.top + 1 and right - left > 20 for y, left, right in rules)
        for a, b in pairwise(boxes)
    ]  # fmt: skip
    by_rule = bool(parted) and sum(parted) >= max(3, 0.45 * len(parted))
    pitch = [b.bottom - a.bottom for a, b in pairwise(boxes)]
    usual = sorted(pitch)[len(pitch) // 2] if pitch else 0.0
    found = [list(grid[0])]
    for i, cells in enumerate(grid[1:]):
        filled = [j for j, c in enumerate(cells) if c]
        below = all(found[-1][j] and number(found[-1][j]) is None for j in filled)
        worded = all(number(cells[j]) is None for j in filled)
        continues = (
            i > 0 and worded and below and len(filled) < max(2, 0.5 * len(cells))
            and pitch[i] < 0.88 * usual and any(number(c) is not None for c in found[-1])
        )  # fmt: skip
        numeric = [j for j in filled if number(cells[j]) is not None]
        twice = any(number(found[-1][j]) is not None for j in numeric)
        if (by_rule and not parted[i] and not twice) or (not by_rule and continues):
            for j in filled:
                found[-1][j] = f"{found[-1][j]} {cells[j]}".strip()
        else:
            found.append(list(cells))
    return found


def _is_table(cells: list[list[str]]) -> bool:
    """Columns that are filled, and numbers among them."""
    if len(cells) < 2 or len(cells[0]) < 2:
        return False
    filled = [c for row in cells for c in row if c]
    numeric = sum(number(c.rstrip(MARKS + " ")) is not None for c in filled)
    full = sum(sum(map(bool, row)) >= 2 for row in cells)
    return numeric >= 0.2 * len(filled) and numeric >= 3 and full >= 0.5 * len(cells)
