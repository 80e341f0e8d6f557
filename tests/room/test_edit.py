"""Edits in the text of a study: what was meant changes, every other byte stays."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from explainer.room.edit import CannotEdit, StudyText
from explainer.room.forms import Asking
from explainer.room.questions import answered
from explainer.room.server import _answer, _edit
from explainer.room.typed import edited
from explainer.study.unseen import seen

ROOT = Path(__file__).parents[2]
TEXT = """\
# a first line that stays
title: Worn covers  # CONFIRM: what you would call it
question: "Do they: hook less?"   # as asked

tested:
  each: ball  # CONFIRM: what counts as one
  count: 8
use: {column: games, term: games rolled, unit: game}
measures:
  hook:  # CONFIRM: add `matters_from:`, the smallest change
    term: total hook
    unit: board
    # resolution: 0.5      smallest step

  # between two measures
  texture:
    unit: microinch
intro: |  # kept, too
  First line.

  Second.

figures:
  - id: hooks  # CONFIRM: add `say:`, a word of your own
    kind: over-use
    y: hook
claims: []  # CONFIRM: add what the report says
questions: [{ask: What next?, settled_by: more}]
"""


def changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines that went and lines that came."""
    old, new = before.split("\n"), after.split("\n")
    return [x for x in old if x not in new], [x for x in new if x not in old]


@pytest.mark.parametrize(
    ("path", "value", "went", "came"),
    [
        (("title",), "Old: covers", "title: Worn covers  # CONFIRM: what you would call it",
         'title: "Old: covers"  # CONFIRM: what you would call it'),
        (("question",), "Plainly?", 'question: "Do they: hook less?"   # as asked',
         'question: Plainly?   # as asked'),
        (("tested", "count"), 12, "  count: 8", "  count: 12"),
        (("use", "term"), "games, bowled",
         "use: {column: games, term: games rolled, unit: game}",
         'use: {column: games, term: "games, bowled", unit: game}'),
        (("questions", 0, "ask"), "And {then}?",
         "questions: [{ask: What next?, settled_by: more}]",
         'questions: [{ask: "And {then}?", settled_by: more}]'),
    ],
)  # fmt: skip
def test_a_value_is_put_and_its_line_keeps_its_comment(path, value, went, came):
    made = StudyText(TEXT).put(path, value)
    if came.startswith("question: Plainly"):
        came = 'question: "Plainly?"   # as asked'
    if "ask" in path:
        assert made.at(path) == value
    assert changed(TEXT, made.text) == ([went], [came])
    assert made.at(path) == value


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (("measures", "hook", "matters_from"), 1, "    matters_from: 1"),
        (("measures", "texture", "term"), "cover roughness", "    term: cover roughness"),
        (("figures", 0, "say"), "Look.", "    say: Look."),
        (("tested", "described"), "Eight of them", "  described: Eight of them"),
        (("invented",), True, "invented: yes"),
        (("report", "title"), "A report", "report: {title: A report}"),
    ],
)
def test_a_key_that_is_not_there_is_added_where_it_belongs(path, value, line):
    made = StudyText(TEXT).put(path, value)
    assert changed(TEXT, made.text) == ([], [line])
    assert made.at(path) == ("yes" if value is True else value)


def test_a_text_of_several_lines_stands_as_one(tmp_path):
    made = StudyText(TEXT).put(("title",), "One\n\n  two: yes # no\nthree")
    assert made.at(("title",)) == "One\n\n  two: yes # no\nthree\n"
    assert "title: |  # CONFIRM: what you would call it\n  One\n" in made.text
    again = made.put(("title",), "Short")
    assert again.text == TEXT.replace("Worn covers", "Short")
    other = StudyText(TEXT).put(("intro",), "Just one.")
    assert other.text == TEXT.replace(
        "intro: |  # kept, too\n  First line.\n\n  Second.\n", "intro: Just one.  # kept, too\n"
    )


def test_a_key_goes_with_its_line_and_nothing_else():
    assert StudyText(TEXT).drop(("measures", "texture")).text == TEXT.replace(
        "  texture:\n    unit: microinch\n", ""
    )
    assert StudyText(TEXT).drop(("use", "term")).text == TEXT.replace("term: games rolled, ", "")
    assert StudyText(TEXT).drop(("use", "unit")).text == TEXT.replace(", unit: game", "")
    assert StudyText(TEXT).drop(("nothing", "there")).text == TEXT


def test_an_entry_of_a_list_comes_and_goes():
    one = {"id": "less", "report_says": "Hook: fell.", "test": {"kind": "change", "measure": "hook",
           "from": 0, "to": 60}}  # fmt: skip
    made = StudyText(TEXT).append(("claims",), one)
    assert made.at(("claims",)) == [one]
    assert "claims:  # CONFIRM: add what the report says\n  - id: less\n" in made.text
    two = made.append(("claims",), {"id": "other", "report_says": "Two\nlines.", "plainly": "x"})
    assert [c["id"] for c in two.at(("claims",))] == ["less", "other"]
    assert two.drop(("claims", 1)).text == made.text
    assert made.drop(("claims", 0)).at(("claims",)) == []
    figures = StudyText(TEXT).append(("figures",), {"id": "two", "kind": "groups"})
    assert changed(TEXT, figures.text) == ([], ["  - id: two", "    kind: groups"])
    advice = StudyText(TEXT).append(("advice",), {"do": "Count."})
    assert advice.at(("advice",)) == [{"do": "Count."}]


def test_a_mark_is_taken_away_alone():
    assert StudyText(TEXT).confirmed(2).text == TEXT.replace(
        "  # CONFIRM: what you would call it", ""
    )
    assert StudyText(TEXT).confirmed(4).text == TEXT


@pytest.mark.parametrize(
    "edit",
    [
        lambda s: s.put(("measures",), "x"),
        lambda s: s.drop(("figures", 0, "id")),
        lambda s: s.put(("title", "below"), 1),
        lambda s: s.put_raw(("use",), "{column: "),
        lambda s: s.put(("title",), "a\x00b"),
    ],
)
def test_what_cannot_be_written_without_harm_is_refused(edit):
    with pytest.raises(CannotEdit):
        edit(StudyText(TEXT))


@settings(max_examples=150)
@given(st.text(max_size=60), st.sampled_from([("title",), ("intro",), ("use", "term"),
       ("figures", 0, "say"), ("questions", 0, "ask"), ("tested", "described")]))  # fmt: skip
def test_whatever_is_typed_stands_there_or_is_refused(typed, path):
    source = StudyText(TEXT)
    try:
        made = source.put(path, typed)
    except CannotEdit:
        return
    said, shown = made.at(path), seen(typed)  # what nobody sees is not typed, but came along
    assert said == "\n".join(x.rstrip() for x in shown.split("\n")).strip() or said.endswith("\n")
    back = made.put(path, source.at(path)) if source.at(path) is not None else made.drop(path)
    assert back.value == source.value


@pytest.mark.parametrize("study", sorted(p.name for p in (ROOT / "studies").iterdir()
                                         if (p / "study.yaml").is_file()))  # fmt: skip
def test_every_line_of_the_examples_can_be_edited_and_put_back(study):
    text = (ROOT / "studies" / study / "study.yaml").read_text("utf-8")
    source = StudyText(text)
    texts = [path for path, place in source.document.places.items()
             if isinstance(source.at(path), str) and source.in_one_line(path)]  # fmt: skip
    assert len(texts) > 10
    for path in texts[:: max(1, len(texts) // 12)]:
        made = source.put(path, "Something: else, {here}")
        assert made.put(path, source.at(path)).value == source.value


MANY = "title: One\nclaims:\n" + "".join(
    f"  - id: c{n}\n    report_says: {'It fell. ' * 12}\n    plainly: It fell {n}.  # as printed\n"
    f"    test: {{kind: change, measure: hook, from: 0, to: {n + 1}}}\n"
    for n in range(12)
)  # fmt: skip


def test_many_fields_are_put_in_place_with_the_text_read_again_once(monkeypatch):
    """Three thousand fields, which one form may send, read the file three thousand times."""
    source, read = StudyText(MANY), []
    real = StudyText.__init__
    monkeypatch.setattr(
        StudyText, "__init__", lambda self, text: read.append(1) or real(self, text)
    )
    typed = {}
    for n in range(12):
        typed[f"claims/{n}/plainly"] = f"It rose “{n}”: a lot #{n}."
        typed[f"claims/{n}/report_says"] = "A long sentence that goes on. " * 8 + f"End {n}."
        typed[f"claims/{n}/test/to"] = f"{n + 2}"
        typed[f"claims/{n}/test/from"] = "1, 2" if n % 2 else "0.5"
    made = edited(source, typed)
    assert len(read) == 1
    monkeypatch.undo()
    assert made.text == StudyText(made.text).text
    one_by_one = StudyText(MANY)
    for name, text in typed.items():
        one_by_one = edited(one_by_one, {name: text})
    assert made.text == one_by_one.text
    assert made.value["claims"][7]["test"] == {
        "kind": "change", "measure": "hook", "from": [1, 2], "to": 9,
    }  # fmt: skip


def test_a_form_of_very_many_new_fields_is_refused_and_a_wrong_one_among_many_is_named():
    new = {f"claims/{n}/{key}": "x" for n in range(60) for key in ("briefly", "guess")}
    with pytest.raises(CannotEdit, match=r"found 120 fields that are new, .* at most 100 at a"):
        edited(StudyText(MANY), new)
    few = {"claims/1/plainly": "It rose.", "claims/2/plainly": "It\x07 rose."}
    with pytest.raises(CannotEdit, match=r"^claims › 2 › plainly: a character that cannot"):
        edited(StudyText(MANY), few)


def test_all_answers_of_a_draft_are_put_in_at_once():
    text = "title: One  # CONFIRM: the title\nquestion: Two  # CONFIRM: is it?\nintro: X\n"
    made = answered(StudyText(text), {"1": "Another"}, frozenset({2}))
    assert made.text == "title: Another\nquestion: Two\nintro: X\n"


def test_what_nobody_sees_is_left_out_and_said():
    typed = {"f-title": "1 of\u202e 8"}
    made, said = _edit(StudyText("title: One\n"), Asking(typed))
    assert made.value["title"] == "1 of 8"
    assert said.startswith("Saved. Characters that nobody sees, or that turn text round, were left "
                           "out of title: found `1 of\u202e 8`, with the character U+202E")
    made, said = _edit(StudyText("title: One\n"), Asking({"f-title": "One\r\ntwo"}))
    assert said == "Saved."
    draft = StudyText("title: One  # CONFIRM: the title\n")
    _, said = _answer(draft, Asking({"line-1": "1 of\u200b 8"}))
    assert "left out of line 1: " in said and said.endswith("All is answered.")
