"""Ranges and zones of a figure in words, as its phrases need them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from explainer.study.model import Study, Table
from explainer.words.facts import comparatives as ways
from explainer.words.quantity.numbers import MINUS, bare
from explainer.words.quantity.sizes import Sized, listed, per_step, reading
from explainer.words.quantity.when import past
from explainer.words.sentence import put


def at_most(within: Sized, between: Any, unit: str) -> str | None:
    """The far end of the slope inside an item, where all its range is short of the line's."""
    if not between or within.low is None or within.high is None:
        return None
    most = within.high if between > 0 else -within.low
    if not 0 < most < abs(between):
        return None
    scaled, _ = per_step(within, between)  # rounded as the range it is an end of
    low, high = scaled.low or 0.0, scaled.high or 0.0
    return Sized(high if between > 0 else -low, low, high, scaled.unit).size


def paired(table: Table, by: str | None) -> bool:
    """Whether the same items were watched under more than one value of ``by``."""
    if by is None or by not in table.frame:
        return False
    return int((table.frame.groupby(table.item)[by].nunique() >= 2).sum()) >= 2


def ahead(sized: Sized, a: str, b: str, more: ways.Word) -> str:
    """A range through a tie: ``used harder by 1.5 points to new harder by 4.6``."""
    if not sized.crosses or sized.low is None or sized.high is None:
        return sized.range_unit
    low = Sized(sized.low, sized.low, sized.high, sized.unit).size
    high = Sized(sized.high, sized.low, sized.high, sized.unit).bare
    first, second = (f"{more.alone} for {x}" if more.noun else f"{x} {more.alone}" for x in (b, a))
    return put("{} by {} to {} by {}", first, low, second, high)


def uncalled(
    limit: Any, guard: float | None, unit: str, step: float | None
) -> dict[str, str | None]:
    """The ends of the zone about a limit in which a gauge can call nothing.

    Rounded outward to the gauge's own ``step``: no reading in the zone is said to lie outside it.
    """
    if limit is None or not guard:
        return {"zone_low": None, "zone_high": None}
    grain = step or 10.0 ** (math.floor(math.log10(guard)) - 1)
    places = max(0, -math.floor(math.log10(grain) + 1e-9))
    low = math.floor(round((limit - guard) / grain, 9)) * grain
    high = math.ceil(round((limit + guard) / grain, 9)) * grain
    return {
        "zone_low": bare(f"{low:,.{places}f}".replace("-", MINUS), unit),
        "zone_high": reading(f"{high:,.{places}f}".replace("-", MINUS), unit),
    }


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
    """What came after most was done: some came ``back``, it stayed ``flat``, ``nearly`` all was
    done later, the ``rest`` came, or it had all been done and ``left`` again."""
    if early is None:
        return ""
    if early["share"] > 1:
        return "back"
    if early["flat"]:
        return "flat"
    if early["share"] == 1:
        return "left"
    return "nearly" if nearly_by(early, table) else "rest"


def nearly_by(early: Mapping[str, Any] | None, table: Table) -> str | None:
    """A checkpoint after the early one by which nearly all of the change was done."""
    by = early.get("nearly_by") if early else None
    return past(table, by) if early and by is not None and by > early["by"] else None
