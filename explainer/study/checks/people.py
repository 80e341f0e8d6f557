"""Names of people who are called by initials, where something else bears them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from explainer.errors import Problem
from explainer.study.checks.context import Context
from explainer.study.csvfile import fault
from explainer.study.naming import Hidden
from explainer.study.people import carried, masked
from explainer.study.tables import Sheet
from explainer.study.yaml12 import Path

_EXPECTED = "a name that tells nobody: bowlers are called by initials in everything published"
_HINT = "rename it; or, if everybody agreed to be named, `names: shown` under `tested`"


def nobody_given_away(c: Context) -> Iterator[Problem]:
    """No name that is published as it stands gives somebody away who is not to be named.

    A word that some people are called, too, is told once, and stays.
    """
    tables = {name: s.table for name, s in c.sheets.items() if s.table is not None}
    names = masked(c.description, tables).names
    hidden = Hidden.of(name for name, short in names.items() if name != short)
    if not hidden.parts:
        return
    asked: set[str] = set()
    for kind, name, told in _named(c):
        given = hidden.given_away(name)
        if given is None:
            continue
        word, surely = given
        found = f"the {kind} `{name}`, which names somebody"
        problem = told(found, _EXPECTED, _HINT, "names-somebody")
        if surely:
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
    for file in dict.fromkeys(s.file for s in c.sheets.values()):
        sheets = [s for s in c.sheets.values() if s.file == file]
        for column in _public_columns(c, sheets):
            yield "column", column, partial(_in_head, file, column)


def _public_columns(c: Context, sheets: list[Sheet]) -> list[str]:
    """The columns of a file that go with the downloads and are no measures."""
    tables = [s.table for s in sheets if s.table is not None]
    read = {str(name) for table in tables for name in table.frame.columns}
    columns = dict.fromkeys(name for sheet in sheets for name in sheet.columns)
    return [
        name for name in columns if name not in c.description.measures
        and (name in read or (tables and carried(c.description, tables, name)))
    ]  # fmt: skip


def _at(
    c: Context, path: Path, key: bool, found: str, expected: str, hint: str, code: str
) -> Problem:
    return c.error(path, found, expected, hint, code, key=key)


def _in_head(
    file: str, column: str, found: str, expected: str, hint: str, code: str
) -> Problem:
    return fault(file, 1, column, found, expected, hint, code)
