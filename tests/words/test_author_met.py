"""What an author of two studies met: sentences that were false, or harsher than the data, or that
were written and never told.  Nine made-up samples of three models, read at four checkpoints."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.proof.read import proofread
from explainer.study.load import load_study
from explainer.study.workspace import open_workspace
from explainer.words.say import say
from explainer.words.script.talk_of_study import say_script

#: (roughness, hook) at games 0, 20, 40 and 60.
SAMPLES = {
    ("Wren", 1): ((94, 57, 50, 40), (14.9, 13.7, 13.3, 13.1)),
    ("Wren", 2): ((89, 54, 47, 44), (15.3, 13.6, 13.3, 13.2)),
    ("Wren", 3): ((98, 64, 56, 53), (14.2, 12.5, 12.4, 12.3)),
    ("Dipper", 1): ((75, 55, 46, 46), (12.2, 11.4, 11.6, 11.5)),
    ("Dipper", 2): ((73, 51, 43, 41), (11.9, 11.1, 11.5, 11.4)),
    ("Dipper", 3): ((71, 50, 46, 39), (11.7, 11.5, 11.5, 11.5)),
    ("Crake", 1): ((58, 46, 43, 42), (9.7, 9.9, 9.2, 9.8)),
    ("Crake", 2): ((56, 44, 43, 41), (9.6, 9.2, 8.8, 8.9)),
    ("Crake", 3): ((55, 45, 43, 42), (9.6, 9.3, 9.3, 9.0)),
}
STUDY = """\
title: Nine samples
question: Does a worn cover cost hook?
invented: yes
tested: {each: [model, sample], group: model, count: 9}
use: {column: games, term: games rolled, unit: game}
measures:
  roughness: {term: cover roughness, unit: microinch, resolution: 1, repeatability_sd: 1.5,
              matters_from: 6, more_is: rougher, less_is: smoother}
  hook: {term: total hook, unit: board, resolution: 0.1, repeatability_sd: 0.2, matters_from: 1,
         more_is: more hook, less_is: less hook}
tables: {covers: {file: covers.csv, source: "Table 1, page 3"}}
"""


def told(tmp_path: Path, more: str, use: str = ""):
    """A study of the nine with more description, judged and said."""
    folder = tmp_path / "studies" / "nine"
    folder.mkdir(parents=True, exist_ok=True)
    rows = "model,sample,games,roughness,hook\n" + "".join(
        f"{model},{sample},{games},{rough[i]},{hook[i]}\n"
        for (model, sample), (rough, hook) in SAMPLES.items()
        for i, games in enumerate((0, 20, 40, 60))
    )
    (folder / "covers.csv").write_text(rows, "utf-8")
    (folder / "study.yaml").write_text(
        STUDY.replace("unit: game}", f"unit: game, {use}}}" if use else "unit: game}") + more,
        "utf-8",
    )  # fmt: skip
    judgement = judge(load_study(folder, open_workspace(tmp_path)))
    return judgement, say(judgement)


def claim(test: str, says: str = "So they say.", more: str = "") -> str:
    return f"claims:\n  - {{id: it, report_says: {says}, {more}test: {{{test}}}}}\n"


# ---- a link across nested samples says which link it is

LINK = claim("kind: association, x: roughness, y: hook, direction: positive, at: 0",
             "Rough ones hook more.")  # fmt: skip


def r_of(inside: bool) -> float:
    """Pearson's r of the nine at game 0; each model's own mean taken off or not."""
    x = np.array([rough[0] for rough, _ in SAMPLES.values()], float).reshape(3, 3)
    y = np.array([hook[0] for _, hook in SAMPLES.values()], float).reshape(3, 3)
    if inside:
        x, y = x - x.mean(axis=1, keepdims=True), y - y.mean(axis=1, keepdims=True)
    return float(np.corrcoef(x.ravel(), y.ravel())[0, 1])


def test_a_link_inside_models_says_so_and_gives_the_one_over_all(tmp_path):
    judgement, words = told(tmp_path, LINK)
    inside, over_all = r_of(inside=True), r_of(inside=False)
    assert inside < -0.5 and over_all > 0.95  # they go different ways
    verdict = judgement.verdict("it")
    assert verdict.estimate == pytest.approx(inside)
    [published] = results(judgement)["claims"]
    assert published["extra"]["r_before"] == pytest.approx(over_all)
    said = words.claims["it"].says
    assert "the model held alike" in said
    assert f"reads −{abs(inside):.1f}" in said and f"it reads {over_all:.2f}" in said
    assert "the model" in words.claims["it"].method


def test_a_link_over_items_of_one_kind_is_not_said_to_hold_anything_alike(tmp_path):
    alone = LINK.replace("at: 0", "at: 0, only: {model: Wren}")
    _, words = told(tmp_path, alone)
    assert "held alike" not in words.claims["it"].says


# ---- "they will all fail"

def all_fail(limit: float) -> str:
    return claim(f"kind: limit, measure: roughness, at: 60, at_least: {limit}, meets: none",
                 "They'll all fail.") + (
        "figures:\n  - {id: fig, kind: limit, table: covers, y: roughness, at: 60, "
        f"at_least: {limit}}}\n")  # fmt: skip


@pytest.mark.parametrize(("limit", "code", "misses", "meets"), [
    (60, "backed", 9, 0),  # the highest of them reads 53
    (42, "against", 1, 2),  # 53 and 46 are past 42 for sure
    (50, "cannot-tell", 8, 1),  # 53 is past 50, by what the gauge does to one of nine
])  # fmt: skip
def test_they_all_fail_counts_those_who_fail(tmp_path, limit, code, misses, meets):
    judgement, words = told(tmp_path, all_fail(limit))
    verdict, said = judgement.verdict("it"), words.claims["it"].says
    calls = [row["call"] for row in verdict.detail.items]
    assert (calls.count("fail"), calls.count("pass")) == (misses, meets)
    assert verdict.code == code
    assert {"backed": "All 9 samples miss the limit of 60", "against": "meet 42 microinches",
            "cannot-tell": "Of 9 samples, 8 miss the limit of 50 microinches, 1 meets it "
                           "(sample Wren 3)"}[code] in said  # fmt: skip
    title = words.figures["fig"].title
    assert str(misses) in title or code != "backed" or "All 9" in title
    assert not ("none too close" in said and "too close to call?" in str(words.questions))


def test_nobody_is_asked_about_those_too_close_where_none_is(tmp_path):
    _, words = told(tmp_path, all_fail(50))
    [(ask, why, _)] = words.questions
    assert ask == "Does any sample really meet the limit of 50 microinches?"
    assert "8 fail" in why and "1 passes" in why


# ---- everything an author writes reaches the script

TOLD = """\
opinion: I would not buy a ball by this.
figures:
  - {id: rough, kind: over-use, table: covers, y: roughness, say: Look at the fast start.}
  - {id: hooks, kind: over-use, table: covers, y: hook, pair: [rough, hooks], guess: It is dirt.}
claims:
  - id: hook-falls
    report_says: Hook fell.
    figure: hooks
    answers_question: yes
    say: Mark the word hook.
    like: {what: A worn shoe slips., stops: A shoe is not sanded.}
    test: {kind: change, measure: hook, from: 0, to: 60, direction: down}
  - id: rough-falls
    report_says: Every cover went smooth.
    figure: rough
    ask_first: yes
    opinion: I keep a log from game twenty.
    test: {kind: change, measure: roughness, from: 0, to: 60, direction: down}
  - id: fair
    said_by: lanes
    says: It is only fair.
    ask_first: yes
    say: They say that every week.
    test: {kind: not-testable, because: Fair is for people to decide.}
stated:
  - {what: mean cover roughness at the start, value: "74.3", compute: {mean: roughness, at: 0}}
rule:
  change: Covers must read fifty.
  reasons: [{claim: rough-falls, therefore: worn balls must be checked}]
"""


def lines_of(judgement, words):
    talk = say_script(judgement, words)
    return [line.text for shot in talk.shots for line in shot.lines]


def test_what_an_author_writes_of_a_claim_is_spoken_wherever_it_is_told(tmp_path):
    as_ = "as: [{term: league night, each: 3}, {term: season, each: 96}]"
    judgement, words = told(tmp_path, TOLD, use=as_)
    lines = lines_of(judgement, words)
    whole = " ".join(lines)
    for written in ("Mark the word hook.", "A worn shoe slips. A shoe is not sanded.",
                    "I keep a log from game twenty.", "They say that every week.", "It is dirt.",
                    "I would not buy a ball by this.", "Look at the fast start.",
                    "worn balls must be checked"):  # fmt: skip
        assert whole.casefold().count(written.casefold()) == 1, written
    assert "20 league nights, and not a whole season" in whole
    assert "One number that the report prints was worked out again, and it agrees." in lines
    asked = [i for i, line in enumerate(lines) if "ake a guess." in line or "Your guess" in line]
    assert len(asked) >= 2 and any("every cover went smooth" in line.casefold() for line in lines)
    assert any("total hook" in line and "cover roughness" in line and "beside" in line
               for line in lines), lines  # fmt: skip


def test_proof_names_what_the_script_leaves_out(tmp_path):
    long = "Draw lots among all of the balls in the house and roll every one of them for " \
           "another sixty games on the same two lanes with the same two people."  # fmt: skip
    asked = "".join(f"  - {{ask: What about number {n}?}}\n" for n in range(5))
    more = claim("kind: change, measure: hook, from: 0, to: 60, direction: down")
    more += f"questions:\n{asked}  - {{ask: Why not?, settled_by: \"{long}\"}}\n"
    judgement, _ = told(tmp_path, more)
    found = [p for p in proofread(judgement.study.folder, judgement.study.workspace)
             if p.code == "not-spoken"]  # fmt: skip
    assert [p.found for p in found] == [
        "`ask`, which the script does not speak", "`ask`, which the script does not speak",
        "`settled_by`, which the script does not speak"]  # fmt: skip
    assert "first 4 questions" in found[0].expected and "20 words" in found[2].expected
