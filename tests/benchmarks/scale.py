"""What a site of 1, 10, 50 and 200 generated studies costs: time, memory and size of each.

.venv/bin/python tests/benchmarks/scale.py [COUNT ...]

Each is published to an empty place, again with nothing changed, and again with one study
changed.  Peak memory and processor time are those of the command itself: with two workers, their
own is not in them.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
from pathlib import Path

from measure import run

DESCRIPTION = """\
title: Does cover {number} keep its bite?
question: Once ball set {number} has been rolled, does it lose texture?
invented: yes
report: {{title: Cover texture {number}, publisher: Brackenfold Test Bench}}
tested: {{each: ball, group: model, count: 8}}
use: {{column: games, term: games rolled, unit: game}}
measures:
  texture: {{term: cover roughness, unit: microinch, resolution: 1, matters_from: 6}}
tables:
  readings: {{file: readings.csv, source: "Table 1"}}
figures:
  - {{id: over-play, kind: over-use, table: readings, y: texture, report_figure: Figure 1}}
claims:
  - id: falls
    report_says: Texture fell with play.
    plainly: Balls go smooth as you bowl.
    figure: over-play
    test: {{kind: change, measure: texture, from: 0, to: 60, direction: down}}
"""
HEADS = ("studies", "workers", "all s", "s each", "CPU each", "peak MB", "MB each",
         "unchanged s", "one changed s")  # fmt: skip


def generate(root: Path, count: int) -> None:
    """``count`` studies of eight invented balls, each with readings of its own."""
    for number in range(count):
        folder = root / "studies" / f"study-{number:03}"
        folder.mkdir(parents=True)
        (folder / "study.yaml").write_text(DESCRIPTION.format(number=number), "utf-8")
        chance = random.Random(number)
        lines = ["ball,model,games,texture"]
        for ball in range(8):
            start = chance.gauss(72, 4)
            for games in (0, 20, 40, 60):
                reading = start - 0.3 * games + chance.gauss(0, 2)
                lines.append(f"B{ball},{('Plover', 'Teasel')[ball % 2]},{games},{reading:.0f}")
        (folder / "readings.csv").write_text("\n".join(lines) + "\n", "utf-8")


def size(site: Path) -> float:
    """Megabytes."""
    return sum(p.stat().st_size for p in site.rglob("*") if p.is_file()) / 1e6


def main(counts: list[int]) -> None:
    print("".join(f"{head:>14}" for head in HEADS))
    for count in counts:
        for workers in (1, 2):
            with tempfile.TemporaryDirectory() as made:
                line(Path(made), count, workers)


def line(made: Path, count: int, workers: int) -> None:
    """One row: published whole, again, and again with one study changed."""
    generate(made / "home", count)
    os.environ["EXPLAINER_CACHE"] = str(made / "cache")
    command = [
        sys.executable, "-m", "explainer", "--workspace", str(made / "home"), "publish",
        "--into", str(made / "site"), "--workers", str(workers),
    ]  # fmt: skip
    whole, again = run(command), run(command)
    path = made / "home" / "studies" / "study-000" / "study.yaml"
    path.write_text(path.read_text("utf-8").replace("go smooth", "get smooth"), "utf-8")
    changed = run(command)
    figures = (
        whole.wall, whole.wall / count, whole.processor / count, whole.peak,
        size(made / "site") / count, again.wall, changed.wall,
    )  # fmt: skip
    print(f"{count:14}{workers:14}" + "".join(f"{f:14.2f}" for f in figures), flush=True)


if __name__ == "__main__":
    main([int(count) for count in sys.argv[1:]] or [1, 10, 50, 200])
