"""Verdicts on numbers that were read off a report's charts: no surer than the reading allows.

A reading moves each value by up to its error, and may by luck move a verdict to the surer side.
So each verdict is worked out again with every lifted value moved at random, somewhat further than
its error, and the least sure of the answers stands: what only some of the readings say, none of
them shows (a worst case over an interval-valued data set; Manski 2003, ch. 1, for the idea).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from explainer.claims.verdict import Code, Verdict
from explainer.study.model import Study, Table

#: How often the values are moved; the same moves every time.
DRAWS, SEED = 16, 1905
#: How far, in errors.  Simulated, claims near their line (tests/lift/test_read_off.py): moves of
#: one error left 1 verdict in 200 surer than the truth's, of 1.75 errors 1 in 1725, of two none.
FURTHER = 2.0
#: Their own uncertainty holds the error of reading already, or they have none.
_EXEMPT = ("limit", "not-testable", "repeatability")

Again = Callable[[Study], list[Verdict]]


def held_to_readings(study: Study, parts: list[Verdict], again: Again) -> list[Verdict]:
    """``parts`` with those that another reading could turn held back, and the reason named."""
    if not any(map(_measures, study.tables.values())):
        return parts
    rng = np.random.default_rng(SEED)
    others = [again(_moved(study, rng)) for _ in range(DRAWS)]
    return [
        _held(part, {other[i].code for other in others}, _error(study, part))
        for i, part in enumerate(parts)
    ]


def _measures(table: Table) -> tuple[str, ...]:
    """The measures of a table that were read off a chart, with an error."""
    if table.lifted is None or table.lifted.method == "table" or not table.reading_error:
        return ()
    return table.measures


def _moved(study: Study, rng: np.random.Generator) -> Study:
    """The study with every such value somewhere within its error, on a path of its own."""
    tables = dict(study.tables)
    for name, table in study.tables.items():
        frame = table.frame
        for measure in _measures(table):
            own = FURTHER * (table.reading_error - table.axis_error)
            shift = rng.uniform(-own, own, len(frame))
            shift += rng.uniform(-1, 1) * FURTHER * table.axis_error
            frame = frame.assign(**{measure: frame[measure].to_numpy() + shift})
        tables[name] = replace(table, frame=frame)
    return replace(study, tables=MappingProxyType(tables))


def _error(study: Study, part: Verdict) -> float:
    table = study.tables.get(part.table)
    return table.reading_error if table is not None else 0.0


def _held(part: Verdict, codes: set[Code], error: float) -> Verdict:
    if part.test.kind in _EXEMPT or codes <= {part.code} or part.code == "cannot-tell":
        return part
    code: Code = "leans" if codes | {part.code} <= {"backed", "leans"} else "cannot-tell"
    if code == part.code:
        return part
    detail = replace(part.detail, reading_error=error) if error else part.detail
    return replace(part, code=code, reasons=(*part.reasons, "reading-error"), detail=detail)
