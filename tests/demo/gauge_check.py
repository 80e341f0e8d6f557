"""Makes the data of ``studies/gauge-check``: one hardness gauge, three pairs of hands.

    python tests/demo/gauge_check.py studies/gauge-check

The truth: ten balls spread by 2.5 Shore D; one pair of readings by one person differs with a
spread of 0.55; people differ by 0.35; nobody reads some balls differently (no interaction).  So
the gauge adds about 26% of what is seen, and two readings must differ by about 1.8 points before
the difference means anything.  The rule's line is 74: two balls truly lie within the gauge's
doubt of it, one lies clearly short.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260402
LIMIT = 74.0
TRUE_EV, TRUE_AV = 0.55, 0.35
OPERATORS = ("Desk one", "Desk two", "Desk three")
#: True hardness, Shore D, of the ten invented balls.
TRUE = (70.6, 73.1, 73.6, 74.4, 75.0, 75.7, 76.3, 76.9, 77.8, 78.6)


def make(seed: int = SEED) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The gauge study (10 balls × 3 operators × 3 repeats), and one check-in reading per ball."""
    rng = np.random.default_rng(seed)
    hands = rng.normal(0, TRUE_AV, len(OPERATORS))
    hands -= hands.mean()
    rows = [
        (f"K{i + 1}", who, again, round(true + hands[o] + rng.normal(0, TRUE_EV), 1))
        for i, true in enumerate(TRUE)
        for o, who in enumerate(OPERATORS)
        for again in (1, 2, 3)
    ]
    study = pd.DataFrame(rows, columns=["ball", "desk", "again", "hardness"])
    checkin = [
        (f"K{i + 1}", spot, round(true + rng.normal(0, TRUE_EV), 1))
        for i, true in enumerate(TRUE)
        for spot in (1, 2, 3)
    ]
    return study, pd.DataFrame(checkin, columns=["ball", "spot", "hardness"])


def main(folder: Path) -> None:
    study, checkin = make()
    study.to_csv(folder / "three-desks.csv", index=False, lineterminator="\n")
    checkin.to_csv(folder / "check-in.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
