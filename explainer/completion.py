"""What a shell offers where Tab is pressed: studies, kinds of skeletons, terms of the glossary."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from explainer.errors import ExplainerError

if TYPE_CHECKING:
    import click

    from explainer.study.model import Workspace


def study_names(context: click.Context, _: click.Parameter, begun: str) -> list[str]:
    """The studies of the workspace that begin so."""
    from explainer.study.load import list_studies

    workspace = _workspace(context)
    found = [folder.name for folder in list_studies(workspace)] if workspace else []
    return [name for name in found if name.startswith(begun)]


def kinds(_: click.Context, __: click.Parameter, begun: str) -> list[str]:
    """The kinds of worked skeletons that begin so."""
    from explainer.draft.draft import KINDS

    return [kind for kind in KINDS if kind.startswith(begun)]


def terms(context: click.Context, _: click.Parameter, begun: str) -> list[str]:
    """The glossary's terms that begin so."""
    from explainer.words.glossary.entries import load_glossary

    workspace = _workspace(context)
    try:
        entries = load_glossary(workspace.glossary_folders).entries if workspace else ()
    except ExplainerError:
        return []
    return [entry.term for entry in entries if entry.term.startswith(begun.lower())]


def _workspace(context: click.Context) -> Workspace | None:
    """The workspace that the command would use; None where its settings are at fault."""
    from explainer.study.workspace import home, open_workspace, workspace_above

    given = context.find_root().params.get("workspace")
    try:
        return open_workspace(given or workspace_above(Path.cwd()) or home())
    except ExplainerError:
        return None
