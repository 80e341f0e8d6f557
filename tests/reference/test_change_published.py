"""Means, their ranges and sign flips against printed and certified values."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import scipy

from explainer.analysis.change import d_z, mean_change, sign_flip
from explainer.analysis.result import Estimate
from explainer.analysis.sample import ROUNDING, mean_sd

Digits = Callable[[float, float], float]

# Darwin 1876, The Effects of Cross and Self Fertilisation, table XCVII: heights of 15 pairs of
# maize plants, in inches; as in R's HistData::ZeaMays (Rdatasets, csv/HistData/ZeaMays.csv).
CROSSED = [23.5, 12, 21, 22, 19.125, 21.5, 22.125, 20.375, 18.25, 21.625, 23.25, 21, 22.125, 23, 12]
SELFED = [17.375, 20.375, 20, 20, 18.375, 18.625, 18.625, 15.25, 16.5, 18, 16.25, 18, 12.75, 15.5,
          18]  # fmt: skip
DARWIN = np.array(CROSSED) - np.array(SELFED)


def test_darwins_maize_by_students_t() -> None:
    """Fisher 1935, The Design of Experiments, ch. III prints t 2.148 on 14 degrees of freedom.

    The further digits are R's t.test(ZeaMays$diff), from memory, and agree with scipy's.
    """
    e = mean_change(DARWIN)
    assert isinstance(e, Estimate) and e.se is not None
    assert e.value == pytest.approx(2.616667, abs=5e-7)
    assert e.value / e.se == pytest.approx(2.147987, abs=5e-7)
    assert e.p == pytest.approx(0.0497029, abs=5e-8)
    assert (e.at95.low, e.at95.high) == pytest.approx((0.0038992, 5.229434), abs=5e-7)
    assert (e.df, e.n_items) == (14, 15)
    assert d_z(DARWIN) == pytest.approx(2.147987 / 15**0.5, abs=5e-7)


def test_darwins_maize_by_fishers_sign_flips() -> None:
    """Fisher 1935, section 21: 1726 of 32768 sums are as large (value from memory).

    The two p straddle .05, so both are shown and the interval decides.
    """
    flips = sign_flip(DARWIN)
    assert flips is not None and flips.exact
    assert flips.p == 1726 / 32768
    assert flips.smallest_p == 2 / 2**15


@pytest.mark.parametrize(("n", "least"), [(4, 0.125), (5, 0.0625), (6, 0.03125)])
def test_the_smallest_p_of_few_items(n: int, least: float) -> None:
    flips = sign_flip(np.arange(1.0, n + 1))
    assert flips is not None
    assert flips.p == flips.smallest_p == least


def nist_anova(name: str) -> tuple[list[np.ndarray], float, float]:
    """Groups, and two certified numbers: degrees of freedom and residual standard deviation."""
    path = Path(scipy.__file__).parent / "stats/tests/data/nist_anova" / f"{name}.dat"
    text = path.read_text()
    df = next(line.split()[2] for line in text.splitlines() if line.startswith("Within "))
    sd = text.split("Certified Residual")[1].split()[2]
    rows = np.array([[float(w) for w in line.split()] for line in text.splitlines()[60:]])
    return [rows[rows[:, 0] == g, 1] for g in np.unique(rows[:, 0])], float(df), float(sd)


# With seven constant digits in front (SmLs04–06) a double keeps nine digits of the spread.
@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("SiRstv", 12), ("AtmWtAg", 9),
        ("SmLs01", 14), ("SmLs02", 14), ("SmLs03", 14),
        ("SmLs04", 9), ("SmLs05", 9), ("SmLs06", 9),
    ],
)  # fmt: skip
def test_spread_of_the_nist_anova_sets(name: str, asked: float, digits: Digits) -> None:
    """NIST StRD, one-way analysis of variance: the spread within groups comes from our sd."""
    groups, certified_df, certified_sd = nist_anova(name)
    df = sum(len(g) - 1 for g in groups)
    within = sum((len(g) - 1) * mean_sd(g)[1] ** 2 for g in groups)
    assert certified_df == df
    assert digits((within / df) ** 0.5, certified_sd) >= asked


@pytest.mark.parametrize("name", ["SmLs07", "SmLs08", "SmLs09"])
def test_thirteen_constant_digits_are_more_than_we_read(name: str) -> None:
    """Tenths on top of 1e12: at the limit below which deviations count as rounding, not spread.

    A difference of two readings carries such rounding, so the limit is a choice: no gauge shows
    thirteen digits.  Here the spread is lost, and never comes out as something larger.
    """
    groups, _, certified_sd = nist_anova(name)
    assert certified_sd <= ROUNDING * 1e12 * 1.000001
    assert all(mean_sd(g)[1] <= 1.01 * certified_sd for g in groups)


# NIST StRD, univariate summary statistics: the four generated sets, by their published rule.
@pytest.mark.parametrize(
    ("name", "values", "mean", "sd", "asked"),
    [
        ("NumAcc1", [10000001, 10000003, 10000002], 10000002, 1, 15),
        ("NumAcc2", [1.2, *[1.1, 1.3] * 500], 1.2, 0.1, 14),
        ("NumAcc3", [1000000.2, *[1000000.1, 1000000.3] * 500], 1000000.2, 0.1, 9),
        ("NumAcc4", [10000000.2, *[10000000.1, 10000000.3] * 500], 10000000.2, 0.1, 8),
    ],
)
def test_nist_numerical_accuracy(
    name: str, values: list[float], mean: float, sd: float, asked: float, digits: Digits
) -> None:
    got = mean_sd(np.array(values, dtype=float))
    assert digits(got[0], mean) >= 14
    assert digits(got[1], sd) >= asked
