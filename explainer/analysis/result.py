"""The shape of an answer: a number with its likely ranges, and what it rests on.

Stage 2 is numbers only: arrays in, frozen results out.  A value that is not defined (zero
spread, too few items) is None with a reason code, never NaN.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Interval:
    """A likely range, in the unit of its estimate; ``level`` is its confidence (0.95)."""

    low: float
    high: float
    level: float

    def excludes(self, value: float) -> bool:
        """True when ``value`` lies outside the closed range."""
        return value < self.low or value > self.high

    def inside(self, low: float, high: float) -> bool:
        """True when the whole range lies in [low, high]."""
        return self.low >= low and self.high <= high

    def outside(self, low: float, high: float) -> bool:
        """True when no part of the range lies in [low, high]."""
        return self.high < low or self.low > high


@dataclass(frozen=True)
class Estimate:
    """A number with its 95, 90 and 80 per cent ranges.

    ``value`` in the unit of the input; ``se`` and ``df`` of the t-distribution behind the
    ranges where there is one; ``p`` two-sided against ``null``; ``n_items`` the number of
    independent items it rests on.
    """

    value: float
    at95: Interval
    at90: Interval
    at80: Interval
    p: float | None
    n_items: int
    method: str
    se: float | None = None
    df: float | None = None
    null: float = 0.0


@dataclass(frozen=True)
class Undefined:
    """A result that does not exist, and why: a code and the counts that explain it."""

    why: str
    """``too-few-items``, ``no-spread``, ``no-pairs``, ``only-averages``, …"""
    n_items: int
    method: str = ""
    value: float | None = None
    """The best estimate, where one exists without a range."""
