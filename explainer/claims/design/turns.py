"""Two conditions in turn: which came first, and what is left with each order counted once.

Where the one came first for every item that had both, what looks like the condition may be warming
up, tiring or wear, and nothing in the rows pulls them apart (Senn 2002, Cross-over Trials in
Clinical Research, 2nd ed., ch. 3; Jones & Kenward 2014, Design and Analysis of Cross-Over Trials,
ch. 1).  Where some items had the one order and some the other, the mean of both orders is free of
whatever time does alike to all, however many had which (Hills & Armitage 1979, Br. J. Clin.
Pharmacol. 8, 7); the plain mean is so only where as many had either.

What one condition leaves behind for the next (carry-over) cannot be told from such rows at all, and
no test for it is made: one first made and then acted upon does more harm than good (Freeman 1989,
Stat. Med. 8, 1421; Senn, ch. 3).  It is said instead.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer.analysis.result import Estimate, t_estimate
from explainer.claims import rules
from explainer.claims.build import Case
from explainer.claims.design.found import Found, read_by
from explainer.claims.difference import split
from explainer.claims.evidence import Floats, label, labels
from explainer.claims.rate_difference import rates_table, who_repeat
from explainer.claims.verdict import Verdict
from explainer.study.description.tests import Difference, RateDifference
from explainer.study.model import Table
from explainer.study.roles import of_time

#: So many items it takes in each order for its own mean to be worked out.
EACH = 2


def look(case: Case, verdict: Verdict) -> Found | None:
    """``confounded``: one of two conditions came first throughout, or too often, by a column of
    order or time."""
    by = getattr(case.test, "by", None)
    if not isinstance(by, str) or not hasattr(case.test, "b"):
        return None
    for table, name in _compared(case):
        if by not in table.frame:
            continue
        a, b = (getattr(case.test, side) for side in ("a", "b"))
        column, first = came_first(table, name, by, a, b)
        if first:
            then = "b" if first == "a" else "a"
            known = {"confounder": column, "confounded_with": by,
                     "confounder_a": label(getattr(case.test, first)),
                     "confounder_then": label(getattr(case.test, then))}  # fmt: skip
            return Found(verdict.code, ("confounded",), known)
        if found := _both_orders(case, verdict, table, name):
            return found
    return None


def _compared(case: Case) -> Iterator[tuple[Table, str]]:
    """What a test compares: its measures, or the column it counts in."""
    if isinstance(case.test, RateDifference):
        yield rates_table(case, case.test), case.test.successes
    yield from read_by(case)


def came_first(
    table: Table, name: str, by: str, a: str | float, b: str | float
) -> tuple[str, str]:
    """By which column of order or time one of two values of ``by`` came first throughout, and
    which: ``a`` or ``b``; two empty texts where none did."""
    sides = _rows_of(table, name, by, a, b)
    for column, at in _times(table, by):
        if first := _first(at, sides, table.frame[table.item].astype(str)):
            return column, first
    return "", ""


def _rows_of(
    table: Table, name: str, by: str, a: str | float, b: str | float
) -> list[pd.Series[bool]]:
    """The rows that are read, on each side."""
    values, read = labels(table.frame[by]), table.frame[name].notna()
    return [read & (values == label(side)) for side in (a, b)]


def _times(table: Table, by: str) -> Iterator[tuple[str, pd.Series[Any]]]:
    """The columns that say what came first, as numbers, else as text that sorts (2026-04-30)."""
    found = {table.order: table.frame[table.order]} if table.order in table.frame else {}
    if table.others is not None:
        columns = of_time(str(c) for c in table.others.columns)
        found |= {c: table.others[c].reindex(table.frame.index) for c in columns}
    for column, values in found.items():
        if column is not None and column not in (by, table.item, table.use):
            numbers = pd.to_numeric(values, errors="coerce")
            text = values.astype(str).where(values.notna() & (values.astype(str) != ""))
            yield column, numbers if numbers.notna().equals(text.notna()) else text


def _first(at: pd.Series[Any], sides: list[pd.Series[bool]], items: pd.Series[str]) -> str:
    """``a`` or ``b``: the side that came first for each item that had both, else as a whole."""
    ahead, behind = _ahead(at, sides, items)
    if len(ahead):
        return ("a" if ahead.all() else "b" if behind.all() else "") if len(ahead) > 1 else ""
    here, there = (at[side].dropna() for side in sides)
    if not len(here) or not len(there):
        return ""
    return "a" if here.max() < there.min() else "b" if there.max() < here.min() else ""


def _ahead(
    at: pd.Series[Any], sides: list[pd.Series[bool]], items: pd.Series[str]
) -> tuple[pd.Series[bool], pd.Series[bool]]:
    """Of each item that had both: all of a came before b, and all of b before a."""
    ends = [at[side].groupby(items[side], observed=True).agg(["min", "max"]) for side in sides]
    both = ends[0].index.intersection(ends[1].index)
    low, high = (end.loc[both] for end in ends)
    return low["max"] < high["min"], high["max"] < low["min"]


@dataclass(frozen=True)
class _InTurn:
    """Items that had both conditions, one wholly before the other."""

    by: str
    """The column of order or time that says so."""
    gaps: Floats
    """a less b of each."""
    weights: Floats
    first: NDArray[np.bool_]
    """Who had a first."""


def in_turn(case: Case, table: Table, name: str) -> bool:
    """Whether each item had both conditions, some in the one order and some in the other."""
    return next(_turns(table, name, case.test), None) is not None


def _turns(table: Table, name: str, test: object) -> Iterator[_InTurn]:
    """By each column of order or time: who had which first, where both orders were had."""
    gaps = _gaps(table, test)
    if gaps is None:
        return
    column, items, values, weights = gaps
    assert isinstance(test, Difference | RateDifference)
    sides = _rows_of(table, name, test.by, test.a, test.b)
    for time, at in _times(table, test.by):
        ahead, behind = _ahead(at, sides, labels(table.frame[column]))
        if not set(items) <= set(ahead.index) or not bool((ahead | behind)[list(items)].all()):
            continue
        first = ahead[list(items)].to_numpy(dtype=bool)
        if first.any() and not first.all():
            yield _InTurn(time, values, weights, first)


def _both_orders(case: Case, verdict: Verdict, table: Table, name: str) -> Found | None:
    """Each item had both, some in the one order and some in the other."""
    test = case.test
    for turn in _turns(table, name, test):
        assert isinstance(test, Difference | RateDifference)
        time, values, weights, first = turn.by, turn.gaps, turn.weights, turn.first
        n_a, n_b = int(first.sum()), int((~first).sum())
        known = {"turn_by": time, "turn_a": n_a, "turn_b": n_b}
        if n_a == n_b:
            return Found(verdict.code, (), known)
        once = each_order_once(values, weights, first)
        if once is None:
            return Found(verdict.code, ("confounded",), known)
        margin = case.study.measure(name).matters_from if isinstance(test, Difference) else None
        again = rules.directed(once, rules.SIDE[test.direction], test.at_least, margin)
        code = rules.weakened(verdict.code, rules.between(verdict.code, again))
        known |= {"turn_estimate": once.value, "turn_low": once.at95.low,
                  "turn_high": once.at95.high, "turn_decides": code != verdict.code}  # fmt: skip
        return Found(code, ("confounded",) if code != verdict.code else (), known,
                     alone={"turn_own": verdict.code, "turn_code": again})  # fmt: skip
    return None


def _gaps(table: Table, test: object) -> tuple[str, tuple[str, ...], Floats, Floats] | None:
    """The column of who had both, their names, a less b of each, and what each weighs."""
    if isinstance(test, Difference) and test.in_ is None:
        sides = split(table, test)
        if not sides.paired or len(sides.items_a) < 2:
            return None
        return table.item, sides.items_a, sides.a - sides.b, np.ones(len(sides.items_a))
    if isinstance(test, RateDifference) and test.in_ is None and test.margin is None:
        who = who_repeat(table, test)
        if who is None or int(who.both.sum()) < 2:
            return None
        cells = who.cells[who.both]
        n = cells.sum(axis=2)
        share = cells[:, :, 0] / n
        names = tuple(np.array(who.names)[who.both].tolist())
        column = test.within or table.item
        return column, names, share[:, 0] - share[:, 1], n.prod(axis=1) / n.sum(axis=1)
    return None


def each_order_once(
    gaps: Floats, weights: Floats, first: NDArray[np.bool_]
) -> Estimate | None:
    """The mean of what either order shows, each counted once, by weighted least squares.

    ``gaps``: one a less b per item, in any unit; ``first``: who had a first.  None with fewer than
    ``EACH`` items in an order, or without scatter.  With equal weights it is the period-adjusted
    estimate of the two-period cross-over, with the pooled variance on n − 2 df (Senn 2002, ch. 3).
    """
    if min(int(first.sum()), int((~first).sum())) < EACH:
        return None
    design = np.column_stack([np.ones(len(gaps)), np.where(first, 0.5, -0.5)])
    inner = np.linalg.inv(design.T @ (weights[:, None] * design))
    found = inner @ design.T @ (weights * gaps)
    off = gaps - design @ found
    df = len(gaps) - 2
    variance = float((weights * off**2).sum()) / df * float(inner[0, 0])
    if df < 1 or variance <= 0:
        return None
    return t_estimate(float(found[0]), math.sqrt(variance), df, len(gaps),
                      "mean of both orders, each counted once")  # fmt: skip
