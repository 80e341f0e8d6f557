"""Phrases: sentences kept in ``templates/phrases/*.yaml``, chosen by name and filled in.

Names are asked for from the most to the least particular (``change.backed.coach``,
``change.backed``, ``any.backed``) and the first that exists and has a variant whose condition
holds speaks.  Where none holds, a plain sentence does (``plain``: the number, its range and what
the claim needs), and the lack is kept as a defect of the phrase book.

Which variant is used follows from what is spoken of (a hash of its id), so the same study
always reads the same; a variant whose first words were just used gives way to the next.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable, Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Template
from jinja2.environment import TemplateExpression

from explainer.errors import ExplainerError, Problem, WorkspaceError
from explainer.study.files import FileFault, changed_at, files_within
from explainer.study.load import template_yaml
from explainer.study.shipped import is_shipped
from explainer.study.yaml12 import Document
from explainer.words.language import FOLDER as LANGUAGES, english, language
from explainer.words.phrases.sandbox import Sandbox, said_of
from explainer.words.phrases.somebody import of_somebody
from explainer.words.sentence import KnownNumbers, Place, Sentence, joined, marked, rendered

# Phrase files: what ``templates/phrases/*.yaml`` say, read, with their conditions and places.
# A file maps names to one sentence, to a list of variants, or to an entry that says more::
#
#     change.leans:
#       holds: astride and as_claimed      # what must be true before any of these may speak
#       say:
#         - The best guess …
#         - holds: all_same                # and for this variant besides
#           say: All of them …
#
# ``each: yes`` in an entry makes its variants one text: all whose condition holds speak, in
# order. ``states: nothing`` marks an entry that states no relation (a name, a label, how to read
# a chart); the reserved name ``states`` at the top of a file does so for all names that begin
# alike::
#
#     states: {nothing: [label, clause]}
#
# A workspace's own words for a name of ours keep our condition, whatever they say; so do the
# sentences of another language, ``templates/languages/TAG/*.yaml``.

FOLDER = "phrases"
HAPPENS = "no sentence can be made with it"
#: The reserved name at the top of a file.
STATES = "states"
#: Between names that share one entry.
TOGETHER = ", "
_KEYS = {"holds", "say", "states", "each"}


@dataclass(frozen=True)
class Phrase:
    """One variant: a Jinja template, where it stands, and when it may speak beyond its entry."""

    text: str
    file: str
    line: int
    holds: str = ""


@dataclass(frozen=True)
class PhraseEntry:
    """What one name may say.  ``holds`` is None where nobody has given a condition."""

    variants: tuple[Phrase, ...]
    holds: str | None = None
    states_nothing: bool = False
    each: bool = False
    ours: bool = False
    """Whether it is as we ship it: what it asks is looked at by a test, not at each start."""

    def __iter__(self) -> Iterator[Phrase]:
        return iter(self.variants)

    @property
    def condition(self) -> str:
        """What is true whenever one of the variants may speak; empty where nothing need be."""
        each = [v.holds for v in self.variants]
        return both(self.holds or "", " or ".join(f"({c})" for c in each) if all(each) else "")

    @property
    def place(self) -> tuple[str, int]:
        return self.variants[0].file, self.variants[0].line


Book = Mapping[str, PhraseEntry]


def load_phrases(folders: Iterable[Path]) -> Book:
    """Every phrase of the template folders, earlier folders over later ones, name by name; then
    over them those of the language spoken here, if that is another than English.

    Raises WorkspaceError with the place of a file that is no mapping of names to text.
    """
    book: dict[str, PhraseEntry] = {}
    spoken = language().tag
    places = [FOLDER, *([] if spoken == english().tag else [f"{LANGUAGES}/{spoken}"])]
    for place in places:
        for folder in reversed(tuple(folders)):
            try:
                files = files_within(folder.parent, folder / place, "*.yaml")
            except FileFault as fault:
                raise WorkspaceError(problem(place, 1, fault.found, fault.expected)) from None
            for path in files:
                for name, entry in _file(folder.parent, path, place, changed_at(path)).items():
                    book[name] = _kept(entry, book.get(name))
    return book


def untold(book: Book) -> tuple[str, ...]:
    """The names for which the language spoken here has no sentence of its own yet."""
    spoken = language().tag
    if spoken == english().tag:
        return ()
    own = f"templates/{LANGUAGES}/{spoken}/"
    return tuple(n for n, entry in book.items() if not entry.place[0].startswith(own))


def _kept(entry: PhraseEntry, before: PhraseEntry | None) -> PhraseEntry:
    """An entry under the condition of the one it takes the place of: words change, truth stays."""
    if before is None:
        return entry
    if before.states_nothing and entry.holds is None:
        return replace(entry, states_nothing=True)
    conditions = [c for c in (before.condition, entry.holds) if c]
    return replace(entry, holds=both(*conditions), states_nothing=False) if conditions else entry


def both(*conditions: str) -> str:
    """One condition out of several."""
    asked = [c for c in conditions if c]
    return asked[0] if len(asked) == 1 else " and ".join(f"({c})" for c in asked)


@lru_cache(maxsize=64)
def _file(root: Path, path: Path, place: str, changed: int) -> Book:
    name = f"templates/{place}/{path.name}"
    document = template_yaml(root, path, name, HAPPENS)
    if not isinstance(document.value, dict):
        raise WorkspaceError(problem(name, 1, "no mapping", "phrase names and their sentences"))
    silent, ours = _silent(document, name), is_shipped(path)
    heads = tuple(f"{head}." for head in silent)
    return {
        each: replace(_entry(key, value, document, name, each.startswith(heads) or each in silent),
                      ours=ours)
        for key, value in document.value.items() if key != STATES
        for each in key.split(TOGETHER)
    }  # fmt: skip


def _silent(document: Document, file: str) -> tuple[str, ...]:
    """The first words of names that state nothing, as the top of the file has them."""
    given = document.value.get(STATES, {"nothing": []})
    names = given.get("nothing") if isinstance(given, dict) and len(given) == 1 else None
    if not isinstance(names, list) or not all(isinstance(n, str) for n in names):
        line = document.places.get((STATES,), (1, 1))[0]
        expected = "nothing: and a list of the names that state no relation"
        raise WorkspaceError(problem(file, line, f"{STATES}: {given!r:.60}", expected))
    return tuple(names)


def _entry(
    key: str, value: Any, document: Document, file: str, silent: bool
) -> PhraseEntry:
    """One entry of a file, whatever names share it.

    WorkspaceError with its line where it is not of the form.
    """
    line = document.places.get((key,), (1, 1))[0]
    more: dict[str, Any] = value if isinstance(value, dict) else {"say": value}
    said = more.get("say")
    variants = said if isinstance(said, list) else [said]
    path: tuple[Any, ...] = (key, "say") if isinstance(value, dict) else (key,)
    if not variants or not all(_is_variant(v) for v in variants):
        raise WorkspaceError(problem(file, line, f"{key}: no text", "one sentence or a list"))
    wrong = _wrong_form(more)
    if wrong:
        raise WorkspaceError(problem(file, line, f"{key}: {wrong[0]}", wrong[1]))
    told = tuple(
        Phrase(_text(v), file, document.places.get((*path, i), (line, 1))[0], _holds(v))
        for i, v in enumerate(variants)
    )
    nothing = more.get("states") == "nothing" or (silent and "holds" not in more)
    holds = more.get("holds")
    if holds is None and not nothing and all(p.holds for p in told):
        holds = ""
    return PhraseEntry(told, holds, nothing, bool(more.get("each", False)))


def _text(variant: Any) -> str:
    return str(variant["say"] if isinstance(variant, dict) else variant)


def _holds(variant: Any) -> str:
    return str(variant["holds"]) if isinstance(variant, dict) else ""


def _is_variant(value: Any) -> bool:
    if isinstance(value, dict):
        return set(value) == {"holds", "say"} and all(isinstance(v, str) for v in value.values())
    return isinstance(value, str)


def _wrong_form(entry: dict[str, Any]) -> tuple[str, str] | None:
    """What an entry has that no entry may have, and what is expected instead."""
    unknown = sorted(set(map(str, entry)) - _KEYS)
    if unknown:
        return f"`{unknown[0]}`", f"one of {', '.join(sorted(_KEYS))}"
    if entry.get("states", "nothing") != "nothing":
        return f"states: {entry['states']}", "states: nothing, or a condition under holds:"
    if not isinstance(entry.get("holds", ""), str):
        return f"holds: {entry['holds']}", "a condition such as `one_sided and as_claimed`"
    if "holds" in entry and "states" in entry:
        return "both holds and states", "one of the two"
    return None


def problem(file: str, line: int, found: str, expected: str) -> Problem:
    return Problem(file, line, found=found, expected=expected, happens=HAPPENS)


__all__ = ["Book", "Phrase", "Teller", "load_phrases"]

_START = re.compile(r"(^|(?<=[.?!]\s)|(?<=[.?!][”\"]\s))([a-zµ]|[1-9][0-9]?(?=\s[a-z]))")
_OPENING = re.compile(r"[^\W_]+(?:[’'][^\W_]+)?")


@dataclass
class Teller:
    """Fills phrases in for one study and one audience, and remembers how sentences opened."""

    book: Book
    study: str
    audience: str
    people: bool = False
    """Whether what the study counts is people, where the facts do not say."""
    defects: list[Problem] = field(default_factory=list)
    """Where no variant of a phrase could speak, although it was asked for."""
    numbers: KnownNumbers = field(default_factory=KnownNumbers)
    """What is known of the numbers in all that was said of the study."""
    _openings: dict[str, list[str]] = field(default_factory=dict)

    def has(self, *names: str) -> bool:
        return any(name in self.book for name in self._asked(names))

    def may(self, facts: Mapping[str, Any], *names: str) -> bool:
        """Whether one of these names has something to say that is true here."""
        entries = [self.book[n] for n in self._asked(names) if n in self.book]
        return any(_fit(entry, facts) for entry in entries)

    def tell(
        self, names: Iterable[str], facts: Mapping[str, Any], *, about: str, stream: str = ""
    ) -> str:
        """The sentence(s) of the first name that exists, as running text.

        ``about`` is the id of what is spoken of; sentences of one ``stream`` are read one after
        another and must not open alike.
        """
        recent = self._openings.setdefault(stream, []) if stream else []
        chosen, least = "", None
        entry, fit = self._fitting(names, facts, about)
        if entry.each:
            return self._kept(joined(" ", (self.filled(variant, facts) for variant in fit)))
        for variant in fit:
            said = self._kept(self.filled(variant, facts))
            likeness = _likeness(said, recent)
            if said and (least is None or likeness < least):
                chosen, least = said, likeness
            if least == 0:
                break
        if stream and chosen:
            recent.append(opening(chosen))
            del recent[:-3]
        return chosen

    def every(
        self, names: Iterable[str], facts: Mapping[str, Any], *, about: str
    ) -> list[tuple[Phrase, ...]]:
        """The variants that may speak of each name in turn, for a caller that picks one itself.

        Empty where none may; WorkspaceError where none of the names is known.
        """
        known = [name for name in self._asked(tuple(names)) if name in self.book]
        if not known:
            self._fitting(names, facts, about)
        found = []
        for name in known:
            fit = _fit(self.book[name], facts)
            if fit:
                first = self._first(about, name, fit)
                found.append((*fit[first:], *fit[:first]))
        return found

    def fragment(self, names: Iterable[str], facts: Mapping[str, Any], *, about: str) -> str:
        """The same for words that stand inside a sentence or on a figure: no capital is set."""
        said = self.filled(self._fitting(names, facts, about)[1][0], facts)
        return self.numbers.keep(said.through(squeeze))

    def filled(self, phrase: Phrase, facts: Mapping[str, Any]) -> Sentence:
        """One of the variants that ``every`` found, with its facts; of people as of people."""
        said = fill(phrase, facts)
        if not facts.get("people", self.people):
            return said
        theirs = [t.strip(" .") for name in AUTHORS if isinstance(t := facts.get(name), str)]
        return said.through(lambda text: of_somebody(text, theirs))

    def _kept(self, said: Sentence) -> Sentence:
        return self.numbers.keep(said.through(sentence))

    def _fitting(
        self, names: Iterable[str], facts: Mapping[str, Any], about: str
    ) -> tuple[PhraseEntry, tuple[Phrase, ...]]:
        """The first entry with a variant that may speak, and those that may, in turn."""
        asked = self._asked(tuple(names))
        known = [name for name in asked if name in self.book]
        if not known:
            expected = f"one of {', '.join(asked)}"
            raise WorkspaceError(problem(f"templates/{FOLDER}", 1, "no such phrase", expected))
        for name in known:
            entry = self.book[name]
            fit = _fit(entry, facts)
            if fit or entry.each:
                first = 0 if entry.each else self._first(about, name, fit)
                return entry, (*fit[first:], *fit[:first])
        plainly = "plain" if "claim_id" in facts else "plain.figure"
        return self._plain(known[0], about, plainly)

    def _plain(self, name: str, about: str, plainly: str) -> tuple[PhraseEntry, tuple[Phrase, ...]]:
        """What is true by construction, where nothing else is; kept as a defect."""
        file, line = self.book[name].place
        found = f"{name}: no variant is true of {about}"
        expected, happens = "one whose holds: fits", "a plain sentence stands there"
        self.defects.append(Problem(
            file, line, found=found, expected=expected, happens=happens, severity="warning",
        ))  # fmt: skip
        plain = self.book.get(plainly) or PhraseEntry((Phrase("{{ balls }}", file, line),))
        return plain, plain.variants

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


#: Facts that are the author's own words, or names that the author gave.
AUTHORS = ("plainly", "author", "name", "title", "question", "term", "x_term", "y_term", "given",
           "what", "tries", "a", "b", "ahead", "behind")  # fmt: skip


def fill(phrase: Phrase, facts: Mapping[str, Any]) -> Sentence:
    """The phrase with its facts in place.  Raises WorkspaceError with file and line."""
    written: list[Place] = []
    token = _WRITTEN.set(written)
    try:
        return rendered(_template(phrase.text).render(facts), written)
    except ExplainerError:
        raise
    except RecursionError:
        found, expected = "a macro that calls itself for ever", "a sentence that ends"
        raise WorkspaceError(problem(phrase.file, phrase.line, found, expected)) from None
    except Exception as fault:  # a stranger's sentence: whatever it does wrong has a place
        expected = "Jinja with the facts named at the top of the file"
        found = said_of(fault)
        raise WorkspaceError(problem(phrase.file, phrase.line, found, expected)) from fault
    finally:
        _WRITTEN.reset(token)


#: The numbers that the phrase under way has written out.
_WRITTEN: ContextVar[list[Place] | None] = ContextVar("written", default=None)


def _written(value: Any) -> Any:
    """What a phrase writes out, the numbers in it marked and noted."""
    written = _WRITTEN.get()
    return marked(value, written) if written is not None and isinstance(value, Sentence) else value


def squeeze(text: str) -> str:
    """One space for any, none before a stop."""
    return re.sub(r"(?<! ) +([.,;:?!])(?=\s|$)", r"\1", " ".join(text.split()))


def sentence(text: str) -> str:
    """Running text: sentences begin with a capital, and with a word where a count comes first."""
    return _START.sub(lambda m: m[1] + _capital(m[2]), squeeze(text))


def stopped(text: str) -> str:
    """``text`` with a full stop, unless it is empty or ends a sentence already."""
    return text if not text or text[-1] in ".!?" else text + "."


def _capital(start: str) -> str:
    word = language().rules.cardinal(int(start)) if start.isdigit() else start
    return word[:1].upper() + word[1:]


@lru_cache(maxsize=1)
def phrase_sandbox() -> Sandbox:
    return Sandbox(finalize=_written, autoescape=False)


@lru_cache(maxsize=4096)
def _template(text: str) -> Template:
    return phrase_sandbox().from_string(text)


def _fit(entry: PhraseEntry, facts: Mapping[str, Any]) -> tuple[Phrase, ...]:
    """The variants of an entry whose condition is true."""
    return tuple(v for v in entry if holds(both(entry.holds or "", v.holds), v, facts))


@lru_cache(maxsize=4096)
def _condition(text: str) -> TemplateExpression:
    return phrase_sandbox().compile_expression(text, undefined_to_none=False)


def holds(condition: str, phrase: Phrase, facts: Mapping[str, Any]) -> bool:
    """Whether a phrase may speak.  WorkspaceError with its place for what cannot be asked."""
    if not condition:
        return True
    try:
        return bool(_condition(condition)(**facts))
    except ExplainerError:
        raise
    except Exception as fault:  # a stranger's condition
        found = f"holds: {condition}: {said_of(fault)}"
        expected = "a condition over the facts named at the top of the file"
        raise WorkspaceError(problem(phrase.file, phrase.line, found, expected)) from fault
