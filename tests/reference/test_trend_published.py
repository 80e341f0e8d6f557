"""Trend statistics against printed results."""

import math

import pytest
from scipy import stats

from explainer.analysis.trend import mann_kendall, theil_sen

# J. Little, College of the Holy Cross, "A Mann-Kendall Example (By Hand)".
HOLY_CROSS = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]


def test_sen_1968():
    # Sen 1968, J. Am. Stat. Assoc. 63:1379, section 6; also scipy's test_mstats_basic.py.
    x = [1, 2, 3, 4, 10, 12, 18]
    y = [9, 15, 19, 20, 45, 55, 78]
    fit = theil_sen(x, y, level=0.93)
    assert fit.slope == 4
    assert fit.low == pytest.approx(26 / 7)
    assert fit.high == pytest.approx(35 / 8)


def test_mann_kendall_by_hand():
    test = mann_kendall(HOLY_CROSS)
    assert test.s == 54
    # The note prints V = (14)(13)(33)/18 − (2)(1)(9)/18 and Z = 2.9058, p about .0018 one-sided.
    assert test.var == pytest.approx(14 * 13 * 33 / 18 - 2 * 1 * 9 / 18)
    assert test.z == pytest.approx(2.9058, abs=5e-5)
    assert test.p / 2 == pytest.approx(0.0018, abs=5e-5)


def test_kendalls_tau_in_scipy_leaves_out_the_continuity_correction():
    # Why ours is not scipy's: the same S and variance without the ∓1 give p .00307.
    test = mann_kendall(HOLY_CROSS)
    plain = stats.kendalltau(range(14), HOLY_CROSS, method="asymptotic").pvalue
    assert plain == pytest.approx(0.00307, abs=5e-6)
    assert plain == pytest.approx(2 * stats.norm.sf(test.s / math.sqrt(test.var)))
    assert test.p > plain
