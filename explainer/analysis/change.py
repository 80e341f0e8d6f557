"""The mean change over items, its t range, and the sign-flip test beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtr, stdtrit

from explainer.analysis.result import Estimate, Interval, Undefined

Array = npt.NDArray[np.float64]

#: All 2ⁿ signs are tried up to this many items; above, a seeded sample of them.
EXACT_TO = 20
SAMPLES = 200_000
SEED = 1935
METHOD = "mean over items, t range"


def mean_change(d: npt.ArrayLike, *, floor_sd: float | None = None) -> Estimate | Undefined:
    """Mean of ``d`` (one change per item, any unit; NaN left out) with Student's t ranges.

    d̄ ± t(n−1)·s/√n (Student 1908; summary measures: Matthews et al. 1990, BMJ 300:230).
    ``floor_sd`` is the least spread the gauge allows one change to have: it stands in for s
    where the items agree more closely than the gauge could tell.  Undefined: ``too-few-items``
    below two, ``no-spread`` where all agree and no floor is known.
    """
    values = np.asarray(d, dtype=np.float64)
    values = values[np.isfinite(values)]
    n = int(values.size)
    if n < 2:
        return Undefined("too-few-items", n, METHOD, float(values[0]) if n else None)
    mean = float(values.mean())
    sd = spread(values)
    if floor_sd is not None:
        sd = max(sd, floor_sd)
    if sd == 0.0:
        return Undefined("no-spread", n, METHOD, mean)
    return t_estimate(mean, sd / math.sqrt(n), n - 1, n, METHOD)


def t_estimate(
    value: float, se: float, df: float, n_items: int, method: str, null: float = 0.0
) -> Estimate:
    """``value`` ± t·se at 95, 90 and 80%, and the two-sided p against ``null``."""

    def interval(level: float) -> Interval:
        reach = float(stdtrit(df, (1 + level) / 2)) * se
        return Interval(value - reach, value + reach, level)

    p = float(2 * stdtr(df, -abs(value - null) / se))
    return Estimate(
        value, interval(0.95), interval(0.90), interval(0.80), p, n_items, method, se, df, null
    )


def spread(values: Array) -> float:
    """Sample standard deviation; 0 where values differ only by the rounding of floats."""
    if values.size < 2:
        return 0.0
    sd = float(values.std(ddof=1))
    return 0.0 if sd <= 1e-13 * float(np.max(np.abs(values))) else sd


def d_z(d: npt.ArrayLike) -> float | None:
    """Mean change over the standard deviation of changes (Cohen 1988); None without spread."""
    values = np.asarray(d, dtype=np.float64)
    values = values[np.isfinite(values)]
    sd = spread(values)
    return float(values.mean()) / sd if sd > 0 else None


@dataclass(frozen=True)
class SignFlip:
    """Fisher's randomisation test of a mean change."""

    p: float
    """Two-sided: the share of sign patterns with at least as large a |sum|."""
    exact: bool
    """False where a sample of patterns stands for all of them."""
    smallest_p: float
    """2/2ⁿ: what this many items could reach at best."""


def sign_flip(d: npt.ArrayLike) -> SignFlip | None:
    """Every way the items' changes could have had the other sign (Fisher 1935, §21).

    Exact up to 20 items; above, ``SAMPLES`` seeded patterns, the observed one counted.  None
    without items.
    """
    values = np.asarray(d, dtype=np.float64)
    values = values[np.isfinite(values)]
    n = int(values.size)
    if n == 0:
        return None
    largest = float(np.max(np.abs(values)))
    if largest == 0.0:
        return SignFlip(1.0, True, 2.0 / 2**n)
    # Equal sums must count as equal whatever order they were added in.
    values = values / largest
    observed = abs(float(values.sum())) - 1e-12 * n
    if n <= EXACT_TO:
        sums = np.zeros(1)
        for value in values[1:]:
            sums = np.concatenate([sums - value, sums + value])
        # The first sign can stay fixed: the other half mirrors this one.
        sums = np.abs(sums + values[0])
        return SignFlip(float(np.mean(sums >= observed)), True, 2.0 / 2**n)
    signs = np.random.default_rng(SEED).integers(0, 2, size=(SAMPLES, n), dtype=np.int8) * 2 - 1
    hits = int(np.sum(np.abs(signs @ values) >= observed))
    return SignFlip((hits + 1) / (SAMPLES + 1), False, 2.0 / 2**n)
