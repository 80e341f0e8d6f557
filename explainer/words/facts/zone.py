"""What phrases may say of a rule's limit and of the readings too close to it to call."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from explainer.claims.verdict import Judgement, RuleZone
from explainer.study.description.figures import Limit
from explainer.study.description.rule import RuleLimit
from explainer.study.description.tests import LimitTest
from explainer.units import canonical
from explainer.words.quantity.numbers import (
    as_given,
    bare,
    count_words,
    fixed,
    paired,
    rounded,
    with_short,
)
from explainer.words.quantity.sizes import Sized, exact, gap_unit, reading, set_level, set_range
from explainer.words.quantity.systems import Told, converted, other_unit, system_of
from explainer.words.sentence import Figures


def zone_facts(judgement: Judgement, zone: RuleZone) -> dict[str, Any]:
    """The marks of the zone, the uncertainty behind it and how sure a call beyond it is."""
    wrong = 1 - zone.confidence
    share = zone.checked / zone.u if zone.checked and zone.u else 0.0
    times = zone.guard / zone.u if zone.guard and zone.u else 0.0
    return {
        "limit": limit_words(judgement, zone), "below": zone.at_least is not None,
        "both": zone.both, "never": zone.both and zone.meets is None,
        "meets_to": set_level(zone.meets_to, zone.unit),
        "misses_from": set_level(zone.misses_from, zone.unit),
        "meets_to_bare": bare(as_given(zone.meets_to), zone.unit),
        "source": zone.source, "term": judgement.study.term(zone.measure),
        "meets": set_level(zone.meets, zone.unit), "misses": set_level(zone.misses, zone.unit),
        "meets_bare": bare(as_given(zone.meets), zone.unit),
        "misses_bare": bare(as_given(zone.misses), zone.unit),
        "u": Sized(zone.u, None, None, zone.unit).rough if zone.u else "",
        "guard": exact(zone.guard, gap_unit(zone.unit)) if zone.guard else "",
        "times": bare(rounded(times)),
        "measured": Sized(zone.measured, None, None, zone.unit).rough if zone.measured else "",
        "wider": Sized(times * zone.measured, None, None, zone.unit).rough
        if zone.measured else "",
        "checked": Sized(zone.checked, None, None, zone.unit).rough if zone.checked else "",
        "checked_share": share, "readings": zone.readings, "count": count_words(zone.readings),
        "chance": f"once in {count_words(round(1 / wrong))} times",
    }  # fmt: skip


def limit_words(judgement: Judgement, zone: RuleZone) -> str:
    """The limit (or both) with the other system of units beside."""
    other = other_unit(zone.unit)
    ends = [edge for edge in (zone.at_least, zone.at_most) if edge is not None]
    here = set_range(ends[0], ends[-1], zone.unit) if zone.both else set_level(ends[0], zone.unit)
    if other is None:
        return here
    told = [converted(as_given(edge), zone.unit, limits_told(judgement)) for edge in ends]
    there = with_short(" to ".join(told), other)
    other_first = judgement.study.workspace.settings.units_first == system_of(zone.unit)
    return paired(there, here) if other_first else paired(here, there)


def limits_told(judgement: Judgement) -> frozenset[Told]:
    """Each limit of a study as it is told, so that every edition converts it alike."""
    study = judgement.study
    rule = study.description.rule
    tests = [p.test for v in judgement.verdicts for p in v.each]
    held: list[tuple[str, LimitTest | Limit | RuleLimit]] = [
        *([(rule.limit.measure, rule.limit)] if rule and rule.limit else []),
        *((test.measure, test) for test in tests if isinstance(test, LimitTest)),
        *((f.figure.y, f.figure) for f in judgement.figures if isinstance(f.figure, Limit)),
    ]
    zone = judgement.rule_zone
    marks = () if zone is None else tuple(
        (as_given(mark), canonical(zone.unit)) for mark in zone.marks
    )
    return frozenset(marks) | frozenset(
        (as_given(edge), canonical(study.measure(measure).unit))
        for measure, limit in held
        for edge in (limit.at_least, limit.at_most)
        if edge is not None
    )


def uncalled(
    limit: Any, guard: float | None, unit: str, step: float | None, read: Sequence[float] = ()
) -> dict[str, str | None]:
    """The ends of the zone about a limit in which a gauge can call nothing.

    Rounded inward, so that nothing in it could be called: to the gauge's own ``step``, else to a
    hundredth of the guard or finer, until no reading of ``read`` that is too close lies beyond it.
    """
    if limit is None or not guard:
        return {"zone_low": None, "zone_high": None}
    fine = 10.0 ** (math.floor(math.log10(guard)) - 1)
    close = [v for v in read if abs(v - limit) < guard]
    for grain in (step or fine, fine, fine / 10, fine / 100):
        places = max(0, -math.floor(math.log10(grain) + 1e-9))
        low = math.ceil(round((limit - guard) / grain, 9)) * grain
        high = math.floor(round((limit + guard) / grain, 9)) * grain
        if high > low and all(low - 1e-9 <= v <= high + 1e-9 for v in close):
            break
    return {
        "zone_low": bare(Figures(fixed(low, -places), limit - guard, -places), unit),
        "zone_high": reading(Figures(fixed(high, -places), limit + guard, -places), unit),
    }
