"""The share of the line between items that use moves an item along."""

import math

import numpy as np
import pytest
from scipy import stats

from explainer.analysis.shares import same_line
from explainer.analysis.within import within


def test_the_share_and_the_difference():
    line = same_line(0.30, 0.02, 7, 0.40, 0.03, 10)
    assert line.share == pytest.approx(0.75)
    assert line.slope_difference == pytest.approx(0.10)
    # Welch 1947: Satterthwaite's degrees of freedom of the difference.
    a, b = 0.02**2, 0.03**2
    assert line.df == pytest.approx((a + b) ** 2 / (a**2 / 7 + b**2 / 10))


@pytest.mark.parametrize(("name", "level"), [("at95", 0.95), ("at90", 0.90), ("at80", 0.80)])
def test_at_its_ends_the_difference_just_counts(name, level):
    """Fieller: each end θ is where within − θ·between is t standard errors from 0."""
    line = same_line(0.30, 0.02, 7, 0.40, 0.03, 10)
    t = stats.t.ppf((1 + level) / 2, line.df)
    for theta in (getattr(line, name).low, getattr(line, name).high):
        away = 0.30 - theta * 0.40
        assert abs(away) == pytest.approx(t * math.hypot(0.02, theta * 0.03), rel=1e-9)
    assert getattr(line, name).level == level


def test_gauge_scatter_in_x_flattens_the_journey_and_is_taken_back():
    seen = same_line(0.30, 0.02, 7, 0.40, 0.03, 10, reliability=0.75)
    freed = same_line(0.40, 0.02 / 0.75, 7, 0.40, 0.03, 10)
    assert seen.share == pytest.approx(1) == freed.share
    assert (seen.slope_difference, seen.df) == pytest.approx((0, freed.df), abs=1e-12)
    assert (seen.at95.low, seen.at95.high) == pytest.approx((freed.at95.low, freed.at95.high))


def test_taking_it_back_finds_the_slope_that_was_planted():
    """200 balls whose x is read with as much scatter as it moves: the within slope halves."""
    rng = np.random.default_rng(11)
    true = rng.normal(0, 1, (200, 6))
    y = 2 * true + rng.normal(0, 0.1, true.shape)
    item = np.repeat(np.arange(200), 6)
    w = within((true + rng.normal(0, 1, true.shape)).ravel(), y.ravel(), item)
    assert w.slope.value == pytest.approx(1.0, abs=0.1)
    line = same_line(w.slope.value, w.slope.se, w.slope.df, 2.0, 0.05, 9, reliability=0.5)
    assert line.at95.low < 1 < line.at95.high


def test_without_a_line_between_items_no_share_is_ruled_out():
    line = same_line(0.30, 0.02, 7, 0.01, 0.03, 10)
    for interval in (line.at95, line.at90, line.at80):
        assert (interval.low, interval.high) == (-math.inf, math.inf)
    assert same_line(0.3, 0.02, 7, 0.0, 0.03, 10).share is None
    assert same_line(1e300, 1e299, 7, 1e-300, 1e-302, 10).share is None


def test_lines_without_scatter_leave_no_range():
    line = same_line(0.3, 0.0, 7, 0.4, 0.0, 10)
    assert line.at95.low == line.at95.high == pytest.approx(0.75)


@pytest.mark.parametrize("reliability", [0.0, -1.0, 1.01, float("nan")])
def test_a_reliability_is_a_share(reliability):
    with pytest.raises(ValueError, match="reliability"):
        same_line(0.3, 0.02, 7, 0.4, 0.03, 10, reliability)
