"""What phrases may say of a verdict: its numbers, names and reasons in words.

``facts`` gives one flat mapping of strings, counts and flags; each kind of test adds its own
(``facts.kinds``).  Phrases put them in order; nothing here chooses a sentence.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from explainer.claims.build import FEW_READINGS
from explainer.claims.detail import Detail, SecondLooks
from explainer.claims.difference import SidesDetail
from explainer.claims.evidence import label
from explainer.claims.kinds import kind_of
from explainer.claims.no_difference import NoDifferenceDetail
from explainer.claims.no_worse import NoWorseDetail
from explainer.claims.rules import falls_short, line_held_to, says_of_size
from explainer.claims.same_line import SameLineDetail
from explainer.claims.tracks_within import TracksDetail
from explainer.claims.trend import TrendDetail
from explainer.claims.verdict import Verdict
from explainer.study.description.base import Checkpoint
from explainer.study.model import Study, Table
from explainer.study.thresholds import thresholds
from explainer.words.facts import comparatives as ways
from explainer.words.facts.drift import flagged_at
from explainer.words.facts.further_kinds import unit_of_gap
from explainer.words.facts.items import (
    group_word,
    item_of,
    named,
    people,
    pronouns,
    table_of,
    the_ones,
)
from explainer.words.facts.kinds import KINDS
from explainer.words.facts.power import POWER, power_facts
from explainer.words.facts.relations import RELATIONS, lies, relations
from explainer.words.facts.sides import few, few_of, read_on
from explainer.words.facts.study import in_units
from explainer.words.phrases.renderer import stopped
from explainer.words.quantity.numbers import MINUS, bare, p_words, percent, plural_of, rounded
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import (
    FINE,
    Sized,
    all_of,
    gap_unit,
    level,
    listed,
    number,
    per_step,
    tally,
    tally_from,
)
from explainer.words.quantity.when import past, uses
from explainer.words.sentence import put
from explainer.words.speakers import speaker_of

# What the second looks at a verdict found, as phrases need it: names, counts, other answers.

Facts = dict[str, Any]

#: The names of the facts below, which every verdict has.
NAMES = """
    chosen_apart chosen_by chosen_declared chosen_end chosen_found chosen_holds chosen_who
    confounded_with confounded_within confounder confounder_a confounder_b confounder_then cut_end
    cut_many cut_piled cut_share cut_two excluded exclusion_turns falls_back left left_many
    left_by left_early left_filled left_fragile left_in left_moved left_step left_tied left_turns
    operators_apart shared shared_from stayed stayed_all stayed_answer stayed_none turn_a
    turn_answer turn_b turn_by turn_decides turn_even turn_ones turn_others unequal unequal_answer
    unequal_from unequal_to unshared whole whole_answer with_answer with_moved
    stayed_few stayed_open whole_turns whole_within
"""


def second_looks(v: Verdict, study: Study, item: str) -> Facts:
    """Every fact of ``NAMES``; empty or false where a look found nothing."""
    d, table = v.detail.design, table_of(v, study)
    ends = (d.cut_low > 0, d.cut_high > 0)
    return {
        "cut_share": f"{d.cut_low + d.cut_high} of {d.cut_of}" if any(ends) else "",
        "cut_end": "lowest and highest" if all(ends) else "lowest" if ends[0] else "highest",
        "cut_piled": d.cut_piled, "cut_two": d.cut_two, "cut_many": d.cut_many,
        "left": the_ones(item, d.left, study, table),
        "left_many": tally(len(d.left), item) if d.left else "",
        **_left_in(v, d), "left_tied": d.left_tied, "left_turns": d.left_turns,
        "left_by": d.left_by,
        "left_early": tally(d.left_early, item),
        "left_moved": the_ones(item, d.left_moved, study, table),
        "left_fragile": named(item, d.left_fragile) if d.left_fragile else "",
        "left_step": d.left_step,
        "with_moved": the_ones(item, d.with_moved, study, table),
        "stayed": tally(d.stayed, item),
        "stayed_all": tally(d.stayed_all, item) if d.stayed_all else "",
        "stayed_answer": "" if _own_answer(v, d) else answer(
            v, d.stayed_estimate, d.stayed_low, d.stayed_high),
        "stayed_none": d.stayed_estimate is None,
        "stayed_few": dict(d.alone).get("stayed_code") == "not-tested" != v.code,
        "stayed_open": dict(d.alone).get("stayed_code") == "cannot-tell",
        "whole_turns": dict(d.alone).get("whole_code") != dict(d.alone).get("left_own"),
        "whole": tally(d.whole_n, item) if d.whole_n else "",
        "whole_answer": answer(v, d.whole_estimate, d.whole_low, d.whole_high)
        if d.whole_n != v.n_items else "",
        "whole_within": d.whole_estimate is not None and abs(d.whole_estimate) <= (
            getattr(v.detail, "margin", None) or 0.0),
        "excluded": the_ones(item, d.excluded, study, table),
        "exclusion_turns": d.exclusion_turns,
        "with_answer": answer(v, d.with_estimate, d.with_low, d.with_high),
        "turn_ones": tally(d.turn_a, item) if d.turn_by else "",
        "turn_others": tally(d.turn_b, item) if d.turn_by else "",
        **_confounded(v, d, study), **_chosen(v, d, study),
        "shared": Sized(d.shared_sd, None, None, _unit(v, study)).rough if d.shared_sd else "",
        "shared_from": "" if d.shared_from == "declared" else named(item, d.shared_from),
        "unequal": d.unequal,
        "unequal_from": "" if d.unequal_from is None else f"{d.unequal_from:g}",
        "unequal_to": "" if d.unequal_to is None else f"{d.unequal_to:g}",
        "unequal_answer": answer(v, d.unequal_estimate, d.unequal_low, d.unequal_high),
        "unshared": d.unshared and v.code in ("backed", "leans", "against"),
    }  # fmt: skip


def _left_in(v: Verdict, d: SecondLooks) -> Facts:
    """How many of those that lack a reading the verdict rests on all the same, and of how many the
    other answer takes the last reading for the end."""
    # Who was read once lies on the line between them, and moved along none of its own.
    counted = max(v.n_items, getattr(v.detail, "n_line", None) or 0)
    kept = counted - d.stayed if d.left and not d.stayed_all else 0
    filled = d.whole_n - v.n_items
    return {
        "left_in": "all" if 0 < kept == len(d.left) else cardinal(kept) if kept > 0 else "",
        "left_filled": cardinal(filled) if filled > 0 else "some",
    }  # fmt: skip


def _own_answer(v: Verdict, d: SecondLooks) -> bool:
    """Whether those who stayed are those the verdict rests on: their number is its own."""
    own = shown(v)
    pairs = ((d.stayed_estimate, v.estimate), (d.stayed_low, own.low), (d.stayed_high, own.high))
    return d.stayed == v.n_items and all(
        a == b or (None not in (a, b) and math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12))  # type: ignore[arg-type]
        for a, b in pairs
    )  # fmt: skip


def answer(v: Verdict, estimate: float | None, low: float | None, high: float | None) -> str:
    """Another answer to the same claim, with its range: ``−21 microinches (−25 to −17)``.

    It is told as finely as the verdict's own number, with which readers compare it; one that goes
    the other way says so, as a bare size does not.
    """
    if estimate is None:
        return ""
    own = shown(v)
    sized, step = Sized(estimate, low, high, v.unit, widest=own.widest), ""
    if " per " in v.unit:
        sized, step = per_step(sized, *(abs(x) for x in (own.value, own.low, own.high) if x))
        own, _ = per_step(own, *(abs(x) for x in (estimate, low, high) if x))
    elif v.test.kind in _GAPS:
        sized = Sized(estimate, low, high, gap_unit(v.unit))
    if own.low is not None and own.high is not None:
        sized = replace(sized, as_fine=(own.low, own.high))
    said = put("{} {}", sized.signed, step) if step else sized.signed
    if v.unit == "r":
        said = put("a link of {}", said)
    if estimate > 0 > (v.estimate or 0.0) and not sized.vanishes:  # no sign shows which way it is
        said = put("{} the other way", said)
    if not sized.ranged:
        return said
    if v.strip is not None and v.strip.level != 0.95:
        return put("{} ({} range {})", said, percent(v.strip.level), sized.span_bare)
    return put("{} ({})", said, sized.span_bare)


#: Kinds whose number is a difference of two readings, and so in the unit of one.
_GAPS = frozenset({"change", "no-change", "difference", "difference-in-change"})


def _unit(v: Verdict, study: Study) -> str:
    name = getattr(v.test, "measure", None) or getattr(v.test, "y", None)
    known = isinstance(name, str) and name in study.description.measures
    return gap_unit(study.measure(str(name)).unit) if known else gap_unit(v.unit)


def _confounded(v: Verdict, d: SecondLooks, study: Study) -> Facts:
    gap = d.operators_apart
    return {
        "confounder": d.confounder.replace("_", " "),
        "confounded_with": d.confounded_with.replace("_", " "),
        "confounder_a": d.confounder_a, "confounder_b": d.confounder_b,
        "confounder_then": d.confounder_then,
        "turn_by": d.turn_by.replace("_", " "), "turn_decides": d.turn_decides,
        "turn_even": d.turn_a == d.turn_b,
        "turn_a": label(getattr(v.test, "a", "")) if d.turn_by else "",
        "turn_b": label(getattr(v.test, "b", "")) if d.turn_by else "",
        "turn_answer": answer(v, d.turn_estimate, d.turn_low, d.turn_high),
        "operators_apart": Sized(gap, None, None, _unit(v, study)).rough if gap else "",
        "confounded_within": d.confounder_within,
    }  # fmt: skip


def _chosen(v: Verdict, d: SecondLooks, study: Study) -> Facts:
    by = study.term(d.chosen_by) if d.chosen_by in study.description.measures else d.chosen_by
    return {
        "chosen_by": by.replace("_", " "),
        "chosen_who": f"the {' '.join(d.chosen_who)} ones" if d.chosen_who else "they",
        "chosen_declared": d.chosen_declared,
        "chosen_end": {1: "highest", -1: "lowest"}.get(d.chosen_side, ""),
        "chosen_holds": d.chosen_holds, "chosen_apart": d.chosen_apart,
        "chosen_found": not Sized(v.estimate, v.low, v.high, v.unit).crosses,
        "falls_back": Sized(d.falls_back, None, None, _unit(v, study)).rough
        if d.falls_back else "",
    }  # fmt: skip


#: Facts that a phrase for any kind of test may ask for and that only some kinds have.
NOT_GIVEN: Facts = dict.fromkeys(
    ("between", "inside", "opposite", "margin", "pooled", "pooled_ahead", "single", "same_sign",
     "at_least", "line_from", "guard", "strong", "operators", "series", "term", "detects",
     "maybe_small")
) | dict.fromkeys(
    ("between_step", "between_way", "inside_way", "x_term", "y_term", "mix_ahead"), ""
) | {
    "uneven": False, "even_size": "", "even_down": "", "ends_size": "", "ends_side": "",
    "past_ends": "",
}  # fmt: skip

#: What is counted and not read off a gauge: no finer gauge would see it better.
COUNTS = ("pin", "count")

#: The names of the facts that every verdict has.
_NAMES = """
    all_balls alone at_least author balls bare because between between_step both by_both by_size
    cannot_answer claim_id code crosses detects down drift_took drift_turned drop falling
    fell flagged flagged_at
    fragile_count fragile_flips fragile_gone fragile_halves fragile_item fragile_pair
    fragile_range fragile_without group_only no_other_group
    gauge_unknown group_word groups_apart groups_other groups_unseen in_groups between_groups
    with_mates mates_side side_only side_none short_side short_n each_short when_asked
    moved_items n_moved
    ranks_opposite shared_checkpoints unmatched each_alone none_alone lacking lacking_by mixed
    shared_part step_at guard has_range inside item items its itself kind likely line_from lost
    lower
    margin maybe_small mdd mean_of measured measured_from measured_to mix_ahead n
    one_item one_shows one_step_at one_step_end one_step_without
    nil no_p operators opposite outside p p_counted p_holm
    p_line p_of_size p_short pooled pooled_ahead range range_name range_unit reaches reading_error
    reasons rows same_sign series signed signed_bare single size smallest_p span
    span_bare strong term took_part undefined went who x_term y_term whose people few_n few_side
    few_of against_whom between_way few_readings in_counts inside_way measured_to_is of_report
    reaches_is takes they_claim they_say uneven past_ends even_size even_down ends_size ends_side
"""
COMMON = frozenset((_NAMES + NAMES).split()) | POWER | frozenset(RELATIONS)


def facts(verdict: Verdict, study: Study) -> Facts:
    """Everything a phrase about this verdict may use."""
    table = table_of(verdict, study)
    item = item_of(verdict, study, table)
    sized, speaker = shown(verdict), speaker_of(verdict.claim.said_by)
    common: Facts = NOT_GIVEN | {
        "kind": verdict.test.kind, "code": verdict.code, "reasons": verdict.reasons,
        "item": item, "items": plural_of(item), "n": verdict.n_items,
        "balls": tally(verdict.n_items, item), "all_balls": all_of(verdict.n_items, item),
        "rows": verdict.n_rows, **pronouns(item),
        "alone": alone(verdict), **_range_named(verdict),
        "claim_id": verdict.claim.id, "has_range": sized.ranged,
        "p": p_words(_before(verdict)), "p_holm": _after(verdict),
        "p_of_size": _before(verdict) not in (None, verdict.p),
        "p_line": _line(verdict, study), "p_short": falls_short(verdict),
        "no_p": verdict.p is not None and _before(verdict) is None,
        "p_counted": verdict.detail.p_after is not None,
        "people": people(item, study, table), "in_counts": _unit(verdict, study) in COUNTS,
        "they_say": speaker.says, "they_claim": speaker.claims, "against_whom": speaker.against,
        "of_report": verdict.claim.of_report, "author": verdict.claim.plainly or "",
        "undefined": verdict.detail.undefined, "cannot_answer": cannot_answer(verdict),
        "few_readings": verdict.detail.undefined in FEW_READINGS,
        "takes": "" if verdict.detail.takes is None else cardinal(verdict.detail.takes),
    }  # fmt: skip
    common |= relations(verdict)
    common |= _number_facts(sized, study.workspace.settings.units_first)
    common |= _reason_facts(verdict, study, table, item)
    common |= second_looks(verdict, study, item)
    common |= KINDS[verdict.test.kind](verdict, study, table, sized)
    both = [str(common[name]) for name in ("x_term", "y_term") if common[name]]
    common["whose"] = str(common["balls"])
    if verdict.n_items == 1 and verdict.test.only:  # a claim about one item: by its name
        own = " ".join(label(value) for value in verdict.test.only.values())
        common["whose"] = named(item, own)
    if isinstance(verdict.detail, SameLineDetail):
        pass  # the line between balls counts each of them, the slope within each group
    elif common["in_groups"] and verdict.detail.groups_uneven:
        common["whose"] += f" ({common['in_groups']}, each counted once)"
    elif isinstance(verdict.detail, TrendDetail) and verdict.detail.uneven_groups:
        common["whose"] += " (each counted once)"  # where a change counts each group once
    common |= read_on(verdict, common, table)
    common["few_of"] = few_of(common)
    common["measured"] = common["term"] or listed(both) or "this"
    common |= power_facts(verdict, study, item)
    return common


#: Why a claim was not tested though there are readings of what it is about.
UNFIT = frozenset({"too-few-items", "groups", "one-group", "only-averages"})


def cannot_answer(verdict: Verdict) -> bool:
    """Whether a claim was not tested since the readings of it cannot answer it: they are too few,
    or not of the kind it takes.  Else nobody read anything that bears on it."""
    if verdict.code != "not-tested":
        return False
    unfit = bool(UNFIT & set(verdict.reasons)) or bool(verdict.detail.undefined)
    return unfit and (verdict.n_items > 0 or "only-averages" in verdict.reasons)


def _range_named(verdict: Verdict) -> dict[str, str]:
    """What the range that is shown is called wherever it is told: *the likely range*, *likely 2 to
    3*, and one of another level by its level."""
    level = verdict.strip.level if verdict.strip is not None else kind_of(verdict).level
    name = "likely range" if level == 0.95 else f"{percent(level)} range"
    return {"range_name": name, "likely": name.replace("likely range", "likely")}


def alone(verdict: Verdict) -> str:
    """Where the range lies, whatever else holds the verdict back: inside the zone the claim needs,
    outside it, or partly; empty without either."""
    strip = verdict.strip
    if strip is None or strip.low is None or strip.high is None:
        return ""
    return lies(strip, strip.low, strip.high)


def _before(verdict: Verdict) -> float | None:
    """p ahead of the Holm correction, the one that the verdict rests on; None where no p is one of
    the size that is claimed."""
    p = verdict.p if verdict.detail.p_line is None else verdict.detail.p_line
    return p if p == verdict.p or says_of_size(verdict) else None


def _line(verdict: Verdict, study: Study) -> str:
    """What the p that decides is held against, where that is not nothing at all."""
    if not verdict.detail.strong:
        return "the size claimed"
    return f"a link of {strong_line(verdict, study)}"


def strong_line(verdict: Verdict, study: Study) -> str:
    """The r that a strong link has to pass, with its sign."""
    line = line_held_to(verdict, thresholds(study.description)["strong_inner"])
    return number(line).replace("-", MINUS)


def _after(verdict: Verdict) -> str:
    """The same p after the Holm correction; empty without one."""
    p, before = verdict.detail.p_after, _before(verdict)
    if p is None or before is None:
        return ""
    return "the same" if p_words(p) == p_words(before) else p_words(p)


def shown(verdict: Verdict) -> Sized:
    """The estimate with the range its strip shows: 90% where a test of equivalence uses that."""
    low, high, strip = verdict.low, verdict.high, verdict.strip
    # A gauge's strip shows another number than the verdict's own.
    if strip is not None and strip.value is not None and strip.value == verdict.estimate:
        low, high = strip.low, strip.high
    relative = getattr(verdict.test, "in_", None) == "percent"
    unit = unit_of_gap(verdict) if kind_of(verdict).gap or relative else verdict.unit
    mine = strip is not None and strip.value == verdict.estimate
    against = strip.sizes if strip is not None and mine else ()
    seen = strip.seen if strip is not None else None
    return Sized(verdict.estimate, low, high, unit, against=against, widest=seen)


def _number_facts(sized: Sized, first: str) -> Facts:
    """The estimate as sentences need it; ``both`` has the other system of units beside."""
    return {
        "both": sized.both(first), "by_both": sized.by(sized.both(first)),
        "size": sized.size, "by_size": sized.by_size, "signed": sized.signed,
        "range": sized.range, "range_unit": sized.range_unit, "span": sized.span,
        "span_bare": sized.span_bare, "signed_bare": sized.signed_bare, "bare": sized.bare,
        "crosses": sized.crosses, **ways.moves(sized.sign),
        "nil": sized.value == 0,
        "went": "moved" if sized.vanishes else ways.moves(sized.sign)["fell"],
    }  # fmt: skip


def _reason_facts(verdict: Verdict, study: Study, table: Table | None, item: str) -> Facts:
    """Names and numbers behind the reason codes; None where a verdict has none."""
    d = verdict.detail
    own = shown(verdict).unit  # percentages differ by points of them
    without = Sized(d.fragile_without, verdict.low, verdict.high, own)
    step = Sized(d.one_step_without, verdict.low, verdict.high, own)
    unit = _measure_unit(verdict, study)
    # Of a slope what is left is told as a link, too.
    link = d.link if isinstance(d, TracksDetail) else None
    whole = link if isinstance(d, TracksDetail) else verdict.estimate
    reaches, to, from_ = _farthest(verdict), d.measured_to, d.measured_from
    in_x = isinstance(d, SameLineDetail)
    x_unit = study.measure(d.x).unit if isinstance(d, SameLineDetail) and d.x else ""

    windows = any(isinstance(p, tuple) for p in _points(verdict))

    def say(value: float) -> str:
        return level(value, x_unit) if in_x else uses(table, value, windows)

    return {
        "one_item": named(item, d.one_item) if d.one_item is not None else "",
        "one_shows": _one_shows(verdict, study) if d.one_item is not None else "",
        "fragile_item": named(item, d.fragile_item) if d.fragile_item is not None else None,
        "fragile_count": d.fragile_count, "fragile_range": d.fragile_range,
        "ranks_opposite": d.ranks_opposite,
        "fragile_pair": named(item, d.fragile_pair) if d.fragile_pair else None,
        **_design_facts(d, study, table, item), **few(verdict, item),
        "fragile_without": _left(without, d.fragile_without, link),
        "fragile_gone": _gone(whole, d.fragile_without),
        "fragile_flips": _flips(whole, d.fragile_without),
        "fragile_halves": _halves(whole, d.fragile_without),
        "one_step_at": past(table, d.one_step_at) if d.one_step_at is not None else None,
        "one_step_end": _end(table, d.one_step_at),
        "one_step_without": _left(step, d.one_step_without, link),
        "drift_took": isinstance(d, TracksDetail) and d.drift_took,
        "drift_turned": isinstance(d, TracksDetail) and d.drift_turned,
        "reaches": say(reaches) if reaches is not None else None,
        "measured_to": say(to) if to is not None else None,
        "reaches_is": _is(table, reaches, in_x or windows),
        "measured_to_is": _is(table, to, in_x or windows),
        "measured_from": None if from_ is None else number(from_) if in_x else say(from_),
        "outside": the_ones(item, d.outside_items, study, table),
        "group_only": d.group_only, "no_other_group": d.no_other_group,
        "mdd": Sized(d.mdd, None, None, unit).rough if d.mdd else None,
        "mean_of": tally_from(d.mean_of, d.mean_of_most, item) if d.mean_of else None,
        "because": stopped(d.because.strip()),
        "flagged": list(d.flagged), "flagged_at": flagged_at(verdict, table),
        "reading_error": Sized(d.reading_error, None, None, unit).size
        if d.reading_error else None,
        "smallest_p": p_words(d.smallest_p),
    }  # fmt: skip


def _end(table: Table | None, at: float | None) -> str:
    """Which end of the checkpoints one stands at: nothing can be read ahead of the first."""
    if table is None or at is None or not table.checkpoints:
        return ""
    return "first" if at <= table.checkpoints[0] else "last" if at >= table.checkpoints[-1] else ""


def _is(table: Table | None, value: float | None, otherwise: bool) -> str:
    """An amount of use in the listener's units, in brackets; empty for anything else."""
    if table is None or value is None or value <= 0 or otherwise:
        return ""
    return in_units(table, value).bracket


def _one_shows(verdict: Verdict, study: Study) -> str:
    """What one item shows: ``a change of −14.7 microinches in cover roughness``."""
    test, sized = verdict.test, shown(verdict)
    name = getattr(test, "measure", None)
    if not isinstance(name, str):  # a link, which has sentences of its own
        return f"a slope of {sized.signed}"
    term = study.term(name)
    if verdict.unit == "share":
        return f"{sized.signed} of the whole change in {term} done by then"
    if getattr(test, "from_", None) is None and getattr(test, "by", None) is None:
        return put("{} of {}", term, sized.signed)
    what = "gap" if getattr(test, "from_", None) is None else "change"
    half = ", in the half of the claim that decides" if test.kind == "settles" else ""
    return put("a {} of {} in {}{}", what, sized.signed, term, half)


def _design_facts(d: Detail, study: Study, table: Table | None, item: str) -> Facts:
    """What the way the study was built does to a verdict."""
    word = group_word(study, table)
    if d.groups_by:  # a column of kinds that the study does not name
        word = d.groups_by.replace("_", " ").replace("-", " ")
    shared = d.shared_checkpoints
    return {
        "group_word": word, "in_groups": tally(d.n_groups, word) if d.n_groups else None,
        "with_mates": tally(d.with_mates, item) if d.with_mates else None,
        "mates_side": isinstance(d, SidesDetail | NoWorseDetail | NoDifferenceDetail)
        and not d.paired,
        "groups_apart": d.groups_apart, "between_groups": d.between_groups,
        "groups_other": getattr(d, "groups_other", False),
        "groups_unseen": getattr(d, "groups_unseen", False),
        "shared_checkpoints": cardinal(shared) if shared else None, "each_alone": d.each_alone,
        "none_alone": d.none_alone,
        "unmatched": d.unmatched and not shared,
        "lacking": tally(len(d.lacking), item) if d.lacking else None, "mixed": d.mixed,
        "lacking_by": d.lacking_by.replace("_", " "),
        "shared_part": d.shared_part, "gauge_unknown": d.gauge_unknown,
        "moved_items": the_ones(item, d.moved_items, study, table), "n_moved": len(d.moved_items),
        "step_at": number(d.step_at) if d.step_at is not None else None,
    }  # fmt: skip


def _points(verdict: Verdict) -> list[Checkpoint]:
    """The checkpoints and windows the claim speaks of."""
    given = (getattr(verdict.test, name, None) for name in ("from_", "by", "to", "at"))
    return [p for p in given if isinstance(p, int | float | tuple)]


def _farthest(verdict: Verdict) -> float | None:
    """How far past the data a claim reaches: to the end of its last window."""
    reaches, edge = verdict.detail.reaches, verdict.detail.measured_to
    if reaches is None or edge is None or reaches <= edge:
        return None if reaches is None else float(reaches)
    ends = [float(p[1] if isinstance(p, tuple) else p) for p in _points(verdict)]
    return max([float(reaches), *ends])


def _left(sized: Sized, value: float | None, link: float | None) -> str | None:
    """What is left without an item or a checkpoint; a link as fine as the figure tells it.

    A slope is set against its ``link``, which a page that tells the slope tells nowhere else.
    """
    if value is None:
        return None
    if link is not None:
        here, all_in = (bare(rounded(r, *FINE)) for r in (value, link))
        return put("a link of {} in place of {}", here, all_in)
    return bare(rounded(value, *FINE)) if sized.unit == "r" else sized.signed


def _gone(estimate: float | None, without: float | None) -> bool:
    """Hardly anything is left: less than a fifth, or none to work out."""
    return without is None or abs(without) < 0.2 * abs(estimate or 0.0)


def _flips(estimate: float | None, without: float | None) -> bool:
    return without is not None and bool(estimate) and without * (estimate or 0) < 0


def _halves(estimate: float | None, without: float | None) -> bool:
    """Less than half is left; what carries a verdict against a size need not do that."""
    return without is not None and abs(without) < 0.5 * abs(estimate or 0.0)


def _measure_unit(verdict: Verdict, study: Study) -> str:
    name = getattr(verdict.test, "measure", None)
    return study.measure(name).unit if isinstance(name, str) else ""
