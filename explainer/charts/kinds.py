"""The kinds of figure: one file each, one signature; a new kind is one file and one row."""

from __future__ import annotations

from collections.abc import Callable

from explainer.charts import (
    ball_paths,
    gauge,
    groups,
    limit,
    over_use,
    rates,
    scatter,
    shot_series,
)
from explainer.charts.plate import Plate
from explainer.charts.style import WIDE, Sheet
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords

Draw = Callable[[FigureResult, FigureWords, Sheet], Plate]

KINDS: dict[str, Draw] = {
    "over-use": over_use.draw,
    "scatter": scatter.draw,
    "shot-series": shot_series.draw,
    "ball-paths": ball_paths.draw,
    "groups": groups.draw,
    "rates": rates.draw,
    "gauge": gauge.draw,
    "limit": limit.draw,
}


def draw(result: FigureResult, words: FigureWords, sheet: Sheet = WIDE) -> Plate:
    """The figure of any kind, set on a sheet."""
    return KINDS[result.figure.kind](result, words, sheet)
