"""How much there may be of anything is bounded, each file is read once, and nothing is squared."""

from __future__ import annotations

import copy
import os
from typing import Any

import pytest

from explainer.errors import StudyError
from explainer.study import tables
from explainer.study.load import load_study, open_workspace


def many(stranger, what: str, number: int) -> None:
    """So many of a part of the study, each with a name of its own."""
    part = stranger.said[what]
    if isinstance(part, dict):
        [(name, one)] = part.items()
        stranger.said[what] = {name: one, **{f"{name}{n}": one for n in range(number - 1)}}
        for reading in (stranger.said["claims"][0]["test"], stranger.said["stated"][0]["compute"]):
            reading["table"] = "readings"  # which of them is meant
        return
    first: dict[str, Any] = part[0]
    more = [copy.deepcopy(first) for _ in range(number - len(part))]
    for n, one in enumerate(more):
        if "id" in one:
            one["id"] = f"{one['id']}-{n}"
    stranger.said[what] = [*part, *more]


LIMITS = {
    "tables": 60, "figures": 60, "claims": 120, "measures": 200, "stated": 300, "questions": 100,
    "advice": 100, "corrections": 300,
}  # fmt: skip


@pytest.mark.parametrize("what", LIMITS)
@pytest.mark.parametrize("times", [1, 10])
def test_more_than_may_be_is_refused_with_its_place(stranger, watched, what, times):
    many(stranger, what, LIMITS[what] * times + 1)
    stranger.write()
    with pytest.raises(StudyError) as caught:
        load_study(stranger.folder, open_workspace(stranger.root))
    [said] = map(str, caught.value.problems)
    number = f"{LIMITS[what] * times + 1:,} entries in `{what}`, expected at most {LIMITS[what]}"
    assert said.startswith("study.yaml:") and number in said, said


@pytest.mark.parametrize("what", ["tables", "stated", "questions", "corrections"])
def test_as_many_as_may_be_are_read(stranger, watched, what):
    many(stranger, what, LIMITS[what])
    stranger.write()
    assert load_study(stranger.folder, open_workspace(stranger.root)).id == "one"


def test_a_file_that_many_tables_name_is_read_once(stranger, watched, monkeypatch):
    many(stranger, "tables", 20)
    stranger.write()
    read = list[str]()
    real = tables.read_file

    def counted(folder, name, limit):
        read.append(name)
        return real(folder, name, limit)

    monkeypatch.setattr(tables, "read_file", counted)
    study = load_study(stranger.folder, open_workspace(stranger.root))
    assert read == ["readings.csv"] and len(study.tables) == 20


def test_the_rows_of_all_tables_together_are_bounded(stranger, watched, monkeypatch):
    many(stranger, "tables", 5)
    stranger.write()  # 18 rows in each
    monkeypatch.setattr(tables, "MAX_ROWS_IN_ALL", 60)
    opened = list[str]()
    real = tables.read_sheet

    def counted(source, name):
        opened.append(name)
        return real(source, name)

    monkeypatch.setattr(tables, "read_sheet", counted)
    with pytest.raises(StudyError) as caught:
        load_study(stranger.folder, open_workspace(stranger.root))
    [said] = [str(p) for p in caught.value.problems if "rows so far" in str(p)]
    assert said.startswith("study.yaml:") and "72 rows so far" in said
    assert "at most 60 rows in all tables together" in said
    assert len(opened) == 4  # the fifth is not read any more


def test_a_thousand_references_are_worked_out_once(stranger, watched, monkeypatch):
    from explainer.claims.judge import judge
    from explainer.words.page import prose

    stranger.write()
    judgement = judge(load_study(stranger.folder, open_workspace(stranger.root)))
    made = list[int]()
    real = prose._of
    monkeypatch.setattr(prose, "_of", lambda *given: made.append(1) or real(*given))
    said = prose.fill("{falls.n} " * 1_500, judgement)
    assert said == "6 " * 1_500 and len(made) == len(judgement.verdicts)


def test_a_folder_of_many_files_costs_no_more(stranger, watched):
    """Names are compared without regard to case: once for each table, not once for each pair."""
    stranger.write()
    for n in range(3_000):
        os.close(os.open(stranger.folder / f"extra-{n}.csv", os.O_CREAT))
    assert load_study(stranger.folder, open_workspace(stranger.root)).id == "one"
