"""``difference-in-change``: did the items of one group change by more than those of another?

Two verdicts side by side ("A fell", "B cannot be told") say nothing about the difference: only
the contrast of the changes does (Gelman & Stern 2006, The American Statistician 60, 328).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from explainer.claims import evidence
from explainer.claims.build import Case, nothing_to_test, table_for
from explainer.claims.change import gauge_floor
from explainer.claims.detail import published
from explainer.claims.difference import Sides, SidesDetail, in_their_groups, judged
from explainer.claims.verdict import Verdict
from explainer.study.description.tests import DifferenceInChange
from explainer.study.model import Table


@dataclass(frozen=True, kw_only=True)
class DifferenceInChangeDetail(SidesDetail):
    change_a: float | None = published("Mean change of the first", "claim", beside="change_b")
    change_b: float | None = published("Mean change of the second", "claim", beside="change_a")


def judge(case: Case) -> Verdict:
    """Welch's interval between the items' own changes; paired where each has both conditions."""
    test = case.test
    assert isinstance(test, DifferenceInChange)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.to):
        return nothing
    sides = in_their_groups(case.study, table, split(table, test), test.by)
    # A change is a difference of two readings, so the step hides twice the variance of one.
    floor = gauge_floor(measure)
    means = dict(zip(("change_a", "change_b"), sides.means, strict=True))
    return judged(case, table, measure, sides, floor and floor * math.sqrt(2), means)


def split(table: Table, test: DifferenceInChange) -> Sides:
    """Each item's change, after less before, on its side of ``by``.

    Paired only where every item stands on both sides; a few shared names make no pairs.
    """
    a, b = (
        evidence.before_after(
            evidence.only(table, test.by, value), test.measure, test.from_, test.to
        )
        for value in (test.a, test.b)
    )
    rows = a.n_rows + b.n_rows
    if set(a.items) != set(b.items):
        return Sides(a.change, b.change, a.items, b.items, False, rows)
    other = dict(zip(b.items, b.change, strict=True))
    matched = np.array([other[i] for i in a.items], dtype=float)
    return Sides(a.change, matched, a.items, a.items, True, rows)
