"""A CSV file looked over before pandas reads it: encoding, header, and rows of equal length.

pandas fills short rows and cuts long ones without a word, and leaves out blank lines, which
would put every later row number wrong; so rows are counted here.  Files without quotes (nearly
all) are counted by comparing their commas with
those of a regular table, about as fast as a disk delivers them.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from explainer.errors import Problem
from explainer.study.describe import UNUSED
from explainer.study.unseen import (
    EXPECTED,
    HINT,
    first_unseen,
    maybe_unseen,
    one_code,
    seen,
    told,
)

MAX_COLUMNS = 1_000
MAX_ROWS = 1_500_000
#: The same of all tables of a study together.
MAX_ROWS_IN_ALL = 3_000_000
#: How many faults of one kind are listed before the rest is only counted.
SHOWN = 20


@dataclass(frozen=True)
class Scan:
    """What a CSV file holds, before any cell is read."""

    data: bytes
    """The file, without its byte order mark."""
    header: tuple[str, ...]
    rows: int
    """Rows below the header, empty ones included."""

    def empty_rows(self) -> NDArray[np.int64]:
        """Spreadsheet rows in which every cell is empty: worked out only where one is met."""
        return _empty_rows(self.data)


def fault(
    file: str, row: int | None, cell: str | None, found: str, expected: str = "",
    hint: str = "", code: str = "csv",
) -> Problem:  # fmt: skip
    """One line about a CSV file; a fault of the whole file stands at row 1."""
    return Problem(
        file, row=row or 1, cell=cell, found=found, expected=expected, hint=hint,
        happens=UNUSED, code=code,
    )  # fmt: skip


def scan(data: bytes, file: str) -> tuple[Scan | None, list[Problem]]:
    """The header and row count of a CSV file, or None and what is wrong with it."""
    data = data.removeprefix(b"\xef\xbb\xbf")
    problems = _not_text(data, file)
    if problems:
        return None, problems
    if b"\r" in data and data.count(b"\r") != data.count(b"\r\n"):
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")  # line ends of old
    if not data or data.isspace():
        return None, [fault(file, 1, None, "an empty file", "a header and rows", code="empty")]
    header, problems = _header(data, file)
    problems = problems or _too_long(data, file) or _unseen(data, file)
    if problems:
        return None, problems
    if b'"' in data:
        counts, problems = _counted_by_csv(data, file)
        if problems:
            return None, problems
    else:
        counts = _counted(data, len(header))
    problems = _ragged_rows(data, counts, len(header), file)
    if not problems and not len(counts):
        problems = [no_rows(file)]
    return (None, problems) if problems else (Scan(data, header, len(counts)), [])


def _too_long(data: bytes, file: str) -> list[Problem]:
    """Lines are counted before anything is made of a row, in a hundredth of a second."""
    lines = data.count(b"\n")
    if lines <= MAX_ROWS:
        return []
    return [fault(file, 1, None, f"{lines:,} rows", f"at most {MAX_ROWS:,}")]


def no_rows(file: str) -> Problem:
    return fault(file, 1, None, "a header and no rows", "at least one row", code="empty")


def _ragged_rows(data: bytes, counts: NDArray[np.int64], width: int, file: str) -> list[Problem]:
    wrong = np.flatnonzero(counts != width) + 2
    if not len(wrong):
        return []
    wrong = np.setdiff1d(wrong, _empty_rows(data))
    problems = [_ragged(file, int(row), int(counts[row - 2]), width) for row in wrong[:SHOWN]]
    if len(wrong) > SHOWN:
        more = f"{len(wrong) - SHOWN} more rows like these"
        problems.append(fault(file, int(wrong[SHOWN]), None, more, code="ragged"))
    return problems


def _ragged(file: str, row: int, cells: int, width: int) -> Problem:
    found = f"{cells} cells" if cells != 1 else "1 cell"
    hint = "a decimal comma splits a number in two" if cells > width else ""
    return fault(file, row, None, found, f"{width}, as in the header", hint, code="ragged")


def _not_text(data: bytes, file: str) -> list[Problem]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return [
            fault(
                file, 1, None, "text in UTF-16", "UTF-8", "save it again as CSV UTF-8", "encoding"
            )
        ]
    if data.startswith(b"PK\x03\x04"):
        help = "save the sheet as CSV UTF-8, or start anew: `explainer draft NAME --from FILE`"
        return [fault(file, 1, None, "a workbook", "a CSV file", help, "encoding")]
    at = data.find(b"\0")
    if at >= 0:
        row = data.count(b"\n", 0, at) + 1
        return [fault(file, row, None, "a NUL byte: binary data", "text", code="encoding")]
    if data.isascii():
        return []
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
        help = "save it again as CSV UTF-8"
        return [
            fault(file, row, None, f"text that looks like {_looks_like(data)}", "UTF-8", help,
                  "encoding")
        ]  # fmt: skip
    return []


def _unseen(data: bytes, file: str) -> list[Problem]:
    """Cells that hold what nobody sees: two names may look the same and be two."""
    if not maybe_unseen(data):
        return []
    text = data.decode("utf-8")
    if first_unseen(text) is None:
        return []
    problems: list[Problem] = []
    header: list[str] = []
    try:
        for row, cells in enumerate(csv.reader(io.StringIO(text, newline=""), strict=True), 1):
            header = header or [seen(cell).strip() for cell in cells]
            for number, cell in enumerate(cells):
                if (at := first_unseen(cell)) is None:
                    continue
                name = (header[number] if number < len(header) else "") or str(number + 1)
                problems.append(fault(file, row, name, told(cell, at), EXPECTED, HINT, "unseen"))
                if len(problems) >= SHOWN:
                    return problems
    except csv.Error:
        pass  # said where rows are counted
    return problems


def _looks_like(data: bytes) -> str:
    """Which encoding a file that is not UTF-8 most likely is in."""
    high = Counter(b for b in data[:100_000] if b >= 0x80)
    control = sum(n for b, n in high.items() if b < 0xA0)
    try:
        data.decode("cp1252")
    except UnicodeDecodeError:
        return "an old encoding"
    return "Windows-1252" if control or high else "Latin-1"


def _header(data: bytes, file: str) -> tuple[tuple[str, ...], list[Problem]]:
    text = io.StringIO(data[:1_000_000].decode("utf-8", "ignore"), newline="")
    try:
        names = next(csv.reader(text, strict=True), [])
    except csv.Error as error:
        return (), [fault(file, 1, None, "a header that cannot be read", "", str(error))]
    header = tuple(one_code(name).strip() for name in names)
    if len(header) > MAX_COLUMNS:
        expected = f"at most {MAX_COLUMNS:,}"
        return (), [fault(file, 1, None, f"{len(header):,} columns", expected)]
    if len(header) == 1:
        for mark, word in ((";", "semicolons"), ("\t", "tabs")):
            if mark in header[0]:
                help = "save it again as CSV with commas"
                return (), [fault(file, 1, None, f"cells separated by {word}", "commas", help)]
    problems = []
    for number, name in enumerate(header, start=1):
        if not name:
            found = f"no name above column {number}"
            problems.append(fault(file, 1, str(number), found, "a name", code="header"))
        elif name in header[: number - 1]:
            first = header.index(name) + 1
            found = f"the name `{name}` again"
            help = f"first above column {first}"
            problems.append(fault(file, 1, name, found, "each name once", help, "header"))
    return header, problems


_ALL_BUT_MARKS = bytes(b for b in range(256) if b not in b",\n")


def _counted(data: bytes, width: int) -> NDArray[np.int64]:
    """Cells per row below the header, in a file without quotes."""
    marks = data.translate(None, _ALL_BUT_MARKS)
    if not data.endswith(b"\n"):
        marks += b"\n"
    marks = marks[marks.find(b"\n") + 1 :]
    rows = marks.count(b"\n")
    if marks == (b"," * (width - 1) + b"\n") * rows:
        return np.full(rows, width, np.int64)
    return np.diff(np.flatnonzero(np.frombuffer(marks, np.uint8) == 10), prepend=-1)


def _rows_by_csv(data: bytes) -> Iterator[list[str]]:
    """The rows below the header by the csv module, where quotes may hide commas and line ends."""
    rows = csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True)
    next(rows, None)
    return rows


def _counted_by_csv(data: bytes, file: str) -> tuple[NDArray[np.int64], list[Problem]]:
    """Cells per row below the header, in a file with quotes."""
    counts: list[int] = []
    try:
        for cells in _rows_by_csv(data):
            counts.append(len(cells))
    except csv.Error as error:
        found, expected, hint = "a row that cannot be read", "CSV", str(error)
        if "unexpected end" in hint:
            found, expected, hint = "a quotation that is not closed", "a closing quote", ""
        row = len(counts) + 2
        return np.empty(0, np.int64), [fault(file, row, None, found, expected, hint, "quote")]
    return np.array(counts, np.int64), []


def _empty_rows(data: bytes) -> NDArray[np.int64]:
    if b'"' in data:
        rows = enumerate(_rows_by_csv(data), start=2)
        return np.array([row for row, cells in rows if not "".join(cells).strip()], np.int64)
    lines = data.removesuffix(b"\n").split(b"\n")[1:]
    return np.array(
        [row for row, line in enumerate(lines, start=2) if not line.strip(b", \t\r")], np.int64
    )
