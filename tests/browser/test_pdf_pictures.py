"""What a PDF's charts look like: a PDF whose charts came out black passes a validator, too.

Every figure of every PDF page is found by its tag with PDFium, which knows nothing of how it was
made, and held against the page's own drawing as Chromium paints it on paper.
"""

from __future__ import annotations

import ctypes
import io
from base64 import b64decode
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from PIL import Image, ImageFilter, ImageOps

from explainer.claims.judge import judge
from explainer.editions.handout import LOWEST, SHARES, figure_image
from explainer.study.load import find_study, load_study
from explainer.words.glossary.of_study import glossary_of
from explainer.words.sheets.handout import say_handout

STUDIES = Path(__file__).parents[2] / "studies"
IDS = sorted(p.parent.name for p in STUDIES.glob("*/study.yaml"))
#: Two painters of one drawing differ at the edges of letters and lines only.
ALIKE, WIDE, BLUR = 0.9, 160, ImageFilter.GaussianBlur(1.2)
#: Pixels around a figure: the boxes of letters leave out what hangs below them.
PAD = (-6, -6, 6, 6)

Tagged = tuple[str, Image.Image]


def _text(ask, element) -> str:
    room = ctypes.create_string_buffer(size := ask(element, None, 0))
    ask(element, room, size)
    return room.raw[: max(size - 2, 0)].decode("utf-16-le")


def _figures(element) -> Iterator[tuple[str, set[int]]]:
    """Alternative text and marked contents of each figure below a structure element."""
    if _text(pdfium.FPDF_StructElement_GetType, element) == "Figure":
        count = pdfium.FPDF_StructElement_GetMarkedContentIdCount(element)
        marked = (pdfium.FPDF_StructElement_GetMarkedContentIdAtIndex(element, i)
                  for i in range(count))  # fmt: skip
        yield _text(pdfium.FPDF_StructElement_GetAltText, element), set(marked)
    for i in range(pdfium.FPDF_StructElement_CountChildren(element)):
        if child := pdfium.FPDF_StructElement_GetChildAtIndex(element, i):
            yield from _figures(child)


def _marks(thing) -> set[int]:
    """The marked contents a thing on the page belongs to."""
    found, value = set(), ctypes.c_int()
    for i in range(pdfium.FPDFPageObj_CountMarks(thing.raw)):
        mark = pdfium.FPDFPageObj_GetMark(thing.raw, i)
        if pdfium.FPDFPageObjMark_GetParamIntValue(mark, b"MCID", value):
            found.add(value.value)
    return found


def tagged(file: Path | bytes) -> list[Tagged]:
    """Every figure of a PDF: its alternative text, and the part of the sheet it covers."""
    found = []
    with pypdfium2.PdfDocument(file) as document:
        for page in document:
            tree = pdfium.FPDF_StructTree_GetForPage(page)
            things = [(_marks(o), o.get_bounds()) for o in page.get_objects(max_depth=1)]
            sheet = None
            for i in range(pdfium.FPDF_StructTree_CountChildren(tree)):
                for alt, ids in _figures(pdfium.FPDF_StructTree_GetChildAtIndex(tree, i)):
                    lefts, lows, rights, highs = zip(
                        *(box for marks, box in things if marks & ids), strict=True
                    )
                    sheet = sheet or page.render(scale=3, grayscale=True).to_pil()
                    top = page.get_height()
                    box = (min(lefts), top - max(highs), max(rights), top - min(lows))
                    found.append(
                        (
                            alt,
                            sheet.crop(
                                [round(3 * x) + pad for x, pad in zip(box, PAD, strict=True)]
                            ),
                        )
                    )
            pdfium.FPDF_StructTree_Close(tree)
    return found


def seen(picture: Image.Image) -> Image.Image:
    """A drawing cut to its ink: 0 for paper, 255 for black."""
    dark = ImageOps.invert(picture.convert("L"))
    box = dark.point(lambda v: 255 * (v > 40)).getbbox()
    assert box, "a blank picture"
    return dark.crop(box)


def unlike(one: Image.Image, other: Image.Image) -> str:
    """How two drawings differ; empty where only the painter's hand does."""
    first, second = seen(one), seen(other)
    tall = [picture.height / picture.width for picture in (first, second)]
    if not 0.93 < tall[0] / tall[1] < 1.07:
        return f"heights {tall[0]:.2f} and {tall[1]:.2f} of the width"
    blurred = (
        p.resize((WIDE, round(WIDE * tall[0])), Image.Resampling.BOX).filter(BLUR)
        for p in (first, second)
    )
    mine, theirs = (np.asarray(p, dtype=float) for p in blurred)
    r = float(np.corrcoef(mine.ravel(), theirs.ravel())[0, 1])
    more = float(mine.mean() / theirs.mean())
    return "" if r > ALIKE and 0.8 < more < 1.25 else f"r = {r:.2f}, {more:.2f} times the ink"


#: The last text a drawing is named by is its description; it may stand once for several.
DESCRIBED = """e =>
  document.getElementById(e.getAttribute('aria-labelledby').split(' ').at(-1)).textContent"""


#: A PDF has its figures as drawn for a phone, for half a column; a yardstick has the whole width.
#: It has no twenty dots: those are for a screen only.
AS_ON_PAPER = """() => {
  const show = (chosen, how) =>
    document.querySelectorAll(chosen).forEach(e => { e.style.display = how })
  show('.wide', 'none'); show('.narrow', 'block')
  show('.yardstick .wide', 'block'); show('.yardstick .narrow', 'none')
  for (const fold of document.querySelectorAll('details'))
    if (fold.querySelector('summary').textContent.trim() === 'As twenty dots') fold.remove()
}"""


def drawn(page) -> list[Tagged]:
    """Every drawing of a page that a PDF has too, in the order of its text, as the browser puts it
    on paper."""
    page.emulate_media(media="print", color_scheme="light")
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    page.evaluate(AS_ON_PAPER)
    found = []
    for svg in page.locator("svg[role=img]:visible").all():
        said = svg.evaluate(DESCRIBED)
        found.append((said, Image.open(io.BytesIO(svg.screenshot()))))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("study", IDS)
def test_every_chart_of_the_pdf_looks_like_the_pages_own(visit, site, study):
    opened = visit(f"{study}/index.html", device_scale_factor=2)
    # A verdict's mark is hidden from a listener there; in a PDF it has its label for a name.
    marks = set(opened.locator("svg.mark title").evaluate_all("a => a.map(t => t.textContent)"))
    ours = [t for t in tagged(site / study / "explainer.pdf") if t[0] not in marks]
    page = drawn(opened)
    missed = [s for s, _ in page
              if sum(s == t for t, _ in page) > sum(s in alt for alt, _ in ours)]  # fmt: skip
    assert len(ours) == len(page) >= 2, missed
    assert [alt for (alt, _), (said, _) in zip(ours, page, strict=True) if said not in alt] == []
    wrong = {
        alt[:60]: difference
        for (alt, mine), (_, theirs) in zip(ours, page, strict=True)
        if (difference := unlike(mine, theirs))
    }
    assert wrong == {}


@pytest.mark.slow
@pytest.mark.parametrize("study", IDS)
def test_the_figure_of_the_handout_looks_as_it_was_drawn(visit, site, study):
    workspace, folder = find_study(str(STUDIES / study), None)
    judgement = judge(load_study(folder, workspace))
    words = say_handout(judgement, glossary_of(workspace))
    page = visit(f"{study}/index.html", device_scale_factor=2)  # brings our type
    page.emulate_media(media="print")  # and white paper
    [(alt, mine), *_] = tagged(site / study / "handout.pdf")
    assert len(alt) > 15
    differs = []
    for share in sorted({LOWEST, *SHARES.values()}):  # as tall as there was room on the sheet
        url = figure_image(judgement, words, share)
        svg = b64decode(url.split(",")[1]).decode()
        page.evaluate("svg => { document.body.innerHTML = svg }", svg)
        theirs = Image.open(io.BytesIO(page.locator("svg").screenshot()))
        differs.append(unlike(mine, theirs))
    assert "" in differs, differs


def test_black_shapes_and_lost_letters_would_be_noticed(visit, site):
    """The two ways a drawing dies on its way into a PDF: no style, and no type."""
    page = visit(device_scale_factor=2)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    page.evaluate(AS_ON_PAPER)
    page.emulate_media(media="print")
    chart = page.locator(".plate figure .narrow svg").first
    said = chart.evaluate(DESCRIBED)
    ours = tagged(site / "cover-texture" / "explainer.pdf")
    mine = next(picture for alt, picture in ours if said in alt)
    assert not unlike(mine, Image.open(io.BytesIO(chart.screenshot())))
    for harm in ("e.style.fill = '#000'", "e.tagName === 'text' && e.remove()"):
        chart.evaluate(f"svg => svg.querySelectorAll('*').forEach(e => {{ {harm} }})")
        harmed = Image.open(io.BytesIO(chart.screenshot()))
        assert unlike(mine, harmed)
