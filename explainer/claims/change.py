"""``change``: each item's change between two checkpoints, judged over items."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from explainer.analysis import change as stats
from explainer.analysis.power import items_for_mean, smallest_mean_effect
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.detail import Detail, published
from explainer.claims.gauge_sight import smallest_seen
from explainer.claims.shared_error import in_change
from explainer.claims.verdict import Code, Power, Strip, Verdict
from explainer.study.description.measures import Measure
from explainer.study.description.tests import AnyTest, Change


@dataclass(frozen=True, kw_only=True)
class MovedDetail(Detail):
    """`change` and `no-change`: both means, and who went which way."""

    mean_from: float | None = None
    mean_to: float | None = None
    n_up: int = 0
    n_down: int = 0
    exact: bool | None = None
    """Every arrangement of signs was tried, not a seeded sample of them."""


@dataclass(frozen=True, kw_only=True)
class ChangeDetail(MovedDetail):
    sd: float | None = published(
        "Spread of the {items}’ own changes (standard deviation)", "claim"
    )
    p_signflip: float | None = published("p, by flipping the signs of the changes", "p")
    d_z: float | None = published("Mean change over its spread (d)")


def judge(case: Case) -> Verdict:
    """Mean change and its t interval; sign-flip p beside it (methods: Student; Fisher 1935)."""
    test = case.test
    assert isinstance(test, Change)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.to):
        return nothing
    seen = evidence.before_after(table, test.measure, test.from_, test.to)
    result = stats.mean_change(seen.change, floor_sd=gauge_floor(measure))
    result = in_change(result, table, test.measure, test.from_, test.to)
    detail = story(seen)
    if isinstance(result, Undefined):
        return undefined(
            case, result, unit=measure.unit, n_rows=seen.n_rows, table=table.name, detail=detail
        )
    side = rules.SIDE[test.direction]
    code = rules.directed(result, side, test.at_least, measure.matters_from)
    reasons, code, more = doubts(case, measure, seen, result, code)
    flips = stats.sign_flip(seen.change)
    size = test.at_least or measure.matters_from
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=seen.n_rows, table=table.name, reasons=reasons,
        strip=change_strip(result, side, test.at_least, measure),
        power=change_power(seen.change, size, measure.unit, case.limits),
        detail={**detail, **more, "sd": float(np.std(seen.change, ddof=1)),
                "p_signflip": flips.p if flips else None, "d_z": stats.d_z(seen.change),
                "smallest_p": flips.smallest_p if flips else None,
                "exact": flips.exact if flips else None, "at_least": test.at_least,
                "p_line": rules.p_of_size(result, side, test.at_least)},
    )  # fmt: skip


def gauge_floor(measure: Measure) -> float | None:
    """The least spread a change can have: a display that moves in steps hides smaller ones."""
    return None if measure.resolution is None else measure.resolution * (2 / 12) ** 0.5


def story(seen: evidence.Before) -> Story:
    """What sentences need beside the estimate."""
    change = seen.change
    return {
        "mean_from": float(seen.before.mean()) if len(change) else None,
        "mean_to": float(seen.after.mean()) if len(change) else None,
        "n_up": int((change > 0).sum()),
        "n_down": int((change < 0).sum()),
        "without": list(seen.without),
    }


def doubts(
    case: Case, measure: Measure, seen: evidence.Before, result: Estimate, code: Code
) -> tuple[list[str], Code, Story]:
    """Reasons that stand beside a change, and what they leave of its verdict."""
    reasons: list[str] = []
    more: Story = {"margin": measure.matters_from}
    margin = measure.matters_from
    if margin is not None and result.at95.excludes(0) and result.at90.inside(-margin, margin):
        reasons.append("real-but-small")
    seeable = smallest_seen(measure, seen.readings_each * max(1, len(seen.items)))
    if seeable is not None and _too_coarse(code, result.value, case.test, margin, seeable):
        more["mdd"] = seeable
        reasons.append("gauge-too-coarse")
        code = rules.demoted(code)
    without = leave_one_out(seen.change, lambda d: float(d.mean()))
    assert isinstance(case.test, Change)
    fragile, which = rules.carried(
        code, result.value, without, case.limits["fragile_halving"],
        rules.SIDE[case.test.direction], case.test.at_least,
    )  # fmt: skip
    if fragile and not result.at90.inside(-(margin or 0), margin or 0):
        reasons.append("fragile")
        more |= {"fragile_item": seen.items[which], "fragile_without": without[which]}
        code = rules.demoted(code)
    if len(seen.items) <= 3 and code == "cannot-tell":
        reasons.append("too-few-items")
    reasons += only_group(case, seen.items, more)
    return reasons, code, more


def _too_coarse(
    code: Code, value: float, test: AnyTest, margin: float | None, seeable: float
) -> bool:
    """Found, but smaller than the gauge sees; or open, and what matters is smaller than that."""
    if code in ("backed", "leans"):
        return abs(value) < seeable
    size = getattr(test, "at_least", None) or margin
    return code == "cannot-tell" and size is not None and size < seeable


def leave_one_out(
    values: evidence.Floats, statistic: Callable[[evidence.Floats], float]
) -> Sequence[float | None]:
    """The statistic without each item in turn."""
    if len(values) < 2:
        return []
    return [statistic(np.delete(values, i)) for i in range(len(values))]


def only_group(case: Case, items: Sequence[str], more: Story) -> list[str]:
    """``one-group``: the study sorts items into groups, and all that were tested are of one."""
    for table in case.study.tables.values():
        if table.group is None or table.group not in table.frame:
            continue
        mine = table.frame.loc[table.frame[table.item].isin(list(items)), table.group].unique()
        if len(items) and len(mine) == 1 and set(items) <= set(table.items):
            more["group_only"] = str(mine[0])
            return ["one-group"]
        return []
    return []


def change_strip(e: Estimate, side: int, at_least: float | None, measure: Measure) -> Strip:
    """Where the claim needs the change to be, and what is too small to matter."""
    line = (at_least or 0.0) * (side or 1)
    zone = (line, None) if side > 0 else (None, line) if side < 0 else None
    margin = measure.matters_from
    return Strip(
        value=e.value, low=e.at95.low, high=e.at95.high, claim_zone=zone,
        small_zone=(-margin, margin) if margin else None, null=0.0, unit=measure.unit,
        less_is=measure.less_is or "", more_is=measure.more_is or "",
        beyond=None if side else at_least or 0.0,
    )  # fmt: skip


def change_power(
    change: evidence.Floats, size: float | None, unit: str, limits: rules.Thresholds
) -> Power:
    """What this many items could see, and how many would settle ``size``."""
    sd = float(np.std(change, ddof=1)) if len(change) > 1 else 0.0
    if sd <= 0:
        return Power(None, None, size, unit)
    return Power(
        smallest_effect=smallest_mean_effect(len(change), sd, limits["power"]),
        items_needed=items_for_mean(size, sd, limits["power"]) if size else None,
        at_effect=size, unit=unit,
    )  # fmt: skip
