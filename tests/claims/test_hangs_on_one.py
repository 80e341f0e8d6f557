"""A share that hangs on single items: each of those it hangs on, and what is left without one."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from explainer.claims.verdict import Judgement
from explainer.words.say import say

from .conftest import IN_MODELS

EARLY = "{kind: break-in, measure: x, by: 4, from: 1, to: 6}"


def read(**each: tuple[float, float, float]) -> pd.DataFrame:
    """What each ball read at games 1, 4 and 6; its model is the first letter of its name."""
    rows = [(ball, ball[0], game, value)
            for ball, values in each.items() for game, value in zip((1, 4, 6), values, strict=True)]
    return pd.DataFrame(rows, columns=["ball", "model", "games", "x"]).assign(y=1.0)


def told(judgement: Judgement) -> tuple[str, str, str]:
    """The reason, the catch in a few words, and the questions with why each is open."""
    said = say(judgement)
    words = said.claims["c"]
    return " ".join(words.because), words.held, " ".join(" ".join(q[:2]) for q in said.questions)


def test_a_share_with_too_few_left_for_a_range_is_not_gone(judged: Any, one: Any) -> None:
    """Without either ball of one model no model but the other has a spread; the share itself
    hardly moves."""
    frame = read(P1=(66, 93, 96), P2=(81, 108, 111), P3=(66, 93, 96), T1=(63, 90, 90),
                 T2=(75, 102, 105))  # fmt: skip
    judgement = judged(one(EARLY), frame, head=IN_MODELS)
    (v,) = judgement.verdicts
    assert v.estimate == pytest.approx(27 / 29.25)
    assert (v.detail.fragile_count, v.detail.fragile_range) == (2, True)
    because, held, asked = told(judgement)
    assert "Leave out one ball, any of 2, and too little is left to judge by." in because
    assert held == "not sure without one ball"
    for text in (because, asked):
        assert "cannot be worked out" not in text and "half of what was found" not in text
        assert "of a kind" not in text and "carry" not in text
