"""How a verdict's numbers lie to each other: what chooses a sentence, and what it may depend on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from explainer.claims.kinds import kind_of
from explainer.claims.rules import SIDE
from explainer.claims.verdict import Strip, Verdict
from explainer.words.quantity.sizes import Sized, per_step

# How a range lies to a zone on a number line; a slope's line in steps people can picture.

End = float | None


def meets(ends: tuple[End, End], zone: tuple[End, End]) -> str:
    """``inside``: the whole range lies in the zone; ``outside``: none of it; else ``partly``.

    An open end of either is infinite.
    """
    low, high = _open(*ends)
    at_least, at_most = _open(*zone)
    if at_least <= low and high <= at_most:
        return "inside"
    return "outside" if high < at_least or low > at_most else "partly"


def lies(strip: Strip | None, low: float, high: float) -> str:
    """Where a range lies to what the claim needs: ``inside``, ``outside``, ``partly``; empty
    where a strip shows no need."""
    if strip is None:
        return ""
    if strip.claim_zone is not None and strip.claim_zone != (None, None):
        where = meets((low, high), strip.claim_zone)
        # A way up or down begins past nothing: a range that ends on it still has nothing in it.
        way = None in strip.claim_zone and 0.0 in strip.claim_zone and strip.null == 0
        if where == "inside" and strip.sure is not None:
            return "inside" if meets((low, high), strip.sure) == "inside" else "partly"
        return "partly" if where == "inside" and way and low <= 0 <= high else where
    if strip.beyond is None:
        return ""
    size = strip.beyond
    if low > size or high < -size:
        return "inside"
    return "outside" if size and -size < low and high < size else "partly"


def _open(low: End, high: End) -> tuple[float, float]:
    return (
        float("-inf") if low is None else low,
        float("inf") if high is None else high,
    )


def in_steps(strip: Strip) -> tuple[Strip, str]:
    """A slope's line for the round step its sentences use: boards ``for every 10 microinches``.

    Any other line stays as it is, with nothing to say of a step.
    """
    if " per " not in strip.unit:
        return strip, ""
    scaled, step = per_step(Sized(strip.value, strip.low, strip.high, strip.unit,
                                  against=strip.sizes, widest=strip.seen))  # fmt: skip
    whole = (v for v in ((strip.value, scaled.value), (strip.low, scaled.low)) if v[0])
    times = next((b / a for a, b in whole if a and b is not None), 1.0)

    def stretched(zone: tuple[End, End] | None) -> tuple[End, End] | None:
        if zone is None:
            return None
        low, high = (None if end is None else end * times for end in zone)
        return low, high

    return replace(
        strip, value=scaled.value, low=scaled.low, high=scaled.high, unit=scaled.unit,
        claim_zone=stretched(strip.claim_zone), small_zone=stretched(strip.small_zone),  # type: ignore[arg-type]
        null=None if strip.null is None else strip.null * times,
        beyond=None if strip.beyond is None else strip.beyond * times, inner=stretched(strip.inner),  # type: ignore[arg-type]
        small_too=stretched(strip.small_too),  # type: ignore[arg-type]
        outcomes=tuple(v * times for v in strip.outcomes),
    ), step  # fmt: skip


# The finer case of a verdict, which chooses its phrase: no range, too small, short.

#: Reasons that take a verdict down although its range alone would hold.
SHAKY = frozenset({
    "fragile", "one-step", "holm", "gauge-too-coarse", "shared-trend", "mixture", "too-few-items",
    "unequal-use", "shared-part", "items-moved", "narrow-zone", "straight", "step", "pairs",
    "cut-off", "dropouts", "exclusion-decides", "confounded", "chosen",
})  # fmt: skip


def subs(verdict: Verdict) -> list[str]:
    """Finer names of this verdict's case, the most telling first."""
    found: list[str] = ["one"] if verdict.detail.one_item else []
    own = _own(verdict)
    if verdict.code == "not-tested":
        found += list(verdict.reasons)
    elif (verdict.estimate is None and verdict.low is None and verdict.high is None
          and not kind_of(verdict).calls):  # fmt: skip
        found.append("no-number")
    elif verdict.low is None and verdict.high is None and not kind_of(verdict).calls:
        found.append("no-range")
    elif "no-margin" in verdict.reasons:
        found.append("no-margin")
    elif verdict.detail.flags_decide:
        found.append("flags-decide")
    elif verdict.code == "against":
        return [*found, *own, *_against(verdict), *(["strong"] if verdict.detail.strong else [])]
    found += own
    if verdict.detail.strong:
        found.append("strong")
    return found


def _own(verdict: Verdict) -> list[str]:
    """What this claim asks beside others of its kind: with something held alike (the group, too),
    about so much a step, as a ratio of odds, that two rates are alike, or that none meets a
    limit."""
    detail = verdict.detail
    alike = verdict.test.kind == "rate-difference" and detail.margin is not None
    asked = {
        "about": getattr(detail, "about", None) is not None, "odds": getattr(detail, "odds", False),
        "alike": alike, "none": getattr(verdict.test, "meets", "all") == "none",
        "given": bool(getattr(detail, "given", ())) or getattr(detail, "inside_groups", False),
    }  # fmt: skip
    return [name for name, so in asked.items() if so]


def the_catch(verdict: Verdict) -> str:
    """The first of ``catches``: the same one wherever one is told.  Empty where there is none."""
    return next(iter(catches(verdict)), "")


def catches(verdict: Verdict) -> list[str]:
    """The reasons that take a lean or an open claim down, whatever its range says alone."""
    weakest_first = sorted(verdict.each, key=lambda part: part.code != verdict.code)
    for part in weakest_first:
        detail, found = part.detail, list[str]()
        for reason in part.reasons if part.code in ("leans", "cannot-tell") else ():
            apart = reason == "groups" and (
                detail.groups_apart or detail.between_groups
                or getattr(detail, "groups_other", False)
            )  # fmt: skip
            # A change that one checkpoint makes is there all the same: that explains it.
            takes = reason in SHAKY and (reason, part.test.kind) != ("one-step", "change")
            if reason == "unequal-use" and detail.shared_checkpoints and not detail.mixed:
                continue  # only what all of them share counts, and there they were read alike
            if (takes or apart) and reason not in detail.idle:
                found.append(reason)
        if found:
            return [*found, *(["holm"] if detail.holm_too else [])]
    return []


def shaky(verdict: Verdict) -> bool:
    """Whether there is such a catch."""
    return bool(the_catch(verdict))


def too_little(known: Mapping[str, Any]) -> bool:
    """Whether a range says no by being all less than what matters: of a claim that names a size
    it is the size that decides."""
    return bool(known["within_margin"] and not known["sized"])


def by_numbers(verdict: Verdict) -> bool:
    """Whether its range alone makes a claim lean, or leaves it open, as it is told: then nothing
    beside the numbers holds it back, whatever else is said of it."""
    strip, detail = verdict.strip, verdict.detail
    if verdict.code not in ("leans", "cannot-tell") or len(verdict.parts) > 1 or (
        strip is None or strip.low is None or strip.high is None or strip.sure is not None
        or kind_of(verdict).calls or detail.flags_decide
    ):
        return False
    if lies(strip, strip.low, strip.high) != "partly" or too_little(relations(verdict)):
        return False
    leans = strip.inner is not None and lies(strip, *strip.inner) == "inside"
    return verdict.code == "leans" or not leans


def _against(verdict: Verdict) -> list[str]:
    """How the data disagree: too small, short of what was said, or the other way."""
    low, high, margin = verdict.low, verdict.high, verdict.detail.margin
    corrected = kind_of(verdict).corrected
    if not corrected or low is None or high is None:
        return []
    side = claimed_side(verdict)
    none = 1.0 if verdict.unit == "odds ratio" else 0.0
    other_way = high < none if side > 0 else low > none
    # That it went the other way is a finding of its own, and has to clear the correction as one;
    # that it is not the size claimed can be sure without.
    p = verdict.p if verdict.p_holm is None else verdict.p_holm
    if verdict.detail.at_least and (not other_way or (p is not None and p >= 0.05)):
        return ["short"]
    if not kind_of(verdict).gap:
        return []
    return ["small"] if margin is not None and not other_way else []


def claimed_side(verdict: Verdict) -> int:
    """The way the claim says: 1, −1, or that of the estimate where it says none."""
    side = SIDE[getattr(verdict.test, "direction", "any")]
    return side or (1 if (verdict.estimate or 0) > 0 else -1)


#: What each relation means; the handbook's list for who writes phrases of their own.
RELATIONS = {
    "has_number": "there is an estimate",
    "ranged": "there is a range, closed on both sides",
    "one_sided": "the whole range lies on one side of nothing (0)",
    "clear_of_none": "so does the 95% range, whichever range the claim is held to",
    "past_luck": "so it does with all that was tested allowed for, and no one checkpoint makes it",
    "spans_nothing": "nothing (0) lies in the range",
    "both_ways": "the range goes past nothing on both sides, and does not end on it",
    "way_claimed": "the claim says which way",
    "as_claimed": "the estimate lies on the side that the claim says; true where it says none",
    "other_way": "the claim says a way, and the estimate lies on the other side of nothing",
    "all_in": "the whole range lies where the claim needs it",
    "all_out": "the whole range lies where the claim rules it out",
    "part_in": "part of the range lies where the claim needs it, and part does not",
    "only_touches": "the range ends on a bound of what the claim needs: but for that end, all of "
    "it lies where the claim needs it, or none of it does",
    "guess_in": "the estimate lies where the claim needs it",
    "under_zone": "the whole range is less than the claim needs, not all on nothing's far side, "
    "nor the estimate with as much as that in its range",
    "sized": "the claim names a size: at least so much",
    "past_size": "the whole range is at least that size, the way the claim says",
    "short_of_size": "the whole range is less than that size, the way the claim says",
    "spans_size": "that size lies in the range",
    "has_margin": "somebody said how much matters",
    "within_margin": "the whole range is smaller than what matters, either way",
    "past_margin": "the whole range is more than what matters, on one side",
    "spans_margin": "the range runs from less than what matters to more",
    "guess_within": "the estimate is smaller than what matters",
}


def relations(verdict: Verdict) -> dict[str, bool]:
    """Every relation of ``RELATIONS`` for one verdict, true or false."""
    strip = verdict.strip
    value, low, high = verdict.estimate, verdict.low, verdict.high
    if strip is not None and strip.value is not None:
        value, low, high = strip.value, strip.low, strip.high
    said = getattr(verdict.test, "direction", "any") != "any"
    side = claimed_side(verdict)
    found = dict.fromkeys(RELATIONS, False)
    found |= {"way_claimed": said, "has_number": value is not None}
    # Of a ratio, what is nothing is 1.
    none = 1.0 if verdict.unit == "odds ratio" else 0.0
    if value is not None:
        way = side * (value - none)
        found |= {
            "as_claimed": not said or way > 0, "other_way": said and way < 0,
            "guess_in": _in_zone(strip, value),
        }  # fmt: skip
    if low is None or high is None:
        return found
    one_sided = (low - none) * (high - none) > 0
    found |= {"ranged": True, "one_sided": one_sided,
              "clear_of_none": bool(one_sided and _clear(verdict, none)),
              "past_luck": one_sided and _outlasts(verdict),
              "spans_nothing": low <= none <= high, "both_ways": low < none < high}  # fmt: skip
    where = lies(strip, low, high)
    found |= {"all_in": where == "inside", "all_out": where == "outside",
              "part_in": where == "partly",
              "only_touches": where == "partly" and _touches(strip, low, high),
              "under_zone": where == "outside" and _under_zone(strip, low, high, none)}  # fmt: skip
    return found | _to_size(verdict, side, low, high) | _to_margin(verdict, low, high)


def _clear(verdict: Verdict, none: float) -> bool:
    """Whether nothing lies outside the verdict's own range, too: a margin is held against a 90%
    range, which may be clear of nothing where the 95% range that figures go by is not."""
    ends = (verdict.low, verdict.high)
    return None in ends or not min(ends) <= none <= max(ends)  # type: ignore[type-var, operator]


def _outlasts(verdict: Verdict) -> bool:
    """Whether that there is something at all outlasts the correction, and no one checkpoint makes
    it: the p that decides may be of a size, and says nothing of that."""
    return "one-step" not in verdict.reasons and (verdict.p_holm is None or verdict.p_holm < 0.05)


def _touches(strip: Strip | None, low: float, high: float) -> bool:
    """Whether a range that lies partly where the claim needs it does so by an end alone."""
    hair = 1e-9 * (high - low)
    return lies(strip, low + hair, high - hair) != "partly"


def _under_zone(strip: Strip | None, low: float, high: float, none: float) -> bool:
    """Whether the whole range is nearer to nothing than the claim's zone, or on both sides of it.

    A zone about nothing, or one that has its edge there, asks for no size; a limit has no nothing.
    """
    if strip is None or strip.claim_zone is None or strip.null is None or strip.measured:
        return False
    nearest, farthest = strip.claim_zone
    need = nearest if nearest is not None and nearest > none else farthest
    if need is None or need == none or (need is farthest and need > none):
        return False
    # Turned to the claim's side.  On the other side there may be as much, and that is no less.
    ends = sorted((v - none) * (1 if need > none else -1) for v in (low, high))
    value = ((strip.value or none) - none) * (1 if need > none else -1)
    size = abs(need - none)
    return 0 < ends[1] < size and (value > 0 or -size < ends[0])


def _in_zone(strip: Strip | None, value: float) -> bool:
    """Whether the estimate lies where the claim needs it, or would have it in a pinch."""
    if strip is not None and strip.sure is not None:
        strip = replace(strip, sure=None)
    return lies(strip, value, value) == "inside"


def _to_size(verdict: Verdict, side: int, low: float, high: float) -> dict[str, bool]:
    """How the range lies to the size that the claim names."""
    size = verdict.detail.at_least
    if size is None:
        return {}
    near, far = sorted((side * low, side * high))
    return {"sized": True, "past_size": near >= size, "short_of_size": far < size,
            "spans_size": near < size <= far}  # fmt: skip


def _to_margin(verdict: Verdict, low: float, high: float) -> dict[str, bool]:
    """How the range lies to what matters."""
    margin = verdict.detail.margin or getattr(verdict.test, "margin", None)
    if not margin:
        return {}
    within, past = max(abs(low), abs(high)) <= margin, low > margin or high < -margin
    return {"has_margin": True, "within_margin": within, "past_margin": past,
            "spans_margin": not within and not past,
            "guess_within": abs(verdict.estimate or 0.0) <= margin}  # fmt: skip
