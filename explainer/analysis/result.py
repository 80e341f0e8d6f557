"""The shape of an answer: a number with its likely ranges, and what it rests on.

Stage 2 is numbers only: arrays in, frozen results out.  A value that is not defined (zero
spread, too few items) is None with a reason code, never NaN.  Below the shapes stands the way
to them from a number and its standard error: Student's t, and Fisher's z for correlations.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from scipy.special import ndtri, stdtr, stdtrit

#: The ranges every estimate carries: what is shown, equivalence, and "leans".
LEVELS = (0.95, 0.90, 0.80)


@dataclass(frozen=True)
class Interval:
    """A likely range, in the unit of its estimate; ``level`` is its confidence (0.95)."""

    low: float
    high: float
    level: float

    def excludes(self, value: float) -> bool:
        """True when ``value`` lies outside the closed range."""
        return value < self.low or value > self.high

    def inside(self, low: float, high: float) -> bool:
        """True when the whole range lies in [low, high]."""
        return self.low >= low and self.high <= high

    def outside(self, low: float, high: float) -> bool:
        """True when no part of the range lies in [low, high]."""
        return self.high < low or self.low > high


@dataclass(frozen=True)
class Estimate:
    """A number with its 95, 90 and 80 per cent ranges.

    ``value`` in the unit of the input; ``se`` and ``df`` of the t-distribution behind the
    ranges where there is one; ``p`` two-sided against ``null``; ``n_items`` the number of
    independent items it rests on.
    """

    value: float
    at95: Interval
    at90: Interval
    at80: Interval
    p: float | None
    n_items: int
    method: str
    se: float | None = None
    df: float | None = None
    null: float = 0.0


@dataclass(frozen=True)
class Undefined:
    """A result that does not exist, and why: a code and the counts that explain it."""

    why: str
    """``too-few-items``, ``no-spread``, ``no-pairs``, ``only-averages``, …"""
    n_items: int
    method: str = ""
    value: float | None = None
    """The best estimate, where one exists without a range."""


def t_quantile(level: float, df: float) -> float:
    """Half-width, in standard errors, of a two-sided range at ``level``."""
    return float(stdtrit(df, (1 + level) / 2))


def t_p(t: float, df: float) -> float:
    """Two-sided p of a t statistic."""
    return float(2 * stdtr(df, -abs(t)))


def t_estimate(value: float, se: float, df: float, n_items: int, method: str) -> Estimate:
    """Value ± t·se at every level, p against 0; without any scatter (se = 0) the value alone."""
    p = t_p(value / se, df) if se > 0 else float(value == 0)
    at95, at90, at80 = _ranges(lambda level: t_quantile(level, df) * se, value)
    return Estimate(value, at95, at90, at80, p, n_items, method, se, df)


def widened(e: Estimate, extra_sd: float) -> Estimate:
    """``e`` with an error of known SD ``extra_sd`` (in its unit) that its scatter does not show.

    Variances add; the degrees of freedom are Satterthwaite's, the known part having no end of them.
    An estimate without a standard error is handed back as it is.
    """
    if e.se is None or e.df is None or extra_sd <= 0:
        return e
    se = math.hypot(e.se, extra_sd)
    df = e.df * (se / e.se) ** 4 if e.se > 0 else 1e9
    wide = t_estimate(e.value, se, min(df, 1e9), e.n_items, e.method)
    return replace(wide, method=f"{e.method}, with an error shared by all at a checkpoint")


def r_estimate(
    r: float, se_z: float, p: float | None, n_items: int, method: str, df: float | None = None
) -> Estimate:
    """A correlation with ranges tanh(atanh r ± z·se_z) (Fisher 1921).

    An infinite ``se_z`` leaves the range from −1 to 1; |r| = 1 leaves none to either side.
    """
    if abs(r) >= 1:
        at95, at90, at80 = (Interval(r, r, level) for level in LEVELS)
        return Estimate(r, at95, at90, at80, p, n_items, method, df=df)
    z = math.atanh(r)
    at95, at90, at80 = (
        Interval(math.tanh(i.low), math.tanh(i.high), i.level)
        for i in _ranges(lambda level: float(ndtri((1 + level) / 2)) * se_z, z)
    )
    return Estimate(r, at95, at90, at80, p, n_items, method, df=df)


def r_p(r: float, df: float) -> float:
    """Two-sided p of a correlation with ``df`` degrees of freedom, by t = r·√(df/(1 − r²))."""
    rest = (1 - r) * (1 + r)
    return 0.0 if rest <= 0 else t_p(r * math.sqrt(df / rest), df)


def pooled_df(se_a: float, df_a: float, se_b: float, df_b: float) -> float:
    """Degrees of freedom of √(se_a² + se_b²) (Satterthwaite 1946; Welch 1947)."""
    total = math.hypot(se_a, se_b)
    if total == 0:
        return df_a + df_b
    a, b = (se_a / total) ** 2, (se_b / total) ** 2
    return 1 / (a * a / df_a + b * b / df_b)


def _ranges(reach: Callable[[float], float], middle: float) -> list[Interval]:
    """The ranges at all ``LEVELS``; ``reach`` gives the half-width for a level."""
    return [Interval(middle - reach(level), middle + reach(level), level) for level in LEVELS]
