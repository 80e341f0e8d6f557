"""How a range lies to a zone on a number line; a slope's line in steps people can picture."""

from __future__ import annotations

from dataclasses import replace

from explainer.claims.verdict import Strip
from explainer.words.quantity.sizes import Sized, per_step

End = float | None


def meets(ends: tuple[End, End], zone: tuple[End, End]) -> str:
    """``inside``: the whole range lies in the zone; ``outside``: none of it; else ``partly``.

    An open end of either is infinite.
    """
    low, high = _open(*ends)
    at_least, at_most = _open(*zone)
    if at_least <= low and high <= at_most:
        return "inside"
    return "outside" if high < at_least or low > at_most else "partly"


def lies(strip: Strip | None, low: float, high: float) -> str:
    """Where a range lies to what the claim needs: ``inside``, ``outside``, ``partly``; empty
    where a strip shows no need."""
    if strip is None:
        return ""
    if strip.claim_zone is not None and strip.claim_zone != (None, None):
        where = meets((low, high), strip.claim_zone)
        # A way up or down begins past nothing: a range that ends on it still has nothing in it.
        way = None in strip.claim_zone and 0.0 in strip.claim_zone and strip.null == 0
        if where == "inside" and strip.sure is not None:
            return "inside" if meets((low, high), strip.sure) == "inside" else "partly"
        return "partly" if where == "inside" and way and low <= 0 <= high else where
    if strip.beyond is None:
        return ""
    size = strip.beyond
    if low > size or high < -size:
        return "inside"
    return "outside" if size and -size < low and high < size else "partly"


def _open(low: End, high: End) -> tuple[float, float]:
    return (
        float("-inf") if low is None else low,
        float("inf") if high is None else high,
    )


def in_steps(strip: Strip) -> tuple[Strip, str]:
    """A slope's line for the round step its sentences use: boards ``for every 10 microinches``.

    Any other line stays as it is, with nothing to say of a step.
    """
    if " per " not in strip.unit:
        return strip, ""
    scaled, step = per_step(Sized(strip.value, strip.low, strip.high, strip.unit))
    whole = (v for v in ((strip.value, scaled.value), (strip.low, scaled.low)) if v[0])
    times = next((b / a for a, b in whole if a and b is not None), 1.0)

    def stretched(zone: tuple[End, End] | None) -> tuple[End, End] | None:
        if zone is None:
            return None
        low, high = (None if end is None else end * times for end in zone)
        return low, high

    return replace(
        strip, value=scaled.value, low=scaled.low, high=scaled.high, unit=scaled.unit,
        claim_zone=stretched(strip.claim_zone), small_zone=stretched(strip.small_zone),  # type: ignore[arg-type]
        null=None if strip.null is None else strip.null * times,
        beyond=None if strip.beyond is None else strip.beyond * times, inner=stretched(strip.inner),  # type: ignore[arg-type]
        small_too=stretched(strip.small_too),  # type: ignore[arg-type]
        outcomes=tuple(v * times for v in strip.outcomes),
    ), step  # fmt: skip
