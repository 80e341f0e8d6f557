"""A grid made tidy: one row per reading, numbers with a point, no wide columns."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from dataclasses import dataclass, field, replace

from explainer.study.drafting.grid import Grid
from explainer.study.drafting.guess import Guess, Sure
from explainer.study.drafting.headers import ORDER_WORDS, USE_WORDS, Header, Step, parse, slug, step
from explainer.study.drafting.numbers import is_no_reading


@dataclass(frozen=True)
class Column:
    """A column of a tidy table; cells are text, numbers with a decimal point."""

    name: str
    header: Header
    cells: tuple[str, ...]
    numeric: bool
    counted: str = ""
    """For a column made from wide headers that do not say what they count: the word guessed."""

    @property
    def values(self) -> list[str]:
        return [c for c in self.cells if c and not is_no_reading(c)]

    @property
    def numbers(self) -> list[float]:
        return [float(c) for c in self.values] if self.numeric else []

    @property
    def distinct(self) -> list[str]:
        return list(dict.fromkeys(self.values))

    @property
    def whole(self) -> bool:
        return self.numeric and all(n == int(n) for n in self.numbers)


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


def tidy(grid: Grid) -> Tidy:
    """``grid`` with its numbers, names and shape put in order."""
    headers = [_header(parts) for parts in grid.headers]
    cells = [[row[i] for _, row in grid.rows] for i in range(len(headers))]
    guesses = list(grid.guesses)
    columns: list[Column] = []
    for i, header in enumerate(headers):
        if not header.written and not any(cells[i]):
            continue
        columns.append(_column(grid, i, header, cells[i], guesses))
    columns = _named(columns)
    columns, wide = _long(grid.file, columns, guesses)
    marks = dict.fromkeys(
        c for col in columns if col.numeric for c in col.cells if c and is_no_reading(c)
    )
    if marks:
        guesses.append(
            Guess(grid.file, f"no reading where a cell holds {', '.join(marks)}", "likely")
        )
    return Tidy(
        grid.file, tuple(columns), tuple(guesses), tuple(marks), wide,
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


def _column(grid: Grid, i: int, header: Header, cells: list[str], guesses: list[Guess]) -> Column:
    """A column's cells as numbers where most of them are."""
    where = f"{grid.file}, column {header.written or i + 1}"
    given = [c for c in cells if c and not is_no_reading(c)]
    read = {c: grid.writing.read(c) for c in set(given)}
    good = sum(read[c] is not None for c in given)
    if not given or good < 0.8 * len(given):
        if cells[0] and "" in cells and not any(map(is_no_reading, filter(None, cells))):
            guesses.append(Guess(where, "empty cells filled from the one above", "please check"))
            cells = _filled_down(cells)
        return Column(slug(header.words), header, tuple(cells), numeric=False)
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


def _filled_down(cells: list[str]) -> list[str]:
    filled, last = [], ""
    for cell in cells:
        last = cell or last
        filled.append(last)
    return filled


def _named(columns: list[Column]) -> list[Column]:
    """Every column under a name of its own."""
    taken: set[str] = set()
    named = []
    for i, column in enumerate(columns, start=1):
        name = base = column.name or f"column_{i}"
        n = 2
        while name in taken:
            name, n = f"{base}_{n}", n + 1
        taken.add(name)
        named.append(Column(name, column.header, column.cells, column.numeric))
    return named


# -- wide tables -------------------------------------------------------------------------------


def _long(file: str, columns: list[Column], guesses: list[Guess]) -> tuple[list[Column], bool]:
    """Columns that differ by a number in their headers, turned into rows."""
    steps = {c.name: s for c in columns if c.numeric and (s := step(c.header)) is not None}
    stems: dict[str, dict[float, Column]] = defaultdict(dict)
    for column in columns:
        if column.name in steps:
            found = steps[column.name]
            stems[found.stem.casefold()].setdefault(found.number, column)
    stems = {k: v for k, v in stems.items() if len(v) >= 2}
    if not stems:
        return columns, False
    points = sorted({n for by in stems.values() for n in by})
    of_stems = {c.name for by in stems.values() for c in by.values()}
    counted, sure = _counted([s for n, s in steps.items() if n in of_stems], points)
    made = _melted(file, columns, stems, steps, points, counted)
    if sure == "please check":
        made = [replace(c, counted=counted) if c.name == counted else c for c in made]
    names = ", ".join(c.name for c in made if c.name not in {c.name for c in columns} | {counted})
    guesses.append(
        Guess(file, f"a column per {counted} turned into rows: {names} at "
              f"{', '.join(f'{p:g}' for p in points[:12])}", sure)
    )  # fmt: skip
    return made, True


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
    return _renamed(made)


def _renamed(columns: list[Column]) -> list[Column]:
    taken: dict[str, int] = {}
    made = []
    for c in columns:
        taken[c.name] = taken.get(c.name, 0) + 1
        name = c.name if taken[c.name] == 1 else f"{c.name}_{taken[c.name]}"
        made.append(Column(name, c.header, c.cells, c.numeric, c.counted))
    return made


def is_order(column: Column) -> bool:
    """Whether a column only numbers rows, going by its name."""
    words = set(column.header.words.casefold().replace("_", " ").split())
    return column.whole and bool(words & ORDER_WORDS)
