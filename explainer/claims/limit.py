"""``limit``: each item's reading against a limit, with a zone that is too close to call."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from explainer.analysis.limits import Call, judge_reading, standard_uncertainty
from explainer.analysis.result import Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, table_for, undefined, unsettled
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import of_level
from explainer.claims.verdict import Strip, Verdict
from explainer.study.description.figures import Limit
from explainer.study.description.sources import Measure
from explainer.study.description.tests import LimitTest
from explainer.study.model import Study, Table


@dataclass(frozen=True, kw_only=True)
class LimitDetail(Detail):
    measure: str = ""
    u: float | None = None
    """Standard uncertainty of one item's value; None where nobody knows it."""
    guard: float | None = None
    """Half-width of the zone that is too close to call."""
    at_most: float | None = None
    judged_at: float | None = None
    """The last checkpoint, where the study names none."""
    n_rows: int = 0
    larger_u: bool = False
    """Another place of the study gives these readings a larger uncertainty than the claim does."""
    all_read: str = ""
    """On which side of the limit every reading lies as it was read, where all lie on one."""
    items: tuple[dict[str, Any], ...] | None = published()
    """One call an item: item, value, call (pass, fail, too-close) and p_conform, None
    where nobody knows the gauge."""


@dataclass(frozen=True)
class Called:
    """Each item's value where a limit is judged, and its call; people by rank, the lowest first.
    """

    items: tuple[str, ...]
    values: evidence.Floats
    calls: tuple[Call, ...]
    """Empty where nothing can be said of the limit."""
    u: float | None
    """The largest standard uncertainty of a value; None where nobody knows it."""
    chart: bool
    """Part of it is an error of reading a chart."""
    n_rows: int
    when: float | None
    """The last checkpoint, where the study names none; else None."""
    without: tuple[str, ...]

    @property
    def guard(self) -> float:
        return max((call.guard for call in self.calls), default=0.0)


def judge(case: Case) -> Verdict:
    """Guarded acceptance (JCGM 106:2012) of these items, never of all items like them."""
    test = case.test
    assert isinstance(test, LimitTest)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    given = given_u(case.study, table, test.measure, test.at, test.take)
    seen = called(table, test.measure, measure, (test.at_least, test.at_most), test.at, test.take,
                  given)  # fmt: skip
    detail: Story = {
        "u": seen.u, "at_least": test.at_least, "at_most": test.at_most, "judged_at": seen.when,
        "n_rows": seen.n_rows,
        "without": list(seen.without), "measure": test.measure,
        "larger_u": test.u is not None and given is not None and given > test.u,
        "reading_error": table.reading_error,
    }  # fmt: skip
    if not seen.items:
        return undefined(case, Undefined("too-few-items", 0), unit=measure.unit, n_rows=0,
                         table=table.name, detail=detail)  # fmt: skip
    rows: list[dict[str, Any]] = [
        {"item": i, "value": float(v), "call": c.call,
         "p_conform": None if seen.u is None else c.p_conform}
        for i, v, c in zip(seen.items, seen.values, seen.calls, strict=True)
    ]
    calls: list[str] = [c.call for c in seen.calls]
    conform = rules.all_conform if test.meets == "all" else rules.none_conforms
    limits = (test.at_least, test.at_most)
    passes = [_meets(row["value"], *limits) for row in rows]
    code = conform(calls, passes, [c.p_conform for c in seen.calls])
    reasons = ["reading-error"] if seen.chart and "too-close" in {r["call"] for r in rows} else []
    if seen.u is None:
        # Without a known gauge no reading is sure: point values can lean, no more.
        code = rules.demoted(code)
        reasons.append("gauge-too-coarse")
    near, too = _near(test, seen.guard)
    return unsettled(
        case, code, reasons,
        unit=measure.unit, n_items=len(seen.items), n_rows=seen.n_rows, table=table.name,
        method="guarded acceptance, 95% one-sided",
        detail={**detail, "guard": seen.guard, "items": rows,
                "all_read": all_read(seen.values.tolist(), *limits)},
        strip=Strip(
            None, None, None, _needed(test),
            near, None, measure.unit, measure.less_is or "",
            measure.more_is or "",
            measured=tuple(sorted(float(v) for v in seen.values)), small_too=too,
        ),
    )  # fmt: skip


def called(
    table: Table,
    name: str,
    measure: Measure,
    limits: tuple[float | None, float | None],
    at: evidence.Checkpoint | None,
    take: str,
    given: float | None,
) -> Called:
    """Every item's value at ``at`` (else at the last checkpoint, or its last shot) and its call.

    ``take`` is which reading counts where an item has several: their mean, or the most extreme.
    u² = u(chart)² + step²/12 + max(s, s_w)²/k for the mean of k readings, with the gauge's
    declared spread s and that within items s_w, pooled; where s_w decides, the guard band has its
    degrees of freedom.  Of a given ``u`` the larger counts.
    """
    rows, when = _rows(table, name, at, take)
    cells = rows.groupby(table.item, sort=False, observed=True)[name]
    found = {"mean": cells.mean(), "lowest": cells.min(), "highest": cells.max()}[take]
    of, many = found.to_dict(), cells.count().to_dict()
    items = tuple(i for i in table.items if i in of)
    values = np.array([of[i] for i in items], dtype=float)
    spread = evidence.spread_within(rows, table.item, name) if take == "mean" else None
    calls, us = [], []
    off = of_level(table, name, at if at is not None else when) if take == "mean" else (
        table.shared_sd.get(name, 0.0))
    for item, value in zip(items, values.tolist(), strict=True):
        k = many[item] if take == "mean" else 1
        u, df = uncertainty(measure, table, k, given, spread, name)
        if off and u is not None:
            u = math.hypot(u, off)
        call = judge_reading(value, u or 0.0, *limits, df)
        us.append(u)
        if isinstance(call, Call):
            calls.append(call)
    known = [u for u in us if u is not None]
    if table.people and len(calls) in (0, len(items)):
        # Nobody's name stands beside a call, not even in the results file: ranked by value, and
        # called so, since a bare number could be what somebody is called elsewhere.
        order = np.argsort(values, kind="stable").tolist()
        items, values = tuple(f"rank {n + 1}" for n in range(len(order))), values[order]
        calls = [calls[i] for i in order] if calls else []
    return Called(
        items, values, tuple(calls), max(known, default=None) if len(known) == len(us) else None,
        table.reading_error > 0, len(rows), when, tuple(i for i in table.items if i not in of),
    )  # fmt: skip


def last_if_unsaid(
    table: Table, name: str, at: evidence.Checkpoint | None
) -> tuple[evidence.Checkpoint | None, float | None]:
    """Where a limit is judged: at ``at``, else at the last checkpoint that has readings, which is
    then handed back once more; an average over wear meets no limit."""
    if at is not None or table.use is None:
        return at, None
    read = table.frame.loc[table.frame[name].notna(), table.use]
    last = float(read.max()) if len(read) else None
    return last, last


def _rows(
    table: Table, name: str, at: evidence.Checkpoint | None, take: str
) -> tuple[pd.DataFrame, float | None]:
    """The readings that count, and the last checkpoint where the study names none."""
    frame = table.frame.dropna(subset=[name])
    if at is not None:
        low, high = at if isinstance(at, tuple) else (at, at)
        axis = (table.order or table.use) if isinstance(at, tuple) else (table.use or table.order)
        return (frame if axis is None else frame[frame[axis].between(low, high)]), None
    if take != "mean":
        return frame, None
    if table.use is not None:
        _, last = last_if_unsaid(table, name, at)
        return frame[frame[table.use] == last], last
    if table.order is None or frame.empty:
        return frame, None
    ends = frame.groupby(table.item, sort=False, observed=True)[table.order].transform("max")
    return frame[frame[table.order] == ends], None


def given_u(
    study: Study, table: Table, name: str, at: evidence.Checkpoint | None, take: str
) -> float | None:
    """What the study says a value judged so may be off by: of the readings, whoever asks.

    What claims and figures give for these readings, else the rule that limits the same measure.
    Where two give it differently the larger counts, for all: nobody can sign for one reading in
    one place that another takes as too close to call.  None where none says.
    """
    said = study.description
    tests = (t for claim in said.claims for t in claim.all_tests if isinstance(t, LimitTest))

    def here(of: Table, y: str, when: evidence.Checkpoint | None, how: str) -> bool:
        if (of.name, y, how) != (table.name, name, take):
            return False
        return how != "mean" or last_if_unsaid(of, y, when)[0] == last_if_unsaid(table, name, at)[0]

    asked = [t.u for t in tests if t.u is not None
             and here(study.table_of(t.measure, t.table), t.measure, t.at, t.take)]  # fmt: skip
    drawn = [f.u for f in said.figures if isinstance(f, Limit) and f.u is not None
             and here(study.tables[f.table], f.y, f.at, "mean")]  # fmt: skip
    if asked or drawn:
        return max(asked + drawn)
    rule = said.rule
    same = rule is not None and rule.limit is not None and rule.limit.measure == name
    return rule.u if rule is not None and same else None


def uncertainty(
    measure: Measure,
    table: Table,
    readings: int,
    given: float | None,
    spread: evidence.Repeats | None = None,
    name: str = "",
) -> tuple[float | None, float | None]:
    """Standard uncertainty of a mean of ``readings``, and its degrees of freedom (None: many).

    The part of a chart-reading error that all readings of one chart share is taken as rectangular
    (JCGM 100).  (None, None) where nobody knows the gauge: a chart that was read closely does not
    make up for that.
    """
    times = table.chart_times.get(name, 1.0) if name else 1.0
    chart = times * table.reading_error / math.sqrt(3)
    declared = standard_uncertainty(measure.repeatability_sd, measure.resolution, readings)
    base = given if given is not None else declared
    df: float | None = None
    if spread is not None:
        seen = standard_uncertainty(spread.sd, measure.resolution, readings) or 0.0
        if base is None or seen > base:
            base, df = seen, float(spread.df)
    if base is None:
        return None, None
    return math.hypot(base, chart), df


def _meets(value: float, at_least: float | None, at_most: float | None) -> bool:
    low = -math.inf if at_least is None else at_least
    high = math.inf if at_most is None else at_most
    return low <= value <= high


def all_read(values: Sequence[float], at_least: float | None, at_most: float | None) -> str:
    """``meeting`` or ``missing`` the limit, where every reading does as it was read: each by itself
    may be too close to call, and that they all lie on one side still says something."""
    sides = {"meeting" if _meets(value, at_least, at_most) else "missing" for value in values}
    return sides.pop() if len(sides) == 1 else ""


def _needed(test: LimitTest) -> tuple[float | None, float | None] | None:
    """Where the claim needs every reading; outside of two limits is no one stretch to draw."""
    low, high = test.at_least, test.at_most
    if test.meets == "all":
        return low, high
    return None if low is not None and high is not None else (high, low)


Zone = tuple[float, float]


def _near(test: LimitTest, guard: float) -> tuple[Zone | None, Zone | None]:
    """The zone about the limit that is too close to call, and that about a second, upper limit.

    Limits so near each other that their zones touch have one.
    """
    lines = [line for line in (test.at_least, test.at_most) if line is not None]
    if guard == 0 or not lines:
        return None, None
    low, high = lines[0], lines[-1]
    if len(lines) == 1 or high - low <= 2 * guard:
        return (low - guard, high + guard), None
    return (low - guard, low + guard), (high - guard, high + guard)
