"""What a page says of how a number came about, and of what would settle it, is so."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import assume, example, given, strategies as st
from sentences.test_no_false_sentence import judged

from explainer.words.facts.claim import answer
from explainer.words.quantity.sizes import Sized, per_step, subtracts
from explainer.words.say import say

from .test_say_claims import words_of


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(-72.6, -0.137, "−7,260 to −14%"), (-0.5, -0.2, "−50 to −20%"), (0.2, 0.5, "20 to 50%")],
)
def test_a_share_below_nothing_keeps_its_sign(low: float, high: float, said: str) -> None:
    assert Sized((low + high) / 2, low, high, "share").range_unit == said


def test_a_claim_that_is_tested_asks_for_more_and_not_for_a_test(made) -> None:
    tested = words_of(made, "association", "not-tested", (), "viewer")
    assert "asks this question" not in tested.settle
    split = words_of(made, "association", "not-tested", ("groups",), "viewer")
    assert split.settle.startswith("More ")
    alone = words_of(made, "not-testable", "not-tested", (), "viewer")
    assert alone.settle == "A test that asks this question."


def test_a_claim_of_no_change_asks_for_what_shows_none(made) -> None:
    said = words_of(made, "no-change", "cannot-tell", (), "viewer").settle
    assert "tell" not in said or "show that a shift is under" in said
    assert "usually" not in said


def test_a_method_tells_of_a_number_only_where_there_is_one(tmp_path) -> None:
    """Of three bowlers no share of the change can be worked out; a gap between two sides can."""
    _, judgement = judged(26000055, tmp_path)
    said = say(judgement, "viewer").claims
    early, faster = (said[id].method for id in ("early", "faster"))
    assert judgement.verdict("early").estimate is None
    assert early == ("What share of the change was done by game 5 could not be worked out, "
                     "over 3 bowlers.")
    assert judgement.verdict("faster").estimate is not None and "The number alone" in faster


@given(value=st.floats(-99, 99), near=st.floats(0.01, 90), far=st.floats(0.01, 90),
       edge=st.floats(0.01, 99))  # fmt: skip
@example(value=-0.00390625, near=0.25, far=0.25, edge=0.25)
@example(value=0.03125, near=0.5, far=1.0, edge=0.5)
def test_no_rounding_makes_a_number_another(
    value: float, near: float, far: float, edge: float
) -> None:
    """A size is told to within a fifth of itself or as next to nothing, which half of a size that
    is asked for is not; and neither it nor an end of its range is told on another side of that."""
    edge = float(f"{edge:.3g}")
    sized = Sized(value, value - near, value + far, "board", against=(edge,))
    for true, said in ((value, sized.figures), (sized.low, sized.span_bare.split(" to ")[0]),
                       (sized.high, sized.span_bare.split(" to ")[1])):  # fmt: skip
        told = float(said.replace("−", "-").replace(",", ""))
        assume(abs(abs(true) - edge) > 2e-6 and abs(true) > 1e-5)
        if true == value and told == 0:
            assert abs(value) < edge / 2
            continue
        assert (abs(told) < edge, abs(told) > edge) == (abs(true) < edge, abs(true) > edge)
        assert told * true > 0
        if true == value:
            assert abs(told - value) <= 0.2 * abs(value) + 1e-6


@given(value=st.floats(-0.999, 0.999), near=st.floats(0.01, 1), far=st.floats(0.01, 1),
       edge=st.sampled_from([0.2, 0.3, 0.5, 0.7, 0.75, 0.9]))  # fmt: skip
@example(value=0.7075, near=0.4875, far=1.0, edge=0.7)
def test_what_is_held_against_a_size_is_told_no_coarser_for_it(
    value: float, near: float, far: float, edge: float
) -> None:
    """A link of 0.7075 asked to be 0.7 is told as 0.71, and never as a perfect one."""
    low, high = max(value - near, -1.0), min(value + far, 1.0)
    assume(abs(value) > 1e-4 and abs(abs(value) - edge) > 1e-5)
    held = Sized(value, low, high, "r", against=(edge,)).figures.replace("−", "-")
    free = Sized(value, low, high, "r").figures.replace("−", "-")
    places = len(held.partition(".")[2])
    assert abs(float(held) - value) <= 0.5000001 * 10.0**-places
    assert places >= len(free.partition(".")[2]) or float(free) == 0
    assert (abs(float(held)) > edge) == (abs(value) > edge)


def test_numbers_of_one_passage_do_not_contradict_each_other(tmp_path) -> None:
    """Ends of 75.9 and 77.5 lie no 2 apart; changes told alike lie nothing apart."""
    assert Sized(1.6, -7.5, 10.7, "Shore D").size == "1.6 Shore D points"
    assert Sized(-0.5, -36.0, 35.0, "board").bare == "0.5"
    assert Sized(-0.2, -15.4, 15.0, "board", against=(0.2,)).vanishes is False
    assert Sized(-0.02, -15.4, 15.0, "board", against=(0.2,)).vanishes is True
    assert Sized(-30.0, -35.0, -25.2, "board", against=(25.0,)).range == "25.2 to 35"
    assert subtracts("75.9 Shore D", "77.5", Sized(1.6, -7.5, 10.7, "Shore D"))
    assert not subtracts("71.2 boards", "74.6", Sized(3.4, -20.0, 27.0, "board"))
    found = 0
    for seed in range(26000000, 26000040):
        _, judgement = judged(seed, tmp_path / str(seed))
        said = say(judgement, "viewer")
        for result in judgement.figures:
            text = said.figures[result.figure.id].shows
            told = r"starts at ([\d.,−]+).*? and ends at ([\d.,−]+), a \w+ of ([\d.,]+)"
            match = re.search(told, text)
            if match:
                start, end, gap = (float(n.rstrip(".,").replace("−", "-").replace(",", ""))
                                   for n in match.groups())  # fmt: skip
                assert abs(abs(end - start) - gap) < 1e-9, text
                found += 1
        for claim in said.claims.values():
            if (two := re.search(r"changed by (−?[\d.,]+).* and by (−?[\d.,]+)", claim.says)):
                v = judgement.verdict(next(k for k, c in said.claims.items() if c is claim))
                assert two[1] != two[2] or v.estimate == 0, claim.says
                found += 1
    assert found > 5


@pytest.mark.parametrize(
    ("widest", "step"),
    [(18.0, "for every 10 microinches"), (0.005, "for every 0.001 microinches"),
     (None, "for every 1,000 microinches")],
)
def test_no_step_reaches_beyond_what_was_read(widest: float | None, step: str) -> None:
    """Readings that lie 18 apart know nothing of what 1,000 would do."""
    slope = Sized(2.3e-4, 1e-4, 4e-4, "inch per microinch", widest=widest)
    assert per_step(slope)[1] == step


def test_a_study_tells_slopes_for_steps_that_it_saw(tmp_path) -> None:
    for seed in range(26000000, 26000030):
        world, judgement = judged(seed, tmp_path / str(seed))
        said = say(judgement, "viewer")
        for verdict in judgement.verdicts:
            if verdict.test.kind != "tracks-within":
                continue
            step = re.search(r"for every ([\d,.]+) ", said.claims[verdict.claim.id].says)
            x = [float(row[world.x[0]]) for row in world.files["read"] if row[world.x[0]] != ""]
            if step:
                assert float(step[1].replace(",", "")) <= max(x) - min(x)


def test_another_answer_the_other_way_says_so(made) -> None:
    """A bare 4 beside −6 does not show that it goes the other way; a minus does."""
    study = made.study([made.claim("change", "it")])
    verdict = replace(made.verdict(study, "it", "cannot-tell"), estimate=-6.0)
    assert str(answer(verdict, 4.0, None, None)) == "4 microinches the other way"
    assert "way" not in answer(verdict, -4.0, None, None)
    up = replace(verdict, estimate=6.0)
    assert str(answer(up, -4.0, None, None)).startswith("−4") and "way" not in answer(up, 4.0, 1, 7)
