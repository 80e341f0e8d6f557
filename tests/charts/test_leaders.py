"""What joins a name to its point, and what a gap looks like: neither is taken for data."""

from __future__ import annotations

from dataclasses import replace

import pytest
import samples
from test_figures import EVERY, drawn

from explainer.charts.display_list import SUMMARY, Box, DisplayList, Dots, Stroke
from explainer.charts.kinds import draw
from explainer.charts.style import LEADER, MISSING, STILL, TALL, TICK, WIDE, Canvas, series
from explainer.claims.figure_data import BallPathsData, ItemLine, OverUseData, PathLine


def leaders(plate: DisplayList) -> list[Stroke]:
    return [m for m in plate.marks if isinstance(m, Stroke) and (m.stroke, m.width) == LEADER]


@pytest.mark.parametrize("sheet", [WIDE, TALL, STILL], ids=lambda sheet: sheet.name)
@pytest.mark.parametrize(("kind", "case"), EVERY)
def test_what_joins_a_name_to_its_point_looks_like_nothing_else(
    kind: str, case: str, sheet: Canvas
) -> None:
    plate = drawn(kind, case, sheet)
    names = [text.box.grown(8) for text in plate.texts]
    for mark in leaders(plate):
        assert mark.dash == ()
        for run in mark.runs:
            spots = [Box(x, y, x, y) for x, y in run]
            assert any(spot.within(name) for spot in spots for name in names)


def early(sheet: Canvas) -> tuple[DisplayList, Box, Box]:
    """One line read to the end and one that stops halfway, with the boxes of their names."""
    use = (0.0, 10.0, 20.0)
    lines = (ItemLine("Whole", "g", use, (12.0, 11.0, 10.0)),
             ItemLine("Short", "g", use[:2], (9.0, 8.0)))  # fmt: skip
    result, words = samples.CASES["over-use"]["plain"]
    data = OverUseData(lines, samples.means_of(lines), use, None)
    plate = draw(samples.with_data(result, data), words, sheet)
    boxes = {text.text: text.box for text in plate.texts}
    return plate, boxes["Whole"], boxes["Short"]


@pytest.mark.parametrize("sheet", [WIDE, STILL], ids=lambda sheet: sheet.name)
def test_a_line_that_ends_early_has_its_name_where_it_ends(sheet: Canvas) -> None:
    """Beside the area it would stand by marks of others, and the way there look like readings."""
    plate, whole, short = early(sheet)
    assert short.right < whole.left - 40
    assert all(abs(run[0][0] - run[-1][0]) < 40 for mark in leaders(plate) for run in mark.runs)


def test_of_many_one_that_ends_early_is_named_nowhere() -> None:
    result, words = samples.CASES["over-use"]["thirty balls"]
    lines = result.data.lines
    lowest = min(lines, key=lambda line: line.y[-1])
    short = replace(lowest, use=lowest.use[:2], y=lowest.y[:2])
    lines = tuple(short if line is lowest else line for line in lines)
    texts = [t.text for t in draw(samples.with_data(
        result, replace(result.data, lines=lines)), words, WIDE).texts]  # fmt: skip
    assert lowest.item not in texts
    assert any(text.startswith("+ ") for text in texts)


def test_a_gap_has_a_look_that_no_group_has() -> None:
    """Gaps are dots; every group's line is whole or of dashes."""
    dots = max(MISSING[::2])
    assert all(look.dash == () or max(look.dash[::2]) > 2 * dots for look in map(series, range(24)))


@pytest.mark.parametrize("sheet", [WIDE, TALL, STILL], ids=lambda sheet: sheet.name)
def test_a_path_that_lies_on_another_is_seen_and_named_where_it_ends(sheet: Canvas) -> None:
    def path(name: str, feet: tuple[float, ...], boards: tuple[float, ...]) -> PathLine:
        none = (None,) * len(feet)
        turn = (30.0, 30.0) if len(feet) > 2 else (None, None)
        return PathLine(name, feet, boards, none, none, 5, *turn)

    lines = (path("first", (0.0, 30.0), (15.0, 12.0)),
             path("last", (0.0, 15.0, 30.0, 60.0), (15.1, 13.5, 12.0, 18.0)))  # fmt: skip
    result, words = samples.CASES["ball-paths"][next(iter(samples.CASES["ball-paths"]))]
    words = replace(words, lines=("first part", "last part"), callouts=())
    plate = draw(samples.with_data(result, BallPathsData(lines, (), "right")), words, sheet)
    strokes = [m for m in plate.marks if isinstance(m, Stroke)]
    drawn = [i for i, m in enumerate(strokes) if m.width == 2.2 and m.stroke in ("s1", "s2")]
    halos = [i for i, m in enumerate(strokes) if m.width > 3 and m.stroke == "paper"]
    assert len(drawn) == len(halos) == 2
    assert max(halos) < min(drawn)
    boxes = {text.text: text.box for text in plate.texts}
    assert boxes["first part"].right < boxes["last part"].left
    bars = [m for m in strokes if m.stroke == "s2" and len(m.runs) == 3]
    height = bars[0].runs[0][0][1]
    assert all(
        abs(y - height) > 1 or abs(run[0][0] - run[-1][0]) < 40
        for m in leaders(plate) for run in m.runs for _, y in run
    )  # fmt: skip


def test_averages_are_marked_only_where_a_line_goes_through_them() -> None:
    result, words = samples.CASES["scatter"]["joined"]

    def diamonds(data: object) -> int:
        plate = draw(samples.with_data(result, data), words, WIDE)
        return sum(isinstance(m, Dots) and m.shape == "diamond" and m.step == SUMMARY
                   for m in plate.marks)  # fmt: skip

    assert diamonds(result.data)
    assert not diamonds(replace(result.data, between=None, expected=None))


@pytest.mark.parametrize("shots", [1, 10, 60])
def test_shots_are_counted_in_whole_numbers(shots: int) -> None:
    result, words = samples.shot_series(shots=shots), samples.figure_words(callouts=())
    plate = draw(result, words, WIDE)
    foot = [t for t in plate.texts if t.anchor == "middle" and t.y > 200 and t.size == TICK]
    assert foot
    assert all("." not in text.text for text in foot)
