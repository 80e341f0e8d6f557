"""What a talk is built on: the claim that answers the question, and what turns it.

Chosen by verdicts and reasons, never by words: the reveal is the first claim the question turns on,
the twist is what a listener would not have guessed from it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from explainer.claims.verdict import UNANSWERED, FigureResult, Judgement, Verdict
from explainer.study.description.telling import compared
from explainer.words.page.prose import fill
from explainer.words.page.study import key_verdicts
from explainer.words.script.desk import GUESS, OWN, Desk, plain, stop
from explainer.words.script.talk import Line

# What an author may give a talk beside the study: first and last words, asides, and what to set
# side by side or go through one by one.
# The one place that knows by which keys; whatever a study does not have is empty.

@dataclass(frozen=True)
class Bookends:
    """An author's first and last words, as Markdown with its numbers filled in; empty where
    neither the study nor its workspace has them."""

    hook: str = ""
    running_question: str = ""
    answered_by: str = ""
    """The claim whose verdict answers it."""
    answer: str = ""
    """The author's own answer to it."""
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
        given("ending", "answered_by"), given("ending", "answer"), given("ending", "outro"),
        given("ending", "next"), given("ending", "request"),
    )  # fmt: skip


#: Where a comparison stops, when its author says so in as many words.
_ENDED = re.compile(r"(?:and |but )?(?:it|that|there|the comparison) (?:stops|ends)\b|only\b", re.I)


def asides(place: Any, judgement: Judgement) -> Iterator[tuple[str, str, str]]:
    """(which, the author's words, where it stops) of a comparison, a guess and an opinion about
    ``place``; only a comparison has an end."""
    what, stops = compared(getattr(place, "like", None))
    texts = {"like": what, "guess": getattr(place, "guess", None),
             "opinion": getattr(place, "opinion", None)}  # fmt: skip
    for name, text in texts.items():
        if text:
            yield name, fill(text, judgement), fill(stops if name == "like" else "", judgement)


def own_lines(desk: Desk, place: Any, needs: str = "") -> list[Line]:
    """The author's words about a figure or a claim, and what stands beside them, each as what it
    is; ``needs``: the key of the lines without which they would speak of nothing."""
    say = plain(fill(getattr(place, "say", None) or "", desk.judgement))
    lines = [Line(say, OWN, "own", needs=needs)]
    for name, text, stops in asides(place, desk.judgement):
        end = stop(plain(stops))
        told = desk.tell(f"aside.{name}", name, text=stop(plain(text)), stops=end,
                         lead=not _ENDED.match(end))  # fmt: skip
        lines.append(Line(told, OWN, "own", needs=needs))
    return lines


def guess_first(desk: Desk, claim: Any, quoted: Line) -> list[Line]:
    """A claim that readers guess at before they see its answer (``ask_first``): so may listeners,
    once it was quoted."""
    if not claim.asks_first or not quoted.text:
        return []
    if claim.asked:
        return [Line(claim.asked, GUESS, "own", needs=quoted.key)]
    return [Line(desk.tell("guess.claim", claim.id), GUESS, needs=quoted.key)]


def walked(result: FigureResult) -> bool:
    """Whether the author wants its items told one by one."""
    return getattr(result.figure, "walk", False) in (True, "yes")


def paired(figures: Sequence[FigureResult]) -> list[tuple[str, str]]:
    """The figures that answer one another, by id: to be told one right after the other."""
    given = (getattr(result.figure, "pair", None) for result in figures)
    return [(str(pair[0]), str(pair[1])) for pair in given if pair and len(pair) == 2]


@dataclass(frozen=True)
class TalkPlan:
    """The order of a talk.  A figure stands in one place only."""

    lead: Verdict | None
    """The claim of the reveal."""
    reveal: FigureResult | None
    setup: FigureResult | None
    """What the twist turns: where different items are compared and one item goes another way."""
    twist: Verdict | None
    turn: FigureResult | None
    """The twist's own figure; None where no figure shows it, or where it is the reveal's."""
    rest: tuple[FigureResult, ...]
    also: tuple[Verdict, ...] = ()
    """What else the question turns on, and who else asked just what the reveal asks."""
    sides: tuple[tuple[str, str], ...] = ()
    """Pairs of figures that are told one right after the other."""

    @property
    def lumped(self) -> bool:
        """Whether the twist is that the total says the opposite of everybody's own."""
        return self.twist is not None and "reversal" in self.twist.reasons


def plan(judgement: Judgement) -> TalkPlan:
    """The plan of a talk about a judged study."""
    key = key_verdicts(judgement)
    lead = next((v for v in key if _figure(judgement, v) is not None), key[0] if key else None)
    reveal = _figure(judgement, lead) if lead else None
    reveal = reveal or next(iter(judgement.figures), None)
    twist = _twist(judgement, key, lead)
    turn = _figure(judgement, twist) if twist else None
    turn = None if turn is reveal else turn
    setup = _setup(judgement, twist, (reveal, turn))
    beside = [v for v in judgement.verdicts if v not in (lead, twist)]
    also = [v for v in beside if v in key or _same(v, lead)]
    taken = [f for f in (reveal, setup, turn) if f is not None]
    rest = [f for f in judgement.figures if f not in taken]
    sides = paired(judgement.figures)
    order = tuple(_beside(rest, sides))
    return TalkPlan(lead, reveal, setup, twist, turn, order, tuple(also), tuple(sides))


def _same(verdict: Verdict, lead: Verdict | None) -> bool:
    """Whether a claim asks just what the reveal asks, of other items."""
    if lead is None or verdict.test.kind != lead.test.kind:
        return False
    asked = ("measure", "by", "a", "b", "direction")
    return all(getattr(verdict.test, k, None) == getattr(lead.test, k, None) for k in asked) and (
        getattr(verdict.test, "by", None) is not None
    )


def by_figure(judgement: Judgement, built: TalkPlan, verdict: Verdict) -> FigureResult | None:
    """The figure a claim can be told over: its own, where it stands among the rest."""
    result = _figure(judgement, verdict)
    return result if result in built.rest else None


def _figure(judgement: Judgement, verdict: Verdict) -> FigureResult | None:
    """The figure that shows a claim: the one it names, else the first that has it."""
    shown = [f for f in judgement.figures if verdict.claim.id in f.claims]
    named = [f for f in shown if f.figure.id == getattr(verdict.claim, "figure", None)]
    return next(iter([*named, *shown]), None)


def _turns(*reasons: str) -> Callable[[Verdict], bool]:
    return lambda v: bool(set(reasons) & set(v.reasons))


#: Reasons by which a claim hangs on one item, one moment or one choice.
_HANGS = frozenset({"fragile", "one-step", "exclusion-decides", "dropouts"})


#: Reasons that turn what was seen, be the claim answered or not.
_TURNING = frozenset({"reversal", "levels-disagree", "shared-trend", "confounded"})

#: Kinds of claim that something did not move.
_STILL = frozenset({"no-change", "no-association", "no-worse"})


def _twist(judgement: Judgement, key: Sequence[Verdict], lead: Verdict | None) -> Verdict | None:
    """What turns the reveal, the most telling first; None where nothing does.

    The total against everybody's own; different items against one; what cannot be pulled apart;
    what the data contradict; what stays open although the question turns on it; what held still
    where the reveal moved; what hangs on one item or one moment.
    """
    marked = {v.claim.id for v in judgement.verdicts if v.claim.key in (True, "yes")}
    asked = {v.claim.id for v in key}
    first = sorted(
        judgement.verdicts, key=lambda v: (v.claim.id not in asked, v.claim.id not in marked)
    )
    tests: tuple[Callable[[Verdict], bool], ...] = (
        lambda v: v.code == "against" and "reversal" in v.reasons,
        _turns("reversal"),
        lambda v: v.code != "backed" and "levels-disagree" in v.reasons,
        lambda v: v is not lead and v.claim.id in marked and "not-a-data-question" in v.reasons,
        lambda v: v is not lead and bool({"shared-trend", "confounded"} & set(v.reasons)),
        lambda v: v is not lead and v.code == "against",
        lambda v: v is not lead and v.claim.id in asked | marked and v.code != "backed",
        lambda v: v is not lead and v.claim.id in asked and v.test.kind in _STILL,
        lambda v: v is not lead and bool(_HANGS & set(v.reasons)),
    )
    return next((v for test in tests for v in first if test(v)), None)


def turns(verdict: Verdict) -> bool:
    """Whether a twist is one: what nobody could answer turns nothing, unless what stands in its
    way does."""
    return verdict.code not in UNANSWERED or bool(_TURNING & set(verdict.reasons))


def _setup(
    judgement: Judgement, twist: Verdict | None, taken: Sequence[FigureResult | None]
) -> FigureResult | None:
    """The figure that compares different items, where the twist is that one goes another way."""
    if twist is None or "levels-disagree" not in twist.reasons:
        return None
    of_links = {v.claim.id for v in judgement.verdicts if v.test.kind == "association"}
    return next((f for f in judgement.figures if f not in taken and of_links & set(f.claims)), None)


def _beside(
    figures: list[FigureResult], sides: Sequence[tuple[str, str]]
) -> list[FigureResult]:
    """The figures in order, each partner of a pair drawn up behind the other."""
    left, out = list(figures), list[FigureResult]()
    partner = dict(sides) | {b: a for a, b in sides}
    while left:
        one = left.pop(0)
        out.append(one)
        other = partner.get(one.figure.id)
        beside = next((f for f in left if f.figure.id == other), None)
        if beside is not None:
            left.remove(beside)
            out.append(beside)
    return out
