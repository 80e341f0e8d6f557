"""Do items with more x have more y?  Against scipy, and where there is nothing to relate."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy import stats

from explainer.analysis.association import leave_one_out_r, pearson, slope, spearman
from explainer.analysis.result import Estimate, Undefined

cell = st.floats(-1e3, 1e3)


def points(least, most):
    spread = st.lists(st.tuples(cell, cell), min_size=least, max_size=most)
    return spread.map(lambda p: np.array(p).T).filter(lambda a: np.all(np.std(a, axis=1) > 1e-2))


@settings(deadline=None, max_examples=60)
@given(points(4, 12))
def test_r_is_scipys(xy):
    e, reference = pearson(*xy), stats.pearsonr(*xy)
    assert e.value == pytest.approx(reference.statistic, abs=1e-9)
    if abs(e.value) < 1 - 1e-9:
        assert e.p == pytest.approx(reference.pvalue, rel=1e-5, abs=1e-9)
    for ours, level in ((e.at95, 0.95), (e.at90, 0.9), (e.at80, 0.8)):
        theirs = reference.confidence_interval(level)
        assert (ours.low, ours.high) == pytest.approx(tuple(theirs), abs=1e-6)


@settings(deadline=None, max_examples=60)
@given(points(3, 12))
def test_the_slope_is_scipys(xy):
    e, reference = slope(*xy), stats.linregress(*xy)
    size = np.std(xy[1]) / np.std(xy[0])
    assert e.value == pytest.approx(reference.slope, rel=1e-9, abs=1e-9 * size)
    # scipy takes the scatter from 1 − r², which loses digits near a perfect line.
    if 1 - reference.rvalue**2 > 1e-6:
        assert e.se == pytest.approx(reference.stderr, rel=1e-7)
        assert e.p == pytest.approx(reference.pvalue, rel=1e-6, abs=1e-12)
    assert e.df == xy.shape[1] - 2


@settings(deadline=None, max_examples=40)
@given(st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=4, max_size=12))
def test_rank_correlation_is_scipys_ties_included(pairs):
    x, y = np.array(pairs, dtype=float).T
    e = spearman(x, y)
    if np.ptp(x) == 0 or np.ptp(y) == 0:
        assert e.why == "no-spread"
    else:
        assert e.value == pytest.approx(stats.spearmanr(x, y).statistic, abs=1e-12)


@pytest.mark.parametrize(
    ("x", "y"),
    [
        ([1, 2, 3, 4], [2, 1, 4, 3]),
        ([1, 2, 3, 4], [4, 3, 2, 1]),
        ([1, 2, 3, 4, 5], [5, 3, 4, 1, 2]),
        ([1, 2, 3, 4, 5, 6], [3, 1, 2, 6, 4, 5]),
        ([1, 1, 2, 3, 3, 3], [5, 6, 6, 7, 9, 9]),
        ([1, 1, 1, 1, 2], [3, 1, 1, 2, 2]),
    ],
)
def test_the_exact_p_counts_every_order(x, y):
    seen = abs(stats.spearmanr(x, y).statistic)
    orders = [abs(stats.spearmanr(x, order).statistic) for order in itertools.permutations(y)]
    share = np.mean([r >= seen - 1e-12 for r in orders])
    assert spearman(x, y).p == pytest.approx(share, abs=1e-12)


def test_beyond_nine_items_the_p_is_students():
    x, y = np.arange(10.0), np.array([2, 1, 4, 3, 6, 5, 8, 10, 9, 7.0])
    assert spearman(x, y).p == pytest.approx(stats.spearmanr(x, y).pvalue, rel=1e-9)


@settings(deadline=None, max_examples=60)
@given(points(3, 12))
def test_r_without_each_item(xy):
    x, y = xy
    each = leave_one_out_r(x, y)
    for i, r in enumerate(each):
        a, b = np.delete(x, i), np.delete(y, i)
        if np.std(a) > 1e-3 and np.std(b) > 1e-3:
            assert r == pytest.approx(np.corrcoef(a, b)[0, 1], abs=1e-6)


def test_an_item_that_holds_all_the_spread_leaves_nothing_to_relate():
    each = leave_one_out_r([1.0, 1, 1, 9], [2.0, 3, 4, 9])
    assert np.isnan(each[3])
    assert np.isfinite(each[:3]).all()


def test_an_item_far_out_costs_the_others_no_digits():
    x, y = np.array([1.0, 2, 3, 5, 1e9]), np.array([2.0, 1, 4, 3, 1e9])
    expected = np.corrcoef(x[:4], y[:4])[0, 1]
    assert leave_one_out_r(x, y)[4] == pytest.approx(expected, abs=1e-9)


def test_places_match_the_items_given_where_a_reading_is_missing():
    x, y = np.array([1.0, np.nan, 2, 3, 5]), np.array([2.0, 7, 1, 4, 3])
    each = leave_one_out_r(x, y)
    kept = np.array([0, 2, 3, 4])
    assert each[kept] == pytest.approx(leave_one_out_r(x[kept], y[kept]))
    assert each[1] == pytest.approx(pearson(x, y).value)
    assert pearson(x, y).n_items == 4


@pytest.mark.parametrize("f", [pearson, spearman])
def test_three_items_have_r_but_no_range(f):
    three = f([1.0, 2, 3], [1.0, 3, 2])
    assert (three.why, three.n_items) == ("too-few-items", 3)
    assert three.value == pytest.approx(0.5)
    assert f([1.0], [2.0]).value is None
    assert f([], []).why == "too-few-items"


@pytest.mark.parametrize("f", [pearson, spearman, slope])
def test_no_spread_in_x_or_y(f):
    assert f([1.0, 1, 1, 1], [1.0, 3, 2, 5]).why == "no-spread"
    assert f([1.0, 3, 2, 5], [1.0, 1, 1, 1]).why == "no-spread"


def test_two_items_make_a_line_without_a_range():
    assert slope([1.0, 3], [2.0, 8]) == Undefined(
        "too-few-items", 2, "least-squares slope over items", 3.0, fewest=3
    )


def test_a_perfect_line_leaves_no_range_to_either_side():
    x = np.array([1.0, 2, 4, 8, 9])
    r, line = pearson(x, -2 * x), slope(x, -2 * x)
    assert isinstance(r, Estimate)
    assert (r.value, r.at95.low, r.at95.high, r.p) == pytest.approx((-1, -1, -1, 0), abs=1e-12)
    assert (line.value, line.se, line.p) == (-2, 0, 0)


@pytest.mark.parametrize("scale", [1e-12, 1e12, 1e60, 1e-60])
def test_the_unit_does_not_matter(scale):
    x, y = np.array([1.0, 2, 3, 5, 8]), np.array([2.0, 1, 4, 3, 6])
    assert pearson(x * scale, y / scale).value == pytest.approx(pearson(x, y).value, abs=1e-12)
    assert slope(x * scale, y).at95.low == pytest.approx(slope(x, y).at95.low / scale, rel=1e-9)
    assert leave_one_out_r(x * scale, y) == pytest.approx(leave_one_out_r(x, y), abs=1e-9)


def test_lengths_must_match():
    with pytest.raises(ValueError, match="pairs of 2 and 3"):
        pearson([1.0, 2], [1.0, 2, 3])


def test_three_items_of_one_x_have_no_line_for_want_of_spread():
    assert slope([1.0, 1, 1], [1.0, 2, 3]).why == "no-spread"
    assert slope([1.0, 1], [1.0, 2]).why == "too-few-items"
    assert slope([1.0], [1.0]) == Undefined(
        "too-few-items", 1, "least-squares slope over items", fewest=3
    )
