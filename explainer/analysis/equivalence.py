"""Is it too small to matter?  Two one-sided tests against a margin (Schuirmann 1987).

"No difference was found" is not "there is no difference": only a whole range inside the margin
shows that.  The margin comes from the study, never from the data.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy.typing as npt
from scipy.special import ndtr, stdtr

from explainer.analysis.change import mean_change
from explainer.analysis.difference import welch
from explainer.analysis.result import Estimate, Undefined
from explainer.analysis.student import r_estimate


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


def tost(d: npt.ArrayLike, margin: float, *, floor_sd: float | None = None) -> Tost | None:
    """Is the mean of ``d``, one number per item, within ±margin?  Both in d's unit.

    None where the mean has no range (see ``mean_change``, also for ``floor_sd``).
    """
    return _of_t(mean_change(d, floor_sd=floor_sd), margin)


def tost_welch(
    a: npt.ArrayLike, b: npt.ArrayLike, margin: float, *, floor_sd: float | None = None
) -> Tost | None:
    """Is the mean of ``a`` within ±margin of that of ``b``?  None as for ``welch``."""
    return _of_t(welch(a, b, floor_sd=floor_sd), margin)


def tost_r(r: float, n: int, margin: float) -> Tost | None:
    """Is a correlation ``r`` over ``n`` items within ±margin (Goertzen & Cribbie 2010)?

    By Fisher's z with standard error 1/√(n − 3); None below four items or where r is not a
    correlation.
    """
    _check(margin)
    if n < 4 or not abs(r) <= 1:
        return None
    e = r_estimate(r, 1 / math.sqrt(n - 3), None, n, "Fisher z")
    z = math.atanh(r) if abs(r) < 1 else math.copysign(math.inf, r)
    edge = math.atanh(margin) if margin < 1 else math.inf
    if math.isinf(z) and math.isinf(edge):
        return _tost(e, 1.0, 1.0)
    root = math.sqrt(n - 3)
    return _tost(e, float(ndtr(-(z + edge) * root)), float(ndtr((z - edge) * root)))


def _of_t(e: Estimate | Undefined, margin: float) -> Tost | None:
    _check(margin)
    if isinstance(e, Undefined) or e.se is None or e.df is None:
        return None
    low = float(stdtr(e.df, -(e.value + margin) / e.se))
    high = float(stdtr(e.df, (e.value - margin) / e.se))
    return _tost(e, low, high)


def _tost(e: Estimate, p_low: float, p_high: float) -> Tost:
    low, high = e.at90.low, e.at90.high
    return Tost(max(p_low, p_high), p_low, p_high, low, high, max(abs(low), abs(high)))


def _check(margin: float) -> None:
    if not margin >= 0:
        raise ValueError(f"a margin is a size, not {margin}")
