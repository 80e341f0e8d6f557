"""Every kind of figure in words: four explanations, a title at the right strength, callouts."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from explainer.claims import figure_data as p
from explainer.claims.verdict import FigureResult, Finding, NumbersTable
from explainer.editions.numbers import OFF_LANE, _on_the_lane
from explainer.words.grade import grade
from explainer.words.said import FigureWords
from explainer.words.say import say

AUDIENCES = ("viewer", "league", "coach")
BALLS = ("P1", "P2", "P3", "P4", "T1", "T2", "T3", "T4")
USES = (0.0, 10.0, 20.0, 30.0, 45.0, 60.0)
OVERCLAIMS = re.compile(
    r"\b(prove[sd]?|always|significant\w*|no effect|no change|the data shows? that)\b", re.I
)
LEFTOVERS = re.compile(r"\bnan\b|None|\{\{|\{%|Undefined|not known|  | [.,;:]|\.\.| ,|\(\)")

FIGURES: dict[str, dict[str, Any]] = {
    "over-use": {"y": "texture", "group": "model"},
    "scatter": {"x": "texture", "y": "hook"},
    "joined": {"x": "texture", "y": "hook", "join": "yes"},
    "shot-series": {"y": "hook", "order": "shot", "first": 10, "last": 10},
    "ball-paths": {"by": "games"},
    "groups": {"y": "texture", "by": "model"},
    "rates": {"successes": "strikes", "attempts": "tries", "by": "model", "within": "bowler"},
    "gauge": {"y": "texture", "operator": "operator", "repeat": "repeat"},
    "limit": {"y": "texture", "at_least": 20},
}


def over_use() -> tuple[p.OverUseData, tuple[Finding, ...]]:
    models = {"P": "Plover", "T": "Teasel"}
    lines = tuple(
        p.ItemLine(b, models[b[0]], USES, tuple(70 + i - u / 3 for u in USES))
        for i, b in enumerate(BALLS)
    )
    means = tuple(p.MeanPoint(u, 73.5 - u / 3, 68.0 - u / 3, 79.0 - u / 3, 8) for u in USES)
    data = p.OverUseData(lines, means, USES, 6.0, claimed_to=100.0)
    return data, (
        Finding("change", {"from": 0.0, "to": 60.0, "mean_from": 71.4, "mean_to": 50.1,
                           "change": -21.3, "low": -25.1, "high": -17.5, "n_items": 8,
                           "n_down": 7, "n_up": 1}, (60.0, 50.1)),
        Finding("early-step", {"by": 10.0, "share": 0.81, "flat": 0, "back": 0, "change_by": -17.0,
                               "total": -21.3, "of": 60.0}, (10.0, 54.0)),
        Finding("odd-item", {"item": "T3", "change": -2.1, "others": -22.0}, (60.0, 68.0)),
        Finding("group-change", {"group": "Plover", "change": -24.2, "n_items": 4}),
        Finding("group-change", {"group": "Teasel", "change": -18.4, "n_items": 4}),
        Finding("edge", {"last": 60.0}, (60.0, 50.1)),
        Finding("missing", {"count": 2}),
    )  # fmt: skip


def scatter(joined: bool) -> tuple[p.ScatterData, tuple[Finding, ...]]:
    points = tuple(p.Point(b, "", None, 50.0 + 5 * i, 8 + i / 2) for i, b in enumerate(BALLS))
    line = p.FitLine(0.09, 3.0, 50, 85)
    return p.ScatterData(points, points, line, line, joined), (
        Finding("between", {"r": 0.82, "low": 0.27, "high": 0.97, "slope": 0.09, "n_items": 8,
                            "x_from": 50.0, "x_to": 85.0}),
        Finding("one-item", {"item": "T4", "r": 0.82, "r_without": 0.31}, (85.0, 11.5)),
        Finding("within", {"r": 0.02, "df": 39, "slope": 0.001, "slope_low": -0.04,
                           "slope_high": 0.042, "same_sign": 5, "n_items": 8}),
        Finding("levels", {"verdict": "differ", "slope_between": 0.09, "slope_within": 0.001,
                           "p": 0.01}),
        Finding("edge", {"x_from": 48.0, "x_to": 91.0}),
    )  # fmt: skip


def shot_series() -> tuple[p.ShotSeriesData, tuple[Finding, ...]]:
    series = tuple(
        p.ItemSeries(
            b, "", tuple(p.OneShot(float(n), 9.0, n == 7) for n in range(1, 21)), 9.0, -0.02, 9.2
        )
        for b in BALLS
    )
    return p.ShotSeriesData(series, 10, 10, "shot"), (
        Finding("drift", {"slope": -0.02, "low": -0.05, "high": 0.01, "n_items": 8, "n_up": 2,
                          "n_down": 6}),
        Finding("flagged", {"count": 8, "of": 160, "names": "P1 7, P2 7, P3 7, P4 7, T1 7",
                            "mixture": 0}, (7.0, 9.0)),
        Finding("first-last", {"first": 10, "last": 10, "change": -0.31, "n_items": 8}),
    )  # fmt: skip


def ball_paths() -> tuple[p.BallPathsData, tuple[Finding, ...]]:
    feet = (15.0, 30.0, 40.0, 45.0, 60.0)
    none = (None,) * 5
    lines = tuple(
        p.PathLine(n, feet, (10, 6, 5, 7, 16), none, none, 8, 40.0, 10.0) for n in ("0", "60")
    )
    return p.BallPathsData(lines, (), "right"), (
        Finding("breakpoint", {"name": "0", "distance": 40.0, "spacing": 10.0, "board": 5.0,
                               "n_items": 8}, (40.0, 5.0)),
        Finding("difference-at", {"first": "0", "last": "60", "from": 45.0, "count": 2,
                                  "distances": 5, "largest": -1.8, "largest_at": 60.0,
                                  "n_items": 8, "paired": 1}),
    )  # fmt: skip


def groups() -> tuple[p.GroupsData, tuple[Finding, ...]]:
    made = tuple(
        p.Group(n, tuple((b, 60.0 + i) for i, b in enumerate(BALLS[k:k + 4])), 61.5, 58.0, 65.0)
        for n, k in (("Plover", 0), ("Teasel", 4))
    )  # fmt: skip
    return p.GroupsData(made, 6.0, False), (
        Finding("difference", {"a": "Plover", "b": "Teasel", "mean_a": 70.2, "mean_b": 61.0,
                               "difference": 9.2, "low": 2.1, "high": 16.3, "n_items": 8}),
        Finding("spread", {"group": "Teasel", "lowest": 52.0, "highest": 70.0, "n_items": 4}),
    )  # fmt: skip


def rates() -> tuple[p.RatesData, tuple[Finding, ...]]:
    pooled = (
        p.Rate("Plover", 270, 480, 0.5625, 0.52, 0.61),
        p.Rate("Teasel", 240, 480, 0.5, 0.45, 0.55),
    )
    return p.RatesData(pooled, (("Ann", pooled),)), (
        Finding("pooled", {"a": "Plover", "b": "Teasel", "rate_a": 0.5625, "rate_b": 0.5,
                           "difference": 0.0625, "attempts": 960}),
        Finding("stratified", {"a": "Plover", "b": "Teasel", "difference": -0.031, "low": -0.06,
                               "high": -0.002, "n_items": 8, "n_up": 2, "n_down": 6}),
        Finding("reversal", {"pooled": 0.0625, "each": -0.031}),
    )  # fmt: skip


def gauge() -> tuple[p.GaugeData, tuple[Finding, ...]]:
    readings = tuple(
        p.GaugeReading(b, o, r, 60.0 + i)
        for i, b in enumerate(BALLS)
        for o in "ABC"
        for r in (1, 2)
    )
    return p.GaugeData(readings, BALLS, ("A", "B", "C"), 1.5, 4.2), (
        Finding("share", {"percent": 12.4, "low": 8.1, "high": 27.0, "mdd": 4.2, "n_items": 8,
                          "n_operators": 3, "n_repeats": 2, "ev": 1.2, "av": 0.9}),
        Finding("worst-item", {"item": "P3", "spread": 7.0}, (2.0, 66.0)),
    )  # fmt: skip


def limit() -> tuple[p.LimitData, tuple[Finding, ...]]:
    calls = ["pass"] * 6 + ["too-close", "fail"]
    readings = tuple(
        p.LimitReading(b, 25.0 - i, c, 0.5)
        for i, (b, c) in enumerate(zip(BALLS, calls, strict=True))
    )
    return p.LimitData(readings, 20.0, None, 2.5), (
        Finding("calls", {"n_pass": 6, "n_fail": 1, "n_close": 1, "guard": 2.5, "n_items": 8,
                          "limit": 20.0, "side": "at least"}),
    )  # fmt: skip


DATA = {
    "over-use": over_use, "scatter": lambda: scatter(False), "joined": lambda: scatter(True),
    "shot-series": shot_series, "ball-paths": ball_paths, "groups": groups, "rates": rates,
    "gauge": gauge, "limit": limit,
}  # fmt: skip


def words_of(
    made: SimpleNamespace, name: str, audience: str = "viewer", *, findings: bool = True,
    shows: tuple[str, str] | None = None, **how: Any,
) -> FigureWords:  # fmt: skip
    """A figure in words; ``shows`` gives it a claim: (kind, verdict)."""
    kind = "scatter" if name == "joined" else name
    figure = {"id": "fig", "kind": kind, "table": "checkpoints", **FIGURES[name]}
    claims = [made.claim(shows[0], "it", figure="fig")] if shows else []
    study = made.study(claims, figures=[figure])
    verdicts = (made.verdict(study, "it", shows[1], **how),) if shows else ()
    data, found = DATA[name]()
    result = FigureResult(
        study.description.figures[0], data, found if findings else (), NumbersTable((), (), ()),
        8, 48, ("it",) if shows else (),
    )  # fmt: skip
    return say(made.judgement(study, verdicts, figures=(result,)), audience).figures["fig"]


def texts(words: FigureWords) -> Iterator[str]:
    yield from (words.title, words.looking_at, words.how_to_read, words.shows, words.cannot_show)
    yield from (words.description, words.note, words.x_label, words.y_label)
    yield from (text for text, _ in words.callouts)


@pytest.mark.parametrize("name", FIGURES)
@pytest.mark.parametrize("audience", AUDIENCES)
@pytest.mark.parametrize("findings", [True, False])
def test_every_kind_of_figure(
    made: SimpleNamespace, name: str, audience: str, findings: bool
) -> None:
    words = words_of(made, name, audience, findings=findings)
    for text in texts(words):
        assert not OVERCLAIMS.search(text), text
        if findings:
            assert not LEFTOVERS.search(text), text
        assert "None" not in text
    for text in (words.looking_at, words.how_to_read, words.cannot_show, words.description):
        assert len(text) > 40
        assert text[-1] in ".?!"
    body = " ".join((words.looking_at, words.how_to_read, words.shows, words.cannot_show))
    assert grade(body) <= 8, body
    assert re.search(r"\b(8|Eight) (balls|bowlers)\b", f"{words.looking_at} {words.shows}")
    assert len(words.callouts) <= 3
    assert not words.title.endswith(".")
    assert "made-up data" in words.note


def test_the_odd_one_and_the_early_step_are_named(made: SimpleNamespace) -> None:
    words = words_of(made, "over-use")
    assert "ball T3" in words.shows.replace("Ball", "ball")
    assert "game 10" in words.shows
    assert [at for _, at in words.callouts] == [(10.0, 54.0), (60.0, 50.1), (60.0, 68.0)]
    assert "100 games" in words.cannot_show
    assert "2 points are missing" in words.cannot_show
    assert words.y_ends == ("smoother", "rougher")
    assert words.y_label == "cover roughness (microinches)"
    assert words.x_label == "games rolled"


def test_a_title_is_never_stronger_than_its_claim(made: SimpleNamespace) -> None:
    sure = words_of(made, "over-use", shows=("change", "backed")).title
    leaning = words_of(made, "over-use", shows=("change", "leans")).title
    open_ = words_of(made, "over-use", shows=("change", "cannot-tell")).title
    assert re.search("21 microinches", sure)
    assert re.search("[Ss]igns", leaning)
    assert open_.endswith("can't say")
    held_back = words_of(made, "over-use", shows=("change", "leans"), reasons=("fragile",)).title
    assert "21 microinches" not in held_back


@pytest.mark.parametrize(("n", "others", "says"), [
    (7, -22.0, "Put all 7 changes in order: the middle one is a drop of 22 microinches."),
    (8, 6.0, "Put all 8 changes in order: "
             "halfway between the middle two is a rise of 6 microinches."),
    (8, 0.0, "Put all 8 changes in order: halfway between the middle two is next to nothing."),
])  # fmt: skip
def test_the_middle_of_an_even_number_is_nobodys(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch, n: int, others: float, says: str
) -> None:
    drawn, found = over_use()
    told = {"change": {"n_items": n}, "odd-item": {"others": others}}
    found = tuple(replace(x, numbers={**x.numbers, **told.get(x.kind, {})}) for x in found)
    monkeypatch.setitem(DATA, "over-use", lambda: (drawn, found))
    shows = words_of(made, "over-use").shows
    assert f"One stands out. Ball T3 fell by 2.1 microinches. {says}" in shows


def test_the_two_levels_are_told_apart(made: SimpleNamespace) -> None:
    words = words_of(made, "joined")
    assert "Two balls can read the same and not behave alike." in words.shows
    assert "trail" in words.looking_at
    plain = words_of(made, "scatter")
    assert "as it wears" in plain.cannot_show or "with use" in plain.cannot_show


def test_a_flip_between_pooled_and_one_by_one_is_said(made: SimpleNamespace) -> None:
    words = words_of(made, "rates")
    assert "Plover is ahead" in words.shows
    assert "Teasel" in words.title


def test_no_flip_is_told_of_two_that_one_by_one_cannot_be_told_apart(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who is ahead one by one is not known, so that nothing is known to turn."""
    drawn, (lump, each, flip) = rates()
    open_ = Finding("stratified", {**each.numbers, "high": 0.01})
    monkeypatch.setitem(DATA, "rates", lambda: (drawn, (lump, open_, flip)))
    words = words_of(made, "rates")
    assert "can't say for sure which is ahead" in words.shows and "flip" not in words.shows


def test_a_path_of_several_readings_is_called_an_average(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn, found = ball_paths()
    assert "more than one reading at a mark" not in words_of(made, "ball-paths").looking_at
    lumped = replace(drawn, averaged=True)
    monkeypatch.setitem(DATA, "ball-paths", lambda: (lumped, found))
    assert "more than one reading at a mark" in words_of(made, "ball-paths").looking_at


def turned_at(line: p.PathLine, feet: float | None) -> p.PathLine:
    """The same line, going out to one board at ``feet`` and back from there."""
    boards = tuple(20.0 - abs(mark - (feet or 0.0)) / 5 for mark in line.distance)
    return replace(line, breakpoint=feet, board=boards)


@pytest.mark.parametrize(("turns", "says"), [
    ({"60": 45.0}, "The path at game 60 turns about 45 feet down."),
    ({"0": 40.0, "60": 40.0}, "Both paths turn about 40 feet down."),
    ({"0": 40.0, "60": 45.0}, "The path at the start turns about 40 feet down, "
                              "and the one at game 60 about 45 feet down."),
])  # fmt: skip
def test_it_says_whose_path_turns(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch, turns: dict[str, float], says: str
) -> None:
    drawn = ball_paths()[0]
    lines = tuple(turned_at(line, turns.get(line.name)) for line in drawn.lines)
    monkeypatch.setitem(DATA, "ball-paths", lambda: (replace(drawn, lines=lines), ()))
    words = words_of(made, "ball-paths")
    assert says in words.shows
    assert says in words.description
    assert ("the turn is" in words.cannot_show) == (len(turns) == 1)


@pytest.mark.parametrize(("marks", "turns"), [(3, False), (4, True)])
def test_of_three_marks_a_path_can_turn_at_one_only_which_says_nothing(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch, marks: int, turns: bool
) -> None:
    drawn = ball_paths()[0]
    feet = drawn.lines[0].distance[marks - 2]
    lines = tuple(turned_at(replace(line, distance=line.distance[:marks], low=line.low[:marks],
                                    high=line.high[:marks]), feet)
                  for line in drawn.lines)  # fmt: skip
    monkeypatch.setitem(DATA, "ball-paths", lambda: (replace(drawn, lines=lines), ()))
    words = words_of(made, "ball-paths")
    assert (f"turn about {feet:g} feet down" in words.shows) is turns
    assert ("turn is" in words.cannot_show) is turns


@pytest.mark.parametrize(("wide", "says"), [
    (20.0, "very likely lies in the band around a line, wide enough for all marks at once."),
    (62.0, "The band around a line is wider than the lane: there nobody can tell where"),
])  # fmt: skip
def test_a_band_wider_than_the_lane_tells_nothing(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch, wide: float, says: str
) -> None:
    """Two patients' average was told as board −50.8 to 73.3, on a lane of 39."""
    drawn = ball_paths()[0]
    low, high = (tuple(b + way * wide / 2 for b in drawn.lines[0].board) for way in (-1, 1))
    lines = tuple(replace(line, low=low, high=high) for line in drawn.lines)
    data = replace(drawn, lines=lines)
    monkeypatch.setitem(DATA, "ball-paths", lambda: (data, ()))
    assert says in words_of(made, "ball-paths").how_to_read
    rows = [(line.name, *row) for line in lines
            for row in zip(line.distance, line.board, line.low, line.high, strict=True)]
    columns = ("path", "distance", "board", "low", "high")
    shown = [cell for row in _on_the_lane(columns, rows) for cell in row[3:]]
    ends = [end for row in rows for end in row[3:]]
    assert [cell == OFF_LANE for cell in shown] == [not 0.5 <= end <= 39.5 for end in ends]
    assert any(cell == OFF_LANE for cell in shown) and (wide > 39 or OFF_LANE not in shown[1::2])


def test_marks_where_a_band_tells_nothing_are_counted_and_no_turn_is_told_beside_one(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six of seven bands were wider than the lane: told as some, with a turn known to ten feet."""
    drawn = ball_paths()[0]
    for wide, turns in (({0}, True), ({1}, False), ({0, 2, 3}, False)):
        low, high = (tuple(b + way * (60 if at in wide else 2)
                           for at, b in enumerate(drawn.lines[0].board)) for way in (-1, 1))
        line = replace(drawn.lines[0], low=low, high=high)
        data = replace(drawn, lines=(line,))
        monkeypatch.setitem(DATA, "ball-paths", lambda data=data: (data, ()))
        words = words_of(made, "ball-paths")
        count = f"At {len(wide)} of the 5 marks on the bold line the band around it is wider than"
        assert count in words.how_to_read
        assert all((said in text) is turns for text, said in (
            (words.shows, "turns about 40 feet"), (words.description, "turns about 40 feet"),
            (words.how_to_read, "Where the line bends"), (words.cannot_show, "turn is only known")))


def test_a_drift_without_a_range_here_may_have_one_elsewhere(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One series has a range of its own with the claim: the figure must not deny it."""
    drift = Finding("drift", {"slope": -0.02, "low": None, "high": None, "n_items": 1, "n_up": 0,
                              "n_down": 1})  # fmt: skip
    drawn = shot_series()[0]
    monkeypatch.setitem(DATA, "shot-series", lambda: (drawn, (drift,)))
    shows = words_of(made, "shot-series").shows
    assert "no range is put on it here" in shows
    assert "with no range" not in shows


def test_the_authors_title_comes_first(made: SimpleNamespace) -> None:
    own = {**FIGURES["groups"], "title": "My own title", "kind": "groups", "table": "checkpoints"}
    study = made.study([], figures=[{"id": "fig", **own}])
    data, found = groups()
    table = NumbersTable((), (), ())
    result = FigureResult(study.description.figures[0], data, found, table, 8, 48)
    words = say(made.judgement(study, (), figures=(result,)))
    assert words.figures["fig"].title == "My own title"


@pytest.mark.parametrize(("n_items", "low", "says"), [
    (2, (9.0, None, 4.0, 6.0, 15.0), "where one has none, all of its balls read the same"),
    (2, (None,) * 5, "No line has a band around it: all of its balls read the same"),
    (1, (None,) * 5, "No line has a band around it: it is the path of one ball alone"),
])  # fmt: skip
def test_why_a_path_has_no_band_is_told_by_why(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch, n_items: int,
    low: tuple[float | None, ...], says: str,
) -> None:  # fmt: skip
    """Two lanes that read the same at one mark were told as too few for a band anywhere."""
    drawn = ball_paths()[0]
    high = tuple(None if end is None else end + 2 for end in low)
    lines = tuple(replace(line, low=low, high=high, n_items=n_items) for line in drawn.lines)
    monkeypatch.setitem(DATA, "ball-paths", lambda: (replace(drawn, lines=lines), ()))
    told = words_of(made, "ball-paths").how_to_read
    assert says in told and ("too few" in told) is False
