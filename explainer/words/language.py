"""The language in which words are said: a catalogue of data, and one module of rules.

A language is three things:

- ``templates/languages/TAG.yaml``, its catalogue: words and patterns with named slots (so that each
  language has its own word order), units and nouns in each of their plural forms, and how a
  number is written.  English's own, ``en.yaml``, says what there must be.
- ``templates/languages/TAG/*.yaml``, its sentences, under the names of ``templates/phrases``.
  A sentence takes the place of ours but keeps its condition: words change, truth stays.  Its
  dictionary is ``glossary/TAG/*.yaml``.
- one module with a class like ``english.English``: the plural form a number asks for
  (Unicode CLDR's plural categories, UTS 35 part 3), nouns that no list holds, number words.

Inside, every number has one form, ``1,234.5``: rounding, converting and comparing read it.  Only
finished words are rewritten (``written``), so that no two places can differ.

Not yet behind it, and English for now: fragments that ``facts/``, ``page/``, ``script/`` and
``sheets/`` still put together themselves (most of all ``facts/comparatives``, which inflects an
author's own words), reading aloud (``quantity/spoken``, ``quantity/heard``), the reading grade,
the second system of units in finished sentences (``quantity/systems``), and the headings of the
page templates.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Protocol

from explainer.errors import Problem, WorkspaceError
from explainer.study.load import template_yaml
from explainer.study.shipped import shipped
from explainer.study.yaml12 import Document
from explainer.words.english import English
from explainer.words.sentence import filled as filled

FOLDER = "languages"
HAPPENS = "nothing can be said in this language"
_SLOT = re.compile(r"\{(\w+)\}")
#: A number in the one form they have inside; what is joined to more digits (2026-02-11) is none.
_FIGURES = re.compile(r"(?<![\w.,])(−?)(\d{1,3}(?:,\d{3})+|\d+)(?:\.(\d+))?(?![\d,.]*\d)")
_SECTIONS = ("figures", "say", "units", "nouns", "ones", "firsts", "months",
             "fractions-of-inch", "shares")  # fmt: skip
#: How many words a list of the catalogue has.
_LENGTHS = {"ones": 11, "firsts": 10, "months": 12}


class Rules(Protocol):
    """What a language needs besides data."""

    @property
    def tag(self) -> str:
        """BCP 47: ``en``."""

    @property
    def forms(self) -> Sequence[str]:
        """The plural categories it has, of zero, one, two, few, many, other."""

    def form(self, figures: str) -> str:
        """The category that a number asks of its noun; ``figures`` as they are inside."""

    def noun(self, noun: str, form: str) -> str:
        """A noun that the catalogue does not list, in a form."""

    def cardinal(self, n: int) -> str:
        """A whole number in words."""

    def ordinal(self, n: int, figures: str) -> str:
        """A place past the tenth, from its figures."""

    def one_of(self, noun: str) -> str:
        """A noun with what a language sets before an unnamed one."""


@dataclass(frozen=True)
class Language:
    """A catalogue and its rules."""

    rules: Rules
    patterns: Mapping[str, str]
    figures: Mapping[str, str]
    units: Mapping[str, Mapping[str, str]]
    nouns: Mapping[str, Mapping[str, str]]
    ones: tuple[str, ...]
    firsts: tuple[str, ...]
    months: tuple[str, ...]
    fractions_of_inch: Mapping[Fraction, str]
    shares: Mapping[Fraction, str]

    @property
    def tag(self) -> str:
        return self.rules.tag

    def say(self, name: str, **slots: str) -> str:
        """A pattern of the catalogue with its slots filled."""
        return filled(self.patterns[name], slots)

    def noun(self, noun: str, form: str = "other") -> str:
        """A noun, or a phrase by its last word, in a plural form: ``lane boards``."""
        head, _, last = noun.rpartition(" ")
        told = self.nouns.get(noun) or self.nouns.get(noun.casefold())
        if told:
            return told[form]
        known = self.nouns.get(last.casefold())
        return f"{head} {known[form] if known else self.rules.noun(last, form)}".strip()

    def written(self, text: str) -> str:
        """Finished ``text`` with its numbers as this language writes them."""
        if (self.figures["point"], self.figures["group"], self.figures["minus"]) == (".", ",", "−"):
            return text
        return _FIGURES.sub(self._figure, text)

    def _figure(self, match: re.Match[str]) -> str:
        minus, whole, places = match.groups()
        said = (self.figures["minus"] if minus else "") + whole.replace(",", self.figures["group"])
        return said + (self.figures["point"] + places if places else "")


# --- Which language is spoken

_SPOKEN: ContextVar[Language | None] = ContextVar("language", default=None)


def language() -> Language:
    """The language in which words are said here: English, unless somebody is ``speaking``."""
    return _SPOKEN.get() or english()


def words(name: str, **slots: str) -> str:
    """What the language spoken here says for a name of the catalogue."""
    return language().say(name, **slots)


@contextmanager
def speaking(spoken: Language) -> Iterator[Language]:
    """All words said inside are said in this language."""
    before = _SPOKEN.set(spoken)
    try:
        yield spoken
    finally:
        _SPOKEN.reset(before)


@lru_cache(maxsize=1)
def english() -> Language:
    """The catalogue we ship."""
    return load_language(shipped("templates"), English())


# --- Reading a catalogue


def load_language(templates: Path, rules: Rules) -> Language:
    """The language of ``rules`` from ``templates/languages/TAG.yaml``.

    Raises WorkspaceError with every word that is missing, that nobody asks for, or that does not
    use the slots which English's does.
    """
    path = templates / FOLDER / f"{rules.tag}.yaml"
    name = f"templates/{FOLDER}/{path.name}"
    document = template_yaml(templates, path, name, HAPPENS)
    given = document.value
    if not isinstance(given, dict) or set(given) != set(_SECTIONS):
        expected = f"the sections {', '.join(_SECTIONS)}"
        raise WorkspaceError(_problem(name, 1, "other sections", expected))
    problems = [
        *_forms(document, name, rules), *_lists(document, name), *_texts(document, name, "figures"),
        *_texts(document, name, "say"),
        *([] if rules.tag == English.tag else _against(document, name, english())),
    ]  # fmt: skip
    if problems:
        raise WorkspaceError(problems)
    return Language(
        rules, patterns=given["say"], figures=given["figures"],
        units=given["units"], nouns=given["nouns"], ones=tuple(given["ones"]),
        firsts=tuple(given["firsts"]), months=tuple(given["months"]),
        fractions_of_inch=_fractions(given["fractions-of-inch"]),
        shares=_fractions(given["shares"]),
    )  # fmt: skip


def _against(document: Document, name: str, ours: Language) -> Iterator[Problem]:
    """Patterns held against English's: the same names, and in each the same slots."""
    said = document.value["say"]
    for key in sorted(set(ours.patterns) | set(said)):
        at = document.places.get(("say", key), document.places.get(("say",), (1, 1)))
        if key not in said:
            yield _problem(name, at[0], f"no `{key}`", f"what is {ours.patterns[key]!r} in English")
        elif key not in ours.patterns:
            yield _problem(name, at[0], f"the unknown name `{key}`", "a name that en.yaml has")
        elif set(_SLOT.findall(str(said[key]))) != set(_SLOT.findall(ours.patterns[key])):
            slots = ", ".join(f"{{{s}}}" for s in _SLOT.findall(ours.patterns[key]))
            yield _problem(name, at[0], f"{key}: {said[key]}", f"a text with {slots or 'no slot'}")
    for key in sorted(set(_unit_names()) - set(document.value["units"])):
        yield _problem(name, document.places.get(("units",), (1, 1))[0],
                       f"no unit `{key}`", "each of its plural forms")  # fmt: skip


def _unit_names() -> tuple[str, ...]:
    """The units every language must have words for: ours, and the steps of two scales."""
    from explainer import units

    return (*(n for n in units.names() if n not in ("percent", "count") and "Shore" not in n),
            "percentage point", "Shore point")  # fmt: skip


def _forms(document: Document, name: str, rules: Rules) -> Iterator[Problem]:
    """Units and nouns that lack one of the language's plural forms."""
    for section in ("units", "nouns"):
        for key, told in document.value[section].items():
            if not isinstance(told, dict) or set(told) != set(rules.forms):
                line = document.places.get((section, key), (1, 1))[0]
                yield _problem(name, line, f"{key}: {told}", f"the forms {', '.join(rules.forms)}")


def _lists(document: Document, name: str) -> Iterator[Problem]:
    for section, many in _LENGTHS.items():
        told = document.value[section]
        if not isinstance(told, list) or len(told) != many:
            line = document.places.get((section,), (1, 1))[0]
            yield _problem(name, line, f"{section}: {told}", f"{many} words")


def _texts(document: Document, name: str, section: str) -> Iterator[Problem]:
    for key, told in document.value[section].items():
        if not isinstance(told, str):
            line = document.places.get((section, key), (1, 1))[0]
            yield _problem(name, line, f"{key}: {told}", "some text")


def _fractions(given: Mapping[str, str]) -> dict[Fraction, str]:
    return {Fraction(key): said for key, said in given.items()}


def _problem(file: str, line: int, found: str, expected: str) -> Problem:
    return Problem(file, line, found=found, expected=expected, happens=HAPPENS)
