"""Makes the data of ``studies/strikes-and-oil``: who threw on which oil decides the total.

    python tests/demo/strikes_and_oil.py studies/strikes-and-oil

The truth: every bowler strikes 8 points more often on the short pattern.  The strong bowlers
threw mostly on the long one, the others mostly on the short one, so that all shots thrown
together say the opposite.  How fast a bowler throws has nothing to do with it; one bowler, who
throws very fast and strikes very often, makes it look as if it had.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260518
TRUE_DIFFERENCE = 0.08
#: The bowler on whom the link between speed and strikes hangs.
FAST = "W9"
#: Practice shots of each bowler, on a fresh house pattern: other shots than those above.
PRACTICE = 50
FAST_STRIKES = 41
#: Bowler, strike rate on the long pattern, shots on the short pattern, shots on the long one.
BOWLERS = (
    ("W1", 0.30, 240, 60), ("W2", 0.33, 260, 60), ("W3", 0.28, 240, 80), ("W4", 0.36, 220, 80),
    ("W5", 0.40, 200, 100), ("W6", 0.52, 90, 220), ("W7", 0.55, 80, 240), ("W8", 0.58, 60, 260),
    ("W9", 0.61, 60, 240), ("W10", 0.57, 80, 240),
)  # fmt: skip


def make(seed: int = SEED) -> pd.DataFrame:
    """Strikes and shots per bowler and pattern."""
    rng = np.random.default_rng(seed)
    rows = []
    for name, rate, short, long in BOWLERS:
        mine = TRUE_DIFFERENCE + rng.normal(0, 0.02)
        rows.append((name, "short", int(rng.binomial(short, rate + mine)), short))
        rows.append((name, "long", int(rng.binomial(long, rate)), long))
    return pd.DataFrame(rows, columns=["bowler", "pattern", "strikes", "shots"])


def make_speeds(seed: int = SEED) -> pd.DataFrame:
    """Ball speed and strikes per hundred shots: no link among nine bowlers, and a tenth far off."""
    rng = np.random.default_rng([seed, PRACTICE])
    speeds = rng.normal(16.5, 0.5, len(BOWLERS))
    rows = []
    for (name, long, *_), speed in zip(BOWLERS, speeds, strict=True):
        fast = name == FAST
        strikes = rng.binomial(PRACTICE, long + TRUE_DIFFERENCE / 2)
        percent = 100 * (FAST_STRIKES if fast else strikes) / PRACTICE
        rows.append((name, round(22.5 if fast else speed, 1), percent))
    return pd.DataFrame(rows, columns=["bowler", "speed", "percent_strikes"])


def main(folder: Path) -> None:
    make().to_csv(folder / "strikes.csv", index=False, lineterminator="\n")
    make_speeds().to_csv(folder / "speeds.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
