"""``change``: each item's change between two checkpoints, judged over items."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from explainer.analysis import change as stats, grouped
from explainer.analysis.power import items_for_mean, items_within, smallest_mean_effect
from explainer.analysis.result import Estimate, Undefined, t_quantile, widened
from explainer.analysis.sample import is_fragile
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import in_change, named, of_one, smallest_seen
from explainer.claims.verdict import Code, Power, Strip, Verdict
from explainer.study.description.sources import Measure
from explainer.study.description.tests import AnyTest, Change
from explainer.study.model import Table

#: Up to so many groups are few: what they say of other groups is said beside the verdict.
FEW_GROUPS = 5
#: A line through the other checkpoints takes two of them besides both ends of a change.
MOST_ENDS = 2


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
    p_signflip: float | None = published(
        "p, by flipping the signs of the changes (plain mean)", "p"
    )
    d_z: float | None = published("Plain mean of the {items}’ changes over their spread (d)")


def judge(case: Case) -> Verdict:
    """Mean change and its t interval; sign-flip p beside it (methods: Student; Fisher 1935)."""
    test = case.test
    assert isinstance(test, Change)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.to):
        return nothing
    seen = evidence.before_after(table, test.measure, test.from_, test.to)
    groups = evidence.groups_of(case.study, (table,), seen.items)
    result = change_of_one(table, test.measure, measure, seen) or mean_over(
        seen.change, groups, gauge_floor(measure)
    )
    result = in_change(result, table, test.measure, test.from_, test.to)
    detail = {**story(seen), **of_groups(seen, groups), "one_item": named(result, seen.items)}
    if isinstance(result, Undefined):
        return undefined(
            case, result, unit=measure.unit, n_rows=seen.n_rows, table=table.name, detail=detail
        )
    side = rules.SIDE[test.direction]
    code = rules.directed(result, side, test.at_least, measure.matters_from)
    reasons, code, more = doubts(case, measure, seen, groups, result, code)
    each = () if groups is None else grouped.group_means(seen.change, groups).tolist()
    agree = rules.groups_agree(each, code, side, test.at_least, measure.matters_from)
    code = in_groups(code, detail, reasons, agree)
    if result.at80.excludes(0):  # of a change that may be none, nothing is made by anything
        reasons += one_checkpoint(case, table, test, result.value, more, groups is not None)
    flips = stats.sign_flip(seen.change)
    size = test.at_least or measure.matters_from
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=seen.n_rows, table=table.name, reasons=reasons,
        strip=change_strip(result, side, test.at_least, measure),
        power=change_power(seen.change, size, measure.unit, case.limits,
                           None if groups is None else result),
        detail={**detail, **more, "sd": spread_of(seen.change),
                "p_signflip": flips.p if flips else None, "d_z": stats.d_z(seen.change),
                "smallest_p": flips.smallest_p if flips else None,
                "exact": flips.exact if flips else None, "at_least": test.at_least,
                "p_line": rules.p_of_size(result, side, test.at_least)},
    )  # fmt: skip


def change_of_one(
    table: Table, name: str, measure: Measure, seen: evidence.Before
) -> Estimate | None:
    """The change of the one item that a test picked, with what the gauge may be off by."""
    value = float(seen.change[0]) if len(seen.items) == 1 else 0.0
    return of_one(table, name, measure, seen.items, value, seen.readings_each)


def mean_over(
    change: evidence.Floats, groups: evidence.Words | None, floor_sd: float | None
) -> Estimate | Undefined:
    """The mean change over items; where they come in groups, of these groups, each counted once."""
    if groups is None:
        return stats.mean_change(change, floor_sd=floor_sd)
    return grouped.mean_of_groups(change, groups, floor_sd=floor_sd)


def surely(mean: Estimate | Undefined, looks: int, error: float = 0.0) -> int:
    """Which side of 0 a mean surely lies on, 1 or −1; 0 where that may be luck: at 95% shared out
    among so many ``looks``, with an ``error`` (an SD) that all items have in common."""
    if not isinstance(mean, Estimate):
        return 0
    mean = widened(mean, error)
    if mean.se is None or mean.df is None:
        return 0
    return int(np.sign(mean.value)) * (
        abs(mean.value) > t_quantile(1 - 0.05 / looks, mean.df) * mean.se)


def surely_moved(
    change: evidence.Floats, mean: Estimate | Undefined, looks: int, error: float = 0.0
) -> int:
    """The same of items' changes: three or more that are all alike leave no luck, nor a range."""
    if isinstance(mean, Estimate) or len(change) < 3:
        return surely(mean, looks, error)
    alike = float(np.ptp(change)) <= 1e-9 * float(np.abs(change).max())
    return int(np.sign(change[0])) if alike else 0


def of_groups(seen: evidence.Before, groups: evidence.Words | None) -> Story:
    """How many groups there are, whether their own means plainly go both ways, and the
    means before and after, each group counted once as in the change."""
    if groups is None:
        return {}
    means = grouped.group_means(seen.change, groups)
    sizes = np.unique(groups, return_counts=True)[1]
    ends = (float(grouped.group_means(v, groups).mean()) for v in (seen.before, seen.after))
    apart = grouped.both_ways(means, seen.change, groups, 1 / sizes)
    return {"n_groups": len(means), "groups_apart": apart,
            "groups_uneven": evidence.uneven(groups),
            "with_mates": grouped.with_mates(groups),
            **dict(zip(("mean_from", "mean_to"), ends, strict=True))}  # fmt: skip


def in_groups(code: Code, detail: Story, reasons: list[str], agree: bool = False) -> Code:
    """Few groups are said; where they went both ways, one average for all of them only leans,
    unless they ``agree`` on the claim all the same."""
    if agree:
        detail["groups_apart"] = False
    if detail.get("n_groups") is None or code not in ("backed", "leans", "against"):
        detail["groups_apart"] = False
        return code
    if detail["groups_apart"] or detail["n_groups"] <= FEW_GROUPS:
        reasons.append("groups")
    return rules.demoted(code) if detail["groups_apart"] else code


def one_checkpoint(
    case: Case, table: Table, test: Change, value: float, more: Story, grouped_: bool = False
) -> list[str]:
    """``one-step``: the other checkpoints alone would not show half of the change.

    The line through the means at the other checkpoints between the two, carried over the whole
    span; ``grouped_``: each group counts once in them, as in the change.  Nor may any two of these
    lie half of the change apart: one that went as far as the end did is a second witness, whatever
    a line through it says.  It explains, and takes nothing from the verdict: the two readings are
    what was claimed.
    """
    first, last = test.from_, test.to
    if isinstance(first, tuple) or isinstance(last, tuple) or table.use is None:
        return []
    cells = evidence.grid(table, test.measure)
    low, high = sorted((first, last))
    columns = [i for i, use in enumerate(cells.uses) if low <= use <= high]
    if len(columns) < MOST_ENDS + 2:
        return []
    whole = cells.values[:, columns]
    here = np.isfinite(whole).all(axis=1)  # the same items everywhere, or a mean may jump
    whole, items = whole[here], [cells.items[i] for i in np.flatnonzero(here)]
    if not len(whole):
        return []
    groups = evidence.groups_of(case.study, (table,), items) if grouped_ else None
    each = whole if groups is None else np.column_stack(
        [grouped.group_means(column, groups) for column in whole.T])
    means, uses = each.mean(axis=0), np.array(cells.uses)[columns]
    left = [
        float(np.polyfit(np.delete(uses, i), np.delete(means, i), 1)[0]) * (last - first)
        for i in range(len(uses))
    ]
    fragile, which = is_fragile(value, left, case.limits["fragile_halving"])
    rest = np.delete(means, which)
    farthest = float(np.max(np.triu(np.sign(value) * (rest[None, :] - rest[:, None]))))
    if not fragile or farthest >= case.limits["fragile_halving"] * abs(value):
        return []
    more |= {"one_step_at": float(uses[which]), "one_step_without": left[which]}
    return ["one-step"]


def spread_of(change: evidence.Floats) -> float | None:
    """Standard deviation of the items' changes; None for one item."""
    return float(np.std(change, ddof=1)) if len(change) > 1 else None


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
    case: Case,
    measure: Measure,
    seen: evidence.Before,
    groups: evidence.Words | None,
    result: Estimate,
    code: Code,
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
    without = means_without(seen.change, groups)
    assert isinstance(case.test, Change)
    fragile, which = rules.carried(
        code, result.value, without, case.limits["fragile_halving"],
        rules.SIDE[case.test.direction], case.test.at_least,
    )  # fmt: skip
    if fragile and not result.at90.inside(-(margin or 0), margin or 0):
        reasons.append("fragile")
        more |= {"fragile_item": seen.items[which], "fragile_without": without[which]}
        code = rules.unseated(code)
    elif code == "against" and margin is not None and _as_small(result, case.test, margin):
        # That nothing as large moved is what a claim of no change says, and is held to the same.
        left = tipping(seen.change, groups, margin) if len(seen.items) > 2 else []
        if left:
            reasons.append("fragile")
            more |= tipped(seen, left, result.value, without, by_range=True)
            code = rules.unseated(code)
    if 1 < len(seen.items) <= 3 and code == "cannot-tell":
        reasons.append("too-few-items")
    reasons += only_group(case, seen.items, more)
    return reasons, code, more


def _as_small(result: Estimate, test: Change, margin: float) -> bool:
    """Whether a change is turned down because it is too small to matter."""
    other_way = rules.beyond(result.at95, -rules.SIDE[test.direction])
    return test.at_least is None and not other_way and result.at90.inside(-margin, margin)


def _too_coarse(
    code: Code, value: float, test: AnyTest, margin: float | None, seeable: float
) -> bool:
    """Found, but smaller than the gauge sees; or open, and what matters is smaller than that."""
    if code in ("backed", "leans"):
        return abs(value) < seeable
    size = getattr(test, "at_least", None) or margin
    return code == "cannot-tell" and size is not None and size < seeable


def means_without(
    change: evidence.Floats, groups: evidence.Words | None
) -> Sequence[float | None]:
    """The mean (of groups, where there are some) without each item in turn."""
    if groups is None:
        return leave_one_out(change, lambda d: float(d.mean()))
    return [
        float(grouped.group_means(np.delete(change, i), np.delete(groups, i)).mean())
        for i in range(len(change))
    ] if len(change) > 1 else []


def tipping(
    change: evidence.Floats, groups: evidence.Words | None, margin: float
) -> list[int]:
    """The places of items without which the whole 90% range no longer lies inside ±``margin``."""
    whole = mean_over(change, groups, None)
    found = []
    for i in range(len(change)):
        others = None if groups is None else np.delete(groups, i)
        again = mean_over(np.delete(change, i), others, None)
        if isinstance(again, Undefined):
            continue
        reach = max(abs(again.at90.low), abs(again.at90.high))
        if isinstance(whole, Estimate) and _others_alike(change, groups, i):
            # The others of its group read all alike, and would be lent the spread of other groups:
            # a wider range, and not because of what is missing.
            reach = abs(again.value) + (whole.at90.high - whole.at90.low) / 2
        if reach > margin:
            found.append(i)
    return found


def tipped(
    seen: evidence.Before, left: Sequence[int], value: float, without: Sequence[float | None], *,
    by_range: bool,
) -> Story:
    """Of the items at the places ``left``, each of which tips a verdict, the one furthest from the
    ``value`` of all; ``by_range``: it is the range alone that they tip."""
    at = max(left, key=lambda i: abs(seen.change[i] - value))
    return {"fragile_item": seen.items[at], "fragile_without": without[at],
            "fragile_count": len(left), "fragile_range": by_range}  # fmt: skip


def _others_alike(
    change: evidence.Floats, groups: evidence.Words | None, left_out: int
) -> bool:
    """Whether all others of its group, two or more, changed by one and the same."""
    if groups is None:
        return False
    others = np.delete(change, left_out)[np.delete(groups, left_out) == groups[left_out]]
    return len(others) > 1 and float(np.ptp(others)) == 0.0


def leave_one_out(
    values: evidence.Floats, statistic: Callable[[evidence.Floats], float]
) -> Sequence[float | None]:
    """The statistic without each item in turn."""
    if len(values) < 2:
        return []
    return [statistic(np.delete(values, i)) for i in range(len(values))]


def only_group(case: Case, items: Sequence[str], more: Story) -> list[str]:
    """``one-group``: the study sorts items into groups, and all that were tested are of one.

    Not where the claim itself is about one group: then no other was to be tested.
    """
    if len(items) < 2:
        return []
    for table in case.study.tables.values():
        if table.picked and len(items):
            return []
        if table.group is None or table.group not in table.frame:
            continue
        mine = table.frame.loc[table.frame[table.item].isin(list(items)), table.group].unique()
        if len(items) and len(mine) == 1 and set(items) <= set(table.items):
            more["group_only"] = str(mine[0])
            more["no_other_group"] = table.frame[table.group].nunique() == 1
            return ["one-group"]
        return []
    return []


def too_small(measure: Measure, margin: float | None = None) -> tuple[float, float] | None:
    """What is too small to matter: a claim may allow more than that, and then its ``margin`` is
    only what it allows."""
    counts = measure.matters_from or margin
    return (-counts, counts) if counts else None


def change_strip(e: Estimate, side: int, at_least: float | None, measure: Measure) -> Strip:
    """Where the claim needs the change to be, and what is too small to matter."""
    line = (at_least or 0.0) * (side or 1)
    zone = (line, None) if side > 0 else (None, line) if side < 0 else None
    return Strip(
        value=e.value, low=e.at95.low, high=e.at95.high, claim_zone=zone,
        small_zone=too_small(measure), null=0.0, unit=measure.unit,
        less_is=measure.less_is or "", more_is=measure.more_is or "",
        beyond=None if side else at_least or 0.0,
    )  # fmt: skip


def change_power(
    change: evidence.Floats, size: float | None, unit: str, limits: rules.Thresholds,
    in_groups: Estimate | None = None, none: bool = False,
) -> Power:  # fmt: skip
    """What this many items could see, and how many would settle ``size``.

    ``in_groups``: the mean of groups that decides, whose spread and degrees of freedom are those
    inside the groups.  ``none``: what is to be shown is that nothing as large as ``size`` moved.
    """
    n, means = len(change), 1.0
    sd = float(np.std(change, ddof=1)) if n > 1 else 0.0
    if in_groups is not None and in_groups.se and in_groups.df:
        # More items of the same mix of groups: what an uneven mix costs, it costs again.
        sd, means = in_groups.se * math.sqrt(n), max(1.0, n - in_groups.df)
    if sd <= 0:
        return Power(None, None, size, unit)
    count = items_within if none else items_for_mean
    return Power(
        smallest_effect=smallest_mean_effect(n, sd, limits["power"], means=means),
        items_needed=count(size, sd, limits["power"], means=means) if size else None,
        at_effect=size, unit=unit,
    )  # fmt: skip
