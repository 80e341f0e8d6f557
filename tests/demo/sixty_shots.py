"""Makes the data of ``studies/sixty-shots``: six balls, sixty shots each, on oil that wears.

    python tests/demo/sixty_shots.py studies/sixty-shots

The truth: hook grows by 2.4 boards in the first ten shots or so and then stays (it settles); a
few shots per ball are slips of the hand; entry angle follows hook; speed does not change.  Oil
and ball wear together over the session, so nobody can say which of them did it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260607
SHOTS = 60
TRUE_SETTLING = 2.4
SETTLES_OVER = 6.0
BALLS = ("S1", "S2", "S3", "S4", "S5", "S6")
#: Feet down the lane at which the path is read.
FEET = (0, 15, 25, 35, 40, 45, 50, 55, 60)


def make(seed: int = SEED) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Every shot (hook, speed), and each ball's path averaged over its first and last ten."""
    rng = np.random.default_rng(seed)
    shots, paths = [], []
    for ball in BALLS:
        level, mine = rng.normal(9.5, 1.2), rng.normal(TRUE_SETTLING, 0.35)
        slips = set(rng.choice(np.arange(15, 56), 2, replace=False).tolist())
        hooks = []
        for shot in range(1, SHOTS + 1):
            hook = level + mine * (1 - np.exp(-(shot - 1) / SETTLES_OVER)) + rng.normal(0, 0.7)
            if shot in slips:
                hook -= rng.uniform(4.5, 6.0)
            hooks.append(hook)
            shots.append((ball, shot, round(hook * 2) / 2, round(rng.normal(16.8, 0.25), 1)))
        for part, some in (("first ten", hooks[:10]), ("last ten", hooks[-10:])):
            for feet, board in zip(FEET, _path(float(np.median(some)), rng), strict=True):
                paths.append((ball, part, feet, board))
    return (
        pd.DataFrame(shots, columns=["ball", "shot", "hook", "speed"]),
        pd.DataFrame(paths, columns=["ball", "part", "feet", "board"]),
    )


def _path(hook: float, rng: np.random.Generator) -> list[float]:
    """Straight out toward the gutter, a turn near 40 feet, and back by ``hook`` boards."""
    launch = -0.16
    boards = []
    for feet in FEET:
        straight = 18 + launch * feet
        turned = hook * max(0.0, (feet - 33) / 27) ** 1.6
        boards.append(round(straight + turned + rng.normal(0, 0.15), 1))
    return boards


def main(folder: Path) -> None:
    shots, paths = make()
    shots.to_csv(folder / "shots.csv", index=False, lineterminator="\n")
    paths.to_csv(folder / "paths.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
