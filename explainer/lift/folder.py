"""Files of one reading, added to a folder together, and never over another."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from explainer.errors import OutputError
from explainer.study.description.lifted import ENDING, sidecar_name


def add_files(folder: Path, files: Mapping[str, bytes]) -> str:
    """Writes a CSV file and its origin; gives the CSV's name, which may differ where it is taken.

    The origin is in place before the CSV is, so that no numbers lie there without one.  Raises
    OutputError.
    """
    csv = next(name for name in files if not name.endswith(ENDING))
    name, number = csv, 2
    while os.path.lexists(folder / name) or os.path.lexists(folder / sidecar_name(name)):
        name, number = f"{csv.removesuffix('.csv')}-{number}.csv", number + 1
    origin = files[sidecar_name(csv)].replace(f'file: "{csv}"'.encode(), f'file: "{name}"'.encode())
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for target, data in ((sidecar_name(name), origin), (name, files[csv])):
            part = folder / f".{target}.part"
            part.write_bytes(data)
            part.replace(folder / target)
    except OSError as fault:
        raise OutputError(f"cannot write {folder}: {fault.strerror or fault}") from fault
    return name
