"""Groups of items against each other, with no equal spread assumed."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy import stats

from explainer.analysis.difference import paired_from_printed, welch
from explainer.analysis.grouped import mean_of_groups
from explainer.analysis.result import Estimate, Undefined

group = st.lists(st.floats(-1e4, 1e4), min_size=2, max_size=9).filter(lambda d: np.std(d) > 1e-3)


@settings(deadline=None, max_examples=80)
@given(group, group)
def test_the_same_as_scipys_welch(a, b):
    e = welch(a, b)
    reference = stats.ttest_ind(a, b, equal_var=False)
    assert e.value == pytest.approx(np.mean(a) - np.mean(b), abs=1e-8)
    assert e.df == pytest.approx(reference.df, rel=1e-9)
    assert e.p == pytest.approx(reference.pvalue, rel=1e-6, abs=1e-12)
    for ours, level in ((e.at95, 0.95), (e.at90, 0.9), (e.at80, 0.8)):
        theirs = reference.confidence_interval(level)
        assert ours.low == pytest.approx(theirs.low, rel=1e-7, abs=1e-6)
        assert ours.high == pytest.approx(theirs.high, rel=1e-7, abs=1e-6)
    assert e.n_items == len(a) + len(b)


def test_turned_round_it_is_the_same_with_the_other_sign():
    a, b = [1.0, 2, 4], [7.0, 7.5, 9, 12]
    there, back = welch(a, b), welch(b, a)
    assert there.value == -back.value
    assert there.at95.low == pytest.approx(-back.at95.high)
    assert there.p == pytest.approx(back.p)


@pytest.mark.parametrize(
    ("a", "b", "value"), [([], [], None), ([], [1.0], None), ([3.0], [1.0, 2.0], 1.5)]
)
def test_a_side_of_one_has_no_range(a, b, value):
    result = welch(a, b)
    assert isinstance(result, Undefined)
    assert (result.why, result.value) == ("too-few-items", value)


def test_spread_on_one_side_is_enough():
    e = welch([5.0, 5.0, 5.0], [1.0, 2.0, 3.0])
    assert isinstance(e, Estimate)
    assert e.df == 2
    assert e.at95.excludes(0)


def test_no_spread_on_either_side():
    assert welch([5.0, 5.0], [4.0, 4.0]) == Undefined(
        "no-spread", 4, "Welch's t between groups of items", 1.0
    )
    e = welch([5.0, 5.0], [4.0, 4.0], floor_sd=0.1)
    assert isinstance(e, Estimate)
    assert (e.df, e.se) == (pytest.approx(2), pytest.approx(0.1))


def test_readings_that_are_missing_are_not_items():
    assert welch([1.0, 2, np.nan, 4], [7.0, 7.5, np.inf]) == welch([1.0, 2, 4], [7.0, 7.5])


def test_the_same_items_from_print_have_the_degrees_of_freedom_of_their_pairs() -> None:
    a, b = np.array([7.0, 9.0, 8.0, 12.0]), np.array([6.0, 9.5, 6.0, 9.0])
    printed = paired_from_printed(
        a.mean(), a.std(ddof=1), b.mean(), b.std(ddof=1), 4, float(np.corrcoef(a, b)[0, 1])
    )
    pairs = stats.ttest_rel(a, b)
    assert isinstance(printed, Estimate)
    assert printed.value == pytest.approx(1.375) and printed.df == 3
    known = pairs.confidence_interval(0.95)
    assert (printed.at95.low, printed.at95.high) == pytest.approx((known.low, known.high))


@pytest.mark.parametrize("unit", [1.0, 0.01, 1000.0])
def test_the_mean_of_groups_is_the_same_in_any_unit(unit: float) -> None:
    """Each group has its own spread, however small the unit makes it: by hand from the squares."""
    values = np.array([1.0, 2.0, 3.0, 10.0, 10.5, 11.0]) * unit
    told = mean_of_groups(values, np.array(["a"] * 3 + ["b"] * 3))
    assert isinstance(told, Estimate)
    parts = np.array([1.0, 0.25]) / 3  # s² of a group over its items
    df = parts.sum() ** 2 / (parts**2 / 2).sum()
    half = stats.t.ppf(0.975, df) * math.sqrt(parts.sum()) / 2
    assert told.value == pytest.approx(6.25 * unit) and told.df == pytest.approx(df)
    assert told.at95.high - told.value == pytest.approx(half * unit)
