"""Writes ``studies/cover-texture/originals``: the study's tables as spreadsheets export them.

    python tests/demo/originals.py studies/cover-texture

Three habits of three desks, for trying ``draft`` on: a column for every checkpoint, UTF-8 with a
byte order mark; semicolons and decimal commas in Windows-1252; notes above the table and a second
header row for the units, in tabs and UTF-16, which is what saving "Unicode text" gives.  The
numbers are those of the tidy CSV files beside them.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pandas as pd

WIDE, COMMAS, NOTES = "bench readings.csv", "Balls from the box.csv", "hook shot by shot.csv"


def wide(folder: Path) -> bytes:
    """Table 2: one line per ball, roughness and then hardness across the checkpoints."""
    table = pd.read_csv(folder / "checkpoints.csv", dtype=str)
    games = list(dict.fromkeys(table["games"]))
    lines = [["Ball", "Model", *(f"Ra {g} games (µin)" for g in games),
              *(f"Hardness {g} games (Shore D)" for g in games)]]  # fmt: skip
    for (ball, model), rows in table.groupby(["ball", "model"], sort=False):
        lines.append([ball, model, *rows["texture"], *rows["hardness"]])
    return _text(lines, ",", "\r\n").encode("utf-8-sig")


def commas(folder: Path) -> bytes:
    """Table 5: twelve balls from the box, as a computer with decimal commas saves them."""
    table = pd.read_csv(folder / "new-balls.csv", dtype=str)
    lines = [["Ball", "Ra [µin]", "Total hook (boards)"]]
    lines += [[ball, ra, hook.replace(".", ",")] for ball, ra, hook in table.to_numpy()]
    return _text(lines, ";", "\r\n").encode("cp1252")


def notes(folder: Path) -> bytes:
    """Table 4: every shot, beneath what somebody typed over the table."""
    table = pd.read_csv(folder / "shots.csv", dtype=str)
    lines = [["Made-up data: hook, shot by shot"], ["One lane, one machine, oiled every hour"], []]
    lines += [["Ball", "Model", "Games", "Shot", "Hook"], ["", "", "", "", "boards"]]
    lines += table[["ball", "model", "games", "shot", "hook"]].to_numpy().tolist()
    return _text([[*line, *[""] * (5 - len(line))] for line in lines], "\t", "\r\n").encode(
        "utf-16"
    )


def _text(lines: list[list[str]], between: str, end: str) -> str:
    return "".join(between.join(line) + end for line in lines)


MAKERS = {WIDE: wide, COMMAS: commas, NOTES: notes}


def main(folder: Path) -> None:
    (folder / "originals").mkdir(exist_ok=True)
    for name, make in MAKERS.items():
        (folder / "originals" / name).write_bytes(make(folder))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
