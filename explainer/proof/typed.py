"""Numbers an author typed into prose, held against every number this data gives.

A number with a unit behind it is held against the numbers in that unit only: "12 microinches" is
not explained by twelve balls.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pandas as pd

from explainer import units
from explainer.claims.verdict import Judgement, Verdict
from explainer.study.model import Study, Table
from explainer.words.page.prose import leaves, names, study_n
from explainer.words.quantity.numbers import rounded

#: A typed number that stands alone: not part of a name (T3), a version, a date or an address.
_TYPED = re.compile(
    r"(?<![\w.,:/#{-])[−-]?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?![\w:/]|[.,-]\d|st\b|nd\b|rd\b|th\b)"
)
#: The levels that ranges are given at, which are no results.
_LEVELS = ("80", "90", "95")
_SKIPPED = re.compile(
    r"`[^`]*`|\]\([^)]{0,2000}\)|https?://\S+|\{[^{}]*\}|^[^\S\n]*\d+[.)]\s", re.MULTILINE
)
_NUMBER = re.compile(r"[−-]?(?<![\d,])([\d,]*\d(?:\.\d+)?)(?![\d.])")
_BEHIND = re.compile(r"[ -]?(%|[^\W\d_]+(?: D\b)?)")
#: Units that count: a number before them may count anything.
_COUNTING = ("", "count", "game", "shot", "pin", "percent", "day", "hour", "minute", "second")
#: Sizes of the lane that every bowler knows (see ``units``).
_LANE = (
    (units.LANE_FEET, "foot"),
    (float(units.LANE_BOARDS), "board"),
    (units.LANE_WIDTH_INCHES, "inch"),
)

Known = tuple[float, str]
"""A number and its unit: none for a count, which may be of anything, ``?`` for a result that is
bare on the page."""


@dataclass(frozen=True)
class TypedNumber:
    """A number an author typed that nothing computed explains."""

    text: str
    start: int
    """Where it stands in the prose."""
    nearest: str
    """The computed value closest to it, as it would be written; empty where there is none."""
    reference: str = ""
    """What an author writes between braces to get that value; empty where no name gives it."""


def typed_numbers(text: str, judgement: Judgement) -> list[TypedNumber]:
    """The numbers in ``text`` that no computed value, rounded as they are, comes out as.

    Years, ordinals, list numbers, names (T3), code and addresses are not numbers here.
    """
    blanked = _SKIPPED.sub(lambda m: " " * len(m[0]), text)
    for name in _names_with_numbers(judgement):
        blanked = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", " " * len(name), blanked)
    typed = [
        m
        for m in _TYPED.finditer(blanked)
        if not _is_year(m[0]) and not (m[0] in _LEVELS and blanked.startswith("%", m.end()))
    ]
    if not typed:
        return []
    every = sorted({(abs(value), unit) for value, unit in _computed(judgement)})
    found = []
    for match in typed:
        digits = match[0].replace(",", "").replace("−", "-")
        known = _in_unit(every, _unit_behind(blanked, match.end()))
        if any(_rounds_to(value, digits) for value in known):
            continue
        near = min(known, key=lambda v: abs(v - abs(float(digits))), default=None)
        nearest = "" if near is None else rounded(near)
        found.append(TypedNumber(match[0], match.start(), nearest, _reference(nearest, judgement)))
    return found


#: Most names with a number in them that are looked for, and most values of a column to look at.
_MOST_NAMES, _MOST_VALUES = 200, 1000


def _names_with_numbers(judgement: Judgement) -> list[str]:
    """What a column of words calls something by letters and a number, the longest first: the
    pattern Harbor 38 has no 38 of anything."""
    found: set[str] = set()
    for table in judgement.study.tables.values():
        frame = table.frame
        for column in frame.columns:
            if pd.api.types.is_numeric_dtype(frame[column]):
                continue
            values = map(str, frame[column].dropna().unique()[:_MOST_VALUES])
            found |= {v for v in values if re.search(r"[^\W\d_]", v) and re.search(r"\d", v)}
    return sorted(found, key=lambda name: (-len(name), name))[:_MOST_NAMES]


def _reference(nearest: str, judgement: Judgement) -> str:
    """The first name whose words begin with that number, whatever its sign; claims come first."""
    every, claims = names(judgement), [v.claim.id for v in judgement.verdicts]
    for owner in (*claims, *judgement.study.description.measures) if nearest else ():
        for name, words in every[owner].items():
            first = _NUMBER.match(words)
            if first and first[1] == nearest.lstrip("−-"):
                return f"{owner}.{name}"
    return ""


def _unit_behind(text: str, end: int) -> str:
    """The unit that stands behind a number; none where the word there is not one."""
    word = _BEHIND.match(text, end)
    unit = units.canonical(word[1]) if word and units.ours(word[1]) else ""
    return unit


def _in_unit(every: list[Known], unit: str) -> list[float]:
    """The numbers that a number with ``unit`` behind it could be, in that unit."""
    if not unit or unit == "percent":
        return [value for value, _ in every]
    if unit in _COUNTING:
        return [value for value, own in every if own in ("", unit)]
    alike = (
        (value, own) for value, own in every if own not in ("", "?") and units.alike(own, unit)
    )
    return [abs(units.convert(value, own, unit)) for value, own in alike]


def _is_year(text: str) -> bool:
    return len(text) == 4 and text.isdigit() and 1900 <= int(text) <= 2100


def _rounds_to(value: float, digits: str) -> bool:
    """Whether ``value``, its sign aside, prints as ``digits`` at their number of places."""
    typed = abs(Decimal(digits))
    half = Decimal(1).scaleb(int(typed.as_tuple().exponent)) / 2
    return abs(abs(Decimal(repr(float(value)))) - typed) <= half


def _computed(judgement: Judgement) -> Iterator[Known]:
    """Every number a page shows or a description gives."""
    study = judgement.study
    yield float(study_n(judgement)), ""
    yield from _LANE
    for table in study.tables.values():
        yield from _of_table(study, table)
    for verdict in judgement.verdicts:
        for part in verdict.each:
            yield from _of_verdict(study, part)
    for shown in judgement.figures:
        drawn = {_measured(study, getattr(shown.figure, key, None)) for key in ("x", "y", "board")}
        for unit in ("?", *sorted(drawn)):
            yield from _numbers([f.numbers for f in shown.findings], unit)
    said = study.description
    yield from _numbers(said.model_dump(exclude={"claims", "figures", "stated", "measures"}), "")
    if said.rule is not None and said.rule.limit is not None:
        unit = _measured(study, said.rule.limit.measure)
        yield from _numbers([said.rule.limit.model_dump(), said.rule.u], unit)
    for measure in said.measures.values():
        yield from _numbers(measure.model_dump(), measure.unit)
    for check in judgement.stated:
        yield from _numbers([check.recomputed], check.unit)


def _of_table(study: Study, table: Table) -> Iterator[Known]:
    yield float(len(table.items)), ""
    yield float(len(table.frame)), ""
    yield from ((float(c), table.use_unit) for c in table.checkpoints)
    for name in table.measures:
        values = table.frame[name].dropna()
        if len(values):
            unit = study.measure(name).unit
            yield from ((float(v), unit) for v in (values.min(), values.max(), values.mean()))


def _of_verdict(study: Study, part: Verdict) -> Iterator[Known]:
    power = part.power
    yield from _numbers([part.n_items, part.n_rows, part.p, power and power.items_needed], "")
    ranged = [part.estimate, part.low, part.high, power and power.smallest_effect]
    known = part.detail.known()
    detail = {k: v for k, v in known.items() if not k.startswith(("n_", "measured_"))}
    yield from _numbers(part.test.model_dump(), "")
    for _, said in leaves(part.test.model_dump(), ()):  # grit 500 against grit 4000: as they stand
        if isinstance(said, str):
            found = (m[0].replace(",", "").replace("−", "-") for m in _TYPED.finditer(said))
            yield from ((float(digits), "") for digits in found)
    for unit in {"?", part.unit, _measured(study, getattr(part.test, "measure", None))}:
        yield from _numbers([ranged, part.extra, detail, part.test.model_dump()], unit)
    yield from _numbers({k: v for k, v in known.items() if k not in detail}, "")
    yield from _numbers(known, "?")
    if part.unit in ("share", "rate"):
        yield from ((100 * v, "") for v in (part.estimate, part.low, part.high) if v is not None)


def _measured(study: Study, name: Any) -> str:
    """The unit of the measure of that name, none where there is no such measure."""
    name = getattr(name, "measure", name)
    measure = study.description.measures.get(name) if isinstance(name, str) else None
    return measure.unit if measure else "board" if name == "board" else ""


def _numbers(data: Any, unit: str) -> Iterator[Known]:
    for _, value in leaves(data, ()):
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e15:
            yield float(value), unit
