"""What pages are made from, as hashes: the same hashes give the same pages.

Looked at in every publish, so nothing heavy is imported here.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.model import Workspace

_PACKAGE = Path(__file__).resolve().parent.parent
#: Libraries whose next version may draw, word or compute something otherwise.
LIBRARIES = (
    "fonttools", "jinja2", "markdown-it-py", "matplotlib", "numpy", "pandas", "pillow", "pint",
    "pydantic", "pyphen", "ruamel.yaml", "scipy", "segno", "statsmodels", "weasyprint",
)  # fmt: skip
#: Templates of pages that belong to no study; drafts are not published at all.
SHARED_ONLY = frozenset({
    "index.html.j2", "glossary.html.j2", "glossary.js", "topic.html.j2", "verdicts.html.j2",
    "study-yaml.html.j2", "commands.html.j2", "parts/others.html.j2",
})  # fmt: skip


@dataclass(frozen=True)
class Surroundings:
    """A hash of what the pages of any study are made from, and one of what shared pages are."""

    study: str
    shared: str


def surroundings(workspace: Workspace) -> Surroundings:
    """Hashes of all that pages are made from but the studies themselves.

    Code and libraries, settings, glossary and templates.
    """
    said = [sys.version, repr(workspace.settings), *(f"{n} {version(n)}" for n in LIBRARIES)]
    said += _tree(_PACKAGE, skip=("__pycache__/", "_shipped/"))
    said += _layers("glossary", workspace.glossary_folders)
    templates = _layers("templates", workspace.template_folders)
    own = [line for line in templates if line.split()[2] not in SHARED_ONLY]
    return Surroundings(digest_of((*said, *own)), digest_of((*said, *templates)))


def _layers(what: str, folders: tuple[Path, ...]) -> list[str]:
    """Files of folders that stand in for each other; ours, the last, is number 0."""
    return [
        f"{what} {number} {line}"
        for number, folder in enumerate(reversed(folders)) for line in _tree(folder)
    ]  # fmt: skip


def unchanged(folder: Path, read: Mapping[str, str]) -> bool:
    """Whether the files of a study still are what they were when it was built."""
    try:
        return bool(read) and all(
            hashlib.sha256(read_file(folder, name, MAX_CSV_BYTES)).hexdigest() == was
            for name, was in read.items()
        )
    except FileFault:
        return False  # gone, or no plain file any more: building says so with its place


def digest_of(lines: Iterable[str]) -> str:
    """One hash for many lines; no two lists of lines run together."""
    total = hashlib.sha256()
    for line in lines:
        content = line.encode()
        total.update(b"%d:" % len(content) + content)
    return total.hexdigest()


def _tree(root: Path, skip: tuple[str, ...] = ("drafts/",)) -> list[str]:
    """Each file below ``root``, as its name and its hash."""
    found = []
    for folder, _, names in os.walk(root):
        for name in names:
            path = os.path.join(folder, name)
            known = os.path.relpath(path, root).replace(os.sep, "/")
            if not any(part in f"{known}" for part in skip) and os.path.isfile(path):
                with open(path, "rb") as stream:
                    found.append(f"{known} {hashlib.file_digest(stream, 'sha256').hexdigest()}")
    return sorted(found)
