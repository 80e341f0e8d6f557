"""What an author of two studies met: sentences that were false, or harsher than the data, or that
were written and never told.  Nine made-up samples of three models, read at four checkpoints."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.study.load import load_study
from explainer.study.workspace import open_workspace
from explainer.words.say import say

#: (roughness, hook) at games 0, 20, 40 and 60.
SAMPLES = {
    ("Wren", 1): ((94, 57, 50, 40), (14.9, 13.7, 13.3, 13.1)),
    ("Wren", 2): ((89, 54, 47, 44), (15.3, 13.6, 13.3, 13.2)),
    ("Wren", 3): ((98, 64, 56, 53), (14.2, 12.5, 12.4, 12.3)),
    ("Dipper", 1): ((75, 55, 46, 46), (12.2, 11.4, 11.6, 11.5)),
    ("Dipper", 2): ((73, 51, 43, 41), (11.9, 11.1, 11.5, 11.4)),
    ("Dipper", 3): ((71, 50, 46, 39), (11.7, 11.5, 11.5, 11.5)),
    ("Crake", 1): ((58, 46, 43, 42), (9.7, 9.9, 9.2, 9.8)),
    ("Crake", 2): ((56, 44, 43, 41), (9.6, 9.2, 8.8, 8.9)),
    ("Crake", 3): ((55, 45, 43, 42), (9.6, 9.3, 9.3, 9.0)),
}
STUDY = """\
title: Nine samples
question: Does a worn cover cost hook?
invented: yes
tested: {each: [model, sample], group: model, count: 9}
use: {column: games, term: games rolled, unit: game}
measures:
  roughness: {term: cover roughness, unit: microinch, resolution: 1, repeatability_sd: 1.5,
              matters_from: 6, more_is: rougher, less_is: smoother}
  hook: {term: total hook, unit: board, resolution: 0.1, repeatability_sd: 0.2, matters_from: 1,
         more_is: more hook, less_is: less hook}
tables: {covers: {file: covers.csv, source: "Table 1, page 3"}}
"""


def told(tmp_path: Path, more: str):
    """A study of the nine with more description, judged and said."""
    folder = tmp_path / "studies" / "nine"
    folder.mkdir(parents=True, exist_ok=True)
    rows = "model,sample,games,roughness,hook\n" + "".join(
        f"{model},{sample},{games},{rough[i]},{hook[i]}\n"
        for (model, sample), (rough, hook) in SAMPLES.items()
        for i, games in enumerate((0, 20, 40, 60))
    )
    (folder / "covers.csv").write_text(rows, "utf-8")
    (folder / "study.yaml").write_text(STUDY + more, "utf-8")
    judgement = judge(load_study(folder, open_workspace(tmp_path)))
    return judgement, say(judgement)


def claim(test: str, says: str = "So they say.", more: str = "") -> str:
    return f"claims:\n  - {{id: it, report_says: {says}, {more}test: {{{test}}}}}\n"


# ---- a link across nested samples says which link it is

LINK = claim("kind: association, x: roughness, y: hook, direction: positive, at: 0",
             "Rough ones hook more.")  # fmt: skip


def r_of(inside: bool) -> float:
    """Pearson's r of the nine at game 0; each model's own mean taken off or not."""
    x = np.array([rough[0] for rough, _ in SAMPLES.values()], float).reshape(3, 3)
    y = np.array([hook[0] for _, hook in SAMPLES.values()], float).reshape(3, 3)
    if inside:
        x, y = x - x.mean(axis=1, keepdims=True), y - y.mean(axis=1, keepdims=True)
    return float(np.corrcoef(x.ravel(), y.ravel())[0, 1])


def test_a_link_inside_models_says_so_and_gives_the_one_over_all(tmp_path):
    judgement, words = told(tmp_path, LINK)
    inside, over_all = r_of(inside=True), r_of(inside=False)
    assert inside < -0.5 and over_all > 0.95  # they go different ways
    verdict = judgement.verdict("it")
    assert verdict.estimate == pytest.approx(inside)
    [published] = results(judgement)["claims"]
    assert published["extra"]["r_before"] == pytest.approx(over_all)
    said = words.claims["it"].says
    assert "the model held alike" in said
    assert f"reads −{abs(inside):.1f}" in said and f"it reads {over_all:.2f}" in said
    assert "the model" in words.claims["it"].method


def test_a_link_over_items_of_one_kind_is_not_said_to_hold_anything_alike(tmp_path):
    alone = LINK.replace("at: 0", "at: 0, only: {model: Wren}")
    _, words = told(tmp_path, alone)
    assert "held alike" not in words.claims["it"].says
