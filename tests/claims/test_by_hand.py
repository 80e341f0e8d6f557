"""Small cases worked out by hand: what a judge, a zone, a pair of figures or a strip must say."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from explainer.analysis.result import t_estimate
from explainer.claims import limit, reading_error
from explainer.claims.association import r_strip
from explainer.claims.evidence import Repeats
from explainer.claims.figures.pair import pairs
from explainer.claims.rules import between, demoted, of_few, reach_inside, unseated, weakened
from explainer.claims.verdict import Strip

DOSES = "title: Steps\nquestion: Does it?\ninvented: yes\ntested: {each: ball}\n" \
        "measures:\n  z: {unit: microinch, matters_from: 1}\n"  # fmt: skip
STEPS = "{kind: steps, measure: z, by: dose, table: t%s}"


def at_doses(*rows: tuple[float, ...]) -> pd.DataFrame:
    """Each item's z at doses 100, 200 and 300."""
    return pd.DataFrame(
        [(f"d{i}", 100 * (k + 1), z) for i, row in enumerate(rows) for k, z in enumerate(row)],
        columns=["ball", "dose", "z"],
    )


UP = ((0, 3.0, 5.1), (1, 4.1, 6.0), (2, 4.9, 7.2), (0.5, 3.5, 5.4), (1.5, 4.4, 6.6))
TURNS = ((0, 3.0, 2.0), (1, 4.1, 3.0), (2, 4.9, 4.0), (0.5, 3.5, 2.4), (1.5, 4.4, 3.5))


def test_steps_of_the_same_items_are_worked_out_within_each(judged, one) -> None:
    """The contrast of three steps is half of what the last lies above the first."""
    (v,) = judged(one(STEPS % ", direction: up"), at_doses(*UP), head=DOSES).verdicts
    half = [(row[2] - row[0]) / 2 for row in UP]
    assert (v.code, v.detail.paired, v.detail.turns) == ("backed", True, False)
    assert (v.estimate, v.detail.per_step) == (pytest.approx(np.mean(half)),) * 2
    assert v.p == pytest.approx(stats.ttest_1samp(half, 0).pvalue)
    assert v.detail.peak == ""
    # All 15 pairs of readings of two steps, but those that stand the other way about.
    def above(low: int, high: int) -> int:
        return sum(b[high] > a[low] for a in UP for b in UP)

    assert v.detail.jonckheere == above(0, 1) + above(0, 2) + above(1, 2)
    (w,) = judged(one(STEPS % ", direction: down"), at_doses(*UP), head=DOSES).verdicts
    assert w.code == "against"
    assert (w.strip.claim_zone, v.strip.claim_zone) == ((None, 0), (0, None))


def test_a_step_that_surely_turns_speaks_against_steps_that_rise_on_the_whole(judged, one) -> None:
    for direction in (", direction: up", ""):
        (v,) = judged(one(STEPS % direction), at_doses(*TURNS), head=DOSES).verdicts
        back = [row[2] - row[1] for row in TURNS]
        assert (v.code, v.detail.turns) == ("against", True)
        assert (v.detail.turn_from, v.detail.turn_to, v.detail.peak) == ("200", "300", "200")
        assert v.estimate == pytest.approx(np.mean(back))
        assert v.p == pytest.approx(stats.ttest_1samp(back, 0).pvalue)
        assert v.detail.per_step == pytest.approx(np.mean([(r[2] - r[0]) / 2 for r in TURNS]))
        assert v.strip.claim_zone == (0, None)
    # One that turns back by no more than its scatter turns nothing.
    by = (-1, 1, -0.9, 0.8, -0.2)
    unsure = tuple((a, b, b + d) for (a, b, _), d in zip(TURNS, by, strict=True))
    (v,) = judged(one(STEPS % ", direction: up"), at_doses(*unsure), head=DOSES).verdicts
    assert (v.code, v.detail.turns, v.detail.peak) == ("backed", False, "200")


def test_steps_of_different_items_and_too_few_of_them(judged, one) -> None:
    apart = pd.DataFrame([(f"d{k}{i}", 100 * (k + 1), z) for i, row in enumerate(UP)
                          for k, z in enumerate(row)], columns=["ball", "dose", "z"])  # fmt: skip
    (v,) = judged(one(STEPS % ""), apart, head=DOSES).verdicts
    first, last = np.array([r[0] for r in UP]), np.array([r[2] for r in UP])
    assert (v.detail.paired, v.n_items) == (False, 15)
    assert v.estimate == pytest.approx((last.mean() - first.mean()) / 2)
    # Two items at each step, far from certain; the claim of no direction has no zone.
    few = pd.DataFrame({"ball": list("abcdef"), "dose": [100, 100, 200, 200, 300, 300],
                        "z": [1.0, 3, 2, 4, 3, 4]})  # fmt: skip
    (v,) = judged(one(STEPS % ""), few, head=DOSES).verdicts
    assert (v.code, "too-few-items" in v.reasons) == ("cannot-tell", True)
    assert (v.strip.claim_zone, v.strip.beyond) == (None, 0)
    (w,) = judged(one(STEPS % ""), few[few.dose < 300], head=DOSES).verdicts
    assert (w.code, w.reasons) == ("not-tested", ("too-few-items",))


def test_a_spread_at_a_checkpoint_takes_its_own_readings_alone(judged, one) -> None:
    """Five readings of each ball at either end: the log ratio of each ball's own SDs."""
    rng = np.random.default_rng(4)
    rows = [(f"B{i}", games, 1.0, 20 + i - games + scale * z)
            for i in range(5) for games, scale in ((0, 1.0), (10, 3.0), (20, 0.4))
            for z in rng.normal(size=5)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    less = "{kind: spread, measure: y, from: 0, to: 20, direction: less}"
    (v,) = judged(one(less), frame).verdicts
    sds = frame.groupby(["ball", "games"]).y.std().unstack()
    logs = np.log(sds[20] / sds[0])
    assert v.code == "backed"
    assert v.estimate == pytest.approx(100 * (math.exp(logs.mean()) - 1))
    assert v.p == pytest.approx(stats.ttest_1samp(logs, 0).pvalue)
    assert (v.n_items, v.n_rows) == (5, 50)


def test_one_ball_a_side_gives_its_ratio_of_spreads_in_percent(judged, one) -> None:
    """A ratio of 2 is 100% more, and not the 0.69 of its logarithm."""
    frame = pd.DataFrame({
        "ball": ["P1"] * 4 + ["T1"] * 4, "model": ["P"] * 4 + ["T"] * 4,
        "games": [0] * 8, "x": [1.0] * 8, "y": [8.0, 12.0, 8.0, 12.0, 9.0, 11.0, 9.0, 11.0],
    })  # fmt: skip
    v = judged(one("{kind: spread, measure: y, by: model, a: P, b: T, direction: more}"), frame)
    (v,) = v.verdicts
    assert (v.low, v.high, v.unit) == (None, None, "percent")
    assert v.estimate == pytest.approx(100)



@pytest.mark.parametrize("late", ["later", "same"])
def test_settled_by_a_checkpoint(judged, one, late: str) -> None:
    """Falls by 5 and then by nothing, or by 5 again: the half that fails decides."""
    more = {"later": (-4.0, -5.0, -6.0, -5.2, -4.8), "same": (0.1, -0.1, 0.2, 0.0, -0.1)}[late]
    rows = []
    for i, d in enumerate(more):
        start = 30 + i
        fell = start - 5 + 0.2 * (-1) ** i
        rows += [(f"B{i}", 0, 1.0, start), (f"B{i}", 10, 1.0, fell), (f"B{i}", 20, 1.0, fell + d)]
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    claim = "{kind: settles, measure: y, by: 10, from: 0, to: 20, direction: %s}"
    (v,) = judged(one(claim % "down"), frame).verdicts
    d = v.detail
    assert (d.early, d.late) == (pytest.approx(-5 + 0.04), pytest.approx(np.mean(more)))
    assert d.fails == "late"
    assert (d.early_code, d.late_code) == ("backed", {"later": "against", "same": "backed"}[late])
    assert v.code == d.late_code
    half = stats.t.ppf(0.95, 4) * stats.sem(more)
    assert (v.strip.low, v.strip.high) == (
        pytest.approx(np.mean(more) - half), pytest.approx(np.mean(more) + half))  # fmt: skip
    one_sided = [stats.ttest_1samp(more, end, alternative=way).pvalue
                 for end, way in ((-1, "greater"), (1, "less"))]  # fmt: skip
    assert d.p_tost == pytest.approx(max(one_sided))
    (w,) = judged(one(claim % "up"), frame).verdicts
    assert (w.detail.early_code, w.code) == ("against", "against")
    assert w.detail.fails == ("late" if late == "later" else "early")


# --- limits ----------------------------------------------------------------------------------


def measure(sd: float | None, step: float | None) -> Any:
    return SimpleNamespace(repeatability_sd=sd, resolution=step)


def test_how_sure_a_reading_is() -> None:
    """Scatter over k, the step’s √12, a chart’s √3; the larger of what is given and seen."""
    plain, chart = SimpleNamespace(reading_error=0.0), SimpleNamespace(reading_error=0.3)
    own = math.sqrt(0.04 / 4 + 0.01 / 12)
    at = 0.3 / math.sqrt(3)
    u = limit.uncertainty
    assert u(measure(0.2, 0.1), plain, 4, None) == (pytest.approx(own), None)  # type: ignore[arg-type]
    assert u(measure(0.2, 0.1), chart, 4, None) == (pytest.approx(math.hypot(own, at)), None)  # type: ignore[arg-type]
    assert u(measure(0.2, 0.1), plain, 4, 0.5) == (pytest.approx(0.5), None)  # type: ignore[arg-type]
    seen = Repeats(2.0, 7)
    assert u(measure(0.2, 0.1), plain, 4, 0.5, seen) == (  # type: ignore[arg-type]
        pytest.approx(math.sqrt(1 + 0.01 / 12)), 7.0)  # fmt: skip
    assert u(measure(0.2, 0.1), plain, 4, 0.5, Repeats(0.4, 7)) == (pytest.approx(0.5), None)  # type: ignore[arg-type]
    assert u(measure(None, None), plain, 1, None, Repeats(0.4, 7)) == (pytest.approx(0.4), 7.0)  # type: ignore[arg-type]
    # A chart that was read closely does not make up for a gauge that nobody knows.
    assert u(measure(None, None), chart, 1, None) == (None, None)  # type: ignore[arg-type]
    assert u(measure(None, None), plain, 1, None) == (None, None)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("low", "high", "guard", "near", "needed", "missed"),
    [
        (50, None, 2, ((48, 52), None), (50, None), (None, 50)),
        (None, 60, 2, ((58, 62), None), (None, 60), (60, None)),
        (50, 60, 2, ((48, 52), (58, 62)), (50, 60), None),
        (50, 54, 2, ((48, 56), None), (50, 54), None),  # the two zones just touch
        (50, 54.1, 2, ((48, 52), (52.1, 56.1)), (50, 54.1), None),
        (50, None, 0, (None, None), (50, None), (None, 50)),
    ],
)
def test_the_zone_about_a_limit(low, high, guard, near, needed, missed) -> None:
    def asked(meets: str) -> Any:
        return SimpleNamespace(at_least=low, at_most=high, meets=meets)

    zones = limit._near(asked("all"), guard)
    assert [z and tuple(map(pytest.approx, z)) for z in near] == list(zones)
    assert limit._needed(asked("all")) == needed
    assert limit._needed(asked("none")) == missed
    ends = [v for v in (low, high) if v is not None]
    assert all(limit._meets(v, low, high) for v in ends)
    assert not limit._meets(high + 0.1 if low is None else low - 0.1, low, high)


LIMITED = """\
title: A limit
question: Does it?
invented: yes
tested: {each: ball}
use: {column: games, term: games rolled, unit: game}
measures:
  x: {term: cover roughness, unit: microinch, repeatability_sd: 2}
"""


@pytest.mark.parametrize(
    ("more", "values", "rows"),
    [
        ("", {"A": 50.0, "B": 62.0}, 4),  # the last checkpoint
        (", at: 0", {"A": 58.0, "B": 70.0}, 4),
        (", at: [0, 10]", {"A": 56.0, "B": 68.0}, 8),
        (", take: lowest", {"A": 49.0, "B": 61.0}, 12),
        (", take: highest", {"A": 59.0, "B": 71.0}, 12),
    ],
)
def test_which_readings_count_against_a_limit(judged, one, more, values, rows) -> None:
    frame = pd.DataFrame(
        [(b, g, start + d + e) for b, start in (("A", 58.0), ("B", 70.0))
         for g, d in ((0, 0.0), (10, -4.0), (20, -8.0)) for e in (-1.0, 1.0)],
        columns=["ball", "games", "x"],
    )  # fmt: skip
    claim = one(f"{{kind: limit, measure: x, at_least: 55{more}}}")
    (v,) = judged(claim, frame, head=LIMITED).verdicts
    assert {c["item"]: c["value"] for c in v.detail.items} == values
    assert v.n_rows == rows
    # The gauge's own 2 over the readings averaged; over two checkpoints a ball scatters by more.
    u, factor = 2 / math.sqrt(1 if "take" in more else rows / 2), stats.norm.ppf(0.95)
    if rows == 8:
        u, factor = np.std([57.0, 59, 53, 55], ddof=1) / 2, stats.t.ppf(0.95, 6)
    assert v.detail.u == pytest.approx(u)
    assert v.detail.guard == pytest.approx(factor * u)
    calls = {name: "pass" if value > 55 + v.detail.guard else
             "fail" if value < 55 - v.detail.guard else "too-close"
             for name, value in values.items()}  # fmt: skip
    assert {c["item"]: c["call"] for c in v.detail.items} == calls


# --- numbers read off a chart ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "others", "left"),
    [
        ("backed", {"backed"}, "backed"), ("backed", {"backed", "leans"}, "leans"),
        ("leans", {"backed", "leans"}, "leans"), ("backed", {"cannot-tell"}, "cannot-tell"),
        ("leans", {"against"}, "cannot-tell"), ("against", {"against", "leans"}, "cannot-tell"),
        ("cannot-tell", {"backed"}, "cannot-tell"), ("against", {"against"}, "against"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("error", [0.0, 0.5])
def test_what_another_reading_leaves_of_a_verdict(judged, one, code, others, left, error) -> None:
    frame = pd.DataFrame({"ball": [*"AAABBB"] * 1, "games": [0, 5, 10] * 2, "x": 1.0,
                          "y": [1.0, 2, 3, 1, 2, 4]})  # fmt: skip
    (v,) = judged(one("{kind: change, measure: y, from: 0, to: 10}"), frame).verdicts
    part = replace(v, code=code, reasons=("x",))
    found = reading_error._held(part, others, error)
    assert found.code == left
    assert found.reasons == (("x",) if left == code else ("x", "reading-error"))
    assert found.detail.reading_error == (error if error and left != code else None)
    exempt = replace(part, test=SimpleNamespace(kind="limit"))  # type: ignore[arg-type]
    assert reading_error._held(exempt, others, error) is exempt


# --- figures side by side --------------------------------------------------------------------

FALLS = pd.DataFrame(
    [(f"B{i}", g, 60 + i - g, 5 + 0.1 * g + i) for i in range(4) for g in (0, 10, 20)],
    columns=["ball", "games", "x", "y"],
)


def beside(judged, second: str, tables: Any = FALLS, first: str = "kind: over-use, table: t, y: x"):
    figures = f"figures:\n  - {{id: a, {first}, pair: [a, b]}}\n  - {{id: b, {second}}}\n"
    claim = "  - {id: c, report_says: I., plainly: I., " \
            "test: {kind: change, measure: x, table: t, from: 0, to: 20}}\n"  # fmt: skip
    (found,) = pairs(judged(claim, tables, more=figures))
    return found


def test_a_pair_of_figures_differs_by_the_first_thing_that_does(judged) -> None:
    assert beside(judged, "kind: over-use, table: t, y: y").differs == "measure"
    two = beside(judged, "kind: over-use, table: t, y: x, only: {ball: B1}")
    assert (two.differs, two.under) == ("items", "a")
    rows = beside(judged, "kind: over-use, table: t, y: x, only: {games: 10}")
    assert rows.differs == "rows"
    assert beside(judged, "kind: scatter, table: t, x: y, y: x").differs == "view"


@pytest.mark.parametrize(("span", "one_scale"), [(10.0, True), (8.0, True), (5.0, False)])
def test_one_scale_where_the_narrower_would_not_look_flat(judged, span, one_scale) -> None:
    """x of the first runs from 40 to 63; a quarter of what both take is where it looks flat."""
    other = FALLS.assign(x=41 + span * FALLS.ball.str[1:].astype(float) / 3)
    found = beside(judged, "kind: scatter, table: u, x: y, y: x", {"t": FALLS, "u": other})
    assert (found.one_scale, found.corner) == (one_scale, "")
    whole = (40.0, 63.0) if one_scale else ()
    assert found.first.y_also == found.second.y_also == whole


@pytest.mark.parametrize(
    ("games", "span", "corner"), [(10, 8.0, "second"), (20, 8.0, ""), (10, 14.0, "")]
)
def test_a_corner_of_another_figure_keeps_its_own_scale(judged, games, span, corner) -> None:
    """Inside the other both ways, and at most half as wide in each."""
    part = FALLS[FALLS.games <= games].assign(x=lambda f: 45 + span * f.games / games)
    found = beside(judged, "kind: over-use, table: u, y: x", {"t": FALLS, "u": part})
    assert found.corner == corner
    turned = beside(judged, "kind: over-use, table: t, y: x", {"t": FALLS, "u": part},
                    "kind: over-use, table: u, y: x")  # fmt: skip
    assert turned.corner == ("first" if corner else "")
    if corner:
        assert (found.one_scale, found.first.y_also) == (False, ())


# --- rules that leave less -------------------------------------------------------------------


def test_what_doubts_leave_of_each_verdict() -> None:
    codes = ("backed", "leans", "cannot-tell", "against", "not-tested")
    assert [of_few(c, 3) for c in codes] == [
        "leans", "leans", "cannot-tell", "cannot-tell", "not-tested"]  # fmt: skip
    assert [of_few(c, 4) for c in codes] == list(codes)
    assert [demoted(c) for c in codes] == [of_few(c, 2) for c in codes]
    assert [unseated(c) for c in codes] == ["cannot-tell"] * 4 + ["not-tested"]
    assert [weakened(c, "leans") for c in codes] == [
        "leans", "leans", "cannot-tell", "against", "not-tested"]  # fmt: skip
    assert [weakened(c, "cannot-tell") for c in codes] == ["cannot-tell"] * 4 + ["not-tested"]
    for found in ("backed", "against", "not-tested"):
        assert [weakened(c, found) for c in codes] == list(codes)
    assert between("backed", "leans") == between("leans", "backed") == "leans"
    assert between("against", "against") == "against"
    for one, other in (("backed", "against"), ("leans", "cannot-tell"), ("backed", "cannot-tell")):
        assert between(one, other) == "cannot-tell"


@pytest.mark.parametrize(
    ("zone", "beyond", "reach"),
    [((None, 0), None, 4.0), ((-10, -5), None, 1.0), (None, 2.0, 3.0), (None, None, 0.0),
     ((None, None), None, 0.0)],
)  # fmt: skip
def test_how_far_inside_an_estimate_lies(zone, beyond, reach) -> None:
    """In half widths of −8 ± 2: four from 0, one from −10, three from −2."""
    strip = Strip(-8, -10, -6, zone, None, 0, "u", beyond=beyond)
    verdict: Any = SimpleNamespace(parts=(), strip=strip)
    assert reach_inside(verdict) == pytest.approx(reach)
    both: Any = SimpleNamespace(parts=(verdict, SimpleNamespace(parts=(), strip=None)))
    assert reach_inside(both) == 0
    narrow: Any = SimpleNamespace(parts=(), strip=replace(strip, low=-8, high=-8))
    assert reach_inside(narrow) == 0


def test_the_strip_of_a_link_has_the_side_that_is_claimed() -> None:
    e = t_estimate(0.4, 0.1, 20, 22, "")
    for side, zone, beyond in ((1, (0.5, 1), None), (-1, (-1, -0.5), None), (0, None, 0.5)):
        strip = r_strip(e, side, 0.5)
        assert (strip.claim_zone, strip.beyond, strip.null) == (zone, beyond, 0)
        assert (strip.value, strip.low, strip.high) == (0.4, e.at95.low, e.at95.high)
