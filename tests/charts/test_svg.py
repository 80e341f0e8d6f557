"""The SVG itself: its colours, its safety, and the same bytes everywhere."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from xml.dom.minidom import parseString

import numpy as np
import pytest
import samples

from explainer.charts import svg
from explainer.charts.display_list import DisplayList
from explainer.charts.kinds import draw
from explainer.charts.style import PALETTE, Shape

PLAIN = samples.CASES["over-use"]["plain"]


def test_every_colour_is_a_role_that_the_page_can_recolour() -> None:
    drawing = svg.render(draw(*PLAIN), "u", "t", "d")
    used = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{6})"', drawing))
    assert used
    assert used <= {both[0] for both in PALETTE.values()}


def test_the_theme_has_bare_selectors_and_both_schemes() -> None:
    css = svg.theme_css()
    for role, (light, dark) in PALETTE.items():
        assert f'[fill="{light}"]{{fill:var(--{role})}}' in css
        assert f"--{role}:{dark}" in css
    assert not re.search(r"[\w.#] \[(fill|stroke)", css)


def test_a_sheet_on_white_has_no_warm_paper() -> None:
    paper = PALETTE["paper"][0]
    assert paper in svg.render(draw(*PLAIN), "u", "t", "d")
    assert paper not in svg.render(draw(*PLAIN), "u", "t", "d", white=True)


def test_no_script_style_or_size_of_its_own() -> None:
    drawing = svg.render(draw(*PLAIN), "u", "t", "d")
    assert not re.search(r"<(style|script|image|use)|\swidth=|\sheight=|\sstyle=", drawing)


def test_text_from_a_stranger_stays_text() -> None:
    plate = DisplayList(100, 20)
    plate.text(1, 10, '<script>alert("x")</script> & \x00\x0b $a$ ]]>', 8)
    drawing = svg.render(plate, "u", "</title><script>", "\ud800 & \x07")
    root = parseString(drawing).documentElement
    assert root.getElementsByTagName("text")[0].firstChild.data.startswith('<script>alert("x")')
    assert not root.getElementsByTagName("script")


def test_lengths_are_short() -> None:
    lengths = (-0.04, 3.0, 2.46, -1.25, 0.5, -0.5, 100.0)
    assert [svg.short(v) for v in lengths] == ["0", "3", "2.5", "-1.2", ".5", "-.5", "100"]


STEP = re.compile(r"([MmLlHhVvAaz])([^MmLlHhVvAaz]*)")
NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)")


def visited(path: str) -> list[tuple[float, float]]:
    """Every place a path's straight pieces come to, followed step by step."""
    x = y = 0.0
    start, places = (0.0, 0.0), []
    for letter, said in STEP.findall(path):
        numbers = [float(n) for n in NUMBER.findall(said)]
        if letter == "z":
            x, y = start
            continue
        wide = {"h": 1, "v": 1, "a": 7}.get(letter, 2)
        for at in range(0, len(numbers), wide):
            part = numbers[at : at + wide]
            if letter == "M":
                x, y = part
            elif letter in "ml":
                x, y = x + part[0], y + part[1]
            elif letter == "a":
                x, y = x + part[5], y + part[6]
            else:
                x, y = (x + part[0], y) if letter == "h" else (x, y + part[0])
            if letter in "Mm":
                start = (x, y)
            places.append((x, y))
    return places


@pytest.mark.parametrize("closed", [False, True])
def test_short_steps_lead_where_the_points_lie_with_no_drift(closed: bool) -> None:
    rng = np.random.default_rng(1)
    runs = [np.round(rng.uniform(-50, 500, (count, 2)) ** power, 3)
            for count, power in ((2, 1), (400, 1), (3, 1), (1, 1))]  # fmt: skip
    runs[1][50:60, 0] = runs[1][50, 0]
    runs[1][70:80, 1] = runs[1][70, 1]
    path = svg.path_of_lines(runs, closed)
    assert np.abs(np.array(visited(path)) - np.vstack(runs)).max() <= 0.0501
    assert path.count("z") == (len(runs) if closed else 0)


@pytest.mark.parametrize("shape", Shape.__args__)
@pytest.mark.parametrize("found", [False, True])
def test_a_marker_stands_about_its_point(shape: Shape, found: bool) -> None:
    at = np.array([(10.04, 20.0), (200.0, 3.36), (199.9, 3.4)])
    path = svg.path_of_markers(at, shape, 3.0, found)
    one = len(visited(path)) // 3
    for place, part in zip(at, np.array_split(np.array(visited(path)), 3), strict=True):
        assert len(part) == one
        corners = part[1:] if found else part
        middle = corners[0] + (3.0, 0) if shape == "circle" else corners.mean(0)
        assert np.abs(middle - place).max() < (0.5 if shape == "pentagon" else 0.7)
    if found:
        assert len(re.findall(r"M(-?[\d.]+) (-?[\d.]+)m", path)) == 3


PROGRAM = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
import numpy as np
import pytest
import samples
from explainer.charts import stills, svg
from explainer.charts.chain import draw_chain
from explainer.charts.kinds import KINDS
from explainer.charts.strip import draw_strip
from explainer.charts.style import STILL
total = hashlib.sha256()
for kind, cases in samples.CASES.items():
    for case, (result, words) in cases.items():
        total.update(svg.render(KINDS[kind](result, words, STILL), case, "t", "d").encode())
    total.update(stills.png(KINDS[kind](result, words, STILL), "dark"))
for strip in samples.STRIPS.values():
    total.update(draw_strip(strip, "s", samples.claim_words()).encode())
total.update(draw_chain(samples.CHAIN, "c", samples.CHAIN_WORDS, "s").encode())
print(total.hexdigest())
"""


@pytest.mark.seldom
def test_two_processes_draw_the_same_bytes() -> None:
    def run(seed: str, zone: str) -> str:
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        return subprocess.run(
            [sys.executable, "-c", PROGRAM, str(Path(__file__).parent)],
            env=environment, capture_output=True, text=True, check=True,
        ).stdout  # fmt: skip

    first = run("1", "UTC")
    assert len(first.strip()) == 64
    assert first == run("77", "Pacific/Auckland")


def test_drawing_for_a_page_needs_no_plotting_library() -> None:
    program = (
        "import sys, explainer.charts.kinds, explainer.charts.svg, explainer.charts.strip;"
        "print([m for m in sys.modules if m.startswith(('matplotlib', 'fontTools'))])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
