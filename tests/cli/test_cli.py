"""The command line: what it prints where, and the exit status it promises."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from started import started

HEAVY = ("pandas", "matplotlib", "scipy", "weasyprint", "statsmodels", "pint", "numpy")
DESCRIPTION = """\
title: Does it?
question: Does the ball hook less after ten games?
invented: yes
tested: {each: ball}
use: {column: games, unit: game}
measures:
  hook: {term: total hook, unit: board, matters_from: 1, more_is: more hook, less_is: less hook}
tables:
  shots: {file: shots.csv, source: Table 1}
figures:
  - {id: hooks, kind: over-use, table: shots, y: hook, say: Look at them go.}
claims:
  - id: less
    report_says: Hook fell.
    plainly: The balls hooked less.
    figure: hooks
    test: {kind: change, measure: hook, from: 0, to: 10, direction: down}
"""
ROWS = "ball,games,hook\n" + "".join(
    f"P{i},0,{12 + i * 0.5}\nP{i},10,{10 + i * 0.4}\n" for i in range(1, 7)
)


def run(*arguments: str, cwd: Path, **changes: str) -> subprocess.CompletedProcess[str]:
    return started(*arguments, cwd=cwd, env={**os.environ, "COLUMNS": "80", **changes})


@pytest.fixture(scope="module")
def workspace(tmp_path_factory) -> Path:
    root = tmp_path_factory.mktemp("work")
    for name, text in (("good", DESCRIPTION), ("bad", DESCRIPTION.replace("board", "boord"))):
        folder = root / "studies" / name
        folder.mkdir(parents=True)
        (folder / "study.yaml").write_text(text)
        (folder / "shots.csv").write_text(ROWS)
    return root


@pytest.mark.parametrize("command", [["--help"], ["define", "total hook"], ["publish", "--help"]])
def test_quick_commands_load_nothing_heavy(command, workspace):
    script = (
        "import sys\nfrom explainer.cli import main\n"
        f"try: main({command!r})\nexcept SystemExit as end: assert end.code == 0, end.code\n"
        f"print('heavy:', [m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=workspace, capture_output=True, text=True, check=True
    )
    assert done.stdout.rstrip().endswith("heavy: []")


def test_define_says_a_term_and_offers_the_nearest(workspace):
    done = run("define", "total", "hook", cwd=workspace)
    assert done.returncode == 0
    assert done.stdout.startswith("total hook")
    missed = run("define", "totel hoock", cwd=workspace)
    assert missed.returncode == 2
    assert "total hook" in missed.stderr
    assert missed.stderr.count("\n") == 1


def test_proof_says_every_problem_with_its_place(workspace):
    done = run("proof", cwd=workspace)
    assert done.returncode == 3
    assert "good: sound" in done.stdout
    assert "bad: 1 problem" in done.stdout
    line, shown, marker = done.stderr.splitlines()
    assert line.startswith("study.yaml:7:")
    at = marker.index("~")
    assert shown[at : at + 5] == "boord"
    assert marker.strip() == "~~~~~"
    assert "Traceback" not in done.stderr


def test_proof_of_a_sound_study_is_fine_and_quiet(workspace):
    done = run("proof", "good", cwd=workspace)
    assert (done.returncode, done.stderr) == (0, "")
    done = run("proof", "-q", "good", cwd=workspace)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_proof_warns_of_weak_words_and_stays_fine(workspace):
    folder = workspace / "elsewhere" / "studies" / "weak"
    folder.mkdir(parents=True)
    text = DESCRIPTION.replace("total hook", "wiggle").replace(
        "Look at them go.", '"All 1234 of them, [[zorp]], [see](javascript:alert)."'
    )
    (folder / "study.yaml").write_text(text)
    (folder / "shots.csv").write_text(ROWS)
    done = run("proof", str(folder), cwd=workspace)
    assert done.returncode == 0
    assert "weak: sound, 4 to look at" in done.stdout
    for said in ("term `wiggle`", "typed number 1234", "[[zorp]]", "a link to javascript:alert"):
        assert said in done.stderr
    assert done.stderr.count("study.yaml:11:") == 3


def test_proof_as_json(workspace):
    done = run("proof", "--json", cwd=workspace)
    said = json.loads(done.stdout)
    assert [(p["line"], p["length"], p["severity"]) for p in said["bad"]] == [(7, 5, "error")]
    assert said["good"] == []


def on_a_terminal(command: str, cwd: Path, **changes: str) -> str:
    """What a command writes where both its outputs are one terminal."""
    done = subprocess.run(
        ["script", "-qec", f"{sys.executable} -m explainer {command}", "/dev/null"],
        cwd=cwd, capture_output=True, text=True, timeout=120, check=False, stdin=subprocess.DEVNULL,
        env={**os.environ, "COLUMNS": "80", "TERM": "xterm", **changes},
    )  # fmt: skip
    return done.stdout


@pytest.mark.seldom
def test_colour_only_on_a_terminal_and_only_where_wanted(workspace):
    assert "\x1b[" not in run("proof", "bad", cwd=workspace).stderr
    assert "\x1b[" in on_a_terminal("proof bad", workspace)
    assert "\x1b[" not in on_a_terminal("proof bad", workspace, NO_COLOR="1")


def test_the_bar_is_for_terminals(monkeypatch, capsys):
    from explainer.publish.site import telling

    with telling(2, quiet=False) as tell:
        tell("first: built")
    assert capsys.readouterr().out == "first: built\n"
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    monkeypatch.setenv("TTY_COMPATIBLE", "1")
    with telling(2, quiet=False) as tell:
        tell("first: [built]")
    shown = capsys.readouterr().out
    assert "first: [built]" in shown
    assert "1/2" in shown
    with telling(2, quiet=True) as tell:
        tell("first: built")
    assert capsys.readouterr().out == ""


#: The two edits that make a draft a first page: what it is about, and one sentence of the report.
EDITS = (
    ("title: First look  # CONFIRM: what you would call it", "title: What play does to a cover"),
    (
        '    report_says: "(no sentence of the report quoted yet)"  # CONFIRM: the report\'s own '
        "sentence\n    test: {kind: change, table: wide-checkpoints, measure: ra, from: 0, to: 60, "
        "direction: any}",
        "    report_says: Texture fell with play.\n    test: {kind: change, table: "
        "wide-checkpoints, measure: ra, from: 0, to: 60, direction: down}",
    ),
)


@pytest.mark.slow
def test_three_messy_spreadsheets_become_a_page_with_two_edits_in_ten_minutes(tmp_path):
    began = sum(os.times()[:4])
    messy = sorted((Path(__file__).parents[1] / "draft" / "messy").glob("*.csv"))
    done = run("draft", "first-look", "--from", *map(str, messy), cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "please check" in done.stdout
    again = run("draft", "first-look", "--like", "rates", cwd=tmp_path)
    assert again.returncode == 2
    assert "there already" in again.stderr
    described = tmp_path / "studies" / "first-look" / "study.yaml"
    text = described.read_text("utf-8")
    for old, new in EDITS:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    described.write_text(text, "utf-8")
    checked = run("proof", "first-look", cwd=tmp_path)
    assert checked.returncode == 0, checked.stderr
    published = run("publish", "first-look", "--edition", "handout", cwd=tmp_path)
    assert published.returncode == 0
    assert "guesses of its draft not confirmed" in published.stderr
    page = (tmp_path / "site" / "first-look" / "index.html").read_text()
    assert "What play does to a cover" in page
    assert "Texture fell with play." in page
    assert 'data-claim="ra-changes" data-verdict="backed"' in page
    assert sum(os.times()[:4]) - began < 600


def test_draft_without_files_and_with_a_kind_nobody_knows(tmp_path):
    assert run("draft", "mine", "--like", "gauge-check", "-q", cwd=tmp_path).returncode == 0
    done = run("draft", "other", "--like", "guage", cwd=tmp_path)
    assert done.returncode == 2
    assert "did you mean `gauge-check`?" in done.stderr
    # The schema of the file lies beside it, for editors.
    made = sorted(p.name for p in (tmp_path / "studies").iterdir())
    assert made == ["mine", "study.schema.json"]


def test_weigh_fits_eighty_columns_and_shows_a_strip(workspace):
    done = run("weigh", "good", cwd=workspace)
    assert done.returncode == 0, done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "The balls hooked less." in done.stdout
    assert "o" in done.stdout
    assert "\x1b" not in done.stdout


def test_weigh_json_is_the_results_file(workspace):
    said = json.loads(run("weigh", "good", "--json", cwd=workspace).stdout)
    assert said["format"] == 1
    [claim] = said["claims"]
    assert claim["id"] == "less"
    assert claim["n_items"] == 6
    # mean of (10 + .4 i) - (12 + .5 i) over i = 1..6
    assert claim["estimate"] == pytest.approx(-2.35)


def test_publish_builds_what_it_can_and_says_what_it_cannot(workspace):
    done = run("publish", cwd=workspace)
    assert done.returncode == 3
    assert "study.yaml:7:" in done.stderr
    site = workspace / "site"
    assert (site / "good" / "index.html").exists()
    assert (site / "good" / "explainer.pdf").read_bytes().startswith(b"%PDF")
    assert (site / "good" / "results.json").exists()
    assert not (site / "bad").exists()
    assert "good: built" in done.stdout.splitlines()
    assert "\x1b" not in done.stdout


def test_publish_elsewhere_from_elsewhere(workspace, tmp_path):
    study = workspace / "studies" / "good"
    done = run("publish", str(study), "--into", "out", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "index.html").exists()
    again = run(
        "--workspace", str(workspace), "publish", "good", "--into", "out", "-q", cwd=tmp_path
    )
    assert (again.returncode, again.stdout) == (0, "")


def test_a_study_that_is_not_there_is_wrong_usage(workspace):
    done = run("weigh", "goood", cwd=workspace)
    assert done.returncode == 2
    assert "good" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_study_cannot_take_the_place_of_the_glossary(workspace, tmp_path):
    folder = tmp_path / "studies" / "Glossary"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(DESCRIPTION)
    (folder / "shots.csv").write_text(ROWS)
    done = run("publish", cwd=tmp_path)
    assert done.returncode == 2
    assert "rename the study's folder" in done.stderr


@pytest.mark.parametrize("arguments", [["weigh"], ["publsh"], ["publish", "--int", "x", "good"]])
def test_wrong_usage_is_one_line_and_status_two(arguments, workspace):
    done = run(*arguments, cwd=workspace)
    assert done.returncode == 2
    assert done.stderr.startswith("explainer: ")
    assert done.stderr.count("\n") == 1


def test_a_place_that_cannot_be_written_is_status_four(workspace, tmp_path):
    (tmp_path / "file").write_text("not a folder")
    done = run("publish", "good", "--into", str(tmp_path / "file"), cwd=workspace)
    assert done.returncode == 4
    assert done.stderr.count("\n") == 1
    assert "is a file" in done.stderr


def test_a_fault_of_ours_is_one_line_unless_debugged(workspace):
    script = (
        "import explainer.words.glossary.entries as d\n"
        "def broken(*a): raise RuntimeError('x\\ny')\n"
        "d.define = broken\n"
        "from explainer.cli import main\nimport sys\nmain(sys.argv[1:])"
    )

    def faulty(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-c", script, *arguments],
            cwd=workspace, capture_output=True, text=True, check=False,
        )  # fmt: skip

    quiet = faulty("define", "hook")
    assert quiet.returncode == 1
    assert "this is a fault of explainer" in quiet.stderr
    assert "RuntimeError: x\\ny" in quiet.stderr
    assert quiet.stderr.count("\n") == 1
    assert "Traceback" in faulty("--debug", "define", "hook").stderr


def test_a_reader_that_goes_away_is_no_error(workspace):
    done = subprocess.run(
        f"{sys.executable} -m explainer weigh good --json | head -c 1; echo ${{PIPESTATUS[0]}}",
        cwd=workspace, capture_output=True, text=True, shell=True, check=False,
        executable="/bin/bash",
    )  # fmt: skip
    assert done.stdout == "{0\n"
    assert done.stderr == ""


def test_of_several_broken_studies_each_line_says_whose_it_is(workspace):
    for name in ("first", "second"):
        folder = workspace / "studies" / name
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "study.yaml").write_text("title: Only a title\n", encoding="utf-8")
    done = run("publish", "-q", cwd=workspace)
    assert done.returncode == 3
    assert "first/study.yaml:1:" in done.stderr and "second/study.yaml:1:" in done.stderr
