"""What phrases may say of a rule's limit and of the readings too close to it to call."""

from __future__ import annotations

from typing import Any

from explainer import units
from explainer.claims.verdict import Judgement, RuleZone
from explainer.words.quantity.numbers import count_words, quantity, rounded
from explainer.words.quantity.sizes import Sized, exact


def zone_facts(judgement: Judgement, zone: RuleZone) -> dict[str, Any]:
    """The marks of the zone, the uncertainty behind it and how sure a call beyond it is."""
    wrong = 1 - zone.confidence
    times = zone.guard / zone.u if zone.guard and zone.u else 0.0
    return {
        "limit": limit_words(judgement, zone), "below": zone.at_least is not None,
        "source": zone.source, "term": judgement.study.term(zone.measure),
        "meets": quantity(zone.meets, zone.unit), "misses": quantity(zone.misses, zone.unit),
        "meets_bare": rounded(zone.meets), "misses_bare": rounded(zone.misses),
        "u": Sized(zone.u, None, None, zone.unit).rough if zone.u else "",
        "guard": exact(zone.guard, zone.unit) if zone.guard else "",
        "times": f"{times:.3g}",
        "measured": Sized(zone.measured, None, None, zone.unit).rough if zone.measured else "",
        "wider": Sized(times * zone.measured, None, None, zone.unit).rough
        if zone.measured else "",
        "chance": f"once in {count_words(round(1 / wrong))} times",
    }  # fmt: skip


def limit_words(judgement: Judgement, zone: RuleZone) -> str:
    """The limit with the other system of units beside: a limit is exact, so three digits of it."""
    other = units.metric_of(zone.unit) or units.inch_of(zone.unit)
    here = quantity(zone.limit, zone.unit)
    if other is None:
        return here
    there = f"{rounded(units.convert(zone.limit, zone.unit, other))} {units.short(other)}"
    metric_first = judgement.study.workspace.settings.units_first == "metric"
    first_is_ours = metric_first == (units.metric_of(zone.unit) is None)
    return f"{here} ({there})" if first_is_ours else f"{there} ({here})"
