"""What a voice makes of printed sentences and of an author's Markdown."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest

from explainer.words.script.desk import Desk, aloud, begun, plain
from explainer.words.script.measure import in_breaths, same_words, told, without_the_question


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("About 22 microinches (0.56 µm) over 60 games.", "About 22 microinches over 60 games."),
        ("A gap of 2 inches (51 mm), likely.", "A gap of 2 inches, likely."),
        (
            "6 microinches either side (to picture that: a hair is thicker). Inside it, none.",
            "6 microinches either side. To picture that: a hair is thicker. Inside it, none.",
        ),
        ("The link (0.73 to 0.99) stays.", "The link (0.73 to 0.99) stays."),
        ("It no longer stands (p = 0.026 alone, p < 0.052 after).", "It no longer stands."),
    ],
)
def test_a_printed_sentence_is_made_fit_to_be_said(printed: str, said: str) -> None:
    assert aloud(printed) == said


@pytest.mark.parametrize(
    ("markdown", "said"),
    [
        ("The **one** *everybody* shares.", "The one everybody shares."),
        ("See [the page](https://example.org) and `this`.", "See the page and this."),
        ("[[track]] and [[the ring = track]]\nand on.", "track and the ring and on."),
        ("# Head\n\n- one\n- two", "Head one two"),
        ("<script>alert(1)</script>", "<script>alert(1)</script>"),
        ("", ""),
    ],
)
def test_markdown_is_read_as_words(markdown: str, said: str) -> None:
    assert plain(markdown) == said


def test_a_claim_can_open_a_sentence() -> None:
    assert begun("And it keeps getting smoother.") == "It keeps getting smoother."
    assert begun("Soft balls hook.") == "Soft balls hook."


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Strike rate was higher on the long pattern.", "You strike more on the long oil.", True),
        ("Hardness did not change.", "Bowling does not make a ball softer or harder.", False),
        ("The change is a property of the ball.", "It's the ball, not the oil.", False),
        ("", "", False),
    ],
)
def test_two_sentences_that_say_the_same(one: str, other: str, same: bool) -> None:
    assert same_words(one, other) is same
    assert same_words(other, one) is same


def test_a_note_is_told_where_each_of_its_numbers_stands_beside_it() -> None:
    beside = ["Leave out bowler W9 and the number turns round, to −0.1."]
    assert told("Without bowler W9, the link would be −0.10.", beside)
    assert told("The link would be 0.07.", ["It more than halves, to 0.1."])
    assert not told("By game 10.", ["It was 9.6."])
    assert not told("About two thirds of that drop came by game 10.", ["It fell by 22 in 60."])
    assert not told("It stands out.", beside)


def test_a_question_is_taken_out_of_what_would_settle_it() -> None:
    settled = "More bowlers, to see whether bowler W9 is one of many or one of a kind: about 29."
    asked = "Is bowler W9 one of many, or one of a kind?"
    assert without_the_question(settled, asked) == "More bowlers: about 29."
    assert without_the_question(settled, "Does the oil move?") == settled


def test_a_long_sentence_is_broken_at_its_semicolon_and_a_short_one_is_not() -> None:
    short = "It fell; nobody knows why."
    assert in_breaths(short) == short
    long = " ".join(["word"] * 20)
    assert in_breaths(f"It fell {long}; but eight cannot say. Yes; no.") == (
        f"It fell {long}. But eight cannot say. Yes; no."
    )


def test_what_leans_on_a_sentence_too_long_for_a_breath_goes_with_it() -> None:
    long = f"The average of {'very ' * 20}many bowlers goes from 13.1 boards to 15.1."
    desk = cast(Desk, SimpleNamespace(lasts=set()))
    said = Desk.spoken(desk, f"{long} There is no range to put on that. Two of them fell.")
    assert said == "Two of them fell."
    assert Desk.spoken(desk, "It fell. There is no range to put on that.").endswith("on that.")


def test_names_in_brackets_are_left_to_the_page_where_they_take_the_breath() -> None:
    desk = cast(Desk, SimpleNamespace(lasts=set()))
    who = "(lane L1, lane L2 and lane L5)"
    text = f"None of 7 lanes passes, 3 miss it {who}, and 4 are too close to call {who}."
    said = "None of 7 lanes passes, 3 miss it, and 4 are too close to call."
    assert Desk.spoken(desk, text) == said
    assert Desk.spoken(desk, f"Three miss it {who}.") == f"Three miss it {who}."
