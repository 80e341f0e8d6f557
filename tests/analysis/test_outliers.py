import numpy as np
import pytest
from hypothesis import given, strategies as st

from explainer.analysis.drift import flag, many_flagged

finite = st.floats(-1e6, 1e6)


@given(st.lists(finite, max_size=40), st.floats(1e-3, 1e3), st.floats(-1e6, 1e6))
def test_unit_and_origin_do_not_matter(x, scale, shift):
    x = np.round(np.array(x), 3)
    assert flag(x * 2**4).tolist() == flag(x).tolist()
    assert flag(-x).tolist() == flag(x).tolist()


@given(st.lists(finite, min_size=5, max_size=40))
def test_never_more_than_half(x):
    assert flag(x).mean() <= 0.5


def test_one_wild_reading_among_calm_ones():
    assert flag([10, 11, 10, 12, 11, 40, 10]).tolist() == [False] * 5 + [True, False]


def test_a_study_may_set_its_own_edge():
    x = [10, 11, 10, 12, 11, 15, 10]
    assert not flag(x).any()
    assert np.flatnonzero(flag(x, robust_sds=2)).tolist() == [5]


def test_coarse_readings_fall_back_to_the_gauge_unit():
    x = [20, 20, 20, 20, 20, 21, 24.0]
    assert not flag(x).any()
    # Past three units: 24 goes, 21 stays.
    assert flag(x, gauge_step=1).tolist() == [False] * 6 + [True]


def test_rounding_of_floats_is_not_spread():
    x = [0.1 + 0.2, 0.3, 0.3, 0.3, 0.1 + 0.2, 0.3, 0.30000000000000016]
    assert not flag(x).any()


def test_a_trend_is_taken_off_on_request():
    x = np.arange(30) + np.tile([0, 0.3, -0.2], 10)
    x[12] += 5
    assert flag(x).sum() == 0
    assert np.flatnonzero(flag(x, along=np.arange(len(x)))).tolist() == [12]
    steeper = 40 * np.arange(30) + np.tile([0, 0.3, -0.2], 10)
    steeper[12] += 5
    assert np.flatnonzero(flag(steeper, along=np.arange(len(x)))).tolist() == [12]


def test_gaps_keep_their_place():
    x = [10, np.nan, 11, 10, 12, 11, 40, 10]
    assert np.flatnonzero(flag(x)).tolist() == [6]


@pytest.mark.parametrize("x", [[], [1.0], [1, 2, 300.0], [np.nan] * 8, [4.0] * 9])
def test_too_little_to_flag(x):
    assert not flag(x, gauge_step=1).any()
    assert flag(x).shape == np.shape(x)


def test_the_line_goes_over_where_it_was_read_and_not_over_the_order():
    """On a straight line over games that lie apart unevenly no reading stands out."""
    games = np.array([0.0, 5, 10, 20, 40, 60])
    wobble = np.array([0.1, -0.1, 0.0, 0.1, -0.1, 0.05])
    assert not flag(70 - 0.5 * games + wobble, along=games).any()
    assert flag(70 - 0.5 * games + wobble + 9 * (games == 10), along=games).tolist() == [
        False, False, True, False, False, False]  # fmt: skip


def test_five_readings_are_enough_to_flag_one_and_four_are_not():
    assert flag([10, 11, 40, 10, 11]).tolist() == [False, False, True, False, False]
    assert not flag([10, 11, 40, 10]).any()


def test_a_tenth_is_not_many():
    assert not many_flagged(np.array([True] + [False] * 9))
    assert many_flagged(np.array([True, True] + [False] * 9))
    assert many_flagged(np.array([True] + [False] * 9), share=0.05)
    assert not many_flagged(np.array([], dtype=bool))


def test_a_reading_on_the_edge_stays():
    """Readings that agree: three gauge steps of 1 are the edge, and 23 lies on it."""
    assert not flag([20, 20, 20, 20, 20, 23], gauge_step=1).any()
    assert flag([20, 20, 20, 20, 20, 23.001], gauge_step=1)[-1]
