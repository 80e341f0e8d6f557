"""Stage 1 in order: find the study, read the description, read the tables, check the whole."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from explainer.errors import (
    DescriptionError,
    Problem,
    StudyError,
    TableError,
    UsageError,
    WorkspaceError,
    hint,
    listed,
)
from explainer.study.describe import UNUSED, describe
from explainer.study.description.study import Description, Settings
from explainer.study.files import AWAY, FileFault, at_home, lies_within, read_file, read_within
from explainer.study.model import Study, Table, Workspace
from explainer.study.shipped import home, is_shipped, shipped
from explainer.study.unseen import one_code
from explainer.study.yaml12 import MAX_BYTES, Document, read, read_ours

if TYPE_CHECKING:
    from explainer.study.tables import Origin


# A workspace: a folder with ``studies/``, its settings, and where glossary and templates are.

SETTINGS = "settings.yaml"


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
    """The workspace's own folder first, then ours; each once.

    Raises WorkspaceError for one that leads out of the workspace: not even its names are ours to
    tell.
    """
    own, ours = root / what, shipped(what)
    folders = [own] if own.is_dir() else []
    if folders and not lies_within(root, own) and not is_shipped(own):
        raise WorkspaceError(Problem(
            what, found=f"`{what}`, a link out of the workspace", expected="a folder inside it",
            happens="nothing was read",
        ))  # fmt: skip
    if not folders or not is_shipped(own):
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
    reader = read_ours if is_shipped(path) else read
    try:
        return reader(read_within(templates, path, MAX_BYTES), name)
    except FileFault as fault:
        problem = Problem(name, 1, found=fault.found, expected=fault.expected, happens=happens)
        raise WorkspaceError(problem) from None
    except DescriptionError as fault:
        raise WorkspaceError(fault.problems) from fault


DESCRIPTION = "study.yaml"


def find_study(text: str, cwd: Path | None = None) -> tuple[Workspace, Path]:
    """The workspace and folder of ``text``: a study id, or the path of a study folder.

    An id is looked for in the workspace at or above ``cwd``, or in ours where there is none.
    The workspace of a path is the folder above its ``studies/``, or ours.  Raises UsageError
    where there is no such study.
    """
    cwd = Path.cwd() if cwd is None else cwd
    root = workspace_above(cwd) or home()
    if re.fullmatch(r"[\w][\w .-]*", text) and (root / "studies" / text).is_dir():
        return open_workspace(root), root / "studies" / text
    named = {one_code(folder.name): folder for folder in _study_folders(root)}
    if one_code(text) in named:
        return open_workspace(root), named[one_code(text)]
    path = Path(os.path.abspath(cwd / Path(text).expanduser()))
    if path.name == DESCRIPTION and path.is_file():
        path = path.parent
    if path.is_dir():
        above = path.parent.parent if path.parent.name == "studies" else None
        return open_workspace(above or home()), path
    known = [folder.name for folder in _study_folders(root)]
    help = hint(text, known)
    among = f"expected one of {listed(known)}" if known else "expected the path of a study folder"
    raise UsageError(f"found no study `{text}`, {among}" + (f" ({help})" if help else ""))


def list_studies(workspace: Workspace) -> tuple[Path, ...]:
    """The folders under ``studies/`` that hold a study.yaml, by name."""
    return tuple(_study_folders(workspace.root))


def _study_folders(root: Path) -> list[Path]:
    studies = root / "studies"
    if not studies.is_dir():
        return []
    return sorted(
        folder for folder in studies.iterdir()
        if folder.is_dir() and os.path.lexists(folder / DESCRIPTION)
    )  # fmt: skip


def study_id(folder: Path) -> str:
    """The name of a study in addresses: its folder's, in lower case, with hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", folder.name.lower()).strip("-")[:60] or "study"


def read_description(folder: Path) -> tuple[Description, Document, bytes]:
    """``study.yaml`` in ``folder``.  Raises DescriptionError with every fault of form."""
    try:
        data = read_file(folder, DESCRIPTION, MAX_BYTES)
    except FileFault as error:
        raise DescriptionError(
            Problem(
                DESCRIPTION,
                found=error.found,
                expected=error.expected,
                hint=error.hint,
                happens=UNUSED,
                code=error.code,
            )
        ) from None
    document = read(data, DESCRIPTION)
    return describe(document, Description), document, data


#: A guess of the draft that nobody has looked at yet; a line that is only a comment marks none.
#: From the first # of a line on: looked for anew at each, a line of them takes a square of time.
_MARK = re.compile(r"[^#]*(#).*?\bCONFIRM\b:?\s*(.*)")


def to_confirm(text: str) -> list[tuple[int, int, str]]:
    """(line, column, what to look at) of each mark that a draft left in study.yaml, and of each
    claim whose sentence it left open: taking the mark away quotes nobody."""
    found = []
    for n, line in enumerate(text.splitlines(), start=1):
        mark = _MARK.match(line)
        if mark and line[: mark.start(1)].strip():
            found.append((n, mark.start(1) + 1, mark[2].strip()))
        elif UNQUOTED in line.partition("#")[0]:
            found.append((n, line.index(UNQUOTED) + 1, ""))
    return found


def stays_home(folder: Path) -> None:
    """Raises DescriptionError for a workspace's study that a link takes from somewhere else."""
    if not at_home(folder):
        found, expected = AWAY
        raise DescriptionError(
            Problem(DESCRIPTION, found=found, expected=expected, happens=UNUSED)
        )


def load_study(folder: Path, workspace: Workspace) -> Study:
    """The study in ``folder``, read, derived and checked.

    Raises DescriptionError or TableError (the former if study.yaml is at fault anywhere), with
    all problems that could be found, by place.  People are called by initials or numbers in it,
    unless the study shows their names on purpose.
    """
    stays_home(folder)
    description, document, data = read_description(folder)
    # pandas is needed from here on only: a faulty description is reported without it.
    from explainer.study.check import check, without_echoes
    from explainer.study.derive import derive, with_chart_errors, with_gauges
    from explainer.study.people import without_names
    from explainer.study.recording import read_recording
    from explainer.study.tables import Origin, read_sheets, tables_of

    source = Origin(description, document, folder)
    sheets, problems = read_sheets(source)
    sheets, found = derive(source, sheets)
    problems += found
    place = document.places.get(("recording",), (1, 1))
    recorded, found = read_recording(folder, description.recording, place)
    problems += found
    problems = without_echoes([*problems, *check(source, sheets, workspace)])
    errors = sorted({p for p in problems if p.severity == "error"}, key=_by_place)
    if errors:
        in_description = any(p.file == DESCRIPTION for p in errors)
        raise (DescriptionError if in_description else TableError)(errors)
    from hashlib import sha256

    digests = {DESCRIPTION: sha256(data).hexdigest()}
    for sheet in sheets.values():  # the first, where two tables read one file that was changing
        digests.setdefault(sheet.file, sheet.sha256)
        if sheet.origin is not None:  # an empty hash: a file that is not there, and may come
            digests.setdefault(sheet.origin.name, sheet.origin.sha256)
    if recorded is not None:
        digests.setdefault(recorded.file, recorded.sha256)
    tables = {name: with_chart_errors(description, t) for name, t in tables_of(sheets).items()}
    return without_names(Study(
        id=study_id(folder),
        folder=folder,
        workspace=workspace,
        description=with_gauges(description, tables),
        tables=MappingProxyType(tables),
        sha256=MappingProxyType(digests),
        warnings=tuple(sorted(set(problems), key=_by_place)),
        places=MappingProxyType(document.places),
        whole=MappingProxyType(_with_excluded(source)),
        recording=recorded,
        unconfirmed=_unconfirmed(data.decode("utf-8", "replace"), problems),
    ))  # fmt: skip


def named_to_all(folder: Path, workspace: Workspace) -> list[Problem]:
    """Where the texts that all studies' pages share name somebody hidden of one study; nowhere
    where that cannot be read, since it is not published then."""
    from explainer.study.checks.context import Context
    from explainer.study.checks.people import names_in_the_workspace
    from explainer.study.derive import derive
    from explainer.study.tables import Origin, read_sheets

    try:
        stays_home(folder)
        description, document, _ = read_description(folder)
        source = Origin(description, document, folder)
        sheets, _ = derive(source, read_sheets(source)[0])
        return list(names_in_the_workspace(Context(source, sheets, workspace)))
    except StudyError:
        return []


#: What stands in a drafted claim where a sentence of the report has to.
UNQUOTED = "(no sentence of the report quoted yet)"
#: How a file begins that a program drafted from sheets, until its author takes the line away.
DRAFTED = "# A first draft."


def _unconfirmed(text: str, problems: Sequence[Problem]) -> int:
    """Guesses of a draft that are open: its marks, and measures it made that nothing was read of.

    A tick takes a mark away and gives such a measure no reading.
    """
    from explainer.study.checks.warnings import UNREAD

    unread = sum(p.code == UNREAD for p in set(problems)) if DRAFTED in text else 0
    return len(to_confirm(text)) + unread


def _with_excluded(source: Origin) -> Mapping[str, Table]:
    """The tables as if nothing were left out by hand, to hold the verdicts against."""
    from explainer.study.derive import derive, with_chart_errors
    from explainer.study.tables import read_sheets, tables_of

    if not source.description.excluded:
        return {}
    description = source.description.model_copy(update={"excluded": ()})
    sheets, problems = read_sheets(replace(source, description=description))
    sheets, found = derive(replace(source, description=description), sheets)
    if any(p.severity == "error" for p in (*problems, *found)):
        return {}
    return {name: with_chart_errors(description, t) for name, t in tables_of(sheets).items()}


def _by_place(problem: Problem) -> tuple[bool, str, int, int, int, str, str]:
    """study.yaml first, by line; then each CSV file by row."""
    return (
        problem.file != DESCRIPTION, problem.file, problem.line, problem.column,
        problem.row or 0, problem.cell or "", problem.found,
    )  # fmt: skip
