"""The data to download: the tables as they were read, and a description of their columns."""

from __future__ import annotations

import csv
import io
import itertools
import json
import math
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import pandas as pd

from explainer.claims.verdict import FigureResult, NumbersTable
from explainer.editions.numbers import figure_file, public
from explainer.errors import Problem, TableError
from explainer.publish.manifest import digest
from explainer.study.carried import carried
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.model import Study, Table
from explainer.study.people import hidden
from explainer.study.sums import is_summary
from explainer.words.page.report import source_words

#: What a spreadsheet takes for the start of a formula (OWASP, "CSV Injection").
FORMULA_STARTS = ("=", "+", "-", "@")


def data_files(study: Study, figures: Sequence[FigureResult] = ()) -> dict[str, bytes]:
    """``data/…`` of a study: a CSV per table and per figure, and the Data Package of them all.

    Columns carry the description's names and units; a missing or excluded reading is an empty
    cell; a text that a spreadsheet would run as a formula begins with an apostrophe.
    """
    by_file: dict[str, list[Table]] = {}
    for table in study.tables.values():
        by_file.setdefault(table.file, []).append(table)
    files = {f"data/{name}": _csv(study, tables) for name, tables in by_file.items()}
    shown = (replace(f, table=public(f.table, study, study.tables[f.figure.table], True))
             for f in figures if f.table.rows)  # fmt: skip
    drawn = {f"data/{figure_file(f.figure.id, by_file)}": f for f in shown}
    files |= {name: _figure_csv(figure.table) for name, figure in drawn.items()}
    files["data/datapackage.json"] = _package(study, files, drawn)
    return files


def _figure_csv(table: NumbersTable) -> bytes:
    """What a figure draws, all of it and unrounded, under the columns of the page's table."""
    return _written(table.columns, ([_cell(cell) for cell in row] for row in table.rows))


def _written(columns: Iterable[str], rows: Iterable[Iterable[str]]) -> bytes:
    """A CSV whose column names are inert, too; ``rows`` are so already."""
    head = [inert(name) for name in columns]
    return "".join(f"{','.join(map(_quoted, row))}\n" for row in (head, *rows)).encode("utf-8")


def _quoted(cell: str) -> str:
    """A cell as RFC 4180 has it.  (Python's own writer leaves a lone return unquoted, and what
    stands behind it would begin a row.)"""
    if any(sign in cell for sign in ',"\r\n'):
        return '"' + cell.replace('"', '""') + '"'
    return cell


def _csv(study: Study, tables: list[Table]) -> bytes:
    """The tables read from one file, side by side; a row that only some of them read is there."""
    columns: dict[str, list[str]] = {}
    rows_read = sorted(set().union(*(table.frame.index for table in tables)))
    tables = sorted(tables, key=lambda table: len(table.frame))  # who read them all has the word
    tables = [replace(t, frame=t.frame.reindex(rows_read)) if len(t.frame) < len(rows_read) else t
              for t in tables]  # fmt: skip
    for table in tables:
        frame = table.frame
        columns |= {str(c): [_cell(value) for value in frame[c]] for c in frame.columns}
    columns |= _unnamed(study, tables)
    rows = zip(*columns.values(), strict=True)
    return _written(columns, itertools.compress(rows, _public(study, tables)))


def _public(study: Study, tables: list[Table]) -> list[bool]:
    """For each row, whether it may be downloaded: whose item asked to stay out, may not, nor may
    one that sums others up, from which theirs could be worked out."""
    may = [True] * len(tables[0].frame)
    for table in tables:
        if study.unlisted & set(table.items):
            out = {i for i in table.items if i in study.unlisted or is_summary(i)}
            items = table.frame[table.item].astype(str)
            may = [a and item not in out for a, item in zip(may, items, strict=True)]
    return may


def _unnamed(study: Study, tables: list[Table]) -> dict[str, list[str]]:
    """Columns of the file that no table reads, as text, row for row; none that could tell who
    somebody is.

    Raises TableError if the file is no longer the one that was read.
    """
    file, index = tables[0].file, tables[0].frame.index
    try:
        content = read_file(study.folder, file, MAX_CSV_BYTES)
    except FileFault:  # a link, a pipe or nothing lies there now
        content = b""
    if digest(content) != study.sha256[file]:
        raise TableError(
            Problem(
                file, row=1, found="another content than when it was first read",
                expected="a file that stays as it is while it is read",
                happens="the study is not published",
            )
        )  # fmt: skip
    header, *rows = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""))
    named = {str(c) for table in tables for c in table.frame.columns}
    for table in tables:
        renames = study.description.tables[table.name].columns
        named |= {old for old, new in renames.items() if old != new}
    hides = hidden(study.named)
    stays_out = any(study.unlisted & set(t.items) for t in tables)
    found = {}
    for i, name in enumerate(header):
        told = name and name not in named and not (stays_out and is_summary(name.replace("_", " ")))
        cells = [rows[row - 2][i] for row in index] if told else []
        if cells and carried(study.description, tables, name, set(cells), hides):
            found[name] = [inert(cell) for cell in cells]
    return found


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return inert(value)
    if value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value)):
        return ""
    number = float(value)
    return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)


def inert(text: str) -> str:
    """``text`` such that no spreadsheet runs it; a plain number is left alone, though not with a
    plus, which no number of a download needs and some spreadsheets take for a formula.

    A spreadsheet may drop spaces, control and invisible characters before a sign, read a wide
    ``＝`` as the plain one, and begin a new cell after a return.
    """
    lines = re.split(r"[\r\n\x0b\x0c\x85\u2028\u2029]", text)
    if not any(_begins_a_formula(line) for line in lines):
        return text
    try:
        float(text)
    except ValueError:
        return "'" + text
    return "'" + text if "+" in text.partition("e")[0].partition("E")[0] else text


def _begins_a_formula(text: str) -> bool:
    for character in unicodedata.normalize("NFKC", text):
        if unicodedata.category(character)[0] not in "CZ":
            return character in FORMULA_STARTS
    return False


def _package(study: Study, files: Mapping[str, bytes], drawn: Mapping[str, FigureResult]) -> bytes:
    """A Data Package (datapackage.org, version 1 keys) of the tables and the figures."""
    description = study.description
    package: dict[str, Any] = {
        "profile": "tabular-data-package",
        "name": study.id,
        "title": description.title,
        "description": description.question,
        "resources": [
            *(_resource(study, t, files[f"data/{t.file}"]) for t in study.tables.values()),
            *(_drawn(name, figure, files[name]) for name, figure in drawn.items()),
        ],
    }
    if description.is_invented:
        package["description"] += " Made-up data: every number here is invented."
    if description.report is not None:
        package["sources"] = [{"title": description.report.title}]
    return (json.dumps(package, ensure_ascii=False, indent=1) + "\n").encode()


def _resource(study: Study, table: Table, content: bytes) -> dict[str, Any]:
    fields = [_field(study, table, name) for name in _header(content)]
    resource = _file(table.file, content, fields)
    if source := source_words(study, table):
        resource["description"] = source
    return resource


def _drawn(name: str, result: FigureResult, content: bytes) -> dict[str, Any]:
    """The numbers of one figure; ``name`` is its path from the study's folder."""
    table = result.table
    fields = []
    for index, (column, unit) in enumerate(zip(_header(content), table.units, strict=True)):
        text = any(isinstance(row[index], str) for row in table.rows)
        field = {"name": column, "type": "string" if text else "number"}
        fields.append({**field, "unit": unit} if unit else field)
    resource = _file(name.removeprefix("data/"), content, fields)
    resource["description"] = f"The numbers that the figure {result.figure.id} draws"
    return resource


def _file(path: str, content: bytes, fields: list[dict[str, str]]) -> dict[str, Any]:
    return {
        "profile": "tabular-data-resource",
        "name": path.rsplit(".", 1)[0].lower().replace(" ", "-"),
        "path": path,
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(content),
        "hash": f"sha256:{digest(content)}",
        "schema": {"fields": fields},
    }


def _header(content: bytes) -> list[str]:
    return next(csv.reader(io.StringIO(content.decode("utf-8"), newline="")))


def _field(study: Study, table: Table, column: str) -> dict[str, str]:
    known = column in table.frame.columns
    number = known and pd.api.types.is_numeric_dtype(table.frame[column])
    said = {"name": column, "type": "number" if number else "string"}
    if column in study.description.measures:
        said["title"] = study.term(column)
        said["unit"] = study.measure(column).unit
    elif column == table.use and table.use_term:
        said["title"], said["unit"] = table.use_term, table.use_unit
    return said
