"""What a page says is missing, is what is missing: the side, the reader, the readings, the rest."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from explainer.claims.judge import judge
from explainer.study.load import load_study, open_workspace
from explainer.words.said import StudyWords
from explainer.words.say import say

MEASURES = {
    "hook": {"term": "total hook", "unit": "board", "matters_from": 1},
    "gap": {"term": "bridge width", "unit": "inch", "matters_from": 0.002},
}
APART = {"kind": "difference", "measure": "gap", "direction": "higher", "by": "model",
         "a": "Plover", "b": "Teasel", "table": "read"}  # fmt: skip
HEAD = "ball,model,games,hook,gap\n"
#: One Plover, read at the start alone, beside four Teasel read at both ends.
ONE_PLOVER = HEAD + "P1,Plover,0,12,0.2988\n" + "".join(
    f"T{i},Teasel,{use},{12 + i},{0.3 + i / 1000 - use / 40000}\n"
    for i in range(4) for use in (0, 40))  # fmt: skip
#: Seven balls in four models: one goes up, two go down, and bridge width is 0.3 for all.
FLAT = HEAD + "".join(
    f"B{i},{model},{use},{hook},0.3\n"
    for i, (model, *hooks) in enumerate((
        ("Plover", 12, 14, 12), ("Teasel", 12, 12, 12), ("Linnet", 12, 10, 10),
        ("Siskin", 12, 12, 12), ("Plover", 14, 10, 12), ("Plover", 12, 14, 14),
        ("Siskin", 14, 14, 14)), 1)
    for use, hook in zip((0, 30, 60), hooks, strict=True))  # fmt: skip


def said(
    folder: Path, rows: str, tests: dict[str, dict[str, Any]], figures: list[Any] | None = None,
    tables: dict[str, tuple[dict[str, Any], str]] | None = None, more: dict[str, Any] | None = None,
) -> StudyWords:  # fmt: skip
    """The words of a small study of balls, with a claim for each test."""
    place = folder / "studies" / "one"
    place.mkdir(parents=True)
    others = tables or {}
    description = {
        "title": "Small", "question": "What holds?", "invented": True,
        "tested": {"each": "ball", "group": "model"},
        "use": {"column": "games", "term": "games rolled", "unit": "game"},
        "measures": MEASURES | (more or {}),
        "tables": {"read": {"file": "read.csv"}} | {
            name: {"file": f"{name}.csv", **told} for name, (told, _) in others.items()},
        "figures": figures or [],
        "claims": [{"id": name, "report_says": f"Sentence {name}.",
                    "plainly": f"Plain {name}, as it is put by those who roll for a living.",
                    "test": test} for name, test in tests.items()],
    }  # fmt: skip
    (place / "study.yaml").write_text(json.dumps(description))
    (place / "read.csv").write_text(rows)
    for name, (_, cells) in others.items():
        (place / f"{name}.csv").write_text(cells)
    return say(judge(load_study(place, open_workspace(folder))))


def test_a_side_that_is_short_is_named_with_what_it_takes_and_when(tmp_path):
    words = said(tmp_path, ONE_PLOVER, {"any": APART, "late": {**APART, "at": 40}})
    late = words.claims["late"]
    assert late.settle.startswith("At least two balls on the side of Plover, read after 40 games.")
    [(ask, why, settle)] = [q for q in words.questions if q[0].startswith("What would")]
    assert settle == late.settle
    assert ask == "What would Plover show in bridge width after 40 games?"
    assert "those after 40 games" in why and "for Teasel, not for Plover" in why
    aloud = " ".join(words.short)
    assert "One ball on the side of Plover is too few to show whether" in aloud
    assert "No ball on the side of Plover has the readings to show whether" in aloud
    assert "Five balls are too few" not in aloud and "Four balls are too few" not in aloud


def test_averages_over_other_stretches_are_told_as_such_though_nothing_is_tested(tmp_path):
    words = said(tmp_path, ONE_PLOVER, {"any": APART, "start": {**APART, "at": 0}})
    [beside] = [b for b in words.claims["any"].beside if "same stretch" in b]
    assert "Not all balls were read over the same stretch. At 0" in beside
    assert not any("same stretch" in b for b in words.claims["start"].beside)
    assert "read over the same stretch as the others" in words.claims["any"].settle


def test_one_on_each_side_are_one_a_side(tmp_path):
    rows = "".join(row for row in ONE_PLOVER.splitlines(True)
                   if row[:2] not in ("T1", "T2", "T3"))  # fmt: skip
    words = said(tmp_path, rows, {"start": {**APART, "at": 0}})
    assert words.claims["start"].settle.startswith("At least two balls on each side, read at the")
    assert "One ball a side is too few to show whether" in " ".join(words.short)


def test_ups_and_downs_are_counted_and_the_measure_is_named(tmp_path):
    words = said(tmp_path, FLAT, {
        "early": {"kind": "break-in", "measure": "hook", "from": 0, "by": 30, "to": 60},
        "still": {"kind": "no-change", "measure": "gap", "from": 0, "to": 60},
    })  # fmt: skip
    early, still = words.claims["early"], words.claims["still"]
    assert "no total shift in total hook" in early.says
    assert "one went up, two went down and four did neither" in early.says
    assert "A claim about each ball alone" not in early.settle
    assert "no change in bridge width on average" in still.says
    assert "the 5 balls that are not alone in their model" in still.says
    assert "differ by as much as they do" not in still.settle
    assert "whether it settles the claim, we can" in still.settle


def test_a_measure_that_reads_the_same_for_all_is_named_before_the_few(tmp_path):
    words = said(tmp_path, FLAT, {"link": {"kind": "association", "x": "hook", "y": "gap",
                                           "direction": "positive", "table": "read"}})  # fmt: skip
    link = words.claims["link"]
    assert link.says.startswith("Bridge width came out the same for all 7 balls")
    assert link.settle.startswith("Readings of bridge width that differ")


def test_a_scatter_counts_rows_where_each_has_two_readings(tmp_path):
    rows = HEAD + "".join(f"B{i},Plover,0,{12 + i % 5},{0.3 + i / 1000}\n" for i in range(9))
    words = said(tmp_path, rows, {}, [{"id": "link", "kind": "scatter", "table": "read",
                                       "x": "gap", "y": "hook"}])  # fmt: skip
    assert "9 balls, 9 rows" in words.figures["link"].note


def test_one_reader_is_too_few_and_not_the_readings(tmp_path):
    cells = "ball,desk,go,reading\n" + "".join(
        f"G{i},1,{go},{75 + i + go / 10}\n" for i in range(8) for go in (1, 2, 3))  # fmt: skip
    words = said(
        tmp_path, ONE_PLOVER,
        {"gauge": {"kind": "repeatability", "measure": "reading", "operator": "desk",
                   "repeat": "go", "table": "gauge"}},
        tables={"gauge": ({}, cells)},
        more={"reading": {"term": "desk reading", "unit": "Shore D"}},
    )  # fmt: skip
    assert "One desk is too few to show whether" in " ".join(words.short)
    assert "Too few desks to work out" in words.claims["gauge"].method


@pytest.mark.parametrize(("read", "told"), [(76, True), (75, False)])
def test_who_reads_on_the_limit_and_meets_it_as_exact_is_told(tmp_path, read, told):
    rows = "ball,model,games,hook,gap,hardness\n" + "".join(
        f"B{i},Plover,6,12,0.3,{read}\n" for i in range(2))  # fmt: skip
    words = said(
        tmp_path, rows,
        {"limit": {"kind": "limit", "measure": "hardness", "at_least": 74, "at_most": 76,
                   "u": 0}},
        more={"hardness": {"term": "hardness", "unit": "Shore D"}},
    )  # fmt: skip
    assert ("Both balls read exactly on a limit" in words.claims["limit"].says) is told


def test_a_limit_says_how_many_it_leaves_out(tmp_path):
    figure = {"id": "limit", "kind": "limit", "table": "read", "y": "hook", "at": 40,
              "at_least": 12, "u": 0.3}  # fmt: skip
    words = said(tmp_path, ONE_PLOVER, {}, [figure])
    assert "leaves out 1 of the 5 in the table" in words.figures["limit"].cannot_show


def test_the_headline_counts_what_else_stays_open(tmp_path):
    rows = "ball,model,games,hook,gap\n" + "".join(
        f"B{i},Plover,{use},12,{0.3 + i / 1000}\n" for i in range(2) for use in (0, 6))  # fmt: skip
    drift = {"kind": "trend", "measure": "hook", "over": "games", "direction": "up"}
    words = said(tmp_path, rows, {
        "limit": {"kind": "limit", "measure": "gap", "at_least": 0.2, "u": 0.0001},
        "drift": drift, "change": {"kind": "change", "measure": "hook", "from": 0, "to": 6,
                                   "direction": "up"},
        "more": {**drift, "at_least": 1},
    })  # fmt: skip
    assert "something else" not in words.headline
    assert "three claims stay open" in words.headline.casefold()


@pytest.mark.parametrize("ends", [(12, 14), (12, 10)])
def test_of_two_that_moved_alike_neither_moved_less_or_the_other_way(tmp_path, ends):
    rows = HEAD + "".join(
        f"B{i},Plover,{use},{hook},0.3\n"
        for i in range(2) for use, hook in zip((0, 6), ends, strict=True))  # fmt: skip
    words = said(tmp_path, rows, {}, [{"id": "use", "kind": "over-use", "table": "read",
                                       "y": "hook"}])  # fmt: skip
    beside = [against for _, _, against in words.figures["use"].stories]
    assert len(beside) == 2
    assert all(text.startswith("The other one moved no further that way.") for text in beside)


def test_whoever_else_was_measured_is_named_where_some_are(tmp_path):
    shots = "ball,shot,speed\n" + "".join(
        f"S{i},{shot},{18 + shot / 10}\n" for i in range(3) for shot in (1, 2, 3, 4))  # fmt: skip
    tries = "bowler,oil,strikes,tries\n" + "".join(
        f"W{i},{oil},{n},10\n"
        for i in range(2) for oil, n in (("long", 5 + i), ("short", 3)))  # fmt: skip
    words = said(
        tmp_path, ONE_PLOVER,
        {"rates": {"kind": "rate-difference", "successes": "strikes", "attempts": "tries",
                   "by": "oil", "a": "short", "b": "long", "within": "bowler",
                   "direction": "higher", "table": "tries"}},
        tables={"shots": ({"order": "shot"}, shots),
                "tries": ({"tested": {"each": "bowler"}}, tries)},
        more={"speed": {"term": "ball speed", "unit": "mile per hour"}},
    )  # fmt: skip
    opening = " ".join(words.short)
    assert "2 bowlers took part" in opening and "3 balls were measured for ball speed" in opening
