"""A file as rows of cells: text in whatever a spreadsheet wrote it, and workbooks."""

from __future__ import annotations

import csv
import datetime
import io
import re
import warnings
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element

from explainer.draft.guess import Guess
from explainer.errors import UsageError
from explainer.study.unseen import seen

#: Marks that part cells, and what they are called.
MARKS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright bars"}
_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
    (b"\xff\xfe", "utf-16", "UTF-16"),
    (b"\xfe\xff", "utf-16", "UTF-16"),
)


def decode(data: bytes, file: str) -> tuple[str, Guess]:
    """The text in ``data`` and what was guessed of its encoding.

    Raises UsageError for a spreadsheet file, for anything binary, and for an empty file.
    """
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise UsageError(
            f"{file} is an old workbook (.xls) or one locked with a password; "
            "save it as .xlsx, .ods or CSV first"
        )
    if data.startswith(b"PK\x03\x04"):
        raise UsageError(f"{file} is a workbook or another archive, and no text")
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
    return seen(text.replace("\r\n", "\n").replace("\r", "\n"))


def parted(text: str, file: str) -> tuple[str, list[Row]]:
    """Cells by the mark that parts most rows into the same number of them."""
    told = text[:10].split("\n")[0].lower()
    if told.startswith("sep=") and told[4:5] in MARKS:  # a spreadsheet's own note to itself
        return told[4:5], _parted(text.split("\n", 1)[1], told[4:5], file, 2)
    best: tuple[float, str] = (0.0, ",")
    sample = text[:200_000]
    for mark in (";", "\t", ",", "|"):
        widths = Counter(
            len(cells) for _, cells in _parted(sample, mark, file, 1, strict=False) if any(cells)
        )
        wide = {w: n for w, n in widths.items() if w > 1}
        share = max(wide.values(), default=0) / max(sum(widths.values()), 1)
        if share > best[0] + 1e-9:
            best = (share, mark)
    return best[1], _parted(text, best[1], file, 1)


def _parted(text: str, mark: str, file: str, first: int, strict: bool = True) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, skipinitialspace=True)
    found: list[Row] = []
    try:
        for n, cells in enumerate(reader, start=first):
            found.append((n, [" ".join(c.replace(" ", " ").split()) for c in cells]))
    except csv.Error as fault:
        if strict:
            raise UsageError(f"{file}: row {len(found) + first} cannot be read: {fault}") from None
    return found


# The sheets of a workbook (.xlsx, .ods) as rows of cells, each cell as the program shows it.
# A workbook may be a stranger's: what it unpacks to is bounded before it is opened, its XML is
# read without entities (defusedxml, which openpyxl uses too), macros and formulas are never run
# (a formula's kept value is taken), and no link is followed.
# Sources: ECMA-376 part 1 (Office Open XML: number formats 18.8.30) through openpyxl; OASIS Open
# Document 1.3 part 3 (tables: 9.1, values: 19.385), read here.

Row = tuple[int, list[str]]
"""Spreadsheet row, from 1, and its cells."""

#: What a workbook may unpack to, in bytes, and the cells of one sheet.
MAX_UNPACKED = 300_000_000
MAX_SHEET_CELLS = 3_000_000
#: Places of a sheet that may be nearly empty, and how many to each filled one are no table any
#: more: every place is looked at while tables are found.
MAX_SPREAD, THIN = 500_000, 10
#: The cells under merged ones; openpyxl makes an object of each, however empty.
MAX_MERGED_CELLS = 200_000
#: The cells and rows of a whole Office Open XML workbook, which is held in memory twice.
MAX_CELLS = 500_000
CELL_OR_ROW = re.compile(rb"<(?:\w+:)?(?:c|row)[\s/>]")
SHEET = re.compile(rb"<(?:\w+:)?sheet[\s/>]")
SHEET_PART = re.compile(rb"<(?:\w+:)?(?:work|chart|dialog|macro)sheet[\s>]")
#: Marks of XML in one part, beside so many for each of its cells; and in the one of shared texts.
MAX_MARKS, MARKS_A_CELL, MAX_MARKS_OF_TEXTS = 300_000, 12, 10_000_000
SHARED_TEXTS = re.compile(rb"\s*(?:<\?[^>]*>\s*)?<(?:\w+:)?sst[\s>]")
MAX_SHEETS = 50
MAX_ACROSS = 1_000


@dataclass(frozen=True)
class RawSheet:
    """One sheet as it stands: rows of text, and what was noticed in reading it."""

    name: str
    """Empty for a file that is one sheet."""
    rows: tuple[Row, ...]
    guesses: tuple[Guess, ...] = ()


def is_workbook(data: bytes) -> bool:
    return data.startswith(b"PK\x03\x04")


def sheets_of_workbook(data: bytes, file: str) -> list[RawSheet]:
    """Every sheet with something in it.  Raises UsageError for what is no workbook that we read."""
    names = _members(data, file)
    if "xl/workbook.xml" in names:
        found = list(_excel(data, file))
    elif "content.xml" in names:
        found = list(_open_document(data, file))
    elif "xl/workbook.bin" in names:
        raise UsageError(f"{file} is a binary workbook (.xlsb); save it as .xlsx or CSV first")
    else:
        raise UsageError(f"{file} is a zip archive and no workbook; expected .xlsx, .ods or CSV")
    if not any(sheet.rows for sheet in found):
        raise UsageError(f"{file} is empty; expected a sheet with a header and rows")
    return found


def _members(data: bytes, file: str) -> set[str]:
    """The names of the parts of a workbook that unpacks to no more than is reasonable."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise UsageError(f"{file} is a damaged workbook; open it and save it again") from None
    if sum(part.file_size for part in parts) > MAX_UNPACKED:
        size = MAX_UNPACKED // 10**6
        raise UsageError(f"{file} unpacks to over {size} megabytes; draft from a part of it")
    if any(part.flag_bits & 1 for part in parts):
        raise UsageError(f"{file} is locked with a password; save it without one first")
    return {part.filename for part in parts}


# -- Office Open XML ---------------------------------------------------------------------------


def _excel(data: bytes, file: str) -> Iterator[RawSheet]:
    try:
        with warnings.catch_warnings():  # of styles and extensions it does not keep: none of ours
            warnings.simplefilter("ignore")
            import openpyxl

            _in_bounds(data, file)
            shown = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
            written = openpyxl.load_workbook(io.BytesIO(data))
    except ImportError:
        raise UsageError(
            f"{file} is a workbook, and the library that reads them is not here; "
            "python -m pip install openpyxl defusedxml, or save the sheet as CSV"
        ) from None
    except UsageError:
        raise
    except Exception as fault:  # a stranger's file: whatever openpyxl trips over is the file's
        raise UsageError(
            f"{file} cannot be read as a workbook ({_first_line(fault)}); open it and save it again"
        ) from None
    for sheet in shown.worksheets:
        if sheet.sheet_state != "visible":
            what = f"the hidden sheet {sheet.title} left out"
            told = Guess(file, what, "please check", "unhide it to use it")
            yield RawSheet(sheet.title, (), (told,))
            continue
        yield _excel_sheet(sheet, written[sheet.title], file)


def _in_bounds(data: bytes, file: str) -> None:
    """Raises UsageError for more sheets, rows, cells or merged cells than are held at once.

    A hundred kilobytes can unpack to millions of empty cells, each an object of the library's.
    A part that two sheets name would be read twice.
    """
    cells = sheets = parts = covered = 0
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
                raise UsageError(
                    f"{file}, {name}: over {most:,} marks of styles, texts or the like; save what "
                    "you need of it as CSV"
                )
            sheets += len(SHEET.findall(plain))
            parts += bool(SHEET_PART.search(plain))
            if cells > MAX_CELLS:
                raise UsageError(
                    f"{file} has over {MAX_CELLS:,} cells; save what you need of it as CSV"
                )
            covered += _merged_cells(said) if b"mergeCell" in plain else 0
            if covered > MAX_MERGED_CELLS:
                raise UsageError(
                    f"{file} merges over {MAX_MERGED_CELLS:,} cells; unmerge them and save it again"
                )
    if sheets > MAX_SHEETS:
        raise UsageError(f"{file} has over {MAX_SHEETS} sheets; draft from a part of it")
    if sheets > parts:
        raise UsageError(f"{file} is a damaged workbook: it names one sheet's part twice")


def _merged_cells(said: bytes) -> int:
    """How many cells lie under the merged ones of a part; no further than is reasonable."""
    from defusedxml.ElementTree import iterparse
    from openpyxl.utils.cell import range_boundaries

    covered = 0
    for _, found in iterparse(io.BytesIO(said)):
        if found.tag.rpartition("}")[2] == "mergeCell":
            left, top, right, bottom = range_boundaries(found.get("ref", ""))
            covered += (right - left + 1) * (bottom - top + 1)
        found.clear()
        if covered > MAX_MERGED_CELLS:
            break
    return covered


def _first_line(fault: Exception) -> str:
    return (str(fault).strip().splitlines() or [type(fault).__name__])[0][:120]


def _excel_sheet(sheet: Any, written: Any, file: str) -> RawSheet:
    where = f"{file}, sheet {sheet.title}"
    across = min(sheet.max_column, MAX_ACROSS)
    if sheet.max_row * across > MAX_SHEET_CELLS:
        raise UsageError(f"{where} has over {MAX_SHEET_CELLS:,} cells; draft from a part of it")
    grid: dict[tuple[int, int], str] = {}
    cut: dict[int, str] = {}
    empty: list[str] = []
    for cell in _cells(sheet, across):
        if cell.value is None:
            if written[cell.coordinate].data_type == "f":
                empty.append(cell.coordinate)
            continue
        text = shown_value(cell.value, str(cell.number_format or "General"))
        grid[cell.row, cell.column] = text
        if isinstance(cell.value, float) and _rounded(text, cell.value):
            cut.setdefault(cell.column, cell.coordinate)
    merges = [m.bounds for m in sheet.merged_cells.ranges]
    guesses = list(_merged(grid, merges, where, across))
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
        raise UsageError(
            f"{where}: its {len(grid):,} filled cells lie far apart, over {last:,} rows and "
            f"{width:,} columns; put what belongs together side by side, or save it as a sheet of "
            "its own; nothing was drafted"
        )
    found: list[Row] = [(n, [""] * width) for n in range(1, last + 1)]
    for (row, column), text in grid.items():
        found[row - 1][1][column - 1] = " ".join(seen(text).split())
    return tuple(found)


def _merged(
    grid: dict[tuple[int, int], str], merges: list[tuple[int, int, int, int]], where: str,
    across: int,
) -> Iterator[Guess]:  # fmt: skip
    """Merged cells speak for every cell they cover, but for a title over a whole sheet."""
    down: list[str] = []
    for left, top, right, bottom in sorted(merges, key=lambda m: (m[1], m[0])):
        text = grid.get((top, left), "")
        if not text or (right - left + 1) * (bottom - top + 1) > MAX_SHEET_CELLS:
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


def shown_value(value: Any, code: str) -> str:
    """A cell's value under its number format: ``0.314`` under ``0.0%`` is ``31.4%``.

    Dates come as the standard writes them (ISO 8601) whatever the format, so that no order of day
    and month is guessed; numbers without marks between thousands.
    """
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime.datetime):
        whole = value.time() == datetime.time()
        return value.date().isoformat() if whole else value.isoformat(" ", "minutes")
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, datetime.timedelta):
        return str(value)
    if not isinstance(value, int | float):
        return str(value)
    return _shown_number(value, code)


#: The first section of a number format, without colours, conditions, padding and locale marks.
_DROPPED = re.compile(r"\[[^\]]*\]|_.|\*.|\\(?=\s)")
_LITERAL = re.compile(r'"([^"]*)"|\\(.)')


def _shown_number(value: float, code: str) -> str:
    section = _DROPPED.sub("", code.split(";")[0])
    literal = "".join(a or b for a, b in _LITERAL.findall(section)).strip()
    bare = _LITERAL.sub("", section)
    found = re.fullmatch(r"[#0,.?\s]*?(?:\.([0#?]*))?\s*(%?)\s*", bare)
    if bare.strip().casefold() in ("general", "@", "") or not found or "/" in bare:
        text = _general(value)
    else:
        kept, optional = (found[1] or "").rstrip("#?"), found[1] or ""
        number = value * 100 if found[2] else value
        text = f"{number:.{len(optional)}f}"
        while len(text.partition(".")[2]) > len(kept) and text[-1] == "0":
            text = text[:-1]
        text = text.rstrip(".") + ("%" if found[2] else "")
    return f"{text} {literal}" if literal and re.fullmatch(r"[^\W\d_]+.*", literal) else text


def _general(value: float) -> str:
    """As a program shows a number without a format: up to eleven digits, noise rounded away."""
    if isinstance(value, int) or value == int(value):
        return str(int(value)) if abs(value) < 1e15 else f"{value:.10g}"
    return f"{value:.11g}"


def _rounded(text: str, value: float) -> bool:
    """Whether what is shown says less than what is kept (noise of the arithmetic aside)."""
    found = re.match(r"-?\d+(?:\.\d+)?", text)
    if not found:
        return False
    kept = value * 100 if text.endswith("%") else value
    return abs(float(found[0]) - kept) > 1e-9 * max(1.0, abs(kept))


# -- Open Document -----------------------------------------------------------------------------

_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def _open_document(data: bytes, file: str) -> Iterator[RawSheet]:
    try:
        from defusedxml.ElementTree import fromstring
    except ImportError:
        raise UsageError(
            f"{file} is a workbook, and the library that reads them is not here; "
            "python -m pip install openpyxl defusedxml, or save the sheet as CSV"
        ) from None
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            root = fromstring(archive.read("content.xml"))
    except Exception as fault:  # a stranger's file: a damaged archive, XML with entities, …
        raise UsageError(
            f"{file} cannot be read as a workbook ({_first_line(fault)}); open it and save it again"
        ) from None
    tables = list(root.iter(f"{_TABLE}table"))
    if not tables:
        raise UsageError(f"{file} holds no sheet; expected a spreadsheet (.ods)")
    if len(tables) > MAX_SHEETS:
        raise UsageError(f"{file} has over {MAX_SHEETS} sheets; draft from a part of it")
    for table in tables:
        yield _ods_sheet(table, file)


def _ods_sheet(table: Element, file: str) -> RawSheet:
    name = table.get(f"{_TABLE}name", "")
    where = f"{file}, sheet {name}"
    grid: dict[tuple[int, int], str] = {}
    merges: list[tuple[int, int, int, int]] = []
    n = 0
    for line in table.iter(f"{_TABLE}table-row"):
        times = _count(line, "number-rows-repeated")
        cells = list(_ods_cells(line, n + 1, merges))
        if cells and times * len(cells) > MAX_SHEET_CELLS:
            raise UsageError(f"{where} has over {MAX_SHEET_CELLS:,} cells; draft from a part of it")
        for again in range(times if cells else 0):
            grid.update({(n + 1 + again, column): text for column, text in cells})
        n += times
        if len(grid) > MAX_SHEET_CELLS:
            raise UsageError(f"{where} has over {MAX_SHEET_CELLS:,} cells; draft from a part of it")
    across = max((column for _, column in grid), default=1)
    guesses = tuple(_merged(grid, merges, where, across))
    return RawSheet(name, _rows(grid, where), guesses)


def _count(element: Element, name: str) -> int:
    given = element.get(f"{_TABLE}{name}", "1")
    return int(given) if re.fullmatch("[0-9]{1,8}", given) else 1


def _ods_cells(
    line: Element, row: int, merges: list[tuple[int, int, int, int]]
) -> Iterator[tuple[int, str]]:
    column = 1
    for cell in line:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        times = _count(cell, "number-columns-repeated")
        text = _ods_value(cell)
        if text:
            for again in range(min(times, MAX_ACROSS - column + 1)):
                yield column + again, text
        right = column + _count(cell, "number-columns-spanned") - 1
        bottom = row + _count(cell, "number-rows-spanned") - 1
        if text and (right > column or bottom > row):
            merges.append((column, row, right, bottom))
        column += times


def _ods_value(cell: Element) -> str:
    """A cell as shown: numbers with as many digits as shown, dates as the standard writes them."""
    shown = "\n".join("".join(p.itertext()) for p in cell.findall(f"{_TEXT}p")).strip()
    kind = cell.get(f"{_OFFICE}value-type", "")
    date, value = cell.get(f"{_OFFICE}date-value", ""), cell.get(f"{_OFFICE}value", "")
    if kind == "date" and date:
        return date.removesuffix("T00:00:00").replace("T", " ")
    try:
        number = float(value) if kind in ("float", "percentage", "currency") else None
    except ValueError:
        number = None
    if number is None:
        return shown
    percent = kind == "percentage"
    behind = re.search(r"[^\W\d_].*$|%$", shown)
    unit = "%" if percent else f" {behind[0]}" if behind and "E" not in shown else ""
    return _as_many_digits(number * 100 if percent else number, shown) + unit


def _as_many_digits(number: float, shown: str) -> str:
    """``number`` with the decimals that its shown text has, in whatever way that marks them."""
    digits = re.sub(r"\D", "", re.sub(r"[^\W\d_].*$", "", shown))
    for places in range(12):
        text = f"{number:.{places}f}"
        if re.sub(r"\D", "", text) == digits:
            return text
    return _general(number)
