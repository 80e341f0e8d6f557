"""Judging an ordinary study once libraries are loaded: 8 balls, 6 checkpoints, 8 claims.

.venv/bin/python tests/benchmarks/reanalysis.py
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

STUDY = """\
title: An ordinary study
question: Does it change?
invented: yes
tested: {each: ball, count: 8}
use: {column: games, term: games rolled, unit: game}
measures:
  texture: {unit: microinch, matters_from: 6, resolution: 1, repeatability_sd: 1.5}
  hardness: {unit: Shore D, matters_from: 1}
  hook: {unit: board, matters_from: 1}
tables: {readings: {file: readings.csv}}
claims:
  - {id: a, report_says: a, test: {kind: change, measure: texture, from: 0, to: 60}}
  - {id: b, report_says: b, test: {kind: no-change, measure: hardness, from: 0, to: 60}}
  - {id: c, report_says: c, test: {kind: association, x: texture, y: hook, direction: positive}}
  - {id: d, report_says: d, test: {kind: tracks-within, x: texture, y: hook, direction: positive}}
  - {id: e, report_says: e, test: {kind: same-line, x: texture, y: hook}}
  - {id: f, report_says: f, test: {kind: break-in, measure: texture, by: 20, from: 0, to: 60}}
  - {id: g, report_says: g, test: {kind: no-association, x: hardness, y: hook, margin: 0.7}}
  - {id: h, report_says: h, test: {kind: change, measure: hook, from: 0, to: 60, direction: down}}
"""
GAMES = (0, 10, 20, 30, 45, 60)
TIMES = 25


def write(folder: Path) -> None:
    """The study, with made-up readings from a fixed seed."""
    rng = np.random.default_rng(7)
    rows = ["ball,games,texture,hardness,hook"]
    for ball in range(8):
        level, hard = rng.normal(80, 12), rng.normal(75, 1)
        for games in GAMES:
            texture = level - 20 * (1 - np.exp(-games / 15)) + rng.normal(0, 1.5)
            hook = 0.12 * level + rng.normal(0, 0.4)
            hardness = hard + rng.normal(0, 0.2)
            rows.append(f"B{ball},{games},{texture:.0f},{hardness:.1f},{hook:.1f}")
    (folder / "readings.csv").write_text("\n".join(rows) + "\n", "utf-8")
    (folder / "study.yaml").write_text(STUDY, "utf-8")


def main() -> None:
    from explainer.claims.judge import judge
    from explainer.study.load import load_study, open_workspace
    from explainer.study.shipped import home

    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        write(folder)
        workspace = open_workspace(home())
        times: dict[str, list[float]] = {"read": [], "judge": []}
        for _ in range(TIMES):
            start = time.perf_counter()
            study = load_study(folder, workspace)
            read = time.perf_counter()
            judgement = judge(study)
            times["judge"].append(time.perf_counter() - read)
            times["read"].append(read - start)
    print(f"{len(judgement.verdicts)} claims: {', '.join(v.code for v in judgement.verdicts)}")
    for name, seconds in times.items():
        first, rest = seconds[0], statistics.median(seconds[1:])
        print(f"{name:8} first time {1000 * first:8.1f} ms   then {1000 * rest:8.1f} ms (median)")
    print(f"aim for judge: under 300 ms; Python {sys.version.split()[0]}")


if __name__ == "__main__":
    main()
