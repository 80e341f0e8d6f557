"""A small run of ``tests/fuzz.py``: nothing spoilt ends in a fault of ours."""

from __future__ import annotations

import ast
import os
import random
import re
import subprocess
import sys
from pathlib import Path

import fuzz
import pytest

ROOT = Path(__file__).parents[3]


@pytest.mark.slow
def test_nothing_that_is_spoilt_ends_in_a_fault():
    """In a process of its own: its memory is what is bounded, not that of the tests so far."""
    ran = subprocess.run(
        [sys.executable, fuzz.__file__, "--runs", "40", "--seed", "7"], cwd=ROOT,
        capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False,
    )  # fmt: skip
    assert (ran.returncode, ran.stderr) == (0, ""), ran.stdout
    assert ran.stdout.splitlines()[-1] == "40 runs, 0 broken"
    by_status = re.findall(r"by status: (\{.*\})", ran.stdout)
    seen = {status for each in by_status for status in ast.literal_eval(each)}
    assert {0, 3} <= seen <= set(fuzz.STATUSES)


@pytest.mark.parametrize(("status", "said", "broke"), [
    (0, [], ""), (3, ["study.yaml:1:2: found x"], ""), (3, ["a.csv: row 2, column b: found x"], ""),
    (3, ["a.csv: row 2: found x"], ""), (1, ["x"], "status 1"), (3, [], "without a word"),
    (3, ["something went wrong"], "no place"), (3, ["study.yaml:1:2: found \x1b"], "obey"),
    (4, ["cannot write"], "no file"),
    (2, ["Traceback (most recent call last):"], "a fault of ours"),
    (3, ["study.yaml:1:2: found " + "x" * 5_000], "without end"),
])  # fmt: skip
def test_a_broken_promise_would_be_seen(tmp_path, status, said, broke):
    home = tmp_path / "home"
    home.mkdir()
    found = fuzz.broken_rule(home, status, said, {"home"})
    assert bool(found) == bool(broke) and broke in found
    (tmp_path / "owned").write_text("x")
    assert fuzz.broken_rule(home, 0, [], {"home"}) == "written beside the workspace"


@pytest.mark.parametrize("spoil", [fuzz.spoilt_text, fuzz.spoilt_template, fuzz.spoilt_csv])
def test_the_same_number_spoils_in_the_same_way(spoil):
    first = [spoil("a: b, c\nd: [e, f]\n", random.Random(n)) for n in range(200)]
    assert first == [spoil("a: b, c\nd: [e, f]\n", random.Random(n)) for n in range(200)]
    assert len(set(first)) > 90


@pytest.mark.slow
def test_what_is_spoilt_is_what_is_read(tmp_path, monkeypatch):
    """A template of the workspace once was not looked at where ours had been read before it."""
    from explainer.publish import site

    monkeypatch.setattr(site, "from_folder", site.from_folder)  # put back what a bench changes
    monkeypatch.setenv("EXPLAINER_CACHE", str(tmp_path / "cache"))
    bench = fuzz.Bench(tmp_path)
    (templates,) = (t for t in fuzz.TARGETS if t.name == "templates")
    for file in (name for name in templates.files if name.endswith(".j2")):
        bench.fresh()
        (bench.home / file).parent.mkdir(parents=True, exist_ok=True)
        (bench.home / file).write_text("{{ nobody.knows }}")
        status, said = fuzz.run(bench.home, fuzz.PROOF)
        assert status == 3 and said[0].startswith(f"{file}:1:"), said
