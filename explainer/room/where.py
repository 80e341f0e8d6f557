"""The folder the workroom works in: where explainer was started, or one that it can write into."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from explainer.errors import OutputError
from explainer.study.workspace import workspace_above

#: What the folder is called where explainer was started from nowhere in particular.
OWN = "explainer studies"


def folder_to_work_in(
    given: Path | None, cwd: Path | None = None, home: Path | None = None
) -> Path:
    """``given``; else the workspace at or above the folder we are in; else that folder itself.

    A double click starts a program in the folder that it lies in, in the system's own, or at the
    top of a disk.  Nobody keeps studies there: then it is ``explainer studies`` among the user's
    documents, which is made.  Raises OutputError where that cannot be.
    """
    if given is not None:
        return given
    here = Path.cwd() if cwd is None else cwd
    above = workspace_above(here)
    if above is not None:
        return above
    programs = {Path(sys.argv[0]).resolve().parent, Path(sys.executable).resolve().parent}
    nowhere = here.resolve() in programs or here.resolve() == Path(here.resolve().anchor)
    if not nowhere and os.access(here, os.W_OK):
        return here
    home = Path.home() if home is None else home
    documents = home / "Documents"
    own = (documents if documents.is_dir() else home) / OWN
    try:
        own.mkdir(exist_ok=True)
    except OSError as fault:
        raise OutputError(f"cannot make {own}: {fault.strerror or fault}") from fault
    return own
