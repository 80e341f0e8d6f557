"""A range as twenty equally likely answers: the quantiles of the curve that it came from."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from explainer.analysis.result import MANY, Interval, equally_likely, r_estimate, t_estimate

SHARES = [(i - 0.5) / MANY for i in range(1, MANY + 1)]


@pytest.mark.parametrize("df", [1, 3, 7, 40, 1e9])
@pytest.mark.parametrize("outer", ["at95", "at90"])
def test_of_a_t_range_they_are_the_quantiles_of_that_t(df, outer):
    """Held to scipy's own t, whose degrees of freedom are not handed over but found again."""
    made = t_estimate(-22.0, 2.0, df, 8, "")
    found = equally_likely(made.value, getattr(made, outer), made.at80)
    assert found == pytest.approx(stats.t.ppf(SHARES, df, -22.0, 2.0), rel=1e-5)


def test_the_first_and_the_last_are_the_ends_of_a_95_range():
    made = t_estimate(1.5, 0.4, 7, 8, "")
    found = equally_likely(made.value, made.at95, made.at80)
    assert (found[0], found[-1]) == pytest.approx((made.at95.low, made.at95.high))
    assert list(found) == sorted(found) and len(found) == MANY


def test_a_link_stays_between_minus_one_and_one_and_is_even_on_fisher_s_z():
    made = r_estimate(0.94, 0.45, None, 8, "")
    found = equally_likely(0.94, made.at95, made.at80, link=True)
    wanted = [math.tanh(z) for z in stats.norm.ppf(SHARES, math.atanh(0.94), 0.45)]
    assert found == pytest.approx(wanted, rel=1e-4)
    assert max(found) < 1


def test_a_lopsided_range_is_split_at_its_estimate():
    low = t_estimate(10.0, 1.0, 7, 8, "")
    high = t_estimate(10.0, 3.0, 7, 8, "")
    outer = Interval(low.at95.low, high.at95.high, 0.95)
    found = equally_likely(10.0, outer, Interval(low.at80.low, high.at80.high, 0.8))
    assert found[:10] == pytest.approx(stats.t.ppf(SHARES[:10], 7, 10, 1))
    assert found[10:] == pytest.approx(stats.t.ppf(SHARES[10:], 7, 10, 3))


def test_without_an_inner_range_the_curve_is_normal():
    found = equally_likely(0.0, Interval(-1.0, 1.0, 0.95), None)
    assert found == pytest.approx(stats.norm.ppf(SHARES) / stats.norm.ppf(0.975))


@pytest.mark.parametrize(
    ("value", "outer", "inner", "link"),
    [
        (5.0, (0.0, 10.0), (0.0, 10.0), False),  # a count of items: both ranges end alike
        (-29.0, (-98.0, 65.0), (-75.6, 24.3), False),  # held at a bound
        (1.0, (1.0, 1.0), (1.0, 1.0), False),  # no scatter at all
        (3.0, (-math.inf, 9.0), (1.0, 5.0), False),
        (12.0, (0.0, 10.0), (2.0, 8.0), False),  # the estimate outside its own range
        (1.0, (0.9, 1.0), (0.95, 1.0), True),
    ],
)
def test_ranges_of_another_make_give_no_dots(value, outer, inner, link):
    given = Interval(*outer, 0.95), Interval(*inner, 0.8)
    assert equally_likely(value, *given, link=link) == ()
