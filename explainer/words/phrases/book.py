"""The phrase book of a study, compiled: each phrase read as a template and held to what it may say.

A phrase about a claim may only name facts that every kind of claim it can be spoken of has; one
that names another is an error with file and line when the book is opened, not a page with a hole.
Phrases about figures, sheets and scripts are only read as templates.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import get_args

from jinja2 import TemplateError, meta, nodes

from explainer.claims.verdict import REASONS, Code, Judgement
from explainer.errors import Problem, WorkspaceError
from explainer.study.model import Study
from explainer.words.facts.claim import COMMON
from explainer.words.facts.heard import NAMES as HEARD
from explainer.words.facts.kinds import KINDS
from explainer.words.phrases.renderer import (
    HAPPENS,
    Book,
    Phrase,
    PhraseEntry,
    Teller,
    both,
    load_phrases,
    phrase_sandbox,
)
from explainer.words.sentence import KnownNumbers

#: Where a judgement keeps what the phrase book could not say truly.
DEFECTS = "phrase defects"
#: And what is known of the numbers in its sentences.
NUMBERS = "numbers in sentences"
CODES = frozenset(get_args(Code))
#: First words of names under which any kind of claim is spoken of.
ANY = frozenset({
    "any", "label", "clause", "contrary", "seen", "lone", "estimate", "effect", "method", "why",
    "settle", "question", "maybe-small", "over-all", "parts", "strip", "beside", "sure", "outcomes",
    "guess", "sought", *REASONS,
})  # fmt: skip
#: Endings by audience.
AUDIENCES = ("viewer", "league", "coach")
#: What the callers of some of these names add to the facts of the verdict.
ADDED = frozenset({"clause", "contrary", "own_clause", "p_told", "would", "seen", "lone", "sought",
                   "mirrored", "plainly", "reason", "parts", "zone", "small", "value", "ends",
                   "needs", "lies", "past", "pinch", "dots_in", "dots_out",
                   "dots_same", "dots_in_told", "dots_same_told", "held_by",
                   "needed_somewhere", "way", "near", "far", "gap", "guess_right",
                   "guess_meets", "guessed", "reached"})  # fmt: skip

#: Statements that compile whatever stands in them.
_PLAIN = (nodes.Output, nodes.If)


def book_of(study: Study) -> Book:
    """Every phrase for this study.  Raises WorkspaceError for one that asks what nobody knows."""
    book = load_phrases(study.workspace.template_folders)
    problems = [p for name, entry in book.items() if not entry.ours for p in wrong(name, entry)]
    if problems:
        raise WorkspaceError(sorted(problems, key=lambda p: (p.file, p.line)))
    return book


def teller_for(judgement: Judgement, audience: str, book: Book | None = None) -> Teller:
    """Who speaks of one study to one audience; what fails to fit is kept with the judgement."""
    study = judgement.study
    defects: list[Problem] = judgement.memo.setdefault(DEFECTS, [])
    tables = study.tables.values()
    people = bool(tables) and all(table.people for table in tables)
    return Teller(
        book or book_of(study), study.id, audience, people, defects, numbers_of(judgement)
    )


def numbers_of(judgement: Judgement) -> KnownNumbers:
    """What is known of the numbers in all that was said of a study so far."""
    numbers: KnownNumbers = judgement.memo.setdefault(NUMBERS, KnownNumbers())
    return numbers


def defects_of(judgement: Judgement) -> tuple[Problem, ...]:
    """Where the phrase book had no true sentence so far, each once."""
    return tuple(dict.fromkeys(judgement.memo.get(DEFECTS, ())))


def kinds_of(name: str) -> frozenset[str]:
    """The kinds of claim that a phrase of this name can be spoken of; none for other phrases."""
    first, *rest = name.removeprefix("heard.").removeprefix("recap.").split(".")
    if first in KINDS and rest and rest[0] in CODES:
        return frozenset({first})
    if first not in ANY:
        return frozenset()
    if first in REASONS and rest and rest[0] not in (*KINDS, *AUDIENCES):
        return frozenset()  # of a kind of figure that shares its name with a reason
    return frozenset(rest) & frozenset(KINDS) or frozenset(KINDS)


@lru_cache(maxsize=4096)
def wrong(name: str, entry: PhraseEntry) -> tuple[Problem, ...]:
    """What is the matter with an entry: no condition, no Jinja, or a fact that nobody gives."""
    return tuple(_problems(name, entry))


def _problems(name: str, entry: PhraseEntry) -> Iterator[Problem]:
    if entry.holds is None and not entry.states_nothing:
        file, line = entry.place
        expected = "the condition under which it is true, or `states: nothing`"
        yield Problem(file, line, found=f"{name}: no `holds:`", expected=expected, happens=HAPPENS)
    kinds = kinds_of(name)
    known = None
    if kinds:
        known = frozenset.intersection(*(KINDS[k].names for k in kinds)) | COMMON | ADDED
        known |= HEARD if name.startswith("heard.") else frozenset()
    for phrase in entry:
        condition = both(entry.holds or "", phrase.holds)
        for text in (phrase.text, f"{{{{ {condition} }}}}" if condition else ""):
            yield from _unknown(name, phrase, text, known, kinds)


def _unknown(
    name: str, phrase: Phrase, text: str, known: frozenset[str] | None, kinds: frozenset[str]
) -> Iterator[Problem]:
    """The faults of one template or condition: not Jinja, or a fact that nobody gives."""
    try:
        asked = _asked(text)
        if asked is None or (known is not None and not asked <= known):
            asked = frozenset(meta.find_undeclared_variables(phrase_sandbox().parse(text)))
    except TemplateError as fault:
        expected = "Jinja with the facts named at the top of the file"
        found = (fault.message or type(fault).__name__).partition("\n")[0]
        yield Problem(phrase.file, phrase.line, found=found, expected=expected, happens=HAPPENS)
        return
    for fact in sorted(asked - known if known is not None else ()):
        whom = f"every {next(iter(kinds))} claim" if len(kinds) == 1 else "every kind of claim"
        yield Problem(phrase.file, phrase.line, found=f"{name}: the unknown fact `{fact}`",
                      expected=f"a fact of {whom}", happens=HAPPENS)  # fmt: skip


@lru_cache(maxsize=8192)
def _asked(text: str) -> frozenset[str] | None:
    """Every name that a template reads; None where only compiling it tells.

    Jinja's own answer compiles each template, half a second for the whole book.  Few set names of
    their own, and only what reaches outside of a plain expression can fail to compile.
    """
    if "{" not in text:
        return frozenset()
    sandbox = phrase_sandbox()
    tree = sandbox.parse(text)
    known = sandbox.filters.keys() | sandbox.tests.keys()
    if any(n.name not in known for n in tree.find_all((nodes.Filter, nodes.Test))) or any(
        not isinstance(n, _PLAIN) for n in tree.find_all(nodes.Stmt)
    ):
        return None
    return frozenset(n.name for n in tree.find_all(nodes.Name) if n.ctx == "load")
