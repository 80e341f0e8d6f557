"""Stage 3 from end to end: every claim judged, corrected for their number, chained, questioned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from explainer.claims import rules
from explainer.claims.build import Case, ordered
from explainer.claims.evidence import only_rows
from explainer.claims.figures.kinds import picture
from explainer.claims.kinds import KINDS, kind_of
from explainer.claims.looks.table import judged
from explainer.claims.outcomes import with_outcomes
from explainer.claims.questions import questions
from explainer.claims.read_off import held_to_readings
from explainer.claims.rule_readings import rule_readings
from explainer.claims.rule_zone import held_against, rule_zone
from explainer.claims.rules import weakest
from explainer.claims.several import corrected, luck
from explainer.claims.shared_error import set_right
from explainer.claims.stated import stated
from explainer.claims.verdict import Chain, ChainLink, Judgement, Verdict
from explainer.study.description.rule import Claim, Rule
from explainer.study.model import Study
from explainer.study.thresholds import thresholds


def judge(study: Study) -> Judgement:
    """Everything a page may say, in numbers."""
    limits = thresholds(study.description)
    verdicts = tuple(with_outcomes(v) for v in verdicts_of(study, limits))
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
        luck=luck([part for v in verdicts for part in v.each]),
    )


def verdicts_of(study: Study, limits: Mapping[str, float]) -> tuple[Verdict, ...]:
    """One verdict per claim, in the author's order, after the Holm correction."""
    claims = study.description.claims
    study = set_right(study)

    def each(study: Study) -> list[Verdict]:
        parts = [
            of_items_in_general(judged(
                Case(only_rows(study, test.only), claim, test, limits, KINDS[test.kind], study)
            ))
            for claim in claims
            for test in claim.all_tests
        ]
        return corrected([of_items_in_general(v) for v in parts], limits["holm_alpha"])

    parts = held_to_readings(study, each(study), each)
    by_claim = {claim.id: [p for p in parts if p.claim.id == claim.id] for claim in claims}
    return tuple(joined(claim, by_claim[claim.id]) for claim in claims)


def of_items_in_general(v: Verdict) -> Verdict:
    """What few items can say of others: two or three only lean, and four or five rest on a shape.

    A claim about named items (a limit, a gauge, one item picked by ``only``, a single series) is
    another matter, and so is one that nothing was worked out for.
    """
    kind, decided = kind_of(v), v.code in ("backed", "leans", "against")
    if not kind.general or v.n_items < 2 or not decided or v.estimate is None:
        return v
    if v.n_items <= rules.FEW:
        return replace(v, code=rules.of_few(v.code, v.n_items),
                       reasons=ordered([*v.reasons, "too-few-items"]))  # fmt: skip
    if v.n_items <= rules.EVENLY:
        return replace(v, reasons=ordered([*v.reasons, "evenly-scattered"]))
    return v


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
        ChainLink(link.claim, code, link.therefore, i == at, link.said_by)
        for i, (link, code) in enumerate(zip(rule.links, codes, strict=True))
    )
    return Chain(worst, rule.links[at].claim, links)
