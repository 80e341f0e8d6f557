"""A figure in a talk: built up step by step, with the claims it shows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from explainer.claims.verdict import FigureResult, Verdict
from explainer.words.prose import fill
from explainer.words.say_figures import shown_claim
from explainer.words.script_desk import (
    AXES,
    CHAIN,
    DATA,
    FIRST_NOTE,
    KEY,
    LIMITS,
    OTHER,
    OWN,
    QUOTE,
    READING,
    SUMMARY,
    TAKEAWAY,
    Desk,
    Facts,
    aloud,
    found,
    in_a_word,
    part,
    plain,
    quotes,
    says,
)
from explainer.words.talk import Line, Part, Screen
from explainer.words.when import use_word


def figure_parts(desk: Desk) -> Iterator[Part]:
    for number, result in enumerate(desk.judgement.figures):
        yield _figure(desk, result, first=number == 0)


def _figure(desk: Desk, result: FigureResult, first: bool) -> Part:
    """A figure as it builds up, with the claims it shows."""
    id, of = result.figure.id, f"figure:{result.figure.id}"
    words = desk.words.figures[id]
    verdicts = _in_order(desk, result)
    desk.said |= {v.claim.id for v in verdicts}
    key = any(v.claim.id in desk.key for v in verdicts)
    top, quote, reading = (KEY, QUOTE, READING) if key else (OTHER, OTHER, READING)
    facts = _figure_facts(desk, result)
    main, more = verdicts[:1], verdicts[1:]
    looking = Line(aloud(words.looking_at), quote, **_again(desk, result, facts, words.looking_at))
    how = Line(aloud(words.how_to_read), reading, **_again(desk, result, facts, ""))
    shots: list[tuple[Screen, list[Line]]] = [
        (Screen(of, AXES), [Line(desk.tell("to.first" if first else "to", id, **facts), top),
                            *quotes(desk, main, quote), looking]),
        (Screen(of, DATA), [how, _own(desk, result),
                            Line(desk.tell("react", id), READING, "react")]),
        (Screen(of, SUMMARY), [_finding(desk, result, main, top)]),
    ]  # fmt: skip
    for place, (text, _) in enumerate(words.callouts):
        said = desk.tell("callout", f"{id}.{place}", callout=text)
        shots.append((Screen(of, FIRST_NOTE + place), [Line(said, READING)]))
    shots.append((Screen(of, TAKEAWAY), _takeaway(desk, result, main, more, key)))
    desk.kinds.setdefault(_kind(result), id)
    return part(id, _title(desk, result, facts), shots, [_key(result, main)])


def _key(result: FigureResult, main: list[Verdict]) -> str:
    return found(main[0]) if main else f"shown {result.figure.id}"


def _own(desk: Desk, result: FigureResult) -> Line:
    return Line(plain(fill(result.figure.say or "", desk.judgement)), OWN, "own")


def _takeaway(
    desk: Desk, result: FigureResult, main: list[Verdict], more: list[Verdict], key: bool
) -> list[Line]:
    """The verdict in a word, why no more, and what else the report says of this figure."""
    lines = [in_a_word(desk, v, CHAIN if key else OTHER) for v in main]
    lines += [Line(aloud(b), LIMITS, needs=found(v)) for v in main for b in _because(desk, v)]
    lines.append(Line(aloud(desk.words.figures[result.figure.id].cannot_show), LIMITS))
    for verdict in more:
        rank = KEY if verdict.claim.id in desk.key else OTHER
        lines += quotes(desk, [verdict], max(rank, QUOTE), more=True)
        lines.append(says(desk, verdict, rank))
    return lines


def _in_order(desk: Desk, result: FigureResult) -> list[Verdict]:
    """The claims a figure shows that were not spoken of yet: the one its title answers first."""
    shown = shown_claim(desk.judgement, result)
    verdicts = [v for v in desk.judgement.verdicts if v.claim.id in result.claims]
    fresh = [v for v in verdicts if v.claim.id not in desk.said]
    lead = shown.claim.id if shown is not None else ""
    return sorted(fresh, key=lambda v: (v.claim.id != lead, v.code == "not-tested"))


def _finding(desk: Desk, result: FigureResult, main: list[Verdict], rank: int) -> Line:
    """What the claim's verdict lets one say; without a claim, what the figure shows."""
    if main and main[0].code != "not-tested":
        return says(desk, main[0], rank)
    shows = desk.words.figures[result.figure.id].shows
    said = [shows, *(desk.words.claims[v.claim.id].says for v in main)]
    return Line(aloud(" ".join(said)), rank, key=_key(result, main))


def _because(desk: Desk, verdict: Verdict) -> list[str]:
    """Why no more can be said; the same kind of reason is given once in a talk."""
    said = desk.words.claims[verdict.claim.id].because
    if len(said) != len(verdict.reasons):
        return list(said)
    fresh = [s for s, r in zip(said, verdict.reasons, strict=True) if r not in desk.reasons]
    desk.reasons |= set(verdict.reasons)
    return fresh


def _kind(result: FigureResult) -> tuple[str, str, bool]:
    return result.figure.kind, result.figure.table, bool(getattr(result.figure, "joined", False))


def _again(desk: Desk, result: FigureResult, facts: Facts, full: str) -> dict[str, Any]:
    """What is said instead where a figure of this kind was on screen before."""
    before = next((i for k, i in desk.kinds.items() if k[::2] == _kind(result)[::2]), None)
    if before is None:
        return {}
    said = desk.tell("again", result.figure.id, **facts) if full else ""
    return {"again": said, "again_after": before}


def _figure_facts(desk: Desk, result: FigureResult) -> Facts:
    figure, study = result.figure, desk.judgement.study
    table = study.tables[figure.table]
    named = {}
    for side in ("x", "y"):
        given = getattr(figure, side, None)
        measure = getattr(given, "measure", given)
        named[side] = study.term(measure) if isinstance(measure, str) else ""
    facts: Facts = {**named, "steps": _many(use_word(table)),
                    "y_high": desk.words.figures[figure.id].y_ends[1]}  # fmt: skip
    names = [f"topic.{figure.kind}"]
    if getattr(figure, "joined", False):
        names.insert(0, f"topic.{figure.kind}.joined")
    return {**facts, "topic": desk.fragment(*names, about=figure.id, **facts)}


def _title(desk: Desk, result: FigureResult, facts: Facts) -> str:
    names = [f"chapter.{result.figure.kind}"]
    if getattr(result.figure, "joined", False):
        names.insert(0, f"chapter.{result.figure.kind}.joined")
    said = desk.fragment(*names, about=result.figure.id, **facts)
    return said[:1].upper() + said[1:]


def _many(word: str) -> str:
    return word if word.endswith("s") else f"{word}s"
