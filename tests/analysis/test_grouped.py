"""Shares, gaps and slopes in which each group counts once, against their definitions by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from explainer.analysis.grouped import gap_within_groups, mean_of_groups, moments, shares_apart
from explainer.analysis.result import Estimate, t_quantile
from explainer.analysis.shares import BreakInShare, break_in, rates
from explainer.analysis.within import Within, within

#: Six balls of one model that change by much, two of another that change by little.
OF = np.array(["P"] * 6 + ["T"] * 2)
TOTAL = np.array([-20.0, -22, -19, -21, -23, -18, -8, -9.0])
EARLY = np.array([-10.0, -11, -9, -10, -12, -8, -7.5, -8.7])


def test_a_share_of_two_models_is_that_of_their_two_means() -> None:
    found = break_in(EARLY, TOTAL, group=OF)
    assert isinstance(found, BreakInShare)
    early = (EARLY[:6].mean() + EARLY[6:].mean()) / 2
    total = (TOTAL[:6].mean() + TOTAL[6:].mean()) / 2
    assert found.share == pytest.approx(early / total)
    assert found.share > break_in(EARLY, TOTAL).share + 0.05  # type: ignore[union-attr]


def test_fiellers_range_of_groups_holds_every_ratio_not_told_from_nothing() -> None:
    """Each end is where the mean of groups' means of a − θb stands just t standard errors off."""
    found = break_in(EARLY, TOTAL, group=OF)
    assert isinstance(found, BreakInShare)
    seen = moments(EARLY - found.share * TOTAL, TOTAL, OF)
    assert seen is not None
    for end in (found.at90.low, found.at90.high):
        rest = mean_of_groups(EARLY - end * TOTAL, OF)
        assert isinstance(rest, Estimate) and rest.se is not None
        assert abs(rest.value) / rest.se == pytest.approx(t_quantile(0.90, seen.df), rel=1e-6)


def test_one_item_of_a_group_borrows_the_spread_of_the_others() -> None:
    of = np.array(["P"] * 5 + ["T"])
    seen = moments(TOTAL[:6], EARLY[:6], of)
    single = mean_of_groups(TOTAL[:6], of)
    assert seen is not None and isinstance(single, Estimate) and single.se is not None
    assert (seen.mean_x, seen.var_x) == pytest.approx((single.value, single.se**2))
    assert moments(TOTAL[:2], EARLY[:2], np.array(["P", "T"])) is None


def test_rates_count_each_group_once() -> None:
    gap = rates(EARLY, TOTAL - EARLY, 20, 40, OF)
    assert isinstance(gap, Estimate)
    each = EARLY / 20 - (TOTAL - EARLY) / 40
    assert gap.value == pytest.approx((each[:6].mean() + each[6:].mean()) / 2)


def test_a_gap_within_models_knows_nothing_of_how_many_stand_where() -> None:
    """a has mostly the rough model, b mostly the smooth one: side by side they seem 30 apart."""
    a, of_a = np.array([60.0, 62, 61, 21]), np.array(["P", "P", "P", "T"])
    b, of_b = np.array([60.5, 20.0, 22, 21]), np.array(["P", "T", "T", "T"])
    gap = gap_within_groups(a, of_a, b, of_b)
    assert isinstance(gap, Estimate) and gap.se is not None
    assert gap.value == pytest.approx(((61 - 60.5) + (21 - 21)) / 2)
    # Cells of one: the spread of all cells pooled, 4/4 on 8 − 4 degrees of freedom.
    assert gap.se == pytest.approx(math.sqrt(4 / 4 * (1 / 3 + 1 + 1 + 1 / 3)) / 2)
    assert gap.df == 4
    with pytest.raises(ValueError, match="both sides"):
        gap_within_groups(a, of_a, b, np.array(["P", "P", "P", "P"]))


def test_slopes_within_items_count_each_group_once() -> None:
    """Six balls of slope about 1, two of slope about 3: 2 and not what the many make of it."""
    rng = np.random.default_rng(5)
    item = np.repeat([f"B{i}" for i in range(8)], 6)
    x = np.tile(np.arange(6.0), 8)
    of = {f"B{i}": ("P" if i < 6 else "T") for i in range(8)}
    steep = np.repeat([1.0, 1.1, 0.9, 1.0, 1.05, 0.95, 3.1, 2.9], 6)
    y = steep * x + rng.normal(0, 0.05, x.size)
    alike, grouped_ = within(x, y, item), within(x, y, item, group=of)
    assert isinstance(alike, Within) and isinstance(grouped_, Within)
    assert alike.slope.value == pytest.approx(1.5, abs=0.05) and alike.group_slopes == ()
    assert grouped_.group_slopes == pytest.approx((1.0, 3.0), abs=0.05)
    assert grouped_.slope.value == pytest.approx(2.0, abs=0.05)
    assert grouped_.slope.at95.high < 2.8 and grouped_.slope.at95.low > 1.2


def test_a_group_of_one_item_is_as_sure_as_items_of_the_others_are_alike() -> None:
    item, x = np.repeat(["A", "B", "C"], 3), np.tile([-1.0, 0.0, 1.0], 3)
    y = x * np.repeat([1.0, 1.2, 3.0], 3)
    found = within(x, y, item, group={"A": "P", "B": "P", "C": "T"})
    assert isinstance(found, Within) and found.slope.se is not None
    assert found.group_slopes == pytest.approx((1.1, 3.0))
    assert found.slope.value == pytest.approx(2.05)
    # Slopes 1 and 1.2: SE of their mean is 0.1; of a single one, their spread, √0.02.
    assert found.slope.se == pytest.approx(math.sqrt(0.01 + 0.02) / 2)
    assert found.slope.df == 1  # all that is known of scatter is one difference


@pytest.mark.parametrize("sizes", [(2, 1, 1, 1), (3, 1, 1), (2, 2, 1), (3, 3)])
def test_a_range_over_groups_holds_the_truth_as_often_as_it_says(sizes: tuple[int, ...]) -> None:
    """Slopes about 0 with a spread of 1.  With a spread lent to three groups of one as if each had
    its own, the range of two, one, one and one held the truth 79 times in a hundred."""
    rng = np.random.default_rng(8)
    item = np.repeat([f"B{i}" for i in range(sum(sizes))], 5)
    x = np.tile(np.arange(5.0), sum(sizes))
    group = dict(zip(item[::5], np.repeat(list("PTSL")[: len(sizes)], sizes), strict=True))
    held = []
    for _ in range(500):
        y = np.repeat(rng.normal(0, 1, sum(sizes)), 5) * x + rng.normal(0, 0.3, x.size)
        found = within(x, y, item, group=group)
        assert isinstance(found, Within)
        held.append(found.slope.at95.low <= 0 <= found.slope.at95.high)
    assert np.mean(held) == pytest.approx(0.95, abs=0.03)  # three standard errors


def test_groups_in_which_x_stands_still_leave_the_slope_as_it_is() -> None:
    item = np.repeat(["A", "B", "C"], 4)
    x = np.concatenate((np.tile(np.arange(4.0), 2), np.zeros(4)))
    y = np.tile([0.0, 1.1, 1.9, 3.2], 3) + np.arange(12) * 0.01
    found = within(x, y, item, group={"A": "P", "B": "P", "C": "T"})
    alone = within(x, y, item)
    assert isinstance(found, Within) and isinstance(alone, Within)
    assert found.group_slopes == () and found.slope == alone.slope


@pytest.mark.parametrize(("off", "apart"), [(0.05, True), (1.5, False)])
def test_slopes_on_both_sides_of_0_differ_only_by_more_than_their_luck(
    off: float, apart: bool
) -> None:
    """P slopes by −0.2 and T by 0.2, each of two balls ``off`` more or less."""
    item, x = np.repeat(["A", "B", "C", "D"], 3), np.tile([-1.0, 0.0, 1.0], 4)
    y = x * np.repeat([-0.2 - off, -0.2 + off, 0.2 - off, 0.2 + off], 3)
    found = within(x, y, item, group={"A": "P", "B": "P", "C": "T", "D": "T"})
    assert isinstance(found, Within) and found.group_slopes == pytest.approx((-0.2, 0.2))
    # The gap is 0.4, and its SE off times √2 on 2 degrees of freedom.
    assert found.groups_apart is apart is bool(stats.t.sf(0.4 / (off * 2**0.5), 2) * 2 < 0.05)


@pytest.mark.parametrize(("off", "apart"), [(0.1, True), (3.0, False)])
def test_shares_differ_only_by_more_than_their_luck(off: float, apart: bool) -> None:
    """P had done 9 of 10 and T 7 of 10, each item's part ``off`` more or less."""
    early = np.array([9 - off, 9 + off, 9.0, 7 - off, 7 + off, 7.0])
    whole, of = np.full(6, 10.0), np.repeat(["P", "T"], 3)
    se = np.sqrt(4 * off**2 / 4 * (2 / 3 / 100))  # four squares of off on 6 - 2, three items each
    assert shares_apart(early, whole, of, 0, 1) is apart
    assert apart is bool(stats.t.sf(0.2 / se, 4) * 2 < 0.05)
    assert not shares_apart(early, whole * np.repeat([1, 0], 3), of, 0, 1)
