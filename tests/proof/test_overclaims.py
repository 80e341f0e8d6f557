"""Overclaims in an author's own words: 120 sentences, half of them sound, judged one by one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.proof.place import Places
from explainer.proof.prose import prose
from explainer.study.load import load_study, open_workspace
from explainer.study.yaml12 import read
from explainer.words.glossary.entries import Glossary

HERE = Path(__file__).parent
#: Written before the checks; written after them, unseen when these were made, twice; and of people.
SENTENCES, LATER, THIRD, LEAGUE = (
    read((HERE / name).read_bytes(), name).value
    for name in ("overclaims.yaml", "overclaims_later.yaml", "overclaims_third.yaml",
                 "overclaims_league.yaml")
)  # fmt: skip
#: Of all sentences, and of each half: judged rightly, at least.
RIGHT, RIGHT_OF_HALF = 0.95, 0.93
STUDY = """\
title: What sixty games do to a ball
question: What do sixty games do to a ball?
invented: yes
tested: {each: ball, group: model, count: 8}
use: {column: games, term: games rolled, unit: game, as: [{term: league night, each: 3}]}
measures:
  texture: {term: cover roughness, unit: microinch, matters_from: 6, more_is: rougher,
    less_is: smoother}
  hook: {term: total hook, unit: board, matters_from: 1}
  hardness: {term: hardness, unit: Shore D, matters_from: 1}
  weight: {term: weight, unit: pound, matters_from: 0.1}
tables:
  checks: {file: checks.csv, source: Table 1}
figures:
  - {id: worn, kind: over-use, table: checks, y: texture, say: Look.}
  - {id: hooks, kind: over-use, table: checks, y: hook, say: Look.}
  - {id: hard, kind: over-use, table: checks, y: hardness, say: Look.}
  - {id: heavy, kind: over-use, table: checks, y: weight, say: Look.}
claims:
  - id: falls
    report_says: It fell.
    figure: worn
    test: {kind: change, measure: texture, from: 0, to: 60, direction: down}
  - id: hooks-less
    report_says: Hook fell.
    figure: hooks
    test: {kind: change, measure: hook, from: 0, to: 60, direction: down}
  - id: hard-stays
    report_says: Hardness held.
    figure: hard
    test: {kind: no-change, measure: hardness, from: 0, to: 60}
  - id: heavy-stays
    report_says: Weight held.
    figure: heavy
    test: {kind: no-change, measure: weight, from: 0, to: 60}
"""
#: What sixty games did to each ball: hook without a pattern, hardness within and past its margin.
HOOK = (1.9, -2.4, 1.1, -1.6, 2.2, -1.8, 0.9, -0.4)
HARD = (0.9, -1.1, 0.7, 1.3, -0.2, 1.2, 0.4, 1.1)
VERDICTS = {"falls": "backed", "hooks-less": "cannot-tell", "hard-stays": "leans",
            "heavy-stays": "backed"}  # fmt: skip


@pytest.fixture(scope="module")
def judged(tmp_path_factory):
    folder = tmp_path_factory.mktemp("said") / "studies" / "bench"
    folder.mkdir(parents=True)
    rows = ["ball,model,games,texture,hook,hardness,weight"]
    for i, (hook, hard) in enumerate(zip(HOOK, HARD, strict=True), start=1):
        for games in (0, 20, 40, 60):
            share, model = games / 60, "Plover" if i < 5 else "Teasel"
            rows.append(
                f"B{i},{model},{games},{80 + i - share * (20 + i % 3):.2f},"
                f"{12 + share * hook:.2f},{75 + share * hard:.2f},{15 + share * hook / 100:.3f}"
            )
    (folder / "checks.csv").write_text("\n".join(rows) + "\n")
    (folder / "study.yaml").write_text(STUDY)
    judgement = judge(load_study(folder, open_workspace(folder.parent.parent)))
    assert {v.claim.id: v.code for v in judgement.verdicts} == VERDICTS
    return judgement


def flagged(judged, place: str, sentence: str) -> list[str]:
    """What the proof calls too strong where ``sentence`` is the author's word at ``place``."""
    said = judged.study.description
    if place == "intro":
        said = said.model_copy(update={"intro": sentence})
    else:
        figures = tuple(
            f.model_copy(update={"say": sentence}) if f.id == place else f for f in said.figures
        )
        said = said.model_copy(update={"figures": figures})
    changed = replace(judged, study=replace(judged.study, description=said))
    found = prose(changed, Glossary(()), Places(judged.study))
    return [str(problem) for problem in found if problem.code == "too-strong"]


def every(half: str, sentences=SENTENCES) -> list[tuple[str, str]]:
    return [(place, said) for place, halves in sentences.items() for said in halves[half]]


def test_there_are_a_hundred_and_twenty_half_of_them_sound():
    assert len(every("sound")) == len(every("unsound")) == 60
    assert len(set(every("sound") + every("unsound"))) == 120


def judged_rightly(judged, sentences):
    unsound, sound = every("unsound", sentences), every("sound", sentences)
    missed = [said for said in unsound if not flagged(judged, *said)]
    accused = [said for said in sound if flagged(judged, *said)]
    wrong = "\n".join([*(f"missed: {s}" for s in missed), *(f"accused: {s}" for s in accused)])
    assert len(missed) <= (1 - RIGHT_OF_HALF) * len(unsound), wrong
    assert len(accused) <= (1 - RIGHT_OF_HALF) * len(sound), wrong
    assert len(missed) + len(accused) <= (1 - RIGHT) * (len(unsound) + len(sound)), wrong


@pytest.mark.parametrize("sentences", [SENTENCES, LATER, THIRD], ids=["first", "later", "third"])
def test_nineteen_of_twenty_are_judged_rightly(judged, sentences):
    judged_rightly(judged, sentences)


def test_and_so_are_those_about_people():
    ours = HERE.parent.parent
    league = judge(load_study(ours / "studies/league-season", open_workspace(ours)))
    codes = {v.claim.id: v.code for v in league.verdicts}
    assert codes == {"coached-gained": "cannot-tell", "all-rose": "leans", "lefties": "cannot-tell",
                     "most-gained-ten": "cannot-tell"}  # fmt: skip
    judged_rightly(league, LEAGUE)


@pytest.mark.parametrize("key", ["like", "guess", "opinion"])
def test_what_is_told_as_no_finding_is_no_overclaim(judged, key):
    said = judged.study.description
    aside = "Hook does not change at all because of the oil, and that is a fact."
    figures = tuple(f.model_copy(update={key: aside}) for f in said.figures)
    claims = tuple(c.model_copy(update={key: aside}) for c in said.claims)
    changed = said.model_copy(update={key: aside, "figures": figures, "claims": claims})
    judgement = replace(judged, study=replace(judged.study, description=changed))
    found = prose(judgement, Glossary(()), Places(judged.study))
    assert [str(p) for p in found if p.code in ("too-strong", "typed-number")] == []


def test_an_overclaim_about_a_claim_is_found_at_its_place(judged):
    said = judged.study.description
    claims = tuple(
        c.model_copy(update={"say": "Hook drops because the cover is smooth."})
        if c.id == "hooks-less" else c for c in said.claims
    )  # fmt: skip
    changed = said.model_copy(update={"claims": claims})
    judgement = replace(judged, study=replace(judged.study, description=changed))
    [problem] = [
        p for p in prose(judgement, Glossary(()), Places(judged.study)) if p.code == "too-strong"
    ]
    assert "`because`" in str(problem) and "nothing here tests what causes it" in str(problem)
