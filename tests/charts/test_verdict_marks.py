"""The five verdict marks: told apart by shape alone, and wholly inside their square."""

from __future__ import annotations

from itertools import combinations, pairwise
from xml.dom.minidom import parseString

import numpy as np
import pytest

from explainer.charts.display_list import DisplayList, Stroke
from explainer.charts.verdict_marks import SIDE, mark_svg, set_mark
from explainer.claims.verdict import STRENGTH


def inked(code: str, fine: int = 64) -> np.ndarray:
    """Which cells of a grid the mark covers: even-odd for fills, a pen's width for strokes."""
    plate = DisplayList(SIDE, SIDE)
    set_mark(plate, code, SIDE / 2, SIDE / 2)
    at = (np.arange(fine) + 0.5) * SIDE / fine
    x, y = np.meshgrid(at, at)
    covered = np.zeros((fine, fine), dtype=bool)
    for mark in plate.marks:
        assert isinstance(mark, Stroke)
        for run in mark.runs:
            ends = np.vstack([run, run[:1]]) if mark.fill else run
            if mark.fill:
                inside = np.zeros_like(covered)
                for (x0, y0), (x1, y1) in pairwise(ends):
                    with np.errstate(divide="ignore", invalid="ignore"):
                        crosses = ((y0 > y) != (y1 > y)) & (
                            x < (x1 - x0) * (y - y0) / (y1 - y0) + x0
                        )
                    inside ^= crosses
                covered |= inside
            for (x0, y0), (x1, y1) in pairwise(ends):
                along = max((x1 - x0) ** 2 + (y1 - y0) ** 2, 1e-9)
                t = np.clip(((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / along, 0, 1)
                far = np.hypot(x - x0 - t * (x1 - x0), y - y0 - t * (y1 - y0))
                covered |= far <= mark.width / 2
    return covered


@pytest.mark.parametrize(("one", "other"), list(combinations(STRENGTH, 2)))
def test_any_two_marks_differ_in_shape_or_fill(one: str, other: str) -> None:
    a, b = inked(one), inked(other)
    assert (a ^ b).sum() > 0.5 * min(a.sum(), b.sum())


@pytest.mark.parametrize("code", STRENGTH)
def test_a_mark_lies_inside_its_square_and_is_named(code: str) -> None:
    plate = DisplayList(SIDE, SIDE)
    set_mark(plate, code, SIDE / 2, SIDE / 2)
    for mark in plate.marks:
        for run in mark.runs:
            assert run.min() - mark.width / 2 >= -0.6
            assert run.max() + mark.width / 2 <= SIDE + 0.6
    root = parseString(mark_svg(code, "A <label>")).documentElement
    assert root.getAttribute("aria-hidden") == "true"
    assert root.getElementsByTagName("title")[0].firstChild.data == "A <label>"
