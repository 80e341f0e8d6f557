"""Too small to matter: shown only by a whole range inside the margin."""

import numpy as np
import pingouin
import pytest
from hypothesis import given, settings, strategies as st

from explainer.analysis.change import mean_change, tost_of
from explainer.analysis.difference import welch

column = st.lists(st.floats(-100, 100), min_size=2, max_size=8).filter(lambda d: np.std(d) > 0.01)


@settings(deadline=None, max_examples=40)
@given(column, column, st.floats(0.1, 50))
def test_the_same_as_pingouins(a, b, margin):
    one = pingouin.tost(np.array(a), 0, margin)["pval"].iloc[0]
    assert tost_of(mean_change(a), margin).p == pytest.approx(one, rel=1e-6, abs=1e-12)
    two = pingouin.tost(np.array(a), np.array(b), margin, correction=True)["pval"].iloc[0]
    assert tost_of(welch(a, b), margin).p == pytest.approx(two, rel=1e-6, abs=1e-12)


@settings(deadline=None, max_examples=60)
@given(column, st.floats(0.1, 50))
def test_the_test_and_the_range_say_the_same(d, margin):
    t = tost_of(mean_change(d), margin)
    assert (t.low90, t.high90) == (mean_change(d).at90.low, mean_change(d).at90.high)
    assert (t.p < 0.05) == (-margin < t.low90 and t.high90 < margin)
    at_least = tost_of(mean_change(d), t.smallest_margin_shown)
    assert at_least.p == pytest.approx(0.05, abs=1e-9)


def test_no_margin_at_all_is_never_shown():
    """Mean 1 over standard error 1 is t = 1 on 2 df; its tail is ½ − t/(2√(2 + t²)) = ½ − 1/√12."""
    t = tost_of(mean_change([0.0, 0.0, 3.0]), 0.0)
    assert (t.p_low, t.p_high) == pytest.approx((0.5 - 12**-0.5, 0.5 + 12**-0.5))
    assert t.p == t.p_high


def test_where_there_is_no_range_there_is_no_test():
    assert tost_of(mean_change([1.0]), 2.0) is None
    assert tost_of(mean_change([1.0, 1.0, 1.0]), 2.0) is None
    assert tost_of(mean_change([1.0, 1.0, 1.0], floor_sd=0.4), 2.0).p < 0.05
    assert tost_of(welch([1.0], [1.0, 2.0]), 3.0) is None


@pytest.mark.parametrize("margin", [-1.0, float("nan")])
def test_a_margin_is_a_size(margin):
    with pytest.raises(ValueError, match="margin"):
        tost_of(mean_change([1.0, 2.0]), margin)
