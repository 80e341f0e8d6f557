"""What pages are made from, as hashes: the same hashes give the same pages.

Looked at in every publish, so nothing heavy is imported here.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterable, Mapping
from importlib.metadata import version
from pathlib import Path

from explainer.errors import Problem, StudyError
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.model import Workspace

_PACKAGE = Path(__file__).resolve().parent.parent
#: Libraries whose next version may draw, word or compute something otherwise.
LIBRARIES = (
    "fonttools", "jinja2", "markdown-it-py", "matplotlib", "numpy", "pandas", "pillow", "pint",
    "pydantic", "pyphen", "ruamel.yaml", "scipy", "segno", "weasyprint",
)  # fmt: skip

def shared_inputs(workspace: Workspace) -> str:
    """One hash of all that pages are made from beside the studies themselves: our code, the
    libraries, the settings, the templates and the glossary."""
    said = [sys.version, repr(workspace.settings), *(f"{n} {version(n)}" for n in LIBRARIES)]
    said += _tree(_PACKAGE, skip=("__pycache__/", "_shipped/"))
    folders = {"templates": workspace.template_folders, "glossary": workspace.glossary_folders}
    for what, layers in folders.items():
        for number, folder in enumerate(reversed(layers)):  # ours, the last, is number 0
            said += [f"{what} {number} {line}" for line in _tree(folder)]
    return digest_of(said)


def study_inputs(shared: str, name: str, read: Mapping[str, str]) -> str:
    """One hash of all that a study's pages are made from: its files, as name to hash, and what
    all share.  Empty where its files are not known: it is then built each time."""
    return digest_of((shared, name, *(f"{n} {read[n]}" for n in sorted(read)))) if read else ""


def now(folder: Path, names: Iterable[str]) -> dict[str, str]:
    """The hash of each file of a study; empty for one that is gone or no plain file any more."""
    found = {}
    for name in names:
        try:
            found[name] = hashlib.sha256(read_file(folder, name, MAX_CSV_BYTES)).hexdigest()
        except FileFault:
            found[name] = ""  # building says so, with its place
    return found


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
        for name, is_now in now(folder, read).items()
        if is_now != read[name]
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
