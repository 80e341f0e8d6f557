"""What a figure says of how many it draws, what they stand for, and what is drawn at all."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import pytest
from claims.conftest import HEAD, IN_MODELS, Judge

from explainer.charts.strip import parts_of
from explainer.editions.compose import _left_out as missing
from explainer.editions.numbers import (
    _exact as exactly,
    claim_numbers,
    figure_table,
    threshold_rows,
)
from explainer.words.facts.zone import limits_told
from explainer.words.quantity.systems import pieces
from explainer.words.said import FigureWords
from explainer.words.say import say
from explainer.words.script.talk_of_study import say_script

One = Callable[..., str]
NO_USE = """\
title: A test study
question: Does it?
invented: yes
tested: {each: ball}
measures: {x: {term: cover roughness, unit: microinch, repeatability_sd: 0.001}}
"""


def told(judged: Judge, figure: str, frame: pd.DataFrame, head: str = HEAD, claims: str = "",
         ) -> FigureWords:  # fmt: skip
    claims = claims or ("  - {id: c, report_says: It does., plainly: It does.,"
                        " test: {kind: not-testable, because: no number could}}\n")  # fmt: skip
    more = f"figures:\n  - {{id: f, table: t, {figure}}}\n"
    return say(judged(claims, frame, head=head, more=more), "viewer").figures["f"]


@pytest.mark.parametrize(
    ("values", "title", "shows"),
    [
        ((40.0,), "The one ball misses the limit", "The one ball misses it."),
        ((40.0, 41.0), "Both balls miss the limit", "Both balls miss it."),
        ((40.0, 41.0, 42.0), "All 3 balls miss the limit", "All 3 balls miss it."),
        ((60.0, 61.0), "Both balls pass", "Both balls pass."),
        ((60.0, 61.0, 62.0), "All 3 balls pass", "All 3 balls pass."),
        ((40.0, 60.0, 61.0), "One of 3 balls misses the limit", "Two of 3 balls pass, 1 misses it"),
    ],
)
def test_all_of_two_are_both(
    judged: Judge, values: tuple[float, ...], title: str, shows: str
) -> None:
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(len(values))], "x": values})
    words = told(judged, "kind: limit, y: x, at_least: 50", frame, NO_USE)
    assert words.title.startswith(title)
    assert words.shows.startswith(shows)


def read(*games: tuple[int, ...]) -> pd.DataFrame:
    """One ball for each of ``games``, read at those."""
    return pd.DataFrame(
        [(f"B{i}", use, 10.0 * i + use / (2 + i % 3), 5.0 * i - use * (1 + i % 3) / 9)
         for i, uses in enumerate(games) for use in uses],
        columns=["ball", "games", "x", "y"],
    )  # fmt: skip


SCATTER = "kind: scatter, x: x, y: y"
EACH = (0, 30, 60)


@pytest.mark.parametrize(("games", "often"), [
    ((EACH, EACH, EACH), "read 3 times"), ((EACH, EACH, (0, 60)), "read up to 3 times"),
    (((0, 30), (30, 60), (0, 60)), "read up to 2 times"),  # three checkpoints, and none has three
    (((0,), (30,), (60,)), "read once each, on the way from the start to game 60"),
])  # fmt: skip
def test_up_to_how_often_is_how_often_one_was_read(
    judged: Judge, games: tuple[tuple[int, ...], ...], often: str
) -> None:
    claim = ("  - {id: c, report_says: It does., plainly: It does.,"
             " test: {kind: not-testable, because: no number could}}\n")  # fmt: skip
    more = "".join(f"  - {{id: {y}, table: t, kind: over-use, y: {y}}}\n" for y in "xy")
    said = say(judged(claim, read(*games), more=f"figures:\n{more}"), "viewer")
    assert any(often in figure.looking_at for figure in said.figures.values())
    texts = " ".join((*said.short, *said.long, said.tested))
    counted = {n for n in ("2", "3") if f"up to {n} times" in texts or f"read {n} times" in texts
               or f"up to {n} checkpoints" in texts or f" at {n} checkpoints" in texts}  # fmt: skip
    assert counted == ({often.split()[-2]} if "times" in often else set())


@pytest.mark.parametrize(
    ("games", "said"),
    [
        ((EACH, EACH, EACH, EACH), "its average."),
        ((EACH, EACH, EACH, (0, 30)), "its average over the 2 checkpoints that all of them share."),
        ((EACH, EACH, EACH, (0,)),
         "its reading at the start, the one checkpoint that all of them share."),
        (((0, 30), (30, 60), (0, 60), EACH), "its average, each over checkpoints of its own."),
    ],
)  # fmt: skip
@pytest.mark.parametrize("join", ["yes", "no"])
def test_an_average_says_over_which_checkpoints(
    judged: Judge, games: tuple[tuple[int, ...], ...], said: str, join: str
) -> None:
    words = told(judged, f"{SCATTER}, join: {join}", read(*games))
    text = f"{words.looking_at} {words.how_to_read}"
    over = said.removeprefix("its average").removeprefix("its reading").rstrip(".")
    assert (f"average{over}" in text or f"average each{over}" in text) if join == "yes" else (
        f"placed at {said}" in text or f"at {said}" in text)
    assert over or ("share" not in text and "of its own." not in words.looking_at)


@pytest.mark.parametrize(("n", "between"), [(2, ""), (3, "dot in between"), (4, "dots in between")])
def test_dots_in_between_are_as_many_as_there_are(judged: Judge, n: int, between: str) -> None:
    figure = f"  - {{id: f, table: t, {SCATTER}}}\n  - {{id: g, table: t, {SCATTER}}}\n"
    claims = ("  - {id: c, report_says: It does., plainly: It does.,"
              " test: {kind: not-testable, because: no number could}}\n")  # fmt: skip
    judgement = judged(claims, read(*[EACH] * n), more=f"figures:\n{figure}")
    texts = [w.how_to_read for w in say(judgement, "viewer").figures.values()]
    assert all(between in t and ("in between" in t) == bool(between)
               for t in texts if "farthest left" in t)  # fmt: skip
    assert any("farthest left" in t for t in texts)


@pytest.mark.parametrize(("drop", "steady"), [(4.7, False), (0.0, True)])
def test_what_is_sure_to_have_moved_is_not_asked_if_it_held_steady(
    judged: Judge, one: One, drop: float, steady: bool
) -> None:
    """Open is only whether it moved by less than the margin."""
    frame = pd.DataFrame(
        [(f"B{i}", use, 50 + i - use / 60 * (drop + spread), 0.0)
         for i, spread in enumerate((-9, 9, -6, 6) if steady else (-1, 1, -0.5, 0.5))
         for use in (0, 60)], columns=["ball", "games", "x", "y"])  # fmt: skip
    test = "{kind: no-change, measure: x, from: 0, to: 60, margin: 5}"
    judgement = judged(one(test), frame)
    told = say(judgement)
    (v,) = judgement.verdicts
    assert v.code == "cannot-tell"
    asked = " ".join(ask for ask, *_ in told.questions)
    assert ("held steady" in asked) == steady
    assert ("shifted by less than 5" in asked) != steady


LINE = "{kind: same-line, x: x, y: y}"


def test_thresholds_are_told_by_what_they_decide_here(judged: Judge, one: One) -> None:
    rows = dict(threshold_rows(judged(one(LINE), read(*[EACH] * 5))))
    assert not any("eveled off" in name for name in rows)
    assert [v for name, v in rows.items() if name.startswith("The same line")] == ["0.8", "1.25"]
    both = one(LINE) + one("{kind: break-in, measure: x, from: 0, by: 30, to: 60}", "d")
    rows = dict(threshold_rows(judged(both, read(*[EACH] * 5))))
    assert sum(name.startswith(("The same line", "Leveled off")) for name in rows) == 4
    drift = "{kind: trend, measure: x, over: games}"
    names = " ".join(dict(threshold_rows(judged(one(drift), read(*[EACH] * 5)))))
    assert "reading is flagged" in names and "shot" not in names


def test_how_few_are_too_few_is_among_the_thresholds_where_a_claim_is_called_so(
    judged: Judge, one: One
) -> None:
    rise = one("{kind: change, measure: x, from: 0, to: 60, direction: down}")
    rows = dict(threshold_rows(judged(rise, read(*[EACH] * 3))))
    assert [v for name, v in rows.items() if name.startswith("Too few")] == ["3 or fewer"]
    many = judged(rise, read(*[EACH] * 5))
    assert not any(name.startswith("Too few") for name in dict(threshold_rows(many)))


def test_a_legend_names_what_is_drawn(judged: Judge, one: One) -> None:
    frame = pd.DataFrame({"ball": ["A", "B"], "x": [60.0, 70.0]})
    strip = judged(one("{kind: limit, measure: x, at_least: 50, u: 0}"), frame,
                   head=NO_USE).verdicts[0].strip  # fmt: skip
    assert strip is not None
    assert parts_of(strip, held=False) == {"readings", "needs"}
    wide = judged(one("{kind: change, measure: x, from: 0, to: 60}"), read(*[EACH] * 5))
    strip = wide.verdicts[0].strip
    assert strip is not None
    assert {"estimate", "range", "inner"} <= parts_of(strip, held=False)
    assert "small" not in parts_of(strip, held=False) and "held" in parts_of(strip, held=True)


def in_groups() -> pd.DataFrame:
    """Six balls of two models, apart at the end alone."""
    return pd.DataFrame(
        [(f"{model}{i}", model, use, 20.0 + i + (8 * use / 60 if model == "A" else 0),
          3.0 * i + use * (2 - i) / 9)
         for model in "AB" for i in range(3) for use in EACH],
        columns=["ball", "model", "games", "x", "y"],
    )  # fmt: skip


def test_what_is_so_at_one_checkpoint_says_at_which(judged: Judge, one: One) -> None:
    """A is ahead after 60 games and not at the start: without that, the sentence is false."""
    words = told(judged, "kind: groups, y: x, by: model, at: 60", in_groups())
    told_at = (words.title, words.looking_at, words.shows, words.description)
    assert all("after 60 games" in text for text in told_at)
    every = told(judged, "kind: groups, y: x, by: model", in_groups())
    assert "its average over all that was read of it" in every.looking_at
    apart = "{kind: difference, measure: x, by: model, a: A, b: B, at: 60}"
    link = "{kind: association, x: x, y: y, at: 60}"
    figure = "figures:\n  - {id: f, kind: groups, table: t, y: x, by: model, at: 60}\n"
    claims = one(apart).replace("test:", "figure: f, test:") + one(link, "d")
    said = say(judged(claims, in_groups(), more=figure), "viewer")
    assert "after 60 games" in said.figures["f"].title
    assert "after 60 games" in said.claims["c"].says
    assert "That goes by the readings after 60 games." in said.claims["d"].says


def test_what_was_never_read_is_no_line(judged: Judge) -> None:
    frame = read(EACH, EACH, EACH)
    frame.loc[frame["ball"] == "B2", "x"] = None
    frame.loc[(frame["ball"] == "B1") & (frame["games"] == 60), "x"] = None
    words = told(judged, "kind: over-use, y: x", frame)
    assert "2 balls" in words.looking_at or "Two balls" in words.looking_at
    assert "one line for each of 2 balls" in words.description
    assert "own start" not in words.how_to_read or "read at both ends" in words.how_to_read


def test_one_of_a_unit_is_told_as_one(judged: Judge, one: One) -> None:
    """A checkpoint after one game, and a reading that is missing there."""
    frame = pd.DataFrame(
        [(f"B{i}", use, None if (i, use) == (2, 1) else 10.0 + i * use, 5.0 * i)
         for i in range(4) for use in (0, 1, 2)], columns=["ball", "games", "x", "y"],
    )  # fmt: skip
    more = "figures:\n  - {id: f, kind: over-use, table: t, y: x}\n"
    made = judged(one("{kind: change, measure: x, from: 0, to: 2}"), frame, more=more)
    heads = figure_table(made.figures[0], "", {}).columns
    assert [head.partition(" (")[0] for head in heads if head.startswith("game")] == [
        "game 0", "game 1", "game 2"]  # fmt: skip
    assert dict(claim_numbers(made.verdicts[0], "ball", made.study))["Best estimate"].endswith(
        " µin")
    assert [exactly(v, "board") for v in (-1.0, 1.0, 1.5)] == ["−1 board", "1 board", "1.5 boards"]
    assert any("B2 at 1 game, " in line for line in missing(made.study))


def test_a_rate_knows_itself_in_the_other_system_from_its_own_number() -> None:
    """0.1937 boards per microinch, at 2.70282 cm to the board and 0.0254 µm to the microinch."""
    told = exactly(0.19374, "board per microinch")
    [place] = told.places  # type: ignore[attr-defined]
    assert float(place.pair.split()[0]) == pytest.approx(0.19374 * 2.70282 / 0.0254, abs=5e-3)


def test_one_reading_makes_no_line(judged: Judge) -> None:
    words = told(judged, "kind: over-use, y: x", read(EACH, EACH, (0,)))
    assert "a line or lone mark for each of 3 balls" in words.description


def test_the_others_are_those_read_at_both_ends(judged: Judge) -> None:
    """Of five that are drawn two have one reading: "both of the others" are not all the rest."""
    words = told(judged, "kind: scatter, x: x, y: y, join: yes", read(EACH, EACH, EACH, (0,), (0,)))
    against = [said for _, _, said in words.stories]
    assert len(against) == 3
    for said in against:
        assert "two drawn at both of these moved" in said or "others drawn at both of these" in said
    whole = told(judged, "kind: scatter, x: x, y: y, join: yes", read(EACH, EACH, EACH))
    assert not any("drawn at both" in said for _, _, said in whole.stories)


@pytest.mark.parametrize(("two", "says"), [
    (1, "There is one ball on a side, so"), (2, "Only one ball is on the side of A, so"),
])  # fmt: skip
def test_one_side_with_one_ball_is_not_both(
    judged: Judge, one: One, two: int, says: str
) -> None:
    frame = in_groups()
    frame = frame[frame["ball"].isin(["A0", *(f"B{i}" for i in range(two))])]
    made = judged(one("{kind: difference, measure: x, by: model, a: A, b: B, at: 60}"), frame)
    assert says in say(made, "viewer").claims["c"].says


RATES = "kind: rates, by: oil, successes: strikes, attempts: shots, within: bowler"
TRIES = """\
title: A test study
question: Does it?
tested: {each: bowler}
"""


def test_rates_that_differ_are_told_apart_and_a_gap_as_weighed(judged: Judge) -> None:
    """374 of 750 and 111 of 220 are both 50%; each counts by their shots in the gap one by one."""
    rows = [("A", 40, 60, 1, 2), ("B", 134, 390, 60, 190), ("C", 200, 300, 50, 28 + 50)]
    frame = pd.DataFrame(
        [(who, oil, *cell) for who, a, b, c, d in rows
         for oil, cell in (("long", (a, b)), ("short", (c, d)))],
        columns=["bowler", "oil", "strikes", "shots"],
    )  # fmt: skip
    frame.loc[frame["oil"] == "short", "strikes"] = [1, 60, 74]
    words = told(judged, RATES, frame, TRIES)
    long, short = 374 / 750, 135 / 270
    assert "1,0" not in words.shows and "170" not in words.shows  # no gap is wider than 100 points
    assert long != short and "comes to 49.9% and the short oil to 50.0%" in words.shows
    clear = pd.DataFrame(
        [(f"W{i}", oil, made, n) for i, n in enumerate((10, 40, 160, 20))
         for oil, made in (("long", n * 6 // 10 + i), ("short", n * 3 // 10))],
        columns=["bowler", "oil", "strikes", "shots"],
    )  # fmt: skip
    words = told(judged, RATES, clear, TRIES)
    gaps, weight = [0.3, 0.3 + 1 / 40, 0.3 + 2 / 160, 0.3 + 3 / 20], [10, 40, 160, 20]
    weighed = sum(g * w for g, w in zip(gaps, weight, strict=True)) / sum(weight)
    assert "all 4 bowlers had strikes more often with the long oil" in words.shows
    assert (f"Weighed by how often both were tried, the gap is about {100 * weighed:.0f}"
            in words.shows)  # fmt: skip
    assert "who tried both often weighs more" in words.cannot_show
    assert "on average" not in words.shows


def test_who_tried_more_often_weighs_no_more_where_both_were_tried_alike(judged: Judge) -> None:
    """30 and 60 shots, or 60 and 30, or 40 and 40: of unlike sums, and of one weight."""
    rows = [(f"W{i}", oil, n * share // 100, n)
            for i, (many, few) in enumerate([(30, 60), (60, 30), (40, 40)])
            for oil, n, share in (("long", many, 60 + i), ("short", few, 20))]
    frame = pd.DataFrame(rows, columns=["bowler", "oil", "strikes", "shots"])
    assert "weighs more" not in told(judged, RATES, frame, TRIES).cannot_show


@pytest.mark.parametrize(
    ("cells", "says", "never"),
    [
        # Who never tried is none of those who did.
        ({"Ann": (0, 0, 0), "Bea": (6, 8, 4)}, "30 shots by 1 bowler", "in both"),
        ({"Ann": (3, 2, 1), "Bea": (6, 8, 4)}, "other line is one bowler in all 3.", "in both"),
        ({"Ann": (2, 3), "Bea": (6, 8)}, "Each other line is one bowler in both.", "in all 2"),
        ({"Ann": (3,), "Bea": (6,)}, "Each other mark is one bowler.", "in both"),
        ({"Ann": (3, 0), "Bea": (0, 8), "Cal": (7, 0)}, "by 3 bowlers", "at a time"),
        ({"Ann": (3, 4), "Bea": (0, 8), "Cal": (7, 0)}, "at a time, there is not enough", "in all"),
    ],
)  # fmt: skip
def test_rates_are_of_those_who_tried_under_as_many_as_they_did(
    judged: Judge, cells: dict[str, tuple[int, ...]], says: str, never: str
) -> None:
    frame = pd.DataFrame(
        [(who, oil, made, 10 if made else 0) for who, each in cells.items()
         for oil, made in zip(("long", "short", "wet"), each, strict=False)],
        columns=["bowler", "oil", "strikes", "shots"],
    )  # fmt: skip
    words = told(judged, RATES, frame, TRIES)
    text = f"{words.looking_at} {words.shows}"
    assert says in text and never not in text, text


def test_one_item_is_spoken_of_as_one(judged: Judge) -> None:
    frame = pd.DataFrame({"ball": ["A"], "x": [60.0]})
    words = told(judged, "kind: limit, y: x, at_least: 50", frame, NO_USE)
    text = f"{words.looking_at} {words.cannot_show}"
    assert "of 1 ball" not in text and "these 1" not in text
    alone = told(judged, f"{SCATTER}, join: yes", read(EACH))
    assert "These balls leave" not in alone.shows and "One ball leaves" in alone.shows


@pytest.mark.parametrize("groups", ["AB", "ABC"])
def test_a_range_that_allows_for_every_pair_of_columns_says_so(judged: Judge, groups: str) -> None:
    rows = [(f"{g}{i}", g, 10.0 * k + i) for k, g in enumerate(groups) for i in range(4)]
    frame = pd.DataFrame(rows, columns=["ball", "side", "x"])
    words = told(judged, "kind: groups, y: x, by: side", frame, NO_USE)
    assert ("wider to allow for every pair" in words.how_to_read) is (len(groups) > 2)


@pytest.mark.parametrize(
    ("asks", "draws", "told_of"),
    [
        ("from: 0, to: 20, only: {kind: a}", "", "(a only, over 20 games)"),
        ("from: 0, to: 40, only: {kind: a}", "", "(a only)"),
        ("from: 0, to: 20", "", "(over 20 games)"),
        ("from: 0, to: 40", "", ""),
        ("from: 0, to: 40, only: {kind: a}", ", only: {kind: a}", ""),
    ],
)
def test_a_title_after_a_claim_about_some_says_of_whom(
    judged: Judge, one: One, asks: str, draws: str, told_of: str
) -> None:
    """The figure draws all of them, over all that was read: its claim may be about less."""
    rows = [(f"B{i}", "ab"[i % 2], use, 20 + i - use / 10 * (i % 2) + (i % 3) * use / 20)
            for i in range(8) for use in (0, 20, 40)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "kind", "games", "x"]).assign(y=1.0)
    figure = f"figures:\n  - {{id: f, kind: over-use, table: t, y: x{draws}}}\n"
    test = one(f"{{kind: change, measure: x, direction: up, at_least: 3, {asks}}}").replace(
        "test:", "figure: f, test:")  # fmt: skip
    title = say(judged(test, frame, more=figure)).figures["f"].title
    assert "3 microinches" in title, title  # after the claim, not its own
    assert title.endswith(told_of) and ("(" in title) is bool(told_of), title


def test_a_dot_is_of_one_column_where_an_item_stands_in_several(judged: Judge) -> None:
    """Six dots of three balls: each is what was read of a ball by one gauge."""
    rows = [(f"B{i}", gauge, 10.0 + i + again / 10)
            for i in range(3) for gauge in ("shop", "bench") for again in range(2)]  # fmt: skip
    both = pd.DataFrame(rows, columns=["ball", "gauge", "x"])
    words = told(judged, "kind: groups, y: x, by: gauge", both, NO_USE)
    assert words.looking_at.startswith(
        "Each dot is one ball in one column, its average over all that was read of it there, "
        "3 balls in all."
    )
    apart = both[(both["gauge"] == "shop") == (both["ball"] == "B0")]
    words = told(judged, "kind: groups, y: x, by: gauge", apart, NO_USE)
    assert words.looking_at.startswith("Each dot is one ball, its average over all that was read")


def test_bars_are_spoken_of_where_each_average_has_one(judged: Judge) -> None:
    """A has three balls, and two are too few for a bar of their own."""
    three, two = in_groups(), in_groups().query("ball != 'B2'")
    figure = "kind: groups, y: x, by: model, at: 60"
    assert "The bars beside the dots show" in told(judged, figure, three).how_to_read
    words = told(judged, figure, two)
    assert "where there is none, the dots are too few" in words.how_to_read
    assert "each average" not in f"{words.how_to_read} {words.note}"


def test_a_ring_is_said_to_be_far_from_the_drift_it_is_far_from(judged: Judge) -> None:
    """A series that falls by 1 a shot: shot 15 lies between readings of the others, far from the
    median of none and 4 from the line; the lowest of all lies on it."""
    shots = [(f"B{b}", k, 40.0 - k + 0.1 * (k % 3) + (4.0 if k == 15 else 0.0), 1.0)
             for b in range(2) for k in range(1, 31)]  # fmt: skip
    frame = pd.DataFrame(shots, columns=["ball", "shot", "x", "y"])
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    claims = "  - {id: c, report_says: So., plainly: So., test: {kind: not-testable, because: n}}\n"
    more = "figures:\n  - {id: f, kind: shot-series, table: t, y: x, order: shot}\n"
    judgement = judged(claims, frame, head=head, more=more, table_keys={"t": ", order: shot"})
    (figure,) = judgement.figures
    assert [(s.order, s.flagged) for s in figure.data.series[0].shots if s.flagged] == [(15, True)]
    words = say(judgement, "viewer").figures["f"]
    assert "far from the drift of their own series" in words.how_to_read
    assert "neighbors" not in words.how_to_read
    rows = dict(threshold_rows(judgement))
    assert any("from the line of its own series" in name for name in rows)


@pytest.mark.parametrize(("balls", "shots"), [(2, 30), (7, 30), (2, 401)])
def test_dots_and_rings_are_spoken_of_where_they_are_drawn(
    judged: Judge, balls: int, shots: int
) -> None:
    """Of seven series only the lines are drawn; of long ones uprights stand for the shots."""
    rows = [(f"B{b}", k, 40.0 - k + 0.1 * (k % 3) + (4.0 if k == 15 else 0.0), 1.0)
            for b in range(balls) for k in range(1, shots + 1)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "shot", "x", "y"])
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    claims = "  - {id: c, report_says: So., plainly: So., test: {kind: not-testable, because: n}}\n"
    more = "figures:\n  - {id: f, kind: shot-series, table: t, y: x, order: shot}\n"
    judgement = judged(claims, frame, head=head, more=more, table_keys={"t": ", order: shot"})
    words = say(judgement, "viewer").figures["f"]
    told = f"{words.looking_at} {words.how_to_read} {words.description}"
    assert ("Each dot is one" in told) == (balls < 7 and shots < 401)
    assert ("inged" in told) == (balls < 7)
    assert ("Each line is the drift of one ball" in told) == (balls == 7)


@pytest.mark.parametrize(
    ("figure", "told_of"),
    [
        ("kind: over-use, y: x", "Up: cover roughness, all alike at 0.3 microinches."),
        ("kind: scatter, x: x, y: y", "Across: cover roughness, all alike at 0.3 microinches."),
        ("kind: groups, y: x, by: side", "Up: cover roughness, all alike at 0.3 microinches."),
        ("kind: limit, y: x, at_least: 1", "all alike at 0.3 microinches, with the limit drawn"),
    ],
)
def test_what_is_all_alike_runs_from_nothing_to_nothing(
    judged: Judge, figure: str, told_of: str
) -> None:
    frame = pd.DataFrame([(f"B{i}", "ab"[i % 2], games, 0.3, 5.0 + i + games)
                          for i in range(6) for games in (0, 40)],
                         columns=["ball", "side", "games", "x", "y"])  # fmt: skip
    words = told(judged, figure, frame)
    assert told_of in words.description
    assert "0.3 to" not in words.description + words.cannot_show


@pytest.mark.parametrize(("game", "where"), [(0, "the start"), (7, "game 7")])
def test_one_checkpoint_is_no_stretch(judged: Judge, game: int, where: str) -> None:
    words = told(judged, "kind: over-use, y: x", read((game,), (game,), (game,)))
    said = words.looking_at + words.description + words.cannot_show
    assert f"from {where} to {where}" not in said
    assert f"{where} alone" in said


#: Marks down the lane; balls K1 to K4 were followed fresh and worn, K5 and K6 fresh alone, and K4
#: worn was not seen at the last mark.
def lanes(*only_fresh: str, lost: str = "") -> pd.DataFrame:
    return pd.DataFrame(
        [(ball, cover, feet, 10 + 3 * i + (cover == "worn") * (feet / 20 + 0.02 * (-1) ** i))
         for i, ball in enumerate(("K1", "K2", "K3", "K4", *only_fresh))
         for cover in ("fresh", "worn") for feet in (20, 40, 60)
         if not (cover == "worn" and (ball in only_fresh or (ball == lost and feet == 60)))],
        columns=["ball", "cover", "distance", "x"],
    )  # fmt: skip


def test_a_line_says_of_how_many_it_is_where_not_all_are_in_each(judged: Judge) -> None:
    figure = "kind: ball-paths, board: x, by: cover"
    some = told(judged, figure, lanes("K5", "K6"), NO_USE).looking_at
    assert "average path of" not in some
    assert "fresh balls (6 balls)" in some and "worn balls (4 balls)" in some
    assert "an average path of 4 balls" in told(judged, figure, lanes(), NO_USE).looking_at


@pytest.mark.parametrize(
    ("gap", "desks", "title"),
    [(2, "ab", "looks fine enough to see a gap of 2"),
     (0.2, "abcd", "A gap of 0.2 microinches is too fine")],
)  # fmt: skip
def test_a_gauge_that_has_to_see_a_gap_is_not_told_by_its_share(
    judged: Judge, gap: float, desks: str, title: str
) -> None:
    """Balls so alike that the gauge makes up most of what is seen, and sees a gap of 2 all the
    same: whether it will do in a pinch, a share of the whole would say, and nobody asked."""
    frame = pd.DataFrame(
        [(f"B{i}", desk, go, 50 + i / 10 + 0.3 * (-1) ** (i + go + (desk in "bd")))
         for i in range(4) for desk in desks for go in (1, 2, 3)],
        columns=["ball", "desk", "go", "x"],
    )  # fmt: skip
    claims = ("  - {id: c, report_says: It sees., plainly: It sees., figure: f, test: {kind: "
              f"repeatability, measure: x, operator: desk, repeat: go, detects: {gap}}}}}\n")
    more = "figures:\n  - {id: f, table: t, kind: gauge, y: x, operator: desk, repeat: go}\n"
    judgement = judged(claims, frame, head=NO_USE, more=more)
    words = say(judgement, "viewer")
    told_of = (words.figures["f"].title, words.claims["c"].says, words.answer, words.headline)
    text = " ".join([*told_of, *words.short, *words.long])
    assert title in words.figures["f"].title, words.figures["f"].title
    assert "pinch" not in text and "good enough" not in text, text


@pytest.mark.parametrize(
    ("frame", "feet", "over"),
    [(lanes(), 60, "3 boards, over 4 balls"), (lanes("K5", "K6"), 60, "3 boards, over the 4 balls"),
     (lanes("K5", "K6", lost="K4"), 40, "2 boards, over 4 balls")],
)  # fmt: skip
def test_paths_are_compared_over_those_that_were_followed_in_both(
    judged: Judge, frame: pd.DataFrame, feet: int, over: str
) -> None:
    words = told(judged, "kind: ball-paths, board: x, by: cover", frame, NO_USE)
    assert "Compared ball by ball" in words.shows
    # Past the mark where the one was lost there is no average of all of them.
    assert f"At {feet} feet the gap averages {over}" in words.shows or feet == 40
    assert ("drawn only where all of its paths were read" in words.looking_at) == (feet == 40)


def followed(seen: dict[str, tuple[int, ...]]) -> pd.DataFrame:
    """Straight paths side by side, each read at some marks: an average over those that happen to
    be read at each mark bends where none of them does."""
    return pd.DataFrame(
        [(ball, feet, 10.0 + 4 * i - feet / 10) for i, (ball, marks) in enumerate(seen.items())
         for feet in marks],
        columns=["ball", "distance", "x"],
    )  # fmt: skip


def test_an_average_path_does_not_turn_where_another_ball_joins_it(judged: Judge) -> None:
    frame = followed({"K1": (10, 20, 30, 40, 50, 60), "K2": (10, 20, 50, 60), "K3": (20, 50, 60)})
    figure = "figures:\n  - {id: f, kind: ball-paths, table: t, distance: distance, board: x}\n"
    claim = "  - {id: c, report_says: Y., plainly: Y., test: {kind: not-testable, because: no}}\n"
    data = judged(claim, frame, head=NO_USE, more=figure).figure("f").data
    assert [line.distance for line in data.lines] == [(20.0, 50.0, 60.0)]
    assert data.lines[0].board == pytest.approx((12.0, 9.0, 8.0))
    words = told(judged, "kind: ball-paths, board: x", frame, NO_USE)
    assert "turns" not in words.shows + words.description
    assert "drawn only where all of its paths were read" in words.looking_at


@pytest.mark.parametrize(("boards", "turns"), [
    ((10.0, 12.0, 14.0, 16.0, 14.0, 11.0, 8.0), True),
    ((10.0, 12.0, 11.7, 16.0, 14.0, 14.2, 8.0), True),  # a little to and fro is the reading's
    ((14.3, 15.0, 14.2, 15.1, 10.2, 11.6, 10.0), False),
])  # fmt: skip
def test_a_path_that_goes_to_and_fro_has_no_place_where_it_turns(
    judged: Judge, boards: tuple[float, ...], turns: bool
) -> None:
    frame = pd.DataFrame([(ball, 10 * k, board) for ball in ("K1", "K2")
                          for k, board in enumerate(boards)],
                         columns=["ball", "distance", "x"])  # fmt: skip
    words = told(judged, "kind: ball-paths, board: x", frame, NO_USE)
    assert ("turns about 30 feet down" in words.shows) is turns
    assert ("the ball turned" in words.how_to_read) is turns
    assert ("turn" in words.cannot_show) is turns


@pytest.mark.parametrize("u", [0, 0.02, 0.2])
def test_a_reading_in_the_other_system_is_as_sharp_as_its_limit_and_as_its_neighbors(
    judged: Judge, u: float
) -> None:
    """12 boards are 32.43 cm beside 14, which are 37.84, and at a limit of 12 no 32.4."""
    frame = pd.DataFrame([(f"B{i}", games, x) for i, xs in enumerate(((12, 14.0), (14, 13.5)))
                          for games, x in zip((0, 10), xs, strict=True)],
                         columns=["ball", "games", "x"])  # fmt: skip
    head = HEAD.replace("unit: microinch, repeatability_sd: 0.001", "unit: board")
    head = head.partition("  y:")[0]
    more = ("figures:\n  - {id: f, kind: over-use, table: t, y: x}\n"
            "  - {id: g, kind: limit, table: t, y: x, at: 0, at_least: 12"
            + (f", u: {u}" if u else "") + "}\n")  # fmt: skip
    claim = "  - {id: c, report_says: Y., plainly: Y., test: {kind: not-testable, because: no}}\n"
    made = judged(claim, frame, head=head, more=more)
    use, limit = (figure_table(result, "", {}) for result in made.figures)
    cells = [o.cells for o in use.other if o is not None]
    assert len({len(c.partition(".")[2]) for column in cells[:2] for c in column}) == 1
    told = say(made, "viewer").figures["g"]
    edge = next(piece.other.split()[0] for piece in pieces(told.description, limits_told(made))
                if piece.text == "12 boards")  # fmt: skip
    assert edge in next(o.cells for o in limit.other if o is not None)


def test_paths_with_no_mark_in_common_have_no_average(judged: Judge) -> None:
    words = told(judged, "kind: ball-paths, board: x", followed({"K1": (10, 30), "K2": (20, 40)}),
                 NO_USE)  # fmt: skip
    assert "No average is drawn: at no distance were all of them read" in words.looking_at
    assert "average path of" not in words.description and "no average path" in words.shows


def test_who_left_may_leave_models_uneven(judged: Judge) -> None:
    """Three of each model, and one of a's was not read at the end: a counts as much as b."""
    frame = pd.DataFrame([(f"B{i}", "ab"[i % 2], use, 50.0 + (3 + i) * bool(use), 5.0)
                          for i in range(6) for use in (0, 40) if (i, use) != (0, 40)],
                         columns=["ball", "model", "games", "x", "y"])  # fmt: skip
    shows = told(judged, "kind: over-use, y: x", frame, IN_MODELS).shows
    # a's two rose by 5 and 7, b's three by 4, 6 and 8.
    assert shows.startswith(
        "With each model counted once, the average of the 5 read at both ends goes from 50"), shows
    assert told(judged, "kind: over-use, y: x", frame[frame["ball"] > "B1"], IN_MODELS
                ).shows.startswith("The average")  # fmt: skip


def test_of_people_an_authors_words_are_said_as_they_were_written(judged: Judge) -> None:
    """Nobody holds a gauge to a bowler, yet a claim and a measure may be called after one."""
    head = NO_USE.replace("each: ball", "each: bowler").replace("cover roughness", "missed spares")
    frame = pd.DataFrame({"bowler": ["ZQ", "VX", "WK"], "x": [40.0, 60.0, 61.0]})
    figure = "figures:\n  - {id: f, table: t, kind: limit, y: x, at_least: 50}\n"
    claim = "  - {id: c, report_says: It does., plainly: A gauge failed them., test: {%s}}\n"
    open_ = "kind: limit, measure: x, at_least: 45, u: 5"
    words = say(judged(claim % open_, frame, head=head, more=figure), "viewer")
    assert "“A gauge failed them”: this study can’t" in words.headline.replace("'", "’")
    shown = words.figures["f"]
    assert "missed spares" in shown.description and "not met" not in shown.description
    assert "1 does not meet it" in shown.description
    untested = claim % "kind: not-testable, because: no number could"
    words = say(judged(untested, frame, head=head, more=figure), "viewer")
    assert "A gauge failed them" in str(words) and "reading failed" not in str(words)
    assert "1 does not meet it" in words.figures["f"].shows


def limited(low: float, claim: str) -> tuple[str, str]:
    """A figure with a limit at ``low``, and a claim about the same readings."""
    claims = (f"  - {{id: c, report_says: It does., plainly: It does., test: {{kind: limit, "
              f"measure: x, {claim}}}}}\n")  # fmt: skip
    return f"kind: limit, y: x, at_least: {low}", claims


@pytest.mark.parametrize(("low", "otherwise"), [(50, True), (39.9, True), (40.2, False)])
def test_another_limit_counts_otherwise_only_where_it_does(
    judged: Judge, low: float, otherwise: bool
) -> None:
    """One below and two above 40.5, as of 40.2; above 50 one of them, and above 39.9 all three."""
    frame = pd.DataFrame({"ball": list("abc"), "x": [40.0, 45.0, 61.0]})
    figure, claim = limited(low, "at_least: 40.5, u: 0")
    words = told(judged, figure, frame, NO_USE, claim)
    assert words.shows.endswith("by another limit, 40.5 microinches or more: by that, 2 pass, "
                                "1 misses it.") is otherwise  # fmt: skip
    _, more = limited(low, "at_least: 70, u: 0")
    many = told(judged, figure, frame, NO_USE, claim + more.replace("id: c", "id: d"))
    assert "limits, 40.5 microinches or more and 70 microinches or more, and count" in many.shows \
        or "limits, 70 microinches or more and 40.5 microinches or more, and count" in many.shows


@pytest.mark.parametrize(
    ("u", "values", "says", "zone"),
    [
        (0.5, (75.0, 75.5), "no reading is surely within both limits", "Between 74.178 and 76.822"),
        (0.1, (75.0, 75.5), "Between the hatched zones passes", "or between"),
    ],
)
def test_zones_that_lie_over_one_another_leave_nothing_between(
    judged: Judge, u: float, values: tuple[float, ...], says: str, zone: str
) -> None:
    """1.645 times 0.5 to both sides of 75 and of 76: none from 74.178 to 76.822 is called."""
    frame = pd.DataFrame({"ball": list("ab"), "x": list(values)})
    words = told(judged, f"kind: limit, y: x, at_least: 75, at_most: 76, u: {u}", frame, NO_USE)
    assert says in words.how_to_read and zone in words.shows
    assert "There is room for" not in words.how_to_read
    people = NO_USE.replace("each: ball", "each: bowler")
    frame = frame.rename(columns={"ball": "bowler"}).assign(bowler=["ZQ", "VX"])
    words = told(judged, f"kind: limit, y: x, at_least: 75, at_most: 76, u: {u}", frame, people)
    assert ("both limits are met" in words.how_to_read) is (u < 0.5)


@pytest.mark.parametrize("u", [0.5, 0.1])
def test_of_zones_that_meet_nothing_between_them_is_said_aloud(judged: Judge, u: float) -> None:
    frame = pd.DataFrame({"ball": list("ab"), "x": [75.0, 75.5]})
    claim = f"""  - {{id: c, report_says: It does., plainly: It does., key: true,
     test: {{kind: limit, measure: x, at_least: 75, at_most: 76, u: {u}}}}}
"""
    more = ("figures:\n  - {id: f, table: t, kind: limit, y: x, at_least: 75, at_most: 76,"
            f" u: {u}}}\n")
    judgement = judged(claim, frame, head=NO_USE, more=more)
    aloud = repr(say_script(judgement, say(judgement)))
    assert ("Between the hatched zones passes" in aloud) is (u < 0.5)
    assert ("nothing lies between them" in aloud) is (u == 0.5)


@pytest.mark.parametrize(("u", "reaches", "says"), [
    (0.3, "0.493", "Next to nothing is left between them."),
    (0.27, "0.444", "There is room for 0.112 microinches between them."),
])  # fmt: skip
def test_what_is_left_between_two_zones_is_told_where_it_is_little(
    judged: Judge, u: float, reaches: str, says: str
) -> None:
    """1.645 times u to both sides of 75 and of 76: 0.013 or 0.112 in which a reading may pass, and
    whoever takes the zones away from the gap finds it."""
    frame = pd.DataFrame({"ball": list("ab"), "x": [75.0, 75.4]})
    words = told(judged, f"kind: limit, y: x, at_least: 75, at_most: 76, u: {u}", frame, NO_USE)
    assert says in words.how_to_read
    assert f"reaches {reaches} microinches to both sides" in words.looking_at


def test_zones_that_overlap_for_one_reading_need_not_for_an_average(judged: Judge) -> None:
    """Off by 0.5 a reading: 0.82 to both sides after one, 0.16 after twenty-five."""
    off = NO_USE.replace("repeatability_sd: 0.001", "repeatability_sd: 0.5")
    frame = pd.DataFrame({"ball": ["a", *"b" * 25], "x": 75.5})
    words = told(judged, "kind: limit, y: x, at_least: 75, at_most: 76", frame, off)
    assert words.title.startswith("One of 2 balls passes")
    assert "only a ball read often enough can surely be within both limits" in words.how_to_read


def test_a_figure_that_goes_by_the_larger_uncertainty_of_a_claim_says_so(judged: Judge) -> None:
    """What readings may be off by is one number, whoever asks: 1.645 times 1, not times 0.3."""
    frame = pd.DataFrame({"ball": list("abc"), "x": [75.0, 75.0, 75.5]})
    figure, claim = limited(75.0, "at_least: 74, u: 1.0")
    words = told(judged, f"{figure}, u: 0.3", frame, NO_USE, claim)
    assert "reaches 1.64" in words.looking_at and "the largest counts" in words.looking_at
    for same in ("", ", u: 1.0", ", u: 2"):
        words = told(judged, f"{figure}{same}", frame, NO_USE, claim)
        assert "the largest counts" not in words.looking_at


def test_what_came_more_often_is_not_told_as_more_of_it(judged: Judge) -> None:
    """With the short oil everybody had more strikes, of more shots: 14 of 40 is less than 2 of 5.
    """
    rows = [("A", 2, 5, 14, 40), ("B", 1, 5, 10, 20), ("C", 9, 20, 10, 20)]
    frame = pd.DataFrame(
        [(who, oil, *cell) for who, a, b, c, d in rows
         for oil, cell in (("long", (a, b)), ("short", (c, d)))],
        columns=["bowler", "oil", "strikes", "shots"],
    )  # fmt: skip
    words = told(judged, RATES, frame, TRIES)
    assert "Two of 3 bowlers had strikes more often with the short oil" in words.shows
    clear = pd.DataFrame(
        [(f"W{i}", oil, made, n) for i in range(5)
         for oil, made, n in (("long", 8 + i % 2, 10), ("short", 30 + i, 100))],
        columns=["bowler", "oil", "strikes", "shots"],
    )  # fmt: skip
    words = told(judged, RATES, clear, TRIES)
    assert "all 5 bowlers had strikes more often with the long oil" in words.shows
    assert "strikes came more often with the long oil than with the short oil" in words.title
    assert "more strikes" not in f"{words.title} {words.shows} {words.description}"


@pytest.mark.parametrize(
    ("third", "gaps", "fewer"),
    [(EACH, False, False), ((0, 30), False, False), ((0, 60), True, True)],
)
def test_dots_are_told_of_where_dots_are_drawn(
    judged: Judge, third: tuple[int, ...], gaps: bool, fewer: bool
) -> None:
    """A line that stops early is led to its name by dots, and has no gap; and the average of those
    read at both ends is of fewer only where one of them was not read."""
    words = told(judged, "kind: over-use, y: x", read(EACH, EACH, third))
    told_of = words.cannot_show
    assert ("gaps are dotted" in told_of) is gaps
    assert ("The bold line is dotted where its average is of fewer" in told_of) is fewer
    assert ("missing" in told_of) is (len(third) < 3)


def test_of_one_ball_no_model_is_counted_once(judged: Judge) -> None:
    """Two of model a and one of b, of which one ball alone was read at both ends."""
    frame = pd.DataFrame([("B0", "a", 0, 50.0, 5.0), ("B0", "a", 60, 53.0, 5.0),
                          ("B1", "a", 0, 40.0, 5.0), ("B2", "b", 60, 60.0, 5.0)],
                         columns=["ball", "model", "games", "x", "y"])  # fmt: skip
    words = told(judged, "kind: over-use, y: x, group: model", frame, IN_MODELS)
    assert "The one read at both ends goes from 50 microinches to 53." in words.shows
    assert "counted once" not in words.shows + words.description


def test_a_dip_that_the_same_balls_show_is_no_matter_of_who_was_read(judged: Judge) -> None:
    """All who were read at game 30 had come down by 30 there, and none of them for being read."""
    def at(ball: str, dip: float, *games: int) -> list[tuple[str, int, float, float]]:
        return [(ball, g, 70.0 - (dip if g == 30 else 0), 5.0) for g in games]

    cannot = {}
    for dip in (30.0, 0.0):
        rows = [*at("A", dip, 0, 30, 60), *at("B", dip, 0, 30, 60), *at("C", dip, 0, 60)]
        rows += [("D", 0, 20.0, 5.0), ("D", 60, 20.0, 5.0)]
        frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
        cannot[dip] = told(judged, "kind: over-use, y: x", frame).cannot_show
    assert "went the same way, on average" not in cannot[0.0]
    assert "no more than a matter of who was not read" in cannot[0.0]


def test_what_the_range_of_a_change_goes_by_is_told_where_groups_count_once(judged: Judge) -> None:
    """Of five that all came down, two are of one model, and nothing but how these two differ says
    how wide the range is."""
    models = dict(zip("ABCDE", ["a", "a", "b", "c", "d"], strict=True))
    fell = dict(zip("ABCDE", [8.0, 13.0, 27.0, 11.0, 5.0], strict=True))
    frame = pd.DataFrame(
        [(ball, models[ball], g, 70.0 - (fell[ball] if g else 0.0), 5.0)
         for ball in models for g in (0, 60)], columns=["ball", "model", "games", "x", "y"],
    )  # fmt: skip
    shows = told(judged, "kind: over-use, y: x, group: model", frame, IN_MODELS).shows
    assert "Yet all 5 balls went the same way." in shows
    assert "goes by how 2 of the 5 differ from others of their own model among them" in shows


@pytest.mark.parametrize(("pairs", "ends"), [
    (((53.0, 43.0), (52.5, 53.5)), "below 0% or past 100%"),
    (((20.0, 10.0), (21.0, 19.0), (19.0, 1.0)), "below 0%"),
    (((53.0, 51.0), (52.5, 53.5), (52.0, 51.5)), ""),
    (((120.0, 120.0), (0.0, 130.0), (100.0, 250.0)), "below 0%"),
    (((-20.0, -10.0), (21.0, 190.0)), ""),
])  # fmt: skip
def test_a_range_that_takes_percentages_to_where_none_can_lie_says_so(
    judged: Judge, pairs: tuple[tuple[float, float], ...], ends: str
) -> None:
    """Two bowlers at 53% were told of a drop of 74 points to a rise of 65."""
    frame = pd.DataFrame([(f"B{i}", games, value) for i, pair in enumerate(pairs)
                          for games, value in zip((0, 60), pair, strict=True)],
                         columns=["ball", "games", "x"])  # fmt: skip
    head = NO_USE.replace("unit: microinch, repeatability_sd: 0.001", "unit: percent")
    head += "use: {column: games, term: games rolled, unit: game}\n"
    claim = "{kind: change, measure: x, from: 0, to: 60, direction: any}"
    more = "figures:\n  - {id: f, table: t, kind: over-use, y: x}\n"
    judgement = judged("  - {id: c, report_says: It does., plainly: It does., test: " + claim
                       + "}\n", frame, head=head, more=more)  # fmt: skip
    words = say(judgement, "viewer")
    shows, beside = words.figures["f"].shows, " ".join(words.claims["c"].beside)
    for text in (shows, beside):
        assert ("worked out as if" in text) is bool(ends)
        assert not ends or f"range is worked out as if cover roughness could go {ends}." in text


def test_paths_that_are_not_told_apart_name_the_marks_that_they_are_held_together_at(
    judged: Judge,
) -> None:
    """Three balls lie half a board apart at 50 feet, where a fourth was read in one part alone."""
    rows = [(f"K{i}", part, feet, 12.0 + i + feet / 30 + (part == "last") * (
                0.45 + i / 100 if feet == 50 else (-1) ** i * 0.2))
            for i in range(4) for part in ("first", "last") for feet in (10, 30, 50)
            if not (i == 3 and (part == "last" or feet == 50))]  # fmt: skip
    rows += [("K3", "last", 10, 15.1)]
    frame = pd.DataFrame(rows, columns=["ball", "cover", "distance", "x"])
    said = told(judged, "kind: ball-paths, board: x, by: cover", frame, NO_USE).shows
    assert "going by the one distance at which all of them were read" in said, said
    assert said.endswith("not enough to call them different there.")
    whole = frame[frame["ball"] != "K3"].query("distance != 50")
    said = told(judged, "kind: ball-paths, board: x, by: cover", whole, NO_USE).shows
    assert "different anywhere." in said and "going by the" not in said


@pytest.mark.parametrize(("figure", "title"), [
    ("at_least: 50", "All 8 balls pass, by the limit drawn here, 50 microinches or more"),
    ("at_least: 64", "8 of 8 balls miss 64 microinches or more, the limit drawn here"),
])  # fmt: skip
def test_a_title_names_the_limit_where_a_claim_goes_by_another(
    judged: Judge, figure: str, title: str
) -> None:
    """"All 8 pass" stood beside a claim, held to 49 or less, that not one passes."""
    frame = pd.DataFrame([(f"K{i}", 52.0 + i) for i in range(8)], columns=["ball", "x"])
    claim = ("  - {id: c, report_says: Y., plainly: Y., test: {kind: limit, measure: x, "
             "at_most: 49}}\n")  # fmt: skip
    more = f"figures:\n  - {{id: f, table: t, kind: limit, y: x, {figure}}}\n"
    said = say(judged(claim, frame, head=NO_USE, more=more), "viewer").figures["f"].title
    assert said.replace("All 8 balls miss", "8 of 8 balls miss") == title
    own = claim.replace("at_most: 49", figure)
    said = say(judged(own, frame, head=NO_USE, more=more), "viewer").figures["f"].title
    assert "drawn here" not in said
