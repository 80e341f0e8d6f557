"""What is said of the marks and lines of a figure is drawn: held to the raw rows.

By hand: ``pytest tests/sentences/test_marks_drawn.py --draws 1000 --first 100000``
"""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.studies import World
from sentences.test_no_false_sentence import judged
from sentences.truth import frame_of

from explainer.charts.display_list import SUMMARY, DisplayList, Stroke
from explainer.charts.kinds import draw
from explainer.charts.scatter import OWN, WITHOUT
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords, StudyWords
from explainer.words.say import say

#: Studies with a column of one dot, with an average path that is known at one mark alone, with
#: trails of which most are one dot, with a limit that people are held to, and with a lumped rate of
#: half a percent.
SEEDS = (34500007, 34500008, 34500009, 34700003, 34700007, 34700009)
#: A line shorter than this is not seen as one with a slope.
SEEN = 20.0


def not_drawn(world: World, said: StudyWords, results: dict[str, FigureResult]) -> Iterator[str]:
    for figure in world.figures:
        words = said.figures[figure["id"]]
        drawn = [text.text for text in draw(results[figure["id"]], words).texts]
        if figure["kind"] == "limit":  # inside the zone is who cannot be called
            yield from (f"a sign of a limit: {text}" for text in drawn
                        if re.search(r"\d (?:inside|outside)", text))  # fmt: skip
        if figure["kind"] == "rates":
            yield from _of_rates(world, words, " ".join(drawn))
        if figure["kind"] == "groups":
            yield from _of_columns(world, figure, words.looking_at)
        if figure["kind"] == "scatter":
            plate = draw(results[figure["id"]], words)
            yield from _of_trails(plate, f"{words.how_to_read} {words.shows}")
        if figure["kind"] == "ball-paths":
            yield from _of_paths(world, figure, words.looking_at, words.how_to_read)


def _of_columns(world: World, figure: dict[str, Any], looking: str) -> Iterator[str]:
    """An average is marked beside each column of two dots or more."""
    frame = frame_of(world)
    read = frame[frame["games"] == figure["at"]].dropna(subset=[figure["y"]])
    dots = read.groupby("model")[world.each].nunique()
    if "in each column is its average" in looking and (dots < 2).any():
        yield f"{dict(dots)} dots: {looking}"
    if "is its average" not in looking and len(dots) > 1 and (dots > 1).any():
        yield f"{dict(dots)} dots, and no word of their averages: {looking}"


def _of_trails(plate: DisplayList, told: str) -> Iterator[str]:
    """A broken line is one that is seen, and of two solid ones each has its own name."""
    lines = [m for m in plate.marks if isinstance(m, Stroke) and m.step == SUMMARY]
    broken = [m for m in lines if m.dash == OWN[2] and math.dist(*m.runs[0]) >= SEEN]
    if ("broken" in told) != bool(broken):
        yield f"{len(broken)} broken lines: {told}"
    heavier = [m for m in lines if (m.stroke, m.width, m.dash) == WITHOUT]
    if ("heavier solid line" in told) != bool(heavier) or (heavier and "The solid line" in told):
        yield f"{len(heavier)} lines without one: {told}"


def _of_paths(world: World, figure: dict[str, Any], looking: str, how: str) -> Iterator[str]:
    """An average path that all of its own were read at one distance for is a mark, and no line."""
    frame = frame_of(world, "paths")
    known = []
    for _, of in frame.groupby("part") if figure.get("by") else [("all", frame)]:
        read = of.pivot_table(index=world.each, columns="feet", values="board").dropna(axis=1)
        known += [len(read.columns)] if len(read.columns) else []
    lone, several = 1 in known, any(marks > 1 for marks in known)
    for words, drawn in (("bold line",), several), (("bold mark", "lone mark"), lone):
        if known and any(word in looking for word in words) != drawn:
            yield f"averages at {known} distances: {looking}"
    if "in the band" in how and not several:
        yield f"averages at {known} distances: {how}"


def _of_rates(world: World, words: FigureWords, drawn: str) -> Iterator[str]:
    """A lumped rate is the rows' own, by one rounding; and not every line is one bowler."""
    frame = frame_of(world, "tries")
    lumped = frame.groupby("oil")[["strikes", "shots"]].sum()
    for strikes, shots in lumped.itertuples(index=False):
        told = int((100 * Decimal(int(strikes)) / int(shots)).quantize(0, ROUND_HALF_UP))
        if 1 <= told <= 98 and f"all: {told}%, {strikes} of {shots}" not in drawn:
            yield f"{strikes} of {shots}: {drawn}"
    joined = "the dotted line that joins them" in words.looking_at
    if "one bowler in both" in words.looking_at and joined != (len(lumped) > 1):
        yield f"{len(lumped)} marks for all: {words.looking_at}"


def test_what_is_said_of_a_mark_is_drawn(tmp_path: Path, pytestconfig: Any) -> None:
    first, draws = pytestconfig.getoption("--first"), pytestconfig.getoption("--draws")
    found: list[str] = []
    for seed in (*SEEDS, *range(first, first + draws)):
        world, judgement = judged(seed, tmp_path / str(seed // 100))
        results = {result.figure.id: result for result in judgement.figures}
        found += [f"{world.name}: {fault}" for fault in not_drawn(world, say(judgement), results)]
    assert not found, f"{len(found)} not drawn:\n" + "\n".join(found[:100])
