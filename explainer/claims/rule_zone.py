"""What a reading near a rule's limit can decide: the limit with a guard band on either side.

Guarded acceptance and guarded rejection after JCGM 106:2012, 8.3 (ISO 14253-1 asks the same): a
ball is called only where the reading lies further from the limit than the gauge could be wrong.
The marks are rounded outwards to the gauge's step, so that rounding never turns a reading that
is too close into one that is called.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from explainer.analysis.limits import Call, judge_reading, standard_uncertainty
from explainer.claims import evidence
from explainer.claims.limit import LimitDetail, uncertainty
from explainer.claims.verdict import OperatorLevel, RuleReadings, RuleZone, Stand, Verdict
from explainer.study.description.figures import Gauge
from explainer.study.description.rule import Rule, RuleLimit
from explainer.study.description.tests import LimitTest, Repeatability
from explainer.study.model import Study, Table

# How a study's own items, gauge and operators stand to the limit of its rule.

def rule_readings(study: Study, verdicts: Sequence[Verdict]) -> RuleReadings:
    """What was read of the rule's measure; empty where no rule has a limit."""
    rule = study.description.rule
    if rule is None or rule.limit is None:
        return RuleReadings()
    column, desks, n_items = _desks(study, rule.limit.measure, verdicts)
    return RuleReadings(_stands(study, rule.limit, verdicts), column, desks, n_items)


def stand(
    study: Study, table: Table, limit: RuleLimit, at: float | None,
    values: Sequence[float], readings: float,
) -> Stand | None:  # fmt: skip
    """How many of ``values``, each the mean of so many readings, meet a limit.

    None where nobody knows the gauge, so that nothing can be called, or nothing was read.
    """
    rule = study.description.rule
    given = rule.u if rule is not None else None
    many = max(1, math.floor(readings))
    measure = study.measure(limit.measure)
    u, df = uncertainty(measure, table, many, given, name=limit.measure)
    if u is None or not len(values):
        return None
    calls = [judge_reading(float(v), u, limit.at_least, limit.at_most, df) for v in values]
    made = [c for c in calls if isinstance(c, Call)]
    count = {call: sum(c.call == call for c in made) for call in ("pass", "too-close", "fail")}
    return Stand(len(made), count["pass"], count["too-close"], count["fail"], at, table.name,
                 many, made[0].guard)  # fmt: skip


def _stands(
    study: Study, limit: RuleLimit, verdicts: Sequence[Verdict]
) -> tuple[Stand, ...]:
    """By the claim that judged them where there is one, so that a card says what the page says."""
    for part in (p for v in verdicts for p in v.each):
        test, detail = part.test, part.detail
        if (
            isinstance(test, LimitTest) and isinstance(detail, LimitDetail) and detail.items
            and test.measure == limit.measure and detail.u is not None
            and (test.at_least, test.at_most) == (limit.at_least, limit.at_most)
        ):  # fmt: skip
            calls = [str(item["call"]) for item in detail.items]
            at = test.at if isinstance(test.at, int | float) else detail.judged_at
            many = max(1, part.n_rows // max(1, len(calls)))
            return (Stand(
                len(calls), calls.count("pass"), calls.count("too-close"), calls.count("fail"),
                at, part.table, many, detail.guard or 0.0,
            ),)  # fmt: skip
    table = _table(study, limit.measure)
    if table is None:
        return ()
    ends = (table.checkpoints[0], table.checkpoints[-1]) if len(table.checkpoints) > 1 else (None,)
    found = []
    for at in ends:
        seen = evidence.at(table, limit.measure, at)
        each = seen.n_rows / max(1, len(seen.items))
        found.append(stand(study, table, limit, at, seen.values.tolist(), each))
    return tuple(s for s in found if s is not None)


def _table(study: Study, measure: str) -> Table | None:
    """The table of the items the study is about in which they were read most often."""
    own = [t for t in study.tables.values() if measure in t.measures and t.mean_of is None]
    each = study.description.tested.item
    ours = [t for t in own if t.item == each] or own
    return max(ours, key=lambda t: len(t.checkpoints), default=None)


def _desks(
    study: Study, measure: str, verdicts: Sequence[Verdict]
) -> tuple[str, tuple[OperatorLevel, ...], int]:
    """The operators of a gauge test (else of a gauge figure) of the measure, highest first."""
    tests = [
        (part.table, part.test.operator) for v in verdicts for part in v.each
        if isinstance(part.test, Repeatability) and part.test.measure == measure and part.table
    ]  # fmt: skip
    drawn = [
        (f.table, f.operator) for f in study.description.figures
        if isinstance(f, Gauge) and f.y == measure
    ]  # fmt: skip
    for name, operator in (*tests, *drawn):
        table = study.tables[name]
        frame = table.frame.dropna(subset=[measure])
        cells = frame.groupby([table.item, operator], sort=False, observed=True)[measure].mean()
        grid = cells.unstack(operator).dropna()
        if grid.shape[1] < 2 or not len(grid):
            continue
        levels = grid.mean()
        middle = float(np.mean(levels))
        desks = [OperatorLevel(str(who), float(level) - middle) for who, level in levels.items()]
        return operator, tuple(sorted(desks, key=lambda d: (-d.apart, d.name))), len(grid)
    return "", (), 0


CONFIDENCE = 0.95
#: A gauge test that finds this many times the uncertainty in use says that it is too small.
CLEARLY = 1.1
#: Marks tried at most; the first or second one always serves.
_TRIES = 4
#: Decimals of a mark at most.
_PLACES = 6


def rule_zone(study: Study, readings: int | None = None) -> RuleZone | None:
    """The zone about the limit of the study's rule; None where no rule has a limit.

    For the reading that the rule asks for: the average of ``mean_of``, unless ``readings`` says
    of how many.
    """
    rule = study.description.rule
    if rule is None or rule.limit is None:
        return None
    measure = study.measure(rule.limit.measure)
    many = readings or rule.mean_of or 1
    u, source = _uncertainty(study, rule, many)
    return zone(
        rule.limit.at_least, rule.limit.at_most, u, measure=rule.limit.measure,
        unit=measure.unit, step=measure.resolution, source=source, readings=many,
    )  # fmt: skip


def held_against(made: RuleZone | None, verdicts: Sequence[Verdict]) -> RuleZone | None:
    """The zone, with what a gauge test of the same measure found, and whether that is clearly more.

    The test's own number is the whole gauge: repeat readings by several operators (AIAG MSA's
    GRR), which is the standard uncertainty of one reading by anybody of them.  An average of k
    readings by one of them keeps what is between operators whole and has a k-th of the variance
    of repeats.
    """
    if made is None or made.u is None:
        return made
    found = [
        _of_average(float(part.extra["grr"]), float(part.extra["ev"] or 0.0), made.readings)
        for verdict in verdicts for part in verdict.each
        if isinstance(part.test, Repeatability) and part.test.measure == made.measure
        and part.extra.get("grr")
    ]  # fmt: skip
    if not found:
        return made
    largest = max(found)
    measured = largest if largest > CLEARLY * made.u else None
    return replace(made, measured=measured, checked=largest)


def _of_average(grr: float, ev: float, readings: int) -> float:
    """The whole gauge for an average of so many readings by one operator, in their unit."""
    if readings == 1:
        return grr
    return math.sqrt(max(0.0, grr**2 - ev**2) + ev**2 / readings)


def _uncertainty(study: Study, rule: Rule, readings: int) -> tuple[float | None, str]:
    """The rule's own ``u``; else √(repeatability²/k + resolution²/12) of k readings (JCGM 100)."""
    if rule.u is not None:
        return rule.u, "given"
    assert rule.limit is not None
    measure = study.measure(rule.limit.measure)
    u = standard_uncertainty(measure.repeatability_sd, measure.resolution, readings)
    if measure.repeatability_sd is None and u is not None:
        return u, "step"
    return u, "gauge" if u is not None else "unknown"


def zone(
    at_least: float | None,
    at_most: float | None,
    u: float | None,
    *,
    measure: str = "",
    unit: str = "",
    step: float | None = None,
    source: str = "given",
    confidence: float = CONFIDENCE,
    readings: int = 1,
) -> RuleZone:
    """The three kinds of reading about a limit, or about two; all numbers in the measure's unit.

    ``u`` is the standard uncertainty of a reading, None where nobody knows it: then nothing can
    be called, and both marks are None.  ``confidence`` is one-sided.  The marks are numbers that
    an average of ``readings`` on a gauge of that ``step`` can be held against: no such average
    lies between a mark and the end of the guard band.  Of two limits each has its own marks; those
    between them are None where no reading could be called as meeting both.  ValueError for none.
    """
    limit = at_least if at_least is not None else at_most
    if limit is None:
        raise ValueError("a rule's zone has a limit")
    blank = RuleZone(measure, unit, at_least, at_most, None, None, None, None, confidence, source,
                     readings=readings)  # fmt: skip
    if u is None:
        return blank

    def call(value: float) -> str:
        made = judge_reading(value, u, at_least, at_most, confidence=confidence)
        return made.call if isinstance(made, Call) else ""

    made = judge_reading(limit, u, at_least, at_most, confidence=confidence)
    assert isinstance(made, Call)
    guard = made.guard
    grain = (step or _grain(guard or abs(limit) or 1.0)) / readings

    def marks(line: float, inwards: int) -> tuple[float | None, float]:
        """What meets a limit and what misses it, on its two sides."""
        if not guard:
            return line, line
        inner: float | None = _mark(line + inwards * guard, grain, inwards, "pass", call)
        if call(inner or 0.0) != "pass":
            inner = None  # the other limit is too near for any reading to be sure of both
        return inner, _mark(line - inwards * guard, grain, -inwards, "fail", call)

    meets, misses = marks(limit, 1 if at_least is not None else -1)
    both = at_least is not None and at_most is not None
    meets_to, misses_from = marks(float(at_most or 0.0), -1) if both else (None, None)
    if both and (meets is None or meets_to is None or meets > meets_to):
        meets = meets_to = None
    return RuleZone(
        measure, unit, at_least, at_most, u, guard, meets, misses, confidence, source,
        readings=readings, meets_to=meets_to, misses_from=misses_from,
    )  # fmt: skip


def _mark(
    exact: float, grain: float, outwards: int, wanted: str, call: Callable[[float], str]
) -> float:
    """The first multiple of ``grain`` from ``exact`` on, outwards, that is called ``wanted``.

    Where that is a third of a step or the like, the shortest number that parts it from the
    multiple before, which is not called so.
    """
    round_: Callable[[float], int] = math.ceil if outwards > 0 else math.floor
    first = round_(round(exact / grain, 9))
    for n in range(_TRIES):
        # Powers of ten leave a tail in binary that nobody wants to read.
        value = float(f"{(first + outwards * n) * grain:.12g}")
        if call(value) == wanted:
            return _shortest(exact, value, outwards, wanted, call)
    return exact


def _shortest(
    exact: float, value: float, outwards: int, wanted: str, call: Callable[[float], str]
) -> float:
    """The number of fewest decimals from ``exact`` on, no further out than ``value``."""
    round_: Callable[[float], int] = math.ceil if outwards > 0 else math.floor
    for places in range(_PLACES):
        tried: float = round_(round(exact * 10.0**places, 9)) / 10.0**places
        if call(tried) == wanted and (value - tried) * outwards >= 0:
            return tried
    return value


def _grain(size: float) -> float:
    """A tenth of the first digit of ``size``: what is worth reading where no step is known."""
    return float(10.0 ** (math.floor(math.log10(size)) - 1))
