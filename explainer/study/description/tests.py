"""The ways a claim can be held against the data: one model per test kind."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, get_args

from pydantic import Field

from explainer.study.description.base import (
    Checkpoint,
    Finite,
    Name,
    NotNegative,
    Positive,
    Text,
    YesNo,
)
from explainer.study.description.claim_test import (
    XY as XY,
    ClaimTest as ClaimTest,
    Operand as Operand,
    UpDown as UpDown,
)
from explainer.study.description.further_tests import (
    Agreement as Agreement,
    Crossing as Crossing,
    MeanIs as MeanIs,
    NoWorse as NoWorse,
    PopulationLimit as PopulationLimit,
    Ranking as Ranking,
    Settles as Settles,
    ShareOfItems as ShareOfItems,
    Spread as Spread,
    Steps as Steps,
)


class Change(ClaimTest):
    """Each item's change between two checkpoints."""

    kind: Literal["change"]
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Covers got smoother over sixty games.",
         "The same balls, read at two checkpoints."),
        ("Covers lost a fifth of their roughness.",
         "`in: percent` with `at_least: 20`: each ball against its own start."),
    )
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    direction: UpDown = Field("any", description="which way the claim says")
    at_least: Positive | None = Field(None, description="the size the claim says, at least")
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )


class NoChange(ClaimTest):
    """Equivalence: a change too small to matter."""

    kind: Literal["no-change"]
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Hardness did not change.",
         "It takes a `matters_from`: how much would count as a change."),
    )
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    margin: Positive | None = Field(None, description="else the measure's `matters_from`")
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )


class Difference(ClaimTest):
    """One group of items, or one condition, against another."""

    kind: Literal["difference"]
    sorting: ClassVar[tuple[str, ...]] = ("by", "within")
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Used balls are softer than new ones.",
         "Two groups side by side; with `within`, the same bowlers under both."),
    )
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
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )


class DifferenceInChange(ClaimTest):
    """Did one group of items change by more than another?"""

    kind: Literal["difference-in-change"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Dull covers went smooth faster than shiny ones.",
         "The change of one group against the change of another, not two verdicts side by side."),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    by: Name = Field(description="the column that tells a from b")
    a: str | Finite = Field(description="the value of `by` the claim speaks of")
    b: str | Finite = Field(description="the value of `by` it is held against")
    direction: Literal["higher", "lower", "up", "down", "any"] = Field(
        "any",
        description="where a's change lies against b's: `lower` (or `down`) says that it fell more",
    )
    at_least: Positive | None = Field(None, description="the size the claim says, at least")


class Association(ClaimTest):
    """Between items: those with more x have more (or less) y."""

    kind: Literal["association"]
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Rougher balls hook more.",
         "One ball against another."),
        ("Harder balls hook less, whatever the cover.",
         "`given: [cover]`: the link that is left once balls of one cover are compared."),
    )
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    direction: Literal["positive", "negative", "any"] = Field(
        "any", description="which way the claim says"
    )
    strong: YesNo = Field(False, description="the claim says: strongly")
    given: tuple[Name, ...] | None = Field(
        None, min_length=1, max_length=5,
        description="held alike (analysis of covariance): measures, or columns that sort items",
    )
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else means over those all share"
    )


class NoAssociation(ClaimTest):
    """No relation worth the name: the likely range of r lies inside a margin."""

    kind: Literal["no-association"]
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Speed has nothing to do with it.",
         "It takes a `margin`, and many balls."),
    )
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    margin: Positive | None = Field(None, description="in r; .7 says `not strong`")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else means over those all share"
    )
    within: YesNo = Field(False, description="within items, not between")


class TracksWithin(ClaimTest):
    """Within an item: as its x changes, its y changes."""

    kind: Literal["tracks-within"]
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("As a ball goes smooth it hooks less.",
         "One ball against its own earlier self. This is not the sentence above."),
    )
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    direction: Literal["positive", "negative", "any"] = Field(
        "any", description="which way the claim says"
    )


class SameLine(ClaimTest):
    """Does use move an item along the line that different items lie on?"""

    kind: Literal["same-line"]
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("A ball worn smooth acts like one made smooth.",
         "Played balls held against a line of new ones."),
    )
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    line_from: Name | None = Field(None, description="table of other, new items")


class BreakIn(ClaimTest):
    """Most of the change has happened by a checkpoint named beforehand."""

    kind: Literal["break-in"]
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("It was all over by shot twenty.",
         "How much of the whole change is done by then."),
    )
    measure: Name = Field(description="the measure")
    by: Checkpoint = Field(description="the checkpoint by which it is said to have happened")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")


class Trend(ClaimTest):
    """A drift over a numbered series."""

    kind: Literal["trend"]
    numbering: ClassVar[tuple[str, ...]] = ("over",)
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("It kept creeping up all afternoon.",
         "A drift along numbered shots."),
    )
    measure: Name = Field(description="the measure")
    over: Name = Field(description="the column that numbers the series")
    direction: UpDown = Field("any", description="which way the claim says")
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )


class Repeatability(ClaimTest):
    """Gauge study: operators, items, repeats."""

    kind: Literal["repeatability"]
    sorting: ClassVar[tuple[str, ...]] = ("operator",)
    numbering: ClassVar[tuple[str, ...]] = ("repeat",)
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("The gauge gives the same answer whoever holds it.",
         "Several people read the same balls several times."),
    )
    measure: Name = Field(description="the measure")
    operator: Name = Field(description="column of the operator")
    repeat: Name = Field(description="column that numbers the repeats")
    good_enough: Positive | None = Field(None, description="% of study variation; else 10")
    detects: Positive | None = Field(None, description="a difference it must be able to see")


class LimitTest(ClaimTest):
    """Each item's reading against a limit with a guard band."""

    kind: Literal["limit"]
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Every ball meets the limit.",
         "Each reading against a line, and its doubt."),
        ("All of them read between 72 and 78.",
         "`at_least` and `at_most` together."),
    )
    measure: Name = Field(description="the measure")
    at_least: Finite | None = Field(None, description="lower limit")
    at_most: Finite | None = Field(None, description="upper limit; both make a range to stay in")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the last one (never an average "
        "over wear), and for the most extreme reading all of them"
    )
    u: NotNegative | None = Field(None, description="standard uncertainty of the value judged")
    take: Literal["mean", "lowest", "highest"] = Field(
        "mean",
        description="which of an item's readings there counts: their mean, or the most extreme one "
        "(no shot went past it)",
    )


class RateDifference(ClaimTest):
    """Successes out of attempts under a against b."""

    kind: Literal["rate-difference"]
    sorting: ClassVar[tuple[str, ...]] = ("by", "within")
    counting: ClassVar[tuple[str, ...]] = ("successes", "attempts")
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("You strike more on the long oil.",
         "So many out of so many, under two conditions."),
    )
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
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("It is fairer. It goes for everybody.",
         "Say why no numbers could settle it; the page says so, too."),
    )
    because: Text = Field(description="why no data could settle it")


AnyTest = Annotated[
    Change
    | NoChange
    | Difference
    | DifferenceInChange
    | Association
    | NoAssociation
    | TracksWithin
    | SameLine
    | BreakIn
    | Trend
    | Repeatability
    | LimitTest
    | RateDifference
    | MeanIs
    | Ranking
    | Spread
    | ShareOfItems
    | NoWorse
    | Settles
    | Crossing
    | PopulationLimit
    | Agreement
    | Steps
    | NotTestable,
    Field(discriminator="kind"),
]


def kinds() -> dict[str, type[ClaimTest]]:
    """Every test's model by its kind, in the order of the handbook."""
    models = get_args(get_args(AnyTest)[0])
    return {get_args(model.model_fields["kind"].annotation)[0]: model for model in models}
