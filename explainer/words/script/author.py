"""What an author may give a talk beside the study: first and last words, asides, and what to set
side by side or go through one by one.

The one place that knows by which keys; whatever a study does not have is empty.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from explainer.claims.verdict import FigureResult, Judgement
from explainer.words.page.prose import fill
from explainer.words.script.desk import GUESS, OWN, Desk, plain, stop
from explainer.words.script.talk import Line


@dataclass(frozen=True)
class Bookends:
    """An author's first and last words, as Markdown with its numbers filled in; empty where
    neither the study nor its workspace has them."""

    hook: str = ""
    running_question: str = ""
    answered_by: str = ""
    """The claim whose verdict answers it."""
    outro: str = ""
    next: str = ""
    request: str = ""


def frame(judgement: Judgement) -> Bookends:
    """The study's own opening and ending, else the workspace's."""
    study = judgement.study
    places = (study.description, study.workspace.settings)

    def given(part: str, name: str) -> str:
        told = (getattr(getattr(place, part, None), name, None) for place in places)
        return fill(next((str(t) for t in told if t), ""), judgement)

    return Bookends(
        given("opening", "hook"), given("opening", "running_question"),
        given("ending", "answered_by"), given("ending", "outro"), given("ending", "next"),
        given("ending", "request"),
    )  # fmt: skip


#: Keys beside ``say`` -> the phrase that says what it is.
ASIDES = ("like", "guess", "opinion")


def asides(place: Any, judgement: Judgement) -> Iterator[tuple[str, str]]:
    """(which, the author's words) of a comparison, a guess and an opinion about ``place``."""
    for name in ASIDES:
        given = getattr(place, name, None)
        told = [getattr(given, part, None) for part in ("what", "stops")]
        text = " ".join(str(t) for t in told if t) if any(told) else str(given or "")
        if text:
            yield name, fill(text, judgement)


def own_lines(desk: Desk, place: Any, needs: str = "") -> list[Line]:
    """The author's words about a figure or a claim, and what stands beside them, each as what it
    is; ``needs``: the key of the lines without which they would speak of nothing."""
    say = plain(fill(getattr(place, "say", None) or "", desk.judgement))
    lines = [Line(say, OWN, "own", needs=needs)]
    for name, text in asides(place, desk.judgement):
        told = desk.tell(f"aside.{name}", name, text=stop(plain(text)))
        lines.append(Line(told, OWN, "own", needs=needs))
    return lines


def guess_first(desk: Desk, claim: Any, quoted: Line) -> list[Line]:
    """A claim that readers guess at before they see its answer (``ask_first``): so may listeners,
    once it was quoted."""
    if getattr(claim, "ask_first", False) not in (True, "yes") or not quoted.text:
        return []
    return [Line(desk.tell("guess.claim", claim.id), GUESS, needs=quoted.key)]


def walked(result: FigureResult) -> bool:
    """Whether the author wants its items told one by one."""
    return getattr(result.figure, "walk", False) in (True, "yes")


def paired(figures: Sequence[FigureResult]) -> list[tuple[str, str]]:
    """The figures that answer one another, by id: to be told one right after the other."""
    given = (getattr(result.figure, "pair", None) for result in figures)
    return [(str(pair[0]), str(pair[1])) for pair in given if pair and len(pair) == 2]
