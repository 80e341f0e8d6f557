"""What a page says of how a number came about, and of what would settle it, is so."""

from __future__ import annotations

import pytest
from sentences.test_no_false_sentence import judged

from explainer.words.quantity.sizes import Sized
from explainer.words.say import say

from .test_say_claims import words_of


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(-72.6, -0.137, "−7,000 to −10%"), (-0.5, -0.2, "−50 to −20%"), (0.2, 0.5, "20 to 50%")],
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
    assert judgement.verdict("early").estimate is None and "number" not in early
    assert judgement.verdict("faster").estimate is not None and "The number alone" in faster
