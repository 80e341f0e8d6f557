"""Headers taken apart: the name, the unit behind it, and the checkpoint some carry."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from explainer import units

#: Words around a number in a header that only lead up to it.
_LEADING = frozenset(["after", "at", "@", "over", "n", "no", "no.", "nr", "#", "past", "to"])
#: Words that say how an item's use is counted, with the unit of one step.
USE_WORDS = {
    "game": "game", "games": "game", "lines": "game", "hours": "hour", "hour": "hour",
    "h": "hour", "days": "day", "day": "day", "use": "count", "checkpoint": "count",
    "weeks": "week", "week": "week", "months": "month", "month": "month",
}  # fmt: skip
#: Words for a column that only numbers rows.
ORDER_WORDS = frozenset(
    [
        "shot",
        "shots",
        "throw",
        "roll",
        "run",
        "trial",
        "rep",
        "repeat",
        "repetition",
        "reading",
        "spot",
        "again",
        "try",
        "take",
        "measurement",
    ]
)
#: Columns that say when, or whatever came to mind: neither items nor groups.
REMARKS = frozenset(
    ["date", "time", "day", "remark", "remarks", "note", "notes", "comment", "comments"]
)
#: Words for what counts as one.
ITEM_WORDS = frozenset(
    ["ball", "bowler", "player", "sample", "specimen", "item", "part", "unit", "pin", "lane",
     "piece", "serial", "machine"]
)  # fmt: skip
#: Words for what is measured: numbered, they are repeat readings and not items.
MEASURE_WORDS = frozenset(
    ["ra", "rz", "rq", "hook", "speed", "weight", "duro", "shore", "hardness", "roughness",
     "texture", "entry", "angle", "revs", "grit", "score", "reading", "value", "x", "y"]
)  # fmt: skip

#: A header is cut here: longer ones are notes that strayed into it.
MOST_LETTERS = 100


@dataclass(frozen=True)
class Header:
    """A column's header: the words that name it and the unit, empty where it has none."""

    written: str
    words: str
    unit: str = ""

    @property
    def name(self) -> str:
        return slug(self.words)


@dataclass(frozen=True)
class Step:
    """A header that carries a number: ``hook after 10 games`` is hook at 10."""

    stem: str
    unit: str
    number: float
    counted: str
    """The word the number counts (games, shot); empty where the header does not say."""


def slug(text: str) -> str:
    """``text`` as a name: lower case, ASCII, underscores."""
    plain = unicodedata.normalize("NFKD", text.replace("µ", "u").replace("μ", "u"))
    ascii_only = plain.encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "_", ascii_only).strip("_")[:60]


def parse(written: str) -> Header:
    """A header's name and unit: ``hook (boards)``, ``Ra, µin``, ``hook_boards``."""
    text = " ".join(written.split())[:MOST_LETTERS]
    enclosed = re.fullmatch(r"(.*?)\s*[(\[{]([^)\]}]+)[)\]}]\s*(.*)", text)
    if enclosed and _unit(enclosed[2]):
        return Header(written, f"{enclosed[1]} {enclosed[3]}".strip(), _unit(enclosed[2]))
    for pattern in (r"(.+?)\s*[,;:]\s*([^,;:]+)", r"(.+?)\s+in\s+(.+)", r"(.+?)\s*/\s*([^/]+)"):
        found = re.fullmatch(pattern, text)
        if found and _unit(found[2]):
            return Header(written, found[1], _unit(found[2]))
    words = text.replace("_", " ").split()
    for tail in (2, 1):  # `hardness Shore D`, `hook boards`; a single letter says too little
        last = " ".join(words[-tail:])
        said = last.casefold() in USE_WORDS or last.casefold() in ORDER_WORDS or len(last) == 1
        if len(words) > tail and units.ours(last) and not said:
            return Header(written, " ".join(words[:-tail]), units.canonical(last))
    return Header(written, text)


def _unit(text: str) -> str:
    text = text.strip()
    return units.canonical(text) if units.known(text) else ""


def step(header: Header) -> Step | None:
    """The checkpoint in a header, None where it carries no number or more than one."""
    text = re.sub(r"[_@#=:]+", " ", header.words)
    text = re.sub(r"(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])", " ", text)
    found = re.findall(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])", text)
    if len(found) != 1:
        return None
    words = [w for w in re.sub(r"(?<![\w.])\d+(?:\.\d+)?", " ", text).split() if w.strip("-–,.")]
    counted = next(
        (w for w in words if w.casefold() in USE_WORDS or w.casefold() in ORDER_WORDS), ""
    )
    if not counted and any(w in ("G", "g") for w in words):
        counted = "games"
        words = [w for w in words if w.casefold() != "g"]
    stem = " ".join(w for w in words if w != counted and w.casefold() not in _LEADING)
    return Step(stem.strip(" -–,"), header.unit, float(found[0]), counted.casefold())
