"""Too many points to draw one by one: what stands in their place, and how it is said."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explainer.charts.display_list import Points

#: More points than this in a scatter are drawn as a density.
POINTS = 1500


@dataclass(frozen=True)
class Ranges:
    """Runs of points next to one another: lowest, middle and highest of each."""

    x: Points
    low: Points
    middle: Points
    high: Points
    each: int


def ranges(x: Points, y: Points, columns: int) -> Ranges:
    """Points in order of ``x`` in about ``columns`` runs of equally many; the last may be short."""
    order = np.argsort(x, kind="stable")
    each = int(np.ceil(len(x) / columns))
    starts = np.arange(0, len(x), each)
    parts = [order[start : start + each] for start in starts]
    return Ranges(
        np.array([x[part].mean() for part in parts]),
        np.array([y[part].min() for part in parts]),
        np.array([np.median(y[part]) for part in parts]),
        np.array([y[part].max() for part in parts]),
        each,
    )


def density(places: Points, cell: float = 7.0) -> tuple[Points, Points]:
    """Centres of cells with points in them, and how many each holds; (k, 2) and (k,)."""
    cells = np.floor(places / cell).astype(np.int64)
    found, counts = np.unique(cells, axis=0, return_counts=True)
    return np.asarray((found + 0.5) * cell, dtype=float), counts.astype(np.float64)
