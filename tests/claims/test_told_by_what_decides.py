"""What is said of a claim goes by the number that decides it, and by no other beside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pandas as pd
import pytest

from explainer.claims.verdict import Judgement
from explainer.words.facts.relations import relations
from explainer.words.said import ClaimWords
from explainer.words.say import say

Judge = Callable[..., Judgement]
One = Callable[..., str]

HEAD = """\
title: A test study
question: Does it?
invented: yes
tested: {each: ball}
measures:
  x: {unit: microinch, repeatability_sd: 0.001, lowest: -1000000}
  y: {unit: board, matters_from: 1}
"""
USED = HEAD.replace("measures:", "use: {column: games, term: games rolled, unit: game}\nmeasures:")
MODELS = HEAD.replace("{each: ball}", "{each: ball, group: model}")


def linked(r: float, n: int = 16) -> pd.DataFrame:
    """``n`` balls whose x and y have the link ``r``, to the last digit."""
    x, noise = np.random.default_rng(4).normal(size=(2, n))
    x = (x - x.mean()) / x.std()
    noise -= noise.mean() + x * (noise @ x) / n
    y = r * x + np.sqrt(1 - r * r) * noise / noise.std()
    return pd.DataFrame({"ball": [f"B{i}" for i in range(n)], "x": x, "y": y})


def changed(changes: Sequence[float], sides: str = "") -> pd.DataFrame:
    """y of each ball before and after 60 games, on its side where there are some."""
    rows = [(f"B{i}", (sides or "N" * len(changes))[i], g, 10 + c * (g > 0))
            for i, c in enumerate(changes) for g in (0, 60)]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "kind", "games", "y"]).assign(x=1.0)


def words(judgement: Judgement) -> ClaimWords:
    return say(judgement).claims["c"]


@pytest.mark.parametrize(("r", "there"), [(0.4445, False), (0.6, True)])
def test_a_range_made_for_a_margin_finds_no_link(
    judged: Judge, one: One, r: float, there: bool
) -> None:
    """Of both links the 90% range is clear of none; of the weaker one the 95% range is not."""
    j = judged(one("{kind: no-association, x: x, y: y, margin: 0.7}"), linked(r), head=HEAD)
    (v,) = j.verdicts
    known = relations(v)
    assert known["one_sided"] and known["clear_of_none"] is there
    assert ("There is a link" in words(j).says) is there, words(j).says
    assert (f"Is {'the' if there else 'any'} link of" in say(j).questions[0][0])


def test_a_size_claimed_is_what_a_range_is_held_to_and_not_what_matters(
    judged: Judge, one: One
) -> None:
    """All of the range is less than a board, which matters, and half a board is claimed."""
    test = ("{kind: difference-in-change, measure: y, direction: any, at_least: 0.5, from: 0, "
            "to: 60, by: kind, a: M, b: N}")  # fmt: skip
    frame = changed([0, 0.8, 0.2, 1.0, 0.3, 0.1, 0.9, 0.5, 0.6, 0.2], "MNMNMNMNMN")
    j = judged(one(test), frame, head=USED)
    known = relations(j.verdicts[0])
    assert known["within_margin"] and known["part_in"] and known["sized"]
    said = words(j).says
    assert "By the range alone" not in said and "leaves the claim open" in said, said


def test_the_dots_are_told_against_the_line_of_a_strong_link(judged: Judge, one: One) -> None:
    test = "{kind: association, x: x, y: y, direction: any, strong: yes}"
    told = words(judged(one(test), linked(0.75), head=HEAD)).outcomes
    assert "lie where the claim needs them" in told[1], told


@pytest.mark.parametrize("way", ["down", "any"])
def test_dots_all_too_small_are_not_said_to_be_what_the_claim_needs(
    judged: Judge, one: One, way: str
) -> None:
    """A drop of less than matters is no drop, though half of the dots are on its side."""
    test = f"{{kind: change, measure: y, from: 0, to: 60, direction: {way}}}"
    j = judged(one(test), changed([-0.1, 0.0, 0.1] * 3), head=USED)
    told = words(j).outcomes
    assert j.verdicts[0].code == "against"
    assert "is too small to matter, which is not as said" in told[1], told
    assert "of the twenty" in told[1] and "the claim needs" not in told[1]


def test_one_dot_is_no_rest(judged: Judge, one: One) -> None:
    test = "{kind: association, x: x, y: y, direction: any}"
    told = words(judged(one(test), linked(0.4445), head=HEAD)).outcomes
    assert told[1] == "Nineteen of the twenty lie on one side of nothing, one on the other."


def test_a_claim_about_the_gauge_is_not_counted_among_those_that_luck_may_back(
    judged: Judge, one: One
) -> None:
    """It is judged by a range as well, so it is said that the others are those not about it."""
    rng = np.random.default_rng(2)
    rows = [(f"B{i}", who, k, 10 + i + rng.normal(0, 0.3)) for i in range(6)
            for who in "PQR" for k in range(3)]  # fmt: skip
    gauge = pd.DataFrame(rows, columns=["ball", "who", "turn", "y"])
    claims = "".join((
        one("{kind: repeatability, measure: y, table: g, operator: who, repeat: turn}", "gauge"),
        one("{kind: association, x: x, y: y, table: t, direction: any}", "link"),
        one("{kind: no-association, x: x, y: y, table: t, margin: 0.7}", "none"),
    ))  # fmt: skip
    tables = {"t": linked(0.5), "g": gauge}
    j = judged(claims, tables, head=HEAD)
    assert j.verdict("gauge").low is not None
    told = say(j).several
    assert "claims that are judged by a range and are not about the gauge (numbers 2 and 3)" in told


FIGURES = """\
figures:
  - {id: f, kind: scatter, table: t, x: x, y: y, join: no}
"""


@pytest.mark.parametrize(("models", "titled"), [
    ("ABCDD", "y against x, ball by ball"), ("", "Higher balls"),
])  # fmt: skip
def test_a_figure_finds_no_link_that_may_lie_between_models(
    judged: Judge, one: One, models: str, titled: str
) -> None:
    frame = linked(0.97, 5)
    if models:
        frame["model"] = list(models)
    test = "{kind: association, x: x, y: y, direction: positive}"
    j = judged(one(test), frame, head=MODELS if models else HEAD, more=FIGURES)
    figure = say(j).figures["f"]
    assert ("How much of that link lies between one model and another" in figure.shows) is bool(
        models), figure.shows  # fmt: skip
    assert ("tended to" in figure.title + figure.shows) is not bool(models), figure
    assert (j.verdicts[0].code == "not-tested") is bool(models)


def test_what_cannot_be_answered_is_headed_as_not_tested(judged: Judge, one: One) -> None:
    claim = one("{kind: no-association, x: x, y: y, margin: 0.3}")
    j = judged(claim.replace("test:", "briefly: No link, test:"), linked(0.1, 5), head=HEAD)
    assert j.verdicts[0].code == "not-tested"
    assert say(j).headline == "No link? Not tested here."
    assert "too few to test whether x has little to do with y" in words(j).says, words(j).says


def test_most_of_a_change_has_two_ends(judged: Judge, one: One) -> None:
    test = "{kind: break-in, measure: y, from: 0, by: 20, to: 60}"
    rows = [(f"B{i}", g, 10 + c * s) for i, c in enumerate([4, 5, 6, 5, 4.5, 5.5])
            for g, s in ((0, 0), (20, 0.95 + 0.01 * i), (60, 1))]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["ball", "games", "y"]).assign(x=1.0)
    said = words(judged(one(test), frame, head=USED)).method
    assert "From 80% to 125% counts as most of it, by the usual marks" in said, said


def test_an_end_in_a_figure_stays_on_its_side_of_what_matters(judged: Judge, one: One) -> None:
    """0.98 is not told as 1.0 beside the 1 that it falls short of."""
    frame = changed([-0.85, -0.05, -1.25, 0.25, -0.55, -0.35, -1.05, -0.65])
    more = "figures:\n  - {id: f, kind: over-use, table: t, y: y}\n"
    j = judged(one("{kind: no-change, measure: y, from: 0, to: 60}"), frame, head=USED, more=more)
    (found,) = (f.numbers for f in j.figures[0].findings if f.kind == "change")
    shows = say(j).figures["f"].shows
    assert round(found["low"], 2) == -0.98 and "0.1 to 0.98)" in shows, shows
