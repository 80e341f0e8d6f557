"""What all tests of claims share: the block itself, and x or y with its table."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from explainer.study.description.base import (
    Block,
    Name,
    Only,
    Reading,
)

UpDown = Literal["up", "down", "any"]


class Operand(Block):
    """A measure in a named table, where x and y stand in two."""

    table: Name = Field(description="the table")
    measure: Name = Field(description="the measure")


XY = Name | Operand


class ClaimTest(Reading):
    """What all tests share."""

    conditions: ClassVar[tuple[str, ...]] = ()
    """Keys whose values must stand in the column named by ``by``, each another one."""
    several: ClassVar[bool] = False
    """It asks how items differ or change, and so needs more than one."""
    of_one: ClassVar[bool] = False
    """Where ``only`` leaves one item, it can be asked of that one, held to the gauge."""
    needs_margin: ClassVar[bool] = False
    """Without a smallest size that matters it can say less."""
    sentences: ClassVar[tuple[tuple[str, str], ...]] = ()
    """Sentences as a report may say them, and what tells this kind from its neighbors."""
    cues: ClassVar[tuple[tuple[str, int], ...]] = ()
    """Words such sentences are known by (patterns in lower case; numbers are digits), and how much
    each says for the kind, or against it (``study/which_test.py``)."""

    table: Name | None = Field(None, description="the table, if the measure stands in several")
    only: Only | None = Field(
        None,
        description="column: value, to test on those rows alone; where one item is left, the claim "
        "is about that one, and held to the gauge",
    )
