"""The spoken form, case by case from a table anyone can read."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from explainer.words.quantity.numerals import cardinal, figure, ordinal_words
from explainer.words.quantity.spoken import spoken

FIXTURE = Path(__file__).with_name("spoken.txt")
CASES = [
    tuple(part.strip() for part in line.split("=>"))
    for line in FIXTURE.read_text("utf-8").splitlines()
    if "=>" in line and not line.startswith("#")
]


def test_table_is_long_enough() -> None:
    assert len(CASES) >= 100


@pytest.mark.parametrize(("printed", "said"), CASES, ids=[case[0] for case in CASES])
def test_case(printed: str, said: str) -> None:
    assert spoken(printed) == said


@given(st.text(alphabet="0123456789.,−-–+±%°/½ (in)µinrpmSsthD=<>$:×", max_size=30))
def test_no_figure_is_left_and_no_unit_symbol(text: str) -> None:
    said = spoken(text)
    assert not any(character in "0123456789" for character in said)
    assert "µ" not in said
    assert "%" not in said


@given(st.integers(0, 10**12))
def test_cardinal_says_what_it_was_given(n: int) -> None:
    assert _heard(cardinal(n)) == n


def test_a_number_past_a_quadrillion_is_one_number() -> None:
    """A size may be told in a smaller unit than a study may write numbers of."""
    assert spoken("It is 1,600,000,000,000,000 counts.") == (
        "It is one quadrillion six hundred trillion counts.")
    assert _heard(cardinal(1_600_000_000_000_001)) == 1_600_000_000_000_001


def _heard(words: str) -> int:
    """A second, independent way: listen to the words and add up."""
    names = {cardinal(n): n for n in range(20)} | {cardinal(n): n for n in range(20, 100, 10)}
    groups = {"thousand": 10**3, "million": 10**6, "billion": 10**9, "trillion": 10**12,
              "quadrillion": 10**15}  # fmt: skip
    total = part = 0
    for word in words.replace("-", " ").split():
        if word == "hundred":
            part *= 100
        elif word in groups:
            total, part = total + part * groups[word], 0
        else:
            part += names[word]
    return total + part


def test_ordinals_that_change_their_stem() -> None:
    said = [ordinal_words(n) for n in (1, 2, 3, 5, 8, 9, 12, 20, 40, 53, 1000)]
    assert said == [
        "first", "second", "third", "fifth", "eighth", "ninth", "twelfth", "twentieth",
        "fortieth", "fifty-third", "one thousandth",
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["", "x", "1.2.3", "−1", "1e5", "²"])
def test_what_is_not_a_figure_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a figure"):
        figure(text)


@pytest.mark.parametrize("piece", ["1", "1,", "1.", "1/", "1-", "1:", "(", " ", "<", "a.", "$1"])
def test_no_text_takes_long(piece: str) -> None:
    """A study's prose may come from a stranger: time must not grow with the square of it."""
    start = time.process_time()
    spoken(piece * 20_000)
    assert time.process_time() - start < 3
