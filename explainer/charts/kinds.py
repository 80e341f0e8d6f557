"""How each kind of figure is drawn: one file each, one signature."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from explainer.charts.display_list import DisplayList
from explainer.charts.style import WIDE, Canvas
from explainer.claims.figures.kinds import FIGURE_KINDS
from explainer.claims.verdict import FigureResult
from explainer.words.said import FigureWords

Draw = Callable[[FigureResult, FigureWords, Canvas], DisplayList]

#: Kind -> ``draw`` of the module here that bears its name: a kind is a row among the claims alone.
KINDS: dict[str, Draw] = {
    name: import_module(f"{__package__}.{kind.module}").draw for name, kind in FIGURE_KINDS.items()
}


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure of any kind, set on a sheet."""
    return KINDS[result.figure.kind](result, words, sheet)
