"""A new study folder, written whole or not at all, and never over another."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from explainer.errors import OutputError, UsageError

ORIGINALS = "originals"


def new_folder(name: str, workspace: Path) -> Path:
    """Where a study called ``name`` would stand.  Raises UsageError where something stands."""
    if not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,59}", name):
        raise UsageError(
            f"{name!r} cannot name a study; expected lower-case letters, digits and hyphens, "
            f"such as {better_name(name)}"
        )
    folder = workspace / "studies" / name
    if os.path.lexists(folder):
        raise UsageError(f"{folder} is there already; nothing was changed; choose another name")
    return folder


def better_name(name: str) -> str:
    """A name that a study may have, nearest to the one given."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "cover-texture"


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
        made.rename(folder)
    except FileExistsError:
        raise UsageError(f"{folder} is there already; nothing was changed") from None
    except OSError as fault:
        raise OutputError(f"cannot write {folder}: {fault.strerror or fault}") from fault
    finally:
        shutil.rmtree(made, ignore_errors=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
