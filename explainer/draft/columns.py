"""A column of a tidy table."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from explainer.draft.headers import ORDER_WORDS, Header
from explainer.draft.numbers import is_no_reading


@dataclass(frozen=True)
class Column:
    """A column of a tidy table; cells are text, numbers with a decimal point."""

    name: str
    header: Header
    cells: tuple[str, ...]
    numeric: bool
    counted: str = ""
    """For a column made from wide headers that do not say what they count: the word guessed."""
    marks: frozenset[str] = frozenset()
    """Cells of this column that are no numbers and stand for no reading, as written."""
    pins: bool = False
    """Frames or shots as a score sheet marks them: X, 9/, 7-."""
    heads: tuple[str, ...] = ()
    """The headers it was made from, where several columns of the sheet became one."""
    sums: bool = False
    """A total, an average, a place or a handicap: no reading."""
    empty: tuple[int, ...] = ()
    """Positions whose cell stood empty in the sheet and was filled from above."""

    def reads(self, cell: str) -> bool:
        """Whether a cell of this column holds something, and no mark for no reading."""
        return bool(cell) and cell not in self.marks and not is_no_reading(cell)

    @cached_property
    def values(self) -> list[str]:
        return [c for c in self.cells if self.reads(c)]

    @cached_property
    def numbers(self) -> list[float]:
        return [float(c) for c in self.values] if self.numeric else []

    @cached_property
    def distinct(self) -> list[str]:
        return list(dict.fromkeys(self.values))

    @cached_property
    def whole(self) -> bool:
        return self.numeric and all(n.is_integer() for n in self.numbers)


def renamed(columns: list[Column]) -> list[Column]:
    """Every column under a name of its own: the second ``ra`` is ``ra_2``."""
    taken: set[str] = set()
    made = []
    for place, column in enumerate(columns, start=1):
        name = base = column.name or f"column_{place}"
        number = 2
        while name in taken:
            name, number = f"{base}_{number}", number + 1
        taken.add(name)
        made.append(replace(column, name=name))
    return made


def is_order(column: Column) -> bool:
    """Whether a column only numbers rows, going by its name."""
    words = set(column.header.words.casefold().replace("_", " ").split())
    return column.whole and bool(words & ORDER_WORDS)
