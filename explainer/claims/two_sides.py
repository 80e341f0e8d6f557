"""Two sides of a comparison, however a test names them: two groups, or two checkpoints."""

from __future__ import annotations

import numpy as np

from explainer.claims import evidence
from explainer.claims.difference import Sides
from explainer.study.description.tests import NoWorse, Spread
from explainer.study.model import Table


def side_of(
    table: Table, measure: str, by: str, value: str | float, at: evidence.Checkpoint | None
) -> evidence.ItemValues:
    """One number per item under one condition; ``by`` may be the column of checkpoints."""
    if by == table.use:
        return evidence.at(table, measure, float(value))
    return evidence.at(evidence.only(table, by, value), measure, at)


def sides_of(table: Table, test: NoWorse | Spread) -> Sides:
    """a and b of a test; after and before where it names checkpoints, each item its own pair."""
    if test.by is not None and test.a is not None and test.b is not None:
        a = side_of(table, test.measure, test.by, test.a, test.at)
        b = side_of(table, test.measure, test.by, test.b, test.at)
        return paired_or_not(a, b)
    assert test.from_ is not None and test.to is not None
    seen = evidence.before_after(table, test.measure, test.from_, test.to)
    return Sides(seen.after, seen.before, seen.items, seen.items, True, seen.n_rows)


def paired_or_not(a: evidence.ItemValues, b: evidence.ItemValues) -> Sides:
    """Pairs where any item stands on both sides: then only those count, each its own pair."""
    rows = a.n_rows + b.n_rows
    if not set(a.items) & set(b.items):
        return Sides(a.values, b.values, a.items, b.items, False, rows)
    left, right = a.as_dict(), b.as_dict()
    shared = tuple(i for i in a.items if i in right)
    return Sides(
        np.array([left[i] for i in shared], dtype=float),
        np.array([right[i] for i in shared], dtype=float),
        shared, shared, True, rows,
    )  # fmt: skip
