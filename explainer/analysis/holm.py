"""Several claims at once: some look real by luck (Holm 1979)."""

from __future__ import annotations

import math
from collections.abc import Sequence


def holm(ps: Sequence[float | None]) -> tuple[float | None, ...]:
    """Step-down adjusted p-values, in the order given; None stays None and is not counted.

    The k-th smallest of m is multiplied by m − k + 1, never falls below the one before, and ends
    at 1.
    """
    # As statsmodels' ``multipletests``, which takes a twentieth of a second a call (it works out
    # more) and knows no None; see the package's docstring for what importing it costs.
    tested = [i for i, p in enumerate(ps) if p is not None and math.isfinite(p)]
    adjusted: list[float | None] = [None] * len(ps)
    highest = 0.0
    for rank, i in enumerate(sorted(tested, key=lambda i: ps[i] or 0.0)):
        highest = max(highest, min(1.0, (len(tested) - rank) * (ps[i] or 0.0)))
        adjusted[i] = highest
    return tuple(adjusted)
