"""Sheets whose layout is people: nobody becomes a measure, a table, a file or a source.

Everybody here is made up.
"""

from __future__ import annotations

import csv
import io

import openpyxl
import pytest
from draft.scoring import find_term
from draft.test_workbooks import saved
from ruamel.yaml import YAML

from explainer.draft.draft import DraftedStudy, GivenFile, draft_from
from explainer.draft.folder import new_folder, write_folder
from explainer.study.load import load_study, open_workspace

NAMES = ["Abelard Brightwater", "Bettina Crumhorn", "Cordelia Dunmore", "Dagobert Eventide"]
GAMES = [(w, g, 150 + 3 * w + g) for w in (1, 2, 3) for g in (1, 2)]


def book(**tabs: list[list[object]]) -> bytes:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in tabs.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
    return saved(made)


def drafted(data: bytes, name: str = "league.xlsx") -> DraftedStudy:
    return draft_from("season", [GivenFile(name, data, b"")], find_term)


def per_bowler(names: list[str], heads: tuple[str, ...] = ("week", "game", "score")) -> bytes:
    tabs = {name: [[*heads], *([w, g, v + i] for w, g, v in GAMES)] for i, name in enumerate(names)}
    return book(**tabs)


def named(draft: DraftedStudy, names: list[str] = NAMES) -> list[str]:
    """Where, of all that a page, an address or a download would show, somebody is named."""
    text = draft.files["study.yaml"].decode()
    told = "\n".join(line.split("  # ")[0] for line in text.splitlines() if line[:1] != "#")
    files = [f for f in draft.files if not f.startswith("originals/")]
    heads = [draft.files[f].decode().split("\n")[0] for f in files if f.endswith(".csv")]
    parts = [p.casefold() for name in names for p in name.replace(",", " ").split() if len(p) > 1]
    return [p for p in parts for shown in (told, *files, *heads) if p in shown.casefold()]


def rows(draft: DraftedStudy) -> list[dict[str, str]]:
    [table] = draft.plan.tables
    return list(csv.DictReader(io.StringIO(draft.files[table.file].decode())))


def each_of(draft: DraftedStudy) -> str:
    return YAML(typ="safe").load(draft.files["study.yaml"].decode())["tested"]["each"]


def shown(draft: DraftedStudy, tmp_path) -> set[str]:
    """What the items of the drafted study are called in public."""
    folder = new_folder("season", tmp_path)
    write_folder(folder, draft.files)
    return {item for t in load_study(folder, open_workspace(tmp_path)).tables.values()
            for item in t.items}  # fmt: skip


# -- a tab or a file for each of them ---------------------------------------------------------


@pytest.mark.parametrize(
    "names",
    [NAMES, [n.split()[0] for n in NAMES], ["Crumhorn, Bettina", "Oxlip, Norbert"],
     ["Jürgen Müller", "Åsa Ödegård"], ["李 四", "王 五"], ["李四", "王五"],
     [f"Scores {n}" for n in NAMES]],
    ids=["full", "first", "last-first", "umlauts", "cjk", "cjk-joined", "a-word-before"],
)  # fmt: skip
def test_a_tab_for_each_bowler_is_a_column_of_bowlers(names, tmp_path):
    draft = drafted(per_bowler(names))
    assert each_of(draft) == "bowler"
    people = {name.removeprefix("Scores ") for name in names}
    assert {row["bowler"] for row in rows(draft)} == people
    assert len(rows(draft)) == len(names) * len(GAMES)
    assert rows(draft)[6]["score"] == "155"
    assert named(draft, sorted(people)) == []
    assert not shown(draft, tmp_path) & people
    assert b"# CONFIRM:" in next(line for line in draft.files["study.yaml"].splitlines()
                                 if b"file: league.csv" in line)  # fmt: skip


def test_a_tab_with_a_column_more_is_one_of_them_and_one_of_averages_is_not():
    tabs = {name: [["week", "score"], [1, 150 + i], [2, 160 + i]] for i, name in enumerate(NAMES)}
    tabs[NAMES[1]] = [["week", "score", "note"], [1, 140, "ill"], [2, 171, ""]]
    tabs["Summary"] = [["Name", "High game"], *([name, 190 + i] for i, name in enumerate(NAMES))]
    draft = drafted(book(**tabs))
    assert sorted(t.name for t in draft.plan.tables) == ["league", "summary"]
    assert named(draft) == []


def test_bare_weeks_under_a_bowlers_tab_are_not_called_after_the_bowler():
    tabs = {name: [["Game", "Week 1", "Week 2"], *([g, 8 + g + i, 9 + g * i] for g in (1, 2, 3))]
            for i, name in enumerate(NAMES)}  # fmt: skip
    assert named(drafted(book(**tabs))) == []


def test_tables_under_people_in_one_sheet_are_one():
    heads = ["week", "game", "score"]
    stacked = [row for i, name in enumerate(NAMES) for row in
               ([name], heads, *([w, g, v + i] for w, g, v in GAMES), [])]  # fmt: skip
    draft = drafted(book(All=stacked))
    assert each_of(draft) == "bowler"
    assert named(draft) == []


def test_files_named_after_people_are_one_table_named_after_nobody():
    text = b"week,game,score\n" + b"".join(b"%d,%d,%d\n" % row for row in GAMES)
    given = [GivenFile(f"{n.casefold().replace(' ', '-')}.csv", text, b"") for n in NAMES]
    draft = draft_from("season", given, find_term)
    assert each_of(draft) == "bowler"
    assert {row["bowler"] for row in rows(draft)} == {n.casefold() for n in NAMES}
    assert named(draft) == []


def test_who_tested_balls_in_tabs_is_an_operator():
    tabs = {name: [["ball", "texture"], *([f"B{b}", 30 + b + i] for b in range(6))]
            for i, name in enumerate(NAMES)}  # fmt: skip
    draft = drafted(book(**tabs))
    assert each_of(draft) == "ball"
    assert draft.plan.tables[0].parts.operator.name == "operator"
    assert named(draft) == []


@pytest.mark.parametrize(
    ("tabs", "column", "cells"),
    [
        (["Week 1", "Week 2", "Wk 3"], "sheet", {"Week 1", "Week 2", "Wk 3"}),
        (["Week 1", "Week 2", "Week 3"], "week", {"1", "2", "3"}),
        (["2026-01-05", "2026-01-12"], "date", {"2026-01-05", "2026-01-12"}),
        (["Lane 7", "Lane 12"], "lane", {"Lane 7", "Lane 12"}),
        (["Before", "After"], "sheet", {"Before", "After"}),
    ],
)
def test_tabs_of_anything_else_are_a_column_and_asked_about(tabs, column, cells):
    made = {tab: [["ball", "texture"], *([f"B{b}", 30 + b * (i + 2)] for b in range(5))]
            for i, tab in enumerate(tabs)}  # fmt: skip
    draft = drafted(book(**made))
    assert {row[column] for row in rows(draft)} == cells
    assert any("what do the sheets tell apart?" in str(g) for g in draft.questions)


def test_a_copy_of_a_tab_stays_a_table_of_its_own():
    raw = [["ball", "texture"], *([f"B{b}", 30 + b] for b in range(6))]
    assert len(drafted(book(raw=raw, clean=raw[:-1])).plan.tables) == 2


def test_other_heads_stay_other_tables():
    draft = drafted(book(Texture=[["ball", "ra"], ["B1", 30], ["B2", 31]],
                         Hook=[["ball", "hook"], ["B1", 10], ["B2", 11]]))  # fmt: skip
    assert [t.name for t in draft.plan.tables] == ["texture", "hook"]


# -- a column for each of them ----------------------------------------------------------------

@pytest.mark.parametrize(
    ("head", "names"),
    [
        ("Week", NAMES), ("Night", [n.split()[0] for n in NAMES]), ("Game", ["李 四", "王 五"]),
        ("Date", ["Oxlip, Norbert", "Dunmore, C"]), ("Woche", ["Jürgen Müller", "Åsa Ödegård"]),
        ("Week", ["Abelard Brightwater", "Grace Hill", "Norbert Oxlip"]),
        ("Session", ["李四", "王五"]),
    ],
    ids=["full", "first", "cjk", "last-first", "umlauts", "also-words", "cjk-joined"],
)  # fmt: skip
def test_a_column_for_each_bowler_becomes_rows(head, names, tmp_path):
    step = (lambda n: f"2026-01-{n:02d}") if head == "Date" else int
    body = [[step(w), *(150 + 7 * i + w for i in range(len(names)))] for w in range(1, 6)]
    draft = drafted(book(S=[[head, *names], *body]))
    assert each_of(draft) == "bowler"
    assert {row["bowler"] for row in rows(draft)} == set(names)
    assert [row["score"] for row in rows(draft)][:2] == ["151", "158"]
    assert len(rows(draft)) == 5 * len(names)
    assert named(draft, names) == []
    assert not shown(draft, tmp_path) & set(names)


def test_games_under_each_bowler_become_rows_twice():
    heads = [["", *(x for n in NAMES for x in (n, ""))], ["Week", *["Game 1", "Game 2"] * 4]]
    body = [[w, *(150 + 7 * i + w + g for i in range(4) for g in (0, 5))] for w in range(1, 6)]
    draft = drafted(book(S=[*heads, *body]))
    assert each_of(draft) == "bowler"
    assert len(rows(draft)) == 40
    assert named(draft) == []


def test_one_who_has_not_bowled_yet_heads_no_column_and_one_who_was_away_has_no_score():
    body = [[w, 151 + w, "" if w == 2 else 160 + w, ""] for w in range(1, 5)]
    draft = drafted(book(S=[["Week", *NAMES[:3]], *body]))
    assert len(rows(draft)) == 7
    assert named(draft) == []


def test_weather_beside_people_stays_a_column():
    body = [[w, 60 + w, *(150 + 7 * i + w for i in range(4)), 3] for w in range(1, 6)]
    draft = drafted(book(S=[["Week", "Humidity", *NAMES, "Snacks"], *body]))
    assert {"humidity", "snacks", "bowler", "week", "score"} == set(rows(draft)[0])


def test_readers_across_are_operators():
    body = [[f"B{b}", *(30 + b + i for i in range(4))] for b in range(8)]
    draft = drafted(book(Texture=[["Ball", *NAMES], *body]))
    assert each_of(draft) == "ball"
    assert draft.plan.tables[0].parts.operator.name == "operator"
    assert named(draft) == []
    heads = [["Ball", "Read by Vark", "", "Read by Quux", ""],
             ["", "texture", "hardness", "texture", "hardness"]]  # fmt: skip
    draft = drafted(book(S=[*heads, *([f"B{i}", 30 + i, 72, 31 + i, 73] for i in range(8))]))
    assert {row["operator"] for row in rows(draft)} == {"Vark", "Quux"}
    assert named(draft, ["Vark", "Quux"]) == []


@pytest.mark.parametrize(
    "heads",
    [("Hook", "Ball Speed", "Rev Rate"), ("Left Lane", "Right Lane", "Both"),
     ("Fresh", "Burn", "Transition"), ("House Shot", "Sport Shot", "Long Oil"),
     ("Entry Angle", "Exit Angle", "Axis Tilt"), ("Strikes", "Spares", "Opens")],
)  # fmt: skip
def test_words_of_the_trade_are_no_bowlers(heads):
    body = [[w, *(150 + 7 * i + w for i in range(3))] for w in range(1, 6)]
    draft = drafted(book(S=[["Week", *heads], *body]))
    assert "bowler" not in rows(draft)[0]


def test_balls_across_by_their_codes_are_balls():
    body = [[g, *(40 + i + g / 10 for i in range(6))] for g in (0, 30, 60)]
    draft = drafted(book(Hook=[["Games", *(f"B{i}" for i in range(1, 7))], *body]))
    assert each_of(draft) == "ball"
    assert len(rows(draft)) == 18


def test_a_first_and_a_last_name_in_two_columns_are_one_bowler(tmp_path):
    body = [[*reversed(n.split()), w, 150 + i + w] for i, n in enumerate(NAMES) for w in (1, 2)]
    draft = drafted(book(S=[["Last", "First", "Week", "Score"], *body]))
    assert each_of(draft) == "bowler"
    assert shown(draft, tmp_path) == {"AB", "BC", "CD", "DE"}


@pytest.mark.parametrize("head", ["Item", "Spieler", "Team", "Who"])
def test_items_called_like_people_are_taken_as_people_until_it_is_answered(head, tmp_path):
    body = [[n, w, 150 + i + w] for i, n in enumerate(NAMES) for w in (1, 2)]
    draft = drafted(book(S=[[head, "Week", "Score"], *body]))
    assert shown(draft, tmp_path) == {"AB", "BC", "CD", "DE"}


def test_balls_with_names_of_two_words_are_no_people():
    body = [[n, w, 30 + i + w] for i, n in enumerate(NAMES) for w in (0, 60)]
    text = drafted(book(S=[["Ball", "Games", "Texture"], *body])).files["study.yaml"].decode()
    assert "people: yes" not in text


def test_a_column_that_one_name_heads_alone_goes_without_it():
    body = [[f"B{i}", 1 + i % 2, 10 + i, 11 + i] for i in range(6)]
    draft = drafted(book(S=[["Ball", "Lane", "Texture", NAMES[0]], *body]))
    assert rows(draft)[0] == {"ball": "B0", "lane": "1", "texture": "10", "reading": "11"}
    assert named(draft) == []


# -- files and sheets named after somebody ----------------------------------------------------


@pytest.mark.parametrize(
    ("file", "sheet", "table"),
    [("Oxlip scores.xlsx", "S", "scores"), ("league.xlsx", "Brightwater night", "league"),
     ("Norbert Oxlip.xlsx", "Norbert Oxlip", "readings")],
)  # fmt: skip
def test_a_source_and_a_table_name_nobody(file, sheet, table):
    names = [*NAMES, "Norbert Oxlip"]
    body = [[n, w, 150 + i + w] for i, n in enumerate(names) for w in (1, 2)]
    draft = drafted(book(**{sheet: [["Name", "Week", "Score"], *body]}), file)
    assert named(draft, names) == []
    assert [t.name for t in draft.plan.tables] == [table]


# -- names as they are dressed up in heads, files and tabs -------------------------------------


@pytest.mark.parametrize(
    "heads",
    [[n.casefold() for n in NAMES], ["=" + n for n in NAMES], ["@" + n for n in NAMES],
     [f"**{n}**" for n in NAMES], [f"{n} #{i}" for i, n in enumerate(NAMES)],
     [f"{n} ({i})" for i, n in enumerate(NAMES, 4)],
     [f"{n.replace(' ', '.').casefold()}@mail.example" for n in NAMES]],
    ids=["small", "formula", "at", "stars", "numbered", "in-brackets", "mail"],
)  # fmt: skip
def test_a_name_in_a_head_is_found_however_it_is_dressed(heads, tmp_path):
    table = [["Week", *heads], *([w, *(150 + 9 * i + w for i in range(4))] for w in range(1, 7))]
    text = "\n".join(",".join(map(str, row)) for row in table) + "\n"
    draft = drafted(text.encode(), "league.csv")
    assert each_of(draft) == "bowler"
    assert len(rows(draft)) == 24
    assert named(draft) == []
    assert all(len(name) < 6 for name in shown(draft, tmp_path))


@pytest.mark.parametrize(
    "heads", [["skid zone", "flip zone"], ["track flare", "edge flare"], ["inner rim", "outer rim"]]
)
def test_heads_in_small_letters_that_name_things_stay_readings(heads):
    rows_of = [["Ball", *heads], *([f"P{i}", 3 + i, 5 + i % 2] for i in range(1, 7))]
    draft = drafted("\n".join(",".join(map(str, row)) for row in rows_of).encode(), "a.csv")
    assert each_of(draft) == "ball" and len(rows(draft)) == 6


@pytest.mark.parametrize("head", ["First name", "Surname", "vorname", "Full name"])
def test_a_part_of_a_name_is_who_somebody_is(head, tmp_path):
    firsts = [n.split()[0] for n in NAMES]
    text = f"{head},Week,Score\n" + "".join(
        f"{n},{w},{150 + w + i}\n" for i, n in enumerate(firsts) for w in (1, 2, 3)
    )
    draft = drafted(text.encode(), "a.csv")
    assert each_of(draft) == "bowler"
    assert not shown(draft, tmp_path) & set(firsts)


@pytest.mark.parametrize(
    ("file", "table"),
    [("Abelard_Brightwater_scores_26.csv", "scores"), ("26 Abelard Brightwater.csv", "readings"),
     ("scores of Abelard Brightwater.csv", "scores-of"), ("bench readings.csv", "bench-readings")],
)  # fmt: skip
def test_a_file_with_a_name_among_other_words_is_called_by_the_others(file, table):
    text = "Week,Score\n" + "".join(f"{w},{150 + w * 3 % 7}\n" for w in range(1, 8))
    draft = drafted(text.encode(), file)
    assert [t.name for t in draft.plan.tables] == [table]
    assert named(draft) == []


@pytest.mark.parametrize("file", ["con.csv", "a\u202eb.csv", "..", "a\nb.csv", " .csv", "x:y.csv"])
def test_a_file_whose_name_not_every_system_keeps_is_drafted_under_another(file, tmp_path):
    text = "Ball,Hook\n" + "".join(f"P{i},{12 + i}\n" for i in range(6))
    draft = drafted(text.encode(), file)
    assert len(shown(draft, tmp_path)) == 6


@pytest.mark.parametrize("tabs", [["a\nb", "c\nd"], ["\u202eab", "\u202ecd"], [" ", "\u200b"]])
def test_a_tab_whose_name_is_not_seen_whole_is_called_without_that(tabs, tmp_path):
    made = openpyxl.Workbook()
    made.remove(made.active)
    for i, title in enumerate(tabs):
        sheet = made.create_sheet("x")
        sheet._WorkbookChild__title = title
        for row in (["Ball", "Hook"], *([f"P{n}", 12 + n + i] for n in range(6))):
            sheet.append(row)
    draft = drafted(saved(made))
    assert len(shown(draft, tmp_path)) == 6


def test_a_name_over_the_head_of_one_column_is_no_part_of_its_measure(tmp_path):
    tabs = {n: [["Bowler", n], [], ["week", "score"], *([w, 150 + w * 3 % 7 + i] for w in range(5))]
            for i, n in enumerate(NAMES)}  # fmt: skip
    draft = drafted(book(**tabs))
    assert named(draft) == []
    assert shown(draft, tmp_path) == {"AB", "BC", "CD", "DE"}
    draft = drafted(b"Ball,Games,Abelard Brightwater hook\nP1,0,12\nP1,10,11\nP2,0,14\nP2,10,13\n")
    assert [m.name for m in draft.plan.measures] == ["hook"]
