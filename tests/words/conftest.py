"""A small invented study made by hand, and verdicts of every kind, code and reason for it.

The numbers are ours: they only have to be possible ones for the verdict they stand under.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest

from explainer.claims.detail import Detail, made as recorded
from explainer.claims.kinds import KINDS
from explainer.claims.verdict import Judgement, Power, Strip, Verdict
from explainer.study.description.study import Description, Settings
from explainer.study.model import Study, Table, Workspace

HOME = Path(__file__).resolve().parents[2]
BALLS = ("P1", "P2", "P3", "P4", "T1", "T2", "T3", "T4")

TESTS: dict[str, dict[str, Any]] = {
    "change": {"measure": "texture", "from": 0, "to": 60, "direction": "down"},
    "no-change": {"measure": "hardness", "from": 0, "to": 60},
    "difference": {"measure": "texture", "by": "model", "a": "Plover", "b": "Teasel",
                   "direction": "higher"},
    "difference-in-change": {"measure": "texture", "from": 0, "to": 60, "by": "model",
                             "a": "Plover", "b": "Teasel", "direction": "lower"},
    "association": {"x": "texture", "y": "hook", "direction": "positive"},
    "no-association": {"x": "hardness", "y": "hook", "margin": 0.5},
    "tracks-within": {"x": "texture", "y": "hook", "direction": "positive"},
    "same-line": {"x": "texture", "y": "hook"},
    "break-in": {"measure": "texture", "by": 10, "from": 0, "to": 60},
    "trend": {"measure": "hook", "over": "shot", "direction": "down"},
    "repeatability": {"measure": "texture", "operator": "operator", "repeat": "repeat"},
    "limit": {"measure": "texture", "at_least": 20},
    "rate-difference": {"successes": "strikes", "attempts": "tries", "by": "model",
                        "a": "Plover", "b": "Teasel", "within": "bowler", "direction": "higher"},
    "not-testable": {"because": "Fair is something a league decides."},
}  # fmt: skip

#: (estimate, low, high) by kind and verdict.
NUMBERS: dict[str, dict[str, tuple[float, float, float]]] = {
    "change": {"backed": (-21.4, -25.2, -17.6), "leans": (-8.1, -17.0, 0.8),
               "cannot-tell": (-2.2, -15.4, 11.0), "against": (12.3, 4.1, 20.5)},
    "no-change": {"backed": (0.06, -0.21, 0.33), "leans": (0.5, -0.2, 1.2),
                  "cannot-tell": (-0.4, -2.6, 1.8), "against": (3.1, 1.4, 4.8)},
    "difference": {"backed": (9.4, 3.1, 15.7), "leans": (5.2, -0.9, 11.3),
                   "cannot-tell": (1.1, -9.8, 12.0), "against": (-8.8, -14.1, -3.5)},
    "difference-in-change": {
        "backed": (-9.4, -15.7, -3.1), "leans": (-5.2, -11.3, 0.9),
        "cannot-tell": (-1.1, -12.0, 9.8), "against": (8.8, 3.5, 14.1),
    },
    "association": {"backed": (0.91, 0.57, 0.98), "leans": (0.62, -0.15, 0.93),
                    "cannot-tell": (0.21, -0.58, 0.80), "against": (-0.85, -0.97, -0.35)},
    "no-association": {"backed": (0.03, -0.31, 0.37), "leans": (0.2, -0.22, 0.55),
                       "cannot-tell": (0.12, -0.55, 0.69), "against": (0.9, 0.61, 0.98)},
    "tracks-within": {"backed": (0.081, 0.044, 0.118), "leans": (0.052, -0.008, 0.112),
                      "cannot-tell": (0.002, -0.049, 0.053), "against": (-0.07, -0.11, -0.03)},
    "same-line": {"backed": (0.98, 0.83, 1.2), "leans": (0.95, 0.6, 1.3),
                  "cannot-tell": (0.6, 0.1, 1.4), "against": (0.2, -0.1, 0.5)},
    "break-in": {"backed": (0.93, 0.84, 1.05), "leans": (0.9, 0.74, 1.1),
                 "cannot-tell": (0.7, 0.4, 1.1), "against": (0.41, 0.22, 0.62)},
    "trend": {"backed": (-0.021, -0.034, -0.008), "leans": (-0.012, -0.026, 0.002),
              "cannot-tell": (0.003, -0.02, 0.026), "against": (0.022, 0.008, 0.036)},
    "repeatability": {"backed": (6.2, 4.1, 9.1), "leans": (8.8, 6.0, 14.2),
                      "cannot-tell": (31.0, 9.0, 60.0), "against": (44.0, 34.0, 61.0)},
    "rate-difference": {"backed": (0.061, 0.018, 0.104), "leans": (0.04, -0.011, 0.091),
                        "cannot-tell": (0.008, -0.07, 0.086), "against": (-0.07, -0.11, -0.03)},
}  # fmt: skip

UNITS = {
    "change": "microinch", "no-change": "Shore D", "difference": "microinch",
    "difference-in-change": "microinch", "association": "r",
    "no-association": "r", "tracks-within": "board per microinch", "same-line": "share",
    "break-in": "share", "trend": "board per shot", "repeatability": "percent",
    "limit": "microinch", "rate-difference": "rate", "not-testable": "",
}  # fmt: skip

#: What the reasons of a verdict put into its detail.
REASON_DETAIL: dict[str, dict[str, Any]] = {
    "beyond-data": {"reaches": 100.0, "measured_from": 0.0, "measured_to": 60.0},
    "fragile": {"fragile_item": "T3"},
    "one-step": {"one_step_at": 10.0, "one_step_without": 0.1},
    "gauge-too-coarse": {"mdd": 4.2},
    "one-group": {"group_only": "Plover"},
    "mixture": {"flagged": [f"T1 {n}" for n in range(1, 13)]},
    "levels-disagree": {"slopes_differ": "differ"},
    "only-averages": {"mean_of": 5},
    "reading-error": {"reading_error": 0.5},
    "groups": {"n_groups": 2},
    "shared-part": {"shared_part": "start"},
    "items-moved": {"moved_items": ("T1", "T3")},
}

#: Where each claim of ``TESTS`` needs its range to lie.
ZONES: dict[str, tuple[float | None, float | None]] = {
    "change": (None, 0.0), "no-change": (-1.0, 1.0), "difference": (0.0, None),
    "difference-in-change": (None, 0.0), "association": (0.0, 1.0),
    "no-association": (-0.5, 0.5), "tracks-within": (0.0, None), "same-line": (0.8, 1.25),
    "break-in": (0.8, 1.25), "trend": (None, 0.0), "repeatability": (0.0, 10.0),
    "rate-difference": (0.0, None),
}  # fmt: skip

LABELS = {"change": ("smoother", "rougher"), "no-change": ("softer", "harder")}


def description(claims: list[dict[str, Any]], **more: Any) -> Description:
    return Description.model_validate({
        "title": "Does a sanded cover keep its bite?",
        "question": "Does a sanded ball go smooth, and does it then hook less?",
        "invented": True, "tested": {"each": "ball", "group": "model", "count": 8},
        "measures": {
            "texture": {"term": "cover roughness", "unit": "microinch", "matters_from": 6,
                        "more_is": "rougher", "less_is": "smoother"},
            "hardness": {"unit": "Shore D", "matters_from": 1, "more_is": "harder",
                         "less_is": "softer"},
            "hook": {"term": "total hook", "unit": "board", "matters_from": 1,
                     "more_is": "more hook", "less_is": "less hook"},
            "diameter": {"unit": "inch", "matters_from": 0.01},
        },
        "tables": {"checkpoints": {"file": "checkpoints.csv"}},
        "claims": claims, **more,
    })  # fmt: skip


def table() -> Table:
    frame = pd.DataFrame(
        [
            {"ball": ball, "model": "Plover" if ball[0] == "P" else "Teasel", "games": games,
             "texture": 70.0 + i - games / 3, "hardness": 75.0 + i / 10, "hook": 9.0 + i / 4,
             "diameter": 8.55}
            for i, ball in enumerate(BALLS)
            for games in (0.0, 10.0, 20.0, 30.0, 45.0, 60.0)
        ]
    )  # fmt: skip
    return Table(
        name="checkpoints", file="checkpoints.csv", frame=frame, item="ball", use="games",
        group="model", order="shot", measures=("texture", "hardness", "hook", "diameter"),
        checkpoints=(0.0, 10.0, 20.0, 30.0, 45.0, 60.0), items=BALLS, use_term="games rolled",
        use_unit="game",
    )  # fmt: skip


def study(claims: list[dict[str, Any]], **more: Any) -> Study:
    workspace = Workspace(HOME, Settings(), (HOME / "glossary",), (HOME / "templates",))
    return Study(
        id="made-by-hand", folder=HOME, workspace=workspace,
        description=description(claims, **more), tables={"checkpoints": table()}, sha256={},
    )  # fmt: skip


def claim(kind: str, id: str, **more: Any) -> dict[str, Any]:
    plain = {"id": id, "report_says": "The report's own sentence.", "plainly": "In plain words."}
    return {**plain, "test": {"kind": kind, **TESTS[kind], **more.pop("test", {})}, **more}


_WAYS = {"n_up": 2, "n_down": 6}
_LINK = {"x": "texture", "y": "hook", "slope_within": 0.002, "slope_between": 0.09,
         "slopes_differ": "cannot-tell", "margin": 0.5}  # fmt: skip
#: What the judges put into each kind's own record.
KIND_DETAIL: dict[str, dict[str, Any]] = {
    "change": {**_WAYS, "mean_from": 71.4, "mean_to": 50.1, "margin": 6.0},
    "no-change": {**_WAYS, "mean_from": 71.4, "mean_to": 50.1, "margin": 1.0},
    "difference": {"a": "Plover", "b": "Teasel", "mean_a": 70.1, "mean_b": 61.2, "n_a": 4,
                   "n_b": 4, "margin": 6.0, "paired": False},
    "difference-in-change": {"a": "Plover", "b": "Teasel", "change_a": -20.1, "change_b": -10.7,
                             "n_a": 4, "n_b": 4, "margin": 6.0},
    "association": {**_LINK, "slope": 0.09},
    "no-association": _LINK,
    "tracks-within": {**_LINK, "items_same_sign": 5},
    "same-line": {**_LINK, "items_same_sign": 5},
    "break-in": {"total_change": -21.0},
    "trend": _WAYS,
    "repeatability": {"n_operators": 3, "good_enough": 10.0, "mdd": 4.2, "repeats": 3, "ndc": 4.9},
    "rate-difference": {**_WAYS, "rate_a": 0.561, "rate_b": 0.5, "attempts": 960,
                        "pooled_difference": -0.02},
}  # fmt: skip


def _calls(code: str) -> dict[str, Any]:
    close, fail = ("too-close", "fail") if code != "backed" else ("pass", "pass")
    calls = ["pass"] * 6 + [close, fail if code == "against" else close]
    return {"guard": 2.5, "items": [{"item": b, "value": 20.0, "call": c, "p_conform": 0.5}
                                    for b, c in zip(BALLS, calls, strict=True)]}  # fmt: skip


def detail(kind: str, code: str, reasons: tuple[str, ...]) -> Detail:
    found = {**KIND_DETAIL.get(kind, {}), **(_calls(code) if kind == "limit" else {})}
    declared = {f.name for f in fields(KINDS[kind].detail)}
    for reason in reasons:
        found |= {k: v for k, v in REASON_DETAIL.get(reason, {}).items() if k in declared}
    if "fragile" in reasons:
        value = NUMBERS.get(kind, {}).get(code, (1.0,))[0]
        found["fragile_without"] = -0.2 * value
    return recorded(KINDS[kind].detail, found)


def _zone(test: Any, kind: str) -> tuple[float | None, float | None] | None:
    """Where the claim needs the range: as the judges have it, a size and a way told apart."""
    zone = ZONES.get(kind)
    size, way = getattr(test, "at_least", None), getattr(test, "direction", "")
    if kind == "limit" or (size is None and way == TESTS[kind].get("direction", "")):
        return zone
    return (size or 0.0, None) if way in ("up", "higher") else (None, -(size or 0.0))


def verdict(
    made: Study, id: str, code: str, reasons: tuple[str, ...] = (), *, bare: bool = False
) -> Verdict:
    """The verdict on a claim of ``made``; ``bare`` leaves out the range."""
    own = next(c for c in made.description.claims if c.id == id)
    test = own.all_tests[0]
    kind = test.kind
    numbers = NUMBERS.get(kind, {}).get(code)
    unit = UNITS[kind]
    value, low, high = numbers or (None, None, None)
    if bare:
        low = high = None
    less, more = LABELS.get(kind, ("", ""))
    zone = _zone(test, kind)
    strip = Strip(value, low, high, zone, None, 0.0, unit, less, more)
    if kind == "limit":
        strip = Strip(None, None, None, (20.0, None), (17.5, 22.5), None, unit, measured=(18.0, 41))
    return Verdict(
        claim=own, test=test, code=code, reasons=reasons,  # type: ignore[arg-type]
        estimate=value, low=low, high=high, level=0.95 if low is not None else None, unit=unit,
        p=0.012 if numbers else None, p_holm=0.031 if numbers else None,
        n_items=0 if kind == "not-testable" else 8, n_rows=48, method="made by hand",
        strip=strip if numbers or kind == "limit" else None,
        power=Power(abs(value) * 1.4, 14, abs(value), unit) if value else None,
        detail=detail(kind, code, reasons), table="checkpoints",
    )  # fmt: skip


def judgement(made: Study, verdicts: tuple[Verdict, ...], **more: Any) -> Judgement:
    empty: dict[str, Any] = {"chain": None, "stated": (), "questions": (), "figures": ()}
    return Judgement(study=made, verdicts=verdicts, **{**empty, **more})


@pytest.fixture(scope="session")
def made() -> SimpleNamespace:
    """The functions and tables above, for tests to build their own cases."""
    pieces: dict[str, Callable[..., Any] | dict[str, Any]] = {
        "study": study, "claim": claim, "verdict": verdict, "judgement": judgement,
        "description": description, "tests": TESTS, "numbers": NUMBERS,
    }  # fmt: skip
    return SimpleNamespace(**pieces)
