"""Which kinds of test a sentence of a report calls for, by its words alone.

Each kind says beside its sample sentences by what words it is known (``cues``, with weights).  A
sentence is given to the kind with the most; what else comes near is told with it, so that an
author whose sentence fits none can see what each of them would answer.  A guess, never a verdict:
what a sentence means is for the author.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from explainer.study.description.tests import kinds

#: From here on a kind comes near, and no farther behind the nearest than this.
NEAR, BEHIND = 4, 3
#: How many are told.
MOST = 3

_WORD_NUMBERS = re.compile(
    r"\b(?:two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|sixteen|twenty|"
    r"twenty-four|thirty|forty|fifty|sixty|seventy|eighty|ninety(?:-\w+)?|hundred|dozen)\b"
)


@dataclass(frozen=True)
class Near:
    """A kind that comes near a sentence."""

    kind: str
    answers: str
    """What a test of this kind asks, in a sentence."""
    weight: int
    because: str
    """The words of the sentence that speak for it."""


def near(sentence: str) -> tuple[Near, ...]:
    """The kinds that a sentence may call for, nearest first; empty where none comes near."""
    found = sorted(_weighed(sentence), key=lambda n: -n.weight)
    best = found[0].weight if found else 0
    return tuple(n for n in found if n.weight >= max(NEAR, best - BEHIND))[:MOST]


def told(found: tuple[Near, ...]) -> str:
    """Them in a line: ```change` (each item's change between two checkpoints)``."""
    return "; ".join(f"`{n.kind}` ({n.answers})" for n in found)


def _weighed(sentence: str) -> Iterator[Near]:
    plain = _plain(sentence)
    for kind, model in kinds().items():
        weight, because = 0, ""
        for cue, points in _compiled(kind):
            if (match := cue.search(plain)) is not None:
                weight += points
                because = because or (match[0] if points > 0 else "")
        if weight > 0:
            yield Near(kind, _answers(model.__doc__ or ""), weight, because)


def _plain(sentence: str) -> str:
    """Lower case, with numbers in words as digits are: ``nine of ten`` is ``0 of 0``."""
    text = " ".join(sentence.casefold().replace("’", "'").split())
    return _WORD_NUMBERS.sub("0", text)


@lru_cache(maxsize=64)
def _compiled(kind: str) -> tuple[tuple[re.Pattern[str], int], ...]:
    return tuple((re.compile(cue), points) for cue, points in kinds()[kind].cues)


def _answers(doc: str) -> str:
    """The first sentence of a kind's own description."""
    line = " ".join(doc.split("\n\n")[0].split()).replace("``", "").rstrip(".")
    first = re.split(r"(?<=[.?!]) ", line)[0]
    return first[:1].lower() + first[1:]
