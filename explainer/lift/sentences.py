"""Sentences of a report that sound like claims, with the kind of test each may call for.

Patterns only, and every guess is marked to confirm: what a sentence means is for the author.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from explainer.study.unseen import seen
from explainer.study.which_test import near

_NUMBER = re.compile(r"[-−]?\d+(?:[.,]\d+)?")
_SHORTENED = re.compile(
    r"\b(Fig|Figs|Tab|No|vs|approx|e\.g|i\.e|cf|ca|min|max|al|Dr|Mr|Ms|St|Vol|pp|p)\.\s", re.I
)
_END = re.compile(r"(?<=[.!?])[\"”’)]*\s+(?=[A-Z“\"(])")
_HEADING = re.compile(
    r"\b(key (findings?|results?|points?|takeaways?)|conclusions?|summary)\b", re.I
)
#: The same as a line of its own, perhaps numbered.
_KEY_LINE = re.compile(
    r"(?:\d+(?:\.\d+)*\.?\s+)?(?:(?:key|main|our|the|summary of|what the) )*(?:findings?|results?"
    r"|points?|takeaways?|conclusions?|summary|abstract|(?:what )?(?:was|we) (?:found|saw|learned))"
    r"(?: at a glance)?", re.I,
)  # fmt: skip
_NUMBERED = re.compile(r"\d+(?:\.\d+)*\.?\s+[A-Z]")
#: What cannot be said is no claim; nor is what a report says of itself.
_NO_CLAIM = re.compile(
    r"\b(?:can(?:not|'t)|could not|couldn't) be (?:seen|told|said|known|tested|ruled out|compared)"
    r"|\b(?:this|the) (?:paper|report|study|article) (?:does|do|is|was|has|describes|asks|says)\b"
    r"|\bnobody (?:has|knows)\b|\bfuture work\b"
    r"|\bonly (?:they|these|those|it) (?:is|are|was|were)\b"
    r"|\b(?:is|are|was|were) (?:not counted|left out|struck)\b", re.I,
)  # fmt: skip
#: How sure the kinds' own words have to be (see ``study/which_test.py``) to go before the patterns
#: here that know their kind by a word or two.
_SURER = 9
_LOOSE = frozenset(("change", "no-change", "difference", "limit"))


@dataclass(frozen=True)
class ClaimSentence:
    """A sentence, the likely kind of test, and what of its parameters the words give."""

    text: str
    page: int
    kind: str
    parameters: dict[str, Any] = field(default_factory=dict)
    is_key: bool = False
    because: str = ""
    """The words that made it sound like a claim."""
    others: tuple[str, ...] = ()
    """Further kinds that its words come near."""


_UP = (
    r"increas\w*|\brose\b|\brises?\b|\brisen\b|\bgrew\b|\bgrow\w*|\bgain\w*|went up|climb\w*"
    r"|(?:got|gets?|became|becomes?|grew) (?:rougher|harder|higher|larger|faster)"
)
_DOWN = (
    r"decreas\w*|\bfell\b|\bfall(?:s|en)?\b|declin\w*|\bdropp?\w*|\blost\b|\bloses?\b|reduc\w*"
    r"|went down|shrank|diminish\w*|wore off"
    r"|(?:got|gets?|became|becomes?|goe?s?|went) (?:smooth(?:er)?|softer|lower|smaller|slower)"
)
_MORE = r"(?:higher|more|greater|larger|rougher|harder|faster|longer|wider|stronger|better)"
_LESS = r"(?:lower|less|fewer|smaller|smoother|softer|slower|shorter|weaker|narrower|worse)"
_THE_THE = rf"\bthe (?:{_MORE}|{_LESS})\b.*,? the (?:{_MORE}|{_LESS})\b"
#: The first that fits decides: what denies comes before what affirms.
_KINDS: tuple[tuple[str, str], ...] = (
    ("no-association", r"\bno (?:\w+ )?(?:correlation|relation(?:ship)?|link|association)\b"
     r"|not (?:\w+ )?(?:correlated|related|associated|linked)|uncorrelated|independent of"),
    ("no-change", r"\bno (?:\w+ ){0,2}change|unchanged|(?:did|does|do) not (?:\w+ )?change"
     r"|\b(?:remain\w*|stay\w*) (?:\w+ )?(?:constant|stable|the same|steady|unchanged)"
     r"|\bno (?:\w+ ){0,2}difference (?:from|after|over|at) "),
    ("no-difference", r"\bno (?:\w+ ){0,2}difference|(?:did|does|do) not (?:\w+ )?differ\b"),
    ("association", r"correlat\w*|associated with|\brelation(?:ship)? between|related to"
     rf"|{_THE_THE}|goes? (?:along|together) with|depends? on|predicts?\b"),
    ("repeatability", r"repeatab\w*|\brepeats? within\b|reproducib\w*|gauge (?:error|variation)"
     r"|operators?\b"),
    ("break-in", r"level(?:s|ed|led)? off|settl\w+ (?:down|after)|break-?in|stabili[sz]\w*"
     r"|(?:within|in|during) the first \d+"),
    ("rate-difference", r"(?:strikes?|spares?|carry|hits?|success)\b.*\b(?:percent|rates?|%|"
     r"more often|less often)|(?:more|less) (?:often|frequent\w*|common)\b"),
    ("change", rf"(?:{_UP}|{_DOWN})(?: \w+){{0,2}} by (?:at least|at most|more than|no more than"
     r"|no less than|up to)\b"),
    ("limit", r"\bat least\b|\bat most\b|\bexceed\w*|\bno (?:more|less) than\b|\b(?:above|below)"
     r" the limit|\bwithin (?:the )?(?:limits?|tolerance|specification)|\bmust (?:not )?be\b"
     r"|\bcompl(?:y|ies|iant)\b|maximum of|minimum of"),
    ("difference", rf"\b{_MORE}\b.*\bthan\b|\b{_LESS}\b.*\bthan\b|compared (?:with|to)|versus"
     r"|\bdiffer(?:s|ed|ence|ences)?\b"),
    ("trend", r"\btrend\w*|\bdrift\w*|over the session|from shot to shot|steadily"),
    ("change", rf"{_UP}|{_DOWN}|\bchang\w+"),
)  # fmt: skip
_COMPILED = tuple((kind, re.compile(pattern, re.I)) for kind, pattern in _KINDS)
_FOUND = re.compile(r"\b(we (?:found|conclude|saw|observed)|results? (?:show|indicate)|shows? that"
                    r"|evidence|significant(?:ly)?|averag\w+|mean)\b", re.I)  # fmt: skip


def claim_like(text: str, page: int) -> Iterator[ClaimSentence]:
    """The sentences of a page's text that sound like claims, in order."""
    is_key = in_list = False
    for plain, listed in _sentences(text):
        sentence = _numbered_off(plain, page)
        if _is_heading(sentence):
            is_key = in_list = _KEY_LINE.fullmatch(sentence) is not None
            continue
        heading = _HEADING.search(sentence)
        if heading and heading.start() < 4:
            is_key = True
            sentence = sentence[heading.end() :].lstrip(" :.–—-") if len(sentence) > 60 else ""
        if not 25 <= len(sentence) <= 420 or _looks_like_cells(sentence):
            continue
        found = _kind(sentence) or (_found_key(sentence) if in_list and listed else None)
        in_list = in_list and listed
        if found is None:
            continue
        kind, because = found
        others = tuple(n.kind for n in near(sentence) if n.kind != kind)
        yield ClaimSentence(sentence, page, kind, _parameters(kind, sentence), is_key, because,
                            others)  # fmt: skip


def _numbered_off(sentence: str, page: int) -> str:
    """A sentence without the number of its page, which stands behind the last one of each."""
    number = rf"(?<=[.!?”\"])\s+(?:page )?{page}(?: ?(?:of|/) ?\d+)?$"
    return re.sub(number, "", sentence, flags=re.IGNORECASE)


def _is_heading(text: str) -> bool:
    begins = text[:1].isupper() or _NUMBERED.match(text) is not None
    return begins and len(text) < 50 and not re.search(r"[.,;:!?”]$", text)


def sentences(text: str) -> Iterator[str]:
    """Sentences of a page's text; words broken over a line are whole again."""
    yield from (sentence for sentence, _ in _sentences(text))


def _sentences(text: str) -> Iterator[tuple[str, bool]]:
    """Each sentence, and whether it is an item of a list: behind a number or a bullet, or a line of
    its own (many a maker of files draws the numbers of a list apart from its text)."""
    alone = {" ".join(line.split()) for line in re.split(r"[\r\n]+", text)}
    text = text.replace("\ufffe", "").replace("\x02", "").replace("\r", "")
    text = re.sub(r"(\w)[-\u00ad\u2010]\n(?=[a-z])", r"\1", text)
    for block in re.split(r"\n\s*\n|\n(?=\s*[•▪◦*–-]\s)|\n(?=\d{1,2}[.)]\s+[A-Z])", text):
        for paragraph in _paragraphs(block):
            held = _SHORTENED.sub(lambda m: m[0].replace(". ", ".\x00"), paragraph)
            for sentence in _END.split(held):
                plain = " ".join(seen(sentence.replace("\x00", " ")).split())
                bare = re.sub(r"^[•▪◦*–-]\s+|^\d{1,2}[.)]\s+(?=[A-Z])", "", plain)
                yield bare, bare != plain or plain in alone


def _paragraphs(block: str) -> Iterator[str]:
    """Lines joined, but for headings: short lines without an end that stand after an end."""
    joined: list[str] = []
    lines = [line.strip() for line in block.split("\n") if line.strip()]
    for line, following in zip(lines, [*lines[1:], ""], strict=False):
        begins = not joined or bool(re.search(r"[.:!?]$", joined[-1]))
        numbered = _NUMBERED.match(line) is not None
        next_begins = following[:1].isupper() or _LISTED.match(following) is not None
        if (begins or numbered) and _is_heading(line) and next_begins:
            if joined:
                yield " ".join(joined)
            yield line
            joined = []
        else:
            joined.append(line)
    if joined:
        yield " ".join(joined)


_LISTED = re.compile(r"\d{1,2}[.)]?(?:\s|$)|[•▪◦*–-]")


def _looks_like_cells(sentence: str) -> bool:
    words = sentence.split()
    numbers = sum(bool(_NUMBER.fullmatch(w.strip("(),;:%"))) for w in words)
    return numbers > 0.25 * len(words) or len(words) < 5


def _kind(sentence: str) -> tuple[str, str] | None:
    """The likely kind of test and the words that say so: the patterns here, but where the kinds'
    own words are surer."""
    if _NO_CLAIM.search(sentence):
        return None
    closest = near(sentence)
    sure = closest[0].weight if closest else 0
    for kind, pattern in _COMPILED:
        found = pattern.search(sentence)
        if found:
            loose = kind in _LOOSE and kind not in {n.kind for n in closest}
            if loose and sure >= _SURER:
                return closest[0].kind, found[0]
            if kind in ("limit", "repeatability", "difference", "change") and not _firm(sentence):
                continue
            return kind, found[0]
    if _NUMBER.search(sentence) and (found := _FOUND.search(sentence)):
        return (closest[0].kind if sure >= _SURER else ""), found[0]
    return None


def _found_key(sentence: str) -> tuple[str, str] | None:
    """A finding by its place, in a list under a heading that says so, where no word of it sounds
    like one: its kind as far as its words come near one, and may be none."""
    if _NO_CLAIM.search(sentence) or not _firm(sentence):
        return None
    closest = near(sentence)
    return (closest[0].kind if closest else ""), "it stands among the key findings"


def _firm(sentence: str) -> bool:
    """Says something of results, not of how the test was done."""
    return not re.search(
        r"\b(?:were|was) (?:\w+ed|read|taken|kept|held|sent|chosen) (?!to (?:be|have)|\d)"
        r"(?:with|by|on|at|in|under|from|before|after|for|between|once|twice)\b|nothing else"
        r"|\bhad to be\b",
        sentence,
    )


def _parameters(kind: str, sentence: str) -> dict[str, Any]:
    """Direction and sizes, as far as the sentence says them."""
    found: dict[str, Any] = {}
    up, down = re.search(_UP, sentence, re.I), re.search(_DOWN, sentence, re.I)
    if kind in ("change", "trend"):
        found["direction"] = "up" if up and not down else "down" if down and not up else "any"
    if kind in ("change", "no-change", "break-in"):
        found |= _window(sentence)
    if kind == "change" and (least := _LEAST.search(sentence)):
        found["at_least"] = float(least[1])
    if kind == "difference":
        more = re.search(rf"\b{_MORE}\b", sentence, re.I)
        less = re.search(rf"\b{_LESS}\b", sentence, re.I)
        found["direction"] = (
            "higher" if more and not less else "lower" if less and not more else "any"
        )
    if kind == "association":
        against = bool(re.search(r"negativ\w+|invers\w+", sentence, re.I))
        along = bool(re.search(r"positiv\w+", sentence, re.I))
        if re.search(_THE_THE, sentence, re.I):  # the lower the one, the larger the other
            ways = re.findall(rf"\bthe (?:({_MORE})|{_LESS})\b", sentence, re.I)
            ups = [bool(way) for way in ways]
            along, against = ups[0] == ups[-1], ups[0] != ups[-1]
        found["direction"] = "negative" if against else "positive" if along else "any"
        if re.search(r"\bstrong(?:ly)?\b", sentence, re.I):
            found["strong"] = "yes"
    if kind == "limit":
        found |= _bound(sentence)
    return found


#: How far something is said to have moved, or further: ``dropped by at least 0.2 degrees``.
_LEAST = re.compile(r"\bby (?:at least|no less than|more than) (\d+(?:\.\d+)?)\b", re.IGNORECASE)


def _window(sentence: str) -> dict[str, Any]:
    """``from 0 to 60 games``, ``after 60 games``, ``over the sixty-game test`` (digits only)."""
    match = re.search(r"(?:from|between) (\d+) (?:games? |shots? |hours? )?(?:to|and) (\d+) "
                      r"(?:games?|shots?|hours?)", sentence)  # fmt: skip
    if match:
        return {"from": int(match[1]), "to": int(match[2])}
    match = re.search(r"(?:after|over|through|in|within|during)(?: the)?(?: first)? (\d+)[ -]"
                      r"(?:games?|shots?|hours?)", sentence)  # fmt: skip
    return {"from": 0, "to": int(match[1])} if match else {}


def _bound(sentence: str) -> dict[str, Any]:
    match = re.search(r"(at least|no less than|minimum of|above|exceed\w*|more than|at most"
                      r"|no more than|maximum of|below|less than)\D{0,20}?(\d+(?:\.\d+)?)",
                      sentence, re.I)  # fmt: skip
    if not match:
        return {}
    side = match[1].lower()
    most = side in ("at most", "no more than", "maximum of", "below", "less than")
    return {"at_most" if most else "at_least": float(match[2])}
