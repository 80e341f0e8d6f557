"""Whether a study speaks of sanding or treating a ball, so that the usual cautions belong."""

from __future__ import annotations

import re
from collections.abc import Iterator

from explainer.claims.verdict import Judgement

#: What people do to a cover that cannot be undone, or that makes dust and fumes.
_TREATS = re.compile(
    r"\b(?:re)?(?:sand(?:ed|ing|s)?|surfac(?:ed|ing)|polish\w*|abras\w*|grits?|bak(?:ed|ing|es?)"
    r"|soak\w*|solvents?|cleaners?)\b",
    re.IGNORECASE,
)


def treats(judgement: Judgement) -> bool:
    """Whether the author's own words speak of treating a ball."""
    return any(_TREATS.search(text) for text in _texts(judgement))


def _texts(judgement: Judgement) -> Iterator[str]:
    said = judgement.study.description
    yield from (said.title, said.question)
    yield from (claim.plainly or claim.sentence for claim in said.claims)
    yield from (advice.do for advice in said.advice)
    if said.rule is not None:
        yield from (said.rule.change, said.rule.reading or "")
        yield from (link.therefore or "" for link in said.rule.links)
