"""What a look finds, and what several looks share: the measures of a test, and judging it again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from explainer.claims import evidence
from explainer.claims.build import Case
from explainer.claims.verdict import Code, Verdict
from explainer.study.description.base import Checkpoint
from explainer.study.model import Table


@dataclass(frozen=True)
class Found:
    """What one look adds to a verdict."""

    code: Code
    """What is left of the verdict."""
    reasons: tuple[str, ...] = ()
    known: Mapping[str, Any] = field(default_factory=dict)
    """Fields of ``SecondLooks``."""
    record: Mapping[str, Any] = field(default_factory=dict)
    """Fields that every kind's record has."""
    alone: Mapping[str, Code] = field(default_factory=dict)
    """What the answers that were compared would get, each by itself."""


def read_by(case: Case) -> Iterator[tuple[Table, str]]:
    """The tables and measures that a test reads."""
    test = case.test
    name = getattr(test, "measure", None)
    if isinstance(name, str):
        yield case.study.table_of(name, test.table), name
    for key in ("x", "y"):
        if (operand := getattr(test, key, None)) is not None:
            yield evidence.operand(case.study, operand, test.table)


def points(case: Case) -> dict[str, Checkpoint]:
    """The checkpoints and windows a test names, by key; a ``by`` of text is a column."""
    given = {key: getattr(case.test, key, None) for key in ("from_", "by", "to", "at")}
    return {k: v for k, v in given.items() if isinstance(v, float | int | tuple)}


def judged_with(case: Case, tables: Mapping[str, Table]) -> Verdict:
    """The same test on other rows."""
    study = replace(case.study, tables={**case.study.tables, **tables})
    return case.kind.judge(replace(case, study=study))


def of_items(table: Table, items: set[str]) -> Table:
    """The rows of some items."""
    frame = table.frame[table.frame[table.item].astype(str).isin(items)]
    return replace(table, frame=frame, items=tuple(i for i in table.items if i in items))


def moved_there(other: Verdict, verdict: Verdict) -> tuple[str, ...]:
    """Items by which ``other`` is held back and ``verdict`` is not: each moved by more than counts,
    which neither an estimate nor its range shows."""
    alone = "items-moved" in other.reasons and "items-moved" not in verdict.reasons
    return other.detail.moved_items if alone else ()


def range_shown(v: Verdict, beside: Verdict) -> tuple[float | None, float | None]:
    """The range a verdict's strip draws, held against that of the answer ``beside``: 90% where that
    decides.  Its own where the strip shows another number; none where the two go by ranges of
    different levels, which are not to be compared."""
    strip = v.strip
    if None not in (strip, beside.strip) and strip.level != beside.strip.level:  # type: ignore[union-attr]
        return None, None
    if strip is None or strip.value is None or strip.value != v.estimate:
        return v.low, v.high
    return strip.low, strip.high
