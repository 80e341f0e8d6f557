"""``difference``: one group of items against another, or one item under two conditions."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import grouped
from explainer.analysis.difference import paired_from_printed, welch, welch_from_printed
from explainer.analysis.power import items_for_difference, smallest_mean_effect
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
    undefined,
)
from explainer.claims.change import change_power, change_strip, gauge_floor, in_groups, mean_over
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import in_gap, named, of_one
from explainer.claims.verdict import Code, Power, Verdict
from explainer.study.description.sources import Measure
from explainer.study.description.tests import Difference, DifferenceInChange
from explainer.study.model import Study, Table

# ``difference`` from what a report prints: mean, standard deviation and count of each side.
# That is enough for Welch's range between different items. For the same items twice the spread of
# their differences is missing; it lies between what two correlations of an item's readings give,
# and so does the answer: both ranges are worked out, the wider one is shown, and where they
# disagree the verdict is the weaker.

#: How alike an item's two readings may be: not at all, to nearly the same.  Items that read high
#: once read high again, so that a negative correlation is left out.
CORRELATIONS = (0.0, 0.9)


@dataclass(frozen=True)
class Printed:
    """One side as printed."""

    mean: float
    sd: float
    n: int


def of_averages(case: Case, table: Table) -> Verdict | None:
    """The verdict from printed numbers; None where a side has no single row with mean, SD and n."""
    test = case.test
    assert isinstance(test, Difference)
    a, b = (printed(table, test, value) for value in (test.a, test.b))
    if a is None or b is None:
        return None
    measure = case.study.measure(test.measure)
    paired = test.within is not None or test.by == table.use
    detail: Story = {
        "a": str(test.a), "b": str(test.b), "by": test.by, "paired": paired, "averages": True,
        "mean_a": a.mean, "mean_b": b.mean, "n_a": a.n, "n_b": b.n, "mean_of": table.mean_of,
        "margin": measure.matters_from, "at_least": test.at_least,
    }  # fmt: skip
    if paired:
        return _paired(case, table, measure, a, b, detail)
    result = welch_from_printed(a.mean, a.sd, a.n, b.mean, b.sd, b.n)
    if isinstance(result, Undefined):
        return undefined(case, result, unit=measure.unit, n_rows=2, table=table.name, detail=detail)
    return _verdict(case, table, measure, result, _code(case, measure, result), [], detail)


def printed(table: Table, test: Difference, value: str | float) -> Printed | None:
    """Mean, SD and count that one row prints for a side; None unless it is one row with all."""
    if test.by == table.use:
        rows = table.frame[table.frame[test.by] == float(value)]
    else:
        rows = evidence.only(table, test.by, value).frame
        if test.at is not None and table.use is not None and isinstance(test.at, float):
            rows = rows[rows[table.use] == test.at]
    if len(rows) != 1 or table.sd_column is None or table.mean_of is None:
        return None
    mean, sd = float(rows[test.measure].iloc[0]), float(rows[table.sd_column].iloc[0])
    n = table.mean_of if table.n_column is None else rows[table.n_column].iloc[0]
    if not (math.isfinite(mean) and math.isfinite(sd) and sd >= 0 and math.isfinite(n)):
        return None
    return Printed(mean, sd, int(n))


def _paired(
    case: Case, table: Table, measure: Measure, a: Printed, b: Printed, detail: Story
) -> Verdict:
    """Both ends of what the missing correlation leaves open."""
    n = min(a.n, b.n)
    ends = [paired_from_printed(a.mean, a.sd, b.mean, b.sd, n, r) for r in CORRELATIONS]
    found = [e for e in ends if isinstance(e, Estimate)]
    if len(found) < len(ends):
        missing = next(e for e in ends if isinstance(e, Undefined))
        return undefined(case, missing, unit=measure.unit, n_rows=2, table=table.name,
                         detail=detail)  # fmt: skip
    codes = [_code(case, measure, e) for e in found]
    wide = max(found, key=lambda e: e.at95.high - e.at95.low)
    tight = min(found, key=lambda e: e.at95.high - e.at95.low)
    detail |= {"tight_low": tight.at95.low, "tight_high": tight.at95.high}
    return _verdict(case, table, measure, wide, rules.between(*codes), ["only-averages"], detail)


def _code(case: Case, measure: Measure, e: Estimate) -> Code:
    assert isinstance(case.test, Difference)
    side = rules.SIDE[case.test.direction]
    return rules.directed(e, side, case.test.at_least, measure.matters_from)


def _verdict(
    case: Case, table: Table, measure: Measure, e: Estimate, code: Code, reasons: list[str],
    detail: Story,
) -> Verdict:  # fmt: skip
    test, margin = case.test, measure.matters_from
    assert isinstance(test, Difference)
    side = rules.SIDE[test.direction]
    if margin is not None and e.at95.excludes(0) and e.at90.inside(-margin, margin):
        reasons.append("real-but-small")
    return settled(
        case, code, e, unit=measure.unit, n_rows=2, table=table.name, reasons=reasons,
        strip=change_strip(e, side, test.at_least, measure),
        detail={**detail, "p_line": rules.p_of_size(e, side, test.at_least)},
    )  # fmt: skip


#: Items there must be besides one for each group on each side.
FEWEST_SPARE = 2


@dataclass(frozen=True)
class Sides:
    """One number per item on each side; paired sides list the same items in the same order."""

    a: evidence.Floats
    b: evidence.Floats
    items_a: tuple[str, ...]
    items_b: tuple[str, ...]
    paired: bool
    n_rows: int
    twice: tuple[str, ...] = ()
    """Names on both sides of sides that are not paired."""
    without: tuple[str, ...] = ()
    """Names on one side only, of sides that are."""
    groups: tuple[evidence.Words, evidence.Words] | None = None
    """The group of each item (``in_their_groups``), where each group counts once."""

    @property
    def means(self) -> tuple[float | None, float | None]:
        """Of a and of b, each group once where they come in groups."""
        if self.groups is None:
            return mean(self.a), mean(self.b)
        a, b = (grouped.group_means(values, of).mean()
                for values, of in zip((self.a, self.b), self.groups, strict=True))  # fmt: skip
        return float(a), float(b)

    def gap(self) -> float:
        """a minus b, as ``compare`` has it; NaN where a side is empty."""
        if self.groups is None:
            return float(self.a.mean() - self.b.mean()) if len(self.a) and len(self.b) else math.nan
        return float(np.mean(self.gaps())) if len(self.gaps()) else math.nan

    def gaps(self) -> evidence.Floats:
        """a minus b of each group that stands on both sides."""
        assert self.groups is not None
        of_a, of_b = self.groups
        both = sorted(set(of_a.tolist()) & set(of_b.tolist()))
        return np.array([self.a[of_a == g].mean() - self.b[of_b == g].mean() for g in both])

    def leaving(self, i: int, side: str) -> Sides:
        """Without item i of one side, and of both where they are paired."""
        on_a, on_b = side == "a" or self.paired, side == "b" or self.paired
        of = self.groups and tuple(
            np.delete(g, i) if on else g for g, on in zip(self.groups, (on_a, on_b), strict=True)
        )
        return replace(self, a=np.delete(self.a, i) if on_a else self.a,
                       b=np.delete(self.b, i) if on_b else self.b, groups=of)  # type: ignore[arg-type]

    def story(self) -> Story:
        """How many groups there are, and whether they went both ways."""
        if self.groups is None:
            return {}
        of_a, of_b = self.groups
        gaps = self.gaps()
        # Of other items on the two sides, each scatters about its own side's.
        cells = of_a if self.paired else [*((0, g) for g in of_a), *((1, g) for g in of_b)]
        return {"n_groups": len(gaps), "groups_apart": self._both_ways(gaps),
                "with_mates": grouped.with_mates([str(cell) for cell in cells]),
                "groups_uneven": any(map(evidence.uneven, (of_a, of_b)))}  # fmt: skip


    def _both_ways(self, gaps: evidence.Floats) -> bool:
        """Whether the groups' own gaps plainly go both ways (``grouped.both_ways``)."""
        assert self.groups is not None
        of_a, of_b = self.groups
        both = np.intersect1d(of_a, of_b)
        if self.paired:
            counts = np.array([1 / (of_a == g).sum() for g in both])
            return grouped.both_ways(gaps, self.a - self.b, of_a, counts)
        parts = np.array([1 / (of_a == g).sum() + 1 / (of_b == g).sum() for g in both])
        cells = np.concatenate((np.char.add(of_a, " a"), np.char.add(of_b, " b")))
        return grouped.both_ways(gaps, np.concatenate((self.a, self.b)), cells, parts)


@dataclass(frozen=True, kw_only=True)
class SidesDetail(Detail):
    """`difference` and `difference-in-change`: who stands on which side."""

    a: str = ""
    b: str = ""
    by: str = ""
    paired: bool = False
    n_a: int = 0
    n_b: int = 0
    twice: tuple[str, ...] = ()
    """Names on both sides of sides that are not paired."""


@dataclass(frozen=True, kw_only=True)
class DifferenceDetail(SidesDetail):
    averages: bool = False
    """Worked out from a printed mean, SD and count of each side."""
    tight_low: float | None = None
    """The same items twice, from averages: the range if an item's readings are much alike."""
    tight_high: float | None = None
    mean_a: float | None = published("Mean of the first", "measure", beside="mean_b")
    mean_b: float | None = published("Mean of the second", "measure", beside="mean_a")


def judge(case: Case) -> Verdict:
    """Welch's interval between groups, the paired t interval within (methods: Welch 1947)."""
    test = case.test
    assert isinstance(test, Difference)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if table.mean_of is not None and (printed := of_averages(case, table)):
        return printed
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    sides = in_their_groups(case.study, table, split(table, test), test.by)
    means = dict(zip(("mean_a", "mean_b"), sides.means, strict=True))
    return judged(case, table, measure, sides, gauge_floor(measure), means)


def judged(
    case: Case, table: Table, measure: Measure, sides: Sides, floor_sd: float | None, more: Story
) -> Verdict:
    """The verdict on a against b, whatever each item's number is: a reading, or a change.

    ``floor_sd`` is the least spread that the difference of two such numbers can have; ``more``
    goes into the record of the kind.
    """
    test = case.test
    assert isinstance(test, Difference | DifferenceInChange)
    margin = measure.matters_from
    detail: Story = {
        "a": str(test.a), "b": str(test.b), "by": test.by, "paired": sides.paired, **more,
        "margin": margin, "at_least": test.at_least, "n_a": len(sides.a), "n_b": len(sides.b),
        **sides.story(),
    }  # fmt: skip
    n_items = len(set(sides.items_a) | set(sides.items_b))
    if not sides.paired and min(len(sides.a), len(sides.b)) < 2:
        return undefined(
            case, Undefined(_too_few(sides), n_items, value=_gap(sides)), unit=measure.unit,
            n_rows=sides.n_rows, table=table.name, reasons=lacking(sides), detail=detail,
        )  # fmt: skip
    alone = pair_of_one(table, test.measure, measure, sides) \
        if isinstance(test, Difference) else None
    result = alone or compare(sides, floor_sd)
    detail["one_item"] = named(result, sides.items_a)
    if isinstance(test, Difference):
        result = in_gap(result, table, test.measure, test)
    if isinstance(result, Undefined):
        return undefined(case, result, unit=measure.unit, n_rows=sides.n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    result = replace(result, n_items=n_items)  # a name on both sides is one item
    side = rules.SIDE[test.direction]
    code = rules.directed(result, side, test.at_least, margin)
    detail["p_line"] = rules.p_of_size(result, side, test.at_least)
    reasons: list[str] = []
    detail["without"] = list(sides.without)
    if sides.twice:
        # Taken as separate items, which they may not be: until the study says, it only leans.
        detail["twice"] = list(sides.twice)
        code = rules.demoted(code)
        reasons.append("pairs")
    if margin is not None and result.at95.excludes(0) and result.at90.inside(-margin, margin):
        reasons.append("real-but-small")
    code = _doubted(code, sides, result, case, reasons, detail)
    if sides.groups is not None:
        agree = rules.groups_agree(sides.gaps().tolist(), code, side, test.at_least, margin)
        code = in_groups(code, detail, reasons, agree)
    if code == "cannot-tell" and min(len(sides.a), len(sides.b)) <= 3 and not detail["one_item"]:
        reasons.append("too-few-items")
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=sides.n_rows, table=table.name, reasons=reasons,
        strip=change_strip(result, side, test.at_least, measure),
        power=_power(case, sides, result, test.at_least or margin, measure.unit), detail=detail,
    )  # fmt: skip


def pair_of_one(
    table: Table, name: str, measure: Measure, sides: Sides
) -> Estimate | Undefined | None:
    """The one item that a test picked, under both conditions; None where there are more."""
    if not sides.paired or len(sides.items_a) != 1:
        return None
    value = float(sides.a[0] - sides.b[0])
    return of_one(table, name, measure, sides.items_a, value, max(1.0, sides.n_rows / 2))


def _too_few(sides: Sides) -> str:
    return "no-side" if lacking(sides) else "one-per-side"


def lacking(sides: Sides) -> list[str]:
    """``one-group`` where nothing at all was read on one of the sides."""
    return [] if len(sides.a) and len(sides.b) else ["one-group"]


def set_against(
    case: Case, table: Table, name: str, sides: Sides, detail: Story
) -> Estimate | Verdict:
    """The gap between two sides' readings of a measure, or the verdict where there is none.

    ``detail`` is what the verdict's record holds so far; whether it is about one item goes there.
    """
    measure = case.study.measure(name)
    if not sides.paired and min(len(sides.a), len(sides.b)) < 2:
        none = Undefined(_too_few(sides), len(set(sides.items_a) | set(sides.items_b)))
        return undefined(case, none, unit=measure.unit, n_rows=sides.n_rows, table=table.name,
                         reasons=lacking(sides), detail=detail)  # fmt: skip
    alone = pair_of_one(table, name, measure, sides)
    result = alone or compare(sides, gauge_floor(measure))
    result = in_gap(result, table, name, case.test)
    if isinstance(result, Estimate):  # a name on both sides is one item
        result = replace(result, n_items=len(set(sides.items_a) | set(sides.items_b)))
    detail["one_item"] = named(result, sides.items_a)
    if isinstance(result, Undefined):
        return undefined(case, result, unit=measure.unit, n_rows=sides.n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    return result


def compare(sides: Sides, floor_sd: float | None) -> Estimate | Undefined:
    """a minus b; ``floor_sd`` is the least spread of a difference of two readings.

    Where items come in groups, inside each of them, and each group once.
    """
    of = sides.groups
    if sides.paired:
        return mean_over(sides.a - sides.b, of and of[0], floor_sd)
    if of is not None:
        return grouped.gap_within_groups(sides.a, of[0], sides.b, of[1],
                                         floor_sd=floor_sd and floor_sd / math.sqrt(2))  # fmt: skip
    return welch(sides.a, sides.b, floor_sd=floor_sd and floor_sd / math.sqrt(2))


def in_their_groups(study: Study, table: Table, sides: Sides, by: str | None) -> Sides:
    """``sides`` with the group of each item, where the study says that items come in groups.

    Not where the groups are what is compared, nor where the two sides are not of the same groups
    (then nothing can be set apart from them), nor with fewer than two items to spare in the cells.
    """
    every = tuple(dict.fromkeys((*sides.items_a, *sides.items_b)))
    found = None if by == table.group else evidence.groups_of(study, (table,), every)
    if found is None:
        return sides
    of = dict(zip(every, found.tolist(), strict=True))
    of_a, of_b = (np.array([of[i] for i in items]) for items in (sides.items_a, sides.items_b))
    cells = len(set(of_a.tolist())) * (1 if sides.paired else 2)
    many = len(sides.a) + (0 if sides.paired else len(sides.b))
    if set(of_a.tolist()) != set(of_b.tolist()) or many - cells < FEWEST_SPARE:
        return sides
    return replace(sides, groups=(of_a, of_b))


def split(table: Table, test: Difference) -> Sides:
    """Items (or the same items, twice) on the two sides of ``by``."""
    if test.by == table.use:
        a = evidence.at(table, test.measure, float(test.a))
        b = evidence.at(table, test.measure, float(test.b))
    else:
        a = evidence.at(evidence.only(table, test.by, test.a), test.measure, test.at)
        b = evidence.at(evidence.only(table, test.by, test.b), test.measure, test.at)
    shared = [i for i in a.items if i in set(b.items)]
    rows = a.n_rows + b.n_rows
    if not _pairs(table, test, a, b, shared):
        return Sides(a.values, b.values, a.items, b.items, False, rows, tuple(shared))
    left, right = a.as_dict(), b.as_dict()
    return Sides(
        np.array([left[i] for i in shared], dtype=float),
        np.array([right[i] for i in shared], dtype=float),
        tuple(shared), tuple(shared), True, rows,
        without=tuple(i for i in (*a.items, *b.items) if i not in set(shared)),
    )  # fmt: skip


def _pairs(
    table: Table, test: Difference, a: evidence.ItemValues, b: evidence.ItemValues,
    shared: list[str],
) -> bool:  # fmt: skip
    """Items are pairs where the study says so, or all stand on both sides; or by use, which is
    the same item at two checkpoints by its nature.  A few names on both sides make no pairs."""
    if test.within is not None or (test.by == table.use and shared):
        return True
    return bool(shared) and set(a.items) == set(b.items)


def mean(values: evidence.Floats) -> float | None:
    return float(values.mean()) if len(values) else None


def _gap(sides: Sides) -> float | None:
    a, b = mean(sides.a), mean(sides.b)
    return None if a is None or b is None else a - b


def _doubted(
    code: Code,
    sides: Sides,
    result: Estimate,
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile where leaving one item out turns the difference round or halves it."""
    test = case.test
    assert isinstance(test, Difference | DifferenceInChange)
    margin = case.study.measure(test.measure).matters_from
    small = result.at90.inside(-(margin or 0), margin or 0)
    if code not in ("backed", "leans", "against") or small or detail["one_item"]:
        return code
    left = [sides.leaving(i, "a") for i in range(len(sides.a))]
    names = sides.items_a
    if not sides.paired:
        left += [sides.leaving(i, "b") for i in range(len(sides.b))]
        names += sides.items_b
    found = [one.gap() for one in left]
    without = [v if math.isfinite(v) else None for v in found]
    fragile, which = rules.carried(
        code, result.value, without, case.limits["fragile_halving"],
        rules.SIDE[test.direction], test.at_least,
    )  # fmt: skip
    if not fragile:
        return code
    reasons.append("fragile")
    detail |= {"fragile_item": names[which], "fragile_without": without[which]}
    return rules.unseated(code)


def power_of_gap(
    case: Case, sides: Sides, result: Estimate, size: float | None, unit: str
) -> Power:
    """What these items could see, from the spread of the pairs or that on either side; of items in
    groups from that inside the groups, which alone is in the range."""
    of = None if sides.groups is None else result
    if sides.paired:
        return change_power(sides.a - sides.b, size, unit, case.limits, of)
    inside = np.concatenate((sides.a - sides.a.mean(), sides.b - sides.b.mean()))
    return change_power(inside * 2, size, unit, case.limits, of)


def _power(
    case: Case, sides: Sides, result: Estimate, size: float | None, unit: str
) -> Power:
    if sides.paired or sides.groups is not None:
        return power_of_gap(case, sides, result, size, unit)
    # Half of those to come on each side, each with its own spread, as Welch's range has it.
    sd = float(np.sqrt((sides.a.var(ddof=1) + sides.b.var(ddof=1)) / 2))
    if sd <= 0:
        return Power(None, None, size, unit)
    power = case.limits["power"]
    per_side = items_for_difference(size, sd, power) if size else None
    # What these very sides show, as unlike in number and in spread as they are: as Welch's range.
    n = (result.df or 0.0) + 1
    least = smallest_mean_effect(n, (result.se or 0.0) * math.sqrt(n), power)
    return Power(least, per_side and 2 * per_side, size, unit)
