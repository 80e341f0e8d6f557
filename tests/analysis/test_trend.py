import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy import stats

from explainer.analysis.drift import (
    item_slopes,
    lag1,
    mann_kendall,
    p_lag1,
    theil_sen,
    trend_over_items,
)
from explainer.analysis.result import Undefined

series = st.lists(st.integers(-30, 30), min_size=4, max_size=30)


@given(series, st.sampled_from([0.8, 0.9, 0.95]))
def test_slope_and_range_agree_with_scipy(y, level):
    x = np.arange(len(y))
    ours = theil_sen(x, y, level)
    scipy = stats.theilslopes(y, x, alpha=level)
    assert ours.slope == pytest.approx(scipy.slope)
    if ours.low is not None and ours.high is not None:
        assert (ours.low, ours.high) == pytest.approx((scipy.low_slope, scipy.high_slope))
        assert ours.low <= ours.slope <= ours.high


@given(series)
def test_mann_kendall_agrees_with_kendalls_tau(y):
    ours = mann_kendall(y)
    if isinstance(ours, Undefined):
        assert len(set(y)) == 1
        return
    # Kendall's asymptotic p has no continuity correction: undo ours and they are one test.
    plain = 2 * stats.norm.sf(abs(ours.s) / np.sqrt(ours.var))
    tau = stats.kendalltau(np.arange(len(y)), y, method="asymptotic")
    assert plain == pytest.approx(tau.pvalue)
    assert ours.p >= plain - 1e-12
    assert mann_kendall(y[::-1]).s == -ours.s


@given(series)
def test_positive_neighbours_make_a_trend_less_sure(y):
    p, test = p_lag1(y), mann_kendall(y)
    if isinstance(test, Undefined):
        assert p is None
    elif p is not None:
        assert test.p - 1e-12 <= p <= 1


def test_three_readings_have_no_range():
    fit = theil_sen([0, 1, 2], [0, 1, 5])
    assert fit.slope == 2.5
    assert (fit.low, fit.high) == (None, None)


def test_ties_in_x_carry_no_slope():
    assert theil_sen([0, 0, 1, 1], [0, 10, 1, 11]).slope == 1


@pytest.mark.parametrize(
    ("x", "y"), [([], []), ([1], [2]), ([3, 3, 3], [1, 2, 3]), ([1, np.nan], [1, 2])]
)
def test_no_slope(x, y):
    assert isinstance(theil_sen(x, y), Undefined)


@pytest.mark.parametrize("y", [[], [1], [1, 2, 3], [5, 5, 5, 5, 5], [np.nan] * 6])
def test_no_rank_test(y):
    assert isinstance(mann_kendall(y), Undefined)
    assert p_lag1(y) is None


def test_a_wandering_series_loses_its_significance():
    rng = np.random.default_rng(11)
    walks = [np.cumsum(rng.normal(size=40)) for _ in range(100)]
    raw = np.mean([mann_kendall(w).p < 0.05 for w in walks])
    corrected = np.mean([p_lag1(w) < 0.05 for w in walks])
    assert raw > 0.6
    assert corrected < raw / 2


def test_a_drift_in_independent_noise_survives():
    y = 0.3 * np.arange(40) + np.random.default_rng(4).normal(size=40)
    assert p_lag1(y) < 1e-6


@pytest.mark.parametrize("level", [3, -3])
def test_an_exact_line_is_as_sure_as_it_looks(level):
    y = 0.1 * np.arange(12) + level
    assert p_lag1(y) == pytest.approx(mann_kendall(y).p)


def test_lag1_of_known_series():
    assert lag1([1, -1, 1, -1]) == pytest.approx(-0.75)
    assert lag1([2, 2, 2, 2]) is None
    assert lag1([1, 2]) is None
    assert lag1(np.array([1, -1, 1, -1]) * 1e-200) == pytest.approx(-0.75)


def test_items_not_shots_are_counted():
    rng = np.random.default_rng(7)
    shots = np.arange(100)
    runs = [(shots, 0.02 * k * shots + rng.normal(size=100)) for k in (1, 2, 3, 4)]
    slopes = item_slopes([*runs, (shots[:1], [1.0])])
    assert slopes[-1] is None
    fit = trend_over_items(slopes)
    assert fit.n_items == 4
    assert fit.df == 3
    t = stats.ttest_1samp(np.array(slopes[:4]), 0)
    assert fit.p == pytest.approx(t.pvalue)
    ends = t.confidence_interval()
    assert (fit.at95.low, fit.at95.high) == pytest.approx((ends.low, ends.high))


def test_one_item_has_no_range_over_items():
    assert isinstance(trend_over_items([0.3, None]), Undefined)


def test_an_items_slope_is_in_ys_unit_per_xs():
    assert item_slopes([([0, 1, 2], [0, 4, 8]), ([0, 10, 20], [3, 3, 3])]) == (4, 0)


@pytest.mark.parametrize("n", [300, 301, 700])
def test_slopes_of_many_points_are_those_of_all_pairs(n):
    """However they are held: scipy's ``theilslopes`` has them all at once, with their indices."""
    rng = np.random.default_rng(n)
    x, y = np.floor(np.arange(n) / 2.0), np.round(rng.normal(size=n), 1)
    first, second = np.triu_indices(n, 1)
    slope = stats.theilslopes(y, x).slope
    assert theil_sen(x, y).slope == pytest.approx(slope, abs=1e-12)
    assert mann_kendall(y).s == int(np.sign(y[second] - y[first]).sum())
