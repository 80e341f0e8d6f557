"""How a range lies to a zone on a number line; an open end of either is infinite."""

from __future__ import annotations

End = float | None


def meets(ends: tuple[End, End], zone: tuple[End, End]) -> str:
    """``inside``: the whole range lies in the zone; ``outside``: none of it; else ``partly``."""
    low, high = _open(*ends)
    at_least, at_most = _open(*zone)
    if at_least <= low and high <= at_most:
        return "inside"
    return "outside" if high < at_least or low > at_most else "partly"


def _open(low: End, high: End) -> tuple[float, float]:
    return (
        float("-inf") if low is None else low,
        float("inf") if high is None else high,
    )
