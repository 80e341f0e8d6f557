"""Successes out of attempts: one rate, two rates, and two rates in several strata.

One bowler's independent attempts: Wilson's score interval (Wilson 1927) and Newcombe's hybrid
score interval for a difference (Newcombe 1998, method 10).  Several bowlers: t over each
bowler's own difference, weighted by attempts, is primary; Cochran–Mantel–Haenszel and Breslow–Day
are secondary and speak of these bowlers only.  Different people under each condition:
``rate_strata``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.special import chdtrc, ndtr, ndtri

from explainer.analysis.change import mean_change
from explainer.analysis.result import LEVELS, Estimate, Interval, Undefined, pooled_df, t_estimate
from explainer.analysis.sample import Array

#: Differences of rates this close are the same: rounding of a division, not scatter.
SAME = 1e-12


def wilson(successes: float, attempts: float, level: float = 0.95) -> Interval | Undefined:
    """Wilson's score range of a proportion (0 to 1); Undefined without attempts.

    ValueError unless 0 ≤ successes ≤ attempts.
    """
    _check(successes, attempts)
    if attempts == 0:
        return Undefined("no-attempts", 0, "Wilson score")
    # As scipy's ``binomtest().proportion_ci`` and statsmodels' ``proportion_confint``, which would
    # need the same checks around them as these four lines.
    z = float(ndtri((1 + level) / 2))
    p = successes / attempts
    middle = (p + z * z / (2 * attempts)) / (1 + z * z / attempts)
    half = (
        z * math.sqrt(p * (1 - p) / attempts + z * z / (4 * attempts**2)) / (1 + z * z / attempts)
    )
    low = 0.0 if successes == 0 else max(middle - half, 0.0)
    high = 1.0 if successes == attempts else min(middle + half, 1.0)
    return Interval(low, high, level)


def newcombe(
    successes_a: float, attempts_a: float, successes_b: float, attempts_b: float
) -> Estimate | Undefined:
    """Rate a minus rate b, for one bowler's independent attempts (Newcombe 1998, method 10).

    Rates are proportions from 0 to 1; p is that of the score test with a pooled rate (chi-square
    without continuity correction), None where all attempts ended alike.  ``n_items`` is 1.
    """
    method = "Newcombe hybrid score"
    _check(successes_a, attempts_a)
    _check(successes_b, attempts_b)
    if attempts_a == 0 or attempts_b == 0:
        return Undefined("no-attempts", 1, method)
    a, b = successes_a / attempts_a, successes_b / attempts_b
    pooled = (successes_a + successes_b) / (attempts_a + attempts_b)
    spread = math.sqrt(pooled * (1 - pooled) * (1 / attempts_a + 1 / attempts_b))
    p = None if spread == 0 else float(2 * ndtr(-abs(a - b) / spread))
    at95, at90, at80 = (
        _newcombe(successes_a, attempts_a, successes_b, attempts_b, level)
        for level in (0.95, 0.90, 0.80)
    )
    return Estimate(a - b, at95, at90, at80, p, 1, method)


def _newcombe(s_a: float, n_a: float, s_b: float, n_b: float, level: float) -> Interval:
    """Method 10: on each side the root of the squares of how far the two Wilson ranges reach."""
    # As statsmodels' ``confint_proportions_2indep(method="newcomb")``: Wilson's ends, put together.
    a, b = s_a / n_a, s_b / n_b
    of_a, of_b = wilson(s_a, n_a, level), wilson(s_b, n_b, level)
    assert isinstance(of_a, Interval)
    assert isinstance(of_b, Interval)
    down = math.hypot(a - of_a.low, of_b.high - b)
    up = math.hypot(of_a.high - a, b - of_b.low)
    return Interval(a - b - down, a - b + up, level)


def per_item_difference(
    successes_a: npt.ArrayLike,
    attempts_a: npt.ArrayLike,
    successes_b: npt.ArrayLike,
    attempts_b: npt.ArrayLike,
) -> Estimate | Undefined:
    """Each item's rate under a minus its rate under b (0 to 1), weighted by attempts, t over items.

    One entry per item in each array; an item without attempts under both has no difference and
    is left out (``n_items`` counts the rest).  The weights are Mantel and Haenszel's (1959, J.
    Natl. Cancer Inst. 22, 719), nₐn_b/(nₐ + n_b): an item with one attempt hardly counts beside
    one with a hundred, and unlike inverse binomial variances they stay finite at 0 of 5.  With the
    same attempts everywhere it is the plain mean with its t range.
    """
    s_a, n_a, s_b, n_b = (
        np.asarray(v, dtype=np.float64) for v in (successes_a, attempts_a, successes_b, attempts_b)
    )
    tried = np.isfinite(s_a) & np.isfinite(s_b) & (n_a > 0) & (n_b > 0)
    s_a, n_a, s_b, n_b = (v[tried] for v in (s_a, n_a, s_b, n_b))
    return weighted_mean(s_a / n_a - s_b / n_b, n_a * n_b / (n_a + n_b))


def weighted_mean(values: npt.ArrayLike, weights: npt.ArrayLike) -> Estimate | Undefined:
    """Mean of one number per item, weighted, with a range that rests on how the items scatter.

    The standard error is the bias-reduced sandwich over items, the degrees of freedom are
    Satterthwaite's for it (Bell & McCaffrey 2002, Survey Methodology 28, 169), both exact where
    an item's variance goes as 1/weight.  With equal weights that is Student's t on n − 1.
    Undefined below two items and where all are alike.
    """
    method = "t over items, weighted by attempts"
    d, w = np.asarray(values, dtype=np.float64), np.asarray(weights, dtype=np.float64)
    if d.size < 2:
        return Undefined("too-few-items", d.size, method, float(d[0]) if d.size else None)
    if bool(np.all(w == w[0])):
        return mean_change(d)
    part = w / w.sum()
    value = float(part @ d)
    rest = d - value
    if float(np.max(np.abs(rest))) <= SAME:
        return Undefined("no-spread", d.size, method, value)
    square = part * part / (1 - part)
    se = math.sqrt(float(square @ (rest * rest)))
    # The sandwich is a quadratic form of the items: its mean and variance give the df.
    away = np.eye(d.size) - part[None, :]
    form = (away.T * square) @ away / w[None, :]
    df = float(np.trace(form) ** 2 / np.sum(form * form.T))
    return t_estimate(value, se, df, d.size, method)


@dataclass(frozen=True)
class Stratified:
    """Two rates compared within strata (each bowler's own table), and pooled over them."""

    odds_ratio: float | None
    """Mantel–Haenszel common odds ratio, a against b; None where it is 0/0 or infinite."""
    cmh: float | None
    """Cochran–Mantel–Haenszel chi-square, 1 degree of freedom."""
    p_cmh: float | None
    breslow_day: float | None
    """Breslow–Day chi-square that the odds ratio is the same in all strata."""
    p_breslow_day: float | None
    pooled_difference: float
    """Rate a minus rate b with all strata thrown together."""
    stratified_difference: float | None
    """Mantel–Haenszel weighted mean of the strata's own differences."""
    n_strata: int
    """Strata with attempts under both conditions."""


def stratified(tables: npt.ArrayLike, *, correction: bool = False) -> Stratified | Undefined:
    """Rate a against rate b over strata, from ``tables`` of shape (strata, 2, 2).

    Rows are a and b, columns successes and failures.  ``correction`` applies the continuity
    correction to the CMH chi-square (R does by default, this function and statsmodels do not).
    Strata without attempts under one condition carry no comparison and count only when pooled.
    """
    cells = np.asarray(tables, dtype=np.float64)
    if cells.ndim != 3 or cells.shape[1:] != (2, 2):
        raise ValueError(f"tables of shape (strata, 2, 2), not {cells.shape}")
    attempts = cells.sum(axis=2)
    both = attempts.min(axis=1) > 0
    if not both.any():
        return Undefined("no-pairs", 0, "Cochran–Mantel–Haenszel")
    pooled = cells.sum(axis=0)
    rate = pooled[:, 0] / pooled.sum(axis=1)
    use = cells[both]
    odds_ratio, cmh, p_cmh = _mantel_haenszel(use, correction)
    breslow_day, p_breslow_day = _breslow_day(use, odds_ratio)
    return Stratified(
        odds_ratio,
        cmh,
        p_cmh,
        breslow_day,
        p_breslow_day,
        float(rate[0] - rate[1]),
        _weighted_difference(use),
        int(both.sum()),
    )


def reversal(pooled: float | None, deciding: float) -> bool:
    """True where the pooled difference and the one that decides point opposite ways (Simpson)."""
    return pooled is not None and pooled * deciding < 0


def _weighted_difference(cells: Array) -> float:
    """Mean of the strata's differences of rates (0 to 1), weights nₐn_b/(nₐ + n_b)."""
    n_a, n_b = cells[:, 0].sum(axis=1), cells[:, 1].sum(axis=1)
    weight = n_a * n_b / (n_a + n_b)
    difference = cells[:, 0, 0] / n_a - cells[:, 1, 0] / n_b
    return float(np.sum(weight * difference) / np.sum(weight))


def _mantel_haenszel(
    cells: Array, correction: bool
) -> tuple[float | None, float | None, float | None]:
    """Common odds ratio, CMH chi-square and its p; None without a success and a failure."""
    total = cells.sum(axis=(1, 2))
    for_a = float(np.sum(cells[:, 0, 0] * cells[:, 1, 1] / total))
    for_b = float(np.sum(cells[:, 0, 1] * cells[:, 1, 0] / total))
    odds_ratio = for_a / for_b if for_b > 0 and for_a > 0 else None
    rows, columns = cells.sum(axis=2), cells.sum(axis=1)
    expected = rows[:, 0] * columns[:, 0] / total
    variance = float(np.sum(rows.prod(axis=1) * columns.prod(axis=1) / (total**2 * (total - 1))))
    if variance <= 0:
        return odds_ratio, None, None
    away = abs(float(np.sum(cells[:, 0, 0] - expected)))
    if correction and away >= 0.5:
        away -= 0.5
    cmh = away**2 / variance
    return odds_ratio, cmh, float(chdtrc(1, cmh))


def _breslow_day(cells: Array, odds_ratio: float | None) -> tuple[float | None, float | None]:
    """Chi-square and p of equal odds ratios; None with one stratum or no common ratio.

    In each stratum the first cell is held against the value it would have, margins kept, with
    the common ratio: the root of a quadratic, taken by the form that loses no digits (and that
    exists where the ratio is 1).
    """
    # Not statsmodels' ``StratifiedTable.test_equal_odds``: it gives NaN where the common ratio is 1
    # and loses digits about it, which is where conditions that do not differ lie.
    mixed = cells[cells.sum(axis=1).min(axis=1) > 0]
    if odds_ratio is None or len(mixed) < 2:
        return None, None
    row, column, total = mixed[:, 0].sum(axis=1), mixed[:, :, 0].sum(axis=1), mixed.sum(axis=(1, 2))
    rest = total - row - column
    square, linear = 1 - odds_ratio, odds_ratio * (row + column) + rest
    constant = -odds_ratio * row * column
    root = np.sqrt(linear**2 - 4 * square * constant)
    positive = linear > 0
    expected = np.where(
        positive,
        -2 * constant / np.where(positive, linear + root, 1),
        (root - linear) / (2 * (square if square != 0 else 1)),
    )
    inverse = 1 / expected + 1 / (row - expected) + 1 / (column - expected) + 1 / (rest + expected)
    chi_square = float(np.sum((mixed[:, 0, 0] - expected) ** 2 * inverse))
    return chi_square, float(chdtrc(len(mixed) - 1, chi_square))


def _check(successes: float, attempts: float) -> None:
    """ValueError unless 0 ≤ successes ≤ attempts."""
    if not 0 <= successes <= attempts:
        raise ValueError(f"{successes} successes out of {attempts} attempts")


# How much likelier under one condition than under another, as a ratio of odds.
# Where people (or balls) were picked by what became of them, as many cracked ones as whole ones,
# how often it happens cannot be told from them; the ratio of the odds can (Cornfield 1951, J.
# Natl. Cancer Inst. 11, 1269). One table: Woolf's range on the log scale (Woolf 1955, Ann. Hum.
# Genet. 19, 251), with a half added to each cell where one is empty (Haldane 1956; Anscombe
# 1956). Strata: the Mantel–Haenszel ratio with the variance of Robins, Breslow & Greenland (1986,
# Biometrics 42, 311).

#: Degrees of freedom of the normal distribution.
NORMAL = 1e9


def log_odds_ratio(tables: npt.ArrayLike) -> Estimate | Undefined:
    """The log of the odds under a over the odds under b, from ``tables`` of (strata, 2, 2).

    Rows are a and b, columns successes and failures, every attempt another person.  Strata in
    which a row or a column is empty say nothing and are left out; ``n_items`` counts the people in
    the others.  Undefined: ``no-pairs`` where none is left, ``no-spread`` where the pooled ratio
    is 0 or infinite.
    """
    # As statsmodels' ``Table2x2`` and ``StratifiedTable``, which are no part of what is installed.
    cells = np.asarray(tables, dtype=np.float64)
    use = cells[(cells.sum(axis=1).min(axis=1) > 0) & (cells.sum(axis=2).min(axis=1) > 0)]
    people = int(use.sum())
    if not len(use):
        return Undefined("no-pairs", 0, "odds ratio")
    if len(use) == 1:
        table = use[0] + (0.5 if use.min() == 0 else 0.0)
        value = math.log(table[0, 0] * table[1, 1] / (table[0, 1] * table[1, 0]))
        se = math.sqrt(float((1 / table).sum()))
        return t_estimate(value, se, NORMAL, people, "odds ratio, Woolf's range")
    method = "Mantel–Haenszel odds ratio, range by Robins, Breslow and Greenland"
    total = use.sum(axis=(1, 2))
    along = (use[:, 0, 0] + use[:, 1, 1]) / total
    across = (use[:, 0, 1] + use[:, 1, 0]) / total
    r = use[:, 0, 0] * use[:, 1, 1] / total
    s = use[:, 0, 1] * use[:, 1, 0] / total
    whole_r, whole_s = float(r.sum()), float(s.sum())
    if whole_r <= 0 or whole_s <= 0:
        return Undefined("no-spread", people, method)
    variance = (
        float(along @ r) / (2 * whole_r**2)
        + float(along @ s + across @ r) / (2 * whole_r * whole_s)
        + float(across @ s) / (2 * whole_s**2)
    )
    return t_estimate(math.log(whole_r / whole_s), math.sqrt(variance), NORMAL, people, method)


# Rates of different people under each condition, alone or in strata.
# Each person once: Newcombe's range (``rates.newcombe``); in strata, such as departments or age
# groups, the Mantel–Haenszel difference with Sato's variance (Sato 1989, Biometrics 45, 1323;
# Greenland & Robins 1985, Biometrics 41, 55). Several attempts each: what scatters is the person,
# so the range is a sandwich over people. Strata are compared within and never counted as a
# sample.

def mantel_haenszel(tables: npt.ArrayLike) -> Estimate | Undefined:
    """Rate a minus rate b (0 to 1) over strata, from ``tables`` of shape (strata, 2, 2).

    Rows are a and b, columns successes and failures, every attempt another person.  Strata without
    attempts under both carry no comparison.  ``n_items`` counts the people in those that do.
    Undefined: ``no-pairs`` without any stratum, ``no-spread`` where all attempts ended alike.
    """
    method = "Mantel–Haenszel difference, Sato's variance"
    cells = np.asarray(tables, dtype=np.float64)
    attempts = cells.sum(axis=2)
    use = cells[attempts.min(axis=1) > 0]
    if not len(use):
        return Undefined("no-pairs", 0, method)
    a, b, n_a, n_b = use[:, 0, 0], use[:, 1, 0], use[:, 0].sum(axis=1), use[:, 1].sum(axis=1)
    total = n_a + n_b
    weight = float(np.sum(n_a * n_b / total))
    value = float(np.sum((a * n_b - b * n_a) / total)) / weight
    slope = np.sum((n_a**2 * b - n_b**2 * a + n_a * n_b * (n_b - n_a) / 2) / total**2)
    level = np.sum((a * (n_b - b) + b * (n_a - a)) / (2 * total))
    variance = float(value * slope + level) / weight**2
    people = int(total.sum())
    if variance <= 0:
        return Undefined("no-spread", people, method, value)
    se = math.sqrt(variance)
    at95, at90, at80 = (_normal(value, se, level) for level in LEVELS)
    return Estimate(value, at95, at90, at80, float(2 * ndtr(-abs(value) / se)), people, method, se)


def _normal(value: float, se: float, level: float) -> Interval:
    reach = float(ndtri((1 + level) / 2)) * se
    return Interval(max(value - reach, -1.0), min(value + reach, 1.0), level)


def clustered(
    side: npt.ArrayLike, successes: npt.ArrayLike, attempts: npt.ArrayLike
) -> Estimate | Undefined:
    """Rate a minus rate b (0 to 1) where each person stands on one side, with several attempts.

    One entry per person: 0 for a and 1 for b, and counts.  A rate is a ratio of sums; its variance
    is that of the people's residuals s − p·n about it (Cochran 1977, Sampling Techniques, ch. 6),
    degrees of freedom by Satterthwaite.  Undefined: ``too-few-items`` with fewer than two people
    on a side, ``no-spread``.
    """
    method = "t over people on either side"
    on = np.asarray(side)
    s, n = np.asarray(successes, dtype=np.float64), np.asarray(attempts, dtype=np.float64)
    (p_a, v_a, m_a), (p_b, v_b, m_b) = (
        _side(s[here], n[here]) for here in ((n > 0) & (on == 0), (n > 0) & (on == 1))
    )
    gap = p_a - p_b if min(m_a, m_b) > 0 else None
    if gap is None or min(m_a, m_b) < 2:
        return Undefined("too-few-items", m_a + m_b, method, gap)
    if v_a + v_b <= SAME**2:
        return Undefined("no-spread", m_a + m_b, method, gap)
    df = pooled_df(math.sqrt(v_a), m_a - 1, math.sqrt(v_b), m_b - 1)
    return t_estimate(gap, math.sqrt(v_a + v_b), df, m_a + m_b, method)


def of_people(successes: npt.ArrayLike, attempts: npt.ArrayLike) -> Estimate | Undefined:
    """The rate (0 to 1) of people with several attempts each, with t ranges over the people.

    A side of ``clustered`` by itself.  Undefined: ``too-few-items`` below two people, and
    ``no-spread``.
    """
    method = "t over people"
    s, n = np.asarray(successes, dtype=np.float64), np.asarray(attempts, dtype=np.float64)
    rate, variance, people = _side(s[n > 0], n[n > 0])
    if people < 2:
        return Undefined("too-few-items", people, method, rate if people else None)
    if variance <= SAME**2:
        return Undefined("no-spread", people, method, rate)
    return possible(t_estimate(rate, math.sqrt(variance), people - 1, people, method), 0.0)


def _side(s: Array, n: Array) -> tuple[float, float, int]:
    """Rate, its variance over people, and how many people."""
    people = int(s.size)
    if people == 0:
        return 0.0, 0.0, 0
    attempts = float(n.sum())
    rate = float(s.sum()) / attempts
    rest = s - rate * n
    return rate, float(rest @ rest) * people / max(people - 1, 1) / attempts**2, people


def possible(e: Estimate, least: float = -1.0) -> Estimate:
    """A difference of two shares with its ranges cut at −1 and 1, past which there is none; a share
    itself at 0 and 1.

    A t range over few items knows nothing of these ends; what it covers stays covered.
    """
    def cut(i: Interval) -> Interval:
        return Interval(max(i.low, least), min(i.high, 1.0), i.level)

    return replace(e, at95=cut(e.at95), at90=cut(e.at90), at80=cut(e.at80))
