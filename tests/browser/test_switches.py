"""Each switch changes what it says and nothing else, comes back, and is kept in the next page."""

from __future__ import annotations

from collections import Counter

PRESSED = "[data-choice={}] button[aria-pressed=true]"


def choose(page, name, value):
    page.locator(f"[data-choice={name}] button[value={value}]").click()
    assert page.locator(PRESSED.format(name)).evaluate_all("a => a.map(b => b.value)") == [value]


def text(page) -> str:
    """What can be read, but for the switches themselves."""
    return page.locator(".sheet").inner_text()


def opened(page) -> None:
    """With every fold open, so that all of it can be read."""
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")


def test_sizes_in_metric_and_back(visit):
    page = visit()
    opened(page)
    before = text(page)
    assert "22 microinches" in before
    choose(page, "units", "metric")
    after = text(page)
    said = page.locator(".says").all_inner_texts()
    assert any("µm" in one or "cm" in one for one in said)
    assert [one for one in said if "microinch" in one and "µm" not in one] == []
    # A microinch is 25.4 nm by definition of the inch (BIPM SI Brochure, 9th ed.): 22 are 0.56 µm.
    assert "0.56 µm" in after
    assert page.get_by_text("Drawings keep their own.").is_visible()
    choose(page, "units", "inch")
    assert text(page) == before


def test_metric_keeps_terms_linked_and_tables_in_step(visit):
    page = visit()
    links = "all => all.map(a => a.getAttribute('href'))"
    before = Counter(page.locator("main a").evaluate_all(links))
    rows = page.locator("main tr").count()
    choose(page, "units", "metric")
    lost = before - Counter(page.locator("main a").evaluate_all(links))
    # Only a unit that is no longer named has no link to what it means.
    assert set(lost) <= {f"#term-{unit}" for unit in ("microinch", "micrometer", "board")}
    assert page.locator("main tr").count() == rows
    heads = page.locator(".plate").first.locator(".numbers th").all_text_contents()
    assert any("µm" in head or "micromet" in head for head in heads)


def test_claims_in_the_reports_words_and_back(visit):
    page = visit()
    claim = page.locator("#claim-texture-falls")
    plain, own = claim.locator("h3 [data-claims=plain]"), claim.locator("h3 [data-claims=report]")
    assert plain.is_visible() and not own.is_visible()
    before = text(page)
    choose(page, "claims", "report")
    assert own.is_visible() and not plain.is_visible()
    # The plain words stay beside the report's, whichever leads.
    assert claim.locator(".plainly").is_visible()
    assert plain.text_content() in claim.locator(".plainly").inner_text()
    choose(page, "claims", "plain")
    assert text(page) == before


def test_a_term_opens_its_meaning_where_it_stands_and_closes_again(visit):
    page = visit()
    term = page.locator(".claim a.term").first
    name, y = term.get_attribute("href")[1:], page.evaluate("scrollY")
    meant = page.locator(f"#{name} + dd").evaluate("d => d.firstChild.textContent.trim()")
    term.focus()
    page.keyboard.press("Enter")
    note = page.locator(".gloss")
    assert note.count() == 1 and meant in note.inner_text()
    assert term.get_attribute("aria-expanded") == "true"
    assert abs(page.evaluate("scrollY") - y) < 900 and page.evaluate("location.hash") == ""
    page.keyboard.press("Escape")
    assert note.count() == 0 and term.evaluate("t => t === document.activeElement")
    term.click()
    assert note.count() == 1
    note.locator("button").click()
    assert note.count() == 0


def test_without_script_a_term_leads_to_its_meaning_and_back(visit):
    page = visit(java_script_enabled=False)
    term = page.locator(".claim a.term[id]").first
    slug = term.get_attribute("href").removeprefix("#term-")
    assert term.get_attribute("id") == f"use-{slug}"
    assert page.locator(f"#term-{slug} + dd a.back").get_attribute("href") == f"#use-{slug}"


def test_choices_are_kept_in_the_tab_and_nowhere_else(visit, served):
    page = visit(base=served)
    choose(page, "units", "metric")
    choose(page, "claims", "report")
    chosen = text(page)
    page.reload()
    assert text(page) == chosen
    page.goto(f"{served}/sixty-shots/index.html")
    assert page.locator(PRESSED.format("claims")).get_attribute("value") == "report"
    assert page.evaluate("[document.cookie, localStorage.length]") == ["", 0]
    fresh = visit(base=served)
    assert fresh.locator(PRESSED.format("units")).get_attribute("value") == "inch"


def test_a_switch_with_nothing_to_switch_is_not_shown(visit, site, every):
    for study in sorted(p.parent.name for p in site.glob("*/results.json"))[:: 1 if every else 2]:
        page = visit(f"{study}/index.html")
        opened(page)
        for name in page.locator("[data-choice]").evaluate_all("a => a.map(g => g.dataset.choice)"):
            buttons = page.locator(f"[data-choice={name}] button")
            before = text(page)
            buttons.last.click()
            assert text(page) != before, f"{study}: {name} changes nothing"
            buttons.first.click()


def test_an_address_with_half_an_escape_stops_nothing(visit):
    page = visit()
    page.evaluate("location.hash = '#%E0%A4%A'")
    page.reload()
    assert page.locator(".choices").is_visible()
