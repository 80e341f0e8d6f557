"""Finds the glossary's terms in running text: one walk over the words, longest name first."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from explainer.words.glossary.entries import Entry, Glossary
from explainer.words.glossary.forms import PIECE, key, plural

#: How many words either side of an everyday word are searched for one that settles its sense.
NEAR = 10

_GAP = re.compile(r"%?\s+|[-‐‑–&]|")
_JOINED_BEFORE = re.compile(r"[^\W_][-‐‑.]\Z|[_{@]\Z")
_JOINED_AFTER = re.compile(r"[-‐‑.](?=[^\W_])|[_}@]")
_COUNT_WORDS = (
    "one two three four five six seven eight nine ten eleven twelve first second third fourth "
    "fifth sixth seventh eighth ninth tenth eleventh twelfth twentieth half"
)
_COUNTS = frozenset(_COUNT_WORDS.split())


@dataclass(frozen=True)
class Hit:
    """A term in a text: ``text[start:end]`` names ``entry``."""

    start: int
    end: int
    entry: Entry


@dataclass(frozen=True)
class _Form:
    """One way to write an entry's name; ``exact`` are its words in capitals, by position."""

    entry: Entry
    exact: tuple[tuple[int, str], ...]
    guarded: bool
    """Whether the words around it must bear out that the trade sense is meant."""
    guarded_apart: bool
    """The same, where a hyphenated name is written as separate words."""


_Node = dict[str, Any]  # word -> node; under "" the form that ends here


class TermFinder:
    """All names of a glossary as one tree of words, so that a text is walked once."""

    def __init__(self, glossary: Glossary) -> None:
        self._root: _Node = {}
        names = [(e, n) for e in glossary.entries for n in e.names]
        for entry, name in names:
            self._plant(entry, name)
        for entry, name in names:  # after all names: a real name beats a made-up plural
            self._plant(entry, plural(name))
        self._near = {
            e.slug: frozenset(w for n in e.only_near for w in (n.casefold(), plural(n.casefold())))
            for e in glossary.entries
            if e.only_near
        }
        self._never_after = {
            e.slug: tuple(f" {key(phrase)}" for phrase in e.never_after)
            for e in glossary.entries
            if e.never_after
        }

    def _plant(self, entry: Entry, name: str) -> None:
        words = PIECE.findall(name)
        if key(name) in {key(never) for never in entry.never}:
            return
        node = self._root
        for word in words:
            node = node.setdefault(_folded(word), {})
        exact = tuple((i, w) for i, w in enumerate(words) if w.isupper())
        everyday = bool(entry.only_near or entry.never_after)
        guarded, apart = everyday and len(words) == 1, everyday and "-" in name
        node.setdefault("", _Form(entry, exact, guarded, apart))

    def find(self, text: str) -> Iterator[Hit]:
        """The terms of ``text`` in order, never overlapping, longest first at each place."""
        pieces = [(m.start(), m.end(), _folded(m.group())) for m in PIECE.finditer(text)]
        root = self._root
        i = 0
        while i < len(pieces):
            node = root.get(pieces[i][2])
            length = self._longest(text, pieces, i, node) if node is not None else None
            if length is None:
                i += 1
                continue
            count, form = length
            start, end = pieces[i][0], pieces[i + count - 1][1]
            guarded = form.guarded or (form.guarded_apart and "-" not in text[start:end])
            if not guarded or self._in_trade_sense(text, pieces, i, form.entry):
                yield Hit(start, end, form.entry)
            i += count

    def _longest(
        self, text: str, pieces: list[tuple[int, int, str]], i: int, node: _Node
    ) -> tuple[int, _Form] | None:
        """How many words from ``i`` make the longest name that is really written there."""
        if _JOINED_BEFORE.search(text, max(0, pieces[i][0] - 2), pieces[i][0]):
            return None
        best: tuple[int, _Form] | None = None
        last = i
        while True:
            form = node.get("")
            if (
                form is not None
                and not _JOINED_AFTER.match(text, pieces[last][1])
                and all(_as_written(text, pieces[i + at], word) for at, word in form.exact)
            ):
                best = (last - i + 1, form)
            last += 1
            if last == len(pieces) or (following := node.get(pieces[last][2])) is None:
                return best
            if not _GAP.fullmatch(text, pieces[last - 1][1], pieces[last][0]):
                return best
            node = following

    def _in_trade_sense(
        self, text: str, pieces: list[tuple[int, int, str]], i: int, entry: Entry
    ) -> bool:
        before = " " + " ".join(p[2] for p in pieces[max(0, i - NEAR) : i])
        if before.endswith(self._never_after.get(entry.slug, ())):
            return False
        near = self._near.get(entry.slug)
        if near is None:
            return True
        if "#" in near and i and (pieces[i - 1][2] in _COUNTS or pieces[i - 1][2][0].isdigit()):
            return True
        around = pieces[max(0, i - NEAR) : i] + pieces[i + 1 : i + 1 + NEAR]
        return any(p[2] in near for p in around)


@lru_cache(maxsize=8)
def finder_for(glossary: Glossary) -> TermFinder:
    """The finder of a glossary, built once for all pages that share it."""
    return TermFinder(glossary)


def _folded(piece: str) -> str:
    return "'" if piece == "’" else piece.casefold()


def _as_written(text: str, piece: tuple[int, int, str], word: str) -> bool:
    return text[piece[0] : piece[1]] == word
