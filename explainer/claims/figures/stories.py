"""One item followed through a figure: its start, its end, against the others, held to the gauge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explainer.claims import evidence
from explainer.claims.gauge_sight import smallest_seen
from explainer.study.description.figures import AnyFigure, OverUse, Scatter
from explainer.study.model import Study

#: With more items than this nobody follows one; all of them are in the table.
MOST = 40
#: Two changes as far apart as this are one and the same, worked out in another order.
HAIR = 1e-9


@dataclass(frozen=True)
class Story:
    """What one item did between its own first and last checkpoint, in the measure's unit."""

    item: str
    measure: str
    first: float
    last: float
    """Its checkpoints."""
    start: float
    end: float
    others: int
    """Other items that were read at both of its checkpoints."""
    further: int
    """Those of them that moved further the way it did; where it did not move, those that did."""
    seen: float | None
    """Smallest change that 95% calls more than the gauge's own scatter; None where the study does
    not know its gauge, or the readings were taken off a chart."""

    @property
    def change(self) -> float:
        return self.end - self.start


def stories(study: Study, figure: AnyFigure) -> tuple[Story, ...]:
    """A story for each item that a figure follows through use, in the order of its table.

    None for figures that follow nobody, for crowds, and for people: nobody is singled out.
    """
    if isinstance(figure, OverUse):
        table, name = study.tables[figure.table], figure.y
    elif isinstance(figure, Scatter) and figure.joined:
        table, name = evidence.operand(study, figure.y, figure.table)
    else:
        return ()
    cells = evidence.grid(table, name)
    if table.people or len(cells.uses) < 2 or not 0 < len(cells.items) <= MOST:
        return ()
    found = []
    for row, item in enumerate(cells.items):
        here = np.flatnonzero(np.isfinite(cells.values[row]))
        if len(here) < 2:
            continue
        first, last = int(here[0]), int(here[-1])
        own = float(cells.values[row, last] - cells.values[row, first])
        rest = np.delete(cells.values[:, last] - cells.values[:, first], row)
        rest = rest[np.isfinite(rest)]
        past = (
            rest > own + HAIR if own > HAIR else rest < own - HAIR if own < -HAIR
            else abs(rest) > HAIR
        )  # fmt: skip
        # A printed average is of several readings, and its gauge error is that of their mean.
        readings = float(min(cells.counts[row, first], cells.counts[row, last]))
        readings *= table.mean_of or 1
        seen = None if table.reading_error else smallest_seen(study.measure(name), readings)
        found.append(Story(
            str(item), name, float(cells.uses[first]), float(cells.uses[last]),
            float(cells.values[row, first]), float(cells.values[row, last]),
            len(rest), int(past.sum()), seen,
        ))  # fmt: skip
    return tuple(found)
