"""A new study folder, written whole or not at all, and never over another."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from explainer.errors import OutputError, UsageError
from explainer.study.files import DEVICES, kept_everywhere, lies_within
from explainer.study.unseen import seen

ORIGINALS = "originals"
SCHEMA = "study.schema.json"


def new_folder(name: str, workspace: Path) -> Path:
    """Where a study called ``name`` would stand.  Raises UsageError where something stands."""
    if not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,59}", name):
        raise UsageError(
            f"{name!r} cannot name a study; expected lower-case letters, digits and hyphens, "
            f"such as {better_name(name)}"
        )
    if name in DEVICES:
        raise UsageError(f"{name} cannot name a study: Windows keeps that name for itself")
    folder = workspace / "studies" / name
    if not lies_within(workspace, folder.parent):
        raise UsageError(
            f"{folder.parent} is a link out of the workspace, expected a folder in it; nothing "
            "was written"
        )
    if os.path.lexists(folder):
        raise UsageError(f"{folder} is there already; nothing was changed; choose another name")
    return folder


def better_name(name: str) -> str:
    """A name that a study may have, nearest to the one given."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "cover-texture"


#: Bytes of a file's name that are kept: every system takes as many, with a little before it.
_OF_A_NAME = 200


def plain_name(name: str) -> str:
    """The name of a file without a path of whichever system, as long as any system takes, and
    without what nobody sees in it; where no system or not every one can keep it, another one."""
    name = seen(name).replace("\\", "/").rsplit("/", 1)[-1].strip(" .")
    end = name.rpartition(".")[2] if "." in name else ""
    kind = f".{end}" if end.isalnum() and len(end) < 10 else ""
    if len(name.encode()) > _OF_A_NAME:
        name = name.encode()[:_OF_A_NAME].decode("utf-8", "ignore").removesuffix(kind) + kind
    return name if name and kept_everywhere(name) else f"sheet{kind or '.csv'}"


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """``files`` (by their path with /) as the new ``folder``.  Raises OutputError, UsageError."""
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=".draft-", dir=folder.parent))
    except OSError as fault:
        raise OutputError(f"cannot write {folder}: {fault.strerror or fault}") from fault
    try:
        for path, data in files.items():
            (made / path).parent.mkdir(parents=True, exist_ok=True)
            (made / path).write_bytes(data)
        made.chmod(0o777 & ~_umask())
        folder.mkdir()  # fails where somebody was quicker; a rename over an empty folder is safe
        if not hasattr(os, "O_DIRECTORY"):  # Windows
            folder.rmdir()  # but not there, where nothing is renamed over anything
        made.rename(folder)
    except FileExistsError:
        raise UsageError(f"{folder} is there already; nothing was changed") from None
    except OSError as fault:
        raise OutputError(f"cannot write {folder}: {fault.strerror or fault}") from fault
    finally:
        shutil.rmtree(made, ignore_errors=True)


def write_schema(studies: Path) -> None:
    """What an editor completes and checks a study.yaml by, beside the studies; ours to renew.

    Raises OutputError.
    """
    from explainer.study.description.study import schema_text

    path, said = studies / SCHEMA, schema_text().encode("utf-8")
    try:
        same = path.is_symlink() or (path.is_file() and path.read_bytes() == said)
    except OSError as fault:
        raise OutputError(f"cannot write {path}: {fault.strerror or fault}") from fault
    if not same:
        replace_file(path, said)


def replace_file(path: Path, data: bytes) -> None:
    """New content for a file, whole or not at all; a file that is there keeps its mode.

    It is put in the old one's place and not written into: a pipe would wait for ever, and a file
    that has a second name elsewhere would change there too.  Raises OutputError.
    """
    try:
        mode = path.stat().st_mode & 0o777 if path.is_file() else 0o666 & ~_umask()
        handle, made = tempfile.mkstemp(prefix=".study-", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            os.chmod(made, mode)
            os.replace(made, path)
        except OSError:
            os.unlink(made)
            raise
    except OSError as fault:
        raise OutputError(f"cannot write {path}: {fault.strerror or fault}") from fault


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
