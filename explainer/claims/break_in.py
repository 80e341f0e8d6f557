"""``break-in``: had most of the change happened by a checkpoint that was named beforehand?"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import grouped
from explainer.analysis.result import Interval, Undefined, t_estimate
from explainer.analysis.shares import (
    BreakInShare as Share,
    break_in,
    break_in_of_one,
    rates,
    rates_of_one,
)
from explainer.claims import evidence, rules
from explainer.claims.build import (
    Case,
    Story,
    finite,
    nothing_to_test,
    ordered,
    table_for,
    undefined,
)
from explainer.claims.change import FEW_GROUPS, mean_over, only_group, surely_moved
from explainer.claims.detail import Detail, made, published
from explainer.claims.reading_error import (
    KNOWN,
    METHOD,
    error_of_one,
    of_one_checkpoint,
    smallest_seen,
)
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import BreakIn
from explainer.study.model import Table

#: A change of no more than this is none, worked out in another order.
HAIR = 1e-9


@dataclass(frozen=True, kw_only=True)
class BreakInDetail(Detail):
    measure: str = ""
    total_change: float | None = None
    up_and_down: bool = False
    """Some items went up and some down over the whole, each by as much as matters."""
    n_up: int = 0
    """How many went up at all over the whole, and how many down, where no share is worked out."""
    n_down: int = 0
    slows: str = "cannot-tell"
    """``slows`` where the early rate is above the late one at 95%, over items."""
    rate_early: float | None = None
    """Change per step of use up to the checkpoint, and after it."""
    rate_late: float | None = None
    rate_gap: float | None = None
    rate_gap_low: float | None = None
    rate_gap_high: float | None = None
    done_before: float | None = None
    """A checkpoint before it by which most was done, and most of that had surely gone again."""
    share: float | None = published("Share of the change by then")
    share_low90: float | None = published("Share, 90% range, low end")
    share_high90: float | None = published("Share, 90% range, high end")


def judge(case: Case) -> Verdict:
    """The share of each item's change done early, as a ratio with Fieller's range.

    Of one item that ``only`` picked the range is what the gauge may make of its three readings.
    """
    test = case.test
    assert isinstance(test, BreakIn)
    table = table_for(case, test.measure)
    if nothing := nothing_to_test(case, table, "share", test.from_, test.by, test.to):
        return nothing
    early = evidence.before_after(table, test.measure, test.from_, test.by)
    late = evidence.before_after(table, test.measure, test.from_, test.to)
    items = tuple(i for i in early.items if i in set(late.items))
    a = np.array([dict(zip(early.items, early.change, strict=True))[i] for i in items])
    b = np.array([dict(zip(late.items, late.change, strict=True))[i] for i in items])
    ends = (test.from_, test.by, test.to)
    n_rows = sum(evidence.at(table, test.measure, end).rows_of(items) for end in ends)
    detail: Story = {"measure": test.measure}
    shared = of_one_checkpoint(table, test.measure, test.by)
    measure = case.study.measure(test.measure)
    u = error_of_one(table, test.measure, measure, items, late.readings_each)
    groups = evidence.groups_of(case.study, (table,), items) if u is None else None
    if u is None:
        result = break_in(a, b, shared, groups)
    else:
        u = math.hypot(u, shared)
        detail["one_item"] = items[0]
        result = break_in_of_one(float(a[0]), float(b[0]), u, KNOWN, METHOD)
    if isinstance(result, Undefined):
        # Of what is not sure to be there nothing has a share.
        none = result if result.why == "no-spread" else replace(result, value=None)
        least = measure.matters_from or 0.0
        up, down = ((way * b > 0) & (way * b >= least) for way in (1, -1))
        detail["up_and_down"] = bool(up.any() and down.any())
        detail |= {"n_up": int((b > HAIR).sum()), "n_down": int((b < -HAIR).sum())}
        return undefined(case, none, unit="share", n_rows=n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    code = rules.in_plateau(bounds(result.at90), bounds(result.at80), case.limits)
    reasons = only_group(case, items, detail)
    start, by, end = _middle(test.from_), _middle(test.by), _middle(test.to)
    detail |= slowing(a, b, by - start, end - by, u, groups)
    if u is None:
        detail["done_before"] = _done_before(case, table, late)
    if rules.overshot(bounds(result.at90), case.limits):
        reasons.append("overshoots")
    if u is None:
        code = _doubted(code, a, b, items, groups, case, reasons, detail, shared)
    code = _straight(code, case, a, b, reasons, detail, u, groups)
    if groups is not None:
        code = _in_groups(code, a, b, groups, case, reasons, detail)
    code = _too_coarse(code, case, result, late, reasons, detail)
    return _verdict(case, code, result, reasons, n_rows, table.name, detail)


def bounds(interval: Interval | None) -> rules.Bounds:
    """Ends of a Fieller range; None for an end that is open."""
    return None if interval is None else (finite(interval.low), finite(interval.high))


def closed(interval: Interval | None) -> tuple[float, float] | None:
    """A range whose ends are both there."""
    low, high = bounds(interval) or (None, None)
    return None if low is None or high is None else (low, high)


def _middle(point: evidence.Checkpoint) -> float:
    return (point[0] + point[1]) / 2 if isinstance(point, tuple) else point


def slowing(
    early: evidence.Floats, total: evidence.Floats, span_early: float, span_late: float,
    u: float | None = None, groups: evidence.Words | None = None,
) -> Story:  # fmt: skip
    """Does the change per use slow down?  What can still be said where no plateau is shown.

    ``slows`` where the early rate is larger than the late one in the direction of the whole
    change, by a paired t over items at 95%; else ``cannot-tell``.  Of one item by what the gauge
    may be off by, ``u`` a reading.
    """
    found: Story = {"slows": "cannot-tell"}
    if span_early <= 0 or span_late <= 0:
        return found
    late = total - early
    found |= {
        "rate_early": _mean(early, groups) / span_early,
        "rate_late": _mean(late, groups) / span_late,
    }
    gap = rates(early, late, span_early, span_late, groups) if u is None else rates_of_one(
        float(early[0]), float(late[0]), span_early, span_late, u, KNOWN
    )
    if isinstance(gap, Undefined):
        return found
    way = 1 if _mean(total, groups) > 0 else -1
    return found | {
        "rate_gap": gap.value, "rate_gap_low": gap.at95.low, "rate_gap_high": gap.at95.high,
        "slows": "slows" if rules.beyond(gap.at95, way) else "cannot-tell",
    }  # fmt: skip


def _done_before(case: Case, table: Table, late: evidence.Before) -> float | None:
    """The checkpoint before the claim's own at which most was done, if by that one more than half
    of this had gone again, and surely some: at 95% shared out among all before it, over the items
    read at each.  Then what is still to come is a second time, and not late."""
    test = case.test
    assert isinstance(test, BreakIn)
    start, by = _middle(test.from_), _middle(test.by)
    looked = [use for use in table.checkpoints if start < use < by]
    total = dict(zip(late.items, late.change, strict=True))
    found: list[tuple[float, float]] = []
    for use in looked:
        then = evidence.before_after(table, test.measure, test.from_, use)
        back = evidence.before_after(table, test.measure, use, test.by)
        done, gone = (dict(zip(seen.items, seen.change, strict=True)) for seen in (then, back))
        items = tuple(i for i in total if i in done and i in gone)
        if not items:
            continue
        groups = evidence.groups_of(case.study, (table,), items)
        first, back_by, whole = (np.array([of[i] for i in items]) for of in (done, gone, total))
        mean, end = _mean(first, groups), _mean(whole, groups)
        moved = surely_moved(back_by, mean_over(back_by, groups, None), len(looked))
        if end and moved and mean / end >= case.limits["plateau_low"] \
                and (mean + _mean(back_by, groups)) / mean < 0.5:  # fmt: skip
            found.append((mean / end, use))
    return max(found)[1] if found else None


def _mean(values: evidence.Floats, groups: evidence.Words | None) -> float:
    """Over items, or over groups that count once each."""
    return float((values if groups is None else grouped.group_means(values, groups)).mean())


def _in_groups(
    code: Code,
    early: evidence.Floats,
    total: evidence.Floats,
    groups: evidence.Words,
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Few groups are said; where it shows that the one had its change done by then and the other
    had not, or that they went both ways, one share for all of them only leans."""
    each = grouped.group_means(total, groups)
    low, high = case.limits["plateau_low"], case.limits["plateau_high"]
    done = [low * t <= e <= high * t if t > 0 else high * t <= e <= low * t
            for e, t in zip(grouped.group_means(early, groups), each, strict=True)]  # fmt: skip
    sizes = np.unique(groups, return_counts=True)[1]
    apart = grouped.both_ways(each, total, groups, 1 / sizes) or any(
        done[one] and not done[other] and grouped.shares_apart(early, total, groups, one, other)
        for one in range(len(each)) for other in range(len(each))
    )
    detail |= {"n_groups": len(each), "groups_uneven": evidence.uneven(groups),
               "with_mates": grouped.with_mates(groups),
               "groups_apart": apart and code in ("backed", "leans", "against")}  # fmt: skip
    if code not in ("backed", "leans", "against"):
        return code
    if apart or len(each) <= FEW_GROUPS:
        reasons.append("groups")
    return rules.demoted(code) if apart else code


def _doubted(
    code: Code,
    a: evidence.Floats,
    b: evidence.Floats,
    items: tuple[str, ...],
    groups: evidence.Words | None,
    case: Case,
    reasons: list[str],
    detail: Story,
    shared: float,
) -> Code:
    """Fragile where the range leaves its zone once one item is left out, or there is none then.

    Against the claim: where the share itself is back in the zone, since the rest of the range may
    reach into it for no more than one item less.
    """
    if code not in ("backed", "leans", "against"):
        return code
    low_end, high_end = case.limits["plateau_low"], case.limits["plateau_high"]
    lost: list[tuple[float, str, float | None]] = []
    for i, name in enumerate(items):
        left = None if groups is None else np.delete(groups, i)
        again = break_in(np.delete(a, i), np.delete(b, i), shared, left)
        if not isinstance(again, Share):
            lost.append((-np.inf, name, None))  # no range, whatever becomes of the share itself
            continue
        if code == "against":
            held = not low_end <= again.share <= high_end
        elif code == "leans":
            held = low_end <= again.share <= high_end
        else:
            held = again.at90.inside(low_end, high_end)
        if not held:
            low = (bounds(again.at90) or (None, None))[0]
            lost.append((-np.inf if low is None else low, name, again.share))
    if not lost:
        return code
    _, worst, share = min(lost, key=lambda found: found[0])
    # Of a range that was all in its zone either takes it out; else each is told by itself.
    alike = [of for _, _, of in lost if code == "backed" or (of is None) == (share is None)]
    reasons.append("fragile")
    detail |= {"fragile_item": worst, "fragile_without": share, "fragile_count": len(alike),
               "fragile_range": code == "backed" or share is None}  # fmt: skip
    return rules.unseated(code)


def _straight(
    code: Code,
    case: Case,
    early: evidence.Floats,
    total: evidence.Floats,
    reasons: list[str],
    detail: Story,
    u: float | None,
    groups: evidence.Words | None,
) -> Code:
    """``straight``: where the checkpoint is late, a straight line has most of its way behind it.

    "Leveled off" needs a pace that drops (early against late rate, 95%, over items), and a rest
    whose 90% range is small against what matters, where the study says what does.  Without the
    first nothing is left of the claim; without the second it leans.
    """
    if code not in ("backed", "leans"):
        return code
    assert isinstance(case.test, BreakIn)
    margin = case.study.measure(case.test.measure).matters_from
    slows = detail["slows"] == "slows"
    rest = mean_over(total - early, groups, None) if u is None else t_estimate(
        float((total - early)[0]), u * math.sqrt(2), KNOWN, 1, METHOD
    )
    small = margin is None or isinstance(rest, Undefined) or rest.at90.inside(-margin, margin)
    if slows and small:
        return code
    reasons.append("straight")
    return rules.demoted(code) if slows else "cannot-tell"


def _too_coarse(
    code: Code,
    case: Case,
    result: Share,
    late: evidence.Before,
    reasons: list[str],
    detail: Story,
) -> Code:
    """A share of a change that the gauge could have made is no share of anything."""
    assert isinstance(case.test, BreakIn)
    seeable = smallest_seen(
        case.study.measure(case.test.measure), late.readings_each * max(1, len(late.items))
    )
    if code not in ("backed", "leans", "against") or seeable is None:
        return code
    if abs(result.total.value) >= seeable:
        return code
    reasons.append("gauge-too-coarse")
    detail["mdd"] = seeable
    return rules.demoted(code)


def _verdict(
    case: Case,
    code: Code,
    result: Share,
    reasons: list[str],
    n_rows: int,
    table: str,
    detail: Story,
) -> Verdict:
    low90, high90 = bounds(result.at90) or (None, None)
    low, high = bounds(result.at95) or (None, None)
    zone = (case.limits["plateau_low"], case.limits["plateau_high"])
    return Verdict(
        claim=case.claim, test=case.test, code=code, reasons=ordered(reasons),
        estimate=result.share, low=low, high=high, level=0.95, unit="share", p=None, p_holm=None,
        n_items=result.n_items, n_rows=n_rows, method=result.method,
        strip=Strip(
            value=result.share, low=low90, high=high90, claim_zone=zone, small_zone=None,
            null=1.0, unit="share", less_is="still to come", more_is="past it, then back",
            level=0.90, inner=closed(result.at80),
        ),
        detail=made(case.kind.detail, {
            **detail, "total_change": result.total.value,
            "share": result.share, "share_low90": low90, "share_high90": high90,
        }),
        table=table,
    )  # fmt: skip
