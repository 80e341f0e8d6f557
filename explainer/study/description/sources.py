"""Where the numbers come from: the report, what was tested, how use was counted."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from explainer.study.description.base import (
    Block,
    Name,
    NotNegative,
    Text,
    UnitName,
    Whole,
    YesNo,
)


class Report(Block):
    """The report that is explained."""

    title: Text = Field(description="the report's title, as printed")
    publisher: Name | None = Field(None, description="who published it")
    date: str | None = Field(None, description="when, as year-month-day")
    pages: Whole | None = Field(None, le=100_000, description="how many pages it has")
    link: str | None = Field(None, description="where it can be read: an https address")


class Design(Block):
    """How items came to be where they are, and what their readings share.

    Stands under ``tested``, and under a table where it holds for that table alone.
    """

    randomised: YesNo | None = Field(
        None, description="whether chance decided which item went where: yes or no"
    )
    chosen_by: Name | None = Field(
        None,
        description="the measure or column by whose readings these items were picked (the roughest "
        "balls), which falls back by itself when it is read again",
    )
    shared_sd: NotNegative | dict[Name, NotNegative] | None = Field(
        None,
        description="standard deviation of an error that all items share at a checkpoint (the "
        "gauge off for a day), in the measure's unit; or measure: value",
    )
    reference: Name | None = Field(
        None, description="the item that was read again each time and itself does not change"
    )


class Items(Block):
    """What counts as one: the part of ``tested`` that is no matter of design."""

    each: Name = Field("ball", description="what counts as one (ball, bowler): also its column")
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


class Tested(Design, Items):
    """What counts as one, and how many there were."""


class Use(Block):
    """The checkpoints: how much use an item has had when it is measured."""

    column: Name = Field(description="the column that holds the checkpoint")
    term: Name | None = Field(None, description="what it is called: games rolled")
    unit: UnitName = Field("count", description="what one step is: game, shot, hour")


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
    columns: dict[str, str] = Field({}, description="name in the file: name in this description")
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
