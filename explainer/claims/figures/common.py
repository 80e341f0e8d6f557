"""Small pieces that several kinds of figure share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence
from explainer.claims.change import mean_over
from explainer.claims.evidence import labels
from explainer.claims.verdict import Verdict
from explainer.study.model import Study, Table

Row = tuple[str | float | None, ...]


def groups_of(table: Table, column: str | None) -> dict[str, str]:
    """Each item's group: the first value of the column in its rows."""
    name = column or table.group
    if name is None or name not in table.frame:
        return {}
    first = table.frame.drop_duplicates(table.item)
    return dict(zip(first[table.item].astype(str), labels(first[name]), strict=True))


def models_of(study: Study, table: Table, items: Sequence[str]) -> dict[str, str]:
    """The group of each item by which claims count (``evidence.groups_of``); empty for none."""
    found = evidence.groups_of(study, (table,), items)
    return {} if found is None else dict(zip(items, found.tolist(), strict=True))


def mean_of(
    values: evidence.Floats, items: Sequence[str], models: Mapping[str, str]
) -> Estimate | Undefined:
    """The mean over items as a claim takes it: each of the ``models`` once, where there are two of
    them or more and not one for every item."""
    return mean_over(values, counted_once(items, models), None)


def counted_once(items: Sequence[str], models: Mapping[str, str]) -> evidence.Words | None:
    """The model of each item, where a mean counts each of them once."""
    of = np.array([models.get(item, "") for item in items])
    return of if models and 2 <= np.unique(of).size < len(items) else None


def number_rows(rows: Iterable[Sequence[str | float | int | None]]) -> tuple[Row, ...]:
    """Rows of plain text and floats."""
    return tuple(
        tuple(c if c is None or isinstance(c, str) else float(c) for c in row) for row in rows
    )


def reaches(verdicts: Sequence[Verdict], measure: str) -> float | None:
    """The furthest checkpoint past the data that a claim on this measure speaks of."""
    far = [
        part.detail.reaches
        for v in verdicts
        for part in v.each
        if part.detail.reaches is not None and "beyond-data" in part.reasons
        if getattr(part.test, "measure", None) == measure
    ]
    return max(far, default=None)


def ends(result: Estimate | Undefined | None) -> tuple[float | None, float | None]:
    """The 95% range, or two Nones where there is none."""
    if not isinstance(result, Estimate):
        return None, None
    return result.at95.low, result.at95.high
