"""How exact a reading is: the gauge's noise, errors all readings share, charts read by hand.

What the gauge behind a measure can see comes first: the smallest difference that is not its own
noise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd

from explainer.analysis.gauge import DETECT
from explainer.analysis.limits import standard_uncertainty
from explainer.analysis.result import Estimate, Undefined, t_estimate, widened
from explainer.claims import evidence
from explainer.claims.evidence import Checkpoint, Pairs
from explainer.claims.verdict import Code, Verdict
from explainer.study.description.sources import Measure
from explainer.study.description.tests import AnyTest
from explainer.study.model import Study, Table


def smallest_seen(measure: Measure, readings: float = 1.0) -> float | None:
    """Smallest difference between two means of ``readings`` each that 95% calls real.

    In the measure's unit; None where the study knows nothing of its gauge.
    """
    u = standard_uncertainty(
        measure.repeatability_sd, measure.resolution, max(1, math.floor(readings))
    )
    return DETECT * u if u else None


def gauge_of(measure: Measure, table: Table, name: str, readings: float) -> float | None:
    """Standard uncertainty of one item's value, a mean of ``readings``, in the measure's unit.

    The gauge as declared, else as repeat readings of one item show it; None where neither does.
    """
    sd = measure.repeatability_sd
    if sd is None and (again := evidence.repeats(table, name)) is not None:
        sd = again.sd
    if sd is None:
        return None
    return standard_uncertainty(sd, measure.resolution, max(1, math.floor(readings)))


def told_from(
    measure: Measure, table: Table, name: str, readings: float, ends: Sequence[Checkpoint] = ()
) -> float | None:
    """Smallest difference between two values of an item that 95% calls more than reading error.

    Of the gauge, and of what all readings share at each of two checkpoints ``ends``.  None where
    nobody knows the gauge: the steps that it shows in do not tell how far it scatters.  What is
    said of one item goes by this, in claims and in figures.
    """
    u = gauge_of(measure, table, name, readings)
    if not u:
        return None
    shared = math.hypot(*(of_one_checkpoint(table, name, end) for end in ends))
    return DETECT * math.hypot(u, shared / math.sqrt(2))


def reliability_between(
    study: Study, side: evidence.Side, values: evidence.Floats, readings: float
) -> float | None:
    """Share of the variance over items, each a mean of ``readings``, that is not the gauge's.

    None where the study knows nothing of its gauge, or items do not differ.  0 to 1.
    """
    measure = study.measure(side[1])
    u = standard_uncertainty(
        measure.repeatability_sd, measure.resolution, max(1, math.floor(readings))
    )
    spread = float(np.var(values, ddof=1)) if len(values) > 1 else 0.0
    return None if u is None or spread <= 0 else max(0.0, 1 - u * u / spread)


def reliability_within(
    study: Study, side: evidence.Side, pairs: evidence.Pairs
) -> float | None:
    """Share of the within-item spread of x that is not gauge scatter; None if that is unknown.

    1 − (repeatability² / readings) / variance of x about its item's mean.  Gauge scatter in x
    shrinks the within slope far more than the between slope, since x moves little within an item.
    Source: Carroll et al. 2006, Measurement Error in Nonlinear Models, ch. 3 (attenuation).
    """
    sd = study.measure(side[1]).repeatability_sd
    if sd is None:
        return None
    away = np.concatenate(
        [pairs.x[pairs.items == i] - pairs.x[pairs.items == i].mean() for i in pairs.names]
    )
    df = len(away) - len(pairs.names)
    spread = float((away**2).sum() / df) if df > 0 else 0.0
    counts = evidence.grid(*side).counts
    readings = max(1.0, float(counts[counts > 0].mean()))
    if spread <= 0:
        return None
    return min(1.0, max(0.05, 1 - sd**2 / readings / spread))


# An error that all items share at a checkpoint: a gauge that was off for a day.
# Items that all read high on one day agree with each other, so no scatter shows it. It is known
# only where the study declares its size (``shared_sd``) or has read one item again each time that
# does not change (``reference``). Then readings are set right by that item, and what is left is
# the error of its own readings (ISO/IEC Guide 98-3, correlated inputs, section 5.2).

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


# Verdicts on numbers that were read off a report's charts: no surer than the reading allows.
# A reading moves each value by up to its error, and may by luck move a verdict to the surer side.
# So each verdict is worked out again with every lifted value moved at random, somewhat further
# than its error, and the least sure of the answers stands: what only some of the readings say,
# none of them shows (a worst case over an interval-valued data set; Manski 2003, ch. 1, for the
# idea).

#: How often the values are moved; the same moves every time.
DRAWS, SEED = 16, 1905
#: How far, in errors.  Simulated, claims near their line (tests/lift/test_read_off.py): moves of
#: one error left 1 verdict in 200 surer than the truth's, of 1.75 errors 1 in 1725, of two none.
FURTHER = 2.0
#: Their own uncertainty holds the error of reading already, or they have none.
_EXEMPT = ("limit", "not-testable", "repeatability")

Again = Callable[[Study], list[Verdict]]


def held_to_readings(study: Study, parts: list[Verdict], again: Again) -> list[Verdict]:
    """``parts`` with those that another reading could turn held back, and the reason named."""
    if not any(map(_measures, study.tables.values())):
        return parts
    rng = np.random.default_rng(SEED)
    others = [again(_moved(study, rng)) for _ in range(DRAWS)]
    return [
        _held(part, {other[i].code for other in others}, _error(study, part))
        for i, part in enumerate(parts)
    ]


def _measures(table: Table) -> tuple[str, ...]:
    """The measures of a table that were read off a chart, with an error."""
    if table.lifted is None or table.lifted.method == "table" or not table.reading_error:
        return ()
    return table.measures


def _moved(study: Study, rng: np.random.Generator) -> Study:
    """The study with every such value somewhere within its error, on a path of its own."""
    tables = dict(study.tables)
    for name, table in study.tables.items():
        frame = table.frame
        for measure in _measures(table):
            own = FURTHER * (table.reading_error - table.axis_error)
            shift = rng.uniform(-own, own, len(frame))
            shift += rng.uniform(-1, 1) * FURTHER * table.axis_error
            frame = frame.assign(**{measure: frame[measure].to_numpy() + shift})
        tables[name] = replace(table, frame=frame)
    return replace(study, tables=MappingProxyType(tables))


def _error(study: Study, part: Verdict) -> float:
    table = study.tables.get(part.table)
    return table.reading_error if table is not None else 0.0


def _held(part: Verdict, codes: set[Code], error: float) -> Verdict:
    if part.test.kind in _EXEMPT or codes <= {part.code} or part.code == "cannot-tell":
        return part
    code: Code = "leans" if codes | {part.code} <= {"backed", "leans"} else "cannot-tell"
    if code == part.code:
        return part
    detail = replace(part.detail, reading_error=error) if error else part.detail
    return replace(part, code=code, reasons=(*part.reasons, "reading-error"), detail=detail)


# A claim about the one item that ``only`` picked: nothing but the gauge stands between its
# readings and the truth, so its range is what the gauge may be off by (JCGM 100:2008).

#: Degrees of freedom of a spread that is known.
KNOWN = 1e9
METHOD = "one item, range from the gauge"


def of_one(
    table: Table, name: str, measure: Measure, items: Sequence[str], value: float, readings: float,
    times: int = 2,
) -> Estimate | None:  # fmt: skip
    """``value`` of the one item, a difference of ``times`` = 2 of its values, or one of them.

    In the measure's unit; each of its values is a mean of ``readings``.  None for more items than
    one, for one that nothing picked, and where nobody knows the gauge.
    """
    u = error_of_one(table, name, measure, items, readings)
    return t_estimate(value, u * times**0.5, KNOWN, 1, METHOD) if u else None


def error_of_one(
    table: Table, name: str, measure: Measure, items: Sequence[str], readings: float
) -> float | None:
    """Standard uncertainty of each value of the one item that a test picked, in the measure's unit.

    None for more items than one, for one that nothing picked, and where nobody knows the gauge.
    """
    if not table.picked or len(items) != 1:
        return None
    return gauge_of(measure, table, name, readings) or None


def named(result: object, items: Sequence[str]) -> str | None:
    """The item that a verdict is about alone; None where it is about items in general."""
    mine = isinstance(result, Estimate) and result.method.startswith(METHOD)
    return str(items[0]) if mine else None
