"""Makes the data of ``studies/four-grits``: invented balls, sanded in four steps, truth known.

Run it to write the seven CSV files again::

    python tests/demo/four_grits.py studies/four-grits

The truth, which ``tests/demo/test_four_grits.py`` asks the tool to recover:

* each step from 3000 to 500 grit leaves the cover 12 microinches rougher, and the ball hooks
  ``TRUE_STEP`` boards more;
* hardness has nothing to do with the grit: all four average ``TRUE_HARD``;
* two gauges read the same balls, the shop's 1 microinch higher, with little scatter between them;
* balls of the coarsest grit lose ``TRUE_LOSS`` of their roughness in 20 games, and none later;
* on the shelf, harder balls hook ``TRUE_LINK`` boards less a point of hardness whatever the cover,
  which the covers' own levels hide;
* over a season, eight balls hook ``TRUE_JUMP`` boards less from game 30 on;
* cracked balls were kept in a hot car ``TRUE_ODDS`` times as often, by odds, as whole ones;
* whether the pad was held by hand or by a machine makes no difference to how often bowlers strike.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260406
GRITS = (3000, 2000, 1000, 500)
EACH = 8
TRUE_STEP, TRUE_HARD, TRUE_LOSS = 1.2, 76.0, 0.40
TRUE_LINK, TRUE_JUMP, TRUE_ODDS = -0.8, -1.5, 4.0
COVERS = ("pearl", "hybrid", "solid")
GAMES = (0, 10, 20, 40, 60)


def make(seed: int = SEED) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """The sanded balls, their roughness by two gauges, and the coarsest ones in play."""
    rng = np.random.default_rng(seed)
    sanded, gauged, played = [], [], []
    for step, grit in enumerate(GRITS):
        for i in range(EACH):
            ball = f"{'WXYZ'[step]}{i + 1}"
            hook = 7 + TRUE_STEP * step + rng.normal(0, 0.6)
            hard = TRUE_HARD + rng.normal(0, 0.4)
            sanded.append((ball, grit, round(hook, 1), round(hard, 1)))
            rough = 30 + 12 * step + rng.normal(0, 2.0)
            for gauge, more in (("shop", 1.0), ("bench", 0.0)):
                gauged.append((ball, gauge, round(rough + more + rng.normal(0, 0.5), 1)))
            if grit == GRITS[-1]:
                lost = TRUE_LOSS + rng.normal(0, 0.03)
                for games in GAMES:
                    share = 1 - lost * min(games, 20) / 20
                    read = rough * share + rng.normal(0, 0.5)
                    seen = hook + rng.normal(0, 0.3)
                    played.append((ball, games, round(read, 1), round(seen, 1)))
    return (
        pd.DataFrame(sanded, columns=["ball", "grit", "hook", "hardness"]),
        pd.DataFrame(gauged, columns=["ball", "gauge", "texture"]),
        pd.DataFrame(played, columns=["ball", "games", "texture", "hook"]),
    )


def more(seed: int = SEED + 1) -> dict[str, pd.DataFrame]:
    """The shelf, a season of eight balls, cracked and whole ones, and bowlers on two pads."""
    rng = np.random.default_rng(seed)
    shelf = []
    for i in range(24):
        cover = i % 3
        hard = 73 + 2.2 * cover + rng.normal(0, 0.8)
        hook = 10 + 2.6 * cover + TRUE_LINK * (hard - 73) + rng.normal(0, 0.4)
        shelf.append((f"S{i + 1}", COVERS[cover], round(hard, 1), round(hook, 1)))
    season = []
    for i in range(8):
        level, own = rng.normal(11, 1), rng.normal(TRUE_JUMP, 0.2)
        season += [(f"N{i + 1}", games, round(level + own * (games >= 30) + rng.normal(0, 0.4), 1))
                   for games in range(0, 65, 5)]  # fmt: skip
    share = 0.25
    odds = TRUE_ODDS * share / (1 - share)
    cracked, whole = rng.binomial(60, odds / (1 + odds)), rng.binomial(80, share)
    seen = cracked + whole
    cracks = [("a hot car", cracked, seen), ("a cool car", 60 - cracked, 140 - seen)]
    pads = []
    for i in range(12):
        rate = rng.uniform(0.35, 0.6)
        pads += [(f"bowler {i + 1}", pad, int(rng.binomial(100, rate)), 100)
                 for pad in ("a hand pad", "a machine pad")]  # fmt: skip
    return {
        "shelf": pd.DataFrame(shelf, columns=["ball", "cover", "hardness", "hook"]),
        "season": pd.DataFrame(season, columns=["ball", "games", "hook"]),
        "cracks": pd.DataFrame(cracks, columns=["car", "cracked_balls", "balls"]),
        "pads": pd.DataFrame(pads, columns=["bowler", "pad", "strikes", "shots"]),
    }


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    for frame, name in zip(make(), ("sanded", "gauges", "played"), strict=True):
        frame.to_csv(folder / f"{name}.csv", index=False)
    for name, frame in more().items():
        frame.to_csv(folder / f"{name}.csv", index=False)
