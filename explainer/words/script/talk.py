"""What a script is made of: lines to say, in shots that share a screen, in parts with a name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["say", "own", "react"]
"""``say``: ours; ``own``: the author's words; ``react``: a place for whoever speaks, no words."""


@dataclass(frozen=True)
class Line:
    """One or more sentences that are said together, or dropped together."""

    text: str
    """As printed, with figures; a prompt for ``react``."""
    rank: int
    """1 is kept longest; see ``say_script.RANKS``."""
    kind: Kind = "say"
    brief: str | None = None
    """Said instead where time is short."""
    again: str | None = None
    """Said instead where ``again_after`` was on screen before; empty: nothing is."""
    again_after: str = ""
    """The id of an earlier part."""
    key: str = ""
    """A name that other lines, and the part, can need.  Lines of one key stand or fall together."""
    claim: str = ""
    """The claim of which this line says what the data say."""
    needs: str = ""
    """The key of lines without which this one would mislead: no quote without its finding."""


@dataclass(frozen=True)
class Screen:
    """What is to be seen: a figure or a card, up to a step of its build-up."""

    of: str
    """``figure:ID`` or ``card:NAME``."""
    step: int


@dataclass(frozen=True)
class Shot:
    """Lines over one picture."""

    screen: Screen
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Part:
    """A chapter.  Its first line leads: without it nothing else of the part is said."""

    id: str
    title: str
    shots: tuple[Shot, ...]
    needs: frozenset[str] = frozenset()
    """Keys of which at least one must be said, or the part is left out; empty: it may be."""


@dataclass(frozen=True)
class Row:
    """One thing on a card; each appears in a step of its own, from step 1."""

    text: str
    small: str = ""
    look: str = ""
    """For a chain: the verdict's code; for items: how many dots stand before the words."""
    marked: bool = False


@dataclass(frozen=True)
class Card:
    """A picture of words: who was tested, a claim, the chain of reasons, what is open."""

    kicker: str
    title: str
    rows: tuple[Row, ...] = ()
    note: str = ""
    kind: Literal["words", "items", "chain"] = "words"


@dataclass(frozen=True)
class Talk:
    """A whole script, longest form."""

    title: str
    parts: tuple[Part, ...]
    cards: Mapping[str, Card] = field(default_factory=dict)
    made_up: str = ""
    """The spoken notice of an invented study."""

    @property
    def screens(self) -> tuple[Screen, ...]:
        """Every picture, in the order it is first shown."""
        return tuple(dict.fromkeys(shot.screen for shot in self.shots))

    @property
    def shots(self) -> Iterator[Shot]:
        return (shot for part in self.parts for shot in part.shots)
