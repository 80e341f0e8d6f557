"""``no-association``: no relation worth the name, between items or within them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import association as stats, grouped, within as levels
from explainer.analysis.limits import Z90, with_error
from explainer.analysis.power import (
    items_for_no_r,
    items_within,
    smallest_mean_effect,
    smallest_r,
)
from explainer.analysis.result import Estimate, Interval, Undefined
from explainer.claims import evidence, rules
from explainer.claims.association import (
    DECIDED,
    LinkDetail,
    cannot_pair,
    grouping,
    level_reasons,
    operands,
    r_strip,
    story,
)
from explainer.claims.build import Case, Story, settled, undefined
from explainer.claims.change import FEW_GROUPS
from explainer.claims.detail import published
from explainer.claims.evidence import Side
from explainer.claims.shared_part import shared_part
from explainer.claims.verdict import Code, Power, Verdict
from explainer.study.description.tests import NoAssociation


@dataclass(frozen=True, kw_only=True)
class NoAssociationDetail(LinkDetail):
    groups_other: bool = False
    """Inside the groups the range says something else, and that takes the verdict down."""
    groups_unseen: bool = False
    """There is none inside them, with too few items left to judge by."""
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
    groups = None
    if not inside:
        groups = evidence.groups_of(case.study, (y[0], x[0]), pairs.items.tolist())
    detail = {**story(case, x, y, pairs), **grouping(groups), "margin": test.margin}
    both = levels.within(pairs.x, pairs.y, pairs.items, pairs.checkpoints) if inside else None
    if isinstance(both, levels.Within):
        result: Estimate | Undefined = over_items(both.slope, both.r_per_slope)
    else:
        # What one item alone gives is a slope, in another unit than a link.
        result = replace(both, value=None) if both else stats.pearson(pairs.x, pairs.y)
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
        seen = PointsSeen(pairs, groups, both)
        code = _weighed(case, x, y, seen, result, margin, reasons, detail)
    return settled(
        case, code, result,
        unit="r", table=y[0].name, reasons=reasons,
        n_rows=pairs.rows_of(both.carriers) if isinstance(both, levels.Within) else pairs.n_rows,
        strip=replace(
            r_strip(result, 0, 0.0), beyond=None, low=result.at90.low, high=result.at90.high,
            claim_zone=(-margin, margin) if margin else None,
        ),
        power=_power(result, margin, case.limits["power"], free_readings(pairs, both)),
        detail={**detail, "low90": result.at90.low, "high90": result.at90.high},
    )  # fmt: skip


def free_readings(pairs: evidence.Pairs, both: levels.Within | Undefined | None) -> int | None:
    """How many readings are free to vary inside the items that have a link of their own."""
    if not isinstance(both, levels.Within):
        return None
    return int(np.isin(pairs.items, both.carriers).sum()) - len(both.carriers)


def _power(
    result: Estimate, margin: float | None, wanted: float, free: int | None
) -> Power:
    """What this many items could see, and how many would settle ``margin``: between items by
    Fisher's z of a point each; inside them (``free``) by how far their own slopes lie apart, and no
    less than as many free readings scatter without a link.  Few items do not say how far they do.
    """
    n = result.n_items
    if not free or not result.se:
        needed = items_for_no_r(margin, wanted) if margin else None
        return Power(smallest_r(n, wanted), needed, margin, "r")
    sd, means = result.se * math.sqrt(n), max(1.0, n - (result.df or n - 1.0))
    least = smallest_mean_effect(n, sd, wanted, means=means)
    # Planned for where there is none: then all of the scatter is left that the link explains now.
    left, luck = math.sqrt(max(0.0, 1.0 - result.value**2)), math.sqrt(n / free)
    spread = luck if n <= rules.FEW else max(luck, sd / left) if left else None
    needed = items_within(margin, spread, wanted, means=means) if margin and spread else None
    return Power(least if least is not None and least < 1 else None, needed, margin, "r")


@dataclass(frozen=True)
class PointsSeen:
    """What a range is of: points, their groups (between items) or both levels (within them)."""

    pairs: evidence.Pairs
    groups: evidence.Words | None
    both: levels.Within | Undefined | None


def _weighed(
    case: Case,
    x: Side,
    y: Side,
    at: PointsSeen,
    result: Estimate,
    margin: float,
    reasons: list[str],
    detail: Story,
) -> Code:
    """The range against the margin, and what is left of that after every doubt."""
    test = case.test
    assert isinstance(test, NoAssociation)
    code, pairs = rules.in_zone(*with_error(result, margin)), at.pairs
    if rules.narrow(*with_error(result, margin)):
        reasons.append("narrow-zone")
    if isinstance(at.both, levels.Within):
        code = _without_drift(code, at.both, margin, reasons)
        code = _none_within(code, pairs, margin, reasons, detail)
    elif code in ("cannot-tell", "leans") and _best_case(result.n_items) > margin:
        code = "not-tested"
        reasons.append("too-few-items")
    else:
        code = _none_doubted(code, pairs, margin, reasons, detail)
        code = _in_groups(code, pairs, at.groups, margin, reasons, detail)
    if shared := shared_part(case.study, x, y, test.at):
        reasons.append("shared-part")
        detail["shared_part"] = shared.kind
        code = rules.unseated(code)
    if pairs.mixed and code in DECIDED:
        reasons.append("unequal-use")
        code = "cannot-tell"
    if pairs.shared == 0 and code in DECIDED:
        alone = {_alone(points, margin) for points in
                 evidence.at_each(evidence.pairs_of_checkpoints(x, y))}  # fmt: skip
        own = rules.in_zone(*with_error(result, margin))
        detail["each_alone"] = alone == {own} if alone else None
        detail["none_alone"] = own not in alone
        if not detail["each_alone"]:
            reasons.append("unequal-use")
            code = "cannot-tell"
    return code


def _alone(points: evidence.Pairs, margin: float) -> Code | None:
    """What the range over the points of one checkpoint says; None where there is none."""
    r = stats.pearson(points.x, points.y)
    return rules.in_zone(*with_error(r, margin)) if isinstance(r, Estimate) else None


def over_items(slope: Estimate, per_slope: float) -> Estimate:
    """The slope within items in units of r, its range over items and not over readings.

    The slope times the spread of x over that of y within items is r itself, and its ranges by
    CR2 carry over; r ends at −1 and 1.
    """
    def scaled(i: Interval) -> Interval:
        return Interval(max(-1.0, i.low * per_slope), min(1.0, i.high * per_slope), i.level)

    return replace(
        slope, value=slope.value * per_slope, se=(slope.se or 0.0) * per_slope,
        at95=scaled(slope.at95), at90=scaled(slope.at90), at80=scaled(slope.at80),
        method="r within items, range over items (CR2)",
    )  # fmt: skip


def _without_drift(
    code: Code, both: levels.Within, margin: float, reasons: list[str]
) -> Code:
    """What is said must hold with what all items share at each checkpoint, and without it."""
    free, per_slope = both.slope_without_time, both.r_per_slope_without_time
    if free is None or per_slope is None or not math.isfinite(per_slope):
        return code
    again = rules.in_zone(*with_error(over_items(free, per_slope), margin))
    if code == again or code == "cannot-tell":
        return code
    reasons.append("shared-trend")
    return "leans" if {code, again} == {"backed", "leans"} else "cannot-tell"


def _none_within(
    code: Code, pairs: evidence.Pairs, margin: float, reasons: list[str], detail: Story
) -> Code:
    """Fragile where the range (of a lean: r) leaves its zone once one item is left out."""
    if code not in ("backed", "leans"):
        return code
    left = {}
    for name in pairs.names:
        rows = pairs.items != name
        again = levels.within(pairs.x[rows], pairs.y[rows], pairs.items[rows])
        if not isinstance(again, Undefined):
            left[name] = over_items(again.slope, again.r_per_slope)
    return _tipped(code, left, margin, reasons, detail)


def _in_groups(
    code: Code,
    pairs: evidence.Pairs,
    groups: evidence.Words | None,
    margin: float,
    reasons: list[str],
    detail: Story,
) -> Code:
    """No link over all items is none only if there is none inside the groups either."""
    if groups is None or code not in ("backed", "leans", "against"):
        return code
    inner = grouped.within_groups(pairs.x, pairs.y, groups)
    again: Code = (
        "cannot-tell" if isinstance(inner, Undefined)
        else rules.in_zone(*with_error(inner, margin))
    )
    if again != code or detail["n_groups"] <= FEW_GROUPS:
        reasons.append("groups")
    if again == code:
        return code
    detail |= {"groups_other": True, "groups_unseen": isinstance(inner, Undefined)}
    return "leans" if {code, again} == {"backed", "leans"} else "cannot-tell"


def _best_case(n: int) -> float:
    """Half-width of the 90% range of r at r = 0: below this no margin can be shown."""
    return 1.0 if n < 4 else math.tanh(Z90 / math.sqrt(n - 3))


def _none_doubted(
    code: Code, pairs: evidence.Pairs, margin: float, reasons: list[str], detail: Story
) -> Code:
    """Fragile where the range (of a lean: r) leaves its zone once one item is left out."""
    if code not in ("backed", "leans"):
        return code
    each = {str(name): stats.pearson(np.delete(pairs.x, i), np.delete(pairs.y, i))
            for i, name in enumerate(pairs.items)}  # fmt: skip
    left = {name: r for name, r in each.items() if isinstance(r, Estimate)}
    return _tipped(code, left, margin, reasons, detail)


def _tipped(
    code: Code, left: Mapping[str, Estimate], margin: float, reasons: list[str], detail: Story
) -> Code:
    """Fragile where the range (of a lean: r) leaves its zone without an item; ``left``: without
    each."""
    out = [name for name, r in left.items() if abs(r.value) > margin]
    tips = [n for n, r in left.items() if not r.at90.inside(-margin, margin)]
    gone = tips if code == "backed" else out
    if not gone:
        return code
    which = max(gone, key=lambda name: abs(left[name].value))
    reasons.append("fragile")
    detail |= {"fragile_item": which, "fragile_without": left[which].value,
               "fragile_count": len(gone), "fragile_range": not out}  # fmt: skip
    return rules.unseated(code)
