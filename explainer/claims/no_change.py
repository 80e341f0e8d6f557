"""``no-change``: equivalence.  A wide range is "can't tell", never "no change"."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis.change import tost_of
from explainer.analysis.difference import welch
from explainer.analysis.result import Undefined
from explainer.analysis.sample import is_fragile
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.change import (
    MovedDetail,
    change_of_one,
    change_power,
    gauge_floor,
    in_groups,
    mean_over,
    means_without,
    of_groups,
    only_group,
    story,
    tipped,
    tipping,
    too_small,
)
from explainer.claims.detail import published
from explainer.claims.reading_error import gauge_of, in_change, named, smallest_seen
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import NoChange
from explainer.study.model import Table
from explainer.study.roles import of_kind


@dataclass(frozen=True, kw_only=True)
class NoChangeDetail(MovedDetail):
    p_tost: float | None = published("p, equivalence (two one-sided tests)", "p")
    low90: float | None = published("90% range, low end", "claim")
    high90: float | None = published("90% range, high end", "claim")
    smallest_margin_shown: float | None = published(
        "Smallest margin for the average, by the 90% range alone", "claim"
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
    groups = evidence.groups_of(case.study, (table,), seen.items)
    result = change_of_one(table, test.measure, measure, seen) or mean_over(
        seen.change, groups, gauge_floor(measure)
    )
    result = in_change(result, table, test.measure, test.from_, test.to)
    margin = test.margin or measure.matters_from
    detail = {**story(seen), **of_groups(seen, groups), "groups_apart": False,
              "margin": margin, "one_item": named(result, seen.items)}
    if isinstance(result, Undefined):
        return undefined(
            case, result, unit=measure.unit, n_rows=seen.n_rows, table=table.name, detail=detail
        )
    reasons: list[str] = only_group(case, seen.items, detail)
    if margin is None:
        code: Code = "cannot-tell"
        reasons.append("no-margin")
    else:
        code = rules.in_zone(result, (-margin, margin))
        if code == "backed" and result.at95.excludes(0):
            reasons.append("real-but-small")
        if rules.narrow(result, (-margin, margin)):
            reasons.append("narrow-zone")
        code = _doubted(code, seen, groups, margin, result.value, case, reasons, detail)
        code = _moved(code, case, table, seen, margin, reasons, detail)
        detail |= moved_apart(case, table, seen, groups, margin) if code != "against" else {}
        code = in_groups(code, detail, reasons)
        seeable = smallest_seen(measure, seen.readings_each * len(seen.items))
        if seeable is not None and margin < seeable:
            reasons.append("gauge-too-coarse")
            detail["mdd"] = seeable
            code = rules.demoted(code)
    if len(seen.items) <= 3 and code == "cannot-tell" and margin is not None:
        reasons.append("too-few-items")
    both = tost_of(result, margin) if margin is not None else None
    return settled(
        case, code, replace(result, p=both.p if both else None),
        unit=measure.unit, n_rows=seen.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at90.low, high=result.at90.high,
            claim_zone=(-margin, margin) if margin else None,
            small_zone=too_small(measure, margin), null=0.0, unit=measure.unit,
            less_is=measure.less_is or "", more_is=measure.more_is or "",
        ),
        power=change_power(seen.change, margin, measure.unit, case.limits,
                           None if groups is None else result, none=True),
        detail={
            **detail, "p_tost": both.p if both else None,
            "low90": result.at90.low, "high90": result.at90.high,
            "smallest_margin_shown": max(abs(result.at90.low), abs(result.at90.high)),
        },
    )  # fmt: skip


def _doubted(
    code: Code,
    seen: evidence.Before,
    groups: evidence.Words | None,
    margin: float,
    value: float,
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile where one item's leaving moves the range out of its zone; for a lean, the mean.

    (A lean is an 80% range near an edge; without an item it would nearly always cross it.)
    Where all of the range lies outside the zone, that is a mean that turns or more than halves.
    """
    without = means_without(seen.change, groups)
    if code == "against":
        fragile, which = is_fragile(value, without, case.limits["fragile_halving"])
        if fragile:
            reasons.append("fragile")
            detail |= {"fragile_item": seen.items[which], "fragile_without": without[which]}
        return rules.unseated(code) if fragile else code
    if code not in ("backed", "leans") or len(seen.items) < 3:
        return code
    out = [i for i, mean in enumerate(without) if mean is None or abs(mean) > margin]
    left = tipping(seen.change, groups, margin) if code == "backed" else out
    if not left:
        return code
    reasons.append("fragile")
    detail |= tipped(seen, left, value, without, by_range=not out)
    return rules.unseated(code)


#: One-sided 95% quantile; and the share of items from which on "did not change" is not about them.
ONE_SIDED, MOVED_SHARE, MOVED_LEAST = 1.6448536269514722, 0.2, 2


def _moved(
    code: Code,
    case: Case,
    table: Table,
    seen: evidence.Before,
    margin: float,
    reasons: list[str],
    detail: Story,
) -> Code:
    """``items-moved``: steady on average is not steady, ball by ball.

    An item moved where its change is past the margin by 1.645·√2·u, with u of one item's value.
    Two of them, and one in five, and the claim is open; where nobody knows u, those past the bare
    margin may be the gauge's doing, and the claim leans at most.
    """
    if code not in ("backed", "leans"):
        return code
    assert isinstance(case.test, NoChange)
    name = case.test.measure
    u = gauge_of(case.study.measure(name), table, name, seen.readings_each)
    size = np.abs(seen.change) - ONE_SIDED * math.sqrt(2) * (u or 0.0)
    moved = tuple(i for i, s in zip(seen.items, size, strict=True) if s > margin)
    if len(moved) < max(MOVED_LEAST, MOVED_SHARE * len(seen.items)):
        return code
    reasons.append("items-moved")
    detail |= {"moved_items": moved, "gauge_unknown": u is None}
    return rules.unseated(code) if u is not None else rules.demoted(code)


#: Kinds of item that are looked at: more of them are names and no kinds.
MOST_KINDS = 6


def moved_apart(
    case: Case, table: Table, seen: evidence.Before, groups: evidence.Words | None, margin: float
) -> Story:
    """Whether two kinds of item moved apart by more than counts, so that steady is said of neither.

    The groups of the study, else a column whose name says that it holds a kind.  Welch between
    each two of them, at 5% shared by all pairs (Bonferroni), and the gap itself past the margin.
    """
    sorted_by = [("", groups)] if groups is not None else list(_kinds(table, seen.items))
    for column, kinds in sorted_by:
        names = np.unique(kinds)
        alpha = 0.05 / max(1, len(names) * (len(names) - 1) // 2)
        for i, one in enumerate(names):
            for other in names[i + 1 :]:
                gap = welch(seen.change[kinds == one], seen.change[kinds == other])
                if isinstance(gap, Undefined) or abs(gap.value) <= margin:
                    continue
                if gap.p is not None and gap.p < alpha:
                    return {"groups_apart": True, "n_groups": len(names), "groups_by": column}
    return {}


def _kinds(table: Table, items: Sequence[str]) -> Iterator[tuple[str, evidence.Words]]:
    """Each column of kinds that nothing names and that sorts all items, two of each or more."""
    if table.others is None or not len(items):
        return
    of = table.frame[table.item].astype(str)
    for column in of_kind(str(c) for c in table.others.columns):
        named_ = table.others[column].reindex(table.frame.index).astype(str)
        each = named_.groupby(of).agg(["first", "nunique"]).reindex(list(items))
        counts = each["first"].value_counts()
        if (each["nunique"] == 1).all() and 2 <= len(counts) <= MOST_KINDS and counts.min() > 1:
            yield column, each["first"].to_numpy(dtype=np.str_)
