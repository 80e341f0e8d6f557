"""The ways a claim can be held against the data: one model per test kind."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from explainer.study.description.base import (
    Block,
    Checkpoint,
    Finite,
    Name,
    NotNegative,
    Positive,
    Text,
    YesNo,
)

UpDown = Literal["up", "down", "any"]


class Operand(Block):
    """A measure in a named table, where x and y stand in two."""

    table: Name = Field(description="the table")
    measure: Name = Field(description="the measure")


XY = Name | Operand


class ClaimTest(Block):
    """What all tests share."""

    table: Name | None = Field(None, description="the table, if the measure stands in several")


class Change(ClaimTest):
    """Each item's change between two checkpoints."""

    kind: Literal["change"]
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    direction: UpDown = Field("any", description="which way the claim says")
    at_least: Positive | None = Field(None, description="the size the claim says, at least")


class NoChange(ClaimTest):
    """Equivalence: a change too small to matter."""

    kind: Literal["no-change"]
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    margin: Positive | None = Field(None, description="else the measure's `matters_from`")


class Difference(ClaimTest):
    """One group of items, or one condition, against another."""

    kind: Literal["difference"]
    measure: Name = Field(description="the measure")
    by: Name = Field(description="the column that tells a from b")
    a: str | Finite = Field(description="the value of `by` the claim speaks of")
    b: str | Finite = Field(description="the value of `by` it is held against")
    direction: Literal["higher", "lower", "any"] = Field("any", description="a against b")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )
    within: Name | None = Field(None, description="the same item under both: paired")
    at_least: Positive | None = Field(None, description="the size the claim says, at least")


class Association(ClaimTest):
    """Between items: those with more x have more (or less) y."""

    kind: Literal["association"]
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    direction: Literal["positive", "negative", "any"] = Field(
        "any", description="which way the claim says"
    )
    strong: YesNo = Field(False, description="the claim says: strongly")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )


class NoAssociation(ClaimTest):
    """No relation worth the name: the likely range of r lies inside a margin."""

    kind: Literal["no-association"]
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    margin: Positive | None = Field(None, description="in r; .7 says `not strong`")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )
    within: YesNo = Field(False, description="within items, not between")


class TracksWithin(ClaimTest):
    """Within an item: as its x changes, its y changes."""

    kind: Literal["tracks-within"]
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    direction: Literal["positive", "negative", "any"] = Field(
        "any", description="which way the claim says"
    )


class SameLine(ClaimTest):
    """Does use move an item along the line that different items lie on?"""

    kind: Literal["same-line"]
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    line_from: Name | None = Field(None, description="table of other, new items")


class BreakIn(ClaimTest):
    """Most of the change has happened by a checkpoint named beforehand."""

    kind: Literal["break-in"]
    measure: Name = Field(description="the measure")
    by: Checkpoint = Field(description="the checkpoint by which it is said to have happened")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")


class Trend(ClaimTest):
    """A drift over a numbered series."""

    kind: Literal["trend"]
    measure: Name = Field(description="the measure")
    over: Name = Field(description="the column that numbers the series")
    direction: UpDown = Field("any", description="which way the claim says")


class Repeatability(ClaimTest):
    """Gauge study: operators, items, repeats."""

    kind: Literal["repeatability"]
    measure: Name = Field(description="the measure")
    operator: Name = Field(description="column of the operator")
    repeat: Name = Field(description="column that numbers the repeats")
    good_enough: Positive | None = Field(None, description="% of study variation; else 10")
    detects: Positive | None = Field(None, description="a difference it must be able to see")


class LimitTest(ClaimTest):
    """Each item's reading against a limit with a guard band."""

    kind: Literal["limit"]
    measure: Name = Field(description="the measure")
    at_least: Finite | None = Field(None, description="lower limit")
    at_most: Finite | None = Field(None, description="upper limit")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )
    u: NotNegative | None = Field(None, description="standard uncertainty of the value judged")


class RateDifference(ClaimTest):
    """Successes out of attempts under a against b."""

    kind: Literal["rate-difference"]
    successes: Name = Field(description="column of successes")
    attempts: Name = Field(description="column of attempts")
    by: Name = Field(description="column of the condition")
    a: str | Finite = Field(description="the value of `by` the claim speaks of")
    b: str | Finite = Field(description="the value of `by` it is held against")
    direction: Literal["higher", "lower", "any"] = Field("any", description="a against b")
    within: Name | None = Field(None, description="who repeats under both conditions")


class NotTestable(ClaimTest):
    """Not a question for data."""

    kind: Literal["not-testable"]
    because: Text = Field(description="why no data could settle it")


AnyTest = Annotated[
    Change
    | NoChange
    | Difference
    | Association
    | NoAssociation
    | TracksWithin
    | SameLine
    | BreakIn
    | Trend
    | Repeatability
    | LimitTest
    | RateDifference
    | NotTestable,
    Field(discriminator="kind"),
]
