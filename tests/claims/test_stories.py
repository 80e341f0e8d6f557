"""One ball followed: its start and end, how many moved further, and what its gauge can see."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from claims.conftest import HEAD

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


@pytest.mark.parametrize(
    ("given", "again", "shared", "known"),
    [
        ("repeatability_sd: 0.1", False, 0.0, True),
        ("", True, 0.0, True),
        ("resolution: 1", False, 0.0, False),
        ("", False, 0.0, False),
        ("repeatability_sd: 0.1", False, 0.2, True),
    ],
)
def test_what_is_known_of_a_gauge_is_one_thing_on_one_page(
    judged, one, given: str, again: bool, shared: float, known: bool
) -> None:
    """Read again, told or not told: the claim, the walk and the stories go by the same; the steps
    a gauge shows in do not tell how far it scatters."""
    rows = [(f"B{i}", use, 20.0 + i - use / 5) for i in range(4) for use in (0, 20)]
    rows += [(f"B{i}", 0, 20.2 + i) for i in range(4) if again]
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    head = HEAD.replace("matters_from: 1}", f"matters_from: 1, {given}}}".replace(", }", "}"))
    head = head.replace("  x: {term: cover roughness, unit: microinch, repeatability_sd: 0.001, "
                        "lowest: -1000000}\n", "")  # fmt: skip
    test = "{kind: share-of-items, measure: y, from: 0, to: 20, direction: down, share: every}"
    figure = "figures:\n  - {id: o, kind: over-use, table: t, y: y, walk: yes, say: Look.}\n"
    keys = {"t": f", shared_sd: {{y: {shared}}}"} if shared else None
    j = judged(one(test), frame, head=head, more=figure, table_keys=keys)
    (v,), [drawn] = j.verdicts, j.figures
    assert (v.code, "gauge-too-coarse" in v.reasons) == (
        ("backed", False) if known else ("leans", True))  # fmt: skip
    seen = {v.detail.seen_from, drawn.walk.sees, *(s.seen for s in drawn.stories)}
    assert (None in seen) is not known and len(seen) == 1, seen
    page = say(j)
    told = " ".join([page.claims["c"].says, *page.figures["o"].walk])
    assert ("Nobody knows" in told, "is not known" in told) == (not known, not known)
