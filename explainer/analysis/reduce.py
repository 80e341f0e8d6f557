"""Rows to items: one number per item and checkpoint, before anything else is worked out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Grid:
    """Items × checkpoints, repeats averaged."""

    items: tuple[str, ...]
    """In order of first appearance."""
    uses: tuple[float, ...]
    """Checkpoints in rising order; empty where the table has none."""
    values: Array
    """Shape (items, checkpoints), or (items, 1) without checkpoints; NaN where nothing was read."""
    counts: NDArray[np.int64]
    """How many readings each value is the mean of; same shape."""
    n_rows: int
    """All readings used."""


def grid(frame: pd.DataFrame, item: str, use: str | None, measure: str) -> Grid:
    """Average the readings of ``measure`` per item and checkpoint; NaN readings are left out."""
    codes, names = pd.factorize(frame[item], sort=False)
    readings = frame[measure].to_numpy(dtype=np.float64)
    if use is None:
        steps, uses = np.zeros(len(frame), dtype=np.intp), np.empty(0)
        width = 1
    else:
        steps, uses = pd.factorize(frame[use].to_numpy(dtype=np.float64), sort=True)
        width = len(uses)
    size = len(names) * width
    # A checkpoint that is missing has code -1: it belongs nowhere.
    known = np.isfinite(readings) & (codes >= 0) & (steps >= 0)
    place = (codes * width + steps)[known]
    counts = np.bincount(place, minlength=size)
    # Averaging distances from a middle value keeps the digits of large readings of small spread.
    middle = float(readings[known][0]) if place.size else 0.0
    sums = np.bincount(place, weights=readings[known] - middle, minlength=size)
    means = np.full(size, np.nan)
    np.divide(sums, counts, out=means, where=counts > 0)
    shape = (len(names), width)
    return Grid(
        items=tuple(str(n) for n in names),
        uses=tuple(float(u) for u in uses),
        values=(means + middle).reshape(shape),
        counts=counts.reshape(shape).astype(np.int64),
        n_rows=int(counts.sum()),
    )


def item_means(cells: Grid) -> Array:
    """Each item's mean over the checkpoints it was read at, each checkpoint weighing the same."""
    return _row_means(cells.values)


def at(cells: Grid, checkpoint: float | tuple[float, float]) -> Array:
    """Each item's value at a checkpoint, or its mean over a window of checkpoints; NaN if none."""
    low, high = checkpoint if isinstance(checkpoint, tuple) else (checkpoint, checkpoint)
    columns = [i for i, use in enumerate(cells.uses) if low <= use <= high]
    return _row_means(cells.values[:, columns])


def _row_means(values: Array) -> Array:
    known = np.isfinite(values)
    counts = known.sum(axis=1)
    sums = np.where(known, values, 0.0).sum(axis=1)
    means = np.full(len(values), np.nan)
    np.divide(sums, counts, out=means, where=counts > 0)
    return means


def window_means(
    frame: pd.DataFrame, item: str, order: str, measure: str, first: float, last: float
) -> tuple[tuple[str, ...], Array, int]:
    """Each item's mean over the rows whose ``order`` lies in [first, last]; and rows used.

    Every item of the frame is listed, NaN where it has no row there.
    """
    place = frame[order].to_numpy(dtype=np.float64)
    inside = grid(frame[(place >= first) & (place <= last)], item, None, measure)
    found = dict(zip(inside.items, inside.values[:, 0].tolist(), strict=True))
    items = tuple(str(i) for i in pd.unique(frame[item]))
    return items, np.array([found.get(i, np.nan) for i in items], dtype=np.float64), inside.n_rows
