"""What two sheets, walked from the drop to the page by somebody new, were read as: an oil test in a
workbook of two sheets, and a league's season as its secretary exports it."""

from __future__ import annotations

from draft.test_first_mile import text

from explainer.draft.draft import DraftedStudy, GivenFile, draft_from


def of_csv(*lines: str) -> DraftedStudy:
    return draft_from("x", [GivenFile("sheet.csv", "\n".join(lines).encode(), b"")], lambda _: None)


def test_short_words_that_differ_in_capitals_are_one_and_sort_bowlers(tmp_path):
    """Each bowler is coached or is not: `No` beside `no` made it change from night to night."""
    rows = [f"{week};{bowler};{said if week == 1 else said.capitalize()};{150 + week + at}"
            for week in (1, 2, 3)
            for at, (bowler, said) in enumerate(zip("STUVWX", ["yes", "no"] * 3, strict=True))]  # fmt: skip
    draft = of_csv("Week;Bowler;Coached;Score", *rows)
    [table] = draft.plan.tables
    assert sorted(table.parts.group.distinct) == ["No", "Yes"]
    assert not table.parts.conditions
    assert "read `yes` as `Yes`, `no` as `No`" in text(draft)


def test_balls_of_one_letter_stay_two_though_only_their_capitals_differ():
    draft = of_csv("Ball,Games,Hook", *(f"{b},{g},{h}" for b, h in (("A", 9), ("a", 8), ("b", 7))
                                        for g in (0, 20)))  # fmt: skip
    assert draft.plan.tables[0].parts.item.distinct == ["A", "a", "b"]
