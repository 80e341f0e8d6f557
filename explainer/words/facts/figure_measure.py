"""What the phrases of any figure know of the measure it shows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from explainer.study.model import Study
from explainer.words.facts import comparatives as ways
from explainer.words.language import words
from explainer.words.quantity.numbers import unit_words
from explainer.words.quantity.sizes import Sized, bare_beside, gap_unit, level, set_size

Facts = dict[str, Any]


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
    """The lowest and the highest value drawn."""
    if not values:
        return {"lowest": words("unknown"), "highest": words("unknown")}
    low, high = min(values), max(values)
    return {"lowest": bare_beside(low, high, unit), "highest": level(high, unit, low)}


def signed_of(numbers: Mapping[str, Any], name: str, unit: str) -> Sized:
    return Sized(numbers.get(name), numbers.get("low"), numbers.get("high"), unit)
