"""What this many items could see, and how many would settle a size that matters.

Noncentral t (Cohen 1988); n counts items, never shots.  Never worked from the observed effect.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from scipy.special import nctdtr, ndtr, ndtri, stdtrit

#: Nobody tests more items than this to settle a claim about one; above it the answer is None.
MOST_ITEMS = 10_000
ALPHA = 0.05


def power_mean(effect: float, sd: float, n: int) -> float:
    """Chance that ``n`` items show a mean change of ``effect`` (in ``sd``'s unit), 5% two-sided."""
    if n < 2 or sd <= 0:
        return 0.0
    return _power(abs(effect) / sd * math.sqrt(n), n - 1)


def power_difference(effect: float, sd: float, n_a: int, n_b: int) -> float:
    """The same for two groups with a common ``sd``."""
    if min(n_a, n_b) < 2 or sd <= 0:
        return 0.0
    return _power(abs(effect) / sd / math.sqrt(1 / n_a + 1 / n_b), n_a + n_b - 2)


def _power(shift: float, df: float) -> float:
    """Both tails of the noncentral t beyond its critical value."""
    critical = float(stdtrit(df, 1 - ALPHA / 2))
    if shift > 37:
        return 1.0
    upper = 1 - float(nctdtr(df, shift, critical))
    # The far tail is the near one mirrored; it only counts for small shifts.
    lower = float(nctdtr(df, shift, -critical)) if shift < 5 else 0.0
    total = upper + (lower if math.isfinite(lower) else 0.0)
    return min(1.0, max(0.0, total))


def smallest_mean_effect(n: int, sd: float, power: float = 0.8) -> float | None:
    """Smallest mean change that ``n`` items with ``sd`` of changes show with ``power``."""
    if n < 2 or sd <= 0:
        return None
    return _smallest(lambda d: power_mean(d * sd, sd, n), power, sd)


def smallest_difference(n_a: int, n_b: int, sd: float, power: float = 0.8) -> float | None:
    """Smallest difference that groups of ``n_a`` and ``n_b`` show with ``power``."""
    if min(n_a, n_b) < 2 or sd <= 0:
        return None
    return _smallest(lambda d: power_difference(d * sd, sd, n_a, n_b), power, sd)


def items_for_mean(effect: float, sd: float, power: float = 0.8) -> int | None:
    """Items needed to show a mean change of ``effect``; None above ``MOST_ITEMS``."""
    if effect == 0 or sd <= 0:
        return None
    return _fewest(lambda n: power_mean(effect, sd, n), power, 2)


def items_for_difference(effect: float, sd: float, power: float = 0.8) -> int | None:
    """Items needed in each of two groups to show a difference of ``effect``."""
    if effect == 0 or sd <= 0:
        return None
    return _fewest(lambda n: power_difference(effect, sd, n, n), power, 2)


def power_r(r: float, n: int) -> float:
    """Chance that ``n`` items show a correlation of ``r`` (Fisher's z with Cohen's correction)."""
    if n < 4 or abs(r) >= 1:
        return 0.0 if n < 4 else 1.0
    t = float(stdtrit(n - 2, 1 - ALPHA / 2))
    critical = math.sqrt(t * t / (t * t + n - 2))
    z = math.atanh(abs(r)) + abs(r) / (2 * (n - 1))
    edge, root = math.atanh(critical), math.sqrt(n - 3)
    return float(ndtr((z - edge) * root) + ndtr((-z - edge) * root))


def smallest_r(n: int, power: float = 0.8) -> float | None:
    """Smallest correlation that ``n`` items show with ``power``; None below 4."""
    if n < 4:
        return None
    low, high = 0.0, 1.0 - 1e-12
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if power_r(middle, n) < power else (low, middle)
    return high


def items_for_r(r: float, power: float = 0.8) -> int | None:
    """Items needed to show a correlation of ``r``."""
    if not 0 < abs(r) < 1:
        return None
    return _fewest(lambda n: power_r(r, n), power, 4)


def items_for_no_r(margin: float, power: float = 0.8) -> int | None:
    """Items needed to show |r| < ``margin`` where there is no relation at all (Fisher's z)."""
    if not 0 < margin < 1:
        return None
    reach = float(ndtri(1 - ALPHA)) + float(ndtri((1 + power) / 2))
    return math.ceil((reach / math.atanh(margin)) ** 2 + 3)


def _smallest(power_at: Callable[[float], float], power: float, sd: float) -> float:
    """Bisect the standardised effect."""
    low, high = 0.0, 1.0
    while power_at(high) < power and high < 1e6:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if power_at(middle) < power else (low, middle)
    return high * sd


def _fewest(power_at: Callable[[int], float], power: float, start: int) -> int | None:
    """Fewest items; power grows with n, so bisect."""
    if power_at(MOST_ITEMS) < power:
        return None
    low, high = start - 1, MOST_ITEMS
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if power_at(middle) < power else (low, middle)
    return high
