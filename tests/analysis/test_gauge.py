import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings, strategies as st
from scipy import stats

from explainer.analysis.gauge import GaugeStudy, arrange, crossed
from explainer.analysis.result import Undefined


def simulate(rng, p=10, o=3, r=2, part=3.0, operator=0.5, both=0.0, error=0.5):
    return (
        rng.normal(0, part, (p, 1, 1))
        + rng.normal(0, operator, (1, o, 1))
        + rng.normal(0, both, (p, o, 1))
        + rng.normal(0, error, (p, o, r))
    )


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(2, 6), st.integers(2, 4), st.integers(2, 3))
def test_mean_squares_agree_with_statsmodels(seed, p, o, r):
    from statsmodels.formula.api import ols
    from statsmodels.stats.anova import anova_lm

    y = simulate(np.random.default_rng(seed), p, o, r, both=0.6)
    frame = pd.DataFrame(
        [(f"p{i}", f"o{j}", y[i, j, k]) for i in range(p) for j in range(o) for k in range(r)],
        columns=["part", "who", "y"],
    )
    table = anova_lm(ols("y ~ C(part) * C(who)", frame).fit())
    study = crossed(y)
    assert study.interaction_f == pytest.approx(table.F["C(part):C(who)"])
    assert study.interaction_p == pytest.approx(table["PR(>F)"]["C(part):C(who)"])
    assert study.pooled == (study.interaction_p > 0.25)
    kept = crossed(y, pool_above=1.0)
    ms = table.mean_sq
    assert kept.ev**2 == pytest.approx(ms["Residual"])
    assert kept.pv**2 == pytest.approx(
        max((ms["C(part)"] - ms["C(part):C(who)"]) / (o * r), 0), abs=1e-12
    )
    assert kept.av**2 == pytest.approx(
        max((ms["C(who)"] - ms["C(part):C(who)"]) / (p * r), 0), abs=1e-12
    )
    assert kept.interaction**2 == pytest.approx(
        max((ms["C(part):C(who)"] - ms["Residual"]) / r, 0), abs=1e-12
    )
    assert study.usable == (min(p, o) > 2)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.floats(1e-9, 1e9), st.floats(-1e3, 1e3))
def test_the_unit_scales_and_the_origin_does_not_matter(seed, scale, shift):
    y = simulate(np.random.default_rng(seed))
    a, b = crossed(y), crossed((y + shift) * scale)
    assert b.ev == pytest.approx(a.ev * scale, rel=1e-6)
    assert b.mdd == pytest.approx(a.mdd * scale, rel=1e-6)
    assert b.percent_study_variation == pytest.approx(a.percent_study_variation, rel=1e-6)
    assert b.at95.high == pytest.approx(a.at95.high, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.1, 3), st.floats(0, 1))
def test_parts_of_the_spread_add_up(seed, part, both):
    study = crossed(simulate(np.random.default_rng(seed), 5, 3, 2, part=part, both=both))
    assert study.grr**2 == pytest.approx(study.ev**2 + study.av**2 + study.interaction**2)
    assert study.tv**2 == pytest.approx(study.grr**2 + study.pv**2)
    for wide, narrow in ((study.at95, study.at80),):
        assert 0 <= wide.low <= narrow.low <= narrow.high <= wide.high <= 100
    assert study.at95.low <= study.percent_study_variation <= study.at95.high
    assert study.mdd >= study.mdd_same_operator


@pytest.mark.slow
@pytest.mark.parametrize("both", [0.0, 0.6])
def test_the_range_of_percent_covers_as_often_as_it_says(both):
    rng = np.random.default_rng(8)
    truth = 100 / np.sqrt(1 + 9 / (0.25 + 0.25 + both**2))
    studies = [crossed(simulate(rng, both=both)) for _ in range(2000)]
    inside = np.mean([s.at95.low <= truth <= s.at95.high for s in studies])
    above = np.mean([s.at95.high < truth for s in studies])
    assert 0.93 < inside < 0.99
    assert above < 0.04


def test_the_range_against_generalised_pivots():
    # Burdick, Borror & Montgomery 2005 give generalised limits beside the large-sample ones:
    # the two answer the same question by different roads and must lie close together.
    rng = np.random.default_rng(3)
    p, o, r = 12, 6, 3
    y = simulate(rng, p, o, r, both=0.4)
    study = crossed(y, pool_above=1.0)
    cell, part, who = y.mean(2), y.mean((1, 2)), y.mean((0, 2))
    ss_p = o * r * np.sum((part - y.mean()) ** 2)
    ss_o = p * r * np.sum((who - y.mean()) ** 2)
    ss_po = r * np.sum((cell - part[:, None] - who + y.mean()) ** 2)
    ss_e = np.sum((y - cell[:, :, None]) ** 2)
    dfs = (p - 1, o - 1, (p - 1) * (o - 1), p * o * (r - 1))
    e_p, e_o, e_po, e_e = (
        ss / rng.chisquare(df, 200_000)
        for ss, df in zip((ss_p, ss_o, ss_po, ss_e), dfs, strict=True)
    )
    ratio = np.maximum(e_p - e_po, 0) / (o * r)
    ratio /= (e_o + (p - 1) * e_po + p * (r - 1) * e_e) / (p * r)
    low, high = np.quantile(100 / np.sqrt(1 + ratio), [0.025, 0.975])
    assert study.at95.low == pytest.approx(low, rel=0.06)
    assert study.at95.high == pytest.approx(high, rel=0.06)


def test_two_operators_leave_the_range_unusable():
    study = crossed(simulate(np.random.default_rng(1), o=2))
    assert not study.usable
    assert crossed(simulate(np.random.default_rng(1), o=3)).usable
    assert not crossed(simulate(np.random.default_rng(1), p=2)).usable


def test_one_operator_gives_repeatability_only():
    y = simulate(np.random.default_rng(1), p=6, o=1, r=3)
    study = crossed(y)
    assert study.ev == pytest.approx(np.sqrt(y[:, 0].var(axis=1, ddof=1).mean()))
    assert study.mdd_same_operator == pytest.approx(1.959964 * np.sqrt(2) * study.ev)
    assert (study.av, study.grr, study.percent_study_variation, study.mdd) == (None,) * 4
    assert (study.n_parts, study.n_operators, study.n_repeats) == (6, 1, 3)
    assert not study.usable
    one_way = stats.f_oneway(*y[:, 0])
    f = 1 + 3 * (study.pv / study.ev) ** 2
    assert f == pytest.approx(one_way.statistic)


def test_a_perfect_gauge():
    y = np.arange(5.0)[:, None, None] + np.zeros((5, 3, 2))
    study = crossed(y)
    assert study.grr == 0
    assert study.percent_study_variation == 0
    assert study.ndc is None
    assert study.interaction_f is None
    assert study.pooled


def test_perfect_repeats_by_operators_who_disagree():
    y = np.random.default_rng(0).normal(size=(5, 3, 1)) + np.zeros((5, 3, 2))
    study = crossed(y)
    assert (study.ev, study.interaction_f, study.interaction_p) == (0, None, 0)
    assert not study.pooled
    assert study.interaction > 0


@pytest.mark.parametrize(
    ("y", "why"),
    [
        (np.full((4, 3, 2), 7.1), "no-spread"),
        (np.where(np.arange(24).reshape(4, 3, 2) == 5, -0.3, -0.1 - 0.2), "no-spread"),
        (np.ones((4, 3, 1)), "no-repeats"),
        (np.ones((1, 3, 2)), "too-few-items"),
        (np.where(np.arange(24).reshape(4, 3, 2) == 5, np.nan, 1.0), "unbalanced"),
    ],
)
def test_no_study(y, why):
    study = crossed(y)
    assert isinstance(study, Undefined)
    assert study.why == why


def test_nothing_is_left_of_parts_that_are_all_alike():
    y = simulate(np.random.default_rng(0), part=0.0)
    study = crossed(y)
    assert isinstance(study, GaugeStudy)
    assert study.percent_study_variation > 80
    assert study.at95.high == 100


def test_long_columns_to_an_array():
    y = simulate(np.random.default_rng(2), 4, 3, 2)
    rows = [(f"p{i}", f"o{j}", y[i, j, k]) for k in range(2) for i in range(4) for j in range(3)]
    parts, who, values = zip(*rows, strict=True)
    assert np.array_equal(arrange(parts, who, values), y)
    assert crossed(arrange(parts, who, values)) == crossed(y)


def test_a_missing_reading_unbalances_the_study():
    parts, who = ["a", "a", "b", "b"] * 2, ["x", "y"] * 4
    assert arrange(parts, who, range(8)).shape == (2, 2, 2)
    gap = arrange(parts, who, [*range(7), np.nan])
    assert isinstance(gap, Undefined)
    assert gap.why == "unbalanced"
    assert arrange(parts[:-1], who[:-1], range(7)).why == "unbalanced"
    assert arrange([], [], []).why == "no-readings"


@pytest.mark.parametrize(("seed", "p", "pooled"), [(132, 0.260, True), (175, 0.244, False)])
def test_an_interaction_is_pooled_above_a_p_of_a_quarter(seed, p, pooled):
    study = crossed(simulate(np.random.default_rng(seed)))
    assert study.interaction_p == pytest.approx(p, abs=5e-4)
    assert study.pooled == pooled


def test_the_pooled_range_by_hand():
    """Burdick, Borror & Montgomery 2005, ch. 3, without interaction, from mean squares.

    4 parts, 3 operators, 2 repeats: parts 30, operators 4, error (interaction in it) 1 on 18
    degrees of freedom.  Readings are made up so that they have just these.
    """
    p, o, r, ms_p, ms_o, ms_e = 4, 3, 2, 30.0, 4.0, 1.0
    study = crossed(readings_with(p, o, r, ms_p, ms_o, 1.0, ms_e))
    assert study.pooled
    assert (study.ev, study.pv) == pytest.approx((1, np.sqrt(29 / 6)))
    for level, seen in ((0.95, study.at95), (0.80, study.at80)):
        ratios = []
        for tail in ((1 - level) / 2, (1 + level) / 2):
            bound = (p - 1) / stats.chi2.isf(tail, p - 1)
            f_e, f_o = stats.f.isf(tail, p - 1, 18), stats.f.isf(tail, p - 1, o - 1)
            above = p * (bound * ms_p - ms_e + (f_e - bound * f_e**2) * ms_e**2 / ms_p)
            ratios.append(above / (o * (p * r - 1) * ms_e + o * bound * f_o * ms_o))
        expected = [100 / np.sqrt(1 + ratio) for ratio in ratios]
        assert (seen.high, seen.low) == pytest.approx(expected)


def test_the_range_with_interaction_by_hand():
    """The same chapter: parts 60, operators 9, interaction 4 on 6, error 1 on 12."""
    p, o, r, ms_p, ms_o, ms_po, ms_e = 4, 3, 2, 60.0, 9.0, 4.0, 1.0
    study = crossed(readings_with(p, o, r, ms_p, ms_o, ms_po, ms_e))
    assert not study.pooled
    assert study.interaction_f == pytest.approx(4)
    ends = {}
    for level in (0.95, 0.80):
        for tail in ((1 - level) / 2, (1 + level) / 2):
            bound = (p - 1) / stats.chi2.isf(tail, p - 1)
            f_po, f_o = stats.f.isf(tail, p - 1, 6), stats.f.isf(tail, p - 1, o - 1)
            above = p * bound * max(ms_p - f_po * ms_po, 0)
            below = p * o * (r - 1) * ms_e + o * (p - 1) * ms_po + o * bound * f_o * ms_o
            ends[level, tail < 0.5] = 100 / np.sqrt(1 + above / below)
    assert (study.at95.high, study.at95.low) == pytest.approx((ends[0.95, True], ends[0.95, False]))
    assert (study.at80.high, study.at80.low) == pytest.approx((ends[0.80, True], ends[0.80, False]))
    assert 0 < study.at95.low < study.at80.low < study.at80.high < study.at95.high <= 100


def readings_with(p, o, r, ms_p, ms_o, ms_po, ms_e):
    """Parts, operators and repeats with just these mean squares."""

    def spread(n):
        return np.arange(n) - (n - 1) / 2

    part, who, again = (spread(n) / np.linalg.norm(spread(n)) for n in (p, o, r))
    df_po, df_e = (p - 1) * (o - 1), p * o * (r - 1)
    both = np.outer(part, who)
    cells = np.ones((p, o)) / np.sqrt(p * o)
    return (
        np.sqrt(ms_p * (p - 1) / (o * r)) * part[:, None, None]
        + np.sqrt(ms_o * (o - 1) / (p * r)) * who[None, :, None]
        + np.sqrt(ms_po * df_po / r) * both[:, :, None]
        + np.sqrt(ms_e * df_e) * cells[:, :, None] * again
    )
