"""The range strip for somebody who listens: where the range lies against what the claim needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from explainer.claims.kinds import kind_of
from explainer.claims.verdict import Strip, Verdict
from explainer.words.facts.ranges import End, in_steps, meets
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import rounded
from explainer.words.quantity.sizes import Sized, level, with_unit


def strip_words(teller: Teller, verdict: Verdict, known: Mapping[str, Any]) -> str:
    """Estimate and range, the zone the claim needs, and how the two meet."""
    strip = verdict.strip
    if strip is None:
        return ""
    strip, step = in_steps(strip)
    sized = Sized(strip.value, strip.low, strip.high, strip.unit)
    ends: tuple[End, End] = (strip.low, strip.high)
    if kind_of(verdict).calls and strip.measured is not None:
        ends = strip.measured
        said = [("strip.readings", {"ends": _levels(ends, strip.unit)})]
    elif strip.value is None:
        said = [("strip.none", {})]
    elif strip.low is None and strip.high is None:
        said = [("strip.point", {"value": f"{sized.signed} {step}"})]
    else:
        said = [("strip.range", {"value": sized.signed_bare, "ends": f"{sized.span} {step}"})]
    if strip.claim_zone is not None and strip.claim_zone != (None, None):
        if kind_of(verdict).calls:
            said.append(("strip.zone.limit", {"zone": _limit_zone(strip.claim_zone, strip.unit)}))
        else:
            said.append(("strip.zone", {"zone": _zone(strip.claim_zone, strip)}))
        if ends != (None, None):
            said.append((f"strip.{meets(ends, strip.claim_zone)}", {}))
    if strip.small_zone is not None and strip.small_zone != strip.claim_zone:
        name = "strip.close" if kind_of(verdict).calls else "strip.small"
        said.append((name, {"small": _span(strip.small_zone, strip.unit, " and ")}))
    return " ".join(
        teller.tell([name], {**known, **more}, about=verdict.claim.id) for name, more in said
    )


def _levels(ends: tuple[End, End], unit: str) -> str:
    """Two readings, lowest first: ``71 to 78.9 Shore D``."""
    return f"{rounded(ends[0])} to {level(ends[1], unit)}"


def _limit_zone(zone: tuple[End, End], unit: str) -> str:
    low, high = zone
    if low is None:
        return f"at or below {level(high, unit)}"
    if high is None:
        return f"at or above {level(low, unit)}"
    return f"between {rounded(low)} and {level(high, unit)}"


def _zone(zone: tuple[End, End], strip: Strip) -> str:
    low, high = zone
    if low is None:
        return "below zero" if high == 0 else f"at or below {_mark(high, strip.unit)}"
    if high is None or (strip.unit == "r" and high == 1):
        return "above zero" if low == 0 else f"at or above {_mark(low, strip.unit)}"
    return f"between {_span((low, high), strip.unit, ' and ')}"


def _span(ends: tuple[End, End], unit: str, joint: str = " to ") -> str:
    low, high = ends
    first, last = (Sized(v, None, None, unit).signed_bare for v in (low, high))
    return f"{first}{joint}{with_unit(last, unit, many=True)}"


def _mark(value: End, unit: str) -> str:
    return Sized(value, None, None, unit).signed
