"""Reading a study's files: only plain files inside the study's own folder, of bounded size."""

from __future__ import annotations

import json
import math
import os
import re
import stat
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from explainer.errors import listed, nearest, unlike
from explainer.study.unseen import first_unseen, one_code

#: A CSV file over this size is refused before it is read: a million shots take half of it, and
#: the worst that can stand in it is read within a gigabyte of memory.
MAX_CSV_BYTES = 50_000_000


#: How a file is opened to be read: as bytes, without waiting and, where the system can, through no
#: link.
PLAIN = (
    os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_BINARY", 0)
)  # fmt: skip
#: How a folder on the way to it is opened, which need not be one that may be listed.
_FOLDER = (
    getattr(os, "O_PATH", os.O_RDONLY) | getattr(os, "O_DIRECTORY", 0)
    | getattr(os, "O_NOFOLLOW", 0)
)  # fmt: skip


class FileFault(Exception):
    """Why a file cannot be read.  Internal: the reader adds the place and raises its own error."""

    def __init__(self, found: str, expected: str, hint: str = "", code: str = "file") -> None:
        super().__init__(found)
        self.found, self.expected, self.hint, self.code = found, expected, hint, code


def read_file(folder: Path, name: str, limit: int) -> bytes:
    """The bytes of the plain file ``name`` in ``folder``.

    Raises FileFault for a name that is a path, a link that leads out of the folder, a folder,
    device or pipe, a name that differs only in case, a missing file, and one over ``limit``.
    """
    _plain_name(name)
    name = _as_kept(folder, name)
    _same_case(folder, name)
    try:
        home = folder.resolve(strict=True)
        real = home / name
        if stat.S_ISLNK(real.lstat().st_mode):
            real = real.resolve(strict=True)
    except (OSError, RuntimeError):
        raise _missing(folder, name) from None
    if not real.is_relative_to(home):
        raise FileFault(
            f"`{name}`, a link out of the study folder", "a file inside it", code="path"
        )
    if not at_home(folder, home):  # it may have become a link since it was looked at
        raise FileFault(*AWAY, code="path")
    return _bytes(real, name, limit)


def read_within(root: Path, path: Path, limit: int) -> bytes:
    """The bytes of the plain file ``path``, which must lie below ``root``, links resolved.

    For a workspace's own glossary, phrases, templates and styles.  Raises FileFault as
    ``read_file`` does; it never quotes what a file outside holds.
    """
    name = path.relative_to(root).as_posix() if path.is_relative_to(root) else path.name
    try:
        home, real = root.resolve(strict=True), path.resolve(strict=True)
    except (OSError, RuntimeError):
        raise FileFault(f"`{name}`, which cannot be opened", "a file") from None
    if not lies_within(home, real):
        raise FileFault(f"`{name}`, a link out of the workspace", "a file inside it", code="path")
    return _bytes(real, name, limit)


def sound_json(said: bytes) -> Any:
    """What a JSON file says that may be anybody's.

    Raises ValueError besides for what JSON takes and nothing after it can: a number beyond a
    float's, or none, and half a character, which could not be written again.  RecursionError for
    one nested too deep.
    """

    def number(digits: str) -> float:
        if math.isfinite(value := float(digits)):
            return value
        raise ValueError(f"the number {digits[:20]}")

    def whole(digits: str) -> int:
        number(digits)
        return int(digits)

    made = json.loads(said, parse_int=whole, parse_float=number, parse_constant=number)
    json.dumps(made, ensure_ascii=False).encode()
    return made


def lies_within(root: Path, path: Path) -> bool:
    """Whether a path, links followed, is ``root`` or something below it; there need be neither.

    The one place where this is asked: whoever reads or writes for a workspace asks here.
    """
    try:
        return path.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError):  # a link that leads to itself
        return False


#: What is found where a study's folder is not at home, and what is expected.
AWAY = ("a study folder that is a link out of the workspace", "a folder in it")


def at_home(folder: Path, led: Path | None = None) -> bool:
    """Whether a folder in a workspace's ``studies`` leads nowhere else; ``led``: where it did."""
    studies = folder.parent
    return studies.name != "studies" or lies_within(studies.parent, led or folder)


def files_within(root: Path, folder: Path, pattern: str) -> list[Path]:
    """The files of that pattern in a folder below ``root``, by name; none where it is no folder.

    Raises FileFault for a folder that leads out of ``root``.
    """
    if not folder.is_dir():
        return []
    if not lies_within(root, folder):
        expected = "a folder inside it"
        raise FileFault(f"`{folder.name}`, a link out of the workspace", expected, code="path")
    return sorted(folder.glob(pattern))


def changed_at(path: Path) -> int:
    """When a file was last written, in nanoseconds; 0 for one that is not there."""
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


def _opened(path: Path) -> int:
    """A handle on a path that was resolved: no link is followed that was put into it since."""
    if os.open not in os.supports_dir_fd:
        return os.open(path, PLAIN)
    at = os.open(path.anchor, _FOLDER)
    try:
        for part in path.parts[1:-1]:
            inner = os.open(part, _FOLDER, dir_fd=at)
            os.close(at)
            at = inner
        return os.open(path.name, PLAIN, dir_fd=at)
    finally:
        os.close(at)


def _bytes(path: Path, name: str, limit: int) -> bytes:
    """Opened without waiting (a pipe would block) and looked at before anything is read."""
    try:
        handle = _opened(path)
    except OSError as error:
        raise FileFault(f"`{name}`, which cannot be opened", "a file", _why(error)) from None
    facts = os.fstat(handle)
    if not stat.S_ISREG(facts.st_mode):
        os.close(handle)
        raise FileFault(f"`{name}`, which is not a plain file", "a plain file", code="path")
    with os.fdopen(handle, "rb") as stream:
        if facts.st_size > limit:
            raise FileFault(f"{facts.st_size:,} bytes in `{name}`", f"at most {limit:,}")
        try:
            data = stream.read(limit + 1)
        except OSError as error:
            raise FileFault(f"`{name}`, which cannot be read", "a file", _why(error)) from None
        after = os.fstat(stream.fileno())
    if len(data) > limit:
        raise FileFault(f"more than {limit:,} bytes in `{name}`", f"at most {limit:,}")
    if (after.st_size, after.st_mtime_ns) != (facts.st_size, facts.st_mtime_ns):
        raise FileFault(  # half of what was read may be old, half new
            f"`{name}`, which changed while it was read", "a file that nobody is writing",
            "try again when it is saved", code="changing",
        )  # fmt: skip
    return data


def _why(error: OSError) -> str:
    return (error.strerror or "it cannot be read").lower()


#: Names that no file or folder can have on Windows, with whatever ending, and signs that none can
#: hold (Microsoft, "Naming Files, Paths, and Namespaces", from memory).
DEVICES = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))]
)
_NOWHERE = re.compile(r'[<>:"|?*]|[ .]\Z|^ ')


def kept_everywhere(name: str) -> bool:
    """Whether every system can keep a file or folder of that name, and everybody see all of it."""
    device = name.split(".")[0].strip().casefold() in DEVICES
    return not (device or _NOWHERE.search(name) or first_unseen(name) is not None
                or any(sign in name for sign in "\t\n\r"))  # fmt: skip


def _plain_name(name: str) -> None:
    parts = {PurePosixPath(name).name, PureWindowsPath(name).name}
    if parts != {name} or name in (".", "..") or "\0" in name or "/" in name or "\\" in name:
        raise FileFault(f"the path `{name}`", "the name of a file in the study folder", code="path")
    if not kept_everywhere(name):
        expected = "a name that every system can keep, such as `readings.csv`"
        raise FileFault(f"the name `{name}`", expected, code="path")


def _as_kept(folder: Path, name: str) -> str:
    """The name as the folder has it: some systems code accents in another way than was typed."""
    if name.isascii() or os.path.lexists(folder / name):
        return name
    return next((n for n in _names(folder) if one_code(n) == one_code(name)), name)


def _same_case(folder: Path, name: str) -> None:
    """A name that differs in case works on some computers and not on others: refused on all."""
    names = _names(folder)
    if name not in names:
        alike = [n for n in names if n.casefold() == name.casefold()]
        if alike:
            raise FileFault(f"`{name}`", f"`{alike[0]}`", "capital letters count")


def _missing(folder: Path, name: str) -> FileFault:
    names = [n for n in _names(folder) if n.endswith(Path(name).suffix)]
    stems = {Path(n).stem: n for n in names}
    near = nearest(Path(name).stem, stems)
    help = f"did you mean `{stems[near]}`?{unlike(name, stems[near])}" if near else ""
    expected = f"one of {listed(names)}" if names else "a file in the study folder"
    return FileFault(f"no file `{name}` in the study folder", expected, help, code="missing-file")


def _names(folder: Path) -> list[str]:
    try:
        return sorted(os.listdir(folder))
    except OSError:
        return []
