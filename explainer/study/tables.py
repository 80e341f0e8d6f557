"""One CSV file and what the description says of it, put together into a ``Table``."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer import units
from explainer.errors import Problem, hint, listed
from explainer.study.called import holds_people, owners_in
from explainer.study.csvfile import MAX_ROWS_IN_ALL, Cells, Scan, read_cells, scan
from explainer.study.describe import UNUSED, place_of
from explainer.study.description.sources import Design, Excluded, RowsAre, TableFile
from explainer.study.description.study import Description
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.lifted import FoundOrigin, error_of, origin_of
from explainer.study.model import CellNote, Table
from explainer.study.people import people_of
from explainer.study.roles import Roles, all_names, counts, looked_at, roles_of, tested_of
from explainer.study.rows import AS_READ, AS_WRITTEN, Rows, bounded
from explainer.study.yaml12 import Document, Path as YamlPath

# Items that it takes several columns to name: sample 2 of one model is not sample 2 of another.

def named_whole(cells: Cells, nest: tuple[str, ...]) -> Cells:
    """``cells`` with the last column of ``nest`` naming each item alone: ``Plover 2``.

    A name that begins with the names around it already stays as it is, and a gap in any of the
    columns stays a gap, so that it is found and told as one.  Columns that are not there are
    passed over; which must be there is checked elsewhere.
    """
    columns = [column for column in nest if column in cells.words]
    if len(columns) < 2 or columns[-1] != nest[-1] or not len(cells.frame):
        return cells
    parts = np.column_stack([cells.codes[column] for column in columns])
    distinct, codes = np.unique(parts, axis=0, return_inverse=True)
    named = [
        [cells.words[column][code] for column, code in zip(columns, row, strict=True)]
        for row in distinct
    ]
    whole = [_name(parts) for parts in named]
    if len(set(filter(None, whole))) < sum(map(all, named)):  # two items of one short name
        whole = [" ".join(parts) if all(parts) else "" for parts in named]
    words = tuple(dict.fromkeys(whole))
    places = {name: place for place, name in enumerate(words)}
    own = np.array([places[name] for name in whole])[codes.reshape(-1)]
    item = nest[-1]
    frame = cells.frame.copy()
    from_codes: Any = pd.Categorical.from_codes
    frame[item] = pd.Series(from_codes(own, list(words)), index=frame.index)
    return replace(
        cells, frame=frame,
        codes=MappingProxyType({**cells.codes, item: own}),
        words=MappingProxyType({**cells.words, item: words}),
    )  # fmt: skip


def parts_of(cells: Cells, whole: Cells, nest: tuple[str, ...]) -> dict[str, dict[str, str]]:
    """What each item of ``whole`` is called in each column of ``nest``, as ``cells`` has it; empty
    where one column names an item."""
    if whole is cells:
        return {}
    item = nest[-1]
    rows = np.unique(whole.codes[item], return_index=True)[1]
    return {
        whole.words[item][whole.codes[item][row]]:
        {c: cells.words[c][cells.codes[c][row]] for c in nest if c in cells.words}
        for row in rows
    }  # fmt: skip


def _name(parts: list[str]) -> str:
    *around, own = parts
    if not all(parts):
        return ""
    missing = [part for part in around if not re.match(rf"{re.escape(part)}\b", own, re.I)]
    return " ".join((*missing, own))


def picked_whole(
    picked: Mapping[str, str | float], nest: tuple[str, ...], items: Collection[str]
) -> Mapping[str, str | float]:
    """``picked`` (column: value) with an item's own number as its whole name.

    ``{model: Plover, sample: 2}`` picks ``Plover 2``; a whole name, or a number whose model is not
    picked with it, stays as it is.
    """
    if len(nest) < 2 or not set(nest) <= set(picked):
        return picked
    own = picked[nest[-1]]
    parts = [v if isinstance(v, str) else f"{v:g}" for v in (picked[column] for column in nest)]
    names = (name for name in (_name(parts), " ".join(parts)) if name in items)
    return picked if own in items else {**picked, nest[-1]: next(names, own)}


#: The item of a table of published averages that names none, and of one of counts.
AVERAGE, COUNTED = "average", "counted"


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
    origin: FoundOrigin | None = None
    """Where its numbers were lifted from."""


@dataclass(frozen=True)
class Origin:
    """What a table is read from: the description, the places in it, and the folder."""

    description: Description
    document: Document
    folder: Path
    files: dict[str, tuple[str, Scan | None, list[Problem]]] = field(default_factory=dict)
    """What was read of each file, so that tables that share one read it once."""
    origins: dict[str, tuple[FoundOrigin, list[Problem]]] = field(default_factory=dict)
    """Where each file's numbers were lifted from, read once as well."""

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


    def scanned(self, file: str) -> tuple[str, Scan | None, list[Problem]]:
        """The digest of a CSV file, its cells and what is wrong with them.  Raises FileFault."""
        if file not in self.files:
            data = read_file(self.folder, file, MAX_CSV_BYTES)
            self.files[file] = (sha256(data).hexdigest(), *scan(data, file))
        return self.files[file]

    def lifted(self, file: str, digest: str) -> tuple[FoundOrigin, list[Problem]]:
        """Where a CSV file was lifted from, and what is wrong with the file that says so."""
        if file not in self.origins:
            others = sum(origin.size for origin, _ in self.origins.values())
            self.origins[file] = origin_of(self.folder, file, digest, others)
        return self.origins[file]


def read_sheet(source: Origin, name: str) -> tuple[Sheet, list[Problem]]:
    """The table called ``name``, with everything that is wrong with it."""
    described = source.description.tables[name]
    empty = Sheet(name, described.file, (), None, None)
    if taken := _taken(source.description, described.file):
        at = ("tables", name, "file")
        return empty, [source.problem(at, f"`{described.file}`", *taken, code="path")]
    try:
        digest, scanned, problems = source.scanned(described.file)
    except FileFault as error:
        at = ("tables", name, "file")
        return empty, [source.problem(at, error.found, error.expected, error.hint, error.code)]
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
    whole = named_whole(cells, roles.nest)
    read = {*roles.text, *roles.numbers}
    unread = tuple(column for column in header if column not in read)
    table, problems = _table(source, name, roles, whole, unread)
    if table is not None:
        table = replace(table, parts=MappingProxyType(parts_of(cells, whole, roles.nest)))
    if table is not None and (who := looked_at(unread)):
        others, _ = read_cells(scanned, described.file, names, who, (), ())
        table = replace(table, others=others.frame if others is not None else None)
    origin, found = source.lifted(described.file, digest)
    if table is not None:
        table = _with_origin(source.description, described, table, origin)
    return replace(sheet, table=table, origin=origin), problems + found


def _taken(description: Description, file: str) -> tuple[str, str] | None:
    """What to expect, and why, where another download would have the name of this file, on systems
    for which capital letters do not count too."""
    if file.casefold() == "datapackage.json":
        return "another name", "the list of the downloads has that one"
    others = {t.file for t in description.tables.values() if t.file != file}
    alike = next((o for o in sorted(others) if o.casefold() == file.casefold()), None)
    if alike is None:
        return None
    return "names that differ in more than capital letters", f"another table has `{alike}`"


def _with_origin(
    description: Description, described: TableFile, table: Table, origin: FoundOrigin
) -> Table:
    """The table with what the file beside its CSV says of its origin and its error."""
    if origin.lifted is None:
        return table
    shared = error_of(description, described, table.measures, origin.lifted.axis_error)
    error = table.reading_error
    if described.reading_error is None:
        error = error_of(description, described, table.measures, origin.lifted.reading_error)
    return replace(
        table, reading_error=error, axis_error=min(shared, error), lifted=origin.lifted,
        edited=origin.edited,
    )  # fmt: skip


def counted(
    description: Description, table: TableFile, header: Iterable[str], roles: Roles
) -> bool:
    """Whether a table without a column for the item holds counts of items: 31 of 107.

    Only where its own header has successes and attempts, and no measure to read on an item.
    """
    here = set(header)
    pairs = [pair for pair in counts(description) if set(pair) <= here]
    item = tested_of(description, table).item
    return item not in here and bool(pairs) and not roles.measures


def _renamed(source: Origin, name: str, scanned: Scan) -> tuple[tuple[str, ...], list[Problem]]:
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
        elif new not in known and new != old:  # the same name: to be carried to the downloads
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
    source: Origin, name: str, header: tuple[str, ...], roles: Roles
) -> list[Problem]:
    """Columns that this table's own block names and its file does not have."""
    described = source.description.tables[name]
    base: YamlPath = ("tables", name)
    wanted: list[tuple[YamlPath, str | None]] = [((*base, "order"), described.order)]
    if described.rows_are is None and not counted(source.description, described, header, roles):
        own = (*base, "tested", "each") if described.tested else ("tested", "each")
        wanted += [
            (own if len(roles.nest) == 1 else (*own, place), column)
            for place, column in enumerate(roles.nest)
        ]
    if described.rows_are is not None:
        rows = described.rows_are
        wanted.append(((*base, "rows_are", "sd"), rows.sd))
        of = rows.mean_of if isinstance(rows.mean_of, str) else None
        wanted.append(((*base, "rows_are", "mean_of"), of))
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
    source: Origin, at: YamlPath, column: str, file: str, header: Iterable[str]
) -> Problem:
    """A name in study.yaml that no column of ``file`` has."""
    header = list(header)
    found = f"no column `{column}` in {file}"
    return source.problem(
        at, found, f"one of {listed(header, 30)}", hint(column, header), "no-column"
    )


def _table(
    source: Origin, name: str, roles: Roles, cells: Cells, unread: tuple[str, ...]
) -> tuple[Table | None, list[Problem]]:
    """The cells checked against what the description says of them."""
    described = source.description.tables[name]
    file = described.file
    frame = cells.frame
    rows = Rows(source.description, file, frame, roles, cells.codes, cells.words, unread)
    problems = list(bounded(rows))
    if problems:
        return None, problems
    problems = [problem for check in AS_WRITTEN for problem in check(rows)]
    notes = [*_missing_notes(name, frame, roles, cells)]
    left_out, found = _excluded(source, name, frame)
    problems += found
    notes += _excluded_notes(name, frame, roles, left_out)
    problems += _converted(source, name, frame, roles)
    if left_out and roles.values:  # without a reading there is nothing to leave out
        frame.loc[[entry.row for entry in left_out], list(roles.values)] = np.nan
    problems += [problem for check in AS_READ for problem in check(rows)]
    if problems:
        return None, problems
    use = roles.use
    if use is not None and not use.zero_is_new:
        notes += _unknown_notes(name, frame, roles, use.column)
        frame = frame[frame[use.column].to_numpy() != 0].copy()
        if frame.empty:
            at = ("tables", name, "use") if described.use else ("use",)
            only_0 = f"`zero_is_new: no`, and nothing in {file} was read at anything but 0"
            return None, [source.problem((*at, "zero_is_new"), only_0, "`yes`, or no `use`")]
    whole = roles.item not in frame.columns and described.rows_are is None
    if roles.item not in frame.columns:
        frame.insert(0, roles.item, COUNTED if whole else AVERAGE)
    sheet = described.rows_are
    fewest, most = _mean_of(sheet, frame)
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
        items=_in_order_of_appearance(frame, cells, roles.item),
        use_term=(use.term or use.column) if use else "",
        use_unit=use.unit if use else "",
        source=_source(source.description, described),
        reading_error=described.reading_error or 0.0,
        mean_of=fewest,
        mean_of_most=most,
        n_column=sheet.mean_of if sheet and isinstance(sheet.mean_of, str) else None,
        sd_column=sheet.sd if sheet else None,
        counted=whole,
        people=people_of(source.description, name) and not whole and sheet is None,
        notes=tuple(sorted(notes, key=lambda n: (n.row, n.column))),
        use_as=tuple((u.term, u.each) for u in use.as_) if use else (),
        nest=roles.nest,
        called_people=_called_people(frame, roles.item),
        **_design(source.description, name, roles),
    )
    return _whose(source.description, table), []


def _called_people(frame: pd.DataFrame, item: str) -> tuple[str, ...]:
    texts = (c for c in map(str, frame.columns) if c != item and hasattr(frame[c], "cat"))
    return tuple(c for c in texts if holds_people(c, [str(v) for v in frame[c].cat.categories]))


def _whose(description: Description, table: Table) -> Table:
    """The table with those whom its items are named after, unless that was answered."""
    answered = tested_of(description, description.tables[table.name]).people is not None
    if answered or table.people or len(table.nest) > 1 or table.counted or table.mean_of:
        return table
    return replace(table, owners=owners_in(table.items))


def _source(description: Description, table: TableFile) -> str:
    """Where the report has it; with the file's name where it has two of our tables there."""
    if not table.source:
        return ""
    there = sum(t.source == table.source for t in description.tables.values())
    return table.source if there == 1 else f"{table.source} ({table.file})"


def _mean_of(rows: RowsAre | None, frame: pd.DataFrame) -> tuple[int | None, int | None]:
    """Of how many items each average is; the fewest and the most where a column says."""
    if rows is None:
        return None, None
    if not isinstance(rows.mean_of, str):
        return rows.mean_of, None
    counts = frame[rows.mean_of].dropna()
    return (int(counts.min()), int(counts.max())) if len(counts) else (0, None)


def _design(description: Description, name: str, roles: Roles) -> dict[str, Any]:
    """What the table says of its design, else its ``tested``, else the study's."""
    own = description.tables[name]
    blocks: tuple[Design, ...] = (own, own.tested or description.tested)

    def first(key: str) -> Any:
        given = (getattr(block, key) for block in blocks)
        return next((value for value in given if value is not None), None)

    alone = next((block.picked_alone for block in blocks if block.picked_by is not None), {})
    shared = first("shared_sd")
    if not isinstance(shared, dict):
        shared = {} if shared is None else dict.fromkeys(roles.measures, shared)
    return {
        "randomised": first("randomised"), "chosen_by": first("picked_by"),
        "chosen_only": MappingProxyType(alone),
        "shared_sd": MappingProxyType(shared), "reference": first("reference"),
    }  # fmt: skip


def _distinct(column: pd.Series) -> tuple[float, ...]:
    return tuple(sorted(float(value) for value in pd.unique(column)))


def _in_order_of_appearance(
    frame: pd.DataFrame, cells: Cells, item: str
) -> tuple[str, ...]:
    if item not in cells.words:
        return (AVERAGE,)
    here = cells.codes[item][cells.frame.index.isin(frame.index)]
    return tuple(cells.words[item][code] for code in pd.unique(here))


def _missing_notes(
    name: str, frame: pd.DataFrame, roles: Roles, cells: Cells
) -> Iterator[CellNote]:
    """A note for each cell without a reading, with the mark that stood there."""
    for column in roles.values:
        positions = np.flatnonzero(frame[column].isna().to_numpy())
        for row, item, use in _where(frame, roles, positions):
            yield CellNote(name, row, column, item, use, cells.marks.get((row, column), ""))


def _where(
    frame: pd.DataFrame, roles: Roles, positions: NDArray[np.int64]
) -> Iterator[tuple[int, str, float | None]]:
    """Spreadsheet row, item and checkpoint of the rows at some positions."""
    rows = frame.index.to_numpy()[positions]
    has_item = roles.item in frame.columns
    items = frame[roles.item].to_numpy()[positions] if has_item else [""] * len(positions)
    uses = frame[roles.use.column].to_numpy()[positions] if roles.use else [None] * len(positions)
    for row, item, use in zip(rows, items, uses, strict=True):
        yield int(row), str(item), None if use is None else float(use)


def _excluded(
    source: Origin, name: str, frame: pd.DataFrame
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
    """A note for each reading the author leaves out, with the value that stood there."""
    for entry in left_out:
        position = np.flatnonzero(frame.index.to_numpy() == entry.row)
        ((row, item, use),) = _where(frame, roles, position)
        for column in roles.values:
            value = float(frame[column].to_numpy()[position[0]])
            if not np.isnan(value):
                yield CellNote(name, row, column, item, use, f"{value:g}", entry.why)


def _unknown_notes(
    name: str, frame: pd.DataFrame, roles: Roles, use: str
) -> Iterator[CellNote]:
    """A note for each reading at a 0 that is not new: nobody knows where on the way it stands."""
    for column in roles.values:
        values = frame[column].to_numpy(dtype=float)
        positions = np.flatnonzero((frame[use].to_numpy() == 0) & ~np.isnan(values))
        places = _where(frame, roles, positions)
        for value, (row, item, at) in zip(values[positions], places, strict=True):
            why = "how much use it had had by then is not known"
            yield CellNote(name, row, column, item, at, f"{value:g}", why)


def _converted(source: Origin, name: str, frame: pd.DataFrame, roles: Roles) -> Iterator[Problem]:
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


def read_sheets(source: Origin) -> tuple[dict[str, Sheet], list[Problem]]:
    """All tables of the description, in its order."""
    sheets: dict[str, Sheet] = {}
    problems: list[Problem] = []
    rows = 0
    for name, described in source.description.tables.items():
        if rows > MAX_ROWS_IN_ALL:  # said already; the rest is not read
            sheets[name] = Sheet(name, described.file, (), None, None)
            continue
        sheets[name], found = read_sheet(source, name)
        problems += found
        table = sheets[name].table
        rows += len(table.frame) if table is not None else 0
        if rows > MAX_ROWS_IN_ALL:
            expected = f"at most {MAX_ROWS_IN_ALL:,} rows in all tables together"
            problems.append(source.problem(("tables", name), f"{rows:,} rows so far", expected))
    return sheets, problems


def tables_of(sheets: Mapping[str, Sheet]) -> dict[str, Table]:
    return {name: sheet.table for name, sheet in sheets.items() if sheet.table is not None}
