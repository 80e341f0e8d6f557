"""What is known is said, and no more: which side all readings lie on, how strong a link the claim
speaks of, who counts all the same, what one item less would undo."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from explainer.claims.verdict import Judgement
from explainer.words.say import say

from .conftest import HEAD, IN_MODELS

Judge = Callable[..., Judgement]
One = Callable[..., str]


def read(values: dict[str, tuple[float | None, ...]], uses: tuple[int, ...]) -> pd.DataFrame:
    """What each ball read in hook at each checkpoint; its roughness is alike at all of them."""
    rows = [(ball, use, y) for ball, ys in values.items()
            for use, y in zip(uses, ys, strict=True) if y is not None]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "y"]).assign(x=1.0)


@pytest.mark.parametrize(("limit", "lies"), [
    ("at_least: 12", "lie below the limit, each too near to it"),
    ("at_most: 9", "lie above the limit, each too near to it"),
    ("at_least: 10.4", ""),
    ("at_most: 30, at_least: 12", "lie outside the limits."),
])  # fmt: skip
def test_all_that_are_too_close_to_call_may_still_lie_on_one_side(
    judged: Judge, one: One, limit: str, lies: str
) -> None:
    """Each reading may be off by more than it lies from the limit; they all read on one side."""
    frame = read({f"B{i}": (10 + i / 10,) for i in range(9)}, (0,))
    figure = f"figures:\n  - {{id: f, kind: limit, table: t, y: y, {limit}, u: 2, at: 0}}\n"
    judgement = judged(one(f"{{kind: limit, measure: y, {limit}, u: 2, at: 0}}"), frame,
                       more=figure)  # fmt: skip
    [v] = judgement.verdicts
    assert v.code in ("cannot-tell", "leans")
    assert {call["call"] for call in v.extra["items"]} == {"too-close"}
    words = say(judgement)
    assert ("By the bare readings, all 9 balls " + lies in words.claims["c"].says) == bool(lies)
    assert ("By the bare readings, all 9 balls" in words.figures["f"].shows) == bool(lies)
    assert lies or "bare readings" not in words.claims["c"].says


@pytest.mark.parametrize(("margin", "strong"), [(0.7, True), (0.3, False)])
def test_a_link_that_is_not_strong_is_not_called_weak_nor_too_small_to_matter(
    judged: Judge, one: One, margin: float, strong: bool
) -> None:
    rng = np.random.default_rng(3)
    x = np.arange(12.0)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(12)], "games": 0, "x": x,
                          "y": 0.25 * x + rng.normal(0, 2.2, 12)})  # fmt: skip
    judgement = judged(one(f"{{kind: no-association, x: x, y: y, margin: {margin}}}"), frame)
    [v] = judgement.verdicts
    says = say(judgement).claims["c"].says
    assert (v.code == "leans", "does not look strong" in says) == (strong, strong)
    assert not strong or "weak" not in says
    assert v.strip is not None and v.strip.small_drawn is None


def test_who_lacks_a_reading_and_counts_all_the_same_is_said_to(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(5)
    each = {f"B{i}": tuple(10 + rng.normal(0, 1, 4)) for i in range(8)}
    each["B6"] = (*each["B6"][:3], None)
    each["B7"] = (None, *each["B7"][1:])
    trend = "{kind: trend, measure: y, over: games, direction: up}"
    judgement = judged(one(trend), read(each, (0, 10, 20, 30)))
    [v] = judgement.verdicts
    assert (v.n_items, v.detail.design.stayed) == (8, 6)
    beside = " ".join((*say(judgement).claims["c"].beside, *say(judgement).claims["c"].because))
    assert "The answer above goes by them, too, with the readings there are." in beside
    change = judged(one("{kind: change, measure: y, from: 0, to: 30}"), read(each, (0, 10, 20, 30)))
    beside = " ".join((*say(change).claims["c"].beside, *say(change).claims["c"].because))
    assert "goes by" not in beside
    assert "Over 7 balls, with the last reading of one of those in place of the missing" in beside


def test_a_drift_of_none_beside_a_last_reading_above_the_first_is_told_so(
    judged: Judge, one: One
) -> None:
    """Most pairs of readings in steps of two are alike, so each ball's middle slope is none."""
    steps = {f"B{i}": (10, 12, 12, 12, 12, 12 if i else 10) for i in range(8)}
    j = judged(one("{kind: trend, measure: y, over: games, direction: up}"),
               read(steps, (0, 10, 20, 30, 40, 50)))  # fmt: skip
    words = say(j).claims["c"]
    assert "Where readings come in steps and many are alike" in words.says
    beside = " ".join((*words.beside, *words.because))
    assert "In fact the last lies, on average, about 1.8 boards above the first." in beside


def moving(seed: int, once: int) -> pd.DataFrame:
    """Eight balls and more with one reading each, on a line from x to y that is far from sharp."""
    rng = np.random.default_rng(seed)
    rows = [(f"B{i}", use, at + use / 10, 0.4 * at + use / 10 + rng.normal(0, 0.3) + off)
            for i, (at, off) in enumerate(rng.normal(0, 2, (8 + once, 2)))
            for use in (0, 10, 20) if i < 8 or use == 0]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "x", "y"])


def test_who_was_read_once_counts_in_the_line_between_them(judged: Judge, one: One) -> None:
    judgement = judged(one("{kind: same-line, x: x, y: y}"), moving(1, 4))
    [v] = judgement.verdicts
    words = say(judgement).claims["c"]
    beside = " ".join((*words.beside, *words.because))
    assert (v.n_items, v.detail.design.stayed, len(v.detail.design.left)) == (8, 8, 4)
    assert "The answer above goes by them, too, with the readings there are." in beside


def test_a_claim_whose_deciding_range_alone_has_ends_is_one_that_is_judged_by_a_range(
    judged: Judge, one: One
) -> None:
    """A 95% range of a share may have no ends where the 90% range, which decides, has some."""
    for seed in range(40):
        judgement = judged(one("{kind: same-line, x: x, y: y}"), moving(seed, 0))
        [v] = judgement.verdicts
        if v.low is None and v.strip is not None and v.strip.low is not None:
            break
    assert v.low is None and v.strip is not None and v.strip.low is not None
    assert judgement.luck.judged == 1


@pytest.mark.parametrize(("ends", "code", "asked"), [
    ((9.0, 11.5), "cannot-tell", True), ((8.5, 9.3), "leans", True),
    ((4.5, 8.0), "cannot-tell", False),
])  # fmt: skip
def test_of_a_rise_that_was_done_for_sure_only_whether_it_stayed_is_left_open(
    judged: Judge, one: One, ends: tuple[float, float], code: str, asked: bool
) -> None:
    """The whole range is most of the rise or more: whether most was done is no question."""
    far = (1.5, 1.5, -1.5, -1.5, 0.5, -0.5)
    frame = read({f"B{i}": (0, np.mean(ends) + (ends[1] - ends[0]) * 0.2 * f, 8 + g)
                  for i, (f, g) in enumerate(zip(far, far[::-1], strict=True))}, (0, 10, 20))
    j = judged(one("{kind: break-in, measure: y, from: 0, by: 10, to: 20}"), frame)
    said = say(j)
    [v], [question] = j.verdicts, said.questions
    assert (v.code, "most of it was done by then" in said.claims["c"].says) == (code, asked)
    assert ("Did the rise in total hook stay after game 10" in question[0]) is asked
    short = " ".join(said.short)
    assert "most of the rise in total hook is done by game 10" in short
    assert ("done by game 10 and stays" in short) is asked


@pytest.mark.parametrize(("direction", "asked"), [("up", "drift up over"), ("any", "drift over")])
def test_a_drift_that_is_open_is_asked_the_way_it_was_claimed(
    judged: Judge, one: One, direction: str, asked: str
) -> None:
    rng = np.random.default_rng(6)
    each = {f"B{i}": tuple(10 + rng.normal(0, 1, 4)) for i in range(8)}
    judgement = judged(one(f"{{kind: trend, measure: y, over: games, direction: {direction}}}"),
                       read(each, (0, 10, 20, 30)))  # fmt: skip
    [v] = judgement.verdicts
    assert v.code == "cannot-tell"
    assert f"Does total hook {asked}" in say(judgement).claims["c"].says


def test_a_change_that_one_ball_less_makes_large_is_not_drawn_as_small(
    judged: Judge, one: One
) -> None:
    """As the claim beside it: on the range alone it is small, and not without the one ball."""
    steady = "{kind: no-change, measure: y, from: 0, to: 10}"
    figure = "figures:\n  - {id: f, kind: over-use, table: t, y: y}\n"
    changes = {"held": (0.1, -0.1, 0.2, -0.2, 0.0, 0.1), "tips": (1.0, 0.9, 1.1, 0.9, -1.6, 0.8)}
    for name, moved in changes.items():
        frame = read({f"B{i}": (10.0, 10.0 + d) for i, d in enumerate(moved)}, (0, 10))
        judgement = judged(one(steady), frame, more=figure,
                           head=HEAD.replace("matters_from: 1", "matters_from: 1.5"))  # fmt: skip
        [v] = judgement.verdicts
        small = "moved by less than" in " ".join((say(judgement).figures["f"].title,
                                                  say(judgement).figures["f"].shows))  # fmt: skip
        assert (v.code == "backed", small) == ((name == "held"), name == "held"), (v, name)
        if name == "tips":
            assert v.detail.fragile_range
            open_ = " ".join(q[1] for q in say(judgement).questions)
            assert "But leave out one ball, any of 4, and it is not." in open_


def test_a_gap_that_is_small_either_way_round_is_said_to_be(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(8)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(12)], "games": 0, "x": 1.0,
                          "model": ["Wren", "Crake"] * 6, "y": 10 + rng.normal(0, 0.3, 12)})
    figure = "figures:\n  - {id: f, kind: groups, table: t, y: y, by: model, at: 0}\n"
    for scale, small in ((1.0, True), (8.0, False)):
        wide = frame.assign(y=10 + scale * (frame["y"] - 10))
        shows = say(judged(one("{kind: trend, measure: y, over: games}"), wide, head=IN_MODELS,
                           more=figure)).figures["f"].shows  # fmt: skip
        assert ("Either way that is less than the 1 board that counts here." in shows) is small
        assert ("could go either way" in shows) is not small


def test_how_many_show_no_link_inside_one_goes_by_how_their_own_slopes_lie(
    judged: Judge, one: One
) -> None:
    """Many readings of each tell more than a point each would."""
    rng = np.random.default_rng(9)
    frame = pd.DataFrame([
        {"ball": f"B{i}", "games": g, "x": g + rng.normal(0, 1), "y": i + rng.normal(0, 1)}
        for i in range(7) for g in range(6)
    ])  # fmt: skip
    [v] = judged(one("{kind: no-association, x: x, y: y, margin: 0.7, within: yes}"),
                 frame).verdicts  # fmt: skip
    assert v.power is not None and v.power.items_needed is not None
    assert v.power.items_needed < 12  # fifteen, of a point each


REACH = "{{kind: crossing, measure: y, limit: {}, over: games, after: 10, within: 8}}"


@pytest.mark.parametrize("way", [1, -1])
def test_a_limit_is_crossed_the_way_that_those_go_that_cross_it(
    judged: Judge, one: One, way: int
) -> None:
    """Most began past it already; they were said not to have come back to it."""
    start = (24.0, 23.9, 24.1, 21.0, 21.3, 20.8, 21.5, 20.9)
    frame = read({f"B{i}": tuple(way * (y - fell) for fell in (0, 2.1, 3.9))
                  for i, y in enumerate(start)}, (0, 10, 20))  # fmt: skip
    judgement = judged(one(REACH.format(22 * way)), frame)
    [v] = judgement.verdicts
    assert (v.n_items, v.extra["crossed"], v.extra["never"], v.extra["began_past"]) == (3, 3, 0, 5)
    says = say(judgement).claims["c"].says
    assert says.startswith("All of 3 balls reached")
    # those that only seem to cross, where the rest go the other way, do not turn it around
    seem = {f"B{i}": (way * (22.1 if i < 2 else 21), way * (21.9 if i < 2 else 21.5))
            for i in range(8)}  # fmt: skip
    [v] = judged(one(REACH.format(22 * way)), read(seem, (0, 20))).verdicts
    assert (v.extra["never"], v.extra["began_past"]) == (6, 2)


def test_who_was_not_read_on_is_not_said_to_have_missed_the_limit(judged: Judge, one: One) -> None:
    read_on = {"B0": (75.0, 71.0), "B1": (75.1, 73.0), "B2": (75.2, 71.5)}
    left = {f"B{i}": (75.0 + i / 10, None) for i in (3, 4, 5)}
    judgement = judged(one(REACH.format(72)), read(read_on | left, (0, 10)))
    says = say(judgement).claims["c"].says
    assert ("by the last reading at 10 games, 1 did not, and 3 had not when last read, before "
            "that.") in says  # fmt: skip
    on = {f"B{i}": (84.0, 83.0, 82.0 if i < 3 else None) for i in range(6)}
    test = REACH.format(72).replace("after: 10, within: 8", "after: 1, within: 0.5")
    [v] = (judgement := judged(one(test), read(on, (0, 10, 20)))).verdicts
    assert v.code == "against"
    assert "6 balls had not come down to 72 boards by the last time each was read." in \
        say(judgement).claims["c"].says  # fmt: skip
