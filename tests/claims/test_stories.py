"""One ball followed: its start and end, how many moved further, and what its gauge can see."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from explainer.analysis.gauge import DETECT
from explainer.claims.figures.stories import stories
from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.study.load import find_study, load_study
from explainer.words.say import say

STUDY = Path(__file__).parents[2] / "studies" / "cover-texture"


@pytest.fixture(scope="module")
def judgement():
    workspace, folder = find_study(str(STUDY), None)
    return judge(load_study(folder, workspace))


@pytest.fixture(scope="module")
def raw() -> dict[str, dict[str, float]]:
    """Texture by ball and games, straight from the file."""
    found: dict[str, dict[str, float]] = {}
    with (STUDY / "checkpoints.csv").open() as file:
        for row in csv.DictReader(file):
            found.setdefault(row["ball"], {})[row["games"]] = float(row["texture"])
    return found


def test_each_story_is_what_the_file_says(judgement, raw):
    told = judgement.figure("texture-over-play").stories
    assert {s.item for s in told} == set(raw)
    falls = {ball: at["60"] - at["0"] for ball, at in raw.items()}
    for story in told:
        assert (story.start, story.end) == (raw[story.item]["0"], raw[story.item]["60"])
        assert story.others == len(raw) - 1
        assert story.further == sum(fall < falls[story.item] for fall in falls.values())


def test_the_gauge_is_that_of_the_measure(judgement):
    [story, *_] = judgement.figure("texture-over-play").stories
    assert story.seen == pytest.approx(DETECT * (1.5**2 + 1 / 12) ** 0.5)
    assert judgement.figure("hook-over-play").stories[0].seen is None  # nobody tested that one


def test_only_figures_that_follow_somebody_tell_stories(judgement):
    telling = {f.figure.id for f in judgement.figures if f.stories}
    assert telling == {"texture-over-play", "hardness-over-play", "hook-over-play",
                       "texture-and-hook-journeys"}  # fmt: skip


def test_nobody_is_singled_out_where_items_are_people(judgement):
    figure = judgement.figure("texture-over-play").figure
    study, table = judgement.study, judgement.study.tables["checkpoints"]
    assert stories(study, figure)
    people = {**study.tables, "checkpoints": replace(table, people=True)}
    assert stories(replace(study, tables=people), figure) == ()


def test_the_sentences_hold_for_every_ball(judgement, raw):
    words = say(judgement).figures["texture-over-play"].stories
    for item, path, against in words:
        assert f"{raw[item]['0']:g} at the start" in path and "smoother" in path
        assert "seldom makes more than 4.2 microinches of difference; this is more" in against
    said = {item: against for item, _, against in words}
    assert said["T1"].startswith("All the other seven moved further")
    assert said["T3"].startswith("None of the other seven moved further")


def test_a_change_that_the_gauge_could_make_is_said_to_be_no_more(judgement):
    words = say(judgement).figures["hardness-over-play"].stories
    assert all("this is no more" in against for _, _, against in words)


def test_what_a_walk_publishes_is_read_off_the_readings() -> None:
    """Of a sample that jumped: away is the jump, back what came after it, change both together."""
    workspace, folder = find_study("nine-samples", Path(__file__).parents[2])
    record = results(judge(load_study(folder, workspace)))
    items = [item for f in record["figures"] if "walk" in f for item in f["walk"]["items"]]
    first = next(item for item in items if item["item"] == "Plover 1")
    told = {key: first[key] for key in ("did", "start", "at", "end", "away", "back", "change")}
    assert told == {"did": "jump", "start": 83, "at": 68, "end": 69, "away": -15, "back": 1,
                    "change": -14}  # fmt: skip
    assert items[0]["gap"] == 0
    for item in items:
        if item["at"] is not None:
            assert item["away"] + item["back"] == pytest.approx(item["change"])


def test_a_printed_average_is_seen_more_finely_than_a_reading(judgement):
    study, table = judgement.study, judgement.study.tables["checkpoints"]
    figure = judgement.figure("texture-over-play").figure
    averages = {**study.tables, "checkpoints": replace(table, mean_of=4)}
    [story, *_] = stories(replace(study, tables=averages), figure)
    assert story.seen == pytest.approx(DETECT * (1.5**2 / 4 + 1 / 12) ** 0.5)
