"""One CSV file and what the description says of it, put together into a ``Table``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer import units
from explainer.errors import Problem
from explainer.study.csvfile import Cells, read_cells
from explainer.study.csvscan import SHOWN, Scan, fault, scan
from explainer.study.describe import UNUSED, place_of
from explainer.study.description.measures import Measure
from explainer.study.description.sources import Excluded
from explainer.study.description.study import Description
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.model import CellNote, Table
from explainer.study.near import hint, listed
from explainer.study.roles import Roles, all_names, counts, roles_of
from explainer.study.yaml12 import Document
from explainer.study.yaml12 import Path as YamlPath


@dataclass(frozen=True)
class Sheet:
    """A table as far as it could be read: checks of names need only its header."""

    name: str
    file: str
    columns: tuple[str, ...]
    """Its header, with names as in the description; empty where the file cannot be read."""
    roles: Roles | None
    table: Table | None
    sha256: str = ""
    measures: tuple[str, ...] = ()
    """Measures it holds, those derived in it included."""


@dataclass(frozen=True)
class Source:
    """What a table is read from: the description, the places in it, and the folder."""

    description: Description
    document: Document
    folder: Path

    def problem(
        self, path: YamlPath, found: str, expected: str = "", hint: str = "", code: str = "",
        key: bool = False,
    ) -> Problem:  # fmt: skip
        """A problem at a place of study.yaml (at the key rather than the value with ``key``)."""
        line, column = place_of(path, self.document, key)
        return Problem(
            "study.yaml", line, column, found=found, expected=expected, hint=hint,
            happens=UNUSED, code=code,
        )  # fmt: skip


def read_sheet(source: Source, name: str) -> tuple[Sheet, list[Problem]]:
    """The table called ``name``, with everything that is wrong with it."""
    described = source.description.tables[name]
    empty = Sheet(name, described.file, (), None, None)
    try:
        data = read_file(source.folder, described.file, MAX_CSV_BYTES)
    except FileFault as error:
        at = ("tables", name, "file")
        return empty, [source.problem(at, error.found, error.expected, error.hint, error.code)]
    digest = sha256(data).hexdigest()
    scanned, problems = scan(data, described.file)
    if scanned is None:
        return replace(empty, sha256=digest), problems
    header, problems = _renamed(source, name, scanned)
    roles = roles_of(source.description, name, header)
    sheet = Sheet(name, described.file, header, roles, None, digest, roles.measures)
    problems += _missing_columns(source, name, header, roles)
    if problems:
        return sheet, problems
    names = described.columns
    cells, problems = read_cells(
        scanned, described.file, names, roles.text, roles.numbers, described.missing
    )
    if cells is None:
        return sheet, problems
    table, problems = _table(source, name, roles, cells)
    return replace(sheet, table=table), problems


def _renamed(source: Source, name: str, scanned: Scan) -> tuple[tuple[str, ...], list[Problem]]:
    """The header with names as in the description, and renamings that lead nowhere."""
    renames = source.description.tables[name].columns
    known = all_names(source.description)
    problems = []
    for old, new in renames.items():
        at = ("tables", name, "columns", old)
        if old not in scanned.header:
            found = f"no column `{old}` in {source.description.tables[name].file}"
            problems.append(
                source.problem(
                    at,
                    found,
                    f"one of {listed(scanned.header, 30)}",
                    hint(old, scanned.header),
                    "no-column",
                    key=True,
                )
            )
        elif new not in known:
            found = f"the new name `{new}`, which nothing else mentions"
            problems.append(
                source.problem(at, found, f"one of {listed(sorted(known), 30)}", hint(new, known))
            )
        elif new in scanned.header and new not in renames:
            found = f"the new name `{new}`, which another column already has"
            problems.append(source.problem(at, found, "each name once"))
    header = tuple(renames.get(column, column) for column in scanned.header)
    twice = [c for c in dict.fromkeys(header) if header.count(c) > 1]
    if twice and not problems:
        found = f"two columns renamed `{twice[0]}`"
        problems.append(source.problem(("tables", name, "columns"), found, "each name once"))
    return header, problems


def _missing_columns(
    source: Source, name: str, header: tuple[str, ...], roles: Roles
) -> list[Problem]:
    """Columns that this table's own block names and its file does not have."""
    described = source.description.tables[name]
    base: YamlPath = ("tables", name)
    wanted: list[tuple[YamlPath, str | None]] = [((*base, "order"), described.order)]
    if described.rows_are is None:
        own = (*base, "tested", "each") if described.tested else ("tested", "each")
        wanted.append((own, roles.item))
    else:
        wanted.append(((*base, "rows_are", "sd"), described.rows_are.sd))
    if described.tested is not None:
        wanted.append(((*base, "tested", "group"), described.tested.group))
    if described.use is not None:
        wanted.append(((*base, "use", "column"), described.use.column))
    return [
        no_column(source, at, column, described.file, header)
        for at, column in wanted
        if column is not None and column not in header
    ]


def no_column(
    source: Source, at: YamlPath, column: str, file: str, header: Iterable[str]
) -> Problem:
    """A name in study.yaml that no column of ``file`` has."""
    header = list(header)
    found = f"no column `{column}` in {file}"
    return source.problem(
        at, found, f"one of {listed(header, 30)}", hint(column, header), "no-column"
    )


def _table(
    source: Source, name: str, roles: Roles, cells: Cells
) -> tuple[Table | None, list[Problem]]:
    """The cells checked against what the description says of them."""
    described = source.description.tables[name]
    file = described.file
    frame = cells.frame
    problems = [*_blank_keys(file, frame, roles), *_duplicates(file, frame, roles, cells)]
    problems += _mixed_groups(file, frame, roles, cells)
    notes = [*_missing_notes(name, frame, roles, cells)]
    left_out, found = _excluded(source, name, frame)
    problems += found
    notes += _excluded_notes(name, frame, roles, left_out)
    problems += _converted(source, name, frame, roles)
    rows = [entry.row for entry in left_out]
    if rows:
        frame.loc[rows, list(roles.values)] = np.nan
    problems += _impossible(source.description, file, frame, roles)
    if problems:
        return None, problems
    if roles.item not in frame.columns:
        frame.insert(0, roles.item, "average")  # a table of averages may name no items
    use = roles.use
    sheet = described.rows_are
    table = Table(
        name=name,
        file=file,
        frame=frame,
        item=roles.item,
        use=use.column if use else None,
        group=roles.group,
        order=roles.order,
        measures=roles.measures,
        checkpoints=_distinct(frame[use.column]) if use else (),
        items=tuple(str(item) for item in frame[roles.item].unique()),
        use_term=(use.term or use.column) if use else "",
        use_unit=use.unit if use else "",
        source=described.source or "",
        reading_error=described.reading_error or 0.0,
        mean_of=sheet.mean_of if sheet else None,
        sd_column=sheet.sd if sheet else None,
        notes=tuple(sorted(notes, key=lambda n: (n.row, n.column))),
    )
    return table, []


def _distinct(column: pd.Series) -> tuple[float, ...]:
    return tuple(float(value) for value in np.unique(column.to_numpy()))


def _blank_keys(file: str, frame: pd.DataFrame, roles: Roles) -> Iterator[Problem]:
    """A row that does not say which item, checkpoint or condition it belongs to."""
    for column in roles.keys:
        values = frame[column]
        blank = values.isna() if column in roles.numbers else values == ""
        rows = frame.index[blank.to_numpy()]
        for row in rows[:SHOWN]:
            yield fault(file, int(row), column, "an empty cell", f"the {column} of this row")
        if len(rows) > SHOWN:
            yield fault(file, int(rows[SHOWN]), column, f"{len(rows) - SHOWN} more empty cells")


def _duplicates(file: str, frame: pd.DataFrame, roles: Roles, cells: Cells) -> Iterator[Problem]:
    """Rows that agree in all keys where an order or repeat column tells rows apart."""
    if not roles.numbered or len(frame) < 2:
        return
    codes = [cells.codes.get(column, frame[column].to_numpy()) for column in roles.keys]
    if _in_order(codes):
        return
    again = frame.duplicated(list(roles.keys))
    rows = frame.index[again.to_numpy()]
    for row in rows[:SHOWN]:
        alike = (frame[list(roles.keys)] == frame.loc[row, list(roles.keys)]).all(axis=1)
        first = int(frame.index[alike.to_numpy()][0])
        found = f"the same {', '.join(roles.keys)} as row {first}"
        yield fault(file, int(row), None, found, "each reading once", code="duplicate")
    if len(rows) > SHOWN:
        more = f"{len(rows) - SHOWN} more rows that stand twice"
        yield fault(file, int(rows[SHOWN]), None, more, code="duplicate")


def _in_order(keys: list[NDArray[np.float64] | NDArray[np.int64]]) -> bool:
    """Whether rows strictly ascend by their keys, in runs: a quick proof that none is twice.

    The last column that changes is taken to count up within runs of the others; each run's
    other keys must be new.  False means "not shown", not "twice".
    """
    *outer, inner = sorted(keys, key=lambda k: int(np.count_nonzero(np.diff(k))))
    starts = np.zeros(len(inner), dtype=bool)
    starts[0] = True
    for key in outer:
        starts[1:] |= key[1:] != key[:-1]
    rising = inner[1:] > inner[:-1]
    if not bool(np.all(rising | starts[1:])):
        return False
    heads = pd.DataFrame({str(i): key[starts] for i, key in enumerate(outer)})
    return not outer or not bool(heads.duplicated().any())


def _mixed_groups(file: str, frame: pd.DataFrame, roles: Roles, cells: Cells) -> Iterator[Problem]:
    """An item that stands in two groups: one of the two is a slip."""
    items, groups = cells.codes.get(roles.item), cells.codes.get(roles.group or "")
    if items is None or groups is None:
        return
    pairs, first = np.unique(
        items.astype(np.int64) * (int(groups.max()) + 1) + groups, return_index=True
    )
    owners = pairs // (int(groups.max()) + 1)
    seen: dict[int, int] = {}
    for owner, position in sorted(
        zip(owners.tolist(), first.tolist(), strict=True), key=lambda p: p[1]
    ):
        if owner not in seen:
            seen[owner] = position
            continue
        row, earlier = frame.iloc[position], frame.iloc[seen[owner]]
        found = f"{row[roles.item]} in the {roles.group} {row[roles.group]}"
        expected = f"{earlier[roles.group]}, as in row {frame.index[seen[owner]]}"
        yield fault(file, int(frame.index[position]), roles.group, found, expected, code="group")


def _missing_notes(
    name: str, frame: pd.DataFrame, roles: Roles, cells: Cells
) -> Iterator[CellNote]:
    for column in roles.values:
        rows = frame.index[frame[column].isna().to_numpy()]
        for row in rows:
            mark = cells.marks.get((int(row), column), "")
            yield _note(name, frame, roles, int(row), column, mark)


def _note(
    name: str, frame: pd.DataFrame, roles: Roles, row: int, column: str, mark: str, why: str = ""
) -> CellNote:
    item = str(frame.at[row, roles.item]) if roles.item in frame.columns else ""
    use = float(frame.at[row, roles.use.column]) if roles.use else None
    return CellNote(name, row, column, item, use, mark, why)


def _excluded(
    source: Source, name: str, frame: pd.DataFrame
) -> tuple[list[Excluded], list[Problem]]:
    """The author's exclusions in this table whose row is there, and those whose row is not."""
    here, problems = [], []
    for number, entry in enumerate(source.description.excluded):
        if entry.table != name:
            continue
        if entry.row in frame.index:
            here.append(entry)
            continue
        last = int(frame.index[-1])
        found = f"row {entry.row}, which holds no reading in {source.description.tables[name].file}"
        at = ("excluded", number, "row")
        problems.append(source.problem(at, found, f"a row from 2 to {last}", code="no-row"))
    return here, problems


def _excluded_notes(
    name: str, frame: pd.DataFrame, roles: Roles, left_out: list[Excluded]
) -> Iterator[CellNote]:
    for entry in left_out:
        for column in roles.values:
            value = frame.at[entry.row, column]
            if not np.isnan(value):
                yield _note(name, frame, roles, entry.row, column, f"{value:g}", entry.why)


def _converted(source: Source, name: str, frame: pd.DataFrame, roles: Roles) -> Iterator[Problem]:
    """Columns given in another unit, brought to the measure's own unit in place."""
    for measure, unit in source.description.tables[name].units.items():
        at = ("tables", name, "units", measure)
        if measure not in roles.measures:
            expected = f"one of {listed(roles.measures)}"
            found = f"the unit of `{measure}`, which is no measure of this table"
            yield source.problem(at, found, expected, hint(measure, roles.measures), key=True)
            continue
        wanted = source.description.measures[measure].unit
        if not units.known(unit) or not units.known(wanted):
            continue  # the check of units says so, with its place
        try:
            frame[measure] = units.convert(frame[measure].to_numpy(), unit, wanted)
        except units.UnitError:
            found = f"the unit `{unit}` for `{measure}`"
            yield source.problem(at, found, f"a unit that converts to `{wanted}`", code="unit")


def _impossible(
    description: Description, file: str, frame: pd.DataFrame, roles: Roles
) -> Iterator[Problem]:
    """Readings outside what the description or the kind of column allows."""
    for name in roles.measures:
        yield from out_of_range(file, frame, name, description.measures[name])
    pairs = [(s, a) for s, a in counts(description) if s in frame and a in frame]
    for column in sorted({c for pair in pairs for c in pair} - set(roles.measures)):
        values = frame[column].to_numpy()
        wrong = (values < 0) | (~np.isnan(values) & (values % 1 != 0))
        yield from _cells(file, frame, column, wrong, "a whole number, 0 or more")
    for successes, attempts in pairs:
        over = (frame[successes] > frame[attempts]).to_numpy()
        yield from _cells(file, frame, successes, over, f"no more than the {attempts}")


def out_of_range(file: str, frame: pd.DataFrame, name: str, measure: Measure) -> Iterator[Problem]:
    """Cells of a measure below its ``lowest`` or above its ``highest``."""
    values, unit = frame[name].to_numpy(), units.short(measure.unit)
    if measure.lowest is not None:
        words = f"{measure.lowest:g} {unit}".strip() + " or more"
        yield from _cells(file, frame, name, values < measure.lowest, words)
    if measure.highest is not None:
        words = f"at most {measure.highest:g} {unit}".strip()
        yield from _cells(file, frame, name, values > measure.highest, words)


def _cells(
    file: str, frame: pd.DataFrame, column: str, wrong: NDArray[np.bool_], expected: str
) -> Iterator[Problem]:
    rows = frame.index[wrong]
    for row in rows[:SHOWN]:
        found = f"{frame.at[row, column]:.10g}"
        yield fault(file, int(row), column, found, expected, code="impossible")
    if len(rows) > SHOWN:
        more = f"{len(rows) - SHOWN} more cells like these"
        yield fault(file, int(rows[SHOWN]), column, more, code="impossible")


def read_sheets(source: Source) -> tuple[dict[str, Sheet], list[Problem]]:
    """All tables of the description, in its order."""
    sheets, problems = {}, []
    for name in source.description.tables:
        sheets[name], found = read_sheet(source, name)
        problems += found
    return sheets, problems


def tables_of(sheets: Mapping[str, Sheet]) -> dict[str, Table]:
    return {name: sheet.table for name, sheet in sheets.items() if sheet.table is not None}
