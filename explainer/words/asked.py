"""Notes what is asked of the glossary and of the templates while one study's pages are made.

Later that tells whether a changed glossary or template can have changed those pages: the same
questions with the same answers give the same pages.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field


@dataclass
class Asked:
    """What was asked for."""

    words: set[str] = field(default_factory=set)
    """Every word, folded as ``forms.key`` does, of every text in which terms were looked for."""
    templates: set[str] = field(default_factory=set)
    """Name of every template, style and script that was asked for, found or not."""


_noted: ContextVar[Asked | None] = ContextVar("asked", default=None)


@contextmanager
def noting() -> Iterator[Asked]:
    """Notes all that is asked inside the block."""
    asked = Asked()
    token = _noted.set(asked)
    try:
        yield asked
    finally:
        _noted.reset(token)


def note_words(words: Iterable[str]) -> None:
    """A term was looked for among these words."""
    asked = _noted.get()
    if asked is not None:
        asked.words.update(words)


def note_templates(*names: str) -> None:
    """These files of the templates folder were asked for."""
    asked = _noted.get()
    if asked is not None:
        asked.templates.update(names)
