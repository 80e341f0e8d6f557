"""The site in the repository is what the studies give: everything a reader sees, and no pixels.

Words, links, verdicts and numbers are compared.  How a curve is drawn, how a PDF is packed and
how a still is rasterized may differ with the versions of libraries, and are not.
"""

from __future__ import annotations

import csv
import json
import math
import re
from pathlib import Path
from typing import Any

import lxml.html
import pytest

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "site"
#: Attributes that carry meaning for a reader or for a check.
SHOWN = (
    "href", "alt", "data-claim", "data-verdict", "data-term", "data-outcome", "data-metric",
    "data-inch",
)  # fmt: skip
#: A size with the other system behind it, and the number and the unit of a size.
_PAIR = re.compile(r"(.+?) \(([\d.,−]+ \S+)\)")
_VERSION = re.compile(r"explainer \d+\.\d+\S*")


@pytest.fixture(scope="module")
def fresh(request) -> Path:
    if not (SITE / "index.html").is_file():
        pytest.skip("no site is committed yet")
    return request.getfixturevalue("examples")


def names(root: Path) -> set[str]:
    return {p.relative_to(root).as_posix() for p in root.rglob("*") if p.is_file()}


def seen(page: Path) -> tuple[list[str], list[tuple[str, str, str]]]:
    """The text of a page, piece by piece, and what its links and marks say."""
    tree = lxml.html.parse(str(page)).getroot()
    for code in tree.xpath("//script | //style"):
        code.drop_tree()
    words = (_VERSION.sub("explainer", " ".join(t.split())) for t in tree.itertext())
    marks = [
        (e.tag, name, str(e.get(name)))
        for e in tree.iter()
        if isinstance(e.tag, str)
        for name in SHOWN
        if e.get(name) is not None and not str(e.get(name)).startswith("data:")
    ]
    return [w for w in words if w], marks


def unlike(a: Any, b: Any, at: str = "") -> list[str]:
    """Where two results differ by more than 9 digits, or in anything but a number."""
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        return [d for k in a for d in unlike(a[k], b[k], f"{at}/{k}") if k != "explainer"]
    if isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        return [
            d for i, (x, y) in enumerate(zip(a, b, strict=True)) for d in unlike(x, y, f"{at}/{i}")
        ]
    numbers = all(isinstance(v, int | float) and not isinstance(v, bool) for v in (a, b))
    same = math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12) if numbers else a == b
    return [] if same else [f"{at}: {a!r} in the repository, {b!r} now"]


@pytest.mark.slow
def test_the_same_files_are_there(fresh):
    assert names(SITE) == names(fresh)


@pytest.mark.slow
def test_every_page_says_the_same_and_leads_to_the_same(fresh):
    pages = sorted(n for n in names(SITE) & names(fresh) if n.endswith(".html"))
    assert pages
    differ = []
    for page in pages:
        (words, marks), (new_words, new_marks) = seen(SITE / page), seen(fresh / page)
        differ += [f"{page}: {pair}" for pair in zip(words, new_words, strict=False)
                   if pair[0] != pair[1]][:1]  # fmt: skip
        if len(words) != len(new_words) or marks != new_marks:
            differ.append(f"{page}: its parts or its links")
    assert differ == []


def told_twice(page: Path) -> list[str]:
    """What a page tells in the other system of units in ways that no one number could be told in:
    each system rounds the number itself, so that 24.0 and 23.6 microinches read alike in one.

    A cell belongs to its column, whose head names the unit; a size that stands with the other
    system beside it tells the same as one that is replaced.
    """
    ways: dict[tuple[str, str], set[str]] = {}
    for element in lxml.html.parse(str(page)).getroot().iter("span", "td"):
        for system in ("data-metric", "data-inch"):
            if element.get(system) is None:
                continue
            said, told = " ".join(element.text_content().split()), str(element.get(system))
            if element.tag == "td":
                row = element.getparent()
                head = row.xpath("ancestor::table//thead/tr/*")[row.index(element)]
                said, told = f"{said} {head.text_content()}", f"{told} {head.get(system)}"
            for text in (said, told):
                if pair := _PAIR.fullmatch(text):
                    said, told = pair[1], pair[2]
            ways.setdefault((said, system), set()).add(told)
    return [f"{said}: {sorted(told)}" for (said, _), told in ways.items()
            if len(told) > 1 and _unlike_ways(said, told)]  # fmt: skip


def _unlike_ways(said: str, told: set[str]) -> bool:
    """Whether numbers that read as they do in ``said`` cannot lie as far apart as in ``told``."""
    own, others = _numbers(said), [_numbers(text) for text in told]
    if {len(other) for other in others} != {len(own)}:
        return True
    for i, (number, step) in enumerate(own):
        values = [other[i][0] for other in others]
        times = max(map(abs, values)) / abs(number) if number else 1.0
        room = step * times + max(other[i][1] for other in others)
        if max(values) - min(values) > room * 1.001:
            return True
    return False


def _numbers(text: str) -> list[tuple[float, float]]:
    """Each number of a text and the step it may have been rounded to."""
    found = []
    for figures in re.findall(r"[−-]?\d[\d,]*(?:\.\d+)?", text):
        plain = figures.replace(",", "").replace("−", "-")
        zeros = len(plain) - len(plain.rstrip("0")) if "." not in plain else 0
        found.append((float(plain), 10.0 ** (zeros - len(plain.partition(".")[2]))))
    return found


@pytest.mark.parametrize(
    ("said", "told", "unlike_"),
    [("24 microinches", {"0.60 µm", "0.61 µm"}, False), ("24 microinches", {"0.61", "0.64"}, True),
     ("2.5 boards", {"6.7 cm", "6.8 cm"}, False), ("2.5 boards", {"6.8 cm", "7.3 cm"}, True),
     ("0 boards", {"0 cm", "0.02 cm"}, False),
     ("2 to 3 boards", {"5.4 to 8.1 cm", "5.4 cm"}, True)],
)  # fmt: skip
def test_what_reads_alike_may_not_be_told_far_apart(
    said: str, told: set[str], unlike_: bool
) -> None:
    assert _unlike_ways(said, told) == unlike_


@pytest.mark.slow
def test_no_page_tells_one_size_in_two_ways(fresh):
    pages = sorted(fresh.glob("*/index.html"))
    assert sum("data-metric" in page.read_text("utf-8") for page in pages) >= 5
    assert {page.parent.name: told_twice(page) for page in pages if told_twice(page)} == {}


@pytest.mark.slow
def test_every_text_is_the_same(fresh):
    texts = sorted(n for n in names(SITE) & names(fresh) if n.endswith((".md", ".vtt", ".txt")))
    differ = [
        name
        for name in texts
        if _VERSION.sub("", (SITE / name).read_text("utf-8"))
        != _VERSION.sub("", (fresh / name).read_text("utf-8"))
    ]
    assert differ == []


@pytest.mark.slow
def test_every_result_is_the_same_to_nine_digits(fresh):
    results = sorted(n for n in names(SITE) & names(fresh) if n.endswith("results.json"))
    assert results
    differ = []
    for name in results:
        old, new = (json.loads((root / name).read_text("utf-8")) for root in (SITE, fresh))
        differ += unlike(old, new, name)
    assert differ == []


@pytest.mark.slow
def test_every_table_to_download_is_the_same(fresh):
    tables = sorted(n for n in names(SITE) & names(fresh) if n.endswith(".csv"))
    assert tables
    for name in tables:
        old, new = (
            list(csv.reader((root / name).read_text("utf-8").splitlines(keepends=True)))
            for root in (SITE, fresh)
        )
        assert old == new, name


def test_a_size_told_in_two_ways_would_be_seen(tmp_path):
    page = tmp_path / "a.html"
    once = '<p><span data-metric="6.8 cm">2.5 boards</span>'
    for other, ways in (("6.8 cm", 0), ("6.7 cm", 0), ("7.3 cm", 1)):
        for again in (
            f'<span data-metric="{other}">2.5 boards</span>',
            f'<span data-metric="2.5 boards ({other})">2.5 boards</span>',
            f'<span data-metric="{other}">2.5 boards ({other})</span>',
        ):
            page.write_text(f"{once}{again}</p>", "utf-8")
            assert len(told_twice(page)) == ways, again


def test_a_cell_is_held_to_its_own_column(tmp_path):
    page = tmp_path / "a.html"
    head = '<tr><th data-metric="at (m)">at (ft)<th data-metric="x (cm)">x (boards)</tr>'
    row = '<tr><td data-metric="12">40<td data-metric="{}">40</tr>'
    for last, ways in (("110", 0), ("60", 1)):
        rows = row.format("110") + row.format(last)
        page.write_text(f"<table><thead>{head}</thead><tbody>{rows}</tbody></table>", "utf-8")
        assert len(told_twice(page)) == ways


def test_a_changed_number_in_the_other_system_would_be_seen(tmp_path):
    page = tmp_path / "a.html"
    page.write_text('<p><span data-metric="6.8 cm">2.5 boards</span></p>')
    _, marks = seen(page)
    page.write_text('<p><span data-metric="6.7 cm">2.5 boards</span></p>')
    assert seen(page)[1] != marks


def test_a_changed_number_word_or_link_would_be_seen(tmp_path):
    """The comparison itself can fail."""
    page = tmp_path / "a.html"
    page.write_text("<p>Eight balls <a href='x.html'>fell</a></p><style>a{}</style>")
    words, marks = seen(page)
    page.write_text("<p>Nine balls <a href='y.html'>fell</a></p><style>b{}</style>")
    assert seen(page)[0] != words
    assert seen(page)[1] != marks
    assert unlike({"p": 0.1, "n": [1]}, {"p": 0.1 + 1e-13, "n": [1]}) == []
    assert unlike({"p": 0.1, "n": [1]}, {"p": 0.1000001, "n": [1]}) != []
    assert unlike({"p": None}, {"p": 0.0}) != []
    assert unlike([1, 2], [1]) != []
    assert unlike({"v": "backed"}, {"v": "leans"}) != []
