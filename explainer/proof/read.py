"""``explainer proof``: everything wrong or weak in a study, found without writing anything."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from explainer.claims.verdict import Judgement
from explainer.errors import Problem, StudyError
from explainer.proof import facts, moved
from explainer.proof.aloud import untold_aloud
from explainer.proof.fixes import importance
from explainer.proof.place import Places
from explainer.proof.prose import prose
from explainer.study.load import DESCRIPTION, load_study, to_confirm as marks_in
from explainer.study.model import Workspace
from explainer.words.glossary.entries import Glossary

MARKED = "to-confirm"


def proofread(folder: Path, workspace: Workspace) -> tuple[Problem, ...]:
    """Every problem of the study, errors and warnings, in the order to mend them.

    A sound study is also judged, said and set once, so that what shows only there shows here.
    """
    try:
        study = load_study(folder, workspace)
    except StudyError as fault:
        return in_order(fault.problems)
    from explainer.claims.judge import judge
    from explainer.editions.compose import compose
    from explainer.editions.page import render_page
    from explainer.words.glossary.of_study import glossary_for

    found = [*study.warnings, *to_confirm(folder)]
    try:
        judgement, glossary = judge(study), glossary_for(study)
        render_page(compose(judgement), glossary, workspace.template_folders)
    except StudyError as fault:
        faults = (Places(study).pinpointed(problem) for problem in fault.problems)
        return in_order((*faults, *found))
    places = Places(study)
    for check in CHECKS:
        try:
            found += check(judgement, glossary, places)
        except StudyError as fault:  # what cannot be said here must not stop what comes after
            found += map(places.pinpointed, fault.problems)
    return in_order(found)


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Problems in the order to mend them: errors as they stand, then the weightier warnings.

    A mark to confirm is left out where another problem of the same line says what is missing.
    """
    every = dict.fromkeys(problems)
    lines = {(p.file, p.line) for p in every if p.code != MARKED and p.row is None}
    kept = (p for p in every if p.code != MARKED or (p.file, p.line) not in lines)
    return tuple(sorted(kept, key=importance))


def to_confirm(folder: Path) -> Iterator[Problem]:
    """What a draft guessed and nobody has looked at yet."""
    text = (folder / DESCRIPTION).read_text(encoding="utf-8", errors="replace")
    for line, column, what in marks_in(text):
        yield Problem(
            DESCRIPTION,
            line,
            column,
            found="a guess of the draft marked CONFIRM",
            expected=what or "that somebody has looked at it",
            happens="it is published as it was guessed, and the page says so",
            severity="warning",
            code=MARKED,
        )


Check = Callable[[Judgement, Glossary, Places], Iterator[Problem]]

#: What is looked at once a study is sound, in addition to the checks of its own stage.
CHECKS: tuple[Check, ...] = (
    facts.names_shown,
    facts.names_in_text,
    facts.terms,
    facts.use_terms,
    facts.units_fit,
    facts.printed_numbers,
    facts.chain,
    facts.narrow_zone,
    facts.no_short_name,
    facts.name_turned,
    facts.too_few,
    facts.margins,
    facts.strongest_told,
    facts.amounts_in_units,
    facts.asides_apart,
    facts.kinds_near,
    facts.answers,
    moved.verdicts_moved,
    moved.keys_changed,
    untold_aloud,
    prose,
)
