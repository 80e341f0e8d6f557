"""One operator a checkpoint, one lane a model, one session a ball: what differs might be that.

Where a nuisance column (who read, on which gauge, lane or day) takes other values on the one side
of a comparison than on the other, the two cannot be told apart (Cox & Reid 2000, The Theory of the
SecondLooks of Experiments, ch. 1).  It is found from the columns of the file, named there or not.
Where the study's own gauge check says that operators differ by as much as what was found, no plain
``backed`` is left.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import pandas as pd

from explainer.analysis.change import mean_change
from explainer.analysis.difference import welch
from explainer.analysis.result import Estimate
from explainer.claims import rules
from explainer.claims.build import Case
from explainer.claims.design import turns
from explainer.claims.design.found import Found, points, read_by
from explainer.claims.evidence import label, labels
from explainer.claims.verdict import Verdict
from explainer.study.carried import carried
from explainer.study.description.base import Checkpoint
from explainer.study.description.figures import Gauge
from explainer.study.description.tests import Repeatability
from explainer.study.model import Study, Table
from explainer.study.people import hidden
from explainer.study.roles import nuisances

#: One-sided 95%, in standard errors.
SURE = 1.645


def look(case: Case, verdict: Verdict) -> Found | None:
    """``confounded``: a column of who, where or when that goes with what is compared."""
    for table, name in read_by(case):
        for column in _nuisances(case.study, table):
            if found := _parted(case, table, name, column):
                return _told(case, verdict, table, name, column, found)
    return turns.look(case, verdict)


def _nuisances(study: Study, table: Table) -> Iterator[str]:
    """The columns that may stand behind a difference: operators of a gauge, and such names."""
    mine = {table.item, table.use, table.group, table.order, *table.measures}
    columns = [str(c) for c in table.frame.columns if c not in mine]
    yield from (c for c in columns if c in _operators(study))
    yield from nuisances(c for c in columns if c not in _operators(study))
    if table.others is not None:
        yield from nuisances(str(c) for c in table.others.columns)


def _operators(study: Study) -> set[str]:
    """The columns that some gauge check names as its operators."""
    tests = (t for claim in study.description.claims for t in claim.all_tests)
    named = {t.operator for t in tests if isinstance(t, Repeatability)}
    return named | {f.operator for f in study.description.figures if isinstance(f, Gauge)}


@dataclass(frozen=True)
class _Parted:
    """What goes with a column of who or where, its values on two sides, and which rows those are.

    Without sides each item has a value of its own.
    """

    what: str
    a: str
    b: str
    sides: tuple[pd.Series[bool], ...] = ()


def _parted(case: Case, table: Table, name: str, column: str) -> _Parted | None:
    """What goes with the column, and its values on both sides; None where they overlap."""
    frame, test = table.frame, case.test
    if column in frame:
        values = frame[column].astype(str)
    else:
        assert table.others is not None
        values = table.others[column].reindex(frame.index).astype(str)
    read = frame[name].notna() & (values != "")
    by = getattr(test, "by", None)
    if isinstance(by, str) and by != column and by in frame:
        return _apart(values, [read & side for side in _compared_sides(case, frame, by)], by)
    over = getattr(test, "over", None)
    if isinstance(over, str) and over in frame and over != column:
        place = getattr(test, "since", None)
        if place is not None:
            return _apart(values, [read & (frame[over] < place), read & (frame[over] >= place)],
                          over)  # fmt: skip
        return _in_blocks(values[read], frame.loc[read, over], over)
    ends = [point for key in ("from_", "by", "to") if (point := points(case).get(key)) is not None]
    sides = [read & at for end in ends if (at := _rows_at(table, end)) is not None]
    if len(sides) > 1:
        axis = str(table.use or table.order)
        return next(filter(None, (_apart(values, [one, other], axis)
                                  for one, other in combinations(sides, 2))), None)  # fmt: skip
    if case.kind.links and "within" not in test.model_fields_set:
        return _one_each(values[read], frame.loc[read, table.item].astype(str), table.item)
    return None


def _compared_sides(case: Case, frame: pd.DataFrame, by: str) -> list[pd.Series[bool]]:
    """The rows of each side that a test compares: its two, those it orders, or every one."""
    test, here = case.test, labels(frame[by])
    wanted = [getattr(test, key) for key in ("a", "b") if getattr(test, key, None) is not None]
    wanted = wanted or list(getattr(test, "order", None) or here.dropna().unique())
    return [here == label(value) for value in wanted]


def _rows_at(table: Table, point: Checkpoint) -> pd.Series[bool] | None:
    """The rows at a checkpoint, or in a window of whatever windows count."""
    axis = (table.order or table.use) if isinstance(point, tuple) else (table.use or table.order)
    if axis is None or axis not in table.frame:
        return None
    low, high = point if isinstance(point, tuple) else (point, point)
    return table.frame[axis].between(low, high)


def _apart(values: pd.Series[str], sides: list[pd.Series[bool]], what: str) -> _Parted | None:
    """No two sides share a value of the column; with more than two, the outermost are named."""
    seen = [set(values[side]) for side in sides]
    if len(sides) < 2 or not all(seen) or any(a & b for a, b in combinations(seen, 2)):
        return None
    here, there = (sorted(seen[i]) for i in (0, -1))
    return _Parted(what, ", ".join(here[:3]), ", ".join(there[:3]), (sides[0], sides[-1]))


def _in_blocks(values: pd.Series[str], at: pd.Series[float], what: str) -> _Parted | None:
    """One value at each place of a series, and each in one block of it: changed on the way."""
    pairs = pd.DataFrame({"value": values, "at": at}).drop_duplicates().sort_values("at")
    runs = int((pairs["value"] != pairs["value"].shift()).sum())
    if not pairs["at"].is_unique or not 1 < pairs["value"].nunique() == runs:
        return None
    first, last = str(pairs["value"].iloc[0]), str(pairs["value"].iloc[-1])
    return _Parted(what, first, last, (values == first, values == last))


def _one_each(values: pd.Series[str], items: pd.Series[str], what: str) -> _Parted | None:
    """Each item has a value of its own, and so items cannot be told from them."""
    pairs = pd.DataFrame({"value": values, "item": items}).drop_duplicates()
    alone = pairs["value"].is_unique and pairs["item"].is_unique and len(pairs) > 2
    first, then = pairs["value"].iloc[:2] if alone else ("", "")
    return _Parted(what, str(first), str(then)) if alone else None


def _told(
    case: Case, verdict: Verdict, table: Table, name: str, column: str, found: _Parted
) -> Found:
    """The reason, and whether the gauge check takes the verdict down."""
    gap = _operators_apart(case.study, name, column)
    code = verdict.code
    within = gap is not None and _nearest(case, verdict, table, name, found) <= gap
    if within:
        code = rules.demoted(code)
    one, other = (found.a, found.b) if _may_be_told(case, table, column) else ("", "")
    known = {"confounder": column, "confounded_with": found.what, "confounder_a": one,
             "confounder_b": other, "operators_apart": gap, "confounder_within": within}
    return Found(code, ("confounded",), known)


def _may_be_told(case: Case, table: Table, column: str) -> bool:
    """Whether what a column holds may stand on a page: one that nothing reads may tell of anybody,
    and is told where it would go with the downloads."""
    if table.others is None or column not in table.others:
        return True
    study = case.study
    cells = {str(cell) for cell in table.others[column].dropna()}
    tables = [t for t in study.tables.values() if t.file == table.file]
    return carried(study.description, tables, column, cells, hidden(study.named))


def _nearest(
    case: Case, verdict: Verdict, table: Table, name: str, found: _Parted
) -> float:
    """How far from nothing the near end of what was found is, in the measure's unit: operators are
    compared in that, and shares, percentages and slopes are not.

    Of a link between items that each have a value of their own: how far the items lie apart.
    """
    if verdict.unit == case.study.measure(name).unit:
        return _near(verdict.low, verdict.high)
    if not found.sides:
        means = table.frame.groupby(table.item, observed=True)[name].mean().dropna()
        return float(means.std(ddof=1)) if len(means) > 1 else 0.0
    a, b = (table.frame.loc[side[side].index].groupby(table.item, observed=True)[name].mean()
            .dropna() for side in found.sides)  # fmt: skip
    both = a.index.intersection(b.index)
    gap = mean_change((a[both] - b[both]).to_numpy(dtype=float)) if len(both) > 1 else (
        welch(a.to_numpy(dtype=float), b.to_numpy(dtype=float)))
    return _near(gap.at95.low, gap.at95.high) if isinstance(gap, Estimate) else 0.0


def _near(low: float | None, high: float | None) -> float:
    """The end of a range that is nearest to nothing; 0 where it takes nothing in, or is none."""
    if low is None or high is None:
        return 0.0
    return low if low > 0 else -high if high < 0 else 0.0


def _operators_apart(study: Study, measure: str, column: str) -> float | None:
    """How far the study's own gauge check sets operators apart, in the measure's unit.

    The largest gap between two operators over the same items, at the upper end of what it may be;
    None without a check of this measure whose operators stand under that column.
    """
    tests = (t for claim in study.description.claims for t in claim.all_tests)
    checks = [(t.table, t.measure, t.operator) for t in tests if isinstance(t, Repeatability)]
    checks += [(f.table, f.y, f.operator) for f in study.description.figures
               if isinstance(f, Gauge)]  # fmt: skip
    for name, what, operator in checks:
        table = study.table_of(measure, name)
        if what != measure or operator != column or operator not in table.frame:
            continue
        means = table.frame.pivot_table(
            index=table.item, columns=operator, values=measure, observed=True
        ).dropna()
        if len(means) < 2 or means.shape[1] < 2:
            continue
        level = means.mean()
        gaps = (means[level.idxmax()] - means[level.idxmin()]).to_numpy(dtype=float)
        # As far apart as they may well be: the check knows the gap no better than its items agree.
        return float(gaps.mean() + SURE * gaps.std(ddof=1) / np.sqrt(len(gaps)))
    return None
