"""What the author says around the findings: first words, a running question, last words, asides.

A study's own words come before the workspace's, one by one.  The running question is answered by
a claim's verdict, or by the study's answer: the only sentence here that states anything.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from explainer.claims.verdict import Judgement
from explainer.study.description.figures import Figure
from explainer.study.description.rule import Claim
from explainer.study.description.study import Description
from explainer.study.description.telling import ASIDES, compared
from explainer.words.page.prose import fill
from explainer.words.said import AsideWords, AuthorWords

#: What an aside is, before it: each says that it is no finding.
LEADS = {
    "like": "A comparison, no finding.", "guess": "A guess, no finding.",
    "opinion": "An opinion, no finding.",
}  # fmt: skip


def author_words(judgement: Judgement, answers: Mapping[str, str], answer: str) -> AuthorWords:
    """First and last words; ``answers`` says each claim in one breath, ``answer`` the study's.

    Raises DescriptionError for a reference in the study's own words that means nothing.
    """
    study = judgement.study
    own, shared = study.description, study.workspace.settings

    def first(mine: str | None, theirs: str | None) -> str:
        return (fill(mine, judgement) if mine else theirs or "").strip()

    question = first(own.opening.running_question, shared.opening.running_question)
    by = own.ending.answered_by
    return AuthorWords(
        hook=first(own.opening.hook, shared.opening.hook),
        question=question,
        answer=(answers[by] if by else answer) if question else "",
        answered_by=(by or "") if question else "",
        outro=first(own.ending.outro, shared.ending.outro),
        next=first(own.ending.next, shared.ending.next),
        request=first(own.ending.request, shared.ending.request),
        asides=asides(own, judgement),
    )


def asides(said: Figure | Claim | Description, judgement: Judgement) -> tuple[AsideWords, ...]:
    """The author's comparison, guess and opinion, each under a name that says what it is.

    Raises DescriptionError for a reference that means nothing.
    """
    what, stops = compared(said.like)
    texts: dict[str, Any] = {"like": what, "guess": said.guess, "opinion": said.opinion}
    return tuple(
        AsideWords(kind, LEADS[kind], fill(texts[kind], judgement).strip(),
                   fill(stops, judgement).strip() if kind == "like" else "")
        for kind in ASIDES if texts[kind]
    )  # fmt: skip
