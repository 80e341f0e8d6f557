"""The relations between a verdict's numbers that a sentence may depend on, each under one name.

A phrase that states a relation says under which of these it is true (``holds:``).  They are worked
out from numbers, never from words: from the estimate, the range that decides and is drawn, what
the claim needs (the strip's zone), the size it names and the margin.  What cannot be worked out
(there is no range, no margin) is false, and so is its opposite: ``one_sided`` and
``spans_nothing`` are both false without a range.
"""

from __future__ import annotations

from dataclasses import replace

from explainer.claims.verdict import Strip, Verdict
from explainer.words.facts.ranges import lies
from explainer.words.facts.variants import claimed_side

#: What each relation means; the handbook's list for who writes phrases of their own.
RELATIONS = {
    "has_number": "there is an estimate",
    "ranged": "there is a range, closed on both sides",
    "one_sided": "the whole range lies on one side of nothing (0)",
    "spans_nothing": "nothing (0) lies in the range",
    "way_claimed": "the claim says which way",
    "as_claimed": "the estimate lies on the side that the claim says; true where it says none",
    "other_way": "the claim says a way, and the estimate lies on the other side of nothing",
    "all_in": "the whole range lies where the claim needs it",
    "all_out": "the whole range lies where the claim rules it out",
    "part_in": "part of the range lies where the claim needs it, and part does not",
    "guess_in": "the estimate lies where the claim needs it",
    "under_zone": "the whole range is less than the claim needs, not all on nothing's far side",
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
    found |= {"ranged": True, "one_sided": (low - none) * (high - none) > 0,
              "spans_nothing": low <= none <= high}  # fmt: skip
    where = lies(strip, low, high)
    found |= {"all_in": where == "inside", "all_out": where == "outside",
              "part_in": where == "partly",
              "under_zone": where == "outside" and _under_zone(strip, low, high, none)}  # fmt: skip
    return found | _to_size(verdict, side, low, high) | _to_margin(verdict, low, high)


def _under_zone(strip: Strip | None, low: float, high: float, none: float) -> bool:
    """Whether the whole range is nearer to nothing than the claim's zone, or on both sides of it.

    A zone about nothing, or one that has its edge there, asks for no size; a limit has no nothing.
    """
    if strip is None or strip.claim_zone is None or strip.null is None or strip.measured:
        return False
    nearest, farthest = strip.claim_zone
    if nearest is not None and nearest > none:
        return none < high < nearest
    if farthest is not None and farthest < none:
        return farthest < low < none
    return False


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
