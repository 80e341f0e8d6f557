"""Columns of numbers, made ready: what counts as a reading, and its mean and spread.

Cells that are not finite are not readings.  A spread that is nothing but the rounding of the
arithmetic is no spread.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

Array = npt.NDArray[np.float64]

#: Deviations below this share of the largest number are rounding, not spread: about 450 times
#: the last bit, so that a difference of two far larger readings is still seen through.
ROUNDING = 1e-13


def readings(values: npt.ArrayLike) -> Array:
    """The finite values, as one row of float64."""
    row = np.asarray(values, dtype=np.float64).ravel()
    return row[np.isfinite(row)]


def pairs(x: npt.ArrayLike, y: npt.ArrayLike) -> tuple[Array, Array]:
    """The pairs in which both are finite.  ValueError where the lengths differ."""
    a, b = np.asarray(x, dtype=np.float64).ravel(), np.asarray(y, dtype=np.float64).ravel()
    if a.shape != b.shape:
        raise ValueError(f"pairs of {a.size} and {b.size} values")
    both = np.isfinite(a) & np.isfinite(b)
    return a[both], b[both]


def centred(values: Array) -> tuple[float, Array]:
    """The mean and the deviations from it; exact zeros where there is only rounding.

    Worked out from the first value, so that a large common level costs no digits.
    """
    moved = values - values[0]
    shift = moved.mean()
    away = moved - shift
    away = away - away.mean()
    if float(np.max(np.abs(away))) <= ROUNDING * float(np.max(np.abs(values))):
        away = np.zeros_like(values)
    return float(values[0] + shift), away


def mean_sd(values: Array) -> tuple[float, float]:
    """Mean and standard deviation (n − 1) of at least two values."""
    mean, away = centred(values)
    return mean, float(np.sqrt(away @ away / (values.size - 1)))


def ranks(values: Array) -> Array:
    """Ranks from 1; equal values share the mean of theirs."""
    _, group, size = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(size)
    middle = (last - size + 1 + last) / 2
    return np.asarray(middle[group], dtype=np.float64)


# Rows to items: the unit of analysis is the item, so one number per item and checkpoint first.
# Counting readings as if they were items makes chance look like proof (Hurlbert 1984, Matthews et
# al. 1990); everything after this stage counts items.

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
) -> tuple[tuple[str, ...], Array, npt.NDArray[np.int64]]:
    """Items, their means over the rows numbered ``first`` to ``last``, and how many rows each has.

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
    return items, values, counts


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


# Does one item, or one checkpoint, carry a finding? Leave each out and look.

#: Less than this share of the estimate left: the finding leaned on what was left out.  Our own
#: threshold, settable in a study.
HALVING = 0.5


def is_fragile(
    full: float | None, without: Sequence[float | None], halving: float = HALVING
) -> tuple[bool, int]:
    """Is there one whose leaving turns the estimate round, undoes it or more than halves it?

    Also the place of the one whose leaving takes away most; −1 where there are none.  An estimate
    of 0 or None has nothing to lose.
    """
    whole = _finite(full)
    if not without or whole is None or whole == 0:
        return False, -1
    left = [-math.inf if _finite(w) is None else float(w) / whole for w in without]  # type: ignore[arg-type]
    worst = min(range(len(left)), key=left.__getitem__)
    return left[worst] < halving, worst


def _finite(value: float | None) -> float | None:
    """The value, or None where it is none or not finite."""
    return float(value) if value is not None and math.isfinite(value) else None
