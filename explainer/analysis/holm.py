"""Several claims at once: Holm's step-down correction."""

from __future__ import annotations

from collections.abc import Sequence


def holm(ps: Sequence[float | None]) -> tuple[float | None, ...]:
    """Holm-adjusted p in the order given; None stays None and is not counted (Holm 1979).

    Five lines of our own: statsmodels' ``multipletests`` gives the same numbers (the tests hold
    it so) but takes a second to import.
    """
    order = sorted((p, i) for i, p in enumerate(ps) if p is not None)
    adjusted: list[float | None] = [None] * len(ps)
    highest = 0.0
    for rank, (p, i) in enumerate(order):
        highest = max(highest, min(1.0, (len(order) - rank) * p))
        adjusted[i] = highest
    return tuple(adjusted)
