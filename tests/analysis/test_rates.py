import math

import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy import stats
from statsmodels.stats.contingency_tables import StratifiedTable
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from explainer.analysis.rates import (
    clustered,
    mantel_haenszel,
    newcombe,
    per_item_difference,
    possible,
    reversal,
    stratified,
    weighted_mean,
    wilson,
)
from explainer.analysis.result import Undefined

attempts = st.integers(1, 200)


@st.composite
def rate(draw):
    n = draw(attempts)
    return draw(st.integers(0, n)), n


@given(rate(), st.sampled_from([0.8, 0.9, 0.95]))
def test_wilson_agrees_with_statsmodels(r, level):
    ours = wilson(*r, level)
    theirs = proportion_confint(*r, alpha=1 - level, method="wilson")
    assert (ours.low, ours.high) == pytest.approx(theirs, abs=1e-12)
    assert 0 <= ours.low <= r[0] / r[1] <= ours.high <= 1


@given(rate(), rate())
def test_newcombe_agrees_with_statsmodels(a, b):
    ours = newcombe(*a, *b)
    theirs = confint_proportions_2indep(*a, *b, method="newcomb", compare="diff")
    assert (ours.at95.low, ours.at95.high) == pytest.approx(theirs, abs=1e-10)
    assert ours.at95.low <= ours.at80.low <= ours.value <= ours.at80.high <= ours.at95.high
    back = newcombe(*b, *a)
    assert (back.value, back.at95.low) == pytest.approx((-ours.value, -ours.at95.high))


@given(rate(), rate())
def test_the_p_of_a_difference_is_that_of_chi_square(a, b):
    table = np.array([[a[0], a[1] - a[0]], [b[0], b[1] - b[0]]])
    p = newcombe(*a, *b).p
    if table.sum(axis=0).min() == 0:
        assert p is None
    else:
        assert p == pytest.approx(stats.chi2_contingency(table, correction=False).pvalue)


def test_no_attempts_no_rate():
    assert isinstance(wilson(0, 0), Undefined)
    assert newcombe(0, 0, 1, 2) == Undefined("no-attempts", 1, "Newcombe hybrid score")
    assert newcombe(1, 2, 0, 0) == newcombe(0, 0, 1, 2)


@pytest.mark.parametrize("bad", [(3, 2), (-1, 2)])
def test_more_strikes_than_frames(bad):
    with pytest.raises(ValueError, match="attempts"):
        wilson(*bad)


def test_with_the_same_attempts_every_bowler_counts_once():
    s_a, n_a = np.array([30, 26, 40, 19]), np.full(4, 50)
    s_b, n_b = np.array([20, 25, 15, 12]), np.full(4, 40)
    fit = per_item_difference(s_a, n_a, s_b, n_b)
    d = s_a / n_a - s_b / n_b
    t = stats.ttest_1samp(d, 0)
    assert (fit.value, fit.p) == pytest.approx((d.mean(), t.pvalue))
    assert fit.n_items == 4


def test_a_bowler_with_one_attempt_hardly_weighs():
    """Weights n_a·n_b/(n_a + n_b): 25, 25, 25 and one half; 0 of 5 keeps its weight finite."""
    fit = per_item_difference([20, 25, 30, 0], [50, 50, 50, 1], [15, 20, 20, 1], [50, 50, 50, 1])
    d, w = np.array([0.1, 0.1, 0.2, -1.0]), np.array([25, 25, 25, 0.5])
    assert fit.value == pytest.approx(np.average(d, weights=w))
    plain = stats.ttest_1samp(d, 0).confidence_interval()
    assert fit.value > 0 > d.mean() > plain.low
    none = per_item_difference([0, 3, 9, 40], [5, 5, 20, 80], [0, 2, 8, 30], [5, 5, 20, 80])
    assert math.isfinite(none.se) and none.se > 0


def test_the_weighted_range_agrees_with_cr2_worked_out_by_matrices():
    """Pustejovsky & Tipton 2018, J. Bus. Econ. Stat. 36, 672: with one row an item and an
    intercept alone, CR2 under a working variance of 1/w is Σ a²e²/(1 − a), a = w/Σw."""
    rng = np.random.default_rng(4)
    d, w = rng.normal(0, 1, 7), rng.uniform(1, 40, 7)
    fit = weighted_mean(d, w)
    x, big_w, phi = np.ones((7, 1)), np.diag(w), np.diag(1 / w)
    bread = np.linalg.inv(x.T @ big_w @ x)
    hat = x @ bread @ x.T @ big_w
    away = np.eye(7) - hat
    e = away @ d
    target = away @ phi @ away.T
    meat = form = 0.0
    for i in range(7):
        fix = math.sqrt(phi[i, i] / target[i, i])
        g = (bread @ x.T @ big_w)[0, i] * fix * away[i]
        meat += ((bread @ x.T @ big_w)[0, i] * fix * e[i]) ** 2
        form = form + np.outer(g, g)
    q = form @ phi
    assert fit.se == pytest.approx(math.sqrt(meat))
    assert fit.df == pytest.approx(np.trace(q) ** 2 / np.trace(q @ q))


def test_a_bowler_without_attempts_has_no_difference():
    fit = per_item_difference([3, 4, 5, 0], [10, 10, 10, 0], [1, 1, 4, 5], [10, 10, 10, 10])
    assert fit.n_items == 3


@given(st.lists(st.lists(st.integers(1, 60), min_size=4, max_size=4), min_size=2, max_size=6))
def test_strata_agree_with_statsmodels(cells):
    tables = np.array(cells, dtype=float).reshape(-1, 2, 2)
    ours, theirs = stratified(tables), StratifiedTable(list(tables))
    assert ours.odds_ratio == pytest.approx(theirs.oddsratio_pooled)
    assert ours.p_cmh == pytest.approx(theirs.test_null_odds().pvalue)
    assert ours.n_strata == len(tables)
    # At a common odds ratio of 1 statsmodels divides by zero (tested below).
    if abs(ours.odds_ratio - 1) > 1e-6:
        assert ours.p_breslow_day == pytest.approx(theirs.test_equal_odds().pvalue, rel=1e-4)


def test_equal_odds_where_the_common_ratio_is_one():
    same = stratified([[[4, 4], [4, 4]], [[6, 6], [6, 6]]])
    assert (same.odds_ratio, same.breslow_day, same.p_breslow_day) == (1, 0, 1)
    # Mirrored strata: ratio 1 by symmetry; expected cells are the margins' products over n.
    mirrored = stratified([[[6, 2], [2, 6]], [[2, 6], [6, 2]]])
    assert mirrored.odds_ratio == pytest.approx(1)
    assert mirrored.breslow_day == pytest.approx(2 * 4 * 2**2 / 4)


def test_the_continuity_correction_is_off_unless_asked_for():
    tables = [[[20, 14], [10, 24]], [[15, 12], [3, 15]]]
    assert stratified(tables).cmh > stratified(tables, correction=True).cmh


# Each bowler strikes more often with ball a, but the better bowler mostly threw ball b.
SIMPSON = [[[9, 1], [80, 20]], [[30, 70], [2, 8]]]


def test_simpsons_reversal_is_seen():
    fit = stratified(SIMPSON)
    assert fit.pooled_difference < 0
    assert fit.stratified_difference > 0
    assert reversal(fit.pooled_difference, fit.stratified_difference)
    assert not reversal(fit.stratified_difference, fit.stratified_difference)


@pytest.mark.parametrize(
    "tables",
    [
        [[[5, 0], [5, 0]]],
        [[[0, 5], [0, 5]], [[0, 3], [0, 3]]],
        [[[5, 0], [0, 5]], [[4, 0], [0, 4]]],
        [[[1, 0], [0, 1]]],
        [[[3, 2], [0, 0]], [[3, 2], [1, 4]]],
        [[[5, 0], [3, 2]], [[4, 0], [4, 1]]],
    ],
)
@pytest.mark.parametrize("correction", [True, False])
def test_empty_cells_give_none_not_nan(tables, correction):
    fit = stratified(tables, correction=correction)
    numbers = [v for v in vars(fit).values() if v is not None]
    assert np.isfinite(numbers).all()


def test_a_stratum_with_one_condition_only_compares_nothing():
    fit = stratified([[[3, 2], [0, 0]], [[3, 2], [1, 4]]])
    assert fit.n_strata == 1
    assert fit.stratified_difference == pytest.approx(0.4)
    assert fit.p_breslow_day is None
    assert isinstance(stratified([[[3, 2], [0, 0]]]), Undefined)
    assert not reversal(None, 0.3)


def test_tables_of_another_shape():
    with pytest.raises(ValueError, match="strata"):
        stratified([[1, 2], [3, 4]])


def test_the_continuity_correction_never_turns_the_sign():
    """1 of 2 against 2 of 9 is .4545 over what is expected: below a half nothing is taken off."""
    tables = [[[1, 1], [2, 7]]]
    assert stratified(tables, correction=True).cmh == stratified(tables).cmh
    # 1 of 2 against 1 of 6 is a half over: nothing is left.
    assert stratified([[[1, 1], [1, 5]]], correction=True).cmh == 0
    # 2 of 2 against 2 of 9: 1.2727 over, a half of that goes; variance 2·9·4·7/(11²·10).
    more = stratified([[[2, 0], [2, 7]]], correction=True)
    assert more.cmh == pytest.approx((14 / 11 - 0.5) ** 2 / (2 * 9 * 4 * 7 / (121 * 10)))


def test_one_attempt_on_a_side_is_a_comparison():
    """A better bowler threw a once and b mostly: 1 of 1 against 9 of 10, 3 of 9 against 0 of 1."""
    tables = [[[1, 0], [9, 1]], [[3, 6], [0, 1]]]
    fit = stratified(tables)
    assert fit.n_strata == 2
    assert fit.pooled_difference == pytest.approx(4 / 10 - 9 / 11)
    weights = np.array([10 / 11, 9 / 10])
    each = np.array([1 - 9 / 10, 3 / 9])
    assert fit.stratified_difference == pytest.approx(weights @ each / weights.sum())
    assert reversal(fit.pooled_difference, fit.stratified_difference)


# --- different people under each condition

#: Six departments, men then women, admitted and not: P. J. Bickel, E. A. Hammel & J. W. O'Connell
#: 1975, Science 187, 398; the counts as in R's dataset ``UCBAdmissions``.
DEPARTMENTS = [
    [[512, 313], [89, 19]], [[353, 207], [17, 8]], [[120, 205], [202, 391]],
    [[138, 279], [131, 244]], [[53, 138], [94, 299]], [[22, 351], [24, 317]],
]  # fmt: skip


def test_strata_are_compared_within_and_people_are_counted():
    fit = mantel_haenszel(DEPARTMENTS)
    cells = np.array(DEPARTMENTS, dtype=float)
    attempts = cells.sum(axis=2)
    weight = attempts.prod(axis=1) / attempts.sum(axis=1)
    rates = cells[:, :, 0] / attempts
    assert fit.value == pytest.approx(np.average(rates[:, 0] - rates[:, 1], weights=weight))
    assert fit.n_items == 4526
    assert fit.value < 0 < fit.at95.high
    pooled = stratified(DEPARTMENTS).pooled_difference
    assert pooled == pytest.approx(1198 / 2691 - 557 / 1835)
    assert reversal(pooled, fit.value)


def test_one_stratum_has_the_spread_of_two_proportions():
    """Sato's variance in one stratum is p·q/n on either side, as anybody would write it."""
    fit = mantel_haenszel([[[31, 76], [38, 72]]])
    assert fit.value == pytest.approx(31 / 107 - 38 / 110)
    assert fit.se == pytest.approx(math.sqrt(31 * 76 / 107**3 + 38 * 72 / 110**3))


def test_satos_range_covers_where_strata_are_thin():
    rng = np.random.default_rng(7)
    n_a, n_b, base = np.array([10, 30, 8]), np.array([25, 12, 9]), np.array([0.2, 0.5, 0.7])
    hits, draws = 0, 1500
    for _ in range(draws):
        a, b = rng.binomial(n_a, base + 0.1), rng.binomial(n_b, base)
        cells = np.stack([np.stack([a, n_a - a], 1), np.stack([b, n_b - b], 1)], 1)
        fit = mantel_haenszel(cells)
        hits += fit.at95.low <= 0.1 <= fit.at95.high
    assert 0.925 < hits / draws < 0.965


def test_people_with_several_attempts_scatter_as_people():
    side = [0, 0, 0, 1, 1, 1]
    fit = clustered(side, [9, 1, 5, 1, 2, 3], [10] * 6)
    welch = stats.ttest_ind([0.9, 0.1, 0.5], [0.1, 0.2, 0.3], equal_var=False)
    assert (fit.value, fit.p, fit.n_items) == pytest.approx((0.3, welch.pvalue, 6))
    assert isinstance(clustered([0, 1, 1], [1, 2, 3], [5, 5, 5]), Undefined)
    assert isinstance(clustered([0, 0, 1, 1], [1, 1, 2, 2], [5, 5, 5, 5]), Undefined)


@pytest.mark.parametrize("tables", [[[[0, 0], [3, 1]]], [[[5, 0], [5, 0]], [[2, 0], [3, 0]]]])
def test_strata_that_compare_nothing(tables):
    assert isinstance(mantel_haenszel(tables), Undefined)


def test_a_gap_of_two_shares_never_reaches_past_all_and_none() -> None:
    wide = per_item_difference([1, 9], [10, 10], [9, 8], [10, 10])
    assert wide.at95.low < -1  # two bowlers: t has one degree of freedom
    cut = possible(wide)
    assert (cut.at95.low, cut.at95.high) == (-1.0, 1.0)
    assert (cut.value, cut.p) == (wide.value, wide.p)
    narrow = per_item_difference([5, 6, 5, 6], [10] * 4, [6, 7, 6, 8], [10] * 4)
    assert possible(narrow) == narrow
