"""Verdicts that stay while only words change: an author who rewords a page waits for no number."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Generic, TypeVar

from explainer.claims.judge import judge, outcomes_of
from explainer.claims.verdict import Judgement, Verdict
from explainer.study.description.rule import Claim
from explainer.study.load import DESCRIPTION
from explainer.study.model import Study
from explainer.study.thresholds import thresholds

T = TypeVar("T")
#: What an author says in words, which no verdict rests on.
_WORDS = {"title", "question", "intro", "stated", "questions", "advice", "corrections", "report",
          "topic", "answers", "data_source", "edition"}  # fmt: skip
#: Of a figure, which may say how far readings are off: that holds for claims about them, too.
_OF_FIGURES = {"title", "say", "ask_first", "report_figure", "like", "guess", "opinion"}
_OF_CLAIMS = {"report_says", "says", "plainly", "as_clause", "briefly", "page", "figure"}
#: So many are kept: a few studies, each as it was before and after a change.
MOST = 8


class LastFew(Generic[T]):
    """The last few of something, each under all that it rests on."""

    def __init__(self) -> None:
        self._found: dict[str, T] = {}

    def of(self, rests: str, make: Callable[[], T]) -> T:
        """What was made of the same before, else what ``make`` gives now."""
        if rests not in self._found:
            while len(self._found) >= MOST:
                self._found.pop(next(iter(self._found)), None)
            self._found[rests] = make()
        return self._found[rests]


def rests_on(study: Study, limits: Mapping[str, float]) -> str:
    """All of a study that its verdicts rest on: the data, and what is not words."""
    data = {name: digest for name, digest in study.sha256.items() if name != DESCRIPTION}
    said = study.description.model_dump_json(
        exclude={**dict.fromkeys(_WORDS, True), "claims": {"__all__": _OF_CLAIMS},
                 "figures": {"__all__": _OF_FIGURES}}
    )
    return f"{study.folder}\0{sorted(data.items())}\0{said}\0{sorted(limits.items())}"


_VERDICTS: LastFew[tuple[Verdict, ...]] = LastFew()


def judged_again(study: Study) -> Judgement:
    """``judge``, with the verdicts of the last time where nothing that they rest on has changed."""
    limits = thresholds(study.description)
    verdicts = _VERDICTS.of(rests_on(study, limits), lambda: outcomes_of(study, limits))
    claims = {claim.id: claim for claim in study.description.claims}
    return judge(study, tuple(_of_claim(v, claims[v.claim.id]) for v in verdicts))


def _of_claim(verdict: Verdict, claim: Claim) -> Verdict:
    """The verdict of a claim as it is worded now."""
    parts = tuple(replace(part, claim=claim) for part in verdict.parts)
    return replace(verdict, claim=claim, parts=parts)
