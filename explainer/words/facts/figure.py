"""What phrases may say of a figure: its findings and axes in words, by kind of figure.

``figure_facts`` gives one flat mapping; each kind adds its own in one small function of
``KINDS``.  A finding that a figure does not have is None (``early``, ``odd`` …), so a phrase
asks for it first: ``{% if odd %}``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

from explainer import units
from explainer.claims import evidence
from explainer.claims.figure_data import PANELS, SHOTS, GroupsData, ScatterData, ShotSeriesData
from explainer.claims.verdict import FigureResult, Finding
from explainer.study.description import figures as f
from explainer.study.model import Study, Table
from explainer.words.facts import comparatives as ways
from explainer.words.facts.figure_limit import limit_facts
from explainer.words.facts.figure_paths import ball_paths
from explainer.words.facts.figure_sizes import (
    Facts,
    Found,
    ahead,
    at_most,
    barred,
    ends_of,
    measure_of,
    signed_of,
)
from explainer.words.facts.items import (
    group_word,
    item_word,
    named,
    operator_word,
    people,
    pronouns,
    set_in,
    side,
    sort_of,
)
from explainer.words.facts.kind_facts import fits_margin, past_ends, short_of
from explainer.words.language import words
from explainer.words.quantity.everyday import Things, beside_a_hair, everyday
from explainer.words.quantity.numbers import (
    bare,
    fixed,
    fraction_of_inch,
    percent,
    plural_of,
    rough_percent,
    share_words,
    unit_words,
)
from explainer.words.quantity.sizes import (
    FINE,
    Sized,
    alike,
    all_of,
    bare_beside,
    gap_unit,
    level,
    listed,
    per_step,
    rough_alike,
    set_level,
    set_range,
    subtracts,
    tally,
)
from explainer.words.quantity.when import at_point, past, use_word, uses
from explainer.words.sentence import put


def is_difference(study: Study, name: str) -> bool:
    """Whether a measure is one less another, so that what both share has gone out of it."""
    derived = study.measure(name).derived
    return derived is not None and derived.difference is not None


def ruled(calls: Mapping[str, Any] | None, two_sided: bool) -> dict[str, Any]:
    """How the last readings stand to the rule's limit, in words; nothing without a rule."""
    if calls is None:
        return {"rule_said": ""}
    it, one_of = ("both", "one of them") if two_sided else ("it", "it")
    named = ((f"meets {it}", f"meet {it}", "n_meets"),
             (f"misses {one_of}", f"miss {one_of}", "n_misses"),
             ("is too close to call", "are too close to call", "n_close"))  # fmt: skip
    said = [
        f"{calls[key] or 'none'} {one if calls[key] == 1 else many}"
        for one, many, key in named if calls[key] or key != "n_close"
    ]  # fmt: skip
    return {"rule_said": listed(said)}


def early_then(early: Mapping[str, Any] | None, table: Table) -> str:
    """What came after most was done: some surely came ``back``, it stayed ``flat``, some was surely
    ``gone`` again on the way, all had been done and the average surely ``moved`` or ``wavers``, it
    went ``past`` its end (``or-luck``), ``nearly`` all was done later, or the ``rest`` came."""
    if early is None:
        return ""
    if early["back"]:
        return "back"
    if early["flat"]:
        return "flat"
    if early.get("gone_at") is not None:
        return "gone"
    if early["share"] >= 1:
        return "moved" if early.get("moved") else "wavers"
    if early.get("past_at") is not None:
        return "past" if early["past_back"] else "past-or-luck"
    return "nearly" if nearly_by(early, table) else "rest"


def nearly_by(early: Mapping[str, Any] | None, table: Table) -> str | None:
    """A checkpoint after the early one by which nearly all of the change was done."""
    by = early.get("nearly_by") if early else None
    return past(table, by) if early and by is not None and by > early["by"] else None


#: Most odd readings that are named one by one.
NAMED = 3


def figure_facts(result: FigureResult, study: Study, things: Things) -> Facts:
    """Everything a phrase about this figure may use; ``things`` to compare its sizes with."""
    table = study.tables[result.figure.table]
    item = item_word(study, table)
    found = {x.kind: x.numbers for x in reversed(result.findings)}
    common: Facts = {
        "item": item, "items": plural_of(item), "n": result.n_items, "rows": result.n_rows,
        "balls": tally(result.n_items, item), "all_balls": all_of(result.n_items, item),
        "readings": tally(result.n_rows, "reading"),
        "invented": study.description.is_invented, **pronouns(item),
        "people": people(item, study, table),
    }  # fmt: skip
    own = KINDS[result.figure.kind](result, study, table, found)
    margin, unit = own.get("margin_value"), own.get("margin_unit", "")
    own_picture = own.get("picture") if margin is not None else None  # the author knows better
    return common | own | {"like": own_picture or pictured(margin, unit, things)}


def pictured(value: float | None, unit: str, things: Things) -> str | None:
    """A size beside something in the hand, or beside a hair where it is far too small for that;
    inches also as people say them: ``about an eighth of an inch; about two stacked quarters``."""
    like = everyday(value, unit, things)
    hand = f"about {like}" if like else beside_a_hair(value, unit)
    inches = units.canonical(unit) == "inch"
    tape = fraction_of_inch(value) if value is not None and inches else None
    return "; ".join(said for said in (tape, hand) if said) or None


def groups_in_words(names: list[str], by: str | None) -> str:
    """``4 Plover and 4 Teasel``; empty where there is one group or none.  ``by``: their column."""
    counts = Counter(n for n in names if n)
    if len(counts) < 2:
        return ""
    return listed([f"{count} {sort_of(name, by)}" for name, count in counts.items()])


# One function per kind of figure ------------------------------------------------------------


def _over_use(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.OverUse)
    unit = study.measure(figure.y).unit
    change = found.get("change", {})
    sized = signed_of(change, "change", gap_unit(unit), study.measure(figure.y).matters_from)
    sign = sized.sign or -1
    early, odd = found.get("early-step"), found.get("odd-item")
    same = change.get("n_down" if sign < 0 else "n_up", 0)
    means = alike(change.get("mean_from"), change.get("mean_to"), sized, unit)
    points = data.checkpoints
    first, last = (points[0], points[-1]) if points else (0.0, 0.0)
    two_sided = None not in (data.limit_low, data.limit_high)
    item, once = item_word(study, table), _once(data.uneven, table, study)
    return {
        **measure_of(study, figure.y, sign),
        **ends_of([v for line in data.lines for v in line.y], unit),
        "groups": groups_in_words([line.group for line in data.lines], data.by),
        "use": table.use_term or f"{plural_of(use_word(table))}", "first": past(table, first),
        "last": past(table, last), "uses": uses(table, last - first), "points": len(points),
        "often": max((len(line.use) for line in data.lines), default=0),
        "past_ends": past_ends(sized, change.get("mean_from"), study, figure.y),
        "change": sized.size if change else None, "range": sized.range,
        "range_unit": sized.range_unit, "crosses": sized.crosses, "ranged": sized.ranged,
        "n_change": change.get("n_items", 0),
        "of_both": change.get("n_items", 0) < result.n_items,
        "who_went": _who_went(change.get("n_items", 0), result.n_items, item, once),
        "bold": len(data.lines) > 1 and bool(data.means), "n_lines": len(data.drawn),
        "n_unlike": len(set(data.drawn)), "n_covered": data.covered,
        "n_lone": sum(len(line.use) == 1 for line in data.lines),
        "balls_changed": tally(change.get("n_items", 0), item),
        "all_changed": all_of(change.get("n_items", 0), item),
        "mean_from": means[0], "mean_to": means[1],
        "same": same, "same_ends": change.get("mean_from") == change.get("mean_to"),
        "changes": data.change is not None, "printed": data.averages,
        "barred": "" if data.change is None
        else f"own change: each {item} from its own start, and the average"
        + (" with its likely range" if data.change[1] is not None else ""),
        "early": past(table, early["by"]) if early else None,
        "early_share": share_words(min(early["share"], 1.0)) if early else None,
        "early_all": bool(early and early["share"] >= 1),
        "early_then": early_then(early, table), "nearly_by": nearly_by(early, table),
        "gone_at": past(table, early["gone_at"])
        if early and early.get("gone_at") is not None else None,
        "unsettled": early_then(early, table) in ("gone", "moved"),
        "past_at": past(table, early["past_at"])
        if early and early.get("past_at") is not None else None,
        **_odd(odd, gap_unit(unit), item),
        "change_bare": sized.bare, "subtracts": subtracts(*means, sized), "small": "small" in found,
        "short_of": short_of(sized, study.measure(figure.y).matters_from) and "small" not in found,
        "moved": "change" if sized.crosses else ways.moves(sign)["drop"],
        "missing": found.get("missing", {}).get("count"),
        "gaps": data.gaps, "fewer": bool(data.fewer),
        "fewer_alike": data.fewer_alike,
        "by_group": _group_changes(result.findings, unit, item, data.by),
        "claimed_to": uses(table, data.claimed_to) if data.claimed_to else None,
        "claimed_elsewhere": data.claimed_elsewhere,
        "shared_out": is_difference(study, figure.y), **ruled(found.get("rule"), two_sided),
        "limit": next((set_level(v, unit) for v in (data.limit_low, data.limit_high)
                       if v is not None), None)
        if not two_sided else set_range(data.limit_low, data.limit_high, unit),
        "two_sided": two_sided, "once": once, "sorted_as": data.sorted_as,
        "range_from": data.range_from,
    }  # fmt: skip


def _odd(odd: Mapping[str, Any] | None, unit: str, item: str) -> Facts:
    """The one that stands out, its change, and the median of all changes as a size and its way."""
    if odd is None:
        return dict.fromkeys(
            ("odd", "odd_change", "odd_moved", "odd_others", "odd_middle", "odd_still",
             "n_odd"))
    middle = Sized(odd["others"], None, None, unit)
    return {
        "odd": named(item, odd["item"]),
        "odd_change": Sized(odd["change"], None, None, unit).rough,
        "odd_moved": ways.moves(1 if odd["change"] > 0 else -1)["fell"],
        "odd_others": middle.rough,
        "odd_middle": "" if middle.rough == words("nothing") else ways.moves(middle.sign)["drop"],
        "odd_still": bool(odd.get("still")), "n_odd": odd.get("apart", 1),
    }


def _who_went(n: int, every: int, item: str, once: str) -> str:
    """Whose change is told: of one alone there is no average."""
    if n == 1:
        return f"The one {item}" if every == 1 else "The one read at both ends"
    who = f"With {once} counted once, the average" if once else "The average"
    return who if n == every else f"{who} of the {n} read at both ends"


def _once(uneven: bool, table: Table, study: Study) -> str:
    """How averages are taken where that is not over all items alike: ``each model``."""
    word = (table.group or study.description.tested.group or "").replace("_", " ")
    return f"each {word}" if uneven and word else ""


def _group_changes(
    findings: tuple[Finding, ...], unit: str, item: str, by: str | None
) -> str:
    """``the Plover balls fell by 21 microinches and the one Teasel ball by 23``."""
    each = [x.numbers for x in findings if x.kind == "group-change"]
    if len(each) < 2:
        return ""
    said, before = list[str](), ""
    # A change of a percentage is told in points of it: "by 10%" would be a tenth of it.
    sizes = rough_alike([float(numbers["change"] or 0) for numbers in each], gap_unit(unit))
    for numbers, sized in zip(each, sizes, strict=True):
        fell = ways.moves(sized.sign or -1)["fell"]
        size = sized.size if not said else sized.bare
        verb, before = "" if fell == before else f"{fell} ", fell
        one = numbers["n_items"] == 1
        group, members = str(numbers["group"]), item if one else plural_of(item)
        who = side(group, by or "", members) if sort_of(group, by) != group else \
            f"{group} {members}"  # fmt: skip
        who = f"the {'one ' if one else ''}{who}"
        said.append(put("{} {}by {}", who, verb, size))
    return listed(said)


def _scatter(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.Scatter)
    x, y = _name(figure.x), _name(figure.y)
    mx, my, tx, ty = study.measure(x), study.measure(y), study.term(x), study.term(y)
    unit = f"{my.unit} per {mx.unit}"
    link, inner, one = found.get("between"), found.get("within"), found.get("one-item")
    r = signed_of(link or {}, "r", "r")
    alone, left = found.get("link-alone"), found.get("between-groups")
    told_alone = signed_of(alone or {}, "r", "r")
    in_group = signed_of(left or {}, "r", "r")
    sign = r.sign or 1
    xs = study.table_of(x, None if isinstance(figure.x, str) else figure.x.table)
    seen = evidence.seen_span(xs, x)
    slope, step = per_step(Sized(link.get("slope") if link else None, None, None, unit,
                                 widest=seen))  # fmt: skip
    within = Sized(
        inner["slope"] if inner else None, inner["slope_low"] if inner else None,
        inner["slope_high"] if inner else None, unit, widest=seen,
    )  # fmt: skip
    inside, inside_step = per_step(within)
    edge = found.get("edge", {})
    ends = edge.get("x_from"), edge.get("x_to")
    once_each = data.shared == 1 or result.n_rows == result.n_items
    across = [p.x for p in data.points]
    item = item_word(study, table)
    return {
        "x_term": tx, "y_term": ty, "x_more": ways.word(mx, tx, 1), "x_less": ways.word(mx, tx, -1),
        "y_more": ways.word(my, ty, 1), "y_less": ways.word(my, ty, -1),
        "y_then": ways.word(my, ty, sign), "y_unit": unit_words(my.unit),
        "r_alone": told_alone.signed if alone else None,
        "r": r.signed if link else None,
        "r_end": "−1" if (r if link else told_alone).sign < 0 else "1",
        "r_range": r.span, "r_crosses": r.crosses, "group_word": group_word(study, table),
        "r_in_group": in_group.signed if in_group.ranged else None,
        "r_unsplit": bool(left) and not in_group.ranged, "r_in_group_range": in_group.span,
        "together": sign > 0, "slope": slope.rough if slope.value is not None else None,
        "step": step, "joined": data.joined, "fitted": data.between is not None,
        "inner": data.joined and data.within is not None,
        "without": data.without is not None,
        "n_lone": data.lone, "n_still": data.still, "n_back": data.back,
        "n_inside": inner["n_items"] if inner else 0,
        "inside": inside.size if inner else None, "inside_step": inside_step,
        "inside_flat": inside.vanishes, "inside_signed": inside.signed,
        "inside_most": at_most(within, link.get("slope") if link else None, unit),
        "inside_range": inside.slope_range, "inside_range_unit": inside.slope_range_unit,
        "inside_crosses": inside.crosses,
        "inside_together": (within.value or 0) > 0,
        "same_sign": inner.get("same_sign") if inner else None,
        "once": _once(bool(data.joined and inner and inner.get("uneven")), table, study),
        "levels": found["levels"]["verdict"] if "levels" in found else None,
        "one": named(item, one["item"]) if one else None,
        "one_without": Sized(one["r_without"], *FINE, "r").signed
        if one and one["r_without"] is not None else None,
        "x_from": bare_beside(*ends, mx.unit), "x_to": level(ends[1], mx.unit, ends[0]),
        "x_alike": len(set(across)) < 2, "x_ends": ends_of(across, mx.unit)["ends"],
        "n_spots": data.spots,
        "placed": f"what it read {at_point(table, data.at)}" if data.at is not None
        else f"{pronouns(item)['its']} {'reading' if once_each else 'average'}"
        f"{_over(data, table)}", "over_shared": _over(data, table),
        "other_line": bool(data.line_points), "n_other": len(data.line_points),
        "groups": groups_in_words([p.group for p in data.item_means], data.by),
        **ends_of([p.y for p in data.points], my.unit),
    }  # fmt: skip


def _over(data: ScatterData, table: Table) -> str:
    """Over which checkpoints an average goes, where that is not over all of them."""
    if data.shared_at is not None:
        return f" {at_point(table, data.shared_at)}, the one checkpoint that all of them share"
    if not data.shared:
        both = " of the times when both were read" if data.unmatched else ""
        return f"{both}, each over checkpoints of its own" if data.shared == 0 else both
    return f" over the {tally(data.shared, 'checkpoint')} that all of them share"


def _name(operand: Any) -> str:
    return operand if isinstance(operand, str) else str(operand.measure)


def _shot_series(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.ShotSeries)
    unit = study.measure(figure.y).unit
    order = data.order_name.replace("_", " ").removesuffix("s") or "shot"
    drift, flagged, ends_ = found.get("drift"), found.get("flagged"), found.get("first-last")
    sized = signed_of(drift or {}, "slope", f"{unit} per {order}")
    shots = [shot for series in data.series for shot in series.shots]
    longest = max((len(series.shots) for series in data.series), default=1)
    slope, step = per_step(replace(sized, widest=float(longest)))
    runs = [len(series.shots) for series in data.series if series.shots] or [0]
    many = sum(bool(s.shots) for s in data.series) > PANELS  # a line each, and no dots
    change = Sized(ends_["change"] if ends_ else None, None, None, gap_unit(unit))
    return {
        **measure_of(study, figure.y, sized.sign or -1),
        **ends_of([s.y for s in shots], unit),
        "shot": order, "shots": plural_of(order), "n_shots": tally(len(shots), order),
        "run": 0 if many else data.run, "many": many, "jumpy": _jumpy(data),
        "bars": max((len(s.runs) + (s.first_mean is not None) + (s.last_mean is not None)
                     for s in data.series), default=0),
        "crowded": any(len(series.shots) > SHOTS for series in data.series),
        "runs": str(runs[0]) if len(set(runs)) == 1 else f"{min(runs)} to {max(runs)}",
        "small": _adds_up_to_little(data, sized, study.measure(figure.y).matters_from),
        "unread": max(len(table.frame) - len(shots), 0),
        "single": len(data.series) == 1,
        "drift": slope.size if drift else None, "drift_signed": slope.signed, "step": step,
        "drift_range": slope.slope_range,
        "drift_crosses": sized.crosses, "ranged": sized.ranged,
        "flagged": flagged["count"] if flagged else 0,
        "flagged_of": flagged["of"] if flagged else 0,
        "flagged_names": _flags(flagged, order, item_word(study, table)),
        "flagged_more": bool(flagged and flagged["count"] > NAMED),
        "mixture": bool(flagged and flagged["mixture"]),
        "ends_first": ends_["first"] if ends_ else None,
        "ends_last": ends_["last"] if ends_ else None, "ends_change": change.rough,
        "ends_lower": ways.moves(change.sign or -1)["lower"],
    }  # fmt: skip


def _jumpy(data: ShotSeriesData) -> bool:
    """Whether one shot says little of the way they go: of all steps from one to the next that are
    any, more than one in four goes against that of its series."""
    ways = [[b.y > a.y for a, b in pairwise(s.shots) if b.y != a.y] for s in data.series]
    return sum(min(map(way.count, (True, False))) for way in ways) > sum(map(len, ways)) / 4


def _adds_up_to_little(data: ShotSeriesData, drift: Sized, matters: float | None) -> bool:
    """Whether no drift in the range adds up to what matters over the longest run."""
    if matters is None or drift.low is None or drift.high is None:
        return False
    spans = [s.shots[-1].order - s.shots[0].order for s in data.series if s.shots]
    return bool(spans) and max(abs(drift.low), abs(drift.high)) * max(spans) < matters


def _flags(flagged: Mapping[str, Any] | None, order: str, item: str) -> str:
    """``P1 7, T2 12`` as ``shot 7 of ball P1 and shot 12 of ball T2``."""
    pairs = [name.rpartition(" ") for name in flagged["names"].split(", ")] if flagged else []
    return listed([f"{order} {place} of {named(item, who)}" for who, _, place in pairs[:NAMED]])


def _groups(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.Groups)
    unit = study.measure(figure.y).unit
    gap, spread = found.get("difference"), found.get("spread")
    matters = study.measure(figure.y).matters_from
    sized = signed_of(gap or {}, "difference", gap_unit(unit), matters)
    items = plural_of(item_word(study, table))
    when = at_point(table, figure.at) if figure.at is not None else ""
    a, b = (side(str(gap[name]), figure.by, items) for name in ("a", "b")) if gap else ("", "")
    means = alike(gap["mean_a"], gap["mean_b"], sized, unit) if gap else ("", "")
    return {
        **measure_of(study, figure.y, 1),
        **ends_of([v for g in data.groups for _, v in g.items], unit),
        "barred": barred([g.low for g in data.groups], "bars: the average and its likely range"),
        "all_barred": all(g.low is not None for g in data.groups),
        "marked": sum(len(g.items) > 1 for g in data.groups),
        "most": max((len(g.items) for g in data.groups), default=0),
        "first_stands": _first_stands(data, figure.by, items),
        **{f"lone_{which}": gap is not None and _lone(data, gap, which) for which in "ab"},
        "by": "{} ({})".format(*set_in(figure.by)).removesuffix(" ()"),
        "names": listed([side(g.name, figure.by, items) for g in data.groups]),
        "n_groups": len(data.groups), "paired": data.paired,
        "when": when, "at": f" {when}" if when else "",
        "averaged": figure.at is None and figure.by != table.use
        and result.n_rows > sum(len(g.items) for g in data.groups),
        "once": _once(data.uneven, table, study),
        "groups": listed([tally(len(g.items), g.name).removesuffix("s") for g in data.groups]),
        "a": a, "b": b, "gap": sized.size if gap else None, "range_unit": sized.range_unit,
        "range": sized.range, "crosses": sized.crosses, "ranged": sized.ranged,
        "small": fits_margin(sized, matters),
        "short_of": short_of(sized, matters),
        "apart": ahead(sized, a, b, ways.word(study.measure(figure.y), study.term(figure.y), 1)),
        "balls_compared": tally(gap["n_items"] if gap else 0, item_word(study, table)),
        "in_both": gap is not None and gap["n_items"] < len(
            {i for g in data.groups if g.name in (gap["a"], gap["b"]) for i, _ in g.items}
        ),
        "mean_a": means[0], "mean_b": means[1],
        "spread_group": side(spread["group"], figure.by, items) if spread else None,
        "spread_low": bare_beside(spread["lowest"], spread["highest"], unit) if spread else "",
        "spread_high": level(spread["highest"], unit, spread["lowest"]) if spread else "",
    }  # fmt: skip


def _lone(data: GroupsData, gap: Mapping[str, Any], which: str) -> bool:
    """Whether one item alone stands behind this side of the gap, so that nothing is averaged."""
    group = next(g for g in data.groups if g.name == gap[which])
    return len(group.items) == 1 or (data.paired and gap["n_items"] == 1)


def _first_stands(data: GroupsData, by: str, items: str) -> str:
    """What the shaded band is drawn about."""
    if not data.groups:
        return ""
    first = data.groups[0]
    who = side(first.name, by, items)
    if len(data.groups) == 1:
        return "their average" if len(first.items) > 1 else "that dot"
    return f"the average of {who}" if len(first.items) > 1 else f"the dot of {who}"


def _rates(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.Rates)
    who = (figure.within or item_word(study, table)).replace("_", " ")
    pooled, each, turned = found.get("pooled"), found.get("stratified"), found.get("reversal")
    sized = signed_of(each or {}, "difference", "rate")
    lump = Sized(pooled["difference"] if pooled else None, None, None, "rate")
    n_each = each["n_items"] if each else 0
    sides = [side(str(pooled[n]), figure.by, plural_of(who)) for n in ("a", "b")] if pooled else []
    a, b = sides or ("", "")
    return {
        "item": who, "items": plural_of(who), **pronouns(who), "balls": tally(result.n_items, who),
        "people": people(who, study, table),
        "what": figure.successes.replace("_", " "), "tries": figure.attempts.replace("_", " "),
        "picked": "picked" in found,
        "names": listed([side(r.name, figure.by, plural_of(who)) for r in data.pooled]),
        "attempts": f"{sum(r.attempts for r in data.pooled):,}", "sides": len(data.pooled),
        "apart_tried": data.apart,
        "a": a, "b": b, **_lumped(pooled, data.pooled[0].rate),
        "lump": lump.rough if pooled else None, "lump_ahead": a if lump.sign > 0 else b,
        "gap": sized.size if sized.low is not None else None, "ahead": a if sized.sign > 0 else b,
        "behind": b if sized.sign > 0 else a,
        "apart": sized.reach(f"lead for {b}", f"lead for {a}"),
        "crosses": sized.crosses, "turned": turned is not None,
        "same": (each["n_up"] if sized.sign > 0 else each["n_down"]) if each else 0,
        "balls_compared": tally(n_each, who), "n_compared": n_each,
        "all_compared": all_of(n_each, who),
        "within": bool(data.within), "heavier": bool(data.turned),
        "dots_sized": len({rate.attempts for _, own in data.within for rate in own}) > 1,
        "uneven": data.uneven_weights,
        "barred": barred(
            [r.low for r in data.pooled], "uprights: likely range of the total, "
            + ("if all the tries are alike" if data.once else
               f"going by the {plural_of(who)} and the {figure.attempts.replace('_', ' ')}"),
        ),
        "all_barred": all(r.low is not None for r in data.pooled), "by_tries": data.once,
    }  # fmt: skip


def _lumped(pooled: Mapping[str, Any] | None, lone: float) -> Facts:
    """Both lumped rates, with more digits where they differ and would be told as the same; of one
    condition its ``lone`` rate."""
    if pooled is None:
        return {"rate_a": percent(lone), "rate_b": ""}
    a, b = pooled["rate_a"], pooled["rate_b"]
    if a != b and percent(a) == percent(b):
        places = next((p for p in (1, 2, 3) if f"{100 * a:.{p}f}" != f"{100 * b:.{p}f}"), 4)
        first, second = fixed(100 * a, -places), fixed(100 * b, -places)
        return {side: words("percent", figures=told)
                for side, told in (("rate_a", first), ("rate_b", second))}
    return {"rate_a": percent(a), "rate_b": percent(b)}


# --- gauge and limit

def gauge_facts(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.Gauge)
    unit = study.measure(figure.y).unit
    share, worst = found.get("share"), found.get("worst-item")
    hands = found.get("operators")
    sized = signed_of(share or {}, "percent", "percent")
    item = item_word(study, table)
    mdd, read = data.mdd, [r.y for r in data.readings]
    return {
        **measure_of(study, figure.y, 1), **ends_of(read, unit),
        "alike": level(read[0], unit) if len(set(read)) == 1 < len(read) else "",
        "operators": tally(len(data.operators), operator_word(figure.operator)),
        "n_operators": len(data.operators), "operator": operator_word(figure.operator),
        "operator_many": plural_of(operator_word(figure.operator)),
        "repeats": share["n_repeats"] if share else None,
        "share": bare(rough_percent(sized.value, sized.low, sized.high)) if share else None,
        "share_range": sized.range_unit, "ranged": sized.ranged,
        "mdd": Sized(mdd, None, None, unit).rough if mdd else None,
        "margin_value": mdd, "margin_unit": unit, "picture": None,
        "high": hands["high"] if hands else None, "low": hands["low"] if hands else None,
        "high_always": bool(hands and hands["always"]),
        "hands_apart": Sized(hands["apart"], None, None, unit).rough if hands else None,
        "worst": named(item, worst["item"]) if worst else None,
        "worst_spread": Sized(worst["spread"], None, None, unit).rough if worst else None,
    }  # fmt: skip


KINDS: Mapping[str, Callable[[FigureResult, Study, Table, Found], Facts]] = {
    "over-use": _over_use,
    "scatter": _scatter,
    "shot-series": _shot_series,
    "ball-paths": ball_paths,
    "groups": _groups,
    "rates": _rates,
    "gauge": gauge_facts,
    "limit": limit_facts,
}
