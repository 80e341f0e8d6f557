"""The clock of a script: words into captions, and captions into seconds.

One clock serves script, captions, chapters and timeline.  A sentence takes as long as it takes to
say at the speaking rate, counted on spoken forms, and never less than it takes to read.

Limits: 42 characters a line and two lines are common practice of broadcasters and streaming
services, as are 17 characters a second and 7 seconds a caption for adults (values from memory).
"""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

from explainer.words.quantity.spoken import said_words

LINE, LINES, PER_SECOND, SHORTEST = 42, 2, 17.0, 0.8
LONGEST = 7.0
"""Most seconds that a caption stands."""
REACTION = 5.0
"""Seconds kept free for a live reaction."""

#: Between sentences: behind a stop and a closing quote, before a capital, a figure or a quote.
_ENDS = re.compile(r"(?:(?<=[.!?])|(?<=[.!?][”\"’]))\s+(?=[A-Z0-9“\"‘−])")

#: Words that lean on the next one: nothing ends on them.
LEANING = """a an the this that these those its their our your his her my each every no not of to
in on at by for from with into over under after before between about as than and or but nor so if is
are was were be been has have had does do did can could may might will would should must very more
most less least too only just"""
#: Words that begin a part of a sentence: a good place to break before.
BEGINNING = """and but or nor so because that which who whose when where while if though although
since unless until than for with without from into after before between"""
_LEANING, _BEGINNING = frozenset(LEANING.split()), frozenset(BEGINNING.split())
CUE, UNEVEN = 40.0, 30.0
"""What one more caption costs, and one that is short."""


@dataclass(frozen=True)
class Cue:
    """One caption: a line or two, and how long it is being said, in seconds."""

    lines: tuple[str, ...]
    seconds: float

    @property
    def text(self) -> str:
        return " ".join(self.lines)

    @property
    def stands(self) -> float:
        """How long it is on screen: a word that takes longer to say leaves it empty after."""
        return min(self.seconds, LONGEST)


@lru_cache(maxsize=4096)
def cues(text: str, rate: int) -> tuple[Cue, ...]:
    """``text`` as captions at ``rate`` words a minute; each sentence ends where a caption ends."""
    sentences = _ENDS.split(" ".join(text.split()))
    return tuple(cue for sentence in sentences if sentence for cue in _cut(sentence, rate))


def seconds(text: str, rate: int) -> float:
    """How long ``text`` takes."""
    return sum(cue.seconds for cue in cues(text, rate))


def _cut(sentence: str, rate: int) -> list[Cue]:
    """A sentence in captions, as few as hold it, broken where it breathes."""
    words = [part for word in sentence.split() for part in textwrap.wrap(word, LINE)]
    counts = _counts(words, said_words(sentence))
    pace = 60 / rate
    parts = _parts(words, [count * pace for count in counts])
    texts = [" ".join(words[a:b]) for a, b in parts]
    said = [sum(counts[a:b]) * pace for a, b in parts]
    slots = _slots(said, [max(len(text) / PER_SECOND, SHORTEST) for text in texts])
    return [
        Cue(_lines(words[a:b]), round(slot + 0.0005, 3))
        for (a, b), slot in zip(parts, slots, strict=True)
    ]


def _counts(words: list[str], total: int) -> list[float]:
    """How many words each word is when said; together ``total``."""
    each = [1.0 if word.isalpha() else float(said_words(word)) for word in words]
    whole = sum(each)
    return [one * total / whole for one in each] if whole else [total / len(words)] * len(words)


def _slots(said: list[float], least: list[float]) -> list[float]:
    """Seconds for each caption: what it takes to say, and at least what it takes to read.

    Where one needs longer to be read than to be said, the time comes from those of the same
    sentence that have some to spare, so that the voice is not held up.
    """
    total = max(sum(said), sum(least))
    low, high = 0.0, 1.0
    for _ in range(30):
        share = (low + high) / 2
        if sum(max(s * share, m) for s, m in zip(said, least, strict=True)) > total:
            high = share
        else:
            low = share
    return [max(s * low, m) for s, m in zip(said, least, strict=True)]


def _parts(words: list[str], takes: list[float]) -> list[tuple[int, int]]:
    """The sentence's captions as first word and last word plus one, at the lowest cost."""
    ends = list(accumulate((len(word) + 1 for word in words), initial=0))
    clock = list(accumulate(takes, initial=0.0))
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(words) + 1):
        found = (float("inf"), end - 1)
        for begin in range(end - 1, -1, -1):
            long = ends[end] - ends[begin] - 1
            fits = long <= LINE * LINES and clock[end] - clock[begin] <= LONGEST
            if begin < end - 1 and not fits:
                break
            if long > LINE and not _halves(words[begin:end]):
                continue
            spare = (1 - long / (LINE * LINES)) ** 2
            cost = best[begin][0] + CUE + UNEVEN * spare
            cost += 2 * _harm(words, end) if end < len(words) else 0.0
            found = min(found, (cost, begin))
        best.append(found)
    parts = []
    end = len(words)
    while end:
        parts.append((best[end][1], end))
        end = best[end][1]
    return parts[::-1]


def _lines(words: list[str]) -> tuple[str, ...]:
    """One line where it fits, else two: at sense first, then as even as they can be."""
    whole = " ".join(words)
    if len(whole) <= LINE:
        return (whole,)
    middle = min(_halves(words), key=lambda at: _unevenness(words, at))
    return (" ".join(words[:middle]), " ".join(words[middle:]))


def _halves(words: list[str]) -> list[int]:
    """Where a caption may be broken into two lines that both fit."""
    length, halves = len(" ".join(words)), []
    first = -1
    for at, word in enumerate(words[:-1], start=1):
        first += len(word) + 1
        if first <= LINE and length - first - 1 <= LINE:
            halves.append(at)
    return halves


def _unevenness(words: list[str], at: int) -> float:
    first, second = len(" ".join(words[:at])), len(" ".join(words[at:]))
    return _harm(words, at) + 0.6 * abs(first - second)


def _harm(words: list[str], at: int) -> float:
    """What a break before word ``at`` costs whoever reads: nothing at a comma, most where words
    belong together."""
    before, after = words[at - 1], words[at]
    if before[-1] in ",;:.!?–—" or before[-2:] in (",”", ".”"):
        return 0.0
    bare = before.strip("“”‘’()").lower()
    if bare in _LEANING or (bare[-1:].isdigit() and after[:1].islower()):
        return 40.0
    return 6.0 if after.strip("“”‘’()").lower() in _BEGINNING else 16.0


def clock(at: float) -> str:
    """Seconds as a chapter mark: 0:00, 12:05, 1:02:03."""
    whole = int(at)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"
