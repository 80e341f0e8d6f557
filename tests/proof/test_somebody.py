"""Proof asks about names that are published and look like somebody's; everybody here is made up."""

from __future__ import annotations

from pathlib import Path

import pytest
from draft.scoring import CORPUS, find_term, sheets

from explainer.draft.draft import draft_from
from explainer.draft.folder import new_folder, write_folder
from explainer.proof.read import proofread
from explainer.study.load import load_study, open_workspace

ROOT = Path(__file__).parents[2]
STUDY = """
title: Does the hook change?
question: Does the hook change over sixty games?
invented: yes
tested: {each: ball, group: pick}
use: {column: games, term: games rolled, unit: game}
measures:
  hook: {term: total hook, unit: board, matters_from: 1}
tables:
  readings: {file: readings.csv, source: a bench}
figures:
  - {id: hook-over-games, kind: over-use, table: readings, y: hook, group: pick}
claims:
  - id: hook-changes
    report_says: The hook changed.
    plainly: The hook changed.
    test: {kind: change, measure: hook, from: 0, to: 60, direction: any}
"""
ITEMS = ("P1", "P2", "P3", "P4", "P5", "P6")


def asked(
    tmp_path: Path, text: str = STUDY, items=ITEMS, halves=("upper", "lower"), file="readings"
):
    """The lines of proof that ask whether something is somebody, as (line of study.yaml, found)."""
    folder = tmp_path / "studies" / "one"
    folder.mkdir(parents=True)
    rows = [f'"{item}","{halves[i % 2]}",{g},{10 + i + g / 30 + i * g / 200:.2f}'
            for i, item in enumerate(items) for g in (0, 60)]  # fmt: skip
    head = "ball,pick,games," + ("hook" if "  hook:" in text else "abelard_brightwater")
    (folder / f"{file}.csv").write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    (folder / "study.yaml").write_text(text.lstrip(), encoding="utf-8")
    found = proofread(folder, open_workspace(tmp_path))
    assert not [p for p in found if p.severity == "error"]
    said = [p for p in found if p.code == "maybe-somebody"]
    assert all("\n" not in str(p) and "is that somebody?" in p.found for p in said)
    return [(p.line, p.found) for p in said]


def test_nothing_is_asked_of_a_study_of_balls(tmp_path):
    assert asked(tmp_path) == []


def test_a_measure_whose_term_is_a_name_is_asked_about_where_it_stands(tmp_path):
    text = STUDY.replace("term: total hook", "term: Abelard Brightwater")
    [(line, found)] = asked(tmp_path, text)
    assert "the term `Abelard Brightwater`" in found
    assert "Abelard" in text.lstrip().splitlines()[line - 1]


def test_a_table_and_its_file_are_asked_about_once(tmp_path):
    text = STUDY.replace("readings", "Abelard-Brightwater")
    [(_, found)] = asked(tmp_path, text, file="Abelard-Brightwater")
    assert "the table `Abelard-Brightwater`" in found


def test_two_figures_in_small_letters_side_by_side_are_asked_about_and_one_is_not(tmp_path):
    one = STUDY.replace("id: hook-over-games", "id: abelard-brightwater")
    assert asked(tmp_path / "one", one) == []
    two = one.replace("claims:\n", "  - {id: bettina-crumhorn, kind: over-use, table: readings, "
                      "y: hook}\nclaims:\n", 1)  # fmt: skip
    assert [found.split("`")[1] for _, found in asked(tmp_path / "two", two)] == [
        "abelard-brightwater", "bettina-crumhorn",
    ]  # fmt: skip
    prose = two.replace(
        "The hook changed.", "The hook of abelard, brightwater, bettina and crumhorn changed."
    )
    assert asked(tmp_path / "prose", prose) == []


def test_groups_called_like_people_are_asked_about_and_hidden_as_is_offered(tmp_path):
    people = ("Abelard Brightwater", "Bettina Crumhorn")
    [(_, found)] = asked(tmp_path / "group", halves=(people[0], "lower"))
    assert "`Abelard Brightwater` in the column `pick`" in found
    assert asked(tmp_path / "all", halves=people) == []  # initials are shown, which stage 1 says
    hidden = STUDY.replace("pick", "owner")
    hidden = hidden.replace("readings.csv", "readings.csv, columns: {pick: owner}")
    assert asked(tmp_path / "owner", hidden, halves=people) == []


@pytest.mark.parametrize("thing", ["Brightwater's Storm", "Abelard Brightwater’s Dunlin"])
def test_a_ball_that_is_called_somebodys_is_asked_about_until_it_is_answered(tmp_path, thing):
    items = (thing, *ITEMS[1:])
    [(_, found)] = asked(tmp_path / "open", items=items)
    assert thing in found
    hidden = STUDY.replace("each: ball", "each: ball, people: yes")
    assert asked(tmp_path / "hidden", hidden, items=items) == []
    study = load_study(tmp_path / "hidden" / "studies" / "one", open_workspace(tmp_path / "hidden"))
    assert thing not in study.tables["readings"].items
    said = STUDY.replace("each: ball", "each: ball, people: no")
    assert asked(tmp_path / "said", said, items=items) == []


def test_balls_most_of_which_are_called_like_people_are_asked_about(tmp_path):
    people = ("Abelard Brightwater", "Bettina Crumhorn", "Cordelia Dunmore", "Norbert Oxlip")
    [(_, found)] = asked(tmp_path / "most", items=(*people, "P5", "P6"))
    assert "the ball `Abelard Brightwater`" in found
    assert asked(tmp_path / "few", items=(people[0], *ITEMS[1:])) == []


@pytest.mark.seldom
@pytest.mark.slow
def test_no_example_is_asked_about():
    space = open_workspace(ROOT)
    for folder in sorted(p.parent for p in (ROOT / "studies").glob("*/study.yaml")):
        assert "maybe-somebody" not in [p.code for p in proofread(folder, space)], folder.name


@pytest.mark.seldom
@pytest.mark.slow
@pytest.mark.parametrize("part", ["blind", "further", "later"])
def test_no_draft_of_the_corpus_is_asked_about(part, tmp_path):
    for told in sheets(part):
        space = tmp_path / told["sheet"]
        folder = new_folder("first-look", space)
        write_folder(folder, draft_from("x", [CORPUS / part / told["sheet"]], find_term).files)
        found = [p.found for p in proofread(folder, open_workspace(space))
                 if p.code == "maybe-somebody"]  # fmt: skip
        assert found == [], told["sheet"]
