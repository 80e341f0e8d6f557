"""Which kind of test a sentence lands on: the handbook's sentences, and others of reports."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from explainer.publish.frontpage import SENTENCES
from explainer.study import which_test
from explainer.study.description import tests as t
from explainer.study.description.tests import kinds
from explainer.study.which_test import near, told

OTHERS = [
    tuple(part.strip() for part in line.split("|", 1))
    for line in Path(__file__).with_name("which_test.txt").read_text("utf-8").splitlines()
    if line and not line.startswith("#")
]


@pytest.mark.parametrize(("sentence", "kind"), [(s, k) for s, k, _ in SENTENCES])
def test_a_sentence_of_the_handbook_lands_on_its_own_kind(sentence: str, kind: str) -> None:
    assert near(sentence)[0].kind == kind


@pytest.mark.parametrize(("kind", "sentence"), OTHERS)
def test_another_sentence_lands_on_the_right_kind(kind: str, sentence: str) -> None:
    assert near(sentence)[0].kind == kind


def test_there_are_sixty_of_each_and_none_in_both() -> None:
    handbook, others = {s for s, _, _ in SENTENCES}, {s for _, s in OTHERS}
    assert len(handbook) >= 60 and len(others) >= 60 and not handbook & others
    assert {k for _, k, _ in SENTENCES} == {k for k, _ in OTHERS} == set(kinds())


def test_what_says_nothing_of_the_kind_lands_nowhere() -> None:
    for sentence in ("The test was run in March.", "Thanks go to the bench.", ""):
        assert near(sentence) == ()


def test_a_kind_without_its_cues_is_not_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is the cues that find it, and nothing else."""
    monkeypatch.setattr(t.Trend, "cues", ())
    which_test._compiled.cache_clear()
    assert "trend" not in [n.kind for n in near("Hook crept up from shot to shot.")]
    monkeypatch.undo()
    which_test._compiled.cache_clear()
    assert near("Hook crept up from shot to shot.")[0].kind == "trend"


def test_what_comes_near_is_told_with_what_it_would_answer() -> None:
    found = near("Hook fell steadily over the session.")
    assert [n.kind for n in found] == ["trend", "change"]
    assert told(found) == (
        "`trend` (a drift over a numbered series); "
        "`change` (each item's change between two checkpoints)"
    )


@pytest.mark.parametrize("kind", sorted(k for k, model in kinds().items() if model.of_people))
def test_a_sentence_about_people_lands_on_its_kind_too(kind: str) -> None:
    said = kinds()[kind].of_people
    assert near(said)[0].kind == kind
    assert not re.search(r"\b(?:balls?|covers?|gauges?|pads?)\b", said)


def test_only_what_is_asked_of_things_has_no_sentence_about_people() -> None:
    assert {k for k, model in kinds().items() if not model.of_people} == {"same-line"}
