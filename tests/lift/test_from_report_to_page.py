"""From a report's PDF to a study and its page; a corrected report; where numbers came from."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
from contextlib import redirect_stderr, redirect_stdout
from hashlib import sha256
from pathlib import Path

import pytest
import report
from sheets import page_of

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.cli import main
from explainer.editions.compose import compose
from explainer.errors import TableError
from explainer.lift.sentences import claim_like
from explainer.study.load import load_study, open_workspace


def run(*arguments: object) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as ended:
        main([str(a) for a in arguments])
    return int(ended.value.code or 0), out.getvalue(), err.getvalue()


@pytest.fixture(scope="module")
def pdf(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("report") / "covers.pdf"
    path.write_bytes(report.report())
    return path


@pytest.fixture(scope="module")
def drafted(pdf, tmp_path_factory) -> Path:
    """A workspace with a study drafted from the report."""
    root = tmp_path_factory.mktemp("workspace")
    (root / "studies").mkdir()
    status, out, err = run("--workspace", root, "draft", "covers", "--from", pdf)
    assert status == 0, out + err
    return root / "studies" / "covers"


def loaded(folder: Path):
    return load_study(folder, open_workspace(folder.parents[1]))


def rows_of(path: Path) -> list[list[str]]:
    return list(csv.reader(path.read_text("utf-8").splitlines()))


def test_a_report_becomes_a_folder(pdf, tmp_path) -> None:
    status, out, err = run("lift", pdf, "--into", tmp_path / "made")
    assert (status, err) == (0, "")
    names = {p.name for p in (tmp_path / "made").iterdir()}
    assert names == {
        "table-1-page-6.csv", "table-1-page-6.lifted.yaml", "figure-2-page-7.csv",
        "figure-2-page-7.lifted.yaml", "claims.yaml",
    }  # fmt: skip
    assert rows_of(tmp_path / "made" / "table-1-page-6.csv") == report.readings()
    drawn = rows_of(tmp_path / "made" / "figure-2-page-7.csv")
    truth = [[r[0], float(r[1]), float(r[3])] for r in report.readings()[1:]]
    assert len(drawn) == len(truth) + 1
    for read, true in zip(drawn[1:], truth, strict=True):
        assert read[0] == true[0]
        assert abs(float(read[1]) - true[1]) < 0.06 and abs(float(read[2]) - true[2]) < 0.006
    assert "page 6: Table 1" in out and "page 7: Figure 2" in out
    claims = (tmp_path / "made" / "claims.yaml").read_text("utf-8")
    assert claims.count("key: yes  # CONFIRM") == 3
    assert "kind: change, measure: MEASURE, from: 0, to: 60, direction: down}" in claims
    assert "kind: no-change, measure: MEASURE, from: 0, to: 60}" in claims
    assert "kind: limit, measure: MEASURE, at_least: 50}" in claims


def test_nothing_is_overwritten_and_nothing_half_is_left(pdf, tmp_path) -> None:
    (tmp_path / "made").mkdir()
    status, _, err = run("lift", pdf, "--into", tmp_path / "made")
    assert status == 2 and "there already" in err and err.count("\n") == 1
    assert list((tmp_path / "made").iterdir()) == []


def test_a_draft_is_sound_and_knows_where_its_numbers_stand(drafted, pdf) -> None:
    study = loaded(drafted)
    table, chart = (study.tables[n] for n in ("table-1-page-6", "figure-2-page-7"))
    assert table.lifted is not None and (table.lifted.page, table.lifted.what) == (6, "Table 1")
    assert chart.lifted is not None and chart.lifted.method == "drawing"
    assert table.source == "Table 1, page 6" and chart.source == "Figure 2, page 7"
    assert table.reading_error == 0 and 0 < chart.axis_error < chart.reading_error < 0.02
    assert not table.edited and not chart.edited
    assert table.lifted.report.sha256 == sha256(pdf.read_bytes()).hexdigest()
    text = (drafted / "study.yaml").read_text("utf-8")
    assert "report: {title: covers, pages: 12}  # CONFIRM" in text
    assert '#     report_says: "Total hook did not change over 60 games."' in text


def test_the_page_and_the_results_say_where_numbers_came_from(drafted) -> None:
    judgement = judge(loaded(drafted))
    lifted = results(judgement)["lifted"]
    assert set(lifted) == {"table-1-page-6.csv", "figure-2-page-7.csv"}
    assert lifted["figure-2-page-7.csv"]["page"] == 7
    json.dumps(lifted, allow_nan=False)
    article = compose(judgement)
    by_file = {d.path: d.about for d in article.downloads}
    assert "Table 1, page 6, copied as printed" in by_file["data/table-1-page-6.csv"]
    about = by_file["data/figure-2-page-7.csv"]
    assert "Figure 2, page 7, read from the chart’s own drawing, give or take 0.0" in about
    assert about.endswith("boards")
    (view,) = article.as_read
    assert view.title == "Figure 2 as it was read" and "40 points" in view.says
    assert view.drawing.svg.startswith("<svg") and "games rolled" in view.drawing.svg


def test_an_edited_file_says_so(drafted, tmp_path) -> None:
    copy = tmp_path / "studies" / "covers"
    shutil.copytree(drafted, copy)
    path = copy / "table-1-page-6.csv"
    path.write_text(path.read_text("utf-8").replace("A1,0,", "A1,0,9", 1), "utf-8")
    study = loaded(copy)
    assert study.tables["table-1-page-6"].edited
    about = {d.path: d.about for d in compose(judge(study)).downloads}
    assert about["data/table-1-page-6.csv"].endswith("and edited since")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("method: ", 'metod: "x"\nmethod: ', "metod"),
        ('method: "table"', 'method: "guessed"', "guessed"),
        ("page: 6", "page: six", "six"),
        ("page: 6", "page: [", "lifted.yaml"),
    ],
)
def test_a_faulty_origin_is_named_with_its_place(drafted, tmp_path, old, new, said) -> None:
    copy = tmp_path / "studies" / "covers"
    shutil.copytree(drafted, copy)
    path = copy / "table-1-page-6.lifted.yaml"
    path.write_text(path.read_text("utf-8").replace(old, new, 1), "utf-8")
    with pytest.raises(TableError) as fault:
        loaded(copy)
    (problem,) = fault.value.problems
    assert str(problem).startswith("table-1-page-6.lifted.yaml:") and said in str(problem)


def test_a_link_in_place_of_an_origin_is_not_followed(drafted, tmp_path) -> None:
    copy = tmp_path / "studies" / "covers"
    shutil.copytree(drafted, copy)
    path = copy / "table-1-page-6.lifted.yaml"
    outside = tmp_path / "outside.yaml"
    path.rename(outside)
    path.symlink_to(outside)
    with pytest.raises(TableError, match="link out of the study folder"):
        loaded(copy)


def test_a_corrected_report_shows_what_moved_and_which_verdicts(drafted, tmp_path) -> None:
    new = tmp_path / "covers.pdf"
    new.write_bytes(report.report(shift=60.0))
    before = {p.name: p.read_bytes() for p in drafted.rglob("*") if p.is_file()}
    status, out, err = run("lift", new, "--against", drafted)
    assert status == 0, err
    assert "table-1-page-6.csv: Table 1: 4 moved" in out
    truth, changed = report.readings(), report.readings(60.0)
    row = next(n for n, (a, b) in enumerate(zip(truth, changed, strict=True), 1) if a != b)
    old, now = truth[row - 1][2], changed[row - 1][2]
    assert f"row {row}, Texture (microinch): {old} then, {now} now" in out
    assert "figure-2-page-7.csv: Figure 2 is as it was" in out
    assert "backed then, cannot-tell now" in out
    assert {p.name: p.read_bytes() for p in drafted.rglob("*") if p.is_file()} == before


def test_the_same_report_has_moved_nothing(drafted, pdf) -> None:
    status, out, _ = run("lift", pdf, "--against", drafted)
    assert status == 0
    assert "the very file" in out and "every verdict is as it was" in out


def test_a_caption_that_may_be_anothers_is_asked_about_in_the_draft(tmp_path) -> None:
    (tmp_path / "studies").mkdir()
    (tmp_path / "page.pdf").write_bytes(page_of(2, 1, ["", "Figure 2"]))
    status, out, err = run("--workspace", tmp_path, "lift", tmp_path / "page.pdf", "--into",
                           tmp_path / "lifted")  # fmt: skip
    asked = "Figure 2 stands between this chart and something else: whose is it?"
    assert (status, asked in out) == (0, True), err
    status, _, err = run("--workspace", tmp_path, "draft", "d", "--from", tmp_path / "page.pdf")
    assert status == 0, err
    text = (tmp_path / "studies" / "d" / "study.yaml").read_text(encoding="utf-8")
    place = "figure-2-page-1.lifted.yaml"
    assert f'source: "Figure 2, page 1"  # CONFIRM: {asked} (it stands in {place}, too)' in text


def test_a_twelve_page_report_is_a_page_well_within_a_quarter_of_an_hour(pdf, tmp_path) -> None:
    """The machine's share of it, from PDF to page: the rest of the fifteen minutes is reading."""
    (tmp_path / "studies").mkdir()
    began = sum(os.times()[:4])
    assert run("--workspace", tmp_path, "draft", "covers", "--from", pdf)[0] == 0
    assert compose(judge(loaded(tmp_path / "studies" / "covers"))).figures
    assert sum(os.times()[:4]) - began < 60


@pytest.mark.parametrize(
    ("sentence", "kind", "parameters"),
    [
        ("Texture decreased from 0 to 60 games in every ball.", "change",
         {"direction": "down", "from": 0, "to": 60}),
        ("The mean hook increased by 3 boards over the test.", "change", {"direction": "up"}),
        ("Hardness remained the same within the first 30 games.", "no-change",
         {"from": 0, "to": 30}),
        ("There was no correlation between texture and hook.", "no-association", {}),
        ("Texture was strongly and positively correlated with hook.", "association",
         {"direction": "positive", "strong": "yes"}),
        ("Used balls hook less than new balls on fresh oil.", "difference",
         {"direction": "lower"}),
        ("Every reading was above 50 microinches at the last check.", "", {}),
        ("Covers must read at least 50 microinches before play.", "limit", {"at_least": 50.0}),
        ("The hook levels off after 20 games of play on oil.", "break-in", {"from": 0, "to": 20}),
    ],
)  # fmt: skip
def test_a_sentence_is_offered_with_its_likely_test(sentence, kind, parameters) -> None:
    found = list(claim_like(f"{sentence}\nAnd then we went home for the evening.", 3))
    if kind:
        assert [(s.text, s.kind, s.page) for s in found] == [(sentence, kind, 3)]
        assert found[0].parameters == parameters


@pytest.mark.parametrize(
    "text",
    ["The balls were measured with one gauge by one person.", "Thanks to everybody who helped.",
     "A1 0 71.4 12.3 A2 0 70.1 12.9", "Figure 4"],
)  # fmt: skip
def test_what_is_no_claim_is_left_alone(text) -> None:
    assert list(claim_like(text, 1)) == []
