"""What nobody knows yet: the author's questions, and those the analysis raises itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from explainer.claims.verdict import Chain, OpenQuestion, Verdict
from explainer.study.model import Study


def questions(
    study: Study, verdicts: Sequence[Verdict], chain: Chain | None
) -> tuple[OpenQuestion, ...]:
    """The author's first, then one for each thing that leaves a claim open."""
    asked = [OpenQuestion("author", q.ask, q.settled_by) for q in study.description.questions]
    raised = [q for v in verdicts for q in _raised_by(v)]
    return (*asked, *raised, *_untested_links(verdicts, chain))


def _raised_by(verdict: Verdict) -> Iterator[OpenQuestion]:
    """Each row: a reason (or a verdict) that leaves something to find out."""
    claim = verdict.claim.id
    needed = verdict.power.items_needed if verdict.power else None
    reasons = verdict.reasons
    if "beyond-data" in reasons:
        yield OpenQuestion("beyond-data", None, None, claim)
    elif verdict.code in ("cannot-tell", "leans") and not {"fragile", "one-step"} & set(reasons):
        yield OpenQuestion("cannot-tell", None, None, claim, needed)
    if "fragile" in reasons:
        yield OpenQuestion("fragile", None, None, claim, needed)
    if "one-step" in reasons:
        yield OpenQuestion("one-step", None, None, claim)
    if "one-group" in reasons:
        yield OpenQuestion("one-group", None, None, claim)
    if "gauge-too-coarse" in reasons:
        yield OpenQuestion("gauge-too-coarse", None, None, claim)


def _untested_links(verdicts: Sequence[Verdict], chain: Chain | None) -> Iterator[OpenQuestion]:
    by_id = {v.claim.id: v for v in verdicts}
    for link in chain.links if chain else ():
        if link.code == "not-tested" and "beyond-data" not in by_id[link.claim].reasons:
            yield OpenQuestion("untested-link", None, None, link.claim)
