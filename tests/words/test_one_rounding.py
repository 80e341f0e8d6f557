"""One number, one rounding: as text, in the other system of units, aloud, in a cell and beside.

A number in a sentence of ours is known from its rounding on, and never read out of prose.
"""

from __future__ import annotations

import math
import pickle
import re
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import assume, given, strategies as st

from explainer import units
from explainer.claims.judge import judge
from explainer.study.load import find_study, load_study
from explainer.words.phrases.book import numbers_of
from explainer.words.phrases.renderer import Phrase, fill, sentence
from explainer.words.quantity import numbers as say
from explainer.words.quantity.numbers import bare
from explainer.words.quantity.sizes import Sized, per_step, set_level, set_range, set_size
from explainer.words.quantity.spoken import spoken
from explainer.words.quantity.systems import converted, pieces, told_again
from explainer.words.say import say as say_study
from explainer.words.sentence import KnownNumbers, Place, Sentence, known, put

ROOT = Path(__file__).resolve().parents[2]

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


def exact(value: float, unit: str) -> Fraction:
    return Fraction(value) * EXACTLY[unit][1]


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
    (piece,) = (p for p in pieces(put("It is {}.", plain)) if p.other)
    assert told(piece.other) == told(other)
    both = say.both_systems(value, unit, "inch", low, high)
    assert {told(part) for part in both.split(" (")} == {told(figures), told(other)}
    (pair,) = (p for p in pieces(put("It is {}.", both)) if p.other)
    assert {told(pair.text), told(pair.other)} == {told(figures), told(other)}
    # aloud, the other system is the same number, too
    assert heard(spoken(piece.other)) == told(other)
    # and it is rounded once, as the first is: to half of its own last digit
    last = Fraction(10) ** -len(other.partition(".")[2])
    digits = len(re.sub(r"\D", "", other).lstrip("0"))
    if "." not in other:  # a whole number is cut at the told number's digits
        # which end where it was rounded to: 100 for 95 has one digit and a 0 that was rounded
        shown = Decimal(abs(told(figures))).adjusted() - figures.place + 1
        last = Fraction(10) ** max(digits - max(shown, 2), 0)
    assert abs(Fraction(told(other)) - exact(value, unit)) <= last / 2 * Fraction("1.000001")


@given(ESTIMATES)
def test_a_range_is_told_by_the_same_rounding_on_every_way(
    estimate: tuple[float, float, str],
) -> None:
    value, spread, unit = estimate
    low, high = sorted((value * (1 - spread / 2), value * (1 + spread)))
    ends = [say.rounded(end, low, high) for end in (low, high)]
    assume(all(told(end) != 0 for end in ends) and ends[0] != ends[1])
    sentence = Sized(value, low, high, unit).span
    switched = "".join(p.other or p.text for p in pieces(sentence))
    numbers = [m.replace(",", "") for m in _NUMBER.findall(switched)]
    # both to one digit, that of the finer: 2.7 to 10.8, though 10.8 alone would be 11
    last = max(len(converted(figures, unit).partition(".")[2]) for figures in ends)
    wanted = [say.fixed(units.convert(end.value, unit, EXACTLY[unit][0]), -last) for end in ends]
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


def test_two_ends_of_a_range_are_rounded_alike() -> None:
    """Ten times a slope of −0.045 comes out as −0.44999999999999929: a half all the same."""
    ten = 10 * -0.04499999999999993
    assert (say.fixed(ten, -1), say.fixed(-ten, -1)) == ("−0.5", "0.5")
    assert say.fixed(0.4499999, -1) == "0.4"
    slope, step = per_step(Sized(0.0, -0.04499999999999993, 0.0458, "mph per shot", widest=30))
    assert slope.reach("drift down", "drift up") == (
        "a drift down of 0.5 miles per hour to a drift up of 0.5")
    assert step == "for every 10 shots"


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


def test_one_at_the_end_of_a_range_is_several_and_alone_it_is_one() -> None:
    from explainer.words.facts.figure_paths import _feet
    from explainer.words.page.strips import _levels, _limit_zone, _span

    assert set_range(0.5, 1.0, "board") == "0.5 to 1 boards"
    assert _limit_zone((0.5, 1.0), "board") == "between 0.5 and 1 boards"
    assert _limit_zone((None, 1.0), "board") == "at or below 1 board"
    assert _levels((0.5, 1.0), "board", " and ") == "0.5 and 1 boards"
    assert _span((-1.0, 1.0), "board", " and ") == "−1 and 1 boards"
    assert Sized(-0.2, -1.0, 0.4, "board").range_unit == "a drop of 1.0 boards to a rise of 0.4"
    assert Sized(5.0, 1.0, None, "board").span == "1 board and up"
    assert [_feet(1.0), _feet(35.0), _feet(1.0, many=True)] == ["1 foot", "35 feet", "1 feet"]


def test_a_margin_is_printed_as_it_was_given() -> None:
    assert set_size(196.25, "microinch") == "196.25 microinches"
    assert Sized(196.25, None, None, "microinch").size == "196 microinches"  # not one we found
    assert set_size(0.125, "rate") == "12.5 percentage points"
    assert set_size(-0.1, "share") == "10%"
    assert set_size(None, "board") is None
    assert Sized(-10.125, None, None, "board", given=True).signed == "−10.125 boards"


def test_a_limit_is_exact_in_the_other_system_wherever_it_stands() -> None:
    """The card said 1.27 µm and the page 1.3, which is 51 microinches."""
    limits = {("50", "microinch"): 3}
    assert converted("50", "microinch", limits) == "1.27"
    assert [converted(edge, "inch", {(edge, "inch"): 6}) for edge in ("0.3", "0.301")] == [
        "7.62", "7.6454"]  # fmt: skip
    assert converted("−4", "board", {("−4", "board"): 6}) == "−10.8113"  # a minus crashed it
    said = [p.other for p in pieces("Read at least 50 microinches, or 51 microinches.", limits)]
    assert [s for s in said if s] == ["1.27 µm", "1.3 µm"]
    assert math.isclose(float(converted("50", "microinch")), 1.3)


# --- numbers that a sentence of ours knows

SIZES = st.tuples(
    st.floats(-500, 500).filter(lambda v: abs(v) > 0.01), st.floats(0.05, 0.9),
    st.sampled_from(sorted(EXACTLY)),
)  # fmt: skip


def spoken_by_a_phrase(text: str, **facts: str) -> tuple[str, KnownNumbers]:
    numbers = KnownNumbers()
    return numbers.keep(fill(Phrase(text, "a.yaml", 1), facts).through(sentence)), numbers


def switched(text: str, numbers: KnownNumbers) -> str:
    return "".join(p.other or p.text for p in pieces(text, numbers=numbers))


def sized(size: tuple[float, float, str]) -> Sized:
    value, spread, unit = size
    low, high = sorted((value * (1 - spread / 2), value * (1 + spread)))
    return Sized(value, low, high, unit)


@given(SIZES, SIZES)
def test_every_number_of_a_sentence_is_told_in_the_other_system_by_its_own_unit(
    first: tuple[float, float, str], second: tuple[float, float, str]
) -> None:
    """Two units in one sentence, and ends of ranges that name neither: prose could not tell."""
    a, b = sized(first), sized(second)
    assume(not a.vanishes and not b.vanishes and a.span_bare.count("0.0") < 2)
    text, numbers = spoken_by_a_phrase(
        "it went up by {{ a }} ({{ a_span }}) where grit 500 had {{ b_bare }} of {{ b }}",
        a=a.size, a_span=a.span_bare, b=b.size, b_bare=b.bare,
    )  # fmt: skip
    before = [told(n) for n in _NUMBER.findall(text.replace("grit 500", ""))]
    after = _NUMBER.findall(switched(text, numbers).replace("grit 500", ""))
    units = [a.unit] * 3 + [b.unit] * 2
    behind = [abs(a.value or 0), a.low, a.high, abs(b.value or 0), abs(b.value or 0)]
    assert len(before) == len(after) == 5
    for number, value, now, unit in zip(before, behind, after, units, strict=True):
        # one rounding: the other system is of the number itself, to half of its own last digit
        places = len(now.partition(".")[2])
        shown = re.sub(r"\D", "", str(number)).lstrip("0")
        digits = max(len(shown if "." in str(number) else shown.rstrip("0")), 2)
        whole = len(re.sub(r"\D", "", now).lstrip("0"))
        last = Fraction(10) ** (-places if places else max(whole - digits, 0))
        far = abs(Fraction(told(now)) - exact(value or 0.0, unit))
        assert far <= last / 2 * Fraction("1.000001"), (number, now, unit)


@given(SIZES)
def test_text_metric_and_speech_tell_one_rounding(size: tuple[float, float, str]) -> None:
    a = sized(size)
    assume(not a.vanishes)
    text, numbers = spoken_by_a_phrase("it is {{ a }}", a=a.size)
    (piece,) = (p for p in pieces(text, numbers=numbers) if p.other)
    assert told(piece.text) == told(a.size) == heard(spoken(a.size))
    assert told(piece.other) == heard(spoken(piece.other))
    switch = told_again(text, piece.system, numbers=numbers)
    assert switch == text.replace(piece.text, piece.other) != text


@pytest.mark.parametrize(
    ("value", "said", "metric"),
    [(0.125, "0.125 inches", "3.18 mm"), (2.5, "2.5 inches", "64 mm"), (0.5, "0.5 inches", "13 mm"),
     (12.25, "12.25 inches", "311.2 mm")],
)  # fmt: skip
def test_halves_go_up_in_both_systems(value: float, said: str, metric: str) -> None:
    """3.175 mm is told as 3.18, 63.5 mm as 64, 311.15 mm as 311.2."""
    text, numbers = spoken_by_a_phrase("{{ a }}", a=set_size(value, "inch") or "")
    assert (text, switched(text, numbers)) == (said, metric)


def test_what_prose_would_have_to_guess_is_known() -> None:
    slope, step = per_step(Sized(0.083, 0.05, 0.11, "board per microinch"))
    text, numbers = spoken_by_a_phrase(
        "about {{ size }} {{ step }}, likely {{ range }}", size=slope.size, step=step,
        range=slope.range,
    )  # fmt: skip
    assert text == "About 0.83 boards for every 10 microinches, likely 0.50 to 1.10"
    assert switched(text, numbers) == "About 2.2 cm for every 0.254 µm, likely 1.35 to 2.97"
    drop = Sized(-0.5, -2.6, 1.6, "board")
    text, numbers = spoken_by_a_phrase("{{ a }} at ball 7 of 12.", a=drop.range_unit)
    assert switched(text, numbers) == "A drop of 7.0 cm to a rise of 4.3 at ball 7 of 12."
    assert told_again(text, "metric", numbers=numbers) == switched(text, numbers)


def test_a_unit_that_the_phrase_says_belongs_to_the_number() -> None:
    text, numbers = spoken_by_a_phrase("from {{ a }} to {{ b }} feet", a=bare("0", "foot"),
                                       b=bare("60", "foot"))  # fmt: skip
    assert switched(text, numbers) == "From 0 to 18 m"


def test_a_decimal_of_which_nothing_is_known_keeps_the_sentence_as_it_is() -> None:
    text, numbers = spoken_by_a_phrase("it fell by {{ a }}, not by 2.6", a=known("2 boards", "2",
                                                                              "board"))  # fmt: skip
    assert switched(text, numbers) == "It fell by 2 boards (5.4 cm), not by 2.6"


def test_told_in_metric_it_is_known_still() -> None:
    text, numbers = spoken_by_a_phrase("a drop of {{ a }}", a=Sized(2, 1, 3.2, "board").range_unit)
    metric = told_again(text, "metric", numbers=numbers)
    assert metric == "A drop of 2.7 to 8.6 cm"
    assert [(p.figures, p.unit, p.whole) for p in numbers.of(metric)] == [
        ("2.7", "cm", False), ("8.6", "cm", True),
    ]  # fmt: skip


def test_a_sentence_is_known_by_its_words_wherever_it_stands() -> None:
    text, numbers = spoken_by_a_phrase("the gap is {{ a }}", a=bare("7", "board"))
    for there in (text, f"  {text}.", text.lower(), f"{text}!"):
        (place,) = numbers.of(there)
        assert there[place.start : place.end] == "7"
    assert numbers.of("The gap is 8") == ()


def test_the_same_words_of_two_units_are_not_known() -> None:
    _, numbers = spoken_by_a_phrase("the gap is {{ a }}", a=bare("7", "board"))
    numbers.keep(fill(Phrase("The gap is {{ a }}", "a.yaml", 1), {"a": bare("7", "mph")}))
    assert numbers.of("The gap is 7") == ()


def test_the_same_number_twice_is_two_numbers() -> None:
    """Each keeps its own unit, and a number that only looks alike has none."""
    text, numbers = spoken_by_a_phrase("3 in {{ a }} and 3 or {{ b }}", a=bare("3", "board"),
                                       b=bare("3", "mph"))  # fmt: skip
    assert [(p.start, p.unit) for p in numbers.of(text)] == [
        (text.index("in 3") + 3, "board"), (text.index("or 3") + 3, "mph"),
    ]  # fmt: skip
    assert text == "Three in 3 and 3 or 3"


def test_a_macro_a_joined_text_and_a_set_one_keep_or_lose_it_but_never_mix_it_up() -> None:
    text, numbers = spoken_by_a_phrase(
        "{% macro m(x) %}<{{ x }}>{% endmacro %}{{ m(b) }} {{ a ~ '!' }} {{ m(a) }}",
        a=bare("5", "inch"), b=bare("6", "board"),
    )  # fmt: skip
    assert text == "<6> 5! <5>"
    assert [(text[p.start : p.end], p.unit) for p in numbers.of("<6> 5!")] == [("6", "board")]


def test_a_stranger_cannot_bring_an_edge_along() -> None:
    text, numbers = spoken_by_a_phrase("\U000f0000{{ a }} {{ b }}\uf8f0\U000f00ff9\uf8f0",
                                       a="7", b=bare("8", "board"))  # fmt: skip
    assert text == "7 89"
    assert [(p.start, p.end, p.unit) for p in numbers.of(text)] == [(2, 3, "board")]


def test_a_sentence_is_text_and_may_be_sent_and_taken_apart() -> None:
    whole = put("{} and {}", bare("1", "board"), "2")
    assert isinstance(whole, str) and whole == "1 and 2"
    assert whole.places == (Place(0, 1, "1", "board", whole=False),)
    sent = pickle.loads(pickle.dumps(whole))
    assert (sent, sent.places) == (whole, whole.places)
    assert whole.part(0, 1).places == whole.places and whole.part(1, 7).places == ()
    assert whole.through(lambda text: f"2, {text}").places[0].start == 3
    assert whole.through(lambda text: text.replace("1", "one")).places == ()
    assert Sentence("a").places == ()


@pytest.mark.parametrize("study", ["cover-texture", "sixty-shots", "three-balls"])
def test_in_the_examples_no_number_of_ours_is_read_out_of_prose(study: str) -> None:
    """In a sentence with known numbers there is no size left that only a reader would find."""
    workspace, folder = find_study(study, ROOT)
    judgement = judge(load_study(folder, workspace))
    words = say_study(judgement)
    numbers = numbers_of(judgement)
    ours = [s for s in numbers.sentences() if numbers.of(s)]
    assert len(ours) > 30
    assert any(numbers.of(figure.shows.partition(". ")[0]) for figure in words.figures.values())
    read = [
        (s, p.text) for s in ours for p in pieces(s, numbers=numbers) if p.other and not p.known
    ]
    assert read == []


@pytest.mark.parametrize(("r", "low", "high", "told"), [
    (0.9972, 0.9265, 0.9999, "0.997, 0.93 to 0.9999"), (1.0, 1.0, 1.0, "1, 1 to 1"),
    (-0.9972, -0.9999, -0.9265, "−0.997, −0.9999 to −0.93"), (0.62, 0.1, 0.9, "0.6, 0.1 to 0.9"),
])  # fmt: skip
def test_a_link_that_is_not_perfect_is_not_told_as_one(r, low, high, told):
    """Whatever it is held against: two claims of one page tell one link alike."""
    sized = Sized(r, low, high, "r", against=(0.3,))
    assert f"{sized.signed}, {sized.span}" == told
