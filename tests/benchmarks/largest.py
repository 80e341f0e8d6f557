"""The largest study that README promises: what it costs, and whether that is within the promise.

.venv/bin/python tests/benchmarks/largest.py [--into FOLDER]

One study with as many rows, tables, figures and claims as ``PROMISED`` says, invented readings.
``proof`` and ``publish`` (the page with its PDF and all numbers) run in processes of their own.
Ends with 1 where processor time or memory is beyond the promise.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from measure import Cost, report, run


@dataclass(frozen=True)
class Promised:
    """How much there may be of each, and what it may cost at most."""

    rows: int = 1_500_000
    tables: int = 30
    figures: int = 60
    claims: int = 120
    seconds: float = 300.0
    megabytes: float = 1_000.0


PROMISED = Promised()
GAMES = (0, 20, 40, 60)
BALLS = 24


def description(promised: Promised) -> str:
    """``study.yaml``: figures and claims in turn about each of the tables."""
    lines = [
        "title: Everything at once", "question: Does a cover wear?", "invented: yes",
        f"tested: {{each: ball, group: model, count: {BALLS}}}",
        "use: {column: games, term: games rolled, unit: game}", "measures:",
        "  texture: {term: cover roughness, unit: microinch, matters_from: 6}",
        "  hook: {term: total hook, unit: board, matters_from: 1}", "tables:",
    ]  # fmt: skip
    lines += [f"  t{n}: {{file: t{n}.csv, source: page {n + 1}}}" for n in range(promised.tables)]
    lines.append("figures:")
    for n in range(promised.figures):
        kind = ("over-use", "groups")[n % 2]
        more = "y: texture, by: model, at: 60" if kind == "groups" else "y: texture"
        table = f"t{n % promised.tables}"
        lines.append(f"  - {{id: f{n}, kind: {kind}, table: {table}, {more}}}")
    lines.append("claims:")
    for n in range(promised.claims):
        table = f"table: t{n % promised.tables}, measure: {('texture', 'hook')[n % 2]}"
        test = (
            f"kind: change, {table}, from: 0, to: 60, direction: down",
            f"kind: difference, {table}, by: model, a: Plover, b: Teasel, at: 60",
            f"kind: share-of-items, {table}, from: 0, to: 60, direction: down, share: every",
            f"kind: no-change, {table}, from: 20, to: 60",
        )[n % 4]  # fmt: skip
        lines.append(f"  - {{id: c{n}, report_says: Sentence number {n}., test: {{{test}}}}}")
    return "\n".join(lines) + "\n"


def generate(root: Path, promised: Promised) -> None:
    """The workspace with this one study."""
    folder = root / "studies" / "largest"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(description(promised), "utf-8")
    shots = promised.rows // promised.tables // BALLS // len(GAMES)
    for n in range(promised.tables):
        chance = random.Random(n)
        lines = ["ball,model,games,shot,texture,hook"]
        for ball in range(BALLS):
            start = chance.gauss(72, 4)
            for games in GAMES:
                for shot in range(shots):
                    texture = start - 0.3 * games + chance.gauss(0, 2)
                    hook = 8 + texture / 20 + chance.gauss(0, 0.3)
                    model = ("Plover", "Teasel")[ball % 2]
                    lines.append(f"B{ball},{model},{games},{shot},{texture:.1f},{hook:.2f}")
        (folder / f"t{n}.csv").write_text("\n".join(lines) + "\n", "utf-8")


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--into", type=Path, help="keep the workspace here")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        home = given.into or Path(made) / "home"
        generate(home, PROMISED)
        explainer = [sys.executable, "-m", "explainer", "--workspace", str(home)]
        publish = ["publish", "-q", "--workers", "1", "--edition", "page"]
        os.environ["EXPLAINER_CACHE"] = str(Path(made) / "cache")
        costs = {
            "proof": run([*explainer, "proof", "-q"]),
            "publish, page and PDF": run([*explainer, *publish]),
        }
    print(PROMISED)
    report(costs)
    return 0 if all(map(kept, costs.values())) else 1


def kept(cost: Cost) -> bool:
    return cost.processor <= PROMISED.seconds and cost.peak <= PROMISED.megabytes


if __name__ == "__main__":
    sys.exit(main())
