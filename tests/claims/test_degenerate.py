"""Designs with next to nothing in them: a verdict with its reason, never NaN, a warning or a crash.

Every kind of test is held against small random tables: two to five items, repeated and missing
readings (so that one item may be all that is left, or none), ties, columns that never change, and
values from 1e-12 to 1e12 side by side.  A table of a single item is refused with its place.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from explainer.claims.results import results
from explainer.claims.verdict import REASONS, STRENGTH, Judgement

Judge = Callable[..., Judgement]

HEAD = """\
title: A test study
question: Does it?
tested: {each: ball, group: model}
use: {column: games}
measures:
  x: {unit: microinch, lowest: -1.0e+15, repeatability_sd: 0.5}
  y: {unit: board, matters_from: 1, lowest: -1.0e+15}
  v: {unit: board, resolution: 1, lowest: -1.0e+15}
  z: {unit: microinch, lowest: -1.0e+15}
  w: {unit: mph, lowest: -1.0e+15}
"""

TESTS = [
    "{kind: change, measure: y, from: 0, to: 20, direction: up}",
    "{kind: change, measure: y, from: 0, to: 20, direction: any, at_least: 2}",
    "{kind: change, measure: v, from: 10, to: 20}",
    "{kind: no-change, measure: y, from: 0, to: 20}",
    "{kind: no-change, measure: v, from: 0, to: 20}",
    "{kind: difference, measure: y, by: model, a: P, b: T, direction: higher}",
    "{kind: difference, measure: v, by: model, a: P, b: T, at: 10}",
    "{kind: difference, measure: y, by: games, a: 0, b: 20, within: ball}",
    "{kind: difference-in-change, measure: y, from: 0, to: 20, by: model, a: P, b: T}",
    "{kind: association, x: x, y: y, direction: positive}",
    "{kind: association, x: x, y: y, at: 10, strong: yes}",
    "{kind: no-association, x: x, y: y, margin: 0.3}",
    "{kind: no-association, x: x, y: y, margin: 0.7, within: yes}",
    "{kind: tracks-within, x: x, y: y, direction: negative}",
    "{kind: same-line, x: x, y: y}",
    "{kind: same-line, x: v, y: y}",
    "{kind: break-in, measure: y, from: 0, by: 10, to: 20}",
    "{kind: trend, measure: w, over: shot, direction: up}",
    "{kind: repeatability, measure: z, operator: who, repeat: k}",
    "{kind: limit, measure: x, at_least: 1}",
    "{kind: limit, measure: v, at_most: 1, at: 20}",
    "{kind: limit, measure: y, at_least: 0, u: 1}",
    "{kind: rate-difference, successes: s, attempts: n, by: oil, a: a, b: b, within: bowler}",
    "{kind: not-testable, because: taste}",
]
CLAIMS = "".join(
    f"  - {{id: c{i}, report_says: It does., plainly: It does., test: {test}}}\n"
    for i, test in enumerate(TESTS)
)
FIGURES = """\
figures:
  - {id: f-use, kind: over-use, table: t, y: y}
  - {id: f-xy, kind: scatter, table: t, x: x, y: y, join: yes}
  - {id: f-groups, kind: groups, table: t, y: y, by: model}
  - {id: f-shots, kind: shot-series, table: shots, y: w, order: shot, first: 2, last: 2}
  - {id: f-rates, kind: rates, table: lanes, successes: s, attempts: n, by: oil, within: bowler}
  - {id: f-gauge, kind: gauge, table: gauge, y: z, operator: who, repeat: k}
  - {id: f-limit, kind: limit, table: t, y: x, at_least: 1}
"""
KEYS = {
    "lanes": ", tested: {each: bowler}",
    "shots": ", order: shot",
    "t": "",
    "gauge": "",
}

ORDINARY = (0.0, 1.0, 1.0, 2.0, 3.0, -5.0, 0.1 + 0.2)
WILD = (*ORDINARY, 1e-12, -1e-12, 1e12, 1e12 + 1, None, None)


@st.composite
def tables(draw: st.DrawFn, pool: tuple[float | None, ...] = WILD) -> dict[str, pd.DataFrame]:
    """Balls over three checkpoints, shots in order, a gauge study, and bowlers on two oils."""
    n = draw(st.integers(2, 5))
    cell = st.sampled_from(pool)
    repeats = draw(st.integers(1, 2))
    uses = [draw(st.sets(st.sampled_from([0, 10, 20]), min_size=1)) for _ in range(n)]
    uses[0] = {0, 10, 20}
    balls = [
        (f"B{i}", "PT"[i % 2], use, draw(cell), draw(cell), draw(cell))
        for i in range(n)
        for use in sorted(uses[i])
        for _ in range(repeats)
    ]
    shots = [(f"B{i}", 0, k, draw(cell)) for i in range(n) for k in range(draw(st.integers(1, 7)))]
    parts, people = draw(st.integers(1, 3)), draw(st.integers(1, 2))
    gauge = [
        (f"B{i}", f"O{j}", k, draw(cell))
        for i in range(parts)
        for j in range(people)
        for k in range(draw(st.integers(1, 2)))
    ]
    lanes = [
        (f"W{i}", oil, draw(st.integers(0, tried)), tried)
        for i in range(n)
        for oil in "ab"
        for tried in (draw(st.integers(1, 5)),)
    ]
    return {
        "t": pd.DataFrame(balls, columns=["ball", "model", "games", "x", "y", "v"]),
        "shots": pd.DataFrame(shots, columns=["ball", "games", "shot", "w"]),
        "gauge": pd.DataFrame(gauge, columns=["ball", "who", "k", "z"]).assign(games=0),
        "lanes": pd.DataFrame(lanes, columns=["bowler", "oil", "s", "n"]).assign(games=0),
    }


def finite(value: Any) -> None:
    """No number anywhere in a record is NaN or endless."""
    if isinstance(value, dict):
        for part in value.values():
            finite(part)
    elif isinstance(value, list | tuple):
        for part in value:
            finite(part)
    elif isinstance(value, float):
        assert math.isfinite(value)


def sound(judgement: Judgement) -> None:
    """What holds of every verdict, whatever the data."""
    json.dumps(results(judgement), allow_nan=False)
    assert len(judgement.verdicts) == len(TESTS)
    for v in judgement.verdicts:
        assert v.code in STRENGTH
        assert set(v.reasons) <= set(REASONS)
        finite([v.estimate, v.low, v.high, v.p, v.p_holm, dict(v.extra), v.detail.known()])
        if v.low is not None and v.high is not None:
            assert v.low <= v.high
            if v.estimate is not None and v.test.kind != "repeatability":
                assert v.low <= v.estimate <= v.high
        for p in (v.p, v.p_holm):
            assert p is None or 0 <= p <= 1
        # Nothing is found, either way, without a range or readings of single items.
        if v.code in ("backed", "against") and v.test.kind not in ("limit",):
            assert v.low is not None or v.high is not None
        assert v.n_items <= v.n_rows
        if v.strip is not None:
            finite([v.strip.value, v.strip.low, v.strip.high, v.strip.claim_zone,
                    v.strip.small_zone])  # fmt: skip
    for figure in judgement.figures:
        finite([dict(f.numbers) for f in figure.findings])
        finite([list(row) for row in figure.table.rows])


@settings(
    max_examples=40, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
@given(tables())
def test_any_small_table_gets_a_verdict_or_a_reason(
    judged: Judge, made: dict[str, pd.DataFrame]
) -> None:
    sound(judged(CLAIMS, made, head=HEAD, table_keys=KEYS, more=FIGURES))


def plain_tables(n: int = 5, seed: int = 3) -> dict[str, pd.DataFrame]:
    """Ordinary readings of five balls: a fall with use, a link, a drift, a fair gauge."""
    rng = np.random.default_rng(seed)
    balls = [
        (f"B{i}", "PT"[i % 2], use, x, 10 - use / 5 + x / 4 + rng.normal(0, 0.3), 5 + rng.normal())
        for i in range(n)
        for use in (0, 10, 20)
        for x in (20 + 2 * i + rng.normal(0, 1),)
    ]
    shots = [(f"B{i}", 0, k, 18 + 0.2 * k + rng.normal(0, 0.1)) for i in range(n) for k in range(9)]
    gauge = [
        (f"B{i}", f"O{j}", k, 10.0 * i + j / 5 + rng.normal(0, 0.5))
        for i in range(5)
        for j in range(3)
        for k in range(2)
    ]
    lanes = [(f"W{i}", oil, 4 + (oil == "a") * 2 + i % 2, 12) for i in range(n) for oil in "ab"]
    return {
        "t": pd.DataFrame(balls, columns=["ball", "model", "games", "x", "y", "v"]),
        "shots": pd.DataFrame(shots, columns=["ball", "games", "shot", "w"]),
        "gauge": pd.DataFrame(gauge, columns=["ball", "who", "k", "z"]).assign(games=0),
        "lanes": pd.DataFrame(lanes, columns=["bowler", "oil", "s", "n"]).assign(games=0),
    }


def measured(tables: dict[str, pd.DataFrame]) -> list[tuple[str, str]]:
    """Every column of readings, with its table."""
    return [(t, m) for t, ms in (("t", "xyv"), ("shots", "w"), ("gauge", "z")) for m in ms]


def test_ordinary_tables_get_every_range(judged: Judge) -> None:
    """The tables that the cases below take apart do carry findings."""
    judgement = judged(CLAIMS, plain_tables(), head=HEAD, table_keys=KEYS, more=FIGURES)
    sound(judgement)
    assert {v.code for v in judgement.verdicts} >= {"backed", "cannot-tell", "against"}


def test_readings_that_never_differ_show_nothing(judged: Judge) -> None:
    """Scatter that was not seen has no known size, so nothing is found, and nothing ruled out."""
    tables = plain_tables()
    for table, column in measured(tables):
        tables[table][column] = 7.0
    judgement = judged(CLAIMS, tables, head=HEAD, table_keys=KEYS, more=FIGURES)
    sound(judgement)
    for test, v in zip(TESTS, judgement.verdicts, strict=True):
        if v.test.kind in ("rate-difference", "limit", "not-testable"):
            continue
        assert v.code in ("cannot-tell", "not-tested", "against"), test
        # A display in whole boards hides less than it shows: only there is a range.
        if "measure: v" not in test:
            assert (v.low, v.high) == (None, None), test


def test_nothing_was_read(judged: Judge) -> None:
    tables = plain_tables()
    for table, column in measured(tables):
        tables[table][column] = None
    judgement = judged(CLAIMS, tables, head=HEAD, table_keys=KEYS)
    sound(judgement)
    for v in judgement.verdicts:
        if v.test.kind not in ("rate-difference", "not-testable"):
            assert v.code in ("cannot-tell", "not-tested")
            assert v.estimate is None
            assert v.reasons


def test_one_ball_is_left_of_all_that_were_read(judged: Judge) -> None:
    tables = plain_tables()
    for table, column in measured(tables):
        tables[table].loc[tables[table]["ball"] != "B0", column] = None
    judgement = judged(CLAIMS, tables, head=HEAD, table_keys=KEYS)
    sound(judgement)
    for v in judgement.verdicts:
        if v.test.kind not in ("rate-difference", "not-testable", "limit", "trend"):
            assert v.code in ("cannot-tell", "not-tested")
            assert "too-few-items" in v.reasons


def test_one_ball_carries_everything(judged: Judge) -> None:
    """Without B4 nothing would be there; whatever is said leans at most, or names it."""
    tables = plain_tables()
    t = tables["t"]
    t[["x", "y"]] = 10.0 + 1e-3 * np.resize([1, -1, 0], (len(t), 2))
    t.loc[t["ball"] == "B4", ["x", "y"]] = [[10, 10], [500, 500], [900, 900]]
    judgement = judged(CLAIMS, tables, head=HEAD, table_keys=KEYS)
    sound(judgement)
    for test, v in zip(TESTS, judgement.verdicts, strict=True):
        if v.test.kind in ("change", "difference", "association", "tracks-within", "same-line"):
            assert v.code != "backed", test


@pytest.mark.parametrize("scale", [1e-9, 1e9])
def test_the_unit_decides_nothing(judged: Judge, scale: float) -> None:
    """Margins and limits change with the unit; then every verdict and p stays what it was."""
    wide = "lowest: -1.0e+15"
    tests = [t for t in TESTS if "limit" not in t]

    def run(by: float) -> Judgement:
        tables = plain_tables()
        for table, column in measured(tables):
            tables[table][column] *= by
        head = f"""\
title: A test study
question: Does it?
tested: {{each: ball, group: model}}
use: {{column: games}}
measures:
  x: {{unit: microinch, {wide}, repeatability_sd: {0.5 * by:.1e}}}
  y: {{unit: board, matters_from: {by:.1e}, {wide}}}
  v: {{unit: board, resolution: {by:.1e}, {wide}}}
  z: {{unit: microinch, {wide}}}
  w: {{unit: mph, {wide}}}
"""
        size = f"at_least: {2 * by:.1e}"
        claims = "".join(
            f"  - {{id: c{i}, report_says: It, plainly: It, test: "
            f"{t.replace('at_least: 2', size)}}}\n"
            for i, t in enumerate(tests)
        )
        return judged(claims, tables, head=head, table_keys=KEYS)

    for one, other in zip(run(1.0).verdicts, run(scale).verdicts, strict=True):
        assert (one.code, one.reasons) == (other.code, other.reasons)
        if one.p is not None:
            assert other.p == pytest.approx(one.p, rel=1e-4, abs=1e-12)
        if one.unit in ("r", "share", "percent", "rate") and one.estimate is not None:
            assert other.estimate == pytest.approx(one.estimate, rel=1e-5)
