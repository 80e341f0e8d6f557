"""Drawn numbers in the units that a workspace puts first: axes and range strips."""

from __future__ import annotations

from dataclasses import replace

from explainer import units
from explainer.claims.verdict import Strip
from explainer.study.model import Study


def told_unit(unit: str, study: Study) -> tuple[str, float]:
    """The unit that a workspace tells ``unit`` in, and how many of it make one of ``unit``."""
    other = units.metric_of(unit)
    if study.workspace.settings.units_first != "metric" or other is None:
        return unit, 1.0
    # A unit with a zero of its own (a temperature) is no multiple of another: left as it is.
    if units.convert(0.0, unit, other) != 0:
        return unit, 1.0
    return other, units.convert(1.0, unit, other)


def strip_in(strip: Strip, study: Study) -> Strip:
    """A range strip in the unit that the workspace tells its numbers in."""
    unit, times = told_unit(strip.unit, study)
    if times == 1.0:
        return strip

    def scaled(value: float | None) -> float | None:
        return None if value is None else value * times

    def both(ends: tuple[float, float] | None) -> tuple[float, float] | None:
        return None if ends is None else (ends[0] * times, ends[1] * times)

    zone = strip.claim_zone
    return replace(
        strip, unit=unit, value=scaled(strip.value), low=scaled(strip.low),
        high=scaled(strip.high), null=scaled(strip.null), small_zone=both(strip.small_zone),
        claim_zone=None if zone is None else (scaled(zone[0]), scaled(zone[1])),
        measured=both(strip.measured), small_too=both(strip.small_too),
        outcomes=tuple(v * times for v in strip.outcomes),
    )  # fmt: skip
