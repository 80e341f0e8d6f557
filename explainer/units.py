"""Units: what a study may measure in, how they convert, and how they are written and spelled.

The units bowlers and gauge makers use stand in one table below with their exact sizes, so that
checking, naming and converting them costs nothing; everything else is pint's business, which is
loaded only when a unit outside the table is met (it takes longer to start than a study to judge).

Sources: inch, foot, pound and ounce are exact (NIST SP 811, appendix B); durometer scales are
those of ASTM D2240 (E belongs to the same family); a board is 1/39 of a 41.5-inch lane (common
practice, no source).
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any, overload

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: A lane is 41.5 inches wide and 39 boards across (common practice, no source).
LANE_BOARDS = 39
LANE_WIDTH_INCHES = 41.5
BOARD_INCHES = LANE_WIDTH_INCHES / LANE_BOARDS
#: Its edges, where the middle of board 1 is 1.
LANE_EDGES = (0.5, LANE_BOARDS + 0.5)

#: Foul line to the head pin, in feet (common practice, no source).
LANE_FEET = 60.0
#: Foul line to the tail plank behind the last pins: 62 feet 10 3/16 inches (rule books).
LANE_END_FEET = 62 + 10.1875 / 12

#: The unit of a ratio of odds: a name to tell it by, that no gauge has and nobody prints.
ODDS_RATIO = "odds ratio"

DUROMETER_SCALES = ("A", "B", "C", "D", "DO", "E", "M", "O", "OO", "OOO", "OOO-S", "R")


class UnitError(ValueError):
    """Two units that do not measure the same thing, or a unit nobody knows.

    Internal: whoever reads a user's file turns it into a Problem with a place.
    """


@dataclass(frozen=True)
class Unit:
    """A unit by name; ``pint`` is what pint calls it, ``metric`` the unit shown beside it."""

    name: str
    short: str
    singular: str
    plural: str
    pint: str
    metric: str | None = None
    also: tuple[str, ...] = ()


_TABLE = (
    Unit("inch", "in", "inch", "inches", "inch", "mm", ("in", "in.", '"', "″")),
    Unit("microinch", "µin", "microinch", "microinches", "microinch", "µm",
         ("µin", "uin", "micro-inch", "micro-inches", 'µ"', "microin")),
    Unit("mil", "mil", "mil", "mils", "thou", "µm", ("thou",)),
    Unit("foot", "ft", "foot", "feet", "foot", "m", ("ft", "ft.")),
    Unit("board", "boards", "board", "boards", "board", "cm", ("bd", "bds")),
    Unit("mph", "mph", "mile per hour", "miles per hour", "mph", "km/h", ("mi/h",)),
    Unit("pound", "lb", "pound", "pounds", "pound", "kg", ("lb", "lbs", "lb.")),
    Unit("ounce", "oz", "ounce", "ounces", "ounce", "g", ("oz", "oz.")),
    Unit("µm", "µm", "micrometer", "micrometers", "micrometer", None,
         ("um", "micron", "microns", "micrometre", "micrometres")),
    Unit("mm", "mm", "millimeter", "millimeters", "millimeter", None,
         ("millimetre", "millimetres")),
    Unit("cm", "cm", "centimeter", "centimeters", "centimeter", None,
         ("centimetre", "centimetres")),
    Unit("m", "m", "meter", "meters", "meter", None, ("metre", "metres")),
    Unit("km/h", "km/h", "kilometer per hour", "kilometers per hour", "kilometer/hour", None,
         ("kph", "kmh", "kilometre per hour", "kilometres per hour")),
    Unit("kg", "kg", "kilogram", "kilograms", "kilogram"),
    Unit("gram", "g", "gram", "grams", "gram"),
    Unit("rpm", "rpm", "revolution per minute", "revolutions per minute", "rpm", None,
         ("rev/min",)),
    Unit("degree", "°", "degree", "degrees", "degree", None, ("deg", "°")),
    Unit("percent", "%", "percent", "percent", "percent", None, ("%", "per cent")),
    Unit("count", "", "count", "counts", "count", None, ("number",)),
    Unit("game", "games", "game", "games", "game"),
    Unit("shot", "shots", "shot", "shots", "shot"),
    Unit("pin", "pins", "pin", "pins", "pin"),
    Unit("hour", "h", "hour", "hours", "hour", None, ("h", "hr", "hrs")),
    Unit("minute", "min", "minute", "minutes", "minute", None, ("min",)),
    Unit("second", "s", "second", "seconds", "second", None, ("s", "sec")),
    Unit("day", "d", "day", "days", "day"),
    Unit("dollar", "dollars", "dollar", "dollars", "dollar", None, ("$", "USD")),
)  # fmt: skip

_INCH, _POUND = Fraction("0.0254"), Fraction("0.45359237")
#: What a unit of the table measures, and how many meters, kilograms, seconds … it is, exactly.
#: One that is not here measures something of its own.
_SIZES: dict[str, tuple[str, Fraction]] = {
    "inch": ("length", _INCH), "microinch": ("length", _INCH / 10**6),
    "mil": ("length", _INCH / 1000), "foot": ("length", 12 * _INCH),
    "board": ("length", Fraction(LANE_WIDTH_INCHES) / LANE_BOARDS * _INCH),
    "µm": ("length", Fraction(1, 10**6)), "mm": ("length", Fraction(1, 1000)),
    "cm": ("length", Fraction(1, 100)), "m": ("length", Fraction(1)),
    "mph": ("speed", 63_360 * _INCH / 3600), "km/h": ("speed", Fraction(1000, 3600)),
    "pound": ("mass", _POUND), "ounce": ("mass", _POUND / 16),
    "kg": ("mass", Fraction(1)), "gram": ("mass", Fraction(1, 1000)),
    "day": ("time", Fraction(86_400)), "hour": ("time", Fraction(3600)),
    "minute": ("time", Fraction(60)), "second": ("time", Fraction(1)),
}  # fmt: skip

_METRIC_HOME = {
    "mm": "inch", "µm": "microinch", "cm": "inch", "m": "foot", "km/h": "mph", "kg": "pound",
    "gram": "ounce",
}  # fmt: skip


def _key(text: str) -> str:
    """Both micro signs (U+00B5 and the Greek letter) and any case or spacing are alike."""
    return " ".join(text.replace("μ", "µ").split())


def _spellings() -> dict[str, Unit]:
    found: dict[str, Unit] = {}
    for unit in _TABLE:
        for spelling in (unit.name, unit.short, unit.singular, unit.plural, *unit.also):
            if spelling:
                found.setdefault(_key(spelling), unit)
    for scale in DUROMETER_SCALES:
        name = f"Shore {scale}"
        found[name] = Unit(name, name, name, name, "")
    return found


_BY_SPELLING = _spellings()
_BY_FOLDED = {spelling.casefold(): unit for spelling, unit in _BY_SPELLING.items()}


@lru_cache(maxsize=512)
def _own(unit: str) -> Unit | None:
    """The table's entry for a spelling; case counts only where it decides (none here do)."""
    key = _key(unit)
    return _BY_SPELLING.get(key) or _BY_FOLDED.get(key.casefold()) or _scaled(key)


_SCALES = {"thousand": "kilo", "million": "mega", "billion": "giga"}


def _scaled(key: str) -> Unit | None:
    """``million dollars``: a scale word before a unit of the table."""
    word, _, rest = key.partition(" ")
    base = _own(rest) if word.casefold() in _SCALES else None
    if base is None or not base.pint.isalpha():
        return None
    name = f"{word.casefold()} {base.plural}"
    return Unit(name, name, name, name, _SCALES[word.casefold()] + base.pint)


# What pint is asked: unit words, powers up to 9, products and quotients.  Nothing that computes.
_WORD = r"[°%]?[^\W\d_][^\W\d]*(?:(?:\^|\*\*)-?[1-9]|[²³])?"
_ASKABLE = re.compile(rf"(?=.{{1,60}}$){_WORD}(?:\s*[/*·]\s*{_WORD})*")
# Symbols that only make sense with these prefixes are mistyped words: `Ra` is not a ronna-year.
_STRANGE_PREFIXES = (
    "quetta", "ronna", "yotta", "zetta", "exa", "peta", "femto", "atto", "zepto", "yocto",
    "ronto", "quecto", "exbi", "pebi", "zebi", "yobi", "kibi", "mebi", "gibi", "tebi",
)  # fmt: skip
_ANGLES = ("radian", "degree", "turn", "arcminute", "arcsecond", "grade")


@lru_cache(maxsize=1)
def _registry() -> Any:
    """pint with exact fractions (so that 1 in is 25.4 mm to the last digit) and our units."""
    import pint

    registry: Any = pint.UnitRegistry(on_redefinition="ignore", non_int_type=Fraction)
    registry.define(f"board = {LANE_WIDTH_INCHES} / {LANE_BOARDS} * inch")
    registry.define("game = [game]")
    registry.define("shot = [shot]")
    registry.define("pin = [pin]")
    registry.define("dollar = [currency]")
    return registry


@lru_cache(maxsize=512)
def _pint(unit: str) -> Any | None:
    """pint's unit, or None where pint does not know it (or only as something absurd)."""
    own = _own(unit)
    if own is not None and not own.pint:
        return None
    name = own.pint if own else _key(unit)
    if not name or not _ASKABLE.fullmatch(name):
        return None
    try:
        parsed = _registry().parse_units(name)
    except Exception:  # the tokenizer and evaluator let through errors of many classes
        return None
    if own is None and any(str(part).startswith(_STRANGE_PREFIXES) for part in parsed._units):
        return None
    return parsed


def canonical(unit: str) -> str:
    """The table's own name for a spelling (``inches`` → ``inch``); others stay as written."""
    own = _own(unit)
    return own.name if own else unit


def ours(unit: str) -> bool:
    """Whether ``unit`` is in the table (a scale word before it allowed) or a durometer scale."""
    return _own(unit) is not None


def names() -> tuple[str, ...]:
    """The names of the units in the table."""
    return tuple(unit.name for unit in _TABLE)


def known(unit: str) -> bool:
    """Whether ``unit`` is in the table, a durometer scale, or known to pint."""
    return _own(unit) is not None or _pint(unit) is not None


def nearest(unit: str) -> str | None:
    """The known unit spelled most like ``unit``, None where nothing is close."""
    close = difflib.get_close_matches(_key(unit).casefold(), _BY_FOLDED, n=1, cutoff=0.6)
    return _BY_FOLDED[close[0]].name if close else None


def _kind(unit: str) -> tuple[Any, str]:
    """What a unit measures.  Angles and counts have no dimension in pint but are not alike."""
    own = _own(unit)
    if own is not None and not own.pint:
        return own.name, ""
    parsed = _pint(unit)
    if parsed is None:
        raise UnitError(f"unknown unit `{unit}`")
    parts = {str(part) for part in parsed._units}
    turning = any(p.endswith(_ANGLES) or p.startswith("revolution") for p in parts)
    special = "angle" if turning else "count" if parts == {"count"} else ""
    return parsed.dimensionality, special


def alike(first: str, second: str) -> bool:
    """Whether values in one unit can be converted to the other.  False for unknown units."""
    if canonical(first) == canonical(second):
        return known(first)
    sizes = _sizes(first, second)
    if sizes is not None:
        return sizes[0][0] == sizes[1][0]
    if not _has_size(first) or not _has_size(second):
        return False
    try:
        return _kind(first) == _kind(second)
    except UnitError:
        return False


def _has_size(unit: str) -> bool:
    """Whether a unit can be converted at all; asked before pint, which is half a second to load."""
    own = _own(unit)
    return own is None or bool(own.pint)


def _sizes(first: str, second: str) -> tuple[tuple[str, Fraction], tuple[str, Fraction]] | None:
    """Kind and size of two units that both have a row of their own in the table, else None."""
    one, other = _BY_SPELLING.get(canonical(first)), _BY_SPELLING.get(canonical(second))
    if one is None or other is None:
        return None
    own = Fraction(1)
    return _SIZES.get(one.name, (one.name, own)), _SIZES.get(other.name, (other.name, own))


@lru_cache(maxsize=512)
def _factor(from_unit: str, to_unit: str) -> tuple[float, float]:
    """(scale, offset) with to = scale·from + offset, worked out exactly and rounded once."""
    sizes = _sizes(from_unit, to_unit)
    if sizes is not None and sizes[0][0] == sizes[1][0]:
        return float(sizes[0][1] / sizes[1][1]), 0.0
    if sizes is not None:
        raise UnitError(f"`{from_unit}` does not convert to `{to_unit}`")
    if _kind(from_unit) != _kind(to_unit):
        raise UnitError(f"`{from_unit}` does not convert to `{to_unit}`")
    import pint

    registry, source, target = _registry(), _pint(from_unit), _pint(to_unit)
    try:
        at = [registry.Quantity(Fraction(n), source).to(target).magnitude for n in range(3)]
    except pint.errors.PintError as error:
        raise UnitError(f"`{from_unit}` does not convert to `{to_unit}`") from error
    zero, one, two = (Fraction(value) for value in at)
    if abs(two - 2 * one + zero) > Fraction(1, 10**9) * max(Fraction(1), abs(two)):
        raise UnitError(f"`{from_unit}` does not convert to `{to_unit}` by a straight line")
    return float(one - zero), float(zero)


@overload
def convert(values: float, from_unit: str, to_unit: str) -> float: ...
@overload
def convert(values: NDArray[np.float64], from_unit: str, to_unit: str) -> NDArray[np.float64]: ...
def convert(
    values: float | NDArray[np.float64], from_unit: str, to_unit: str
) -> float | NDArray[np.float64]:
    """``values`` (a float or an array of any shape) in ``from_unit``, given in ``to_unit``.

    Raises UnitError where the two do not measure the same thing: lengths and weights, counts
    and percentages, or two durometer scales, between which no conversion exists.
    """
    source, target = canonical(from_unit), canonical(to_unit)
    if source == target:
        if not known(source):
            raise UnitError(f"unknown unit `{from_unit}`")
        return values
    scale, offset = _factor(source, target)
    return values * scale + offset if offset else values * scale


def short(unit: str) -> str:
    """The unit as written behind a number: ``µin``, ``mph``, ``boards``; empty for a count."""
    own = _own(unit)
    return own.short if own else unit


def singular(unit: str) -> str:
    """The unit spelled out, for one: ``microinch``, ``mile per hour``."""
    own = _own(unit)
    return own.singular if own else _spelled(unit, many=False)


def plural(unit: str) -> str:
    """The unit spelled out, for any other number: ``microinches``; ``Shore D`` stays itself."""
    own = _own(unit)
    return own.plural if own else _spelled(unit, many=True)


_POWER = re.compile(r"(.+?)(?<!\s)\s*(?:\^|\*\*)?([23²³])")
#: What takes an s: a word, or several (light year); what is shorter or has capitals is a symbol.
_NOUN = re.compile(r"(?=.{4})[^\W\d_]+(?: [^\W\d_]+)*(?<![sxz])")
_POWERS = {"2": "square", "²": "square", "3": "cubic", "³": "cubic"}


def _spelled(unit: str, many: bool) -> str:
    """A unit outside the table in words: ``count/minute`` → ``counts per minute``, ``m^3``."""
    top, *below = (part.strip() for part in unit.replace("_", " ").split("/"))
    return " per ".join((_word(top, many), *(_word(part, False) for part in below)))


def _word(part: str, many: bool) -> str:
    power = _POWER.fullmatch(part)
    name = power[1] if power else part
    own = _own(name)
    if own is not None:
        name = own.plural if many else own.singular
    elif many and _NOUN.fullmatch(name) and name.islower():
        name += "s"
    return f"{_POWERS[power[2]]} {name}" if power else name


def metric_of(unit: str) -> str | None:
    """The metric unit shown beside an inch, microinch, board, mph, foot, pound or ounce."""
    own = _own(unit)
    return own.metric if own else None


def inch_of(unit: str) -> str | None:
    """The US unit shown beside a metric one (``mm`` → ``inch``), None for all others."""
    return _METRIC_HOME.get(canonical(unit))
