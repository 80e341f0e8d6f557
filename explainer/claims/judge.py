"""Stage 3 from end to end: every claim judged, corrected for their number, chained, questioned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from explainer.analysis.holm import holm
from explainer.claims import rules
from explainer.claims.build import Case, ordered
from explainer.claims.evidence import only_rows
from explainer.claims.figures.kinds import picture
from explainer.claims.kinds import KINDS, kind_of
from explainer.claims.questions import questions
from explainer.claims.rule_readings import rule_readings
from explainer.claims.rule_zone import held_against, rule_zone
from explainer.claims.rules import weakest
from explainer.claims.stated import stated
from explainer.claims.verdict import Chain, ChainLink, Judgement, Verdict
from explainer.study.description.rule import Claim, Rule
from explainer.study.model import Study
from explainer.study.thresholds import thresholds


def judge(study: Study) -> Judgement:
    """Everything a page may say, in numbers."""
    limits = thresholds(study.description)
    verdicts = verdicts_of(study, limits)
    links = chain(study.description.rule, verdicts)
    return Judgement(
        study=study,
        verdicts=verdicts,
        chain=links,
        stated=stated(study),
        questions=questions(study, verdicts, links),
        figures=tuple(picture(study, f, verdicts) for f in study.description.figures),
        thresholds=limits,
        rule_zone=held_against(rule_zone(study), verdicts),
        rule_readings=rule_readings(study, verdicts),
    )


def verdicts_of(study: Study, limits: Mapping[str, float]) -> tuple[Verdict, ...]:
    """One verdict per claim, in the author's order, after the Holm correction."""
    claims = study.description.claims
    parts = [
        KINDS[test.kind].judge(
            Case(only_rows(study, test.only), claim, test, limits, KINDS[test.kind])
        )
        for claim in claims
        for test in claim.all_tests
    ]
    parts = corrected(parts, limits["holm_alpha"])
    by_claim = {claim.id: [p for p in parts if p.claim.id == claim.id] for claim in claims}
    return tuple(joined(claim, by_claim[claim.id]) for claim in claims)


def corrected(verdicts: Sequence[Verdict], alpha: float) -> list[Verdict]:
    """Holm over all tests that have a p against nothing (Holm 1979); raw p stays beside it.

    A verdict that rests on p < alpha and does not survive is demoted.  A claim of a size rests on
    its p against that size (``p_line``), so that one is corrected for it.  A verdict that rests
    on equivalence (a range inside a margin) has nothing to survive.
    """
    taking_part = [kind_of(v).corrected for v in verdicts]
    shown = holm([v.p if part else None for v, part in zip(verdicts, taking_part, strict=True)])
    deciding = [_deciding(v) if part else None
                for v, part in zip(verdicts, taking_part, strict=True)]  # fmt: skip
    rows = zip(verdicts, shown, deciding, holm(deciding), strict=True)
    return [_survives(replace(v, p_holm=p_holm), p, p_adjusted, alpha)
            for v, p_holm, p, p_adjusted in rows]  # fmt: skip


def _deciding(v: Verdict) -> float | None:
    return v.p if v.detail.p_line is None else v.detail.p_line


def _survives(v: Verdict, p: float | None, p_adjusted: float | None, alpha: float) -> Verdict:
    if p is None or p_adjusted is None or v.code not in ("backed", "against"):
        return v
    if not p < alpha <= p_adjusted:
        return v
    return replace(
        v, code=rules.demoted(v.code), reasons=ordered([*v.reasons, "holm"]),
        detail=replace(v.detail, p_alone=p, p_after=p_adjusted),
    )  # fmt: skip


def joined(claim: Claim, parts: list[Verdict]) -> Verdict:
    """A sentence that says two things is as strong as the weaker."""
    if len(parts) == 1:
        return parts[0]
    code = rules.weakest([p.code for p in parts])
    weakest = next(p for p in parts if p.code == code)
    return replace(weakest, claim=claim, parts=tuple(parts))


# --- the reasons given for a rule, as a chain: as strong as its weakest link

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
