"""The examples as they are said: each version its length, each alone, each easy to read.

Grades are Flesch–Kincaid (Kincaid, Fishburne, Rogers and Chissom 1975, Derivation of New
Readability Formulas for Navy Enlisted Personnel, report 8-75).
"""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import find_study, load_study
from explainer.words.facts.items import PEOPLE
from explainer.words.glossary.of_study import glossary_of
from explainer.words.grade import grade
from explainer.words.page.claims import claim_facts
from explainer.words.page.study import key_verdicts
from explainer.words.phrases.renderer import Teller, load_phrases
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.spoken import minutes
from explainer.words.said import StudyWords
from explainer.words.say import say
from explainer.words.sheets.handout import say_handout

ROOT = Path(__file__).parents[2]
STUDIES = sorted(p.parent.name for p in ROOT.glob("studies/*/study.yaml"))
AUDIENCES = ("viewer", "league", "coach")

#: A text that opens so leans on another before it.
LEANS = re.compile(
    r"^(that|this(?! study)|these|those|it(?! stays| looks)|its|they|so|but|and|then|there(?! a)) ",
    re.IGNORECASE,
)
#: How many of something, in figures or, at the head of a sentence, in words.
COUNTED = re.compile(rf"\b(\d+|{'|'.join(cardinal(n).capitalize() for n in range(1, 31))}) \w+")
#: Kinds of claim that rest on a 90% range.
AT_90 = {"no-change", "no-association", "same-line", "break-in"}


@lru_cache
def judged(study: str) -> Judgement:
    workspace, folder = find_study(study, ROOT)
    return judge(load_study(folder, workspace))


@lru_cache
def said(study: str, audience: str) -> StudyWords:
    return say(judged(study), audience)


every = pytest.mark.parametrize("study", STUDIES)
to_all = pytest.mark.parametrize("audience", AUDIENCES)


@every
@to_all
def test_three_lengths_as_they_are_spoken(study: str, audience: str) -> None:
    words = said(study, audience)
    rate = judged(study).study.workspace.settings.speaking_rate
    assert len(re.findall(r"[.?!](?:\s|$)", words.answer)) == 1
    assert minutes(" ".join(words.short), rate) <= 0.5
    assert minutes(" ".join(words.long), rate) <= 2
    assert minutes(" ".join(words.long), rate) > minutes(" ".join(words.short), rate)


@every
@to_all
def test_each_version_stands_alone(study: str, audience: str) -> None:
    """It says how many, holds every key claim and points at nothing outside itself."""
    words, judgement = said(study, audience), judged(study)
    teller = Teller(
        load_phrases(judgement.study.workspace.template_folders), judgement.study.id, audience
    )
    key = key_verdicts(judgement)
    catches = [v.test.because for v in key if v.test.kind == "not-testable"]
    clauses = [
        claim_facts(teller, judgement, v)["contrary" if v.code == "against" else "clause"]
        for v in key if v.test.kind != "not-testable"
    ]  # fmt: skip
    for text in (words.answer, " ".join(words.short), " ".join(words.long)):
        assert not LEANS.match(text), text
        assert COUNTED.search(text), text
    for clause in clauses:
        assert clause.casefold() in words.answer.casefold()
        assert clause.casefold() in " ".join(words.short).casefold()
    for catch in catches:  # what no data can settle is told in the author's words
        assert catch in " ".join(words.short)
    for paragraph in (*words.short[:1], *words.long):
        assert not LEANS.match(paragraph), paragraph


def told(words: StudyWords) -> list[str]:
    """All that a page says in sentences."""
    texts = [words.answer, *words.short, *words.long, words.tested, words.chain, words.several]
    for claim in words.claims.values():
        texts += [claim.plainly, claim.says, *claim.because, claim.settle]
    for figure in words.figures.values():
        texts += [figure.looking_at, figure.how_to_read, figure.shows, figure.cannot_show]
    texts += [part for question in words.questions for part in question]
    return [t for t in (*texts, *words.stated) if t]


@every
@to_all
def test_a_page_reads_at_grade_eight_or_lower(study: str, audience: str) -> None:
    assert grade("\n\n".join(told(said(study, audience)))) <= 8


@every
def test_a_handout_reads_at_grade_seven_or_lower(study: str) -> None:
    judgement = judged(study)
    words = say_handout(judgement, glossary_of(judgement.study.workspace))
    figure = words.figure_words
    sheet = [
        words.question, words.answer, words.limits, words.source, words.more,
        *((words.caution.brief,) if words.caution else ()),
        *((figure.how_to_read, figure.cannot_show) if figure else ()),
        *(text for t in words.things for text in (t.plainly, t.says)), *words.advice_md,
        *(f"{q.ask} {q.settled_by}" for q in words.questions),
        *(t.explained for t in words.terms),
    ]  # fmt: skip
    assert grade("\n\n".join(t for t in sheet if t)) <= 7


@every
@to_all
def test_a_90_percent_range_is_called_one(study: str, audience: str) -> None:
    """Never just likely: the glossary promises 95 in 100 for that."""
    words = said(study, audience)
    for verdict in judged(study).verdicts:
        if verdict.test.kind in AT_90 and verdict.low is not None:
            claim = words.claims[verdict.claim.id]
            for text in (claim.says, claim.estimate, claim.strip):
                assert "likely range" not in text, text
                assert "range" not in text or "90% range" in text or "whole range" in text, text


@every
@to_all
def test_nobody_is_called_it_and_no_bowler_wears(study: str, audience: str) -> None:
    item = judged(study).study.description.tested.each
    if item in PEOPLE:
        text = " ".join(told(said(study, audience)))
        found = re.search(rf"\b{item}[^.]*\b(itself|its|wears|sanded|life)\b", text)
        assert not found, found


@every
@to_all
def test_no_sentence_is_said_twice_in_one_place(study: str, audience: str) -> None:
    """A figure's four parts, a claim, a question: none says the same thing twice over."""
    words = said(study, audience)
    places = [" ".join((c.says, *c.because, c.settle)) for c in words.claims.values()]
    places += [
        " ".join((f.looking_at, f.how_to_read, f.shows, f.cannot_show))
        for f in words.figures.values()
    ]
    places += [" ".join(words.short), " ".join(words.long), words.tested]
    for place in places:
        sentences = re.split(r"(?<=[.?!])\s+", place)
        assert len(sentences) == len(set(sentences)), place


def test_counted_pins_are_read_off_no_gauge():
    """From game to game a score goes up and down: nobody reads it too coarsely."""
    words = said("league-season", "viewer").claims["all-rose"]
    told = " ".join((words.note, *words.because, words.settle))
    assert "goes up and down by itself" in told and "more readings of each bowler" in told.lower()
    assert not re.search(r"gauge|coarse|finer|the reading", told)


def test_more_than_all_of_a_change_is_explained_where_the_range_has_it():
    words = said("sixty-shots", "viewer").claims
    over = {name for name, claim in words.items() if "More than all of it" in claim.says}
    assert len(over) == 1
    assert "to 118%" in words[over.pop()].says


def test_backed_beside_less_than_counts_says_how_the_two_go_together():
    told = [claim.says for claim in said("sixty-shots", "viewer").claims.values()]
    [small] = [text for text in told if "the 1 board that counts" in text]
    assert "Backed says that it is there, not how much" in small
