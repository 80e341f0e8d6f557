"""What a figure of a limit may say: the zones about it, who passes, fails or is too close."""

from __future__ import annotations

from collections import Counter
from typing import Any

from explainer.claims.evidence import Checkpoint
from explainer.claims.figure_data import LimitData
from explainer.claims.limit import last_if_unsaid
from explainer.claims.verdict import FigureResult
from explainer.study.description import figures as f
from explainer.study.model import Study, Table
from explainer.words.facts.figure_sizes import (
    Facts,
    Found,
    ends_of,
    measure_of,
)
from explainer.words.facts.items import (
    item_word,
    the_ones,
)
from explainer.words.facts.zone import left_between, reaching, uncalled
from explainer.words.quantity.sizes import (
    gap_unit,
    listed,
    set_level,
    set_range,
    with_unit,
)
from explainer.words.quantity.when import at_point
from explainer.words.sentence import put


def _zones(data: LimitData, calls: Found, unit: str) -> Facts:
    """How far the zone about the limit reaches and its ends, as ``zone_more`` those of the one
    about the upper of two: whoever adds or subtracts finds each of them.

    Where the two lie over one another they are one zone: nothing between the limits can be called.
    ``zone_room``: what is left between them, where that is less than a reading may be off.
    """
    facts: Facts = {"guard": None, "zone_low": None, "zone_high": None, "zones_meet": False,
                    "zone_more": "", "zone_room": "", "zone_slit": False}  # fmt: skip
    limits: list[Any] = [calls[name] for name in ("limit", "upper") if calls.get(name) is not None]
    if not data.guard or not limits:
        return facts
    near = [v.value for v in data.readings
            if any(abs(v.value - limit) < data.guard for limit in limits)]  # fmt: skip
    guard = reaching(data.guard, limits, near)
    ends = [uncalled(limit, guard, unit) for limit in limits]
    facts |= {"guard": with_unit(guard, gap_unit(unit)),
              "zone_low": ends[0][0], "zone_high": ends[0][1]}  # fmt: skip
    if len(ends) < 2 or data.at_least is None or data.at_most is None:
        return facts
    room = data.at_most - data.at_least - 2 * data.guard
    if room < 0:
        return {**facts, "zone_high": ends[1][1], "zones_meet": True}
    # Where hardly a reading can surely pass, that none does says little.
    slit = room < data.guard / 10
    told = "" if slit or room >= data.guard else with_unit(
        left_between(data.at_least, data.at_most, guard), gap_unit(unit))
    return {**facts, "zone_more": put("{} and {}", *ends[1]), "zone_room": told, "zone_slit": slit}


def _limit_told(limits: tuple[float | None, float | None] | None, unit: str) -> str:
    """A limit as it was given: ``12 boards or more``; empty without one."""
    low, high = limits or (None, None)
    if low is not None and high is not None:
        return set_range(low, high, unit)
    if low is not None:
        return put("{} or more", set_level(low, unit))
    return "" if high is None else put("{} or less", set_level(high, unit))


def _when(table: Table, name: str, at: Checkpoint | None) -> str:
    """At which checkpoint readings are held to a limit; empty in a table without any."""
    judged, _ = last_if_unsaid(table, name, at)
    return "" if judged is None else at_point(table, judged)


def limit_facts(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.Limit)
    unit = study.measure(figure.y).unit
    calls, other = found.get("calls", {}), data.otherwise or Counter()
    item = item_word(study, table)
    by_call = {
        call: [r.item for r in data.readings if r.call == call]
        for call in ("fail", "too-close")
    }
    if calls.get("n_below") and calls.get("n_above"):  # those below are counted first
        lowest = sorted(data.readings, key=lambda r: r.value)
        by_call["fail"] = [r.item for r in lowest if r.call == "fail"]
    return {
        **measure_of(study, figure.y, 1), **ends_of([r.value for r in data.readings], unit),
        "limit": set_range(calls["limit"], calls["upper"], unit) if "upper" in calls
        else set_level(calls["limit"], unit) if calls.get("limit") is not None else None,
        "claimed_otherwise": listed([_limit_told(limits, unit) for limits in data.claimed]),
        "claimed_many": len(data.claimed) > 1, "other_passes": other["pass"],
        "other_fails": other["fail"], "other_close": other["too-close"],
        "held_to": _limit_told((data.at_least, data.at_most), unit),
        "counts_otherwise": data.otherwise is not None, "larger_u": data.larger_u,
        "two_sided": "upper" in calls, "when": _when(table, figure.y, figure.at),
        "at_least": calls.get("side") == "at least", "off_chart": bool(table.reading_error),
        "all_read": data.all_read, "left_out": len(table.items) - result.n_items,
        "of_all": len(table.items),
        "passes": calls.get("n_pass", 0), "fails": calls.get("n_fail", 0),
        "close": calls.get("n_close", 0),
        "exact": data.exact, **_zones(data, calls, unit),
        "failed": the_ones(item, by_call["fail"], study, table),
        "outside": _outside(calls.get("n_below", 0), calls.get("n_above", 0)),
        "unsure": the_ones(item, by_call["too-close"], study, table),
    }  # fmt: skip


def _outside(below: int, above: int) -> str:
    """On which side of two limits those lie that miss them: ``6 below and 3 above``."""
    if below and above:
        return f"{below} below and {above} above"
    one = below + above == 1
    return f"{'' if one else 'all '}{'below' if below else 'above'}{' them' if one else ''}"
