"""Every kind on easy, ugly and extreme data, on every sheet."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from xml.dom.minidom import parseString

import numpy as np
import pytest
import samples
from hypothesis import given, settings, strategies as st

from explainer.charts import svg
from explainer.charts.display_list import (
    DATA,
    FIRST_CALLOUT,
    SUMMARY,
    TAKEAWAY,
    Box,
    DisplayList,
    Dots,
    Stroke,
)
from explainer.charts.kinds import KINDS, draw
from explainer.charts.labels import overlaps
from explainer.charts.style import LEADER, POSTER, STILL, TALL, WIDE, Canvas
from explainer.claims.figure_data import ItemLine, OverUseData, Point, ScatterData
from explainer.study.description.figures import AnyFigure

EVERY = [(kind, case) for kind, cases in samples.CASES.items() for case in cases]


def said(plate: DisplayList) -> str:
    """All texts; a wrapped one is put together again by its spaces."""
    return " ".join(text.text for text in plate.texts)


def drawn(kind: str, case: str, sheet: Canvas = WIDE) -> DisplayList:
    result, words = samples.CASES[kind][case]
    return KINDS[kind](result, words, sheet)


@pytest.mark.parametrize("sheet", [WIDE, TALL, STILL], ids=lambda sheet: sheet.name)
@pytest.mark.parametrize(("kind", "case"), EVERY)
def test_no_label_touches_another_or_leaves_the_paper(kind: str, case: str, sheet: Canvas) -> None:
    assert overlaps(drawn(kind, case, sheet)) == []


@pytest.mark.parametrize(("kind", "case"), EVERY)
def test_a_figure_is_small_well_formed_and_keeps_its_words_as_text(kind: str, case: str) -> None:
    _, words = samples.CASES[kind][case]
    drawing = svg.render(drawn(kind, case), "one", words.title, words.description)
    assert len(drawing.encode()) < 60_000
    root = parseString(drawing).documentElement
    assert root.getAttribute("role") == "img"
    texts = " ".join(node.firstChild.data for node in root.getElementsByTagName("text"))
    for word in f"{words.y_label} {words.note}".split():
        assert word in texts
    assert "nan" not in re.sub(r"<(title|desc|text)[^>]*>[^<]*", "", drawing)


def test_every_kind_of_the_description_can_be_drawn() -> None:
    kinds = {
        model.model_fields["kind"].annotation.__args__[0] for model in AnyFigure.__origin__.__args__
    }
    assert kinds == KINDS.keys()


def test_ids_are_unique_over_a_page_of_all_figures() -> None:
    page = "".join(
        svg.render(draw(*samples.CASES[kind][case]), f"f{number}", "t", "d")
        for number, (kind, case) in enumerate(EVERY)
    )
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids)) == 3 * len(EVERY)
    for labelled in re.findall(r'aria-labelledby="([^"]+)"', page):
        assert set(labelled.split()) <= set(ids)


def test_callouts_are_steps_of_their_own_and_the_title_comes_last() -> None:
    assert drawn("over-use", "plain", STILL).steps == (
        0, 1, 2, FIRST_CALLOUT, FIRST_CALLOUT + 1, TAKEAWAY,
    )  # fmt: skip
    assert TAKEAWAY not in drawn("over-use", "plain", WIDE).steps


def test_a_callout_points_at_its_thing() -> None:
    plate = drawn("over-use", "plain")
    [ring] = [m for m in plate.marks if isinstance(m, Dots) and m.step == FIRST_CALLOUT]
    assert (ring.stroke, ring.fill) == ("accent", None)
    centre = ring.at[0]
    ticks = {t.text: t.box for t in plate.texts if t.text in ("20", "40", "60")}
    at_20 = next(t.x for t in plate.texts if t.text == "20" and t.anchor == "middle")
    assert centre[0] == pytest.approx(at_20, abs=0.5)
    assert ticks["60"].top < centre[1] or ticks["40"].top > centre[1]


def test_the_edge_of_the_data_and_what_lies_past_it_are_said() -> None:
    assert "nothing measured past 60" in said(drawn("over-use", "plain"))
    assert "the claim goes on to 300" in said(drawn("over-use", "plain"))
    assert "nothing measured past 60" in said(drawn("over-use", "no claim past the data"))
    assert "claim goes on" not in said(drawn("over-use", "no claim past the data"))


def test_a_callout_that_finds_no_room_is_told_in_the_description() -> None:
    result, _ = samples.CASES["groups"]["two"]
    remarks = tuple(
        (f"Remark number {n} about this rather crowded figure.", (0.5, 50.0)) for n in range(60)
    )
    crowded = samples.figure_words(callouts=remarks)
    plate = draw(result, crowded)
    assert overlaps(plate) == []
    assert plate.left_out
    assert plate.left_out[0] in svg.render(plate, "u", "t", "d")


def test_a_hundred_thousand_shots_say_that_they_were_gathered() -> None:
    plate = drawn("shot-series", "many shots")
    assert "shots, lowest to highest" in said(plate)


def test_a_missing_checkpoint_is_bridged_by_dots_only() -> None:
    def bridges(case: str, step: int) -> int:
        return sum(
            len(m.runs)
            for m in drawn("over-use", case).marks
            if isinstance(m, Stroke) and m.dash == (0.8, 3) and m.step == step
        )

    assert bridges("plain", DATA) == bridges("plain", SUMMARY) == 0
    assert bridges("missing", DATA) == 4
    data = samples.CASES["over-use"]["missing"][0].data
    few = [m.n_items < len(data.averaged) for m in data.means]
    assert 0 < sum(few) < len(few)
    assert bridges("missing", SUMMARY) == sum(a or b for a, b in pairwise(few))
    hollow = [m for m in drawn("over-use", "missing").marks
              if isinstance(m, Dots) and (m.fill, m.stroke, m.step) == ("paper", "ink", SUMMARY)]
    assert [len(m.at) for m in hollow] == [sum(few)]


VALUE = st.one_of(st.floats(-1e6, 1e6), st.floats(0, 100))


@given(
    st.lists(st.tuples(st.text(min_size=1, max_size=40), st.lists(VALUE, min_size=4, max_size=4)),
             min_size=1, max_size=30),
    st.lists(st.tuples(st.text(min_size=1, max_size=120), VALUE), max_size=4),
    st.sampled_from([WIDE, TALL, STILL]),
)  # fmt: skip
@settings(max_examples=20, deadline=None)
def test_random_lines_never_collide(
    items: list[tuple[str, list[float]]], remarks: list[tuple[str, float]], sheet: Canvas
) -> None:
    use = (0.0, 1.0, 30.0, 31.0)
    lines = tuple(
        ItemLine(name, f"g{n % 9}", use, tuple(values)) for n, (name, values) in enumerate(items)
    )
    data = OverUseData(lines, samples.means_of(lines), use, 10.0, 100.0, 20.0, None)
    words = samples.figure_words(callouts=tuple((t, (30.0, y)) for t, y in remarks))
    result, _ = samples.CASES["over-use"]["plain"]
    plate = draw(samples.with_data(result, data), words, sheet)
    assert overlaps(plate) == []
    parseString(svg.render(plate, "u", words.title, words.description))


@given(
    st.lists(st.tuples(st.text(min_size=1, max_size=40), VALUE, VALUE), min_size=1, max_size=40),
    st.lists(st.tuples(st.text(min_size=1, max_size=120), VALUE, VALUE), max_size=4),
    st.sampled_from([WIDE, TALL, STILL]),
)
@settings(max_examples=20, deadline=None)
def test_random_points_never_collide(
    items: list[tuple[str, float, float]], remarks: list[tuple[str, float, float]], sheet: Canvas
) -> None:
    points = tuple(Point(name, "g", None, x, y) for name, x, y in items)
    data = ScatterData(points, points, None, None, False)
    words = samples.figure_words(callouts=tuple((t, (x, y)) for t, x, y in remarks))
    result, _ = samples.CASES["scatter"]["means only"]
    plate = draw(samples.with_data(result, data), words, sheet)
    assert overlaps(plate) == []
    parseString(svg.render(plate, "u", words.title, words.description))


def test_an_unjoined_scatter_draws_no_line_for_journeys_it_does_not_show() -> None:
    result, words = next(
        (r, w) for r, w in samples.CASES["scatter"].values() if r.data.within is not None
    )
    for joined in (True, False):
        data = replace(result.data, joined=joined)
        assert ("each on its own" in said(draw(samples.with_data(result, data), words))) == joined


def test_an_average_is_seen_over_the_mark_of_its_one_checkpoint() -> None:
    """Where one checkpoint is all that is shared, each average lies on a mark of its trail."""
    seen = 0
    for result, words in samples.CASES["scatter"].values():
        marks = [m for m in draw(result, words).marks if isinstance(m, Dots)]
        shapes = [m.shape == "diamond" and m.step == SUMMARY for m in marks]
        if any(shapes):
            seen += 1
            assert shapes.index(True) > max(i for i, m in enumerate(marks) if m.step == DATA)
    assert seen


@pytest.mark.parametrize(("apart", "joined"), [(0.002, True), (0.45, False)])
def test_the_name_of_a_line_is_not_taken_for_that_of_another(apart: float, joined: bool) -> None:
    """Two lines that end at one place have their names joined to them; far ends need no such."""
    result, words = next(
        (r, w) for r, w in samples.CASES["scatter"].values() if r.data.within and r.data.between
    )
    line = result.data.between
    high = max(p.y for p in result.data.points) - min(p.y for p in result.data.points)
    level = replace(line, slope=0.0, intercept=float(np.mean([p.y for p in result.data.points])))
    other = replace(level, intercept=level.intercept + apart * high)
    data = replace(result.data, between=level, within=other, joined=True, without=None,
                   expected=None)  # fmt: skip
    plate = draw(samples.with_data(result, data), words, STILL)
    hairs = [m for m in plate.marks if isinstance(m, Stroke) and m.step == SUMMARY
             and (m.stroke, m.width) == LEADER]  # fmt: skip
    assert bool(hairs) == joined


@pytest.mark.parametrize("sheet", [WIDE, TALL, STILL], ids=lambda sheet: sheet.name)
def test_a_gauge_callout_stands_on_the_reading_it_speaks_of(sheet: Canvas) -> None:
    result, words = samples.CASES["gauge"][next(iter(samples.CASES["gauge"]))]
    part = result.data.parts[-1]
    highest = max(r.y for r in result.data.readings if r.part == part)
    spot = (float(len(result.data.parts) - 1), highest)
    plate = draw(result, replace(words, callouts=(("far apart", spot),)), sheet)
    *sample, ring = [m for m in plate.marks if isinstance(m, Dots) and m.step == FIRST_CALLOUT]
    assert len(sample) == int(sheet.phone)  # before the words, which stand above the data there
    readings = np.vstack([m.at for m in plate.marks if isinstance(m, Dots) and m.step == DATA])
    assert np.hypot(*(readings - ring.at[0]).T).min() < 0.1


@pytest.mark.parametrize("sheet", [WIDE, TALL], ids=lambda sheet: sheet.name)
def test_what_a_gauge_sees_is_told_in_the_steps_of_its_axis(sheet: Canvas) -> None:
    """Thousandths of an inch: beside the readings, and in the words below them on a phone."""
    result, words = next((r, w) for r, w in samples.CASES["gauge"].values() if r.data.mdd)
    data = replace(result.data, mdd=0.0123)
    told = replace(words, y_told=1000.0, y_unit="thousandths of an inch")
    text = said(draw(samples.with_data(result, data), told, sheet))
    assert re.search(r"be the same: (?:about )?12\b", text), text


@pytest.mark.parametrize("named", [True, False])
@pytest.mark.parametrize("kind", ["over-use", "groups"])
def test_a_poster_shades_no_band_whether_or_not_it_names_its_lines(kind: str, named: bool) -> None:
    def banded(plate: DisplayList) -> bool:
        return any(getattr(mark, "fill", None) == "zone" for mark in plate.marks)

    shaded = [case for case in samples.CASES[kind] if banded(drawn(kind, case))]
    assert shaded, "some of them have a band on a page"
    for case in shaded:
        plate = drawn(kind, case, replace(WIDE, name=POSTER, named=named))
        assert not banded(plate) and "too small" not in said(plate)


def test_every_line_of_a_shot_series_is_named_and_off_the_shots() -> None:
    result, words = next(
        (r, w) for r, w in samples.CASES["shot-series"].values()
        if r.data.first and r.data.last and 0 < len(r.data.series) <= 6
    )  # fmt: skip
    plate = draw(result, replace(words, callouts=()))
    said = ("average of 10 in a row", "of the first 10 and the last 10",
            "stands apart, with its number")  # fmt: skip
    names = [t for t in plate.texts if t.text in said]
    assert len(names) == 3
    shots = np.vstack([m.at for m in plate.marks if isinstance(m, Dots) and m.cells])
    assert max(name.box.bottom for name in names) < shots[:, 1].min()
    # So few that nothing is left between the ends: no bar is named that is not drawn.
    ends = replace(result.data, series=tuple(replace(s, runs=()) for s in result.data.series))
    plate = draw(samples.with_data(result, ends), replace(words, callouts=()))
    assert [t.text for t in plate.texts if t.text in said] == list(said[1:])


def test_paths_that_turn_at_one_place_say_so_once() -> None:
    result, words = samples.CASES["ball-paths"][next(iter(samples.CASES["ball-paths"]))]
    first = result.data.lines[0]
    assert first.breakpoint is not None
    data = replace(result.data, lines=(first, replace(first, name="again")))
    plate = draw(samples.with_data(result, data), replace(words, callouts=()))
    assert said(plate).count("give or take") == (1 if first.spacing else 0)


@pytest.mark.parametrize("marks", [9, 13], ids=["whole lane", "last third"])
@pytest.mark.parametrize("turns", [(30.0, 35.0), (30.0, 30.0), (30.0, None)])
def test_a_phone_says_of_each_path_where_it_turns(
    marks: int, turns: tuple[float, float | None]
) -> None:
    result, words = samples.CASES["ball-paths"]["two"]
    lines = tuple(
        replace(line, breakpoint=at, distance=line.distance[:marks],
                board=tuple(20 - abs(mark - (at or 0)) / 5 for mark in line.distance[:marks]),
                low=line.low[:marks], high=line.high[:marks])
        for line, at in zip(result.data.lines, turns, strict=True)
    )  # fmt: skip
    data = replace(result.data, lines=lines, gaps=())
    text = said(draw(samples.with_data(result, data), replace(words, callouts=()), TALL))
    told = re.findall(r"turns at (\d+) ft", text)
    assert sorted(told) == sorted({f"{at:g}" for at in turns if at is not None}), text
    named = [f"{line.name}: turns at" in text for line in lines]
    by_name = data.late and turns[0] != turns[1]  # on the whole lane it stands beside the path
    assert named == [by_name, by_name and turns[1] is not None], text


def test_that_names_were_left_out_is_said_once_for_all_columns() -> None:
    plate = draw(samples.groups((20, 20)), samples.figure_words(**samples.SIDE))
    assert [t.text for t in plate.texts].count("only the outermost are named") == 1


def test_where_only_the_outermost_are_said_to_be_named_no_column_names_more() -> None:
    plate = draw(samples.groups((20, 5)), samples.figure_words(**samples.SIDE))
    names = {i for g in samples.groups((20, 5)).data.groups for i, _ in g.items}
    assert "only the outermost are named" in [t.text for t in plate.texts]
    assert sum(t.text in names for t in plate.texts) == 4


@pytest.mark.parametrize(
    "sheet", [WIDE, TALL, STILL, Canvas("low", 512, 150, 4, 5)], ids=lambda sheet: sheet.name
)
@pytest.mark.parametrize("count", range(2, 6))
def test_that_names_were_left_out_is_said_clear_of_every_average(count: int, sheet: Canvas) -> None:
    result = samples.groups((20,) * count)
    plate = draw(result, samples.figure_words(**samples.SIDE), sheet)
    notes = [t.box for t in plate.texts if t.text == "only the outermost are named"]
    bars = [np.concatenate(m.runs) for m in plate.marks if isinstance(m, Stroke)
            and m.step == SUMMARY and m.stroke == "ink"]  # fmt: skip
    assert bars
    for note in notes:
        for bar in bars:
            (left, top), (right, bottom) = bar.min(axis=0), bar.max(axis=0)
            assert not note.meets(Box(left, top, right, bottom))


def test_the_windows_are_named_though_the_first_item_has_no_shots() -> None:
    result, words = next(
        (r, w) for r, w in samples.CASES["shot-series"].values()
        if r.data.first and 1 < len(r.data.series) <= 6
    )  # fmt: skip
    none, *others = result.data.series
    series = (replace(none, shots=(), first_mean=None, last_mean=None), *others)
    plate = draw(replace(result, data=replace(result.data, series=series)), words)
    said = [t.text for t in plate.texts]
    assert said.count(f"of the first {result.data.first} and the last {result.data.last}") == 1


@pytest.mark.parametrize("sheet", [WIDE, TALL, STILL], ids=lambda sheet: sheet.name)
@pytest.mark.parametrize("rates", [(0.53, 0.42), (0.42, 0.53), (0.47, 0.46)])
def test_a_count_beside_a_pooled_rate_steps_out_of_the_way_of_a_line(
    sheet: Canvas, rates: tuple[float, float]
) -> None:
    result, words = samples.rates(2, 1), samples.CASES["rates"]["two"][1]
    pooled = tuple(
        replace(rate, rate=share, low=share - 0.025, high=share + 0.025)
        for rate, share in zip(result.data.pooled, (0.46, 0.52), strict=True)
    )
    ((who, own),) = result.data.within
    within = ((who, tuple(replace(r, rate=s) for r, s in zip(own, rates, strict=True))),)
    data = replace(result.data, pooled=pooled, within=within)
    plate = KINDS["rates"](replace(result, data=data), replace(words, callouts=()), sheet)
    (line,) = (
        mark.runs[0] for mark in plate.marks
        if isinstance(mark, Stroke) and mark.step == DATA and len(mark.runs[0]) == 2
        and mark.stroke == "s1" and mark.width > 1
    )  # fmt: skip
    along = line[0] + np.linspace(0, 1, 500)[:, None] * (line[1] - line[0])
    counts = [text for text in plate.texts if text.text.startswith("all: ")]
    assert len(counts) == 2
    for text in counts:
        box = text.box
        inside = (
            (along[:, 0] > box.left) & (along[:, 0] < box.right)
            & (along[:, 1] > box.top) & (along[:, 1] < box.bottom)
        )  # fmt: skip
        assert not inside.any(), text.text


def test_a_range_at_a_lone_mark_is_drawn_and_no_range_looks_like_a_path() -> None:
    """A band's edges were as thin as the paths; and of a mark between two without a range nothing
    was drawn."""
    result, words = samples.CASES["ball-paths"]["two"]
    first, *rest = result.data.lines
    holes = [None if feet in (45.0, 55.0) else end for feet, end in zip(
        first.distance, first.low, strict=True)]  # fmt: skip
    tops = [None if low is None else top for low, top in zip(holes, first.high, strict=True)]
    lone = replace(first, low=tuple(holes), high=tuple(tops))
    data = replace(result.data, lines=(lone, *rest), items=())
    plate = draw(samples.with_data(result, data), replace(words, callouts=()))
    strokes = [m for m in plate.marks if isinstance(m, Stroke) and m.step == SUMMARY]
    own = [m for m in strokes if m.stroke in ("s1", "s2")]
    assert not [m for m in own if m.width <= 0.5]
    bars = [m for m in own if m.opacity < 0.5]
    assert len(bars) >= 2  # at 50 feet and at 60
    assert all(len(run) == 2 for m in bars for run in m.runs)


@pytest.mark.parametrize("uneven", [True, False])
def test_the_mean_line_is_named_for_what_it_is_of(uneven: bool) -> None:
    """The mean of three models' means was called the mean of eleven."""
    lines = tuple(ItemLine(f"R{i}", "", (0.0, 60.0), (50.0, 60.0 + i)) for i in range(4))
    models = {f"R{i}": "a" if i < 2 + uneven else "b" for i in range(4)}
    result, words = samples.CASES["over-use"][next(iter(samples.CASES["over-use"]))]
    data = replace(result.data, lines=lines, models=models, sorted_as="model", change=None,
                   changes=(), checkpoints=(0.0, 60.0),
                   means=tuple(replace(m, use=u, mean=55.0, n_items=4) for u, m in zip(
                       (0.0, 60.0), result.data.means, strict=False)))  # fmt: skip
    texts = [t.text for t in draw(samples.with_data(result, data), words).texts]
    assert ("mean, each model once" in texts) is uneven
    assert ("mean of 4" in texts) is not uneven


def test_the_key_of_a_limit_stands_in_a_frame() -> None:
    """Its diamond was taken for one more reading near the line."""
    for result, words in samples.CASES["limit"].values():
        plate = draw(result, replace(words, callouts=()))
        keys = [t for t in plate.texts if re.match(r"\d+ (pass|fail|too close)", t.text)]
        frames = [m.runs[0] for m in plate.marks if isinstance(m, Stroke) and len(m.runs[0]) == 5]
        for key in keys:
            assert any(np.min(f[:, 0]) < key.box.left and key.box.right < np.max(f[:, 0]) + 3
                       for f in map(np.asarray, frames))  # fmt: skip
