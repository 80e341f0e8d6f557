"""Six balls and a headline: the truth is there, nothing can be settled, and the page says so."""

from __future__ import annotations

import pytest

from explainer.analysis.difference import welch
from explainer.analysis.result import Estimate


@pytest.fixture
def maker(script):
    return script("three_balls")


@pytest.fixture
def judged(example):
    return example("three-balls")


def test_the_published_data_is_what_the_script_makes(maker, written):
    assert written(maker.make(), "three-balls", "balls.csv")
    assert written(maker.make_survey(), "three-balls", "survey.csv")


def test_the_truth_lies_in_a_range_too_wide_to_say_so(judged, maker):
    soft = judged.verdict("old-is-soft")
    assert soft.code == "leans"
    assert soft.low < maker.TRUE_SOFTER < 0 < soft.high
    assert (soft.n_items, soft.n_rows) == (6, 6)


def test_it_says_how_many_balls_it_would_take(judged):
    asked = [q for q in judged.questions if q.claim == "old-is-soft"]
    assert [q.source for q in asked] == ["cannot-tell"]
    assert asked[0].items_needed > 20


def test_a_no_without_a_margin_is_no_answer(judged):
    size = judged.verdict("any-size")
    assert size.code == "cannot-tell"
    assert "no-margin" in size.reasons


def test_a_link_between_two_models_is_none_among_their_balls(judged):
    """Weight and hardness were made apart; over all six balls r is far from 0, in a model not."""
    heavy = judged.verdict("heavy-is-hard")
    assert (heavy.code, heavy.reasons) == ("cannot-tell", ())
    assert not heavy.detail.between_groups  # six balls do not show the link over all, either
    assert abs(heavy.detail.r_over_all) > 1.5 * abs(heavy.estimate)


def test_printed_averages_with_their_spread_are_enough_for_two_groups(judged):
    """Mean, SD and n of each group are all that Welch's range needs."""
    survey = judged.verdict("survey-agrees")
    assert (survey.code, survey.n_items) == ("backed", 24)


def test_several_seeds_recover_the_same_truth(maker):
    """Not this one draw only: about 95 ranges in 100 hold the truth; few exclude no difference."""
    held = told = 0
    for seed in range(100):
        balls = maker.make(seed)
        used = balls.loc[balls["life"] == "used", "hardness"].to_numpy()
        new = balls.loc[balls["life"] == "new", "hardness"].to_numpy()
        found = welch(used, new)
        assert isinstance(found, Estimate)
        held += found.at95.low < maker.TRUE_SOFTER < found.at95.high
        told += found.at95.excludes(0)
    assert 88 <= held <= 100
    assert told < 50
