"""Does a series drift, or does it jump once?  A jump also raises every rank test of a drift.

A straight line and one jump at the same place for all items, each fitted by least squares with
every item its own level and its own size, are set against each other by Akaike's criterion,
corrected for few readings (Burnham & Anderson 2002, ch. 2).  Both have a level and a size an item;
the jump has its place besides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explainer.analysis.sample import Array

Series = tuple[Array, Array]

#: Readings on either side of a jump, at the least: fewer are outliers, not a level.
SIDE = 3


@dataclass(frozen=True)
class Jump:
    """The best single jump of several series."""

    at: float
    """The first number of the series after it."""
    ahead: float
    """AICc of the straight line minus that of the jump: above 0 the jump fits better."""


def jump(series: Sequence[Series], side: int = SIDE) -> Jump | None:
    """The jump that fits all ``series`` (their x and y) best; None where none can be fitted.

    Readings number above what both curves take, and ``side`` of an item stand on either side.
    """
    kept = [(np.asarray(x, float), np.asarray(y, float)) for x, y in series]
    n = sum(x.size for x, _ in kept)
    line = sum(_line_rest(x, y) for x, y in kept)
    found = min(_profile(kept, side), default=None)
    if found is None:
        return None
    k = 2 * len(kept) + 1  # a level and a size each, and the spread
    scores = _aicc(line, n, k), _aicc(found[0], n, k + 1)
    if None in scores:
        return None
    return Jump(found[1], scores[0] - scores[1])  # type: ignore[operator]


#: 95 of 100 likelihood ratios at the true place of a jump lie below this, -2 ln(1 - √0.95).
LIKELY = -2 * math.log(1 - math.sqrt(0.95))


@dataclass(frozen=True)
class JumpPlaces:
    """Where one jump of several series likely lies: the first number of the series after it."""

    best: float
    low: float
    high: float
    """The outermost places of the 95% set."""


def likely_places(
    series: Sequence[Series], side: int = SIDE, shared_sd: float = 0.0
) -> JumpPlaces | None:
    """The places whose likelihood ratio to the best is not too large (Hansen 2000, Econometrica 68,
    575): n·(S(place) − S(best))/S(best) at most 7.35, for readings that scatter alike.

    n counts the readings less one for each item's level, which is fitted.  None where no jump can
    be fitted, as for ``jump``.  ``shared_sd``, in y's unit, is of an error that all series share at
    each place: it scatters their mean, which tells the places apart, and not the readings about it,
    so that the ratio counts for less by as much.
    """
    kept = [(np.asarray(x, float), np.asarray(y, float)) for x, y in series]
    found = _profile(kept, side)
    if not found:
        return None
    least, best = min(found)
    n = sum(x.size for x, _ in kept) - len(kept)
    less = 1 + len(kept) * n * shared_sd**2 / least if shared_sd and least > 0 else 1.0
    likely = [p for rest, p in found if n * (rest - least) <= LIKELY * least * less]
    return JumpPlaces(best, min(likely), max(likely))


def _profile(series: Sequence[Series], side: int) -> list[tuple[float, float]]:
    """What every place of a jump leaves unexplained, as (rest, place)."""
    if not series:
        return []
    places = np.unique(np.concatenate([x for x, _ in series]))[side:]
    return [
        (sum(_jump_rest(x, y, place) for x, y in series), place)
        for place in places.tolist()
        if all(min((x < place).sum(), (x >= place).sum()) >= side for x, _ in series)
    ]


def slope_beside(x: Array, y: Array, at: float) -> float | None:
    """The least-squares slope of one series once each side of ``at`` has its own level.

    In y's unit per x's; None where x does not move on either side.
    """
    away = [(x[side] - x[side].mean(), y[side] - y[side].mean())
            for side in (x < at, x >= at) if side.any()]  # fmt: skip
    whole = sum(float(dx @ dx) for dx, _ in away)
    return sum(float(dx @ dy) for dx, dy in away) / whole if whole > 0 else None


def _line_rest(x: Array, y: Array) -> float:
    dx, dy = x - x.mean(), y - y.mean()
    whole = float(dx @ dx)
    slope = float(dx @ dy) / whole if whole > 0 else 0.0
    rest = dy - slope * dx
    return float(rest @ rest)


def _jump_rest(x: Array, y: Array, place: float) -> float:
    sides = (y[x < place], y[x >= place])
    return float(sum(((s - s.mean()) ** 2).sum() for s in sides))


def _aicc(rest: float, n: int, k: int) -> float | None:
    if n - k - 1 <= 0 or rest <= 0:
        return None
    return n * math.log(rest / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)
