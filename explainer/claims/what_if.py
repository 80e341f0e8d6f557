"""What if another size counted?  The verdicts again, with margins from a quarter to four times.

A margin is a choice, not a finding: ``matters_from`` of a measure or ``margin`` of a test is what
the author of the explainer holds to be worth noticing.  Whoever would draw the line elsewhere sees
here whether the verdict would be another.  Everything is judged anew, the correction for several
claims included.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from explainer.claims.judge import Known, verdicts_of
from explainer.claims.kinds import KINDS, backed_though_small
from explainer.claims.verdict import Code, Judgement, Verdict
from explainer.study.description.rule import Claim
from explainer.study.description.tests import AnyTest
from explainer.study.model import Study

FACTORS = (0.25, 0.5, 2.0, 4.0)


@dataclass(frozen=True)
class OtherMargin:
    """A claim's verdict if ``margin`` (in ``unit``) were the size that counts."""

    margin: float
    unit: str
    code: Code
    chosen: bool
    """Whether this is the margin the author chose: the verdict on the page."""
    small: bool
    """Whether what is backed is less than this."""
    verdict: Verdict
    """All of it, as the judge gives it at that margin: what holds it back is told beside it."""


def what_if(judgement: Judgement) -> Mapping[str, tuple[OtherMargin, ...]]:
    """Claim id to its verdicts for smaller and larger margins, smallest first.

    Claims that rest on no margin, and those that say several things, are left out.
    """
    study = judgement.study
    found: dict[str, list[OtherMargin]] = {}
    for verdict in judgement.verdicts:
        margin = _margin(study, verdict)
        if margin is not None:
            found[verdict.claim.id] = [_row(verdict, margin, _unit(study, verdict), chosen=True)]
    asked = {c.id for c in study.description.claims if c.id in found or _counts(c)}
    known: Known = {}
    for factor in FACTORS if found else ():
        for again in verdicts_of(scaled(study, factor), judgement.thresholds, known, asked):
            if again.claim.id in found:
                rows = found[again.claim.id]
                rows.append(_row(again, rows[0].margin * factor, rows[0].unit, chosen=False))
    return {id: tuple(sorted(rows, key=lambda r: r.margin)) for id, rows in found.items()}


def _counts(claim: Claim) -> bool:
    """Whether a claim may take part in the correction of others: those are judged anew with it."""
    return claim.is_key or any(KINDS[test.kind].corrected for test in claim.all_tests)


def _row(verdict: Verdict, margin: float, unit: str, *, chosen: bool) -> OtherMargin:
    return OtherMargin(margin, unit, verdict.code, chosen, backed_though_small(verdict),
                       verdict)  # fmt: skip


def _margin(study: Study, verdict: Verdict) -> float | None:
    """The margin a verdict rests on, as it was given."""
    test = verdict.test
    measure = getattr(test, "measure", None)
    if getattr(test, "at_least", None) is not None:
        return None  # it is judged at the size that it claims itself, which nobody here chose
    if verdict.parts or not test.needs_margin or verdict.code == "not-tested":
        return None
    if verdict.unit.startswith("percent"):
        return None  # judged in per cent, its margin is no size in the measure's own unit
    own = test.own_margin
    if own is None and measure in study.description.measures:
        own = study.measure(str(measure)).matters_from
    return own


def _unit(study: Study, verdict: Verdict) -> str:
    measure = getattr(verdict.test, "measure", None)
    return study.measure(measure).unit if measure in study.description.measures else verdict.unit


def scaled(study: Study, factor: float) -> Study:
    """The study with every margin so many times as large."""
    said = study.description
    measures = {
        name: measure.model_copy(update={"matters_from": measure.matters_from * factor})
        if measure.matters_from is not None
        else measure
        for name, measure in said.measures.items()
    }
    claims = tuple(_claim_scaled(claim, factor) for claim in said.claims)
    return replace(
        study, description=said.model_copy(update={"measures": measures, "claims": claims})
    )


def _claim_scaled(claim: Claim, factor: float) -> Claim:
    scaled = tuple(_test_scaled(test, factor) for test in claim.all_tests)
    if claim.test is None:
        return claim.model_copy(update={"tests": scaled})
    return claim.model_copy(update={"test": scaled[0] if len(scaled) == 1 else scaled})


def _test_scaled(test: AnyTest, factor: float) -> AnyTest:
    margin = test.own_margin
    return test if margin is None else test.model_copy(update={test.margin_key: margin * factor})
