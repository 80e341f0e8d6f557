"""No pattern takes time that grows faster than the text it is held against."""

from __future__ import annotations

import re

import pytest

from .patterns import METHODS, Found, all_patterns, growth, in_calls, nodes_of


@pytest.fixture(scope="module")
def patterns() -> list[Found]:
    return all_patterns()


def test_the_patterns_of_the_product_are_all_found(patterns):
    where = {one.where: one for one in patterns}
    assert len(patterns) > 350
    assert where["room.edit.MARK"].methods
    assert where["draft.shown._PIECE"].methods == ("findall",)
    assert any(one.startswith("words.quantity.spoken:") for one in where)  # in calls
    assert "words.phrases.somebody._COMPILED" in where  # in a tuple
    assert any(isinstance(one.pattern.pattern, bytes) for one in patterns)


def test_no_pattern_grows_faster_than_its_text(patterns):
    """A text of 20,000 characters, which any study may hold, took seconds for a square."""
    grown = {one.where: found for one in patterns if (found := growth(one)) is not None}
    assert grown == {}


PLANTED = """
import re
first = re.search(r"\\d+ of", text)
second = re.fullmatch(r"(.*?)[ ,]*(?:at)? *x", text, re.DOTALL)
third = re.sub("<b>(.*?)</b>", "", text)
fourth = re.match(r"(a+)+b", text)
fifth = re.search(r"head: *([a-z]+)*;", text)
sixth = re.findall(r"\\[[^\\]]*\\]", text)
"""
SOUND = """
import re
first = re.search(r"(?<!\\d)\\d+ of", text)
second = re.fullmatch(r"\\d+ of", text)
third = re.sub("<b>((?:(?!<b>).)*?)</b>", "", text)
fourth = re.findall(r"\\[[^\\[\\]]*\\]", text)
fifth = re.split(r"[.!?] ", text)
sixth = re.search(r"\\b(?:less|more)\\b", text, re.IGNORECASE)
"""


def test_a_pattern_that_takes_a_square_is_noticed_and_a_sound_one_is_not():
    bad, good = (list(in_calls(nodes_of(source), "planted")) for source in (PLANTED, SOUND))
    assert len(bad) == len(good) == 6
    assert [one.where for one in bad if growth(one) is None] == []
    assert [(one.where, growth(one)) for one in good if growth(one) is not None] == []
    assert growth(Found("kept", re.compile(r"\s+$"), METHODS)) is not None
