"""``no-change``: equivalence.  A wide range is "can't tell", never "no change"."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import change as stats
from explainer.analysis.change import tost
from explainer.analysis.fragility import is_fragile
from explainer.analysis.result import Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.change import (
    MovedDetail,
    change_power,
    gauge_floor,
    leave_one_out,
    only_group,
    story,
)
from explainer.claims.detail import published
from explainer.claims.gauge_sight import smallest_seen
from explainer.claims.shared_error import in_change
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import NoChange


@dataclass(frozen=True, kw_only=True)
class NoChangeDetail(MovedDetail):
    p_tost: float | None = published("p, equivalence (two one-sided tests)", "p")
    low90: float | None = published("90% range, low end", "claim")
    high90: float | None = published("90% range, high end", "claim")
    smallest_margin_shown: float | None = published(
        "Smallest margin this data could show", "claim"
    )


def judge(case: Case) -> Verdict:
    """Two one-sided tests against the margin (Schuirmann 1987), over items."""
    test = case.test
    assert isinstance(test, NoChange)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.to):
        return nothing
    seen = evidence.before_after(table, test.measure, test.from_, test.to)
    result = stats.mean_change(seen.change, floor_sd=gauge_floor(measure))
    result = in_change(result, table, test.measure, test.from_, test.to)
    margin = test.margin or measure.matters_from
    detail = {**story(seen), "margin": margin}
    if isinstance(result, Undefined):
        return undefined(
            case, result, unit=measure.unit, n_rows=seen.n_rows, table=table.name, detail=detail
        )
    reasons: list[str] = only_group(case, seen.items, detail)
    if margin is None:
        code: Code = "cannot-tell"
        reasons.append("no-margin")
    else:
        code = rules.within_margin(result, margin)
        if code == "backed" and result.at95.excludes(0):
            reasons.append("real-but-small")
        code = _doubted(code, seen, margin, result.value, case, reasons, detail)
        seeable = smallest_seen(measure, seen.readings_each * len(seen.items))
        if seeable is not None and margin < seeable:
            reasons.append("gauge-too-coarse")
            detail["mdd"] = seeable
            code = rules.demoted(code)
    if len(seen.items) <= 3 and code == "cannot-tell" and margin is not None:
        reasons.append("too-few-items")
    both = tost(seen.change, margin) if margin is not None else None
    return settled(
        case, code, replace(result, p=both.p if both else None),
        unit=measure.unit, n_rows=seen.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at90.low, high=result.at90.high,
            claim_zone=(-margin, margin) if margin else None,
            small_zone=(-margin, margin) if margin else None, null=0.0, unit=measure.unit,
            less_is=measure.less_is or "", more_is=measure.more_is or "",
        ),
        power=change_power(seen.change, margin, measure.unit, case.limits),
        detail={
            **detail, "p_tost": both.p if both else None,
            "low90": result.at90.low, "high90": result.at90.high,
            "smallest_margin_shown": max(abs(result.at90.low), abs(result.at90.high)),
        },
    )  # fmt: skip


def _doubted(
    code: Code,
    seen: evidence.Before,
    margin: float,
    value: float,
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile where one item's leaving moves the range out of its zone, or halves the mean."""
    without = leave_one_out(seen.change, lambda d: float(d.mean()))
    if code == "backed" and len(seen.items) > 2:
        left = [i for i in range(len(seen.items)) if not _still_inside(seen.change, i, margin)]
        which = max(left, key=lambda i: abs(seen.change[i] - value)) if left else None
    elif code == "against":
        fragile, index = is_fragile(value, without, case.limits["fragile_halving"])
        which = index if fragile else None
    else:
        return code
    if which is None:
        return code
    reasons.append("fragile")
    detail |= {"fragile_item": seen.items[which], "fragile_without": without[which]}
    return rules.demoted(code)


def _still_inside(change: evidence.Floats, left_out: int, margin: float) -> bool:
    again = stats.mean_change(np.delete(change, left_out))
    return isinstance(again, Undefined) or again.at90.inside(-margin, margin)
