"""A range is the test turned round: at each of its ends the test it inverts is exactly on its edge.

So each range is held against the plain test, worked out here from the raw columns, at what it says
is just not ruled out; and each p, standard error and degree of freedom against scipy or a sum.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from scipy import stats

from explainer.analysis import difference, grouped, limits, rates, shares, simultaneous, stated
from explainer.analysis.association import slope
from explainer.analysis.change import mean_change
from explainer.analysis.limits import factor, limits_of_agreement, reached_by
from explainer.analysis.result import (
    Estimate,
    Interval,
    Undefined,
    pooled_df,
    r_estimate,
    t_estimate,
    widened,
)
from explainer.analysis.within import OneItem, within_one

A = np.array([4.1, 6.3, 5.2, 9.8, 2.4, 7.7])
B = np.array([5.0, 5.9, 5.5, 6.6, 4.2, 6.1])
OTHER = np.array([8.0, 9.5, 7.1, 10.4, 8.8])


def at(e: Estimate) -> list[tuple[float, Interval]]:
    return [(i.level, i) for i in (e.at95, e.at90, e.at80)]


def sure(e: Estimate | Undefined) -> Estimate:
    assert isinstance(e, Estimate)
    return e


# --- spreads ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("away", "df", "expected"),
    [
        ([-1, 0, 1], 2, 0.5772156649 / 2),  # sd 1; psi(1) is minus Euler's constant
        ([-2, 0, 2], 2, math.log(2) + 0.5772156649 / 2),
        ([-1, 1, -1, 1], 4, -((1 - 0.5772156649) - math.log(2)) / 2),  # psi(2) = 1 - Euler
        # psi(1/2) = -Euler - 2 log 2
        ([-3, 3], 1, math.log(18) / 2 + (0.5772156649 + 2 * math.log(2) + math.log(0.5)) / 2),
    ],
)  # fmt: skip
def test_the_log_of_a_spread_freed_of_its_bias(away: list[float], df: int, expected: float) -> None:
    assert difference.log_sd(away, df) == pytest.approx(expected, abs=1e-9)


def test_a_spread_of_nothing_has_no_log_unless_the_gauge_gives_one() -> None:
    assert difference.log_sd([0.0, 0.0], 1) is None
    assert difference.log_sd([0.0, 0.0], 1, 0.25) == pytest.approx(math.log(0.25))
    assert difference.log_sd([1.0], 0, 0.25) is None
    unmoved = difference.log_sd([1.0, -1.0], 1)
    assert difference.log_sd([1.0, -1.0], 1, 0.25) == pytest.approx(unmoved)


def test_pitman_and_morgan_turned_round() -> None:
    e = sure(difference.pitman_morgan(A, B))
    assert e.value == pytest.approx(math.log(A.std(ddof=1) / B.std(ddof=1)))
    assert (e.p, e.n_items) == (pytest.approx(stats.pearsonr(A + B, A - B).pvalue), 6)
    for level, i in at(e):
        for end in (i.low, i.high):
            b = B * math.exp(end)
            assert stats.pearsonr(A + b, A - b).pvalue == pytest.approx(1 - level, abs=1e-9)
        assert i.low < e.value < i.high
    assert isinstance(difference.pitman_morgan(A[:3], B[:3]), Estimate)
    two = difference.pitman_morgan(A[:2], B[:2])
    assert isinstance(two, Undefined)
    assert (two.why, two.n_items) == ("too-few-items", 2)
    for a, b in (([1, 1, 1], B[:3]), (A[:3], [1, 1, 1])):
        flat = difference.pitman_morgan(a, b)
        assert isinstance(flat, Undefined)
        assert (flat.why, flat.n_items) == ("no-spread", 3)
    assert sure(difference.pitman_morgan(A, A + 1)).p is None


def test_brown_and_forsythe_turned_round() -> None:
    e = sure(difference.brown_forsythe(A, OTHER))
    u, v = np.abs(A - np.median(A)), np.abs(OTHER - np.median(OTHER))
    test = stats.ttest_ind(u, v, equal_var=False)
    assert (e.p, e.n_items) == (pytest.approx(test.pvalue), 11)
    assert e.value == pytest.approx(math.log(u.mean() / v.mean()))
    edge = math.log(difference.FARTHEST)
    held = 0
    for level, i in at(e):
        t = stats.t.ppf((1 + level) / 2, test.df)
        for end in (i.low, i.high):
            if abs(end) == pytest.approx(edge):
                continue
            held += 1
            ratio = math.exp(end)
            se = math.sqrt(u.var(ddof=1) / 6 + ratio**2 * v.var(ddof=1) / 5)
            assert abs(u.mean() - ratio * v.mean()) / se == pytest.approx(t)
    assert held >= 4
    assert isinstance(difference.brown_forsythe(A[:4], OTHER[:4]), Estimate)
    for a, b in ((A[:3], OTHER), (A, OTHER[:3])):
        few = difference.brown_forsythe(a, b)
        assert isinstance(few, Undefined)
        assert (few.why, few.n_items) == ("too-few-items", len(a) + len(b))
    flat = difference.brown_forsythe(A, [2.0] * 4)
    assert isinstance(flat, Undefined)
    assert (flat.why, flat.n_items) == ("no-spread", 10)


def test_a_ratio_of_spreads_without_bound_ends_far_off_on_both_sides() -> None:
    """One far item on the other side: its mean distance is not told from nothing."""
    e = sure(difference.brown_forsythe(A, [1.0, 1.1, 1.2, 60.0]))
    edge = math.log(50)
    assert (e.at95.low, e.at95.high) == (pytest.approx(-edge), pytest.approx(edge))


# --- shares and rates ------------------------------------------------------------------------

EARLY = np.array([2.1, 1.2, 3.0, 1.9, 2.4, 1.1])
TOTAL = np.array([3.0, 2.6, 4.4, 2.9, 4.1, 2.2])
MODEL = ["M", "M", "M", "N", "N", "N"]


def off_by(a, b, ratio: float, shared: float) -> tuple[float, float]:
    """Mean and standard error of a − ratio·b over items, a and b from three shared errors."""
    d = np.asarray(a) - ratio * np.asarray(b)
    own = shared**2 * (1 + ratio**2 + (1 - ratio) ** 2)
    return float(d.mean()), math.sqrt(d.var(ddof=1) / d.size + own)


@pytest.mark.parametrize("shared", [0.0, 0.15])
@pytest.mark.parametrize("unit", [1.0, 1000.0, 3e-9])
def test_a_share_of_a_change_turned_round(shared: float, unit: float) -> None:
    found = shares.break_in(EARLY * unit, TOTAL * unit, shared * unit)
    assert isinstance(found, shares.BreakInShare)
    assert found.share == pytest.approx(EARLY.mean() / TOTAL.mean())
    assert found.total.value == pytest.approx(TOTAL.mean() * unit)
    se = math.sqrt(TOTAL.var(ddof=1) / 6 + 2 * shared**2)
    assert found.total.se == pytest.approx(se * unit)
    for i in (found.at95, found.at90, found.at80):
        for end in (i.low, i.high):
            away, se = off_by(EARLY, TOTAL, end, shared)
            assert abs(away) / se == pytest.approx(stats.t.ppf((1 + i.level) / 2, 5))
        assert i.low < found.share < i.high
    assert (found.at95.level, found.at90.level, found.at80.level) == (0.95, 0.9, 0.8)


@pytest.mark.parametrize("shared", [0.0, 0.1])
def test_a_share_of_a_change_with_each_group_once(shared: float) -> None:
    """Groups of three: the variance of the mean of two means is (s²/3 + t²/3)/4."""
    found = shares.break_in(EARLY, TOTAL, shared, MODEL)
    assert isinstance(found, shares.BreakInShare)
    assert found.share == pytest.approx(EARLY.mean() / TOTAL.mean())
    assert found.n_items == 6
    d = EARLY - found.share * TOTAL
    parts = [d[:3].var(ddof=1) / 12, d[3:].var(ddof=1) / 12]
    df = sum(parts) ** 2 / sum(p * p / 2 for p in parts)
    for i in (found.at95, found.at90, found.at80):
        t = stats.t.ppf((1 + i.level) / 2, df)
        for end in (i.low, i.high):
            d = EARLY - end * TOTAL
            own = shared**2 * (1 + end**2 + (1 - end) ** 2)
            se = math.sqrt((d[:3].var(ddof=1) + d[3:].var(ddof=1)) / 12 + own)
            assert abs(d.mean()) / se == pytest.approx(t)
    nothing = shares.break_in(EARLY, [3, -3, 1, 2, -2, -1], 0.0, MODEL)
    assert isinstance(nothing, Undefined)
    assert (nothing.why, nothing.n_items) == ("no-change", 6)
    alone = shares.break_in(EARLY[:2], TOTAL[:2], 0.0, ["M", "N"])
    assert isinstance(alone, Undefined)
    assert (alone.why, alone.n_items, alone.method) == (
        "too-few-items", 2, "ratio of mean changes, Fieller, each group counted once")  # fmt: skip


def test_a_share_of_one_items_change_turned_round() -> None:
    found = shares.break_in_of_one(2.0, 3.0, 0.2, 9, "how")
    assert isinstance(found, shares.BreakInShare)
    assert (found.share, found.n_items, found.method) == (pytest.approx(2 / 3), 1, "how")
    assert found.total.se == pytest.approx(0.2 * math.sqrt(2))
    for i in (found.at95, found.at90, found.at80):
        t = stats.t.ppf((1 + i.level) / 2, 9)
        for end in (i.low, i.high):
            se = 0.2 * math.sqrt(1 + end**2 + (1 - end) ** 2)
            assert abs(2.0 - end * 3.0) / se == pytest.approx(t)
    nothing = shares.break_in_of_one(0.1, 0.3, 0.2, 9, "how")
    assert isinstance(nothing, Undefined)
    assert (nothing.why, nothing.value, nothing.n_items) == ("no-change", pytest.approx(1 / 3), 1)


def test_rates_of_one_item_share_the_reading_in_the_middle() -> None:
    """(m − s)/10 − (e − m)/20 with an SD of 0.5 in each of the three readings."""
    e = shares.rates_of_one(4.0, 2.0, 10, 20, 0.5, 7)
    assert (e.value, e.df, e.n_items) == (pytest.approx(0.3), 7, 1)
    assert e.se == pytest.approx(0.5 * math.sqrt(0.15**2 + 0.1**2 + 0.05**2))
    for early, late in ((0, 20), (10, 0), (-1, 20)):
        with pytest.raises(ValueError, match="positive span"):
            shares.rates_of_one(4.0, 2.0, early, late, 0.5, 7)
        with pytest.raises(ValueError, match="positive span"):
            shares.rates(EARLY, TOTAL, early, late)
    shares.rates_of_one(4.0, 2.0, 0.5, 0.5, 0.5, 7)
    each = EARLY / 0.5 - TOTAL / 20
    assert sure(shares.rates(EARLY, TOTAL, 0.5, 20)).value == pytest.approx(each.mean())
    by_model = sure(shares.rates(EARLY[:5], TOTAL[:5], 0.5, 20, MODEL[:5]))
    assert by_model.value == pytest.approx((each[:3].mean() + each[3:5].mean()) / 2)


# --- several groups --------------------------------------------------------------------------


def test_pairs_of_groups_against_scipy() -> None:
    """Games and Howell's p and ranges; ours round the df down, which widens by a hair at most."""
    groups = [A, B, OTHER]
    known = stats.tukey_hsd(*groups, equal_var=False)
    ranges = {level: known.confidence_interval(level) for level in (0.95, 0.9, 0.8)}
    for i, j in ((0, 1), (2, 0), (1, 2)):
        p = simultaneous.pair(groups[i], groups[j], 3)
        assert isinstance(p, simultaneous.Pair)
        assert p.alone.value == pytest.approx(known.statistic[i, j])
        assert p.p_joint == pytest.approx(known.pvalue[i, j], abs=1e-6)
        for one in p.joint:
            half = (one.high - one.low) / 2
            exact = (ranges[one.level].high[i, j] - ranges[one.level].low[i, j]) / 2
            assert 1 - 1e-6 <= half / exact <= 1.01
            assert (one.high + one.low) / 2 == pytest.approx(p.alone.value)
        assert [one.level for one in p.joint] == [0.95, 0.9, 0.8]
    assert simultaneous._rounded_df(20.9) == 20
    assert simultaneous._rounded_df(19.99) == pytest.approx(19.9)
    assert simultaneous._rounded_df(1.04) == 1.0
    flat = simultaneous.pair([1.0, 1.0], [2.0, 2.0], 3)
    assert isinstance(flat, Undefined)
    assert flat.why == "no-spread"


def pair_of(value: float, half: float, joint: float, p: float, n: int = 8) -> simultaneous.Pair:
    """A pair with ranges that are told apart: half as wide at 90%, a quarter at 80%."""
    def around(reach: float) -> tuple[Interval, Interval, Interval]:
        a, b, c = (Interval(value - reach * k, value + reach * k, level)
                   for k, level in ((1, 0.95), (0.5, 0.9), (0.25, 0.8)))  # fmt: skip
        return a, b, c

    return simultaneous.Pair(Estimate(value, *around(half), p, n, "one"), around(joint), p / 2)


def test_the_least_and_the_widest_of_several_pairs() -> None:
    pairs = [pair_of(3, 1, 2, 0.01), pair_of(1.5, 4, 5, 0.2, 6), pair_of(-4, 2, 3, 0.05)]
    low = simultaneous.least(pairs[:2], "least")
    # Low end: the least single one, 1.5 - 4; high end: the least joint one, 3 + 2.
    assert (low.value, low.p, low.n_items, low.method) == (1.5, 0.2, 14, "least")
    assert [(i.low, i.high) for i in (low.at95, low.at90, low.at80)] == [
        (-2.5, 5), (-0.5, 4), (0.5, 2.75)]  # fmt: skip
    most = simultaneous.widest(pairs, "widest")
    # High end: the farthest single one, 4 + 2 or 1.5 + 4; low end: the nearest joint one, farthest.
    assert (most.value, most.p, most.n_items, most.method) == (4, 0.025, 8, "widest")
    assert [(i.low, i.high) for i in (most.at95, most.at90, most.at80)] == [
        (1, 6), (2.5, 5), (3.25, 4.5)]  # fmt: skip
    zero = simultaneous.widest([pair_of(1, 2, 3, 0.4), pair_of(0.5, 1, 1.5, 0.3)], "widest")
    assert (zero.at95.low, zero.at90.low, zero.at80.low) == (0, 0, 0.25)


def test_ordered_groups_need_three_of_two() -> None:
    assert isinstance(simultaneous.slope_of_steps([A[:2], B[:2], OTHER[:2]]), Estimate)
    for groups in ([A, B], [A, B, OTHER[:1]]):
        few = simultaneous.slope_of_steps(groups)
        assert isinstance(few, Undefined)
        assert (few.why, few.n_items) == ("too-few-items", sum(map(len, groups)))
    e = sure(simultaneous.slope_of_steps([A, B, OTHER]))
    parts = [A.var(ddof=1) / 24, OTHER.var(ddof=1) / 20]
    assert e.value == pytest.approx((OTHER.mean() - A.mean()) / 2)
    assert e.df == pytest.approx(sum(parts) ** 2 / (parts[0] ** 2 / 5 + parts[1] ** 2 / 4))
    flat = simultaneous.slope_of_steps([[1, 1], [2, 2], [4, 4]])
    assert isinstance(flat, Undefined)
    assert (flat.why, flat.value) == ("no-spread", 1.5)


def test_the_count_of_ordered_pairs_among_so_few_that_every_order_can_be_tried() -> None:
    groups = [[1, 2], [2, 3], [3, 5]]
    count, p = simultaneous.jonckheere(groups)
    assert count == 4 - 0.5 + 4 + 4 - 0.5  # 1-2, 1-3, 2-3 with a tie at 2 and one at 3
    # Mean and variance of the count over all orders of the same six readings.
    from itertools import permutations

    counts = [simultaneous.jonckheere([o[:2], o[2:4], o[4:]])[0]
              for o in permutations([1, 2, 2, 3, 3, 5])]  # fmt: skip
    z = (count - np.mean(counts)) / np.std(counts)
    assert p == pytest.approx(2 * stats.norm.sf(abs(z)))
    assert simultaneous.jonckheere([[1, 1], [1], [1]]) == (2.5, 1.0)


# --- groups counted once ---------------------------------------------------------------------

GROUP = np.array(["M", "M", "M", "N", "N", "N", "K", "K"])
X = np.array([1.0, 2.0, 4.5, 11.0, 13.0, 12.5, 5.0, 7.0])
Y = np.array([2.0, 2.5, 3.0, 1.0, 2.2, 1.1, 9.0, 9.4])


def dummies() -> np.ndarray:
    return np.column_stack([(g == GROUP).astype(float) for g in "MNK"])


def freed(v: np.ndarray) -> np.ndarray:
    return v - dummies() @ np.linalg.lstsq(dummies(), v, rcond=None)[0]


def test_a_link_inside_groups_is_the_partial_correlation() -> None:
    e = sure(grouped.within_groups(X, Y, GROUP))
    r = float(np.corrcoef(freed(X), freed(Y))[0, 1])
    assert e.value == pytest.approx(r)
    assert (e.df, e.n_items) == (4, 8)
    t = r * math.sqrt(4 / (1 - r * r))
    assert e.p == pytest.approx(2 * stats.t.sf(abs(t), 4))
    z = stats.norm.ppf(0.975) / math.sqrt(3)
    assert (e.at95.low, e.at95.high) == (
        pytest.approx(math.tanh(math.atanh(r) - z)),
        pytest.approx(math.tanh(math.atanh(r) + z)),
    )
    assert grouped.r_within(X, Y, GROUP) == pytest.approx(r)
    slope_in = float(freed(X) @ freed(Y) / (freed(X) @ freed(X)))
    assert grouped.slope_within_groups(X, Y, GROUP) == pytest.approx(slope_in)
    assert grouped.slope_within_groups([1, 1, 2, 2], Y[:4], ["a", "a", "b", "b"]) is None
    tiny = grouped.slope_within_groups(X * 1e-3, Y, GROUP)
    assert tiny == pytest.approx(slope_in * 1e3)
    few = grouped.within_groups(X[:6], Y[:6], [*"MMMNNK"])  # 6 - 3 - 1 = 2 degrees of freedom
    assert isinstance(few, Undefined)
    assert (few.why, few.n_items) == ("too-few-items", 6)
    assert few.value is not None
    assert isinstance(grouped.within_groups(X[:6], Y[:6], [*"MMMNNN"]), Estimate)
    flat = grouped.within_groups([1.0] * 8, Y, GROUP)
    assert isinstance(flat, Undefined)
    assert flat.why == "no-spread"


@pytest.mark.parametrize("singles", [False, True])
def test_a_mean_of_groups_and_a_gap_inside_them(singles: bool) -> None:
    group = np.array([*"MMMNNNNK"]) if singles else GROUP
    cells = [Y[group == g] for g in "MNK"]
    e = sure(grouped.mean_of_groups(Y, group))
    assert e.value == pytest.approx(np.mean([c.mean() for c in cells]))
    if singles:  # one spread for all, since a group of one has none of its own
        pooled = sum(((c - c.mean()) ** 2).sum() for c in cells) / 5
        se, df = math.sqrt(pooled * sum(1 / c.size for c in cells)) / 3, 5.0
    else:
        parts = [c.var(ddof=1) / c.size for c in cells]
        se = math.sqrt(sum(parts)) / 3
        df = sum(parts) ** 2 / sum(p**2 / (c.size - 1) for p, c in zip(parts, cells, strict=True))
    assert (e.se, e.df, e.n_items) == (pytest.approx(se), pytest.approx(df), 8)
    seen = grouped.moments(Y, X, group)
    assert seen is not None
    assert (seen.mean_x, seen.var_x, seen.df) == (
        pytest.approx(e.value), pytest.approx(se**2), pytest.approx(df))  # fmt: skip
    other = grouped.moments(X, Y, group)
    assert other is not None
    assert (seen.var_y, seen.cov) == (pytest.approx(other.var_x), pytest.approx(other.cov))
    assert seen.cov == pytest.approx(
        (grouped.moments(X + Y, Y, group).var_x - seen.var_x - seen.var_y) / 2)  # type: ignore[union-attr]


def test_a_gap_inside_groups_counts_each_once() -> None:
    left, right = np.array([*"MMMNN"]), np.array([*"NNMM"])
    a, b = np.array([1.0, 2, 3, 10, 12]), np.array([8.0, 9, 1.5, 0.5])
    e = sure(grouped.gap_within_groups(a, left, b, right))
    assert e.value == pytest.approx(((2 - 1) + (11 - 8.5)) / 2)
    parts = [1 / 3, 2 / 2, 0.5 / 2, 0.5 / 2]
    assert e.se == pytest.approx(math.sqrt(sum(parts)) / 2)
    df = sum(parts) ** 2 / (parts[0] ** 2 / 2 + sum(p**2 for p in parts[1:]))
    assert (e.df, e.n_items) == (pytest.approx(df), 9)
    with pytest.raises(ValueError, match="same groups on both sides"):
        grouped.gap_within_groups(a, left, b[:2], right[:2])
    flat = grouped.mean_of_groups([1, 1, 3, 3], [*"MMNN"])
    assert isinstance(flat, Undefined)
    assert (flat.why, flat.value) == ("no-spread", 2)
    floored = sure(grouped.mean_of_groups([1, 1, 3, 3], [*"MMNN"], floor_sd=0.5))
    assert floored.se == pytest.approx(math.sqrt(2 * 0.25 / 2) / 2)
    alone = grouped.mean_of_groups([1, 3], [*"MN"], floor_sd=0.5)
    assert isinstance(alone, Undefined)
    assert (alone.why, alone.value, alone.n_items) == ("too-few-items", 2, 2)


# --- one item --------------------------------------------------------------------------------

TURNS = np.array([0.0, 1, 2, 4, 6, 7])


def test_one_items_line_takes_the_wider_of_the_gauge_and_the_scatter() -> None:
    x, y = TURNS**1.5, np.array([0.3, 1.4, 2.2, 5.1, 5.9, 8.8])
    found = within_one(x, y, TURNS, 0.0, 0.0, 20, "how")
    assert isinstance(found, OneItem)
    line = stats.linregress(x, y)
    assert found.slope.value == pytest.approx(line.slope)
    assert (found.slope.se, found.slope.df, found.df) == (pytest.approx(line.stderr), 4, 4)
    assert found.r == pytest.approx(line.rvalue)
    known = [stats.pearsonr(np.delete(x, i), np.delete(y, i)).statistic for i in range(6)]
    assert found.r_without == pytest.approx(known)
    # Freed from a steady drift: the regression on x and the turn.
    design = np.column_stack([np.ones(6), x, TURNS])
    b, rest, *_ = np.linalg.lstsq(design, y, rcond=None)
    assert found.slope_without_use is not None
    assert found.slope_without_use.value == pytest.approx(b[1])
    se = math.sqrt(float(rest[0]) / 3 * np.linalg.inv(design.T @ design)[1, 1])
    assert (found.slope_without_use.se, found.slope_without_use.df) == (pytest.approx(se), 3)
    # A coarse gauge is wider than the scatter: sd of y and of what x moves it by.
    coarse = within_one(x, y, None, 2.0, 3.0, 20, "how")
    assert isinstance(coarse, OneItem)
    sxx = float(((x - x.mean()) ** 2).sum())
    se = math.sqrt(9 + 4 * line.slope**2) / math.sqrt(sxx)
    assert (coarse.slope.se, coarse.slope.df) == (pytest.approx(se), 20)
    assert coarse.slope_without_use is None


def test_one_item_with_too_little_to_free_or_to_relate() -> None:
    x, y = np.array([0.0, 2, 3, 7, 8]), np.array([1.0, 2, 2, 5, 4])
    five = within_one(x, y, TURNS[:5], 0.1, 0.1, 9, "how")
    four = within_one(x[:4], y[:4], TURNS[:4], 0.1, 0.1, 9, "how")
    still = within_one(x, y, np.ones(5), 0.1, 0.1, 9, "how")
    steady = within_one(TURNS, TURNS**1.1, TURNS, 0.1, 0.1, 9, "how")
    three = within_one(x[:3], y[:3], TURNS[:3], 0.1, 0.1, 9, "how")
    for found, freed_too in ((five, True), (four, False), (still, False), (steady, False),
                             (three, False)):  # fmt: skip
        assert isinstance(found, OneItem)
        assert (found.slope_without_use is not None) == freed_too
    two = within_one(x[:2], y[:2], None, 0.1, 0.1, 9, "how")
    flat = within_one(np.ones(4), y[:4], None, 0.1, 0.1, 9, "how")
    assert isinstance(two, Undefined)
    assert isinstance(flat, Undefined)
    assert (two.why, two.n_items) == ("too-few-readings", 1)
    assert (flat.why, flat.n_items) == ("no-spread", 1)


# --- zones, errors, correlations -------------------------------------------------------------


@pytest.mark.parametrize("value", [-3.0, -0.5, 0.2, 1.9, 2.0, 4.0])
def test_a_zone_is_two_one_sided_tests(value: float) -> None:
    e = t_estimate(value, 0.8, 6, 7, "")
    below, above = stats.t.sf((value + 1) / 0.8, 6), stats.t.cdf((value - 2) / 0.8, 6)
    assert limits.p_inside(e, (-1, 2)) == pytest.approx(max(below, above))
    assert limits.p_inside(e, (-1, None)) == pytest.approx(below)
    assert limits.p_inside(e, (None, 2)) == pytest.approx(above)
    assert limits.p_inside(e, (None, None)) == 0
    assert limits.p_outside(e, (None, None)) == 1
    assert limits.p_outside(e, (None, 2)) == pytest.approx(1 - above)
    assert limits.p_outside(e, (-1, None)) == pytest.approx(1 - below)
    away = abs(value - 0.5)
    both = stats.t.sf((away - 1.5) / 0.8, 6) + stats.t.sf((away + 1.5) / 0.8, 6)
    assert limits.p_outside(e, (-1, 2)) == pytest.approx(both)
    assert limits.closed((None, 2)) == (-math.inf, 2)
    assert limits.closed((-1, None)) == (-1, math.inf)
    bare = Estimate(value, e.at95, e.at90, e.at80, None, 7, "")
    assert limits.p_inside(bare, (-1, 2)) is None is limits.p_outside(bare, (-1, 2))


def test_a_correlation_gets_a_standard_error_on_fishers_scale() -> None:
    r = r_estimate(0.4, 1 / 3, 0.2, 12, "")
    e, ends = limits.with_error(r, 0.3)
    assert (e.value, e.se) == (pytest.approx(math.atanh(0.4)), pytest.approx(1 / 3))
    assert ends == (pytest.approx(-math.atanh(0.3)), pytest.approx(math.atanh(0.3)))
    half = stats.norm.ppf(0.9) / 3
    assert (e.at80.low, e.at80.high) == (
        pytest.approx(math.atanh(0.4) - half), pytest.approx(math.atanh(0.4) + half))  # fmt: skip
    has = t_estimate(0.4, 0.1, 5, 7, "")
    whole = r_estimate(1.0, 1 / 3, 0.0, 12, "")
    for kept, margin in ((has, 0.3), (whole, 0.3), (r, 1.0)):
        same, ends = limits.with_error(kept, margin)
        assert same is kept
        assert ends == (-margin, margin)


def test_a_mean_from_a_deviation_and_a_percent_from_a_log() -> None:
    e = t_estimate(0.1, 0.05, 8, 9, "")
    up = limits.moved(e, 3)
    assert up.value == pytest.approx(3.1)
    for (_, i), (_, j) in zip(at(e), at(up), strict=True):
        assert (j.low, j.high, j.level) == (i.low + 3, i.high + 3, i.level)
    percent = limits.ratio_percent(e)
    assert percent.value == pytest.approx(100 * (math.exp(0.1) - 1))
    assert (percent.p, percent.se, percent.df) == (e.p, None, None)
    for (_, i), (_, j) in zip(at(e), at(percent), strict=True):
        assert j.low == pytest.approx(100 * (math.exp(i.low) - 1))
        assert j.high == pytest.approx(100 * (math.exp(i.high) - 1))


def test_an_error_shared_by_all_widens_and_makes_the_df_larger() -> None:
    e = t_estimate(2.0, 0.3, 5, 6, "t")
    wide = widened(e, 0.4)
    assert (wide.value, wide.se) == (2.0, pytest.approx(0.5))
    assert wide.df == pytest.approx(5 * (0.5 / 0.3) ** 4)
    assert pooled_df(0.3, 5, 0.4, 1e12) == pytest.approx(wide.df)
    assert widened(e, 0.0) is e
    still = widened(t_estimate(2.0, 0.0, 5, 6, "t"), 0.4)
    assert (still.se, still.df) == (0.4, 1e9)
    small = widened(t_estimate(2.0, 0.5, 5, 6, "t"), 0.1)
    assert small.df == pytest.approx(5 * (0.26 / 0.25) ** 2)
    assert pooled_df(0.0, 3, 0.0, 4) == 7


def test_a_perfect_link_has_no_range_and_an_open_one_all_of_it() -> None:
    assert [(i.low, i.high) for _, i in at(r_estimate(-1.0, 0.5, 0.0, 5, ""))] == [(-1, -1)] * 3
    assert [(i.low, i.high) for _, i in at(r_estimate(0.5, math.inf, 0.1, 4, ""))] == [(-1, 1)] * 3


def test_an_interval_is_closed() -> None:
    i = Interval(1, 2, 0.95)
    assert [i.excludes(v) for v in (0.99, 1, 1.5, 2, 2.01)] == [True, False, False, False, True]
    assert [i.inside(*ends) for ends in ((1, 2), (1.1, 2), (1, 1.9))] == [True, False, False]
    assert [i.outside(*ends) for ends in ((2, 3), (2.1, 3), (0, 1), (0, 0.9))] == [
        False, True, False, True]  # fmt: skip


# --- shares of items, agreement, lines, different people -------------------------------------


@pytest.mark.parametrize("side", [1, -1])
def test_what_a_share_of_items_reaches(side: int) -> None:
    e = sure(reached_by(A, 0.9, side))
    mean, sd = A.mean(), A.std(ddof=1)
    assert e.value == pytest.approx(mean - side * 1.2815516 * sd)
    for level, i in at(e):
        sureties = (1 + level) / 2, (1 - level) / 2
        ends = sorted(mean - side * factor(6, 0.9, c) * sd for c in sureties)
        assert (i.low, i.high) == (pytest.approx(ends[0]), pytest.approx(ends[1]))
    for few, value in (([3.0], 3.0), ([], None)):
        none = reached_by(few, 0.9, side)
        assert isinstance(none, Undefined)
        assert (none.why, none.value, none.n_items) == ("too-few-items", value, len(few))
    flat = reached_by([2.0, 2.0], 0.9, side)
    assert isinstance(flat, Undefined)
    assert (flat.why, flat.value) == ("no-spread", 2)
    for bad in ((1, 0.9, 0.9), (5, 0.0, 0.9), (5, 1.0, 0.9), (5, 0.9, 0.0), (5, 0.9, 1.0)):
        with pytest.raises(ValueError, match="two items"):
            factor(*bad)
    # One confidence's factor is exceeded by just that share of all samples: the noncentral t.
    assert stats.nct.cdf(factor(6, 0.9, 0.95) * math.sqrt(6), 5, 1.2815515655 * math.sqrt(6)) == (
        pytest.approx(0.95))  # fmt: skip
    assert math.isfinite(factor(2, 0.9, 0.95))


def test_limits_of_agreement_are_never_below_nothing() -> None:
    d = np.array([-0.2, 0.1, -0.1, 0.0])
    e = sure(limits_of_agreement(d))
    mean, sd = abs(d.mean()), d.std(ddof=1)
    assert e.value == pytest.approx(mean + 1.959964 * sd, abs=1e-6)
    for level, i in at(e):
        assert i.high == pytest.approx(mean + factor(4, 0.975, (1 + level) / 2) * sd)
        assert i.low == pytest.approx(max(0, mean + factor(4, 0.975, (1 - level) / 2) * sd))
    one, none = limits_of_agreement([-2.0]), limits_of_agreement([])
    flat = limits_of_agreement([-2.0, -2.0])
    assert isinstance(one, Undefined)
    assert isinstance(none, Undefined)
    assert isinstance(flat, Undefined)
    assert (one.value, none.value, flat.value) == (2, None, 2)
    assert (one.why, none.why, flat.why) == ("too-few-items", "too-few-items", "no-spread")


def test_a_line_over_items_against_scipy() -> None:
    e = sure(slope(X, Y))
    line = stats.linregress(X, Y)
    assert (e.value, e.se) == (pytest.approx(line.slope), pytest.approx(line.stderr))
    assert e.p == pytest.approx(line.pvalue)
    assert (e.df, e.n_items) == (6, 8)
    cases = {
        ((1.0,), (1.0,)): ("too-few-items", None), ((1, 2), (1, 3)): ("too-few-items", 2.0),
        ((1, 1), (1, 3)): ("too-few-items", None), ((1, 1, 1), (1, 2, 3)): ("no-spread", None),
        ((1, 2, 3), (4, 4, 4)): ("no-spread", 0.0),
    }  # fmt: skip
    for (x, y), (why, value) in cases.items():
        none = slope(x, y)
        assert isinstance(none, Undefined)
        assert (none.why, none.value, none.n_items) == (why, value, len(x))
    assert isinstance(slope([1, 2, 4], [1, 3, 4]), Estimate)


def test_rates_of_different_people_in_strata() -> None:
    """Sato's variance of one stratum, worked out cell by cell; two alike halve it."""
    a, n_a, b, n_b = 8, 12, 3, 15
    gap = a / n_a - b / n_b
    total = n_a + n_b
    weight = n_a * n_b / total
    p = (n_a**2 * b - n_b**2 * a + n_a * n_b * (n_b - n_a) / 2) / total**2
    q = (a * (n_b - b) + b * (n_a - a)) / (2 * total)
    se = math.sqrt((gap * p + q) / weight**2)
    table = [[a, n_a - a], [b, n_b - b]]
    e = sure(rates.mantel_haenszel([table, [[0, 0], [3, 4]]]))
    assert (e.value, e.se, e.n_items) == (pytest.approx(gap), pytest.approx(se), 27)
    assert e.p == pytest.approx(2 * stats.norm.sf(gap / se))
    assert e.at90.high == pytest.approx(min(1, gap + 1.6448536 * se))
    turned = sure(rates.mantel_haenszel([table[::-1]]))
    assert (turned.value, turned.se, turned.p) == (
        pytest.approx(-gap), pytest.approx(se), pytest.approx(e.p))  # fmt: skip
    twice = sure(rates.mantel_haenszel([table, table]))
    assert (twice.value, twice.se) == (pytest.approx(gap), pytest.approx(se / math.sqrt(2)))
    for tables, why in (([[[0, 0], [3, 4]]], "no-pairs"), ([[[3, 0], [4, 0]]], "no-spread")):
        none = rates.mantel_haenszel(tables)
        assert isinstance(none, Undefined)
        assert none.why == why
    wide = sure(rates.mantel_haenszel([[[2, 0], [1, 2]]]))
    assert wide.at95.high == 1.0


def test_several_attempts_each_scatter_over_people() -> None:
    side, s, n = [0, 0, 0, 1, 1, 1, 0], [5, 6, 9, 2, 3, 1, 0], [10, 10, 12, 10, 8, 9, 0]
    e = sure(rates.clustered(side, s, n))
    rates_of, variances = [], []
    for k in (0, 1):
        made = np.array(s)[[i for i in range(6) if side[i] == k]]
        tried = np.array(n)[[i for i in range(6) if side[i] == k]]
        rate = made.sum() / tried.sum()
        rest = made - rate * tried
        rates_of.append(rate)
        variances.append(float(rest @ rest) * 3 / 2 / tried.sum() ** 2)
    assert (e.value, e.n_items) == (pytest.approx(rates_of[0] - rates_of[1]), 6)
    assert e.se == pytest.approx(math.sqrt(sum(variances)))
    df = sum(variances) ** 2 / sum(v**2 / 2 for v in variances)
    assert e.df == pytest.approx(df)
    few = rates.clustered([0, 1, 1], [5, 2, 3], [10, 10, 8])
    empty = rates.clustered([1, 1], [5, 2], [10, 10])
    alike = rates.clustered([0, 0, 1, 1], [5, 5, 2, 2], [10, 10, 10, 10])
    none = [u for u in (few, empty, alike) if isinstance(u, Undefined)]
    assert [(u.why, u.n_items, u.value) for u in none] == [
        ("too-few-items", 3, pytest.approx(0.5 - 5 / 18)), ("too-few-items", 2, None),
        ("no-spread", 4, pytest.approx(0.3)),
    ]  # fmt: skip


def test_a_mean_of_one_reading_or_none() -> None:
    for values, value in (([2.5], 2.5), ([], None)):
        none = mean_change(values)
        assert isinstance(none, Undefined)
        assert (none.why, none.value, none.n_items) == ("too-few-items", value, len(values))


# --- on the edge -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "low", "high", "call"),
    [(50.0, 50.0, None, "pass"), (49.999, 50.0, None, "fail"), (60.0, None, 60.0, "pass"),
     (60.001, None, 60.0, "fail"), (50.0, 50.0, 60.0, "pass"), (60.0, 50.0, 60.0, "pass")],
)  # fmt: skip
def test_a_reading_without_doubt_that_lies_on_its_limit_meets_it(value, low, high, call) -> None:
    found = limits.judge_reading(value, 0.0, low, high, None)
    assert isinstance(found, limits.Call)
    assert (found.call, found.guard) == (call, 0)


@pytest.mark.parametrize(("u", "df"), [(1.0, None), (2.0, None), (1.0, 5.0)])
def test_a_reading_is_too_close_up_to_its_guard(u: float, df: float | None) -> None:
    guard = u * (stats.norm.ppf(0.95) if df is None else stats.t.ppf(0.95, df))
    for away, call in ((guard + 1e-6, "pass"), (guard - 1e-6, "too-close"),
                       (-guard + 1e-6, "too-close"), (-guard - 1e-6, "fail")):  # fmt: skip
        for value, low, high in ((50 + away, 50.0, None), (50 - away, None, 50.0)):
            found = limits.judge_reading(value, u, low, high, df)
            assert isinstance(found, limits.Call)
            assert (found.call, found.guard) == (call, pytest.approx(guard))


def test_nothing_is_reversed_where_one_side_is_nothing() -> None:
    assert [rates.reversal(a, b) for a, b in ((0.1, -0.1), (-0.1, 0.1))] == [True, True]
    for pooled, own in ((0.0, 0.1), (0.1, 0.0), (0.1, 0.1), (None, 0.1)):
        assert not rates.reversal(pooled, own)


def test_a_weighted_mean_of_one_and_of_equal_weights() -> None:
    for values, value in (([0.2], 0.2), ([], None)):
        none = rates.weighted_mean(values, [1.0] * len(values))
        assert isinstance(none, Undefined)
        assert (none.why, none.value, none.n_items) == ("too-few-items", value, len(values))
    two = sure(rates.weighted_mean([0.2, 0.4], [3, 3]))
    assert (two.value, two.df) == (pytest.approx(0.3), 1)
    alike = rates.weighted_mean([0.2, 0.2], [3, 5])
    assert isinstance(alike, Undefined)
    assert (alike.why, alike.value) == ("no-spread", pytest.approx(0.2))


@pytest.mark.parametrize(
    ("value", "wholes"),
    [("1/2", (0, 1)), ("-1/2", (-1, 0)), ("3/2", (2,)), ("5/2", (2, 3)), ("-5/2", (-3, -2)),
     ("4/10", (0,)), ("6/10", (1,)), ("-6/10", (-1,))],
)  # fmt: skip
def test_a_half_may_have_been_rounded_up_or_to_even(value: str, wholes: tuple[int, ...]) -> None:
    found = [n for n in range(-4, 5) if stated._rounds_to(Fraction(value), Fraction(n))]
    assert tuple(found) == wholes
