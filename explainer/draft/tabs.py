"""Tables with the same heads that differ in what their tab or file is called: one table.

A tab for each bowler, each week or each house is a column that was laid out as tabs.  What tabs are
called after people is said nowhere: tables, files and sources are published under their names.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from explainer.draft.across import like_scores
from explainer.draft.columns import Column, renamed
from explainer.draft.guess import Guess
from explainer.draft.headers import (
    ITEM_WORDS,
    LONG_WORDS,
    ORDER_WORDS,
    USE_WORDS,
    Header,
    date_in,
    slug,
)
from explainer.draft.tidy import Tidy, said
from explainer.study.called import is_called_so, name_within, named_after_people, words_in
from explainer.study.naming import Hidden
from explainer.study.persons import is_person

#: Words in heads of what is read of balls, whoever rolls them.
_OF_BALLS = frozenset(["ra", "rz", "rq", "duro", "shore", "hardness", "roughness", "texture",
                       "weight", "mass", "flare", "diameter", "gloss"])  # fmt: skip
_NUMBERED = re.compile(r"([^\W\d_]+)[ _.#-]*(\d+)")
#: What a column is called that holds the names of tabs which say nothing more.
_SHEET = "sheet"
#: So many of them a source names.
_MOST_NAMED = 6


@dataclass(frozen=True)
class _Tab:
    """A table and what its tab or file is called."""

    label: str
    table: Tidy


def as_one(tables: Sequence[Tidy], lifted: Collection[str] = ()) -> list[Tidy]:
    """The tables with those made one that are one: of a file by tabs, or by what stands over them
    where those are people; of several files where these are named after people.

    Where files are ``lifted`` from a report, tables are its own, under its own captions.
    """
    if lifted:
        return list(tables)
    found: list[Tidy] = []
    for file in dict.fromkeys(t.original for t in tables):
        found += _by_tabs([t for t in tables if t.original == file])
    alone = [t for t in found if t.alone]
    labels = _apart([t.original.rsplit(".", 1)[0] for t in alone])
    tabs = [_Tab(label, t) for label, t in zip(labels, alone, strict=True)]
    for group in _groups(tabs, people_only=True):
        found = _put(found, group, _joined(group, "files"))
    return nobody_named(replace(t, alone=True) if _only_one(t, found) else t for t in found)


def _only_one(table: Tidy, tables: Sequence[Tidy]) -> bool:
    return sum(t.original == table.original for t in tables) == 1


def _by_tabs(tables: list[Tidy]) -> list[Tidy]:
    """The tables of one file, those of its tabs made one, and those under people's names."""
    found = list(tables)
    per_sheet = Counter(t.sheet for t in tables)
    single = [t for t in tables if t.sheet and per_sheet[t.sheet] == 1]
    labels = _apart([t.sheet for t in single])
    tabs = [_Tab(label, t) for label, t in zip(labels, single, strict=True)]
    for group in _groups(tabs):
        found = _put(found, group, _joined(group, "sheets"))
    titled = [_Tab(t.title, t) for t in found if t.title and per_sheet[t.sheet] > 1]
    for group in _groups(titled, people_only=True):
        found = _put(found, group, _joined(group, "tables"))
    return found


def _put(tables: list[Tidy], group: list[_Tab], whole: Tidy) -> list[Tidy]:
    """The tables with ``whole`` where the first of its own stood."""
    own = [id(tab.table) for tab in group]
    return [whole if id(t) == own[0] else t for t in tables if id(t) not in own[1:]]


def _apart(labels: list[str]) -> list[str]:
    """Labels without the words that all of them begin or end with: ``scores Jane Doe``."""
    words = [re.findall(r"[^\s_]+", label.replace("-", " ")) for label in labels]
    for end in (0, -1):
        while len(words) > 1 and all(len(w) > 1 for w in words) and \
                len({w[end].casefold() for w in words}) == 1:  # fmt: skip
            for one in words:
                one.pop(end)
    bare = [" ".join(w) for w in words]
    return bare if named_after_people(bare) != "no" else labels


def _groups(tabs: list[_Tab], people_only: bool = False) -> Iterator[list[_Tab]]:
    """Tabs that are one table: those of people though some have a column more, others only where
    their heads are the same and none is a copy."""
    people = [tab for tab in tabs if is_called_so(tab.label)]
    if len(people) > 1 and named_after_people([tab.label for tab in people]) == "yes":
        people = _sharing(people)
        if len(people) > 1:
            yield people
            tabs = [tab for tab in tabs if tab not in people]
    alike: dict[frozenset[tuple[str, str]], list[_Tab]] = {}
    for tab in tabs:
        heads = frozenset((c.name, c.header.unit) for c in _without_label(tab).columns)
        alike.setdefault(heads, []).append(tab)
    for group in alike.values():
        labels = [tab.label.casefold() for tab in group]
        if len(group) < 2 or len(set(labels)) < len(labels):
            continue
        like = named_after_people([tab.label for tab in group])
        if like != "no" or not (people_only or _copied(group)):
            yield group


def _sharing(tabs: list[_Tab]) -> list[_Tab]:
    """Those of which half the heads or more stand in most of the others."""
    heads = {id(tab): {c.name for c in _without_label(tab).columns} for tab in tabs}
    counted = Counter(name for names in heads.values() for name in names)
    usual = {name for name, n in counted.items() if 2 * n > len(tabs)}
    return [tab for tab in tabs if 2 * len(heads[id(tab)] & usual) >= len(heads[id(tab)])]


def _copied(group: list[_Tab]) -> bool:
    """Whether half the rows of one stand in another: a copy, a backup, cleaned data."""
    rows = [set(zip(*(c.cells for c in tab.table.columns), strict=True)) for tab in group]
    return any(
        2 * len(one & other) > min(len(one), len(other))
        for n, one in enumerate(rows) for other in rows[:n]
    )  # fmt: skip


def _without_label(tab: _Tab) -> Tidy:
    """A table whose readings, which no head named, are not called after its tab."""
    reading = Header("reading", "reading")
    return replace(tab.table, columns=tuple(renamed([
        replace(c, name="reading", header=replace(reading, unit=c.header.unit))
        if c.name == slug(tab.label) and c.asks else c for c in tab.table.columns
    ])))  # fmt: skip


# -- what the tabs tell apart --------------------------------------------------------------------


def _joined(group: list[_Tab], laid: str) -> Tidy:
    """One table of several, with a first column for what each is called.

    ``laid``: what the tables were: sheets, files or tables of one sheet.
    """
    first = group[0].table
    tables = [_without_label(tab) for tab in group]
    people = named_after_people([tab.label for tab in group]) != "no"
    told = _column_of(group, tables)
    columns = [told, *_under_each_other(tables)]
    where = first.original if laid != "files" else f"{len(group)} files"
    what = f"{len(group)} {laid} with the same heads made one table, with the column {told.name}"
    why = f"does it name each {told.name}, and are they people?" if people else \
        f"what do the {laid} tell apart?"  # fmt: skip
    guesses = [Guess(where, what, "please check", why, 92, at_table=True)]
    for tab in group:
        own = tab.table.where or tab.table.original
        guesses += [replace(g, about=g.about.replace(own, where)) for g in tab.table.guesses]
    labels = [tab.label for tab in group]
    each = f"one for each {told.name}" if people else \
        ", ".join(labels[:_MOST_NAMED]) + (", …" if len(labels) > _MOST_NAMED else "")  # fmt: skip
    return replace(
        first, columns=tuple(renamed(columns)), guesses=tuple(dict.fromkeys(guesses)),
        missing=tuple(dict.fromkeys(m for t in tables for m in t.missing)),
        wide=any(t.wide for t in tables), where=where, title="", sheet="", row_of=(),
        notes=tuple(dict.fromkeys(n for t in tables for n in t.notes)),
        source=f"{len(group)} {laid}, {each}" if laid == "files" else
        f"{first.original}, {len(group)} {laid}, {each}",
        called=f"{told.name}s" if laid == "files" else "",
    )  # fmt: skip


def _column_of(group: list[_Tab], tables: Sequence[Tidy]) -> Column:
    """What the tabs are called, each in all rows of its own: people, checkpoints, days or names."""
    labels = [tab.label for tab in group]
    like = named_after_people(labels)
    word, cells, numeric = _SHEET, labels, False
    numbers = [_NUMBERED.fullmatch(label) for label in labels]
    counted = {m[1].casefold() for m in numbers if m}
    if like != "no":
        word = _who(tables, surely=like == "yes")
    elif None not in numbers and len(counted) == 1:
        [one] = counted
        whole = LONG_WORDS.get(one, one)
        if whole in USE_WORDS or whole in ORDER_WORDS:
            word, cells, numeric = whole, [m[2] for m in numbers if m], True
        elif whole in ITEM_WORDS:
            word = whole
    elif None not in (days := [date_in(label) for label in labels]):
        word, cells = "date", [str(day) for day in days]
    each = [(cell, len(t.columns[0].cells)) for cell, t in zip(cells, tables, strict=True)]
    rows = tuple(cell for cell, n in each for _ in range(n))
    return Column(slug(word), Header(word, word), rows, numeric)


def _who(tables: Sequence[Tidy], surely: bool) -> str:
    """Who people are that tabs are called after: readers where balls were read, else bowlers.

    Single words that nobody knows may be balls or houses, too.
    """
    columns = [c for t in tables for c in t.columns]
    heads = set().union(*(said(c.header) for c in columns))
    if any(is_person(c.name) or c.name == "name" for c in columns):
        return "captain" if surely else _SHEET
    scores = any(c.numeric and like_scores(c) for c in columns)
    if heads & ITEM_WORDS and not scores:
        return "operator"
    return "ball" if not surely and heads & _OF_BALLS else "bowler"


def _under_each_other(tables: Sequence[Tidy]) -> list[Column]:
    """The columns of the tables, by their names, with nothing in rows of a table that has none."""
    made = []
    for name in dict.fromkeys(c.name for t in tables for c in t.columns):
        found = [next((c for c in t.columns if c.name == name), None) for t in tables]
        own = [c for c in found if c is not None]
        cells = [
            cell for c, t in zip(found, tables, strict=True)
            for cell in (c.cells if c is not None else ("",) * len(t.columns[0].cells))
        ]  # fmt: skip
        first = next((c for c in own if c.values), own[0])
        numeric = 2 * sum(c.numeric for c in own if c.values) > sum(bool(c.values) for c in own)
        marks = {m for c in own for m in c.marks}
        if numeric:
            marks |= {cell for c in own if not c.numeric for cell in c.values if not _number(cell)}
        made.append(replace(
            first, cells=tuple(cells), numeric=numeric, marks=frozenset(marks),
            empty=tuple(_moved(found, tables)), sums=all(c.sums for c in own),
        ))  # fmt: skip
    return made


def _moved(found: Sequence[Column | None], tables: Sequence[Tidy]) -> Iterator[int]:
    """Positions that were filled from above, in the rows of all."""
    start = 0
    for column, table in zip(found, tables, strict=True):
        yield from (start + row for row in (column.empty if column is not None else ()))
        start += len(table.columns[0].cells)


def _number(cell: str) -> bool:
    return bool(re.fullmatch(r"[-+]?\d+(?:\.\d*)?", cell))


# -- files and sheets named after somebody -------------------------------------------------------


def nobody_named(tables: Iterable[Tidy]) -> list[Tidy]:
    """The tables under names and sources that name none of the people in them, nor anybody who is
    called by a first and a last name."""
    tables = list(tables)
    hidden = Hidden.of(
        name for t in tables for c in t.columns for name in c.distinct
        if not c.numeric and (is_person(c.name) or c.name == "name")
    )  # fmt: skip

    def tells(text: str) -> bool:
        given = hidden.given_away(text)
        return bool(given and given[1]) or bool(name_within(text.replace("_", " ")))

    found = []
    for table in tables:
        stem, _, ending = table.original.rpartition(".")
        file, sheet = tells(stem), tells(table.sheet)
        source, called = table.source, table.called
        if file or sheet:
            source = source or f"{table.original}, {table.rows}"
            kind = "workbook" if table.sheet or ending.casefold() in ("xlsx", "ods") else "file"
            source = source.replace(table.original, f"a {kind}") if file else source
            called = called or (_without(stem.replace("_", " "), tells) if file else stem)
        found.append(replace(table, source=source, called=called))
    return found


def _without(stem: str, tells: Callable[[str], bool]) -> str:
    """What the name of a file says without the people in it; ``readings`` where that is nothing."""
    named = set(name_within(stem).split())
    kept = [w for w in words_in(stem) if w not in named and not tells(w)]
    bare = " ".join(kept)
    return "readings" if not bare or name_within(bare) else bare
