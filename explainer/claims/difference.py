"""``difference``: one group of items against another, or one item under two conditions."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis.change import mean_change
from explainer.analysis.difference import welch
from explainer.analysis.power import items_for_difference, smallest_difference
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.averages import of_averages
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
    undefined,
    unsettled,
)
from explainer.claims.change import change_power, change_strip, gauge_floor
from explainer.claims.detail import Detail, published
from explainer.claims.one_item import named, of_one
from explainer.claims.shared_error import in_change
from explainer.claims.verdict import Code, Power, Verdict
from explainer.study.description.measures import Measure
from explainer.study.description.tests import Difference, DifferenceInChange
from explainer.study.model import Table


@dataclass(frozen=True)
class Sides:
    """One number per item on each side; paired sides list the same items in the same order."""

    a: evidence.Floats
    b: evidence.Floats
    items_a: tuple[str, ...]
    items_b: tuple[str, ...]
    paired: bool
    n_rows: int
    twice: tuple[str, ...] = ()
    """Names on both sides of sides that are not paired."""
    without: tuple[str, ...] = ()
    """Names on one side only, of sides that are."""


@dataclass(frozen=True, kw_only=True)
class SidesDetail(Detail):
    """`difference` and `difference-in-change`: who stands on which side."""

    a: str = ""
    b: str = ""
    by: str = ""
    paired: bool = False
    n_a: int = 0
    n_b: int = 0
    twice: tuple[str, ...] = ()
    """Names on both sides of sides that are not paired."""


@dataclass(frozen=True, kw_only=True)
class DifferenceDetail(SidesDetail):
    averages: bool = False
    """Worked out from a printed mean, SD and count of each side."""
    tight_low: float | None = None
    """The same items twice, from averages: the range if an item's readings are much alike."""
    tight_high: float | None = None
    mean_a: float | None = published("Mean of the first", "measure", beside="mean_b")
    mean_b: float | None = published("Mean of the second", "measure", beside="mean_a")


def judge(case: Case) -> Verdict:
    """Welch's interval between groups, the paired t interval within (methods: Welch 1947)."""
    test = case.test
    assert isinstance(test, Difference)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if table.mean_of is not None and (printed := of_averages(case, table)):
        return printed
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    sides = split(table, test)
    means = {"mean_a": mean(sides.a), "mean_b": mean(sides.b)}
    return judged(case, table, measure, sides, gauge_floor(measure), means)


def judged(
    case: Case, table: Table, measure: Measure, sides: Sides, floor_sd: float | None, more: Story
) -> Verdict:
    """The verdict on a against b, whatever each item's number is: a reading, or a change.

    ``floor_sd`` is the least spread that the difference of two such numbers can have; ``more``
    goes into the record of the kind.
    """
    test = case.test
    assert isinstance(test, Difference | DifferenceInChange)
    margin = measure.matters_from
    detail: Story = {
        "a": str(test.a), "b": str(test.b), "by": test.by, "paired": sides.paired, **more,
        "margin": margin, "at_least": test.at_least, "n_a": len(sides.a), "n_b": len(sides.b),
    }  # fmt: skip
    n_items = len(set(sides.items_a) | set(sides.items_b))
    if not sides.paired and min(len(sides.a), len(sides.b)) < 2:
        return unsettled(
            case, "not-tested", ["too-few-items", "one-group"], unit=measure.unit,
            n_items=n_items, n_rows=sides.n_rows, table=table.name,
            estimate=_gap(sides), detail={**detail, "undefined": "one-per-side"},
        )  # fmt: skip
    alone = pair_of_one(table, test.measure, measure, sides) \
        if isinstance(test, Difference) else None
    result = alone or compare(sides, floor_sd)
    detail["one_item"] = named(result, sides.items_a)
    if isinstance(test, Difference) and test.by == table.use:
        result = in_change(result, table, test.measure, float(test.b), float(test.a))
    if isinstance(result, Undefined):
        return undefined(case, result, unit=measure.unit, n_rows=sides.n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    result = replace(result, n_items=n_items)  # a name on both sides is one item
    side = rules.SIDE[test.direction]
    code = rules.directed(result, side, test.at_least, margin)
    detail["p_line"] = rules.p_of_size(result, side, test.at_least)
    reasons: list[str] = []
    detail["without"] = list(sides.without)
    if sides.twice:
        # Taken as separate items, which they may not be: until the study says, it only leans.
        detail["twice"] = list(sides.twice)
        code = rules.demoted(code)
        reasons.append("pairs")
    if margin is not None and result.at95.excludes(0) and result.at90.inside(-margin, margin):
        reasons.append("real-but-small")
    code = _doubted(code, sides, result, case, reasons, detail)
    if code == "cannot-tell" and min(len(sides.a), len(sides.b)) <= 3 and not detail["one_item"]:
        reasons.append("too-few-items")
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=sides.n_rows, table=table.name, reasons=reasons,
        strip=change_strip(result, side, test.at_least, measure),
        power=_power(case, sides, test.at_least or margin, measure.unit), detail=detail,
    )  # fmt: skip


def pair_of_one(
    table: Table, name: str, measure: Measure, sides: Sides
) -> Estimate | Undefined | None:
    """The one item that a test picked, under both conditions; None where there are more."""
    if not sides.paired or len(sides.items_a) != 1:
        return None
    value = float(sides.a[0] - sides.b[0])
    return of_one(table, name, measure, sides.items_a, value, max(1.0, sides.n_rows / 2))


def compare(sides: Sides, floor_sd: float | None) -> Estimate | Undefined:
    """a minus b; ``floor_sd`` is the least spread of a difference of two readings."""
    if sides.paired:
        return mean_change(sides.a - sides.b, floor_sd=floor_sd)
    return welch(sides.a, sides.b, floor_sd=floor_sd and floor_sd / math.sqrt(2))


def split(table: Table, test: Difference) -> Sides:
    """Items (or the same items, twice) on the two sides of ``by``."""
    if test.by == table.use:
        a = evidence.at(table, test.measure, float(test.a))
        b = evidence.at(table, test.measure, float(test.b))
    else:
        a = evidence.at(evidence.only(table, test.by, test.a), test.measure, test.at)
        b = evidence.at(evidence.only(table, test.by, test.b), test.measure, test.at)
    shared = [i for i in a.items if i in set(b.items)]
    rows = a.n_rows + b.n_rows
    if not _pairs(table, test, a, b, shared):
        return Sides(a.values, b.values, a.items, b.items, False, rows, tuple(shared))
    left, right = a.as_dict(), b.as_dict()
    return Sides(
        np.array([left[i] for i in shared], dtype=float),
        np.array([right[i] for i in shared], dtype=float),
        tuple(shared), tuple(shared), True, rows,
        without=tuple(i for i in (*a.items, *b.items) if i not in set(shared)),
    )  # fmt: skip


def _pairs(
    table: Table, test: Difference, a: evidence.ItemValues, b: evidence.ItemValues,
    shared: list[str],
) -> bool:  # fmt: skip
    """Items are pairs where the study says so, or all stand on both sides; or by use, which is
    the same item at two checkpoints by its nature.  A few names on both sides make no pairs."""
    if test.within is not None or (test.by == table.use and shared):
        return True
    return bool(shared) and set(a.items) == set(b.items)


def mean(values: evidence.Floats) -> float | None:
    return float(values.mean()) if len(values) else None


def _gap(sides: Sides) -> float | None:
    a, b = mean(sides.a), mean(sides.b)
    return None if a is None or b is None else a - b


def _doubted(
    code: Code,
    sides: Sides,
    result: Estimate,
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile where leaving one item out turns the difference round or halves it."""
    test = case.test
    assert isinstance(test, Difference | DifferenceInChange)
    margin = case.study.measure(test.measure).matters_from
    small = result.at90.inside(-(margin or 0), margin or 0)
    if code not in ("backed", "leans", "against") or small or detail["one_item"]:
        return code
    if sides.paired:
        gaps = sides.a - sides.b
        without = [float(np.delete(gaps, i).mean()) for i in range(len(gaps))]
        names = sides.items_a
    else:
        without = [
            float(np.delete(sides.a, i).mean() - sides.b.mean()) for i in range(len(sides.a))
        ]
        without += [
            float(sides.a.mean() - np.delete(sides.b, i).mean()) for i in range(len(sides.b))
        ]
        names = sides.items_a + sides.items_b
    fragile, which = rules.carried(
        code, result.value, without, case.limits["fragile_halving"],
        rules.SIDE[test.direction], test.at_least,
    )  # fmt: skip
    if not fragile:
        return code
    reasons.append("fragile")
    detail |= {"fragile_item": names[which], "fragile_without": without[which]}
    return rules.unseated(code)


def _power(case: Case, sides: Sides, size: float | None, unit: str) -> Power:
    if sides.paired:
        return change_power(sides.a - sides.b, size, unit, case.limits)
    n_a, n_b = len(sides.a), len(sides.b)
    pooled = ((n_a - 1) * sides.a.var(ddof=1) + (n_b - 1) * sides.b.var(ddof=1)) / (n_a + n_b - 2)
    sd = float(np.sqrt(pooled))
    if sd <= 0:
        return Power(None, None, size, unit)
    power = case.limits["power"]
    per_side = items_for_difference(size, sd, power) if size else None
    return Power(smallest_difference(n_a, n_b, sd, power), per_side and 2 * per_side, size, unit)
