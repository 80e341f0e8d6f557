"""Two one-sided tests: is it small enough not to matter?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy.typing as npt
from scipy.special import ndtr, ndtri, stdtr

from explainer.analysis.change import mean_change
from explainer.analysis.difference import welch
from explainer.analysis.result import Estimate, Undefined


@dataclass(frozen=True)
class Tost:
    """Equivalence within ±margin (Schuirmann 1987)."""

    p: float
    """The larger of the two one-sided p."""
    low90: float
    high90: float
    smallest_margin_shown: float
    """The smallest margin this data would support at 5%."""


def tost(d: npt.ArrayLike, margin: float) -> Tost | None:
    """Paired: ``d`` one change per item, ``margin`` > 0 in its unit; None where undefined."""
    return _of(mean_change(d), margin)


def tost_welch(a: npt.ArrayLike, b: npt.ArrayLike, margin: float) -> Tost | None:
    """Two groups of items, unequal spreads."""
    return _of(welch(a, b), margin)


def _of(e: Estimate | Undefined, margin: float) -> Tost | None:
    if isinstance(e, Undefined) or e.se is None or e.df is None:
        return None
    above = float(stdtr(e.df, -(e.value + margin) / e.se))
    below = float(stdtr(e.df, (e.value - margin) / e.se))
    low, high = e.at90.low, e.at90.high
    return Tost(max(above, below), low, high, max(abs(low), abs(high)))


def tost_r(r: float, n: int, margin: float) -> Tost | None:
    """A correlation within ±margin by Fisher's z (Goertzen & Cribbie 2010); None below 4 items."""
    if n < 4 or abs(r) >= 1 or not 0 < margin < 1:
        return None
    se = 1 / math.sqrt(n - 3)
    z, edge = math.atanh(r), math.atanh(margin)
    p = max(float(ndtr(-(z + edge) / se)), float(ndtr((z - edge) / se)))
    reach = float(ndtri(0.95)) * se
    low, high = math.tanh(z - reach), math.tanh(z + reach)
    return Tost(p, low, high, max(abs(low), abs(high)))
