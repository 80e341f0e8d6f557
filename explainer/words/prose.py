"""Numbers in an author's prose: ``{texture-falls.estimate}`` becomes the value with its unit.

A reference is the id of a claim, a figure or a measure, a dot, and a name:

    {CLAIM.estimate} {CLAIM.low} {CLAIM.range} {CLAIM.size} {CLAIM.n} {CLAIM.from} {CLAIM.mean_to} …
    {CLAIM.2.estimate}          the second of a claim's several tests
    {FIGURE.early-step.share}   a number of what a figure shows
    {MEASURE.matters_from}      what the description says of a measure
    {study.n}                   how many items were tested

``estimate``, ``low``, ``high``, ``size`` and the means carry their unit, rounded by their range;
``from``, ``to`` and counts are bare.  Any name of the results file's ``extra`` works, too.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from explainer.claims.verdict import Judgement, Verdict
from explainer.errors import DescriptionError, Problem
from explainer.words.numbers import p_words, percent, rounded
from explainer.words.sizes import Sized, level, number

_REFERENCE = re.compile(r"\{([A-Za-z0-9_-]+)((?:\.[A-Za-z0-9_-]+)+)\}")
#: A typed number that stands alone: not part of a name (T3), a version, a date or an address.
_TYPED = re.compile(
    r"(?<![\w.,:/#{-])[−-]?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?![\w:/]|[.,-]\d|st\b|nd\b|rd\b|th\b)"
)
#: The levels that ranges are given at, which are no results.
_LEVELS = ("80", "90", "95")
_SKIPPED = re.compile(r"`[^`]*`|\]\([^)]*\)|https?://\S+|\{[^{}]*\}|^\s*\d+[.)]\s", re.MULTILINE)


def fill(text: str, judgement: Judgement) -> str:
    """``text`` with every reference replaced by its value.

    Raises DescriptionError, with the place of the text, for a reference that means nothing and
    for one whose value does not exist (a claim that was not tested has no estimate).
    """
    if "{" not in text:
        return text
    return _REFERENCE.sub(lambda m: _value(m, text, judgement), text)


def names(judgement: Judgement) -> Mapping[str, Mapping[str, str]]:
    """Every reference that can be made: id, then name, then the words that would stand there."""
    found: dict[str, Mapping[str, str]] = {"study": {"n": str(_study_n(judgement))}}
    for name, measure in judgement.study.description.measures.items():
        given = {
            key: level(getattr(measure, key), measure.unit)
            for key in ("matters_from", "resolution", "repeatability_sd")
            if getattr(measure, key) is not None
        }
        found[name] = {**given, "unit": measure.unit, "term": judgement.study.term(name)}
    for figure in judgement.figures:
        found[figure.figure.id] = {
            f"{finding.kind}.{key}": _plain(value)
            for finding in figure.findings
            for key, value in finding.numbers.items()
            if value is not None
        }
    for verdict in judgement.verdicts:
        own = _of(verdict, judgement)
        for i, part in enumerate(verdict.parts, 1):
            own |= {f"{i}.{key}": value for key, value in _of(part, judgement).items()}
        found[verdict.claim.id] = own
    return found


def _value(match: re.Match[str], text: str, judgement: Judgement) -> str:
    known = names(judgement)
    owner, name = match[1], match[2].removeprefix(".")
    if owner in known and name in known[owner]:
        return known[owner][name]
    if owner not in known:
        close = difflib.get_close_matches(owner, known, n=1)
        expected = "the id of a claim, a figure or a measure"
    else:
        close = difflib.get_close_matches(name, known[owner], n=1)
        expected = f"one of {', '.join(sorted(known[owner])) or 'nothing: it has no numbers'}"
    line, column = _place(text, judgement)
    raise DescriptionError(
        Problem(
            "study.yaml", line, column, found=match[0], expected=expected,
            hint=f"did you mean {close[0]}?" if close else "",
            happens="the sentence cannot be written", code="reference",
        )
    )  # fmt: skip


def _of(verdict: Verdict, judgement: Judgement) -> dict[str, str]:
    """The names of one verdict that have a value."""
    found = {"n": str(verdict.n_items), "rows": f"{verdict.n_rows:,}"}
    return found | _estimate(verdict) | _points(verdict) | _details(verdict, judgement)


def _estimate(verdict: Verdict) -> dict[str, str]:
    sized = Sized(verdict.estimate, verdict.low, verdict.high, verdict.unit)
    found: dict[str, str] = {}
    if verdict.estimate is not None:
        found |= {"estimate": sized.signed, "size": sized.size}
    if verdict.low is not None and verdict.high is not None:
        found |= {"range": sized.span, "low": _end(verdict, verdict.low),
                  "high": _end(verdict, verdict.high)}  # fmt: skip
    for name, value in (("p", verdict.p), ("p_holm", verdict.p_holm)):
        if value is not None:
            found[name] = p_words(value)
    return found


def _points(verdict: Verdict) -> dict[str, str]:
    """The checkpoints a claim speaks of, bare: ``60``, ``1 to 10``."""
    found: dict[str, str] = {}
    for name, key in (("from", "from_"), ("to", "to"), ("by", "by"), ("at", "at")):
        point = getattr(verdict.test, key, None)
        if isinstance(point, int | float):
            found[name] = number(float(point))
        elif isinstance(point, tuple):
            found[name] = f"{number(point[0])} to {number(point[1])}"
    return found


def _details(verdict: Verdict, judgement: Judgement) -> dict[str, str]:
    """What sentences know of a verdict, and the results file's extra numbers."""
    detail, found = verdict.detail, dict[str, str]()
    measure = getattr(verdict.test, "measure", None)
    unit = judgement.study.measure(measure).unit if isinstance(measure, str) else ""
    for key in ("mean_from", "mean_to", "mean_a", "mean_b", "margin", "mdd", "guard"):
        if isinstance(detail.get(key), int | float):
            found[key] = level(detail[key], unit)
    for key in ("n_up", "n_down", "reaches", "measured_to", "measured_from"):
        if isinstance(detail.get(key), int | float):
            found[key] = number(float(detail[key]))
    if verdict.power and verdict.power.items_needed:
        found["needed"] = f"{verdict.power.items_needed:,}"
    for key, value in verdict.extra.items():
        if isinstance(value, int | float) and not isinstance(value, bool):
            found.setdefault(key, p_words(value) if key.startswith("p_") else rounded(value))
    return found


def _end(verdict: Verdict, value: float) -> str:
    if verdict.unit in ("share", "rate"):
        return percent(value)
    return Sized(value, verdict.low, verdict.high, verdict.unit).signed


def _plain(value: float | int | str) -> str:
    return value if isinstance(value, str) else rounded(float(value))


def _study_n(judgement: Judgement) -> int:
    described = judgement.study.description.tested.count
    items = {i for t in judgement.study.tables.values() for i in t.items}
    return described or len(items)


def _place(text: str, judgement: Judgement) -> tuple[int, int]:
    """Line and column of a text of study.yaml, found by its words."""
    data = judgement.study.description.model_dump(by_alias=True)
    path = next((p for p, value in _leaves(data, ()) if value == text), ())
    places = judgement.study.places
    while path and path not in places:
        path = path[:-1]
    return places.get(path, (1, 1))


def _leaves(data: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if isinstance(data, Mapping):
        for key, value in data.items():
            yield from _leaves(value, (*path, key))
    elif isinstance(data, list | tuple):
        for i, value in enumerate(data):
            yield from _leaves(value, (*path, i))
    else:
        yield path, data


@dataclass(frozen=True)
class TypedNumber:
    """A number an author typed that nothing computed explains."""

    text: str
    start: int
    """Where it stands in the prose."""
    nearest: str
    """The computed value closest to it, as it would be written; empty where there is none."""


def typed_numbers(text: str, judgement: Judgement) -> list[TypedNumber]:
    """The numbers in ``text`` that no computed value, rounded as they are, comes out as.

    Years, ordinals, list numbers, names (T3), code and addresses are not numbers here.
    """
    blanked = _SKIPPED.sub(lambda m: " " * len(m[0]), text)
    typed = [
        m
        for m in _TYPED.finditer(blanked)
        if not _is_year(m[0]) and not (m[0] in _LEVELS and blanked.startswith("%", m.end()))
    ]
    if not typed:
        return []
    known = sorted({abs(value) for value in _computed(judgement)})
    found = []
    for match in typed:
        digits = match[0].replace(",", "").replace("−", "-")
        if any(_rounds_to(value, digits) for value in known):
            continue
        near = min(known, key=lambda v: abs(v - abs(float(digits))), default=None)
        found.append(TypedNumber(match[0], match.start(), "" if near is None else rounded(near)))
    return found


def _is_year(text: str) -> bool:
    return len(text) == 4 and text.isdigit() and 1900 <= int(text) <= 2100


def _rounds_to(value: float, digits: str) -> bool:
    """Whether ``value``, its sign aside, prints as ``digits`` at their number of places."""
    typed = abs(Decimal(digits))
    half = Decimal(1).scaleb(int(typed.as_tuple().exponent)) / 2
    return abs(abs(Decimal(repr(float(value)))) - typed) <= half


def _computed(judgement: Judgement) -> Iterator[float]:
    """Every number a page shows or a description gives."""
    study = judgement.study
    yield float(_study_n(judgement))
    for table in study.tables.values():
        yield float(len(table.items))
        yield float(len(table.frame))
        yield from (float(c) for c in table.checkpoints)
        for name in table.measures:
            values = table.frame[name].dropna()
            if len(values):
                yield from (float(values.min()), float(values.max()), float(values.mean()))
    for verdict in judgement.verdicts:
        for part in verdict.parts or (verdict,):
            yield from _numbers(
                [part.estimate, part.low, part.high, part.n_items, part.n_rows, part.p,
                 part.extra, part.detail, part.test.model_dump(),
                 part.power and [part.power.items_needed, part.power.smallest_effect]]
            )  # fmt: skip
            if part.unit in ("share", "rate"):
                ends = [v for v in (part.estimate, part.low, part.high) if v is not None]
                yield from (100 * v for v in ends)
    yield from _numbers([f.numbers for r in judgement.figures for f in r.findings])
    yield from _numbers(study.description.model_dump(exclude={"claims", "figures", "stated"}))
    yield from _numbers([s.recomputed for s in judgement.stated])


def _numbers(data: Any) -> Iterator[float]:
    for _, value in _leaves(data, ()):
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e15:
            yield float(value)
