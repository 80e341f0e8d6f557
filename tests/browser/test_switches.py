"""Each switch changes what it says and nothing else, comes back, and is kept in the next page."""

from __future__ import annotations

from collections import Counter

import pytest

PRESSED = "[data-choice={}] button[aria-pressed=true]"


def choose(page, name, value):
    page.locator(f"[data-choice={name}] button[value={value}]").click()
    assert page.locator(PRESSED.format(name)).evaluate_all("a => a.map(b => b.value)") == [value]


def text(page) -> str:
    """What can be read, but for the switches themselves."""
    return page.locator(".sheet").inner_text()


def test_sizes_in_metric_and_back(visit):
    page = visit()
    before = text(page)
    assert "22 microinches" in before
    choose(page, "units", "metric")
    after = text(page)
    answers = page.locator(".glance .size").all_inner_texts()
    assert any("µm" in size or "cm" in size for size in answers)
    assert [size for size in answers if "microinch" in size and "µm" not in size] == []
    # A microinch is 25.4 nm by definition of the inch (BIPM SI Brochure, 9th ed.): 22 are 0.56 µm.
    assert "0.56 µm" in after
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


@pytest.mark.parametrize("audience", ["league", "coach"])
def test_told_to_another_audience_with_the_same_verdicts(visit, audience):
    page = visit()
    verdicts = page.locator(".verdict").all_inner_texts()
    before = text(page)
    choose(page, "audience", audience)
    assert text(page) != before
    assert page.locator(".verdict").all_inner_texts() == verdicts
    shown = page.locator("[data-audience]:visible").evaluate_all(
        "all => all.map(e => e.dataset.audience)"
    )
    assert shown and all(audience in said.split() for said in shown)
    choose(page, "audience", "viewer")
    assert text(page) == before


def test_no_audience_is_left_without_an_answer(visit):
    page = visit()
    for audience in ("viewer", "league", "coach"):
        choose(page, "audience", audience)
        assert page.locator("#answer .answer:visible").count() == 1
        assert page.locator("#short p:visible").count() >= 1


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


def test_a_switch_with_nothing_to_switch_is_not_shown(visit, site):
    for study in sorted(p.parent.name for p in site.glob("*/results.json")):
        page = visit(f"{study}/index.html")
        for name in page.locator("[data-choice]").evaluate_all("a => a.map(g => g.dataset.choice)"):
            buttons = page.locator(f"[data-choice={name}] button")
            before = text(page)
            buttons.last.click()
            assert text(page) != before, f"{study}: {name} changes nothing"
            buttons.first.click()
