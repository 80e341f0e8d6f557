"""Headers taken apart: the name, the unit behind it, and the checkpoint some carry."""

from __future__ import annotations

import datetime
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
    "weeks": "week", "week": "week", "months": "month", "month": "month", "wk": "week",
    "wks": "week", "session": "count", "sessions": "count", "night": "count", "nights": "count",
    "round": "count", "rounds": "count", "visit": "count", "wash": "count", "washes": "count",
    "cycle": "count", "cycles": "count", "spiele": "game", "woche": "week", "tage": "day",
    "tag": "day", "min": "minute", "mins": "minute", "minute": "minute", "minutes": "minute",
    "stunden": "hour", "parties": "game", "semaine": "week",
}  # fmt: skip
#: What a column is called that counts the days of some dates.
DAYS_SINCE = "days since the first"
#: Words that make a number of something else out of those above: `High game`, `pins per game`.
NOT_USE = frozenset(
    ["high", "low", "best", "worst", "won", "lost", "average", "avg", "mean", "per", "score",
     "scores", "series", "pins", "points", "of", "total", "time", "date", "max", "min"]
)  # fmt: skip
#: Short words for use in headers, and the whole word.
LONG_WORDS = {"wk": "week", "wks": "week", "w": "week", "sess": "session", "min": "minutes",
              "mins": "minutes"}  # fmt: skip
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
        "frame",
        "attempt",
        "delivery",
        "replicate",
        "wurf",
        "messung",
        "rdg",
    ]
)
#: Columns that say when, or whatever came to mind: neither items nor groups.
REMARKS = frozenset(
    ["date", "time", "day", "remark", "remarks", "note", "notes", "comment", "comments",
     "timestamp", "datum", "zeit", "bemerkung", "bemerkungen", "kommentar", "remarque", "notiz",
     "anything", "else", "when", "datetime", "fecha", "uhrzeit"]
)  # fmt: skip
#: Words for what counts as one.
ITEM_WORDS = frozenset(
    ["ball", "bowler", "player", "sample", "specimen", "item", "part", "unit", "pin", "lane",
     "piece", "serial", "machine", "team", "name", "subject", "participant", "patient", "kugel",
     "spieler", "bahn", "boule", "joueur", "bola", "athlete", "panel", "tree",
     "member", "plant", "animal", "person", "seriennr", "coupon"]
)  # fmt: skip
#: Words for who reads.
OPERATORS = frozenset(
    ["operator", "desk", "tester", "inspector", "appraiser", "measurer", "technician", "person",
     "reader", "observer"]
)  # fmt: skip
#: Words for what is set and not measured.
SET = frozenset(
    ["oil", "volume", "pattern", "grit", "cond", "condition", "conditions", "surface", "setting",
     "treatment", "cleaner", "scale", "gauge", "layout", "drilling", "dose", "level", "program",
     "length", "lane", "pad", "target", "setup", "side", "set"]
)  # fmt: skip
#: Words for what sorts items into groups.
GROUPS = frozenset(
    ["group", "model", "cover", "coverstock", "team", "hand", "arm", "type", "brand", "style",
     "device", "core", "make", "class", "sex", "gender", "l/r", "material", "species"]
)  # fmt: skip
#: Words for what is measured: numbered, they are repeat readings and not items.
MEASURE_WORDS = frozenset(
    ["ra", "rz", "rq", "hook", "speed", "weight", "duro", "shore", "hardness", "roughness",
     "texture", "entry", "angle", "revs", "grit", "score", "reading", "value", "x", "y",
     "temp", "temperature", "volume", "pins", "pinfall", "flare", "friction", "mass", "rpm", "mph",
     "rauheit", "average", "avg", "carry"]
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


def enclosed_unit(written: str) -> str:
    """The unit that stands in brackets in a head, which no other word of it gainsays."""
    found = re.search(r"[(\[{]([^)\]}]{1,200})[)\]}]", written)
    return _unit(found[1]) if found else ""


def parse(written: str) -> Header:
    """A header's name and unit: ``hook (boards)``, ``Ra, µin``, ``hook_boards``."""
    text = " ".join(written.split())[:MOST_LETTERS]
    enclosed = re.fullmatch(r"(.*?) ?[(\[{]([^)\]}]{1,200})[)\]}] ?(.*)", text)
    if enclosed and _unit(enclosed[2]):
        between = "" if enclosed[3][:1] in ("", ",", ";", ":") else " "
        return Header(written, f"{enclosed[1]}{between}{enclosed[3]}", _unit(enclosed[2]))
    for pattern in (r"(.+?)\s*[,;:]\s*([^,;:]+)", r"(.+?)\s+in\s+(.+)", r"(.+?)\s*/\s*([^/]+)"):
        found = re.fullmatch(pattern, text)
        if found and _unit(found[2]):
            return Header(written, found[1], _unit(found[2]))
    words = text.replace("_", " ").split()
    for tail in (2, 1):  # `hardness Shore D`, `hook boards`; a single letter says too little
        last = " ".join(words[-tail:])
        said = last.casefold() in USE_WORDS or last.casefold() in ORDER_WORDS
        said = said or (len(last) == 1 and last != "%")
        said = said or (last.casefold() == "in" and words[-2].casefold() not in _LENGTHS)
        if len(words) > tail and units.ours(last) and not said:
            return Header(written, " ".join(words[:-tail]), units.canonical(last))
    return Header(written, text)


#: What is read in inches where its head ends in a bare `in`, which is most often only a word:
#: an `Angle in` is one of entry.
_LENGTHS = frozenset(
    ["width", "diameter", "length", "gap", "depth", "height", "thickness", "distance", "dia",
     "radius", "span", "pitch", "circumference", "offset", "size", "reach"]
)  # fmt: skip


#: Molar concentrations, which pint reads as metres when it is told not to mind capitals.
_MOLAR = re.compile(r"[munpµμ]?M")


#: Units beside our own that a head may name.  Not all that pint knows: it takes `pins` for
#: picoinches, `units` for nothing at all, and many a plain word for a unit nobody meant.
_FURTHER = re.compile(
    r"[mµμu]?[lL]|[dc]l|gal(lons?)?|fl oz|(milli|micro)?lit(er|re)s?|°?\s?[CF]|deg\s?[CF]|"
    r"[mk]?N|newtons?|[hkM]?Pa|psi|bar|mbar|[kM]?Hz|hertz|[mµun]?s|msec|min|minutes?|h|hours?|"
    r"days?|weeks?|months?|years?|[mk]?J|[mk]?W|[mk]?V|mA|km|nm|[kM]?g|mg|µg|yd|yards?|rad|"
    r"radians?|m/s|ft/s|cSt|[mcdk]?m[²2³3]|in[²2]|lbf?|kcal|dB|cps|mPa[·. ]?s|ppm|rev/min|Nm|N·m"
)
#: What is only counted.
_COUNTED = frozenset(["pins", "pin", "strikes", "spares", "shots", "frames", "points", "pts"])


def _unit(text: str) -> str:
    text = text.strip()
    if text.casefold() in _COUNTED:
        return "count"
    if _MOLAR.fullmatch(text) or not (units.ours(text) or _FURTHER.fullmatch(text)):
        return ""
    return units.canonical(text) if units.known(text) else ""


#: Where a note names a unit: ``in microinches``, ``unit: µin``, ``all readings are degrees``.
_NAMES_UNIT = re.compile(
    r"(?:\bin|\bunits?\b\s*(?:is|are)?|=|\bare)[\s:]+((?:Shore )?[^\s,;.()]+)"
    r"|[(\[]([^()\[\]]+)[)\]]"
    r"|,\s*([^\W\d_]{3,})(?=\s*(?:[,;.(\[]|$))", re.IGNORECASE,  # `Surface, microinches (…)`
)


def unit_in(note: str) -> str:
    """The one unit that a note names; empty where it names none, two, or only what is counted."""
    told = {_unit(found[1] or found[2] or found[3]) for found in _NAMES_UNIT.finditer(note)}
    told -= {"", "count", *USE_WORDS.values()}
    return told.pop() if len(told) == 1 else ""


def unit_behind(text: str) -> str:
    """The unit behind the first number of a text: ``± 0.3 boards``; empty for none."""
    found = re.search(r"\d[\d.,]*\s?([^\s\d,;.()]+(?: Shore [AD])?)", text)
    return _unit(found[1]) if found else ""


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
    for letter, word in (("g", "games"), ("w", "week"), ("f", "frame")):
        if not counted and any(w in (letter.upper(), letter) for w in words):
            counted = word
            words = [w for w in words if w.casefold() != letter]
    stem = " ".join(w for w in words if w != counted and w.casefold() not in _LEADING)
    word = LONG_WORDS.get(counted.casefold(), counted.casefold())
    return Step(stem.strip(" -–,"), header.unit, float(found[0]), word)


#: A date as a header or a cell has it: 2026-01-12, 2026/01/12, 12.1.2026, 12.01.26.
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?")
_DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4}|\d{2})(?:\s.*)?")
_NAMED = re.compile(r"(\d{1,2})\.?[ -]([A-Za-z]{3})[a-z]{0,9}\.?[ ,-]{0,4}(\d{4})|"
                    r"([A-Za-z]{3})[a-z]{0,9}\.? (\d{1,2}),? (\d{4})")  # fmt: skip
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def date_in(text: str) -> datetime.date | None:
    """The day a text names, where only one day can be meant; None for 3/4/2026 and for no date."""
    text = text.strip()
    parts: tuple[int, int, int] | None = None
    if found := _ISO.fullmatch(text):
        parts = (int(found[1]), int(found[2]), int(found[3]))
    elif found := _DOTTED.fullmatch(text):
        year = int(found[3])
        parts = (year + 2000 if year < 100 else year, int(found[2]), int(found[1]))
    elif found := _NAMED.fullmatch(text):
        name = str(found[2] or found[4]).casefold()
        if name in _MONTHS:
            named = (found[3] or found[6], found[1] or found[5])
            parts = (int(named[0]), _MONTHS.index(name) + 1, int(named[1]))
    elif (found := re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4})(?:\s.*)?", text)) and (
        int(found[1]) > 12 or int(found[2]) > 12 or found[1] == found[2]
    ):
        month, day = (found[2], found[1]) if int(found[1]) > 12 else (found[1], found[2])
        parts = (int(found[3]), int(month), int(day))
    try:
        return datetime.date(*parts) if parts else None
    except ValueError:
        return None
