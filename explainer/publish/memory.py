"""What earlier publishes remember, so that only what changed is built again.

    <cache>/<workspace and target, hashed>/<study>.json      one study
                                          /@shared.json      the pages that belong to no study

It holds no pages: only which hashes went in and which came out.  The pages are the site's own,
and each is hashed again before it is kept, so the folder may be deleted, old or spoilt at any
time: the worst that follows is a build.  It lies with the user and not in the workspace, since a
workspace may come from a stranger.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from itertools import compress
from pathlib import Path
from typing import Any

from explainer.errors import Problem
from explainer.publish.check import Looked
from explainer.publish.manifest import Listing, read_listing

SHARED = "@shared"
FORMAT = 1


@dataclass(frozen=True)
class Entry:
    """One study, or the shared pages, as last published."""

    around: str
    """Hash of what it was made from beside the study's own files."""
    files: Mapping[str, str]
    """Path in the site to hash, of everything that was made."""
    read: Mapping[str, str] = field(default_factory=dict)
    """Hash of each of the study's own files."""
    listing: Listing | None = None
    warnings: tuple[Problem, ...] = ()
    looked: Mapping[str, Looked] = field(default_factory=dict)
    """What the check found on each page."""


def cache_folder() -> Path:
    """EXPLAINER_CACHE, else where the system keeps such things (XDG Base Directory)."""
    given = os.environ.get("EXPLAINER_CACHE")
    if given:
        return Path(given)
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "explainer"


class Memory:
    """The entries of one workspace published to one place."""

    def __init__(self, root: Path, target: Path, folder: Path | None = None) -> None:
        pair = f"{os.path.abspath(root)}\0{os.path.abspath(target)}".encode()
        self._folder = (folder or cache_folder()) / hashlib.sha256(pair).hexdigest()[:16]

    def recall(self, name: str) -> Entry | None:
        """What is remembered; None for nothing, and for what makes no sense."""
        try:
            said = json.loads((self._folder / f"{name}.json").read_bytes())
            return _read(said) if said["format"] == FORMAT else None
        except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return None

    def keep(self, name: str, entry: Entry) -> None:
        """Remembers, if it can: a cache that cannot be written costs time and nothing else."""
        said = json.dumps({"format": FORMAT, **asdict(entry)}, ensure_ascii=False)
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            beside = self._folder / f".{name}.{os.getpid()}"
            beside.write_text(said, encoding="utf-8")
            beside.replace(self._folder / f"{name}.json")

    def forget(self, name: str) -> None:
        """Drops an entry."""
        with suppress(OSError):
            (self._folder / f"{name}.json").unlink(missing_ok=True)


def intact(target: Path, entries: Mapping[str, Entry]) -> frozenset[str]:
    """The names of the entries whose every file in the site has just the content remembered."""

    def whole(entry: Entry) -> bool:
        with suppress(OSError):
            return all(_hash(os.path.join(target, p)) == h for p, h in entry.files.items())
        return False

    with ThreadPoolExecutor(2) as threads:  # hashing leaves the interpreter free for the other
        return frozenset(compress(entries, threads.map(whole, entries.values())))


def _hash(path: str) -> str:
    with open(path, "rb", buffering=0) as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _read(said: dict[str, Any]) -> Entry:
    listing = said["listing"]
    return Entry(
        str(said["around"]),
        {str(path): str(hashed) for path, hashed in said["files"].items()},
        {str(name): str(hashed) for name, hashed in said["read"].items()},
        read_listing(listing) if listing else None,
        tuple(Problem(**problem) for problem in said["warnings"]),
        {
            str(path): Looked(tuple(map(str, looked["ids"])), tuple(map(str, looked["links"])))
            for path, looked in said["looked"].items()
        },
    )
