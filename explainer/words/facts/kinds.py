"""What each kind of test adds to the facts of a verdict: one small function each, in ``KINDS``."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from explainer.claims import evidence
from explainer.claims.association import AssociationDetail, LinkDetail
from explainer.claims.break_in import BreakInDetail
from explainer.claims.change import ChangeDetail, MovedDetail
from explainer.claims.difference import DifferenceDetail
from explainer.claims.difference_in_change import DifferenceInChangeDetail
from explainer.claims.limit import LimitDetail
from explainer.claims.rate_difference import RateDetail
from explainer.claims.repeatability import RepeatabilityDetail
from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t
from explainer.study.model import Study, Table
from explainer.study.thresholds import thresholds
from explainer.words.facts import comparatives as ways
from explainer.words.facts.drift import drift
from explainer.words.facts.further_kinds import (
    FURTHER,
    _beside,
    unit_of_gap,
)
from explainer.words.facts.items import (
    group_word,
    item_of,
    item_word,
    operator_word,
    the_ones,
)
from explainer.words.facts.kind_facts import (
    LITTLE,
    Facts,
    KindFacts,
    both_sides,
    claimed_moves,
    either_way,
    fits_margin,
    further,
    maybe_small,
    measure_facts,
    operand_name,
    past_ends,
    record_of,
    tells,
    who_was_read,
)
from explainer.words.facts.relations import claimed_side
from explainer.words.language import words
from explainer.words.quantity.numbers import (
    as_given,
    bare,
    fixed,
    percent,
    plural_of,
    rough_percent,
    rounded,
    share_words,
)
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import (
    FINE,
    Sized,
    alike,
    all_of,
    exact,
    gap_unit,
    listed,
    per_step,
    set_level,
    set_range,
    set_size,
    subtracts,
    tally,
    with_unit,
)
from explainer.words.quantity.when import at_point, past, span_words
from explainer.words.sentence import put


@tells(
    "all_same at_least claimed claimed_drop claimed_falls claimed_fell end fits "
    "margin maybe_small mean_from mean_to over past_ends rougher same scattered smoother start "
    "term wider yet_moved"
)
def _moved(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """change, no-change."""
    test = v.test
    assert isinstance(test, t.Change | t.NoChange)
    d = record_of(v, MovedDetail)
    sign = sized.sign or -1
    claimed = claimed_side(v)
    same = d.n_up if sign > 0 else d.n_down
    means = alike(d.mean_from, d.mean_to, _beside(sized, v), study.measure(test.measure).unit)
    margin = d.margin or getattr(test, "margin", None)
    counts = study.measure(test.measure).matters_from
    wider = isinstance(test, t.NoChange) and None not in (margin, counts) and margin != counts
    return {
        # A claim that it held steady may allow more than what counts elsewhere on the page, and
        # a change that is small enough for it may be there all the same.
        "past_ends": past_ends(sized, d.mean_from, study, test.measure),
        "wider": wider, "yet_moved": isinstance(test, t.NoChange) and v.code == "backed" and (
            (v.low or 0.0) * (v.high or 0.0) > 0
            or (wider and max(map(abs, _at90(d))) > (counts or 0.0))),
        **measure_facts(study, test.measure, sign, "smoother", "rougher"),
        **measure_facts(study, test.measure, claimed, "claimed"),
        **claimed_moves(claimed, getattr(test, "direction", "any")),
        "over": span_words(table, test.from_, test.to),
        "start": at_point(table, test.from_), "end": at_point(table, test.to),
        "fits": fits_margin(sized, margin),
        # That nothing moved is backed by how little did: no word that it is there.
        "maybe_small": maybe_small(sized, study, test.measure) if isinstance(test, t.Change)
        else None, "mean_from": means[0], "mean_to": means[1],
        "same": same, "all_same": same == v.n_items and v.n_items > 1,
        # Two that went alike have a wide range since they are two, and not since they differ.
        "scattered": isinstance(d, ChangeDetail) and d.d_z is not None and abs(d.d_z) <= 1,
        "margin": set_size(margin, unit_of_gap(v)),
        "at_least": set_size(d.at_least, unit_of_gap(v)),
    }  # fmt: skip


def _at90(d: MovedDetail) -> tuple[float, float]:
    return getattr(d, "low90", None) or 0.0, getattr(d, "high90", None) or 0.0


@tells(
    "a apart apart_bare at at_least averages b claimed directed fits margin "
    "maybe_small mean_a mean_b n_a n_b paired rougher smoother term tight"
)
def _apart(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """difference."""
    test = v.test
    assert isinstance(test, t.Difference)
    d = record_of(v, DifferenceDetail)
    sign = sized.sign or 1
    a, b = both_sides(test, v, study, table)
    means = alike(d.mean_a, d.mean_b, _beside(sized, v), study.measure(test.measure).unit)
    margin = d.margin
    words = measure_facts(study, test.measure, sign, "rougher", "smoother")
    low, high = (words["smoother"], words["rougher"])[::sign]
    at = f" {at_point(table, test.at)}" if test.at is not None and table is not None else ""
    return {
        **words, **measure_facts(study, test.measure, claimed_side(v), "claimed"),
        "a": a, "b": b, "directed": test.direction != "any", "paired": d.paired,
        "mean_a": means[0], "mean_b": means[1],
        "maybe_small": maybe_small(sized, study, test.measure),
        "fits": fits_margin(sized, margin), "n_a": d.n_a, "n_b": d.n_b, "at": at,
        "margin": set_size(margin, unit_of_gap(v)),
        "at_least": set_size(d.at_least, unit_of_gap(v)),
        "apart": either_way(sized, a, low, high, True),
        "apart_bare": either_way(sized, a, low, high, False),
        "averages": d.averages, "tight": _tight(v, d),
    }  # fmt: skip


def _tight(v: Verdict, d: DifferenceDetail) -> str:
    """The range of printed averages if each item's two readings are much alike; empty without."""
    if d.tight_low is None or d.tight_high is None:
        return ""
    return Sized(v.estimate, d.tight_low, d.tight_high, unit_of_gap(v)).span


def _went(change: float | None, size: str) -> str:
    """A group's own change: ``rose by 18 pins``."""
    way = "changed" if not change else "rose" if change > 0 else "fell"
    return put("{} by {}", way, size)


@tells(
    "a apart apart_bare at_least away b change_a change_b claimed directed fits "
    "margin maybe_small moved_to mover n_a n_b over paired stayer term toward went_a went_b"
)
def _changed_apart(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """difference-in-change."""
    test = v.test
    assert isinstance(test, t.DifferenceInChange)
    d = record_of(v, DifferenceInChangeDetail)
    sign, unit = sized.sign or 1, unit_of_gap(v)
    a, b = both_sides(test, v, study, table)
    words = measure_facts(study, test.measure, sign, "toward", "away")
    low, high = (words["away"], words["toward"])[::sign]
    changes = (d.change_a, d.change_b)
    first, second = (Sized(c, v.low, v.high, unit).signed for c in changes)
    sizes = [Sized(c, v.low, v.high, unit).size for c in changes]
    if not subtracts(first, second, sized):
        first, second = (with_unit(each, unit) for each in alike(*changes, sized, ""))
        told = alike(abs(d.change_a or 0.0), abs(d.change_b or 0.0), sized, "")
        sizes = [with_unit(each, unit) for each in told]
    # The gap is a less b.  Where a itself did not go that way, b went further the other way.
    ours = (d.change_a or 0) * sign > 0
    return {
        **words, **measure_facts(study, test.measure, claimed_side(v), "claimed"),
        "a": a, "b": b, "directed": test.direction != "any", "paired": d.paired,
        "mover": a if ours else b, "stayer": b if ours else a,
        "moved_to": words["toward" if ours else "away"],
        "over": span_words(table, test.from_, test.to), "change_a": first, "change_b": second,
        "went_a": _went(d.change_a, sizes[0]),
        "went_b": put("by {}", sizes[1]) if (d.change_a or 0) * (d.change_b or 0) > 0
        else _went(d.change_b, sizes[1]),
        "n_a": d.n_a, "n_b": d.n_b, "fits": fits_margin(sized, d.margin),
        "maybe_small": maybe_small(sized, study, test.measure),
        "margin": set_size(d.margin, unit),
        "at_least": set_size(d.at_least, unit),
        "apart": further(sized, a, low, high, True),
        "apart_bare": further(sized, a, low, high, False),
    }  # fmt: skip


@tells(
    "between between_step between_way flat given given_data inside inside_way levels line "
    "averaged line_step little margin margin_past "
    "one_point opposite r r_before r_end r_range r_scale share_left slope_grew slope_kept strong "
    "together within x_less x_more x_term y_claimed y_term y_then"
)
def _pair(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """association, no-association: x and y, both levels."""
    test = v.test
    assert isinstance(test, t.Association | t.NoAssociation)
    x, y = operand_name(test.x), operand_name(test.y)
    d = record_of(v, LinkDetail)
    slope = v.extra.get("slope")
    y_unit, x_unit = study.measure(y).unit, study.measure(x).unit
    end = "−1" if sized.sign < 0 else "1"
    across = (sized.low or 0) < 0 < (sized.high or 0)
    seen = evidence.seen_span(*evidence.operand(study, test.x, test.table))
    return {
        **_two_measures(study, x, y, sized.sign or 1, claimed_side(v)),
        "r": sized.signed, "r_end": end,
        "r_scale": "a scale from −1 to 1" if across else f"a scale that ends at {end}",
        "r_range": sized.span,
        "strong": d.strong, "flat": listed([study.term(name) for name in d.flat]),
        "margin": as_given(d.margin) if d.margin else None,
        "little": d.margin is None or d.margin <= LITTLE,
        # Where the whole range lies past it: on the side that the range is on.
        "margin_past": as_given(math.copysign(d.margin, sized.value or 1)) if d.margin else None,
        "one_point": at_point(table, at) if isinstance(
            at := d.shared_at if test.at is None else test.at, int | float) else "",
        "averaged": table is not None and table.use is not None and test.at is None
        and not d.shared_checkpoints and not d.unmatched and v.n_rows > v.n_items
        and not getattr(test, "within", False),
        "within": bool(getattr(test, "within", False) in (True, "yes")),
        **_slope(slope, f"{y_unit} per {x_unit}", "line", seen),
        **_levels(v, f"{y_unit} per {x_unit}", seen),
        **_held(v, study, table, sized.signed),
    }


def link_told(r: float) -> str:
    """A correlation with nothing beside it: two digits, and more where they would make it 1."""
    room = (1 - abs(r)) / 2
    return rounded(r, *(FINE if room == 0 or room > 0.003 else (-room, room)))


def _held(v: Verdict, study: Study, table: Table | None, own: str) -> Facts:
    """What was held alike, the group among it where only items of one group are compared, and the
    link with nothing held; how much of the slope is left is said only where it is a part of it."""
    d = v.detail if isinstance(v.detail, AssociationDetail) else AssociationDetail()
    names = [study.term(n) if n in study.description.measures else n.replace("_", " ")
             for n in d.given]  # fmt: skip
    if d.inside_groups:
        names.append(f"the {group_word(study, table)}")
    share = d.share_left
    left = None if share is None or not 0 <= share <= 1 else (
        "nearly all" if share > 0.995 else share_words(share)
    )  # fmt: skip
    return {
        "given": listed(names), "given_data": bool(d.given),
        # As finely as the link itself (``own``) where that is the same number: no change is shown.
        "r_before": None if d.r_before is None
        else own if f"{d.r_before:.{len(own.partition('.')[2])}f}".replace("-", "−") == own
        else link_told(d.r_before),
        # What grew by less than a twentieth reads as the same in two digits.
        "share_left": left, "slope_grew": share is not None and share >= 1.05,
        "slope_kept": share is not None and 1 < share < 1.05,
    }


@tells(
    "at_most between between_step between_way flat inside inside_way levels line_from line_over "
    "line_own mostly no_slope opposite same_sign share_words slope slope_range slope_range_unit "
    "slope_signed slope_span step together x_less x_more x_term x_went y_claimed y_said y_term "
    "y_then y_went"
)
def _journey(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """tracks-within, same-line."""
    test = v.test
    assert isinstance(test, t.TracksWithin | t.SameLine)
    x, y = operand_name(test.x), operand_name(test.y)
    d = record_of(v, LinkDetail)
    unit = f"{study.measure(y).unit} per {study.measure(x).unit}"
    within = v.estimate if isinstance(test, t.TracksWithin) else d.slope_within
    sign = -1 if (within or 0) < 0 else 1
    low, high = d.slope_within_low, d.slope_within_high
    seen = evidence.seen_span(*evidence.operand(study, test.x, test.table))
    slope = Sized(within, low, high, unit, widest=seen)
    scaled, step = per_step(slope)
    if study.measure(x).unit == "percent":  # points of what, nobody could tell
        step = put("{} of {}", step, study.term(x))
    return {
        **_two_measures(study, x, y, sign, claimed_side(v)),
        **_as_it_went(study, test.x, y, sign, claimed_side(v)),
        "slope": scaled.size, "flat": scaled.vanishes, "slope_signed": scaled.signed,
        "no_slope": v.low == v.high == 0.0,
        "slope_span": scaled.span_bare, "slope_range": scaled.slope_range,
        "slope_range_unit": scaled.slope_range_unit,
        "step": step, "same_sign": getattr(d, "items_same_sign", None),
        "share_words": sized.as_share if v.unit == "share" else "",
        "line_from": test.line_from if isinstance(test, t.SameLine) else None,
        "line_over": _line_over(v, item_of(v, study, table)),
        "line_own": getattr(d, "line_own", False), **_most(study), **_levels(v, unit, seen),
    }  # fmt: skip


def _most(study: Study) -> Facts:
    """From how much to how much counts as most of it, or as the same: ``80%`` and ``125%``."""
    zone = thresholds(study.description)
    return {"mostly": percent(zone["plateau_low"]), "at_most": percent(zone["plateau_high"])}


def _line_over(v: Verdict, item: str) -> str:
    """How many items the line between them is of, where fewer of them went along one."""
    n_line = getattr(v.detail, "n_line", None)
    return tally(n_line, item) if n_line is not None and n_line > v.n_items else ""


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
    x = operand_name(operand)
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


def _slope(value: Any, unit: str, name: str, seen: float | None) -> Facts:
    """A slope without a range, as a size for a round step."""
    if value is None:
        return {name: None, f"{name}_step": ""}
    scaled, step = per_step(Sized(value, None, None, unit, widest=seen))
    return {name: scaled.rough, f"{name}_step": step}


def _levels(v: Verdict, unit: str, seen: float | None) -> Facts:
    """The slope between items and the one within an item, side by side."""
    d = record_of(v, LinkDetail)
    between, inside = d.slope_between, d.slope_within
    found: Facts = {"between": None, "inside": None} | dict.fromkeys(
        ("between_step", "between_way", "inside_way"), "")  # fmt: skip
    if between is not None and inside is not None:
        first, step = per_step(Sized(between, None, None, unit, widest=seen), inside)
        second, _ = per_step(Sized(inside, None, None, unit, widest=seen), between)
        low, high = d.slope_within_low, d.slope_within_high
        ranged = per_step(Sized(inside, low, high, unit, widest=seen), between)[0]
        told, other = first.rough, _as_fine(second, first)
        if other == first.rough_bare and d.slopes_differ == "differ":
            told, other = _told_apart(first, second)
        other = "close to level" if low is not None and ranged.vanishes else other
        found = {"between": told, "between_step": step, "inside": other,
                 "between_way": ways.up_or_down(told, between),
                 "inside_way": ways.up_or_down(other, inside)}  # fmt: skip
    return found | {"levels": d.slopes_differ, "opposite": (between or 0) * (inside or 0) < 0}


def _told_apart(first: Sized, second: Sized) -> tuple[str, str]:
    """Two slopes that differ with as many more decimals as it takes to see it, three at most."""
    from_ = len(first.rough_bare.partition(".")[2])
    a, b = abs(first.value or 0.0), abs(second.value or 0.0)
    places = next((p for p in range(from_, from_ + 3) if fixed(a, -p) != fixed(b, -p)), from_ + 3)
    return with_unit(fixed(a, -places), first.unit), fixed(b, -places)


def _as_fine(second: Sized, first: Sized) -> str:
    """A second slope to the decimals of the first: 0.02 beside 0.89."""
    places = len(first.rough_bare.partition(".")[2])
    figures = fixed(abs(second.value or 0), -places)
    return figures if figures.strip("0.") else words("nothing")


@tells(
    "at_most before up_and_down by counted down drop end falling fell lost lower mostly over "
    "over_half overshot past_all past_most rougher share smoother term total ways_told"
)
def _share(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """break-in."""
    test = v.test
    assert isinstance(test, t.BreakIn)
    d = record_of(v, BreakInDetail)
    change = d.total_change
    sign = 1 if (change or -1) > 0 else -1
    total = Sized(change, None, None, study.measure(test.measure).unit)
    mostly = thresholds(study.description)["plateau_low"]
    return {
        **measure_facts(study, test.measure, sign, "smoother", "rougher"), **ways.moves(sign),
        "counted": f", counted from {past(table, test.from_)},"
        if isinstance(test.from_, tuple) else "",
        "by": past(table, test.by), "over": span_words(table, test.from_, test.to),
        "before": None if d.done_before is None else past(table, d.done_before),
        "end": at_point(table, test.to), "share": sized.as_share,
        "overshot": (v.estimate or 0) > 1, "total": total.size,
        **_most(study),
        **({"drop": "change"} if change is None else {}),  # nobody knows which way
        "up_and_down": d.up_and_down, "ways_told": _each_way(d, v.n_items),
        "over_half": d.share_low90 is not None and 0.5 < d.share_low90 <= mostly,
        "past_all": d.share_high90 is not None and d.share_high90 > 1,
        "past_most": d.share_low90 is not None and d.share_low90 > mostly,
    }  # fmt: skip


def _each_way(d: BreakInDetail, n: int) -> str:
    """``one went up, two went down and four did neither``; no more than there are of each."""
    there = {"went up": d.n_up, "went down": d.n_down, "did neither": n - d.n_up - d.n_down}
    return listed([f"{cardinal(count)} {way}" for way, count in there.items() if count])


@tells(
    "detects good marginal mdd mdd_bare n_operators operator operator_many operators poor "
    "past_good repeats share share_range term too_few under_good"
)
def _gauge(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """repeatability."""
    test = v.test
    assert isinstance(test, t.Repeatability)
    d = record_of(v, RepeatabilityDetail)
    unit = study.measure(test.measure).unit
    mdd, who, items = d.mdd, operator_word(test.operator), plural_of(item_of(v, study, table))
    many = plural_of(who)
    return {
        "term": study.term(test.measure), "share_range": sized.range,
        "poor": "" if d.poor is None else rounded(d.poor),
        "operators": tally(d.n_operators, who), "operator": who, "operator_many": many,
        "too_few": items if d.n_operators > 2 else many if v.n_items > 2 else f"{items} and {many}",
        "n_operators": d.n_operators, "repeats": d.repeats, "good": rounded(d.good_enough),
        "share": bare(rough_percent(v.estimate, v.low, v.high, d.good_enough, d.poor)),
        "mdd": Sized(mdd, None, None, unit).rough if mdd else None,
        "mdd_bare": Sized(mdd, None, None, unit).rough_bare if mdd else None,
        # A share of the whole is not what a gauge is held to that has to see a gap.
        "marginal": bool(not test.detects and v.estimate and d.good_enough
                         and v.estimate > d.good_enough),
        "past_good": v.low is not None and v.low > (d.good_enough or 0.0),
        "under_good": v.high is not None and v.high < (d.good_enough or 0.0),
        "detects": set_size(test.detects, unit),
    }  # fmt: skip


@tells(
    "all_read at_least exact extreme last close failed fails guard guard_bare larger_u limit "
    "limit_side none_meets on_limit passed passes right_in term two_sided unit unsure when unread"
)
def _conform(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """limit."""
    test = v.test
    assert isinstance(test, t.LimitTest)
    d = record_of(v, LimitDetail)
    item = item_word(study, table)
    by_call = {c: [r["item"] for r in d.items or () if r["call"] == c]
               for c in ("pass", "fail", "too-close")}  # fmt: skip
    unit = study.measure(test.measure).unit
    limit = test.at_least if test.at_least is not None else test.at_most
    both, guard = test.at_least is not None and test.at_most is not None, d.guard
    when = test.at if test.at is not None else d.judged_at
    on = [r for r in d.items or () if d.u == 0.0 and r["value"] in (test.at_least, test.at_most)]
    who = who_was_read(v.n_items, item, bool(d.without))
    if d.without and when is not None:  # those without one then may have been read before
        who["all_balls"] = put("{} {}", who["all_balls"], at_point(table, when))
    return {
        "on_limit": "" if not on else all_of(len(on), item) if len(on) == v.n_items
        else tally(len(on), item),
        **who, "term": study.term(test.measure), "two_sided": both, "unit": unit,
        "limit": set_range(test.at_least, test.at_most, unit) if both else set_level(limit, unit),
        "limit_side": "" if both else " or more" if test.at_least is not None else " or less",
        "at_least": test.at_least is not None, "extreme": "" if test.take == "mean" else test.take,
        "all_read": d.all_read,
        "passes": len(by_call["pass"]), "fails": len(by_call["fail"]),
        "close": len(by_call["too-close"]), "failed": the_ones(item, by_call["fail"], study, table),
        "unsure": the_ones(item, by_call["too-close"], study, table),
        "passed": the_ones(item, by_call["pass"], study, table),
        "none_meets": test.meets == "none", "exact": d.u == 0.0, "larger_u": d.larger_u,
        # Between two limits that are near one another either may be missed.
        "right_in": min([95, *(
            int(100 * (r["p_conform"] if r["call"] == "pass" else 1 - r["p_conform"]) + 0.5)
            for r in d.items or () if r["call"] != "too-close" and r["p_conform"] is not None)]),
        "guard": exact(guard, gap_unit(unit)) if guard else None,
        "guard_bare": Sized(guard, None, None, unit).rough_bare if guard else None,
        "when": at_point(table, when) if when is not None else "", "last": test.at is None,
    }  # fmt: skip


@tells(
    "a ahead apart apart_bare at_least attempts b behind claimed_ahead claimed_behind directed "
    "independent margin mix_ahead odds odds_range odds_told one_by_one pooled "
    "pooled_ahead rate_a rate_b same strata tries what"
)
def _rates(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """rate-difference."""
    test = v.test
    assert isinstance(test, t.RateDifference)
    d = record_of(v, RateDetail)
    sign = sized.sign or 1
    if d.odds:
        sign = -1 if v.estimate is not None and v.estimate < 1 else 1
    a, b = both_sides(test, v, study, table)
    pooled = d.pooled_difference
    return {
        "a": a, "b": b, "what": test.successes.replace("_", " "),
        "tries": test.attempts.replace("_", " "), "directed": test.direction != "any",
        "ahead": a if sign > 0 else b, "behind": b if sign > 0 else a,
        "claimed_ahead": a if claimed_side(v) > 0 else b,
        "claimed_behind": b if claimed_side(v) > 0 else a,
        "rate_a": percent(d.rate_a), "rate_b": percent(d.rate_b),
        "attempts": f"{d.attempts:,}",
        "independent": d.independent, "one_by_one": _one_by_one(d, item_of(v, study, table)),
        "strata": tally(d.n_strata, str(d.within).replace("_", " ")) if d.n_strata else "",
        "same": d.n_up if sign > 0 else d.n_down,
        "apart": sized.reach(f"lead for {b}", f"lead for {a}"),
        "apart_bare": sized.reach(f"lead for {b}", f"lead for {a}", unit=False),
        "pooled": Sized(pooled, None, None, "rate").rough if pooled is not None else None,
        "pooled_ahead": a if (pooled or 0) > 0 else b,
        "mix_ahead": _mix_ahead(d.mix, pooled, a, b), "odds": d.odds,
        "odds_told": bare(rounded(v.estimate)) if d.odds and v.estimate is not None else "",
        "odds_range": put("{} to {}", bare(rounded(v.low)), bare(rounded(v.high)))
        if d.odds and v.low is not None and v.high is not None else "",
        "at_least": None if d.at_least is None else as_given(d.at_least) if d.odds
        else set_size(d.at_least, "rate"),
        "margin": set_size(d.margin, "rate"),
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
    "trend": drift,
    "repeatability": _gauge,
    "limit": _conform,
    "rate-difference": _rates,
    **FURTHER,
    "not-testable": _none,
}
