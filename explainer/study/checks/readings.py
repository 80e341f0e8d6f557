"""Warnings about rows: none is wrong by the rules, and it still looks like a slip of the hand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from explainer.errors import Problem
from explainer.study.checks.context import Context
from explainer.study.csvscan import SHOWN
from explainer.study.tables import Sheet

#: A reading this many times what all others span is looked at for a point in the wrong place.
_FAR = 3.0
#: Fewer readings than this say nothing about where the others lie.
_FEW = 6
#: Where most items are read once, the same row again is no repeat reading but a row pasted twice.
_MOSTLY_ONCE = 0.8


def rows_pasted_twice(c: Context) -> Iterator[Problem]:
    """A row that says the same as an earlier one, in a table that otherwise says things once."""
    for sheet in c.sheets.values():
        if sheet.table is None or sheet.roles is None or sheet.roles.numbered:
            continue
        if sheet.table.mean_of is not None or not sheet.roles.keys:
            continue
        frame = sheet.table.frame[[*sheet.roles.keys, *sheet.roles.values]]
        sizes = frame.groupby(list(sheet.roles.keys), observed=True).size()
        if len(sizes) < 2 or float((sizes == 1).mean()) < _MOSTLY_ONCE:
            continue
        for position in np.flatnonzero(frame.duplicated().to_numpy())[:SHOWN]:
            first = int(np.flatnonzero((frame == frame.iloc[position]).all(axis=1).to_numpy())[0])
            yield suspect(
                sheet, int(frame.index[position]), None,
                f"the same in every column as row {frame.index[first]}",
                "each reading once", "both are counted, as repeat readings", "pasted-twice",
            )  # fmt: skip


def points_misplaced(c: Context) -> Iterator[Problem]:
    """A reading ten times too large or too small for the others, and right with the point moved."""
    for sheet in c.sheets.values():
        if sheet.table is None or sheet.roles is None or sheet.table.mean_of is not None:
            continue
        for name in sheet.roles.measures:
            yield from _misplaced(sheet, name, sheet.table.frame[name])


def _misplaced(sheet: Sheet, name: str, column: pd.Series[float]) -> Iterator[Problem]:
    values = column.to_numpy()
    known = np.flatnonzero(np.isfinite(values) & (values > 0))
    if len(known) < _FEW or np.nanmin(values) < 0:
        return
    ordered = known[np.argsort(values[known])]
    for at, other, moved in ((ordered[-1], ordered[-2], 0.1), (ordered[0], ordered[1], 10.0)):
        ratio = values[at] / values[other]
        low, high = values[ordered[1]], values[ordered[-2]]
        if max(ratio, 1 / ratio) > _FAR and low <= values[at] * moved <= high:
            yield suspect(
                sheet, int(column.index[at]), name, f"{values[at]:g}",
                f"something like the others, which run from {low:g} to {high:g}",
                "it is used as it stands", "misplaced",
                f"is it {values[at] * moved:g}, with the point elsewhere?",
            )  # fmt: skip


def sizes_seen(c: Context) -> Iterator[Problem]:
    """Sizes of a measure are no larger than all its readings span: else nothing could matter."""
    for name, measure in c.description.measures.items():
        tables = [s.table for s in c.sheets.values() if s.table and name in s.measures]
        values = [t.frame[name].dropna() for t in tables if name in t.frame]
        read = np.concatenate([v.to_numpy() for v in values]) if values else np.array([])
        if len(read) < _FEW or read.max() <= read.min():
            continue
        for key in ("matters_from", "resolution"):
            size, span = getattr(measure, key), float(read.max() - read.min())
            if size is not None and size > span:
                yield c.warning(
                    ("measures", name, key), f"`{key}: {size:g}`",
                    f"a size no larger than what all readings of `{name}` span, {span:.3g}",
                    "nothing in the data can be told from nothing", "wide-margin", key=False,
                )  # fmt: skip


def suspect(
    sheet: Sheet, row: int, cell: str | None, found: str, expected: str, happens: str, code: str,
    hint: str = "",
) -> Problem:  # fmt: skip
    """A warning about a row of a file, or about a cell of it."""
    return Problem(
        sheet.file, row=row, cell=cell, found=found, expected=expected, happens=happens,
        severity="warning", code=code, hint=hint,
    )  # fmt: skip
