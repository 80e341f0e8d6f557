"""What part of it?  A ratio of two uncertain numbers, and its range (Fieller 1954).

Two questions are of this form.  How much of a change had happened by an early checkpoint: a ratio
of two means over the same items.  Does use move an item along the line that different items lie
on: the within slope as a share of the between slope, where 1 says that a ball brought to a reading
by use behaves as one that started with it.

The range is all ratios θ for which a − θb may be 0.  Where b itself may be 0, no ratio is too
large, and both ends are open (−inf, inf): then the data do not bound the ratio at all, or leave
out only a middle piece, which is not a range that can be shown.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from explainer.analysis import grouped
from explainer.analysis.change import mean_change
from explainer.analysis.result import (
    Estimate,
    Interval,
    Undefined,
    pooled_df,
    t_estimate,
    t_quantile,
    widened,
)
from explainer.analysis.sample import mean_sd, pairs


@dataclass(frozen=True)
class BreakInShare:
    """The share of the total change that had happened by the early checkpoint."""

    share: float
    """mean(early)/mean(total): 1 is all of it, above 1 an overshoot."""
    at95: Interval
    at90: Interval
    at80: Interval
    total: Estimate
    """The total change over items, in the measure's unit."""
    n_items: int
    method: str = "ratio of mean changes, Fieller"


def break_in(
    early: npt.ArrayLike, total: npt.ArrayLike, shared_sd: float = 0.0,
    group: npt.ArrayLike | None = None,
) -> BreakInShare | Undefined:  # fmt: skip
    """The share of each item's ``total`` change done ``early``, over items.

    With ``group``, the group of each item, both changes are means of the groups' means.

    ``early`` a_i = y at the named checkpoint − y at the start, ``total`` b_i = y at the end − y
    at the start, one pair per item; pairs with NaN are left out.  Undefined (``no-change``) unless
    the total change's 95% range excludes 0: a share of nothing has no meaning.  ``shared_sd`` is
    the SD of an error that all items share at a checkpoint, in y's unit: it does not show in their
    scatter, and the start is in both changes.
    """
    method = BreakInShare.method
    if group is not None:
        return _break_in_of_groups(early, total, shared_sd, group)
    a, b = pairs(early, total)
    change = mean_change(b)
    if isinstance(change, Estimate):
        change = widened(change, shared_sd * math.sqrt(2))
    share = float(a.mean() / b.mean()) if b.size and b.mean() != 0 else None
    if isinstance(change, Undefined):
        return Undefined(change.why, a.size, method, share)
    if not change.at95.excludes(0.0) or share is None:
        return Undefined("no-change", a.size, method, share)
    at95, at90, at80 = (fieller(a, b, level, shared_sd) for level in (0.95, 0.90, 0.80))
    return BreakInShare(share, at95, at90, at80, change, a.size)


def _break_in_of_groups(
    early: npt.ArrayLike, total: npt.ArrayLike, shared_sd: float, group: npt.ArrayLike
) -> BreakInShare | Undefined:
    """Fieller's range of a ratio of two means of groups' means; finite numbers only."""
    method = f"{BreakInShare.method}, each group counted once"
    a, b = np.asarray(early, float), np.asarray(total, float)
    change = grouped.mean_of_groups(b, group)
    total_of = float(grouped.group_means(b, group).mean())
    share = float(grouped.group_means(a, group).mean()) / total_of if total_of else None
    if isinstance(change, Undefined):
        return Undefined(change.why, a.size, method, share)
    change = widened(change, shared_sd * math.sqrt(2))
    if not change.at95.excludes(0.0) or share is None:
        return Undefined("no-change", a.size, method, share)
    seen = grouped.moments(a - share * b, b, group)
    assert seen is not None  # or there were no range of the change
    own = shared_sd**2
    v_rest = seen.var_x + own * (2 - 2 * share + 2 * share**2)
    at95, at90, at80 = (
        _solve(share, change.value, v_rest, seen.var_y + 2 * own,
               seen.cov + own * (1 - 2 * share), t_quantile(level, seen.df), level)
        for level in (0.95, 0.90, 0.80)
    )  # fmt: skip
    return BreakInShare(share, at95, at90, at80, change, a.size, method)


def break_in_of_one(
    early: float, total: float, sd: float, df: float, method: str
) -> BreakInShare | Undefined:
    """The same for a single item, each of whose three readings may be off by ``sd``.

    ``early`` and ``total`` as in ``break_in``, in y's unit, as is ``sd``, which is known on ``df``
    degrees of freedom.  The reading at the start is in both changes, so they share its error.
    Undefined (``no-change``) unless the total change is told from nothing at 95%.
    """
    change = t_estimate(total, sd * math.sqrt(2), df, 1, method)
    if not change.at95.excludes(0.0):
        return Undefined("no-change", 1, method, early / total if total else None)
    both, start = 2 * sd**2, sd**2
    at95, at90, at80 = (
        fieller_from(early, both, total, both, start, t_quantile(level, df), level)
        for level in (0.95, 0.90, 0.80)
    )
    return BreakInShare(early / total, at95, at90, at80, change, 1, method)


def rates_of_one(
    early: float, late: float, span_early: float, span_late: float, sd: float, df: float
) -> Estimate:
    """As ``rates``, for a single item whose three readings may each be off by ``sd``.

    The reading in the middle ends the one span and begins the other.  ValueError unless both
    spans are positive.
    """
    if span_early <= 0 or span_late <= 0:
        raise ValueError("a rate needs a positive span of use")
    one, other = 1 / span_early, 1 / span_late
    se = sd * math.sqrt((one + other) ** 2 + one**2 + other**2)
    return t_estimate(early * one - late * other, se, df, 1, "rates of one item")


def rates(
    early: npt.ArrayLike, late: npt.ArrayLike, span_early: float, span_late: float,
    group: npt.ArrayLike | None = None,
) -> Estimate | Undefined:  # fmt: skip
    """Early change per use minus late change per use: paired t over items, or over each ``group``'s
    once.

    ``early`` and ``late`` are each item's change over spans of ``span_early`` and ``span_late``
    uses (games); the result is in the measure's unit per use.  With a fall, a negative value
    says that it slows.  ValueError unless both spans are positive.
    """
    if span_early <= 0 or span_late <= 0:
        raise ValueError("a rate needs a positive span of use")
    if group is not None:
        each = np.asarray(early, float) / span_early - np.asarray(late, float) / span_late
        return grouped.mean_of_groups(each, group)
    a, b = pairs(early, late)
    return mean_change(a / span_early - b / span_late)


@dataclass(frozen=True)
class LineShare:
    """The within slope over the between slope."""

    share: float | None
    """None where the between slope is exactly 0."""
    at90: Interval
    """Both ends infinite where the between slope may be 0: the share is not bounded."""
    at80: Interval
    at95: Interval
    slope_difference: float
    """Between minus within (Mundlak 1978), the within slope freed from gauge scatter."""
    df: float
    """Of that difference, by Satterthwaite; also behind the ranges."""


def same_line(
    within_slope: float,
    within_se: float,
    within_df: float,
    between_slope: float,
    between_se: float,
    between_df: float,
    reliability: float = 1.0,
) -> LineShare:
    """Share of the line, from both slopes (y's unit per x's), their standard errors and df.

    ``reliability`` is the share of x's variance within items that is not gauge scatter, in
    (0, 1]: scatter in x flattens the within slope by that factor, so the slope and its standard
    error are divided by it (Carroll et al. 2006, Measurement Error in Nonlinear Models, ch. 3).
    ValueError outside (0, 1].  The two slopes are taken as independent.
    """
    if not 0 < reliability <= 1:
        raise ValueError(f"a reliability lies above 0 and up to 1, not at {reliability}")
    slope, se = within_slope / reliability, within_se / reliability
    df = pooled_df(se, within_df, between_se, between_df)

    def share_at(level: float) -> Interval:
        t = t_quantile(level, df)
        return fieller_from(slope, se * se, between_slope, between_se * between_se, 0.0, t, level)

    share = slope / between_slope if between_slope != 0 else None
    if share is not None and not math.isfinite(share):
        share = None
    return LineShare(
        share, share_at(0.90), share_at(0.80), share_at(0.95), between_slope - slope, df
    )


def fieller(
    a: npt.ArrayLike, b: npt.ArrayLike, level: float, shared_sd: float = 0.0
) -> Interval:
    """Range of mean(a)/mean(b) over items, from one (a, b) per item.

    Every θ at which the one-sample t test of a − θb (df n − 1) is not significant at ``level``.
    Pairs with a cell that is not finite are left out; with fewer than two both ends are open.
    ``shared_sd``: of an error shared by all at each of three checkpoints, where a is the second
    less the first and b the third less the first.
    """
    x, y = pairs(a, b)
    n = x.size
    if n < 2 or not y.any():
        return _open(level)
    # Powers of two, so that scaling costs no digits.
    up, down = _scale(x), _scale(y)
    x, y = x / up, y / down
    mean_x, mean_y = mean_sd(x)[0], mean_sd(y)[0]
    if mean_y == 0:
        return _open(level)
    ratio = mean_x / mean_y
    rest = x - ratio * y
    rest, away = rest - rest.mean(), y - mean_y
    k = n * (n - 1)
    v_rest, v_b, cov = float(rest @ rest) / k, float(away @ away) / k, float(rest @ away) / k
    if shared_sd:
        # var a = var b = 2s², cov(a, b) = s², in the scaled units of a and b.
        s_a, s_b = shared_sd / up, shared_sd / down
        v_rest += 2 * s_a**2 - 2 * ratio * s_a * s_b + 2 * (ratio * s_b) ** 2
        v_b += 2 * s_b**2
        cov += s_a * s_b - 2 * ratio * s_b**2
    found = _solve(ratio, mean_y, v_rest, v_b, cov, t_quantile(level, n - 1), level)
    return Interval(found.low * (up / down), found.high * (up / down), level)


def fieller_from(
    a: float, va: float, b: float, vb: float, cov: float, tcrit: float, level: float = 0.95
) -> Interval:
    """Range of a/b from their variances ``va``, ``vb``, their covariance and a t quantile.

    ``a`` and ``b`` each in its own unit, the variances in its square; the range in a's per b's.

    ``level`` is only written into the answer; ``tcrit`` decides.
    """
    if b == 0:
        return _open(level)
    ratio = a / b
    v_rest = va - 2 * ratio * cov + ratio * ratio * vb
    return _solve(ratio, b, v_rest, vb, cov - ratio * vb, tcrit, level)


def _solve(
    ratio: float, b: float, v_rest: float, vb: float, cov: float, t: float, level: float
) -> Interval:
    """Roots δ of b²δ² = t²·var(rest − δb), where rest = a − ratio·b and ratio = a/b.

    About the ratio itself, so that a narrow range is not lost in the difference of large numbers.
    """
    # In units of b: g ≥ 1 says that b is not told from 0.
    g, shift, reach = (t * t * part for part in (vb / b / b, cov / b / b, v_rest / b / b))
    if not (g < 1 and math.isfinite(ratio) and math.isfinite(shift * shift + reach)):
        return _open(level)
    root = math.sqrt(max(shift * shift + reach * (1 - g), 0.0))
    return Interval(ratio + (-shift - root) / (1 - g), ratio + (-shift + root) / (1 - g), level)


def _open(level: float) -> Interval:
    """No ratio is ruled out."""
    return Interval(-math.inf, math.inf, level)


def _scale(values: npt.NDArray[np.float64]) -> float:
    """A power of two about as large as the largest value; 1 where all are 0."""
    largest = float(np.max(np.abs(values)))
    return 2.0 ** math.frexp(largest)[1] if largest > 0 else 1.0
