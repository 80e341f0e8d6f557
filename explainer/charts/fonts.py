"""The type: five faces as @font-face rules, and how wide a text runs in them.

Widths come from the faces themselves, so that a label can be placed without drawing it, and
the same on every machine.  ``tests/charts/make_faces.py`` cuts the faces, by hand, once.
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Iterator
from functools import cache, lru_cache
from pathlib import Path
from typing import Literal
from unicodedata import combining, east_asian_width

from explainer.charts.style import Face

FACES = Path(__file__).parent / "faces"

#: Face -> (family, weight, style) as CSS and matplotlib name them.
CUT: dict[Face, tuple[str, int, Literal["normal", "italic"]]] = {
    "sans": ("Fieldguide Sans", 400, "normal"),
    "sans-bold": ("Fieldguide Sans", 600, "normal"),
    "serif": ("Fieldguide Serif", 400, "normal"),
    "serif-italic": ("Fieldguide Serif", 400, "italic"),
    "serif-bold": ("Fieldguide Serif", 600, "normal"),
}
#: The letters that every page carries; the rest of a face is in its file ``-more``.
COMMON = "".join(map(chr, range(0x20, 0x7F))) + "\xa0°±²³·×éµ½¼¾\u2009\u202f–—‘’“”…′″←↑→↓−≈≤≥"
#: Between two letters, or after the s of many owners.
APOSTROPHE = r"(?<=[^\W\d_])'(?=[^\W\d_])|(?<=s)'(?=\s)"
#: What stands in where a face or a letter is missing.
STACK = {
    "Fieldguide Sans": "Fieldguide Sans,Fieldguide Serif,Helvetica,Arial,sans-serif",
    "Fieldguide Serif": "Fieldguide Serif,Fieldguide Sans,Georgia,serif",
}


def typeset(text: str) -> str:
    """``text`` with typographic apostrophes, as the page around a drawing has them."""
    return re.sub(APOSTROPHE, "’", text)


def path(face: Face) -> Path:
    """The TTF file of a face."""
    return FACES / f"{face}.ttf"


def face_css(for_html: bool, text: str | None = None, drawn: str = "") -> str:
    """@font-face rules with the fonts inside: WOFF2 for a page, TTF (drawn faster) for a PDF.

    A page that is to show ``text`` gets the rarer letters (accents, Greek) only if it has one; and
    where ``drawn`` (its HTML and its style) is given and it has none, only the faces used there.
    """
    if not for_html:
        return _rules("", "ttf", "truetype")
    if text is None or not _rarer().isdisjoint(text):
        span = ",".join(f"U+{ord(letter):X}" for letter in sorted(_rarer()))
        rules = _rules("", "woff2", "woff2")
        return rules + "\n" + _rules("-more", "woff2", "woff2", f";unicode-range:{span}")
    return _rules("", "woff2", "woff2", faces=_used(drawn) if drawn else tuple(CUT))


def _used(drawn: str) -> tuple[Face, ...]:
    """The faces that a page's drawings and style ask for; its own text is set in the sans."""
    if "var(--serif)" in drawn:
        return tuple(CUT)
    stack = re.escape(f'font-family="{STACK["Fieldguide Serif"]}"')
    asked = set(re.findall(rf'{stack}(?: font-weight="(\d+)")?(?: font-style="(\w+)")?', drawn))
    return tuple(
        face for face, (family, weight, style) in CUT.items()
        if family == "Fieldguide Sans"
        or ("" if weight == 400 else str(weight), "" if style == "normal" else style) in asked
    )  # fmt: skip


@cache
def _rarer() -> frozenset[str]:
    return frozenset(_widths()["sans"]) - frozenset(COMMON)


@cache
def _rules(
    part: str, kind: str, form: str, span: str = "", faces: tuple[Face, ...] = tuple(CUT)
) -> str:
    rules = []
    for face in faces:
        family, weight, style = CUT[face]
        data = b64encode((FACES / f"{face}{part}.{kind}").read_bytes()).decode("ascii")
        rules.append(
            f"@font-face{{font-family:'{family}';font-weight:{weight};font-style:{style};"
            f"font-display:swap;src:url(data:font/{kind};base64,{data}) format('{form}'){span}}}"
        )
    return "\n".join(rules)


@cache
def _widths() -> dict[str, dict[str, int]]:
    widths: dict[str, dict[str, int]] = json.loads((FACES / "widths.json").read_text("ascii"))
    return widths


@lru_cache(maxsize=20_000)
def width(text: str, size: float, face: Face = "sans") -> float:
    """How wide ``text`` runs, in points.  Kerning is left out, so this is never too little."""
    return sum(_each(text, face)) * size / 1000


def _each(text: str, face: Face) -> Iterator[int]:
    """How wide each letter is, in thousandths of the size."""
    known = _widths()[face]
    return (known.get(letter) or _elsewhere(letter) for letter in text)


def has(text: str) -> bool:
    """True when our faces hold every letter of ``text`` (the sans holds what italics lack)."""
    return all(letter in _widths()["sans"] for letter in text)


def _elsewhere(letter: str) -> int:
    """A letter our faces lack is set in another font: about this wide, in thousandths."""
    if combining(letter):
        return 0
    return 1000 if east_asian_width(letter) in "WF" else 650


def wrap(text: str, size: float, face: Face, limit: float) -> list[str]:
    """``text`` in lines no wider than ``limit`` points; a word that is wider is broken."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        trial = f"{line} {word}" if line else word
        if width(trial, size, face) <= limit:
            line = trial
            continue
        if line:
            lines.append(line)
        *broken, line = _broken(word, size, face, limit)
        lines += broken
    return [*lines, line] if line else lines


def _broken(word: str, size: float, face: Face, limit: float) -> list[str]:
    """A word in pieces no wider than ``limit``, each of a letter at least, gone through once."""
    pieces, start, so_far = [], 0, 0
    for at, wide in enumerate(_each(word, face)):
        if at > start and (so_far + wide) * size / 1000 > limit:
            pieces.append(word[start:at])
            start, so_far = at, 0
        so_far += wide
    return [*pieces, word[start:]]


def balanced(text: str, size: float, face: Face, limit: float) -> list[str]:
    """As ``wrap``, with no more lines, but the lines as even as they can be."""
    lines = wrap(text, size, face, limit)
    longest = max((width(word, size, face) for word in text.split()), default=0.0)
    low, high = min(longest, limit), limit
    if len(wrap(text, size, face, low)) == len(lines):
        return wrap(text, size, face, low)
    for _ in range(6):
        middle = (low + high) / 2
        if len(wrap(text, size, face, middle)) > len(lines):
            low = middle
        else:
            high = middle
    return wrap(text, size, face, high)


def shorten(text: str, size: float, face: Face, limit: float) -> str:
    """``text``, or as much of it as fits ``limit`` points with an ellipsis."""
    if width(text, size, face) <= limit:
        return text
    so_far, keep = sum(_each("…", face)), 0
    for at, (letter, wide) in enumerate(zip(text, _each(text, face), strict=True), start=1):
        so_far += wide
        if not letter.isspace():  # one at the end is cut off again
            if so_far * size / 1000 > limit:
                break
            keep = at
    return text[:keep] + "…"
