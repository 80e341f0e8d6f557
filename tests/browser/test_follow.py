"""Whoever is followed in one figure is followed in all, and two lines tell what it did."""

from __future__ import annotations

import pytest

FIGURE = "#fig-texture-over-play"
#: Where the nth mark of a figure is on the screen.
MARK = """(figure, n) => {
  const svg = [...figure.querySelectorAll('.chart svg')].find(s => s.getClientRects().length);
  const path = svg.querySelectorAll('[data-cells]')[0], box = svg.getBoundingClientRect();
  const at = [...path.getAttribute('d').matchAll(/M(-?[\\d.]+) (-?[\\d.]+)m/g)][n];
  const wide = box.width / svg.viewBox.baseVal.width;
  return [box.left + at[1] * wide, box.top + at[2] * wide];
}"""


@pytest.fixture
def opened(visit):
    def go(**settings):
        page = visit(reduced_motion="reduce", **settings)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        page.locator(f"{FIGURE} .chart").scroll_into_view_if_needed()
        return page

    return go


def test_keys_follow_a_ball_and_tell_its_story_until_escape(opened):
    page = opened()
    story = page.locator(f"{FIGURE} .story")
    assert not story.is_visible()
    page.locator(f"{FIGURE} .chart").focus()
    page.keyboard.press("ArrowRight")
    assert story.inner_text().startswith("Ball P1 went from 87 at the start to 68")
    assert story.locator("p").count() == 2
    other = page.locator("#fig-hook-over-play .story")
    assert other.inner_text().startswith("Ball P1 went from 11.9")
    assert page.locator("#fig-hook-over-play .trail").count() > 0
    page.keyboard.press("Escape")
    assert not story.is_visible() and not other.is_visible()


def test_the_list_has_every_story_and_gets_back_what_it_lent(opened):
    page = opened()
    plate = page.locator(f".plate:has({FIGURE})")
    whole = plate.locator(".stories").inner_text()
    assert whole.count("went from") == 8
    page.locator(f"{FIGURE} .chart").focus()
    page.keyboard.press("ArrowRight")
    assert plate.locator(".stories").inner_text().count("went from") == 7
    page.keyboard.press("Escape")
    assert plate.locator(".stories").inner_text() == whole


@pytest.mark.parametrize("way", ["mouse", "tap"])
def test_a_ball_is_followed_by_pointer_and_by_finger(opened, way):
    phone = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
    page = opened(**(phone if way == "tap" else {}))
    at = page.locator(FIGURE).evaluate(MARK, 1)
    if way == "tap":
        page.touchscreen.tap(*at)
    else:
        page.mouse.move(*at)
    story = page.locator(f"{FIGURE} .story")
    assert "went from" in story.inner_text()
    name = page.locator(f"{FIGURE} .readout").inner_text().split(",")[0]
    assert f"Ball {name} " in story.inner_text()


def test_the_story_follows_the_units(opened):
    page = opened()
    page.locator(f"{FIGURE} .chart").focus()
    page.keyboard.press("ArrowRight")
    page.locator("button[value=metric]").click()
    assert "µm" in page.locator(f"{FIGURE} .story").inner_text()
    page.locator("button[value=inch]").click()
    assert "µm" not in page.locator(f"{FIGURE} .story").inner_text()
