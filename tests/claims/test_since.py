"""``since``: both halves, and what speaks against either.  Made-up balls whose truth is known."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
from calibration.worlds import study_of
from claims.conftest import Judge

from explainer.claims.judge import judge
from explainer.claims.verdict import Verdict
from explainer.words.say import say

USES = tuple(range(0, 65, 5))


def since(level: Callable[[float], float], n: int = 8, uses: tuple[int, ...] = USES,
          **test: Any) -> Verdict:  # fmt: skip
    rng = np.random.default_rng(7)
    rows = [(f"B{i}", float(u), 50 + i + level(u) + rng.normal(0, 0.5))
            for i in range(n) for u in uses]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    whole = {"kind": "since", "measure": "y", "over": "games", "since": 30, "direction": "down",
             **test}  # fmt: skip
    (v,) = judge(study_of(frame, whole, use="games", measures={"y": {"unit": "board"}})).verdicts
    return v


def jump(u: float) -> float:
    return -3.0 * (u >= 30)


def drift(u: float) -> float:
    return -0.05 * u


@pytest.mark.parametrize(
    ("level", "test", "code", "fails"),
    [
        (jump, {}, "backed", "size"), (jump, {"direction": "any"}, "backed", "size"),
        (jump, {"direction": "up"}, "against", "size"), (jump, {"since": 45}, "against", "place"),
        (jump, {"since": 35, "within": 5}, "backed", "size"),
        (jump, {"since": 35}, "against", "place"), (drift, {}, "cannot-tell", "place"),
        (lambda u: 0.0, {}, "cannot-tell", "size"),
    ],
)  # fmt: skip
def test_both_halves_decide(
    level: Callable[[float], float], test: dict[str, Any], code: str, fails: str
) -> None:
    v = since(level, **test)
    assert (v.code, v.detail.known()["fails"]) == (code, fails)
    if level is jump:
        assert v.extra["place_low"] == v.extra["place_high"] == 30
        assert v.extra["mean_after"] - v.extra["mean_before"] == pytest.approx(v.estimate)


def test_a_drift_has_no_since_and_that_is_the_reason() -> None:
    assert "straight" in since(drift).reasons
    assert "straight" not in since(jump).reasons and since(jump).extra["jump_ahead"] > 4


def test_with_one_reading_on_a_side_nobody_can_say_when() -> None:
    v = since(jump, uses=(0, 30, 60))
    assert v.code == "cannot-tell" and v.extra["place"] is None and v.estimate < -2


def test_past_the_last_reading_it_is_not_tested() -> None:
    v = since(jump, since=90)
    assert v.code == "not-tested" and "beyond-data" in v.reasons


FADES = [lambda u: -3 * (1 - np.exp(-u / 5)), lambda u: -3 * min(u, 20) / 20]


@pytest.mark.parametrize("level", FADES, ids=["fades", "ends in a level"])
def test_what_wears_off_and_stays_is_no_jump(level: Callable[[float], float]) -> None:
    """Each is far from a straight line, and its best jump lies where the claim names one."""
    v = since(level, since=10, within=5)
    assert (v.code, v.detail.known()["fails"]) == ("cannot-tell", "place")
    assert v.detail.known()["bent"] and "straight" in v.reasons
    assert v.extra["jump_ahead"] > 4 and 5 <= v.extra["place"] <= 15
    assert not since(jump).detail.known().get("bent")


@pytest.mark.parametrize("level", FADES, ids=["fades", "ends in a level"])
def test_that_it_wore_off_is_said(
    judged: Judge, one: Callable[..., str], level: Callable[[float], float]
) -> None:
    rng = np.random.default_rng(7)
    rows = [(f"B{i}", u, 50 + i + level(u) + rng.normal(0, 0.5), 1.0) for i in range(8)
            for u in USES]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y", "x"])
    test = "{kind: since, measure: y, over: games, since: 10, within: 5, direction: down}"
    words = say(judged(one(test), frame)).claims["c"]
    assert "a slope with a level before or after it fits better than one jump" in words.says
    assert "it may have come bit by bit" in " ".join(words.because)
