"""``in: percent``: log ratios within items, turned back; against the same worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from calibration.worlds import study_of
from scipy import stats

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.errors import StudyError
from explainer.words.say import say

BEFORE = np.array([80.0, 60.0, 100.0, 75.0, 90.0, 70.0, 64.0, 88.0])
LEFT = np.array([0.70, 0.74, 0.68, 0.72, 0.75, 0.69, 0.71, 0.66])


def of(test: dict[str, Any], after: np.ndarray[Any, Any] = BEFORE * LEFT) -> Judgement:
    rows = [(f"B{i}", "ab"[i % 2], games, value)
            for i, pair in enumerate(zip(BEFORE, after, strict=True))
            for games, value in zip((0.0, 60.0), pair, strict=True)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y"])
    measures = {"y": {"unit": "microinch", "matters_from": 6}}
    return judge(study_of(frame, {"measure": "y", **test}, use="games", measures=measures))


def test_a_change_in_percent_is_the_mean_log_ratio_turned_back() -> None:
    (v,) = of({"kind": "change", "from": 0, "to": 60, "direction": "down", "in": "percent",
               "at_least": 20}).verdicts  # fmt: skip
    logs = np.log(LEFT)
    low, high = stats.ttest_1samp(logs, 0).confidence_interval(0.95)
    assert v.unit == "percent" and v.code == "backed"
    assert v.estimate == pytest.approx(100 * (math.exp(logs.mean()) - 1), abs=1e-9)
    assert (v.low, v.high) == pytest.approx((100 * math.expm1(low), 100 * math.expm1(high)))
    assert v.strip is not None and v.strip.claim_zone == (None, pytest.approx(-20))


def test_it_says_percent_and_not_percentage_points() -> None:
    judgement = of({"kind": "change", "from": 0, "to": 60, "direction": "down", "in": "percent",
                    "at_least": 20})  # fmt: skip
    folders = (Path(__file__).parents[2] / "templates",)
    workspace = replace(judgement.study.workspace, template_folders=folders)
    judgement = replace(judgement, study=replace(judgement.study, workspace=workspace))
    said = say(judgement, "viewer").claims["c"].says
    assert "%" in said and "percentage point" not in said and "20%" in said


@pytest.mark.parametrize(("size", "code"), [(20.0, "backed"), (45.0, "against")])
def test_the_size_claimed_is_held_against_the_ratio(size: float, code: str) -> None:
    (v,) = of({"kind": "change", "from": 0, "to": 60, "direction": "down", "in": "percent",
               "at_least": size}).verdicts  # fmt: skip
    assert v.code == code


def test_no_change_takes_its_margin_in_percent_and_has_none_of_its_own() -> None:
    steady = BEFORE * np.array([1.01, 0.99, 1.0, 1.02, 0.98, 1.0, 1.01, 0.99])
    test = {"kind": "no-change", "from": 0, "to": 60, "in": "percent"}
    assert of(test, steady).verdicts[0].reasons == ("no-margin",)
    (v,) = of({**test, "margin": 5}, steady).verdicts
    assert v.code == "backed" and v.unit == "percent"


def test_a_difference_in_percent_is_a_ratio_of_geometric_means() -> None:
    (v,) = of({"kind": "difference", "by": "model", "a": "a", "b": "b", "at": 0,
               "in": "percent"}).verdicts  # fmt: skip
    ratio = stats.gmean(BEFORE[::2]) / stats.gmean(BEFORE[1::2])
    assert v.estimate == pytest.approx(100 * (ratio - 1))
    assert v.extra["mean_a"] == pytest.approx(stats.gmean(BEFORE[::2]))


def test_a_trend_in_percent_per_game() -> None:
    (v,) = of({"kind": "trend", "over": "games", "direction": "down", "in": "percent"}).verdicts
    assert v.unit.startswith("percent per ")
    assert v.estimate == pytest.approx(100 * math.expm1(np.log(LEFT).mean() / 60))


def test_a_nothing_of_another_ball_holds_back_no_percent_of_one(judged, one) -> None:
    """What is refused is a 0 among the rows that the claim takes."""
    rows = [(ball, games, 0.0 if (ball, games) == ("D", 0) else 100.0 + games)
            for ball in "AD" for games in (0, 20)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"]).assign(x=1.0)
    test = "{kind: change, measure: y, from: 0, to: 20, in: percent, only: {ball: %s}}"
    (v,) = judged(one(test % "A"), frame).verdicts
    assert v.estimate == pytest.approx(20)
    with pytest.raises(StudyError) as raised:
        judged(one(test % "D"), frame)
    assert "nothing has no percent" in str(raised.value)


def test_nothing_has_no_percent() -> None:
    after = BEFORE * LEFT
    after[0] = 0.0
    (v,) = of({"kind": "change", "from": 0, "to": 60, "in": "percent"}, after).verdicts
    assert v.code == "not-tested"
