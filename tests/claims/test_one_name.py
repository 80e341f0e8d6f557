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
