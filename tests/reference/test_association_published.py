"""Correlation and line against printed and certified values."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import scipy
from scipy import stats

from explainer.analysis.association import leave_one_out_r, pearson, slope, spearman
from explainer.analysis.result import Estimate

Digits = Callable[[float, float], float]

# Hollander & Wolfe 1973, Nonparametric Statistical Methods, p. 185 f.: lightness of 9 lots of
# canned tuna and a panel's score; the example of R's help page cor.test.
LIGHTNESS = [44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1]
SCORE = [2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8]


def test_tuna_by_pearson() -> None:
    """R prints r, p .1082 and the range for cor.test(x, y); p's further digits are from memory."""
    e = pearson(LIGHTNESS, SCORE)
    assert isinstance(e, Estimate)
    assert e.value == pytest.approx(0.5711816, abs=5e-8)
    assert (e.at95.low, e.at95.high) == pytest.approx((-0.1497426, 0.8955795), abs=5e-8)
    assert e.p == pytest.approx(0.1081731, abs=5e-8)
    assert (e.df, e.n_items) == (7, 9)


def test_tuna_by_spearman() -> None:
    """r_s = 1 − 6·48/720 by hand; its exact p counts all 9! orders, as R's does (from memory)."""
    e = spearman(LIGHTNESS, SCORE)
    assert isinstance(e, Estimate)
    assert e.value == pytest.approx(0.6, abs=1e-12)
    assert e.p == pytest.approx(0.0967978, abs=5e-8)
    # scipy's default is Student's approximation, which we would give beyond nine items.
    assert stats.spearmanr(LIGHTNESS, SCORE).pvalue == pytest.approx(0.0876228, abs=5e-8)


def test_tuna_by_kendall_is_what_the_help_page_prints() -> None:
    """Confirms the data: R's page prints p .05972 one-sided for Kendall's tau."""
    two_sided = stats.kendalltau(LIGHTNESS, SCORE, method="exact").pvalue
    assert two_sided == pytest.approx(0.1194389, abs=5e-8)
    assert two_sided / 2 == pytest.approx(0.05972, abs=5e-6)


def test_tuna_without_each_lot() -> None:
    """The range .484 to .852, worked out once by leaving each lot out of numpy's corrcoef."""
    each = leave_one_out_r(LIGHTNESS, SCORE)
    by_hand = [np.corrcoef(np.delete(LIGHTNESS, i), np.delete(SCORE, i))[0, 1] for i in range(9)]
    assert each == pytest.approx(by_hand, abs=1e-12)
    assert (each.min(), each.max()) == pytest.approx((0.484, 0.852), abs=5e-4)


def test_spearmans_standard_error() -> None:
    """Bonett & Wright 2000, Psychometrika 65:23: SE of z is √((1 + r²/2)/(n − 3))."""
    e = spearman(LIGHTNESS, SCORE)
    assert isinstance(e, Estimate)
    half = 1.959963984540054 * ((1 + 0.6**2 / 2) / 6) ** 0.5
    assert (e.at95.low, e.at95.high) == pytest.approx(
        (np.tanh(np.arctanh(0.6) - half), np.tanh(np.arctanh(0.6) + half)), abs=1e-12
    )


@pytest.mark.parametrize(
    ("n", "critical"), [(4, 0.950), (5, 0.878), (6, 0.811), (8, 0.707), (10, 0.632)]
)
def test_the_smallest_r_that_counts_at_5_per_cent(n: int, critical: float) -> None:
    """Fisher & Yates, Statistical Tables, table VII (from memory)."""
    x = np.arange(n) - (n - 1) / 2
    other = np.cos(np.arange(n) * 2.0)
    other -= other.mean() + x * (x @ (other - other.mean())) / (x @ x)
    for r, counts in ((critical - 0.001, False), (critical + 0.001, True)):
        y = r * x / np.linalg.norm(x) + (1 - r**2) ** 0.5 * other / np.linalg.norm(other)
        e = pearson(x, y)
        assert isinstance(e, Estimate) and e.p is not None
        assert e.value == pytest.approx(r, abs=1e-12)
        assert (e.p < 0.05) is counts


@pytest.mark.parametrize(("n", "strong"), [(10, 0.859), (6, 0.933)])
def test_the_r_that_is_needed_for_strong(n: int, strong: float) -> None:
    """tanh(atanh .5 + 1.96/√(n − 3)): how large r must be for an inner limit of .5."""
    assert np.tanh(np.arctanh(0.5) + 1.959963984540054 / (n - 3) ** 0.5) == pytest.approx(
        strong, abs=5e-4
    )


def test_nist_norris_line(digits: Digits) -> None:
    """NIST StRD, linear regression, Norris: certified slope, its standard deviation, and R²."""
    path = Path(scipy.__file__).parent / "stats/tests/data/nist_linregress/Norris.dat"
    rows = [line.split() for line in path.read_text().splitlines()[60:96]]
    y, x = np.array(rows, dtype=float).T
    line, r = slope(x, y), pearson(x, y)
    assert isinstance(line, Estimate) and isinstance(r, Estimate) and line.se is not None
    assert (line.n_items, line.df) == (36, 34)
    assert digits(line.value, 1.00211681802045) >= 12
    assert digits(line.se, 0.429796848199937e-03) >= 10
    assert digits(r.value**2, 0.999993745883712) >= 12
    assert digits((line.value / line.se) ** 2, 5436385.54079785) >= 10
