"""A drawing that can be laid against the thing itself."""

from __future__ import annotations

import re

import pytest

from explainer.charts.display_list import Stroke
from explainer.charts.labels import overlaps
from explainer.charts.true_size import TrueSize, draw_true_size, magnification, true_size_plate

# A board: 41.5 inches over 39 boards (common practice); a dime: 17.91 mm (US Mint, from memory).
THINGS = (TrueSize("one board", 41.5 * 25.4 / 39), TrueSize("a dime", 17.91, "round"))


def test_on_paper_a_board_is_as_wide_as_a_board() -> None:
    drawing = draw_true_size(THINGS, "u", "t", "d")
    width = float(re.search(r' width="([\d.]+)mm"', drawing).group(1))  # type: ignore[union-attr]
    units = float(re.search(r'viewBox="0 0 ([\d.]+)', drawing).group(1))  # type: ignore[union-attr]
    bar = next(m for m in true_size_plate(THINGS).marks if isinstance(m, Stroke) and m.fill)
    drawn = bar.runs[0][:, 0].max() - bar.runs[0][:, 0].min()
    assert drawn * width / units == pytest.approx(27.03, abs=0.05)
    assert "true size" in drawing


def test_what_is_too_small_is_enlarged_and_says_so() -> None:
    plate = true_size_plate((TrueSize("scratch", 0.0018), TrueSize("a hair", 0.07, "round")))
    assert any("times as large" in text.text for text in plate.texts)
    assert overlaps(plate) == []


@pytest.mark.parametrize(("mm", "times"), [(0.5, 1), (100, 1), (0.07, 500), (1000, 0.05)])
def test_the_factor_is_round_and_the_thing_fits(mm: float, times: float) -> None:
    assert magnification(mm) == pytest.approx(times)


@pytest.mark.parametrize("mm", [1e-6, 0.3, 7, 113.0, 600.0, 18_288.0])
def test_nothing_leaves_the_paper(mm: float) -> None:
    plate = true_size_plate((TrueSize("a thing with quite a long name indeed", mm),))
    assert overlaps(plate) == []
    reach = max(run[:, 0].max() for m in plate.marks if isinstance(m, Stroke) for run in m.runs)
    assert reach <= plate.width
