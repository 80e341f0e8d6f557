"""A million shots of 20 balls, read and judged, beside pandas reading the same file alone.

.venv/bin/python tests/benchmarks/million_rows.py

Time and memory are what the rows cost: the same process on a hundred rows is taken off both sides,
so imports count nowhere.  Memory is given as a share of what the data frame itself takes.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

from measure import medians, ratio, report

BALLS, GAMES, FEW, ROWS = 20, (0, 15, 30, 45, 60), 100, 1_000_000
STUDY = """\
title: A million shots
question: Does hook fall?
invented: yes
tested: {each: ball, count: 20}
use: {column: games, term: games rolled, unit: game}
measures:
  hook: {term: total hook, unit: board, matters_from: 1}
tables:
  shots: {file: shots.csv, order: shot}
claims:
  - {id: falls, report_says: s, test: {kind: change, measure: hook, from: 0, to: 60}}
"""
BARE = "import pandas, numpy, scipy.special\npandas.read_csv({csv!r})"
OURS = """
from pathlib import Path
from explainer.claims.judge import judge
from explainer.study.load import load_study
from explainer.study.load import open_workspace
from explainer.study.shipped import home
judge(load_study(Path({folder!r}), open_workspace(home())))
"""


def write(folder: Path, rows: int) -> None:
    """The study and its CSV, from a fixed seed; prints what the frame takes in MB.

    In a process of its own: a small parent keeps the peaks of its children their own.
    """
    import numpy as np
    import pandas as pd

    rng = np.random.default_rng(11)
    each = rows // (BALLS * len(GAMES))
    ball = np.repeat(np.arange(BALLS), each * len(GAMES))
    games = np.tile(np.repeat(GAMES, each), BALLS)
    hook = 12 + rng.normal(0, 1, BALLS)[ball] - 0.02 * games + rng.normal(0, 1.5, rows)
    frame = pd.DataFrame({
        "ball": np.array([f"B{i:02d}" for i in range(BALLS)])[ball], "games": games,
        "shot": np.tile(np.arange(1, each + 1), BALLS * len(GAMES)), "hook": hook.round(2),
    })  # fmt: skip
    folder.mkdir()
    (folder / "study.yaml").write_text(STUDY, "utf-8")
    csv = folder / "shots.csv"
    frame.to_csv(csv, index=False)
    print(json.dumps(pd.read_csv(csv).memory_usage(deep=True).sum() / 2**20))


def main() -> None:
    commands, frame = {}, 0.0
    with tempfile.TemporaryDirectory() as made:
        for rows in (FEW, ROWS):
            folder = Path(made) / str(rows)
            writing = [sys.executable, __file__, str(folder), str(rows)]
            frame = json.loads(subprocess.run(writing, capture_output=True, check=True).stdout)
            bare, ours = BARE.format(csv=str(folder / "shots.csv")), OURS.format(folder=str(folder))
            commands[f"pandas.read_csv, {rows:,} rows"] = [sys.executable, "-c", bare]
            commands[f"load_study and judge, {rows:,} rows"] = [sys.executable, "-c", ours]
        size = (folder / "shots.csv").stat().st_size / 2**20
        costs = medians(commands, 7)
    report(costs)
    bare0, ours0, bare1, ours1 = costs.values()
    print(f"\n{size:.0f} MB of CSV, a frame of {frame:.0f} MB")
    ratio(
        "time, processor",
        ours1.processor - ours0.processor, bare1.processor - bare0.processor, 2,
    )  # fmt: skip
    ratio("time, clock", ours1.wall - ours0.wall, bare1.wall - bare0.wall, 2)
    ratio("time with imports, processor", ours1.processor, bare1.processor, 2)
    ratio("peak memory over the frame", ours1.peak - ours0.peak, frame, 3)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        write(Path(sys.argv[1]), int(sys.argv[2]))
    else:
        main()
