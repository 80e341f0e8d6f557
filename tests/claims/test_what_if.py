"""What if another size counted: margins from a quarter to four times, judged anew."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from explainer.claims.design import table as design
from explainer.claims.judge import judge, verdicts_of
from explainer.claims.kinds import KINDS
from explainer.claims.what_if import FACTORS, scaled, what_if
from explainer.study.load import find_study, load_study
from explainer.words.page.claims import catch_in_short
from explainer.words.phrases.book import teller_for
from explainer.words.say import say

HEAD = """\
title: A test study
question: Does it?
tested: {each: ball}
use: {column: games, term: games rolled, unit: game}
measures:
  x: {term: cover roughness, unit: microinch}
  y: {term: total hook, unit: board, matters_from: 1}
"""
ROOT = Path(__file__).parents[2]
STRENGTH = {"against": 0, "cannot-tell": 1, "leans": 2, "backed": 3}


@pytest.fixture(scope="module")
def judgement():
    workspace, folder = find_study(str(ROOT / "studies" / "cover-texture"), None)
    return judge(load_study(folder, workspace))


def test_the_page_s_own_verdict_stands_among_the_others(judgement):
    found = what_if(judgement)
    assert {"texture-falls", "hardness-steady", "hook-steady"} <= set(found)
    for claim, rows in found.items():
        [own] = [row for row in rows if row.chosen]
        assert own.code == judgement.verdict(claim).code
        assert [r.margin for r in rows] == [own.margin * f for f in (0.25, 0.5, 1, 2, 4)]


def test_a_claim_of_no_change_is_never_weaker_for_a_larger_margin(judgement):
    """And some grow: not the one whose every range inside a margin hangs on one ball."""
    grown = set()
    for claim, rows in what_if(judgement).items():
        if judgement.verdict(claim).test.kind == "no-change":
            strengths = [STRENGTH[row.code] for row in rows]
            assert strengths == sorted(strengths), claim
            if strengths[0] < strengths[-1]:
                grown.add(claim)
    assert "hardness-steady" in grown


def test_a_claim_without_a_margin_is_left_out(judgement):
    assert not {"rough-hooks-more"} & set(what_if(judgement))


def test_what_would_not_count_is_said_to_be_less_and_what_is_steady_is_not():
    """A drop of 15 microinches (13 to 16) is there, and would be too small if 24 counted."""
    workspace, folder = find_study(str(ROOT / "studies" / "nine-samples"), None)
    found = what_if(judge(load_study(folder, workspace)))
    assert [(r.margin, r.code, r.small) for r in found["texture-falls"]][-2:] == [
        (12.0, "backed", False), (24.0, "backed", True)
    ]  # fmt: skip
    assert not any(row.small for row in found["hardness-holds"])


def test_a_larger_margin_comes_out_weaker_only_where_one_item_tips_it_and_says_so(judged, one):
    """Mean 0.3 ± 0.52 at 90% lies inside 1; without one that stayed, 0.36 ± 0.66 does not."""
    ends = [0.0, 0.0, 0.0, 0.1, 0.1, 1.6]
    frame = pd.DataFrame([(f"B{i}", g, 20.0 + (d if g else 0)) for i, d in enumerate(ends)
                          for g in (0, 60)], columns=["ball", "games", "y"])  # fmt: skip
    frame["x"] = 1.0
    test = "{kind: no-change, measure: y, from: 0, to: 60, margin: 1}"
    judgement = judged(one(test), frame)
    [rows] = what_if(judgement).values()
    strengths = [STRENGTH[row.code] for row in rows]
    teller = teller_for(judgement, "viewer")
    caught = [catch_in_short(teller, judgement, row.verdict) for row in rows]
    for before, after, catch in zip(strengths, strengths[1:], caught[1:], strict=False):
        assert after >= before or catch
    [row] = [row for row in rows if row.margin == 1.0]
    assert (row.code, row.verdict.reasons) == ("cannot-tell", ("fragile",))
    assert (row.verdict.detail.fragile_range, row.verdict.detail.fragile_count) == (True, 5)
    assert catch_in_short(teller, judgement, row.verdict) == "not sure without one ball"
    assert [row.code for row in rows if row.margin > 1] == ["backed", "backed"]


def test_what_is_only_less_than_another_size_does_not_look_the_other_way(judged, one):
    """It fell by 0.2 ± 0.3, as claimed: where 4 counts, that is too small and not the other way."""
    frame = pd.DataFrame([(f"B{i}", g, 20.0 + (d if g else 0))
                          for i, d in enumerate([-0.6, 0.1, -0.3, 0.2, -0.5, -0.1])
                          for g in (0, 60)], columns=["ball", "games", "y"])  # fmt: skip
    frame["x"] = 1.0
    judgement = judged(one("{kind: change, measure: y, from: 0, to: 60, direction: down}"), frame)
    [rows] = what_if(judgement).values()
    assert rows[-1].code == "against"
    teller = teller_for(judgement, "viewer")
    assert catch_in_short(teller, judgement, rows[-1].verdict) == (
        "not as said: too small to matter")


@pytest.mark.parametrize(("gauge", "catch"), [
    ("", "2 of 10 balls moved by more than 1 board"),
    (", repeatability_sd: 0.05", "at least 2 of 10 balls moved by more than 1 board"),
])  # fmt: skip
def test_what_single_items_hold_back_is_counted_against_the_size_of_its_row(
    judged, one, gauge, catch
):
    """The average is shown steady within 1, and two of ten moved by 1.3; 2 takes in all."""
    ends = [0.0, 0.1, -0.1, 0.05, -0.05, 0.0, 0.1, -0.1, 1.3, -1.3]
    frame = pd.DataFrame([(f"B{i}", g, 20.0 + (d if g else 0)) for i, d in enumerate(ends)
                          for g in (0, 60)], columns=["ball", "games", "y"])  # fmt: skip
    frame["x"] = 1.0
    test = "{kind: no-change, measure: y, from: 0, to: 60, margin: 2}"
    head = HEAD.replace("matters_from: 1}", f"matters_from: 1{gauge}}}")
    judgement = judged(one(test), frame, head=head)
    [rows] = what_if(judgement).values()
    teller = teller_for(judgement, "viewer")
    told = {row.margin: catch_in_short(teller, judgement, row.verdict) for row in rows}
    assert (told[1.0], told[2.0], told[4.0]) == (catch, "", "")


@pytest.mark.parametrize("test", [
    "{kind: no-change, measure: y, from: 0, to: 60, margin: %s}",
    "{kind: no-association, x: x, y: y, margin: %s}",
    "{kind: no-association, x: x, y: y, margin: %s, within: yes}",
])
def test_whoever_asks_for_less_is_told_less_only_where_a_doubt_is_named(judged, one, test):
    """Of random studies, at margins a little apart."""
    met = set()
    for seed in range(6):
        draw = np.random.default_rng(seed)
        frame = pd.DataFrame(
            [(f"B{i}", g, draw.normal(10, 1), draw.normal(20, 0.5)) for i in range(7)
             for g in (0, 30, 60)], columns=["ball", "games", "x", "y"])  # fmt: skip
        margins = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
        claims = "".join(one(test % margin, f"c{k}") for k, margin in enumerate(margins))
        verdicts = judged(claims, frame).verdicts
        codes = [v.code for v in verdicts if v.code not in ("against", "not-tested")
                 and not set(v.reasons) & {"shared-trend", "items-moved", "fragile"}]  # fmt: skip
        assert codes == sorted(codes, key=STRENGTH.__getitem__), seed
        met |= {(v.code, "fragile" in v.reasons) for v in verdicts}
    assert ("cannot-tell", True) in met and ("leans", True) not in met


def test_that_a_change_is_too_small_is_held_to_what_steady_is(judged, one):
    """One claim says that it rose, the other that nothing as large as 1 happened: the range is
    inside 1, and without one ball it is not.  Neither is told as settled."""
    ends = [0.0, 0.0, 0.0, 0.1, 0.1, 1.6]
    frame = pd.DataFrame([(f"B{i}", g, 20.0 + (d if g else 0)) for i, d in enumerate(ends)
                          for g in (0, 60)], columns=["ball", "games", "y"])  # fmt: skip
    frame["x"] = 1.0
    steady = one("{kind: no-change, measure: y, from: 0, to: 60}", "steady")
    rose = one("{kind: change, measure: y, from: 0, to: 60, direction: up}", "rose")
    judgement = judged(steady + rose, frame)
    found = {v.claim.id: v for v in judgement.verdicts}
    assert (found["steady"].code, found["rose"].code) == ("cannot-tell", "cannot-tell")
    assert all(v.detail.fragile_range and v.reasons == ("fragile",) for v in found.values())
    page = say(judgement)
    words = page.claims["rose"]
    # The range that is printed goes by 95%, and could reach past what counts: the one that decides
    # is named.
    assert words.because[0] == (
        "The 90% range rules out a change that counts. But leave out one ball, any of 5, and it no "
        "longer does.")  # fmt: skip
    assert any("By the 90% range, which decides that, it is settled. But leave" in why
               for _, why, *_ in page.questions)
    assert not words.settle.startswith("More balls, to see whether")
    wide = frame.assign(y=np.where(frame["games"] == 60, (frame["y"] - 20) / 4 + 20, 20.0))
    assert {v.code for v in judged(steady + rose, wide).verdicts} == {"backed", "against"}


def test_a_claim_that_names_its_own_size_is_judged_at_no_other(judged, one):
    """Whoever wrote the page chose 1; the claim says 2 by itself, and no row would move it."""
    frame = pd.DataFrame([(f"B{i}", g, 20.0 + (d if g else 0))
                          for i, d in enumerate((3, 3.2, 3.1, 2.9, 3)) for g in (0, 60)],
                         columns=["ball", "games", "y"]).assign(x=1.0)  # fmt: skip
    test = "{kind: change, measure: y, from: 0, to: 60, direction: up%s}"
    assert set(what_if(judged(one(test % ""), frame))) == {"c"}
    assert not what_if(judged(one(test % ", at_least: 2"), frame))


def test_no_row_says_that_one_item_carries_what_stands_without_any(judged, one):
    """Changes in half steps of a coarse gauge: without B4 the others of its model are all alike,
    and the range, by each model's own spread, stays inside half a step whoever is left out."""
    ends, models = (0.5, 0.0, -0.5, 0.0, -0.5, 1.0, -0.5, 0.0), "PTPPTPPT"
    frame = pd.DataFrame(
        [(f"B{i}", models[i], g, 20.0 + (d if g else 0)) for i, d in enumerate(ends)
         for g in (0, 60)], columns=["ball", "model", "games", "y"],
    ).assign(x=1.0)  # fmt: skip
    for i in range(8):
        rest = [(d, m) for k, (d, m) in enumerate(zip(ends, models, strict=True)) if k != i]
        sides = [np.array([d for d, m in rest if m == model]) for model in "PT"]
        parts = [side.var(ddof=1) / len(side) for side in sides]
        df = sum(parts) ** 2 / sum(p**2 / (len(s) - 1) for p, s in zip(parts, sides, strict=True))
        half = stats.t.ppf(0.95, df) * np.sqrt(sum(parts)) / 2
        assert abs(sum(side.mean() for side in sides) / 2) + half < 0.5
    test = "{kind: no-change, measure: y, from: 0, to: 60, margin: 1}"
    head = HEAD.replace("tested: {each: ball}", "tested: {each: ball, group: model}")
    [rows] = what_if(judged(one(test), frame, head=head)).values()
    [half] = [r for r in rows if r.margin == 0.5]
    assert (half.code, half.verdict.reasons) == ("backed", ("groups",))


@pytest.mark.parametrize("name", ["four-grits", "cover-texture", "sixty-shots", "league-season"])
def test_what_rests_on_no_margin_is_judged_once_and_is_what_it_would_be_each_time(
    name, monkeypatch
):
    """Half of an author's wait for a changed number was the same links, worked out five times."""
    workspace, folder = find_study(str(ROOT / "studies" / name), None)
    judgement = judge(load_study(folder, workspace))
    anew = verdicts_of
    each_time = {}
    for factor in FACTORS:
        for verdict in anew(scaled(judgement.study, factor), judgement.thresholds):
            each_time[verdict.claim.id, factor] = repr(verdict)
    asked: list[str] = []
    judged = design.judged

    def counted(case):
        asked.append(case.kind.name)
        return judged(case)

    found = {}

    def told(study, limits, *known):
        made = anew(study, limits, *known)
        factor = FACTORS[len({key[1] for key in found})]
        found.update({(v.claim.id, factor): repr(v) for v in made})
        return made

    monkeypatch.setattr("explainer.claims.judge.judged", counted)
    monkeypatch.setattr("explainer.claims.what_if.verdicts_of", told)
    rows = what_if(judgement)
    assert found and found == {key: each_time[key] for key in found}
    assert {claim for claim, _ in found} >= rows.keys()
    alone = {c.id for c in judgement.study.description.claims
             if not c.is_key and not any(KINDS[t.kind].corrected for t in c.all_tests)}  # fmt: skip
    assert not (alone - rows.keys()) & {claim for claim, _ in found}
    if name == "four-grits":
        assert asked.count("association") == sum(
            t.kind == "association" for c in judgement.study.description.claims for t in c.all_tests
        )


def test_agreement_goes_by_the_size_that_it_says_itself(judged, one):
    """That of the measure, which nobody looked at, was told to be the one as judged."""
    apart = (0.30, 0.25, 0.33, 0.28, 0.31, 0.22, 0.29, 0.35, 0.27, 0.26, 0.30, 0.24)
    frame = pd.DataFrame([(f"B{i}", gauge, 20.0 + i + off, 1.0) for i, d in enumerate(apart)
                          for gauge, off in (("shop", d), ("bench", 0.0))],
                         columns=["ball", "gauge", "y", "x"])  # fmt: skip
    test = "{kind: agreement, measure: y, by: gauge, a: shop, b: bench, within: 0.5}"
    head = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
    [rows] = what_if(judged(one(test), frame, head=head)).values()
    assert [(r.margin, r.code, r.chosen) for r in rows] == [
        (0.125, "against", False), (0.25, "against", False), (0.5, "backed", True),
        (1.0, "backed", False), (2.0, "backed", False)]  # fmt: skip
