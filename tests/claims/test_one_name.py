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


@pytest.mark.parametrize("kind", ["difference", "no-difference", "no-worse"])
@pytest.mark.parametrize("paired", [True, False])
def test_what_would_settle_a_gap_goes_by_the_spread_that_decides(
    judged: Judge, one: One, kind: str, paired: bool
) -> None:
    """Two models that stand 30 apart, alike inside: what settles 1 is not hidden by the 30."""
    own = {"A": 60.0, "B": 90.0}
    rows = [
        (f"{model}{i}" + ("" if paired else oil), model, oil,
         own[model] + (i * 7 % 5) / 2 + shift * (1.0 if model == "A" else 4.0) + ((i + k) % 3) / 4)
        for model, n in (("A", 5), ("B", 3)) for i in range(n)
        for k, (oil, shift) in enumerate((("dry", 0.0), ("wet", 1.0)))
    ]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "oil", "x"])
    extra = {"difference": "", "no-difference": ", margin: 1", "no-worse": ", margin: 1, worse: up"}
    head = IN_MODELS.replace("use: {column: games, term: games rolled, unit: game}\n", "").replace(
        "  y: {term: total hook, unit: board, matters_from: 1}\n", "").replace(
        "repeatability_sd: 0.001", "repeatability_sd: 0.001, matters_from: 1")  # fmt: skip
    test = f"{{kind: {kind}, measure: x, by: oil, a: wet, b: dry{extra[kind]}}}"
    verdict = judged(one(test), frame, head=head).verdicts[0]
    assert verdict.detail.n_groups == 2 and verdict.power is not None
    spread = (verdict.high - verdict.low) / 2  # type: ignore[operator]
    assert verdict.power.smallest_effect < 2.5 * spread
