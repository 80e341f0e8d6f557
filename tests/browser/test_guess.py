"""A guess before the answer, and a range as dots: by mouse, finger, keys and without a script."""

from __future__ import annotations

import pytest

CLAIM = ".claim[data-claim=lockers-smoother]"


@pytest.fixture
def asked(visit):
    def opened(**settings):
        page = visit(reduced_motion="reduce", **settings)
        claim = page.locator(CLAIM)
        claim.scroll_into_view_if_needed()
        return page, claim

    return opened


def test_the_answer_stays_shut_until_a_guess_is_picked(asked):
    _, claim = asked()
    # Beside "backed" half of the guesses would be silly: the verdict is shut away with its size.
    assert not claim.locator(".verdict").first.is_visible()
    assert not claim.locator(".strip").first.is_visible()
    buttons = claim.locator(".guess button")
    assert buttons.count() == 5
    buttons.nth(4).click()
    assert claim.locator(".strip").first.is_visible()
    told = claim.locator(".answered")
    assert "outside your guess" in told.inner_text()
    wrong = told.inner_text()
    buttons.nth(1).click()
    assert "Well guessed" in told.inner_text() and wrong not in told.inner_text()
    pressed = buttons.evaluate_all("all => all.map(b => b.getAttribute('aria-pressed'))")
    assert pressed == ["false", "true", "false", "false", "false"]


@pytest.mark.parametrize("key", ["Enter", "Space"])
def test_a_guess_is_picked_by_key(asked, key):
    page, claim = asked()
    claim.locator(".guess button").nth(2).focus()
    page.keyboard.press(key)
    assert "outside your guess" in claim.locator(".answered").inner_text()
    assert claim.locator(".verdict").first.is_visible()


def test_a_guess_is_picked_by_touch_and_fits_a_phone(asked):
    _, claim = asked(viewport={"width": 320, "height": 640}, has_touch=True, is_mobile=True)
    button = claim.locator(".guess button").first
    box = button.bounding_box()
    assert box["height"] >= 24 and box["x"] >= 0 and box["x"] + box["width"] <= 320
    button.tap()
    assert claim.locator(".answered").inner_text()


def test_the_gap_follows_the_units(asked):
    page, claim = asked()
    page.locator("button[value=metric]").click()
    assert "µm" in claim.locator(".guess button").first.inner_text()
    claim.locator(".guess button").first.click()
    assert "µm" in claim.locator(".answered").inner_text()


def test_without_a_script_the_guesses_are_read_and_the_answer_unfolds(asked):
    _, claim = asked(java_script_enabled=False)
    assert claim.locator(".guess button").count() == 0
    assert claim.locator(".guess li").first.is_visible()
    assert not claim.locator(".strip").first.is_visible()
    claim.locator(".answers > summary").click()
    assert claim.locator(".strip").first.is_visible()


def test_a_link_to_what_lies_in_the_answer_opens_it(asked):
    page, _ = asked()
    page.evaluate("location.hash = 'fig-box-and-lockers'")
    page.locator("#fig-box-and-lockers").wait_for(state="visible")


def test_twenty_dots_open_beside_the_strip_and_say_what_can_be_counted(visit):
    page = visit()
    claim = page.locator(".claim[data-claim=plovers-faster]")
    fold = claim.locator("details", has_text="As twenty dots").first
    fold.locator("summary").focus()
    page.keyboard.press("Enter")
    dots = fold.locator("svg path").evaluate_all(
        "all => all.filter(p => getComputedStyle(p).strokeWidth === '1.2px')"
        ".map(p => [getComputedStyle(p).fill, p.getAttribute('d').match(/a4 4/g).length])"
    )
    assert sum(count for _, count in dots) == 20
    filled = dict(map(tuple, dots))
    assert len(filled) == 2
    assert "Seven of the twenty, filled" in fold.inner_text()
    assert min(filled.values()) == 7
