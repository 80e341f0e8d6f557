"""Item by item: every sentence that may be said of one, on the page and aloud, held to readings
made so that anybody can tell what the item did."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import FigureResult, Judgement
from explainer.study.load import load_study, open_workspace
from explainer.words.page.figures import walk_facts
from explainer.words.phrases.book import book_of
from explainer.words.phrases.renderer import Teller, sentence
from explainer.words.say import say
from explainer.words.script.screen import one_by_one
from explainer.words.script.talk_of_study import say_script

#: Two readings of roughness or hardness can be told apart from 0.84 on: 2.77 times 0.3, and steps.
GAUGE = "resolution: 0.1, repeatability_sd: 0.3"
STUDY = f"""\
title: Walks
question: What did each of them do?
invented: yes
tested: {{each: ball}}
use: {{column: games, term: games rolled, unit: game}}
measures:
  rough: {{term: roughness, unit: microinch, {GAUGE}, more_is: rougher, less_is: smoother}}
  hard: {{term: hardness, unit: Shore D, {GAUGE}, more_is: harder, less_is: softer}}
  hook: {{term: total hook, unit: board, more_is: more hook, less_is: less hook}}
tables:
  covers: {{file: covers.csv}}
  moves: {{file: moves.csv}}
  once: {{file: once.csv}}
  strikes: {{file: strikes.csv, tested: {{each: alley}}}}
  shots: {{file: shots.csv, order: shot}}
figures:
  - {{id: use, kind: over-use, table: covers, y: rough, walk: yes, say: Look.}}
  - {{id: unknown, kind: over-use, table: covers, y: hook, walk: yes, say: Look.}}
  - {{id: trails, kind: scatter, table: moves, x: hard, y: rough, join: yes, walk: yes, say: Look.}}
  - {{id: dots, kind: scatter, table: moves, x: hard, y: rough, walk: yes, say: Look.}}
  - {{id: called, kind: limit, table: once, y: rough, at_least: 50, walk: yes, say: Look.}}
  - {{id: ranked, kind: groups, table: once, y: rough, by: ball, walk: yes, say: Look.}}
  - {{id: rated, kind: rates, table: strikes, successes: strikes, attempts: tries, by: kind,
     within: alley, walk: yes, say: Look.}}
  - {{id: series, kind: shot-series, table: shots, y: hook, walk: yes, say: Look.}}
claims:
  - {{id: falls, report_says: It fell., plainly: It falls.,
     test: {{kind: change, measure: rough, from: 0, to: 40, direction: down, table: covers}}}}
"""
#: Roughness and hook at games 0, 10, 20 and 40.
RUNS = {
    "Slide": ((50, 45, 40, 35), (9, 8, 8, 7)), "Jump": ((50, 40, 40, 40), (9, 9, 9, 9)),
    "Back": ((50, 40, 46, 46), (9, 8, 9, 11)), "Wobble": ((50, 50.6, 49.5, 50), (8, 8, 8, 8)),
    "Flat": ((50, 50.1, 50, 50.1), (9, 9, 9, 8)),
}  # fmt: skip
#: Hardness and roughness at the first and the last reading.
MOVES = {"Both": ((10, 50), (20, 40)), "Across": ((10, 50), (20, 50.2)),
         "Upright": ((10, 50), (10.2, 40)), "Neither": ((10, 50), (10.1, 50.1))}  # fmt: skip
ONCE = {"High": 60.0, "Mid": 50.3, "Near": 50.1, "Low": 40.0}
STRIKES = {"Up": (20, 80), "Down": (80, 20), "Luck": (50, 52)}
#: What a sentence about each of them has to say, and what none may.
MEANT: dict[str, dict[str, tuple[str, str]]] = {
    "use": {
        "Slide": (r"\b15\b.*", r"level|back|at once|one step|rose|no further"),
        "Jump": (r"\b10\b.*(level|no more|stayed)", r"back|turned|rose"),
        "Back": (r"back|turned round", r"level|one step"),
        "Wobble": (r"(moved about|Up and down|moves about).*(ended|end|began)", r"level|drop|fell"),
        "Flat": (r"[Ll]evel|hardly m|no further|[Nn]othing|stayed where", r"fell|rose|1\d micro"),
    },
    "unknown": dict.fromkeys(RUNS, (r"reads|it’s|it's|first reading", r"fell|rose|level|gauge")),
    "trails": {
        "Both": (r"in both|hardness.* and .*roughness", r"alone|too close|gauge"),
        "Across": (r"hardness", r"in roughness alone|in both|to 40"),
        "Upright": (r"roughness", r"in hardness alone|in both|to 20"),
        "Neither": (r"where it is|gauge could see", r"goes|moves|alone"),
    },
    "dots": dict.fromkeys(MOVES, (r"roughness", r"gauge|moves|goes")),
    "called": {"High": (r"meets", r"miss|close"), "Low": (r"misses", r"meets|close"),
               "Mid": (r"too close", r"meets|misses"), "Near": (r"too close", r"meets|misses")},
    "ranked": {"Mid": (r"9\.7|50\.3|about 10", r"too close|can't tell|might as well"),
               "Near": (r"tell|too close|might as well", r"below that|further down"),
               "Low": (r"\b(?:10|40)\b", r"too close|can't tell|might as well")},
    "rated": {"Up": (r"\bup\b", r"\bdown\b|no further|can do"),
              "Down": (r"\bdown\b", r"\bup\b|no further|can do"),
              "Luck": (r"luck.* can|luck.* may|luck.*enough", r"goes up|goes down|more than")},
    "series": {"Drift": (r"\bup\b", r"down|No direction|nowhere"),
               "Leap": (r"\bup\b.*jump", r"drifts|on its way|down|[Nn]o direction"),
               "Wander": (r"direction|nowhere", r"drifts|on its way|jump")},
}  # fmt: skip


@pytest.fixture(scope="module")
def judgement(tmp_path_factory: pytest.TempPathFactory) -> Judgement:
    folder = tmp_path_factory.mktemp("walks") / "studies" / "walks"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(STUDY, "utf-8")
    uses = (0, 10, 20, 40)
    rows = {
        "covers": ["ball,games,rough,hook", *(
            f"{ball},{use},{rough},{hook}" for ball, (read, hooks) in RUNS.items()
            for use, rough, hook in zip(uses, read, hooks, strict=True))],
        "moves": ["ball,games,hard,rough", *(
            f"{ball},{use},{x},{y}" for ball, ends in MOVES.items()
            for use, (x, y) in zip((0, 40), ends, strict=True))],
        "once": ["ball,rough", *(f"{ball},{read}" for ball, read in ONCE.items())],
        "strikes": ["alley,kind,strikes,tries", *(
            f"{who},{kind},{made},100" for who, both in STRIKES.items()
            for kind, made in zip(("old", "new"), both, strict=True))],
        # A zigzag of two boards: one climbs by six through it, the other stays where it began.
        "shots": ["ball,shot,hook", *(
            f"{ball},{shot},{9 + slope * shot + shot % 2}"
            for ball, slope in (("Drift", 0.2), ("Wander", 0.0)) for shot in range(30)),
            # As high before its one jump as after it, but for the zigzag.
            *(f"Leap,{shot},{9 + 8 * (shot >= 12) + shot % 2}" for shot in range(30))],
    }  # fmt: skip
    for name, lines in rows.items():
        (folder / f"{name}.csv").write_text("\n".join(lines) + "\n", "utf-8")
    return judge(load_study(folder, open_workspace(folder.parents[1])))


def walked(judgement: Judgement) -> dict[str, FigureResult]:
    return {f.figure.id: f for f in judgement.figures}


def every(judgement: Judgement, figure: str) -> Iterator[tuple[str, str, str]]:
    """Item, name and each sentence that may be said of it, not only the one whose turn it is."""
    study = judgement.study
    teller = Teller(book_of(study), study.id, "viewer")
    result = walked(judgement)[figure]
    walk, table = result.walk, study.tables[result.figure.table]
    assert walk is not None
    aloud = one_by_one(result, study)
    for step, (shape, heard) in zip(walk.steps, aloud, strict=True):
        assert step.shape == shape
        for name, facts in ((f"walk.{shape}", walk_facts(walk, step, study, table)),
                            (f"script.walk.{shape}", heard)):  # fmt: skip
            [fit] = teller.every([name], facts, about=step.item)
            yield from ((step.item, name, sentence(teller.filled(one, facts))) for one in fit)


@pytest.mark.parametrize("figure", MEANT)
def test_what_is_said_of_each_is_what_it_did(judgement: Judgement, figure: str) -> None:
    told = list(every(judgement, figure))
    assert {item for item, _, _ in told} >= set(MEANT[figure])
    for item, name, text in told:
        if item not in MEANT[figure]:  # the first of a ranking, with nothing above it
            continue
        says, never = MEANT[figure][item]
        assert re.search(says, text) and not re.search(never, text), f"{item}, {name}: {text}"


def test_a_walk_is_spoken_in_the_units_that_come_first(judgement: Judgement) -> None:
    """Nineteen millimeters in a claim are not three quarters of an inch in its figure's walk."""
    study = judgement.study
    settings = study.workspace.settings.model_copy(update={"units_first": "metric"})
    metric = replace(study, workspace=replace(study.workspace, settings=settings))
    for name, own, other in (("use", "microinch", "micrometer"), ("unknown", "board", "meter")):
        for here, says, never in ((study, own, other), (metric, other, own)):
            sizes = [str(facts[key]) for _, facts in one_by_one(walked(judgement)[name], here)
                     for key in ("size", "away", "gap", "level")]  # fmt: skip
            assert any(says in size for size in sizes), (name, sizes)
            assert not any(never in size for size in sizes), (name, sizes)


def test_every_shape_of_a_walk_is_spoken(judgement: Judgement) -> None:
    spoken = {name for figure in MEANT for _, name, _ in every(judgement, figure)}
    shapes = {n for n in book_of(judgement.study) if re.match(r"(script\.)?walk\.", n)}
    # These speak beside a walk and not of one item's shape.
    rest = {f"{head}walk.{n}" for head in ("", "script.") for n in ("sum", "more")} | {"walk.odd"}
    assert shapes - rest == spoken


def test_the_sum_goes_by_the_readings(judgement: Judgement) -> None:
    """Three of five went down, Flat alone up, by a tenth; one hook down, one up, a gauge unknown;
    one alley up and one down (and one by two strikes); nothing where as many rose as fell."""
    page = {id: said.walk[-1] for id, said in say(judgement).figures.items()}
    aloud = {
        line.key.removeprefix("walk "): line.text
        for shot in say_script(judgement, say(judgement)).shots for line in shot.lines
        if line.key.startswith("walk ")
    }  # fmt: skip
    for said in (page, aloud):
        assert "3 of 5 balls went down" in said["use"] and "Flat alone" in said["use"]
        assert "Slide went furthest" in said["use"]
        assert "2 of 5 balls went down" in said["unknown"]
        assert "Nobody knows how far a reading may be off" in said["unknown"]
        assert "2 of 3 alleys went up" in said["rated"] and "Down alone" in said["rated"]


#: Readings below zero, near a limit, at one end alone, and a ball that does not move.
EDGES = """\
title: Edges
question: What did each of them do?
invented: yes
tested: {each: ball}
use: {column: games, term: games rolled, unit: game}
measures:
  temp: {term: surface temperature, unit: degree, resolution: 0.01, repeatability_sd: 0.3}
  hook: {term: total hook, unit: board, resolution: 0.1}
tables:
  cold: {file: cold.csv}
  shots: {file: shots.csv, order: shot}
figures:
  - {id: use, kind: over-use, table: cold, y: temp, walk: yes, say: Look.}
  - {id: called, kind: limit, table: cold, y: temp, at_least: -5, at: 0, walk: yes, say: Look.}
  - {id: side, kind: groups, table: cold, y: temp, by: ball, at: 0, walk: yes, say: Look.}
  - {id: trails, kind: scatter, table: cold, x: temp, y: hook, join: yes, walk: yes, say: Look.}
  - {id: series, kind: shot-series, table: shots, y: hook, walk: yes, say: Look.}
claims:
  - {id: c, report_says: It fell., plainly: It falls., test: {kind: change, measure: temp,
     from: 0, to: 40, direction: down, table: cold}}
"""


@pytest.fixture(scope="module")
def edges(tmp_path_factory: pytest.TempPathFactory) -> Judgement:
    root = tmp_path_factory.mktemp("edges")
    folder = root / "studies" / "edges"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(EDGES, encoding="utf-8")
    cold = {"A": (-5.004, -9.0, 1), "B": (-12.0, -12.0, 3), "C": (-3.0, -3.1, 2)}
    rows = [f"{b},{g},{t},{h}" for b, (*ends, start) in cold.items()
            for g, t, h in zip((0, 40), ends, (start, start + 20), strict=True)]  # fmt: skip
    rows.append("D,0,-4,1\nD,20,-8,2")
    (folder / "cold.csv").write_text("ball,games,temp,hook\n" + "\n".join(rows) + "\n", "utf-8")
    shots = "".join(f"S,{n},9\nT,{n},{9 - n}\n" for n in (1, 2, 3))
    (folder / "shots.csv").write_text("ball,shot,hook\n" + shots, encoding="utf-8")
    return judge(load_study(folder, open_workspace(root)))


def test_what_is_walked_is_true_at_the_edges(edges: Judgement) -> None:
    figures = say(edges, "viewer").figures
    called = figures["called"].walk
    assert any("reads −5.004 degrees. That is too close" in said for said in called), called
    assert not any("up and down" in said for said in figures["series"].walk)
    total = figures["use"].walk[-1]
    assert "2 of 3 balls read at both ends went down, 1 of them by more than" in total, total
    assert "of these" in total
    spoken = " ".join(line.text for shot in say_script(edges, say(edges)).shots
                      for line in shot.lines if line.key.startswith("walk "))  # fmt: skip
    assert "Ball C reads about three degrees below zero" in spoken
    assert "and nowhere" not in spoken and "no direction." not in spoken
    assert "total hook at first" in spoken
    assert not re.search(r", with about \w+ boards? in total hook\.", spoken)
