"""Does the report's own arithmetic hold?  Each printed number worked out again from the data."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from explainer.analysis import stated as arithmetic
from explainer.claims import evidence
from explainer.claims.verdict import StatedCheck
from explainer.study.description.rule import Compute, Stated
from explainer.study.model import Study, Table


def stated(study: Study) -> tuple[StatedCheck, ...]:
    """One check per entry; the stated value is kept as printed."""
    return tuple(_check(study, entry) for entry in study.description.stated)


def _check(study: Study, entry: Stated) -> StatedCheck:
    value = bound = agrees = possible = None
    unit, note = "", ""
    drawn: Correlations | None = None
    if entry.compute is not None:
        value, bound, unit, note = recompute(study, entry.compute)
        printed = arithmetic.signed(entry.value, entry.what) \
            if entry.compute.what in ("difference", "percent") else entry.value
        if value is not None:
            agrees = arithmetic.agrees(printed, value, bound or 0.0)
            share = value / 100
            if (entry.compute.what in ("share", "rate") and not agrees
                    and arithmetic.is_share(printed) and arithmetic.agrees(printed, share)):
                value, unit, agrees = share, "share", True  # as it is printed, a share of 1
        if entry.compute.r is not None:
            drawn = correlations(study, entry.compute, entry.value)
            value, bound, note, agrees = drawn.value, drawn.bound, drawn.note, drawn.agrees
    if entry.possible is not None:
        n = entry.possible.n
        if entry.possible.percent_of is not None:
            possible = arithmetic.possible_percent(entry.value, n)
        else:
            steps = entry.possible.mean_of or "whole numbers"
            step = "1" if steps == "whole numbers" else steps.removeprefix("steps of ")
            possible = arithmetic.possible_mean(entry.value, n, step)
    half = arithmetic.half_unit(entry.value)
    tolerance = None if half is None else half + (bound or 0.0)
    return StatedCheck(
        entry.what, entry.where or "", entry.value, value, agrees, possible, unit, tolerance, note,
        over="" if drawn is None else drawn.over, other=None if drawn is None else drawn.other,
    )  # fmt: skip


def recompute(study: Study, c: Compute) -> tuple[float | None, float | None, str, str]:
    """Value, what rounding of the data alone could move it by, unit, and a word on failure."""
    study = evidence.only_rows(study, c.picks)
    if c.r is not None:
        return _r(study, c, c.over or "items")
    if c.rate is not None:
        return _rate(study, c)
    if c.count is not None or c.share is not None:
        return _counted(study, c)
    name = c.mean or c.sd or c.difference or c.percent or c.min or c.max or ""
    table = study.table_of(name, c.table)
    measure = study.measure(name)
    half = (measure.resolution or 0.0) / 2
    if c.difference is not None or c.percent is not None:
        return _between(table, name, c, half, measure.unit)
    point = c.at
    if point is not None and evidence.beyond(table, point) is not None:
        return None, None, measure.unit, "beyond what was measured"
    values = _values(table, name, c)
    if not len(values):
        return None, None, measure.unit, "no readings there"
    if c.sd is not None:
        spread = float(np.std(values, ddof=1)) if len(values) > 1 else None
        return spread, 2 * half, measure.unit, "" if spread is not None else "one reading only"
    value = {"mean": values.mean(), "min": values.min(), "max": values.max()}[c.what]
    return float(value), half, measure.unit, ""


def _values(table: Table, name: str, c: Compute) -> evidence.Floats:
    """One value per item."""
    return evidence.at(table, name, c.at).values


def _between(
    table: Table, name: str, c: Compute, half: float, unit: str
) -> tuple[float | None, float | None, str, str]:
    if c.at is not None and c.to is not None:
        seen = evidence.before_after(table, name, c.at, c.to)
        if not len(seen.items):
            return None, None, unit, "no readings there"
        first, second = float(seen.before.mean()), float(seen.after.mean())
    elif c.by is not None and c.a is not None and c.b is not None:
        a = evidence.at(evidence.only(table, c.by, c.a), name, c.at).values
        b = evidence.at(evidence.only(table, c.by, c.b), name, c.at).values
        if not len(a) or not len(b):
            return None, None, unit, "no readings there"
        first, second = float(b.mean()), float(a.mean())
    else:
        return None, None, unit, "needs `at` and `to`, or `by`, a and b"
    if c.difference is not None:
        return second - first, 2 * half, unit, ""
    if first == 0:
        return None, None, "percent", "a percentage of zero"
    return 100 * (second - first) / first, 200 * half / abs(first), "percent", ""


@dataclass(frozen=True)
class Correlations:
    """A printed r, worked out over items and over all points, and which of them it is."""

    value: float | None
    bound: float | None
    note: str
    agrees: bool | None
    over: str
    """``items`` or ``points``: what ``value`` is over."""
    other: float | None
    """The other one, where it is a number of its own."""


def correlations(study: Study, c: Compute, printed: str) -> Correlations:
    """r over items, and over every reading as a report may draw it.

    The one that ``over`` names is held against what is printed; without it that over items,
    unless only the one over all points agrees.
    """
    study = evidence.only_rows(study, c.picks)
    found = {over: _r(study, c, over) for over in ("items", "points")}
    agree = {over: None if value is None else arithmetic.agrees(printed, value, bound or 0.0)
             for over, (value, bound, _, _) in found.items()}  # fmt: skip
    over: str = c.over or ("points" if agree["points"] and not agree["items"] else "items")
    apart = "items" if over == "points" else "points"
    value, bound, _, note = found[over]
    other = found[apart][0]
    same = value is not None and other is not None and math.isclose(value, other, abs_tol=1e-12)
    return Correlations(value, bound, note, agree[over], over, None if same else other)


def _r(
    study: Study, c: Compute, over: str = "items"
) -> tuple[float | None, float | None, str, str]:
    assert c.r is not None
    sides = [(study.table_of(n, c.table), n) for n in c.r]
    pairs = evidence.pairs_of_items(sides[0], sides[1], c.at)
    if over == "points":
        pairs = evidence.pairs_of_checkpoints(sides[0], sides[1])
        if c.at is not None:
            low, high = _ends(c.at)
            pairs = evidence.kept(pairs, (pairs.use >= low) & (pairs.use <= high))
    if len(pairs.x) < 3 or np.ptp(pairs.x) == 0 or np.ptp(pairs.y) == 0:
        return None, None, "r", f"too few {over}"
    halves = [(study.measure(n).resolution or 0.0) / 2 for n in c.r]
    bound = arithmetic.r_rounding_bound(pairs.x, pairs.y, *halves)
    r = float(np.corrcoef(pairs.x, pairs.y)[0, 1])
    return (r if math.isfinite(r) else None), bound, "r", ""


def _counted(study: Study, c: Compute) -> tuple[float | None, float | None, str, str]:
    if c.count is not None and c.count in study.description.measures:
        table = study.table_of(c.count, c.table)
        frame = _at(table, c)
        return float(frame[c.count].notna().sum()), 0.0, "count", ""
    table = study.tables[c.table] if c.table else next(iter(study.tables.values()))
    frame = _at(table, c)
    if c.count is not None:
        if c.count == "items":
            return float(frame[table.item].nunique()), 0.0, "count", ""
        return float(len(frame)), 0.0, "count", ""
    assert c.share is not None
    if not len(frame) or c.is_ is None:
        return None, None, "percent", "no rows there"
    text = evidence.label(c.is_)
    return 100 * float((frame[c.share].astype(str) == text).mean()), 0.0, "percent", ""


def _rate(study: Study, c: Compute) -> tuple[float | None, float | None, str, str]:
    """Percent of all tries that succeeded; rows that lack one of the two counts are left out."""
    holding = [t for t in study.tables.values() if {c.rate, c.of} <= set(t.frame.columns)]
    table = study.tables[c.table] if c.table else holding[0]
    frame = _at(table, c)[[c.rate, c.of]].dropna()
    tries = float(frame[c.of].sum())
    if not tries:
        return None, None, "percent", "no tries there"
    return 100 * float(frame[c.rate].sum()) / tries, 0.0, "percent", ""


def _at(table: Table, c: Compute) -> pd.DataFrame:
    axis = (table.order or table.use) if isinstance(c.at, tuple) else table.use
    if c.at is None or axis is None:
        return table.frame
    return table.frame[table.frame[axis].between(*_ends(c.at))]


def _ends(point: evidence.Checkpoint) -> tuple[float, float]:
    """A checkpoint as a window of itself alone."""
    return point if isinstance(point, tuple) else (point, point)
