"""Old studies under new rules: the verdicts that moved are listed, with why."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.errors import Problem
from explainer.proof.read import proofread
from explainer.study.load import load_study, open_workspace

STUDY = """\
title: A test study
question: Does it?
invented: yes
tested: {each: ball}
use: {column: games}
data_source: made up
measures: {y: {unit: board, matters_from: 1}}
tables: {t: {file: t.csv}}
claims:
  - id: rose
    report_says: It rose.
    plainly: It rose.
    key: yes
    test: {kind: change, measure: y, from: 0, to: 20, direction: up}
"""


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = tmp_path / "studies" / "made-up"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(STUDY, encoding="utf-8")
    rows = "".join(f"B{i},{u},{i + u / 5 + i % 3 * u / 60}\n" for i in range(8) for u in (0, 20))
    (folder / "t.csv").write_text("ball,games,y\n" + rows, encoding="utf-8")
    return folder


def published(bench: Path, **changes: object) -> None:
    """The results as some version published them, with ``changes`` to the first claim."""
    workspace = open_workspace(bench.parent.parent)
    record = json.loads(json.dumps(results(judge(load_study(bench, workspace)))))
    record["claims"][0] |= changes
    record["explainer"] = "0.1"
    site = workspace.root / "site" / "made-up"
    site.mkdir(parents=True)
    (site / "results.json").write_text(json.dumps(record), encoding="utf-8")


def found(bench: Path, code: str) -> list[Problem]:
    return [p for p in proofread(bench, open_workspace(bench.parent.parent)) if p.code == code]


def test_a_verdict_that_moved_is_listed_with_why(bench: Path) -> None:
    published(bench, verdict="leans", reasons=["fragile"])
    (moved,) = found(bench, "verdict-moved")
    assert moved.line == 10 and moved.severity == "warning"
    assert "`backed` for `rose`" in moved.found and "`leans` (written by 0.1" in moved.found
    assert "no longer: fragile" in moved.happens


def test_nothing_moved(bench: Path) -> None:
    assert found(bench, "verdict-moved") == []
    published(bench)
    assert found(bench, "verdict-moved") == []


def test_other_data_are_no_new_rule(bench: Path) -> None:
    published(bench, verdict="leans")
    text = (bench / "t.csv").read_text(encoding="utf-8")
    (bench / "t.csv").write_text(text + "B8,0,1\nB8,20,6\n", encoding="utf-8")
    assert found(bench, "verdict-moved") == []


@pytest.mark.parametrize("text", ["", "[]", '{"claims": 3}', "{"])
def test_a_results_file_that_is_none_of_ours(bench: Path, text: str) -> None:
    published(bench)
    site = bench.parent.parent / "site" / "made-up" / "results.json"
    site.write_text(text, encoding="utf-8")
    assert found(bench, "verdict-moved") == []


def test_a_key_that_changed_its_meaning_is_named(bench: Path) -> None:
    (key,) = found(bench, "key-changed")
    assert key.line == 13 and "answers_question: yes" in key.expected
    text = STUDY.replace("    key: yes\n", "    key: yes\n    answers_question: yes\n")
    (bench / "study.yaml").write_text(text, encoding="utf-8")
    assert found(bench, "key-changed") == []
