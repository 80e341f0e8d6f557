"""One entry of the glossary, and how it is read from its YAML mapping."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, get_args

# The shapes a term takes in running text: case, plural, hyphens, apostrophes.

#: A word, or the apostrophe inside one; what lies between two of these is a gap.
PIECE = re.compile(r"[^\W_]+|['’]")

_HISSES = ("s", "x", "z", "ch", "sh")


def key(text: str) -> str:
    """``text`` as names are compared: no case, one space for any space or hyphen.

    >>> key("Back-end  Reaction") == key("back end reaction")
    True
    """
    return " ".join("'" if p == "’" else p.casefold() for p in PIECE.findall(text))


def plural(name: str) -> str:
    """The regular plural of a name's last word; irregular ones stand in the entry's ``also``."""
    if name.endswith(_HISSES):
        return name + "es"
    if name.endswith("y") and name[-2:-1] not in "aeiou":
        return name[:-1] + "ies"
    return name + "s"


def slug(name: str) -> str:
    """The anchor of a term: lower-case words joined by hyphens, apostrophes dropped."""
    return "-".join(PIECE.findall(re.sub("['’]", "", name.casefold())))


SourceKind = Literal["standard", "paper", "book", "common-practice", "memory"]
NumberKind = Literal["standard", "paper", "book", "common-practice", "memory", "worked-out"]
SOURCE_KINDS: tuple[str, ...] = get_args(SourceKind)
NUMBER_KINDS: tuple[str, ...] = get_args(NumberKind)

TEXTS = ("term", "plainly", "explained", "like", "unit", "typical", "careful", "say")
LISTS = ("also", "found_as", "shares", "see", "only_near", "never_after",
         "never_before", "never")  # fmt: skip
KEYS = (*TEXTS, *LISTS, "source", "numbers")
NEEDED = ("term", "plainly", "explained")

#: The topic of a term that a study explains itself: no page but the study's own knows it.
OWN = "this study"


@dataclass(frozen=True)
class Source:
    """Where a definition's facts come from; ``memory`` where nobody looked them up."""

    kind: SourceKind = "memory"
    name: str = ""


@dataclass(frozen=True)
class Numbers:
    """Where an entry's sizes come from, if not from where its definition does."""

    kind: NumberKind = "memory"
    name: str = ""


@dataclass(frozen=True, eq=False)
class Entry:
    """A term and everything we say about it, as plain text in our own words."""

    term: str
    plainly: str
    """A phrase without a leading article that can stand in the term's place."""
    explained: str
    """One to three sentences."""
    also: tuple[str, ...] = ()
    """Other names, and plurals that are not regular."""
    found_as: tuple[str, ...] = ()
    """What people say when they look for it, and no text should be linked for."""
    shares: tuple[str, ...] = ()
    """Names that mean something else first: pin.  Taken for this entry only where more of its
    ``only_near`` words stand around the name than of any other entry that goes by it."""
    like: str = ""
    """An everyday comparison; every entry with a size has one."""
    unit: str = ""
    typical: str = ""
    careful: str = ""
    """The usual misreading."""
    say: str = ""
    """How to pronounce it, where that is not obvious."""
    see: tuple[str, ...] = ()
    only_near: tuple[str, ...] = ()
    """For everyday words: linked only with one of these within ten words; ``#`` stands for a
    number right before it.  This guards one-word names, and hyphenated ones where a text writes
    them apart (``break in``); longer names speak for themselves."""
    never_after: tuple[str, ...] = ()
    """Words that, right before such a name, rule the trade sense out: keep (track)."""
    never_before: tuple[str, ...] = ()
    """The same for words right after it: leave (out)."""
    never: tuple[str, ...] = ()
    """Spellings that always mean something else, such as a verb: means."""
    source: Source = Source()
    numbers: Numbers | None = None
    """Where its sizes come from; None where it has none, or the source gives them, too."""
    topic: str = ""
    """The stem of the file that defined it: oil-and-surface."""

    @cached_property
    def slug(self) -> str:
        """The anchor on the glossary page."""
        return slug(self.term)

    @property
    def is_own(self) -> bool:
        """Whether a study explains it itself."""
        return self.topic == OWN

    @property
    def names(self) -> tuple[str, ...]:
        return (self.term, *self.also)


@dataclass(frozen=True)
class Fault:
    """Something wrong in an entry: ``at`` is the key (and index) it concerns."""

    at: tuple[str | int, ...]
    found: str
    expected: str


def check(raw: Mapping[str, Any]) -> list[Fault]:
    """What is wrong with the keys an entry gives, whichever they are."""
    faults = [
        Fault((k,), f"the key {k}", "one of " + ", ".join(KEYS)) for k in raw if k not in KEYS
    ]
    for name in TEXTS:
        if name in raw and (isinstance(raw[name], bool) or not _is_text(raw[name])):
            faults.append(Fault((name,), f"{name}: {shown(raw[name])}", "some text"))
    for name in LISTS:
        faults += _list_faults(name, raw.get(name, ()))
    if raw.get("shares") and not raw.get("only_near"):
        faults.append(Fault(("shares",), "shares without only_near", "words that tell it apart"))
    faults += _source_faults("source", raw.get("source", {}), SOURCE_KINDS)
    return faults + _source_faults("numbers", raw.get("numbers", {}), NUMBER_KINDS)


def build(raw: Mapping[str, Any], topic: str) -> Entry:
    """The entry of a mapping that ``check`` found sound and that has all it needs."""
    given: dict[str, Any] = {n: " ".join(str(raw[n]).split()) for n in TEXTS if n in raw}
    given |= {n: tuple(raw[n]) for n in LISTS if n in raw}
    if "numbers" in raw:
        given["numbers"] = Numbers(**raw["numbers"])
    return Entry(**given, source=Source(**raw.get("source", {})), topic=topic)


def shown(value: object) -> str:
    """A value as it can stand in a message."""
    if value is None or value == "":
        return "nothing"
    text = " ".join(str(value).split())
    return text if len(text) <= 40 else text[:39] + "…"


def _is_text(value: object) -> bool:
    """Whether it reads as text; a bare number does (typical: 39)."""
    return isinstance(value, (str, int, float)) and bool(str(value).strip())


def _list_faults(name: str, value: object) -> list[Fault]:
    if not isinstance(value, (list, tuple)):
        return [Fault((name,), f"{name}: {shown(value)}", "a list, as in [one, another]")]
    return [
        Fault((name, i), f"{name}: {shown(word)}", "some text")
        for i, word in enumerate(value)
        if not (isinstance(word, str) and word.strip())
    ]


def _source_faults(name: str, value: object, known: tuple[str, ...]) -> list[Fault]:
    kinds = ", ".join(known)
    if not isinstance(value, Mapping) or set(value) - {"kind", "name"}:
        expected = f"kind ({kinds}) and name, in quotes if it has a comma"
        return [Fault((name,), f"{name}: {shown(value)}", expected)]
    if value and value.get("kind") not in known:
        return [Fault((name,), f"{name} kind {shown(value.get('kind'))}", f"one of {kinds}")]
    if not isinstance(value.get("name", ""), str):
        return [Fault((name,), f"{name} name {shown(value['name'])}", "some text")]
    return []
