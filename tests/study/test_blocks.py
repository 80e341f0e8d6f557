"""What one text may hold of lines, marks and cells, each of which is laid out for itself."""

from __future__ import annotations

import pytest
from pydantic import TypeAdapter, ValidationError

from explainer.study.description.base import Text

TEXT = TypeAdapter(Text)
PADDED = "|" + "a|" * 200 + "\n|" + "-|" * 200 + "\n" + "b\n" * 300
REFUSED = {
    "lines": ("a\n" * 501, "at most 500 lines"),
    "marks of lists": ("- - - - - a\n" * 201, "at most 1,000 marks"),
    "marks of quotes": (">" * 30 + " a\n" + ">>> 1. b\n" * 250, "at most 1,000 marks"),
    "cells filled up": (PADDED, "at most 2,000 cells"),
    "cells in a quote": (
        "> a | b | c | d | e\n> - | - | - | - | -\n" + "> c | d\n" * 300 + "a\n" * 190,
        "at most 2,000 cells"),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_a_short_text_of_many_blocks_is_refused(what: str) -> None:
    """1,704 characters of a table filled up took 39 s of processor and 1.3 GB to print."""
    text, told = REFUSED[what]
    assert len(text) < 20_000
    with pytest.raises(ValidationError, match=told):
        TEXT.validate_python(text)


@pytest.mark.parametrize("text", [
    "a\n" * 500, "- - - - - a\n" * 200, "|a|b|\n|-|-|\n" + "|1|2|\n" * 400,
    "A range of 3 - 5 | 7, and 1. of these.", "-" * 19_999, "|" + " " * 19_000 + "x",
    "> " * 900 + "a", "a | b | c\n" * 400,
])  # fmt: skip
def test_what_a_reader_can_take_is_not(text: str) -> None:
    assert TEXT.validate_python(text) == text
