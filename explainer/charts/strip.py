"""The range strip: a small number line that shows why a verdict fell as it did.

A hatched band, above, where the claim needs the whole likely range to lie; a shaded band, below,
that is too small to matter; between them the estimate as a dot with its range, all with numbers.
It is read by shape, not by colour.
"""

from __future__ import annotations

import math

from explainer.charts import axis, fonts, style, svg
from explainer.charts.display_list import Box, DisplayList, hatching
from explainer.charts.style import Face
from explainer.claims.verdict import Strip
from explainer.words.facts.ranges import in_steps
from explainer.words.quantity.numbers import rounded, unit_words
from explainer.words.said import ClaimWords

WIDTH, HEIGHT = 360.0, 98.0
LEFT, RIGHT = 12.0, 348.0
TOP, BOTTOM = 20.0, 50.0
MIDDLE = (TOP + BOTTOM) / 2
"""Hatching lies above this height and shading below, so that neither hides the other."""
SIZE = 11.0
#: What a number line without a unit of its own counts.
SCALES = {"r": "strength of the link", "share": "percent", "rate": "percentage points"}
#: Shares and rates are worked out from 0 to 1 and read in hundredths.
HUNDREDTHS = ("share", "rate")


def draw_strip(strip: Strip, uid: str, words: ClaimWords, white: bool = False) -> str:
    """The strip as an SVG element: named by the verdict, described in the words of the claim.

    ``white``: for a sheet printed on white rather than a themed page.
    """
    return svg.render(strip_plate(strip), uid, words.label, words.strip, ground=False, white=white)


def strip_plate(strip: Strip) -> DisplayList:
    """The strip as a plate, 360 by 98 points."""
    plate = DisplayList(WIDTH, HEIGHT)
    strip, step = in_steps(strip)
    low, high = _range(strip)
    scale = _Scale(low, high)
    if strip.small_zone is not None:
        # Only a limit has readings of its own to show, and its zone is the gauge's doubt.
        said = "too small to matter" if strip.measured is None else "too close to call"
        _small(plate, strip.small_zone, scale, said)
    if strip.claim_zone is not None:
        _claim(plate, strip.claim_zone, scale)
    plate.line([(LEFT, BOTTOM), (RIGHT, BOTTOM)], "ink", style.THIN)
    _estimate(plate, strip, scale)
    _numbers(plate, strip, scale)
    _ends(plate, strip, step)
    return plate


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
    known += [*(strip.claim_zone or ()), *(strip.small_zone or ()), *(strip.measured or ())]
    values = [v for v in known if v is not None and math.isfinite(v)] or [0.0]
    low, high = min(values), max(values)
    room = 0.14 * (high - low) or 0.2 * abs(low) or 1.0
    return low - room, high + room


def _small(plate: DisplayList, zone: tuple[float, float], scale: _Scale, said: str) -> None:
    left, right = scale(zone[0]), scale(zone[1])
    if right - left < 2:
        left, right = left - 1, right + 1
    plate.rectangle(Box(left, MIDDLE, right, BOTTOM), "zone")
    plate.lines([[(x, MIDDLE), (x, BOTTOM)] for x in (left, right)], "line", style.THIN, (2, 1.6))
    _over(plate, said, (left + right) / 2, BOTTOM + 13, "muted")


def _claim(plate: DisplayList, zone: tuple[float | None, float | None], scale: _Scale) -> None:
    left, right = scale(zone[0], 2.0), scale(zone[1], WIDTH - 2.0)
    if right - left < 3:
        left, right = left - 1.5, right + 1.5
    plate.lines(hatching(Box(left, TOP, right, MIDDLE), 5.0), "line", style.HAIR)
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
    _over(plate, "the claim needs", (left + right) / 2, bracket - 4, "ink")


def _over(plate: DisplayList, text: str, middle: float, y: float, role: str) -> None:
    """A label about ``middle``, held on the paper."""
    half = fonts.width(text, SIZE) / 2
    x = min(max(middle, half + 2), WIDTH - half - 2)
    plate.text(x, y, text, SIZE, role, anchor="middle")


def _estimate(plate: DisplayList, strip: Strip, scale: _Scale) -> None:
    """The range as a bar with ends, the estimate as a dot; or a word that there is none."""
    middle = MIDDLE
    if strip.measured is not None:
        a, b = scale(strip.measured[0]), scale(strip.measured[1])
        plate.line([(a, middle), (b, middle)], "ink", style.LINE)
        plate.dots([(a, middle), (b, middle)], "diamond", 3.0, "ink", "paper", 0.8)
    if strip.low is not None and strip.high is not None:
        a, b = scale(strip.low), scale(strip.high)
        plate.line([(a, middle), (b, middle)], "paper", 5.5)
        plate.line([(a, middle), (b, middle)], "ink", 2.4)
        plate.lines([[(x, middle - 5), (x, middle + 5)] for x in (a, b)], "ink", 1.6)
    if strip.value is not None:
        plate.dots([(scale(strip.value), middle)], "circle", 4.6, "ink", "paper", 1.4)
    elif strip.low is None and strip.measured is None:
        text = "no number to show"
        wide = fonts.width(text, SIZE) + 8
        centre = (LEFT + RIGHT) / 2
        plate.rectangle(Box(centre - wide / 2, middle - 8, centre + wide / 2, middle + 7), "paper")
        plate.text(centre, middle + 4, text, SIZE, anchor="middle")


def _numbers(plate: DisplayList, strip: Strip, scale: _Scale) -> None:
    """The estimate's number, the null's, and those of the ends of its range, where there is room.

    The most needed are set first; one that would touch another is left to the words beside.
    """
    y = BOTTOM + 26
    taken: list[tuple[float, float]] = []
    known: list[tuple[float | None, Face]] = [
        (strip.value, "sans-bold"), (strip.null, "sans"), (strip.low, "sans"), (strip.high, "sans"),
    ]  # fmt: skip
    if strip.null is not None:
        x = scale(strip.null)
        plate.line([(x, TOP - 1), (x, BOTTOM + 3)], "ink", style.THIN)
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


def _mark(value: float, strip: Strip) -> str:
    """A number of the line as it is read: no finer than the range, shares in hundredths."""
    times = 100 if strip.unit in HUNDREDTHS else 1
    if value == strip.null:
        return axis.short(times * value)
    ends = [None if end is None else times * end for end in (strip.low, strip.high)]
    return rounded(times * value, *ends)


def _ends(plate: DisplayList, strip: Strip, step: str) -> None:
    """Which way is which, in words, and the unit."""
    y = HEIGHT - 4.0
    room = WIDTH / 2 - 40
    less = fonts.shorten(strip.less_is, SIZE, "sans", room)
    more = fonts.shorten(strip.more_is, SIZE, "sans", room)
    if less:
        plate.text(2, y, f"← {less}", SIZE, "muted")
    if more:
        plate.text(WIDTH - 2, y, f"{more} →", SIZE, "muted", anchor="end")
    unit = f"{SCALES.get(strip.unit) or unit_words(strip.unit)} {step}".rstrip()
    used = max(fonts.width(f"← {end}", SIZE, "sans") for end in (less, more))
    # A unit that does not fit between the ends stands in the words beside the strip anyway.
    if fonts.width(unit, SIZE, "sans") / 2 + 8 < WIDTH / 2 - used:
        plate.text(WIDTH / 2, y, unit, SIZE, "muted", anchor="middle")
