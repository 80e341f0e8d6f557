"""What a voice makes of printed sentences and of an author's Markdown."""

from __future__ import annotations

import pytest

from explainer.words.script_desk import aloud, begun, plain


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("About 22 microinches (0.56 µm) over 60 games.", "About 22 microinches over 60 games."),
        ("A gap of 2 inches (51 mm), likely.", "A gap of 2 inches, likely."),
        (
            "6 microinches either side (to picture that: a hair is thicker). Inside it, none.",
            "6 microinches either side. To picture that: a hair is thicker. Inside it, none.",
        ),
        ("The link (0.73 to 0.99) stays.", "The link (0.73 to 0.99) stays."),
    ],
)
def test_a_printed_sentence_is_made_fit_to_be_said(printed: str, said: str) -> None:
    assert aloud(printed) == said


@pytest.mark.parametrize(
    ("markdown", "said"),
    [
        ("The **one** *everybody* shares.", "The one everybody shares."),
        ("See [the page](https://example.org) and `this`.", "See the page and this."),
        ("[[track]] and [[the ring = track]]\nand on.", "track and the ring and on."),
        ("# Head\n\n- one\n- two", "Head one two"),
        ("<script>alert(1)</script>", "<script>alert(1)</script>"),
        ("", ""),
    ],
)
def test_markdown_is_read_as_words(markdown: str, said: str) -> None:
    assert plain(markdown) == said


def test_a_claim_can_open_a_sentence() -> None:
    assert begun("And it keeps getting smoother.") == "It keeps getting smoother."
    assert begun("Soft balls hook.") == "Soft balls hook."
