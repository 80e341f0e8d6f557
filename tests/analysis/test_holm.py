"""The step-down correction, against statsmodels."""

import pytest
from hypothesis import given, settings, strategies as st
from statsmodels.stats.multitest import multipletests

from explainer.analysis.simultaneous import holm

p = st.floats(0, 1)


@settings(max_examples=30, deadline=None)
@given(st.lists(p, min_size=1, max_size=12))
def test_the_same_as_statsmodels(ps):
    assert holm(ps) == pytest.approx(tuple(multipletests(ps, method="holm")[1]), abs=1e-12)


@given(st.lists(st.one_of(st.none(), p), max_size=12))
def test_what_was_not_tested_is_neither_counted_nor_given_a_value(ps):
    adjusted = holm(ps)
    assert [a is None for a in adjusted] == [given is None for given in ps]
    assert [a for a in adjusted if a is not None] == list(holm([q for q in ps if q is not None]))
    assert all(a >= q for a, q in zip(adjusted, ps, strict=True) if a is not None)


def test_nan_is_not_a_p():
    assert holm([float("nan"), 0.02]) == (None, 0.02)
    assert holm([]) == ()
