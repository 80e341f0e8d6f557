"""One number, one rounding: as text, in the other system of units, aloud, in a cell and beside."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given, strategies as st

from explainer.words.quantity import numbers as say
from explainer.words.quantity.sizes import Sized, set_level, set_size
from explainer.words.quantity.spoken import spoken
from explainer.words.quantity.systems import converted, pieces

#: A unit, its counterpart, and how many of that one it is: exact by definition (NIST SP 811,
#: appendix B); a board is 41.5/39 in.
EXACTLY = {
    "inch": ("mm", Fraction("25.4")),
    "microinch": ("µm", Fraction("0.0254")),
    "mil": ("µm", Fraction("25.4")),
    "foot": ("m", Fraction("0.3048")),
    "board": ("cm", Fraction("41.5") / 39 * Fraction("2.54")),
    "mph": ("km/h", Fraction("1.609344")),
    "pound": ("kg", Fraction("0.45359237")),
    "ounce": ("g", Fraction("28.349523125")),
    "mm": ("in", 1 / Fraction("25.4")),
    "µm": ("µin", 1 / Fraction("0.0254")),
}  # fmt: skip
ESTIMATES = st.tuples(
    st.floats(-5000, 5000).filter(lambda v: abs(v) > 0.001), st.floats(0.01, 1),
    st.sampled_from(sorted(EXACTLY)),
)  # fmt: skip
_NUMBER = re.compile(r"−?[\d,]*\.?\d+")

_ONES = """zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen
fifteen sixteen seventeen eighteen nineteen"""
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
_WORDS = {word: n for n, word in enumerate(_ONES.split())}
_WORDS |= {word: 10 * n for n, word in enumerate(_TENS.split(), start=2)}


def heard(text: str) -> Decimal:
    """The number at the beginning of spoken words, by a reading of its own."""
    words = text.lower().replace("-", " ").split()
    sign = -1 if words[0] == "minus" else 1
    words = words[1:] if sign < 0 else words
    whole = group = 0
    places = ""
    for i, word in enumerate(words):
        if word == "point":
            for digit in words[i + 1 :]:
                if _WORDS.get(digit, 10) > 9:
                    break
                places += str(_WORDS[digit])
            break
        if word == "hundred":
            group *= 100
        elif word == "thousand":
            whole, group = whole + 1000 * group, 0
        elif word in _WORDS:
            group += _WORDS[word]
        else:
            break
    return sign * Decimal(f"{whole + group}.{places or 0}")


def told(text: str) -> Decimal:
    found = _NUMBER.search(text)
    assert found, text
    return Decimal(found[0].replace(",", "").replace("−", "-"))


def exact(figures: str, unit: str) -> Fraction:
    return Fraction(figures.replace(",", "").replace("−", "-")) * EXACTLY[unit][1]


def test_the_ear_of_this_test_hears() -> None:
    assert heard("minus one thousand two hundred five point zero five") == Decimal("-1205.05")
    assert heard("twenty-one microinches") == 21
    assert heard("zero point five three miles") == Decimal("0.53")


@given(ESTIMATES)
def test_each_form_of_an_estimate_is_of_one_rounding(estimate: tuple[float, float, str]) -> None:
    value, spread, unit = estimate
    low, high = sorted((value * (1 - spread / 2), value * (1 + spread)))
    figures = say.rounded(value, low, high)
    assume(told(figures) != 0)
    plain = say.quantity(value, unit, low, high)
    other = converted(figures, unit)
    # text and speech say the figures, and a switch, a bracket and a table's cell the other system
    assert told(plain) == told(figures) == heard(spoken(plain))
    (piece,) = (p for p in pieces(f"It is {plain}.") if p.other)
    assert told(piece.other) == told(other)
    both = say.both_systems(value, unit, "inch", low, high)
    assert {told(part) for part in both.split(" (")} == {told(figures), told(other)}
    (pair,) = (p for p in pieces(f"It is {both}.") if p.other)
    assert {told(pair.text), told(pair.other)} == {told(figures), told(other)}
    # aloud, the other system is the same number, too
    assert heard(spoken(piece.other)) == told(other)
    # and it is the told number's, to half of its own last digit
    last = Fraction(10) ** -len(other.partition(".")[2])
    digits = len(re.sub(r"\D", "", other).lstrip("0"))
    if "." not in other:  # a whole number is cut at the told number's digits
        shown = max(len(re.sub(r"\D", "", figures).lstrip("0")), 2)
        last = Fraction(10) ** max(digits - shown, 0)
    assert abs(Fraction(told(other)) - exact(figures, unit)) <= last / 2 * Fraction("1.000001")


@given(ESTIMATES)
def test_a_range_is_told_by_the_same_rounding_on_every_way(
    estimate: tuple[float, float, str],
) -> None:
    value, spread, unit = estimate
    low, high = sorted((value * (1 - spread / 2), value * (1 + spread)))
    ends = [say.rounded(end, low, high) for end in (low, high)]
    assume(all(told(end) != 0 for end in ends) and ends[0] != ends[1])
    sentence = say.with_range(value, low, high, unit)
    switched = "".join(p.other or p.text for p in pieces(sentence))
    numbers = [m.replace(",", "") for m in _NUMBER.findall(switched.replace("95% ", ""))]
    wanted = [converted(f, unit) for f in (say.rounded(value, low, high), *ends)]
    assert numbers == [w.replace(",", "") for w in wanted]
    assert Sized(value, low, high, unit).span_bare == " to ".join(ends)


@given(st.integers(-10**6, 10**6), st.integers(0, 4))
def test_halves_are_rounded_away_from_zero_at_every_place(n: int, places: int) -> None:
    """k + ½ of the last place: Python's own format would go to the even or the nearer binary."""
    value = float(f"{n}.5e-{places}")
    away = Decimal(abs(n) + 1).scaleb(-places)
    assert abs(told(say.fixed(value, -places))) == away


@pytest.mark.parametrize(
    ("value", "digits", "beside", "said"),
    [
        (-0.53125, 4, None, "−0.5313"), (0.125, 2, None, "0.13"), (0.135, 2, None, "0.14"),
        (12345.0, 4, None, "12,345"), (71.5, 4, None, "71.5"), (0.0, 4, None, "0"),
        (100.00021, 4, 100.0, "100.00021"), (5e-11, 4, None, "0.00000000005"),
    ],
)  # fmt: skip
def test_a_table_of_all_numbers(
    value: float, digits: int, beside: float | None, said: str
) -> None:
    assert say.to_digits(value, digits, beside) == said


def test_more_places_than_a_double_holds_are_no_error() -> None:
    assert say.fixed(1 / 3, -30).startswith("0.333333333333333")
    assert float(say.half_up(0.1, -40)) == 0.1


@given(st.decimals("-99999", "99999", places=4))
def test_what_was_given_is_printed_as_it_was_given(number: Decimal) -> None:
    assert told(say.as_given(float(number))) == number


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (196.25, "microinch", "196.25 microinches"), (73.0, "Shore D", "73 Shore D"),
        (1.0, "board", "1 board"), (1234.5678, "mm", "1,234.5678 millimeters"),
        (12.5, "percent", "12.5%"), (None, "mm", "not known"),
    ],
)  # fmt: skip
def test_a_limit_is_printed_as_it_was_given(value: float | None, unit: str, said: str) -> None:
    assert set_level(value, unit) == said


def test_a_margin_is_printed_as_it_was_given() -> None:
    assert set_size(196.25, "microinch") == "196.25 microinches"
    assert Sized(196.25, None, None, "microinch").size == "196 microinches"  # not one we found
    assert set_size(0.125, "rate") == "12.5 percentage points"
    assert set_size(-0.1, "share") == "10%"
    assert set_size(None, "board") is None
    assert Sized(-10.125, None, None, "board", given=True).signed == "−10.125 boards"


def test_a_limit_is_exact_in_the_other_system_wherever_it_stands() -> None:
    """The card said 1.27 µm and the page 1.3, which is 51 microinches."""
    limits = frozenset({("50", "microinch")})
    assert converted("50", "microinch", limits) == "1.27"
    said = [p.other for p in pieces("Read at least 50 microinches, or 51 microinches.", limits)]
    assert [s for s in said if s] == ["1.27 µm", "1.3 µm"]
    assert math.isclose(float(converted("50", "microinch")), 1.3)
