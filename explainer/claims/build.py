"""What every judge is given and hands back: the case, the kind's row, and the verdict's fields."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from explainer.analysis.result import Estimate, Interval, Undefined
from explainer.claims import evidence
from explainer.claims.detail import Detail, made
from explainer.claims.rules import Thresholds
from explainer.claims.verdict import REASONS, Code, Power, Strip, Verdict
from explainer.study.description.rule import Claim
from explainer.study.description.tests import AnyTest, ClaimTest
from explainer.study.model import Study, Table

#: Names and numbers a judge has gathered for the record of its kind.
Story = dict[str, Any]


@dataclass(frozen=True)
class ClaimKind:
    """Everything the house needs to know of a kind of claim, in one row (``kinds.py``).

    What a reader of descriptions must know of it (columns, conditions, sample sentences) stands
    with its parameters, in ``model``.
    """

    name: str
    model: type[ClaimTest]
    judge: Callable[[Case], Verdict]
    detail: type[Detail] = Detail
    """The record of this kind; its ``published`` fields are the extra numbers of the results."""
    level: float = 0.95
    """The range that decides and is drawn."""
    corrected: bool = False
    """Its p takes part in the Holm correction; equivalence, ratios and gauges do not."""
    gap: bool = False
    """Its estimate is a difference of two readings, and so counted in the unit of one."""
    ranged: bool = True
    """It is judged by an estimate with a range; else by calls, or not at all."""
    general: bool = True
    """It is about items in general, as far as the ones tested can say; else about these alone."""
    one_range: bool = True
    """Answers drawn from its range show the claim: there is no second half, no place of a jump
    and no choice among many gaps that the range is silent about."""
    sizes: bool = False
    """Its number is a size, of which none lies below nothing."""
    calls: bool = False
    """It calls each item by itself: meets, misses, too close."""
    by_margin: bool = True
    """Its verdict may rest on what is held to be worth noticing; else no margin is looked at."""
    links: bool = False
    """It is about how two measures go together from one item to the next."""
    shown_by: Mapping[str, int] = field(default_factory=dict)
    """The kinds of figure that can show it, and how telling it is there (1 comes first)."""
    thresholds: tuple[str, ...] = ()
    """The thresholds its verdict rests on."""


@dataclass(frozen=True)
class Case:
    """One test of one claim, with the study it belongs to: what every judge is given."""

    study: Study
    claim: Claim
    test: AnyTest
    limits: Thresholds
    kind: ClaimKind
    everything: Study | None = None
    """The study with all its rows, where ``only`` takes some of them."""


def table_for(case: Case, measure: str) -> Table:
    """The table a test on ``measure`` reads."""
    return case.study.table_of(measure, case.test.table)


def ordered(reasons: Iterable[str]) -> tuple[str, ...]:
    """Reasons once each, in the order of the contract."""
    given = set(reasons)
    return tuple(r for r in REASONS if r in given)


def finite(value: float | None) -> float | None:
    """None in place of what is not a number a page can show."""
    return float(value) if value is not None and math.isfinite(value) else None


def settled(
    case: Case,
    code: Code,
    estimate: Estimate,
    *,
    unit: str,
    n_rows: int,
    table: str,
    reasons: Iterable[str] = (),
    shown: Interval | None = None,
    strip: Strip | None = None,
    power: Power | None = None,
    detail: Story | None = None,
    level: float | None = None,
) -> Verdict:
    """A verdict that rests on an estimate; ``shown`` is the range to show (else 95%).

    ``level`` is that of the range which decides and is drawn, where it is not the kind's own.
    """
    interval = shown or estimate.at95
    return Verdict(
        claim=case.claim,
        test=case.test,
        code=code,
        reasons=ordered(reasons),
        estimate=finite(estimate.value),
        low=finite(interval.low),
        high=finite(interval.high),
        level=interval.level,
        unit=unit,
        p=finite(estimate.p),
        p_holm=None,
        n_items=estimate.n_items,
        n_rows=n_rows,
        method=estimate.method,
        strip=strip and drawn(strip, estimate, code, case.kind, level),
        power=power,
        detail=made(case.kind.detail, detail or {}),
        table=table,
    )


def drawn(
    strip: Strip, estimate: Estimate, code: Code, kind: ClaimKind, own: float | None = None
) -> Strip:
    """The strip with the range that decides, and the 80% one inside it.

    A claim of a change that is turned down because the change is too small to matter is turned
    down by equivalence: then the 90% range decides.
    """
    if kind.gap and strip.unit == "percent":  # percentages differ by percentage points
        strip = replace(strip, unit="percentage point")
    if strip.value != estimate.value:
        return strip
    level, ends = own or kind.level, (strip.low, strip.high)
    if code == "against" and kind.corrected and kind.gap and strip.small_zone is not None:
        low, high = strip.small_zone
        small = estimate.at90.inside(low, high) and not estimate.at95.excludes(0.0)
        if small:
            level, ends = estimate.at90.level, (estimate.at90.low, estimate.at90.high)
    at80 = estimate.at80
    return replace(strip, low=ends[0], high=ends[1], level=level, inner=(at80.low, at80.high))


def unsettled(
    case: Case,
    code: Code,
    reasons: Iterable[str],
    *,
    unit: str = "",
    n_items: int = 0,
    n_rows: int = 0,
    method: str = "",
    estimate: float | None = None,
    table: str = "",
    detail: Story | None = None,
    strip: Strip | None = None,
    power: Power | None = None,
) -> Verdict:
    """A verdict without a range: nothing to test, or too little."""
    return Verdict(
        claim=case.claim,
        test=case.test,
        code=code,
        reasons=ordered(reasons),
        estimate=finite(estimate),
        low=None,
        high=None,
        level=None,
        unit=unit,
        p=None,
        p_holm=None,
        n_items=n_items,
        n_rows=n_rows,
        method=method,
        strip=strip,
        power=power,
        detail=made(case.kind.detail, detail or {}),
        table=table,
    )


#: Why there is no range, and often no number: too few items were read, or they too seldom or by
#: too few.  Whatever else leaves none is what the readings said.
FEW_READINGS = frozenset({
    "too-few-readings", "no-checkpoints", "no-readings", "no-repeats", "unbalanced",
})  # fmt: skip
TOO_FEW = FEW_READINGS | {
    "too-few-items", "no-pairs", "no-attempts", "no-side", "one-per-side", "no-blocks", "few-steps",
    "few-in-line", "none-free", "one-operator",
}  # fmt: skip


def undefined(
    case: Case,
    result: Undefined,
    *,
    unit: str,
    n_rows: int,
    table: str,
    detail: Story | None = None,
    reasons: Iterable[str] = (),
) -> Verdict:
    """What could not be worked out, as a verdict with its reason.

    The one place that tells a design which cannot answer (too few of what it takes: not tested)
    from readings that do not (none of them moved, or all alike: it cannot be told).
    """
    few = result.why in TOO_FEW
    told = few and (result.n_items < result.fewest or result.why != "too-few-items")
    return unsettled(
        case, "not-tested" if few else "cannot-tell",
        [*reasons, "too-few-items"] if few else reasons,
        unit=unit, n_items=result.n_items, n_rows=n_rows, method=result.method,
        estimate=result.value, table=table,
        detail={**(detail or {}), "undefined": result.why,
                "takes": result.fewest if told else None},
    )  # fmt: skip


def nothing_to_test(
    case: Case, table: Table, unit: str, *checkpoints: evidence.Checkpoint | None
) -> Verdict | None:
    """Averages only, or a checkpoint nobody measured at: said before any arithmetic.

    A published average is not data on items, and past the last reading there is nothing.
    """
    if table.mean_of is not None:
        return unsettled(
            case, "not-tested", ["only-averages"], unit=unit, n_rows=len(table.frame),
            table=table.name,
            detail={"mean_of": table.mean_of, "mean_of_most": table.mean_of_most},
        )  # fmt: skip
    reaches = evidence.beyond(table, *checkpoints)
    if reaches is None:
        return None
    first, last = evidence.measured(table, evidence.axis_beyond(table, *checkpoints))
    return unsettled(
        case, "not-tested", ["beyond-data"], unit=unit, n_items=len(table.items),
        table=table.name,
        detail={"reaches": reaches, "measured_from": first, "measured_to": last},
    )  # fmt: skip
