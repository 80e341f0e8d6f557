"""The words of a physics yardstick: what the formula says, and that it judges nothing."""

from __future__ import annotations

from typing import Any

from explainer.claims.picture import Yardstick
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import quantity, rounded
from explainer.words.said import FigureWords


def yardstick_words(teller: Teller, curve: Yardstick, figure: str, invented: bool) -> FigureWords:
    """Title, what is drawn, what it says at its two ends, and the source on the drawing."""
    known = _facts(curve)

    def said(part: str) -> str:
        return teller.tell([f"{curve.kind}.{part}"], known, about=figure)

    def label(part: str) -> str:
        return teller.fragment([f"{curve.kind}.{part}"], known, about=figure)

    return FigureWords(
        title=said("title"),
        looking_at=said("looking_at"),
        how_to_read="",
        shows=said("shows"),
        cannot_show="",
        description=f"{said('looking_at')} {said('shows')}",
        x_label=label("x_label"),
        y_label=label("y_label"),
        note=label("source") + (" Beside made-up data." if invented else ""),
    )


def _facts(curve: Yardstick) -> dict[str, Any]:
    """Numbers and names for the phrases, in words."""
    hard = curve.kind == "contact-patch"
    unit = "Shore D" if hard else "mph"
    return {
        "reference": quantity(curve.reference, unit),
        "first": quantity(curve.x[0], unit) if hard else rounded(curve.x[0]),
        "last": quantity(curve.x[-1], unit) if hard else rounded(curve.x[-1]),
        "first_value": _value(curve.y[0], hard),
        "last_value": _value(curve.y[-1], hard),
        "speed_from": "the speed measured here" if curve.measure else "a usual speed",
    }


def _value(value: float, ratio: bool) -> str:
    return f"{value:.2f}" if ratio else f"{value:.0f}"
