"""A claim or a figure alone: small, without a script, honest about where it comes from."""

from __future__ import annotations

import re
from dataclasses import replace

import lxml.html
import pytest

from explainer.editions.embeds import alone_pages
from explainer.editions.page import render

#: Bytes: a picture of some hundred marks, twice, and a few sentences.
SMALL = 60_000


@pytest.fixture(scope="module")
def alone(article, shipped) -> dict[str, str]:
    made = alone_pages(replace(article, base_address=""), shipped)
    return {path: page.decode() for path, page in made.items()}


def test_there_is_one_for_every_claim_and_every_figure(alone, article):
    wanted = {f"alone/claim-{c.id}.html" for c in article.claims}
    wanted |= {f"alone/fig-{f.id}.html" for f in article.figures}
    assert set(alone) == wanted


def test_whose_templates_tell_them_is_looked_up_once_for_all(article, shipped, monkeypatch):
    """A folder of templates was walked through for each of them, at each preview."""
    walked: list[object] = []
    monkeypatch.setattr("explainer.editions.embeds.own_templates",
                        lambda folders: walked.append(folders) or ("page.html.j2",))  # fmt: skip
    made = alone_pages(article, shipped)
    assert len(walked) == 1 < len(made)
    assert all(b"page.html.j2" in page for page in made.values())


def test_each_says_its_verdict_its_source_and_that_it_is_made_up(alone, article):
    for claim in article.claims:
        said = lxml.html.document_fromstring(alone[f"alone/claim-{claim.id}.html"])
        text = " ".join(said.text_content().split())
        for part in (claim.words.plainly, claim.words.label, claim.words.says, article.disclaimer):
            assert " ".join(part.split()).replace("'", "’") in text
        [link] = said.xpath("//a")
        assert link.get("href") == f"../index.html#claim-{claim.id}"
        assert link.get("target") == "_top" and link.text == article.title


def test_a_figure_alone_says_what_it_cannot_show(alone, article):
    for figure in article.figures:
        said = lxml.html.document_fromstring(alone[f"alone/fig-{figure.id}.html"])
        assert figure.words.cannot_show in said.text_content()
        assert said.xpath("//figure//svg")


def test_with_a_base_address_it_leads_there(article, shipped):
    made = alone_pages(replace(article, base_address="https://example.org/lanes"), shipped)
    page = made[f"alone/claim-{article.claims[0].id}.html"].decode()
    assert f'"https://example.org/lanes/{article.id}/#claim-{article.claims[0].id}"' in page


def test_it_needs_nothing_and_lets_nothing_in(alone):
    for page in alone.values():
        assert len(page.encode()) < SMALL
        assert "<script" not in page and " style=" not in page
        policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)[1]
        assert policy.startswith("default-src &#39;none&#39;; style-src &#39;sha256-")
        assert "script-src" not in policy


def test_real_data_carries_no_notice(article, shipped):
    made = alone_pages(replace(article, disclaimer=""), shipped)
    assert not any(b"invented" in page or b"made up" in page for page in made.values())


def test_text_of_a_study_is_never_markup(article, shipped):
    bad = "<img src=x onerror=alert(1)>"
    claim = replace(article.claims[0], words=replace(article.claims[0].words, says=bad))
    made = alone_pages(replace(article, title=bad, claims=(claim,)), shipped)
    for page in made.values():
        assert b"<img" not in page


def test_the_printed_page_has_a_code_only_where_it_has_an_address(article, glossary, shipped):
    on_paper = render(replace(article, base_address="https://example.org"), glossary, shipped,
                      "print")  # fmt: skip
    assert f"A code that leads to https://example.org/{article.id}/" in on_paper
    assert "A code that leads" not in render(replace(article, base_address=""), glossary, shipped,
                                             "print")  # fmt: skip
    on_screen = render(replace(article, base_address="https://example.org"), glossary, shipped,
                       "screen")  # fmt: skip
    assert "A code that leads" not in on_screen
