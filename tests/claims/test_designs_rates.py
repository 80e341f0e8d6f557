"""Rates: who counts, how much, and against whom."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from explainer.claims.verdict import Judgement
from explainer.words.say import say

Judge = Callable[..., Judgement]
One = Callable[..., str]

RATE = "{{kind: rate-difference, successes: made, attempts: tried, by: oil, a: {a}, b: {b}{more}}}"
DEPARTMENTS = {
    "A": ((512, 313), (89, 19)), "B": ((353, 207), (17, 8)), "C": ((120, 205), (202, 391)),
    "D": ((138, 279), (131, 244)), "E": ((53, 138), (94, 299)), "F": ((22, 351), (24, 317)),
}  # fmt: skip


def head(each: str) -> str:
    return f"title: A test study\nquestion: Does it?\ntested: {{each: {each}}}\nmeasures: {{}}\n"


def rate(a: str = "a", b: str = "b", more: str = ", direction: higher") -> str:
    return RATE.format(a=a, b=b, more=more)


def frame(rows: list[tuple[object, ...]], *columns: str) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=[*columns])


def test_one_attempt_does_not_weigh_as_a_hundred(judged: Judge, one: One) -> None:
    """Six bowlers do better with a by a tenth; one who tried once each way missed with a."""
    rows = [(f"W{i}", o, made, 100) for i in range(6)
            for o, made in (("a", 60 + i), ("b", 50 + (i * 7) % 3))]  # fmt: skip
    rows += [("W9", "a", 0, 1), ("W9", "b", 1, 1)]
    text = rate(more=", direction: higher, within: bowler")
    table = frame(rows, "bowler", "oil", "made", "tried")
    (v,) = judged(one(text), table, head=head("bowler")).verdicts
    assert (v.code, v.n_items) == ("backed", 7)
    assert v.estimate == pytest.approx(0.11, abs=0.02)


def test_different_people_each_once(judged: Judge, one: One) -> None:
    """31 of 107 here, 38 of 110 there, a row a patient: Newcombe 1998, and 217 people."""
    rows = [(f"P{i}", "a", int(i < 31), 1) for i in range(107)]
    rows += [(f"Q{i}", "b", int(i < 38), 1) for i in range(110)]
    j = judged(one(rate()), frame(rows, "patient", "oil", "made", "tried"), head=head("patient"))
    (v,) = j.verdicts
    assert (v.code, v.n_items) == ("cannot-tell", 217)
    assert v.estimate == pytest.approx(31 / 107 - 38 / 110)
    assert (v.low, v.high) == pytest.approx((-0.1767, 0.0691), abs=2e-3)
    assert "217 patients" in say(j).claims["c"].says


def test_the_same_from_printed_counts(judged: Judge, one: One) -> None:
    table = frame([("a", 31, 107), ("b", 38, 110)], "oil", "made", "tried")
    (v,) = judged(one(rate()), table, head=head("patient")).verdicts
    assert (v.code, v.n_items) == ("cannot-tell", 217)
    assert v.low is not None and v.high is not None


def test_by_is_what_each_names(judged: Judge, one: One) -> None:
    table = frame([("a", 90, 107), ("b", 38, 110)], "oil", "made", "tried")
    j = judged(one(rate()), table, head=head("oil"))
    (v,) = j.verdicts
    assert (v.code, v.n_items) == ("backed", 217)
    assert "217 attempts" in say(j).claims["c"].says


def test_departments_are_strata_and_not_the_sample(judged: Judge, one: One) -> None:
    """Bickel, Hammel & O'Connell 1975: men ahead in all, not inside the departments."""
    rows = [(d, sex, yes, yes + no) for d, both in DEPARTMENTS.items()
            for sex, (yes, no) in zip(("men", "women"), both, strict=True)]  # fmt: skip
    text = rate("men", "women", ", direction: higher, within: department")
    j = judged(one(text), frame(rows, "department", "oil", "made", "tried"),
               head=head("applicant"))  # fmt: skip
    (v,) = j.verdicts
    assert (v.code, v.n_items, v.detail.n_strata) == ("cannot-tell", 4526, 6)
    assert "reversal" in v.reasons
    assert v.estimate is not None and v.estimate < 0 < v.extra["pooled_difference"]
    assert "4,526 applicants" in say(j).claims["c"].says


def test_different_bowlers_with_many_attempts_scatter_as_bowlers(judged: Judge, one: One) -> None:
    """Fifty-five of a hundred against forty, bowlers from 5 to 90: attempts alone would back it."""
    rows = [(f"W{i}", "a", made, 100) for i, made in enumerate((10, 55, 90, 65))]
    rows += [(f"V{i}", "b", made, 100) for i, made in enumerate((5, 50, 80, 25))]
    (v,) = judged(one(rate()), frame(rows, "bowler", "oil", "made", "tried"),
                  head=head("bowler")).verdicts  # fmt: skip
    assert (v.code, v.n_items) == ("cannot-tell", 8)


def test_reversal_is_held_against_the_number_that_decides(judged: Judge, one: One) -> None:
    """No reversal where pooled and weighted agree, although the plain mean of gaps does not."""
    rows = [("W0", "a", 70, 100), ("W0", "b", 50, 100), ("W1", "a", 65, 100), ("W1", "b", 50, 100)]
    rows += [(f"W{i}", o, made, 1) for i in (2, 3, 4) for o, made in (("a", 0), ("b", 1))]
    text = rate(more=", direction: higher, within: bowler")
    (v,) = judged(one(text), frame(rows, "bowler", "oil", "made", "tried"),
                  head=head("bowler")).verdicts  # fmt: skip
    assert v.estimate is not None and v.estimate > 0 < v.extra["pooled_difference"]
    assert "reversal" not in v.reasons


# --- picked by their own first counts (Galton 1886; Efron & Morris 1975: averages at bat fall back)

CHOSEN = ("title: A test study\nquestion: Does it?\ntested: {{each: bowler{tested}}}\n"
          "measures: {{score: {{unit: count}}, hardness: {{unit: Shore D}}}}\n")  # fmt: skip
COACHED = ", chosen_by: {by: made, only: {part: coached}}"


def league(
    rise: float = 0.0, coached: int = 10, shots: int = 60, games: int = 1, night: float = 0.0,
    spread: float = 0.05,
) -> pd.DataFrame:
    """Forty bowlers before and after; the ten with the fewest strikes before were coached, which
    moves their share by ``rise``; ``night`` is the SD of what one game does to it beside chance."""
    rng = np.random.default_rng(21)
    skill = rng.normal(0.4, spread, 40)

    def of(when: str, extra: np.ndarray) -> pd.DataFrame:
        share = np.clip(skill[:, None] + extra[:, None] + rng.normal(0, night, (40, games)), 0, 1)
        made = rng.binomial(shots // games, share)
        return pd.DataFrame([
            (f"W{i}", when, g, made[i, g], shots // games) for i in range(40) for g in range(games)
        ], columns=["bowler", "oil", "game", "made", "tried"])  # fmt: skip

    before = of("b", np.zeros(40))
    total = before.groupby("bowler")["made"].sum()
    low = set(total.nsmallest(coached).index)
    after = of("a", np.where([f"W{i}" in low for i in range(40)], rise, 0.0))
    both = pd.concat([before, after], ignore_index=True)
    both["part"] = np.where(both["bowler"].isin(low), "coached", "rest")
    both["first_score"] = both["bowler"].map(total) * 2
    both["score"] = both["made"] * 2 + 60
    return both


WITHIN = rate(more=", direction: higher, within: bowler")
PART = WITHIN.replace("}", ", only: {part: coached}}")


@pytest.mark.parametrize(
    ("test", "tested", "frame", "reason", "holds", "backed"),
    [
        pytest.param(PART, COACHED, {}, True, False, False, id="nothing happened"),
        pytest.param(PART, COACHED, {"rise": 0.25}, True, True, True, id="more than falling back"),
        pytest.param(WITHIN, ", chosen_by: made", {"coached": 40}, True, True, False,
                     id="all picked, and nothing found"),
        pytest.param(WITHIN, COACHED, {"rise": 0.2}, False, None, None, id="everybody together"),
        pytest.param(WITHIN.replace("}", ", only: {part: rest}}"), COACHED, {}, False, None, None,
                     id="those who were not"),
        pytest.param(PART, COACHED.replace("made", "score"), {}, True, False, False,
                     id="by the score of the same throws"),
        pytest.param(PART, COACHED.replace("made", "first_score"), {}, True, False, False,
                     id="by a first score that may be of the same throws"),
        pytest.param(PART, COACHED.replace("made", "hardness"), {}, True, True, True,
                     id="by a reading of its own"),
        pytest.param(PART.replace("a: a, b: b", "a: b, b: a").replace("higher", "lower"), COACHED,
                     {}, True, False, False, id="told the other way round"),
        pytest.param(PART, COACHED, {"games": 6, "shots": 120, "night": 0.12, "rise": 0.05}, True,
                     False, False, id="one game unlike the next"),
        pytest.param(rate("coached", "rest", ", direction: lower, only: {oil: a}").replace(
            "by: oil", "by: part"), COACHED, {"spread": 0.15}, True, False, False,
            id="against those who were not"),
        pytest.param(rate("coached", "rest", ", direction: higher, only: {oil: a}").replace(
            "by: oil", "by: part"), COACHED, {"rise": 0.3}, True, True, True,
            id="against those who were not, and past them"),
    ],
)  # fmt: skip
def test_picked_by_their_own_first_counts(
    judged: Judge, one: One, test: str, tested: str, frame: dict[str, float], reason: bool,
    holds: bool | None, backed: bool | None,
) -> None:  # fmt: skip
    table = league(**frame)  # type: ignore[arg-type]
    table["hardness"] = table["bowler"].map(lambda w: 70 + int(w[1:]) % 7)
    j = judged(one(test), table, head=CHOSEN.format(tested=tested))
    (v,) = j.verdicts
    assert ("chosen" in v.reasons) is reason
    if reason:
        assert v.detail.design.chosen_holds is holds
        assert (v.code == "backed") is backed
        words = say(j).claims["c"]
        assert "picked for" in " ".join([*words.because, *words.beside])
        assert not [d for key, d in j.memo.items() if "defect" in str(key) and d]


def test_how_far_counts_fall_back(judged: Judge, one: One) -> None:
    """By hand: the pool's binomial variance over its spread, times how far off the picked lie."""
    table = league().assign(hardness=75)
    j = judged(one(PART), table, head=CHOSEN.format(tested=COACHED))
    before = table[table["oil"] == "b"].set_index("bowler")["made"] / 60
    mean = float(before.mean())
    share = mean * (1 - mean) / 60 / float(before.var(ddof=1))
    picked = set(table[table["part"] == "coached"]["bowler"])
    gap = mean - float(before[before.index.isin(picked)].mean())
    design = j.verdicts[0].detail.design
    assert design.chosen_side == -1
    assert design.falls_back == pytest.approx(min(1.0, share) * gap)
    said = " ".join(say(j).claims["c"].because)
    assert "The coached ones were picked for the lowest made" in said
