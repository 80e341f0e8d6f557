"""What each kind of test adds to the facts of a verdict: one small function each, in ``KINDS``."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from explainer.claims.agreement import AgreementDetail
from explainer.claims.association import LinkDetail
from explainer.claims.break_in import BreakInDetail
from explainer.claims.change import MovedDetail
from explainer.claims.crossing import CrossingDetail
from explainer.claims.detail import Detail
from explainer.claims.difference import DifferenceDetail
from explainer.claims.difference_in_change import DifferenceInChangeDetail
from explainer.claims.limit import LimitDetail
from explainer.claims.mean_is import MeanIsDetail
from explainer.claims.no_worse import NoWorseDetail
from explainer.claims.population_limit import PopulationLimitDetail
from explainer.claims.ranking import RankingDetail
from explainer.claims.rate_difference import RateDetail
from explainer.claims.repeatability import RepeatabilityDetail
from explainer.claims.settles import SettlesDetail
from explainer.claims.share_of_items import ShareOfItemsDetail
from explainer.claims.spread import SpreadDetail
from explainer.claims.steps import StepsDetail
from explainer.claims.trend import TrendDetail
from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t
from explainer.study.model import Study, Table
from explainer.study.thresholds import thresholds
from explainer.words.facts import comparatives as ways
from explainer.words.facts.items import item_of, item_word, named, operator_word, side
from explainer.words.facts.variants import claimed_side
from explainer.words.quantity.numbers import (
    as_given,
    fixed,
    percent,
    plural_of,
    rounded,
    share_words,
)
from explainer.words.quantity.sizes import (
    NOTHING,
    Sized,
    alike,
    exact,
    gap_unit,
    level,
    listed,
    number,
    per_step,
    reading,
    set_level,
    set_size,
    tally,
)
from explainer.words.quantity.when import at_point, past, span_words

Facts = dict[str, Any]
D = TypeVar("D", bound=Detail)


@dataclass(frozen=True)
class KindFacts:
    """What one kind of claim adds to the facts of a verdict, and the names it goes by."""

    make: Callable[[Verdict, Study, Table | None, Sized], Facts]
    names: frozenset[str]

    def __call__(self, v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
        return self.make(v, study, table, sized)


def tells(
    names: str,
) -> Callable[[Callable[[Verdict, Study, Table | None, Sized], Facts]], KindFacts]:
    """Says which facts a function gives, so that phrases can be held to them when they are read."""
    return lambda make: KindFacts(make, frozenset(names.split()))


def _of(v: Verdict, kind: type[D]) -> D:
    """The verdict's own record."""
    assert isinstance(v.detail, kind)
    return v.detail


@tells(
    "all_same at_least claimed claimed_drop claimed_falls claimed_fell claimed_other end fits "
    "has_means margin maybe_small mean_from mean_to over rougher same smoother start term"
)
def _moved(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """change, no-change."""
    test = v.test
    assert isinstance(test, t.Change | t.NoChange)
    d = _of(v, MovedDetail)
    sign = sized.sign or -1
    claimed = claimed_side(v)
    same = d.n_up if sign > 0 else d.n_down
    means = alike(d.mean_from, d.mean_to, _beside(sized, v), study.measure(test.measure).unit)
    margin = d.margin or getattr(test, "margin", None)
    return {
        **_measure_facts(study, test.measure, sign, "smoother", "rougher"),
        **_measure_facts(study, test.measure, claimed, "claimed", "claimed_other"),
        **_claimed_moves(claimed, getattr(test, "direction", "any")),
        "over": span_words(table, test.from_, test.to),
        "start": at_point(table, test.from_), "end": at_point(table, test.to),
        "fits": _fits(sized, margin), "maybe_small": _maybe_small(sized, study, test.measure),
        "mean_from": means[0], "mean_to": means[1],
        "has_means": d.mean_from is not None,
        "same": same, "all_same": same == v.n_items and v.n_items > 1,
        "margin": set_size(margin, unit_of_gap(v)),
        "at_least": set_size(d.at_least, unit_of_gap(v)),
    }  # fmt: skip


def _claimed_moves(side: int, direction: str) -> Facts:
    if direction == "any":
        return {"claimed_fell": "changed", "claimed_drop": "change", "claimed_falls": "changes"}
    words = ways.moves(side)
    falls = "falls" if side < 0 else "rises"
    return {"claimed_fell": words["fell"], "claimed_drop": words["drop"], "claimed_falls": falls}


def _measure_facts(study: Study, name: str, sign: int, this: str, other: str) -> Facts:
    """The measure's name and both ends of its scale, the end on ``sign``'s side as ``this``."""
    measure, term = study.measure(name), study.term(name)
    return {
        "term": term, this: ways.word(measure, term, sign),
        other: ways.word(measure, term, -sign),
    }  # fmt: skip


@tells(
    "a apart apart_bare at at_least averages b claimed claimed_other directed fits margin "
    "maybe_small mean_a mean_b n_a n_b paired rougher smoother term tight"
)
def _apart(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """difference."""
    test = v.test
    assert isinstance(test, t.Difference)
    d = _of(v, DifferenceDetail)
    sign = sized.sign or 1
    a, b = _sides(test, v, study, table)
    means = alike(d.mean_a, d.mean_b, _beside(sized, v), study.measure(test.measure).unit)
    margin = d.margin
    words = _measure_facts(study, test.measure, sign, "rougher", "smoother")
    low, high = (words["smoother"], words["rougher"])[::sign]
    at = f" {at_point(table, test.at)}" if test.at is not None and table is not None else ""
    return {
        **words, **_measure_facts(study, test.measure, claimed_side(v), "claimed", "claimed_other"),
        "a": a, "b": b, "directed": test.direction != "any", "paired": d.paired,
        "mean_a": means[0], "mean_b": means[1],
        "maybe_small": _maybe_small(sized, study, test.measure),
        "fits": _fits(sized, margin), "n_a": d.n_a, "n_b": d.n_b, "at": at,
        "margin": set_size(margin, unit_of_gap(v)),
        "at_least": set_size(d.at_least, unit_of_gap(v)),
        "apart": _either_way(sized, a, low, high, True),
        "apart_bare": _either_way(sized, a, low, high, False),
        "averages": d.averages, "tight": _tight(v, d),
    }  # fmt: skip


def _tight(v: Verdict, d: DifferenceDetail) -> str:
    """The range of printed averages if each item's two readings are much alike; empty without."""
    if d.tight_low is None or d.tight_high is None:
        return ""
    return Sized(v.estimate, d.tight_low, d.tight_high, unit_of_gap(v)).span


@tells(
    "a apart at_least away b change_a change_b claimed claimed_other directed fits margin "
    "maybe_small moved_to mover n_a n_b over paired stayer term toward"
)
def _changed_apart(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """difference-in-change."""
    test = v.test
    assert isinstance(test, t.DifferenceInChange)
    d = _of(v, DifferenceInChangeDetail)
    sign, unit = sized.sign or 1, unit_of_gap(v)
    a, b = _sides(test, v, study, table)
    words = _measure_facts(study, test.measure, sign, "toward", "away")
    low, high = (words["away"], words["toward"])[::sign]
    ends = [Sized(change, v.low, v.high, unit).signed for change in (d.change_a, d.change_b)]
    # The gap is a less b.  Where a itself did not go that way, b went further the other way.
    ours = (d.change_a or 0) * sign > 0
    return {
        **words, **_measure_facts(study, test.measure, claimed_side(v), "claimed", "claimed_other"),
        "a": a, "b": b, "directed": test.direction != "any", "paired": d.paired,
        "mover": a if ours else b, "stayer": b if ours else a,
        "moved_to": words["toward" if ours else "away"],
        "over": span_words(table, test.from_, test.to), "change_a": ends[0], "change_b": ends[1],
        "n_a": d.n_a, "n_b": d.n_b, "fits": _fits(sized, d.margin),
        "maybe_small": _maybe_small(sized, study, test.measure),
        "margin": set_size(d.margin, unit),
        "at_least": set_size(d.at_least, unit),
        "apart": _either_way(sized, a, low, high, True),
    }  # fmt: skip


def _fits(sized: Sized, margin: float | None) -> bool:
    """The whole range shown is too small to matter."""
    ends = (sized.low, sized.high)
    return margin is not None and all(v is not None and abs(v) <= margin for v in ends)


def _maybe_small(sized: Sized, study: Study, name: str) -> str | None:
    """What matters, in words, where the range runs from less than that to more."""
    measure = study.measure(name)
    margin = measure.matters_from
    if not margin or sized.unit == "relative":  # what matters is known in the unit, not in percent
        return None
    if sized.crosses or sized.low is None or sized.high is None:
        return None
    near, far = sorted((abs(sized.low), abs(sized.high)))
    return set_size(margin, gap_unit(measure.unit)) if near < margin < far else None


def _either_way(sized: Sized, a: str, low: ways.Word, high: ways.Word, unit: bool) -> str:
    """A range through a tie, told of ``a``: ``Plover smoother by 2 boards to rougher by 9``."""
    if not sized.crosses or sized.low is None or sized.high is None:
        return sized.reach(unit=unit)
    ends = Sized(sized.low, sized.low, sized.high, sized.unit)
    less, more = (ends.size if unit else ends.bare), replace(ends, value=sized.high).bare
    if low.noun or high.noun:
        return f"{low.alone} for {a} by {less} to {high.alone} by {more}"
    return f"{a} {low.alone} by {less} to {high.alone} by {more}"


def _sides(
    test: t.Difference | t.DifferenceInChange | t.RateDifference,
    v: Verdict, study: Study, table: Table | None,
) -> tuple[str, str]:  # fmt: skip
    """Both sides as sentences name them: ``the long pattern``, ``used balls``."""
    items = plural_of(item_of(v, study, table))
    a, b = (side(_side_name(value), test.by, items) for value in (test.a, test.b))
    return a, b


def _side_name(value: str | float) -> str:
    return value if isinstance(value, str) else number(float(value))


@tells(
    "between between_step inside levels line line_step margin opposite r r_end r_range r_scale "
    "strong together within x_less x_more x_term y_claimed y_term y_then"
)
def _pair(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """association, no-association: x and y, both levels."""
    test = v.test
    assert isinstance(test, t.Association | t.NoAssociation)
    x, y = _name(test.x), _name(test.y)
    d = _of(v, LinkDetail)
    slope = v.extra.get("slope")
    y_unit, x_unit = study.measure(y).unit, study.measure(x).unit
    end = "−1" if sized.sign < 0 else "1"
    across = (sized.low or 0) < 0 < (sized.high or 0)
    return {
        **_two_measures(study, x, y, sized.sign or 1, claimed_side(v)),
        "r": sized.signed,
        "r_end": end,
        "r_scale": "a scale from −1 to 1" if across else f"a scale that ends at {end}",
        "r_range": sized.span,
        "strong": d.strong,
        "margin": as_given(d.margin) if d.margin else None,
        "within": bool(getattr(test, "within", False) in (True, "yes")),
        **_slope(slope, f"{y_unit} per {x_unit}", "line"),
        **_levels(v, f"{y_unit} per {x_unit}"),
    }


@tells(
    "between between_step flat inside levels line_from opposite same_sign share_words slope "
    "slope_range slope_range_unit slope_signed slope_span step together x_less x_more x_term "
    "x_went y_claimed y_said y_term y_then y_went"
)
def _journey(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """tracks-within, same-line."""
    test = v.test
    assert isinstance(test, t.TracksWithin | t.SameLine)
    x, y = _name(test.x), _name(test.y)
    d = _of(v, LinkDetail)
    unit = f"{study.measure(y).unit} per {study.measure(x).unit}"
    within = v.estimate if isinstance(test, t.TracksWithin) else d.slope_within
    sign = -1 if (within or 0) < 0 else 1
    low, high = d.slope_within_low, d.slope_within_high
    slope = Sized(within, low, high, unit)
    scaled, step = per_step(slope)
    return {
        **_two_measures(study, x, y, sign, claimed_side(v)),
        **_as_it_went(study, test.x, y, sign, claimed_side(v)),
        "slope": scaled.size, "flat": scaled.size == NOTHING, "slope_signed": scaled.signed,
        "slope_span": scaled.span_bare, "slope_range": scaled.slope_range,
        "slope_range_unit": scaled.slope_range_unit,
        "step": step, "same_sign": getattr(d, "items_same_sign", None),
        "share_words": share_words(v.estimate) if v.unit == "share" else "",
        "line_from": test.line_from if isinstance(test, t.SameLine) else None,
        **_levels(v, unit),
    }  # fmt: skip


def _two_measures(study: Study, x: str, y: str, sign: int, claimed: int) -> Facts:
    """``x_more``, ``y_more`` …, and what y does as x grows (``y_then``) or was said to do."""
    mx, my, tx, ty = study.measure(x), study.measure(y), study.term(x), study.term(y)
    return {
        "x_term": tx, "y_term": ty,
        "x_more": ways.word(mx, tx, 1), "x_less": ways.word(mx, tx, -1),
        "y_then": ways.word(my, ty, sign), "y_claimed": ways.word(my, ty, claimed),
        "together": sign > 0,
    }  # fmt: skip


def _as_it_went(study: Study, operand: t.XY, y: str, sign: int, claimed: int) -> Facts:
    """``x_went``: which way x went from its first checkpoint to its last, down where nothing tells;
    and what y does then (``y_went``), or was said to do (``y_said``)."""
    x = _name(operand)
    table = study.table_of(x, None if isinstance(operand, str) else operand.table)
    way = -1
    if table.use is not None:
        means = table.frame.groupby(table.use)[x].mean().dropna()
        way = 1 if len(means) and means.iloc[-1] > means.iloc[0] else -1
    mx, my, tx, ty = study.measure(x), study.measure(y), study.term(x), study.term(y)
    return {
        "x_went": ways.word(mx, tx, way),
        "y_went": ways.word(my, ty, way * sign), "y_said": ways.word(my, ty, way * claimed),
    }  # fmt: skip


def _name(operand: t.XY) -> str:
    return operand if isinstance(operand, str) else operand.measure


def _slope(value: Any, unit: str, name: str) -> Facts:
    """A slope without a range, as a size for a round step."""
    if value is None:
        return {name: None, f"{name}_step": ""}
    scaled, step = per_step(Sized(value, None, None, unit))
    return {name: scaled.rough, f"{name}_step": step}


def _levels(v: Verdict, unit: str) -> Facts:
    """The slope between items and the one within an item, side by side."""
    d = _of(v, LinkDetail)
    between, inside = d.slope_between, d.slope_within
    found: Facts = {"between": None, "between_step": "", "inside": None}
    if between is not None and inside is not None:
        first, step = per_step(Sized(between, None, None, unit), inside)
        second, _ = per_step(Sized(inside, None, None, unit), between)
        low, high = d.slope_within_low, d.slope_within_high
        ranged = per_step(Sized(inside, low, high, unit), between)[0]
        level_ = low is not None and ranged.size == NOTHING
        found = {
            "between": first.rough, "between_step": step,
            "inside": "close to level" if level_ else _as_fine(second, first),
        }  # fmt: skip
    return {
        **found, "levels": d.slopes_differ,
        "opposite": (between or 0) * (inside or 0) < 0,
    }  # fmt: skip


def _as_fine(second: Sized, first: Sized) -> str:
    """A second slope to the decimals of the first: 0.02 beside 0.89."""
    places = len(first.rough_bare.partition(".")[2])
    figures = f"{abs(second.value or 0):,.{places}f}"
    return figures if figures.strip("0.") else NOTHING


@tells(
    "by counted down drop end falling fell lost lower mostly over overshot past_most rougher "
    "share smoother "
    "term total"
)
def _share(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """break-in."""
    test = v.test
    assert isinstance(test, t.BreakIn)
    d = _of(v, BreakInDetail)
    change = d.total_change
    sign = 1 if (change or -1) > 0 else -1
    total = Sized(change, None, None, study.measure(test.measure).unit)
    mostly = thresholds(study.description)["plateau_low"]
    return {
        **_measure_facts(study, test.measure, sign, "smoother", "rougher"), **ways.moves(sign),
        "counted": f", counted from {past(table, test.from_)},"
        if isinstance(test.from_, tuple) else "",
        "by": past(table, test.by), "over": span_words(table, test.from_, test.to),
        "end": at_point(table, test.to), "share": share_words(v.estimate),
        "overshot": (v.estimate or 0) > 1, "total": total.size, "mostly": percent(mostly),
        "past_most": d.share_low90 is not None and d.share_low90 > mostly,
    }  # fmt: skip


@tells(
    "all_same claimed_drop claimed_falls claimed_fell flat rougher same series single slope "
    "slope_range slope_range_unit slope_signed slope_span smoother step term"
)
def _drift(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """trend."""
    test = v.test
    assert isinstance(test, t.Trend)
    scaled, step = per_step(sized)
    d = _of(v, TrendDetail)
    same = d.n_up if sized.sign > 0 else d.n_down
    single = d.single
    return {
        **_measure_facts(study, test.measure, sized.sign or -1, "smoother", "rougher"),
        **_claimed_moves(claimed_side(v), test.direction),
        "series": _over(test.over, table), "slope": scaled.size, "flat": scaled.size == NOTHING,
        "slope_signed": scaled.signed, "slope_span": scaled.span_bare,
        "slope_range": scaled.reach("drift down", "drift up", unit=False),
        "slope_range_unit": scaled.slope_range_unit, "step": step, "same": same,
        "all_same": same == v.n_items and v.n_items > 1,
        "single": named(item_word(study, table), single) if single else None,
    }  # fmt: skip


def _over(column: str, table: Table | None) -> str:
    if table is not None and column == table.use:
        return table.use_term or column
    return plural_of(column.replace("_", " "))


@tells(
    "detects good marginal mdd mdd_bare n_operators ndc operator operator_many operators poor "
    "repeats share share_range term"
)
def _gauge(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """repeatability."""
    test = v.test
    assert isinstance(test, t.Repeatability)
    d = _of(v, RepeatabilityDetail)
    unit = study.measure(test.measure).unit
    mdd, who = d.mdd, operator_word(test.operator)
    return {
        "term": study.term(test.measure), "share": rounded(v.estimate, v.low, v.high),
        "operators": tally(d.n_operators, who), "operator": who, "operator_many": plural_of(who),
        "n_operators": d.n_operators,
        "repeats": d.repeats, "good": rounded(d.good_enough),
        "poor": rounded(d.poor),
        "mdd": Sized(mdd, None, None, unit).rough if mdd else None,
        "mdd_bare": Sized(mdd, None, None, unit).rough_bare if mdd else None,
        "marginal": bool(v.estimate and d.good_enough and v.estimate > d.good_enough),
        "detects": set_size(test.detects, unit),
        "ndc": fixed(d.ndc, -1) if d.ndc else None,
        "share_range": sized.range,
    }  # fmt: skip


@tells("at_least extreme last close failed fails guard guard_bare limit passes term unit unsure")
def _conform(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """limit."""
    test = v.test
    assert isinstance(test, t.LimitTest)
    d = _of(v, LimitDetail)
    calls = d.items or ()
    item = item_word(study, table)
    by_call = {c: [named(item, r["item"]) for r in calls if r["call"] == c]
               for c in ("pass", "fail", "too-close")}  # fmt: skip
    unit = study.measure(test.measure).unit
    limit = test.at_least if test.at_least is not None else test.at_most
    guard = d.guard
    return {
        "term": study.term(test.measure), "limit": set_level(limit, unit),
        "at_least": test.at_least is not None, "unit": unit,
        "passes": len(by_call["pass"]), "fails": len(by_call["fail"]),
        "close": len(by_call["too-close"]), "failed": listed(by_call["fail"][:6]),
        "unsure": listed(by_call["too-close"][:6]),
        "guard": exact(guard, unit) if guard else None,
        "guard_bare": Sized(guard, None, None, unit).rough_bare if guard else None,
        "last": past(table, d.judged_at) if d.judged_at is not None else None,
        "extreme": "" if test.take == "mean" else test.take,
    }  # fmt: skip


@tells(
    "a ahead apart apart_bare attempts b behind claimed_ahead claimed_behind directed has_rates "
    "independent mix_ahead one_by_one pooled pooled_ahead rate_a rate_b same strata tries what"
)
def _rates(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """rate-difference."""
    test = v.test
    assert isinstance(test, t.RateDifference)
    d = _of(v, RateDetail)
    sign = sized.sign or 1
    a, b = _sides(test, v, study, table)
    pooled = d.pooled_difference
    return {
        "a": a, "b": b, "what": test.successes.replace("_", " "),
        "tries": test.attempts.replace("_", " "), "directed": test.direction != "any",
        "ahead": a if sign > 0 else b, "behind": b if sign > 0 else a,
        "claimed_ahead": a if claimed_side(v) > 0 else b,
        "claimed_behind": b if claimed_side(v) > 0 else a,
        "rate_a": percent(d.rate_a), "rate_b": percent(d.rate_b),
        "has_rates": d.rate_a is not None, "attempts": f"{d.attempts:,}",
        "independent": d.independent, "one_by_one": _one_by_one(d, item_of(v, study, table)),
        "strata": tally(d.n_strata, str(d.within).replace("_", " ")) if d.n_strata else "",
        "same": d.n_up if sign > 0 else d.n_down,
        "apart": sized.reach(f"lead for {b}", f"lead for {a}"),
        "apart_bare": sized.reach(f"lead for {b}", f"lead for {a}", unit=False),
        "pooled": Sized(pooled, None, None, "rate").rough if pooled is not None else None,
        "pooled_ahead": a if (pooled or 0) > 0 else b,
        "mix_ahead": _mix_ahead(d.mix, pooled, a, b),
    }  # fmt: skip


def _one_by_one(d: RateDetail, item: str) -> str:
    """What is compared with what: ``bowler by bowler``; within strata; or all with all."""
    if d.independent and not d.n_strata:
        return "all in all"
    word = str(d.within).replace("_", " ").lower() if d.independent else item
    return f"{word} by {word}"


def _mix_ahead(mix: float | None, pooled: float | None, a: str, b: str) -> str:
    """The side that who tried it lifts, where that is what turns the pooled rates round."""
    if mix is None or pooled is None or mix * pooled <= 0:
        return ""
    return a if mix > 0 else b


def _at(test: Any, table: Table | None) -> str:
    """`` after 60 games`` where a test names a checkpoint; empty where it takes all of them."""
    point = getattr(test, "at", None)
    return f" {at_point(table, point)}" if point is not None and table is not None else ""


def _as_reading(v: Verdict, value: float | None) -> str:
    """A level as fine as the range shown supports, in the words of a reading: ``76.0 Shore D``."""
    strip = v.strip
    ends = (strip.low, strip.high) if strip is not None else (v.low, v.high)
    return reading(rounded(value, *ends), v.unit) if value is not None else "not known"


def _levels_told(v: Verdict) -> Facts:
    """The estimate and the range of a level, which is no size of a gap."""
    strip = v.strip
    low, high = (strip.low, strip.high) if strip is not None else (v.low, v.high)
    told: Facts = {"signed": _as_reading(v, v.estimate)}
    if low is not None and high is not None:
        told["span"] = f"{rounded(low, low, high)} to {_as_reading(v, high)}"
        told["span_bare"] = f"{rounded(low, low, high)} to {rounded(high, low, high)}"
    return told


@tells("about at below least mean target term within")
def _average(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """mean-is."""
    test = v.test
    assert isinstance(test, t.MeanIs)
    d = _of(v, MeanIsDetail)
    unit = study.measure(test.measure).unit
    line = next(x for x in (test.at_least, test.at_most, test.value) if x is not None)
    return {
        **_levels_told(v), "mean": _as_reading(v, v.estimate),
        "term": study.term(test.measure), "target": set_level(line, unit),
        "about": test.at_least is None and test.at_most is None,
        "least": test.at_least is not None, "within": set_size(d.tolerance, gap_unit(unit)),
        "below": v.estimate is not None and v.estimate < line, "at": _at(test, table),
    }  # fmt: skip


@tells(
    "ahead at bare_high behind claimed first groups_told means_told most order_told pairs ranks "
    "same same_size term worst"
)
def _ranked(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """ranking."""
    test = v.test
    assert isinstance(test, t.Ranking)
    d = _of(v, RankingDetail)
    items = plural_of(item_of(v, study, table))
    sign = 1 if test.direction == "higher" else -1

    def named_side(value: Any) -> str:
        return side(_side_name(value), test.by, items)

    told = [f"{named_side(g)} ({level(m, v.unit)})"
            for g, m in zip(d.ranked, d.means, strict=False)]  # fmt: skip
    term = study.term(test.measure)
    return {
        "term": term, "at": _at(test, table), "first": test.first is not None,
        "claimed": named_side(test.first) if test.first is not None else "",
        "order_told": listed([named_side(g) for g in test.order or ()], "and then"),
        "ranks": test.order is not None, "same": test.same is not None,
        "same_size": set_size(test.same, unit_of_gap(v)), "groups_told": tally(
            len(d.ranked), "group"),
        "means_told": listed(told[:8]) + (f" and {len(told) - 8} more" if len(told) > 8 else ""),
        "ahead": named_side(d.ahead) if d.ahead else "",
        "behind": named_side(d.behind) if d.behind else "",
        "most": "highest" if sign > 0 else "lowest", "worst": "lower" if sign > 0 else "higher",
        "pairs": int(d.n_pairs or 0),
        "bare_high": replace(sized, value=sized.high).size if sized.high is not None else None,
    }  # fmt: skip


@tells("a b even inside more n_a n_b paired says_more spread_a spread_b term tied where")
def _scatter(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """spread."""
    test = v.test
    assert isinstance(test, t.Spread)
    d = _of(v, SpreadDetail)
    items = plural_of(item_of(v, study, table))
    unit = gap_unit(study.measure(test.measure).unit)
    if test.by is not None:
        a, b = (side(_side_name(x), test.by, items) for x in (test.a or "", test.b or ""))
    else:
        a, b = (at_point(table, x) for x in (test.to or 0.0, test.from_ or 0.0))
    said = ways_said(test.direction)
    return {
        "term": study.term(test.measure), "a": a, "b": b, "where": test.by is None,
        "inside": d.inside, "paired": d.paired, "n_a": d.n_a, "n_b": d.n_b,
        "more": (v.estimate or 0) > 0, "even": (v.estimate or 0) < 0,
        "tied": sized.size == NOTHING, "says_more": said,
        "spread_a": Sized(d.spread_a, None, None, unit).rough if d.spread_a is not None else None,
        "spread_b": Sized(d.spread_b, None, None, unit).rough if d.spread_b is not None else None,
    }  # fmt: skip


def unit_of_gap(v: Verdict) -> str:
    """The unit of a verdict's gap; a change ``in: percent`` is in percent of what it was."""
    if getattr(v.test, "in_", None) == "percent":
        return v.unit.replace("percent", "relative", 1)
    return gap_unit(v.unit)


def _beside(sized: Sized, v: Verdict) -> Sized:
    """What means are told as finely as; no size of theirs where the gap is a ratio."""
    relative = getattr(v.test, "in_", None) == "percent"
    return Sized(None, None, None, sized.unit) if relative else sized


def _none_of(count: int) -> str:
    """A count ahead of *of 8 balls*: ``3``, ``none``."""
    return f"{count}" if count else "none"


def ways_said(direction: str) -> str:
    """What a claim of spread says of its first side against the second."""
    return {"more": "scatter more", "less": "scatter less"}.get(direction, "do not scatter alike")


@tells(
    "claimed_fell close every gauge_sees least_needed most moved needed_share out_of_reach over "
    "stayed stayers term that_way unsure went_all"
)
def _how_many(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """share-of-items."""
    test = v.test
    assert isinstance(test, t.ShareOfItems)
    d = _of(v, ShareOfItemsDetail)
    item = item_word(study, table)
    unit = gap_unit(study.measure(test.measure).unit)
    moved, close, stayed = (int(x or 0) for x in (d.moved, d.too_close, d.not_moved))
    side_ = {"up": 1, "down": -1}.get(test.direction, 0)
    return {
        "term": study.term(test.measure), "over": span_words(table, test.from_, test.to),
        "claimed_fell": ways.moves(side_)["fell"] if side_ else "changed", "every": d.every,
        "most": test.share == "most", "needed_share": percent(d.needed_share),
        "moved": moved, "close": close, "stayed": stayed,
        "that_way": _none_of(round((v.estimate or 0.0) * v.n_items)),
        "stayers": listed([named(item, i) for i in d.stayed[:6]]),
        "unsure": listed([named(item, i) for i in d.unsure[:6]]),
        "gauge_sees": Sized(d.seen_from, None, None, unit).rough if d.seen_from else None,
        "went_all": v.estimate == 1.0,
        "out_of_reach": d.out_of_reach, "least_needed": d.least_items,
    }  # fmt: skip


@tells(
    "a b grouped margin mean_a mean_b over paired term way_better way_worse where_a where_b "
    "worst worst_is_worse"
)
def _not_worse(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """no-worse."""
    test = v.test
    assert isinstance(test, t.NoWorse)
    d = _of(v, NoWorseDetail)
    items = plural_of(item_of(v, study, table))
    grouped, bad = test.by is not None, 1 if test.worse == "up" else -1
    means = alike(d.mean_a, d.mean_b, sized, study.measure(test.measure).unit)
    if test.by is not None:
        a, b = (side(_side_name(x), test.by, items) for x in (test.a or "", test.b or ""))
        where_a, where_b, over = f"for {a}", f"for {b}", ""
    else:
        a = b = ""
        where_a, where_b = at_point(table, test.to or 0.0), at_point(table, test.from_ or 0.0)
        over = span_words(table, test.from_ or 0.0, test.to or 0.0)
    unit = gap_unit(study.measure(test.measure).unit)
    return {
        "term": study.term(test.measure), "grouped": grouped, "a": a, "b": b, "over": over,
        "where_a": where_a, "where_b": where_b, "mean_a": means[0], "mean_b": means[1],
        "paired": d.paired, "margin": set_size(d.margin, unit),
        "way_worse": "higher" if bad > 0 else "lower", "way_better": "lower" if bad > 0 else
        "higher", "worst": replace(sized, value=d.worst95).size if d.worst95 is not None else None,
        "worst_is_worse": (d.worst95 or 0.0) * bad > 0,
    }  # fmt: skip


@tells(
    "by by_then early early_code early_span fails fell_first late late_code late_span margin "
    "over_early over_late term way_first"
)
def _settled(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """settles."""
    test = v.test
    assert isinstance(test, t.Settles)
    d = _of(v, SettlesDetail)
    unit = gap_unit(study.measure(test.measure).unit)
    early = Sized(d.early, d.early_low, d.early_high, unit)
    late = Sized(d.late, d.late_low90, d.late_high90, unit)
    said = {"up": 1, "down": -1}.get(test.direction, 0)
    return {
        "term": study.term(test.measure), "by": past(table, test.by),
        "by_then": at_point(table, test.by), "over_early": span_words(table, test.from_, test.by),
        "over_late": span_words(table, test.by, test.to),
        "early": early.signed, "early_span": early.span_bare, "late": late.signed,
        "late_span": late.span_bare, "fell_first": ways.moves(early.sign)["fell"],
        "way_first": ways.moves(said)["fell"] if said else "changed",
        "margin": set_size(d.margin, unit), "fails": d.fails,
        "early_code": d.early_code, "late_code": d.late_code,
    }  # fmt: skip


@tells("after began_past crossed falls last limit never over_what term when within")
def _crossed(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """crossing."""
    test = v.test
    assert isinstance(test, t.Crossing)
    d = _of(v, CrossingDetail)
    return {
        "term": study.term(test.measure),
        "limit": set_level(test.limit, study.measure(test.measure).unit),
        "over_what": _over(test.over, table), "falls": d.falls,
        "crossed": _none_of(int(d.crossed or 0)), "never": int(d.never or 0),
        "began_past": int(d.began_past or 0),
        "last": exact(d.last, v.unit) if d.last is not None else None,
        "after": None if test.after is None else exact(test.after, v.unit),
        "within": set_size(test.within, v.unit),
        "when": sized.size if v.estimate is not None else None,
    }  # fmt: skip


@tells("any_shape at bound least limit mean meeting share_of_all term")
def _population(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """population-limit."""
    test = v.test
    assert isinstance(test, t.PopulationLimit)
    d = _of(v, PopulationLimitDetail)
    limit = test.at_least if test.at_least is not None else test.at_most
    return {
        **_levels_told(v), "term": study.term(test.measure), "at": _at(test, table),
        "limit": set_level(limit, v.unit), "least": test.at_least is not None,
        "share_of_all": percent(test.share), "meeting": _none_of(int(d.meeting or 0)),
        "bound": _as_reading(v, d.bound95) if d.bound95 is not None else None,
        "mean": _as_reading(v, d.mean) if d.mean is not None else None,
        "any_shape": int(d.items_any_shape or 0),
    }  # fmt: skip


@tells("a agree_high agree_low b farther offset offset_span split_calls term tilts within")
def _agreeing(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """agreement."""
    test = v.test
    assert isinstance(test, t.Agreement)
    d = _of(v, AgreementDetail)
    items = plural_of(item_of(v, study, table))
    a, b = (side(_side_name(value), test.by, items) for value in (test.a, test.b))
    unit = unit_of_gap(v)
    offset = Sized(d.offset, d.offset_low, d.offset_high, unit)
    return {
        "term": study.term(test.measure), "a": a, "b": b,
        "within": set_size(d.tolerance, unit), "offset": offset.size,
        "offset_span": offset.span if d.offset_low is not None else None,
        "farther": "higher" if (d.offset or 0) > 0 else "lower",
        "agree_low": replace(sized, value=d.agree_low).signed if d.agree_low is not None else None,
        "agree_high": replace(sized, value=d.agree_high).signed
        if d.agree_high is not None else None,
        "tilts": d.p_slope is not None and d.p_slope < 0.05,
        "split_calls": None if d.split_calls is None else _none_of(int(d.split_calls)),
    }  # fmt: skip


@tells(
    "at claimed claimed_other each_step first_mean last_mean paired peak rises rises_claimed "
    "steps_told term turn_from turn_to turns"
)
def _stepped(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """steps."""
    test = v.test
    assert isinstance(test, t.Steps)
    d = _of(v, StepsDetail)
    means = [m for m in d.means if m == m]
    unit = study.measure(test.measure).unit
    return {
        **_measure_facts(study, test.measure, claimed_side(v), "claimed", "claimed_other"),
        "at": _at(test, table), "steps_told": listed(list(d.steps[:8])), "paired": d.paired,
        "each_step": replace(sized, value=d.per_step).size if d.per_step is not None else None,
        "rises": (d.per_step or 0) > 0, "rises_claimed": claimed_side(v) > 0,
        "first_mean": level(means[0], unit) if means else None,
        "last_mean": level(means[-1], unit) if means else None,
        "turns": d.turns, "turn_from": d.turn_from, "turn_to": d.turn_to, "peak": d.peak,
    }  # fmt: skip


@tells("")
def _none(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """not-testable."""
    return {}


KINDS: Mapping[str, KindFacts] = {
    "change": _moved,
    "no-change": _moved,
    "difference": _apart,
    "difference-in-change": _changed_apart,
    "association": _pair,
    "no-association": _pair,
    "tracks-within": _journey,
    "same-line": _journey,
    "break-in": _share,
    "trend": _drift,
    "repeatability": _gauge,
    "limit": _conform,
    "rate-difference": _rates,
    "mean-is": _average,
    "ranking": _ranked,
    "spread": _scatter,
    "share-of-items": _how_many,
    "no-worse": _not_worse,
    "settles": _settled,
    "crossing": _crossed,
    "population-limit": _population,
    "agreement": _agreeing,
    "steps": _stepped,
    "not-testable": _none,
}
