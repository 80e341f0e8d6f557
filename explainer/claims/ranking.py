"""``ranking``: which of several groups comes first, in what order, or that no two differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np

from explainer.analysis.result import Estimate, Undefined
from explainer.analysis.simultaneous import Pair, least, pair, pair_within, widest
from explainer.claims import evidence, rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
    undefined,
)
from explainer.claims.change import gauge_floor
from explainer.claims.detail import Detail, published
from explainer.claims.two_sides import read_again, side_of
from explainer.claims.verdict import Code, Strip, Verdict
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
    paired: bool = False
    """The same items stand under every condition, and each is held against itself."""
    n_pairs: float | None = published("Pairs of groups held against each other")
    p_pair: float | None = published("p of the pair that decides, among all pairs", "p")


def judge(case: Case) -> Verdict:
    """Welch's t for each pair, and Games & Howell's (1976) ranges where their number counts; of the
    same items under each condition the paired t, and Bonferroni's."""
    test = case.test
    assert isinstance(test, Ranking)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    groups = _groups(table, test)
    rows = sum(g.n_rows for g in groups.values())
    everyone = tuple(dict.fromkeys(i for g in groups.values() for i in g.items))
    blocks = _blocks(table, test, groups)
    if blocks is not None:
        groups = {name: _of(group, blocks) for name, group in groups.items()}
        rows = sum(g.n_rows for g in groups.values())
    side = 1 if test.direction == "higher" else -1
    ranked = sorted((g for g in groups if len(groups[g].values)),
                    key=lambda g: -side * float(groups[g].values.mean()))  # fmt: skip
    items = len(everyone if blocks is None else blocks)
    detail: Story = {
        "ranked": ranked, "means": [float(groups[g].values.mean()) for g in ranked],
        "margin": test.same or measure.matters_from, "paired": blocks is not None,
        "without": [i for i in everyone if blocks is not None and i not in set(blocks)],
    }  # fmt: skip
    if len(groups) < 2 or min(len(g.values) for g in groups.values()) < 2:
        none = Undefined("no-blocks" if blocks == () else "one-per-side", items)
        return undefined(case, none, unit=measure.unit, n_rows=rows, table=table.name,
                         reasons=["one-group"] if len(groups) < 2 else [],
                         detail=detail)  # fmt: skip
    found = _held(case, table, groups, _asked(test, ranked), blocks is not None)
    if isinstance(found, Undefined):
        return undefined(case, found, unit=measure.unit, n_rows=rows, table=table.name,
                         detail=detail)  # fmt: skip
    which = (max if test.same is not None else min)(
        found, key=lambda p: abs(found[p].alone.value) if test.same else found[p].alone.value
    )
    estimate, code = _judged(test, list(found.values()), blocks is not None)
    estimate = replace(estimate, n_items=items)
    code, reasons = _doubted(case, code, groups, which, blocks is not None, detail)
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
    """The items of each group; those an order names, or all.

    The one claimed first is among them though none of its items may be left, as where a second
    look goes by those that stayed.
    """
    frame = table.frame
    values = [float(v) if test.by == table.use else str(v) for v in frame[test.by].unique()]
    names = [evidence.label(v) for v in values]
    first = [] if test.first is None else [evidence.label(test.first)]
    wanted = [evidence.label(v) for v in test.order] if test.order else [*names, *first]
    return {name: side_of(table, test.measure, test.by, name, test.at)
            for name in dict.fromkeys(wanted)}  # fmt: skip


def _blocks(table: Table, test: Ranking, groups: Groups) -> tuple[str, ...] | None:
    """The items that stand in every group, where each is held against itself; else None.

    As with two sides: where the study says so, where ``by`` reads the same items again by its
    nature, and where all of them stand in every group.  A few shared names make no blocks.
    """
    items = [set(g.items) for g in groups.values()]
    whole = set.intersection(*items) if items else set()
    if not whole or len(groups) < 2:
        return () if test.within is not None and len(groups) > 1 else None
    if test.within is None and not read_again(table, test.by) and any(i != whole for i in items):
        return None
    first = next(iter(groups.values()))
    return tuple(i for i in first.items if i in whole)


def _of(group: evidence.ItemValues, blocks: tuple[str, ...]) -> evidence.ItemValues:
    """A group's values of the items of ``blocks``, in their order."""
    own = group.as_dict()
    return evidence.ItemValues(blocks, np.array([own[i] for i in blocks], dtype=float),
                               group.rows_of(blocks))  # fmt: skip


def _held(
    case: Case, table: Table, groups: Groups, asked: list[tuple[str, str]], paired: bool
) -> dict[tuple[str, str], Pair] | Undefined:
    """Each pair that the claim rests on, the one claimed ahead less the other."""
    test = case.test
    assert isinstance(test, Ranking)
    side = 1 if test.direction == "higher" else -1
    floor = gauge_floor(case.study.measure(test.measure))
    off = table.shared_sd.get(test.measure, 0.0) if test.by == table.use else 0.0
    found: dict[tuple[str, str], Pair] = {}
    for a, b in asked:
        left, right = side * groups[a].values, side * groups[b].values
        result = pair_within(left, right, len(asked), floor, off) if paired else pair(
            left, right, len(groups), floor and floor / 2**0.5, off)  # fmt: skip
        if isinstance(result, Undefined):
            return result
        found[a, b] = result
    return found


def _doubted(
    case: Case, code: Code, groups: Groups, which: tuple[str, str], paired: bool, detail: Story
) -> tuple[Code, list[str]]:
    """What is left of the verdict: few items, some in several groups, one that carries it."""
    test = case.test
    assert isinstance(test, Ranking)
    reasons = []
    every = [i for g in groups.values() for i in g.items]
    if not paired and len(set(every)) < len(every):
        # Taken as separate items, which they may not be: until the study says, it only leans.
        code = rules.demoted(code)
        reasons.append("pairs")
    if code == "cannot-tell" and min(len(g.values) for g in groups.values()) <= 3:
        reasons.append("too-few-items")
    if test.same is None and _carried(case, code, groups, which, paired, detail):
        reasons.append("fragile")
        code = rules.demoted(code)
    return code, reasons


def _asked(test: Ranking, ranked: list[str]) -> list[tuple[str, str]]:
    """The pairs a claim rests on, the one claimed ahead first."""
    if test.order is not None:
        return list(pairwise(evidence.label(v) for v in test.order))
    if test.first is not None:
        first = evidence.label(test.first)
        return [(first, other) for other in ranked if other != first]
    return list(combinations(ranked, 2))


def _judged(test: Ranking, pairs: list[Pair], paired: bool) -> tuple[Estimate, Code]:
    """The estimate that decides and its verdict."""
    how = "paired t within items, and Bonferroni" if paired else "Welch, and Games and Howell"
    if test.same is not None:
        e = widest(pairs, f"all pairs of groups: {how}")
        return replace(e, p=None), rules.in_zone(e, (None, test.same))
    e = least(pairs, f"each pair of groups: {how}")
    return e, rules.directed(e, 1, None, None)


def _carried(
    case: Case, code: Code, groups: Groups, which: tuple[str, str], paired: bool, detail: Story
) -> bool:
    """Fragile: one item of the pair that decides turns its gap round, or halves it."""
    test = case.test
    assert isinstance(test, Ranking)
    side = 1 if test.direction == "higher" else -1
    a, b = (groups[name] for name in which)
    left, right = side * a.values, side * b.values
    gap = float(left.mean() - right.mean())
    if paired:
        names = a.items
        without = [float(np.delete(left - right, i).mean()) for i in range(len(left))]
    else:
        names = a.items + b.items
        without = [float(np.delete(left, i).mean() - right.mean()) for i in range(len(left))]
        without += [float(left.mean() - np.delete(right, i).mean()) for i in range(len(right))]
    fragile, at = rules.carried(code, gap, without, case.limits["fragile_halving"])
    if fragile:
        detail |= {"fragile_item": names[at], "fragile_without": without[at]}
    return fragile


def _strip(test: Ranking, e: Estimate, unit: str) -> Strip:
    """The lead that decides has to be above nothing; a largest gap, below what matters."""
    if test.same is not None:
        return Strip(e.value, e.at90.low, e.at90.high, (0.0, test.same), None, 0.0, unit,
                     "closer together", "farther apart")  # fmt: skip
    return Strip(e.value, e.at95.low, e.at95.high, (0.0, None), None, 0.0, unit,
                 "behind", "ahead")  # fmt: skip
