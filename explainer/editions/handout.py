"""The handout: a poster on one side, for a noticeboard; a second side to take along, if wanted.

Everything it says was said by stage 4; here it is set, and fitted by the table of cuts below.
"""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass, replace
from typing import Any

from markupsafe import Markup

from explainer.charts import fonts, svg
from explainer.charts.fonts import face_css
from explainer.charts.kinds import draw
from explainer.charts.over_use import OWN, POSTER
from explainer.charts.style import SMALL, Canvas
from explainer.charts.verdict_marks import marks_css
from explainer.claims.verdict import Judgement
from explainer.editions.fit import LARGE, ROOMY, SIZES, Draft, drafts, fitted, sizes_of, warning
from explainer.editions.handout_cuts import BACK, FRONT
from explainer.editions.own_words import ON_A_SHEET, own_templates
from explainer.editions.pdf import lay_out
from explainer.editions.qr import qr_code
from explainer.editions.templates import environment, safe_source, template_faults
from explainer.errors import Problem, StudyError
from explainer.study.description.study import Settings
from explainer.study.model import Study
from explainer.words.glossary.entries import Glossary
from explainer.words.glossary.linker import TermLinker
from explainer.words.phrases.given import Concealed
from explainer.words.sheets.handout import HandoutWords, say_handout

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

    def html(front: Draft[HandoutWords] | None, back: Draft[HandoutWords] | None = None) -> str:
        draft = front or back
        assert draft is not None
        text, size = answer_set(draft.content.poster.answers, settings.paper, draft.roomy)
        share = LOWEST if draft.left_out else SHARES.get(draft.size, LOWEST)
        if share not in figures:
            figures[share] = figure_image(judgement, words, share)
        shared = {
            "figure": figures[share], "answer": text, "answer_size": size,
            "front": front is not None, "back": back and back.content,
            "back_size": back.size if back else 0,
            "linker": Concealed(TermLinker(linker_for, lambda entry: None)),
        }  # fmt: skip
        return sheet_html("handout", study, draft, **shared)

    # Each side by itself, so that much to say on one takes nothing from the other.
    front = fitted(drafts(words, FRONT, sizes_of(settings)), html, 1)
    back = None
    if settings.sheet_sides == 2 and front is not None:
        tries = drafts(words, BACK, _back_sizes(settings))
        back = fitted(tries, lambda draft: html(None, draft), 1)
    if front is None or (back is None and settings.sheet_sides == 2):
        raise StudyError(too_long(study, "handout"))
    pdf = front[1] if back is None else lay_out(html(front[0], back[0])).pdf()
    cuts = [*front[0].left_out, *(back[0].left_out if back else ())]
    sides = settings.sheet_sides
    return SheetMade(pdf, tuple(warning(study, "handout", sides, cut) for cut in cuts))


def _back_sizes(settings: Settings) -> tuple[float, ...]:
    """The back is read in the hand: large type is for large print alone."""
    return LARGE if settings.is_large_print else tuple(s for s in SIZES if s < ROOMY)


def answer_set(answers: tuple[str, ...], paper: str, roomy: bool) -> tuple[str, float]:
    """The fullest answer that takes at most three lines, and the largest size it takes them at.

    Never below 36 points.  Where not even the shortest fits, it is set at 36 all the same.
    """
    room = WIDTHS[paper] - MARGIN
    for text in answers:
        for size in ANSWER if roomy else ANSWER[-1:]:
            if len(fonts.wrap(fonts.typeset(text), size, "sans-bold", room)) <= LINES:
                return text, size
    return answers[-1], ANSWER[-1]


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
    sheet = Canvas(POSTER, wide, wide * share * TALLER.get(kind, 1.0), 4, 5)
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
