"""What a printed number is worked out from: it exists, and it can be worked out."""

from __future__ import annotations

from collections.abc import Iterator

from explainer.errors import Problem, hint, listed
from explainer.study.checks.context import Context
from explainer.study.description.rule import Compute
from explainer.study.yaml12 import Path


def stated_computable(c: Context) -> Iterator[Problem]:
    """What a printed number is worked out from exists."""
    for i, stated in enumerate(c.description.stated):
        compute = stated.compute
        if compute is None:
            continue
        at: Path = ("stated", i, "compute")
        if compute.table is not None and compute.table not in c.sheets:
            yield c.unknown_table((*at, "table"), compute.table)
            continue
        if compute.r is not None:
            for j, measure in enumerate(compute.r):
                yield from c.measure_in((*at, "r"), measure, compute.table, j)[1]
            continue
        name = getattr(compute, compute.what)
        if compute.what in ("share", "rate"):
            yield from _counted(c, at, compute)
        elif not (compute.what == "count" and name in ("items", "rows")):
            yield from c.measure_in(at, name, compute.table, compute.what)[1]
        if compute.by is not None:
            yield from _some_column(c, (*at, "by"), compute.by, compute.table)


def _some_column(c: Context, at: Path, name: str, table: str | None) -> Iterator[Problem]:
    sheets = [c.sheets[table]] if table else list(c.sheets.values())
    columns = [column for sheet in sheets for column in sheet.columns]
    if name not in columns and all(sheet.columns for sheet in sheets):
        files = listed(sheet.file for sheet in sheets)
        expected = f"one of {listed(dict.fromkeys(columns), 30)}"
        yield c.error(at, f"no column `{name}` in {files}", expected, hint(name, columns))


def _counted(c: Context, at: Path, compute: Compute) -> Iterator[Problem]:
    """The columns that are counted, and what they are counted among is another one."""
    for key in (compute.what, "of")[: 1 + (compute.of is not None)]:
        yield from _some_column(c, (*at, key), getattr(compute, key), compute.table)
    if compute.of is not None and compute.of == compute.rate:
        found = f"`{compute.of}`, which is what is counted"
        yield c.error((*at, "of"), found, "the column that counts the tries", code="same-twice")
