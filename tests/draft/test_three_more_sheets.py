"""What three more sheets were read as: a pro shop's export from a phone, a German team's evening,
and a lab's workbook with a tab of calibration."""

from __future__ import annotations

import pytest
from draft.test_first_mile import drafted, lines, text
from draft.test_walked_sheets import claimed, of_csv

BALLS = ("Harrow", "Teasel", "Linnet", "Plover", "Wren", "Siskin")
HEAD = "Entry ID,Customer,Ball,Serial #,Resurfaced?,Games since,Ra (µin),Ticket $,Notes"


def of_shop(*below: str, head: str = HEAD) -> list[str]:
    """Balls that were resurfaced or not, read three times: rows of a phone's export."""
    return [head, *(
        f"18{n}a7f00{games},Owner {n},{ball},S{70 + n},{'Yes' if n % 2 else 'No'},{games},"
        f"{60 + n - games * (0.4 if n % 2 else 0.1):.0f},{40 if games == 0 else 0},"
        for n, ball in enumerate(BALLS) for games in (0, 25, 50)
    ), *below]  # fmt: skip


@pytest.mark.parametrize("says", ["Avg 46", "Total: 1310", "avg. = 46.5", "Mean 46"])
def test_a_number_that_says_it_sums_up_stands_in_no_row_of_a_ball(says):
    """It made a row without a ball, and so hid what sorts the balls and how they are called."""
    draft = of_csv(*of_shop(f",,,,,,{says},,exported 18 rows"))
    [table] = draft.plan.tables
    assert len(table.tidy.columns[0].cells) == 18
    assert f"row 20 left out as a summary ({says})" in text(draft)
    assert table.parts.item.name == "ball" and table.parts.item.distinct == list(BALLS)
    assert table.parts.group.name == "resurfaced"


def test_a_reading_with_words_beside_a_ball_is_no_summary():
    draft = of_csv("Ball,Hook", "Ant,9", "Bee,10", "Cat,max 11", "Dog,9")
    assert len(draft.plan.tables[0].tidy.columns[0].cells) == 4


def test_kinds_are_told_by_the_rows_that_have_a_ball():
    """One row without a ball, whose reading nobody can tell from a sum, hid the groups."""
    draft = of_csv(*of_shop(",,,,,25,44,0,whose?"))
    assert draft.plan.tables[0].parts.group.name == "resurfaced"


@pytest.mark.parametrize("head", ["Ticket $", "Ticket (€)", "Fee", "Price", "Paid"])
def test_no_claim_is_made_of_what_was_paid(head):
    draft = of_csv(*of_shop(head=HEAD.replace("Ticket $", head)))
    assert [m.name for m in draft.plan.measures] == ["ra"]


def test_a_head_that_asks_is_answered_without_its_mark():
    draft = of_csv(*of_shop())
    assert claimed(draft)[1] == ("difference-in-change", "ra", "resurfaced")
    assert "between resurfaced: No and resurfaced: Yes" in text(draft)


def test_codes_that_begin_with_figures_are_no_numbers_gone_wrong():
    assert "not read as numbers" not in text(of_csv(*of_shop()))


# A team's evening -----------------------------------------------------------------------------

EVENING = ["Name;Hand;Gruppe;Spiel 1;Spiel 2;Summe;Schnitt",
           "Anke Sommer;L;alt;133;134;267;133,5", "Bernd Voss;R;alt;123;154;277;138,5",
           "Carla Nehm;R;neu;177;172;349;174,5", "Else Pauli;R;neu;163;176;SUM;169,5",
           "Gerda Thiel;L;alt;180;217;397;198,5", "Hans Uhl;R;neu;183;202;385;192,5"]  # fmt: skip


@pytest.mark.parametrize(("printed", "asked"), [("339", False), ("349", True)])
def test_a_total_beside_a_row_that_does_not_give_it_is_asked_about_where_it_stands(printed, asked):
    """Of totals below their columns this was asked, and of those beside their rows it was not."""
    said = of_csv(*(row.replace("SUM", printed) for row in EVENING))
    told = "Summe says something else than the cells beside it give in row 5 (349)"
    assert (told in lines(said, "file: ")[0]) == asked
    assert ("something else" in text(said)) == asked
    assert [m.name for m in said.plan.measures] == ["spiel"]


def test_a_second_word_that_sorts_bowlers_gets_its_own_claim():
    """The evening was about those who were new, and only hands were held against each other."""
    draft = of_csv(*(row.replace("SUM", "339") for row in EVENING))
    assert claimed(draft) == [("difference", "spiel", "hand"), ("difference", "spiel", "gruppe")]
    assert [c.name for c in draft.plan.tables[0].parts.kinds] == ["gruppe"]


def test_words_of_which_each_stands_once_sort_nobody():
    draft = of_csv("Bowler,Hand,Shirt,Score", *(f"B{n},{'LR'[n % 2]},{shirt},{150 + n}" for n, shirt
                   in enumerate(("red", "blue", "green", "red", "grey", "pink"))))  # fmt: skip
    assert claimed(draft) == [("difference", "score", "hand")]


# A lab's workbook -----------------------------------------------------------------------------

LAB = [("Rig 3, readings ± 0.3 boards",),
       ("Ball", "Cover", "Hook (boards)", None, "Exit speed (mph)", None),
       (None, None, "18 mL", "26 mL", "18 mL", "26 mL"),
       *((f"B{n}", "solid" if n < 3 else "pearl", 13 + n / 5, 10 + n / 4, 16 + n / 9, 16.2 + n / 9)
         for n in range(6))]  # fmt: skip
TAB = [("Date", "Standard (boards)", "Reading 1", "Reading 2"), ("2026-02-02", 10, 10.1, 10.3),
       ("2026-02-02", 20, 20.2, 20.1), ("2026-02-09", 10, 10.2, 10.4),
       ("2026-02-09", 20, 20.1, 20.3)]  # fmt: skip


def test_how_far_boards_are_off_is_said_of_no_speed():
    draft = drafted(Hook=LAB)
    gauges = {m.name: bool(m.gauge) for m in draft.plan.measures}
    assert gauges == {"hook": True, "exit_speed": False}


def test_covers_beside_oils_that_each_ball_saw_are_claimed_of_too():
    draft = drafted(Hook=LAB)
    assert claimed(draft) == [("difference", "hook", "volume_ml"),
                              ("difference", "exit_speed", "volume_ml"),
                              ("difference", "hook", "cover")]  # fmt: skip
    assert [p.claim["id"] for p in draft.plan.proposals][-1] == "hook-differs-by-cover"


def test_a_standard_is_known_and_goes_together_with_nothing():
    """`Standard and calibration go together` was a claim of the page."""
    draft = drafted(Hook=LAB, Calibration=TAB)
    assert not {"association"} & {kind for kind, _, _ in claimed(draft)}
    assert "standard" not in {m.name for m in draft.plan.measures}
