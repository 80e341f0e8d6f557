"""What in a text may hurt people or break a rule: words that speak of doing it to a ball.

Everyday words (drill, bake, heat, lift, cut) count only where a ball or a part of one stands near,
so that a fire drill or a heated argument brings no caution.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

#: A ball, or what of it is worked on.
_BALL = r"(?:balls?|covers?|coverstocks?|shells?|bowling balls?|thumb(?: ?holes?)?|fingers?|holes?)"
_GAP = r"(?:[\s,-]+[\w'’-]+){0,5}?[\s,-]+"


def _near(act: str, thing: str = _BALL) -> str:
    """The act within six words of the thing, in one sentence, either first."""
    return rf"\b(?:{act})\b{_GAP}{thing}\b|\b{thing}\b{_GAP}(?:{act})\b"


def _any(*ways: str) -> re.Pattern[str]:
    return re.compile("|".join(ways), re.IGNORECASE)


#: What people do, in the order in which it is warned of.
HAZARDS: dict[str, re.Pattern[str]] = {
    "dust": _any(
        r"\b(?:re)?(?:sanded|sandings?|sandpaper\w*|surfaced|surfaces? (?:it|them|the|your|a)\b)",
        r"\bre-?surfac(?:e|es|ed|ing|ings)\b|\brefinish(?:ed|ing|es)?\b|\bwet[- ]sand\w*",
        r"\bscuff(?:s|ed|ing)?\b|\babrasives?\b|\babrad\w+|\b\d{2,5}[- ]?grit\b|\bgrit \d{2,5}\b",
        r"\bsurface (?:adjust|alter|chang)\w*|\balter\w* (?:the|its|a|your) surface\b",
        _near("sand|sands|pads?|grits?"),
    ),
    "liquid": _any(
        r"\b(?:solvents?|acetone|isopropyl|degreas\w+|lye|ammonia)\b",
        r"\balcohol\b(?! (?:beverage|drink))",
        r"\b(?:ball|cover|lane)[- ]cleaners?\b|\brubbing compounds?\b|\bde-?oil(?:s|ed|ing)?\b",
        _near("cleaners?|compounds?|compounded|compounding|polish(?:es|ed|ing)?"
              "|wax(?:ed|ing)?|chemicals?|soak(?:s|ed|ing)?|bleach"),
    ),
    "heat": _any(
        r"\bde-?oil(?:s|ed|ing)?\b|\boil (?:extraction|removal)\b|\bhot[- ]water\b|\bheat guns?\b",
        _near("bak(?:e|es|ed|ing)|ovens?|heat(?:s|ed|ing)?|warm(?:s|ed|ing)? up|microwaves?"
              "|boil\\w*|hair ?dryers?|dishwashers?|torch(?:es)?"),
    ),
    "machine": _any(
        r"\bball spinners?\b|\bre-?surfac(?:e|es|ed|ing)\b|\blathes?\b",
        _near("spinners?", r"(?:balls?|covers?|sand\w*|pads?|polish\w*|grit)"),
    ),
    "drill": _any(
        r"\b(?:re-?drill|drilling shop)\w*",
        _near("drill|drills|drilled|drilling|plug|plugs|plugged|plugging"),
    ),
    "lift": _any(
        r"\blift(?:s|ed|ing)?\b(?:[\s,-]+[\w'’-]+){0,3}?[\s,-]+balls?\b",
        r"\bcarr(?:y|ies|ied|ying)\b(?:[\s,-]+[\w'’-]+){0,3}?[\s,-]+(?:balls|ball bags?|bags?)\b",
        r"\bheav(?:y|ier|iest) balls?\b",
    ),
}  # fmt: skip

#: Those that change a ball, which a rule may forbid.
CHANGES = frozenset({"dust", "liquid", "heat", "machine", "drill"})


def hazards_in(texts: Iterable[str]) -> tuple[str, ...]:
    """Which of ``HAZARDS`` any of the texts speaks of, in their order."""
    told = [" ".join(text.split()) for text in texts]
    return tuple(
        name for name, spoken in HAZARDS.items() if any(_told(spoken, text) for text in told)
    )


def _told(spoken: re.Pattern[str], text: str) -> bool:
    """Whether it stands in one sentence of the text."""
    return any(spoken.search(sentence) for sentence in re.split(r"(?<=[.!?;])\s", text))
