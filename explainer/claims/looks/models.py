"""Models that went apart under one figure for all of them, for kinds that count items alike.

A change, a difference and a link see to it themselves (``claims/change.py``: each group once).  Of
a drift, a jump, a share of items and what else counts items alike, each group is judged by itself:
twelve of one model that fall outvote three of another that rise (Simpson 1951, Journal of the Royal
Statistical Society B 13, 238), and what is said of all of them is then true of one model only.
"""

from __future__ import annotations

import numpy as np

from explainer.claims import evidence, rules
from explainer.claims.build import Case
from explainer.claims.looks.found import Found, judged_with, of_items, read_by
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
    ways = []
    for name in names:
        mine = {i for i, g in zip(items, groups, strict=True) if g == name}
        way = _way(judged_with(case, {table.name: of_items(table, mine)}))
        if way is None:
            return None
        ways.append(way)
    if len(set(ways)) < 2:
        return None
    code = rules.demoted(verdict.code)
    return Found(code, ("groups",), record={"n_groups": len(names), "groups_apart": True})


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
    return int(np.sign(v.estimate))
