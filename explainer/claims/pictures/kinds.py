"""The table of figure kinds, as numbers: to add one, write its file and its row."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from explainer.claims.pictures import (
    ball_paths,
    gauge,
    groups,
    limit,
    over_use,
    rates,
    scatter,
    shot_series,
)
from explainer.claims.pictures.yardstick import yardstick
from explainer.claims.verdict import FigureResult, Verdict
from explainer.study.description.figures import AnyFigure
from explainer.study.model import Study

PICTURES: Mapping[str, Callable[[Study, Any, Sequence[Verdict]], FigureResult]] = {
    "over-use": over_use.picture,
    "scatter": scatter.picture,
    "shot-series": shot_series.picture,
    "ball-paths": ball_paths.picture,
    "groups": groups.picture,
    "rates": rates.picture,
    "gauge": gauge.picture,
    "limit": limit.picture,
}


def picture(study: Study, figure: AnyFigure, verdicts: Sequence[Verdict]) -> FigureResult:
    """The figure's numbers, with the claims it shows."""
    result = PICTURES[figure.kind](study, figure, verdicts)
    shown = tuple(v.claim.id for v in verdicts if v.claim.figure == figure.id)
    return replace(result, claims=shown, yardstick=yardstick(study, figure))
