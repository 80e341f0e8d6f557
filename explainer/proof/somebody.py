"""Names that are published as they stand and look like somebody's: asked about, each once.

Who is known to be somebody is called by initials (``study/people.py``), and whatever gives them
away is refused (``study/checks/people.py``).  Here nothing says that people are meant: a column, a
file or a group is called by words that are none of the trade, the glossary or the author's own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pandas as pd

from explainer.claims.verdict import Judgement
from explainer.errors import Problem, listed
from explainer.proof.place import Keys, Places
from explainer.proof.prose import own_words
from explainer.study.called import is_called_so, is_strange, name_within, owner_in
from explainer.study.model import Study, Table
from explainer.study.persons import is_person
from explainer.study.roles import says_how, tested_of
from explainer.words.glossary.entries import Glossary

_WORD = re.compile(r"[^\W\d_]+")
_ITEMS = "`people: yes` under `tested` (initials are shown then), or `people: no`"
_GROUPS = "a column called `bowler` or `owner` if they are people: initials are shown then"
_NAMES = "a name that is nobody's: people go into a column called `bowler`, as initials"


def maybe_somebody(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Names of measures, tables, files, columns, figures and groups, and labels of items, that
    look like somebody's."""
    study = judgement.study
    known = _known(judgement, glossary)
    names = list(_names(study))
    strange: dict[str, set[str]] = {}
    for _, kind, name in names:
        if is_strange(name, known):
            strange.setdefault(kind, set()).add(_key(name))
    several = {key for keys in strange.values() if len(keys) > 1 for key in keys}
    said: set[str] = set()
    for path, kind, name in names:
        key = _key(name)
        if key not in said and (
            key in several or name_within(re.sub("[_-]", " ", name), known) or "@" in name
        ):
            said.add(key)
            yield _asked(places, path, f"the {kind} `{name}`", _NAMES)
    for table in study.tables.values():
        yield from _labels(study, table, known, places)


def _key(name: str) -> str:
    return " ".join(_WORD.findall(name)).casefold()


def _asked(places: Places, path: Keys, what: str, expected: str) -> Problem:
    return places.weak(
        path, f"{what}: is that somebody?", expected, "it is published as it stands",
        "maybe-somebody",
    )  # fmt: skip


def _known(judgement: Judgement, glossary: Glossary) -> Callable[[str], bool]:
    """Whether a word is one of the glossary, one that the author writes in small letters, or one
    that an item is called by, of which ``_labels`` asks."""
    words = {w.casefold() for e in glossary.entries for n in e.names for w in _WORD.findall(n)}
    for _, text, _ in own_words(judgement):
        words |= {w for w in _WORD.findall(text) if w == w.casefold() and len(w) > 1}
    items = [item for table in judgement.study.tables.values() for item in table.items]
    words |= {w.casefold() for item in items if not is_called_so(item) for w in _WORD.findall(item)}
    return lambda word: bool({low := word.casefold(), low.removesuffix("s")} & words)


def _names(study: Study) -> Iterator[tuple[Keys, str, str]]:
    """Where each thing stands, what it is, and what it is called."""
    description = study.description
    for name, measure in description.measures.items():
        yield ("measures", name), "measure", name
        if measure.term:
            yield ("measures", name, "term"), "term", measure.term
    for name, table in description.tables.items():
        yield ("tables", name), "table", name
        yield ("tables", name, "file"), "file", table.file.removesuffix(".csv")
        for frame in (study.tables[name].frame, study.tables[name].others):
            for column in () if frame is None else map(str, frame.columns):
                yield ("tables", name), "column", column
    for i, figure in enumerate(description.figures):
        yield ("figures", i, "id"), "figure", figure.id


def _labels(
    study: Study, table: Table, known: Callable[[str], bool], places: Places
) -> Iterator[Problem]:
    """Groups and items that are called like people, and things that are called somebody's."""
    description = study.description
    own = description.tables[table.name].tested
    answered = tested_of(description, description.tables[table.name]).people is not None
    path: Keys = (("tables", table.name) if own else ()) + ("tested",)
    if not table.people and not answered:
        whose = [item for item in table.items if owner_in(item, known)]
        whole = [item for item in table.items if is_called_so(item, known)]
        asked = whose or (whole if len(whole) > 1 and 2 * len(whole) > len(table.items) else [])
        if asked and not any(p.code == "people-asked" for p in study.warnings):
            what = f"the {table.item} {listed(asked, 3)}"
            yield _asked(places, path, what, _ITEMS)
    for column, labels in _grouping(table):
        named = [label for label in labels if is_called_so(label, known) or owner_in(label, known)]
        if named:
            what = f"{listed(named, 3)} in the column `{column}` of {table.file}"
            yield _asked(places, ("tables", table.name), what, _GROUPS)


def _grouping(table: Table) -> Iterator[tuple[str, list[str]]]:
    """The columns of words that are no item and hide nobody yet, with what stands in them."""
    for frame in (table.frame, table.others):
        for column in () if frame is None else map(str, frame.columns):
            assert frame is not None
            words = frame is table.others or isinstance(frame[column].dtype, pd.CategoricalDtype)
            item = column == table.item or (column in table.nest and table.people)
            if words and not item and not is_person(column) and not says_how(column):
                yield column, [str(label) for label in frame[column].unique()]
