"""A difference of two groups against printed and certified values."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import scipy

from explainer.analysis.difference import welch
from explainer.analysis.result import Estimate

Digits = Callable[[float, float], float]

# Cushny & Peebles 1905, as in Student 1908 and R's datasets::sleep: extra hours under two drugs,
# taken as two groups.
DRUG_1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
DRUG_2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


def test_sleep_by_welch() -> None:
    """afex's compare.2.vectors(sleep) prints Welch t −1.861, df 17.78, p .07939.

    The interval is R's t.test(extra ~ group), from memory.
    """
    e = welch(DRUG_1, DRUG_2)
    assert isinstance(e, Estimate) and e.se is not None
    assert e.value / e.se == pytest.approx(-1.861, abs=5e-4)
    assert e.df == pytest.approx(17.78, abs=5e-3)
    assert e.p == pytest.approx(0.07939, abs=5e-6)
    assert (e.at95.low, e.at95.high) == pytest.approx((-3.3654832, 0.2054832), abs=5e-8)


def test_silver_of_nist(digits: Digits) -> None:
    """NIST StRD, AtmWtAg: two instruments, 24 readings each, seven constant leading digits.

    With groups of one size Welch's t² is the certified F of the analysis of variance.
    """
    path = Path(scipy.__file__).parent / "stats/tests/data/nist_anova/AtmWtAg.dat"
    rows = np.array([line.split() for line in path.read_text().splitlines()[60:108]], dtype=float)
    one, two = (rows[rows[:, 0] == g, 1] for g in (1, 2))
    e = welch(one, two)
    assert isinstance(e, Estimate) and e.se is not None
    assert (len(one), len(two)) == (24, 24)
    assert digits((e.value / e.se) ** 2, 1.59467335677930e01) >= 9
