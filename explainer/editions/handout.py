"""The handout: one sheet, two sides, for a noticeboard and a bag.

Everything it says was said by stage 4; here it is set, and fitted by the table of cuts below.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from io import BytesIO
from typing import Any, TypeVar

import segno
from markupsafe import Markup

from explainer.charts import svg
from explainer.charts.fonts import face_css
from explainer.charts.kinds import draw
from explainer.charts.style import Canvas
from explainer.claims.verdict import Judgement
from explainer.editions.fit import (
    LONG,
    SHORTEST,
    Cuts,
    Draft,
    Trim,
    clipped,
    drafts,
    fitted,
    warning,
)
from explainer.editions.templates import environment, safe_source, template_faults
from explainer.errors import Problem, StudyError
from explainer.study.model import Study
from explainer.words.glossary.entries import Glossary
from explainer.words.glossary.linker import TermLinker
from explainer.words.phrases.given import Concealed
from explainer.words.sheets.handout import HandoutWords, say_handout

T = TypeVar("T")

SIDES = 2
#: Narrow, so that its smallest letters stand above 11 points across a page.
SHEET = Canvas("handout", 384, 208, 4, 5)


@dataclass(frozen=True)
class SheetMade:
    """A sheet as a PDF, and what had to stay off it."""

    pdf: bytes
    left_out: tuple[Problem, ...]


def render_handout(judgement: Judgement, glossary: Glossary) -> SheetMade:
    """The sheet as PDF/UA-1, never more than two sides; same judgement, same bytes.

    Raises WorkspaceError for a faulty template and StudyError where not even the answer fits.
    """
    words, study = say_handout(judgement, glossary), judgement.study
    linker_for = Glossary(tuple(e for t in words.terms if (e := glossary.find(t.term))))
    figure = figure_image(judgement, words)

    def html(draft: Draft[HandoutWords]) -> str:
        shared = {"figure": figure, "linker": Concealed(TermLinker(linker_for, lambda entry: None))}
        return sheet_html("handout", study, draft, **shared)

    made = fitted(drafts(words, CUTS), html, SIDES)
    if made is None:
        raise StudyError(too_long(study, "handout"))
    draft, pdf = made
    why = "the key claim `{}`: it tells three things"
    cuts = [Trim(why.format(claim), ("claims",)) for claim in words.not_told]
    cuts += draft.left_out
    return SheetMade(pdf, tuple(warning(study, "handout", SIDES, cut) for cut in cuts))


def figure_image(judgement: Judgement, words: HandoutWords) -> str:
    """The one figure on white paper, as a data: URL; empty where there is none."""
    if not words.figure or words.figure_words is None:
        return ""
    said = words.figure_words
    plate = draw(judgement.figure(words.figure), said, SHEET)
    drawn = svg.render(plate, "fig", said.title, said.description, ground=False, white=True)
    return "data:image/svg+xml;base64," + b64encode(drawn.encode()).decode("ascii")


def sheet_html(edition: str, study: Study, draft: Draft[Any], **shared: object) -> str:
    """The HTML of a sheet from its template: type, paper and size inside."""
    folders, settings = study.workspace.template_folders, study.workspace.settings
    base = (settings.base_address or "").rstrip("/")
    address = f"{base}/{study.id}/" if base else ""
    css = "\n".join((
        face_css(False), safe_source(folders, "sheet.css"), safe_source(folders, f"{edition}.css"),
        f"@page{{size:{settings.paper}}}html{{font-size:{draft.size}pt}}",
    ))  # fmt: skip
    with template_faults(folders):
        return environment(folders).get_template(f"{edition}.html.j2").render(
            say=draft.content, css=Markup(css), medium="print", lang="en-US", address=address,
            qr=qr_image(address) if address else "", **shared,
        )  # fmt: skip


def too_long(study: Study, edition: str) -> Problem:
    return Problem(
        "study.yaml", found=f"texts too long for a {edition} even without all the rest",
        expected="a question and claims that fit a sheet of paper", happens="nothing is published",
    )  # fmt: skip


# What goes first -----------------------------------------------------------------------------

_Cutting = Iterator[tuple[HandoutWords, Trim]]


def _long_texts(say: HandoutWords, most: int = LONG) -> _Cutting:
    """The author's own texts cut short; sentences about findings never are: they would say more."""
    if len(say.title) > most:
        say = replace(say, title=clipped(say.title, most))
        yield say, Trim("the end of the title", ("title",))
    if len(say.question) > most:
        say = replace(say, question=clipped(say.question, most))
        yield say, Trim("the end of the question", ("question",))
    for i, text in enumerate(say.advice_md):
        if len(text) > most:
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


def _terms_short(say: HandoutWords) -> _Cutting:
    if any(t.short != t.explained for t in say.terms):
        terms = tuple(replace(t, explained=t.short) for t in say.terms)
        yield replace(say, terms=terms), Trim("all but the first sentence on each word explained")


def _terms(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.terms) > keep:
        lost = say.terms[-1]
        say = replace(say, terms=say.terms[:-1])
        yield say, Trim(f"the word `{lost.term}`")


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


def _tested(words: HandoutWords) -> _Cutting:
    if words.tested:
        yield replace(words, tested=""), Trim("who was tested", ("tested", "described"))


def _figure_words(say: HandoutWords) -> _Cutting:
    if say.figure_words and say.figure_words.how_to_read:
        bare = replace(say.figure_words, how_to_read="")
        yield replace(say, figure_words=bare), Trim("how to read the figure", ("figures",))


def _figure(say: HandoutWords) -> _Cutting:
    if say.figure:
        yield (
            replace(say, figure="", figure_words=None),
            Trim(f"the figure `{say.figure}`", ("figures",)),
        )


def _things(say: HandoutWords, keep: int) -> _Cutting:
    while len(say.things) > keep:
        lost = say.things[-1]
        say = replace(say, things=say.things[:-1])
        yield say, Trim(f"the claim `{lost.claim}`", ("claims",))


def _put(items: tuple[T, ...], at: int, item: T) -> tuple[T, ...]:
    return (*items[:at], item, *items[at + 1 :])


#: First to go at the top.  The answer, the cautions, the source and the notice always stay.
CUTS: tuple[Cuts[HandoutWords], ...] = (
    _long_texts,
    _terms_short,
    _settled_by,
    _tested,
    partial(_terms, keep=3),
    partial(_questions, keep=3),
    partial(_advice, keep=4),
    _figure_words,
    _things_brief,
    partial(_terms, keep=0),
    partial(_questions, keep=1),
    partial(_advice, keep=2),
    partial(_long_texts, most=SHORTEST),
    _figure,
    partial(_advice, keep=1),
    partial(_things, keep=0),
)


# --- The code that leads from paper to the page (ISO/IEC 18004), drawn by segno

def qr_image(address: str) -> str:
    """``address`` as a QR code: an SVG in a data: URL, with its quiet zone of four modules.

    Level M keeps it readable with 15% of it worn or smudged.
    """
    out = BytesIO()
    code = segno.make_qr(address, error="m", boost_error=False)
    code.save(out, kind="svg", border=4, light="#fff", xmldecl=False, svgns=True, nl=False)
    return "data:image/svg+xml;base64," + b64encode(out.getvalue()).decode("ascii")
