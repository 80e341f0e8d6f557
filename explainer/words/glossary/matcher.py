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
_STOP = re.compile(r"[.!?;:][\"”’)]*\s")
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
    shared: bool = False
    """Whether the name means something else first."""


_Pieces = list[tuple[int, int, str]]
_Node = dict[str, Any]  # word -> node; under "" the forms that end here, the owner's first


class TermFinder:
    """All names of a glossary as one tree of words, so that a text is walked once."""

    def __init__(self, glossary: Glossary) -> None:
        self._root: _Node = {}
        names = [(e, n) for e in glossary.entries for n in e.names]
        for entry, name in names:
            self._plant(entry, name)
        for entry, name in names:  # after all names: a real name beats a made-up plural
            self._plant(entry, plural(name))
        for entry in glossary.entries:
            for name in entry.shares:
                self._plant(entry, name, shared=True)
                self._plant(entry, plural(name), shared=True)
        self._context = glossary.context
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

    def _plant(self, entry: Entry, name: str, shared: bool = False) -> None:
        words = PIECE.findall(name)
        if key(name) in {key(never) for never in entry.never}:
            return
        node = self._root
        for word in words:
            node = node.setdefault(_folded(word), {})
        exact = tuple((i, w) for i, w in enumerate(words) if w.isupper())
        everyday = bool(entry.only_near or entry.never_after)
        guarded = shared or (everyday and len(words) == 1)
        form = _Form(entry, exact, guarded, everyday and "-" in name, shared)
        forms = node.setdefault("", [])
        if not forms or (shared and all(f.entry is not entry for f in forms)):
            forms.append(form)

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
            count, forms = length
            start, end = pieces[i][0], pieces[i + count - 1][1]
            entry = self._meant(text, pieces, i, count, forms)
            if entry is not None:
                yield Hit(start, end, entry)
            i += count

    def _longest(
        self, text: str, pieces: _Pieces, i: int, node: _Node
    ) -> tuple[int, list[_Form]] | None:
        """How many words from ``i`` make the longest name that is really written there."""
        if _JOINED_BEFORE.search(text, max(0, pieces[i][0] - 2), pieces[i][0]):
            return None
        best: tuple[int, list[_Form]] | None = None
        last = i
        while True:
            if not _JOINED_AFTER.match(text, pieces[last][1]):
                forms = [
                    form
                    for form in node.get("", ())
                    if all(_as_written(text, pieces[i + at], word) for at, word in form.exact)
                ]
                if forms:
                    best = (last - i + 1, forms)
            last += 1
            if last == len(pieces) or (following := node.get(pieces[last][2])) is None:
                return best
            if not _GAP.fullmatch(text, pieces[last - 1][1], pieces[last][0]):
                return best
            node = following

    def _meant(
        self, text: str, pieces: _Pieces, i: int, count: int, forms: list[_Form]
    ) -> Entry | None:
        """Which of the entries that go by a name is meant here, None where none surely is.

        Of several, the one that more of its own words stand around in the same sentence; between
        two that are as likely, the study's own terms decide, and where they do not, nobody does.
        """
        first = forms[0]
        if len(forms) == 1 and not first.shared:
            words = text[pieces[i][0] : pieces[i + count - 1][1]]
            guarded = first.guarded or (first.guarded_apart and "-" not in words)
            around = _around(pieces, i, count)
            borne_out = not guarded or self._borne_out(pieces, i, around, first) is not None
            return first.entry if borne_out else None
        around = _around(pieces, i, count, text)
        weighed = [(self._borne_out(pieces, i, around, f), f) for f in forms]
        likely = [(w, f.entry) for w, f in weighed if w is not None]
        most = max((w for w, _ in likely), default=None)
        best = [entry for w, entry in likely if w == most]
        return best[0] if len(best) == 1 else None

    def _borne_out(
        self, pieces: _Pieces, i: int, around: frozenset[str], form: _Form
    ) -> tuple[int, int] | None:
        """How many of the words around, and of the study's own terms, speak for this entry.

        None where it cannot be meant: what stands before rules it out, or nothing bears it out.
        """
        slug = form.entry.slug
        before = " " + " ".join(p[2] for p in pieces[max(0, i - NEAR) : i])
        if before.endswith(self._never_after.get(slug, ())):
            return None
        near = self._near.get(slug)
        if near is None:
            return (0, 0)
        numbered = i > 0 and (pieces[i - 1][2] in _COUNTS or pieces[i - 1][2][0].isdigit())
        words = len(around & near) + ("#" in near and numbered)
        own = len(self._context & near)
        return (words, own) if words or (own and form.shared) else None


def _around(pieces: _Pieces, i: int, count: int, text: str = "") -> frozenset[str]:
    """The words around a name, with ``text`` only those of its own sentence."""
    start, stop = max(0, i - NEAR), i + count + NEAR
    if text:
        ends = [m.end() for m in _STOP.finditer(text, pieces[start][0])]
        low = max((e for e in ends if e <= pieces[i][0]), default=0)
        high = min((e for e in ends if e > pieces[i][0]), default=len(text))
        here = [n for n in range(start, min(stop, len(pieces))) if low <= pieces[n][0] < high]
    else:
        here = list(range(start, min(stop, len(pieces))))
    return frozenset(pieces[n][2] for n in here if not i <= n < i + count)


@lru_cache(maxsize=8)
def finder_for(glossary: Glossary) -> TermFinder:
    """The finder of a glossary, built once for all pages that share it."""
    return TermFinder(glossary)


def _folded(piece: str) -> str:
    return "'" if piece == "’" else piece.casefold()


def _as_written(text: str, piece: tuple[int, int, str], word: str) -> bool:
    return text[piece[0] : piece[1]] == word
