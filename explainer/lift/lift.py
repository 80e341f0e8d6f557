"""``explainer lift``: a report in, a folder of tables, charts and sentences out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from itertools import pairwise
from pathlib import Path
from typing import Any

from explainer.errors import UsageError
from explainer.lift.axes import number
from explainer.lift.bounded import read_report
from explainer.lift.child import MOST_PAGES
from explainer.lift.tables import MARKS
from explainer.lift.written import (
    CLAIMS,
    LiftedPart,
    ReportFile,
    chart_part,
    claims_text,
    origin_file,
    table_part,
)

# Tables that go on over a page: pieces of one table on pages that follow each other, joined.
# Each page is read alone (in a process that may end with it), so pieces meet here: by a caption
# that says so, by a head that is printed again, or, with neither, by columns at the same places
# of one page's end and the next one's beginning, with numbers in the same ones.

_CONTINUED = re.compile(r"\b(?:continue[sd]?|cont(?:['’]?d)?)\b", re.I)
#: Shares of a page's height: a piece that goes on ends below the first, its rest begins above the
#: second.  Notes, page numbers and running titles may stand between.
_ENDS_BELOW, _BEGINS_ABOVE = 0.55, 0.4
#: Points that columns may differ from page to page.
_SHIFTED = 6.0

Record = dict[str, Any]
Rows = list[list[str]]


@dataclass
class _OpenTable:
    """The last table of a page, which the next page may go on with."""

    table: Record
    page: int
    at_end: bool
    """Nothing but notes below it."""
    pages: int = 1
    heads: int = 0


def over_pages(records: Iterable[Record]) -> Iterator[Record]:
    """The records of pages, in order, with the pieces of a table in the record of its first page.

    A joined table has ``to_page`` and ``joined`` (what was done, in words).  What looks like the
    rest of a table and does not fit to it stays a table of its own, and is named in ``faults``.
    """
    held: list[Record] = []
    last: _OpenTable | None = None
    for record in records:
        taken = last is not None and record["page"] == last.page + 1 and _taken_on(last, record)
        if not taken:
            yield from held
            held, last = [], None
        held.append(record)
        tables = record["tables"]
        if tables:
            end = max(tables, key=lambda t: float(t["box"][3]))
            last = _OpenTable(end, record["page"], _at_end(end, record))
        elif last is None:
            yield from held
            held = []
    yield from held


def _taken_on(last: _OpenTable, record: Record) -> bool:
    """Adds to the open table what the page goes on with; whether it goes on with anything."""
    rest = min(record["tables"], key=lambda t: float(t["box"][1]), default=None)
    if rest is not None:
        rows, again = _continuing(last, rest, record)
    else:
        rest, again = {"box": (0, 0, 0, 0), "prose": (False, True)}, 0
        rows = _loose_rows(last, record)
    if not rows:
        return False
    if rest in record["tables"]:
        record["tables"].remove(rest)
    table = last.table
    width = max(len(row) for row in table["cells"])
    body = [list(row) for row in table["cells"] if not _says_continued(row)]
    table["cells"] = body + [row + [""] * (width - len(row)) for row in rows]
    last.heads += bool(again)
    last.pages, last.page = last.pages + 1, record["page"]
    last.at_end = not record["tables"] and _at_end(rest, record)
    table["to_page"] = record["page"]
    head = "; its head, which is printed again, stands once" if last.heads else ""
    table["joined"] = f"one table over pages {table['page']} to {record['page']}{head}"
    return True


def _at_end(table: Record, record: Record) -> bool:
    """Whether a table stands at the end of its page: no text or chart follows it there."""
    end, height = float(table["box"][3]), float(record.get("height", 0.0))
    below = [c for c in record["charts"] if float(c["area"][1]) > end]
    return end > _ENDS_BELOW * height and not below and not table["prose"][1]


def _at_start(table: Record, record: Record) -> bool:
    begin, height = float(table["box"][1]), float(record.get("height", 0.0))
    above = [c for c in record["charts"] if float(c["area"][3]) < begin]
    return begin < _BEGINS_ABOVE * height and not above and not table["prose"][0]


def _continuing(last: _OpenTable, rest: Record, record: Record) -> tuple[Rows, int]:
    """The rows that ``rest`` adds, in the columns of the open table, and how many of its first
    were its head; no rows where it is a table of its own."""
    table = last.table
    labels = {t["label"] for t in (table, rest) if t["label"]}
    said = _CONTINUED.search(rest["caption"]) is not None
    if len(labels) > 1 or (rest["label"] and not table["label"] and not said):
        return [], 0
    named = said or bool(rest["label"])
    placed = last.at_end and _at_start(rest, record)
    if not named and not placed:
        return [], 0
    rows = _in_columns([list(r) for r in rest["cells"] if not _says_continued(r)], table, rest)
    if rows is None:
        if named:
            record["faults"].append(
                f"{rest['label'] or 'a table'} goes on from page {last.page} with other columns; "
                "it stands in two files: put them together by hand"
            )
        return [], 0
    whole = [list(row) for row in table["cells"] if not _says_continued(row)]
    again = _head_again(whole, rows)
    if again or named or (_same_places(table, rest) and _alike(whole, rows)):
        return rows[again:], again
    return [], 0


def _says_continued(row: Any) -> bool:
    """A row that only says that the table goes on."""
    filled = [cell for cell in row if cell]
    return len(filled) == 1 and _CONTINUED.search(filled[0]) is not None


def _in_columns(rows: Rows, table: Record, rest: Record) -> Rows | None:
    """Rows under the columns of the open table; None where they do not fit there.

    A column that is empty on the later page was not found there: the others tell by their places.
    """
    width = len(table["cells"][0])
    if rows and len(rows[0]) == width:
        return rows
    own, edges = list(table["bounds"]), list(rest["bounds"])
    if not rows or len(own) != width - 1 or len(edges) != len(rows[0]) - 1:
        return None
    ends = [float(rest["box"][0]), *edges, float(rest["box"][2])]
    at = [sum(b < (ends[i] + ends[i + 1]) / 2 for b in own) for i in range(len(ends) - 1)]
    if sorted(set(at)) != at:
        return None
    found = []
    for row in rows:
        cells = [""] * width
        for i, cell in zip(at, row, strict=True):
            cells[i] = cell
        found.append(cells)
    return found


def _head_again(whole: Rows, rows: Rows) -> int:
    """How many first rows of a piece are those of the table: its head, printed again."""
    count = 0
    for old, new in zip(whole, rows, strict=False):
        # As one text: over an empty column, two heads may have been taken for one.
        if "".join(map(_plain, old)) != "".join(map(_plain, new)):
            break
        count += 1
    return count


def _plain(cell: str) -> str:
    return "".join(_CONTINUED.sub("", cell).rstrip(MARKS + " ").casefold().split()).strip("()")


def _same_places(table: Record, rest: Record) -> bool:
    one, two = table["bounds"], rest["bounds"]
    lefts = abs(float(table["box"][0]) - float(rest["box"][0])) < 4 * _SHIFTED
    ends = [float(table["box"][0]), *one, float(table["box"][2])]
    room = min((b - a for a, b in pairwise(ends)), default=0.0)
    near = all(abs(a - b) < max(_SHIFTED, 0.4 * room) for a, b in zip(one, two, strict=False))
    return lefts and near


def _alike(whole: Rows, rows: Rows) -> bool:
    """Numbers stand in the same columns, from the piece's first row on (it has no head)."""
    body = whole[1:]
    for column in range(len(whole[0])):
        old = [row[column] for row in body if row[column]]
        new = [row[column] for row in rows if row[column]]
        counted = sum(map(_is_number, old)) >= 0.6 * len(old) if old else None
        if counted and new and (not _is_number(new[0]) or sum(map(_is_number, new)) < len(new) / 2):
            return False
        if counted is False and new and sum(map(_is_number, new)) > 0.6 * len(new):
            return False
    return any(_is_number(cell) for row in rows for cell in row)


def _is_number(cell: str) -> bool:
    return number(cell.rstrip(MARKS + " ")) is not None


def _loose_rows(last: _OpenTable, record: Record) -> Rows:
    """One or two rows at the head of a page, too few for a table, that stand in its columns."""
    if not last.at_end:
        return []
    table, found = last.table, []
    bounds = list(table["bounds"])
    for parts in record.get("loose", ()):
        cells = [""] * (len(bounds) + 1)
        for text, left, right in parts:
            at = sum(b < (left + right) / 2 for b in bounds)
            if cells[at] or any(left < b - 1 and b + 1 < right for b in bounds):
                break
            cells[at] = text
        else:
            found.append(cells)
    whole = [list(row) for row in table["cells"]]
    if found and len(bounds) == len(whole[0]) - 1 and _alike(whole, found):
        return found
    return []


Tell = Callable[[str], None]


@dataclass
class Lifted:
    """Everything lifted from a report."""

    report: ReportFile
    parts: list[LiftedPart] = field(default_factory=list)
    sentences: list[dict[str, Any]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    """What could not be read, with its page, and what can still be done."""

    @property
    def files(self) -> dict[str, bytes]:
        """The files of the folder by name."""
        made = {part.name: part.csv for part in self.parts}
        made |= {origin_file(part): part.origin for part in self.parts}
        made[CLAIMS] = claims_text(self.sentences, self.report.name).encode("utf-8")
        return made


def lift_report(
    path: Path, day: str, pages: Sequence[int] = (), at: Sequence[float] = (),
    tell: Tell = lambda line: None,
) -> Lifted:  # fmt: skip
    """Reads the report in a bounded process.  ``day`` (year-month-day) is noted as the date.

    Raises UsageError for a file that cannot be opened, and for pages it does not have.
    """
    records = read_report(path, pages, at)
    opened = next(records)
    count = int(opened["pages"])
    beyond = [n for n in pages if n > count]
    if beyond:
        raise UsageError(f"{path} has {count} pages; there is no page {beyond[0]}")
    lifted = Lifted(ReportFile(path.name, _hash(path), count))
    taken: set[str] = set()
    said: set[str] = set()
    for record in over_pages(records):
        page = record["page"]
        for table in record.get("tables", ()):
            lifted.parts.append(table_part(table, lifted.report, day, taken))
            tell(lifted.parts[-1].says)
        for chart in record.get("charts", ()):
            lifted.parts.append(chart_part(chart, lifted.report, day, taken))
            tell(lifted.parts[-1].says)
        for sentence in record.get("sentences", ()):
            if sentence["text"] not in said:  # a running title, or text that comes again
                said.add(sentence["text"])
                lifted.sentences.append(sentence)
        lifted.faults += [f"{path.name}: page {page}: {why}" for why in record["faults"]]
    return lifted


def _hash(path: Path) -> str:
    try:
        with path.open("rb") as file:
            digest = sha256()
            while block := file.read(1 << 20):
                digest.update(block)
            return digest.hexdigest()
    except OSError as fault:
        raise UsageError(f"cannot read {path}: {fault.strerror or fault}") from fault


def chosen_pages(text: str) -> tuple[int, ...]:
    """``3,5-8`` as page numbers.  Raises UsageError."""
    found: list[int] = []
    for part in text.split(","):
        first, dash, last = part.strip().partition("-")
        if not first.isdigit() or (dash and not last.isdigit()) or int(first) < 1:
            said = part.strip() or "nothing"
            raise UsageError(f"--pages {text}: {said} is no page; expected 3 or 5-8")
        end = int(last) if dash else int(first)
        if end < int(first):
            raise UsageError(f"--pages {text}: {part.strip()} runs backwards; expected 5-8")
        if end > MOST_PAGES:
            raise UsageError(f"--pages {text}: no report has a page {end}; expected at most "
                             f"{MOST_PAGES:,}")  # fmt: skip
        found += range(int(first), end + 1)
    return tuple(dict.fromkeys(found))


def chosen_places(text: str) -> tuple[float, ...]:
    """``0,10,20`` as numbers.  Raises UsageError."""
    try:
        return tuple(float(part) for part in text.split(","))
    except ValueError:
        raise UsageError(f"--at {text} is not a list of numbers; expected --at 0,10,20") from None
