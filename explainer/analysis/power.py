"""What could so many items have shown, and how many would settle it?

Two-sided tests at 5%: the noncentral t for means, and for correlations the approximation of R's
``pwr.r.test`` and pingouin's ``power_corr`` (Cohen 1988).  Power speaks of a size that matters,
never of the size that happened to be observed.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from scipy.special import nctdtr, ndtr, ndtri, stdtr, stdtrit

ALPHA = 0.05
#: Nobody will measure more; a question that needs it is out of reach, and the answer is None.
MOST_ITEMS = 10_000


def power_mean(n: float, d: float, alpha: float = ALPHA, means: float = 1) -> float:
    """Chance that a t test over ``n`` items sees a mean of ``d`` standard deviations, their spread
    being that about so many ``means``: of groups, where items come in groups.  Where these scatter
    unequally that is what Welch's degrees of freedom leave of ``n``, and need not be whole."""
    return _power_t(d * math.sqrt(n), n - means, alpha)


def power_difference(n_a: float, n_b: float, d: float, alpha: float = ALPHA) -> float:
    """Chance that a t test between ``n_a`` and ``n_b`` items sees ``d`` standard deviations."""
    return _power_t(d * math.sqrt(n_a * n_b / (n_a + n_b)), n_a + n_b - 2, alpha)


def power_r(n: float, r: float, alpha: float = ALPHA) -> float:
    """Chance that a test of a correlation over ``n`` items (four or more) sees ``r``."""
    if abs(r) >= 1:
        return 1.0
    t = float(stdtrit(n - 2, 1 - alpha / 2))
    edge = math.atanh(t / math.sqrt(t * t + n - 2))
    z, root = math.atanh(abs(r)) + abs(r) / (2 * (n - 1)), math.sqrt(n - 3)
    return float(ndtr((z - edge) * root) + ndtr((-z - edge) * root))


def power_strong(
    n: float, r: float, line: float, least: float, alpha: float = ALPHA
) -> float:
    """Chance that a correlation ``r`` over ``n`` items comes out at ``least`` or more with its
    range past ``line``: a test against ``line`` in place of 0, on Fisher's z (Fisher 1921)."""
    if abs(r) >= 1:
        return 1.0
    z, root = math.atanh(abs(r)) + abs(r) / (2 * (n - 1)), math.sqrt(n - 3)
    edge = max(math.atanh(line) + float(ndtri(1 - alpha / 2)) / root, math.atanh(least))
    return float(ndtr((z - edge) * root))


def smallest_strong(
    n: int, line: float, least: float, power: float = 0.8, alpha: float = ALPHA
) -> float | None:
    """Least correlation that ``n`` items show so (``power_strong``); None below four."""
    if n < 4:
        return None
    return _bisect(lambda r: power_strong(n, r, line, least, alpha), power, 0.0, 1.0)


def items_past(line: float, r: float, power: float = 0.8, alpha: float = ALPHA) -> int | None:
    """Items that tell a correlation ``r`` from one of ``line``; None where ``r`` is no larger, and
    beyond ``MOST_ITEMS``."""
    if not 0 <= line < r < 1:
        return None
    return _fewest(lambda n: power_strong(n, r, line, line, alpha), power, 4)


def smallest_mean_effect(
    n: float, sd: float, power: float = 0.8, alpha: float = ALPHA, means: float = 1
) -> float | None:
    """Least mean, in ``sd``'s unit, that ``n`` items show with this power; None where no more than
    their ``means`` are known."""
    if n <= means or not _positive(sd):
        return None
    d = _least(lambda d: power_mean(n, d, alpha, means), power)
    return None if d is None else d * sd


def smallest_r(n: int, power: float = 0.8, alpha: float = ALPHA) -> float | None:
    """Least correlation that ``n`` items show with this power; None below four."""
    if n < 4:
        return None
    return _bisect(lambda r: power_r(n, r, alpha), power, 0.0, 1.0)


def items_for_mean(
    effect: float, sd: float, power: float = 0.8, alpha: float = ALPHA, means: float = 1
) -> int | None:
    """Items that show a mean of ``effect`` with this power; None beyond ``MOST_ITEMS``."""
    if not (_positive(abs(effect)) and _positive(sd)):
        return None
    d = abs(effect) / sd
    return _fewest(lambda n: power_mean(n, d, alpha, means), power, math.floor(means) + 1)


def items_within(
    margin: float, sd: float, power: float = 0.8, alpha: float = ALPHA, means: float = 1
) -> int | None:
    """Items whose 90% range lies inside ±``margin`` with this power where nothing moved; None
    beyond ``MOST_ITEMS``.

    Two one-sided t tests (Schuirmann 1987) at a true mean of 0: the mean has to stay within
    margin − t·se of it, with the spread taken as known for the edge.
    """
    if not (_positive(margin) and _positive(sd)):
        return None

    def chance(n: float) -> float:
        df = n - means
        room = margin * math.sqrt(n) / sd - float(stdtrit(df, 1 - alpha))
        return 2 * float(stdtr(df, room)) - 1

    return _fewest(chance, power, math.floor(means) + 1)


def items_for_difference(
    effect: float, sd: float, power: float = 0.8, alpha: float = ALPHA
) -> int | None:
    """Items on each side that show a difference of ``effect``; None beyond ``MOST_ITEMS``."""
    if not (_positive(abs(effect)) and _positive(sd)):
        return None
    d = abs(effect) / sd
    return _fewest(lambda n: power_difference(n, n, d, alpha), power, 2)


def items_for_r(r: float, power: float = 0.8, alpha: float = ALPHA) -> int | None:
    """Items that show a correlation ``r`` with this power; None beyond ``MOST_ITEMS``."""
    if not 0 < abs(r) <= 1:
        return None
    return _fewest(lambda n: power_r(n, r, alpha), power, 4)


def _power_t(shift: float, df: float, alpha: float) -> float:
    """Both tails of the noncentral t beyond the two-sided limit.

    ``shift`` is the noncentrality, a pure number.
    """
    # As statsmodels' ``TTestPower`` and ``TTestIndPower``, whose far tail is NaN for large shifts.
    shift = abs(shift)
    limit = float(stdtrit(df, 1 - alpha / 2))
    if shift == 0:
        return float(2 * stdtr(df, -limit))
    # Past this the answer is 1 to the last digit, and the noncentral t is not worked out.
    if shift > 10 * limit:
        return 1.0
    # The far tail is below the normal's beyond −shift, 1e-12 from 7 on, and not always worked out.
    far = float(nctdtr(df, shift, -limit)) if shift < 7 else 0.0
    return 1 - float(nctdtr(df, shift, limit)) + far


def _positive(value: float) -> bool:
    return math.isfinite(value) and value > 0


def _least(power_at: Callable[[float], float], wanted: float) -> float | None:
    """The least size with the wanted power: widen, then halve."""
    high = 1.0
    while power_at(high) < wanted:
        high *= 2
        if high > 1e6:
            return None
    return _bisect(power_at, wanted, 0.0, high)


def _bisect(power_at: Callable[[float], float], wanted: float, low: float, high: float) -> float:
    """The size between the two at which the power, which grows with it, reaches ``wanted``."""
    for _ in range(60):
        middle = (low + high) / 2
        if power_at(middle) < wanted:
            low = middle
        else:
            high = middle
    return high


def _fewest(power_at: Callable[[int], float], wanted: float, least: int) -> int | None:
    """The least whole number of items with the wanted power, which grows with their number."""
    high = least
    while power_at(high) < wanted:
        if high >= MOST_ITEMS:
            return None
        high = min(2 * high, MOST_ITEMS)
    low = least - 1
    while high - low > 1:
        middle = (low + high) // 2
        if middle >= least and power_at(middle) >= wanted:
            high = middle
        else:
            low = middle
    return high


def items_for_no_r(margin: float, power: float = 0.8, alpha: float = ALPHA) -> int | None:
    """Items needed to show |r| < ``margin`` where there is no relation at all (Fisher's z).

    ((z(1−α) + z((1+power)/2)) / atanh margin)² + 3 (Goertzen & Cribbie 2010); None where the
    margin is not in (0, 1) or the answer lies beyond what anyone would test.
    """
    if not 0 < margin < 1:
        return None
    reach = float(ndtri(1 - alpha)) + float(ndtri((1 + power) / 2))
    needed = math.ceil((reach / math.atanh(margin)) ** 2 + 3)
    return needed if needed <= MOST_ITEMS else None
