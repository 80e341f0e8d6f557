"""The poster's answer: what the question asks, in words that carry a few steps.

Nothing is judged here.  The answer speaks of the claims that the study's question turns on and of
no other; where none of them is settled either way, it says that it cannot be answered, whatever
else was found.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from explainer.claims.kinds import testable
from explainer.claims.rules import strongest_backed
from explainer.claims.verdict import STRENGTH, Code, Judgement, Verdict
from explainer.words.page.headline import briefly, scope
from explainer.words.page.study import key_verdicts
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import count_words
from explainer.words.said import StudyWords
from explainer.words.speakers import in_voices, of_report, saying

#: Claims that get a row; the others are counted.
ROWS = 6
OPEN: tuple[Code, ...] = ("cannot-tell", "not-tested")


@dataclass(frozen=True)
class Marked:
    """A claim with its verdict, as a row."""

    claim: str
    code: Code
    label: str
    plainly: str
    estimate: str
    """Its number with the range, where the question turns on it; else empty."""
    saying: str = ""
    """Who says it, where that is not the report: ``At the lanes people say``."""


@dataclass(frozen=True)
class Counted:
    """How many claims got one verdict."""

    code: Code
    n: int
    says: str
    label: str


@dataclass(frozen=True)
class PosterWords:
    """The answer at arm's length and beyond, and what stands right below it."""

    answers: tuple[str, ...]
    """The same answer, longest first: the first that fits is set."""
    scope: str
    """How far it carries: going by how many items."""
    rows: tuple[Marked, ...]
    """Claims with their marks; those that the question turns on come first."""
    counts: tuple[Counted, ...]
    """How many of the report's claims got which verdict, best known first; none where none did."""
    asked: int
    """How many of the rows the question turns on."""


def poster_words(teller: Teller, judgement: Judgement, words: StudyWords) -> PosterWords:
    """The front of the sheet.  Raises as ``say`` does."""
    asked = asked_verdicts(judgement)
    rest = in_order(judgement, asked)
    codes = Counter(v.code for v in of_report(judgement.verdicts))
    return PosterWords(
        answers=_answers(teller, judgement, asked),
        scope=scope(teller, judgement, asked),
        rows=tuple(
            _row(v, words, v in asked) for v in (*asked, *rest)[:max(ROWS, len(asked))]
        ),
        counts=tuple(
            Counted(
                code, codes[code],
                teller.fragment([f"poster.count.{code}"], {"n": codes[code]}, about="poster"),
                teller.fragment([f"label.{code}"], {}, about="poster"),
            )
            for code in reversed(STRENGTH) if codes[code]
        ),
        asked=len(asked),
    )  # fmt: skip


def asked_verdicts(judgement: Judgement) -> list[Verdict]:
    """The claims the study's question turns on: those that the page's answer is built from."""
    return key_verdicts(judgement)


def in_order(judgement: Judgement, told: list[Verdict]) -> list[Verdict]:
    """The other claims: the one the data back most clearly, the report's key findings, its others
    that were tested, then what was not tested, and what others say, voice by voice."""
    best = strongest_backed(judgement.verdicts)
    rest = [v for v in in_voices(judgement.verdicts) if v not in told]
    return sorted(
        rest, key=lambda v: (
            v is not best, not v.claim.is_key, not v.claim.of_report, not testable(v)
        )
    )


def _row(verdict: Verdict, words: StudyWords, asked: bool) -> Marked:
    said = words.claims[verdict.claim.id]
    number = said.estimate if asked else ""
    spoken = "" if verdict.claim.of_report else saying(verdict.claim)
    return Marked(verdict.claim.id, verdict.code, said.label, said.plainly, number, spoken)


def _answers(teller: Teller, judgement: Judgement, asked: list[Verdict]) -> tuple[str, ...]:
    """From all heads with full words to a bare count; all of them true, each shorter."""

    def tell(name: str, **facts: object) -> str:
        return teller.fragment([name], facts, about="poster")

    if not asked or all(v.code in OPEN for v in asked):
        return tuple(tell(f"poster.cannot{size}", all_open=True) for size in ("", ".short"))
    briefs = (briefly(teller, judgement, asked, size) for size in ("", ".short"))
    made = [brief for brief in briefs if brief]
    codes = Counter(v.code for v in asked)
    said = [
        tell(f"poster.of.{code}", n=codes[code], count=count_words(codes[code]), m=len(asked))
        for code in reversed(STRENGTH) if codes[code]
    ]  # fmt: skip
    return (*made, " ".join(said))
