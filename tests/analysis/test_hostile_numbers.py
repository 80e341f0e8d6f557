"""Whatever the numbers, an answer is finite or says that it does not exist; nothing warns."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from explainer.analysis import drift, gauge, pathcurves, rates, shares, stated

NUMBERS = (0.0, -0.0, 1.0, 1.0, 2.0, -3.5, 0.1 + 0.2, 0.3, 1e-60, -1e60, math.nan, math.inf)
column = st.lists(st.sampled_from(NUMBERS), max_size=20)
counts = st.integers(0, 4)


def assert_clean(answer):
    if dataclasses.is_dataclass(answer):
        answer = [getattr(answer, f.name) for f in dataclasses.fields(answer)]
    if isinstance(answer, dict):
        answer = list(answer.values())
    if isinstance(answer, list | tuple):
        for part in answer:
            assert_clean(part)
    elif isinstance(answer, float):
        assert math.isfinite(answer)


def table(rows, columns):
    cells = st.lists(st.sampled_from(NUMBERS), min_size=rows * columns, max_size=rows * columns)
    return cells.map(lambda values: np.array(values).reshape(rows, columns))


@given(column)
def test_one_series(y):
    assert drift.flag(y).shape == np.shape(y)
    assert drift.flag(y, 1.0, along=np.arange(np.size(y))).shape == np.shape(y)
    assert_clean(drift.mann_kendall(y))
    assert_clean(drift.p_lag1(y))
    assert_clean(drift.lag1(y))
    assert_clean(drift.trend_over_items(y))


@given(st.lists(st.tuples(*[st.sampled_from(NUMBERS)] * 2), max_size=12))
def test_pairs(pairs):
    x, y = np.array(pairs, dtype=float).reshape(-1, 2).T
    assert_clean(drift.theil_sen(x, y))
    assert_clean(shares.break_in(x, y))
    assert_clean(shares.rates(x, y, 1, 2))
    assert_clean(stated.r_rounding_bound(x, y, 0.5, 0.5))
    assert_clean(pathcurves.breakpoint_within(np.sort(x), y))


@settings(deadline=None)
@given(table(4, 5), table(4, 5))
def test_tables(a, b):
    use = np.array([0, 5, 10, 20, 60.0])
    assert_clean(pathcurves.band(use, a))
    assert_clean(pathcurves.difference_band(use, a, b))
    assert_clean(pathcurves.difference_band(use, a, b, paired=False))


@settings(deadline=None)
@given(table(9, 2))
def test_gauges(values):
    assert_clean(gauge.crossed(values.reshape(3, 3, 2)))
    assert_clean(gauge.crossed(values.reshape(3, 2, 3)))
    assert_clean(gauge.crossed(values.reshape(6, 1, 3)))


@given(st.lists(st.tuples(counts, counts, counts, counts), min_size=1, max_size=4))
def test_strata(cells):
    tables = np.array(cells, dtype=float).reshape(-1, 2, 2)
    for correction in (True, False):
        assert_clean(rates.stratified(tables, correction=correction))
    s, n = tables[:, :, 0], tables.sum(axis=2)
    assert_clean(rates.per_item_difference(s[:, 0], n[:, 0], s[:, 1], n[:, 1]))


@pytest.mark.parametrize("n", [0, 1, 2, 3])
def test_few_items(n):
    a, b = np.arange(n) * 1.5, np.arange(n) * 2.0 + 1
    assert_clean(shares.break_in(a, b))
    assert_clean(shares.rates(a, b, 1, 1))
    assert_clean(drift.trend_over_items(a))
    assert_clean(drift.theil_sen(a, b))
