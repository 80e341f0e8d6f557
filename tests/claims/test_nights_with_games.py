"""A league's sheet: weeks, and games numbered anew in each.  A window counts along the one that is
named; past its end the page says where it ends, and the proof how to speak of the other."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from explainer.claims.figures.pair import pairs
from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say

ROWS = "bowler,week,game,score,spares,tries,strikes\n" + "".join(
    f"P{i},{week},{game},{150 + 7 * i + (3 + i % 2) * week - 2 * game},"
    f"{2 + i % 3},10,{3 + (i + week) % 4}\n"
    for i in range(8) for week in range(1, 11) for game in (1, 2, 3)
)  # fmt: skip


def judged(folder: Path, order: bool, **more: Any) -> Judgement:
    study = folder / "studies" / "league"
    study.mkdir(parents=True)
    (study / "t.csv").write_text(ROWS)
    windows = {"measure": "score", "from": [1, 5], "to": [6, 10], "direction": "up"}
    rates = {"kind": "rates", "table": "t", "attempts": "tries", "by": "game", "within": "bowler"}
    (study / "study.yaml").write_text(json.dumps({
        "title": "A league", "question": "Did it get better?", "invented": True,
        "tested": {"each": "bowler"}, "use": {"column": "week", "unit": "count"},
        "measures": {"score": {"unit": "pin", "matters_from": 5}},
        "tables": {"t": {"file": "t.csv", **({"order": "game"} if order else {})}},
        "figures": [{"id": "a", "successes": "spares", "pair": ["a", "b"], **rates},
                    {"id": "b", "successes": "strikes", **rates}],
        "claims": [{"id": "better", "report_says": "It got better.",
                    "test": {"kind": "change", **windows}}], **more,
    }))  # fmt: skip
    return judge(load_study(study, open_workspace(folder)))


def test_a_window_along_the_games_of_a_night_ends_where_they_do(tmp_path):
    judgement = judged(tmp_path, order=True)
    [better] = judgement.verdicts
    assert (better.code, better.detail.measured_to) == ("not-tested", 3)
    said = " ".join(say(judgement).claims["better"].because)
    assert "past 3 games" in said
    warned = [str(w) for w in judgement.study.warnings if w.code == "window-of-order"]
    assert len(warned) == 2 and "no `order:` under the table to speak of week" in warned[0]


def test_without_an_order_it_goes_along_the_weeks(tmp_path):
    judgement = judged(tmp_path, order=False)
    [better] = judgement.verdicts
    assert better.code == "backed" and better.estimate == pytest.approx(17.5)
    assert "window-of-order" not in {w.code for w in judgement.study.warnings}


def test_two_rates_side_by_side_are_called_by_what_is_counted(tmp_path):
    judgement = judged(tmp_path, order=False)
    [pair] = pairs(judgement)
    assert pair.differs == "measure"
    title = say(judgement).pairs["a"].title
    assert "spares" in title and "strikes" in title
