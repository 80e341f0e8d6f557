"""A mark of a draft is looked for once in a line, however many signs of a remark are in it."""

from __future__ import annotations

import time

from explainer.study.load import _MARK, to_confirm


def cost(length: int) -> float:
    began = time.thread_time()
    assert _MARK.match("CONFIRM " + "#" * length) is None
    return time.thread_time() - began


def test_a_line_of_remark_signs_takes_time_by_its_length():
    assert any(cost(40_000) < 8 * cost(10_000) for _ in range(3))


def test_the_words_behind_a_mark_are_found_with_their_place():
    said = "unit: foot  # guessed # CONFIRM: is it foot?\n# CONFIRM: a remark\nCONFIRM: none\n"
    assert to_confirm(said) == [(1, 13, "is it foot?")]
