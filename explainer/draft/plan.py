"""What a study of some tidy tables could say: its tables, what they measure, and what of it only
the author can confirm."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from explainer import units
from explainer.draft.columns import Column
from explainer.draft.guess import Guess, quoted
from explainer.draft.headers import MOST_LETTERS, slug, unit_behind, unit_in
from explainer.draft.parts import Parts, parts_of
from explainer.draft.properties import was_set
from explainer.draft.proposals import (
    MOST_CONDITIONS,
    MeasurePlan,
    Proposal,
    TablePlan,
    apart,
    proposals_of,
)
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
    tables = _told_apart(_named_alike(_with_readings(tables), find_term, guesses))
    measures = _with_notes(_measures(tables, find_term), tables)
    for table in tables:
        if table.parts.path:
            measures.setdefault("total_hook", _derived_hook())
    proposals = tuple(p for t in tables for p in proposals_of(t, measures))
    measures = _told(measures, tables, proposals)
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
    return Plan(name, tuple(tables), tuple(measures.values()), apart(proposals), tuple(guesses),
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
                off = _OFF_BY.search(note)
                of_unit = unit_behind(note[off.start() :]) if off else ""
                if of_unit and m.unit != "count" and not units.alike(of_unit, m.unit):
                    continue  # ± 0.3 boards is said of no speed
                if off and not m.gauge:
                    made[name] = replace(m, gauge=note)
    return made


def _with_readings(tables: list[TablePlan]) -> list[TablePlan]:
    """The tables as they are; where nothing is read in any of them, what their balls weigh is what
    the study is about."""
    if any(t.parts.measures or t.parts.counts or t.parts.path for t in tables):
        return tables
    found = []
    for table in tables:
        read = tuple(c for c in table.parts.properties if not was_set(c))
        rest = tuple(c for c in table.parts.properties if was_set(c))
        parts = replace(table.parts, measures=read, properties=rest)
        found.append(replace(table, parts=parts))
    return found


def _told(
    measures: dict[str, MeasurePlan], tables: list[TablePlan], proposals: tuple[Proposal, ...]
) -> dict[str, MeasurePlan]:
    """The measures without what was set on items, but where readings are held against it."""
    read = {c.name for t in tables for c in t.parts.measures} | {"total_hook"}
    read |= {str(p.figure.get("x")) for p in proposals}
    return {name: m for name, m in measures.items() if name in read}


def _measures(tables: list[TablePlan], find_term: FindTerm) -> dict[str, MeasurePlan]:
    """Each measure once, in the order of the tables; of its columns one whose header has a unit
    speaks for it."""
    read = [c for t in tables for c in (*t.parts.measures, *t.parts.properties)]
    speaks: dict[str, Column] = {}
    for column in read:
        known = speaks.setdefault(column.name, column)
        if column.header.unit and not known.header.unit:
            speaks[column.name] = column
    return {name: _measure(column, find_term) for name, column in speaks.items()}


def _named_alike(
    tables: list[TablePlan], find_term: FindTerm, guesses: list[Guess]
) -> list[TablePlan]:
    """Columns that mean one thing of the glossary take one name, that of the first table; asked
    about where their heads differ."""
    first: dict[str, Column] = {}
    found = []
    for table in tables:
        new = {}
        taken = {c.name for c in table.tidy.columns}
        for column in table.parts.measures:
            means = _meaning(column, find_term)[1]
            known = first.setdefault(means or column.name, column)
            if known.name not in taken:
                new[column.name] = replace(column, name=known.name)
                taken.add(known.name)
                about = f"{table.tidy.where}, column {column.header.written}"
                what = f"taken as what another table calls {known.header.written}"
                guesses.append(Guess(about, what, "please check", f"both for {means}", 50))
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
    keys += parts.conditions[:MOST_CONDITIONS]
    rows = list(zip(*(c.cells for c in keys if c is not None), strict=True))
    if parts.order is None or len(set(rows)) == len(rows):
        return parts
    named = ", ".join(c.name for c in keys if c is not None)
    about = f"{tidy.where}, column {parts.order.header.written}"
    what = "not taken as an order, since two rows have the same number"
    why = f"nothing else tells rows of one {named} apart; they count as repeats"
    guess = Guess(about, what, "please check", why, 60)
    return replace(parts, order=None, guesses=(*parts.guesses, guess))


def _meaning(column: Column, find_term: FindTerm) -> tuple[str, str, str]:
    """(what a column is called on pages, the term of the glossary that its head most likely means,
    that term's usual unit); the last two empty for none.

    The author's own word stays: `Hook` is hook, whatever it is most likely measured as.
    """
    words = column.header.words.replace("_", " ").strip()[:MOST_LETTERS] or column.name
    if re.fullmatch(r"[A-Z][a-z]{2,}( [a-z]+)*", words):  # as sheets write heads: Exit angle
        words = words.casefold()
    own = find_term(words)
    found = find_term(_MEANT.get(words.casefold(), words)) or own
    if column.asks and found and found[0] != words.casefold():
        return words, "", ""  # a caption of other words is no term of the glossary
    if own and own[0].casefold() == words.casefold():  # in capitals or not as the glossary has it
        words = own[0]
    return words, *(found or ("", ""))


def _measure(column: Column, find_term: FindTerm) -> MeasurePlan:
    term, means, usual = _meaning(column, find_term)
    unit, confirm = column.header.unit, ""
    if not unit:  # never out of the glossary: a unit is taken only where it stands
        unit, confirm = "count", "the sheet names no unit; put it here if it has one"
        if term.casefold().endswith(" in"):
            confirm = "does `in` in its head mean inches? The sheet names no other unit"
        if units.known(usual) and usual != "count":
            confirm += f" ({means} is usually in {units.plural(usual)})"
    places = max((len(c.partition(".")[2]) for c in column.values), default=0)
    step = "1" if not places else f"0.{'0' * (places - 1)}1"
    known = bool(means) and find_term(term) is not None
    return MeasurePlan(column.name, term, unit, confirm, known, column.asks, step, means)


def _derived_hook() -> MeasurePlan:
    return MeasurePlan("total_hook", "total hook", "board", "", True, "", "0.5", "total hook")
