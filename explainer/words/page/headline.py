"""The answer to the study's question in one line, short enough for the top of a phone.

Where the author gave each claim that it turns on a short name, they are answered one by one
("Smoother: yes."), as on the poster.  Else it is put together from claims, each in words that its
own verdict allows (``headline.CODE`` in the phrase files); where not all fit, those stay that keep
the picture honest: the first claim told, and one that is not backed wherever one is not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import Any

from explainer.claims.kinds import backed_though_small
from explainer.claims.verdict import UNANSWERED, Judgement, Verdict
from explainer.study.model import Table
from explainer.words.facts.study import study_facts
from explainer.words.page.claims import claim_facts
from explainer.words.page.prose import short_name
from explainer.words.page.study import PLACES, counted, to_tell
from explainer.words.phrases.renderer import Teller, sentence
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import tally
from explainer.words.quantity.when import uses
from explainer.words.speakers import of_report

MOST_WORDS = 20
MOST_WEIGHED = 8
"""More claims find no room in so few words, and the choices among them double with each."""
SIZES = (".full", ".own", "")
"""How a short name is answered, fullest first."""
MOST_DESCRIBED = 26
"""Words of what was tested that the first screen has room for."""
_OPEN = ("leans", "cannot-tell", "not-tested")
Facts = dict[str, Any]


def headline(teller: Teller, judgement: Judgement, facts: Mapping[str, Facts]) -> str:
    """At most ``MOST_WORDS`` words that answer the question; ``facts`` by claim id.

    Raises WorkspaceError for a faulty phrase.
    """
    told = asked(judgement, facts)
    named = bool(told) and all(v.claim.briefly for v in told)
    brief = ""
    for size in SIZES if named else ():
        brief = briefly(teller, judgement, told, size)
        if 0 < len(brief.split()) <= MOST_WORDS:
            return brief
    said = {}
    for v in told:
        own = {"name": short_name(v, judgement), "small": backed_though_small(v)}
        said[v.claim.id] = _one(teller, v, {**facts[v.claim.id], **own})
    for chosen in _choices(told, not any(v.claim.answers_question for v in told)):
        parts = [said[v.claim.id] for v in chosen]
        if len(chosen) == 1 and any(v.code != "backed" for v in told) and len(told) > 1:
            # Empty where no word for it is true: then this will not do.
            parts.append(_rest(teller, chosen[0], told, judgement.verdicts))
        line = sentence("; ".join(parts) + ".") if all(parts) else ""
        if line and len(line.split()) <= MOST_WORDS:
            return line
    # A claim in plain words that is short enough stands in for the name that nobody gave.
    brief = brief or briefly(teller, judgement, told)
    return brief if 0 < len(brief.split()) <= MOST_WORDS else _count(teller, judgement)


def briefly(
    teller: Teller, judgement: Judgement, told: Sequence[Verdict], size: str = ""
) -> str:
    """Each claim's short name with its verdict; empty where a claim has none.

    What is open is asked ("Hooks less? This test can't tell."): a name alone on its line reads as
    a yes.  ``size``: ``.short`` for the fewest words that are still true, ``.full`` for those that
    leave least to misread, ``.own`` with the number that answers it
    alone.  Raises WorkspaceError for a faulty phrase.
    """
    heads = [short_name(v, judgement) for v in told]
    if not told or not all(heads):
        return ""
    return " ".join(
        f"{head.rstrip('?')}? {word[:1].upper()}{word[1:]}." if v.code in _OPEN
        else f"{head}: {word}."
        for v, head, word in zip(
            told, heads, (_word(teller, judgement, v, size) for v in told), strict=True
        )
    )  # fmt: skip


def _word(teller: Teller, judgement: Judgement, verdict: Verdict, size: str) -> str:
    """What stands behind a claim's short name; of some kinds with the number that answers it."""
    code, kind = verdict.code, verdict.test.kind
    known = {**claim_facts(teller, judgement, verdict), "small": backed_though_small(verdict),
             "together": "confounded" in verdict.reasons}  # fmt: skip
    own = [f"poster.word.{code}.{kind}"] if size in (".full", ".own") else []
    names = [*own, f"poster.word.{code}{size}", f"poster.word.{code}"]
    return teller.fragment([n for n in names if teller.has(n)], known, about="answer")


def scope(teller: Teller, judgement: Judgement, asked: Sequence[Verdict]) -> str:
    """Going by how many; where the claims rest on different numbers, the least and the most."""
    # Below it stand the verdicts on all claims, unless the author marks those that answer.
    marked = any(getattr(v.claim, "answers_question", False) for v in asked)
    told = asked if marked else judgement.verdicts
    known = counted(judgement.study, study_facts(judgement), told)
    return teller.tell(["poster.scope"], known, about="poster")


def scope_of_page(teller: Teller, judgement: Judgement, asked: Sequence[Verdict]) -> str:
    """The same with what was tested, and how far: the first screen has room for a line more."""
    study = judgement.study
    marked = any(getattr(v.claim, "answers_question", False) for v in asked)
    every = asked if marked else judgement.verdicts
    told = _worked_out(every)
    ends = [_end(v, study.tables.get(v.table)) for v in told or judgement.verdicts]
    far = sorted({end for end in ends if end})
    known = counted(study, study_facts(judgement), every)
    fits = len(known["described"].split()) <= MOST_DESCRIBED
    known = {**known, "described": known["described"] if fits else "",
             "far": far[0] if len(far) == 1 else "", "far_all": all(ends)}  # fmt: skip
    return teller.tell(["page.scope"], known, about="scope")


def _worked_out(told: Sequence[Verdict]) -> list[Verdict]:
    """What nobody put to the test goes by nobody."""
    return [v for v in told if v.code != "not-tested"]


def _end(verdict: Verdict, table: Table | None) -> str:
    """How far the items of a claim were followed: ``60 games``; empty where they were not."""
    if table is None:
        return ""
    to = getattr(verdict.test, "to", None)
    if isinstance(to, tuple):
        return str(uses(table, to[1], window=True))
    points = table.checkpoints
    return str(uses(table, points[-1])) if len(points) > 1 and points[0] == 0 else ""


def asked(judgement: Judgement, facts: Mapping[str, Facts]) -> list[Verdict]:
    """The claims that the question turns on, where the author marks them; else those told first."""
    marked = [v for v in judgement.verdicts if getattr(v.claim, "answers_question", False)]
    return marked or to_tell(judgement, facts)


def _choices(told: Sequence[Verdict], free: bool = False) -> Iterator[tuple[Verdict, ...]]:
    """Which claims to tell, best first: all, then fewer; never only what is backed if not all is,
    nor several that say nothing if one says something.

    The first claim stays, and among choices of one size the one of more kinds of verdict.  Where
    the question turns on none of them (``free``) and the first is open, one that is answered may
    stand alone before it does: what was found is not to be looked for.
    """
    doubts = [v for v in told if v.code != "backed"]
    answered = any(v.code not in UNANSWERED for v in told)
    told = told[:MOST_WEIGHED]
    if doubts and not any(v in told for v in doubts):
        told = [*told[:-1], doubts[0]]
    for size in range(len(told), 0, -1):
        if size == 1 and free and told[0].code in UNANSWERED:
            found = [v for v in told if v.code not in UNANSWERED]
            yield from ((v,) for v in sorted(found, key=lambda v: v.code != "against"))
        of_size = sorted((c for c in combinations(told, size) if c[0] is told[0]),
                         key=lambda c: -len({v.code for v in c}))  # fmt: skip
        for chosen in of_size:
            # The first alone is told with what becomes of the rest.
            mute = answered and all(v.code in UNANSWERED for v in chosen)
            weighed = not doubts or any(v.code != "backed" for v in chosen)
            if size == 1 or (weighed and not mute):
                yield chosen


def _rest(
    teller: Teller, alone: Verdict, told: Sequence[Verdict], every: Sequence[Verdict]
) -> str:
    """What becomes of the others, where one is told ``alone``; empty where no word is true.

    That none is settled is said of ``every`` claim: the marks below count them all.
    """
    first_open = alone.code in _OPEN
    others = [v.code in _OPEN for v in (every if first_open else told) if v is not alone]
    # One that stands before an open first claim leaves that open, whatever becomes of the rest.
    left = all(others) if alone is told[0] else any(others)
    rest = [v.code in _OPEN for v in every if v is not alone]
    known = {"open": bool(others) and left, "answered": not all(others), "first_open": first_open,
             "n_open": sum(rest), "open_told": cardinal(sum(rest)),
             "n_answered": len(rest) - sum(rest),
             "answered_told": cardinal(len(rest) - sum(rest))}  # fmt: skip
    if not known["open"] and not (known["answered"] and known["first_open"]):
        return ""
    return teller.fragment(["headline.rest"], known, about="headline")


def _one(teller: Teller, verdict: Verdict, known: Facts) -> str:
    """One claim in a few words; empty where none of them is true."""
    names = [f"headline.{verdict.code}.{reason}" for reason in verdict.reasons]
    names = [n for n in (*names, f"headline.{verdict.code}") if teller.may(known, n)]
    if not names or not known["clause"] or verdict.test.kind == "not-testable":
        return ""
    return teller.fragment(names, known, about=verdict.claim.id)


def _count(teller: Teller, judgement: Judgement) -> str:
    """How many of the report's claims got which verdict."""
    own = of_report(judgement.verdicts) or judgement.verdicts
    counted = Counter(PLACES[v.code] for v in own)
    known = {place: counted[place] for place in PLACES.values()}
    others = len(own) < len(judgement.verdicts)
    known_all = {**known, "count": tally(len(own), "claim"), "others": others}
    name = "headline.count" if judgement.verdicts else "headline.none"
    return teller.tell([name], known_all, about="headline")
