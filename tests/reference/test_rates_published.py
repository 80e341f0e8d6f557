"""Proportions and stratified tables against printed results."""

import math

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from calibration.worlds import study_of

from explainer.analysis.rates import log_odds_ratio, newcombe, stratified, wilson
from explainer.claims.judge import judge

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


def _ratio(tables):
    e = log_odds_ratio(tables)
    return tuple(math.exp(v) for v in (e.value, e.at95.low, e.at95.high))


def test_smoking_and_cancer_of_the_lung():
    # Doll & Hill 1950, Br. Med. J. 2:739, table IV, men: 647 of 649 patients and 622 of 649
    # controls smoked.  Odds ratio 14.04, Woolf's 95% range 3.33 to 59.30 (textbooks; from memory).
    assert _ratio([[[647, 622], [2, 27]]]) == pytest.approx((14.04, 3.33, 59.30), abs=5e-3)


def test_alcohol_and_cancer_of_the_oesophagus():
    # Breslow & Day 1980, IARC Sci. Publ. 32, table 4.1: 96 and 109 exposed, 104 and 666 not.  They
    # print 5.64, and logit limits 4.00 to 7.95 (from memory).
    assert _ratio([[[96, 109], [104, 666]]]) == pytest.approx((5.64, 4.00, 7.95), abs=5e-3)


def test_strata_are_what_statsmodels_and_r_give():
    # 3.5912 is R's, as above; its range by Robins, Breslow & Greenland is statsmodels'.
    table = sm.stats.StratifiedTable([np.array(t, float) for t in TABLES])
    low, high = table.oddsratio_pooled_confint()
    assert _ratio(TABLES) == pytest.approx((table.oddsratio_pooled, low, high))
    assert _ratio(TABLES)[0] == pytest.approx(3.5912, abs=5e-5)


def test_an_empty_cell_gets_a_half():
    # Haldane 1956; 10.5·9.5/(0.5·1.5) by hand.
    assert _ratio([[[10, 0], [1, 9]]])[0] == pytest.approx(10.5 * 9.5 / (0.5 * 1.5))


@pytest.mark.parametrize(
    ("test", "code"),
    [
        ({"direction": "higher"}, "backed"), ({"direction": "lower"}, "against"),
        ({"direction": "higher", "at_least": 3}, "backed"),
        ({"direction": "higher", "at_least": 4}, "leans"),
        ({"direction": "higher", "at_least": 60}, "against"),
    ],
)  # fmt: skip
def test_the_verdict_on_doll_and_hill_s_table(test, code):
    frame = pd.DataFrame({"smoked": ["yes", "no"], "ill": [647.0, 2.0], "all": [1269.0, 29.0]})
    whole = {"kind": "rate-difference", "successes": "ill", "attempts": "all", "by": "smoked",
             "a": "yes", "b": "no", "in": "odds", **test}  # fmt: skip
    (v,) = judge(study_of(frame, whole, item="smoked", measures={})).verdicts
    assert (v.code, v.unit, v.n_items) == (code, "odds ratio", 1298)
    assert (v.estimate, v.low, v.high) == pytest.approx((14.04, 3.33, 59.30), abs=5e-3)
    assert v.extra["odds_low"] == v.low
