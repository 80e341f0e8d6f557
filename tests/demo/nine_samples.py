"""Makes the data of ``studies/nine-samples``: three models, three samples of each, 153 shots.

    python tests/demo/nine_samples.py studies/nine-samples

The truth: every cover loses 13 microinches in the first league night (51 shots) and next to
nothing after it, whatever the model; one Wren goes on losing; hardness stays where it was.  A model
is named in one column and a sample in another, as reports print it: sample 2 of one model is not
sample 2 of another.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260418
SHOTS = (0, 51, 102, 153)
FIRST_NIGHT = -13.0
LATER = -0.3
"""Microinches a league night, after the first."""
SLOW = ("Wren", 2)
SLOW_LATER = -4.0
START = {"Plover": 84.0, "Teasel": 72.0, "Wren": 78.0}


def make(seed: int = SEED) -> pd.DataFrame:
    """One row per sample and checkpoint."""
    rng = np.random.default_rng(seed)
    rows = []
    for model, base in START.items():
        for sample in (1, 2, 3):
            start, hard = base + rng.normal(0, 2.0), 75.5 + rng.normal(0, 0.8)
            first = FIRST_NIGHT + rng.normal(0, 1.2)
            later = SLOW_LATER if (model, sample) == SLOW else LATER
            for night, shots in enumerate(SHOTS):
                worn = 0.0 if night == 0 else first + later * (night - 1)
                rows.append((model, sample, shots, round(start + worn + rng.normal(0, 0.8)),
                             round(hard + rng.normal(0, 0.3), 1)))  # fmt: skip
    return pd.DataFrame(rows, columns=["model", "sample", "shots", "texture", "hardness"])


def main(folder: Path) -> None:
    make().to_csv(folder / "samples.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
