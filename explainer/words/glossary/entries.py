"""The glossary: entries read from YAML folders, found by any of their names.

A folder holds ``*.yaml``, one file per topic, each a list of entries (``entry.Entry``).  The
first folder's entry of a term wins, key by key: a workspace gives only what it says
differently and inherits the rest.
"""

from __future__ import annotations

import difflib
import math
import re
import textwrap
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from explainer.errors import DescriptionError, Problem, UsageError, WorkspaceError, one_line
from explainer.study import yaml12
from explainer.study.files import FileFault, files_within, read_within
from explainer.study.shipped import is_shipped
from explainer.words.glossary.entry import NEEDED, Entry, build, check, key, plural, shown

# Looks words up as people say them: abbreviations, short forms, joined or split, misspelled.
# Three steps, each tried only where the one before finds nothing: the same letters whatever
# stands between them (C.G., ball-speed, uin); the words of a name, in any order and with slips of
# the pen; and at last the words by which the entries explain themselves, each weighed by how few
# entries use it (inverse document frequency: Spärck Jones 1972, Journal of Documentation 28, 11).

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


__all__ = ["Entry", "Glossary", "load_glossary"]


@dataclass(frozen=True, eq=False)
class Glossary:
    """Entries in alphabetical order, found by any name, plural, spelling or short form."""

    entries: tuple[Entry, ...]
    context: frozenset[str] = frozenset()
    """Words of the study the glossary is for, folded: they help tell senses of a word apart."""

    @cached_property
    def by_name(self) -> Mapping[str, Entry]:
        """Entry by each of its names (as ``forms.key`` writes them), then by their plurals."""
        named = {key(n): e for e in self.entries for n in e.names}
        plurals = {key(plural(n)): e for e in self.entries for n in e.names}
        return {**plurals, **named}

    @cached_property
    def index(self) -> Index:
        """What ``find`` and ``nearest`` look in where no name is written just so."""
        return Index(self.entries)

    def find(self, text: str) -> Entry | None:
        """The entry that goes by this name, however it is spaced, dotted or abbreviated."""
        return self.by_name.get(key(text)) or self.index.same_letters(text)

    def senses(self, text: str) -> tuple[Entry, ...]:
        """All entries that go by this name: the first meaning, then those that share it."""
        first, wanted = self.find(text), squeezed(text)
        others = [
            e for e in self.entries
            if e is not first and wanted in {squeezed(n) for n in e.shares}
        ]  # fmt: skip
        return (*(() if first is None else (first,)), *others)

    def nearest(self, text: str, n: int = 5) -> tuple[Entry, ...]:
        """The entries likeliest to be meant by ``text``, best first: by name, then by meaning."""
        named = self.find(text)
        found = self.index.by_meaning(text, n)
        return tuple(dict.fromkeys([*([named] if named else []), *found]))[:n]


def load_glossary(folders: tuple[Path, ...]) -> Glossary:
    """Every entry of the folders, earlier folders over later ones, key by key.

    A folder that does not exist counts as empty.  Raises WorkspaceError with every problem.
    """
    drafts = _Drafts()
    for folder in reversed(folders):
        drafts.add_folder(folder, _shipped if is_shipped(folder) else yaml12.read)
    problems = drafts.problems or [*drafts.missing(), *drafts.clashes(), *drafts.dangling()]
    if problems:
        raise WorkspaceError(problems)
    entries = (build(d.raw, d.topic) for d in drafts.by_term.values())
    return Glossary(tuple(sorted(entries, key=lambda e: key(e.term))))


_Places = dict[tuple[str | int, ...], tuple[str, int, int]]


@dataclass
class _Draft:
    """An entry while its keys are gathered; ``places`` holds file, line and column of each."""

    topic: str
    raw: dict[str, Any] = field(default_factory=dict)
    places: _Places = field(default_factory=dict)

    def names(self) -> Iterable[tuple[str, tuple[str | int, ...]]]:
        yield self.raw["term"], ("term",)
        for part in ("also", "found_as"):
            for i, name in enumerate(self.raw.get(part, ())):
                yield name, (part, i)

    def problem(self, at: tuple[str | int, ...], found: str, expected: str) -> Problem:
        while at not in self.places:
            at = at[:-1]
        file, line, column = self.places[at]
        return Problem(file, line, column, found=found, expected=expected, happens=_HAPPENS)


_HAPPENS = "the glossary cannot be used"
#: What our own glossary says, by its bytes: only what lies above it is edited.
_shipped = lru_cache(maxsize=64)(yaml12.read_ours)


class _Drafts:
    """Gathers entries folder by folder, from the one that is overridden to the one that wins."""

    def __init__(self) -> None:
        self.by_term: dict[str, _Draft] = {}
        self.problems: list[Problem] = []

    def add_folder(self, folder: Path, read: Callable[[bytes, str], yaml12.Document]) -> None:
        settled = {key(n): d for d in self.by_term.values() for n, _ in d.names()}
        here: dict[str, _Draft] = {}
        try:
            files = files_within(folder.parent, folder, "*.yaml")
        except FileFault as fault:
            self.problems.append(_whole(folder.name, fault.found, fault.expected))
            return
        for path in files:
            name = f"{folder.name}/{path.name}"
            try:
                document = read(read_within(folder.parent, path, yaml12.MAX_BYTES), name)
            except DescriptionError as fault:
                self.problems += fault.problems
                continue
            except FileFault as fault:
                self.problems.append(_whole(name, fault.found, fault.expected))
                continue
            data = document.value
            if not isinstance(data, list):
                found = shown(data)
                self.problems.append(_whole(name, found, "a list of entries, each with a term"))
                continue
            inner: list[_Places] = [{} for _ in data]
            for at, place in (document.places | document.keys).items():
                if at:
                    inner[int(at[0])][at[1:]] = (name, *place)
            for raw, places in zip(data, inner, strict=True):
                self._add(raw, _Draft(path.stem, {}, places), settled, here)

    def _add(
        self, raw: object, new: _Draft, settled: dict[str, _Draft], here: dict[str, _Draft]
    ) -> None:
        if not isinstance(raw, dict) or not isinstance(raw.get("term"), str):
            self.problems.append(new.problem((), shown(raw), "an entry with a term"))
            return
        faults = check(raw)
        self.problems += [new.problem(f.at, f.found, f.expected) for f in faults]
        name = key(raw["term"])
        if name in here:
            file, line, _ = here[name].places[("term",)]
            expected = f"one entry of a term (the other is at {file}:{line})"
            self.problems.append(new.problem(("term",), f"{raw['term']} twice", expected))
            return
        here[name] = new
        if name not in settled:
            new.raw = dict(raw)
            self.by_term[name] = new
            return
        old = settled[name]
        changed = {k: v for k, v in raw.items() if k != "term"}
        old.raw.update(changed)
        old.places.update({p: at for p, at in new.places.items() if p[:1] != ("term",)})

    def missing(self) -> list[Problem]:
        return [
            d.problem(("term",), f"{d.raw['term']} without {name}", f"a text under {name}")
            for d in self.by_term.values()
            for name in NEEDED
            if name not in d.raw
        ]

    def clashes(self) -> list[Problem]:
        """Names that two entries claim: nobody could tell which one a reader means."""
        owner: dict[str, _Draft] = {}
        problems = []
        for draft in self.by_term.values():
            for name, at in draft.names():
                other = owner.setdefault(key(name), draft)
                if other is not draft:
                    expected = f"a name of one entry only (also of {other.raw['term']})"
                    problems.append(draft.problem(at, f"the name {name}", expected))
        return problems

    def dangling(self) -> list[Problem]:
        known = {key(n) for d in self.by_term.values() for n, _ in d.names()}
        problems = []
        for draft in self.by_term.values():
            for i, name in enumerate(draft.raw.get("see", ())):
                if key(name) not in known:
                    close = difflib.get_close_matches(key(name), known, n=1)
                    expected = "a term of the glossary" + (f", such as {close[0]}" if close else "")
                    problems.append(draft.problem(("see", i), f"see: {name}", expected))
        return problems


def _whole(file: str, found: str, expected: str) -> Problem:
    return Problem(file, found=found, expected=expected, happens=_HAPPENS)


# ``explainer define``: a term of the glossary as text for the terminal.

WIDTH = 78

_KINDS = {
    "standard": "standard",
    "paper": "paper",
    "book": "book",
    "common-practice": "common practice",
    "memory": "from memory, not looked up",
    "worked-out": "worked out",
}


def define(glossary: Glossary, text: str) -> str:
    """Everything the glossary says about a term, found by any of its names.

    Raises UsageError, naming the nearest terms, where it has none of that name.
    """
    entry = glossary.find(text)
    if entry is None:
        near = ", ".join(e.term for e in glossary.nearest(text))
        hint = f"; the nearest are {near}" if near else ""
        raise UsageError(f"no term {one_line(text)!r} in the glossary{hint}")
    others = [e for e in glossary.senses(text) if e is not entry]
    return "\n".join(_lines(glossary, entry, others))


def _lines(glossary: Glossary, entry: Entry, others: list[Entry]) -> Iterator[str]:
    say = f"  (say: {entry.say})" if entry.say else ""
    yield entry.term + say
    if entry.also:
        yield from _hung("also", ", ".join(entry.also))
    yield ""
    yield from _hung("", entry.plainly[:1].upper() + entry.plainly[1:] + ".")
    yield from _hung("", entry.explained)
    yield ""
    see = ", ".join(found.term for name in entry.see if (found := glossary.find(name)))
    source = ": ".join(filter(None, (_KINDS[entry.source.kind], entry.source.name)))
    numbers = entry.numbers
    sizes = ": ".join(filter(None, (_KINDS[numbers.kind], numbers.name))) if numbers else ""
    labelled = {
        "like": entry.like,
        "careful": entry.careful,
        "unit": entry.unit,
        "typical": entry.typical,
        "see": see,
        "source": source,
        "sizes": sizes,
        "or": "; ".join(f"{e.term} ({e.plainly})" for e in others),
    }
    for label, said in labelled.items():
        if said:
            yield from _hung(label, said)


def _hung(label: str, text: str) -> list[str]:
    """``text`` wrapped beside its label, indented by a fixed margin."""
    margin = f"  {label:<9}" if label else "  "
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=margin,
        subsequent_indent=" " * len(margin),
        break_long_words=False,
        break_on_hyphens=False,
    )
