"""What each rule costs: of true claims, how many its reason holds back whose range would back them.

Run (about fifteen minutes on one core)::

    python tests/calibration/held.py --draws 300

It prints the table under "What each rule costs" in results.md.  A claim counts where its deciding
range lies where the claim needs it and the verdict is another one all the same; with two reasons it
counts under both.  ``--designs`` takes the worlds of designs.py in place of those of worlds.py.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
from collections import Counter
from pathlib import Path
from types import ModuleType

import numpy as np

from explainer.claims.judge import verdicts_of
from explainer.claims.verdict import Verdict
from explainer.study.model import Study
from explainer.study.thresholds import thresholds
from explainer.words.facts.relations import lies

SIZES = (4, 8, 20)
#: Reasons that explain a verdict and never hold one back.
EXPLAINING = frozenset({"evenly-scattered", "one-step", "real-but-small"})


def beside(name: str) -> ModuleType:
    """The file of that name in this folder, as a module."""
    key = f"calibration_{name}"
    if key not in sys.modules:
        spec = importlib.util.spec_from_file_location(key, Path(__file__).with_name(f"{name}.py"))
        assert spec is not None and spec.loader is not None
        sys.modules[key] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[key])
    return sys.modules[key]


def would_be_backed(v: Verdict) -> bool:
    """Its deciding range lies where the claim needs it, and it is not backed."""
    strip = v.strip
    if v.code == "backed" or strip is None or strip.low is None or strip.high is None:
        return False
    return lies(strip, strip.low, strip.high) == "inside"


def held(kind: str, n: int, draws: int, designs: bool = False) -> tuple[int, Counter[str]]:
    """How many true worlds of ``draws`` are backed, and which reasons hold back how many others."""
    worlds = beside("designs" if designs else "worlds")
    names = list(worlds.WORLDS)
    rng = np.random.default_rng([977, n, names.index(kind), int(designs)])
    backed, reasons = 0, Counter[str]()
    for _ in range(draws):
        study: Study = worlds.WORLDS[kind](rng, n, True) if designs else worlds.WORLDS[kind](
            rng, n, True, 0.0).study  # fmt: skip
        v = verdicts_of(study, thresholds(study.description))[0]
        backed += v.code == "backed"
        if would_be_backed(v):
            reasons["held back"] += 1
            reasons.update(set(v.reasons) - EXPLAINING)
    return backed, reasons


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=300)
    parser.add_argument("--only", default="", help="kinds whose name contains this")
    parser.add_argument("--first", type=int, default=0, help="only so many kinds, the first ones")
    parser.add_argument("--designs", action="store_true")
    asked = parser.parse_args()
    names = list(beside("designs" if asked.designs else "worlds").WORLDS)
    print("| world | items | backed | held back | by |\n| --- | --- | --- | --- | --- |")
    for kind in names[: asked.first or None]:
        for n in SIZES if asked.only in kind else ():
            backed, found = held(kind, n, asked.draws, asked.designs)
            whole = found.pop("held back", 0)
            by = ", ".join(f"`{r}` {100 * k / asked.draws:.0f}%" for r, k in found.most_common()
                           if k * 200 >= asked.draws)  # fmt: skip
            print(f"| {kind} | {n} | {100 * backed / asked.draws:.0f}% | "
                  f"{100 * whole / asked.draws:.0f}% | {by or '–'} |", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
