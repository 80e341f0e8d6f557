"""Everything a mouse can do, the keys can: in reading order, always seen, never trapped."""

from __future__ import annotations

import pytest

FOCUSABLE = "a[href], button, summary, input, [tabindex='0']"
HERE = """() => {
  const e = document.activeElement, s = getComputedStyle(e), box = e.getBoundingClientRect();
  return {index: window.stops.indexOf(e), outline: s.outlineStyle !== 'none' && s.outlineWidth,
          seen: box.width > 0 && box.bottom > 0 && box.top < innerHeight,
          what: e.outerHTML.slice(0, 90)};
}"""


@pytest.mark.parametrize("path", ["cover-texture/index.html", "index.html"])
def test_tab_goes_through_all_of_it_in_order_and_is_seen(visit, path):
    page = visit(path, reduced_motion="reduce")
    wanted = page.evaluate(
        """query => {
          window.stops = [...document.querySelectorAll(query)]
            .filter(e => e.checkVisibility({contentVisibilityAuto: true}));
          return window.stops.length;
        }""",
        FOCUSABLE,
    )
    assert wanted > 5
    for index in range(wanted):
        page.keyboard.press("Tab")
        here = page.evaluate(HERE)
        assert here["index"] == index, here
        assert here["outline"], f"no outline: {here['what']}"
        assert here["seen"], f"not on the screen: {here['what']}"


def test_the_skip_link_comes_first_and_leads_to_the_text(visit):
    page = visit()
    page.keyboard.press("Tab")
    skip = page.locator(".skip")
    assert skip.evaluate("e => e === document.activeElement")
    assert skip.bounding_box()["x"] >= 0
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")


@pytest.mark.parametrize("key", ["Enter", "Space"])
def test_switches_and_folds_answer_to_the_keys(visit, key):
    page = visit()
    page.locator("button[value=metric]").focus()
    page.keyboard.press(key)
    assert page.locator("button[value=metric]").get_attribute("aria-pressed") == "true"
    fold = page.locator("details").first
    fold.locator("> summary").focus()
    page.keyboard.press(key)
    assert fold.evaluate("e => e.open")


def test_the_contents_follow_along(visit):
    page = visit(reduced_motion="reduce")
    for section in ("claims", "questions", "reasons"):
        page.locator(f"#{section}").evaluate("e => e.scrollIntoView()")
        page.locator(f".contents a[href='#{section}'][aria-current]").wait_for()
        assert page.locator(".contents [aria-current]").count() == 1


def test_a_folded_place_opens_when_it_is_linked_to(visit):
    page = visit()
    inside = page.evaluate("document.querySelector('details:not([open]) table').id = 'there'")
    page.evaluate("id => { location.hash = id }", inside)
    page.locator("#there").wait_for(state="visible")
