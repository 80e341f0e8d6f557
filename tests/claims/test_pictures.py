"""What figures point at that no claim asks about: the rule's limit, and whose hand reads high."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from explainer.claims.judge import judge
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say

HOME = Path(__file__).resolve().parents[2]


def found(judgement, figure: str, kind: str) -> dict:
    [picture] = [p for p in judgement.figures if p.figure.id == figure]
    return next((dict(f.numbers) for f in picture.findings if f.kind == kind), {})


def example(name: str):
    return judge(load_study(HOME / "studies" / name, open_workspace(HOME)))


def test_the_last_readings_are_held_against_the_rule():
    """At game 60: 68, 38, 47, 31, 56, 68, 66 and 47; up to 37 misses 40, from 43 on meets it."""
    calls = found(example("cover-texture"), "texture-over-play", "rule")
    assert calls == {"n_meets": 6, "n_misses": 1, "n_close": 1, "at": 60.0}
    assert found(example("cover-texture"), "hardness-over-play", "rule") == {}


GAUGE = """\
figures:
  - {id: hands, kind: gauge, table: t, y: x, operator: who, repeat: again}
"""
CLAIM = "  - {id: c, report_says: Yes., plainly: Yes., test: {kind: not-testable, because: No.}}\n"


@pytest.mark.parametrize(("bias", "always", "high"), [(0.8, True, "B"), (0.0, False, None)])
def test_who_reads_high_is_named_and_whether_always(judged, bias, always, high):
    frame = pd.DataFrame(
        [(f"K{ball}", who, again, 70 + ball + (bias if who == "B" else 0) + again / 10)
         for ball in range(1, 6) for who in "ABC" for again in (1, 2)],
        columns=["ball", "who", "again", "x"],
    )  # fmt: skip
    head = "title: T\nquestion: Q?\ninvented: yes\ntested: {each: ball}\nmeasures:\n" \
           "  x: {term: hardness, unit: Shore D}\n"  # fmt: skip
    numbers = found(judged(CLAIM, frame, head=head, more=GAUGE), "hands", "operators")
    if high is None:
        assert numbers == {}
    else:
        assert (numbers["high"], numbers["always"]) == (high, always)
        assert numbers["apart"] == pytest.approx(bias)


BENCH = "title: T\nquestion: Q?\ninvented: yes\ntested: {each: ball}\nmeasures:\n" \
        "  y: {term: total hook, unit: board}\n"  # fmt: skip


def test_the_gap_of_balls_read_both_ways_is_that_within_each_ball(judged):
    """Fresh less worn, ball by ball: the balls' own levels, wide apart, are no scatter of it."""
    fresh, worn = [10.0, 14.0, 19.0, 25.0], [9.1, 12.8, 18.2, 23.7]
    frame = pd.DataFrame(
        [(f"K{i}", how, y) for how, side in (("fresh", fresh), ("worn", worn))
         for i, y in enumerate(side)], columns=["ball", "cover", "y"],
    )  # fmt: skip
    said = found(judged(CLAIM, frame, head=BENCH, more="figures:\n  - {id: f, kind: groups, "
                        "table: t, y: y, by: cover}\n"), "f", "difference")  # fmt: skip
    gaps = np.subtract(fresh, worn)
    half = stats.t.ppf(0.975, 3) * stats.sem(gaps)
    assert (said["a"], said["b"], said["n_items"]) == ("fresh", "worn", 4)
    assert [said["low"], said["high"]] == pytest.approx([gaps.mean() - half, gaps.mean() + half])


def test_two_paths_part_at_the_first_foot_where_the_band_leaves_out_zero(judged):
    """Alike to a hair down to 30 feet, half a board apart at 40, a whole one at 50 and 60."""
    apart = {10: 0.0, 20: 0.0, 30: 0.0, 40: 0.5, 50: 1.0, 60: 1.2}
    wobble = (0.01, -0.02, 0.0, 0.02, -0.01)
    frame = pd.DataFrame(
        [(f"K{i}", game, feet, 10 + i + bool(game) * (gap + (-1) ** (i * feet // 10) * own))
         for i, own in enumerate(wobble) for game in (0, 60) for feet, gap in apart.items()],
        columns=["ball", "game", "feet", "y"],
    )  # fmt: skip
    said = found(judged(CLAIM, frame, head=BENCH, more="figures:\n  - {id: f, kind: ball-paths, "
                        "table: t, distance: feet, board: y, by: game}\n"), "f", "difference-at")
    assert (said["from"], said["count"], said["largest_at"]) == (40, 3, 60)
    assert said["largest"] == pytest.approx(1.2, abs=0.01)


def test_the_widest_gap_is_one_that_is_sure_where_some_are(judged):
    """A board apart at 50 feet in every ball, and at 60 by far more or less, or the other way."""
    frame = pd.DataFrame(
        [(f"K{i}", game, feet, 10 + i + bool(game) * gap)
         for i, wide in enumerate((9.0, -5.0, 6.0, -4.0)) for game in (0, 60)
         for feet, gap in ((40, 0.1 * i), (50, 1 + 0.02 * i), (60, wide))],
        columns=["ball", "game", "feet", "y"],
    )  # fmt: skip
    said = found(judged(CLAIM, frame, head=BENCH, more="figures:\n  - {id: f, kind: ball-paths, "
                        "table: t, distance: feet, board: y, by: game}\n"), "f", "difference-at")
    assert (said["from"], said["count"], said["largest_at"]) == (50, 1, 50)


@pytest.mark.parametrize(("more", "averaged", "patched"), [
    ((), False, False), ((30, 40), True, True), ((0, 30, 40), True, False),
])  # fmt: skip
def test_a_path_of_more_readings_at_some_marks_than_at_others_is_known(
    judged, more, averaged, patched
):
    """Which readings make its average changes along the lane, and may bend it."""
    frame = pd.DataFrame(
        [("B0", feet, board) for board, marks in ((15.0, (0, 30, 40)), (12.0, more))
         for feet in marks] + [("B1", feet, 15.0) for feet in (0, 30, 40)],
        columns=["ball", "feet", "y"],
    )  # fmt: skip
    data = judged(CLAIM, frame, head=BENCH, more="figures:\n  - {id: f, kind: ball-paths, "
                  "table: t, distance: feet, board: y}\n").figure("f").data  # fmt: skip
    assert (data.averaged, data.patched) == (averaged, patched)


def test_a_rate_is_rounded_from_its_counts():
    """23 of 80 is 28.75%, which a share times a hundred is a hair less than."""
    assert 100 * (23 / 80) < 28.75
    rates = {tuple(row[:2]): row[4] for row in table_of("strikes-and-oil", "strike-rates").rows}
    assert rates["W3", "long"] == 28.75


def test_bowlers_who_come_out_alike_leave_no_less_open_than_their_shots(judged):
    """5, 5, 5 and 6 of 10: by the bowlers 45 to 60%, and 21 in 40 by Wilson 37.5 to 67.1%."""
    frame = pd.DataFrame([(f"B{i}", oil, made, 10) for oil in ("long", "short")
                          for i, made in enumerate((5, 5, 5, 6))],
                         columns=["bowler", "oil", "strikes", "shots"])  # fmt: skip
    more = ("figures:\n  - {id: f, kind: rates, table: t, successes: strikes, attempts: shots, "
            "by: oil}\n")  # fmt: skip
    claim = "  - {id: c, report_says: Y., plainly: Y., test: {kind: not-testable, because: no}}\n"
    head = "title: A test\nquestion: Does it?\ninvented: yes\ntested: {each: bowler}\n"
    judgement = judged(claim, frame, head=head, more=more)
    for rate in judgement.figure("f").data.pooled:
        assert (rate.low, rate.high) == pytest.approx((0.3750, 0.6706), abs=1e-4)
    assert "going by the bowlers and the shots" in say(judgement).figures["f"].note


@pytest.mark.parametrize(("tries", "low", "high", "goes_by"), [
    (100, 0.0892, 0.9108, "going by the bowlers"),
    # Somebody else each time: Wilson's range, of 2 in 4.
    (1, 0.1500, 0.8500, "if all the tries are alike"),
])  # fmt: skip
def test_a_rates_range_rests_on_what_its_claim_rests_on(judged, tries, low, high, goes_by):
    """Four bowlers at 20, 40, 60 and 80%: by their residuals the total is 50% ± 3.182 × 12.9, and
    as if their 400 shots were by 400 bowlers it would be 50% ± 4.9."""
    made = [0.2, 0.4, 0.6, 0.8] if tries > 1 else [0, 0, 1, 1]
    frame = pd.DataFrame([(f"{oil}{i}", oil, share * tries, tries) for oil in ("long", "short")
                          for i, share in enumerate(made)],
                         columns=["bowler", "oil", "strikes", "shots"])  # fmt: skip
    claim = ("  - {id: c, report_says: Yes., plainly: Yes., figure: f, test: {kind: "
             "rate-difference, successes: strikes, attempts: shots, by: oil, a: long, b: short}}\n")
    more = ("figures:\n  - {id: f, kind: rates, table: t, successes: strikes, attempts: shots, "
            "by: oil}\n")  # fmt: skip
    head = "title: A test\nquestion: Does it?\ninvented: yes\ntested: {each: bowler}\n"
    judgement = judged(claim, frame, head=head, more=more)
    rates = judgement.figure("f").data.pooled
    assert [(r.low, r.high) for r in rates] == [pytest.approx((low, high), abs=1e-4)] * 2
    assert judgement.verdicts[0].n_items == 8
    words = say(judgement, "viewer").figures["f"]
    assert goes_by in words.note
    assert ("how unlike the bowlers are" in words.how_to_read) == (tries > 1)


def covers(held: str, kinds: int) -> tuple[str, pd.DataFrame]:
    """Balls that hook less the harder they are within each cover, and more from cover to cover."""
    frame = pd.DataFrame(
        [(f"K{kind}{i}", f"{'abcdefg'[kind]}", 10.0 + kind, 70 + 2 * kind + i / 2,
          9 + 2 * kind - i / 2 + (-1) ** (i + kind) / 20)
         for kind in range(kinds) for i in range(5)],
        columns=["ball", "cover", "layer", "h", "y"],
    )  # fmt: skip
    claim = ("  - {id: c, report_says: Yes., plainly: Yes., figure: f, test: {kind: association, "
             f"table: t, x: h, y: y, direction: negative{held}}}}}\n")  # fmt: skip
    return claim, frame


@pytest.mark.parametrize(
    ("held", "kinds", "groups"),
    [
        (", given: [cover]", 3, {"a", "b", "c"}),
        ("", 3, {""}),  # nothing is held alike
        (", given: [layer]", 3, {""}),  # a number has no looks
        (", given: [cover, layer]", 3, {""}),  # not by one thing alone
        (", given: [cover]", 7, {""}),  # more than dots have looks
    ],
)
def test_what_a_claim_holds_alike_can_be_seen_in_its_dots(judged, held, kinds, groups):
    claim, frame = covers(held, kinds)
    head = BENCH + "  h: {term: hardness, unit: Shore D}\n"
    more = "figures:\n  - {id: f, kind: scatter, table: t, x: h, y: y}\n"
    judgement = judged(claim, frame, head=head, more=more)
    [shown] = judgement.figures
    assert {point.group for point in shown.data.points} == groups


@pytest.mark.parametrize(
    ("name", "figure", "ahead"),
    [
        ("strikes-and-oil", "speed-and-strikes", ("bowler",)),
        ("cover-texture", "texture-over-play", ("ball", "model")),
        ("sixty-shots", "flare-and-hook", ("ball", "use")),
    ],
)
def test_a_table_has_no_column_for_groups_where_there_are_none(name, figure, ahead):
    table = table_of(name, figure)
    assert table.columns[: len(ahead)] == ahead
    assert all(row[0] and row[len(ahead) - 1] is not None for row in table.rows)
    assert len({len(row) for row in table.rows} | {len(table.columns), len(table.units)}) == 1


def table_of(name: str, figure: str):
    [picture] = [p for p in example(name).figures if p.figure.id == figure]
    return picture.table


@pytest.mark.parametrize(
    ("shares", "gone_at", "moved", "then"),
    [
        ((0, 0.3, 1.02, 0.6, 0.7, 1.0), 4, 1, "at game 4 some of that was gone again"),
        ((0, 0.3, 1.02, 0.0, 0.4, 1.0), None, 0, ""),  # what is left at the end came after it
        ((0, 0.3, 1.0, 1.6, 1.5, 1.0), None, 1, "all of it was done, and it did not stay there"),
        ((0, 0.3, 1.02, 1.15, 0.95, 1.0), None, 0, "where it went after that may be luck"),
        # Past where it ended, on the way: what came after that was no rest of it.
        ((0, 0.3, 0.8, 1.6, 1.1, 1.0), None, 1,
         "By game 4 the average had gone past where it ended, and from there it came back"),
    ],
)
def test_what_came_after_an_early_step_is_no_luck_where_it_surely_moved(
    judged, shares, gone_at, moved, then
):
    """Eight balls that lose ten boards; most of it by game 3, and then as ``shares`` has it."""
    rng = np.random.default_rng(4)
    frame = pd.DataFrame(
        [(f"K{i}", game, 40 + i - 10 * share + bool(game) * rng.normal(0, 1.5))
         for i in range(8) for game, share in zip((0, 1, 3, 4, 7, 8), shares, strict=True)],
        columns=["ball", "games", "y"],
    )  # fmt: skip
    head = BENCH.replace("measures:", "use: {column: games, unit: game}\nmeasures:")
    judgement = judged(CLAIM, frame, head=head,
                       more="figures:\n  - {id: f, kind: over-use, table: t, y: y}\n")  # fmt: skip
    early = found(judgement, "f", "early-step")
    shows = say(judgement).figures["f"].shows
    if not then:
        assert not early and "steady slope" not in shows
        return
    assert (early["by"], early["gone_at"], early["moved"]) == (3, gone_at, moved)
    assert then in shows
