"""Within items and between them: what each level says, and when it can say nothing."""

import numpy as np
import pandas as pd
import pingouin
import pytest
from hypothesis import assume, given, settings, strategies as st
from scipy import stats
from statsmodels.regression.linear_model import OLS

from explainer.analysis.within import Within, within

BALLS = ["P1", "P2", "P3", "P4"]


def world(seed, n=5, k=6, slopes=1.0, spread=0.3, trend=0.0):
    """n balls over k checkpoints; returns x, y, item, use."""
    rng = np.random.default_rng(seed)
    item = np.repeat([f"B{i}" for i in range(n)], k)
    use = np.tile(np.arange(k) * 10.0, n)
    own = np.repeat(slopes + spread * rng.normal(size=n), k)
    x = rng.normal(size=n * k) + np.repeat(rng.normal(0, 5, n), k) + trend * use
    y = own * x + rng.normal(size=n * k) + np.repeat(rng.normal(0, 5, n), k) + trend * use
    return x, y, item, use


@pytest.mark.filterwarnings("ignore:The inplace keyword")  # pingouin on a newer pandas
@pytest.mark.parametrize("seed", range(5))
def test_r_is_pingouins(seed):
    x, y, item, _ = world(seed)
    theirs = pingouin.rm_corr(
        pd.DataFrame({"x": x, "y": y, "item": item}), x="x", y="y", subject="item"
    ).iloc[0]
    w = within(x, y, item)
    assert w.r == pytest.approx(theirs["r"], abs=1e-10)
    assert w.df == theirs["dof"]
    assert w.r_estimate.p == pytest.approx(theirs["pval" if "pval" in theirs else "p_val"])


@pytest.mark.parametrize("seed", range(3))
def test_the_slope_is_least_squares_with_a_level_per_item(seed):
    x, y, item, use = world(seed)
    dummies = (item[:, None] == np.unique(item)).astype(float)
    fit = OLS(y, np.column_stack((x, dummies))).fit()
    w = within(x, y, item, use)
    assert w.slope.value == pytest.approx(fit.params[0], rel=1e-10)
    assert w.slope_se_readings == pytest.approx(fit.bse[0], rel=1e-10)
    assert w.df == fit.df_resid
    times = (use[:, None] == np.unique(use)[1:]).astype(float)
    gated = OLS(y, np.column_stack((x, dummies, times))).fit()
    assert w.slope_without_time.value == pytest.approx(gated.params[0], rel=1e-9)


@pytest.mark.parametrize("holes", [(), (3, 17, 24)])
def test_groups_weigh_alike_with_and_without_what_all_share(holes):
    """The mean of the groups' slopes of one regression with every effect in it; its variance by
    CR2 written out with whole matrices (Bell & McCaffrey 2002), of a full table."""
    x, y, item, use = (np.delete(a, holes) for a in world(4, n=6, k=5, trend=0.1))
    of = {f"B{i}": "P" if i < 4 else "T" for i in range(6)}
    groups = np.array([of[i] for i in item])
    y = np.where(groups == "T", y + 2 * x, y)
    slopes = np.column_stack([np.where(groups == g, x, 0.0) for g in "PT"])
    dummies = (item[:, None] == np.unique(item)).astype(float)
    times = (use[:, None] == np.unique(use)[1:]).astype(float)
    design = np.column_stack((slopes, dummies, times))
    fit = OLS(y, design).fit()
    found = within(x, y, item, use, of)
    assert found.slope_without_time.value == pytest.approx(fit.params[:2].mean(), rel=1e-9)
    assert found.slope.value == pytest.approx(
        OLS(y, np.column_stack((slopes, dummies))).fit().params[:2].mean(), rel=1e-9)
    pooled = within(x, y, item, use)
    assert abs(found.slope_without_time.value - pooled.slope_without_time.value) > 0.1
    if holes:
        return
    part = np.linalg.pinv(design)[:2].mean(axis=0)
    rest = np.eye(len(y)) - design @ np.linalg.pinv(design)
    variance = 0.0
    for name in np.unique(item):
        one = item == name
        spare = part[one] @ rest[np.ix_(one, one)] @ part[one]
        variance += (part[one] @ (rest @ y)[one]) ** 2 * (part[one] @ part[one]) / spare
    assert found.slope_without_time.se == pytest.approx(np.sqrt(variance), rel=1e-9)


def test_two_checkpoints_are_a_regression_of_changes():
    """With two checkpoints CR2 is the HC2 of changes on changes (statsmodels)."""
    x, y, item, use = world(3, n=7, k=2)
    dx, dy = np.diff(x.reshape(7, 2)).ravel(), np.diff(y.reshape(7, 2)).ravel()
    w = within(x, y, item, use)
    assert w.slope.se == pytest.approx(OLS(dy, dx).fit(cov_type="HC2").bse[0], rel=1e-9)
    with_level = OLS(dy, np.column_stack((dx, np.ones(7)))).fit(cov_type="HC2")
    assert w.slope_without_time.se == pytest.approx(with_level.bse[0], rel=1e-9)


def test_the_level_between_items_is_the_line_through_their_means():
    x, y, item, _ = world(1)
    line = stats.linregress(x.reshape(5, 6).mean(axis=1), y.reshape(5, 6).mean(axis=1))
    w = within(x, y, item)
    assert w.slope_between.value == pytest.approx(line.slope, rel=1e-9)
    assert w.slope_between.se == pytest.approx(line.stderr, rel=1e-9)
    assert w.slope_difference == pytest.approx(line.slope - w.slope.value, rel=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_each_item_left_out(seed):
    x, y, item, _ = world(seed)
    w = within(x, y, item)
    for i, name in enumerate(w.items):
        rest = item != name
        again = within(x[rest], y[rest], item[rest])
        assert w.r_loo[i] == pytest.approx(again.r, abs=1e-12)
        assert w.slope_loo[i] == pytest.approx(again.slope.value, rel=1e-12)


def test_own_slopes_and_their_signs():
    item = np.repeat([*BALLS, "P5"], 3)
    x = np.array([0.0, 1, 2, 0, 1, 2, 0, 1, 2, 5, 5, 5, 0, 1, 2])
    y = np.array([0.0, 2, 4, 1, 2, 3, 3, 2, 1, 0, 1, 2, 7, 7, 7])
    w = within(x, y, item)
    assert w.items == (*BALLS, "P5")
    assert w.item_slopes == {"P1": 2.0, "P2": 1.0, "P3": -1.0, "P4": None, "P5": 0.0}
    assert w.items_same_sign == 2
    assert w.slope.value == pytest.approx(2 / 4)
    # The ball whose x stood still is no evidence about the slope, and is not counted as such.
    assert (w.slope.n_items, w.slope.df) == (4, pytest.approx(3))
    assert w.r_estimate.n_items == 4 and w.carriers == (*BALLS[:3], "P5")
    still = within(x, y + np.where(item == "P4", 50 * np.sin(np.arange(15)), 0), item)
    assert (still.r, still.df, still.slope_se_readings) == pytest.approx(
        (w.r, w.df, w.slope_se_readings))  # fmt: skip


def test_a_shared_trend_fakes_a_link_and_the_gate_sees_through_it():
    """Two measures that only drift: r is near 1 and vanishes once checkpoints are taken out."""
    found = sum(
        within(*world(seed, slopes=0.0, spread=0.0, trend=0.5)).slope.p < 0.05
        for seed in range(100)
    )
    gated = sum(
        within(*world(seed, slopes=0.0, spread=0.0, trend=0.5)).slope_without_time.p < 0.05
        for seed in range(100)
    )
    assert found >= 95
    assert gated <= 12


def test_a_drift_and_nothing_else_leaves_nothing_to_link():
    use = np.tile([0.0, 10, 20], 4)
    item = np.repeat(BALLS, 3)
    level = np.repeat([1.0, 5, 2, 8], 3)
    assert within(level + use, level - use, item, use).slope_without_time is None
    still = within(level + use**2 * level, level - use, item, use).slope_without_time
    assert (still.value, still.p) == (0, 1)


def test_range_over_items_holds_where_items_differ():
    """Slopes that average 0: r counts readings and finds a link far too often, the slope does not.

    With uneven movement, too, which is where items − 1 degrees of freedom would fail.
    """
    rng = np.random.default_rng(5)
    by_readings = by_items = 0
    item = np.repeat(np.arange(6), 6)
    for _ in range(400):
        moved = np.repeat(np.exp(rng.normal(size=6)), 6)
        x = rng.normal(size=36) * moved
        y = np.repeat(rng.normal(size=6), 6) * x + rng.normal(size=36)
        w = within(x, y, item)
        by_readings += w.r_estimate.p < 0.05
        by_items += w.slope.p < 0.05
    assert by_readings / 400 > 0.4
    assert by_items / 400 < 0.10


def test_rows_may_come_in_any_order_and_with_gaps():
    x, y, item, use = world(2)
    x[7], y[20] = np.nan, np.nan
    order = np.random.default_rng(0).permutation(x.size)
    one, other = within(x, y, item, use), within(x[order], y[order], item[order], use[order])
    assert one.slope.at95.low == pytest.approx(other.slope.at95.low, rel=1e-9)
    assert one.slope_without_time.se == pytest.approx(other.slope_without_time.se, rel=1e-9)
    assert one.item_slopes == pytest.approx(other.item_slopes, rel=1e-9)
    assert one.df == x.size - 2 - 5 - 1


def test_an_item_read_once_says_nothing_within_but_counts_between():
    x, y, item, use = world(2)
    more = within([*x, 100.0], [*y, 0.0], [*item, "late"], [*use, 0.0])
    plain = within(x, y, item, use)
    assert more.r == pytest.approx(plain.r, abs=1e-12)
    assert more.df == plain.df
    assert more.slope == plain.slope
    assert more.slope_between.n_items == 6
    assert more.items[-1] == "late"
    assert more.r_loo[-1] == pytest.approx(more.r, abs=1e-12)


@pytest.mark.parametrize(
    ("x", "y", "item", "why"),
    [
        ([], [], [], "no-pairs"),
        ([np.nan], [1.0], ["a"], "no-pairs"),
        ([1.0, 2, 3], [1.0, 2, 4], ["a", "a", "a"], "too-few-items"),
        ([1.0, 2, 5, 5], [1.0, 2, 4, 5], ["a", "a", "b", "b"], "one-moved"),
        ([1.0, 2, 3], [1.0, 2, 4], ["a", "b", "c"], "no-spread"),
        ([1.0, 1, 3, 3], [1.0, 2, 4, 5], ["a", "a", "b", "b"], "no-spread"),
        ([1.0, 2, 3, 4], [1.0, 1, 4, 4], ["a", "a", "b", "b"], "no-spread"),
    ],
)
def test_when_there_is_nothing_to_say(x, y, item, why):
    result = within(x, y, np.array(item, dtype=str), np.arange(len(x)))
    assert result.why == why


def test_two_items_at_two_checkpoints_say_as_little_as_possible():
    w = within([0.0, 1, 0, 2], [0.0, 1, 1, 2], ["a", "a", "b", "b"], [0, 1, 0, 1])
    assert isinstance(w, Within)
    assert w.df == 1
    assert (w.r_estimate.at95.low, w.r_estimate.at95.high) == (-1, 1)
    assert w.slope_between is None
    assert w.p_slopes_differ is None
    assert w.slope_without_time is None


@pytest.mark.parametrize("scale", [1e-12, 1e12, 1e60])
def test_the_unit_does_not_matter(scale):
    x, y, item, use = world(4)
    plain, scaled = within(x, y, item, use), within(x * scale, y, item, use)
    for name in ("slope", "slope_between", "slope_without_time"):
        one, other = getattr(plain, name), getattr(scaled, name)
        assert other.at95.low * scale == pytest.approx(one.at95.low, rel=1e-9)
        assert other.df == pytest.approx(one.df, rel=1e-9)
    assert scaled.p_slopes_differ == pytest.approx(plain.p_slopes_differ, rel=1e-9)


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.floats(1.0, 1e8))
def test_a_large_common_level_changes_nothing(seed, level):
    x, y, item, use = world(seed, n=4, k=4)
    assume(level < 1e7 or seed % 2)
    plain, lifted = within(x, y, item, use), within(x + level, y - level, item, use)
    assert lifted.slope.value == pytest.approx(plain.slope.value, rel=1e-5, abs=1e-5)
    assert lifted.r == pytest.approx(plain.r, abs=1e-5)


def test_checkpoints_that_some_items_miss():
    x, y, item, use = world(6, n=6, k=5)
    kept = np.array([0, 3, 4, 11, 17, 18, 26])
    x, y, item, use = (np.delete(column, kept) for column in (x, y, item, use))
    dummies = (item[:, None] == np.unique(item)).astype(float)
    times = (use[:, None] == np.unique(use)[1:]).astype(float)
    fit = OLS(y, np.column_stack((x, dummies, times))).fit()
    assert within(x, y, item, use).slope_without_time.value == pytest.approx(fit.params[0])


def test_without_spread_the_slope_is_told_where_there_is_one():
    item = ["a", "a", "b", "b"]
    assert within([0, 0.1, 0, 0.1], [1, 1, 4, 4], item).value == 0
    assert within([1, 1, 3, 3], [1, 2, 4, 5], item).value is None


@pytest.mark.parametrize(("n", "k", "df"), [(3, 2, 2), (4, 3, 7)])
def test_the_range_of_r_is_fishers_on_its_degrees_of_freedom(n, k, df):
    """Bakdash & Marusich 2017: z ± 1.96/√(df − 1), as for a correlation of df + 2 readings."""
    x, y, item, _ = world(8, n=n, k=k)
    w = within(x, y, item)
    assert w.df == df
    for interval, z in ((w.r_estimate.at95, 1.959964), (w.r_estimate.at80, 1.281552)):
        ends = np.tanh(np.arctanh(w.r) + np.array([-z, z]) / np.sqrt(df - 1))
        assert (interval.low, interval.high) == pytest.approx(tuple(ends), abs=1e-6)


def test_an_x_that_moved_by_rounding_only_did_not_move():
    x = np.array([0.0, 1, 2, 0, 1, 3, 0.3, 0.1 + 0.2, 0.3])
    y = np.array([0.0, 2, 4, 1, 2, 3, 5, 9, 7])
    w = within(x, y, np.repeat(["a", "b", "c"], 3))
    assert w.item_slopes["c"] is None
    assert w.slope.n_items == 2


def test_two_slopes_do_not_differ_by_the_weights_of_their_groups_alone():
    """Six items and the line between them fall by 4.9; a seventh, alone of its kind, hardly moved
    and counts as a quarter of the mean of four groups."""
    x, y, item = [], [], []
    for k, start in enumerate((75.2, 73.7, 76.3, 74.5, 76.1, 74.1)):
        for moved, off in ((0.0, 0.3), (1.1, -0.3 - k / 50), (5.0, k / 50)):
            x.append(start + moved)
            y.append(420.0 - 4.9 * x[-1] + off)
            item.append(f"B{k}")
    x += [75.9, 76.5]
    y += [420.0 - 4.9 * 75.9, 420.0 - 4.9 * 75.9 - 5.0]
    item += ["B6", "B6"]
    kinds = dict(zip((f"B{k}" for k in range(7)), "PTLTTTS", strict=True))
    alone, alike = within(x, y, item), within(x, y, item, group=kinds)
    assert alike.slope.value == pytest.approx(-5.75, abs=0.15) and alike.p_slopes_differ < 0.05
    assert alone.p_slopes_differ_items > 0.3
    assert alike.p_slopes_differ_items == pytest.approx(alone.p_slopes_differ_items)
