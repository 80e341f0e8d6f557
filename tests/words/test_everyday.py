"""Everyday sizes: published where they can be, near where they are used, absent otherwise."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from explainer import units
from explainer.errors import WorkspaceError
from explainer.study.shipped import shipped
from explainer.words.facts.figure import pictured
from explainer.words.quantity.everyday import (
    FINEST_HAIR_UM,
    beside_a_hair,
    everyday,
    load_everyday,
    our_own,
)

ROWS = {thing.name: thing for thing in our_own()}


@pytest.mark.parametrize(
    ("name", "millimeters"),
    [
        # https://www.usmint.gov/learn/coin-and-medal-programs/coin-specifications
        ("penny-thickness", 1.52), ("penny-width", 19.05),
        ("nickel-thickness", 1.95), ("nickel-width", 21.21),
        ("dime-thickness", 1.35), ("dime-width", 17.91),
        ("quarter-thickness", 1.75), ("quarter-width", 24.26),
        # ISO/IEC 7810, ID-1 (https://en.wikipedia.org/wiki/ISO/IEC_7810)
        ("card-thickness", 0.76), ("card-height", 53.98), ("card-width", 85.60),
        # http://hypertextbook.com/facts/2001/JuliaSherlis.shtml: 51.5 mm over 500 sheets
        ("copy-paper-thickness", 51.5 / 500),
        # Linden's Handbook of Batteries, table 4.9a: middle of the least and the largest
        ("aa-battery-width", (14.5 + 13.5) / 2), ("aa-battery-length", (50.5 + 49.2) / 2),
        ("d-battery-width", (34.2 + 32.3) / 2), ("aaa-battery-length", (44.5 + 43.3) / 2),
        # 2.61 × 6.14 inches, Bureau of Engraving and Printing (as quoted by many pages)
        ("bill-height", 2.61 * 25.4), ("bill-length", 6.14 * 25.4),
        # ECMA-130 (value from memory)
        ("disc-width", 120.0),
    ],
)  # fmt: skip
def test_published_sizes(name: str, millimeters: float) -> None:
    thing = ROWS[name]
    assert units.convert(thing.size, thing.unit, "mm") == pytest.approx(millimeters, abs=0.06)


def test_every_row_says_where_it_comes_from() -> None:
    assert len(ROWS) >= 30
    for thing in ROWS.values():
        assert thing.source.name, thing.name
        if thing.source.kind == "paper":
            assert re.search(r"\b(19|20)\d\d\b", thing.source.name), thing.name


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (1.95, "mm", "the thickness of a nickel"),
        (3.9, "mm", "two stacked nickels"),
        (0.68, "mm", "half the thickness of a dime"),
        (24.0, "mm", "the width of a quarter"),
        (0.1, "mm", "the thickness of a sheet of copy paper"),
        (0.3, "mm", "three sheets of copy paper"),
        (2, "inch", "the base of a bowling pin"),
        (2, "board", "the short side of a bank card"),
        (8.5, "inch", "the width of a bowling ball"),
        (60, "foot", "the way from the foul line to the head pin"),
        (6, "degree", "one minute on the face of a clock"),
        (3, "degree", "half a minute on the face of a clock"),
        (4, "ounce", "the weight of a stick of butter"),
        (4.3, "pound", "the weight of half a gallon of milk"),
    ],
)
def test_comparisons(value: float, unit: str, words: str) -> None:
    assert everyday(value, unit) == words


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        (0, "inch"), (-1, "inch"), (None, "inch"), (float("nan"), "mm"), (float("inf"), "mm"),
        (21, "microinch"), (0.02, "mm"), (100, "foot"), (5, "percent"), (58, "Shore D"),
        (8, "game"), (16, "mph"), (1, "board"), (3, "no such unit"),
    ],
)  # fmt: skip
def test_nothing_fits_and_nothing_is_said(value: float | None, unit: str) -> None:
    assert everyday(value, unit) is None


@given(st.floats(min_value=0.01, max_value=30_000))
def test_never_further_off_than_a_tenth(millimeters: float) -> None:
    words = everyday(millimeters, "mm")
    if words is None:
        return
    number = {"two": 2, "three": 3, "four": 4, "five": 5}.get(words.split()[0], 1)
    sizes = [
        thing.size * times
        for thing in ROWS.values()
        for times, said in [
            (1, thing.like), (0.5, thing.half), (number, f"{words.split()[0]} {thing.several}"),
        ]
        if said == words and units.alike(thing.unit, "mm")
        for thing_mm in [units.convert(thing.size * times, thing.unit, "mm")]
        if abs(millimeters / thing_mm - 1) <= 0.1 + 1e-12
    ]  # fmt: skip
    assert sizes, f"{millimeters} mm called {words}"


def test_a_size_below_every_hair() -> None:
    """21 µin = 0.533 µm; the finest hair, 17 µm, is 31.9 times that."""
    assert FINEST_HAIR_UM == 17  # https://hypertextbook.com/facts/1999/BrianLey.shtml
    said = beside_a_hair(21, "microinch")
    assert said == "even the finest human hair is about 30 times that"
    for value, unit in [(17, "µm"), (1, "mm"), (0, "µm"), (-1, "µm"), (None, "µm"), (1, "pound")]:
        assert beside_a_hair(value, unit) is None


def workspace(tmp_path: Path, text: str) -> tuple[Path, Path]:
    folder = tmp_path / "templates"
    folder.mkdir()
    (folder / "everyday.yaml").write_text(text, "utf-8")
    return folder, shipped("templates")


def test_a_workspace_adds_changes_and_takes_away(tmp_path: Path) -> None:
    text = (
        "thumb: {like: the width of my thumb, size: 0.9 in, source: {kind: memory}}\n"
        "nickel-thickness: {like: a nickel lying flat, size: 1.95 mm, source: {kind: memory}}\n"
        "quarter-width:\n"
    )
    things = load_everyday(workspace(tmp_path, text))
    assert everyday(1.95, "mm", things) == "a nickel lying flat"
    assert everyday(0.9, "inch", things) == "the width of my thumb"
    assert "quarter-width" not in {thing.name for thing in things}
    assert {thing.name for thing in our_own()} - {thing.name for thing in things} == {
        "quarter-width"
    }


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "a: {like: x, size: 3 furlong of hay, source: {kind: memory}}",
            "templates/everyday.yaml:1:14: found size: 3 furlong of hay, expected a number above "
            "0 and a known unit, as in 1.95 mm; no everyday comparison can be made",
        ),
        ("a: {like: x, size: 0 mm, source: {kind: memory}}", "found size: 0 mm"),
        ("a: {size: 1 mm, source: {kind: memory}}", "found like: nothing, expected some words"),
        ("a: {like: x, size: 1 mm}", "found source: nothing, expected kind (standard"),
        ("a: {like: x, size: 1 mm, source: {kind: rumor}}", "source: {'kind': 'rumor'}"),
        ("a: {like: x, size: 1 mm, colour: red, source: {kind: memory}}", "the key colour"),
        ("a: {like: x, size: 1 mm, not_for: mm, source: {kind: memory}}", "not_for: mm"),
        ("a: 3", "found 3, expected like and size"),
        ("- a", "found ['a'], expected names and sizes"),
        ("a: {", "templates/everyday.yaml:1:"),
    ],
)
def test_a_faulty_row_is_named(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(WorkspaceError) as caught:
        load_everyday(workspace(tmp_path, text))
    assert message in str(caught.value)
    assert all("\n" not in str(problem) for problem in caught.value.problems)


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (0.13, "inch", "about an eighth of an inch; about two stacked quarters"),
        (0.9, "inch", "about seven eighths of an inch; about the width of a quarter"),
        (0.05, "inch", "about the thickness of a dime"),
        (21, "microinch", "even the finest human hair is about 30 times that"),
    ],
)  # fmt: skip
def test_a_size_as_people_say_it_and_beside_what_is_in_the_hand(
    value: float, unit: str, said: str
) -> None:
    assert pictured(value, unit, our_own()) == said
