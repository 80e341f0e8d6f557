"""The PDF: valid PDF/UA-1, its pictures described and set in our type, nothing fetched."""

from __future__ import annotations

import gc
import io
import re
from dataclasses import replace

import lxml.html
import page as pdf_validation  # the distribution page-validation
import pikepdf
import pytest

from explainer.editions.page import render
from explainer.editions.pdf import lay_out
from explainer.editions.press import render_pdf
from explainer.errors import BrokenPageError


def words_of(page: pikepdf.Page) -> str:
    """The text of a page, read through each font's ToUnicode map."""
    maps = {}
    for name, font in page.Resources.Font.items():
        pairs = re.findall(rb"<(\w+)> <(\w+)>", font.ToUnicode.read_bytes())
        maps[name] = {int(code, 16): bytes.fromhex(text.decode()) for code, text in pairs}
    said, font = "", {}
    for operands, operator in pikepdf.parse_content_stream(page):
        if str(operator) == "Tf":
            font = maps[str(operands[0])]
        elif str(operator) == "TJ":
            for part in operands[0]:
                if isinstance(part, pikepdf.String):
                    raw = bytes(part)
                    codes = [int.from_bytes(raw[i : i + 2]) for i in range(0, len(raw), 2)]
                    said += "".join(font[c].decode("utf-16-be") for c in codes if c in font)
            said += " "
    return said


def elements(pdf: pikepdf.Pdf, kind: str):
    """Structure elements of one kind."""
    return [
        o
        for o in pdf.objects
        if isinstance(o, pikepdf.Dictionary) and o.get("/S") == f"/{kind}" and "/P" in o
    ]


def test_it_is_valid_pdf_ua(pdf, tmp_path):
    path = tmp_path / "explainer.pdf"
    path.write_bytes(pdf)
    report = pdf_validation.validate_pdf(
        str(path), profile=pdf_validation.ValidationProfile.PDF_UA_1
    )
    assert [f"{f.rule_id}: {f.message}" for f in report.failures] == []


def test_title_language_headings_and_alternative_text(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as doc:
        assert str(doc.Root.Lang) == "en-US"
        assert str(doc.docinfo["/Title"]) == "Does a sanded cover keep its bite?"
        assert doc.Root.ViewerPreferences.DisplayDocTitle is True
        assert len(elements(doc, "H1")) == 1
        figures = elements(doc, "Figure")
        # 2 charts, 3 strips, 1 chain, 3 marks of the count and 3 of the claims
        assert len(figures) == 12
        assert all(len(str(f.Alt)) > 15 for f in figures)


def test_charts_keep_our_type_and_no_other_is_embedded(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as doc:
        fonts = {
            str(o.FontName).split("+")[-1]
            for o in doc.objects
            if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/FontDescriptor"
        }
    assert fonts
    assert all(name.startswith("Fieldguide") for name in fonts), fonts


def test_made_up_data_stands_at_the_foot_of_every_page(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as doc:
        texts = [words_of(page) for page in doc.pages]
    assert len(texts) > 2
    assert all("Made-up data" in text for text in texts)


def test_without_a_base_address_no_download_is_a_link(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as doc:
        uris = [
            str(a.A.URI)
            for p in doc.pages
            for a in p.obj.get("/Annots", [])
            if "/A" in a and "/URI" in a.A
        ]
    assert uris == []


def test_the_same_article_gives_the_same_bytes(pdf, article, glossary, shipped):
    assert render_pdf(article, glossary, shipped) == pdf


@pytest.mark.parametrize(
    "body",
    [
        "<img src='file:///etc/hostname' alt='x'>",
        "<img src='https://example.org/x.png' alt='x'>",
        "<link rel=stylesheet href='http://example.org/x.css'>",
        "<link rel=attachment href='file:///etc/hostname'>",
        "<p style='background:url(https://example.org/x.png)'>x</p>",
    ],
)
@pytest.mark.filterwarnings("ignore")
def test_nothing_is_fetched(body):
    with pytest.raises(BrokenPageError, match="a page fetches nothing"):
        lay_out(f"<!doctype html><html lang=en><title>t</title><body><h1>t</h1>{body}").pdf()


def _heads(article, glossary, shipped) -> list[str]:
    tree = lxml.html.fromstring(render(article, glossary, shipped, "print"))
    return [h.text_content() for h in tree.xpath("//section[contains(@class, 'part')]/h2")]


def test_the_annex_is_last_and_may_be_left_out(article, glossary, shipped):
    heads = _heads(article, glossary, shipped)
    (opens,) = [h for h in heads if h.startswith("Annex: ")]
    body, annex = heads[: heads.index(opens)], heads[heads.index(opens) :]
    assert "Claim by claim" in body and "How it was worked out" not in body
    assert {"Words used here", "The numbers"} <= {h.removeprefix("Annex: ") for h in annex}
    without = _heads(replace(article, annex=False), glossary, shipped)
    assert without == [*body, "Annex: Words used here"]  # what every part links to


DRAWN = "<img alt='a line' src='data:image/svg+xml,<svg xmlns=%22http://www.w3.org/2000/svg%22/>'>"


def test_a_page_that_is_set_keeps_no_style_that_nothing_of_it_has():
    """A drawing kept all that its page was set with: nine styles of every element."""
    page = f"<title>t</title><p>{DRAWN}<table>{'<tr><td>1<td>2' * 200}</table>"
    before = _styles()
    laid = lay_out(page)
    assert _styles() - before < 2 * 600
    assert laid.pdf().startswith(b"%PDF")


def _styles() -> int:
    gc.collect()
    return sum(type(each).__name__ == "ComputedStyle" for each in gc.get_objects())
