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
    fewest: int = 2
    """How many a range takes at the least, where too few are why there is none."""


def few_or_flat(n: int, fewest: int, method: str, value: float | None = None) -> Undefined:
    """Why there is no range over ``n`` items: too few of them, or else no spread among them."""
    return Undefined("too-few-items" if n < fewest else "no-spread", n, method, value, fewest)


def free_r(r: float | None, df: int) -> float | None:
    """``r``, unless nothing is left free: then two points, or what is left of more, lie on one
    line whatever was read, and r is 1 or −1 by arithmetic."""
    return r if df > 0 else None


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


# A likely range as equally likely answers: quantiles of the confidence distribution behind it.
# Sets of outcomes are judged better than bands (Kay, Kola, Hullman & Munson 2016, "When (ish) is
# my bus?", CHI, on quantile dotplots; Hullman et al. 2018, on recall). The (i − ½)/n quantiles of
# a confidence distribution (Xie & Singh 2013, International Statistical Review 81; from memory)
# are n answers that the data hold equally likely, so long as the range is taken at its word.

#: How many answers are drawn: few enough to be counted (Kay et al. 2016 used 20 and 50).
MANY = 20
#: Up to so much may the widths of two ranges stray from what one curve gives them.
SLACK = 0.01
#: Degrees of freedom beyond which Student's t is the normal curve for this purpose.
NORMAL = 1e6
#: Of the way from 1 to ``NORMAL``: far finer than any dot is drawn.
HALVINGS = 40


def equally_likely(
    value: float, outer: Interval, inner: Interval | None, *, link: bool = False, n: int = MANY
) -> tuple[float, ...]:
    """``n`` equally likely answers in the unit of ``value``, lowest first.

    The curve is Student's t, its degrees of freedom read off the two ranges, each side of the
    estimate by itself where a range is lopsided; the normal curve without an ``inner`` range.
    ``link``: a correlation, whose ranges are even on Fisher's z (Fisher 1921).  Of a 95% range the
    first and the last of 20 are its ends.  Empty where there is nothing to spread, or where the
    two ranges fit no such curve: then they stem from something else, a count of items or a bound.
    """
    if link:
        ends = (value, outer.low, outer.high, *((inner.low, inner.high) if inner else ()))
        if not all(-1 < end < 1 for end in ends):
            return ()
        within = None if inner is None else _mapped(math.atanh, inner)
        found = equally_likely(math.atanh(value), _mapped(math.atanh, outer), within, n=n)
        return tuple(math.tanh(z) for z in found)
    below = _side(value - outer.low, value - inner.low if inner else None, outer, inner)
    above = _side(outer.high - value, inner.high - value if inner else None, outer, inner)
    if below is None or above is None:
        return ()
    shares = ((i - 0.5) / n for i in range(1, n + 1))
    return tuple(value + (below if p < 0.5 else above)(p) for p in shares)


def _mapped(scale: Callable[[float], float], at: Interval) -> Interval:
    return Interval(scale(at.low), scale(at.high), at.level)


def _side(
    outer: float, inner: float | None, at: Interval, within: Interval | None
) -> Callable[[float], float] | None:
    """From a share to a distance from the estimate, for one side of it; None where none fits."""
    if not math.isfinite(outer) or outer <= 0:
        return None
    df = NORMAL
    if inner is not None and within is not None:
        found = _freedom(outer, inner, at.level, within.level)
        if found is None:
            return None
        df = found
    scale = outer / _quantile((1 + at.level) / 2, df)
    return lambda share: scale * _quantile(share, df)


def _freedom(outer: float, inner: float, level: float, inner_level: float) -> float | None:
    """The degrees of freedom for which t is ``outer`` wide at ``level`` and ``inner`` at the
    other, from 1 to as good as infinite; None where there are none."""
    if not 0 < inner < outer:
        return None

    def ratio(df: float) -> float:
        return _quantile((1 + level) / 2, df) / _quantile((1 + inner_level) / 2, df)

    seen, widest, narrowest = outer / inner, ratio(1.0), ratio(NORMAL)
    if not narrowest * (1 - SLACK) <= seen <= widest * (1 + SLACK):
        return None
    if seen <= narrowest:
        return NORMAL
    if seen >= widest:
        return 1.0
    low, high = 1.0, NORMAL  # halved on a logarithmic scale: the ratio falls all the way
    for _ in range(HALVINGS):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if ratio(middle) > seen else (low, middle)
    return math.sqrt(low * high)


def _quantile(share: float, df: float) -> float:
    return float(ndtri(share) if df >= NORMAL else stdtrit(df, share))
