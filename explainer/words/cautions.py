"""Whether a study speaks of sanding or treating a ball, so that the usual cautions belong."""

from __future__ import annotations

import re
from collections.abc import Iterator

from explainer.claims.verdict import Judgement

#: What people do to a ball that can hurt it, or them.
_TREATS = re.compile(
    r"\b(?:re)?(?:sand|surfac|polish|abras|grit|clean|wip|bak|soak|plug|drill|heat)\w*",
    re.IGNORECASE,
)


def treats(judgement: Judgement) -> bool:
    """Whether the author's own words speak of treating a ball."""
    return any(_TREATS.search(text) for text in _texts(judgement))


def _texts(judgement: Judgement) -> Iterator[str]:
    said = judgement.study.description
    yield from (said.title, said.question)
    yield from (claim.plainly or claim.report_says for claim in said.claims)
    yield from (advice.do for advice in said.advice)
    if said.rule is not None:
        yield from (said.rule.change, said.rule.reading or "")
        yield from (link.therefore or "" for link in said.rule.links)
