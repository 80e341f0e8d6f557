"""Figures into words, as an American reader says them: ``1,250`` is one thousand two hundred fifty.

Kept to what a study prints: whole numbers, decimals, ordinals, fractions and years.  Each
function takes the digits as text, because how a figure is written decides how it is read
(``1995`` the year, ``1,995`` the count, ``0.50`` with both places).
"""

from __future__ import annotations

from unicodedata import decimal

_UNDER_TWENTY = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
)
_BY_TENS = "- ten twenty thirty forty fifty sixty seventy eighty ninety"
_SMALL, _TENS = _UNDER_TWENTY.split(), _BY_TENS.split()
_GROUPS = ("", "thousand", "million", "billion", "trillion", "quadrillion", "quintillion")

_ORDINALS = {
    "one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth",
    "nine": "ninth", "twelve": "twelfth",
}  # fmt: skip


def cardinal(n: int) -> str:
    """A whole number below 10²¹ in words: 21 → ``twenty-one``, 105 → ``one hundred five``."""
    if n < 0:
        return f"minus {cardinal(-n)}"
    if n >= 10**21:
        return " ".join(_SMALL[int(digit)] for digit in str(n))
    if n < 20:
        return _SMALL[n]
    if n < 100:
        tens, one = divmod(n, 10)
        return _TENS[tens] + (f"-{_SMALL[one]}" if one else "")
    if n < 1000:
        hundreds, rest = divmod(n, 100)
        return f"{_SMALL[hundreds]} hundred" + (f" {cardinal(rest)}" if rest else "")
    parts = []
    for name in _GROUPS:
        n, group = divmod(n, 1000)
        if group:
            parts.append(f"{cardinal(group)} {name}".strip())
    return " ".join(reversed(parts))


def figure(text: str) -> str:
    """An unsigned figure as printed, commas and point allowed: ``0.53`` → zero point five three.

    Raises ValueError where ``text`` is not a figure.
    """
    text = "".join(str(decimal(c, c)) for c in text)  # the digits of any script
    whole, point, places = text.replace(",", "").partition(".")
    if not (whole or places) or not (whole + places).isascii() or not (whole + places).isdigit():
        raise ValueError(f"not a figure: {text!r}")
    said = cardinal(int(whole or "0"))
    if not point or not places:
        return said
    return f"{said} point {' '.join(_SMALL[int(digit)] for digit in places)}"


def ordinal_words(n: int) -> str:
    """``first``, ``twenty-second``, ``one hundredth``."""
    said = cardinal(n)
    cut = max(said.rfind(" "), said.rfind("-")) + 1
    head, last = said[:cut], said[cut:]
    if last in _ORDINALS:
        return head + _ORDINALS[last]
    return head + (f"{last[:-1]}ieth" if last.endswith("y") else f"{last}th")


def year_words(year: int) -> str:
    """A year from 1100 to 2099: ``nineteen ninety-five``, ``two thousand six``."""
    century, rest = divmod(year, 100)
    if year % 1000 < 10:
        return cardinal(year)
    if rest == 0:
        return f"{cardinal(century)} hundred"
    return f"{cardinal(century)} {f'oh {cardinal(rest)}' if rest < 10 else cardinal(rest)}"


def fraction_words(top: int, bottom: int) -> str:
    """A fraction: ``three eighths``, ``a sixteenth``, ``two and a half`` is two and this."""
    if bottom == 2:
        return "a half" if top == 1 else f"{cardinal(top)} halves"
    name = "quarter" if bottom == 4 else ordinal_words(bottom)
    if top == 1:
        return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"
    return f"{cardinal(top)} {name}s"
