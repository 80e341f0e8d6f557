"""What a voice need not say a second time, and sentences short enough for one breath."""

from __future__ import annotations

import re
from collections.abc import Iterable

from explainer.words.script.readaloud import said_words

#: Words that do not make one sentence another.
_SMALL = frozenset(
    """a about all an and any are as at be been but by did do does for from had has have how in is
    it its more no not of on one or that the their them they this to was were what whether which
    with you your""".split()  # noqa: SIM905 - a list of words reads better as one
)
_WORD = re.compile(r"[^\W\d_]+")
_NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")
_PURPOSE = re.compile(r",? to see (whether|if) ([^:.;]*)")
BREATH = 24
"""Most words of a sentence that has a semicolon to break at."""


def stems(text: str) -> set[str]:
    """The words that say something, without their endings: a rough cut, but the same each time."""
    words = (w for w in _WORD.findall(text.casefold()) if w not in _SMALL)
    return {w.rstrip("s")[:5] for w in words if len(w) > 2}


def same_words(one: str, other: str) -> bool:
    """Whether two sentences share half of the words of the shorter one, and two at least."""
    a, b = stems(one), stems(other)
    return len(a & b) >= max(2, min(len(a), len(b)) / 2)


def _numbers(text: str) -> set[str]:
    return {n.replace(",", "") for n in _NUMBER.findall(text)}


def _alike(one: str, other: str) -> bool:
    """The same number, one of them perhaps rounded more: 0.07 and 0.1, but not 9.6 and 10."""
    places = min(len(n.partition(".")[2]) for n in (one, other))
    if places == 0:
        return float(one) == float(other)
    return f"{float(one):.{places}f}" == f"{float(other):.{places}f}"


def told(text: str, beside: Iterable[str]) -> bool:
    """Whether every number of ``text`` stands in the sentences beside it."""
    mine, theirs = _numbers(text), _numbers(" ".join(beside))
    return bool(mine) and all(any(_alike(n, other) for other in theirs) for n in mine)


def without_the_question(settled: str, ask: str) -> str:
    """What would settle a question, without the question in it: *more bowlers, to see whether …*"""

    def shorter(found: re.Match[str]) -> str:
        return "" if same_words(found[2], ask) else found[0]

    return _PURPOSE.sub(shorter, settled)


def in_breaths(text: str) -> str:
    """Long sentences that have a semicolon, broken there."""
    parts = [
        re.sub(r";\s+(\w)", lambda m: f". {m[1].upper()}", part)
        if said_words(part) > BREATH else part
        for part in re.split(r"(?<=[.!?])\s+", text)
    ]  # fmt: skip
    return " ".join(parts)
