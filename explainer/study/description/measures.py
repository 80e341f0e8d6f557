"""What was measured: term, unit, how fine the gauge reads, and what size would matter."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from explainer.study.description.base import (
    Block,
    Finite,
    Name,
    NotNegative,
    Positive,
    Text,
    UnitName,
)


class Derived(Block):
    """How a measure is worked out from others."""

    path: Name | None = Field(None, description="a table of ball paths")
    what: Literal["total hook", "entry angle", "breakpoint", "board at"] | None = Field(
        None, description="what to take from each path"
    )
    at: Finite | None = Field(None, description="for `board at`: the distance in feet")
    distance: Name = Field("distance", description="the path table's column of feet down the lane")
    board: Name = Field("board", description="the path table's column of boards")
    launch: tuple[Finite, Finite] = Field(
        (0.0, 15.0), description="feet over which the launch line is taken as straight"
    )
    difference: tuple[Name, Name] | None = Field(None, description="first measure minus second")
    ratio: tuple[Name, Name] | None = Field(None, description="first measure over second")

    @model_validator(mode="after")
    def _one_way(self) -> Derived:
        ways = [self.path is not None, self.difference is not None, self.ratio is not None]
        if sum(ways) != 1:
            raise ValueError("exactly one of path, difference and ratio")
        if self.path is not None and self.what is None:
            raise ValueError("`what` beside `path`")
        if self.what == "board at" and self.at is None:
            raise ValueError("`at` (feet) beside `board at`")
        return self


class Measure(Block):
    """A thing that was measured on each item."""

    term: Name | None = Field(None, description="its name: a glossary entry where there is one")
    means: Text | None = Field(
        None, description="your own sentence on what the term means, listed with the words used"
    )
    unit: UnitName = Field(description="its unit: microinch, board, Shore D, …")
    resolution: Positive | None = Field(None, description="smallest step the gauge shows")
    repeatability_sd: NotNegative | None = Field(
        None, description="standard deviation of repeat readings of one spot"
    )
    matters_from: Positive | None = Field(
        None, description="smallest change a bowler would notice: the equivalence margin"
    )
    pictured: Name | None = Field(
        None,
        description="what a size of `matters_from` looks like, in place of our comparison: a "
        "tenth of what a new cover reads",
    )
    more_is: Name | None = Field(
        None, description="the word for what has a larger value: rougher, or more hook (no verb)"
    )
    less_is: Name | None = Field(
        None, description="the word for what has a smaller value: smoother, or less hook"
    )
    lowest: Finite | None = Field(None, description="no reading can be below this")
    highest: Finite | None = Field(None, description="no reading can be above this")
    derived: Derived | None = Field(None, description="if it is worked out from other columns")

    @model_validator(mode="after")
    def _room(self) -> Measure:
        if None not in (self.lowest, self.highest) and self.lowest >= self.highest:  # type: ignore[operator]
            raise ValueError("`lowest` below `highest`")
        return self
