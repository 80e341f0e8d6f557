"""The rule card: for a coach whose players ask why a rule changed, and whether it meets them.

On one page if it fits there at 11 points or more, else on two sides: the talk on the front, your
ball on the back.  In large print it may take six.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from explainer.claims.verdict import Judgement
from explainer.editions.fit import (
    LONG,
    SHORTEST,
    Cuts,
    Draft,
    Trim,
    clipped,
    corrections,
    drafts,
    fitted,
    sizes_of,
    warning,
)
from explainer.editions.handout import SheetMade, sheet_html, too_long
from explainer.editions.press import press
from explainer.errors import StudyError
from explainer.words.sheets.rule_card import RuleWords, say_rule


def render_rule_card(judgement: Judgement) -> SheetMade | None:
    """The card as PDF/UA-1, at most two sides (large print six); None without a rule.

    Raises WorkspaceError for a faulty template and StudyError where not even the rule fits.
    """
    words, study = say_rule(judgement), judgement.study
    if words is None:
        return None

    def html(draft: Draft[RuleWords], sides: int) -> str:
        return sheet_html("rule-card", study, draft, sides=sides)

    settings = study.workspace.settings
    sizes, sides = sizes_of(settings), SIDES * (3 if settings.is_large_print else 1)
    whole = [Draft(words, size) for size in sizes]
    made = None
    with press(study.workspace.template_folders) as lay_out:
        if lay_out(html(whole[-1], 1)).pages == 1:
            made = fitted(whole, partial(html, sides=1), 1, lay_out)
        cut = drafts(words, CUTS, sizes)
        made = made or fitted(cut, partial(html, sides=sides), sides, lay_out)
    if made is None:
        raise StudyError(too_long(study, "rule card"))
    draft, pdf = made
    cuts = (warning(study, "rule card", sides, cut) for cut in draft.left_out)
    return SheetMade(pdf, tuple(cuts))


#: Sides of a card at most.
SIDES = 2

# What goes first -----------------------------------------------------------------------------

_Cutting = Iterator[tuple[RuleWords, Trim]]


def _long_texts(say: RuleWords, most: int = LONG) -> _Cutting:
    """The author's own texts cut short; sentences about findings never are."""
    if len(say.change) > most:
        say = replace(say, change=clipped(say.change, most))
        yield say, Trim("the end of what changes", ("rule", "change"))
    facts = tuple((name, clipped(value, most)) for name, value in say.facts)
    if facts != say.facts:
        say = replace(say, facts=facts)
        yield say, Trim("the end of who is affected or was tested", ("rule", "affects"))
    reading = tuple(clipped(text, most) for text in say.reading)
    if reading != say.reading:
        say = replace(say, reading=reading)
        yield say, Trim("the end of how to take a reading", ("rule", "reading"))
    links = tuple(
        replace(k, plainly=clipped(k.plainly, most), therefore=clipped(k.therefore, most))
        for k in say.links
    )
    weakest = clipped(say.weakest, most)
    if (links, weakest) != (say.links, say.weakest):
        say = replace(say, links=links, weakest=weakest)
        yield say, Trim("the ends of the longest reasons", ("rule", "reasons"))


def _findings(say: RuleWords, short: bool) -> _Cutting:
    """Each finding in one breath, or left out; the last first, the weakest kept in one breath."""
    for i in reversed(range(len(say.links))):
        link = say.links[i]
        says = link.brief if short or link.weakest else ""
        if len(says) < len(link.says):
            less = replace(link, says=says)
            say = replace(say, links=(*say.links[:i], less, *say.links[i + 1 :]))
            what = "all but one sentence of " if says else ""
            yield say, Trim(f"{what}what the data say on `{link.claim}`", ("rule", "reasons", i))


def _links(say: RuleWords, keep: int) -> _Cutting:
    """Reasons from the end of the chain, never the weakest."""
    total = len(say.fewer)  # as many reasons as were given
    while len(say.links) > keep:
        lost = next(k for k in reversed(say.links) if not k.weakest)
        say = replace(say, links=tuple(k for k in say.links if k is not lost))
        say = replace(say, lead=_with(say, total - len(say.links)))
        yield say, Trim(f"the reason `{lost.claim}`", ("rule", "reasons"))


def _with(say: RuleWords, lost: int) -> str:
    """The lead, with how many reasons had to stay off."""
    before = f" {say.fewer[lost - 1]}" if lost > 1 else ""
    return f"{say.lead.removesuffix(before)} {say.fewer[lost]}"


def _settle(say: RuleWords) -> _Cutting:
    if say.settle:
        yield (
            replace(say, settle=""),
            Trim("what would settle the weakest reason", ("rule", "reasons")),
        )


def _operators(say: RuleWords) -> _Cutting:
    if len(say.operators) > 1:
        yield (
            replace(say, operators=say.operators[:1]),
            Trim("how each one that reads differs from all", ("rule",)),
        )


def _not_follows(say: RuleWords) -> _Cutting:
    if say.number:
        say = replace(say, number="")
        yield say, Trim("that no reason names the limit itself", ("rule", "limit"))
    if say.not_follows:
        yield (
            replace(say, not_follows=""),
            Trim("what does not follow if a reason is weak", ("rule", "reasons")),
        )


#: First to go at the top.  The limit's table, the cautions and who decides always stay.
CUTS: tuple[Cuts[RuleWords], ...] = (
    _long_texts,
    partial(corrections, keep=1),
    partial(_findings, short=True),
    _settle,
    _operators,
    partial(_findings, short=False),
    partial(_links, keep=6),
    _not_follows,
    partial(corrections, keep=0),
    partial(_long_texts, most=SHORTEST),
    partial(_links, keep=2),
)
