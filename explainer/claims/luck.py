"""How much of what a study finds luck alone could make."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Luck:
    """What luck alone would do to claims of which none holds (``claims/judge.py``)."""

    alone: int = 0
    """Claims that are judged alone, outside the family that Holm's correction holds."""
    backed: float = 0.0
    """How many of those would come out backed, on average and at most."""
    judged: int = 0
    """Claims that are judged by a range at all."""
    leaning: float = 0.0
    """How many of those would at least lean, on average and at most."""
    alone_of: tuple[str, ...] = ()
    """The claims that ``alone`` and ``judged`` count, by id: one that says again what another says
    is not counted again."""
    judged_of: tuple[str, ...] = ()
