"""What the examples show between them, and by name what none of them shows."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from explainer.claims.verdict import REASONS, STRENGTH, Judgement
from explainer.study.description.figures import AnyFigure
from explainer.study.description.tests import AnyTest

STUDIES = sorted(p.parent.name for p in Path(__file__).parents[2].glob("studies/*/study.yaml"))
#: Reasons that no example gives: this list is all of them.
NOT_SHOWN: frozenset[str] = frozenset({
    "evenly-scattered", "pairs", "step", "items-moved", "holm", "narrow-zone", "unequal-use",
    "straight", "shared-part", "overshoots", "dropouts", "exclusion-decides",
    "confounded", "only-averages", "cut-off",
})  # fmt: skip


def kinds(union: object) -> set[str]:
    """The ``kind`` of each model of a tagged union."""
    models = get_args(get_args(union)[0])
    return {get_args(model.model_fields["kind"].annotation)[0] for model in models}


@pytest.fixture
def examples(example) -> list[Judgement]:
    return [example(study) for study in STUDIES]


def test_every_kind_of_figure_is_drawn(examples):
    assert {f.figure.kind for e in examples for f in e.figures} == kinds(AnyFigure)


def test_every_kind_of_claim_is_tested(examples):
    assert {v.test.kind for e in examples for v in e.verdicts} == kinds(AnyTest)


def test_every_verdict_is_given(examples):
    assert {v.code for e in examples for v in e.verdicts} == set(STRENGTH)


def test_every_reason_is_given_but_those_named(examples):
    given = {reason for e in examples for v in e.verdicts for reason in v.reasons}
    assert set(REASONS) - given == NOT_SHOWN


def test_every_kind_of_open_question_is_raised(examples):
    raised = {q.source for e in examples for q in e.questions}
    # "one-group" asks for other kinds only where something was found, and here nothing was.
    known = {"author", "beyond-data", "cannot-tell", "fragile", "one-step", "gauge-too-coarse",
             "untested-link"}  # fmt: skip
    assert raised == known


@pytest.mark.parametrize("study", STUDIES)
def test_made_up_data_says_so_and_open_data_names_its_source(example, study):
    said = example(study).study.description
    assert said.is_invented != bool(said.data_source)
