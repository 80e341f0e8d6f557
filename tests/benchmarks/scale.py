"""What a site of 1, 10, 50 and 200 generated studies costs: time, memory and size of each.

.venv/bin/python tests/benchmarks/scale.py [COUNT ...]

Each is published to an empty place, again with nothing changed, and again with one study
changed, several times in turn with a site that has this one study alone: medians of what each of
the two takes and of what is between them.  Peak memory and processor time are those of the
command itself: with two workers, their own is not in them.
"""

from __future__ import annotations

import os
import random
import re
import statistics
import sys
import tempfile
from pathlib import Path

from measure import Cost, run

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
         "unchanged s", "one changed s", "alone s", "surplus s")  # fmt: skip
ROUNDS = 7


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
    os.environ["EXPLAINER_CACHE"] = str(made / "cache")
    all_of_them, alone = made / "home", made / "alone"
    generate(all_of_them, count)
    generate(alone, 1)
    whole, _ = publish(all_of_them, workers), publish(alone, workers)
    again = publish(all_of_them, workers)
    rounds = [
        (changed(all_of_them, number, workers), changed(alone, number, workers))
        for number in range(ROUNDS)
    ]
    one, lone = (statistics.median(walls) for walls in zip(*rounds, strict=True))
    surplus = statistics.median(a - b for a, b in rounds)
    figures = (
        whole.wall, whole.wall / count, whole.processor / count, whole.peak,
        size(made / "home-site") / count, again.wall, one, lone, surplus,
    )  # fmt: skip
    print(f"{count:14}{workers:14}" + "".join(f"{f:14.2f}" for f in figures), flush=True)


def publish(home: Path, workers: int) -> Cost:
    """What it costs to publish a workspace to the place beside it."""
    return run([
        sys.executable, "-m", "explainer", "--workspace", str(home), "publish",
        "--into", f"{home}-site", "--workers", str(workers),
    ])  # fmt: skip


def changed(home: Path, number: int, workers: int) -> float:
    """Seconds to publish once more after the first study says something new."""
    path = home / "studies" / "study-000" / "study.yaml"
    said = path.read_text("utf-8")
    path.write_text(re.sub("Balls .* as you", f"Balls go smooth {number} as you", said), "utf-8")
    return publish(home, workers).wall


if __name__ == "__main__":
    main([int(count) for count in sys.argv[1:]] or [1, 10, 50, 200])
