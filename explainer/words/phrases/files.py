"""Phrase files: what ``templates/phrases/*.yaml`` say, read, with their conditions and places.

A file maps names to one sentence, to a list of variants, or to an entry that says more::

    change.leans:
      holds: astride and as_claimed      # what must be true before any of these may speak
      say:
        - The best guess …
        - holds: all_same                # and for this variant besides
          say: All of them …

``each: yes`` in an entry makes its variants one text: all whose condition holds speak, in order.
``states: nothing`` marks an entry that states no relation (a name, a label, how to read a chart);
the reserved name ``states`` at the top of a file does so for all names that begin alike::

    states: {nothing: [label, clause]}

A workspace's own words for a name of ours keep our condition, whatever they say; so do the
sentences of another language, ``templates/languages/TAG/*.yaml``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from explainer.errors import Problem, WorkspaceError
from explainer.study.files import FileFault, changed_at, files_within
from explainer.study.workspace import template_yaml
from explainer.study.yaml12 import Document
from explainer.words.language import FOLDER as LANGUAGES, english, language

FOLDER = "phrases"
HAPPENS = "no sentence can be made with it"
#: The reserved name at the top of a file.
STATES = "states"
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
    silent = _silent(document, name)
    return {
        key: _entry(key, value, document, name, silent)
        for key, value in document.value.items()
        if key != STATES
    }


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
    key: str, value: Any, document: Document, file: str, silent: tuple[str, ...]
) -> PhraseEntry:
    """One name of a file.  WorkspaceError with its line where it is not of the form."""
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
    first = any(key == name or key.startswith(f"{name}.") for name in silent)
    nothing = more.get("states") == "nothing" or (first and "holds" not in more)
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
