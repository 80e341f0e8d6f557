"""Nothing is named before its still shows it, nothing told twice, no link without its warning."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import pytest

from explainer.charts.display_list import AXES, DATA, SUMMARY, Dots, Stroke, Text
from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import compose_script
from explainer.study.load import find_study, load_study
from explainer.words.facts.relations import SHAKY
from explainer.words.phrases.book import book_of
from explainer.words.script.figures import links

STUDIES = Path(__file__).parents[2] / "studies"
EXAMPLES = ("cover-texture", "gauge-check", "one-old-ball", "sixty-shots", "strikes-and-oil",
            "ten-sleepers", "three-balls")  # fmt: skip

#: Kind of figure -> what a line may name, and the step of the build-up that first shows it.
#: Which step draws what was read off the stills of the examples.
DRAWN = {
    "over-use": ((r"\bthin lines?\b", DATA), (r"\bbold line\b|\baverage\b|\bbars?\b", SUMMARY)),
    "scatter": (
        (r"\b(?:each|every) (?:dot|trail)\b|\bopen mark\b", DATA),
        (r"\b(?:straight|solid|broken) line\b|\bdiamonds?\b", SUMMARY),
    ),
    "shot-series": ((r"\bdots?\b", DATA), (r"\blines?\b|\bdrift\b|\bringed\b", SUMMARY)),
    "ball-paths": ((r"\bthin lines?\b", DATA), (r"\bbold lines?\b|\bband", SUMMARY)),
    "groups": ((r"\bdots?\b", DATA), (r"\baverages?\b|\bbars?\b|\bupright\b", SUMMARY)),
    "rates": ((r"\beach line\b", DATA), (r"\bcross(?:es)?\b", SUMMARY)),
    "gauge": ((r"\bdots?\b", DATA), (r"\bbar\b", SUMMARY)),
    "limit": ((r"\bmarks?\b", DATA),),
}


@lru_cache(maxsize=len(EXAMPLES))
def told(name):
    workspace, folder = find_study(name, STUDIES.parent)
    judgement = judge(load_study(folder, workspace))
    return judgement, compose_script(judgement, compose(judgement))


def figure_lines(name):
    """(kind, step of the still, words) of every line of ours over a figure, in any form of it."""
    judgement, script = told(name)
    kinds = {f"figure:{r.figure.id}": r.figure.kind for r in judgement.figures}
    for shot in script.talk.shots:
        for line in shot.lines:
            if shot.screen.of in kinds and line.kind == "say" and "“" not in line.text:
                for text in {line.text, line.brief or "", line.again or ""} - {""}:
                    yield kinds[shot.screen.of], script.stills[shot.screen].step, text


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_line_names_a_thing_before_the_still_that_shows_it(name):
    for kind, step, text in figure_lines(name):
        for words, shown in DRAWN[kind]:
            if re.search(words, text, re.IGNORECASE):
                assert step >= shown, (kind, text)


def test_the_examples_name_what_they_draw():
    """Else the test above could not fail."""
    said = [line for name in EXAMPLES for line in figure_lines(name)]
    for kind, named in DRAWN.items():
        for words, shown in named:
            assert any(k == kind and step == shown and re.search(words, text, re.IGNORECASE)
                       for k, step, text in said), (kind, words)  # fmt: skip


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_steps_that_are_spoken_over_are_the_steps_that_are_drawn(name):
    """A still at a step draws something new there, and no dot stands on empty axes but others'."""
    judgement, script = told(name)
    for result in judgement.figures:
        marks = next(s.plate for s in script.shown if s.uid == f"k-figure-{result.figure.id}").marks
        drawn = {m.step for m in marks if isinstance(m, Dots | Stroke)}
        assert {step for _, step in DRAWN[result.figure.kind]} - {AXES} <= drawn
        dots = [m for m in marks if isinstance(m, Dots) and m.cells]
        assert all(m.step >= DATA for m in dots)
        if result.figure.kind == "limit":
            zone = [m for m in marks if isinstance(m, Text) and "too close" in m.text]
            assert any(m.step == AXES for m in zone)
            assert SUMMARY not in drawn


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_reaction_comes_before_the_answer_is_drawn_or_said(name):
    _, script = told(name)
    for part in script.talk.parts:
        reacted = [
            (number, shot.screen.step) for number, shot in enumerate(part.shots)
            if any(line.kind == "react" for line in shot.lines)
        ]  # fmt: skip
        for number, step in reacted:
            assert step < SUMMARY
            before = [n for shot in part.shots[: number + 1] for n in shot.lines]
            assert not any(n.kind == "own" for n in before)
            found = [shot.screen.step for shot in part.shots for n in shot.lines if n.claim]
            assert step < min(found, default=SUMMARY), part.id


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_catch_is_named_right_after_the_claim_it_holds_back_in_every_length(name):
    """In a sentence of the phrase book for one of the reasons that hold the claim back."""
    judgement, script = told(name)
    book = book_of(judgement.study)
    for verdict in judgement.verdicts:
        held = SHAKY & set(verdict.reasons)
        if verdict.code != "leans" or not held:
            continue
        frames = [
            ".+".join(map(re.escape, re.split(r"\{\{.*?\}\}", one.text)))
            for key, entry in book.items() for one in entry
            if any(key.startswith(f"heard.why.{reason}") for reason in held)
        ]  # fmt: skip
        lines = [n for shot in script.talk.shots for n in shot.lines
                 if n.claim == verdict.claim.id]  # fmt: skip
        assert len(lines) == 1
        for text in (lines[0].text, lines[0].brief or lines[0].text):
            assert any(re.search(frame, text) for frame in frames), text


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_link_between_items_goes_without_its_warning(name):
    """In every length; and no number of one is read out."""
    judgement, script = told(name)
    for cut in script.cuts:
        for line in (line for scene in cut.scenes for line in scene.said if line.claim):
            verdict = judgement.verdict(line.claim)
            if links(verdict) and verdict.code in ("backed", "leans", "against"):
                assert re.search(r"not one|doesn.t follow", line.text), (cut.name, line.text)
                assert not re.search(r"\d\.\d", line.text)


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_is_said_twice(name):
    _, script = told(name)
    for cut in script.cuts:
        said = [
            sentence.strip()
            for scene in cut.scenes for line in scene.said if line.kind == "say"
            for sentence in re.split(r"(?<=[.!?])\s", line.text) if len(sentence.split()) > 4
        ]  # fmt: skip
        twice = {s for s in said if said.count(s) > 1}
        assert not {s for s in twice if "“" not in s and "a catch" not in s}, cut.name


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_the_author_says_was_tested_is_said_in_every_length(name):
    judgement, script = told(name)
    described = " ".join((judgement.study.description.tested.described or "").split())
    for cut in script.cuts:
        assert described.rstrip(".").replace("'", "’") in " ".join(
            line.text.replace("'", "’") for scene in cut.scenes for line in scene.said
        )


def test_a_measure_the_study_explains_is_explained_in_every_length_where_it_first_shows():
    judgement, script = told("one-old-ball")
    for cut in script.cuts:
        for measure in ("old_hook", "lead"):
            means = judgement.study.measure(measure).means
            told_ = [line.text for scene in cut.scenes for line in scene.said]
            where = [i for i, text in enumerate(told_) if means in text]
            assert len(where) == 1, (cut.name, measure)
            shown = {"lead": "gains-on-old", "old_hook": "old-ball-steady"}[measure]
            lines = [line for scene in cut.scenes for line in scene.said]
            assert where[0] < next(i for i, line in enumerate(lines) if line.claim == shown)


def test_a_claim_turned_round_is_not_told_again_in_full():
    _, script = told("strikes-and-oil")
    for cut in script.cuts:
        text = " ".join(line.text for scene in cut.scenes for line in scene.said)
        assert len(re.findall("strikes came more often", text, re.IGNORECASE)) <= 2
        assert len(re.findall("average gap is about", text)) <= 1


def test_a_question_is_not_asked_again_by_what_would_settle_it():
    _, script = told("strikes-and-oil")
    text = " ".join(line.text for scene in script.cuts[-1].scenes for line in scene.said)
    assert text.count("one of a kind") == 1
    assert "29 bowlers" in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_the_data_say_of_a_claim_without_a_figure_stands_on_its_card(name):
    """In any length: its words are on the screen, or were said just before."""
    judgement, script = told(name)
    for cut in script.cuts:
        for scene in cut.scenes:
            for line in (n for n in scene.said if n.claim):
                if scene.screen.of.startswith("card:"):
                    assert scene.screen.of == f"card:claim-{line.claim}"
                    card = script.talk.cards[scene.screen.of.removeprefix("card:")]
                    assert card.title == judgement.verdict(line.claim).claim.sentence
