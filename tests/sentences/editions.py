"""What a reader meets in each edition of one study: its passages, and whom each speaks of.

Taken from the finished files: the page and the small pages that go into others, the printed page
and the sheets, the script in its lengths, the cards' words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import pypdfium2
from tinyhtml5 import parse

#: Elements whose own words make a passage, and those with nothing to read out.
_BLOCKS = frozenset(
    ("p", "li", "h1", "h2", "h3", "h4", "dt", "dd", "figcaption", "summary", "blockquote", "td",
     "th", "caption")
)  # fmt: skip
_SILENT = frozenset(("script", "style", "svg", "pre", "template", "nav", "footer"))
_STILL = re.compile(r"still \[(?P<name>[\w-]+)\]")


class Passage(NamedTuple):
    """One paragraph: the edition, the claim or figure it stands under (or none), the words."""

    edition: str
    claim: str
    figure: str
    text: str


def passages(files: Mapping[str, bytes]) -> Iterator[Passage]:
    """Every passage of every edition that was built."""
    for path, made in sorted(files.items()):
        if path == "index.html" or path.startswith("alone/"):
            name = "page" if path == "index.html" else "alone"
            yield from _of_html(name, path, made.decode("utf-8"))
        elif path.endswith(".pdf"):
            yield from (Passage(path, "", "", line) for line in printed(made))
        elif path == "script/script.md":
            yield from _of_script(made.decode("utf-8"))
        elif path in ("script/description.txt", "script/shorts.md"):
            lines = made.decode("utf-8").splitlines()
            yield from (Passage(path, "", "", line) for line in lines if line.strip())


def printed(pdf: bytes) -> list[str]:
    """The running sentences of a PDF; labels of charts and heads have no full stop."""
    with pypdfium2.PdfDocument(pdf) as document:
        text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    said = re.split(r"(?<=[.?!])\s+(?=[A-Z“])", re.sub(r"[\s\ufffe]+", " ", text))
    return [one for one in said if one[-1:] in ".?!" and len(one.split()) > 3]


def _of_html(edition: str, path: str, html: str) -> Iterator[Passage]:
    found = re.match(r"alone/(claim|fig)-(.+)\.html", path)
    claim = found[2] if found and found[1] == "claim" else ""
    figure = found[2] if found and found[1] == "fig" else ""
    root = parse(html, namespace_html_elements=False)
    yield from _blocks(root, edition, claim, figure)


def blocks_of(html: str) -> Iterator[str]:
    """The passages of a page, whatever they stand under."""
    yield from (passage.text for passage in _of_html("page", "index.html", html))


def _blocks(node: Any, edition: str, claim: str, figure: str) -> Iterator[Passage]:
    if not isinstance(node.tag, str) or node.tag in _SILENT:
        return
    claim = node.get("data-claim") or claim
    for one in node.iter("figure"):
        if node.tag == "article" and str(one.get("id", "")).startswith("fig-"):
            claim, figure = "", one.get("id").removeprefix("fig-")
    if node.tag in _BLOCKS and not any(c.tag in _BLOCKS for c in node.iter() if c is not node):
        if text := " ".join(_words(node).split()):
            yield Passage(edition, claim, figure, text)
        return
    for child in node:
        yield from _blocks(child, edition, claim, figure)


def _words(node: Any) -> str:
    """The words of an element as they run, without its drawings."""
    if not isinstance(node.tag, str) or node.tag in _SILENT:
        return node.tail or ""
    return (node.text or "") + "".join(_words(c) for c in node) + (node.tail or "")


def _of_script(text: str) -> Iterator[Passage]:
    """What is said beside each still, which is named for what it shows."""
    claim = figure = ""
    for line in text.splitlines():
        if line.startswith("#"):
            claim = figure = ""
            line = line.lstrip("# ")
        if (still := _STILL.search(line)) is not None:
            claim, figure = _shown(still["name"])
        elif line.strip() and not line.startswith(("*[", "Counted on")):
            yield Passage("script", claim, figure, line.strip())


def _shown(still: str) -> tuple[str, str]:
    """The claim or the figure that a still shows: ``07-claim-faster-0``, ``13-fig-use-note-1``."""
    kind, _, rest = still.partition("-")[2].partition("-")
    if kind == "claim":
        return re.sub(r"-\d+$", "", rest), ""
    return "", re.sub(r"-[a-z]+(?:-\d+)?$", "", f"fig-{rest}") if kind == "fig" else ""
