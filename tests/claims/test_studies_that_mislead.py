"""Small studies that mislead a reanalysis, of kinds nobody asks about first; each beside one that
is sound, so that no rule is a rule that always holds back."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from explainer.claims.results import results
from explainer.claims.verdict import Judgement, Verdict
from explainer.words.say import say

Judge = Callable[..., Judgement]
One = Callable[..., str]

HEAD = """\
title: A test study
question: Does it?
tested: {{each: ball{tested}}}
use: {{column: games, term: games rolled, unit: game}}
measures:
  y: {{term: total hook, unit: board, matters_from: 1{y}}}
"""
SERIES = """\
title: A test study
question: Does it?
tested: {each: ball}
measures:
  y: {term: total hook, unit: board, matters_from: 1}
"""


def head(tested: str = "", y: str = "") -> str:
    return HEAD.format(tested=tested, y=y)


def balls(n: int, rise: float, uses: tuple[int, ...] = (0, 10, 20), *, name: str = "B",
          seed: int = 1, own: float = 0.2, noise: float = 0.1) -> pd.DataFrame:  # fmt: skip
    """y of n balls over use, each with a rise of its own about ``rise``."""
    rng = np.random.default_rng(seed)
    rows = []
    for i in range(n):
        start, mine = rng.normal(12, 1), rng.normal(rise, own)
        rows += [(f"{name}{i}", u, start + mine * u / uses[-1] + rng.normal(0, noise))
                 for u in uses]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "y"])


def thrown(n: int, shots: int, *, name: str, seed: int = 2, level: float = 10.0,
           drift: float = -0.05) -> pd.DataFrame:  # fmt: skip
    """y of n balls over shots that all lose as much with each."""
    rng = np.random.default_rng(seed)
    rows = []
    for i in range(n):
        start = rng.normal(level, 0.4)
        rows += [(f"{name}{i}", k + 1, start + drift * k + rng.normal(0, 0.3))
                 for k in range(shots)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "shot", "y"])


def only(j: Judgement) -> Verdict:
    (v,) = j.verdicts
    results(j)
    return v


def told(j: Judgement) -> str:
    words = say(j).claims["c"]
    assert not [d for key, d in j.memo.items() if "defect" in str(key) and d]
    return " ".join([*words.because, *words.beside])


# --- an error that all balls share at a checkpoint, in every kind it touches

ON_DAYS = [
    "{kind: no-worse, measure: y, from: 20, to: 0, worse: up, margin: 1}",
    "{kind: no-difference, measure: y, by: games, a: 10, b: 0, margin: 1}",
    "{kind: settles, measure: y, from: 0, by: 20, to: 40, direction: up, margin: 1}",
    "{kind: trend, measure: y, over: games, direction: up}",
    "{kind: share-of-items, measure: y, from: 0, to: 20, direction: up, share: most}",
    "{kind: share-of-items, measure: y, from: 0, to: 20, direction: up, share: every}",
    "{kind: steps, measure: y, by: games, direction: up}",
    "{kind: ranking, measure: y, by: games, first: 40}",
    "{kind: mean-is, measure: y, at_least: 12, at: 20}",
    "{kind: limit, measure: y, at_least: 10, at: 20}",
    "{kind: population-limit, measure: y, at_least: 10, share: 0.6, at: 20}",
    "{kind: since, measure: y, over: games, since: 20, within: 5, direction: up}",
    "{kind: crossing, measure: y, limit: 16, over: games, after: 15, within: 15}",
]


@pytest.mark.parametrize("test", ON_DAYS)
def test_a_declared_shared_error_is_in_every_claim_it_touches(
    judged: Judge, one: One, test: str
) -> None:
    """Eight balls three boards up from 20 games on; an error of 3 a day could do that."""
    frame = balls(8, 0.0, (0, 5, 10, 20, 30, 40))
    if "trend" in test or "steps" in test or "ranking" in test:
        frame["y"] += frame["games"] / (2 if "ranking" in test else 10)
    else:
        frame.loc[frame["games"] >= 20, "y"] += 8.0 if "crossing" in test else 3.0
    gauge = ", repeatability_sd: 0.1"
    plain = only(judged(one(test), frame, head=head(y=gauge)))
    wide = only(judged(one(test), frame, head=head(", shared_sd: {y: 3}", gauge)))
    small = only(judged(one(test), frame, head=head(", shared_sd: {y: 0.01}", gauge)))
    assert (plain.code, wide.code in ("leans", "cannot-tell"), small.code) == (
        "backed", True, "backed")  # fmt: skip
    assert wide.detail.design.shared_sd == 3
    j = judged(one(test), frame, head=head(", shared_sd: {y: 3}", gauge))
    assert "An error of about 3 boards that all balls may share" in told(j)


def test_nobody_looked_for_a_shared_error_is_said_of_a_trend_but_not_of_a_level(
    judged: Judge, one: One
) -> None:
    frame = balls(8, 4.0, (0, 5, 10, 20, 30, 40))
    trend = only(judged(one("{kind: trend, measure: y, over: games, direction: up}"), frame,
                        head=head()))  # fmt: skip
    level = only(judged(one("{kind: mean-is, measure: y, at_least: 2}"), frame, head=head()))
    assert (trend.code, trend.detail.design.unshared) == ("backed", True)
    assert (level.code, level.detail.design.unshared) == ("backed", False)


# --- means over unequal stretches of use

GAP = "{kind: difference, measure: y, by: oil, a: a, b: b, direction: lower}"
COMPARED = [
    GAP, "{kind: ranking, measure: y, by: oil, first: b}",
    "{kind: no-worse, measure: y, by: oil, a: b, b: a, worse: down, margin: 1}",
]


@pytest.mark.parametrize("test", COMPARED)
def test_groups_thrown_unequally_often_are_held_to_the_stretch_they_share(
    judged: Judge, one: One, test: str
) -> None:
    """Balls that wear alike, thrown 60 times and 12 times: the former read lower for it."""
    frame = pd.concat([thrown(6, 60, name="A").assign(oil="a"),
                       thrown(6, 12, name="Z").assign(oil="b")])  # fmt: skip
    keys = {"t": ", order: shot"}
    j = judged(one(test), frame, head=SERIES, table_keys=keys)
    if "no-worse" not in test:
        v = only(j)
        assert (v.code, "unequal-use" in v.reasons) == ("cannot-tell", True)
        assert "From 1 to 12, where all of them were read" in told(j)
    apart = pd.concat([thrown(6, 60, name="A", level=7.0).assign(oil="a"),
                       thrown(6, 12, name="Z").assign(oil="b")])  # fmt: skip
    j = judged(one(test), apart, head=SERIES, table_keys=keys)
    assert (only(j).code, only(j).reasons) == ("backed", ())
    assert "which comes to the same" in told(j)


def test_sides_that_share_no_checkpoint_are_judged_at_each_alone(judged: Judge, one: One) -> None:
    """Two sides six apart throughout; one ball was read early only, and one late only."""
    uses = (0, 10, 20, 30)
    frame = pd.concat([balls(6, -1.0, uses, name="A").assign(oil="a"),
                       balls(6, -1.0, uses, name="Z", seed=4).assign(oil="b")])  # fmt: skip
    frame.loc[frame["oil"] == "b", "y"] += 6
    frame = frame[~(frame["ball"].eq("A0") & frame["games"].lt(20))]
    frame = frame[~(frame["ball"].eq("Z2") & frame["games"].gt(10))]
    v = only(judged(one(GAP), frame, head=head()))
    assert ("unequal-use" in v.reasons, v.detail.design.unequal) == (False, True)
    late = frame["oil"].eq("b") & frame["games"].eq(30)
    frame.loc[late, "y"] -= 6  # at one of the four they read alike
    assert "unequal-use" in only(judged(one(GAP), frame, head=head())).reasons


def test_a_window_over_checkpoints_that_one_group_never_had(judged: Judge, one: One) -> None:
    uses = (0, 10, 20, 40, 60)
    long = balls(6, -6.0, uses, name="A").assign(oil="a")
    short = balls(6, -6.0, uses, name="Z", seed=4).assign(oil="b")
    frame = pd.concat([long, short[short["games"] <= 10]])
    v = only(judged(one(GAP.replace("lower}", "lower, at: [0, 60]}")), frame, head=head()))
    assert (v.code, "unequal-use" in v.reasons) == ("cannot-tell", True)
    w = only(judged(one(GAP.replace("lower}", "lower, at: 10}")), frame, head=head()))
    assert ("unequal-use" in w.reasons, w.detail.design.unequal) == (False, False)


def test_conditions_thrown_in_turn_are_no_unequal_stretches(judged: Judge, one: One) -> None:
    """Odd shots on the one oil and even ones on the other: no number is shared, which is sound."""
    every = thrown(6, 40, name="A")
    frame = every.assign(oil=np.where(every["shot"] % 2 == 1, "a", "b"))
    frame.loc[frame["oil"] == "a", "y"] -= 2.0
    j = judged(one(GAP.replace("lower}", "lower, within: ball}")), frame, head=SERIES,
               table_keys={"t": ", order: shot"})  # fmt: skip
    assert (only(j).code, only(j).reasons, only(j).detail.design.unequal) == ("backed", (), False)


# --- names on both sides, in every comparison

@pytest.mark.parametrize("test", [
    "{kind: no-difference, measure: y, by: oil, a: a, b: b, margin: 1}",
    "{kind: no-worse, measure: y, by: oil, a: a, b: b, worse: up, margin: 1}",
])  # fmt: skip
def test_a_few_shared_names_drop_nobody_from_any_comparison(
    judged: Judge, one: One, test: str
) -> None:
    """Four names on both sides read alike, and eight others four boards apart."""
    rng = np.random.default_rng(3)
    rows = [(f"B{i}", "a", 10 + rng.normal(0, 0.1) + (0 if i < 4 else 4)) for i in range(12)]
    rows += [(f"B{i}" if i < 4 else f"Z{i}", "b", 10 + rng.normal(0, 0.1)) for i in range(12)]
    frame = pd.DataFrame(rows, columns=["ball", "oil", "y"])
    j = judged(one(test), frame, head=SERIES)
    v = only(j)
    assert (v.code, v.n_items, "pairs" in v.reasons) == ("cannot-tell", 20, True)
    assert [w.code for w in j.study.warnings].count("pairs") == 1
    gauges = frame.rename(columns={"oil": "gauge"}).query("ball.str.startswith('B')")
    v = only(judged(one(test.replace("by: oil", "by: gauge")), gauges, head=SERIES))
    assert (v.code, v.n_items, len(v.detail.without)) == ("backed", 4, 8)


# --- models that go apart

@pytest.mark.parametrize("test", [
    "{kind: trend, measure: y, over: games, direction: down}",
    "{kind: since, measure: y, over: games, since: 20, within: 5, direction: down}",
    "{kind: settles, measure: y, from: 0, by: 20, to: 50, direction: down, margin: 1}",
    "{kind: no-worse, measure: y, from: 0, to: 50, worse: up, margin: 1}",
    "{kind: share-of-items, measure: y, from: 0, to: 50, direction: down, share: most}",
])  # fmt: skip
def test_a_model_that_goes_the_other_way_is_not_outvoted(
    judged: Judge, one: One, test: str
) -> None:
    def of(fall: float, rise: float) -> pd.DataFrame:
        uses = (0, 5, 10, 20, 30, 40, 50)
        kinds = [balls(12, 0, uses, name="A"), balls(4, 0, uses, name="Z", seed=7)]
        for frame, size, name in zip(kinds, (fall, rise), ("one", "other"), strict=True):
            late = frame["games"] / 50 if "trend" in test else frame["games"] >= 20
            frame["y"] += size * late
            frame["model"] = name
        return pd.concat(kinds)

    gauged = head(", group: model", ", repeatability_sd: 0.1")
    alike = only(judged(one(test), of(-5, -4), head=gauged))
    j = judged(one(test), of(-5, 2), head=gauged)
    assert (alike.code, only(j).code) == ("backed", "leans")
    assert ("groups" in only(j).reasons, only(j).detail.groups_apart) == (True, True)
    assert "The 2 models did not" in told(j)


# --- limits

def test_a_limit_for_all_such_balls_is_no_average_over_wear(judged: Judge, one: One) -> None:
    """From 30 down to 10, with a limit of 15: on average they meet it, and worn they don't."""
    frame = balls(16, -20.0, (0, 20, 40, 60)).assign(y=lambda f: f["y"] + 18)
    test = "{kind: population-limit, measure: y, at_least: 15, share: 0.9%s}"
    j = judged(one(test % ""), frame, head=head())
    assert (only(j).code, only(j).n_rows) == ("against", 16)
    assert "60 games" in say(j).claims["c"].says
    first = only(judged(one(test % ", at: 0"), frame, head=head()))
    assert first.code == "backed"


def test_the_only_reading_at_the_last_checkpoint_left_out_by_hand(judged: Judge, one: One) -> None:
    """Without it the last checkpoint is another one; nothing is said to be untested for that."""
    frame = pd.concat([balls(6, 0.0), pd.DataFrame({"ball": ["B0"], "games": [30], "y": [40.0]})])
    test = "{kind: limit, measure: y, at_most: 20%s}"
    out = "excluded: [{table: t, row: 20, why: a scratch}]\n"
    gauged = head(y=", repeatability_sd: 0.1")
    v = only(judged(one(test % ""), frame, head=gauged, more=out))
    assert (v.n_items, "exclusion-decides" in v.reasons) == (6, True)
    w = only(judged(one(test % ", at: 30"), frame, head=gauged, more=out))
    assert (w.code, "exclusion-decides" in w.reasons) == ("not-tested", True)
    u = only(judged(one(test % ", at: 20"), frame, head=gauged, more=out))
    assert (u.code, u.reasons) == ("backed", ())


# --- what goes with a gauge or a lane, whatever the kind

@pytest.mark.parametrize("test", [
    "{kind: since, measure: y, over: games, since: 30, within: 10, direction: up}",
    "{kind: trend, measure: y, over: games, direction: up}",
    "{kind: change, measure: y, from: [0, 20], to: [30, 60], direction: up}",
    "{kind: crossing, measure: y, limit: 13.5, over: games, after: 30, within: 20}",
])  # fmt: skip
def test_a_gauge_that_was_changed_on_the_way_is_found(judged: Judge, one: One, test: str) -> None:
    frame = balls(8, 0.0, (0, 10, 20, 30, 40, 60))
    frame["y"] += np.where(frame["games"] >= 30, 3.0, 0.0)
    parted = frame.assign(gauge=np.where(frame["games"] >= 30, "G2", "G1"))
    mixed = frame.assign(gauge=np.where(frame["ball"].str[-1].astype(int) % 2 == 0, "G2", "G1"))
    assert "confounded" in only(judged(one(test), parted, head=head())).reasons
    assert "confounded" not in only(judged(one(test), mixed, head=head())).reasons


def test_a_lane_a_model_is_found_in_an_order_and_in_steps(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(5)
    rows = [(f"{m}{i}", m, f"L{g}", 10 + 2 * g + rng.normal(0, 0.4))
            for g, m in enumerate("abc") for i in range(6)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "oil", "lane", "y"])
    for test in ("{kind: ranking, measure: y, by: oil, first: c}",
                 "{kind: steps, measure: y, by: oil, direction: up}"):  # fmt: skip
        v = only(judged(one(test), frame, head=SERIES))
        assert ("confounded" in v.reasons, v.detail.design.confounded_with) == (True, "oil")
        both = frame.assign(lane=[f"L{i % 2}" for i in range(len(frame))])
        assert "confounded" not in only(judged(one(test), both, head=SERIES)).reasons


def test_operators_are_set_against_boards_and_not_against_a_share(judged: Judge, one: One) -> None:
    """Two people who read half a board apart could have made a share of 0.4 boards' change."""
    def study(apart: float, fall: float) -> Verdict:
        frame = balls(8, 0.0, own=0.02, noise=0.02)
        frame["y"] -= frame["games"].map({0: 0.0, 10: fall, 20: fall})
        frame["operator"] = np.where(frame["games"] == 0, "Ann", "Bea")
        check = pd.DataFrame([(f"G{i}", o, k, 10 + i + (apart if o == "Bea" else 0) + 0.01 * k)
                              for i in range(6) for o in ("Ann", "Bea") for k in (1, 2)],
                             columns=["ball", "operator", "again", "y"])  # fmt: skip
        test = "{kind: break-in, measure: y, from: 0, by: 10, to: 20, table: t}"
        more = ("  - {id: g, report_says: It is good., test: {kind: repeatability, table: check, "
                "measure: y, operator: operator, repeat: again}}\n")  # fmt: skip
        j = judged(one(test) + more, {"t": frame, "check": check}, head=head(y=""))
        return j.verdicts[0]

    assert (study(0.5, 0.45).code, study(0.5, 8.0).code) == ("leans", "backed")


# --- who left between two windows

def test_balls_that_fell_and_left_between_two_windows(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(8)

    def frame(by_fall: bool) -> pd.DataFrame:
        rows = []
        for i in range(16):
            start, mine = rng.normal(10, 1), -2.0 if i % 2 else 2.0
            leaves = mine < 0 if by_fall else i < 2
            mine = mine if by_fall else 2.0
            rows += [(f"B{i}", k, start + (mine + rng.normal(0, 0.3)) * k / 60)
                     for k in range(1, 31 if leaves else 61)]  # fmt: skip
        return pd.DataFrame(rows, columns=["ball", "shot", "y"])

    test = "{kind: change, measure: y, from: [1, 10], to: [51, 60], direction: up}"
    keys = {"t": ", order: shot"}
    fooled = only(judged(one(test), frame(True), head=SERIES, table_keys=keys))
    sound = only(judged(one(test), frame(False), head=SERIES, table_keys=keys))
    assert ("dropouts" in fooled.reasons, fooled.code != "backed") == (True, True)
    assert (sound.code, sound.detail.design.left) == ("backed", ("B0", "B1"))


# --- a common part that stands in another table

def test_two_ratios_whose_common_part_stands_in_a_third_table(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(9)
    names, d = [f"B{i}" for i in range(12)], rng.lognormal(0, 0.6, 12)
    p, q = rng.normal(50, 5, (2, 12))
    sheets = {
        "a": pd.DataFrame({"ball": names, "u": p / d}),
        "b": pd.DataFrame({"ball": names, "w": q / d}),
        "c": pd.DataFrame({"ball": names, "p": p, "q": q, "d": d}),
    }
    plain = SERIES.replace("  y: {term: total hook, unit: board, matters_from: 1}\n", "".join(
        f"  {m}: {{unit: board}}\n" for m in "uwpqd"))  # fmt: skip
    test = "{kind: association, x: u, y: w, direction: positive}"
    v = only(judged(one(test), sheets, head=plain))
    assert (v.code, "shared-part" in v.reasons) == ("cannot-tell", True)
    sheets["c"]["d"] = rng.lognormal(0, 0.6, 12)
    w = only(judged(one(test), sheets, head=plain))
    assert (w.code, "shared-part" in w.reasons) == ("backed", False)
