"""What a listener meets in a script: decimals, digits, long sentences and sentences on one last.

Counted on what is said and not on what is printed, so that a voice and the count cannot differ.
The marks are ours: a listener who must hold a number while the next one comes holds neither
(radio writers' guides, as a rule of thumb; the sizes of the marks are no finding of theirs).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.spoken import said_words

MOST_POINTS, MOST_DIGITS, MOST_WORDS, MOST_ALIKE = 2, 12.0, 20, 2
"""At most: *point* in a script, digits a minute, words of a sentence, sentences on one last."""
QUESTION_BY = 8.0
"""Seconds by which the question has been put, and why it matters."""
ASKED = ("asked", "why")
"""The keys of the lines that say so."""

#: Behind a stop, a question mark or a closing quote, before a capital, a figure or a quote.
_ENDS = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9“\"‘−])|(?<=[.!?][”\"’])\s+(?=[A-Z0-9“\"‘−])")
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
_VALUES: Mapping[str, int] = {cardinal(n): n for n in (*range(21), *range(30, 100, 10))}
_SCALES: Mapping[str, int] = {"hundred": 100, "thousand": 1000, "million": 1_000_000}
#: Words that hold a sentence together; what stands between them is what it speaks of.
_FRAME = frozenset(
    """a about across after all an and are as at back be before but by can can't cannot come comes
    could data did do does don't down even every first for from go goes going had has have here
    here's how if in inside is isn't it it's its itself just know last leave let's look make makes
    maybe more nobody no not nothing now of off on once one only or out over question report said
    say says see side so some still tell than that that's the their them then there there's these
    they this those to too two under up us was we were what what's whether which who why will with
    would yet you your""".split()  # noqa: SIM905 - a list of words reads better as one
)


@dataclass(frozen=True)
class Measured:
    """A script's figures.  Words and seconds are of what is said; ``minutes`` are of the clock."""

    words: int
    minutes: float
    points: int
    """How often *point* is said."""
    digits: int
    """Digits of the numbers said, were they written in figures."""
    long: tuple[str, ...]
    """Sentences of more than ``MOST_WORDS`` words."""
    crowded: tuple[str, ...]
    """Our sentences that hold more than one number."""
    alike: tuple[str, ...]
    """Lasts on which more than ``MOST_ALIKE`` sentences were made: what is left of them."""
    question_by: float | None = None
    """Seconds until the question and why it matters have been said; None where neither is."""

    @property
    def digits_a_minute(self) -> float:
        return self.digits / self.minutes if self.minutes else 0.0

    @property
    def line(self) -> str:
        """All of it in one line, for a person at a terminal."""
        late = "" if self.question_by is None else f", question by {self.question_by:.0f} s"
        return (f"“point” {self.points}, {self.digits_a_minute:.1f} digits a minute, "
                f"{len(self.long)} sentences over {MOST_WORDS} words, "
                f"{len(self.crowded)} with two numbers, "
                f"{len(self.alike)} said on one last too often{late}")  # fmt: skip


def _decimals(text: str) -> int:
    """Numbers said with a decimal: ``two point one``, and not ``half a point``."""
    digit = "|".join(cardinal(n) for n in range(10))
    return len(re.findall(rf"\bpoint (?:{digit})\b", text, re.IGNORECASE))


def measured(
    said: Iterable[str], minutes: float, theirs: Iterable[str] = (),
    question_by: float | None = None,
) -> Measured:  # fmt: skip
    """The figures of a script.

    said: what our lines say, in words and in order; theirs: what the author and the report say,
    which counts as said, but not as our turns of speech.  minutes: of the clock.
    """
    ours, whole = list(said), list(theirs)
    every = [*ours, *whole]
    sentences = [s for text in every for s in split(text)]
    lasts = Counter(filter(None, (last(s) for text in ours for s in split(text))))
    return Measured(
        words=sum(map(said_words, every)), minutes=minutes,
        points=sum(map(_decimals, every)),
        digits=sum(map(digits, every)),
        long=tuple(s for s in sentences if said_words(s) > MOST_WORDS),
        crowded=tuple(s for text in ours for s in split(text) if _crowded(s)),
        alike=tuple(f"{n} × {one}" for one, n in lasts.items() if n > MOST_ALIKE),
        question_by=question_by,
    )  # fmt: skip


def split(text: str) -> list[str]:
    """The sentences of a text."""
    return [s for s in _ENDS.split(" ".join(text.split())) if s]


def last(sentence: str) -> str:
    """What a sentence is made on: the words that hold it together, with gaps for what it is about.

    Words in quotes are somebody else's and count as a gap.  Empty where too little is left to tell
    one from another.
    """
    bare = re.sub(r"“[^“”]*”", "“”", sentence).replace("’", "'").casefold()
    kept: list[str] = []
    for word in re.findall(r"“”|[^\W_]+(?:'[^\W_]+)*|[,:;?]", bare):
        told = word if word in _FRAME or word in ",:;?" else "…"
        if told != "…" or kept[-1:] != ["…"]:
            kept.append(told)
    return " ".join(kept) if sum(w in _FRAME for w in kept) >= 3 else ""


def digits(said: str) -> int:
    """Digits of the numbers in a text that was made to be said: *three hundred sixty* has three.

    *One* alone is no number but a word, as in *one of them*.
    """
    return sum(map(_digits_of, _numbers(said)))


def _crowded(sentence: str) -> bool:
    """Whether a sentence of ours has two numbers or more; somebody else's in quotes are theirs."""
    bare = re.sub(r"“[^“”]*”", "", sentence)
    return sum(_digits_of(run) > 0 for run in _numbers(bare)) > 1


def _numbers(said: str) -> Iterator[list[str]]:
    """Runs of words that make one number."""
    run: list[str] = []
    for word in _WORD.findall(re.sub(r"\b(\w+ty)-(?=\w)", r"\1 ", said.casefold())):
        if word in _VALUES or word in _SCALES or (word == "point" and run):
            run.append(word)
        elif run:
            yield run
            run = []
    if run:
        yield run


def _digits_of(run: list[str]) -> int:
    whole, _, places = " ".join(run).partition(" point ")
    if not places and whole == "one":
        return 0
    total = part = 0
    for word in whole.split():
        if word in _SCALES:
            part = (part or 1) * _SCALES[word]
            if _SCALES[word] > 100:
                total, part = total + part, 0
        elif word in _VALUES:
            part += _VALUES[word]
    return len(str(total + part)) + len([w for w in places.split() if w in _VALUES])


# What a voice need not say a second time, and sentences short enough for one breath.

#: Words that do not make one sentence another.
_SMALL = frozenset(
    """a about all an and any are as at be been but by did do does for from had has have how in is
    it its more no not of on one or that the their them they this to was were what whether which
    with you your""".split()  # noqa: SIM905 - a list of words reads better as one
)
_LETTERS = re.compile(r"[^\W\d_]+")
_NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")
_PURPOSE = re.compile(r",? to see (whether|if) ([^:.;]*)")
BREATH = 24
"""Most words of a sentence that has a semicolon to break at."""


def stems(text: str) -> set[str]:
    """The words that say something, without their endings: a rough cut, but the same each time."""
    words = (w for w in _LETTERS.findall(text.casefold()) if w not in _SMALL)
    return {w.rstrip("s")[:5] for w in words if len(w) > 2}


def same_words(one: str, other: str) -> bool:
    """Whether two sentences share half of the words of the shorter one, and two at least."""
    a, b = stems(one), stems(other)
    return len(a & b) >= max(2, min(len(a), len(b)) / 2)


def _digits(text: str) -> set[str]:
    return {n.replace(",", "") for n in _NUMBER.findall(text)}


def _alike(one: str, other: str) -> bool:
    """The same number, one of them perhaps rounded more: 0.07 and 0.1, but not 9.6 and 10."""
    places = min(len(n.partition(".")[2]) for n in (one, other))
    if places == 0:
        return float(one) == float(other)
    return f"{float(one):.{places}f}" == f"{float(other):.{places}f}"


def told(text: str, beside: Iterable[str]) -> bool:
    """Whether every number of ``text`` stands in the sentences beside it."""
    mine, theirs = _digits(text), _digits(" ".join(beside))
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
