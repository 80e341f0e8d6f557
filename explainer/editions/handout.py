"""The handout: a poster on one side, for a noticeboard; a second side to take along, if wanted.

Everything it says was said by stage 4; here it is set, and fitted by the table of cuts below.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, TypeVar

from markupsafe import Markup

from explainer.charts import fonts, svg
from explainer.charts.fonts import face_css
from explainer.charts.kinds import draw
from explainer.charts.over_use import OWN
from explainer.charts.style import POSTER, SMALL, Canvas
from explainer.charts.verdict_marks import marks_css
from explainer.claims.verdict import Judgement
from explainer.editions.fit import (
    LARGE,
    LONG,
    ROOMY,
    SHORTEST,
    SIZES,
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
from explainer.editions.own_words import ON_A_SHEET, own_templates
from explainer.editions.page import qr_code
from explainer.editions.press import press
from explainer.editions.templates import environment, safe_source, template_faults
from explainer.errors import Problem, StudyError
from explainer.study.description.study import Settings
from explainer.study.model import Study
from explainer.words.glossary.entries import Glossary
from explainer.words.glossary.linker import TermLinker
from explainer.words.phrases.sandbox import Concealed
from explainer.words.sheets.handout import HandoutWords, say_handout

# What goes first where a side of the handout is too small: a table of cuts for each side.
# The author's own texts are cut short first; sentences about findings never are, since half of
# one says more than the whole. The answer, the cautions, the code and the notice always stay.

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


#: Sizes of the answer in points, largest first, and the most lines it may take.
ANSWER, LINES = (46.0, 42.0, 39.0, 36.0), 3
#: Paper by name: its width in points, and the margins left and right of what is set.
WIDTHS, MARGIN = {"letter": 612.0, "a4": 595.28}, 2 * 42.52
#: How high a figure stands for its width, by the size of type it is tried with: the smaller, the
#: lower; of a smaller one its shapes could not be seen.
SHARES, LOWEST = {15.0: 0.46, 14.0: 0.44, 13.0: 0.42, 12.0: 0.4, 11.5: 0.37}, 0.33
#: Kinds that need more height for their width than others.
TALLER = {"shot-series": 1.35, "gauge": 1.1}
#: The side of a code on the sheet and on the card, in millimetres, without its quiet zone.
CODE = {"handout": 40.0, "rule-card": 26.0}


@dataclass(frozen=True)
class SheetMade:
    """A sheet as a PDF, and what had to stay off it."""

    pdf: bytes
    left_out: tuple[Problem, ...]


def render_handout(judgement: Judgement, glossary: Glossary) -> SheetMade:
    """The sheet as PDF/UA-1: one side, or two where the settings say so; same bytes each time.

    Raises WorkspaceError for a faulty template and StudyError where not even the answer fits.
    """
    words, study = say_handout(judgement, glossary), judgement.study
    settings = study.workspace.settings
    linker_for = Glossary(tuple(e for t in words.terms if (e := glossary.find(t.term))))
    figures: dict[float, str] = {}

    def html(draft: Draft[HandoutWords], back: Draft[HandoutWords] | None = None) -> str:
        answer, size = answer_set(draft.content.poster.answers, settings.paper, draft.roomy)
        share = LOWEST if draft.left_out else SHARES.get(draft.size, LOWEST)
        if share not in figures:
            figures[share] = figure_image(judgement, words, share)
        shared = {
            "figure": figures[share], "answer": answer, "answer_size": size,
            "large": settings.is_large_print,
            "back": back and back.content,
            "back_size": back.size if back else 0,
            "linker": Concealed(TermLinker(linker_for, lambda entry: None)),
        }  # fmt: skip
        return sheet_html("handout", study, draft, **shared)

    # The front by itself, so that much to say on the back takes nothing from it; the back behind
    # it, since its foot is set in the front's size.
    with press(study.workspace.template_folders) as lay_out:
        front = fitted(drafts(words, FRONT, sizes_of(settings)), html, 1, lay_out)
        back = None
        if settings.sheet_sides == 2 and front is not None:
            tries = drafts(words, BACK, _back_sizes(settings))
            back = fitted(tries, partial(html, front[0]), 2, lay_out)
        if front is None or (back is None and settings.sheet_sides == 2):
            raise StudyError(too_long(study, "handout"))
        pdf = (back or front)[1]
    cuts = [*front[0].left_out, *(back[0].left_out if back else ())]
    sides = settings.sheet_sides
    return SheetMade(pdf, tuple(warning(study, "handout", sides, cut) for cut in cuts))


def _back_sizes(settings: Settings) -> tuple[float, ...]:
    """The back is read in the hand: large type is for large print alone."""
    return LARGE if settings.is_large_print else tuple(s for s in SIZES if s < ROOMY)


def answer_set(answers: tuple[str, ...], paper: str, roomy: bool) -> tuple[list[str], float]:
    """The lines of the fullest answer that takes at most three, at the largest size it does so.

    Never below 36 points.  Where not even the shortest fits, it is set at 36 all the same.
    """
    room = WIDTHS[paper] - MARGIN
    for text in answers:
        for size in ANSWER if roomy else ANSWER[-1:]:
            lines = _answer_lines(text, size, room, LINES if roomy else 0)
            if len(lines) <= LINES:
                return lines, size
    return lines, size


def _answer_lines(text: str, size: float, room: float, most: int) -> list[str]:
    """Each part of an answer on lines of its own where that takes no more lines, or at most
    ``most``; else one part after the other."""
    said = fonts.typeset(text)
    running = fonts.wrap(said, size, "sans-bold", room)
    for ends in (r"(?<=[.?]) (?=[A-Z])", r"(?<=\.) (?=[A-Z])"):
        parts = re.split(ends, said)
        apart = [row for part in parts for row in fonts.balanced(part, size, "sans-bold", room)]
        if len(apart) <= max(len(running), most):
            return apart
    return running


def figure_image(judgement: Judgement, words: HandoutWords, share: float = LOWEST) -> str:
    """The one figure on white paper, as a data: URL; empty where there is none.

    Drawn without remarks of its own, which nobody reads from a metre away, and so narrow that
    its smallest letters stand as large on the sheet as the sheet's own smallest.
    """
    if not words.figure or words.figure_words is None:
        return ""
    settings = judgement.study.workspace.settings
    wide = (WIDTHS[settings.paper] - MARGIN) * SMALL / (sizes_of(settings)[-1] + 0.05)
    kind = judgement.figure(words.figure).figure.kind
    # Whose line is whose matters only where the back goes along them one by one.
    named = bool(words.figure_words.walk) and settings.sheet_sides == 2
    sheet = Canvas(POSTER, wide, wide * share * TALLER.get(kind, 1.0), 4, 5, named=named)
    # Nor with each one's own change, which stands beside the lines on the page.
    note = "; ".join(
        part for part in words.figure_words.note.split("; ") if not part.startswith(OWN)
    )
    said = replace(words.figure_words, callouts=(), note=note)
    plate = draw(judgement.figure(words.figure), said, sheet)
    drawn = svg.render(plate, "fig", said.title, said.description, ground=False, white=True)
    return "data:image/svg+xml;base64," + b64encode(drawn.encode()).decode("ascii")


def sheet_html(edition: str, study: Study, draft: Draft[Any], **shared: object) -> str:
    """The HTML of a sheet from its template: type, paper and size inside."""
    folders, settings = study.workspace.template_folders, study.workspace.settings
    base = (settings.base_address or "").rstrip("/")
    address = f"{base}/{study.id}/" if base else ""
    css = "\n".join((
        face_css(False), safe_source(folders, "sheet.css"), marks_css(),
        safe_source(folders, f"{edition}.css"),
        _measures(settings, draft.size, bool(own_templates(folders))),
    ))  # fmt: skip
    with template_faults(folders):
        return environment(folders).get_template(f"{edition}.html.j2").render(
            say=draft.content, css=Markup(css), medium="print", lang="en-US", address=address,
            code=qr_code(address, CODE[edition]) if address else None, **shared,
        )  # fmt: skip


def _measures(settings: Settings, size: float, own: bool) -> str:
    """The CSS of one draft: paper, size of type, the smallest letters there are, and at the foot
    of the paper whose words these are, where they are not ours."""
    small = sizes_of(settings)[-1]
    foot = f"font-size:{small}pt"
    whose = f'@top-center{{content:"{ON_A_SHEET}";{foot}}}' if own else ""
    return (
        f"@page{{size:{settings.paper};@bottom-left{{{foot}}}@bottom-right{{{foot}}}{whose}}}"
        f":root{{--small:{small}pt}}html{{font-size:{size}pt}}"
    )


def too_long(study: Study, edition: str) -> Problem:
    return Problem(
        "study.yaml", found=f"texts too long for a {edition} even without all the rest",
        expected="a question and claims that fit a sheet of paper", happens="nothing is published",
    )  # fmt: skip
