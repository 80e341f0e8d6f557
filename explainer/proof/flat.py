"""Flat statements: a sentence that says what a measure did, where no claim about it is settled."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from explainer.claims.verdict import Judgement, Verdict
from explainer.errors import Problem
from explainer.proof.place import Path, Places
from explainer.study.description.tests import Operand

_SAYS = re.compile(
    r"\b(fell|falls?|dropped|drops?|rose|rises?|loses?|lost|gains?|gained|stays?|stayed|gone|"
    r"(?:did|does|do|has|have) not (?:change|fall|rise|drop)|unchanged|kills?|killed|grew|grows?|"
    r"(?:hooks?|strikes?|rolls?) (?:less|more)|(?:is|are|was|were) the same|shrank|shrinks?|fades?|"
    r"(?:in|de)creas(?:es?|ed)|(?:go(?:es)?|went) (?:up|down|smooth)|faded|"
    r"no (?:change|difference))\b",
    re.IGNORECASE,
)
_HEDGED = re.compile(
    r"\b(if|whether|may|might|could|would|should|can(?:no|['’])t|seems?|looks?|perhaps|maybe|says?|"
    r"said|claims?|claimed|report\w*|hardly|nobody|nothing|try|guess|think|ask|can you|who)\b|\?",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"[^.!?]+[.!?]*")
#: Words of a term that say nothing of what is measured.
_LOOSE = frozenset(["ball", "balls", "total", "cover", "rate", "mean", "with", "path", "after"])
_OPEN = ("cannot-tell", "not-tested")


def flat(
    judgement: Judgement, places: Places, path: Path, text: str, about: Iterable[Verdict]
) -> Iterator[Problem]:
    """Sentences of ``text`` that say flatly what none of the claims ``about`` it settles."""
    open_words = _open_words(judgement, tuple(about))
    for sentence in _SENTENCE.findall(text) if open_words else ():
        said = _SAYS.search(sentence)
        named = {w.casefold() for w in re.findall(r"[^\W\d_]+", sentence)} & open_words
        if said and named and not _HEDGED.search(sentence):
            yield places.weak(
                path, f"`{said[0]}`, said flatly of {min(named)}",
                "open words: no claim about it is settled by this data",
                "readers are told more than the data say", "too-strong", said[0],
            )  # fmt: skip


def _open_words(judgement: Judgement, about: tuple[Verdict, ...]) -> set[str]:
    """Words for measures of which every claim is open."""
    settled: set[str] = set()
    left: set[str] = set()
    for verdict in about:
        words = _words(judgement, verdict)
        (left if verdict.code in _OPEN else settled).update(words)
    return left - settled


def _words(judgement: Judgement, verdict: Verdict) -> set[str]:
    """What the last measure that a claim speaks of can be called: ``hook``, ``hooks``."""
    found: set[str] = set()
    for test in verdict.claim.all_tests:
        operand = getattr(test, "measure", None) or getattr(test, "y", None)
        name = operand.measure if isinstance(operand, Operand) else operand
        if isinstance(name, str) and name in judgement.study.description.measures:
            words = f"{judgement.study.term(name)} {name}".casefold().replace("_", " ").split()
            found |= {w for w in words if len(w) > 3 and w not in _LOOSE}
    return found | {f"{w}s" for w in found}
