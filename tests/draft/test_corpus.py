"""Messy sheets as people and programs keep them: how much of each a draft reads rightly.

The counts are printed by ``tests/benchmarks/drafted_sheets.py``; what must never slip stands here.
"""

from __future__ import annotations

from functools import cache

import pytest
from draft.scoring import CORPUS, Score, find_term, score, sheets

from explainer.draft.draft import draft_from
from explainer.draft.folder import new_folder, write_folder
from explainer.study.load import load_study, open_workspace

HALVES = ("blind", "further", "later")
SHEETS = [(half, told) for half in HALVES for told in sheets(half)]
#: What a draft cannot know, and marks or says; and what is true of a sheet with few balls.
OPEN = {"no-margin", "unsaid", "no-claims", "no-figures", "too-few", "misplaced", "not-in-download"}


@cache
def scored(half: str) -> Score:
    total = Score(sheets=0)
    for told in sheets(half):
        total.add(score(half, told))
    return total


@pytest.mark.parametrize("half", HALVES)
def test_nine_columns_and_rows_of_ten_are_right(half):
    total = scored(half)
    assert total.columns_right >= 0.9 * total.columns, total.wrong
    assert total.rows_right >= 0.9 * total.rows, total.wrong


@pytest.mark.parametrize("half", HALVES)
def test_nothing_is_silently_wrong_or_silently_left_out(half):
    assert scored(half).silent == []
    assert scored(half).unsaid == []


def test_there_are_forty_sheets_of_several_kinds_and_each_has_its_answer():
    named = [told["sheet"] for _, told in SHEETS]
    there = [p.name for half in HALVES for p in (CORPUS / half).iterdir() if p.suffix != ".yaml"]
    assert sorted(named) == sorted(there)
    assert len(named) >= 40
    assert {name.rsplit(".", 1)[1] for name in named} >= {"csv", "txt", "xlsx", "ods"}


@pytest.mark.parametrize(("half", "told"), SHEETS, ids=[t["sheet"] for _, t in SHEETS])
def test_every_draft_is_sound_but_for_what_it_asks(half, told, tmp_path):
    sheet = CORPUS / half / told["sheet"]
    draft = draft_from("first-look", [sheet], find_term)
    folder = new_folder("first-look", tmp_path)
    write_folder(folder, draft.files)
    study = load_study(folder, open_workspace(tmp_path))
    assert {problem.code for problem in study.warnings} <= OPEN
    assert all(table.items for table in study.tables.values())
    assert study.unconfirmed
    assert (folder / "originals" / sheet.name).read_bytes() == sheet.read_bytes()
    asked = [guess.worth for guess in draft.questions]
    assert asked == sorted(asked, reverse=True)
    assert len(set(draft.guesses)) == len(draft.guesses)
