"""Names of people who are called by initials, where something else bears them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import islice
from typing import Any, TypeVar

import pandas as pd

from explainer.errors import Problem, listed
from explainer.study.called import is_a_word, is_ordinary, may_be_called_so
from explainer.study.carried import carried, private
from explainer.study.checks.context import Context
from explainer.study.csvfile import fault
from explainer.study.describe import UNUSED
from explainer.study.description.lifted import sidecar_name
from explainer.study.intexts import ADDRESS, Found, InTexts
from explainer.study.labels import nobodys
from explainer.study.naming import Hidden, as_shown
from explainer.study.own_texts import CODE, NAMED_TO_ALL, own_texts
from explainer.study.people import how_named, named_as_shown, not_names, teller
from explainer.study.persons import is_person
from explainer.study.roles import says_how
from explainer.study.spelling import folded
from explainer.study.tables import Sheet
from explainer.study.yaml12 import Path

_EXPECTED = "a name that tells nobody: bowlers are called by initials in everything published"
#: Keys whose names other checks ask about.
_TOLD_OF = frozenset({"id", "file", "topic", "not_names", "not_in_downloads"})
#: Keys beside a table of lifted numbers that hold no words.
_HASHES = frozenset({"sha256", "csv_sha256"})
#: So many names are told of one text.
_MOST_TOLD = 5
#: What stands between the words of a path.
_APART = re.compile(r"[\W_]+")
_WORD = re.compile(r"[^\W\d_]+")
#: A word behind what stands before one of a kind.  Another in small letters may be somebody's.
_KIND = re.compile(r"\b(?:an?|any|no|every|each)\s{1,3}([^\W\d_]+)", re.IGNORECASE)
_HINT = "rename it; or, if everybody agreed to be named, `names: shown` under `tested`"


def nobody_given_away(c: Context) -> Iterator[Problem]:
    """No name that is published as it stands gives somebody away who is not to be named.

    A word that some people are called, too, is told once, and stays; so does one that is a name by
    its looks alone.
    """
    known = Hidden.of(name for name in c.hidden if name not in c.masked.by_looks)
    looks = Hidden.of(name for name in c.hidden if name in c.masked.by_looks)
    if not (known.parts or looks.parts):
        return
    asked: set[str] = set()
    finder, tell = _finder(c, ()), teller(c.masked)
    for kind, name, told in _named(c):
        if kind == "label" and (hit := next(finder.find(name, tell), None)) is not None:
            _, last, short = hit
            found = f"the label `{name}`: somebody called `{short}` bears the name `{last.title()}`"
            yield told(found, f"`{short}`, or nobody's name", _no_name(last), "names-somebody")
            continue
        given = known.given_away(name)
        if given is None and (like := looks.given_away(name)) is not None:
            given = like[0], False
        if given is None:
            continue
        word, surely = given
        found = f"the {kind} `{name}`, which names somebody"
        problem = told(found, _EXPECTED, _HINT, "names-somebody")
        if surely and kind != "label":  # a first name may be another's: the author is asked
            yield problem
        elif word not in asked:
            asked.add(word)
            yield replace(
                problem, found=f"the {kind} `{name}`, and somebody whose name has `{word}` in it",
                expected="a name that is not theirs", severity="warning",
                happens="it is published as you wrote it", code="may-name-somebody",
            )  # fmt: skip


def _named(c: Context) -> Iterator[tuple[str, str, partial[Problem]]]:
    """What a thing is, what it is called, and what tells a problem at its place."""
    said = c.description

    def at(*path: str | int, key: bool = False) -> partial[Problem]:
        return partial(_at, c, path, key)

    yield "study's folder", c.source.folder.name, at()
    if said.topic:
        yield "topic", said.topic, at("topic")
    for name in said.measures:
        yield "measure", name, at("measures", name, key=True)
    for name, table in said.tables.items():
        yield "table", name, at("tables", name, key=True)
        yield "file", table.file, at("tables", name, "file")
    for key, entries in (("figures", said.figures), ("claims", said.claims),
                         ("questions", said.questions)):  # fmt: skip
        for i, entry in enumerate(entries):
            if entry.id:
                yield key.removesuffix("s"), entry.id, at(key, i, "id")
    yield from _named_columns(c)


def _named_columns(c: Context) -> Iterator[tuple[str, str, partial[Problem]]]:
    """Columns that are published under the names they have."""
    for sheet in c.sheets.values():
        for column in map(str, sheet.table.frame.columns if sheet.table is not None else ()):
            if column not in c.description.measures:
                yield "column", column, partial(_in_head, sheet.file, column)
    for file, column, goes in _spare(c):
        if goes:
            yield "column", column, partial(_in_head, file, column)
    for name, sheet in c.sheets.items():
        for column, labels in _labels_shown(c, name, sheet).items():
            for label in labels:
                yield "label", label, partial(_in_head, sheet.file, column)


def _labels_shown(c: Context, name: str, sheet: Sheet) -> dict[str, list[str]]:
    """Text columns of a table that are shown as they stand, and what they hold."""
    frame = sheet.table.frame if sheet.table is not None else pd.DataFrame()
    masked = c.masked.columns.get(name, ())
    return {str(column): list(frame[column].cat.categories) for column in frame
            if hasattr(frame[column], "cat") and column not in masked}  # fmt: skip


def _spare(c: Context) -> Iterator[tuple[str, str, bool]]:
    """File and name of each column that no table reads, and whether it goes with the downloads."""
    for file, columns in c.spare.items():
        tables = [s.table for s in c.sheets.values() if s.file == file and s.table is not None]
        for column, cells in columns.items():
            yield file, column, carried(c.description, tables, column, cells, c.hidden)


def names_in_texts(c: Context) -> Iterator[Problem]:
    """No text names somebody hidden once it is shown, though it does not as it is written; nor by
    a last name alone, with an initial, or in an address."""
    broken = named_as_shown(c.masked)
    said = dict(_texts(c.description.model_dump(by_alias=True), ()))
    names = _finder(c, said.values())
    tell = teller(c.masked)
    for path, text in said.items():
        if name := broken(text):
            yield c.error(
                path, f"`{name}` with marks, a link or something unseen in it",
                "the name as it is, in whose place initials are put, or nobody's name",
                code="names-somebody",
            )  # fmt: skip
        elif not _TOLD_OF & set(path[-2:]):
            for words, last, short in _each_once(_either_way(names, text, tell)):
                yield c.error_at(path, words, *_bears(words, last, short))
    yield from _named_where_lifted(c)


def _named_where_lifted(c: Context) -> Iterator[Problem]:
    """The files beside tables of read numbers: report, axes, series and notes are told, too."""
    said = {
        (sidecar_name(sheet.file), path): text
        for sheet in c.sheets.values() if sheet.table is not None and sheet.table.lifted is not None
        for path, text in _texts(sheet.table.lifted.model_dump(), ()) if not _HASHES & set(path)
    }  # fmt: skip
    names, tell = _finder(c, said.values()), teller(c.masked)
    for (beside, path), text in said.items():
        for words, last, short in _each_once(_either_way(names, text, tell)):
            found, expected, hint, code = _bears(words, last, short)
            yield Problem(
                beside, found=f"{found}, in {'.'.join(map(str, path))}", expected=expected,
                hint=hint, code=code, happens=UNUSED,
            )  # fmt: skip


W = TypeVar("W")


def _each_once(found: Iterable[tuple[W, str, str]]) -> Iterator[tuple[W, str, str]]:
    """Each name where it is met first, and no more than a few of them."""
    told: dict[tuple[str, str], W] = {}
    for where, last, short in found:
        told.setdefault((last, short), where)
    for (last, short), where in islice(told.items(), _MOST_TOLD):
        yield where, last, short


def _bears(words: str, last: str, short: str) -> tuple[str, str, str, str]:
    """Found, expected, hint and code of a text that names somebody by a last name."""
    return (f"`{words}`: somebody called `{short}` bears the name `{last.title()}`",
            f"`{short}`, or nobody's name", _no_name(last), "names-somebody")  # fmt: skip


def _no_name(last: str) -> str:
    """What to do where a name is none."""
    return f"if it means something else here, `not_names: [{last.title()}]` under `tested`"


def _finder(c: Context, texts: Iterable[str], code: bool = False) -> InTexts:
    """What finds the people of a study who are not to be named, but for those by their looks
    alone; in ``code`` small letters are no names."""
    sure = {name: c.masked.names[name] for name in c.hidden if name not in c.masked.by_looks}
    own = _study_words(c, texts)
    return InTexts(
        sure, lambda word: word in own or is_a_word(word), not_names(c.description),
        lambda word: code or word in own or is_ordinary(word),
    )  # fmt: skip


def _either_way(names: InTexts, text: str, plainly: Callable[[str], str] = str) -> Iterator[Found]:
    """Who is named in a text as it is written, or as it will be shown."""
    for way in dict.fromkeys((text, as_shown(text))):
        yield from names.find(way, plainly)


def names_in_the_workspace(c: Context) -> Iterator[Problem]:
    """No text that goes into pages as it stands (settings, the workspace's own glossary, phrases
    and templates) names somebody hidden: nothing would put initials there."""
    if c.workspace is None or not c.hidden:
        return
    prose, code = _finder(c, ()), _finder(c, (), code=True)
    for file, text in own_texts(c.workspace):
        lines = [_APART.sub(" ", file), *text.splitlines()]  # what it is called is told as well
        met = (
            ((number, words), last, short)
            for number, line in enumerate(lines) if not line.lstrip().startswith("#")
            for words, last, short in _either_way(
                code if number and file.endswith(CODE) else prose, line)
        )  # fmt: skip
        for (number, words), last, short in _each_once(met):
            yield Problem(
                file, max(number, 1), found=f"`{words}`: somebody called `{short}` in the study "
                f"`{c.source.folder.name}` bears the name `{last.title()}`",
                expected=f"`{short}`, or nobody's name", hint=f"{_no_name(last)} there",
                happens="nothing is published", code=NAMED_TO_ALL,
            )  # fmt: skip


def _study_words(c: Context, texts: Iterable[str]) -> frozenset[str]:
    """Words, folded, that the study's texts have for a kind of thing (*a baker*) or that head its
    columns."""
    own = {w for text in texts for w in _KIND.findall(ADDRESS.sub(" ", text)) if w.islower()}
    for sheet in c.sheets.values():
        if sheet.table is not None:
            own.update(w for column in sheet.table.frame for w in _WORD.findall(str(column)))
    return frozenset(map(folded, own))


def _texts(said: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(said, str):
        yield path, said
    elif isinstance(said, dict | list | tuple):
        for key, inner in said.items() if isinstance(said, dict) else enumerate(said):
            yield from _texts(inner, (*path, key))


def people_asked(c: Context) -> Iterator[Problem]:
    """Items of a word that nobody knows, most of them called like people: are they some?"""
    for name, sheet in c.sheets.items():
        own = c.description.tables[name].tested
        tested = own or c.description.tested
        known = any(said(tested.item) for said in (nobodys, says_how, is_person))
        if known or tested.people is not None or sheet.table is None or sheet.table.parts:
            continue
        items = sheet.table.items
        alike = [item for item in items if may_be_called_so(item, tested.item)]
        if len(alike) > 1 and 2 * len(alike) > len(items):
            yield c.warning(
                (*(("tables", name) if own else ()), "tested"),
                f"{len(alike)} of {len(items)} items called like people: are they some?",
                "`people: yes` under `tested`, or `people: no`",
                "their names are published as they stand", "people-asked",
            )  # fmt: skip
            return


def people_by_looks(c: Context) -> Iterator[Problem]:
    """Groups called like people, and items called somebody's: their initials are shown."""
    for name, sheet in c.sheets.items():
        table = sheet.table
        if table is None or how_named(c.description, name) == "shown":
            continue
        for column in table.called_people:
            if not is_person(column):
                labels = [str(label) for label in table.frame[column].unique()]
                yield c.warning(
                    ("tables", name),
                    f"{listed(labels, 3)} in the column `{column}` of {sheet.file}, called like "
                    "people",
                    "a column called `bowler` or `coach` if they are some, or else what they are, "
                    "such as `model` or `house`",
                    "their initials are shown", "people-by-looks",
                )  # fmt: skip
        if table.owners:
            own = c.description.tables[name].tested
            yield c.warning(
                (*(("tables", name) if own else ()), "tested"),
                f"the {table.item} {listed(table.owners, 3)}, called somebody's",
                "`people: no` under `tested` if these are nobody's names",
                "initials are shown in their place", "people-by-looks",
            )  # fmt: skip


def left_out_of_downloads(c: Context) -> Iterator[Problem]:
    """Columns that no study.yaml mentions and that may tell of somebody: one line for each file."""
    left: dict[str, list[str]] = {}
    for file, column, goes in _spare(c):
        if not goes:
            left.setdefault(file, []).append(column)
    for file, columns in left.items():
        which = f"the column{'s' * (len(columns) > 1)} {listed(columns, 12)}, which nothing reads"
        wish = next((name for name in columns if not private(name)), "")
        table = next(s.name for s in c.sheets.values() if s.file == file)
        how = f"to take one along: `columns: {{{wish}: {wish}}}` under `{table}` in study.yaml"
        problem = fault(
            file, 1, None, which, "in a download, what the study reads, and plain numbers",
            how if wish else "", "not-in-download",
        )  # fmt: skip
        yield replace(
            problem, severity="warning",
            happens=f"data/{file} is published without {'them' if len(columns) > 1 else 'it'}",
        )  # fmt: skip


def _at(
    c: Context, path: Path, key: bool, found: str, expected: str, hint: str, code: str
) -> Problem:
    return c.error(path, found, expected, hint, code, key=key)


def _in_head(
    file: str, column: str, found: str, expected: str, hint: str, code: str
) -> Problem:
    return fault(file, 1, column, found, expected, hint, code)
