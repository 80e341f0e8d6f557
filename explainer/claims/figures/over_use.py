"""``over-use``: one line per item over the checkpoints, the means, and what they show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from explainer.analysis.result import Estimate
from explainer.claims import evidence
from explainer.claims.change import tipping
from explainer.claims.figure_data import ItemLine, MeanPoint, OverUseData
from explainer.claims.figures.common import (
    counted_once,
    ends,
    groups_of,
    mean_of,
    models_of,
    number_rows,
    reaches,
)
from explainer.claims.figures.early import early_step
from explainer.claims.figures.stories import gauge_sees
from explainer.claims.rule_zone import stand
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import OverUse
from explainer.study.model import Study, Table

#: An item whose change lies this many robust spreads from the others' is named.
ODD = 3.0
#: Readings so many times apart are drawn in steps of ten, on which a change has no one length.
DECADES = 300.0


def picture(study: Study, figure: OverUse, verdicts: Sequence[Verdict]) -> FigureResult:
    """Lines, means with their ranges, and the findings."""
    table = study.tables[figure.table]
    cells = evidence.grid(table, figure.y)
    groups = groups_of(table, figure.group)
    uses = np.array(cells.uses, dtype=float)
    lines = []
    for item, row in zip(cells.items, cells.values, strict=True):
        here = np.isfinite(row)
        if here.any():  # of what was never read no line is drawn
            lines.append(ItemLine(item, groups.get(item, ""), tuple(uses[here].tolist()),
                                  tuple(row[here].tolist())))  # fmt: skip
    models = models_of(study, table, cells.items)
    averaged = np.where(_at_both_ends(cells.values)[:, None], cells.values, np.nan)
    means = tuple(
        _mean(use, averaged[:, k], cells.items, models) for k, use in enumerate(cells.uses)
    )
    if averages := table.mean_of is not None:
        # Each line is an average already, and several of them make none: nobody knows of how many
        # items theirs would be, and their scatter is not that of items.
        means = () if len(lines) > 1 else tuple(
            replace(m, low=None, high=None) if m else None for m in means
        )  # fmt: skip
    rule = study.description.rule
    limit = rule.limit if rule and rule.limit and rule.limit.measure == figure.y else None
    claimed = reaches(verdicts, figure.y)
    data = OverUseData(
        lines=tuple(lines),
        means=tuple(m for m in means if m is not None),
        checkpoints=table.checkpoints,
        matters_from=study.measure(figure.y).matters_from,
        claimed_to=claimed,
        averages=averages,
        claimed_elsewhere=claimed is not None and claimed != reaches(
            [v for v in verdicts if v.claim.of_report], figure.y),
        limit_low=limit.at_least if limit else None,
        limit_high=limit.at_most if limit else None,
        models=models,
        sorted_as=(table.group or study.description.tested.group or "group").replace("_", " "),
        by=figure.group or table.group,
    )
    data = _with_changes(data)
    sees = gauge_sees(study, table, figure.y, True)
    found = [_held(one, sees) for one in findings(data, table.shared_sd.get(figure.y, 0.0))]
    found += _against_rule(study, table, data) if limit else []
    return FigureResult(
        figure, data, tuple(found), _table(study, figure, data, table.use or "use"),
        len(lines), int(cells.n_rows),
    )  # fmt: skip


def _held(finding: Finding, sees: float | None) -> Finding:
    """An odd one whose own change the gauge cannot see, marked: it may have stayed."""
    far = finding.numbers.get("change")
    if finding.kind != "odd-item" or sees is None or not isinstance(far, int | float):
        return finding
    if abs(far) > sees:
        return finding
    return replace(finding, numbers={**finding.numbers, "still": 1})


def _at_both_ends(values: evidence.Floats) -> NDArray[np.bool_]:
    """Which items (rows) the mean line is of: those whose change is told, read at the first
    checkpoint and at the last.  All of them where fewer than two were.

    Were it of whoever was read each time, one who left would move the line.
    """
    both: NDArray[np.bool_] = np.isfinite(values[:, 0]) & np.isfinite(values[:, -1])
    return both if both.sum() > 1 else np.ones_like(both)


def _with_changes(data: OverUseData) -> OverUseData:
    """The same with each item's own change: what a claim about change is judged by."""
    changes = tuple(_changes(data)) if len(data.checkpoints) > 1 else ()
    read = [v for line in data.lines for v in line.y]
    if len(changes) < 2 or data.averages or 0 < min(read) * DECADES < max(read):
        return data
    found = np.array([c for _, c in changes])
    mean = mean_of(found, [item for item, _ in changes], data.models)
    low, high = ends(mean) if len(found) >= 3 and not data.averages else (None, None)
    middle = found.mean() if mean.value is None else mean.value
    return replace(data, changes=changes, change=(float(middle), low, high))


def _against_rule(study: Study, table: Table, data: OverUseData) -> list[Finding]:
    """How many of the last readings meet the rule's limit, miss it, or lie too close to call."""
    rule = study.description.rule
    if rule is None or rule.limit is None:
        return []
    last = data.checkpoints[-1]
    read = [line.y[-1] for line in data.lines if line.use and line.use[-1] == last]
    rows = evidence.at(table, rule.limit.measure, last)
    made = stand(study, table, rule.limit, last, read, rows.n_rows / max(1, len(rows.items)))
    if made is None:
        return []
    return [Finding("rule", {"n_meets": made.meets, "n_misses": made.misses,
                             "n_close": made.close, "at": last})]  # fmt: skip


def _mean(
    use: float, column: evidence.Floats, items: Sequence[str], models: Mapping[str, str]
) -> MeanPoint | None:
    here = np.isfinite(column)
    known, names = column[here], [i for i, ok in zip(items, here, strict=True) if ok]
    if not len(known):
        return None
    mean = mean_of(known, names, models)
    low, high = ends(mean) if len(known) >= 3 else (None, None)
    return MeanPoint(use, float(known.mean() if mean.value is None else mean.value), low, high,
                     len(known))  # fmt: skip


def findings(data: OverUseData, shared: float = 0.0) -> list[Finding]:
    """What the lines show, in the order a person would point at it.

    ``shared``: the SD, in the measure's unit, of an error all readings of a checkpoint share.
    """
    found: list[Finding] = []
    if len(data.means) < 2:
        return [*_edge(data), *_missing(data)] if data.averages and not data.means else found
    first, last = data.means[0], data.means[-1]
    changes = _changes(data)
    d = np.array([c for _, c in changes])
    if not len(d):
        return found
    names = [item for item, _ in changes]
    whole = mean_of(d, names, data.models)
    change = float(d.mean() if whole.value is None else whole.value)
    low, high = (None, None) if data.averages else ends(whole)
    stayed = [line for line in data.lines if line.item in dict(changes)]
    starts, stops = (
        mean_of(np.array([line.y[k] for line in stayed]), names, data.models).value for k in (0, -1)
    )
    found.append(Finding("change", {
        "from": first.use, "to": last.use,
        "mean_from": starts, "mean_to": stops,
        "change": change, "low": low, "high": high, "n_items": len(d),
        "n_down": int((d < 0).sum()), "n_up": int((d > 0).sum()),
        **({"with_mates": data.range_from} if data.range_from else {}),
    }, (last.use, last.mean)))  # fmt: skip
    if isinstance(whole, Estimate) and not data.averages:
        if whole.at95.excludes(0.0):
            found += early_step(data, stayed, shared)
        margin = data.matters_from
        # As of a claim: what one item less could undo is not said.
        if margin is not None and whole.at90.inside(-margin, margin) and not tipping(
            d, counted_once(names, data.models), margin
        ):
            found.append(Finding("small", {"margin": margin, "change": change}))
    found += _odd(data, changes)
    found += _by_group(data, dict(changes))
    found.append(Finding("edge", {"last": data.checkpoints[-1]}, (last.use, last.mean)))
    return [*found, *_missing(data)]


def _edge(data: OverUseData) -> list[Finding]:
    """Where the readings end, on the line that goes furthest."""
    ends = [(line.use[-1], line.y[-1]) for line in data.lines if line.use]
    return [Finding("edge", {"last": data.checkpoints[-1]}, max(ends))] if ends else []


def _missing(data: OverUseData) -> list[Finding]:
    missing = sum(len(data.checkpoints) - len(line.use) for line in data.lines)
    return [Finding("missing", {"count": missing})] if missing else []


def _changes(data: OverUseData) -> list[tuple[str, float]]:
    """Each item's change from the first to the last checkpoint, where it has both."""
    first, last = data.checkpoints[0], data.checkpoints[-1]
    return [
        (line.item, line.y[-1] - line.y[0])
        for line in data.lines
        if line.use and line.use[0] == first and line.use[-1] == last
    ]


def _odd(data: OverUseData, changes: list[tuple[str, float]]) -> list[Finding]:
    """The item whose change stands furthest from the others', if it stands apart at all, and how
    many stand apart with it."""
    if len(changes) < 5:
        return []
    d = np.array([c for _, c in changes])
    middle = float(np.median(d))
    spread = 1.4826 * float(np.median(np.abs(d - middle)))
    far = np.abs(d - middle)
    apart = [i for i in np.argsort(-far, kind="stable").tolist() if spread and far[i] > ODD * spread
             and not _with_its_model(data, changes, i, ODD * spread)]  # fmt: skip
    if not apart or apart[0] != int(np.argmax(far)):
        return []
    name, change = changes[apart[0]]
    line = next(ln for ln in data.lines if ln.item == name)
    return [Finding("odd-item", {
        "item": name, "change": change, "others": middle,
        **({"apart": len(apart)} if len(apart) > 1 else {}),
    }, (line.use[-1], line.y[-1]))]  # fmt: skip


def _with_its_model(
    data: OverUseData, changes: list[tuple[str, float]], which: int, reach: float
) -> bool:
    """Whether the others of its model stand there, too: then it is no odd one among its own."""
    name, change = changes[which]
    mates = [c for item, c in changes if item != name and data.models
             and data.models.get(item) == data.models.get(name)]  # fmt: skip
    return bool(mates) and abs(change - float(np.median(mates))) <= reach


def _by_group(data: OverUseData, changes: dict[str, float]) -> list[Finding]:
    names = list(dict.fromkeys(line.group for line in data.lines if line.group))
    if len(names) < 2:
        return []
    found = []
    for name in names:
        d = [changes[ln.item] for ln in data.lines if ln.group == name and ln.item in changes]
        if d:
            found.append(Finding("group-change", {
                "group": name, "change": float(np.mean(d)), "n_items": len(d),
            }))  # fmt: skip
    return found


def _table(study: Study, figure: OverUse, data: OverUseData, use: str) -> NumbersTable:
    unit = study.measure(figure.y).unit
    table = study.tables[figure.table]
    rows: list[tuple[str | float | None, ...]] = []
    names = data.named_by
    for line in data.lines:
        read = dict(zip(line.use, line.y, strict=True))
        rows.append((*(line.item, line.group)[:names], *(read.get(u) for u in data.checkpoints)))
    means = {m.use: m.mean for m in data.means}
    told = (_mean_told(data), "")[:names]
    rows.append((*told, *(means.get(u) for u in data.checkpoints)))
    heads = (table.item, data.by or "group")[:names]
    return NumbersTable(
        (*heads, *(f"{use} {u:g}" for u in data.checkpoints)),
        (*("" for _ in heads), *(unit for _ in data.checkpoints)),
        number_rows(rows),
    )


def _mean_told(data: OverUseData) -> str:
    """What the row of means is of: ``mean``, and of which items if not of all alike."""
    told, shown = ["mean"], len(data.averaged)
    if shown < len([line for line in data.lines if line.use]):
        told.append(f"the {shown} read at both ends")
    if data.fewer:
        told.append("of fewer where some were not read")
    if data.uneven_between:
        told.append("each group counted once")
    return ", ".join(told)
