"""What an author of two studies met: sentences that were false, or harsher than the data, or that
were written and never told.  Nine made-up samples of three models, read at four checkpoints."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.editions.script_cuts import _kept
from explainer.editions.script_stills import all_stills, pngs
from explainer.proof.read import proofread
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say
from explainer.words.script.talk import Line, Part, Screen, Shot, Talk
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
    assert {"backed": "All 9 samples miss the limit of 60",
            "against": "meet the limit of 42 microinches or more",
            "cannot-tell": "Of 9 samples, 8 miss the limit of 50 microinches or more, 1 meets it "
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
    for written in ("Mark the word hook.",
                    "A worn shoe slips. But it stops there. A shoe is not sanded.",
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


# ---- what "most" means

def test_three_quarters_is_said_to_be_more_than_half_and_not_plenty_to_come(tmp_path):
    judgement, words = told(tmp_path, claim(
        "kind: break-in, measure: roughness, by: 20, from: 0, to: 60", "Most came by game 20."))
    verdict, said = judgement.verdict("it"), words.claims["it"].says
    assert verdict.code == "against" and 0.5 < verdict.extra["share_low90"] < 0.8
    assert said.startswith("More than half of it") and "at least 80%" in said
    assert "plenty" not in said
    lines = " ".join(lines_of(judgement, words))
    assert "Much of the drop" not in lines and "More than half" in lines


# ---- a window for a printed number; a checkpoint that nothing is ahead of; a claim in a clause

def test_a_printed_number_may_be_of_a_window(tmp_path):
    mean = np.mean([np.mean(rough[:2]) for rough, _ in SAMPLES.values()])
    more = claim("kind: change, measure: hook, from: 0, to: 60") + (
        f"stated:\n  - {{what: mean cover roughness in games 0 to 20, value: \"{mean:.1f}\", "
        "compute: {mean: roughness, at: [0, 20]}}\n"
        "  - {what: readings in games 0 to 20, value: \"18\", "
        "compute: {count: roughness, at: [0, 20]}}\n")  # fmt: skip
    judgement, _ = told(tmp_path, more)
    assert [check.agrees for check in judgement.stated] == [True, True]
    assert judgement.stated[0].recomputed == pytest.approx(mean)


def test_nobody_is_asked_to_read_ahead_of_the_first_checkpoint(tmp_path):
    judgement, words = told(tmp_path, claim(
        "kind: change, measure: hook, from: 0, to: 60, direction: down"))
    verdict = judgement.verdict("it")
    assert "one-step" in verdict.reasons and verdict.detail.one_step_at == 0
    asked = next(q for q in words.questions if q[0].startswith("What happened"))
    assert "ahead of" not in asked[2] and "several readings at the start" in asked[2]
    assert "another story" not in " ".join(lines_of(judgement, words))


def test_the_authors_clause_is_spoken_of_a_claim_that_does_not_hold(tmp_path):
    two = ("claims:\n  - id: it\n    report_says: All end up alike.\n"
           "    as_clause: any ball of any make ends up between 39 and 51 microinches\n    tests:\n"
           + "".join(f"      - {{kind: population-limit, measure: roughness, at: 60, {limit}, "
                     "share: 0.99}\n" for limit in ("at_least: 39", "at_most: 51")))  # fmt: skip
    judgement, words = told(tmp_path, two)
    assert judgement.verdict("it").code == "against"
    lines = lines_of(judgement, words)
    assert "The data don't go with it that any ball of any make ends up between 39 and 51 " \
           "microinches." in lines  # fmt: skip


# ---- what proof says of a study

def weak(judgement, code: str) -> list[str]:
    found = proofread(judgement.study.folder, judgement.study.workspace)
    return [p.found for p in found if p.code == code]


def test_a_number_in_a_name_is_no_typed_number(tmp_path):
    folder = told(tmp_path, claim("kind: change, measure: hook, from: 0, to: 60"))[0].study.folder
    sheet = (folder / "covers.csv").read_text("utf-8").replace("Wren,", "Harbor 38,")
    (folder / "covers.csv").write_text(sheet, "utf-8")
    text = (folder / "study.yaml").read_text("utf-8")
    (folder / "study.yaml").write_text(
        text + "intro: Here Harbor 38 is a model, and 38.5 is nothing at all.\n", "utf-8"
    )
    judgement = judge(load_study(folder, open_workspace(tmp_path)))
    found = weak(judgement, "typed-number")
    assert [f for f in found if "38" in f] == [f for f in found if "38.5" in f] != []


@pytest.mark.parametrize(("more", "warned"), [("", True), ("opinion: I would test it.", False)])
def test_an_untested_reason_is_answered_by_an_opinion_on_it(tmp_path, more, warned):
    text = ("claims:\n  - {id: fair, said_by: rule, says: It is fair., " + (more and more + ", ")
            + "test: {kind: not-testable, because: People decide.}}\n"
            "rule: {change: Covers must read fifty., reasons: [fair]}\n")
    assert bool(weak(told(tmp_path, text)[0], "untested-link")) is warned


@pytest.mark.parametrize(("settled", "warned"), [("", True), ("About thirty-six of them.", False),
                                                 ("Draw lots.", True)])  # fmt: skip
def test_a_question_that_says_how_many_answers_too_few(tmp_path, settled, warned):
    few = "kind: population-limit, measure: hook, at: 60, at_least: 12, only: {model: Wren}"
    more = claim(few, "Nearly every Wren hooks twelve boards.") + (
        "questions:\n  - {ask: Does nearly every Wren hook twelve boards?"
        + (f", settled_by: {settled}" if settled else "") + "}\n")  # fmt: skip
    assert bool(weak(told(tmp_path, more)[0], "too-few")) is warned


@pytest.mark.parametrize(
    ("word", "warned"),
    [("rolls longer", True), ("rougher", False), ("more hook", False), ("hooks more", False)],
)
def test_what_something_does_is_no_word_for_more_of_it(tmp_path, word, warned):
    judgement, words = told(tmp_path, claim(
        "kind: difference, measure: hook, by: model, a: Wren, b: Crake, at: 0"))
    path = judgement.study.folder / "study.yaml"
    path.write_text(path.read_text("utf-8").replace("more_is: more hook", f"more_is: {word}"))
    judgement = judge(load_study(judgement.study.folder, open_workspace(tmp_path)))
    assert bool(weak(judgement, "direction-word")) is warned
    if word == "hooks more":
        assert say(judgement).claims["it"].says == words.claims["it"].says


def test_a_figure_whose_claim_goes_by_windows_says_that_its_ends_are_single_checkpoints(tmp_path):
    figure = "figures: [{id: fig, kind: over-use, table: covers, y: roughness}]\n"
    window = claim("kind: change, measure: roughness, from: [0, 20], to: [40, 60], direction: down",
                   more="figure: fig, ") + figure  # fmt: skip
    _, words = told(tmp_path, window)
    assert "the readings at the start and game 60 alone" in words.figures["fig"].shows
    assert "games 0" in words.figures["fig"].shows.partition("The claim goes by")[2]
    point = window.replace("[0, 20]", "0").replace("[40, 60]", "60")
    _, words = told(tmp_path, point)
    assert "alone" not in words.figures["fig"].shows


def test_a_listener_hears_at_which_level_a_link_shows(tmp_path):
    judgement, words = told(tmp_path, LINK)
    assert judgement.verdict("it").detail.between_groups
    said = " ".join(lines_of(judgement, words))
    assert "Over all 9 samples the link shows, from one model to another." in said
    assert "Inside one and the same model" in said


# ---- a figure's dots are those its verdict goes by, and so is the sentence on its method

SHOWN = ("figures:\n  - {id: dots, kind: scatter, table: covers, x: roughness, y: hook}\n"
         + LINK.replace("{id: it,", "{id: it, figure: dots,"))  # fmt: skip


@pytest.mark.parametrize("at", [0, 60, None])
def test_a_figure_shows_the_checkpoint_that_its_claim_is_tested_at(tmp_path, at):
    text = SHOWN.replace(", at: 0", "" if at is None else f", at: {at}")
    judgement, words = told(tmp_path, text)
    data, k = judgement.figures[0].data, {0: 0, 60: 3}.get(at)
    means = {p.item: (p.x, p.y) for p in data.points}
    for (model, sample), (rough, hook) in SAMPLES.items():
        expected = (np.mean(rough), np.mean(hook)) if k is None else (rough[k], hook[k])
        [item] = [i for i in means if model in i and i.endswith(str(sample))]
        assert means[item] == pytest.approx(expected)
    method = words.claims["it"].method
    when = {0: " at the start", 60: " after 60 games", None: ""}[at]
    assert f"total hook{when}. " in method
    assert ("average cover roughness" in method) == (at is None)
    looking = words.figures["dots"].looking_at
    assert ("its average" in looking) == (at is None) or "one dot apiece" in looking


# ---- one item stands apart, and the gauge cannot see that it moved

def moved(ends):
    """Nine items of no model that end where ``ends`` says, with a figure over use."""
    return "".join(
        f"{i},{games},{80 if games == 0 else end},{12 + i % 3 / 10}\n"
        for i, end in enumerate(ends) for games in (0, 60)
    )  # fmt: skip


@pytest.mark.parametrize(("own", "still"), [(79.0, True), (70.0, False), (90.0, False)])
def test_an_odd_one_that_the_gauge_cannot_see_move_is_not_said_to_fall(tmp_path, own, still):
    folder = tmp_path / "studies" / "odd"
    folder.mkdir(parents=True)
    ends = (60.0, 60.5, 59.5, 60.2, 59.8, 60.4, 59.4, own)
    (folder / "covers.csv").write_text("ball,games,roughness,hook\n" + moved(ends), "utf-8")
    (folder / "study.yaml").write_text(
        STUDY.replace("{each: [model, sample], group: model, count: 9}", "{each: ball}")
        + "figures:\n  - {id: worn, kind: over-use, table: covers, y: roughness, say: Look., "
        "walk: yes}\n" + claim("kind: change, measure: roughness, from: 0, to: 60, direction: down",
                               more="figure: worn, "), "utf-8")  # fmt: skip
    judgement = judge(load_study(folder, open_workspace(tmp_path)))
    words = say(judgement)
    shows = words.figures["worn"].shows
    assert "One stands out." in shows
    assert ("hardly moved" in shows) == still
    spoken = " ".join(line.text for part in say_script(judgement, words).parts
                      for shot in part.shots for line in shot.lines)  # fmt: skip
    assert ("it hardly moved" in spoken.split("One stands out")[1][:60]) == still


def test_no_one_is_odd_where_its_whole_model_stands_there(tmp_path):
    """Crakes fall by 13 to 16 where the others fall by 29 to 54: a model, and no odd one out."""
    text = ("figures:\n  - {id: worn, kind: over-use, table: covers, y: roughness, say: Look.}\n"
            + claim("kind: change, measure: roughness, from: 0, to: 60, direction: down",
                    more="figure: worn, "))  # fmt: skip
    judgement, _ = told(tmp_path, text)
    assert "odd-item" not in {x.kind for x in judgement.figures[0].findings}


@pytest.mark.parametrize("voice", ["", "said_by: lanes, "])
def test_who_speaks_of_more_than_was_read_is_the_one_who_does(tmp_path, voice):
    test = "kind: change, measure: roughness, from: 0, to: 400, direction: down"
    figure = "kind: over-use, table: covers, y: roughness, say: Look."
    figures = "".join(f"  - {{id: worn-{i}, {figure}}}\n" for i in range(6))
    text = "figures:\n" + figures + claim(test, more="figure: worn-0, " + voice).replace(
        "report_says" if voice else "\0", "says")  # fmt: skip
    judgement, words = told(tmp_path, text)
    assert judgement.figures[0].data.claimed_to == 400
    cannot = " ".join(said.cannot_show for said in words.figures.values())
    assert ("The report speaks of" in cannot) == (not voice)
    assert ("A claim from somewhere else speaks of" in cannot) == bool(voice)


# ---- averages as printed are drawn, and no range is put on them

@pytest.mark.parametrize("averages", [False, True])
def test_no_range_is_put_on_averages_that_cannot_be_tested(tmp_path, averages):
    text = "figures:\n  - {id: worn, kind: over-use, table: covers, y: roughness, say: Look.}\n"
    (tmp_path / "studies" / "nine").mkdir(parents=True)
    folder = tmp_path / "studies" / "nine"
    rows = "".join(f"{m},{g},{95 + i if g == 0 else 50 + 2 * i},12\n" for i, m in enumerate("ABC")
                   for g in (0, 60))  # fmt: skip
    (folder / "covers.csv").write_text("model,games,roughness,hook\n" + rows, "utf-8")
    study = STUDY.replace("{each: [model, sample], group: model, count: 9}", "{each: model}")
    if averages:
        study = study.replace('page 3"}}', 'page 3", rows_are: {mean_of: 3}}}')
    (folder / "study.yaml").write_text(
        study + text + claim("kind: not-testable, because: Only averages were printed."), "utf-8")
    judgement = judge(load_study(folder, open_workspace(tmp_path)))
    [figure] = judgement.figures
    shows = say(judgement).figures["worn"].shows
    # Three printed averages have no average of their own either: nobody knows of how many items.
    assert (not figure.data.means) == averages == (figure.data.change is None)
    assert ("average as it was printed" in shows) == averages and ("likely" in shows) != averages
    if not averages:
        change = next(x.numbers for x in figure.findings if x.kind == "change")
        assert change["low"] is not None and change["change"] == pytest.approx(-44)


# ---- what a short script leaves out takes along what leads to it

def cut_of(*lines, seconds):
    """What is kept of the lines of one part in a script of so many seconds, at 60 words a minute.
    """
    shots = (Shot(Screen("card:one", 0), lines),)
    talk = Talk("One", (Part("one", "One", shots),))
    kept = _kept(talk, seconds, 60)
    return [line.text for n, line in enumerate(lines) if (0, 0, n) in kept]


def test_a_line_waits_for_the_one_it_needs_and_for_the_first_of_its_part():
    first, own = Line("one two", 7, key="found"), Line("my own words", 6, needs="found")
    long = Line("a " * 60 + "tail", 8)
    assert cut_of(first, own, long, seconds=30) == [first.text, own.text]
    apart = Line("my other words", 6)
    assert cut_of(first, apart, long, seconds=30) == [first.text, apart.text]


def test_a_walk_is_said_whole_or_not_at_all(tmp_path):
    """The nine of them, in a script that has room for the lead-in and two."""
    text = ("figures:\n  - {id: worn, kind: over-use, table: covers, y: roughness, say: Look., "
            "walk: yes}\n" + claim("kind: change, measure: roughness, from: 0, to: 60, "
                                   "direction: down", more="figure: worn, "))  # fmt: skip
    judgement, words = told(tmp_path, text)
    talk = say_script(judgement, words)
    walk = {line.text for shot in talk.shots for line in shot.lines if line.key == "walk worn"}
    assert len(walk) == 11 and any(text.startswith("In sum,") for text in walk)
    assert "Let's go through them, one by one." in walk
    for seconds in range(60, 400, 20):
        kept = _kept(talk, seconds, 150)
        said = {talk.parts[p].shots[s].lines[n].text for p, s, n in kept}
        assert not walk & said or walk <= said


# ---- a limit on what is worked out from two readings

BACK = """\
title: Back
question: Is it back?
invented: yes
tested: {each: ball}
measures:
  new: {unit: Shore D, resolution: 0.1, repeatability_sd: 0.3}
  baked: {unit: Shore D, resolution: 0.1, repeatability_sd: 0.3}
  back: {unit: Shore D, derived: {difference: [baked, new]}}
tables: {back: {file: back.csv, source: "Figure 4", reading_error: 0.05}}
claims:
  - id: it
    report_says: All are back.
    test: {kind: limit, measure: back, at_least: -1, at_most: 1}
"""
NINE = ((75.8, 73.9), (77.7, 77.1), (76.6, 74.4), (74.2, 72.5), (75.0, 73.6), (74.8, 74.0),
        (78.1, 77.5), (78.4, 78.0), (78.0, 78.7))  # fmt: skip


@pytest.mark.parametrize("known", [True, False])
def test_a_limit_on_a_difference_is_held_to_the_gauge_of_both_its_readings(tmp_path, known):
    folder = tmp_path / "studies" / "back"
    folder.mkdir(parents=True)
    rows = "".join(f"B{i},{new},{baked}\n" for i, (new, baked) in enumerate(NINE))
    (folder / "back.csv").write_text("ball,new,baked\n" + rows, "utf-8")
    text = BACK if known else BACK.replace(", resolution: 0.1, repeatability_sd: 0.3", "", 1)
    (folder / "study.yaml").write_text(text, "utf-8")
    workspace = open_workspace(tmp_path)
    judgement = judge(load_study(folder, workspace))
    verdict, warned = judgement.verdict("it"), {p.code: p for p in proofread(folder, workspace)}
    said = say(judgement).claims["it"].says
    if not known:
        assert verdict.detail.u is None and verdict.code == "cannot-tell"
        assert "How far the gauge may be off is not known." in said
        assert {row["p_conform"] for row in verdict.detail.items} == {None}
        assert "`repeatability_sd` of `new`" in str(warned["derived-gauge"])
        return
    u = np.sqrt(2) * np.sqrt(0.3**2 + 0.1**2 / 12 + 0.05**2 / 3)
    assert verdict.detail.u == pytest.approx(u)
    off = [baked - new for new, baked in NINE]
    sure = sum(abs(d) - 1 > 1.645 * u for d in off), sum(1 - abs(d) > 1.645 * u for d in off)
    calls = [row["call"] for row in verdict.detail.items]
    assert (calls.count("fail"), calls.count("pass")) == sure and "derived-gauge" not in warned


@pytest.mark.parametrize(
    ("unit", "more", "less", "warned"),
    [
        ("Shore D", "softer", "harder", 2), ("Shore D", "harder", "softer", 0),
        ("Shore M", "Softer", "harder", 2), ("microinch", "smoother", "rougher", 2),
        ("µm", "rougher", "smoother", 0), ("km/h", "slower", "faster", 2),
        ("kg", "heavier", "lighter", 0), ("kg", "lighter", "lighter", 1),
        ("degC", "cooler", "warmer", 2), ("foot", "shorter", "longer", 2),
        ("foot", "smoother", "rougher", 0), ("board", "less hook", "more hook", 2),
        ("board", "more hook", "less hook", 0), ("second", "slower", "faster", 0),
        ("percent", "worse", "better", 0), ("count", "fewer strikes", "more strikes", 2),
    ],
)  # fmt: skip
def test_words_for_more_and_less_that_are_turned_round_are_told(tmp_path, unit, more, less, warned):
    judgement, _ = told(tmp_path, claim(
        "kind: difference, measure: hook, by: model, a: Wren, b: Crake, at: 0"))
    path = judgement.study.folder / "study.yaml"
    text = path.read_text("utf-8")
    found = re.search(r"hook: \{.*?\}", text, re.DOTALL)
    path.write_text(text.replace(
        found[0], f"hook: {{term: total hook, unit: {unit}, more_is: {more}, less_is: {less}}}"))
    judgement = judge(load_study(judgement.study.folder, open_workspace(tmp_path)))
    assert len(weak(judgement, "direction-swapped")) == warned


# ---- the author's order, questions and answers in the talk

TALKED = """\
figures:
  - {id: rough, kind: over-use, table: covers, y: roughness, walk: yes,
     like: {what: It is like a pencil., stops: Nobody sharpens a cover.}}
  - {id: hooks, kind: over-use, table: covers, y: hook, pair: [rough, hooks],
     ask_first: How many of the nine hook less at the end?}
claims:
  - {id: falls, report_says: It fell., figure: rough, answers_question: yes,
     test: {kind: change, measure: roughness, from: 0, to: 60, direction: down}}
  - {id: early, report_says: Most of it was early., figure: rough,
     test: {kind: break-in, measure: roughness, by: 20, from: 0, to: 60}}
  - {id: hooks-less, report_says: Hook fell., figure: hooks, ask_first: How much is that?,
     test: {kind: change, measure: hook, from: 0, to: 60, direction: down}}
  - {id: softens, said_by: rule, says: Use smooths., figure: rough,
     test: {kind: change, measure: roughness, from: 0, to: 20, direction: down}}
rule: {change: Read it again., opinion: One gauge is one hand., reasons: [softens]}
"""


def parts_of(judgement, words):
    """Id and lines of each part of the longest script."""
    return [(part.id, [line.text for shot in part.shots for line in shot.lines])
            for part in say_script(judgement, words).parts]  # fmt: skip


def test_the_talk_follows_the_authors_order(tmp_path):
    ours = [id for id, _ in parts_of(*told(tmp_path, TALKED))]
    asked = "order: [hooks, rule, rough]\n"
    theirs = [id for id, _ in parts_of(*told(tmp_path, TALKED + asked))]
    assert ours.index("rough") < ours.index("hooks") < ours.index("rule")
    assert theirs[:2] == ["question", "tested"] and "answer" in theirs
    told_of = [id for id in theirs if id in ("hooks", "claim-softens", "rule", "rough",
                                             "more-rough")]  # fmt: skip
    assert told_of == ["hooks", "claim-softens", "rule", "rough"]


def test_an_order_leaves_no_claim_out_and_tells_none_twice(tmp_path):
    for order in ("[rule]", "[early, hooks]", "[rough, falls, hooks-less]", "[hooks-less, rule]"):
        judgement, words = told(tmp_path, f"{TALKED}order: {order}\n")
        talk = say_script(judgement, words)
        lines = [line.claim for shot in talk.shots for line in shot.lines if line.claim]
        assert sorted(lines) == sorted(v.claim.id for v in judgement.verdicts), order
        ids = [part.id for part in talk.parts]
        assert len(set(ids)) == len(ids) and ids.count("rule") == 1


def test_the_authors_questions_come_before_what_answers_them(tmp_path):
    said = dict(parts_of(*told(tmp_path, TALKED)))
    hooks = said["hooks"]
    asked = [hooks.index(q) for q in ("How many of the nine hook less at the end?",
                                      "How much is that?")]  # fmt: skip
    answer = next(i for i, text in enumerate(hooks) if "average total hook fell" in text)
    assert max(asked) < answer
    assert "This is what I think of it, and no data say so. One gauge is one hand." in said["rule"]
    likes = [text for text in said["rough"] if "pencil" in text]
    assert likes == ["Think of it like this. It is like a pencil. But it stops there. "
                     "Nobody sharpens a cover."]  # fmt: skip


def test_a_running_question_is_answered_by_a_claim_by_the_study_or_by_its_author(tmp_path):
    asked = TALKED + "opening: {running_question: Does it cost hook?}\n"
    _, close = parts_of(*told(tmp_path, asked))[-1]
    assert "Does it cost hook? The average cover roughness" in close[0] or (
        "Does it cost hook? Cover roughness fell" in close[0])
    judgement, words = told(tmp_path, asked + "ending: {answer: Ask me in a year.}\n")
    _, close = parts_of(judgement, words)[-1]
    assert close[0].endswith("Does it cost hook? This is my own answer, and no test gives it. "
                             "Ask me in a year.")  # fmt: skip
    assert (words.author.own_answer, words.author.answer) == ("Ask me in a year.", "")


def test_both_of_a_pair_stand_on_one_still_after_the_second(tmp_path):
    judgement, words = told(tmp_path, TALKED)
    talk = say_script(judgement, words)
    screens = [screen.of for screen in talk.screens]
    assert screens.index("pair:hooks") > max(
        i for i, of in enumerate(screens) if of in ("figure:rough", "figure:hooks")
    )
    stills = all_stills(talk, judgement, words)
    [still] = [still for screen, still in stills.items() if screen.of == "pair:hooks"]
    texts = [text.text for text in still.plate.texts]
    assert {"cover roughness (microinches)", "total hook (boards)"} <= set(texts)
    middle = still.plate.width / 2
    sides = {text.text: text.x < middle for text in still.plate.texts}
    assert sides["cover roughness (microinches)"] and not sides["total hook (boards)"]
    assert still.name.endswith("hooks-side-by-side") and len(pngs([still])) == 1


def test_a_pairs_title_gives_a_verdict_to_a_sentence_and_never_to_a_measure(tmp_path):
    _, words = told(tmp_path, TALKED)
    title = words.pairs["hooks"].title
    assert title.startswith("From cover roughness (“") and "”: " in title
    assert "roughness (backed" not in title


def test_a_walk_is_summed_up_by_the_readings_and_by_the_gauge(tmp_path):
    _, words = told(tmp_path, TALKED)
    falls = {item: rough[0] - rough[-1] for item, (rough, _) in SAMPLES.items()}
    furthest = max(falls, key=falls.__getitem__)
    last = words.figures["rough"].walk[-1]
    assert last.startswith("In sum: by their readings all 9 samples went down, each of them")
    assert furthest == ("Wren", 1) and "Wren 1 went furthest" in last


def test_ranges_inside_groups_are_explained_as_that(tmp_path):
    _, words = told(tmp_path, TALKED)
    assert "how samples differ from others of their own model" in words.claims["falls"].method
    assert "over 9 samples" not in words.claims["falls"].method


def test_no_difference_takes_pairs_where_its_author_says_so(tmp_path):
    test = "kind: no-difference, measure: hook, by: games, a: 20, b: 60, margin: 1"
    free, _ = told(tmp_path, claim(test))
    judgement, _ = told(tmp_path, claim(f"{test}, within: sample"))
    assert judgement.verdict("it").estimate == pytest.approx(free.verdict("it").estimate)


def test_proof_asks_for_a_word_where_a_link_lies_between_groups_alone(tmp_path):
    told(tmp_path, LINK)
    folder, workspace = tmp_path / "studies/nine", open_workspace(tmp_path)
    [found] = [p for p in proofread(folder, workspace) if p.code == "held-alike"]
    assert "the model held alike for the claim `it`" in str(found)
    told(tmp_path, LINK.replace("test: {", "say: Three models only., test: {"))
    assert "held-alike" not in {p.code for p in proofread(folder, workspace)}
