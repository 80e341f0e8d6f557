"""Measures worked out from others, and what is said where they cannot be."""

from __future__ import annotations

import math

import numpy as np
import pytest

from explainer.errors import StudyError
from explainer.study.load import load_study, open_workspace
from explainer.units import BOARD_INCHES

DESCRIPTION = """
title: Paths
question: Where does it turn?
tested: {{each: ball}}
use: {{column: games, unit: game}}
measures: {{{measures}}}
tables:
  paths: {{file: paths.csv, source: bench{table}}}
"""
PATHS = """ball,games,{order}distance,board
A,0,{one}0,20
A,0,{one}10,18
A,0,{one}40,10
A,0,{one}55,14
A,0,{one}60,17
"""


ONE_PATH = PATHS.format(order="", one="")


def load(tmp_path, measures, rows=ONE_PATH, table=""):
    folder = tmp_path / "studies" / "paths"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "study.yaml").write_text(DESCRIPTION.format(measures=measures, table=table))
    (folder / "paths.csv").write_text(rows)
    return load_study(folder, open_workspace(tmp_path)).tables["paths"]


def only(table, name):
    """The one value of a derived measure in a table of one path."""
    (value,) = table.frame[name].dropna()
    return value


@pytest.mark.parametrize(
    ("what", "unit", "expected"),
    [
        # The launch line through (0, 20) and (10, 18) reaches board 8 at 60 feet.
        ("what: total hook", "board", 9),
        ("what: total hook", "inch", 9 * BOARD_INCHES),
        ("what: total hook, launch: [0, 40]", "board", None),
        ("what: entry angle", "degree", math.degrees(math.atan(3 * BOARD_INCHES / 60))),
        ("what: breakpoint", "foot", 40),
        ("what: breakpoint", "inch", 480),
        ("what: board at, at: 47.5", "board", 12),
    ],
)
def test_from_a_path(tmp_path, what, unit, expected):
    table = load(tmp_path, f"m: {{unit: {unit}, derived: {{path: paths, {what}}}}}")
    value = only(table, "m")
    if expected is None:  # a launch line through three points: least squares by hand
        slope, middle = np.polyfit([0, 10, 40], [20, 18, 10], 1)
        expected = 17 - (slope * 60 + middle)
    assert value == pytest.approx(expected, rel=1e-12)
    assert table.frame["m"].last_valid_index() == 6


def test_each_shot_has_its_own_path(tmp_path):
    first = PATHS.format(order="shot,", one="1,")
    second = PATHS.format(order="shot,", one="2,").split("\n", 1)[1].replace("60,17", "60,16")
    table = load(
        tmp_path, "m: {unit: board, derived: {path: paths, what: total hook}}",
        first + second, ", order: shot",
    )  # fmt: skip
    assert table.frame["m"].dropna().tolist() == [9, 8]


def test_rows_of_a_path_may_stand_in_any_order(tmp_path):
    head, *rows = ONE_PATH.strip().split("\n")
    text = "\n".join([head, *reversed(rows)]) + "\n"
    table = load(tmp_path, "m: {unit: board, derived: {path: paths, what: total hook}}", text)
    assert only(table, "m") == pytest.approx(9)
    assert table.frame["m"].first_valid_index() == 2


def test_a_path_whose_end_is_missing_has_no_value_and_is_named(tmp_path):
    rows = ONE_PATH.replace("60,17", "60,")
    table = load(tmp_path, "m: {unit: board, derived: {path: paths, what: total hook}}", rows)
    assert table.frame["m"].isna().all()
    note = next(n for n in table.notes if n.column == "m")
    assert (note.row, note.item, note.use, note.why) == (6, "A", 0.0, "points are missing")


def test_a_derived_value_that_cannot_be(tmp_path):
    measures = "m: {unit: board, highest: 5, derived: {path: paths, what: total hook}}"
    with pytest.raises(StudyError, match=r"row 6, column m: found 9, expected at most 5 boards"):
        load(tmp_path, measures)


def test_differences_and_ratios(tmp_path):
    table = load(
        tmp_path,
        "board: {unit: board}, distance: {unit: foot}, "
        "share: {unit: percent, derived: {ratio: [board, distance]}}, "
        "times: {unit: count, derived: {ratio: [board, distance]}}, "
        "ahead: {unit: inch, derived: {difference: [distance, board]}}, "
        "twice: {unit: inch, derived: {difference: [ahead, board]}}",
        "ball,games,distance,board\nA,0,10,39\nA,1,20,\n",
    )
    inches = 39 * BOARD_INCHES
    assert table.frame.loc[2, "share"] == pytest.approx(100 * inches / 120)
    assert table.frame.loc[2, "times"] == pytest.approx(inches / 120)
    assert table.frame.loc[2, "ahead"] == pytest.approx(120 - inches)
    assert table.frame.loc[2, "twice"] == pytest.approx(120 - 2 * inches)
    assert np.isnan(table.frame.loc[3, "share"])


def test_nothing_is_divided_by_zero(tmp_path):
    with pytest.raises(StudyError, match=r"row 3, column distance: found 0, expected a value to"):
        load(
            tmp_path,
            "board: {unit: board}, distance: {unit: hour}, "
            "pace: {unit: board/hour, derived: {ratio: [board, distance]}}",
            "ball,games,distance,board\nA,0,10,39\nA,1,0,1\n",
        )


def test_a_measure_cannot_be_worked_out_from_itself(tmp_path):
    with pytest.raises(StudyError, match="`a` worked out from itself"):
        load(tmp_path, "board: {unit: board}, a: {unit: board, derived: {difference: [a, board]}}")


# --- how exact a measure is that is worked out

GAUGES = (
    "baked: {{unit: Shore D, resolution: 0.1, repeatability_sd: 0.3}}, "
    "new: {{unit: Shore D, resolution: 0.1, repeatability_sd: {new}}}, "
    "back: {{unit: Shore D{own}, derived: {{{how}: [baked, new]}}}}, "
    "gain: {{unit: Shore D, derived: {{difference: [back, new]}}}}"
)
TWO = "ball,games,baked,new\nA,0,74,76\nB,0,75,50\n"


def gauges(tmp_path, *, new="0.3", own="", how="difference"):
    """The study with two readings of a ball, and what is worked out from them."""
    text = GAUGES.format(new=new, own=own, how=how)
    if how == "ratio":
        text = text[: text.index(", gain")]
        text = text.replace("unit: Shore D, derived", "unit: percent, derived")
    if new == "unknown":
        text = text.replace(", resolution: 0.1, repeatability_sd: unknown", "")
    load(tmp_path, text, TWO, ", reading_error: 0.05")
    return load_study(tmp_path / "studies" / "paths", open_workspace(tmp_path))


def test_a_difference_is_as_exact_as_its_two_readings_together(tmp_path):
    study = gauges(tmp_path)
    one = math.hypot(0.3, 0.1 / math.sqrt(12))
    assert study.measure("back").repeatability_sd == pytest.approx(math.sqrt(2) * one)
    # baked - new - new: the second reading comes in twice, and is off twice the same way.
    assert study.measure("gain").repeatability_sd == pytest.approx(math.sqrt(5) * one)
    times = study.tables["paths"].chart_times
    assert times == {"back": pytest.approx(math.sqrt(2)), "gain": pytest.approx(math.sqrt(5))}
    own = gauges(tmp_path, own=", repeatability_sd: 0.5").measure("back")
    assert own.repeatability_sd == 0.5


def test_a_difference_from_a_gauge_that_nobody_knows_is_not_known(tmp_path):
    study = gauges(tmp_path, new="unknown")
    assert study.measure("back").repeatability_sd is None
    assert study.measure("gain").repeatability_sd is None


def test_a_ratio_is_as_exact_as_its_worst_row(tmp_path):
    """100·baked/new: of 75 over 50, each off by u, u/50·√(1 + 1.5²) of the ratio of 1.5."""
    one = math.hypot(0.3, 0.1 / math.sqrt(12))
    study = gauges(tmp_path, how="ratio")
    expected = 100 * one / 50 * math.hypot(1, 1.5)
    assert study.measure("back").repeatability_sd == pytest.approx(expected)
