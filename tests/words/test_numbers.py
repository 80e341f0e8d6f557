"""Numbers as readers meet them."""

from __future__ import annotations

import math
import re
from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from explainer.words.quantity import numbers as say
from explainer.words.quantity.sizes import rough_alike
from explainer.words.quantity.systems import pieces
from explainer.words.sentence import put

ANY = st.floats(allow_nan=True, allow_infinity=True)
ORDINARY = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)


@pytest.mark.parametrize(
    ("half_width", "kept"),
    [
        # Particle Data Group, Phys. Rev. D 98 (2018) 030001, Introduction 5.3.  Its rule as
        # quoted, and the two worked values, at https://rubydoc.info/gems/pdground/0.1.4
        ((12.2135, 0.03215), "12.214"),
        ((12.2135, 0.06515), "12.21"),
        # https://drupal.star.bnl.gov/STAR/pwg/common/policies/significant-digits-hepdata-table
        ((0.279008, 0.0123261), "0.279"),
        ((0.279008, 0.0766099), "0.28"),
        # the edges the rule names: 354 and 355, 949 and 950
        ((0.827, 0.0354), "0.827"),
        ((0.827, 0.0355), "0.83"),
        ((0.827, 0.949), "0.8"),
        ((0.827, 0.950), "0.8"),
    ],
)
def test_digits_by_the_published_rule(half_width: tuple[float, float], kept: str) -> None:
    value, half = half_width
    assert say.rounded(value, value - half, value + half) == kept


@pytest.mark.parametrize(
    ("value", "low", "high", "said"),
    [
        (-21.34, -25.2, -17.4, "−21"),
        (71.4, 70.1, 72.7, "71.4"),
        (-0.2, -12.0, 13.0, "0"),
        (-0.02, -0.5, 0.5, "0.0"),
        (-1240.0, -1690.0, -790.0, "−1,200"),
        (3.2, -42.0, 48.0, "3"),  # never coarser than the units below a hundred
        (0.71, 0.1, 0.93, "0.7"),
        (71.4, 71.39999, 71.40001, "71.400"),  # at most five digits, however narrow the range
        (12.0, 14.0, 10.0, "12.0"),  # ends the wrong way round
        (2.5, None, 3.0, "2.5"),
        (2.5, 2.5, 2.5, "2.5"),
        (2.5, float("-inf"), 3.0, "2.5"),
    ],
)
def test_rounded_by_its_range(
    value: float, low: float | None, high: float | None, said: str
) -> None:
    assert say.rounded(value, low, high) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (2.5, "2.5"), (2.55555, "2.56"), (0.125, "0.125"), (60.0, "60"), (71.44, "71.4"),
        (0.5, "0.5"), (2.0, "2"), (1234.0, "1,234"), (1234.6, "1,230"), (123456.7, "123,000"),
        (0.0, "0"), (-0.0, "0"), (-7.25, "−7.25"), (0.0045, "0.0045"), (1e-9, "almost 0"),
        (-1e-9, "almost 0"), (99.96, "100"), (None, "not known"), (float("nan"), "not known"),
        (float("inf"), "not known"), (2.345, "2.35"), (-2.345, "−2.35"),
    ],
)  # fmt: skip
def test_rounded_without_a_range(value: float | None, said: str) -> None:
    assert say.rounded(value) == said


@given(ANY, st.none() | ANY, st.none() | ANY)
def test_never_a_machine_number(value: float, low: float | None, high: float | None) -> None:
    text = say.rounded(value, low, high)
    assert not re.search(r"nan|inf|e[-+]?\d|-|−0(?:\.0*)?(?![\d.])", text)
    assert text


@given(ORDINARY, st.floats(min_value=1e-3, max_value=1e5))
def test_what_is_shown_is_within_half_a_half_width(value: float, half: float) -> None:
    """Rounding may move a value by a fraction of its range only; one digit: 0.5/3.55 at most."""
    text = say.rounded(value, value - half, value + half)
    shown = float(text.replace("−", "-").replace(",", ""))
    narrowest = max(abs(value), half) * 10.0 ** (1 - say.MOST_DIGITS)
    assert abs(shown - value) <= 0.5 * max(half / 3.5, narrowest) * (1 + 1e-6) + 1e-9


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (-21, "microinch", "−21 microinches"), (1, "board", "1 board"), (-1, "board", "−1 board"),
        (0.5, "board", "0.5 boards"), (0, "board", "0 boards"), (27.9, "percent", "27.9%"),
        (58.2, "Shore D", "58.2 Shore D"), (8, "count", "8"), (0.7, "", "0.7"),
        (3, "degree", "3 degrees"), (2, "foot", "2 feet"), (8, "games", "8 games"),
        (3, "frame", "3 frames"), (None, "inch", "not known"), (16.5, "mph", "16.5 miles per hour"),
    ],
)  # fmt: skip
def test_quantity(value: float | None, unit: str, said: str) -> None:
    assert say.quantity(value, unit) == said


def test_one_that_is_not_exactly_one_is_plural() -> None:
    assert say.quantity(1.04, "board", 0.2, 1.8) == "1.0 boards"


@given(
    st.floats(0.001, 5000), st.floats(0.01, 1),
    st.sampled_from(["board", "inch", "foot", "microinch", "mil", "mph", "pound", "mm", "km/h"]),
)  # fmt: skip
def test_one_rounding_for_both_systems(value: float, spread: float, unit: str) -> None:
    """Beside a number, or read off a page's switch: the other system says one and the same.

    2.475 boards were told as 6.7 cm in one place and as 6.8 in another, since one place converted
    the number and the other what was told of it.
    """
    low, high = value * (1 - spread / 2), value * (1 + spread)
    both = say.both_systems(value, unit, "inch", low, high)
    alone = say.quantity(value, unit, low, high)
    (piece,) = (p for p in pieces(put("It is {}", alone)) if p.other)
    inner = both[both.index("(") + 1 : -1]
    told, switched = (re.search(r"[\d.,]+", text)[0] for text in (inner, piece.other))  # type: ignore[index]
    outside = re.search(r"[\d.,]+", both)[0]  # type: ignore[index]
    assert switched in (told, outside)


def test_what_is_behind_a_told_number_is_converted() -> None:
    """0.93 miles per hour, told as 0.9, is 1.5 km/h and not 1.4."""
    assert say.both_systems(0.93, "mph", "inch", 0.18, 1.6) == "0.9 miles per hour (1.5 km/h)"
    assert say.told_in("0.9", "mph", "km/h") == "1.4"  # in prose there is nothing behind it
    assert say.both_systems(2.475, "board", "inch", 1.9, 3.1) == "2.5 boards (6.7 cm)"
    assert [p.other for p in pieces("about 2.5 boards") if p.other] == ["6.8 cm"]


@pytest.mark.parametrize(
    ("value", "unit", "first", "said"),
    [
        # 1 in = 25.4 mm exactly (NIST SP 811); a board 41.5/39 in (common practice, no source)
        (21, "microinch", "inch", "21 microinches (0.53 µm)"),
        (1, "board", "inch", "1 board (2.7 cm)"),
        (53, "mm", "inch", "2.1 inches (53 mm)"),
        (53, "mm", "metric", "53 millimeters (2.1 in)"),
        (2.7, "cm", "metric", "2.7 centimeters (1.1 in)"),
        (2.7, "board", "metric", "7.3 centimeters (2.7 boards)"),
        (16.5, "mph", "inch", "16.5 miles per hour (26.6 km/h)"),
        (15, "pound", "inch", "15 pounds (6.8 kg)"),
        (60, "foot", "inch", "60 feet (18 m)"),
        (0, "inch", "inch", "0 inches (0 mm)"),
        (3, "degree", "inch", "3 degrees"),
        (8, "game", "metric", "8 games"),
        (58.2, "Shore D", "inch", "58.2 Shore D"),
        (None, "inch", "inch", "not known"),
    ],
)
def test_both_systems(value: float | None, unit: str, first: str, said: str) -> None:
    assert say.both_systems(value, unit, first) == said


def test_both_systems_by_the_range() -> None:
    assert say.both_systems(-7.2, "board", "inch", -9.0, -5.4) == "−7.2 boards (−19 cm)"


@pytest.mark.parametrize(
    ("inches", "said"),
    [
        (0.0625, "a sixteenth of an inch"), (0.125, "an eighth of an inch"),
        (0.13, "about an eighth of an inch"), (0.19, "about three sixteenths of an inch"),
        (0.25, "a quarter of an inch"), (0.36, "about three eighths of an inch"),
        (0.5, "half an inch"), (0.64, "about five eighths of an inch"),
        (0.74, "about three quarters of an inch"), (0.9, "about seven eighths of an inch"),
        (0.96, "about an inch"), (0.05, None), (0.09, None), (2.0, None), (0.0, None),
        (-0.125, None), (float("nan"), None),
    ],
)  # fmt: skip
def test_fraction_of_inch(inches: float, said: str | None) -> None:
    if said is not None and inches == 0.74:
        assert abs(0.74 / 0.75 - 1) > 0.01  # so "about" is due
    assert say.fraction_of_inch(inches) == said


@pytest.mark.parametrize(
    ("n", "noun", "said"),
    [
        (8, "ball", "eight balls"), (1, "ball", "one ball"), (0, "ball", "no balls"),
        (10, "pin", "ten pins"), (11, "pin", "11 pins"), (1200, "shot", "1,200 shots"),
        (2, "person", "two people"), (3, "league secretary", "three league secretaries"),
        (2, "box", "two boxes"), (2, "day", "two days"), (2, "half", "two halves"), (4, "", "four"),
    ],
)  # fmt: skip
def test_count_words(n: int, noun: str, said: str) -> None:
    assert say.count_words(n, noun) == said


def test_ordinals() -> None:
    said = [say.ordinal(n) for n in (1, 2, 3, 10, 11, 12, 13, 21, 22, 23, 101, 111, 1002)]
    assert said == [
        "first", "second", "third", "tenth", "11th", "12th", "13th", "21st", "22nd", "23rd",
        "101st", "111th", "1,002nd",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.73, "about three quarters"), (0.75, "three quarters"), (0.5, "half"),
        (0.33, "about a third"), (0.66, "about two thirds"), (0.1, "a tenth"),
        (0.92, "about nine tenths"), (0.97, "97%"), (0.58, "about three fifths"),
        (0.45, "45%"), (0.0, "none"), (1.0, "all"), (1.1, "110%"), (-0.1, "−10%"),
        (None, "not known"), (0.004, "0.4%"),
    ],
)  # fmt: skip
def test_share_words(share: float | None, said: str) -> None:
    assert say.share_words(share) == said


@pytest.mark.parametrize(
    ("p", "said"),
    [
        (0.012, "p = 0.012"), (0.00099, "p < 0.001"), (0.001, "p = 0.001"), (0.0, "p < 0.001"),
        (0.35, "p = 0.35"), (0.0497029, "p = 0.0497"), (0.0526733, "p = 0.053"),
        (0.05, "p = 0.050"), (0.04999, "p just under 0.05"), (0.05001, "p just over 0.05"),
        (0.0997, "p = 0.10"), (1.0, "p > 0.99"), (None, "no p-value"),
        (float("nan"), "no p-value"),
    ],
)  # fmt: skip
def test_p_words(p: float | None, said: str) -> None:
    assert say.p_words(p) == said


@given(st.floats(min_value=0, max_value=1))
def test_p_words_keep_the_side_of_five_per_cent(p: float) -> None:
    text = say.p_words(p)
    number = re.fullmatch(r"p = (0\.\d+)", text)
    if number and p != 0.05:
        assert (float(number[1]) < 0.05) == (p < 0.05)


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.73, "73%"), (0.0, "0%"), (1.0, "100%"), (0.004, "0.4%"), (0.9999, "more than 99.9%"),
        (0.00001, "less than 0.1%"), (0.996, "99.6%"), (0.005, "0.5%"), (1.2, "120%"),
        (None, "not known"),
    ],
)  # fmt: skip
def test_percent(share: float | None, said: str) -> None:
    assert say.percent(share) == said


def test_percent_by_its_range() -> None:
    assert say.percent(0.7312, 0.60, 0.86) == "73%"
    assert say.percent(0.7312, 0.725, 0.737) == "73.1%"


@given(ANY)
def test_every_sentence_piece_survives_any_number(value: float) -> None:
    pieces = [
        say.quantity(value, "board"), say.both_systems(value, "microinch"),
        say.share_words(value), say.p_words(value), say.percent(value),
        say.fraction_of_inch(value) or "none",
    ]  # fmt: skip
    for piece in pieces:
        assert not re.search(r"\bnan\b|\binf\b|\de[-+]?\d", piece)
        assert piece.strip()
    assert math.isfinite(value) or pieces[0] == "not known"


@pytest.mark.parametrize(
    ("value", "other", "said"),
    [
        (107.868155, 107.868138, "107.868155"),  # silver by two instruments: NIST's AtmWtAg
        (107.868138, 107.868155, "107.868138"),
        (71.4, 50.2, "71.4"),
        (50.0, 71.4, "50"),
        (5.0, 3.0, "5"),
        (108.0, 108.0, "108"),
        (0.0, 1e-4, "0"),
        (15.003, None, "15"),
    ],
)
def test_two_readings_can_be_told_apart(value, other, said):
    assert say.telling(value, other) == said


READING = st.floats(min_value=-1e5, max_value=1e5).filter(lambda v: abs(v) > 1e-3)


@given(READING, READING)
def test_whoever_subtracts_two_printed_readings_finds_the_printed_gap(a, b):
    first, second, gap = say.told_apart(a, b)
    if say.words("almost-zero") in (first, second, gap):
        return
    plain = [Decimal(t.replace(",", "").replace("−", "-")) for t in (first, second, gap)]
    assert plain[2] == abs(plain[0] - plain[1])
    # One digit of the last place at most from what it is: two halves may round apart.
    finest = min(int(n.as_tuple().exponent) for n in plain)
    if max(abs(a), abs(b)) >= 10_000:  # three digits of such
        finest = max(finest, say.leading(max(abs(a), abs(b))) - 2)
    assert abs(float(plain[2]) - abs(a - b)) <= 10.0**finest * (1 + 1e-9)


@pytest.mark.parametrize(
    ("first", "second", "unit", "other", "told"),
    [
        (12.0, 11.5, "board", "cm", ["32.43", "31.08", "1.35"]),  # 32.4 less 31.1 is not half one
        (112.0, 85.0, "microinch", "µm", ["2.845", "2.159", "0.686"]),
        (60.0, 30.0, "microinch", "µm", ["1.52", "0.76", "0.76"]),
    ],
)
def test_the_same_holds_in_the_other_system(first, second, unit, other, told):
    pair = say.told_apart(first, second)
    assert [say.told_in(figures, unit, other) for figures in pair] == told


@pytest.mark.parametrize(
    ("first", "second", "told"),
    [
        (80.04, 95.88, ("80.04", "95.88", "15.84")),  # 15.9 of 80.0 and 95.9 is no rounded 15.84
        (11.5, 9.54, ("11.5", "9.54", "1.96")),
        (66.7, 68.76, ("66.7", "68.8", "2.1")),
        (76.08, 107.4, ("76.1", "107.4", "31.3")),
        (0.30018, 0.3015, ("0.3002", "0.3015", "0.0013")),
    ],
)
def test_a_printed_gap_is_the_difference_itself_rounded_once(first, second, told):
    assert say.told_apart(first, second) == told


def test_the_noise_of_arithmetic_does_not_tip_a_half() -> None:
    """23 of 80 is 28.75%; as a share times a hundred it comes out a hair less."""
    share = 23 / 80
    assert 100 * share < 28.75
    assert say.rounded(100 * share) == say.rounded(28.75) == "28.8"


def test_a_figure_in_the_digits_of_another_script_is_read() -> None:
    from explainer.words.quantity.numerals import figure

    assert figure("٣٤") == figure("34") == "thirty-four"


def test_changes_that_are_told_beside_each_other_stand_in_their_order_as_printed() -> None:
    """76 to 74.98 alone is told as 76 to 75, a change of 1, and one of 1.02 beside it as more."""
    pairs = [(75.02, 74.10), (75.06, 74.06), (76.00, 74.98), (76.06, 75.02)]
    assert say.told_apart(*pairs[2]) == ("76", "75", "1")
    place = say.place_beside(pairs)
    told = [say.told_apart(*pair, place) for pair in pairs]
    assert told[2] == ("76", "74.98", "1.02")
    assert [gap for _, _, gap in told] == ["0.92", "1", "1.02", "1.04"]


def test_two_changes_that_are_compared_are_as_sharp_as_each_other() -> None:
    """0.96 and 1 would be 0.04 apart, where 0.956 and 1.02 are 0.06."""
    def told(*values: float) -> list[str]:
        return [sized.bare for sized in rough_alike(values, "Shore D")]

    assert told(-0.956, -1.02) == ["0.96", "1.02"]
    assert told(21.3, -23.4) == ["21", "23"]
    assert told(0.00123, 12.345, 0.0) == ["0.0012", "12.35", "next to nothing"]
