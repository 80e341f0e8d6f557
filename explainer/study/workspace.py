"""A workspace: a folder with ``studies/``, its settings, and where glossary and templates are."""

from __future__ import annotations

import os
from pathlib import Path

from explainer.errors import DescriptionError, Problem, WorkspaceError
from explainer.study.describe import describe
from explainer.study.description.study import Settings
from explainer.study.files import FileFault, read_file, read_within
from explainer.study.model import Workspace
from explainer.study.yaml12 import MAX_BYTES, Document, read

_PACKAGE = Path(__file__).resolve().parent.parent
SETTINGS = "settings.yaml"


def shipped(what: str) -> Path:
    """Our own ``glossary`` or ``templates``: inside an installed package, beside a checkout."""
    installed = _PACKAGE / "_shipped" / what
    return installed if installed.is_dir() else _PACKAGE.parent / what


def home() -> Path:
    """The workspace we ship: the repository itself, or the installed package's folder."""
    return _PACKAGE / "_shipped" if (_PACKAGE / "_shipped").is_dir() else _PACKAGE.parent


def open_workspace(root: Path) -> Workspace:
    """The workspace at ``root``.  Raises WorkspaceError for faulty settings."""
    root = Path(os.path.abspath(root))
    return Workspace(
        root=root,
        settings=_settings(root / "studies"),
        glossary_folders=_folders(root, "glossary"),
        template_folders=_folders(root, "templates"),
    )


def workspace_above(folder: Path) -> Path | None:
    """The nearest folder at or above ``folder`` that has ``studies/``, None if there is none."""
    folder = Path(os.path.abspath(folder))
    return next((f for f in (folder, *folder.parents) if (f / "studies").is_dir()), None)


def _folders(root: Path, what: str) -> tuple[Path, ...]:
    """The workspace's own folder first, then ours; each once."""
    own, ours = root / what, shipped(what)
    folders = [own] if own.is_dir() else []
    if not folders or own.resolve() != ours.resolve():
        folders.append(ours)
    return tuple(folders)


def _settings(studies: Path) -> Settings:
    if not os.path.lexists(studies / SETTINGS):
        return Settings()
    try:
        document = read(read_file(studies, SETTINGS, MAX_BYTES), SETTINGS)
        if document.value is None:
            return Settings()
        return describe(document, Settings, SETTINGS)
    except FileFault as error:
        raise WorkspaceError(
            Problem(SETTINGS, found=error.found, expected=error.expected, hint=error.hint)
        ) from None
    except DescriptionError as error:
        raise WorkspaceError(error.problems) from None


def template_yaml(templates: Path, path: Path, name: str, happens: str) -> Document:
    """A YAML file below a ``templates`` folder, called ``name`` where it is at fault.

    Raises WorkspaceError with each problem, and with what ``happens`` where it cannot be read.
    """
    try:
        return read(read_within(templates, path, MAX_BYTES), name)
    except FileFault as fault:
        problem = Problem(name, 1, found=fault.found, expected=fault.expected, happens=happens)
        raise WorkspaceError(problem) from None
    except DescriptionError as fault:
        raise WorkspaceError(fault.problems) from fault
