"""Reads where a CSV file's numbers were lifted from, if a file beside it says so."""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from explainer import units
from explainer.errors import DescriptionError, Problem
from explainer.study.describe import UNUSED, describe
from explainer.study.description.lifted import LiftedFrom, sidecar_name
from explainer.study.description.sources import TableFile
from explainer.study.description.study import Description
from explainer.study.files import FileFault, read_file
from explainer.study.yaml12 import read

#: Bytes of all that stands beside a study's files; room for some sixty thousand points.
MAX_ORIGIN_BYTES = 1_500_000


@dataclass(frozen=True)
class FoundOrigin:
    """What stands beside a CSV file; all empty where nothing does."""

    name: str
    """Of the file that says it."""
    lifted: LiftedFrom | None = None
    sha256: str = ""
    edited: bool = False
    """The CSV file is no longer the one that was lifted."""
    size: int = 0
    """Bytes of the file that says it."""


def origin_of(
    folder: Path, csv: str, csv_sha256: str, others: int = 0
) -> tuple[FoundOrigin, list[Problem]]:
    """Where the numbers of ``csv`` came from, and what is wrong with the file that says so;
    ``others``: bytes of those read already, which take of what all may be."""
    name = sidecar_name(csv)
    none = FoundOrigin(name)
    if not (folder / name).is_symlink() and not (folder / name).exists():
        return none, []
    try:
        data = read_file(folder, name, MAX_ORIGIN_BYTES - others)
    except FileFault as fault:
        hint = fault.hint or f"all such files of a study together: {MAX_ORIGIN_BYTES:,} bytes"
        return none, [
            Problem(name, found=fault.found, expected=fault.expected, hint=hint, happens=UNUSED,
                    code=fault.code)
        ]  # fmt: skip
    try:
        lifted = describe(read(data, name), LiftedFrom, name)
    except DescriptionError as fault:
        return none, list(fault.problems)
    edited = lifted.csv_sha256 is not None and lifted.csv_sha256 != csv_sha256
    return FoundOrigin(name, lifted, sha256(data).hexdigest(), edited, len(data)), []


def error_of(
    description: Description, table: TableFile, measures: tuple[str, ...], said: dict[str, float]
) -> float:
    """The largest error among a table's measures, in their unit; 0 where their units differ.

    ``said`` names columns as they stand in the file.
    """
    found: dict[str, float] = {}
    for column, error in said.items():
        name = table.columns.get(column, column)
        if name in measures:
            own = description.measures[name].unit
            written = table.units.get(name, own)
            try:
                steps = [float(units.convert(v, written, own)) for v in (0.0, error)]
            except units.UnitError:
                continue
            found[name] = abs(steps[1] - steps[0])
    if len({description.measures[name].unit for name in found}) != 1:
        return 0.0
    return max(found.values())


def lifted_of(csv: str, origin: bytes) -> LiftedFrom:
    """An origin that stands beside a CSV file anywhere.  Raises DescriptionError."""
    name = sidecar_name(csv)
    return describe(read(origin, name), LiftedFrom, name)


def retold(origin: bytes, csv: str, data: bytes, columns: dict[str, str]) -> bytes:
    """An origin for a tidied copy of its CSV file: another name and hash, columns renamed."""
    record = lifted_of(csv, origin).model_dump(mode="json")
    record |= {"file": csv, "csv_sha256": sha256(data).hexdigest()}
    for key in ("reading_error", "axis_error", "repeated"):
        record[key] = {columns.get(k, k): v for k, v in record[key].items()}
    return origin_text(record)


def noted(origin: bytes, csv: str, note: str) -> bytes:
    """An origin with one thing more to know about it."""
    record = lifted_of(csv, origin).model_dump(mode="json")
    return origin_text({**record, "notes": [*record["notes"], note]})


def origin_text(record: dict[str, object]) -> bytes:
    """An origin as YAML, each value in the form that JSON and YAML 1.2 share."""
    lines = ["# Where these numbers came from. explainer wrote this; the page tells it."]
    for key, value in record.items():
        kept = _without_none(value)
        if kept not in (None, {}, [], ()):
            lines.append(f"{key}: {json.dumps(kept, ensure_ascii=False, allow_nan=False)}")
    return ("\n".join(lines) + "\n").encode("utf-8")


def _without_none(value: object) -> object:
    if isinstance(value, dict):
        return {k: _without_none(v) for k, v in value.items() if v is not None}
    if isinstance(value, list | tuple):
        return [_without_none(v) for v in value]
    return value
