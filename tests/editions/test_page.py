"""The page: its hooks, its structure for a listener, and that nothing on it can call out."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from itertools import pairwise

import lxml.html
import pytest

from explainer.editions.page import SECTIONS, dressed, render, render_page


@pytest.fixture
def html(article, glossary, shipped) -> str:
    return render_page(article, glossary, shipped)


@pytest.fixture
def tree(html):
    return lxml.html.document_fromstring(html)


def test_hooks_that_checks_rely_on(tree):
    claims = tree.xpath("//section[@data-claim]")
    assert [(c.get("data-claim"), c.get("data-verdict")) for c in claims] == [
        ("texture-falls", "backed"),
        ("hook-steady", "cannot-tell"),
        ("worn-hooks-less", "not-tested"),
    ]
    assert tree.xpath("//figure/@id") == ["fig-texture-over-play", "fig-hook-over-play"]
    assert len(tree.xpath("//li[@data-question]")) == 1
    assert tree.xpath("//dfn/@data-term") == ["cover-roughness"]


def test_terms_in_the_text_lead_to_the_words_at_the_foot(tree):
    terms = tree.xpath("//a[@class='term']")
    assert terms
    for term in terms:
        assert tree.get_element_by_id(term.get("href")[1:]) is not None


def test_sections_stand_in_the_order_of_the_table(tree, article):
    shown = [s.id for s in SECTIONS if "screen" in s.media and s.present(article)]
    assert {"claims", "reasons", "advice", "questions", "words", "sources"} <= set(shown)
    assert tree.xpath("//section[@class='part']/@id") == shown


def test_a_section_with_nothing_to_show_is_left_out_of_page_and_contents(
    glossary, shipped, make_article
):
    bare = make_article(rule=None, figures=(), stated=(), questions=(), advice=())
    tree = lxml.html.document_fromstring(render_page(bare, glossary, shipped))
    for gone in ("reasons", "figures", "arithmetic", "questions", "advice"):
        assert not tree.xpath(f"//*[@id='{gone}']")
        assert not tree.xpath(f"//nav//a[@href='#{gone}']")


def test_what_advice_rests_on_stands_with_its_label(tree):
    (rests,) = tree.xpath("//*[@id='advice']//p[@class='aside']")
    said = " ".join(rests.text_content().split())
    assert said == "Rests on: Sanded balls go smooth as you bowl. Backed by this data."


def test_the_legend_of_strips_names_what_is_drawn_and_nothing_else(glossary, shipped, make_article):
    def legend(*drawn: str) -> str:
        claims = tuple(replace(c, drawn=drawn) for c in make_article().claims)
        page = render_page(make_article(claims=claims), glossary, shipped)
        (line,) = lxml.html.document_fromstring(page).xpath("//p[contains(@class, 'strip-key')]")
        assert not line.xpath("preceding::svg[contains(@class, 'strip')]"), "it comes too late"
        (fold,) = line.xpath("following-sibling::details[1]")
        return " ".join((line.text_content() + fold.text_content()).split())

    assert "Diamonds are what each one reads." in legend("readings", "needs", "close")
    assert "bar" not in legend("readings", "needs", "close")
    assert "iamond" not in legend("estimate", "range", "inner", "needs", "small")
    assert "thick" in legend("estimate", "range", "inner", "needs", "small")


def test_a_verdict_and_what_stands_behind_it_are_words_apart(glossary, shipped, make_article):
    """Copied or read out there is no margin between them."""
    first, *rest = make_article().claims
    short = replace(first, words=replace(first.words, short="not as said: too small to matter"))
    page = render_page(make_article(claims=(short, *rest)), glossary, shipped)
    said = lxml.html.document_fromstring(page).xpath("//p[@class='verdict'][span]")[0]
    assert f"{first.words.label} not as said" in said.text_content()


def test_one_h1_and_no_level_is_skipped(tree):
    levels = [int(h.tag[1]) for h in tree.iter("h1", "h2", "h3", "h4", "h5", "h6")]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_ids_are_unique_and_inner_links_lead_somewhere(tree):
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))
    for link in tree.xpath("//a/@href[starts-with(., '#')]"):
        assert link[1:] in ids, link


def test_language_title_description_landmarks_and_skip_link(tree, article):
    assert tree.get("lang") == "en-US"
    assert tree.findtext(".//title") == article.title
    assert tree.xpath("//meta[@name='description']/@content") == [article.answer]
    assert len(tree.xpath("//main")) == 1
    skip = tree.xpath("//body/a[1]")[0]
    assert tree.get_element_by_id(skip.get("href")[1:]).tag == "main"
    for nav in tree.xpath("//nav"):
        assert tree.get_element_by_id(nav.get("aria-labelledby")) is not None


def test_scrolling_tables_can_be_reached_by_keyboard_and_have_header_cells(tree):
    boxes = tree.xpath("//div[@class='scroll']")
    assert boxes
    for box in boxes:
        assert box.get("tabindex") == "0"
        assert box.get("aria-label")
        assert box.xpath(".//thead//th[@scope='col']")
        assert all(row.xpath("./th[@scope='row']") for row in box.xpath(".//tbody/tr"))


def test_the_policy_names_the_style_and_the_script_of_this_page(html, tree):
    policy = tree.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")[0]
    assert "unsafe" not in policy
    assert policy.startswith("default-src 'none'")
    for element, directive in (("style", "style-src"), ("script", "script-src")):
        [inside] = re.findall(rf"<{element}>(.*?)</{element}>", html, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{directive} 'sha256-{digest}'" in policy


@pytest.mark.parametrize(("script", "there"), [
    ("one();\n    two();", "one();\ntwo();"),
    ("say(`a`);\n    two();", "say(`a`);\ntwo();"),
    ("say(`a\n    b`);", "say(`a\n    b`);"),  # a text that runs on: its spaces count
])  # fmt: skip
def test_a_script_loses_the_spaces_before_its_lines_but_for_those_of_a_text(script, there, shipped):
    page = dressed(lambda **had: f"<script>{had['script']}</script>", shipped, script, "print")
    assert page == f"<script>{there}</script>"


def test_nothing_is_styled_inline_or_scripted_inline(tree):
    assert not tree.xpath("//*[@style]")
    assert not tree.xpath("//@*[starts-with(name(), 'on')]")


def test_nothing_is_loaded_from_anywhere(html, tree):
    assert not tree.xpath("//@src[not(starts-with(., 'data:'))]")
    assert not tree.xpath("//link[@rel!='canonical' and @rel!='icon']")
    [icon] = tree.xpath("//link[@rel='icon']/@href")
    assert icon.startswith("data:image/svg+xml,")
    urls = re.findall(r"url\(([^)]*)", html)
    assert urls
    assert all(url.startswith("data:font/woff2;base64,") for url in urls)


def test_text_from_a_study_is_never_markup(glossary, shipped, make_article):
    nasty = make_article(
        title="<script>alert(1)</script>",
        question='"><img src=x onerror=alert(1)>',
        intro_md="<iframe src='https://example.org'></iframe> [x](javascript:alert(1))",
    )
    tree = lxml.html.document_fromstring(render_page(nasty, glossary, shipped))
    assert len(tree.xpath("//script[not(@type)]")) == 1
    assert not tree.xpath("//iframe | //img | //a[starts-with(@href, 'javascript')]")
    assert tree.findtext(".//h1") == "<script>alert(1)</script>"


def test_made_up_data_is_said_at_the_top_and_at_the_foot(tree, article):
    assert article.disclaimer in tree.xpath("//main/header")[0].text_content()
    assert article.disclaimer in tree.xpath("//body/footer")[0].text_content()


def test_real_data_carries_no_notice(glossary, shipped, make_article):
    tree = lxml.html.document_fromstring(
        render_page(make_article(disclaimer=""), glossary, shipped)
    )
    assert not tree.xpath("//*[@class='notice']")


def _linked(html: str) -> dict:
    """The block of schema.org data, as a machine reads it."""
    [said] = lxml.html.document_fromstring(html).xpath("//script[@type='application/ld+json']")
    return json.loads(said.text)


def test_a_page_says_what_it_is_to_machines(html, article):
    said = _linked(html)
    assert (said["@type"], said["headline"]) == ("Article", article.title)
    assert said["isBasedOn"]["name"] == "Cover texture over play"
    assert said["about"]["@type"] == "Dataset"
    assert "Made-up data" in said["about"]["description"]
    assert said["about"]["distribution"][0]["contentUrl"] == "data/checkpoints.csv"
    reviewed = [(r["claimReviewed"], r["reviewRating"]["alternateName"]) for r in said["review"]]
    assert reviewed == [(c.report_says, c.words.label) for c in article.claims]


def test_machines_are_told_no_more_than_a_verdicts_label(html):
    for review in _linked(html)["review"]:
        assert set(review["reviewRating"]) == {"@type", "alternateName"}


def test_a_study_cannot_end_the_block_of_data(glossary, shipped, make_article):
    title = "</script><script>alert(1)</script><!--"
    html = render_page(make_article(title=title), glossary, shipped)
    assert _linked(html)["headline"] == title


def test_link_previews_are_there_only_with_a_base_address(html, glossary, shipped, make_article):
    assert 'property="og:' not in html
    here = make_article(base_address="https://example.org/bowling", still="script/stills/01.png")
    tree = lxml.html.document_fromstring(render_page(here, glossary, shipped))
    said = {m.get("property"): m.get("content") for m in tree.xpath("//meta[@property]")}
    assert said["og:title"] == here.title
    assert said["og:description"] == here.answer
    base = "https://example.org/bowling/cover-texture/"
    assert said["og:image"] == f"{base}script/stills/01.png"
    assert tree.xpath("//link[@type='application/atom+xml']/@href") == ["../feed.xml"]
    assert _linked(render_page(here, glossary, shipped))["review"][0]["url"] == (
        f"{base}#claim-texture-falls"
    )


def test_the_two_minute_version_is_folded_under_the_short_one(glossary, shipped, make_article):
    long = make_article(long=("First the balls.", "Then the lane."))
    tree = lxml.html.document_fromstring(render_page(long, glossary, shipped))
    [fold] = tree.xpath("//section[@id='short']/details/details")
    assert fold.findtext("summary") == "The two-minute version"
    assert [p.text_content() for p in fold.xpath("p")] == ["First the balls.", "Then the lane."]


def test_the_canonical_address_is_set_only_with_a_base_address(glossary, shipped, make_article):
    here = make_article(base_address="https://example.org/bowling")
    tree = lxml.html.document_fromstring(render_page(here, glossary, shipped))
    assert tree.xpath("//link[@rel='canonical']/@href") == [
        "https://example.org/bowling/cover-texture/"
    ]


def test_a_page_is_small_and_the_same_every_time(html, article, glossary, shipped):
    assert len(html.encode()) < 400_000
    assert render_page(article, glossary, shipped) == html


def test_the_first_screen_holds_question_answer_and_a_count_of_every_verdict(
    glossary, shipped, make_article
):
    here = make_article(headline="Covers went smooth; whether hook follows stays open.")
    tree = lxml.html.document_fromstring(render_page(here, glossary, shipped))
    top = tree.xpath("//main/header")[0]
    assert top.xpath("p[@class='standfirst']")[0].text == here.question
    assert top.xpath("p[@class='answer']")[0].text == here.headline
    counted = [" ".join(li.text_content().split()) for li in top.xpath("ul[@class='tally']/li")]
    labels = ("Backed by this data", "Can’t tell from this data", "Not tested in this study")
    more = {"Can’t tell from this data": ", neither yes nor no"}
    assert counted == [f"{label} 1 {label[0].lower()}{label[1:]}{more.get(label, '')}"
                       for label in labels]  # fmt: skip


def test_each_figure_stands_once_folded_inside_the_claim_that_names_it(tree):
    for figure in tree.xpath("//figure"):
        assert figure.xpath("ancestor::details[1]/parent::section/@data-claim") == ["texture-falls"]


def test_how_to_read_a_kind_of_figure_is_open_once(glossary, shipped, make_article):
    plain = make_article()
    same = make_article(figures=tuple(replace(f, kind="over-use") for f in plain.figures))
    tree = lxml.html.document_fromstring(render_page(same, glossary, shipped))
    readings = tree.xpath("//div[@class='reading']")
    assert [len(r.xpath("p/b[text()='How to read it.']")) for r in readings] == [1, 0]
    assert [len(r.xpath("details/summary[text()='How to read it']")) for r in readings] == [0, 1]


def test_the_third_rung_is_folded_on_a_screen_and_open_on_paper(
    tree, article, glossary, shipped
):
    for section in (s for s in SECTIONS if s.folded and s.present(article)):
        [fold] = tree.xpath(f"//section[@id='{section.id}']/details")
        assert fold.get("open") is None
        assert fold.xpath("summary/h2/@id") == [f"{section.id}-title"]
    printed = lxml.html.document_fromstring(render(article, glossary, shipped, "print"))
    assert not printed.xpath("//details")


def test_a_meaning_leads_back_to_where_its_word_was_used_first(tree):
    for back in tree.xpath("//a[@class='back']"):
        place = tree.get_element_by_id(back.get("href")[1:])
        assert place.get("class") == "term"
        assert place.get("href") == "#" + back.getparent().getprevious().get("id")
