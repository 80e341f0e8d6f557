"""One number has one name: what a page tells twice is worked out once, the same way."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import pytest
from claims.conftest import IN_MODELS, Judge

One = Callable[..., str]

FIGURE = """\
figures:
  - {id: f, kind: scatter, table: t, x: x, y: y, join: yes}
"""


def in_models() -> pd.DataFrame:
    """Four balls of one model and two of another, whose y follow x each by a slope of their own."""
    rows = []
    for i, (model, slope) in enumerate(
        [("A", 0.9), ("A", 1.1), ("A", 1.0), ("A", 1.2), ("B", 0.1), ("B", 0.3)]
    ):
        for use, x in ((0, 0.0), (10, 2.0 + i), (20, 5.0 + (3 * i) % 4)):
            rows.append((f"{model}{i}", model, use, 10 * i + x, 7 * i + slope * x + 0.1 * use))
    return pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])


def test_the_slope_within_an_item_is_the_same_wherever_it_is_told(judged: Judge, one: One) -> None:
    claims = "".join(
        one(f"{{kind: {kind}, x: x, y: y}}", kind)
        for kind in ("tracks-within", "same-line", "association")
    )
    judgement = judged(claims, in_models(), head=IN_MODELS, more=FIGURE)
    tracks, line, link = judgement.verdicts
    found = {f.kind: f.numbers for f in judgement.figures[0].findings}["within"]
    slopes = {tracks.estimate, tracks.extra["slope_within"], line.extra["slope_within"],
              link.detail.slope_within, found["slope"]}  # fmt: skip
    assert len(slopes) == 1
    one_by_one = [
        (rows["x"] - rows.groupby("ball")["x"].transform("mean"),
         rows["y"] - rows.groupby("ball")["y"].transform("mean"))
        for _, rows in in_models().groupby("model")
    ]  # fmt: skip
    each = [(x * y).sum() / (x * x).sum() for x, y in one_by_one]
    assert tracks.estimate == pytest.approx(sum(each) / 2)  # each model once, whatever its size
    assert found["uneven"] and line.detail.groups_uneven


def test_people_held_to_a_limit_have_a_rank_that_nobody_is_called_by(judged: Judge) -> None:
    """Called by numbers in the order of the file, and 2 is the lowest: no row says so of 1."""
    head = """\
title: A test study
question: Does it?
tested: {each: patient, names: numbers}
measures: {x: {term: grip, unit: microinch, repeatability_sd: 1}}
"""
    frame = pd.DataFrame({"patient": ["Ann", "Ben", "Cid"], "x": [60.0, 40.0, 52.0]})
    claims = ("  - {id: c, report_says: It does., plainly: It does.,"
              " test: {kind: limit, measure: x, at_least: 50}}\n")  # fmt: skip
    figure = "figures:\n  - {id: f, kind: limit, table: t, y: x, at_least: 50}\n"
    judgement = judged(claims, frame, head=head, more=figure)
    public = set(judgement.study.tables["t"].items)
    called = [row["item"] for row in judgement.verdicts[0].extra["items"]]
    drawn = [str(row[0]) for row in judgement.figures[0].table.rows]
    assert called == drawn == ["rank 1", "rank 2", "rank 3"]
    assert public == {"1", "2", "3"} and public.isdisjoint(called)
