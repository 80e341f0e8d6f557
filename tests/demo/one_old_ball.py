"""Makes the data of ``studies/one-old-ball``: settled balls, thrown between new ones' shots.

    python tests/demo/one_old_ball.py studies/one-old-ball

Each session has a new ball and a settled one of its own, so what counts as one is the session.
The truth is that of ``sixty_shots.py`` in another design: a new ball gains 2.4 boards in its first
ten shots or so and then stays; a ball that has settled long ago keeps its hook, whatever the oil
does.  At each reading the lane's mood moves both balls alike, so the gap between them is known
better than either.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260922
SESSIONS = tuple("ABCDEFGH")
#: Shots the new ball has had when both balls are read.
SHOTS = (0, 10, 20, 30, 40, 50, 60)
TRUE_SETTLING = 2.4
SETTLES_OVER = 6.0


def make(seed: int = SEED) -> pd.DataFrame:
    """One row per session and reading; each hook is the mean of three shots."""
    rng = np.random.default_rng(seed)
    rows = []
    for session in SESSIONS:
        new, old = rng.normal(9.0, 1.2), rng.normal(8.0, 0.5)
        mine = rng.normal(TRUE_SETTLING, 0.35)
        for shots in SHOTS:
            lane = rng.normal(0, 0.4)
            gained = mine * (1 - np.exp(-shots / SETTLES_OVER))
            hooks = np.array([new + gained, old]) + lane + rng.normal(0, 0.3, 2)
            rows.append((session, shots, *(round(float(hook), 1) for hook in hooks)))
    return pd.DataFrame(rows, columns=["session", "shots", "new_hook", "old_hook"])


def main(folder: Path) -> None:
    make().to_csv(folder / "turns.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
