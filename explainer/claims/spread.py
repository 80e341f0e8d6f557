"""``spread``: is one group, or one checkpoint, more even than another?"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from explainer.analysis import difference as stats
from explainer.analysis.change import mean_change
from explainer.analysis.difference import welch
from explainer.analysis.limits import percent_of_log, ratio_percent
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
    undefined,
)
from explainer.claims.detail import Detail, published
from explainer.claims.two_sides import read_again, sides_of
from explainer.claims.verdict import Strip, Verdict
from explainer.study.description.tests import Spread
from explainer.study.model import Table

#: An item's own scatter is only looked at where it has this many degrees of freedom, on average.
FREE = 2


@dataclass(frozen=True, kw_only=True)
class SpreadDetail(Detail):
    spread_a: float | None = published(
        "Spread of the first, or after", "measure", beside="spread_b"
    )
    spread_b: float | None = published(
        "Spread of the second, or before", "measure", beside="spread_a"
    )
    inside: bool = False
    """It is the scatter of each item's own readings; else that from item to item."""
    paired: bool = False
    a: str = ""
    b: str = ""
    by: str = ""
    n_a: int = 0
    n_b: int = 0


@dataclass(frozen=True)
class _Compared:
    """The log ratio of the spreads with what was compared."""

    result: Estimate | Undefined
    spread_a: float | None
    spread_b: float | None
    n_a: int
    n_b: int
    n_rows: int
    paired: bool
    inside: bool
    twice: bool
    """Some names stand on both sides of sides that are no pairs."""


def judge(case: Case) -> Verdict:
    """t on items' log SD; for one reading each Pitman–Morgan, or Brown–Forsythe by Fieller."""
    test = case.test
    assert isinstance(test, Spread)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.to, test.at):
        return nothing
    floor = None if measure.resolution is None else measure.resolution / 12**0.5
    seen = compared(table, test, floor)
    detail: Story = {
        "spread_a": seen.spread_a, "spread_b": seen.spread_b, "inside": seen.inside,
        "paired": seen.paired, "n_a": seen.n_a, "n_b": seen.n_b, "by": test.by or "",
        "a": "" if test.a is None else str(test.a), "b": "" if test.b is None else str(test.b),
    }  # fmt: skip
    if isinstance(seen.result, Undefined):
        alone = seen.result.value  # one number without a range: turned back from its log, too
        told = None if alone is None else percent_of_log(alone)
        one = not seen.paired and max(seen.n_a, seen.n_b) == 1 == min(seen.n_a, seen.n_b)
        why = "one-per-side" if one else seen.result.why
        return undefined(case, replace(seen.result, value=told, why=why), unit="percent",
                         n_rows=seen.n_rows, table=table.name, detail=detail)  # fmt: skip
    result = ratio_percent(seen.result)
    side = rules.SIDE[test.direction]
    code = rules.directed(result, side, None, None)
    reasons = ["too-few-items"] if code == "cannot-tell" and min(seen.n_a, seen.n_b) <= 3 else []
    if seen.twice:
        code = rules.demoted(code)
        reasons.append("pairs")
    return settled(
        case, code, result,
        unit="percent", n_rows=seen.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at95.low, high=result.at95.high,
            claim_zone=(0.0, None) if side > 0 else (None, 0.0) if side < 0 else None,
            small_zone=None, null=0.0, unit="percent", less_is="more even",
            more_is="more scattered", beyond=None if side else 0.0,
        ),
        detail=detail,
    )  # fmt: skip


@dataclass(frozen=True)
class _Own:
    """One item's readings less their own mean, or less each checkpoint's."""

    away: evidence.Floats
    df: int


def compared(table: Table, test: Spread, floor: float | None) -> _Compared:
    """Each item's own scatter where every side has enough readings, else that between items."""
    a, b = (_own(_rows_of(table, test, first), table, test) for first in (True, False))
    rows = sum(len(x.away) for side in (a, b) for x in side.values())
    enough = all(side and sum(x.df for x in side.values()) / len(side) >= FREE for side in (a, b))
    if enough:
        return _inside(a, b, floor, rows, test.by is None or read_again(table, test.by))
    sides = sides_of(table, test)
    result: Estimate | Undefined
    if sides.paired:
        result = stats.pitman_morgan(sides.a, sides.b)
    else:
        result = stats.brown_forsythe(sides.a, sides.b)
    if isinstance(result, Estimate):  # a name on both sides is one item
        result = replace(result, n_items=len(set(sides.items_a) | set(sides.items_b)))
    sd_a, sd_b = (_sd(x) if sides.paired else _away(x) for x in (sides.a, sides.b))
    return _Compared(result, sd_a, sd_b, len(sides.a), len(sides.b), rows, sides.paired, False,
                     bool(sides.twice))  # fmt: skip


def _inside(
    a: dict[str, _Own], b: dict[str, _Own], floor: float | None, rows: int, again: bool
) -> _Compared:
    """The log SD of each item's own readings, a's against b's; in pairs where all items are shared,
    or where the two sides read the same items ``again``."""
    left, right = ({i: s for i, x in side.items()
                    if (s := stats.log_sd(x.away, x.df, floor)) is not None}
                   for side in (a, b))  # fmt: skip
    paired = bool(set(a) & set(b)) and (again or set(a) == set(b))
    twice = bool(set(a) & set(b)) and not paired
    result: Estimate | Undefined
    if paired:
        shared = [i for i in left if i in right]
        left, right = ({i: side[i] for i in shared} for side in (left, right))
        result = mean_change(np.array([left[i] - right[i] for i in shared], dtype=float))
    else:
        result = welch(list(left.values()), list(right.values()))
    typical = [float(np.exp(np.mean(list(s.values())))) if s else None for s in (left, right)]
    return _Compared(result, typical[0], typical[1], len(left), len(right), rows, paired, True,
                     twice)  # fmt: skip


def _rows_of(table: Table, test: Spread, first: bool) -> pd.DataFrame:
    """The readings on one side: under one condition, or at one checkpoint."""
    frame = table.frame
    if test.by is not None:
        value = test.a if first else test.b
        assert value is not None
        if test.by == table.use:
            frame = frame[frame[test.by] == float(value)]
        else:
            frame = evidence.only(table, test.by, value).frame
    point = test.at if test.by is not None else test.to if first else test.from_
    axis = (table.order or table.use) if isinstance(point, tuple) else (table.use or table.order)
    if point is not None and axis is not None:
        low, high = point if isinstance(point, tuple) else (point, point)
        frame = frame[(frame[axis] >= low) & (frame[axis] <= high)]
    here: pd.DataFrame = frame[np.isfinite(frame[test.measure].to_numpy(dtype=float))]
    return here


def _own(frame: pd.DataFrame, table: Table, test: Spread) -> dict[str, _Own]:
    """By item: what its readings scatter about its own mean at each checkpoint.

    Readings at several checkpoints differ by what use did, too; that is no scatter.
    """
    keys = [table.item] if table.use is None else [table.item, table.use]
    found: dict[str, list[_Own]] = {}
    for key, rows in frame.groupby(keys, sort=False):
        values = rows[test.measure].to_numpy(dtype=float)
        found.setdefault(str(key[0]), []).append(_Own(values - values.mean(), len(values) - 1))
    return {item: _Own(np.concatenate([c.away for c in cells]), sum(c.df for c in cells))
            for item, cells in found.items()}  # fmt: skip


def _sd(values: evidence.Floats) -> float | None:
    return float(values.std(ddof=1)) if len(values) > 1 else None


def _away(values: evidence.Floats) -> float | None:
    """The mean distance from the median, which Brown and Forsythe compare."""
    return float(np.abs(values - np.median(values)).mean()) if len(values) else None
