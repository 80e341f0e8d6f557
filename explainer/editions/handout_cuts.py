"""What goes first where a side of the handout is too small: a table of cuts for each side.

The author's own texts are cut short first; sentences about findings never are, since half of one
says more than the whole.  The answer, the cautions, the code and the notice always stay.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import TypeVar

from explainer.editions.fit import LONG, SHORTEST, Cuts, Trim, clipped, corrections
from explainer.words.sheets.handout import HandoutWords

T = TypeVar("T")
#: The length of a text that had to be cut for a third time.
TIGHT = 80
_Cutting = Iterator[tuple[HandoutWords, Trim]]


def _put(items: tuple[T, ...], at: int, item: T) -> tuple[T, ...]:
    return (*items[:at], item, *items[at + 1 :])


# The front ------------------------------------------------------------------------------------

def _head_short(say: HandoutWords, most: int = LONG) -> _Cutting:
    if len(say.title) > most:
        say = replace(say, title=clipped(say.title, most))
        yield say, Trim("the end of the title", ("title",))
    if len(say.question) > most:
        say = replace(say, question=clipped(say.question, most))
        yield say, Trim("the end of the question", ("question",))
    for i, text in enumerate(say.advice_md[:1]):
        if len(text) > most:
            say = replace(say, advice_md=_put(say.advice_md, i, clipped(text, most)))
            yield say, Trim("the end of what to do", ("advice", i))


def _rows(say: HandoutWords, keep: int | None) -> _Cutting:
    """Rows from the end; those that the question turns on only where ``keep`` says so."""
    least = say.poster.asked if keep is None else keep
    while len(say.poster.rows) > least:
        lost = say.poster.rows[-1]
        poster = replace(say.poster, rows=say.poster.rows[:-1])
        say = replace(say, poster=poster)
        yield say, Trim(f"the claim `{lost.claim}`", ("claims",))


def _plainly_short(say: HandoutWords, most: int = SHORTEST) -> _Cutting:
    for i, row in enumerate(say.poster.rows):
        if len(row.plainly) > most:
            rows = _put(say.poster.rows, i, replace(row, plainly=clipped(row.plainly, most)))
            say = replace(say, poster=replace(say.poster, rows=rows))
            yield say, Trim(f"the end of the claim `{row.claim}` in plain words", ("claims",))


def _figure(say: HandoutWords) -> _Cutting:
    if say.figure:
        yield (
            replace(say, figure="", figure_words=None),
            Trim(f"the figure `{say.figure}`", ("figures",)),
        )


def _do(say: HandoutWords) -> _Cutting:
    if say.advice_md:
        yield (
            replace(say, advice_md=()),
            Trim(f"the advice “{clipped(say.advice_md[0], 80)}”", ("advice", 0)),
        )


#: First to go at the top.
FRONT: tuple[Cuts[HandoutWords], ...] = (
    _head_short,
    partial(corrections, keep=1),
    partial(_rows, keep=None),
    _plainly_short,
    partial(_head_short, most=SHORTEST),
    _figure,
    partial(corrections, keep=0),
    partial(_rows, keep=0),
    partial(_head_short, most=TIGHT),
    _do,
)


# The back -------------------------------------------------------------------------------------

def _texts_short(say: HandoutWords, most: int = LONG) -> _Cutting:
    """The author's own texts cut short; of a question that shows that it is, the end."""
    for i, text in enumerate(say.advice_md):
        if i and len(text) > most:
            say = replace(say, advice_md=_put(say.advice_md, i, clipped(text, most)))
            yield say, Trim("the end of what to do", ("advice", i))
    for i, asked in enumerate(say.questions):
        short = replace(asked, ask=clipped(asked.ask, most),
                        settled_by=clipped(asked.settled_by, most))  # fmt: skip
        if short != asked:
            say = replace(say, questions=_put(say.questions, i, short))
            yield say, Trim(f"the end of the question “{clipped(asked.ask, 60)}”", ("questions", i))
    for i, thing in enumerate(say.things):
        if len(thing.plainly) > most:
            short_one = replace(thing, plainly=clipped(thing.plainly, most))
            say = replace(say, things=_put(say.things, i, short_one))
            yield say, Trim(f"the end of the claim `{thing.claim}` in plain words", ("claims",))
    if len(say.rule) > most:
        yield replace(say, rule=clipped(say.rule, most)), Trim("the end of the rule", ("rule",))


def _walk(say: HandoutWords) -> _Cutting:
    if say.walk:
        yield replace(say, walk=()), Trim(f"the walk along the figure `{say.figure}`", ("figures",))


def _asides(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.asides) > keep:
        lost = say.asides[-1]
        say = replace(say, asides=say.asides[:-1])
        yield say, Trim(f"the {lost.kind} “{clipped(lost.said_md, 60)}”")


def _terms_short(say: HandoutWords) -> _Cutting:
    if any(t.short != t.explained for t in say.terms):
        terms = tuple(replace(t, explained=t.short) for t in say.terms)
        yield replace(say, terms=terms), Trim("all but the first sentence on each word explained")


def _terms(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.terms) > keep:
        lost = say.terms[-1]
        say = replace(say, terms=say.terms[:-1])
        yield say, Trim(f"the word `{lost.term}`")


def _worked_out(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.worked_out) > keep:
        say = replace(say, worked_out=say.worked_out[:-1])
        yield say, Trim("part of how it was worked out")


def _settled_by(say: HandoutWords) -> _Cutting:
    if any(q.settled_by for q in say.questions):
        bare = tuple(replace(q, settled_by="") for q in say.questions)
        yield replace(say, questions=bare), Trim("what would settle the open questions")


def _questions(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.questions) > keep:
        lost, i = say.questions[-1], len(say.questions) - 1
        say = replace(say, questions=say.questions[:-1])
        yield say, Trim(f"the question “{clipped(lost.ask, 80)}”", ("questions", i))


def _advice(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.advice_md) > keep:
        lost, i = say.advice_md[-1], len(say.advice_md) - 1
        say = replace(say, advice_md=say.advice_md[:-1])
        yield say, Trim(f"the advice “{clipped(lost, 80)}”", ("advice", i))


def _things_brief(say: HandoutWords) -> _Cutting:
    for i in reversed(range(len(say.things))):
        thing = say.things[i]
        if len(thing.brief) < len(thing.says):
            say = replace(say, things=_put(say.things, i, replace(thing, says=thing.brief)))
            yield say, Trim(f"all but one sentence on the claim `{thing.claim}`", ("claims",))


def _things(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.things) > keep:
        lost = say.things[-1]
        say = replace(say, things=say.things[:-1])
        yield say, Trim(f"the claim `{lost.claim}`", ("claims",))


#: First to go at the top.  What was answered and where it comes from always stay.
BACK: tuple[Cuts[HandoutWords], ...] = (
    _texts_short,
    _terms_short,
    _settled_by,
    partial(_worked_out, keep=2),
    partial(_terms, keep=3),
    _walk,
    partial(_asides, keep=3),
    partial(_questions, keep=3),
    partial(_advice, keep=4),
    partial(_asides, keep=2),
    _things_brief,
    partial(_terms, keep=0),
    partial(_asides, keep=0),
    partial(_questions, keep=1),
    partial(_advice, keep=2),
    partial(_worked_out, keep=0),
    partial(_texts_short, most=SHORTEST),
    partial(_advice, keep=1),
    partial(_questions, keep=0),
    partial(_things, keep=0),
)
