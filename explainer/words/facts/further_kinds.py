"""What the further kinds of test add to the facts of a verdict: one small function each."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Any

from explainer.claims.agreement import AgreementDetail
from explainer.claims.crossing import CrossingDetail
from explainer.claims.mean_is import MeanIsDetail
from explainer.claims.no_difference import NoDifferenceDetail
from explainer.claims.no_worse import NoWorseDetail
from explainer.claims.population_limit import PopulationLimitDetail
from explainer.claims.ranking import RankingDetail
from explainer.claims.settles import SettlesDetail
from explainer.claims.share_of_items import ShareOfItemsDetail
from explainer.claims.since import SinceDetail
from explainer.claims.spread import SpreadDetail
from explainer.claims.steps import StepsDetail
from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t
from explainer.study.model import Study, Table
from explainer.words.facts import comparatives as ways
from explainer.words.facts.items import item_of, item_word, side, the_ones
from explainer.words.facts.kind_facts import (
    Facts,
    KindFacts,
    either_way,
    measure_facts,
    record_of,
    series_name,
    side_name,
    tells,
)
from explainer.words.facts.relations import claimed_side
from explainer.words.language import words
from explainer.words.quantity.numbers import (
    bare,
    leading,
    percent,
    plural_of,
    rounded,
)
from explainer.words.quantity.sizes import (
    Sized,
    alike,
    exact,
    gap_unit,
    level,
    listed,
    reading,
    set_level,
    set_size,
    tally,
)
from explainer.words.quantity.when import at_point, past, span_words
from explainer.words.sentence import put


def _at(test: Any, table: Table | None) -> str:
    """`` after 60 games`` where a test names a checkpoint; empty where it takes all of them."""
    point = getattr(test, "at", None)
    return f" {at_point(table, point)}" if point is not None and table is not None else ""


def _as_reading(v: Verdict, value: float | None) -> str:
    """A level as fine as the range shown supports, in the words of a reading: ``76.0 Shore D``."""
    strip = v.strip
    ends = (strip.low, strip.high) if strip is not None else (v.low, v.high)
    return reading(rounded(value, *ends), v.unit) if value is not None else words("unknown")


def _levels_told(v: Verdict) -> Facts:
    """The estimate and the range of a level, which is no size of a gap."""
    strip = v.strip
    low, high = (strip.low, strip.high) if strip is not None else (v.low, v.high)
    told: Facts = {"signed": _as_reading(v, v.estimate)}
    if low is not None and high is not None:
        first, last = (bare(rounded(end, low, high), v.unit) for end in (low, high))
        told["span"] = put("{} to {}", first, _as_reading(v, high))
        told["span_bare"] = put("{} to {}", first, last)
    return told


@tells("about at below least mean target term within")
def _average(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """mean-is."""
    test = v.test
    assert isinstance(test, t.MeanIs)
    d = record_of(v, MeanIsDetail)
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
    "ahead at bare_high behind claimed first groups_told means_told most order_told paired pairs "
    "ranks same same_size term worst"
)
def _ranked(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """ranking."""
    test = v.test
    assert isinstance(test, t.Ranking)
    d = record_of(v, RankingDetail)
    items = plural_of(item_of(v, study, table))
    sign = 1 if test.direction == "higher" else -1

    def named_side(value: Any) -> str:
        return side(side_name(value), test.by, items)

    told = _with_means(tuple((named_side(g), level(m, v.unit))
                             for g, m in zip(d.ranked, d.means, strict=False)))  # fmt: skip
    term = study.term(test.measure)
    return {
        "term": term, "at": _at(test, table), "first": test.first is not None,
        "claimed": named_side(test.first) if test.first is not None else "",
        "order_told": listed([named_side(g) for g in test.order or ()], "and then"),
        "ranks": test.order is not None, "same": test.same is not None,
        "same_size": set_size(test.same, unit_of_gap(v)), "groups_told": tally(
            len(d.ranked), "group"),
        "means_told": told,
        "ahead": named_side(d.ahead) if d.ahead else "",
        "behind": named_side(d.behind) if d.behind else "",
        "most": "highest" if sign > 0 else "lowest", "worst": "lower" if sign > 0 else "higher",
        "pairs": int(d.n_pairs or 0), "paired": d.paired,
        "bare_high": replace(sized, value=sized.high).size if sized.high is not None else None,
    }  # fmt: skip


def _with_means(means: Sequence[tuple[str, str]]) -> str:
    """Groups with their means, in their order; those that read the same share one number.

    At most eight groups are named; how many more there are is said.
    """
    shown, beyond = means[:8], len(means) - 8
    told = []
    for _, same in groupby(shown, key=lambda pair: str(pair[1])):
        named = list(same)
        names, mean = listed([name for name, _ in named]), named[0][1]
        told.append(put("{} ({})" if len(named) == 1 else "{} ({} each)", names, mean))
    return put("{} and {} more", listed(told), str(beyond)) if beyond > 0 else listed(told)


@tells("a b even inside more n_a n_b paired says_more spread_a spread_b term tied where")
def _scatter(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """spread."""
    test = v.test
    assert isinstance(test, t.Spread)
    d = record_of(v, SpreadDetail)
    items = plural_of(item_of(v, study, table))
    unit = gap_unit(study.measure(test.measure).unit)
    if test.by is not None:
        a, b = (side(side_name(x), test.by, items) for x in (test.a or "", test.b or ""))
    else:
        a, b = (at_point(table, x) for x in (test.to or 0.0, test.from_ or 0.0))
    said = ways_said(test.direction)
    return {
        "term": study.term(test.measure), "a": a, "b": b, "where": test.by is None,
        "inside": d.inside, "paired": d.paired, "n_a": d.n_a, "n_b": d.n_b,
        "more": (v.estimate or 0) > 0, "even": (v.estimate or 0) < 0,
        "tied": sized.vanishes, "says_more": said,
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
    "claimed_drop claimed_fell close every gauge_sees least_needed may_be_less may_be_more most "
    "moved moved_of needed_share of_size out_of_reach over stayed_of stayers term unmoved unsure "
    "went went_all"
)
def _how_many(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """share-of-items."""
    test = v.test
    assert isinstance(test, t.ShareOfItems)
    d = record_of(v, ShareOfItemsDetail)
    item = item_word(study, table)
    unit = gap_unit(study.measure(test.measure).unit)
    moved, close, unmoved = (int(x or 0) for x in (d.moved, d.too_close, d.not_moved))
    side_ = {"up": 1, "down": -1}.get(test.direction, 0)
    fell, size = ways.moves(side_)["fell"] if side_ else "changed", set_size(test.at_least, unit)
    drop = ways.moves(side_)["drop"] if side_ else "change"
    return {
        "term": study.term(test.measure), "over": span_words(table, test.from_, test.to),
        "claimed_fell": put("{} by at least {}", fell, size) if size else fell,
        "claimed_drop": put("{} of at least {}", drop, size) if size else drop,
        "every": d.every, "of_size": bool(size),
        "most": test.share == "most", "needed_share": percent(d.needed_share),
        "moved": moved, "close": close, "unmoved": unmoved,
        "went": _out_of(round((v.estimate or 0.0) * v.n_items), v.n_items, item),
        "moved_of": _out_of(moved, v.n_items, item), "stayed_of": _out_of(unmoved, v.n_items, item),
        "stayers": the_ones(item, d.stayed, study, table),
        "unsure": the_ones(item, d.unsure, study, table),
        "gauge_sees": Sized(d.seen_from, None, None, unit).rough if d.seen_from else None,
        "went_all": v.estimate == 1.0,
        "may_be_more": v.high is not None and v.high > (d.needed_share or 0.0),
        "may_be_less": v.low is not None and v.low < (d.needed_share or 0.0),
        "out_of_reach": d.out_of_reach, "least_needed": d.least_items,
    }  # fmt: skip


def _out_of(count: int, n: int, item: str) -> str:
    """``5 of 8 balls``; of a single one, what is so of it."""
    if n == 1:
        return f"{'the' if count else 'none of the'} one {item} that was read"
    return f"{_none_of(count)} of {tally(n, item)}"


@tells(
    "a b grouped margin mean_a mean_b over paired term way_worse where_a where_b "
    "worst worst_is_worse"
)
def _not_worse(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """no-worse."""
    test = v.test
    assert isinstance(test, t.NoWorse)
    d = record_of(v, NoWorseDetail)
    items = plural_of(item_of(v, study, table))
    grouped, bad = test.by is not None, 1 if test.worse == "up" else -1
    means = alike(d.mean_a, d.mean_b, sized, study.measure(test.measure).unit)
    if test.by is not None:
        a, b = (side(side_name(x), test.by, items) for x in (test.a or "", test.b or ""))
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
        "way_worse": "higher" if bad > 0 else "lower",
        "worst": replace(sized, value=d.worst95).size if d.worst95 is not None else None,
        "worst_is_worse": (d.worst95 or 0.0) * bad > 0,
    }  # fmt: skip


@tells("a apart apart_bare at b margin mean_a mean_b paired term")
def _no_apart(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """no-difference."""
    test = v.test
    assert isinstance(test, t.NoDifference)
    d = record_of(v, NoDifferenceDetail)
    items = plural_of(item_of(v, study, table))
    a, b = (side(side_name(value), test.by, items) for value in (test.a, test.b))
    ends = measure_facts(study, test.measure, 1, "more", "less")
    means = alike(d.mean_a, d.mean_b, sized, study.measure(test.measure).unit)
    return {
        "term": ends["term"], "a": a, "b": b, "at": _at(test, table), "paired": d.paired,
        "mean_a": means[0], "mean_b": means[1],
        "margin": set_size(d.margin, gap_unit(study.measure(test.measure).unit)),
        "apart": either_way(sized, a, ends["less"], ends["more"], True),
        "apart_bare": either_way(sized, a, ends["less"], ends["more"], False),
    }  # fmt: skip


@tells(
    "by early early_code early_span fails fell_first late late_code late_span margin "
    "over_early over_late term way_first"
)
def _settled(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """settles."""
    test = v.test
    assert isinstance(test, t.Settles)
    d = record_of(v, SettlesDetail)
    unit = gap_unit(study.measure(test.measure).unit)
    early = Sized(d.early, d.early_low, d.early_high, unit)
    late = Sized(d.late, d.late_low90, d.late_high90, unit)
    said = {"up": 1, "down": -1}.get(test.direction, 0)
    return {
        "term": study.term(test.measure), "by": past(table, test.by),
        "over_early": span_words(table, test.from_, test.by),
        "over_late": span_words(table, test.by, test.to),
        "early": early.signed, "early_span": early.span_bare, "late": late.signed,
        "late_span": late.span_bare, "fell_first": ways.moves(early.sign)["fell"],
        "way_first": ways.moves(said)["fell"] if said else "changed",
        "margin": set_size(d.margin, unit), "fails": d.fails,
        "early_code": d.early_code, "late_code": d.late_code,
    }  # fmt: skip


@tells(
    "best drift_better fails fell_since mean_after mean_before place place_code since size_code "
    "bent size_range smooth term way_said"
)
def _since(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """since."""
    test = v.test
    assert isinstance(test, t.Since)
    d = record_of(v, SinceDetail)
    unit = gap_unit(study.measure(test.measure).unit)
    size = Sized(v.estimate, v.low, v.high, unit)
    means = alike(d.mean_after, d.mean_before, size, study.measure(test.measure).unit)
    said = {"up": 1, "down": -1}.get(test.direction, 0)
    ends = [past(table, p) if p is not None else "" for p in (d.place_low, d.place_high)]
    return {
        "term": study.term(test.measure), "since": past(table, test.since),
        "mean_before": means[1], "mean_after": means[0], "size_range": size.span_bare,
        "fell_since": ways.moves(size.sign)["fell"], "fails": d.fails,
        "way_said": ways.moves(said)["fell"] if said else "changed",
        "size_code": d.size_code, "place_code": d.place_code, "smooth": d.smooth, "bent": d.bent,
        "drift_better": d.smooth and d.jump_ahead is not None and d.jump_ahead < 0,
        "best": past(table, d.place) if d.place is not None else "",
        "place": "" if d.place is None else ends[0] if ends[0] == ends[1]
        else f"anywhere from {ends[0]} to {ends[1]}",
    }  # fmt: skip


@tells(
    "after began_past crossed falls last later limit may_have never over_what sooner term unread "
    "when within"
)
def _crossed(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """crossing."""
    test = v.test
    assert isinstance(test, t.Crossing)
    d = record_of(v, CrossingDetail)
    return {
        "term": study.term(test.measure),
        "limit": set_level(test.limit, study.measure(test.measure).unit),
        "over_what": series_name(test.over, table), "falls": d.falls,
        "crossed": _none_of(int(d.crossed or 0)), "never": int(d.never or 0),
        "began_past": int(d.began_past or 0), "unread": d.unread,
        "last": exact(d.last, v.unit) if d.last is not None else None,
        "after": None if test.after is None else exact(test.after, v.unit),
        "within": set_size(test.within, v.unit),
        "when": sized.size if v.estimate is not None else None, "may_have": d.may_have,
        "sooner": None if sized.low is None else exact(sized.low, v.unit),
        "later": None if sized.high is None else exact(sized.high, v.unit),
    }  # fmt: skip


@tells("any_shape at bound few_meet least limit mean meeting misses share_of_all term")
def _population(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """population-limit."""
    test = v.test
    assert isinstance(test, t.PopulationLimit)
    d = record_of(v, PopulationLimitDetail)
    limit = test.at_least if test.at_least is not None else test.at_most
    return {
        **_levels_told(v), "term": study.term(test.measure),
        "at": _at(test if d.judged_at is None else test.model_copy(update={"at": d.judged_at}),
                  table),
        "limit": set_level(limit, v.unit), "least": test.at_least is not None,
        "share_of_all": percent(test.share), "meeting": _none_of(int(d.meeting or 0)),
        "bound": None if d.bound95 is None or limit is None
        else _sure_of(d.bound95, limit, test.at_least is not None, v.unit),
        "mean": _as_reading(v, d.mean) if d.mean is not None else None,
        "any_shape": int(d.items_any_shape or 0), "misses": v.n_items - int(d.meeting or 0),
        "few_meet": d.p_so_few is not None and d.p_so_few < 0.05,
    }  # fmt: skip


def _sure_of(bound: float, limit: float, least: bool, unit: str) -> str:
    """A bound that is sure, never rounded to promise more, and on its own side of ``limit``."""
    told, first = bound, leading(abs(bound)) - 2 if bound else 0
    for place in range(first, first - 4, -1):
        step = 10.0**place
        told = (math.floor(bound / step + 1e-9) if least else math.ceil(bound / step - 1e-9)) * step
        if (told >= limit) == (bound >= limit) and (told <= limit) == (bound <= limit):
            break
    return level(told, unit, limit)


@tells("a agree_high agree_low b farther offset split_calls term tilts within")
def _agreeing(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """agreement."""
    test = v.test
    assert isinstance(test, t.Agreement)
    d = record_of(v, AgreementDetail)
    items = plural_of(item_of(v, study, table))
    a, b = (side(side_name(value), test.by, items) for value in (test.a, test.b))
    unit = unit_of_gap(v)
    offset = Sized(d.offset, d.offset_low, d.offset_high, unit)
    return {
        "term": study.term(test.measure), "a": a, "b": b,
        "within": set_size(d.tolerance, unit), "offset": offset.size,
        "farther": "higher" if (d.offset or 0) > 0 else "lower",
        "agree_low": replace(sized, value=d.agree_low).signed if d.agree_low is not None else None,
        "agree_high": replace(sized, value=d.agree_high).signed
        if d.agree_high is not None else None,
        "tilts": d.p_slope is not None and d.p_slope < 0.05,
        "split_calls": None if d.split_calls is None else _none_of(int(d.split_calls)),
    }  # fmt: skip


@tells(
    "at claimed each_step first_mean jump_from jump_to last_mean paired peak rises rises_claimed "
    "steps_told term turn_from turn_to turns"
)
def _stepped(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """steps."""
    test = v.test
    assert isinstance(test, t.Steps)
    d = record_of(v, StepsDetail)
    means = [m for m in d.means if m == m]
    unit = study.measure(test.measure).unit
    return {
        **measure_facts(study, test.measure, claimed_side(v), "claimed"),
        "at": _at(test, table), "steps_told": listed(list(d.steps[:8])), "paired": d.paired,
        "each_step": replace(sized, value=d.per_step).size if d.per_step is not None else None,
        "rises": (d.per_step or 0) > 0, "rises_claimed": claimed_side(v) > 0,
        "first_mean": level(means[0], unit) if means else None,
        "last_mean": level(means[-1], unit) if means else None,
        "turns": d.turns, "turn_from": d.turn_from, "turn_to": d.turn_to, "peak": d.peak,
        "jump_from": d.jump_from, "jump_to": d.jump_to,
    }  # fmt: skip


#: The kinds of this file; ``kinds.KINDS`` has them after its own.
FURTHER: Mapping[str, KindFacts] = {
    "mean-is": _average,
    "ranking": _ranked,
    "spread": _scatter,
    "share-of-items": _how_many,
    "no-worse": _not_worse,
    "no-difference": _no_apart,
    "settles": _settled,
    "since": _since,
    "crossing": _crossed,
    "population-limit": _population,
    "agreement": _agreeing,
    "steps": _stepped,
}
