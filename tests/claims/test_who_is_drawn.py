"""Whom a figure's sentences speak of: counted in the rows, and each called what it is drawn as."""

from __future__ import annotations

import pandas as pd
import pytest
from claims.conftest import Judge
from claims.test_figures_told import EACH, NO_USE, SCATTER, read, told

from explainer.words.say import say

TRAILS = f"{SCATTER}, join: yes"


def still(frame: pd.DataFrame, *balls: str) -> pd.DataFrame:
    """The same, where x of some never moved."""
    return frame.assign(x=frame.x.where(~frame.ball.isin(balls), 10.0))


@pytest.mark.parametrize(
    ("frame", "said"),
    [
        (read(EACH, EACH, EACH, EACH, (0,)),
         "That goes by 4 of the 5: the other one is a lone dot, without a trail to follow."),
        (read(EACH, EACH, EACH, EACH, (0,), (0,)),
         "That goes by 4 of the 6: the other 2 are lone dots, without a trail to follow."),
        (still(read(EACH, EACH, EACH, EACH, EACH), "B4"),
         "That goes by 4 of the 5: the other one does not move left or right."),
        (still(read(EACH, EACH, EACH, EACH, EACH, EACH, (0,)), "B4", "B5"),
         "That goes by 4 of the 7: of the others 1 is a lone dot, without a trail to follow,"
         " and 2 do not move left or right."),
    ],
)  # fmt: skip
def test_who_has_no_trail_is_not_said_to_stand_still(
    judged: Judge, frame: pd.DataFrame, said: str
) -> None:
    assert said in told(judged, TRAILS, frame).shows


def test_of_all_that_moved_nobody_is_left_out(judged: Judge) -> None:
    assert "That goes by" not in told(judged, TRAILS, read(EACH, EACH, EACH, EACH)).shows


def lines(*balls: dict[int, float]) -> pd.DataFrame:
    return pd.DataFrame(
        [(f"B{i}", use, x, 1.0) for i, own in enumerate(balls) for use, x in own.items()],
        columns=["ball", "games", "x", "y"],
    )


@pytest.mark.parametrize(
    ("balls", "said"),
    [
        (({0: 1.0, 60: 2.0}, {0: 1.0, 60: 2.0}, {0: 5.0}),
         "Some lines lie on one another: all are alike."),
        (({0: 1.0, 60: 2.0}, {0: 1.0, 60: 2.0}, {0: 3.0, 60: 2.0}, {0: 5.0}),
         "Some lines lie on one another, so there are 2 different ones."),
        (({0: 1.0, 60: 2.0}, {0: 3.0, 60: 2.5}, {0: 1.0}),
         "The lone mark lies on a mark of another ball."),
        (({0: 1.0, 60: 2.0}, {0: 3.0, 60: 2.5}, {0: 1.0}, {0: 7.0}),
         "One of the 2 lone marks lies on a mark of another ball."),
        (({0: 1.0, 60: 2.0}, {0: 3.0, 60: 2.5}, {0: 7.0}, {0: 7.0}),
         "The lone marks all lie on marks of another ball."),
        (({0: 1.0, 60: 2.0}, {0: 3.0, 60: 2.5}, {0: 8.0}), ""),
    ],
)  # fmt: skip
def test_lines_are_counted_as_they_are_drawn(
    judged: Judge, balls: tuple[dict[int, float], ...], said: str
) -> None:
    looking = told(judged, "kind: over-use, y: x", lines(*balls)).looking_at
    assert said in looking
    assert bool(said) == (" on a mark" in looking or " on marks" in looking
                          or "lie on one" in looking)  # fmt: skip


LINK = ("  - {id: c, report_says: It does., plainly: It does.,"
        " test: {kind: association, x: x, y: y, direction: positive}}\n")  # fmt: skip
PATCHY = read(EACH, EACH, (0, 30), (30, 60), (0, 60), EACH)


@pytest.mark.parametrize(("gap", "said"), [("y", True), ("", False)])
@pytest.mark.parametrize("all_read_alike", [True, False])
def test_an_average_of_both_says_that_it_is_of_both(
    judged: Judge, gap: str, said: bool, all_read_alike: bool
) -> None:
    """A reading without its partner is in no such average."""
    frame = read(*[EACH] * 6) if all_read_alike else PATCHY
    if gap:  # x alone at one checkpoint: of every ball, or of one
        alone = frame.games.eq(30) & (frame.ball.eq("B0") | all_read_alike)
        frame = frame.assign(y=frame.y.where(~alone))
    judgement = judged(LINK, frame, more=f"figures:\n  - {{id: f, table: t, {SCATTER}}}\n")
    words = say(judgement, "coach")
    for text in (words.claims["c"].method, words.figures["f"].looking_at):
        assert ("of the times when both were read" in text) == said


SAME = ("  - {id: c, report_says: It does., plainly: It does.,"
        " test: {kind: same-line, x: x, y: y}}\n")  # fmt: skip


@pytest.mark.parametrize(
    ("games", "two_lines"),
    [((EACH, EACH, EACH, EACH, (0,), (0,)), True), ((EACH,) * 6, False)],
)
def test_two_lines_between_the_same_balls_are_told_apart(
    judged: Judge, games: tuple[tuple[int, ...], ...], two_lines: bool
) -> None:
    """A figure's keeps to the checkpoints that all share, the one of a same line takes all."""
    frame = read(*games)
    more = f"figures:\n  - {{id: f, table: t, {TRAILS}}}\n"
    words = say(judged(SAME, frame, more=more), "coach")
    own = "average over all the times when both were read, also where others were not"
    assert (own in words.claims["c"].method) == two_lines
    assert (own in words.figures["f"].shows) == two_lines
    assert ("at the start, the one checkpoint that all of them share" in
            words.figures["f"].how_to_read) == two_lines  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "said", "described", "walked"),
    [
        ((-48.0, -15, -13.8, -12, -4.8, -3, 1.8, 22.8),
         "Two stand out. Ball B0, the furthest from the rest, fell by 48 microinches.",
         "the furthest of 2 that do", False),
        ((-48.0, -15, -13.8, -12, -4.8, -3, 1.8),
         "One stands out. Ball B0 fell by 48 microinches.", "stands apart from the rest.", True),
    ],
)  # fmt: skip
def test_as_many_stand_out_as_lie_past_the_same_mark(
    judged: Judge, changes: tuple[float, ...], said: str, described: str, walked: bool
) -> None:
    frame = lines(*({0: 80.0, 60: 80.0 + change} for change in changes))
    words = told(judged, "kind: over-use, y: x, walk: yes", frame)
    assert said in words.shows
    assert described in words.description
    assert ("the odd one out" in " ".join(map(str, words.walk))) == walked


def shots(*runs: int, drift: float = 0.001) -> pd.DataFrame:
    """A run of so many shots of each ball, ball by ball a little steeper."""
    return pd.DataFrame(
        [(f"B{i}", shot, 17 + drift * (1 + i / 9) * shot + 0.0001 * (shot % 3))
         for i, run in enumerate(runs) for shot in range(1, run + 1)],
        columns=["ball", "shot", "x"],
    )  # fmt: skip


SERIES = NO_USE.replace("unit: microinch, repeatability_sd: 0.001", "unit: mph, matters_from: 0.5")


@pytest.mark.parametrize(
    ("runs", "said"),
    [
        ((12, 12, 20, 20, 30, 30, 30),
         "What 154 shots come to, from 7 balls, 12 to 30 in a row each;"),
        ((20,) * 7, "What 140 shots come to, from 7 balls, 20 in a row each;"),
    ],
)  # fmt: skip
def test_shots_in_a_row_are_as_many_as_one_ball_made(
    judged: Judge, runs: tuple[int, ...], said: str
) -> None:
    words = told(judged, "kind: shot-series, y: x, order: shot", shots(*runs), SERIES)
    assert said in words.looking_at


@pytest.mark.parametrize(("drift", "small"), [(0.001, True), (0.05, False)])
def test_a_drift_too_small_to_matter_is_called_so(judged: Judge, drift: float, small: bool) -> None:
    """Held against what counts over the longest run."""
    frame = shots(12, 12, 20, 30, drift=drift)
    words = told(judged, "kind: shot-series, y: x, order: shot", frame, SERIES)
    assert ("Over the longest run any drift in that range comes to less than 0.5 miles"
            " per hour, the least that counts here." in words.shows) == small  # fmt: skip
    assert ("drifted up over the shots, by less than 0.5" in words.title) == small


def paths(*parts: tuple[str, tuple[str, ...], tuple[int, ...]]) -> pd.DataFrame:
    """Balls followed in each part, at these marks."""
    return pd.DataFrame(
        [(ball, part, feet, 10.0 + k + feet / 50) for part, balls, marks in parts
         for k, ball in enumerate(balls) for feet in marks],
        columns=["ball", "part", "distance", "board"],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("frame", "kind", "why"),
    [
        (paths(("first", ("A", "B"), (20, 40, 60)), ("last", ("B",), (20, 40, 60))),
         "an average, or the path of one ball alone.",
         "The one for the last part is of just one ball, so nothing says how far apart"),
        (paths(("first", ("A",), (20, 40, 60)), ("last", ("B",), (20, 40, 60))),
         "the path of one ball.",
         "The one for the first part and the one for the last part are of one ball each"),
        (paths(("first", ("A", "B"), (20, 40)), ("last", ("A", "B"), (50, 60))), "an average.",
         "The one for the first part and the one for the last part have no mark in common"),
    ],
)  # fmt: skip
def test_why_two_paths_are_not_compared_is_told_by_why(
    judged: Judge, frame: pd.DataFrame, kind: str, why: str
) -> None:
    words = told(judged, "kind: ball-paths, by: part", frame, NO_USE.replace(
        "measures: {x: {term: cover roughness, unit: microinch, repeatability_sd: 0.001}}",
        "measures: {board: {term: board, unit: board}, distance: {term: distance, unit: foot}}"))
    assert f"is {kind}" in words.shows
    assert why in words.shows


@pytest.mark.parametrize(
    ("bound", "said"),
    [("at_most: 13", "4 miss the limit of 13 microinches or less"),
     ("at_least: 13", "2 miss the limit of 13 microinches or more")],
)  # fmt: skip
def test_a_limit_says_its_side(judged: Judge, bound: str, said: str) -> None:
    """Without it, 13 that miss 13 may be too high or too low."""
    frame = lines(*({0: 10.0, 60: end} for end in (11.0, 12, 14, 15, 16, 17)))
    claim = ("  - {id: c, report_says: It does., plainly: It does.,"
             f" test: {{kind: limit, measure: x, {bound}, at: 60, u: 0}}}}\n")  # fmt: skip
    assert said in say(judged(claim, frame), "viewer").claims["c"].says


@pytest.mark.parametrize(("moved", "there"), [(6.0, True), (0.0, False)])
def test_an_arrow_of_no_length_is_not_named(judged, moved, there):
    """Half of them went as far right as the other half went left: there is nothing to expect."""
    frame = pd.DataFrame([
        (f"B{i}", use, 50.0 + 3 * i + (use / 60) * (4.0 if i % 2 else -4.0) + moved * use / 60,
         10.0 + i + use / 60 * (i % 3)) for i in range(6) for use in (0, 60)
    ], columns=["ball", "games", "x", "y"])  # fmt: skip
    claim = ("  - {id: c, report_says: It does., plainly: It does.,"
             " test: {kind: not-testable, because: no number could}}\n")  # fmt: skip
    more = "figures:\n  - {id: f, kind: scatter, table: t, x: x, y: y, join: yes}\n"
    [figure] = judged(claim, frame, more=more).figures
    assert (figure.data.expected is not None) is there
