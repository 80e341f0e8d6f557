"""A sentence that knows its numbers: text, and where in it which number stands in which unit.

A number is rounded when it becomes words, and from there on it is known: what it is, of which
unit, and whether the unit is said beside it.  A ``Sentence`` is a ``str``, so that whoever only
wants text has it; put into a pattern of the catalogue or into a phrase it keeps its numbers, so
that the other system of units is told from them and not read out of prose
(``quantity/systems.py``).  What takes a ``Sentence`` apart gets plain text, of which no number is
known: there, and in an author's own words, the reader of prose looks.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

#: What stands around each known number while a template is rendered: a character that says which
#: number it is, and one that closes it.  A study's own are taken out with them.
_FIRST, _MOST, _CLOSE = 0xF0000, 0xFFFD, "\uf8f0"
_EDGES = re.compile(f"[{chr(_FIRST)}-{chr(_FIRST + _MOST - 1)}{_CLOSE}]")
_SLOT = re.compile(r"\{(\w+)\}")
#: The sentences of a text.
SENTENCE = re.compile(r"[^.?!]*(?:[.?!](?!\s|$)[^.?!]*)*[.?!]*\s*")


class Figures(str):
    """A number as it is told, ``1,250.5``, that knows what it is: 1250.4637.

    Each system of units is told from that; rounded twice, 0.93 miles per hour would be 1.4 km/h.
    """

    value: float
    place: int | None
    """The power of ten of the last digit that it was rounded to, be that a zero nobody sees."""
    even: bool
    """Whether it keeps the same last digit as others of its sentence in the other system, too:
    10.8 and 10.95 boards are 29.19 and 29.60 cm."""
    parts: tuple[float, ...]
    """Told beside it and rounded, what it is the sum of: whoever adds or subtracts finds it."""
    pair: tuple[float, float] | None
    """The two readings told together with how far they are apart, of which it is one of the three:
    all are as fine as it takes for the third to be true and what whoever subtracts finds."""

    def __new__(
        cls, text: str, value: float, place: int | None = None, even: bool = False,
        parts: tuple[float, ...] = (), pair: tuple[float, float] | None = None,
    ) -> Figures:  # fmt: skip
        made = super().__new__(cls, text)
        made.value, made.place, made.even = value, place, even
        made.parts, made.pair = parts, pair
        return made

    def __getnewargs__(self) -> tuple[Any, ...]:
        return str(self), self.value, self.place, self.even, self.parts, self.pair

    def trimmed(self) -> Figures:
        """Without a zero at its end behind the point."""
        shown = self.rstrip("0").rstrip(".") if "." in self else str(self)
        return Figures(shown, self.value, self.place, self.even, self.parts, self.pair)

    @property
    def last(self) -> int:
        """The power of ten of the last digit that is shown."""
        return -len(self.partition(".")[2])


def even(
    figures: str, parts: tuple[float, ...] = (), pair: tuple[float, float] | None = None
) -> str:
    """Figures that keep the last digit of the others of their sentence in the other system, as the
    sum of ``parts`` where these stand beside them, or as one of a ``pair``."""
    if not isinstance(figures, Figures):
        return figures
    return Figures(str(figures), figures.value, figures.place, True, parts, pair)


@dataclass(frozen=True)
class Place:
    """One number in a sentence."""

    start: int
    end: int
    """Its characters, those of its unit among them where that is said."""
    figures: str
    """The number as it is told: ``1,250.5``."""
    unit: str
    """What it is in, by its name in ``units``; empty for a number that no unit belongs to."""
    whole: bool = True
    """Whether the unit is said with it."""
    pair: str = ""
    """The same number in the other system, where that stands in brackets behind it."""

    def moved(self, by: int) -> Place:
        return replace(self, start=self.start + by, end=self.end + by)


class Sentence(str):
    """Text and the places of the numbers in it, first to last, none over another."""

    places: tuple[Place, ...]

    def __new__(cls, text: str, places: Iterable[Place] = ()) -> Sentence:
        made = super().__new__(cls, text)
        made.places = tuple(places)
        return made

    def __getnewargs__(self) -> tuple[str, tuple[Place, ...]]:  # type: ignore[override]
        return str(self), self.places

    def part(self, start: int, end: int) -> Sentence:
        """From one character to another, with the numbers that lie in it whole."""
        inside = (p for p in self.places if start <= p.start and p.end <= end)
        return Sentence(self[start:end], (p.moved(-start) for p in inside))

    def through(self, told: Callable[[str], str]) -> Sentence:
        """``told`` of the text, with the places of all numbers that came through unchanged.

        A number is found again by what follows it, or as the same one of its like: the second
        ``2`` stays the second.
        """
        after = told(self)
        if after == str(self):
            return self
        kept = []
        for place in self.places:
            said, longer = self[place.start : place.end], len(after) - len(self)
            before, now = _all(self, said), _all(after, said)
            if place.start + longer >= 0 and after[place.start + longer :] == self[place.start :]:
                kept.append(place.moved(longer))
            elif len(before) == len(now):
                kept.append(place.moved(now[before.index(place.start)] - place.start))
        return Sentence(after, kept)

    def sentences(self) -> Iterator[Sentence]:
        """One by one, each with its own numbers; together they are the text."""
        for found in SENTENCE.finditer(self):
            if found[0]:
                yield self.part(*found.span())


def places_of(text: str) -> tuple[Place, ...]:
    """The known numbers of a text; none of plain text."""
    return text.places if isinstance(text, Sentence) else ()


def known(text: str, figures: str, unit: str, whole: bool = True) -> Sentence:
    """A number as it stands in text, ``21 microinches`` or ``21``, with what is known of it."""
    return Sentence(text, (Place(0, len(text), figures, unit, whole),))


def filled(pattern: str, slots: Mapping[str, str]) -> str:
    """A pattern with its slots filled in, what is known of their numbers kept.

    Nothing in it is run, whoever wrote it.
    """
    if not any(places_of(text) for text in slots.values()):
        return _SLOT.sub(lambda m: slots[m[1]], pattern)
    out, places, at = "", [], 0
    for found in _SLOT.finditer(pattern):
        out += pattern[at : found.start()]
        said = slots[found[1]]
        places += [place.moved(len(out)) for place in places_of(said)]
        out, at = out + said, found.end()
    return Sentence(out + pattern[at:], places)


def put(pattern: str, *parts: str) -> str:
    """A pattern of our own with its parts in the places of ``{}``; what is known is kept."""
    pieces = pattern.split("{}")
    told = [pieces[0]]
    for part, piece in zip(parts, pieces[1:], strict=True):
        told += [part, piece]
    return joined("", told)


def joined(between: str, texts: Iterable[str]) -> Sentence:
    """``between.join(texts)`` that keeps what is known."""
    out, places = "", []
    for n, text in enumerate(texts):
        out += between if n else ""
        places += [place.moved(len(out)) for place in places_of(text)]
        out += text
    return Sentence(out, places)


def marked(value: Sentence, written: list[Place]) -> str:
    """A text that a template writes out, with an edge around each number that is known of it.

    ``written`` are the numbers written out so far; the edge says which of them it is about.
    """
    out, at = "", 0
    for place in value.places:
        which = chr(_FIRST + len(written) % _MOST)
        out += f"{value[at : place.start]}{which}{value[place.start : place.end]}{_CLOSE}"
        at = place.end
        written.append(place)
    return out + value[at:]


def rendered(text: str, written: Sequence[Place]) -> Sentence:
    """What a template wrote, with what is known of the numbers that ``marked`` put in it."""
    out, at, opened = "", 0, None
    places: list[Place] = []
    for edge in _EDGES.finditer(text):
        out += text[at : edge.start()]
        at = edge.end()
        if edge[0] != _CLOSE:
            opened = (len(out), ord(edge[0]) - _FIRST)
        elif opened is not None:
            start, which = opened
            if which < len(written):  # else an edge that somebody else brought along
                places.append(replace(written[which], start=start, end=len(out)))
            opened = None
    return Sentence(out + text[at:], places)


class KnownNumbers:
    """What is known of the numbers in the sentences that were said of one study.

    A sentence is known again wherever an edition puts it, with or without the stop at its end and
    whether or not it opens with a capital.  One that was said with different numbers behind the
    same text is not known.
    """

    def __init__(self) -> None:
        self._said: dict[str, tuple[Place, ...]] = {}

    def keep(self, text: Sentence) -> Sentence:
        """The same text, its sentences known from now on."""
        for each in text.sentences():
            if each.places:
                lead = len(each) - len(each.lstrip())
                places = tuple(place.moved(-lead) for place in each.places)
                if self._said.setdefault(_key(each), places) != places:
                    self._said[_key(each)] = ()
        return text

    def sentences(self) -> tuple[str, ...]:
        """All that is known, in small letters and without the stops at their ends."""
        return tuple(self._said)

    def of(self, sentence: str) -> tuple[Place, ...]:
        """The numbers of one sentence, none where nothing is known of it."""
        lead = len(sentence) - len(sentence.lstrip())
        return tuple(place.moved(lead) for place in self._said.get(_key(sentence), ()))


def _key(sentence: str) -> str:
    return sentence.strip().rstrip(".!?").casefold()


def _all(text: str, part: str) -> list[int]:
    """Where in a text a part begins, each time."""
    found, at = [], text.find(part)
    while at >= 0:
        found.append(at)
        at = text.find(part, at + 1)
    return found


# The word that ties a step of reasoning to the one before, where a text supplies its own.

JOINTS = ("and so ", "so that ", "so ", "and ", "therefore ", "then ", "hence ")


def unjoined(therefore: str) -> str:
    """The step without its first joint: ``so a ball slides`` as ``a ball slides``."""
    text = therefore.strip()
    for joint in JOINTS:
        if text.casefold().startswith(joint):
            return text[len(joint) :].lstrip(" ,:")
    return text
