"""Looks words up as people say them: abbreviations, short forms, joined or split, misspelled.

Three steps, each tried only where the one before finds nothing: the same letters whatever stands
between them (C.G., ball-speed, uin); the words of a name, in any order and with slips of the pen;
and at last the words by which the entries explain themselves, each weighed by how few entries
use it (inverse document frequency: Spärck Jones 1972, Journal of Documentation 28, 11).
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from explainer.words.glossary.entry import Entry
from explainer.words.glossary.forms import plural

#: Words that say nothing about what is looked for.
_EMPTY = frozenset({
    "a", "an", "and", "are", "as", "at", "be", "by", "can", "did", "do", "does", "for", "from",
    "how", "i", "if", "in", "is", "it", "its", "my", "of", "off", "on", "or", "our", "that",
    "the", "their", "them", "then", "there", "they", "this", "to", "was", "we", "what", "whats",
    "when", "where", "which", "who", "why", "will", "with", "would", "you", "your", "s", "so",
    "much", "many", "mean", "means", "meaning", "called", "thing",
})  # fmt: skip
#: How much a word counts in the names, in the plain phrase and in the explanation.
_WEIGHTS = (4.0, 2.0, 1.0)
#: An entry must reach this share of what the query could score at most, or it is not offered.
_ENOUGH = 0.25
_WORD = re.compile(r"[^\W_]+")


def squeezed(text: str) -> str:
    """Only the letters and digits, in small letters; both micro signs are a u.

    >>> squeezed("C.G.") == squeezed("cg"), squeezed("µin"), squeezed("GR&R")
    (True, 'uin', 'grr')
    """
    plain = text.replace("µ", "u").replace("μ", "u").casefold()
    apart = unicodedata.normalize("NFKD", plain)
    return "".join(c for c in apart if c.isalnum())


def singulars(name: str) -> tuple[str, ...]:
    """``name`` and what it may be the plural of, likeliest first."""
    found = [name]
    if name.endswith("ies") and len(name) > 4:
        found.append(name[:-3] + "y")
    if name.endswith("es") and len(name) > 4:
        found.append(name[:-2])
    if name.endswith("s") and not name.endswith("ss") and len(name) > 3:
        found.append(name[:-1])
    return tuple(found)


def words_of(text: str) -> list[str]:
    """The words that carry meaning, folded, in the singular."""
    found = _WORD.findall(text.replace("µ", "u").replace("μ", "u").casefold())
    return [_single(w) for w in found if w not in _EMPTY]


def _single(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


class Index:
    """What a glossary's entries go by, and what they speak of."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        self._entries = tuple(entries)

    @cached_property
    def spelled(self) -> Mapping[str, Entry]:
        """Entry by its names with nothing between their letters; a term before any other name."""
        found: dict[str, Entry] = {}
        for names in (
            [(e, e.term) for e in self._entries],
            [(e, n) for e in self._entries for n in e.also],
            [(e, n) for e in self._entries for n in e.found_as],
            [(e, plural(n)) for e in self._entries for n in (*e.names, *e.found_as)],
        ):
            for entry, name in names:
                found.setdefault(squeezed(name), entry)
        return found

    def same_letters(self, text: str) -> Entry | None:
        """The entry one of whose names has these letters: 2000-grit is a grit."""
        whole = squeezed(text)
        bare = whole.lstrip("0123456789")
        for form in (*singulars(whole), *(singulars(bare) if len(bare) > 2 else ())):
            if form in self.spelled:
                return self.spelled[form]
        return None

    @cached_property
    def _texts(self) -> list[tuple[frozenset[str], frozenset[str], frozenset[str]]]:
        return [
            (
                frozenset(w for n in (*e.names, *e.found_as) for w in words_of(n)),
                frozenset(words_of(e.plainly)),
                frozenset(words_of(f"{e.explained} {e.careful}")),
            )
            for e in self._entries
        ]

    @cached_property
    def _rarity(self) -> Mapping[str, float]:
        """ln(N/n) of every word, where n of the N entries use it."""
        used = Counter(w for parts in self._texts for w in frozenset().union(*parts))
        return {w: math.log(len(self._entries) / n) + 0.1 for w, n in used.items()}

    def by_meaning(self, text: str, n: int) -> tuple[Entry, ...]:
        """The entries that speak of what the words of ``text`` speak of, best first."""
        wanted = [w for word in words_of(text) for w in self._meant(word)]
        if not wanted:
            return ()
        most = sum(_WEIGHTS[0] * self._rarity.get(w, 5.0) for w in wanted)
        scored: list[tuple[float, int, Entry]] = []
        for entry, parts in zip(self._entries, self._texts, strict=True):
            score = sum(self._score(w, parts) for w in wanted)
            if score >= _ENOUGH * most:
                named = sum(w in parts[0] for w in set(wanted))
                extra = min(
                    (len(set(words_of(name)) - set(wanted))
                     for name in (*entry.names, *entry.found_as)
                     if set(words_of(name)) & set(wanted)),
                    default=len(parts[0]) if named else 9,
                )  # fmt: skip
                scored.append((-score, extra, entry))
        scored.sort(key=lambda s: (round(s[0], 6), s[1], s[2].term))
        return tuple(entry for _, _, entry in scored[:n])

    def _score(self, word: str, parts: Iterable[frozenset[str]]) -> float:
        return max(
            (weight * self._rarity.get(word, 0.0)
             for weight, part in zip(_WEIGHTS, parts, strict=True) if word in part),
            default=0.0,
        )  # fmt: skip

    def _meant(self, word: str) -> list[str]:
        """The word itself where an entry uses it, else those it may be a slip of the pen for.

        Abbreviations (two letters, or none that is a vowel) are never taken for others: the
        nearest abbreviation is another thing altogether.
        """
        if word in self._rarity or len(word) < 3 or not set(word) & set("aeiouy"):
            return [word]
        most = 1 if len(word) < 7 else 2
        names = {w for parts in self._texts for w in parts[0] if len(w) > 3}
        near = [(slips(word, w, most), w) for w in names]
        best = min((d for d, _ in near), default=most + 1)
        return sorted(w for d, w in near if d == best) if best <= most else [word]


def slips(one: str, other: str, most: int) -> int:
    """How many letters were left out, put in, changed or swapped; more than ``most`` is most + 1.

    Optimal string alignment (Damerau 1964, Communications of the ACM 7, 171).
    """
    if abs(len(one) - len(other)) > most:
        return most + 1
    before: list[int] = []
    last = list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        row = [i]
        for j, b in enumerate(other, start=1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        before, last = last, row
    return min(last[-1], most + 1)
