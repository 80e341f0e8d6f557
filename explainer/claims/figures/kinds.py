"""The table of figure kinds, as numbers: to add one, write its file and its row.

Every other table of figure kinds is derived from this one; how a kind looks is ``draw`` of the
module in ``charts`` that bears its name, as words and drawings come after claims."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args

from explainer.claims import figure_data as records
from explainer.claims.evidence import only_rows
from explainer.claims.figure_data import Walk
from explainer.claims.figures import (
    ball_paths,
    gauge,
    groups,
    limit,
    over_use,
    rates,
    scatter,
    shot_series,
)
from explainer.claims.figures.stories import stories, walk
from explainer.claims.figures.yardstick import yardstick
from explainer.claims.verdict import FigureResult, Verdict
from explainer.study.description import figures as models
from explainer.study.description.figures import AnyFigure
from explainer.study.model import Study


@dataclass(frozen=True)
class FigureKind:
    """All that the house knows of a kind of figure."""

    model: type[models.Figure]
    """What an author may write; its ``kind`` is the kind's name."""
    find: Callable[[Study, Any, Sequence[Verdict]], FigureResult]
    data: type
    """The record that ``find`` gives and ``draw`` draws."""
    same_axes: bool = False
    """Whether a second one differs from the first in its height only."""

    @property
    def name(self) -> str:
        return str(get_args(self.model.model_fields["kind"].annotation)[0])

    @property
    def module(self) -> str:
        """The file of this kind, here and in ``charts``."""
        return self.name.replace("-", "_")


ROWS = (
    FigureKind(models.OverUse, over_use.picture, records.OverUseData, same_axes=True),
    FigureKind(models.Scatter, scatter.picture, records.ScatterData),
    FigureKind(models.ShotSeries, shot_series.picture, records.ShotSeriesData, same_axes=True),
    FigureKind(models.BallPaths, ball_paths.picture, records.BallPathsData),
    FigureKind(models.Groups, groups.picture, records.GroupsData),
    FigureKind(models.Rates, rates.picture, records.RatesData),
    FigureKind(models.Gauge, gauge.picture, records.GaugeData),
    FigureKind(models.Limit, limit.picture, records.LimitData),
)

FIGURE_KINDS: Mapping[str, FigureKind] = {row.name: row for row in ROWS}


def picture(study: Study, figure: AnyFigure, verdicts: Sequence[Verdict]) -> FigureResult:
    """The figure's numbers, with the claims it shows."""
    here = only_rows(study, figure.only)
    result = FIGURE_KINDS[figure.kind].find(here, figure, verdicts)
    return replace(
        result, claims=shown_by(figure, verdicts), yardstick=yardstick(study, figure),
        walk=_walk(here, result), stories=stories(here, figure),
    )


def shown_by(figure: AnyFigure, verdicts: Sequence[Verdict]) -> tuple[str, ...]:
    """Ids of the claims that a figure shows."""
    return tuple(v.claim.id for v in verdicts if v.claim.figure == figure.id)


def _walk(study: Study, result: FigureResult) -> Walk | None:
    """The figure's items in turn, where the author asks for it."""
    figure = result.figure
    if not figure.walked:
        return None
    odd = next((f.numbers["item"] for f in result.findings
                if f.kind == "odd-item" and "apart" not in f.numbers), "")  # fmt: skip
    return walk(study, figure, result.data, str(odd))
