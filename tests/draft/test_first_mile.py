"""Sheets as two people kept them for an oil test and a season: nothing is read silently wrong."""

from __future__ import annotations

import io
import re

import openpyxl
import pytest

from explainer.claims.judge import judge
from explainer.draft.draft import DraftedStudy, GivenFile, draft_from
from explainer.draft.folder import write_folder
from explainer.draft.headers import unit_in
from explainer.proof.read import proofread
from explainer.publish.data import data_files
from explainer.room.edit import StudyText
from explainer.room.fields import Offered, known
from explainer.room.questions import answered, asked
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say

HOOKS = [("Kestrel 1", 11.8, 5.3, 9.4, 5.0), ("Kestrel 2", 12.7, 5.0, 11.0, 4.8),
         ("Kestrel 3", 12.9, 4.9, 11.5, 5.1), ("Kestrel 4", 15.2, 6.1, "n/a", "-"),
         ("Kestrel 5", 8.6, 4.5, 6.2, 4.3)]  # fmt: skip
SANDED = [("Kestrel 1", 68, 58, 53), ("Kestrel 2", 64, 56, 52), ("Kestrel 3", 55, 46, 37)]


def drafted(**sheets: list[tuple[object, ...]]) -> DraftedStudy:
    """Each sheet of a workbook as rows; a name's ``_`` is a space, in its title brackets."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        made = book.create_sheet(name.replace("_in_games", " (games)"))
        for row in rows:
            made.append(row)
    out = io.BytesIO()
    book.save(out)
    return draft_from("x", [GivenFile("test.xlsx", out.getvalue(), b"")], lambda _: None)


def text(draft: DraftedStudy) -> str:
    return draft.files["study.yaml"].decode()


def test_millilitres_over_the_heads_are_a_condition_and_no_games():
    draft = drafted(Oil=[("Birch Lanes (made up)",), (None, "18 mL", None, "25 mL", None),
                         ("Ball", "Hook (bds)", "Exit angle", "Hook (bds)", "Exit angle"),
                         *HOOKS, ("AVERAGE", 11.4, 5.0, 9.3, 4.7)])  # fmt: skip
    [table] = draft.plan.tables
    assert table.parts.use is None
    assert table.parts.condition.name == "volume_ml"
    assert table.parts.condition.distinct == ["18", "25"]
    assert [m.name for m in draft.plan.measures] == ["hook", "exit_angle"]
    assert [m.unit for m in draft.plan.measures] == ["board", "count"]
    assert "between 18 mL and 25 mL" in text(draft)
    assert "use:" not in text(draft)


def test_a_ball_that_was_read_once_is_in_no_average_beside_the_gap(tmp_path):
    draft = drafted(Oil=[(None, "18 mL", None, "25 mL", None),
                         ("Ball", "Hook (bds)", "Exit angle", "Hook (bds)", "Exit angle"), *HOOKS])
    folder = tmp_path / "studies" / "x"
    write_folder(folder, draft.files)
    study = load_study(folder, open_workspace(tmp_path))
    judgement = judge(study)
    figure = next(f for f in judgement.figures if f.figure.id == "hook-by-volume-ml")
    told = next(f.numbers for f in figure.findings if f.kind == "difference")
    both = [(one, two) for _, one, _, two, _ in HOOKS if two != "n/a"]
    assert told["n_items"] == len(both) == len(HOOKS) - 1
    assert told["mean_a"] == pytest.approx(sum(one for one, _ in both) / len(both))
    assert told["mean_b"] == pytest.approx(sum(two for _, two in both) / len(both))
    assert told["difference"] == pytest.approx(told["mean_a"] - told["mean_b"])
    words = say(judgement, "viewer").figures["hook-by-volume-ml"]
    assert "volume 18 mL" in str(words) and "over the 4 balls read in both" in str(words)


def test_millilitres_in_a_column_are_a_condition_and_no_games():
    rows = [(b, ml, hook) for b, one, _, two, _ in HOOKS for ml, hook in ((18, one), (25, two))]
    draft = drafted(Oil=[("Ball", "Oil (mL)", "Hook (bds)"), *rows])
    [table] = draft.plan.tables
    assert table.parts.use is None
    assert table.parts.condition.header.unit == "mL"


def test_fresh_beside_games_is_asked_about_as_none_and_is_no_measure():
    draft = drafted(Sanding_in_games=[("Ball #", "Fresh", "10 games", "30 games"), *SANDED,
                                      ("surface in microinches",)])  # fmt: skip
    [table] = draft.plan.tables
    assert table.parts.use.distinct == ["0", "10", "30"]
    assert [m.name for m in draft.plan.measures] == ["sanding"]
    assert "# CONFIRM: is Fresh 0 games?" in text(draft)
    assert any("is Fresh 0 games?" in str(q) for q in draft.questions)


def test_games_in_a_sheet_s_name_are_no_unit_of_what_was_read():
    draft = drafted(Sanding_in_games=[("Ball", "0 games", "10 games", "30 games"), *SANDED])
    [measure] = draft.plan.measures
    assert measure.unit == "count"
    assert "the sheet names no unit" in text(draft)


@pytest.mark.parametrize("head", ["Fresh", "0 games"])
def test_a_start_that_stands_there_in_figures_stays_as_it_is(head):
    draft = drafted(Sanding=[("Ball", head, "10 games", "30 games"), *SANDED])
    assert ("CONFIRM: is Fresh" in text(draft)) == (head == "Fresh")
    assert draft.plan.tables[0].parts.use.distinct == ["0", "10", "30"]


def test_what_is_left_out_stands_at_the_head_of_the_file():
    draft = drafted(Oil=[("Birch Lanes (made up)",), (None,), ("Ball", "Before", "After"),
                         *[(b, x, y) for b, x, _, y, _ in HOOKS[:3]], ("AVERAGE", 12.4, 10.6),
                         ("surface in microinches, gauge reads +/-2",)])  # fmt: skip
    head = text(draft).split("\ntitle:")[0]
    for told in ("(AVERAGE)", "gauge reads +/-2", "(made up)"):
        assert told in head


SEASON = [("Ana K", "Owls", 181, 175, 190, None), ("Bo L", "Owls", 160, "abs", 158, "x"),
          ("Cy M", "Larks", 201, 199, 207, "x"), ("Di N", "Larks", 144, 150, 139, None),
          ("Ed O", "Larks", 170, 166, 171, None)]  # fmt: skip


@pytest.mark.parametrize("mark", ["x", "coached", "yes"])
def test_a_mark_in_some_cells_is_a_group_that_is_asked_about_and_no_strike(mark):
    rows = [(*row[:-1], row[-1] and mark) for row in SEASON]
    draft = drafted(Club=[("Name", "Team", "Wk 1", "Wk 2", "Wk 3", "Coached wk 2?"), *rows])
    [table] = draft.plan.tables
    assert [m.name for m in draft.plan.measures] == ["score"]
    marked = table.tidy.column("coached_wk_2")
    assert dict(zip(table.parts.item.cells, marked.cells, strict=True)) == {
        "Ana K": "not coached", "Bo L": "coached", "Cy M": "coached", "Di N": "not coached",
        "Ed O": "not coached",
    }  # fmt: skip
    assert "blank = not coached?" in text(draft).split("\ntables:")[1].split("source:")[0]
    assert any("blank = not coached?" in str(q) for q in draft.questions)
    assert "by: coached_wk_2, a: not coached, b: coached" in text(draft)
    assert table.parts.group.name == "team"


def test_a_group_that_is_guessed_is_asked_about():
    draft = drafted(Club=[("Name", "Team", "Wk 1", "Wk 2", "Wk 3"), *(r[:-1] for r in SEASON)])
    line = next(line for line in text(draft).splitlines() if line.startswith("  group:"))
    assert line.startswith("  group: team  # CONFIRM: each team counts once then")


def test_strikes_and_words_of_a_kind_stay_what_they_were():
    shots = [(f"Ball {n % 2 + 1}", n, mark) for n, mark in enumerate("X9XX8X7X")]
    draft = drafted(Shots=[("Ball", "Shot", "First"), *shots])
    assert "strike" in [m.name for m in draft.plan.measures]
    covers = [("A", "solid", 5.1), ("B", None, 5.2), ("C", "solid", 5.5), ("D", None, 5.0)]
    other = drafted(Balls=[("Ball", "Cover", "Hook (bds)"), *covers])
    assert other.plan.tables[0].tidy.column("cover").cells == ("solid", "", "solid", "")


def lines(draft: DraftedStudy, begins: str) -> list[str]:
    return [line.strip() for line in text(draft).splitlines() if line.strip().startswith(begins)]


def of_oil(*below: tuple[object, ...]) -> DraftedStudy:
    rows = [("A", 8.0, 4.0), ("B", 7.5, 4.2), ("C", 8.2, 4.1), ("D", 7.9, 4.6)]
    return drafted(Oil=[("Ball", "Hook (bds)", "Angle"), *rows, *below])


def test_a_printed_average_that_its_rows_do_not_give_is_said_and_asked_until_answered():
    said = "row 6 (AVERAGE): Hook (bds) says 8.1, its rows give 7.90"
    draft = of_oil(("AVERAGE", 8.1, 4.2))
    assert any(said in str(q) for q in draft.questions)
    [file] = lines(draft, "file:")
    assert f"# CONFIRM: {said}" in file
    assert "Angle says" not in text(draft)


@pytest.mark.parametrize("printed", [
    (("AVERAGE", 7.9, 4.2),),  # rounded and cut off: 7.90, 4.225
    (("Total", 31.6, 16.9),),
    (("Total", 31.6, 16.9), ("Average", 7.9, 4.22)),
    (("best average", "n/a", ""),),
])  # fmt: skip
def test_a_printed_average_that_is_right_is_passed_over(printed):
    assert "its rows give" not in text(of_oil(*printed))


def test_a_wrong_total_counts_the_rows_since_the_one_before_it():
    draft = of_oil(("Total", 31.6, 16.9), ("E", 6.0, 4.0), ("F", 6.5, 3.0), ("Total", 12.9, 7.0))
    assert "row 9 (Total): Hook (bds) says 12.9, its rows give 12.5" in text(draft)


def test_a_unit_that_stands_in_a_note_alone_is_offered_and_not_taken():
    draft = drafted(Sanding_in_games=[("Ball", "Fresh", "10 games", "30 games"), *SANDED,
                                      ("surface in microinches, gauge reads +/-2",)])  # fmt: skip
    [unit] = lines(draft, "unit:")
    assert unit.startswith("unit: count  # CONFIRM:")
    assert unit.endswith("gauge reads +/-2”: is it `microinch`?")
    assert len(lines(draft, "# repeatability_sd:")) == 1
    [asks] = [q for q in asked(StudyText(text(draft))) if q.path[-1:] == ("unit",)]
    assert asks.offered == "microinch"
    assert {"microinch", "degree", "board"} <= set(asks.suggest)
    taken = answered(StudyText(text(draft)), {f"{asks.line}": "microinch"}, frozenset())
    assert taken.at(("measures", "sanding", "unit")) == "microinch"


@pytest.mark.parametrize(("note", "unit"), [
    ("hook in boards, angle in degrees", ""),  # two: nobody knows which is whose
    ("measured in October", ""), ("all in all a good night", ""), ("Angle is in degrees", "degree"),
    ("units: degrees", "degree"), ("after 60 games (games)", ""), ("values (deg)", "degree"),
])  # fmt: skip
def test_only_one_unit_that_a_note_names_is_offered(note, unit):
    assert unit_in(note) == unit
    told = lines(of_oil((note,)), "unit: count")
    assert [f"`{unit}`" in line for line in told] == [bool(unit)]


@pytest.mark.parametrize(("over", "so"), [
    ("Birch Lanes (made up)", True), ("an invented test", True), ("Birch Lanes, synthetic", False),
])  # fmt: skip
def test_data_that_a_sheet_calls_made_up_is_called_so_and_asked(over, so):
    draft = drafted(Oil=[(over,), (None,), ("Ball", "Before", "After"),
                         *[(b, x, y) for b, x, _, y, _ in HOOKS[:3]]])  # fmt: skip
    assert [over in line for line in lines(draft, "invented: yes  # CONFIRM:")] == [True] * so


def test_remarks_are_shown_to_whoever_can_say_what_they_mean():
    draft = drafted(Oil=[("Ball", "Hook (bds)", "Notes"), ("A", 8.0, None), ("B", 7.5, "re-oiled"),
                         ("C", 8.2, None)])  # fmt: skip
    [told] = [str(q) for q in draft.questions if "column Notes" in str(q)]
    assert "re-oiled" in told and "leave its row out" in told


def test_a_name_that_stands_in_no_head_is_asked_about():
    draft = drafted(Sanding_in_games=[("Ball #", "Fresh", "10 games", "30 games"), *SANDED])
    assert len(lines(draft, "term: sanding  # CONFIRM: named after its sheet")) == 1
    season = drafted(Club=[("Name", "Team", "Wk 1", "Wk 2", "Wk 3"), *(r[:-1] for r in SEASON)])
    assert len(lines(season, "term: score  # CONFIRM: no head says")) == 1
    headed = drafted(Sanding=[("Ball", "Ra 0 games", "Ra 10 games", "Ra 30 games"), *SANDED])
    assert "no head says" not in text(headed)


def test_what_was_made_of_a_sheet_is_answered_with_a_tick_and_no_field_to_type_over():
    rows = [(*row[:-1], row[-1] and "x") for row in SEASON]
    season = drafted(Club=[("Name", "Team", "Wk 1", "Wk 2", "Wk 3", "Coached?"), *rows])
    oil = drafted(Sanding=[("Ball", "Fresh", "10 games", "30 games"), *SANDED])
    for draft, words in ((season, "blank = not coached?"), (oil, "is Fresh 0 games?")):
        source = StudyText(text(draft))
        [asks] = [q for q in asked(source) if words in q.ask]
        assert asks.yes
        assert asks.path == ()
        assert words not in answered(source, {}, frozenset([asks.line])).text.split("title:")[1]


def test_a_comparison_that_forgets_whose_readings_go_together_is_told_what_to_write(tmp_path):
    draft = drafted(Oil=[(None, "18 mL", None, "25 mL", None),
                         ("Ball", "Hook (bds)", "Exit angle", "Hook (bds)", "Exit angle"), *HOOKS])
    folder = tmp_path / "studies" / "x"
    write_folder(folder, draft.files)
    workspace = open_workspace(tmp_path)
    assert "unpaired" not in {p.code for p in proofread(folder, workspace)}
    file = folder / "study.yaml"
    file.write_text(file.read_text("utf-8").replace(", within: ball", "", 1), "utf-8")
    [told] = [p for p in proofread(folder, workspace) if p.code == "unpaired"]
    assert "`within: ball`" in str(told) and "`hook-differs`" in str(told)


def test_a_unit_in_brackets_wins_over_a_last_word_that_sounds_like_one():
    rows = [(f"Teal {n}", 5.1 + n / 10, 12.0 + n) for n in range(1, 6)]
    draft = drafted(Oil=[("Ball", "Angle in", "Hook"), (None, "(deg)", "(boards)"), *rows])
    assert {m.term: m.unit for m in draft.plan.measures} == {
        "angle in": "degree", "hook": "board"
    }  # fmt: skip
    one = drafted(Oil=[("Ball", "Angle in (deg)", "Hook (boards)"), *rows])
    assert [m.unit for m in one.plan.measures] == ["degree", "board"]


@pytest.mark.parametrize(("head", "unit"), [("Angle in", "count"), ("Hole gap in", "inch"),
                                            ("Width in", "inch"), ("Way in", "count")])  # fmt: skip
def test_a_bare_in_is_inches_only_behind_a_length(head, unit):
    draft = drafted(Bench=[("Ball", head), *((f"Teal {n}", 5.1 + n / 10) for n in range(1, 6))])
    [measure] = draft.plan.measures
    assert measure.unit == unit
    asked_so = "does `in` in its head mean inches?" in text(draft)
    assert asked_so == (unit == "count")


TEALS = [("Teal 1", 58, 47, 40, 38), ("Teal 2", 50, 39, 37, 31), ("teal  3", 64, 51, 48, 48)]
COVERS = [("Teal 1", 18, 11.2), ("Teal 1", 25, 10.1), ("Teal 2", 18, 10.6), ("Teal 2", 25, 9.8),
          ("Teal 3", 18, 12.2), ("Teal 3", 25, 11.0)]  # fmt: skip


@pytest.mark.parametrize("over", ["after games", "after weeks"])
def test_new_beside_bare_numbers_is_none_of_what_stands_over_them_and_asked(over):
    draft = drafted(Surface=[(None, over), ("ball", "new", 10, 30, 60), *TEALS])
    [table] = draft.plan.tables
    assert table.parts.use.distinct == ["0", "10", "30", "60"]
    assert [m.name for m in draft.plan.measures] == ["surface"]
    word = over.split()[1]
    fields = [q for q in asked(StudyText(text(draft))) if f"is new 0 {word}?" in q.ask]
    assert [q.yes for q in fields] == [True]  # a tick in the form says so


LOG = [("Job", "Ball", "Cover", "Pad (grit)", "Roughness (µin)", None, None, "Weight lost (g)"),
       (None, None, None, None, "fresh", "after 15 games", "after 30 games", None),
       *((101 + n, f"Teal {n}", ("solid", "pearl")[n % 2], (500, 2000)[n // 2 % 2],
          90 + n, 60 - n, 50 + n % 3, 0.6 + n / 50) for n in range(8))]  # fmt: skip


def test_what_stands_once_for_each_ball_beside_repeated_readings_does_not_change():
    """A job's running number, the pad that was used, and a weight that was taken once."""
    draft = drafted(Log=LOG)
    [table] = draft.plan.tables
    assert [m.name for m in draft.plan.measures] == ["weight_lost", "roughness"]
    assert [c.name for c in table.parts.sorts] == ["pad_grit"]
    said = text(draft)
    assert 'question: "Does roughness change over 30 games?"' in said
    tests = [p.claim["test"] for p in draft.plan.proposals]
    assert [(t["kind"], t["measure"], t.get("by"), t.get("at")) for t in tests] == [
        ("change", "roughness", None, None), ("difference-in-change", "roughness", "cover", None),
        ("difference", "weight_lost", "cover", 0),
        ("difference", "roughness", "pad_grit", 0),
    ]  # fmt: skip
    assert "between pad (grit) 500 and pad (grit) 2000 at 0 games." in said
    source = StudyText(said)
    # The head of the page answers the question with its own claim, whatever else is claimed.
    assert [claim.get("answers_question") for claim in source.at(("claims",))] == \
        ["yes", None, None, None]  # fmt: skip
    [asks] = [q for q in asked(source) if q.no]
    offer = Offered((), (), (), (), {"games": ("0", "15", "30")})
    made = answered(source, {}, frozenset(), frozenset([asks.line]), offer)
    assert "0" not in re.findall(r"(?:from|at): (\w+)", made.text)
    assert "between pad (grit) 500 and pad (grit) 2000 at 15 games." in made.text
    assert made.text.count(": 15") == said.count("from: 0") + said.count("at: 0")


def test_numbers_in_a_row_are_no_reading_and_others_are():
    columns = [("Ball", "Ticket", "Hook"), *((f"Teal {n}", 41 + n, 8 + n % 3) for n in range(7))]
    assert [m.name for m in drafted(Log=columns).plan.measures] == ["hook"]
    apart = [columns[0], *((b, t + 3 * (t > 44), h) for b, t, h in columns[1:])]
    assert [m.name for m in drafted(Log=apart).plan.measures] == ["ticket", "hook"]


def test_that_new_is_no_zero_is_answered_in_the_form_or_in_the_file_and_then_holds(tmp_path):
    draft = drafted(Sheet9=[(None, "after games"), ("ball", "new", 10, 30, 60), *TEALS])
    folder = tmp_path / "studies" / "x"
    write_folder(folder, draft.files)
    source = StudyText(text(draft))
    [asks] = [q for q in asked(source) if "is new 0 games?" in q.ask]
    made = answered(source, {}, frozenset([asks.line]), frozenset([asks.line]),
                    known(source, folder))  # fmt: skip
    by_hand = re.sub(r"(use: {.*)}  # CONFIRM.*", r"\1, zero_is_new: no}", source.text)
    assert made.text == by_hand.replace("from: 0,", "from: 10,")
    (folder / "study.yaml").write_text(by_hand, "utf-8")
    [still] = judge(load_study(folder, open_workspace(tmp_path))).verdicts  # begins at 0
    assert "beyond-data" in still.reasons
    (folder / "study.yaml").write_text(made.text, "utf-8")
    study = load_study(folder, open_workspace(tmp_path))
    [table] = study.tables.values()
    assert table.checkpoints == (10, 30, 60)
    assert table.items == ("Teal 1", "Teal 2", "teal 3")
    [verdict] = judge(study).verdicts
    changes = [row[4] - row[2] for row in TEALS]
    assert verdict.estimate == pytest.approx(sum(changes) / 3)
    assert [(n.row, n.item, n.use, n.mark) for n in table.notes] == [
        (row, name, 0, f"{new}") for row, (name, new) in
        zip((2, 6, 10), (("Teal 1", 58), ("Teal 2", 50), ("teal 3", 64)), strict=True)
    ]  # fmt: skip
    assert {n.why for n in table.notes} == {"how much use it had had by then is not known"}
    data = data_files(study)[f"data/{table.file}"].decode()
    assert len(data.splitlines()) == 1 + 9 and ",0," not in data


def test_names_that_differ_in_case_or_spaces_alone_are_one_ball_and_asked():
    draft = drafted(Oil=[("Ball", "Oil (mL)", "Hook (boards)"), *COVERS],
                    Surface=[("ball", "0 games", "10 games", "30 games", "60 games"), *TEALS])
    assert "  count: 3\n" in text(draft)
    [surface] = [t for t in draft.plan.tables if t.parts.use]
    assert surface.parts.item.distinct == ["Teal 1", "Teal 2", "Teal 3"]
    assert "read `teal 3` as `Teal 3`: alike but for capitals or spaces: are they one?" in \
        text(draft)  # fmt: skip


def test_a_caption_names_what_was_read_its_unit_and_how_good_the_gauge_is():
    caption = "Surface of the same balls, microinches (gauge good to 2)"
    draft = drafted(Sheet9=[(caption,), (None, "after games"), ("ball", "new", 10, 30, 60), *TEALS])
    [measure] = draft.plan.measures
    assert (measure.name, measure.unit, measure.offered) == ("surface", "count", "microinch")
    assert measure.gauge == caption
    assert "is it `microinch`?" in text(draft)
    assert "# repeatability_sd: …" in text(draft)


LEAGUE = [("Alder M", "R", 187, 179, 142, 178, "yes"), ("Birch T", "R", 167, 162, 157, 181, None),
          ("Cedar L", "L", 140, "absent", 156, 167, None),
          ("Dogwood P", "R", 157, None, 163, "bye", "yes"),
          ("Elm S", "R", 219, 216, 218, 220, None), ("Fir K", "L", 209, 207, 195, 214, None)]
HEADS = ("Bowler", "L/R", "W1", "W2", "W3", "W4", "clinic")


def test_the_hand_is_no_group_that_counts_once():
    draft = drafted(Thursday=[HEADS, *LEAGUE])
    assert "  group: " not in text(draft).split("\nmeasures:")[0]
    assert "counts once then" not in text(draft)
    [table] = draft.plan.tables
    assert table.parts.item.name == "bowler"


def test_a_team_of_one_each_is_no_group_either():
    rows = [(f"Bowler {n}", f"Team {n}", 150 + n, 160 + n, 155 + n) for n in range(1, 6)]
    draft = drafted(Club=[("Name", "Team", "Wk 1", "Wk 2", "Wk 3"), *rows])
    assert "counts once then" not in text(draft)


@pytest.mark.parametrize(("note", "by_score"), [
    ("clinic = coached after week 2, the two lowest asked first", True),
    ("the best went to the clinic", True), ("clinic: volunteers", False)])  # fmt: skip
def test_a_note_of_how_a_group_was_picked_is_quoted_and_asked(note, by_score):
    draft = drafted(Thursday=[HEADS, *LEAGUE, (note,)])
    question = "how was the group `clinic` picked?"
    assert any(question in str(q) and note in str(q) for q in draft.questions)
    fields = [q for q in asked(StudyText(text(draft))) if question in q.ask]
    assert fields and all(note in q.ask for q in fields)
    assert ("chosen_by: {by: score, only: {clinic: clinic}}  # CONFIRM" in text(draft)) == by_score


def test_a_note_of_a_best_score_picks_nobody():
    draft = drafted(Thursday=[HEADS, *LEAGUE, ("prizes for the highest game",)])
    assert "picked" not in text(draft)


def test_an_empty_cell_among_marks_is_a_missing_reading_too(tmp_path):
    draft = drafted(Thursday=[HEADS, *LEAGUE])
    [table] = draft.plan.tables
    assert len(table.tidy.columns[0].cells) == 4 * len(LEAGUE)
    assert "1 cell with nothing in it" in str(draft.guesses)
    folder = tmp_path / "studies" / "x"
    write_folder(folder, draft.files)
    study = load_study(folder, open_workspace(tmp_path))
    gaps = [(n.item, n.use, n.mark) for t in study.tables.values() for n in t.notes]
    assert sorted(gaps) == [
        ("CL", 2.0, "absent"), ("DP", 2.0, ""), ("DP", 4.0, "bye")
    ]  # fmt: skip


def test_a_ragged_sheet_without_marks_gets_no_missing_readings():
    rows = [(n, h, w1, w2, None if n == "Elm S" else w3) for n, h, w1, w2, w3, *_ in LEAGUE[4:]]
    draft = drafted(Thursday=[HEADS[:5], *rows])
    assert len(draft.plan.tables[0].tidy.columns[0].cells) == 2 * 3 - 1


def test_an_emptied_field_takes_out_how_a_group_was_picked_and_that_it_counts_once():
    draft = drafted(Thursday=[HEADS, *LEAGUE, ("clinic: the two lowest asked first",)])
    source = StudyText(text(draft))
    [question] = [q for q in asked(source) if q.path == ("tested", "chosen_by")]
    after = answered(source, {f"{question.line}": ""}, frozenset())
    assert "chosen_by" not in after.text and "tested:" in after.text
    assert after.value["tested"]["count"] == len(LEAGUE)
