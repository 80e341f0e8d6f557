"""What pages are made from, as hashes: the same hashes give the same pages.

Looked at in every publish, so nothing heavy is imported here.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

from explainer.errors import Problem, StudyError
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.model import Workspace

if TYPE_CHECKING:
    from explainer.words.asked import Asked
    from explainer.words.glossary import Glossary

_PACKAGE = Path(__file__).resolve().parent.parent
#: Libraries whose next version may draw, word or compute something otherwise.
LIBRARIES = (
    "fonttools", "jinja2", "markdown-it-py", "matplotlib", "numpy", "pandas", "pillow", "pint",
    "pydantic", "pyphen", "ruamel.yaml", "scipy", "segno", "weasyprint",
)  # fmt: skip
#: Files of a templates folder that only speak where something asks for them by name; all others
#: (phrases, the table of everyday sizes) count for every study.
_BY_NAME = (".j2", ".css", ".js")


@dataclass(frozen=True)
class Used:
    """What the pages of one study asked for of what all studies share."""

    templates: tuple[str, ...] = ()
    """Names of templates, styles and scripts."""
    words: str = ""
    """The words in which terms were looked for, with spaces."""
    terms: str = ""
    """Hash of all that the glossary said of terms that these words can name."""


@dataclass(frozen=True)
class Surroundings:
    """What pages are made from beside the studies themselves, as hashes."""

    house: str
    """Code, libraries, settings, phrases: what every page depends on."""
    templates: Mapping[str, str]
    """Name of a template, style or script to the hash of the file that speaks."""
    glossary: str
    """All of the glossary's files."""

    def of_study(self, used: Used) -> str:
        """A hash of everything but the glossary that a study's pages were made from.

        Empty where that cannot be told: a template was asked for by a name not seen here.
        """
        if not used.templates or not all(name in self.templates for name in used.templates):
            return ""
        named = (f"{name} {self.templates[name]}" for name in used.templates)
        return digest_of((self.house, *named))

    @property
    def of_shared_pages(self) -> str:
        """Everything at all."""
        every = (f"{name} {hashed}" for name, hashed in self.templates.items())
        return digest_of((self.house, self.glossary, *every))


def surroundings(workspace: Workspace) -> Surroundings:
    """Looks at all that pages are made from but the studies themselves."""
    said = [sys.version, repr(workspace.settings), *(f"{n} {version(n)}" for n in LIBRARIES)]
    said += _tree(_PACKAGE, skip=("__pycache__/", "_shipped/"))
    templates: dict[str, str] = {}
    for number, folder in enumerate(reversed(workspace.template_folders)):
        for line in _tree(folder):
            name, _, hashed = line.rpartition(" ")
            if name.endswith(_BY_NAME):
                templates[name] = hashed  # of one name the workspace's own, which comes last
            elif not name.startswith("drafts/"):  # drafts are not published at all
                said.append(f"templates {number} {line}")
    glossary = _layers("glossary", workspace.glossary_folders)
    return Surroundings(digest_of(said), dict(sorted(templates.items())), digest_of(glossary))


def used(asked: Asked, glossary: Glossary) -> Used:
    """What is remembered of what a study's pages asked."""
    words = " ".join(sorted(asked.words))
    return Used(tuple(sorted(asked.templates)), words, said_of(words, glossary))


def said_of(words: str, glossary: Glossary) -> str:
    """Hash of all that a glossary says of the terms that ``words`` can name.

    A term can only be found in a text that has every word of one of its names.  So where this
    stays the same each text finds what it found before, whatever else is new in the glossary:
    entries of other words, even new ones; and a new entry that a page would now link changes it.
    """
    return digest_of(map(repr, glossary.within(frozenset(words.split()))))


def _layers(what: str, folders: tuple[Path, ...]) -> list[str]:
    """Files of folders that stand in for each other; ours, the last, is number 0."""
    return [
        f"{what} {number} {line}"
        for number, folder in enumerate(reversed(folders)) for line in _tree(folder)
    ]  # fmt: skip


def unchanged(folder: Path, read: Mapping[str, str]) -> bool:
    """Whether the files of a study still are what they were when it was built."""
    return bool(read) and not any(True for _ in changed(folder, read))


def changed(folder: Path, read: Mapping[str, str]) -> Iterator[str]:
    """The files of a study that are not what they were when they were read."""
    for name, was in read.items():
        try:
            now = hashlib.sha256(read_file(folder, name, MAX_CSV_BYTES)).hexdigest()
        except FileFault:
            now = ""  # gone, or no plain file any more: building says so with its place
        if now != was:
            yield name


def held_still(folder: Path, read: Mapping[str, str]) -> None:
    """Raises StudyError where files changed while a study was read: what was read of one may
    not belong to what was read of another."""
    problems = [
        Problem(
            name, row=1 if name.endswith(".csv") else None, code="changing",
            found="a file that changed while the study was read",
            expected="files that nobody is writing",
            happens="the study is not published; publish again when they are saved",
        )
        for name in changed(folder, read)
    ]  # fmt: skip
    if problems:
        raise StudyError(problems)


def digest_of(lines: Iterable[str]) -> str:
    """One hash for many lines; no two lists of lines run together."""
    total = hashlib.sha256()
    for line in lines:
        content = line.encode()
        total.update(b"%d:" % len(content) + content)
    return total.hexdigest()


def _tree(root: Path, skip: tuple[str, ...] = ()) -> list[str]:
    """Each file below ``root``, as its name and its hash."""
    found = []
    for folder, _, names in os.walk(root):
        for name in names:
            path = os.path.join(folder, name)
            known = os.path.relpath(path, root).replace(os.sep, "/")
            if any(part in known for part in skip) or not os.path.isfile(path):
                continue  # a pipe or a device would never end
            if not Path(path).resolve().is_relative_to(root.resolve()):
                found.append(f"{known} a link that is not followed")
            else:
                with open(path, "rb") as stream:
                    found.append(f"{known} {hashlib.file_digest(stream, 'sha256').hexdigest()}")
    return sorted(found)
