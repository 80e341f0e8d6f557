"""The glossary: entries read from YAML folders, found by any of their names.

A folder holds ``*.yaml``, one file per topic, each a list of entries (``entry.Entry``).  The
first folder's entry of a term wins, key by key: a workspace gives only what it says
differently and inherits the rest.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from explainer.errors import DescriptionError, Problem, WorkspaceError
from explainer.study import yaml12
from explainer.study.files import FileFault, files_within, read_within
from explainer.words.glossary.entry import NEEDED, Entry, build, check, shown
from explainer.words.glossary.forms import key, plural
from explainer.words.glossary.search import Index, squeezed

__all__ = ["Entry", "Glossary", "load_glossary"]


@dataclass(frozen=True, eq=False)
class Glossary:
    """Entries in alphabetical order, found by any name, plural, spelling or short form."""

    entries: tuple[Entry, ...]
    context: frozenset[str] = frozenset()
    """Words of the study the glossary is for, folded: they help tell senses of a word apart."""

    @cached_property
    def by_name(self) -> Mapping[str, Entry]:
        """Entry by each of its names (as ``forms.key`` writes them), then by their plurals."""
        named = {key(n): e for e in self.entries for n in e.names}
        plurals = {key(plural(n)): e for e in self.entries for n in e.names}
        return {**plurals, **named}

    @cached_property
    def index(self) -> Index:
        """What ``find`` and ``nearest`` look in where no name is written just so."""
        return Index(self.entries)

    def find(self, text: str) -> Entry | None:
        """The entry that goes by this name, however it is spaced, dotted or abbreviated."""
        return self.by_name.get(key(text)) or self.index.same_letters(text)

    def senses(self, text: str) -> tuple[Entry, ...]:
        """All entries that go by this name: the first meaning, then those that share it."""
        first, wanted = self.find(text), squeezed(text)
        others = [
            e for e in self.entries
            if e is not first and wanted in {squeezed(n) for n in e.shares}
        ]  # fmt: skip
        return (*(() if first is None else (first,)), *others)

    def nearest(self, text: str, n: int = 5) -> tuple[Entry, ...]:
        """The entries likeliest to be meant by ``text``, best first: by name, then by meaning."""
        named = self.find(text)
        found = self.index.by_meaning(text, n)
        return tuple(dict.fromkeys([*([named] if named else []), *found]))[:n]


def load_glossary(folders: tuple[Path, ...]) -> Glossary:
    """Every entry of the folders, earlier folders over later ones, key by key.

    A folder that does not exist counts as empty.  Raises WorkspaceError with every problem.
    """
    drafts = _Drafts()
    for folder in reversed(folders):
        drafts.add_folder(folder)
    problems = drafts.problems or [*drafts.missing(), *drafts.clashes(), *drafts.dangling()]
    if problems:
        raise WorkspaceError(problems)
    entries = (build(d.raw, d.topic) for d in drafts.by_term.values())
    return Glossary(tuple(sorted(entries, key=lambda e: key(e.term))))


_Places = dict[tuple[str | int, ...], tuple[str, int, int]]


@dataclass
class _Draft:
    """An entry while its keys are gathered; ``places`` holds file, line and column of each."""

    topic: str
    raw: dict[str, Any] = field(default_factory=dict)
    places: _Places = field(default_factory=dict)

    def names(self) -> Iterable[tuple[str, tuple[str | int, ...]]]:
        yield self.raw["term"], ("term",)
        for part in ("also", "found_as"):
            for i, name in enumerate(self.raw.get(part, ())):
                yield name, (part, i)

    def problem(self, at: tuple[str | int, ...], found: str, expected: str) -> Problem:
        while at not in self.places:
            at = at[:-1]
        file, line, column = self.places[at]
        return Problem(file, line, column, found=found, expected=expected, happens=_HAPPENS)


_HAPPENS = "the glossary cannot be used"


class _Drafts:
    """Gathers entries folder by folder, from the one that is overridden to the one that wins."""

    def __init__(self) -> None:
        self.by_term: dict[str, _Draft] = {}
        self.problems: list[Problem] = []

    def add_folder(self, folder: Path) -> None:
        settled = {key(n): d for d in self.by_term.values() for n, _ in d.names()}
        here: dict[str, _Draft] = {}
        try:
            files = files_within(folder.parent, folder, "*.yaml")
        except FileFault as fault:
            self.problems.append(_whole(folder.name, fault.found, fault.expected))
            return
        for path in files:
            name = f"{folder.name}/{path.name}"
            try:
                document = yaml12.read(read_within(folder.parent, path, yaml12.MAX_BYTES), name)
            except DescriptionError as fault:
                self.problems += fault.problems
                continue
            except FileFault as fault:
                self.problems.append(_whole(name, fault.found, fault.expected))
                continue
            data = document.value
            if not isinstance(data, list):
                found = shown(data)
                self.problems.append(_whole(name, found, "a list of entries, each with a term"))
                continue
            inner: list[_Places] = [{} for _ in data]
            for at, place in (document.places | document.keys).items():
                if at:
                    inner[int(at[0])][at[1:]] = (name, *place)
            for raw, places in zip(data, inner, strict=True):
                self._add(raw, _Draft(path.stem, {}, places), settled, here)

    def _add(
        self, raw: object, new: _Draft, settled: dict[str, _Draft], here: dict[str, _Draft]
    ) -> None:
        if not isinstance(raw, dict) or not isinstance(raw.get("term"), str):
            self.problems.append(new.problem((), shown(raw), "an entry with a term"))
            return
        faults = check(raw)
        self.problems += [new.problem(f.at, f.found, f.expected) for f in faults]
        name = key(raw["term"])
        if name in here:
            file, line, _ = here[name].places[("term",)]
            expected = f"one entry of a term (the other is at {file}:{line})"
            self.problems.append(new.problem(("term",), f"{raw['term']} twice", expected))
            return
        here[name] = new
        if name not in settled:
            new.raw = dict(raw)
            self.by_term[name] = new
            return
        old = settled[name]
        changed = {k: v for k, v in raw.items() if k != "term"}
        old.raw.update(changed)
        old.places.update({p: at for p, at in new.places.items() if p[:1] != ("term",)})

    def missing(self) -> list[Problem]:
        return [
            d.problem(("term",), f"{d.raw['term']} without {name}", f"a text under {name}")
            for d in self.by_term.values()
            for name in NEEDED
            if name not in d.raw
        ]

    def clashes(self) -> list[Problem]:
        """Names that two entries claim: nobody could tell which one a reader means."""
        owner: dict[str, _Draft] = {}
        problems = []
        for draft in self.by_term.values():
            for name, at in draft.names():
                other = owner.setdefault(key(name), draft)
                if other is not draft:
                    expected = f"a name of one entry only (also of {other.raw['term']})"
                    problems.append(draft.problem(at, f"the name {name}", expected))
        return problems

    def dangling(self) -> list[Problem]:
        known = {key(n) for d in self.by_term.values() for n, _ in d.names()}
        problems = []
        for draft in self.by_term.values():
            for i, name in enumerate(draft.raw.get("see", ())):
                if key(name) not in known:
                    close = difflib.get_close_matches(key(name), known, n=1)
                    expected = "a term of the glossary" + (f", such as {close[0]}" if close else "")
                    problems.append(draft.problem(("see", i), f"see: {name}", expected))
        return problems


def _whole(file: str, found: str, expected: str) -> Problem:
    return Problem(file, found=found, expected=expected, happens=_HAPPENS)
