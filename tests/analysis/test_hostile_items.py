"""Whatever the numbers, an answer is finite or says that it does not exist; nothing warns."""

import dataclasses
import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings, strategies as st

from explainer.analysis import (
    association,
    change,
    difference,
    power,
    result,
    sample,
    shares,
    within,
)
from explainer.analysis.result import Estimate, Interval

NUMBERS = (0.0, -0.0, 1.0, 1.0, 2.0, -3.5, 0.1 + 0.2, 0.3, 1e-60, -1e60, 1e12, math.nan, math.inf)
number = st.sampled_from(NUMBERS)
column = st.lists(number, max_size=12)
pairs = st.lists(st.tuples(number, number), max_size=12).map(
    lambda p: np.array(p, dtype=float).reshape(-1, 2).T
)


def assert_clean(answer, open_ends=False):
    """No NaN anywhere; no infinity but in the ends of a ratio's range."""
    if isinstance(answer, Interval):
        assert answer.low <= answer.high
        assert open_ends or (math.isfinite(answer.low) and math.isfinite(answer.high))
    elif dataclasses.is_dataclass(answer):
        for field in dataclasses.fields(answer):
            assert_clean(getattr(answer, field.name), open_ends)
    elif isinstance(answer, dict):
        for part in answer.values():
            assert_clean(part, open_ends)
    elif isinstance(answer, list | tuple):
        for part in answer:
            assert_clean(part, open_ends)
    elif isinstance(answer, float):
        assert math.isfinite(answer)
    if isinstance(answer, Estimate):
        assert answer.at80.low >= answer.at90.low >= answer.at95.low
        assert answer.p is None or 0 <= answer.p <= 1


@settings(deadline=None)
@given(column, column)
def test_columns(a, b):
    e = change.mean_change(a)
    assert_clean(e)
    assert_clean(change.mean_change(a, floor_sd=0.3))
    assert_clean(change.sign_flip(a))
    assert_clean(change.d_z(a))
    assert_clean(difference.welch(a, b))
    assert_clean(change.tost_of(change.mean_change(a), 1.0))
    assert_clean(change.tost_of(difference.welch(a, b), 1.0))
    if isinstance(e, Estimate):
        assert_clean(result.widened(e, 0.5))


@settings(deadline=None)
@given(pairs)
def test_pairs(xy):
    x, y = xy
    for f in (association.pearson, association.spearman, association.slope):
        assert_clean(f(x, y))
    each = association.leave_one_out_r(x, y)
    assert each.shape == x.shape
    assert np.all(np.abs(each[np.isfinite(each)]) <= 1)
    assert_clean(shares.fieller(x, y, 0.9), open_ends=True)


@settings(deadline=None, max_examples=200)
@given(st.lists(st.tuples(number, number, st.sampled_from("abc"), st.sampled_from([0, 5, 9])),
                max_size=14))  # fmt: skip
def test_rows(rows):
    frame = pd.DataFrame(rows, columns=["x", "y", "item", "use"])
    frame = frame.drop_duplicates(["item", "use"]).astype({"x": float, "y": float, "use": float})
    item = frame["item"].to_numpy(dtype=str)
    w = within.within(frame["x"], frame["y"], item, frame["use"])
    assert_clean(w)
    if isinstance(w, within.Within):
        assert len(w.r_loo) == len(w.slope_loo) == len(w.items) == len(set(item))
    assert_clean(sample.grid(frame, "item", "use", "x").n_rows)


@given(*[st.sampled_from([0.0, 1.0, -2.0, 1e-60, 1e60])] * 4, st.sampled_from([1.0, 0.05]))
def test_lines(slope, se, between, between_se, reliability):
    line = shares.same_line(slope, abs(se), 3.0, between, abs(between_se), 1.0, reliability)
    assert_clean(line, open_ends=True)


@pytest.mark.parametrize("n", range(6))
def test_identical_items(n):
    same = np.full(n, 7.0)
    assert_clean(change.mean_change(same))
    assert_clean(change.sign_flip(same))
    assert_clean(difference.welch(same, same))
    assert_clean(association.pearson(same, same))
    assert_clean(within.within(same, same, np.arange(n)))
    assert_clean(power.smallest_mean_effect(n, 1.0))
    assert_clean(power.smallest_r(n))
