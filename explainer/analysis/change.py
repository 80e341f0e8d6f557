"""One number per item, such as its change: how large is it over items, and could it be chance?

The t interval over items (Student 1908) decides; Fisher's sign-flip test (1935), which needs no
normal distribution, stands beside it.

Is it too small to matter?  "No difference was found" is not "there is no difference": only a whole
range inside a margin shows that, by two one-sided tests (Schuirmann 1987).  The margin comes from
the study, never from the data.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from explainer.analysis.limits import p_inside
from explainer.analysis.result import Estimate, Undefined, t_estimate
from explainer.analysis.sample import Array, mean_sd, readings

#: Above this many items the sign-flip test draws signs at random instead of trying them all.
EXACT_UP_TO = 20
DRAWS = 99_999
SEED = 20_1935
#: Sums closer than this share of the largest possible one are ties, whatever their last bits.
TIE = 1e-12


@dataclass(frozen=True)
class SignFlip:
    """The share of all sign patterns that give a sum at least as far from 0."""

    p: float
    """Two-sided."""
    exact: bool
    """True: every pattern was tried.  False: ``DRAWS`` patterns at random, with a fixed seed."""
    smallest_p: float
    """The least p that so many items can give: 2/2ⁿ over items that are not 0."""


def mean_change(d: npt.ArrayLike, *, floor_sd: float | None = None) -> Estimate | Undefined:
    """The mean of ``d``, one number per item, with t ranges over items (df n − 1), in d's unit.

    Cells that are not finite are left out and not counted.  Undefined: ``too-few-items`` below
    two; ``no-spread`` where all are the same, since scatter that was not seen has no known size.
    ``floor_sd`` is the spread to assume then, such as what a gauge's step hides: step·√(2/12) for
    a difference of two readings.
    """
    method = "t over items"
    values = readings(d)
    n = values.size
    if n < 2:
        return Undefined("too-few-items", n, method, float(values[0]) if n else None)
    mean, sd = mean_sd(values)
    if sd == 0:
        if floor_sd is None or not floor_sd > 0:
            return Undefined("no-spread", n, method, mean)
        sd, method = floor_sd, "t over items, with the spread that the gauge's step can hide"
    return t_estimate(mean, sd / math.sqrt(n), n - 1, n, method)


def sign_flip(d: npt.ArrayLike) -> SignFlip | None:
    """Fisher's test that the signs of ``d`` are chance; None without any item."""
    # As scipy's ``permutation_test(permutation_type="samples")``, which takes ten seconds for the
    # 2²⁰ patterns of 20 items; adding one item at a time to all sums so far takes ten milliseconds.
    values = readings(d)
    if values.size == 0:
        return None
    size = np.abs(values)
    largest = float(size.max())
    if largest == 0:
        return SignFlip(1.0, True, 1.0)
    smallest = 2.0 ** (1 - int(np.count_nonzero(size)))
    values, size = values / largest, size / largest
    seen = abs(float(values.sum())) - TIE * float(size.sum())
    if values.size <= EXACT_UP_TO:
        # The patterns come in mirrored pairs, so the first sign may stay as it is.
        sums = size[0] + _all_signs(size[1:])
        return SignFlip(float(np.mean(np.abs(sums) >= seen)), True, smallest)
    rng = np.random.default_rng(SEED)
    sums = np.zeros(DRAWS)
    for start in range(0, size.size, 8):
        few = _all_signs(size[start : start + 8])
        sums += few[rng.integers(0, few.size, DRAWS)]
    as_far = int(np.count_nonzero(np.abs(sums) >= seen))
    return SignFlip((as_far + 1) / (DRAWS + 1), False, max(smallest, 1 / (DRAWS + 1)))


def d_z(d: npt.ArrayLike) -> float | None:
    """The mean of ``d`` in standard deviations of ``d``; None where there is no spread."""
    values = readings(d)
    if values.size < 2:
        return None
    mean, sd = mean_sd(values)
    return mean / sd if sd > 0 else None


@dataclass(frozen=True)
class Tost:
    """Two one-sided tests; equivalent at 5% where the 90% range lies inside the margin."""

    p: float
    """The larger of the two."""
    p_low: float
    """Against "at or below −margin"."""
    p_high: float
    """Against "at or above margin"."""
    low90: float
    high90: float
    smallest_margin_shown: float
    """The least margin these data would have shown, for when the study names none."""


def tost_of(e: Estimate | Undefined, margin: float) -> Tost | None:
    """Is what ``e`` estimates, such as Welch's difference, within ±margin, in its unit?

    None where it has no standard error.  ValueError for a margin below 0.
    """
    if not margin >= 0:
        raise ValueError(f"a margin is a size, not {margin}")
    if isinstance(e, Undefined) or e.se is None or e.df is None:
        return None
    # As statsmodels' ``ttost_mean`` and ``ttost_ind``, which take raw columns only and so know
    # nothing of an assumed spread.
    p_low, p_high = p_inside(e, (-margin, None)), p_inside(e, (None, margin))
    assert p_low is not None and p_high is not None
    low, high = e.at90.low, e.at90.high
    return Tost(max(p_low, p_high), p_low, p_high, low, high, max(abs(low), abs(high)))


def _all_signs(size: Array) -> Array:
    """The 2ⁿ sums of ``size`` with every pattern of signs."""
    sums = np.zeros(1)
    for one in size:
        sums = np.concatenate((sums + one, sums - one))
    return sums
