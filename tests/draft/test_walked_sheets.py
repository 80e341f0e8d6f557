"""What two sheets, walked from the drop to the page by somebody new, were read as: an oil test in a
workbook of two sheets, and a league's season as its secretary exports it."""

from __future__ import annotations

import pytest
from draft.test_first_mile import drafted, text

from explainer.claims.judge import judge
from explainer.draft.draft import DraftedStudy, GivenFile, draft_from
from explainer.draft.folder import new_folder, write_folder
from explainer.study.load import load_study, open_workspace


def of_csv(*lines: str) -> DraftedStudy:
    return draft_from("x", [GivenFile("sheet.csv", "\n".join(lines).encode(), b"")], lambda _: None)


def test_short_words_that_differ_in_capitals_are_one_and_sort_bowlers():
    """Each bowler is coached or is not: `No` beside `no` made it change from night to night."""
    each = list(enumerate(zip("STUVWX", ["yes", "no"] * 3, strict=True)))
    rows = [f"{week};{bowler};{said if week == 1 else said.capitalize()};{150 + week + at}"
            for week in (1, 2, 3) for at, (bowler, said) in each]  # fmt: skip
    draft = of_csv("Week;Bowler;Coached;Score", *rows)
    [table] = draft.plan.tables
    assert sorted(table.parts.group.distinct) == ["No", "Yes"]
    assert not table.parts.conditions
    assert "read `yes` as `Yes`, `no` as `No`" in text(draft)


def test_balls_of_one_letter_stay_two_though_only_their_capitals_differ():
    draft = of_csv("Ball,Games,Hook", *(f"{b},{g},{h}" for b, h in (("A", 9), ("a", 8), ("b", 7))
                                        for g in (0, 20)))  # fmt: skip
    assert draft.plan.tables[0].parts.item.distinct == ["A", "a", "b"]


TAPE = [("Date", "Oil (mL)", "before", "after"), ("4 Sep 2025", 22, 46, 38),
        ("4 Sep 2025", 26, 54, 47), ("11 Sep 2025", 22, 46, 35), ("11 Sep 2025", 26, 55, 49),
        ("18 Sep 2025", 22, 47, 39), ("18 Sep 2025", 26, 54, "forgot"),
        ("25 Sep 2025", 22, 45, 35), ("25 Sep 2025", 26, 54, 45)]  # fmt: skip


def test_a_row_read_before_and_after_is_one_point_read_twice_and_not_two():
    """Eight rows once made sixteen points, and a range of half the honest width."""
    draft = drafted(Tape=TAPE)
    [table] = draft.plan.tables
    assert table.parts.item.distinct == [f"{n}" for n in range(1, 9)]
    assert table.parts.conditions[0].distinct == ["before", "after"]
    assert "count: 8" in text(draft)
    assert "within: point" in text(draft)


def test_groups_that_are_numbers_of_a_unit_carry_it_as_conditions_do():
    rows = [f"{ball},{oil},{9 + n / 7:.1f}" for n, (ball, oil) in
            enumerate(zip("ABCDEF", (22, 22, 22, 26, 26, 26), strict=True))]  # fmt: skip
    draft = of_csv("Ball,Oil (mL),Hook (boards)", *rows)
    assert draft.plan.tables[0].parts.group.name == "oil_ml"
    assert "between 22 mL and 26 mL" in text(draft)


def test_points_without_a_name_are_still_a_row_each():
    draft = of_csv("Texture,Hook", *(f"{60 - n},{9 + n / 10}" for n in range(7)))
    assert len(draft.plan.tables[0].parts.item.distinct) == 7


def test_an_average_of_averages_is_held_against_nothing():
    """They rest on different numbers of games, so that no row need give their plain average."""
    rows = [f"{week},{b},{s},{s - 1}" for week in (1, 2)
            for b, s in (("Ada", 150), ("Bo", 170), ("Cy", 160))]  # fmt: skip
    summed = of_csv("Week,Bowler,Score,Avg", *rows[:3], "1,League avg,160,161.4", *rows[3:],
                    "2,League avg,160,Totals")  # fmt: skip
    assert "its rows give" not in text(summed)


def test_the_totals_of_a_column_of_means_may_be_a_mean():
    draft = of_oil_rows(("Totals", None, None, None, 8.0))
    assert "its rows give" not in text(draft)
    wrong = of_oil_rows(("Totals", None, 30.5, None, 8.0))
    assert "shot 1 says 30.5, its rows give 24.0" in text(wrong)


def of_oil_rows(*below: tuple[object, ...]) -> DraftedStudy:
    rows = [("Date", "Ball", "shot 1", "shot 2", "Mean"), ("1 May 2025", "Ant", 8.0, 9.0, 8.5),
            ("1 May 2025", "Bee", 7.0, 8.0, 7.5), ("8 May 2025", "Ant", 9.0, 7.0, 8.0)]  # fmt: skip
    return drafted(Oil=[rows[0], *((d, b, *more) for d, b, *more in rows[1:]),
                        *((d, *more) for d, *more in below)])  # fmt: skip


def test_what_is_asked_of_many_rows_is_asked_once():
    rows = [f"{week},{b},{s}" for week in (1, 2)
            for b, s in (("Ada", 150), ("Bo", 170), ("Cy", 160))]  # fmt: skip
    draft = of_csv("Week,Bowler,Score", *rows[:3], "1,League avg,171", *rows[3:],
                   "2,League avg,172")  # fmt: skip
    [file] = [line for line in text(draft).splitlines() if " file: " in line]
    assert "row 5 (League avg): Score says 171" in file
    assert "row 9 (League avg): Score says 172" in file
    assert file.count("the page goes by the rows") == 1


def test_only_guesses_are_asked_about_and_each_as_somebody_would():
    """`n/a` can mean nothing else; that a figure has no word of the author's is no guess."""
    rows = [f"{ball},{games},{hook}" for ball, hook in (("Ant", 9), ("Bee", 8), ("Cat", "n/a"))
            for games in (0, 20)]  # fmt: skip
    plain = text(of_csv("Ball,Games,Hook (boards)", *rows))
    assert "missing: [n/a]\n" in plain
    assert "  # CONFIRM: add `say:`" not in plain and "# say: …" in plain
    other = text(of_csv("Ball,Games,Hook (boards)", *rows, "Dog,0,X", "Dog,20,7"))
    assert "taken for no reading: X; is it so?" in other
    assert plain.count("add table and page of the report") == 1


def test_a_caption_is_no_term_of_the_glossary_by_its_likeness():
    """`tape readings` over two columns became the glossary's lane graph."""
    rows = "\n".join(",".join(map(str, row)) for row in (("tape readings",), *TAPE))
    terms = {"tape readings": ("lane graph", "")}
    found = draft_from("x", [GivenFile("s.csv", rows.encode(), b"")], terms.get)
    assert "term: tape readings  # CONFIRM: named after" in text(found)


def test_heads_merged_over_two_rows_are_said_once_and_as_the_sheet_has_them():
    sheet = [("Date", "Oil (mL)", "Depth", "Depth"), ("Date", "Oil (mL)", "before", "after"),
             *TAPE[1:]]  # fmt: skip
    draft = drafted(Tape=sheet)
    assert "(the columns are Date, Oil (mL), Depth before, Depth after; add one" in text(draft)
    assert "Date Date" not in text(draft)


def test_weeks_that_are_numbered_are_no_stretch_of_weeks_and_are_called_in_full():
    rows = [f"{week};{b};{150 + 7 * at + week}" for week in (1, 2, 3) for at, b in enumerate("STU")]
    said = text(of_csv("Wk;Bowler;Score", *rows))
    assert "use: {column: week, term: weeks, unit: week}" in said
    assert "plainly: Score changes from week 1 to week 3." in said
    assert "after 3 weeks" not in said


def test_days_counted_from_dates_are_called_so():
    rows = [f"{9 - at} May 2025,{b},{12 + at}" for at in (0, 4) for b in ("Ant", "Bee")]
    said = text(of_csv("Date,Ball,Hook", *rows))
    assert "use: {column: day, term: days since the first, unit: day}" in said


def test_groups_called_yes_and_no_are_told_with_their_head():
    rows = [f"{ball},{'no' if n % 2 else 'yes'},{9 + n}" for n, ball in enumerate("ABCDEF")]
    assert "differs between sanded: yes and sanded: no." in text(of_csv("Ball,Sanded,Hook", *rows))


# What a ball is, and what was set on it ------------------------------------------------------

#: Each ball's making and drilling beside what was read of it, as a pro shop writes them down.
MADE = {
    "Serial": ("71013", "71026", "71039", "71040", "71059", "71078"),
    "Weight (lb)": (15, 14, 16, 15, 14, 15), "Pin": (3.5, 4, 2.5, 3, 4.5, 3.5),
    "Top weight (oz)": (2.75, 3, 2.5, 3.25, 2.75, 3), "RG": (2.48, 2.5, 2.49, 2.55, 2.51, 2.47),
    "RG diff": (0.051, 0.048, 0.05, 0.047, 0.052, 0.049),
    "Grit": (180, 360, 500, 1000, 2000, 4000), "Oil volume (mL)": (18, 19, 20, 21, 22, 23),
    "Price": (189, 199, 209, 219, 229, 239), "Pin to PAP": (4.5, 5, 3.5, 4, 4.25, 5.5),
}  # fmt: skip
BALLS = ("Ant", "Bee", "Cat", "Dog", "Elk", "Fox")
TWO_KINDS = ("sanded", "polished") * 3


def of_balls(
    *heads: str, kinds: tuple[str, ...] = (), games: tuple[int, ...] = (0,)
) -> list[str]:  # fmt: skip
    """Balls with what they are under ``heads``, and their hook at ``games``."""
    rows = [",".join(["Ball", *heads, *(["Kind"] if kinds else []), "Games", "Hook (boards)"])]
    for n, ball in enumerate(BALLS):
        made = [f"{MADE[head][n]}" for head in heads] + ([kinds[n]] if kinds else [])
        for at in games:
            hook = f"{9 + n / 3 - at * (0.02 if n % 2 else 0.05):.2f}"
            rows.append(",".join([ball, *made, f"{at}", hook]))
    return rows


def claimed(draft: DraftedStudy) -> list[tuple[str, str, str]]:
    """(kind, what it is about, by what) of each drafted claim."""
    tests = [p.claim["test"] for p in draft.plan.proposals if p.claim]
    return [(t["kind"], t.get("measure", t.get("y")), t.get("by", t.get("x"))) for t in tests]


@pytest.mark.parametrize("games", [(0,), (0, 60)])
@pytest.mark.parametrize("head", MADE)
def test_nothing_is_claimed_of_what_a_ball_is_or_has_been_given(head, games):
    """`Ball weight differs between polished and sanded` was drafted, of balls nobody weighed."""
    draft = of_csv(*of_balls(head, kinds=TWO_KINDS, games=games))
    [table] = draft.plan.tables
    assert table.parts.item.distinct == list(BALLS)
    assert [m.name for m in draft.plan.measures] == ["hook"]
    assert {about for _, about, _ in claimed(draft)} == {"hook"}


def test_all_that_a_ball_is_is_asked_about_at_once():
    heads = ("Weight (lb)", "Pin", "Top weight (oz)", "RG", "RG diff")
    draft = of_csv(*of_balls(*heads, kinds=TWO_KINDS, games=(0, 60)))
    [asks] = [g for g in draft.questions if "no claim is made of it" in g.what]
    assert all(head in asks.about for head in heads)


@pytest.mark.parametrize("head", ["Weight lost (g)", "Weight after (lb)", "Pins", "Diff",
                                  "Oil left (mL)", "Pin carry", "Bias"])  # fmt: skip
def test_what_was_read_of_a_ball_stays_a_measure(head):
    rows = (f"{ball},{n + n % 3},{9 + n / 3:.1f}" for n, ball in enumerate(BALLS))
    assert len(of_csv(f"Ball,{head},Hook", *rows).plan.measures) == 2


def test_a_ball_that_is_weighed_again_is_read():
    rows = [f"{ball},{day},{15 + n / 10 + day / 50:.2f},{9 + n}"
            for n, ball in enumerate(BALLS) for day in (0, 30)]  # fmt: skip
    assert ("change", "weight", None) in claimed(of_csv("Ball,Day,Weight (lb),Hook", *rows))


def test_the_weight_of_what_is_no_ball_is_read():
    rows = [f"{n},{('dry', 'wet')[n % 2]},{3 + n / 7:.2f},{9 + n / 5:.1f}" for n in range(1, 9)]
    draft = of_csv("Plant,Soil,Weight (g),Height (cm)", *rows)
    assert [m.name for m in draft.plan.measures] == ["weight", "height"]


def test_where_nothing_but_weights_is_read_they_are_what_it_is_about():
    rows = [f"{ball},{('solid', 'pearl')[n % 2]},{15 + n / 20:.2f}" for n, ball in enumerate(BALLS)]
    draft = of_csv("Ball,Cover,Weight (lb)", *rows)
    assert claimed(draft) == [("difference", "weight", "cover")]


def test_readings_are_held_against_what_was_set_where_there_is_nothing_else_to_hold_them_to():
    rows = [f"{b},{14 + n % 3},{MADE['Grit'][n]},{9 - n / 3:.1f}" for n, b in enumerate(BALLS)]
    draft = of_csv("Ball,Weight (lb),Grit,Hook", *rows)
    assert claimed(draft) == [("association", "hook", "grit")]
    assert [m.name for m in draft.plan.measures] == ["hook", "grit"]


def test_a_ball_with_a_serial_number_is_called_by_its_name():
    rows = [f"A{71 + n},{ball},{9 + n}" for n, ball in enumerate(BALLS)]
    assert of_csv("Serial,Ball,Hook", *rows).plan.tables[0].parts.item.name == "ball"
    alone = of_csv("Serial no,Hook", *(f"A{71 + n},{9 + n}" for n in range(6)))
    assert alone.plan.tables[0].parts.item.name == "ball"
    models = of_csv("Ball,Serial,Hook", *(f"{'AB'[n % 2]},S{n},{9 + n}" for n in range(6)))
    assert len(models.plan.tables[0].parts.item.distinct) == 6


# Two kinds of balls over use ------------------------------------------------------------------


def test_kinds_that_are_each_read_over_use_are_held_against_each_other_in_their_change(tmp_path):
    draft = of_csv(*of_balls(kinds=TWO_KINDS, games=(0, 20, 60)))
    assert claimed(draft) == [("change", "hook", None), ("difference-in-change", "hook", "kind")]
    assert len([p for p in draft.plan.proposals if p.figure]) == 1
    folder = new_folder("x", tmp_path)
    write_folder(folder, draft.files)
    study = load_study(folder, open_workspace(tmp_path))
    assert [claim.figure for claim in study.description.claims] == ["hook-over-games"] * 2
    verdict = judge(study).verdicts[1]
    # -0.05 a game over 60 games is -3.0 boards, and -0.02 is -1.2: 1.8 boards apart.
    assert verdict.detail.change_a == pytest.approx(-3.0)
    assert verdict.detail.change_b == pytest.approx(-1.2)


@pytest.mark.parametrize(("kinds", "games"), [
    (("sanded",) * 5 + ("polished",), (0, 60)),  # one ball says nothing of its kind
    ((), (0, 60)), (TWO_KINDS, (0,)),
])  # fmt: skip
def test_no_change_is_held_against_another_where_there_are_no_two(kinds, games):
    draft = of_csv(*of_balls(kinds=kinds, games=games))
    assert "difference-in-change" not in {kind for kind, _, _ in claimed(draft)}


def test_a_ball_that_left_early_is_in_no_group_whose_change_is_claimed():
    kinds = ("sanded", "sanded", "polished", "polished", "sanded", "sanded")
    rows = of_balls(kinds=kinds, games=(0, 60))
    left = [row for row in rows if not row.startswith("Dog,polished,60")]
    assert len(left) == len(rows) - 1
    assert "difference-in-change" in {kind for kind, _, _ in claimed(of_csv(*rows))}
    assert "difference-in-change" not in {kind for kind, _, _ in claimed(of_csv(*left))}


# The author's own words -----------------------------------------------------------------------

GLOSSARY = {"hook": ("hook", ""), "total hook": ("total hook", "board"),
            "ra": ("average roughness", "microinch"), "ball speed": ("ball speed", "mph"),
            "cover roughness": ("cover roughness", "microinch")}  # fmt: skip


def drafted_with(*texts: str) -> DraftedStudy:
    given = [GivenFile(f"{n}.csv", one.encode(), b"") for n, one in enumerate(texts)]
    return draft_from("x", given, lambda word: GLOSSARY.get(word.casefold()))


@pytest.mark.parametrize(("head", "label", "aside"), [
    ("Hook", "hook", "  # or total hook, which our glossary explains, if that is what was read"),
    ("Ra", "Ra", "  # or cover roughness, which our glossary explains, if that is what was read"),
    ("Total Hook", "total hook", ""), ("BALL SPEED", "ball speed", ""),
    ("Speed", "speed", "  # CONFIRM: its name on the page, which our glossary does not explain; "
     "is it `ball speed`?"),
])  # fmt: skip
def test_a_head_is_what_its_column_is_called(head, label, aside):
    """`Hook` became total hook, which is one of the things that people mean by it."""
    draft = drafted_with(f"Ball,{head}\n" + "\n".join(f"{b},{9 + n}" for n, b in enumerate(BALLS)))
    [measure] = draft.plan.measures
    assert measure.term == label
    assert f"\n    term: {label}{aside}\n" in text(draft)
    assert label in draft.plan.proposals[0].asks


def test_two_heads_for_one_thing_are_one_measure_and_asked_about():
    rows = "\n".join(f"{b},{9 + n}" for n, b in enumerate(BALLS))
    draft = drafted_with(f"Ball,Hook\n{rows}", f"Ball,Total hook\n{rows}")
    assert [m.name for m in draft.plan.measures] == ["hook"]
    [asks] = [g for g in draft.questions if "another table calls" in g.what]
    assert "Total hook" in asks.about and "Hook" in asks.what
