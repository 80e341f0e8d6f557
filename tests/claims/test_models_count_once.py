"""Where balls come in unequal models, every claim and every figure takes the same average."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say

HOME = Path(__file__).parents[2]
#: ball, model, oil, and readings at 0, 20 and 60 games: six fall by 20 steadily, two by 8 at once.
BALLS = [
    ("B0", "P", "wet", 70, 61, 50), ("B1", "P", "dry", 72, 62, 53), ("B2", "P", "wet", 69, 59, 48),
    ("B3", "P", "dry", 71, 62, 52), ("B4", "P", "wet", 70, 60, 51), ("B5", "P", "dry", 73, 63, 53),
    ("B6", "T", "wet", 70, 62, 62), ("B7", "T", "dry", 71, 63.5, 62.5),
]  # fmt: skip
TESTS = {
    "change": "{kind: change, measure: texture, from: 0, to: 60, direction: down}",
    "early": "{kind: break-in, measure: texture, from: 0, by: 20, to: 60}",
    "apart": "{kind: difference, measure: texture, by: oil, a: wet, b: dry, at: 60}",
    "along": "{kind: tracks-within, x: texture, y: hook, direction: positive}",
}


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> Judgement:
    return judged_of(BALLS, tmp_path_factory.mktemp("w") / "studies" / "s")


def judged_of(balls: list[tuple[Any, ...]], folder: Path) -> Judgement:
    folder.mkdir(parents=True)
    rows: list[tuple[Any, ...]] = [
        (ball, model, oil, games, y, (y - 50) * (0.1 if model == "P" else 0.3) + i * 0.1)
        for i, (ball, model, oil, *levels) in enumerate(balls)
        for games, y in zip((0, 20, 60), levels, strict=True)
    ]
    frame = pd.DataFrame(rows, columns=["ball", "model", "oil", "games", "texture", "hook"])
    frame.to_csv(folder / "t.csv", index=False)
    claims = "".join(
        f"  - {{id: {name}, report_says: So., plainly: So., test: {test}}}\n"
        for name, test in TESTS.items()
    )
    (folder / "study.yaml").write_text(
        "title: T\nquestion: Q?\ninvented: true\ntested: {each: ball, group: model}\n"
        "use: {column: games, term: games rolled, unit: game}\nmeasures:\n"
        "  texture: {term: cover roughness, unit: microinch, matters_from: 6, more_is: rougher, "
        "less_is: smoother}\n"
        "  hook: {term: total hook, unit: board, more_is: more hook, less_is: less hook}\n"
        "tables:\n  t: {file: t.csv, source: Table 1}\nfigures:\n"
        "  - {id: lines, kind: over-use, table: t, y: texture}\n"
        "  - {id: sides, kind: groups, table: t, y: texture, by: oil, at: 60}\n"
        f"claims:\n{claims}", "utf-8",
    )  # fmt: skip
    study = load_study(folder, open_workspace(folder.parents[1]))
    workspace = replace(study.workspace, template_folders=(HOME / "templates",))
    return judge(replace(study, workspace=workspace))


def half(values: list[float]) -> float:
    """The six balls' mean and the two balls' mean, each once."""
    return (sum(values[:6]) / 6 + sum(values[6:]) / 2) / 2


def test_each_claim_counts_both_models_once(judged: Judgement) -> None:
    start, middle, end = ([float(b[k]) for b in BALLS] for k in (3, 4, 5))
    total = half(end) - half(start)
    assert judged.verdict("change").estimate == pytest.approx(total)
    early = judged.verdict("early")
    assert early.estimate == pytest.approx((half(middle) - half(start)) / total)
    assert judged.verdict("along").estimate == pytest.approx(0.2, abs=0.01)
    apart = judged.verdict("apart")
    wet, dry = (
        [sum(b[5] for b in BALLS if b[1:3] == (model, oil)) / (3 if model == "P" else 1)
         for model in "PT"] for oil in ("wet", "dry")
    )  # fmt: skip
    assert (apart.extra["mean_a"], apart.extra["mean_b"]) == pytest.approx(
        (sum(wet) / 2, sum(dry) / 2)
    )
    assert apart.estimate == pytest.approx(sum(wet) / 2 - sum(dry) / 2)
    assert all(v.detail.n_groups == 2 and v.detail.groups_uneven for v in judged.verdicts)


def test_a_range_that_some_balls_alone_make_says_how_many_those_are(tmp_path: Path) -> None:
    judged = judged_of(BALLS[:-1], tmp_path / "studies" / "s")  # one ball of the model T
    claims = say(judged, "viewer").claims
    for name in ("change", "early", "along"):
        assert judged.verdict(name).detail.with_mates == 6
        assert "goes by how 6 balls of the 7 differ from others" in claims[name].method
        assert "the rest are alone there" in claims[name].method
        assert "7 balls differ" not in claims[name].method
    assert judged.verdict("apart").detail.with_mates is None  # no model stands on both sides


def test_a_range_that_all_balls_make_says_nothing_of_mates(judged: Judgement) -> None:
    claims = say(judged, "viewer").claims
    assert not any("is alone" in claims[n].method for n in ("change", "early", "along"))
    assert judged.verdict("apart").detail.with_mates == 6  # the two of T on a side each
    assert "of their own model on their own side" in claims["apart"].method


def test_a_share_done_by_then_names_what_its_range_goes_by(judged: Judgement) -> None:
    early = say(judged, "viewer").claims["early"].method
    assert "Fieller's 90% range from how balls differ from others of their own model." in early


def test_of_models_that_did_not_do_alike_one_share_says_nothing(judged: Judgement) -> None:
    early = judged.verdict("early")
    assert early.detail.groups_apart and "groups" in early.reasons
    assert early.code == "cannot-tell"  # the whole range lies outside, and half of it by one model
    said = " ".join(say(judged, "viewer").claims["early"].because)
    assert "did not do alike" in said


def test_a_figure_shows_the_average_that_the_claim_is_about(judged: Judgement) -> None:
    lines = next(f for f in judged.figures if f.figure.id == "lines")
    change = next(f.numbers for f in lines.findings if f.kind == "change")
    claim = judged.verdict("change")
    assert (change["change"], change["low"], change["high"]) == pytest.approx(
        (claim.estimate, claim.low, claim.high)
    )
    assert (change["mean_from"], change["mean_to"]) == pytest.approx(
        (claim.detail.mean_from, claim.detail.mean_to)  # type: ignore[attr-defined]
    )
    assert [m.mean for m in lines.data.means][::2] == pytest.approx(
        [change["mean_from"], change["mean_to"]]
    )
    sides = next(f for f in judged.figures if f.figure.id == "sides")
    gap = next(f.numbers for f in sides.findings if f.kind == "difference")
    apart = judged.verdict("apart")
    assert abs(float(gap["difference"] or 0)) == pytest.approx(abs(apart.estimate or 0))
    assert sorted(g.mean for g in sides.data.groups) == pytest.approx(
        sorted([apart.extra["mean_a"], apart.extra["mean_b"]])
    )


def test_it_is_said_that_each_model_counts_once(judged: Judgement) -> None:
    words = say(judged, "viewer")
    for name in ("change", "early", "along"):
        assert "2 models, each counted once" in words.claims[name].says
        assert "Each model counts once" in words.claims[name].method
    for figure in ("lines", "sides"):
        assert "averages count each model once" in words.figures[figure].note
