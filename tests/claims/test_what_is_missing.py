"""Where a claim gets no answer: what is missing, and that nobody is said not to have looked."""

from __future__ import annotations

import pandas as pd
import pytest
from claims.conftest import HEAD, IN_MODELS, Judge

from explainer.claims.verdict import Judgement
from explainer.editions.numbers import claim_numbers
from explainer.words.quantity.numbers import rough_percent
from explainer.words.say import say

ODDS = "kind: rate-difference, successes: s, attempts: n, by: oil, a: a, b: b, direction: higher"
CLAIM = "  - {id: %s, report_says: It does., plainly: It does., test: {%s}}\n"
RATES = "figures:\n  - {id: f, table: t, kind: rates, successes: s, attempts: n, by: oil}\n"


def tried(again: bool) -> pd.DataFrame:
    """Balls tried on two oils: each again and again on both, or each once on one."""
    rows = [(f"B{i}{oil}" if not again else f"B{i}", oil, (i + (oil == "a")) % 3 % 2, 1)
            for i in range(6) for oil in "ab"]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "oil", "s", "n"])
    times = 3 if again else 1
    return frame.assign(s=times * frame["s"], n=times**2, games=0, x=1.0, y=1.0)


@pytest.mark.parametrize("again", [True, False])
def test_none_were_picked_where_each_tried_again_and_again(judged: Judge, again: bool) -> None:
    judgement = judged(CLAIM % ("c", f"{ODDS}, in: odds"), tried(again), more=RATES)
    assert ("picked by what became" in str(say(judgement).figures["f"])) is not again


def test_readings_that_cannot_answer_are_not_called_no_test(judged: Judge) -> None:
    """Past the last reading nobody looked; where there are readings of both sides, somebody did."""
    claims = CLAIM % ("odds", f"{ODDS}, in: odds") \
        + CLAIM % ("far", "kind: change, table: r, measure: y, from: 0, to: 120, direction: down")
    frame = pd.DataFrame([(b, u, 70.0 + u, 9.0) for b in "uvw" for u in (0, 20)],
                         columns=["ball", "games", "x", "y"])  # fmt: skip
    judgement = judged(claims, {"t": tried(True), "r": frame})
    words = say(judgement)
    told = str(words)
    assert "obody tested whether the odds" not in told
    assert "cannot answer whether the odds" in told or "settle whether the odds" in told
    assert {q.claim for q in judgement.questions} == {"odds", "far"}
    assert all(settled for _, _, settled in words.questions)


def moved(**columns: float) -> pd.DataFrame:
    rows = [(f"B{i}", "PQ"[i % 2], u, 70.0 + i + u * (i % 3), 9.0 + 0.01 * (i - 3.5) * u / 20)
            for i in range(8) for u in (0, 20)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    return frame.assign(**columns)


def of(judged: Judge, test: str, frame: pd.DataFrame, head: str = HEAD) -> Judgement:
    return judged(CLAIM % ("c", test), frame, head=head)


def test_what_is_the_same_for_all_is_named(judged: Judge) -> None:
    link = "kind: association, x: x, y: y"
    said = say(of(judged, link, moved(y=9.0))).claims["c"].says
    assert said.startswith("Total hook came out the same for all 8 balls, so there is no link")
    apart = moved()
    apart["y"] = (apart["model"] == "P") + 8.0
    said = say(of(judged, link, apart, IN_MODELS)).claims["c"].says
    assert "Total hook came out the same for all balls of one and the same model" in said


def test_what_held_steady_did_so_on_average(judged: Judge) -> None:
    judgement = of(judged, "kind: no-change, measure: y, from: 0, to: 20", moved())
    assert "held steady on average over 20 games" in say(judgement).answer
    rows = [name for name, _ in claim_numbers(judgement.verdicts[0], "ball", judgement.study)]
    assert "p" not in rows and "p, equivalence (two one-sided tests)" in rows


@pytest.mark.parametrize(
    ("value", "low", "high", "marks", "said"),
    [(98.3, None, None, (), "98"), (9.83, None, None, (), "9.8"), (98.3, 90.0, 99.1, (), "98"),
     (10.04, None, None, (10.0, 30.0), "10.04"), (12.4, None, None, (10.0, 30.0), "12")],
)  # fmt: skip
def test_a_share_without_a_range_has_two_digits(
    value: float, low: float | None, high: float | None, marks: tuple[float, ...], said: str
) -> None:
    assert rough_percent(value, low, high, *marks) == said


def test_a_link_between_groups_is_told_as_that(judged: Judge) -> None:
    rows = [(f"B{i}", "PQ"[i % 2], 0, 70.0 + 20 * (i % 2) + (i * 7 % 5), 9.0 + 3 * (i % 2)
             + (i * 3 % 7) / 4) for i in range(14)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    figure = "figures:\n  - {id: f, table: t, kind: scatter, x: x, y: y}\n"
    none = CLAIM % ("c", "kind: not-testable, because: no number could")
    shown = say(judged(none, frame, head=IN_MODELS, more=figure)).figures["f"]
    assert shown.title.startswith("Total hook against cover roughness")
    assert "Most of that link lies between one model and another." in shown.shows
    alone = say(judged(none, frame, more=figure)).figures["f"]
    assert "tended to have a higher total hook" in alone.title


def test_two_limits_are_two(judged: Judge) -> None:
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    frame = pd.DataFrame({"ball": list("abcdef"), "x": [40.0, 41, 55, 56, 70, 71], "y": 1.0})
    figure = "figures:\n  - {id: f, table: t, kind: limit, y: x, at_least: 50, at_most: %s}\n"
    none = CLAIM % ("c", "kind: not-testable, because: no number could")
    shown = say(judged(none, frame, head=head, more=figure % 60)).figures["f"]
    assert "miss the limits" in shown.title
    assert "Two of 6 balls pass, 4 miss the limits (2 below and 2 above: ball a" in shown.shows
    shown = say(judged(none, frame, head=head, more=figure % 80)).figures["f"]
    assert "2 miss the limits (all below: ball a and ball b)" in shown.shows


def test_where_none_passes_nobody_is_said_to(judged: Judge) -> None:
    frame = pd.DataFrame({"ball": list("ab"), "games": 0, "x": [40.0, 49.9], "y": 1.0})
    test = "kind: limit, measure: x, at_least: 50, u: 0.3, at: 0"
    said = say(of(judged, test, frame)).claims["c"].says
    assert said.startswith("No ball passes for sure. Of 2 balls, 1 misses")


def test_as_high_as_is_so_of_any_number_of_readings(judged: Judge) -> None:
    rows = [("a", u, 70.0, y) for u, y in ((0, 14.0), (5, 14.2), (10, 14.1), (20, 14.0))]
    rows += [("b", u, 70.0, y) for u, y in ((0, 14.0), (5, 13.6), (10, 14.1), (20, 14.0))]
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    figure = "figures:\n  - {id: f, table: t, kind: over-use, y: y}\n"
    none = CLAIM % ("c", "kind: not-testable, because: no number could")
    paths = [str(s) for s in say(judged(none, frame, more=figure)).figures["f"].stories]
    assert "and as high as 14.2 in between" in paths[0]
    assert "and as low as 13.6 in between" in paths[1]
