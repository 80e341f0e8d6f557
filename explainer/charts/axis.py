"""A scale: the range it shows, where its ticks stand and what they say."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Above this ratio of largest to smallest, steps of ten show what equal steps would squash.
MANY_DECADES = 300.0
#: A smallest value below this share of the largest is as good as nothing: equal steps again.
TOO_MANY = 1e-12
#: No measure has a unit in which this is a size.
NOTHING = 1e-12


@dataclass(frozen=True)
class Axis:
    """``low`` to ``high`` in the data's unit; ``log``: equal distances are equal ratios."""

    low: float
    high: float
    ticks: tuple[float, ...]
    log: bool = False
    told: float = 1.0
    """How many of the unit that ticks are told in make one of the data's own."""

    def place(self, values: ArrayLike) -> NDArray[np.float64]:
        """Values as shares of the axis, 0 at its low end."""
        array = np.asarray(values, dtype=float)
        if not self.log:
            return np.asarray((array - self.low) / (self.high - self.low))
        low, high = math.log10(self.low), math.log10(self.high)
        return np.asarray((np.log10(np.maximum(array, self.low)) - low) / (high - low))

    @property
    def labels(self) -> tuple[str, ...]:
        return tick_labels(tuple(t * self.told for t in self.ticks), self.log)

    def told_as(self, times: float) -> Axis:
        """The same scale with round ticks in another unit, ``times`` as many of it for one."""
        if times == 1.0:
            return self
        low, high = sorted((self.low * times, self.high * times))
        ticks = (
            _decades(low, high).ticks if self.log
            else round_ticks(low, high, max(2, len(self.ticks)))
        )
        return replace(self, told=times, ticks=tuple(t / times for t in ticks if low <= t <= high))


def fit(
    values: Iterable[float | None],
    pad: float = 0.05,
    count: int = 5,
    also: Iterable[float] = (),
    steps_of_ten: bool = True,
) -> Axis:
    """An axis that shows every finite value with about ``count`` round ticks.

    ``also`` must be shown, too, but does not decide whether the steps are of ten: a likely
    range may reach below zero where no reading does; such an axis shows it down to its foot.
    """
    known = np.array([v for v in values if v is not None and math.isfinite(v)], dtype=float)
    if not len(known):
        known = np.array([0.0, 1.0])
    low, high = float(known.min()), float(known.max())
    more = [v for v in also if math.isfinite(v)]
    if steps_of_ten and 0 < high * TOO_MANY < low and high > low * MANY_DECADES:
        more = [v for v in more if v > 0]
        return _decades(min([low / 3, *more], key=lambda v: (v < low / 10, v)), max([high, *more]))
    low, high = min([low, *more]), max([high, *more])
    if high - low <= max(1e-9 * max(abs(low), abs(high)), NOTHING):
        half = abs(low) * 0.1 if abs(low) > NOTHING else 1.0
        low, high = low - half, high + half
    room = (high - low) * pad
    low, high = low - room, high + room
    return Axis(low, high, round_ticks(low, high, count))


def _decades(low: float, high: float) -> Axis:
    bottom, top = math.log10(low), math.log10(high)
    room = (top - bottom) * 0.05
    first, last = math.ceil(bottom - room), math.floor(top + room)
    step = max(1, math.ceil((last - first) / 7))
    ticks = tuple(10.0**power for power in range(first, last + 1, step))
    return Axis(10 ** (bottom - room), 10 ** (top + room), ticks, log=True)


def round_ticks(low: float, high: float, count: int = 5) -> tuple[float, ...]:
    """Multiples of 1, 2, 2.5 or 5 times a power of ten, as near to ``count`` as can be."""
    power = 10.0 ** math.floor(math.log10((high - low) / count))

    def multiples(step: float) -> range:
        return range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)

    steps = [m * power for m in (1, 2, 2.5, 5, 10, 20)]
    step = min(steps, key=lambda step: abs(len(multiples(step)) - count))
    return tuple(float(n * step) for n in multiples(step))


def whole(ticks: tuple[float, ...], counted: Iterable[float]) -> tuple[float, ...]:
    """Of ticks among things counted one by one, those that one of them can stand at."""
    if any(value != round(value) for value in counted):
        return ticks
    return tuple(tick for tick in ticks if tick == round(tick))


def number(value: float, decimals: int) -> str:
    """A number for an axis: a true minus sign, thousands set apart."""
    text = f"{value:,.{decimals}f}"
    if float(text.replace(",", "")) == 0:
        text = text.lstrip("-")
    return text.replace("-", "−")


def tick_labels(ticks: tuple[float, ...], log: bool = False) -> tuple[str, ...]:
    """Ticks as text, all with the decimals that tell them apart."""
    largest = max((abs(t) for t in ticks), default=0.0)
    smallest = min((abs(t) for t in ticks if t), default=1.0)
    if largest >= 1e7 or smallest < 1e-5:
        return tuple(scientific(t) for t in ticks)
    if log:
        return tuple(number(t, max(0, -math.floor(math.log10(t) + 1e-9))) for t in ticks)
    decimals = 0
    while decimals < 6 and any(
        abs(round(t, decimals) - t) > 1e-9 * max(largest, 1e-9) for t in ticks
    ):
        decimals += 1
    return tuple(number(t, decimals) for t in ticks)


def scientific(value: float) -> str:
    """``2.5×10⁷``, for numbers too long to write out."""
    if value == 0:
        return "0"
    power = math.floor(math.log10(abs(value)) + 1e-9)
    head = number(round(value / 10.0**power, 2), 2).rstrip("0").rstrip(".")
    sign = "⁻" if power < 0 else ""
    raised = sign + "".join("⁰¹²³⁴⁵⁶⁷⁸⁹"[int(d)] for d in str(abs(power)))
    return f"10{raised}" if head == "1" else f"{head}×10{raised}"


def marks(values: Sequence[float]) -> tuple[str, ...]:
    """Numbers that count along: no comma below 10,000, since 1954 may be a year."""
    labels = tick_labels(tuple(values))
    return tuple(s.replace(",", "") if len(s) < 6 else s for s in labels)


def short(value: float) -> str:
    """A single number as briefly as three or four digits say it."""
    if value and (abs(value) >= 1e7 or abs(value) < 1e-4):
        return scientific(value)
    size = 0 if not value else math.floor(math.log10(abs(value)))
    text = number(value, min(6, max(0, 2 - size)))
    return text.rstrip("0").rstrip(".") if "." in text else text
