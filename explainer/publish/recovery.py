"""Clears away what lies beside the site after a publish, ended or killed: only what is ours.

A file is removed where it can be shown that nothing is lost: its name is one that we give, and its
content what our list of files says we wrote there, or the site has the very same.  Anybody else's
file goes to its place in the site; where that is taken, the whole tree with what is left in it is
kept as ``site-kept``, and the caller is told.  Only a tree with our mark UNFINISHED is removed
whole: no site yet, nobody's place to put a file.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

from explainer.errors import OutputError
from explainer.publish.manifest import NAME, Manifest, read_manifest

#: Is called with the place where something was kept.
Kept = Callable[[Path], None]
#: Lies in a new site that is not whole yet.
UNFINISHED = ".explainer-unfinished"
#: Folders removed at a time.  Some systems wait for the disk at each that goes (ext4
#: without a journal, mounted with ``discard``, for milliseconds); so many wait together.
HANDS = 8


def beside(target: Path, what: str) -> Path:
    """One of our own places beside the site: ``lock``, ``new`` or ``old``."""
    return target.parent / f".{target.name}.explainer-{what}"


def below(root: str | Path) -> tuple[list[str], list[str]]:
    """Every file below ``root`` and every folder with nothing in it, as paths with /.

    Links are not followed.  We make no empty folders, so they are another's.
    """
    files, empty, waiting = [], [], [""]
    while waiting:
        folder = waiting.pop()
        inside = _inside(os.path.join(root, folder))
        if inside == [] and folder:
            empty.append(folder.removesuffix("/"))
        for entry in inside or ():
            if entry.is_dir(follow_symlinks=False):
                waiting.append(f"{folder}{entry.name}/")
            else:
                files.append(folder + entry.name)
    return sorted(files), sorted(empty)


def is_ours(path: str, hashed: str | None) -> bool:
    """Whether a file is a plain one with just the content that we wrote."""
    return hashed is not None and _content(path) == hashed


def recover(target: Path, kept: Kept) -> None:
    """Brings the site back where a publish was killed between two renames; clears the rest."""
    aside, new = beside(target, "old"), beside(target, "new")
    if aside.is_dir() and not aside.is_symlink() and not os.path.lexists(target):
        aside.rename(target)
    for tree in (aside, new):
        if os.path.lexists(tree):
            clear(tree, target, kept)


def clear(tree: Path, target: Path, kept: Kept) -> None:
    """Removes a site that is old or half built, as the top of this file says."""
    if tree.is_dir() and not tree.is_symlink():
        if (tree / UNFINISHED).exists():
            _remove(tree, UNFINISHED, os.unlink)
        elif (listed := _listed(tree)).files:
            _remove_ours(tree, target, listed)
        elif not any(tree.iterdir()):  # killed right after it was made
            tree.rmdir()
    if os.path.lexists(tree):
        place = _free(target.with_name(f"{target.name}-kept"))
        tree.rename(place)
        kept(place)


def _remove_ours(tree: Path, target: Path, listed: Manifest) -> None:
    """Removes what is ours of an old site, gives back what is not, and leaves the rest."""
    ours = listed.ours
    start, goal = len(os.path.join(tree, "")), os.path.join(target, "")

    def take(old: str) -> None:
        path = old[start:]
        now = goal + path
        if _same(old, now) or is_ours(old, ours.get(path.replace(os.sep, "/"))):
            os.unlink(old)
        elif not os.path.lexists(now):
            with suppress(OSError):
                os.makedirs(os.path.dirname(now), exist_ok=True)
                os.rename(old, now)

    # One of ours that is empty was emptied by a clearing that was killed: it goes, too.
    folders = folders_of(listed.files)

    def give(folder: str) -> None:
        if folder[start:].replace(os.sep, "/") in folders:
            return
        with suppress(OSError):
            os.makedirs(goal + folder[start:], exist_ok=True)

    _remove(tree, NAME, take, give)


def folders_of(paths: Iterable[str]) -> frozenset[str]:
    """Every folder that files at these paths, with /, lie in."""
    found = set[str]()
    for path in paths:
        folder = path.rpartition("/")[0]
        while folder and folder not in found:
            found.add(folder)
            folder = folder.rpartition("/")[0]
    return frozenset(found)


def _remove(
    tree: Path,
    mark: str,
    take: Callable[[str], None],
    give: Callable[[str], None] = lambda folder: None,
) -> None:
    """Takes each file with ``take``, and removes what is empty then; ``give`` is told of folders
    that were.  At the very end goes the file that tells what the tree is, so that it still tells
    if this is killed, too.
    """

    def emptied(entry: os.DirEntry[str], folders: list[str]) -> list[str]:
        if not entry.is_dir(follow_symlinks=False):
            take(entry.path)
            return folders
        inside = _inside(entry.path)
        if inside == []:
            give(entry.path)
        for inner in inside or ():
            emptied(inner, folders)
        folders.append(entry.path)
        return folders

    with ThreadPoolExecutor(HANDS) as hands:
        for entry in _inside(tree) or ():
            if entry.name != mark:
                hands.submit(_removed, emptied(entry, []))
    os.unlink(tree / mark)
    with suppress(OSError):
        os.rmdir(tree)


def _removed(folders: Iterable[str]) -> None:
    """Removes each of the folders, inner ones first, that is empty."""
    for folder in folders:
        with suppress(OSError):  # something is left in it
            os.rmdir(folder)


def _inside(folder: str | Path) -> list[os.DirEntry[str]] | None:
    """What stands in a folder; None where it cannot be read."""
    with suppress(OSError), os.scandir(folder) as entries:
        return list(entries)
    return None


def _listed(tree: Path) -> Manifest:
    """What we wrote there; nothing where the list cannot be read."""
    try:
        return read_manifest(tree)
    except OutputError:
        return Manifest()


def _same(a: str, b: str) -> bool:
    """Whether two paths name one file, or files of the same content."""
    with suppress(OSError):
        if os.path.samestat(os.lstat(a), os.lstat(b)):
            return True
        if os.path.islink(a) and os.path.islink(b):
            return os.readlink(a) == os.readlink(b)
    content = _content(a)
    return content is not None and content == _content(b)


def _content(path: str) -> str | None:
    """SHA-256 of a plain file; None for anything else."""
    with suppress(OSError):
        if stat.S_ISREG(os.lstat(path).st_mode):
            with open(path, "rb") as stream:
                return hashlib.file_digest(stream, "sha256").hexdigest()
    return None


def _free(path: Path) -> Path:
    """``path``, or the first of path-2, path-3 … that nothing has."""
    found, number = path, 1
    while os.path.lexists(found):
        number += 1
        found = path.with_name(f"{path.name}-{number}")
    return found
