"""What is said of a figure's dots, lines and bands is what there is to see."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from words.test_say_figures import (
    DATA,
    ball_paths,
    gauge,
    groups,
    over_use,
    scatter,
    shot_series,
    words_of,
)

from explainer.claims import figure_data as p
from explainer.claims.verdict import Finding
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.systems import told_again
from explainer.words.said import FigureWords


@pytest.fixture
def told(made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch) -> Any:
    def say(name: str, data: object, found: tuple[Finding, ...]) -> FigureWords:
        monkeypatch.setitem(DATA, name, lambda: (data, found))
        return words_of(made, name)

    return say


def test_dots_that_lie_on_one_another_are_told(told: Any) -> None:
    """Forty balls on seventeen spots look like seventeen balls."""
    data, found = scatter(False)
    assert "lie on one another" not in told("scatter", data, found).looking_at
    dots = (*data.item_means[:-2], *(replace(data.item_means[0], item=i) for i in ("T3", "T4")))
    apart = replace(dots[1], x=dots[0].x + 1e-12, y=dots[0].y)  # a float's last digit
    few = replace(data, item_means=(dots[0], apart, *dots[2:]))
    assert "Some lie on one another, so there are 5 spots to see." in (
        told("scatter", few, found).looking_at)
    assert "lie on one another" not in told("joined", *scatter(True)).looking_at


def test_lines_that_lie_on_one_another_are_told(told: Any) -> None:
    data, found = over_use()
    assert "lie on one another" not in told("over-use", data, found).looking_at
    same = tuple(replace(line, y=data.lines[0].y) for line in data.lines[:3])
    few = replace(data, lines=(*same, *data.lines[3:]))
    looking = told("over-use", few, found).looking_at
    assert "Some lines lie on one another, so there are 6 different ones." in looking


def test_one_item_has_no_average(told: Any) -> None:
    data, (change, *_) = over_use()
    alone = replace(data, lines=data.lines[:1], means=data.means, claimed_to=None)
    one = Finding("change", {**change.numbers, "n_items": 1, "low": None, "high": None})
    words = told("over-use", alone, (one,))
    assert "The one read at both ends goes from" in words.shows  # eight are said to be drawn
    assert "average" not in f"{words.looking_at} {words.how_to_read} {words.shows}"
    assert "average" not in words.description


@pytest.mark.parametrize(("sizes", "shows", "how", "describes"), [
    ((4, 4), "averaged 70.2 microinches for Plover and 61.0 for Teasel", "may overlap",
     "The average is"),
    ((1, 1), "came to 70.2 microinches for Plover and 61.0 for Teasel", "one to a column",
     "It is 70.2 microinches for Plover and 61.0 for"),
    ((1, 4), "came to 70.2 microinches for Plover and averaged 61.0 for Teasel",
     "the averages and the lone dots", "and the average is 61.0 for"),
])  # fmt: skip
def test_one_reading_is_no_average(
    told: Any, sizes: tuple[int, int], shows: str, how: str, describes: str
) -> None:
    data, (gap, _) = groups()
    made = tuple(replace(g, items=g.items[:n]) for g, n in zip(data.groups, sizes, strict=True))
    words = told("groups", replace(data, groups=made), (gap,))
    assert shows in words.shows
    assert how in words.how_to_read
    assert ("overlap" in words.how_to_read) == (max(sizes) > 1)
    assert describes in words.description


def test_what_is_shaded_is_told(told: Any) -> None:
    data, found = groups()
    said = told("groups", data, found).how_to_read
    assert "The shaded band reaches 6 microinches to either side of the average of Plover" in said
    lone = replace(data, groups=(replace(data.groups[0], items=data.groups[0].items[:1]),))
    assert "to either side of that dot" in told("groups", lone, ()).how_to_read


def test_only_those_read_in_both_are_compared_with_themselves(told: Any) -> None:
    data, (turn, apart) = ball_paths()
    assert "each ball is compared with itself" in told("ball-paths", data, (apart,)).how_to_read
    two = Finding("difference-at", {**apart.numbers, "n_items": 2})
    said = told("ball-paths", data, (turn, two)).how_to_read
    assert "only the 2 balls read in both are compared, each with itself" in said
    assert "each ball is compared" not in said


def test_a_path_read_between_the_marks_of_the_bold_line_is_not_denied(told: Any) -> None:
    data, found = ball_paths()
    assert "nobody looked" in told("ball-paths", data, found).cannot_show
    own = ("T1", "0", (15.0, 30.0, 40.0, 45.0, 50.0, 60.0), (10.0, 6, 5, 7, 9, 16))
    words = told("ball-paths", replace(data, items=(own,)), found)
    assert "nobody looked" not in words.cannot_show
    assert "not all of its paths were read, so a turn" in words.cannot_show
    past = ("T1", "0", (*data.lines[0].distance, 62.0), (10.0, 6, 5, 7, 16, 16))
    assert "nobody looked" in told("ball-paths", replace(data, items=(past,)), found).cannot_show


def test_a_path_of_more_readings_here_than_there_says_so(told: Any) -> None:
    data, found = ball_paths()
    even = told("ball-paths", replace(data, averaged=True), found).looking_at
    assert "come of which were read" not in even
    uneven = replace(data, averaged=True, patched=True)
    assert "come of which were read" in told("ball-paths", uneven, found).looking_at


def test_no_line_is_spoken_of_where_bars_are_drawn(told: Any) -> None:
    data, found = shot_series()
    few = replace(data, series=data.series[:3])
    assert "the line through their own series" in told("shot-series", few, found).how_to_read
    words = told("shot-series", replace(few, run=5), found)
    assert "line" not in f"{words.how_to_read} {words.cannot_show}"


def test_a_broken_line_is_told_from_broken_trails(told: Any) -> None:
    data, found = scatter(True)
    inner = tuple(x for x in found if x.kind in ("within", "edge"))
    for drawn in (data, replace(data, between=None)):
        said = told("joined", drawn, inner).how_to_read
        assert said.casefold().count("heavy broken") == 1 == said.count("broken")


def test_the_ends_of_an_axis_are_rounded_as_any_reading(
    told: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """132 microinches are 3.35 µm in the table, in what a group ran to, and here."""
    monkeypatch.setattr(Teller, "_first", lambda *_: 0)
    edge = Finding("edge", {"x_from": 60.0, "x_to": 132.0})
    for joined, name, who in ((False, "scatter", "dots"), (True, "joined", "readings")):
        data, found = scatter(joined)
        said = told(name, data, (*found[:1], edge)).cannot_show
        assert f"Across, the {who} run from 60 to 132 microinches and no further." in said
        assert "1.52 to 3.35 µm" in told_again(said, "metric")


def test_how_many_readings_a_point_is_of(made: SimpleNamespace) -> None:
    line = p.PathLine("0", (0.0, 30.0, 60.0), (1, 2, 3), (None,) * 3, (None,) * 3, 1, None, None)
    data = p.BallPathsData((line,), (("A", "0", (0.0, 15.0), (1.0, 2.0)),), "right")
    assert data.read_between
    assert not replace(data, items=(("A", "0", (0.0, 30.0), (1.0, 2.0)),)).read_between


def test_readings_that_are_all_alike_have_no_differences_to_share_out(told: Any) -> None:
    """Six readings of 74.2 by one desk: told as if some of their differences were the gauge's."""
    data = gauge()[0]
    one = tuple(replace(r, operator="A", y=74.2) for r in data.readings if r.operator == "A")
    words = told("gauge", replace(data, readings=one, operators=("A",), grr=None, mdd=None), ())
    assert "readings are alike, 74.2" in words.shows
    assert "how far two would differ" in words.shows
    assert "differences between balls is only" not in words.shows
    assert "how far apart the columns" not in words.how_to_read
    apart = (replace(one[0], y=75.0), *one[1:])
    words = told("gauge", replace(data, readings=apart, operators=("A",), grr=None, mdd=None), ())
    assert "are alike" not in words.shows and "differences between balls is only" in words.shows
