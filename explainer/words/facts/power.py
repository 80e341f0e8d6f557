"""What so many items could see, and how many would settle what is still open."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from explainer.claims.kinds import kind_of
from explainer.claims.rules import FEW
from explainer.claims.verdict import Verdict
from explainer.study.model import Study
from explainer.study.thresholds import thresholds
from explainer.words.quantity.sizes import Sized, gap_unit, number, per_step, tally
from explainer.words.sentence import put

Facts = dict[str, Any]

#: The names of what ``power_facts`` tells.
POWER = frozenset({
    "needed", "more_needed", "no_more", "far_off", "effect", "smallest", "smaller", "effect_out",
    "caught", "or_more", "told_from", "uneven_mix", "halves", "if_none", "if_twice",
})  # fmt: skip


def power_facts(verdict: Verdict, study: Study, item: str) -> Facts:
    """What this many items could see, and how many would settle it."""
    power, unit = verdict.power, verdict.power.unit if verdict.power else ""
    if kind_of(verdict).gap:
        unit = gap_unit(unit)
    effect = Sized(power.at_effect, None, None, unit) if power else None
    smallest = Sized(power.smallest_effect, None, None, unit) if power else None
    return {
        **_needed(verdict, item),
        "effect": _effect(effect, verdict) if effect and effect.value else None,
        "smallest": _effect(smallest, verdict) if smallest and smallest.value else None,
        "smaller": None if not (smallest and smallest.value)
        or (effect and effect.rough == smallest.rough) else _effect(smallest, verdict),
        "effect_out": _out_of_range(verdict),
        "caught": _often(thresholds(study.description)["power"]),
        "told_from": Sized(power.told_from, None, None, unit).rough
        if power and power.told_from is not None else None,
    }


def _needed(verdict: Verdict, item: str) -> Facts:
    """How many items, and for what: of a claim of a size, for a truth that its range has room for.

    So few that the page itself calls them too few settle nothing, however plain the effect.
    """
    power, detail = verdict.power, verdict.detail
    if_none, if_twice = _room_for_none(verdict), _room_for_twice(verdict)
    needed = power.items_needed if power else None
    if detail.at_least is not None and not (if_none or if_twice):
        needed = None
    on_a, on_b = getattr(detail, "n_a", 0), getattr(detail, "n_b", 0)
    sides = 2 if on_a and on_b and not getattr(detail, "paired", False) else 1
    least = (FEW + 1) * sides if kind_of(verdict).general else 1
    # What is worked out for halves, sides as uneven as these see less well.
    halves = sides == 2 and on_a != on_b and not detail.n_groups
    blind = halves and power is not None and (power.smallest_effect or 0) > (power.at_effect or 0)
    return {
        "needed": tally(max(needed, least), item) if needed else None,
        "more_needed": bool(needed and (max(needed, least) > verdict.n_items or blind)),
        # As many, but as many on the one side as on the other.
        "no_more": bool(needed and max(needed, least) <= verdict.n_items),
        "far_off": bool(needed and needed > 40 * max(verdict.n_items, 1)),
        "or_more": bool(needed and needed < least), "halves": halves,
        "uneven_mix": detail.groups_uneven and power is not None and power.unit != "r",
        "if_none": if_none, "if_twice": if_twice,
    }  # fmt: skip


def _room_for_none(verdict: Verdict) -> bool:
    """A claim of a size, one way: whether there may be nothing, which as many items then tell from
    the size as tell the size from nothing."""
    low, high, strip = verdict.low, verdict.high, verdict.strip
    if verdict.detail.at_least is None or strip is None or low is None or high is None:
        return False
    return strip.claim_zone is not None and low <= 0 <= high


def _room_for_twice(verdict: Verdict) -> bool:
    """Whether it may be twice that size, which as many tell from the size; a ratio's twice is no
    such step."""
    size, low, high, strip = verdict.detail.at_least, verdict.low, verdict.high, verdict.strip
    if size is None or strip is None or low is None or high is None:
        return False
    if getattr(verdict.test, "in_", None) == "percent":
        return False
    down, up = strip.claim_zone or (None, None)
    return (up is None and low <= 2 * size <= high) or (down is None and low <= -2 * size <= high)


def _often(share: float) -> str:
    """How often an effect of a size is found that the study's design has this power for."""
    return "four times in five" if round(share, 4) == 0.8 else f"{number(100 * share)} times in 100"


def _out_of_range(verdict: Verdict) -> bool:
    """Whether the range has no room for an effect of the size that is told, on any side claimed."""
    power, strip, low, high = verdict.power, verdict.strip, verdict.low, verdict.high
    if power is None or power.at_effect is None or strip is None or strip.null != 0.0:
        return False
    if low is None or high is None or gap_unit(power.unit) != gap_unit(strip.unit):
        return False
    zone, size = strip.claim_zone or (None, None), power.at_effect
    if None not in zone:  # a claim of next to nothing
        return False
    up, down = zone[1] is None and high < size, zone[0] is None and low > -size
    return up and down if zone == (None, None) else up or down


def _effect(sized: Sized, verdict: Verdict) -> str:
    if " per " not in sized.unit:
        return sized.rough
    sized = replace(sized, widest=verdict.strip.seen if verdict.strip is not None else None)
    beside = [v for v in (verdict.estimate, verdict.low, verdict.high) if v is not None]
    scaled, step = per_step(sized, *(abs(v) for v in beside))
    return put("{} {}", scaled.rough, step)
