"""What a page offers beside a range strip: its range as equally likely answers, and a first guess.

Both are read off the range that decides; neither changes a verdict.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from explainer.analysis.result import Interval, equally_likely
from explainer.claims.kinds import kind_of
from explainer.claims.verdict import STRENGTH, Code, Strip, Verdict

#: How many times what matters is much: a guess is one of five stretches about these ends.
MUCH = 4.0
INNER_LEVEL = 0.80


def with_outcomes(verdict: Verdict) -> Verdict:
    """The verdict, its strip with twenty equally likely answers where its range gives them.

    A sentence that says several things has no one range that shows it, and calls about a limit or
    a gauge are not about how much items differ.
    """
    strip = verdict.strip
    if (
        strip is None or strip.value is None or strip.low is None or strip.high is None
        or strip.measured is not None or verdict.parts or verdict.code == "not-tested"
        or not (kind_of(verdict).general and kind_of(verdict).one_range)
    ):  # fmt: skip
        return verdict
    outer = Interval(float(strip.low), float(strip.high), strip.level)
    inner = None if strip.inner is None else Interval(
        float(strip.inner[0]), float(strip.inner[1]), INNER_LEVEL
    )
    found = equally_likely(float(strip.value), outer, inner, link=strip.unit == "r")
    return replace(verdict, strip=replace(strip, outcomes=found))


@dataclass(frozen=True)
class OfferedGuess:
    """One guess: a stretch of the number line (an open end is None), or a verdict."""

    low: float | None = None
    high: float | None = None
    code: Code | None = None
    right: bool = False
    """Whether the best estimate lies in it; for a verdict, whether it is the one."""
    meets: bool = False
    """Whether any of the likely range lies in it."""
    gap: float | None = None
    """From the best estimate to the nearest end; None for a verdict and where it is right."""


@dataclass(frozen=True)
class FirstGuess:
    """What a reader is asked before a claim is answered."""

    mode: Literal["size", "way", "verdict"]
    """How much, where somebody said how much matters; else which way; else how it holds up."""
    choices: tuple[OfferedGuess, ...]
    unit: str = ""


def guess(verdict: Verdict) -> FirstGuess | None:
    """The guesses a claim offers, from the lowest; None where its author asks for none.

    The stretches hang on what matters and on nothing that was found, so they give nothing away.
    """
    if not verdict.claim.asks_first:
        return None
    strip, margin = verdict.strip, verdict.detail.margin or getattr(verdict.test, "margin", None)
    plain = (
        strip is not None and strip.value is not None and strip.null == 0.0
        and None not in (strip.low, strip.high) and strip.measured is None and not verdict.parts
        and verdict.code != "not-tested"
    )  # fmt: skip
    if strip is None or not plain or _sizes_only(strip):
        return FirstGuess("verdict", tuple(
            OfferedGuess(code=code, right=code == verdict.code) for code in reversed(STRENGTH)
        ))  # fmt: skip
    sized = bool(margin) and strip.unit not in ("r", "share", "rate") and " per " not in strip.unit
    ends = (-MUCH * margin, -margin, margin, MUCH * margin) if margin and sized else (0.0,)
    edges = (None, *ends, None)
    choices = tuple(_choice(strip, low, high) for low, high in pairwise(edges))
    return FirstGuess("size" if sized else "way", choices, strip.unit)


def _sizes_only(strip: Strip) -> bool:
    """Whether the number cannot lie below nothing: how far apart, not which way."""
    low, high = strip.claim_zone or (None, None)
    return strip.unit != "r" and low == 0 and high is not None


def _choice(strip: Strip, low: float | None, high: float | None) -> OfferedGuess:
    at_least, at_most = -math.inf if low is None else low, math.inf if high is None else high
    value, bottom, top = strip.value or 0.0, strip.low or 0.0, strip.high or 0.0
    right = at_least <= value < at_most and (value != 0 or at_least < 0)
    near = at_least if value < at_least else at_most
    return OfferedGuess(
        low, high, right=right, meets=bottom < at_most and top >= at_least,
        gap=None if right else abs(value - near),
    )  # fmt: skip
