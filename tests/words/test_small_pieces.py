"""Pieces that sentences are built from: sides with their noun, readings to one decimal, lengths."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from explainer.claims.verdict import Strip
from explainer.study.description.sources import Measure
from explainer.words.facts.comparatives import word
from explainer.words.facts.figure_sizes import at_most
from explainer.words.facts.items import PEOPLE, pronouns, side
from explainer.words.facts.kinds import link_told
from explainer.words.facts.relations import in_steps, meets, relations
from explainer.words.facts.zone import uncalled
from explainer.words.quantity.everyday import Clause, fitted
from explainer.words.quantity.sizes import Sized, alike, gap_unit, per_step


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
    ("limit", "guard", "step", "read", "low", "high"),
    [
        (73.0, 0.716, 0.1, (72.2, 73.1), "72.3", "73.7 Shore D"),
        (73.0, 0.7, 0.1, (72.2,), "72.3", "73.7 Shore D"),
        (50.0, 2.47, 1.0, (47.0, 52.0), "48", "52 Shore D"),
        (50.0, 2.47, 1.0, (47.0, 47.6), "47.6", "52.4 Shore D"),  # 47.6 is an average
        (12.0, 0.4935, 0.5, (11.5, 12.0, 12.5), "11.51", "12.49 Shore D"),
        (73.0, 0.716, None, (), "72.29", "73.71 Shore D"),
        (70.0, 2.9607, None, (72.5,), "67.1", "72.9 Shore D"),
        (70.0, 2.9607, None, (72.96, 73.08), "67.04", "72.96 Shore D"),  # else one lies beyond it
    ],
)
def test_a_zone_is_rounded_inward(
    limit: float, guard: float, step: float | None, read: tuple[float, ...], low: str, high: str
) -> None:
    """JCGM 106:2012 calls what lies a guard band or more beyond a limit, so none of that is said to
    be in the zone; nor does a reading that stands in it lie outside what is said."""
    zone = uncalled(limit, guard, "Shore D", step, read)
    assert zone == {"zone_low": low, "zone_high": high}
    ends = float(low), float(high.split()[0])
    assert limit - guard <= ends[0] + 1e-9 and ends[1] - 1e-9 <= limit + guard
    assert not [v for v in read if abs(v - limit) < guard and not ends[0] <= v <= ends[1]]


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
