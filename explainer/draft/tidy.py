"""A grid made tidy: one row per reading, numbers with a point, no wide columns."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field

from explainer.draft.across import long
from explainer.draft.columns import Column, renamed
from explainer.draft.grid import Grid
from explainer.draft.guess import Guess
from explainer.draft.headers import REMARKS, USE_WORDS, Header, parse, slug
from explainer.draft.numbers import is_no_reading


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


def _column(grid: Grid, i: int, header: Header, cells: list[str], guesses: list[Guess]) -> Column:
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
