"""The glossary of a workspace, read once however many studies and pages ask for it, and with what
a study says of its own terms."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from explainer.study.files import changed_at
from explainer.study.model import Study, Workspace
from explainer.words.glossary.entries import Entry, Glossary, load_glossary
from explainer.words.glossary.entry import OWN, Source, key
from explainer.words.language import english, language
from explainer.words.phrases.somebody import of_somebody

#: Path, and time of last change in nanoseconds.
Stamp = tuple[str, int]


def glossary_of(workspace: Workspace) -> Glossary:
    """The workspace's glossary; read again only after one of its files has changed.

    That of another language than English lies in folders of its own, ``glossary/TAG``: half a
    dictionary in one language and half in another would help nobody.
    """
    folders, spoken = workspace.glossary_folders, language().tag
    if spoken != english().tag:
        folders = tuple(f / spoken for f in folders if (f / spoken).is_dir())
    files = [p for f in folders for p in sorted(f.glob("*.yaml"))]
    stamps = tuple((str(p), changed_at(p)) for p in files)
    return _loaded(folders, stamps)


def glossary_for(study: Study) -> Glossary:
    """The workspace's glossary with the terms of measures that the study explains itself.

    Where the glossary has the term, too, the study's sentence stands in for the explanation.  What
    is typical elsewhere is not told of a measure that this study has readings of, and the study's
    terms tell apart the senses of a word.
    """
    measures = tuple(
        _Measured(m.term or "", f"{m.term or name} {m.unit}", m.means or "", _read(study, name))
        for name, m in study.description.measures.items()
    )
    tables = study.tables.values()
    people = bool(tables) and all(table.people for table in tables)
    return _with_own(glossary_of(study.workspace), measures, people)


class _Measured(NamedTuple):
    """What a study says of one measure's term."""

    term: str
    context: str
    means: str
    read: bool


@lru_cache(maxsize=8)
def _with_own(shared: Glossary, measures: tuple[_Measured, ...], people: bool) -> Glossary:
    """Made once while a study says the same of its terms: all that links terms is built on it."""
    own: dict[str, Entry] = {}
    context: set[str] = set()
    for measure in measures:
        context |= set(key(measure.context).split())
        known = shared.find(measure.term) if measure.term else None
        if known is not None and known.typical and measure.read:
            own[known.term] = replace(known, typical="")
        if measure.term and measure.means:
            said = " ".join(measure.means.split())
            known = known or Entry(measure.term, measure.term, said)
            known = own.get(known.term, known)
            own[known.term] = replace(known, explained=said, topic=OWN, source=Source())
    entries = [*(e for e in shared.entries if e.term not in own), *own.values()]
    if people:
        entries = [_of_people(entry) for entry in entries]
    ordered = sorted(entries, key=lambda e: key(e.term))
    return Glossary(tuple(ordered), frozenset(context))


def _of_people(entry: Entry) -> Entry:
    """An entry as it is read beside a study of people: about measuring, without a gauge."""
    if entry.topic != "measuring":
        return entry
    return replace(
        entry, plainly=of_somebody(entry.plainly), explained=of_somebody(entry.explained),
        like=of_somebody(entry.like), careful=of_somebody(entry.careful),
    )  # fmt: skip


def _read(study: Study, name: str) -> bool:
    """Whether any table of the study has readings of the measure."""
    return any(
        bool(t.frame[name].notna().any()) for t in study.tables.values() if name in t.measures
    )


@lru_cache(maxsize=4)
def _loaded(folders: tuple[Path, ...], stamps: tuple[Stamp, ...]) -> Glossary:
    return load_glossary(folders)
