"""``groups``: items side by side, each group's mean and its likely range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from explainer.analysis.change import mean_change
from explainer.analysis.difference import welch
from explainer.analysis.result import Estimate, Interval, Undefined, t_quantile
from explainer.claims import evidence
from explainer.claims.figure_data import Group, GroupsData
from explainer.claims.figures.common import ends, number_rows
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import Groups
from explainer.study.model import Study

#: How many times as far as in any other group readings must lie apart to be called the widest.
WIDER = 1.5


def picture(study: Study, figure: Groups, verdicts: Sequence[Verdict]) -> FigureResult:
    """One column of dots per value of ``by``."""
    table = study.tables[figure.table]
    names = list(dict.fromkeys(table.frame[figure.by].dropna().tolist()))
    groups = []
    n_rows = 0
    for value in names:
        if figure.by == table.use:
            seen = evidence.at(table, figure.y, float(value))
        else:
            kept = replace(table, frame=table.frame[table.frame[figure.by] == value])
            seen = evidence.at(kept, figure.y, figure.at)
        n_rows += seen.n_rows
        if seen.items:
            groups.append(_group(value if isinstance(value, str) else f"{value:g}", seen))
    items = [i for g in groups for i, _ in g.items]
    paired = len(set(items)) < len(items)
    data = GroupsData(tuple(groups), study.measure(figure.y).matters_from, paired)
    rows = [(g.name, i, v) for g in groups for i, v in g.items]
    return FigureResult(
        figure, data, tuple(_findings(data)),
        NumbersTable((figure.by, table.item, figure.y), ("", "", study.measure(figure.y).unit),
                     number_rows(rows)),
        len(set(items)), n_rows,
    )  # fmt: skip


def _group(name: str, seen: evidence.ItemValues) -> Group:
    low, high = ends(mean_change(seen.values)) if len(seen.values) >= 3 else (None, None)
    items = tuple(zip(seen.items, seen.values.tolist(), strict=True))
    return Group(name, items, float(seen.values.mean()), low, high)


def _findings(data: GroupsData) -> list[Finding]:
    found: list[Finding] = []
    if len(data.groups) >= 2:
        ranked = sorted(data.groups, key=lambda g: g.mean)
        a, b = ranked[-1], ranked[0]
        gap = _gap(a, b, data.paired, len(data.groups))
        low, high = ends(gap)
        found.append(Finding("difference", {
            "a": a.name, "b": b.name, "mean_a": a.mean, "mean_b": b.mean,
            "difference": gap.value if isinstance(gap, Estimate) else a.mean - b.mean,
            "low": low, "high": high,
            "n_items": len({i for g in (a, b) for i, _ in g.items}),
        }))  # fmt: skip
    found += _widest(data)
    return found


def _widest(data: GroupsData) -> list[Finding]:
    """The group whose readings clearly lie furthest apart, among groups of three or more."""
    spans = sorted(((float(np.ptp([v for _, v in g.items])), g) for g in data.groups
                    if len(g.items) >= 3), key=lambda pair: pair[0])  # fmt: skip
    if len(spans) < max(2, len(data.groups)) or spans[-1][0] < WIDER * spans[-2][0]:
        return []
    values = [v for _, v in spans[-1][1].items]
    return [Finding("spread", {"group": spans[-1][1].name, "lowest": min(values),
                               "highest": max(values), "n_items": len(values)})]  # fmt: skip


def _gap(a: Group, b: Group, paired: bool, n_groups: int) -> Estimate | Undefined:
    """The gap of two groups; of the outermost of several, as wide as all their pairs together
    need it (Bonferroni: whoever looks for the largest gap has looked at every one)."""
    left, right = dict(a.items), dict(b.items)
    if paired:
        shared = [i for i in left if i in right]
        gap = mean_change(np.array([left[i] - right[i] for i in shared]))
    else:
        gap = welch(np.array(list(left.values())), np.array(list(right.values())))
    if n_groups == 2 or not isinstance(gap, Estimate) or not gap.se or not gap.df:
        return gap
    pairs = n_groups * (n_groups - 1) / 2
    half = t_quantile(1 - 0.05 / pairs, gap.df) * gap.se
    return replace(gap, at95=Interval(gap.value - half, gap.value + half, 0.95))
