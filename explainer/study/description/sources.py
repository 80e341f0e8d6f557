"""What was measured, on what, and where the numbers come from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from explainer.study.description.base import (
    Block,
    Finite,
    Name,
    NotNegative,
    Only,
    Positive,
    Text,
    UnitName,
    Whole,
    YesNo,
)

# What was measured: term, unit, how fine the gauge reads, and what size would matter.

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


class Report(Block):
    """The report that is explained."""

    title: Text = Field(description="the report's title, as printed")
    publisher: Name | None = Field(None, description="who published it")
    date: str | None = Field(None, description="when, as year-month-day")
    pages: Whole | None = Field(None, le=100_000, description="how many pages it has")
    link: str | None = Field(None, description="where it can be read: an https address")


class Chosen(Block):
    """Some of the items were picked, and by what."""

    by: Name = Field(description="the measure or column by whose readings they were picked")
    only: Only = Field(
        description="column: value, the items that were picked; a claim about all of them, picked "
        "or not, is left alone"
    )


class Design(Block):
    """How items came to be where they are, and what their readings share.

    Stands under ``tested``, and under a table where it holds for that table alone.
    """

    randomised: YesNo | None = Field(
        None, description="whether chance decided which item went where: yes or no"
    )
    chosen_by: Name | Chosen | None = Field(
        None,
        description="the measure or column by whose readings these items were picked (the roughest "
        "balls), which falls back by itself when it is read again; where one group alone was "
        "picked, {by: score, only: {group: coached}}",
    )
    shared_sd: NotNegative | dict[Name, NotNegative] | None = Field(
        None,
        description="standard deviation of an error that all items share at a checkpoint (the "
        "gauge off for a day), in the measure's unit; or measure: value",
    )
    reference: Name | None = Field(
        None, description="the item that was read again each time and itself does not change"
    )

    @property
    def picked_by(self) -> str | None:
        """What items were picked by, whether all of them were or some."""
        return self.chosen_by.by if isinstance(self.chosen_by, Chosen) else self.chosen_by

    @property
    def picked_alone(self) -> dict[str, str | float]:
        """Column: value of the items that were picked; empty where all were, or none."""
        return dict(self.chosen_by.only) if isinstance(self.chosen_by, Chosen) else {}


#: Columns that only together name one item, outermost first.
Nest = Annotated[tuple[Name, ...], Field(min_length=2, max_length=4)]


class Items(Block):
    """What counts as one: the part of ``tested`` that is no matter of design."""

    each: Name | Nest = Field(
        "ball",
        description="what counts as one (ball, bowler): also its column; where it takes several "
        "columns to name one, all of them, what counts as one last: [model, sample]. Then samples "
        "are compared inside their own model, and what sets models apart backs nothing",
    )
    group: Name | None = Field(None, description="the column that sorts items into groups")
    count: Whole | None = Field(None, description="how many the report says were tested")
    described: Text | None = Field(None, description="what they were, in a sentence")
    people: YesNo | None = Field(
        None, description="whether one is a person: yes or no (else by the word: bowler, player)"
    )
    names: Literal["initials", "numbers", "shown"] | None = Field(
        None,
        description="how people are named in everything published: initials (as it is without "
        "this), numbers, or shown, which needs their consent",
    )
    not_in_downloads: tuple[Name, ...] = Field(
        (), description="people whose rows stay out of the downloads; every result counts them"
    )
    not_names: tuple[Name, ...] = Field(
        (),
        description="words in your texts and groups that are somebody's name, too, and mean "
        "something else here: a town, a make",
    )

    @property
    def item(self) -> str:
        """What counts as one, in a word: also the column that names it once a table is read."""
        return self.each if isinstance(self.each, str) else self.each[-1]

    @property
    def nest(self) -> tuple[str, ...]:
        """The columns that name an item, outermost first; one where its own name is enough."""
        return (self.each,) if isinstance(self.each, str) else self.each

    @property
    def sorted_by(self) -> str | None:
        """The column that sorts items into groups: what they are nested in, where none is named."""
        return self.group or (self.nest[0] if len(self.nest) > 1 else None)

    @model_validator(mode="after")
    def _each_once(self) -> Items:
        if len(set(self.nest)) < len(self.nest):
            raise ValueError("each column once in `each`")
        return self


class Tested(Design, Items):
    """What counts as one, and how many there were."""


class UseUnit(Block):
    """A unit that listeners count in."""

    term: Name = Field(description="what one is called: game, league night")
    each: Positive = Field(description="how many steps of `use` one is: 17 shots to a game")


class Use(Block):
    """The checkpoints: how much use an item has had when it is measured."""

    column: Name = Field(description="the column that holds the checkpoint")
    term: Name | None = Field(None, description="what it is called: games rolled")
    unit: UnitName = Field("count", description="what one step is: game, shot, hour")
    zero_is_new: YesNo = Field(
        True,
        description="whether nothing was in use yet where 0 stands: no, where nobody knows how "
        "much use there had been by then; what was read at 0 is left out then, and said to be",
    )
    as_: tuple[UseUnit, ...] = Field(
        (), alias="as", max_length=6,
        description="the same in the listener's units, so that the page says how far the study "
        "reaches in each: [{term: game, each: 17}, {term: league night, each: 51}]",
    )  # fmt: skip


class RowsAre(Block):
    """A table of published averages instead of readings on items."""

    mean_of: Whole | Name = Field(
        description="how many items each printed average is of, or the column that says so"
    )
    sd: Name | None = Field(None, description="the column with the printed standard deviation")


class FileRead(Block):
    """The file of a table and what its columns are: the part that is no matter of design."""

    file: Name = Field(description="the CSV file, in the study's own folder")
    source: Text | None = Field(None, description="where the numbers stand in the report")
    reading_error: NotNegative | None = Field(
        None, description="half-width of the error of reading a chart, in the measure's unit"
    )
    tested: Tested | None = Field(None, description="if other items than the study's were tested")
    use: Use | None = Field(None, description="if use is counted differently in this table")
    order: Name | None = Field(None, description="column numbering rows within item and checkpoint")
    columns: dict[str, str] = Field(
        {},
        description="name in the file: name in this description; the same name twice takes a "
        "column of words that nothing else reads along into the download: {lot: lot}",
    )  # fmt: skip
    units: dict[str, UnitName] = Field({}, description="measure: the unit it has in this file")
    missing: tuple[str, ...] = Field((), description="marks that mean: no reading")
    rows_are: RowsAre | None = Field(None, description="set if rows are averages, not items")


class TableFile(Design, FileRead):
    """One CSV file and how to read it."""


class Excluded(Block):
    """A reading left out, and the physical cause."""

    table: Name = Field(description="the table it stands in")
    row: Whole = Field(ge=2, description="its row in the file; the header is row 1")
    why: Text = Field(description="the physical cause")
