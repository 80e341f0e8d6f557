"""Each kind of test on small made-up studies: every verdict it can give, from numbers by hand.

Four changes of m − 1, m + 1, m − 1, m + 1 have standard error 1/√3 = .577, so that on 3 degrees
of freedom the 95% range reaches 1.837 to either side, the 90% range 1.359 and the 80% range .946.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import permutations

import numpy as np
import pandas as pd
import pytest
from claims import conftest
from scipy import stats

from explainer.analysis import drift
from explainer.charts.strip import parts_of
from explainer.claims.break_in import slowing
from explainer.claims.kinds import KINDS
from explainer.claims.results import results
from explainer.claims.trend import TrendDetail, _way_of_one
from explainer.claims.verdict import REASONS, Judgement, Verdict
from explainer.editions.numbers import claim_numbers
from explainer.words.phrases.book import defects_of
from explainer.words.quantity.numbers import p_words
from explainer.words.say import AUDIENCES, say
from explainer.words.script.talk_of_study import say_script

Judge = Callable[..., Judgement]
One = Callable[..., str]

#: The contract's names, by kind.
EXTRA = {
    "change": {"sd", "p_signflip", "d_z"},
    "no-change": {"p_tost", "low90", "high90", "smallest_margin_shown"},
    "difference": {"mean_a", "mean_b"},
    "difference-in-change": {"change_a", "change_b"},
    "association": {"r", "r_spearman", "r_loo_min", "r_loo_max", "slope", "r_before",
                    "slope_before", "share_left"},
    "no-association": {"low90", "high90"},
    "tracks-within": {
        "r", "df", "slope_within", "slope_between", "p_slopes_differ", "r_loo_min", "r_loo_max",
        "items_same_sign",
    },
    "same-line": {"slope_within", "slope_between", "slope_difference", "df", "share_of_line"},
    "break-in": {"share", "share_low90", "share_high90"},
    "trend": {"slope", "mann_kendall_p", "p_lag1"},
    "repeatability": {
        "ev", "av", "grr", "pv", "tv", "percent_study_variation", "ndc", "mdd",
    },
    "limit": {"items"},
    "rate-difference": {"pooled_difference", "odds_ratio", "odds_low", "odds_high", "p_cmh",
                        "p_breslow_day"},
    "not-testable": set(),
}  # fmt: skip

#: Tested with their published examples (tests/reference) and in demo/test_four_grits.py.
FURTHER = {
    "mean-is", "ranking", "spread", "share-of-items", "no-worse", "no-difference", "settles",
    "since", "crossing", "population-limit", "agreement", "steps",
}  # fmt: skip

CLAIM_KEYS = {
    "id", "test", "verdict", "reasons", "estimate", "low", "high", "level", "unit", "p", "p_holm",
    "n_items", "n_rows", "method", "extra",
}  # fmt: skip

TOP_KEYS = {
    "format", "study", "explainer", "data_sha256", "claims", "chain", "stated", "questions",
    "figures",
}  # fmt: skip


def one_verdict(judgement: Judgement) -> Verdict:
    """The only verdict, after a look at the results file."""
    record = json.loads(json.dumps(results(judgement), allow_nan=False))
    assert record.keys() >= TOP_KEYS
    (claim,) = record["claims"]
    assert claim.keys() >= CLAIM_KEYS
    assert set(claim["extra"]) == EXTRA[claim["test"]]
    assert set(claim["reasons"]) <= set(REASONS)
    (verdict,) = judgement.verdicts
    assert claim["verdict"] == verdict.code
    assert claim["estimate"] == verdict.estimate
    return verdict


def named(n: int) -> list[str]:
    return [f"B{i}" for i in range(n)]


def about(middle: float, n: int = 4, by: float = 1.0) -> np.ndarray:
    """m − 1, m + 1, …: mean m, standard error 1/√3 for four."""
    return middle + by * np.resize([-1.0, 1.0], n)


def two_checkpoints(change: np.ndarray) -> pd.DataFrame:
    """y at 0 and 10 games, in balls of two models; x beside it does not move."""
    n = len(change)
    model = [f"M{i % 2}" for i in range(n)]
    before = pd.DataFrame({"ball": named(n), "model": model, "games": 0, "x": 1.0, "y": 50.0})
    return pd.concat([before, before.assign(games=10, y=50.0 + change)])


@pytest.mark.parametrize(
    ("middle", "test", "code"),
    [
        (3.0, "direction: up", "backed"),
        (3.0, "direction: any", "backed"),
        (3.0, "direction: down", "against"),
        (1.2, "direction: up", "leans"),
        (1.2, "direction: down", "cannot-tell"),
        (0.5, "direction: up", "cannot-tell"),
        (4.9, "direction: up, at_least: 3", "backed"),
        (4.0, "direction: up, at_least: 3", "leans"),
        (3.0, "direction: up, at_least: 3", "cannot-tell"),
        (1.0, "direction: up, at_least: 3", "against"),
    ],
)
def test_change(judged: Judge, one: One, middle: float, test: str, code: str) -> None:
    text = f"{{kind: change, measure: y, from: 0, to: 10, {test}}}"
    v = one_verdict(judged(one(text), two_checkpoints(about(middle))))
    assert v.code == code
    assert v.estimate == pytest.approx(middle)
    assert (v.low, v.high) == pytest.approx((middle - 1.8373, middle + 1.8373), abs=1e-4)
    assert (v.level, v.n_items, v.n_rows, v.unit) == (0.95, 4, 8, "board")
    assert v.extra["sd"] == pytest.approx(1.1547, abs=1e-4)
    assert v.extra["d_z"] == pytest.approx(middle / 1.1547, abs=1e-3)
    assert v.extra["p_signflip"] >= 0.125


def test_change_too_small_to_matter_speaks_against_it(judged: Judge, one: One) -> None:
    text = "{kind: change, measure: y, from: 0, to: 10, direction: any}"
    v = one_verdict(judged(one(text), two_checkpoints(about(0.0, by=0.1))))
    assert v.code == "against"


def test_change_past_the_data(judged: Judge, one: One) -> None:
    v = one_verdict(judged(one("{kind: change, measure: y, from: 0, to: 60}"),
                           two_checkpoints(about(3))))  # fmt: skip
    assert (v.code, v.reasons) == ("not-tested", ("beyond-data",))


@pytest.mark.parametrize(("size", "drawn"), [(0.2, False), (1.0, True), (3.0, True)])
@pytest.mark.parametrize("direction", ["any", "up"])
def test_a_size_that_is_claimed_is_not_drawn_as_too_small_to_matter(
    judged: Judge, one: One, size: float, drawn: bool, direction: str
) -> None:
    """Here 1 board matters.  A claim of 0.2 is held to 0.2: one drawing may not say both."""
    ends = "measure: y, from: 0, to: 10"
    text = f"{{kind: change, {ends}, direction: {direction}, at_least: {size}}}"
    judgement = judged(one(text), two_checkpoints(about(0.5)))
    v = one_verdict(judgement)
    assert v.strip.small_drawn == ((-1.0, 1.0) if drawn else None)
    assert ("small" in parts_of(v.strip, False)) == drawn
    assert ("less than counts here" in say(judgement).claims[v.claim.id].strip) == drawn


@pytest.mark.parametrize("audience", AUDIENCES)
def test_past_the_data_nobody_is_said_to_have_been_read_last(
    judged: Judge, one: One, audience: str
) -> None:
    """One ball was read at the start only: the readings stop at 10, and not those of each ball.
    Nothing was worked out, so that the claim rests on none of them."""
    frame = two_checkpoints(about(3))
    claims = one("{kind: change, measure: y, from: 0, to: 10}")
    assert "measured at 2 checkpoints, from" in say(judged(claims, frame), audience).tested
    gone = (frame["ball"] == frame["ball"].iloc[0]) & (frame["games"] == 10)
    claims = [one(f"{{kind: change, measure: {m}, from: 0, to: {to}}}", f"c-{m}-{to}")
              for m in ("y", "x") for to in (60, 70)]  # fmt: skip
    judgement = judged("".join(claims), frame.assign(x=frame["y"])[~gone])
    words = say(judgement, audience)
    assert "measured at up to 2 checkpoints, from" in words.tested
    told = " ".join(words.claims[v.claim.id].says for v in judgement.verdicts)
    assert "balls were last read" not in told and "nobody read any of the 4 balls later" in told
    assert "Nobody read any of the 4 balls past 10 games" in told
    for v in judgement.verdicts:
        assert v.n_items and not v.n_rows
        assert not [n for n, _ in claim_numbers(v, "ball", judgement.study) if "rests on" in n]


def test_many_claims_of_a_size_are_corrected_at_that_size(judged: Judge, one: One) -> None:
    """Far from 0 and barely past 3: raw p against 3 is .04, and six such claims make it .24."""
    text = "{kind: change, measure: y, from: 0, to: 10, direction: up, at_least: 3}"
    frame = two_checkpoints(about(5.0))
    assert judged(one(text), frame).verdicts[0].code == "backed"
    six = (one(text.replace("at_least: 3", f"at_least: {3 - i / 1e6}"), f"c{i}") for i in range(6))
    many = judged("".join(six), frame).verdicts[0]
    assert (many.code, "holm" in many.reasons) == ("leans", True)
    assert many.detail.p_line == pytest.approx(0.0405, abs=5e-4)
    assert many.p is not None and many.p_holm == pytest.approx(6 * many.p)


@pytest.mark.parametrize(
    ("middle", "by", "code"),
    [(0.0, 0.4, "backed"), (0.0, 1.0, "leans"), (0.5, 1.0, "cannot-tell"), (4.0, 1.0, "against")],
)
def test_no_change(judged: Judge, one: One, middle: float, by: float, code: str) -> None:
    """The margin is one board; the 90% range reaches 1.359 times ``by``."""
    text = "{kind: no-change, measure: y, from: 0, to: 10}"
    v = one_verdict(judged(one(text), two_checkpoints(about(middle, by=by))))
    assert v.code == code
    half = 1.3587 * by
    assert v.extra["low90"] == pytest.approx(middle - half, abs=1e-4)
    assert v.extra["high90"] == pytest.approx(middle + half, abs=1e-4)
    assert v.extra["smallest_margin_shown"] == pytest.approx(middle + half, abs=1e-4)
    assert (v.extra["p_tost"] < 0.05) is (code == "backed")


def test_no_change_that_one_ball_carries(judged: Judge, one: One) -> None:
    """B4 rose and B6 fell by most: without either the 90% range passes the margin of one board."""
    text = "{kind: no-change, measure: y, from: 0, to: 10}"
    wide = np.array([0.2, -0.2, 0.3, -0.3, 2.2, -0.2, -1.9, 0.2]) * 1.2
    v = one_verdict(judged(one(text), two_checkpoints(wide)))
    assert v.extra["high90"] < 1
    assert (v.code, v.reasons) == ("cannot-tell", ("fragile",))
    assert v.detail.fragile_range
    assert v.detail.fragile_item in ("B4", "B6")


def two_groups(middle: float) -> pd.DataFrame:
    """Three balls a side, spread 1: standard error √(2/3), 4 degrees of freedom."""
    y = np.array([middle - 1, middle, middle + 1, -1.0, 0.0, 1.0])
    return pd.DataFrame({"ball": named(6), "model": ["P"] * 3 + ["T"] * 3, "games": 0, "x": 1.0,
                         "y": y})  # fmt: skip


@pytest.mark.parametrize(
    ("middle", "test", "code"),
    [
        (3.0, "direction: higher", "backed"),
        (3.0, "direction: lower", "against"),
        (-3.0, "direction: lower", "backed"),
        (2.0, "direction: higher", "leans"),
        (0.5, "direction: higher", "cannot-tell"),
        (8.0, "direction: higher, at_least: 3", "backed"),
        (0.2, "direction: higher, at_least: 3", "against"),
    ],
)
def test_difference(judged: Judge, one: One, middle: float, test: str, code: str) -> None:
    text = f"{{kind: difference, measure: y, by: model, a: P, b: T, {test}}}"
    v = one_verdict(judged(one(text), two_groups(middle)))
    assert v.code == code
    assert v.estimate == pytest.approx(middle)
    assert (v.low, v.high) == pytest.approx((middle - 2.2669, middle + 2.2669), abs=1e-3)
    assert (v.extra["mean_a"], v.extra["mean_b"]) == pytest.approx((middle, 0.0))
    assert (v.n_items, v.n_rows) == (6, 6)


def test_difference_within_items_is_paired(judged: Judge, one: One) -> None:
    frame = two_checkpoints(about(3.0)).assign(oil=["dry"] * 4 + ["wet"] * 4, games=0)
    text = ("{kind: difference, measure: y, by: oil, a: wet, b: dry, within: ball, "
            "direction: higher}")  # fmt: skip
    v = one_verdict(judged(one(text), frame))
    assert (v.code, v.n_items) == ("backed", 4)
    assert (v.low, v.high) == pytest.approx((3 - 1.8373, 3 + 1.8373), abs=1e-4)


#: Changes of three balls a side, chosen so that both spreads are 1: Welch's range is then ± 2.2669
#: about the gap, as in ``test_difference`` (Student's t at 4 degrees of freedom times √(2/3)).
CHANGES = {"P": (-8.0, -7.0, -6.0), "T": (-4.0, -3.0, -2.0)}


def two_groups_changing(shift: float = 0.0) -> pd.DataFrame:
    """Balls of two models that start far apart, each with its own change from game 0 to 10."""
    rows = []
    for model, changes in CHANGES.items():
        for i, change in enumerate(changes):
            start = 50.0 + 7 * i + (20 if model == "P" else 0)
            moved = change + (shift if model == "P" else 0)
            rows += [(f"{model}{i}", model, 0, start), (f"{model}{i}", model, 10, start + moved)]
    return pd.DataFrame(rows, columns=["ball", "model", "games", "y"]).assign(x=0.0)


@pytest.mark.parametrize(
    ("shift", "test", "code"),
    [
        (0.0, "direction: lower", "backed"),
        (0.0, "direction: down", "backed"),
        (0.0, "direction: higher", "against"),
        (0.0, "direction: any", "backed"),
        (0.0, "direction: lower, at_least: 1", "backed"),
        (0.0, "direction: lower, at_least: 3", "cannot-tell"),
        (0.0, "direction: lower, at_least: 7", "against"),
        (4.0, "direction: lower", "cannot-tell"),
        (2.5, "direction: lower", "leans"),
    ],
)
def test_difference_in_change(
    judged: Judge, one: One, shift: float, test: str, code: str
) -> None:
    """Both models fell; the claim is about the gap between their changes, not about levels."""
    text = (f"{{kind: difference-in-change, measure: y, from: 0, to: 10, by: model, a: P, b: T, "
            f"{test}}}")  # fmt: skip
    v = one_verdict(judged(one(text), two_groups_changing(shift)))
    gap = -4.0 + shift
    assert v.code == code
    assert v.estimate == pytest.approx(gap)
    assert (v.low, v.high) == pytest.approx((gap - 2.2669, gap + 2.2669), abs=1e-3)
    assert (v.extra["change_a"], v.extra["change_b"]) == pytest.approx((-7.0 + shift, -3.0))
    assert (v.n_items, v.n_rows) == (6, 12)


def test_a_difference_in_change_of_the_same_balls_is_paired(judged: Judge, one: One) -> None:
    """Each ball under both oils: its own gap between two changes, Student's t over the balls."""
    rows = [
        (f"B{i}", oil, games, 50.0 + (games and change))
        for i, gap in enumerate((1.0, 2.0, 3.0, 4.0))
        for oil, change in (("wet", gap), ("dry", 10.0 * i))
        for games in (0, 10)
        if not (oil == "wet" and games)
    ]
    rows += [(f"B{i}", "wet", 10, 50.0 + 10.0 * i + gap) for i, gap in enumerate((1.0, 2, 3, 4))]
    frame = pd.DataFrame(rows, columns=["ball", "oil", "games", "y"]).assign(x=0.0, model="P")
    text = ("{kind: difference-in-change, measure: y, from: 0, to: 10, by: oil, a: wet, b: dry, "
            "direction: up}")  # fmt: skip
    v = one_verdict(judged(one(text), frame))
    assert v.detail.paired and (v.estimate, v.n_items) == (pytest.approx(2.5), 4)
    # Student: 2.5 ± t(.975, 3) · 1.29099 / 2
    assert (v.low, v.high) == pytest.approx((2.5 - 2.05426, 2.5 + 2.05426), abs=1e-4)


#: Student 1908, Biometrika 6:1, table of Cushny and Peebles: hours of sleep gained by ten people
#: with either drug; R's data set sleep.
GAINED = ((0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0),
          (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4))  # fmt: skip


def test_two_drugs_hours_gained_as_a_difference_in_change(judged: Judge, one: One) -> None:
    """R's help of ``t.test`` prints for ``extra ~ group``: −1.58, 95% −3.3654832 to 0.2054832."""
    rows = [(f"P{drug}{i}", f"drug {drug}", night, night * gain)
            for drug, of in enumerate(GAINED) for i, gain in enumerate(of) for night in (0, 1)]
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y"]).assign(x=0.0)
    v = one_verdict(judged(one("{kind: difference-in-change, measure: y, from: 0, to: 1, "
                               "by: model, a: drug 0, b: drug 1, direction: down}"), frame))
    assert v.estimate == pytest.approx(-1.58)
    assert (v.low, v.high) == pytest.approx((-3.3654832, 0.2054832), abs=1e-6)


def test_the_second_drug_is_no_worse_by_the_one_sided_end(judged: Judge, one: One) -> None:
    """Paired mean 1.58, t 4.0621 (R's help); the one-sided 95% end by scipy's ``ttest_rel``."""
    rows = [(f"P{i}", "M", drug, of[i]) for drug, of in enumerate(GAINED) for i in range(10)]
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y"]).assign(x=0.0)
    [v] = judged(one("{kind: no-worse, measure: y, from: 0, to: 1, worse: down, "
                     "margin: 0.1}"), frame).verdicts
    told = stats.ttest_rel(GAINED[1], GAINED[0], alternative="greater")
    assert round(told.statistic, 4) == 4.0621
    end = told.confidence_interval(0.95).low
    assert v.estimate == pytest.approx(1.58) and v.code == "backed"
    assert v.strip is not None and v.strip.low == pytest.approx(end)


def test_one_ball_a_side_cannot_be_compared(judged: Judge, one: One) -> None:
    text = "{kind: difference, measure: y, by: model, a: P, b: T}"
    v = one_verdict(judged(one(text), two_groups(3.0).iloc[[0, 3]]))
    assert (v.code, v.low, v.estimate) == ("not-tested", None, 3.0)


def related(r: float, n: int) -> pd.DataFrame:
    """x and y over n balls with exactly that correlation, and no ball far from the rest."""
    x = np.arange(n) - (n - 1) / 2
    other = np.resize([1.0, -1.0, -1.0, 1.0], n)
    other -= other.mean()
    other -= x * (x @ other) / (x @ x)
    y = r * x / np.linalg.norm(x) + (1 - r * r) ** 0.5 * other / np.linalg.norm(other)
    return pd.DataFrame({"ball": named(n), "model": [f"M{i % 2}" for i in range(n)], "games": 0,
                         "x": 10 + x, "y": 10 + y})  # fmt: skip


@pytest.mark.parametrize(
    ("r", "test", "code"),
    [
        # n = 8: atanh r ± 1.96/√5
        (0.9, "direction: positive, strong: yes", "backed"),
        (0.85, "direction: positive, strong: yes", "leans"),
        (0.75, "direction: positive, strong: yes", "cannot-tell"),
        (-0.5, "direction: positive, strong: yes", "against"),
        (0.8, "direction: positive", "backed"),
        (0.8, "direction: negative", "against"),
        (0.6, "direction: positive", "leans"),
        (0.2, "direction: positive", "cannot-tell"),
    ],
)
def test_association(judged: Judge, one: One, r: float, test: str, code: str) -> None:
    v = one_verdict(judged(one(f"{{kind: association, x: x, y: y, {test}}}"), related(r, 8)))
    assert (v.code, v.unit, v.n_items) == (code, "r", 8)
    assert v.estimate == pytest.approx(r) == v.extra["r"]
    half = 1.959964 / 5**0.5
    assert (v.low, v.high) == pytest.approx(
        (np.tanh(np.arctanh(r) - half), np.tanh(np.arctanh(r) + half)), abs=1e-6
    )
    assert v.extra["r_loo_min"] <= r <= v.extra["r_loo_max"]


@pytest.mark.parametrize(
    ("r", "n", "code"),
    [
        (0.0, 60, "backed"),
        (0.08, 40, "leans"),
        (0.2, 40, "cannot-tell"),
        (0.9, 40, "against"),
        (0.0, 8, "not-tested"),  # eight balls can never show a margin of .3
    ],
)
def test_no_association(judged: Judge, one: One, r: float, n: int, code: str) -> None:
    text = "{kind: no-association, x: x, y: y, margin: 0.3}"
    v = one_verdict(judged(one(text), related(r, n)))
    assert v.code == code
    half = 1.644854 / (n - 3) ** 0.5
    assert v.extra["low90"] == pytest.approx(np.tanh(np.arctanh(r) - half), abs=1e-6)
    assert v.extra["high90"] == pytest.approx(np.tanh(np.arctanh(r) + half), abs=1e-6)


def journeys(slopes: np.ndarray, *, level: float = 0.0, across: float = 0.0) -> pd.DataFrame:
    """Six balls whose x takes −1, 0, 1 in each of the six orders, so that no checkpoint stands out.

    Within ball i, y rises by ``slopes[i]`` per x; between balls, ``level`` apart in x, by
    ``across``.  All moved alike, so the common slope is the mean of six and has 5 df.
    """
    rows = []
    for i, (order, own) in enumerate(zip(permutations((-1.0, 0.0, 1.0)), slopes, strict=True)):
        for use, x in zip((0, 5, 10), order, strict=True):
            rows.append((f"B{i}", f"M{i % 2}", use, level * i + x, across * level * i + own * x))
    return pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])


@pytest.mark.parametrize(
    ("middle", "by", "direction", "code"),
    [
        (1.0, 0.1, "positive", "backed"),
        (1.0, 0.1, "any", "backed"),
        (1.0, 0.1, "negative", "against"),
        (1.0, 1.0, "positive", "leans"),
        (0.3, 1.0, "positive", "cannot-tell"),
    ],
)
def test_tracks_within(
    judged: Judge, one: One, middle: float, by: float, direction: str, code: str
) -> None:
    frame = journeys(about(middle, 6, by))
    text = f"{{kind: tracks-within, x: x, y: y, direction: {direction}}}"
    v = one_verdict(judged(one(text), frame))
    assert v.code == code
    half = 2.570582 * by * (6 / 5) ** 0.5 / 6**0.5
    assert v.estimate == pytest.approx(middle) == v.extra["slope_within"]
    assert (v.low, v.high) == pytest.approx((middle - half, middle + half), abs=1e-5)
    assert (v.extra["df"], v.n_items, v.n_rows) == (18 - 6 - 1, 6, 18)
    assert v.extra["items_same_sign"] == (6 if by < middle or by == 0.1 else 3)


def test_tracks_within_needs_checkpoints(judged: Judge, one: One) -> None:
    head = """\
title: A test study
question: Does it?
tested: {each: ball}
measures: {x: {unit: microinch}, y: {unit: board}}
"""
    frame = related(0.9, 8)[["ball", "x", "y"]]
    v = one_verdict(judged(one("{kind: tracks-within, x: x, y: y}"), frame, head=head))
    assert (v.code, v.estimate) == ("not-tested", None)


@pytest.mark.parametrize(
    ("within", "by", "code"),
    [
        (1.0, 0.1, "backed"),
        (1.0, 0.25, "leans"),
        (0.8, 0.5, "cannot-tell"),
        (0.2, 0.1, "against"),
        (2.0, 0.1, "against"),
    ],
)
def test_same_line(judged: Judge, one: One, within: float, by: float, code: str) -> None:
    """Balls ten microinches apart lie on a line of slope 1; use moves each by ``within``."""
    frame = journeys(about(within, 6, by), level=10.0, across=1.0)
    v = one_verdict(judged(one("{kind: same-line, x: x, y: y}"), frame))
    assert v.code == code
    assert v.estimate == pytest.approx(within, abs=1e-5) == v.extra["share_of_line"]
    assert v.extra["slope_between"] == pytest.approx(1.0, abs=1e-9)
    assert v.extra["slope_difference"] == pytest.approx(1.0 - within, abs=1e-5)
    # Both slopes are in y for each step in x: the axis knows nothing of use.
    assert v.strip is not None
    assert (v.strip.less_is, v.strip.more_is) == (
        "less than the line says", "more than the line says",
    )  # fmt: skip


def test_same_line_of_new_balls_that_never_read_so_low(judged: Judge, one: One) -> None:
    new = related(0.99, 8).assign(x=lambda d: d["x"] + 1000)
    text = "{kind: same-line, x: x, y: y, table: t, line_from: fresh}"
    tables = {"t": journeys(about(1.0, 6, 0.1)), "fresh": new}
    xy = text.replace(
        "x: x, y: y, table: t", "x: {table: t, measure: x}, y: {table: t, measure: y}"
    )
    v = one_verdict(judged(one(xy), tables))
    assert (v.code, v.reasons) == ("not-tested", ("beyond-data",))


def three_checkpoints(early: np.ndarray, total: np.ndarray) -> pd.DataFrame:
    rows = [
        (ball, f"M{i % 2}", use, 1.0, 70.0 + moved)
        for i, (ball, a, b) in enumerate(zip(named(len(early)), early, total, strict=True))
        for use, moved in ((0, 0.0), (20, a), (60, b))
    ]
    return pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])


TOTAL = np.array([-19.0, -21.0, -19.0, -21.0])


@pytest.mark.parametrize(
    ("share", "by", "code"),
    [
        (1.0, 0.5, "backed"),
        (1.0, 2.3, "cannot-tell"),  # inside the zone, but not without one ball
        (1.0, 3.5, "leans"),
        (0.7, 3.0, "cannot-tell"),
        (0.3, 0.5, "against"),
        (1.6, 0.5, "against"),  # done by then, and some of it came back
    ],
)
def test_break_in(judged: Judge, one: One, share: float, by: float, code: str) -> None:
    """a − θb with b = −20 ± 1: at 90% the share is known to about 2.353·by·.577/20."""
    wobble = by * np.array([1.0, 1.0, -1.0, -1.0])
    frame = three_checkpoints(share * TOTAL + wobble, TOTAL)
    v = one_verdict(judged(one("{kind: break-in, measure: y, from: 0, by: 20, to: 60}"), frame))
    assert v.code == code, v.reasons
    assert ("overshoots" in v.reasons) is (share == 1.6)
    assert v.estimate == pytest.approx(share) == v.extra["share"]
    assert v.extra["share_low90"] < share < v.extra["share_high90"]
    assert (v.n_items, v.n_rows) == (4, 12)


@pytest.mark.parametrize(("share", "slows"), [(0.7, "slows"), (1 / 3, "cannot-tell")])
def test_break_in_says_whether_it_slows(judged: Judge, one: One, share: float, slows: str) -> None:
    """A third of the change in a third of the games is one pace; seven tenths is faster."""
    wobble = np.array([0.2, 0.2, -0.2, -0.2])
    frame = three_checkpoints(share * TOTAL + wobble, TOTAL)
    v = one_verdict(judged(one("{kind: break-in, measure: y, from: 0, by: 20, to: 60}"), frame))
    assert v.detail.slows == slows
    assert v.detail.rate_early == pytest.approx(-20 * share / 20)
    assert v.detail.rate_late == pytest.approx(-20 * (1 - share) / 40)


def test_break_in_has_no_pace_where_the_two_stretches_have_no_length() -> None:
    """Windows that overlap may have one middle, and a rate of nothing used is no number."""
    early, total = np.array([-7.0, -6.0, -8.0]), np.array([-10.0, -9.0, -11.0])
    assert slowing(early, total, 20, 40)["rate_early"] == pytest.approx(-7 / 20)
    for spans in ((0, 40), (20, 0), (-5, 40)):
        assert slowing(early, total, *spans) == {"slows": "cannot-tell"}


def test_break_in_of_a_change_that_is_not_there(judged: Judge, one: One) -> None:
    frame = three_checkpoints(np.array([1.0, -1, 1, -1]), np.array([2.0, -2, 1, -1.5]))
    v = one_verdict(judged(one("{kind: break-in, measure: y, from: 0, by: 20, to: 60}"), frame))
    assert (v.code, v.estimate, v.detail.undefined) == ("cannot-tell", None, "no-change")


def series(slopes: np.ndarray, shots: int = 6) -> pd.DataFrame:
    rows = [
        (ball, "M", 0, shot, 1.0, 20 + slope * shot)
        for ball, slope in zip(named(len(slopes)), slopes, strict=True)
        for shot in range(1, shots + 1)
    ]
    return pd.DataFrame(rows, columns=["ball", "model", "games", "shot", "x", "y"])


@pytest.mark.parametrize(
    ("middle", "direction", "code"),
    [
        (3.0, "up", "backed"),
        (3.0, "down", "against"),
        (1.2, "up", "leans"),
        (0.5, "up", "cannot-tell"),
    ],
)
def test_trend(judged: Judge, one: One, middle: float, direction: str, code: str) -> None:
    text = f"{{kind: trend, measure: y, over: shot, direction: {direction}}}"
    v = one_verdict(judged(one(text), series(about(middle)), table_keys={"t": ", order: shot"}))
    assert (v.code, v.n_items, v.n_rows) == (code, 4, 24)
    assert v.estimate == pytest.approx(middle) == v.extra["slope"]
    assert (v.low, v.high) == pytest.approx((middle - 1.8373, middle + 1.8373), abs=1e-4)
    assert v.extra["mann_kendall_p"] is None


@pytest.mark.parametrize(("late", "uneven"), [(0.0, True), (1.0, False)])
def test_a_drift_that_was_over_early_is_told_beside_its_even_slope(
    judged: Judge, one: One, late: float, uneven: bool
) -> None:
    """By hand: 12 up over the first three of eleven steps, then ``late`` of that pace; the middle
    one of the slopes between all pairs goes on as if it had been even."""
    pace = np.array([4.0, 4.0, 4.0] + [4.0 * late] * 7)
    frame = pd.DataFrame(
        [(ball, "M", 0, shot, 1.0, 20 + lift + 0.1 * (shot * of % 3))
         for of, ball in enumerate(named(4), 1)
         for shot, lift in enumerate([0.0, *np.cumsum(pace).tolist()])],
        columns=["ball", "model", "games", "shot", "x", "y"],
    )  # fmt: skip
    text = "{kind: trend, measure: y, over: shot, direction: up}"
    j = judged(one(text), frame, table_keys={"t": ", order: shot"})
    d = one_verdict(j).detail
    assert isinstance(d, TrendDetail)
    said = say(j, "viewer").claims["c"].beside
    if not uneven:
        assert d.even_change is None and not any("even" in text for text in said)
        return
    assert d.ends_change == pytest.approx(12, abs=0.3) and d.even_change is not None
    assert d.even_change < 8
    [told] = [text for text in said if "do not go by the slope for a part of it" in text]
    assert "above the first" in told and "about 12" in told


@pytest.mark.parametrize(
    ("direction", "code"), [("up", "backed"), ("any", "backed"), ("down", "against")]
)
def test_trend_of_a_single_series(judged: Judge, one: One, direction: str, code: str) -> None:
    """The only item: Mann–Kendall and its correction for neighbours decide about this series."""
    rng = np.random.default_rng(5)
    frame = series(np.array([1.0]), 30)
    frame["y"] += rng.normal(0, 1, 30)
    text = f"{{kind: trend, measure: y, over: shot, direction: {direction}}}"
    judgement = judged(one(text), frame, table_keys={"t": ", order: shot"})
    v = one_verdict(judgement)
    assert (v.code, v.n_items) == (code, 1)
    assert v.extra["mann_kendall_p"] < 0.05 and v.extra["p_lag1"] < 0.05
    # It is a p of the trend, and of no lean: with readings drawn one by one there is none to show.
    rows = dict(claim_numbers(v, "ball", judgement.study))
    told = "p of the trend, with a lean of each reading on the last allowed for"
    assert rows[told] == p_words(v.p)


#: Thirty carries to the hundredth: ranks rise (p 0.04), and Sen's range begins right at 0.
AT_ZERO = [
    19.82, 19.92, 20.02, 19.98, 20.06, 19.86, 20.0, 19.99, 20.09, 19.8, 19.83, 19.96, 19.95, 19.85,
    19.77, 20.06, 19.99, 19.9, 19.86, 20.04, 19.98, 20.06, 20.0, 19.92, 20.2, 20.04, 20.09, 20.07,
    19.97, 20.07,
]  # fmt: skip


@pytest.mark.parametrize(("tilt", "code"), [(0.0, "leans"), (0.01, "backed")])
def test_a_series_whose_range_ends_right_at_no_slope_is_not_backed(
    tilt: float, code: str
) -> None:
    y = np.array(AT_ZERO) + tilt * np.arange(30)
    line = drift.theil_sen(np.arange(1.0, 31), y)
    test, alone = drift.mann_kendall(y), drift.p_lag1(y, np.arange(1.0, 31))
    assert test.p < 0.05 and (line.low > 0) == (tilt > 0)
    assert _way_of_one(test, alone, 1, line.low > 0) == code



def test_a_studys_own_limit_for_shots_that_stand_apart(judged: Judge, one: One) -> None:
    frame = series(np.zeros(4), 20)
    frame["y"] = 20 + np.resize([0.0, 0.1, -0.1, 0.05, -0.05], 80)
    frame.loc[7, "y"] = 21.0
    text = one("{kind: trend, measure: y, over: shot, direction: up}")
    keys = {"t": ", order: shot"}
    figure = "figures:\n  - {id: f, kind: shot-series, table: t, y: y, order: shot}\n"
    usual = judged(text, frame, table_keys=keys, more=figure)
    lax = judged(text, frame, table_keys=keys, more=figure + "thresholds: {outlier_k: 50}\n")
    assert (usual.verdicts[0].detail.flagged, lax.verdicts[0].detail.flagged) == (
        ("B0 8",),
        (),
    )
    for judgement, count in ((usual, 1), (lax, 0)):
        shots = [s for one in judgement.figures[0].data.series for s in one.shots]
        assert sum(s.flagged for s in shots) == count


def gauge(noise: float, operators: int = 3) -> pd.DataFrame:
    """Ten balls from 0 to 90, each read three times by each operator, ± ``noise``."""
    rng = np.random.default_rng(12)
    rows = [
        (f"B{part}", "M", 0, f"O{who}", k, 10.0 * part + rng.normal(0, noise), 1.0)
        for part in range(10)
        for who in range(operators)
        for k in range(3)
    ]
    return pd.DataFrame(rows, columns=["ball", "model", "games", "who", "k", "x", "y"])


@pytest.mark.parametrize(("operators", "code"), [(3, "against"), (1, "not-tested")])
def test_a_gauge_sees_nothing_finer_than_the_step_it_is_stated_in(
    judged: Judge, one: One, operators: int, code: str
) -> None:
    """All of them read the very same, to 0.1: what is finer nobody saw, and 0 is no answer."""
    frame = gauge(0.0, operators).assign(x=lambda f: f["x"] + 0.1)
    figure = "figures:\n  - {id: g, kind: gauge, table: t, y: x, operator: who, repeat: k}\n"
    text = "{kind: repeatability, measure: x, operator: who, repeat: k, detects: 0.04}"
    judgement = judged(one(text), frame, more=figure)
    v = one_verdict(judgement)
    assert (v.code, v.detail.mdd, v.detail.ev) == (code, pytest.approx(0.1), 0)
    assert judgement.figures[0].data.mdd == pytest.approx(0.1)
    stepped = conftest.HEAD.replace("repeatability_sd: 0.001", "resolution: 0.5")
    assert one_verdict(judged(one(text), frame, head=stepped)).detail.mdd == 0.5


@pytest.mark.parametrize(
    ("noise", "operators", "test", "code"),
    [
        (0.5, 3, "", "backed"),
        (6.0, 3, "", "leans"),  # about 20%, the usual marginal zone
        (60.0, 3, "", "against"),
        (0.5, 2, "", "leans"),  # two operators leave no range
        (9.0, 3, ", good_enough: 12", "against"),
        (0.5, 3, ", detects: 0.5", "against"),
        (0.5, 2, ", detects: 0.5", "cannot-tell"),  # no range, so no verdict against it
    ],
)
def test_repeatability(
    judged: Judge, one: One, noise: float, operators: int, test: str, code: str
) -> None:
    text = f"{{kind: repeatability, measure: x, operator: who, repeat: k{test}}}"
    v = one_verdict(judged(one(text), gauge(noise, operators)))
    assert v.code == code
    assert v.estimate == pytest.approx(v.extra["percent_study_variation"])
    assert v.extra["tv"] ** 2 == pytest.approx(v.extra["grr"] ** 2 + v.extra["pv"] ** 2)
    # What operators and balls do together counts towards the gauge, beside ev and av.
    assert v.extra["grr"] ** 2 >= (v.extra["ev"] ** 2 + v.extra["av"] ** 2) * (1 - 1e-9)
    assert v.estimate == pytest.approx(100 * v.extra["grr"] / v.extra["tv"])


@pytest.mark.parametrize(
    ("values", "code", "calls"),
    [
        ([25.0, 22.0], "backed", ["pass", "pass"]),
        ([25.0, 21.0], "leans", ["pass", "too-close"]),
        ([25.0, 19.0], "cannot-tell", ["pass", "too-close"]),
        ([25.0, 17.0], "against", ["pass", "fail"]),
    ],
)
def test_limit(judged: Judge, one: One, values: list[float], code: str, calls: list[str]) -> None:
    """u = 1: a reading is sure from 1.645 on either side of 20."""
    frame = pd.DataFrame({"ball": named(2), "model": "M", "games": 0, "x": values, "y": 1.0})
    v = one_verdict(judged(one("{kind: limit, measure: x, at_least: 20, u: 1}"), frame))
    assert (v.code, v.estimate, v.n_items) == (code, None, 2)
    assert [row["call"] for row in v.extra["items"]] == calls
    assert [row["item"] for row in v.extra["items"]] == ["B0", "B1"]
    assert v.extra["items"][0]["p_conform"] == pytest.approx(1.0, abs=1e-6)


HEAD_BOWLERS = """\
title: A test study
question: Does it?
tested: {each: bowler}
measures: {}
"""


def lanes(gaps: np.ndarray) -> pd.DataFrame:
    """Each bowler strikes 40 of 100 on b, and so many more on a."""
    names = [f"W{i}" for i in range(len(gaps))]
    b = pd.DataFrame({"bowler": names, "oil": "b", "strikes": 40, "shots": 100})
    more = b.assign(oil="a", strikes=40 + np.round(100 * gaps).astype(int))
    return pd.concat([more, b])


@pytest.mark.parametrize(
    ("middle", "direction", "code"),
    [
        (0.30, "higher", "backed"),
        (0.30, "lower", "against"),
        (0.12, "higher", "leans"),
        (0.05, "higher", "cannot-tell"),
    ],
)
def test_rate_difference(judged: Judge, one: One, middle: float, direction: str, code: str) -> None:
    """Four bowlers with gaps of ± .1 about the middle: 95% reaches .1837, 80% .0946."""
    text = ("{kind: rate-difference, successes: strikes, attempts: shots, by: oil, a: a, b: b, "
            f"direction: {direction}, within: bowler}}")  # fmt: skip
    v = one_verdict(judged(one(text), lanes(about(middle, by=0.1)), head=HEAD_BOWLERS))
    assert (v.code, v.n_items, v.n_rows, v.unit) == (code, 4, 8, "rate")
    assert v.estimate == pytest.approx(middle)
    assert (v.low, v.high) == pytest.approx((middle - 0.18373, middle + 0.18373), abs=1e-5)
    assert v.extra["pooled_difference"] == pytest.approx(middle)
    assert v.extra["odds_ratio"] > 1


def test_not_testable(judged: Judge, one: One) -> None:
    v = one_verdict(judged(one("{kind: not-testable, because: taste}"),
                           two_checkpoints(about(1))))  # fmt: skip
    assert (v.code, v.reasons) == ("not-tested", ("not-a-data-question",))


def test_a_sentence_that_says_two_things_is_as_strong_as_the_weaker(judged: Judge) -> None:
    up = "{kind: change, measure: y, from: 0, to: 10, direction: up}"
    large = "{kind: change, measure: y, from: 0, to: 10, direction: up, at_least: 3}"
    text = f"  - {{id: c, report_says: It, plainly: It, tests: [{up}, {large}]}}\n"
    j = judged(text, two_checkpoints(about(3.0)))
    (v,) = j.verdicts
    assert [p.code for p in v.parts] == ["backed", "cannot-tell"]
    assert v.code == "cannot-tell"
    (record,) = results(j)["claims"]
    assert [p["verdict"] for p in record["parts"]] == ["backed", "cannot-tell"]


def test_every_kind_is_tested_here() -> None:
    names = {name[5:].replace("_", "-") for name in globals() if name.startswith("test_")}
    assert set(EXTRA) <= names
    assert set(KINDS) == set(EXTRA) | FURTHER


def test_two_items_that_crossed_have_a_range_and_one_has_none(judged: Judge, one: One) -> None:
    """Each crossed between two readings, and what is known of both is averaged."""
    readings = {"a": (80, 70, 40, 30), "b": (90, 80, 70, 35)}
    rows = [(ball, use, x) for ball, xs in readings.items()
            for use, x in zip((0, 10, 20, 40), xs, strict=True)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "x"]).assign(y=10.0)
    test = "{kind: crossing, measure: x, limit: 50, over: games, after: 20, within: 15}"
    (v,) = judged(one(test), frame).verdicts
    # between 10 and 20 for a and between 20 and 40 for b: the middle of 15 and 30
    assert v.n_items == 2 and v.estimate == pytest.approx(22.5)
    assert v.low == 0.0 and v.high is not None and v.high > 30
    began_past = frame.assign(x=frame["x"].where(frame["ball"] == "a", 40))  # b never was above it
    (alone,) = judged(one(test), began_past).verdicts
    assert alone.low is None and alone.code == "not-tested" and "too-few-items" in alone.reasons


# --- a ranking of the same items under each condition

ON_OILS = """\
title: A test study
question: Does it?
tested: {each: ball}
measures:
  y: {term: total hook, unit: board, matters_from: 1}
"""


def on_oils(n: int = 8, noise: float = 0.3, own: float = 4.0, missing: int = 0) -> pd.DataFrame:
    """n balls, far apart among themselves, on three oils a board apart; the last ``missing`` of
    them not on the long one."""
    rng = np.random.default_rng(12)
    level = rng.normal(10, own, n)
    rows = [(f"B{i}", oil, level[i] + step + rng.normal(0, noise))
            for step, oil in enumerate(("long", "house", "short")) for i in range(n)
            if not (oil == "long" and i >= n - missing)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "oil", "y"])


def test_ranking_within_the_same_balls(judged, one) -> None:
    """Balls four boards apart hide a gap of one board, unless each is held against itself."""
    frame = on_oils()
    test = "{kind: ranking, measure: y, by: oil, first: short%s}"
    j = judged(one(test % ", within: ball"), frame, head=ON_OILS)
    (v,) = j.verdicts
    wide = frame.pivot_table(index="ball", columns="oil", values="y")
    gap = wide["short"] - wide["house"]
    by_hand = stats.ttest_1samp(gap, 0.0)
    assert (v.code, v.n_items, v.detail.paired) == ("backed", 8, True)
    assert (v.estimate, v.low) == pytest.approx(
        (gap.mean(), by_hand.confidence_interval(0.95).low))
    assert v.detail.p_pair == pytest.approx(min(1.0, 2 * by_hand.pvalue))
    assert "held against itself under every condition" in say(j).claims["c"].method
    strangers = frame.assign(ball=[f"{b}{o}" for b, o in zip(frame.ball, frame.oil, strict=True)])
    (w,) = judged(one(test % ""), strangers, head=ON_OILS).verdicts
    assert (w.code, w.detail.paired) == ("cannot-tell", False)
    (whole,) = judged(one(test % ""), frame, head=ON_OILS).verdicts  # all on all: pairs at sight
    assert whole.detail.paired and whole.low == v.low


def test_ranking_of_balls_that_are_not_on_every_oil(judged, one) -> None:
    frame = on_oils(missing=3)
    test = "{kind: ranking, measure: y, by: oil, order: [short, house, long]%s}"
    (v,) = judged(one(test % ", within: ball"), frame, head=ON_OILS).verdicts
    assert (v.n_items, v.detail.without, v.n_rows) == (5, ("B5", "B6", "B7"), 15)
    j = judged(one(test % ""), frame.assign(y=frame.y + 20 * (frame.oil == "short")
                                            + 10 * (frame.oil == "house")), head=ON_OILS)
    (w,) = j.verdicts
    assert (w.detail.paired, "pairs" in w.reasons, w.code != "backed") == (False, True, True)
    (asked,) = [p for p in j.study.warnings if p.code == "pairs"]
    assert "`B0`, `B1`, `B2`, `B3`, … in several" in str(asked) and "within: ball" in str(asked)
    apart = frame[(frame.oil == "long") == frame.ball.isin(["B0", "B1"])]
    (x,) = judged(one(test % ", within: ball"), apart, head=ON_OILS).verdicts
    assert (x.code, x.detail.undefined) == ("not-tested", "no-blocks")


def test_ranking_of_checkpoints_follows_each_ball(judged, one) -> None:
    """By use: the same balls by nature, so what sets them apart is none of the doubt."""
    rng = np.random.default_rng(3)
    rows = [(f"B{i}", use, 10 + 3 * i + use / 20 + rng.normal(0, 0.1))
            for i in range(8) for use in (0, 20, 40)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"]).assign(x=1.0)
    (v,) = judged(one("{kind: ranking, measure: y, by: games, first: 40}"), frame).verdicts
    assert (v.code, v.detail.paired) == ("backed", True)
    (same,) = judged(one("{kind: ranking, measure: y, by: games, same: 3}"), frame).verdicts
    assert same.strip is not None
    assert (same.code, same.strip.level, same.detail.n_pairs) == ("backed", 0.9, 3)


def test_a_ranking_is_judged_though_none_of_the_first_were_read_to_the_end(judged, one) -> None:
    """Each Plover missed another checkpoint: those that stayed say nothing of Plovers."""
    missed = {("Plover0", 0), ("Plover1", 20), ("Plover2", 40), ("Plover3", 20), ("Teasel0", 40)}
    rows = [(f"{kind}{i}", kind, use, level + i)
            for kind, level in (("Plover", 30), ("Teasel", 20), ("Linnet", 10)) for i in range(4)
            for use in (0, 20, 40) if (f"{kind}{i}", use) not in missed]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "kind", "games", "y"]).assign(x=1.0)
    j = judged(one("{kind: ranking, measure: y, by: kind, first: Plover}"), frame)
    (v,) = j.verdicts
    assert v.detail.ranked == ("Plover", "Teasel", "Linnet")
    assert (v.code, "dropouts" in v.reasons) == ("cannot-tell", True)
    told = " ".join(say(j).claims["c"].because)
    assert "None" not in told and not defects_of(j), told


# --- how many items, by how much

SO_MANY = "{kind: share-of-items, measure: y, from: 0, to: 20, direction: down, share: %s%s}"


def falls(*by: float) -> pd.DataFrame:
    """A ball for each, which falls by so much."""
    rows = [(f"B{i}", use, 20.0 - (d if use else 0)) for i, d in enumerate(by) for use in (0, 20)]
    return pd.DataFrame(rows, columns=["ball", "games", "y"]).assign(x=1.0)


def test_balls_that_do_not_scatter_say_by_their_count_what_they_say(judged, one) -> None:
    """Six at 28 against 21 or less: 0 of 6 where 9 in 10 would meet it has a chance of 1e-6; with
    all six at 17, 6 of 6 is nothing rare, and 29 that meet it would do (.9**29 < .05)."""
    test = "{kind: population-limit, measure: y, at: 20, at_most: 21, share: 0.9}"
    head = ON_OILS.replace("measures:", "use: {column: games, unit: game}\nmeasures:")
    for drop, meeting, p in ((-8, 0, 1e-6), (3, 6, 1.0)):
        j = judged(one(test), falls(*[drop] * 6), head=head)
        (v,) = j.verdicts
        assert (v.code, v.low, v.extra["meeting"]) == ("cannot-tell", None, meeting)
        assert v.extra["p_so_few"] == pytest.approx(p)
        words = say(j).claims["c"]
        assert ("speaks against the claim" in words.says) is (meeting == 0)
        assert ("29 that all meet" in words.settle.replace("Twenty-nine", "29")) is (meeting == 6)
        assert "settles nothing" not in words.says


def test_share_of_items_by_at_least_so_much(judged, one) -> None:
    """Ten fell, nine of them by two or more: that shows it of most, and not of nine in ten."""
    frame = falls(3, 3, 3, 3, 2, 4, 5, 3, 3, 1)
    (plain,) = judged(one(SO_MANY % ("most", "")), frame).verdicts
    (sized,) = judged(one(SO_MANY % ("most", ", at_least: 2")), frame).verdicts
    assert (plain.estimate, sized.estimate) == (1.0, 0.9)
    assert (sized.code, sized.detail.moved, sized.detail.not_moved) == ("backed", 9, 1)
    assert sized.low == pytest.approx(stats.binomtest(9, 10).proportion_ci(method="exact").low)
    (most,) = judged(one(SO_MANY % ("0.9", ", at_least: 2")), frame).verdicts
    assert most.code == "cannot-tell"


def test_a_range_that_ends_at_the_share_asked_for_goes_no_further(judged, one) -> None:
    """Ten of forty fell: the share that is asked for lies in the exact range, or where it ends."""
    frame = falls(*[3] * 10, *[-3] * 30)
    (v,) = judged(one(SO_MANY % ("0.3", "")), frame).verdicts
    for asked, more in ((0.3, True), (v.high, False)):
        j = judged(one(SO_MANY % (repr(asked), "")), frame)
        said = say(j).claims["c"].says
        assert j.verdicts[0].code == "cannot-tell" and not defects_of(j)
        assert "is possible, and so is less" in said and ("more than" in said) is more, said


def test_a_range_that_ends_on_nothing_has_no_room_on_its_far_side(judged, one) -> None:
    """Sen's range of one coarse series begins at 0: up and level fit, and down does not."""
    read = (10, 11, 10, 9, 10, 10, 11, 11, 11, 11)
    frame = pd.DataFrame({"ball": "B1", "shot": range(len(read)), "x": 1.0, "y": read})
    head = conftest.HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    j = judged(one("{kind: trend, measure: y, over: shot, direction: up}"), frame, head=head,
               table_keys={"t": ", order: shot"})  # fmt: skip
    (v,) = j.verdicts
    assert (v.code, v.low) == ("cannot-tell", 0.0) and v.high > 0
    heard = " ".join(line.text for shot in say_script(j, say(j)).shots for line in shot.lines)
    assert "Up, down and level all fit" not in heard and not defects_of(j)


def test_share_of_items_by_at_least_so_much_of_every_one(judged, one) -> None:
    """Read to 0.1: a change of one ball is seen from 1.96·0.1·√2 = 0.277, either side of two."""
    gauged = (ON_OILS.replace("measures:", "use: {column: games, unit: game}\nmeasures:")
              .replace("matters_from: 1", "matters_from: 1, repeatability_sd: 0.1"))
    for last, code in ((2.3, "backed"), (2.2, "leans"), (1.9, "cannot-tell"), (1.7, "against")):
        test = SO_MANY % ("every", ", at_least: 2")
        j = judged(one(test), falls(3, 3, 3, 3, last), head=gauged)
        (v,) = j.verdicts
        assert (last, v.code) == (last, code)
        words = say(j).claims["c"]
        assert "fell by at least 2 boards" in words.says or code == "against"
        if code == "against":
            assert "surely show no drop of at least 2 boards" in words.says
        assert not [d for key, d in j.memo.items() if "defect" in str(key) and d]


@pytest.mark.parametrize(("more", "asked"), [
    ("direction: any, strong: yes, given: [z]",
     "Do cover roughness and total hook go strongly together, ball size held alike?"),
    ("direction: any", "Do cover roughness and total hook go together?"),
    ("direction: negative, strong: yes", 
     "Do balls with a higher cover roughness strongly tend to have a lower total hook?"),
])  # fmt: skip
def test_an_open_question_of_a_link_asks_what_is_claimed(
    judged: Judge, one: One, more: str, asked: str
) -> None:
    """No way that nobody claimed, and no less strong; also where nothing could be worked out."""
    rows = ([("a", 1.0, 2.0, 3.0), ("b", 2.0, 1.0, 5.0)] if "given" in more else
            [("a", 1.0, 2.0, 3.0), ("b", 2.0, 1.0, 5.0), ("c", 3.0, 2.5, 4.0), ("d", 4.0, 2.0, 3.5),
             ("e", 5.0, 2.2, 3.7)])  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "x", "y", "z"])
    head = conftest.HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    head = head.replace("  y:", "  z: {term: ball size, unit: inch}\n  y:")
    judgement = judged(one(f"{{kind: association, x: x, y: y, {more}}}"), frame, head=head)
    few = "given" in more
    assert one_verdict(judgement).code == ("not-tested" if few else "cannot-tell")
    assert say(judgement).questions[0][0].startswith(asked)
