"""One number per item: its mean over items, its range, and what chance could do."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy import stats

from explainer.analysis.change import DRAWS, EXACT_UP_TO, d_z, mean_change, sign_flip
from explainer.analysis.result import Estimate, Undefined

# Squares of sizes below 1e-100 lose digits in scipy, which then is no yardstick.
numbers = st.lists(
    st.floats(-1e6, 1e6).map(lambda v: 0.0 if abs(v) < 1e-100 else v), min_size=2, max_size=12
).filter(lambda d: np.std(d) > 1e-6 * np.max(np.abs(d)))


@settings(deadline=None, max_examples=80)
@given(numbers)
def test_the_same_as_scipys_one_sample_t(d):
    e = mean_change(d)
    reference = stats.ttest_1samp(d, 0)
    for ours, level in ((e.at95, 0.95), (e.at90, 0.90), (e.at80, 0.80)):
        theirs = reference.confidence_interval(level)
        size = max(abs(theirs.low), abs(theirs.high))
        assert ours.level == level
        assert ours.low == pytest.approx(theirs.low, rel=1e-9, abs=1e-9 * size)
        assert ours.high == pytest.approx(theirs.high, rel=1e-9, abs=1e-9 * size)
    assert e.p == pytest.approx(reference.pvalue, rel=1e-7, abs=1e-12)
    assert (e.df, e.n_items) == (len(d) - 1, len(d))


@settings(deadline=None, max_examples=15)
@given(st.lists(st.integers(-9, 9), min_size=2, max_size=7))
def test_the_same_as_scipys_permutation_test(d):
    flips = sign_flip(d)
    reference = stats.permutation_test(
        (np.array(d, dtype=float),), np.sum, permutation_type="samples", n_resamples=np.inf
    )
    assert flips.exact
    assert flips.p == pytest.approx(reference.pvalue, abs=1e-12)
    assert flips.p >= flips.smallest_p


def test_missing_readings_are_not_items():
    with_gaps = mean_change([1.0, np.nan, 2.0, 4.0, np.inf])
    assert with_gaps == mean_change([1.0, 2.0, 4.0])
    assert with_gaps.n_items == 3


@pytest.mark.parametrize(("d", "value"), [([], None), ([3.5], 3.5), ([np.nan, 2.0], 2.0)])
def test_one_item_has_no_range(d, value):
    assert mean_change(d) == Undefined("too-few-items", len(d) if value != 2.0 else 1,
                                       "t over items", value)  # fmt: skip
    assert d_z(d) is None


def test_scatter_that_nobody_saw_has_no_size():
    same = mean_change([-4.0] * 6)
    assert isinstance(same, Undefined)
    assert (same.why, same.value, same.n_items) == ("no-spread", -4.0, 6)
    assert d_z([-4.0] * 6) is None


def test_differences_that_only_rounding_tells_apart_have_no_spread():
    before = np.array([71.3, 64.1, 58.7, 0.3])
    assert np.ptp((before + 1.1) - before) > 0
    assert mean_change((before + 1.1) - before).why == "no-spread"


def test_a_gauges_step_stands_in_for_spread_only_where_there_is_none():
    floor = 1.0 * math.sqrt(2 / 12)
    e = mean_change([-4.0] * 6, floor_sd=floor)
    assert isinstance(e, Estimate)
    assert e.se == floor / math.sqrt(6)
    assert "step" in e.method
    spread = [-4.0, -4.1, -3.9]
    assert mean_change(spread, floor_sd=floor) == mean_change(spread)
    assert isinstance(mean_change([2.0] * 3, floor_sd=0.0), Undefined)


@pytest.mark.parametrize("scale", [1e-12, 1e-3, 1e12, 1e60])
def test_the_unit_does_not_matter(scale):
    d = np.array([1.5, -0.5, 2.0, 3.25, 0.75])
    small, large = mean_change(d), mean_change(d * scale)
    assert large.p == pytest.approx(small.p, rel=1e-12)
    assert large.at95.low == pytest.approx(small.at95.low * scale, rel=1e-12)
    assert sign_flip(d * scale) == sign_flip(d)
    assert d_z(d * scale) == pytest.approx(d_z(d), rel=1e-12)


def test_ties_count_as_being_as_far():
    # .1 + .2 and .3 differ in the last bit; as sums of signs they are the same.
    assert sign_flip([0.1, 0.2, 0.3]).p == sign_flip([1, 2, 3]).p == 0.25
    assert sign_flip([0.0, 0.0]).p == 1.0
    assert sign_flip([0.0, 1.0, 2.0]).smallest_p == 0.5
    assert sign_flip([]) is None


def test_many_items_draw_signs_at_random_and_always_the_same_ones():
    d = stats.norm.ppf((np.arange(EXACT_UP_TO + 5) + 0.5) / (EXACT_UP_TO + 5)) + 0.35
    flips = sign_flip(d)
    assert not flips.exact
    assert flips == sign_flip(d)
    # The sign-flip distribution of 25 near-normal numbers is close to the t test's.
    assert flips.p == pytest.approx(stats.ttest_1samp(d, 0).pvalue, abs=0.01)
    assert sign_flip(np.arange(1.0, 41)).p == 1 / (DRAWS + 1)
    # So many draws can show no less, however many patterns there are.
    assert flips.smallest_p == 1 / (DRAWS + 1)


def test_random_signs_agree_with_all_of_them():
    d = np.linspace(-1, 2.2, EXACT_UP_TO)
    exact = sign_flip(d)
    # One more item of size 0 changes no sum, but is one too many for trying all.
    drawn = sign_flip([*d, 0.0])
    assert exact.exact
    assert not drawn.exact
    assert drawn.p == pytest.approx(exact.p, abs=5 * math.sqrt(exact.p / DRAWS))
