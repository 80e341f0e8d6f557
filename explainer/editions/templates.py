"""Templates: ours, or a workspace's own where it has a file of the same name.

Sandboxed, so that a stranger's workspace can change how a page looks and nothing else; a name
that does not exist is an error with its place, never an empty spot on a page.
"""

from __future__ import annotations

import os
import re
from base64 import b64encode
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path, PurePosixPath
from types import TracebackType

from jinja2 import BaseLoader, Environment, TemplateNotFound, pass_context
from jinja2.exceptions import SecurityError, TemplateSyntaxError
from jinja2.runtime import Context
from markupsafe import Markup, escape

from explainer.charts import svg
from explainer.charts.fonts import APOSTROPHE
from explainer.charts.verdict_marks import mark_svg
from explainer.claims.verdict import STRENGTH, Code
from explainer.editions.article import Drawing
from explainer.editions.policy import css_loads
from explainer.errors import ExplainerError, Problem, StudyError, WorkspaceError
from explainer.study.files import FileFault, changed_at, read_within
from explainer.study.yaml12 import MAX_BYTES
from explainer.words.glossary.linker import TermLinker
from explainer.words.phrases.sandbox import Sandbox, paid_for, revealed, said_of
from explainer.words.quantity.systems import pieces
from explainer.words.sentence import Sentence

HAPPENS = "no page can be made with it"
_HEADING = re.compile(r"<h[1-6]>((?:(?!<h[1-6]>).)*?)</h[1-6]>", re.DOTALL)
_LOOSE = re.compile(r"<li>(?=(?:(?!</?li>).)*?<(?:p|ul|ol|blockquote|pre|table)\b)", re.DOTALL)
_APOSTROPHE_IN_TEXT = re.compile(APOSTROPHE)
_EDGE = re.compile("[<>]")
#: Private characters that stand for the edges of a quantity while terms are linked.
_EDGES = re.compile("[\ue000\ue001]")
_ALIGNED = re.compile(r' style="text-align:\w+"')


class _Loader(BaseLoader):
    """Templates from the first folder that has one of the name, read as a stranger's files are."""

    def __init__(self, folders: tuple[Path, ...]) -> None:
        self.folders = folders

    def get_source(
        self, environment: Environment, template: str
    ) -> tuple[str, str, Callable[[], bool]]:
        parts = PurePosixPath(template).parts
        if not parts or ".." in parts or template.startswith("/") or "\\" in template:
            raise TemplateNotFound(template)
        found = _read(self.folders, template)
        if found is None:
            raise TemplateNotFound(template)
        path, text = found
        read = changed_at(path)
        # A file that appears in a folder before comes first from then on.
        return text, str(path), lambda: (
            _first(self.folders, template) == path and changed_at(path) == read
        )


def _read(folders: tuple[Path, ...], name: str) -> tuple[Path, str] | None:
    """Path and text of the file of that name in the first folder that has one."""
    path = _first(folders, name)
    if path is None:
        return None
    try:
        inside = next(folder.parent for folder in folders if path == folder / name)
        return path, read_within(inside, path, MAX_BYTES).decode("utf-8")
    except FileFault as fault:
        raise _problem(f"templates/{name}", 1, fault.found, fault.expected) from None
    except UnicodeDecodeError as fault:
        raise _problem(f"templates/{name}", 1, str(fault), "a text file in UTF-8") from None


def _first(folders: tuple[Path, ...], name: str) -> Path | None:
    """The path of that name in the first folder that has one."""
    return next((folder / name for folder in folders if os.path.lexists(folder / name)), None)


@lru_cache(maxsize=8)
def environment(folders: tuple[Path, ...]) -> Sandbox:
    """Templates of the folders, the first file of a name winning."""
    env = Sandbox(
        loader=_Loader(folders),
        autoescape=True,
        finalize=_set,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters |= {"words": _words, "measures": _measures, "prose": _prose}
    env.filters["unbroken"] = _unbroken
    env.filters["picture"] = _picture
    env.filters["picture_held"] = _picture_held
    env.filters["verdict_mark"] = _verdict_mark
    return env


#: A number and its unit, and a range in brackets: each stays on one line of paper.
_TOGETHER = re.compile(r"(?<![\d.,])[−-]?\d[\d.,]*%? [^\W\d_]+|\([^()]{1,40}\)")


def _unbroken(text: str) -> str:
    """``text`` with spaces that hold where a line end would part a number from what it counts."""
    return _TOGETHER.sub(lambda found: found[0].replace(" ", "\u00a0"), text)


def _verdict_mark(code: str, label: str) -> Markup:
    """The mark of a verdict as an inline drawing, named by its label."""
    known: dict[str, Code] = {each: each for each in STRENGTH}
    return Markup(mark_svg(known[code], str(_set(label))))


def _set(value: object) -> object:
    """Plain text on its way to the page, with typographic apostrophes."""
    if isinstance(value, str) and not hasattr(value, "__html__"):
        return _APOSTROPHE_IN_TEXT.sub("’", value)  # plain text has no tags, but "p > 0.99"
    return value


def _curled(html: str) -> str:
    """HTML with typographic apostrophes, as drawings set them, but for those inside a tag.

    What stands next, an edge of a tag or its other one, is looked for once for all apostrophes
    before it: a text may have a million.
    """
    at, closes = -1, False

    def curled(found: re.Match[str]) -> str:
        nonlocal at, closes
        if found.end() > at:
            edge = _EDGE.search(html, found.end())
            at = edge.start() if edge else len(html)
            closes = edge is not None and edge.group() == ">"
        return found.group() if closes else "’"

    return _APOSTROPHE_IN_TEXT.sub(curled, html)


def as_shown(text: str) -> str:
    """Plain text as it stands in a page's HTML."""
    return str(escape(_set(text)))


@pass_context
def _words(context: Context, text: str) -> Markup:
    """Plain text as HTML, its terms linked; on a screen its quantities in both systems."""
    linker: TermLinker = revealed(context["linker"])
    return _quantities(context, text, linker.sentence)


@pass_context
def _measures(context: Context, text: str) -> Markup:
    """Plain text as HTML, no term linked; on a screen its quantities in both systems."""
    return _quantities(context, text, as_shown)


def _quantities(context: Context, text: str, html: Callable[[str], str]) -> Markup:
    """``html`` of the text, with an element around each quantity that carries its other system.

    The edges go through ``html`` as two characters that no study can bring along.
    """
    def without_edges(said: str) -> str:
        return _EDGES.sub("", paid_for(said))

    text = text.through(without_edges) if isinstance(text, Sentence) else without_edges(text)
    if context.get("medium") != "screen":
        return Markup(_curled(str(html(text))))
    numbers = context.get("numbers")
    cut = pieces(text, context.get("limits", frozenset()), revealed(numbers) if numbers else None)
    marked = "".join(f"\ue000{p.text}\ue001" if p.other else p.text for p in cut)
    opened = iter([f'<span data-{p.system}="{escape(p.other)}">' for p in cut if p.other])
    said = re.sub("\ue000", lambda _: next(opened), str(html(marked)))
    return Markup(_curled(said.replace("\ue001", "</span>")))


@pass_context
def _prose(context: Context, markdown: str) -> Markup:
    """An author's Markdown as HTML, its terms linked."""
    linker: TermLinker = revealed(context["linker"])
    return Markup(tidied(linker.prose(paid_for(markdown))))


def tidied(html: str) -> str:
    """Rendered Markdown made fit to stand inside a section.

    Its headings become bold lines, since the page has its own; column alignment becomes a class,
    since the policy drops inline styles; list items that hold blocks are marked, since the PDF
    cannot tag one that has a bullet, too.
    Only tags are touched: markdown-it writes ``<`` in text as ``&lt;``.
    """
    html = _curled(html)
    html = _HEADING.sub(r'<p><b class="lead">\1</b></p>', html)
    html = html.replace(' style="text-align:right"', ' class="n"')
    html = _ALIGNED.sub("", html)
    return _LOOSE.sub('<li class="loose">', html)


@pass_context
def _picture(context: Context, drawing: Drawing) -> Markup:
    """A drawing inline for a page; as an image for paper, where it is drawn faster and alone."""
    if context["medium"] == "screen":
        if not drawing.narrow:
            return Markup(svg.inline(drawing.svg))
        both = '<div class="wide">{}</div><div class="narrow">{}</div>'
        parts = (svg.inline(drawn) for drawn in (drawing.svg, drawing.narrow))
        return Markup(both).format(*map(Markup, parts))
    data = b64encode((drawing.on_white or drawing.svg).encode()).decode("ascii")
    image = Markup('<img src="data:image/svg+xml;base64,{}" alt="{}">')
    return image.format(data, _set(drawing.alt))


@pass_context
def _picture_held(context: Context, drawing: Drawing) -> Markup:
    """A drawing for a page that does not carry our faces."""
    return Markup(svg.held(_picture(context, drawing)))


def safe_source(folders: tuple[Path, ...], name: str) -> str:
    """CSS or script of the templates folder, fit to stand inside its element, and CSS that loads
    nothing: on paper and on a page it would be refused where its own line is no longer known."""
    text = _source(folders, name)
    for at, load in css_loads(text) if name.endswith(".css") else ():
        line = text.count("\n", 0, at) + 1
        expected = "fonts and pictures as `data:`, or none: a page loads nothing"
        raise _problem(f"templates/{name}", line, f"`{load[:80]}`, which would be loaded", expected)
    at = text.find("</")
    if at >= 0:
        line = text.count("\n", 0, at) + 1
        raise _problem(f"templates/{name}", line, "</, which ends the element", "CSS or script")
    return text


def _source(folders: tuple[Path, ...], name: str) -> str:
    if (found := _read(folders, name)) is None:
        raise _problem(f"templates/{name}", 1, "no such file", "a file of this name")
    return found[1]


@contextmanager
def template_faults(folders: tuple[Path, ...]) -> Iterator[None]:
    """Turns whatever goes wrong inside a template into a WorkspaceError with file and line."""
    try:
        yield
    except ExplainerError:
        raise
    except TemplateSyntaxError as fault:
        name = f"templates/{fault.name or 'template'}"
        raise _problem(name, fault.lineno, fault.message or "a fault", "Jinja") from fault
    except TemplateNotFound as fault:
        raise _problem(f"templates/{fault.name}", 1, "no such file", "a template") from fault
    except RecursionError as fault:
        file, line = _innermost(fault.__traceback__, folders) or ("templates", 1)
        raise _problem(file, line, "a template or macro that calls itself", "an end") from None
    except Exception as fault:
        place = _innermost(fault.__traceback__, folders)
        if place is None and not isinstance(fault, SecurityError):
            raise
        if place is None:  # none of a workspace's own: there is too much to tell
            raise StudyError(Problem(
                "study.yaml", 1, found=f"a page of {said_of(fault)}", happens=HAPPENS,
                expected="fewer readings in its figures",
            )) from fault  # fmt: skip
        file, line = place
        raise _problem(file, line, said_of(fault), "a name or a value the page has") from fault


def _innermost(trace: TracebackType | None, folders: tuple[Path, ...]) -> tuple[str, int] | None:
    """File and line of the deepest frame that lies in a template."""
    found = None
    while trace is not None:
        path = Path(trace.tb_frame.f_code.co_filename)
        for folder in folders:
            if path.is_relative_to(folder):
                found = (f"templates/{path.relative_to(folder).as_posix()}", trace.tb_lineno)
        trace = trace.tb_next
    return found


def _problem(file: str, line: int, found: str, expected: str) -> WorkspaceError:
    return WorkspaceError(Problem(file, line, found=found, expected=expected, happens=HAPPENS))
