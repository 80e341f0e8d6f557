"""What two sheets, walked from the drop to the page by somebody new, were read as: an oil test in a
workbook of two sheets, and a league's season as its secretary exports it."""

from __future__ import annotations

from draft.test_first_mile import drafted, text

from explainer.draft.draft import DraftedStudy, GivenFile, draft_from


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
