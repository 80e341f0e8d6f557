"""The readings of a text in which a name is looked for.

Everybody here is made up.
"""

from __future__ import annotations

import unicodedata

import pytest

from explainer.study.called import is_ordinary
from explainer.study.naming import Hidden
from explainer.study.ordinary import ORDINARY
from explainer.study.spelling import _LIKE, folded, spelled


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("Oxlip", ["Oxlip"]), ("Zoë", ["Zoe"]), ("Hämmerle", ["Hammerle", "Haemmerle"]),
        ("Ha\u0308mmerle", ["Hammerle", "Haemmerle"]), ("Groß", ["Gross"]),
        ("Ødum", ["Odum", "Oedum"]), ("Łęski", ["Leski"]), ("\uff2fxlip", ["Oxlip"]),
        ("O\u0336x\u200bl\u00adip", ["Oxlip"]), ("О\u0445lip", ["О\u0445lip", "Oxlip"]),
        ("O\u02bcVale", ["O'Vale"]), ("李小龙", ["李小龙"]), ("김철수", ["김철수"]),
    ],
)  # fmt: skip
def test_a_text_is_read_in_each_of_its_spellings(text, ways):
    assert [way.text for way in spelled(text)] == ways


def test_what_was_written_is_told_of_each_stretch_of_a_reading():
    for way in spelled("so Ha\u0308mmerle ß"):
        start = way.text.index("H")
        assert folded(way.written(start, way.text.index("le") + 2)) == "hammerle"


def test_look_alikes_are_of_other_alphabets_and_keep_their_case():
    for other, latin in _LIKE.items():
        assert unicodedata.name(other).split()[0] in ("GREEK", "CYRILLIC")
        assert latin.isascii() and other.isupper() == latin.isupper(), other


def test_ordinary_words_are_in_small_letters_and_each_once():
    assert all(word.isalpha() and word.islower() for word in ORDINARY)
    assert is_ordinary("baker") and is_ordinary("bakers") and is_ordinary("score")
    assert not is_ordinary("oxlip") and not is_ordinary("norbert")


@pytest.mark.parametrize("text", ["haemmerle-up", "hammerle-up", "hämmerle"])
def test_the_name_of_a_thing_gives_somebody_away_in_any_spelling(text):
    given = Hidden.of(["Zoë Hämmerle"]).given_away(text)
    assert given is not None and given[1]
