"""Stage 3 from end to end: every claim judged, corrected for their number, chained, questioned."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from explainer.analysis.simultaneous import holm
from explainer.claims import rules
from explainer.claims.build import Case, ordered
from explainer.claims.design.table import judged
from explainer.claims.evidence import only_rows
from explainer.claims.figures.kinds import picture
from explainer.claims.kinds import KINDS, kind_of
from explainer.claims.luck import Luck
from explainer.claims.outcomes import with_outcomes
from explainer.claims.reading_error import held_to_readings, set_right
from explainer.claims.rule_zone import held_against, rule_readings, rule_zone
from explainer.claims.rules import weakest
from explainer.claims.stated import stated
from explainer.claims.verdict import (
    Chain,
    ChainLink,
    FigureResult,
    Judgement,
    OpenQuestion,
    Verdict,
)
from explainer.study.description.rule import Claim, Rule
from explainer.study.description.tests import AnyTest
from explainer.study.model import Study
from explainer.study.thresholds import thresholds

# Several claims at once: which are corrected for their number, and what luck alone would back.
# The more is tested, the more looks real by luck. The family that Holm's correction (1979) holds
# to one false alarm is the report's own key findings, as a trial's primary endpoints are (ICH E9,
# sections 2.2.2 and 5.6; FDA 2022, Multiple Endpoints in Clinical Trials); with none marked, all
# of the report's claims. Every other claim is judged alone, so that an aside that somebody adds
# cannot change a verdict, and the page says once how many of so many luck would back. A claim and
# its mirror, or the same claim twice, are one.

#: How often a claim that does not hold is backed by luck, judged alone: a 95% range wholly on the
#: one side that is claimed, or on either; a 90% range wholly inside a zone.
ONE_SIDE, EITHER_SIDE, ZONE = 0.025, 0.05, 0.05
#: How often more it at least leans: by the 80% range.
LEANS_ONE_SIDE, LEANS_EITHER_SIDE, LEANS_ZONE = 0.1, 0.2, 0.1

#: What a mirror turns round, and what it swaps in which kinds.
_WAY = {"up": "any", "down": "any", "higher": "any", "lower": "any", "positive": "any",
        "negative": "any"}  # fmt: skip
_SWAPPED = {
    ("a", "b"): ("difference", "difference-in-change", "rate-difference", "spread", "agreement",
                 "no-difference"),
    ("x", "y"): ("association", "no-association"),
    ("from_", "to"): ("change", "no-change", "difference-in-change"),
}


def corrected(verdicts: Sequence[Verdict], alpha: float) -> list[Verdict]:
    """Holm over the family; raw p stays beside it, and every other claim has none.

    A verdict that rests on p < alpha and does not survive is demoted.  A claim of a size rests on
    its p against that size (``p_line``), so that one is corrected for it.  A verdict that rests
    on equivalence (a range inside a margin) has nothing to survive.
    """
    here = family(verdicts)
    shown = _once(verdicts, here, [v.p for v in verdicts])
    deciding = [_deciding(v) for v in verdicts]
    adjusted = _once(verdicts, here, deciding)
    return [
        _survives(replace(v, p_holm=p_holm), p, after, alpha) if mine else v
        for v, p_holm, p, after, mine in zip(verdicts, shown, deciding, adjusted, here, strict=True)
    ]


def family(verdicts: Sequence[Verdict]) -> list[bool]:
    """Which tests are corrected for one another: of the key findings, else of the report's own."""
    key = any(v.claim.is_key for v in verdicts)
    return [
        kind_of(v).corrected and v.p is not None
        and (v.claim.is_key if key else v.claim.of_report)
        for v in verdicts
    ]  # fmt: skip


def mirror_key(v: Verdict) -> tuple[Any, ...]:
    """The same for a claim and its mirror: up and down, a against b and b against a."""
    said = v.test.model_dump(mode="json")
    if "direction" in said:
        said["direction"] = _WAY.get(said["direction"], said["direction"])
    for (one, other), kinds in _SWAPPED.items():
        if v.test.kind in kinds:
            said[one], said[other] = sorted((said[one], said[other]), key=repr)
    return tuple(sorted((key, repr(value)) for key, value in said.items()))


def _once(
    verdicts: Sequence[Verdict], here: Sequence[bool], ps: Sequence[float | None]
) -> list[float | None]:
    """Holm-adjusted p of those in the family, mirrors and repetitions counting once."""
    keys = [mirror_key(v) for v in verdicts]
    least: dict[tuple[Any, ...], float] = {}
    for key, p, mine in zip(keys, ps, here, strict=True):
        if mine and p is not None:
            least[key] = min(p, least.get(key, p))
    after = dict(zip(least, holm(list(least.values())), strict=True))
    return [after.get(key) if mine else None for key, mine in zip(keys, here, strict=True)]


def _deciding(v: Verdict) -> float | None:
    return v.p if v.detail.p_line is None else v.detail.p_line


def _survives(v: Verdict, p: float | None, p_adjusted: float | None, alpha: float) -> Verdict:
    if p is None or p_adjusted is None:
        return v
    v = replace(v, detail=replace(v.detail, p_alone=p, p_after=p_adjusted))
    if not p < alpha <= p_adjusted:
        return v
    if v.code not in ("backed", "against"):
        return replace(v, detail=replace(v.detail, holm_too=True))
    return replace(v, code=rules.demoted(v.code), reasons=ordered([*v.reasons, "holm"]))


def luck(verdicts: Sequence[Verdict]) -> Luck:
    """How many of these claims luck alone would back, and how many it would at least make lean, at
    most and on average, if none of them held; ``verdicts`` are those of single tests.

    A claim that nothing is there does not hold where something is, so each errs by its own rule;
    how often at least one does is no more than the sum (Bonferroni).
    """
    judged = [
        v for v in verdicts if kind_of(v).ranged and v.code != "not-tested" and v.level
        # One number without a range is judged by none: luck can make nothing of it.
        and any(end is not None for r in (v, v.strip) if r for end in (r.low, r.high))
    ]  # fmt: skip
    alone = [v for v in judged if v.p_holm is None and v.test.kind != "repeatability"]
    every = [v for v in judged if v.test.kind != "repeatability"]
    once = {mirror_key(v): v for v in alone}.values()
    each = {mirror_key(v): v for v in every}.values()
    return Luck(
        alone=len(once), backed=sum(_errors(v)[0] for v in once),
        judged=len(each), leaning=sum(_errors(v)[1] for v in each),
        alone_of=tuple(dict.fromkeys(v.claim.id for v in once)),
        judged_of=tuple(dict.fromkeys(v.claim.id for v in each)),
    )  # fmt: skip


def _errors(v: Verdict) -> tuple[float, float]:
    """Its chance to be backed, and to be backed or lean, where it does not hold."""
    if kind_of(v).level < 0.95:
        return ZONE, LEANS_ZONE
    if rules.SIDE.get(getattr(v.test, "direction", "any"), 0) == 0:
        return EITHER_SIDE, LEANS_EITHER_SIDE
    return ONE_SIDE, LEANS_ONE_SIDE


# What nobody knows yet: the author's questions, and those the analysis raises itself.

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
    elif _left_open(verdict):
        yield OpenQuestion("cannot-tell", None, None, claim, needed)
    if "fragile" in reasons:
        yield OpenQuestion("fragile", None, None, claim, needed)
    if "one-step" in reasons:
        yield OpenQuestion("one-step", None, None, claim)
    if "one-group" in reasons:
        yield OpenQuestion("one-group", None, None, claim)
    # Of a claim about the gauge that question is the claim itself.
    if "gauge-too-coarse" in reasons and verdict.test.kind != "repeatability":
        yield OpenQuestion("gauge-too-coarse", None, None, claim)


def _left_open(verdict: Verdict) -> bool:
    """Whether the readings leave the claim itself open, or cannot answer it."""
    if verdict.code == "not-tested":  # past the data, and of one group: a question of its own
        return not {"beyond-data", "one-group", "not-a-data-question"} & set(verdict.reasons)
    return (verdict.code in ("cannot-tell", "leans")
            and not {"fragile", "one-step"} & set(verdict.reasons))  # fmt: skip


def _untested_links(verdicts: Sequence[Verdict], chain: Chain | None) -> Iterator[OpenQuestion]:
    by_id = {v.claim.id: v for v in verdicts}
    for link in chain.links if chain else ():
        verdict = by_id[link.claim]
        asked = _left_open(verdict) or "beyond-data" in verdict.reasons
        if link.code == "not-tested" and not asked:
            yield OpenQuestion("untested-link", None, None, link.claim)


def outcomes_of(study: Study, limits: Mapping[str, float]) -> tuple[Verdict, ...]:
    """One verdict per claim, each with its equally likely answers."""
    return tuple(with_outcomes(v) for v in verdicts_of(study, limits))


def pictures(study: Study, verdicts: tuple[Verdict, ...]) -> tuple[FigureResult, ...]:
    """What each figure holds, in the author's order."""
    return tuple(picture(study, figure, verdicts) for figure in study.description.figures)


def judge(
    study: Study, verdicts: tuple[Verdict, ...] | None = None,
    figures: tuple[FigureResult, ...] | None = None,
) -> Judgement:  # fmt: skip
    """Everything a page may say, in numbers; ``verdicts`` and ``figures``: those known already, as
    ``outcomes_of`` and ``pictures`` give them."""
    limits = thresholds(study.description)
    if verdicts is None:
        verdicts = outcomes_of(study, limits)
    links = chain(study.description.rule, verdicts)
    return Judgement(
        study=study,
        verdicts=verdicts,
        chain=links,
        stated=stated(study),
        questions=questions(study, verdicts, links),
        figures=pictures(study, verdicts) if figures is None else figures,
        thresholds=limits,
        rule_zone=held_against(rule_zone(study), verdicts),
        rule_readings=rule_readings(study, verdicts),
        luck=luck([part for v in verdicts for part in v.each]),
    )


#: Parts of claims (claim, which of its tests) as they were judged, before the Holm correction.
Known = dict[tuple[str, int], Verdict]


def verdicts_of(
    study: Study, limits: Mapping[str, float], known: Known | None = None,
    asked: Collection[str] | None = None,
) -> tuple[Verdict, ...]:  # fmt: skip
    """One verdict per claim, in the author's order, after the Holm correction.

    ``known``: what was judged of the same study with other margins; parts that rest on no margin
    are taken from it, and those that are not in it yet are put there.  ``asked``: claims by id,
    with all that take part in the correction; None for every claim.
    """
    claims = [c for c in study.description.claims if asked is None or c.id in asked]
    study = set_right(study)

    def each(study: Study, known: Known | None = None) -> list[Verdict]:
        def part(claim: Claim, n: int, test: AnyTest) -> Verdict:
            kind = KINDS[test.kind]
            found = None if known is None or kind.by_margin else known.get((claim.id, n))
            if found is None:
                found = of_items_in_general(judged(
                    Case(only_rows(study, test.only), claim, test, limits, kind, study)
                ))
                if known is not None:
                    known[claim.id, n] = found
            return replace(found, claim=claim)

        parts = [part(claim, n, test) for claim in claims
                 for n, test in enumerate(claim.all_tests)]  # fmt: skip
        return corrected([of_items_in_general(v) for v in parts], limits["holm_alpha"])

    parts = held_to_readings(study, each(study, known), each)
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
