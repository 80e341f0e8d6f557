"""Sizes, ranges and slopes inside a sentence: rounded by their range, unit said once.

Units of the trade go through ``numbers``; the four shapes a verdict adds have their own words:
``r`` (a bare number), ``share`` and ``rate`` (per cent), and ``board per microinch`` (a slope,
said for a step of 1, 10, 100 … so that nobody has to picture 0.09 of a board).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from explainer.words.numbers import (
    MINUS, percent, plural_of, quantity, rounded, unit_words,
)

NOTHING = "next to nothing"


@dataclass(frozen=True)
class Sized:
    """A number with its range, in one unit, ready for any place in a sentence."""

    value: float | None
    low: float | None
    high: float | None
    unit: str

    @property
    def sign(self) -> int:
        return 0 if not self.value else 1 if self.value > 0 else -1

    @property
    def ranged(self) -> bool:
        """Whether there is a range to speak of, open on one side or not."""
        return self.low is not None or self.high is not None

    @property
    def crosses(self) -> bool:
        """The range has room on both sides of zero."""
        return self.low is None or self.high is None or self.low < 0 < self.high

    @property
    def size(self) -> str:
        """How big, without its sign: ``21 microinches``; ``next to nothing`` where it rounds to 0."""
        figures = self._figures(self.value)
        return NOTHING if _is_zero(figures) else self._with_unit(figures)

    @property
    def bare(self) -> str:
        """The size without its unit, for the second of two in a sentence."""
        figures = self._figures(self.value)
        return NOTHING if _is_zero(figures) else figures

    @property
    def by_size(self) -> str:
        """After a verb: ``by about 21 microinches``, ``by next to nothing``."""
        return f"by {self.size}" if self.size == NOTHING else f"by about {self.size}"

    @property
    def signed(self) -> str:
        """``−21 microinches``."""
        if self.value is None:
            return "not known"
        figures = self._figures(self.value)
        minus = MINUS if self.value < 0 and not _is_zero(figures) else ""
        return minus + self._with_unit(figures)

    @property
    def range(self) -> str:
        """``17 to 25`` without a unit, for use after the size in one sentence."""
        return self.reach(unit=False)

    @property
    def range_unit(self) -> str:
        """``17 to 25 microinches``; ``a drop of 2.1 microinches to a rise of 0.4``."""
        return self.reach()

    def reach(self, down: str = "drop", up: str = "rise", unit: bool = True) -> str:
        """The range in words, smaller size first; a range through zero names both sides."""
        if self.low is None or self.high is None:
            return self._open(down, up)
        if self.low < 0 < self.high:
            low, high = self._figures(self.low), self._figures(self.high)
            first = self._with_unit(low) if unit else low
            return f"{_a(down)} of {first} to {_a(up)} of {high}"
        ends = sorted((abs(self.low), abs(self.high)))
        low, high = self._figures(ends[0]), self._figures(ends[1])
        if low == high:
            return f"about {self._with_unit(high) if unit else high}"
        return f"{low} to {self._with_unit(high) if unit else high}"

    @property
    def span(self) -> str:
        """Both ends with their own sign: ``−0.31 to 0.97``."""
        if self.low is None or self.high is None:
            return self._open("", "")
        marks = (self._mark(self.low), self._mark(self.high))
        return f"{marks[0]} to {self._with_unit(marks[1])}"

    def _open(self, down: str, up: str) -> str:
        if self.low is not None:
            return f"{self._with_unit(self._mark(self.low))} and up"
        if self.high is not None:
            return f"{self._with_unit(self._mark(self.high))} and below"
        return "no range at all"

    def _mark(self, value: float) -> str:
        figures = self._figures(value)
        return (MINUS if value < 0 and not _is_zero(figures) else "") + figures

    def _figures(self, value: float | None) -> str:
        if value is None:
            return "not known"
        scale = 100 if self.unit in ("share", "rate") else 1
        low, high = (None if v is None else v * scale for v in (self.low, self.high))
        return rounded(abs(value) * scale, low, high).lstrip(MINUS)

    def _with_unit(self, figures: str) -> str:
        return with_unit(figures, self.unit)


def with_unit(figures: str, unit: str) -> str:
    """Figures and the unit as a reader says it in running text."""
    if unit in ("r", "", "count"):
        return figures
    if unit in ("share", "percent"):
        return f"{figures}%"
    one = figures.lstrip(MINUS) == "1"
    if unit == "rate":
        return f"{figures} percentage point{'' if one else 's'}"
    if unit.startswith("Shore "):
        return f"{figures} point{'' if one else 's'} of {unit}"
    return f"{figures} {unit_words(unit, one=one)}"


def level(value: float | None, unit: str) -> str:
    """A reading: ``71.4 microinches``, ``75.6 Shore D``, ``62%``."""
    if unit in ("share", "rate"):
        return percent(value)
    return quantity(value, unit) if unit != "r" else rounded(value)


def per_step(value: Sized) -> tuple[Sized, str]:
    """A slope as a size for a round step: (0.9 boards, ``for every 10 microinches``)."""
    top, _, bottom = value.unit.partition(" per ")
    size = abs(value.value or 0.0)
    step = 1.0
    while 0 < size * step < 0.1 and step < 1e6:
        step *= 10
    scaled = Sized(*(None if v is None else v * step for v in (value.value, value.low, value.high)), top)
    if step == 1:
        return scaled, f"for every {unit_words(bottom, one=True)}"
    return scaled, f"for every {step:,.0f} {unit_words(bottom)}"


def tally(n: int, noun: str) -> str:
    """``8 balls``, ``1 ball``."""
    return f"{n:,} {noun if n == 1 else plural_of(noun)}"


def number(value: float) -> str:
    """A checkpoint as written: ``60``, ``2.5``."""
    return f"{value:,.0f}" if math.isfinite(value) and value == int(value) else f"{value:g}"


def listed(words: list[str], last: str = "and") -> str:
    """``A, B and C``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def _a(noun: str) -> str:
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"


def _is_zero(figures: str) -> bool:
    return not figures.strip("0.") or figures == "almost 0"
