"""What all readings of one chart share widens a level, and nothing else."""

import math

import numpy as np
import pytest

from explainer.analysis.change import mean_change
from explainer.analysis.readingerror import common_reading_error, widened
from explainer.analysis.result import Estimate, Interval


def test_it_is_the_rectangular_distributions_and_cancels_in_a_change():
    # JCGM 100:2008, 4.3.7: a half-width a has standard uncertainty a/√3.
    assert common_reading_error(0.5, reads_level=True) == 0.5 / math.sqrt(3)
    assert common_reading_error(0.5, reads_level=False) == 0.0
    with pytest.raises(ValueError, match="half-width"):
        common_reading_error(-0.5, reads_level=True)


def test_a_level_gets_wider_and_stays_where_it_is():
    level = mean_change([41.0, 43.5, 44.0, 39.0])
    wide = widened(level, 1.0)
    assert wide.value == level.value
    assert wide.se == pytest.approx(math.sqrt(level.se**2 + 1 / 3))
    for before, after, z in (
        (level.at95, wide.at95, 1.959964),
        (level.at90, wide.at90, 1.644854),
        (level.at80, wide.at80, 1.281552),
    ):
        reach = math.hypot(before.high - level.value, z / math.sqrt(3))
        assert after.high == pytest.approx(level.value + reach, abs=1e-6)
        assert after.low == pytest.approx(level.value - reach, abs=1e-6)
        assert after.level == before.level
    assert wide.p > level.p
    assert "reading error" in wide.method
    assert widened(level, 0.0) == level


def test_an_error_far_above_the_scatter_leaves_the_normal_range():
    wide = widened(mean_change([1.0, 1.0 + 1e-9]), 3.0)
    assert wide.at95.high - wide.value == pytest.approx(1.959964 * math.sqrt(3), rel=1e-6)


def test_what_has_no_standard_error_stays():
    r = Estimate(0.5, *(Interval(0.1, 0.8, v) for v in (0.95, 0.9, 0.8)), 0.04, 9, "r")
    assert widened(r, 1.0) == r


def test_simulated_levels_are_covered():
    """4 balls read off a chart whose axis is off by up to 1: 95% of the wide ranges hold."""
    rng = np.random.default_rng(7)
    held = bare = 0
    for _ in range(2000):
        level = mean_change(50 + rng.uniform(-1, 1) + rng.normal(0, 0.5, 4))
        bare += not level.at95.excludes(50)
        held += not widened(level, 1.0).at95.excludes(50)
    assert bare / 2000 < 0.85
    assert 0.93 <= held / 2000 <= 0.99
