"""Figures take the numbers of the claim they show; worked out again they can contradict it."""

from __future__ import annotations

import pandas as pd
import pytest

from explainer.words.say import say

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
    """By its own limit of 50; how far the same readings may be off is the same all the same."""
    _, figure = seen(judged, f"{{kind: limit, measure: x, {other}, u: 1}}")
    assert [r.call for r in figure.data.readings] == ["too-close", "too-close", "pass", "fail"]


TWO = """\
  - {id: c, report_says: It is., plainly: It is.,
     test: {kind: limit, measure: x, at_least: 50, FIRST}}
  - {id: d, report_says: It is., plainly: It is.,
     test: {kind: limit, measure: x, at_least: 50, at_most: 61, SECOND}}
"""


@pytest.mark.parametrize(
    ("first", "second", "band"),
    [
        ("u: 0", "u: 1", 1.645),  # the same readings: neither claim may be surer of them
        ("u: 1", "u: 0.5", 1.645),
        ("u: 0.5", "take: mean", 0.8224),  # what one claim says, the other knows
        ("u: 0.5", "take: lowest", 0.001645),  # another value is judged: by the gauge as declared
    ],
)
def test_what_readings_may_be_off_by_is_one_number(
    judged, first: str, second: str, band: float
) -> None:
    claims = TWO.replace("FIRST", first).replace("SECOND", second)
    judgement = judged(claims, FRAME, head=HEAD, more=FIGURE)
    _, other = judgement.verdicts
    assert other.detail.guard == pytest.approx(band, abs=0.0005)
    alike = {v.detail.guard for v in judgement.verdicts if v.test.take == "mean"}
    assert alike == {judgement.figures[0].data.guard}
    two = [p for p in judgement.study.warnings if p.code == "two-us"]
    assert len(two) == (first == "u: 0" or second == "u: 0.5")


def test_a_figure_that_knows_more_of_its_readings_than_a_claim_is_heard(judged) -> None:
    """By the claim they are exact; by the figure, of another limit, within 1.645 nobody can say."""
    figure = FIGURE.replace("at_least: 50", "at_least: 51, u: 1")
    verdict, shown = seen(judged, EXACT, figure)
    assert verdict.detail.u == 1.0 and not shown.data.exact
    assert [r.call for r in shown.data.readings] == ["fail", "too-close", "pass", "fail"]
    judgement = judged(f"  - {{id: c, report_says: It is., plainly: It is., test: {EXACT}}}\n",
                       FRAME, head=HEAD, more=figure)  # fmt: skip
    assert "exact" not in say(judgement, "viewer").figures["f"].how_to_read
    assert "two-us" in [p.code for p in judgement.study.warnings]


def test_readings_taken_as_exact_are_not_called_unknown(judged) -> None:
    verdict, figure = seen(judged, "{kind: limit, measure: x, at_least: 50, u: 0}")
    words = say(judged(f"  - {{id: c, report_says: It is., plainly: It is., test: {EXACT}}}\n",
                       FRAME, head=HEAD, more=FIGURE), "viewer")  # fmt: skip
    assert (verdict.detail.u, figure.data.exact) == (0.0, True)
    told = [words.claims["c"].method, words.figures["f"].how_to_read]
    assert all("exact" in text and "not known" not in text for text in told)


EXACT = "{kind: limit, measure: x, at_least: 50, u: 0}"
