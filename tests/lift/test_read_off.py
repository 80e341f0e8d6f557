"""Verdicts from numbers read off a chart are those of the true numbers, or less sure."""

from __future__ import annotations

import json
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pytest

from explainer.claims.judge import verdicts_of
from explainer.claims.reading_error import held_to_readings
from explainer.study.lifted import origin_text
from explainer.study.load import load_study, open_workspace
from explainer.study.model import Study
from explainer.study.thresholds import thresholds

ERROR, SHARED = 0.5, 0.15
SURE = {"backed": 2, "against": 2, "leans": 1, "cannot-tell": 0, "not-tested": 0}
#: A few each time, more with the slow tests; 500 were run by hand (none surer).
FEW, MANY = 5, 20


def write(folder: Path, seed: int) -> Study:
    """Eight balls read off a chart; claims near the line, where a reading can turn them."""
    rng = np.random.default_rng(seed)
    step = rng.uniform(-1.6, 1.6)
    rows = ["ball,model,games,hook,texture"]
    for n in range(8):
        start = 12 + rng.normal(0, 0.8)
        for games in (0, 30, 60):
            hook = start + step * games / 60 + rng.normal(0, 0.7)
            texture = 60 + 4 * hook + rng.normal(0, 6)
            rows.append(f"B{n},{'PT'[n % 2]},{games},{hook:.3f},{texture:.3f}")
    data = ("\n".join(rows) + "\n").encode()
    folder.mkdir(parents=True)
    (folder / "t.csv").write_bytes(data)
    (folder / "t.lifted.yaml").write_bytes(origin_text({
        "file": "t.csv", "csv_sha256": sha256(data).hexdigest(),
        "report": {"file": "r.pdf", "sha256": "0" * 64}, "page": 3, "method": "picture",
        "read": "2026-01-31", "reading_error": {"hook": ERROR}, "axis_error": {"hook": SHARED},
    }))  # fmt: skip
    tests = {
        "fell": {"kind": "change", "measure": "hook", "from": 0, "to": 60, "direction": "down"},
        "same": {"kind": "no-change", "measure": "hook", "from": 0, "to": 60},
        "apart": {"kind": "difference", "measure": "hook", "by": "model", "a": "P", "b": "T",
                  "direction": "higher", "at": 60},
        "linked": {"kind": "association", "x": "hook", "y": "texture", "direction": "positive"},
        "drift": {"kind": "trend", "measure": "hook", "over": "games", "direction": "down"},
    }  # fmt: skip
    (folder / "study.yaml").write_text(json.dumps({
        "title": "A chart", "question": "Did it fall?", "invented": True,
        "tested": {"each": "ball", "count": 8},
        "use": {"column": "games", "term": "games rolled", "unit": "game"},
        "measures": {"hook": {"unit": "board", "matters_from": 1},
                     "texture": {"unit": "microinch", "matters_from": 6}},
        "tables": {"t": {"file": "t.csv", "source": "Figure 2, page 3"}},
        "claims": [{"id": k, "report_says": "So it is.", "plainly": "So it is.", "test": t}
                   for k, t in tests.items()],
    }))  # fmt: skip
    return load_study(folder, open_workspace(folder.parents[1]))


def read_again(study: Study, rng: np.random.Generator, measure: str = "hook") -> Study:
    """The study as somebody reads it off: each value within a hand's error, the axis a little off.

    A hand's error is normal with a half-width of two standard deviations; the axis' uniform.
    """
    table = study.tables["t"]
    own = rng.normal(0, (ERROR - SHARED) / 2, len(table.frame))
    shift = own + rng.uniform(-SHARED, SHARED)
    frame = table.frame.assign(**{measure: table.frame[measure].to_numpy() + shift})
    return replace(study, tables=MappingProxyType({"t": replace(table, frame=frame)}))


def unlifted(study: Study) -> Study:
    """The same numbers as if nobody had read them off anything: the truth."""
    table = replace(study.tables["t"], lifted=None, reading_error=0.0, axis_error=0.0)
    return replace(study, tables=MappingProxyType({"t": table}))


def compared(tmp_path: Path, seeds: range) -> tuple[int, int, int]:
    """(verdicts, surer than the truth's, less sure) over simulated readings."""
    every = surer = less = 0
    for seed in seeds:
        study = write(tmp_path / str(seed) / "studies" / "chart", seed)
        limits = thresholds(study.description)
        true = verdicts_of(unlifted(study), limits)
        read = verdicts_of(read_again(study, np.random.default_rng(9000 + seed)), limits)
        for a, b in zip(true, read, strict=True):
            every += 1
            turned = SURE[b.code] == SURE[a.code] and a.code != b.code
            surer += SURE[b.code] > SURE[a.code] or turned
            less += SURE[b.code] < SURE[a.code]
    return every, surer, less


@pytest.mark.parametrize(
    "readings", [FEW, pytest.param(MANY, marks=pytest.mark.slow)], ids=["few", "many"]
)
def test_a_reading_never_makes_a_verdict_surer(readings: int, tmp_path: Path) -> None:
    every, surer, less = compared(tmp_path, range(readings))
    assert every == 5 * readings
    assert surer == 0
    # Or it would be of no use; these claims lie near their line, and a few say little of a share.
    assert less < (0.5 if readings == MANY else 0.8) * every


def test_a_verdict_held_back_says_why(tmp_path: Path) -> None:
    held = []
    for seed in range(4):
        study = write(tmp_path / str(seed) / "studies" / "chart", seed)
        held += [v for v in verdicts_of(study, thresholds(study.description))
                 if "reading-error" in v.reasons]  # fmt: skip
    assert held
    assert all(v.code in ("leans", "cannot-tell") for v in held)


def test_numbers_that_were_not_read_off_are_judged_once(tmp_path: Path) -> None:
    study = unlifted(write(tmp_path / "studies" / "chart", 1))
    asked = []
    parts = list(verdicts_of(study, thresholds(study.description)))
    assert held_to_readings(study, parts, lambda s: asked.append(s) or parts) is parts
    assert asked == []
