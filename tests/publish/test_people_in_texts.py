"""Somebody hidden in the author's prose: a last name alone, an initial beside it, an address.

Everybody here is made up.
"""

from __future__ import annotations

import json
import time

import pytest

from explainer.errors import StudyError
from explainer.proof.read import proofread
from explainer.study.called import is_a_word, is_ordinary
from explainer.study.intexts import InTexts, first_and_last
from explainer.study.load import load_study, open_workspace

from .test_people import STUDY, sheet
from .test_people_in_names import laid_out

#: A text, and what is refused in it.
REFUSED = {
    "Brightwater kept calm.": "Brightwater",
    "Nobody beat BRIGHTWATER that night.": "BRIGHTWATER",
    "It was Brightwater's night.": "Brightwater",
    "The Brightwaters were there.": "Brightwater",
    "So A. Brightwater kept calm.": "A. Brightwater",
    "So A Brightwater kept calm.": "Brightwater",
    "So Abelard J. Brightwater kept calm.": "Abelard J. Brightwater",
    "So Abelard Jeremy Brightwater kept calm.": "Abelard Jeremy Brightwater",
    "Brightwater, A., kept calm.": "Brightwater, A",
    "So Bright**water** kept calm.": "Brightwater",
    "So Mr Brightw\u00e1ter kept calm.": "Mr Brightw\u00e1ter",
    "The hand of brightwater1 was sore.": "brightwater",
    "Thanks to #brightwater for it.": "brightwater",
    "Bright-water kept calm.": "Bright-water",
    "B r i g h t w a t e r kept calm.": "B r i g h t w a t e r",
    "Brightw\u0430t\u0435r kept calm.": "Brightw\u0430t\u0435r",
    "See [it](https://league.example/Abelard%20Brightwater).": "Abelard Brightwater",
    "See [it](https://league.example/abelard+brightwater).": "abelard+brightwater",
    "See https://league.example/abelard_brightwater now.": "abelard_brightwater",
    "See [it](https://league.example/?q=brightwater&x=1).": "brightwater",
    "Write to abrightwater@league.example.": "abrightwater",
    "He is abelardbrightwater there, they say.": "abelardbrightwater",
}


def refused(tmp_path, text: str, study: str = STUDY, data: str | None = None):
    """The problems of a study whose introduction is ``text``."""
    intro = f"intro: {json.dumps(text, ensure_ascii=False)}\n"
    study = study.replace("question: Do", f"{intro}question: Do")
    space, folder = laid_out(tmp_path, study, data=data)
    try:
        load_study(folder, space)
    except StudyError as fault:
        found = [p for p in fault.problems if p.severity == "error"]
    else:
        return []
    told = [(p.code, study.splitlines()[p.line - 1]) for p in found]
    assert set(told) == {("names-somebody", intro.strip())}
    return found


@pytest.mark.parametrize("text", REFUSED)
def test_a_last_name_in_any_dress_is_refused_with_what_to_write_instead(text, tmp_path):
    [problem] = refused(tmp_path, text)
    assert f"`{REFUSED[text]}`" in problem.found
    assert "`AB`" in problem.expected
    assert "not_names: [Brightwater]" in problem.hint
    assert "\n" not in str(problem)


def test_the_line_of_a_text_that_runs_over_several_is_told(tmp_path):
    study = STUDY.replace("question: Do", "intro: |\n  One.\n\n  Two by Dunmore.\nquestion: Do")
    space, folder = laid_out(tmp_path, study)
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    [problem] = [p for p in fault.value.problems if p.severity == "error"]
    assert study.splitlines()[problem.line - 1][problem.column - 1 :] == "Dunmore."


#: Where the file beside a table of lifted numbers says a word, and how one place is told.
LIFTED = {
    'what: "Figure 4, Brightwater"': "what",
    'notes: ["by hand of A. Brightwater"]': "notes.0",
    'series: [{"name": "brightwaters best", "points": [[1, 2]]}]': "series.0.name",
    'axes: {"y": {"title": "pins of Brightwater", "low": 0, "high": 9}}': "axes.y.title",
}


@pytest.mark.parametrize("said", LIFTED)
def test_a_last_name_beside_lifted_numbers_is_refused_as_well(said, tmp_path):
    space, folder = laid_out(tmp_path)
    (folder / "scores.lifted.yaml").write_text(
        f'file: scores.csv\nreport: {{file: r.pdf, sha256: "{"0" * 64}"}}\npage: 1\n'
        f"method: drawing\nread: 2026-01-01\n{said}\n", "utf-8",
    )  # fmt: skip
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    [problem] = [p for p in fault.value.problems if p.severity == "error"]
    assert problem.code == "names-somebody" and problem.file == "scores.lifted.yaml"
    assert problem.found.endswith(f"in {LIFTED[said]}")


def test_what_lifted_numbers_may_stand_beside_is_bounded_in_all(tmp_path, monkeypatch):
    monkeypatch.setattr("explainer.study.lifted.MAX_ORIGIN_BYTES", 400)
    more = "  again: {file: again.csv, source: score sheets}\nfigures:"
    space, folder = laid_out(tmp_path, STUDY.replace("figures:", more, 1))
    (folder / "again.csv").write_text(sheet(), "utf-8")
    for name in ("scores", "again"):
        (folder / f"{name}.lifted.yaml").write_text(
            f'file: {name}.csv\nreport: {{file: r.pdf, sha256: "{"0" * 64}"}}\npage: 1\n'
            f"method: drawing\nread: 2026-01-01\nnotes: [{'x' * 100}]\n", "utf-8",
        )  # fmt: skip
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    [problem] = [p for p in fault.value.problems if p.file.endswith("lifted.yaml")]
    assert problem.file == "again.lifted.yaml" and "together: 400 bytes" in problem.hint


#: Ten studies that would lead the rule astray: what somebody is called, and a text that is not
#: about them, or need not be.
ASTRAY = {
    "an everyday word": ("Abelard Rose", "Rose and all: the scores Rose."),
    "a word of the trade": ("Abelard Hook", "Total Hook is what counts. A Hook is a Hook."),
    "a month": ("Abelard May", "Since May nobody bowled."),
    "a scale that is called so": ("Abelard Shore", "It is Shore D."),
    "a word the author has in small letters": ("Abelard Baker", "Baker or not, a baker bowls."),
    "two letters": ("Abelard Li", "Li is short."),
    "a longer word": ("Abelard Brook", "Brooklyn bowls."),
    "a first name, which many share": ("Abelard Rose", "Abelard was a name of old."),
    "a word in small letters": ("Abelard Shepherd", "Like a lamb to the shepherd."),
    "a word behind a title of somebody": ("Abelard Rose", "The coach rose, and 3 ms long it was."),
    "an everyday word in an address": ("Abelard Park", "See https://league.example/park-lane."),
    "a sentence between initials": ("Bert Park", "From point a. Park here. Go to b. parking."),
    "a hyphen in a longer word": ("Abelard Fairlop", "A fair-loping step."),
    "a word cut short": ("Abelard Cant", "They can't, and we'll see."),
    "letters of a list": ("Abelard Cdef", "Balls A, B, C, D, E and F."),
    "two first names with a hyphen": ("Anne-Marie Vale", "Anne-Marie is a name of old."),
}


@pytest.mark.parametrize("why", ASTRAY)
def test_what_is_also_something_else_is_not_refused(why, tmp_path):
    name, text = ASTRAY[why]
    data = sheet().replace("Abelard Brightwater", name)
    study = STUDY.replace("Abelard Brightwater kept", "They kept")
    assert refused(tmp_path, text, study, data) == []


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        ("Abelard Rose", "It was A. Rose who did.", "A. Rose"),
        ("Grace Park", "It was Grace J. Park who did.", "Grace J. Park"),
        ("Abelard Hook", "See https://league.example/Abelard%20Hook.", "Abelard Hook"),
        ("Abelard Vale-Jones", "It was Vale-Jones.", "Vale-Jones"),
        ("Abelard O'Vale", "It was O’Vale.", "O’Vale"),
        ("Vale, Abelard (L)", "It was Vale.", "Vale"),
        ("Abelard Vale Jr.", "It was Vale.", "Vale"),
        ("Abelard van der Vale", "It was van der Vale.", "Vale"),
        ("Abelard Hook", "It was Mr. hook.", "Mr. hook"),
        ("Abelard Hook", "It was Coach Hook.", "Coach Hook"),
        ("Abelard Vale-Jones", "It was Abelard Jones.", "Abelard Jones"),
        ("Abelard Vale-Jones", "It was Vale.", "Vale"),
        ("Abelard Vale-Jones", "It was Vale Jones.", "Vale Jones"),
        ("Abelard O'Vale", "It was OVale.", "OVale"),
        ("Abelard O'Vale", "It was Vale.", "Vale"),
        ("Abelard O'Vale", "It was o vale.", "o vale"),
        ("Ana Mar\u00eda L\u00f3pez Vega", "It was Lopez.", "Lopez"),
        ("Ana L\u00f3pez Vega", "It was Ana Lopez.", "Ana Lopez"),
        ("Zo\u00eb H\u00e4mmerle", "It was haemmerle.", "haemmerle"),
        ("Zo\u00eb Haemmerle", "It was H\u00e4mmerle.", "H\u00e4mmerle"),
        ("Abelard Gro\u00df", "It was Gross.", "Gross"),
        ("Abelard \u00d8dum", "It was Oedum.", "Oedum"),
        ("Bert \u00c5berg", "It was Aaberg.", "Aaberg"),
        ("Abelard Oxlip", "It was \u039fxl\u0456p.", "\u039fxl\u0456p"),
        ("Abelard Oxlip", "It was Ox\u2019lip.", "Ox\u2019lip"),
        ("Abelard Oxlip", "It was o.x.l.i.p.", "o.x.l.i.p"),
        ("Abelard Oxlip", "It was O\u0336x\u0336l\u0336i\u0336p.", "O\u0336x\u0336l\u0336i\u0336p"),
        ("Abelard Oxlip", "It was \uff2fxli\uff50.", "\uff2fxli\uff50"),
        ("Abelard Oxlip", "It was Ox\u200blip.", "Ox\u200blip"),
        ("Quastel", "It was Quastel.", "Quastel"),
        ("\u674e\u5c0f\u9f99", "\u674e\u5c0f\u9f99\u75c5\u4e86", "\u674e\u5c0f\u9f99"),
        ("\u5c71\u7530 \u592a\u90ce", "\u5c71\u7530\u3055\u3093", "\u5c71\u7530"),
    ],
)  # fmt: skip
def test_a_last_name_of_many_shapes(name, text, found):
    [hit] = InTexts({name: "AX"}, is_a_word, (), is_ordinary).find(text)
    assert hit[0] == found


@pytest.mark.parametrize("name", ["Brightwater", "\u674e\u5c0f\u9f99"])
def test_a_name_of_one_word_is_refused_as_a_last_name_is_unless_it_is_said_to_be_none(
    name, tmp_path
):
    data = sheet().replace("Abelard Brightwater", name)
    study = STUDY.replace("Abelard Brightwater kept", "They kept")
    [problem] = refused(tmp_path / "one", f"It was {name} who did.", study, data)
    assert f"not_names: [{name}]" in problem.hint
    elsewhere = study.replace("count: 12,", f"count: 12, not_names: [{name}],")
    assert refused(tmp_path / "two", f"It was {name} who did.", elsewhere, data) == []


def test_a_term_in_small_letters_with_a_name_in_it_is_refused(tmp_path):
    study = STUDY.replace("{term: score,", "{term: brightwater score,")
    space, folder = laid_out(tmp_path, study)
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    [problem] = [p for p in fault.value.problems if p.severity == "error"]
    assert (problem.code, problem.line) == ("names-somebody", 8)
    assert "`brightwater`" in problem.found


def test_what_the_author_says_means_something_else_stays_and_only_that(tmp_path):
    study = STUDY.replace("count: 12,", "count: 12, not_names: [Brightwater],")
    text = "In Brightwater, a town, they bowl."
    assert refused(tmp_path / "one", text, study) == []
    [problem] = refused(tmp_path / "two", f"{text} So does A. Brightwater.", study)
    assert "`A. Brightwater`" in problem.found
    space, folder = laid_out(tmp_path / "three", study.replace("One of them", "In Brightwater one"))
    assert not [p for p in proofread(folder, space) if "`Brightwater`" in p.found]


@pytest.mark.parametrize(
    ("file", "text", "line"),
    [("studies/settings.yaml", "title: Ours\nopening: {hook: Hear of Abelard Brightwater.}\n", 2),
     ("studies/settings.yaml", "# ask Abelard Brightwater\ntitle: The Brightwater house\n", 2),
     ("studies/settings.yaml", 'title: "The house of Br\\xEFghtwater"\n', 1),
     ("studies/settings.yaml", "base_address: https://abelard-brightwater.example/x\n", 1),
     ("glossary/mine.yaml",
      "- {term: zorple, plainly: what Brightwater does, explained: It is.}\n", 1),
     ("templates/index.html.j2", "<!doctype html>\n<title>A. Brightwater</title>", 2),
     ("templates/brightwater.html.j2", "\nx\n", 1), ("templates/of-Brightwater.css", "", 1)],
)  # fmt: skip
def test_a_text_of_the_workspace_that_names_somebody_is_refused(tmp_path, file, text, line):
    space, folder = laid_out(tmp_path, STUDY)
    path = space.root / file
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    with pytest.raises(StudyError) as fault:
        load_study(folder, open_workspace(space.root))
    [problem] = [p for p in fault.value.problems if p.severity == "error"]
    assert (problem.file, problem.line, problem.code) == (file, line, "names-somebody-to-all")
    assert "Brightwater" in problem.found and "`AB`" in problem.expected


def test_a_last_name_once_in_small_letters_is_no_word(tmp_path):
    text = "The hand of brightwater was sore. Mr Brightwater bowled on."
    assert refused(tmp_path, text)


def test_a_group_that_bears_a_name_is_refused_unless_it_is_said_to_be_none(tmp_path):
    data = sheet().replace(",high,", ",Team Brightwater,")
    study = STUDY.replace("b: high", "b: Team Brightwater")
    space, folder = laid_out(tmp_path / "one", study, data=data)
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    told = [p for p in fault.value.problems if p.file == "scores.csv" and p.severity == "error"]
    assert [(p.code, p.row, p.cell) for p in told] == [("names-somebody", 1, "level")]
    assert "the label `Team Brightwater`" in told[0].found
    study = study.replace("count: 12,", "count: 12, not_names: [Brightwater],")
    space, folder = laid_out(tmp_path / "two", study, data=data)
    assert load_study(folder, space)


def test_a_group_that_bears_a_first_name_is_asked_about(tmp_path):
    data = sheet().replace(",high,", ",Team Abelard,")
    space, folder = laid_out(tmp_path, STUDY.replace("b: high", "b: Team Abelard"), data=data)
    [asked] = [p for p in load_study(folder, space).warnings if p.code == "may-name-somebody"]
    assert "the label `Team Abelard`" in asked.found and "as you wrote it" in asked.happens


def test_where_names_are_shown_nothing_is_refused(tmp_path):
    study = STUDY.replace("count: 12,", "count: 12, names: shown,")
    assert refused(tmp_path, "Brightwater kept calm, and so did A. Brightwater.", study) == []


@pytest.mark.parametrize(
    ("name", "firsts", "last"),
    [
        ("Jane Doe", ("jane",), ("doe",)), ("Doe, Jane (L)", ("jane",), ("doe",)),
        ("Anne-Marie van Doe", ("anne", "marie"), ("doe",)),
        ("Jane Smith-Doe III", ("jane",), ("smith", "doe")), ("Coach Doe", (), ("doe",)),
        ("\u674e \u56db", (), ()), ("Jane", (), ("jane",)), ("Ann Li", (), ()), ("", (), ()),
        ("Jane Doe, Jr.", ("jane",), ("doe",)), ("van der Doe, Jane", ("jane",), ("doe",)),
    ],
)  # fmt: skip
def test_which_word_of_a_name_is_the_last_name(name, firsts, last):
    found = first_and_last(name)
    assert found[1] == last
    assert not last or found[0] == firsts


def test_thousands_of_last_names_are_looked_for_in_a_megabyte_in_no_time():
    letters = "abcdefghijklmnopqr"
    names = [f"Ab{a}{b}{c} Bright{c}{b}{a}" for a in letters for b in letters for c in letters]
    find = InTexts(dict.fromkeys(names, "AB")).find
    began = time.process_time()
    pieces = ("Abaaa ", "a. ", "https://", "a@", "www.", "%20", "Bright ", "A", "Smith-", "\u00e9",
              "(", "x.example/", "a+b.", "_", "A. J. ")  # fmt: skip
    for piece in pieces:
        assert list(find(piece * (500_000 // len(piece)))) == [], piece
    assert len(list(find("Brightaaa, A. " * 30_000))) == 30_000
    assert time.process_time() - began < 20


@pytest.mark.parametrize(("name", "firsts", "lasts"), [
    ("Jane van Doering (L)", ("jane",), ("doering",)),
    ("Jane (the captain) Doering", ("jane",), ("doering",)),
    ("Doering, Jane", ("jane",), ("doering",)),
    ("Jane Smith-Doering Jr.", ("jane",), ("smith", "doering")),
    ("Doering", (), ("doering",)), ("Jane Xi", ("jane",), ()),
])  # fmt: skip
def test_a_name_has_first_words_and_a_last_one_however_it_is_written(name, firsts, lasts):
    assert first_and_last(name) == (firsts, lasts)
