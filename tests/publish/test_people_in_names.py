"""Names of people where a name of something else bears them: refused while people are hidden.

Everybody here is made up.
"""

from __future__ import annotations

import contextlib
import json
import time

import pytest

from explainer.errors import StudyError
from explainer.proof.read import proofread
from explainer.publish.site import publish
from explainer.study.load import load_study, open_workspace
from explainer.study.naming import Hidden
from explainer.study.people import Masked, named_as_shown

from .test_people import STUDY, everything, sheet

#: What to write in place of what, and where the line says it stands.
GIVEN_AWAY = {
    "file": (("file: scores.csv", "file: brightwater-scores.csv"), "file `brightwater-scores.csv`"),
    "table": (("  scores: {", "  Cordelia Dunmore: {"), "table `Cordelia Dunmore`"),
    "claim": (("id: up", "id: cordelia-rose"), "claim `cordelia-rose`"),
    "claim in one word": (("id: up", "id: dunmorecordelia"), "claim `dunmorecordelia`"),
    "claim by initial": (("id: up", "id: cdunmore-rose"), "claim `cdunmore-rose`"),
    "figure": (("id: there", "id: who-beat-rushbrook"), "figure `who-beat-rushbrook`"),
    "question": (
        ("claims:\n", "questions:\n  - {id: ask-sybil, ask: And then?}\nclaims:\n"),
        "question `ask-sybil`",
    ),
    "topic": (("question: Do", "topic: zoltan-quickfoot\nquestion: Do"), "`zoltan-quickfoot`"),
    "measure": (("score", "dunmores"), "measure `dunmores`"),
}


def laid_out(root, study=STUDY, name="season", file="scores.csv", data=None):
    folder = root / "studies" / name
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(study, "utf-8")
    (folder / file).write_text(data or sheet(), "utf-8")
    return open_workspace(root), folder


@pytest.mark.parametrize("what", GIVEN_AWAY)
def test_what_gives_somebody_away_is_refused_with_its_place(what, tmp_path):
    (old, new), named = GIVEN_AWAY[what]
    times = -1 if what == "measure" else 1
    data = sheet().replace("score", "dunmores") if what == "measure" else sheet()
    file = "brightwater-scores.csv" if what == "file" else "scores.csv"
    text = STUDY.replace(old, new, times).replace("file: dunmoress.csv", "file: scores.csv")
    space, folder = laid_out(tmp_path, text, file=file, data=data)
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    told = [p for p in fault.value.problems if p.code == "names-somebody"]
    [problem] = [p for p in told if named in str(p)]
    assert named.split("`")[1] in text.splitlines()[problem.line - 1]
    assert "names: shown" in str(problem)
    outcome = publish(space, {"season": folder}, tmp_path / "site")
    assert set(outcome.failed) == {"season"}


def test_a_study_folder_that_is_called_like_somebody_is_refused(tmp_path):
    space, folder = laid_out(tmp_path, name="Cordelia's season")
    with pytest.raises(StudyError, match="folder `Cordelia's season`"):
        load_study(folder, space)


def test_a_column_of_another_table_that_bears_a_name_is_refused(tmp_path):
    more = STUDY.replace(
        "figures:\n", "  balls: {file: balls.csv, tested: {each: ball}}\nfigures:\n", 1
    ).replace("measures:\n", "measures:\n  hook: {term: hook, unit: board}\n", 1)
    space, folder = laid_out(tmp_path, more)
    (folder / "balls.csv").write_text(
        "ball,week,hook,rated by Cordelia Dunmore\nA,1,2.5,4\nB,1,3.5,5\n", "utf-8"
    )
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    [problem] = [p for p in fault.value.problems if p.code == "names-somebody"]
    assert (problem.file, problem.row) == ("balls.csv", 1)
    assert "rated by Cordelia Dunmore" in str(problem)


def test_where_names_are_shown_they_may_stand_anywhere(tmp_path):
    text = STUDY.replace("count: 12,", "count: 12, names: shown,").replace("id: up", "id: dunmore")
    space, folder = laid_out(tmp_path, text)
    assert load_study(folder, space).description.claims[0].id == "dunmore"


def test_a_word_that_is_a_name_too_is_told_once_and_stays(tmp_path):
    text = STUDY.replace("id: up", "id: rose-up").replace("id: every", "id: rose-each")
    space, folder = laid_out(tmp_path, text, data=sheet().replace("Sybil", "Rose"))
    told = [p for p in proofread(folder, space) if "names-somebody" in p.code or "may" in p.code]
    assert [(p.severity, p.code) for p in told] == [("warning", "may-name-somebody")]
    assert "`rose-up`" in told[0].found


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Jane Doe", "jane-doe"), ("Jane Doe", "doe_jane.csv"), ("Jane Doe", "JaneDoe"),
        ("Doe, Jane", "janedoe"), ("Élodie Ørsted", "elodie"), ("Elodie Orsted", "Élodie.csv"),
        ("Jane Doe (L)", "jane"), ("Jane", "jane-2"), ("Anne-Marie van Doe", "marie"),
        ("Bo", "bo.csv"), ("Al Hartsease", "al-hartsease"), ("Cordelia Dunmore", "cordelias"),
        ("Cordelia Dunmore", "cordeliascores"), ("Will Strike", "will-strike"),
        ("山田 太郎", "太郎.csv"), ("Jane Doe", "jdoe-12"),
    ],
)  # fmt: skip
def test_what_gives_somebody_away(name, text):
    given = Hidden.of([name]).given_away(text)
    assert given is not None
    assert given[1]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Jane Doe", "does-it-fall"), ("Al Ball", "total-hook"), ("Jan van Doe", "van"),
        ("Sam Core", "score-falls"), ("Will Ball", "texture-falls"), ("Sue Tone", "stone-dry"),
        ("Ann Li", "an-oily-lane"), ("Ed De", "used"),
    ],
)  # fmt: skip
def test_what_only_looks_like_a_name(name, text):
    given = Hidden.of([name]).given_away(text)
    assert given is None or not given[1]


def test_a_full_name_is_hidden_however_a_text_spells_it(tmp_path):
    text = STUDY.replace("claims:\n", "editions: [script]\nclaims:\n", 1).replace(
        "Scores rose, most of all for Cordelia Dunmore.",
        '"CORDELIA DUNMORE rose, Pemberley, Oswald and edwina  fairlop, and Gwendolen-Hartsease."',
    ).replace("source: score sheets", "source: sheets of Ursula Vantongeren")
    data = sheet().replace(",high,", ",team Kasimir Lumley,").replace(",low,", ",team B,")
    text = text.replace("a: low, b: high", "a: team B, b: team Kasimir Lumley")
    space, folder = laid_out(tmp_path, text, data=data)
    assert not publish(space, {"season": folder}, tmp_path / "site").failed
    files = everything(tmp_path / "site")
    for path, said in files.items():
        for name in ("Dunmore", "Pemberley", "Fairlop", "Vantongeren", "Lumley"):
            assert name.casefold() not in said.casefold(), (path, name)
    assert "team KL" in files["season/data/scores.csv"]
    assert json.loads(files["season/results.json"])["claims"][1]["id"] == "low"


#: Somebody's name as it may be written in a text, so that it is shown all the same.
BROKEN = (
    "Cordelia **Dun**more", "Cordelia&nbsp;Dunmore", "Cordelia Dun&shy;more",
    "Cordelia Dun&#8203;more",
    "[Cordelia](https://example.org/a) Dunmore", "[Cordelia][x] Dunmore", "Cordelia      Dunmore",
    "Cord*elia* Dunmore", "Cordelia `Dunm`ore", "Cor\\delia Dunmore", "*C*ordelia Dunmore",
    "Cordelia <b class='x'>Dunmore</b>", "&#67;ordelia Dunmore", "C<!-- -->ordelia Dunmore",
    "Cordelia&ZeroWidthSpace;Dunmore", "__Cor__delia Dun__more__", "Dunmore, Cord_elia_",
    "[Cordelia Dun](https://example.org 'a b')more",
)  # fmt: skip


@pytest.mark.parametrize("text", BROKEN)
def test_a_name_broken_by_marks_is_found_as_it_will_be_shown(text, tmp_path):
    quoted = json.dumps(f"Most of all {text}, who rose.")
    study = STUDY.replace("question: Do", f"intro: {quoted}\nquestion: Do")
    space, folder = laid_out(tmp_path, study)
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    [problem] = fault.value.problems
    assert problem.code == "names-somebody"
    assert study.splitlines()[problem.line - 1].startswith("intro:")
    assert "with marks, a link or something unseen in it, expected the name as" in str(problem)


@pytest.mark.parametrize(
    "text",
    ["**Cordelia Dunmore** rose", "Cordelia *Dunmore* rose", "[Cordelia Dunmore](https://a.example)",
     "**Most** of `all` _bowlers_ rose &amp; fell", "Cordelia&nbsp;won; **Hook** is a word",
     "see [[score]] and [a](https://example.org/cordelia)", "a * b * c_d < e", "<b>"],
)  # fmt: skip
def test_marks_around_a_name_or_without_one_are_no_fault(text, tmp_path):
    study = STUDY.replace("question: Do", f"intro: {json.dumps(text)}\nquestion: Do")
    space, folder = laid_out(tmp_path, study)
    assert "Cordelia Dunmore" not in (load_study(folder, space).description.intro or "")


def test_marks_by_the_hundred_thousand_are_read_in_no_time(tmp_path):
    for piece in ("](", "][", "<", "&", "**", "_", "](a", "[", "\\", "&#", " " * 4):
        study = STUDY.replace("Scores rose, most of", f"{json.dumps(piece * 60_000)}\n    # ")
        space, folder = laid_out(tmp_path / str(len(list(tmp_path.iterdir()))), study)
        began = time.process_time()
        with contextlib.suppress(StudyError):
            load_study(folder, space)
        assert time.process_time() - began < 3, piece


def test_thousands_of_hidden_names_are_looked_for_in_a_long_text_in_no_time():
    letters = "abcdefghijklmnopqr"
    names = [f"Ab{a}{b}{c} Brightwater" for a in letters for b in letters for c in letters]
    find = named_as_shown(Masked({}, {}, dict.fromkeys(names, "AB")))
    began = time.process_time()
    for text in ("some words *here* ", "Brightwater ", "Brightwater, Abcde "):
        assert find("*" + text * (500_000 // len(text))) == ""
    assert find("so *it* was Abacc **Bright**water") == "Abacc Brightwater"
    hidden = Hidden.of(names)
    assert hidden.given_away("wood and stones, " * 20_000) is None
    assert hidden.given_away("x" * 300_000 + "brightwater") is not None
    assert time.process_time() - began < 10
