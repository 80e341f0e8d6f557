"""Makes the data of ``studies/sixty-shots``: six balls, sixty shots each, on oil that wears.

    python tests/demo/sixty_shots.py studies/sixty-shots

The truth: hook grows by 2.4 boards in the first ten shots or so and then stays (it settles); a
few shots per ball are slips of the hand; entry angle follows hook; speed drops by 0.15 mph
between the first ten shots and the last ten, too little to matter.  Oil and ball wear together over
the session, so nobody can say which of them did it: oil and hook have nothing to do with each
other here, except that both change with every shot.  The rev counter loses every second mark on
one shot in six; the rev rate itself is steady.  Flare is narrower in a ball's first ten shots, by
half an inch for each board its hook still lacks; from then on flare and hook only wobble, each
for itself.
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
TRUE_SLOWING = -0.15
TRUE_REVS = 320
#: Inches of flare that go with a board of hook, in the first ten shots and never again.
TRUE_FLARE_PER_BOARD = 0.5
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
            shots.append((ball, shot, round(hook * 2) / 2, _speed(shot, rng)))
        for part, some in (("first ten", hooks[:10]), ("last ten", hooks[-10:])):
            for feet, board in zip(FEET, _path(float(np.median(some)), rng), strict=True):
                paths.append((ball, part, feet, board))
    return (
        pd.DataFrame(shots, columns=["ball", "shot", "hook", "speed"]),
        pd.DataFrame(paths, columns=["ball", "part", "feet", "board"]),
    )


def _speed(shot: int, rng: np.random.Generator) -> float:
    return round(16.8 + TRUE_SLOWING * shot / 50 + rng.normal(0, 0.25), 1)


def make_revs(seed: int = SEED) -> pd.DataFrame:
    """The rev counter's own log: steady, except where it counted every second mark."""
    rng = np.random.default_rng([seed, 1])
    rows = []
    for ball in BALLS:
        mine = rng.normal(TRUE_REVS, 10)
        for shot in range(1, SHOTS + 1):
            revs = (mine + rng.normal(0, 5)) * (0.5 if rng.random() < 1 / 6 else 1.0)
            rows.append((ball, shot, round(revs)))
    return pd.DataFrame(rows, columns=["ball", "shot", "revs"])


def make_blocks(seed: int = SEED) -> pd.DataFrame:
    """Six blocks of ten shots: the oil left on the lane, and the middle hook of the block."""
    rng = np.random.default_rng([seed, 2])
    shots = make(seed)[0]
    rows = []
    for ball in BALLS:
        hooks = shots.loc[shots["ball"] == ball, "hook"].to_numpy()
        for block in range(6):
            middle = float(np.median(hooks[10 * block : 10 * block + 10]))
            oil = 100 - 1.1 * (10 * block + 5) + rng.normal(0, 2)
            rows.append((ball, 10 * block + 5, round(oil), middle))
    return pd.DataFrame(rows, columns=["ball", "shots", "oil", "hook"])


def make_flare(seed: int = SEED) -> pd.DataFrame:
    """The width of the oil rings after each block of ten: one hop that goes with the hook's."""
    rng = np.random.default_rng([seed, 3])
    rows = []
    for ball, blocks in make_blocks(seed).groupby("ball", sort=False):
        hook, mine = blocks["hook"].to_numpy(), rng.normal(4.2, 0.3)
        for block, shots in enumerate(blocks["shots"]):
            lacks = float(hook[1:].mean() - hook[0]) if block == 0 else 0.0
            flare = mine - TRUE_FLARE_PER_BOARD * lacks + rng.normal(0, 0.05)
            rows.append((ball, shots, round(flare, 1)))
    return pd.DataFrame(rows, columns=["ball", "shots", "flare"])


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
    make_revs().to_csv(folder / "revs.csv", index=False, lineterminator="\n")
    make_blocks().to_csv(folder / "blocks.csv", index=False, lineterminator="\n")
    make_flare().to_csv(folder / "flare.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
