"""Numbers, units and signs as they are said aloud, for a script that someone will read out.

``−21 µin (95% range −25 to −17)`` becomes *minus twenty-one microinches, ninety-five percent
range minus twenty-five to minus seventeen*.  The work is a table of small steps, each text in
and text out, in the order they must run: what depends on figures (units, ranges, years) comes
before the figures themselves turn into words.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from explainer import units
from explainer.words.quantity.numerals import (
    cardinal,
    figure,
    fraction_words,
    ordinal_words,
    year_words,
)

#: A figure as printed: 8, 1,250, 0.53, .5 (bounded, so that no text takes long to search)
FIGURE = r"(?:\d{1,3}(?:,\d{3}){1,6}|\d{1,21})(?:\.\d{1,15})?|\.\d{1,15}"
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def spoken(text: str) -> str:
    """``text`` with every figure, unit symbol, sign and abbreviation in words."""
    for step in STEPS:
        text = step(text)
    return text


def _same_signs(text: str) -> str:
    """One spelling for each sign: micro, minus, plus-or-minus; one space between words."""
    text = text.replace("μ", "µ").replace("+/-", "±").replace("+/−", "±")
    text = re.sub(r"[^\S\n]+", " ", text)
    return re.sub(r"(?<![\w.)%°])[-–](?=\.?\d)", "−", text)


_ABBREVIATIONS = {
    r"\bvs\.?(?!\w)": "versus", r"\be\.g\.,?": "for example,", r"\bi\.e\.,?": "that is,",
    r"\betc\.": "and so on", r"\bapprox\.": "about", r"\bno\. ?(?=\d)": "number ",
    r"\bNo\. ?(?=\d)": "number ", r"#(?=\d)": "number ", r"\bFig\. ?(?=\d)": "Figure ",
    r"\bfig\. ?(?=\d)": "figure ", r"\bpp\. ?(?=\d)": "pages ", r"\bp\. ?(?=\d)": "page ",
    r"\bavg\.": "average", r"\bmax\.": "maximum", r"\bSD\b": "standard deviation",
}  # fmt: skip


def _abbreviations(text: str) -> str:
    for pattern, said in _ABBREVIATIONS.items():
        text = re.sub(pattern, said, text)
    return text


def _dates(text: str) -> str:
    """2026-02-11 and 2/11/2026 → February eleventh, twenty twenty-six."""

    def said(found: re.Match[str]) -> str:
        year, month, day = (int(part) for part in found.groups())
        if not 1 <= month <= 12 or not 1 <= day <= 31:
            return found.group()
        return f"{_MONTHS[month - 1]} {ordinal_words(day)}, {year_words(year)}"

    text = re.sub(r"\b(\d\d?)/(\d\d?)/((?:19|20)\d\d)\b", r"\3-\1-\2", text)
    text = re.sub(r"\b((?:1[1-9]|20)\d\d)-(\d\d?)-(\d\d?)\b", said, text)
    return re.sub(
        rf"\b({'|'.join(_MONTHS)}) (\d{{1,2}})(?=,|\s|$|\.(?!\d))(?! ?[−–-] ?\d)",
        lambda m: f"{m[1]} {ordinal_words(int(m[2]))}",
        text,
    )


def _clock_and_ratio(text: str) -> str:
    """7:30 pm → seven thirty p.m.; an oil ratio 10:1 → ten to one."""

    def clock(found: re.Match[str]) -> str:
        hour, minute, half = int(found[1]), int(found[2] or 0), found[3].lower()
        past = "" if not minute else f" {'oh ' if minute < 10 else ''}{cardinal(minute)}"
        return f"{cardinal(hour)}{past} {half}.m."

    text = re.sub(r"\b(\d{1,2})(?::(\d\d))? ?([apAP])\.?m\b\.?", clock, text)
    return re.sub(rf"({FIGURE}):({FIGURE})(?![\d:])", r"\1 to \2", text)


def _money(text: str) -> str:
    """$5 → five dollars; $1.50 → one dollar and fifty cents."""

    def said(found: re.Match[str]) -> str:
        whole, cents = int(found[1].replace(",", "")), int(found[2] or 0)
        dollars = f"{cardinal(whole)} dollar{'' if whole == 1 else 's'}"
        return f"{dollars} and {cardinal(cents)} cents" if cents else dollars

    return re.sub(r"\$(\d[\d,]{0,18}\d|\d)(?:\.(\d\d))?(?![\d.]\d)", said, text)


def _splits(text: str) -> str:
    """Pins left standing are named one by one: the 7-10 split is the seven ten split."""
    return re.sub(
        r"\b(\d{1,2})-(\d{1,2})(?:-(\d{1,2}))?(?= split)",
        lambda m: " ".join(cardinal(int(pin)) for pin in m.groups() if pin),
        text,
    )


_BEFORE_FIGURES = {
    "≥": "at least", "≤": "at most", ">=": "at least", "<=": "at most", "<": "less than",
    ">": "more than", "≈": "about", "~": "about", "±": "plus or minus", "+": "plus",
    "−": "minus",
}  # fmt: skip


def _signs(text: str) -> str:
    """± 2 → plus or minus two; −21 → minus twenty-one; r = 0.7 → r equals zero point seven."""
    freedom = r"\1 with \2 degrees of freedom"
    text = re.sub(r"(?<!\w)([trFχ]²?)\((\d+)\)(?= ?[=<>])", freedom, text)
    text = text.replace(" 1 degrees of freedom", " 1 degree of freedom")
    text = re.sub(r" ?(?<![<>=])= ?(?=[−+]?[\d.])", " equals ", text)
    text = re.sub(r"(?<=\w) ?(≥|≤|>=|<=|<|>|≈) ?(?=[−+]?\.?\d)", r" \1 ", text)
    for sign, said in _BEFORE_FIGURES.items():
        text = re.sub(rf"{re.escape(sign)} ?(?=[−+]?\.?[\d½¼¾])", f"{said} ", text)
    return text


def _ranges(text: str) -> str:
    """17–25 → 17 to 25; 71 → 50 → seventy-one to fifty."""
    text = re.sub(r"(?<=[\d%°]) ?→ ?(?=(?:minus )?\.?\d)", " to ", text)
    text = re.sub(r"(?<=[\d%°]) ?[–—] ?(?=(?:minus )?\.?\d)", " to ", text)
    return re.sub(r"(?<=\d)-(?=(?:minus )?\d)", " to ", text)


_GLYPHS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8",
           "⅝": "5/8", "⅞": "7/8"}  # fmt: skip
_BOTTOMS = (2, 3, 4, 5, 6, 8, 10, 12, 16, 32, 64)


def _fractions(text: str) -> str:
    """2½ inches → two and a half inches; 3/8 in → three eighths of an inch; 50/50."""
    for glyph, written in _GLYPHS.items():
        text = re.sub(rf"(?<=\d) ?{glyph}", f" {written}", text).replace(glyph, written)

    def said(found: re.Match[str]) -> str:
        whole, top, bottom, of = found[1], int(found[2]), int(found[3]), found[4]
        if bottom not in _BOTTOMS or top >= bottom:
            return found.group()
        part = fraction_words(top, bottom)
        if of and of.startswith("-"):  # a 2½-inch pad
            part = "half" if (top, bottom, whole) == (1, 2, None) else part
            words = f"{figure(whole.strip())} and {part} inch" if whole else f"{part} inch"
            return words.replace(" ", "-")
        if whole:
            return f"{figure(whole.strip())} and {part}{' inches' if of else ''}"
        if of is None:
            return part
        return "half an inch" if bottom == 2 else f"{part} of an inch"

    inch = r"(?:[ -](?:of an inch|inch(?:es)?\b|in\.(?=\s+[a-z]|,)|in\b(?=[),;:.]|$))|[\"″])"
    text = re.sub(
        rf"(?<![\d/.,])(\d{{1,15}} )?(\d{{1,2}})/(\d{{1,2}})(?![\d/])({inch})?", said, text
    )
    text = re.sub(r"\b\d{1,15}(?:/\d{1,15}){2,}", lambda m: m[0].replace("/", ", "), text)
    return re.sub(r"(?<=\d)/(?=\d)", " ", text)


#: Symbols that only count as units behind a figure, and the unit each stands for.
_SYMBOLS = {
    "µin": "microinch", "µm": "µm", "mm": "mm", "cm": "cm", "km/h": "km/h", "mph": "mph",
    "rpm": "rpm", "ft": "foot", "lbs": "pound", "lb": "pound", "oz": "ounce", "kg": "kg",
    "g": "gram", "mils": "mil", "mil": "mil", "min": "minute", "h": "hour", "hr": "hour",
    "s": "second", "m": "m", "%": "percent", "°": "degree", "″": "inch", "′": "foot",
    "in": "inch",
}  # fmt: skip
_PER = {"ft/s": "feet per second", "m/s": "meters per second", "ft/min": "feet per minute",
        "°F": "degrees Fahrenheit", "°C": "degrees Celsius"}  # fmt: skip
_POWERS = {"²": "square", "³": "cubic"}

#: ``8 in 10`` is not eight inches: the bare symbol needs a close or a word of size behind it.
_IN_ENDS = re.compile(
    r"\s*(?:[),;:×(]|$|\.(?=\s|$)"
    r"|(?:wide|thick|deep|long|high|tall|across|apart|from|to|of|per)\b"
    r"|(?:more|less)\b(?! than (?!(?:[\d.,]+|a|an|one|half an?) in(?:ch)?\b))"
    r"|(?:and|or|by) [\d.]+ in\b)"
)
#: A figure that numbers something is no length: in weeks 10 to 12 in more than half of them.
_NUMBERED = re.compile(
    rf"\b(?:weeks?|games?|frames?|shots?|days?|months?|nights?|hours?|years?|rows?|blocks?|"
    rf"rounds?|turns?) (?:(?:{FIGURE}) (?:to|and|or) )?$"
)
_SYMBOL = "|".join(re.escape(s) for s in sorted([*_SYMBOLS, *_PER], key=len, reverse=True))
_WITH_UNIT = re.compile(rf"({FIGURE})( ?|-)({_SYMBOL})([²³])?(\.(?=\s+[a-z(])|\.(?=,))?(?![\w²³/])")


def _units(text: str) -> str:
    """25 µin → 25 microinches; a 60-ft lane → 60-foot lane; 5 in² → 5 square inches."""

    def said(found: re.Match[str]) -> str:
        number, gap, symbol, power = found[1], found[2], found[3], found[4]
        if symbol in _PER:
            return f"{number} {_PER[symbol]}"
        bare = symbol == "in" and gap != "-" and not (power or found[5])
        numbered = bare and _NUMBERED.search(text[max(0, found.start() - 60) : found.start()])
        if numbered or (bare and not _IN_ENDS.match(text, found.end())):
            return found.group()
        unit = _SYMBOLS[symbol]
        one = number == "1" or gap == "-"
        words = units.singular(unit) if one else units.plural(unit)
        if power:
            words = f"{_POWERS[power]} {words}"
        return f"{number}{'-' if gap == '-' else ' '}{words}"

    text = re.sub(rf"({FIGURE})['′] ?({FIGURE})[\"″]", r"\1 ft \2″", text)
    text = _inch_marks(text)
    return _WITH_UNIT.sub(said, text)


def _inch_marks(text: str) -> str:
    """8.5" is inches, unless the mark closes words in quotes: he said "over 80" and left."""
    pieces, quoting = text.split('"'), False
    for i, piece in enumerate(pieces[:-1]):
        inches = piece[-1:].isdigit() and not quoting and not pieces[i + 1][:1].isalnum()
        quoting = quoting if inches else not quoting
        pieces[i] += "″" if inches else '"'
    return "".join(pieces)


def _times(text: str) -> str:
    """10× → ten times; 3 × 5 → three by five; R² → R squared."""
    text = re.sub(r"(?<=[\da-z]) ?× ?(?=\d)", " by ", text)
    text = re.sub(r"(?<=\d) ?×", " times", text)
    return text.replace("²", " squared").replace("³", " cubed")


def _plurals(text: str) -> str:
    """1,000s → thousands; the 1990s → the nineteen nineties."""

    def said(found: re.Match[str]) -> str:
        digits = found[1].replace(",", "")
        is_year = "," not in found[1] and len(digits) == 4 and int(digits) % 1000 >= 100
        words = year_words(int(digits)) if is_year else cardinal(int(digits))
        words = words.removeprefix("one ") if digits.strip("0") == "1" else words
        return words[:-1] + "ies" if words.endswith("y") else words + "s"

    return re.sub(r"\b(\d[\d,]{0,18}0)'?s\b", said, text)


def _ordinals(text: str) -> str:
    """3rd → third; 21st → twenty-first."""
    return re.sub(
        r"\b(\d[\d,]{0,18})(?:st|nd|rd|th)\b",
        lambda m: ordinal_words(int(m[1].replace(",", ""))),
        text,
    )


#: Words ending in s that may follow a year; any other one is a thing that is counted.
_NOT_COUNTED = r"(?:was|is|has|its|as|this|versus|plus|across|does|rules?|results)\b"


def _years(text: str) -> str:
    """2026 → twenty twenty-six, unless a unit or a thing counted follows (2000 shots)."""
    counted = rf"(?!,\d|\.\d| (?!{_NOT_COUNTED})[a-z]+s\b| (?:square|cubic|feet|rpm|grit)\b)"
    text = re.sub(
        rf"(?<![\w.,/−])((?:19|20)\d\d)(?![\w%°/]){counted}", lambda m: year_words(int(m[1])), text
    )
    return re.sub(
        rf"\b([Ii]n|[Ss]ince) (1[1-8]\d\d)(?![\w%°/]){counted}",
        lambda m: f"{m[1]} {year_words(int(m[2]))}",
        text,
    )


#: Behind a figure: something that is counted, in the plural.
_MANY = re.compile(r" [a-z]+s\b")
#: Before a figure that is a place and not an amount: section 3.10 is not section 3.1.
_PLACE = re.compile(r"(?:section|chapter|rule|version|figure|table|number) $", re.IGNORECASE)


def _figures(text: str) -> str:
    """What figures are left, in words; apart from letters they touch (A4 → A four).

    Zeros at the end are not said (8.0 is eight, 0.20 zero point two), but for *one point zero
    boards*.
    """

    def said(found: re.Match[str]) -> str:
        if found[1]:  # section 3.2.1
            words = " point ".join(map(figure, found[0].split(".")))
        else:
            words = figure(_short(found[0], text[: found.start()], text[found.end() :]))
        before = text[found.start() - 1] if found.start() else " "
        after = text[found.end()] if found.end() < len(text) else " "
        words = f" {words}" if before.isalpha() else words
        return f"{words} " if after.isalpha() else words

    return re.sub(rf"(\d+(?:\.\d+){{2,}})|{FIGURE}", said, text)


def _short(printed: str, before: str, after: str) -> str:
    """A figure without the zeros that only say how finely it was rounded."""
    if "." not in printed or printed.startswith(".") or _PLACE.search(before[-10:]):
        return printed
    short = printed.rstrip("0").rstrip(".")
    return "1.0" if short == "1" and _MANY.match(after) else short


_LEFT_OVER = {
    "µin": "microinches", "µm": "micrometers",
    "%": " percent", "&": "and", "→": "to", "±": "plus or minus", "≈": "about",
    "<": "less than", ">": "more than", "≤": "at most", "≥": "at least", "χ": "chi",
    "σ": "sigma", "Δ": "delta", "µ": "micro",
}  # fmt: skip


def _leftovers(text: str) -> str:
    """Signs that stand alone."""
    for sign, said in _LEFT_OVER.items():
        text = text.replace(sign, said)
    return text.replace(" = ", " equals ")


def _brackets(text: str) -> str:
    """An aside in brackets is an aside between commas."""
    text = re.sub(r"(?:(?<!\s)\s+)?[(\[]\s*", ", ", text)
    text = re.sub(r"(?:(?<!\s)\s+)?[)\]](?=\s*(?:[,.;:!?]|$))", "", text)
    text = re.sub(r"(?:(?<!\s)\s+)?[)\]]\s*", ", ", text)
    return re.sub(r"^, ", "", text)


def _tidy(text: str) -> str:
    return re.sub(r"[^\S\n]{2,}", " ", text)


Step = Callable[[str], str]

#: In the order they run.
STEPS: tuple[Step, ...] = (
    _same_signs, _abbreviations, _dates, _clock_and_ratio, _money, _splits, _signs, _ranges,
    _fractions, _plurals, _units, _times, _ordinals, _years, _figures, _leftovers, _brackets,
    _tidy,
)  # fmt: skip


# How long a text takes to say, counted on what is said and not on what is printed.

_SAID = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


def said_words(text: str) -> int:
    """Words of ``text`` when read aloud: ``−21 µin`` has four, ``twenty-one`` two."""
    return len(_SAID.findall(spoken(text)))


def minutes(text: str, words_per_minute: float) -> float:
    """Minutes to say plain ``text`` at a speaking rate in words per minute (above 0).

    Raises ValueError for a rate that is not above 0.
    """
    if not words_per_minute > 0:
        raise ValueError("words_per_minute must be above 0")
    return said_words(text) / words_per_minute
