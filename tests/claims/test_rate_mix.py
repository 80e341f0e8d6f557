"""Who tried which: the part of a pooled difference that is made by the mix alone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, strategies as st

from explainer.claims.rate_difference import composition

TRIES = st.tuples(*[st.integers(1, 400)] * 2)


@given(st.lists(st.tuples(TRIES, st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=12))
def test_mix_and_rates_add_up_to_the_pooled_difference(people):
    """Kitagawa, Components of a difference between two rates, J. Am. Stat. Assoc. 50 (1955),
    1168-1194: the difference of two pooled rates is a part for the rates and a part for the mix,
    and nothing is left over."""
    n = np.array([tries for tries, _, _ in people], dtype=float)
    s = np.round(n * np.array([rates for _, *rates in people]))
    pooled = s[:, 0].sum() / n[:, 0].sum() - s[:, 1].sum() / n[:, 1].sum()
    weights = n / n.sum(axis=0)
    rates = s / n
    of_rates = float(((rates[:, 0] - rates[:, 1]) * weights.mean(axis=1)).sum())
    assert composition(s, n) + of_rates == pytest.approx(pooled, abs=1e-12)


def test_nobody_is_lifted_where_all_try_both_alike():
    assert composition(np.array([[3.0, 5.0], [9.0, 2.0]]), np.full((2, 2), 10.0)) == 0
