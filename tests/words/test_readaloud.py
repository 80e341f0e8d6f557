"""How long a script takes: on the spoken form."""

from __future__ import annotations

import pytest

from explainer.words.quantity.spoken import minutes, said_words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", 0),
        ("Balls don't lie.", 3),
        ("−21 µin", 4),  # minus twenty-one microinches
        ("p < 0.001", 8),  # p less than zero point zero zero one
        ("a 60-ft lane", 4),
        ("1,250 shots", 6),
    ],
)
def test_words_are_counted_as_they_are_said(text: str, words: int) -> None:
    assert said_words(text) == words


def test_minutes() -> None:
    assert minutes("word " * 300, 150) == 2.0
    assert minutes("−21 µin", 100) > minutes("21 µin", 100) > minutes("two words", 100)


@pytest.mark.parametrize("rate", [0, -150, float("nan")])
def test_a_rate_that_is_none(rate: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        minutes("a word", rate)
