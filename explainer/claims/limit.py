"""``limit``: each item's reading against a limit, with a zone that is too close to call."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from explainer.analysis.conformity import Call, judge_reading, standard_uncertainty
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, table_for, unsettled
from explainer.claims.detail import Detail, published
from explainer.claims.verdict import Strip, Verdict
from explainer.study.description.measures import Measure
from explainer.study.description.tests import LimitTest
from explainer.study.model import Table


@dataclass(frozen=True, kw_only=True)
class LimitDetail(Detail):
    measure: str = ""
    u: float | None = None
    """Standard uncertainty of one item's value; None where nobody knows it."""
    guard: float | None = None
    """Half-width of the zone that is too close to call."""
    at_most: float | None = None
    items: tuple[dict[str, Any], ...] | None = published()
    """One call an item: item, value, call (pass, fail, too-close) and p_conform."""


def judge(case: Case) -> Verdict:
    """Guarded acceptance (JCGM 106:2012) of these items, never of all items like them."""
    test = case.test
    assert isinstance(test, LimitTest)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    seen = evidence.at(table, test.measure, test.at)
    each = seen.n_rows / max(1, len(seen.items))
    u, parts = uncertainty(measure, table, each, given_u(case, test))
    detail: Story = {
        "u": u, "at_least": test.at_least, "at_most": test.at_most,
        "without": list(seen.without), "measure": test.measure,
        "reading_error": table.reading_error,
    }  # fmt: skip
    if not seen.items:
        return unsettled(case, "not-tested", ["too-few-items"], unit=measure.unit,
                         table=table.name, detail=detail)  # fmt: skip
    calls = [judge_reading(float(v), u or 0.0, test.at_least, test.at_most) for v in seen.values]
    rows = [
        {"item": i, "value": float(v), "call": c.call, "p_conform": c.p_conform}
        for i, v, c in zip(seen.items, seen.values, calls, strict=True)
        if isinstance(c, Call)
    ]
    passes = [_meets(float(v), test) for v in seen.values]
    code = rules.all_conform([str(r["call"]) for r in rows], passes)
    reasons = (
        ["reading-error"] if parts.get("chart") and "too-close" in {r["call"] for r in rows} else []
    )
    if u is None:
        # Without a known gauge no reading is sure: point values can lean, no more.
        code = rules.demoted(code)
        reasons.append("gauge-too-coarse")
    guard = next((c.guard for c in calls if isinstance(c, Call)), 0.0)
    return unsettled(
        case, code, reasons,
        unit=measure.unit, n_items=len(seen.items), n_rows=seen.n_rows, table=table.name,
        method="guarded acceptance, 95% one-sided",
        detail={**detail, "guard": guard, "items": rows},
        strip=Strip(
            None, None, None, (test.at_least, test.at_most),
            _near(test, guard), None, measure.unit, measure.less_is or "", measure.more_is or "",
            measured=(float(seen.values.min()), float(seen.values.max())),
        ),
    )  # fmt: skip


def given_u(case: Case, test: LimitTest) -> float | None:
    """The test's own uncertainty, else the rule's where the rule limits the same measure."""
    rule = case.study.description.rule
    if test.u is None and rule is not None and rule.limit is not None:
        return rule.u if rule.limit.measure == test.measure else None
    return test.u


def uncertainty(
    measure: Measure, table: Table, readings: float, given: float | None
) -> tuple[float | None, dict[str, float]]:
    """Standard uncertainty of one item's value, and the parts it is made of.

    The author's ``u`` if given; else gauge scatter over the readings and its step (JCGM 100), and
    the part of a chart-reading error that all readings of one chart share, taken as rectangular.
    """
    parts: dict[str, float] = {}
    if table.reading_error:
        parts["chart"] = table.reading_error / math.sqrt(3)
    base = given
    if base is None:
        base = standard_uncertainty(
            measure.repeatability_sd, measure.resolution, max(1, math.floor(readings))
        )
    if base is not None:
        parts["gauge"] = base
    if not parts:
        return None, parts
    return math.sqrt(sum(p * p for p in parts.values())), parts


def _meets(value: float, test: LimitTest) -> bool:
    low = -math.inf if test.at_least is None else test.at_least
    high = math.inf if test.at_most is None else test.at_most
    return low <= value <= high


def _near(test: LimitTest, guard: float) -> tuple[float, float] | None:
    """The zone about the limit that is too close to call."""
    line = test.at_least if test.at_least is not None else test.at_most
    return None if line is None or guard == 0 else (line - guard, line + guard)
