"""Drafting: files as spreadsheets write them become tidy tables and a study that is sound."""

from __future__ import annotations

import csv
import random
import signal
from pathlib import Path

import pytest

from explainer.draft import sheets
from explainer.draft.draft import KINDS, GivenFile, _sheets, draft_from, skeleton
from explainer.draft.folder import new_folder, write_folder
from explainer.draft.grid import CellGrid, grids_of, text_sheet
from explainer.draft.headers import parse, step
from explainer.draft.numbers import Writing, writing_of
from explainer.draft.parts import parts_of
from explainer.draft.sheets import decode, few_enough, parted
from explainer.draft.tidy import tidy
from explainer.errors import UsageError
from explainer.study.describe import describe
from explainer.study.description.study import MOST_TABLES, Description
from explainer.study.load import load_study, open_workspace
from explainer.study.shipped import shipped
from explainer.study.yaml12 import read

MESSY = Path(__file__).parent / "messy"
TERMS = {"total hook": "board", "cover roughness": "microinch", "hardness": "Shore D"}


def find_term(word: str) -> tuple[str, str] | None:
    return (word, TERMS[word]) if word in TERMS else None


def drafted(tmp_path: Path, *files: Path):
    draft = draft_from("first-look", files, find_term)
    folder = new_folder("first-look", tmp_path)
    write_folder(folder, draft.files)
    return draft, load_study(folder, open_workspace(tmp_path))


def grid_of(text: str, file: str) -> CellGrid:
    """The first table in ``text``."""
    mark, rows = parted(text, file)
    return grids_of(text_sheet(mark, rows, file), file, mark == ";")[0][0]


def rows(text: str) -> list[list[str]]:
    return list(csv.reader(tidy(grid_of(text, "a.csv")).to_csv().decode().splitlines()))


@pytest.mark.parametrize(
    ("written", "words", "unit"),
    [
        ("hook (boards)", "hook", "board"),
        ("Ra, µin", "Ra", "microinch"),
        ("Ra, μin", "Ra", "microinch"),  # the Greek letter
        ("speed [mph]", "speed", "mph"),
        ("hook_boards", "hook", "board"),
        ("Hardness Shore D", "Hardness", "Shore D"),
        ("Lane m", "Lane m", ""),
        ("Hardness [Shore D]", "Hardness", "Shore D"),
        ("weight in lb", "weight", "pound"),
        ("games", "games", ""),
        ("Ball (left)", "Ball (left)", ""),
    ],
)
def test_units_in_headers(written, words, unit):
    header = parse(written)
    assert (header.words, header.unit) == (words, unit)


@pytest.mark.parametrize(
    ("written", "stem", "number", "counted"),
    [
        ("hook 10 games", "hook", 10, "games"),
        ("Hook after 30 games (boards)", "Hook", 30, "games"),
        ("texture_0", "texture", 0, ""),
        ("G60", "", 60, "games"),
        ("shot 3", "", 3, "shot"),
        ("60", "", 60, ""),
    ],
)
def test_checkpoints_in_headers(written, stem, number, counted):
    found = step(parse(written))
    assert found is not None
    assert (found.stem, found.number, found.counted) == (stem, number, counted)


@pytest.mark.parametrize(
    ("cells", "semicolons", "cell", "number"),
    [
        (["87,5", "3"], True, "1.234,5", "1234.5"),
        (["87.5", "3"], False, "1,234.5", "1234.5"),
        (["87.5"], False, "1 234.5", "1234.5"),
        (["1,234", "2,345"], False, "1,234", "1234"),
        (["1,234", "2,345"], True, "1,234", "1.234"),
        (["87.5"], False, "−3.5", "-3.5"),
        (["87.5"], False, "12,34", None),
        (["87.5"], False, "twelve", None),
    ],
)
def test_numbers_as_people_write_them(cells, semicolons, cell, number):
    read = writing_of(cells, semicolons).read(cell)
    assert (read[0] if read else None) == number


def test_a_comma_that_could_be_either_is_for_the_author_to_check():
    assert writing_of(["1,234"], semicolons=False).sure == "please check"
    assert writing_of(["1,5"], semicolons=False).sure == "sure"
    assert Writing(".").read("12 µin") == ("12", "µin")


@pytest.mark.parametrize(
    "codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]
)
def test_encodings(codec):
    text = "ball,Härte\nP1,75\nP2,76\n" * 20
    assert decode(text.encode(codec), "a.csv")[0] == text


@pytest.mark.parametrize("data", [b"", b" \n", b"PK\x03\x04zip", b"\x00\x01\x02\x03\x04" * 9])
def test_what_is_no_text_is_said(data):
    with pytest.raises(UsageError):
        decode(data, "a.csv")


@pytest.mark.parametrize("text", ["one cell\n", "a,b\n", "only words here\nand here\n"])
def test_what_is_no_table_is_said(text):
    with pytest.raises(UsageError):
        tidy(grid_of(text, "a.csv"))


def test_two_header_rows_with_merged_cells_become_rows():
    text = (
        "Ball,Hook (boards),,,Ra (µin),,\n,0,10,30,0,10,30\n"
        "P1,12,11,10,90,80,70\nP2,13,12,,91,81,71\n"
    )
    assert rows(text) == [
        ["ball", "games", "hook", "ra"],
        ["P1", "0", "12", "90"], ["P1", "10", "11", "80"], ["P1", "30", "10", "70"],
        ["P2", "0", "13", "91"], ["P2", "10", "12", "81"], ["P2", "30", "", "71"],
    ]  # fmt: skip


def test_bare_checkpoints_as_headers():
    found = tidy(grid_of("Ball;0;10;30\nP1;12,5;11;10\nP2;13;12;11,5\n", "texture.csv"))
    assert [c.name for c in found.columns] == ["ball", "games", "texture"]
    assert found.column("texture").cells == ("12.5", "11", "10", "13", "12", "11.5")
    assert any(g.sure == "please check" for g in found.guesses)


def test_readings_side_by_side_are_numbered_not_aged():
    assert rows("ball,spot 1,spot 2\nP1,70,71\nP2,72,73\n")[1:3] == [
        ["P1", "1", "70"],
        ["P1", "2", "71"],
    ]


def test_dates_and_remarks_name_no_items():
    text = "Date,Remark,Serial,Hook\n" + "".join(
        f"2026-01-0{i % 2 + 1},{'ok' if i % 2 else 'wet'},S{i},{10 + i}\n" for i in range(6)
    )
    _, parts = parts_of(tidy(grid_of(text, "a.csv")))
    assert (parts.item.name, parts.group, parts.condition) == ("serial", None, None)
    assert [m.name for m in parts.measures] == ["hook"]


def test_notes_summaries_and_repeated_headers_are_named_not_lost_silently():
    found = tidy(
        grid_of("ball,hook,speed\nP1,1,2\nball,hook,speed\nP2,3,4\nMean,2,3\nnote,,\n", "a.csv")
    )
    assert found.column("ball").cells == ("P1", "P2")
    said = " ".join(map(str, found.guesses))
    assert "row 5 left out as a summary" in said
    assert "row 6 left out as a note" in said
    assert "1 repeated header row" in said


def test_a_wide_table(tmp_path):
    draft, study = drafted(tmp_path, MESSY / "wide checkpoints.csv")
    table = study.tables["wide-checkpoints"]
    assert table.checkpoints == (0, 10, 30, 60)
    assert len(table.items) == 8
    assert table.measures == ("hook", "ra")
    assert study.description.measures["ra"].unit == "microinch"
    assert table.group == "model"
    assert {(n.item, n.mark) for n in table.notes} == {("P3", "n/a"), ("T2", "-")}
    assert "re-oiled after 30 games" in " ".join(map(str, draft.guesses))


def test_decimal_commas_and_semicolons_in_windows_1252(tmp_path):
    _, study = drafted(tmp_path, MESSY / "semicolons.csv")
    table = study.tables["semicolons"]
    assert len(table.items) == 12
    assert table.frame["ra"].tolist() == [980.5 + 20 * i for i in range(12)]
    assert study.description.measures["hardness"].unit == "Shore D"
    assert study.description.claims[0].test.kind == "difference"


def test_a_title_two_header_rows_and_names_once_per_block(tmp_path):
    _, study = drafted(tmp_path, MESSY / "two headers.csv")
    table = study.tables["two-headers"]
    assert table.items == ("S1", "S2", "S3", "S4", "S5", "S6")
    assert (table.order, len(table.frame)) == ("shot", 72)
    units = {n: m.unit for n, m in study.description.measures.items()}
    assert units == {"hook": "board", "speed": "mph", "entry_angle": "degree"}


def test_several_files_make_one_study_and_originals_stay_as_they_came(tmp_path):
    files = sorted(MESSY.glob("*.csv"))
    _, study = drafted(tmp_path, *files)
    assert len(study.tables) == 3
    for file in files:
        assert (study.folder / "originals" / file.name).read_bytes() == file.read_bytes()


def test_every_problem_of_a_draft_stands_at_a_point_to_confirm_or_fill_in(tmp_path):
    _, study = drafted(tmp_path, *sorted(MESSY.glob("*.csv")))
    assert {p.code for p in study.warnings} <= {"no-margin", "unsaid"}


def test_never_over_another(tmp_path):
    folder = new_folder("first-look", tmp_path)
    write_folder(folder, {"study.yaml": b"mine"})
    with pytest.raises(UsageError, match="there already"):
        new_folder("first-look", tmp_path)
    with pytest.raises(UsageError, match="there already"):
        write_folder(folder, {"study.yaml": b"other"})
    assert (folder / "study.yaml").read_bytes() == b"mine"
    assert [p.name for p in folder.parent.iterdir()] == ["first-look"]


@pytest.mark.parametrize("name", ["../up", "Two Words", "", ".hidden", "a/b"])
def test_names_that_cannot_name_a_study(name, tmp_path):
    with pytest.raises(UsageError, match="lower-case"):
        new_folder(name, tmp_path)


@pytest.mark.parametrize("kind", KINDS)
def test_every_skeleton_is_a_sound_study(kind, tmp_path):
    folder = new_folder(kind, tmp_path)
    write_folder(folder, skeleton(kind, (shipped("templates"),)).files)
    study = load_study(folder, open_workspace(tmp_path))
    assert study.warnings == () or kind == "new-against-used"
    assert study.description.is_invented


WEDGES = (
    b",",
    b";",
    b"\n",
    b'"',
    b"\t",
    b"n/a",
    b",,,\n",
    b"1.234,5",
    b"-",
    b"\x00",
    b"\xff",
    b"\x9d",
)


@pytest.mark.parametrize("seed", range(60))
def test_a_file_knocked_about_is_drafted_or_refused_in_words(seed, tmp_path):
    """Bytes flipped, cut and wedged in: never anything but a draft that reads, or a UsageError."""
    dice = random.Random(seed)
    data = bytearray(dice.choice(sorted(MESSY.glob("*.csv"))).read_bytes())
    for _ in range(dice.randrange(1, 12)):
        at = dice.randrange(len(data))
        how = dice.randrange(3)
        if how == 0:
            data[at] = dice.randrange(256)
        elif how == 1:
            del data[at : min(at + dice.randrange(1, 40), len(data) - 1)]
        else:
            data[at:at] = dice.choice(WEDGES)
    (tmp_path / "a.csv").write_bytes(bytes(data))
    try:
        draft = draft_from("first-look", [tmp_path / "a.csv"], find_term)
    except UsageError:
        return
    assert draft.files["originals/a.csv"] == bytes(data)
    folder = new_folder("first-look", tmp_path)
    write_folder(folder, draft.files)
    describe(read(draft.files["study.yaml"], "study.yaml"), Description)


def files_of(tmp_path: Path, **texts: str) -> list[Path]:
    for name, text in texts.items():
        (tmp_path / f"{name}.csv").write_text(text, "utf-8")
    return [tmp_path / f"{name}.csv" for name in texts]


def test_one_measure_in_two_units_is_converted_and_not_misread(tmp_path):
    first = "Ball,Ra\nP1,80\nP2,82\n"
    second = "Ball,Ra (µin)\nP1,80\nP2,82\n"
    third = "Ball,Ra (µm)\nP1,2.54\nP2,2.032\n"
    _, study = drafted(tmp_path, *files_of(tmp_path, a=first, b=second, c=third))
    assert study.description.measures["ra"].unit == "microinch"
    # 1 microinch is 0.0254 µm exactly (NIST SP 811)
    assert study.tables["c"].frame["ra"].tolist() == pytest.approx([100.0, 80.0])


def test_one_name_for_two_kinds_of_measure_is_told_apart(tmp_path):
    first, second = "Ball,Hook (boards)\nP1,12\nP2,13\n", "Ball,Hook (degrees)\nP1,4\nP2,5\n"
    _, study = drafted(tmp_path, *files_of(tmp_path, a=first, b=second))
    units = {name: m.unit for name, m in study.description.measures.items()}
    assert units == {"hook": "board", "hook_degree": "degree"}


def test_two_names_for_one_term_become_one_measure(tmp_path):
    first, second = "Ball,Hook (boards)\nP1,12\nP2,13\n", "Ball,total hook (bds)\nP1,4\nP2,5\n"
    _, study = drafted(tmp_path, *files_of(tmp_path, a=first, b=second))
    assert list(study.description.measures) == ["hook"]
    assert study.tables["b"].measures == ("hook",)


def test_two_people_who_read_two_numbered_scales_are_no_measures(tmp_path):
    text = "Ball,Scale,Person,Weight (oz)\n" + "".join(
        f"P{ball},{scale},{who},{240 + ball + 0.2 * scale + 0.1 * (who == 'Bo'):.1f}\n"
        for ball in (1, 2, 3) for scale in (1, 2) for who in ("Ada", "Bo")
    )  # fmt: skip
    draft, study = drafted(tmp_path, *files_of(tmp_path, a=text))
    assert list(study.description.measures) == ["weight"]
    (claim,) = study.description.claims
    assert (claim.test.by, claim.test.a, claim.test.within) == ("scale", "1", "ball")
    assert claim.plainly == "Weight differs between scale 1 and scale 2."
    said = " ".join(map(str, draft.guesses))
    assert "Person: who took the reading" in said
    assert "Scale: a condition that changes within a ball (1, 2): please check" in said


def test_whole_numbers_that_are_not_crossed_are_readings(tmp_path):
    text = "Ball,Dents,Weight (oz)\nP1,1,240\nP1,2,241\nP2,1,241\nP2,1,240\nP3,2,240\n"
    _, study = drafted(tmp_path, *files_of(tmp_path, a=text))
    assert list(study.description.measures) == ["dents", "weight"]


def test_other_balls_in_another_file_are_counted_apart(tmp_path):
    used = "Ball,Games,Ra (µin)\n" + "".join(f"P{i},{g},{80 - g}\n" for i in (1, 2) for g in (0, 9))
    fresh = "Ball,Hook (boards)\nN1,12\nN2,13\nN3,14\n"
    _, study = drafted(tmp_path, *files_of(tmp_path, new=fresh, used=used))
    said = study.description
    assert list(said.tables) == ["used", "new"]  # what was used over games comes first
    assert said.tested.count == 2
    assert said.tables["new"].tested.count == 3


def test_a_number_without_an_end_is_left_to_proof(tmp_path):
    """A cell of 90,000 digits ended the draft as a fault of ours."""
    sheet = tmp_path / "long.csv"
    sheet.write_text("ball,hook\nP1," + "9" * 90_000 + "\nP2,3\nP3,4\n")
    files = draft_from("first-look", [sheet], find_term).files
    assert "hook" in files["study.yaml"].decode()


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no clock of the processor here")
def test_a_sheet_as_wide_as_may_be_is_drafted_and_a_wider_one_is_not() -> None:
    """Whether a column sums up those beside it took the cube of their number, and hours."""

    def too_long(number: int, frame: object) -> None:
        raise TimeoutError

    def sheet(columns: int) -> GivenFile:
        rows = [[f"c{i}" for i in range(columns)]]
        rows += [[str((7 * i + 3 * r) % 89) for i in range(columns)] for r in range(40)]
        return GivenFile("wide.csv", "\n".join(map(",".join, rows)).encode(), b"")

    before = signal.signal(signal.SIGPROF, too_long)
    signal.setitimer(signal.ITIMER_PROF, 40)  # seconds of processor: it takes two
    try:
        made = draft_from("wide", [sheet(600)], lambda word: None)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    assert "study.yaml" in made.files
    with pytest.raises(UsageError, match=r"1,001 columns in wide\.csv, expected at most 1,000"):
        draft_from("wide", [sheet(1_001)], lambda word: None)


def test_what_a_draft_says_of_the_author_s_own_words_is_so(tmp_path):
    """Its comments, taken as they stand, make a sound study."""
    sheet = tmp_path / "s.csv"
    sheet.write_text("ball,games,texture\n" + "".join(
        f"{b},{g},{60 + i - g / 6:.1f}\n" for i, b in enumerate("ABC") for g in (0, 30, 60)
    ))  # fmt: skip
    draft, _ = drafted(tmp_path, sheet)
    text = draft.files["study.yaml"].decode()
    for old, new in (
        ("unit: game}", "unit: game, as: [{term: league night, each: 3}]}"),
        ("    y: texture\n",
         "    y: texture\n    walk: yes\n    like: {what: A., stops: B.}\n    guess: A.\n"
         "    opinion: A.\n"),
        ("    report_says:", "    said_by: lanes\n    says:"),
        ("# opening: {hook: …, running_question: …}",
         "opening: {hook: H., running_question: Q?}  #"),
        ("# ending: {answered_by: claim-id, outro: …, next: …, request: …}",
         "ending: {answered_by: texture-changes, outro: O., next: N., request: R.}  #"),
    ):
        assert old in text, old
        text = text.replace(old, new, 1)
    for key in ("as", "like", "guess", "opinion", "walk", "pair", "said_by", "says"):
        assert f"{key}:" in draft.files["study.yaml"].decode()
    folder = tmp_path / "studies" / "first-look"
    (folder / "study.yaml").write_text(text, encoding="utf-8")
    said = load_study(folder, open_workspace(tmp_path)).description
    assert said.claims[0].said_by == "lanes" and said.figures[0].walked
    assert said.figures[0].guess == said.figures[0].opinion == "A."


def test_a_text_with_too_many_cells_is_refused_at_the_row_and_nothing_after_it_is_held(monkeypatch):
    """24 megabytes of short cells took a gigabyte before they were refused."""
    monkeypatch.setattr(sheets, "MOST_CELLS", 30)
    data = b"ball,use,hook\n" + b"b,0,3\n" * 1_000
    for origin in (b"", b"page: 1"):  # as a spreadsheet wrote it, or as it was lifted
        with pytest.raises(UsageError, match=r"^a\.csv, row 11: found over 30 cells up to here"):
            _sheets(GivenFile("a.csv", data, origin))
    with pytest.raises(UsageError, match=r"^c\.csv, row 16: "):  # marks, and nothing between them
        _sheets(GivenFile("c.csv", b";\n" * 1_000, b""))
    held = iter([["1"] * 10 for _ in range(10)])
    with pytest.raises(UsageError, match=r"^b\.csv, row 4: "):
        list(few_enough(held, "b.csv"))
    assert len(list(held)) == 6


def test_more_sheets_than_a_study_may_have_are_refused_before_any_is_read():
    """3,000 small sheets took a hundred seconds and made a study.yaml that nothing would read."""
    given = [GivenFile(f"s{n}.csv", b"not looked at", b"") for n in range(MOST_TABLES + 1)]
    line = "found 61 files, expected at most 60 in one study; .*; nothing was drafted"
    with pytest.raises(UsageError, match=line):
        draft_from("many", given, find_term)


def test_a_folder_and_a_file_that_is_not_there_are_told_apart(tmp_path):
    for path, told in ((tmp_path, "is a folder; expected a CSV"), (tmp_path / "a.csv", "no file")):
        with pytest.raises(UsageError, match=told):
            draft_from("a-study", [path], lambda _: None)
