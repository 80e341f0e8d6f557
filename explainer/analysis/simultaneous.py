"""Several groups of items at once: every pair, ordered steps, and what their number costs.

Spreads are never taken as equal.  Pairs: Games & Howell (1976, Journal of Educational Statistics
1, 113), Welch's t with the studentized range; of the same items under each condition, every pair by
its own paired t, shared out after Bonferroni: Tukey's method in blocks takes all differences to
scatter alike, and errs where they do not (Maxwell 1980, J. Educ. Stat. 5, 269).  Steps: a linear
contrast of the means with Welch–Satterthwaite df, and Jonckheere's (1954) and Terpstra's (1952)
count beside it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from explainer.analysis.change import mean_change
from explainer.analysis.difference import welch
from explainer.analysis.result import (
    LEVELS,
    Estimate,
    Interval,
    Undefined,
    t_estimate,
    t_quantile,
    widened,
)
from explainer.analysis.sample import mean_sd, readings


@lru_cache(maxsize=4096)
def joint_quantile(level: float, groups: int, df: float) -> float:
    """Half-width, in standard errors of a difference, of Games and Howell's ranges."""
    from scipy.stats import studentized_range  # half a second that only a ranking has to wait for

    return float(studentized_range.ppf(level, groups, df)) / math.sqrt(2)


def _rounded_df(df: float) -> float:
    """Down to a tenth (to a whole number from 20 on), which widens a range by a hair at most.

    The quantile takes a tenth of a second to work out, and is kept.
    """
    return math.floor(df) if df >= 20 else max(1.0, math.floor(df * 10) / 10)


def games_howell_p(e: Estimate, groups: int) -> float | None:
    """p of one difference among all pairs of ``groups``; None without a standard error."""
    if e.se is None or e.df is None or e.se <= 0:
        return None
    return _beyond(abs(e.value) / e.se * math.sqrt(2), groups, e.df)


@lru_cache(maxsize=4096)
def _beyond(q: float, groups: int, df: float) -> float:
    """How often the studentized range is larger than ``q``: an integral over an integral, asked
    for again with every margin that a ranking is judged by."""
    from scipy.stats import studentized_range

    return float(studentized_range.sf(q, groups, df))


@dataclass(frozen=True)
class Pair:
    """One group less another: by itself, and among all pairs."""

    alone: Estimate
    joint: tuple[Interval, Interval, Interval]
    """At 95, 90 and 80%, of all pairs together."""
    p_joint: float | None


def pair(
    a: npt.ArrayLike, b: npt.ArrayLike, groups: int, floor_sd: float | None = None,
    shared_sd: float = 0.0,
) -> Pair | Undefined:  # fmt: skip
    """a less b, one number per item, as one of the pairs of ``groups`` groups.

    ``shared_sd`` is of an error, in the same unit, that all items of a group share.
    """
    return _among(
        welch(a, b, floor_sd=floor_sd), shared_sd,
        lambda level, df: joint_quantile(level, groups, _rounded_df(df)),
        lambda alone: games_howell_p(alone, groups),
    )  # fmt: skip


def pair_within(
    a: npt.ArrayLike, b: npt.ArrayLike, pairs: int, floor_sd: float | None = None,
    shared_sd: float = 0.0,
) -> Pair | Undefined:  # fmt: skip
    """a less b of the same items, in one order, as one of ``pairs`` pairs of conditions.

    ``floor_sd``: the least spread of a difference; ``shared_sd``: of an error, in the same unit,
    that all items share under a condition.
    """
    return _among(
        mean_change(readings(a) - readings(b), floor_sd=floor_sd), shared_sd,
        lambda level, df: t_quantile(1 - (1 - level) / pairs, df),
        lambda alone: None if alone.p is None else min(1.0, pairs * alone.p),
    )  # fmt: skip


def _among(
    alone: Estimate | Undefined, shared_sd: float, quantile: Callable[[float, float], float],
    p_of: Callable[[Estimate], float | None],
) -> Pair | Undefined:  # fmt: skip
    """A difference by itself, and among all pairs by a quantile (of a level and the df)."""
    if isinstance(alone, Undefined):
        return alone
    alone = widened(alone, shared_sd * math.sqrt(2))
    if alone.se is None or alone.df is None:
        return Undefined("no-spread", alone.n_items, alone.method, alone.value)
    joint = []
    for level in LEVELS:
        half = quantile(level, alone.df) * alone.se
        joint.append(Interval(alone.value - half, alone.value + half, level))
    return Pair(alone, (joint[0], joint[1], joint[2]), p_of(alone))


def least(pairs: Sequence[Pair], method: str) -> Estimate:
    """The least of several differences: all are above the low end, one is below the high end.

    Low end: the least of the single ranges, since "all are above" needs no correction (Berger
    1982).  High end: the least of the joint ones, since "one of them is below" does.
    """
    at = []
    for i, level in enumerate(LEVELS):
        alone = [(p.alone.at95, p.alone.at90, p.alone.at80)[i] for p in pairs]
        low = min(x.low for x in alone)
        high = min(p.joint[i].high for p in pairs)
        at.append(Interval(low, max(low, high), level))
    worst = min(pairs, key=lambda p: p.alone.value)
    n = sum({id(p): p.alone.n_items for p in pairs}.values())
    return Estimate(worst.alone.value, at[0], at[1], at[2], worst.alone.p, n, method)


def widest(pairs: Sequence[Pair], method: str) -> Estimate:
    """The largest difference of any two groups, as a size: for "no two differ by so much".

    High end: the largest of the single ranges (all pairs inside needs no correction); low end:
    the largest of the joint ones.
    """
    at = []
    for i, level in enumerate(LEVELS):
        alone = [(p.alone.at95, p.alone.at90, p.alone.at80)[i] for p in pairs]
        high = max(max(abs(x.low), abs(x.high)) for x in alone)
        low = max(_nearest(p.joint[i]) for p in pairs)
        at.append(Interval(min(low, high), high, level))
    most = max(pairs, key=lambda p: abs(p.alone.value))
    n = most.alone.n_items
    return Estimate(abs(most.alone.value), at[0], at[1], at[2], most.p_joint, n, method)


def _nearest(i: Interval) -> float:
    return 0.0 if i.low <= 0 <= i.high else min(abs(i.low), abs(i.high))


def slope_of_steps(groups: Sequence[npt.ArrayLike]) -> Estimate | Undefined:
    """Mean change per step over ordered groups: the linear contrast of their means.

    One number per item in each group, at least two items in each; df by Satterthwaite.
    """
    method = "linear contrast over the steps, unequal spreads"
    values = [readings(g) for g in groups]
    n = sum(v.size for v in values)
    if len(values) < 3 or min(v.size for v in values) < 2:
        return Undefined("too-few-items", n, method)
    weight = step_weights(len(values))
    value, parts = 0.0, []
    for w, v in zip(weight, values, strict=True):
        mean, sd = mean_sd(v)
        value += w * mean
        parts.append((w * w * sd * sd / v.size, v.size - 1))
    variance = sum(p for p, _ in parts)
    if variance == 0:
        return Undefined("no-spread", n, method, value)
    df = variance**2 / sum(p * p / d for p, d in parts)
    return t_estimate(value, math.sqrt(variance), df, n, method)


def step_weights(k: int) -> npt.NDArray[np.float64]:
    """Weights that make the contrast a slope per step: centred ranks over their sum of squares."""
    score = np.arange(k, dtype=np.float64) - (k - 1) / 2
    return np.asarray(score / float(score @ score), dtype=np.float64)


def jonckheere(groups: Sequence[npt.ArrayLike]) -> tuple[float, float]:
    """J, the pairs in the order of the steps (ties half), and its two-sided p.

    Normal approximation with the variance for ties (Hollander & Wolfe 1999, equation 6.19).
    """
    values = [readings(g) for g in groups]
    count = 0.0
    for i, first in enumerate(values):
        for second in values[i + 1 :]:
            gap = second[None, :] - first[:, None]
            count += float((gap > 0).sum()) + 0.5 * float((gap == 0).sum())
    sizes = np.array([v.size for v in values], dtype=float)
    ties = np.unique(np.concatenate(values), return_counts=True)[1].astype(float)
    n = float(sizes.sum())
    middle = (n * n - float((sizes**2).sum())) / 4

    def cubic(x: npt.NDArray[np.float64]) -> float:
        return float((x * (x - 1) * (2 * x + 5)).sum())

    def three(x: npt.NDArray[np.float64]) -> float:
        return float((x * (x - 1) * (x - 2)).sum())

    def two(x: npt.NDArray[np.float64]) -> float:
        return float((x * (x - 1)).sum())

    variance = (cubic(np.array([n])) - cubic(sizes) - cubic(ties)) / 72
    if n > 2:
        variance += three(sizes) * three(ties) / (36 * n * (n - 1) * (n - 2))
    variance += two(sizes) * two(ties) / (8 * n * (n - 1))
    if variance <= 0:
        return count, 1.0
    return count, float(2 * ndtr(-abs(count - middle) / math.sqrt(variance)))


# Several claims at once: some look real by luck (Holm 1979).

def holm(ps: Sequence[float | None]) -> tuple[float | None, ...]:
    """Step-down adjusted p-values, in the order given; None stays None and is not counted.

    The k-th smallest of m is multiplied by m − k + 1, never falls below the one before, and ends
    at 1.
    """
    # As statsmodels' ``multipletests``, which takes a twentieth of a second a call (it works out
    # more) and knows no None; see the package's docstring for what importing it costs.
    tested = [i for i, p in enumerate(ps) if p is not None and math.isfinite(p)]
    adjusted: list[float | None] = [None] * len(ps)
    highest = 0.0
    for rank, i in enumerate(sorted(tested, key=lambda i: ps[i] or 0.0)):
        highest = max(highest, min(1.0, (len(tested) - rank) * (ps[i] or 0.0)))
        adjusted[i] = highest
    return tuple(adjusted)
