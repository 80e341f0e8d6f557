"""The glossary of a workspace, read once however many studies and pages ask for it, and with what
a study says of its own terms."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from explainer.study.files import changed_at
from explainer.study.model import Study, Workspace
from explainer.words.glossary.entries import Entry, Glossary, load_glossary
from explainer.words.glossary.entry import OWN, Source
from explainer.words.glossary.forms import key

#: Path, and time of last change in nanoseconds.
Stamp = tuple[str, int]


def glossary_of(workspace: Workspace) -> Glossary:
    """The workspace's glossary; read again only after one of its files has changed."""
    files = [p for f in workspace.glossary_folders for p in sorted(f.glob("*.yaml"))]
    stamps = tuple((str(p), changed_at(p)) for p in files)
    return _loaded(workspace.glossary_folders, stamps)


def glossary_for(study: Study) -> Glossary:
    """The workspace's glossary with the terms of measures that the study explains itself.

    Where the glossary has the term, too, the study's sentence stands in for the explanation.
    """
    shared = glossary_of(study.workspace)
    own: dict[str, Entry] = {}
    for measure in study.description.measures.values():
        if measure.term and measure.means:
            said = " ".join(measure.means.split())
            known = shared.find(measure.term) or Entry(measure.term, measure.term, said)
            own[known.term] = replace(known, explained=said, topic=OWN, source=Source())
    if not own:
        return shared
    entries = [e for e in shared.entries if e.term not in own]
    return Glossary(tuple(sorted([*entries, *own.values()], key=lambda e: key(e.term))))


@lru_cache(maxsize=4)
def _loaded(folders: tuple[Path, ...], stamps: tuple[Stamp, ...]) -> Glossary:
    return load_glossary(folders)
