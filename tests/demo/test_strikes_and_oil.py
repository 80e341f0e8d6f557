"""Every bowler strikes more on the short oil; all shots in one heap say the opposite."""

from __future__ import annotations

import numpy as np
import pytest


@pytest.fixture
def maker(script):
    return script("strikes_and_oil")


@pytest.fixture
def judged(example):
    return example("strikes-and-oil")


def test_the_published_data_is_what_the_script_makes(maker, written):
    assert written(maker.make(), "strikes-and-oil", "strikes.csv")
    assert written(maker.make_speeds(), "strikes-and-oil", "speeds.csv")


def test_the_difference_is_found_bowler_by_bowler(judged, maker):
    short = judged.verdict("short-strikes-more")
    assert short.code == "backed"
    assert short.low < maker.TRUE_DIFFERENCE < short.high
    assert short.n_items == 10


def test_the_heap_of_all_shots_says_the_opposite_and_the_page_is_told(judged):
    short, long = judged.verdict("short-strikes-more"), judged.verdict("long-strikes-more")
    assert short.extra["pooled_difference"] < 0 < short.low
    assert long.code == "against"
    assert "reversal" in short.reasons and "reversal" in long.reasons
    assert long.extra["pooled_difference"] == pytest.approx(-short.extra["pooled_difference"])


def test_a_link_that_one_bowler_makes_is_called_fragile(judged, maker):
    """Speed truly has nothing to do with it."""
    speed = judged.verdict("speed-strikes")
    assert (speed.code, speed.reasons) == ("cannot-tell", ("fragile",))
    assert speed.detail.fragile_item == maker.FAST
    assert abs(speed.detail.fragile_without) < 0.5


def test_whether_it_goes_for_everybody_is_not_for_data(judged):
    assert judged.verdict("everyone").reasons == ("not-a-data-question",)


def test_a_percentage_that_sixty_shots_cannot_give_is_caught(judged):
    """33.1% of 60 shots would be 19.86 strikes."""
    assert [s.possible for s in judged.stated] == [None, False]


def test_several_seeds_recover_the_same_truth(maker):
    """Not this one draw only: bowlers' own differences average to what was put in."""
    found = []
    for seed in range(100):
        table = maker.make(seed)
        rate = (table["strikes"] / table["shots"]).groupby([table["bowler"], table["pattern"]])
        wide = rate.first().unstack()
        found.append(float((wide["short"] - wide["long"]).mean()))
    assert np.mean(found) == pytest.approx(maker.TRUE_DIFFERENCE, abs=0.01)
