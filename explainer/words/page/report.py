"""The report behind a page, in words: the numbers it prints, where they were lifted, editions."""

from __future__ import annotations

import re
from typing import Any

from explainer.claims.verdict import STRENGTH, Judgement, StatedCheck
from explainer.study.description.rule import Correction, Possible
from explainer.study.model import Study, Table
from explainer.words.page.prose import fill, plain_claim
from explainer.words.phrases.renderer import Teller, stopped
from explainer.words.quantity.numbers import (
    count_words,
    fixed,
    half_up,
    plural_of,
    significant,
    telling,
    unit_words,
)
from explainer.words.quantity.sizes import level, listed
from explainer.words.quantity.when import day_words
from explainer.words.said import CorrectionWords, EditionWords

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


# Where the numbers of a table came from, in words: page, figure, how, and how sure.

_HOW = {
    "table": "copied as printed",
    "drawing": "read from the chart’s own drawing",
    "picture": "read off by hand",
}


def source_words(study: Study, table: Table) -> str:
    """``Figure 4, page 8, read off by hand, give or take 0.4 boards``; empty without a source."""
    lifted = table.lifted
    if lifted is None:
        return table.source
    printed = ", ".join(filter(None, (lifted.what or "", lifted.on)))
    parts = [table.source or printed, _HOW[lifted.method]]
    if lifted.method != "table" and (off := error_words(study, table)):
        parts.append(off)
    said = ", ".join(parts)
    return f"{said}, and edited since" if table.edited else said


def error_words(study: Study, table: Table) -> str:
    """``give or take 0.4 boards``; empty where there is no error, or measures of several units."""
    lifted = table.lifted
    renamed = study.description.tables[table.name].columns
    named = {renamed.get(c, c) for c in (lifted.reading_error if lifted else {})}
    measures = [m for m in table.measures if m in named] or list(table.measures)
    units = {study.measure(m).unit for m in measures}
    if not table.reading_error or len(units) != 1:
        return ""
    figures = significant(table.reading_error, 2)
    unit = units.pop()
    return f"give or take {figures} {unit_words(unit, figures == '1')}".rstrip()


def as_read_title(table: Table) -> str:
    """The heading over the points as they were read."""
    assert table.lifted is not None
    what = table.lifted.what or f"A chart on page {table.lifted.page}"
    return f"{what} as it was read"


def as_read_words(study: Study, table: Table) -> str:
    """What a reader sees in the redrawing, and how far to trust it."""
    lifted = table.lifted
    assert lifted is not None
    count = sum(len(s.points) for s in lifted.series)
    names = [s.name for s in lifted.series if s.name]
    what = f"{count} point{'s' * (count != 1)}" + (f" ({listed(names)})" if names else "")
    how = {"drawing": "read from the drawing in the report’s file",
           "picture": "read off the report by hand", "table": "copied"}[lifted.method]  # fmt: skip
    off = error_words(study, table)
    sure = f", each {off}" if off else ""
    on = f"{lifted.on}, on {day_words(lifted.read)}"
    return f"{what} {how}, {on}{sure}. Only the axes are drawn again here, not the report’s chart."


# Which edition a reader holds, and what was put right in it: told alike in every edition.

def edition_words(teller: Teller, judgement: Judgement) -> EditionWords:
    """The edition's day and its corrections, newest first.  Raises as ``say`` does.

    The day is the author's ``edition``, else that of the latest correction; no clock is asked, so
    that the same study gives the same bytes on any day.
    """
    said = judgement.study.description
    newest = sorted(said.corrections, key=lambda c: c.date, reverse=True)
    corrected = newest[0].date if newest else ""
    day = said.edition or corrected
    facts = {
        "day": day_words(day), "corrected": day_words(corrected), "n": len(newest),
        "report": day_words(said.report.date) if said.report else "",
        "count": count_words(len(newest)),
    }  # fmt: skip
    return EditionWords(
        day=day,
        corrected=corrected,
        line=teller.tell(["edition.line"], facts, about="edition"),
        stale=teller.tell(["edition.stale"], facts, about="edition") if newest else "",
        corrections=tuple(_correction(teller, judgement, c) for c in newest),
    )


def _correction(teller: Teller, judgement: Judgement, made: Correction) -> CorrectionWords:
    before = made.was if isinstance(made.was, str) else ""
    known = before in STRENGTH
    label = teller.fragment([f"label.{before}"], {}, about=made.date) if known else ""
    facts = {
        "day": day_words(made.date), "what": stopped(fill(made.what, judgement).strip()),
        "found_by": stopped(fill(made.found_by or "", judgement).strip()),
        "before": stopped(f"“{label}”" if label else fill(before, judgement).strip()),
    }  # fmt: skip
    return CorrectionWords(
        date=made.date,
        day=facts["day"],
        says=teller.tell(["correction.one"], facts, about=made.date),
        changed=_changed(teller, judgement, made),
    )


def _changed(teller: Teller, judgement: Judgement, made: Correction) -> tuple[str, ...]:
    """One sentence for each verdict that the author says was another before."""
    if not isinstance(made.was, dict):
        return ()
    said = []
    for id, was in made.was.items():
        verdict = judgement.verdict(id)
        labels = {
            name: teller.fragment([f"label.{code}"], {}, about=id)
            for name, code in (("was", was), ("now", verdict.code))
        }
        facts = {
            **labels, "same": was == verdict.code,
            "plainly": plain_claim(verdict.claim, judgement).rstrip("."),
        }  # fmt: skip
        said.append(teller.tell(["correction.verdict"], facts, about=id, stream="corrections"))
    return tuple(said)
