"""Conformance probabilities against the examples of JCGM 106:2012 (values from memory)."""

import pytest

from explainer.analysis.limits import judge_reading, standard_uncertainty


def test_breakdown_voltage_below_an_upper_limit():
    # JCGM 106:2012, 7.4 example 1 (Zener diode): y −5.47 V, u .05 V, T_U −5.40 V: p_c 92%.
    call = judge_reading(-5.47, 0.05, at_most=-5.40)
    assert call.p_conform == pytest.approx(0.919243, abs=5e-7)
    assert call.call == "too-close"


def test_two_sided_limits():
    # JCGM 106:2012, example with limits 9.3 and 12.5, y 9.6, u .2.
    call = judge_reading(9.6, 0.2, at_least=9.3, at_most=12.5)
    assert call.p_conform == pytest.approx(0.933193, abs=5e-7)
    assert call.call == "too-close"


def test_guard_band_of_iso_14253_1():
    # 1.645 standard uncertainties at 95% one-sided, printed as 1.65 in ISO 14253-1:2017.
    assert judge_reading(0.0, 1.0, at_most=10.0).guard == pytest.approx(1.645, abs=5e-4)


def test_rounding_alone_has_a_twelfth_of_its_square():
    # JCGM 100:2008 (GUM), F.2.2.1: resolution δx gives u = 0.29 δx.
    assert standard_uncertainty(None, 1.0) == pytest.approx(0.29, abs=2e-3)
