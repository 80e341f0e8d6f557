"""Figures take the numbers of the claim they show; worked out again they can contradict it."""

from __future__ import annotations

import pandas as pd
import pytest

FRAME = pd.DataFrame({"ball": ["A", "B", "C", "D"], "x": [49.0, 51.5, 60.0, 40.0]})
HEAD = """\
title: A test study
question: Does it?
invented: yes
tested: {each: ball}
measures:
  x: {term: cover roughness, unit: microinch, repeatability_sd: 0.001}
"""
FIGURE = "figures:\n  - {id: f, kind: limit, table: t, y: x, at_least: 50}\n"


def seen(judged, test: str, more: str = FIGURE):
    claim = f"  - {{id: c, report_says: It is., plainly: It is., figure: f, test: {test}}}\n"
    judgement = judged(claim, FRAME, head=HEAD, more=more)
    return judgement.verdicts[0], judgement.figures[0]


def test_a_limit_figure_calls_as_its_claim_calls(judged) -> None:
    """u = 1: within 1.645 of 50, so 49 and 51.5 are too close; by a gauge of 0.001 neither is."""
    verdict, figure = seen(judged, "{kind: limit, measure: x, at_least: 50, u: 1}")
    assert [(r.item, r.call) for r in figure.data.readings] == [
        ("A", "too-close"), ("B", "too-close"), ("C", "pass"), ("D", "fail"),
    ]  # fmt: skip
    assert [r.call for r in figure.data.readings] == [c["call"] for c in verdict.detail.items]
    numbers = dict(figure.findings[0].numbers)
    assert (numbers["n_pass"], numbers["n_fail"], numbers["n_close"]) == (1, 1, 2)
    assert numbers["guard"] == figure.data.guard == verdict.detail.guard
    assert figure.data.guard == pytest.approx(1.645, abs=0.001)
    assert [row[2] for row in figure.table.rows] == ["too-close", "too-close", "pass", "fail"]


@pytest.mark.parametrize("other", ["at_least: 45", "at_most: 50"])
def test_a_claim_about_another_limit_leaves_the_figure_its_own_calls(judged, other: str) -> None:
    _, figure = seen(judged, f"{{kind: limit, measure: x, {other}, u: 1}}")
    assert [r.call for r in figure.data.readings] == ["fail", "pass", "pass", "fail"]
