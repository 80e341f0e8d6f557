"""The numbers a report prints, in sentences beside what its own data give."""

from __future__ import annotations

import re
from typing import Any

from explainer.claims.verdict import Judgement, StatedCheck
from explainer.study.description.rule import Possible
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import fixed, half_up, plural_of, telling
from explainer.words.quantity.sizes import level

Facts = dict[str, Any]


def stated(teller: Teller, judgement: Judgement) -> tuple[str, ...]:
    """The report's own arithmetic, one sentence or two each."""
    entries = judgement.study.description.stated
    return tuple(
        _stated(teller, check, entry.possible, judgement.study.description.tested.item)
        for check, entry in zip(judgement.stated, entries, strict=False)
    )


def _drawn(check: StatedCheck, each: str) -> Facts:
    """What an r is over, and the other one beside it; empty for numbers that are none."""
    names = {"items": f"over {plural_of(each)}, one point each", "points": "over all the readings"}
    other = "items" if check.over == "points" else "points"
    told = None if check.other is None else level(check.other, check.unit)
    return {"over": names.get(check.over, ""), "other": told,
            "other_over": names[other] if told is not None else ""}  # fmt: skip


def _stated(teller: Teller, check: StatedCheck, possible: Possible | None, each: str) -> str:
    ways = possible.mean_of if possible else None
    known = {
        "what": check.what, "stated": check.stated, "note": check.note,
        "where": f" ({check.where})" if check.where else "",
        **_drawn(check, each),
        **_recomputed(check),
        "n": possible.n if possible else 0, "steps": ways or "whole numbers",
        "percent": possible is not None and possible.percent_of is not None,
        "near": _nearest(check, possible),
    }  # fmt: skip
    if check.possible is False:
        name = "stated.impossible"
    elif check.agrees is not None:
        name = "stated.agrees" if check.agrees else "stated.differs"
    else:
        name = "stated.possible" if check.possible else "stated.unknown"
    return teller.tell([name], known, about=check.what)


def _nearest(check: StatedCheck, possible: Possible | None) -> str:
    """The nearest percentage that a whole number makes: ``20 would make 33.3``."""
    if possible is None or possible.percent_of is None:
        return ""
    try:
        printed = float(check.stated.strip().removesuffix("%"))
    except ValueError:
        return ""
    places = len(check.stated.strip().removesuffix("%").partition(".")[2])
    k = min(range(possible.n + 1), key=lambda k: abs(100 * k / possible.n - printed))
    return f"{k} would make {fixed(100 * k / possible.n, -places)}"


def _recomputed(check: StatedCheck) -> Facts:
    """The number worked out again, to one digit more than the report prints."""
    told = level(check.recomputed, check.unit)
    _, dot, places = check.stated.strip().removesuffix("%").partition(".")
    value = check.recomputed
    if value is None or not dot or check.unit in ("share", "rate") or not places.isdigit():
        return {"recomputed": told, "rounded_off": False, "readings_rounded": False}
    printed = float(half_up(value, -len(places)))
    if abs(value - printed) < 1e-9:
        return {"recomputed": told, "rounded_off": False, "readings_rounded": False}
    finer = float(half_up(value, -len(places) - 1))
    unit = "" if check.unit == "r" else check.unit
    stated_ = float(re.sub(r"[^0-9.]", "", check.stated) or "nan")
    within = abs(abs(value) - stated_) <= 0.5 * 10.0 ** -len(places) + 1e-9
    return {
        "recomputed": telling(finer, printed, unit),
        "rounded_off": within, "readings_rounded": not within,
    }  # fmt: skip
