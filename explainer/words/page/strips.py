"""The range strip for somebody who listens: where the range lies against what the claim needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from explainer.claims.kinds import kind_of
from explainer.claims.verdict import Strip, Verdict
from explainer.words.facts.relations import End, in_steps, lies, meets
from explainer.words.facts.zone import reaching, uncalled
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import as_given, bare, telling
from explainer.words.quantity.sizes import Sized, bare_beside, reading, set_level, with_unit
from explainer.words.sentence import put


def strip_words(teller: Teller, verdict: Verdict, known: Mapping[str, Any]) -> str:
    """Estimate and range, the zone the claim needs, and how the two meet."""
    strip = verdict.strip
    if strip is None:
        return ""
    strip, step = in_steps(strip)
    sized = Sized(strip.value, strip.low, strip.high, strip.unit, against=strip.sizes)
    ends: tuple[End, End] = (strip.low, strip.high)
    if kind_of(verdict).calls and strip.measured is not None:
        ends = (strip.measured[0], strip.measured[-1])
        said = [("strip.readings", {"ends": _levels(ends, strip.unit)})]
    elif strip.value is None:
        said = [("strip.none", {})]
    elif strip.low is None and strip.high is None:
        said = [("strip.point", {"value": put("{} {}", sized.signed, step)})]
    else:
        ends_said = put("{} {}", sized.span, step)
        said = [("strip.range", {"value": sized.signed_bare, "ends": ends_said})]
    if strip.claim_zone is not None and strip.claim_zone != (None, None):
        if kind_of(verdict).calls:
            zone = _limit_zone(strip.claim_zone, strip.unit)
            said.append(("strip.zone.limit", {"zone": zone, "none": known.get("none_meets", "")}))
        else:
            wide = _zone(strip.claim_zone, strip)
            sure = _zone(strip.sure, strip) if strip.sure is not None else ""
            said.append(("strip.zone", {"zone": sure or wide, "pinch": wide if sure else ""}))
        if ends != (None, None):
            known_ends = None not in ends and not kind_of(verdict).calls
            where = lies(strip, *ends) if known_ends else meets(ends, strip.claim_zone)  # type: ignore[arg-type]
            said.append((f"strip.{where}", {"lies": where}))
    elif strip.beyond is not None and strip.low is not None and strip.high is not None:
        where = lies(strip, strip.low, strip.high)
        past = _mark(strip.beyond, strip.unit) if strip.beyond else ""
        said += [("strip.beyond", {"past": past}), (f"strip.{where}", {"lies": where})]
    if strip.small_drawn is not None and strip.small_drawn != strip.claim_zone:
        worked_out = kind_of(verdict).calls  # a margin is given, what is too close to call is not
        name = "strip.close" if worked_out else "strip.small"
        small = (
            _close(strip) if worked_out
            else _span(strip.small_drawn, strip.unit, " and ")
        )  # fmt: skip
        name = f"{name}.both" if strip.small_too is not None else name
        said.append((name, {"small": small, "lies": meets(ends, strip.small_drawn)}))
    return " ".join(
        teller.tell([name], {**known, **more}, about=verdict.claim.id) for name, more in said
    )


def needs(verdict: Verdict) -> str:
    """What the claim needs, as a sentence that is true of any verdict; empty without a zone."""
    strip = verdict.strip
    if strip is None or strip.claim_zone in (None, (None, None)):
        return ""
    strip, step = in_steps(strip)
    assert strip.claim_zone is not None
    calls = kind_of(verdict).calls
    needed = strip.sure or strip.claim_zone
    zone = _limit_zone(needed, strip.unit) if calls else _zone(needed, strip)
    return put("The claim needs {} {}.", zone, step) if step else put("The claim needs {}.", zone)


def _levels(ends: tuple[End, End], unit: str, joint: str = " to ") -> str:
    """Two readings, lowest first and fine enough to be told apart: ``71 to 78.9 Shore D``."""
    low, high = ends
    return put(f"{{}}{joint}{{}}", bare_beside(low, high, unit),
               reading(telling(high, low), unit, many=True))  # fmt: skip


def _close(strip: Strip) -> str:
    """The zone that is too close to call, or both of them where a limit has two sides: no reading
    that is called lies inside as it is told."""
    zones = [zone for zone in (strip.small_drawn, strip.small_too) if zone is not None]
    guard = max(high - low for low, high in zones) / 2
    limits = [(low + high) / 2 for low, high in zones]
    near = [v for v in strip.measured or () if any(abs(v - at) < guard for at in limits)]
    told = reaching(guard, limits, near)
    return ", or between ".join(
        put("{} and {}", *uncalled(limit, told, strip.unit)) for limit in limits)


def _limit_zone(zone: tuple[End, End], unit: str) -> str:
    low, high = zone
    if low is None:
        return put("at or below {}", set_level(high, unit))
    if high is None:
        return put("at or above {}", set_level(low, unit))
    return put("between {} and {}", bare(as_given(low), unit),
               set_level(high, unit, many=True))  # fmt: skip


def _zone(zone: tuple[End, End], strip: Strip) -> str:
    low, high = zone
    if low is None:
        return "below zero" if high == 0 else put("at or below {}", _mark(high, strip.unit))
    if high is None or (strip.unit == "r" and high == 1):
        return "above zero" if low == 0 else put("at or above {}", _mark(low, strip.unit))
    return put("between {}", _span((low, high), strip.unit, " and "))


def _span(ends: tuple[End, End], unit: str, joint: str) -> str:
    low, high = ends
    first, last = (Sized(v, None, None, unit, given=True).signed_bare for v in (low, high))
    return put(f"{{}}{joint}{{}}", first, with_unit(last, unit, many=True))


def _mark(value: End, unit: str) -> str:
    return Sized(value, None, None, unit, given=True).signed
