"""Worlds in which each second look, and each rule of rates and averages, must keep its promise.

As in ``worlds.py``: the truth is known, and the false worlds are those that would lead a careless
method astray.  ``python tests/calibration/designs.py --draws 1000`` prints the rows of results.md.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pandas as pd

from explainer.claims.judge import verdicts_of
from explainer.study.description.study import Description, Settings
from explainer.study.model import Study, Table, Workspace
from explainer.study.thresholds import thresholds

SIZES = (4, 6, 8, 20)
SEED = 733
Rng = np.random.Generator
Y: Mapping[str, object] = {"unit": "board", "matters_from": 1.0}


def study_of(
    frames: Mapping[str, pd.DataFrame], tests: list[Mapping[str, object]], *,
    item: str = "ball", use: str | None = None, measures: Mapping[str, Mapping[str, object]],
    tables: Mapping[str, Mapping[str, object]] | None = None,
) -> Study:  # fmt: skip
    """A study in memory; ``tables`` holds fields of a table that its reader would have set."""
    description = Description.model_validate({
        "title": "A world", "question": "Is it so?", "invented": True, "tested": {"each": item},
        "measures": measures, "tables": {name: {"file": f"{name}.csv"} for name in frames},
        "use": {"column": use} if use else None,
        "claims": [{"id": f"c{i}", "report_says": "It is so.", "key": i == 0, "test": test}
                   for i, test in enumerate(tests)],
    })  # fmt: skip
    read = {}
    for name, frame in frames.items():
        here = use if use in frame else None
        read[name] = Table(
            name=name, file=f"{name}.csv", frame=frame, item=item, use=here, group=None,
            order=None, measures=tuple(m for m in measures if m in frame),
            checkpoints=tuple(sorted(frame[here].unique().tolist())) if here else (),
            items=tuple(dict.fromkeys(frame[item])),
        )  # fmt: skip
        read[name] = replace(read[name], **dict((tables or {}).get(name, {})))
    workspace = Workspace(Path("."), Settings(), (), ())
    return Study("world", Path("."), workspace, description, read, {})


RATE = {"kind": "rate-difference", "successes": "made", "attempts": "tried", "by": "oil",
        "a": "a", "b": "b", "direction": "higher"}  # fmt: skip


def rates_unequal(rng: Rng, n: int, truth: bool) -> Study:
    """From one attempt to a hundred; each bowler has a gap of their own."""
    size, rows = 0.15 if truth else 0.0, []
    for i in range(n):
        base, mine = rng.uniform(0.35, 0.6), rng.normal(size, 0.05)
        for name, rate in (("a", base + mine), ("b", base)):
            tried = int(rng.choice([1, 2, 5, 20, 60, 100]))
            rows.append((f"W{i}", name, rng.binomial(tried, np.clip(rate, 0.02, 0.98)), tried))
    frame = pd.DataFrame(rows, columns=["bowler", "oil", "made", "tried"])
    return study_of({"t": frame}, [{**RATE, "within": "bowler"}], item="bowler", measures={})


def rates_people(rng: Rng, n: int, truth: bool) -> Study:
    """Ten times n people on either side, each once."""
    m, size = 10 * n, 0.2 if truth else 0.0
    rows = [(f"P{o}{i}", o, float(rng.random() < p), 1.0)
            for o, p in (("a", 0.4 + size), ("b", 0.4)) for i in range(m)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["person", "oil", "made", "tried"])
    return study_of({"t": frame}, [RATE], item="person", measures={})


def rates_strata(rng: Rng, n: int, truth: bool) -> Study:
    """n departments with rates of their own; most of a go where the rate is high."""
    size, rows = 0.15 if truth else 0.0, []
    for k in range(n):
        base = 0.2 + 0.5 * k / max(1, n - 1)
        for name, m in (("a", int(20 + 60 * base)), ("b", int(80 - 60 * base))):
            rate = base + (size if name == "a" else 0)
            rows.append(("counted", f"D{k}", name, float(rng.binomial(m, rate)), float(m)))
    frame = pd.DataFrame(rows, columns=["person", "part", "oil", "made", "tried"])
    return study_of({"t": frame}, [{**RATE, "within": "part"}], item="person", measures={},
                    tables={"t": {"counted": True}})  # fmt: skip


def walk(rng: Rng, n: int, rise: float, own: float = 1.0, uses: tuple[float, ...] = (0, 10, 20),
         level: float = 10.0, noise: float = 0.3, shared: float = 0.0) -> pd.DataFrame:  # fmt: skip
    """y of n balls over three checkpoints: each its own rise, and an error shared by all."""
    day = rng.normal(0, shared, len(uses)) if shared else np.zeros(len(uses))
    rows = []
    for i in range(n):
        start, mine = rng.normal(level, 2), rng.normal(rise, own)
        rows += [(f"B{i}", u, start + mine * u / uses[-1] + day[k] + rng.normal(0, noise))
                 for k, u in enumerate(uses)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "y"])


UP = {"kind": "change", "measure": "y", "from": 0, "to": 20, "direction": "up"}
SAME = {"kind": "no-change", "measure": "y", "from": 0, "to": 20}


def cut_off(rng: Rng, n: int, truth: bool) -> Study:
    """A gauge that ends at 12: balls that start near it and rise by all that matters."""
    frame = walk(rng, n, 0.0 if truth else 1.0, own=0.3, level=9.0 if truth else 12.0)
    frame["y"] = frame["y"].clip(upper=12.0 if not truth else 20.0)
    top = 20.0 if truth else 12.0
    return study_of({"t": frame}, [SAME], use="games", measures={"y": {**Y, "highest": top}})


def dropouts(rng: Rng, n: int, truth: bool) -> Study:
    """Balls that had fallen by the middle leave (false), or a quarter by chance (true)."""
    frame = walk(rng, n, 1.5 if truth else 0.0, own=1.0)
    wide = frame.pivot_table(index="ball", columns="games", values="y")
    fell = wide[10] - wide[0] < -0.25
    left = set(wide.index[fell]) if not truth else set(
        rng.choice(wide.index.to_numpy(), n // 4, replace=False))  # fmt: skip
    frame = frame[~(frame["ball"].isin(left) & (frame["games"] == 20))]
    return study_of({"t": frame}, [UP], use="games", measures={"y": Y})


def confounded(rng: Rng, n: int, truth: bool) -> Study:
    """One operator at each checkpoint, who read apart (false) or alike (true); a gauge check."""
    bias = 0.0 if truth else abs(rng.normal(0, 1.0))
    frame = walk(rng, n, 2.0 if truth else 0.0, own=0.5)
    frame["operator"] = np.where(frame["games"] == 20, "Bea", "Ann")
    frame.loc[frame["games"] == 20, "y"] += bias
    check = pd.DataFrame(
        [(f"G{i}", o, again, part + (bias if o == "Bea" else 0.0) + rng.normal(0, 0.3))
         for i, part in enumerate(rng.normal(10, 2, 8))
         for o in ("Ann", "Bea") for again in (1.0, 2.0)],
        columns=["ball", "operator", "again", "y"],
    )  # fmt: skip
    gauge = {"kind": "repeatability", "table": "gauge", "measure": "y", "operator": "operator",
             "repeat": "again"}  # fmt: skip
    return study_of({"t": frame, "gauge": check}, [{**UP, "table": "t"}, gauge], use="games",
                    measures={"y": Y})  # fmt: skip


def chosen(rng: Rng, n: int, truth: bool) -> Study:
    """The highest third of 3n balls, read again: nothing moved (false), or all fell by 6."""
    true = rng.normal(50, 3, 3 * n)
    first = true + rng.normal(0, 2, 3 * n)
    top = np.argsort(first)[-n:]
    rows = [(f"B{i}", 0.0, y) for i, y in enumerate(first)]
    rows += [(f"B{i}", 20.0, true[i] - (6.0 if truth else 0.0) + rng.normal(0, 2)) for i in top]
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    return study_of({"t": frame}, [{**UP, "direction": "down"}], use="games",
                    measures={"y": {"unit": "board", "repeatability_sd": 2.0}})  # fmt: skip


def chosen_rates(rng: Rng, n: int, truth: bool) -> Study:
    """The third of 3n bowlers with the fewest strikes coached: nothing moved, or by 20 points."""
    skill = rng.normal(0.4, 0.06, 3 * n).clip(0.05, 0.95)
    first = rng.binomial(40, skill)
    low = set(np.argsort(first)[:n].tolist())
    then = rng.binomial(40, [p + (0.2 if truth and i in low else 0) for i, p in enumerate(skill)])
    rows = [(f"W{i}", when, "coached" if i in low else "rest", float(made[i]), 40.0)
            for when, made in (("before", first), ("after", then))
            for i in range(3 * n)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["bowler", "when", "part", "made", "tried"])
    test = {"kind": "rate-difference", "successes": "made", "attempts": "tried", "by": "when",
            "a": "after", "b": "before", "within": "bowler", "direction": "higher",
            "only": {"part": "coached"}}  # fmt: skip
    return study_of({"t": frame}, [test], item="bowler", measures={},
                    tables={"t": {"chosen_by": "made", "chosen_only": {"part": "coached"}}},
                    )  # fmt: skip


def in_turn(rng: Rng, n: int, truth: bool) -> Study:
    """Three of four balls had the short oil first, and all read less the second time: by nothing of
    the oil's, or by a board and a half of it."""
    gap, rows = 1.5 if truth else 0.0, []
    first = max(2, n - max(2, n // 4))
    for i in range(n):
        level = rng.normal(10, 2)
        for turn, oil in enumerate(("short", "long") if i < first else ("long", "short")):
            y = level - 1.5 * turn + gap * (oil == "short") + rng.normal(0, 0.6)
            rows.append((f"B{i}", oil, float(turn + 1), y))
    frame = pd.DataFrame(rows, columns=["ball", "oil", "turn", "y"])
    test = {"kind": "difference", "measure": "y", "by": "oil", "a": "short", "b": "long",
            "within": "ball", "direction": "higher"}  # fmt: skip
    return study_of({"t": frame}, [test], measures={"y": Y}, tables={"t": {"order": "turn"}})


def averages(rng: Rng, n: int, truth: bool) -> Study:
    """Two groups of n; only mean, SD and n are printed. The second varies twice as much."""
    sides = [("a", rng.normal(1.5 if truth else 0.0, 0.7, n)), ("b", rng.normal(0, 1.4, n))]
    rows = [("average", name, float(v.mean()), float(v.std(ddof=1))) for name, v in sides]
    frame = pd.DataFrame(rows, columns=["ball", "life", "y", "spread"])
    test = {"kind": "difference", "measure": "y", "by": "life", "a": "a", "b": "b",
            "direction": "higher"}  # fmt: skip
    return study_of({"t": frame}, [test], measures={"y": {"unit": "board"}},
                    tables={"t": {"mean_of": n, "sd_column": "spread"}})  # fmt: skip


def averages_paired(rng: Rng, n: int, truth: bool) -> Study:
    """The same n balls before and after; how alike a ball's two readings are is not printed."""
    rho = float(rng.choice([0.0, 0.3, 0.6, 0.9]))
    first, more = rng.normal(0, 1, n), rng.normal(0, 1, n)
    then = (1.5 if truth else 0.0) + rho * first + np.sqrt(1 - rho**2) * more
    rows = [("average", name, float(v.mean()), float(v.std(ddof=1)))
            for name, v in (("after", then), ("before", first))]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "life", "y", "spread"])
    test = {"kind": "difference", "measure": "y", "by": "life", "a": "after", "b": "before",
            "direction": "higher", "within": "ball"}  # fmt: skip
    return study_of({"t": frame}, [test], measures={"y": {"unit": "board"}},
                    tables={"t": {"mean_of": n, "sd_column": "spread"}})  # fmt: skip


def shared_change(rng: Rng, n: int, truth: bool) -> Study:
    """A gauge off for a day, by an error of known size."""
    frame = walk(rng, n, 2.5 if truth else 0.0, own=0.6, shared=0.5)
    return study_of({"t": frame}, [UP], use="games", measures={"y": {"unit": "board"}},
                    tables={"t": {"shared_sd": MappingProxyType({"y": 0.5})}})  # fmt: skip


def shared_break_in(rng: Rng, n: int, truth: bool) -> Study:
    """The same, where the share done by the middle is all of it, or right at 0.8."""
    frame = walk(rng, n, 0.0, own=0.3, noise=0.2, shared=0.5)
    share = 1.0 if truth else 0.8
    frame["y"] -= frame["games"].map({0.0: 0.0, 10.0: 12 * share, 20.0: 12.0})
    test = {"kind": "break-in", "measure": "y", "from": 0, "by": 10, "to": 20}
    return study_of({"t": frame}, [test], use="games", measures={"y": {"unit": "board"}},
                    tables={"t": {"shared_sd": MappingProxyType({"y": 0.5})}})  # fmt: skip


def reference(rng: Rng, n: int, truth: bool) -> Study:
    """A gauge off for a day, and one ball that does not change read four times on each."""
    day = rng.normal(0, 0.5, 3)
    frame = walk(rng, n, 1.2 if truth else 0.0, own=0.6)
    off = dict(zip((0.0, 10.0, 20.0), day, strict=True))
    still = pd.DataFrame([("R", u, 10 + rng.normal(0, 0.3)) for u in off for _ in range(4)],
                         columns=["ball", "games", "y"])  # fmt: skip
    frame = pd.concat([frame, still], ignore_index=True)
    frame["y"] += frame["games"].map(off)
    return study_of({"t": frame}, [UP], use="games",
                    measures={"y": {"unit": "board", "repeatability_sd": 0.3}},
                    tables={"t": {"reference": "R"}})  # fmt: skip


def reference_break_in(rng: Rng, n: int, truth: bool) -> Study:
    """The same for a share: all of a fall of 12 by the middle, or right at 0.8 of it."""
    off = dict(zip((0.0, 10.0, 20.0), rng.normal(0, 0.5, 3), strict=True))
    frame, share = walk(rng, n, 0.0, own=0.3, noise=0.2), 1.0 if truth else 0.8
    frame["y"] -= frame["games"].map({0.0: 0.0, 10.0: 12 * share, 20.0: 12.0})
    still = pd.DataFrame([("R", u, 10 + rng.normal(0, 0.3)) for u in off for _ in range(4)],
                         columns=["ball", "games", "y"])  # fmt: skip
    frame = pd.concat([frame, still], ignore_index=True)
    frame["y"] += frame["games"].map(off)
    test = {"kind": "break-in", "measure": "y", "from": 0, "by": 10, "to": 20}
    return study_of({"t": frame}, [test], use="games",
                    measures={"y": {"unit": "board", "repeatability_sd": 0.3}},
                    tables={"t": {"reference": "R"}})  # fmt: skip


def _off(rng: Rng, n: int, rise: float, test: Mapping[str, object], own: float = 0.6,
         steps: tuple[float, ...] = (0, 10, 20), noise: float = 0.3) -> Study:  # fmt: skip
    """A gauge off by 0.5 at each checkpoint, which the study declares."""
    frame = walk(rng, n, rise, own=own, uses=steps, noise=noise, shared=0.5)
    return of_off(frame, test)


def of_off(frame: pd.DataFrame, test: Mapping[str, object]) -> Study:
    return study_of({"t": frame}, [test], use="games",
                    measures={"y": {"unit": "board", "repeatability_sd": 0.3}},
                    tables={"t": {"shared_sd": MappingProxyType({"y": 0.5})}})  # fmt: skip


def shared_no_worse(rng: Rng, n: int, truth: bool) -> Study:
    """Level, or worse by just what matters."""
    return _off(rng, n, 0.0 if truth else 2.5, {
        "kind": "no-worse", "measure": "y", "from": 0, "to": 20, "worse": "up", "margin": 2.5})


def shared_same(rng: Rng, n: int, truth: bool) -> Study:
    """The same balls at two checkpoints: alike, or as far apart as counts."""
    return _off(rng, n, 0.0 if truth else 2.5, {
        "kind": "no-difference", "measure": "y", "by": "games", "a": 20, "b": 0, "margin": 2.5})


def shared_trend(rng: Rng, n: int, truth: bool) -> Study:
    """A drift over six checkpoints, or none."""
    return _off(rng, n, 2.5 if truth else 0.0, {
        "kind": "trend", "measure": "y", "over": "games", "direction": "up"},
        steps=(0, 10, 20, 30, 45, 60))  # fmt: skip


def shared_every(rng: Rng, n: int, truth: bool) -> Study:
    """All rise by more than the gauge and its day can mistake, or one of them not at all."""
    frame = walk(rng, n, 4.5, own=0.0, noise=0.3, shared=0.5)
    if not truth:
        frame.loc[(frame["ball"] == "B0") & (frame["games"] == 20), "y"] -= 4.5
    return of_off(frame, {"kind": "share-of-items", "measure": "y", "from": 0, "to": 20,
                          "direction": "up", "share": "every"})  # fmt: skip


def shared_settles(rng: Rng, n: int, truth: bool) -> Study:
    """Eight boards by game 10 and no more, or just what would matter besides."""
    frame = walk(rng, n, 0.0, own=0.4, shared=0.5)
    frame["y"] -= frame["games"].map({0.0: 0.0, 10.0: 8.0, 20.0: 8.0 if truth else 10.5})
    return of_off(frame, {"kind": "settles", "measure": "y", "from": 0, "by": 10, "to": 20,
                          "direction": "down", "margin": 2.5})  # fmt: skip


def shared_since(rng: Rng, n: int, truth: bool) -> Study:
    """A jump at game 30; or none, but for days on which the gauge was off."""
    uses = tuple(float(u) for u in range(0, 65, 5))
    frame = walk(rng, n, 0.0, own=0.3, uses=uses, shared=0.5)
    if truth:
        frame.loc[frame["games"] >= 30, "y"] -= 4.0
    return of_off(frame, {"kind": "since", "measure": "y", "over": "games", "since": 30,
                          "within": 5, "direction": "down"})  # fmt: skip


def shared_mean(rng: Rng, n: int, truth: bool) -> Study:
    """At least 8 at the last checkpoint: ten in truth, or right at 8."""
    return _off(rng, n, 0.0 if truth else -2.0, {
        "kind": "mean-is", "measure": "y", "at_least": 8.0, "at": 20})


def shared_limit(rng: Rng, n: int, truth: bool) -> Study:
    """All well inside at the last checkpoint; or one a hair short, on a day the gauge was off."""
    frame = walk(rng, n, 0.0, own=0.0, level=16.0, shared=0.5)
    if not truth:
        frame.loc[frame["ball"] == "B0", "y"] = 8.0 - 1e-9 + rng.normal(0, 0.5) + rng.normal(0, 0.3)
    return of_off(frame, {"kind": "limit", "measure": "y", "at_least": 8.0})


def shared_population(rng: Rng, n: int, truth: bool) -> Study:
    """95 of 100 meet it with room to spare, or just so many, on a day the gauge was off."""
    edge = 10.0 - 1.6448536 * np.hypot(2.0, 0.3)
    limit = float(edge - 8.0 if truth else edge)
    return _off(rng, n, 0.0, {"kind": "population-limit", "measure": "y", "at_least": limit,
                              "share": 0.95}, own=0.0)  # fmt: skip


def unequal_stretches(rng: Rng, n: int, truth: bool) -> Study:
    """n balls a side that wear alike, one side read up to 60 games and the other up to 20."""
    sides = []
    for side, until in (("a", 60.0), ("b", 20.0)):
        frame = walk(rng, n, -6.0, own=0.5, uses=(0, 10, 20, 40, 60), level=12.0, noise=0.2)
        frame["ball"] += side
        frame["y"] -= 4.0 if truth and side == "a" else 0.0
        sides.append(frame[frame["games"] <= until].assign(oil=side))
    test = {"kind": "difference", "measure": "y", "by": "oil", "a": "a", "b": "b",
            "direction": "lower"}  # fmt: skip
    return study_of({"t": pd.concat(sides, ignore_index=True)}, [test], use="games",
                    measures={"y": {"unit": "board"}})  # fmt: skip


def unequal_series(rng: Rng, n: int, truth: bool) -> Study:
    """The same along shots: thirty throws of each ball on one side, twelve on the other."""
    rows = []
    for side, many in (("a", 30), ("b", 12)):
        for i in range(n):
            start = rng.normal(10.0 - (2.5 if truth and side == "a" else 0.0), 0.8)
            rows += [(f"{side}{i}", side, float(k), start - 0.08 * k + rng.normal(0, 0.5))
                     for k in range(many)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "oil", "shot", "y"])
    test = {"kind": "difference", "measure": "y", "by": "oil", "a": "a", "b": "b",
            "direction": "lower"}  # fmt: skip
    return study_of({"t": frame}, [test], measures={"y": {"unit": "board"}},
                    tables={"t": {"order": "shot"}})  # fmt: skip


def models_trend(rng: Rng, n: int, truth: bool) -> Study:
    """Three quarters of the balls fall; the others, of another model, fall too (false: rise)."""
    rows = []
    for ball, model in models(n):
        start, fall = rng.normal(20, 2), rng.normal(-4 if truth or model == "P" else 4, 0.5)
        rows += [(ball, model, float(u), start + fall * u / 50 + rng.normal(0, 0.3))
                 for u in range(0, 60, 10)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y"])
    return of_models(frame, {"kind": "trend", "measure": "y", "over": "games",
                             "direction": "down"}, "games")  # fmt: skip


def dropouts_windows(rng: Rng, n: int, truth: bool) -> Study:
    """Shots 1 to 10 against 51 to 60: those that fell stop at 30 (false), or a quarter does."""
    rows = []
    for i in range(2 * n):
        start, mine = rng.normal(10, 1), rng.normal(1.5 if truth else 0.0, 1.0)
        leaves = mine < 0 if not truth else i < n // 2
        rows += [(f"B{i}", float(k), start + mine * k / 60 + rng.normal(0, 0.2))
                 for k in range(1, 31 if leaves else 61)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "shot", "y"])
    test = {"kind": "change", "measure": "y", "from": (1, 10), "to": (51, 60), "direction": "up"}
    return study_of({"t": frame}, [test], measures={"y": {"unit": "board"}},
                    tables={"t": {"order": "shot"}})  # fmt: skip


ONE: Mapping[str, object] = {"unit": "board", "repeatability_sd": 0.5, "matters_from": 2.0}


def of_one(frame: pd.DataFrame, test: Mapping[str, object], **measures: object) -> Study:
    """A study whose claim is about the ball B0 alone, which the table marks as picked."""
    named = {"y": ONE, **measures}
    return study_of({"t": frame}, [{**test, "only": {"ball": "B0"}}], use="games",
                    measures=named)  # type: ignore[arg-type]  # fmt: skip


def one_break_in(rng: Rng, n: int, truth: bool) -> Study:
    """One ball that falls by 12, n readings at each checkpoint: all of it by the middle, or 0.8."""
    share = 1.0 if truth else 0.8
    level = {0.0: 30.0, 10.0: 30.0 - 12 * share, 20.0: 18.0}
    rows = [("B0", u, y + rng.normal(0, 0.5)) for u, y in level.items() for _ in range(n)]
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    return of_one(frame, {"kind": "break-in", "measure": "y", "from": 0, "by": 10, "to": 20})


def one_crossing(rng: Rng, n: int, truth: bool) -> Study:
    """One ball read n times on its way down past 20: after 30 games, or just past what counts."""
    uses = np.linspace(0.0, 60.0, n)
    when = 30.0 if truth else 50.01
    rows = [("B0", u, 20.0 + 0.1 * (when - u) + rng.normal(0, 0.5)) for u in uses]
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"])
    return of_one(frame, {"kind": "crossing", "measure": "y", "limit": 20, "over": "games",
                          "after": 30, "within": 20})  # fmt: skip


def one_tracks(rng: Rng, n: int, truth: bool) -> Study:
    """One ball read 2n times: y follows x, or both only drift, each with a wander of its own."""
    uses = np.arange(2.0 * n)
    x = 60.0 - 2.0 * uses + rng.normal(0, 3.0, len(uses))
    along = 0.3 * x if truth else 20.0 - 0.6 * uses
    y = along + rng.normal(0, 0.4, len(uses)) + rng.normal(0, 0.5, len(uses))
    frame = pd.DataFrame({"ball": "B0", "games": uses, "x": x, "y": y})
    test = {"kind": "tracks-within", "x": "x", "y": "y", "direction": "positive"}
    return of_one(frame, test, x={"unit": "microinch", "repeatability_sd": 0.3})


def models(n: int) -> list[tuple[str, str]]:
    """n balls: three quarters of one model, the others of another."""
    return [(f"B{i}", "P" if i < 3 * n // 4 else "T") for i in range(n)]


def of_models(frame: pd.DataFrame, test: Mapping[str, object], use: str | None) -> Study:
    measures = {"y": {"unit": "board"}, "x": {"unit": "microinch"}}
    return study_of({"t": frame}, [test], use=use, tables={"t": {"group": "model"}},
                    measures={k: v for k, v in measures.items() if k in frame})  # fmt: skip


def models_break_in(rng: Rng, n: int, truth: bool) -> Study:
    """Shares of 0.95 and 0.9 by the middle; false: 0.9 and 0.7, a mean right at the mark."""
    shares = {"P": 0.95, "T": 0.9} if truth else {"P": 0.9, "T": 0.7}
    rows = [(b, m, u, 30 + rng.normal(0, 0.2) - 12 * {0.0: 0.0, 10.0: shares[m], 20.0: 1.0}[u])
            for b, m in models(n) for u in (0.0, 10.0, 20.0)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y"])
    return of_models(frame, {"kind": "break-in", "measure": "y", "from": 0, "by": 10, "to": 20},
                     "games")  # fmt: skip


def models_difference(rng: Rng, n: int, truth: bool) -> Study:
    """n balls on each side, models six apart and mixed the other way: a gap of 2, or none."""
    rows = []
    for side, gap in (("a", 2.0 if truth else 0.0), ("b", 0.0)):
        for i, (_, model) in enumerate(models(n)):
            mine = model if side == "a" else {"P": "T", "T": "P"}[model]
            y = (6.0 if mine == "P" else 0.0) + gap + rng.normal(0, 0.7)
            rows.append((f"{side}{i}", mine, side, y))
    frame = pd.DataFrame(rows, columns=["ball", "model", "oil", "y"])
    return of_models(frame, {"kind": "difference", "measure": "y", "by": "oil", "a": "a", "b": "b",
                             "direction": "higher"}, None)  # fmt: skip


def models_tracks(rng: Rng, n: int, truth: bool) -> Study:
    """y follows x by 0.3 and 0.2; false: by 0.3 in the one model and the other way in the other."""
    slope = {"P": 0.3, "T": 0.2 if truth else -0.3}
    rows = []
    for ball, model in models(n):
        mine, start = slope[model] + rng.normal(0, 0.03), rng.normal(20, 2)
        for u in range(6):
            x = 60 - 3.0 * u + rng.normal(0, 2)
            rows.append((ball, model, float(u), x, start + mine * (x - 50) + rng.normal(0, 0.3)))
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "x", "y"])
    return of_models(frame, {"kind": "tracks-within", "x": "x", "y": "y", "direction": "positive"},
                     "games")  # fmt: skip


def in_turn_rates(rng: Rng, n: int, truth: bool) -> Study:
    """The same of strikes: forty shots each way, of which 15 in 100 fewer fall the second time; by
    nothing of the oil's, or by 20 in 100 of it."""
    gap, rows = 0.2 if truth else 0.0, []
    first = max(2, n - max(2, n // 4))
    for i in range(n):
        skill = rng.uniform(0.35, 0.55)
        for turn, oil in enumerate(("short", "long") if i < first else ("long", "short")):
            p = skill - 0.15 * turn + gap * (oil == "short") + rng.normal(0, 0.03)
            rows.append((f"W{i}", oil, float(turn + 1), float(rng.binomial(40, p)), 40.0))
    frame = pd.DataFrame(rows, columns=["bowler", "oil", "turn", "made", "tried"])
    test = {**RATE, "a": "short", "b": "long", "within": "bowler"}
    return study_of({"t": frame}, [test], item="bowler", measures={},
                    tables={"t": {"order": "turn"}})  # fmt: skip


def _on_two(rng: Rng, n: int, rise: float) -> pd.DataFrame:
    """n balls that rise by ``rise``, each in its own way, on a gauge that shows 8 or 12 and nothing
    else, each reading taken five times."""
    frame = walk(rng, n, rise, own=0.5, uses=(0, 20))
    frame = frame.loc[frame.index.repeat(5)].reset_index(drop=True)
    seen = frame["y"] + rng.normal(0, 0.3, len(frame))
    return frame.assign(y=np.where(seen < 10.0, 8.0, 12.0))


def two_values_steady(rng: Rng, n: int, truth: bool) -> Study:
    """Nothing moved, on a gauge that shows all there is; or all by just what matters, on one that
    shows two values, so that most balls read the same again."""
    frame = walk(rng, n, 0.0, own=0.3, uses=(0, 20)) if truth else _on_two(rng, n, 1.0)
    return study_of({"t": frame}, [SAME], use="games", measures={"y": Y})


def two_values_change(rng: Rng, n: int, truth: bool) -> Study:
    """On two values: nothing moved; or all by four, of which the gauge shows a part."""
    frame = _on_two(rng, n, 4.0 if truth else 0.0)
    return study_of({"t": frame}, [UP], use="games", measures={"y": Y})


def two_values_difference(rng: Rng, n: int, truth: bool) -> Study:
    """2n balls, half of either model, read once on two values: four apart, or not at all."""
    rows = []
    for i in range(2 * n):
        real = rng.normal(12.0 if truth and i < n else 8.0, 2.0)
        rows.append((f"B{i}", "a" if i < n else "b", 8.0 if real < 10.0 else 12.0))
    frame = pd.DataFrame(rows, columns=["ball", "model", "y"])
    test = {"kind": "difference", "measure": "y", "by": "model", "a": "a", "b": "b",
            "direction": "higher"}  # fmt: skip
    return study_of({"t": frame}, [test], measures={"y": Y})


WORLDS: Mapping[str, Callable[[Rng, int, bool], Study]] = {
    "rates, 1 to 100 attempts": rates_unequal,
    "rates, different people": rates_people,
    "rates, strata": rates_strata,
    "printed averages": averages,
    "cut off, no-change": cut_off,
    "dropouts, change": dropouts,
    "confounded, change": confounded,
    "chosen, change": chosen,
    "shared error declared, change": shared_change,
    "shared error declared, break-in": shared_break_in,
    "reference ball, change": reference,
    "one ball, break-in": one_break_in,
    "one ball, crossing": one_crossing,
    "one ball, tracks-within": one_tracks,
    "unequal models, break-in": models_break_in,
    "unequal models, difference": models_difference,
    "unequal models, tracks-within": models_tracks,
    "printed averages, the same balls": averages_paired,
    "reference ball, break-in": reference_break_in,
    "shared error declared, no-worse": shared_no_worse,
    "shared error declared, no-difference": shared_same,
    "shared error declared, trend": shared_trend,
    "shared error declared, share-of-items": shared_every,
    "shared error declared, settles": shared_settles,
    "shared error declared, since": shared_since,
    "shared error declared, mean-is": shared_mean,
    "shared error declared, limit": shared_limit,
    "shared error declared, population-limit": shared_population,
    "unequal stretches, difference": unequal_stretches,
    "unequal series, difference": unequal_series,
    "models apart, trend": models_trend,
    "dropouts between windows, change": dropouts_windows,
    "chosen, rates": chosen_rates,
    "two conditions in turn, difference": in_turn,
    "two conditions in turn, rates": in_turn_rates,
    "two values, no-change": two_values_steady,
    "two values, change": two_values_change,
    "two values, difference": two_values_difference,
}


def tally(kind: str, n: int, draws: int) -> dict[str, int]:
    """Verdicts on ``draws`` true and ``draws`` false worlds: how many of each."""
    rng = np.random.default_rng([SEED, n, list(WORLDS).index(kind)])
    counts = dict.fromkeys(("false backed", "true backed", "true against", "true open"), 0)
    for truth in (True, False):
        for _ in range(draws):
            study = WORLDS[kind](rng, n, truth)
            code = verdicts_of(study, thresholds(study.description))[0].code
            if truth:
                name = code if code in ("backed", "against") else "open"
                counts[f"true {name}"] += code != "leans"
            else:
                counts["false backed"] += code == "backed"
    return counts


def row(job: tuple[str, int, int]) -> str:
    """One row of the table, as Markdown."""
    kind, n, draws = job
    c = {name: 100 * count / draws for name, count in tally(*job).items()}
    return (f"| {kind} | {n} | {c['false backed']:.1f}% | {c['true against']:.1f}% | "
            f"{c['true backed']:.0f}% | {c['true open']:.0f}% |")  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=1000)
    parser.add_argument("--only", default="", help="designs whose name contains this")
    asked = parser.parse_args()
    draws = asked.draws
    print("| design | items | backed though false | against though true | backed when true | "
          "can't tell when true |\n| --- | --- | --- | --- | --- | --- |")  # fmt: skip
    with ProcessPoolExecutor(2) as pool:
        for line in pool.map(row, [
            (kind, n, draws) for kind in WORLDS if asked.only in kind for n in SIZES
        ]):
            print(line, flush=True)


if __name__ == "__main__":
    main()
