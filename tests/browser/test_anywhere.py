"""The pages on a narrow phone, on paper, in the dark, without scripts and without a network."""

from __future__ import annotations

import io
import re

import pypdfium2
import pytest

NARROW = {"width": 320, "height": 640}


def test_nothing_scrolls_sideways_at_320_pixels(visit, pages):
    """WCAG 2.2, success criterion 1.4.10: 320 CSS pixels, tables may scroll in their own box."""
    page = visit(viewport=NARROW)
    base = page.url.rsplit("cover-texture", 1)[0]
    wide = []
    for path in pages:
        page.goto(base + path)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            wide.append(path)
    assert wide == []


def test_the_phone_has_its_own_drawing_with_legible_letters(visit):
    page = visit(viewport=NARROW)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    chart = page.locator(".plate .chart").first
    assert chart.locator(".narrow").is_visible() and not chart.locator(".wide").is_visible()
    sizes = chart.locator(".narrow text").evaluate_all(
        """all => all.map(t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a)"""
    )
    assert min(sizes) >= 8
    box = chart.bounding_box()
    assert box["x"] >= 0 and box["x"] + box["width"] <= NARROW["width"]


def test_no_letter_of_a_drawing_is_too_small_at_320_pixels(visit, site):
    page = visit(viewport=NARROW)
    small = []
    for results in sorted(site.glob("*/results.json")):
        page.goto((results.parent / "index.html").as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        sizes = page.locator("svg text:visible").evaluate_all(
            "all => all.map(t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a)"
        )
        small += [(results.parent.name, size) for size in sizes if size < 11.95]
    assert small == []


def test_what_a_wide_table_is_called_is_whole_on_a_phone(visit, site):
    page = visit(viewport=NARROW)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    wide = page.evaluate(
        """[...document.querySelectorAll('.scroll')].filter(
            box => box.scrollWidth > box.clientWidth).length"""
    )
    assert wide, "no table is wider than this phone"
    cut = page.locator(".scroll caption").evaluate_all(
        """all => all.filter(caption => {
            const text = document.createRange()
            text.selectNodeContents(caption)
            return text.getBoundingClientRect().right > innerWidth
        }).map(caption => caption.textContent)"""
    )
    assert cut == []


def test_from_a_file_nothing_else_is_asked_for(visit, pages):
    page = visit()
    base = page.url.rsplit("cover-texture", 1)[0]
    for path in pages:
        page.goto(base + path)
    ours = [url for url in page.asked if url.startswith((base, "data:"))]
    assert ours == page.asked
    assert [u for u in ours if not re.search(r"^data:|\.(html|png)$", u)] == []


def test_from_a_server_no_request_leaves_it(visit, served, pages):
    page = visit(base=served)
    for path in pages:
        page.goto(f"{served}/{path}")
    assert [u for u in page.asked if not u.startswith((served, "data:"))] == []


def test_without_scripts_everything_is_there_but_the_switches(visit):
    plain, full = visit(java_script_enabled=False), visit()
    assert not plain.locator(".choices").is_visible()
    assert plain.locator("button:visible").count() == 0
    assert plain.locator(".readout:visible").count() == 0
    extra = full.locator(".pass-on, .readout, .choices")
    extra.evaluate_all("all => all.forEach(e => e.remove())")
    assert plain.locator(".sheet").inner_text() == full.locator(".sheet").inner_text()
    fold = plain.locator("details").first
    fold.locator("> summary").click()
    assert fold.locator("table, p").first.is_visible()
    plain.locator(".contents a").nth(2).click()
    assert "#" in plain.url


def test_light_and_dark_are_the_readers_choice(visit):
    grounds = {}
    for scheme in ("light", "dark"):
        page = visit(color_scheme=scheme)
        color = page.evaluate("getComputedStyle(document.body).backgroundColor")
        grounds[scheme] = sum(map(int, re.findall(r"\d+", color)[:3])) / 3
        ink = page.locator("figure svg text").first.evaluate("e => getComputedStyle(e).fill")
        lightness = sum(map(int, re.findall(r"\d+", ink)[:3])) / 3
        assert (lightness < 128) == (scheme == "light")
    assert grounds["light"] > 200 and grounds["dark"] < 60


@pytest.mark.parametrize(("motion", "scroll"), [("reduce", "auto"), ("no-preference", "smooth")])
def test_nothing_moves_for_who_asked_that_nothing_move(visit, motion, scroll):
    page = visit(reduced_motion=motion)
    found = page.evaluate("getComputedStyle(document.documentElement).scrollBehavior")
    assert found == scroll
    assert page.evaluate("document.getAnimations().length") == 0


def test_printed_from_the_browser_without_switches_and_with_folds_open(visit):
    page = visit(color_scheme="dark")
    page.emulate_media(media="print")
    for gone in (".choices", ".pass-on", ".readout", ".contents", ".skip"):
        assert page.locator(f"{gone}:visible").count() == 0, gone
    page.emulate_media(media="print", color_scheme="light")
    document = pypdfium2.PdfDocument(io.BytesIO(page.pdf()))
    try:
        text = " ".join(sheet.get_textpage().get_text_range() for sheet in document)
        assert 5 < len(document) < 40
        assert "Copy a link" not in text and "Told to" not in text
        assert "Claim by claim" in text and "The two-minute version" in text
        corner = document[0].render(scale=0.2).to_numpy()[1, 1]
        assert corner.min() == 255, "paper is white, whatever the screen"
    finally:
        document.close()


def test_the_glossary_is_searched_without_a_network(visit):
    page = visit("glossary/index.html", offline=True)
    entries = page.locator(".entry")
    every = entries.count()
    box = page.get_by_label("Find a word")
    box.fill("microinch")
    shown = page.locator(".entry:visible")
    assert 0 < shown.count() < every
    assert all("microinch" in said.lower() for said in shown.all_text_contents())
    assert page.locator("[role=status]").inner_text() == f"{shown.count()} of {every} words"
    box.fill("zzqxv")
    assert page.locator(".entry:visible, main > section:visible").count() == 0
    box.fill("")
    assert page.locator(".entry:visible").count() == every


def test_the_policy_keeps_strangers_out(visit, served):
    """That no page breaks its own policy, ``visit`` sees to; that it has teeth, this shows."""
    page = visit(base=served)
    broken = page.evaluate(
        """() => new Promise(told => {
          const seen = [];
          document.addEventListener('securitypolicyviolation', e => {
            seen.push(e.effectiveDirective);
            if (seen.length === 3) told(seen.sort());
          });
          const image = new Image();
          image.src = 'http://127.0.0.1:9/pixel.png';
          fetch('http://127.0.0.1:9/').catch(() => {});
          const script = document.createElement('script');
          script.textContent = 'window.uninvited = true';
          document.body.append(script);
        })"""
    )
    assert broken == ["connect-src", "img-src", "script-src-elem"]
    assert page.evaluate("window.uninvited") is None
    page.excused()
