"""Four grits: the further kinds of claim find the truth that was put in."""

from __future__ import annotations

import pytest


@pytest.fixture
def maker(script):
    return script("four_grits")


@pytest.fixture
def judged(example):
    return example("four-grits")


def test_the_published_data_is_what_the_script_makes(maker, written):
    for frame, name in zip(maker.make(), ("sanded", "gauges", "played"), strict=True):
        assert written(frame, "four-grits", f"{name}.csv")


def test_what_is_so_is_backed(judged):
    true = ("coarser-hooks-more", "coarsest-first", "hardness-same", "hardness-about",
            "gauges-agree", "all-lose-a-fifth", "settles-by-twenty", "hooks-no-less",
            "nearly-all-hard", "half-way-by-ten")  # fmt: skip
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


def test_several_tests_in_a_list_must_all_hold(judged):
    v = judged.verdict("all-lose-a-fifth")
    assert [p.test.kind for p in v.each] == ["share-of-items", "change"]
    assert v.claim.tests == ()
