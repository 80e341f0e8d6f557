"""What is said of a ball and not of a person: no gauge was held to anybody, and nobody fails.

The phrase book is written for things.  Where a phrase speaks of people its sentence passes through
here last, so that no sentence, of ours or of a workspace's own book, needs a second wording.
Each rule keeps what the sentence states; only the word for it changes.  What the author wrote is
nobody's to change: a claim that is quoted and a measure's name come through as they are.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

#: What follows a word for missing that already names what is missed: a size, a limit, one of two.
_MET = r" (?:it|them|both|either|neither|one|any|that|this|the|a|its)\b| [−+\d½¼¾⅛]"

#: How many all of them are, and what they are: ``5 right-handed bowlers``.
_ALL = (r"[Aa]ll ((?:\d[\d,]*|two|three|four|five|six|seven|eight|nine|ten)"
        r"(?: (?!and\b|but\b|or\b|were\b|was\b)[\w’'-]+){0,3}?)")

#: Tried in this order; the particular comes before the general.
_RULES: tuple[tuple[str, str], ...] = (
    # -- a gauge: what is read of a person is a score or a time, and its error is the reading's
    (r"by more than the gauge could mistake", "by more than an error of the reading could make"),
    (r"by so little that the gauge could be mistaken",
     "by so little that the reading could be mistaken"),
    (r"(?:is )?called by the gauge", "called by the error of a reading"),
    (r"held to the gauge by itself", "held to the error of a reading"),
    (r"[Ww]hich gauge, and when was it last checked", "How was it counted, and who checked it"),
    (r"gauge check\b", "check of repeat readings"),
    (r"[Tt]he gauge(?: for [^.,]{1,100}?)? cannot see anything smaller than",
     "readings of one person differ too much from time to time to show anything smaller than"),
    (r"\b(?:[Aa] )?finer gauge, or the same gauge checked by reading the same (\w+) over and over",
     r"more readings of each, to see how far those of one person lie apart"),
    (r", or a finer gauge\b", ""),
    # More readings by the same hands leave what lies between hands as it is: a finer reading does.
    (r"Would a finer gauge", "Would a finer way to read"),
    (r"\b[Aa] finer gauge\b", "a finer way to read"),
    (r"\bgauges\b", "readings"),
    (r"\bGauges\b", "Readings"),
    (r"\bgauge\b", "reading"),
    (r"\bGauge\b", "Reading"),
    # -- a limit: it is met or not; nobody passes, fails or misses
    (r"[Nn]ot one of (.{1,100}?) misses (.{1,60}?) for sure", r"None of \1 is surely outside \2"),
    (r"[Nn]one of (.{1,100}?) misses the limit for sure",
     r"None of \1 is surely outside the limit"),
    (r"\b[Mm]issing it says", "not meeting it says"),
    (r"\b(will|would|could|may|might|can) (?:miss|fail)\b", r"\1 not meet"),
    (r"Between the hatched zones passes, above or below both of them fails",
     "Between the hatched zones both limits are met, above or below both of them one limit is not"),
    (r"Between the lines passes", "Between the lines both limits are met"),
    (r"(Above|Below) the hatched zone passes, (above|below) it fails",
     r"\1 the hatched zone the limit is met, \2 it not"),
    (r"a pass or a fail", "a call either way"),
    (r"on a fail\b", "to whoever does not meet it"),
    (r"passes only if (.{1,100}?) would still pass(.{0,100}?), "
     r"and fails only if it would still fail",
     r"is said to meet it only if \1 would still meet it\2, and not to meet it only if it still "
     r"would not"),
    (r"[Nn]o (\w+) misses (.{1,60}?) for sure", r"No \1 is surely outside \2"),
    # "All of them do not meet it" might be said of most.
    *((rf"\b{who} (?:miss|fail)\b{end}", f"{nobody}{met}")
      for end, met in ((rf"(?={_MET})", ""), ("", " it"))
      for who, nobody in (("[Nn]ot all of them", "at least one of them meets"),
                          ("[Aa]ll of them", "none of them meets"),
                          (_ALL, r"none of the \1 meets"), ("[Bb]oth", "neither meets"),
                          (r"[Bb]oth (\w+)", r"neither of the \1 meets"))),
    # What is met is said once: by the words that follow, or else as "it".
    (rf"\b(?:misses|fails)(?={_MET})", "does not meet"),
    (rf"\b(?:miss|fail)(?={_MET})", "do not meet"),
    (r"\bfails\b|\bmisses\b", "does not meet it"),
    (r"\bfail\b|\bmiss\b", "do not meet it"),
    (r"\bbe failed\b", "be said not to meet it"),
    # Who was not there to be read was missed, and met no limit or other.
    (r"\bfailed\b|(?<!were )(?<!was )\bmissed\b", "not met"),
)  # fmt: skip
_COMPILED: tuple[tuple[re.Pattern[str], str], ...] = tuple((re.compile(a), b) for a, b in _RULES)
_ANY = re.compile(r"gauge|miss|fail", re.IGNORECASE)


#: What stands for a piece of the author's while the rules are at work: a character that no text has
#: a use for, one for each piece, since a rule may leave a piece out.
_ASIDE, _MOST = 0x100000, 0xFFFD
_SET_ASIDE = re.compile(f"[{chr(_ASIDE)}-{chr(_ASIDE + _MOST - 1)}]")
_QUOTED = "“[^”]*”"


def of_somebody(text: str, theirs: Iterable[str] = ()) -> str:
    """A sentence about things as it is said of people.

    What is quoted in it stays, and so do ``theirs``: words of the author's wherever they stand.
    """
    if not _ANY.search(text):
        return text
    own = sorted((re.escape(t) for t in theirs if _ANY.search(t)), key=len, reverse=True)
    kept: list[str] = []

    def aside(found: re.Match[str]) -> str:
        if len(kept) == _MOST:
            return found[0]
        kept.append(found[0])
        return chr(_ASIDE + len(kept) - 1)

    def back(found: re.Match[str]) -> str:
        piece = ord(found[0]) - _ASIDE
        return kept[piece] if piece < len(kept) else found[0]

    pieces = "|".join((_QUOTED, *(rf"(?<!\w){t}(?!\w)" for t in own)))
    text = re.sub(pieces, aside, text, flags=re.IGNORECASE)
    for pattern, instead in _COMPILED:
        text = pattern.sub(_keeping_case(instead), text)
    return _SET_ASIDE.sub(back, text)


def _keeping_case(instead: str) -> Callable[[re.Match[str]], str]:
    def put(found: re.Match[str]) -> str:
        said = found.expand(instead)
        first = said[:1].upper() if found[0][:1].isupper() else said[:1].lower()
        return first + said[1:]

    return put
