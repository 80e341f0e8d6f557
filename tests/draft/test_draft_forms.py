"""Every messy form a spreadsheet gives a table, one by one: the same readings come out tidy.

What is written here is what an exporter writes, to the byte; what comes out is a sound study whose
original is kept as it came.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from explainer.draft.draft import draft_from
from explainer.draft.folder import new_folder, write_folder
from explainer.study.load import load_study, open_workspace

TERMS = {"total hook": "board", "cover roughness": "microinch", "hardness": "Shore D"}
#: What a draft cannot know, and marks or names: nothing else may be left to say.
OPEN = {"no-margin", "unsaid", "no-claims", "no-figures"}

POINTS = "P1,0,80.5\nP1,30,1070.25\nP2,0,82\nP2,30,71\n"
PLAIN = 'Ball,Games,"Ra, µin"\n' + POINTS
SEMICOLONS = "Ball;Games;Ra, µin\nP1;0;80,5\nP1;30;1070,25\nP2;0;82\nP2;30;71\n"
TABS = PLAIN.replace('"Ra, µin"', "Ra (µin)").replace(",", "\t")


@dataclass(frozen=True)
class Form:
    """A file's text as written, what a guess says of it, and the tidy copy."""

    text: str
    guess: str = ""
    header: str = "ball,games,ra"
    rows: str = POINTS
    codec: str = "utf-8"


FORMS = {
    "commas": Form(PLAIN, "commas between cells"),
    "semicolons": Form(SEMICOLONS, "semicolons between cells"),
    "tabs": Form(TABS, "tabs between cells"),
    "upright bars": Form(TABS.replace("\t", "|"), "upright bars between cells"),
    "a note of the mark": Form("sep=;\n" + SEMICOLONS, "semicolons between cells"),
    "decimal comma in quotes": Form(
        PLAIN.replace("80.5", '"80,5"').replace("1070.25", '"1070,25"'), "comma as the decimal mark"
    ),
    "thousands by comma": Form(PLAIN.replace("1070.25", '"1,070.25"')),
    "thousands by point": Form(SEMICOLONS.replace("1070", "1.070"), "comma as the decimal mark"),
    "thousands by apostrophe": Form(SEMICOLONS.replace("1070", "1'070")),
    "thousands by space": Form(SEMICOLONS.replace("1070", "1\u00a0070")),
    "thousands by narrow space": Form(SEMICOLONS.replace("1070", "1\u202f070")),
    "byte order mark": Form(PLAIN, "text in UTF-8: sure", codec="utf-8-sig"),
    "Windows-1252": Form(PLAIN, "text in Windows-1252", codec="cp1252"),
    "UTF-16": Form(TABS, "text in UTF-16: sure", codec="utf-16"),
    "UTF-16 without a mark": Form(TABS, "no mark says so", codec="utf-16-be"),
    "line ends of old": Form(PLAIN.replace("\n", "\r")),
    "line ends of Windows": Form(PLAIN.replace("\n", "\r\n")),
    "a unit in brackets": Form(PLAIN.replace('"Ra, µin"', "Ra [µin]")),
    "a unit after the word": Form(PLAIN.replace('"Ra, µin"', "Ra in microinches")),
    "a header over two lines of one cell": Form(PLAIN.replace("Ra, µin", "Ra\n(µin)")),
    "title and notes above": Form(
        "Bench 3 - cover texture,,\nread by hand; gauge no. 2,,\n,,\n" + PLAIN,
        "2 rows above the header left out",
    ),
    "blank rows": Form(PLAIN.replace("P2,0", ",,\n\nP2,0"), "2 blank rows left out"),
    "repeated header": Form(
        PLAIN.replace("P2,0", 'Ball,Games,"Ra, µin"\nP2,0'), "1 repeated header row left out"
    ),
    "n/a and a dash": Form(
        PLAIN.replace("1070.25", "n/a").replace(",71", ",-"),
        "no reading where a cell holds n/a, -",
        rows="P1,0,80.5\nP1,30,n/a\nP2,0,82\nP2,30,-\n",
    ),
    "a summary row below": Form(PLAIN + "Mean,,76\n", "left out as a summary"),
    "a note below": Form(PLAIN + "* gauge warmed up for an hour,,\n", "left out as a note"),
    "names once per block": Form(
        PLAIN.replace("P1,30", ",30").replace("P2,30", ",30"),
        "empty cells filled from the one above",
    ),
    "units in the cells": Form(
        PLAIN.replace(", µin", "").replace("80.5", "80.5 µin").replace("82", "82 µin")
    ),
    "a column per checkpoint": Form(
        "Ball;0 games;30 games\nP1;80,5;1070,25\nP2;82;71\n",
        "a column per games turned into rows",
        header="ball,games,form",
    ),
    "two header rows": Form(
        "Ball,Ra (µin),\n,0 games,30 games\nP1,80.5,1070.25\nP2,82,71\n", "a header of 2 rows"
    ),
    "units in a second header row": Form("Ball,Games,Ra\n,,µin\n" + POINTS, "a header of 2 rows"),
    "three header rows": Form(
        "Ball,Ra,,Hook,\n,0,30,0,30\n,µin,µin,boards,boards\n"
        "P1,80.5,1070.25,12,11\nP2,82,71,13,12\n",
        "a header of 3 rows",
        header="ball,games,ra,hook",
        rows="P1,0,80.5,12\nP1,30,1070.25,11\nP2,0,82,13\nP2,30,71,12\n",
    ),
    "a column per ball": Form(
        "Games,P1,P2\n0,80.5,82\n30,1070.25,71\n",
        "a column per ball turned into rows: P1, P2",
        header="ball,games,form",
    ),
    "a column per condition": Form(
        "Ball,Ra before (µin),Ra after (µin)\nP1,80.5,70\nP2,82,71\n",
        "a column per condition turned into rows: before, after",
        header="ball,condition,ra",
        rows="P1,before,80.5\nP1,after,70\nP2,before,82\nP2,after,71\n",
    ),
    "fractions": Form(
        "Ball,Hook (boards)\nP1,12 1/2\nP2,11-3/4\nP3,13½\n",
        header="ball,hook",
        rows="P1,12.5\nP2,11.75\nP3,13.5\n",
    ),
    "a second table below": Form(
        PLAIN + "\nHardness\nBall,Games,Hardness (Shore D)\nP1,0,75\nP2,0,76\n",
        "2 tables under each other: rows 2 to 5; Hardness",
    ),
}


@pytest.mark.parametrize("name", FORMS)
def test_the_same_readings_come_out_tidy(name, tmp_path):
    form = FORMS[name]
    data = form.text.encode(form.codec)
    (tmp_path / "form.csv").write_bytes(data)
    draft = draft_from(
        "first-look",
        [tmp_path / "form.csv"],
        lambda word: (word, TERMS[word]) if word in TERMS else None,
    )
    assert draft.files["form.csv"].decode() == f"{form.header}\n{form.rows}"
    assert form.guess in " | ".join(map(str, draft.guesses))
    folder = new_folder("first-look", tmp_path)
    write_folder(folder, draft.files)
    assert (folder / "originals" / "form.csv").read_bytes() == data
    study = load_study(folder, open_workspace(tmp_path))
    assert {problem.code for problem in study.warnings} <= OPEN
    if "ra" in form.header:
        assert study.description.measures["ra"].unit == "microinch"


def test_what_looks_like_a_number_and_is_none_is_for_the_author_to_look_at(tmp_path):
    (tmp_path / "form.csv").write_text("Ball,Ra (µin)\nP1,80 ± 2\nP2,81 ± 2\n", "utf-8")
    guesses = draft_from("x", [tmp_path / "form.csv"], lambda _: None).guesses
    assert any(g.sure == "please check" and "80 ± 2" in g.what for g in guesses)


def test_measures_without_use_or_groups_are_held_against_each_other(tmp_path):
    rows = "".join(f"L{i},{80 - i}%,{12 + i / 2}\n" for i in range(6))
    (tmp_path / "form.csv").write_text("Lane,Oil left (%),Hook (boards)\n" + rows, "utf-8")
    draft = draft_from("x", [tmp_path / "form.csv"], lambda _: None)
    said = draft.files["study.yaml"].decode()
    assert "kind: scatter" in said
    assert "kind: association" in said


def drafted(tmp_path, path):
    draft = draft_from("first-look", [path], lambda word: None)
    folder = new_folder("first-look", tmp_path)
    write_folder(folder, draft.files)
    return draft, load_study(folder, open_workspace(tmp_path))


#: Microinches gone by each checkpoint: no row is the mean of those around it.
LOST = {0: 0, 30: 17, 60: 19.3}
NEW = {"Plover": 84, "Teasel": 65, "Wren": 71}
NESTED = {
    "every cell": "model,sample,games,texture (microinch)\n" + "".join(
        f"{model},{sample},{games},{NEW[model] + 1.7 * sample - LOST[games]:.1f}\n"
        for model in ("Plover", "Teasel", "Wren") for sample in (1, 2, 3) for games in (0, 30, 60)
    ),
    "merged cells": "model,sample,games,texture (microinch)\n" + "".join(
        f"{model if sample == 1 and games == 0 else ''},{sample if games == 0 else ''},{games},"
        f"{NEW[model] + 1.7 * sample - LOST[games]:.1f}\n"
        for model in ("Plover", "Teasel", "Wren") for sample in (1, 2, 3) for games in (0, 30, 60)
    ),
    "letters": "model,sample,games,texture (microinch)\n" + "".join(
        f"{model},{sample},{games},{NEW[model] - LOST[games]}\n"
        for model in ("Plover", "Teasel", "Wren") for sample in "ABC" for games in (0, 30, 60)
    ),
}  # fmt: skip


@pytest.mark.parametrize("form", NESTED)
def test_samples_numbered_anew_in_each_model_are_seen(tmp_path, form):
    path = tmp_path / "covers.csv"
    path.write_text(NESTED[form])
    draft, study = drafted(tmp_path, path)
    assert study.description.tested.each == ("model", "sample")
    assert study.description.tested.count == 9
    table = study.tables["covers"]
    assert len(table.items) == 9 and table.group == "model"
    assert any("names each sample" in guess.what for guess in draft.guesses)


def test_samples_with_names_of_their_own_are_no_nest(tmp_path):
    path = tmp_path / "covers.csv"
    path.write_text("model,sample,games,texture (microinch)\n" + "".join(
        f"{model},{model[0]}-{sample:02d},{games},{80 - games // 5}\n"
        for model in ("Plover", "Teasel") for sample in (1, 2, 3) for games in (0, 60)
    ))  # fmt: skip
    _, study = drafted(tmp_path, path)
    assert study.description.tested.each == "sample"
    assert len(study.tables["covers"].items) == 6


def test_one_ball_under_two_patterns_is_one_ball(tmp_path):
    path = tmp_path / "hooks.csv"
    path.write_text("ball,pattern,shot,hook (boards)\n" + "".join(
        f"{ball},{pattern},{shot},{12 + shot}\n"
        for ball in ("P1", "P2") for pattern in ("A", "B") for shot in (1, 2, 3)
    ))  # fmt: skip
    _, study = drafted(tmp_path, path)
    assert study.description.tested.each == "ball"
