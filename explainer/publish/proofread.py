"""``explainer proof``: everything wrong or weak in a study, found without writing anything."""

from __future__ import annotations

from pathlib import Path

from explainer.errors import Problem, StudyError
from explainer.study.load import load_study
from explainer.study.model import Workspace


def proofread(folder: Path, workspace: Workspace) -> tuple[Problem, ...]:
    """Every problem of the study, errors and warnings, in the order to mend them.

    A sound study is also judged, said and set once, so that what shows only there shows here.
    """
    try:
        study = load_study(folder, workspace)
    except StudyError as fault:
        return fault.problems
    from explainer.publish.build import build_study

    try:
        build_study(study)
    except StudyError as fault:
        return (*fault.problems, *study.warnings)
    return study.warnings
