"""The clock of a script: words into captions, and captions into seconds.

One clock serves script, captions and chapters.  A caption takes as long as it takes to say at
the speaking rate, counted on spoken forms, and never less than it takes to read.

Limits: 42 characters a line and two lines are common practice of broadcasters and streaming
services (value from memory), as is a ceiling of 20 characters a second for adults.
"""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass
from functools import lru_cache

from explainer.words.script.readaloud import said_words

LINE, LINES, PER_SECOND, SHORTEST = 42, 2, 20.0, 0.8
REACTION = 5.0
"""Seconds kept free for a live reaction."""

#: Between sentences: behind a stop and a closing quote, before a capital, a figure or a quote.
_ENDS = re.compile(r"(?:(?<=[.!?])|(?<=[.!?][”\"’]))\s+(?=[A-Z0-9“\"‘−])")


@dataclass(frozen=True)
class Cue:
    """One caption: a line or two, and how long it stands, in seconds."""

    lines: tuple[str, ...]
    seconds: float

    @property
    def text(self) -> str:
        return " ".join(self.lines)


@lru_cache(maxsize=4096)
def cues(text: str, rate: int) -> tuple[Cue, ...]:
    """``text`` as captions at ``rate`` words a minute; short sentences share one."""
    packed: list[str] = []
    for sentence in _ENDS.split(" ".join(text.split())):
        together = f"{packed[-1]} {sentence}" if packed else sentence
        if packed and len(_wrapped(together)) <= LINES:
            packed[-1] = together
        elif sentence:
            packed.append(sentence)
    return tuple(cue for words in packed for cue in _cut(words, rate))


def seconds(text: str, rate: int) -> float:
    """How long ``text`` takes."""
    return sum(cue.seconds for cue in cues(text, rate))


def _cut(words: str, rate: int) -> list[Cue]:
    """A sentence in captions of two lines, as even as they can be."""
    lines = _wrapped(words)
    width = LINE
    while width > 12 and len(_wrapped(words, width - 1)) == len(lines):
        width -= 1
    lines = _wrapped(words, width)
    groups = [tuple(lines[i : i + LINES]) for i in range(0, len(lines), LINES)]
    return [Cue(group, _lasts(" ".join(group), rate)) for group in groups]


def _lasts(text: str, rate: int) -> float:
    spoken = said_words(text) * 60 / rate
    return round(max(spoken, (len(text) + 1) / PER_SECOND, SHORTEST), 3)


def _wrapped(text: str, width: int = LINE) -> list[str]:
    return textwrap.wrap(text, width, break_on_hyphens=False)


def clock(at: float) -> str:
    """Seconds as a chapter mark: 0:00, 12:05, 1:02:03."""
    whole = int(at)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"
