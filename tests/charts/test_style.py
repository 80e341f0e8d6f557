"""Contrast and difference, computed from the palette.

Relative luminance and contrast ratio: WCAG 2.2, definitions; thresholds 1.4.3 and 1.4.11.
Lightness: CIE 1976 L*, D65 white.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
import samples

from explainer.charts.display_list import DisplayList, Stroke, Text
from explainer.charts.kinds import draw
from explainer.charts.style import PALETTE, SERIES, STILL, TALL, WIDE, Scheme, colour, series

TEXT = ("ink", "muted", "accent", *(f"s{n}" for n in range(1, 9)))
MARKS = (*TEXT, "line")
SCHEMES: tuple[Scheme, ...] = ("light", "dark")


def luminance(hex_colour: str) -> float:
    parts = [int(hex_colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_of_black_and_white_is_21() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.2, definition


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", ["paper", "zone"])
def test_text_can_be_read_on_paper_and_on_the_zone(scheme: Scheme, ground: str) -> None:
    for role in TEXT:
        ratio = contrast(colour(role, scheme), colour(ground, scheme))
        assert ratio >= 4.5, f"{role} on {ground}, {scheme}: {ratio:.2f}"


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", ["paper", "zone"])
def test_marks_can_be_seen_on_paper_and_on_the_zone(scheme: Scheme, ground: str) -> None:
    for role in MARKS:
        ratio = contrast(colour(role, scheme), colour(ground, scheme))
        assert ratio >= 3.0, f"{role} on {ground}, {scheme}: {ratio:.2f}"


def test_a_drawing_can_be_recoloured_by_its_light_colours_alone() -> None:
    light = [both[0] for both in PALETTE.values()]
    assert len(set(light)) == len(light)


def test_series_differ_in_marker_and_in_dash_so_that_grey_print_works() -> None:
    assert len({look.shape for look in SERIES}) == len(SERIES)
    assert len({look.dash for look in SERIES}) == len(SERIES)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_first_four_series_differ_in_lightness(scheme: Scheme) -> None:
    levels = sorted(116 * luminance(colour(f"s{n}", scheme)) ** (1 / 3) - 16 for n in range(1, 5))
    assert min(b - a for a, b in pairwise(levels)) >= 4.5


def test_a_ninth_series_is_not_the_first_again() -> None:
    looks = [(s.role, s.shape, s.dash) for s in map(series, range(16))]
    assert len(set(looks)) == 16


def ground_of(text: Text, plate: DisplayList) -> str:
    """The role of the last solid area drawn beneath a text; paper if there is none."""
    x, y = (text.box.left + text.box.right) / 2, (text.box.top + text.box.bottom) / 2
    ground = "paper"
    for mark in plate.marks[: plate.marks.index(text)]:
        if isinstance(mark, Stroke) and mark.fill and mark.opacity > 0.8:
            for run in mark.runs:
                (left, top), (right, bottom) = run.min(0), run.max(0)
                if len(run) == 4 and left <= x <= right and top <= y <= bottom:
                    ground = mark.fill
    return ground


@pytest.mark.parametrize("kind", samples.CASES)
def test_every_text_of_every_figure_can_be_read_on_what_lies_beneath_it(kind: str) -> None:
    seen = set()
    for result, words in samples.CASES[kind].values():
        for sheet in (WIDE, TALL, STILL):
            plate = draw(result, words, sheet)
            seen |= {(text.role, ground_of(text, plate)) for text in plate.texts}
    assert seen
    for role, ground in seen:
        for scheme in SCHEMES:
            ratio = contrast(colour(role, scheme), colour(ground, scheme))
            assert ratio >= 4.5, (role, ground, scheme)
