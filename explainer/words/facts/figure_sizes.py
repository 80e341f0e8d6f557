"""Sizes, ends and ranges of a figure in words, as several kinds of figure need them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from explainer.study.model import Study
from explainer.words.facts import comparatives as ways
from explainer.words.language import words
from explainer.words.quantity.numbers import unit_words
from explainer.words.quantity.sizes import (
    Sized,
    bare_beside,
    gap_unit,
    level,
    per_step,
    set_size,
)
from explainer.words.sentence import put

# What the phrases of any figure know of the measure it shows.

Facts = dict[str, Any]
#: The numbers of a figure's findings, by kind of finding.
Found = Mapping[str, Mapping[str, Any]]


def measure_of(study: Study, name: str, sign: int) -> Facts:
    measure, term = study.measure(name), study.term(name)
    margin = measure.matters_from
    return {
        "term": term, "unit": unit_words(measure.unit), "more": ways.word(measure, term, 1),
        "less": ways.word(measure, term, -1), "smoother": ways.word(measure, term, sign),
        "rougher": ways.word(measure, term, -sign), **ways.moves(sign),
        "margin": set_size(margin, gap_unit(measure.unit)),
        "margin_value": margin, "margin_unit": measure.unit, "picture": measure.pictured,
    }  # fmt: skip


def ends_of(values: list[float], unit: str) -> Facts:
    """From the lowest to the highest value drawn; one value where they are all the same."""
    if not values:
        return {"ends": words("unknown")}
    low, high = min(values), max(values)
    if not math.isclose(low, high, rel_tol=1e-9):
        return {"ends": words("from-to", first=bare_beside(low, high, unit),
                              last=level(high, unit, low))}  # fmt: skip
    return {"ends": words("at" if len(values) == 1 else "all-at", size=level(high, unit))}


def signed_of(
    numbers: Mapping[str, Any], name: str, unit: str, matters: float | None = None
) -> Sized:
    """A finding with its range; ``matters``: what the figure holds it against."""
    return Sized(numbers.get(name), numbers.get("low"), numbers.get("high"), unit,
                 against=(matters,) if matters else ())


# Ranges and zones of a figure in words, as its phrases need them.

def at_most(within: Sized, between: Any, unit: str) -> str | None:
    """The far end of the slope inside an item, where all its range is short of the line's."""
    if not between or within.low is None or within.high is None:
        return None
    most = within.high if between > 0 else -within.low
    if not 0 < most < abs(between):
        return None
    scaled, _ = per_step(within, between)  # rounded as the range it is an end of
    low, high = scaled.low or 0.0, scaled.high or 0.0
    return Sized(high if between > 0 else -low, low, high, scaled.unit).size


def ahead(sized: Sized, a: str, b: str, more: ways.Word) -> str:
    """A range through a tie: ``used harder by 1.5 points to new harder by 4.6``."""
    if not sized.crosses or sized.low is None or sized.high is None:
        return sized.range_unit
    low, high = replace(sized, value=sized.low).size, replace(sized, value=sized.high).bare
    first, second = (f"{more.alone} for {x}" if more.noun else f"{x} {more.alone}" for x in (b, a))
    return put("{} by {} to {} by {}", first, low, second, high)


def barred(lows: Sequence[float | None], words: str) -> str:
    """What the ranges drawn on a figure are, where any is drawn."""
    return words if any(low is not None for low in lows) else ""
