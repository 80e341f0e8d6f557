"""A claim about the one item that ``only`` picked: held to the gauge, and about that one."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from calibration.worlds import study_of

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.words.say import AUDIENCES, say

HOME = Path(__file__).parents[2]
SD = 0.5
#: Three readings of each ball at each checkpoint, all of them equal: only the gauge is in doubt.
LEVELS = {"P1": (60.0, 50.0, 49.0), "P2": (60.0, 60.2, 60.1), "P3": (58.0, 48.0, 40.0)}
MEASURES = {"y": {"unit": "microinch", "term": "cover roughness", "repeatability_sd": SD,
                  "matters_from": 3}}  # fmt: skip


def one(test: dict[str, Any], ball: str, gauge: bool = True) -> Judgement:
    rows = [(name, float(games), level, side)
            for name, levels in LEVELS.items()
            for games, level in zip((0, 10, 20), levels, strict=True)
            for side in ("a", "b", "a", "b")]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y", "who"])
    known = MEASURES if gauge else {"y": {"unit": "microinch", "matters_from": 3}}
    study = study_of(frame, {**test, "only": {"ball": ball}}, use="games", measures=known)
    workspace = replace(study.workspace, template_folders=(HOME / "templates",))
    return judge(replace(study, workspace=workspace))


CHANGE = {"kind": "change", "measure": "y", "from": 0, "to": 20, "direction": "down"}
CASES = [
    (CHANGE, "P1", "backed", -11.0, 2),
    (CHANGE, "P2", "against", 0.1, 2),
    ({**CHANGE, "at_least": 14}, "P1", "against", -11.0, 2),
    ({"kind": "no-change", "measure": "y", "from": 0, "to": 20}, "P2", "backed", 0.1, 2),
    ({"kind": "no-change", "measure": "y", "from": 0, "to": 20}, "P1", "against", -11.0, 2),
    ({"kind": "no-worse", "measure": "y", "from": 0, "to": 20, "worse": "down"}, "P2", "backed",
     0.1, 2),
    ({"kind": "settles", "measure": "y", "from": 0, "by": 10, "to": 20}, "P1", "backed", -1.0, 2),
    ({"kind": "settles", "measure": "y", "from": 0, "by": 10, "to": 20}, "P3", "against", -8.0, 2),
    ({"kind": "mean-is", "measure": "y", "value": 60, "within": 2, "at": 0}, "P1", "backed", 60.0,
     1),
    ({"kind": "mean-is", "measure": "y", "at_least": 59, "at": 0}, "P3", "against", 58.0, 1),
]  # fmt: skip


@pytest.mark.parametrize(("test", "ball", "code", "value", "times"), CASES)
def test_its_range_is_what_the_gauge_may_be_off_by(
    test: dict[str, Any], ball: str, code: str, value: float, times: int
) -> None:
    """±1.96·√2·u of a difference of two means of four, ±1.96·u of one of them."""
    (v,) = one(test, ball).verdicts
    assert (v.code, v.n_items, v.estimate) == (code, 1, pytest.approx(value))
    half = 1.959964 * SD / math.sqrt(4) * math.sqrt(times)
    level = v.low is not None and v.high is not None and (v.high - v.low) / 2
    assert level == pytest.approx(half, abs=1e-4)
    assert v.detail.one_item == ball
    assert not {"too-few-items", "fragile", "one-group", "evenly-scattered"} & set(v.reasons)


@pytest.mark.parametrize(("test", "ball", "code", "value", "times"), CASES)
def test_it_is_said_to_be_about_that_one(
    test: dict[str, Any], ball: str, code: str, value: float, times: int
) -> None:
    judgement = one(test, ball)
    for audience in AUDIENCES:
        words = say(judgement, audience).claims["c"]
        assert f"about ball {ball}, and says nothing of any other ball" in words.says
        assert f"This is about ball {ball} alone." in words.method
        assert "average" not in words.says and "t range over" not in words.method


def test_without_a_gauge_one_item_says_nothing() -> None:
    (v,) = one(CHANGE, "P1", gauge=False).verdicts
    assert v.code == "cannot-tell" and v.detail.one_item is None
