"""Stills of the script: full HD, legible, marked as made up, few colors, the same bytes twice."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from explainer.charts import stills
from explainer.charts.display_list import Text
from explainer.charts.style import STILL_SCALE, colour
from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import compose_script, script_files
from explainer.editions.script_stills import pngs
from explainer.study.load import find_study, load_study

STUDY = Path(__file__).parents[2] / "studies" / "cover-texture"
#: The safe area of a 16:9 picture: 3.5% on each side (EBU R 95, value from memory).
SAFE = 0.035


@pytest.fixture(scope="module")
def script():
    workspace, folder = find_study(str(STUDY), None)
    judgement = judge(load_study(folder, workspace))
    return compose_script(judgement, compose(judgement))


@pytest.fixture(scope="module")
def some(script):
    """A card, a chain and a whole build-up."""
    first = next(s for s in script.shown if s.name.endswith("axes"))
    return [s for s in script.shown if s.uid in (first.uid, "k-card-rule", "k-card-question")]


@pytest.fixture(scope="module")
def painted(some):
    return {scheme: pngs(some, scheme) for scheme in ("light", "dark")}


def test_numbers_count_up_in_the_order_of_the_script(script):
    assert [s.number for s in script.shown] == list(range(1, len(script.shown) + 1))
    assert [s.name[:2] for s in script.shown] == [
        f"{i:02d}" for i in range(1, len(script.shown) + 1)
    ]
    assert len({s.name for s in script.shown}) == len(script.shown)


def test_all_text_is_legible_and_inside_the_safe_area(script):
    for still in script.shown:
        texts = [m for m in still.plate.upto(still.step) if isinstance(m, Text)]
        assert min(t.size for t in texts) * STILL_SCALE >= 28, still.name
        wide, high = still.plate.width, still.plate.height
        for text in texts:
            assert text.box.left >= SAFE * wide - 0.5, (still.name, text.text)
            assert text.box.right <= (1 - SAFE) * wide + 0.5, (still.name, text.text)
            assert text.box.top >= SAFE * high - 0.5, (still.name, text.text)
            assert text.box.bottom <= (1 - SAFE) * high + 0.5, (still.name, text.text)


def test_every_still_says_the_data_are_made_up(script):
    for still in script.shown:
        texts = [m.text.lower() for m in still.plate.upto(still.step) if isinstance(m, Text)]
        assert any("made-up data" in text for text in texts), still.name


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pictures_are_full_hd_small_and_on_the_right_paper(painted, scheme):
    for name, data in painted[scheme].items():
        image = Image.open(BytesIO(data))
        assert image.size == (1920, 1080)
        assert image.mode == "P"
        assert len(data) <= 70_000, name
        paper = tuple(int(colour("paper", scheme)[i : i + 2], 16) for i in (1, 3, 5))
        assert image.convert("RGB").getpixel((3, 3)) == paper


def test_few_colors_keep_the_colors_apart(script, painted):
    """The two groups keep their own colors, and the picture stays near the full-color one."""
    last = next(s for s in script.shown if s.name.endswith("takeaway"))
    small = np.asarray(Image.open(BytesIO(painted["light"][last.name])).convert("RGB"), dtype=int)
    full = Image.open(BytesIO(stills.png(last.plate, "light", last.step))).convert("RGB")
    assert np.abs(small - np.asarray(full, dtype=int)).mean() < 1.0
    shown = {tuple(c) for c in np.unique(small.reshape(-1, 3), axis=0).tolist()}
    for role in ("s1", "s2", "accent", "ink"):
        assert tuple(int(colour(role)[i : i + 2], 16) for i in (1, 3, 5)) in shown


def test_a_build_up_only_adds(some, painted):
    steps = [s for s in some if s.uid not in ("k-card-rule", "k-card-question")]
    paper = np.array([int(colour("paper")[i : i + 2], 16) for i in (1, 3, 5)])
    inked = []
    for still in steps:
        image = np.asarray(Image.open(BytesIO(painted["light"][still.name])).convert("RGB"))
        inked.append(int((image != paper).any(axis=2).sum()))
    assert inked == sorted(inked)
    assert len(set(inked)) == len(inked)


AGAIN = """
import hashlib, sys
from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import compose_script, script_files
from explainer.study.load import find_study, load_study
workspace, folder = find_study(sys.argv[1], None)
judgement = judge(load_study(folder, workspace))
script = compose_script(judgement, compose(judgement))
files = script_files(script, workspace.template_folders)
for name, data in sorted(files.items()):
    print(name, hashlib.sha256(data).hexdigest())
"""


@pytest.mark.seldom
def test_the_same_bytes_in_two_processes(script):
    elsewhere = {**os.environ, "PYTHONHASHSEED": "77", "TZ": "Pacific/Auckland"}
    done = subprocess.run(
        [sys.executable, "-c", AGAIN, str(STUDY)],
        capture_output=True, text=True, check=True, env=elsewhere,
    )  # fmt: skip
    theirs = dict(line.rsplit(" ", 1) for line in done.stdout.splitlines())
    workspace, _ = find_study(str(STUDY), None)
    files = script_files(script, workspace.template_folders)
    assert theirs == {n: hashlib.sha256(d).hexdigest() for n, d in files.items()}
    assert sum(len(d) for n, d in files.items() if n.endswith(".png")) < 2_500_000
