"""Columns that sum up the ones beside them, told by their numbers."""

from __future__ import annotations

import re
from collections import Counter
from itertools import accumulate

from explainer.draft.columns import Column


def stem(column: Column) -> str:
    """Its head without numbers, which is all that tells wide readings apart."""
    return re.sub(r"\d+", "", column.header.words).strip().casefold()


def many_alike(stems: Counter[str], column: Column) -> bool:
    """Whether columns beside this one differ only by a number in their heads, as wide readings
    do; ``stems`` are those of all numeric ones."""
    own = stem(column) if column.numeric else None
    return any(n > 1 + (name == own) for name, n in stems.items())


#: Rows that are enough to see whether a column sums others up, and cells beside it in all: of a
#: wide sheet fewer rows do.
_ROWS_LOOKED_AT, _CELLS_LOOKED_AT = 300, 30_000


def addends_of(columns: list[Column]) -> dict[int, list[float | None]]:
    """What each column has to add in the rows that are looked at, by its ``id``."""
    rows = min(_ROWS_LOOKED_AT, _CELLS_LOOKED_AT // max(1, len(columns)))

    def addend(column: Column, cell: str) -> float | None:
        adds = column.reads(cell) and not column.sums
        return float(cell) if adds and re.fullmatch(r"[-+]?\d+(?:\.\d*)?", cell) else None

    return {id(c): [addend(c, cell) for cell in c.cells[:rows]] for c in columns}


def adding_up(
    column: Column, others: list[list[float | None]], called: bool
) -> dict[int, bool]:
    """Of each row with two cells beside this one or more, whether it is their sum or their mean;
    where it is not called so, their sum alone: a reading can be the mean of its like by chance."""
    fits: dict[int, bool] = {}
    for row, (cell, *beside) in enumerate(zip(column.cells, *others, strict=False)):
        numbers = [b for b in beside if b is not None]
        if not column.reads(cell) or len(numbers) < 2:
            continue
        step, value = 0.51 * 10.0 ** -len(cell.partition(".")[2]), float(cell)
        most = len(numbers) if len(numbers) <= 16 else 1  # of many, only those up to the last
        sums = ((total, n) for a in range(most)
                for n, total in enumerate(accumulate(numbers[a:]), 1) if n > 1)  # fmt: skip
        fits[row] = any(
            abs(value - total) <= step or (called and abs(value - total / n) <= step)
            for total, n in sums
        )
    return fits
