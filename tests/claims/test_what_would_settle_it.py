"""What holds a claim back is named in full, and what would settle it is about what is open."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from claims.conftest import HEAD, IN_MODELS, Judge

from explainer.claims.verdict import Judgement
from explainer.editions.compose import compose
from explainer.words.said import ClaimWords
from explainer.words.say import say

One = Callable[..., str]

#: x and y of two balls over six games: x goes up, y goes down with it, and both balls alike.
X = ((74.4, 74.4, 74.4, 77.4, 74.9, 76.7), (74.4, 74.4, 74.4, 76.7, 74.7, 76.1))
Y = ((58.5, 56.5, 57.5, 44.0, 54.5, 47.5), (56.5, 57.5, 58.5, 45.5, 56.5, 49.5))
TWO = pd.DataFrame(
    [(f"B{i}", g, X[i][g - 1], Y[i][g - 1]) for i in range(2) for g in range(1, 7)],
    columns=["ball", "games", "x", "y"],
)
FIVE = HEAD.replace("y: {term: total hook, unit: board, matters_from: 1}",
                    "y: {term: total hook, unit: board, matters_from: 5}")  # fmt: skip


def told(judgement: Judgement, id: str = "c") -> ClaimWords:
    return say(judgement, "viewer").claims[id]


def ends(start: float, moves: list[float], **columns: object) -> pd.DataFrame:
    """Balls read at 0 and 20 games, each with how far its y moved."""
    rows = [(f"B{i:02}", use, 10.0, start + i / 7 + (by if use else 0.0))
            for i, by in enumerate(moves) for use in (0, 20)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "x", "y"]).assign(
        **{name: np.repeat(of, 2) for name, of in columns.items()})


def test_all_that_holds_a_claim_back_is_named_and_mended(judged: Judge, one: One) -> None:
    """Two balls are too few, what they share at each checkpoint could make the link, and its p does
    not clear the bar for two claims: to mend the first alone would settle nothing."""
    link = one("{kind: tracks-within, x: x, y: y, direction: any}")
    drift = one("{kind: trend, measure: x, over: games, direction: up}", "d")
    judgement = judged(link + drift, TWO, head=FIVE)
    verdict = judgement.verdict("c")
    assert verdict.reasons == ("too-few-items", "shared-trend")
    assert verdict.p_holm > 0.05 > verdict.p
    words = say(judgement, "viewer")
    full = "too few balls; they may just drift together; several claims tested at once"
    assert words.claims["c"].says.endswith(f"a catch: {full}.")
    assert words.claims["c"].note == "the catch: too few balls; and more"
    why = next(why for ask, why, _ in words.questions if "follow" in ask)
    assert full in why and "would be settled" not in why
    for cure in ("More balls", "cannot just drift together", "named beforehand"):
        assert words.claims["c"].settle.count(cure) == 1


def test_a_claim_that_is_tested_alone_is_not_held_back_by_others(judged: Judge, one: One) -> None:
    link = one("{kind: tracks-within, x: x, y: y, direction: any}")
    judgement = judged(link, TWO, head=FIVE)
    assert "several claims" not in told(judgement).says
    assert "tested alone" not in say(judgement, "viewer").several


def test_no_number_is_offered_that_the_page_itself_calls_too_few(judged: Judge, one: One) -> None:
    link = one("{kind: tracks-within, x: x, y: y, direction: any}")
    judgement = judged(link, TWO, head=FIVE)
    power = judgement.verdict("c").power
    assert power is not None and power.items_needed == 3
    assert "about 4 balls" in told(judgement).settle
    assert "four times in five or more" in told(judgement).settle


def test_the_bar_that_a_number_is_worked_out_at_is_said_where_it_was_raised(
    judged: Judge, one: One
) -> None:
    moves = [1.0, -2.0, 3.0, 0.5, -1.0, 2.0]
    claims = [one("{kind: change, measure: y, from: 0, to: 20, direction: up}", id) for id in "ab"]
    two = claims[0] + claims[1].replace("direction: up", "direction: up, at_least: 2")
    said = say(judged(two, ends(40, moves)), "viewer").several
    assert "tested alone, at the usual 5%" in said


def test_a_claim_of_a_size_is_settled_by_a_truth_that_is_not_that_size(
    judged: Judge, one: One
) -> None:
    """As many as tell the size from nothing tell twice the size, and nothing, from it."""
    claim = "{kind: change, measure: y, from: 0, to: 20, direction: %s, at_least: 2}"
    both, none, twice = [3.0, -2.5, 4.5, 0.5], [2.9, -0.9, 1.9, 0.1], [5.0, -0.5, 3.6, 2.8]
    for way, moves, said in (("up", both, "there is none at all, or twice as much as claimed"),
                             ("up", none, "there is none at all"),
                             ("any", twice, "it is twice what is claimed")):  # fmt: skip
        judgement = judged(one(claim % way), ends(40, moves))
        low, high = judgement.verdicts[0].low, judgement.verdicts[0].high
        assert low is not None and high is not None and low < 2 < high
        assert ("none" in said, "twice" in said) == (way == "up" and low < 0, high > 4)
        settle = told(judgement).settle
        assert f"four times in five if {said}, and the nearer the truth" in settle
        assert "from nothing" not in settle


def test_a_size_that_the_range_has_no_room_for_is_not_offered(judged: Judge, one: One) -> None:
    """Four balls rule out what four would usually catch: of a smaller one that says nothing."""
    rows = [(f"B{i}", g, 10 + g + i / 3, 20 + i + by) for i, each in enumerate(
        ((0, 0.3, -0.2), (0, -0.2, 0.2), (0, 0.1, 0.3), (0, -0.3, -0.2)))
        for g, by in enumerate(each)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    judgement = judged(one("{kind: tracks-within, x: x, y: y, direction: positive}"), frame)
    verdict = judgement.verdicts[0]
    assert verdict.code == "cannot-tell" and verdict.power is not None
    assert verdict.high < verdict.power.at_effect and verdict.power.items_needed <= 4
    assert told(judgement).settle == "More balls, each followed through more readings."


def test_a_number_that_holds_for_an_uneven_mix_says_so(judged: Judge, one: One) -> None:
    moves = [1.0, -2.0, 3.0, 0.5, -1.0, 2.0, 1.5, 0.2]
    change = one("{kind: change, measure: y, from: 0, to: 20, direction: up}")
    uneven = ends(40, moves, model=["M"] * 7 + ["N"])
    assert "balls (with 2 models as unevenly mixed as here) would" in told(
        judged(change, uneven, head=IN_MODELS)).settle  # fmt: skip
    assert "mixed" not in told(judged(change, ends(40, moves))).settle


def test_a_number_that_holds_for_even_sides_says_so(judged: Judge, one: One) -> None:
    """Sixteen against four see less than ten against ten, which would have been enough."""
    gap = one("{kind: difference, measure: y, by: side, a: L, b: R, at: 0, direction: higher}")
    left, right = np.array([-0.9, -0.2, 0.2, 0.9]), np.linspace(-1.1, 1.1, 16)
    frame = ends(40, [0.0] * 20, side=["L"] * 4 + ["R"] * 16)
    frame["y"] = 40 + np.repeat(np.concatenate([left + 0.45, right]), 2)
    verdict = (judgement := judged(gap, frame)).verdicts[0]
    assert verdict.power is not None and verdict.code == "cannot-tell"
    assert verdict.power.items_needed <= 20 and verdict.power.smallest_effect > 1
    settle = told(judgement).settle
    assert "balls (half of them on each side) would show a gap of 1 board" in settle
    assert "usually" not in settle


def test_where_single_ones_go_both_ways_more_of_them_give_no_share(judged: Judge, one: One) -> None:
    """It is the average that is not sure to have moved, and more may only show that better."""
    claim = one("{kind: break-in, measure: y, from: 0, by: 10, to: 20}")
    for moves, both in (([5.0, -6.0, 4.0, -3.0], True), ([0.4, 0.9, -0.2, 3.0], False)):
        rows = [(f"B{i}", g, 10.0, 40 + i + by * share) for i, by in enumerate(moves)
                for g, share in ((0, 0), (10, 0.2), (20, 1))]  # fmt: skip
        judgement = judged(claim, pd.DataFrame(rows, columns=["ball", "games", "x", "y"]))
        assert judgement.verdicts[0].detail.undefined == "no-change"
        words = told(judgement)
        assert words.says.startswith("On average, the 4 balls with all the readings it takes show ")
        assert ("two went up and two went down" in words.says) == both
        assert "more balls" in words.settle.casefold()
        assert ("it may come to nothing" in words.settle) == both


def test_where_those_read_together_leave_it_open_it_takes_more_of_them(
    judged: Judge, one: One
) -> None:
    """Nine of twelve were read at the same checkpoints, and left a link open by themselves."""
    ways = (0.1, 0.5, -0.2, 0.3, 0.6, 0.0, 0.5, 0.2, 0.6)
    rows = [(f"B{i}", use, use / 4 + i / 10, use / 4 + ways[i])
            for i in range(9) for use in (0, 20)]  # fmt: skip
    rows += [(f"L{i}", use, x, x) for i, (use, x) in enumerate(((0, 0.4), (20, 14.0), (20, 15.0)))]
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    judgement = judged(one("{kind: no-association, x: x, y: y, margin: 0.7}"), frame)
    verdict, words = judgement.verdict("c"), told(judgement)
    assert verdict.code == "cannot-tell" and "unequal-use" in verdict.reasons
    assert dict(verdict.detail.design.alone)["stayed_code"] == "cannot-tell"
    assert words.settle == "The same test with more balls, every ball read at the same checkpoints."


def test_a_drift_of_middles_that_do_not_scatter_says_what_it_is_of(judged: Judge, one: One) -> None:
    """Readings in steps rose by 2, 2 and 0; their middle slopes are all 0, which a figure that
    draws the changes with a range seemed to contradict."""
    ways = ((79, 81, 81, 81, 81, 81), (77, 79, 77, 77, 79, 79), (78, 78, 78, 78, 78, 78))
    rows = [(f"B{i}", use, 0.0, y) for i, way in enumerate(ways) for use, y in enumerate(way, 1)]
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    judgement = judged(one("{kind: trend, measure: y, over: games, direction: any}"), frame)
    words = told(judgement)
    assert "no scatter among these middles, whatever single readings did" in words.says
    asked = next(q for q in say(judgement).questions if "no range around it" in " ".join(q))
    assert "the middle of all the drifts between two readings of one ball" in " ".join(asked)
    assert "how far the drifts of single balls differ" in words.settle


def test_the_slope_between_says_how_many_it_is_of(judged: Judge, one: One) -> None:
    """Who was read once lies on the line between, and has no part in the slope within."""
    rows = [(f"B{i}", use, use / 4 + i / 10, use / 2 + (i * use) % 7 / 20)
            for i in range(9) for use in (0, 20)]  # fmt: skip
    for gone, said in ((0, "Slope between balls, by their averages"),
                       (3, "Slope between balls, by their averages (over 12 balls)")):
        more = [(f"L{i}", 0, i / 3, i / 4) for i in range(gone)]
        frame = pd.DataFrame(rows + more, columns=["ball", "games", "x", "y"])
        claim = one("{kind: tracks-within, x: x, y: y, direction: positive}")
        numbers = dict(compose(judged(claim, frame)).claims[0].numbers)
        assert numbers["Balls it rests on"] == "9" and said in numbers


def test_what_is_missing_is_what_settles_a_range_that_is_all_too_small(
    judged: Judge, one: One
) -> None:
    """No more balls: the range is narrow, and those who left began elsewhere."""
    starts = (10.0, 10.02, 9.98, 10.04, 9.96, 10.02, 10.0, 9.97, 10.05, 11.0)
    stay = [(f"B{i}", use, 10.0, y + (0.02 * (i % 3 - 1) if use else 0.0))
            for i, y in enumerate(starts) for use in (0, 20)]  # fmt: skip
    gone = [(f"L{i}", 0, 10.0, 10.7 + i / 50) for i in range(2)]
    frame = pd.DataFrame(stay + gone, columns=["ball", "games", "x", "y"])
    head = HEAD.replace("matters_from: 1", "matters_from: 0.4")
    judgement = judged(one("{kind: change, measure: y, from: 0, to: 20}"),
                       frame, head=head)  # fmt: skip
    verdict, words = judgement.verdict("c"), told(judgement)
    assert (verdict.code, verdict.reasons) == ("cannot-tell", ("dropouts",))
    assert words.settle == "The same test with every ball read every time."
    rows = compose(judgement).claims[0].what_if
    assert {row.caught for row in rows} == {True, False}
    assert [row.code for row in rows if row.caught] == ["cannot-tell"] * sum(
        row.caught for row in rows)


#: Six readings of ten balls that jump together after game 3 and stay where they are.
JUMPED = pd.DataFrame(
    [(f"B{i}", g, 50 + g / 50, 10 + i + (8 + i / 9) * (g > 3) + (g * (i + 3) % 5) / 20)
     for i in range(10) for g in range(1, 7)],
    columns=["ball", "games", "x", "y"],
)  # fmt: skip
RISE = "{kind: change, measure: y, from: 1, to: 6, direction: up}"
DRIFT = "{kind: trend, measure: y, over: games, direction: up}"


def test_whether_it_drifts_is_open_and_not_whether_it_rose(judged: Judge, one: One) -> None:
    """The report's other claim has that it rose: what jumped together is no drift, though."""
    judgement = judged(one(DRIFT) + one(RISE, "d"), JUMPED)
    drift, rise = judgement.verdicts
    assert (drift.code, "step" in drift.reasons, rise.code) == ("cannot-tell", True, "backed")
    words = say(judgement, "viewer")
    asked = [question for question, _, _ in words.questions]
    assert any("Did total hook drift up over the games" in ask for ask in asked), asked
    assert not any("rise" in ask for ask in asked)
    # More balls would jump as these did.
    assert words.claims["c"].settle.startswith("A longer series, with more readings before")


def test_a_figure_says_that_a_claim_on_what_it_shows_stays_open(judged: Judge, one: One) -> None:
    """At the start nothing of the link is to be seen that the average of all readings shows."""
    link = "{kind: association, x: x, y: y, direction: positive, at: 0}"
    figure = "figures:\n  - {id: f, table: t, kind: scatter, x: x, y: y}\n"
    frame = pd.DataFrame(
        [(f"B{i}", g, 50 + 3 * i, 20 + i * 7 % 5 + (g > 0) * 4 * i)
         for i in range(12) for g in (0, 10)],
        columns=["ball", "games", "x", "y"],
    )  # fmt: skip
    judgement = judged(one(link), frame, more=figure)
    assert judgement.verdicts[0].code == "cannot-tell"
    shown = judged(one(link), frame, more=figure.replace("x: x", "x: y").replace("y: y", "y: x"))
    for of, said in ((judgement, True), (shown, False)):
        title = say(of, "viewer").figures["f"].title
        assert title.endswith("but a claim on it stays open") is said, title


def test_one_desk_shows_what_it_sees_and_not_what_another_adds(judged: Judge, one: One) -> None:
    """One desk that strays by half a board cannot see a gap of half a board, and "no number
    answers it" was printed over the number that does."""
    frame = pd.DataFrame(
        [(f"B{i}", "A", k, 60 + i + 0.4 * (-1) ** k) for i in range(3) for k in (1, 2, 3, 4)],
        columns=["ball", "desk", "go", "x"],
    )
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    head = head[: head.index("  y: ")]
    test = "{kind: repeatability, measure: x, operator: desk, repeat: go%s}"
    judgement = judged(one(test % ", detects: 0.5") + one(test % "", "d"), frame, head=head)
    words = say(judgement, "viewer")
    (v, _) = judgement.verdicts
    assert (v.code, round(v.detail.mdd or 0, 2)) == ("not-tested", 1.28)
    said = words.claims["c"].says
    assert "Two readings of one ball by the same desk have to lie" in said and "1.3" in said
    assert "how fine a gap the gauge can see" in said and "share" not in said
    assert "how much of the scatter is the gauge’s" in words.claims["d"].says.replace("'", "’")
    [why] = [w for q, w, _ in words.questions if "see a gap" in q]
    assert "no number" not in why and "not what a second desk adds" in why


def test_few_that_went_alike_are_told_as_few_and_not_as_unlike(judged: Judge, one: One) -> None:
    for moves, told_as in (([2.0, 6.7], "with so few"),
                           ([5, -6.0, 4, -2, 7, -5], "differ so much")):  # fmt: skip
        words = told(judged(one("{kind: change, measure: y, from: 0, to: 20, direction: up}"),
                            ends(50.0, moves)))  # fmt: skip
        other = {"with so few": "differ so much", "differ so much": "with so few"}[told_as]
        assert other not in words.says
        assert told_as in words.says or "too wide to say" in words.says


def test_how_many_show_no_link_within_goes_by_free_readings_where_few_were_read(
    judged: Judge, one: One
) -> None:
    """Two readings of a ball leave one free to vary: without a link, r over n balls scatters by
    1/√n (the sampling variance of r at 0), and about 19 keep its 90% range inside 0.7."""
    frame = pd.DataFrame(
        [("A", 0, 60.0, 20.0), ("A", 10, 72.0, 16.5), ("B", 0, 61.0, 21.0), ("B", 10, 70.0, 18.9)],
        columns=["ball", "games", "x", "y"],
    )
    test = "{kind: no-association, x: x, y: y, margin: 0.7, within: yes}"
    (v,) = judged(one(test), frame).verdicts
    assert v.power is not None and v.power.items_needed in range(17, 23)


@pytest.mark.parametrize("way", [1, -1])
def test_two_that_go_opposite_ways_are_not_said_to_go_together(
    judged: Judge, one: One, way: int
) -> None:
    frame = pd.DataFrame([(f"B{i}", 50 + 3 * i, 30 + way * (2 * i + i * 7 % 5 / 3))
                          for i in range(12)], columns=["ball", "x", "y"])  # fmt: skip
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    judgement = judged(one("{kind: association, x: x, y: y, direction: any}"), frame, head=head)
    words = say(judgement, "viewer")
    said = "go together" if way > 0 else "go opposite ways"
    assert f"Cover roughness and total hook {said}" in words.answer
