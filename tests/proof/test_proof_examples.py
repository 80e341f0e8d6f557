"""Slips made in copies of the examples (``slips.yaml``): each is found, shown at its place with a
marker under it, and comes with a way to mend it; the examples as they are raise no false alarm."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from started import started

from explainer.errors import Problem
from explainer.proof.fixes import fix
from explainer.proof.place import excerpt, shown
from explainer.proof.read import proofread
from explainer.study.load import open_workspace
from explainer.study.shipped import home
from explainer.study.yaml12 import read

SLIPS: dict[str, dict[str, Any]] = read(
    (Path(__file__).parent / "slips.yaml").read_bytes(), "slips.yaml"
).value


@pytest.fixture(scope="module")
def studies(tmp_path_factory) -> Path:
    """A workspace of the examples, to be damaged one file at a time."""
    root = tmp_path_factory.mktemp("slips")
    shutil.copytree(home() / "studies", root / "studies")
    return root / "studies"


def damaged(slip: dict[str, Any], text: str) -> str:
    if "was" in slip:
        assert slip["was"] in text, "the example no longer says this"
        return text.replace(slip["was"], slip["now"], 1)
    lines = text.splitlines(keepends=True)
    if "again" in slip:
        row = int(slip["again"])
        return "".join([*lines[:row], *lines[row - 1 :]])
    row, column = slip["cell"]
    cells = lines[row - 1].rstrip("\n").split(",")
    cells[column] = f'"{slip["now"]}"' if "," in slip["now"] else str(slip["now"])
    lines[row - 1] = ",".join(cells) + "\n"
    return "".join(lines)


def found_by(slip: dict[str, Any], studies: Path) -> tuple[Path, list[Problem]]:
    """The study's folder, damaged, and the problems that say what the slip should make them say."""
    folder = studies / slip["study"]
    path = folder / slip.get("file", "study.yaml")
    path.write_text(damaged(slip, path.read_text("utf-8")), "utf-8")
    found = proofread(folder, open_workspace(studies.parent))
    return folder, [p for p in found if slip["says"] in str(p) and p.file == path.name]


def test_there_are_more_than_thirty_slips():
    assert len(SLIPS) >= 30


@pytest.mark.parametrize("name", SLIPS)
def test_each_slip_is_found_at_its_place_with_a_way_to_mend_it(name, studies):
    slip = SLIPS[name]
    path = studies / slip["study"] / slip.get("file", "study.yaml")
    before = path.read_bytes()
    try:
        folder, said = found_by(slip, studies)
        assert said, "the proof does not say so"
        problem = said[0]
        assert problem.found
        assert problem.expected
        there = excerpt(problem, folder)
        assert there is not None
        marked = there.line[there.start :]
        assert marked.startswith(slip.get("at", "")), marked
        assert "~" in shown(problem, folder)
        assert problem.hint or problem.expected or fix(problem)
    finally:
        path.write_bytes(before)


@pytest.mark.seldom
def test_json_carries_every_problem_with_its_place_and_mend(studies):
    slip = SLIPS["a number nothing computes"]
    path = studies / slip["study"] / "study.yaml"
    before = path.read_bytes()
    try:
        _, [problem] = found_by(slip, studies)
        done = started("proof", "--json", slip["study"], cwd=studies)
    finally:
        path.write_bytes(before)
    [said] = [p for p in json.loads(done.stdout)[slip["study"]] if p["code"] == problem.code]
    assert (said["file"], said["line"], said["column"]) == ("study.yaml", problem.line, 59)
    assert (said["severity"], said["found"]) == ("warning", problem.found)
    assert said["hint"].startswith("the nearest is 7.9")
    assert said["length"] == len("7.77")
    shown_there = said["excerpt"]
    assert shown_there["line"][shown_there["start"] :].startswith("7.77")
    assert "{CLAIM.estimate}" in said["fix"]
