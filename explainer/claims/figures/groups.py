"""``groups``: items side by side, each group's mean and its likely range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from explainer.analysis.result import Estimate, Interval, Undefined, t_quantile
from explainer.claims import evidence
from explainer.claims.difference import FEWEST_SPARE, Sides, compare
from explainer.claims.figure_data import Group, GroupsData
from explainer.claims.figures.common import ends, mean_of, models_of, number_rows
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import Groups
from explainer.study.model import Study, Table

#: How many times as far as in any other group readings must lie apart to be called the widest.
WIDER = 1.5


def picture(study: Study, figure: Groups, verdicts: Sequence[Verdict]) -> FigureResult:
    """One column of dots per value of ``by``."""
    table = study.tables[figure.table]
    names = list(dict.fromkeys(table.frame[figure.by].dropna().tolist()))
    columns: list[tuple[str, evidence.ItemValues]] = []
    n_rows = 0
    for value in names:
        if figure.by == table.use:
            seen = evidence.at(table, figure.y, float(value))
        else:
            kept = replace(table, frame=table.frame[table.frame[figure.by] == value])
            seen = evidence.at(kept, figure.y, figure.at)
        n_rows += seen.n_rows
        if seen.items:
            columns.append((value if isinstance(value, str) else f"{value:g}", seen))
    items = [i for _, seen in columns for i in seen.items]
    paired = len(set(items)) < len(items)
    models = _models(study, table, figure, [seen.items for _, seen in columns], paired)
    groups = [_group(name, seen, models) for name, seen in columns]
    data = GroupsData(tuple(groups), study.measure(figure.y).matters_from, paired, models)
    rows = [(g.name, i, v) for g in groups for i, v in g.items]
    return FigureResult(
        figure, data, tuple(_findings(data)),
        NumbersTable((figure.by, table.item, figure.y), ("", "", study.measure(figure.y).unit),
                     number_rows(rows)),
        len(set(items)), n_rows,
    )  # fmt: skip


def _models(
    study: Study, table: Table, figure: Groups, columns: Sequence[Sequence[str]], paired: bool
) -> dict[str, str]:
    """The group of each item, where a claim of the same gap would count each of them once: all of
    them stand in every column (as in ``difference.in_their_groups``)."""
    every = tuple(dict.fromkeys(item for column in columns for item in column))
    models = {} if figure.by == table.group else models_of(study, table, every)
    sets = {frozenset(models[i] for i in column) for column in columns} if models else set()
    if len(sets) != 1:
        return {}
    spare = len(every) if paired else sum(map(len, columns))
    cells = len(next(iter(sets))) * (1 if paired else len(columns))
    return models if spare - cells >= FEWEST_SPARE else {}


def _group(name: str, seen: evidence.ItemValues, models: Mapping[str, str]) -> Group:
    mean = mean_of(seen.values, seen.items, models)
    low, high = ends(mean) if len(seen.values) >= 3 else (None, None)
    items = tuple(zip(seen.items, seen.values.tolist(), strict=True))
    middle = seen.values.mean() if mean.value is None else mean.value
    return Group(name, items, float(middle), low, high)


def _findings(data: GroupsData) -> list[Finding]:
    found: list[Finding] = []
    if len(data.groups) >= 2:
        ranked = sorted(data.groups, key=lambda g: g.mean)
        a, b = ranked[-1], ranked[0]
        gap = _gap(a, b, data)
        if (gap.value or 0.0) < 0:  # those in both columns go the other way than the averages
            a, b = b, a
            gap = _gap(a, b, data)
        low, high = ends(gap)
        mean_a, mean_b = _of_both(a, b, data)
        found.append(Finding("difference", {
            "a": a.name, "b": b.name, "mean_a": mean_a, "mean_b": mean_b,
            "difference": gap.value if isinstance(gap, Estimate) else mean_a - mean_b,
            "low": low, "high": high, "n_items": _compared(a, b, data),
        }))  # fmt: skip
    found += _widest(data)
    return found


def _shared(a: Group, b: Group) -> list[str]:
    """Items that stand in both columns."""
    right = {i for i, _ in b.items}
    return [i for i, _ in a.items if i in right]


def _compared(a: Group, b: Group, data: GroupsData) -> int:
    """How many items the gap rests on: where each is its own comparison, those read in both."""
    if data.paired and (shared := _shared(a, b)):
        return len(shared)
    return len({i for g in (a, b) for i, _ in g.items})


def _of_both(a: Group, b: Group, data: GroupsData) -> tuple[float, float]:
    """The averages that the gap is between: where each item is its own comparison and some stand
    in one column alone, of those in both; else the columns' own."""
    shared = _shared(a, b) if data.paired else []
    if not shared or len(shared) == len({i for g in (a, b) for i, _ in g.items}):
        return a.mean, b.mean
    found = []
    for group in (a, b):
        values = np.array([dict(group.items)[i] for i in shared])
        mean = mean_of(values, shared, data.models).value
        found.append(float(values.mean()) if mean is None else mean)
    return found[0], found[1]


def _widest(data: GroupsData) -> list[Finding]:
    """The group whose readings clearly lie furthest apart, among groups of three or more."""
    spans = sorted(((float(np.ptp([v for _, v in g.items])), g) for g in data.groups
                    if len(g.items) >= 3), key=lambda pair: pair[0])  # fmt: skip
    if len(spans) < max(2, len(data.groups)) or spans[-1][0] < WIDER * spans[-2][0]:
        return []
    values = [v for _, v in spans[-1][1].items]
    return [Finding("spread", {"group": spans[-1][1].name, "lowest": min(values),
                               "highest": max(values), "n_items": len(values)})]  # fmt: skip


def _gap(a: Group, b: Group, data: GroupsData) -> Estimate | Undefined:
    """The gap of two groups; of the outermost of several, as wide as all their pairs together
    need it (Bonferroni: whoever looks for the largest gap has looked at every one)."""
    left, right = dict(a.items), dict(b.items)
    if data.paired:
        shared = _shared(a, b)
        gap = mean_of(np.array([left[i] - right[i] for i in shared]), shared, data.models)
    else:
        sides = Sides(np.array(list(left.values())), np.array(list(right.values())), tuple(left),
                      tuple(right), False, 0)  # fmt: skip
        if data.models:
            of_a, of_b = (np.array([data.models[i] for i in side]) for side in (left, right))
            sides = replace(sides, groups=(of_a, of_b))
        gap = compare(sides, None)
    n_groups = len(data.groups)
    if n_groups == 2 or not isinstance(gap, Estimate) or not gap.se or not gap.df:
        return gap
    pairs = n_groups * (n_groups - 1) / 2
    half = t_quantile(1 - 0.05 / pairs, gap.df) * gap.se
    return replace(gap, at95=Interval(gap.value - half, gap.value + half, 0.95))
