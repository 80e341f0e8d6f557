"""How long a text takes to say, counted on what is said and not on what is printed."""

from __future__ import annotations

import re

from explainer.words.quantity.spoken import spoken

_SAID = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


def said_words(text: str) -> int:
    """Words of ``text`` when read aloud: ``−21 µin`` has four, ``twenty-one`` two."""
    return len(_SAID.findall(spoken(text)))


def minutes(text: str, words_per_minute: float) -> float:
    """Minutes to say plain ``text`` at a speaking rate in words per minute (above 0).

    Raises ValueError for a rate that is not above 0.
    """
    if not words_per_minute > 0:
        raise ValueError("words_per_minute must be above 0")
    return said_words(text) / words_per_minute
