"""``association`` between items: do those with more x have more y?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from explainer.analysis import association as stats
from explainer.analysis import within as levels
from explainer.analysis.power import items_for_r, smallest_r
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, undefined
from explainer.claims.detail import Detail, published
from explainer.claims.verdict import Code, Power, Strip, Verdict
from explainer.study.description.tests import Association
from explainer.study.model import Table

Side = tuple[Table, str]


@dataclass(frozen=True, kw_only=True)
class LinkDetail(Detail):
    """x and y, and both levels: from one item to the next, and within an item."""

    x: str = ""
    y: str = ""
    alone: tuple[str, ...] = ()
    """Readings without a partner."""
    r_within: float | None = None
    slope_within: float | None = None
    slope_within_low: float | None = None
    slope_within_high: float | None = None
    slope_between: float | None = None
    p_slopes_differ: float | None = None
    slopes_differ: str | None = None
    """``differ`` or ``cannot-tell``; None where there is one level only."""


@dataclass(frozen=True, kw_only=True)
class AssociationDetail(LinkDetail):
    r: float | None = published("r")
    r_spearman: float | None = published("r of the ranks (Spearman)")
    r_loo_min: float | None = published("Lowest r with one {item} left out")
    r_loo_max: float | None = published("Highest r with one {item} left out")
    slope: float | None = published("Slope", "slope")


def judge(case: Case) -> Verdict:
    """r of item means with its Fisher range (Fisher 1921); "strong" has its own rule."""
    test = case.test
    assert isinstance(test, Association)
    x, y = operands(case, test)
    if refused := cannot_pair(case, x, y, test.at):
        return refused
    pairs = evidence.pairs_of_items(x, y, test.at)
    result = stats.pearson(pairs.x, pairs.y)
    detail = story(case, x, y, pairs)
    if isinstance(result, Undefined):
        return undefined(
            case, result, unit="r", n_rows=pairs.n_rows, table=y[0].name, detail=detail
        )
    side = rules.SIDE[test.direction]
    strong = test.strong in (True, "yes")
    code = (
        rules.strongly_related(result, side, case.limits) if strong else rules.related(result, side)
    )
    reasons = level_reasons(detail)
    code = doubted(code, case, x, y, pairs, result, test.at, reasons, detail)
    if code == "cannot-tell" and len(pairs.x) <= 4:
        reasons.append("too-few-items")
    rank, line = stats.spearman(pairs.x, pairs.y), stats.slope(pairs.x, pairs.y)
    return settled(
        case, code, result,
        unit="r", n_rows=pairs.n_rows, table=y[0].name, reasons=reasons,
        strip=r_strip(result, side, case.limits["strong_inner"] if strong else 0.0),
        power=Power(
            smallest_r(len(pairs.x), case.limits["power"]),
            items_for_r(case.limits["strong_inner"], case.limits["power"]),
            case.limits["strong_inner"], "r",
        ),
        detail={**detail, "r": result.value, "r_spearman": rank.value, **loo_range(pairs),
                "slope": line.value, "strong": strong,
                "p_line": _p_strong(result, side, case.limits) if strong else result.p},
    )  # fmt: skip


def _p_strong(e: Estimate, side: int, limits: rules.Thresholds) -> float | None:
    """Two-sided p of r against the size that "strong" asks of its near end, by Fisher's z."""
    r = e.value if side > 0 else -e.value if side < 0 else abs(e.value)
    if abs(r) >= 1 or limits["strong_inner"] >= 1 or e.n_items < 4:
        return e.p
    away = math.atanh(r) - math.atanh(limits["strong_inner"])
    return math.erfc(abs(away) * math.sqrt((e.n_items - 3) / 2))


def operands(case: Case, test: object) -> tuple[Side, Side]:
    """The two measures, each with the table it is read from."""
    x = evidence.operand(case.study, test.x, test.table)  # type: ignore[attr-defined]
    y = evidence.operand(case.study, test.y, test.table)  # type: ignore[attr-defined]
    return x, y


def cannot_pair(
    case: Case, x: Side, y: Side, at: evidence.Checkpoint | None = None
) -> Verdict | None:
    """Averages, or a checkpoint nobody measured at: nothing to hold against anything."""
    for table, _ in (x, y):
        if nothing := nothing_to_test(case, table, "r", at):
            return nothing
    return None


def story(case: Case, x: Side, y: Side, pairs: evidence.Pairs) -> Story:
    """Both levels, always: what sentences need to say whether they agree."""
    detail: Story = {"x": x[1], "y": y[1], "alone": list(pairs.alone)}
    if not evidence.several_each(x, y):
        return detail
    many = evidence.pairs_of_checkpoints(x, y)
    both = levels.within(many.x, many.y, many.items, many.checkpoints)
    if isinstance(both, Undefined):
        return detail
    between = both.slope_between
    detail |= {
        "r_within": both.r,
        "slope_within": both.slope.value,
        "slope_within_low": both.slope.at95.low,
        "slope_within_high": both.slope.at95.high,
        "slope_between": between.value if between is not None else None,
        "p_slopes_differ": both.p_slopes_differ,
        "slopes_differ": differ(both),
    }
    return detail


def differ(both: levels.Within) -> str:
    """Whether the two slopes differ: said only when shown, over readings and over items.

    "The same" is never said from a large p; only an equivalence test could say that.
    """
    ps = (both.p_slopes_differ, both.p_slopes_differ_items)
    return "differ" if all(p is not None and p < 0.05 for p in ps) else "cannot-tell"


def level_reasons(detail: Story) -> list[str]:
    return ["levels-disagree"] if detail.get("slopes_differ") == "differ" else []


def loo_range(pairs: evidence.Pairs) -> dict[str, float | None]:
    """Smallest and largest r when each item is left out in turn."""
    each = [r for r in stats.leave_one_out_r(pairs.x, pairs.y) if np.isfinite(r)]
    return {"r_loo_min": min(each, default=None), "r_loo_max": max(each, default=None)}


def doubted(
    code: Code,
    case: Case,
    x: Side,
    y: Side,
    pairs: evidence.Pairs,
    result: Estimate,
    at: evidence.Checkpoint | None,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile: one item carries r.  One-step: one checkpoint carries it."""
    halving, before = case.limits["fragile_halving"], code
    test = case.test
    assert isinstance(test, Association)
    held = code in ("backed", "against")
    side, line = rules.SIDE[test.direction], case.limits["strong_inner"] if test.strong else None
    each: list[float | None] = [
        float(r) if np.isfinite(r) else None for r in stats.leave_one_out_r(pairs.x, pairs.y)
    ]
    fragile, which = rules.carried(code, result.value, each, halving, side, line)
    if fragile:
        reasons.append("fragile")
        detail |= {"fragile_item": str(pairs.items[which]), "fragile_without": each[which]}
        code = rules.demoted(code)
    if at is None and x[0].use is not None and y[0].use is not None and held:
        uses, without = _without_each_checkpoint(x, y)
        stepped, step = rules.carried(before, result.value, without, halving, side, line)
        if stepped and len(uses) > 2:
            reasons.append("one-step")
            detail |= {"one_step_at": uses[step], "one_step_without": without[step]}
            code = rules.demoted(code)
    return code


def _without_each_checkpoint(x: Side, y: Side) -> tuple[list[float], list[float | None]]:
    many = evidence.pairs_of_checkpoints(x, y)
    uses = sorted(set(many.use.tolist()))
    answers: list[float | None] = []
    for use in uses:
        keep = many.use != use
        means = [
            (many.x[keep & (many.items == i)].mean(), many.y[keep & (many.items == i)].mean())
            for i in many.names
            if (keep & (many.items == i)).any()
        ]
        r = stats.pearson(np.array([m[0] for m in means]), np.array([m[1] for m in means]))
        answers.append(r.value)
    return uses, answers


def r_strip(e: Estimate, side: int, line: float) -> Strip:
    """r on its own number line from −1 to 1."""
    zone = (line, 1.0) if side > 0 else (-1.0, -line) if side < 0 else None
    return Strip(
        value=e.value, low=e.at95.low, high=e.at95.high, claim_zone=zone, small_zone=None,
        null=0.0, unit="r", less_is="one up, the other down",
        more_is="both up together", beyond=None if side else line,
    )  # fmt: skip
