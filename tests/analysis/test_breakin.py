import math

import numpy as np
import pytest

from explainer.analysis.result import Undefined
from explainer.analysis.shares import BreakInShare, break_in, rates


def test_the_share_is_a_ratio_of_means_not_a_mean_of_ratios():
    early, total = np.array([-8, -9, -10, -12.0]), np.array([-10, -10, -12, -15.0])
    fit = break_in(early, total)
    assert isinstance(fit, BreakInShare)
    assert fit.share == pytest.approx(39 / 47)
    assert fit.share != pytest.approx(np.mean(early / total))
    assert fit.n_items == 4


def test_the_ranges_are_where_the_t_test_does_not_reject():
    rng = np.random.default_rng(3)
    total = rng.normal(-20, 3, 7)
    early = 0.7 * total + rng.normal(0, 2, 7)
    fit = break_in(early, total)
    for interval, t in ((fit.at95, 2.4469118), (fit.at90, 1.9431803), (fit.at80, 1.4397557)):
        for end in (interval.low, interval.high):
            d = early - end * total
            assert abs(d.mean() / (d.std(ddof=1) / np.sqrt(7))) == pytest.approx(t, rel=1e-5)


def test_no_share_of_a_change_that_may_be_nothing():
    fit = break_in([1, -1, 2, 0.5], [2, -3, 1, 0.5])
    assert isinstance(fit, Undefined)
    assert fit.why == "no-change"
    assert fit.n_items == 4


@pytest.mark.parametrize(
    ("early", "total"),
    [([], []), ([1.0], [2.0]), ([0, 0, 0], [0, 0, 0]), ([np.nan, 1], [1, np.nan])],
)
def test_too_little_for_a_share(early, total):
    assert isinstance(break_in(early, total), Undefined)


def test_pairs_with_a_gap_are_left_out_and_counted():
    full = break_in([-8, -9, -10, -12.0], [-10, -10, -12, -15.0])
    gap = break_in([-8, -9, -10, -12.0, np.nan], [-10, -10, -12, -15.0, -11])
    assert gap == full


def test_rates_are_per_use_and_paired():
    early, late = np.array([-10, -12, -9.0, -11]), np.array([-6, -5, -8.0, -7])
    fit = rates(early, late, span_early=10, span_late=50)
    d = early / 10 - late / 50
    assert fit.value == pytest.approx(d.mean())
    assert fit.at95.high < 0  # falls faster early
    with pytest.raises(ValueError, match="span"):
        rates(early, late, 0, 50)


def test_a_small_change_that_is_sure_has_a_share():
    """The mean change 0.105 has the 95% range 0.084 to 0.126: small, and not 0."""
    fit = break_in([0.08, 0.09, 0.07, 0.08], [0.10, 0.12, 0.09, 0.11])
    assert fit.share == pytest.approx(0.32 / 0.42)
    assert (fit.total.at95.low, fit.total.at95.high) == pytest.approx((0.0845, 0.1255), abs=1e-3)
    unsure = break_in([0.1, 0.2, 0.1], [0.4, 0.1, 0.4])
    assert (unsure.why, unsure.n_items) == ("no-change", 3)
    assert unsure.value == pytest.approx(0.4 / 0.9)


def test_a_change_that_an_error_shared_by_all_could_make_has_no_shares() -> None:
    """The start and the end each carry it: 1.96 · s · √2 is what it may have done to the change."""
    early, total = np.array([2.0, 2.1, 1.9, 2.0]), np.array([3.0, 3.1, 2.9, 3.0])
    far = break_in(early, total, shared_sd=3.0 / (1.96 * math.sqrt(2)) * 0.8)
    near = break_in(early, total, shared_sd=3.0 / (1.96 * math.sqrt(2)) * 1.2)
    assert isinstance(far, BreakInShare)
    assert isinstance(near, Undefined) and near.why == "no-change"
