"""The quantities in a finished sentence, each with the same size in the other system of units.

In a sentence of ours every number is known since it was rounded (``words/sentence.py``); nothing
is read out of it.  What an author wrote, and what we said before anybody kept it, is read as prose.

A page can then show either system without working anything out.  A sentence is only ever changed
as a whole: where it holds a number whose unit is left unsaid (``a drop of 2 boards to a rise of
1.2``), converting the others would make that one wrong, so there the other system is set beside
the first and replaces nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Literal, TypeGuard, TypeVar

from explainer import units
from explainer.claims.verdict import Strip
from explainer.study.model import Study
from explainer.words.language import language
from explainer.words.quantity.numbers import MINUS, bare, fixed, told_in, with_short
from explainer.words.sentence import (
    SENTENCE,
    Figures,
    KnownNumbers,
    Place,
    Sentence,
    joined,
    places_of,
)

System = Literal["inch", "metric"]
#: A number as it is told and its unit.
Told = tuple[str, str]
#: Numbers that somebody set -> the digits that each takes in the other system.
Limits = Mapping[Told, int]
NONE: Limits = MappingProxyType({})
#: The fewest digits of such a one.
LEAST = 3

_NUMBER = rf"(?<![\w.,{MINUS}-])[{MINUS}-]?\d[\d,]*(?:\.\d+)?(?!\d)"
#: Symbols that are words, too: read as units only in brackets behind the same size.
_WORDS_TOO = {"in", "m", "g", "mil"}
#: A number whose unit is said elsewhere: nothing follows it that it could be counting.
_BARE = re.compile(
    rf"(?<!\bgame )(?<!\bgames )(?<!\bfigure )(?<!\bclaim )(?<!\bpage )(?<!\bshot )(?<!\bshots )"
    rf"{_NUMBER}(?!%)(?![ -](?!(?:on|to|and|or|at|in|for|with)\b)[A-Za-z]|,?\d)"
    rf"|{_NUMBER}(?<=\.\d)(?!%)|(?:rise|drop|fall) of \d"
)
_DECIMAL = re.compile(r"\d\.\d+(?![\d%])")
#: What may stand between an estimate and its range, and between the ends of one.
_GOES_ON = re.compile(r" to |, likely | \((?:likely |\d+% range )?")
_FIGURES = re.compile(rf"{_NUMBER}(?![.,]?\d)")
#: What leads to a number that is one of its sentence's sizes, and what to one that may not be.
_LED = re.compile(
    r"(?:\b(?:from|to|by|and|than|between|at|of|likely|about|or|is|was|a)|\(|: ?)\s?$"
)
_DOUBT = re.compile(
    r"\b(?:link|against \d|in all|p [<=>]|share|times|percentage|out of|correlation)|\d–\d"
)
#: Behind these a size is a step, and a range that follows is not one of it.
_STEPS = ("for every ", "per ", "for each ")


@dataclass(frozen=True)
class Piece:
    """Some text; where it is a quantity, ``other`` says it in the system ``system``."""

    text: str
    other: str = ""
    system: System = "metric"
    known: bool = False
    """A number of ours: no reader of prose need look at it."""
    bare: bool = False
    """Whether its unit is said elsewhere in the sentence."""


def pieces(
    text: str, limits: Limits = NONE, numbers: KnownNumbers | None = None
) -> tuple[Piece, ...]:
    """``text`` cut at its quantities; the pieces together are the text.

    ``numbers`` are those of the sentences we said ourselves: of these every number and its unit
    is known.  Prose is read.  ``limits`` are numbers that somebody set, see ``converted``.
    """
    found: list[Piece] = []
    for sentence, places in _sentences(text, numbers):
        cut = list(_cut(sentence, limits, places))
        if _unread(cut, bool(places)):
            cut = [_beside(p) if p.other else p for p in cut]
        found += cut
    return tuple(found)


def _sentences(text: str, numbers: KnownNumbers | None) -> Iterator[tuple[str, tuple[Place, ...]]]:
    """The sentences of a text, each with the numbers that are known of it, by itself or from
    where it was said."""
    own = text.sentences() if isinstance(text, Sentence) else SENTENCE.findall(text)
    for sentence in own:
        yield str(sentence), places_of(sentence) or (numbers.of(sentence) if numbers else ())


def told_again(
    text: str, system: System, limits: Limits = NONE, numbers: KnownNumbers | None = None
) -> str:
    """``text`` with every quantity in ``system``, those whose unit is left unsaid among them.

    In a sentence of ours each number has its unit.  In prose one that leaves it unsaid goes by the
    unit of its sentence, where that has one (or a size for every step, whose range is one of
    sizes).  Where it might be something else, the other system is only set beside.
    """
    said = []
    for sentence, places in _sentences(text, numbers):
        said.append(_again(sentence, system, limits, places))
    told = joined("", said)
    return numbers.keep(told) if numbers else told


def _again(
    sentence: str, system: System, limits: Limits, places: tuple[Place, ...]
) -> str:
    if not any(letter.isdigit() for letter in sentence):
        return sentence
    if not places and _rate().search(sentence):
        return sentence  # cm per microinch would help nobody
    if places:
        cut = list(_cut(sentence, limits, places))
        if not _unread(cut, ours=True) and not any(_step().search(p.text) for p in cut):
            return joined("", (p.other if p.other and p.system == system else p.text for p in cut))
    sentence = _step().sub(r"\g<1>1 \g<2>", sentence)
    cut = list(_cut(sentence, limits))
    unread = _unread(cut)
    unit = _unit_of(sentence) if unread else ""
    if unread and not unit:
        cut = list(pieces(sentence, limits))
    said = []
    for piece in cut:
        if piece.other:
            said.append(piece.other if piece.system == system else piece.text)
        elif unit and system_of(unit) == system:
            said.append(_bare(piece.text, unit, limits))
        else:
            said.append(piece.text)
    return "".join(said)


def _unread(cut: Iterable[Piece], ours: bool = False) -> bool:
    """Whether there is a number left of which nothing says what it is in.

    In a sentence of ours a whole number that is not known is no size: a count, or part of a name.
    """
    rest = "\n".join(piece.text for piece in cut if not piece.other and not piece.known)
    return bool((_DECIMAL if ours else _BARE).search(rest))


def _bare(text: str, unit: str, limits: Limits) -> str:
    """``text`` with the numbers that leave their unit unsaid in the other system."""
    bare = [match.span() for match in _BARE.finditer(text)]

    def told(match: re.Match[str]) -> str:
        here = any(a < match.end() and match.start() < b for a, b in bare)
        return converted(match[0], unit, limits) if here else match[0]

    return _FIGURES.sub(told, text)


def _unit_of(sentence: str) -> str:
    """The unit of the numbers that leave it unsaid; empty where they might be anything else."""
    if _DOUBT.search(sentence):
        return ""
    found = [(m, _spellings()[m["unit"]]) for m in _quantity().finditer(sentence)]
    sizes = [unit for m, unit in found if not sentence.endswith(_STEPS, 0, m.start())]
    own = set(sizes or [unit for _, unit in found])
    bare = [m.start() + re.search(r"\d", m[0]).start() for m in _BARE.finditer(sentence)]  # type: ignore[union-attr]
    quantities = [(m.start(), m.end()) for m, _ in found]
    alone = [at for at in bare if not any(a <= at < b for a, b in quantities)]
    if len(own) != 1 or any(not _LED.search(sentence, 0, at) for at in alone):
        return ""
    return next(iter(own))


def converted(
    figures: str, unit: str, limits: Limits = NONE, finest: int | None = None, step: bool = False
) -> str:
    """A number as it is told, in the other system; empty where ``unit`` is at home in both.

    A ``step`` is exact, and what comes for every one of it was worked out for all of it: 0.254 µm.

    One of ``limits`` is exact however few digits it needs, so it gets its own: held to 50
    microinches, nobody should be told 1.3 µm, which is 51.  ``finest``: see ``told_in``.
    """
    other = other_unit(unit)
    if other is None:
        return ""
    digits = limits.get((figures, unit))
    if isinstance(figures, Figures) and figures.pair:  # a reading beside another, at a limit or not
        digits = None
    if digits is None:
        return told_in(figures, unit, other, LEAST if step else 2, finest)
    # 7.62 mm, though 7.6454 of the same zone takes five digits
    told = [told_in(str(figures), unit, other, n) for n in range(LEAST, digits + 1)]
    return next(text for text in told if _bare_end(text) == _bare_end(told[-1]))


def _bare_end(figures: str) -> str:
    """Without zeros at the end behind the point: 7.620 is no finer than 7.62."""
    return figures.rstrip("0").rstrip(".") if "." in figures else figures


def other_unit(unit: str) -> str | None:
    """The unit of the other system that people use for such a size; None if there is none."""
    return units.metric_of(unit) or units.inch_of(unit)


def system_of(unit: str) -> System:
    """The system that ``other_unit`` belongs to."""
    return "metric" if units.metric_of(unit) else "inch"


def _cut(
    sentence: str, limits: Limits, places: tuple[Place, ...] = ()
) -> Iterator[Piece]:
    """A sentence at its quantities: first at those that are known, the rest as prose."""
    ours, at = Sentence(sentence, (_with_unit(sentence, place) for place in places)), 0
    finest = _finest(places)
    for run in _runs(ours):
        start, end = run[0].start, run[-1].end
        yield from _read(sentence[at:start], limits)
        step = ours.endswith(_STEPS, 0, start)
        yield _told(ours.part(start, end), run, limits, finest, step)
        at = end
    yield from _read(sentence[at:], limits)


def _finest(places: Iterable[Place]) -> dict[str, int]:
    """Unit -> the last digit shown of those numbers of a sentence that keep the same one."""
    found: dict[str, int] = {}
    for place in places:
        if isinstance(place.figures, Figures) and place.figures.even:
            unit = units.canonical(place.unit)
            found[unit] = min(found.get(unit, 0), place.figures.last)
    return found


def _with_unit(sentence: str, place: Place) -> Place:
    """A number with its unit, where the phrase itself says that behind it: ``{{ x }} feet``."""
    if place.whole or not place.unit:
        return place
    name = units.canonical(place.unit)
    for word in (units.plural(name), units.singular(name)):
        end = place.end + 1 + len(word)
        follows = sentence[place.end : end] == f" {word}"
        if follows and not sentence[end : end + 1].isalnum():
            return replace(place, end=end, whole=True)
    return place


def _runs(ours: Sentence) -> Iterator[tuple[Place, ...]]:
    """The known numbers, an estimate and its range (or two ends of one) together."""
    run: tuple[Place, ...] = ()
    for place in ours.places:
        if run and run[-1].unit == place.unit and not run[-1].pair:
            between = ours[run[-1].end : place.start]
            ends = ours.endswith("between ", 0, run[0].start) and between == " and "
            step = ours.endswith(_STEPS, 0, run[-1].start)
            if not step and (ends or _GOES_ON.fullmatch(between)):
                run = (*run, place)
                continue
        if run:
            yield run
        run = (place,)
    if run:
        yield run


def _made(
    text: Sentence, run: tuple[Place, ...], unit: str, limits: Limits, finest: Mapping[str, int]
) -> list[str]:
    """The numbers of a run in the other system, both ends of a range to the same digit."""
    made = [converted(place.figures, unit, limits, finest.get(unit)) for place in run]
    for k, (first, second) in enumerate(pairwise(run)):
        between = text[first.end - run[0].start : second.start - run[0].start]
        ends = [e for e in (first.figures, second.figures) if _only_rounded(e, unit, limits)]
        if between == " to " and len(ends) == 2 and len({e.place for e in ends}) == 1:
            last = max(len(figures.partition(".")[2]) for figures in made[k : k + 2])
            made[k : k + 2] = [
                fixed(float(units.convert(end.value, unit, other_unit(unit) or unit)), -last)
                for end in ends
            ]
    return made


def _only_rounded(figures: str, unit: str, limits: Limits) -> TypeGuard[Figures]:
    """Whether it is a number of ours that is held to nothing but its last digit."""
    return (isinstance(figures, Figures) and not figures.even and not figures.pair
            and figures.place is not None and figures[-1:].isdigit()
            and (figures, unit) not in limits)  # fmt: skip


def _told(
    text: Sentence, run: tuple[Place, ...], limits: Limits, finest: Mapping[str, int], step: bool
) -> Piece:
    """Known numbers of one unit, told in the other system as they are told in this one."""
    unit = units.canonical(run[0].unit)
    other = other_unit(unit)
    if other is None:
        return Piece(text, known=True)
    said: list[str] = []
    at = run[0].start
    made = [converted(run[0].figures, unit, limits, step=True)] if step else \
        _made(text, run, unit, limits, finest)  # fmt: skip
    for place, figures in zip(run, made, strict=True):
        said.append(text[at - run[0].start : place.start - run[0].start])
        whole = with_short(figures, other) if place.whole else bare(figures, other)
        said.append(place.pair or whole)
        at = place.end
    return Piece(text, joined("", said), system_of(unit), known=True,
                 bare=not any(place.whole for place in run))  # fmt: skip


def _read(sentence: str, limits: Limits) -> Iterator[Piece]:
    """Prose at its quantities."""
    at, cut = 0, 0
    while match := _quantity().search(sentence, at):
        step = sentence.endswith(_STEPS, 0, match.start())
        no_tail = step and match["tail"] is not None
        at = match.start("tail") if no_tail else match.end()
        if match.start() > cut:
            yield Piece(sentence[cut : match.start()])
        yield _piece(match, sentence[match.start() : at], limits, not no_tail, step)
        cut = at
    if cut < len(sentence):
        yield Piece(sentence[cut:])


def _piece(
    match: re.Match[str], text: str, limits: Limits, tail: bool, step: bool
) -> Piece:
    """One match, with every number in it converted."""
    unit = _spellings()[match["unit"]]
    other = other_unit(unit)
    assert other is not None  # a spelling is only listed with its counterpart
    first = match["first"] or match["from"]
    joint = match["joint"] or match["up_to"]
    lead = f"{converted(first, unit, limits)}{joint}" if first else ""
    if match["pair"] and _every_spelling()[match["pair_unit"]] != units.canonical(other):
        return Piece(text)
    number = converted(match["number"], unit, limits, step=step)
    said = match["pair"] or lead + with_short(number, other)
    if match["tail"] and tail:
        low, high = (converted(match[end], unit, limits) for end in ("low", "high"))
        said += f"{match['tail']}{low} to {high}"
    return Piece(text, said, system_of(unit))


def _beside(piece: Piece) -> Piece:
    """The quantity as it was with the other system behind it; a pair has both already."""
    if piece.bare:
        return replace(piece, other="")
    both = piece.text if "(" in piece.text else f"{piece.text} ({piece.other})"
    return replace(piece, other=both)


@lru_cache(maxsize=1)
def _every_spelling() -> dict[str, str]:
    """Spelling to unit, for the units that have a counterpart in the other system."""
    found: dict[str, str] = {}
    for name in units.names():
        if other_unit(name):
            for spelling in (units.singular(name), units.plural(name), units.short(name)):
                found.setdefault(spelling, name)
    return found


@lru_cache(maxsize=1)
def _spellings() -> dict[str, str]:
    return {s: name for s, name in _every_spelling().items() if s not in _WORDS_TOO}


@lru_cache(maxsize=1)
def _step() -> re.Pattern[str]:
    """A step of one unit, whose number is left unsaid: ``for every inch``."""
    unit = "|".join(re.escape(units.singular(name)) for name in units.names() if other_unit(name))
    return re.compile(rf"(for every )({unit})\b")


@lru_cache(maxsize=1)
def _rate() -> re.Pattern[str]:
    """A slope as a table has it, one unit per another: ``0.0017 board per microinch``."""
    unit = "|".join(re.escape(s) for s in sorted(_every_spelling(), key=len, reverse=True))
    return re.compile(rf"\d (?:{unit}) per (?:{unit})\b")


@lru_cache(maxsize=1)
def _quantity() -> re.Pattern[str]:
    """A number or a range, its unit, and what of the same unit may follow without saying it."""
    unit = "|".join(re.escape(s) for s in sorted(_spellings(), key=len, reverse=True))
    any_unit = "|".join(re.escape(s) for s in sorted(_every_spelling(), key=len, reverse=True))
    return re.compile(
        rf"(?:(?P<from>{_NUMBER})(?P<up_to> to )"
        rf"|(?<=between )(?P<first>{_NUMBER})(?P<joint> and ))?"
        rf"(?P<number>{_NUMBER}) (?P<unit>{unit})\b"
        rf"(?: \((?P<pair>{_NUMBER} (?P<pair_unit>{any_unit}))\))?"
        rf"(?:(?P<tail>, likely | \((?:likely |\d+% range )?)"
        rf"(?P<low>{_NUMBER}) to (?P<high>{_NUMBER})"
        rf"(?! (?:{unit})\b))?"
    )


# Finished words told again, every sentence as a whole: in the units that a workspace puts first,
# and with numbers as the language spoken writes them.
# Sentences are written in the units of the study. Where the workspace says metric, each quantity
# in them is told in metric before any edition is set, so that no two editions can differ.

T = TypeVar("T")


#: What is no sentence of ours: ids, addresses, and numbers quoted as the report prints them.
AS_THEY_ARE = frozenset((
    "id", "claim", "code", "figure", "report_says", "stated", "stated_says", "hashes", "downloads",
    "limits", "base_address", "version", "still", "report",
))  # fmt: skip
#: Types with a way of their own -> that way.
Ways = Mapping[type, Callable[[Any], Any]]


def retold(
    words: T,
    system: System,
    limits: Limits = NONE,
    ways: Ways = MappingProxyType({}),
    numbers: KnownNumbers | None = None,
) -> T:
    """``words`` (text, or anything frozen that is made of texts) told in one system of units.

    A quantity told in both keeps both.  What is at home in that system, or in neither, stays.
    ``limits`` are numbers that somebody set: converted exactly, see ``systems.converted``;
    ``ways`` are for what is drawn or tabled; ``numbers`` are those of our own sentences.
    """
    told: T = _through(words, lambda text: told_again(text, system, limits, numbers), ways)
    return told


def written(words: T, drawn: Iterable[type] = ()) -> T:
    """``words`` with every number as the language spoken here writes it: ``1.234,5``.

    ``drawn`` are the types whose texts are no sentences: drawings, addresses.
    """
    spoken = language()
    if spoken.written("−1,234.5") == "−1,234.5":
        return words
    told: T = _through(words, spoken.written, {kind: lambda value: value for kind in drawn})
    return told


def _through(value: Any, told: Callable[[str], str], ways: Ways) -> Any:
    if type(value) in ways:
        return ways[type(value)](value)
    if isinstance(value, str):
        return told(value)
    if isinstance(value, tuple):
        return tuple(_through(part, told, ways) for part in value)
    if isinstance(value, Mapping):
        return {key: _through(part, told, ways) for key, part in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{
            f.name: _through(getattr(value, f.name), told, ways)
            for f in fields(value) if f.init and f.name not in AS_THEY_ARE
        })  # fmt: skip
    return value


# Drawn numbers in the units that a workspace puts first: axes and range strips.

def told_unit(unit: str, study: Study) -> tuple[str, float]:
    """The unit that a workspace tells ``unit`` in, and how many of it make one of ``unit``."""
    other = units.metric_of(unit)
    if study.workspace.settings.units_first != "metric" or other is None:
        return unit, 1.0
    # A unit with a zero of its own (a temperature) is no multiple of another: left as it is.
    if units.convert(0.0, unit, other) != 0:
        return unit, 1.0
    return other, units.convert(1.0, unit, other)


def strip_in(strip: Strip, study: Study) -> Strip:
    """A range strip in the unit that the workspace tells its numbers in."""
    unit, times = told_unit(strip.unit, study)
    if times == 1.0:
        return strip

    def scaled(value: float | None) -> float | None:
        return None if value is None else value * times

    def both(ends: tuple[float, float] | None) -> tuple[float, float] | None:
        return None if ends is None else (ends[0] * times, ends[1] * times)

    zone = strip.claim_zone
    return replace(
        strip, unit=unit, value=scaled(strip.value), low=scaled(strip.low),
        high=scaled(strip.high), null=scaled(strip.null), small_zone=both(strip.small_zone),
        claim_zone=None if zone is None else (scaled(zone[0]), scaled(zone[1])),
        small_too=both(strip.small_too),
        measured=None if strip.measured is None else tuple(v * times for v in strip.measured),
        outcomes=tuple(v * times for v in strip.outcomes),
    )  # fmt: skip
