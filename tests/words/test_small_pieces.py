"""Pieces that sentences are built from: sides with their noun, readings to one decimal, lengths."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from explainer import units
from explainer.claims.verdict import NumbersTable, Strip
from explainer.editions.numbers import _edges, _exact, _other, _other_place, _sided
from explainer.study.description.sources import Measure
from explainer.words.facts.comparatives import word
from explainer.words.facts.figure_sizes import at_most
from explainer.words.facts.further_kinds import _sure_of
from explainer.words.facts.items import PEOPLE, pronouns, side
from explainer.words.facts.kinds import link_told
from explainer.words.facts.relations import in_steps, meets, relations
from explainer.words.facts.zone import left_between, limit_digits, reaching, uncalled
from explainer.words.quantity.everyday import Clause, fitted
from explainer.words.quantity.numbers import as_given, bare, telling, told_apart, unit_words
from explainer.words.quantity.sizes import Sized, alike, gap_unit, level, per_step, with_unit
from explainer.words.quantity.systems import converted, pieces
from explainer.words.sentence import put


@pytest.mark.parametrize(
    ("value", "by", "said"),
    [
        ("used", "life", "used balls"),
        ("New", "life", "New balls"),
        ("long", "pattern", "the long pattern"),
        ("long pattern", "pattern", "long pattern"),
        ("Plover", "model", "Plover"),
        ("drug 2", "drug", "drug 2"),
        ("60", "games", "60"),
    ],
)
def test_a_side_is_named_as_a_sentence_needs_it(value: str, by: str, said: str) -> None:
    assert side(value, by, "balls") == said


def test_people_are_not_things() -> None:
    assert pronouns("ball")["itself"] == "itself"
    for person in PEOPLE:
        assert not {"itself", "its", "that"} & set(pronouns(person).values())


@pytest.mark.parametrize(
    ("first", "second", "change", "unit", "said"),
    [
        (76.6, 76.5375, 0.0625, "Shore D", ("76.60 Shore D", "76.54")),
        (74.63, 52.58, 22.0, "microinch", ("74.6 microinches", "52.6")),
        (12.0, 13.0, 1.0, "board", ("12 boards", "13")),
        (46.1, 52.0, 5.9, "percent", ("46.1%", "52.0")),
    ],
)
def test_two_readings_stand_to_the_same_decimal(
    first: float, second: float, change: float, unit: str, said: tuple[str, str]
) -> None:
    """Whoever subtracts finds the change that is said beside them."""
    sized = Sized(change, change * 0.2, change * 1.8, gap_unit(unit))
    assert alike(first, second, sized, unit) == said


def test_readings_that_would_read_the_same_are_told_apart() -> None:
    told = alike(8.30001, 8.3, Sized(0.00001, -0.4, 0.4, "board"), "board")
    assert told[0].split()[0] != told[1]


def test_a_change_of_next_to_nothing_lends_its_ends_no_digits_of_its_own() -> None:
    """Hook read to a tenth of a board started at 10.0611 boards, it said."""
    told = alike(10.0611, 10.0667, Sized(0.005556, -1.66, 1.67, "board"), "board")
    assert told == ("10.06 boards", "10.07")


def test_percentages_differ_by_percentage_points() -> None:
    scaled, step = per_step(Sized(4.8, 0.9, 8.7, "percent per mph"))
    assert (scaled.size, step) == ("5 percentage points", "for every mile per hour")
    assert per_step(Sized(-0.018, -0.026, -0.009, "board per percent"))[1] == (
        "for every 10 percentage points"
    )


@pytest.mark.parametrize(
    ("limit", "guard", "close", "reach", "low", "high"),
    [
        (73.0, 0.7164, (72.3, 73.1), "0.716", "72.284", "73.716 Shore D"),
        (55.0, 2.46728, (53.0,), "2.467", "52.533", "57.467 Shore D"),  # 2.47 would reach too far
        (12.0, 0.49346, (11.51,), "0.493", "11.507", "12.493 Shore D"),
        (12.0, 0.49346, (11.5067,), "0.49346", "11.50654", "12.49346 Shore D"),  # an average
        (50.0, 2.0, (48.5,), "2.00", "48.00", "52.00 Shore D"),
    ],
)
def test_a_zone_reaches_as_far_as_it_is_said_to(
    limit: float, guard: float, close: tuple[float, ...], reach: str, low: str, high: str
) -> None:
    """JCGM 106:2012 calls what lies a guard band or more beyond a limit, so none of that is said to
    be in the zone; nor does a reading that stands in it lie outside what is said.  It was told as
    2.47 to both sides of 55, from 52.6 to 57.4."""
    said = reaching(guard, (limit,), close)
    ends = uncalled(limit, said, "Shore D")
    assert (said, *ends) == (reach, low, high)
    first, last = float(low), float(high.split()[0])
    assert limit - guard <= first + 1e-9 and last - 1e-9 <= limit + guard
    assert all(first <= v <= last for v in close)
    assert math.isclose(first + float(reach), limit) and math.isclose(last - float(reach), limit)


@pytest.mark.parametrize("unit", ["inch", "board", "foot"])
@pytest.mark.parametrize(("low", "high", "u"), [
    (0.3, 0.301, 0.0003), (12, 12.7, 0.2), (14, 14.4, 0.11), (5.25, 5.9, 0.19), (61, 64, 0.9),
])  # fmt: skip
def test_a_zone_lies_about_its_limit_in_the_other_system_too(
    unit: str, low: float, high: float, u: float
) -> None:
    """Limits of 7.62 and 7.65 mm had a zone to 7.6325 and one from 7.6329, each 0.0125 wide."""
    guard = reaching(1.6448536 * u, (low, high))
    limits = {(as_given(v), unit): limit_digits(v, unit, [1.6448536 * u]) for v in (low, high)}
    ends = [uncalled(limit, guard, unit) for limit in (low, high)]
    said = put("{} and {}, {} to {} and {} to {}, {} left", bare(as_given(low), unit),
               bare(as_given(high), unit), *ends[0], *ends[1],
               bare(left_between(low, high, guard), unit))  # fmt: skip
    metric = "".join(p.other or p.text for p in pieces(said, limits)).replace(",", "")
    reach = Decimal(converted(guard, unit).replace(",", ""))
    one, other, *zones, left = (Decimal(n) for n in re.findall(r"\d+(?:\.\d+)?", metric))
    assert zones == [one - reach, one + reach, other - reach, other + reach]
    assert left == other - one - 2 * reach


def test_readings_of_one_sentence_keep_one_last_digit_in_the_other_system() -> None:
    """It read 29.2 cm twice and 29.461 in between: 10.8 boards, and 10.9."""
    said = put("It read {} both at first and at last, and {} in between.",
               level(10.8, "board"), bare(telling(10.9, 10.8), "board"))  # fmt: skip
    assert [p.other for p in pieces(said) if p.other] == ["29.2 cm", "29.5"]
    first, last, apart = told_apart(14.0, 14.25)
    said = put("From {} to {}, by {}.", bare(first, "board"), bare(last, "board"),
               with_unit(apart, "board"))  # fmt: skip
    metric = "".join(p.other or p.text for p in pieces(said))
    one, other, gap = (Decimal(n) for n in re.findall(r"\d+\.\d+", metric))
    assert other - one == gap and {n.as_tuple().exponent for n in (one, other, gap)} == {-2}


def test_a_step_of_one_is_told_in_the_other_system_too() -> None:
    """A size for every microinch turned to centimeters, and the microinch stayed."""
    size, step = per_step(Sized(-0.194, -0.3, -0.09, "board per microinch"))
    said = put("{} less {} more", size.size, step)
    metric = "".join(p.other or p.text for p in pieces(said))
    assert metric == "0.52 cm less for every 0.0254 µm more"
    assert [p.other for p in pieces(per_step(Sized(5.1, 4.0, 6.2, "percent per board"))[1])
            if p.other] == ["2.70 cm"]  # fmt: skip


def test_a_reading_of_a_table_stays_on_its_side_of_a_zone_in_both_systems() -> None:
    """7.6327 mm passes between zones that end at 7.6325 and 7.6329: told as 7.633, it would not."""
    edges = _edges((0.3, 0.301), 0.000493456)
    table = NumbersTable(("ball", "width"), ("", "inch"), (("a", 0.3005), ("b", 0.2998)))
    shown = ("0.3005", "0.2998")
    other = _other(table, 1, "width", shown, _other_place(table, 1, shown, edges))
    assert other is not None
    assert other.cells == ("7.6327", "7.6149")
    assert _sided(0.3004934, "0.3005", edges) == "0.30049"
    assert _sided(0.3005, "0.3005", edges) == "0.3005"


def test_a_rate_of_a_table_is_converted_from_the_number_itself() -> None:
    """A seventh of a microinch was told as 0.1429, and that as 0.003630 µm."""
    told = [_exact(1 / 7, "microinch per game"), _exact(-0.1937, "board per microinch"),
            _exact(0.25, "microinch per game", rest=True)]  # fmt: skip
    assert [p.other for text in told for p in pieces(text) if p.other] == [
        "0.003629 µm per game", "−20.61 cm per µm", "0.006350"]  # fmt: skip


def test_the_most_a_slope_can_be_is_the_end_of_the_range_that_is_said() -> None:
    within = Sized(0.0017, -0.0503, 0.0537, "board per microinch")
    most = at_most(within, 0.083, "board per microinch")
    scaled, _ = per_step(within, 0.083)
    assert most is not None
    assert most.split()[0] == scaled.span_bare.split(" to ")[1]
    assert at_most(within, 0.02, "board per microinch") is None


@pytest.mark.parametrize(
    ("ends", "zone", "how"),
    [
        ((1, 2), (0, None), "inside"),
        ((-1, 2), (0, None), "partly"),
        ((-2, -1), (0, None), "outside"),
        ((None, 3), (0, 5), "partly"),
        ((0, 5), (0, 5), "inside"),
    ],
)
def test_a_range_lies_inside_outside_or_partly(
    ends: tuple[float | None, float | None], zone: tuple[float | None, float | None], how: str
) -> None:
    assert meets(ends, zone) == how


def test_the_needful_goes_in_first_and_the_order_stays() -> None:
    pieces = [
        Clause(1, "who was tested", paragraph=0),
        Clause(3, "an aside of five words"),
        Clause(2, "a chain told at great length indeed", brief="weak at the third link"),
        Clause(1, "the end"),
    ]
    assert fitted(pieces, math.inf) == (
        "who was tested",
        "an aside of five words a chain told at great length indeed the end",
    )
    assert fitted(pieces, 10) == ("who was tested", "weak at the third link the end")
    assert fitted(pieces, 0) == ("who was tested", "the end"), "what must be said is said"


def test_a_range_held_back_is_told_by_what_it_says_alone(made: SimpleNamespace) -> None:
    """Yes, no or both: what a shaky verdict's range would say if it stood on firm ground."""
    from explainer.words.facts.claim import alone

    study = made.study([made.claim("change", "it")])
    verdict = made.verdict(study, "it", "cannot-tell", ("holm",))
    for low, high, said in ((-9.0, -2.0, "inside"), (2.0, 9.0, "outside"), (-9.0, 9.0, "partly")):
        strip = replace(verdict.strip, low=low, high=high)
        assert alone(replace(verdict, strip=strip)) == said
    assert alone(replace(verdict, strip=None)) == ""


def test_a_slopes_number_line_counts_in_the_step_its_sentences_use() -> None:
    line = Strip(-0.016, -0.026, -0.009, (None, 0.0), (-0.01, 0.01), 0.0, "board per percent")
    told, step = in_steps(line)
    assert step == "for every 10 percentage points"
    assert told.unit == "board"
    shown = (told.value, told.low, told.high, *(told.small_zone or ()))
    assert shown == pytest.approx((-0.16, -0.26, -0.09, -0.1, 0.1))
    assert told.claim_zone == (None, 0.0)
    plain = Strip(-3.0, -4.0, -2.0, None, None, 0.0, "board")
    assert in_steps(plain) == (plain, "")


@pytest.mark.parametrize(
    ("more", "term", "tended"),
    [
        ("more spares", "corner pins made", "have more spares"),
        ("fewer strikes", "strike rate", "have fewer strikes"),
        ("more hook", "total hook", "hook more"),
        ("more aggressive", "cover", "be more aggressive"),
        ("more glass", "cover", "be more glass"),
        ("rougher", "cover roughness", "be rougher"),
    ],
)
def test_more_of_something_is_had_and_more_so_is_been(more: str, term: str, tended: str) -> None:
    measure = Measure(unit="percent", more_is=more, less_is="less")
    assert word(measure, term, 1).tended == tended


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (-0.953, 0.036, "−0.95 to 0.04"),  # not to 0.0, which would keep clear of no link or not
        (-0.96, 0.41, "−0.96 to 0.41"),  # nor from −1.0, a straight line
        (-0.81, 0.74, "−0.8 to 0.7"),
        (0.1492, 0.9263, "0.1 to 0.9"),
    ],
)
def test_a_links_range_does_not_seem_to_end_at_none_or_at_all(low, high, said) -> None:
    assert Sized((low + high) / 2, low, high, "r").span == said


@pytest.mark.parametrize(
    ("slope", "said"),
    [(-0.3, "a ball that gets smoother also ends up hooking more"),
     (0.3, "a ball that gets rougher also ends up hooking less")],
)  # fmt: skip
def test_a_link_within_a_ball_is_told_the_way_it_went(made, slope: float, said: str) -> None:
    from explainer.study.description.tests import TracksWithin
    from explainer.words.facts.kinds import _as_it_went

    study = made.study([made.claim("change", "it")])
    frame = study.tables["checkpoints"].frame
    frame["texture"] = 70.0 + slope * frame["games"]
    test = TracksWithin(kind="tracks-within", x="texture", y="hook", direction="negative")
    facts = _as_it_went(study, test.x, "hook", sign=1, claimed=-1)
    assert f"a ball that {facts['x_went'].gets} also {facts['y_said'].gets}" == said


@pytest.mark.parametrize(("value", "by", "said"), [
    ("yes", "coached", "coached bowlers"),
    ("No", "coached", "bowlers not coached"),
    ("no", "left_handed", "bowlers not left handed"),
    ("yes", "clinic", "bowlers with clinic: yes"),
    ("N", "ball speed", "bowlers with ball speed: N"),
])  # fmt: skip
def test_yes_and_no_are_said_with_what_they_answer(value: str, by: str, said: str) -> None:
    assert side(value, by, "bowlers") == said


@pytest.mark.parametrize(
    ("r", "told"),
    [(-0.99901, "−0.9990"), (0.99999, "0.99999"), (0.995, "0.9950"), (1.0, "1.00")],
)
def test_a_link_short_of_one_is_never_told_as_one(r: float, told: str) -> None:
    assert link_told(r) == told


@pytest.mark.parametrize(("more", "sure"), [
    ({}, True), ({"p_holm": 0.04}, True), ({"p_holm": 0.09}, False),
    ({"reasons": ("one-step",)}, False),
])  # fmt: skip
def test_a_direction_is_sure_past_the_correction_and_not_by_one_checkpoint(
    made: SimpleNamespace, more: dict[str, Any], sure: bool
) -> None:
    study = made.study([made.claim("change", "it")])
    verdict = replace(made.verdict(study, "it", "backed"), **{"p_holm": None, **more})
    known = relations(verdict)
    assert known["one_sided"] and known["past_luck"] is sure


@pytest.mark.parametrize(
    ("unit", "one", "many"),
    [
        ("degF", "degree Fahrenheit", "degrees Fahrenheit"),
        ("°C", "degree Celsius", "degrees Celsius"),
        ("celsius", "degree Celsius", "degrees Celsius"),
        ("hertz", "hertz", "hertz"),
        ("kelvin", "kelvin", "kelvins"),
        ("light_year", "light year", "light years"),
    ],
)
def test_a_unit_outside_the_table_has_its_own_plural(unit: str, one: str, many: str) -> None:
    assert units.known(unit)
    assert (unit_words(unit, one=True), unit_words(unit)) == (one, many)


@pytest.mark.parametrize(
    ("bound", "limit", "least", "told"),
    [
        (-223.46, -400, True, "−224 mm"),  # −220 or more is not sure of them
        (-223.46, -224, True, "−223.5 mm"),  # and −224 would not be past the limit
        (75.68, 80, False, "75.7 mm"),
        (75.624, 75.7, False, "75.63 mm"),
        (72.0, 72.0, True, "72 mm"),
        (0.0, 1.0, False, "0 mm"),
    ],
)
def test_a_sure_bound_promises_no_more_than_it_holds(
    bound: float, limit: float, least: bool, told: str
) -> None:
    assert _sure_of(bound, limit, least, "mm").replace("millimeters", "mm") == told
