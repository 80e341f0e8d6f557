"""Verdicts of every kind, code and position of the range: also those that no judge would give.

A phrase is chosen by the verdict's code, and its condition looks at the numbers.  Here the two are
set apart on purpose, so that a condition that has gone missing lets a false sentence through.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from itertools import product
from typing import Any

from sentences.truth import SIDE, Truth
from words import conftest as hand

from explainer.claims.limit import all_read
from explainer.claims.verdict import Judgement, Strip, Verdict

CODES = ("backed", "leans", "cannot-tell", "against")
#: Where a range may lie, in margins (or sizes claimed, or slopes): estimate, low, high.
PLACES = (
    (-2.6, -3.1, -2.1), (-1.2, -1.9, -0.5), (-0.5, -0.8, -0.2), (-0.4, -1.4, 0.6),
    (-0.1, -0.5, 0.3), (0.2, -0.4, 0.8), (0.5, 0.2, 0.8), (0.7, -0.3, 1.7), (1.2, 0.4, 2.0),
    (2.6, 2.1, 3.1), (0.6, -2.4, 3.6), (-0.7, -3.7, 2.3),
)  # fmt: skip
SHARES = ((0.35, 0.2, 0.5), (0.75, 0.6, 0.9), (0.97, 0.85, 1.1), (1.0, 0.7, 1.4), (1.2, 0.9, 1.5),
          (1.4, 1.3, 1.5), (0.9, 0.3, 1.5), (0.1, -0.4, 0.6),
          (0.72, 0.69, 0.76))  # fmt: skip
PERCENTS = ((5.0, 3.0, 8.0), (8.0, 4.0, 14.0), (22.0, 12.0, 41.0), (44.0, 34.0, 61.0))
SCALE = {"change": 6.0, "no-change": 1.0, "difference": 6.0, "difference-in-change": 6.0,
         "association": 0.3, "no-association": 0.3, "tracks-within": 0.05, "trend": 0.02,
         "rate-difference": 0.05}  # fmt: skip
WAYS: dict[str, tuple[str, ...]] = {
    "change": ("up", "down", "any"), "trend": ("up", "down", "any"),
    "difference": ("higher", "lower", "any"), "difference-in-change": ("higher", "lower", "any"),
    "association": ("positive", "negative", "any"),
    "tracks-within": ("positive", "negative", "any"), "rate-difference": ("higher", "lower"),
}  # fmt: skip
#: Nothing to work out: the kind, why, and how many items.
NOTHING = (("association", "no-spread", 8), ("break-in", "no-spread", 2),
           ("break-in", "no-change", 8), ("tracks-within", "one-moved", 8),
           ("same-line", "one-moved", 8), ("same-line", "no-line", 8))  # fmt: skip
#: Too few for it: how many it takes at the least as well, where that can be told.
TOO_FEW = (("change", "too-few-items", 1, 2), ("break-in", "too-few-items", 1, 2),
           ("trend", "too-few-items", 0, 2), ("association", "too-few-items", 2, 4),
           ("association", "too-few-items", 3, 4), ("association", "too-few-items", 5, None),
           ("association", "none-free", 3, 6),
           ("no-association", "too-few-items", 2, 4), ("no-association", "too-few-items", 3, 4),
           ("same-line", "few-in-line", 2, 3), ("trend", "too-few-readings", 1, 4),
           ("tracks-within", "too-few-readings", 1, 3), ("tracks-within", "no-checkpoints", 8, 2),
           ("difference", "one-per-side", 2, 2), ("difference", "one-per-side", 5, 2),
           ("difference", "no-side", 4, 2), ("repeatability", "one-operator", 8, 2),
           ("repeatability", "no-repeats", 8, 2), ("repeatability", "unbalanced", 8, 2),
           ("repeatability", "too-few-items", 1, 2))  # fmt: skip
#: Which of these may have a number all the same.
NUMBERED = ("too-few-items", "one-per-side", "one-moved")
#: Items that pass, fail, and are too close to call.
CALLS = ((8, 0, 0), (3, 1, 1), (6, 0, 2), (5, 1, 2), (5, 3, 0), (0, 8, 0), (0, 0, 8))
SIZED = ("change", "difference", "difference-in-change", "trend", "rate-difference")


@dataclass(frozen=True)
class Case:
    """One verdict with its study, and what is so."""

    judgement: Judgement
    verdict: Verdict
    truth: Truth


#: What says that nothing is there, and whether inside each item.
STILL = (("no-change", False), ("no-association", False), ("no-association", True))


def cases() -> Iterator[Case]:
    """All of them, in a fixed order."""
    yield from _ranged()
    for place, code, poor in product(PERCENTS, CODES, (10.0, 30.0)):
        yield _gauge(place, code, poor)
    for place, code in product(PERCENTS, ("leans", "cannot-tell")):  # no other without a range
        yield _gauge(place, code, 30.0, ranged=False)
    for way, place, code in product(("higher", "lower"), PLACES, CODES):
        yield _independent(_case("rate-difference", way, False, False, place, code, True))
    yield from _asked_beside()
    yield _case("tracks-within", "positive", False, False, (0.0, 0.0, 0.0), "cannot-tell", True)
    for (kind, within), place in product(STILL, PLACES):
        yield _without_margin(kind, place, within)
    yield from _singles()
    yield from _without_a_range()
    for odd in (1, 4):
        yield _hangs_on_odd_readings("cannot-tell", odd)
    for mdd, code, id in product((0.8, 3.1), CODES, ("it", "this", "that")):
        yield _sees(mdd, code, id)
    for calls, code, guard, both in product(CALLS, CODES, (2.5, None), (False, True)):
        yield _limit(calls, code, guard, both)
        yield _limit(calls, code, guard, both, "none")


def _without_a_range() -> Iterator[Case]:
    """Nothing that could be worked out, or one number alone."""
    for kind, why, n in NOTHING:
        for value in (None, 1.5) if why != "no-line" else (None,):
            yield _undefined(kind, why, n, value)
    for kind, why, n, takes in TOO_FEW:
        two_dots = kind in ("association", "no-association") and n == 2  # 1 or −1 whatever was read
        numbered = n and why in NUMBERED and kind != "repeatability" and not two_dots
        for value in (None, 0.5) if numbered else (None,):
            made = _undefined(kind, why, n, value, takes, few=True)
            yield _with_given(made) if why == "none-free" else made
    yield _undefined("tracks-within", "no-spread", 8, None)


def _singles() -> Iterator[Case]:
    """Claims of one item, of which nothing is an average."""
    for way, place, code in product(("up", "down"), PLACES, CODES):
        yield _of_one(_case("change", way, False, False, place, code, True))
        yield _of_one(_case("change", way, True, False, place, code, True))
    for place, code in product(PLACES, CODES):
        yield _of_one(_case("no-change", "", False, False, place, code, True))
        yield _by_name(_of_one(_case("change", "up", False, False, place, code, True)))
        yield _by_name(_of_one(_case("no-change", "", False, False, place, code, True)))
    for way, place, code in product(("up", "down"), PLACES, CODES):
        yield _of_one(_case("trend", way, False, False, place, code, True))
    for place, code in product(SHARES, CODES):
        yield _picked(_case("break-in", "", False, False, place, code, True))
    for way, place, code in product(WAYS["tracks-within"], PLACES, CODES):
        yield _picked(_case("tracks-within", way, False, False, place, code, True))
    yield _picked(_undefined("break-in", "no-change", 1, None))


def _asked_beside() -> Iterator[Case]:
    """What some claims of a kind ask beside the others of it: odds, about, something held alike."""
    for place, code in product(PLACES, CODES):
        yield _case("no-association", "", False, False, place, code, True, within=True)
    # The last: no difference still fits, and the guess lies past what counts.
    for place, code in product((*PLACES, (1.3, -0.5, 3.1)), CODES):
        yield _as_often(place, code)
        yield _as_often_of_others(place, code)
    for way, sized, place, code in product(("higher", "lower"), (False, True), PLACES, CODES):
        if not (sized and way == "lower"):
            yield _odds(way, sized, place, code)
    for way, place, code in product(("up", "down"), SHARES, CODES):
        yield _about(way, place, code)
    for way, strong, place, code in product(WAYS["association"], (False, True), PLACES, CODES):
        plain = _case("association", way, False, strong, place, code, True)
        yield _with_given(plain)
        yield from (_in_groups(plain, and_given) for and_given in (False, True))


def _ranged() -> Iterator[Case]:
    """The kinds that are judged by a range, in every place it may lie."""
    for kind in (*SCALE, "same-line", "break-in"):
        places = SHARES if kind in ("same-line", "break-in") else PLACES
        sizes = (False, True) if kind in SIZED else (False,)
        strengths = (False, True) if kind == "association" else (False,)
        ways = WAYS.get(kind, ("",))
        for how in product(ways, sizes, strengths, places, CODES, (True, False)):
            yield _case(kind, *how)


def _case(
    kind: str, way: str, sized: bool, strong: bool, place: tuple[float, float, float], code: str,
    all_one: bool, within: bool = False,
) -> Case:  # fmt: skip
    scale = SCALE.get(kind, 1.0)
    value, low, high = (v * scale for v in place)
    if kind in ("association", "no-association"):
        value, low, high = (max(-0.98, min(0.98, v)) for v in (value, low, high))
    test: dict[str, Any] = {"direction": way} if way else {}
    if sized:
        test["at_least"] = scale
    if strong:
        test["strong"] = True
    if within:
        test["within"] = True
    margin = {"no-change": 1.0, "no-association": 0.3, "change": 6.0, "difference": 6.0,
              "difference-in-change": 6.0}.get(kind)  # fmt: skip
    if kind == "no-association":
        test["margin"] = margin
    key = repr((kind, way, sized, strong, place, code, all_one, within))
    id = f"c{zlib.crc32(key.encode()) % 1000}"  # so that every variant has its turn
    study = hand.study([hand.claim(kind, id, test=test)])
    verdict = hand.verdict(study, id, code)
    side = SIDE.get(way, 0)
    zone, beyond = _zone(kind, side, scale if sized else 0.5 if strong else 0.0, margin)
    strip = Strip(value, low, high, zone, (-margin, margin) if margin else None, 0.0, verdict.unit,
                  beyond=beyond)  # fmt: skip
    sign = value > 0
    ups, downs = (8, 0) if all_one == sign and all_one else (0, 8) if all_one else (3, 5)
    if not all_one and sign:
        ups, downs = 5, 3
    known = {"margin": margin, "at_least": scale if sized else None, "strong": strong,
             "n_up": ups, "n_down": downs, "share_low90": low, "share_high90": high,
             "slope_within": value, "slope_within_low": low, "slope_within_high": high,
             "change_a": value - 1.0, "change_b": -1.0}  # fmt: skip
    names = {f.name for f in fields(verdict.detail)}
    detail = replace(verdict.detail, **{k: v for k, v in known.items() if k in names})
    verdict = replace(verdict, estimate=value, low=low, high=high, strip=strip, detail=detail)
    truth = Truth(kind, {"kind": kind, **test}, 8, value, {95: (low, high), 90: (low, high)},
                  ups, downs, margin, own=True,
                  more={"strong": strong, "agree": 5, "mean_a": 70.1, "mean_b": 61.2})  # fmt: skip
    return Case(hand.judgement(study, (verdict,)), verdict, truth)


def _zone(
    kind: str, side: int, size: float, margin: float | None
) -> tuple[tuple[float | None, float | None] | None, float | None]:
    """Where the claim needs its range, or past what on either side."""
    if kind in ("no-change", "no-association"):
        return (-(margin or 0.0), margin or 0.0), None
    if kind in ("same-line", "break-in"):
        return (0.8, 1.25), None
    if side:
        far = 1.0 if kind == "association" else None
        return ((size, far) if side > 0 else (None if far is None else -far, -size)), None
    return None, size


def _as_often(place: tuple[float, float, float], code: str) -> Case:
    """Two rates that are said to be alike, to within 5 percentage points."""
    made = _case("rate-difference", "higher", False, False, place, code, True)
    strip = replace(made.verdict.strip, claim_zone=(-0.05, 0.05), small_zone=(-0.05, 0.05),  # type: ignore[type-var]
                    beyond=None, level=0.9)  # fmt: skip
    test = made.verdict.test.model_copy(update={"direction": "any", "margin": 0.05})
    detail = replace(made.verdict.detail, margin=0.05)
    verdict = replace(made.verdict, test=test, strip=strip, detail=detail)
    truth = replace(made.truth, test={"kind": "rate-difference"}, margin=0.05,
                    more={**made.truth.more, "zone": (-0.05, 0.05), "alike": True})  # fmt: skip
    return replace(made, verdict=verdict, truth=truth)


def _as_often_of_others(place: tuple[float, float, float], code: str) -> Case:
    """The same with other people under each condition."""
    return _independent(_as_often(place, code))


def _odds(way: str, sized: bool, place: tuple[float, float, float], code: str) -> Case:
    """A ratio of odds whose logs lie in these places, and perhaps a size of 2 times claimed."""
    made = _case("rate-difference", way, False, False, place, code, True)
    value, low, high = (math.exp(v * math.log(2.0)) for v in place)
    line = 2.0 if sized else 1.0
    strip = Strip(value, low, high, (line, None) if way == "higher" else (None, line), None, 1.0,
                  "odds ratio")  # fmt: skip
    test = made.verdict.test.model_copy(update={"in_": "odds", "at_least": line if sized else None})
    detail = replace(made.verdict.detail, odds=True, independent=True,
                     at_least=line if sized else None)  # fmt: skip
    verdict = replace(made.verdict, test=test, estimate=value, low=low, high=high, strip=strip,
                      unit="odds ratio", detail=detail)  # fmt: skip
    ends = (math.log(low), math.log(high))
    truth = Truth("rate-difference", {"kind": "rate-difference", "direction": way,
                                      **({"at_least": math.log(2.0)} if sized else {})},
                  8, math.log(value), {95: ends, 90: ends},
                  more={"odds": value, "odds_low": low, "odds_high": high, "times": 2.0,
                        "independent": True})  # fmt: skip
    return Case(made.judgement, verdict, truth)


def _about(way: str, place: tuple[float, float, float], code: str) -> Case:
    """A drift of about 0.02 boards a shot, and where its range lies to that."""
    made = _case("trend", way, False, False, place, code, True)
    size = 0.02 * SIDE[way]
    value, low, high = (v * size for v in place)
    low, high = sorted((low, high))
    zone = (0.8 * size, 1.25 * size) if size > 0 else (1.25 * size, 0.8 * size)
    strip = replace(made.verdict.strip, value=value, low=low, high=high, claim_zone=zone,  # type: ignore[type-var]
                    beyond=None, level=0.9)  # fmt: skip
    ups, downs = (8, 0) if value > 0 else (0, 8)
    detail = replace(made.verdict.detail, about=0.02, n_up=ups, n_down=downs)
    test = made.verdict.test.model_copy(update={"about": 0.02, "direction": way})
    verdict = replace(made.verdict, test=test, estimate=value, low=low, high=high, strip=strip,
                      detail=detail)  # fmt: skip
    truth = Truth("trend", {"kind": "trend", "direction": way}, 8, value,
                  {95: (low, high), 90: (low, high)}, ups, downs,
                  more={"zone": zone, "about": 0.02})  # fmt: skip
    return replace(made, verdict=verdict, truth=truth)


def _with_given(made: Case) -> Case:
    """A link with hardness held alike, of which some part of the slope is left, or more."""
    value = made.verdict.estimate or 0.0
    share = 0.5 if abs(value) < 0.3 else 1.4
    detail = replace(made.verdict.detail, given=("hardness",), r_before=0.55, share_left=share)
    more = {**made.truth.more, "given": True, "held": "hardness", "before": 0.55,
            "left": share}
    return replace(made, verdict=replace(made.verdict, detail=detail),
                   truth=replace(made.truth, more=more))  # fmt: skip


def _in_groups(made: Case, and_given: bool) -> Case:
    """A link among the items of one model, where that over all of them is another."""
    value = made.verdict.estimate or 0.0
    share = -0.5 if abs(value) < 0.3 else 0.7
    given = ("hardness",) if and_given else ()
    detail = replace(made.verdict.detail, given=given, inside_groups=True, n_groups=2,
                     r_before=0.97, share_left=share)  # fmt: skip
    held = "hardness and the model" if and_given else "the model"
    more = {**made.truth.more, "given": True, "held": held, "before": 0.97, "left": share}
    return replace(made, verdict=replace(made.verdict, detail=detail),
                   truth=replace(made.truth, more=more))  # fmt: skip


def _without_margin(kind: str, place: tuple[float, float, float], within: bool) -> Case:
    """Steady or not linked, and nobody has said how much counts."""
    made = _case(kind, "", False, False, place, "cannot-tell", True, within)
    strip = replace(made.verdict.strip, claim_zone=None, small_zone=None)  # type: ignore[type-var]
    test = made.verdict.test.model_copy(update={"margin": None})
    verdict = replace(made.verdict, strip=strip, test=test, reasons=("no-margin",),
                      detail=replace(made.verdict.detail, margin=None))  # fmt: skip
    return Case(made.judgement, verdict, replace(made.truth, margin=None))


def _undefined(
    kind: str, why: str, n: int, value: float | None, takes: int | None = None, few: bool = False
) -> Case:
    """Nothing to work out, or one number without a range."""
    way = hand.TESTS[kind].get("direction", "")
    code = "not-tested" if few else "cannot-tell"
    made = _case(kind, way, False, False, SHARES[0], code, True)
    detail = replace(made.verdict.detail, undefined=why, takes=takes)
    verdict = replace(made.verdict, estimate=value, low=None, high=None, strip=None, n_items=n,
                      detail=detail, reasons=("too-few-items",) if few else ())  # fmt: skip
    more = {"undefined": why, "takes": takes, "few": few}
    more |= ({"good": 10.0, "poor": 30.0} if kind == "repeatability" else {})
    truth = Truth(kind, made.truth.test, n, value, more=more)
    return Case(made.judgement, verdict, truth)


def _hangs_on_odd_readings(code: str, odd: int) -> Case:
    made = _case("trend", "up", False, False, PLACES[9], code, True)
    names = tuple(f"T1 {i}" for i in range(odd))
    detail = replace(made.verdict.detail, flags_decide=True, flagged=names)
    truth = replace(made.truth, more={"odd": odd})
    return Case(made.judgement, replace(made.verdict, detail=detail), truth)


def _sees(mdd: float, code: str, id: str) -> Case:
    """A gauge asked whether it sees 2 microinches: its smallest gap is one guess."""
    study = hand.study([hand.claim("repeatability", id, test={"detects": 2.0})])
    made = hand.verdict(study, id, code)
    strip = Strip(mdd, None, None, (0.0, 2.0), None, None, "microinch")
    detail = replace(made.detail, mdd=mdd, poor=10.0)
    verdict = replace(made, strip=strip, detail=detail)
    more = {"good": 10.0, "poor": 2.0, "detects": 2.0, "mdd": mdd, "share": verdict.estimate}
    truth = Truth("repeatability", {}, 8, mdd, {95: (mdd, mdd)}, more=more)
    return Case(hand.judgement(study, (verdict,)), verdict, truth)


def _of_one(made: Case) -> Case:
    """The same change, of a single item."""
    ups = int(made.truth.ups == made.truth.n)
    detail = replace(made.verdict.detail, n_up=ups, n_down=1 - ups)
    if made.truth.kind == "trend":
        detail = replace(detail, single="Heron")
    verdict = replace(made.verdict, n_items=1, detail=detail)
    return replace(made, verdict=verdict, truth=replace(made.truth, n=1, ups=ups, downs=1 - ups))


def _by_name(made: Case) -> Case:
    """The same, of the one item that a claim picked: its range is what the gauge may be off by."""
    detail = replace(made.verdict.detail, one_item="Heron")
    return replace(made, verdict=replace(made.verdict, detail=detail))


def _picked(made: Case) -> Case:
    """A claim of one item by its name, that goes by this item's own readings and the gauge."""
    detail = replace(made.verdict.detail, one_item="Heron")
    verdict = replace(made.verdict, n_items=1, detail=detail)
    return replace(made, verdict=verdict, truth=replace(made.truth, n=1))


def _independent(made: Case) -> Case:
    """The same rates, of other people under each condition."""
    detail = replace(made.verdict.detail, independent=True)
    more = {**made.truth.more, "independent": True}
    return replace(made, verdict=replace(made.verdict, detail=detail),
                   truth=replace(made.truth, ups=None, downs=None, more=more))  # fmt: skip


def _gauge(
    place: tuple[float, float, float], code: str, poor: float, ranged: bool = True
) -> Case:
    """What share of the scatter is the gauge's own; with too few readers, without a range."""
    value = place[0]
    low, high = place[1:] if ranged else (None, None)
    study = hand.study([hand.claim("repeatability", "it")])
    made = hand.verdict(study, "it", code)
    sure = (0.0, 10.0) if poor > 10 else None
    strip = Strip(value, low, high, (0.0, poor), None, None, "percent", sure=sure)
    detail = replace(made.detail, good_enough=10.0, poor=poor)
    verdict = replace(made, estimate=value, low=low, high=high, strip=strip, detail=detail)
    more = {"good": 10.0, "poor": poor}
    ranges = {95: place[1:]} if ranged else {}
    truth = Truth("repeatability", {}, 8, value, ranges, more=more)
    return Case(hand.judgement(study, (verdict,)), verdict, truth)


def _limit(
    calls: tuple[int, int, int], code: str, guard: float | None, both: bool, meets: str = "all"
) -> Case:
    test = {"at_most": 30.0, "meets": meets} if both else {"meets": meets}
    study = hand.study([hand.claim("limit", "it", test=test)])
    made = hand.verdict(study, "it", code)
    named = ["pass"] * calls[0] + ["fail"] * calls[1] + ["too-close"] * calls[2]
    value = {"pass": 24.0, "fail": 16.0, "too-close": 20.0}
    items = tuple({"item": f"P{i}", "value": value[c], "call": c, "p_conform": 0.5}
                  for i, c in enumerate(named))  # fmt: skip
    read = [value[c] for c in named]
    verdict = replace(made, detail=replace(
        made.detail, items=items, guard=guard, all_read=all_read(read, 20.0, test.get("at_most"))))
    truth = Truth("limit", {"at_least": 20.0, **test}, 8, more={
        "right": len(read) - calls[1], "wrong": calls[1],
        "passes": calls[0], "fails": calls[1], "close": calls[2], "guard": guard,
    })  # fmt: skip
    return Case(hand.judgement(study, (verdict,)), verdict, truth)
