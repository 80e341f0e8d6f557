"""``define``: an entry as text for a terminal, and help where there is none."""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.errors import UsageError
from explainer.words.glossary.entries import WIDTH, Glossary, define, load_glossary
from explainer.words.glossary.entry import Entry, Source

GLOSSARY = load_glossary((Path(__file__).parents[2] / "glossary",))

WOBBLE = Entry(
    term="wobble",
    also=("shimmy",),
    plainly="uneven roll",
    explained="The ball does not roll true.",
    like="A shopping cart with one bad wheel.",
    careful="It may be the floor.",
    unit="inch",
    typical="0 to 1 inch",
    say="WOB-ul",
    see=("shimmy",),
    source=Source("common-practice", "test benches"),
)

WANTED = """\
wobble  (say: WOB-ul)
  also     shimmy

  Uneven roll.
  The ball does not roll true.

  like     A shopping cart with one bad wheel.
  careful  It may be the floor.
  unit     inch
  typical  0 to 1 inch
  see      wobble
  source   common practice: test benches"""


def test_everything_an_entry_says() -> None:
    assert define(Glossary((WOBBLE,)), "Shimmies") == WANTED


def test_what_an_entry_does_not_say_leaves_no_gap() -> None:
    bare = Entry(term="wobble", plainly="uneven roll", explained="It rolls badly.")
    text = define(Glossary((bare,)), "wobble")
    assert text.splitlines()[0] == "wobble"
    assert "like" not in text
    assert text.endswith("source   from memory, not looked up")


def test_every_entry_fits_a_terminal() -> None:
    for entry in GLOSSARY.entries:
        lines = define(GLOSSARY, entry.term).splitlines()
        assert max(map(len, lines)) <= WIDTH, entry.term
        assert entry.plainly.split()[-1] in " ".join(lines)


@pytest.mark.parametrize(
    ("text", "near"),
    [("hok", "hook"), ("entrance angle", "entry angle"), ("xyzzyqqq", "in the glossary")],
)
def test_an_unknown_term_names_the_nearest(text: str, near: str) -> None:
    with pytest.raises(UsageError) as caught:
        define(GLOSSARY, text)
    assert repr(text) in str(caught.value)
    assert near in str(caught.value)
    assert caught.value.exit_status == 2


def test_what_was_typed_stays_on_one_line() -> None:
    with pytest.raises(UsageError) as caught:
        define(GLOSSARY, "a\nb\x1b[31m")
    assert str(caught.value).isprintable()
