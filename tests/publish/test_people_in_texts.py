"""Somebody hidden in the author's prose: a last name alone, an initial beside it, an address.

Everybody here is made up.
"""

from __future__ import annotations

import json
import time

import pytest

from explainer.errors import StudyError
from explainer.proof.read import proofread
from explainer.study.called import is_a_word
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
    "So Mr Brightw\u00e1ter kept calm.": "Brightw\u00e1ter",
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
    "a single word": ("Brightwater", "Brightwater is a town."),
    "an everyday word in an address": ("Abelard Park", "See https://league.example/park-lane."),
    "a sentence between initials": ("Bert Park", "From point a. Park here. Go to b. parking."),
    "part of a hyphenated name": ("Abelard Vale-Jones", "Jones was there, and Vale was not."),
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
    ],
)  # fmt: skip
def test_a_last_name_of_many_shapes(name, text, found):
    [hit] = InTexts({name: "AX"}, is_a_word).find(text)
    assert hit[0] == found


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
     ("glossary/mine.yaml",
      "- {term: zorple, plainly: what Brightwater does, explained: It is.}\n", 1),
     ("templates/index.html.j2", "<!doctype html>\n<title>A. Brightwater</title>", 2)],
)  # fmt: skip
def test_a_text_of_the_workspace_that_names_somebody_is_refused(tmp_path, file, text, line):
    space, folder = laid_out(tmp_path, STUDY)
    path = space.root / file
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    with pytest.raises(StudyError) as fault:
        load_study(folder, open_workspace(space.root))
    [problem] = [p for p in fault.value.problems if p.severity == "error"]
    assert (problem.file, problem.line, problem.code) == (file, line, "names-somebody")
    assert "Brightwater" in problem.found and "`AB`" in problem.expected


def test_a_last_name_once_in_small_letters_is_no_word(tmp_path):
    text = "The hand of brightwater was sore. Mr Brightwater bowled on."
    assert refused(tmp_path, text)


def test_a_team_that_bears_a_name_in_the_data_is_a_word_of_the_study_and_asked_about(tmp_path):
    data = sheet().replace(",high,", ",Brightwater,")
    study = STUDY.replace("b: high", "b: Brightwater")
    assert refused(tmp_path, "Brightwater is a team.", study, data) == []
    space, folder = laid_out(tmp_path / "two", study, data=data)
    [asked] = [p for p in load_study(folder, space).warnings if p.code == "may-name-somebody"]
    assert "the label `Brightwater`" in asked.found and "as you wrote it" in asked.happens


def test_where_names_are_shown_nothing_is_refused(tmp_path):
    study = STUDY.replace("count: 12,", "count: 12, names: shown,")
    assert refused(tmp_path, "Brightwater kept calm, and so did A. Brightwater.", study) == []


@pytest.mark.parametrize(
    ("name", "firsts", "last"),
    [
        ("Jane Doe", ("jane",), ("doe",)), ("Doe, Jane (L)", ("jane",), ("doe",)),
        ("Anne-Marie van Doe", ("anne", "marie"), ("doe",)),
        ("Jane Smith-Doe III", ("jane",), ("smith", "doe")), ("Coach Doe", (), ()),
        ("\u674e \u56db", (), ()), ("Jane", (), ()), ("Ann Li", (), ()), ("", (), ()),
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
