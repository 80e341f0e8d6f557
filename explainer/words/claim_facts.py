"""What phrases may say of a verdict: its numbers and names in words, by kind of test.

``facts`` gives one flat mapping of strings, counts and flags.  Each kind adds its own in one
small function of ``KINDS``.  Phrases put them in order; nothing here chooses a sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t
from explainer.study.model import Study, Table
from explainer.words import ways
from explainer.words.numbers import p_words, percent, plural_of, rounded, share_words
from explainer.words.sizes import NOTHING, Sized, level, listed, number, per_step, tally
from explainer.words.when import at_point, past, span_words, uses

Facts = dict[str, Any]

#: Reasons that take a verdict down although its range alone would hold.
SHAKY = frozenset({"fragile", "one-step", "holm", "gauge-too-coarse", "shared-trend", "mixture"})


#: Facts that a phrase for any kind of test may ask for and that only some kinds have.
NOT_GIVEN: Facts = dict.fromkeys(
    ("between", "inside", "opposite", "margin", "pooled", "pooled_ahead", "single", "same_sign",
     "at_least", "line_from", "guard", "strong", "operators", "series", "term")
) | {"between_step": ""}  # fmt: skip


def facts(verdict: Verdict, study: Study) -> Facts:
    """Everything a phrase about this verdict may use."""
    table = table_of(verdict, study)
    item = item_of(verdict, study, table)
    sized = shown(verdict)
    common: Facts = NOT_GIVEN | {
        "kind": verdict.test.kind, "code": verdict.code, "reasons": verdict.reasons,
        "item": item, "items": plural_of(item), "n": verdict.n_items,
        "balls": tally(verdict.n_items, item), "rows": verdict.n_rows,
        "claim_id": verdict.claim.id, "has_range": sized.ranged, "p": p_words(verdict.p),
        "p_holm": p_words(verdict.p_holm) if verdict.p_holm is not None else "",
        "author": verdict.claim.plainly or "", "undefined": verdict.detail.get("undefined", ""),
    }  # fmt: skip
    common |= _number_facts(sized, study.workspace.settings.units_first)
    common |= _reason_facts(verdict, study, table, item)
    common |= KINDS[verdict.test.kind](verdict, study, table, sized)
    common |= _power_facts(verdict, item, common)
    return common


def shown(verdict: Verdict) -> Sized:
    """The estimate with the range its strip shows: 90% where a test of equivalence uses that."""
    low, high, strip = verdict.low, verdict.high, verdict.strip
    if strip is not None and strip.value is not None and strip.unit == verdict.unit:
        low, high = strip.low, strip.high
    return Sized(verdict.estimate, low, high, verdict.unit)


def subs(verdict: Verdict) -> list[str]:
    """Finer names of this verdict's case, the most telling first."""
    found: list[str] = []
    if verdict.code == "not-tested":
        found += list(verdict.reasons)
    elif verdict.estimate is None and verdict.test.kind != "limit":
        found.append("no-number")
    elif verdict.low is None and verdict.high is None and verdict.test.kind != "limit":
        found.append("no-range")
    elif "no-margin" in verdict.reasons:
        found.append("no-margin")
    elif verdict.detail.get("flags_decide"):
        found.append("flags-decide")
    elif verdict.code in ("leans", "cannot-tell") and SHAKY & set(verdict.reasons):
        found.append("shaky")
    elif verdict.code == "against":
        found += _against(verdict)
    if verdict.detail.get("strong"):
        found.append("strong")
    return found


def _against(verdict: Verdict) -> list[str]:
    """How the data disagree: too small, short of what was said, or the other way."""
    low, high, margin = verdict.low, verdict.high, verdict.detail.get("margin")
    if verdict.test.kind not in ("change", "difference") or low is None or high is None:
        return []
    side = _side(verdict)
    if verdict.detail.get("at_least") and side * (verdict.estimate or 0) > 0:
        return ["short"]
    if margin is not None and -margin * 1.3 <= low and high <= margin * 1.3:
        return ["small"]
    return []


def _side(verdict: Verdict) -> int:
    """The way the claim says: 1, −1, or that of the estimate where it says none."""
    said = getattr(verdict.test, "direction", "any")
    ways_ = {"up": 1, "higher": 1, "positive": 1, "down": -1, "lower": -1, "negative": -1}
    return ways_.get(said, 1 if (verdict.estimate or 0) > 0 else -1)


def table_of(verdict: Verdict, study: Study) -> Table | None:
    return study.tables.get(verdict.table)


def item_word(study: Study, table: Table | None) -> str:
    """The word for one of what counts: ball, bowler."""
    each = table.item if table is not None else study.description.tested.each
    return each.replace("_", " ").replace("-", " ").lower()


def item_of(verdict: Verdict, study: Study, table: Table | None) -> str:
    """The word for what counts in this test: whoever repeats, where the test names them."""
    who = getattr(verdict.test, "within", None)
    if verdict.test.kind == "rate-difference" and who:
        return str(who).replace("_", " ").replace("-", " ").lower()
    return item_word(study, table)


def named(item: str, name: Any) -> str:
    """An item by name: ``ball T3``; a name that already says what it is stands alone."""
    text = str(name)
    return text if item in text.casefold() else f"{item} {text}"


def _number_facts(sized: Sized, first: str) -> Facts:
    """The estimate as sentences need it; ``both`` has the other system of units beside."""
    return {
        "both": sized.both(first), "by_both": sized.by(sized.both(first)),
        "size": sized.size, "by_size": sized.by_size, "signed": sized.signed,
        "range": sized.range, "range_unit": sized.range_unit, "span": sized.span,
        "span_bare": sized.span_bare, "signed_bare": sized.signed_bare, "bare": sized.bare,
        "crosses": sized.crosses, **ways.moves(sized.sign),
    }  # fmt: skip


def _reason_facts(verdict: Verdict, study: Study, table: Table | None, item: str) -> Facts:
    """Names and numbers behind the reason codes; None where a verdict has none."""
    d = verdict.detail
    without = Sized(d.get("fragile_without"), verdict.low, verdict.high, verdict.unit)
    step = Sized(d.get("one_step_without"), verdict.low, verdict.high, verdict.unit)
    unit = _measure_unit(verdict, study)
    slope_test = verdict.test.kind == "tracks-within"
    reaches, to, from_ = d.get("reaches"), d.get("measured_to"), d.get("measured_from")
    in_x = verdict.test.kind == "same-line"
    x_unit = study.measure(d["x"]).unit if in_x and "x" in d else ""
    say = (lambda v: level(v, x_unit)) if in_x else (lambda v: uses(table, v))
    return {
        "fragile_item": named(item, d["fragile_item"]) if "fragile_item" in d else None,
        "fragile_without": _r_or_size(without, d.get("fragile_without"), slope_test),
        "fragile_flips": _flips(verdict.estimate, d.get("fragile_without"), slope_test),
        "one_step_at": past(table, d["one_step_at"]) if "one_step_at" in d else None,
        "one_step_without": _r_or_size(step, d.get("one_step_without"), slope_test),
        "reaches": say(reaches) if reaches is not None else None,
        "measured_to": say(to) if to is not None else None,
        "measured_from": None if from_ is None else number(from_) if in_x else say(from_),
        "outside": listed([named(item, i) for i in d.get("outside_items", ())]),
        "group_only": d.get("group_only"),
        "mdd": Sized(d.get("mdd"), None, None, unit).size if d.get("mdd") else None,
        "mean_of": tally(int(d["mean_of"]), item) if d.get("mean_of") else None,
        "because": _stop(str(d.get("because", ""))),
        "flagged": [str(f) for f in d.get("flagged", ())],
        "reading_error": Sized(d.get("reading_error"), None, None, unit).size
        if d.get("reading_error") else None,
        "smallest_p": p_words(d.get("smallest_p")),
    }  # fmt: skip


def _r_or_size(sized: Sized, value: float | None, slope_test: bool) -> str | None:
    if value is None:
        return None
    return f"a link of {rounded(value, -0.05, 0.05)}" if slope_test else sized.signed


def _flips(estimate: float | None, without: float | None, slope_test: bool) -> bool:
    return without is not None and bool(estimate) and without * (estimate or 0) < 0


def _stop(text: str) -> str:
    text = text.strip()
    return text if not text or text[-1] in ".!?" else text + "."


def _measure_unit(verdict: Verdict, study: Study) -> str:
    name = getattr(verdict.test, "measure", None)
    return study.measure(name).unit if isinstance(name, str) else ""


def _power_facts(verdict: Verdict, item: str, common: Facts) -> Facts:
    """What this many items could see, and how many would settle it."""
    power = verdict.power
    needed = power.items_needed if power else None
    effect = Sized(power.at_effect, None, None, power.unit) if power else None
    smallest = Sized(power.smallest_effect, None, None, power.unit) if power else None
    return {
        "needed": tally(needed, item) if needed else None,
        "more_needed": bool(needed and needed > verdict.n_items),
        "far_off": bool(needed and needed > 40 * max(verdict.n_items, 1)),
        "effect": _effect(effect, verdict) if effect and effect.value else None,
        "smallest": _effect(smallest, verdict) if smallest and smallest.value else None,
    }


def _effect(sized: Sized, verdict: Verdict) -> str:
    if " per " not in sized.unit:
        return sized.rough
    beside = [v for v in (verdict.estimate, verdict.low, verdict.high) if v is not None]
    scaled, step = per_step(sized, *(abs(v) for v in beside))
    return f"{scaled.rough} {step}"


# One function per kind of test ---------------------------------------------------------------


def _moved(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """change, no-change."""
    test = v.test
    assert isinstance(test, t.Change | t.NoChange)
    d = v.detail
    sign = sized.sign or -1
    claimed = _side(v)
    same = d.get("n_up" if sign > 0 else "n_down", 0)
    margin = d.get("margin") or getattr(test, "margin", None)
    return {
        **_measure_facts(study, test.measure, sign, "smoother", "rougher"),
        **_measure_facts(study, test.measure, claimed, "claimed", "claimed_other"),
        **_claimed_moves(claimed, getattr(test, "direction", "any")),
        "over": span_words(table, test.from_, test.to),
        "start": at_point(table, test.from_), "end": at_point(table, test.to),
        "mean_from": _figure(d.get("mean_from")), "mean_to": level(d.get("mean_to"), v.unit),
        "has_means": d.get("mean_from") is not None,
        "same": same, "all_same": same == v.n_items and v.n_items > 1,
        "margin": Sized(margin, None, None, v.unit).size if margin else None,
        "at_least": Sized(d.get("at_least"), None, None, v.unit).size
        if d.get("at_least") else None,
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


def _figure(value: float | None) -> str:
    return "not known" if value is None else rounded(value)


def _apart(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """difference."""
    test = v.test
    assert isinstance(test, t.Difference)
    d = v.detail
    sign = sized.sign or 1
    a, b = _side_name(test.a), _side_name(test.b)
    margin = d.get("margin")
    at = f" {at_point(table, test.at)}" if test.at is not None and table is not None else ""
    return {
        **_measure_facts(study, test.measure, sign, "rougher", "smoother"),
        **_measure_facts(study, test.measure, _side(v), "claimed", "claimed_other"),
        "a": a, "b": b, "directed": test.direction != "any", "paired": bool(d.get("paired")),
        "mean_a": _figure(d.get("mean_a")), "mean_b": level(d.get("mean_b"), v.unit),
        "n_a": d.get("n_a", 0), "n_b": d.get("n_b", 0), "at": at,
        "ahead": a if sign > 0 else b, "behind": b if sign > 0 else a,
        "margin": Sized(margin, None, None, v.unit).size if margin else None,
        "at_least": Sized(d.get("at_least"), None, None, v.unit).size
        if d.get("at_least") else None,
        "apart": sized.reach(f"lead for {b}", f"lead for {a}"),
        "apart_bare": sized.reach(f"lead for {b}", f"lead for {a}", unit=False),
    }  # fmt: skip


def _side_name(value: str | float) -> str:
    return value if isinstance(value, str) else number(float(value))


def _pair(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """association, no-association: x and y, both levels."""
    test = v.test
    assert isinstance(test, t.Association | t.NoAssociation)
    x, y = _name(test.x), _name(test.y)
    margin = v.detail.get("margin")
    slope = v.extra.get("slope")
    y_unit, x_unit = study.measure(y).unit, study.measure(x).unit
    return {
        **_two_measures(study, x, y, sized.sign or 1, _side(v)),
        "r": sized.signed, "r_range": sized.span, "strong": bool(v.detail.get("strong")),
        "margin": rounded(margin) if margin else None,
        "within": bool(v.detail.get("within")),
        **_slope(slope, f"{y_unit} per {x_unit}", "line"),
        **_levels(v, f"{y_unit} per {x_unit}"),
    }


def _journey(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """tracks-within, same-line."""
    test = v.test
    assert isinstance(test, t.TracksWithin | t.SameLine)
    x, y = _name(test.x), _name(test.y)
    d = v.detail
    unit = f"{study.measure(y).unit} per {study.measure(x).unit}"
    within = v.estimate if isinstance(test, t.TracksWithin) else d.get("slope_within")
    sign = -1 if (within or 0) < 0 else 1
    slope = Sized(within, d.get("slope_within_low", v.low), d.get("slope_within_high", v.high), unit)
    scaled, step = per_step(slope)
    return {
        **_two_measures(study, x, y, sign, _side(v)),
        "slope": scaled.size, "flat": scaled.size == NOTHING, "slope_signed": scaled.signed,
        "slope_span": scaled.span_bare, "slope_range": scaled.slope_range,
        "slope_range_unit": scaled.slope_range_unit,
        "step": step, "same_sign": d.get("items_same_sign"),
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
        "y_then": ways.word(my, ty, sign), "y_else": ways.word(my, ty, -sign),
        "y_claimed": ways.word(my, ty, claimed), "y_unclaimed": ways.word(my, ty, -claimed),
        "together": sign > 0,
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
    between, inside = v.detail.get("slope_between"), v.detail.get("slope_within")
    found: Facts = {"between": None, "between_step": "", "inside": None}
    if between is not None and inside is not None:
        first, step = per_step(Sized(between, None, None, unit), inside)
        second, _ = per_step(Sized(inside, None, None, unit), between)
        found = {"between": first.rough, "between_step": step, "inside": _as_fine(second, first)}
    return {
        **found, "levels": v.detail.get("slopes_differ"),
        "opposite": (between or 0) * (inside or 0) < 0,
    }  # fmt: skip


def _as_fine(second: Sized, first: Sized) -> str:
    """A second slope to the decimals of the first: 0.02 beside 0.89."""
    places = len(first.rough_bare.partition(".")[2])
    figures = f"{abs(second.value or 0):,.{places}f}"
    return figures if figures.strip("0.") else NOTHING


def _share(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """break-in."""
    test = v.test
    assert isinstance(test, t.BreakIn)
    sign = 1 if (v.detail.get("total_change") or -1) > 0 else -1
    total = Sized(v.detail.get("total_change"), None, None, study.measure(test.measure).unit)
    return {
        **_measure_facts(study, test.measure, sign, "smoother", "rougher"), **ways.moves(sign),
        "by": past(table, test.by), "over": span_words(table, test.from_, test.to),
        "end": at_point(table, test.to), "share": share_words(v.estimate),
        "overshot": (v.estimate or 0) > 1, "total": total.size,
    }  # fmt: skip


def _drift(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """trend."""
    test = v.test
    assert isinstance(test, t.Trend)
    scaled, step = per_step(sized)
    same = v.detail.get("n_up" if sized.sign > 0 else "n_down", 0)
    single = v.detail.get("single")
    return {
        **_measure_facts(study, test.measure, sized.sign or -1, "smoother", "rougher"),
        **_claimed_moves(_side(v), test.direction),
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


def _gauge(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """repeatability."""
    test = v.test
    assert isinstance(test, t.Repeatability)
    d = v.detail
    unit = study.measure(test.measure).unit
    mdd = d.get("mdd") or v.extra.get("mdd")
    return {
        "term": study.term(test.measure), "share": rounded(v.estimate, v.low, v.high),
        "operators": tally(int(d.get("n_operators") or 0), "operator"),
        "n_operators": int(d.get("n_operators") or 0),
        "repeats": d.get("repeats"), "good": rounded(d.get("good_enough")),
        "mdd": Sized(mdd, None, None, unit).size if mdd else None,
        "detects": Sized(test.detects, None, None, unit).size if test.detects else None,
        "ndc": f"{v.extra['ndc']:.1f}" if v.extra.get("ndc") else None,
        "share_range": sized.range,
    }  # fmt: skip


def _conform(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """limit."""
    test = v.test
    assert isinstance(test, t.LimitTest)
    calls = list(v.detail.get("calls") or v.extra.get("items") or ())
    item = item_word(study, table)
    by_call = {c: [named(item, r["item"]) for r in calls if r["call"] == c]
               for c in ("pass", "fail", "too-close")}  # fmt: skip
    unit = study.measure(test.measure).unit
    limit = test.at_least if test.at_least is not None else test.at_most
    guard = v.detail.get("guard")
    return {
        "term": study.term(test.measure), "limit": level(limit, unit),
        "at_least": test.at_least is not None, "unit": unit,
        "passes": len(by_call["pass"]), "fails": len(by_call["fail"]),
        "close": len(by_call["too-close"]), "failed": listed(by_call["fail"][:6]),
        "unsure": listed(by_call["too-close"][:6]),
        "guard": Sized(guard, None, None, unit).size if guard else None,
        "guard_bare": Sized(guard, None, None, unit).bare if guard else None,
    }  # fmt: skip


def _rates(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """rate-difference."""
    test = v.test
    assert isinstance(test, t.RateDifference)
    d = v.detail
    sign = sized.sign or 1
    a, b = _side_name(test.a), _side_name(test.b)
    pooled = v.extra.get("pooled_difference")
    return {
        "a": a, "b": b, "what": test.successes.replace("_", " "),
        "tries": test.attempts.replace("_", " "), "directed": test.direction != "any",
        "ahead": a if sign > 0 else b, "behind": b if sign > 0 else a,
        "claimed_ahead": a if _side(v) > 0 else b, "claimed_behind": b if _side(v) > 0 else a,
        "rate_a": percent(d.get("rate_a")), "rate_b": percent(d.get("rate_b")),
        "has_rates": d.get("rate_a") is not None, "attempts": f"{d.get('attempts', 0):,}",
        "same": d.get("n_up" if sign > 0 else "n_down", 0),
        "apart": sized.reach(f"lead for {b}", f"lead for {a}"),
        "apart_bare": sized.reach(f"lead for {b}", f"lead for {a}", unit=False),
        "pooled": Sized(pooled, None, None, "rate").size if pooled is not None else None,
        "pooled_ahead": a if (pooled or 0) > 0 else b,
    }  # fmt: skip


def _none(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """not-testable."""
    return {}


KINDS: Mapping[str, Callable[[Verdict, Study, Table | None, Sized], Facts]] = {
    "change": _moved,
    "no-change": _moved,
    "difference": _apart,
    "association": _pair,
    "no-association": _pair,
    "tracks-within": _journey,
    "same-line": _journey,
    "break-in": _share,
    "trend": _drift,
    "repeatability": _gauge,
    "limit": _conform,
    "rate-difference": _rates,
    "not-testable": _none,
}
