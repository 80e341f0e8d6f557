"""Sizes for an ear: near the size, without a decimal, and read back by other means."""

from __future__ import annotations

import math
import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.ears import read_back

from explainer.words.quantity.heard import about, at_least, in_words, plain
from explainer.words.quantity.spoken import spoken
from explainer.words.script.measure import digits, last, measured, split


@pytest.mark.parametrize("unit", ["board", "inch", "microinch", "mph", "Shore D", "hour", "mm"])
def test_what_is_told_is_within_a_tenth_or_said_to_be_over_or_under(unit: str) -> None:
    for i in range(400):
        value = 0.02 * 1.025**i
        for said in (about(value, unit), plain(value, unit), about(-value, unit)):
            assert not re.search(r"\d\.\d|\bpoint", said)
            off = read_back(said) / value - 1
            assert abs(off) <= (0.15 if "a little" in said else 0.1) + 1e-9, (value, said)
            assert "a little over" not in said or off < 0, (value, said)
            assert "a little under" not in said or off > 0, (value, said)


@pytest.mark.parametrize("unit", ["board", "inch", "gram", "Shore D", "rate", "percent", "share"])
def test_a_cautious_end_is_never_rounded_up(unit: str) -> None:
    """What it is said to be is no more than it is, and within 15% of it."""
    scale = {"rate": 100.0, "share": 100.0}.get(unit, 1.0)
    for i in range(400):
        value = 0.02 * 1.0151**i / scale
        said = at_least(value, unit)
        if "less than" in said or value * scale > 9:
            continue
        read = read_back(said)
        assert abs(read / (value * scale) - 1) <= 0.155, (value, said)
        assert read <= value * scale * (1 + 1e-6) or "a little under" in said, (value, said)


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (2.42, "gram", "two and two fifths grams"),
        (1.62, "Shore D", "one and three fifths Shore D steps"),
        (0.64, "board", "three fifths of a board"),
        (0.31, "board", "three tenths of a board"),
        (2.9, "board", "a little under three boards"),
        (2.5, "board", "two and a half boards"),
        (1.97, "board", "a little under two boards"),
        (1.744, "microinch", "a little under one and three quarters microinches"),
        (0.0046, "inch", "a little under 5 thousandths of an inch"),
        (0.0427, "inch", "42 thousandths of an inch"),
    ],
)
def test_a_cautious_end_as_it_is_said(value: float, unit: str, said: str) -> None:
    assert at_least(value, unit) == said


def test_two_ends_of_a_way_keep_what_lies_between() -> None:
    """A drop of a seventh is not told as one of a sixth."""
    assert in_words("It goes from 1.523 mph to 1.382 mph.") == (
        "It goes from about one and a half mph to about one and two fifths mph."
    )


@pytest.mark.parametrize(("printed", "heard"), [
    ("It averaged 16.5 boards for T and 15.8 for P.",
     "It averaged sixteen and a half boards for T and about fifteen and three quarters for P."),
    ("It goes from 63.5 boards to 60.", "It goes from 63 and a half boards to 60."),
    ("It starts at 11.8 boards and ends at 11.4, a drop of 0.4.",
     "It starts at about eleven and three quarters boards and ends at about eleven and two fifths, "
     "a drop of two fifths."),
    ("The lines are the limits: 0.3 to 0.301 inches.",
     "The lines are the limits: 300 thousandths to 301 thousandths of an inch."),
    ("They hook more: about 5.1 points for every board.",
     "They hook more: a little over five points for every board."),
    ("It goes from 0.301 inches to 0.306 inches.",
     "It goes from 301 thousandths of an inch to 306 thousandths of an inch."),
    ("It averaged 81.60 Shore D for L and 79.65 for T.",
     "It averaged about 82 Shore D for L and about 80 for T."),
])  # fmt: skip
def test_two_averages_lie_as_far_apart_as_they_are_said(printed: str, heard: str) -> None:
    assert in_words(printed) == heard


def test_a_size_that_is_just_so_is_told_just_so() -> None:
    for value, said in ((0.5, "half a board"), (1.0, "one board"), (1.5, "a board and a half"),
                        (2.5, "two and a half boards"), (0.25, "a quarter of a board"),
                        (3.0, "three boards"), (40.0, "40 boards")):  # fmt: skip
        assert plain(value, "board") == said


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (0.04, "inch", "about 40 thousandths of an inch"),
        (0.003, "inch", "about 3 thousandths of an inch"),
        (0.16, "board", "about a sixth of a board"),
        (21.6, "microinch", "about 22 microinches"),
        (0.054, "rate", "about five and a half in a hundred"),
        (0.004, "rate", "less than one in a hundred"),
        (7.02, "percentage point", "about seven percentage points"),
        (2.6, "percentage point", "about two and three fifths percentage points"),
        (0.4, "percentage point", "less than one percentage point"),
        (39.2, "relative", "about 39 percent"),
        (0.87, "share", "about 87 percent"),
        (1.33, "Shore D", "about one and a third Shore D steps"),
        (0.5, "Shore D", "about half a Shore D step"),
        (0.0, "board", "next to nothing"),
        (None, "board", "not known"),
        (math.inf, "board", "not known"),
        (0.94, "r", "about nine tenths"),
    ],
)
def test_sizes_as_they_are_said(value: float | None, unit: str, said: str) -> None:
    assert about(value, unit) == said


@pytest.mark.parametrize(
    ("printed", "heard"),
    [
        ("It is 0.89 boards for every 10 microinches.",
         "It is about nine tenths of a board for every 10 microinches."),
        ("A gap of 0.5 Shore D points.", "A gap of half a Shore D step."),
        ("It reads 76.4 Shore D.", "It reads about 76 Shore D."),
        ("By 0.016667 percentage points or more.",
         "By about 17 thousandths of a percentage point or more."),
        ("At least 0.5% of it.", "At least half a percent of it."),
        ("About 0.04 inch wide.", "About 40 thousandths of an inch wide."),
        ("See section 3.10 and rule 2.1.", "See section 3.10 and rule 2.1."),
        ("From 17 to 27, in 2026.", "From 17 to 27, in 2026."),
        ("Version v2.5 and 1.2.3 stay.", "Version v2.5 and 1.2.3 stay."),
        ("A change of −0.5 boards.", "A change of minus half a board."),
        ("All 1,250.5 feet.", "All about 1,300 feet."),
        # A rule's own line is told as it stands, and what is told apart is heard apart.
        ("The limits: 50 to 57.5%.", "The limits: 50 to 57 and a half percent."),
        ("It averaged 0.3039 inches for one and 0.3004 for the other.",
         "It averaged about 304 thousandths of an inch for one and about 300 thousandths for the"
         " other."),
        ("By 0.81 boards, likely 0.71 to 0.90.",
         "By about four fifths of a board, likely seven tenths to nine tenths."),
        ("A link of 0.3.", "A link of three tenths."),
        # What somebody set as a limit is held to its last digit.
        ("They miss 0.299 inches or more.",
         "They miss 299 thousandths of an inch or more."),
        ("It meets the limit of 196.25 microinches.",
         "It meets the limit of 196 point two five microinches."),
        ("It reads 72.3 Shore D or less.", "It reads 72 point three Shore D or less."),
        ("By 0.833333 percentage points or more.",
         "By about four fifths of a percentage point or more."),
    ],
)  # fmt: skip
def test_decimals_in_a_finished_sentence(printed: str, heard: str) -> None:
    assert in_words(printed) == heard


def test_digits_are_counted_on_what_is_said() -> None:
    for printed, count in (("360 shots", 3), ("six balls", 1), ("one of them", 0),
                           ("21 microinches", 2), ("zero point one six", 3), ("1,250 games", 4),
                           ("100 balls, 8 of them", 4), ("by 20 or 30", 4), ("none", 0)):
        assert digits(spoken(printed)) == count, printed


def test_a_last_is_what_two_sentences_share_and_not_what_they_speak_of() -> None:
    one = last("The report says: “Hook drifted upward.” ")
    assert one == last("The report says: “Speed was constant.”")
    assert last("So that one is backed.") != last("That holds up in this data.")
    assert last("Balls differ.") == ""
    assert last("Now total hook inside each ball.") != last("What about hardness over use?")


def test_what_is_measured_is_what_is_there() -> None:
    long = "This sentence goes on and on " + "and on " * 10 + "for ever."
    found = measured(["Zero point five. " + long, "So that is it."] * 3, 0.5, ["Forty-two shots."])
    assert found.points == 3 and len(found.long) == 3
    assert found.digits == 3 * 2 + 2
    assert found.digits_a_minute == pytest.approx(16)
    assert any("3 ×" in one for one in found.alike)
    assert "“point” 3" in found.line and "3 sentences over 20 words" in found.line
    assert measured([], 0.0).digits_a_minute == 0.0
    assert measured(["It fell by 2 of 3 boards."], 1).crowded == ()  # figures are not yet said
    assert len(measured(["It fell by two, or by three boards."], 1).crowded) == 1


def test_sentences_end_at_stops_and_at_quotes() -> None:
    assert split("He said “No.” Then he left. At 3.5 boards? Yes.") == [
        "He said “No.”", "Then he left.", "At 3.5 boards?", "Yes.",
    ]  # fmt: skip
