"""Models that went apart under one figure for all of them, for kinds that count items alike.

A change, a difference and a link see to it themselves (``claims/change.py``: each group once).  Of
a drift, a jump, a share of items and what else counts items alike, each group is judged by itself:
twelve of one model that fall outvote three of another that rise (Simpson 1951, Journal of the Royal
Statistical Society B 13, 238), and what is said of all of them is then true of one model only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from explainer.claims import evidence, rules
from explainer.claims.build import Case
from explainer.claims.design.found import Found, judged_with, of_items, read_by
from explainer.claims.verdict import Verdict
from explainer.study.description.tests import NoWorse, Settles, ShareOfItems

#: The kinds that are looked at.
KINDS = frozenset({"trend", "since", "settles", "share-of-items", "no-worse"})


def look(case: Case, verdict: Verdict) -> Found | None:
    """``groups``: by its own best guess, some group goes another way than is said of all."""
    test = case.test
    if test.kind not in KINDS or verdict.code not in ("backed", "leans", "against"):
        return None
    if isinstance(test, ShareOfItems) and test.share == "every":
        return None
    table, _ = next(read_by(case))
    items = [i for i in table.items if i not in set(verdict.detail.without)]
    groups = evidence.groups_of(case.study, (table,), items)
    if groups is None or getattr(test, "by", None) == table.group:
        return None
    names = np.unique(groups).tolist()
    each = []
    for name in names:
        mine = {i for i, g in zip(items, groups, strict=True) if g == name}
        each.append(judged_with(case, {table.name: of_items(table, mine)}))
    ways = [_way(v) for v in each]
    if None in ways or len(set(ways)) < 2 or not _differ(each):
        return None
    code = rules.demoted(verdict.code)
    return Found(code, ("groups",), record={"n_groups": len(names), "groups_apart": True})


def _differ(each: Sequence[Verdict]) -> bool:
    """Whether it shows that the groups with the lowest and the highest number differ: by more than
    their ranges together, as two means do that differ at the level of these.

    One item alone has no range: it is held against how far one more item of the others may lie.
    """
    low, high = (end(each, key=lambda v: v.estimate or 0.0) for end in (min, max))
    halves = [_half(v) for v in (low, high)]
    known = [h for h in halves if h is not None]
    if not known:
        return True  # what has no range at all is no mean whose luck could be told
    if len(known) == 1:
        other = high if halves[0] is None else low
        known.append(known[0] * math.sqrt(other.n_items))
    return (high.estimate or 0.0) - (low.estimate or 0.0) > math.hypot(*known)


def _half(v: Verdict) -> float | None:
    """Half the width of its range; None without one, and of one item."""
    return None if v.low is None or v.high is None or v.n_items < 2 else (v.high - v.low) / 2


def _way(v: Verdict) -> int | None:
    """Which way a group goes by its best guess: a sign, or whether it meets the claim at all."""
    test = v.test
    if v.estimate is None:
        return None
    if isinstance(test, ShareOfItems):
        return int(v.estimate > (0.5 if test.share == "most" else float(test.share)))
    if isinstance(test, NoWorse):
        margin = v.detail.margin
        worse = v.estimate if test.worse == "up" else -v.estimate
        return None if margin is None else int(worse <= margin)
    if isinstance(test, Settles):
        early, late, margin = (getattr(v.detail, key, None) for key in ("early", "late", "margin"))
        if early is None or late is None or margin is None:
            return None
        side = rules.SIDE[test.direction] or 1
        return int(side * early > 0 and abs(late) <= margin)
    at_least = getattr(test, "at_least", None)
    if at_least is not None:  # one that falls short a little up is one with those short downwards
        side = rules.SIDE[getattr(test, "direction", "any")]
        reached = (side * v.estimate if side else abs(v.estimate)) >= at_least
        return int(np.sign(v.estimate)) if reached else 0
    return int(np.sign(v.estimate))
