"""A claim about the one item that ``only`` picked: nothing but the gauge stands between its
readings and the truth, so its range is what the gauge may be off by (JCGM 100:2008)."""

from __future__ import annotations

from collections.abc import Sequence

from explainer.analysis.result import Estimate, t_estimate
from explainer.claims.gauge_sight import gauge_of
from explainer.study.description.measures import Measure
from explainer.study.model import Table

#: Degrees of freedom of a spread that is known.
KNOWN = 1e9
METHOD = "one item, range from the gauge"


def of_one(
    table: Table, name: str, measure: Measure, items: Sequence[str], value: float, readings: float,
    times: int = 2,
) -> Estimate | None:  # fmt: skip
    """``value`` of the one item, a difference of ``times`` = 2 of its values, or one of them.

    In the measure's unit; each of its values is a mean of ``readings``.  None for more items than
    one, for one that nothing picked, and where nobody knows the gauge.
    """
    u = error_of_one(table, name, measure, items, readings)
    return t_estimate(value, u * times**0.5, KNOWN, 1, METHOD) if u else None


def error_of_one(
    table: Table, name: str, measure: Measure, items: Sequence[str], readings: float
) -> float | None:
    """Standard uncertainty of each value of the one item that a test picked, in the measure's unit.

    None for more items than one, for one that nothing picked, and where nobody knows the gauge.
    """
    if not table.picked or len(items) != 1:
        return None
    return gauge_of(measure, table, name, readings) or None


def named(result: object, items: Sequence[str]) -> str | None:
    """The item that a verdict is about alone; None where it is about items in general."""
    mine = isinstance(result, Estimate) and result.method.startswith(METHOD)
    return str(items[0]) if mine else None
