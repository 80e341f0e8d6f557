"""Items that are people: nothing after stage 1 knows what they are called, unless it is meant to.

A sheet of a league has names in it, and a page is for ever.  So where an item is a person, names
become initials (or numbers) before anything is judged, said, drawn or written: pages, sheets,
scripts, captions, drawings, ``results.json`` and downloads cannot tell what they never knew.
``names: shown`` under ``tested`` keeps them, which ``proof`` says.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel

from explainer.study.called import may_be_called_so
from explainer.study.description.study import Description
from explainer.study.labels import nobodys
from explainer.study.naming import as_shown
from explainer.study.persons import is_person
from explainer.study.roles import operators, reads, takes_readings, tested_of

if TYPE_CHECKING:
    from explainer.study.model import Study, Table

_CODE = re.compile(r"[^\W\d_]{0,2}[-_ .#]?\d{1,4}|[^\W\d_]|[A-Z]{2}|(?:[A-Z]\.[ -]?){1,4}")
_WORD = re.compile(r"[^\W\d_]+")


def short_names(names: Iterable[str], how: str) -> dict[str, str]:
    """What each name is called in public, no two alike: initials, or numbers in the given order.

    What tells nobody who it is stays: P07, 12, B, JD, J. D., Bowler 3.
    """
    names = list(dict.fromkeys(names))
    if how == "numbers":
        return {name: str(number) for number, name in enumerate(names, start=1)}
    found = {name: name for name in names if _is_code(name)}
    taken = {name.casefold() for name in found}
    for number, name in enumerate(names, start=1):
        if name in found:
            continue
        short, again = _initials(name) or str(number), 1
        while (called := f"{short}{again if again > 1 else ''}").casefold() in taken:
            again += 1
        taken.add(called.casefold())
        found[name] = called
    return {name: found[name] for name in names}


def _is_code(name: str) -> bool:
    words = name.split()
    if len(words) > 1 and is_person(words[0]):
        words = words[1:]
    return bool(_CODE.fullmatch(" ".join(words))) and not any(map(_wide, words))


def _initials(name: str) -> str:
    """``Doe, Jane (L)`` and ``Jane Doe`` alike: JD.

    None where they would be the name, or the half of it that tells most: of one word in a script
    without capitals (李四), or with a first one of a single character (李 四).
    """
    name = re.sub(r"\([^()]*\)", " ", name)
    last, comma, first = name.partition(",")
    words = _WORD.findall(f"{first} {last}" if comma else name)
    if words and unicodedata.category(words[0][0]) == "Lo":
        return words[0][0] if len(words) > 1 and len(words[0]) > 1 else ""
    most = 1 if all(len(word) == 1 for word in words) else 3
    return "".join(word[0] for word in words[:most]).upper()


def _wide(word: str) -> bool:
    return unicodedata.east_asian_width(word[0]) == "W"


@dataclass(frozen=True)
class Masked:
    """Which columns of a study name people, and what each name is in public."""

    columns: Mapping[str, tuple[str, ...]]
    """Table to its columns that hold names to hide."""
    shown: Mapping[str, tuple[str, ...]]
    """Table to its columns with names that are shown on purpose."""
    names: Mapping[str, str]
    """Somebody's name in the file to their name in public."""
    items: Mapping[str, str] = field(default_factory=dict)
    """An item that is named after somebody (their ball, their night) to its name in public."""
    by_looks: frozenset[str] = frozenset()
    """Names that are somebody's by their looks alone, and may be nobody's."""

    @property
    def told(self) -> dict[str, str]:
        """Every name in the files that is another one in public."""
        return {**self.items, **self.names}


def hidden(names: Mapping[str, str]) -> dict[str, str]:
    """Of names and what they are in public those that are to be hidden: what tells nobody stays."""
    return {name: short for name, short in names.items() if name != short}


def people_of(description: Description, table: str) -> bool:
    """Whether the items of a table are people: as it says, else by the word for one."""
    tested = tested_of(description, description.tables[table])
    said = tested.people if tested.people is not None else description.tested.people
    if said is not None and tested.item == description.tested.item:
        return bool(said)
    return bool(tested.people) if tested.people is not None else is_person(tested.item)


def how_named(description: Description, table: str) -> str:
    """``initials``, ``numbers`` or ``shown``: as the table says, else the study."""
    own = description.tables[table].tested
    return (own.names if own else None) or description.tested.names or "initials"


def hides_people(description: Description, table: Table) -> bool:
    """Whether a table has people in it whose names are not shown."""
    somebody = bool(people_columns(table) or table.owners)
    return somebody and how_named(description, table.name) != "shown"


def people_columns(table: Table) -> tuple[str, ...]:
    """The text columns of a table that name people, be it in a part of the name of an item."""
    text = [str(c) for c in table.frame.columns if hasattr(table.frame[c], "cat")]
    whole = () if table.parts else (table.item,)
    named = [c for c in text if (is_person(c) or c in table.called_people) and c not in whole]
    if table.people and not set(named) & set(table.nest):
        named += [c for c in table.nest if c in text]  # no word of `each` says which of them it is
    if table.parts and table.item not in named and set(named) & set(table.nest):
        named.append(table.item)
    return tuple(dict.fromkeys(named))


def masked(description: Description, tables: Mapping[str, Table]) -> Masked:
    """What of a study's tables is to be hidden, and under which names."""
    columns: dict[str, tuple[str, ...]] = {}
    shown: dict[str, tuple[str, ...]] = {}
    found: dict[str, list[str]] = {"initials": [], "numbers": []}
    for name, table in tables.items():
        how, named = how_named(description, name), people_columns(table)
        (shown if how == "shown" else columns)[name] = named
        if how != "shown":
            columns[name] += (table.item,) if table.owners else ()
            found[how] += [*everybody(table), *table.owners.values()]
        readers = _readers(description, table)
        (shown if how == "shown" else columns)[name] += tuple(readers)
        if how != "shown":
            found[how] += [name for hidden in readers.values() for name in hidden]
    names = short_names(found["initials"], "initials")
    names |= short_names([n for n in found["numbers"] if n not in names], "numbers")
    hiding = [table for name, table in tables.items() if columns.get(name)]
    sure = {name for table in hiding for name in _surely(table, columns[table.name])}
    return Masked(columns, shown, names, _items_named_after(hiding, names), frozenset(names) - sure)


def _surely(table: Table, columns: Iterable[str]) -> Iterator[str]:
    """Those in the columns of a table that name people, not by the looks of their names alone."""
    for column in dict.fromkeys(columns):
        by_looks = column in table.called_people and not is_person(column)
        if by_looks or (column == table.item and table.owners):
            continue
        if column in people_columns(table):
            yield from _people_in(table, column)
        else:  # who took a reading
            frame = table.frame if column in table.frame else table.others
            assert frame is not None
            yield from map(str, frame[column].unique())


def _readers(description: Description, table: Table) -> dict[str, list[str]]:
    """Columns that say who took a reading, with the labels that may be somebody's name.

    A desk or a gauge is somebody only where it is called like one.
    """
    found = {}
    named = operators(description, table.name)
    for frame in (table.frame, table.others):
        for column in () if frame is None else map(str, frame.columns):
            assert frame is not None
            gauge, reader = takes_readings(column), reads(column)
            texts = frame is table.others or hasattr(frame[column], "cat")
            if texts and (gauge or column in named) and column != table.item:
                labels = map(str, frame[column].unique())
                found[column] = [
                    label for label in labels
                    if may_be_called_so(label, column)
                    or ((reader or not gauge) and not nobodys(label, column))
                ]  # fmt: skip
    return {column: labels for column, labels in found.items() if labels}


def everybody(table: Table) -> list[str]:
    """The people whom a table names, as its file has them, some of them more than once."""
    return [name for column in people_columns(table) for name in _people_in(table, column)]


def _people_in(table: Table, column: str) -> list[str]:
    """The people whom a column names; none in that of whole names, unless a part of these is."""
    if column != table.item or not table.parts:
        return [str(name) for name in table.frame[column].unique()]
    if not is_person(column) and any(is_person(c) for c in table.nest):
        return []
    return list(dict.fromkeys(parts[column] for parts in table.parts.values()))


def _items_named_after(tables: Sequence[Table], names: Mapping[str, str]) -> dict[str, str]:
    """What items are called in public whose names have somebody's in them, no two alike.

    The ball or the night of somebody may bear their first or last name alone, too.
    """
    parts = {item: part for table in tables for item, part in table.parts.items()}
    parts |= {item: {"": owner} for table in tables for item, owner in table.owners.items()}
    new = []
    for item, part in parts.items():
        text = item
        for name in {n: None for n in part.values() if names.get(n, n) != n}:
            text = _apart(re.escape(name)).sub(names[name], text)
            own = [w for w in _WORD.findall(name) if len(w) > 2 and not is_person(w)]
            text = _apart("|".join(own)).sub(names[name], text) if own else text
        new.append(text)
    return dict(zip(parts, _each_once(new), strict=True))


def _apart(spelled: str) -> re.Pattern[str]:
    """What stands as words of its own."""
    return re.compile(rf"(?<![^\W\d_])(?:{spelled})(?![^\W\d_])", re.IGNORECASE)


def without_names(study: Study) -> Study:
    """The study with people by initials or numbers everywhere, in its own words as well."""
    found = masked(study.description, study.tables)
    called = found.told
    study = replace(study, unlisted=frozenset(called.get(n, n) for n in _unlisted(study)))
    if all(name == short for name, short in called.items()):
        return study
    tell = teller(found)

    def renamed(tables: Mapping[str, Table]) -> dict[str, Table]:
        return {n: _renamed(t, found.columns.get(n, ()), called, tell)
                for n, t in tables.items()}  # fmt: skip

    return replace(
        study, description=tell(study.description), tables=renamed(study.tables),
        whole=renamed(study.whole), named=dict(found.names),
    )  # fmt: skip


def _unlisted(study: Study) -> Iterator[str]:
    """The items that are to stay out of the downloads: with somebody, all that is named after them.
    """
    wished = {name for name, _ in wishes(study.description)}
    yield from wished
    for table in study.tables.values():
        yield from (i for i, part in table.parts.items() if wished & set(part.values()))


#: Puts the same names into a text, a block or a list of them.
Tell = Callable[[Any], Any]


def _renamed(table: Table, columns: tuple[str, ...], names: Mapping[str, str], tell: Tell) -> Table:
    frame, others = table.frame.copy(deep=False), table.others
    for column in frame.columns:
        if hasattr(frame[column], "cat"):
            said = [str(c) for c in frame[column].cat.categories]
            new = [names.get(c, c) if column in columns else str(tell(c)) for c in said]
            if new != said:
                frame[column] = frame[column].cat.rename_categories(_each_once(new))
    if others is not None:
        others = others.copy(deep=False)
        for column in others.columns:
            once = {cell: tell(cell) for cell in others[column].unique()}
            others[column] = others[column].map(once)
    table = replace(
        table, frame=frame, others=others, source=tell(table.source), lifted=tell(table.lifted),
        use_term=tell(table.use_term), chosen_by=tell(table.chosen_by),
        chosen_only=tell(dict(table.chosen_only)),
        notes=tuple(replace(n, mark=tell(n.mark), why=tell(n.why)) for n in table.notes),
    )  # fmt: skip
    if table.item not in columns:
        return table
    return replace(
        table,
        items=tuple(names.get(item, item) for item in table.items),
        notes=tuple(replace(n, item=names.get(n.item, n.item)) for n in table.notes),
        reference=names.get(table.reference or "", table.reference),
        parts={}, owners={names.get(i, i): names.get(o, o) for i, o in table.owners.items()},
    )  # fmt: skip


def _each_once(names: list[str]) -> list[str]:
    """Two groups stay two, though their names were told apart by nothing but a person's name."""
    taken: dict[str, int] = {}
    found = []
    for name in names:
        taken[name] = taken.get(name, 0) + 1
        found.append(name if taken[name] == 1 else f"{name} ({taken[name]})")
    return found


def teller(found: Masked) -> Tell:
    """What puts the same names into a description: where one is the whole of a value, and a first
    and a last name wherever they stand in a text, in capitals or not, with a space between them or
    something like one.  A single word is left alone in a text, since Will, Grace and Pat are words;
    ``proof`` points at them."""
    names, find = found.told, _finder(_full_names(found.names))

    def short(text: str) -> str:
        said, at = [], 0
        for start, end, called in find(text):
            said += [text[at:start], called]
            at = end
        return "".join((*said, text[at:])) if said else text

    def tell(value: Any) -> Any:
        if isinstance(value, BaseModel):
            made = {key: tell(getattr(value, key)) for key in type(value).model_fields}
            new = {key: v for key, v in made.items() if v is not getattr(value, key)}
            return value.model_copy(update=new) if new else value
        if isinstance(value, str):
            if value in names:
                return names[value]
            return short(value)
        if isinstance(value, tuple | list):
            made_of = [tell(v) for v in value]
            same = all(a is b for a, b in zip(made_of, value, strict=True))
            return value if same else type(value)(made_of)
        if isinstance(value, dict):
            told = {key: tell(v) for key, v in value.items()}
            return value if all(told[k] is value[k] for k in value) else told
        return value

    return tell


def named_as_shown(found: Masked) -> Callable[[str], str]:
    """What finds the name of somebody hidden in a text as it will be shown, after initials were
    put where it stands plainly: broken by marks, entities or a link (``Jane **Do**e``).  Gives the
    name, else nothing."""
    tell, full = teller(found), _full_names(found.names)
    apart, joined = _finder(full), {"".join(_WORD.findall(name)) for name in full}

    def find(text: str) -> str:
        if not full or not _MAY_BREAK.search(text):
            return ""
        shown = as_shown(str(tell(text)))
        hit = next(((start, end) for start, end, _ in apart(shown)), None)
        if hit is not None:
            return shown[slice(*hit)]
        return next((word for word in _WORD.findall(shown) if word in joined), "")

    return find


#: Where a full name stands, from and to, and what it is in public.
_Hit = tuple[int, int, str]
#: What may stand between two words of a name.
_BETWEEN = re.compile(r"[\W_]{1,3}")
#: So many words of a name are compared; no cell holds a name of more.
_MOST_WORDS = 60


def _finder(full: Mapping[str, str]) -> Callable[[str], Iterator[_Hit]]:
    """What finds full names in a text, word by word: a league has thousands, and to try each of
    them at each place of a long text would take minutes."""
    known: dict[tuple[str, ...], str] = {}
    for name, short in full.items():
        known.setdefault(tuple(map(str.casefold, _WORD.findall(name))), short)
    longest: dict[str, int] = {}
    for words in known:
        longest[words[0]] = max(len(words), longest.get(words[0], 0))

    def find(text: str) -> Iterator[_Hit]:
        words = list(_WORD.finditer(text)) if known else []
        at = 0
        while at < len(words):
            hit, said = at, [words[at][0].casefold()]
            most = min(longest.get(said[0], 1), _MOST_WORDS)
            for after in range(at + 1, min(at + most, len(words))):
                if not _BETWEEN.fullmatch(text, words[after - 1].end(), words[after].start()):
                    break
                said.append(words[after][0].casefold())
                hit = after if tuple(said) in known else hit
            if hit > at:
                called = known[tuple(said[: hit - at + 1])]
                yield words[at].start(), words[hit].end(), called
            at = hit + 1

    return find


#: What a text has in it that is shown as something else.
_MAY_BREAK = re.compile(r"[*_`~\\\[\]<&]|\s{4}")


def _full_names(names: Mapping[str, str]) -> dict[str, str]:
    """Names of two words and more, longest first; ``Doe, Jane (L)`` as Doe, Jane and as Jane Doe,
    too, and Jane Doe as Doe, Jane."""
    found = {}
    for name, short in names.items():
        if name == short or len(_WORD.findall(name)) < 2:
            continue
        found[name] = short
        bare = re.sub(r"\([^()]*\)", " ", name)
        last, comma, first = bare.partition(",")
        if not comma:
            first, _, last = bare.strip().rpartition(" ")
        for told in (bare, f"{first} {last}" if comma else f"{last}, {first}"):
            if len(_WORD.findall(told)) > 1:
                found.setdefault(told, short)
    return dict(sorted(found.items(), key=lambda pair: -len(pair[0])))


def wishes(description: Description) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    """Who is to stay out of the downloads, with the place where it is said."""
    for i, name in enumerate(description.tested.not_in_downloads):
        yield name, ("tested", "not_in_downloads", i)
    for table, said in description.tables.items():
        for i, name in enumerate(said.tested.not_in_downloads if said.tested else ()):
            yield name, ("tables", table, "tested", "not_in_downloads", i)


def not_names(description: Description) -> frozenset[str]:
    """The last names of which the author says that they mean something else in the texts."""
    own = [table.tested for table in description.tables.values() if table.tested is not None]
    return frozenset(word for said in (description.tested, *own) for word in said.not_names)
