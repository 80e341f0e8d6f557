"""The figures an author may ask for: one model per kind."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from explainer.study.description.base import (
    Checkpoint,
    Finite,
    Id,
    Name,
    NotNegative,
    Only,
    Reading,
    Text,
    Whole,
    YesNo,
)
from explainer.study.description.telling import Guess, Like, Opinion
from explainer.study.description.tests import XY


class Figure(Reading):
    """What all figures share."""

    id: Id = Field(description="its name in links: `fig-ID`")
    table: Name = Field(description="the table it is drawn from")
    report_figure: Name | None = Field(None, description="the report's figure: Figure 1, page 4")
    title: Text | None = Field(None, description="the author's own title, in place of ours")
    only: Only | None = Field(None, description="column: value, to draw those rows alone")
    say: Text | None = Field(None, description="the author's own words, in Markdown")
    like: Like = None
    guess: Guess = None
    opinion: Opinion = None
    ask_first: Text | None = Field(
        None,
        description="a question of yours before anything is drawn, so that everybody may guess: "
        "How many of the nine pass?",
    )
    walk: YesNo = Field(
        False,
        description="tell it one by one, as a person does going through a table: yes or no (the "
        "script begins it with “Let’s go through them”); rates want `within`; ball paths and "
        "gauges have no items to go through",
    )
    pair: tuple[Id, Id] | None = Field(
        None,
        description="two figures to set side by side under this one (it may be one of them), with "
        "what changes from the first to the second as the title",
    )
    yardstick: Literal["contact-patch", "roll-out"] | None = Field(
        None, description="a labelled physics curve beside the data; never a verdict"
    )

    @property
    def walked(self) -> bool:
        return self.walk in (True, "yes")


class OverUse(Figure):
    """One line per item over the checkpoints."""

    kind: Literal["over-use"]
    sorting: ClassVar[tuple[str, ...]] = ("group",)
    y: Name = Field(description="the measure")
    group: Name | None = Field(None, description="column that sorts the lines")


class Scatter(Figure):
    """One measure against another."""

    kind: Literal["scatter"]
    x: XY = Field(description="the measure along the bottom, if need be with its table")
    y: XY = Field(description="the measure up the side, if need be with its table")
    join: YesNo = Field(False, description="draw each item's journey")
    line_from: Name | None = Field(None, description="table whose items give the line")

    @property
    def joined(self) -> bool:
        return self.join in (True, "yes")


class ShotSeries(Figure):
    """A value per shot, in order."""

    kind: Literal["shot-series"]
    numbering: ClassVar[tuple[str, ...]] = ("order",)
    y: Name = Field(description="the measure")
    order: Name | None = Field(None, description="column that numbers the shots")
    first: Whole | None = Field(None, description="how many first shots to compare")
    last: Whole | None = Field(None, description="with how many last ones")


class BallPaths(Figure):
    """Board against feet down the lane."""

    kind: Literal["ball-paths"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    other_columns: ClassVar[tuple[str, ...]] = ("distance", "board")
    distance: Name = Field("distance", description="column of feet down the lane")
    board: Name = Field("board", description="column of boards")
    by: Name | None = Field(None, description="checkpoint or group column that sorts the paths")
    hand: Literal["right", "left"] = Field("right", description="the side boards count from")


class Groups(Figure):
    """Items side by side."""

    kind: Literal["groups"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    y: Name = Field(description="the measure")
    by: Name = Field(description="the column that sorts items")
    at: Checkpoint | None = Field(None, description="checkpoint, or a window of two")


class Rates(Figure):
    """Successes out of attempts."""

    kind: Literal["rates"]
    sorting: ClassVar[tuple[str, ...]] = ("by", "within")
    counting: ClassVar[tuple[str, ...]] = ("successes", "attempts")
    successes: Name = Field(description="column of successes")
    attempts: Name = Field(description="column of attempts")
    by: Name = Field(description="column of the condition")
    within: Name | None = Field(None, description="column of who repeats under both")


class Gauge(Figure):
    """Operators, items, repeats."""

    kind: Literal["gauge"]
    sorting: ClassVar[tuple[str, ...]] = ("operator",)
    numbering: ClassVar[tuple[str, ...]] = ("repeat",)
    y: Name = Field(description="the measure")
    operator: Name = Field(description="column of the operator")
    repeat: Name = Field(description="column that numbers the repeats")


class Limit(Figure):
    """Readings against a rule's limit."""

    kind: Literal["limit"]
    y: Name = Field(description="the measure")
    at_least: Finite | None = Field(None, description="lower limit")
    at_most: Finite | None = Field(None, description="upper limit; both make a range to stay in")
    at: Checkpoint | None = Field(None, description="checkpoint, or a window of two")
    u: NotNegative | None = Field(None, description="standard uncertainty of a reading")


AnyFigure = Annotated[
    OverUse | Scatter | ShotSeries | BallPaths | Groups | Rates | Gauge | Limit,
    Field(discriminator="kind"),
]
