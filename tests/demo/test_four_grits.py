"""Four grits: the further kinds of claim find the truth that was put in."""

from __future__ import annotations

import pytest

from explainer.words.say import say


@pytest.fixture
def maker(script):
    return script("four_grits")


@pytest.fixture
def judged(example):
    return example("four-grits")


def test_the_published_data_is_what_the_script_makes(maker, written):
    for frame, name in zip(maker.make(), ("sanded", "gauges", "played"), strict=True):
        assert written(frame, "four-grits", f"{name}.csv")
    for name, frame in maker.more().items():
        assert written(frame, "four-grits", f"{name}.csv")


def test_what_is_so_is_backed(judged):
    true = ("coarser-hooks-more", "coarsest-first", "hardness-same", "hardness-about",
            "gauges-agree", "all-lose-a-fifth", "settles-by-twenty", "hooks-no-less",
            "nearly-all-hard", "half-way-by-ten", "hardness-in-range", "gauges-same-level",
            "one-ball-lost", "so-much-a-game", "harder-hooks-less", "less-since-thirty",
            "cracked-in-the-heat", "pads-strike-alike")  # fmt: skip
    found = {v.claim.id: v.code for v in judged.verdicts}
    assert {claim: found[claim] for claim in true} == dict.fromkeys(true, "backed")


def test_what_is_not_so_is_not_backed(judged):
    """All pads leave the same scatter; eight balls a side cannot say more than that they may."""
    assert judged.verdict("fine-more-even").code in ("cannot-tell", "leans")


def test_the_size_of_a_step_and_of_the_loss_are_found(judged, maker):
    step = judged.verdict("coarser-hooks-more")
    assert step.low < maker.TRUE_STEP < step.high
    (_, loss) = judged.verdict("all-lose-a-fifth").each
    assert loss.unit == "percent"
    assert loss.low < -100 * maker.TRUE_LOSS < loss.high


def test_the_link_the_jump_and_the_odds_are_found(judged, maker):
    """What the covers hide, where the level jumps, and the ratio of odds that was put in."""
    link = judged.verdict("harder-hooks-less")
    assert link.detail.slope == pytest.approx(maker.TRUE_LINK, abs=0.25)
    assert abs(link.detail.r_before) < 0.4 and link.low > -1 and link.high < -0.5
    since = judged.verdict("less-since-thirty")
    assert since.low < maker.TRUE_JUMP < since.high
    assert since.detail.place_low == since.detail.place_high == 30
    odds = judged.verdict("cracked-in-the-heat")
    assert odds.low < maker.TRUE_ODDS < odds.high and odds.low > 1


def test_a_claim_about_one_ball_is_about_that_one(judged):
    v = judged.verdict("one-ball-lost")
    assert (v.n_items, v.detail.one_item, v.unit) == (1, "Z3", "percent")


def test_the_printed_numbers_agree(judged):
    assert [check.agrees for check in judged.stated] == [True, True, True]
    assert judged.stated[0].recomputed < 0  # a loss, printed without its sign


def test_several_tests_in_a_list_must_all_hold(judged):
    v = judged.verdict("all-lose-a-fifth")
    assert [p.test.kind for p in v.each] == ["share-of-items", "change"]
    assert v.claim.tests == ()


def test_a_figure_says_what_it_does_not_hold_alike(judged):
    """Its own link, of everything as it was read, may be another than the one of its title."""
    shows = say(judged, "viewer").figures["hardness-and-hook"].shows
    assert "no clear link shows" in shows
    assert "with nothing held alike. The claim goes by what is left with cover held alike." in shows
