"""Items that are named after people (their ball, their night) bear no name in anything published.

Everybody here is made up.
"""

from __future__ import annotations

import json
import random

import pytest

from explainer.claims.judge import judge
from explainer.errors import StudyError
from explainer.publish.site import publish
from explainer.study.load import load_study

from .test_people import NAMES, everything, workspace

#: One word alone, and a ball that bears the first name of whose it is.
PEOPLE = (*NAMES[:8], "Zebulon")
STUDY = """
title: Does a fresh ball help?
question: Do scores rise with a fresh ball?
invented: yes
tested: {each: [bowler, ball], reference: Zebulon B1, not_in_downloads: [Kasimir Lumley]}
use: {column: week, term: weeks of the season, unit: count}
measures:
  score: {term: score, unit: pin, matters_from: 5, repeatability_sd: 12, more_is: higher, less_is: lower}
tables:
  scores: {file: scores.csv, source: score sheets}
figures:
  - {id: over, kind: over-use, table: scores, y: score}
  - {id: there, kind: limit, table: scores, y: score, at_least: 160, at: 8}
claims:
  - id: up
    report_says: Scores rose.
    figure: over
    test: {kind: change, measure: score, from: 1, to: 8, direction: up}
  - id: all-there
    report_says: Everyone reached 160.
    figure: there
    test: {kind: limit, measure: score, at_least: 160, at: 8}
  - id: every
    report_says: Each gained.
    test: {kind: share-of-items, measure: score, from: 1, to: 8, direction: up, share: every}
  - id: one
    report_says: The first one of them rose.
    test: {kind: change, measure: score, from: 1, to: 8, direction: up, only: {bowler: Abelard Brightwater, ball: B1}}
  - id: same
    report_says: The first one of them rose.
    test: {kind: change, measure: score, from: 1, to: 8, direction: up, only: {ball: Abelard Brightwater B1}}
excluded:
  - {table: scores, row: 3, why: The lane machine had stopped.}
"""  # noqa: E501


def sheet(*, ball: str = "ball") -> str:
    chance = random.Random(5)
    rows = [f"bowler,{ball},week,score"]
    for name in PEOPLE:
        for own in ("B1", f"{name.split()[0]}'s own"):
            usual = chance.gauss(160, 20)
            for week in (1, 4, 8):
                gone = (name, own, week) in {(PEOPLE[1], "B1", 8), (PEOPLE[2], "B1", 1)}
                score = "" if gone else f"{usual + week + chance.gauss(0, 9):.0f}"
                rows.append(f"{name},{own},{week},{score}")
    return "\n".join(rows) + "\n"


def named_in(files: dict[str, str]) -> dict[str, list[str]]:
    """File to the names in it, whole or in part."""
    parts = {part.casefold() for name in PEOPLE for part in name.split()}
    found = {path: [p for p in parts if p in text.casefold()] for path, text in files.items()}
    return {path: names for path, names in found.items() if names}


@pytest.mark.parametrize("own", ["ball", "night"])
def test_nobody_is_named_where_an_item_is_somebodys(own, tmp_path):
    study = STUDY.replace("[bowler, ball]", f"[bowler, {own}]").replace(", ball:", f", {own}:")
    study = study.replace("{ball:", f"{{{own}:")
    space, folder = workspace(tmp_path, study, sheet(ball=own))
    outcome = publish(space, {"season": folder}, tmp_path / "site")
    assert not outcome.failed
    files = everything(tmp_path / "site")
    assert named_in(files) == {}
    results = json.loads(files["season/results.json"])
    left = {c["id"]: json.dumps(c.get("worked_out", {})) for c in results["claims"]}
    assert "CD B1" in left["up"] and "EF B1" in left["up"]  # told, by initials
    assert "AB B1" in files["season/index.html"]


def test_the_study_knows_items_by_initials_everywhere(tmp_path):
    space, folder = workspace(tmp_path, STUDY, sheet())
    study = load_study(folder, space)
    table = study.tables["scores"]
    assert table.items[:3] == ("AB B1", "AB AB's own", "CD B1")
    assert {n.item for n in table.notes} == {"AB B1", "CD B1", "EF B1"}
    assert table.reference == "Z B1"
    assert study.unlisted >= {"KL B1", "KL KL's own"}
    assert "named" not in repr(table) and named_in({"table": repr(table)}) == {}
    verdicts = {v.claim.id: v for v in judge(study).verdicts}
    assert verdicts["one"].n_items == verdicts["same"].n_items == 1


def test_what_is_called_the_same_by_initials_stays_two_items(tmp_path):
    data = sheet().replace("Cordelia Dunmore,Cordelia's own", "Cordelia Dunmore,Dunmore")
    data = data.replace("Abelard Brightwater,Abelard's own", "Abelard Brightwater,Brightwater")
    data = data.replace("Cordelia Dunmore,B1", "Cordelia Dunmore,Cordelia")
    space, folder = workspace(tmp_path, STUDY, data)
    items = load_study(folder, space).tables["scores"].items
    assert len(set(items)) == len(items) == 2 * len(PEOPLE)
    assert named_in({"items": " ".join(items)}) == {}


@pytest.mark.parametrize(
    ("said", "first"),
    [
        ("names: numbers", "1 B1"), ("names: shown", "Abelard Brightwater B1"),
        ("people: no", "AB B1"), ("people: yes", "AB B1"),
    ],
)  # fmt: skip
def test_how_they_are_named_goes_for_their_things_too(said, first, tmp_path):
    space, folder = workspace(tmp_path, STUDY.replace("ball],", f"ball], {said},"), sheet())
    assert load_study(folder, space).tables["scores"].items[0] == first


def test_a_word_for_people_that_nobody_knows_is_hidden_where_it_says_so(tmp_path):
    study = STUDY.replace("bowler", "regular").replace("ball],", "ball], people: yes,")
    data = sheet().replace("bowler", "regular", 1)
    space, folder = workspace(tmp_path, study, data)
    table = load_study(folder, space).tables["scores"]
    assert named_in({"items": " ".join(map(str, table.frame["regular"].unique()))}) == {}
    assert named_in({"items": " ".join(table.items)}) == {}


def test_the_last_word_may_be_the_one_for_somebody(tmp_path):
    study = STUDY.replace("[bowler, ball]", "[team, bowler]").split("figures:")[0]
    study = study.replace("Zebulon B1", "Pins Zebulon")
    rows = ["team,bowler,week,score"]
    rows += [f"Pins,{name},{week},{150 + week}" for name in PEOPLE for week in (1, 8)]
    space, folder = workspace(tmp_path, study, "\n".join(rows) + "\n")
    study = load_study(folder, space)
    assert study.tables["scores"].items[:2] == ("Pins AB", "Pins CD")
    assert study.unlisted >= {"Pins KL"}
    assert study.tables["scores"].reference == "Pins Z"


def test_a_wish_of_nobody_is_still_refused(tmp_path):
    space, folder = workspace(tmp_path, STUDY.replace("[Kasimir Lumley]", "[Kasimir]"), sheet())
    with pytest.raises(StudyError, match="did you mean"):
        load_study(folder, space)
