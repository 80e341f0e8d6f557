"""A control in the lane: what the sixty shots could not tell apart, told apart."""

from __future__ import annotations

import numpy as np
import pytest


@pytest.fixture
def maker(script):
    return script("one_old_ball")


@pytest.fixture
def judged(example):
    return example("one-old-ball")


def test_the_published_data_is_what_the_script_makes(maker, written):
    assert written(maker.make(), "one-old-ball", "turns.csv")


def test_it_is_the_world_of_the_sixty_shots(maker, script):
    earlier = script("sixty_shots")
    assert (maker.TRUE_SETTLING, maker.SETTLES_OVER) == (
        earlier.TRUE_SETTLING, earlier.SETTLES_OVER,
    )  # fmt: skip


def test_the_new_ball_is_found_to_gain_what_it_was_given(judged, maker):
    gained = judged.verdict("gains-on-old")
    assert gained.code == "backed"
    assert gained.low < maker.TRUE_SETTLING < gained.high
    assert (gained.n_items, gained.n_rows) == (8, 16)


def test_an_old_ball_is_shown_to_keep_its_hook(judged):
    steady = judged.verdict("old-ball-steady")
    assert steady.code == "backed"
    assert -1 < steady.extra["low90"] < 0 < steady.extra["high90"] < 1


def test_what_one_session_holds_up_is_left_open(judged, maker):
    early = judged.verdict("early")
    assert (early.code, early.reasons) == ("cannot-tell", ("fragile",))
    done = float(1 - np.exp(-20 / maker.SETTLES_OVER))
    assert early.extra["share_low90"] < done < early.extra["share_high90"]


def test_the_gap_is_known_better_than_either_ball(maker):
    """Not this one draw only: the lane moves both balls alike, and the gap does not feel it."""
    gains, news = [], []
    for seed in range(60):
        ends = maker.make(seed).set_index(["session", "shots"]).unstack("shots")
        new, old = (ends[name][60] - ends[name][0] for name in ("new_hook", "old_hook"))
        gains.append(float((new - old).mean()))
        news.append(float(new.mean()))
    assert np.mean(gains) == pytest.approx(maker.TRUE_SETTLING, abs=0.1)
    assert np.std(gains) < np.std(news)
