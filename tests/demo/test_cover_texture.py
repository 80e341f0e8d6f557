"""The example's truth is known; the tool has to find it, and say no more than it found."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType

import pandas as pd
import pytest

from explainer.claims.verdict import Judgement
from explainer.words.say import say


@pytest.fixture(scope="module")
def maker(script: Callable[[str], ModuleType]) -> ModuleType:
    return script("cover_texture")


@pytest.fixture(scope="module")
def judged(example: Callable[[str], Judgement]) -> Judgement:
    return example("cover-texture")


def test_the_published_data_is_what_the_script_makes(
    maker: ModuleType, written: Callable[[pd.DataFrame, str, str], bool]
) -> None:
    for frame, name in zip(maker.make(), ("checkpoints.csv", "shots.csv"), strict=True):
        assert written(frame, "cover-texture", name)
    assert written(maker.make_new_balls(), "cover-texture", "new-balls.csv")
    assert written(maker.make_paths(), "cover-texture", "paths.csv")
    assert written(maker.make_lockers(), "cover-texture", "lockers.csv")


def test_the_fall_is_found_where_it_truly_lies(judged: Judgement, maker: ModuleType) -> None:
    fall = judged.verdict("texture-falls")
    assert fall.code == "backed"
    assert fall.low is not None and fall.high is not None
    assert fall.low < maker.TRUE_FALL < fall.high
    assert (fall.n_items, fall.n_rows) == (8, 16)


def test_a_no_change_that_can_be_shown(judged: Judgement) -> None:
    steady = judged.verdict("hardness-steady")
    assert steady.code == "backed"
    assert -1 < steady.extra["low90"] < 0 < steady.extra["high90"] < 1


def test_a_no_change_that_cannot_be_shown(judged: Judgement) -> None:
    """Hook truly does not change; eight balls on moody lanes cannot say so."""
    hook = judged.verdict("hook-steady")
    assert hook.code == "cannot-tell"
    assert hook.power is not None and hook.power.items_needed is not None
    assert hook.power.items_needed > 8


def test_balls_are_counted_not_shots(judged: Judgement) -> None:
    assert judged.verdict("hook-steady").n_items == 8
    assert judged.verdict("hook-steady").n_rows == 160


def test_the_two_levels_are_told_apart(judged: Judgement, maker: ModuleType) -> None:
    between, within = judged.verdict("rough-hooks-more"), judged.verdict("worn-hooks-less")
    assert between.code == "backed"
    assert within.code == "cannot-tell"
    assert "levels-disagree" in between.reasons
    assert "levels-disagree" in within.reasons
    assert within.low is not None and within.high is not None
    assert within.low < maker.TRUE_SLOPE_WITHIN < within.high
    assert within.high < maker.TRUE_SLOPE_BETWEEN
    assert within.extra["slope_between"] == pytest.approx(maker.TRUE_SLOPE_BETWEEN, rel=0.2)


def test_use_does_not_move_a_ball_along_the_line_of_new_balls(
    judged: Judgement, maker: ModuleType
) -> None:
    along = judged.verdict("down-the-line")
    assert along.code == "against"
    assert along.extra["slope_between"] == pytest.approx(maker.TRUE_SLOPE_BETWEEN, rel=0.15)
    assert along.low is not None and along.high is not None
    assert along.low < maker.TRUE_SLOPE_WITHIN < along.high


def test_hook_is_worked_out_from_paths_and_four_of_one_kind_settle_nothing(
    judged: Judgement,
) -> None:
    path = judged.verdict("same-path")
    assert (path.code, path.reasons) == ("cannot-tell", ("one-group",))
    assert (path.n_items, path.detail.group_only) == (4, "Plover")
    assert path.low is not None and path.high is not None
    assert path.low < 0 < path.high


def test_what_nobody_measured_is_not_tested(judged: Judgement) -> None:
    past = judged.verdict("keeps-falling")
    assert (past.code, past.reasons) == ("not-tested", ("beyond-data",))
    assert past.detail.measured_to == 60
    assert judged.verdict("fairer").reasons == ("not-a-data-question",)


def test_used_balls_are_found_as_smooth_as_they_were_made(
    judged: Judgement, maker: ModuleType
) -> None:
    used = judged.verdict("lockers-smoother")
    assert used.code == "backed"
    assert used.low is not None and used.high is not None
    assert used.low < maker.TRUE_USED - maker.TRUE_NEW < used.high < 0
    assert used.n_items == 24
    gaps = []
    for seed in range(60):
        means = maker.make_lockers(seed).groupby("life")["texture"].mean()
        gaps.append(means["used"] - means["new"])
    # the mean of 60 gaps, each with a spread of 10/√12 from the used balls
    assert sum(gaps) / 60 == pytest.approx(maker.TRUE_USED - maker.TRUE_NEW, abs=1.2)


def test_the_chain_is_as_strong_as_its_middle_link(judged: Judgement) -> None:
    """Both ends hold; what fails between them holds between balls, but not within one."""
    assert judged.chain is not None
    assert (judged.chain.code, judged.chain.weakest) == ("cannot-tell", "worn-hooks-less")
    assert [link.code for link in judged.chain.links] == ["backed", "cannot-tell", "backed"]
    assert [link.weakest for link in judged.chain.links] == [False, True, False]


def test_most_of_the_fall_comes_early(judged: Judgement) -> None:
    shown = {f.kind: f for f in judged.figure("texture-over-play").findings}
    assert shown["early-step"].numbers["by"] == 10
    assert 0.6 < float(shown["early-step"].numbers["share"] or 0) < 0.8


def test_several_seeds_recover_the_same_truth(maker: ModuleType) -> None:
    """Not this one draw only: the true fall lies in the 95% range about as often as it should."""
    from explainer.analysis.change import mean_change
    from explainer.analysis.result import Estimate

    hits = 0
    for seed in range(60):
        checkpoints, _ = maker.make(seed)
        wide = checkpoints.pivot(index="ball", columns="games", values="texture")
        found = mean_change((wide[60] - wide[0]).to_numpy(dtype=float))
        assert isinstance(found, Estimate)
        hits += found.at95.low < maker.TRUE_FALL < found.at95.high
    assert 51 <= hits <= 60


def test_a_line_of_other_balls_is_said_to_be_theirs(judged: Judgement) -> None:
    words = say(judged, "viewer").figures["texture-and-hook-journeys"]
    assert "across the 12 other balls" in words.shows
    assert "12 other balls" in words.how_to_read
