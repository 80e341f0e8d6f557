"""What checks look at, and the look-ups they share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from explainer.errors import Problem, hint, listed, nearest
from explainer.study.csvfile import fault, held
from explainer.study.description.study import Description
from explainer.study.description.tests import XY, AnyTest, Operand
from explainer.study.model import Table, Workspace
from explainer.study.people import Masked, hidden, masked
from explainer.study.roles import all_names
from explainer.study.tables import Origin, Sheet, picked_whole, tables_of
from explainer.study.yaml12 import Path

Sheets = Mapping[str, Sheet]


@dataclass(frozen=True)
class Context:
    """A described study and its tables, some of which may have failed to read."""

    source: Origin
    sheets: Sheets
    workspace: Workspace | None = None
    """Whose texts go into the pages as well."""

    @property
    def description(self) -> Description:
        return self.source.description

    @cached_property
    def masked(self) -> Masked:
        return masked(self.description, tables_of(self.sheets))

    @cached_property
    def hidden(self) -> tuple[str, ...]:
        """The names that nothing published may give away."""
        return tuple(hidden(self.masked.names))

    @cached_property
    def spare(self) -> dict[str, dict[str, tuple[str, ...]]]:
        """By file, the columns that no table of it reads, and the different texts they hold."""
        spare: dict[str, dict[str, tuple[str, ...]]] = {}
        for file in dict.fromkeys(s.file for s in self.sheets.values()):
            sheets = [s for s in self.sheets.values() if s.file == file]
            if any(s.table is None for s in sheets):
                continue
            _, scan, _ = self.source.scanned(file)
            assert scan is not None  # its tables were read
            read = {str(c) for s in sheets if s.table is not None for c in s.table.frame.columns}
            renamed = self.description.tables
            spare[file] = held(scan, [c for c in scan.header if c not in read and not any(
                renamed[s.name].columns.get(c, c) != c for s in sheets)])  # fmt: skip
        return spare

    def error(
        self, at: Path, found: str, expected: str = "", hint: str = "", code: str = "",
        key: bool = False,
    ) -> Problem:  # fmt: skip
        return self.source.problem(at, found, expected, hint, code, key)

    def error_at(self, at: Path, words: str, found: str, expected: str, hint: str, code: str
                 ) -> Problem:  # fmt: skip
        """An error about some ``words`` of a text that may run over several lines."""
        problem = self.error(at, found, expected, hint, code)
        line, column = self.source.document.within((problem.line, problem.column), words)
        return replace(problem, line=line, column=column)

    def warning(
        self, at: Path, found: str, expected: str, happens: str, code: str, key: bool = True
    ) -> Problem:
        problem = self.source.problem(at, found, expected, code=code, key=key)
        return replace(problem, happens=happens, severity="warning")

    def tests(self) -> Iterator[tuple[Path, AnyTest]]:
        """Every test with its place."""
        for i, claim in enumerate(self.description.claims):
            key = "tests" if claim.test is None else "test"
            for j, test in enumerate(claim.all_tests):
                listed_ = key == "tests" or isinstance(claim.test, tuple)
                yield ("claims", i, key, j) if listed_ else ("claims", i, key), test

    def complete(self) -> bool:
        """Whether every table's header could be read: else names may be in the others."""
        return all(sheet.columns for sheet in self.sheets.values())

    def unknown_table(self, at: Path, name: str) -> Problem:
        names = list(self.sheets)
        return self.error(
            at, f"no table `{name}`", f"one of {listed(names)}", hint(name, names), "no-table"
        )

    def unknown_measure(self, at: Path, name: str, among: list[str] | None = None) -> Problem:
        names = among if among is not None else list(self.description.measures)
        expected = f"one of {listed(names)}" if names else "a measure"
        return self.error(at, f"no measure `{name}`", expected, hint(name, names), "no-measure")

    def holding(self, measure: str) -> list[str]:
        """The tables that hold a measure."""
        return [name for name, sheet in self.sheets.items() if measure in sheet.measures]

    def measure_in(
        self, at: Path, measure: str, table: str | None, key: str | int = "table"
    ) -> tuple[Sheet | None, list[Problem]]:
        """The one table that holds ``measure`` for the block at ``at``, or what is wrong."""
        names = list(self.description.measures)
        place = (*at, key)
        if table is not None and table not in self.sheets:
            return None, []  # the check of table names says so
        if measure not in self.description.measures:
            return None, [self.unknown_measure(place, measure)]
        if table is not None:
            sheet = self.sheets[table]
            if measure in sheet.measures or not sheet.columns:
                return sheet, []
            if not self.holding(measure) and self.complete():
                return None, []  # the check of measures says so, at the measure itself
            slip = self._header_slip(sheet, measure)
            if slip is not None:
                return None, [slip]
            held = [n for n in names if n in sheet.measures]
            found = f"no measure `{measure}` in the table `{table}`"
            expected = f"one of {listed(held)}" if held else "a table that has it"
            return None, [self.error(place, found, expected, hint(measure, held), "no-measure")]
        holding = self.holding(measure)
        if len(holding) == 1:
            return self.sheets[holding[0]], []
        if not holding:
            return None, []  # the check of measures says so, at the measure itself
        found = f"`{measure}`, which stands in {len(holding)} tables"
        return None, [
            self.error(place, found, f"`table:` with one of {listed(holding)}", code="which-table")
        ]

    def _header_slip(self, sheet: Sheet, measure: str) -> Problem | None:
        """A column that nothing names and that is spelled like the measure: its header is wrong."""
        near = nearest(measure, [n for n in sheet.columns if n not in all_names(self.description)])
        if near is None:
            return None
        found = f"the column `{near}`, which nothing in study.yaml names"
        rename = f"or `columns: {{{near}: {measure}}}` under `{sheet.name}` in study.yaml"
        return fault(sheet.file, 1, near, found, f"`{measure}`", rename, "header-slip")

    def operands(self, at: Path, test: AnyTest) -> tuple[list[tuple[Sheet, str]], list[Problem]]:
        """The tables and measures a test reads: one for most tests, two for x and y."""
        if hasattr(test, "x") and hasattr(test, "y"):
            return self.pair(at, test.x, test.y, test.table)
        if hasattr(test, "measure"):
            sheet, problems = self.measure_in(at, test.measure, test.table, "measure")
            return ([(sheet, test.measure)] if sheet else []), problems
        return [], []

    def pair(
        self, at: Path, x: XY, y: XY, table: str | None
    ) -> tuple[list[tuple[Sheet, str]], list[Problem]]:
        """The tables of x and y: the one named, the one that holds both, else each its own."""
        if table is None and isinstance(x, str) and isinstance(y, str):
            both = [n for n in self.holding(x) if n in self.holding(y)]
            table = both[0] if len(both) == 1 else None
        found: list[tuple[Sheet, str]] = []
        problems: list[Problem] = []
        for key, operand in (("x", x), ("y", y)):
            if isinstance(operand, Operand):
                name = operand.measure
                if operand.table not in self.sheets:
                    problems.append(self.unknown_table((*at, key, "table"), operand.table))
                    continue
                sheet, wrong = self.measure_in((*at, key), name, operand.table, "measure")
            else:
                name = operand
                here = table in self.holding(name)  # else a partner from another table
                sheet, wrong = self.measure_in(at, name, table if here else None, key)
            problems += wrong
            if sheet is not None:
                found.append((sheet, name))
        if len(found) == 2 and not _count_alike(*(sheet.table for sheet, _ in found)):
            problems.append(self._counted_apart(at, found))
        return found, problems

    def _counted_apart(self, at: Path, found: list[tuple[Sheet, str]]) -> Problem:
        """Half 1 is not week 1: bare numbers of two kinds of use must not be matched."""
        told = [
            f"`{name}` over {sheet.table.use_term or sheet.table.use} in `{sheet.name}`"
            for sheet, name in found if sheet.table is not None
        ]  # fmt: skip
        expected = "two tables that count use alike, or both measures in one table"
        return self.error((*at, "y"), " and ".join(told), expected, code="use-apart")


def _count_alike(a: Table | None, b: Table | None) -> bool:
    """Whether a checkpoint of one table is the same checkpoint in the other."""
    if a is None or b is None or not a.use or not b.use or a is b:
        return True
    if a.use_unit and b.use_unit:
        return a.use_unit == b.use_unit
    return a.use == b.use or a.use_term == b.use_term


def axis_of(table: Table, point: object) -> str | None:
    """The column a checkpoint speaks of: a window counts rows in order, a point counts use."""
    if isinstance(point, tuple):
        return table.order or table.use
    return table.use or table.order


def values_of(table: Table, column: str) -> tuple[float, ...]:
    """The distinct numbers of a column, ascending."""
    if column == table.use:
        return table.checkpoints
    return tuple(float(v) for v in np.unique(table.frame[column].to_numpy()))


def rows_of(table: Table, picked: Mapping[str, str | float] | None) -> pd.DataFrame:
    """The rows that a test takes by its ``only``; all of a table that lacks one of its columns."""
    frame, picked = table.frame, picked or {}
    if not set(picked) <= set(frame.columns):
        return frame
    for column, value in picked_whole(picked, table.nest, table.items).items():
        frame = frame[np.array([as_text(v) == as_text(value) for v in frame[column]], dtype=bool)]
    return frame


def as_text(value: str | float) -> str:
    """A value of a condition as it stands in a text column: ``1`` for 1.0."""
    return value if isinstance(value, str) else f"{value:g}"
