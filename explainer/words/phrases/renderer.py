"""Phrases: sentences kept in ``templates/phrases/*.yaml``, chosen by name and filled in.

A phrase file maps names to one sentence or a list of variants, each a Jinja template.  Names
are asked for from the most to the least particular (``change.backed.coach``, ``change.backed``,
``any.backed``) and the first that exists speaks.  A workspace's own file of the same name need
hold only the names it says differently.

Which variant is used follows from what is spoken of (a hash of its id), so the same study
always reads the same; a variant whose first words were just used gives way to the next.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Template, TemplateError

from explainer.errors import DescriptionError, ExplainerError, Problem, WorkspaceError
from explainer.study.files import FileFault, changed_at, files_within, read_within
from explainer.study.yaml12 import MAX_BYTES, read
from explainer.words.phrases.sandbox import Sandbox
from explainer.words.quantity.numerals import cardinal

FOLDER = "phrases"
HAPPENS = "no sentence can be made with it"

_START = re.compile(r"(^|(?<=[.?!]\s)|(?<=[.?!][”\"]\s))([a-zµ]|[1-9][0-9]?(?=\s[a-z]))")
_OPENING = re.compile(r"[^\W_]+(?:[’'][^\W_]+)?")


@dataclass(frozen=True)
class Phrase:
    """One variant: a Jinja template and where it stands."""

    text: str
    file: str
    line: int


Book = Mapping[str, tuple[Phrase, ...]]


def load_phrases(folders: Iterable[Path]) -> Book:
    """Every phrase of the template folders, earlier folders over later ones, name by name.

    Raises WorkspaceError with the place of a file that is no mapping of names to text.
    """
    book: dict[str, tuple[Phrase, ...]] = {}
    for folder in reversed(tuple(folders)):
        try:
            files = files_within(folder.parent, folder / FOLDER, "*.yaml")
        except FileFault as fault:
            raise WorkspaceError(_problem(FOLDER, 1, fault.found, fault.expected)) from None
        for path in files:
            book |= _file(folder.parent, path, changed_at(path))
    return book


@lru_cache(maxsize=64)
def _file(root: Path, path: Path, changed: int) -> Book:
    name = f"templates/{FOLDER}/{path.name}"
    try:
        document = read(read_within(root, path, MAX_BYTES), name)
    except FileFault as fault:
        raise WorkspaceError(_problem(name, 1, fault.found, fault.expected)) from None
    except DescriptionError as fault:
        raise WorkspaceError(fault.problems) from fault
    if not isinstance(document.value, dict):
        raise WorkspaceError(_problem(name, 1, "no mapping", "phrase names and their sentences"))
    book: dict[str, tuple[Phrase, ...]] = {}
    for key, value in document.value.items():
        variants = value if isinstance(value, list) else [value]
        line = document.places.get((key,), (1, 1))[0]
        if not variants or not all(isinstance(v, str) for v in variants):
            raise WorkspaceError(_problem(name, line, f"{key}: no text", "one sentence or a list"))
        book[key] = tuple(
            Phrase(v, name, document.places.get((key, i), (line, 1))[0])
            for i, v in enumerate(variants)
        )
    return book


@dataclass
class Teller:
    """Fills phrases in for one study and one audience, and remembers how sentences opened."""

    book: Book
    study: str
    audience: str
    _openings: dict[str, list[str]] = field(default_factory=dict)

    def has(self, *names: str) -> bool:
        return any(name in self.book for name in self._asked(names))

    def tell(
        self, names: Iterable[str], facts: Mapping[str, Any], *, about: str, stream: str = ""
    ) -> str:
        """The sentence(s) of the first name that exists, as running text.

        ``about`` is the id of what is spoken of; sentences of one ``stream`` are read one after
        another and must not open alike.
        """
        recent = self._openings.setdefault(stream, []) if stream else []
        chosen, least = "", None
        for variant in self._variants(names, about):
            said = sentence(fill(variant, facts))
            likeness = _likeness(said, recent)
            if said and (least is None or likeness < least):
                chosen, least = said, likeness
            if least == 0:
                break
        if stream and chosen:
            recent.append(opening(chosen))
            del recent[:-3]
        return chosen

    def fragment(self, names: Iterable[str], facts: Mapping[str, Any], *, about: str) -> str:
        """The same for words that stand inside a sentence or on a figure: no capital is set."""
        return squeeze(fill(self._variants(names, about)[0], facts))

    def _variants(self, names: Iterable[str], about: str) -> tuple[Phrase, ...]:
        """The variants of the first name that exists, in the order they are to be tried."""
        asked = self._asked(tuple(names))
        name = next((n for n in asked if n in self.book), None)
        if name is None:
            expected = f"one of {', '.join(asked)}"
            raise WorkspaceError(_problem(f"templates/{FOLDER}", 1, "no such phrase", expected))
        variants = self.book[name]
        first = self._first(about, name, variants)
        return (*variants[first:], *variants[:first])

    def _first(self, about: str, name: str, variants: tuple[Phrase, ...]) -> int:
        """The variant to begin with: chance, but the same each time."""
        return zlib.crc32(f"{self.study}/{about}/{name}".encode()) % len(variants)

    def _asked(self, names: tuple[str, ...]) -> list[str]:
        return [each for name in names for each in (f"{name}.{self.audience}", name)]


def opening(text: str) -> str:
    """The first two words, as a reader notices them."""
    return " ".join(_OPENING.findall(text.casefold())[:2])


def _likeness(text: str, recent: list[str]) -> int:
    """How much the opening repeats what was just said: the nearer, the worse."""
    mine = opening(text)
    worst = 0
    for back, said in enumerate(reversed(recent)):
        if said == mine:
            worst = max(worst, 6 - back)
        elif said.split()[:1] == mine.split()[:1]:
            worst = max(worst, 3 - back)
    return worst


def fill(phrase: Phrase, facts: Mapping[str, Any]) -> str:
    """The phrase with its facts in place.  Raises WorkspaceError with file and line."""
    try:
        return _template(phrase.text).render(facts)
    except ExplainerError:
        raise
    except RecursionError:
        found, expected = "a macro that calls itself for ever", "a sentence that ends"
        raise WorkspaceError(_problem(phrase.file, phrase.line, found, expected)) from None
    except Exception as fault:  # a stranger's sentence: whatever it does wrong has a place
        words = fault.message if isinstance(fault, TemplateError) else str(fault)
        found = words or type(fault).__name__
        expected = "Jinja with the facts named at the top of the file"
        raise WorkspaceError(_problem(phrase.file, phrase.line, found, expected)) from fault


def squeeze(text: str) -> str:
    """One space for any, none before a stop."""
    return re.sub(r" +([.,;:?!])(?=\s|$)", r"\1", " ".join(text.split()))


def sentence(text: str) -> str:
    """Running text: sentences begin with a capital, and with a word where a count comes first."""
    return _START.sub(lambda m: m[1] + _capital(m[2]), squeeze(text))


def stopped(text: str) -> str:
    """``text`` with a full stop, unless it is empty or ends a sentence already."""
    return text if not text or text[-1] in ".!?" else text + "."


def _capital(start: str) -> str:
    word = cardinal(int(start)) if start.isdigit() else start
    return word[:1].upper() + word[1:]


@lru_cache(maxsize=1)
def phrase_sandbox() -> Sandbox:
    return Sandbox(autoescape=False)


@lru_cache(maxsize=4096)
def _template(text: str) -> Template:
    return phrase_sandbox().from_string(text)


def _problem(file: str, line: int, found: str, expected: str) -> Problem:
    return Problem(file, line, found=found, expected=expected, happens=HAPPENS)
