"""What phrases may say of a rule's limit and of the readings too close to it to call."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from explainer.claims.figure_data import LimitData
from explainer.claims.limit import LimitDetail
from explainer.claims.verdict import Judgement, RuleZone
from explainer.study.description.figures import Limit
from explainer.study.description.rule import RuleLimit
from explainer.study.description.tests import LimitTest
from explainer.units import canonical, convert
from explainer.words.quantity.numbers import (
    as_given,
    bare,
    count_words,
    fixed,
    half_up,
    leading,
    paired,
    place_in,
    rounded,
    with_short,
)
from explainer.words.quantity.sizes import Sized, exact, gap_unit, reading, set_level, set_range
from explainer.words.quantity.systems import (
    LEAST,
    Limits,
    Told,
    converted,
    other_unit,
    system_of,
)
from explainer.words.sentence import Figures, even


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


def limits_told(judgement: Judgement) -> Limits:
    """Each limit of a study as it is told and the digits that it takes in the other system, so that
    every edition converts it alike: as fine as the zones about it, or they would not lie about it.
    """
    study = judgement.study
    rule = study.description.rule
    tests = [p.test for v in judgement.verdicts for p in v.each]
    held: list[tuple[str, LimitTest | Limit | RuleLimit]] = [
        *([(rule.limit.measure, rule.limit)] if rule and rule.limit else []),
        *((test.measure, test) for test in tests if isinstance(test, LimitTest)),
        *((f.figure.y, f.figure) for f in judgement.figures if isinstance(f.figure, Limit)),
    ]
    zone = judgement.rule_zone
    found: dict[Told, int] = {}
    for measure, limit in held:
        unit = canonical(study.measure(measure).unit)
        guards = _guards(judgement, measure)
        for edge in (limit.at_least, limit.at_most):
            if edge is not None:
                found[as_given(edge), unit] = limit_digits(edge, unit, guards)
    if zone is not None:
        for mark in zone.marks:
            found.setdefault((as_given(mark), canonical(zone.unit)), LEAST)
    return found


def _guards(judgement: Judgement, measure: str) -> list[float]:
    """How far the zones about the limits of a measure reach."""
    parts = (p for v in judgement.verdicts for p in v.each)
    return [
        guard for guard in (
            *(p.detail.guard for p in parts
              if isinstance(p.detail, LimitDetail) and p.detail.measure == measure),
            *(f.data.guard for f in judgement.figures
              if isinstance(f.data, LimitData) and getattr(f.figure, "y", "") == measure),
        ) if guard
    ]  # fmt: skip


def limit_digits(edge: float, unit: str, guards: Sequence[float]) -> int:
    """The digits of a limit in the other system: as fine as the zones about it are told there."""
    other = other_unit(unit)
    size = 0.0 if other is None else abs(convert(edge, unit, other))
    if other is None or not size:
        return LEAST
    finest = min((reaching(guard).last for guard in guards), default=0)
    return max(LEAST, leading(size) - place_in(unit, other, finest) + 1) if guards else LEAST


def reaching(
    guard: float, limits: Sequence[float] = (), close: Sequence[float] = ()
) -> Figures:
    """How far a zone reaches to each side of its limit: the fewest digits from three on that are
    rounded inward, since whatever lies beyond the zone can be called, and that leave none of the
    readings ``close`` to one of ``limits`` outside."""
    first = leading(guard)
    for place in range(first - 2, first - 7, -1):
        told = half_up(guard, place)
        ends = [(float(Decimal(f"{v:.12g}") - told), float(Decimal(f"{v:.12g}") + told))
                for v in limits]  # fmt: skip
        if float(told) <= guard * (1 + 1e-9) and all(
            any(low - 1e-9 <= v <= high + 1e-9 for low, high in ends) for v in close
        ):
            break
    else:
        place = first - 2
    return Figures(fixed(guard, place), guard, place, even=True)


def uncalled(limit: float, guard: Figures, unit: str) -> tuple[str, str]:
    """The ends of the zone about a limit in which a gauge can call nothing: from its limit as far
    as it is said to reach."""
    at, reach = Decimal(f"{limit:.12g}"), Decimal(guard.replace(",", ""))
    low, high = (
        even(fixed(float(at + way * reach), guard.last), (limit, way * guard.value))
        for way in (-1, 1)
    )
    return bare(low, unit), reading(high, unit)


def left_between(low: float, high: float, guard: Figures) -> str:
    """What two zones leave between their limits, by the numbers that are told of them."""
    apart = Decimal(f"{high:.12g}") - Decimal(f"{low:.12g}")
    left = fixed(float(apart - 2 * Decimal(guard.replace(",", ""))), guard.last)
    return even(left, (high, -low, -guard.value, -guard.value))
