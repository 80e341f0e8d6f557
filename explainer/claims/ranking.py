"""``ranking``: which of several groups comes first, in what order, or that no two differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np

from explainer.analysis.result import Estimate, Undefined
from explainer.analysis.simultaneous import Pair, least, pair, widest
from explainer.claims import evidence, rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
    undefined,
    unsettled,
)
from explainer.claims.change import gauge_floor
from explainer.claims.two_sides import side_of
from explainer.claims.verdict import Code, Detail, Strip, Verdict, published
from explainer.study.description.tests import Ranking
from explainer.study.model import Table

Groups = Mapping[str, evidence.ItemValues]


@dataclass(frozen=True, kw_only=True)
class RankingDetail(Detail):
    ranked: tuple[str, ...] = ()
    """The groups from the most to the least, as the claim counts, with their means."""
    means: tuple[float, ...] = ()
    ahead: str = ""
    """The pair that decides: the one claimed ahead, and the one behind it."""
    behind: str = ""
    n_pairs: float | None = published("Pairs of groups held against each other")
    p_pair: float | None = published("p of the pair that decides, among all pairs", "p")


def judge(case: Case) -> Verdict:
    """Welch's t for each pair, and Games & Howell's (1976) ranges where their number counts."""
    test = case.test
    assert isinstance(test, Ranking)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    groups = _groups(table, test)
    side = 1 if test.direction == "higher" else -1
    ranked = sorted((g for g in groups if len(groups[g].values)),
                    key=lambda g: -side * float(groups[g].values.mean()))  # fmt: skip
    rows = sum(g.n_rows for g in groups.values())
    items = len({i for g in groups.values() for i in g.items})
    detail: Story = {
        "ranked": ranked, "means": [float(groups[g].values.mean()) for g in ranked],
        "margin": test.same or measure.matters_from,
    }  # fmt: skip
    if len(groups) < 2 or min(len(g.values) for g in groups.values()) < 2:
        return unsettled(
            case, "not-tested", ["too-few-items", *(["one-group"] if len(groups) < 2 else [])],
            unit=measure.unit, n_items=items, n_rows=rows, table=table.name,
            detail={**detail, "undefined": "one-per-side"},
        )  # fmt: skip
    asked = _asked(test, ranked)
    floor = gauge_floor(measure)
    off = table.shared_sd.get(test.measure, 0.0) if test.by == table.use else 0.0
    found: dict[tuple[str, str], Pair] = {}
    for a, b in asked:
        result = pair(side * groups[a].values, side * groups[b].values, len(groups),
                      floor and floor / 2**0.5,
                      off)  # fmt: skip
        if isinstance(result, Undefined):
            return undefined(case, result, unit=measure.unit, n_rows=rows, table=table.name,
                             detail=detail)  # fmt: skip
        found[a, b] = result
    which = (max if test.same is not None else min)(
        found, key=lambda p: abs(found[p].alone.value) if test.same else found[p].alone.value
    )
    estimate, code = _judged(test, list(found.values()))
    estimate = replace(estimate, n_items=items)
    reasons = []
    if code == "cannot-tell" and min(len(g.values) for g in groups.values()) <= 3:
        reasons.append("too-few-items")
    if test.same is None and _carried(case, code, groups, which, side, detail):
        reasons.append("fragile")
        code = rules.demoted(code)
    swap = test.same is not None and found[which].alone.value < 0
    ahead, behind = which[::-1] if swap else which
    detail |= {"ahead": ahead, "behind": behind, "n_pairs": len(found),
               "p_pair": found[which].p_joint}  # fmt: skip
    return settled(
        case, code, estimate,
        unit=measure.unit, n_rows=rows, table=table.name, reasons=reasons,
        strip=_strip(test, estimate, measure.unit), detail=detail,
        level=0.90 if test.same is not None else 0.95,
    )  # fmt: skip


def _groups(table: Table, test: Ranking) -> Groups:
    """The items of each group; those an order names, or all."""
    frame = table.frame
    values = [float(v) if test.by == table.use else str(v) for v in frame[test.by].unique()]
    names = [evidence.label(v) for v in values]
    wanted = [evidence.label(v) for v in test.order] if test.order else names
    return {name: side_of(table, test.measure, test.by, name, test.at)
            for name in dict.fromkeys(wanted)}  # fmt: skip


def _asked(test: Ranking, ranked: list[str]) -> list[tuple[str, str]]:
    """The pairs a claim rests on, the one claimed ahead first."""
    if test.order is not None:
        return list(pairwise(evidence.label(v) for v in test.order))
    if test.first is not None:
        first = evidence.label(test.first)
        return [(first, other) for other in ranked if other != first]
    return list(combinations(ranked, 2))


def _judged(test: Ranking, pairs: list[Pair]) -> tuple[Estimate, Code]:
    """The estimate that decides and its verdict."""
    if test.same is not None:
        e = widest(pairs, "all pairs of groups: Welch, and Games and Howell")
        return replace(e, p=None), rules.in_zone(e, (None, test.same))
    e = least(pairs, "each pair of groups: Welch, and Games and Howell")
    return e, rules.directed(e, 1, None, None)


def _carried(
    case: Case, code: Code, groups: Groups, which: tuple[str, str], side: int, detail: Story
) -> bool:
    """Fragile: one item of the pair that decides turns its gap round, or halves it."""
    a, b = (groups[name] for name in which)
    left, right = a.values, b.values
    without = [side * float(np.delete(left, i).mean() - right.mean()) for i in range(len(left))]
    without += [side * float(left.mean() - np.delete(right, i).mean()) for i in range(len(right))]
    gap = side * float(left.mean() - right.mean())
    fragile, at = rules.carried(code, gap, without, case.limits["fragile_halving"])
    if fragile:
        detail |= {"fragile_item": (a.items + b.items)[at], "fragile_without": without[at]}
    return fragile


def _strip(test: Ranking, e: Estimate, unit: str) -> Strip:
    """The lead that decides has to be above nothing; a largest gap, below what matters."""
    if test.same is not None:
        return Strip(e.value, e.at90.low, e.at90.high, (0.0, test.same), None, 0.0, unit,
                     "closer together", "farther apart")  # fmt: skip
    return Strip(e.value, e.at95.low, e.at95.high, (0.0, None), None, 0.0, unit,
                 "behind", "ahead")  # fmt: skip
