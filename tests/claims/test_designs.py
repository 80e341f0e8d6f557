"""Designs that fool a reanalysis: each study here would lead a careless method astray.

Beside each stands the same study without the trap, where the claim keeps its verdict.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from claims.conftest import IN_MODELS

from explainer.claims import evidence
from explainer.claims.verdict import Judgement, Verdict
from explainer.words.say import say

Judge = Callable[..., Judgement]
One = Callable[..., str]

PLAIN = """\
title: A test study
question: Does it?
invented: yes
tested: {each: ball}
measures:
  x: {unit: microinch, repeatability_sd: 0.001, lowest: -1000000}
  y: {unit: board, matters_from: 1}
"""
USED = PLAIN.replace("measures:", "use: {column: games, term: games rolled, unit: game}\nmeasures:")
MODELS = PLAIN.replace("{each: ball}", "{each: ball, group: model}")
USED_MODELS = USED.replace("{each: ball}", "{each: ball, group: model}")
TRACKS = "{kind: tracks-within, x: x, y: y, direction: positive}"
LINK = "{kind: association, x: x, y: y, direction: positive}"
CHANGE = "{kind: change, measure: y, from: 0, to: 60, direction: up}"
STEADY = "{kind: no-change, measure: y, from: 0, to: 60}"


def verdict(judgement: Judgement) -> Verdict:
    (v,) = judgement.verdicts
    return v


def over_games(changes: list[float], games: tuple[float, ...] = (0, 60)) -> pd.DataFrame:
    """y of each ball from 10 on, its change spread evenly over the games."""
    return pd.DataFrame(
        [(f"B{i}", "MN"[i % 2], g, 1.0, 10 + c * g / games[-1])
         for i, c in enumerate(changes) for g in games],
        columns=["ball", "model", "games", "x", "y"],
    )  # fmt: skip


# --- order is use

def drifting(n: int, shots: int, shared_numbers: bool, link: float = 0.0) -> pd.DataFrame:
    """x and y of every ball rise with the shots; ``link`` ties them beyond that."""
    rng = np.random.default_rng(5)
    rows = []
    for k in range(shots):
        for i in range(n):
            shot = k if shared_numbers else k * n + i
            own = rng.normal(0, 1)
            y = 0.5 * k + link * own + rng.normal(0, 0.7)
            rows.append((f"B{i}", shot, 0.5 * k + own, y))
    return pd.DataFrame(rows, columns=["ball", "shot", "x", "y"])


@pytest.mark.parametrize("shared", [True, False])
def test_shared_trend_in_a_series_that_only_its_order_tells(
    judged: Judge, one: One, shared: bool
) -> None:
    keys = {"t": ", order: shot"}
    v = verdict(judged(one(TRACKS), drifting(6, 40, shared), head=PLAIN, table_keys=keys))
    assert v.extra["r"] > 0.9
    assert "shared-trend" in v.reasons
    assert v.code != "backed"
    kept = verdict(judged(one(TRACKS), drifting(6, 40, shared, 1.0), head=PLAIN, table_keys=keys))
    assert (kept.code, "shared-trend" in kept.reasons) == ("backed", False)


def test_no_link_within_holds_with_the_drift_and_without_it(judged: Judge, one: One) -> None:
    """x rises and y falls with use just enough to hide that y follows x."""
    rng = np.random.default_rng(2)
    rows = []
    for i in range(10):
        for k in range(12):
            own = rng.normal(0, 1)
            rows.append((f"B{i}", k, 0.35 * k + own, 0.8 * own - 0.35 * k + rng.normal(0, 0.3)))
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    text = "{kind: no-association, x: x, y: y, margin: 0.5, within: yes}"
    v = verdict(judged(one(text), frame, head=USED))
    assert v.code not in ("backed", "leans")
    apart = frame.assign(y=rng.normal(0, 1, len(frame)))
    w = verdict(judged(one(text), apart, head=USED))
    assert (w.code, "shared-trend" in w.reasons) == ("backed", False)
    # The range is over balls: it is drawn, and in the results, as the one that decided.
    assert w.strip is not None and (w.strip.low, w.strip.high) == (
        w.extra["low90"], w.extra["high90"])  # fmt: skip


# --- groups are not more balls

def two_models(inside: float, between: float, each: int = 5) -> pd.DataFrame:
    rng = np.random.default_rng(9)
    rows = []
    for m, model in enumerate("MN"):
        for i in range(each):
            own = rng.normal(0, 1)
            y = 6 * between * m + inside * own + rng.normal(0, 0.1)
            rows.append((f"{model}{i}", model, 6 * m + own, y))
    return pd.DataFrame(rows, columns=["ball", "model", "x", "y"])


def test_groups_make_a_link_that_no_ball_of_either_shows(judged: Judge, one: One) -> None:
    frame = two_models(-1, 1)
    over_all = float(np.corrcoef(frame["x"], frame["y"])[0, 1])
    assert over_all > 0.7
    v = verdict(judged(one(LINK), frame, head=MODELS))
    assert v.code == "against" and v.estimate is not None and v.estimate < -0.9
    assert "groups" in v.reasons and v.detail.n_groups == 2
    none = verdict(judged(one(LINK), two_models(0, 1), head=MODELS))
    assert none.code == "cannot-tell" and none.detail.between_groups
    # Without the models it would pass as a link between ten balls.
    assert verdict(judged(one(LINK), two_models(0, 1), head=PLAIN)).code == "backed"
    real = verdict(judged(one(LINK), two_models(1, 1), head=MODELS))
    assert (real.code, real.detail.between_groups) == ("backed", False)


def test_a_link_that_is_none_inside_the_groups_names_that_as_its_catch(
    judged: Judge, one: One
) -> None:
    """Over all ten balls the link is strong, which alone would speak against "no link"; inside a
    model nothing of it is clear."""
    claim = one("{kind: no-association, x: x, y: y, margin: 0.3}")
    j = judged(claim, two_models(0, 1), head=MODELS)
    v = verdict(j)
    assert (v.code, v.detail.groups_other) == ("cannot-tell", True) and "groups" in v.reasons
    words = say(j).claims["c"]
    assert "there is a catch: one verdict over all, another with the kind held alike" in words.says
    assert ("Over all the balls at once the range gives one verdict, and with the model held alike "
            "another.") in " ".join(words.because), words.because  # fmt: skip
    few = judged(claim, two_models(0, 1, 2), head=MODELS)
    assert verdict(few).detail.groups_unseen and verdict(few).detail.groups_other
    told = say(few).claims["c"]
    assert "too little is left to judge by" in " ".join(told.because), told.because
    assert "another" not in " ".join((told.says, *told.because))
    alike = verdict(judged(claim, two_models(1, 1, 8), head=MODELS))
    assert (alike.code, alike.detail.groups_other) == ("against", False)


def test_groups_too_small_to_see_inside_are_not_tested(judged: Judge, one: One) -> None:
    few = judged(one(LINK), two_models(1, 1, each=2), head=MODELS)
    assert (verdict(few).code, verdict(few).reasons) == ("not-tested", ("groups",))
    [(_, why, _)] = say(few).questions  # a bare link there is, and another claim may show it
    assert "no link that is told from what sets one model apart" in why
    enough = verdict(judged(one(LINK), two_models(1, 1, each=3), head=MODELS))
    assert enough.code != "not-tested"  # 6 balls less 2 models less 1: three degrees of freedom


@pytest.mark.parametrize("named", [True, False])
def test_groups_that_move_apart_are_not_steady_together(
    judged: Judge, one: One, named: bool
) -> None:
    """One model falls by 0.8 and the other rises by 0.8, where 1 counts: neither held steady with
    the other, whether the study names the column or not."""
    wobble = [0.02, -0.03, 0.01, 0.04, -0.02, 0.0, 0.03, -0.01, 0.02, -0.04]
    changes = [(-0.8 if i % 2 else 0.8) + w for i, w in enumerate(wobble)]
    at = USED_MODELS if named else USED
    v = verdict(judged(one(STEADY), over_games(changes), head=at))
    assert (v.code, v.detail.groups_apart, v.reasons) == ("leans", True, ("groups",))
    assert v.detail.groups_by == ("" if named else "model")
    less = [c / 2 for c in changes]
    w = verdict(judged(one(STEADY), over_games(less), head=at))
    assert (w.code, w.detail.groups_apart) == ("backed", False)


def test_groups_that_change_both_ways_only_lean(judged: Judge, one: One) -> None:
    """Eight of model M rise by 5, two of model N fall by 1: each model counts once."""
    rows = over_games([5.0, 5.2, 4.8, 5.1, 4.9, 5.0, 5.1, 4.9, -1.0, -1.1])
    rows["model"] = np.where(rows["ball"].isin(["B8", "B9"]), "N", "M")
    v = verdict(judged(one(CHANGE), rows, head=USED_MODELS))
    assert v.estimate == pytest.approx((5.0 - 1.05) / 2)
    assert (v.code, v.detail.groups_apart) == ("leans", True)
    assert "groups" in v.reasons
    same = over_games([5.0, 5.2, 4.8, 5.1, 4.9, 5.0])
    w = verdict(judged(one(CHANGE), same, head=USED_MODELS))
    assert (w.code, w.reasons) == ("backed", ("groups",))
    assert verdict(judged(one(CHANGE), same, head=USED)).reasons == ()


# --- unequal use

def worn(n: int, apart: bool) -> pd.DataFrame:
    """x falls and y rises with use in every ball; nothing sets balls apart but how far they went.

    ``apart``: every ball was read at two checkpoints of its own; else all at all of them.
    """
    rng = np.random.default_rng(7)
    rows = [
        (f"B{i}", g, 100.0 - g + rng.normal(0, 1), 0.1 * g + rng.normal(0, 0.1))
        for i in range(n)
        for g in ((20 * i, 20 * i + 10) if apart else range(0, 160, 10))
    ]
    return pd.DataFrame(rows, columns=["ball", "games", "x", "y"])


def test_unequal_use_makes_no_link_by_itself(judged: Judge, one: One) -> None:
    text = LINK.replace("positive", "negative")
    judgement = judged(one(text), worn(8, True), head=USED)
    v = verdict(judgement)
    assert v.estimate is not None and v.estimate < -0.95
    assert (v.code, "unequal-use" in v.reasons) == ("cannot-tell", True)
    because = " ".join(say(judgement).claims[v.claim.id].because)
    assert "how far each one had been used may have a part" in because
    even = verdict(judged(one(text), worn(8, False), head=USED))
    assert "unequal-use" not in even.reasons and even.code != "backed"


def test_unequal_use_compares_at_shared_checkpoints(judged: Judge, one: One) -> None:
    """All were read at 0, the later ones ever further on: at 0 they do not differ in step."""
    late = worn(8, True)
    rng = np.random.default_rng(1)
    start = pd.DataFrame({
        "ball": [f"B{i}" for i in range(8)], "games": 0,
        "x": 100 + rng.normal(0, 1, 8), "y": rng.normal(0, 0.1, 8),
    })  # fmt: skip
    frame = pd.concat([start, late[late["games"] > 0]])
    v = verdict(judged(one(LINK.replace("positive", "negative")), frame, head=USED))
    assert v.code != "backed"
    assert ("unequal-use" in v.reasons, v.detail.shared_checkpoints) == (True, 1)
    assert v.estimate == pytest.approx(np.corrcoef(start["x"], start["y"])[0, 1], abs=1e-6)


@pytest.mark.parametrize("kind", ["association", "no-association"])
def test_where_no_checkpoint_is_shared_each_is_judged_alone(
    judged: Judge, one: One, kind: str
) -> None:
    """Of twelve balls three lack a cell, each at another of the three checkpoints: all share none,
    and at each of them eleven stand on one line (or in no order at all)."""
    rng = np.random.default_rng(2)
    place = np.resize((0.0, 3.0, 1.0, 2.0), 12) if kind == "no-association" else np.arange(12.0)
    rows = [
        (f"B{i}", g, i + rng.normal(0, 0.2), 5.0 * place[i] + 0.3 * g + rng.normal(0, 0.5))
        for i in range(12) for g in (0, 10, 20)
    ]
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    for k, ball in enumerate(("B2", "B5", "B9")):
        frame.loc[(frame["ball"] == ball) & (frame["games"] == 10 * k), "y"] = np.nan
    text = LINK if kind == "association" else "{kind: no-association, x: x, y: y, margin: 0.95}"
    judgement = judged(one(text), frame, head=USED)
    v = verdict(judgement)
    assert (v.code, v.reasons, v.detail.each_alone) == ("backed", (), True)
    told = say(judgement).claims[v.claim.id].method
    assert "at each one that can be judged alone the verdict is the same" in told
    frame.loc[(frame["games"] == 20) & (frame.index % 2 == 0), "y"] = np.nan
    frame.loc[frame["games"] == 20, "y"] *= -1
    judgement = judged(one(text.replace("0.95", "0.9")), frame, head=USED)
    turned = verdict(judgement)
    assert turned.code == "cannot-tell" and "unequal-use" in turned.reasons
    told = " ".join(say(judgement).claims[turned.claim.id].because)  # use is not all there is to it
    assert "not every one gives the same answer" in told and "how far" not in told


# --- shared parts

SHARED = PLAIN + "  z: {unit: microinch, lowest: -1000000}\n  w: {unit: board, lowest: -1000000}\n"


def columns(seed: int = 4, n: int = 20) -> pd.DataFrame:
    """Two readings of each ball that have nothing to do with one another."""
    rng = np.random.default_rng(seed)
    x, z = rng.normal(50, 5, n), rng.normal(50, 5, n)
    return pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "x": x, "z": z})


def test_shared_part_of_a_change_and_its_start(judged: Judge, one: One) -> None:
    """Two unrelated readings: the change falls with the start at r = −0.7, and that is nothing."""
    frame = columns().assign(y=lambda d: d["z"] - d["x"], w=0.0)
    text = LINK.replace("positive", "negative")
    v = verdict(judged(one(text), frame, head=SHARED))
    assert float(np.corrcoef(frame["x"], frame["y"])[0, 1]) < -0.6
    assert (v.code, v.detail.shared_part) == ("cannot-tell", "start")
    oldham = np.corrcoef(frame["y"], (frame["x"] + frame["z"]) / 2)[0, 1]
    assert v.estimate == pytest.approx(oldham)
    # Derived in the description, it is the same.
    derived = SHARED.replace("y: {unit: board, matters_from: 1}",
                             "y: {unit: microinch, derived: {difference: [z, x]}}")  # fmt: skip
    again = verdict(judged(one(text), frame.drop(columns="y"), head=derived))
    assert (again.code, again.estimate) == ("cannot-tell", pytest.approx(oldham))
    # Balls that truly come together (rough ones lose more) lean, as far as such data can.
    real = columns().assign(z=lambda d: 50 + 0.2 * (d["x"] - 50)).assign(
        y=lambda d: d["z"] - d["x"], w=0.0
    )
    assert verdict(judged(one(text), real, head=SHARED)).code == "leans"


@pytest.mark.parametrize(
    ("y", "kind"),
    [(lambda d: d["x"] + d["z"], "part"), (lambda d: d["x"] / d["z"], "part"),
     (lambda d: d["x"] * d["z"], "part")],
)  # fmt: skip
def test_shared_part_of_a_total_or_a_ratio(
    judged: Judge, one: One, y: Callable[[pd.DataFrame], pd.Series[float]], kind: str
) -> None:
    frame = columns().assign(y=y, w=0.0)
    v = verdict(judged(one(LINK), frame, head=SHARED))
    assert (v.code, v.detail.shared_part, "shared-part" in v.reasons) == ("cannot-tell", kind, True)


def test_shared_part_of_two_ratios_with_one_denominator(judged: Judge, one: One) -> None:
    head = PLAIN.replace("x: {unit: microinch, repeatability_sd: 0.001, lowest: -1000000}",
                         "x: {unit: count, derived: {ratio: [a, c]}}").replace(
        "y: {unit: board, matters_from: 1}",
        "y: {unit: count, derived: {ratio: [b, c]}}\n  a: {unit: count}\n"
        "  b: {unit: count}\n  c: {unit: count}")  # fmt: skip
    rng = np.random.default_rng(3)
    frame = pd.DataFrame({
        "ball": [f"B{i}" for i in range(20)], "a": rng.normal(10, 1, 20),
        "b": rng.normal(10, 1, 20), "c": rng.uniform(1, 5, 20),
    })  # fmt: skip
    v = verdict(judged(one(LINK), frame, head=head))
    assert v.estimate is not None and v.estimate > 0.75
    assert (v.code, v.detail.shared_part) == ("cannot-tell", "denominator")


def test_columns_that_are_no_part_of_one_another_share_none(judged: Judge, one: One) -> None:
    frame = columns().assign(y=lambda d: d["x"] * 0.5 + np.sin(d["z"]), w=lambda d: d["z"] * 2)
    v = verdict(judged(one(LINK), frame, head=SHARED))
    assert (v.code, v.detail.shared_part) == ("backed", None)


# --- limits

LIMIT = "{kind: limit, measure: x, at_least: 20}"


def test_a_limit_is_judged_at_the_last_checkpoint_and_not_over_wear(
    judged: Judge, one: One
) -> None:
    rows = [(f"B{i}", g, v, 0.0) for i in range(4) for g, v in ((0, 60.0), (30, 40.0), (60, 12.0))]
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    v = verdict(judged(one(LIMIT), frame, head=USED))
    assert (v.code, v.detail.judged_at) == ("against", 60)  # type: ignore[attr-defined]
    first = verdict(judged(one(LIMIT.replace("20", "20, at: 0")), frame, head=USED))
    assert (first.code, first.detail.judged_at) == ("backed", None)  # type: ignore[attr-defined]


def test_repeats_of_one_ball_belong_to_its_uncertainty(judged: Judge, one: One) -> None:
    """Means of three from 21 to 23, a gauge said to be exact, and readings that say it is not."""
    wide = [(f"B{i}", m + d) for i, m in enumerate((21.0, 22, 23)) for d in (-4, 0, 4)]
    frame = pd.DataFrame(wide, columns=["ball", "x"]).assign(y=0.0)
    v = verdict(judged(one(LIMIT), frame, head=PLAIN))
    assert v.code == "leans"
    # Pooled over 3 balls with 2 degrees of freedom each; the mean of 3 readings.
    assert v.detail.u == pytest.approx(4 / np.sqrt(3))  # type: ignore[attr-defined]
    tight = frame.assign(x=lambda d: d.groupby("ball")["x"].transform("mean") + d.index % 3 * 0.01)
    assert verdict(judged(one(LIMIT), tight, head=PLAIN)).code == "backed"


def test_the_most_extreme_shot_is_judged_on_itself(judged: Judge, one: One) -> None:
    rows = [(f"B{i}", s, 18.0 if (i, s) == (1, 3) else 30.0) for i in range(3) for s in range(5)]
    frame = pd.DataFrame(rows, columns=["ball", "shot", "x"]).assign(y=0.0)
    keys = {"t": ", order: shot"}
    low = "{kind: limit, measure: x, at_least: 20, take: lowest}"
    v = verdict(judged(one(low), frame, head=PLAIN, table_keys=keys))
    assert (v.code, v.n_rows) == ("against", 15)
    assert verdict(judged(one(LIMIT), frame, head=PLAIN, table_keys=keys)).code == "backed"


def test_one_fail_in_twenty_at_the_limit_is_no_proof(judged: Judge, one: One) -> None:
    """A reading 1.8 gauges short fails at 95%; among twenty balls that takes 2.8."""
    head = PLAIN.replace("repeatability_sd: 0.001", "repeatability_sd: 1")
    at = [22.5] * 19
    short = pd.DataFrame({"ball": [f"B{i}" for i in range(20)], "x": [*at, 18.2], "y": 0.0})
    v = verdict(judged(one(LIMIT), short, head=head))
    assert [r["call"] for r in v.extra["items"]].count("fail") == 1
    assert v.code == "cannot-tell"
    far = short.assign(x=[*at, 17.0])
    assert verdict(judged(one(LIMIT), far, head=head)).code == "against"


def test_a_rule_that_asks_for_several_readings_has_their_zone(judged: Judge, one: One) -> None:
    head = PLAIN.replace("repeatability_sd: 0.001", "repeatability_sd: 3")
    rule = "rule: {change: c, limit: {measure: x, at_least: 20}, reasons: [c]%s}\n"
    frame = pd.DataFrame({"ball": ["B0", "B1"], "x": [30.0, 31.0], "y": 0.0})
    single = judged(one(LIMIT), frame, head=head, more=rule % "").rule_zone
    nine = judged(one(LIMIT), frame, head=head, more=rule % ", mean_of: 9").rule_zone
    assert single is not None and nine is not None
    assert single.guard == pytest.approx(3 * nine.guard)  # type: ignore[operator]


# --- pairs

def sides(names_a: list[str], names_b: list[str]) -> pd.DataFrame:
    rng = np.random.default_rng(6)
    rows = [(n, "a", 1.0, 5 + rng.normal(0, 0.5)) for n in names_a]
    rows += [(n, "b", 1.0, rng.normal(0, 0.5)) for n in names_b]
    return pd.DataFrame(rows, columns=["ball", "lane", "x", "y"])


HIGHER = "{kind: difference, measure: y, by: lane, a: a, b: b, direction: higher%s}"


def test_pairs_of_a_few_shared_names_drop_nobody(judged: Judge, one: One) -> None:
    """Two names of fourteen on both sides: all are used, and the study is asked."""
    frame = sides([f"B{i}" for i in range(8)], [f"B{i}" for i in range(6, 14)])
    j = judged(one(HIGHER % ""), frame, head=PLAIN)
    v = verdict(j)
    assert (v.n_items, v.detail.paired, v.code) == (14, False, "leans")  # type: ignore[attr-defined]
    assert "pairs" in v.reasons
    (asked,) = [w for w in j.study.warnings if w.code == "pairs"]
    assert "`B6`, `B7` under both" in asked.found and asked.line > 1
    said = verdict(judged(one(HIGHER % ", within: ball"), frame, head=PLAIN))
    assert said.detail.paired and set(said.detail.without) == (  # type: ignore[attr-defined]
        {f"B{i}" for i in range(14)} - {"B6", "B7"})  # fmt: skip


def test_pairs_where_all_stand_on_both_sides_or_none_does(judged: Judge, one: One) -> None:
    every = [f"B{i}" for i in range(6)]
    v = verdict(judged(one(HIGHER % ""), sides(every, every), head=PLAIN))
    assert (v.code, v.detail.paired, v.reasons) == ("backed", True, ())  # type: ignore[attr-defined]
    w = verdict(judged(one(HIGHER % ""), sides(every, [f"C{i}" for i in range(6)]), head=PLAIN))
    assert (w.code, w.detail.paired, w.reasons) == ("backed", False, ())  # type: ignore[attr-defined]


# --- few

@pytest.mark.parametrize(
    ("n", "code", "reason"),
    [(3, "leans", "too-few-items"), (4, "backed", "evenly-scattered"),
     (5, "backed", "evenly-scattered"), (6, "backed", "")],
)  # fmt: skip
def test_evenly_scattered_is_said_of_four_and_five(
    judged: Judge, one: One, n: int, code: str, reason: str
) -> None:
    changes = [5.0, 5.1, 4.9, 5.05, 4.95, 5.0][:n]
    v = verdict(judged(one(CHANGE), over_games(changes), head=USED))
    assert (v.code, v.reasons) == (code, (reason,) if reason else ())
    down = verdict(judged(one(CHANGE.replace("up", "down")), over_games(changes), head=USED))
    assert down.code == ("cannot-tell" if n == 3 else "against")


def test_two_twins_that_carry_a_link_are_found(judged: Judge, one: One) -> None:
    """Eight balls without a link, and two far out and close together."""
    x = [1.0, 2, 3, 4, 5, 6, 7, 8, 20, 20.5]
    y = [4.0, 6, 3, 5, 6, 4, 5, 3, 14, 14.5]
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(10)], "x": x, "y": y})
    v = verdict(judged(one(LINK), frame, head=PLAIN))
    assert v.extra["r_loo_min"] > v.extra["r"] / 2  # neither alone carries it
    assert (v.code, v.detail.fragile_item, v.detail.fragile_pair) == ("cannot-tell", "B8", "B9")
    honest = frame.assign(y=[1.1, 2.3, 2.8, 4.1, 5.2, 5.9, 7.1, 8.2, 9.0, 9.9],
                          x=np.arange(1.0, 11))  # fmt: skip
    assert verdict(judged(one(LINK), honest, head=PLAIN)).reasons == ()


def test_ranks_that_go_the_other_way_below_eight(judged: Judge, one: One) -> None:
    frame = pd.DataFrame({
        "ball": [f"B{i}" for i in range(7)], "x": [1.0, 2, 3, 4, 5, 30, 30.5],
        "y": [5.0, 4, 3, 2, 1, 12, 11.5],
    })  # fmt: skip
    v = verdict(judged(one(LINK), frame, head=PLAIN))
    if v.extra["r_spearman"] >= 0:  # five down and two up: the ranks still rise a little
        assert v.code == "cannot-tell" or "fragile" not in v.reasons
    down = frame.assign(x=[1.0, 2, 3, 4, 5, 6, 40], y=[6.0, 5, 4, 3, 2, 1, 30])
    w = verdict(judged(one(LINK), down, head=PLAIN))
    assert (w.code, "fragile" in w.reasons) == ("cannot-tell", True)


def test_no_step_makes_what_is_not_there(judged: Judge, one: One) -> None:
    """Three balls that scatter by ten and fell by 0.2 on average: nothing was found, and so
    nothing of it hangs on the first checkpoint."""
    starts = (83.0, 76.0, 69.6)
    rows = [(f"B{i}", g, 0.0, y) for i, first in enumerate(starts)
            for g, y in zip((0, 10, 20, 40), (first, 76.0, 76.1, 76.0), strict=True)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    change = "{kind: change, measure: y, from: 0, to: 40, direction: any}"
    v = verdict(judged(one(change), frame, head=USED))
    assert v.estimate is not None and -0.5 < v.estimate < 0
    assert "one-step" not in v.reasons


def test_one_step_makes_a_change_and_takes_nothing_from_it(judged: Judge, one: One) -> None:
    games = (0.0, 15.0, 30.0, 45.0, 60.0)
    jump = over_games([5.0, 5.2, 4.8, 5.1, 4.9, 5.0, 5.1, 4.9], games)
    jump.loc[jump["games"] < 60, "y"] = 10.0 + 0.01 * jump["games"]
    v = verdict(judged(one(CHANGE), jump, head=USED))
    assert (v.code, v.reasons, v.detail.one_step_at) == ("backed", ("one-step",), 60)
    steady = over_games([5.0, 5.2, 4.8, 5.1, 4.9, 5.0, 5.1, 4.9], games)
    assert verdict(judged(one(CHANGE), steady, head=USED)).reasons == ()


def test_without_one_step_each_model_counts_once_as_in_the_change(
    judged: Judge, one: One
) -> None:
    """Six of one model go down on the way, two of another up; at the end all stand 8 to 9 higher.
    By model what is left is level, by ball it is a fall."""
    rows = [(f"B{i}", "M" if i < 6 else "N", g, 0.0, y) for i in range(8)
            for g, y in zip((0, 20, 40, 60),
                            (10, 9, 8, 18 + i / 10) if i < 6 else (10, 11, 12, 18 + i / 10),
                            strict=True)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    v = verdict(judged(one(CHANGE), frame, head=USED_MODELS))
    assert v.detail.one_step_at == 60 and v.detail.n_groups == 2
    assert v.detail.one_step_without == pytest.approx(0.0)


def test_no_one_step_makes_what_another_checkpoint_shows_as_well(judged: Judge, one: One) -> None:
    """Up at game 30, back again, and up as far at the end: the end is not the whole story,
    though a line through the others would lie nearly level."""
    games = (0.0, 15.0, 30.0, 45.0, 60.0)
    twice = over_games([5.0, 5.2, 4.8, 5.1, 4.9, 5.0, 5.1, 4.9], games)
    own = twice.groupby("ball")["y"].transform("last")
    for game, part in ((0.0, 0.0), (15.0, 0.2), (30.0, 1.05), (45.0, 0.0), (60.0, 1.0)):
        here = twice["games"] == game
        twice.loc[here, "y"] = 10.0 + part * (own[here] - 10.0)
    v = verdict(judged(one(CHANGE), twice, head=USED))
    assert (v.code, v.reasons) == ("backed", ())


# --- steady on average

def test_items_moved_though_the_average_did_not(judged: Judge, one: One) -> None:
    """Two of ten moved by three margins, one up and one down."""
    changes = [0.0, 0.1, -0.1, 0.05, -0.05, 0.0, 0.1, -0.1, 1.3, -1.3]
    head = USED.replace("matters_from: 1", "matters_from: 1, repeatability_sd: 0.05")
    v = verdict(judged(one(STEADY), over_games(changes), head=head))
    assert v.strip is not None and v.strip.high is not None and v.strip.high < 1
    assert (v.code, v.detail.moved_items) == ("cannot-tell", ("B8", "B9"))
    assert v.reasons == ("items-moved",)
    # One that moved is one in ten, and a coarser gauge explains both.
    lone = verdict(judged(one(STEADY), over_games([*changes[:9], 0.0]), head=head))
    assert lone.code == "backed"
    coarse = head.replace("repeatability_sd: 0.05", "repeatability_sd: 0.2")
    assert "items-moved" not in verdict(
        judged(one(STEADY), over_games(changes), head=coarse)).reasons  # fmt: skip
    # Where nobody knows the gauge, it may have been that: a lean.
    unknown = verdict(judged(one(STEADY), over_games(changes), head=USED))
    assert (unknown.code, unknown.detail.gauge_unknown) == ("leans", True)


# --- straight is not settled

BREAK_IN = "{kind: break-in, measure: y, by: 50, from: 0, to: 60}"


def bent(at: dict[float, float], n: int = 8, scatter: float = 0.05) -> pd.DataFrame:
    rng = np.random.default_rng(8)
    rows = [(f"B{i}", g, 1.0, 20 - v * (1 + rng.normal(0, scatter)))
            for i in range(n) for g, v in at.items()]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "x", "y"])


def test_straight_line_has_not_leveled_off_because_the_checkpoint_is_late(
    judged: Judge, one: One
) -> None:
    straight = bent({0: 0.0, 50: 17.0, 60: 20.4}, scatter=0.01)
    v = verdict(judged(one(BREAK_IN), straight, head=USED))
    assert 0.8 < v.extra["share_low90"] < v.extra["share_high90"] < 1.25
    assert (v.code, "straight" in v.reasons) == ("cannot-tell", True)
    settled = bent({0: 0.0, 50: 20.0, 60: 20.1}, scatter=0.005)
    assert verdict(judged(one(BREAK_IN), settled, head=USED)).code == "backed"


def test_straight_is_said_where_what_is_left_still_matters(judged: Judge, one: One) -> None:
    """The pace drops, and 3 boards of 20 are still to come where one matters."""
    left = bent({0: 0.0, 20: 17.0, 60: 20.0}, scatter=0.01)
    v = verdict(judged(one(BREAK_IN.replace("50", "20")), left, head=USED))
    assert v.detail.slows == "slows"  # type: ignore[attr-defined]
    assert (v.code, "straight" in v.reasons) == ("leans", True)


def test_overshoots_are_against_it(judged: Judge, one: One) -> None:
    v = verdict(judged(one(BREAK_IN), bent({0: 0.0, 50: 30.0, 60: 20.0}, scatter=0.01), head=USED))
    assert (v.code, "overshoots" in v.reasons) == ("against", True)
    low = verdict(judged(one(BREAK_IN), bent({0: 0.0, 50: 5.0, 60: 20.0}, scatter=0.01), head=USED))
    assert (low.code, "overshoots" in low.reasons) == ("against", False)


def test_what_was_done_and_went_again_is_no_late_drop(judged: Judge, one: One) -> None:
    """Nearly all of it was done by game 10, had gone again by 30, and was done a second time."""
    again = bent({0: 0.0, 10: 19.0, 30: 4.0, 60: 20.0}, scatter=0.01)
    study = judged(one(BREAK_IN.replace("50", "30")), again, head=USED)
    assert verdict(study).detail.done_before == 10  # type: ignore[attr-defined]
    words = say(study, "viewer").claims["c"]
    assert words.says.startswith("By game 10 most of the drop was done on average, and by game 30")
    late = judged(one(BREAK_IN.replace("50", "30")), bent({0: 0.0, 10: 1.0, 30: 4.0, 60: 20.0},
                  scatter=0.01), head=USED)  # fmt: skip
    assert verdict(late).detail.done_before is None  # type: ignore[attr-defined]


# --- a step is not a drift

TREND = "{kind: trend, measure: y, over: shot, direction: up}"


def series(n: int, shape: Callable[[int], float], noise: float = 0.5) -> pd.DataFrame:
    rng = np.random.default_rng(12)
    rows = [(f"B{i}", k, 1.0, shape(k) + rng.normal(0, noise)) for i in range(n) for k in range(40)]
    return pd.DataFrame(rows, columns=["ball", "shot", "x", "y"])


@pytest.mark.parametrize("n", [6, 1])
def test_step_is_no_drift(judged: Judge, one: One, n: int) -> None:
    keys = {"t": ", order: shot"}
    jumped = verdict(judged(one(TREND), series(n, lambda k: 2.0 * (k >= 25)), head=PLAIN,
                            table_keys=keys))  # fmt: skip
    assert jumped.estimate is not None and jumped.estimate > 0
    assert (jumped.code, "step" in jumped.reasons) == ("cannot-tell", True)
    assert jumped.detail.step_at == 25
    crept = verdict(judged(one(TREND), series(n, lambda k: 0.06 * k), head=PLAIN, table_keys=keys))
    assert (crept.code, "step" in crept.reasons) == ("backed", False)


#: One level, one jump and another level, without any scatter, at one place or at each ball's own;
#: and a drift with as little: (what a ball reads at a shot), whether it is a step, and where.
@pytest.mark.parametrize(("shape", "step", "at"), [
    (lambda ball, shot: (2.0 + 0.1 * ball) * (shot >= 6), True, 6),
    (lambda ball, shot: (2.0 + 0.1 * ball) * (shot >= 3 + ball), True, None),
    (lambda ball, shot: (0.2 + 0.01 * ball) * shot, False, None),
])  # fmt: skip
def test_one_exact_step_is_no_drift(
    judged: Judge, one: One, shape: Callable[[int, int], float], step: bool, at: float | None
) -> None:
    rows = [(f"B{i}", k, 1.0, 10 + shape(i, k)) for i in range(6) for k in range(12)]
    frame = pd.DataFrame(rows, columns=["ball", "shot", "x", "y"])
    v = verdict(judged(one(TREND), frame, head=PLAIN, table_keys={"t": ", order: shot"}))
    assert (v.code, "step" in v.reasons) == ("cannot-tell" if step else "backed", step)
    assert v.detail.step_at == at


def test_a_step_that_all_share_shows_in_two_readings_before_it(judged: Judge, one: One) -> None:
    rows = [(f"B{i}", k, 1.0, 10 + (2.0 + 0.1 * i) * (k >= 2) + 0.02 * (-1) ** (i + k))
            for i in range(6) for k in range(5)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "shot", "x", "y"])
    v = verdict(judged(one(TREND), frame, head=PLAIN, table_keys={"t": ", order: shot"}))
    assert (v.code, "step" in v.reasons, v.detail.step_at) == ("cannot-tell", True, 2)


def test_a_single_series_has_a_range_that_allows_for_neighbors(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(4)
    e = [0.0]
    for _ in range(59):
        e.append(0.8 * e[-1] + rng.normal(0, 1))
    frame = pd.DataFrame({"ball": "B", "shot": np.arange(60), "x": 1.0, "y": e})
    v = verdict(judged(one(TREND), frame, head=PLAIN, table_keys={"t": ", order: shot"}))
    from explainer.analysis.drift import theil_sen

    plain = theil_sen(frame["shot"], frame["y"])
    assert v.low is not None and v.high is not None
    assert v.high - v.low > 1.5 * (plain.high - plain.low)  # type: ignore[union-attr,operator]


# --- gauge

def test_gauge_too_coarse_for_a_link_between_balls(judged: Judge, one: One) -> None:
    frame = pd.DataFrame({
        "ball": [f"B{i}" for i in range(8)], "x": np.arange(8.0),
        "y": np.arange(8.0) + [0.1, -0.1, 0.2, 0, -0.2, 0.1, 0, -0.1],
    })  # fmt: skip
    assert verdict(judged(one(LINK), frame, head=PLAIN)).code == "backed"
    coarse = PLAIN.replace("repeatability_sd: 0.001", "repeatability_sd: 2")
    v = verdict(judged(one(LINK), frame, head=coarse))
    assert (v.code, v.reasons) == ("leans", ("gauge-too-coarse",))


def test_gauge_too_coarse_for_a_break_in_and_a_journey(judged: Judge, one: One) -> None:
    coarse = USED.replace("matters_from: 1", "matters_from: 1, repeatability_sd: 30")
    frame = bent({0: 0.0, 50: 20.0, 60: 20.1}, scatter=0.005)
    v = verdict(judged(one(BREAK_IN), frame, head=coarse))
    assert (v.code, "gauge-too-coarse" in v.reasons) == ("leans", True)
    rng = np.random.default_rng(3)
    rows = []
    for i in range(8):
        for k in range(5):
            x = rng.normal(0, 1)
            rows.append((f"B{i}", k * 10, x, x + rng.normal(0, 0.1)))
    walk = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    assert verdict(judged(one(TRACKS), walk, head=USED)).code == "backed"
    blind = USED.replace("repeatability_sd: 0.001", "repeatability_sd: 1")
    w = verdict(judged(one(TRACKS), walk, head=blind))
    assert (w.code, "gauge-too-coarse" in w.reasons) == ("leans", True)


def test_two_operators_say_nothing_against_a_gauge(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(1)
    rows = [(f"B{i}", o, r, i * 0.1 + rng.normal(0, 1), 1.0)
            for i in range(6) for o in "PQ" for r in (1, 2)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "who", "again", "y", "x"])
    text = "{kind: repeatability, measure: y, operator: who, repeat: again%s}"
    for extra in ("", ", detects: 0.1"):
        v = verdict(judged(one(text % extra), frame, head=PLAIN))
        assert (v.code, "too-few-items" in v.reasons) == ("cannot-tell", True)


def test_narrow_zone_is_not_left_for_sure_by_a_range_as_wide(judged: Judge, one: One) -> None:
    text = "{kind: no-change, measure: y, from: 0, to: 60, margin: 0.01}"
    changes = np.array([-1.0, 1, -1, 1, -1, 1, -1, 1]) * 1.2 + 0.9
    v = verdict(judged(one(text), over_games(changes.tolist()), head=USED))
    assert v.strip is not None and v.strip.low is not None and v.strip.low > 0.01
    assert (v.code, "narrow-zone" in v.reasons) == ("cannot-tell", True)
    far = verdict(judged(one(text), over_games((changes + 2).tolist()), head=USED))
    assert (far.code, "narrow-zone" in far.reasons) == ("against", False)


# --- only: a claim about the one that is left

def test_one_item_picked_is_held_to_the_gauge(judged: Judge, one: One) -> None:
    head = USED.replace("matters_from: 1", "matters_from: 1, repeatability_sd: 0.5")
    text = CHANGE.replace("kind: change", "kind: change, only: {ball: B1}")
    v = verdict(judged(one(text), over_games([0.1, 5.0, -3.0]), head=head))
    assert (v.code, v.n_items, v.estimate) == ("backed", 1, 5.0)
    assert v.high is not None and v.high - 5.0 == pytest.approx(1.959964 * 0.5 * np.sqrt(2))
    small = verdict(judged(one(text), over_games([0.1, 0.5, -3.0]), head=head))
    assert small.code == "cannot-tell"
    unknown = verdict(judged(one(text), over_games([0.1, 5.0, -3.0]), head=USED))
    assert unknown.code == "not-tested" and "too-few-items" in unknown.reasons


# Five balls at 0, 20 and 40 games: B0 was not read at 40 and B4 not at 20.
GAPS = pd.DataFrame(
    [(f"B{i}", g, 60.0 - g / 4 + i % 3, 1.0) for i in range(5) for g in (0, 20, 40)
     if (i, g) not in {(0, 40), (4, 20)}],
    columns=["ball", "games", "x", "y"],
)  # fmt: skip


@pytest.mark.parametrize(
    ("test", "rows"),
    [
        ("{kind: change, measure: x, from: 0, to: 40, direction: down}", 8),
        ("{kind: no-change, measure: x, from: 0, to: 20, margin: 2}", 8),
        # B1, B2 and B3 alone have all three readings.
        ("{kind: break-in, measure: x, from: 0, by: 20, to: 40}", 9),
        # At 0 and 20 the first four; after that B1, B2 and B3 at 40.
        ("{kind: settles, measure: x, from: 0, by: 20, to: 40, margin: 2}", 11),
    ],
)
def test_rows_of_items_that_are_not_used_are_not_counted(
    judged: Judge, one: One, test: str, rows: int
) -> None:
    assert verdict(judged(one(test), GAPS, head=USED)).n_rows == rows


def test_a_number_without_a_range_is_judged_by_none(judged: Judge, one: One) -> None:
    """Three balls leave a link without a range: luck can make nothing of it."""
    three = pd.DataFrame({"ball": ["A", "B", "C"], "x": [1.0, 2.0, 3.5], "y": [4.0, 5.0, 7.0]})
    link = "{kind: association, x: x, y: y, direction: positive}"
    study = judged(one(link), three, head=PLAIN)
    assert verdict(study).low is None and study.luck.judged == 0
    more = pd.DataFrame({"ball": list("ABCDE"), "x": [1.0, 2, 4, 3, 6], "y": [4.0, 5, 7, 5, 6]})
    assert judged(one(link), more, head=PLAIN).luck.judged == 1


@pytest.mark.parametrize("test", [
    "{kind: change, measure: y, from: 0, to: 60, direction: up, at_least: 5}",
    "{kind: change, measure: y, from: 0, to: 60, direction: up}",
    "{kind: trend, measure: y, over: games, direction: up, at_least: 0.5}",
])
def test_models_that_differ_by_a_hair_did_not_go_two_ways(
    judged: Judge, one: One, test: str
) -> None:
    """The one by +0.03, the other by −0.05, with a scatter of 0.1: neither rose by 5, or by the 1
    that counts, and nothing shows that they differ."""
    wobble = [0.12, -0.13, 0.11, 0.04, -0.12, 0.0, 0.13, -0.11, -0.09, -0.06]
    assert np.mean(wobble[::2]) > 0 > np.mean(wobble[1::2])
    judgement = judged(one(test), over_games(wobble, (0, 30, 60)), head=USED_MODELS)
    v = verdict(judgement)
    assert (v.code, v.detail.groups_apart) == ("against", False)
    assert "did not all go the same way" not in " ".join(say(judgement).claims["c"].because)
    # A group that plainly went the other way, past what counts, is still told apart.
    far = [c + (3.0 if i % 2 else -3.0) for i, c in enumerate(wobble)]
    if "at_least" not in test:
        sloped = verdict(judged(one(test), over_games([c + 1 for c in far], (0, 30, 60)),
                                head=USED_MODELS))  # fmt: skip
        assert sloped.detail.groups_apart and sloped.code in ("leans", "cannot-tell")


def test_a_number_of_a_series_is_a_level_where_two_items_have_it() -> None:
    """Two balls that share their shots are seen apart at each; one of one alone is none."""
    shots, balls = np.tile(np.arange(1.0, 7.0), 2), np.repeat(["A", "B"], 6)
    assert evidence.levels_of(shots, balls).tolist() == shots.tolist()
    alone = np.append(shots, 7.0), np.append(balls, "B")
    assert set(evidence.levels_of(*alone).tolist()) != set(alone[0].tolist())


def test_groups_are_held_alike_where_two_items_are_to_spare(judged: Judge, one: One) -> None:
    """Each read under both: four of two models are two to spare, three are one and no range."""
    claim = one("{kind: difference, measure: y, by: oil, a: short, b: long, within: ball}")
    rows = [(ball, model, 0, oil, 10.0, y + (oil == "short") * more)
            for ball, model, y, more in (("A", "m", 10, 1.0), ("B", "m", 12, 1.6),
                                         ("C", "n", 11, 0.8), ("D", "n", 14, 2.1))
            for oil in ("short", "long")]  # fmt: skip
    columns = ["ball", "model", "games", "oil", "x", "y"]
    by_model = judged(claim, pd.DataFrame(rows, columns=columns), head=IN_MODELS).verdict("c")
    assert "groups" in by_model.method and by_model.detail.n_groups == 2
    fewer = judged(claim, pd.DataFrame(rows[:6], columns=columns), head=IN_MODELS).verdict("c")
    assert "groups" not in fewer.method
