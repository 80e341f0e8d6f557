"""What earlier publishes remember, so that only what changed is built again.

    <cache>/<workspace and target, hashed>/<study>.json      one study
                                          /@shared.json      the pages about all studies
                                          /@guides.json      the pages about none

It holds no pages: only which hashes went in and which came out.  The pages are the site's own,
and each is hashed again before it is kept.  An entry begins with a hash of all that it says and of
whose it is, so one that is spoilt, cut short or another's is no entry.  The folder may be deleted
at any time: the worst that follows is a build.  It lies with the user and not in the workspace,
since a workspace may come from a stranger.
"""

from __future__ import annotations

import errno
import functools
import hashlib
import json
import os
import stat
import sys
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from importlib.metadata import version as version_of
from itertools import compress
from pathlib import Path
from typing import Any

from explainer.errors import Problem, StudyError
from explainer.publish.check import Looked
from explainer.publish.manifest import Listing, read_listing
from explainer.study.files import (
    MAX_CSV_BYTES,
    PLAIN,
    FileFault,
    lies_within,
    read_file,
    sound_json,
)
from explainer.study.model import Workspace

# What pages are made from, as hashes: the same hashes give the same pages.
# Looked at in every publish, so nothing heavy is imported here.

version = functools.cache(version_of)
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
            lines = _tree(folder, inside=folder.parent)  # as far as what is read is followed
            said += [f"{what} {number} {line}" for line in lines]
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


def _tree(root: Path, skip: tuple[str, ...] = (), inside: Path | None = None) -> list[str]:
    """Each file below ``root``, as its name and its hash.

    Links are followed inside ``inside``, each folder they lead to once, but none that holds
    ``root`` itself.
    """
    found: list[str] = []
    home, top = (inside or root).resolve(), root.resolve()
    seen, todo = {top}, [root]
    while todo:
        for folder, folders, names in os.walk(todo.pop()):
            for name in folders:
                real = Path(folder, name).resolve()
                linked = os.path.islink(os.path.join(folder, name))
                if linked and lies_within(home, real) and not lies_within(real, top):
                    found.append(f"{_below(root, folder, name)} leads to {real}")
                    todo += [] if real in seen else [real]
                    seen.add(real)
            for name in names:
                known = _below(root, folder, name)
                if not any(part in known for part in skip):
                    found += _content(os.path.join(folder, name), known, home)
    return sorted(found)


def _below(root: Path, folder: str, name: str) -> str:
    return os.path.relpath(os.path.join(folder, name), root).replace(os.sep, "/")


def _content(path: str, known: str, home: Path) -> list[str]:
    """A file by its name and hash; nothing of a pipe or a device, which would never end."""
    if not os.path.isfile(path):
        return []
    if not lies_within(home, Path(path)):
        return [f"{known} a link that is not followed"]
    with open(path, "rb") as stream:
        return [f"{known} {hashlib.file_digest(stream, 'sha256').hexdigest()}"]


SHARED, GUIDES = "@shared", "@guides"
FORMAT = 4


@dataclass(frozen=True)
class Kept:
    """One study, or pages that belong to none, as last published."""

    made_from: str
    """Hash of all that it was made from; empty where that cannot be told."""
    files: Mapping[str, str]
    """Path in the site to hash, of everything that was made."""
    read: tuple[str, ...] = ()
    """Names of the study's own files."""
    listing: Listing | None = None
    warnings: tuple[Problem, ...] = ()
    looked: Mapping[str, Looked] = field(default_factory=dict)
    """What the check found on each page."""


def cache_folder() -> Path:
    """EXPLAINER_CACHE, else where the system keeps such things (XDG Base Directory)."""
    given = os.environ.get("EXPLAINER_CACHE")
    if given:
        return Path(given)
    local = os.environ.get("LOCALAPPDATA") if os.name == "nt" else None
    kept = local or os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(kept) / "explainer"


#: Bytes of an entry.
_MOST = 50_000_000


class BuildCache:
    """The entries of one workspace published to one place."""

    def __init__(self, root: Path, target: Path, folder: Path | None = None) -> None:
        pair = f"{os.path.abspath(root)}\0{os.path.abspath(target)}".encode()
        self._pair = hashlib.sha256(pair).hexdigest()
        self.folder = (folder or cache_folder()) / self._pair[:16]

    def recall(self, name: str) -> Kept | None:
        """What is remembered; None for nothing, and for what makes no sense."""
        try:
            entry = _plain(self.folder / f"{name}.json", _MOST)
            seal, _, said = entry.partition(b"\n")
            return _read(sound_json(said)) if seal == self._seal(name, said) else None
        except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return None

    def keep(self, name: str, entry: Kept) -> None:
        """Remembers, if it can: a cache that cannot be written costs time and nothing else."""
        said = json.dumps(asdict(entry), ensure_ascii=False).encode()
        with suppress(OSError):
            self.folder.parent.mkdir(parents=True, exist_ok=True)
            self.folder.mkdir(mode=0o700, exist_ok=True)  # whoever may write here is believed
            beside = self.folder / f".{name}.{os.getpid()}"
            beside.write_bytes(self._seal(name, said) + b"\n" + said)
            beside.replace(self.folder / f"{name}.json")

    def _seal(self, name: str, said: bytes) -> bytes:
        """A hash of the entry and of whose it is.  It holds off accidents: whoever can write into
        the folder can also compute it, and could as well write into the site."""
        whose = f"{FORMAT}\0{self._pair}\0{name}\0".encode()
        return hashlib.sha256(whose + said).hexdigest().encode()


def intact(
    target: Path,
    said: Mapping[str, Mapping[str, str]],
    also: Callable[[Iterable[str]], None] | None = None,
) -> frozenset[str]:
    """The names under which every file named in the site has just the hash that is said.

    ``also`` is called with the files of each.
    """

    def whole(files: Mapping[str, str]) -> bool:
        try:
            found = all(_hash(os.path.join(target, p)) == h for p, h in files.items())
        except OSError:
            return False
        if found and also:
            also(files)
        return found

    with ThreadPoolExecutor(2) as threads:  # hashing leaves the interpreter free for the other
        return frozenset(compress(said, threads.map(whole, said.values())))


def _hash(path: str) -> str:
    """SHA-256 of a plain file.  Raises OSError for anything else, and waits for nothing."""
    return hashlib.sha256(_plain(path)).hexdigest()


def _plain(path: str | Path, most: int | None = None) -> bytes:
    """What a plain file (of at most so many bytes) holds.  Raises OSError for anything else, and
    waits for nothing."""
    handle = os.open(path, PLAIN)
    with open(handle, "rb", buffering=0) as stream:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode) or (most is not None and found.st_size > most):
            raise OSError(errno.EINVAL, "no plain file", path)
        return stream.read()


def _read(said: dict[str, Any]) -> Kept:
    listing = said["listing"]
    return Kept(
        str(said["made_from"]),
        {str(path): str(hashed) for path, hashed in said["files"].items()},
        tuple(map(str, said["read"])),
        read_listing(listing) if listing else None,
        tuple(Problem(**problem) for problem in said["warnings"]),
        {
            str(path): Looked(tuple(map(str, looked["ids"])), tuple(map(str, looked["links"])))
            for path, looked in said["looked"].items()
        },
    )
