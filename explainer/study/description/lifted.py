"""Where the numbers of a CSV file were lifted from: the file ``NAME.lifted.yaml`` beside it.

``explainer lift`` writes it; a person may.  The study reads it, the page says it.
"""

from __future__ import annotations

from pathlib import PurePosixPath
from typing import Annotated, Literal

from pydantic import Field

from explainer.study.description.base import Block, Finite, Name, NotNegative, Text, Whole

#: What follows the name of the CSV file, without its ``.csv``.
ENDING = ".lifted.yaml"
MOST_POINTS = 20_000

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Method = Literal["table", "drawing", "picture"]


class LiftedReport(Block):
    """The file the numbers were lifted from, which itself is never published."""

    file: Name = Field(description="its name when it was read")
    sha256: Sha256 = Field(description="the hash of its content, to tell one version from another")
    pages: Whole | None = Field(None, description="how many pages it has")


class LiftedAxis(Block):
    """One axis of the chart as it was read."""

    title: Text | None = Field(None, description="what is printed along it")
    scale: Literal["linear", "log"] = Field("linear", description="how its values are spaced")
    ticks: tuple[Finite, ...] = Field((), max_length=200, description="the values at its ticks")
    low: Finite = Field(description="the value at its start")
    high: Finite = Field(description="the value at its end")


class LiftedAxes(Block):
    """Both axes of a chart; names, not numbers, may stand along one of them."""

    x: LiftedAxis | None = Field(None, description="from left to right")
    y: LiftedAxis | None = Field(None, description="from bottom to top")


class LiftedSeries(Block):
    """Marks of a chart that look alike."""

    name: str = Field("", max_length=200, description="its name in the legend")
    sort: Literal["points", "line", "bars"] = Field("points", description="what was drawn")
    points: tuple[tuple[Finite | str, Finite | str], ...] = Field(
        max_length=MOST_POINTS, description="the values read: along and up"
    )


class LiftedFrom(Block):
    """Page, figure, method, error and date of one file's numbers."""

    file: Name = Field(description="the CSV file they stand in")
    csv_sha256: Sha256 | None = Field(None, description="the hash of that file when it was written")
    report: LiftedReport = Field(description="what they were lifted from")
    page: Whole = Field(description="the page, counted from the first of the file")
    to_page: Whole | None = Field(None, description="the last page, of a table over several")
    what: Text | None = Field(None, description="what the report calls it: Figure 4, Table 2")
    caption: Text | None = Field(None, description="what is printed below or above it")
    place: tuple[Finite, Finite, Finite, Finite] | None = Field(
        None, description="where on the page: left, top, right, bottom in points from its corner"
    )
    method: Method = Field(description="copied from a table, read from a drawing or off a picture")
    read: str = Field(pattern=r"^\d{4}-\d{2}-\d{2}$", description="when, as year-month-day")
    reading_error: dict[str, NotNegative] = Field(
        {}, description="column: the most a single value may be off, axis included"
    )
    axis_error: dict[str, NotNegative] = Field(
        {}, description="column: the part of it that all values share"
    )
    repeated: dict[str, NotNegative] = Field(
        {}, description="column: standard deviation of one reading, from reading it twice"
    )
    axes: LiftedAxes | None = Field(None, description="the chart's axes as read")
    series: tuple[LiftedSeries, ...] = Field((), max_length=200, description="the marks as read")
    notes: tuple[Text, ...] = Field((), max_length=50, description="what to know about it")

    @property
    def asks(self) -> str:
        """What only somebody who sees the report can tell: the first note that is a question."""
        return next((note for note in self.notes if note.endswith("?")), "")

    @property
    def on(self) -> str:
        """``page 6``, ``pages 6 and 7``, ``pages 6 to 8``."""
        if self.to_page is None or self.to_page <= self.page:
            return f"page {self.page}"
        between = "and" if self.to_page == self.page + 1 else "to"
        return f"pages {self.page} {between} {self.to_page}"


def sidecar_name(csv: str) -> str:
    """The file that says where ``csv`` came from."""
    return str(PurePosixPath(csv).with_suffix("")) + ENDING
