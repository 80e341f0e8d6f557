"""A chart is read out by mouse, touch and keyboard; a figure or a claim can be passed on."""

from __future__ import annotations

import re

import pytest

MARK = """(figure, n) => {
  const svg = [...figure.querySelectorAll('.chart svg')].find(s => s.getClientRects().length);
  const path = svg.querySelectorAll('[data-cells]')[0], box = svg.getBoundingClientRect();
  const at = [...path.getAttribute('d').matchAll(/M(-?[\\d.]+) (-?[\\d.]+)m/g)][n];
  const wide = box.width / svg.viewBox.baseVal.width;
  return [box.left + at[1] * wide, box.top + at[2] * wide];
}"""


@pytest.fixture
def plate(visit):
    def opened(**settings):
        page = visit(**settings)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        plate = page.locator(".plate").first
        plate.locator(".chart").scroll_into_view_if_needed()
        return page, plate

    return opened


def table(plate) -> list[list[str]]:
    rows = plate.locator(".numbers").first.locator("tr")
    return rows.evaluate_all("rows => rows.map(r => [...r.cells].map(c => c.textContent.trim()))")


def test_arrow_keys_walk_the_marks_and_say_the_numbers_of_the_table(plate):
    page, first = plate()
    heads, *rows = table(first)
    line = first.locator(".readout")
    hint = line.inner_text()
    first.locator(".chart").focus()
    said = []
    for _ in range(3):
        page.keyboard.press("ArrowRight")
        said.append(line.inner_text())
    assert said == [f"{rows[0][0]}, {heads[2 + i]}: {rows[0][2 + i]}" for i in range(3)]
    assert first.locator(".ring").count() == 1
    page.keyboard.press("ArrowLeft")
    assert line.inner_text() == said[1]
    page.keyboard.press("End")
    assert re.search(r": \S", line.inner_text()) and line.inner_text() not in said
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Home")
    assert line.inner_text() == said[0]
    page.keyboard.press("Escape")
    assert line.inner_text() == hint and first.locator(".ring").count() == 0


def test_the_mouse_reads_the_mark_it_is_over(plate):
    page, first = plate()
    heads, *rows = table(first)
    page.mouse.move(*first.evaluate(MARK, 1))
    said = first.locator(".readout").inner_text()
    assert said in {f"{row[0]}, {heads[3]}: {row[3]}" for row in rows}


def test_a_tap_reads_the_mark_under_a_finger_on_a_phone(plate):
    page, first = plate(viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True)
    heads, *rows = table(first)
    page.touchscreen.tap(*first.evaluate(MARK, 2))
    said = first.locator(".readout").inner_text()
    assert said in {f"{row[0]}, {heads[4]}: {row[4]}" for row in rows}


def test_the_read_out_follows_the_units(plate):
    page, first = plate()
    page.locator("button[value=metric]").click()
    first.locator(".chart").focus()
    page.keyboard.press("ArrowRight")
    assert re.search(r"µm|micromet", first.locator(".readout").inner_text())


def test_every_chart_of_every_example_is_read_to_its_end(visit, site, every):
    for study in sorted(p.parent.name for p in site.glob("*/results.json"))[:: 1 if every else 2]:
        page = visit(f"{study}/index.html")
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        charts = page.locator("figure .chart[tabindex]")
        for index in range(charts.count()):
            charts.nth(index).focus()
            said = []
            for key in ("Home", "ArrowDown", "End"):
                page.keyboard.press(key)
                said.append(page.locator("figure .readout").nth(index).inner_text())
            assert all(said) and said[0] != said[2], f"{study}, chart {index + 1}: {said}"


@pytest.mark.parametrize("place", [".plate", ".claim"])
def test_a_link_is_copied_where_a_clipboard_is_to_be_had(visit, served, place):
    page = visit(base=served, permissions=["clipboard-read", "clipboard-write"])
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    first = page.locator(place).first
    first.locator("button.link").last.click()
    first.locator("[role=status]", has_text="Copied").wait_for()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied.startswith(f"{served}/cover-texture/index.html#")
    target = copied.split("#")[1]
    assert first.evaluate("(e, id) => e.id === id || !!e.querySelector('#' + id)", target)


def test_without_a_clipboard_the_link_is_in_the_address_bar(visit):
    page = visit(permissions=[])
    page.evaluate("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    claim = page.locator(".claim").first
    claim.locator("button.link").last.click()
    assert "address bar" in claim.locator("[role=status]").last.inner_text()
    assert page.url.endswith("#" + claim.get_attribute("id"))
