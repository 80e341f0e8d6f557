"""The further kinds against published examples, each to the digits printed."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from explainer.analysis.change import mean_change
from explainer.analysis.difference import brown_forsythe, pitman_morgan
from explainer.analysis.limits import (
    factor,
    items_for_any_shape,
    limits_of_agreement,
    p_inside,
    p_outside,
    reached_by,
    share_reached,
)
from explainer.analysis.result import Estimate, t_estimate
from explainer.analysis.simultaneous import (
    Pair,
    games_howell_p,
    joint_quantile,
    jonckheere,
    pair_within,
    slope_of_steps,
)
from explainer.claims.design.turns import each_order_once
from explainer.claims.share_of_items import clopper_pearson, least_items


def test_mean_of_the_heat_flow_meter() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.2, ZARR13.DAT: N 195, mean 9.261460, SD 0.022789; the 95%
    interval is printed as (9.258242, 9.264679).  From memory; worked out from the summary."""
    e = t_estimate(9.261460, 0.022789 / math.sqrt(195), 194, 195, "")
    assert (round(e.at95.low, 5), round(e.at95.high, 5)) == (9.25824, 9.26468)


def test_two_one_sided_tests() -> None:
    """pingouin, docstring of ``tost`` (package): paired, bound 0.5, p 0.954854."""
    a, b = np.array([4, 7, 8, 6, 3, 2]), np.array([6, 8, 7, 10, 11, 9])
    e = mean_change(a - b)
    assert isinstance(e, Estimate)
    assert p_inside(e, (-0.5, 0.5)) == pytest.approx(0.954854, abs=5e-7)
    # One side alone is the plain one-sided t test.
    one = stats.ttest_1samp(a - b, 0.5, alternative="less").pvalue
    assert p_inside(e, (None, 0.5)) == pytest.approx(one, abs=1e-12)
    assert p_outside(e, (None, 0.5)) == pytest.approx(1 - one, abs=1e-12)


def test_tolerance_factors() -> None:
    """NIST/SEMATECH e-Handbook 7.2.6.3 (from memory): N 43, 90% of all, 99% sure: k 1.8740 by the
    noncentral t (1.8752 by the approximation that the page works out first).
    ISO 16269-6, one-sided, 95% of all, 95% sure (from memory): n 10, k 2.911; n 5, 4.203."""
    assert round(factor(43, 0.90, 0.99), 4) == 1.8740
    assert round(factor(10, 0.95, 0.95), 3) == 2.911
    assert round(factor(5, 0.95, 0.95), 3) == 4.203


def test_a_tolerance_bound_is_the_end_of_the_range() -> None:
    values = np.array([71.0, 74, 75, 76, 76, 77, 78, 79, 80, 82])
    e = reached_by(values, 0.95, 1)
    assert isinstance(e, Estimate)
    low = values.mean() - 2.911 * values.std(ddof=1)  # ISO 16269-6, as above
    assert e.at90.low == pytest.approx(low, abs=0.003)


def test_items_for_any_shape() -> None:
    """Wilks 1941: 59 of 59 for 95% of all at 95% (0.95⁵⁹ = 0.0485); 299 for 99% (from memory)."""
    assert items_for_any_shape(0.95) == 59
    assert items_for_any_shape(0.99) == 299


#: Bland & Altman 1986, Lancet i, 307, table 1: peak flow of 17 people, first readings by the
#: large and by the small meter, l/min.  From memory; the printed results come out of them.
LARGE = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
SMALL = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]


def test_limits_of_agreement() -> None:
    """Printed: mean difference −2.1, SD 38.8; limits −79.7 and 75.5, with 2 SD.  Ours are with
    1.96 SD; the bounds are the noncentral t of the tolerance factors above (Carkeet 2015)."""
    d = np.array(LARGE) - np.array(SMALL)
    mean, sd = float(d.mean()), float(d.std(ddof=1))
    assert (round(mean, 1), round(sd, 1)) == (-2.1, 38.8)
    assert (round(-2.1 - 2 * 38.8, 1), round(-2.1 + 2 * 38.8, 1)) == (-79.7, 75.5)
    e = limits_of_agreement(d)
    assert isinstance(e, Estimate)
    assert e.value == pytest.approx(abs(mean) + 1.959964 * sd, abs=1e-4)
    assert e.at90.high == pytest.approx(abs(mean) + factor(17, 0.975, 0.95) * sd, abs=1e-9)


@pytest.mark.parametrize(
    ("made", "n", "low", "high"),
    [(81, 263, 0.2527, 0.3676), (15, 148, 0.0578, 0.1617), (0, 20, 0.0, 0.1684),
     (1, 29, 0.0009, 0.1776)],
)  # fmt: skip
def test_exact_ranges_of_a_share(made: int, n: int, low: float, high: float) -> None:
    """Newcombe 1998, Statistics in Medicine 17, 857, table I, method 5 (from memory)."""
    found = clopper_pearson(made, n, 0.95)
    assert (round(found.low, 4), round(found.high, 4)) == (low, high)


def test_most_takes_six() -> None:
    """Five of five reach 0.025^(1/5) = 0.478, six of six 0.541."""
    assert round(clopper_pearson(5, 5, 0.95).low, 3) == 0.478
    assert least_items(0.5) == 6


#: Hollander & Wolfe 1999, example 6.2: pieces worked by 18 men in three groups that knew less or
#: more of what they did (from memory).
KNEW = ([40, 35, 38, 43, 44, 41], [38, 40, 47, 44, 40, 42], [48, 40, 45, 43, 46, 44])


def test_jonckheere() -> None:
    """Printed: J 79, large-sample J* 2.02 (mean 54, variance 153 without the ties), p 0.0217 on
    one side.  Ours takes the ties out of the variance: 2.04 [own]."""
    count, p = jonckheere(KNEW)
    assert count == 79
    assert round((count - 54) / math.sqrt(153), 2) == 2.02
    assert round(float(stats.norm.isf(p / 2)), 2) == 2.04
    # Without ties the variance is the printed one.
    apart = [np.array(g) + 1e-3 * np.arange(6) + 1e-2 * k for k, g in enumerate(KNEW)]
    count, p = jonckheere(apart)
    assert float(stats.norm.isf(p / 2)) == pytest.approx((count - 54) / math.sqrt(153), abs=1e-9)


def test_the_contrast_of_steps_is_the_slope_of_equal_groups() -> None:
    """Least squares on the step numbers has the same slope where all groups are as large."""
    e = slope_of_steps(KNEW)
    assert isinstance(e, Estimate)
    x = np.repeat([0, 1, 2], 6)
    assert e.value == pytest.approx(stats.linregress(x, np.concatenate(KNEW)).slope, abs=1e-12)
    variances = [np.var(g, ddof=1) / 6 for g in KNEW]
    assert e.se == pytest.approx(math.sqrt(0.25 * (variances[0] + variances[2])), abs=1e-12)


def test_joint_ranges_of_pairs() -> None:
    """Tables of the studentized range (Harter 1960; from memory): 5%, q(3, 10) 3.877, q(4, 20)
    3.958.  Two groups: Student's t."""
    assert round(joint_quantile(0.95, 3, 10) * math.sqrt(2), 3) == 3.877
    assert round(joint_quantile(0.95, 4, 20) * math.sqrt(2), 3) == 3.958
    assert joint_quantile(0.95, 2, 12) == pytest.approx(stats.t.isf(0.025, 12), abs=1e-6)


def test_games_howell() -> None:
    """pingouin, docstring of ``pairwise_gameshowell`` (package; from memory): penguins, body mass,
    Adelie and Chinstrap: difference −32.426, se 59.706, df 152.455, p 0.85."""
    e = t_estimate(-32.426, 59.706, 152.455, 219, "")
    assert games_howell_p(e, 3) == pytest.approx(0.85, abs=0.005)


def test_spreads_of_the_same_items() -> None:
    """Pitman & Morgan 1939: p is that of the correlation of sums and differences; and a ratio at
    the end of the range is just not rejected, with b stretched by it."""
    a, b = np.array(LARGE, dtype=float), np.array(SMALL, dtype=float)
    e = pitman_morgan(a, b)
    assert isinstance(e, Estimate)
    assert e.p == pytest.approx(stats.pearsonr(a + b, a - b).pvalue, abs=1e-10)
    at_the_end = stats.pearsonr(a + math.exp(e.at95.low) * b, a - math.exp(e.at95.low) * b)
    assert at_the_end.pvalue == pytest.approx(0.05, abs=1e-9)


def test_spreads_of_different_items() -> None:
    """scipy, docstring of ``levene`` (package): its first two samples.  With sides as large as
    each other Welch's t² is Brown and Forsythe's W."""
    a = [8.88, 9.12, 9.04, 8.98, 9.00, 9.08, 9.01, 8.85, 9.06, 8.99]
    b = [8.88, 8.95, 9.29, 9.44, 9.15, 9.58, 8.36, 9.18, 8.67, 9.05]
    e = brown_forsythe(a, b)
    assert isinstance(e, Estimate) and e.p is not None
    w = stats.levene(a, b, center="median").statistic
    u, v = (np.abs(np.array(x) - np.median(x)) for x in (a, b))
    welch = stats.ttest_ind(u, v, equal_var=False)
    assert welch.statistic**2 == pytest.approx(w, abs=1e-9)
    assert e.p == pytest.approx(welch.pvalue, abs=1e-10)
    assert e.at95.high < 0


#: Months to retraction after radiotherapy alone, (not yet, there]; 100: never seen.  Finkelstein &
#: Wolfe 1985 (Biometrics 41, 933), as the R package MLEcens ships them (data/cosmesis.txt).
RADIOTHERAPY = """45 100,6 10,0 7,46 100,46 100,7 16,17 100,7 14,37 44,0 8,4 11,15 100,11 15,22 100,
46 100,46 100,25 37,46 100,26 40,46 100,27 34,36 44,46 100,36 48,37 100,40 100,17 25,46 100,11 18,
38 100,5 12,37 100,0 5,18 100,24 100,36 100,5 11,19 35,17 25,24 100,32 100,33 100,19 26,37 100,
34 100,36 100"""


def test_turnbull_of_the_breast_cosmesis_data() -> None:
    """The masses that R's package interval prints for radiotherapy alone (Fay & Shaw 2010, J. Stat.
    Softw. 36(2), section 4): (4,5] 0.0463 and so on, four digits; printed values from memory."""
    spans = [tuple(map(float, row.split())) for row in RADIOTHERAPY.replace("\n", "").split(",")]
    before = [a for a, _ in spans]
    after = [math.inf if b == 100 else b for _, b in spans]
    assert len(spans) == 46
    printed = {(4, 5): 0.0463, (6, 7): 0.0334, (7, 8): 0.0887, (11, 12): 0.0708, (24, 25): 0.0926,
               (33, 34): 0.0818, (38, 40): 0.1209, (46, 48): 0.4656}  # fmt: skip
    ends = share_reached(before, after, [e for span in printed for e in span]).reshape(-1, 2)
    assert [round(b - a, 4) for a, b in ends.tolist()] == list(printed.values())
    assert ends[-1, 1] == pytest.approx(1.0)


def test_each_order_of_a_cross_over_once() -> None:
    """Senn 2002, Cross-over Trials in Clinical Research, ch. 3: peak flow of 13 children, that
    with formoterol less that with salbutamol, seven with formoterol first; printed: 46.6 l/min,
    standard error 10.8, t 4.3.  From memory, data and printed values."""
    gaps = np.array([40, 50, 70, 20, 40, 30, -35, 15, 90, 30, 30, 80, 130], dtype=float)
    first = np.array([1] * 7 + [0] * 6, dtype=bool)
    e = each_order_once(gaps, np.ones(13), first)
    assert e is not None and e.se is not None and e.df == 11
    assert (round(e.value, 1), round(e.se, 1), round(e.value / e.se, 1)) == (46.6, 10.8, 4.3)
    assert each_order_once(gaps[:8], np.ones(8), first[:8]) is None


def test_pairs_within_the_same_ten_people() -> None:
    """Self-esteem of ten people at three times (R package datarium, data set selfesteem; read off a
    printed listing, digits beyond the third from memory).  Printed by its paired t tests with
    Bonferroni's correction (Kassambara 2019, Repeated Measures ANOVA in R): t −4.97, −13.2, −4.87;
    p 0.000772, 3.34e-7, 0.000886; adjusted 0.002, 0.000001, 0.003.  From memory."""
    first = [4.005027, 2.558124, 3.244241, 3.419538, 2.871243, 2.045868, 3.525992, 3.179425,
             3.507964, 3.043798]  # fmt: skip
    then = [5.182286, 6.912915, 4.443434, 4.711696, 3.908429, 5.340549, 5.580695, 4.370234,
            4.399808, 4.489376]  # fmt: skip
    last = [7.107831, 6.308434, 9.778410, 8.347124, 6.457287, 6.653224, 6.840157, 7.818623,
            8.471229, 8.581100]  # fmt: skip
    pairs = [pair_within(a, b, 3) for a, b in ((first, then), (first, last), (then, last))]
    assert all(isinstance(p, Pair) for p in pairs)
    told = [p for p in pairs if isinstance(p, Pair) and p.alone.se and p.alone.p and p.p_joint]
    assert [round(p.alone.value / (p.alone.se or 1), 2) for p in told] == [-4.97, -13.23, -4.87]
    assert [float(f"{p.alone.p:.3g}") for p in told] == [0.000772, 3.34e-07, 0.000886]
    assert [round(p.p_joint or 0, d) for p, d in zip(told, (3, 6, 3), strict=True)] == [
        0.002, 0.000001, 0.003]
    for p in told:  # and the range that goes with it, by scipy's quantile
        half = float(stats.t.ppf(1 - 0.05 / 6, 9)) * (p.alone.se or 0)
        assert p.joint[0].high == pytest.approx(p.alone.value + half)
