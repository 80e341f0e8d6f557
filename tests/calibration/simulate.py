"""How often is a verdict wrong?  Draws worlds whose truth is known and counts.

Run in full (about ten minutes on two cores)::

    python tests/calibration/simulate.py --draws 1000

It prints the table in results.md beside it.  ``test_calibration.py`` runs a small version.
"""

from __future__ import annotations

import argparse
import importlib.util
import math
import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import numpy as np

from explainer.claims.judge import verdicts_of
from explainer.study.thresholds import thresholds

SIZES = (4, 6, 8, 12, 20)
SEED = 731


def _worlds() -> ModuleType:
    """The neighbor file, whether this one is run or imported by pytest."""
    name = "calibration_worlds"
    if name in sys.modules:
        return sys.modules[name]
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name("worlds.py"))
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@dataclass(frozen=True)
class Tally:
    """Counts over ``draws`` worlds of one kind and size."""

    kind: str
    n: int
    shared: float
    draws: int
    false_backed: int
    true_backed: int
    true_against: int
    true_cannot: int
    ranges: int
    covered: int

    def share(self, count: int) -> float:
        return 100 * count / self.draws

    @property
    def coverage(self) -> float | None:
        return 100 * self.covered / self.ranges if self.ranges else None


def tally(kind: str, n: int, draws: int, shared: float = 0.0) -> Tally:
    """Judge ``draws`` true and ``draws`` false worlds; the seed depends on all of it."""
    worlds = _worlds()
    every = {**worlds.WORLDS, **worlds.STRESS}
    make = every[kind]
    key = [SEED, n, list(every).index(kind), int(1000 * shared)]
    rng = np.random.default_rng(key)
    counts = dict.fromkeys(("fb", "tb", "ta", "tc", "ranges", "covered"), 0)
    for truth in (True, False):
        for _ in range(draws):
            world = make(rng, n, truth, shared)
            (verdict,) = verdicts_of(world.study, thresholds(world.study.description))
            if truth:
                counts["tb"] += verdict.code == "backed"
                counts["ta"] += verdict.code == "against"
                counts["tc"] += verdict.code in ("cannot-tell", "not-tested")
            else:
                counts["fb"] += verdict.code == "backed"
            if None not in (verdict.low, verdict.high, world.value) and math.isfinite(world.value):
                counts["ranges"] += 1
                counts["covered"] += verdict.low <= world.value <= verdict.high
    return Tally(kind, n, shared, draws, counts["fb"], counts["tb"], counts["ta"], counts["tc"],
                 counts["ranges"], counts["covered"])  # fmt: skip


def _one(job: tuple[str, int, int, float]) -> Tally:
    return tally(*job)


def table(tallies: Iterable[Tally]) -> str:
    """Markdown, one row per kind and size."""
    lines = [
        "| test | items | backed though false | against though true | backed when true "
        "| can't tell when true | 95% range covers |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for t in tallies:
        name = t.kind + (f", shared error {t.shared:g}" if t.shared else "")
        cover = "–" if t.coverage is None else f"{t.coverage:.1f}%"
        lines.append(
            f"| {name} | {t.n} | {t.share(t.false_backed):.1f}% | {t.share(t.true_against):.1f}% "
            f"| {t.share(t.true_backed):.0f}% | {t.share(t.true_cannot):.0f}% | {cover} |"
        )
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=1000)
    parser.add_argument("--only", default="", help="kinds whose name contains this")
    parser.add_argument("--last", type=int, default=0, help="only so many kinds, the last ones")
    asked = parser.parse_args()
    worlds = _worlds()
    jobs = [
        (kind, n, asked.draws, 0.0)
        for kind in [*worlds.WORLDS, *worlds.STRESS][-asked.last :] if asked.only in kind
        for n in SIZES
    ]
    jobs += [(kind, 8, asked.draws, 0.5) for kind in worlds.SHARED if asked.only in kind]
    with ProcessPoolExecutor(2) as pool:
        print(table(pool.map(_one, jobs)))
    error = 100 * 1.96 * math.sqrt(0.05 * 0.95 / asked.draws)
    print(f"\n{asked.draws} worlds a cell; a share of 5% is known to ±{error:.1f} points.")


if __name__ == "__main__":
    main()
