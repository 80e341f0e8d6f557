"""What a claim already holds of the numbers that its figure draws: taken, never worked out again.

The only place where pictures look inside a verdict's detail.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from explainer.claims.verdict import Verdict


def detail(verdict: Verdict, name: str) -> Any:
    """One named number of a verdict; None where its kind has none of that name."""
    return verdict.detail.get(name)


def each_part(verdicts: Sequence[Verdict]) -> Iterator[Verdict]:
    """Every test on its own: a claim that says two things has two."""
    for verdict in verdicts:
        yield from verdict.parts or (verdict,)
