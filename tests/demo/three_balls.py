"""Makes the data of ``studies/three-balls``: too few balls to decide anything, said usefully.

    python tests/demo/three_balls.py studies/three-balls

The truth: used balls weigh the same as new ones and are 1.5 Shore D softer, and three of each
cannot show it.  Twelve of each would, but of those only the averages were printed.  How wide a
ball is has nothing to do with any of it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260709
TRUE_SOFTER = -1.5


def make(seed: int = SEED) -> pd.DataFrame:
    """One row per ball."""
    rng, across = np.random.default_rng(seed), np.random.default_rng([seed, 2])
    rows = []
    for i in range(6):
        used = i >= 3
        hardness = 76 + TRUE_SOFTER * used + rng.normal(0, 1.4)
        weight = 15.1 + rng.normal(0, 0.08)
        rows.append((f"{'U' if used else 'N'}{i % 3 + 1}", "used" if used else "new",
                     round(hardness, 1), round(weight, 2),
                     round(across.normal(8.55, 0.012), 3)))  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "life", "hardness", "weight", "diameter"])


def make_survey(seed: int = SEED) -> pd.DataFrame:
    """What a handout prints of twelve used and twelve new balls: averages, and no ball at all."""
    rng = np.random.default_rng([seed, 1])
    rows = []
    for life, softer in (("new", 0.0), ("used", TRUE_SOFTER)):
        hardness = 76 + softer + rng.normal(0, 1.4, 12)
        rows.append(
            (f"{life} lot", life, round(hardness.mean(), 1), round(hardness.std(ddof=1), 1))
        )
    return pd.DataFrame(rows, columns=["lot", "life", "mean hardness", "spread"])


def main(folder: Path) -> None:
    make().to_csv(folder / "balls.csv", index=False, lineterminator="\n")
    make_survey().to_csv(folder / "survey.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
