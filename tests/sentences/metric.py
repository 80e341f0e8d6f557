"""A page with its switch at metric: nothing is left in the other system, and readings that stand in
one sentence keep one last digit.

It reads the page as it was published, and no word of the code that made it.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

from sentences.oracle import sentences

_UNSEEN = re.compile(r"<(script|style|svg)\b.*?</\1>", re.DOTALL)
_BLOCK = re.compile(
    r"</?(?:p|li|td|th|tr|div|figcaption|h\d|dd|dt|summary|table|caption|section|details)\b[^>]*>"
)
_SWITCHED = re.compile(r'<span data-metric="([^"]*)">.*?</span>', re.DOTALL)
_INCH = (r"(?:inch(?:es)?|microinch(?:es)?|boards?|feet|foot|miles? per hour|mph|pounds?|ounces?"
         r"|µin|mils?)\b")  # fmt: skip
#: A size, or a step of one, whose number is left unsaid; in brackets both systems may stand.
_LEFT = re.compile(rf"(?:[\d⟩]|\bevery|\bper|\bthan a|\bthan an) {_INCH}")
#: One item's readings: its two ends and the way between them, or what lies between two alike.
_READ = re.compile(r"\bwent from ⟨|⟩ both at ")
_NUMBER = re.compile(r"(?<![\w.,])−?\d[\d,]*(?:\.\d+)?")


def in_metric(page: str) -> Iterator[str]:
    """Each sentence of a page that the switch changes, what it puts in between ⟨ and ⟩."""
    for block in _BLOCK.split(_UNSEEN.sub("", page)):
        said = re.sub(r"<[^>]+>", "", _SWITCHED.sub(r"⟨\1⟩", block))
        for sentence in sentences(" ".join(html.unescape(said).split())):
            if "⟨" in sentence:
                yield sentence


def leftovers(page: str) -> Iterator[str]:
    """Sentences of which some was not switched, or not all readings to one last digit."""
    for said in dict.fromkeys(in_metric(page)):
        # Where both systems stand, one is in brackets.
        if _LEFT.search(re.sub(r"⟨[^⟩()]*\([^()]*\)⟩|\([^()]*\)", "", said)):
            yield f"half in metric: {said}"
        if not _READ.search(said):
            continue
        told = " ".join(re.findall("(?<!about )⟨([^⟩]*)⟩", said))
        units = set(re.findall(r"[a-zµ/]+", told.replace(" to ", " ").replace(" and ", " ")))
        places = {len(n.partition(".")[2]) for n in _NUMBER.findall(told)}
        if len(units) == 1 and len(places) > 1:
            yield f"readings to {len(places)} last digits: {said}"
