"""Does a number lie where a claim needs it, between two limits either of which may be open?

The intersection-union form of two one-sided tests (Schuirmann 1987; Berger & Hsu 1996, Statistical
Science 11, 283): the whole 90% range inside the zone shows it at the 5% level.
"""

from __future__ import annotations

import math
from dataclasses import replace

from scipy.special import ndtri, stdtr

from explainer.analysis.result import Estimate, Interval, t_p

Ends = tuple[float | None, float | None]


def closed(zone: Ends) -> tuple[float, float]:
    """The zone with its open ends at infinity."""
    low, high = zone
    return (-math.inf if low is None else low, math.inf if high is None else high)


def p_outside(e: Estimate, zone: Ends) -> float | None:
    """p of the test that the value lies in the zone, small where it lies outside.

    At a zone narrower than its standard error a 90% range may lie outside by chance more often
    than one time in twenty; this is P(T ≥ (d − h)/se) + P(T ≥ (d + h)/se) for a value d from the
    middle of a zone of half-width h, which holds its level.  None without a standard error.
    """
    if e.se is None or e.df is None or e.se <= 0:
        return None
    low, high = closed(zone)
    if math.isinf(low) and math.isinf(high):
        return 1.0
    if math.isinf(low) or math.isinf(high):
        past = e.value - high if math.isinf(low) else low - e.value
        p = t_p(past / e.se, e.df) / 2
        return p if past > 0 else 1 - p
    half, away = (high - low) / 2, abs(e.value - (low + high) / 2)
    first, second = ((away + way * half) / e.se for way in (-1, 1))
    return sum(t_p(t, e.df) / 2 if t > 0 else 1 - t_p(t, e.df) / 2 for t in (first, second))


def p_inside(e: Estimate, zone: Ends) -> float | None:
    """The larger p of the two one-sided tests that the value lies inside the zone."""
    if e.se is None or e.df is None or e.se <= 0:
        return None
    low, high = closed(zone)
    rooms = [room for room in (e.value - low, high - e.value) if math.isfinite(room)]
    return max((float(stdtr(e.df, -room / e.se)) for room in rooms), default=0.0)


#: Half-width of a 90% range in standard errors.
Z90 = float(ndtri(0.95))


def with_error(r: Estimate, margin: float) -> tuple[Estimate, Ends]:
    """A correlation and a margin of it where it has a standard error: on Fisher's z.

    As it is where it has one already, or where its range or the margin ends at a perfect link.
    """
    if r.se is not None or max(map(abs, (r.value, r.at90.low, r.at90.high, margin))) >= 1:
        return r, (-margin, margin)
    at90, at80 = (replace(i, low=math.atanh(i.low), high=math.atanh(i.high))
                  for i in (r.at90, r.at80))  # fmt: skip
    se, edge = (at90.high - at90.low) / 2 / Z90, math.atanh(margin)
    z = replace(r, value=math.atanh(r.value), at90=at90, at80=at80, se=se, df=math.inf)
    return z, (-edge, edge)


def moved(e: Estimate, by: float) -> Estimate:
    """The estimate with ``by`` added to it and to its ranges: a mean from a deviation."""
    def shifted(i: Interval) -> Interval:
        return Interval(i.low + by, i.high + by, i.level)

    return replace(e, value=e.value + by, at95=shifted(e.at95), at90=shifted(e.at90),
                   at80=shifted(e.at80))  # fmt: skip


def ratio_percent(e: Estimate) -> Estimate:
    """An estimate of a log ratio as a change in percent: 100·(exp(x) − 1), p unchanged.

    The back-transformed mean is the change of the geometric mean (Bland & Altman 1996, BMJ 312,
    1079).  ``se`` and ``df`` are left out: they belong to the log.
    """
    def back(x: float) -> float:
        return 100 * math.expm1(min(x, 700.0))

    def turned(i: Interval) -> Interval:
        return Interval(back(i.low), back(i.high), i.level)

    return replace(e, value=back(e.value), at95=turned(e.at95), at90=turned(e.at90),
                   at80=turned(e.at80), se=None, df=None)  # fmt: skip


