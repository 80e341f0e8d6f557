"""Outlier rules against printed results."""

import numpy as np
import pytest

from explainer.analysis.outliers import flag, generalized_esd

# Rosner 1983, Technometrics 25:165, table 1; as tabulated in the NIST/SEMATECH e-Handbook,
# section 1.3.5.17.3, and in CRAN package climtrends.
ROSNER = [
    -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58,
    1.65, 1.69, 1.70, 1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15,
    2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21,
    3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
]  # fmt: skip


def test_rosner_finds_three_outliers_where_the_first_two_steps_find_none():
    esd = generalized_esd(ROSNER, most=10)
    assert esd.count == 3
    assert sorted(esd.indices) == [51, 52, 53]
    # The first R does not exceed its λ: a test that stops there would report no outlier.
    assert esd.r[0] < esd.lam[0]
    assert esd.r[1] < esd.lam[1]
    assert esd.r[2] > esd.lam[2]


def test_rosner_statistics_and_critical_values():
    esd = generalized_esd(ROSNER, most=10)
    # Six decimals: CRAN climtrends, FindOutliersESDtest.
    assert esd.r[:3] == pytest.approx([3.118906, 2.942973, 3.179424], abs=5e-7)
    assert esd.lam[:3] == pytest.approx([3.158794, 3.151430, 3.143890], abs=5e-7)
    # Three decimals, cut not rounded: NIST e-Handbook 1.3.5.17.3, rows 1 to 10.
    nist_r = [3.118, 2.942, 3.179, 2.810, 2.815, 2.848, 2.279, 2.310, 2.101, 2.067]
    nist_lam = [3.158, 3.151, 3.143, 3.136, 3.128, 3.120, 3.111, 3.103, 3.094, 3.085]
    assert esd.r == pytest.approx(nist_r, abs=1e-3)
    assert esd.lam == pytest.approx(nist_lam, abs=1e-3)


def test_the_median_rule_on_the_example_of_leys():
    # Leys et al. 2013, J. Exp. Soc. Psychol. 49:764: median 7, MAD 5.1891 (value from memory).
    x = np.array([1, 3, 3, 6, 8, 10, 10, 1000.0])
    assert 1.4826 * np.median(np.abs(x - 7)) == pytest.approx(5.1891, abs=5e-5)
    assert flag(x).tolist() == [False] * 7 + [True]
    # 7 + 3·5.1891 = 22.567 is the edge: a reading just inside stays, one just past it goes.
    assert not flag([1, 3, 3, 6, 8, 10, 10, 22.56])[-1]
    assert flag([1, 3, 3, 6, 8, 10, 10, 22.58])[-1]
