"""What holds a claim back, in a breath: which sentence speaks of which finding, every one of them.

Each row is a finding as the judges write it down, and what whoever listens has to hear and may not.
"""

from __future__ import annotations

import re
from dataclasses import fields, replace
from types import SimpleNamespace
from typing import Any

import pytest

from explainer.claims.detail import Detail, SecondLooks
from explainer.claims.verdict import Judgement, Verdict
from explainer.words.facts.heard import heard_facts
from explainer.words.page.claims import claim_facts
from explainer.words.phrases.book import book_of
from explainer.words.phrases.renderer import Teller, sentence

DESIGN = {f.name for f in fields(SecondLooks)} - {f.name for f in fields(Detail)}
ALONE = {"fragile_item": "T3", "fragile_without": -15.0}
PICKED = {"chosen_who": ("sanded",)}
#: Kind, reason, what was found, what is heard, what is not.
ROWS: tuple[tuple[str, str, dict[str, Any], str, str], ...] = (
    ("change", "beyond-data", {"measured_to": 60.0}, r"past 60 games", r"100"),
    ("change", "fragile", {**ALONE, "fragile_without": 4.0}, r"T3.*turns round", r"less than half"),
    ("change", "fragile", {**ALONE, "fragile_without": -0.1}, r"T3.*vanishes", r"turns round"),
    ("change", "fragile", {**ALONE, "fragile_without": -8.0}, r"hangs on .*T3", r"than half"),
    # The best guess is a drop of 8.1.
    ("change", "fragile", {**ALONE, "fragile_pair": "T4", "fragile_without": -3.0},
     r"T3 and .*T4.*less than half", r"another one"),
    ("change", "fragile", {**ALONE, "fragile_pair": "T4", "fragile_without": -6.0},
     r"T3 and .*T4.*another one", r"half"),
    # A link against which a verdict stands may keep more than half without it.
    ("association", "one-step", {"one_step_at": 10.0, "one_step_without": 0.4},
     r"One set of readings carries it, those at", r"half|little"),
    ("association", "fragile", {**ALONE, "ranks_opposite": True}, r"points the other way", r"T3"),
    ("no-change", "no-margin", {"margin": None}, r"nobody has said", r"\d"),
    ("change", "levels-disagree", {}, r"[Dd]ifferent balls|two balls apart", r"luck"),
    ("association", "reversal", {}, r"other way round", r"Leave out"),
    ("association", "shared-trend", {}, r"drift", r"item"),
    ("tracks-within", "shared-trend", {"one_item": "T3"}, r"runs one way with use", r"Everything"),
    ("change", "only-averages", {"mean_of": 5}, r"[Oo]nly averages", r"enough"),
    ("association", "groups", {"between_groups": True}, r"between kinds of ball", r"moved alike"),
    ("no-association", "groups", {"groups_other": True}, r"the same doesn.t show", r"moved alike"),
    ("change", "groups", {"groups_apart": True}, r"Not every kind", r"between kinds"),
    ("change", "groups", {}, r"Another kind", r"Not every kind|between kinds"),
    ("association", "unequal-use", {}, r"gives the same answer as all", r"counts|part of it"),
    ("association", "unequal-use", {"each_alone": None},
     r"same stretch, and that may be part of it", r"counts|the same answer"),
    ("association", "unequal-use", {"shared_checkpoints": 1}, r"only what all of them share counts",
     r"part of it"),
    ("association", "shared-part", {"shared_part": "start"}, r"has the other one in it", r"picked"),
    ("no-change", "items-moved", {"moved_items": ("T1", "T3")}, r"Single balls were not", r"jump"),
    ("change", "one-group", {"group_only": "M"}, r"All that have .* of one kind", r"[Oo]nly"),
    ("break-in", "evenly-scattered", {}, r"evenly to both sides", r"picked"),
    ("break-in", "overshoots", {}, r"came back", r"pace"),
    ("change", "straight", {}, r"don.t show", r"jump"),
    ("trend", "step", {}, r"[Oo]ne jump fits better than a drift", r"came back"),
    ("difference", "pairs", {}, r"belong together", r"picked"),
    ("change", "cut-off", {"cut_two": True}, r"one of two values", r"scale ends"),
    ("change", "cut-off", {"cut_two": False}, r"scale ends", r"two values"),
    ("change", "dropouts", {}, r"Not every ball was read every time", r"picked"),
    ("change", "exclusion-decides", {}, r"left out by hand", r"picked"),
    ("difference", "confounded", {"turn_by": "order"}, r"had the one first", r"Two things"),
    ("difference", "confounded", {}, r"Two things changed together", r"first as"),
    ("repeatability", "too-few-items", {"n_operators": 2}, r"operators are too few", r"odd one"),
    ("no-association", "shared-trend", {}, r"or hide one", r"always look linked"),
    ("no-change", "narrow-zone", {}, r"less room than the doubt", r"picked"),
    ("difference", "chosen", {**PICKED, "chosen_apart": True}, r"were picked.*differed before",
     r"come back by itself|look as if"),
    ("change", "chosen", {**PICKED, "chosen_declared": True}, r"ones were picked.*come back by",
     r"look as if|differed before"),
    ("change", "chosen", PICKED, r"look as if.*come back by itself", r"ones were picked"),
    ("change", "chosen", {**PICKED, "chosen_holds": True}, r"takes some care", r"come back"),
)  # fmt: skip


def heard(
    made: SimpleNamespace, kind: str, reason: str, found: dict[str, Any], n: int = 8,
) -> list[str]:  # fmt: skip
    """Every sentence that may be said aloud of it, whichever has its turn."""
    study = made.study([made.claim(kind, "it")])
    bare: Verdict = made.verdict(study, "it", "leans", (reason,))
    looks = {name: value for name, value in found.items() if name in DESIGN}
    own = {name: value for name, value in found.items() if name not in DESIGN}
    detail = replace(bare.detail, design=replace(bare.detail.design, **looks), **own)
    verdict = replace(bare, detail=detail, n_items=n)
    judgement: Judgement = made.judgement(study, (verdict,))
    teller = Teller(book_of(study), study.id, "viewer")
    known = claim_facts(teller, judgement, verdict)
    facts = {"mirrored": False, **known, **heard_facts(verdict, study, known)}
    names = [n for n in (f"heard.why.{reason}.{kind}", f"heard.why.{reason}") if teller.has(n)]
    fit = teller.every(names, facts, about="it")
    return [sentence(teller.filled(one, facts)) for one in (fit[0] if fit else ())]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[1]} {' '.join(row[2])}")
def test_what_holds_a_claim_back_is_said_aloud_as_it_was_found(
    made: SimpleNamespace, row: tuple[str, str, dict[str, Any], str, str]
) -> None:
    kind, reason, found, says, never = row
    told = heard(made, kind, reason, found)
    assert told, "nothing may be said"
    for text in told:
        assert re.search(says, text) and not re.search(never, text), text
        assert len(text.split()) <= 45


def test_how_few_are_behind_an_answer_is_said_as_it_is(made: SimpleNamespace) -> None:
    """One alone has no odd one among several; and of many, it is one side that has few."""
    def few(n: int, **found: Any) -> str:
        [said] = heard(made, "difference" if found else "trend", "too-few-items", found, n)
        return said

    assert few(1) == "One ball alone is behind that, and it speaks for no other."
    assert few(3).startswith("There are few balls behind that")
    assert few(20, n_a=18, n_b=2).startswith("One of the two sides has only 2 balls")
