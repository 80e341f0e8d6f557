"""What so many items could show, against statsmodels and pingouin."""

import math

import numpy as np
import pingouin
import pytest
from hypothesis import assume, given, settings, strategies as st
from statsmodels.stats.power import TTestIndPower, TTestPower

from explainer.analysis import power


@settings(deadline=None, max_examples=60)
@given(st.integers(2, 60), st.floats(0.01, 5))
def test_power_of_a_mean_is_statsmodels(n, d):
    assume(d * n**0.5 < 7)  # beyond, the noncentral t behind statsmodels' far tail may be NaN
    assert power.power_mean(n, d) == pytest.approx(TTestPower().power(d, n, 0.05), abs=1e-8)


@settings(deadline=None, max_examples=60)
@given(st.integers(2, 30), st.integers(2, 30), st.floats(0.01, 5))
def test_power_of_a_difference_is_statsmodels(n_a, n_b, d):
    assume(d * (n_a * n_b / (n_a + n_b)) ** 0.5 < 7)
    theirs = TTestIndPower().power(d, n_a, 0.05, ratio=n_b / n_a)
    assert power.power_difference(n_a, n_b, d) == pytest.approx(theirs, abs=1e-8)


@settings(deadline=None, max_examples=60)
@given(st.integers(5, 200), st.floats(-0.95, 0.95))
def test_power_of_a_correlation_is_pingouins(n, r):
    theirs = pingouin.power_corr(r=r, n=n, alternative="two-sided")
    assert power.power_r(n, r) == pytest.approx(theirs, abs=1e-8)


@pytest.mark.parametrize("n", [2, 3, 4, 8, 20, 500])
def test_the_smallest_effect_has_just_the_power_asked_for(n):
    assert power.power_mean(n, power.smallest_mean_effect(n, 1.0)) == pytest.approx(0.8, abs=1e-9)
    df = 2 * n - 1  # of n and of n + 1 on a side, alike in spread
    both = power.smallest_mean_effect(df + 1, 3 * ((1 / n + 1 / (n + 1)) * (df + 1)) ** 0.5)
    assert power.power_difference(n, n + 1, both / 3) == pytest.approx(0.8, abs=1e-9)
    if n >= 4:
        assert power.power_r(n, power.smallest_r(n)) == pytest.approx(0.8, abs=1e-9)


@settings(deadline=None, max_examples=40)
@given(st.floats(0.05, 20), st.floats(0.1, 10), st.sampled_from([0.5, 0.8, 0.95]))
def test_one_item_fewer_would_not_do(effect, sd, wanted):
    n = power.items_for_mean(effect, sd, wanted)
    d = effect / sd
    if n is None:
        assert power.power_mean(power.MOST_ITEMS, d) < wanted
    else:
        assert power.power_mean(n, d) >= wanted
        assert n == 2 or power.power_mean(n - 1, d) < wanted
    side = power.items_for_difference(effect, sd, wanted)
    if side is not None and side > 2:
        assert power.power_difference(side - 1, side - 1, d) < wanted


def test_a_fall_and_a_rise_of_one_size_need_the_same():
    assert power.items_for_mean(-2.0, 3.0) == power.items_for_mean(2.0, 3.0)
    assert power.items_for_r(-0.4) == power.items_for_r(0.4)


@pytest.mark.parametrize("nothing", [0.0, float("nan"), float("inf")])
def test_what_cannot_be_answered_is_none(nothing):
    assert power.items_for_mean(nothing, 1.0) is None
    assert power.items_for_mean(1.0, nothing) is None
    assert power.items_for_difference(nothing, 1.0) is None
    assert power.items_for_difference(1.0, nothing) is None
    assert power.smallest_mean_effect(8, nothing) is None
    assert power.items_for_r(nothing) is None
    assert power.items_for_r(1.5) is None


def test_too_few_items_can_show_nothing():
    assert power.smallest_mean_effect(1, 1.0) is None
    assert power.smallest_r(3) is None


def test_out_of_reach_is_none_and_a_huge_effect_needs_the_least():
    assert power.items_for_mean(1e-6, 1.0) is None
    assert power.items_for_r(1e-5) is None
    assert power.items_for_mean(1e12, 1.0) == 2
    assert power.items_for_mean(1e12, 1e-12) == 2
    assert power.items_for_difference(1e9, 1.0) == 2
    assert power.items_for_r(1.0) == 4


@pytest.mark.parametrize("d", [1e-9, 1e-3, 1.0, 30.0, 1e3, 1e9])
@pytest.mark.parametrize("n", [2, 3, 10, 10_000])
def test_power_is_always_a_probability(n, d):
    for value in (power.power_mean(n, d), power.power_difference(n, n, d)):
        assert math.isfinite(value)
        assert 0.05 - 1e-9 <= value <= 1


def test_what_nobody_would_measure_is_out_of_reach():
    """(z(.95) + z(.9))² is 8.5638; over atanh² of these margins it is 9,996.5 and 9,997.5."""
    reach = math.sqrt(8.563847)
    assert power.items_for_no_r(math.tanh(reach / math.sqrt(9996.5))) == 10_000 == power.MOST_ITEMS
    assert power.items_for_no_r(math.tanh(reach / math.sqrt(9997.5))) is None
    assert power.items_for_no_r(1.0) is None
    assert power.items_for_no_r(0.0) is None


def test_where_there_is_nothing_a_test_is_wrong_as_often_as_it_may_be():
    assert power.power_mean(8, 0.0) == pytest.approx(0.05)
    assert power.power_difference(5, 9, 0.0, alpha=0.01) == pytest.approx(0.01)


def test_a_strong_link_is_told_from_one_on_its_line():
    """By drawing pairs: as often as asked for does Fisher's range keep clear of 0.5, and with so
    few items that only the size of r decides, as often does r come out at 0.7."""
    rng = np.random.default_rng(16)

    def drawn(n, r):
        x, e = rng.standard_normal((2, 20_000, n))
        y = r * x + np.sqrt(1 - r * r) * e
        x, y = (a - a.mean(axis=1, keepdims=True) for a in (x, y))
        found = (x * y).sum(axis=1) / np.sqrt((x**2).sum(axis=1) * (y**2).sum(axis=1))
        return found, np.tanh(np.arctanh(found) - 1.959964 / np.sqrt(n - 3))

    n = power.items_past(0.5, 0.7)
    assert n > power.items_for_r(0.5)  # to tell it from none at all takes far fewer
    assert (drawn(n, 0.7)[1] > 0.5).mean() == pytest.approx(0.8, abs=0.012)
    for n in (8, 60):
        r, low = drawn(n, power.smallest_strong(n, 0.5, 0.7))
        assert ((r >= 0.7) & (low >= 0.5)).mean() == pytest.approx(0.8, abs=0.025)
    assert power.smallest_strong(3, 0.5, 0.7) is None
    assert power.items_past(0.7, 0.7) is None and power.items_past(0.6, 0.60001) is None
