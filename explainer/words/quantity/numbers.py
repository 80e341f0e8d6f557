"""Numbers as a reader meets them: rounded by their range, a unit said once, never falsely exact.

How many digits.  With a likely range the last digit kept is the one the Particle Data Group's
rule keeps (Review of Particle Physics, Introduction, section on rounding): take the three
leading digits of the half-width; 100 to 354 keep two digits of it, 355 to 949 keep one, 950 and
more round up to 1000 and keep two.  The rule is written for a standard error; held against half
of a 95% range it keeps a digit less, which is the safe side for a reader.  Without a range:
three significant digits, and a whole number below ten thousand stays whole (it is a count).

Nothing here ever prints ``nan``, ``-0`` or an exponent.  Values are in the unit named; a value
that is missing or not finite reads ``not known``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import TypeGuard

from explainer.words.language import language, words
from explainer.words.sentence import Figures, Sentence, even, known

MINUS = "−"

#: Digits kept of a number without a range, and at most of one with a very narrow range.
DIGITS, MOST_DIGITS = 3, 5
#: Smallest decimal place ever shown.
LAST_PLACE = -6
#: The same in a table of all numbers, and the digits that a double holds.
FINEST, DOUBLE = -12, 17


def rounded(value: float | None, low: float | None = None, high: float | None = None) -> str:
    """``value`` with the digits its range [low, high] supports; all three in one unit."""
    if not _finite(value):
        return words("unknown")
    ends = _range(low, high)
    text = fixed(float(value), _place(float(value), ends))
    # A zero at the end would claim a digit nobody measured.
    return Figures(text.trimmed(), float(value)) if ends is None else text


def rough_percent(value: float | None, low: float | None, high: float | None,
                  *marks: float | None) -> str:  # fmt: skip
    """A percentage with the digits its range supports, and two of one that has none: more where
    two would put it on one of ``marks``, or past it."""
    if not _finite(value) or low is not None or high is not None or not value:
        return rounded(value, low, high)
    for place in range(leading(abs(value)) - 1, LAST_PLACE, -1):
        told = float(half_up(value, place))
        if all(m is None or (told - m) * (value - m) > 0 or value == m for m in marks):
            return fixed(value, place)
    return rounded(value)


def telling(value: float | None, other: float | None, unit: str = "") -> str:
    """``value`` as ``quantity``, but finely enough to be told from ``other``.

    Two readings near 108 that differ by 0.00002 would otherwise read the same; here they keep two
    digits of their difference.
    """
    if not _finite(value):
        return quantity(value, unit)
    figures = fixed(float(value), _telling_place(float(value), other)).trimmed()
    return _with_unit(even(figures), unit)


def nearest(value: float, others: Iterable[float | None]) -> float | None:
    """That of ``others`` from which ``value`` has to be told; None where there is none."""
    return min((other for other in others if other is not None),
               key=lambda other: abs(other - value), default=None)  # fmt: skip


def _telling_place(value: float, other: float | None) -> int:
    """The power of ten of the last digit of ``value`` that tells it from ``other``."""
    place = _place(value, None)
    if not value or not _finite(other) or value == other:
        return place
    return min(place, max(leading(abs(value - other)) - 1, LAST_PLACE))


def _apart(first: float, second: float, place: int) -> Decimal:
    """How far apart two readings are once each is rounded to ``place``."""
    return abs(half_up(second, place) - half_up(first, place))


def _subtracting(first: float, second: float, coarse: int) -> int:
    """The last digit, 10^``coarse`` or up to two finer, to which two readings have to be told for
    their difference, rounded once, to be what whoever subtracts them finds."""
    places = [place for place in range(coarse, coarse - 3, -1) if place >= LAST_PLACE] or [coarse]
    gap = abs(second - first)
    return next((p for p in places if half_up(gap, p) == _apart(first, second, p)), coarse)


def told_apart(
    first: float, second: float, place: float = math.inf
) -> tuple[str, str, str]:
    """Two readings to the same decimal and how far apart they are as printed, without its sign.

    Both finite and in one unit, as fine as the one that ``telling`` tells finer; whoever subtracts
    finds the third.  Where the third would then not be the difference itself, rounded once (80.04
    and 95.88 as 80.0 and 95.9 are 15.9 apart and not 15.8), all three keep up to two digits more.
    No zero at the end claims a digit that nobody measured.  ``place``: the power of ten of a digit
    that has to be among theirs, where others are told beside them (``place_beside``).
    """
    place = _subtracting(first, second, int(min(_apart_place(first, second), place)))
    pair = (first, second)
    one, other = (even(fixed(v, place).trimmed(), pair=pair) for v in pair)
    apart = fixed(float(_apart(first, second, place)), place)
    return one, other, Figures(apart, abs(second - first), place, True, pair=pair).trimmed()


def place_beside(pairs: Sequence[tuple[float, float]]) -> int:
    """The power of ten of the digit that tells the gaps of ``pairs`` of readings from each other.

    Gaps that differ then stand in their order as they are printed; where that would take more
    digits than the finest of them keeps by itself, all are as fine as that one.
    """
    own = sorted({_apart_place(*pair) for pair in pairs}) or [0]
    gaps = [abs(second - first) for first, second in pairs]
    differ = len({half_up(gap, LAST_PLACE) for gap in gaps})
    finest = max(own[0], LAST_PLACE)
    return next((p for p in range(own[-1], finest, -1)
                 if len({half_up(gap, p) for gap in gaps}) == differ), finest)  # fmt: skip


def _apart_place(first: float, second: float) -> int:
    """The last digit that two readings keep where they stand alone."""
    return min(_telling_place(first, second), _telling_place(second, first))


def quantity(
    value: float | None, unit: str, low: float | None = None, high: float | None = None
) -> str:
    """``value`` with its unit in words: ``−21 microinches``, ``1 board``, ``28%``."""
    return _with_unit(rounded(value, low, high), unit)


def as_given(value: float | None) -> str:
    """A number that somebody set, a limit or a margin: to its last digit, ``196.25`` not ``196``.

    Nothing is known better by rounding it, and a reader held to 196 may fail at 196.1.
    """
    if not _finite(value):
        return words("unknown")
    last = Decimal(f"{value:.12g}").normalize().as_tuple().exponent
    assert isinstance(last, int)  # only what is not finite has a letter there
    return fixed(float(value), max(min(last, 0), LAST_PLACE))


def both_systems(
    value: float | None,
    unit: str,
    first: str = "inch",
    low: float | None = None,
    high: float | None = None,
    own: str | None = None,
) -> str:
    """The value with the other system beside: ``21 microinches (0.53 µm)``, ``1 board (2.7 cm)``.

    ``first`` is ``inch`` or ``metric``, the system that stands outside the brackets, whichever
    of the two ``unit`` itself belongs to; ``own``: its figures, where those are set.  A unit that
    is at home in both (games, degrees, Shore D) stands alone.
    """
    from explainer import units

    metric, inch = units.metric_of(unit), units.inch_of(unit)
    other = metric or inch
    if other is None or not _finite(value):
        return quantity(value, unit, low, high) if own is None else _with_unit(own, unit)
    own = rounded(value, low, high) if own is None else own
    converted = told_in(own, unit, other)
    if (first == "metric") == (metric is not None):
        return paired(_with_unit(converted, other), with_short(own, unit))
    return paired(_with_unit(own, unit), with_short(converted, other))


def paired(first: str, second: str) -> str:
    """One number in two systems, the second in brackets: ``21 microinches (0.53 µm)``."""
    text = words("both", first=first, second=second)
    if not isinstance(text, Sentence):
        return text
    return Sentence(text, (replace(text.places[0], start=0, end=len(text), pair=str(second)),))


def fraction_of_inch(value: float) -> str | None:
    """A size in inches as people say it, ``about an eighth of an inch``; None if none is near.

    Near is within 10%; a fraction hit to within 1% goes without ``about``.  Sizes only: a
    negative value has no fraction (say the drop, then its size).
    """
    if not _finite(value) or value <= 0:
        return None
    known = language().fractions_of_inch
    if not known:
        return None
    nearest = min(known, key=lambda f: abs(value / float(f) - 1))
    off = abs(value / float(nearest) - 1)
    if off > 0.10 + 1e-9:
        return None
    return known[nearest] if off <= 0.01 else words("about", size=known[nearest])


def count_words(n: int, noun: str = "") -> str:
    """A count and what is counted: ``eight balls``, ``one ball``, ``no balls``, ``1,200 shots``."""
    figures = fixed(float(n), 0)
    number = language().ones[n] if 0 <= n <= 10 else figures
    if not noun:
        return number
    if n == 0:
        return words("none", noun=plural_of(noun))
    return words("counted", number=number, noun=noun_for(figures, noun))


def ordinal(n: int) -> str:
    """``first`` to ``tenth``, then ``11th``, ``22nd``, ``103rd``."""
    if 1 <= n <= 10:
        return language().firsts[n - 1]
    return language().rules.ordinal(n, fixed(float(n), 0))


def share_words(share: float | None) -> str:
    """A share (1 is the whole) as people say it: ``about three quarters``, else ``73%``.

    Near is within 5% of the fraction and no more than three hundredths off.
    """
    if not _finite(share):
        return words("unknown")
    if share in (0, 1):
        return words("share-none" if share == 0 else "share-all")
    known = language().shares
    nearest = min(known, key=lambda f: abs(share - float(f)), default=None)
    off = math.inf if nearest is None else abs(share - float(nearest))
    if nearest is not None and off <= min(0.05 * float(nearest), 0.03) + 1e-12:
        return known[nearest] if off < 0.001 else words("about", size=known[nearest])
    return percent(share)


def p_words(p: float | None) -> str:
    """A p-value: ``p = 0.012``, ``p = 0.35``, ``p < 0.001``; digits enough to tell it from 0.05."""
    if not _finite(p):
        return words("p-none")
    if p < 0.001:
        return words("p-below", p=bare("0.001"))
    if p > 0.995:
        return words("p-above", p=bare("0.99"))
    said = fixed(p, -2 if p >= 0.0995 else -3)
    if said == "0.050" and p != 0.05:  # the side of the usual line must stay visible
        said = fixed(p, -4)
        if said == "0.0500":
            return words("p-just-under" if p < 0.05 else "p-just-over", p=bare("0.05"))
    return words("p", p=bare(said))


def percent(share: float | None, low: float | None = None, high: float | None = None) -> str:
    """A share (1 is the whole) in per cent: ``73%``; ``0%`` and ``100%`` only if exactly so."""
    if not _finite(share) or not _finite(100 * share):
        return words("unknown")
    if _finite(low) and _finite(high):
        return words("percent", figures=rounded(100 * share, 100 * low, 100 * high))
    size = abs(share)
    if 0 < size < 0.0005:
        return words("less-than", size=words("percent", figures="0.1"))
    if 0.9995 < share < 1:
        return words("more-than", size=words("percent", figures="99.9"))
    tenths = size < 0.01 or 0.99 < share < 1
    return words("percent", figures=fixed(100 * share, -1 if tenths else 0).removesuffix(".0"))


def plural_of(noun: str) -> str:
    """The plural of an everyday noun, or of a phrase's last word: ``lane boards``."""
    return language().noun(noun)


def noun_for(figures: str, noun: str) -> str:
    """A noun in the form that a number before it asks for; ``figures`` as ``fixed`` has them."""
    return language().noun(noun, language().rules.form(figures))


def _finite(value: float | None) -> TypeGuard[float]:
    return value is not None and math.isfinite(value)


def _range(low: float | None, high: float | None) -> tuple[float, float] | None:
    """Both ends in order; None if one is missing or they are the same: nothing to go by."""
    if not _finite(low) or not _finite(high) or low == high:
        return None
    return (float(low), float(high)) if low < high else (float(high), float(low))


def leading(size: float) -> int:
    """The power of ten of the first digit of ``size`` > 0."""
    return Decimal(repr(float(size))).adjusted()  # numpy's numbers write their type, too


def _place(value: float, ends: tuple[float, float] | None) -> int:
    """The power of ten of the last digit to keep."""
    if ends is None:
        if value == int(value) and abs(value) < 10_000:
            return 0
        return max(leading(abs(value)) - DIGITS + 1, LAST_PLACE)
    low, high = ends
    largest = max(abs(value), abs(low), abs(high))
    place = max(_supported((high - low) / 2), leading(largest) - MOST_DIGITS + 1, LAST_PLACE)
    return min(place, 0) if largest < 100 else place


def _supported(half_width: float) -> int:
    """The last digit that a range of this half-width supports (Particle Data Group's rule)."""
    first = leading(half_width)
    head = half_width / 10.0**first * 100
    return first - 1 if head < 354.5 else first


def fixed(value: float, place: int) -> Figures:
    """``value`` rounded half away from zero at 10^place: commas, true minus, no ``-0``."""
    return Figures(_fixed(value, place), value, place)


def _fixed(value: float, place: int) -> str:
    if abs(value) >= 1e15:  # beyond what a double holds to the unit
        return (MINUS if value < 0 else "") + f"{abs(value):,.0f}"
    number = half_up(value, place)
    if number == 0:
        exact = value == 0 or place > LAST_PLACE
        return f"{0:.{max(-place, 0)}f}" if exact else words("almost-zero")
    text = f"{abs(number):,.{max(-place, 0)}f}"
    return MINUS + text if number < 0 else text


def half_up(value: float, place: int) -> Decimal:
    """``value`` at 10^place, halves away from zero.

    Every number that is told goes through here: Python's own formats round a half by what is
    left of it in binary, so that 0.125 and 0.135 would both be told as 0.12 and 0.14.
    """
    step = Decimal(1).scaleb(place)
    sharp = Decimal(f"{value:.15g}")  # a sixteenth digit is the arithmetic's: 28.749999999999996
    if sharp.adjusted() - place > DOUBLE:  # nothing to round: an author may print thirty places
        return sharp
    near = Decimal(f"{value:.13g}")  # a half that the arithmetic missed: 0.44999999999999993
    if abs(near / step * 2) % 2 == 1:
        sharp = near
    return (sharp / step).quantize(Decimal(1), ROUND_HALF_UP) * step


def to_digits(value: float, digits: int, beside: float | None = None) -> str:
    """``value`` to so many digits, of its difference to ``beside`` if that takes more.

    Whole digits are kept, and no zero at the end claims one that nobody measured.
    """
    gap = abs(value - beside) if beside is not None and value != beside else abs(value)
    finest = min(abs(value), gap)
    place = max(min(leading(finest) - digits + 1, 0), FINEST) if finest else 0
    return fixed(value, place).trimmed()


def _with_unit(figures: str, unit: str) -> str:
    """``figures`` and the unit in words, in the form that the number asks for."""
    if figures in (words("unknown"), "") or unit in ("", "count"):
        return figures
    if unit == "percent":
        return words("percent", figures=figures)
    form = language().rules.form(figures)
    return known(words("sized", figures=figures, unit=unit_in(unit, form)), figures, unit)


def bare(figures: str, unit: str = "") -> str:
    """Figures whose unit is said elsewhere in the sentence, or that have none."""
    return known(figures, figures, unit, whole=False)


def unit_words(unit: str, one: bool = False) -> str:
    """A unit spelled out, singular or plural; one that is not in our table is taken as a noun."""
    return unit_in(unit, "one" if one else "other")


def unit_in(unit: str, form: str) -> str:
    """A unit in a plural form: from the catalogue, from our table, or as a noun like any other."""
    from explainer import units

    ours = units.ours(unit)
    told = language().units.get(units.canonical(unit) if ours else unit)
    if told:
        return told[form]
    single, many = units.singular(unit), units.plural(unit)
    if ours or single != many or not unit.replace(" ", "").isalpha():
        return single if form == "one" else many
    return language().noun(unit, form)


def with_short(figures: str, unit: str) -> str:
    """``figures`` and the unit's symbol; a unit without one (boards) is spelled out."""
    from explainer import units

    symbol = units.short(unit)
    if symbol in (units.plural(unit), ""):
        return _with_unit(figures, unit)
    return known(words("short", figures=figures, symbol=symbol), figures, unit)


def told_in(
    figures: str, unit: str, other: str, least: int = 2, finest: int | None = None
) -> str:
    """A number as it is told in ``unit``, in the unit ``other``: as sharp, without the unit.

    What is behind a number of ours is converted, and rounded once, so that a sentence and a table
    of all digits agree; of a number in prose, which is all there is, that one.  ``finest``: the
    last digit that ``unit`` is told to in that sentence, for a number that keeps it (``even``).
    """
    from explainer import units

    if not figures[-1:].isdigit() or figures == words("almost-zero"):
        return figures  # "almost 0" in any unit
    plain = float(figures.replace(",", "").replace(MINUS, "-"))
    value = figures.value if isinstance(figures, Figures) else plain
    digits = len(re.sub(r"[^0-9]", "", figures).lstrip("0"))
    if isinstance(figures, Figures) and figures.place is not None and plain:
        digits = leading(abs(plain)) - figures.place + 1  # 0.3010, though it is told as 0.301
    made, digits = float(units.convert(value, unit, other)), max(digits, least)
    if isinstance(figures, Figures) and figures.even and made:
        last = figures.last if figures.pair is None or figures.place is None else figures.place
        last = last if finest is None else min(last, finest)
        place = max(place_in(unit, other, last), LAST_PLACE)
        if figures.pair:
            first, second = (float(units.convert(v, unit, other)) for v in figures.pair)
            place = _subtracting(first, second, place)
        told = (half_up(float(units.convert(v, unit, other)), place)
                for v in figures.parts or (value,))  # fmt: skip
        return fixed(float(sum(told)), place)
    return significant(made, digits)


def place_in(unit: str, other: str, place: int, values: Sequence[float] = ()) -> int:
    """The last digit for ``values`` of ``unit`` in the unit ``other``: as fine as 10^``place``
    there is, and three digits of the largest."""
    from explainer import units

    step = abs(units.convert(10.0**place, unit, other) - units.convert(0.0, unit, other))
    largest = max((abs(units.convert(v, unit, other)) for v in values), default=0.0)
    by_size = leading(largest) - DIGITS + 1 if largest else 0
    return max(min(math.floor(math.log10(step)), by_size), FINEST)


def significant(value: float, digits: int) -> str:
    """``value`` to so many significant digits, zeros at the end among them."""
    return fixed(value, max(leading(abs(value)) - digits + 1, LAST_PLACE)) if value else "0"
