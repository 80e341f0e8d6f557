"""``mean-is``: the average of the items against a number, or at least or at most one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explainer.analysis import change as stats
from explainer.analysis.limits import Ends, moved, p_inside
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.change import change_power, only_group, spread_of
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import in_level, named, of_one
from explainer.claims.verdict import Strip, Verdict
from explainer.study.description.sources import Measure
from explainer.study.description.tests import MeanIs


@dataclass(frozen=True, kw_only=True)
class MeanIsDetail(Detail):
    sd: float | None = published("Spread of the {items} (standard deviation)", "measure")
    low90: float | None = published("90% range, low end", "claim")
    high90: float | None = published("90% range, high end", "claim")
    p_zone: float | None = published("p, that the average lies where the claim says", "p")
    value: float | None = None
    """The number the claim names, and how far from it still counts."""
    tolerance: float | None = None
    needs_low: float | None = None
    needs_high: float | None = None
    median: float | None = None


def judge(case: Case) -> Verdict:
    """One-sample t (NIST/SEMATECH e-Handbook 1.3.5.2); "about" by two one-sided tests."""
    test = case.test
    assert isinstance(test, MeanIs)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    seen = evidence.at(table, test.measure, test.at)
    zone, within = zone_of(test, measure)
    detail: Story = {
        "value": test.value, "tolerance": within, "needs_low": test.at_least,
        "needs_high": test.at_most, "without": list(seen.without),
    }  # fmt: skip
    middle = _middle(zone, test)
    floor = None if measure.resolution is None else measure.resolution / 12**0.5
    readings = seen.n_rows / max(1, len(seen.items))
    first = float(seen.values[0] - middle) if len(seen.values) else 0.0
    result: Estimate | Undefined = of_one(
        table, test.measure, measure, seen.items, first, readings, times=1
    ) or stats.mean_change(seen.values - middle, floor_sd=floor)
    result = in_level(result, table, test.measure, test.at)
    detail["one_item"] = named(result, seen.items)
    if isinstance(result, Undefined):
        mean = float(seen.values.mean()) if len(seen.values) else None
        result = Undefined(result.why, result.n_items, result.method, mean)
        return undefined(case, result, unit=measure.unit, n_rows=seen.n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    result = moved(result, middle)
    reasons = only_group(case, seen.items, detail)
    code = rules.in_zone(result, zone)
    if zone == (None, None):
        code, reasons = "cannot-tell", [*reasons, "no-margin"]
    if rules.narrow(result, zone):
        reasons.append("narrow-zone")
    if 1 < len(seen.items) <= 3 and code == "cannot-tell" and "no-margin" not in reasons:
        reasons.append("too-few-items")
    p = p_inside(result, zone) if zone != (None, None) else None
    detail |= {
        "sd": spread_of(seen.values), "low90": result.at90.low,
        "high90": result.at90.high, "p_zone": p, "median": float(np.median(seen.values)),
    }  # fmt: skip
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=seen.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at90.low, high=result.at90.high,
            claim_zone=None if zone == (None, None) else zone, small_zone=None, null=None,
            unit=measure.unit, less_is=measure.less_is or "", more_is=measure.more_is or "",
        ),
        power=change_power(seen.values, within or measure.matters_from, measure.unit, case.limits),
        detail=detail,
    )  # fmt: skip


def zone_of(test: MeanIs, measure: Measure) -> tuple[Ends, float | None]:
    """Where the average has to lie, and how far from ``value`` still counts; open: nobody said."""
    if test.at_least is not None or test.at_most is not None:
        return (test.at_least, test.at_most), None
    assert test.value is not None
    within = test.within or measure.matters_from
    if within is None:
        return (None, None), None
    return (test.value - within, test.value + within), within


def _middle(zone: Ends, test: MeanIs) -> float:
    """The number the readings are counted from, so that a large level costs no digits."""
    given = (test.value, *zone)
    return next((v for v in given if v is not None), 0.0)
