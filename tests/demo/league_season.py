"""Makes the data of ``studies/league-season``: the low averages were coached, and came up anyway.

    python tests/demo/league_season.py studies/league-season

The truth: the six who bowled lowest on the first night were coached, and coaching did nothing.
Everybody's game is worth half a pin a week more by practice alone; a game swings by about 26 pins
around what its bowler is worth.  Two of the sixteen are left-handed, which has nothing to do with
anything.  Every name is made up.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20261003
NAMES = (
    "Abelard Brightwater", "Bettina Crumhorn", "Cordelia Dunmore", "Dagobert Eventide",
    "Edwina Fairlop", "Fenwick Gooseberry", "Gwendolen Hartsease", "Horatio Inkpenny",
    "Ignatius Jessamy", "Jessamine Kettledrum", "Kasimir Lumley", "Lavinia Muddiford",
    "Matilda Nettlecombe", "Norbert Oxlip", "Oswald Pemberley", "Petronella Quillfeather",
)  # fmt: skip
WEEKS = (1, 4, 8, 12, 16, 20)
LEFT = (5, 11)
COACHED, GAMES = 6, 3
TRUE_A_WEEK, SWING = 0.5, 26.0


def make(seed: int = SEED, names: tuple[str, ...] = NAMES) -> pd.DataFrame:
    """One row per game: who, which hand, coached or not, week, game, score."""
    rng = np.random.default_rng(seed)
    worth = rng.normal(165, 16, len(names))
    scores = {
        (i, week): np.clip(
            np.round(worth[i] + TRUE_A_WEEK * (week - 1) + rng.normal(0, SWING, GAMES)), 60, 300
        )
        for i in range(len(names)) for week in WEEKS
    }  # fmt: skip
    first = sorted(range(len(names)), key=lambda i: scores[i, WEEKS[0]].mean())
    coached = set(first[: round(len(names) * COACHED / len(NAMES))])
    return pd.DataFrame(
        [
            (name, "left" if i in LEFT else "right",
             "coached" if i in coached else "not coached", week, game + 1, int(score))
            for i, name in enumerate(names) for week in WEEKS
            for game, score in enumerate(scores[i, week])
        ],
        columns=["bowler", "hand", "coaching", "week", "game", "score"],
    )  # fmt: skip


def main(folder: Path) -> None:
    make().to_csv(folder / "scores.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
