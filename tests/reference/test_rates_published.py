"""Proportions and stratified tables against printed results."""

import pytest

from explainer.analysis.rates import newcombe, stratified, wilson

# statsmodels, stats/tests/test_contingency_tables.py, TestStratified2; its values come from R's
# mantelhaen.test and DescTools' BreslowDayTest.
TABLES = [
    [[20, 14], [10, 24]],
    [[15, 12], [3, 15]],
    [[3, 2], [3, 2]],
    [[12, 3], [7, 5]],
    [[1, 0], [3, 2]],
]


def test_wilson_of_newcombe():
    # Newcombe 1998, Stat. Med. 17:857, table I, 81/263 (value from memory).
    fit = wilson(81, 263)
    assert (fit.low, fit.high) == pytest.approx((0.2553, 0.3662), abs=5e-5)


def test_difference_of_newcombe():
    # Newcombe 1998, Stat. Med. 17:873, table II, 56/70 − 48/80, method 10 (value from memory).
    fit = newcombe(56, 70, 48, 80)
    assert fit.value == pytest.approx(0.2)
    assert (fit.at95.low, fit.at95.high) == pytest.approx((0.0524, 0.3339), abs=5e-5)


def test_difference_of_fagerland():
    # Fagerland, Lydersen & Laake 2015, Stat. Methods Med. Res. 24:224, 7/34 − 1/34; as quoted in
    # statsmodels, stats/tests/test_proportion.py: Newcombe hybrid score .019 to .34.
    fit = newcombe(7, 34, 1, 34)
    assert fit.at95.low == pytest.approx(0.019, abs=5e-4)
    assert fit.at95.high == pytest.approx(0.34, abs=5e-3)


def test_stratified_tables():
    fit = stratified(TABLES, correction=True)
    assert fit.odds_ratio == pytest.approx(3.5912, abs=5e-5)
    assert fit.cmh == pytest.approx(11.8852, abs=5e-5)
    assert fit.p_cmh == pytest.approx(0.0005658, abs=5e-8)
    assert fit.breslow_day == pytest.approx(1.8438, abs=5e-5)
    assert fit.p_breslow_day == pytest.approx(0.7645, abs=5e-5)
