"""Columns that study.yaml never mentions and that may tell of somebody are in no download.

Everybody here is made up.
"""

from __future__ import annotations

import csv
import io

import pytest

from explainer.errors import StudyError
from explainer.proof.read import proofread
from explainer.publish.data import data_files
from explainer.publish.site import publish
from explainer.study.carried import private
from explainer.study.labels import nobodys, numbers_only
from explainer.study.load import load_study, open_workspace

from .test_people import everything

STUDY = """\
title: Do covers wear?
question: Do covers wear?
invented: yes
tested: {each: ball}
use: {column: games, unit: game}
measures:
  hook: {unit: board}
tables:
  shots: {file: shots.csv}
claims:
  - {id: c, report_says: S., plainly: P., test: {kind: change, measure: hook, from: 0, to: 10}}
"""
PEOPLE = ("Zebulon Quackenbush", "Ermintrude Falsworthy", "Hezekiah Postlethwaite")
HEADS = ("name", "owner", "driller", "first_name", "emailaddress", "tel", "dob", "contact",
         "remark", "tester", "ball owner", "kontakt")  # fmt: skip


def laid_out(root, study=STUDY, **columns):
    """Three balls read twice, with more columns beside: head to what one of the three holds."""
    folder = root / "studies" / "one"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(study, "utf-8")
    made = io.StringIO()
    out = csv.writer(made, lineterminator="\n")
    out.writerow(["ball", "games", "hook", *columns])
    for i in range(3):
        for games in (0, 10):
            own = [cells[i] for cells in columns.values()]
            out.writerow([f"B{i}", games, 12 + i - games / 10, *own])
    (folder / "shots.csv").write_text(made.getvalue(), "utf-8")
    return open_workspace(root), folder


def header(space, folder) -> list[str]:
    text = data_files(load_study(folder, space))["data/shots.csv"].decode()
    return text.splitlines()[0].split(",")


def test_no_download_tells_whose_ball_it_is(tmp_path):
    told = {head: [f"seen by {p}" if head == "remark" else p for p in PEOPLE] for head in HEADS}
    told |= {"dob": ["1961-03-01", "1961-03-02", "1961-03-03"]}
    told |= {"tel": ["0171-55501", "0171-55502", "0171-55503"]}
    told |= {"kontakt": ["017155501", "017155502", "017155503"]}
    space, folder = laid_out(tmp_path, **told)
    assert not publish(space, {"one": folder}, tmp_path / "site").failed
    files = everything(tmp_path / "site")
    parts = [part.casefold() for name in PEOPLE for part in name.split()]
    for path, text in files.items():
        assert not [p for p in (*parts, "1961-03", "55501") if p in text.casefold()], path
    assert files["one/data/shots.csv"].startswith("ball,games,hook\n")
    [said] = [p for p in proofread(folder, space) if p.code == "not-in-download"]
    assert (said.severity, said.file, said.row) == ("warning", "shots.csv", 1)
    assert all(f"`{head}`" in said.found for head in HEADS)
    assert "data/shots.csv is published without them" in str(said)


def test_plain_numbers_and_words_for_time_and_place_go_along_and_nothing_is_said(tmp_path):
    space, folder = laid_out(
        tmp_path, rh=["41", "", "43.5"], lane=["left", "right", "12"], night=["2026-01-03"] * 3,
        kind=["used", "new", "sanded"], desk=["desk A", "Desk one", "2"],
    )  # fmt: skip
    assert header(space, folder)[3:] == ["rh", "lane", "night", "kind", "desk"]
    assert not [p for p in proofread(folder, space) if p.code == "not-in-download"]


@pytest.mark.parametrize("head", ["phone", "Tel.", "date of birth", "dateOfBirth", "member no",
                                  "licence_nr", "home address", "bowler_id", "cell", "postcode"])
def test_numbers_that_lead_to_somebody_do_not(head, tmp_path):
    assert private(head)
    space, folder = laid_out(tmp_path, **{head: ["12", "13", "14"]})
    assert header(space, folder) == ["ball", "games", "hook"]
    [said] = [p for p in proofread(folder, space) if p.code == "not-in-download"]
    assert "columns:" not in said.hint


@pytest.mark.parametrize("head", ["pin", "temperature", "lot", "rh", "spot", "number", "telltale"])
def test_other_heads_lead_to_nobody(head):
    assert not private(head)


def test_a_column_that_the_study_names_goes_along_as_it_stands(tmp_path):
    study = STUDY.replace("shots.csv}", "shots.csv, columns: {lot: lot}}")
    lots = ["first lot", "Lot Plover", "-"]
    space, folder = laid_out(tmp_path, study, lot=lots, note=["a", "quite dry", "c"])
    assert header(space, folder) == ["ball", "games", "hook", "lot"]
    [said] = [p for p in proofread(folder, space) if p.code == "not-in-download"]
    assert "`note`" in said.found and "`lot`" not in said.found
    assert "`columns: {note: note}` under `shots`" in said.hint
    renamed = STUDY.replace("shots.csv}", "shots.csv, columns: {lots: lots}}")
    space, folder = laid_out(tmp_path / "slip", renamed, lot=lots)
    with pytest.raises(StudyError, match="no column `lots`"):
        load_study(folder, space)


def test_naming_a_column_takes_nobody_along_who_is_hidden(tmp_path):
    study = STUDY.replace("shots.csv}", "shots.csv, columns: {remark: remark, email: email}}")
    study = study.replace("each: ball", "each: bowler")
    said = {"remark": ["dry", "Zebulon was ill", "dry"], "email": ["a@b.example"] * 3}
    space, folder = laid_out(tmp_path, study, **said)
    data = (folder / "shots.csv").read_text("utf-8").replace("ball,", "bowler,", 1)
    for i, name in enumerate(PEOPLE):
        data = data.replace(f"B{i},", f"{name},")
    (folder / "shots.csv").write_text(data, "utf-8")
    assert header(space, folder) == ["bowler", "games", "hook"]
    (folder / "shots.csv").write_text(data.replace("Zebulon was ill", "oily"), "utf-8")
    assert header(space, folder) == ["bowler", "games", "hook", "remark"]
    shown = study.replace("each: bowler", "each: bowler, names: shown")
    (folder / "study.yaml").write_text(shown, "utf-8")
    assert header(space, folder) == ["bowler", "games", "hook", "remark", "email"]


@pytest.mark.parametrize("label", ["3", "B", "desk A", "Desk one", "counter", "2026-01-03", "B12",
                                   "left lane", "old", "-"])  # fmt: skip
def test_labels_that_nobody_is_called(label):
    assert nobodys(label)


@pytest.mark.parametrize("label", ["Zebulon", "zebulon", "JD", "Long", "Old House Pete",
                                   "Desk Pete", "太郎", "Jo", "May"])  # fmt: skip
def test_labels_that_somebody_may_be_called(label):
    assert not nobodys(label)


def test_numbers_with_gaps_are_numbers_and_telephones_are_not():
    assert numbers_only(["1", "-2.5", "1e3", "", "n/a", "**"], ["**"])
    for cell in ("017155501", "+491715550", "7155501234", "0171-555", "12 mm"):
        assert not numbers_only(["1", cell])
