"""The cells of a CSV file as a frame: text as text, numbers as numbers, every fault with its cell.

In the good case pandas reads the file once, in C, and nothing here walks over rows.  Only where
a column of numbers holds something else is that column read again as text and looked at cell by
cell, to say which row and what stood there.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer.errors import Problem
from explainer.study.csvscan import SHOWN, Scan, fault, no_rows
from explainer.study.description.base import LARGEST, SIZED, SMALLEST
from explainer.study.unseen import one_code

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
