"""What stage 1 hands on: a study whose every name, unit and cell has been checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from explainer.errors import Problem
from explainer.study.description.lifted import LiftedFrom
from explainer.study.description.sources import Measure
from explainer.study.description.study import Description, Settings

if TYPE_CHECKING:
    import pandas as pd  # only named here: the glossary and the settings do without it

    from explainer.study.recording import Recorded


@dataclass(frozen=True)
class Workspace:
    """A folder with ``studies/``; its own glossary and templates come before ours."""

    root: Path
    settings: Settings
    glossary_folders: tuple[Path, ...]
    """Searched in order; the first entry of a term wins."""
    template_folders: tuple[Path, ...]
    """Searched in order; the first file of a name wins."""


@dataclass(frozen=True)
class CellNote:
    """A cell that is not a reading: missing, or excluded by the author."""

    table: str
    row: int
    """Spreadsheet row; the header is row 1."""
    column: str
    item: str
    use: float | None
    mark: str
    """What stood in the cell; empty for an empty cell."""
    why: str = ""
    """The author's physical cause, for excluded readings."""


@dataclass(frozen=True)
class Table:
    """One CSV file, tidy, in the description's units.

    ``frame`` has one row per CSV row, indexed by spreadsheet row (the header is row 1), with
    columns named as in study.yaml.  Measures are float64 in the measure's unit, missing and
    excluded readings NaN; item, group, operator and condition columns are text (as categories,
    which compare and group like text); use, order and repeat columns are float64.  A measure
    derived from ball paths stands in the last row of each path and is NaN in that path's others.
    """

    name: str
    file: str
    frame: pd.DataFrame
    item: str
    """The column that names the item; also the word for one (ball)."""
    use: str | None
    """The checkpoint column, None where the table has none."""
    group: str | None
    order: str | None
    measures: tuple[str, ...]
    """Names of the measures this table holds, derived ones included."""
    checkpoints: tuple[float, ...]
    """Sorted distinct values of ``use``; empty without one."""
    items: tuple[str, ...]
    """Distinct items in order of appearance."""
    use_term: str = ""
    use_unit: str = ""
    source: str = ""
    reading_error: float = 0.0
    axis_error: float = 0.0
    """The part of ``reading_error`` that all readings share."""
    chart_times: Mapping[str, float] = field(default_factory=dict)
    """By derived measure: how many times ``reading_error`` it may be off, its parts together."""
    lifted: LiftedFrom | None = None
    """Where in a report the numbers were lifted from, if a file says so."""
    edited: bool = False
    """The file was changed after its numbers were lifted."""
    mean_of: int | None = None
    """Set where rows are published averages of that many items, not items: the fewest of any."""
    mean_of_most: int | None = None
    """The most of any, where a column says that they differ."""
    sd_column: str | None = None
    n_column: str | None = None
    """The column that says of how many items each printed average is, where they differ."""
    counted: bool = False
    """Rows are counts of items (31 of 107), so that no column names the item."""
    notes: tuple[CellNote, ...] = ()
    randomised: bool | None = None
    """Whether chance decided which item went where; None where the study does not say."""
    chosen_by: str | None = None
    """By what its items were picked: a measure or column, or the author's own words."""
    chosen_only: Mapping[str, str | float] = field(default_factory=dict)
    """Column: value of those that were picked; empty: all of them were."""
    shared_sd: Mapping[str, float] = field(default_factory=dict)
    """By measure: SD of an error that all items share at a checkpoint, in the measure's unit."""
    others: pd.DataFrame | None = None
    """Columns that nothing names and whose name says who read a reading, with what, where or when,
    or what kind of item it is, as text, by the same rows; None without any."""
    reference: str | None = None
    """The item read again each time that does not change; its rows stand in ``frame``, too."""
    people: bool = False
    """Whether an item is a person."""
    picked: bool = False
    """Whether a test, figure or printed number took some of its rows only (``only``)."""
    use_as: tuple[tuple[str, float], ...] = ()
    """Units that listeners count use in: what one is called, and how many steps of use it is."""
    nest: tuple[str, ...] = ()
    """The columns that together name an item, outermost first; the last one holds whole names."""
    parts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """Item to what it is called in each column of ``nest``; empty where one column names it, and
    where people are called by initials."""
    called_people: tuple[str, ...] = ()
    """Columns of groups that are people by the looks of their names alone."""
    owners: Mapping[str, str] = field(default_factory=dict)
    """Item to whom it is named after, by the looks of its name alone (``Abelard's Storm``)."""


@dataclass(frozen=True)
class Study:
    """A study folder, read and found sound; the input of every later stage."""

    id: str
    folder: Path
    workspace: Workspace
    description: Description
    tables: Mapping[str, Table]
    sha256: Mapping[str, str]
    """Content hash of each file read, by its name in the folder."""
    warnings: tuple[Problem, ...] = ()
    places: Mapping[tuple[str | int, ...], tuple[int, int]] = field(default_factory=dict)
    """Line and column, from 1, of each value of study.yaml, by its path."""
    whole: Mapping[str, Table] = field(default_factory=dict)
    """The tables with the excluded readings in place; empty where none is excluded, or where one
    cannot be used as it stands."""
    recording: Recorded | None = None
    """The times of the recording that was made of the script."""
    unconfirmed: int = 0
    """Guesses of a draft that nobody has confirmed yet."""

    @property
    def data_sha256(self) -> dict[str, str]:
        """The hash of each file of numbers, by its name."""
        times = self.recording.file if self.recording is not None else ""
        return {k: v for k, v in self.sha256.items() if k.endswith(".csv") and k != times}

    unlisted: frozenset[str] = frozenset()
    """Items whose rows stay out of the downloads."""
    named: Mapping[str, str] = field(default_factory=dict)
    """Names in the files to initials or numbers, where people are hidden: for ``proof`` alone."""

    def measure(self, name: str) -> Measure:
        return self.description.measures[name]

    def term(self, name: str) -> str:
        """The name a reader knows a measure by."""
        return self.description.measures[name].term or name.replace("_", " ").replace("-", " ")

    def table_of(self, measure: str, table: str | None = None) -> Table:
        """The table a test on ``measure`` reads: the one named, else the only one that has it."""
        if table is not None:
            return self.tables[table]
        return next(t for t in self.tables.values() if measure in t.measures)
