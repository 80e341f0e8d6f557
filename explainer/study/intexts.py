"""Where a text tells who somebody hidden is, though no full name stands in it plainly.

A full name in a text becomes initials (``people.py``).  What is found here is not as sure to be
theirs (``A. Brightwater`` may be a sister), or cannot be written anew (a link would lead nowhere),
so the author mends it: a last name or half of it alone, the one word that somebody is called, an
initial or a middle one beside it, a name in an address or in one word, in any of the spellings of
``spelling.py``.  The first name of several is many people's; ``proof`` points at it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from urllib.parse import unquote

from explainer.study.naming import PARTICLES
from explainer.study.persons import is_person
from explainer.study.spelling import Spelled, folded, spelled

_WORD = re.compile(r"[^\W\d_]+")
#: What may stand between two words of one name.
_BETWEEN = re.compile(r"[\W_]{1,3}")
#: What may be put into a word, or left out of it: O'Gorman, OGorman, Dun-more.
_WITHIN = re.compile(r"['’‘`´′.·\-‐‑‒–]")
#: What an apostrophe parts from a word, and is none of its letters: can't, we'll.
_SHORTENED = frozenset(["d", "ll", "m", "re", "s", "t", "ve"])
#: So many pieces of a word are put together.
_MOST_PIECES = 4
#: An address, as far as it goes; what its first part may be long is bounded, so that none is tried
#: twice.
ADDRESS = re.compile(
    r"(?<![a-z])[a-z][a-z+.-]{1,11}://\S+|(?<!\w)www\.\S+|(?<![\w.+%-])[\w.+%-]{1,64}@\S+",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\([^()]*\)")
#: What stands behind a name and is no part of it.
_BEHIND = re.compile(r"[\s,]{1,3}(?:jr|jnr|jun|sr|snr|sen|ii|iii|iv)\.?$", re.IGNORECASE)
_LEAST = 3
#: A name in one word is looked for where it is this long: ``jdoe`` may be a word.
_JOINED = 6
#: Letters that stand apart spell a name that is this long; fewer are points of a list.
_SPACED = 4
#: Words before a name that say that it is one, and those that do so before a capital only.
_TITLES = frozenset(["mister", "mr", "mrs"])
_TITLES_OF_CAPITALS = frozenset(["coach", "dr", "miss", "ms"])

#: The words of a name, folded.
Words = tuple[str, ...]
#: What stands in a text, the name in it (folded), and what its bearer is called in public.
Found = tuple[str, str, str]


def first_and_last(name: str) -> tuple[Words, Words]:
    """The words of somebody's first names and of their last one (``Smith-Jones`` is two), folded,
    of ``Jane van Doe (L)`` as of ``Doe, Jane``; a name of one word is a last one.  No last one that
    is too short, or in a script that parts no words."""
    told = _words_of(name)
    firsts, lasts = (
        tuple(w for w in map(folded, _WORD.findall(" ".join(part))) if w not in PARTICLES)
        for part in (told[:-1], told[-1:])
    )
    short = len("".join(lasts)) < _LEAST or _wide(lasts[0])
    return firsts, () if short else lasts


def _words_of(name: str) -> list[str]:
    """The words of a name as they stand apart, the last name last and whole."""
    bare = _BEHIND.sub("", _BRACKETS.sub(" ", name).strip())
    last, comma, first = bare.partition(",")
    told = [word for word in (first if comma else bare).split() if not is_person(word)]
    return [*told, last] if comma else told


def _wide(word: str) -> bool:
    """Whether words of this script stand without spaces: 李小龙."""
    return unicodedata.east_asian_width(word[0]) == "W"


def _halves(name: str, last: Words) -> Iterator[Words]:
    """The parts of a name that are enough to be known by: those of a double last name, of which a
    Spanish one stands apart (López of ``Ana María López Vega``, Ana López of three words)."""
    if len(last) > 1:
        yield from ((part,) for part in last if len(part) >= _LEAST)
    told = [w for w in _words_of(name) if len(w) >= _LEAST and folded(w) not in PARTICLES]
    if len(told) > 2 and "," not in name:
        middle = tuple(map(folded, _WORD.findall(told[-2])))
        yield middle if len(told) > 3 else (folded(told[0]), *middle)


@dataclass
class _Known:
    """A last name, or what is as good as one."""

    words: Words
    short: str
    firsts: set[str] = field(default_factory=set)


class InTexts:
    """Finds the people of ``names`` (each with what they are called in public) in texts.

    ``is_word`` tells of a name of one word whether that means something else as well: alone it
    names nobody then; ``in_small`` the same of one in small letters.  ``elsewhere``: names of which
    the author says so.
    """

    def __init__(
        self, names: Mapping[str, str], is_word: Callable[[str], bool] = lambda word: False,
        elsewhere: Collection[str] = (), in_small: Callable[[str], bool] = lambda word: False,
    ) -> None:  # fmt: skip
        self.known: dict[str, _Known] = {}
        """By its letters: ogorman."""
        self.joined: dict[str, tuple[str, str]] = {}
        """A first and a last name in one word, to the last one and what its bearer is called."""
        self.unparted: dict[str, str] = {}
        """A name without spaces around it, to the same."""
        for name, short in names.items():
            self._add_unparted(name, short)
            for way in spelled(name):
                self._add(way.text, short)
        said = {
            "".join(map(folded, _WORD.findall(way.text)))
            for name in elsewhere for way in spelled(name)
        }  # fmt: skip
        words = {key for key, known in self.known.items() if len(known.words) == 1}
        self.words = said | {key for key in words if is_word(key)}
        self.words_in_small = self.words | {
            key for key, known in self.known.items() if all(map(in_small, known.words))
        }
        for name in said:
            self.unparted.pop(name, None)
        self.sizes = sorted({len(k) for k in self.known if len(k) >= _SPACED}, reverse=True)
        self.unparted_sizes = sorted(set(map(len, self.unparted)), reverse=True)

    def _add(self, name: str, short: str) -> None:
        firsts, last = first_and_last(name)
        if not last:
            return
        for words in (last, *_halves(name, last)):
            known = self.known.setdefault("".join(words), _Known(words, short))
            known.firsts.update(firsts)
        if not firsts:
            return
        one, other = firsts[0], "".join(last)
        for joined in (one + other, other + one, one[0] + other):
            if len(joined) >= _JOINED:
                self.joined.setdefault(joined, (other, short))

    def _add_unparted(self, name: str, short: str) -> None:
        """A name in a script that parts no words: the whole, and a family name of two characters,
        which stands first."""
        parts = _WORD.findall(_BRACKETS.sub(" ", name))
        if parts and all(map(_wide, parts)):
            for told in ("".join(parts), parts[0]):
                if len(told) > 1:
                    self.unparted.setdefault(told, short)

    def find(self, text: str, plainly: Callable[[str], str] = str) -> Iterator[Found]:
        """What in a text tells who somebody is; ``plainly`` puts initials where full names stand,
        which is done with all of it but the addresses.  In linear time."""
        if not (self.known or self.unparted):
            return
        for address in ADDRESS.finditer(text):
            yield from self._found(address[0], anywhere=True)
        yield from self._found(plainly(ADDRESS.sub(" ", text)), anywhere=False)

    def _found(self, text: str, anywhere: bool) -> Iterator[Found]:
        """The same of a text in any of its readings, what stands in several of them once."""
        told: set[tuple[str, str]] = set()
        for way in spelled(unquote(text)):
            before = frozenset(told)
            for shown, name, short in _Reading(self, way, anywhere).found():
                if (shown, short) not in before:
                    told.add((shown, short))
                    yield shown, name, short


class _Reading:
    """One reading of a text, without codes, in which people are looked for; in an address they are
    meant in small letters, too (``anywhere``)."""

    def __init__(self, people: InTexts, way: Spelled, anywhere: bool) -> None:
        self._people, self._way, self._anywhere = people, way, anywhere
        self._words = list(_WORD.finditer(way.text))
        self._low = [word[0].casefold() for word in self._words]

    def found(self) -> Iterator[Found]:
        past = 0
        for at, low in enumerate(self._low):
            if (joined := self._people.joined.get(low)) is not None:
                yield self._written(at, at), *joined
                past = at + 1
            yield from self._unparted(self._words[at])
            end, name, plural = self._name(at) if at >= past else (at, None, False)
            if name is None:
                continue
            past = end + 1
            first, last = self._beside(at, end, name)
            key = "".join(name.words)
            words = self._people.words_in_small if self._small(at) else self._people.words
            if (first, last) != (at, end) or key not in words:
                shown = self._written(first, last)
                yield shown.removesuffix("s") if plural else shown, " ".join(name.words), name.short
        yield from self._spaced()

    def _written(self, first: int, last: int) -> str:
        return self._way.written(self._words[first].start(), self._words[last].end())

    def _small(self, at: int) -> bool:
        return not self._anywhere and self._words[at][0].islower()

    def _between(self, at: int) -> str:
        """What stands between a word and the one after it; empty where they are too far apart."""
        start, end = self._words[at].end(), self._words[at + 1].start()
        return self._way.text[start:end] if _BETWEEN.fullmatch(self._way.text, start, end) else ""

    def _name(self, at: int) -> tuple[int, _Known | None, bool]:
        """The longest name that begins with a word, to which word it reaches, and whether it is of
        several who bear it."""
        known, low = self._people.known, self._low
        found, joined, whole = (at, known.get(low[at])), low[at], True
        for end in range(at + 1, min(at + _MOST_PIECES, len(low))):
            between = self._between(end - 1)
            if not between:
                break
            whole = whole and bool(_WITHIN.fullmatch(between)) and low[end] not in _SHORTENED
            joined += low[end]
            name = known.get(joined)
            if name is not None and (whole or name.words == tuple(low[at : end + 1])):
                found = end, name
        if found[1] is None and len(low[at]) > _LEAST and low[at].endswith("s"):
            return at, known.get(low[at][:-1]), True
        return *found, False

    def _beside(self, at: int, end: int, name: _Known) -> tuple[int, int]:
        """From which word to which a name reaches whose last name begins at one: with a title, a
        first name, its initial, or one and a middle name; else the last name alone."""
        low, words = self._low, self._words
        before = at > 0 and bool(self._between(at - 1))
        if before and self._is_title(at - 1, at):
            return at - 1, end
        if self._small(at):
            return at, end
        if before:
            if low[at - 1] in name.firsts or self._initial(at - 1, name):
                return at - 1, end
            middle = words[at - 1][0][0].isupper() and at > 1 and self._between(at - 2)
            if middle and low[at - 2] in name.firsts:
                return at - 2, end
        follows = end + 1
        if follows < len(words) and "," in self._between(end) and self._initial(follows, name):
            return at, follows
        return at, end

    def _is_title(self, title: int, at: int) -> bool:
        """Whether a word says that the next one is a name: `Ms Rose`, but not `3 ms long`."""
        low, capital = self._low[title], not self._words[at][0].islower()
        if low == "ms":
            return not self._words[title][0].islower()
        return low in _TITLES or (capital and low in _TITLES_OF_CAPITALS)

    def _initial(self, at: int, name: _Known) -> bool:
        dotted = self._way.text.startswith(".", self._words[at].end())
        return len(self._low[at]) == 1 and dotted and self._low[at] in {f[0] for f in name.firsts}

    def _spaced(self) -> Iterator[Found]:
        """Names of which every letter stands apart: `O x l i p`."""
        first = 0
        for at, low in enumerate((*self._low, "")):
            if len(low) == 1 and (at == first or self._between(at - 1)):
                continue
            if at - first >= _SPACED:
                yield from self._spelled_out(first, "".join(self._low[first:at]))
            first = at if len(low) == 1 else at + 1

    def _spelled_out(self, first: int, letters: str) -> Iterator[Found]:
        people = self._people
        for size in people.sizes:
            for start in range(len(letters) - size + 1):
                key = letters[start : start + size]
                if key in people.known and key not in people.words_in_small:
                    name, at = people.known[key], first + start
                    yield self._written(at, at + size - 1), " ".join(name.words), name.short

    def _unparted(self, word: re.Match[str]) -> Iterator[Found]:
        """Names among characters that stand without spaces."""
        text = word[0]
        if text.isascii() or not self._people.unparted:
            return
        for size in self._people.unparted_sizes:
            for start in range(len(text) - size + 1):
                name = text[start : start + size]
                if name in self._people.unparted:
                    yield name, name, self._people.unparted[name]
