"""The range of a ratio holds exactly the ratios that a t test does not rule out."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy import stats

from explainer.analysis.shares import fieller, fieller_from

EARLY = np.array([-6.0, -9, -7, -8, -10, -5])
TOTAL = np.array([-8.0, -10, -9, -9, -13, -6])


@pytest.mark.parametrize("level", [0.80, 0.90, 0.95])
def test_at_its_ends_the_t_test_just_gives_way(level):
    ends = fieller(EARLY, TOTAL, level)
    assert ends.level == level
    for theta in (ends.low, ends.high):
        assert stats.ttest_1samp(EARLY - theta * TOTAL, 0).pvalue == pytest.approx(1 - level)
    middle = EARLY.mean() / TOTAL.mean()
    assert ends.low < middle < ends.high


@settings(deadline=None, max_examples=80)
@given(
    st.lists(st.tuples(st.floats(-10, 10), st.floats(-10, 10)), min_size=3, max_size=8),
    st.floats(-5, 5),
)
def test_inside_is_not_ruled_out_and_outside_is(pairs, theta):
    a, b = np.array(pairs).T
    rest = a - theta * b
    if np.std(b) < 1e-3 or np.std(rest) < 1e-3:
        return
    ends = fieller(a, b, 0.90)
    p = stats.ttest_1samp(rest, 0).pvalue
    bounded = stats.ttest_1samp(b, 0).pvalue < 0.10
    assert math.isfinite(ends.low) == math.isfinite(ends.high) == bounded
    if bounded and abs(p - 0.10) > 1e-6:
        assert (ends.low <= theta <= ends.high) == (p > 0.10)


def test_where_the_total_may_be_nothing_no_share_is_too_large():
    ends = fieller([1.0, 2, 3], [-1.0, 1, 2], 0.95)
    assert (ends.low, ends.high) == (-math.inf, math.inf)
    assert not ends.inside(0.8, 1.25)
    assert not ends.outside(0.8, 1.25)


@pytest.mark.parametrize(
    ("a", "b"), [([], []), ([1.0], [2.0]), ([1.0, 2], [0.0, 0]), ([1.0, 2], [1.0, -1])]
)
def test_what_has_no_ratio_is_open(a, b):
    ends = fieller(a, b, 0.95)
    assert (ends.low, ends.high) == (-math.inf, math.inf)


def test_every_item_with_the_same_share_leaves_no_range():
    ends = fieller(0.75 * TOTAL, TOTAL, 0.95)
    assert ends.low == pytest.approx(0.75, abs=1e-12)
    assert ends.high == pytest.approx(0.75, abs=1e-12)


def test_a_narrow_range_is_not_lost_in_the_difference_of_large_numbers():
    """Three balls, shares that differ in the ninth digit; ends held against exact fractions."""
    a = [1000.000001, 999.999999, 1000.0]
    b = [1000.0, 1000.5, 999.5]
    ends = fieller(a, b, 0.90)
    t = Fraction(float(stats.t.ppf(0.95, 2)))
    fa, fb = [Fraction(v) for v in a], [Fraction(v) for v in b]
    for theta in (ends.low, ends.high):
        rest = [x - Fraction(theta) * y for x, y in zip(fa, fb, strict=True)]
        mean = sum(rest) / 3
        square = sum((r - mean) ** 2 for r in rest) / 6
        assert float(mean**2 / (t**2 * square)) == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize("up", [1e-60, 1e60])
@pytest.mark.parametrize("down", [1e-60, 1e60])
def test_units_carry_over(up, down):
    plain, scaled = fieller(EARLY, TOTAL, 0.95), fieller(EARLY * up, TOTAL * down, 0.95)
    assert scaled.low == pytest.approx(plain.low * (up / down), rel=1e-9)
    assert scaled.high == pytest.approx(plain.high * (up / down), rel=1e-9)


def test_from_two_means_and_their_variances_it_is_the_same():
    n = len(EARLY)
    cov = np.cov(EARLY, TOTAL) / n
    t = float(stats.t.ppf(0.975, n - 1))
    ends = fieller_from(EARLY.mean(), cov[0, 0], TOTAL.mean(), cov[1, 1], cov[0, 1], t, level=0.95)
    expected = fieller(EARLY, TOTAL, 0.95)
    assert (ends.low, ends.high) == pytest.approx((expected.low, expected.high), rel=1e-9)
    assert fieller_from(1.0, 0.1, 0.0, 0.1, 0.0, 2.0).high == math.inf


def test_two_items_are_enough():
    """By hand, at 80%: t(1) = 3.0777; a − θb is 3 − 5θ over items, its difference 1 − θ."""
    ends = fieller([1.0, 2.0], [2.0, 3.0], 0.80)
    t = stats.t.ppf(0.9, 1)
    for theta in (ends.low, ends.high):
        assert math.isfinite(theta)
        assert abs(3 - 5 * theta) == pytest.approx(t * abs(1 - theta))


def test_a_base_on_the_very_edge_of_nothing_bounds_no_ratio():
    """b = 1 with standard error ½ and t = 2: its range just touches 0."""
    ends = fieller_from(3.0, 0.1, 1.0, 0.25, 0.0, 2.0)
    assert (ends.low, ends.high) == (-math.inf, math.inf)
    assert math.isfinite(fieller_from(3.0, 0.1, 1.0, 0.24, 0.0, 2.0).high)


@pytest.mark.parametrize("shared", [0.4, 1.5])
def test_an_error_that_all_share_is_in_both_changes(shared):
    """By hand, in the measure's own unit: with s the shared error at each of three checkpoints,
    var a = var b = 2s² and cov(a, b) = s², since the start is in both changes."""
    early, total = EARLY / 8, TOTAL * 4  # of sizes so unlike that a unit mixed up would show
    n, t = len(early), stats.t.ppf(0.95, len(early) - 1)
    cov = np.cov(early, total, ddof=1) / n + shared**2 * np.array([[2, 1], [1, 2]])
    a, b = early.mean(), total.mean()
    roots = np.roots([
        b * b - t * t * cov[1, 1], -2 * (a * b - t * t * cov[0, 1]), a * a - t * t * cov[0, 0],
    ])  # fmt: skip
    ends = fieller(early, total, 0.90, shared)
    assert (ends.low, ends.high) == pytest.approx(sorted(roots))
    alone = fieller(early, total, 0.90)
    assert ends.low < alone.low and alone.high < ends.high
