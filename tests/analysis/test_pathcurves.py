import numpy as np
import pytest
from scipy import stats

from explainer.analysis.pathcurves import (
    Breakpoint,
    PathBand,
    band,
    breakpoint_within,
    difference_band,
)
from explainer.analysis.result import Undefined

FEET = np.array([15.0, 30, 40, 50, 60])


def paths(n=6, sd=1.0, seed=1, shift=0.0):
    rng = np.random.default_rng(seed)
    course = np.array([10, 6, 7, 12, 18.0])
    return course + shift * (FEET - 15) / 45 + rng.normal(0, sd, (n, 1)) + rng.normal(0, sd, (n, 5))


def test_pointwise_is_t_at_each_distance_and_simultaneous_bonferroni():
    y = paths()
    curve = band(FEET, y)
    for i in range(5):
        t = stats.ttest_1samp(y[:, i], 0)
        one, all_ = t.confidence_interval(0.95), t.confidence_interval(1 - 0.05 / 5)
        assert curve.mean[i] == pytest.approx(y[:, i].mean())
        assert (curve.pointwise_low[i], curve.pointwise_high[i]) == pytest.approx(one)
        assert (curve.simultaneous_low[i], curve.simultaneous_high[i]) == pytest.approx(all_)
    assert curve.n_items == 6
    assert curve.n_at == (6,) * 5


def test_the_multiplier_of_six_items_at_five_distances():
    # methods note, computed here: Bonferroni 4.03 where Hotelling's band would need 75.9.
    y = paths()
    curve = band(FEET, y)
    half = curve.simultaneous_high[0] - curve.mean[0]
    assert half / (y[:, 0].std(ddof=1) / np.sqrt(6)) == pytest.approx(4.03, abs=0.005)


def test_the_simultaneous_band_covers_the_whole_path():
    truth = np.array([10, 6, 7, 12, 18.0])
    curves = [band(FEET, paths(seed=s)) for s in range(1000)]

    def covers(low, high):
        return np.mean(
            [
                np.all((np.array(getattr(c, low)) <= truth) & (truth <= np.array(getattr(c, high))))
                for c in curves
            ]
        )

    assert covers("simultaneous_low", "simultaneous_high") > 0.94
    assert covers("pointwise_low", "pointwise_high") < 0.9


def test_a_paired_difference_takes_out_the_items():
    rng = np.random.default_rng(5)
    before = paths(sd=4)
    after = before - 3 * (FEET - 15) / 45 + rng.normal(0, 0.3, before.shape)
    paired = difference_band(FEET, after, before)
    loose = difference_band(FEET, after, before, paired=False)
    assert paired.mean == pytest.approx(loose.mean)
    assert paired.excludes_zero() == (False, True, True, True, True)
    assert not any(loose.excludes_zero())


def test_two_groups_by_welch():
    a, b = paths(5, seed=1), paths(8, sd=3, seed=2)
    curve = difference_band(FEET, a, b, paired=False)
    for i in range(5):
        t = stats.ttest_ind(a[:, i], b[:, i], equal_var=False).confidence_interval(0.95)
        assert (curve.pointwise_low[i], curve.pointwise_high[i]) == pytest.approx(t)
    assert curve.n_items == 13
    assert curve.n_at == (5,) * 5


def test_gaps_are_per_distance():
    y = paths(4)
    y[0, 2] = np.nan
    y[1:, 3] = np.nan
    y[:, 4] = np.nan
    curve = band(FEET, y)
    assert curve.n_at == (4, 4, 3, 1, 0)
    assert curve.mean[2] == pytest.approx(np.nanmean(y[:, 2]))
    assert curve.mean[3] == pytest.approx(y[0, 3])
    assert (curve.pointwise_low[3], curve.simultaneous_high[3]) == (None, None)
    assert (curve.mean[4], curve.pointwise_low[4]) == (None, None)
    numbers = [v for ends in (curve.mean, curve.pointwise_low) for v in ends if v is not None]
    assert np.isfinite(numbers).all()


def test_items_that_agree_exactly_have_no_range():
    curve = band(FEET, np.tile([10, 6, 7, 12, 18.0], (3, 1)))
    assert curve.mean == (10, 6, 7, 12, 18)
    assert curve.pointwise_low == (None,) * 5
    assert not any(curve.excludes_zero())


@pytest.mark.parametrize("n", [0, 1])
def test_too_few_items(n):
    y = np.ones((n, 5))
    assert band(FEET, y) == Undefined("too-few-items", n, "mean path")
    assert isinstance(difference_band(FEET, y, y), Undefined)
    assert isinstance(difference_band(FEET, y, paths(), paired=False), Undefined)


def test_shapes_that_do_not_fit():
    with pytest.raises(ValueError, match="items, 5"):
        band(FEET, np.ones((3, 4)))
    with pytest.raises(ValueError, match="paired"):
        difference_band(FEET, paths(3), paths(4))


def test_two_items_are_enough_for_a_wide_band():
    assert isinstance(band(FEET, paths(2)), PathBand)


def test_a_breakpoint_is_only_as_fine_as_the_points():
    assert breakpoint_within(FEET, [10, 6, 7, 12, 18]) == Breakpoint(30, 6, 15)
    assert breakpoint_within([0, 30, 35, 60], [20, 10, 8, 15]) == Breakpoint(35, 8, 25)
    assert breakpoint_within([0, 30, 35, 60], [20, 10, np.nan, 15]) == Breakpoint(30, 10, 30)


@pytest.mark.parametrize(
    ("feet", "boards"), [(FEET, range(5)), (FEET, range(5, 0, -1)), ([0, 60], [20, 10]), ([], [])]
)
def test_a_ball_that_never_turns_has_no_breakpoint(feet, boards):
    assert breakpoint_within(feet, boards) is None


def test_one_distance_is_enough_for_a_band():
    a, b = paths()[:, :1], paths(seed=2, shift=4)[:, :1]
    one = difference_band(FEET[:1], a, b, paired=False)
    t = stats.ttest_ind(a[:, 0], b[:, 0], equal_var=False).confidence_interval(0.95)
    assert (one.simultaneous_low[0], one.simultaneous_high[0]) == pytest.approx((t.low, t.high))
    alone = band(FEET[:1], a)
    assert alone.mean == pytest.approx((a.mean(),))
    assert isinstance(band(FEET[:0], a[:, :0]), Undefined)
    assert isinstance(difference_band(FEET[:0], a[:, :0], b[:, :0], paired=False), Undefined)


def test_where_each_distance_has_one_item_there_are_means_and_no_band():
    curve = band(FEET[:2], [[10.0, np.nan], [np.nan, 6.0]])
    assert (curve.mean, curve.n_at, curve.n_items) == ((10, 6), (1, 1), 2)
    assert curve.pointwise_low == curve.simultaneous_high == (None, None)


def test_only_distances_with_a_range_share_the_error():
    """Of three distances the last has one reading: the band is Bonferroni's over two."""
    y = paths(4)[:, :3]
    y[1:, 2] = np.nan
    curve = band(FEET[:3], y)
    ends = stats.ttest_1samp(y[:, 0], 0).confidence_interval(1 - 0.05 / 2)
    assert (curve.simultaneous_low[0], curve.simultaneous_high[0]) == pytest.approx(tuple(ends))


def test_two_items_on_either_side_are_a_group():
    a, b = paths(2, seed=3), paths(2, sd=3, seed=4)
    curve = difference_band(FEET, a, b, paired=False)
    t = stats.ttest_ind(a[:, 0], b[:, 0], equal_var=False).confidence_interval(0.95)
    assert (curve.pointwise_low[0], curve.pointwise_high[0]) == pytest.approx((t.low, t.high))
