"""Where the numbers of a table came from, in words: page, figure, how, and how sure."""

from __future__ import annotations

from explainer.study.model import Study, Table
from explainer.words.quantity.numbers import significant, unit_words
from explainer.words.quantity.sizes import listed
from explainer.words.quantity.when import day_words

_HOW = {
    "table": "copied as printed",
    "drawing": "read from the chart’s own drawing",
    "picture": "read off by hand",
}


def source_words(study: Study, table: Table) -> str:
    """``Figure 4, page 8, read off by hand, give or take 0.4 boards``; empty without a source."""
    lifted = table.lifted
    if lifted is None:
        return table.source
    printed = ", ".join(filter(None, (lifted.what or "", lifted.on)))
    parts = [table.source or printed, _HOW[lifted.method]]
    if lifted.method != "table" and (off := error_words(study, table)):
        parts.append(off)
    said = ", ".join(parts)
    return f"{said}, and edited since" if table.edited else said


def error_words(study: Study, table: Table) -> str:
    """``give or take 0.4 boards``; empty where there is no error, or measures of several units."""
    lifted = table.lifted
    renamed = study.description.tables[table.name].columns
    named = {renamed.get(c, c) for c in (lifted.reading_error if lifted else {})}
    measures = [m for m in table.measures if m in named] or list(table.measures)
    units = {study.measure(m).unit for m in measures}
    if not table.reading_error or len(units) != 1:
        return ""
    figures = significant(table.reading_error, 2)
    unit = units.pop()
    return f"give or take {figures} {unit_words(unit, figures == '1')}".rstrip()


def as_read_title(table: Table) -> str:
    """The heading over the points as they were read."""
    assert table.lifted is not None
    what = table.lifted.what or f"A chart on page {table.lifted.page}"
    return f"{what} as it was read"


def as_read_words(study: Study, table: Table) -> str:
    """What a reader sees in the redrawing, and how far to trust it."""
    lifted = table.lifted
    assert lifted is not None
    count = sum(len(s.points) for s in lifted.series)
    names = [s.name for s in lifted.series if s.name]
    what = f"{count} point{'s' * (count != 1)}" + (f" ({listed(names)})" if names else "")
    how = {"drawing": "read from the drawing in the report’s file",
           "picture": "read off the report by hand", "table": "copied"}[lifted.method]  # fmt: skip
    off = error_words(study, table)
    sure = f", each {off}" if off else ""
    on = f"{lifted.on}, on {day_words(lifted.read)}"
    return f"{what} {how}, {on}{sure}. Only the axes are drawn again here, not the report’s chart."
