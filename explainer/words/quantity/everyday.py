"""A size beside something a reader has in hand: 3.9 mm is two stacked nickels.

The table is ``templates/everyday.yaml``; a workspace's own file of that name adds rows or says
one differently.  A comparison is made only where it is within 10%: with one of a thing, two to
five of it, or half of it, where the table says that is a picture.  Nothing fits, nothing is said.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from explainer import units
from explainer.errors import DescriptionError, Problem, WorkspaceError
from explainer.study.files import FileFault, read_within
from explainer.study.shipped import shipped
from explainer.study.yaml12 import MAX_BYTES, Document, read
from explainer.words.glossary.entry import SOURCE_KINDS, Source, shown
from explainer.words.language import language
from explainer.words.quantity.numbers import rounded
from explainer.words.quantity.spoken import said_words

FILE = "everyday.yaml"
NEAR = 0.10
KEYS = ("like", "size", "several", "half", "not_for", "source")
#: What a picture of several or of a half must gain in nearness to be worth its trouble.
_TROUBLE = {1.0: 0.0, 2.0: 0.02, 3.0: 0.04, 4.0: 0.05, 5.0: 0.06, 0.5: 0.03}
#: Comparisons this close to each other are equally near; the earlier row of the table speaks.
_AS_NEAR = 0.02

#: The finest human hair in micrometers (B. Ley 1999, The Physics Factbook: 17 to 181 µm).
FINEST_HAIR_UM = 17.0


@dataclass(frozen=True)
class Thing:
    """One row: ``like`` stands after "about"; ``several`` after a number word."""

    name: str
    like: str
    size: float
    unit: str
    source: Source
    several: str = ""
    half: str = ""
    not_for: tuple[str, ...] = ()


Things = tuple[Thing, ...]


def everyday(value: float | None, unit: str, things: Things | None = None) -> str | None:
    """The everyday thing within 10% of ``value``, as words to follow "about"; None if none is.

    ``things`` is what ``load_everyday`` gives for a workspace; without it, our own table.
    Sizes only: a value that is not above 0 is compared with nothing.
    """
    if value is None or not math.isfinite(value) or value <= 0:
        return None
    found: list[tuple[int, int, str]] = []
    for row, thing in enumerate(our_own() if things is None else things):
        if units.canonical(unit) in thing.not_for or not units.alike(unit, thing.unit):
            continue
        ratio = units.convert(float(value), unit, thing.unit) / thing.size
        for times, words in _pictures(thing):
            off = abs(ratio / times - 1)
            if off <= NEAR:
                found.append((round((off + _TROUBLE[times]) / _AS_NEAR), row, words))
    return min(found)[2] if found else None


def _pictures(thing: Thing) -> list[tuple[float, str]]:
    """(how many of the thing, the words for it)."""
    pictures = [(1.0, thing.like)]
    if thing.several:
        pictures += [(float(n), f"{language().ones[n]} {thing.several}") for n in range(2, 6)]
    if thing.half:
        pictures.append((0.5, thing.half))
    return pictures


def beside_a_hair(value: float | None, unit: str) -> str | None:
    """For sizes far below a hair, where nothing in the hand compares: how much thicker one is.

    Held against the finest hair, so that it is true of every hair; None above a third of it.
    Of the number only: a roughness is a mean distance, and what it is read from is several
    times as high.
    """
    if value is None or not math.isfinite(value) or value <= 0 or not units.alike(unit, "µm"):
        return None
    times = FINEST_HAIR_UM / units.convert(float(value), unit, "µm")
    if not 3 <= times < 1e6:
        return None
    digits = math.floor(math.log10(times))
    return f"even the finest human hair is about {rounded(round(times, -digits))} times that"



@lru_cache(maxsize=1)
def our_own() -> Things:
    """The table we ship."""
    return load_everyday((shipped("templates"),))


def load_everyday(folders: Iterable[Path]) -> Things:
    """The table of the template folders, earlier folders over later ones, row by row.

    Raises WorkspaceError with every problem and its place.
    """
    rows: dict[str, Thing | None] = {}
    problems: list[Problem] = []
    for folder in reversed(tuple(folders)):
        path = folder / FILE
        if os.path.lexists(path):
            _read_into(rows, path, problems)
    if problems:
        raise WorkspaceError(problems)
    return tuple(thing for thing in rows.values() if thing is not None)


#: A table by its bytes: each page asks for it anew, and it hardly ever changes.
_read = lru_cache(maxsize=8)(read)


def _read_into(rows: dict[str, Thing | None], path: Path, problems: list[Problem]) -> None:
    name = f"{path.parent.name}/{FILE}"
    try:
        document = _read(read_within(path.parents[1], path, MAX_BYTES), name)
    except FileFault as fault:
        happens = "no size was compared"
        problems.append(Problem(name, found=fault.found, expected=fault.expected, happens=happens))
        return
    except DescriptionError as fault:
        problems += fault.problems
        return
    if not isinstance(document.value, dict):
        problems.append(_problem(document, name, (), shown(document.value), "names and sizes"))
        return
    for key, row in document.value.items():
        faults = [] if row is None else _faults(row)
        problems += [_problem(document, name, (key, *at), *words) for at, *words in faults]
        if not faults:
            rows[key] = None if row is None else _thing(key, row)


def _problem(
    document: Document, file: str, at: tuple[str | int, ...], found: str, expected: str
) -> Problem:
    place = document.keys.get(at) or document.places.get(at)
    while place is None and at:
        at = at[:-1]
        place = document.keys.get(at) or document.places.get(at)
    line, column = place or (1, 1)
    happens = "no everyday comparison can be made"
    return Problem(file, line, column, found=found, expected=expected, happens=happens)


_SIZE = re.compile(r"(\d+(?:\.\d+)?) (\S.*)")


def _faults(row: Any) -> list[tuple[tuple[str | int, ...], str, str]]:
    """What is wrong with one row: (where in it, what was found, what was expected)."""
    if not isinstance(row, Mapping):
        return [((), shown(row), "like and size")]
    faults: list[tuple[tuple[str | int, ...], str, str]] = [
        ((key,), f"the key {key}", "one of " + ", ".join(KEYS)) for key in row if key not in KEYS
    ]
    for key in ("like", "several", "half"):
        if (key == "like" or key in row) and not _is_text(row.get(key)):
            faults.append(((key,), f"{key}: {shown(row.get(key))}", "some words"))
    size = _SIZE.fullmatch(str(row.get("size")))
    if size is None or float(size[1]) <= 0 or not units.known(size[2]):
        expected = "a number above 0 and a known unit, as in 1.95 mm"
        faults.append((("size",), f"size: {shown(row.get('size'))}", expected))
    not_for = row.get("not_for", [])
    if not isinstance(not_for, list) or not all(_is_text(unit) for unit in not_for):
        faults.append(
            (("not_for",), f"not_for: {shown(not_for)}", "a list of units, as in [board]")
        )
    source = row.get("source")
    if not isinstance(source, Mapping) or source.get("kind") not in SOURCE_KINDS:
        expected = f"kind ({', '.join(SOURCE_KINDS)}) and name"
        faults.append((("source",), f"source: {shown(source)}", expected))
    return faults


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _thing(name: str, row: Mapping[str, Any]) -> Thing:
    """The row of a mapping in which ``_faults`` found nothing."""
    number, unit = str(row["size"]).split(" ", 1)
    return Thing(
        name=name,
        like=row["like"],
        size=float(number),
        unit=units.canonical(unit),
        several=row.get("several", ""),
        half=row.get("half", ""),
        not_for=tuple(units.canonical(unit) for unit in row.get("not_for", ())),
        source=Source(row["source"]["kind"], str(row["source"].get("name") or "")),
    )


# --- What is said when there is room for so many words: the needful first, the order kept

@dataclass(frozen=True)
class Clause:
    """A sentence or two that are said together or not at all."""

    rank: int
    """1 is always said; of the others the lower ranks go in first."""
    text: str
    paragraph: int = 1
    brief: str = ""
    """Said instead where the whole does not fit."""


def fitted(pieces: Sequence[Clause], words: float) -> tuple[str, ...]:
    """The paragraphs of all pieces that fit into ``words`` spoken words, in the order given.

    A piece that does not fit is passed over; a shorter one after it may still go in.
    """
    kept: dict[int, str] = {}
    for i in sorted(range(len(pieces)), key=lambda n: pieces[n].rank):
        piece = pieces[i]
        for text in (t for t in (piece.text, piece.brief) if t):
            length = said_words(text)
            if piece.rank == 1 or length <= words:
                kept[i] = text
                words -= length
                break
    texts: dict[int, list[str]] = {}
    for i in sorted(kept):
        texts.setdefault(pieces[i].paragraph, []).append(kept[i])
    return tuple(" ".join(said) for said in texts.values())
