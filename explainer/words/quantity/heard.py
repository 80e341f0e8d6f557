"""Sizes for an ear: *about half a board*, *a little over two boards*, *40 thousandths of an inch*.

Somebody who listens keeps a size they can picture and loses a decimal.  So a size is told in
wholes, halves, simple fractions or thousandths, never as *zero point something*, and with the word
that says how near that is.  What is told without *a little* is within a tenth of the size
(``test_heard.py``); the figure itself, with its range, is on the screen and on the page.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from typing import NamedTuple

from explainer import units
from explainer.words.quantity.numbers import unit_words
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import NOTHING

#: Parts of one, and what they are called before ``of a board``.
_PARTS: tuple[tuple[float, str], ...] = (
    (0.1, "a tenth"), (0.125, "an eighth"), (1 / 6, "a sixth"), (0.2, "a fifth"),
    (0.25, "a quarter"), (0.3, "three tenths"), (1 / 3, "a third"), (0.4, "two fifths"),
    (0.5, "half"), (0.6, "three fifths"), (2 / 3, "two thirds"), (0.7, "seven tenths"),
    (0.75, "three quarters"), (0.8, "four fifths"), (0.9, "nine tenths"),
)  # fmt: skip
#: By what share of itself a size may be rounded for an ear without *a little over* or *under*.
NEAR = 0.1
#: Units of a scale, of which nobody has half a one in the hand.
_SCALES = {"r": "", "": "", "count": ""}


def about(value: float | None, unit: str) -> str:
    """A size without its sign, ready to follow a verb: ``about half a board``.

    ``unit`` is one of ours, or one of a verdict: ``rate`` and ``share`` (1 is the whole),
    ``percent``, ``relative``, ``r``.  An unknown value gives *not known*.
    """
    return told(value, unit, near="about ")


def plain(value: float | None, unit: str) -> str:
    """The same without *about*, for an end of a range: ``half a board``."""
    return told(value, unit, near="")


def at_least(value: float, unit: str) -> str:
    """The same for the end that a size is no less than: never rounded up, but told as a little
    under the size above where that is by far the nearer one, or the one below is far off."""
    scale = 100.0 if unit in ("rate", "share") else 1.0
    size = abs(value) * scale
    if size < 9.5:
        return _no_more(value, size, scale, unit)
    step = 10.0 ** max(math.floor(math.log10(size)) - 1, 0)
    return plain(max(math.floor(size / step + 1e-9) * step, 9.0) / scale, unit)


def _no_more(value: float, size: float, scale: float, unit: str) -> str:
    """Of less than ten: a near size that has a word, which is no larger or said to be."""
    said = plain(value, unit)
    if "a little" in said or said == NOTHING or (scale * size != size and size < 0.95):
        return said
    small = _in_thousandths(size, unit) or size < 0.09
    if small:
        parts = next((n for n in (100, 1000, 1_000_000) if size * n >= 0.95), 0)
        parts = 1000 if unit == "inch" and parts == 100 else parts
        whole = math.floor(size * parts + 1e-9) if parts else 0
        below = whole / parts if parts and size * parts < 100 else size
        above = (whole + 1) / parts if parts else math.inf
    else:
        below = max((s for s in _WORDED if s <= size + 1e-9), default=0.0)
        above = min((s for s in _WORDED if s > size), default=math.inf)
    if below >= size * (1 - 1e-9):
        return said
    lower = plain(below / scale, unit)
    # 1.744 is one and three quarters to anybody, and one and two thirds to nobody
    far = small and below < (1 - NEAR) * size
    if 3 * (above - size) < size - below or (far and above <= (1 + NEAR) * size):
        return f"a little under {plain(above / scale, unit)}"
    if far:
        step = 10.0 ** (math.floor(math.log10(size)) - 1)
        return plain(math.floor(size / step + 1e-9) * step / scale, unit)
    return lower if said == lower or below >= 0.85 * size else f"a little under {said}"


def told(value: float | None, unit: str, near: str) -> str:
    """A size with ``near`` before it where it is told as a round one."""
    if value is None or not math.isfinite(value):
        return "not known"
    size = abs(value)
    if unit == "rate":
        return _in_a_hundred(100 * size, near)
    if unit == "percentage point":  # seven in a hundred fewer strikes would be a share of them
        small = size < 0.95
        return f"less than one {unit}" if small else _sized(size, unit, near)
    if unit in ("share", "percent", "relative"):
        return _whole(100 * size if unit == "share" else size, near, "percent")
    return _sized(size, unit, near)


def _in_a_hundred(size: float, near: str) -> str:
    """A gap between two rates, as what comes of a hundred tries."""
    if size < 0.95:
        return "less than one in a hundred"
    return f"{_few(size, near)} in a hundred"


def _whole(size: float, near: str, word: str) -> str:
    if size < 0.95:
        return f"less than one {word}"
    return f"{_few(size, near)} {word}"


def _few(size: float, near: str) -> str:
    return _over_one(size, "", near) if size < 9.5 else _rounded(size, near)


def _rounded(size: float, near: str) -> str:
    """A whole number of two digits at most, and a half that is just that."""
    rounded = _two(size)
    return f"{near}{int(rounded):,}{' and a half' if rounded % 1 else ''}"


def _sized(size: float, unit: str, near: str) -> str:
    if size >= 9.5:
        return f"{_rounded(size, near)}{_many(unit)}"
    if size >= 0.95:
        return _over_one(size, unit, near)
    if size >= 0.09 and not _in_thousandths(size, unit):
        part, word = min(_PARTS, key=lambda p: abs(math.log(size / p[0])))
        side = "a little over " if part < (1 - NEAR) * size else (
            "a little under " if part > (1 + NEAR) * size else "")
        return f"{side or near}{word}{_of_one(unit, bare=part == 0.5)}"
    return _thousandths(size, unit, near)


#: From this much past a whole number on -> what is said; the finer ones below three only.
_PAST: tuple[tuple[float, str], ...] = (
    (0.1, "over"), (0.176, "a fifth"), (0.225, "a quarter"), (0.29, "a third"),
    (0.367, "two fifths"), (0.45, "a half"), (0.55, "three fifths"), (0.634, "two thirds"),
    (0.71, "three quarters"), (0.82, "under"), (0.95, "next"),
)  # fmt: skip
_COARSE: tuple[tuple[float, str], ...] = (
    (0.1, "over"), (0.35, "a half"), (0.65, "under"), (0.9, "next"),
)

#: Sizes up to ten that have words of their own, but for hundredths and less.
_WORDED = tuple(sorted((
    *(size for size, _ in _PARTS),
    *(n + part for n in (1, 2) for part in (0.2, 0.25, 1 / 3, 0.4, 0.5, 0.6, 2 / 3, 0.75)),
    *(n + part for n in range(3, 10) for part in (0.0, 0.5) if n + part < 9.5), 1.0, 2.0,
)))  # fmt: skip


def _over_one(size: float, unit: str, near: str, fine: bool = False) -> str:
    """One to ten of a unit (``fine``: or more): in wholes, with the part that is over."""
    whole, rest = int(size), size - int(size)
    if rest < 1e-9:
        return f"{near}{_count(whole, unit)}"
    steps = _PAST if whole < 3 or fine else _COARSE
    past = [word for least, word in steps if rest >= least - 1e-9]
    word = past[-1] if past else ""
    if not word:
        return f"{near}{_count(whole, unit)}"
    if word in ("over", "under"):
        return f"a little {word} {_count(whole + (word == 'under'), unit)}"
    if word == "next":
        return f"{near}{_count(whole + 1, unit)}"
    return f"{near}{_and_a_part(whole, word, unit)}"


def _in_thousandths(size: float, unit: str) -> bool:
    """Whether the trade counts such a size in thousandths of an inch."""
    return unit == "inch" and size < 0.1


_SMALL = ((100, "hundredth"), (1000, "thousandth"), (1_000_000, "millionth"))


def _thousandths(size: float, unit: str, near: str) -> str:
    """Hundredths, thousandths or millionths of one: as coarse a part as still counts in wholes."""
    for many, word in _SMALL[1:] if unit == "inch" else _SMALL:
        if size * many >= 0.95:
            whole = round(size * many) if size * many < 10 else int(_two(size * many))
            if whole > 9 or abs(whole - size * many) <= NEAR * size * many:
                return f"{near}{whole} {word}{'' if whole == 1 else 's'}{_of_one(unit)}"
    return NOTHING


def _two(size: float) -> float:
    """Two digits of a size of 9.5 or more, and a half that is just that."""
    if size < 100 and size % 1 == 0.5:
        return size
    places = max(math.floor(math.log10(size)) - 1, 0)
    return round(size, -places)


def _count(n: int, unit: str) -> str:
    """A few of a unit, in words, so that no count opens on a figure: ``one board``."""
    if unit in _SCALES:
        return cardinal(n)
    return f"{cardinal(n)} {_one(unit) if n == 1 else _many(unit).strip()}"


def _and_a_part(whole: int, part: str, unit: str) -> str:
    """``a board and a half``, ``two and a third boards``."""
    if whole == 1 and part == "a half" and unit not in _SCALES and " " not in _one(unit):
        return f"{_article(_one(unit))} {_one(unit)} and a half"
    return f"{cardinal(whole)} and {part}{_many(unit)}"


def _one(unit: str) -> str:
    """One of a unit.  A scale without a unit of its own has steps."""
    return f"{unit} step" if unit.startswith("Shore ") else unit_words(unit, one=True)


def _many(unit: str) -> str:
    """The unit behind more than one, with the space before it."""
    if unit in _SCALES:
        return ""
    return f" {unit} steps" if unit.startswith("Shore ") else f" {unit_words(unit)}"


def _of_one(unit: str, bare: bool = False) -> str:
    """Behind a part: `` of a board``; `` a board`` behind *half*."""
    if unit in _SCALES:
        return ""
    return f"{' ' if bare else ' of '}{_article(_one(unit))} {_one(unit)}"


def _article(word: str) -> str:
    silent = word.startswith("hour")
    return "an" if silent or (word[:1] in "aeiou" and not word.startswith(("uni", "use"))) else "a"


# --- numbers that stand in a finished sentence

_FIGURE = (
    r"(?<![\w.,/−-])(?P<sign>−?)(?P<number>\d{1,3}(?:,\d{3})+|\d+)?(?P<places>\.\d+)(?!\.\d|\w)"
)
_PLACE = re.compile(r"\b(?:section|chapter|rule|version|table|figure|page) $", re.IGNORECASE)
_NEAR = re.compile(r"\b(?:about|likely|around|roughly|nearly|almost)\s$", re.IGNORECASE)


def in_words(text: str) -> str:
    """``text`` with each decimal as an ear takes it: ``0.89 boards`` is *nine tenths of a board*.

    Whole numbers stay as they are.  A place such as section 3.10, a time, a size of several parts
    and a number of more than three places stay, too: they are not sizes to picture.
    """
    fine = _blurred(text)
    found = [f for f in map(_figure, re.finditer(_FIGURE, text)) if f is not None]
    words = [(f, (_is_set(text, f) and _as_set(f)) or _said(f, fine)) for f in found]
    out, at = [], 0
    for figure, said in words:
        if figure.start < at:
            continue
        # What reads apart must sound apart: whoever compares two has nothing else to go by.
        same = {f.value for f, other in words if _alike(said, other)}
        said = _finer(figure, same) or said if len(same) > 1 else said
        if figure.level:  # a reading on a scale, not so many steps of it
            said = re.sub(r" steps?\b", "", said)
        before = text[at : figure.start]
        if _NEAR.search(text[: figure.start]):
            said = said.removeprefix("about ")
        if said.startswith("a little"):  # about a little over five is no English
            before = _NEAR.sub("", before)
        out += [before, figure.minus + said]
        at = figure.end
    return "".join([*out, text[at:]])


#: What stands about a limit, which is held to its last digit.
_LIMIT_OF = re.compile(r"\blimits? of $")
_OR_MORE = re.compile(r" or (?:more|less)\b")


def _is_set(text: str, figure: _Figure) -> bool:
    """Whether a figure is a limit that no round words are exact for: 0.299 is not three tenths."""
    about = _OR_MORE.match(text, figure.end) or _LIMIT_OF.search(text, 0, figure.start)
    return bool(figure.near and about)


def _as_set(figure: _Figure) -> str:
    """A limit to its last digit: in parts of one, or with each digit behind the point; nothing
    where those are more than an ear keeps."""
    value, unit = figure.value, figure.unit
    whole, _, places = f"{value:.10g}".partition(".")
    if len(places) > 3:
        return ""
    if value < 1:
        count, (_, word) = int(places), ((10, "tenth"), *_SMALL)[len(places) - 1]
        return f"{count} {word}{'' if count == 1 else 's'}{_of_one(unit)}"
    digits = " ".join(cardinal(int(digit)) for digit in places)
    return f"{int(whole):,} point {digits}{_many(unit)}"


def _said(figure: _Figure, fine: bool) -> str:
    if fine and 3 <= figure.value < 1000:
        return _over_one(figure.value, figure.unit, figure.near, fine=True)
    if 0 < figure.value < 0.95 and figure.unit in ("percent", "percentage point"):
        # It may be a size set, and by less than one or more says nothing of one.
        return _sized(figure.value, figure.unit, figure.near)
    return told(figure.value, figure.unit, figure.near) if figure.value else "nothing"


#: Two averages that are held side by side.
_SIDE_BY_SIDE = re.compile(
    r"\b(?:averaged|goes from|starts at)\b[^.?!]*?(?<![\w.])(?P<one>\d+(?:\.\d+)?)[^\d?!]*? "
    r"(?P<other>\d+(?:\.\d+)?)"
)


def _blurred(text: str) -> bool:
    """Whether two averages, each told in wholes, would lie further apart or nearer than they do:
    11.8 and 11.4 are not twelve and eleven."""
    found = _SIDE_BY_SIDE.search(text)
    if found is None:
        return False
    sizes = [float(found[name]) for name in ("one", "other")]
    a, b = (_two(v) if v >= 9.5 else v for v in sizes)
    gap = sizes[0] - sizes[1]
    return abs(a - b - gap) > 0.15 * abs(gap) + 1e-9


class _Figure(NamedTuple):
    """A decimal in a finished sentence, with its unit."""

    start: int
    end: int
    value: float
    unit: str
    near: str
    minus: str
    level: bool


def _figure(found: re.Match[str]) -> _Figure | None:
    before, after = found.string[: found.start()], found.string[found.end() :]
    if _PLACE.search(before):
        return None
    value = float(((found["number"] or "0") + found["places"]).replace(",", ""))
    unit, length = _unit_after(after)
    level = unit.startswith("Shore ") and not after[:length].endswith(("point", "points"))
    return _Figure(
        found.start(), found.end() + length, value, unit, "" if _exact(value) else "about ",
        "minus " if found["sign"] and value else "", level,
    )  # fmt: skip


def _alike(one: str, other: str) -> bool:
    """The same words, with the unit or without: *a third of an inch*, *a third*."""
    first, last = sorted((text.removeprefix("about ") for text in (one, other)), key=len)
    return last == first or last.startswith(f"{first} of ")


def _finer(figure: _Figure, same: Collection[float]) -> str:
    """A part of one counted out, in parts so small that all of ``same`` differ, and lie about as
    far apart as they do; else nothing."""
    gap = max(same) - min(same)
    for many, word in ((10, "tenth"), *_SMALL):
        count = round(figure.value * many)
        near_it = abs(count / many - figure.value) <= 0.15 * figure.value < 0.15
        counts = {round(v * many) for v in same}
        told = (max(counts) - min(counts)) / many
        if near_it and len(counts) == len(same) and abs(told - gap) <= 0.5 * gap:
            near = figure.near if not math.isclose(count, figure.value * many) else ""
            return f"{near}{count} {word}{'' if count == 1 else 's'}{_of_one(figure.unit)}"
    return ""


def _exact(value: float) -> bool:
    """Whether the words for it are just that size."""
    if value >= 9.5:
        return (2 * value).is_integer() and value < 100
    rest = value - int(value)
    return rest in (0.0, 0.5) or (value < 1 and any(abs(value - p) < 1e-9 for p, _ in _PARTS))


_AFTER: dict[str, str] = {"percentage point": "percentage point",
                          "percentage points": "percentage point"}  # fmt: skip


def _unit_after(text: str) -> tuple[str, int]:
    """The unit that follows a figure, and how many characters of ``text`` it takes."""
    if text.startswith("%"):
        return "percent", 1
    if len(_AFTER) < 3:
        for name in units.names():
            for spelling in (units.singular(name), units.plural(name)):
                _AFTER.setdefault(spelling, name)
    found = re.match(
        r" (Shore [A-Z0-9]+(?: points?)?|percentage points?|[A-Za-zµ/]+(?: per (?:hour|minute))?)",
        text,
    )
    if found is None:
        return "", 0
    word = found[1]
    if word.startswith("Shore "):
        return " ".join(word.split()[:2]), found.end()
    for spelling in (word, word.split()[0]):
        if spelling in _AFTER:
            return _AFTER[spelling], 1 + len(spelling)
    return "", 0
