"""axe-core finds nothing on any page, light or dark, wide or with every switch turned.

Rules tagged WCAG 2.0, 2.1 and 2.2, levels A and AA (https://www.w3.org/TR/WCAG22/).  axe does
not judge text inside a drawing; the contrast of the palette is tested with the charts.
"""

from __future__ import annotations

from importlib.resources import files

import pytest

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]
RUN = """async tags => {
  const found = await axe.run(document, {runOnly: {type: 'tag', values: tags},
                                         resultTypes: ['violations']});
  return found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`);
}"""


@pytest.fixture(scope="module")
def axe() -> str:
    return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")


def violations(page, axe) -> list[str]:
    page.evaluate(axe)
    return page.evaluate(RUN, TAGS)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_violation_on_any_page(visit, pages, axe, scheme, every):
    """Each page in one of the two, or in both."""
    page = visit(color_scheme=scheme, reduced_motion="reduce", bypass_csp=True)
    base = page.url.rsplit("cover-texture", 1)[0]
    found = {}
    for path in pages if every else pages[scheme == "dark" :: 2]:
        page.goto(base + path)
        if wrong := violations(page, axe):
            found[path] = wrong
    assert found == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_violation_on_a_phone_with_every_switch_turned_and_fold_open(visit, axe, scheme):
    page = visit(
        color_scheme=scheme, viewport={"width": 360, "height": 740}, bypass_csp=True,
        reduced_motion="reduce",
    )  # fmt: skip
    for value in ("metric", "report"):
        page.locator(f".choices button[value={value}]").click()
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    page.locator(".plate .chart").first.focus()
    page.keyboard.press("ArrowRight")
    assert violations(page, axe) == []


def test_axe_would_have_noticed(visit, axe):
    page = visit("index.html", bypass_csp=True)
    page.evaluate("document.querySelector('main').append(document.createElement('input'))")
    page.evaluate("document.querySelector('h1').style.color = '#eee'")
    assert {said.split(":")[0] for said in violations(page, axe)} == {"label", "color-contrast"}
