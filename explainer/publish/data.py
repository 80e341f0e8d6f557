"""The data to download: the tables as they were read, and a description of their columns."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Mapping
from typing import Any

import pandas as pd

from explainer.publish.manifest import digest
from explainer.study.model import Study, Table

#: What a spreadsheet takes for the start of a formula (OWASP, "CSV Injection").
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def data_files(study: Study) -> dict[str, bytes]:
    """``data/…`` of a study: one CSV per table and the Data Package that describes them.

    Columns carry the description's names and units; a missing or excluded reading is an empty
    cell; a text that a spreadsheet would run as a formula begins with an apostrophe.
    """
    files = {f"data/{path_of(table)}": _csv(table) for table in study.tables.values()}
    files["data/datapackage.json"] = _package(study, files)
    return files


def path_of(table: Table) -> str:
    """The table's file name below ``data/``."""
    return table.file.replace("\\", "/").rsplit("/", 1)[-1]


def _csv(table: Table) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([inert(str(name)) for name in table.frame.columns])
    columns = [[_cell(value) for value in table.frame[name]] for name in table.frame.columns]
    writer.writerows(zip(*columns, strict=True))
    return out.getvalue().encode("utf-8")


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return inert(value)
    if value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value)):
        return ""
    number = float(value)
    return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)


def inert(text: str) -> str:
    """``text`` such that no spreadsheet runs it; a plain number is left alone."""
    if not text.startswith(FORMULA_STARTS):
        return text
    try:
        float(text)
    except ValueError:
        return "'" + text
    return text


def _package(study: Study, files: Mapping[str, bytes]) -> bytes:
    """A Data Package (datapackage.org, version 1 keys) of the tables."""
    description = study.description
    package: dict[str, Any] = {
        "profile": "tabular-data-package",
        "name": study.id,
        "title": description.title,
        "description": description.question,
        "resources": [
            _resource(study, table, files[f"data/{path_of(table)}"])
            for table in study.tables.values()
        ],
    }
    if description.is_invented:
        package["description"] += " Made-up data: every number here is invented."
    if description.report is not None:
        package["sources"] = [{"title": description.report.title}]
    return (json.dumps(package, ensure_ascii=False, indent=1) + "\n").encode()


def _resource(study: Study, table: Table, content: bytes) -> dict[str, Any]:
    resource: dict[str, Any] = {
        "profile": "tabular-data-resource",
        "name": path_of(table).rsplit(".", 1)[0].lower().replace(" ", "-"),
        "path": path_of(table),
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(content),
        "hash": f"sha256:{digest(content)}",
        "schema": {"fields": [_field(study, table, str(c)) for c in table.frame.columns]},
    }
    if table.source:
        resource["description"] = table.source
    return resource


def _field(study: Study, table: Table, column: str) -> dict[str, str]:
    number = pd.api.types.is_numeric_dtype(table.frame[column])
    said = {"name": column, "type": "number" if number else "string"}
    if column in study.description.measures:
        said["title"] = study.term(column)
        said["unit"] = study.measure(column).unit
    elif column == table.use and table.use_term:
        said["title"], said["unit"] = table.use_term, table.use_unit
    return said
