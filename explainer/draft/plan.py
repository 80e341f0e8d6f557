"""What a study of some tidy tables could say: measures, figures and claims to confirm."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from explainer import units
from explainer.draft.columns import Column
from explainer.draft.guess import Guess, quoted
from explainer.draft.headers import MOST_LETTERS, USE_WORDS, slug, unit_in
from explainer.draft.parts import Parts, parts_of
from explainer.draft.tidy import Tidy, one_spelling

#: A name to the glossary's (term, unit), None where it has no such term.
FindTerm = Callable[[str], tuple[str, str] | None]

#: Short headers, and what bench people mean by them (common practice, no source).
_MEANT = {
    "hook": "total hook", "speed": "ball speed", "weight": "ball weight", "ra": "cover roughness",
    "rz": "peak-to-valley height", "duro": "hardness", "shore": "hardness", "revs": "rev rate",
    "roughness": "cover roughness", "texture": "cover roughness", "entry": "entry angle",
}  # fmt: skip
_WAYS = {
    "cover roughness": ("rougher", "smoother"), "average roughness": ("rougher", "smoother"),
    "hardness": ("harder", "softer"), "total hook": ("more hook", "less hook"),
    "ball speed": ("faster", "slower"), "ball weight": ("heavier", "lighter"),
}  # fmt: skip
_MOST_MEASURES = 6


@dataclass(frozen=True)
class MeasurePlan:
    name: str
    term: str
    unit: str
    confirm: str
    """What the author should look at; empty where the file says it all."""
    known: bool
    """Whether the glossary has its term."""
    asks: str
    """What only the author can say of its name; empty where a head names it."""
    step: str
    """The smallest step seen in the readings."""
    offered: str = ""
    """A unit that a note of the sheet names, to be offered and not taken."""
    gauge: str = ""
    """What a note of the sheet says of how far readings are off; empty where none does."""


@dataclass(frozen=True)
class TablePlan:
    """One table: its tidy data under final column names, and what each is for."""

    name: str
    file: str
    tidy: Tidy
    parts: Parts

    def apart(self, main: TablePlan) -> bool:
        """Whether its items are none of the main table's."""
        own, others = self.parts.item, main.parts.item
        return own.name != others.name or not set(own.distinct) & set(others.distinct)


@dataclass(frozen=True)
class Proposal:
    """A figure and the claim it could show, as keys and values."""

    figure: dict[str, Any]
    claim: dict[str, Any]
    asks: str
    """The question the claim answers, in words."""


@dataclass(frozen=True)
class Picked:
    """A note that says how a group was picked: ``clinic: the seven lowest asked first``."""

    note: str
    table: str
    column: str
    value: str
    by: str
    """The measure whose own readings seem to have picked it; empty for volunteers and the like."""

    @property
    def asks(self) -> str:
        return f"the sheet says {quoted(self.note)}: how was the group `{self.value}` picked?"


@dataclass(frozen=True)
class Plan:
    name: str
    tables: tuple[TablePlan, ...]
    measures: tuple[MeasurePlan, ...]
    proposals: tuple[Proposal, ...]
    guesses: tuple[Guess, ...]
    in_order: tuple[TablePlan, ...] = ()
    """The tables as they stand in the files."""
    made_up: str = ""
    """The words of a sheet that say its data is made up; empty where none does."""
    picked: Picked | None = None
    """How one group was picked, where a note of the sheets says so."""


def plan(name: str, tidied: list[Tidy], find_term: FindTerm) -> Plan:
    """What a study of these tables could say.  Everything in it is for the author to confirm."""
    tables: list[TablePlan] = []
    guesses: list[Guess] = []
    for tidy in one_spelling(tidied):
        table = _table(tidy, {t.name for t in tables})
        tables.append(table)
        guesses += [*tidy.guesses, *table.parts.guesses]
    order = {table.name: n for n, table in enumerate(tables)}
    tables.sort(key=lambda t: t.parts.use is None)  # what the study is about comes first
    tables = _told_apart(_named_alike(tables, find_term))
    measures = _with_notes(_measures(tables, find_term), tables)
    for table in tables:
        if table.parts.path:
            measures.setdefault("total_hook", _derived_hook())
    proposals = tuple(p for t in tables for p in _proposals(t, measures))
    for measure in measures.values():
        if measure.confirm:
            guesses.append(Guess(measure.name, f"in {units.plural(measure.unit)}", "please check",
                                 measure.confirm, 40))  # fmt: skip
    picked = _picked(tables)
    if picked is not None:
        where = next(t for t in tables if t.name == picked.table)
        why = f"until answered, taken as picked by its {picked.by}" if picked.by else \
            "as its members wished, by chance, by an earlier reading?"  # fmt: skip
        guess = Guess(where.tidy.where, picked.asks, "please check", why, 78,
                      at_table=not picked.by)  # fmt: skip
        guesses.append(guess)
        if guess.at_table:
            own = replace(where.tidy, guesses=(*where.tidy.guesses, guess))
            tables = [replace(t, tidy=own) if t is where else t for t in tables]
    in_order = tuple(sorted(tables, key=lambda t: order[t.name]))
    said = (n for t in tables for n in (*t.tidy.notes, t.tidy.title, t.tidy.sheet, t.tidy.original))
    return Plan(name, tuple(tables), tuple(measures.values()), _apart(proposals), tuple(guesses),
                in_order, next(filter(_MADE_UP.search, said), ""), picked)  # fmt: skip


#: Words for a group that its own readings picked, and for one that was picked in any other way.
_BY_ITSELF = re.compile(
    r"\b(lowest|highest|worst|best|weakest|strongest|poorest|slowest|fastest|roughest|smoothest|"
    r"hardest|softest|below average|above average)\b", re.IGNORECASE,
)  # fmt: skip
_PICKED = re.compile(
    r"\b(volunteer\w*|picked|chosen|selected|asked|signed up|wanted to|who came|by choice)\b",
    re.IGNORECASE,
)


def _picked(tables: list[TablePlan]) -> Picked | None:
    """The first note that names a group of its table and says how it was picked."""
    for table in tables:
        sorts = [c for c in table.tidy.columns if c.tick or c is table.parts.group]
        named = [
            (column, value) for column in sorts for value in column.distinct
            if not (column.tick and value.startswith("not ")) and len(value) > 2
        ]  # fmt: skip
        for note in table.tidy.notes:
            itself = _BY_ITSELF.search(note) is not None
            found = next((n for n in named if re.search(
                rf"\b{re.escape(n[1])}\b", note, re.IGNORECASE)), None)  # fmt: skip
            if found is None or not (itself or _PICKED.search(note)):
                continue
            read = [c.name for c in table.parts.measures]
            said = [name for name in read if name.replace("_", " ") in note.casefold()]
            by = next(iter([*said, *read]), "") if itself else ""
            return Picked(note, table.name, found[0].name, found[1], by)
    return None


#: What people write over data that nobody measured.
_MADE_UP = re.compile(r"\b(made[ -]?up|invented|fictional|fictitious|fake data|dummy data)\b", re.I)
#: How a note says how far readings are off: gauge reads +/-2, accuracy ± 0.5.
#: Or in words: gauge good to 2, accurate to within 0.5.
_OFF_BY = re.compile(
    r"(?:\+/-|\+-|±)\s?\d|\b(?:good|accura\w+|precise|repeats?|repeatab\w+)\s+(?:to|within)\s+"
    r"(?:within\s+)?[.\d]", re.IGNORECASE,
)  # fmt: skip


def _with_notes(
    measures: dict[str, MeasurePlan], tables: list[TablePlan]
) -> dict[str, MeasurePlan]:
    """Measures without a unit with what a note of their table says of it, as an answer offered and
    none taken; and with what it says of the gauge.

    A note that names one of the table's measures is about that one alone.
    """
    made = dict(measures)
    for table in tables:
        names = [c.name for c in table.parts.measures]
        for note in table.tidy.notes:
            words = set(re.findall(r"[^\W\d_]{3,}", note.casefold()))
            own = [n for n in names if words & set(made[n].term.casefold().split())] or names
            unit = unit_in(note)
            for name in own:
                m = made[name]
                if unit and m.unit == "count" and m.confirm and not m.offered:
                    confirm = f"its head names no unit; the sheet says {quoted(note)}"
                    confirm += f": is it `{unit}`?"
                    made[name] = m = replace(m, confirm=confirm, offered=unit)
                if _OFF_BY.search(note) and not m.gauge:
                    made[name] = replace(m, gauge=note)
    return made


def _measures(tables: list[TablePlan], find_term: FindTerm) -> dict[str, MeasurePlan]:
    """Each measure once, in the order of the tables; of its columns one whose header has a unit
    speaks for it."""
    read = [column for table in tables for column in table.parts.measures]
    speaks: dict[str, Column] = {}
    for column in read:
        known = speaks.setdefault(column.name, column)
        if column.header.unit and not known.header.unit:
            speaks[column.name] = column
    return {name: _measure(column, find_term) for name, column in speaks.items()}


def _named_alike(tables: list[TablePlan], find_term: FindTerm) -> list[TablePlan]:
    """Columns that mean one thing of the glossary take one name, that of the first table."""
    first: dict[str, str] = {}
    found = []
    for table in tables:
        new = {}
        taken = {c.name for c in table.tidy.columns}
        for column in table.parts.measures:
            plan = _measure(column, find_term)
            name = first.setdefault(plan.term, column.name) if plan.known else column.name
            if name not in taken:
                new[column.name] = replace(column, name=name)
                taken.add(name)
        found.append(_with(table, new))
    return found


def _with(table: TablePlan, new: Mapping[str, Column]) -> TablePlan:
    """The table with some of its measures' columns under other names."""
    columns = tuple(new.get(c.name, c) for c in table.tidy.columns)
    measures = tuple(new.get(c.name, c) for c in table.parts.measures)
    tidy = replace(table.tidy, columns=columns)
    return replace(table, tidy=tidy, parts=replace(table.parts, measures=measures))


def _told_apart(tables: list[TablePlan]) -> list[TablePlan]:
    """Columns of one name that cannot be one measure, since their units are of two kinds, get
    their unit into their names."""
    units_of: dict[str, str] = {}
    found = []
    for table in tables:
        new = {}
        for column in table.parts.measures:
            unit = column.header.unit
            first = units_of.get(column.name) or unit
            units_of[column.name] = first
            if unit and not units.alike(unit, first):
                new[column.name] = replace(column, name=f"{column.name}_{slug(unit)}")
        found.append(_with(table, new))
    return found


def _table(tidy: Tidy, taken: set[str]) -> TablePlan:
    """The item's column takes the word for one item as its name."""
    tidy, parts = parts_of(tidy)
    parts = _numbered_once(tidy, parts)
    each = slug(parts.each) or "item"
    others = {c.name for c in tidy.columns} - {parts.item.name}
    if each not in others and parts.outer is None:
        old, new = parts.item, replace(parts.item, name=each)
        tidy = replace(tidy, columns=tuple(new if c is old else c for c in tidy.columns))
        parts = replace(parts, item=new)
    tidy, parts = _set_in_units(tidy, parts)
    stem = tidy.stem
    name, n = stem, 2
    while name in taken:
        name, n = f"{stem}-{n}", n + 1
    return TablePlan(name, f"{name}.csv", tidy, parts)


def _set_in_units(tidy: Tidy, parts: Parts) -> tuple[Tidy, Parts]:
    """Conditions and groups that are numbers of a unit carry it in their names, which is where
    pages look for it: 18 of ``volume_ml`` is volume 18 mL."""
    new: dict[str, Column] = {}
    taken = {c.name for c in tidy.columns}
    group = (parts.group,) if parts.group else ()
    for column in (*parts.conditions, *group, *parts.sorts):
        name = f"{column.name}_{slug(column.header.unit)}"
        if column.numeric and column.header.unit and name not in taken and \
                not column.name.endswith(f"_{slug(column.header.unit)}"):
            new[column.name] = replace(column, name=name)

    def now(column: Column | None) -> Column | None:
        return column and new.get(column.name, column)

    return replace(tidy, columns=tuple(new.get(c.name, c) for c in tidy.columns)), replace(
        parts, condition=now(parts.condition), group=now(parts.group),
        further=tuple(new.get(c.name, c) for c in parts.further),
        sorts=tuple(new.get(c.name, c) for c in parts.sorts),
    )  # fmt: skip


def _numbered_once(tidy: Tidy, parts: Parts) -> Parts:
    """Without the order where it numbers two rows alike: they are repeats then, and averaged."""
    keys = [parts.item, parts.use, parts.order, parts.operator]
    keys += parts.conditions[:_MOST_CONDITIONS]
    rows = list(zip(*(c.cells for c in keys if c is not None), strict=True))
    if parts.order is None or len(set(rows)) == len(rows):
        return parts
    named = ", ".join(c.name for c in keys if c is not None)
    about = f"{tidy.where}, column {parts.order.header.written}"
    what = "not taken as an order, since two rows have the same number"
    why = f"nothing else tells rows of one {named} apart; they count as repeats"
    guess = Guess(about, what, "please check", why, 60)
    return replace(parts, order=None, guesses=(*parts.guesses, guess))


def _measure(column: Column, find_term: FindTerm) -> MeasurePlan:
    words = column.header.words.replace("_", " ").strip()[:MOST_LETTERS] or column.name
    if re.fullmatch(r"[A-Z][a-z]{2,}( [a-z]+)*", words):  # as sheets write heads: Exit angle
        words = words.casefold()
    meant = _MEANT.get(words.casefold(), words)
    found = find_term(meant) or find_term(words)
    term = found[0] if found else meant
    unit, confirm = column.header.unit, ""
    if not unit:  # never out of the glossary: a unit is taken only where it stands
        usual = found[1] if found and units.known(found[1]) else ""
        unit, confirm = "count", "the sheet names no unit; put it here if it has one"
        if words.casefold().endswith(" in"):
            confirm = "does `in` in its head mean inches? The sheet names no other unit"
        if usual and usual != "count":
            confirm += f" ({term} is usually in {units.plural(usual)})"
    places = max((len(c.partition(".")[2]) for c in column.values), default=0)
    step = "1" if not places else f"0.{'0' * (places - 1)}1"
    return MeasurePlan(column.name, term, unit, confirm, found is not None, column.asks, step)


def _derived_hook() -> MeasurePlan:
    return MeasurePlan("total_hook", "total hook", "board", "", True, "", "0.5")


# -- what could be shown and claimed -----------------------------------------------------------


def _proposals(table: TablePlan, measures: dict[str, MeasurePlan]) -> list[Proposal]:
    """For each measure, the first way to look at it that the table allows."""
    made: list[Proposal] = []
    parts = table.parts
    if parts.counts:
        made += _rates(table)
    if parts.path:
        made += _paths(table)
    if len(parts.item.distinct) < 2:
        return made
    for column in sorted(parts.measures, key=lambda c: _once_each(table, c))[:_MOST_MEASURES]:
        for way in (_gauge, _over_use, _compared, _series):
            found = way(table, column, measures[column.name])
            if found is not None:
                made.append(found)
                break
    made += _further(table, measures, made)
    return made or _at_least(table, measures)


def _once_each(t: TablePlan, c: Column) -> bool:
    """Whether a table of use has a measure just once for each item, beside what was read again."""
    return t.parts.use is not None and not _varies(t, c)


#: Conditions of one table that claims are drafted for.
_MOST_CONDITIONS = 4


def _further(
    t: TablePlan, measures: dict[str, MeasurePlan], made: list[Proposal]
) -> list[Proposal]:
    """A claim about each condition that no other names: rows that differ in it alone are no
    repeats, and a study knows that only of columns it names."""
    named = {p.claim["test"].get("by") for p in made if p.claim}
    ticked = [c for c in t.tidy.columns if c.tick and c not in t.parts.conditions]
    each = [*t.parts.conditions, *t.parts.sorts, *(c for c in ticked if len(c.distinct) == 2)]
    first = sorted(t.parts.measures, key=lambda c: _once_each(t, c))
    return [
        found for by in each[:_MOST_CONDITIONS] if by.name not in named
        and (found := next(
            (p for c in first if (p := _by(t, c, measures[c.name], by)) is not None),
            None,
        )) is not None
    ]  # fmt: skip


def _at_least(t: TablePlan, measures: dict[str, MeasurePlan]) -> list[Proposal]:
    """Where items are neither used, sorted nor numbered: measures against the first of them, or
    the items side by side."""
    shown = t.parts.measures[:_MOST_MEASURES]
    if len(shown) == 1:
        [y] = shown
        figure = {"id": _id(y.name, "side-by-side"), "kind": "groups", "table": t.name,
                  "y": y.name, "by": t.parts.item.name}  # fmt: skip
        return [Proposal(figure, {}, f"how does {measures[y.name].term} differ?")]
    return [_against(t, shown[0], y, measures) for y in shown[1:]]


def _against(t: TablePlan, x: Column, y: Column, measures: dict[str, MeasurePlan]) -> Proposal:
    """One measure against another: does more of the one go with more of the other?"""
    one, other = measures[x.name].term, measures[y.name].term
    figure = {"id": _id(x.name, "and", y.name), "kind": "scatter", "table": t.name,
              "x": x.name, "y": y.name}  # fmt: skip
    test = {"kind": "association", "table": t.name, "x": x.name, "y": y.name, "direction": "any"}
    claim = {"id": _id(x.name, "goes-with", y.name), "test": test, "plainly":
             f"{_capital(one)} and {other} go together."}  # fmt: skip
    return Proposal(figure, claim, f"do {one} and {other} go together?")


def _id(*words: str) -> str:
    return "-".join(slug(w).replace("_", "-") for w in words)[:60].strip("-")


def _gauge(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    if t.parts.operator is None or t.parts.order is None:
        return None
    figure = {"id": _id(c.name, "gauge"), "kind": "gauge", "table": t.name, "y": c.name,
              "operator": t.parts.operator.name, "repeat": t.parts.order.name}  # fmt: skip
    test = {"kind": "repeatability", "table": t.name, "measure": c.name,
            "operator": t.parts.operator.name, "repeat": t.parts.order.name}  # fmt: skip
    claim = {"id": _id(c.name, "repeats"), "plainly": f"Readings of {m.term} come out alike, "
             "whoever takes them.", "test": test}  # fmt: skip
    return Proposal(figure, claim, f"do readings of {m.term} come out alike, whoever takes them?")


def _over_use(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    use = t.parts.use
    points = _shared_points(t, c) if use is not None else []
    if use is None or len(points) < 2 or _once_each(t, c):
        return None
    figure = {"id": _id(c.name, "over", use.name), "kind": "over-use", "table": t.name, "y": c.name}
    if t.parts.group:
        figure["group"] = t.parts.group.name
    test = {"kind": "change", "table": t.name, "measure": c.name, "from": points[0],
            "to": points[-1], "direction": "any"}  # fmt: skip
    plainly = f"{_capital(m.term)} is different after {points[-1]:g} {_use_word(use)}."
    asks = f"does {m.term} change over {points[-1]:g} {_use_word(use)}?"
    if points[0]:  # week 1 to week 8 is no eight weeks
        one = _use_word(use, 1)
        ends = f"from {one} {points[0]:g} to {one} {points[-1]:g}"
        plainly, asks = f"{_capital(m.term)} changes {ends}.", f"does {m.term} change {ends}?"
    claim = {"id": _id(c.name, "changes"), "test": test, "plainly": plainly}
    return Proposal(figure, claim, asks)


def _shared_points(t: TablePlan, c: Column) -> list[float]:
    """Checkpoints at which at least two items have a reading."""
    assert t.parts.use is not None
    seen: dict[float, set[str]] = {}
    for item, point, cell in zip(t.parts.item.cells, t.parts.use.cells, c.cells, strict=True):
        if c.reads(cell) and t.parts.use.reads(point):
            seen.setdefault(float(point), set()).add(item)
    return sorted(p for p, items in seen.items() if len(items) >= 2)


def _use_word(use: Column, count: int = 2) -> str:
    """The word for one of use (``count`` 1), or for several: games, steps of use."""
    word = next((w for w in use.header.words.casefold().split() if w in USE_WORDS), "")
    unit = USE_WORDS.get(word, "count")
    if count == 1:
        return unit if unit != "count" else re.sub(r"(?<=sh)es$|s$", "", word) or "step"
    return units.plural(unit) if unit != "count" else "steps of use"


def _compared(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    by = t.parts.condition or t.parts.group
    return None if by is None else _by(t, c, m, by)


def _by(t: TablePlan, c: Column, m: MeasurePlan, by: Column) -> Proposal | None:
    """The measure under two conditions, or in two groups of items.

    None where it cannot differ between conditions: each item has one value of it.
    """
    if by in t.parts.conditions and not _varies(t, c):
        return None
    a, b = _ends(by)
    figure: dict[str, Any] = {"id": _id(c.name, "by", by.name), "kind": "groups", "table": t.name,
                              "y": c.name, "by": by.name}  # fmt: skip
    test: dict[str, Any] = {"kind": "difference", "table": t.name, "measure": c.name,
                            "by": by.name, "a": a, "b": b, "direction": "any"}  # fmt: skip
    test |= {"within": t.parts.item.name} if by in t.parts.conditions else {}
    sides = _sides(by)
    if (by in t.parts.sorts or _once_each(t, c)) and (points := _shared_points(t, c)):
        # What was set is seen before use wears it off; and what stands in every row was read once.
        figure["at"] = test["at"] = points[0]
    if by in t.parts.sorts and t.parts.use is not None and "at" in test:
        sides += f" at {test['at']:g} {_use_word(t.parts.use)}"
    more = ("by", by.name) if by in (*t.parts.further, *t.parts.sorts) or by.tick else ()
    plainly = f"{_capital(m.term)} differs between {sides}."
    claim = {"id": _id(c.name, "differs", *more), "test": test, "plainly": plainly}
    return Proposal(figure, claim, f"does {m.term} differ between {sides}?")


_ANSWERS = frozenset({"yes", "no", "y", "n", "true", "false"})


def _sides(by: Column) -> str:
    """The first two conditions: ``new and used``, ``scale 1 and scale 2``."""
    if by.numeric and by.header.unit:
        return " and ".join(f"{end} {by.header.unit}" for end in _ends(by))
    word = by.header.words.casefold()
    if {end.casefold() for end in _ends(by)} <= _ANSWERS:  # they answer the head
        return " and ".join(f"{word}: {end}" for end in _ends(by))
    return " and ".join(f"{word} {name}".strip() if by.numeric else name for name in _ends(by))


def _ends(by: Column) -> tuple[str, str]:
    """The two conditions to compare: of numbers the least and the most, of words the first two."""
    if by.numeric:
        found = sorted(by.distinct, key=float)
        return found[0], found[-1]
    return by.distinct[0], by.distinct[1]


def _varies(t: TablePlan, c: Column) -> bool:
    """Whether some item has two values of a measure."""
    seen: dict[str, str] = {}
    pairs = zip(t.parts.item.cells, c.cells, strict=True)
    return any(c.reads(cell) and seen.setdefault(item, cell) != cell for item, cell in pairs)


def _series(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    order = t.parts.order
    numbers = sorted(set(order.numbers)) if order is not None else []
    least = 2 if order is not None and _counts_shots(order) else 6
    if order is None or len(numbers) < least:
        return None
    third = max(1, min(10, len(numbers) // 3))
    first, last = [numbers[0], numbers[third - 1]], [numbers[-third], numbers[-1]]
    figure = {"id": _id(c.name, "in-order"), "kind": "shot-series", "table": t.name, "y": c.name,
              "order": order.name, "first": third, "last": third}  # fmt: skip
    test = {"kind": "change", "table": t.name, "measure": c.name, "from": first, "to": last,
            "direction": "any"}  # fmt: skip
    claim = {"id": _id(c.name, "drifts"), "test": test, "plainly":
             f"{_capital(m.term)} is different at the end of the series."}  # fmt: skip
    ends = f"from the first {third} to the last {third}"
    return Proposal(figure, claim, f"does {m.term} change {ends}?")


def _counts_shots(order: Column) -> bool:
    """Whether a column numbers shots, which follow each other, and not repeat readings."""
    return bool(
        {"shot", "shots", "throw", "roll", "frame"} & set(order.header.words.casefold().split())
    )


def _rates(t: TablePlan) -> list[Proposal]:
    counts, by = t.parts.counts, t.parts.condition or t.parts.group
    if counts is None or by is None:
        return []
    made, tried = counts
    a, b = _ends(by)
    keys = {"successes": made.name, "attempts": tried.name, "by": by.name}
    within = {"within": t.parts.item.name} if by is t.parts.condition else {}
    figure = {"id": _id(made.name, "by", by.name), "kind": "rates", "table": t.name}
    test = {"kind": "rate-difference", "table": t.name, **keys, "a": a, "b": b, "direction": "any",
            **within}  # fmt: skip
    sides = _sides(by)
    claim = {"id": _id(made.name, "differ"), "test": test, "plainly":
             f"The rate of {made.name} differs between {sides}."}  # fmt: skip
    asks = f"does the rate of {made.name} differ between {sides}?"
    return [Proposal(figure | keys | within, claim, asks)]


def _paths(t: TablePlan) -> list[Proposal]:
    assert t.parts.path is not None
    feet, board = t.parts.path
    by = t.parts.use or t.parts.condition or t.parts.group
    figure = {"id": _id(t.name, "paths"), "kind": "ball-paths", "table": t.name,
              "distance": feet.name, "board": board.name}  # fmt: skip
    if by is not None:
        figure["by"] = by.name
    claim: dict[str, Any] = {}
    asks = "how does the ball get to the pins?"
    points = sorted(set(t.parts.use.numbers)) if t.parts.use is not None else []
    if len(points) >= 2 and len(t.parts.item.distinct) >= 2:
        claim = {"id": "hook-changes", "plainly": "The ball's total hook is different at the end.",
                 "test": {"kind": "change", "table": t.name, "measure": "total_hook",
                          "from": points[0], "to": points[-1], "direction": "any"}}  # fmt: skip
        asks = "does total hook change?"
    return [Proposal(figure, claim, asks)]


def _apart(proposals: tuple[Proposal, ...]) -> tuple[Proposal, ...]:
    """Every figure and claim under an id of its own; each claim names its figure."""
    taken: set[str] = set()

    def free(name: str) -> str:
        new, n = name, 2
        while new in taken:
            new, n = f"{name[:56]}-{n}", n + 1
        taken.add(new)
        return new

    made = []
    for p in proposals:
        figure = {**p.figure, "id": free(p.figure["id"])}
        claim = {**p.claim, "id": free(p.claim["id"]), "figure": figure["id"]} if p.claim else {}
        made.append(Proposal(figure, claim, p.asks))
    return tuple(made)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
