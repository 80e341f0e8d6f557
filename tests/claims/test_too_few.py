"""Too few of what a range takes is "not tested" in every kind of claim; readings that give none,
of as many as it takes, leave it open."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import pytest
from claims.conftest import HEAD, Judge

from explainer.claims.verdict import Judgement
from explainer.words.say import AUDIENCES, say

SPAN = "measure: y, from: 0, to: 20"
AT = (0, 10, 20)
#: Texture and hook of a ball that smooths and hooks less, by ball.
WORN = {"a": (80, 60, 40), "b": (90, 66, 46), "c": (70, 55, 31), "d": (85, 61, 42)}


def worn(*balls: str, **columns: float) -> pd.DataFrame:
    rows = [(b, use, float(x), x / 10 + (b == "b")) for b in balls
            for use, x in zip(AT, WORN[b], strict=True)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "x", "y"]).assign(**columns)


def alone() -> pd.DataFrame:
    """One ball, and another of which there is no reading."""
    return worn("a", "b").assign(**{m: lambda f, m=m: f[m].where(f["ball"] == "a") for m in "xy"})


def gauge(operators: int, parts: int, repeats: int, spread: float = 1.0) -> pd.DataFrame:
    rows = [(f"B{p}", 0, f"O{o}", k, 50 + spread * (10 * p + (p + 2 * o + k) % 3), 1.0)
            for p in range(parts) for o in range(operators) for k in range(repeats)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "games", "who", "k", "x", "y"])


def rolled(bowlers: int, again: int) -> pd.DataFrame:
    """Each on oil a, and ``again`` of them on oil b as well."""
    rows = [(f"W{i}", oil, 3 + i, 10) for i in range(bowlers)
            for oil in ("a", "b")[: 2 if i < again else 1]]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "oil", "s", "n"]).assign(games=0, x=1.0, y=1.0)


READ = "kind: repeatability, measure: x, operator: who, repeat: k"
RATES = "kind: rate-difference, successes: s, attempts: n, by: oil, a: a, b: b"
CROSS = "kind: crossing, measure: x, limit: 50, over: games, after: 20, within: 15"
LINE = "kind: same-line, x: x, y: y"
FEW = [
    (f"kind: change, {SPAN}", alone(), "One ball gives"),
    (f"kind: no-change, {SPAN}", alone(), "that takes at least two"),
    ("kind: break-in, measure: y, from: 0, by: 10, to: 20", alone(), "it takes at least two"),
    ("kind: association, x: x, y: y", worn("a", "b"), "It takes at least four."),
    ("kind: association, x: x, y: y", worn("a", "b", "c"), "that takes at least four"),
    ("kind: association, x: x, y: y, given: [kind]",
     worn("a", "b", "c").assign(kind=lambda f: (f["ball"] == "b").map({True: "P", False: "Q"})),
     "what is left of 3 balls lies on one line whatever they read"),
    ("kind: no-association, x: x, y: y, margin: 0.3", worn("a", "b"), "It takes at least four."),
    ("kind: no-association, x: x, y: y, margin: 0.3, within: yes", alone(), "at least two"),
    ("kind: tracks-within, x: x, y: y", alone(), "that takes at least two"),
    (LINE, worn("a", "b"), "A line between balls takes at least three of them"),
    (LINE, alone(), "it takes at least two"),
    (CROSS, alone(), "Only one ball was seen short of 50 microinches"),
    (CROSS, worn("a", "b").assign(x=lambda f: f["x"].where(f["ball"] == "a", 40)),
     "and 1 had reached it by the first reading"),
    (READ, gauge(1, 8, 3), "It takes at least two to tell how much of the scatter"),
    (READ, gauge(3, 8, 1), "No ball was read more than once by the same"),
    (READ, gauge(3, 8, 2).iloc[1:], "Not every ball was read equally often by each"),
    (READ, gauge(3, 2, 2).assign(x=lambda f: f["x"].where(f["ball"] == "B0")),
     "Not every ball was read equally often"),
    (RATES, rolled(5, 1), "that takes at least two"),
    ("kind: mean-is, measure: y, value: 8, within: 1, at: 0", alone(), "at least two"),
    ("kind: trend, measure: y, over: games, direction: down", alone(), "at least four in a row"),
    (f"kind: share-of-items, {SPAN}, direction: down, share: most", worn("a", "b", y=float("nan")),
     "No ball has the readings"),
    ("kind: settles, measure: y, from: 0, by: 10, to: 20, direction: down", alone(),
     "at least two"),
]
#: As many as it takes, and none of them moved, or all alike.
STILL = [
    (f"kind: change, {SPAN}", worn("a", "b", "c", "d", y=8.0)),
    ("kind: break-in, measure: y, from: 0, by: 10, to: 20", worn("a", "b", "c", "d", y=8.0)),
    ("kind: association, x: x, y: y", worn("a", "b", "c", "d", y=8.0)),
    ("kind: tracks-within, x: x, y: y", worn("a", "b", "c", "d", y=8.0)),
    (LINE, worn("a", "b", "c", "d").assign(
        y=lambda f: f["games"] + f["ball"].map({"a": 0, "b": 0.1, "c": -0.1, "d": 0}),
        x=lambda f: f["games"])),
    (READ, gauge(3, 8, 2, spread=0.0)),
]  # fmt: skip


def of(judged: Judge, one: Callable[..., str], test: str, frame: pd.DataFrame) -> Judgement:
    head = HEAD.replace("repeatability_sd: 0.001, ", "")
    return judged(one(f"{{{test}}}"), frame, head=head)


@pytest.mark.parametrize(("test", "frame", "told"), FEW)
def test_too_few_for_any_range_is_not_tested(judged, one, test, frame, told) -> None:
    judgement = of(judged, one, test, frame)
    (v,) = judgement.verdicts
    assert (v.code, "too-few-items" in v.reasons) == ("not-tested", True)
    assert (v.low, v.high, v.p) == (None, None, None)
    for audience in AUDIENCES:
        words = say(judgement, audience)
        said = words.claims["c"]
        assert told in said.says and said.settle
        assert said.method.startswith("Too few" if v.estimate is None else "The number alone")
        assert len(words.questions) == 1
    assert not [d for key, d in judgement.memo.items() if "defect" in str(key) and d]


@pytest.mark.parametrize(("test", "frame"), STILL)
def test_readings_that_give_no_range_leave_it_open(judged, one, test, frame) -> None:
    judgement = of(judged, one, test, frame)
    (v,) = judgement.verdicts
    assert (v.code, v.reasons, v.low) == ("cannot-tell", (), None)
    said = say(judgement).claims["c"]
    assert "too few" not in said.says and said.settle
    assert not [d for key, d in judgement.memo.items() if "defect" in str(key) and d]


def test_what_is_held_alike_was_read_on_other_items_only(judged, one) -> None:
    """No ball has all the readings: one plain sentence, and no fault."""
    others = pd.DataFrame({"ball": ["e", "f"], "games": 20, "z": [3.0, 4.0]})
    frame = pd.concat([worn("a", "b", "c", "d"), others])
    head = HEAD.replace("  y:", "  z: {term: ball size, unit: inch}\n  y:")
    for at in ("", ", at: 20"):
        test = f"{{kind: association, x: x, y: y, given: [z]{at}}}"
        judgement = judged(one(test), frame, head=head)
        (v,) = judgement.verdicts
        assert (v.code, v.reasons, v.n_items) == ("not-tested", ("too-few-items",), 0)
        assert say(judgement).claims["c"].says.startswith("No ball has the readings")
