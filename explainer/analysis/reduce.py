"""Rows to items: the unit of analysis is the item, so one number per item and checkpoint first.

Counting readings as if they were items makes chance look like proof (Hurlbert 1984, Matthews et
al. 1990); everything after this stage counts items.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from explainer.analysis.sample import Array


@dataclass(frozen=True)
class Grid:
    """One measure, items × checkpoints."""

    items: tuple[str, ...]
    """In order of first appearance; items without any reading are kept."""
    uses: tuple[float, ...]
    """Sorted checkpoints; empty where the table has none, and then there is one column."""
    values: Array
    """(items, checkpoints): the mean of the repeats; NaN where there is no reading."""
    counts: npt.NDArray[np.int64]
    """(items, checkpoints): how many readings each value is the mean of."""
    n_rows: int
    """All readings; what is not finite is not a reading."""


def grid(frame: pd.DataFrame, item: str, use: str | None, measure: str) -> Grid:
    """Averages the repeats of ``measure`` per ``item`` and checkpoint ``use``.

    Rows without an item or a checkpoint are left out.
    """
    codes, items = _items(frame, item)
    reading = _numbers(frame, measure)
    kept = np.isfinite(reading) & (codes >= 0)
    if use is None:
        uses, place = np.empty(0), np.zeros(len(frame), dtype=np.intp)
    else:
        uses, place = _checkpoints(_numbers(frame, use))
        kept &= place >= 0
    width = 1 if use is None else uses.size
    cell = (codes * width + place)[kept]
    shape = (len(items), width)
    counts = np.bincount(cell, minlength=shape[0] * width).reshape(shape)
    sums = np.bincount(cell, weights=reading[kept], minlength=shape[0] * width).reshape(shape)
    values = np.full(shape, np.nan)
    np.divide(sums, counts, out=values, where=counts > 0)
    return Grid(items, tuple(uses.tolist()), values, counts, int(kept.sum()))


def item_means(cells: Grid) -> Array:
    """Each item's mean over the checkpoints it was read at, each counted once; NaN without any."""
    return _means(cells.values)


def at(cells: Grid, checkpoint: float | tuple[float, float]) -> Array:
    """Each item's value at a checkpoint, or its mean over those from first to last.

    NaN where an item was not read there.
    """
    first, last = checkpoint if isinstance(checkpoint, tuple) else (checkpoint, checkpoint)
    uses = np.array(cells.uses, dtype=np.float64)
    chosen = np.flatnonzero((uses >= first) & (uses <= last))
    return _means(cells.values[:, chosen])


def window_means(
    frame: pd.DataFrame, item: str, order: str, measure: str, first: float, last: float
) -> tuple[tuple[str, ...], Array, int]:
    """Items, their means over the rows numbered ``first`` to ``last``, and how many rows those are.

    ``order`` is the column that numbers rows; both ends belong to the window.
    """
    number = _numbers(frame, order)
    inside = (number >= first) & (number <= last)
    codes, items = _items(frame, item)
    reading = _numbers(frame, measure)
    kept = inside & np.isfinite(reading) & (codes >= 0)
    counts = np.bincount(codes[kept], minlength=len(items))
    sums = np.bincount(codes[kept], weights=reading[kept], minlength=len(items))
    values = np.full(len(items), np.nan)
    np.divide(sums, counts, out=values, where=counts > 0)
    return items, values, int(kept.sum())


def _items(frame: pd.DataFrame, item: str) -> tuple[npt.NDArray[np.intp], tuple[str, ...]]:
    """Each row's place among the items (−1 without one), and their names in order of appearance."""
    codes, names = pd.factorize(frame[item])
    return codes, tuple(str(name) for name in names)


def _numbers(frame: pd.DataFrame, column: str) -> Array:
    """The column in its own unit, NaN where a cell is empty."""
    return frame[column].to_numpy(dtype=np.float64, na_value=np.nan)


def _checkpoints(use: Array) -> tuple[Array, npt.NDArray[np.intp]]:
    """Sorted checkpoints, and each row's place among them; −1 where it has none."""
    codes, found = pd.factorize(use)
    order = np.argsort(found)
    place = np.empty(found.size + 1, dtype=np.intp)
    place[order] = np.arange(found.size)
    place[-1] = -1
    return np.asarray(found[order], dtype=np.float64), place[codes]


def _means(values: Array) -> Array:
    """Row means over what is there; NaN for a row of nothing, without a warning."""
    here = np.isfinite(values)
    count = here.sum(axis=1)
    total = np.where(here, values, 0.0).sum(axis=1)
    means = np.full(values.shape[0], np.nan)
    np.divide(total, count, out=means, where=count > 0)
    return means
