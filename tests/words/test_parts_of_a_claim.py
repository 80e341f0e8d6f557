"""A sentence that says two things: each part names the rows it is about, and only what is open is
called open."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.study.load import load_study, open_workspace
from explainer.words.facts.items import side
from explainer.words.say import say

TEST = ("{kind: difference, measure: hook, by: oil, a: 20, b: 30, direction: higher, within: ball, "
        "only: {pattern: %s}}")  # fmt: skip


def told(tmp_path: Path):
    """Oil costs hook on the short pattern, surely; on the long one nobody can tell."""
    dice = random.Random(5)
    rows = "ball,pattern,oil,hook\n"
    for ball in range(1, 9):
        for oil in (20, 30):
            rows += f"B{ball},short,{oil},{20 - 0.4 * oil + dice.gauss(0, 0.5):.2f}\n"
            rows += f"B{ball},long,{oil},{9 + dice.gauss(0, 1.6):.2f}\n"
    folder = tmp_path / "studies" / "oil"
    folder.mkdir(parents=True)
    (folder / "oil.csv").write_text(rows, "utf-8")
    (folder / "study.yaml").write_text(
        "title: Oil\nquestion: Does oil cost hook?\ntested: {each: ball, count: 8}\n"
        "measures: {hook: {term: total hook, unit: board, matters_from: 0.5, more_is: more hook, "
        "less_is: less hook}}\ntables: {oil: {file: oil.csv, source: made up}}\nfigures: []\n"
        "claims:\n  - id: oil-costs\n    report_says: Oil costs hook on both patterns.\n"
        f"    plainly: Oil costs hook.\n    tests: [{TEST % 'short'}, {TEST % 'long'}]\n",
        "utf-8",
    )  # fmt: skip
    judgement = judge(load_study(folder, open_workspace(tmp_path)))
    return judgement.verdicts[0], say(judgement)


def test_each_part_names_its_rows_and_only_the_open_one_is_open(tmp_path):
    verdict, words = told(tmp_path)
    assert [part.code for part in verdict.parts] == ["backed", "cannot-tell"]
    says = words.claims["oil-costs"].says
    assert "With the short pattern: " in says and "With the long pattern: " in says
    assert words.answer.count("oil 20") == 1
    assert "the long pattern" in words.answer and "short" not in words.answer
    [question] = words.questions
    asked = " ".join(map(str, question))
    assert "with the long pattern" in asked and "short" not in asked


@pytest.mark.parametrize(
    ("value", "by", "words"),
    [
        ("20", "oil", "oil 20"),
        ("20", "oil_ml", "oil 20 mL"),
        ("500", "grit", "grit 500"),
        ("60", "games", "60"),
        ("long", "pattern", "the long pattern"),
        ("used", "condition", "used balls"),
        ("Plover", "model", "Plover"),
    ],
)
def test_a_side_of_a_comparison_is_more_than_a_number(value, by, words):
    assert side(value, by, "balls") == words
