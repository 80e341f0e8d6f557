"""What we wrote into a site: the list that says which files are ours to replace or remove."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from explainer.errors import OutputError, Problem
from explainer.publish.ties import Ties, read_ties

#: The manifest's name in the site.
NAME = ".explainer.json"
#: Folders of the site that belong to no study.
RESERVED = frozenset({"glossary", "topic", "how"})


@dataclass(frozen=True)
class Listing:
    """What the front page says about a study."""

    id: str
    title: str
    question: str
    answer: str
    invented: bool = False
    claims: tuple[tuple[str, str], ...] = ()
    """(the claim in plain words, its verdict in words)."""
    broken: bool = False
    """The study has problems now; these are its last good pages."""
    good: str = ""
    """Where broken: the day those pages were built, as YYYY-MM-DD (UTC)."""
    ties: Ties = field(default_factory=Ties)
    """What other studies may refer to."""


@dataclass(frozen=True)
class Built:
    """A study's files by their path below its folder, and what the front page says of it."""

    listing: Listing
    files: Mapping[str, bytes]
    warnings: tuple[Problem, ...] = ()
    """What did not fit a sheet of paper."""
    read: Mapping[str, str] = field(default_factory=dict)
    """SHA-256 of each file of the study that this was made from, as it was read."""


@dataclass(frozen=True)
class Manifest:
    """Every file of ours with the SHA-256 of its content, and the studies they belong to."""

    files: Mapping[str, str] = field(default_factory=dict)
    """Path in the site, with /, to hash."""
    studies: Mapping[str, Listing] = field(default_factory=dict)

    @cached_property
    def _by_folder(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for path in self.files:
            found.setdefault(path.partition("/")[0], []).append(path)
        return {folder: tuple(paths) for folder, paths in found.items()}

    def of_study(self, study: str) -> tuple[str, ...]:
        """The files of one study."""
        return self._by_folder.get(study, ())

    def to_bytes(self) -> bytes:
        """The same manifest gives the same bytes."""
        said = {
            "format": 1,
            "files": dict(sorted(self.files.items())),
            "studies": {name: asdict(listing) for name, listing in sorted(self.studies.items())},
        }
        return (json.dumps(said, ensure_ascii=False, indent=1) + "\n").encode()


def read_manifest(target: Path) -> Manifest:
    """The manifest of a site, empty for a place where nothing is yet.

    Raises OutputError where files lie there that we did not write: they could be anybody's.
    """
    if not target.exists():
        return Manifest()
    if not target.is_dir():
        raise OutputError(f"{target} is a file; a site needs a folder")
    try:
        text = (target / NAME).read_text(encoding="utf-8")
    except FileNotFoundError:
        if any(target.iterdir()):
            raise OutputError(
                f"{target} holds files that explainer did not write; nothing was touched "
                "(give an empty or a new folder)"
            ) from None
        return Manifest()
    except (OSError, UnicodeDecodeError) as fault:
        raise OutputError(f"cannot read {target / NAME}: {fault}; nothing was touched") from None
    try:
        return _parse(json.loads(text))
    except (ValueError, TypeError, KeyError, AttributeError):
        raise OutputError(
            f"{target / NAME} is not a list of explainer's files; nothing was touched"
        ) from None


def read_listing(said: Mapping[str, Any]) -> Listing:
    """A listing as JSON keeps it.  Raises TypeError, ValueError or KeyError for anything else."""
    claims = tuple((str(a), str(b)) for a, b in said["claims"])
    return Listing(**{**said, "claims": claims, "ties": read_ties(said.get("ties"))})


def _parse(said: dict[str, Any]) -> Manifest:
    studies = {name: read_listing(entry) for name, entry in said["studies"].items()}
    files = {str(path): str(digest) for path, digest in said["files"].items()}
    if any(not _stays_inside(path) for path in files):
        raise ValueError("a path that leaves the site")
    return Manifest(files, studies)


def _stays_inside(path: str) -> bool:
    return not path.startswith("/") and ".." not in path.split("/")


def digest(content: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(content).hexdigest()
