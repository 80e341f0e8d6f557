"""Rates of different people under each condition, alone or in strata.

Each person once: Newcombe's range (``rates.newcombe``); in strata, such as departments or age
groups, the Mantel–Haenszel difference with Sato's variance (Sato 1989, Biometrics 45, 1323;
Greenland & Robins 1985, Biometrics 41, 55).  Several attempts each: what scatters is the person,
so the range is a sandwich over people.  Strata are compared within and never counted as a sample.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri

from explainer.analysis.rates import SAME
from explainer.analysis.result import LEVELS, Estimate, Interval, Undefined, pooled_df, t_estimate
from explainer.analysis.sample import Array


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


def _side(s: Array, n: Array) -> tuple[float, float, int]:
    """Rate, its variance over people, and how many people."""
    people = int(s.size)
    if people == 0:
        return 0.0, 0.0, 0
    attempts = float(n.sum())
    rate = float(s.sum()) / attempts
    rest = s - rate * n
    return rate, float(rest @ rest) * people / max(people - 1, 1) / attempts**2, people
