"""Sizes, ranges and slopes inside a sentence: rounded by their range, unit said once.

Units of the trade go through ``numbers``; the four shapes a verdict adds have their own words:
``r`` (a bare number), ``share`` and ``rate`` (per cent), and ``board per microinch`` (a slope,
said for a step of 1, 10, 100 … so that nobody has to picture 0.09 of a board).
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from explainer.units import ODDS_RATIO
from explainer.words.language import english, filled, language, words
from explainer.words.quantity.numbers import (
    DIGITS,
    LAST_PLACE,
    MINUS,
    as_given,
    bare,
    both_systems,
    fixed,
    half_up,
    leading,
    noun_for,
    percent,
    rounded,
    share_words,
    telling,
    unit_in,
    unit_words,
)
from explainer.words.sentence import Figures, Place, Sentence, even, known

#: What stands in English for a size that rounds to 0, for what speaks English only: the voice.
NOTHING = english().patterns["nothing"]
#: Units of the catalogue that are the step of a scale, not a size.
POINT, SHORE_POINT = "percentage point", "Shore point"
#: Units a verdict has and a gauge has not.
#: ``relative``: a change in percent of what it was, which is no percentage point.
_OWN = ("r", ODDS_RATIO, "share", "rate", "count", "percent", "relative", POINT, "")


#: Those read in hundredths.
_HUNDREDTHS = ("share", "rate", "percent", "relative", POINT)
#: A number as it is printed.
_NUMBER = re.compile(r"-?\d[\d,]*(?:\.\d+)?")
#: By what share of itself a size may be rounded: 1.6 is not told as 2, nor a half as 1.
UNFAIR = 0.2
#: A share's range wider than this is lopsided: no end of it is told more roughly than to tens.
WHOLE = 100.0
#: The range of a link so sure that two decimals of it are told.
FINE = (-0.05, 0.05)


@dataclass(frozen=True)
class Sized:
    """A number with its range, in one unit, ready for any place in a sentence."""

    value: float | None
    low: float | None
    high: float | None
    unit: str
    given: bool = False
    """Set by somebody, not found: printed as it was given."""
    as_fine: tuple[float, float] | None = None
    """The range of a number it is read beside: where that is the narrower, it sets the digits."""
    against: tuple[float, ...] = ()
    """Sizes above 0 that it is held against: no rounding may carry it or an end of its range onto
    one or past it, and what is half of one or more is not next to nothing."""

    at: int | None = None
    """The power of ten that it is rounded to, whatever it would be by itself."""
    widest: float | None = None
    """Of a slope: how far what it is per was seen to go; no step is told beyond that."""

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
        """Without its sign: ``21 microinches``; ``next to nothing`` where it rounds to 0."""
        return words("nothing") if _is_zero(self._said) else self._with_unit(self._said)

    @property
    def figures(self) -> str:
        """With its sign and nothing else, for a number line: ``−0.72``."""
        said = self._said
        if self.sign < 0 and not _is_zero(said):
            return _negative(said)
        # What is nothing here may be something in another system, and lies on its own side.
        return Figures(said, (self.value or 0.0) * self._scale)

    @property
    def vanishes(self) -> bool:
        """Whether it rounds to 0, so that ``size`` has no figures."""
        return _is_zero(self._said)

    @property
    def bare(self) -> str:
        """The size without its unit, for the second of two in a sentence."""
        return words("nothing") if _is_zero(self._said) else bare(self._said, self.unit)

    @property
    def rough(self) -> str:
        """For a number without a range of its own: two digits and no more."""
        if self.value is None:
            return words("unknown")
        said = self._roughly
        return words("nothing") if _is_zero(said) else self._with_unit(said)

    @property
    def rough_bare(self) -> str:
        """The same without its unit, for the second of two in a sentence."""
        if self.value is None:
            return words("unknown")
        said = self._roughly
        return words("nothing") if _is_zero(said) else bare(said, self.unit)

    @property
    def _roughly(self) -> str:
        assert self.value is not None
        said = Sized(_two_digits(self.value), None, None, self.unit)._said
        return Figures(said, abs(self.value) * self._scale)

    @property
    def by_size(self) -> str:
        """After a verb: ``by about 21 microinches``, ``by next to nothing``."""
        return self.by(self.size)

    @staticmethod
    def by(size: str) -> str:
        return words("by" if size == words("nothing") else "by-about", size=size)

    def both(self, first: str) -> str:
        """The size with the other system of units beside: ``21 microinches (0.53 µm)``."""
        plain = self.size
        if self.value is None or self.vanishes or self.unit in _OWN or " per " in self.unit:
            return plain
        if self.unit.startswith("Shore "):
            return plain
        return both_systems(abs(self.value), self.unit, first, own=self._said)

    @property
    def signed(self) -> str:
        """``−21 microinches``."""
        if self.value is None:
            return words("unknown")
        return self._with_unit(self.figures)

    @property
    def signed_bare(self) -> str:
        """``−21``."""
        if self.value is None:
            return words("unknown")
        return bare(self.mark(self.value) if self.vanishes else self.figures, self.unit)

    @property
    def as_share(self) -> str:
        """A share as people say it; where that takes figures, those that its range supports."""
        told = share_words(self.value)
        return self.signed if self.ranged and re.search(r"\d", told) else told

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
            return self._open()
        if self.low < 0 and self.unit in ("r", "share"):
            return self._ends(unit)  # no drop and no rise: a place on a scale keeps its sign
        if self.low < 0 < self.high:
            low, high = self._end(self.low), self._end(self.high)
            first = self._with_unit(low) if unit else bare(low, self.unit)
            one_of = language().rules.one_of
            return words("down-to-up", down=one_of(down), low=first, up=one_of(up),
                         high=bare(high, self.unit))  # fmt: skip
        ends = sorted((abs(self.low), abs(self.high)))
        low, high = self._end(ends[0]), self._end(ends[1])
        if low == high:
            return words("about", size=self._with_unit(high) if unit else bare(high, self.unit))
        last = with_unit(high, self.unit, many=True) if unit else bare(high, self.unit)
        return words("range", low=bare(low, self.unit), high=last)

    @property
    def span(self) -> str:
        """Both ends with their own sign and the unit: ``−0.31 to 0.97 boards``."""
        return self._ends(unit=True)

    @property
    def span_bare(self) -> str:
        """Both ends with their own sign: ``−0.31 to 0.97``."""
        return self._ends(unit=False)

    @property
    def slope_range(self) -> str:
        """For a slope, whose two sides are no drop and no rise: signed only where it crosses 0."""
        return self.span_bare if self.crosses else self.range

    @property
    def slope_range_unit(self) -> str:
        return self.span if self.crosses else self.range_unit

    def _ends(self, unit: bool) -> str:
        if self.low is None or self.high is None:
            return self._open()
        first, last = self.mark(self.low), self.mark(self.high)
        last = with_unit(last, self.unit, many=True) if unit else bare(last, self.unit)
        return words("range", low=bare(first, self.unit), high=last)

    def _open(self) -> str:
        if self.low is not None:
            return words("and-up", size=self._with_unit(self.mark(self.low)))
        if self.high is not None:
            return words("and-below", size=self._with_unit(self.mark(self.high)))
        return words("no-range")

    def mark(self, value: float) -> str:
        """The figures of an end of the range with its sign, or of the value as such an end."""
        figures = self._end(value)
        return _negative(figures) if value < 0 and not _is_zero(figures) else figures

    def _end(self, value: float) -> str:
        """An end of the range.  One that is not 0 never reads as 0: on which side of nothing a
        range ends is what a sentence turns on, and −0.45 and 0.48 are on different ones."""
        figures = self._figures(value)
        scaled = abs(value) * self._scale
        if not _is_zero(figures) or not scaled:
            return self._kept_apart(scaled, figures)
        return self._kept_apart(scaled, fixed(scaled, max(leading(scaled), LAST_PLACE)))

    @property
    def _said(self) -> str:
        """The figures of the value itself: rounded by its range, and fair to what it is."""
        figures = self._figures(self.value)
        if self.value is None or self.given or not self.value or not self.ranged:
            return figures
        size = abs(self.value) * self._scale
        half = min(self.against, default=math.inf) * self._scale / 2
        unfair = abs(_plain(figures) - size) > UNFAIR * size if not _is_zero(figures) else False
        off = size >= half if _is_zero(figures) else unfair and self.value not in (
            self.low, self.high)  # an end of a range that is told as a size stays that end
        return self._kept_apart(size, _two_figures(size) if off else figures)

    def _kept_apart(self, size: float, figures: str) -> str:
        """``figures``, with as many decimals as it takes to stay on its side of each size that it
        is held against; a link, of a perfect one, too."""
        perfect = (1.0,) if self.unit == "r" else ()
        edges = [edge * self._scale for edge in (*self.against, *perfect)]
        if _is_zero(figures):
            return figures
        coarsest = -len(figures.partition(".")[2])  # no coarser than they are: 0.7 is not told as 1
        for place in range(coarsest, LAST_PLACE - 1, -1):
            if not _is_zero(figures) and all(
                _side(_plain(figures), edge) == _side(size, edge) for edge in edges
            ):
                break
            figures = fixed(size, place)
        return figures

    @property
    def _scale(self) -> int:
        return 100 if self.unit in ("share", "rate") else 1

    def _figures(self, value: float | None) -> str:
        if value is None:
            return words("unknown")
        scale = self._scale
        if self.given:
            return as_given(abs(value) * scale)
        if self.at is not None:
            return fixed(abs(value) * scale, self.at).trimmed()
        low, high = (None if v is None else v * scale for v in self._told_by)
        if self.unit == "share" and low is not None and high is not None and high - low > WHOLE:
            high = low + WHOLE  # 81 to 1,680%: its far end says nothing of its near one
        if self._blunt:
            low, high = FINE
        size = abs(value) * scale
        figures = rounded(size, low, high)
        if self.unit in _HUNDREDTHS and (self.unit != "share" or size < WHOLE):
            # Nobody counts in tens of percent, however wide the range: 41 is not told as 40.
            return figures if "." in figures else fixed(size, 0).trimmed()
        return figures

    @property
    def _told_by(self) -> tuple[float | None, float | None]:
        """The range whose width sets the digits."""
        if self.as_fine is None or not self.as_fine[1] > self.as_fine[0]:
            return self.low, self.high
        if self.low is None or self.high is None:
            return self.as_fine
        return min((self.low, self.high), self.as_fine, key=lambda ends: ends[1] - ends[0])

    @property
    def _blunt(self) -> bool:
        """Whether the range of a link, rounded by its own width, would seem to end at no link or
        at a perfect one."""
        if self.unit != "r" or self.low is None or self.high is None:
            return False
        ends = (abs(v) for v in (self.low, self.high) if v not in (-1.0, 0.0, 1.0))
        return any(float(rounded(v, self.low, self.high)) in (0.0, 1.0) for v in ends)

    def _with_unit(self, figures: str) -> str:
        return with_unit(figures, self.unit)


def set_size(value: float | None, unit: str) -> str | None:
    """A margin or a least size as it was given; None where none was."""
    return Sized(value, None, None, unit, given=True).size if value else None


def set_level(value: float | None, unit: str, many: bool = False) -> str:
    """A limit for readings as it was given: ``196.25 microinches``, ``73 Shore D``."""
    return words("unknown") if value is None else reading(as_given(value), unit, many)


def set_range(low: float | None, high: float | None, unit: str) -> str:
    """Two limits as they were given: ``72 to 78 Shore D``."""
    return words("range", low=bare(as_given(low), unit), high=set_level(high, unit, many=True))


def exact(value: float, unit: str) -> str:
    """A size that nobody estimated, to three digits."""
    return with_unit(rounded(value), unit)


def with_unit(figures: str, unit: str, many: bool = False) -> str:
    """Figures and the unit as a reader says it in running text; ``many`` after a range."""
    if unit in ("r", ODDS_RATIO, "", "count"):
        return bare(figures)
    if unit in ("share", "percent", "relative"):
        return words("percent", figures=figures)
    form = language().rules.form(figures.lstrip(MINUS))
    form = "other" if many and form == "one" else form
    if unit == "rate":
        return words("points", figures=figures, unit=language().units[POINT][form])
    if unit.startswith("Shore "):
        point = filled(language().units[SHORE_POINT][form], {"scale": unit})
        return words("points", figures=figures, unit=point)
    if " per " in unit:
        top, _, bottom = unit.partition(" per ")
        over = words("per", top=unit_in(top, form), bottom=unit_words(bottom, one=True))
        return known(words("sized", figures=figures, unit=over), figures, unit)
    return known(words("sized", figures=figures, unit=unit_in(unit, form)), figures, unit)


def gap_unit(unit: str) -> str:
    """The unit of a difference: percentages differ by percentage points."""
    return POINT if unit == "percent" else unit


def level(value: float | None, unit: str, other: float | None = None) -> str:
    """A reading: ``71.4 microinches``, ``75.6 Shore D``; fine enough to be told from ``other``."""
    if unit in ("share", "rate"):
        return percent(value)
    return telling(value, other, unit if unit not in ("r", ODDS_RATIO) else "")


def bare_beside(value: float | None, other: float | None, unit: str) -> str:
    """The same without its unit, for the first of two that the unit is said once of."""
    return bare(telling(value, other), unit)


def alike(first: float | None, second: float | None, sized: Sized, unit: str) -> tuple[str, str]:
    """Two readings to the same decimal, with the unit and without: ``76.60 Shore D``, ``76.54``.

    Fine enough for three digits of the larger and for their difference as ``sized`` is said, so
    that whoever subtracts finds the same number.
    """
    if first is None or second is None or unit in ("share", "rate", "r"):
        return level(first, unit, second), bare_beside(second, first, unit)
    whole = first == int(first) and second == int(second)
    top = max(abs(first), abs(second))
    digits = 2 - math.floor(math.log10(top)) if top else 0
    said = sized.bare.partition(".")[2]
    places = 0 if whole else min(max(digits, len(said), 0), 6)
    a, b = (fixed(value, -places) for value in (first, second))
    while a == b and sized.vanishes and places < 6:  # next to nothing: no finer than it takes
        places += 1
        a, b = (fixed(value, -places) for value in (first, second))
    if a == b:  # telling them apart comes first
        return level(first, unit, second), bare_beside(second, first, unit)
    return reading(even(a), unit), bare(even(b), unit)


def subtracts(first: str, second: str, gap: Sized) -> bool:
    """Whether two numbers as printed, units and all, lie as far apart as ``gap`` is told."""
    if gap.value is None or gap.vanishes:
        return False
    one, other = (_NUMBER.search(text.replace(MINUS, "-")) for text in (first, second))
    if one is None or other is None:
        return False
    apart = abs(_plain(one.group()) - _plain(other.group()))
    return math.isclose(apart, _plain(gap.figures.lstrip(MINUS)), abs_tol=1e-9)


def reading(figures: str, unit: str, many: bool = False) -> str:
    """Figures of a level, not of a difference: ``75.6 Shore D`` without points."""
    return f"{figures} {unit}" if unit.startswith("Shore ") else with_unit(figures, unit, many)


def per_step(value: Sized, *beside: float) -> tuple[Sized, str]:
    """A slope as a size for a round step: (0.9 boards, ``for every 10 microinches``).

    The step is 1, 10, 100 …, so that the largest of the slope, its range and the slopes
    ``beside`` it is a number one can picture; and no longer than what it is per was seen to go.
    """
    top, _, bottom = (gap_unit(part) for part in value.unit.partition(" per "))
    numbers = (value.value, value.low, value.high)
    size = max(abs(v or 0.0) for v in (*numbers, *beside))
    widest = 1e6 if not value.widest else value.widest
    step = min(1.0, 10.0 ** leading(widest))
    while 0 < size * step < 0.2 and 10 * step <= widest:
        step *= 10
    low, high = (None if v is None else v * step for v in (value.low, value.high))
    own = None if value.value is None else value.value * step
    scaled = Sized(own, low, high, top, against=tuple(edge * step for edge in value.against))
    if step == 1:
        # Its number is left unsaid here, and said where it is none of this: for every 2.70 cm.
        one = known(unit_words(bottom, one=True), Figures("1", 1.0, 1 - DIGITS), bottom)
        return scaled, words("every-one", unit=one)
    figures = f"{step:,.0f}" if step > 1 else f"{step:.6g}"
    form = language().rules.form(figures)
    unit = unit_in(bottom, form)
    said, stride = words("every", figures=figures, unit=unit), f"{figures} {unit}"
    at = said.find(stride)
    places = (Place(at, at + len(stride), figures, bottom),) if at >= 0 else ()
    return scaled, Sentence(said, places)


def _two_figures(size: float) -> str:
    """Two digits, without a zero at the end behind the point."""
    return fixed(size, max(leading(size) - 1, LAST_PLACE)).trimmed()


def _negative(figures: str) -> str:
    """Figures of a size as those of what is as far below 0."""
    told = MINUS + figures
    return Figures(told, -figures.value, figures.place) if isinstance(figures, Figures) else told


def _plain(figures: str) -> float:
    """The number that figures of ours stand for."""
    return float(figures.replace(",", ""))


def _side(size: float, edge: float) -> int:
    """Below, on, or above ``edge``; on it up to the arithmetic's own rounding."""
    return 0 if math.isclose(size, edge, rel_tol=1e-9) else 1 if size > edge else -1


def _two_digits(value: float) -> float:
    return float(half_up(value, leading(value) - 1)) if value else 0.0


def rough_alike(values: Sequence[float], unit: str) -> list[Sized]:
    """Numbers without ranges that are compared: two digits of the smallest, and no less of the
    others; of one that is much larger four digits, which are enough."""
    own = [leading(abs(v)) - 1 for v in values if v]
    place = max(min(own, default=0), max(own, default=0) - 2, LAST_PLACE)
    places = [min(place, leading(abs(v)) - 1) if v else place for v in values]
    return [Sized(v, None, None, unit, at=at)
            for v, at in zip(values, places, strict=True)]  # fmt: skip


def tally(n: int, noun: str) -> str:
    """``8 balls``, ``1 ball``."""
    return words("counted", number=f"{n:,}", noun=noun_for(f"{n:,}", noun))


def tally_from(fewest: int, most: int | None, noun: str) -> str:
    """``8 balls``, or ``2 to 1,000 balls`` where not all are of as many."""
    if most is None or most == fewest:
        return tally(fewest, noun)
    return words("range", low=f"{fewest:,}", high=tally(most, noun))


def all_of(n: int, noun: str) -> str:
    """``all 8 balls``, ``both balls``, ``the one ball``."""
    if n in (1, 2):
        return words("the-one" if n == 1 else "the-two", noun=noun_for(str(n), noun))
    return words("all-of", counted=tally(n, noun))


def number(value: float) -> str:
    """A checkpoint as written: ``60``, ``2.5``."""
    if not math.isfinite(value) or value != int(value):
        return f"{value:g}"
    return f"{value:,.0f}" if abs(value) >= 10_000 else f"{value:.0f}"  # 1954 may be a year


def listed(told: list[str], last: str = "") -> str:
    """``A, B and C``; ``last`` is the joint where it is not *and*."""
    if not told:
        return ""
    before = told[0]
    for word in told[1:-1]:
        before = words("list", before=before, word=word)
    if len(told) == 1:
        return before
    return words("list-end", before=before, joint=last or words("and"), word=told[-1])


def named_few(told: list[str], most: int = 6) -> str:
    """``A, B and C``; of many the first ``most``, and how many more there are (two at least)."""
    rest = len(told) - most
    return listed(told) if rest < 2 else listed([*told[:most], words("more", number=str(rest))])


def _is_zero(figures: str) -> bool:
    return not figures.strip("0.") or figures == words("almost-zero")
