"""A column of a tidy table."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from explainer.draft.headers import ORDER_WORDS, Header
from explainer.draft.numbers import Writing, is_no_reading


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
    asks: str = ""
    """What only the author can say of its cells, as the draft asks it in study.yaml."""
    tick: bool = False
    """Made of a mark in some cells and nothing in the others."""

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


# Rows and columns that sum others up and are no readings: totals, averages, handicaps.

#: Words that head a row or column of sums (English, German, French, Spanish).
SUMS = frozenset(
    ["total", "totals", "subtotal", "sum", "sums", "gesamt", "summe", "somme", "suma", "tot", "ttl"]
)
#: Words that head one of averages or spreads.
MEANS = frozenset(
    ["mean", "means", "average", "averages", "avg", "ave", "median", "sd", "s.d.", "std", "stdev",
     "stddev", "se", "sem", "cv", "var", "variance", "range", "mittelwert", "mittel", "schnitt",
     "moyenne", "media", "promedio", "ø"]
)  # fmt: skip
#: Of these, the ones that are other words, too: alone they head a row, among others they may not.
_SHORT = frozenset(["se", "sem", "cv", "var", "range", "media", "mittel", "schnitt"])
#: Words for extremes and counts, which can be names as well (Max): such a row needs its numbers.
ENDS = frozenset(["min", "max", "n", "count", "minimum", "maximum"])
#: Words for a place, a handicap or a row's number: numbers that are no readings.
INDEXES = frozenset(
    ["pos", "position", "rank", "rk", "rnk", "place", "standing", "standings", "seed", "index",
     "idx", "hcp", "hdcp", "handicap", "platz", "rang", "row", "line", "#"]
)  # fmt: skip


Sum = Literal["no", "maybe", "yes"]


def words_of(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+(?:\.[^\W\d_]+)*\.?|#|ø", text.casefold())


#: Words for a whole, which sum up where the others of their column are persons.
_WHOLES = frozenset(["team", "club", "house", "league", "field", "lane", "mannschaft", "pair"])
_PERSONS = frozenset(["bowler", "player", "name", "spieler", "joueur", "person", "member"])


def is_summary(text: str, head: set[str] | frozenset[str] = frozenset()) -> bool:
    """Whether a label says that its row sums others up: ``Total``, ``League average``, ``all``;
    and ``Team`` under a head (its words) of persons."""
    words = [w.rstrip(".") if w not in MEANS else w for w in words_of(text)]
    if not words or len(words) > 4 or re.match(r"[*†‡]", text):
        return False
    if len(words) == 1 and head & _PERSONS and words[0] in _WHOLES:
        return True
    if len(words) == 1:
        return words[0] in SUMS | MEANS | {"overall", "all", "everyone"}
    known = SUMS | (MEANS - _SHORT)
    return words[0] in known or words[-1] in known or words[0] in ("overall", "all")


def sums_in_words(cell: str) -> bool:
    """Whether a cell says that its own number sums others up: ``Avg 46``, ``Total: 1,310``."""
    found = re.fullmatch(r"([^\W\d_]+\.?)[\s:=]*[-+]?\d[\d.,' ]*", cell.strip())
    return found is not None and found[1].casefold().rstrip(".") in SUMS | MEANS


def sums_up(
    above: Sequence[Sequence[str]], cells: Sequence[str], numeric: set[int], writing: Writing,
    names: Sequence[int],
) -> Sum:  # fmt: skip
    """Whether a row without a name (or called min, max, n) holds the sums, means or ends of the
    rows above it, in every column of numbers and in two or more of them.

    ``maybe`` where regular readings would come out so, too: each column by another sum, all of them
    columns that stand still, or below rows that have no name either (a name often stands once,
    ahead of all readings of its ball).  Such a row is a reading until somebody says otherwise.
    """
    called = [cells[i] for i in names if cells[i]]
    ends = [c for c in called if c.casefold().strip(" .:") in ENDS]
    if (called and not ends) or len(above) < 3:
        return "no"
    checked = [
        _sums_of([row[i] for row in above], cells[i], writing)
        for i in sorted(numeric) if i < len(cells) and cells[i]
    ]  # fmt: skip
    if len(checked) < (1 if ends else 2) or not all(fits for fits, _ in checked):
        return "no"
    if ends:
        return "yes"
    alike = frozenset.intersection(*(fits for fits, _ in checked))
    named = all(any(row[i] for i in names if i < len(row)) for row in above)
    return "yes" if alike and named and any(moves for _, moves in checked) else "maybe"


#: Of the words for averages and spreads, those that are a plain average.
_AVERAGES = frozenset(
    ["mean", "means", "average", "averages", "avg", "ave", "mittelwert", "schnitt", "moyenne",
     "promedio", "ø"]
)  # fmt: skip


def misprinted(
    label: str, cells: Sequence[str], stretches: Sequence[Sequence[Sequence[str]]],
    columns: Iterable[int], writing: Writing,
) -> list[tuple[int, str, str]]:  # fmt: skip
    """Where a row of totals or averages says something else than its rows give: (column, as
    printed, as worked out from the first of ``stretches``).

    ``stretches``: the rows it may sum up, each as cells; ``columns``: those it may sum up, which
    is none of averages, since these may rest on different numbers of readings.  A last digit that
    was cut off and not rounded is no fault.
    """
    words = {w.rstrip(".") for w in words_of(label)}
    averages, totals = bool(words & _AVERAGES), bool(words & SUMS)
    if averages == totals:
        return []
    found = []
    for i in sorted(columns):
        printed = writing.read(cells[i]) if i < len(cells) else None
        if printed is None:
            continue
        worked = [_worked([row[i] for row in rows], writing, averages) for rows in stretches]
        known = [w for w in worked if w is not None]
        places = len(printed[0].partition(".")[2])
        if known and all(abs(float(printed[0]) - w) > 10.0**-places for w in known):
            found.append((i, cells[i], f"{known[0]:.{places + averages}f}"))
    return found


def _worked(column: Sequence[str], writing: Writing, average: bool) -> float | None:
    """The total or average of the numbers in a column's cells, of two or more."""
    given = [float(r[0]) for c in column if c and (r := writing.read(c)) is not None]
    if len(given) < 2:
        return None
    return sum(given) / len(given) if average else sum(given)


def _sums_of(above: Sequence[str], cell: str, writing: Writing) -> tuple[frozenset[str], bool]:
    """By which sums a cell sums up those above it, and whether those differ at all."""
    read = writing.read(cell)
    given = [float(r[0]) for c in above if (r := writing.read(c)) is not None]
    if read is None or len(given) < 3:
        return frozenset(), False
    value = float(read[0])
    step = 0.51 * 10.0 ** -len(read[0].partition(".")[2])
    sums = {"sum": sum(given), "mean": sum(given) / len(given), "min": min(given),
            "max": max(given), "count": float(len(given))}  # fmt: skip
    fits = frozenset(name for name, s in sums.items() if abs(value - s) <= step)
    return fits, max(given) > min(given)
