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
    group: str | None = None,
    measures: Mapping[str, Mapping[str, object]],
) -> Study:
    """A study in memory, as reading its folder would give it."""
    description = Description.model_validate({
        "title": "A world", "question": "Is it so?", "invented": True,
        "tested": {"each": item, "group": group}, "measures": measures,
        "tables": {"t": {"file": "t.csv"}},
        "use": {"column": use} if use else None,
        "claims": [{"id": "c", "report_says": "It is so.", "test": test}],
    })  # fmt: skip
    table = Table(
        name="t", file="t.csv", frame=frame, item=item, use=use, group=group, order=order,
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


# --- designs that fool a reanalysis: each in the world its rule was made for

POSITIVE = {"kind": "association", "x": "x", "y": "y", "direction": "positive"}


def _afternoon(rng: Rng, n: int, slope: float, own_numbers: bool) -> pd.DataFrame:
    """Forty shots a ball; x and y of all rise together, and y follows x by each ball's slope."""
    together, mine = np.cumsum(rng.normal(0.3, 0.2, 40)), rng.normal(slope, 0.1, n)
    level = rng.normal(0, 5, n)
    rows = []
    for k in range(40):
        for i in range(n):
            moved = rng.normal(0, 1)
            y = level[i] + 0.8 * together[k] + mine[i] * moved + rng.normal(0, 0.7)
            shot = float(k * n + i if own_numbers else k)
            rows.append((f"B{i}", shot, level[i] + together[k] + moved, y))
    return pd.DataFrame(rows, columns=["ball", "shot", "x", "y"])


def tracks_in_order(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A link within, or only a drift along shots whose numbers all balls share."""
    frame = _afternoon(rng, n, 0.5 if truth else 0.0, False)
    test = {"kind": "tracks-within", "x": "x", "y": "y", "direction": "positive"}
    return World(study_of(frame, test, order="shot", measures=XY), None)


def tracks_in_turn(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """The same, each shot with a number of its own: balls thrown in turn."""
    frame = _afternoon(rng, n, 0.5 if truth else 0.0, True)
    test = {"kind": "tracks-within", "x": "x", "y": "y", "direction": "positive"}
    return World(study_of(frame, test, order="shot", measures=XY), None)


def none_within(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """No link within; or one of r = 0.5, the margin, that a drift the other way hides."""
    rho = 0.0 if truth else 0.5
    rows = []
    for i in range(n):
        for k in range(12):
            own = rng.normal(0, 1)
            y = rho * own + np.sqrt(1 - rho**2) * rng.normal(0, 1) - (0 if truth else 0.15 * k)
            rows.append((f"B{i}", float(k), own + 0.15 * k, y))
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    test = {"kind": "no-association", "x": "x", "y": "y", "margin": 0.5, "within": True}
    return World(study_of(frame, test, use="games", measures=XY), None)


def _models(n: int) -> np.ndarray:
    """Two models up to 8 balls, four from 12 on."""
    return np.arange(n) % (2 if n < 12 else 4)


def between_models(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A link of r = 0.8 among the balls of each model; or between the models' means only."""
    model, rho = _models(n), 0.8 if truth else 0.0
    apart = rng.normal(0, 3, model.max() + 1)
    x = rng.normal(0, 1, n)
    y = rho * x + np.sqrt(1 - rho**2) * rng.normal(0, 1, n)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "model": [f"M{m}" for m in model],
                          "x": x + apart[model], "y": y + apart[model]})  # fmt: skip
    return World(study_of(frame, POSITIVE, group="model", measures=XY), rho)


def change_of_models(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Models that each change in their own way, two thirds of the balls of one of them.

    True: their mean is one board.  False: it is none, one up and one down by as much.
    """
    model = (np.arange(n) >= max(2, 2 * n // 3)).astype(int)
    means = (1.0 if truth else 0.0) + np.array([0.4, -0.4])
    start = rng.normal(10, 2, n)
    change = means[model] + rng.normal(0, 0.5, n)
    frame = pd.DataFrame([
        (f"B{i}", f"M{model[i]}", g, start[i] + change[i] * g / 60 + rng.normal(0, 0.2))
        for i in range(n) for g in (0.0, 60.0)
    ], columns=["ball", "model", "games", "y"])  # fmt: skip
    test = {"kind": "change", "measure": "y", "from": 0, "to": 60, "direction": "up"}
    study = study_of(frame, test, use="games", group="model", measures={"y": {"unit": "board"}})
    return World(study, 1.0 if truth else 0.0)


def unequal_use(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """All read at 0; later ones ever further on, where use alone moves x and y."""
    rho = 0.8 if truth else 0.0
    rows = []
    for i in range(n):
        x = rng.normal(0, 1)
        y = rho * x + np.sqrt(1 - rho**2) * rng.normal(0, 1)
        for g in (0.0, 20.0 * (i + 1)):
            rows.append((f"B{i}", g, x + 0.1 * g + rng.normal(0, 0.1), y + 0.1 * g))
    frame = pd.DataFrame(rows, columns=["ball", "games", "x", "y"])
    return World(study_of(frame, POSITIVE, use="games", measures=XY), None)


def own_start(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """The change against its own start; false: two readings that have nothing to do with another.

    True: rough ones lose more, so that all come together.
    """
    start = rng.normal(50, 5, n)
    end = 50 + 0.3 * (start - 50) + rng.normal(0, 1, n) if truth else rng.normal(50, 5, n)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "x": start, "end": end,
                          "y": end - start})  # fmt: skip
    test = {**POSITIVE, "direction": "negative"}
    return World(study_of(frame, test, measures={**XY, "end": {"unit": "microinch"}}), None)


def twins(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """r = 0.8 in all balls; or none, and two alike far out along the claim's way."""
    frame = _pair(rng, n, 0.8 if truth else 0.0)
    if not truth:
        frame.loc[:1, ["x", "y"]] = 4.0 + rng.normal(0, 0.3, (2, 2))
    return World(study_of(frame, POSITIVE, measures=XY), None)


def limit_of_repeats(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Means of five readings whose scatter nobody declared; one ball a hair short, or none."""
    true = rng.uniform(23, 30, n)
    if not truth:
        true[0] = 20.0 - 1e-9
    frame = pd.DataFrame([(f"B{i}", t + rng.normal(0, 2)) for i, t in enumerate(true)
                          for _ in range(5)], columns=["ball", "y"])  # fmt: skip
    test = {"kind": "limit", "measure": "y", "at_least": 20.0}
    measures = {"y": {"unit": "microinch", "repeatability_sd": 0.1}}
    return World(study_of(frame, test, measures=measures), None)


def limit_at_the_edge(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Every ball truly at the limit, so all comply; or one a hair short of it."""
    true = np.full(n, 20.0)
    if not truth:
        true[0] -= 1e-9
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "y": true + rng.normal(0, 1, n)})
    test = {"kind": "limit", "measure": "y", "at_least": 20.0}
    measures = {"y": {"unit": "microinch", "repeatability_sd": 1.0}}
    return World(study_of(frame, test, measures=measures), None)


def items_moved(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """None moved; or a third of the balls by three margins, up and down in turn."""
    moved = np.zeros(n)
    if not truth:
        moved[: max(2, n // 3)] = 3.0 * (-1.0) ** np.arange(max(2, n // 3))
        moved -= moved.mean()
    frame = pd.DataFrame([
        (f"B{i}", g, 10 + m * g / 60 + rng.normal(0, 0.2)) for i, m in enumerate(moved)
        for g in (0.0, 60.0)
    ], columns=["ball", "games", "y"])  # fmt: skip
    test = {"kind": "no-change", "measure": "y", "from": 0, "to": 60, "margin": 1.0}
    measures = {"y": {"unit": "board", "repeatability_sd": 0.2}}
    return World(study_of(frame, test, use="games", measures=measures), None)


def narrow(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A margin far narrower than the spread: a mean right at its edge is no change still."""
    frame = nested(rng, n, lambda u: (0.05 if truth else 0.15) * u / USES[-1])
    test = {"kind": "no-change", "measure": "y", "from": 0, "to": 60, "margin": 0.05}
    return World(study_of(frame, test, use="games", measures=Y), None)


def straight(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Settled by 45 of 60 games; or a straight line, which has 0.83 behind it by 50."""
    uses = (0.0, 50.0, 60.0)
    share = {0.0: 0.0, 50.0: 1.0 if truth else 50 / 60, 60.0: 1.0}
    rows = []
    for i in range(n):
        level, whole = rng.normal(30, 2), rng.normal(-8, 0.5)
        rows += [(f"B{i}", u, level + whole * share[u] + rng.normal(0, 0.1)) for u in uses]
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    test = {"kind": "break-in", "measure": "y", "by": 50, "from": 0, "to": 60}
    return World(study_of(frame, test, use="games", measures=Y), None)


def overshot(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A share right at 1.25, the zone's upper end; or well past it."""
    share = 1.25 if truth else 1.6
    frame = nested(rng, n, lambda u: -8 * {0.0: 0.0, 10.0: share}.get(u, 1.0), drift=0.3, day=0.2,
                   shot=0.4)  # fmt: skip
    test = {"kind": "break-in", "measure": "y", "by": 10, "from": 0, "to": 60}
    return World(study_of(frame, test, use="games", measures=Y), share)


def step(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A drift of each ball's own size; or one jump of all at a place nobody names."""
    place = int(rng.integers(10, 30))
    rows = []
    for i in range(n):
        slope, size = rng.normal(0.05, 0.02), rng.normal(2.0, 0.4)
        for k in range(40):
            y = slope * k if truth else size * (k >= place)
            rows.append((f"B{i}", float(k), y + rng.normal(0, 0.5)))
    frame = pd.DataFrame(rows, columns=["ball", "shot", "y"])
    test = {"kind": "trend", "measure": "y", "over": "shot", "direction": "up"}
    return World(study_of(frame, test, order="shot", measures={"y": {"unit": "board"}}), None)


ONE: Mapping[str, Mapping[str, object]] = {"y": {"unit": "board"}}


def mean_is(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """About 12, give or take 1; false right at the edge of that."""
    mean = 12.0 if truth else 13.0
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "y": rng.normal(mean, 1.0, n)})
    test = {"kind": "mean-is", "measure": "y", "value": 12, "within": 1}
    return World(study_of(frame, test, measures=ONE), mean)


def mean_at_least(rng: Rng, n: int, truth: bool, shared: float) -> World:
    mean = 13.0 if truth else 12.0
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "y": rng.normal(mean, 1.0, n)})
    test = {"kind": "mean-is", "measure": "y", "at_least": 12.0}
    return World(study_of(frame, test, measures=ONE), mean)


def _groups(rng: Rng, sizes: list[int], means: list[float], sds: list[float]) -> pd.DataFrame:
    rows = []
    for g, (size, mean, sd) in enumerate(zip(sizes, means, sds, strict=True)):
        rows += [(f"G{g}B{i}", f"g{g}", y) for i, y in enumerate(rng.normal(mean, sd, size))]
    return pd.DataFrame(rows, columns=["ball", "model", "y"])


def ranking_first(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Four covers of n balls each; false: the first is level with one other, of uneven spread."""
    lead = 2.0 if truth else 0.0
    frame = _groups(rng, [n] * 4, [lead, 0.0, -1.0, -3.0], [1.0, 1.6, 0.8, 1.0])
    test = {"kind": "ranking", "measure": "y", "by": "model", "first": "g0"}
    return World(study_of(frame, test, measures=ONE), lead)


def ranking_order(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Three in order; false: the last two are level."""
    gap = 2.0 if truth else 0.0
    frame = _groups(rng, [n] * 3, [4.0, 2.0, 2.0 - gap], [1.0, 1.6, 0.8])
    test = {"kind": "ranking", "measure": "y", "by": "model", "order": ["g0", "g1", "g2"]}
    return World(study_of(frame, test, measures=ONE), gap)


def ranking_same(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Four alike; false: the outer two are just as far apart as matters."""
    gap = 0.0 if truth else 2.0
    frame = _groups(rng, [n] * 4, [gap / 2, 0.0, 0.0, -gap / 2], [0.8, 1.0, 0.6, 0.8])
    test = {"kind": "ranking", "measure": "y", "by": "model", "same": 2.0}
    return World(study_of(frame, test, measures=ONE), gap)


def spread_inside(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Half the balls of each model, eight shots each; each ball has its own scatter."""
    ratio = 2.0 if truth else 1.0
    rows = []
    for i in range(n):
        a = i < n // 2
        own = (ratio if a else 1.0) * np.exp(rng.normal(0, 0.15))
        rows += [(f"B{i}", "a" if a else "b", y) for y in rng.normal(rng.normal(10, 2), own, 8)]
    frame = pd.DataFrame(rows, columns=["ball", "model", "y"])
    test = {"kind": "spread", "measure": "y", "by": "model", "a": "a", "b": "b",
            "direction": "more"}  # fmt: skip
    return World(study_of(frame, test, measures=ONE), 100 * (ratio - 1))


def spread_between(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """n balls of each model, one reading each."""
    ratio = 3.0 if truth else 1.0
    frame = _groups(rng, [n, n], [10.0, 8.0], [ratio, 1.0])
    test = {"kind": "spread", "measure": "y", "by": "model", "a": "g0", "b": "g1",
            "direction": "more"}  # fmt: skip
    return World(study_of(frame, test, measures=ONE), 100 * (ratio - 1))


def _twice(rng: Rng, n: int, moved: np.ndarray, noise: float = 0.2) -> pd.DataFrame:  # type: ignore[type-arg]
    start = rng.normal(10, 2, n)
    rows = [(f"B{i}", games, start[i] + (moved[i] if games else 0.0) + rng.normal(0, noise))
            for i in range(n) for games in (0.0, 60.0)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "y"])


def spread_paired(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """The same balls before and after, one reading each; what lies apart may drift farther."""
    ratio = 3.0 if truth else 1.0
    start, more = rng.normal(0, 1, n), rng.normal(0, 1, n)
    after = ratio * (0.7 * start + np.sqrt(1 - 0.49) * more)
    rows = [(f"B{i}", g, 10 + (after if g else start)[i]) for i in range(n) for g in (0.0, 60.0)]
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    test = {"kind": "spread", "measure": "y", "from": 0, "to": 60, "direction": "more"}
    return World(study_of(frame, test, use="games", measures=ONE), 100 * (ratio - 1))


def share_most(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Nineteen in twenty balls fall, or just half of them."""
    share = 0.95 if truth else 0.5
    moved = np.where(rng.random(n) < share, -3.0, 3.0)
    test = {"kind": "share-of-items", "measure": "y", "from": 0, "to": 60, "direction": "down",
            "share": "most"}  # fmt: skip
    return World(study_of(_twice(rng, n, moved), test, use="games", measures=ONE), share)


def share_every(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """All fall by more than the gauge can mistake, or one of them does not move at all."""
    moved = np.full(n, -3.0)
    if not truth:
        moved[0] = 0.0
    test = {"kind": "share-of-items", "measure": "y", "from": 0, "to": 60, "direction": "down",
            "share": "every"}  # fmt: skip
    measures = {"y": {"unit": "board", "repeatability_sd": 0.2}}
    return World(study_of(_twice(rng, n, moved), test, use="games", measures=measures), None)


def share_by_size(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Nineteen in twenty balls fall by three, or just half of them: by at least two, it is said."""
    share = 0.95 if truth else 0.5
    moved = np.where(rng.random(n) < share, -3.0, -1.0)
    test = {"kind": "share-of-items", "measure": "y", "from": 0, "to": 60, "direction": "down",
            "share": "most", "at_least": 2}  # fmt: skip
    return World(study_of(_twice(rng, n, moved), test, use="games", measures=ONE), share)


def every_by_size(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """All fall by more than two and the gauge's doubt, or one of them by two just less a hair."""
    moved = np.full(n, -3.0)
    if not truth:
        moved[0] = -1.999
    test = {"kind": "share-of-items", "measure": "y", "from": 0, "to": 60, "direction": "down",
            "share": "every", "at_least": 2}  # fmt: skip
    measures = {"y": {"unit": "board", "repeatability_sd": 0.2}}
    return World(study_of(_twice(rng, n, moved), test, use="games", measures=measures), None)


def no_worse(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Level, or worse by just as much as matters."""
    size = 0.0 if truth else 1.0
    test = {"kind": "no-worse", "measure": "y", "from": 0, "to": 60, "worse": "up", "margin": 1.0}
    moved = rng.normal(size, 0.6, n)
    return World(study_of(_twice(rng, n, moved), test, use="games", measures=ONE), size)


def settles(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Eight boards by game 10 and no more, or one more: just what would matter."""
    late = 0.0 if truth else 1.0
    points = {0.0: 0.0, 10.0: -8.0, 60.0: -8.0 - late}
    frame = nested(rng, n, lambda u: points.get(u, -8.0), drift=0.3, day=0.2, shared=shared,
                   shot=0.4)  # fmt: skip
    test = {"kind": "settles", "measure": "y", "by": 10, "from": 0, "to": 60, "direction": "down",
            "margin": 1.0}  # fmt: skip
    return World(study_of(frame, test, use="games", measures=ONE), None)


def crossing(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Falls a board in so many games; read every five games.  True: about 30; false: about 40."""
    mean = 30.0 if truth else 40.0
    rows = []
    for i in range(n):
        when = rng.normal(mean, 4.0)
        rows += [(f"B{i}", float(u), 20.0 + (when - u) / 5.0) for u in range(0, 65, 5)]
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    test = {"kind": "crossing", "measure": "y", "limit": 20.0, "over": "games", "after": 30,
            "within": 10}  # fmt: skip
    return World(study_of(frame, test, use="games", measures=ONE), mean)


def population_limit(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """95 of 100 meet it with room to spare, or exactly 95 of 100 do."""
    edge = 20.0 if truth else 15.0
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)],
                          "y": rng.normal(edge + 1.6448536, 1.0, n)})  # fmt: skip
    test = {"kind": "population-limit", "measure": "y", "at_least": 15.0, "share": 0.95}
    return World(study_of(frame, test, measures=ONE), edge)


def agreement(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Two gauges with an offset; false: 95 of 100 pairs lie just as far apart as is claimed."""
    sd, offset = (0.2, 0.1) if truth else (0.6, 0.5)
    level = rng.normal(75, 3, n)
    rows = [(f"B{i}", who, level[i] + more[i] / 2) for who, sign in (("a", 1), ("b", -1))
            for more in [sign * _gaps(rng, n, offset, sd)] for i in range(n)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "who", "y"])
    limit = 0.5 + 1.959964 * 0.6
    test = {"kind": "agreement", "measure": "y", "by": "who", "a": "a", "b": "b", "within": limit}
    return World(study_of(frame, test, measures=ONE), offset + 1.959964 * sd)


def _gaps(rng: Rng, n: int, offset: float, sd: float) -> np.ndarray:  # type: ignore[type-arg]
    """Half of what lies between two gauges: drawn for each, so that both have their share."""
    return np.asarray(rng.normal(offset, sd * np.sqrt(2), n))


def steps(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Four grits of n balls each; false: level all along, with uneven spread."""
    step = 1.0 if truth else 0.0
    frame = _groups(rng, [n] * 4, [0.0, step, 2 * step, 3 * step], [0.8, 1.6, 1.0, 0.6])
    test = {"kind": "steps", "measure": "y", "by": "model", "direction": "up"}
    return World(study_of(frame, test, measures=ONE), step)


def _levels(rng: Rng, n: int, level: Callable[[float], float]) -> pd.DataFrame:
    """Thirteen checkpoints a ball, each ball with its own size of whatever happens."""
    rows = []
    for i in range(n):
        start, mine = rng.normal(50, 5), rng.normal(1, 0.2)
        rows += [(f"B{i}", float(u), start + mine * level(u) + rng.normal(0, 1))
                 for u in range(0, 65, 5)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "y"])


SINCE = {"kind": "since", "measure": "y", "over": "games", "since": 30, "within": 5,
         "direction": "down"}  # fmt: skip


def since(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A jump at game 30; false: at game 40, just past what counts as there."""
    place = 30 if truth else 40
    frame = _levels(rng, n, lambda u: -1.5 * (u >= place))
    return World(study_of(frame, SINCE, use="games", measures=ONE), None)


def since_drift(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A jump at game 30; false: a drift all along, which is another level after any place."""
    frame = _levels(rng, n, (lambda u: -1.5 * (u >= 30)) if truth else lambda u: -u / 40)
    return World(study_of(frame, SINCE, use="games", measures=ONE), None)


def since_nothing(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A jump so small that scatter hides it; false: none at all."""
    frame = _levels(rng, n, lambda u: -1.0 * (u >= 30) if truth else 0.0)
    return World(study_of(frame, SINCE, use="games", measures=ONE), None)


def same_groups(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """n balls of each model, of uneven spread; false: just as far apart as counts."""
    gap = 0.0 if truth else 1.5
    frame = _groups(rng, [n, n], [gap, 0.0], [0.6, 1.2])
    test = {"kind": "no-difference", "measure": "y", "by": "model", "a": "g0", "b": "g1",
            "margin": 1.5}  # fmt: skip
    return World(study_of(frame, test, measures=ONE), gap)


def same_gauges(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Two gauges on the same balls; false: one reads higher by just as much as counts."""
    gap, level = (0.0 if truth else 0.5), rng.normal(75, 3, n)
    rows = [(f"B{i}", who, level[i] + more + rng.normal(0, 0.3)) for i in range(n)
            for who, more in (("a", gap), ("b", 0.0))]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "who", "y"])
    test = {"kind": "no-difference", "measure": "y", "by": "who", "a": "a", "b": "b",
            "margin": 0.5}  # fmt: skip
    return World(study_of(frame, test, measures=ONE), gap)


def _bowled(rng: Rng, n: int, size: float, test: Mapping[str, object]) -> World:
    """Each bowler's own rate and own difference; sixty attempts under each condition."""
    rows = []
    for i in range(n):
        base, mine = rng.uniform(0.35, 0.55), rng.normal(size, 0.03)
        for name, rate in (("a", base + mine), ("b", base)):
            rows.append((f"W{i}", name, rng.binomial(60, np.clip(rate, 0.02, 0.98)), 60.0))
    frame = pd.DataFrame(rows, columns=["bowler", "oil", "made", "tried"])
    whole = {"kind": "rate-difference", "successes": "made", "attempts": "tried", "by": "oil",
             "a": "a", "b": "b", "within": "bowler", **test}  # fmt: skip
    return World(study_of(frame, whole, item="bowler", measures={}), size)


def rates_at_least(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A tenth at least: a quarter in truth, or right at a tenth."""
    size = 0.25 if truth else 0.1
    return _bowled(rng, n, size, {"direction": "higher", "at_least": 0.1})


def rates_alike(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Alike to within fifteen in a hundred: no difference, or one of just that."""
    return _bowled(rng, n, 0.0 if truth else 0.15, {"margin": 0.15})


def rates_odds(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """5n cracked ones and 5n whole ones, picked as such: odds of 4 to 1 kept hot, or even."""
    ratio = 4.0 if truth else 1.0
    cases = rng.binomial(5 * n, 0.3 * ratio / (0.3 * ratio + 0.7))
    controls = rng.binomial(5 * n, 0.3)
    frame = pd.DataFrame({"kept": ["hot", "cool"], "cracked": [float(cases), 5.0 * n - cases],
                          "seen": [float(cases + controls), 10.0 * n - cases - controls]})
    test = {"kind": "rate-difference", "successes": "cracked", "attempts": "seen", "by": "kept",
            "a": "hot", "b": "cool", "direction": "higher", "in": "odds"}  # fmt: skip
    return World(study_of(frame, test, item="kept", measures={}), ratio)


def _drifts(rng: Rng, n: int, slope: float, apart: float, test: Mapping[str, object]) -> World:
    """Thirty shots a ball, each with its own slope about ``slope``."""
    rows = []
    for i in range(n):
        mine = rng.normal(slope, apart)
        rows += [(f"B{i}", float(k), mine * k + rng.normal(0, 0.3)) for k in range(30)]
    frame = pd.DataFrame(rows, columns=["ball", "shot", "y"])
    whole = {"kind": "trend", "measure": "y", "over": "shot", "direction": "up", **test}
    return World(study_of(frame, whole, order="shot", measures=ONE), slope)


def trend_at_least(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A drift of at least 0.04 a shot: well past it, or right at it."""
    return _drifts(rng, n, 0.08 if truth else 0.04, 0.02, {"at_least": 0.04})


def trend_about(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """About 0.1 a shot: just that, or right at the edge of near enough."""
    return _drifts(rng, n, 0.1 if truth else 0.125, 0.01, {"about": 0.1})


def limit_two_sides(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """All between two limits with room to spare; or one a hair past the upper one."""
    true = rng.uniform(24, 30, n)
    if not truth:
        true[0] = 34.0 + 1e-9
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "y": true + rng.normal(0, 1, n)})
    test = {"kind": "limit", "measure": "y", "at_least": 20.0, "at_most": 34.0}
    measures = {"y": {"unit": "microinch", "repeatability_sd": 1.0}}
    return World(study_of(frame, test, measures=measures), None)


def _held(rng: Rng, n: int, left: float) -> pd.DataFrame:
    """x and y both follow z; beside that, y follows x with a partial r of ``left``."""
    z = rng.normal(0, 1, n)
    x = 0.8 * z + 0.6 * rng.normal(0, 1, n)
    own = x - 0.8 * z
    y = 0.8 * z + left * own + 0.6 * np.sqrt(1 - left**2) * rng.normal(0, 1, n)
    return pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "x": x, "y": y, "z": z})


XYZ: Mapping[str, Mapping[str, object]] = {**XY, "z": {"unit": "Shore D"}}


def given_number(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """A link that is left with z held alike; false: z makes all of it (r = 0.64 without)."""
    left = 0.8 if truth else 0.0
    test = {**POSITIVE, "given": ["z"]}
    return World(study_of(_held(rng, n, left), test, measures=XYZ), left)


def given_groups(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """The same with three covers, whose means make the link without a link inside them."""
    left, cover = (0.8 if truth else 0.0), np.arange(n) % (2 if n < 8 else 3)
    x = rng.normal(0, 1, n)
    y = left * x + np.sqrt(1 - left**2) * rng.normal(0, 1, n)
    frame = pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "cover": [f"C{c}" for c in cover],
                          "x": x + 3 * cover, "y": y + 3 * cover})  # fmt: skip
    return World(study_of(frame, {**POSITIVE, "given": ["cover"]}, measures=XY), left)


def given_strong(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """"Strongly, whatever z": 0.9 is left, or just 0.5."""
    left = 0.9 if truth else 0.5
    test = {**POSITIVE, "strong": True, "given": ["z"]}
    return World(study_of(_held(rng, n, left), test, measures=XYZ), left)


def _in_blocks(rng: Rng, n: int, means: list[float], sds: list[float]) -> pd.DataFrame:
    """n balls under every condition: each ball its own level, each condition its own scatter."""
    level = rng.normal(0, 3, n)
    rows = [(f"B{i}", f"g{g}", level[i] + mean + rng.normal(0, sd))
            for g, (mean, sd) in enumerate(zip(means, sds, strict=True))
            for i in range(n)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "oil", "y"])


def ranking_blocks_first(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Four oils, the same n balls on each; false: the first is level with one other."""
    lead = 2.0 if truth else 0.0
    frame = _in_blocks(rng, n, [lead, 0.0, -1.0, -3.0], [1.0, 1.6, 0.3, 1.0])
    test = {"kind": "ranking", "measure": "y", "by": "oil", "first": "g0", "within": "ball"}
    return World(study_of(frame, test, measures=ONE), lead)


def ranking_blocks_order(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Three in order, of the same balls; false: the last two are level."""
    gap = 2.0 if truth else 0.0
    frame = _in_blocks(rng, n, [4.0, 2.0, 2.0 - gap], [1.0, 1.6, 0.3])
    test = {"kind": "ranking", "measure": "y", "by": "oil", "order": ["g0", "g1", "g2"],
            "within": "ball"}  # fmt: skip
    return World(study_of(frame, test, measures=ONE), gap)


def ranking_blocks_same(rng: Rng, n: int, truth: bool, shared: float) -> World:
    """Four alike, of the same balls; false: the outer two just as far apart as matters."""
    gap = 0.0 if truth else 2.0
    frame = _in_blocks(rng, n, [gap / 2, 0.0, 0.0, -gap / 2], [0.8, 1.0, 0.3, 0.8])
    test = {"kind": "ranking", "measure": "y", "by": "oil", "same": 2.0, "within": "ball"}
    return World(study_of(frame, test, measures=ONE), gap)


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
    "tracks-within, a series in order": tracks_in_order,
    "tracks-within, balls in turn": tracks_in_turn,
    "no-association within, behind a drift": none_within,
    "association, models": between_models,
    "change, models": change_of_models,
    "association, unequal use": unequal_use,
    "association, change and own start": own_start,
    "limit, repeats nobody declared": limit_of_repeats,
    "limit, all balls at it": limit_at_the_edge,
    "no-change, balls that moved": items_moved,
    "no-change, narrow margin": narrow,
    "break-in, straight line": straight,
    "break-in, overshoot": overshot,
    "trend, one jump": step,
    "mean-is, about": mean_is,
    "mean-is, at least": mean_at_least,
    "ranking, first": ranking_first,
    "ranking, order": ranking_order,
    "ranking, same": ranking_same,
    "spread, of items’ own readings": spread_inside,
    "spread, between items": spread_between,
    "spread, the same items twice": spread_paired,
    "share-of-items, most": share_most,
    "share-of-items, every": share_every,
    "no-worse": no_worse,
    "settles": settles,
    "crossing": crossing,
    "population-limit": population_limit,
    "agreement": agreement,
    "steps": steps,
    "since": since,
    "since, a drift": since_drift,
    "since, nothing there": since_nothing,
    "no-difference, groups": same_groups,
    "no-difference, two gauges": same_gauges,
    "rate-difference, at least": rates_at_least,
    "rate-difference, unrelated": rates_alike,
    "rate-difference, odds ratio": rates_odds,
    "trend, at least": trend_at_least,
    "trend, about": trend_about,
    "limit, two sides": limit_two_sides,
    "association, a number held alike": given_number,
    "association, groups held alike": given_groups,
    "association, strong, a number held alike": given_strong,
    "ranking, first, the same balls": ranking_blocks_first,
    "ranking, order, the same balls": ranking_blocks_order,
    "ranking, same, the same balls": ranking_blocks_same,
    "share-of-items, most, at least": share_by_size,
    "share-of-items, every, at least": every_by_size,
}
#: The kinds whose worlds have checkpoints, where an error can be shared by all items.
SHARED = ("change", "no-change", "tracks-within", "same-line", "break-in")
#: No promise is kept here: nothing in the numbers of four or six balls tells two strange ones from
#: a link.  How often they are seen through is counted all the same.
STRESS: Mapping[str, Callable[[Rng, int, bool, float], World]] = {"association, twins": twins}
