import math

import pytest
from hypothesis import given, strategies as st
from scipy import stats

from explainer.analysis.limits import Call, judge_reading, standard_uncertainty
from explainer.analysis.result import Undefined

reading = st.floats(-1e3, 1e3)
uncertainty = st.floats(1e-3, 1e2)


@given(reading, uncertainty, reading, st.one_of(st.none(), st.integers(1, 50)))
def test_a_pass_and_its_probability_agree(value, u, limit, df):
    call = judge_reading(value, u, at_least=limit, df=df)
    t = stats.norm if df is None else stats.t(df)
    assert call.p_conform == pytest.approx(t.sf((limit - value) / u), abs=1e-12)
    assert call.guard == pytest.approx(t.ppf(0.95) * u)
    if call.call == "pass":
        assert call.p_conform >= 0.95 - 1e-9
    elif call.call == "fail":
        assert call.p_conform <= 0.05 + 1e-9
    else:
        assert 0.05 - 1e-9 <= call.p_conform <= 0.95 + 1e-9


@given(reading, uncertainty, reading)
def test_the_two_sides_mirror_each_other(value, u, limit):
    low = judge_reading(value, u, at_least=limit)
    high = judge_reading(-value, u, at_most=-limit)
    assert (low.call, low.guard) == (high.call, high.guard)
    assert low.p_conform == pytest.approx(high.p_conform)


def test_the_three_calls():
    calls = [judge_reading(v, 1, at_least=20).call for v in (17, 19, 20, 21, 22)]
    assert calls == ["fail", "too-close", "too-close", "too-close", "pass"]


def test_both_limits_at_once():
    calls = [judge_reading(v, 1, at_least=20, at_most=30).call for v in (17, 21, 25, 29, 33)]
    assert calls == ["fail", "too-close", "pass", "too-close", "fail"]


def test_a_gauge_too_coarse_for_the_zone_never_passes_anything():
    assert judge_reading(25, 10, at_least=20, at_most=30).call == "too-close"


def test_few_degrees_of_freedom_widen_the_guard():
    assert judge_reading(22, 1, at_least=20).call == "pass"
    assert judge_reading(22, 1, at_least=20, df=3).call == "too-close"


def test_a_reading_without_uncertainty_is_what_it_is():
    assert judge_reading(20, 0, at_least=20) == Call("pass", 1.0, 0.0)
    assert judge_reading(19.9, 0, at_least=20) == Call("fail", 0.0, 0.0)


def test_far_tails_keep_their_digits():
    p = judge_reading(10, 1, at_most=0).p_conform
    assert p == pytest.approx(stats.norm.sf(10), rel=1e-10)
    two = judge_reading(10, 1, at_least=-5, at_most=0).p_conform
    assert two == pytest.approx(stats.norm.sf(10), rel=1e-6)


@pytest.mark.parametrize(
    ("value", "u", "why"),
    [(math.nan, 1, "no-reading"), (math.inf, 1, "no-reading"), (1, math.nan, "no-uncertainty")],
)
def test_nothing_to_judge(value, u, why):
    call = judge_reading(value, u, at_least=0)
    assert isinstance(call, Undefined)
    assert call.why == why


def test_misuse():
    with pytest.raises(ValueError, match="at_least"):
        judge_reading(1, 1)
    with pytest.raises(ValueError, match="negative"):
        judge_reading(1, -1, at_least=0)


def test_repeating_averages_the_scatter_not_the_step():
    assert standard_uncertainty(3.0, 0.0, n=9) == 1.0
    assert standard_uncertainty(0.0, 1.0, n=9) == pytest.approx(1 / math.sqrt(12))
    assert standard_uncertainty(1.5, 1.0) == pytest.approx(math.sqrt(1.5**2 + 1 / 12))
    assert standard_uncertainty(1.5, None) == 1.5
    assert standard_uncertainty(None, None) is None
