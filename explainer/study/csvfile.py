"""The cells of a CSV file as a frame: text as text, numbers as numbers, every fault with its cell.

In the good case pandas reads the file once, in C, and nothing here walks over rows.  Only where
a column of numbers holds something else is that column read again as text and looked at cell by
cell, to say which row and what stood there.
"""

from __future__ import annotations

import csv
import io
import re
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer.errors import Problem
from explainer.study.csvfault import unreadable
from explainer.study.describe import UNUSED
from explainer.study.description.base import LARGEST, SIZED, SMALLEST
from explainer.study.unseen import EXPECTED, HINT, first_unseen, maybe_unseen, one_code, seen, told

# A CSV file looked over before pandas reads it: encoding, header, and rows of equal length.
# pandas fills short rows and cuts long ones without a word, and leaves out blank lines, which
# would put every later row number wrong; so rows are counted here. Files without quotes (nearly
# all) are counted by comparing their commas with those of a regular table, about as fast as a
# disk delivers them.

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
        return _lines_without_cells(self.data)


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
    wrong = np.setdiff1d(wrong, _lines_without_cells(data))
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
    row = 0
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
    except csv.Error as error:  # in a row after the last that was read
        return [fault(file, row + 1, None, *unreadable(error))]
    return problems


def _looks_like(data: bytes) -> str:
    """Which encoding a file that is not UTF-8 most likely is in."""
    try:
        data.decode("cp1252")
    except UnicodeDecodeError:
        return "an old encoding"
    return "Windows-1252"


def _header(data: bytes, file: str) -> tuple[tuple[str, ...], list[Problem]]:
    text = io.StringIO(data[:1_000_000].decode("utf-8", "ignore"), newline="")
    try:
        names = next(csv.reader(text, strict=True), [])
    except csv.Error as error:
        return (), [fault(file, 1, None, *unreadable(error), code="header")]
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
        row = len(counts) + 2
        return np.empty(0, np.int64), [fault(file, row, None, *unreadable(error), code="quote")]
    return np.array(counts, np.int64), []


def _lines_without_cells(data: bytes) -> NDArray[np.int64]:
    if b'"' in data:
        rows = enumerate(_rows_by_csv(data), start=2)
        return np.array([row for row, cells in rows if not "".join(cells).strip()], np.int64)
    lines = data.removesuffix(b"\n").split(b"\n")[1:]
    return np.array(
        [row for row, line in enumerate(lines, start=2) if not line.strip(b", \t\r")], np.int64
    )


#: Reads one column of the file again, as the text that stands in it.
Raw = Callable[[str], pd.Series]

#: Different names in a column of items or conditions: more than any bench or league has, and few
#: enough to judge and draw in seconds.
MAX_NAMES = 1_000

#: Digits 0 to 9: those of other scripts would be read, and shown as others than were written.
_NUMBER = re.compile(r"[-+]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][-+]?[0-9]+)?")
_INFINITE = re.compile(r"[-+]?inf(inity)?", re.IGNORECASE)


@dataclass(frozen=True)
class Cells:
    """The columns asked for, one row per CSV row that is not empty, by spreadsheet row."""

    frame: pd.DataFrame
    codes: Mapping[str, NDArray[np.int64]]
    """Text columns as small numbers, one per distinct text: quick to compare."""
    words: Mapping[str, tuple[str, ...]]
    """The distinct texts of each text column: ``words[column][code]``."""
    marks: Mapping[tuple[int, str], str]
    """What stood in cells that mean "no reading", by row and column; empty cells left out."""


def read_cells(
    scan: Scan, file: str, names: Mapping[str, str], text: Iterable[str],
    numbers: Iterable[str], missing: tuple[str, ...],
) -> tuple[Cells | None, list[Problem]]:  # fmt: skip
    """The columns ``text`` and ``numbers`` of a scanned file.

    ``names`` maps a column's name in the file to its name in the description; ``text`` and
    ``numbers`` are names of the latter kind.  Numbers come as float64 with NaN where the cell is
    empty or holds one of the marks in ``missing``.
    """
    header = [names.get(name, name) for name in scan.header]
    text, numbers = list(text), list(numbers)
    try:
        frame = _read(scan, header, text, numbers, missing)
    except (pd.errors.ParserError, ValueError, OverflowError) as error:
        return None, [fault(file, 1, None, "a table that cannot be read", "CSV", _plainly(error))]
    if len(frame) != scan.rows:
        found = "a quotation that is not closed"
        return None, [fault(file, len(frame) + 1, None, found, "a closing quote")]
    frame.index = pd.RangeIndex(2, scan.rows + 2)
    empty = _empty_rows(frame, scan)
    if len(empty):
        frame = frame.drop(index=empty.tolist())
    if not len(frame):
        return None, [no_rows(file)]

    def raw(name: str) -> pd.Series:
        return _raw(scan, header, name, empty)

    problems: list[Problem] = []
    marks: dict[tuple[int, str], str] = {}
    columns: dict[str, pd.Series] = {}
    codes: dict[str, NDArray[np.int64]] = {}
    words: dict[str, tuple[str, ...]] = {}
    for name in frame.columns:
        if name in text:
            distinct = len(frame[name].cat.categories)
            if distinct > MAX_NAMES:
                found, expected = f"{distinct:,} different names", f"at most {MAX_NAMES:,}"
                problems.append(fault(file, 1, name, found, expected, code="too-many"))
                continue
            codes[name], words[name] = _as_text(frame[name], raw)
            columns[name] = _spelled(codes[name], words[name], frame.index)
            continue
        columns[name], wrong = _as_numbers(frame[name], file, name, missing, marks, raw)
        problems += wrong
    if problems:
        return None, problems
    return Cells(pd.DataFrame(columns, copy=False), codes, words, marks), []


def _spelled(codes: NDArray[np.int64], words: tuple[str, ...], index: Any) -> pd.Series:
    """The texts that codes stand for, one per row, kept as categories: a million rows of twenty
    names take a megabyte, and grouping by them costs next to nothing."""
    from_codes: Any = pd.Categorical.from_codes
    return pd.Series(from_codes(codes, list(words)), index=index)


def _reads_as_number(word: object) -> bool:
    try:
        float(str(word))
    except ValueError:
        return str(word).casefold() in ("true", "false")
    return True


def _as_numbers(
    column: pd.Series, file: str, name: str, missing: tuple[str, ...],
    marks: dict[tuple[int, str], str], raw: Raw,
) -> tuple[pd.Series, list[Problem]]:  # fmt: skip
    """A column as float64; read again cell by cell where pandas did not find numbers only."""
    if column.dtype.kind in "iuf" and not (missing and bool(column.isna().any())):
        return column.astype("float64"), _out_of_size(column, file, name, raw)
    return _cell_by_cell(raw(name), file, name, missing, marks)


def _read(
    scan: Scan, header: list[str], text: list[str], numbers: list[str], missing: tuple[str, ...]
) -> pd.DataFrame:
    wanted = set(text) | set(numbers)
    with warnings.catch_warnings():  # a column of numbers and words is looked at again below
        warnings.simplefilter("ignore", pd.errors.DtypeWarning)
        return pd.read_csv(
            io.BytesIO(scan.data),
            header=0,
            names=header,
            usecols=[name for name in header if name in wanted],
            dtype=dict.fromkeys(text, "category"),
            na_values={name: ["", *missing] for name in numbers},
            keep_default_na=False,
            skip_blank_lines=False,
            index_col=False,
            encoding="utf-8",
        )


def held(scan: Scan, names: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The different texts in each of some columns of a sound file."""
    names = list(names)
    if not names:
        return {}
    frame = _read(scan, list(scan.header), names, [], ())
    return {name: tuple(map(str, frame[name].cat.categories)) for name in names}


def _empty_rows(frame: pd.DataFrame, scan: Scan) -> NDArray[np.int64]:
    """Rows without any content: they are not readings.  Looked for only where a cell is empty."""
    first = frame.iloc[:, 0]
    blank = first.isna() | (first == "") if first.dtype.kind == "O" else first.isna()
    return scan.empty_rows() if bool(blank.any()) else np.empty(0, np.int64)


def _raw(scan: Scan, header: list[str], name: str, empty: NDArray[np.int64]) -> pd.Series:
    """One column as it stands in the file, by spreadsheet row."""
    column = pd.read_csv(
        io.BytesIO(scan.data), header=0, names=header, usecols=[name], dtype="str",
        keep_default_na=False, skip_blank_lines=False, index_col=False, low_memory=False,
    )[name]  # fmt: skip
    column.index = pd.RangeIndex(2, len(column) + 2)
    return pd.Series(column.drop(index=empty.tolist()))


def _as_text(column: pd.Series, raw: Raw) -> tuple[NDArray[np.int64], tuple[str, ...]]:
    """A categorical column as codes and the distinct texts, without outer blanks, they stand for.

    pandas makes numbers of categories that look like numbers, block by block of the file, and
    so one of ``007`` and ``7``; a column with any such text is read again.
    """
    codes = np.asarray(column.cat.codes)
    if codes.min() < 0 or any(_reads_as_number(word) for word in column.cat.categories):
        column = raw(str(column.name)).astype("category")
        codes = np.asarray(column.cat.codes)
    words = [one_code(str(word)).strip() for word in column.cat.categories]
    distinct = list(dict.fromkeys(words))
    if len(distinct) < len(words):
        places = {word: place for place, word in enumerate(distinct)}
        codes = np.array([places[word] for word in words])[codes]
    return codes, tuple(distinct)


def _out_of_size(column: pd.Series, file: str, name: str, raw: Raw) -> list[Problem]:
    size = np.abs(column.to_numpy(dtype="float64"))
    rows = column.index[(size > LARGEST) | ((size > 0) & (size < SMALLEST))]
    if not len(rows):
        return []
    cells = raw(name)
    return _few([(int(row), str(cells[row])) for row in rows], file, name)


def _has_size(value: float) -> bool:
    return value == 0 or SMALLEST <= abs(value) <= LARGEST


def _cell_by_cell(
    raw: pd.Series, file: str, name: str, missing: tuple[str, ...],
    marks: dict[tuple[int, str], str],
) -> tuple[pd.Series, list[Problem]]:  # fmt: skip
    """A column of text read as numbers, with the cells that are none."""
    values = np.full(len(raw), np.nan)
    wrong: list[tuple[int, str]] = []
    for position, (row, cell) in enumerate(zip(raw.index, raw, strict=True)):
        cell = cell.strip()
        if not cell:
            continue
        if cell in missing:
            marks[int(row), name] = cell
        elif _NUMBER.fullmatch(cell) and _has_size(float(cell)):
            values[position] = float(cell)
        else:
            wrong.append((int(row), cell))
    return pd.Series(values, index=raw.index), _few(wrong, file, name)


def _few(wrong: list[tuple[int, str]], file: str, name: str) -> list[Problem]:
    """The first cells of a column that are no numbers, and how many more there are."""
    pins = _are_pins([cell for _, cell in wrong])
    shown = [_not_a_number(file, row, name, cell, pins) for row, cell in wrong[:SHOWN]]
    if len(wrong) > SHOWN:
        more = f"{len(wrong) - SHOWN} more cells like these"
        shown.append(fault(file, wrong[SHOWN][0], name, more))
    return shown


def _are_pins(cells: list[str]) -> bool:
    """Whether cells are strikes and spares as a score sheet marks them: no marks for a gap."""
    marks = [c for c in cells if re.fullmatch(r"[xX]|[\d-]?/|\d-|-\d?", c)]
    spares = any("/" in c for c in marks)
    return len(marks) > 1 and (spares or sum(c in ("x", "X") for c in marks) > 1)


def _not_a_number(file: str, row: int, name: str, cell: str, pins: bool) -> Problem:
    expected, hint = "a number", ""
    if pins and re.fullmatch(r"[xX/\d-]{1,3}", cell):
        hint = "if this is a strike or a spare: 1 for one, 0 for none, in a column of its own"
    elif _INFINITE.fullmatch(cell.strip()) or _NUMBER.fullmatch(cell.strip()):
        expected = SIZED if np.isfinite(float(cell)) else "a number with an end"
    elif re.search(r"(?![0-9])\d", cell):
        hint = "with the digits 0 to 9"
    elif re.fullmatch(r"[-+]?\d+,\d{1,2}|[-+]?\d*,\d{4,}|[-+]?0,\d+", cell):
        hint = "a decimal comma: write a point"
    elif re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?", cell):
        hint = "leave out the commas between thousands, or write a point for a decimal comma"
    elif re.match(r"[-+]?[\d.]+\s*[^\W\d]", cell):
        hint = "the unit belongs in study.yaml"
    elif re.fullmatch(r"n/?a|nan|null|none|missing|[-–—?*.]+|x", cell, re.IGNORECASE):
        hint = f"if it means no reading, list it: `missing: ['{cell}']`"
    return fault(file, row, name, f"`{_brief(cell)}`", expected, hint, "not-a-number")


def _brief(text: object) -> str:
    return str(text) if len(str(text)) <= 40 else str(text)[:39] + "…"


def _plainly(error: Exception) -> str:
    return str(error).replace("Error tokenizing data. C error: ", "").strip()[:200]
