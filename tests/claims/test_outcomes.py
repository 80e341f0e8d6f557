"""Twenty answers that fit the verdict, and a guess that gives no answer away."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.claims.kinds import KINDS
from explainer.claims.outcomes import guess, with_outcomes
from explainer.claims.results import results
from explainer.study.load import find_study, load_study
from explainer.words.facts.relations import lies

STUDIES = Path(__file__).parents[2] / "studies"
NAMES = sorted(p.parent.name for p in STUDIES.glob("*/study.yaml"))


@pytest.fixture(scope="module")
def judged():
    found = {}
    for name in NAMES:
        workspace, folder = find_study(str(STUDIES / name), None)
        found[name] = judge(load_study(folder, workspace))
    return found


def asking(verdict, yes=True):
    return replace(verdict, claim=verdict.claim.model_copy(update={"ask_first": yes}))


def test_the_dots_agree_with_the_range_that_decides(judged):
    """Wholly where the claim needs it: all twenty at 95%; at 90% the outermost may lie out."""
    seen = 0
    for judgement in judged.values():
        for verdict in judgement.verdicts:
            strip = verdict.strip
            if strip is None or not strip.outcomes:
                continue
            seen += 1
            inside = sum(lies(strip, at, at) == "inside" for at in strip.outcomes)
            whole = lies(strip, strip.low, strip.high)
            out = sum(not strip.low <= at <= strip.high for at in strip.outcomes)
            assert out <= (2 if strip.level == 0.90 else 0) or strip.level == 0.95, verdict.claim.id
            if whole == "inside":
                assert inside >= (20 if strip.level == 0.95 else 18), verdict.claim.id
            elif whole == "outside":
                assert inside <= 2, verdict.claim.id
    assert seen > 25


def test_only_a_closed_range_about_items_gives_dots(judged):
    for judgement in judged.values():
        for verdict in judgement.verdicts:
            strip = verdict.strip
            if strip is not None and strip.outcomes:
                assert verdict.code != "not-tested" and strip.measured is None
                assert verdict.test.kind not in ("limit", "repeatability", "crossing")


def test_a_claim_that_says_two_things_has_none(judged):
    verdict = judged["cover-texture"].verdict("texture-falls")
    two = replace(verdict, strip=replace(verdict.strip, outcomes=()), parts=(verdict, verdict))
    assert with_outcomes(two).strip.outcomes == ()
    assert len(with_outcomes(replace(two, parts=())).strip.outcomes) == 20


def test_the_twenty_stand_in_the_results_file(judged):
    said = {c["id"]: c for c in results(judged["cover-texture"])["claims"]}
    assert len(said["texture-falls"]["outcomes"]) == 20
    assert "outcomes" not in said["keeps-falling"]


def test_nobody_is_asked_unless_the_author_wants_it(judged):
    verdicts = judged["cover-texture"].verdicts
    assert [v.claim.id for v in verdicts if guess(v)] == ["lockers-smoother"]


def test_the_stretches_cover_the_line_once_and_one_of_them_is_right(judged):
    for judgement in judged.values():
        for verdict in judgement.verdicts:
            asked = guess(asking(verdict))
            if asked.mode == "verdict":
                assert [c.code for c in asked.choices if c.right] == [verdict.code]
                continue
            ends = [(c.low, c.high) for c in asked.choices]
            assert ends[0][0] is None and ends[-1][1] is None
            assert all(a[1] == b[0] for a, b in pairwise(ends))
            right = [c for c in asked.choices if c.right]
            assert len(right) == (verdict.strip.value != 0 or asked.mode == "size")
            assert all(c.meets and c.gap is None for c in right)
            assert all(c.gap >= 0 for c in asked.choices if not c.right)


def test_the_stretches_hang_on_what_matters_and_not_on_what_was_found(judged):
    verdict = judged["cover-texture"].verdict("lockers-smoother")
    found = [c.high for c in guess(verdict).choices]
    assert found == [-24.0, -6.0, 6.0, 24.0, None]
    moved = replace(verdict, strip=replace(verdict.strip, value=50.0, low=40.0, high=60.0))
    assert [c.high for c in guess(moved).choices] == found
    assert [c.right for c in guess(moved).choices].index(True) == 4
    assert [c.meets for c in guess(moved).choices] == [False, False, False, False, True]


@pytest.mark.parametrize(
    ("study", "claim", "mode"),
    [
        ("cover-texture", "worn-hooks-less", "way"),
        ("cover-texture", "keeps-falling", "verdict"),
        ("gauge-check", "all-conform", "verdict"),
        ("four-grits", "hardness-same", "verdict"),  # how far apart knows no way
        ("ten-sleepers", "second-is-better", "size"),
    ],
)
def test_what_is_asked_follows_from_the_claim(judged, study, claim, mode):
    assert guess(asking(judged[study].verdict(claim))).mode == mode


def test_no_twenty_answers_where_one_range_does_not_show_the_claim() -> None:
    """A second half, the place of a jump, the widest of many gaps: their range is silent there."""
    assert {k.name for k in KINDS.values() if not k.one_range} == {"ranking", "settles", "since"}
