"""The same numbers as spreadsheets save them, and what ``draft`` makes of them."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

from explainer.publish.commands import command

ROOT = Path(__file__).parents[2]
STUDY = ROOT / "studies/cover-texture"
#: Each drafted table, the tidy one it came from, and what its columns are called there.
SAME = {
    "bench-readings.csv": ("checkpoints.csv", {"ra": "texture"}),
    "balls-from-the-box.csv": ("new-balls.csv", {"ra": "texture", "total_hook": "hook"}),
    "hook-shot-by-shot.csv": ("shots.csv", {}),
}


def test_the_originals_are_what_the_script_makes(script) -> None:
    makers = script("originals").MAKERS
    assert {p.name for p in (STUDY / "originals").iterdir()} == set(makers)
    for name, make in makers.items():
        assert (STUDY / "originals" / name).read_bytes() == make(STUDY), name


@pytest.fixture(scope="module")
def tried(tmp_path_factory) -> Path:
    """Where README's own first two lines leave a reader who types them."""
    lines = re.findall(r"^\.venv/bin/explainer (--workspace try .*)$", readme(), re.MULTILINE)
    assert lines[0] == command("draft").practice.removeprefix("explainer ")
    place = tmp_path_factory.mktemp("clone")
    shutil.copytree(STUDY, place / "studies/cover-texture")
    for line in lines[:2]:
        done = subprocess.run(
            f"{sys.executable} -m explainer {line}", shell=True, cwd=place, check=False,
            capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
    return place / "try/studies/worn-covers"


def readme() -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("drafted", SAME)
def test_a_draft_of_them_has_the_studys_numbers(tried: Path, drafted: str) -> None:
    tidy, names = SAME[drafted]
    made = pd.read_csv(tried / drafted).rename(columns=names)
    own = pd.read_csv(STUDY / tidy)
    pd.testing.assert_frame_equal(made[own.columns], own, check_exact=True)
    assert set(made.columns) == set(own.columns)


def test_they_are_kept_as_they_came(tried: Path) -> None:
    for kept in (STUDY / "originals").iterdir():
        assert (tried / "originals" / kept.name).read_bytes() == kept.read_bytes()
