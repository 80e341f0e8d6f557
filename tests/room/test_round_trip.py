"""One field edited in the form of any description: everything else stays byte for byte the same."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from explainer.room.edit import StudyText
from explainer.room.fields import FormField, groups
from explainer.room.typed import edited
from explainer.study.yaml12 import scalar

ROOT = Path(__file__).parents[2]
WORDS = ("hook", "a, b", "yes: no", "# none", "it's", 'say "so"', "{braces}", "[1, 2]", "0x10",
         "Über µ", "60", "no", "- dash", "tail:", "'", "a  b", "{x: y} z")  # fmt: skip
texts = st.lists(st.sampled_from(WORDS), min_size=1, max_size=3).map(" ".join)
comments = st.sampled_from(["", "", "  # kept", "   # with: {braces} and 'quotes'", " #"])


@st.composite
def scalars(draw: Any, value: str | int) -> str:
    """A value in one of the ways YAML takes it on a line, in a block or between braces."""
    if isinstance(value, int):
        return str(value)
    single = value.replace("'", "''")
    ways = [json.dumps(value, ensure_ascii=draw(st.booleans())), f"'{single}'"]
    plain = value.replace(" ", "").isalpha() and isinstance(scalar(value), str)
    return draw(st.sampled_from([*ways, value] if plain else ways))


@st.composite
def windows(draw: Any) -> str:
    a, b = draw(st.integers(0, 9)), draw(st.integers(10, 60))
    return draw(st.sampled_from([f"{a}", f"[{a}, {b}]", f"[{a},{b}]", f"[ {a} ,  {b} ]"]))


@st.composite
def blocks(draw: Any, keys: dict[str, str], indent: int, dash: bool = False) -> str:
    """Keys with their written values, in braces or a line each, with comments between."""
    if draw(st.booleans()):
        pad = draw(st.sampled_from(["", " "]))
        inside = f",{draw(st.sampled_from([' ', '  ']))}".join(f"{k}: {v}" for k, v in keys.items())
        head = " " * (indent - 2) + "- " if dash else " "
        return f"{head}{{{pad}{inside}{pad}}}{draw(comments)}\n"
    lines = [] if dash else [draw(comments)]
    for n, (key, value) in enumerate(keys.items()):
        if n and draw(st.integers(0, 4)) == 0:
            near = " " * indent + "# between: 'them'"
            lines.append(draw(st.sampled_from(["", near, "# far out"])))
        start = " " * (indent - 2) + "- " if dash and n == 0 else " " * indent
        gap = draw(st.sampled_from([" ", " ", "   "]))
        lines.append(f"{start}{key}:{gap}{value}{draw(comments)}")
    return "\n".join(lines) + "\n"


@st.composite
def descriptions(draw: Any) -> str:
    def said(value: str | int | None = None) -> str:
        return draw(scalars(draw(texts) if value is None else value))

    use = {"column": said("games"), "term": said(), "unit": said("game")}
    hook = {"term": said(), "unit": said("board"), "matters_from": "1"}
    parts = [
        f"title: {said()}{draw(comments)}\n",
        f"question: {said()}{draw(comments)}\n",
        "tested:" + draw(blocks({"each": said("ball"), "count": "8", "described": said()}, 2)),
        "use:" + draw(blocks(use, 2)),
        "measures:\n  hook:" + draw(blocks(hook, 4)) + "  texture:" + draw(blocks(
            {"unit": said("microinch"), "term": said()}, 4)),
        "tables:\n  t:" + draw(blocks({"file": "t.csv", "source": said()}, 4)),
    ]  # fmt: skip
    if draw(st.booleans()):
        parts.append(f"intro: |{draw(comments)}\n  First: line.\n\n  # no comment\n  Last.\n")
    claims = []
    for n in range(draw(st.integers(1, 2))):
        test = {"kind": "change", "measure": "hook", "from": draw(windows()), "to": draw(windows()),
                "only": draw(st.sampled_from(["{cover: solid}", "{ cover:  'solid' }"])),
                }  # fmt: skip
        held = "{" + ", ".join(f"{k}: {v}" for k, v in test.items()) + "}"
        claims.append(draw(blocks({"id": f"c{n}", "report_says": said(), "test": held,
                                   "plainly": said()}, 4, dash=True)))  # fmt: skip
    parts.append("claims:\n" + "".join(claims))
    return draw(st.sampled_from(["", "# head: {of} it\n\n"])) + "".join(
        part + draw(st.sampled_from(["", "", "\n", "# after: it\n"])) for part in parts
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("round")
    (place / "t.csv").write_text("ball,cover,games,hook\nA,solid,0,9\nB,pearl,60,8\n")
    return place


def typed_of(fields: list[FormField]) -> dict[str, str]:
    """A form as a browser sends it when nothing was touched."""
    sent = {f.name: f.value.replace("\n", "\r\n") for f in fields}
    return sent | {f.last_name: f.last for f in fields if f.kind == "window"}


def span(source: StudyText, field: FormField) -> tuple[int, int]:
    """Where a field's value stands in the text."""
    start = source._node(field.path).start_mark.index
    return start, start + len(source.written(field.path))


def other_value(field: FormField) -> dict[str, str]:
    if field.kind == "window":
        return {field.name: "2", field.last_name: "" if field.last else "33"}
    if field.kind == "choice":
        return {field.name: next(c for c in field.choices if c != field.value)}
    number = isinstance(scalar(field.value), int)
    return {field.name: "17" if number else "Else: {what}, it's # so"}


def a_form(text: str, folder: Path, data: Any) -> tuple[StudyText, list[FormField]]:
    source = StudyText(text)
    forms = [g for part in groups(source, folder).values() for g in part]
    form = data.draw(st.sampled_from(forms))
    return source, [*form.fields, *form.more]


@settings(max_examples=150, deadline=None)
@given(text=descriptions(), data=st.data())
def test_one_field_changes_and_every_other_byte_stays(folder: Path, text: str, data: Any) -> None:
    source, fields = a_form(text, folder, data)
    assert edited(source, typed_of(fields)).text == text
    there = [f for f in fields if f.value and f.kind != "raw"]
    if not there:
        return
    field = data.draw(st.sampled_from(there))
    made = edited(source, typed_of(fields) | other_value(field))
    start, end = span(source, field)
    assert made.text[:start] == text[:start], field.name
    assert made.text.endswith(text[end:]), field.name
    assert made.at(field.path) != source.at(field.path)


@settings(max_examples=100, deadline=None)
@given(text=descriptions(), data=st.data())
def test_a_field_that_was_empty_only_adds(folder: Path, text: str, data: Any) -> None:
    source, fields = a_form(text, folder, data)
    empty = [f for f in fields if not f.value and f.kind in ("text", "long")]
    if not empty:
        return
    field = data.draw(st.sampled_from(empty))
    made = edited(source, typed_of(fields) | {field.name: "Else: {what}"})
    added = len(made.text) - len(text)
    assert added > 0
    assert any(made.text[:at] == text[:at] and made.text[at + added :] == text[at:]
               for at in range(len(text) + 1)), field.name  # fmt: skip


@pytest.mark.parametrize("study", sorted(p.name for p in (ROOT / "studies").iterdir()
                                         if (p / "study.yaml").is_file()))  # fmt: skip
def test_a_form_of_the_examples_that_is_sent_untouched_changes_nothing(study: str) -> None:
    folder = ROOT / "studies" / study
    source = StudyText((folder / "study.yaml").read_text("utf-8"))
    for form in (g for part in groups(source, folder).values() for g in part):
        assert edited(source, typed_of([*form.fields, *form.more])).text == source.text, form.title
