"""Whether the name of a file, a table or a claim gives away somebody who is called by initials.

Such names are published as they are: in addresses, anchors, downloads, columns, ``results.json``
and the record of a site, and none can be put into initials without breaking what leads there.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from explainer.study.persons import is_person
from explainer.study.spelling import spelled
from explainer.study.unseen import seen

_WORD = re.compile(r"[^\W\d_]+")
#: Where a new word begins in ``janeDoe``.
_CAMEL = re.compile(r"(?<=[a-zß-öø-ÿ])(?=[A-ZÀ-ÖØ-Þ])")
#: Parts of names that tell nobody.
PARTICLES = frozenset(
    ["and", "bin", "das", "del", "den", "der", "des", "dos", "ibn", "jnr", "jun", "las", "los",
     "mac", "mrs", "san", "sen", "snr", "the", "van", "von"]
)  # fmt: skip
#: Words that some people are called, too.  Alone they tell nobody for sure.
_ALSO_WORDS = """
about after april art august autumn back ball balls banks bay before bell berry best better
between bill bird black blue board boards bob bond bow bowl bowler bowls bridge brook brooks
brown bush butler case chance change chase church claim close coach cook cotton court cover
cross daily data dawn day days dean drew drop early east end even faith fall falls field finish
first fish flat flower forest fox frank free frost full game games gold good grace gray green
grey group guy hall hand hard heath high hill hills hook hope house hunter joy june just king
knight lake lane lanes last law league less level light line little long love low major march
mark marks mason may mean means mile miles mills moon moore more most night north oil old over
page park part peak penny pin pins pitt pool pope pound power price prince quick rate rates ray
reading readings red reed rich ring rise river rivers road rose rough rule sage same sand sands
score scores season sharp sheet shore short shot shots skip slow small smooth snow south spare
spares spark speed spin spring star start steel step stone stones storm street strike strikes
strong study summer sunday surface swift table team temple test texture time title total track
under walk wall ward water waters way weather week weeks weight wells west white wide will wind
winter with wood woods worn worth young your
"""
EVERYDAY = frozenset(_ALSO_WORDS.split())
#: A part of a name this long is found inside a longer word, too.
_LONG = 6


#: Marks of Markdown and tags, of which a reader of the page sees nothing.
_MARKS = re.compile(r"\]\([^()]*\)|\]\[[^\[\]]*\]|<[^<>]*>|[*_`~\\\[\]]")


def as_shown(text: str) -> str:
    """A text as whoever reads the page reads it: without marks, links, tags and characters that
    nobody sees, entities as what they stand for, and one space between words."""
    return " ".join(seen(html.unescape(_MARKS.sub("", text))).split())


def _words(text: str) -> Iterator[list[str]]:
    """The words of a name, in each of its readings."""
    for way in spelled(_CAMEL.sub(" ", text)):
        yield _WORD.findall(way.text.casefold())


@dataclass(frozen=True)
class Hidden:
    """The people of a study who are not to be named."""

    whole: dict[frozenset[str], str] = field(default_factory=dict)
    """The words of a name of several to the name."""
    parts: dict[str, str] = field(default_factory=dict)
    """A first name, or a last one."""
    joined: dict[str, str] = field(default_factory=dict)
    """A name written as one word: janedoe, doejane; jdoe."""
    having: dict[str, list[frozenset[str]]] = field(default_factory=dict)
    """A word to the names of several words, ``whole``, that begin with it."""

    @cached_property
    def _long(self) -> dict[int, set[str]]:
        """The names that are found inside a longer word, too, by their length."""
        found: dict[int, set[str]] = {}
        for name in {*self.parts, *self.joined} - EVERYDAY:
            if len(name) >= _LONG:
                found.setdefault(len(name), set()).add(name)
        return found

    @classmethod
    def of(cls, names: Iterable[str]) -> Hidden:
        """Of names as they stand in the files."""
        found = cls()
        for name in names:
            for words in _words(name):
                found._add(name, [w for w in words if w not in PARTICLES and not is_person(w)])
        return found

    def _add(self, name: str, words: list[str]) -> None:
        told = [w for w in words if len(w) > 2 or len(words) == 1 or not w.isascii()]
        self.parts.update(dict.fromkeys(told, name))
        if len(words) > 1 and told:
            self.whole[frozenset(words)] = name
            self.having.setdefault(words[0], []).append(frozenset(words))
            first, last = (words[-1], words[0]) if "," in name else (words[0], words[-1])
            self.joined.update(dict.fromkeys((first + last, last + first), name))
            if len(last) > 2:
                self.joined[first[0] + last] = name

    def given_away(self, text: str) -> tuple[str, bool] | None:
        """What in a name of something tells who somebody is, and whether it surely does; a word
        that some people are called, too, may be just that word."""
        found = [given for words in _words(text) if (given := self._given(text, words))]
        return max(found, key=lambda given: given[1], default=None)

    def _given(self, text: str, words: list[str]) -> tuple[str, bool] | None:
        said = set(words)
        if any(whole <= said for word in said for whole in self.having.get(word, ())):
            return text, True
        maybe: str | None = None
        for word in words:
            for one in (word, word.removesuffix("s") if len(word) > 4 else word):
                if one in EVERYDAY:
                    maybe = maybe or (one if one in self.parts else None)
                elif one in self.parts or one in self.joined:
                    return one, True
            if word not in EVERYDAY and any(
                word[at : at + size] in names
                for size, names in self._long.items() for at in range(len(word) - size + 1)
            ):  # fmt: skip
                return word, True
        return (maybe, False) if maybe else None
