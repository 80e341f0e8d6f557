"""Two one-sided tests, Holm's correction and power against printed values."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pingouin
import pytest
from calibration.worlds import study_of

from explainer.analysis.change import mean_change, tost_of
from explainer.analysis.difference import welch
from explainer.analysis.result import r_estimate
from explainer.claims.judge import judge

# The docstring of pingouin.tost.
A = np.array([4, 7, 8, 6, 3, 2.0])
B = np.array([6, 8, 7, 10, 11, 9.0])


def test_paired_and_single_example() -> None:
    paired, single = tost_of(mean_change(A - B), 0.5), tost_of(mean_change(A), 4)
    assert paired is not None and single is not None
    assert paired.p == pytest.approx(0.954854, abs=5e-7)
    assert single.p == pytest.approx(0.825967, abs=5e-7)


def test_two_groups_example() -> None:
    """The docstring's p .965097 assumes equal spread; ours is Welch's, pingouin's correction."""
    ours = tost_of(welch(A, B), 1)
    assert ours is not None
    equal = pingouin.tost(A, B, 1)
    assert equal["pval"].iloc[0] == pytest.approx(0.965097, abs=5e-7)
    corrected = pingouin.tost(A, B, 1, correction=True)["pval"].iloc[0]
    assert ours.p == pytest.approx(corrected, abs=1e-12)
    assert ours.p == pytest.approx(0.965097, abs=1e-3)


def test_the_kind_gives_pingouins_numbers() -> None:
    """`no-difference` of two groups, and of one's pairs: pingouin's p with Welch's correction, and
    the .954854 its docstring prints for the pairs."""
    apart = pd.DataFrame({"ball": [f"B{i}" for i in range(12)], "by": ["a"] * 6 + ["b"] * 6,
                          "y": [*A, *B]})  # fmt: skip
    twice = apart.assign(ball=[f"B{i % 6}" for i in range(12)])
    corrected = pingouin.tost(A, B, 1, correction=True)["pval"].iloc[0]
    for frame, margin, p in ((apart, 1.0, corrected), (twice, 0.5, 0.954854)):
        test = {"kind": "no-difference", "measure": "y", "by": "by", "a": "a", "b": "b",
                "margin": margin}  # fmt: skip
        (v,) = judge(study_of(frame, test, measures={"y": {"unit": "board"}})).verdicts
        assert v.extra["p_tost"] == pytest.approx(p, abs=5e-7)
        assert v.estimate == pytest.approx(A.mean() - B.mean()) and v.code != "backed"


def test_correlation_example() -> None:
    """TOSTER's example TOSTr(n = 100, r = 0.02, ±0.3); its printed values are from memory."""
    at90 = r_estimate(0.02, 1 / math.sqrt(97), None, 100, "").at90
    assert (at90.low, at90.high) == pytest.approx((-0.14596, 0.18486), abs=5e-6)


@pytest.mark.parametrize(("margin", "fewest"), [(0.3, 32), (0.5, 12)])
def test_items_below_which_no_relation_cannot_be_shown(margin: float, fewest: int) -> None:
    """Even a correlation of exactly 0 needs so many: tanh(1.645/√(n − 3)) ≤ margin."""
    enough, short = (
        r_estimate(0.0, 1 / math.sqrt(n - 3), None, n, "").at90 for n in (fewest, fewest - 1)
    )
    assert enough.inside(-margin, margin)
    assert not short.inside(-margin, margin)
