"""The numbers each kind of figure draws: one frozen record per kind, no words, no colours."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ItemLine:
    """One item over the checkpoints: ``use`` and ``y`` of equal length, in order of use."""

    item: str
    group: str
    use: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True)
class MeanPoint:
    """The mean over items at one checkpoint, with its 95% range (None below 3 items)."""

    use: float
    mean: float
    low: float | None
    high: float | None
    n_items: int


@dataclass(frozen=True)
class OverUseData:
    """``over-use``: each item's line, and the means."""

    lines: tuple[ItemLine, ...]
    means: tuple[MeanPoint, ...]
    checkpoints: tuple[float, ...]
    """All checkpoints of the table: the last is the edge of the data."""
    matters_from: float | None
    claimed_to: float | None = None
    """A checkpoint past the data that a claim reaches for."""
    limit_low: float | None = None
    limit_high: float | None = None
    """The rule's limit on this measure, if any."""


@dataclass(frozen=True)
class Point:
    """One item at one checkpoint (``use`` None: the item's mean)."""

    item: str
    group: str
    use: float | None
    x: float
    y: float


@dataclass(frozen=True)
class FitLine:
    """A straight line y = intercept + slope·x, drawn over [x_from, x_to] only."""

    slope: float
    intercept: float
    x_from: float
    x_to: float


@dataclass(frozen=True)
class ScatterData:
    """``scatter``: item means, or (joined) every checkpoint, with the lines at both levels."""

    points: tuple[Point, ...]
    item_means: tuple[Point, ...]
    between: FitLine | None
    """Across items: through the item means (or through ``line_from``)."""
    within: FitLine | None
    """Each item's own journey, pooled; drawn through the overall mean."""
    joined: bool
    line_points: tuple[Point, ...] = ()
    """Items of ``line_from`` that give the line, if another table does."""
