"""A league's season: coaching did nothing, the low averages came up, and the page says why."""

from __future__ import annotations

import pytest

from explainer.study.load import find_study, read_description


@pytest.fixture
def maker(script):
    return script("league_season")


@pytest.fixture
def judged(example):
    return example("league-season")


def test_the_published_data_is_what_the_script_makes(maker, written):
    assert written(maker.make(), "league-season", "scores.csv")


def test_those_who_were_coached_had_bowled_lowest(maker):
    first = maker.make()[lambda f: f.week == 1].groupby(["bowler", "coaching"]).score.mean()
    low = first.xs("coached", level="coaching").max()
    assert low < first.xs("not coached", level="coaching").min()


def test_their_gain_is_told_with_what_comes_back_by_itself(judged):
    gained = judged.verdict("coached-gained")
    assert gained.estimate > 0
    assert gained.low < 0 < gained.high  # the truth: nothing
    assert "chosen" in gained.reasons


def test_two_left_handers_are_two(judged):
    from explainer.words.say import say

    lefties = judged.verdict("lefties")
    assert lefties.code == "cannot-tell"
    assert "too-few-items" in lefties.reasons
    said = " ".join(say(judged, "league").claims["lefties"].because)
    assert "only 2 of 16 bowlers" in said


def test_nobody_is_named(judged, maker):
    assert len({*maker.NAMES}) == 16
    items = judged.study.tables["scores"].items
    assert items == tuple("".join(word[0] for word in name.split()) for name in maker.NAMES)
    assert judged.study.unlisted == {"NO"}
    _, folder = find_study("league-season")
    assert read_description(folder)[0].is_invented
