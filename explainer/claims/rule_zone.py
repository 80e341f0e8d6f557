"""What a reading near a rule's limit can decide: the limit with a guard band on either side.

Guarded acceptance and guarded rejection after JCGM 106:2012, 8.3 (ISO 14253-1 asks the same): a
ball is called only where the reading lies further from the limit than the gauge could be wrong.
The marks are rounded outwards to the gauge's step, so that rounding never turns a reading that
is too close into one that is called.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from explainer.analysis.conformity import Call, judge_reading, standard_uncertainty
from explainer.claims.verdict import RuleZone, Verdict
from explainer.study.description.rule import Rule
from explainer.study.description.tests import Repeatability
from explainer.study.model import Study

CONFIDENCE = 0.95
#: A gauge test that finds this many times the uncertainty in use says that it is too small.
CLEARLY = 1.1
#: Marks tried at most; the first or second one always serves.
_TRIES = 4


def rule_zone(study: Study) -> RuleZone | None:
    """The zone about the limit of the study's rule; None where no rule has a limit."""
    rule = study.description.rule
    if rule is None or rule.limit is None:
        return None
    measure = study.measure(rule.limit.measure)
    u, source = _uncertainty(study, rule)
    return zone(
        rule.limit.at_least, rule.limit.at_most, u,
        measure=rule.limit.measure, unit=measure.unit, step=measure.resolution, source=source,
    )  # fmt: skip


def held_against(made: RuleZone | None, verdicts: Sequence[Verdict]) -> RuleZone | None:
    """The zone, with what a gauge test of the same measure found where that is clearly more.

    The test's own number is the whole gauge: repeat readings by several operators (AIAG MSA's
    GRR), which is the standard uncertainty of one reading by anybody of them.
    """
    if made is None or made.u is None:
        return made
    found = [
        float(part.extra["grr"])
        for verdict in verdicts for part in verdict.each
        if isinstance(part.test, Repeatability) and part.test.measure == made.measure
        and part.extra.get("grr")
    ]  # fmt: skip
    largest = max(found, default=0.0)
    return replace(made, measured=largest) if largest > CLEARLY * made.u else made


def _uncertainty(study: Study, rule: Rule) -> tuple[float | None, str]:
    """The rule's own ``u``; else √(repeatability²/k + resolution²/12) of a mean of k (JCGM 100).

    k is how many readings the rule asks for: one, where it does not say.
    """
    if rule.u is not None:
        return rule.u, "given"
    assert rule.limit is not None
    measure = study.measure(rule.limit.measure)
    u = standard_uncertainty(measure.repeatability_sd, measure.resolution, rule.limit.mean_of)
    if measure.repeatability_sd is None and u is not None:
        return u, "step"
    return u, "gauge" if u is not None else "unknown"


def zone(
    at_least: float | None,
    at_most: float | None,
    u: float | None,
    *,
    measure: str = "",
    unit: str = "",
    step: float | None = None,
    source: str = "given",
    confidence: float = CONFIDENCE,
) -> RuleZone:
    """The three kinds of reading about a one-sided limit; all numbers in the measure's unit.

    ``u`` is the standard uncertainty of a reading, None where nobody knows it: then nothing can
    be called, and both marks are None.  ``confidence`` is one-sided.  ValueError for two limits
    or none.
    """
    limit = at_least if at_least is not None else at_most
    if limit is None or (at_least is not None and at_most is not None):
        raise ValueError("a rule's zone has one limit")
    blank = RuleZone(measure, unit, at_least, at_most, None, None, None, None, confidence, source)
    if u is None:
        return blank

    def call(value: float) -> str:
        made = judge_reading(value, u, at_least, at_most, confidence=confidence)
        return made.call if isinstance(made, Call) else ""

    made = judge_reading(limit, u, at_least, at_most, confidence=confidence)
    assert isinstance(made, Call)
    guard, inwards = made.guard, 1 if at_least is not None else -1
    grain = step or _grain(guard or abs(limit) or 1.0)
    return RuleZone(
        measure, unit, at_least, at_most, u, guard,
        limit if not guard else _mark(limit + inwards * guard, grain, inwards, "pass", call),
        limit if not guard else _mark(limit - inwards * guard, grain, -inwards, "fail", call),
        confidence, source,
    )  # fmt: skip


def _mark(
    exact: float, grain: float, outwards: int, wanted: str, call: Callable[[float], str]
) -> float:
    """The first multiple of ``grain`` from ``exact`` on, outwards, that is called ``wanted``."""
    round_ = math.ceil if outwards > 0 else math.floor
    first = round_(round(exact / grain, 9))
    for n in range(_TRIES):
        # Powers of ten leave a tail in binary that nobody wants to read.
        value = float(f"{(first + outwards * n) * grain:.12g}")
        if call(value) == wanted:
            return value
    return exact


def _grain(size: float) -> float:
    """A tenth of the first digit of ``size``: what is worth reading where no step is known."""
    return float(10.0 ** (math.floor(math.log10(size)) - 1))
