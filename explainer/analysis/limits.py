"""Numbers, readings and whole populations of items held against limits.

Of a number: the intersection-union form of two one-sided tests (Schuirmann 1987; Berger & Hsu
1996, Statistical Science 11, 283): the whole 90% range inside the zone shows it at the 5% level.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import nctdtrit, ndtr, ndtri, stdtr, stdtrit

from explainer.analysis.result import LEVELS, Estimate, Interval, Undefined, t_p
from explainer.analysis.sample import mean_sd, readings

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


def percent_of_log(x: float) -> float:
    """A log ratio as a change in percent, 100·(exp(x) − 1); what has no end stays finite."""
    return 100 * math.expm1(min(x, 700.0))


def ratio_percent(e: Estimate) -> Estimate:
    """An estimate of a log ratio as a change in percent: 100·(exp(x) − 1), p unchanged.

    The back-transformed mean is the change of the geometric mean (Bland & Altman 1996, BMJ 312,
    1079).  ``se`` and ``df`` are left out: they belong to the log.
    """
    def turned(i: Interval) -> Interval:
        return Interval(percent_of_log(i.low), percent_of_log(i.high), i.level)

    return replace(e, value=percent_of_log(e.value), at95=turned(e.at95), at90=turned(e.at90),
                   at80=turned(e.at80), se=None, df=None)  # fmt: skip


# Does a reading meet a limit, given how uncertain the reading is?
# Guarded acceptance (JCGM 106:2012, ISO 14253-1): the limit is moved inwards by a guard band for
# a pass and outwards for a fail; between the two it is too close to call.

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


# Between what bounds does a stated share of all items lie, as far as a few of them tell?
# One-sided tolerance factors from the noncentral t (ISO 16269-6; NIST/SEMATECH e-Handbook
# 7.2.6.3), for readings that scatter normally; and, for any shape at all, how many items have to
# be read before the least of them is a bound (Wilks 1941).

def factor(n: int, share: float, confidence: float) -> float:
    """k: mean − k·s lies below the value that ``share`` of all items exceed, this surely.

    ValueError below two items and for a share or confidence that is not between 0 and 1.
    """
    if n < 2 or not (0 < share < 1 and 0 < confidence < 1):
        raise ValueError("a tolerance factor needs two items and shares between 0 and 1")
    root = math.sqrt(n)
    return float(nctdtrit(n - 1, float(ndtri(share)) * root, confidence)) / root


def reached_by(
    values: npt.ArrayLike, share: float, side: int, shared_sd: float = 0.0
) -> Estimate | Undefined:
    """The value that ``share`` of all such items reach or exceed (side 1; −1: do not exceed).

    In the unit of ``values``, one per item.  Its 90% range has a 95% tolerance bound at either
    end.  Undefined below two items or without any spread.  ``shared_sd``, in the same unit, is of
    an error that all values share: each end moves out by it as two independent parts add.
    """
    method = "one-sided tolerance factors, noncentral t"
    x = readings(values)
    if x.size < 2:
        return Undefined("too-few-items", x.size, method, float(x[0]) if x.size else None)
    mean, sd = mean_sd(x)
    if sd == 0:
        return Undefined("no-spread", x.size, method, mean)
    at = []
    middle = mean - side * float(ndtri(share)) * sd
    for level in LEVELS:
        far, near = (factor(x.size, share, (1 + way * level) / 2) for way in (1, -1))
        low, high = sorted((mean - side * far * sd, mean - side * near * sd))
        off = float(ndtri((1 + level) / 2)) * shared_sd
        at.append(Interval(middle - math.hypot(middle - low, off),
                           middle + math.hypot(high - middle, off), level) if off
                  else Interval(low, high, level))  # fmt: skip
    return Estimate(middle, at[0], at[1], at[2], None, x.size, method)


def items_for_any_shape(share: float, confidence: float = 0.95) -> int:
    """How many items, all of which meet a limit, show that ``share`` of all do (Wilks 1941)."""
    return math.ceil(math.log(1 - confidence) / math.log(share))


def limits_of_agreement(d: npt.ArrayLike) -> Estimate | Undefined:
    """How far apart 95 of 100 pairs of readings lie at most: |mean| + 1.96 s of differences ``d``.

    The farther of Bland & Altman's limits (1986, Lancet i, 307), with the exact bounds of both
    from the noncentral t (Carkeet 2015, Optometry and Vision Science 92, e71).  In d's unit.
    """
    method = "limits of agreement, bounds by the noncentral t"
    x = readings(d)
    if x.size < 2:
        return Undefined("too-few-items", x.size, method, float(abs(x[0])) if x.size else None)
    mean, sd = mean_sd(x)
    if sd == 0:
        return Undefined("no-spread", x.size, method, abs(mean))
    at = []
    for level in LEVELS:
        far, near = (factor(x.size, 0.975, (1 + way * level) / 2) for way in (1, -1))
        at.append(Interval(max(0.0, abs(mean) + near * sd), abs(mean) + far * sd, level))
    return Estimate(abs(mean) + float(ndtri(0.975)) * sd, at[0], at[1], at[2], None, x.size, method)


#: Where the shares between two steps differ by no more than this, they are settled.
SETTLED, STEPS = 1e-10, 20_000


def share_reached(
    before: npt.ArrayLike, after: npt.ArrayLike, places: npt.ArrayLike
) -> npt.NDArray[np.float64]:
    """The share of items that have reached something by each of ``places``, as 0 to 1.

    Each item got there somewhere past ``before`` and not past ``after`` (inf: never seen to;
    ``before`` −inf: it was there at its first reading), one entry per item.  The nonparametric
    maximum likelihood estimate for interval-censored times, by self-consistency (Turnbull 1976,
    J. R. Stat. Soc. B 38, 290).  Where all were read each time it is the plain share.
    """
    each = np.column_stack([np.asarray(before, dtype=float), np.asarray(after, dtype=float)])
    spans, items = np.unique(each, axis=0, return_counts=True)  # many got there between the same
    low, high = spans.T
    cuts = np.unique(np.concatenate([low, high, np.asarray(places, dtype=float)]))
    within = ((low[:, None] <= cuts[:-1]) & (cuts[1:] <= high[:, None])).astype(float)
    mass = np.full(len(cuts) - 1, 1.0 / max(1, len(cuts) - 1))
    for _ in range(STEPS):
        found = mass * ((items / (within @ mass)) @ within) / items.sum()
        done = float(np.abs(found - mass).max()) < SETTLED
        mass = found
        if done:
            break
    by = np.concatenate([[0.0], np.cumsum(mass)])
    return np.asarray(by[np.searchsorted(cuts, np.asarray(places, dtype=float))], dtype=np.float64)
