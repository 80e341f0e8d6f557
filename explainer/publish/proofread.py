"""``explainer proof``: everything wrong or weak in a study, found without writing anything."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from explainer.claims.verdict import Judgement
from explainer.errors import Problem, StudyError
from explainer.publish.fixes import importance
from explainer.publish.proofplace import Places
from explainer.publish.proofprose import prose
from explainer.study.description.tests import NoAssociation
from explainer.study.load import DESCRIPTION, load_study
from explainer.study.model import Study, Workspace
from explainer.words.glossary import Glossary

_MARK = re.compile(r"#.*?\bCONFIRM\b:?\s*(.*)")


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
    from explainer.publish.glossaries import glossary_of

    found = [*study.warnings, *to_confirm(folder)]
    try:
        judgement, glossary = judge(study), glossary_of(workspace)
        render_page(compose(judgement), glossary, workspace.template_folders)
    except StudyError as fault:
        return in_order((*fault.problems, *found))
    places = Places(study)
    for check in CHECKS:
        found += check(judgement, glossary, places)
    return in_order(found)


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Problems in the order to mend them: errors as they stand, then the weightier warnings."""
    return tuple(sorted(dict.fromkeys(problems), key=importance))


def to_confirm(folder: Path) -> Iterator[Problem]:
    """What a draft guessed and nobody has looked at yet."""
    text = (folder / DESCRIPTION).read_text(encoding="utf-8", errors="replace")
    for number, line in enumerate(text.splitlines(), start=1):
        mark = _MARK.search(line)
        if mark and line[: mark.start()].strip():
            yield Problem(
                DESCRIPTION,
                number,
                mark.start() + 1,
                found="a guess of the draft marked CONFIRM",
                expected=mark[1].strip() or "that somebody has looked at it",
                happens="it is published as it was guessed",
                severity="warning",
                code="to-confirm",
            )


def _terms(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Terms of measures that the glossary does not have: the page cannot explain them."""
    for name, measure in judgement.study.description.measures.items():
        if measure.term is not None and glossary.find(measure.term) is None:
            near = ", ".join(e.term for e in glossary.nearest(measure.term, 3))
            problem = places.weak(
                ("measures", name, "term"),
                f"the term `{measure.term}`",
                "a term of the glossary",
                "it stands on the page without an explanation",
                "no-term",
            )
            yield replace(problem, hint=f"nearest: {near}" if near else "")


def _chain(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Links of a rule's chain that nothing in the study tests."""
    rule = judgement.study.description.rule
    if rule is not None and not rule.reasons:
        yield places.weak(
            ("rule",), "no `reasons` for the rule", "the claims it is said to rest on",
            "the page cannot hold it against the data", "no-reasons",
        )  # fmt: skip
    for i, link in enumerate(judgement.chain.links if judgement.chain else ()):
        if link.code == "not-tested":
            yield places.weak(
                ("rule", "reasons", i), f"the link `{link.claim}`, which nothing here tests",
                "a claim that this data tests", "the chain holds no better than this link",
                "untested-link",
            )  # fmt: skip


def _few(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Tests that could not decide whatever the readings were."""
    for i, verdict in enumerate(judgement.verdicts):
        parts = verdict.parts or (verdict,)
        if any("too-few-items" in part.reasons for part in (verdict, *parts)):
            n, each = min(part.n_items for part in parts), _each(judgement.study)
            yield places.weak(
                ("claims", i, "id"), f"{n} {each}{'s' * (n != 1)} for the claim "
                f"`{verdict.claim.id}`", "enough of them for its test ever to decide",
                "its verdict stays open whatever the readings say", "too-few",
            )  # fmt: skip


def _margins(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Claims of "no relation" that do not say how weak a relation counts as none."""
    for i, claim in enumerate(judgement.study.description.claims):
        for j, test in enumerate(claim.all_tests):
            if isinstance(test, NoAssociation) and test.margin is None:
                path = (
                    ("claims", i, "test") if claim.test is not None else ("claims", i, "tests", j)
                )
                yield places.weak(
                    path, f"no `margin` for the claim `{claim.id}`",
                    "how far from 0 r may lie and still count as none", "it can never be shown",
                    "no-margin",
                )  # fmt: skip


def _each(study: Study) -> str:
    return study.description.tested.each


Check = Callable[[Judgement, Glossary, Places], Iterator[Problem]]

#: What is looked at once a study is sound, in addition to the checks of its own stage.
CHECKS: tuple[Check, ...] = (_terms, _chain, _few, _margins, prose)
