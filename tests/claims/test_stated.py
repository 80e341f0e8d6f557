"""Printed numbers worked out again: on picked rows, with the sign that words give, r by its name.

Made-up balls; every expected number is worked out here from the rows with pandas and numpy.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.claims.verdict import Judgement
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say

RNG = np.random.default_rng(8)
ROWS = pd.DataFrame([
    (f"B{i}", "ab"[i % 2], games, round(70 + i - games * (0.1 if i % 2 else 0.3), 1),
     round(10 + i * 0.1 - games * 0.02 + RNG.normal(0, 0.1), 2))
    for i in range(6) for games in (0, 30, 60)
], columns=["ball", "model", "games", "x", "y"])  # fmt: skip


def judged(folder: Path, *stated: dict[str, Any]) -> Judgement:
    study = folder / "studies" / "numbers"
    study.mkdir(parents=True)
    ROWS.to_csv(study / "t.csv", index=False)
    (study / "study.yaml").write_text(json.dumps({
        "title": "Numbers", "question": "Do they add up?", "invented": True,
        "tested": {"each": "ball"}, "use": {"column": "games", "unit": "game"},
        "measures": {"x": {"unit": "microinch"}, "y": {"unit": "board"}},
        "tables": {"t": {"file": "t.csv"}},
        "stated": [{"what": "a number", "value": "1", **entry} for entry in stated],
    }))  # fmt: skip
    return judge(load_study(study, open_workspace(folder)))


OF_A = ROWS[ROWS.model == "a"]
AT = {games: OF_A[OF_A.games == games].set_index("ball").x for games in (0, 60)}
MEANS = OF_A.groupby("ball").x.mean()


@pytest.mark.parametrize(
    ("compute", "value"),
    [
        ({"mean": "x"}, MEANS.mean()),
        ({"mean": "x", "at": 60}, AT[60].mean()),
        ({"sd": "x", "at": 0}, AT[0].std(ddof=1)),
        ({"min": "x"}, MEANS.min()),
        ({"max": "x"}, MEANS.max()),
        ({"difference": "x", "at": 0, "to": 60}, (AT[60] - AT[0]).mean()),
        ({"percent": "x", "at": 0, "to": 60}, 100 * (AT[60].mean() / AT[0].mean() - 1)),
        ({"rate": "y", "of": "x"}, 100 * OF_A.y.sum() / OF_A.x.sum()),
        ({"rate": "y", "of": "x", "at": 60},
         100 * OF_A[OF_A.games == 60].y.sum() / OF_A[OF_A.games == 60].x.sum()),
        ({"r": ["x", "y"]}, np.corrcoef(MEANS, OF_A.groupby("ball").y.mean())[0, 1]),
        ({"count": "items"}, 3), ({"count": "rows"}, 9), ({"count": "x", "at": 0}, 3),
    ],
)  # fmt: skip
@pytest.mark.parametrize("picked", [{"by": "model", "is": "a"}, {"only": {"model": "a"}}])
def test_rows_are_picked_by_either_way(
    compute: dict[str, Any], value: float, picked: dict[str, Any], tmp_path: Path
) -> None:
    (check,) = judged(tmp_path, {"compute": {**compute, **picked}}).stated
    assert check.recomputed == pytest.approx(value)


def test_two_groups_at_one_checkpoint(tmp_path: Path) -> None:
    other = ROWS[(ROWS.model == "b") & (ROWS.games == 60)].x.mean()
    (check,) = judged(tmp_path, {"compute": {
        "difference": "x", "by": "model", "a": "a", "b": "b", "at": 60}}).stated  # fmt: skip
    assert check.recomputed == pytest.approx(AT[60].mean() - other)


FELL = float((AT[60] - AT[0]).mean())


@pytest.mark.parametrize(
    ("what", "value", "agrees"),
    [
        ("change of texture", f"{FELL:.1f}", True), ("change of texture", f"{-FELL:.1f}", False),
        ("mean loss of texture", f"{-FELL:.1f}", True),
        ("how far texture falls", f"{-FELL:.1f}", True),
        ("mean gain of texture", f"{-FELL:.1f}", False),
        ("texture", f"falls by {-FELL:.1f}", True), ("texture", f"fell {-FELL:.1f}", True),
        ("texture", f"a drop of {-FELL:.1f} microinches", True),
        ("texture", f"rose by {-FELL:.1f}", False), ("mean loss", f"−{-FELL:.1f}", True),
        ("texture", f"down {-FELL + 1:.1f}", False),
    ],
)  # fmt: skip
def test_words_give_a_number_its_sign(
    what: str, value: str, agrees: bool, tmp_path: Path
) -> None:
    compute = {"difference": "x", "at": 0, "to": 60, "only": {"model": "a"}}
    (check,) = judged(tmp_path, {"what": what, "value": value, "compute": compute}).stated
    assert check.agrees is agrees


MEAN_X, MEAN_Y = ROWS.groupby("ball").x.mean(), ROWS.groupby("ball").y.mean()
R = {"items": float(np.corrcoef(MEAN_X, MEAN_Y)[0, 1]),
     "points": float(np.corrcoef(ROWS.x, ROWS.y)[0, 1])}  # fmt: skip


@pytest.mark.parametrize("printed", ["items", "points"])
def test_r_is_named_for_what_it_is_over(printed: str, tmp_path: Path) -> None:
    """Whichever of the two the report printed is found, and the other stands beside it."""
    assert abs(R["items"] - R["points"]) > 0.02
    judgement = judged(tmp_path, {"value": f"{R[printed]:.3f}", "compute": {"r": ["x", "y"]}})
    (check,) = judgement.stated
    other = "points" if printed == "items" else "items"
    assert (check.over, check.agrees) == (printed, True)
    assert check.recomputed == pytest.approx(R[printed])
    assert check.other == pytest.approx(R[other])
    assert results(judgement)["stated"][0]["over"] == printed
    (sentence,) = say(judgement, "viewer").stated
    told = sentence.lower()
    assert "over balls, one point each" in told and "over all the readings" in told


def test_r_over_what_the_author_names_is_held_to_that_one(tmp_path: Path) -> None:
    compute = {"r": ["x", "y"], "over": "items"}
    judgement = judged(tmp_path, {"value": f"{R['points']:.3f}", "compute": compute})
    (check,) = judgement.stated
    assert (check.over, check.agrees) == ("items", False)
    assert "The first of these does not agree" in say(judgement, "viewer").stated[0]


def test_a_share_may_be_printed_as_one_of_1(tmp_path: Path) -> None:
    """0.5 of the rows was held against 50 and called wrong."""
    share = {"share": "model", "is": "a"}
    judgement = judged(tmp_path, *({"value": v, "compute": share} for v in ("0.5", "0.4", "50")))
    assert [(c.recomputed, c.unit, c.agrees) for c in judgement.stated] == [
        (0.5, "share", True), (50.0, "percent", False), (50.0, "percent", True)]  # fmt: skip
    assert say(judgement).stated[0].endswith("prints 0.5, and the data give 50%. That agrees.")
