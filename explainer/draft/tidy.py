"""A grid made tidy: one row per reading, numbers with a point, no wide columns."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass, field, replace

from explainer.draft.across import in_one_column, turned
from explainer.draft.columns import INDEXES, Column, renamed
from explainer.draft.grid import CellGrid
from explainer.draft.guess import Guess
from explainer.draft.headers import (
    ITEM_WORDS,
    LONG_WORDS,
    ORDER_WORDS,
    REMARKS,
    USE_WORDS,
    Header,
    date_in,
    enclosed_unit,
    parse,
    slug,
)
from explainer.draft.numbers import Writing, are_pins, is_no_reading, without_doubt
from explainer.draft.sums import addends_of, adding_up, many_alike, stem
from explainer.draft.wide import CalledSo
from explainer.errors import UsageError
from explainer.study.csvfile import MAX_COLUMNS
from explainer.study.sums import MEANS, SUMS, words_of

#: Marks that say "as above".
_DITTO = frozenset(['"', "''", "〃", "″", "”", "“", "do.", "ditto", "dito"])
#: Columns that are never filled from above: a hand or a team must stand in the sheet.
_NEVER_FILLED = frozenset(["hand", "l/r", "r/l", "side", "arm", "team", "league", "sex", "class"])
#: What a cell that may be a day begins with.
_DAYLIKE = re.compile(r"\d+[-/.]|\d{1,2}\.? ?[A-Za-z]{3}|[A-Za-z]{3}")
#: A checkpoint or session said in words: Wk 3, Week 3, W3, Session 2, Night 4.
_NUMBERED = re.compile(r"([^\W\d_]+)[ .#:-]*(\d+)")


@dataclass(frozen=True)
class Tidy:
    """One table of a file, tidy."""

    original: str
    columns: tuple[Column, ...]
    guesses: tuple[Guess, ...]
    missing: tuple[str, ...] = ()
    """Marks that stand for no reading, as written."""
    wide: bool = False
    rows: str = field(default="")
    """The rows of the original the readings stand in: ``rows 5 to 16``."""
    where: str = ""
    """The file, its sheet and which table of it, as guesses name it."""
    title: str = ""
    sheet: str = ""
    alone: bool = True
    """Whether it is the only table of its file."""
    notes: tuple[str, ...] = ()
    """What stands around it in the sheet and in no cell of it."""
    row_of: tuple[str, ...] = ()
    """Of a table whose columns were turned into rows, the row of the sheet that each comes from;
    empty where every row is one of the sheet, or of several."""
    source: str = ""
    """Where it comes from, in words that may be published, where that is not file, sheet, rows."""
    called: str = ""
    """A name for it, where its file's or its sheet's would not do."""

    @property
    def stem(self) -> str:
        """What its table and its file are called, before a number that tells two apart."""
        of_file = slug(self.original.rsplit(".", 1)[0]) or "table"
        of_sheet = slug(self.sheet) if self.sheet and not self.alone else ""
        return (slug(self.called) or of_sheet or of_file).replace("_", "-")

    def column(self, name: str) -> Column:
        return next(c for c in self.columns if c.name == name)

    def to_csv(self) -> bytes:
        out = io.StringIO(newline="")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow([c.name for c in self.columns])
        writer.writerows(zip(*(c.cells for c in self.columns), strict=True))
        return out.getvalue().encode("utf-8")


def tidy(grid: CellGrid) -> Tidy:
    """``grid`` with its numbers, names and shape put in order.  Raises UsageError."""
    where = grid.where or grid.file
    if len(grid.headers) > MAX_COLUMNS:
        raise UsageError(
            f"found {len(grid.headers):,} columns in {where}, expected at most {MAX_COLUMNS:,}; "
            "draft from a part of it"
        )
    headers = [_in_full(_header(parts)) for parts in grid.headers]
    cells = [[row[i] for _, row in grid.rows] for i in range(len(headers))]
    guesses = list(grid.guesses)
    filled = _filled(headers, cells, where, guesses)
    columns: list[Column] = []
    pins = _pins(headers, cells)
    for i, header in enumerate(headers):
        if not header.written and not any(cells[i]):
            continue
        if (ticked := _ticked(where, header, cells[i], guesses)) is not None:
            columns.append(ticked)
            continue
        if i in pins:
            columns.append(Column(slug(header.words), header, tuple(cells[i]), False, pins=True))
            continue
        made = _column(grid.writing, where, i, header, cells[i], guesses)
        columns.append(replace(made, empty=filled.get(i, ())))
    numbers = [number for number, _ in grid.rows]
    columns = in_one_column(_summed(renamed(columns), where, numbers, guesses))
    called = CalledSo(where, grid.file, grid.title, grid.sheet, grid.notes)
    columns, row_of, found = turned(called, columns, guesses)
    columns = _with_strikes(columns, where, guesses)
    marks = dict.fromkeys(
        c for col in columns if col.numeric for c in col.cells
        if c and (c in col.marks or is_no_reading(c))
    )  # fmt: skip
    if marks:
        guesses.append(
            Guess(where, f"no reading where a cell holds {', '.join(marks)}", "likely")
        )
        if found:
            guesses += _blanks(columns, where)
    return Tidy(
        grid.file, tuple(columns), tuple(guesses), tuple(marks), found,
        f"rows {grid.rows[0][0]} to {grid.rows[-1][0]}", where, grid.title, grid.sheet,
        notes=grid.notes, row_of=row_of,
    )  # fmt: skip


def _blanks(columns: list[Column], where: str) -> list[Guess]:
    """Readings of a table made long whose cell stood empty, beside others with a mark: named."""
    told = []
    for column in (c for c in columns if c.numeric and c.heads):
        empty = [r for r, cell in enumerate(column.cells) if not cell]
        if not empty or not any(cell and not column.reads(cell) for cell in column.cells):
            continue
        names = [c for c in columns if not c.numeric and said(c.header) & ITEM_WORDS][:1]
        steps = [c for c in columns if c.numeric and not c.heads and all(c.cells)][-1:]
        shown = "; ".join(
            ", ".join(f"{c.name} {c.cells[r]}" for c in (*names, *steps)) for r in empty[:4]
        )
        plural = "s" * (len(empty) > 1)
        what = f"{len(empty)} cell{plural} with nothing in {'them' if plural else 'it'}"
        told.append(Guess(where, f"{what}, taken as no reading of {column.name}, as the marks are",
                          "please check", shown, 55))  # fmt: skip
    return told


def _header(parts: tuple[str, ...]) -> Header:
    """Header cells from top to bottom as one: a unit may stand in any of them."""
    once = list(dict.fromkeys(parts))
    parsed = [parse(p) for p in once]
    unit = next(filter(None, map(enclosed_unit, once)), "")
    if unit:  # in brackets: a bare last word that sounds like another unit stays a word
        parsed = [h if h.unit in ("", unit) else Header(p, p)
                  for h, p in zip(parsed, once, strict=True)]  # fmt: skip
    unit = unit or next((h.unit for h in parsed if h.unit), "")
    words = [h.words for h in parsed]
    if len(parsed) > 1 and not unit:
        alone = [w for w in words[1:] if parse(f"x ({w})").unit and w.casefold() not in USE_WORDS]
        if alone:
            unit = parse(f"x ({alone[0]})").unit
            words.remove(alone[0])
    return Header(" ".join(once), " ".join(filter(None, words)), unit)


def _in_full(header: Header) -> Header:
    """``Wk`` as week, which pages say."""
    if header.words.casefold().strip(" .#") in ("wk", "wks"):
        return replace(header, words="week")
    return header


def said(header: Header) -> set[str]:
    """The words of a header, ``L/R`` as one and ``BowlerID`` as two."""
    text = re.sub(r"(?<=[a-z]{2})(?=[A-Z])|[_.]", " ", header.words).casefold()
    return set(text.split()) | set(re.findall(r"[^\W\d_]+|#", text))


# -- one column --------------------------------------------------------------------------------


def _column(
    writing: Writing, sheet: str, i: int, header: Header, cells: list[str], guesses: list[Guess]
) -> Column:
    """A column's cells as numbers where most of them are, dates as the standard writes them."""
    where = f"{sheet}, column {header.written or i + 1}"
    dated = _dates(cells)
    if dated is not None:
        if dated != cells:
            seen = next(filter(None, cells))
            guesses.append(Guess(where, "days written as 2026-01-31", "sure", seen))
        return Column(slug(header.words), header, tuple(dated), numeric=False)
    counted = _counted_in_words(header, cells)
    if counted is not None:
        guesses.append(Guess(where, f"numbers out of {cells[0]} and the like", "likely"))
        return counted
    given = [c for c in cells if c and not is_no_reading(c)]
    read, doubtful = _numbers(writing, given)
    good = sum(read[c] is not None for c in given)
    few = 0.5 if header.unit else 0.6
    named = _is_name(header) and good < len(given)
    if not given or good < few * len(given) or named:
        if not said(header) & {"id", "code", "tag"} and _looks_measured(header, given):
            guesses.append(Guess(where, f"not read as numbers: {', '.join(given[:3])}",
                                 "please check", "left as it stands", 60))  # fmt: skip
        return Column(slug(header.words), header, tuple(cells), numeric=False)
    if doubtful:
        shown = ", ".join(f"{c} as {read[c][0]}" for c in doubtful[:5] if read[c])  # type: ignore[index]
        guesses.append(Guess(where, f"marks of doubt taken off: {shown}", "please check", "", 50))
    numbers = {c: r[0] for c, r in read.items() if r is not None}
    behind = {r[1] for r in read.values() if r is not None and r[1]}
    if len(behind) == 1 and not header.unit:
        header = Header(header.written, header.words, parse(f"x ({behind.pop()})").unit)
    strange = list(dict.fromkeys(c for c in given if read[c] is None))
    if strange:
        guesses.append(Guess(where, f"no number: {', '.join(strange[:8])}", "please check",
                             "taken as no reading", 60))  # fmt: skip
    return Column(slug(header.words), header, tuple(numbers.get(c, c) for c in cells),
                  numeric=True, marks=frozenset(strange))  # fmt: skip


def _numbers(
    writing: Writing, given: list[str]
) -> tuple[dict[str, tuple[str, str] | None], list[str]]:
    """What each cell is read as, and the cells that were read without a mark of doubt on them."""
    read = {c: writing.read(c) for c in set(given)}
    doubtful = []
    for cell in dict.fromkeys(given):
        bare = without_doubt(cell)
        if read[cell] is None and bare != cell and (found := writing.read(bare)) is not None:
            read[cell] = found
            doubtful.append(cell)
    return read, doubtful


def _is_name(header: Header) -> bool:
    """Whether a column's head says only that it names something: 12, 12a and B are names then."""
    words = said(header)
    names = ITEM_WORDS | {"id", "code", "tag", "label", "model", "group", "no", "nr"}
    return bool(words) and words <= names and not header.unit


def _dates(cells: list[str]) -> list[str] | None:
    """Cells as days of the form 2026-01-31, None where they are no days or could be two.

    ``3/4/2026`` says which comes first only where another cell of its column does.
    """
    given = [c for c in cells if c]
    if not given or not all(map(_DAYLIKE.match, given)):
        return None
    slashes = [m for c in given if (m := re.match(r"(\d{1,2})/(\d{1,2})/\d{4}\b", c))]
    first = any(int(m[1]) > 12 for m in slashes)
    second = any(int(m[2]) > 12 for m in slashes)
    if slashes and (first == second or len(slashes) < len(given)):
        return None
    order = r"\3-\2-\1" if first else r"\3-\1-\2"
    turned = {c: re.sub(r"^(\d{1,2})/(\d{1,2})/(\d{4})", order, c) for c in given}
    days = {c: date_in(t) for c, t in turned.items()}
    if any(day is None for day in days.values()):
        return None
    return [
        "" if not c else c if re.match(r"\d{4}-\d\d-\d\d", c) else _with_time(c, str(days[c]))
        for c in cells
    ]


def _with_time(cell: str, day: str) -> str:
    time = re.search(r"[T ](\d{1,2}:\d{2}.*)$", cell)
    return f"{day} {time[1]}" if time else day


def _counted_in_words(header: Header, cells: list[str]) -> Column | None:
    """``Wk 3``, ``Session 2`` in every cell as the numbers 3 and 2 of a column of that name."""
    found = [_NUMBERED.fullmatch(c) for c in cells]
    words = {m[1].casefold() for m in found if m}
    if not cells or None in found or len(words) != 1:
        return None
    [word] = words
    whole = LONG_WORDS.get(word, word)
    names = said(header) & (ITEM_WORDS | {"id", "code", "serial"})
    if names or (len(word) == 1 and word != "w"):
        return None
    if whole not in USE_WORDS and whole not in ORDER_WORDS:
        return None
    told = bool(said(header) & (USE_WORDS.keys() | ORDER_WORDS))
    named = header if told else Header(header.written, whole)
    return Column(slug(named.words), named, tuple(m[2] for m in found if m), numeric=True)


def _looks_measured(header: Header, given: list[str]) -> bool:
    """Whether a column should have held numbers: its header has a unit, or most cells begin so."""
    begins = sum(bool(re.match(r"[<>~≈±+−-]?\s*\d+[.,]?\d*\s*([^\dx×]|$)", c)) for c in given)
    return bool(given) and begins > (0.5 if header.unit else 0.8) * len(given)


# -- cells that stand for the one above --------------------------------------------------------


def _filled(
    headers: list[Header], cells: list[list[str]], where: str, guesses: list[Guess]
) -> dict[int, tuple[int, ...]]:
    """Fills names written once for each block of rows, in place; gives the positions filled.

    Only where the sheet shows that a block is meant: a mark that says "as above", or an item that
    stands once for each run of rows, with what stands and fails to stand exactly beside it.
    """
    filled: dict[int, tuple[int, ...]] = {}
    for i, column in enumerate(cells):
        at = [r for r, c in enumerate(column) if c.casefold() in _DITTO and r]
        if at:
            cells[i] = _down(column, at)
            guesses.append(Guess(f"{where}, column {headers[i].written}",
                                 f"{len(at)} marks for `as above` filled in", "sure"))  # fmt: skip
    block = next((i for i in range(len(cells)) if _is_block(headers[i], cells[i])), None)
    empty = [] if block is None else [r for r, c in enumerate(cells[block]) if not c]
    for i, column in enumerate(cells):
        gaps = [r for r, c in enumerate(column) if not c]
        about = f"{where}, column {headers[i].written}"
        if block is not None and gaps == empty and (i == block or _goes_with(headers[i])):
            cells[i] = _down(column, gaps)
            filled[i] = tuple(gaps)
            guesses.append(Guess(about, "empty cells filled from the one above", "please check",
                                 f"{len(gaps)} cells, from {column[0]} on", 65))  # fmt: skip
        elif block is not None and _numbered_in(headers[i], column, cells[block], empty):
            cells[i] = _down(column, gaps)
            filled[i] = tuple(gaps)
            why = f"numbered anew under each {headers[block].written}"
            told = "empty cells filled from the one above"
            guesses.append(Guess(about, told, "please check", why, 65))
        elif _once(column) and len(gaps) >= len(column) / 3 and _names(headers[i], column):
            what = f"empty in {len(gaps)} of {len(column)} rows and left so"
            guesses.append(
                Guess(about, what, "please check", "fill it in where the one above is meant", 65)
            )
    return filled


def _down(column: list[str], at: list[int]) -> list[str]:
    new = list(column)
    for r in at:
        new[r] = new[r - 1] if r else new[r]
    return new


def _is_block(header: Header, column: list[str]) -> bool:
    """Whether a column names an item once for each run of rows below it."""
    words = said(header)
    gaps = column.count("")
    if not column or words & (REMARKS | _NEVER_FILLED) or len(column) < 3 or gaps < len(column) / 3:
        return False
    named = bool(words & (ITEM_WORDS | {"id", "no", "nr", "model"})) or not _mostly_numbers(column)
    return named and _once(column)


def _numbered_in(header: Header, column: list[str], block: list[str], empty: list[int]) -> bool:
    """Whether a column numbers items anew under each name of ``block``, once for each run of rows:
    sample 1 of each model, in cells that were merged."""
    given = [r for r, c in enumerate(column) if c]
    if not said(header) & ITEM_WORDS or not given or given[0] or len(given) > 2 * len(column) / 3:
        return False
    around = _down(block, empty)
    named = [(around[r], column[r]) for r in given]
    anew = all(column[r] for r, name in enumerate(block) if name and r not in empty)
    return len(set(named)) == len(named) > len({name for _, name in named}) and anew


def _once(column: list[str]) -> bool:
    """Whether each name stands once, at the head of its run, and the first row has one."""
    given = [c for c in column if c]
    runs = [c for r, c in enumerate(column) if c and r + 1 < len(column) and not column[r + 1]]
    return bool(column[0]) and len(set(given)) == len(given) and len(runs) >= 0.5 * len(given) > 0


def _mostly_numbers(column: list[str]) -> bool:
    given = [c for c in column if c]
    return sum(bool(re.fullmatch(r"[-+−]?\d+([.,]\d+)?", c)) for c in given) > 0.5 * len(given)


def _goes_with(header: Header) -> bool:
    return not said(header) & (REMARKS | {"total", "mean", "average"})


def _names(header: Header, column: list[str]) -> bool:
    return not said(header) & REMARKS and not _mostly_numbers(column)


# -- columns that sum others up, and pins ------------------------------------------------------


def _summed(
    columns: list[Column], where: str, numbers: list[int], guesses: list[Guess]
) -> list[Column]:
    """Totals, averages, places and handicaps marked as such: kept in the table, never a measure;
    and asked about where one of ``numbers``, the sheet's rows, gives another total than it says."""
    numeric = [c for c in columns if c.numeric]
    counts = any(said(c.header) & {"strikes", "strike", "hits", "made", "spares"} for c in columns)
    found, addends, stems = [], addends_of(numeric), Counter(map(stem, numeric))
    for column in columns:
        words = words_of(column.header.words.replace("_", " "))
        whole = [w.rstrip(".") for w in words]
        others = [c for c in numeric if c is not column]
        index = len(whole) <= 2 and bool(set(whole) & INDEXES) and column.numeric
        called = bool(whole) and (whole[0] in SUMS | MEANS or whole[-1] in SUMS | MEANS)
        alike = many_alike(stems, column)
        adds = column.numeric and (called or alike)
        sums = adding_up(column, [addends[id(c)] for c in others], called) if adds else {}
        right = sum(sums.values())
        works = len(sums) > 1 and right >= (0.8 if called else 1.0) * len(sums)
        alone = len(whole) == 1 and called and column.numeric and bool(others)
        siblings = called and column.numeric and alike
        if index or works or ((alone or siblings) and not (counts and whole[0] in SUMS)):
            what = "a place or a handicap" if index else "sums the others up"
            told = Guess(f"{where}, column {column.header.written}", f"{what}: kept, no measure",
                         "likely" if index or works else "please check",
                         "its numbers do" if works else "by its head", 45)  # fmt: skip
            guesses.append(told)
            if works:
                guesses += _said_otherwise(column, sums, where, numbers)
            column = replace(column, sums=True)
        found.append(column)
    return found


def _said_otherwise(
    column: Column, sums: dict[int, bool], where: str, numbers: list[int]
) -> list[Guess]:
    """The rows of the sheet in which a column of totals says something else than they give."""
    off = [row for row, fits in sums.items() if not fits]
    if not off:
        return []
    rows = ", ".join(f"{numbers[row]} ({column.cells[row]})" for row in off[:4])
    head = column.header.written
    what = f"{head} says something else than the cells beside it give in row" \
        f"{'s' * (len(off) > 1)} {rows}{', …' if len(off) > 4 else ''}"  # fmt: skip
    why = "the page goes by the cells; is one of them wrong?"
    return [Guess(f"{where}, column {head}", what, "please check", why, 66, at_table=True)]


def _pins(headers: list[Header], cells: list[list[str]]) -> set[int]:
    """The columns that hold frames or shots; those alike but for a number are judged together."""
    alike: dict[str, list[int]] = {}
    for i, header in enumerate(headers):
        alike.setdefault(re.sub(r"\d+", "", header.words).casefold(), []).append(i)
    return {
        i for group in alike.values() if are_pins([c for i in group for c in cells[i]])
        for i in group
    }  # fmt: skip


#: What people put into a cell to say yes, where the others of the column stay empty.
_TICKS = frozenset(["x", "✓", "✔", "☑", "y", "yes", "ja", "oui", "si", "sí", "j", "true"])
#: Words in the head of a column of shots or frames, where an X is a strike.
_THROWN = frozenset(["strike", "strikes", "spare", "spares", "frame", "frames", "pin", "pins",
                     "first", "ball", "game", "result", "fill"]) | ORDER_WORDS  # fmt: skip


def _ticked(
    where: str, header: Header, cells: list[str], guesses: list[Guess]
) -> Column | None:
    """A column of one mark and empty cells (``x``, or a word of its own head) as two groups.

    Asked, since an empty cell may as well be one that nobody filled in.
    """
    marks = {c.strip().casefold() for c in cells if c.strip()}
    empty = [r for r, c in enumerate(cells) if not c.strip()]
    words = re.split(r"\b(?:at|in|after|wk|week)\b|\d", header.words.strip(" ?").casefold())[0]
    label = re.sub(r"[^\w\s-]", " ", words).strip()
    if len(marks) != 1 or not empty or len(empty) > len(cells) - 2 or len(label) < 3:
        return None
    [mark] = marks
    heads = said(header)
    if heads & (_THROWN | REMARKS) or not (mark in _TICKS or mark in label.split()):
        return None
    yes, no = label, f"not {label}"
    asks = f"{mark} read as `{yes}`, an empty cell as `{no}`: blank = {no}?"
    about = f"{where}, column {header.written}"
    guesses.append(Guess(about, f"{len(cells) - len(empty)} marked, {len(empty)} empty",
                         "please check", asks, 72))  # fmt: skip
    told = tuple(yes if c.strip() else no for c in cells)
    return Column(slug(header.words), header, told, False, asks=asks, tick=True)


def _with_strikes(columns: list[Column], where: str, guesses: list[Guess]) -> list[Column]:
    """Beside pins as a score sheet marks them, 1 for a strike and 0 for none, and so for spares."""
    made: list[Column] = []
    for column in columns:
        made.append(column)
        if not column.pins:
            continue
        written = column.header.written
        heads = column.heads or (written,)
        given = [c.strip().upper() for c in column.cells]
        strikes = tuple("" if not c else "1" if c.startswith("X") else "0" for c in given)
        spares = tuple(
            "" if not c or c.startswith("X") else "1" if "/" in c[:2] else "0" for c in given
        )
        made.append(Column("strike", Header(written, "strike"), strikes, True, heads=heads))
        if "1" in spares:
            made.append(Column("spare", Header(written, "spare"), spares, True, heads=heads))
        guesses.append(Guess(f"{where}, column {written}", "pins as a score sheet marks them: "
                             "1 or 0 for a strike and a spare beside them", "please check",
                             ", ".join(heads[:10]), 55))  # fmt: skip
    return renamed(made)


# -- one name, written one way ------------------------------------------------------------------


def one_spelling(tidied: list[Tidy]) -> list[Tidy]:
    """The tables with names that differ in case or spaces alone written one way, the commonest of
    the first table that has them: ``dunlin 4`` is no tenth ball.  Told beside each table."""
    one: dict[str, str] = {}
    for table in tidied:
        spelt: Counter[tuple[str, str]] = Counter()
        for column in filter(_names_things, table.columns):
            for name, times in Counter(column.values).items():
                spelt[_alike(column, name), name] += times
        for (key, name), _ in spelt.most_common():
            one.setdefault(key, name)
    found = []
    for table in tidied:
        columns, guesses = [], list(table.guesses)
        for column in table.columns:
            if _names_things(column):
                new = {name: one.get(_alike(column, name), name) for name in column.distinct}
                cells = tuple(new.get(c, c) for c in column.cells)
                other = dict.fromkeys(
                    (a, b) for a, b in zip(column.cells, cells, strict=True) if a != b
                )
                if other:
                    told = ", ".join(f"`{a}` as `{b}`" for a, b in list(other)[:5])
                    told += f", {len(other) - 5} more" if len(other) > 5 else ""
                    about = f"{table.where}, column {column.header.written or column.name}"
                    guesses.append(Guess(about, f"read {told}", "please check",
                                         "alike but for capitals or spaces: are they one?", 80,
                                         at_table=True))  # fmt: skip
                    column = replace(column, cells=cells)
            columns.append(column)
        found.append(replace(table, columns=tuple(columns), guesses=tuple(guesses)))
    return found


def _alike(column: Column, name: str) -> str:
    """What names that are one and the same have in common.  Of two letters or fewer (``No`` and
    ``no``, ``r`` and ``R``) only names within a column, and none that tells items apart: there
    ball A need not be ball a."""
    folded = re.sub(r"\s+", "", name).casefold()
    if len(folded) > 2:
        return folded
    tells = said(column.header) & (ITEM_WORDS | {"id", "code", "tag", "label", "name", "no", "nr"})
    return f"{column.name} {name if tells else folded}"


def _names_things(column: Column) -> bool:
    """Whether a column holds names: words, and neither marks, pins nor remarks."""
    words = set(column.header.words.casefold().split())
    return not (column.numeric or column.pins or column.sums or column.tick or words & REMARKS)
