"""A measure is called something else: the sentences about it follow, and nothing else does."""

from __future__ import annotations

import pytest

from explainer.room.edit import StudyText
from explainer.room.forms import Asking
from explainer.room.renamed import follow_terms
from explainer.room.server import _answer, _edit

TEXT = """\
title: "Score, a season"  # the season's
question: "Does score change over 6 weeks?"
measures:
  score:
    term: score  # CONFIRM: what was read?
    unit: count
  spare_score: {term: spare score, unit: count}
figures:
  - {id: scores, kind: over-use, y: score, say: "Score by score: {score-changes.estimate}"}
  - {id: others, kind: over-use, y: spare_score, say: A score of another kind.}
claims:
  - id: score-changes
    report_says: "The score rose."   # as printed
    test: {kind: change, measure: score, from: 1, to: 6}
    plainly: Score is different after 6 weeks, and spare score is not; scoreboards stay.
  - id: both
    report_says: More score, more spares.
    test: {kind: association, x: {table: t, measure: score}, y: spare_score}
    plainly: 'More score goes with more spare score.'
  - id: spares
    report_says: Spares rose.
    test: {kind: change, measure: spare_score, from: 1, to: 6}
    plainly: The spare score rose.
"""
FOLLOWED = TEXT.replace("term: score  #", "term: pinfall  #").replace(
    "Does score change", "Does pinfall change").replace(
    '"Score by score: {', '"Pinfall by pinfall: {').replace(
    "Score is different", "Pinfall is different").replace(
    "'More score goes", "'More pinfall goes")  # fmt: skip


def renamed(term: str, measure: str = "score", text: str = TEXT) -> tuple[StudyText, str]:
    return _edit(StudyText(text), Asking({f"f-measures/{measure}/term": term}))


def test_a_new_name_is_followed_where_the_measure_is_spoken_of() -> None:
    made, said = renamed("pinfall")
    assert made.value == StudyText(FOLLOWED).value
    assert made.text.count("  # ") == TEXT.count("  # ")
    assert "the question and in claim score-changes (plainly) and in claim both" in said
    back, _ = renamed("score", text=made.text)
    assert back.value == StudyText(TEXT).value


def test_a_longer_name_does_not_swallow_a_shorter_one() -> None:
    made, _ = renamed("leave", "spare_score")
    plainly = [claim["plainly"] for claim in made.at(("claims",))]
    assert plainly == [
        "Score is different after 6 weeks, and spare score is not; scoreboards stay.",
        "More score goes with more leave.", "The leave rose.",
    ]  # fmt: skip


def test_a_text_that_has_the_new_name_or_was_typed_with_it_stays() -> None:
    made, _ = renamed("score in pins")
    assert made.at(("claims", 0, "plainly")).startswith("Score in pins is different")
    again, said = renamed("score in pins", text=TEXT.replace("Does score", "Does score in pins"))
    assert again.at(("question",)) == "Does score in pins change over 6 weeks?"
    assert "the question" not in said


def test_an_answer_to_the_draft_is_followed_but_what_was_typed_beside_it_is_not() -> None:
    asks = TEXT.replace('6 weeks?"', '6 weeks?"  # CONFIRM: as a bowler would ask it')
    typed = {"line-2": "Is a score worth anything?", "line-5": "pinfall"}
    made, said = _answer(StudyText(asks), Asking(typed))
    assert made.at(("question",)) == "Is a score worth anything?"
    assert made.at(("claims", 0, "plainly")).startswith("Pinfall is different")
    assert "All is answered. The new name stands in claim score-changes (plainly)" in said


@pytest.mark.parametrize("change", [
    lambda s: s.put(("title",), "Other"), lambda s: s.drop(("measures", "spare_score", "term")),
])  # fmt: skip
def test_without_a_new_name_nothing_follows(change) -> None:
    source = StudyText(TEXT)
    made = change(source)
    assert follow_terms(source, made) == (made, ())
