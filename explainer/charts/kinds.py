"""The kinds of figure: one file each, one signature; a new kind is one file and one row."""

from __future__ import annotations

from collections.abc import Callable

from explainer.charts import over_use, scatter
from explainer.charts.plate import Plate
from explainer.charts.style import Sheet
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords

Draw = Callable[[FigureResult, FigureWords, Sheet], Plate]

KINDS: dict[str, Draw] = {
    "over-use": over_use.draw,
    "scatter": scatter.draw,
}
