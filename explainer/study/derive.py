"""Measures that are worked out: from ball paths, or as difference or ratio of two others.

A path measure stands in the path table itself, in the last row of each path, and is empty in
that path's other rows: so a path counts once, however many points it was measured at.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from explainer import units
from explainer.errors import Problem
from explainer.study.csvfile import fault
from explainer.study.description.sources import Derived, Measure
from explainer.study.description.study import Description
from explainer.study.model import CellNote, Table
from explainer.study.roles import derived
from explainer.study.rows import out_of_range
from explainer.study.tables import Origin, Sheet
from explainer.units import BOARD_INCHES

# What one ball path says in a number: total hook, entry angle, breakpoint, board at a distance.
# A path is two arrays of equal length: feet down the lane, ascending, and the board the ball is
# on, counted from the bowler's side. Formulas as in the project's notes on methods, section 13.

Floats = NDArray[np.float64]


class PathError(ValueError):
    """A path too short for what is asked.  Internal: becomes a Problem with the path's row."""


def total_hook(feet: Floats, board: Floats, launch: tuple[float, float]) -> float:
    """Boards between the last point and the launch line carried on to the same distance.

    The launch line is the straight line (least squares) through the points that lie from
    ``launch[0]`` to ``launch[1]`` feet; at least two are needed, and one beyond.
    """
    straight = (feet >= launch[0]) & (feet <= launch[1])
    if np.count_nonzero(straight) < 2:
        raise PathError(f"fewer than 2 points from {launch[0]:g} to {launch[1]:g} feet")
    if straight[-1]:
        raise PathError(f"no point past {launch[1]:g} feet")
    x, y = feet[straight], board[straight]
    middle = x.mean()
    slope = float(((x - middle) * (y - y.mean())).sum() / ((x - middle) ** 2).sum())
    return float(board[-1] - (y.mean() + slope * (feet[-1] - middle)))


def entry_angle(feet: Floats, board: Floats) -> float:
    """Degrees between the last segment of the path and the lane's length.

    Positive where the ball moves away from the bowler's side.  The width of a board is that of
    ``explainer.units``.
    """
    if len(feet) < 2:
        raise PathError("fewer than 2 points")
    sideways = float(board[-1] - board[-2]) * BOARD_INCHES
    return math.degrees(math.atan2(sideways, float(feet[-1] - feet[-2]) * 12))


def breakpoint_feet(feet: Floats, board: Floats) -> float:
    """Feet at which the path is farthest out: known only to the spacing of the points.

    Farthest out is the lowest board of a path that comes back up, the highest of one that comes
    back down; the first such point where several are equal.  A path that never turns has its
    breakpoint where it starts to leave its outermost board.
    """
    if len(feet) < 3:
        raise PathError("fewer than 3 points")
    low, high = int(np.argmin(board)), int(np.argmax(board))
    below = min(board[0], board[-1]) - board[low]
    above = board[high] - max(board[0], board[-1])
    return float(feet[high if above > below else low])


def board_at(feet: Floats, board: Floats, at: float) -> float:
    """The board at ``at`` feet, by straight lines between the points; never beyond them."""
    if not len(feet) or at < feet[0] or at > feet[-1]:
        raise PathError(f"no points on both sides of {at:g} feet")
    return float(np.interp(at, feet, board))


Sheets = dict[str, Sheet]

#: What can be taken from a path: how, and in which unit it comes.
PATH_MEASURES: dict[str, tuple[Callable[[Floats, Floats, Derived], float], str]] = {
    "total hook": (lambda x, y, d: total_hook(x, y, d.launch), "board"),
    "entry angle": (lambda x, y, d: entry_angle(x, y), "degree"),
    "breakpoint": (lambda x, y, d: breakpoint_feet(x, y), "foot"),
    "board at": (lambda x, y, d: board_at(x, y, d.at or 0.0), "board"),
}


def derive(source: Origin, sheets: Sheets) -> tuple[Sheets, list[Problem]]:
    """``sheets`` with every derived measure added to the table (or tables) it stands in.

    A measure whose operands are not there is left out: the check of names says so.
    """
    sheets = dict(sheets)
    problems: list[Problem] = []
    waiting = dict(derived(source.description))
    while True:  # a difference of derived measures waits for both
        ready = {name: _homes(m, sheets) for name, m in waiting.items()}
        ready = {name: homes for name, homes in ready.items() if homes}
        if not ready:
            return sheets, problems
        for name, homes in ready.items():
            measure = waiting.pop(name)
            for home in homes:
                sheets[home], found = _added(source, sheets[home], name, measure)
                problems += found


# How exact a measure is that is worked out: its parts' errors together, by the law of propagation
# for parts read one by one (JCGM 100:2008, 5.1.2).  A part that comes in twice counts with both.

Parts = dict[str, float]


def with_gauges(description: Description, tables: Mapping[str, Table]) -> Description:
    """``description`` with the repeatability of each difference and ratio that declares none.

    In the measure's unit, as its parts are declared: scatter and step together.  A ratio is off by
    more where it is larger, so the worst of its rows counts.  It stays unknown where a part's is.
    """
    measures = dict(description.measures)
    for name, measure in derived(description):
        if measure.repeatability_sd is not None or measure.derived is None:
            continue
        if measure.derived.path is None and (sd := _gauge(description, name, tables)) is not None:
            measures[name] = measure.model_copy(update={"repeatability_sd": sd})
    return description.model_copy(update={"measures": measures})


def with_chart_errors(description: Description, table: Table) -> Table:
    """``table`` with how far each of its differences may be off, in errors of reading a chart."""
    times = {
        name: math.sqrt(sum(part * part for part in parts.values()))
        for name, _ in derived(description)
        if name in table.measures and (parts := _parts(description, name)) and len(parts) > 1
    }
    return replace(table, chart_times=MappingProxyType(times))


def _parts(description: Description, name: str) -> Parts:
    """The measured parts of a difference, of differences too, and by what each is multiplied."""
    measure = description.measures[name]
    how = measure.derived
    if how is None or how.difference is None:
        return {name: 1.0}
    out: Parts = {}
    for part, sign in zip(how.difference, (1.0, -1.0), strict=True):
        ends = (units.convert(v, description.measures[part].unit, measure.unit) for v in (1.0, 0.0))
        times = sign * (next(ends) - next(ends))  # a step of it: two scales may start elsewhere
        for inner, weight in _parts(description, part).items():
            out[inner] = out.get(inner, 0.0) + times * weight
    return out


def _gauge(description: Description, name: str, tables: Mapping[str, Table]) -> float | None:
    """Standard uncertainty of one value of a difference or ratio; None where a part's is unknown.
    """
    measure = description.measures[name]
    how = measure.derived
    if how is None or measure.repeatability_sd is not None:
        return _declared(measure)
    if how.ratio is not None:
        return _of_ratio(description, name, how.ratio, tables)
    if how.path is not None:
        return None
    total = 0.0
    for part, weight in _parts(description, name).items():
        own = _gauge(description, part, tables)
        if own is None:
            return None
        total += (weight * own) ** 2
    return math.sqrt(total)


def _declared(measure: Measure) -> float | None:
    """Scatter and step of one reading together (JCGM 100:2008, F.2.2.1)."""
    if measure.repeatability_sd is None:
        return None
    return math.hypot(measure.repeatability_sd, (measure.resolution or 0.0) / math.sqrt(12))


def _of_ratio(
    description: Description, name: str, parts: tuple[str, str], tables: Mapping[str, Table]
) -> float | None:
    """The largest over all rows of |ratio|·√((u₁/a)² + (u₂/b)²), without dividing by a."""
    top, bottom = (_gauge(description, part, tables) for part in parts)
    if top is None or bottom is None:
        return None
    worst: list[float] = []
    for table in tables.values():
        if not {name, *parts} <= set(table.measures):
            continue
        a, b, ratio = (table.frame[m].to_numpy(dtype=float) for m in (*parts, name))
        known = ~np.isnan(ratio) & (b != 0)
        a, b, ratio = a[known], b[known], ratio[known]
        if not len(a) or not np.any(a):
            continue
        # What one of a counts in the ratio's unit; the same in every row, and 0 tells nothing.
        scale = float(np.median((ratio * b / np.where(a == 0, 1.0, a))[a != 0]))
        worst.append(float(np.max(np.hypot(scale * top / b, ratio * bottom / b))))
    return max(worst, default=None)


def _homes(measure: Measure, sheets: Sheets) -> list[str]:
    """The tables a derived measure can be worked out in now."""
    how = measure.derived
    if how is None:
        return []
    if how.path is not None:
        sheet = sheets.get(how.path)
        there = sheet is not None and {how.distance, how.board} <= set(sheet.columns)
        return [how.path] if there else []
    operands = set(how.difference or how.ratio or ())
    return [name for name, sheet in sheets.items() if operands <= set(sheet.measures)]


def _added(
    source: Origin, sheet: Sheet, name: str, measure: Measure
) -> tuple[Sheet, list[Problem]]:
    sheet = replace(sheet, measures=(*sheet.measures, name))
    how, table = measure.derived, sheet.table
    if how is None or table is None:
        return sheet, []
    at = ("measures", name, "derived")
    if name in table.frame.columns:
        found = f"a column `{name}` in {sheet.file}, beside a measure worked out under that name"
        return sheet, [source.problem(at, found, "one or the other", key=True)]
    notes: list[CellNote] = []
    try:
        if how.path is not None:
            values, notes, problems = _from_paths(table, name, how, sheet)
            unit = PATH_MEASURES[how.what or ""][1]
        else:
            values, unit, problems = _from_two(source, table, how, measure.unit)
        if unit and unit != measure.unit:
            values = units.convert(values, unit, measure.unit)
    except units.UnitError as error:
        if not units.known(measure.unit):
            return sheet, []
        place = ("measures", name, "unit")
        found = f"the unit `{measure.unit}`"
        return sheet, [source.problem(place, found, "one that fits", str(error), "unit")]
    frame = table.frame.assign(**{name: values})
    problems += out_of_range(sheet.file, frame, name, measure)
    table = replace(
        table,
        frame=frame,
        measures=(*table.measures, name),
        notes=(*table.notes, *notes),
    )
    return replace(sheet, table=table), problems


def _from_two(
    source: Origin, table: Table, how: Derived, wanted: str
) -> tuple[Floats, str, list[Problem]]:
    """Difference or ratio of two measures, row by row, and its unit ("": as declared)."""
    first, second = how.difference or how.ratio or ("", "")
    left, right = (source.description.measures[m].unit for m in (first, second))
    a, b = (table.frame[m].to_numpy(dtype=np.float64) for m in (first, second))
    if how.difference is not None:
        return a - units.convert(b, right, left), left, []
    unit, times = f"{left}/{right}", 1.0
    if units.alike(left, right):
        b = units.convert(b, right, left)
        unit, times = ("percent", 100.0) if wanted == "percent" else ("", 1.0)
    elif not units.alike(unit, wanted):
        unit = ""
    zero = np.flatnonzero(b == 0)
    if len(zero):
        row = int(table.frame.index[zero[0]])
        return a, unit, [fault(table.file, row, second, "0", f"a value to divide `{first}` by")]
    return times * a / b, unit, []


def _from_paths(
    table: Table, name: str, how: Derived, sheet: Sheet
) -> tuple[Floats, list[CellNote], list[Problem]]:
    """One number per path, in the path's last row."""
    values = np.full(len(table.frame), np.nan)
    notes: list[CellNote] = []
    problems: list[Problem] = []
    work = PATH_MEASURES[how.what or ""][0]
    for rows in _each_path(table, how, sheet):
        path = table.frame.iloc[rows]
        means = path.groupby(how.distance, sort=True)[how.board].mean()
        feet = means.index.to_numpy(dtype=np.float64)
        board = means.to_numpy(dtype=np.float64)
        last = int(rows[np.argmax(path[how.distance].to_numpy())])
        row = int(table.frame.index[last])
        missing = np.isnan(board)
        try:
            if missing.any() and (missing[-1] or how.what == "entry angle"):
                raise PathError("points are missing")
            values[last] = work(feet[~missing], board[~missing], how)
        except PathError as error:
            if missing.any():
                notes.append(_unknown(table, name, last, str(error)))
                continue
            found = f"a path that ends here with {error}"
            expected = f"enough points for the {how.what}"
            problems.append(fault(table.file, row, how.board, found, expected, code="path"))
    return values, notes, problems


def _each_path(table: Table, how: Derived, sheet: Sheet) -> Iterator[NDArray[np.int64]]:
    """Row positions of each path: rows alike in item, checkpoint, order and conditions."""
    keys = [k for k in (sheet.roles.keys if sheet.roles else ()) if k != how.distance]
    groups = table.frame.groupby(keys, sort=False, observed=True, dropna=False)
    for _, path in groups.indices.items():
        yield np.asarray(path, dtype=np.int64)


def _unknown(table: Table, name: str, position: int, why: str) -> CellNote:
    """A path whose points are not all there has no value: named like any missing reading."""
    item = str(table.frame[table.item].to_numpy()[position])
    use = float(table.frame[table.use].to_numpy()[position]) if table.use else None
    row = int(table.frame.index.to_numpy()[position])
    return CellNote(table.name, row, name, item, use, "", why)
