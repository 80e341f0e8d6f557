"""What a test rests on: one number per item (or per item and checkpoint), and how many rows.

Nothing here is judged.  Rows are reduced to items first, as the unit of analysis asks; what has
no partner or no reading is left out of the arrays and counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer.analysis import sample
from explainer.study.description.tests import XY, Operand
from explainer.study.model import Study, Table
from explainer.study.tables import picked_whole

Checkpoint = float | tuple[float, float]
Floats = NDArray[np.float64]
Words = NDArray[np.str_]
#: A measure in a table.
Side = tuple[Table, str]


@dataclass(frozen=True)
class ItemValues:
    """One number per item; ``values`` holds no NaN."""

    items: tuple[str, ...]
    values: Floats
    n_rows: int
    without: tuple[str, ...] = ()
    """Items of the table that have no reading there."""
    rows: tuple[int, ...] = ()
    """How many readings each value is the mean of, in the order of ``items``."""

    def rows_of(self, items: Iterable[str]) -> int:
        """The readings behind those of ``items`` that are here."""
        own = dict(zip(self.items, self.rows, strict=True))
        return sum(own.get(item, 0) for item in items)

    def as_dict(self) -> dict[str, float]:
        return dict(zip(self.items, self.values.tolist(), strict=True))


@dataclass(frozen=True)
class Before:
    """Items with a reading both before and after, in the table's order."""

    items: tuple[str, ...]
    before: Floats
    after: Floats
    n_rows: int
    readings_each: float
    """Mean number of readings behind one item's value, for what the gauge can see."""
    without: tuple[str, ...] = ()

    @property
    def change(self) -> Floats:
        return self.after - self.before


@dataclass(frozen=True)
class Pairs:
    """x and y side by side; one row per item, or per item and checkpoint."""

    items: NDArray[np.str_]
    use: Floats
    x: Floats
    y: Floats
    n_rows: int
    alone: tuple[str, ...] = ()
    """Items, or items at checkpoints, that have x or y only."""
    series: Floats | None = None
    """What orders rows that stand at no checkpoint, in levels that items share (``levels_of``)."""
    rows: NDArray[np.int64] | None = None
    """How many rows of data each pair is of; None where they stand at one named checkpoint."""
    shared: int | None = None
    """Where items were read at different checkpoints: at how many all of them were; else None."""
    shared_at: float | None = None
    """The one checkpoint that all share, where it is one."""
    unmatched: bool = False
    """Some of these items have readings of x or of y alone, which no average of both counts."""
    lacking: tuple[str, ...] = ()
    """Items that were not read under every condition the others were; left out, but for ``mixed``.
    """
    lacking_by: str = ""
    """The column of these conditions."""
    mixed: bool = False
    """So many lack one that leaving them out would leave hardly any: their means are of different
    conditions."""

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self.items.tolist()))

    @property
    def checkpoints(self) -> Floats | None:
        """``use``, else what orders the rows; None where nothing does."""
        return self.series if np.isnan(self.use).all() else self.use

    def rows_of(self, items: Iterable[str]) -> int:
        """The rows behind those of ``items`` that are here; all of them where nobody knows."""
        mine = np.isin(self.items, list(items))
        return self.n_rows if self.rows is None else int(self.rows[mine].sum())


def beyond(table: Table, *checkpoints: Checkpoint | None) -> float | None:
    """How far outside what the table measured the claim reaches, else None."""
    outside: list[tuple[float, float]] = []
    for point in checkpoints:
        axis = _axis(table, point)
        if point is None or axis is None:
            continue
        low, high = measured(table, axis)
        for value in point if isinstance(point, tuple) else (point,):
            if value < low or value > high:
                outside.append((max(low - value, value - high), float(value)))
    return max(outside)[1] if outside else None


def axis_beyond(table: Table, *checkpoints: Checkpoint | None) -> str | None:
    """The column of the first checkpoint that lies outside what was measured; else None."""
    past = (point for point in checkpoints if beyond(table, point) is not None)
    return _axis(table, next(past, None))


def measured(table: Table, axis: str | None = None) -> tuple[float, float]:
    """First and last value of the checkpoint column (or of ``axis``)."""
    column = axis or table.use or table.order
    if column == table.use and table.checkpoints:
        return table.checkpoints[0], table.checkpoints[-1]
    values = table.frame[column].to_numpy(dtype=float)
    return float(np.nanmin(values)), float(np.nanmax(values))


def _axis(table: Table, point: Checkpoint | None) -> str | None:
    """The column a checkpoint speaks of: a window counts rows in order, a point counts use."""
    if isinstance(point, tuple):
        return table.order or table.use
    return table.use or table.order


def label(value: str | float) -> str:
    """A condition as the columns of text hold it: 10.0 in a description is "10" in a column."""
    return value if isinstance(value, str) else f"{value:g}"


def labels(cells: pd.Series) -> pd.Series:
    """A column's cells as conditions: 20.0 is "20" where a column is read as numbers, because some
    other claim counts it as use or trends over it."""
    if pd.api.types.is_numeric_dtype(cells):
        return cells.map(lambda v: label(float(v)), na_action="ignore")
    return cells.astype(str)


def only(table: Table, column: str, value: str | float) -> Table:
    """The rows of ``table`` under one condition."""
    return replace(table, frame=table.frame[labels(table.frame[column]) == label(value)])


def only_rows(study: Study, picked: Mapping[str, str | float] | None) -> Study:
    """``study`` with those rows alone that hold ``picked`` (column: value) in every column.

    A table that lacks one of the columns stays as it is; what a table says of its items and
    checkpoints then holds for the rows that are left.
    """
    if not picked:
        return study
    tables = {
        name: _rows_of(table, picked) if set(picked) <= set(table.frame.columns) else table
        for name, table in study.tables.items()
    }
    return replace(study, tables=tables)


def holds(frame: pd.DataFrame, picked: Mapping[str, str | float]) -> NDArray[np.bool_]:
    """Which rows have each column's value; numbers are compared as numbers."""
    keep = np.ones(len(frame), dtype=bool)
    for column, value in picked.items():
        if pd.api.types.is_float_dtype(frame[column]):
            keep &= frame[column].to_numpy(dtype=float) == _number(value)
        else:
            keep &= frame[column].astype(str).to_numpy() == label(value)
    return keep


def _number(value: str | float) -> float:
    try:
        return float(value)
    except ValueError:
        return float("nan")


def _rows_of(table: Table, picked: Mapping[str, str | float]) -> Table:
    frame = table.frame[holds(table.frame, picked_whole(picked, table.nest, table.items))]
    here = set(frame[table.item].unique().astype(str))
    return replace(
        table,
        frame=frame,
        items=tuple(item for item in table.items if item in here),
        checkpoints=tuple(c for c in table.checkpoints if c in set(frame[table.use]))
        if table.use else (),
        notes=tuple(note for note in table.notes if note.row in frame.index),
        picked=True,
    )  # fmt: skip


def seen_span(table: Table, column: str) -> float | None:
    """How far the readings of a column lie apart, in its unit; None without two that differ."""
    if column not in table.frame:
        return None
    values = pd.to_numeric(table.frame[column], errors="coerce").to_numpy(dtype=float)
    values = values[np.isfinite(values)]
    return float(np.ptp(values)) or None if values.size else None


def grid(table: Table, measure: str) -> sample.Grid:
    """Items × checkpoints, repeats averaged."""
    return sample.grid(table.frame, table.item, table.use, measure)


def at(
    table: Table, measure: str, point: Checkpoint | None, cells: sample.Grid | None = None
) -> ItemValues:
    """Each item's value at a checkpoint or window, or its mean over all checkpoints.

    ``cells`` is the table's grid where the caller has it already.
    """
    if point is not None and _axis(table, point) == table.order and table.order is not None:
        first, last = point if isinstance(point, tuple) else (point, point)
        items, values, rows = sample.window_means(
            table.frame, table.item, table.order, measure, first, last
        )
        return _kept(tuple(items), np.asarray(values, dtype=float), rows)
    cells = cells or grid(table, measure)
    if point is None:
        return _kept(cells.items, sample.item_means(cells), cells.counts.sum(axis=1))
    return _kept(cells.items, sample.at(cells, point), _rows_at(cells, point))


def _rows_at(cells: sample.Grid, point: Checkpoint) -> NDArray[np.int64]:
    low, high = point if isinstance(point, tuple) else (point, point)
    columns = [i for i, use in enumerate(cells.uses) if low <= use <= high]
    return np.asarray(cells.counts[:, columns].sum(axis=1), dtype=np.int64)


def _kept(items: tuple[str, ...], values: Floats, rows: NDArray[np.int64]) -> ItemValues:
    here = np.isfinite(values)
    return ItemValues(
        items=tuple(i for i, ok in zip(items, here, strict=True) if ok),
        values=values[here],
        n_rows=int(rows[here].sum()),
        rows=tuple(int(n) for n in rows[here]),
        without=tuple(i for i, ok in zip(items, here, strict=True) if not ok),
    )


def before_after(table: Table, measure: str, start: Checkpoint, end: Checkpoint) -> Before:
    """Each item's reading at two checkpoints (or windows)."""
    along = {table.order} if table.order is not None else set()
    cells = None if {_axis(table, start), _axis(table, end)} <= along else grid(table, measure)
    first, second = at(table, measure, start, cells), at(table, measure, end, cells)
    a, b = first.as_dict(), second.as_dict()
    items = tuple(i for i in table.items if i in a and i in b)
    readings = (first.n_rows + second.n_rows) / max(1, len(first.items) + len(second.items))
    return Before(
        items=items,
        before=np.array([a[i] for i in items], dtype=float),
        after=np.array([b[i] for i in items], dtype=float),
        n_rows=first.rows_of(items) + second.rows_of(items),  # one read at one end only is not used
        readings_each=max(1.0, readings),
        without=tuple(i for i in table.items if i not in items),
    )


def operand(study: Study, xy: XY, table: str | None) -> tuple[Table, str]:
    """The table and measure that x or y of a test stands for."""
    if isinstance(xy, Operand):
        return study.tables[xy.table], xy.measure
    if table is not None and xy in study.tables[table].measures:
        return study.tables[table], xy
    return study.table_of(xy), xy


def pairs_of_items(
    x: tuple[Table, str], y: tuple[Table, str], point: Checkpoint | None = None
) -> Pairs:
    """One point per item.

    Without a checkpoint an item's mean is taken over the checkpoints at which all items have both
    x and y: neither a reading missing on one side nor one item's longer use can tilt the other.
    Where they share none, each item's own have to do, and ``shared`` is 0.  Nor is the mean of an
    item read on one oil alone held against means over two (``Pairs.lacking``).
    """
    lacking, by = _lacking(x, y)
    every = set(x[0].items) | set(y[0].items)
    mixed = bool(lacking) and len(every) - len(lacking) < max(FEWEST, len(lacking))
    if lacking and not mixed:
        x, y = (_without(side, lacking) for side in (x, y))
    shared = shared_at = None
    unmatched = False
    if point is None and x[0].use and y[0].use:
        every_pair = pairs_of_checkpoints(x, y)
        both, shared = at_shared(every_pair)
        unmatched = bool({i.rpartition(" at ")[0] for i in every_pair.alone} & {*every_pair.names})
        shared_at = float(both.use[0]) if shared == 1 else None
        means = means_of_items(both)
        left = dict(zip(means.items.tolist(), means.x.tolist(), strict=True))
        right = dict(zip(means.items.tolist(), means.y.tolist(), strict=True))
        rows, of_each = both.n_rows, means.rows
    else:
        a, b = at(*x, point), at(*y, point)
        left, right = a.as_dict(), b.as_dict()
        used = [i for i in left if i in right]
        each = (a.rows_of(used), b.rows_of(used))
        rows = max(each) if x[0] is y[0] else sum(each)  # in one table they share their rows
        of_each = None
    names = tuple(dict.fromkeys((*x[0].items, *y[0].items)))
    items = tuple(i for i in names if i in left and i in right)
    return Pairs(
        items=np.array(items, dtype=np.str_),
        use=np.full(len(items), np.nan),
        x=np.array([left[i] for i in items], dtype=float),
        y=np.array([right[i] for i in items], dtype=float),
        n_rows=rows,
        rows=of_each,
        alone=tuple(i for i in names if i not in items),
        shared=shared,
        shared_at=shared_at,
        unmatched=unmatched,
        lacking=lacking,
        lacking_by=by,
        mixed=mixed,
    )


#: Items that have to be left, and more than are left out, for some to be left out.
FEWEST = 3


def _without(side: Side, lacking: tuple[str, ...]) -> Side:
    table, measure = side
    keep = ~table.frame[table.item].astype(str).isin(lacking)
    left = tuple(item for item in table.items if item not in lacking)
    return replace(table, frame=table.frame[keep], items=left), measure


def _lacking(*sides: Side) -> tuple[tuple[str, ...], str]:
    """The items that were not read under every condition that others were, and the first column
    of such conditions; a condition is a column of words that differs within an item."""
    found: dict[str, str] = {}
    for table, measure in sides:
        if table.mean_of is not None or table.counted:
            continue
        read = table.frame[table.frame[measure].notna()]
        keys = {table.item, table.use, table.group, *table.nest}
        for column in (c for c in read.columns if c not in keys and hasattr(read[c], "cat")):
            held = read.groupby(table.item, observed=True)[column].nunique()
            if len(held) and held.max() > 1:
                few = held[held < read[column].nunique()].index
                found |= {str(item): str(column) for item in few if str(item) not in found}
    order = [item for item in dict.fromkeys(i for t, _ in sides for i in t.items) if item in found]
    return tuple(order), found[order[0]] if order else ""


def means_of_items(pairs: Pairs) -> Pairs:
    """Each item's mean x and y over its points."""
    names = pairs.names
    rows = [pairs.items == name for name in names]
    return replace(
        pairs, items=np.array(names, dtype=np.str_), use=np.full(len(names), np.nan), series=None,
        rows=None if pairs.rows is None else np.array([pairs.rows[here].sum() for here in rows]),
        x=np.array([pairs.x[here].mean() for here in rows], dtype=float),
        y=np.array([pairs.y[here].mean() for here in rows], dtype=float),
    )  # fmt: skip


def at_shared(pairs: Pairs) -> tuple[Pairs, int | None]:
    """The points at checkpoints that all items share, and how many those are.

    None in place of the number where every item stands at every checkpoint; with none shared, or
    rows at no checkpoint, all points stay.
    """
    items, uses = pairs.names, sorted(set(pairs.use[np.isfinite(pairs.use)].tolist()))
    here = set(zip(pairs.items.tolist(), pairs.use.tolist(), strict=True))
    common = [use for use in uses if all((item, use) in here for item in items)]
    if len(common) == len(uses):
        return pairs, None
    return (kept(pairs, np.isin(pairs.use, common)) if common else pairs), len(common)


#: So many items are a link at one checkpoint at least: Fisher's range takes four.
AT_ONE = 4


def at_each(pairs: Pairs) -> list[Pairs]:
    """The points at each checkpoint alone that has ``AT_ONE`` items; empty where that leaves an
    item out, which then was read beside no others."""
    uses = sorted(set(pairs.use[np.isfinite(pairs.use)].tolist()))
    alone = [kept(pairs, pairs.use == use) for use in uses]
    enough = [points for points in alone if len(points.x) >= AT_ONE]
    seen = {item for points in enough for item in points.items.tolist()}
    return enough if seen >= set(pairs.items.tolist()) else []


def kept(pairs: Pairs, rows: NDArray[np.bool_]) -> Pairs:
    """Some of the points, and no more rows than those are of."""
    each = None if pairs.rows is None else pairs.rows[rows]
    return replace(
        pairs, items=pairs.items[rows], use=pairs.use[rows], x=pairs.x[rows], y=pairs.y[rows],
        rows=each, n_rows=pairs.n_rows if each is None else int(each.sum()),
        series=None if pairs.series is None else pairs.series[rows],
    )  # fmt: skip


#: Series numbers that items do not share are taken in blocks of so many at most, a long series too.
BLOCK, MOST_LEVELS = 10, 200


def levels_of(order: Floats, items: NDArray[np.str_]) -> Floats:
    """The levels of a series at which what all items share can be seen.

    A number of the series is a level where at least two items have it.  Where numbers are not
    shared (every item has shots of its own in one long afternoon), neighbors make a level: as many
    as there are items, or the few more at which each level holds two items, so that little of the
    drift is left inside a level (ten let 8% of false links of four items pass); else ten.
    """
    numbers, place = np.unique(order, return_inverse=True)
    who = np.unique(items, return_inverse=True)[1]
    holders = np.bincount(np.unique(np.stack([place, who]), axis=1)[0], minlength=numbers.size)
    if (holders >= 2).all() and numbers.size <= MOST_LEVELS:
        return order
    for size in range(max(2, int(who.max()) + 1), BLOCK):
        blocks = place // size
        held = np.unique(np.stack([blocks, who]), axis=1)[0]
        if (np.bincount(held)[:-1] >= 2).all():
            return np.asarray(blocks, dtype=np.float64)
    return np.asarray(place // BLOCK, dtype=np.float64)


def groups_of(study: Study, tables: Sequence[Table], items: Sequence[str]) -> Words | None:
    """The group of each of ``items``: two at least, and not one for every item; else None.

    From the tables a test reads, else from any other of the study that sorts the same items.
    """
    for table in (*tables, *study.tables.values()):
        if table.group is None or table.group not in table.frame or not len(items):
            continue
        found = table.frame[[table.item, table.group]].dropna().drop_duplicates()
        names, groups = found[table.item].astype(str), found[table.group].astype(str)
        of = dict(zip(names, groups, strict=True))
        if len(of) < len(found) or not set(items) <= set(of):
            continue  # an item in two groups is in none
        sorted_ = np.array([of[item] for item in items], dtype=np.str_)
        return sorted_ if 2 <= np.unique(sorted_).size < len(items) else None
    return None


def uneven(groups: Words | None) -> bool:
    """Whether some groups have more of the items than others."""
    return groups is not None and np.unique(np.unique(groups, return_counts=True)[1]).size > 1


def flat(sides: Sequence[Side], values: Sequence[Floats]) -> tuple[str, ...]:
    """Those measures that are the same for all."""
    return tuple(side[1] for side, v in zip(sides, values, strict=True) if v.size and not np.ptp(v))


@dataclass(frozen=True)
class Repeats:
    """What repeat readings of one item at one checkpoint say of a single reading."""

    sd: float
    """Spread of one reading within an item, pooled over items, in the measure's unit."""
    df: int


def repeats(table: Table, measure: str, point: Checkpoint | None = None) -> Repeats | None:
    """Spread of readings within an item and checkpoint, pooled; None without any repeat."""
    frame = table.frame
    if point is not None and (axis := _axis(table, point)) is not None:
        low, high = point if isinstance(point, tuple) else (point, point)
        frame = frame[frame[axis].between(low, high)]
    return spread_within(frame, [table.item, *([table.use] if table.use else [])], measure)


def spread_within(frame: pd.DataFrame, keys: str | list[str], measure: str) -> Repeats | None:
    """Spread of readings that agree in ``keys``, pooled; None without any repeat."""
    cells = frame.dropna(subset=[measure]).groupby(keys, sort=False, observed=True)[measure]
    counts, variances = cells.count().to_numpy(), cells.var(ddof=1).to_numpy()
    several = counts > 1
    df = int((counts[several] - 1).sum())
    if df < 1:
        return None
    return Repeats(float(np.sqrt(((counts - 1) * variances)[several].sum() / df)), df)


def several_each(x: tuple[Table, str], y: tuple[Table, str]) -> bool:
    """Whether an item has several points of x and y: at checkpoints, or row by row in one table."""
    if x[0].use is not None and y[0].use is not None:
        return True
    return x[0] is y[0] and x[0].use is None and len(x[0].frame) > len(x[0].items)


def _pairs_of_rows(table: Table, x: str, y: str) -> Pairs:
    """One point per row, where a table counts no use: x and y were read together."""
    frame = table.frame
    a, b = frame[x].to_numpy(dtype=float), frame[y].to_numpy(dtype=float)
    items = frame[table.item].to_numpy(dtype=np.str_)
    both, either = np.isfinite(a) & np.isfinite(b), np.isfinite(a) | np.isfinite(b)
    rows = frame.index.to_numpy()[either & ~both].tolist()
    alone = zip(items[either & ~both].tolist(), rows, strict=True)
    series = None
    if table.order is not None and both.any():
        series = levels_of(frame[table.order].to_numpy(dtype=float)[both], items[both])
    return Pairs(
        series=series,
        items=items[both],
        use=np.full(int(both.sum()), np.nan),
        x=a[both],
        y=b[both],
        n_rows=int(both.sum()),
        rows=np.ones(int(both.sum()), dtype=np.int64),
        alone=tuple(f"{item} in row {row}" for item, row in alone),
    )


def pairs_of_checkpoints(x: tuple[Table, str], y: tuple[Table, str]) -> Pairs:
    """One point per item and checkpoint where both were read; per row in a table without use."""
    if x[0] is y[0] and x[0].use is None:
        return _pairs_of_rows(x[0], x[1], y[1])
    left, right = _long(*x, "x"), _long(*y, "y")
    joined = left.merge(right, on=["item", "use"], how="outer", sort=False)
    both = joined["x"].notna() & joined["y"].notna()
    alone = joined[~both & (joined["x"].notna() | joined["y"].notna())]
    kept = joined[both]
    order = {name: i for i, name in enumerate((*x[0].items, *y[0].items))}
    kept = kept.assign(place=kept["item"].map(order)).sort_values(["place", "use"], kind="stable")
    rows = kept["rows_y"] if x[0] is y[0] else kept["rows_x"] + kept["rows_y"]
    return Pairs(
        items=kept["item"].to_numpy(dtype=np.str_),
        use=kept["use"].to_numpy(dtype=float),
        x=kept["x"].to_numpy(dtype=float),
        y=kept["y"].to_numpy(dtype=float),
        n_rows=int(rows.sum()),
        rows=rows.to_numpy(dtype=np.int64),
        alone=tuple(f"{i} at {u:g}" for i, u in zip(alone["item"], alone["use"], strict=True)),
    )


def _long(table: Table, measure: str, name: str) -> pd.DataFrame:
    """A grid as rows of item, use, value and how many rows it is the mean of."""
    cells = grid(table, measure)
    uses = cells.uses or (0.0,)
    return pd.DataFrame(
        {
            "item": np.repeat(np.array(cells.items, dtype=object), len(uses)),
            "use": np.tile(np.array(uses, dtype=float), len(cells.items)),
            name: cells.values.ravel(),
            f"rows_{name}": cells.counts.ravel(),
        }
    )
