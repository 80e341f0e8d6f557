"""``no-association``: no relation worth the name, between items or within them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import association as stats
from explainer.analysis import within as levels
from explainer.analysis.power import items_for_no_r, smallest_r
from explainer.analysis.result import Estimate, Interval, Undefined
from explainer.claims import evidence, rules
from explainer.claims.association import (
    LinkDetail,
    cannot_pair,
    level_reasons,
    operands,
    r_strip,
    story,
)
from explainer.claims.build import Case, Story, settled, undefined
from explainer.claims.detail import published
from explainer.claims.verdict import Code, Power, Verdict
from explainer.study.description.tests import NoAssociation

#: 90% two-sided, for the best a flat relation could show.
Z90 = 1.6448536269514722


@dataclass(frozen=True, kw_only=True)
class NoAssociationDetail(LinkDetail):
    items_low90: float | None = None
    """The 90% range of r within, over items rather than readings."""
    items_high90: float | None = None
    low90: float | None = published("90% range, low end", "claim")
    high90: float | None = published("90% range, high end", "claim")


def judge(case: Case) -> Verdict:
    """The 90% range of r inside ±margin (Goertzen & Cribbie 2010)."""
    test = case.test
    assert isinstance(test, NoAssociation)
    x, y = operands(case, test)
    if refused := cannot_pair(case, x, y, test.at):
        return refused
    inside = test.within in (True, "yes")
    pairs = (
        evidence.pairs_of_checkpoints(x, y) if inside else evidence.pairs_of_items(x, y, test.at)
    )
    detail = story(case, x, y, pairs)
    result: Estimate | Undefined
    both: levels.Within | Undefined | None = None
    if inside:
        both = levels.within(pairs.x, pairs.y, pairs.items, pairs.checkpoints)
        result = both if isinstance(both, Undefined) else both.r_estimate
    else:
        result = stats.pearson(pairs.x, pairs.y)
    if isinstance(result, Undefined):
        return undefined(
            case, result, unit="r", n_rows=pairs.n_rows, table=y[0].name, detail=detail
        )
    margin = test.margin
    reasons = level_reasons(detail)
    code: Code = "cannot-tell"
    if margin is None:
        reasons.append("no-margin")
    else:
        code = rules.within_margin(result, margin)
        if inside:
            code = _over_items(code, both, pairs, margin, detail)
        elif code in ("cannot-tell", "leans") and _best_case(result.n_items) > margin:
            code = "not-tested"
            reasons.append("too-few-items")
        else:
            code = _none_doubted(code, case, pairs, margin, reasons, detail)
    return settled(
        case, code, result,
        unit="r", n_rows=pairs.n_rows, table=y[0].name, reasons=reasons,
        strip=replace(
            r_strip(result, 0, 0.0), beyond=None, low=result.at90.low, high=result.at90.high,
            claim_zone=(-margin, margin) if margin else None,
            small_zone=(-margin, margin) if margin else None,
        ),
        power=Power(
            smallest_r(result.n_items, case.limits["power"]),
            items_for_no_r(margin, case.limits["power"]) if margin else None, margin, "r",
        ),
        detail={**detail, "margin": margin,
                "low90": result.at90.low, "high90": result.at90.high},
    )  # fmt: skip


def _over_items(
    code: Code,
    both: levels.Within | Undefined | None,
    pairs: evidence.Pairs,
    margin: float,
    detail: Story,
) -> Code:
    """r within counts readings; what a claim rests on must hold over items, too.

    The slope's ranges over items, in units of r (times the ratio of both spreads within items).
    Neither of the two can say more than the other.
    """
    if not isinstance(both, levels.Within):
        return code
    scale = _spread_within(pairs.items, pairs.x) / _spread_within(pairs.items, pairs.y)
    at95, at90, at80 = (
        Interval(i.low * scale, i.high * scale, i.level)
        for i in (both.slope.at95, both.slope.at90, both.slope.at80)
    )
    detail |= {"items_low90": at90.low, "items_high90": at90.high}
    again = rules.within_margin(replace(both.slope, at95=at95, at90=at90, at80=at80), margin)
    if code == again:
        return code
    return "leans" if {code, again} == {"backed", "leans"} else "cannot-tell"


def _spread_within(items: np.ndarray, values: evidence.Floats) -> float:
    """Root of the sum of squares about items' own means; more than 0 where r within exists."""
    away = [values[items == i] - values[items == i].mean() for i in dict.fromkeys(items.tolist())]
    return float(np.linalg.norm(np.concatenate(away)))


def _best_case(n: int) -> float:
    """Half-width of the 90% range of r at r = 0: below this no margin can be shown."""
    return 1.0 if n < 4 else math.tanh(Z90 / math.sqrt(n - 3))


def _none_doubted(
    code: Code,
    case: Case,
    pairs: evidence.Pairs,
    margin: float,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile where the range leaves its zone once one item is left out."""
    if code != "backed":
        return code
    for i, name in enumerate(pairs.items):
        again = stats.pearson(np.delete(pairs.x, i), np.delete(pairs.y, i))
        if isinstance(again, Estimate) and not again.at90.inside(-margin, margin):
            reasons.append("fragile")
            detail |= {"fragile_item": str(name), "fragile_without": again.value}
            return rules.demoted(code)
    return code
