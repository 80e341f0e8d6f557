"""Where nothing moves there is no link: none of 0 is told, nor that more items would settle it."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import pytest
from claims.conftest import Judge

from explainer.words.say import say

One = Callable[..., str]


def still(across: float) -> pd.DataFrame:
    """Six balls, read twice: x changes in some, y in none; y of each ball is ``across`` more."""
    rows = [(f"B{i}", use, 10.0 + i + 0.3 * use * (i % 3 - 1), 12.0 + across * i, i % 2)
            for i in range(6) for use in (0, 10)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "x", "y", "shelf"])


@pytest.mark.parametrize("across", [0.0, 1.5])
@pytest.mark.parametrize(
    "test",
    ["{kind: no-association, x: x, y: y, margin: 0.3, within: yes}",
     "{kind: tracks-within, x: x, y: y}", "{kind: same-line, x: x, y: y}"],
    ids=lambda test: test[7:15],
)  # fmt: skip
def test_inside_items_that_do_not_move_there_is_no_link_to_tell(
    judged: Judge, one: One, test: str, across: float
) -> None:
    judgement = judged(one(test), still(across))
    said = say(judgement, "viewer").claims["c"]
    assert judgement.verdicts[0].estimate is None
    assert said.says.startswith("In no ball did both") and "luck" not in said.says
    if "same-line" not in test:
        assert "in which both change" in said.settle


def test_one_item_that_moves_gives_a_slope_and_no_link(judged: Judge, one: One) -> None:
    """What two readings of one ball give is in boards per microinch, and r has no unit."""
    frame = still(1.5)
    frame.loc[(frame["ball"] == "B0") & (frame["games"] == 10), "y"] += 5
    frame.loc[frame["ball"] != "B0", "x"] = 10.0
    claims = one("{kind: no-association, x: x, y: y, margin: 0.3, within: yes}")
    verdict = judged(claims, frame).verdicts[0]
    assert (verdict.code, verdict.reasons, verdict.estimate) == ("cannot-tell", (), None)
    assert verdict.detail.undefined == "one-moved"


def test_what_is_the_same_for_all_is_not_laid_to_what_is_held_alike(
    judged: Judge, one: One
) -> None:
    claims = one("{kind: association, x: x, y: y, given: [shelf]}")
    said = say(judged(claims, still(0.0)), "viewer").claims["c"]
    assert "otal hook came out the same for all 6 balls" in said.says
    assert "held alike" not in said.says
    assert "differ in both" in said.settle
