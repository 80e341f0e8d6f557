"""``crossing``: after how much use does an item reach a limit?

Between two readings nobody knows when: each item's crossing lies in an interval of use, and one
that never got there lies past the last reading (interval censoring).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from explainer.analysis import sample
from explainer.analysis.change import mean_change
from explainer.analysis.limits import closed, share_reached
from explainer.analysis.result import LEVELS, Estimate, Interval, Undefined, t_quantile
from explainer.claims import evidence
from explainer.claims.build import (
    Case,
    Story,
    finite,
    nothing_to_test,
    ordered,
    table_for,
    undefined,
    unsettled,
)
from explainer.claims.change import only_group
from explainer.claims.detail import Detail, made, published
from explainer.claims.reading_error import KNOWN, METHOD, error_of_one
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import Crossing


@dataclass(frozen=True, kw_only=True)
class CrossingDetail(Detail):
    crossed: float | None = published("{Items} that reached the limit by the last reading")
    never: float | None = published("{Items} that had not, as far as each was read")
    began_past: float | None = published("{Items} at or past it at their first reading")
    by_checkpoint: tuple[dict[str, Any], ...] | None = published()
    """At each checkpoint: how many had reached it, of those still read, and the share of all."""
    limit: float | None = None
    falls: bool = False
    after: float | None = None
    tolerance: float | None = None
    last: float | None = None
    unread: int = 0
    """Of those that had not: how many were last read before others were."""
    may_have: bool = False
    """Of one item: it may have got there, as far as the gauge can tell, and it may not have."""


@dataclass(frozen=True)
class _Seen:
    """For each item: the last use before it crossed, and the first after; inf where it never did"""

    items: tuple[str, ...]
    before: evidence.Floats
    after: evidence.Floats
    past: int
    first: float
    """The use at which readings begin."""
    last: float
    """The use at which the last of them was read."""
    falls: bool
    n_rows: int
    shares: tuple[dict[str, Any], ...]
    uses: evidence.Floats
    short: evidence.Floats
    """Items × uses: how far short of the limit each reading is, in the measure's unit; NaN where
    there is none, 0 or less at the limit or past it."""
    readings: float
    """Mean number of readings behind one of them."""


def judge(case: Case) -> Verdict:
    """The mean crossing lies between the means of both ends; each has its own t range.

    Of one item that ``only`` picked nothing is averaged: its crossing lies between the last
    reading that is short of the limit, and the first past it, by more than the gauge may be off.
    """
    test = case.test
    assert isinstance(test, Crossing)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit):
        return nothing
    unit = table.use_unit or "step" if test.over == table.use else test.over
    seen = _crossings(table.frame, table.item, test, None)
    never = int(np.isinf(seen.after).sum())
    detail: Story = {
        "crossed": len(seen.items) - never, "never": never, "began_past": seen.past,
        "by_checkpoint": seen.shares, "limit": test.limit, "falls": seen.falls,
        "after": test.after, "tolerance": test.within,
        "last": seen.last, "unread": int((seen.before[np.isinf(seen.after)] < seen.last).sum()),
    }  # fmt: skip
    zone = _zone(test)
    if zone is not None and test.after is not None and test.after > detail["last"]:
        first = float(table.frame[test.over].min())
        more = {"reaches": test.after, "measured_from": first, "measured_to": detail["last"]}
        return unsettled(case, "not-tested", ["beyond-data"], unit=unit, n_items=len(seen.items),
                         table=table.name, detail={**detail, **more})  # fmt: skip
    u = error_of_one(table, test.measure, measure, table.items, seen.readings)
    if u is not None:
        detail |= {"one_item": str(table.items[0])}
    off = table.shared_sd.get(test.measure, 0.0) if test.over == table.use else 0.0
    if u is not None:
        ranges = _ranges_of_one(seen, math.hypot(u, off))
    elif off:
        ranges = _ranges_with(table.frame, table.item, test, off, seen)
    else:
        ranges = _ranges(seen, never)
    if ranges is None:
        none = Undefined(_why(seen, u), 1 if u is not None else len(seen.items))
        return undefined(case, none, unit=unit, n_rows=seen.n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    detail["may_have"] = u is not None and not never and math.isinf(ranges[1].high)
    reasons = only_group(case, seen.items, detail)
    code: Code = "cannot-tell"
    if zone is None:
        reasons.append("no-margin")
    else:
        code = _code(ranges, zone)
    if code == "cannot-tell" and len(seen.items) <= 3 and zone is not None and u is None:
        reasons.append("too-few-items")
    return _verdict(case, code, reasons, seen, ranges, detail, unit, table.name)


def _verdict(
    case: Case, code: Code, reasons: list[str], seen: _Seen, ranges: list[Interval],
    detail: Story, unit: str, table: str,
) -> Verdict:  # fmt: skip
    """With an open end where some never crossed; the estimate is the middle of both ends."""
    test = case.test
    assert isinstance(test, Crossing)
    middle = finite(float((seen.before.mean() + seen.after.mean()) / 2))
    at95, at90, at80 = ranges
    return Verdict(
        claim=case.claim, test=test, code=code, reasons=ordered(reasons), estimate=middle,
        low=finite(at95.low), high=finite(at95.high), level=0.95, unit=unit, p=None, p_holm=None,
        n_items=len(seen.items), n_rows=seen.n_rows,
        method=METHOD if detail.get("one_item") is not None
        else "t over items, for both ends of what is known of each",
        strip=Strip(
            value=middle, low=finite(at90.low), high=finite(at90.high), claim_zone=_zone(test),
            small_zone=None, null=None, unit=unit, less_is="sooner", more_is="later", level=0.90,
            inner=None if math.isinf(at80.high) else (at80.low, at80.high),
        ),
        detail=made(case.kind.detail, detail), table=table,
    )  # fmt: skip


def _why(seen: _Seen, u: float | None) -> str:
    """Why there is no range: too few were seen before they got there, or an error that the gauge
    (of one item, ``u``) or a whole checkpoint may hold leaves open whether they were."""
    if u is not None and seen.past:
        return "no-crossing"
    return "began" if len(seen.items) > (1 if u is None else 0) else "too-few-items"


def _zone(test: Crossing) -> tuple[float, float] | None:
    if test.after is None or test.within is None:
        return None
    return test.after - test.within, test.after + test.within


def _code(ranges: list[Interval], zone: tuple[float, float]) -> Code:
    at90, at80 = ranges[1], ranges[2]
    if at90.inside(*closed(zone)):
        return "backed"
    if at90.outside(*closed(zone)):
        return "against"
    return "leans" if at80.inside(*closed(zone)) else "cannot-tell"


def _ranges(seen: _Seen, never: int) -> list[Interval] | None:
    """From the low end for "just after the reading before" to the high end for "just by it".

    None below two items that were seen before their crossing.
    """
    if len(seen.items) < 2:
        return None
    low, high = _ends(seen.before), None if never else _ends(seen.after)
    # Nobody who was short of the limit at the first reading crossed before it.
    return [
        Interval(max(low[i].low, seen.first), math.inf if high is None else high[i].high, level)
        for i, level in enumerate(LEVELS)
    ]


def _ranges_with(
    frame: Any, item: str, test: Crossing, off: float, seen: _Seen
) -> list[Interval] | None:
    """The ranges where all readings at a checkpoint may share an error of SD ``off``: as wide as
    with the limit that much higher, and that much lower, at each level."""
    ranges = []
    for i, level in enumerate(LEVELS):
        reach = t_quantile(level, KNOWN) * off
        moved = [test.model_copy(update={"limit": test.limit + way * reach}) for way in (-1, 1)]
        both = [seen, *(_crossings(frame, item, one, seen.falls) for one in moved)]
        found = [_ranges(s, int(np.isinf(s.after).sum())) for s in both]
        ends = [r[i] for r in found if r is not None]
        if len(ends) < len(found):
            return None
        ranges.append(Interval(min(e.low for e in ends), max(e.high for e in ends), level))
    return ranges


def _ranges_of_one(seen: _Seen, u: float) -> list[Interval] | None:
    """From its last reading surely short of the limit to its first one surely past it.

    Surely: by more than the gauge, off by ``u`` a reading, makes of any of its readings (the level
    is shared out over them, after Bonferroni).  None where it may have been past it at the first.
    """
    known = np.isfinite(seen.short[0])
    uses, short = seen.uses[known], seen.short[0][known]
    ranges = []
    for level in LEVELS:
        guard = t_quantile(1 - (1 - level) / max(1, len(short)), KNOWN) * u
        if not len(short) or short[0] <= guard:
            return None
        there = np.flatnonzero(-short > guard)
        until = int(there[0]) if len(there) else len(short)
        before = np.flatnonzero(short[:until] > guard)[-1]
        high = float(uses[until]) if len(there) else math.inf
        ranges.append(Interval(float(uses[before]), high, level))
    return ranges


def _ends(values: evidence.Floats) -> list[Interval]:
    """The t ranges of a mean; all alike, as readings at few checkpoints often are: the value."""
    e = mean_change(values)
    if isinstance(e, Estimate):
        return [e.at95, e.at90, e.at80]
    return [Interval(float(values[0]), float(values[0]), level) for level in LEVELS]


def _crossings(frame: Any, item: str, test: Crossing, falls: bool | None) -> _Seen:
    """Where each item crosses; one already past the limit is counted.

    ``falls``: which way, where that is known already.
    """
    cells = sample.grid(frame, item, test.over, test.measure)
    uses = np.array(cells.uses, dtype=float)
    if falls is None:
        falls = _falls(cells.values, test.limit)
    short = (cells.values - test.limit) if falls else (test.limit - cells.values)
    reached = short <= 0
    names, before, after, past = [], [], [], 0
    spans: list[tuple[float, float]] = []
    ever = np.zeros(cells.values.shape, dtype=bool)
    for i, name in enumerate(cells.items):
        known = np.flatnonzero(np.isfinite(cells.values[i]))
        if not len(known):
            continue
        hits = [k for k in known if reached[i, k]]
        if hits:
            ever[i, hits[0] :] = True
        if hits and hits[0] == known[0]:
            past += 1
            spans.append((-math.inf, float(uses[hits[0]])))
            continue
        names.append(str(name))
        at = int(np.searchsorted(known, hits[0])) if hits else len(known)
        before.append(float(uses[known[at - 1]]))
        after.append(float(uses[hits[0]]) if hits else math.inf)
        spans.append((before[-1], after[-1]))
    here = np.isfinite(cells.values) | ever
    of_all = share_reached([a for a, _ in spans], [b for _, b in spans], uses) \
        if spans else np.zeros(len(uses))
    shares = tuple(
        {"use": float(u), "crossed": int(ever[:, k].sum()), "of": int(here[:, k].sum()),
         "share": round(float(of_all[k]), 6)}
        for k, u in enumerate(uses)
    )  # fmt: skip
    read = uses[np.isfinite(cells.values).any(axis=0)]
    return _Seen(tuple(names), np.array(before), np.array(after), past,
                 float(uses[0]) if len(uses) else 0.0, float(read[-1]) if len(read) else 0.0,
                 falls, int(cells.n_rows), shares, uses, short,
                 float(cells.counts[cells.counts > 0].mean()) if np.any(cells.counts > 0) else 1.0,
                 )  # fmt: skip


def _falls(values: evidence.Floats, limit: float) -> bool:
    """Whether the limit is crossed downwards: the way that most of those that cross it do, where
    most of all go that way, too; else from where most begin."""
    rows = [row[np.isfinite(row)] for row in values if np.isfinite(row).any()]
    up = sum(row[0] < limit <= row.max() for row in rows)
    down = sum(row[0] > limit >= row.min() for row in rows)
    goes = sum(np.sign(row[-1] - row[0]) for row in rows)
    if (up - down) * goes > 0:
        return bool(down > up)
    return bool(rows and np.median([row[0] for row in rows]) > limit)
