"""A likely range as equally likely answers: quantiles of the confidence distribution behind it.

Sets of outcomes are judged better than bands (Kay, Kola, Hullman & Munson 2016, "When (ish) is my
bus?", CHI, on quantile dotplots; Hullman et al. 2018, on recall).  The (i − ½)/n quantiles of a
confidence distribution (Xie & Singh 2013, International Statistical Review 81; from memory) are n
answers that the data hold equally likely, so long as the range is taken at its word.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from scipy.special import ndtri, stdtrit

from explainer.analysis.result import Interval

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
