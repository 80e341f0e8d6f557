"""What a figure and the claim it leads with say of the further kinds, of readings made by hand.

Eight balls scatter by ``E``, of which the mean is 0 and the standard deviation 1.01; each case
says how far they scatter and what happens to them, what follows for the claim, and what the title
and the sentence may and may not say.  The figures are invented.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import load_study, open_workspace
from explainer.words.phrases.book import defects_of
from explainer.words.say import say

E = (-1.4, -1.0, -0.6, -0.2, 0.2, 0.6, 1.0, 1.4)
#: The same in another order, so that one set of readings does not follow from the other.
F = (0.6, -1.4, 1.0, 0.2, -0.6, 1.4, -1.0, -0.2)
Rows = list[tuple[Any, ...]]


def used(*levels: float, first: float = 3.0, each: float = 1.0) -> Rows:
    """Ball, model, games and reading: at every 20 games another level; every change from the first
    reading scatters by ``each`` and no two stretches alike."""
    rows: Rows = []
    for i in range(8):
        for k, level in enumerate(levels):
            own = (0.0, E[i], F[i], E[i] + F[i], F[i] - E[i])[k]
            rows.append((f"B{i}", "AB"[i % 2], 20 * k, level + first * F[-1 - i] + each * own))
    return rows


def sided(a: float, b: float, sd_a: float = 1.0, sd_b: float = 1.0, c: float | None = None) -> Rows:
    """Eight balls of model A, eight of B (and of C), read once."""
    sides = [("A", a, sd_a), ("B", b, sd_b), *([("C", c, 1.0)] if c is not None else [])]
    return [(f"{name}{i}", name, 0, level + sd * E[i])
            for name, level, sd in sides for i in range(8)]  # fmt: skip


def gauged(gap: float, apart: float) -> Rows:
    """Eight balls read on two gauges: A reads ``gap`` above B, give or take ``apart``."""
    return [(f"B{i}", name, 0, 50 + 5 * F[i] + (gap + apart * E[i] if name == "A" else 0))
            for i in range(8) for name in "AB"]  # fmt: skip


def stepped(*levels: float, sd: float = 1.0) -> Rows:
    """Six balls at each step of a row of steps."""
    return [(f"S{step}{i}", step, 0, level + sd * (E[i + 1] if step % 2 else F[i]))
            for step, level in enumerate(levels, 1) for i in range(6)]  # fmt: skip


SPAN = {"from": 0, "to": 40}
KIND: dict[str, dict[str, Any]] = {
    "mean-is": {"value": 50, "within": 3, "at": 0},
    "spread": {"by": "model", "a": "A", "b": "B", "direction": "more"},
    "share-of-items": {**SPAN, "direction": "up", "share": "most"},
    "no-worse": {**SPAN, "worse": "down", "margin": 3},
    "no-difference": {"by": "model", "a": "A", "b": "B", "margin": 3},
    "settles": {"from": 0, "to": 60, "by": 20, "direction": "up", "margin": 3},
    "since": {"over": "games", "since": 40, "direction": "up"},
    "crossing": {"over": "games", "limit": 45, "after": 30, "within": 12},
    "population-limit": {"at_least": 40, "share": 0.75},
    "agreement": {"by": "model", "a": "A", "b": "B", "within": 5},
    "steps": {"by": "model", "direction": "up"},
    "ranking": {"by": "model", "first": "A"},
}  # fmt: skip
OVER_USE = {"mean-is", "share-of-items", "no-worse", "settles", "since", "crossing"}

#: Kind, what else it asks, the readings, the verdict, what the title says, what the sentence says,
#: and what neither may say.
Case = tuple[str, dict[str, Any], Rows, str, str, str, str]
OPEN, HALF = r"say\b|can.t be said|reached .*\bby\b", r"don.t (?:settle|make)|for sure|not quite"
CASES: tuple[Case, ...] = (
    # Half a 90% range of eight balls that scatter by 1.01 is 1.895 times 1.01 / 2.83, or 0.68.
    ("mean-is", {}, used(50, 50, first=1), "backed", "within 3", "50", rf"\bnot\b|{HALF}"),
    ("mean-is", {}, used(50, 50, first=5.2), "leans", HALF, "part of", "can.t say"),
    ("mean-is", {}, used(50, 50, first=12), "cannot-tell", OPEN, "some is not", HALF),
    ("mean-is", {}, used(60, 50, first=1), "against", "is not about 50", "above 50", "below"),
    ("mean-is", {"value": None, "within": None, "at_least": 45}, used(50, 50, first=1), "backed",
     "45 boards or more", "less than 45", r"or less|is not"),
    ("mean-is", {"value": None, "within": None, "at_most": 45}, used(50, 50, first=1), "against",
     "is not 45 boards or less", "more than 45", "or more"),
    # Ten times the scatter is 900% more, a tenth of it 90% less, twice is 100% more.
    ("spread", {}, sided(50, 50, 10, 1), "backed", "scatters more with A", "900% more", "less"),
    ("spread", {}, sided(50, 50, 1, 10), "against", "less with A", "90% less", "more with A"),
    ("spread", {"direction": "less"}, sided(50, 50, 1, 10), "backed", "less with A", "90% less",
     "more"),
    ("spread", {"direction": "less"}, sided(50, 50, 10, 1), "against", "more with A",
     "other way.*900% more", "less with A"),
    ("spread", {}, sided(50, 50, 2, 1), "leans", f"less even.*{HALF}", "scatter more", "less with"),
    ("spread", {"direction": "less"}, sided(50, 50, 1, 2), "leans", f"more even.*{HALF}",
     "scatter less", "more with"),
    ("spread", {}, sided(50, 50, 1.2, 1), "cannot-tell", OPEN, "stays open", HALF),
    # Of eight that all went up, at least 63 in a hundred like them do (exact, 95%); of six, 35.
    ("share-of-items", {}, used(50, 55, 60), "backed", "^Most", "8 of 8.*63 to 100%", "half of"),
    ("share-of-items", {"share": 0.2}, used(50, 50, 50.9), "backed", "More than 20%",
     "35 to 97%", r"Most|half"),
    ("share-of-items", {"share": 0.7}, used(50, 55, 60), "leans", HALF, "not surely", "Is that"),
    ("share-of-items", {}, used(50, 50, 50.1), "cannot-tell", f"Four of 8.*most.*{OPEN}",
     "half is possible, and so is less", HALF),
    ("share-of-items", {"share": "every"}, used(50, 50, 50.9), "cannot-tell", "all of them",
     "6 of 8", "every one of 8"),
    ("share-of-items", {}, used(60, 55, 50), "against", "Less than half", "none of 8", "Most"),
    ("no-worse", {}, used(50, 50, 50), "backed", "Not lower", "lower", HALF),
    ("no-worse", {}, used(50, 50, 49, each=3.3), "leans", HALF, "bad end", "can.t say"),
    ("no-worse", {}, used(50, 50, 47), "cannot-tell", f"lower.*{OPEN}", "open", HALF),
    ("no-worse", {}, used(50, 45, 35), "against", "is lower", "worse", "no worse|can.t"),
    ("no-difference", {}, sided(50, 50), "backed", "alike", "stays inside", rf"\bdiffer|{HALF}"),
    ("no-difference", {}, sided(50, 51, 3, 3), "leans", HALF, "goes past", "do differ|stays"),
    ("no-difference", {}, sided(50, 53, 3, 3), "cannot-tell", OPEN, "and more", "do differ"),
    ("no-difference", {}, sided(50, 60), "against", "do differ", "do differ", "alike"),
    ("settles", {}, used(50, 60, 60, 60), "backed", "rose.*came to rest", "Both halves", "fell"),
    ("settles", {}, used(50, 60, 60, 61.5, each=3), "leans", HALF, "goes past 3", "Both halves"),
    ("settles", {}, used(50, 60, 60, 62, each=5), "cannot-tell", OPEN, "stays open", "Both halves"),
    ("settles", {}, used(50, 60, 60, 70), "against", "more came after", "another 10", "came to r"),
    ("settles", {}, used(50, 40, 40, 40), "against", "at first is not", "−10", "came to rest"),
    ("since", {}, used(50, 50, 60, 60, each=0.3), "backed", "rose at game 40", "jump", "fell|but"),
    ("since", {}, used(50, 55, 60, 65, each=0.3), "cannot-tell", OPEN, "slow drift", "It is so"),
    ("since", {}, used(50, 50, 40, 40, each=0.3), "against", "fell", "other way", "rose at"),
    ("since", {"since": 20}, used(50, 50, 60, 60, each=0.3), "against", "not at game 20",
     "another place: game 40", "fell"),
    # Every ball is below 45 at game 20 and above it at game 40: 30, give or take 10.
    ("crossing", {}, used(35, 43, 52, 60, first=0.5, each=0.5), "backed", "about 30", "20 to 40",
     "not reached|by game"),
    ("crossing", {"within": 6}, used(35, 43, 52, 60, first=4, each=2), "cannot-tell", OPEN,
     "other answers", "not reached when"),
    ("crossing", {"after": 5, "within": 3}, used(35, 43, 52, 60, first=0.5, each=0.5), "against",
     "not reached when", "off 5 games", "backed"),
    ("crossing", {"after": None}, used(35, 43, 52, 60, first=0.5, each=0.5), "cannot-tell",
     "can.t be said", "does not say", "not reached when"),
    ("population-limit", {}, used(50, 50), "backed", "At least 75%", "45", "Fewer|can.t"),
    ("population-limit", {}, used(35, 50), "cannot-tell", OPEN, "Six of 8", "Fewer|At least"),
    ("population-limit", {}, used(30, 50, first=1), "against", "Fewer than 75%", "40", "At least"),
    # The differences scatter by 1.01 times ``apart``: 95 of 100 lie within 1.96 of those.
    ("agreement", {}, gauged(0, 1), "backed", "agree to within 5", "1.9", "not agree|can.t"),
    ("agreement", {}, gauged(0, 1.9), "cannot-tell", OPEN, "stays open", "too often"),
    ("agreement", {}, gauged(8, 1), "against", "too often", "8.0 boards higher", "agree to within"),
    ("agreement", {"within": None}, gauged(0, 1), "cannot-tell", OPEN, "nobody has said", "often"),
    ("steps", {}, stepped(50, 52, 54), "backed", "higher", "2.0 boards a step", "lower|back"),
    # Flat, one jump, flat: that is no step by step.
    ("steps", {}, stepped(50, 50.1, 56, 56.2, sd=0.5), "backed", "up with the steps, most.*2 to 3",
     "Most of that comes at once, from 2 to 3", "further up|Step by step"),
    ("steps", {}, stepped(50, 50.7, 51.3, sd=1.5), "leans", HALF, "seems to go up", "lower|back"),
    ("steps", {}, stepped(50, 50.3, 50.1, sd=3), "cannot-tell", OPEN, "open", "higher|lower"),
    ("steps", {}, stepped(54, 52, 50), "against", "other way", "fell by about 2.0", "goes back"),
    ("steps", {}, stepped(50, 54, 51), "against", "From 2 to 3 it goes back", "fell by 3", "up"),
    ("ranking", {}, sided(60, 50, c=45), "backed", "A comes out highest", "10.0", "behind"),
    ("ranking", {}, sided(51, 50, c=49), "leans", HALF, "room for none", "behind"),
    ("ranking", {}, sided(50.2, 50, 2, 2, c=49), "cannot-tell", OPEN, "stays open", "behind"),
    ("ranking", {}, sided(50, 60, c=45), "against", "A comes behind B", "behind B", "A comes out"),
    ("ranking", {"first": None, "order": ["A", "B", "C"]}, sided(60, 50, c=45), "backed",
     "order is A, B and then C", "B and C, 5.0", "behind"),
    ("ranking", {"first": None, "order": ["B", "A", "C"]}, sided(60, 50, c=45), "against",
     "B comes behind A", "10.0", "order is"),
    ("ranking", {"first": None, "same": 5}, sided(50, 50, c=50), "backed", "No two", "no two",
     "differ|apart, and"),
    ("ranking", {"first": None, "same": 5}, sided(50, 52, 4, 4, c=50), "leans", HALF,
     "do not settle", "do differ"),
    ("ranking", {"first": None, "same": 3}, sided(50, 53, 4, 4, c=50), "cannot-tell", OPEN,
     "3 boards lies inside", "do differ"),
    ("ranking", {"first": None, "same": 5}, sided(50, 60, c=50), "against",
     "B and A are more than 5", "do differ", "No two"),
)  # fmt: skip


def judged(folder: Path, kind: str, more: dict[str, Any], rows: Rows) -> Judgement:
    """A study of one claim and the figure it leads."""
    folder.mkdir(parents=True)
    frame = pd.DataFrame(rows, columns=["ball", "model", "games", "y"])
    figure: dict[str, Any] = {"id": "f", "table": "t", "y": "y", "say": "Look."}
    description: dict[str, Any] = {
        "title": "Made by hand", "question": "Is it so?", "invented": True,
        "tested": {"each": "ball"}, "tables": {"t": {"file": "t.csv"}},
        "measures": {"y": {"term": "total hook", "unit": "board"}},
        "claims": [{"id": "c", "report_says": "It is so.", "plainly": "So it is.", "figure": "f",
                    "test": {"kind": kind, "measure": "y", **KIND[kind], **more}}],
    }  # fmt: skip
    if kind in OVER_USE:
        figure["kind"] = "over-use"
        description["use"] = {"column": "games", "term": "games rolled", "unit": "game"}
    else:
        frame = frame.drop(columns="games")
        figure |= {"kind": "limit", "at_least": 40} if kind == "population-limit" else {
            "kind": "groups", "by": "model"}  # fmt: skip
    frame.to_csv(folder / "t.csv", index=False)
    description["figures"] = [figure]
    (folder / "study.yaml").write_text(json.dumps(description), encoding="utf-8")
    return judge(load_study(folder, open_workspace(folder.parents[1])))


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c[0]} {c[3]}")
def test_title_and_sentence_say_what_the_readings_show(case: Case, tmp_path: Path) -> None:
    kind, more, rows, code, title, sentence, never = case
    judgement = judged(tmp_path / "studies" / "s", kind, more, rows)
    words = say(judgement)
    told = (words.figures["f"].title, words.claims["c"].says)
    assert judgement.verdicts[0].code == code, told
    for text, says in zip(told, (title, sentence), strict=True):
        assert re.search(says, text) and not re.search(never, text), text
    assert not defects_of(judgement)


def test_each_verdict_that_these_kinds_can_get_is_among_them() -> None:
    seen = {(kind, code) for kind, _, _, code, *_ in CASES}
    assert {kind for kind, _ in seen} == set(KIND)
    for kind in KIND:
        assert {"backed", "against", "cannot-tell"} <= {code for k, code in seen if k == kind}


def test_a_figure_whose_claim_has_no_title_for_it_speaks_of_its_own_facts(tmp_path: Path) -> None:
    """One ball stands on both sides, which takes the claim down though all of its range is in; no
    title of a spread is true of that."""
    rows = [("B0" if ball == "A0" else ball, *rest) for ball, *rest in sided(90, 50, 10, 1)]
    judgement = judged(tmp_path / "studies" / "s", "spread", {}, rows)
    [verdict] = judgement.verdicts
    assert (verdict.code, verdict.reasons) == ("leans", ("pairs",))
    assert verdict.low is not None and verdict.low > 0
    assert say(judgement).figures["f"].title == "A and B, side by side"
