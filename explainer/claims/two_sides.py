"""Two sides of a comparison, however a test names them: two groups, or two checkpoints."""

from __future__ import annotations

import numpy as np

from explainer.claims import evidence, rules
from explainer.claims.difference import Sides
from explainer.claims.verdict import Code
from explainer.study.description.tests import NoWorse, Spread
from explainer.study.model import Table
from explainer.study.roles import nuisances


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
        return paired_or_not(table, test.by, a, b)
    assert test.from_ is not None and test.to is not None
    seen = evidence.before_after(table, test.measure, test.from_, test.to)
    return Sides(seen.after, seen.before, seen.items, seen.items, True, seen.n_rows)


def paired_or_not(
    table: Table, by: str, a: evidence.ItemValues, b: evidence.ItemValues, again: bool = False,
) -> Sides:  # fmt: skip
    """Pairs where all items stand on both sides, or where ``by`` reads the same items twice by its
    nature: checkpoints, operators, gauges, or (``again``) whatever is compared.  Then those on one
    side only are named.

    A few names on both sides of two groups make no pairs: they may be one item, or they may not.
    """
    rows, right = a.n_rows + b.n_rows, b.as_dict()
    shared = tuple(i for i in a.items if i in right)
    if not shared or not (again or read_again(table, by) or set(a.items) == set(b.items)):
        return Sides(a.values, b.values, a.items, b.items, False, rows, shared)
    left = a.as_dict()
    return Sides(
        np.array([left[i] for i in shared], dtype=float),
        np.array([right[i] for i in shared], dtype=float),
        shared, shared, True, a.rows_of(shared) + b.rows_of(shared),
        without=tuple(i for i in (*a.items, *b.items) if i not in set(shared)),
    )  # fmt: skip


def read_again(table: Table, by: str) -> bool:
    """A column whose values are readings of the same items: checkpoints, operators, gauges."""
    return by == table.use or bool(nuisances([by]))


def named_twice(code: Code, sides: Sides, reasons: list[str]) -> Code:
    """Names on both sides of sides that are no pairs may be one item each: then it only leans."""
    if not sides.twice:
        return code
    reasons.append("pairs")
    return rules.demoted(code)
