"""Four studies made up by formula, with one claim after another, of every kind, in most ways.

``ragged`` has items that leave, a gauge that ends, uneven models; ``few`` has three balls.  What is
found in them is kept beside the tests that use them (``kept.py``).
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import BaseModel

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import load_study, open_workspace

#: What stands in the study itself and is no result; ``memo`` is for later stages.
GIVEN = {"claim", "test", "study", "figure", "memo", "level"}

CHANGE = {"measure": "y", "from": 0, "to": 20}
SIDES = {"by": "model", "a": "A", "b": "B"}
OIL = {"kind": "rate-difference", "successes": "made", "attempts": "tried", "by": "oil",
       "a": "long", "b": "short"}  # fmt: skip
#: Each claim of the benches: its kind and what it says of itself.
CLAIMS: tuple[dict[str, Any], ...] = (
    {"kind": "change", **CHANGE, "direction": "down"},
    {"kind": "change", **CHANGE, "direction": "up"},
    {"kind": "change", **CHANGE, "direction": "down", "at_least": 1},
    {"kind": "change", **CHANGE, "in": "percent"},
    {"kind": "change", "measure": "x", "from": 10, "to": 20, "direction": "down"},
    {"kind": "change", "measure": "x", "from": 0, "to": 40, "direction": "down"},
    {"kind": "change", "measure": "x", "from": 0, "to": [10, 20]},
    {"kind": "change", "measure": "x", "from": 0, "to": 20, "direction": "down",
     "only": {"ball": "B1"}},
    {"kind": "change", "measure": "y", "from": 0, "to": 20, "in": "percent", "at_least": 10,
     "direction": "down", "only": {"model": "A"}},
    {"kind": "no-change", "measure": "y", "from": 0, "to": 20, "only": {"ball": "B0"}},
    {"kind": "tracks-within", "x": "x", "y": "y", "only": {"ball": "B1"}},
    {"kind": "break-in", "measure": "x", "by": 10, "from": 0, "to": 20, "only": {"ball": "B1"}},
    {"kind": "limit", "measure": "x", "at_least": 8, "at": [0, 10]},
    {"kind": "agreement", "measure": "z", "by": "gauge", "a": "old", "b": "new", "within": 2,
     "limit": 10, "table": "twice"},
    {"kind": "ranking", "measure": "z", "by": "dose", "first": 100, "direction": "lower",
     "table": "doses"},
    {"kind": "steps", "measure": "z", "by": "dose", "order": [300, 100, 200], "table": "doses"},
    {"kind": "trend", "measure": "w", "table": "shots", "over": "shot", "direction": "down",
     "about": 0.1},
    {"kind": "mean-is", "measure": "x", "value": 8, "within": 0.3, "at": [10, 20]},
    {"kind": "same-line", "x": "x", "y": "y", "only": {"model": "A"}},
    {"kind": "spread", "measure": "y", "table": "desk", "by": "reader", "a": "P", "b": "R"},
    {"kind": "no-change", **CHANGE, "margin": 2},
    {"kind": "no-change", **CHANGE, "margin": 0.1},
    {"kind": "no-change", **CHANGE, "margin": 30, "in": "percent"},
    {"kind": "no-change", "measure": "x", "from": 10, "to": 20},
    {"kind": "difference", "measure": "y", **SIDES, "direction": "higher", "at": 20},
    {"kind": "difference", "measure": "x", **SIDES, "direction": "lower", "at_least": 0.5, "at": 0},
    {"kind": "difference", "measure": "x", **SIDES, "in": "percent", "at": 20},
    {"kind": "difference", "measure": "z", "table": "twice", "by": "gauge", "a": "old", "b": "new",
     "within": "ball"},
    {"kind": "difference-in-change", "measure": "x", "from": 0, "to": 20, **SIDES},
    {"kind": "difference-in-change", "measure": "x", "from": 0, "to": 20, **SIDES,
     "direction": "up", "at_least": 0.5},
    {"kind": "association", "x": "x", "y": "y", "direction": "positive", "at": 0},
    {"kind": "association", "x": "x", "y": "y", "direction": "negative", "at": 20, "strong": True},
    {"kind": "association", "x": "x", "y": "y", "strong": True, "at": 10},
    {"kind": "association", "x": "x", "y": "y", "direction": "positive", "given": ["model"],
     "at": 20},
    {"kind": "no-association", "x": "x", "y": "y", "margin": 0.7, "at": 0},
    {"kind": "no-association", "x": "x", "y": "y", "margin": 0.4, "within": True},
    {"kind": "tracks-within", "x": "x", "y": "y", "direction": "positive"},
    {"kind": "tracks-within", "x": "x", "y": "y", "direction": "negative"},
    {"kind": "same-line", "x": "x", "y": "y"},
    {"kind": "break-in", "measure": "x", "by": 10, "from": 0, "to": 20},
    {"kind": "break-in", "measure": "y", "by": 10, "from": 0, "to": 20},
    {"kind": "trend", "measure": "x", "over": "games", "direction": "down"},
    {"kind": "trend", "measure": "y", "over": "games", "direction": "up", "at_least": 0.2},
    {"kind": "trend", "measure": "w", "table": "shots", "over": "shot", "direction": "down"},
    {"kind": "trend", "measure": "w", "table": "shots", "over": "shot", "in": "percent"},
    {"kind": "repeatability", "table": "desk", "measure": "y", "operator": "reader",
     "repeat": "again", "good_enough": 30, "detects": 1},
    {"kind": "limit", "measure": "y", "at_least": 14, "at": 20},
    {"kind": "limit", "measure": "x", "at_most": 10, "at": 0, "u": 0.4},
    {"kind": "limit", "measure": "x", "at_least": 6, "at_most": 11, "take": "lowest"},
    {"kind": "limit", "measure": "x", "at_least": 12, "meets": "none", "at": 20},
    {**OIL, "within": "ball"},
    {**OIL, "within": "ball", "direction": "higher"},
    {**OIL, "in": "odds", "direction": "higher"},
    {"kind": "mean-is", "measure": "x", "value": 10, "within": 1, "at": 0},
    {"kind": "mean-is", "measure": "x", "at_least": 8, "at": 20},
    {"kind": "mean-is", "measure": "y", "at_most": 15, "at": 20},
    {"kind": "ranking", "measure": "z", "by": "dose", "first": 300, "table": "doses"},
    {"kind": "ranking", "measure": "z", "by": "dose", "order": [300, 200, 100], "table": "doses"},
    {"kind": "ranking", "measure": "z", "by": "dose", "same": 4, "table": "doses"},
    {"kind": "spread", "measure": "x", **SIDES, "direction": "more", "at": 20},
    {"kind": "spread", "measure": "x", "from": 0, "to": 20, "direction": "less"},
    {"kind": "share-of-items", **CHANGE, "direction": "down", "share": "every"},
    {"kind": "share-of-items", "measure": "x", "from": 10, "to": 20, "direction": "down",
     "share": "most"},
    {"kind": "share-of-items", "measure": "x", "from": 0, "to": 10, "direction": "up",
     "share": 0.7},
    {"kind": "no-worse", **CHANGE, "worse": "up"},
    {"kind": "no-worse", "measure": "x", **SIDES, "worse": "down", "margin": 1, "at": 20},
    {"kind": "no-difference", "measure": "x", **SIDES, "margin": 1.5, "at": 0},
    {"kind": "no-difference", "measure": "z", "table": "twice", "by": "gauge", "a": "old",
     "b": "new", "margin": 0.5},
    {"kind": "settles", "measure": "x", "by": 10, "from": 0, "to": 20, "direction": "down"},
    {"kind": "settles", "measure": "y", "by": 10, "from": 0, "to": 20, "margin": 0.3},
    {"kind": "since", "measure": "x", "over": "games", "since": 10},
    {"kind": "since", "measure": "w", "table": "shots", "over": "shot", "since": 12, "within": 3},
    {"kind": "crossing", "measure": "x", "limit": 8, "over": "games", "after": 10, "within": 20},
    {"kind": "crossing", "measure": "x", "limit": 9.5, "over": "games"},
    {"kind": "population-limit", "measure": "y", "at_most": 17, "at": 20},
    {"kind": "population-limit", "measure": "x", "at_least": 2, "share": 0.8, "at": 20},
    {"kind": "steps", "measure": "z", "by": "dose", "table": "doses"},
    {"kind": "steps", "measure": "z", "by": "dose", "table": "doses", "direction": "down"},
    {"kind": "agreement", "measure": "z", "by": "gauge", "a": "old", "b": "new", "within": 3,
     "table": "twice"},
    {"kind": "agreement", "measure": "z", "by": "gauge", "a": "old", "b": "new", "within": 0.8,
     "table": "twice"},
)  # fmt: skip
FIGURES: tuple[dict[str, Any], ...] = (
    {"kind": "over-use", "table": "t", "y": "x", "walk": True},
    {"kind": "over-use", "table": "t", "y": "y", "walk": True},
    {"kind": "scatter", "table": "t", "x": "x", "y": "y", "walk": True},
    {"kind": "limit", "table": "t", "y": "y", "at_least": 14, "at": 20},
    {"kind": "groups", "table": "t", "y": "x", "by": "model", "at": 20,
     "walk": True},
    {"kind": "gauge", "table": "desk", "y": "y", "operator": "reader", "repeat": "again"},
    {"kind": "shot-series", "table": "shots", "y": "w", "order": "shot", "walk": True},
    {"kind": "rates", "table": "oil", "successes": "made", "attempts": "tried", "by": "oil"},
)  # fmt: skip


@dataclass(frozen=True)
class Bench:
    """How the readings of a bench are made up."""

    balls: int
    noise: float
    seed: int
    ragged: bool = False
    fall: float = 3.5


BENCHES = {
    "plain": Bench(8, 0.2, 20), "few": Bench(3, 0.4, 21), "noisy": Bench(8, 2.0, 22, fall=1.0),
    "ragged": Bench(11, 0.6, 23, ragged=True),
}  # fmt: skip


def readings(bench: Bench) -> dict[str, list[str]]:
    """The bench's tables, row by row."""
    rng = np.random.default_rng(bench.seed)
    made: dict[str, list[str]] = {
        "t": ["ball,model,games,x,y"], "desk": ["ball,reader,again,y"],
        "oil": ["ball,oil,made,tried"], "shots": ["ball,shot,w"],
        "doses": ["ball,dose,z"], "twice": ["ball,gauge,z"],
    }  # fmt: skip
    for i in range(bench.balls):
        model, start = "AAABA"[i % 5] if bench.ragged else "AB"[i % 2], 10 + rng.normal()
        for games, moved in ((0, 0.0), (10, 0.8 * bench.fall), (20, bench.fall)):
            x = start - moved * (1.5 if model == "B" else 1.0) + rng.normal(0, bench.noise)
            y = 10 + 0.5 * x + rng.normal(0, bench.noise)
            if bench.ragged:
                x = max(x, 6.0)
            if not (bench.ragged and i in (2, 5) and games == 20):
                made["t"].append(f"B{i},{model},{games},{x:.3f},{y:.3f}")
        for reader in "PQR":
            bias = 0.3 * bench.noise * "PQR".index(reader)
            for n in (1, 2):
                seen = start + bias + rng.normal(0, 0.2 * bench.noise)
                made["desk"].append(f"B{i},{reader},{n},{seen:.3f}")
        for k, oil in enumerate(("long", "short")):
            made["oil"].append(f"B{i},{oil},{rng.integers(18, 26) + 4 * k},{40 + 3 * i * k}")
        level = rng.normal(20, 1)
        for shot in range(1, 21):
            drop = 0.1 * shot if i % 3 else 2.0 * (shot >= 12)
            made["shots"].append(f"B{i},{shot},{level - drop + rng.normal(0, bench.noise):.3f}")
    for i in range(max(bench.balls, 6) // 3 * 3):
        z = 10 + i % 3 + rng.normal(0, 2 * bench.noise)
        made["doses"].append(f"D{i},{100 * (i % 3 + 1)},{z:.3f}")
        level = 10 + rng.normal()
        made["twice"] += [f"G{i},{name},{level + rng.normal(0, bench.noise):.3f}"
                          for name in ("old", "new")]  # fmt: skip
    return made


def written(folder: Path, bench: Bench) -> Path:
    """The bench as a study folder."""
    folder.mkdir(parents=True)
    tables: dict[str, dict[str, Any]] = {}
    for name, rows in readings(bench).items():
        (folder / f"{name}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
        tables[name] = {"file": f"{name}.csv"}
        if name in ("doses", "twice"):
            tables[name]["tested"] = {"each": "ball"}
    names = [f"{c['kind']}-{i}" for i, c in enumerate(CLAIMS)]
    ends = {"lowest": 6, "highest": 40} if bench.ragged else {}
    (folder / "study.yaml").write_text(json.dumps({
        "title": "Kept", "question": "Which of these hold?", "invented": True,
        "tested": {"each": "ball", "group": "model", "count": bench.balls},
        "use": {"column": "games", "term": "games rolled", "unit": "game"},
        "measures": {
            "x": {"unit": "microinch", "matters_from": 1, "repeatability_sd": 0.2, **ends},
            "y": {"unit": "board", "matters_from": 1, "repeatability_sd": 0.1},
            "z": {"unit": "microinch", "matters_from": 1}, "w": {"unit": "board"},
        },
        "tables": tables,
        "claims": [
            {"id": name, "report_says": "A sentence.", "plainly": "In plain words.",
             "test": {**({"table": "t"} if "table" not in c and "measure" in c else {}), **c}}
            for name, c in zip(names, CLAIMS, strict=True)
        ],
        "figures": [{"id": f"f{i}", **f} for i, f in enumerate(FIGURES)],
        "rule": {"change": "A made-up rule.", "reasons": [names[0], names[8], names[23]],
                 "limit": {"measure": "y", "at_least": 14}},
    }), encoding="utf-8")  # fmt: skip
    return folder


def put(value: Any) -> str:
    """A value in few characters: of a record what is not as usual, of a long row its sums."""
    match value:
        case None | bool() | int() | str():
            return str(value).replace("\n", " ").strip()
        case float() | np.floating():
            return f"{float(value):.6g}" if abs(value) > 1e-9 else "0"
        case BaseModel():
            return type(value).__name__
        case Mapping():
            return "{" + ", ".join(f"{put(k)}: {put(v)}" for k, v in value.items()) + "}"
    if is_dataclass(value):
        return "{" + ", ".join(f"{name}={put(v)}" for name, v in held(value)) + "}"
    if isinstance(value, (list, tuple, set, frozenset, np.ndarray)):
        row = sorted(value, key=str) if isinstance(value, (set, frozenset)) else list(value)
        if len(row) > 3 and all(isinstance(v, (int, float, np.number)) for v in row):
            places = np.asarray(row, float)
            sums = float(places.sum()), float(places @ np.arange(1, len(row) + 1))
            return f"[{len(row)} of them: {put(sums[0])}, {put(sums[1])}]"
        return "[" + ", ".join(map(put, row)) + "]"
    return type(value).__name__


def held(record: Any) -> Iterator[tuple[str, Any]]:
    """The fields of a record that are not as they would be without anything found."""
    for field in fields(record):
        value = getattr(record, field.name)
        usual = field.default
        if field.default_factory is not MISSING:
            usual = field.default_factory()
        same = usual is not MISSING and type(usual) is type(value) and put(usual) == put(value)
        if field.name not in GIVEN and not same and not (usual is None and value is None):
            yield field.name, value


@cache
def example(name: str) -> Judgement:
    """One of the example studies, read and judged."""
    home = Path(__file__).parents[1]
    return judge(load_study(home / "studies" / name, open_workspace(home)))


@cache
def judged(name: str) -> Judgement:
    """A bench, read and judged."""
    with tempfile.TemporaryDirectory() as home:
        folder = written(Path(home) / "studies" / name, BENCHES[name])
        return judge(load_study(folder, open_workspace(Path(home))))
