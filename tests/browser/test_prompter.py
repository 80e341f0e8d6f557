"""The prompter: scrolls as fast as the words are said, by keys, with nothing from outside."""

from __future__ import annotations

import pytest

PAGE = "gauge-check/script/prompter.html"
#: Seconds into the script of the words at the height where one reads.
AT_EYE = """() => {
  const eye = innerHeight * 0.35;
  const lines = [...document.querySelectorAll('#words section:not([hidden]) p[data-at]')];
  return lines.map(p => [Number(p.dataset.at), Number(p.dataset.takes),
                         p.getBoundingClientRect().top, p.offsetHeight])
    .filter(([, , top]) => top <= eye + 1)
    .map(([at, takes, top, height]) => at + takes * Math.min(1, (eye - top) / height)).pop() ?? -1;
}"""


def opened(visit, **settings):
    page = visit(PAGE, **settings)
    page.clock.install(time=0)
    page.reload()
    page.clock.pause_at(60)  # no time passes but what a test lets pass
    return page


def test_it_scrolls_at_the_speaking_rate_and_stops_by_a_key(visit):
    page = opened(visit)
    page.keyboard.press("Space")
    start = page.evaluate(AT_EYE)
    page.clock.run_for(8_000)
    after = page.evaluate(AT_EYE)
    assert after - max(start, 0) == pytest.approx(8, abs=0.6)
    assert page.locator("#run").inner_text() == "Stop"
    page.keyboard.press("Space")
    still = page.evaluate("scrollY")
    page.clock.run_for(3_000)
    assert page.evaluate("scrollY") == still
    assert page.locator("#run").inner_text() == "Start"


def test_twice_the_words_a_minute_is_twice_as_fast(visit):
    page = opened(visit)
    page.locator("#pace").fill("300")
    page.locator("#mirror").focus()
    page.locator("h1").click()
    page.keyboard.press("Home")
    page.keyboard.press("Space")
    page.clock.run_for(5_000)
    assert page.evaluate(AT_EYE) == pytest.approx(10, abs=0.8)


def test_it_goes_on_from_where_somebody_scrolled_to(visit):
    page = opened(visit)
    page.evaluate("scrollTo(0, document.body.scrollHeight / 2)")
    there = page.evaluate(AT_EYE)
    assert there > 10
    page.keyboard.press("Space")
    page.clock.run_for(4_000)
    assert page.evaluate(AT_EYE) == pytest.approx(there + 4, abs=0.6)


def test_keys_mirror_and_size_the_words_and_buttons_do_the_same(visit):
    page = opened(visit)
    words = page.locator("#words")
    large = words.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    page.keyboard.press("m")
    assert words.evaluate("e => getComputedStyle(e).transform") == "matrix(-1, 0, 0, 1, 0, 0)"
    assert page.locator("#mirror").get_attribute("aria-pressed") == "true"
    page.locator("#mirror").click()
    assert words.evaluate("e => getComputedStyle(e).transform") == "none"
    page.locator("#larger").click()
    assert words.evaluate("e => parseFloat(getComputedStyle(e).fontSize)") > large >= 60


def test_another_length_is_another_text_from_the_start(visit):
    page = opened(visit)
    page.locator("#which").select_option("cut-2-minutes")
    assert page.locator("#cut-2-minutes").is_visible()
    assert not page.locator("#cut-full").is_visible()
    assert page.locator("#left").inner_text().endswith("left")
    assert page.evaluate("scrollY") == 0


def test_nothing_is_asked_for_and_without_scripts_all_words_are_there(visit):
    page = opened(visit)
    assert all(url.endswith(PAGE) for url in page.asked)
    bare = visit(PAGE, java_script_enabled=False)
    assert bare.locator("#cut-full").is_visible() and bare.locator("#cut-2-minutes").is_visible()
    assert not bare.locator("#desk").is_visible()
    assert "switched off" in bare.locator("noscript").inner_text()
