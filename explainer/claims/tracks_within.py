"""``tracks-within``: as an item's x changes through use, does its y change with it?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from explainer.analysis import grouped, within as levels
from explainer.analysis.power import items_for_mean, smallest_mean_effect
from explainer.analysis.result import Estimate, Undefined
from explainer.analysis.sample import is_fragile
from explainer.claims import evidence, rules
from explainer.claims.association import (
    LinkDetail,
    both_levels,
    cannot_pair,
    differ,
    group_of_each,
    operands,
)
from explainer.claims.build import Case, Story, settled, undefined
from explainer.claims.change import in_groups
from explainer.claims.detail import published
from explainer.claims.evidence import Side
from explainer.claims.reading_error import (
    KNOWN,
    METHOD,
    error_of_one,
    gauge_of,
    reliability_within,
    smallest_seen,
)
from explainer.claims.shared_part import shared_part
from explainer.claims.verdict import Code, Power, Strip, Verdict
from explainer.study.description.tests import TracksWithin


@dataclass(frozen=True, kw_only=True)
class TracksDetail(LinkDetail):
    r_low: float | None = None
    r_high: float | None = None
    slope_without_time: float | None = None
    """The slope once what all items share at each checkpoint is removed, models weighed alike."""
    link: float | None = None
    """r, models weighed as in the slope: what has to survive each item and each checkpoint."""
    n_between: int | None = None
    """How many items the slope between them is of: those that were read once have a part in it."""
    drift_took: bool = False
    """What all share at each checkpoint made up more than half of the slope."""
    drift_turned: bool = False
    """It made up all of it: without it the slope is none, or goes the other way."""
    r: float | None = published("r")
    df: float | None = published("Degrees of freedom of r")
    slope_within: float | None = published("Slope within a {item}", "slope")
    slope_between: float | None = published("Slope between {items}, by their averages", "slope")
    p_slopes_differ: float | None = published("p, that the slopes differ", "p")
    r_loo_min: float | None = published("Lowest r with one {item} left out")
    r_loo_max: float | None = published("Highest r with one {item} left out")
    items_same_sign: int | None = published("{Items} that go the way of the average slope")


def judge(case: Case) -> Verdict:
    """The within slope with a ball-level range; r_rm stands beside it and decides nothing.

    Of one item that ``only`` picked: its own slope, by the gauge and by its own scatter.
    """
    test = case.test
    assert isinstance(test, TracksWithin)
    x, y = operands(case, test)
    if refused := cannot_pair(case, x, y):
        return refused
    unit = slope_unit(case, x[1], y[1])
    if not evidence.several_each(x, y):
        once = Undefined("no-checkpoints", len(y[0].items))
        return undefined(case, once, unit=unit, n_rows=0, table=y[0].name)
    pairs = evidence.pairs_of_checkpoints(x, y)
    if (alone := _of_one(case, x, y, pairs, unit)) is not None:
        return alone
    groups = evidence.groups_of(case.study, (y[0], x[0]), pairs.names)
    result = both_levels(case.study, x, y, pairs)
    if isinstance(result, Undefined):
        if result.why == "no-spread":  # where nothing moved there is no link, and none of 0
            result = replace(result, value=None)
        return undefined(case, result, unit=unit, n_rows=pairs.n_rows, table=y[0].name)
    side = rules.SIDE[test.direction]
    code = rules.directed(result.slope, side, None, None)
    detail = story(x[1], y[1], pairs, result)
    between = result.slope_between
    detail["n_between"] = between.n_items if between is not None else None
    reasons = ["levels-disagree"] if detail["slopes_differ"] == "differ" else []
    if pairs.checkpoints is not None:  # where nothing orders rows there is no drift to take out
        code = _shared_trend(code, result.slope, result.slope_without_time, reasons, detail)
    detail["link"] = result.link
    code = _carried(code, pairs, result, group_of_each(pairs.names, groups), case, reasons, detail)
    code = _too_coarse(code, case, x, y, pairs, result.slope, reasons)
    code = _sharing(code, case, x, y, reasons, detail)
    if groups is not None:
        detail |= of_groups(result, groups)
        code = in_groups(code, detail, reasons)
    if code == "cannot-tell" and len(pairs.names) <= 3:
        reasons.append("too-few-items")
    return settled(
        case, code, result.slope,
        unit=unit, n_rows=pairs.rows_of(result.carriers), table=y[0].name, reasons=reasons,
        strip=slope_strip(result.slope, side, unit, x),
        power=power(
            result.slope, slope_that_matters(case, y[1], pairs), case.limits["power"], unit
        ),
        detail={**detail, "r": result.r, "df": result.df,
                "r_loo_min": _least(result.r_loo), "r_loo_max": _most(result.r_loo)},
    )  # fmt: skip


def _of_one(
    case: Case, x: Side, y: Side, pairs: evidence.Pairs, unit: str
) -> Verdict | None:
    """The verdict on the one item that ``only`` picked; None where there are more, or no gauge."""
    (table, name), read = y, pairs.n_rows / max(1, len(pairs.x))
    study, test = case.study, case.test
    assert isinstance(test, TracksWithin)
    u_y = error_of_one(table, name, study.measure(name), pairs.names, read)
    if u_y is None:
        return None
    u_x = gauge_of(study.measure(x[1]), x[0], x[1], read) or 0.0
    result = levels.within_one(pairs.x, pairs.y, pairs.checkpoints, u_x, u_y, KNOWN, METHOD)
    detail: Story = {"x": x[1], "y": name, "one_item": pairs.names[0], "alone": list(pairs.alone)}
    if isinstance(result, Undefined):
        return undefined(
            case, result, unit=unit, n_rows=pairs.n_rows, table=table.name, detail=detail
        )
    slope, side = result.slope, rules.SIDE[test.direction]
    reasons: list[str] = []
    code = rules.directed(slope, side, None, None)
    if pairs.checkpoints is not None:
        code = _shared_trend(code, slope, result.slope_without_use, reasons, detail)
    uses = pairs.use.tolist() if np.isfinite(pairs.use).all() else []
    code = _one_step(code, list(result.r_without), uses, result.r, case, reasons, detail)
    code = _too_coarse(code, case, x, y, pairs, slope, reasons)
    code = _sharing(code, case, x, y, reasons, detail)
    free = result.slope_without_use
    return settled(
        case, code, slope,
        unit=unit, n_rows=pairs.n_rows, table=table.name, reasons=reasons,
        strip=slope_strip(slope, side, unit, x),
        detail={**detail, "r": result.r, "link": result.r, "df": result.df, "r_within": result.r,
                "slope_within": slope.value, "slope_within_low": slope.at95.low,
                "slope_within_high": slope.at95.high,
                "items_same_sign": 1, "slope_without_time": free.value if free else None},
    )  # fmt: skip


def _sharing(
    code: Code, case: Case, x: Side, y: Side, reasons: list[str], detail: Story
) -> Code:
    """``shared-part``: nothing is backed on what x and y have in common."""
    if not (shared := shared_part(case.study, x, y)):
        return code
    reasons.append("shared-part")
    detail["shared_part"] = shared.kind
    return rules.unseated(code)


def slope_unit(case: Case, x: str, y: str) -> str:
    """Boards per microinch, and the like."""
    return f"{case.study.measure(y).unit} per {case.study.measure(x).unit}"


def story(x: str, y: str, pairs: evidence.Pairs, w: levels.Within) -> Story:
    """Both levels, for sentences."""
    between = w.slope_between
    return {
        "x": x, "y": y, "alone": list(pairs.alone), "r_within": w.r,
        "r_low": w.r_estimate.at95.low, "r_high": w.r_estimate.at95.high,
        "slope_within": w.slope.value, "slope_within_low": w.slope.at95.low,
        "slope_within_high": w.slope.at95.high,
        "slope_between": between.value if between is not None else None,
        "p_slopes_differ": w.p_slopes_differ, "slopes_differ": differ(w),
        "items_same_sign": w.items_same_sign,
        "slope_without_time": w.slope_without_time.value if w.slope_without_time else None,
    }  # fmt: skip


def of_groups(result: levels.Within, groups: evidence.Words) -> Story:
    """How many groups there are, whether they go both ways, and whether one has more items."""
    each = result.group_slopes
    moved = [own is not None for own in result.item_slopes.values()]
    return {"n_groups": np.unique(groups[moved]).size, "groups_apart": result.groups_apart,
            "with_mates": grouped.with_mates(groups[moved]) if each else None,
            "groups_uneven": bool(each) and evidence.uneven(groups)}  # fmt: skip


def _shared_trend(
    code: Code, slope: Estimate, without: Estimate | None, reasons: list[str], detail: Story
) -> Code:
    """The gate: does the link survive once what all items share at each checkpoint is removed?

    All items drifting together link any two measures; only what is left can be a link.
    """
    if code not in ("backed", "against", "leans"):
        return code
    sign = 1 if slope.value > 0 else -1
    if without is not None and rules.beyond(without.at95, sign):
        return code
    left = without is not None and rules.beyond(without.at80, sign)
    if left and code == "leans":
        return code
    reasons.append("shared-trend")
    detail["drift_took"] = without is not None and without.value * sign < abs(slope.value) / 2
    detail["drift_turned"] = without is not None and without.value * sign <= 0
    return "leans" if left and code == "backed" else "cannot-tell"


def _carried(
    code: Code,
    pairs: evidence.Pairs,
    w: levels.Within,
    of: Mapping[str, str] | None,
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile: one item carries the link within.  One-step: one checkpoint carries it."""
    if code not in ("backed", "leans", "against"):
        return code

    def left(keep: NDArray[np.bool_]) -> float | None:
        again = levels.within(pairs.x[keep], pairs.y[keep], pairs.items[keep], None, of)
        return None if isinstance(again, Undefined) else again.link

    each = [float(r) if np.isfinite(r) else None for r in w.r_loo]
    if w.group_slopes:  # r counts every item alike, and the claim's slope every model
        each = [left(pairs.items != name) for name in pairs.names]
    fragile, which = is_fragile(w.link, each, case.limits["fragile_halving"])
    if fragile:
        reasons.append("fragile")
        detail |= {"fragile_item": pairs.names[which], "fragile_without": each[which]}
    uses = sorted(set(pairs.use[np.isfinite(pairs.use)].tolist()))
    without = [left(pairs.use != use) for use in uses]
    stepped = _one_step(code, without, uses, w.link, case, reasons, detail)
    return rules.unseated(code) if fragile else stepped


def _one_step(
    code: Code,
    without: list[float | None],
    uses: list[float],
    r: float,
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """``one-step``: r without each checkpoint in turn; one that carries it leaves a lean."""
    if code not in ("backed", "leans", "against") or len(uses) < 3:
        return code
    stepped, step = is_fragile(r, without, case.limits["fragile_halving"])
    if not stepped:
        return code
    reasons.append("one-step")
    detail |= {"one_step_at": uses[step], "one_step_without": without[step]}
    return rules.demoted(code)


def _too_coarse(
    code: Code,
    case: Case,
    x: Side,
    y: Side,
    pairs: evidence.Pairs,
    slope: Estimate,
    reasons: list[str],
) -> Code:
    """As a change allows for the gauge: x must move, and y by what the link makes it, to be seen.

    Where half of x's movement within items may be the gauge's scatter, or what a typical journey
    in x does to y is less than the gauge sees over all items, the link is held back.
    """
    if code not in ("backed", "leans", "against"):
        return code
    share = reliability_within(case.study, x, pairs)
    journey = float(np.median([np.ptp(pairs.x[pairs.items == i]) for i in pairs.names]))
    readings = pairs.n_rows / max(1, len(set(pairs.use.tolist())))
    seeable = smallest_seen(case.study.measure(y[1]), readings)
    blind = seeable is not None and abs(slope.value) * journey < seeable
    if not blind and (share is None or share >= case.limits["gauge_half"]):
        return code
    reasons.append("gauge-too-coarse")
    return rules.demoted(code)


def slope_strip(e: Estimate, side: int, unit: str, x: Side) -> Strip:
    """The within slope on its number line."""
    zone = (0.0, None) if side > 0 else (None, 0.0) if side < 0 else None
    return Strip(
        value=e.value, low=e.at95.low, high=e.at95.high, claim_zone=zone, small_zone=None,
        null=0.0, unit=unit, less_is="one up, the other down", more_is="both up together",
        beyond=None if side else 0.0, seen=evidence.seen_span(*x),
    )  # fmt: skip


def power(e: Estimate, size: float | None, wanted: float, unit: str) -> Power:
    """What slope this many items could see, and what would settle one of ``size``."""
    if e.se is None or e.se <= 0:
        return Power(None, None, size, unit)
    sd = e.se * float(np.sqrt(e.n_items))
    return Power(
        smallest_mean_effect(e.n_items, sd, wanted),
        items_for_mean(size, sd, wanted) if size else None, size, unit,
    )  # fmt: skip


def slope_that_matters(case: Case, y: str, pairs: evidence.Pairs) -> float | None:
    """The slope at which a typical journey in x moves y by what a bowler would notice."""
    matters = case.study.measure(y).matters_from
    journey = float(np.median([np.ptp(pairs.x[pairs.items == i]) for i in pairs.names]))
    return matters / journey if matters is not None and journey > 0 else None


def _least(values: object) -> float | None:
    kept = [float(v) for v in values if v is not None and np.isfinite(v)]  # type: ignore[attr-defined]
    return min(kept, default=None)


def _most(values: object) -> float | None:
    kept = [float(v) for v in values if v is not None and np.isfinite(v)]  # type: ignore[attr-defined]
    return max(kept, default=None)
