"""When is a claim backed, and when do the data point the other way: the rules, in one place.

Every rule takes the likely ranges of an ``Estimate`` and says one of the verdict codes.  The
order in each is: what backs the claim, then what speaks against it, then what only leans its
way; whatever is left is ``cannot-tell``.  The ranges are 95%, 90% for equivalence, and 80% for
``leans``.  The named numbers (how strong is "strong", what is a plateau) come from
``explainer/study/thresholds.py``; a study may set its own and the page says which were used.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from scipy.stats import binom

from explainer.analysis.limits import Ends, closed, p_outside
from explainer.analysis.result import Estimate, Interval, t_p
from explainer.analysis.sample import is_fragile
from explainer.claims.verdict import STRENGTH, Code, Verdict

Thresholds = Mapping[str, float]
#: A range whose ends may be open; None: no range at all.
Bounds = tuple[float | None, float | None] | None

#: Which way a claim says, as a sign; 0 says only: some way.
SIDE = {
    "up": 1,
    "down": -1,
    "higher": 1,
    "lower": -1,
    "positive": 1,
    "negative": -1,
    "more": 1,
    "less": -1,
    "any": 0,
}


def beyond(interval: Interval, side: int, null: float = 0.0) -> bool:
    """The whole interval lies past ``null`` on ``side`` (either side where side is 0)."""
    up, down = interval.low > null, interval.high < null
    return up if side > 0 else down if side < 0 else (up or down)


def reaches(interval: Interval, side: int, size: float) -> bool:
    """The whole interval lies at or past ``size`` from 0 on ``side`` (either where side is 0)."""
    up, down = interval.low >= size, interval.high <= -size
    return up if side > 0 else down if side < 0 else (up or down)


def directed(e: Estimate, side: int, at_least: float | None, margin: float | None) -> Code:
    """change, difference, trend, rate-difference: is it there, on the side the claim says?

    ``margin`` is the smallest size that matters: a range inside ±margin speaks against a change,
    unless it backs one that is real but small.  A claim of a size, ``at_least``, is held to that
    size and not to the margin.
    """
    if at_least is not None:
        return of_size(e, side, at_least)
    if beyond(e.at95, side):
        return "backed"
    if side and beyond(e.at95, -side):
        return "against"
    if margin is not None and e.at90.inside(-margin, margin):
        return "against"
    return "leans" if beyond(e.at80, side) else "cannot-tell"


def of_size(e: Estimate, side: int, at_least: float) -> Code:
    """The claim says how much at least: all of the range there, or all of it short."""
    if reaches(e.at95, side, at_least):
        return "backed"
    low, high = e.at95.low, e.at95.high
    short = (side < 0 or high < at_least) and (side > 0 or low > -at_least)
    if short:
        return "against"
    return "leans" if reaches(e.at80, side, at_least) else "cannot-tell"


def p_of_size(e: Estimate, side: int, at_least: float | None) -> float | None:
    """Two-sided p against the claimed size, where a size is claimed: what ``of_size`` rests on."""
    if at_least is None or e.se is None or e.df is None or e.se <= 0:
        return e.p
    value = e.value if side > 0 else -e.value if side < 0 else abs(e.value)
    return t_p((value - at_least) / e.se, e.df)


def says_of_size(v: Verdict) -> bool:
    """Whether p against the size claimed can be told as one.

    A claim of a size either way has a size on both sides of nothing.  With the estimate between
    them, and a range that reaches out, p at the nearer one is no p of the claim: it would take
    one at each (two one-sided tests), and neither decides.
    """
    line = v.strip.beyond if v.strip is not None else None
    if not line or v.estimate is None or v.low is None or v.high is None:
        return True
    return abs(v.estimate) >= line or (-line < v.low and v.high < line)


def falls_short(v: Verdict) -> bool:
    """Whether the best guess lies short of what is claimed: a size, a strong link's line, or a way.

    p knows no side, so that a small one then speaks against the claim, and finds nothing of it.
    """
    strip = v.strip
    if strip is None or strip.value is None or strip.value != v.estimate:
        return False
    low, high = strip.claim_zone or (None, None)
    if low is None and high is None:
        return abs(strip.value) < (strip.beyond or 0.0)
    return (low is not None and strip.value < low) or (high is not None and strip.value > high)


def line_held_to(v: Verdict, line: float) -> float:
    """The end of a strong link that p is held against: on the side claimed, else where r lies."""
    zone = v.strip.claim_zone if v.strip is not None else None
    way = zone[0] if zone is not None and zone[0] is not None else v.estimate
    return -line if (way or 0.0) < 0 else line


def groups_agree(
    each: Sequence[float], code: Code, side: int, at_least: float | None, margin: float | None
) -> bool:
    """Whether all groups, by their best guesses, answer the claim alike though they go both ways:
    none reaches the size claimed, or none moved by as much as matters."""
    if at_least is not None:
        met = {(side * v if side else abs(v)) >= at_least for v in each}
        return len(met) == 1 and (bool(side) or not any(met))
    return code == "against" and margin is not None and all(abs(v) <= margin for v in each)


#: The level of the test against a zone.
ZONE_LEVEL = 0.05


def in_zone(e: Estimate, zone: Ends) -> Code:
    """Whatever is judged by a zone: the whole 90% range where the claim needs it.

    Wholly outside speaks against it only at the level of the test against that zone: past one
    that is narrower than the scatter a 90% range falls too often by chance (``narrow``).
    """
    low, high = closed(zone)
    if e.at90.inside(low, high):
        return "backed"
    if e.at90.outside(low, high) and not narrow(e, zone):
        return "against"
    return "leans" if e.at80.inside(low, high) else "cannot-tell"


def narrow(e: Estimate, zone: Ends) -> bool:
    """The 90% range lies outside, but the zone is so narrow that this alone says too little."""
    p = p_outside(e, zone)
    return e.at90.outside(*closed(zone)) and p is not None and p > ZONE_LEVEL


def related(e: Estimate, side: int) -> Code:
    """association: r differs from 0, on the side the claim says."""
    return directed(e, side, None, None)


def strongly_related(e: Estimate, side: int, t: Thresholds) -> Code:
    """association, "strong": |r| ≥ ``strong_r`` and its range's inner end ≥ ``strong_inner``."""
    inner = t["strong_inner"]

    def strong(interval: Interval) -> bool:
        return reaches(interval, side, inner) and abs(e.value) >= t["strong_r"]

    if strong(e.at95):
        return "backed"
    low, high = e.at95.low, e.at95.high
    weak = (
        high < inner if side > 0 else low > -inner if side < 0 else (-inner < low and high < inner)
    )
    if weak:
        return "against"
    return "leans" if strong(e.at80) else "cannot-tell"


def in_plateau(at90: Bounds, at80: Bounds, t: Thresholds) -> Code:
    """A share, in the plateau zone or wholly outside it, on either side.

    same-line: the share of the line that use travels.  break-in: the share of the change that is
    done; below the zone most was still to come, above it (``overshot``) some came back.
    """
    low, high = t["plateau_low"], t["plateau_high"]
    if _inside(at90, low, high):
        return "backed"
    if _outside(at90, low, high):
        return "against"
    return "leans" if _inside(at80, low, high) else "cannot-tell"


def overshot(at90: Bounds, t: Thresholds) -> bool:
    """break-in: the share lies wholly above the plateau zone, so some of it came back."""
    return at90 is not None and at90[0] is not None and at90[0] > t["plateau_high"]


def _inside(bounds: Bounds, low: float, high: float) -> bool:
    if bounds is None or bounds[0] is None or bounds[1] is None:
        return False
    return low <= bounds[0] and bounds[1] <= high


def _outside(bounds: Bounds, low: float, high: float) -> bool:
    if bounds is None:
        return False
    below = bounds[1] is not None and bounds[1] < low
    above = bounds[0] is not None and bounds[0] > high
    return below or above


def good_gauge(
    point: float, at95: Bounds, at80: Bounds, good: float, marginal_to: float | None
) -> Code:
    """repeatability: the 95% range of %GRR below ``good``.

    ``marginal_to`` (30% where the study names no ``good_enough``) is how far a gauge still
    leans: with its whole 80% range.  29 against 30 with a range from 15 to 83 is a coin flip.
    ``at95`` None: too few operators or parts for a range; then only a point below half of that
    mark leans, and nothing speaks against.
    """
    mark = good if marginal_to is None else marginal_to
    if at95 is None:
        return "leans" if point < mark / 2 else "cannot-tell"
    if at95[1] is not None and at95[1] < good:
        return "backed"
    if at80 is not None and at80[1] is not None and at80[1] < mark:
        return "leans"
    return "against" if at95[0] is not None and at95[0] > mark else "cannot-tell"


#: Share of true "all of them comply" that may be called wrong, over all items together.
LIMIT_ALPHA = 0.05


def all_conform(calls: list[str], values_pass: list[bool], p_conform: list[float]) -> Code:
    """limit: every item passes with its guard band; one that surely fails speaks against.

    A single call errs once in 20, so among n items that lie at the limit one "fail" is nothing
    rare (64% at 20): the claim falls only with an item that fails at 1 − .05/n, or with so many
    that fail as luck brings no more often than that.
    """
    if not calls:
        return "cannot-tell"
    if all(c == "pass" for c in calls):
        return "backed"
    by_luck = binom.sf(calls.count("fail") - 1, len(calls), LIMIT_ALPHA)
    if min(*p_conform, by_luck) < LIMIT_ALPHA / len(calls):
        return "against"
    if any(c == "fail" for c in calls):
        return "cannot-tell"
    # Where every reading stands on the line itself, or nearer to failing, nothing leans.
    return "leans" if all(values_pass) and max(p_conform) > 0.5 else "cannot-tell"


def none_conforms(calls: list[str], values_pass: list[bool], p_conform: list[float]) -> Code:
    """limit, ``meets: none``: ``all_conform`` of missing it, in place of meeting it."""
    turned = {"pass": "fail", "fail": "pass"}
    return all_conform(
        [turned.get(call, call) for call in calls], [not passes for passes in values_pass],
        [1 - p for p in p_conform],
    )  # fmt: skip


#: Up to here nothing about items in general is more than a lean; and the t range of up to that
#: many rests on how evenly they scatter.
FEW, EVENLY = 3, 5


def of_few(code: Code, n: int) -> Code:
    """What two or three items can say of items in general: they may lean, and no more."""
    return demoted(code) if n <= FEW else code


def unseated(code: Code) -> Code:
    """What is left of a verdict that one item carries: nothing, whichever way it went."""
    return "cannot-tell" if code in ("backed", "leans", "against") else code


def carried(
    code: Code,
    value: float,
    without: Sequence[float | None],
    halving: float,
    side: int = 0,
    line: float | None = None,
) -> tuple[bool, int]:
    """Does one item (or checkpoint) carry a verdict?  And the place of the one that does most.

    Leaving it out turns the estimate round or more than halves it.  A verdict against a claimed
    size ``line`` rests on how far short of it the estimate falls, so that distance is what must
    not turn or halve: an estimate near 0 has no sign to lose.
    """
    if code not in ("backed", "leans", "against"):
        return False, -1
    if code == "against" and line is not None:
        past = [None if v is None else (side * v if side else abs(v)) - line
                for v in (value, *without)]  # fmt: skip
        return is_fragile(past[0], past[1:], halving)
    return is_fragile(value, without, halving)


def demoted(code: Code) -> Code:
    """What is left of a verdict that one checkpoint, the gauge or the Holm correction unseats."""
    return {"backed": "leans", "against": "cannot-tell"}.get(code, code)  # type: ignore[return-value]


def between(one: Code, other: Code) -> Code:
    """What two looks at the same claim leave of it: what both say, else the weaker of the two
    where both go the claim's way, else that it cannot be told."""
    if one == other:
        return one
    return "leans" if {one, other} == {"backed", "leans"} else "cannot-tell"


def weakened(code: Code, found: Code) -> Code:
    """A look may hold a verdict back, and never strengthens or turns it."""
    if code == found or found not in ("leans", "cannot-tell"):
        return code
    if found == "leans":
        return "leans" if code == "backed" else code
    return "cannot-tell" if code in ("backed", "leans", "against") else code


def reach_inside(verdict: Verdict) -> float:
    """How far inside what its claim needs an estimate lies, in half widths of its range.

    At least 1 for a range wholly inside; 0 where there is no range to go by.
    """
    if len(verdict.parts) > 1:
        return min(reach_inside(part) for part in verdict.parts)
    strip = verdict.strip
    if strip is None or strip.value is None or strip.low is None or strip.high is None:
        return 0.0
    half = (strip.high - strip.low) / 2
    edges = [edge for edge in strip.claim_zone or () if edge is not None]
    if not edges:
        edges = [strip.beyond, -strip.beyond] if strip.beyond is not None else []
    if not edges or half <= 0:
        return 0.0
    return min(abs(strip.value - edge) for edge in edges) / half


def strongest_backed(verdicts: Iterable[Verdict]) -> Verdict | None:
    """The report's own backed claim whose range lies farthest inside what it needs; None without.

    The first of equals.
    """
    backed = [v for v in verdicts if v.code == "backed" and v.claim.of_report]
    return max(backed, key=reach_inside, default=None)


def weakest(codes: list[Code]) -> Code:
    """A chain, or a claim that says several things, is as strong as its weakest part."""
    return min(codes, key=STRENGTH.index)
