"""Invented worlds whose truth is known: nested data for each kind of claim, true or false.

Every world draws a table of items (shots within items where the kind has shots), with items that
differ, drift each in its own way, and may share an error at each checkpoint (a gauge that was a
little off that day).  ``truth`` says whether the claim holds; the false worlds sit at the edge of
being true wherever there is an edge, because that is where a method errs most.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from explainer.study.description.study import Description, Settings
from explainer.study.model import Study, Table, Workspace

USES = (0.0, 10.0, 20.0, 30.0, 45.0, 60.0)
SHOTS = 4
Rng = np.random.Generator


@dataclass(frozen=True)
class World:
    """One draw: a study with one claim, and the true value of what the test estimates."""

    study: Study
    value: float | None


def study_of(
    frame: pd.DataFrame,
    test: Mapping[str, object],
    *,
    item: str = "ball",
    use: str | None = None,
    order: str | None = None,
    measures: Mapping[str, Mapping[str, object]],
) -> Study:
    """A study in memory, as reading its folder would give it."""
    description = Description.model_validate({
        "title": "A world", "question": "Is it so?", "invented": True,
        "tested": {"each": item}, "measures": measures, "tables": {"t": {"file": "t.csv"}},
        "use": {"column": use} if use else None,
        "claims": [{"id": "c", "report_says": "It is so.", "test": test}],
    })  # fmt: skip
    table = Table(
        name="t", file="t.csv", frame=frame, item=item, use=use, group=None, order=order,
        measures=tuple(measures),
        checkpoints=tuple(sorted(frame[use].unique().tolist())) if use else (),
        items=tuple(dict.fromkeys(frame[item])),
    )  # fmt: skip
    workspace = Workspace(Path("."), Settings(), (), ())
    return Study("world", Path("."), workspace, description, {"t": table}, {})


def nested(
    rng: Rng,
    n: int,
    mean: Callable[[float], float],
    *,
    drift: float = 0.6,
    day: float = 0.3,
    shared: float = 0.0,
    shot: float = 1.0,
) -> pd.DataFrame:
    """y of ``n`` balls at every checkpoint, ``SHOTS`` shots each.

    ``drift``: spread of each ball's own change by the last checkpoint; ``day``: of each ball on
    each day; ``shared``: of an error all balls share at a checkpoint; ``shot``: of one shot.
    """
    level = rng.normal(10, 2, n)
    own = rng.normal(0, drift, n)
    together = rng.normal(0, shared, len(USES)) if shared else np.zeros(len(USES))
    rows = []
    for i in range(n):
        for k, use in enumerate(USES):
            middle = (
                level[i] + mean(use) + own[i] * use / USES[-1] + together[k] + rng.normal(0, day)
            )
            rows += [(f"B{i}", use, s, middle + rng.normal(0, shot)) for s in range(SHOTS)]
    return pd.DataFrame(rows, columns=["ball", "games", "shot", "y"])


Y: Mapping[str, Mapping[str, object]] = {"y": {"unit": "board", "matters_from": 1.0}}


def change(rng: Rng, n: int, truth: bool, shared: float) -> World:
    size = 1.0 if truth else 0.0
    frame = nested(rng, n, lambda u: size * u / USES[-1], shared=shared)
    test = {"kind": "change", "measure": "y", "from": 0, "to": 60, "direction": "up"}
    return World(study_of(frame, test, use="games", measures={"y": {"unit": "board"}}), size)


def no_change(rng: Rng, n: int, truth: bool, shared: float) -> World:
    size = 0.0 if truth else 1.0
    frame = nested(rng, n, lambda u: size * u / USES[-1], shared=shared)
    test = {"kind": "no-change", "measure": "y", "from": 0, "to": 60}
    return World(study_of(frame, test, use="games", measures=Y), size)


def difference(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Half the balls of each model; the second model varies twice as much."""
    size = 1.5 if truth else 0.0
    half = n // 2
    rows = []
    for i in range(n):
        a = i < half
        level = rng.normal(size if a else 0.0, 0.7 if a else 1.4)
        rows += [(f"B{i}", "a" if a else "b", level + rng.normal(0, 1)) for _ in range(SHOTS)]
    frame = pd.DataFrame(rows, columns=["ball", "model", "y"])
    test = {"kind": "difference", "measure": "y", "by": "model", "a": "a", "b": "b",
            "direction": "higher"}  # fmt: skip
    return World(study_of(frame, test, measures={"y": {"unit": "board"}}), size)


def difference_in_change(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Half the balls of each model; all change, the second model twice as unevenly."""
    gap = 1.5 if truth else 0.0
    rows = []
    for i in range(n):
        a = i < n // 2
        start, change = rng.normal(10, 2), rng.normal(2 + (gap if a else 0), 0.7 if a else 1.4)
        for games in (0.0, 60.0):
            read = start + change * games / 60 + rng.normal(0, 0.3)
            rows += [(f"B{i}", "a" if a else "b", games, s, read + rng.normal(0, 0.5))
                     for s in range(SHOTS)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "shot", "y"])
    test = {"kind": "difference-in-change", "measure": "y", "from": 0, "to": 60, "by": "model",
            "a": "a", "b": "b", "direction": "higher"}  # fmt: skip
    return World(study_of(frame, test, use="games", measures={"y": {"unit": "board"}}), gap)


def _pair(rng: Rng, n: int, rho: float) -> pd.DataFrame:
    x = rng.normal(0, 1, n)
    y = rho * x + np.sqrt(1 - rho**2) * rng.normal(0, 1, n)
    return pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "x": x, "y": y})


XY: Mapping[str, Mapping[str, object]] = {"x": {"unit": "microinch"}, "y": {"unit": "board"}}


def association(rng: Rng, n: int, truth: bool, shared: float) -> World:
    rho = 0.8 if truth else 0.0
    test = {"kind": "association", "x": "x", "y": "y", "direction": "positive"}
    return World(study_of(_pair(rng, n, rho), test, measures=XY), rho)


def strong(rng: Rng, n: int, truth: bool, shared: float) -> World:
    rho = 0.9 if truth else 0.5
    test = {"kind": "association", "x": "x", "y": "y", "direction": "positive", "strong": True}
    return World(study_of(_pair(rng, n, rho), test, measures=XY), rho)


def no_association(rng: Rng, n: int, truth: bool, shared: float) -> World:
    rho = 0.0 if truth else 0.7
    test = {"kind": "no-association", "x": "x", "y": "y", "margin": 0.7}
    return World(study_of(_pair(rng, n, rho), test, measures=XY), rho)


def _journeys(
    rng: Rng, n: int, slope: float, between: float, own: float, shared: float
) -> pd.DataFrame:
    """x falls with use in every ball, each in its own way; y follows by the ball's own slope."""
    together = rng.normal(0, shared, len(USES)) if shared else np.zeros(len(USES))
    rows = []
    for i in range(n):
        start = rng.normal(70, 12)
        fall = rng.normal(-15, 5)
        mine = rng.normal(slope, own)
        base = between * start + rng.normal(0, 0.5)
        for k, use in enumerate(USES):
            moved = fall * use / USES[-1] + rng.normal(0, 3)
            y = base + mine * moved + rng.normal(0, 0.5) + together[k]
            rows.append((f"B{i}", use, start + moved, y))
    return pd.DataFrame(rows, columns=["ball", "games", "x", "y"])


def tracks_within(rng: Rng, n: int, truth: bool, shared: float) -> World:
    slope = 0.15 if truth else 0.0
    frame = _journeys(rng, n, slope, 0.1, 0.05, shared)
    test = {"kind": "tracks-within", "x": "x", "y": "y", "direction": "positive"}
    return World(study_of(frame, test, use="games", measures=XY), slope)


GAUGED: Mapping[str, Mapping[str, object]] = {
    "x": {"unit": "microinch", "repeatability_sd": 0.01}, "y": {"unit": "board"},
}  # fmt: skip


def same_line(rng: Rng, n: int, truth: bool, shared: float) -> World:
    share = 1.0 if truth else 0.8
    frame = _journeys(rng, n, 0.15 * share, 0.15, 0.01, shared)
    test = {"kind": "same-line", "x": "x", "y": "y"}
    return World(study_of(frame, test, use="games", measures=GAUGED), share)


def break_in(rng: Rng, n: int, truth: bool, shared: float) -> World:
    share = 1.0 if truth else 0.8
    points = {0.0: 0.0, 10.0: share}
    frame = nested(
        rng, n, lambda u: -8 * points.get(u, 1.0), drift=0.3, day=0.2, shared=shared, shot=0.4
    )
    test = {"kind": "break-in", "measure": "y", "by": 10, "from": 0, "to": 60}
    return World(study_of(frame, test, use="games", measures=Y), share)


def trend(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Thirty shots a ball, each ball with its own slope, neighbors alike (lag-1 of 0.3)."""
    slope = 0.04 if truth else 0.0
    rows = []
    for i in range(n):
        mine, noise = rng.normal(slope, 0.03), 0.0
        for k in range(30):
            noise = 0.3 * noise + rng.normal(0, 0.5)
            rows.append((f"B{i}", float(k), mine * k + noise))
    frame = pd.DataFrame(rows, columns=["ball", "shot", "y"])
    test = {"kind": "trend", "measure": "y", "over": "shot", "direction": "up"}
    return World(study_of(frame, test, order="shot", measures={"y": {"unit": "board"}}), slope)


def repeatability(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Three operators, three repeats; gauge a twentieth of the spread, or right at a tenth."""
    percent = 5.0 if truth else 10.0
    gauge = percent / 100 / np.sqrt(1 - (percent / 100) ** 2)
    ev, av = gauge * np.sqrt(0.8), gauge * np.sqrt(0.2)
    operators = rng.normal(0, av, 3)
    rows = [
        (f"B{i}", o, r, part + operators[o] + rng.normal(0, ev))
        for i, part in enumerate(rng.normal(0, 1, n))
        for o in range(3)
        for r in range(3)
    ]
    frame = pd.DataFrame(rows, columns=["ball", "who", "again", "y"])
    test = {"kind": "repeatability", "measure": "y", "operator": "who", "repeat": "again",
            "good_enough": 10}  # fmt: skip
    return World(study_of(frame, test, measures={"y": {"unit": "board"}}), percent)


def limit(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """All well inside, or one ball that truly lies a hair short of the limit."""
    true = rng.uniform(24, 30, n)
    if not truth:
        true[0] = 20.0 - 1e-9
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "y": true + rng.normal(0, 1, n)})
    test = {"kind": "limit", "measure": "y", "at_least": 20.0}
    measures = {"y": {"unit": "microinch", "repeatability_sd": 1.0}}
    return World(study_of(frame, test, measures=measures), None)


def rate_difference(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Each bowler's own rate and own difference; forty attempts under each condition."""
    size = 0.15 if truth else 0.0
    rows = []
    for i in range(n):
        base, mine = rng.uniform(0.35, 0.6), rng.normal(size, 0.05)
        for name, rate in (("a", base + mine), ("b", base)):
            rows.append((f"W{i}", name, rng.binomial(40, np.clip(rate, 0.02, 0.98)), 40.0))
    frame = pd.DataFrame(rows, columns=["bowler", "oil", "made", "tried"])
    test = {"kind": "rate-difference", "successes": "made", "attempts": "tried", "by": "oil",
            "a": "a", "b": "b", "direction": "higher", "within": "bowler"}  # fmt: skip
    return World(study_of(frame, test, item="bowler", measures={}), size)


WORLDS: Mapping[str, Callable[[Rng, int, bool, float], World]] = {
    "change": change,
    "no-change": no_change,
    "difference": difference,
    "difference-in-change": difference_in_change,
    "association": association,
    "association, strong": strong,
    "no-association": no_association,
    "tracks-within": tracks_within,
    "same-line": same_line,
    "break-in": break_in,
    "trend": trend,
    "repeatability": repeatability,
    "limit": limit,
    "rate-difference": rate_difference,
}
#: The kinds whose worlds have checkpoints, where an error can be shared by all items.
SHARED = ("change", "no-change", "tracks-within", "same-line", "break-in")
