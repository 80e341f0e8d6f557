"""The range strip: a small number line that shows why a verdict fell as it did.

A hatched band, above, where the claim needs the whole likely range to lie; a shaded band, below,
that is too small to matter; between them the estimate as a dot with its range, all with numbers.
It is read by shape, not by colour.
"""

from __future__ import annotations

import math
from dataclasses import replace

from explainer.charts import axis, fonts, style, svg
from explainer.charts.display_list import Box, DisplayList, hatching
from explainer.charts.style import Face
from explainer.claims.verdict import Strip
from explainer.units import ODDS_RATIO
from explainer.words.facts.relations import in_steps, lies
from explainer.words.quantity.numbers import (
    MINUS,
    as_given,
    fixed,
    leading,
    nearest,
    rounded,
    telling,
    unit_words,
)
from explainer.words.quantity.sizes import Sized
from explainer.words.said import ClaimWords

WIDTH, HEIGHT = 300.0, 106.0
DOT = 4.6
"""Radius of one of the twenty equally likely answers."""
NOTE = 20.0
"""What a line about what holds the verdict back adds to the height."""
INNER = 5.0
"""Width of the bar of the 80% range; that of the range that decides is half as wide."""
HOLLOW, HOLLOW_INNER = 5.0, 8.0
"""The same two where something else holds the verdict back: drawn hollow, so they need a width."""
LEFT, RIGHT = 10.0, 290.0
TOP, BOTTOM = 22.0, 52.0
MIDDLE = (TOP + BOTTOM) / 2
"""Hatching lies above this height and shading below, so that neither hides the other."""
SIZE = 12.6
"""At least 12 pixels on a screen 320 wide, whose text is 288 wide."""
#: A stretch of the number line, open where an end is None.
Zone = tuple[float | None, float | None]
#: What a number line without a unit of its own counts.
SCALES = {"odds ratio": "how many times the odds", "r": "strength of the link", "share": "percent",
          "rate": "percentage points"}  # fmt: skip
#: Said of a claim that asks for a change and no size: what is too small to matter is one, too.
ANY_SIZE = ", shaded or not"
#: Shares and rates are worked out from 0 to 1 and read in hundredths.
HUNDREDTHS = ("share", "rate")


def draw_strip(strip: Strip, uid: str, words: ClaimWords, white: bool = False) -> str:
    """The strip as an SVG element: named by the verdict, described in the words of the claim.

    ``white``: for a sheet printed on white rather than a themed page.
    """
    plate = strip_plate(strip, words.note if words.held else "", bool(words.held))
    return svg.render(plate, uid, words.label, words.strip, ground=False, white=white)


def parts_of(strip: Strip, held: bool) -> frozenset[str]:
    """What there is to see on a strip, for a legend that names nothing else."""
    ranged = None not in (strip.low, strip.high)
    seen = {
        "estimate": strip.value is not None, "range": ranged,
        "inner": ranged and strip.inner is not None, "held": ranged and held,
        "needs": strip.claim_zone is not None or bool(strip.beyond),
        "readings": strip.measured is not None,
        "small": strip.small_drawn is not None and strip.measured is None,
        "close": strip.small_drawn is not None and strip.measured is not None,
    }
    return frozenset(part for part, drawn in seen.items() if drawn)


def strip_plate(strip: Strip, note: str = "", held: bool = False) -> DisplayList:
    """The strip as a display list, 300 by 106 points; a line more for a ``note`` (marked where it
    says what has ``held`` the verdict back), and where the words of its ends take two.
    """
    strip, step = in_steps(strip)
    foot = HEIGHT + (_end_rows(strip) - 1) * SIZE * 1.16
    plate = DisplayList(WIDTH, foot + (NOTE if note else 0.0))
    low, high = _range(strip)
    scale = _Scale(low, high)
    if strip.small_drawn is not None:
        # Only a limit has readings of its own to show, and its zone is the gauge's doubt.
        said = "too small to matter" if strip.measured is None else "too close to call"
        zones = [zone for zone in (strip.small_drawn, strip.small_too) if zone is not None]
        if strip.small_drawn != strip.claim_zone:  # else its ends stand above already
            said += f": {', '.join(_ends_of(z, strip) for z in zones)}"
        _small(plate, zones, scale, said)
    if strip.claim_zone is not None:
        said = _needs(strip)
        if strip.sure is not None:
            said += f", in a pinch {_ends_of(strip.claim_zone, strip)}"
            plate.line([(scale(strip.sure[1]), TOP - 3), (scale(strip.sure[1]), MIDDLE)], "ink",
                       style.THIN)  # fmt: skip
        _claim(plate, strip.claim_zone, scale, said)
    elif strip.beyond:
        for zone in _either(strip):
            _claim(plate, zone, scale)
        _over(plate, _needs_either(strip), WIDTH / 2, TOP - 7, "ink")
    plate.line([(LEFT, BOTTOM), (RIGHT, BOTTOM)], "ink", style.THIN)
    _estimate(plate, strip, scale, held)
    _nothing(plate, strip, scale, BOTTOM)
    _numbers(plate, strip, scale)
    _ends(plate, strip, step)
    if note:
        _note(plate, note, held)
    return plate


def draw_outcomes(strip: Strip, uid: str, said: str) -> str:
    """The strip's twenty answers as an SVG element named ``said``, which counts them."""
    return svg.render(outcomes_plate(strip), uid, said, "", ground=False)


def outcomes_plate(strip: Strip) -> DisplayList:
    """Equally likely answers as dots on the strip's own number line, as high as they pile up.

    Each stands over its own value and never on another.  Filled: where the claim needs it, so that
    the count beside can be counted here.
    """
    strip, step = in_steps(strip)
    ends = (strip.outcomes[0], strip.outcomes[-1])
    low, high = _range(replace(strip, low=ends[0], high=ends[1]))
    scale = _Scale(low, high)
    places = _piled([scale(at) for at in strip.outcomes])
    top = max(level for _, level in places) * 2 * DOT + 2 * DOT
    base = TOP + top + 6
    more = (_end_rows(strip) - 1) * SIZE * 1.16
    plate = DisplayList(WIDTH, base + HEIGHT - BOTTOM - 14 + more)
    if strip.claim_zone is not None:
        room = Box(0.0, TOP - 3, 0.0, base)
        _needed(plate, strip.claim_zone, scale, room, _needs(strip, pinch=True))
    elif strip.beyond:
        for zone in _either(strip):
            _needed(plate, zone, scale, Box(0.0, TOP - 3, 0.0, base))
        _over(plate, _needs_either(strip), WIDTH / 2, TOP - 7, "ink")
    _nothing(plate, strip, scale, base)
    plate.line([(LEFT, base), (RIGHT, base)], "ink", style.THIN)
    inside = [lies(strip, at, at) in ("inside", "") for at in strip.outcomes]
    for needed, fill in ((True, "ink"), (False, "paper")):
        at = [
            (x, base - 2 - DOT - level * 2 * DOT)
            for (x, level), it in zip(places, inside, strict=True) if it is needed
        ]  # fmt: skip
        if at:
            plate.dots(at, "circle", DOT - 0.6, fill, "ink", 1.2)
    _numbers(plate, replace(strip, low=ends[0], high=ends[1], value=None), scale, base + 16)
    _ends(plate, strip, step, plate.height - more - 4.0)
    return plate


def _needed(plate: DisplayList, zone: Zone, scale: _Scale, room: Box, said: str = "") -> None:
    """What the claim needs: a line above the dots, with an edge where it ends."""
    low, high = zone
    left, right = scale(low, 2.0), scale(high, WIDTH - 2.0)
    plate.line([(left, room.top), (right, room.top)], "ink", style.THIN)
    closed = [x for x, end in ((left, low), (right, high)) if end is not None]
    plate.lines([[(x, room.top), (x, room.bottom)] for x in closed], "ink", style.THIN)
    if said:
        _over(plate, said, (left + right) / 2, room.top - 4, "ink")


def _either(strip: Strip) -> tuple[Zone, Zone]:
    """Where a claim of a size and no way needs the range to lie: on one side, or on the other."""
    size = strip.beyond or 0.0
    return (None, -size), (size, None)


def _needs_either(strip: Strip) -> str:
    zone = (strip.beyond, None)
    return f"the claim needs {_ends_of(zone, strip)}, either way"


def _piled(across: list[float]) -> list[tuple[float, int]]:
    """Each place with the lowest level on which it touches no dot before it."""
    placed: list[tuple[float, int]] = []
    for x in across:
        taken = {level for other, level in placed if abs(other - x) < 2 * DOT}
        placed.append((x, next(i for i in range(len(placed) + 1) if i not in taken)))
    return placed


def _note(plate: DisplayList, note: str, held: bool) -> None:
    """A line in bold.  What holds back a verdict that might be more has a hand brake before it."""
    y, x = plate.height - 6, 2.0
    if held:
        plate.lines([[(4, y - 9), (4, y + 1)], [(8, y - 9), (8, y + 1)]], "accent", 2.2)
        x = 14.0
    said = fonts.shorten(note, SIZE, "sans-bold", WIDTH - x - 2)
    plate.text(x, y, said, SIZE, "accent", "sans-bold")


def _needs(strip: Strip, pinch: bool = False) -> str:
    """Where the claim needs the range; with ``pinch``, where it would do in a pinch."""
    zone = strip.claim_zone if pinch or strip.sure is None else strip.sure
    assert zone is not None
    ends = _ends_of(zone, strip)
    if strip.null == 1.0 and strip.unit == "share" and None not in zone:  # past 100 it overshot
        return f"the claim needs about 100: {ends}"
    asks_no_size = strip.small_drawn is not None and 0.0 in zone and None in zone
    if asks_no_size and _too_small(strip):
        return f"the claim needs all of it {ends}"
    return f"the claim needs {ends}".rstrip() + (ANY_SIZE if asks_no_size else "")


def _too_small(strip: Strip) -> bool:
    """Whether all of a range is shaded, and that decides: it does not lie where a claim of any
    size needs it, of which a part would do nothing for the claim."""
    low, high, small = strip.low, strip.high, strip.small_drawn
    if low is None or high is None or small is None:
        return False
    within = small[0] <= low and high <= small[1]
    return within and (strip.level < 0.95 or lies(strip, low, high) != "inside")


def _ends_of(zone: Zone, strip: Strip) -> str:
    """The ends of a zone as numbers: ``6 or more``, ``-1 to 1``; empty where it has none."""
    low, high = (None if end is None else _end_of(end, zone, strip) for end in zone)
    if low is None or high is None:
        only = low or high
        if only is None:
            return ""
        if only == "0":
            return "above 0" if low is not None else "below 0"
        return f"{only} or more" if low is not None else f"{only} or less"
    return low if low == high else f"{low} to {high}"


def _times(strip: Strip) -> int:
    """What a number of the strip is told as so many times of."""
    return 100 if strip.unit in HUNDREDTHS else 1


def _end_of(end: float, zone: Zone, strip: Strip) -> str:
    """An end that somebody set to its last digit, where that is short; one that a gauge's doubt
    sets to a hundredth of that zone, since readings lie within a hair of it."""
    times, (low, high) = _times(strip), zone
    doubt = strip.measured is not None and zone != strip.claim_zone
    if doubt and low is not None and high is not None:
        return fixed(times * end, leading(times * (high - low)) - 2).trimmed()
    given = as_given(times * end)
    return given if sum(map(str.isdigit, given)) <= _SHORT else axis.short(times * end)


#: Digits of a number that stands over a strip as it was set.
_SHORT = 5


class _Scale:
    """Values to points; what lies outside is held at the ends."""

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high

    def __call__(self, value: float | None, otherwise: float = LEFT) -> float:
        if value is None:
            return otherwise
        share = (value - self.low) / (self.high - self.low)
        return LEFT + min(1.0, max(0.0, share)) * (RIGHT - LEFT)


def _range(strip: Strip) -> tuple[float, float]:
    """Everything finite, with room at both sides for zones that are open."""
    known = [strip.value, strip.low, strip.high, strip.null]
    known += [*(strip.claim_zone or ()), *(strip.small_drawn or ()), *(strip.measured or ())]
    known += [*(strip.small_too or ())]
    known += [-strip.beyond, strip.beyond] if strip.beyond else []
    values = [v for v in known if v is not None and math.isfinite(v)] or [0.0]
    low, high = min(values), max(values)
    room = 0.14 * (high - low) or 0.2 * abs(low) or 1.0
    return low - room, high + room


def _small(
    plate: DisplayList, zones: list[tuple[float, float]], scale: _Scale, said: str
) -> None:
    """Shaded stretches under one label, which stands below the middle of them all."""
    for zone in zones:
        left, right = scale(zone[0]), scale(zone[1])
        if right - left < 2:
            left, right = left - 1, right + 1
        plate.rectangle(Box(left, MIDDLE, right, BOTTOM), "zone")
        plate.lines([[(x, MIDDLE), (x, BOTTOM)] for x in (left, right)], "line", style.THIN,
                    (2, 1.6))  # fmt: skip
    middle = (scale(zones[0][0]) + scale(zones[-1][1])) / 2
    _over(plate, said, middle, BOTTOM + 14, "muted")


def _claim(plate: DisplayList, zone: Zone, scale: _Scale, said: str = "") -> None:
    left, right = scale(zone[0], 2.0), scale(zone[1], WIDTH - 2.0)
    if right - left < 3:
        left, right = left - 1.5, right + 1.5
    plate.lines(hatching(Box(left, TOP, right, MIDDLE), 7.5), "line", style.HAIR)
    closed = [x for x, end in ((left, zone[0]), (right, zone[1])) if end is not None]
    plate.lines([[(x, TOP - 3), (x, BOTTOM)] for x in closed], "ink", style.THIN)
    bracket = TOP - 3
    plate.line([(left, bracket), (right, bracket)], "ink", style.THIN)
    for x, end, way in ((left, zone[0], 1), (right, zone[1], -1)):
        if end is None:
            plate.lines(
                [[(x + 4 * way, bracket - 3), (x, bracket), (x + 4 * way, bracket + 3)]],
                "ink",
                style.THIN,
            )
    if said:
        _over(plate, said, (left + right) / 2, bracket - 4, "ink")


def _over(plate: DisplayList, text: str, middle: float, y: float, role: str) -> None:
    """A label about ``middle``, held on the paper."""
    half = fonts.width(text, SIZE) / 2
    x = min(max(middle, half + 2), WIDTH - half - 2)
    plate.text(x, y, text, SIZE, role, anchor="middle")


def _estimate(plate: DisplayList, strip: Strip, scale: _Scale, held: bool) -> None:
    """The range as a bar with ends, the estimate as a dot; or a word that there is none.

    The bar is hollow where something beside the range holds the verdict back.  Readings held
    against a limit are a mark each and no bar: what lies between them was not read.
    """
    middle = MIDDLE
    if strip.measured is not None:
        # One mark for all that would lie on the same spot.
        places = sorted({round(scale(reading)) for reading in strip.measured})
        plate.dots([(x, middle) for x in places], "diamond", 3.0, "ink", "ink", 0.4)
    if strip.low is not None and strip.high is not None:
        a, b = scale(strip.low), scale(strip.high)
        plate.line([(a, middle), (b, middle)], "paper", 5.5)
        bars = [(a, b, HOLLOW if held else 2.4)]
        if strip.inner is not None:
            # The 80% range may lean out where the two are not of one kind: no farther is drawn.
            low, high = (min(max(scale(end), a), b) for end in strip.inner)
            bars.append((low, high, HOLLOW_INNER if held else INNER))
        for left, right, wide in bars:
            plate.line([(left, middle), (right, middle)], "ink", wide)
        for left, right, wide in bars if held else ():
            if right - left > 3:
                plate.line([(left + 1.2, middle), (right - 1.2, middle)], "paper", wide - 2.4)
        plate.lines([[(x, middle - 5), (x, middle + 5)] for x in (a, b)], "ink", 1.6)
    if strip.value is not None:
        plate.dots([(scale(strip.value), middle)], "circle", 4.6, "ink", "paper", 1.4)
    elif strip.low is None and strip.measured is None:
        text = "no number to show"
        wide = fonts.width(text, SIZE) + 8
        centre = (LEFT + RIGHT) / 2
        plate.rectangle(Box(centre - wide / 2, middle - 8, centre + wide / 2, middle + 7), "paper")
        plate.text(centre, middle + 4, text, SIZE, anchor="middle")


def _nothing(plate: DisplayList, strip: Strip, scale: _Scale, base: float) -> None:
    """A tick at "nothing there", down to the number line at ``base`` and a little past it."""
    if strip.null is not None:
        x = scale(strip.null)
        plate.line([(x, TOP - 1), (x, base + 3)], "ink", style.THIN)


def _numbers(
    plate: DisplayList, strip: Strip, scale: _Scale, y: float = BOTTOM + 30
) -> None:
    """The estimate's number, the null's, and those of the ends of its range, where there is room.

    The most needed are set first; one that would touch another is left to the words beside.
    """
    if strip.measured is not None:
        _readings(plate, strip, strip.measured, scale, y)
        return
    taken: list[tuple[float, float]] = []
    known: list[tuple[float | None, Face]] = [
        (strip.value, "sans-bold"), (strip.null, "sans"), (strip.low, "sans"), (strip.high, "sans"),
    ]  # fmt: skip
    for value, face in known:
        if value is None or not math.isfinite(value):
            continue
        text = _mark(value, strip)
        half = fonts.width(text, SIZE, face) / 2
        at = min(max(scale(value), half + 2), WIDTH - half - 2)
        if any(at - half < b + 5 and a < at + half + 5 for a, b in taken):
            continue
        taken.append((at - half, at + half))
        plate.text(at, y, text, SIZE, "ink", face, "middle")


def _readings(
    plate: DisplayList, strip: Strip, measured: tuple[float, ...], scale: _Scale, y: float
) -> None:
    """Both ends of what was read, named: marks in a row look like a likely range."""
    low, high = measured[0], measured[-1]
    if low == high:
        _over(plate, _told(low, strip), scale(low), y, "ink")
        return
    said = [f"lowest {_told(low, strip)}", f"highest {_told(high, strip)}"]
    wide = [fonts.width(text, SIZE) for text in said]
    left = min(max(scale(low), wide[0] / 2 + 2), WIDTH - sum(wide) - 14 + wide[0] / 2)
    right = max(min(scale(high), WIDTH - wide[1] / 2 - 2), left + sum(wide) / 2 + 10)
    for text, at in zip(said, (left, right), strict=True):
        plate.text(at, y, text, SIZE, "ink", anchor="middle")


def _told(read: float, strip: Strip) -> str:
    """A reading that nobody takes for the limit beside it: 0.29986 where that is 0.3."""
    times, limit = _times(strip), nearest(read, strip.claim_zone or ())
    return telling(times * read, None if limit is None else times * limit)


def _mark(value: float, strip: Strip) -> str:
    """A number of the line as its sentence has it; shares in hundredths."""
    if value == strip.null:
        return axis.short(_times(strip) * value)
    sized = Sized(value, strip.low, strip.high, strip.unit, against=strip.sizes)
    if strip.unit == "r":
        return sized.figures
    if strip.rough:
        return f"{MINUS if value < 0 else ''}{sized.rough_bare}"
    if strip.unit == ODDS_RATIO:  # a range of ratios is lopsided: each number goes by itself
        return rounded(value)
    if value != strip.value or sized.vanishes:  # what is not 0 does not stand there as 0
        return sized.mark(value)
    return sized.figures


def _end_lines(strip: Strip) -> tuple[list[str], list[str]]:
    """What lies at either end, each in lines of its own half where both do not fit on one."""
    less = f"← {strip.less_is}" if strip.less_is else ""
    more = f"{strip.more_is} →" if strip.more_is else ""
    if fonts.width(less, SIZE) + fonts.width(more, SIZE) + 14 <= WIDTH:
        return [less] if less else [], [more] if more else []
    room = WIDTH / 2 - 10
    return fonts.wrap(less, SIZE, "sans", room), fonts.wrap(more, SIZE, "sans", room)


def _end_rows(strip: Strip) -> int:
    return max(1, *map(len, _end_lines(strip)))


def _ends(plate: DisplayList, strip: Strip, step: str, y: float = HEIGHT - 4.0) -> None:
    """Which way is which, in words, and the unit; ``y``: the first line."""
    less, more = _end_lines(strip)
    for row, text in enumerate(less):
        plate.text(2, y + row * SIZE * 1.16, text, SIZE, "muted")
    for row, text in enumerate(more):
        plate.text(WIDTH - 2, y + row * SIZE * 1.16, text, SIZE, "muted", anchor="end")
    unit = f"{SCALES.get(strip.unit) or unit_words(strip.unit)} {step}".rstrip()
    used = max((fonts.width(end, SIZE, "sans") for end in (*less, *more)), default=0.0)
    # A unit that does not fit between the ends stands in the words beside the strip anyway.
    if fonts.width(unit, SIZE, "sans") / 2 + 8 < WIDTH / 2 - used:
        plate.text(WIDTH / 2, y, unit, SIZE, "muted", anchor="middle")
