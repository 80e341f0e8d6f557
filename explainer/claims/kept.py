"""Verdicts and figures that stay while only words change: an author who rewords a page waits for
no number."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Generic, TypeVar

from explainer.claims.figures.kinds import shown_by
from explainer.claims.judge import judge, outcomes_of, pictures
from explainer.claims.verdict import FigureResult, Judgement, Verdict
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

    def __init__(self, most: int = MOST) -> None:
        self._found: dict[str, T] = {}
        self._most = most

    def of(self, rests: str, make: Callable[[], T]) -> T:
        """What was made of the same before, else what ``make`` gives now."""
        if rests not in self._found:
            while len(self._found) >= self._most:
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
_FIGURES: LastFew[tuple[FigureResult, ...]] = LastFew()


def judged_again(study: Study) -> Judgement:
    """``judge``, with verdicts and figures of the last time where nothing that they rest on has
    changed."""
    limits = thresholds(study.description)
    rests = rests_on(study, limits)
    claims = {claim.id: claim for claim in study.description.claims}
    verdicts = tuple(
        _of_claim(v, claims[v.claim.id])
        for v in _VERDICTS.of(rests, lambda: outcomes_of(study, limits))
    )
    beside = [(v.claim.id, v.claim.figure) for v in verdicts]  # what a figure finds hangs on these
    figures = _FIGURES.of(f"{rests}\0{beside}", lambda: pictures(study, verdicts))
    return judge(study, verdicts, tuple(
        replace(found, figure=figure, claims=shown_by(figure, verdicts))
        for found, figure in zip(figures, study.description.figures, strict=True)
    ))  # fmt: skip


def _of_claim(verdict: Verdict, claim: Claim) -> Verdict:
    """The verdict of a claim as it is worded now."""
    parts = tuple(replace(part, claim=claim) for part in verdict.parts)
    return replace(verdict, claim=claim, parts=parts)
