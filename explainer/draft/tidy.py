"""A grid made tidy: one row per reading, numbers with a point, no wide columns.

Wide tables (a column per checkpoint, per condition, or per item) are turned into rows: each way
looks at the columns and gives the tidy ones with what it guessed, or None.
"""

from __future__ import annotations

import csv
import io
import re
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from explainer.draft.columns import Column, renamed
from explainer.draft.grid import CellGrid
from explainer.draft.guess import Guess, Sure
from explainer.draft.headers import (
    ITEM_WORDS,
    MEASURE_WORDS,
    ORDER_WORDS,
    REMARKS,
    USE_WORDS,
    Header,
    Step,
    parse,
    slug,
    step,
)
from explainer.draft.numbers import is_no_reading

Found = tuple[list[Column], Guess]

#: Words that say in which state an item was read, where a header says nothing else of it.
STATES = frozenset(
    ["new", "used", "old", "before", "after", "fresh", "worn", "start", "end", "pre", "post",
     "initial", "final", "sanded", "unsanded", "polished", "dry", "oiled", "first", "last"]
)  # fmt: skip
#: A header that names one item: P1, T-12, "Ball 3".
_CODE = re.compile(r"([^\W\d_]+)[ _-]?\d+[a-z]?", re.IGNORECASE)


def long(file: str, columns: list[Column]) -> Found | None:
    """The first way that fits."""
    return next((f for way in WAYS if (f := way(file, columns)) is not None), None)


def per_item(file: str, columns: list[Column]) -> Found | None:
    """A first column of checkpoints or shots, and a column for each ball beside it."""
    first, *others = columns
    counted = next((w for w in _words(first) if w in USE_WORDS or w in ORDER_WORDS), "")
    if not counted or not first.numeric or len(others) < 2 or not all(c.numeric for c in others):
        return None
    stems = {m[1].casefold() if (m := _CODE.fullmatch(c.header.words)) else "" for c in others}
    if "" in stems or stems & (USE_WORDS.keys() | ORDER_WORDS | MEASURE_WORDS):
        return None
    unit = next((c.header.unit for c in others if c.header.unit), "")
    each = next(iter(stems & ITEM_WORDS), "ball")
    names = [c.header.words for c in others]
    words = slug(file.rsplit(".", 1)[0]).replace("_", " ")
    rows = [(c, r) for c in others for r in range(len(first.cells)) if c.cells[r]]
    made = [
        Column(each, Header(each, each), tuple(c.header.words for c, _ in rows), False),
        Column(first.name, first.header, tuple(first.cells[r] for _, r in rows), True),
        Column(slug(words), Header(words, words, unit), tuple(c.cells[r] for c, r in rows), True),
    ]
    shown = ", ".join(names[:6]) + (", …" if len(names) > 6 else "")
    what = f"a column per {each} turned into rows: {shown}"
    return renamed(made), Guess(file, what, "please check")


def per_checkpoint(file: str, columns: list[Column]) -> Found | None:
    """Columns that differ by a number in their headers."""
    steps = {c.name: s for c in columns if c.numeric and (s := step(c.header)) is not None}
    stems = _together(columns, steps)
    if not stems:
        return None
    points = sorted({n for by in stems.values() for n in by})
    of_stems = {c.name for by in stems.values() for c in by.values()}
    counted, sure = _counted([s for n, s in steps.items() if n in of_stems], points)
    made = _melted(file, columns, stems, steps, points, counted)
    if sure == "please check":
        made = [replace(c, counted=counted) if c.name == counted else c for c in made]
    names = ", ".join(c.name for c in made if c.name not in {c.name for c in columns} | {counted})
    what = f"a column per {counted} turned into rows: {names} at "
    return made, Guess(file, what + ", ".join(f"{p:g}" for p in points[:12]), sure)


def per_condition(file: str, columns: list[Column]) -> Found | None:
    """Columns that differ by a word for the state an item was in: Ra before, Ra after."""
    states: list[str] = []
    steps: dict[str, Step] = {}
    for column in columns:
        said = [w for w in column.header.words.split() if w.casefold() in STATES]
        if not column.numeric or len(said) != 1:
            continue
        state = said[0].casefold()
        if state not in states:
            states.append(state)
        stem = " ".join(w for w in column.header.words.split() if w != said[0])
        steps[column.name] = Step(stem, column.header.unit, float(states.index(state)), "condition")
    stems = _together(columns, steps)
    if not stems:
        return None
    points = sorted({n for by in stems.values() for n in by})
    made = [
        replace(c, cells=tuple(states[int(cell)] for cell in c.cells), numeric=False)
        if c.name == "condition" else c
        for c in _melted(file, columns, stems, steps, points, "condition")
    ]  # fmt: skip
    named = ", ".join(states[int(p)] for p in points)
    return made, Guess(file, f"a column per condition turned into rows: {named}", "likely")


WAYS: tuple[Callable[[str, list[Column]], Found | None], ...] = (
    per_item,
    per_checkpoint,
    per_condition,
)


def _words(column: Column) -> list[str]:
    return re.sub(r"[_.#]+", " ", column.header.words.casefold()).split()


def _together(columns: list[Column], steps: dict[str, Step]) -> dict[str, dict[float, Column]]:
    """Columns with the same words beside their number, by these words; two or more of each."""
    stems: dict[str, dict[float, Column]] = defaultdict(dict)
    for column in columns:
        if column.name in steps:
            found = steps[column.name]
            stems[found.stem.casefold()].setdefault(found.number, column)
    return {k: v for k, v in stems.items() if len(v) >= 2}


def _counted(steps: list[Step], points: list[float]) -> tuple[str, Sure]:
    """What the numbers in the headers count, and how sure that is."""
    said = next((s.counted for s in steps if s.counted), "")
    if said:
        return said, "likely"
    in_turn = points == [float(n) for n in range(1, len(points) + 1)]
    return ("reading" if in_turn else "games"), "please check"


def _melted(
    file: str, columns: list[Column], stems: dict[str, dict[float, Column]],
    steps: dict[str, Step], points: list[float], counted: str,
) -> list[Column]:  # fmt: skip
    melted = {c.name for by in stems.values() for c in by.values()}
    kept = [c for c in columns if c.name not in melted]
    n = len(columns[0].cells)
    where = [
        (row, p) for row in range(n) for p in points
        if any(p in by and by[p].cells[row] for by in stems.values())
    ]  # fmt: skip
    made = [Column(c.name, c.header, tuple(c.cells[r] for r, _ in where), c.numeric) for c in kept]
    made.append(Column(counted, Header(counted, counted), tuple(f"{p:g}" for _, p in where), True))
    for by in stems.values():
        first = next(iter(by.values()))
        words = steps[first.name].stem or slug(file.rsplit(".", 1)[0]).replace("_", " ")
        unit = next((c.header.unit for c in by.values() if c.header.unit), "")
        cells = tuple(by[p].cells[r] if p in by else "" for r, p in where)
        made.append(Column(slug(words), Header(first.header.written, words, unit), cells, True))
    return renamed(made)


@dataclass(frozen=True)
class Tidy:
    """One file, tidy."""

    original: str
    columns: tuple[Column, ...]
    guesses: tuple[Guess, ...]
    missing: tuple[str, ...] = ()
    """Marks that stand for no reading, as written."""
    wide: bool = False
    rows: str = field(default="")
    """The rows of the original the readings stand in: ``rows 5 to 16``."""

    def column(self, name: str) -> Column:
        return next(c for c in self.columns if c.name == name)

    def to_csv(self) -> bytes:
        out = io.StringIO(newline="")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow([c.name for c in self.columns])
        writer.writerows(zip(*(c.cells for c in self.columns), strict=True))
        return out.getvalue().encode("utf-8")


def tidy(grid: CellGrid) -> Tidy:
    """``grid`` with its numbers, names and shape put in order."""
    headers = [_header(parts) for parts in grid.headers]
    cells = [[row[i] for _, row in grid.rows] for i in range(len(headers))]
    guesses = list(grid.guesses)
    columns: list[Column] = []
    for i, header in enumerate(headers):
        if not header.written and not any(cells[i]):
            continue
        columns.append(_column(grid, i, header, cells[i], guesses))
    columns = renamed(columns)
    found = long(grid.file, columns)
    if found is not None:
        columns, guess = found
        guesses.append(guess)
    marks = dict.fromkeys(
        c for col in columns if col.numeric for c in col.cells if c and is_no_reading(c)
    )
    if marks:
        guesses.append(
            Guess(grid.file, f"no reading where a cell holds {', '.join(marks)}", "likely")
        )
    return Tidy(
        grid.file, tuple(columns), tuple(guesses), tuple(marks), found is not None,
        f"rows {grid.rows[0][0]} to {grid.rows[-1][0]}",
    )  # fmt: skip


def _header(parts: tuple[str, ...]) -> Header:
    """Header cells from top to bottom as one: a unit may stand in any of them."""
    parsed = [parse(p) for p in dict.fromkeys(parts)]
    unit = next((h.unit for h in parsed if h.unit), "")
    words = [h.words for h in parsed]
    if len(parsed) > 1 and not unit:
        alone = [w for w in words[1:] if parse(f"x ({w})").unit and w.casefold() not in USE_WORDS]
        if alone:
            unit = parse(f"x ({alone[0]})").unit
            words.remove(alone[0])
    return Header(" ".join(parts), " ".join(filter(None, words)), unit)


def _column(
    grid: CellGrid, i: int, header: Header, cells: list[str], guesses: list[Guess]
) -> Column:
    """A column's cells as numbers where most of them are."""
    where = f"{grid.file}, column {header.written or i + 1}"
    given = [c for c in cells if c and not is_no_reading(c)]
    read = {c: grid.writing.read(c) for c in set(given)}
    good = sum(read[c] is not None for c in given)
    if not given or good < 0.8 * len(given):
        if _looks_measured(header, given):
            guesses.append(Guess(where, f"not read as numbers: {', '.join(given[:3])}",
                                 "please check", "left as it stands"))  # fmt: skip
        elif _stands_for_below(header, cells):
            guesses.append(Guess(where, "empty cells filled from the one above", "please check"))
            cells = _filled_down(cells)
        return Column(slug(header.words), header, tuple(cells), numeric=False)
    if _numbers_items(header, given) and _stands_for_below(header, cells):
        guesses.append(Guess(where, "empty cells filled from the one above", "please check"))
        cells = _filled_down(cells)
    numbers = {c: r[0] for c, r in read.items() if r is not None}
    behind = {r[1] for r in read.values() if r is not None and r[1]}
    if len(behind) == 1 and not header.unit:
        header = Header(header.written, header.words, parse(f"x ({behind.pop()})").unit)
    strange = sorted({c for c in given if read[c] is None})
    if strange:
        guesses.append(Guess(where, f"no number: {', '.join(strange[:5])}", "please check",
                             "left as it stands; proof names the rows"))  # fmt: skip
    return Column(slug(header.words), header, tuple(numbers.get(c, c) for c in cells),
                  numeric=not strange)  # fmt: skip


def _looks_measured(header: Header, given: list[str]) -> bool:
    """Whether a column should have held numbers: its header has a unit, or most cells begin so."""
    begins = sum(bool(re.match(r"[<>~≈±+−-]?\s*\d+[.,]?\d*\s*(\D|$)", c)) for c in given)
    return bool(given) and begins > (0.5 if header.unit else 0.8) * len(given)


def _numbers_items(header: Header, given: list[str]) -> bool:
    """Whether whole numbers without a unit name items: sample 1, written once for its rows."""
    named = set(header.words.casefold().replace("_", " ").split()) & ITEM_WORDS
    return bool(named) and not header.unit and all(c.isdigit() for c in given)


def _stands_for_below(header: Header, cells: list[str]) -> bool:
    """Whether empty cells mean the one above: names written once for each block of rows."""
    if set(header.words.casefold().split()) & REMARKS:
        return False
    return bool(cells[0]) and "" in cells and not any(map(is_no_reading, filter(None, cells)))


def _filled_down(cells: list[str]) -> list[str]:
    filled, last = [], ""
    for cell in cells:
        last = cell or last
        filled.append(last)
    return filled
