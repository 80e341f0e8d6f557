"""Where the numbers come from: the report, what was tested, how use was counted."""

from __future__ import annotations

from pydantic import Field

from explainer.study.description.base import Block, Name, NotNegative, Text, UnitName, Whole


class Report(Block):
    """The report that is explained."""

    title: Text = Field(description="the report's title, as printed")
    publisher: Name | None = Field(None, description="who published it")
    date: str | None = Field(None, description="when, as year-month-day")
    pages: Whole | None = Field(None, le=100_000, description="how many pages it has")
    link: str | None = Field(None, description="where it can be read: an https address")


class Tested(Block):
    """What counts as one, and how many there were."""

    each: Name = Field("ball", description="what counts as one (ball, bowler): also its column")
    group: Name | None = Field(None, description="the column that sorts items into groups")
    count: Whole | None = Field(None, description="how many the report says were tested")
    described: Text | None = Field(None, description="what they were, in a sentence")


class Use(Block):
    """The checkpoints: how much use an item has had when it is measured."""

    column: Name = Field(description="the column that holds the checkpoint")
    term: Name | None = Field(None, description="what it is called: games rolled")
    unit: UnitName = Field("count", description="what one step is: game, shot, hour")


class RowsAre(Block):
    """A table of published averages instead of readings on items."""

    mean_of: Whole = Field(description="how many items each printed average is of")
    sd: Name | None = Field(None, description="the column with the printed standard deviation")


class TableFile(Block):
    """One CSV file and how to read it."""

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


class Excluded(Block):
    """A reading left out, and the physical cause."""

    table: Name = Field(description="the table it stands in")
    row: Whole = Field(ge=2, description="its row in the file; the header is row 1")
    why: Text = Field(description="the physical cause")
