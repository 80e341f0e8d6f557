"""The sheets of a workbook (.xlsx, .ods) as rows of cells, each cell as the program shows it.

A workbook may be a stranger's: what it unpacks to is bounded before it is opened, its XML is read
without entities (defusedxml, which openpyxl uses too), macros and formulas are never run (a
formula's kept value is taken), and no link is followed.  All of it happens in a process of its own
(``opened.py``), whose ``main`` this is.

Sources: ECMA-376 part 1 (Office Open XML) through openpyxl; OASIS Open Document 1.3 part 3 (tables:
9.1), read here.
"""

from __future__ import annotations

import io
import json
import math
import posixpath
import re
import sys
import warnings
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import astuple
from typing import Any
from xml.etree.ElementTree import Element

from explainer.confined import Limits, confine, mapped
from explainer.draft.guess import Guess
from explainer.draft.sheets import MOST_CELLS, RawSheet, Row
from explainer.draft.shown import AS_KEPT, Doubts, rounded, shown_beside, shown_value
from explainer.errors import UsageError, listed
from explainer.study.unseen import seen

#: What a workbook may unpack to, in bytes.
MAX_UNPACKED = 300_000_000
#: Places of a sheet that may be nearly empty, and how many to each filled one are no table any
#: more: every place is looked at while tables are found.
MAX_SPREAD, THIN = 500_000, 10
#: The cells under merged ones; openpyxl makes an object of each, however empty.  And the merges
#: themselves, each of which costs it as much as hundreds of cells.
MAX_MERGED_CELLS, MAX_MERGES = 200_000, 20_000
#: The cells and rows of a whole Office Open XML workbook, which is held in memory twice.
MAX_CELLS = 500_000
CELL_OR_ROW = re.compile(rb"<(?:\w+:)?(?:c|row)[\s/>]")
SHEET = re.compile(rb"<(?:\w+:)?sheet[\s/>]")
#: Marks of XML in one part, beside so many for each of its cells; and in the one of shared texts.
MAX_MARKS, MARKS_A_CELL, MAX_MARKS_OF_TEXTS = 300_000, 12, 10_000_000
SHARED_TEXTS = re.compile(rb"\s*(?:<\?[^>]*>\s*)?<(?:\w+:)?sst[\s>]")
MAX_SHEETS = 50
MAX_ACROSS = 1_000


def refusal(where: str, found: str, expected: str) -> UsageError:
    """One line about a workbook that cannot be taken."""
    return UsageError(f"{where}: found {found}, expected {expected}; nothing was drafted")


#: What a workbook is, for one that is no such thing.
_WHOLE = "a workbook as a spreadsheet program saves it (open it there and save it again)"
_PART = "at most {} (save what you need of it as CSV)"


def sheets_in(data: bytes, file: str) -> list[RawSheet]:
    """Every sheet of a workbook.  Raises UsageError for what is no workbook that we read."""
    names = _members(data, file)
    try:
        with warnings.catch_warnings():  # of styles and extensions that are not kept: none of ours
            warnings.simplefilter("ignore")
            if "xl/workbook.xml" in names:
                found = list(_excel(data, file))
            elif "content.xml" in names:
                found = list(_open_document(data, file))
            else:
                binary = "xl/workbook.bin" in names
                what = "a binary workbook (.xlsb)" if binary else "an archive that is no workbook"
                raise refusal(file, what, "a workbook (.xlsx, .ods) or CSV")
    except ImportError:
        raise UsageError(
            f"{file} is a workbook, and the library that reads them is not here; "
            "python -m pip install openpyxl defusedxml, or save the sheet as CSV"
        ) from None
    except (UsageError, MemoryError):
        raise
    except Exception as fault:  # a stranger's file: whatever a library trips over is the file's
        entities = type(fault).__module__.startswith("defusedxml")
        what = "entities, which no spreadsheet writes" if entities else "a part that is damaged"
        raise refusal(file, what, _WHOLE) from None
    if not any(sheet.rows for sheet in found):
        hidden = [sheet.name for sheet in found if sheet.hidden]
        shown = [sheet.name for sheet in found if not sheet.hidden]
        what = f"no filled cell on {listed(shown, 5)}" if shown else "no sheet that is shown"
        beside = f" (hidden: {listed(hidden, 5)})" if hidden else ""
        raise refusal(file, what + beside, "a sheet with a header and rows")
    return found


def _members(data: bytes, file: str) -> set[str]:
    """The names of the parts of a workbook that unpacks to no more than is reasonable."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise refusal(file, "a damaged workbook", _WHOLE) from None
    if sum(part.file_size for part in parts) > MAX_UNPACKED:
        most = _PART.format(f"{MAX_UNPACKED // 10**6}")
        raise refusal(file, f"over {MAX_UNPACKED // 10**6} megabytes once it is unpacked", most)
    if any(part.flag_bits & 1 for part in parts):
        raise refusal(file, "a workbook that is locked with a password", "one without")
    names = Counter(part.filename for part in parts)
    if twice := [name for name, times in names.items() if times > 1]:
        raise refusal(file, f"the part {listed(twice[:1])} twice", _WHOLE)
    return set(names)


# -- Office Open XML ---------------------------------------------------------------------------


def _excel(data: bytes, file: str) -> Iterator[RawSheet]:
    import openpyxl

    _in_bounds(data, file)
    _each_its_part(data, file)
    shown = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    written = openpyxl.load_workbook(io.BytesIO(data))
    for sheet in shown.worksheets:
        if sheet.sheet_state != "visible":
            what = f"the hidden sheet {sheet.title} left out"
            told = Guess(file, what, "please check", "unhide it to use it")
            yield RawSheet(sheet.title, (), (told,), hidden=True)
            continue
        yield _excel_sheet(sheet, written[sheet.title], file)


_BOOK = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"


def _each_its_part(data: bytes, file: str) -> None:
    """Raises UsageError where a sheet is no part of the file, or one that another sheet is."""
    from defusedxml.ElementTree import fromstring

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        names = set(archive.namelist())
        book = fromstring(archive.read("xl/workbook.xml"))
        rels = "xl/_rels/workbook.xml.rels"
        links = fromstring(archive.read(rels)) if rels in names else ()
    targets = {link.get("Id"): link for link in links}
    taken: dict[str, str] = {}
    for sheet in book.iter(f"{_BOOK}sheet"):
        where = f"{file}, sheet {sheet.get('name', '')}"
        link = targets.get(sheet.get(f"{_LINK}id"))
        if link is None:
            raise refusal(where, "no part of the file that holds it", _WHOLE)
        if link.get("TargetMode") == "External":
            raise refusal(where, "a link to another file", "a sheet that lies in this one")
        said = link.get("Target", "")
        part = posixpath.normpath(posixpath.join("/xl", said)).lstrip("/")
        if ".." in said.split("/")[1:] or part not in names:
            raise refusal(where, f"the part {listed([said])}, which is not in the file", _WHOLE)
        if part in taken:
            raise refusal(where, f"the same part as for the sheet {taken[part]}", _WHOLE)
        taken[part] = sheet.get("name", "")


def _in_bounds(data: bytes, file: str) -> None:
    """Raises UsageError for more sheets, rows, cells or merged cells than are held at once.

    A hundred kilobytes can unpack to millions of empty cells, each an object of the library's.
    """
    cells = sheets = covered = merges = 0
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for name in archive.namelist():
            if not name.lower().endswith(".xml"):
                continue
            said = archive.read(name)
            plain = said.replace(b"\0", b"") if b"\0" in said[:200] else said  # two bytes a letter
            cells += (here := len(CELL_OR_ROW.findall(plain)))
            most = MAX_MARKS + MARKS_A_CELL * here
            most = MAX_MARKS_OF_TEXTS if SHARED_TEXTS.match(plain) else most
            if cells <= MAX_CELLS and plain.count(b"<") > most:
                found = f"over {most:,} marks of styles, texts or the like"
                raise refusal(f"{file}, {name}", found, "a part of it, saved as CSV")
            sheets += len(SHEET.findall(plain))
            if cells > MAX_CELLS:
                raise refusal(file, f"over {MAX_CELLS:,} cells", _PART.format("so many"))
            if b"mergeCell" in plain:
                here, many = _merged_cells(said, f"{file}, {name}")
                covered, merges = covered + here, merges + many
            if covered > MAX_MERGED_CELLS or merges > MAX_MERGES:
                over = f"{MAX_MERGES:,} merges of" if covered <= MAX_MERGED_CELLS \
                    else f"{MAX_MERGED_CELLS:,} merged"
                expected = "fewer (unmerge them and save it again)"
                raise refusal(file, f"over {over} cells", expected)
    if sheets > MAX_SHEETS:
        raise refusal(file, f"over {MAX_SHEETS} sheets", _PART.format("so many"))


def _merged_cells(said: bytes, where: str) -> tuple[int, int]:
    """How many cells lie under the merged ones of a part, and how many merges there are; no further
    than is reasonable."""
    from defusedxml.ElementTree import iterparse
    from openpyxl.utils.cell import range_boundaries

    covered = merges = 0
    for _, found in iterparse(io.BytesIO(said)):
        if found.tag.rpartition("}")[2] == "mergeCell":
            ref = found.get("ref", "")
            try:
                left, top, right, bottom = map(int, range_boundaries(ref))
            except (ValueError, TypeError):  # no range, or one without an end
                raise refusal(where, f"cells merged over {listed([ref])}",
                              "a range such as `A1:B2`") from None  # fmt: skip
            covered += (right - left + 1) * (bottom - top + 1)
            merges += 1
        found.clear()
        if covered > MAX_MERGED_CELLS or merges > MAX_MERGES:
            break
    return covered, merges


def _excel_sheet(sheet: Any, written: Any, file: str) -> RawSheet:
    where = f"{file}, sheet {sheet.title}"
    across = min(sheet.max_column, MAX_ACROSS)
    if sheet.max_row * across > MOST_CELLS:
        raise _too_many(where)
    grid: dict[tuple[int, int], str] = {}
    doubts = Doubts()
    cut: dict[int, str] = {}
    empty: list[str] = []
    for cell in _cells(sheet, across):
        if cell.value is None:
            if written[cell.coordinate].data_type == "f":
                empty.append(cell.coordinate)
            continue
        text, odd = shown_value(cell.value, str(cell.number_format or "General"))
        if text:
            grid[cell.row, cell.column] = text
        doubts.note(odd, cell.coordinate, text, cell.value)
        if not odd and isinstance(cell.value, float) and rounded(text, cell.value):
            cut.setdefault(cell.column, cell.coordinate)
    merges = [m.bounds for m in sheet.merged_cells.ranges]
    guesses = [*_merged(grid, merges, where, across), *doubts.guesses(where)]
    if empty:
        what = f"formulas without a kept value: {', '.join(empty[:5])}"
        guesses.append(Guess(where, what, "please check",
                             "open the file in its program and save it"))  # fmt: skip
    if cut:
        cells = ", ".join(list(cut.values())[:5])
        guesses.append(Guess(where, f"numbers taken as shown, not with all their digits: {cells}",
                             "likely", "the format of the cell rounds them"))  # fmt: skip
    hidden = [n for n, d in sheet.row_dimensions.items() if d.hidden and any(
        (n, c) in grid for c in range(1, across + 1))]  # fmt: skip
    if hidden:
        what = f"{len(hidden)} hidden row{'s' * (len(hidden) > 1)} read with the others"
        guesses.append(Guess(where, what, "please check", f"row {hidden[0]} first"))
    return RawSheet(sheet.title, _rows(grid, where), tuple(guesses))


def _cells(sheet: Any, across: int) -> Iterator[Any]:
    """The cells that the file holds, row by row.  The library's own way to go through a sheet makes
    an object of every place between them: a few far apart would be millions."""
    held = sheet._cells
    return (held[place] for place in sorted(held) if place[1] <= across)


def _rows(grid: Mapping[tuple[int, int], str], where: str) -> tuple[Row, ...]:
    """Rows from the first to the last that is filled, as wide as the widest.

    Raises UsageError where a few cells lie far apart.
    """
    if not grid:
        return ()
    width = max(column for _, column in grid)
    last = max(row for row, _ in grid)
    if width * last > max(MAX_SPREAD, THIN * len(grid)):
        found = f"{len(grid):,} filled cells far apart, over {last:,} rows and {width:,} columns"
        raise refusal(where, found, "what belongs together side by side, or on a sheet of its own")
    rows: list[Row] = [(n, [""] * width) for n in range(1, last + 1)]
    for (row, column), text in grid.items():
        rows[row - 1][1][column - 1] = " ".join(seen(text).split())
    return tuple(rows)


def _merged(
    grid: dict[tuple[int, int], str], merges: list[tuple[int, int, int, int]], where: str,
    across: int,
) -> Iterator[Guess]:  # fmt: skip
    """Merged cells speak for every cell they cover, but for a title over a whole sheet."""
    down: list[str] = []
    for left, top, right, bottom in sorted(merges, key=lambda m: (m[1], m[0])):
        text = grid.get((top, left), "")
        if not text or (right - left + 1) * (bottom - top + 1) > MOST_CELLS:
            continue
        titles = right > left and not any(
            (top, c) in grid for c in range(1, across + 1) if not left <= c <= right
        )
        for row in range(top, bottom + 1):
            for column in range(left, left + 1 if titles else min(right, across) + 1):
                grid.setdefault((row, column), text)
        if bottom > top:
            down.append(text)
    if down:
        yield Guess(where, f"merged cells hold for each row they cover: {', '.join(down[:5])}",
                    "sure")  # fmt: skip


# -- Open Document -----------------------------------------------------------------------------

_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def _open_document(data: bytes, file: str) -> Iterator[RawSheet]:
    from defusedxml.ElementTree import fromstring

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        root = fromstring(archive.read("content.xml"))
    tables = list(root.iter(f"{_TABLE}table"))
    if not tables:
        raise refusal(file, "no sheet", "a spreadsheet (.ods)")
    if len(tables) > MAX_SHEETS:
        raise refusal(file, f"over {MAX_SHEETS} sheets", _PART.format("so many"))
    for table in tables:
        yield _ods_sheet(table, file)


def _too_many(where: str) -> UsageError:
    return refusal(where, f"over {MOST_CELLS:,} cells", _PART.format("so many"))


def _ods_sheet(table: Element, file: str) -> RawSheet:
    name = table.get(f"{_TABLE}name", "")
    where = f"{file}, sheet {name}"
    grid: dict[tuple[int, int], str] = {}
    merges: list[tuple[int, int, int, int]] = []
    doubts = Doubts()
    n = 0
    for line in table.iter(f"{_TABLE}table-row"):
        times = _count(line, "number-rows-repeated")
        cells = list(_ods_cells(line, n + 1, merges, doubts))
        if cells and times * len(cells) > MOST_CELLS:
            raise _too_many(where)
        for again in range(times if cells else 0):
            grid.update({(n + 1 + again, column): text for column, text in cells})
        n += times
        if len(grid) > MOST_CELLS:
            raise _too_many(where)
    across = max((column for _, column in grid), default=1)
    guesses = (*_merged(grid, merges, where, across), *doubts.guesses(where))
    return RawSheet(name, _rows(grid, where), guesses)


def _count(element: Element, name: str) -> int:
    """How often, or 1 where that is no number; more cells than any sheet has are as good as all."""
    given = element.get(f"{_TABLE}{name}", "1").lstrip("0") or "1"
    return int(given[:9]) if re.fullmatch("[0-9]+", given) else 1


def _ods_cells(
    line: Element, row: int, merges: list[tuple[int, int, int, int]], doubts: Doubts
) -> Iterator[tuple[int, str]]:
    column = 1
    for cell in line:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        times = _count(cell, "number-columns-repeated")
        text, odd = _ods_value(cell)
        doubts.note(odd, f"row {row}, column {column}", text, cell.get(f"{_OFFICE}value"))
        if text:
            for again in range(min(times, MAX_ACROSS - column + 1)):
                yield column + again, text
        right = column + _count(cell, "number-columns-spanned") - 1
        bottom = row + _count(cell, "number-rows-spanned") - 1
        if text and (right > column or bottom > row):
            merges.append((column, row, right, bottom))
        column += times


def _ods_value(cell: Element) -> tuple[str, str]:
    """A cell as shown, and what is odd about that: numbers with as many digits as shown, dates as
    the standard writes them."""
    lines = cell.findall(f"{_TEXT}p")
    shown = "\n".join("".join(p.itertext()) for p in lines).strip()
    kind = cell.get(f"{_OFFICE}value-type", "")
    date, value = cell.get(f"{_OFFICE}date-value", ""), cell.get(f"{_OFFICE}value", "")
    if kind == "date" and date:
        return date.removesuffix("T00:00:00").replace("T", " "), AS_KEPT
    try:
        number = float(value) if kind in ("float", "percentage", "currency") else None
    except ValueError:
        number = None
    if number is None or not math.isfinite(number):
        return shown, AS_KEPT
    return shown_beside(number, kind == "percentage", shown if lines else None)


# -- the process itself ------------------------------------------------------------------------

#: Bytes that reading a workbook may map beyond what there is before it, seconds of processor, and
#: bytes of what it found.
MEMORY, SECONDS, MOST = 1_000_000_000, 120.0, 100_000_000


def main() -> None:
    """Reads the name of a file (one line of JSON) and its bytes, and answers with its sheets."""
    file = json.loads(sys.stdin.buffer.readline())
    data = sys.stdin.buffer.read()
    with suppress(ImportError):  # whatever is loaded later counts
        import defusedxml.ElementTree  # noqa: F401
        import openpyxl  # noqa: F401
    confine(Limits(mapped() + MEMORY, written=0, seconds=SECONDS, files=64))
    try:
        answer: dict[str, Any] = {"sheets": [astuple(one) for one in sheets_in(data, file)]}
    except UsageError as fault:
        answer = {"fault": str(fault)}
    said = json.dumps(answer).encode()
    sys.stdout.buffer.write(said if len(said) <= MOST else b"")
    sys.stdout.buffer.flush()
