"""Every size in the glossary is signed: a place one can look in, arithmetic, or an honest mark.

The arithmetic is done again here from named constants, beside the very words it stands behind.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from pathlib import Path

import pytest

from explainer import units
from explainer.analysis import physics
from explainer.charts import ball_paths
from explainer.words.glossary.entries import Glossary, load_glossary
from explainer.words.glossary.entry import NUMBER_KINDS, SOURCE_KINDS, Entry
from explainer.words.quantity.everyday import our_own

GLOSSARY = load_glossary((Path(__file__).parents[2] / "glossary",))
TRADE = ("ball", "lane", "measuring", "motion", "oil-and-surface", "pins-and-scoring")

_UNIT = (
    r"inch(?:es)?|feet|foot|pounds?|ounces?|microinch(?:es)?|micrometers?|millimeters?|"
    r"milliliters?|degrees?|mph|miles|boards?|percent|rpm|liters?|layers|sheets"
)
_SIZED = re.compile(rf"\d[\d,.]*(?: to \d[\d,.]*)?[- ](?:{_UNIT})\b")


def sized(entry: Entry) -> bool:
    """Whether an entry of the trade gives a size that a reader could doubt."""
    texts = " ".join((entry.explained, entry.like, entry.careful))
    return entry.topic in TRADE and bool(
        re.search(r"\d|half|quarter|eighth", entry.typical) or _SIZED.search(texts)
    )


def test_every_size_is_signed() -> None:
    """By its own mark, or by a standard, paper or book that the definition names."""
    printed = ("standard", "paper", "book")
    bare = [
        e.term for e in GLOSSARY.entries
        if sized(e) and e.numbers is None and e.source.kind not in printed
    ]  # fmt: skip
    assert bare == []
    assert sum(sized(e) for e in GLOSSARY.entries) > 50


def shares(glossary: Glossary) -> tuple[Counter[str], Counter[str]]:
    """How many definitions, and how many entries' sizes, rest on each kind of source."""
    return (
        Counter(e.source.kind for e in glossary.entries),
        Counter(e.numbers.kind for e in glossary.entries if e.numbers),
    )


def test_the_share_of_each_kind() -> None:
    """Listed with ``pytest -s``; most sizes that no rule book or standard gives are memory."""
    texts, sizes = shares(GLOSSARY)
    rows = Counter(thing.source.kind for thing in our_own())
    for name, kinds, found in (
        ("definitions", SOURCE_KINDS, texts), ("sizes", NUMBER_KINDS, sizes),
        ("everyday sizes", SOURCE_KINDS, rows),
    ):  # fmt: skip
        total = sum(found.values())
        print(f"{name} ({total}): " + ", ".join(f"{k} {found[k] / total:.0%}" for k in kinds))
    assert set(texts) <= set(SOURCE_KINDS)
    assert set(sizes) <= set(NUMBER_KINDS)
    assert set(rows) <= set(SOURCE_KINDS)
    assert rows["memory"] < len(our_own()) / 5
    assert min(texts["memory"], sizes["memory"]) > 20, "nobody has looked all of this up"
    assert sizes["worked-out"] > 20


def test_a_source_can_be_looked_up_or_says_what_it_is() -> None:
    """No "any text": a name without a title, a number or a reason is no place."""
    for entry in GLOSSARY.entries:
        for source in (entry.source, entry.numbers):
            if source is None:
                continue
            assert source.name or source.kind == "memory", entry.term
            assert not re.search(r"\bany\b", source.name), entry.term
            assert "4287" not in source.name, f"{entry.term}: ISO 21920-2 took its place in 2021"
            if source.kind in ("book", "paper"):
                assert re.search(r"\b(18|19|20)\d\d\b|4th edition", source.name), entry.term


# --- Named constants: from the place each names

INCH, FOOT, POUND = 0.0254, 0.3048, 0.45359237  # NIST SP 811, exact
MILE_PER_HOUR = 0.44704  # NIST SP 811, exact
FLUID_OUNCE_ML = 29.5735  # NIST SP 811
ROWS = {thing.name: thing for thing in our_own()}
SHEET_IN = units.convert(ROWS["copy-paper-thickness"].size, "mm", "inch")
BILL_LONG_IN = ROWS["bill-length"].size
BALL_IN = ROWS["ball-width"].size
QUARTER_IN = units.convert(ROWS["quarter-width"].size, "mm", "inch")
MILK_LB = ROWS["milk-weight"].size
POCKET = 17.5  # board, as the entry of the pocket says
#: Peak to valley over average roughness of a sanded cover: from 4 to a little over 7 in the
#: conversion tables that workshops use.
RZ_OVER_RA = (4.0, 7.0)
#: Stiffness of a filled, hard cover resin in pascals, and its Poisson ratio (from memory: rigid
#: polyurethane and polyester castings run from 1 to 3 GPa).
COVER_STIFFNESS, POISSON = 1.5e9, 0.4


def sheets(inches: float) -> float:
    return inches / SHEET_IN


def hook_of(angle: float, laid: float) -> float:
    """Boards from the launch line to the pocket, sent ``angle`` degrees outward from ``laid``."""
    out = units.LANE_FEET * 12 * math.tan(math.radians(angle)) / units.BOARD_INCHES
    return POCKET - (laid - out)


def patch_inches(pounds: float) -> float:
    """Width of the contact of ball and lane, a = (3PR/4E*)^⅓ (Johnson 1985, eq. 4.22)."""
    load, radius = pounds * POUND * physics.GRAVITY, BALL_IN / 2 * INCH
    stiffness = COVER_STIFFNESS / (1 - POISSON**2) / 2  # cover and lane alike
    return 2 * (3 * load * radius / (4 * stiffness)) ** (1 / 3) / INCH


def rolling_share() -> float:
    """Spin over travel of a rolling ball: the radius of gyration over its radius, squared."""
    return (2.5 / (BALL_IN / 2)) ** 2


def rolling_energy(pounds: float, mph: float) -> float:
    """Joules of a ball that rolls: travel and spin (Ling, Sanny and Moebs 2016, 10.4)."""
    return 0.5 * pounds * POUND * (mph * MILE_PER_HOUR) ** 2 * (1 + rolling_share())


def drop_energy(pounds: float, inches: float) -> float:
    return pounds * POUND * physics.GRAVITY * inches * INCH


def layers_to_a_sheet() -> float:
    """Even films of 25 milliliters over 40 feet of lane that are as thick as a sheet."""
    film = 25e-6 / (40 * FOOT * units.LANE_WIDTH_INCHES * INCH)
    return SHEET_IN * INCH / film


@pytest.mark.parametrize(
    ("term", "words", "worked_out", "low", "high"),
    [
        ("bowling ball", "as wide as a sheet of letter paper", BALL_IN / 8.5, 0.99, 1.01),
        ("bowling ball", "nearly as much as two gallons of milk", 16 / (2 * MILK_LB), 0.9, 1),
        ("differential", "as 15 sheets of copier paper", sheets(0.060), 14.5, 15.5),
        ("intermediate differential", "as five sheets of copier paper", sheets(0.020), 4.5, 5.5),
        ("cover roughness", "is often some 240 to 420", 60 * RZ_OVER_RA[0], 240, 240),
        ("cover roughness", "is often some 240 to 420", 60 * RZ_OVER_RA[1], 420, 420),
        ("cover roughness", "10 to 17 times as thick", SHEET_IN * 1e6 / (60 * 4), 16, 17.5),
        ("cover roughness", "10 to 17 times as thick", SHEET_IN * 1e6 / (60 * 7), 9.5, 10.5),
        ("microinch", "about 4,000 microinches thick", SHEET_IN * 1e6, 3900, 4100),
        ("mil", "about 4 mils thick", SHEET_IN * 1e3, 3.9, 4.1),
        ("circumference", "about 27 inches", BALL_IN * math.pi, 26.5, 27.5),
        ("track flare", "some six inches", BILL_LONG_IN, 5.8, 6.2),
        ("flare potential", "as wide as a dollar bill is long", 6 / BILL_LONG_IN, 0.95, 1.05),
        ("laydown point", "Six boards", 6 * units.BOARD_INCHES / BILL_LONG_IN, 0.95, 1.05),
        ("drift in the approach", "half a school ruler", 5 * units.BOARD_INCHES, 5, 6),
        ("footprint", "about an eighth to a sixth of an inch", patch_inches(15), 0.11, 0.15),
        ("board", "A tenth wider than a quarter", units.BOARD_INCHES / QUARTER_IN, 1.08, 1.13),
        ("distance down the lane", "two and a half seconds",
         units.LANE_FEET * FOOT / (17 * MILE_PER_HOUR), 2.3, 2.6),
        ("degree", "a foot of difference at the head pin",
         units.LANE_FEET * math.tan(math.radians(1)), 1.0, 1.1),
        ("launch angle", "more than a foot", units.LANE_FEET * math.tan(math.radians(1)), 1, 1.1),
        ("total hook", "40 and more with a wide hook", hook_of(4, 22), 40, 50),
        ("rev rate", "more than a dozen turns", 300 / 60 * 2.4, 12, 13),
        ("rev rate", "five turns a second", 300 / 60, 5, 5),
        ("kinetic energy", "about a third more", rolling_share(), 0.30, 0.37),
        ("kinetic energy", "15 miles an hour packs about as much as a 50-pound suitcase",
         rolling_energy(15, 15) / drop_energy(50, 36), 0.93, 1.07),
        ("lane oil", "some fifty layers", layers_to_a_sheet(), 47, 58),
        ("oil volume", "half to two thirds of a shot glass", 20 / (1.5 * FLUID_OUNCE_ML), 0.4, 0.5),
        ("oil volume", "half to two thirds of a shot glass", 30 / (1.5 * FLUID_OUNCE_ML), 0.6, 0.7),
        ("lane", "nearly 63 to the end", units.LANE_END_FEET, 62.8, 63),
        ("pin deck", "more than two and a half feet further", 1.5 * math.sqrt(3), 2.5, 2.7),
        ("lane topography", "ten sheets of paper", sheets(0.040), 9.5, 10.5),
        ("out of round", "two or three sheets", sheets(0.010), 2, 3),
        ("indenter", "two sheets of copier paper", 0.2 / (SHEET_IN * 25.4), 1.8, 2.2),
        ("grit", "a tenth as thick as a sheet", 10.3e-3 / (SHEET_IN * 25.4), 0.09, 0.11),
        ("pin buffer", "short side of a bank card", 2 * 25.4 / 53.98, 0.9, 1.05),
        ("miss room", "Three boards", 3 * units.BOARD_INCHES, 2.61, 3.5),
        ("chance of conforming", "one such ball in about twelve", 1 / (1 - 0.92), 11.5, 13),
        ("game", "between 11 and 21 balls", 9 * 1 + 2, 11, 11),
        ("game", "between 11 and 21 balls", 9 * 2 + 3, 21, 21),
    ],
)  # fmt: skip
def test_what_is_worked_out(
    term: str, words: str, worked_out: float, low: float, high: float
) -> None:
    entry = GLOSSARY.find(term)
    assert entry is not None
    said = " ".join((entry.typical, entry.explained, entry.like, entry.careful))
    assert words in said
    assert low <= worked_out <= high


def test_the_modulus_from_hardness_is_for_ratios_only() -> None:
    """From the D reading alone the patch comes out nearly twice as wide, as the entry warns."""
    stiffness = physics.modulus(75)
    assert stiffness is not None
    wider = (COVER_STIFFNESS / (stiffness * 1e6)) ** (1 / 3)
    assert 1.7 <= wider <= 2.1
    entry = GLOSSARY.find("footprint")
    assert entry is not None
    assert "up to twice too large" in entry.careful


def test_the_drawn_lane_is_the_lane_of_the_words() -> None:
    last = max(feet for _, feet in ball_paths.PINS)
    assert ball_paths.DECK == units.LANE_END_FEET == pytest.approx(62.849, abs=5e-4)
    assert last < ball_paths.DECK  # the last pins stand on the lane, a quarter foot from its end
    assert (ball_paths.FEET, ball_paths.BOARDS) == (units.LANE_FEET, units.LANE_BOARDS)
    assert 12 <= min(f for _, f in ball_paths.ARROWS) <= max(f for _, f in ball_paths.ARROWS) <= 16


def test_a_solid_ball_rolls_at_five_sevenths_of_its_speed() -> None:
    """Hopkins and Patterson 1977: a ball without spin rolls once it has 5/7 of its speed left."""
    assert physics.roll_out(8.0, 0.04).speed == pytest.approx(8.0 * 5 / 7)
