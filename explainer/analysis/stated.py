"""Could a printed number have come out of the data it is said to come from?

Two checks: granularity (GRIM: Brown & Heathers 2017), whether any whole count gives the printed
mean or percentage, and recomputation, whether the data give it again within its own rounding.
The printed number is text: its trailing zeros say how finely it was rounded.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal, InvalidOperation
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from explainer.analysis.sample import pairs

#: Finer printing than this is no rounding any more; it also bounds the work a text can cause.
MOST_DIGITS = 30

#: A typeset minus becomes a hyphen; spaces are no part of the number.
_PLAIN = str.maketrans({"\u2212": "-", " ": "", "\u00a0": "", "\u2009": "", "\u202f": ""})

#: A decimal comma: thousands have three digits behind theirs, begin with no 0, and follow no point.
_DECIMAL_COMMA = re.compile(r"^([+-]?)(?=0,|\d+\.|\d+,(?!\d{3}$))(\d+|\d{1,3}(?:\.\d{3})+),(\d+)$")


#: Words that give a number its sign, and what may stand about them.
_FALLS = (
    r"falls?|fell|fallen|drop(?:s|ped)?|los(?:s|t|es?|ing)|decreas\w*|declin\w*|down|less|lower|"
    r"fewer|reduc\w*|shrinks?|shrank|shorter|minus"
)
_RISES = r"rises?|rose|risen|gain(?:s|ed)?|grow\w*|grew|increas\w*|up|more|higher|plus"
_WORDED = re.compile(
    rf"^(?:an? )?(?:(?P<falls>{_FALLS})|(?P<rises>{_RISES}))(?: of| by)?(?: about)? "
    r"(?P<number>[\d.,\u00a0\u2009\u202f]+)(?P<rest>.*)$", re.IGNORECASE
)  # fmt: skip
_SAYS_FALL = re.compile(rf"\b(?:{_FALLS})\b", re.IGNORECASE)
_SAYS_RISE = re.compile(rf"\b(?:{_RISES})\b", re.IGNORECASE)


def signed(text: str, what: str = "") -> str:
    """A printed change with the sign its words give it: "falls by 3" is −3, and so is "3" of
    something that ``what`` calls a loss.  A number that has a sign of its own keeps it."""
    worded = _WORDED.match(text.strip())
    if worded is not None:
        return f"{'-' if worded['falls'] else ''}{worded['number']}"
    plain = text.strip().translate(_PLAIN)
    fall = bool(_SAYS_FALL.search(what)) and not _SAYS_RISE.search(what)
    return f"-{plain}" if fall and plain[:1].isdigit() else text


def printed(text: str) -> Decimal | None:
    """The number in ``text`` as printed ("71.4", "−0.50", "48 %", "1,234", "falls by 3"); None if
    it is none."""
    plain = signed(text).strip().translate(_PLAIN)
    plain = plain.removesuffix("%").removesuffix("percent")
    if found := _DECIMAL_COMMA.match(plain):
        plain = f"{found[1]}{found[2].replace('.', '')}.{found[3]}"
    plain = plain.replace(",", "")
    try:
        number = Decimal(plain)
    except InvalidOperation:
        return None
    if not number.is_finite() or abs(_exponent(number)) > MOST_DIGITS or number.adjusted() > 30:
        return None
    return number


def is_share(text: str) -> bool:
    """Whether it may be printed as a share of 1 and not in percent: "0.9"."""
    number = printed(text)
    return (number is not None and 0 <= number <= 1 and _exponent(number) < 0
            and not text.strip().endswith(("%", "percent")))  # fmt: skip


def half_unit(text: str) -> float | None:
    """Half of one unit in the last printed place: 0.05 for "71.4"; None if not a number."""
    number = printed(text)
    return None if number is None else float(_unit(number) / 2)


def possible_mean(text: str, n: int, step: float | str = 1) -> bool | None:
    """Can a mean of ``n`` values, each a whole multiple of ``step``, print as ``text``?

    Rounding half up (away from zero) and half to even are both allowed for.  Always True once n
    is large against the printed places (no power); None if ``text`` is not a number.
    """
    number = printed(text)
    if number is None:
        return None
    return _possible(number, Fraction(str(step)) / n)


def possible_percent(text: str, n: int) -> bool | None:
    """Can a share of ``n`` cases, in percent or as a share of 1, print as ``text``?

    None if it is not a number.
    """
    number = printed(text)
    if number is None:
        return None
    wholes = (100, 1) if is_share(text) else (100,)
    return any(_possible(number, Fraction(whole, n), most=n) for whole in wholes)


def agrees(
    stated_text: str, recomputed: float | None, data_half_width_bound: float = 0.0
) -> bool | None:
    """Does the recomputed value lie within half a printed unit of the stated one?

    ``data_half_width_bound`` is what rounding of the published data alone can move the result
    by, in the same unit.  None if either is not a number.
    """
    number = printed(stated_text)
    if number is None or recomputed is None or not math.isfinite(recomputed):
        return None
    allowed = float(_unit(number) / 2) + data_half_width_bound
    off = abs(float(number) - recomputed)
    # A value that lies on the edge does agree, whatever the last bit of a float says.
    return off <= allowed + 1e-12 * max(abs(recomputed), allowed)


def r_rounding_bound(
    x: npt.ArrayLike, y: npt.ArrayLike, half_x: float = 0.0, half_y: float = 0.0
) -> float | None:
    """The most, to first order, that rounding of the data can move Pearson's r.

    Σ|∂r/∂datum|·half unit over all data, where x are rounded to ±``half_x`` and y to
    ±``half_y``.  None where r does not exist.
    """
    a, b = pairs(x, y)
    if a.size < 3 or np.ptp(a) == 0 or np.ptp(b) == 0:
        return None
    a, b = a - a.mean(), b - b.mean()
    length_a, length_b = float(np.linalg.norm(a)), float(np.linalg.norm(b))
    a, b = a / length_a, b / length_b
    r = float(a @ b)
    by_x = float(np.sum(np.abs(b - r * a))) / length_a
    by_y = float(np.sum(np.abs(a - r * b))) / length_b
    return half_x * by_x + half_y * by_y


def _possible(number: Decimal, grain: Fraction, most: int | None = None) -> bool:
    """Does some whole k give k·grain that rounds to ``number``?"""
    unit = _unit(number)
    target = Fraction(number)
    first = math.ceil((target - unit / 2) / grain)
    last = math.floor((target + unit / 2) / grain)
    if most is not None:
        first, last = max(first, 0), min(last, most)
    # Only the two ends can be ties; anything strictly between rounds to the number.
    return last - first >= 2 or any(
        _rounds_to(k * grain / unit, target / unit) for k in range(first, last + 1)
    )


def _rounds_to(value: Fraction, target: Fraction) -> bool:
    """Does ``value`` round to the whole number ``target``, half up or half to even?"""
    half_even = Fraction(round(value))
    away = math.floor(abs(value) + Fraction(1, 2))
    half_up = Fraction(away if value >= 0 else -away)
    return target in (half_even, half_up)


def _exponent(number: Decimal) -> int:
    """The power of ten of the last printed place: −2 for 0.50."""
    return int(number.as_tuple().exponent)


def _unit(number: Decimal) -> Fraction:
    """One unit in the last printed place."""
    return Fraction(10) ** _exponent(number)
