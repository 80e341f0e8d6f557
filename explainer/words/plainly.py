"""The plain version of a claim: the author's own, or the report's sentence with its trade words
replaced by the glossary's plain phrases."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from explainer.claims.verdict import Judgement
from explainer.study.description.rule import Claim
from explainer.words.glossary import Glossary, load_glossary
from explainer.words.matcher import finder_for
from explainer.words.prose import fill


def plain_claim(claim: Claim, judgement: Judgement) -> str:
    """What a claim says in everyday words."""
    if claim.plainly is not None:
        return fill(claim.plainly, judgement).strip()
    text, _ = in_plain_words(claim.report_says, _glossary(judgement))
    return text


def in_plain_words(text: str, glossary: Glossary) -> tuple[str, tuple[tuple[int, int], ...]]:
    """``text`` with each glossary term replaced by its plain phrase once.

    Also where the new words stand in the result, so that a page can mark them.
    """
    said: list[str] = []
    marks: list[tuple[int, int]] = []
    at = length = 0
    seen: set[str] = set()
    for hit in finder_for(glossary).find(text):
        if hit.entry.term in seen:
            continue
        seen.add(hit.entry.term)
        phrase = hit.entry.plainly
        if hit.start == 0:
            phrase = phrase[:1].upper() + phrase[1:]
        said.append(text[at : hit.start])
        length += hit.start - at
        marks.append((length, length + len(phrase)))
        said.append(phrase)
        length += len(phrase)
        at = hit.end
    return "".join(said) + text[at:], tuple(marks)


def _glossary(judgement: Judgement) -> Glossary:
    return _loaded(judgement.study.workspace.glossary_folders)


@lru_cache(maxsize=4)
def _loaded(folders: tuple[Path, ...]) -> Glossary:
    return load_glossary(folders)
