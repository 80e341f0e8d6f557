"""The page: sections in the order a reader needs them, one self-contained HTML file.

Everything is inside the file: style, type, drawings.  A content security policy names the one
style and the one script by their hashes and allows nothing else, so a page cannot call out
even if a study tried to make it.
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any, Literal

import segno
from jinja2 import Environment
from markupsafe import Markup

from explainer.charts.fonts import face_css
from explainer.charts.style import PALETTE
from explainer.charts.svg import looks, looks_css, theme_css, with_looks
from explainer.editions.article import Article, ClaimView, NumberTable
from explainer.editions.own_words import own_templates, said_whose
from explainer.editions.policy import policy
from explainer.editions.templates import environment, safe_source, template_faults
from explainer.words.glossary.entries import Glossary
from explainer.words.glossary.linker import TermLinker
from explainer.words.phrases.sandbox import Concealed

# The code that leads from paper to a page (QR, ISO/IEC 18004), drawn by segno.

#: Modules of white around a code (ISO/IEC 18004, 6.3.8).
QUIET = 4


@dataclass(frozen=True)
class Code:
    """A code as an SVG in a data: URL, with its quiet zone, and how large that is to be set."""

    image: str
    side: float
    """Side in millimetres, quiet zone included."""
    quiet: float
    """Width of the quiet zone in millimetres."""


def qr_code(address: str, side: float) -> Code:
    """``address`` as a code whose dark square is ``side`` millimetres wide.

    Level M keeps it readable with 15% of it worn or smudged; where a higher level needs no more
    modules, it is taken.
    """
    out = BytesIO()
    code = segno.make_qr(address, error="m", boost_error=True)
    code.save(out, kind="svg", border=QUIET, light="#fff", xmldecl=False, svgns=True, nl=False)
    modules = code.symbol_size(border=0)[0]
    quiet = QUIET * side / modules
    image = "data:image/svg+xml;base64," + b64encode(out.getvalue()).decode("ascii")
    return Code(image, round(side + 2 * quiet, 2), round(quiet, 2))


# What a page says of itself to machines, in schema.org's words: an article about a dataset.
# Vocabulary: schema.org Article, Report, Dataset, Claim and ClaimReview. A verdict is given as
# its label only: a number on some scale would claim more than the label does.

REPORT = "#report"
"""What the reviews call the report by."""


def linked_data(article: Article) -> str:
    """JSON-LD fit to stand inside a ``<script type="application/ld+json">``.

    Addresses are absolute where the site has a base address, else relative to the page.
    """
    said = _known({
        "@context": "https://schema.org",
        "@type": "Article",
        "headline": article.title,
        "description": article.description,
        "abstract": " ".join(article.short),
        "inLanguage": article.lang,
        "url": _address(article),
        "datePublished": article.report.published if article.report else "",
        "dateModified": article.updated,
        "isAccessibleForFree": True,
        "publisher": {"@type": "Organization", "name": article.site_title},
        "about": _dataset(article),
        "isBasedOn": _report(article),
        "review": [_review(article, c) for c in article.claims if c.of_report],
    })  # fmt: skip
    # No "<" at all: whatever a study says, it cannot end the element.
    return json.dumps(said, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _dataset(article: Article) -> dict[str, Any]:
    """The data beside the page; made-up data says so here, too."""
    about = " ".join(text for text in (article.tested, article.disclaimer) if text)
    return _known({
        "@type": "Dataset",
        "name": f"Data behind: {article.title}",
        "description": about,
        "distribution": [
            {"@type": "DataDownload", "contentUrl": _address(article, file.path),
             "encodingFormat": "text/csv"}
            for file in article.downloads
            if file.path.endswith(".csv")
        ],
    })  # fmt: skip


def _report(article: Article) -> dict[str, Any]:
    report = article.report
    if report is None:
        return {}
    publisher = {"@type": "Organization", "name": report.publisher} if report.publisher else {}
    return _known({
        "@type": "Report",
        "@id": REPORT,
        "name": report.title,
        "publisher": publisher,
        "datePublished": report.published,
        "url": report.link,
    })  # fmt: skip


def _review(article: Article, claim: ClaimView) -> dict[str, Any]:
    """One claim of the report and what its data say about it."""
    return _known({
        "@type": "ClaimReview",
        "url": _address(article, f"#claim-{claim.id}"),
        "claimReviewed": claim.report_says,
        "reviewRating": {"@type": "Rating", "alternateName": claim.words.label},
        "itemReviewed": {"@type": "Claim", "appearance": {"@id": REPORT}},
    })  # fmt: skip


def _address(article: Article, place: str = "") -> str:
    return f"{article.address}{place}" if article.address else place


def _known(said: dict[str, Any]) -> dict[str, Any]:
    """Without what is not known."""
    return {name: value for name, value in said.items() if value not in ("", {}, [])}


Medium = Literal["screen", "print"]


@dataclass(frozen=True)
class Section:
    """A part of the page; shown where ``present`` says there is something to show."""

    id: str
    heading: str
    short: str
    """Its name in the contents, which have to fit a phone."""
    present: Callable[[Article], bool] = lambda article: True
    media: tuple[Medium, ...] = ("screen", "print")
    folded: bool = False
    """Whether it opens only when asked for: the third rung of the ladder."""
    annex: bool = False
    """Whether it stands in the annex on paper, behind all the rest, which may be left out."""

    @property
    def template(self) -> str:
        return f"sections/{self.id}.html.j2"


#: The page below its first screen, top to bottom: what a minute holds, then everything, folded.
SECTIONS: tuple[Section, ...] = (
    Section("claims", "Claim by claim", "Claims", lambda a: bool(a.claims)),
    Section("reasons", "The rule and the reasons for it", "Rule", lambda a: a.rule is not None),
    Section("advice", "What to do with this", "What to do", lambda a: bool(a.advice)),
    Section("questions", "What this study leaves open", "Open", lambda a: bool(a.questions)),
    Section("author", "A word to end with", "Last words", lambda a: a.author.last),
    Section("short", "To read aloud", "Read aloud", lambda a: bool(a.short), folded=True,
            annex=True),
    Section("figures", "Other figures", "Figures", lambda a: bool(a.loose), folded=True),
    Section("tested", "What was tested", "Tested", folded=True),
    Section("arithmetic", "The report’s own arithmetic", "Arithmetic", lambda a: bool(a.stated),
            folded=True, annex=True),
    Section("method", "How it was worked out", "Method", folded=True, annex=True),
    Section("words", "Words used here", "Words", folded=True, annex=True),
    Section("sources", "Sources and downloads", "Downloads", folded=True, annex=True),
    Section("corrections", "Corrections", "Corrections", folded=True),
    Section("appendix", "The numbers", "Numbers", lambda a: bool(a.figures or a.claims),
            ("print",), annex=True),
)  # fmt: skip


#: Side of the code at the foot of the PDF in millimetres, without its quiet zone.
CODE = 20.0
#: With what follows it, so that no run of spaces is looked through more than once.
_INDENT = re.compile(r"\n\s++(<?)")
_LINES = re.compile(r"\n\s+")
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
#: Filled last: it lists the terms that every other part has used.
WORDS = "words"


@dataclass(frozen=True)
class Rendered:
    """A section as it goes into the page."""

    id: str
    heading: str
    body: Markup
    short: str = ""
    folded: bool = False
    opens_annex: bool = False
    """The first section of the annex."""


def render_page(article: Article, glossary: Glossary, folders: tuple[Path, ...]) -> str:
    """The page as HTML for a browser.  Raises WorkspaceError where a template is faulty."""
    return render(article, glossary, folders, "screen")


def render(article: Article, glossary: Glossary, folders: tuple[Path, ...], medium: Medium) -> str:
    """The page for a screen, or the same for paper: charts as images, folds open."""
    linker = TermLinker(
        glossary, lambda entry: f"#term-{entry.slug}", returns=medium == "screen"
    )
    env = environment(folders)
    shared: dict[str, Any] = {
        "article": article,
        "medium": medium,
        "linker": Concealed(linker),
        "arithmetic": _arithmetic(article),
        "limits": article.limits,
        "numbers": article.numbers,
        "code": qr_code(article.address, CODE) if medium == "print" and article.address else None,
    }
    with template_faults(folders):
        shared["m"] = env.get_template("parts/macros.html.j2").make_module(shared)
        opening = env.get_template("parts/opening.html.j2").render(shared)
        whole = partial(
            env.get_template("page.html.j2").render,
            shared,
            opening=_squeezed(opening),
            sections=_sections(env, shared, linker),
            linked=Markup(linked_data(article)) if medium == "screen" else "",
        )
        return dressed(whole, folders, safe_source(folders, "page.js"), medium)


def dressed(
    whole: Callable[..., str], folders: tuple[Path, ...], script: str, medium: Medium = "screen"
) -> str:
    """A page that ``whole`` renders from css, script and policy, with the letters it needs."""
    text = whole(css="", script="", policy="") if medium == "screen" else ""
    shared = looks(text)  # empty on paper, whose drawings are pictures
    css = style(folders, medium, text) + looks_css(shared)
    if all(line.count("`") % 2 == 0 for line in script.splitlines()):
        script = _LINES.sub("\n", script)  # no text runs on over lines, where spaces would count
    made = whole(css=Markup(css), script=Markup(script), policy=policy(css, script))
    made = said_whose(made, own_templates(folders))
    return with_looks(made, shared) if shared else made


def _sections(env: Environment, shared: dict[str, Any], linker: TermLinker) -> list[Rendered]:
    """The sections with something to show, in the order of the table."""
    article, medium = shared["article"], shared["medium"]
    shown = [s for s in SECTIONS if medium in s.media and s.present(article)]
    if medium == "print":
        shown.sort(key=lambda s: s.annex)
        # Words stay: every part links to them.
        shown = [s for s in shown if article.annex or not s.annex or s.id == WORDS]
    bodies: dict[str, Markup] = {}
    for section in sorted(shown, key=lambda s: s.id == WORDS):
        linker.section()
        body = env.get_template(section.template).render(shared, terms=linker.used)
        bodies[section.id] = _squeezed(body)
    kept = [s for s in shown if bodies[s.id].strip()]
    first = next((s for s in kept if s.annex and medium == "print"), None)
    return [Rendered(s.id, s.heading, bodies[s.id], s.short, s.folded, s is first) for s in kept]


def _squeezed(html: str) -> Markup:
    """Without the templates' indentation, so that a page stays small."""
    return Markup(_INDENT.sub(lambda run: "\n<" if run[1] else run[0], html))


def style(folders: tuple[Path, ...], medium: Medium, text: str | None = None) -> str:
    """All of the CSS of a page that shows ``text``: colours, type, layout, paper."""
    own = "\n".join(
        (
            theme_css() if medium == "screen" else paper_colours(),
            safe_source(folders, "site.css"),
            safe_source(folders, "print.css"),
            safe_source(folders, "paper.css") if medium == "print" else "",
        )
    )
    drawn = "" if text is None else f"{text}{own}"
    return "\n".join((face_css(medium == "screen", text, drawn), _bare(own)))


def _bare(css: str) -> str:
    """Style without its comments and indentation."""
    return _LINES.sub("\n", _COMMENT.sub("", css))


def paper_colours() -> str:
    """The light palette as CSS variables: what ``theme_css`` says, without what only screens do."""
    return ":root{" + "".join(f"--{role}:{light};" for role, (light, _) in PALETTE.items()) + "}"


def _arithmetic(article: Article) -> NumberTable:
    return NumberTable(
        caption="What the report prints against what its data give",
        columns=("What", "Where", "Printed", "Worked out", "So"),
        rows=tuple((s.what, s.where, s.stated, s.recomputed, s.outcome) for s in article.stated),
        numeric=(False, False, True, True, False),
    )
