"""The downloads: the numbers as they were read, described, and inert in a spreadsheet."""

from __future__ import annotations

import csv
import hashlib
import io
import json

import pytest

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.errors import TableError
from explainer.publish.data import data_files, inert
from explainer.study.load import load_study, open_workspace

DESCRIPTION = """\
title: T
question: Q?
invented: yes
report: {title: R}
tested: {each: ball}
use: {column: games, unit: game}
measures:
  hook: {unit: board}
tables:
  shots: {file: shots.csv, missing: [n/a]}
claims:
  - {id: c, report_says: S., plainly: P., test: {kind: change, measure: hook, from: 0, to: 10}}
"""
TWO = "P1,0,12,17\nP1,10,11,18\nP2,0,11,18\nP2,10,12,19\n"
ROWS = "ball,games,hook,remark\n=1+1,0,12.50,-\n=1+1,10,n/a,@x\nP2,0,-3,-4.5\nP2,10,1e2,\n"


@pytest.fixture
def study(tmp_path):
    folder = tmp_path / "studies" / "one"
    folder.mkdir(parents=True)
    wanted = DESCRIPTION.replace("[n/a]}", "[n/a], columns: {remark: remark}}")
    (folder / "study.yaml").write_text(wanted)
    (folder / "shots.csv").write_text(ROWS)
    return load_study(folder, open_workspace(tmp_path))


def test_numbers_as_read_missing_as_empty_and_formulas_inert(study):
    text = data_files(study)["data/shots.csv"].decode()
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [r["hook"] for r in rows] == ["12.5", "", "-3", "100"]
    assert [r["games"] for r in rows] == ["0", "10", "0", "10"]
    assert [r["ball"] for r in rows] == ["'=1+1", "'=1+1", "P2", "P2"]
    assert [r["remark"] for r in rows] == ["'-", "'@x", "-4.5", ""]


@pytest.mark.parametrize("text", ["=1", "+a", "+3", "-cmd|x", "@SUM(A1)", "\t=1", "\r=1"])
def test_what_a_spreadsheet_would_run_is_made_inert(text):
    assert inert(text) == "'" + text


@pytest.mark.parametrize("text", ["-4.5", "P1", "a=b", "", "−3"])
def test_other_text_is_left_alone(text):
    assert inert(text) == text


def test_the_package_describes_every_file(study):
    files = data_files(study)
    package = json.loads(files["data/datapackage.json"])
    assert package["name"] == "one"
    assert "Made-up data" in package["description"]
    [resource] = package["resources"]
    content = files["data/" + resource["path"]]
    assert resource["bytes"] == len(content)
    assert resource["hash"] == "sha256:" + hashlib.sha256(content).hexdigest()
    fields = {f["name"]: f for f in resource["schema"]["fields"]}
    assert list(fields) == ["ball", "games", "hook", "remark"]
    assert fields["hook"] == {"name": "hook", "type": "number", "title": "hook", "unit": "board"}
    assert fields["ball"]["type"] == "string"


def test_a_file_that_changed_since_it_was_read_is_not_passed_on(study):
    (study.folder / "shots.csv").write_text(ROWS + "P3,0,1,\n")
    with pytest.raises(TableError, match="another content than when it was first read"):
        data_files(study)


def test_two_tables_of_one_file_make_one_download(tmp_path):
    folder = tmp_path / "studies" / "two"
    folder.mkdir(parents=True)
    second = "  more: {file: shots.csv, columns: {extra: speed}}\n"
    text = DESCRIPTION.replace("claims:", second + "claims:")
    text = text.replace("  hook: {unit: board}\n", "  hook: {unit: board}\n  speed: {unit: mph}\n")
    text = text.replace("measure: hook,", "measure: hook, table: shots,")
    (folder / "study.yaml").write_text(text)
    (folder / "shots.csv").write_text("ball,games,hook,extra\n" + TWO)
    files = data_files(load_study(folder, open_workspace(tmp_path)))
    assert files["data/shots.csv"].decode() == "ball,games,hook,speed\n" + TWO
    assert sorted(files) == ["data/datapackage.json", "data/shots.csv"]


FIGURE = "figures:\n  - {id: over-play, kind: over-use, table: shots, y: hook}\nclaims:"


def drawn_study(tmp_path, file="shots.csv"):
    folder = tmp_path / "studies" / "three"
    folder.mkdir(parents=True)
    text = DESCRIPTION.replace("claims:", FIGURE).replace("shots.csv", file)
    (folder / "study.yaml").write_text(text)
    rows = "ball,games,hook\n" + "".join(
        f"{ball},0,{first}\n{ball},10,{first + 0.125}\n"
        for ball, first in (("=1+1", 12.5), ("P2", 11), ("P3", 1 / 3))
    )
    (folder / file).write_text(rows)
    return load_study(folder, open_workspace(tmp_path))


def test_the_numbers_of_a_figure_are_a_file_of_their_own_unrounded_and_inert(tmp_path):
    judgement = judge(drawn_study(tmp_path))
    files = data_files(judgement.study, judgement.figures)
    [article_figure] = compose(judgement).figures
    assert article_figure.table.file == "data/figure-over-play.csv"
    header, *rows = csv.reader(io.StringIO(files["data/figure-over-play.csv"].decode()))
    assert len(header) == len(judgement.figures[0].table.columns)
    assert [row[0] for row in rows[:3]] == ["'=1+1", "P2", "P3"]
    assert [float(v) for v in rows[2][-2:]] == [1 / 3, 1 / 3 + 0.125]


def test_the_package_lists_the_figures_too(tmp_path):
    judgement = judge(drawn_study(tmp_path))
    files = data_files(judgement.study, judgement.figures)
    package = json.loads(files["data/datapackage.json"])
    described = {r["path"]: r for r in package["resources"]}
    assert {f"data/{path}" for path in described} == files.keys() - {"data/datapackage.json"}
    figure = described["figure-over-play.csv"]
    content = files["data/figure-over-play.csv"]
    assert (figure["bytes"], figure["hash"]) == (
        len(content),
        "sha256:" + hashlib.sha256(content).hexdigest(),
    )
    fields = figure["schema"]["fields"]
    header = next(csv.reader(io.StringIO(content.decode())))
    assert [f["name"] for f in fields] == header
    assert (fields[0]["type"], fields[-1]["type"], fields[-1]["unit"]) == (
        "string", "number", "board",
    )  # fmt: skip


def test_a_table_of_the_same_name_keeps_it(tmp_path):
    judgement = judge(drawn_study(tmp_path, "Figure-over-play.csv"))
    files = data_files(judgement.study, judgement.figures)
    [figure] = compose(judgement).figures
    assert figure.table.file == "data/drawn-figure-over-play.csv"
    assert files["data/Figure-over-play.csv"].startswith(b"ball,games,hook\n")
    assert figure.table.file in files
