"""Writes a site whole or not at all.

Why a crash at any moment cannot leave half a site:

    1 write      every new file goes into .site.explainer-new, never into the site; what is known
                 to stay is linked in beside it meanwhile, by another process
    2 complete   what else stays is linked in; the whole is flushed to the disk
    3 check      every link of it is followed (check.py)
    4 exchange   one call makes the system exchange the names site and .site.explainer-new
    5 clear      the old site, now under the other name, is removed (recovery.py)

Until 4 nothing in the site is touched, so it is the old one.  4 happens or does not: there is no
moment between.  After 4 the site is the new one, which has been on the disk since 2.  Whatever a
crash leaves lies under names of ours beside the site, and the next publish clears it.

One exception.  A file system that cannot exchange two folders (Linux's own all can) takes two
renames: site to .site.explainer-old, new to site.  A crash just between them leaves no site, and
both whole ones beside it; the next publish puts the old one back.

    .site.explainer-lock   held while one publish writes; released by the system if it dies
    .site.explainer-new    the new site; after the exchange, the old one
    .site.explainer-old    the old site between those two renames
"""

from __future__ import annotations

import ctypes
import errno
import os
import secrets
import shutil
import stat
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path

from explainer.errors import OutputError, TargetBusyError
from explainer.publish.manifest import NAME, Manifest, digest, stays_inside
from explainer.publish.recovery import (
    UNFINISHED,
    Kept,
    below,
    beside,
    clear,
    is_ours,
    recover,
)

#: From <linux/fs.h>: exchange two paths in one step; and "relative to the working folder".
RENAME_EXCHANGE = 2
AT_FDCWD = -100
#: Whether a folder can be opened and flushed like a file: nowhere but on Windows it cannot.
FOLDERS_OPEN = hasattr(os, "O_DIRECTORY")
#: How a second name is given to a link itself and not to what it leads to, where that can be asked.
_ITSELF = {"follow_symlinks": False} if os.link in os.supports_follow_symlinks else {}
#: Lock files that this process holds open.
_HOLDS: set[int] = set()


@contextmanager
def held(target: Path, kept: Kept = lambda place: None) -> Iterator[None]:
    """Holds the target against another publish, and clears what a killed one left.

    Raises TargetBusyError if another is at it.
    """
    if not target.name or os.path.ismount(target):
        raise OutputError(
            f"{target} is a mount point: no other folder can be put in its place at once; nothing "
            f"was touched (publish into a folder inside it: --into {target / 'site'})"
        )
    lock = beside(target, "lock")
    if lock.is_dir() or lock.is_symlink():
        raise OutputError(
            f"{lock} is a {'link' if lock.is_symlink() else 'folder'}, and explainer keeps a plain "
            "file there while it publishes; move it away, then publish again; nothing was touched"
        )
    with _said(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        handle = _locked(lock, target)
    _HOLDS.add(handle)
    try:
        with _said(target):
            recover(target, kept)
        yield
    finally:
        with suppress(OSError):
            lock.unlink()
        _HOLDS.discard(handle)
        os.close(handle)


def _let_go() -> None:
    """In a copy of this process: a lock that it kept open would outlive us."""
    while _HOLDS:
        os.close(_HOLDS.pop())


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_let_go)


#: A link where our lock should lie would have a file made wherever it points (none on Windows).
NOT_THROUGH_A_LINK = getattr(os, "O_NOFOLLOW", 0)


def _locked(lock: Path, target: Path) -> int:
    """An open, locked lock file that still lies where it is looked for."""
    while True:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT | NOT_THROUGH_A_LINK, 0o644)
        try:
            lock_now(handle)
            if os.path.samestat(os.fstat(handle), os.stat(lock)):
                return handle
        except (BlockingIOError, PermissionError):  # the latter is what Windows says
            os.close(handle)
            raise TargetBusyError(
                f"another publish is writing to {target}; wait for it and try again"
            ) from None
        except FileNotFoundError:
            pass  # its last holder removed it between our open and our look: try again
        os.close(handle)


class Staging:
    """The new site while it grows beside the old one; its folder appears with the first file.

    Files are flushed to the disk as they come, so that a site of any size needs the memory of
    one study.
    """

    def __init__(self, target: Path, old: Manifest) -> None:
        self.target, self.old, self.root = target, old, beside(target, "new")
        self.fresh: dict[str, str] = {}
        """Path to hash of what was written."""
        self.carried: set[str] = set()
        """Paths of what was taken over already."""
        self._mark = b""
        self._made: dict[str, tuple[int, int]] = {}

    def begin(self) -> None:
        """Makes the folder of the new site, if it is not there.  Raises OutputError."""
        if self._mark:
            self.alone()
            return
        with _said(self.target):
            try:
                if self.target.is_dir():
                    _make_like(self.root, self.target)
                else:
                    self.root.mkdir()
            except FileExistsError:
                raise _not_alone(self.target) from None
            # Comes first and goes last: what lies beside it is ours, to throw away.
            mark = secrets.token_hex(16).encode()
            try:
                _write(self.root / UNFINISHED, mark)
            except OSError:
                with suppress(OSError):
                    shutil.rmtree(self.root)
                raise
            self._mark = mark

    @property
    def is_mine(self) -> bool:
        """Whether the new site is the one that was begun here."""
        with suppress(OSError):
            return bool(self._mark) and (self.root / UNFINISHED).read_bytes() == self._mark
        return False

    def alone(self) -> None:
        """Raises TargetBusyError where another publish was let in meanwhile: from a computer whose
        locks are not seen here, on a shared folder.  Two sites would be mixed into one.
        """
        if not self.is_mine:
            raise _not_alone(self.target)

    def untouched(self) -> None:
        """The same, also where another's file stands in place of one that was written here."""
        self.alone()
        for path, made in self._made.items():
            if _which(self.root / path) != made:
                raise _not_alone(self.target)

    @property
    def carry(self) -> Callable[[Iterable[str]], None]:
        """Takes files of the old site over, in this process or another.  Raises OutputError."""
        return partial(_carry, self.target, self.root)

    def write(self, path: str, content: bytes) -> None:
        """A file of the new site, in place of one of that name.  Raises OutputError.

        Refuses a path that leaves the site, whoever made it up.
        """
        if not stays_inside(path):
            raise OutputError(f"`{path}` would lie outside {self.target}; it was not written")
        self.begin()
        with _said(self.target):
            (self.root / path).unlink(missing_ok=True)
            _write(self.root / path, content)
            self._made[path] = _which(self.root / path)
        self.fresh[path] = digest(content)

    def read(self, path: str) -> bytes:
        """A file of the new site; empty where there is none."""
        place = self.root if path in self.fresh else self.target
        return (place / path).read_bytes() if (place / path).is_file() else b""

    def complete(self, manifest: Manifest) -> frozenset[str]:
        """The new site, whole and on the disk: everything that stays is taken over.

        Files and empty folders in the old site that are not ours stay, too.  Gives the path of
        every file that the new site has.  Raises OutputError.
        """
        present, empty = below(self.target)
        foreign = _foreign(self.target, present, self.old, manifest)
        self.write(NAME, manifest.to_bytes())
        done = self.fresh.keys() | self.carried
        self.carry((*(p for p in manifest.files if p not in done), *foreign))
        with _said(self.target):
            for path in empty:
                os.makedirs(self.root / path, exist_ok=True)
            _flush_tree(self.root)
        return frozenset((NAME, *manifest.files, *foreign))


@contextmanager
def staged(target: Path, old: Manifest, kept: Kept = lambda place: None) -> Iterator[Staging]:
    """A new site to fill.  Leaving the block without an error puts it in place, if anything was
    written; an error leaves the old one.  Raises OutputError.
    """
    staging, done = Staging(target, old), False
    try:
        yield staging
        if staging.fresh:
            with _said(target):
                staging.untouched()
                done = True  # from here on what lies there is ours without its mark
                (staging.root / UNFINISHED).unlink()
                if target.is_dir():
                    os.chmod(staging.root, stat.S_IMODE(target.stat().st_mode))
                _flush_folder(staging.root)
                _exchange(staging.root, target)
    finally:
        if (done or staging.is_mine) and staging.root.exists():
            with suppress(OSError):
                clear(staging.root, target, kept)


def no_links(target: Path, folders: Iterable[str]) -> None:
    """Raises OutputError where a folder that pages go into is a link: they would lie elsewhere."""
    for folder in sorted(folders):
        place = target / folder
        if place.is_symlink():
            raise OutputError(
                f"{place} is a link to {os.readlink(place)}; pages are written into folders of the "
                "site's own; remove the link, then publish again; nothing was touched"
            )


def _not_alone(target: Path) -> TargetBusyError:
    return TargetBusyError(
        f"another publish is writing to {target}, from a computer whose locks are not seen here; "
        "nothing was changed by this one; wait for it and try again"
    )


def _which(path: Path) -> tuple[int, int]:
    """What tells a file from another of the same name; nothing where there is none."""
    try:
        facts = os.lstat(path)
    except OSError:
        return 0, 0
    return facts.st_ino, facts.st_mtime_ns


def _make_like(folder: Path, other: Path) -> None:
    """A new folder with the owner, group, mode and attributes of another, before anything is in it:
    a site that few may read stays one, and its group is handed on.

    Raises PermissionError where the group cannot be given: the mode would speak of another one.
    """
    wanted = other.stat()
    folder.mkdir(mode=0o700)
    made = folder.stat()
    if made.st_uid != wanted.st_uid:
        with suppress(PermissionError):  # only the system's keeper gives folders away
            os.chown(folder, wanted.st_uid, -1)
    if made.st_gid != wanted.st_gid:
        try:
            os.chown(folder, -1, wanted.st_gid)
        except PermissionError:
            folder.rmdir()
            said = f"the group {wanted.st_gid} that it has cannot be given to a new folder"
            raise PermissionError(errno.EPERM, said, str(other)) from None
    with suppress(OSError):
        shutil.copystat(other, folder)  # attributes, of which some systems keep none
    os.chmod(folder, stat.S_IMODE(wanted.st_mode) | stat.S_IRWXU)  # we have to write into it


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("xb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())


def _carry(target: Path, root: Path, paths: Iterable[str]) -> None:
    """The same files under a second name; copies where the file system has no second names."""
    folders = set[str]()
    with _said(target):
        for path in paths:
            source, goal = f"{target}/{path}", f"{root}/{path}"
            folder = os.path.dirname(goal)
            if folder not in folders:
                os.makedirs(folder, exist_ok=True)
                folders.add(folder)
            try:
                _second(source, goal)
            except FileExistsError:  # of another process, which was ended before it was done
                os.unlink(goal)
                _second(source, goal)


def _second(source: str, goal: str) -> None:
    try:
        os.link(source, goal, **_ITSELF)
    except OSError as fault:
        if fault.errno not in (errno.EPERM, errno.EMLINK, errno.ENOTSUP, errno.EXDEV):
            raise
        shutil.copy2(source, goal, follow_symlinks=False)


def _foreign(target: Path, present: Iterable[str], old: Manifest, manifest: Manifest) -> list[str]:
    """Files in the site that are not ours, or that we wrote and somebody changed since.

    Raises OutputError where one of them is in the way of a new page.
    """
    found = []
    for path in present:
        if path == NAME or (path in old.files and path in manifest.files):
            continue
        if path in manifest.files:
            raise OutputError(
                f"{target / path} was not written by explainer and is in the way of a page; "
                "move it, then publish again; nothing was touched"
            )
        if not is_ours(f"{target}/{path}", old.ours.get(path)):
            found.append(path)
    return found


def _exchange(new: Path, target: Path) -> None:
    """The one step: ``target`` is the new site, ``new`` holds the old one (two where it must)."""
    if not target.exists():
        new.rename(target)
    elif not _exchanged(new, target):
        aside = beside(target, "old")
        target.rename(aside)
        try:
            new.rename(target)
        except OSError:
            aside.rename(target)
            raise
        aside.rename(new)
    _flush_folder(target.parent)


def _exchanged(a: Path, b: Path) -> bool:
    """Exchanges two folders in one step; False where the system or file system cannot.

    Raises OSError where it can and did not: nothing has moved then.
    """
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):  # Windows wants a name in place of None
        return False
    if renameat2(AT_FDCWD, os.fsencode(a), AT_FDCWD, os.fsencode(b), RENAME_EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in (errno.ENOSYS, errno.EINVAL):
        return False
    raise OSError(number, os.strerror(number), str(b))


def _flush_tree(root: Path) -> None:
    """Every folder below ``root`` to the disk, in one call where the system has it.

    A call for each of a thousand folders takes seconds, one for the file system hundredths.
    """
    flushed = False
    if FOLDERS_OPEN:
        handle = os.open(root, os.O_RDONLY)
        try:
            flushed = ctypes.CDLL(None, use_errno=True).syncfs(handle) == 0
        except (OSError, AttributeError):
            pass
        finally:
            os.close(handle)
    if not flushed:
        for folder, _, _ in os.walk(root, topdown=False):
            _flush_folder(Path(folder))


def _flush_folder(folder: Path) -> None:
    if not FOLDERS_OPEN:
        return  # NTFS keeps its own journal of names
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _said(target: Path) -> Iterator[None]:
    """Turns an error of the operating system into one line."""
    try:
        yield
    except OSError as fault:
        where = f" ({fault.filename})" if fault.filename else ""
        raise OutputError(
            f"cannot write {target}: {fault.strerror or fault}{where}; "
            "what was published before still stands"
        ) from fault


# --- One holder at a time: a lock on an open file, as the system has it.

if sys.platform == "win32":
    import msvcrt

    def lock_now(handle: int) -> None:
        """Locks an open file, or raises PermissionError at once; it ends with the process."""
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def lock_now(handle: int) -> None:
        """Locks an open file, or raises BlockingIOError at once; it ends with the process."""
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
