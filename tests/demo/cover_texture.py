"""Makes the data of ``studies/cover-texture``: invented balls on an invented bench, truth known.

Run it to write the five CSV files again::

    python tests/demo/cover_texture.py studies/cover-texture

The truth, which ``tests/demo/test_cover_texture.py`` asks the tool to recover:

* texture falls with games, most of it early (an exponential with a scale of 8 games);
* hardness does not change at all;
* hook does not change with games either, but it varies too much from one lane day to the next
  for eight balls to show it;
* balls with a rougher cover hook more (slope 0.09 board per microinch between balls), yet within
  a ball hook does not follow its texture (slope 0);
* twelve other balls, fresh from the box, lie on that same line between balls, and use does not
  move a ball along it (a share of 0);
* twelve used balls out of lockers read 25 microinches below those twelve;
* the paths of the four Plovers bend as much after 60 games as before, to within the day's mood.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd

SEED = 20260213
GAMES = (0, 10, 20, 30, 45, 60)
SHOTS = 10
#: Mean texture change from game 0 to game 60, in microinches, if every ball had the mean fall.
TRUE_FALL = -22.0
FALL_SCALE = 8.0
TRUE_SLOPE_BETWEEN = 0.09
TRUE_SLOPE_WITHIN = 0.0
NEW_BALLS = 12
#: Mean texture, in microinches, of balls from the box and of balls out of lockers.
TRUE_NEW, TRUE_USED = 65.0, 40.0
#: Feet down the lane at which a path is read.
FEET = (0, 8, 15, 25, 35, 40, 45, 50, 55, 60)

BALLS = tuple(
    (f"{letter}{number}", model)
    for letter, model in (("P", "Plover"), ("T", "Teasel"))
    for number in range(1, 5)
)


def make(seed: int = SEED) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The checkpoint table (8 balls × 6 checkpoints) and the shot table (10 shots at each)."""
    rng = np.random.default_rng(seed)
    start = rng.permutation(np.linspace(52, 96, len(BALLS))) + rng.normal(0, 2, len(BALLS))
    fall = rng.normal(TRUE_FALL, 3, len(BALLS))
    hardness = np.array([75.6] * 4 + [77.2] * 4) + rng.normal(0, 0.6, len(BALLS))
    hook_level = 5 + TRUE_SLOPE_BETWEEN * (start + fall * 0.75) + rng.normal(0, 0.4, len(BALLS))
    readings, shots = [], []
    for i, (ball, model) in enumerate(BALLS):
        for games in GAMES:
            reached = fall[i] * (1 - np.exp(-games / FALL_SCALE))
            texture = start[i] + reached + rng.normal(0, 1.5)
            readings.append(
                (ball, model, games, round(texture), round(hardness[i] + rng.normal(0, 0.3), 1))
            )
            lane_day = rng.normal(0, 1.0)
            for shot in range(1, SHOTS + 1):
                hook = hook_level[i] + lane_day + rng.normal(0, 1.6)
                shots.append((ball, model, games, shot, round(hook * 2) / 2))
    checkpoints = pd.DataFrame(readings, columns=["ball", "model", "games", "texture", "hardness"])
    return checkpoints, pd.DataFrame(shots, columns=["ball", "model", "games", "shot", "hook"])


def make_new_balls(seed: int = SEED) -> pd.DataFrame:
    """Twelve other balls from the box, read and rolled once: the line that new balls lie on."""
    rng = np.random.default_rng([seed, 1])
    texture = rng.permutation(np.linspace(26, 104, NEW_BALLS)) + rng.normal(0, 2, NEW_BALLS)
    hook = 5 + TRUE_SLOPE_BETWEEN * texture + rng.normal(0, 0.6, NEW_BALLS)
    rows = [
        (f"N{i}", round(t), round(h, 1))
        for i, (t, h) in enumerate(zip(texture, hook, strict=True), start=1)
    ]
    return pd.DataFrame(rows, columns=["ball", "texture", "hook"])


def make_lockers(seed: int = SEED) -> pd.DataFrame:
    """The texture of those twelve again, beside twelve used balls that nobody read when new."""
    rng = np.random.default_rng([seed, 3])
    new = make_new_balls(seed)
    rows = [(ball, "new", texture) for ball, texture in zip(new.ball, new.texture, strict=True)]
    used = rng.normal(TRUE_USED, 10, NEW_BALLS)
    rows += [(f"U{i}", "used", round(texture)) for i, texture in enumerate(used, start=1)]
    return pd.DataFrame(rows, columns=["ball", "life", "texture"])


def make_paths(seed: int = SEED) -> pd.DataFrame:
    """One path for each Plover at game 0 and at game 60, read to half a board off a chart."""
    rng = np.random.default_rng([seed, 2])
    rows = []
    for ball, model in BALLS:
        if model != "Plover":
            continue
        level = rng.normal(11, 1)
        for games in (0, 60):
            hook = level + rng.normal(0, 1.0)
            for feet in FEET:
                turned = hook * max(0.0, (feet - 33) / 27) ** 1.6
                board = 20 - 0.16 * feet + turned + rng.normal(0, 0.05)
                rows.append((ball, games, feet, round(board * 2) / 2))
    return pd.DataFrame(rows, columns=["ball", "games", "distance", "board"])


def main(folder: Path) -> None:
    checkpoints, shots = make()
    checkpoints.to_csv(folder / "checkpoints.csv", index=False, lineterminator="\n")
    shots.to_csv(folder / "shots.csv", index=False, lineterminator="\n")
    make_new_balls().to_csv(folder / "new-balls.csv", index=False, lineterminator="\n")
    make_lockers().to_csv(folder / "lockers.csv", index=False, lineterminator="\n")
    make_paths().to_csv(folder / "paths.csv", index=False, lineterminator="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
