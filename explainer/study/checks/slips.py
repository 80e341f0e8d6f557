"""Slips of data that are right in every cell: units mixed, zeros for gaps, one ball twice.

Each is a warning: it may be so, and the author knows.  None looks at a single reading, which
``warnings.py`` does.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer.errors import Problem
from explainer.study.checks.context import Context
from explainer.study.checks.warnings import suspect
from explainer.study.model import Table
from explainer.study.roles import of_whose
from explainer.study.tables import Sheet

Floats = NDArray[np.float64]

#: What two units are apart, and which: a column in one and some rows in the other.
UNITS = {
    10.0: "cm and mm, or a point in the wrong place", 25.4: "inches and mm",
    1000 / 25.4: "µm and microinches", 1000.0: "thousandths and whole ones",
}  # fmt: skip
#: Readings that are none, in sheets that have no empty cells.
MARKS = (0.0, -1.0, -9.0, -99.0, -999.0, 99.0, 999.0, 9999.0)
#: So many other readings at least say where readings lie.
_FEW = 5
#: How near the others readings in the right unit have to come, as a share of their ends.
_NEAR = 0.8
#: Where most readings lie, whatever a few of them in another unit do.
_MOST = (0.15, 0.85)
#: A coincidence this rare among all pairs of items is taken for one ball under two names.
_RARE = 0.01


def _read(c: Context) -> Iterator[tuple[Sheet, Table]]:
    """The sheets that hold readings."""
    for sheet in c.sheets.values():
        if sheet.table is not None and sheet.roles is not None and sheet.table.mean_of is None:
            yield sheet, sheet.table


def units_mixed(c: Context) -> Iterator[Problem]:
    """All readings of an item, or at a checkpoint, that fit the others in another unit."""
    for sheet, table in _read(c):
        for name in sheet.roles.measures if sheet.roles else ():
            found = None
            for column in filter(None, (table.item, table.use, table.group)):
                if column != name:  # a group may be told by what is measured, too
                    found = found or _block_off(sheet, table, name, column)
            if found:
                yield found
    yield from _tables_off(c)


def _block_off(sheet: Sheet, table: Table, name: str, column: str) -> Problem | None:
    frame = table.frame[[column, name]].dropna()
    groups = frame.groupby(column, observed=True, sort=False)[name]
    for value in _apart(groups.min(), groups.max()):
        is_mine = frame[column] == value
        mine, rest = (frame[name][which].to_numpy(dtype=float) for which in (is_mine, ~is_mine))
        factor = _off(mine, rest) if len(mine) > 1 else None
        if factor is None:
            continue
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        row = int(frame.index[is_mine][0])
        return _mixed(sheet, row, name, f"{column} {shown}", mine, rest, factor)
    return None


def _apart(lows: pd.Series[float], highs: pd.Series[float]) -> list[Any]:
    """The groups whose readings all lie below, or all above, those of every other: two at most.

    A column may hold as many groups as rows, so none is held against all the others.
    """
    if len(lows) < 2:
        return []
    low, high = lows.to_numpy(dtype=float), highs.to_numpy(dtype=float)
    others_low = np.full(len(low), low.min())
    others_low[low.argmin()] = np.partition(low, 1)[1]
    others_high = np.full(len(high), high.max())
    others_high[high.argmax()] = np.partition(high, -2)[-2]
    return list(lows.index[(high < others_low) | (low > others_high)])


def _tables_off(c: Context) -> Iterator[Problem]:
    """A whole table whose readings of the same items fit those of another one in another unit."""
    sheets = list(_read(c))
    for (_, one), (sheet, other) in combinations(sheets, 2):
        if not set(one.items) & set(other.items):
            continue
        for name in sheet.roles.measures if sheet.roles else ():
            if name not in one.measures:
                continue
            a, b = (t.frame[name].dropna().to_numpy(dtype=float) for t in (one, other))
            factor = _off(b, a) if len(b) > 1 else None
            if factor is not None:
                row = int(other.frame.index[0])
                yield _mixed(sheet, row, name, "this table", b, a, factor)


def _off(mine: Floats, rest: Floats) -> float | None:
    """The factor that puts all of ``mine`` among the rest, none of which they reach as they are."""
    rest = rest[rest != 0]  # a gap filled with a zero must not hide a unit, nor the other way round
    if len(rest) < _FEW or min(mine.min(), rest.min()) <= 0:
        return None
    low, high = float(rest.min()), float(rest.max())
    if mine.max() >= low and mine.min() <= high:
        return None
    fits = []
    for factor in UNITS:
        for times in (factor, 1 / factor):
            moved = mine * times
            near = low * _NEAR <= moved.min() and moved.max() <= high / _NEAR
            steady = max(high / low, float(mine.max() / mine.min())) < factor / 2
            if near and steady:
                fits.append((abs(np.log(np.median(moved) / np.median(rest))), times))
    return min(fits)[1] if fits else None


def _mixed(
    sheet: Sheet, row: int, name: str, whose: str, mine: Floats, rest: Floats, times: float
) -> Problem:
    factor = max(times, 1 / times)
    does = f"times {factor:.4g}" if times > 1 else f"divided by {factor:.4g}"
    why = next(text for size, text in UNITS.items() if abs(size - factor) < 1e-6 * size)
    return suspect(
        sheet, row, name, f"{mine.min():g} to {mine.max():g} for {whose}",
        f"something like the others, which run from {rest.min():g} to {rest.max():g}",
        "they are used as they stand", "unit-mixed", f"{does} they would fit: {why}?",
    )  # fmt: skip


def marks_for_gaps(c: Context) -> Iterator[Problem]:
    """A zero, or 999, far from all other readings: a gap that somebody filled."""
    for sheet, table in _read(c):
        for name in sheet.roles.measures if sheet.roles else ():
            column = table.frame[name].dropna()
            for mark in MARKS:
                here, rest = column[column == mark], column[column != mark].to_numpy(dtype=float)
                if not len(here) or len(rest) < _FEW or set(rest.tolist()) == {1.0}:
                    continue
                gap = min(abs(rest - mark))
                low, high = np.quantile(rest, _MOST)
                span = float(high - low) / (_MOST[1] - _MOST[0])
                outside = mark < rest.min() or mark > rest.max()
                if not outside or gap <= max(span, 0.0) or rest.min() <= 0:
                    continue
                times = f", {len(here)} times" if len(here) > 1 else ""
                yield suspect(
                    sheet, int(here.index[0]), name, f"{mark:g}{times}",
                    f"something like the others, which run from {rest.min():g} to {rest.max():g}",
                    "it is used as a reading", "gap-filled",
                    f"if it means that nothing was read: `missing: [\"{mark:g}\"]`",
                )  # fmt: skip


def spelled_twice(c: Context) -> Iterator[Problem]:
    """Two names of items, or of conditions, that differ in case, spaces, hyphens or zeros."""
    for sheet, table in _read(c):
        for column in sheet.roles.text if sheet.roles else ():
            seen: dict[str, str] = {}
            names = table.frame[column].astype(str).drop_duplicates()
            for row, name in zip(names.index.tolist(), names, strict=True):
                first = seen.setdefault(_spelling(name), name)
                if first == name:
                    continue
                yield suspect(
                    sheet, row, column, f"`{name}`, beside `{first}` above",
                    "one spelling for one and the same", "they count as two", "spelled-twice",
                )  # fmt: skip


#: Greek and Cyrillic letters that look the same as a Latin one.
_ALIKE = str.maketrans("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧοАВЕЅІЈКМНОРСТХУаеосрхуіјѕ",
                       "ABEZHIKMNOPTYXoABESIJKMHOPCTXYaeocpxyijs")  # fmt: skip


def _spelling(name: str) -> str:
    """What stays of a name that was typed in another way: letters and numbers."""
    alike = unicodedata.normalize("NFKC", name).translate(_ALIKE).casefold()
    text = re.sub(r"(?<!\d)[\s_.\-/#]+|[\s_.\-/#]+(?!\d)", "", alike)
    return re.sub(r"(?<!\d)0+(?=\d)", "", text)


def named_twice(c: Context) -> Iterator[Problem]:
    """Items whose every reading is that of another, or as far from it: one ball under two names,
    or a pasted block."""
    for sheet, table in _read(c):
        names = list(sheet.roles.measures) if sheet.roles else []
        if not names or len(table.items) < 3:
            continue
        series = {
            str(item): _readings(rows, names)
            for item, rows in table.frame.groupby(table.item, observed=True, sort=False)
        }
        moved = {item: np.round(cells - cells[:1], 9)[1:] + 0.0 for item, cells in series.items()}
        same = _copies(series)
        copies = {**_copies(moved), **same}
        if not copies:
            continue
        two, one = next(iter(copies.items()))
        how = "the same as" if two in same else "equally far from that of"
        row = int(table.frame.index[(table.frame[table.item] == two)][0])
        more = f", and {len(copies) - 1} more like it" if len(copies) > 1 else ""
        yield suspect(
            sheet, row, table.item, f"`{two}`, with every reading {how} `{one}`{more}",
            "readings of its own",
            f"they count as {len(copies) + len(set(copies.values()))}", "named-twice",
        )  # fmt: skip


def _copies(series: Mapping[str, Floats]) -> dict[str, str]:
    """Which items read as another did, cell by cell, where chance hardly makes one such pair.

    What is read again and again of one item tells nothing new, so each value counts once; and how
    often two values are one and the same is asked of one item of each kind, not of its copies.
    """
    same: dict[tuple[Any, ...], list[str]] = {}  # items by what was read of them: one pass
    for item, cells in series.items():
        same.setdefault((len(cells), cells.tobytes()), []).append(item)
    if len(same) == len(series):
        return {}
    alike = _alike(np.concatenate([series[items[0]] for items in same.values()]))
    pairs = len(series) * (len(series) - 1) / 2
    found: dict[str, str] = {}
    for one, *others in same.values():
        if not others:
            continue
        cells = series[one]
        each = [np.unique(cells[np.isfinite(cells[:, k]), k]).size for k in range(cells.shape[1])]
        told = len(others) * (len(others) + 1) / 2  # so many pairs: by Markov so much rarer
        if float(np.prod(alike ** np.array(each))) * pairs / told < _RARE:
            found |= dict.fromkeys(others, one)
    return found


def items_of_one(c: Context) -> Iterator[Problem]:
    """Shots that count as items, beside a column that says which few balls they are of.

    Shots of one ball are more alike than shots of another: eighty of four balls are four balls
    (Hurlbert 1984, Ecological Monographs 54, 187, on pseudoreplication).
    """
    for sheet, table in _read(c):
        for column in of_whose(map(str, table.others.columns)) if table.others is not None else ():
            assert table.others is not None
            whose = table.others[column].reindex(table.frame.index).astype(str).str.strip()
            pairs = pd.DataFrame({"item": table.frame[table.item].astype(str), "of": whose})
            pairs = pairs[~pairs["of"].isin(("", "nan", "None"))].drop_duplicates()
            balls = pairs["of"].nunique()
            if not pairs["item"].is_unique or not 1 < balls <= len(pairs) / 2:
                continue
            yield suspect(
                sheet, int(pairs.index[0]), table.item,
                f"{len(pairs)} of them, of {balls} in the column `{column}`",
                f"`each: {column}`, where those of one are alike",
                "each counts as if nothing tied it to another, and ranges are too narrow",
                "finer-item",
            )  # fmt: skip


def _readings(rows: pd.DataFrame, names: list[str]) -> Floats:
    """What was read, row by row, alike where it is the same: one sort of gap, one zero."""
    cells = np.array(rows[names].to_numpy(dtype=float), order="C")
    cells[np.isnan(cells)] = np.nan
    return cells + 0.0


def _alike(cells: Floats) -> Floats:
    """How likely two readings of each column, drawn from it, are one and the same; never 0."""
    likely = []
    for column in cells.T:
        counts = np.unique(column[np.isfinite(column)], return_counts=True)[1]
        n = counts.sum()
        likely.append((float((counts * (counts - 1)).sum()) + 1) / (n * (n - 1) + 1))
    return np.array(likely)


def tables_copied(c: Context) -> Iterator[Problem]:
    """Two files that hold the same readings, row by row."""
    for (_, one), (sheet, two) in combinations(list(_read(c)), 2):
        shared = [m for m in (sheet.roles.measures if sheet.roles else ()) if m in one.measures]
        if one.file == two.file or not shared:
            continue
        a, b = (t.frame[shared].dropna() for t in (one, two))
        known, read = set(_rows(a)), _rows(b)
        again = [k for k, row in enumerate(read) if row in known]
        if len(set(read)) < _FEW or len(again) < _FEW or len(again) < _NEAR * len(b):
            continue
        if len(b) < len(a) and set(two.items) <= set(one.items):
            continue  # some of the same items' readings again: a part, set apart on purpose
        yield suspect(
            sheet, int(b.index[again[0]]), None,
            f"{len(again):,} of {len(b):,} rows with the same readings as {one.file}",
            "readings of its own", "each table counts by itself", "table-copied",
        )  # fmt: skip


def _rows(frame: pd.DataFrame) -> list[tuple[Any, ...]]:
    return [tuple(row) for row in frame.to_numpy(dtype=float).tolist()]
