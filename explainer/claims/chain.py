"""The reasons given for a rule, as a chain: as strong as its weakest link."""

from __future__ import annotations

from collections.abc import Sequence

from explainer.claims.rules import weakest
from explainer.claims.verdict import Chain, ChainLink, Verdict
from explainer.study.description.rule import Rule


def chain(rule: Rule | None, verdicts: Sequence[Verdict]) -> Chain | None:
    """The chain of ``rule``; the first of the weakest links is marked."""
    if rule is None or not rule.links:
        return None
    by_id = {v.claim.id: v for v in verdicts}
    codes = [by_id[link.claim].code for link in rule.links]
    worst = weakest(codes)
    at = codes.index(worst)
    links = tuple(
        ChainLink(link.claim, code, link.therefore, i == at)
        for i, (link, code) in enumerate(zip(rule.links, codes, strict=True))
    )
    return Chain(worst, rule.links[at].claim, links)
