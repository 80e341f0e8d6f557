"""An error that all items share at a checkpoint: a gauge that was off for a day.

Items that all read high on one day agree with each other, so no scatter shows it.  It is known only
where the study declares its size (``shared_sd``) or has read one item again each time that does not
change (``reference``).  Then readings are set right by that item, and what is left is the error of
its own readings (ISO/IEC Guide 98-3, correlated inputs, section 5.2).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd

from explainer.analysis.result import Estimate, Undefined, widened
from explainer.claims.evidence import Checkpoint, Pairs
from explainer.study.description.measures import Measure
from explainer.study.description.tests import AnyTest
from explainer.study.model import Study, Table


def of_one_checkpoint(table: Table, measure: str, point: Checkpoint) -> float:
    """SD of the shared error in a mean over ``point``: a checkpoint, or a window of several.

    0 where none is declared, and for a window of rows in order: they stand at one checkpoint.
    """
    sd = table.shared_sd.get(measure, 0.0)
    if not sd or table.use is None:
        return 0.0
    if not isinstance(point, tuple):
        return sd
    if table.order is not None:
        return 0.0
    several = sum(point[0] <= use <= point[1] for use in table.checkpoints)
    return sd / math.sqrt(max(1, several))


def in_change(
    result: Estimate | Undefined, table: Table, measure: str, start: Checkpoint, end: Checkpoint
) -> Estimate | Undefined:
    """A change from ``start`` to ``end`` with the shared errors of both in its range."""
    if isinstance(result, Undefined):
        return result
    both = math.hypot(*(of_one_checkpoint(table, measure, p) for p in (start, end)))
    return widened(result, both)


def in_gap(
    result: Estimate | Undefined, table: Table, measure: str, test: AnyTest
) -> Estimate | Undefined:
    """One side less another, where the sides are two checkpoints of the same table."""
    known: Any = test
    start, end = getattr(known, "from_", None), getattr(known, "to", None)
    if table.use is not None and getattr(known, "by", None) == table.use:
        start, end = float(known.b), float(known.a)
    if start is None or end is None:
        return result  # both sides were read at the same checkpoints, where it cancels
    return in_change(result, table, measure, start, end)


def in_level(
    result: Estimate | Undefined, table: Table, measure: str, point: Checkpoint | None
) -> Estimate | Undefined:
    """A mean of readings at ``point``, or over all checkpoints, with the shared error in it."""
    if isinstance(result, Undefined):
        return result
    return widened(result, of_level(table, measure, point))


def of_level(table: Table, measure: str, point: Checkpoint | None) -> float:
    """SD of the shared error in readings at ``point``, or in a mean over all checkpoints."""
    if point is not None:
        return of_one_checkpoint(table, measure, point)
    sd = table.shared_sd.get(measure, 0.0)
    return sd / math.sqrt(max(1, len(table.checkpoints))) if table.use is not None else 0.0


def in_drift(
    result: Estimate | Undefined, table: Table, measure: str, over: str
) -> Estimate | Undefined:
    """A mean slope over the checkpoints, with the shared error of each in its range.

    Errors of SD s at checkpoints u move a line's slope by s/√Σ(u − ū)²; that of a Theil–Sen slope
    by at most 2.4% more, for its efficiency of 3/π on evenly spaced readings (Sen 1968).
    """
    sd, uses = table.shared_sd.get(measure, 0.0), np.array(table.checkpoints, dtype=float)
    if isinstance(result, Undefined) or not sd or over != table.use or len(uses) < 2:
        return result
    return widened(result, sd * math.sqrt(math.pi / 3) / float(np.linalg.norm(uses - uses.mean())))


def in_jump(
    result: Estimate | Undefined, table: Table, measure: str, over: str, since: float
) -> Estimate | Undefined:
    """The mean over the checkpoints from ``since`` on less that before, with the shared errors."""
    sd, uses = table.shared_sd.get(measure, 0.0), np.array(table.checkpoints, dtype=float)
    before, after = int((uses < since).sum()), int((uses >= since).sum())
    if isinstance(result, Undefined) or not sd or over != table.use or not before or not after:
        return result
    return widened(result, sd * math.sqrt(1 / before + 1 / after))


def in_slope(
    slope: Estimate, x: tuple[Table, str], y: tuple[Table, str], pairs: Pairs
) -> Estimate:
    """A within-item slope with the shared errors of y, and of x, at each checkpoint.

    An error e of y at checkpoint k moves the slope by e·Σ(x − item's mean of x)/Σ(x − …)², the
    first sum over the items read there; one of x moves it by that times the slope.
    """
    sd = math.hypot(y[0].shared_sd.get(y[1], 0.0), slope.value * x[0].shared_sd.get(x[1], 0.0))
    if sd == 0 or pairs.checkpoints is None:
        return slope
    frame = pd.DataFrame({"item": pairs.items, "use": pairs.use, "x": pairs.x})
    away = frame["x"] - frame.groupby("item")["x"].transform("mean")
    at_once = away.groupby(frame["use"]).sum().to_numpy(dtype=float)
    square = float((away**2).sum())
    return widened(slope, sd * math.sqrt(float(at_once @ at_once)) / square) if square else slope


def set_right(study: Study) -> Study:
    """``study`` with every table that has a reference item set right by it, and without its rows.

    Each reading is moved by as much as the reference was off its own mean at that checkpoint.
    """
    tables = {
        name: _set_right(table, study.description.measures) if _usable(table) else table
        for name, table in study.tables.items()
    }
    return replace(study, tables=MappingProxyType(tables))


def _usable(table: Table) -> bool:
    return (
        table.reference is not None and table.use is not None
        and table.reference in table.items and len(table.items) > 1
    )  # fmt: skip


def _set_right(table: Table, measures: Mapping[str, Measure]) -> Table:
    frame, use = table.frame, str(table.use)
    mine = (frame[table.item].astype(str) == table.reference).to_numpy()
    others = frame[~mine].copy()
    left: dict[str, float] = {}
    for name in table.measures:
        read = frame[mine].groupby(use, observed=True)[name]
        means = read.mean().dropna()
        if len(means) < 2:
            continue
        off = (means - means.mean()).reindex(others[use]).to_numpy(dtype=float)
        # A checkpoint at which the reference was not read is left as it is.
        others[name] = others[name].to_numpy(dtype=float) - np.nan_to_num(off)
        left[name] = _own_error(read, means, measures[name].repeatability_sd)
    shared = {**table.shared_sd, **left}
    items = tuple(item for item in table.items if item != table.reference)
    return replace(table, frame=others, items=items, shared_sd=MappingProxyType(shared))


def _own_error(
    read: pd.api.typing.SeriesGroupBy[Any, Any], means: pd.Series[float], known: float | None
) -> float:
    """SD of the reference's own mean at a checkpoint: by the gauge's repeatability, else by how its
    repeats scatter, else at most what its means do from one checkpoint to the next."""
    times = float(np.mean(read.count().to_numpy(dtype=float)))
    if known is not None:
        return known / math.sqrt(max(1.0, times))
    spread = read.var(ddof=1).dropna().to_numpy(dtype=float)
    if len(spread):
        return math.sqrt(float(spread.mean()) / max(1.0, times))
    return float(means.std(ddof=1))
