"""Power and sample size against printed values."""

from __future__ import annotations

import math

import pytest

from explainer.analysis import power


def test_one_sample_of_the_r_package_pwr() -> None:
    """statsmodels' test_power.py holds pwr.t.test(type = "one.sample")."""
    assert power.power_mean(20, 0.2) == pytest.approx(0.1359562888, abs=5e-10)
    assert power.power_mean(30, 1.0) == pytest.approx(0.9995636, abs=5e-8)


def test_two_samples_of_rs_help_page() -> None:
    """R's power.t.test(n = 20, delta = 1) prints .8689528, from memory, without the far tail."""
    assert power.power_difference(20, 20, 1.0) == pytest.approx(0.8689530, abs=5e-8)
    assert power.power_difference(20, 20, 1.0) == pytest.approx(0.8689528, abs=5e-7)
    # R prints 22.02110 per group for a power of .9 (from memory): 23 whole ones.
    assert power.power_difference(22.0211, 22.0211, 1.0) == pytest.approx(0.9, abs=5e-7)
    assert power.items_for_difference(1.0, 1.0, power=0.9) == 23
    # Cohen 1988, table 2.4.1: 64 on each side for d = .5 at 80%.
    assert power.items_for_difference(0.5, 1.0) == 64


def test_items_needed() -> None:
    """Cohen 1988 in pwr: paired d = .5 needs 33.37; r = .3 84.07 and r = .5 28.25 (from memory)."""
    assert power.power_mean(33.37, 0.5) == pytest.approx(0.8, abs=5e-5)
    assert power.items_for_mean(0.5, 1.0) == 34
    assert power.power_r(84.07, 0.3) == pytest.approx(0.8, abs=5e-5)
    assert power.items_for_r(0.3) == 85
    assert power.power_r(28.25, 0.5) == pytest.approx(0.8, abs=5e-5)
    assert power.items_for_r(0.5) == 29


@pytest.mark.parametrize(
    ("n", "paired", "groups"),
    [(4, 2.13, 2.38), (6, 1.44, 1.80), (8, 1.16, 1.51), (10, 1.00, 1.32), (20, 0.66, 0.91)],
)
def test_smallest_effects(n: int, paired: float, groups: float) -> None:
    """80% at 5%, in standard deviations; the same from statsmodels' TTestPower.solve_power."""
    assert power.smallest_mean_effect(n, 1.0) == pytest.approx(paired, abs=6e-3)
    # Of two sides alike Welch's range has the degrees of freedom of both, n + n - 2.
    two = power.smallest_mean_effect(2 * n - 1, math.sqrt(2 / n * (2 * n - 1)))
    assert two == pytest.approx(groups, abs=6e-3)


def test_items_to_show_that_there_is_no_relation() -> None:
    """TOSTER's formula for equivalence of a correlation with margin .3: 93 at 80% (Goertzen &
    Cribbie 2010; formula ((z₁₋α + z₁₋β⁄₂)/atanh Δ)² + 3)."""
    assert power.items_for_no_r(0.3) == 93
