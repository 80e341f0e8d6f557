"""A good study with its description and its tables taken apart at random: the proof always ends in
problems with places, or none; never in anything else, and never late."""

from __future__ import annotations

import json
import random
import shutil
import time
from pathlib import Path
from typing import Any

import pytest

from explainer.errors import Problem
from explainer.proof.place import shown
from explainer.proof.read import proofread
from explainer.study.load import open_workspace
from explainer.study.yaml12 import read

SOUND = Path(__file__).parents[1] / "study" / "sound"
FILES = ("study.yaml", "checkpoints.csv", "shots.csv", "paths.csv", "rates.csv")
#: Seconds of work no proof may take (not counted while other tests have the machine).
LATE = 5.0
ODD: tuple[Any, ...] = (
    None, "", 0, -1, 1e300, "x", [], {}, [0, 30], "no", True, "{study.n}", "{x.y}", "é" * 400,
)  # fmt: skip


def leaves(node: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The paths of everything in a tree, blocks and lists included."""
    inner = (
        node.items()
        if isinstance(node, dict)
        else enumerate(node)
        if isinstance(node, list)
        else ()
    )
    return [path, *(p for key, value in inner for p in leaves(value, (*path, key)))]


def at(node: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        node = node[step]
    return node


def taken_apart(tree: Any, dice: random.Random) -> None:
    """One key removed, or one value swapped for another of the tree or for something odd."""
    paths = [p for p in leaves(tree) if p]
    path = dice.choice(paths)
    parent, how = at(tree, path[:-1]), dice.randrange(3)
    if how == 0:
        del parent[path[-1]]
    elif how == 1:
        parent[path[-1]] = json.loads(json.dumps(at(tree, dice.choice(paths))))
    else:
        parent[path[-1]] = dice.choice(ODD)


def shuffled(text: str, dice: random.Random) -> str:
    """Columns in another order, and a cell or a row moved."""
    rows = [line.split(",") for line in text.splitlines()]
    order = dice.sample(range(len(rows[0])), len(rows[0]))
    rows = [[row[i] for i in order] for row in rows]
    a, b = dice.randrange(len(rows)), dice.randrange(len(rows))
    column = dice.randrange(len(rows[0]))
    if dice.random() < 0.5:
        rows[a][column], rows[b][column] = rows[b][column], rows[a][column]
    else:
        rows.insert(a, rows[b])
    return "\n".join(map(",".join, rows)) + "\n"


def holds(folder: Path) -> tuple[Problem, ...]:
    began = time.process_time()
    found = proofread(folder, open_workspace(folder.parent.parent))
    assert time.process_time() - began < LATE
    for problem in found:
        assert problem.file in FILES
        assert problem.found
        assert "\n" not in str(problem)
        assert shown(problem, folder)
    return found


@pytest.fixture(scope="module", autouse=True)
def warm(tmp_path_factory):
    """The first proof of a process loads the libraries; that is not the study's doing."""
    folder = tmp_path_factory.mktemp("warm") / "studies" / "bench"
    shutil.copytree(SOUND, folder)
    proofread(folder, open_workspace(folder.parent.parent))


@pytest.mark.parametrize("seed", range(25))
def test_a_study_taken_apart_is_proofread_to_the_end(seed, tmp_path):
    dice = random.Random(seed)
    folder = tmp_path / "studies" / "bench"
    shutil.copytree(SOUND, folder)
    tree = read((SOUND / "study.yaml").read_bytes(), "study.yaml").value
    for _ in range(dice.randrange(1, 3)):
        taken_apart(tree, dice)
    if dice.random() < 0.7:
        (folder / "study.yaml").write_text(json.dumps(tree, ensure_ascii=False), "utf-8")
    if dice.random() < 0.5:
        path = folder / dice.choice(FILES[1:])
        path.write_text(shuffled(path.read_text("utf-8"), dice), "utf-8")
    holds(folder)
