"""The glossary of a workspace, read once however many studies and pages ask for it."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from explainer.study.model import Workspace
from explainer.words.glossary import Glossary, load_glossary

#: Path, time of last change in nanoseconds, size in bytes.
Stamp = tuple[str, int, int]


def glossary_of(workspace: Workspace) -> Glossary:
    """The workspace's glossary; read again only after one of its files has changed."""
    files = [p for f in workspace.glossary_folders for p in sorted(f.glob("*.yaml"))]
    stats = [(str(p), p.stat()) for p in files]
    return _loaded(
        workspace.glossary_folders, tuple((n, s.st_mtime_ns, s.st_size) for n, s in stats)
    )


@lru_cache(maxsize=4)
def _loaded(folders: tuple[Path, ...], stamps: tuple[Stamp, ...]) -> Glossary:
    return load_glossary(folders)
