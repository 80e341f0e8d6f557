"""Phrase files: which name speaks, what a workspace may change, and where a fault is."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from explainer.errors import WorkspaceError
from explainer.words.phrases.renderer import Teller, load_phrases, opening, sentence


def folder(path: Path, text: str, name: str = "claims.yaml") -> Path:
    (path / "phrases").mkdir(parents=True, exist_ok=True)
    (path / "phrases" / name).write_text(text, encoding="utf-8")
    return path


def teller(*folders: Path, audience: str = "viewer") -> Teller:
    return Teller(load_phrases(folders), "a-study", audience)


def test_the_particular_name_speaks_first(tmp_path: Path) -> None:
    home = folder(tmp_path, "a.b: general\na.b.coach: for a coach\nany.b: anything\n")
    assert teller(home).tell(["a.b", "any.b"], {}, about="x") == "General"
    assert teller(home, audience="coach").tell(["a.b", "any.b"], {}, about="x") == "For a coach"
    assert teller(home).tell(["z.b", "any.b"], {}, about="x") == "Anything"


def test_a_workspace_says_one_thing_differently(tmp_path: Path) -> None:
    ours = folder(tmp_path / "ours", "one: ours\ntwo: ours too\n")
    theirs = folder(tmp_path / "theirs", "two: theirs\n")
    say = teller(theirs, ours)
    assert say.tell(["one"], {}, about="x") == "Ours"
    assert say.tell(["two"], {}, about="x") == "Theirs"


def test_variants_take_turns_and_never_open_alike_in_a_row(tmp_path: Path) -> None:
    home = folder(tmp_path, "say: [First way of it., Second way of it., Third way of it.]\n")
    say = teller(home)
    said = [say.tell(["say"], {}, about=f"claim-{n}", stream="s") for n in range(9)]
    assert all(opening(a) != opening(b) for a, b in pairwise(said))
    assert len(set(said)) == 3
    again = teller(home)
    assert said == [again.tell(["say"], {}, about=f"claim-{n}", stream="s") for n in range(9)]


def test_sentences_begin_with_capitals_and_counts_in_words() -> None:
    assert sentence("8 balls went.  6 of 8 came back .") == "Eight balls went. Six of 8 came back."
    assert sentence("0.5 boards went. 12.5 too") == "0.5 boards went. 12.5 too"


def tell_all(home: Path) -> None:
    """Both phrases, each often enough for every variant to have its turn."""
    say = teller(home)
    for name in ("one", "two"):
        for about in ("x", "y", "z"):
            say.tell([name], {}, about=about)


@pytest.mark.parametrize(
    ("text", "words", "line"),
    [
        ("one: fine\ntwo: '{{ missing }}'\n", "'missing' is undefined", 2),
        ("one: fine\ntwo: [fine, '{% if %}']\n", "Expected an expression", 2),
        ("one: fine\ntwo: 3\n", "two: no text", 2),
        ("- a list\n", "no mapping", 1),
        ("one: fine\none: twice\n", "one", 2),
        ("one: fine\ntwo: '{{ \"\".__class__ }}'\n", "unsafe", 2),
    ],
)
def test_a_fault_has_its_place(tmp_path: Path, text: str, words: str, line: int) -> None:
    home = folder(tmp_path, text)
    with pytest.raises(WorkspaceError) as caught:
        tell_all(home)
    message = str(caught.value)
    assert words in message
    assert message.startswith(f"templates/phrases/claims.yaml:{line}:")
    assert "\n" not in message


def test_a_phrase_that_nobody_wrote_is_named(tmp_path: Path) -> None:
    home = folder(tmp_path, "one: fine\n")
    with pytest.raises(WorkspaceError, match=r"no such phrase, expected one of two\.viewer, two"):
        teller(home).tell(["two"], {}, about="x")
