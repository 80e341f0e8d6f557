"""What we wrote into a site: the list that says which files are ours to replace or remove."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Container, Mapping
from dataclasses import asdict, dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from explainer.errors import OutputError, Problem
from explainer.publish.ties import Ties, read_ties, typed
from explainer.study.files import FileFault, read_file, sound_json
from explainer.study.unseen import first_unseen

#: The manifest's name in the site.
NAME = ".explainer.json"
#: Folders of the site that belong to no study.
RESERVED = frozenset({"glossary", "topic", "how"})
#: A list over this size is refused before it is read: a study takes about ten thousand bytes.
MAX_LIST_BYTES = 50_000_000
#: What ``study_id`` makes of a folder's name; anything else in a list could be a path.
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")

#: Files of the site itself, and those of a study below its folder, as they are named by
#: ``frontpage.py``, ``build.py``, ``data.py`` and, below ``script/``, the script and its kit.
_SHARED = re.compile(
    r"index\.html|feed\.xml|study\.schema\.json|(glossary|(topic|how)/[\w-]+)/index\.html"
)
_STUDYS = re.compile(
    r"index\.html|results\.json|(explainer|handout|rule-card)\.pdf|alone/(claim|fig)-[\w-]+\.html"
    r"|cards/(page|claim-[\w-]+)\.png|data/([^/]+\.csv|datapackage\.json)"
    r"|script/((script|stills|prompter)\.html|(script|shorts)\.md|(comment|description)\.txt"
    r"|(captions|chapters|timeline|cuts)(-[\w-]+)?\.(vtt|srt|txt|otio|csv)|open-questions\.yaml"
    r"|(stills(-tall|-beside)?|shorts)/(dark/)?[\w-]+\.png|shorts/[\w-]+\.(srt|otio)"
    r"|overlays/(dark/)?[\w-]+\.png|builds/(dark/)?[\w-]+\.(mp4|webm)"
    r"|timelines/[\w.-]+\.otio|(thumbnail|end-card)(-dark)?\.png)"
)


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
    """SHA-256 of each file of the study that this was made from, as it was read; nothing where it
    is to be built again each time."""
    lacks: str = ""
    """What could not be made on this computer and how to get what that needs, in one line."""


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

    @cached_property
    def ours(self) -> Mapping[str, str]:
        """Those of the files that explainer can have written, by their names."""
        return {p: said for p, said in self.files.items() if can_be_ours(p, self.studies)}

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
    if not os.path.lexists(target / NAME):
        if any(target.iterdir()):
            raise OutputError(
                f"{target} holds files that explainer did not write; nothing was touched "
                "(give an empty or a new folder)"
            )
        return Manifest()
    try:
        # A site may come from a stranger: its list may be a pipe, a link to elsewhere, or endless.
        return _parse(sound_json(read_file(target, NAME, MAX_LIST_BYTES)))
    except FileFault as fault:
        raise OutputError(
            f"cannot read {target / NAME}: {fault.hint or 'it is no plain file of the site'}; "
            "nothing was touched"
        ) from None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise OutputError(
            f"{target / NAME} is not a list of explainer's files; nothing was touched"
        ) from None


def read_listing(said: Mapping[str, Any]) -> Listing:
    """A listing as JSON keeps it.  Raises TypeError, ValueError or KeyError for anything else."""
    claims = tuple((str(a), str(b)) for a, b in said["claims"])
    return typed(Listing(**{**said, "claims": claims, "ties": read_ties(said.get("ties"))}))


def _parse(said: dict[str, Any]) -> Manifest:
    if first_unseen(json.dumps(said["studies"], ensure_ascii=False)) is not None:
        raise ValueError("a character that nobody sees")
    studies = {name: read_listing(entry) for name, entry in said["studies"].items()}
    files = {str(path): str(digest) for path, digest in said["files"].items()}
    if not all(map(stays_inside, files)):
        raise ValueError("a path that leaves the site")
    for name, listing in studies.items():
        if not _ID.fullmatch(name) or name in RESERVED or name != listing.id:
            raise ValueError("a name that is no study's")
    return Manifest(files, studies)


def can_be_ours(path: str, studies: Container[str]) -> bool:
    """Whether explainer writes a file of that name into a site that has or had those studies.

    A list may be a stranger's, and give the true hash of a file that somebody else put there: what
    has no name of ours is never removed, whatever the list says.
    """
    folder, _, below = path.partition("/")
    if folder in studies:
        return _STUDYS.fullmatch(below) is not None
    return _SHARED.fullmatch(path) is not None


def stays_inside(path: str) -> bool:
    """Whether a path with / names a file below the folder it starts from, and in one way only."""
    parts = path.split("/")
    return "\0" not in path and not any(part in ("", ".", "..") for part in parts)


def digest(content: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(content).hexdigest()
