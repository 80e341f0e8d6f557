"""Columns of numbers, made ready: what counts as a reading, and its mean and spread.

Cells that are not finite are not readings.  A spread that is nothing but the rounding of the
arithmetic is no spread.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

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
