"""Where a draft's own answers could be taken for the author's, or answer another question."""

from __future__ import annotations

from explainer.room.edit import StudyText
from explainer.room.forms import Asking
from explainer.room.questions import asked
from explainer.room.server import _answer, _edit
from explainer.study.load import DRAFTED, UNQUOTED, to_confirm

TEXT = f"""\
{DRAFTED}
title: Oil  # CONFIRM: what you would call it
question: "Does hook change over 21 days?"  # CONFIRM: as a bowler would ask it
measures:
  hook: {{term: hook, unit: board}}
tables:
  oil: {{file: oil.csv}}
claims:
  - id: hook-changes
    report_says: "{UNQUOTED}"  # CONFIRM: the report's own sentence
    answers_question: yes
    test: {{kind: change, measure: hook, from: 0, to: 21, direction: any}}
    plainly: Hook is different after 21 days.
  - id: hook-differs
    report_says: "{UNQUOTED}"  # CONFIRM: the report's own sentence
    test: {{kind: difference, measure: hook, by: oil, a: "22", b: "26", direction: any}}
    plainly: Hook differs between 22 mL and 26 mL.
"""


def answer(source: StudyText, **typed: str) -> tuple[StudyText, str]:
    """``source`` with answers by what they are asked of: ``title``, ``quote_1``."""
    lines = {q.what if q.path[:1] != ("claims",) else f"quote_{q.path[1]}": q.line
             for q in asked(source)}  # fmt: skip
    fields = {"rest": typed.pop("rest", "")}
    for name, text in typed.items():
        way, what = name.split("__") if "__" in name else ("line", name)
        fields[f"{way}-{lines[what]}"] = text
    return _answer(source, Asking(fields))


def test_a_place_left_for_a_sentence_is_never_right_as_it_stands():
    """Ticked with all others, it stood on the page as if the report had said it."""
    made, said = _answer(StudyText(TEXT), Asking({"rest": "yes"}))
    assert "title: Oil\n" in made.text
    assert said.startswith("Saved. 2 questions left.")
    assert [q.what for q in asked(made)] == [
        "claims: hook-changes: report says", "claims: hook-differs: report says"]  # fmt: skip


def test_nor_is_it_where_the_mark_was_taken_away_by_hand():
    bare = TEXT.replace("  # CONFIRM: the report's own sentence", "")
    assert [line for line, _, _ in to_confirm(bare)] == [2, 3, 10, 15]
    assert [q.ask for q in asked(StudyText(bare))][2:] == ["the report's own sentence"] * 2
    assert to_confirm(f"# - {UNQUOTED}\n") == []


def test_a_claim_that_nobody_makes_is_taken_out_and_a_sentence_settles_its_own():
    made, said = answer(StudyText(TEXT), out__quote_0="yes", quote_1="It hooks less on more oil.",
                        rest="yes")  # fmt: skip
    [claim] = made.at(("claims",))
    assert (claim["id"], claim["report_says"]) == ("hook-differs", "It hooks less on more oil.")
    assert said == "Saved. All is answered."
    none, _ = answer(StudyText(TEXT), out__quote_0="yes", out__quote_1="yes")
    assert not none.at(("claims",))
    emptied, _ = answer(StudyText(TEXT), quote_0="")
    assert emptied.text == TEXT


def test_another_question_is_not_answered_by_the_claim_of_the_first_without_a_word():
    made, said = answer(StudyText(TEXT), question="Does oil take hook away?")
    assert "still answers its question with “Hook is different after 21 days”" in said
    _, again = _edit(made, Asking({"f-question": "What does oil do?"}))
    assert "still answers its question" in again
    _, moved = _edit(made, Asking({"f-question": "What does oil do?",
                                   "f-claims/0/answers_question": "no",
                                   "f-claims/1/answers_question": "yes"}))  # fmt: skip
    assert "still answers" not in moved
    _, same = answer(StudyText(TEXT), title="Oil and hook")
    assert "still answers" not in same


def test_proof_says_of_a_claim_that_quotes_nobody_what_to_do(tmp_path):
    from explainer.proof.fixes import FIXES
    from explainer.proof.read import to_confirm as problems

    (tmp_path / "study.yaml").write_text(TEXT.replace("  # CONFIRM: the report's own sentence", ""))
    told = [p for p in problems(tmp_path) if p.line in (10, 15)]
    assert [p.found for p in told] == ["a drafted claim that quotes nobody"] * 2
    assert {FIXES[p.code] for p in told} == {
        "write the sentence in `report_says:`, or take the claim out"}  # fmt: skip
