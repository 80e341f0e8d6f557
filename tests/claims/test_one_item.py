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
    assert v.code == "not-tested" and v.detail.one_item is None


#: Of three balls: settled early, straight on, and hardly moved; hook follows in the first alone.
WORN = {"P1": (70, 50, 36, 32, 30, 30, 29), "P2": (70, 65, 60, 55, 50, 45, 40.3),
        "P3": (60, 58, 57, 57, 56, 56, 55)}  # fmt: skip
HOOKED = {"P1": (12, 9.8, 8.5, 8.1, 8.0, 7.9, 7.9), "P2": (12, 11.5, 11, 10.6, 10, 9.5, 9),
          "P3": (10, 9, 11, 10, 9.5, 10.5, 10)}  # fmt: skip


def followed(test: dict[str, Any], ball: str, u: float = 1.0) -> Judgement:
    rows = [(name, 10.0 * k, y, x)
            for name in WORN
            for k, (x, y) in enumerate(zip(WORN[name], HOOKED[name], strict=True))]  # fmt: skip
    measures = {"texture": {"unit": "microinch", "repeatability_sd": u, "matters_from": 6},
                "hook": {"unit": "board", "repeatability_sd": 0.2, "matters_from": 1}}  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "hook", "texture"])
    study = study_of(frame, {**test, "only": {"ball": ball}}, use="games", measures=measures)
    workspace = replace(study.workspace, template_folders=(HOME / "templates",))
    return judge(replace(study, workspace=workspace))


DONE = {"kind": "break-in", "measure": "texture", "from": 0, "by": 30, "to": 60}
DOWN = {"kind": "crossing", "measure": "texture", "limit": 40, "over": "games", "after": 15,
        "within": 10}  # fmt: skip
ALONG = {"kind": "tracks-within", "x": "texture", "y": "hook", "direction": "positive"}


@pytest.mark.parametrize(("test", "ball", "code", "value"), [
    (DONE, "P1", "backed", 38 / 41),
    ({**DONE, "by": 10}, "P2", "against", 5 / 29.7),
    (DOWN, "P1", "backed", 15.0),
    (DOWN, "P2", "against", None),
    ({**DOWN, "limit": 56.5}, "P3", "cannot-tell", 35.0),
    ({**DOWN, "limit": 61}, "P3", "cannot-tell", None),
    (ALONG, "P1", "backed", None),
    ({**ALONG, "direction": "negative"}, "P1", "against", None),
    (ALONG, "P2", "cannot-tell", None),
    (ALONG, "P3", "cannot-tell", None),
])  # fmt: skip
def test_a_story_of_one_item(
    test: dict[str, Any], ball: str, code: str, value: float | None
) -> None:
    judgement = followed(test, ball)
    (v,) = judgement.verdicts
    assert (v.code, v.n_items, v.detail.one_item) == (code, 1, ball)
    assert value is None or v.estimate == pytest.approx(value)
    assert not {"too-few-items", "fragile", "evenly-scattered"} & set(v.reasons)
    assert ("shared-trend" in v.reasons) == (test["kind"] == "tracks-within" and ball == "P2")
    for audience in AUDIENCES:
        words = say(judgement, audience).claims["c"]
        assert f"ball {ball}" in words.says.replace("Ball", "ball")
        assert "average" not in words.says
        assert f"This is about ball {ball} alone." in words.method


def test_the_range_of_a_share_is_fiellers() -> None:
    """All θ at which a − θb is within 1.645 standard errors of 0, where a and b share a reading:
    var(a − θb) = 2u²(1 − θ + θ²) (Fieller 1954, worked out here from its definition)."""
    (v,) = followed(DONE, "P1").verdicts
    assert v.strip is not None and v.strip.low is not None and v.strip.high is not None
    for end in (v.strip.low, v.strip.high):
        away = abs(38 - end * 41) / math.sqrt(2 * (1 - end + end**2))
        assert away == pytest.approx(1.644854, abs=1e-4)


def test_a_crossing_is_as_sure_as_the_gauge() -> None:
    """At the limit and never past it by more than the gauge may be off: no upper end."""
    low = {u: followed({**DOWN, "limit": 31}, "P1", u).verdicts[0] for u in (0.1, 1.0)}
    assert (low[0.1].low, low[0.1].high) == (30.0, 40.0)
    assert low[1.0].low is not None and low[1.0].low < 30.0 and low[1.0].high is None


@pytest.mark.parametrize("test", [DONE, DOWN, ALONG])
def test_without_a_gauge_a_story_of_one_says_nothing(test: dict[str, Any]) -> None:
    rows = [("P1", 10.0 * k, y, x)
            for k, (x, y) in enumerate(zip(WORN["P1"], HOOKED["P1"], strict=True))]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "hook", "texture"])
    nobody_knows = {"texture": {"unit": "microinch"}, "hook": {"unit": "board"}}
    only = {**test, "only": {"ball": "P1"}}
    study = study_of(frame, only, use="games", measures=nobody_knows)
    (v,) = judge(study).verdicts
    assert v.code == "not-tested" and v.detail.one_item is None
    assert "too-few-items" in v.reasons
