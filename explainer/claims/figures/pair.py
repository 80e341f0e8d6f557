"""Two figures side by side: what differs from the first to the second, and on what scale."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from explainer.claims.figure_data import (
    GroupsData,
    LimitData,
    OverUseData,
    ScatterData,
    ShotSeriesData,
)
from explainer.claims.verdict import FigureResult, Judgement
from explainer.study.description.tests import Operand

#: On one scale a figure whose own span is less than this share of it would look flat.
FLAT = 0.25
#: A figure inside another's span, and no wider than this share of it both ways, is a corner of it.
CORNER = 0.5

Ends = tuple[float, float]


@dataclass(frozen=True)
class PairResult:
    """Two figures, ready to be drawn side by side."""

    under: str
    """The figure under which the author wants them."""
    first: FigureResult
    second: FigureResult
    differs: Literal["measure", "items", "rows", "view"]
    """The first that does: what is measured, whose readings they are, which of their rows, or only
    how they are drawn."""
    one_scale: bool
    """Whether both are drawn on the same scale up the side."""
    corner: Literal["", "first", "second"] = ""
    """The one that shows a corner of the other."""


def pairs(judgement: Judgement) -> tuple[PairResult, ...]:
    """Every pair the author asks for, in the order of the figures that name them."""
    return tuple(
        pair(result.figure.id, *(judgement.figure(id) for id in result.figure.pair))
        for result in judgement.figures
        if result.figure.pair is not None
    )


def pair(under: str, first: FigureResult, second: FigureResult) -> PairResult:
    """The two on one scale where both can be read on it, else each on its own."""
    spans = [_span(_up(result)) for result in (first, second)]
    same = measure_of(first) == measure_of(second)
    one_scale = False
    if same and spans[0] is not None and spans[1] is not None:
        whole = _span([*spans[0], *spans[1]])
        assert whole is not None
        wide = whole[1] - whole[0]
        corner = _corner(first, second)
        narrow = min(s[1] - s[0] for s in (spans[0], spans[1]))
        one_scale = not corner and (wide <= 0 or narrow >= FLAT * wide)
        if one_scale:
            first, second = (replace(r, y_also=whole) for r in (first, second))
        return PairResult(under, first, second, _differs(first, second), one_scale, corner)
    return PairResult(under, first, second, _differs(first, second), one_scale)


def measure_of(result: FigureResult) -> str:
    """The measure up the side of a figure, of rates what is counted; empty where there is none."""
    y = getattr(result.figure, "y", None) or getattr(result.figure, "successes", None)
    return y.measure if isinstance(y, Operand) else y or ""


def _differs(
    first: FigureResult, second: FigureResult
) -> Literal["measure", "items", "rows", "view"]:
    if measure_of(first) != measure_of(second):
        return "measure"
    if {*_items(first)} != {*_items(second)}:
        return "items"
    if first.figure.table != second.figure.table or first.figure.only != second.figure.only:
        return "rows"
    return "view"


def _items(result: FigureResult) -> Iterable[str]:
    data = result.data
    if isinstance(data, OverUseData):
        return [line.item for line in data.lines]
    if isinstance(data, ScatterData):
        return [point.item for point in data.points]
    if isinstance(data, GroupsData):
        return [item for group in data.groups for item, _ in group.items]
    if isinstance(data, LimitData):
        return [reading.item for reading in data.readings]
    return [series.item for series in data.series] if isinstance(data, ShotSeriesData) else []


def _up(result: FigureResult) -> list[float]:
    """What is drawn up the side."""
    data = result.data
    if isinstance(data, OverUseData):
        return [v for line in data.lines for v in line.y]
    if isinstance(data, ScatterData):
        return [point.y for point in data.points]
    if isinstance(data, GroupsData):
        return [v for group in data.groups for _, v in group.items]
    if isinstance(data, LimitData):
        return [reading.value for reading in data.readings]
    shots = data.series if isinstance(data, ShotSeriesData) else ()
    return [shot.y for series in shots for shot in series.shots]


def _across(result: FigureResult) -> list[float]:
    """What is drawn along the bottom, where that is a scale."""
    data = result.data
    if isinstance(data, OverUseData):
        return list(data.checkpoints)
    return [point.x for point in data.points] if isinstance(data, ScatterData) else []


def _span(values: Iterable[float]) -> Ends | None:
    known = [v for v in values if v == v]
    return (min(known), max(known)) if known else None


def _corner(first: FigureResult, second: FigureResult) -> Literal["", "first", "second"]:
    """Which of the two lies inside the other both ways, and small in it; empty for neither."""
    if first.figure.kind != second.figure.kind or _x_of(first) != _x_of(second):
        return ""
    if _inside(second, first):
        return "second"
    return "first" if _inside(first, second) else ""


def _x_of(result: FigureResult) -> str:
    x = getattr(result.figure, "x", None)
    return x.measure if isinstance(x, Operand) else x or ""


def _inside(small: FigureResult, large: FigureResult) -> bool:
    ends = [(_span(side(small)), _span(side(large))) for side in (_across, _up)]
    for inner, outer in ends:
        if inner is None or outer is None or inner[0] < outer[0] or inner[1] > outer[1]:
            return False
        if inner[1] - inner[0] > CORNER * (outer[1] - outer[0]):
            return False
    return True
