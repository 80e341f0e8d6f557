"""The plain version of a claim: the author's own, or else the report's sentence with the plain
phrases of its trade words set beside them.

Beside, not in their place: a report bends its words (``correlates``, ``of the specimens``), and a
phrase put where a word stood breaks the sentence more often than it helps.
"""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

from explainer.claims.verdict import Judgement
from explainer.study.description.rule import Claim
from explainer.study.files import changed_at
from explainer.words.glossary.entries import Glossary, load_glossary
from explainer.words.glossary.matcher import finder_for
from explainer.words.page.prose import fill

#: More brackets than this hide the sentence.
MOST = 2
_COUNTED = re.compile(
    r"(\d|\b(one|two|three|four|five|six|seven|eight|nine|ten))\s+$", re.IGNORECASE
)


def plain_claim(claim: Claim, judgement: Judgement) -> str:
    """What a claim says in everyday words."""
    if claim.plainly is not None:
        return fill(claim.plainly, judgement).strip()
    text, _ = in_plain_words(claim.report_says, _glossary(judgement))
    return text


def in_plain_words(text: str, glossary: Glossary) -> tuple[str, tuple[tuple[int, int], ...]]:
    """``text`` with the plain phrase in brackets behind each of its first few trade words.

    Also where the brackets stand in the result, so that a page can mark them.  Units behind a
    number are left alone.
    """
    said: list[str] = []
    marks: list[tuple[int, int]] = []
    at = length = 0
    seen: set[str] = set()
    for hit in finder_for(glossary).find(text):
        if hit.entry.term in seen or len(marks) == MOST or _COUNTED.search(text[: hit.start]):
            continue
        seen.add(hit.entry.term)
        plain = f" ({hit.entry.plainly})"
        said += [text[at : hit.end], plain]
        length += hit.end - at
        marks.append((length + 1, length + len(plain)))
        length += len(plain)
        at = hit.end
    return "".join(said) + text[at:], tuple(marks)


def _glossary(judgement: Judgement) -> Glossary:
    folders = judgement.study.workspace.glossary_folders
    files = (f for folder in folders for f in sorted(folder.glob("*.yaml")))
    return _loaded(folders, tuple(map(changed_at, files)))


@lru_cache(maxsize=4)
def _loaded(folders: tuple[Path, ...], changed: tuple[int, ...]) -> Glossary:
    """``changed``: when each file was last written, so that an edit is seen at once."""
    return load_glossary(folders)
