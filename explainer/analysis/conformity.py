"""Does a reading meet a limit, given how uncertain the reading is?

Guarded acceptance (JCGM 106:2012, ISO 14253-1): the limit is moved inwards by a guard band for
a pass and outwards for a fail; between the two it is too close to call.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from scipy.special import ndtr, ndtri, stdtr, stdtrit

from explainer.analysis.result import Undefined


@dataclass(frozen=True)
class Call:
    """One reading held against a limit."""

    call: Literal["pass", "fail", "too-close"]
    p_conform: float
    """Probability that the true value meets the limit, the reading being all that is known."""
    guard: float
    """Half-width of the too-close zone on either side of a limit, in the reading's unit."""


def judge_reading(
    value: float,
    u: float,
    at_least: float | None = None,
    at_most: float | None = None,
    df: float | None = None,
    confidence: float = 0.95,
) -> Call | Undefined:
    """Pass, fail or too close to call, for a limit on either side or both.

    ``u`` is the standard uncertainty of ``value`` (of a mean, where ``value`` is one), in its
    unit; the guard band is the one-sided ``confidence`` quantile times u, from Student's t with
    ``df`` where u itself rests on few readings.  ValueError without any limit or for u < 0;
    Undefined (``no-reading``, ``no-uncertainty``) for NaN.
    """
    if at_least is None and at_most is None:
        raise ValueError("a reading is judged against at_least, at_most or both")
    if not math.isfinite(value):
        return Undefined("no-reading", 0, "guarded acceptance")
    if not math.isfinite(u):
        return Undefined("no-uncertainty", 1, "guarded acceptance", value)
    if u < 0:
        raise ValueError(f"a standard uncertainty is not negative: {u}")
    low = -math.inf if at_least is None else at_least
    high = math.inf if at_most is None else at_most
    quantile = float(ndtri(confidence) if df is None else stdtrit(df, confidence))
    guard = quantile * u
    call: Literal["pass", "fail", "too-close"] = "too-close"
    if low + guard <= value <= high - guard:
        call = "pass"
    elif value + guard < low or value - guard > high:
        call = "fail"
    return Call(call, _p_conform(value, u, low, high, df), guard)


def _p_conform(value: float, u: float, low: float, high: float, df: float | None) -> float:
    """Probability, 0 to 1, that the true value lies in [low, high]; all in the reading's unit."""
    if u == 0:
        return 1.0 if low <= value <= high else 0.0
    above, below = (high - value) / u, (low - value) / u
    # Differences of tail areas on the nearer side keep their digits.
    if below > 0:
        above, below = -below, -above
    if df is None:
        return float(ndtr(above) - ndtr(below))
    return float(stdtr(df, above) - stdtr(df, below))


def standard_uncertainty(
    repeatability_sd: float | None, resolution: float | None, n: int = 1
) -> float | None:
    """√(sd²/n + resolution²/12): the uncertainty of a mean of ``n`` repeat readings.

    Repeating averages the scatter away but not the gauge's step, whose rounding error has
    standard deviation resolution/√12 (JCGM 100:2008, F.2.2.1).  None if neither part is known.
    """
    if repeatability_sd is None and resolution is None:
        return None
    return math.sqrt((repeatability_sd or 0.0) ** 2 / n + (resolution or 0.0) ** 2 / 12)
