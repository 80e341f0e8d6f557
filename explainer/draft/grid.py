"""The text of a file, whatever a spreadsheet wrote it in, and the table in it.

Which mark parts cells, where the header is, and what is no reading.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass

from explainer.draft.guess import Guess
from explainer.draft.numbers import Writing, is_no_reading, writing_of
from explainer.errors import UsageError

_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
    (b"\xff\xfe", "utf-16", "UTF-16"),
    (b"\xfe\xff", "utf-16", "UTF-16"),
)


def decode(data: bytes, file: str) -> tuple[str, Guess]:
    """The text in ``data`` and what was guessed of its encoding.

    Raises UsageError for a spreadsheet file, for anything binary, and for an empty file.
    """
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise UsageError(f"{file} is a spreadsheet file, not CSV; save the sheet as CSV first")
    for mark, codec, name in _MARKS:
        if data.startswith(mark):
            try:
                return _plain(data.decode(codec), file), Guess(file, f"text in {name}", "sure")
            except UnicodeDecodeError:
                raise UsageError(f"{file} begins as {name} and is not; save it again") from None
    wide = _wide(data)
    if wide:
        text = data.decode(wide, "replace")
        return _plain(text, file), Guess(file, "text in UTF-16", "likely", "no mark says so")
    try:
        text, name = data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        text, name = _old(data)
    return _plain(text, file), Guess(
        file, f"text in {name}", "sure" if name == "UTF-8" else "likely"
    )


def _wide(data: bytes) -> str:
    """UTF-16 without a mark: every other byte of Western text is zero."""
    head = data[:4000]
    if len(head) < 4 or len(data) % 2:
        return ""
    even, odd = head[0::2].count(0), head[1::2].count(0)
    half = len(head) // 2
    return "utf-16-le" if odd > 0.7 * half else "utf-16-be" if even > 0.7 * half else ""


def _old(data: bytes) -> tuple[str, str]:
    try:
        return data.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        return data.decode("latin-1"), "Latin-1"


def _plain(text: str, file: str) -> str:
    if "\0" in text:
        raise UsageError(f"{file} holds binary data; expected a CSV file")
    if not text.strip():
        raise UsageError(f"{file} is empty; expected a header and rows")
    return text.replace("\r\n", "\n").replace("\r", "\n")


Row = tuple[int, list[str]]
"""Spreadsheet row, from 1, and its cells."""

MOST_CELLS = 3_000_000
_NAMES = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright bars"}
_SUMMARY = frozenset(
    [
        "mean",
        "average",
        "avg",
        "total",
        "sum",
        "sd",
        "std",
        "stdev",
        "s.d.",
        "min",
        "max",
        "median",
        "count",
        "n",
        "mittelwert",
        "moyenne",
    ]
)


@dataclass(frozen=True)
class CellGrid:
    """A table as found: one header (of one or more rows, joined) and its rows."""

    file: str
    headers: tuple[tuple[str, ...], ...]
    """Per column, its header cells from top to bottom, merged ones repeated."""
    rows: tuple[Row, ...]
    writing: Writing
    guesses: tuple[Guess, ...]


def grid_of(text: str, file: str) -> CellGrid:
    """The table in ``text``.  Raises UsageError where there is none."""
    mark, rows = _parted(text, file)
    if sum(len(cells) for _, cells in rows) > MOST_CELLS:
        raise UsageError(f"{file} has more than {MOST_CELLS:,} cells; draft from a part of it")
    guesses = [Guess(file, f"{_NAMES[mark]} between cells", "sure")]
    filled = [(n, cells) for n, cells in rows if any(cells)]
    width = _width(filled)
    if width < 2 or len(filled) < 2:
        raise UsageError(
            f"found no table in {file}; expected a header and rows of two cells or more"
        )
    filled = [(n, (cells + [""] * width)[: max(width, len(cells))]) for n, cells in filled]
    writing = writing_of((c for _, cells in filled for c in cells), mark == ";")
    if writing.why:
        guesses.append(Guess(file, f"{'comma' if writing.decimal == ',' else 'point'} as the "
                             "decimal mark", writing.sure, writing.why))  # fmt: skip
    top, end = _header(filled, width, writing)
    if top:
        what = f"{top} row{'s' * (top > 1)} above the header left out"
        guesses.append(Guess(file, what, "likely", _brief(filled[0][1])))
    if end - top > 1:
        guesses.append(Guess(file, f"a header of {end - top} rows", "likely"))
    head = [cells for _, cells in filled[top:end]]
    rest, second = _first_table(filled[end:], head, width, writing)
    body, left_out = _body(rest, head, width)
    left_out += second
    if not body:
        raise UsageError(f"found a header and no rows in {file}; expected at least one row")
    blank = len(rows) - len(filled)
    if blank:
        left_out.append(Guess(file, f"{blank} blank row{'s' * (blank > 1)} left out", "sure"))
    named = [Guess(file, g.what, g.sure, g.why) for g in left_out]
    return CellGrid(file, _joined(head, width), tuple(body), writing, (*guesses, *named))


def _parted(text: str, file: str) -> tuple[str, list[Row]]:
    """Cells by the mark that parts most rows into the same number of them."""
    told = text[:10].split("\n")[0].lower()
    if told.startswith("sep=") and told[4:5] in _NAMES:  # a spreadsheet's own note to itself
        return told[4:5], _rows(text.split("\n", 1)[1], told[4:5], file, 2)
    best: tuple[float, str] = (0.0, ",")
    sample = text[:200_000]
    for mark in (";", "\t", ",", "|"):
        widths = Counter(
            len(cells) for _, cells in _rows(sample, mark, file, 1, strict=False) if any(cells)
        )
        wide = {w: n for w, n in widths.items() if w > 1}
        share = max(wide.values(), default=0) / max(sum(widths.values()), 1)
        if share > best[0] + 1e-9:
            best = (share, mark)
    return best[1], _rows(text, best[1], file, 1)


def _rows(text: str, mark: str, file: str, first: int, strict: bool = True) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, skipinitialspace=True)
    found: list[Row] = []
    try:
        for n, cells in enumerate(reader, start=first):
            found.append((n, [" ".join(c.replace(" ", " ").split()) for c in cells]))
    except csv.Error as fault:
        if strict:
            raise UsageError(f"{file}: row {len(found) + first} cannot be read: {fault}") from None
    return found


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
    top = full
    above = rows[full - 1] if full and rows[full - 1][0] == rows[full][0] - 1 else None
    if above and (_spans(above[1], width) or _completes(above[1], rows[full][1])):
        top = full - 1
    end = full + 1
    numeric = _numeric(rows[end:], width, writing)
    while end < len(rows) - 1 and end - top < 3 and _goes_on(rows, top, end, numeric, writing):
        end += 1
    return top, end


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
    if end - top == 1 and any(not a and b for a, b in zip(above, here, strict=False)):
        gaps = sum(not a for a in above)
        unique = len({tuple(c) for _, c in rows[end:]}) == len(rows) - end
        return gaps >= 1 and unique and not here[0]
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
) -> tuple[list[Row], list[Guess]]:
    """The rows up to where another header begins: a second table below the first."""
    numeric = _numeric(rows, width, writing)
    own = {tuple(c.casefold() for c in h[:width]) for h in head}
    for i in range(1, len(rows) - 1):
        number, cells = rows[i]
        said = [cells[j] for j in numeric if cells[j]]
        apart = rows[i - 1][0] < number - 1 or sum(map(bool, rows[i - 1][1])) == 1
        words = said and not any(writing.read(c) or is_no_reading(c) for c in said)
        if apart and words and tuple(c.casefold() for c in cells[:width]) not in own:
            what = f"a second table from row {number} on left out"
            return rows[:i], [Guess("", what, "please check", "save it as a file of its own")]
    return rows, []


def _body(rows: list[Row], head: list[list[str]], width: int) -> tuple[list[Row], list[Guess]]:
    """The rows that hold readings; repeated headers, summaries and notes are named instead."""
    body: list[Row] = []
    guesses: list[Guess] = []
    again = 0
    heads = {tuple(c.casefold() for c in h[:width]) for h in head}
    for n, cells in rows:
        if tuple(c.casefold() for c in cells[:width]) in heads:
            again += 1
        elif sum(map(bool, cells)) == 1 and width > 2:
            guesses.append(Guess("", f"row {n} left out as a note", "likely", _brief(cells)))
        elif cells[0].casefold().strip(" .:") in _SUMMARY:
            guesses.append(Guess("", f"row {n} left out as a summary", "please check", cells[0]))
        else:
            body.append((n, cells[:width]))
    if again:
        guesses.append(
            Guess("", f"{again} repeated header row{'s' * (again > 1)} left out", "sure")
        )
    return body, guesses


def _brief(cells: list[str]) -> str:
    text = " ".join(filter(None, cells))
    return text if len(text) <= 50 else text[:49] + "…"
