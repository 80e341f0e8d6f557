"""Second looks: each design that fools, and its neighbor that does not."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from explainer.claims.results import results
from explainer.claims.verdict import Judgement, Verdict
from explainer.words.facts.relations import the_catch
from explainer.words.page.claims import catch_in_short
from explainer.words.phrases.book import teller_for
from explainer.words.say import say

Judge = Callable[..., Judgement]
One = Callable[..., str]

HEAD = """\
title: A test study
question: Does it?
tested: {{each: ball{tested}}}
use: {{column: games}}
measures:
  y: {{unit: board, matters_from: 1{y}}}
  z: {{unit: microinch}}
"""
UP = "{kind: change, measure: y, from: 0, to: 20, direction: up}"
DOWN = "{kind: change, measure: y, from: 0, to: 20, direction: down}"
SAME = "{kind: no-change, measure: y, from: 0, to: 20}"


def head(y: str = "", tested: str = "") -> str:
    return HEAD.format(y=y, tested=tested)


def readings(values: dict[str, tuple[float | None, ...]], uses: tuple[int, ...] = (0, 10, 20),
             **more: object) -> pd.DataFrame:  # fmt: skip
    """Balls and their y at each checkpoint; None: not read."""
    rows = [(ball, use, y) for ball, ys in values.items()
            for use, y in zip(uses, ys, strict=True) if y is not None]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "y"]).assign(z=1.0, **more)


def told(j: Judgement) -> str:
    """All that stands under the claim's verdict, and nothing the phrase book had to patch."""
    words = say(j).claims["c"]
    assert not [d for key, d in j.memo.items() if "defect" in str(key) and d]
    return " ".join([*words.because, *words.beside])


def only(j: Judgement) -> Verdict:
    (v,) = j.verdicts
    results(j)
    return v


# --- the ends of a scale

def test_cut_off_readings_do_not_show_that_it_held_steady(judged: Judge, one: One) -> None:
    """Ten balls of which all read 100 at both ends of play, on a gauge that goes to 100."""
    frame = readings({f"B{i}": (99.9, 100.0, 100.0 if i < 7 else 99.8) for i in range(10)})
    j = judged(one(SAME), frame, head=head(", highest: 100"))
    v = only(j)
    assert (v.code, "cut-off" in v.reasons) == ("cannot-tell", True)
    assert "Seven of 20 readings stand at the highest the scale goes" in told(j)
    free = only(judged(one(SAME), frame, head=head(", highest: 120")))
    assert free.code == "backed"


def test_cut_off_is_said_and_takes_nothing_from_a_change(judged: Judge, one: One) -> None:
    frame = readings({f"B{i}": (0.0 if i < 3 else 1.0 + i / 9, 5.0, 8.0 + i % 3) for i in range(8)})
    v = only(judged(one(UP), frame, head=head(", lowest: 0")))
    assert (v.code, "cut-off" in v.reasons) == ("backed", True)
    assert (v.detail.design.cut_low, v.detail.design.cut_of) == (3, 16)


def test_cut_off_without_a_declared_end_is_a_pile(judged: Judge, one: One) -> None:
    """Six of ten read 12 exactly, the others 11.2 to 11.9: as if the gauge went no further."""
    last = (12.0,) * 6 + (11.2, 11.5, 11.7, 11.9)
    frame = readings({f"B{i}": (11.4 + i / 20, 11.6, y) for i, y in enumerate(last)})
    v = only(judged(one(SAME), frame, head=head()))
    assert (v.code, v.detail.design.cut_piled) == ("cannot-tell", True)
    assert "cut-off" in v.reasons
    steps = (12.0, 12.0, 11.5, 11.5, 11.5, 11.0, 11.0, 12.0, 11.5, 11.0)
    coarse = readings({f"B{i}": (11.5, 11.5, y) for i, y in enumerate(steps)})
    assert "cut-off" not in only(judged(one(SAME), coarse, head=head())).reasons


def test_cut_off_to_two_values(judged: Judge, one: One) -> None:
    """A tester that says 10 or 20: most balls moved by half of that, and it says the same twice."""
    start = (10.0,) * 6 + (20.0,) * 6
    frame = readings({f"B{i}": (y, y, y) for i, y in enumerate(start)})
    frame.loc[frame["games"].eq(20) & frame["ball"].eq("B0"), "y"] = 20.0
    two = head().replace("matters_from: 1", "matters_from: 5")
    j = judged(one(SAME), frame, head=two)
    v = only(j)
    assert (v.code, v.detail.design.cut_two) == ("cannot-tell", True)
    assert "All readings stand on one of two values" in told(j)
    stepped = two.replace("matters_from: 5", "matters_from: 5, resolution: 10")
    assert "cut-off" not in only(judged(one(SAME), frame, head=stepped)).reasons
    # What falls short of a size claimed falls short of every larger one, whatever was seen.
    short = [only(judged(one(UP.replace("}", f", at_least: {size}}}")), frame, head=two)).code
             for size in (9, 12, 24, 90)]  # fmt: skip
    assert set(short) == {"against"}
    assert only(judged(one(UP), frame, head=two)).code == "cannot-tell"
    other = frame.assign(y=frame["y"].where(frame["games"].ne(20) | frame["ball"].eq("B1"), 20.0))
    assert only(judged(one(DOWN), other, head=two)).code == "against"  # it went the other way
    third = frame.assign(y=frame["y"] + (frame["ball"] == "B3") * 0.5)
    assert not only(judged(one(SAME), third, head=two)).detail.design.cut_two


# --- who left

def test_dropouts_that_went_the_other_way(judged: Judge, one: One) -> None:
    """Those that stayed rose; with the last reading of those that left there is no rise."""
    rng = np.random.default_rng(3)
    stay = {f"S{i}": (10.0, 11.0, 12.0 + rng.normal(0, 0.4)) for i in range(8)}
    gone = {f"L{i}": (10.0, 7.0 + rng.normal(0, 0.4), None) for i in range(5)}
    j = judged(one(UP), readings(stay | gone), head=head())
    v = only(j)
    assert v.n_items == 8 and "dropouts" in v.reasons
    assert v.code in ("leans", "cannot-tell")
    assert v.detail.design.left == tuple(gone) and v.detail.design.left_turns
    text = told(j)
    assert "ball L0" in text
    assert_verdicts_told(v.detail.design, "left_own stayed_code whole_code", text)


def assert_verdicts_told(design, names: str, text: str) -> None:
    """That answers which are compared would not all get one verdict is said, and not which: what
    another catch takes from one it may not take from the next."""
    codes = [dict(design.alone)[name] for name in names.split()]
    assert len(set(codes)) > 1
    assert "not come to the same" in text and "comes to the same" not in text, text


def test_two_like_answers_with_unlike_verdicts_say_what_parts_them(judged: Judge, one: One) -> None:
    """With the last readings of four that left the average stays put, and the four did not: their
    average and its range alone do not show why the verdict is another one."""
    rng = np.random.default_rng(5)
    stay = {f"S{i}": (10.0, 10.0, 10 + rng.normal(0, 0.2)) for i in range(8)}
    gone = {f"L{i}": (10.0, 10 + (2 if i % 2 else -2), None) for i in range(4)}
    j = judged(one(SAME), readings(stay | gone), head=head())
    v = only(j)
    assert v.detail.design.left_turns and v.detail.design.left_moved == tuple(gone)
    moved = "In one of them ball L0, ball L1, ball L2 and ball L3 moved by more than 1 board"
    assert f"{moved}, which an average hides." in told(j)
    whole = {i: (a, b, b if c is None else c) for i, (a, b, c) in (stay | gone).items()}
    frame = readings(whole)
    rows = frame.index[frame["ball"].str.startswith("L") & (frame["games"] == 20)] + 2
    out = "".join(f"  - {{table: t, row: {row}, why: It fell.}}\n" for row in rows)
    j = judged(one(SAME), frame, head=head(), more=f"excluded:\n{out}")
    assert only(j).detail.design.with_moved == tuple(gone)
    assert "would then have moved by more than 1 board, which an average hides" in told(j)


def test_dropouts_that_read_otherwise_from_the_start(judged: Judge, one: One) -> None:
    """Balls that began smoother left, and the verdict itself does not turn."""
    rng = np.random.default_rng(4)
    stay = {f"S{i}": (10 + rng.normal(0, 0.3), 12.0, 14 + rng.normal(0, 0.4)) for i in range(8)}
    gone = {f"L{i}": (6.0 + i / 9, 7.9 + i / 9, None) for i in range(3)}
    j = judged(one(UP), readings(stay | gone), head=head())
    v = only(j)
    assert (v.code, "dropouts" in v.reasons) == ("leans", True)
    assert v.detail.design.left_tied and not v.detail.design.left_turns
    assert v.detail.design.left_by == "start" and v.detail.design.left_p < 0.001
    assert "seem to have begun otherwise in y, so what is missing may be" in told(j)


def test_that_those_who_stayed_jump_is_why_their_answer_is_another(
    judged: Judge, one: One
) -> None:
    """Six jumped by game 10; two more drift, and neither was read every time."""
    stay = {f"S{i}": (i / 3, i / 3 + 1 + i / 9, i / 3 + 7 - i / 9, i / 3 + 5, i / 3 + 5 + i / 9)
            for i in range(6)}
    gone = {"L0": (1.5, None, 7.5, 5.5, None), "L1": (0.0, 2.0, None, 5.3, 5.8)}
    claim = one("{kind: trend, measure: y, over: games, direction: down}")
    j = judged(claim, readings(stay | gone, (0, 5, 10, 20, 40)), head=head())
    design = only(j).detail.design
    assert (design.left_step, design.left_turns) == (True, True)
    assert "Over those 6 balls alone, one jump fits better than a drift." in told(j)


def test_who_began_just_alike_is_not_said_to_have_begun_otherwise(judged: Judge, one: One) -> None:
    """All began at 0.3: an average of eight and one of three may differ in the last digit."""
    stay = {f"S{i}": (0.3, 1.0 + i / 9, 2.0 + i / 7) for i in range(8)}
    gone = {f"L{i}": (0.3, 1.2 + i / 9, None) for i in range(3)}
    assert not only(judged(one(UP), readings(stay | gone), head=head())).detail.design.left_tied


def test_that_the_one_apart_is_the_one_that_left_may_be_luck(judged: Judge, one: One) -> None:
    """One of nine lies apart, the others read alike: that it left is one in nine, so no reason;
    of two in ten it is one in 45.  A t test of them against no spread would say p < 0.001."""
    rng = np.random.default_rng(4)
    stay = {f"S{i}": (10.0, 12.0, 14 + rng.normal(0, 0.4)) for i in range(8)}
    gone = {f"L{i}": (6.0, 8.0, None) for i in range(2)}
    alone = judged(one(UP), readings(stay | {"L0": gone["L0"]}), head=head())
    assert not only(alone).detail.design.left_tied
    two = only(judged(one(UP), readings(stay | gone), head=head())).detail.design
    assert two.left_early == 2 and (not two.left_tied or two.left_p == pytest.approx(1 / 45))


def test_a_cell_that_is_empty_in_between_is_nothing_to_a_change(judged: Judge, one: One) -> None:
    """A claim from 0 to 20 reads two checkpoints: who was read at both was read every time."""
    rng = np.random.default_rng(4)
    values = {f"S{i}": (10.0, None if i < 3 else 12.0, 14 + rng.normal(0, 0.4)) for i in range(8)}
    v = only(judged(one(UP), readings(values), head=head()))
    assert (v.code, v.reasons, v.detail.design.left) == ("backed", (), ())
    third = values | {"S7": (30.0, 31.0, None)}
    assert only(judged(one(UP), readings(third), head=head())).detail.design.left == ("S7",)


@pytest.mark.parametrize(("stay", "left", "held"), [(16, 2, False), (6, 4, True)])
def test_missing_readings_hold_nothing_back_that_none_of_them_could_turn(
    judged: Judge, one: One, stay: int, left: int, held: bool
) -> None:
    """All with both ends rise by 5, and those without an end began elsewhere.  Wherever near the
    readings two ends lay, the rise of sixteen stands; four could undo that of six."""
    rng = np.random.default_rng(4)
    values = {f"S{i:02d}": (12 + rng.normal(0, 0.3), 12.0, 17 + rng.normal(0, 0.3))
              for i in range(stay)}  # fmt: skip
    gone = {f"L{i}": (10.4 + i / 9, 11.0 + i / 9, None) for i in range(left)}
    judgement = judged(one(UP), readings(values | gone), head=head())
    v = only(judgement)
    assert (v.code == "backed", "dropouts" in v.reasons) == (not held, held)
    assert v.detail.design.left_tied is held and v.detail.design.left == tuple(gone)
    assert ("what is missing may be part of the answer" in told(judgement)) is held


def test_of_those_that_left_only_those_read_at_the_start_are_counted(
    judged: Judge, one: One
) -> None:
    """Of five that lack a reading, two left after the middle; three have nothing at the start."""
    rng = np.random.default_rng(4)
    stay = {f"S{i}": (10.0, 11.0, 12.0 + rng.normal(0, 0.4)) for i in range(8)}
    gone = {f"L{i}": (10.0, 11.5 + i / 9, None) for i in range(2)}
    late = {f"M{i}": (None, 11.0, 12.0) for i in range(3)}
    j = judged(one(UP), readings(stay | gone | late), head=head())
    design = only(j).detail.design
    assert (len(design.left), design.stayed, design.whole_n) == (5, 8, 10)
    text = told(j)
    assert "ver 10 balls, with the last readings of two of those in place of the missing" in text
    assert "each of the others" not in text


def test_a_stronger_answer_beside_one_that_is_open_is_not_called_the_same(
    judged: Judge, one: One
) -> None:
    """Four that stayed leave it open; with twelve more that stood still while they were there, the
    average holds steady."""
    stay = {f"S{i}": (10.0 + i / 9, 10.0 + i / 9 + d / 3, 10.0 + i / 9 + d)
            for i, d in enumerate((1.5, -1.5, 1.4, -1.4))}  # fmt: skip
    gone = {f"L{i}": (10.0 + i / 30, 10.0 + i / 30, None) for i in range(12)}
    j = judged(one(SAME), readings(stay | gone), head=head())
    v = only(j)
    assert (v.code, v.reasons) == ("cannot-tell", ())
    assert v.detail.design.left_turns and not v.detail.design.left_moved
    assert "Either way" not in told(j)
    assert "that and the answer above do not come to the same." in told(j)


def test_an_answer_over_all_that_one_ball_carries_says_so(judged: Judge, one: One) -> None:
    """Some readings are missing was all that a table of sizes said, between two sizes that lean."""
    stay = {f"S{i}": (10.0, 10.0 + d / 2, 10.0 + d) for i, d in enumerate((0.78, 0.8, 0.82))}
    gone = {f"L{i}": (10.0, 10.0 + d, None) for i, d in enumerate((0.95, 0.9, 0.1))}
    j = judged(one(SAME), readings(stay | gone), head=head())
    v, said = only(j), say(j, "viewer").claims["c"]
    assert dict(v.detail.design.alone) == {
        "left_own": "backed", "stayed_code": "backed", "whole_code": "cannot-tell"}
    assert "That over 6 balls is not sure without ball" in " ".join(said.because)
    caught = catch_in_short(teller_for(j, "viewer"), j, v)
    assert caught.startswith("some readings are missing; with the last ones there are, not sure")


def test_who_left_before_the_end_has_no_share_of_a_change_done(judged: Judge, one: One) -> None:
    """The last reading stands for the end; of a share done by then it would make all of it."""
    stay = {f"S{i}": (10.0, 12.0 + i / 50, 20.0 + i / 20) for i in range(6)}
    gone = {"L0": (10.0, 11.0, None)}
    early = "{kind: break-in, measure: y, by: 10, from: 0, to: 20}"
    v = only(judged(one(early), readings(stay | gone), head=head()))
    assert v.estimate == pytest.approx(0.203, abs=0.01)
    assert v.detail.design.whole_n == v.n_items and not v.detail.design.left_turns


@pytest.mark.parametrize(("levels", "held"), [
    ((1.0, 3.0, 2.0, 4.0, 3.5), True), ((2.0, 3.0, 1.0, 2.5, 1.5), False),
])  # fmt: skip
def test_those_who_stayed_and_are_too_few_to_test_are_no_other_verdict(
    judged: Judge, one: One, levels: tuple[float, ...], held: bool
) -> None:
    """Three of five were read to the end, and three have a link without a range around it."""
    rows = [(f"B{k}", use, k + 0.1 * use, z + 0.1 * use)
            for k, z in enumerate(levels) for use in (0, 20)
            if use == 0 or k < 3]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y", "z"])
    j = judged(one("{kind: association, x: y, y: z, direction: positive}"), frame, head=head())
    found = dict(only(j).detail.design.alone)
    assert found["stayed_code"] == "not-tested" != found["left_own"]
    assert ("dropouts" in only(j).reasons) is held
    assert "Taken alone, 3 balls are too few to test it" in told(j)
    assert "not come to the same" not in told(j)


def test_where_those_who_stayed_give_no_answer_none_is_compared(judged: Judge, one: One) -> None:
    """Three were read in full, of two models: with the model held alike nothing is left."""
    rows = []
    for k, (ball, model) in enumerate([*((f"P{i}", "P") for i in range(4)),
                                       *((f"T{i}", "T") for i in range(4))]):  # fmt: skip
        for use in (0, 10, 20):
            gone = use == 20 and k not in (0, 1, 4)
            y = k + 3.0 * (model == "T") + 0.1 * use
            rows.append((ball, model, use, y, None if gone else 2 * y + 0.1 * (k % 3)))
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y", "z"])
    link = "{kind: association, x: y, y: z, direction: positive}"
    j = judged(one(link), frame, head=head(tested=", group: model"))
    assert only(j).detail.design.left_turns
    assert "too little is left to judge by" in told(j)
    assert "not come to the same" not in told(j)


def test_dropouts_like_the_others_are_counted_and_named(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(4)
    stay = {f"S{i}": (10 + rng.normal(0, 0.5), 12.0 + rng.normal(0, 0.4), 14 + rng.normal(0, 0.4))
            for i in range(8)}  # fmt: skip
    gone = {"L0": (10.1, 12.1, None), "L1": (9.8, 11.9, None)}
    j = judged(one(UP), readings(stay | gone), head=head())
    v = only(j)
    assert (v.code, v.reasons) == ("backed", ())
    text = told(j)
    assert "ball L0 and ball L1" in text and "comes to the same" in text
    (record,) = results(j)["claims"]
    assert record["design"]["left"] == ["L0", "L1"]
    assert record["design"]["stayed_estimate"] == pytest.approx(v.estimate)


@pytest.mark.parametrize("out", ["", "excluded:\n  - {table: t, row: 31, why: It fell.}\n"])
def test_answers_beside_one_that_holm_holds_back_are_compared_taken_alone(
    judged: Judge, one: One, out: str
) -> None:
    """What the other answer would get after the correction nobody worked out."""
    ends = (1.4, -0.7, 3.0, -0.2, 2.8, -0.4, 1.9, 2.2, 1.0)
    stay = {f"S{i}": (10.0, 10.5, 10 + end) for i, end in enumerate(ends)}
    frame = readings(stay | {"L0": (10.0, 11.2, 11.2 if out else None)})
    frame["z"] = [1.0 + 0.1 * (k % 4) for k in range(len(frame))]
    claims = one(UP) + one(UP.replace("y,", "z,"), "d")
    text = told(j := judged(claims, frame, head=head(), more=out))
    v = j.verdict("c")
    assert "holm" in v.reasons and dict(v.detail.design.alone)[
        "with_own" if out else "left_own"] == "backed"
    assert "comes to the same" in text and "not come to the same" not in text


def test_nobody_left(judged: Judge, one: One) -> None:
    v = only(judged(one(UP), readings({f"S{i}": (1.0, 2.0, 3.0 + i / 9) for i in range(6)}),
                    head=head()))  # fmt: skip
    assert v.detail.design.left == ()


# --- left out by hand

def test_exclusion_decides(judged: Judge, one: One) -> None:
    """Seven balls rise by one or two; an eighth, left out, fell by nine."""
    values = {f"B{i}": (10.0, 11.0, 11.0 + i / 6) for i in range(7)} | {"B7": (10.0, 9.0, 1.0)}
    frame = readings(values)
    last = len(frame) + 1
    out = f"excluded:\n  - {{table: t, row: {last}, why: It fell off the bench.}}\n"
    j = judged(one(UP), frame, head=head(), more=out)
    v = only(j)
    assert (v.code, "exclusion-decides" in v.reasons) == ("cannot-tell", True)
    assert v.estimate == pytest.approx(1.5) and v.detail.design.with_estimate < 1
    assert_verdicts_told(v.detail.design, "with_own with_code", told(j))
    assert f"B7 in row {last}" in told(j)


def test_an_exclusion_that_decides_nothing_stands_beside(judged: Judge, one: One) -> None:
    values = {f"B{i}": (10.0, 11.0, 12.0 + i / 6) for i in range(8)}
    out = "excluded:\n  - {table: t, row: 4, why: It fell off the bench.}\n"
    j = judged(one(UP), readings(values), head=head(), more=out)
    v = only(j)
    assert (v.code, v.reasons) == ("backed", ())
    assert v.detail.design.excluded == ("B0 in row 4",)
    assert "comes to the same" in told(j)


# --- confounded

def by_operator(rise: float, gap: float) -> tuple[pd.DataFrame, pd.DataFrame, str]:
    """Ann reads at 0 games, Bea at 20; a gauge check in which Bea reads ``gap`` higher."""
    rng = np.random.default_rng(6)
    rows = [(f"B{i}", u, 10 + i / 3 + (rise + rng.normal(0, 0.1) if u else 0.0), who)
            for i in range(8) for u, who in ((0, "Ann"), (20, "Bea"))]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y", "operator"]).assign(z=1.0)
    check = [(f"G{i}", who, r, i + (gap if who == "Bea" else 0.0) + rng.normal(0, 0.05))
             for i in range(5) for who in ("Ann", "Bea") for r in (1, 2)]  # fmt: skip
    gauge = pd.DataFrame(check, columns=["ball", "operator", "again", "y"])
    claim = ("  - {id: g, report_says: Good., plainly: Good., test: {kind: repeatability, table: "
             "gauge, measure: y, operator: operator, repeat: again}}\n")  # fmt: skip
    return frame, gauge, claim


@pytest.mark.parametrize(("gap", "code"), [(2.5, "leans"), (0.3, "backed")])
def test_confounded_with_an_operator(judged: Judge, one: One, gap: float, code: str) -> None:
    frame, gauge, claim = by_operator(2.0, gap)
    up = UP.replace("measure: y", "measure: y, table: t")
    j = judged(one(up) + claim, {"t": frame, "gauge": gauge}, head=head())
    v = j.verdict("c")
    assert (v.code, "confounded" in v.reasons) == (code, True)
    assert v.detail.design.operators_apart == pytest.approx(gap, abs=0.1)
    text = told(j)
    assert "A on the one side, B on the other" in text
    assert ("could be all that was found" in text) is (code == "leans")


def test_confounded_is_found_from_a_column_that_nothing_names(judged: Judge, one: One) -> None:
    frame, _, _ = by_operator(2.0, 0.0)
    v = only(judged(one(UP), frame, head=head()))
    assert (v.code, v.reasons) == ("backed", ("confounded",))
    both = frame.assign(operator=["Ann", "Bea", "Bea", "Ann"] * 4)
    assert only(judged(one(UP), both, head=head())).reasons == ()
    words = frame.rename(columns={"operator": "note"})
    assert only(judged(one(UP), words, head=head())).reasons == ()


def test_confounded_lane_and_model(judged: Judge, one: One) -> None:
    rows = [(f"B{i}", "MN"[i % 2], 0, 10.0 + 3 * (i % 2) + i / 20, i % 2 + 3) for i in range(12)]
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y", "lane"]).assign(z=1.0)
    test = "{kind: difference, measure: y, by: model, a: N, b: M, direction: higher}"
    v = only(judged(one(test), frame, head=head()))
    assert v.reasons == ("confounded",) and v.detail.design.confounder == "lane"
    turns = frame.assign(lane=[3, 4, 4, 3] * 3)
    assert only(judged(one(test), turns, head=head())).reasons == ()


def test_confounded_one_session_a_ball(judged: Judge, one: One) -> None:
    x = np.arange(8.0)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(8)], "y": 2 * x + (x % 3) / 4, "z": x,
                          "session": [f"S{i}" for i in range(8)]})  # fmt: skip
    bare = head().replace("use: {column: games}\n", "")
    test = "{kind: association, x: z, y: y, direction: positive}"
    v = only(judged(one(test), frame, head=bare))
    assert "confounded" in v.reasons and v.detail.design.confounded_with == "ball"
    shared = frame.assign(session=["S1", "S2"] * 4)
    assert "confounded" not in only(judged(one(test), shared, head=bare)).reasons


@pytest.mark.parametrize(
    ("turns", "parted"),
    [(("first", "second"), True), (("2026-03-01", "2026-03-08"), True), ((1, 2), True),
     ((1, 1), False)],
)  # fmt: skip
def test_confounded_with_what_came_first(
    judged: Judge, one: One, turns: tuple[object, object], parted: bool
) -> None:
    """Everybody throws on the short oil first; by half of them the other way round is no such."""
    made = {"short": [32 + 3 * i % 5 for i in range(10)],
            "long": [24 + 2 * i % 5 for i in range(10)]}  # fmt: skip
    rows = [(f"B{i}", oil, turn, made[oil][i], 60)
            for i in range(10) for oil, turn in zip(made, turns, strict=True)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "oil", "order", "strikes", "shots"])
    bare = head().replace("use: {column: games}\n", "").replace(
        "  z: {unit: microinch}", "  strikes: {unit: count}\n  shots: {unit: count}"
    ).replace("  y: {unit: board, matters_from: 1}\n", "")  # fmt: skip
    test = ("{kind: rate-difference, successes: strikes, attempts: shots, by: oil, a: short, "
            "b: long, within: ball, direction: higher}")  # fmt: skip
    j = judged(one(test), frame, head=bare)
    v = only(j)
    assert (v.code, "confounded" in v.reasons) == ("backed", parted)
    assert ("“short” came first each time and “long” after" in told(j)) is parted
    assert ("two things changed together" in say(j).headline) is parted
    swapped = frame.assign(order=[*turns, *reversed(turns)] * 5)
    assert "confounded" not in only(judged(one(test), swapped, head=bare)).reasons


def in_turn(firsts: int, of: int, drift: float, gap: float, noise: float = 0.3) -> pd.DataFrame:
    """Balls on two oils, ``firsts`` of them on the short one first; the second throw reads
    ``drift`` more whatever it is, the short oil ``gap`` more."""
    rng = np.random.default_rng(17)
    rows = []
    for i in range(of):
        level, oils = rng.normal(10, 2), ("short", "long") if i < firsts else ("long", "short")
        rows += [(f"B{i}", oil, turn, level + drift * (turn - 1) + gap * (oil == "short")
                  + rng.normal(0, noise)) for turn, oil in enumerate(oils, start=1)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "oil", "turn", "y"]).assign(z=1.0)


TURNS = "{kind: difference, measure: y, by: oil, a: short, b: long, within: ball, direction: %s}"


def test_confounded_where_nine_of_twelve_had_the_one_order(judged: Judge, one: One) -> None:
    """Two boards less on the second throw, nothing by the oil: the plain mean is off by one."""
    bare = head().replace("use: {column: games}\n", "")
    frame = in_turn(9, 12, -2.0, 0.0)
    j = judged(one(TURNS % "higher"), frame, head=bare)
    v, d = only(j), only(j).detail.design
    assert v.estimate is not None and v.estimate > 0.7
    assert ("confounded" in v.reasons, v.code, d.turn_decides) == (True, "cannot-tell", True)
    gaps = frame.pivot_table(index="ball", columns="oil", values="y")
    gap, first = gaps["short"] - gaps["long"], [f"B{i}" for i in range(9)]
    by_hand = (gap[first].mean() + gap.drop(first).mean()) / 2
    assert (d.turn_a, d.turn_b, d.turn_estimate) == (9, 3, pytest.approx(by_hand))
    assert "Nine balls had “short” first and 3 balls “long”" in told(j)
    assert_verdicts_told(d, "turn_own turn_code", told(j))
    assert "leaves behind for the other, nothing here can show" in told(j)


@pytest.mark.parametrize(("firsts", "gap", "drift", "reason"), [
    (6, 1.5, -2.0, False), (9, 3.0, -0.5, False), (11, 3.0, -0.5, True), (12, 3.0, 0.0, True),
])  # fmt: skip
def test_confounded_orders_that_hold_nothing_back(
    judged: Judge, one: One, firsts: int, gap: float, drift: float, reason: bool
) -> None:
    """As many of either; a gap that stands with each order once; one odd ball; none at all."""
    bare = head().replace("use: {column: games}\n", "")
    j = judged(one(TURNS % "higher"), in_turn(firsts, 12, drift, gap), head=bare)
    v = only(j)
    assert (v.code, "confounded" in v.reasons) == ("backed", reason)
    assert ("leaves behind for the other" in told(j)) is (firsts < 10)
    assert ("too few in one of the two orders" in told(j)) is (firsts == 11)


def test_confounded_orders_are_no_unequal_stretches(judged: Judge, one: One) -> None:
    """The order is declared; half had either oil first: no oil was read over another stretch."""
    bare = head().replace("use: {column: games}\n", "")
    frame, keys = in_turn(6, 12, -0.5, 3.0), {"t": ", order: turn"}
    v = only(judged(one(TURNS % "higher"), frame, head=bare, table_keys=keys))
    assert (v.code, v.reasons, v.detail.design.turn_a) == ("backed", (), 6)


def test_confounded_orders_of_rates(judged: Judge, one: One) -> None:
    rows = [(f"W{i}", oil, turn, 30 + i % 3 - 12 * (turn == 2), 60) for i in range(12)
            for turn, oil in enumerate(("a", "b") if i < 9 else ("b", "a"), start=1)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "oil", "turn", "made", "tried"])
    frame["made"] += [k % 4 for k in range(len(frame))]
    test = ("{kind: rate-difference, successes: made, attempts: tried, by: oil, a: a, b: b, "
            "within: ball, direction: higher}")  # fmt: skip
    bare = "title: A\nquestion: Is it?\ntested: {each: ball}\nmeasures: {}\n"
    v = only(judged(one(test), frame, head=bare))
    assert (v.detail.design.turn_decides, v.code) == (True, "cannot-tell")
    assert v.detail.design.turn_estimate == pytest.approx(0.0, abs=0.03)


# --- chosen by their own first reading

def scores(n: int = 30, u: float = 3.0, seed: int = 5) -> pd.DataFrame:
    """First and second reading of true values that do not change, with gauge error ``u``."""
    rng = np.random.default_rng(seed)
    true = rng.normal(50, 3, n)
    values: dict[str, tuple[float | None, ...]] = {
        f"B{i}": (t + rng.normal(0, u), t + rng.normal(0, u)) for i, t in enumerate(true)
    }
    return readings(values, (0, 20))


def highest(frame: pd.DataFrame, k: int = 8) -> pd.DataFrame:
    """Only the ``k`` highest at first were read again."""
    top = set(frame[frame["games"] == 0].nlargest(k, "y")["ball"])
    return frame[(frame["games"] == 0) | frame["ball"].isin(top)]


def test_chosen_as_the_highest_fall_back_by_themselves(judged: Judge, one: One) -> None:
    frame = highest(scores())
    v = only(judged(one(DOWN), frame, head=head(", repeatability_sd: 3")))
    assert v.estimate is not None and v.estimate < -2
    assert "chosen" in v.reasons and v.code != "backed"
    d = v.detail.design
    assert (d.chosen_side, d.chosen_declared, d.chosen_holds) == (1, False, False)


def test_chosen_but_moved_further_than_falling_back(judged: Judge, one: One) -> None:
    frame = highest(scores())
    frame.loc[frame["games"] == 20, "y"] -= 15
    j = judged(one(DOWN), frame, head=head(", repeatability_sd: 3"))
    v = only(j)
    assert (v.code, "chosen" in v.reasons) == ("backed", True)
    assert v.detail.design.chosen_holds
    assert "does not explain what was found" in told(j)
    unknown = only(judged(one(DOWN), frame, head=head()))
    assert unknown.code == "leans" and unknown.detail.design.falls_back is None


def test_chosen_is_declared(judged: Judge, one: One) -> None:
    frame = scores()
    frame.loc[frame["games"] == 20, "y"] -= 3
    tops = frame[frame["ball"].isin([f"B{i}" for i in range(10)])]
    v = only(judged(one(DOWN), tops, head=head(", repeatability_sd: 3", ", chosen_by: y")))
    assert "chosen" in v.reasons and v.code != "backed"
    assert v.detail.design.falls_back == pytest.approx(1.755 * 3)
    other = only(judged(one(DOWN), tops, head=head(", repeatability_sd: 0.1", ", chosen_by: z")))
    assert "chosen" in other.reasons and other.detail.design.chosen_holds


def test_one_group_alone_was_chosen(judged: Judge, one: One) -> None:
    """The lowest were coached: that is a doubt about them, and about them against the rest; none
    about everybody."""
    frame = scores()
    frame.loc[frame["games"] == 20, "y"] += 3
    low = set(frame[frame["games"] == 0].nsmallest(8, "y")["ball"])
    frame["part"] = ["coached" if ball in low else "rest" for ball in frame["ball"]]
    tested = ", chosen_by: {by: y, only: {part: coached}}"
    up = DOWN.replace("direction: down", "direction: up")
    claims = one(up, "everybody") + one(
        up.replace("}", ", only: {part: coached}}"), "coached") + one(
        up.replace("}", ", only: {part: rest}}"), "rest") + one(
        "{kind: difference-in-change, measure: y, from: 0, to: 20, by: part, a: coached, b: rest, "
        "direction: higher}", "more")  # fmt: skip
    j = judged(claims, frame, head=head(", repeatability_sd: 3", tested))
    assert "chosen" not in j.verdict("everybody").reasons
    for id in ("coached", "more"):
        design = j.verdict(id).detail.design
        assert "chosen" in j.verdict(id).reasons and design.chosen_declared
        assert design.chosen_who == ("coached",) and design.chosen_side == -1
        why = " ".join(say(j).claims[id].because)
        assert "The coached ones were picked for the lowest" in why
    near, back = j.verdict("more").low, j.verdict("more").detail.design.falls_back
    assert near is not None and back is not None  # not picked alike: it rests on the size alone
    assert j.verdict("more").detail.design.chosen_holds == (near > back)
    assert not j.verdict("rest").detail.design.chosen_declared
    all_of_them = judged(one(up), frame, head=head(", repeatability_sd: 3", ", chosen_by: y"))
    assert "chosen" in only(all_of_them).reasons


def test_one_group_was_chosen_and_another_table_says_which(judged: Judge, one: One) -> None:
    """The readings have no column of who was coached; a list of names has."""
    frame = scores()
    low = frame[frame["games"] == 0].nsmallest(8, "y")["ball"].tolist()
    frame = frame[(frame["games"] == 0) | frame["ball"].isin(low)]
    names = pd.DataFrame({"ball": sorted(set(frame["ball"]))})
    names["part"] = ["coached" if b in low else "rest" for b in names["ball"]]
    tested = ", chosen_by: {by: y, only: {part: coached}}"
    up = DOWN.replace("direction: down", "direction: up")
    j = judged(one(up), {"t": frame, "names": names}, head=head(", repeatability_sd: 3", tested))
    v = only(j)
    assert ("chosen" in v.reasons, v.detail.design.chosen_who) == (True, ("coached",))


def test_chosen_and_counted(judged: Judge, one: One) -> None:
    """That most of the highest fell is no news; that most fell by ten boards more is."""
    test = DOWN.replace("kind: change", "kind: share-of-items").replace("}", ", share: most}")
    frame = highest(scores(60), 16)
    fooled = only(judged(one(test), frame, head=head(", repeatability_sd: 1")))
    assert ("chosen" in fooled.reasons, fooled.code == "backed") == (True, False)
    frame.loc[frame["games"] == 20, "y"] -= 25
    v = only(judged(one(test), frame, head=head(", repeatability_sd: 3")))
    assert (v.code, "chosen" in v.reasons, v.detail.design.chosen_holds) == ("backed", True, True)


def test_chosen_with_another_reading_before(judged: Judge, one: One) -> None:
    """Picked at game 0; the change is counted from game 10, which is a reading of its own."""
    rng = np.random.default_rng(8)
    values = {f"B{i}": (60.0 + i, 50.0 + i, 46.0 + i + rng.normal(0, 0.5)) for i in range(8)}
    test = DOWN.replace("from: 0", "from: 10")
    v = only(judged(one(test), readings(values), head=head("", ", chosen_by: y")))
    assert (v.code, "chosen" in v.reasons) == ("backed", True)


def test_a_model_or_a_random_part_was_not_chosen(judged: Judge, one: One) -> None:
    frame = scores()
    some = frame[(frame["games"] == 0) | frame["ball"].isin([f"B{i}" for i in range(8)])]
    assert "chosen" not in only(judged(one(DOWN), some, head=head())).reasons
    model = highest(frame)
    top = set(model[model["games"] == 20]["ball"])
    model = model.assign(model=["M" if b in top else "N" for b in model["ball"]])
    v = only(judged(one(DOWN), model, head=head("", ", group: model")))
    assert "chosen" not in v.reasons


# --- an error that all share at a checkpoint

def test_a_declared_shared_error_widens_a_change(judged: Judge, one: One) -> None:
    frame = readings({f"B{i}": (10.0 + i, 11.0, 12.0 + i + (i % 3) / 4) for i in range(8)})
    plain = only(judged(one(UP), frame, head=head()))
    wide = judged(one(UP), frame, head=head("", ", shared_sd: {y: 1.2}"))
    v = only(wide)
    assert (plain.code, v.code) == ("backed", "leans")
    se = float(np.std([(i % 3) / 4 for i in range(8)], ddof=1)) / 8**0.5
    total = (se**2 + 2 * 1.2**2) ** 0.5
    assert v.high is not None and v.high - v.estimate == pytest.approx(1.96 * total, rel=1e-3)
    assert "allowed for" in told(wide)
    assert plain.detail.design.unshared and not v.detail.design.unshared


def test_a_reference_ball_sets_the_day_right(judged: Judge, one: One) -> None:
    """All read two higher on the last day, the reference, too: nothing rose."""
    values = {f"B{i}": (10.0 + i, 11.0 + i, 12.0 + i + (i % 3) / 8) for i in range(8)}
    frame = readings(values | {"R": (5.0, 6.0, 7.0)})
    fooled = only(judged(one(UP), readings(values), head=head(", repeatability_sd: 0.1")))
    j = judged(one(UP), frame, head=head(", repeatability_sd: 0.1", ", reference: R"))
    v = only(j)
    assert (fooled.code, v.n_items) == ("backed", 8)
    assert v.code != "backed" and v.estimate == pytest.approx(0.11, abs=0.02)
    assert "ball R" in told(j)


def test_a_shared_error_widens_a_break_in_and_a_line(judged: Judge, one: One) -> None:
    rng = np.random.default_rng(9)
    values = {f"B{i}": (20.0, 12.0 + rng.normal(0, 0.2), 12.0 + rng.normal(0, 0.2))
              for i in range(8)}  # fmt: skip
    test = "{kind: break-in, measure: y, from: 0, by: 10, to: 20}"
    plain = only(judged(one(test), readings(values), head=head()))
    wide = only(judged(one(test), readings(values), head=head("", ", shared_sd: {y: 1.5}")))
    assert (plain.code, wide.code) == ("backed", "cannot-tell")
    line = "{kind: same-line, x: z, y: y}"
    rows = [(f"B{i}", u, 3.0 * i + 2.0 * u / 10 + rng.normal(0, 0.1), 3.0 * i + 2 * u / 10)
            for i in range(8) for u in (0, 10, 20)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y", "z"])
    gauged = head().replace("z: {unit: microinch}", "z: {unit: microinch, repeatability_sd: 0.01}")
    near = only(judged(one(line), frame, head=gauged))
    far = only(judged(one(line), frame, head=gauged.replace(
        "each: ball", "each: ball, shared_sd: {y: 3}")))  # fmt: skip
    assert near.high is not None and far.high is not None
    assert (near.code, far.code != "backed", far.high > near.high) == ("backed", True, True)


def test_what_holds_a_range_back_is_named_wherever_it_is_hinted_at(
    judged: Judge, one: One
) -> None:
    """Those that left began smoother: the range is wholly on one side, and what holds it back is
    who is missing.  That is said beside the number, in the two minutes, in the open question, and
    what would settle it is that nobody is missed, though all are of one model, too."""
    rng = np.random.default_rng(4)
    stay = {f"S{i}": (10 + rng.normal(0, 0.3), 12.0, 14 + rng.normal(0, 0.4)) for i in range(8)}
    gone = {f"L{i}": (6.0 + i / 9, 7.9 + i / 9, None) for i in range(3)}
    frame = readings(stay | gone).assign(model="Plover")
    other = readings({f"T{i}": (9.0, None, None) for i in range(3)}).assign(model="Teasel")
    for frames in (frame, pd.concat([frame, other], ignore_index=True)):
        judgement = judged(one(UP), frames,
                           head=head(tested=", group: model"))
        (v,) = judgement.verdicts
        assert v.code == "leans" and "dropouts" in v.reasons and v.low > 0
        words = say(judgement)
        claim = words.claims[v.claim.id]
        assert "what holds it back to a lean: some readings are missing" in claim.says
        assert "What holds it back: some readings are missing" in words.questions[0][1]
        assert claim.settle == "The same test with every ball read every time."
        assert "something else" not in " ".join(words.long)


def test_a_look_that_takes_nothing_is_no_catch(judged: Judge, one: One) -> None:
    """The range is too wide by itself; that those picked come back is said, and holds nothing."""
    rng = np.random.default_rng(4)
    low = {f"A{i}": (5.0 + i / 9, 6.0, 6.0 + rng.normal(0, 3)) for i in range(6)}
    high = {f"B{i}": (15.0 + i / 9, 15.0, 15.0 + rng.normal(0, 3)) for i in range(6)}
    frame = readings(low | high)
    frame["side"] = frame["ball"].str[0]
    test = ("{kind: difference-in-change, measure: y, from: 0, to: 20, by: side, a: A, b: B, "
            "direction: lower, at_least: 2}")  # fmt: skip
    judgement = judged(one(test), frame, head=head())
    v = only(judgement)
    assert v.code == "cannot-tell" and "chosen" in v.reasons and v.detail.idle == ("chosen",)
    assert the_catch(v) == ""
    assert say(judgement).claims[v.claim.id].held == ""
    assert "The A ones look as if they had been picked" in told(judgement)
    grouped = frame.rename(columns={"side": "model", "ball": "bowler"})
    named = judged(one(test.replace("by: side", "by: model")), grouped,
                   head=head(tested=", group: model").replace("each: ball", "each: bowler"))
    assert "chosen" not in only(named).reasons


def test_of_those_that_changed_otherwise_only_those_that_changed_are_counted(
    judged: Judge, one: One
) -> None:
    """Three have no end; one of them was read once, and changed by nothing that anybody saw."""
    rng = np.random.default_rng(3)
    stay = {f"S{i}": (10.0 + rng.normal(0, 0.1), 11.0 + rng.normal(0, 0.2),
                      12.0 + rng.normal(0, 0.4)) for i in range(8)}  # fmt: skip
    gone = {"L0": (10.0, 9.0, None), "L1": (10.1, 9.2, None), "L2": (10.0, None, None)}
    judgement = judged(one(UP), readings(stay | gone), head=head())
    design = only(judgement).detail.design
    assert (design.left_by, len(design.left), design.left_early) == ("change", 3, 2)
    assert "The 2 balls read more than once and not at the end seem to have changed otherwise" in (
        told(judgement))  # fmt: skip


def test_that_another_place_gives_a_larger_uncertainty_is_said(judged: Judge, one: One) -> None:
    """A claim takes its readings as exact, another says that they may be off by 0.3."""
    frame = pd.DataFrame({"ball": list("abc"), "games": 0, "y": (10.0, 10.2, 12.0), "z": 1.0})
    limit = "{{kind: limit, measure: y, at: 0, at_most: 10.4, u: {u}}}"
    exact, off = one(limit.format(u=0), "exact"), one(limit.format(u=0.3), "off")
    words = say(judged(exact + off, frame, head=head())).claims
    assert "the largest counts everywhere" in words["exact"].method
    assert "the largest counts everywhere" not in words["off"].method
    assert "largest" not in say(judged(exact, frame, head=head())).claims["exact"].method
