"""The phrase book of a study, compiled: each phrase read as a template and held to what it may say.

A phrase about a claim may only name facts that every kind of claim it can be spoken of has; one
that names another is an error with file and line when the book is opened, not a page with a hole.
Phrases about figures, sheets and scripts are only read as templates.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import get_args

from jinja2 import TemplateError, meta

from explainer.claims.verdict import REASONS, Code
from explainer.errors import Problem, WorkspaceError
from explainer.study.model import Study
from explainer.words.facts.claim import COMMON
from explainer.words.facts.kinds import KINDS
from explainer.words.phrases.renderer import HAPPENS, Book, Phrase, load_phrases, phrase_sandbox

CODES = frozenset(get_args(Code))
#: First words of names under which any kind of claim is spoken of.
ANY = frozenset({
    "any", "label", "clause", "contrary", "seen", "estimate", "effect", "method", "why", "settle",
    "question", "maybe-small", "parts", "strip", *REASONS,
})  # fmt: skip
#: Endings by audience.
AUDIENCES = ("viewer", "league", "coach")
#: What the callers of some of these names add to the facts of the verdict.
ADDED = frozenset({"clause", "contrary", "seen", "mirrored", "plainly", "reason", "parts", "zone",
                   "small", "value", "ends"})  # fmt: skip


def book_of(study: Study) -> Book:
    """Every phrase for this study.  Raises WorkspaceError for one that asks what nobody knows."""
    book = load_phrases(study.workspace.template_folders)
    problems = [p for name, variants in book.items() for v in variants for p in _wrong(name, v)]
    if problems:
        raise WorkspaceError(sorted(problems, key=lambda p: (p.file, p.line)))
    return book


def kinds_of(name: str) -> frozenset[str]:
    """The kinds of claim that a phrase of this name can be spoken of; none for other phrases."""
    first, *rest = name.split(".")
    if first in KINDS and rest and rest[0] in CODES:
        return frozenset({first})
    if first not in ANY:
        return frozenset()
    if first in REASONS and rest and rest[0] not in (*KINDS, *AUDIENCES):
        return frozenset()  # of a kind of figure that shares its name with a reason
    return frozenset(rest) & frozenset(KINDS) or frozenset(KINDS)


@lru_cache(maxsize=4096)
def _wrong(name: str, phrase: Phrase) -> tuple[Problem, ...]:
    return tuple(_problems(name, phrase))


def _problems(name: str, phrase: Phrase) -> Iterator[Problem]:
    try:
        tree = phrase_sandbox().parse(phrase.text)
    except TemplateError as fault:
        expected = "Jinja with the facts named at the top of the file"
        yield Problem(phrase.file, phrase.line, found=fault.message or type(fault).__name__,
                      expected=expected, happens=HAPPENS)  # fmt: skip
        return
    kinds = kinds_of(name)
    if not kinds:
        return
    known = frozenset.intersection(*(KINDS[kind].names for kind in kinds)) | COMMON | ADDED
    for asked in sorted(meta.find_undeclared_variables(tree) - known):
        whom = f"every {next(iter(kinds))} claim" if len(kinds) == 1 else "every kind of claim"
        yield Problem(phrase.file, phrase.line, found=f"{name}: the unknown fact `{asked}`",
                      expected=f"a fact of {whom}", happens=HAPPENS)  # fmt: skip

