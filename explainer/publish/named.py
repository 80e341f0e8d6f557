"""Nobody hidden is named in what the pages of all studies share: else nothing is published.

A study that names its own people is left out; its settings, glossary and templates would be
published with all the others, and with the front page.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from explainer.errors import StudyError, WorkspaceError
from explainer.study.load import named_to_all
from explainer.study.model import Workspace
from explainer.study.own_texts import NAMED_TO_ALL


def nobody_named_to_all(
    failed: Iterable[StudyError], others: Iterable[Path], workspace: Workspace
) -> None:
    """Raises WorkspaceError where a study failed because those texts name somebody of it, or would
    fail so, of ``others`` that are not built now."""
    found = [p for fault in failed for p in fault.problems if p.code == NAMED_TO_ALL]
    found += [problem for folder in others for problem in named_to_all(folder, workspace)]
    if found:
        raise WorkspaceError(sorted(set(found)))
