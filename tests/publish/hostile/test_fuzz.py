"""A small run of ``tests/fuzz.py``: nothing spoilt ends in a fault of ours."""

from __future__ import annotations

import random

import fuzz
import pytest


@pytest.mark.slow
def test_nothing_that_is_spoilt_ends_in_a_fault(monkeypatch):
    monkeypatch.setenv("EXPLAINER_CACHE", "")  # put back afterwards
    from explainer.publish import site

    monkeypatch.setattr(site, "from_folder", site.from_folder)
    told = list[str]()
    tally = fuzz.fuzz(iter(range(40)), 7, tell=told.append)
    assert tally.broken == told == []
    assert sum(tally.statuses.values()) == 40
    seen = {status for _, status in tally.statuses}
    assert {0, 3} <= seen <= set(fuzz.STATUSES)


@pytest.mark.parametrize(("status", "said", "broke"), [
    (0, [], ""), (3, ["study.yaml:1:2: found x"], ""), (3, ["a.csv: row 2, column b: found x"], ""),
    (3, ["a.csv: row 2: found x"], ""), (1, ["x"], "status 1"), (3, [], "without a word"),
    (3, ["something went wrong"], "no place"), (3, ["study.yaml:1:2: found \x1b"], "obey"),
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
