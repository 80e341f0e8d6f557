"""What each column of a table is for, as far as the description says.

A column's role follows from its name: the item, the checkpoint, a measure, an order or repeat
number, a condition.  Columns that nothing names are not read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from explainer.study.description import figures as fig
from explainer.study.description.figures import AnyFigure
from explainer.study.description.sources import Design, Measure, TableFile, Tested, Use
from explainer.study.description.study import Description
from explainer.study.description.tests import AnyTest


@dataclass(frozen=True)
class Roles:
    """The columns of one table that something names, by their names in the description."""

    item: str
    use: Use | None
    group: str | None
    order: str | None
    text: tuple[str, ...]
    """Item, group, operator and condition columns."""
    numbers: tuple[str, ...]
    """Measures, use, order, repeats, counts, distances, boards, printed spreads."""
    measures: tuple[str, ...]
    """Measures read from the file, in the description's order."""
    values: tuple[str, ...]
    """Columns in which a reading may be missing: all numbers that are not keys."""
    keys: tuple[str, ...]
    """Columns that tell rows apart."""
    numbered: bool
    """Whether a key numbers rows, so that two rows alike in all keys are one row twice."""
    nest: tuple[str, ...] = ()
    """The columns that together name an item, outermost first."""


def tested_of(description: Description, table: TableFile) -> Tested:
    return table.tested or description.tested


def derived(description: Description) -> Iterator[tuple[str, Measure]]:
    """The measures that are worked out, by name."""
    return ((name, m) for name, m in description.measures.items() if m.derived is not None)


def _blocks(description: Description) -> Iterator[AnyTest | AnyFigure]:
    """Every figure and test."""
    yield from description.figures
    yield from (test for claim in description.claims for test in claim.all_tests)


def conditions(description: Description) -> set[str]:
    """Columns that hold words: who, which group, under what condition."""
    names = {description.tested.group}
    names |= {t.tested.group for t in description.tables.values() if t.tested}
    for stated in description.stated:
        if stated.compute is not None:
            names |= {stated.compute.by, stated.compute.share}
    names |= {name for block in _blocks(description) for name in block.named(block.sorting)}
    names |= restricting(description) | held_alike(description)
    return {name for name in names if name}


def held_alike(description: Description) -> set[str]:
    """Columns that a claim wants held alike and that are no measure."""
    given = (getattr(block, "given", None) or () for block in _blocks(description))
    return {name for names in given for name in names} - set(description.measures)


def restricting(description: Description) -> set[str]:
    """Columns by which a figure, a test or a printed number picks its rows."""
    picks = [block.only for block in _blocks(description)]
    picks += [entry.compute.only for entry in description.stated if entry.compute is not None]
    picks += [design.picked_alone for design in _designs(description)]
    return {column for only in picks for column in only or ()}


def choosing(description: Description) -> set[str]:
    """What items are said to have been picked by: measures, columns, or words of the author's."""
    chosen = {design.picked_by for design in _designs(description)}
    return {name for name in chosen if name}


def _designs(description: Description) -> list[Design]:
    """Every place that says how items came to be where they are."""
    tables = list(description.tables.values())
    return [description.tested, *tables, *(t.tested for t in tables if t.tested is not None)]


def operators(description: Description, table: str) -> set[str]:
    """Columns that some gauge figure or test of a table names as its operators."""
    blocks = (b for b in _blocks(description) if getattr(b, "table", None) in (None, table))
    named = {getattr(block, "operator", None) for block in blocks}
    return {name for name in named if name}


def numbering(description: Description) -> set[str]:
    """Columns that number rows: orders and repeats."""
    orders = {table.order for table in description.tables.values()}
    orders |= {name for block in _blocks(description) for name in block.named(block.numbering)}
    return {order for order in orders if order}


def counts(description: Description) -> set[tuple[str, str]]:
    """Pairs of columns that count successes and attempts."""
    pairs = (block.named(block.counting) for block in _blocks(description))
    computed = (entry.compute for entry in description.stated if entry.compute is not None)
    rates = {(c.rate, c.of) for c in computed if c.rate is not None and c.of is not None}
    return {(pair[0], pair[1]) for pair in pairs if pair} | rates


def tried(description: Description) -> set[str]:
    """Columns whose successes and attempts a figure or a test counts, one by one."""
    return {name for block in _blocks(description) for name in block.named(block.counting)}


def path_columns(description: Description, table: str) -> tuple[set[str], set[str]]:
    """(columns of feet down the lane, columns of boards) in a table of ball paths."""
    feet, boards = set(), set()
    for figure in description.figures:
        if isinstance(figure, fig.BallPaths) and figure.table == table:
            feet.add(figure.distance)
            boards.add(figure.board)
    for _, measure in derived(description):
        if measure.derived is not None and measure.derived.path == table:
            feet.add(measure.derived.distance)
            boards.add(measure.derived.board)
    return feet, boards


def all_names(description: Description) -> set[str]:
    """Every name a column can be called by in this description."""
    names = {n for n, m in description.measures.items() if m.derived is None}
    names |= conditions(description) | numbering(description)
    names |= {name for pair in counts(description) for name in pair} | choosing(description)
    names |= set(description.tested.nest) | ({description.use.column} if description.use else set())
    for name, table in description.tables.items():
        feet, boards = path_columns(description, name)
        names |= feet | boards | set(tested_of(description, table).nest)
        if table.use is not None:
            names.add(table.use.column)
        names |= printed(table)
    return names


def printed(table: TableFile) -> set[str]:
    """The columns that say, beside each printed average, how far readings spread and how many."""
    rows = table.rows_are
    names = (rows.sd, rows.mean_of) if rows is not None else ()
    return {name for name in names if isinstance(name, str)}


def roles_of(description: Description, name: str, header: tuple[str, ...]) -> Roles:
    """The roles of the columns in ``header`` (after renaming) of the table called ``name``.

    A column named by the table itself keeps its role even where ``header`` lacks it; whether it
    is there is checked elsewhere.
    """
    table = description.tables[name]
    tested = tested_of(description, table)
    use = table.use or description.use
    if use is not None and table.use is None and use.column not in header:
        use = None
    group = tested.sorted_by if tested.sorted_by in header else None
    order = table.order if table.order in header else None
    feet, boards = path_columns(description, name)
    measures = tuple(
        m for m, measure in description.measures.items()
        if m in header and measure.derived is None
    )  # fmt: skip
    counted = {c for pair in counts(description) for c in pair}
    spread = printed(table)
    keyed = numbering(description) - {*measures, *tested.nest}
    numbered = [c for c in header if c in keyed]
    keys_by_number = [*([use.column] if use is not None else []), *numbered]
    chosen = choosing(description) - conditions(description) - {*tested.nest, *keys_by_number}
    values = set(measures) | counted | boards | spread | chosen
    numbers = set(keys_by_number) | values | feet
    text = (set(tested.nest) | conditions(description)) - numbers

    def present(wanted: set[str]) -> tuple[str, ...]:
        return tuple(column for column in header if column in wanted)

    return Roles(
        tested.item, use, group, order,
        text=present(text),
        numbers=present(numbers),
        measures=measures,
        values=tuple(c for c in present(values) if c not in keys_by_number),
        keys=present(text | set(keys_by_number) | feet),
        numbered=bool(numbered) or order is not None,
        nest=tested.nest,
    )  # fmt: skip


# Columns that say how, where or by whom a reading was taken, and not what was tested.
# They need no mention in study.yaml: what goes with a comparison is found from the columns that
# are there, and only those are read whose name says what they hold.

#: Words of a column's name: who read, or with what; and where.
READERS = ("operator", "tester", "technician", "inspector", "appraiser", "reader", "measured by",
           "read by")  # fmt: skip
INSTRUMENTS = ("desk", "gauge", "gage", "instrument", "device", "durometer")
WHO = (*READERS, *INSTRUMENTS)
WHEN = ("order", "turn", "sequence", "day", "date", "night", "time", "hour", "half", "week",
        "month", "visit")  # fmt: skip
KIND = ("model", "kind", "type", "class", "version", "material", "cover", "make")
WHOSE = ("ball", "sample", "specimen")
WHERE = ("lane", "session", "machine", "house", "center", "centre", "station", "squad")


def nuisances(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold who, with what, or where."""
    return tuple(column for column in header if _says(column, (*WHO, *WHERE)))


def of_time(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold when, or what came first."""
    return tuple(column for column in header if _says(column, WHEN))


def of_kind(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold what kind of item one is."""
    return tuple(column for column in header if _says(column, KIND))


def of_whose(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold what was read, of which an item may be a part."""
    return tuple(column for column in header if _says(column, WHOSE))


def reads(column: str) -> bool:
    """Whether the name of a column says that it holds who took a reading."""
    return _says(column, READERS)


def takes_readings(column: str) -> bool:
    """Whether the name of a column says that it holds who took a reading, or with what."""
    return _says(column, WHO)


def says_how(column: str) -> bool:
    """Whether the name of a column says when, where, with or on what, and not a word more: lane,
    lane_no."""
    words = re.sub(r"[^a-z]+", " ", column.casefold()).split()
    said = " ".join(word for word in words if word not in ("id", "no", "nr", "number"))
    return said.removesuffix("s") in (*INSTRUMENTS, *WHERE, *WHEN, *KIND, *WHOSE)


def looked_at(header: Iterable[str]) -> tuple[str, ...]:
    """The columns that are kept though nothing names them, in their order."""
    return tuple(column for column in header if _says(column, (*WHO, *WHERE, *WHEN, *KIND, *WHOSE)))


def _says(column: str, known: Iterable[str]) -> bool:
    words = re.sub(r"[^a-z]+", " ", column.lower()).strip()
    return any(re.search(rf"\b{word}s?\b", words) for word in known)
