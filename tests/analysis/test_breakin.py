import numpy as np
import pytest

from explainer.analysis.breakin import BreakIn, Shape, break_in, rates, shape
from explainer.analysis.result import Undefined

USE = np.array([0, 5, 10, 20, 40, 60.0])


def noisy(course, n=8, sd=0.5, seed=1):
    """``n`` items, each at its own level, around one course."""
    rng = np.random.default_rng(seed)
    course = np.asarray(course, dtype=float)
    return 50 + rng.normal(0, 5, (n, 1)) + course + rng.normal(0, sd, (n, course.size))


def test_the_share_is_a_ratio_of_means_not_a_mean_of_ratios():
    early, total = np.array([-8, -9, -10, -12.0]), np.array([-10, -10, -12, -15.0])
    fit = break_in(early, total)
    assert isinstance(fit, BreakIn)
    assert fit.share == pytest.approx(39 / 47)
    assert fit.share != pytest.approx(np.mean(early / total))
    assert fit.n_items == 4


def test_the_ranges_are_where_the_t_test_does_not_reject():
    rng = np.random.default_rng(3)
    total = rng.normal(-20, 3, 7)
    early = 0.7 * total + rng.normal(0, 2, 7)
    fit = break_in(early, total)
    for interval, t in ((fit.at95, 2.4469118), (fit.at90, 1.9431803), (fit.at80, 1.4397557)):
        for end in (interval.low, interval.high):
            d = early - end * total
            assert abs(d.mean() / (d.std(ddof=1) / np.sqrt(7))) == pytest.approx(t, rel=1e-5)


def test_no_share_of_a_change_that_may_be_nothing():
    fit = break_in([1, -1, 2, 0.5], [2, -3, 1, 0.5])
    assert isinstance(fit, Undefined)
    assert fit.why == "no-change"
    assert fit.n_items == 4


@pytest.mark.parametrize(
    ("early", "total"),
    [([], []), ([1.0], [2.0]), ([0, 0, 0], [0, 0, 0]), ([np.nan, 1], [1, np.nan])],
)
def test_too_little_for_a_share(early, total):
    assert isinstance(break_in(early, total), Undefined)


def test_pairs_with_a_gap_are_left_out_and_counted():
    full = break_in([-8, -9, -10, -12.0], [-10, -10, -12, -15.0])
    gap = break_in([-8, -9, -10, -12.0, np.nan], [-10, -10, -12, -15.0, -11])
    assert gap == full


def test_rates_are_per_use_and_paired():
    early, late = np.array([-10, -12, -9.0, -11]), np.array([-6, -5, -8.0, -7])
    fit = rates(early, late, span_early=10, span_late=50)
    d = early / 10 - late / 50
    assert fit.value == pytest.approx(d.mean())
    assert fit.at95.high < 0  # falls faster early
    with pytest.raises(ValueError, match="span"):
        rates(early, late, 0, 50)


@pytest.mark.parametrize(
    ("name", "course"),
    [
        ("linear", -0.4 * USE),
        ("levels-off", -15 * (1 - np.exp(-USE / 8))),
        ("step", np.where(USE >= 15, -12, 0)),
    ],
)
def test_a_clear_shape_is_named(name, course):
    fit = shape(USE, noisy(course))
    assert isinstance(fit, Shape)
    assert fit.name == fit.best == name
    assert fit.delta >= 4
    assert (fit.n_items, fit.n_rows) == (8, 48)


def test_where_it_bends():
    assert shape(USE, noisy(np.where(USE >= 15, -12, 0))).at == 15
    levels = shape(USE, noisy(-12 * np.minimum(USE / 20, 1)))
    assert levels.name == "levels-off"
    assert 15 <= levels.at <= 30


def test_scatter_alone_is_never_called_a_change():
    named = [shape(USE, noisy(0 * USE, seed=s)).name for s in range(20)]
    assert set(named) <= {None, "flat"}


def test_one_item_that_carries_the_shape_takes_its_name_away():
    use = np.arange(30.0)
    values = noisy(0 * use, n=3, sd=0.2, seed=5)
    values[0] += np.where(use >= 14.5, -30, 0)
    fit = shape(use, values)
    assert (fit.best, fit.at) == ("step", 14.5)
    assert fit.delta >= 4  # by the numbers alone it would be named
    assert fit.name is None


def test_identical_readings_are_flat():
    assert shape(USE, np.full((4, 6), 7.1)).name == "flat"


def test_a_perfect_line_is_a_line():
    fit = shape(USE, np.array([[1.0], [5], [9]]) + 0.1 * USE)
    assert fit.name == "linear"
    assert all(np.isfinite(v) for v in fit.aicc.values())


def test_gaps_in_the_table():
    values = noisy(-15 * (1 - np.exp(-USE / 8)))
    values[2, 3] = values[5, 0] = np.nan
    fit = shape(USE, values)
    assert fit.name == "levels-off"
    assert fit.n_rows == 46


def test_a_checkpoint_nobody_read_is_no_place_for_a_bend():
    values = noisy(np.where(USE >= 15, -12, 0))
    values[:, 2] = np.nan
    assert shape(USE, values) == shape(np.delete(USE, 2), np.delete(values, 2, axis=1))


def test_too_few_readings_to_tell_shapes_apart_name_none():
    values = np.full((2, 4), np.nan)
    values[0, :2], values[1, 2:] = [1, 2], [5, 9]
    fit = shape(USE[:4], values)
    assert (fit.name, fit.best, fit.delta) == (None, "flat", 0)


@pytest.mark.parametrize("scale", [1e-9, 1e9])
def test_the_unit_does_not_matter(scale):
    values = noisy(-0.4 * USE)
    assert shape(USE, values * scale).name == "linear"
    assert shape(USE, values * scale).delta == pytest.approx(shape(USE, values).delta)


@pytest.mark.parametrize(
    ("use", "values", "why"),
    [
        (USE[:3], np.ones((5, 3)), "too-few-checkpoints"),
        (USE, np.ones((1, 6)), "too-few-items"),
        (USE, np.full((5, 6), np.nan), "too-few-items"),
    ],
)
def test_too_little_for_a_shape(use, values, why):
    fit = shape(use, values)
    assert isinstance(fit, Undefined)
    assert fit.why == why
