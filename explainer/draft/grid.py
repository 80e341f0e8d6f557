"""The tables in the rows of a sheet: beside and under each other, each with its header.

Where a header is, what stands above it, and which rows hold no readings.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from explainer.draft.columns import INDEXES, Sum, misprinted, sums_up
from explainer.draft.guess import Guess
from explainer.draft.headers import ITEM_WORDS, REMARKS
from explainer.draft.numbers import Writing, is_no_reading, writing_of
from explainer.draft.sheets import MARKS, MOST_CELLS, RawSheet, Row
from explainer.errors import UsageError
from explainer.study.sums import MEANS, is_summary, sums_in_words

#: The name of the column made of the headings that stand between rows.
SECTION = "section"


@dataclass(frozen=True)
class CellGrid:
    """A table as found: one header (of one or more rows, joined) and its rows."""

    file: str
    headers: tuple[tuple[str, ...], ...]
    """Per column, its header cells from top to bottom, merged ones repeated."""
    rows: tuple[Row, ...]
    writing: Writing
    guesses: tuple[Guess, ...]
    where: str = ""
    """The file, its sheet, and which table of it, as guesses name it."""
    title: str = ""
    """What stands above the header and names this table; empty where nothing does."""
    sheet: str = ""
    notes: tuple[str, ...] = ()
    """What stands above, between and below its rows and is in no cell of it."""


def text_sheet(mark: str, rows: list[Row], file: str) -> RawSheet:
    """The rows of a text file as its only sheet."""
    return RawSheet("", tuple(rows), (Guess(file, f"{MARKS[mark]} between cells", "sure"),))


def grids_of(
    sheet: RawSheet, file: str, semicolons: bool = False
) -> tuple[list[CellGrid], list[Guess]]:
    """Every table of a sheet, in reading order, and what no table is.

    Raises UsageError where there is none.
    """
    where = f"{file}, sheet {sheet.name}" if sheet.name else file
    if sum(len(cells) for _, cells in sheet.rows) > MOST_CELLS:
        raise UsageError(
            f"{where}: found over {MOST_CELLS:,} cells, expected fewer; draft from a part of it; "
            "nothing was drafted"
        )
    writing = writing_of((c for _, cells in sheet.rows for c in cells), semicolons)
    found: list[CellGrid] = []
    none: list[UsageError] = []
    strips = _strips([(n, cells) for n, cells in sheet.rows if any(cells)])
    for strip in strips:
        try:
            found += _tables(strip, where, writing)
        except UsageError as fault:
            none.append(fault)
    if not found:
        raise none[0] if none else UsageError(f"{where} is empty; expected a header and rows")
    left = [Guess(where, f"left out: {fault}", "please check", worth=70) for fault in none]
    if writing.why:
        left.append(Guess(where, f"{'comma' if writing.decimal == ',' else 'point'} as the "
                          "decimal mark", writing.sure, writing.why, 55))  # fmt: skip
    blank = sum(not any(cells) for _, cells in sheet.rows)
    if blank:
        left.append(Guess(where, f"{blank} blank row{'s' * (blank > 1)} left out", "sure"))
    if len(found) > 1:
        names = "; ".join(g.title or f"rows {g.rows[0][0]} to {g.rows[-1][0]}" for g in found)
        how = " beside each other" if len(strips) > 1 else " under each other"
        left.append(Guess(where, f"{len(found)} tables{how}: {names}", "please check",
                          "each became a table of the study", 70))  # fmt: skip
        found = [replace(g, where=f"{where}, table {n}") for n, g in enumerate(found, 1)]
        found = [replace(g, guesses=tuple(replace(s, about=g.where) for s in g.guesses))
                 for g in found]  # fmt: skip
    return [replace(g, file=file, sheet=sheet.name) for g in found], [*sheet.guesses, *left]


# -- tables beside each other ------------------------------------------------------------------


def _strips(rows: list[Row]) -> list[list[Row]]:
    """The rows cut where tables stand beside each other: at empty columns between two that have
    heads of their own, and where the same heads begin again."""
    if not rows:
        return []
    width = max(len(cells) for _, cells in rows)
    padded = [(n, cells + [""] * (width - len(cells))) for n, cells in rows]
    spans = _spans_of_columns(padded, width)
    cut: list[tuple[int, int]] = []
    for left, right in spans:
        if cut and not _own_table(padded, cut[-1], (left, right)):
            cut[-1] = (cut[-1][0], right)
        else:
            cut.append((left, right))
    found = []
    for left, right in cut:
        strip = [(n, cells[left:right]) for n, cells in padded if any(cells[left:right])]
        found += _repeated(strip)
    return found


def _spans_of_columns(rows: list[Row], width: int) -> list[tuple[int, int]]:
    """Runs of columns that are not empty, as (first, one past the last)."""
    used = [any(cells[i] for _, cells in rows) for i in range(width)]
    found: list[tuple[int, int]] = []
    for i, full in enumerate(used):
        if full and found and found[-1][1] == i:
            found[-1] = (found[-1][0], i + 1)
        elif full:
            found.append((i, i + 1))
    return found


def _own_table(rows: list[Row], left: tuple[int, int], right: tuple[int, int]) -> bool:
    """Whether the columns on the right of a gap are a table of their own and no more columns."""
    if left[1] - left[0] < 2 or right[1] - right[0] < 2:
        return False
    here = [(n, cells[right[0] : right[1]]) for n, cells in rows]
    there = [(n, cells[left[0] : left[1]]) for n, cells in rows]
    head = _first_full(here)
    own = _first_full(there)
    if head is None or own is None:
        return False
    shared = {c.casefold() for c in head[1] if c} & {c.casefold() for c in own[1] if c}
    ends = [max(n for n, cells in part if sum(map(bool, cells)) > 1) for part in (here, there)]
    return bool(shared) or head[0] != own[0] or abs(ends[0] - ends[1]) > 1


def _first_full(rows: list[Row]) -> Row | None:
    """The first row that fills most of its columns: the header, or what stands for one."""
    return next((row for row in rows if sum(map(bool, row[1])) >= max(2, 0.6 * len(row[1]))), None)


def _repeated(rows: list[Row]) -> list[list[Row]]:
    """Rows cut where the heads ``ball, hook, ball, hook`` begin again.

    Only under a head that names items or points: checkpoints repeat under merged measures too.
    """
    head = _first_full(rows)
    cells = [c.casefold() for c in head[1]] if head else []
    for period in range(2, len(cells) // 2 + 1):
        words = set(re.findall(r"[^\W\d_]+", cells[0]))
        if len(cells) % period or cells != cells[:period] * (len(cells) // period):
            continue
        if all(cells[:period]) and (words & ITEM_WORDS or cells[:2] == ["x", "y"]):
            return [
                [(n, row[at : at + period]) for n, row in rows if any(row[at : at + period])]
                for at in range(0, len(cells), period)
            ]
    return [rows]


# -- tables under each other -------------------------------------------------------------------


def _tables(rows: list[Row], where: str, writing: Writing) -> Iterator[CellGrid]:
    """Every table of a strip, from the top down.  Raises UsageError where there is none."""
    found = 0
    while rows:
        try:
            grid, rows = _table(rows, where, writing)
        except UsageError:
            if not found:
                raise
            return
        found += 1
        yield grid


def _table(rows: list[Row], where: str, writing: Writing) -> tuple[CellGrid, list[Row]]:
    """The first table of some filled rows, and the rows below it.  Raises UsageError."""
    guesses: list[Guess] = []
    width = _width(_block(rows))
    if width < 2 or len(rows) < 2:
        raise UsageError(
            f"found no table in {where}; expected a header and rows of two cells or more"
        )
    filled = [(n, (cells + [""] * width)[: max(width, len(cells))]) for n, cells in rows]
    top, end = _header(filled, width, writing)
    title, notes = "", [" ".join(filter(None, c)) for _, c in filled[:top]]
    if top:
        title = _title(filled[:top])
        what = f"{top} row{'s' * (top > 1)} above the header left out"
        told = " / ".join(_brief(c) for _, c in filled[:top])
        guesses.append(Guess(where, what, "likely", told, left_out=True))
    if end - top > 1:
        guesses.append(Guess(where, f"a header of {end - top} rows", "likely"))
    head = [cells for _, cells in filled[top:end]]
    here, below = _first_table(filled[end:], head, width, writing)
    body, headings, left_out, below_it = _body(here, head, width, writing)
    if not body:
        raise UsageError(f"found a header and no rows in {where}; expected at least one row")
    named = [replace(g, about=where) for g in left_out]
    headers = _joined(head, width)
    if headings:
        headers = ((SECTION,), *headers)
        body = [(n, [headings[n], *cells]) for n, cells in body]
    grid = CellGrid(where, headers, tuple(body), writing, (*guesses, *named), where, title,
                    notes=(*notes, *below_it))  # fmt: skip
    return grid, below


def _block(rows: list[Row]) -> list[Row]:
    """The rows up to the first gap below something that looks like a table."""
    full = 0
    for i, (n, cells) in enumerate(rows):
        if full > 2 and rows[i - 1][0] < n - 1 and not _settings(rows[:i]):
            return rows[:i]
        full += sum(map(bool, cells)) > 1
    return rows


def _settings(rows: list[Row]) -> bool:
    """Whether rows say what an instrument was set to: pairs of a word and its value."""
    pairs = [cells for _, cells in rows if sum(map(bool, cells)) > 1]
    two = [c for c in pairs if c[0] and sum(map(bool, c)) == 2]
    keyed = sum(c[0].rstrip().endswith((":", "=")) for c in two)
    return len(two) == len(pairs) and keyed > 0.5 * len(two)


def _title(above: Sequence[Row]) -> str:
    """The words above a header that name its table: the last line of words that stands alone."""
    alone = [next(filter(None, cells)) for _, cells in above if sum(map(bool, cells)) == 1]
    return next((text[:100] for text in alone if re.search(r"[^\W\d_]{2}", text)), "")


def _width(rows: list[Row]) -> int:
    """The number of columns: up to the last one that is filled in several rows."""
    ends = Counter(max(i for i, c in enumerate(cells) if c) + 1 for _, cells in rows)
    many = [w for w, n in ends.items() if n >= max(2, len(rows) // 10)]
    return max(many or ends)


def _header(rows: list[Row], width: int, writing: Writing) -> tuple[int, int]:
    """(first header row, first row of the body), as positions among the filled rows."""
    full = next(
        (i for i, (_, cells) in enumerate(rows) if sum(map(bool, cells)) >= max(2, 0.6 * width)), 0
    )
    if full + 1 < len(rows) and _is_title(rows[full], rows[full + 1], width, writing):
        full += 1
    top = full
    above = rows[full - 1] if full and rows[full - 1][0] == rows[full][0] - 1 else None
    if above and (_spans(above[1], width) or _completes(above[1], rows[full][1])):
        top = full - 1
    end = full + 1
    numeric = _numeric(rows[end:], width, writing)
    while end < len(rows) - 1 and end - top < 3 and _goes_on(rows, top, end, numeric, writing):
        end += 1
    return top, end


def _is_title(here: Row, below: Row, width: int, writing: Writing) -> bool:
    """Whether a row only looks full, since its title has a comma in it, and the next is the header:
    both begin in the first column, the next fills more, and with words."""
    ends = [max(i for i, c in enumerate(cells) if c) for _, cells in (here, below)]
    words = all(writing.read(c) is None for c in below[1] if c)
    begins = bool(here[1][0] and below[1][0]) and below[0] == here[0] + 1
    return begins and words and ends[0] + 1 < width and ends[0] < ends[1] and all(
        here[1][: ends[0] + 1]
    )  # fmt: skip


def _spans(cells: list[str], width: int) -> bool:
    """Whether a row looks like headings merged over several columns."""
    filled = [i for i, c in enumerate(cells) if c]
    return len(filled) >= 2 and filled[-1] >= width / 2


def _completes(above: list[str], below: list[str]) -> bool:
    """Whether a row names columns that the one below it leaves unnamed."""
    named = any(a and not b for a, b in zip(above, below, strict=False))
    return named and sum(map(bool, above)) >= 2


def _numeric(rows: list[Row], width: int, writing: Writing) -> set[int]:
    """Columns that hold mostly numbers further down."""
    sample = rows[1:400] or rows
    found = set()
    for i in range(width):
        cells = [c[i] for _, c in sample if c[i] and not is_no_reading(c[i])]
        if cells and sum(writing.read(c) is not None for c in cells) > 0.6 * len(cells):
            found.add(i)
    return found


def _goes_on(rows: list[Row], top: int, end: int, numeric: set[int], writing: Writing) -> bool:
    """Whether the row at ``end`` still belongs to the header: it fills names that are missing
    above it, or says words (units) where the rows below have numbers."""
    above, here = rows[top][1], rows[end][1]
    width = len(above)
    merged = [i for i in range(1, width) if above[i] and above[i] == above[i - 1]]
    under = [here[i] for i in sorted({*merged, *(i - 1 for i in merged)})]
    if end - top == 1 and merged and all(under):
        pairs = {(above[i], here[i]) for i in range(width) if above[i]}
        if len(pairs) == sum(map(bool, above[:width])):  # merged heads told apart below
            return True
    if end - top == 1 and any(not a and b for a, b in zip(above, here, strict=False)):
        gaps = sum(not a for a in above)
        unique = len({tuple(c) for _, c in rows[end:]}) == len(rows) - end
        return gaps >= 1 and unique and not here[0]
    if sum(map(bool, here)) == 1 and here[0] and above[0]:
        return False  # a heading of the rows below
    said = [here[i] for i in numeric if here[i]]
    return bool(said) and not any(writing.read(c) is not None or is_no_reading(c) for c in said)


def _joined(head: list[list[str]], width: int) -> tuple[tuple[str, ...], ...]:
    """Header cells per column; a cell merged over several columns speaks for each of them."""
    if len(head) > 1 and any(not c for c in head[0][:width]):
        filled, last = [], ""
        for i in range(width):
            last = head[0][i] or (last if i and any(row[i] for row in head[1:]) else "")
            filled.append(last)
        head = [filled, *head[1:]]
    return tuple(tuple(row[i] for row in head if row[i]) for i in range(width))


def _first_table(
    rows: list[Row], head: list[list[str]], width: int, writing: Writing
) -> tuple[list[Row], list[Row]]:
    """The rows up to where another header begins, and the rest: a second table below the first.

    The same header under a heading of its own begins another table, too; without one it is only
    said again, as at the top of a printed page.
    """
    numeric = _numeric(rows, width, writing)
    own = {tuple(c.casefold() for c in h[:width]) for h in head}
    for i in range(1, len(rows) - 1):
        number, cells = rows[i]
        said = [cells[j] for j in numeric if cells[j]]
        lone = sum(map(bool, rows[i - 1][1])) == 1
        apart = rows[i - 1][0] < number - 1 or lone
        words = said and not any(writing.read(c) or is_no_reading(c) for c in said)
        again = tuple(c.casefold() for c in cells[:width]) in own
        if apart and words and (not again or lone):
            first = i
            while first > 1 and sum(map(bool, rows[first - 1][1])) == 1 and (
                first == i or rows[first - 1][0] == rows[first][0] - 1
            ):  # fmt: skip
                first -= 1
            return rows[:first], rows[first:]
    return rows, []


#: A row without a name is taken for the sum of at most so many above it.
_MOST_SUMMED = 500


def _body(
    rows: list[Row], head: list[list[str]], width: int, writing: Writing
) -> tuple[list[Row], dict[int, str], list[Guess], list[str]]:
    """The rows that hold readings, the heading each stands under, what was left out, and its
    notes in full."""
    body: list[Row] = []
    guesses: list[Guess] = []
    notes: list[str] = []
    since = 0
    summed: list[tuple[int, str]] = []
    perhaps: list[int] = []
    again = 0
    heads = {tuple(c.casefold() for c in h[:width]) for h in head}
    numeric = _numeric([rows[0], *rows] if rows else rows, width, writing)
    names = [i for i in range(width) if i not in numeric and not _is_remark(head, i)] or [0]
    names = sorted({0, *names})
    summed_up = {i for i in numeric if not _said(head, i) & (MEANS | INDEXES)}
    headings = _headings(rows, width)

    def sum_of(cells: list[str]) -> Sum:
        if len(body) > _MOST_SUMMED:
            return "no"
        return sums_up([c for _, c in body], cells, numeric, writing, names)

    under: dict[int, str] = {}
    heading = ""
    for n, cells in rows:
        alone = sum(map(bool, cells)) == 1 and width > 2
        word = next((cells[i] for i in names if is_summary(cells[i], _said(head, i))), "")
        if not any(cells[i] for i in names):  # `Avg 46` under the numbers, beside nobody's name
            word = word or next(filter(sums_in_words, cells[:width]), "")
        if tuple(c.casefold() for c in cells[:width]) in heads:
            again += 1
        elif n in headings:
            heading = headings[n]
        elif alone and not _holds(cells, body, numeric, writing):
            notes.append(" ".join(filter(None, cells)))
            guesses.append(Guess("", f"row {n} left out as a note", "likely", _brief(cells),
                                 left_out=True))  # fmt: skip
        elif word or sum_of(cells[:width]) == "yes":
            summed.append((n, word or "its numbers sum up the rows above"))
            above = [[c for _, c in rows] for rows in (body[since:], body) if rows]
            off = misprinted(word, cells, above, summed_up, writing) if word else []
            guesses += _said_wrong(n, word, off, head)
            since = len(body)
        else:
            if sum_of(cells[:width]) == "maybe":
                perhaps.append(n)
            body.append((n, cells[:width]))
            under[n] = heading
    guesses += _left_out(again, summed, perhaps, headings)
    return body, under if headings else {}, guesses, notes


def _said_wrong(
    row: int, label: str, off: list[tuple[int, str, str]], head: list[list[str]]
) -> Iterator[Guess]:
    """A row of totals or averages that its own rows do not give: asked, since either may be off."""
    if not off:
        return
    joined = _joined(head, max(map(len, head)))
    heads = {i: " ".join(dict.fromkeys(joined[i])) or f"column {i + 1}" for i, _, _ in off}
    told = [f"{heads[i]} says {printed}, its rows give {worked}" for i, printed, worked in off[:3]]
    more = f"; {len(off) - 3} more are off" if len(off) > 3 else ""
    yield Guess("", f"row {row} ({label}): {'; '.join(told)}{more}", "please check",
                "the page goes by the rows; is a reading wrong, or was it taken of others?", 66,
                at_table=True)  # fmt: skip


def _left_out(
    again: int, summed: list[tuple[int, str]], perhaps: list[int], headings: dict[int, str]
) -> Iterator[Guess]:
    """What became of rows that may hold no readings: each with its place, to be checked."""
    if again:
        yield Guess("", f"{again} repeated header row{'s' * (again > 1)} left out", "sure")
    if summed:
        what = f"row {_places([n for n, _ in summed])} left out as a summary"
        if len(summed) > 1:
            what = f"rows {_places([n for n, _ in summed])} left out as summaries"
        why = "; ".join(list(dict.fromkeys(word for _, word in summed))[:6])
        yield Guess("", what, "please check", why, 65)
    if perhaps:
        rows = f"row{'s' * (len(perhaps) > 1)} {_places(perhaps)}"
        why = "no name, and numbers as a sum or average of the rows above would have them"
        yield Guess("", f"{rows} kept as readings: take a sum or average out", "please check", why,
                    60)  # fmt: skip
    if headings:
        shown = "; ".join(list(dict.fromkeys(headings.values()))[:5])
        yield Guess("", f"headings between rows became the column {SECTION}",
                    "please check", shown, 65)  # fmt: skip


def _places(rows: list[int]) -> str:
    """The first ten of some rows."""
    return ", ".join(map(str, rows[:10])) + (", …" if len(rows) > 10 else "")


def _is_remark(head: list[list[str]], i: int) -> bool:
    return bool(_said(head, i) & REMARKS)


def _said(head: list[list[str]], i: int) -> set[str]:
    """The words at the head of a column."""
    said = " ".join(row[i] for row in head if i < len(row)).casefold()
    return set(re.findall(r"[^\W\d_]+", said))


def _headings(rows: list[Row], width: int) -> dict[int, str]:
    """Rows that hold one cell of words and head the rows below them: two or more, the first of
    them before any reading."""
    if width < 3 or not rows:
        return {}
    found = {
        n: cells[0] for (n, cells), (_, after) in pairwise(rows)
        if cells[0] and not any(cells[1:]) and sum(map(bool, after)) > 1
        and re.search(r"[^\W\d_]{2}", cells[0]) and not is_summary(cells[0])
    }  # fmt: skip
    return found if len(found) > 1 and rows[0][0] in found else {}


def _holds(cells: list[str], body: list[Row], numeric: set[int], writing: Writing) -> bool:
    """Whether a row of one cell is still a row of the table: a reading, or an item without any."""
    at = next(i for i, c in enumerate(cells) if c)
    if at in numeric:
        return at > 0 and writing.read(cells[at]) is not None
    shapes = Counter(_shape(c[at]) for _, c in body[:200] if c[at])
    code = bool(re.search(r"\d", cells[at])) and len(cells[at]) < 12
    return code and bool(shapes) and shapes.most_common(1)[0][0] == _shape(cells[at])


def _shape(text: str) -> str:
    """``P12`` as ``a9``: letters and digits by their kind."""
    return re.sub(r"\d+", "9", re.sub(r"[^\W\d_]+", "a", text))


def _brief(cells: list[str]) -> str:
    text = " ".join(filter(None, cells))
    return text if len(text) <= 50 else text[:49] + "…"
