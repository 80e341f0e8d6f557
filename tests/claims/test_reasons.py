"""Every reason a verdict can give, triggered; and what it leaves of the verdict."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from statsmodels.stats.power import TTestPower

from explainer.claims.verdict import REASONS, Judgement
from explainer.editions.numbers import claim_numbers
from explainer.words.quantity.numbers import p_words
from explainer.words.quantity.sizes import Sized
from explainer.words.say import AUDIENCES, say

HEAD = """\
title: A test study
question: Does it?
tested: {each: ball}
use: {column: games, term: games rolled, unit: game}
measures:
  x: {term: cover roughness, unit: microinch, repeatability_sd: 0.001, lowest: -1000000}
  y: {term: total hook, unit: board, matters_from: 1}
"""
IN_MODELS = HEAD.replace("{each: ball}", "{each: ball, group: model}")

Judge = Callable[..., Judgement]
One = Callable[..., str]

CHANGE = "{kind: change, measure: y, from: 0, to: 10, direction: up}"
TRACKS = "{kind: tracks-within, x: x, y: y, direction: positive}"


def balls(n: int) -> list[str]:
    return [f"B{i}" for i in range(n)]


def table(before: list[float], after: list[float], **more: object) -> pd.DataFrame:
    """y at 0 and 10 games; x is there so that the description is complete."""
    n = len(before)
    rows = [(b, "M", 0, 1.0, y) for b, y in zip(balls(n), before, strict=True)]
    rows += [
        (b, "M" if i % 2 else "N", 10, 2.0, y)
        for i, (b, y) in enumerate(zip(balls(n), after, strict=True))
    ]
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    frame["model"] = frame["ball"].map({b: "MN"[i % 2] for i, b in enumerate(balls(n))})
    return frame.assign(**more)


def walk(
    slope_within: float,
    slope_between: float,
    *,
    n: int = 8,
    seed: int = 1,
    noise: float = 0.1,
    uses: tuple[int, ...] = (0, 5, 10, 15),
    spread: float = 10.0,
    shared: float = 0.0,
) -> pd.DataFrame:
    """x wanders within each ball; y follows it by one slope within and another between."""
    rng = np.random.default_rng(seed)
    rows = []
    for i, ball in enumerate(balls(n)):
        level = spread * i
        for k, use in enumerate(uses):
            moved = rng.normal(0, 1) + shared * k
            y = slope_between * level + slope_within * moved + rng.normal(0, noise)
            rows.append((ball, "MN"[i % 2], use, level + moved, y))
    return pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])


def test_beyond_data(judged: Judge, one: One) -> None:
    j = judged(one("{kind: change, measure: y, from: 0, to: 40}"), table([1, 2, 3], [2, 3, 4]))
    (v,) = j.verdicts
    assert (v.code, v.reasons, v.estimate) == ("not-tested", ("beyond-data",), None)
    assert [q.source for q in j.questions] == ["beyond-data"]


def test_too_few_items(judged: Judge, one: One) -> None:
    (v,) = judged(one(CHANGE), table([1.0, 2.0], [1.5, 4.0])).verdicts
    assert v.code == "cannot-tell"
    assert "too-few-items" in v.reasons
    assert v.detail.smallest_p == 0.5


def test_fragile_is_demoted_and_names_the_item(judged: Judge, one: One) -> None:
    """Seven balls rise a little and one a lot: without that one the mean more than halves."""
    after = [0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 15.0]
    before = [0.0] * 8
    head_free = table(before, after)
    (v,) = judged(one(CHANGE), head_free).verdicts
    # The 80% range alone would lean; half of that lean is one ball.
    assert (v.code, v.detail.fragile_item, "fragile" in v.reasons) == ("cannot-tell", "B7", True)
    steady = [1.0, 1.1, 0.9, 1.0, 1.05, 0.95, 1.0, 9.0]
    x = list(range(7)) + [30.0]
    frame = pd.DataFrame({
        "ball": balls(8), "model": ["M", "N"] * 4, "games": 0, "x": x, "y": steady,
    })  # fmt: skip
    j = judged(one("{kind: association, x: x, y: y, direction: positive}"), frame)
    (v,) = j.verdicts
    assert v.reasons[0] == "fragile"
    assert (v.code, v.detail.fragile_item) == ("cannot-tell", "B7")
    assert "fragile" in [q.source for q in j.questions]


def test_one_step(judged: Judge, one: One) -> None:
    """One early jump carries r within: at the other checkpoints x and y wander apart."""
    rng = np.random.default_rng(3)
    rows = []
    for i, ball in enumerate(balls(8)):
        for use in (0, 5, 10, 15, 20):
            jump = 0.0 if use == 0 else (i - 3.5) * 3
            rows.append((ball, "MN"[i % 2], use, jump + rng.normal(0, 1), jump + rng.normal(0, 1)))
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    (v,) = judged(one(TRACKS), frame).verdicts
    assert (v.code, v.reasons) == ("leans", ("one-step",))
    assert v.detail.one_step_at == 0
    assert v.detail.one_step_without < v.extra["r"] / 2
    assert "one-step" not in judged(one(TRACKS), walk(1.0, 1.0)).verdicts[0].reasons


def test_real_but_small_backs_both_the_change_and_no_change(judged: Judge, one: One) -> None:
    frame = table([5.0] * 8, [5.2, 5.25, 5.15, 5.2, 5.22, 5.18, 5.2, 5.2])
    both = one(CHANGE, "up") + one("{kind: no-change, measure: y, from: 0, to: 10}", "same")
    up, same = judged(both, frame).verdicts
    assert up.code == same.code == "backed"
    assert "real-but-small" in up.reasons
    assert "real-but-small" in same.reasons


MANY = """\
title: A test study
question: Does it?
tested: {each: ball}
use: {column: games}
measures: {y: {unit: board}, y1: {unit: board}, y2: {unit: board}, y3: {unit: board}, y4: {unit: board}, y5: {unit: board}}
"""  # noqa: E501
NAMES = ("y", "y1", "y2", "y3", "y4", "y5")


def said(name: str, more: str = "", way: str = "up") -> str:
    """One claim that ``name`` went up, or down, with ``more`` keys of the claim."""
    test = f"{{kind: change, measure: {name}, from: 0, to: 10, direction: {way}}}"
    who = "" if "says:" in more else ", report_says: It does."
    return f"  - {{id: {name}-{way}, plainly: It does.{who}{more}, test: {test}}}\n"


def many_measures() -> pd.DataFrame:
    rng = np.random.default_rng(11)
    rise = rng.normal(1.0, 1.25, 10).tolist()
    frame = table([0.0] * 10, rise)
    return frame.assign(**dict.fromkeys(NAMES[1:], frame["y"]))


def test_holm_leaves_a_raw_finding_leaning(judged: Judge) -> None:
    frame = many_measures()
    alone = judged(said("y"), frame, head=MANY).verdicts[0]
    assert alone.code == "backed" and alone.p is not None and 0.01 < alone.p < 0.05
    v = judged("".join(said(name) for name in NAMES), frame, head=MANY).verdicts[0]
    assert (v.code, "holm" in v.reasons) == ("leans", True)
    assert v.p == alone.p and v.p_holm == min(1.0, 6 * alone.p)


@pytest.mark.parametrize("matters", [True, False])
def test_how_many_it_would_take_is_spoken_of_where_it_is_said(judged: Judge, matters: bool) -> None:
    """A claim of a size that the correction alone holds back is to be tested anew, however many."""
    head = MANY.replace("unit: board}", "unit: board, matters_from: 1}")
    claims = "".join(said(name) for name in NAMES)
    if not matters:
        claims = claims.replace("direction: up", "direction: up, at_least: 0.05")
    told = say(judged(claims, many_measures(), head=head))
    settle = " ".join(c.settle for c in told.claims.values())
    assert "A new test of this one claim" in settle and ("about" in settle) is matters
    assert ("how many it would take" in told.several) is matters


def test_an_aside_or_another_voice_changes_no_verdict(judged: Judge) -> None:
    """The family is the report's key findings; each of the rest is judged alone."""
    key, voice = ", key: yes", ", said_by: lanes, says: They say so."
    j = judged(said("y", key) + "".join(said(name) for name in NAMES[1:]), many_measures(),
               head=MANY)  # fmt: skip
    assert [v.code for v in j.verdicts] == ["backed"] * 6
    assert [v.p_holm is None for v in j.verdicts] == [False] + [True] * 5
    assert (j.luck.alone, j.luck.backed) == (5, pytest.approx(5 * 0.025))
    assert (j.luck.judged, j.luck.leaning) == (6, pytest.approx(0.6))
    none = judged(said("y") + "".join(said(name, voice) for name in NAMES[1:]), many_measures(),
                  head=MANY)  # fmt: skip
    assert none.verdicts[0].code == "backed" and none.verdicts[1].p_holm is None
    told = say(none).several
    assert "luck alone could still back some: in at most 13 of a hundred studies like this" in told
    assert "Five claims (numbers 2 to 6) are judged each by itself" in told
    assert "Of all 6 that are judged by a range (numbers 1 to 6), it could make some" in told
    assert "about" not in told  # 12.5 is a ceiling: claims that hang together err together


def test_what_luck_makes_of_claims_of_no_change_is_of_those_that_do_not_hold(judged: Judge) -> None:
    """"If there were nothing" makes a claim of no change true; and a sum is no share of studies."""
    same = "".join(
        f"  - {{id: same-{n}, report_says: So., plainly: So., "
        f"test: {{kind: no-change, measure: {n}, from: 0, to: 10}}}}\n" for n in NAMES[:4]
    )  # fmt: skip
    told = say(judged(same, many_measures(), head=MANY)).several
    assert "nothing in any" not in told
    assert "If none of them held" in told and "at most 20 of a hundred" in told


def test_what_clears_the_bar_is_what_the_verdict_rests_on(judged: Judge) -> None:
    """Sure to change, and not sure to change by the size claimed once five others are tested: it
    "clears the bar" nowhere and "no longer stands" everywhere."""
    frame = many_measures()
    frame["y"] = np.where(frame["games"] == 10, 3.0, 0.0) + (frame["y"] - 1.0) * 1.3
    sized = said("y").replace("direction: up", "direction: any, at_least: 3")
    assert "at_least" in sized
    judgement = judged(sized + "".join(said(n) for n in NAMES[1:]), frame, head=MANY)
    v = judgement.verdicts[0]
    assert v.p_holm is not None and v.p_holm < 0.05 and "holm" in v.reasons
    words = say(judgement)
    assert "None of them clears it" in words.several and "other troubles" not in words.several
    assert f"{p_words(v.detail.p_alone)} against the size claimed" in words.claims["y-up"].method
    # How many could tell that size from nothing settles no claim that it is that much or more.
    assert words.claims["y-up"].settle == "A new test of this one claim, named beforehand."


def test_what_a_design_shows_is_told_as_the_share_of_times_it_does(judged: Judge, one: One) -> None:
    """The size with a power of 80% is found four times in five, and anything a bit smaller only
    a little less often: no design "usually misses" that."""
    rng = np.random.default_rng(5)
    rise = rng.normal(0.2, 3.0, 8)
    for share, told in ((None, "four times in five"), (0.9, "90 times in 100")):
        more = "" if share is None else f"thresholds: {{power: {share}}}\n"
        judgement = judged(one(CHANGE), table([0.0] * 8, rise.tolist()), head=IN_MODELS + more)
        (v,) = judgement.verdicts
        assert v.code == "cannot-tell" and v.power is not None
        d = TTestPower().solve_power(nobs=8, alpha=0.05, power=share or 0.8)
        assert v.power.smallest_effect == pytest.approx(d * v.detail.sd, rel=0.2)
        for audience in AUDIENCES:
            words = say(judgement, audience).claims[v.claim.id]
            assert f"{told}, if it is there" in words.settle
            assert f"show {Sized(v.power.smallest_effect, None, None, 'board').rough} as often" in (
                words.settle)  # fmt: skip
            assert "usually" not in words.settle + words.says


def test_a_size_that_the_range_has_no_room_for_is_no_answer_to_what_is_open(
    judged: Judge, one: One
) -> None:
    """Falls of 1 or so, give or take 4, where a rise is claimed: a rise of 2 is out, a smaller one
    is not, and as many balls as would catch 2 would not tell."""
    rng = np.random.default_rng(3)
    fall = rng.normal(0.0, 4.0, 20)
    head = IN_MODELS.replace("matters_from: 1", "matters_from: 2")
    assert head != IN_MODELS
    for shift, out in ((-1.6, True), (0.0, False)):
        frame = table([0.0] * 20, (fall - fall.mean() + shift).tolist())
        (v,) = judged(one(CHANGE), frame, head=head).verdicts
        assert v.code == "cannot-tell" and v.high is not None and (0 < v.high < 2) == out
        settle = say(judged(one(CHANGE), frame, head=head)).claims[v.claim.id].settle
        assert ("the likely range has no room for one that large" in settle) == out


@pytest.mark.parametrize(("margin", "second"), [
    (0.805, ""), (0.78, " Sixteen balls would show 0.81 boards as often."),
])  # fmt: skip
def test_two_sizes_that_are_told_alike_are_told_once(
    judged: Judge, one: One, margin: float, second: str
) -> None:
    """16 catch 0.8053 four times in five and 17 catch 0.805: both read 0.81, which takes one."""
    rise = [(-1) ** (i // 2) + 0.34 for i in range(16)]
    head = IN_MODELS.replace("matters_from: 1", f"matters_from: {margin}")
    judgement = judged(one(CHANGE), table([0.0] * 16, rise), head=head)
    (v,) = judgement.verdicts
    assert v.power is not None and round(v.power.smallest_effect or 0, 4) == 0.8053
    settle = say(judgement).claims[v.claim.id].settle
    assert re.search(r"bout 17 balls would show a rise of \S+ boards four times in five, "
                     rf"if it is there\.{second}$", settle)  # fmt: skip


def test_no_p_is_told_of_a_size_either_way_that_the_estimate_falls_short_of(judged: Judge) -> None:
    """Against +6 alone p is one number, against -6 another, and neither is that of the claim."""
    sized = said("y").replace("direction: up", "direction: any, at_least: 1.2")
    judgement = judged(sized, many_measures(), head=MANY)
    (v,) = judgement.verdicts
    assert v.estimate is not None and 0 < v.estimate < 1.2 < v.high
    method = say(judgement).claims["y-up"].method
    # Holm's correction counts it nevertheless, as whoever recounts that of another claim finds.
    assert "no p for that size" in method
    assert "its p at the nearer end of that size takes part in Holm's correction" in method
    assert not [name for name, _ in claim_numbers(v, "ball", judgement.study) if "decides" in name]
    far = sized.replace("at_least: 1.2", "at_least: 9")
    judgement = judged(far, many_measures(), head=MANY)
    assert judgement.verdicts[0].code == "against"
    assert "against the size claimed" in say(judgement).claims["y-up"].method


CORRECTED = "p, after Holm’s correction"


def test_a_corrected_p_stands_under_the_name_of_its_own_family(judged: Judge) -> None:
    """Holm over p against nothing is one family, over the p that decide another: with a size that
    has no p to tell, and beside a claim of a size far off, the two differ."""
    among = "p, corrected among the p that decide each claim (Holm)"
    for size, told in (("1.2", []), ("9", [1])):
        sized = said("y").replace("direction: up", f"direction: any, at_least: {size}")
        judgement = judged(sized + said("y1"), many_measures(), head=MANY)
        pair = judgement.verdicts
        rows = [dict(claim_numbers(v, "ball", judgement.study)) for v in pair]
        assert [r[CORRECTED] for r in rows] == [p_words(2 * pair[0].p)] * 2
        assert any(v.detail.p_after != v.p_holm for v in pair)
        assert [i for i, r in enumerate(rows) if among in r] == told
        assert all(rows[i][among] == p_words(pair[i].detail.p_after) for i in told)


def test_a_mirror_or_the_same_claim_twice_is_one(judged: Judge) -> None:
    text = said("y") + said("y", way="down") + said("y").replace("id: y-up", "id: again")
    up, down, again = judged(text, many_measures(), head=MANY).verdicts
    assert (up.code, down.code, again.code) == ("backed", "against", "backed")
    assert up.p_holm == down.p_holm == again.p_holm == up.p
    two = judged(said("y") + said("y1"), many_measures(), head=MANY).verdicts[0]
    assert two.p_holm == 2 * two.p


def test_levels_disagree(judged: Judge, one: One) -> None:
    (v,) = judged(one(TRACKS), walk(-1.0, 1.0)).verdicts
    assert (v.code, "levels-disagree" in v.reasons) == ("against", True)
    assert v.extra["slope_within"] < 0 < v.extra["slope_between"]
    (agree,) = judged(one(TRACKS), walk(1.0, 1.0)).verdicts
    assert (agree.code, "levels-disagree" in agree.reasons) == ("backed", False)


def test_shared_trend(judged: Judge, one: One) -> None:
    """x and y both rise in every ball, and nothing else links them."""
    rng = np.random.default_rng(8)
    rows = [
        (b, "MN"[i % 2], u, u + rng.normal(0, 0.5), u + rng.normal(0, 0.5))
        for i, b in enumerate(balls(8))
        for u in (0, 5, 10, 15)
    ]
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    (v,) = judged(one(TRACKS), frame).verdicts
    assert v.extra["r"] > 0.9
    assert "shared-trend" in v.reasons
    assert v.code in ("leans", "cannot-tell")


def test_no_shared_trend_where_nothing_drifts(judged: Judge, one: One) -> None:
    """Six balls of one model and two of another, whose slopes count alike and differ: freed from a
    drift that is not there the slope stays what it is, weighed as before."""
    rng = np.random.default_rng(5)
    rows = []
    for i, b in enumerate(balls(8)):
        slope, move = (0.0, 2.0) if i < 6 else (0.7 + 0.1 * i, 1.0)
        for u in (0, 5, 10, 15):
            x = rng.normal(0, move)
            rows.append((b, "M" if i < 6 else "N", u, 50 + x, slope * x + rng.normal(0, 0.2)))
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    (v,) = judged(one(TRACKS), frame, head=IN_MODELS).verdicts
    left = v.detail.slope_without_time / v.detail.slope_within
    assert 0.75 < left < 1.25
    assert "shared-trend" not in v.reasons and "fragile" not in v.reasons
    assert v.detail.link == pytest.approx(_weighed(frame))
    assert abs(v.detail.link - v.detail.r) > 0.1


def _weighed(frame: pd.DataFrame) -> float:
    """r within balls over rows that weigh one over their model's own spread of x."""
    x, y = (frame[c] - frame.groupby("ball")[c].transform("mean") for c in "xy")
    weight = 1 / (x * x).groupby(frame["model"]).transform("sum")
    return float(np.corrcoef(*(np.sqrt(weight) * v for v in (x, y)))[0, 1])


def test_what_a_shared_trend_takes_is_said_as_much_as_it_is(judged: Judge, one: One) -> None:
    """Nothing is left of two drifts; of a true link beside a drift, too little to be sure."""
    said = []
    for drift, slope, noise in ((1.0, 0.0, 0.5), (0.3, 0.7, 1.2)):
        rng = np.random.default_rng(8)
        rows = []
        for i, b in enumerate(balls(6)):
            for u in (0, 5, 10, 15):
                x = rng.normal(0, 1)
                rows.append((b, "MN"[i % 2], u, drift * u + x,
                             drift * u + slope * x + rng.normal(0, noise)))
        frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
        judgement = judged(one(TRACKS), frame)
        (v,) = judgement.verdicts
        assert "shared-trend" in v.reasons
        left = v.detail.slope_without_time / v.detail.slope_within
        assert v.detail.drift_took == (left < 0.5)
        said.append(" ".join(say(judgement).claims["c"].because))
    assert "less than half of this link is left" in said[0]
    assert "this link is no longer clear" in said[1] and "half" not in said[1]


def test_reversal(judged: Judge, one: One) -> None:
    """Each bowler strikes more with a, yet pooled b leads: a was thrown by the weaker bowlers."""
    rows = [
        ("W", "a", 30, 100), ("W", "b", 5, 20), ("V", "a", 30, 100), ("V", "b", 5, 20),
        ("S", "a", 16, 20), ("S", "b", 70, 100), ("T", "a", 17, 20), ("T", "b", 70, 100),
    ]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["bowler", "oil", "strikes", "shots"])
    head = """\
title: A test study
question: Does it?
tested: {each: bowler}
measures: {}
"""
    test = ("{kind: rate-difference, successes: strikes, attempts: shots, by: oil, a: a, b: b, "
            "direction: higher, within: bowler}")  # fmt: skip
    (v,) = judged(one(test), frame, head=head).verdicts
    assert "reversal" in v.reasons
    assert v.estimate is not None and v.estimate > 0 > v.extra["pooled_difference"]


def test_gauge_too_coarse(judged: Judge, one: One) -> None:
    head = """\
title: A test study
question: Does it?
tested: {each: ball}
use: {column: games}
measures: {y: {unit: board, resolution: 5, matters_from: 1}, x: {unit: microinch}}
"""
    frame = table([5.0] * 8, [5.4, 5.5, 5.6, 5.5, 5.4, 5.6, 5.5, 5.5])
    v = judged(one(CHANGE), frame, head=head).verdicts[0]
    assert "gauge-too-coarse" in v.reasons
    assert v.code != "backed"


def test_only_averages(judged: Judge, one: One) -> None:
    frame = pd.DataFrame({"ball": ["all", "all"], "games": [0, 10], "x": [1.0, 2], "y": [3.0, 4]})
    head = """\
title: A test study
question: Does it?
tested: {each: ball}
use: {column: games}
measures: {y: {unit: board}, x: {unit: microinch}}
"""
    v = judged(
        one(CHANGE), frame, head=head, table_keys={"t": ", rows_are: {mean_of: 5}"}
    ).verdicts[0]
    assert (v.code, v.reasons) == ("not-tested", ("only-averages",))


@pytest.mark.parametrize(("other", "whose"), [
    (False, "all the balls here are m balls"),
    (True, "all 6 balls that have the readings"),
])  # fmt: skip
def test_one_group(judged: Judge, one: One, other: bool, whose: str) -> None:
    """Of balls of one kind alone it is not said that others were not read."""
    frame = table([0.0] * 6, [3.0, 3.1, 2.9, 3.0, 3.2, 2.8])
    frame["model"] = "M"
    if other:
        unread = frame[frame["games"] == 0].head(1).assign(ball="Z", model="N")
        frame = pd.concat([frame, unread], ignore_index=True)
    judgement = judged(one(CHANGE), frame, head=IN_MODELS)
    v = judgement.verdicts[0]
    assert (v.code, v.reasons) == ("backed", ("one-group",))
    assert v.detail.group_only == "M"
    words = say(judgement)
    told = " ".join([*words.claims[v.claim.id].because, *(q[1] for q in words.questions)])
    assert told.casefold().count(whose) == 2
    assert "are M balls" in told and "only" not in told.casefold()
    assert "says nothing yet about other kinds" in told


def test_that_only_one_kind_has_both_ends_is_not_that_only_one_was_read(
    judged: Judge, one: One
) -> None:
    """The balls of N were read, and at one of the two ends only."""
    gap = "{kind: difference-in-change, measure: y, from: 0, to: 10, by: model, a: M, b: N}"
    frame = table([0.0] * 6, [3.0, 3.1, 2.9, 3.0, 3.2, 2.8])
    frame.loc[(frame["model"] == "N") & (frame["games"] == 10), "y"] = np.nan
    judgement = judged(one(CHANGE), frame, head=IN_MODELS)
    (v,) = judgement.verdicts
    words = say(judgement)
    why = [question[1] for question in words.questions]
    told = " ".join((*words.claims[v.claim.id].because, *why))
    assert "one-group" in v.reasons
    assert "balls that have the readings this takes are M balls" in told
    apart = judged(one(gap), frame, head=IN_MODELS)
    [asked] = say(apart).questions  # of the side that lacks them: nothing that others show as well
    assert asked[0].startswith("What would ") and " N show in " in asked[0]
    sides = say(apart).claims
    told += " ".join(f"{c.says} {' '.join(c.because)}" for c in sides.values())
    assert "there for M, not for" in told and "no ball has the readings" in told
    assert "other kinds" not in " ".join(b for c in sides.values() for b in c.because)
    assert "was read" not in told and "were read" not in told


@pytest.mark.parametrize("apart", [[2, 7, 12], [17, 18, 19]], ids=["here and there", "a step"])
def test_mixture(judged: Judge, one: One, apart: list[int]) -> None:
    """What so many readings apart come from is not known: all balls may share a step."""
    rng = np.random.default_rng(2)
    rows = []
    for b in balls(5):
        y = rng.normal(0, 0.2, 20)
        y[apart] += 8
        rows += [(b, "M", 0, k, 1.0, v) for k, v in enumerate(y)]
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "shot", "x", "y"])
    test = "{kind: trend, measure: y, over: shot, direction: up}"
    judgement = judged(one(test), frame, table_keys={"t": ", order: shot"})
    (v,) = judgement.verdicts
    assert "mixture" in v.reasons
    words = say(judgement)
    told = " ".join([words.claims[v.claim.id].says, *words.claims[v.claim.id].because])
    assert "own series, for how that scatters, too large a share" in told and "mixed" not in told


def test_readings_apart_at_one_checkpoint_in_every_ball_are_no_slips(
    judged: Judge, one: One
) -> None:
    rows = [(b, "M", g, 1.0, 0.1 * g + (i + 1) * 0.01 * (g % 3) - 30 * (g == 20))
            for i, b in enumerate(balls(5)) for g in (0, 5, 10, 20, 30, 40, 50)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    judgement = judged(one("{kind: trend, measure: y, over: games, direction: up}"), frame)
    (v,) = judgement.verdicts
    assert "mixture" in v.reasons
    told = " ".join(say(judgement).claims[v.claim.id].because)
    assert "all of them after 20 games and one of each ball" in told and "slips" not in told


def test_no_margin(judged: Judge, one: One) -> None:
    frame = table([1.0, 2, 3, 4], [1.1, 2.0, 3.1, 3.9])
    frame["x"] = frame["y"]
    (v,) = judged(one("{kind: no-change, measure: x, from: 0, to: 10}"), frame).verdicts
    assert (v.code, v.reasons) == ("cannot-tell", ("no-margin",))
    assert v.extra["smallest_margin_shown"] > 0


def test_reading_error_makes_a_reading_too_close(judged: Judge, one: One) -> None:
    frame = table([20.5, 25.0], [20.5, 25.0])
    frame["x"] = frame["y"]
    test = "{kind: limit, measure: x, at_least: 20, at: 0}"
    (sure,) = judged(one(test), frame).verdicts
    (read,) = judged(one(test), frame, table_keys={"t": ", reading_error: 2"}).verdicts
    assert (sure.code, read.code) == ("backed", "leans")
    assert "reading-error" in read.reasons


def test_not_a_data_question(judged: Judge, one: One) -> None:
    v = judged(one("{kind: not-testable, because: taste}"), table([1, 2], [2, 3])).verdicts[0]
    assert (v.code, v.reasons, v.detail.because) == (
        "not-tested", ("not-a-data-question",), "taste",
    )  # fmt: skip


def test_every_reason_of_the_contract_has_a_trigger() -> None:
    """In this folder: a test that bears the reason's name."""
    files = Path(__file__).parent.glob("test_*.py")
    text = "\n".join(file.read_text(encoding="utf-8") for file in files)
    names = [name.replace("_", "-") for name in re.findall(r"^def test_(\w+)", text, re.MULTILINE)]
    for reason in REASONS:
        assert any(name.startswith(reason) for name in names), reason


def test_a_p_that_speaks_against_a_claim_is_no_find(judged: Judge) -> None:
    """All rose by about 3, and it is claimed that it was 9 or more, and of another that it was 9
    down: both p are tiny, after Holm's correction too, and neither shows what is claimed."""
    text = (said("y").replace("direction: up", "direction: up, at_least: 9")
            + said("y1").replace("direction: up", "direction: down, at_least: 9"))  # fmt: skip
    frame = table([0.0] * 10, np.random.default_rng(11).normal(3.0, 1.0, 10).tolist())
    frame = frame.assign(**dict.fromkeys(NAMES[1:], frame["y"]))
    judgement = judged(text, frame, head=MANY)
    assert [v.code for v in judgement.verdicts] == ["against", "against"]
    assert all(v.detail.p_after < 0.05 for v in judgement.verdicts)
    told = say(judgement)
    assert ("Neither clears it the way it is claimed. "
            "Two have a p small enough for that bar because") in told.several  # fmt: skip
    for v in judgement.verdicts:
        assert "speaks against the claim" in told.claims[v.claim.id].method
        assert "after Holm's correction of the deciding p" in (
            told.claims[v.claim.id].method)  # fmt: skip
        [name] = [n for n, _ in claim_numbers(v, "ball", judgement.study) if "decides" in n]
        assert "a small one speaks against the claim" in name
    near = text.replace("at_least: 9", "at_least: 0.1").replace("down", "up")
    judgement = judged(near, frame, head=MANY)
    told = say(judgement)
    assert "Both clear it." in told.several and "other way" not in told.several
    assert "speaks against" not in told.claims["y-up"].method


def test_p_of_a_strong_link_is_told_with_the_line_it_is_held_against(
    judged: Judge, one: One
) -> None:
    """What has to lie past 0.5 is the range; the size that is claimed is 0.7."""
    rng = np.random.default_rng(8)
    x = rng.normal(10, 1, 12)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(12)], "x": x,
                          "y": 20 - 0.2 * x + rng.normal(0, 1, 12)})  # fmt: skip
    test = "{kind: association, x: x, y: y, direction: positive, strong: yes}"
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    judgement = judged(one(test), frame, head=head)
    (v,) = judgement.verdicts
    [name] = [n for n, _ in claim_numbers(v, "ball", judgement.study) if "decides" in n]
    held = "p, against r 0.5, which the range of a strong link clears"
    assert name.startswith(f"{held} (this one decides; found: ")
    method = say(judgement).claims["c"].method
    assert "against a link of 0.5" in method and "(the best guess is not past it" in method
    assert "size claimed" not in method


def test_a_strong_link_that_is_claimed_downwards_is_held_against_its_own_line(
    judged: Judge, one: One
) -> None:
    """With r at 0.99 p against 0.5 is one of finding more, and the one worked out is at −0.5."""
    x = np.arange(9.0)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(9)], "x": x,
                          "y": x + [0.3, -0.3, 0.1, 0, -0.2, 0.2, 0.1, -0.3, 0.1]})  # fmt: skip
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    for way, line in (("negative", "−0.5"), ("positive", "0.5"), ("any", "0.5")):
        test = f"{{kind: association, x: x, y: y, direction: {way}, strong: yes}}"
        judgement = judged(one(test), frame, head=head)
        names = dict(claim_numbers(judgement.verdicts[0], "ball", judgement.study))
        assert any(name.startswith(f"p, against r {line}, which") for name in names)
        assert f"against a link of {line}" in say(judgement).claims["c"].method
        if way == "negative":  # and that it runs the other way is what is said of it
            told = say(judgement)
            said = " ".join((told.headline, *told.short))
            assert "not strongly" not in said and "tend to" in said


@pytest.mark.parametrize(("rise", "past"), [(0.6, False), (1.4, True)])
def test_how_many_would_show_that_nothing_moved_says_if_nothing_did(
    judged: Judge, one: One, rise: float, past: bool
) -> None:
    """It is planned for a shift of none, which a best guess that is larger than counts leaves
    open; were that guess the truth, no number would show it."""
    changes = [rise + c for c in (-2.0, 2.0, -1.5, 1.5, -2.2, 2.2)]
    test = "{kind: no-change, measure: y, from: 0, to: 10}"
    judgement = judged(one(test), table([0.0] * 6, changes))
    (v,) = judgement.verdicts
    assert v.code == "cannot-tell" and v.power.items_needed > 6
    told = say(judgement).claims["c"].settle
    assert told.startswith(f"If there is none, about {v.power.items_needed} balls"), told
    assert ("The best guess itself is past 1 board. If that is right, no number" in told) == past


def test_how_many_would_show_that_there_is_no_link_says_if_there_is_none(
    judged: Judge, one: One
) -> None:
    x, e = np.random.default_rng(3).normal(0, 1, (2, 12))
    x, e = x - x.mean(), e - e.mean()
    e -= x * (e @ x) / (x @ x)
    for r, past in ((0.25, False), (0.75, True)):
        y = r * x / np.linalg.norm(x) + math.sqrt(1 - r * r) * e / np.linalg.norm(e)
        frame = pd.DataFrame({"ball": [f"B{i}" for i in range(12)], "games": 0, "x": x,
                              "y": 20 + y})  # fmt: skip
        judgement = judged(one("{kind: no-association, x: x, y: y, margin: 0.55}"), frame)
        (v,) = judgement.verdicts
        assert (v.code, v.estimate) == ("cannot-tell", pytest.approx(r))
        told = say(judgement).claims["c"].settle
        assert told.startswith(f"If there is none, about {v.power.items_needed} balls")
        assert ("If that is right, no number of balls would show so weak a link" in told) == past


def test_the_dots_name_something_else_only_where_the_bar_has_a_catch(
    judged: Judge, one: One
) -> None:
    """That all are of one kind holds nothing back: the range alone leaves it open."""
    changes = [-0.6, 1.4, -0.7, 1.5, -0.8, 1.6]
    all_alike = table([0.0] * 6, changes, model="M")
    (v,) = (plain := judged(one(CHANGE), all_alike, head=IN_MODELS)).verdicts
    assert (v.code, v.reasons) == ("cannot-tell", ("one-group",))
    beside = "What else holds the verdict back is not in the dots."
    told = say(plain).claims["c"]
    assert told.outcomes and not told.held and beside not in told.outcomes
    few = judged(one(CHANGE), table([0.0] * 3, [1.0, 1.1, 1.2]))
    told = say(few).claims["c"]
    assert told.outcomes and told.held and beside in told.outcomes


@pytest.mark.parametrize("test", [
    "{kind: change, measure: y, from: 0, to: 10, direction: any, at_least: 5}",
    "{kind: trend, measure: y, over: games, direction: any, at_least: 5}",
    "{kind: difference, measure: y, by: model, a: M, b: N, at: 10, direction: any, at_least: 5}",
    "{kind: difference-in-change, measure: y, by: model, a: M, b: N, from: 0, to: 10, "
    "direction: any, at_least: 5}",
])  # fmt: skip
def test_what_falls_short_of_a_size_on_both_sides_of_nothing_has_no_direction(
    judged: Judge, one: One, test: str
) -> None:
    """Less than 5 either way is shown, and that it goes up is not."""
    made = judged(one(test), table([0.0] * 8, [0.6, 0.4, -0.5, -0.3, 0.5, 0.7, -0.4, -0.2]),
                  head=IN_MODELS)  # fmt: skip
    (v,) = made.verdicts
    assert v.code == "against" and v.low < 0 < v.high
    told = say(made)
    for text in (told.claims["c"].says, told.answer, told.headline, *told.short):
        assert not re.search(r"drifts (up|down)|There is a (rise|drop)|rose by less|fell by less"
                             r"|out \w+ \w+ than|went further|the way that is claimed", text), text
