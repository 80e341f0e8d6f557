"""Clears away what lies beside the site after a publish, ended or killed: only what is ours.

A file is removed where it can be shown that nothing is lost: its content is what our list of files
says we wrote there, or the site has the very same.  Anybody else's file goes to its place in the
site; where that is taken, the whole tree with what is left in it is kept as ``site-kept``, and the
caller is told.  Only a tree with our mark UNFINISHED is removed whole: no site yet, nobody's place
to put a file.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

from explainer.errors import OutputError
from explainer.publish.manifest import NAME, read_manifest

#: Is called with the place where something was kept.
Kept = Callable[[Path], None]
#: Lies in a new site that is not whole yet.
UNFINISHED = ".explainer-unfinished"


def beside(target: Path, what: str) -> Path:
    """One of our own places beside the site: ``lock``, ``new`` or ``old``."""
    return target.parent / f".{target.name}.explainer-{what}"


def files_below(root: Path) -> list[str]:
    """Every file below ``root`` (links are not followed), as paths with /."""
    found, start = [], len(os.path.join(root, ""))
    for folder, names, files in os.walk(root):
        links = [n for n in names if os.path.islink(os.path.join(folder, n))]
        found += [os.path.join(folder, n)[start:].replace(os.sep, "/") for n in (*files, *links)]
    return sorted(found)


def empty_below(root: Path) -> list[str]:
    """Every folder below ``root`` with nothing in it.  We make none, so they are another's."""
    start = len(os.path.join(root, ""))
    return sorted(
        folder[start:].replace(os.sep, "/")
        for folder, names, files in os.walk(root)
        if not names and not files and len(folder) > start
    )


def is_ours(path: Path, hashed: str | None) -> bool:
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
            for path in files_below(tree):
                if path != UNFINISHED:
                    (tree / path).unlink()
            _remove_folders(tree, UNFINISHED)
        elif ours := _listed(tree):
            _remove_ours(tree, target, ours)
            _remove_folders(tree, NAME)
        elif not any(tree.iterdir()):  # killed right after it was made
            tree.rmdir()
    if os.path.lexists(tree):
        place = _free(target.with_name(f"{target.name}-kept"))
        tree.rename(place)
        kept(place)


def _remove_ours(tree: Path, target: Path, ours: Mapping[str, str]) -> None:
    """Removes what is ours of an old site, gives back what is not, and leaves the rest."""
    for folder in empty_below(tree):
        with suppress(OSError):
            (target / folder).mkdir(parents=True, exist_ok=True)
    for path in files_below(tree):
        old, now = tree / path, target / path
        if path == NAME:
            continue
        if _same(old, now) or is_ours(old, ours.get(path)):
            old.unlink()
        elif not os.path.lexists(now):
            with suppress(OSError):
                now.parent.mkdir(parents=True, exist_ok=True)
                old.rename(now)


def _remove_folders(tree: Path, mark: str) -> None:
    """Removes what is empty now; at the very end the file that tells what the tree is, so that
    it still tells if this is killed, too."""
    for folder, _, _ in os.walk(tree, topdown=False):
        if folder == str(tree):
            (tree / mark).unlink()
        with suppress(OSError):  # something is left in it
            os.rmdir(folder)


def _listed(tree: Path) -> Mapping[str, str]:
    """What we wrote there; nothing where the list cannot be read."""
    try:
        return read_manifest(tree).files
    except OutputError:
        return {}


def _same(a: Path, b: Path) -> bool:
    """Whether two paths name one file, or files of the same content."""
    with suppress(OSError):
        if os.path.samestat(a.lstat(), b.lstat()):
            return True
        if a.is_symlink() and b.is_symlink():
            return a.readlink() == b.readlink()
    content = _content(a)
    return content is not None and content == _content(b)


def _content(path: Path) -> str | None:
    """SHA-256 of a plain file; None for anything else."""
    with suppress(OSError):
        if stat.S_ISREG(path.lstat().st_mode):
            with path.open("rb") as stream:
                return hashlib.file_digest(stream, "sha256").hexdigest()
    return None


def _free(path: Path) -> Path:
    """``path``, or the first of path-2, path-3 … that nothing has."""
    found, number = path, 1
    while os.path.lexists(found):
        number += 1
        found = path.with_name(f"{path.name}-{number}")
    return found
