"""Proofreading: thirty slips, each found and shown at its place; nothing where nothing is wrong."""

from __future__ import annotations

from pathlib import Path

import lxml.html
import pytest

from explainer.draft.draft import draft_from
from explainer.draft.folder import new_folder, write_folder
from explainer.proof.place import excerpt, shown
from explainer.proof.read import proofread
from explainer.publish.rehearse import quick
from explainer.study.load import open_workspace
from explainer.study.shipped import home, shipped
from explainer.words.glossary.entries import load_glossary

STUDY = """\
title: Does a sanded cover keep its bite?
question: Does a sanded ball go smooth, and does it then hook less?
invented: yes
intro: Six balls and sixty games. Let us see what is left of the bite.
report: {title: Cover texture over play, publisher: Brackenfold Test Bench, date: 2026-02-11}
tested: {each: ball, group: model, count: 6}
use: {column: games, term: games rolled, unit: game}
measures:
  texture: {term: cover roughness, unit: microinch, resolution: 1, matters_from: 6, lowest: 0}
  hook: {term: total hook, unit: board, matters_from: 1}
tables:
  checks: {file: checks.csv, source: "Table 2, page 5"}
figures:
  - {id: worn, kind: over-use, table: checks, y: texture, say: Watch the first ten games.}
  - {id: hooks, kind: over-use, table: checks, y: hook, say: Look how the lines cross.}
claims:
  - id: smooth
    report_says: Texture fell.
    plainly: Balls go smooth as you bowl.
    figure: worn
    test: {kind: change, measure: texture, from: 0, to: 60, direction: down}
  - id: hook-falls
    report_says: Hook fell.
    plainly: They hook less in the end.
    figure: hooks
    test: {kind: change, measure: hook, from: 0, to: 60, direction: down}
  - id: fair
    report_says: Sanding is fair.
    plainly: Sanding is fair to all.
    test: {kind: not-testable, because: Fair is for people to decide.}
rule:
  change: Covers must read at least 40 microinches.
  limit: {measure: texture, at_least: 40}
  u: 1.5
  reasons: [smooth, hook-falls]
advice:
  - {do: Count your games., because: [smooth]}
  - {do: Keep an eye on your hook., because: [hook-falls]}
"""
CHANGES = (2.0, -3.0, 1.0, -2.0, 3.0, -1.5)
ROWS = "ball,model,games,texture,hook\n" + "".join(
    f"P{i},{'Plover' if i < 4 else 'Teasel'},0,{80 + i},{12 + i * 0.5}\n"
    f"P{i},{'Plover' if i < 4 else 'Teasel'},60,{56 + 2 * i},{12 + i * 0.5 + change:.1f}\n"
    for i, change in enumerate(CHANGES, start=1)
)

HOOKS = STUDY[STUDY.index("  - {id: hooks") : STUDY.index("  - id: fair")]

#: What is changed, into what, and what the proof must say and point at.
SLIPS = {
    "misspelt unit": (
        "unit: microinch",
        "unit: microinhc",
        "did you mean `microinch`",
        "microinhc",
    ),
    "a claim that a test comes near": (
        "report_says: Sanding is fair.",
        "report_says: Sanded balls hook more than others.",
        "`difference` (one group of items, or one condition, against another)",
        "not-testable",
    ),
    "misspelt measure": ("y: texture", "y: textur", "did you mean `texture`", "textur"),
    "misspelt file": (
        "file: checks.csv",
        "file: chekcs.csv",
        "did you mean `checks.csv`",
        "chekcs.csv",
    ),
    "misspelt claim": (
        "[smooth, hook-falls]",
        "[smoth, hook-falls]",
        "did you mean `smooth`",
        "smoth",
    ),
    "misspelt figure": ("figure: worn", "figure: wron", "did you mean `worn`", "wron"),
    "misspelt kind": ("kind: over-use", "kind: overuse", "did you mean `over-use`", "overuse"),
    "misspelt direction": (
        "to: 60, direction: down}\n  - id: h",
        "to: 60, direction: donw}\n  - id: h",
        "did you mean `down`",
        "donw",
    ),
    "unknown key": ("resolution: 1,", "resoluton: 1,", "did you mean `resolution`", "resoluton"),
    "wrong count": ("count: 6", "count: 8", "6", "8"),
    "checkpoint never measured": (
        "measure: texture, from: 0, to: 60",
        "measure: texture, from: 0, to: 30",
        "the checkpoint 30",
        "30",
    ),
    "no title": ("title: Does a sanded cover keep its bite?\n", "", "no `title`", "question"),
    "text for a number": ("matters_from: 6", "matters_from: six", "expected a number", "six"),
    "two claims of one name": ("- id: fair", "- id: smooth", "smooth", "smooth"),
    "an unsafe link": ("2026-02-11}", '2026-02-11, link: "ftp://x"}', "https", '"ftp://x"'),
    "a date that is none": ("2026-02-11", "2026-02-31", "2026-02-31", "2026-02-31"),
    "a limit two ways": (
        "at_least: 40}",
        "at_least: 60, at_most: 40}",
        "a limit from 60 up to 40",
        "40",
    ),
    "no margin": (", matters_from: 1", "", "`matters_from`", "hook"),
    "no source": (', source: "Table 2, page 5"', "", "no `source`", "checks"),
    "a claim nothing shows": (
        HOOKS,
        HOOKS.replace("y: hook", "y: texture").replace("    figure: hooks\n", ""),
        "no figure that shows",
        "hook-falls",
    ),
    "too few balls": (
        "direction: down}\n  - id: f",
        "direction: down}\n  - id: few\n    report_says: "
        "Rough hooks.\n    test: {kind: no-association, x: texture, y: hook, margin: 0.3}\n"
        "  - id: f",
        "ever to decide",
        "few",
    ),
    "a figure unexplained": (", say: Look how the lines cross.", "", "no `say`", "hooks"),
    "a term unknown": ("term: total hook", "term: wiggle", "`wiggle`", "wiggle"),
    "a typed number": ("Watch the first ten games.", "It fell by 1234 in the end.", "1234", "1234"),
    "a mark that names nothing": (
        "Watch the first ten games.",
        '"Watch the [[zorp]]."',
        "[[zorp]]",
        "[[zorp",
    ),
    "a refused link": (
        "Count your games.",
        '"Count [them](javascript:x)."',
        "javascript:x",
        "javascript:x",
    ),
    "jargon": ("Watch the first", "Mind the hysteresis in the first", "`hysteresis`", "hysteresis"),
    "an acronym": ("Watch the first", "The GCMS sees the first", "`GCMS`", "GCMS"),
    "proof from data": ("Watch the first ten games.", "This proves it.", "do not prove", "proves"),
    "surer than its verdict": (
        "Look how the lines cross.",
        "They clearly go down.",
        "can't tell",
        "clearly",
    ),
    "a promise on nothing": (
        "Keep an eye on your hook.",
        "Sand it and you will hook more.",
        "can't tell",
        "will",
    ),
    "a link nothing tests": (
        "[smooth, hook-falls]",
        "[smooth, hook-falls, fair]",
        "nothing here tests",
        "fair",
    ),
    "no reasons": ("\n  reasons: [smooth, hook-falls]", "", "no `reasons`", "change"),
    "hard to read": (
        "Six balls and sixty games. Let us see what is left of the bite.",
        "Considerable deterioration of microscopical irregularities notwithstanding, participants "
        "consistently and comprehensively underestimate environmental heterogeneity affecting "
        "all manufacturers' products.",
        "reading grade",
        "Considerable",
    ),
    "a draft never looked at": (
        "count: 6}",
        "count: 6}  # CONFIRM: the balls",
        "marked CONFIRM",
        "# CONFIRM",
    ),
}


@pytest.fixture
def folder(tmp_path) -> Path:
    folder = tmp_path / "studies" / "bite"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(STUDY)
    (folder / "checks.csv").write_text(ROWS)
    return folder


def found_in(folder: Path, text: str = STUDY, rows: str = ROWS):
    (folder / "study.yaml").write_text(text)
    (folder / "checks.csv").write_text(rows)
    return proofread(folder, open_workspace(folder.parent.parent))


def test_nothing_is_said_of_a_study_without_a_slip(folder):
    assert [str(p) for p in found_in(folder)] == []


def test_there_are_thirty_slips():
    assert len(SLIPS) >= 30


@pytest.mark.parametrize("slip", SLIPS)
def test_each_slip_is_found_and_pointed_at(slip, folder):
    old, new, says, points_at = SLIPS[slip]
    assert old in STUDY
    found = [p for p in found_in(folder, STUDY.replace(old, new, 1)) if says in str(p)]
    assert found, f"nobody said {says}"
    there = excerpt(found[0], folder)
    assert there is not None
    assert (
        there.line[there.start : there.start + max(there.length, len(points_at))].startswith(
            points_at
        )
        or points_at in there.line[there.start : there.start + 40]
    )


@pytest.mark.parametrize(
    ("old", "new", "row", "column", "points_at"),
    [
        ("82,13.0", "82,13.0 boards", 4, "hook", "13.0 boards"),
        ("82,13.0", "n/a,13.0", 4, "texture", "n/a"),
        ("82,13.0", "-82,13.0", 4, "texture", "-82"),
        ("P2,Plover,60", "P2,Teasel,60", 5, "model", "Teasel"),
    ],
)
def test_a_slip_in_a_table_is_shown_under_its_cell(old, new, row, column, points_at, folder):
    assert old in ROWS
    [problem] = found_in(folder, rows=ROWS.replace(old, new))
    assert (problem.row, problem.cell) == (row, column)
    there = excerpt(problem, folder)
    assert there.line[there.start : there.start + there.length] == points_at


def test_errors_come_first_then_what_weighs_most(folder):
    text = STUDY.replace(", say: Look how the lines cross.", "").replace(", matters_from: 1", "")
    text = text.replace("Watch the first ten games.", "This proves it.")
    assert [p.code for p in found_in(folder, text)] == ["too-strong", "no-margin", "unsaid"]


def test_the_marker_stands_under_the_text_even_in_long_and_wide_lines(folder):
    old = "Watch the first ten games."
    for before in ("x " * 200, "試合 " * 30, ""):
        text = STUDY.replace(old, f"{before}This proves it.")
        [problem] = [p for p in found_in(folder, text) if p.code == "too-strong"]
        _, line, marker, _ = shown(problem, folder).split("\n")
        at = marker.index("~")
        columns = "".join(c + ("\0" if c in "試合" else "") for c in line)
        assert columns[at : at + 6] == "proves"
        assert marker[at:] == "~~~~~~"
        assert len(line) <= 80


def test_careful_words_raise_no_alarm(folder):
    careful = (
        "It does not prove a thing. Nobody can say it always does. Does it clearly fall? "
        "The report says that it always falls. OK, look at the TV."
    )
    text = STUDY.replace("Look how the lines cross.", f'"{careful}"')
    assert [str(p) for p in found_in(folder, text)] == []


#: Judged by rules of thumb; the others only repeat a fact of the study.
BY_EAR = {"too-strong", "jargon", "hard-to-read", "typed-number", "to-confirm", "refused-link"}


@pytest.mark.parametrize(
    "study", sorted(p.parent.name for p in home().glob("studies/*/study.yaml"))
)
def test_no_false_alarm_on_the_examples(study):
    found = proofread(home() / "studies" / study, open_workspace(home()))
    assert [str(p) for p in found if p.severity == "error" or p.code in BY_EAR] == []


def test_a_draft_leaves_open_only_what_it_marks(tmp_path):
    messy = sorted((Path(__file__).parents[1] / "draft" / "messy").glob("*.csv"))
    glossary = load_glossary((shipped("glossary"),))

    def find(word: str) -> tuple[str, str] | None:
        entry = glossary.find(word)
        return (entry.term, entry.unit or "") if entry else None

    folder = new_folder("first-look", tmp_path)
    write_folder(folder, draft_from("first-look", messy, find).files)
    lines = (folder / "study.yaml").read_text("utf-8").splitlines()
    found = proofread(folder, open_workspace(tmp_path))
    assert {p.code for p in found} >= {"to-confirm", "no-margin", "unsaid"}
    for problem in found:
        assert problem.severity == "warning"
        if problem.code == "strongest-untold":  # what the data back most, no sheet shows
            continue
        here = lines[problem.line - 1 :]
        if problem.code == "unsaid":  # no guess: what the author may add stands under the figure
            assert next(n for n, line in enumerate(here) if "# say: …" in line) <= 8
            continue
        assert "# CONFIRM: " in here[0], str(problem)


def test_a_term_of_ones_own_is_explained_where_it_is_named(folder):
    """``means`` beside the term: no warning, and the page lists it without a way to a page that
    does not know it."""
    own = "term: wiggle, means: How far a ball wanders from its line."
    assert found_in(folder, STUDY.replace("term: total hook", own)) == ()
    built = quick(folder, open_workspace(folder.parent.parent))
    page = lxml.html.fromstring(built.files["index.html"])
    [said] = page.xpath("//dt[@id='term-wiggle']/following-sibling::dd[1]")
    meaning = said.text_content().removesuffix(" ↩").strip()
    assert meaning == "How far a ball wanders from its line."
    assert page.xpath("//a[@href='#term-wiggle']")
    assert not said.xpath(".//a[not(@class='back')]")


def test_a_term_of_the_glossary_can_be_said_in_ones_own_words(folder):
    own = "term: total hook, means: Boards between the ball and where it aimed."
    found_in(folder, STUDY.replace("term: total hook", own))
    built = quick(folder, open_workspace(folder.parent.parent))
    page = lxml.html.fromstring(built.files["index.html"])
    [said] = page.xpath("//dt[@id='term-total-hook']/following-sibling::dd[1]")
    meaning = said.text_content().removesuffix(" ↩").strip()
    assert meaning == "Boards between the ball and where it aimed."
