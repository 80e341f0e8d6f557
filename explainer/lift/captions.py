"""Lines of text, titles beside axes, and the captions that say which table or figure it is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from explainer.lift.shapes import PageBox, PageDrawing, PrintedWord, around

_CAPTION = re.compile(r"(Fig(?:ure|\.)?|Chart|Graph|Table|Tab\.)\s+([A-Z]?\d+(?:[.\-]\d+)*)\b")
_TABLES = ("Table", "Tab.")
#: Points that a caption stands from what it is of, at most.
REACH = 90.0


@dataclass(frozen=True)
class TextLine:
    """Words on one line, without gaps wider than a column's."""

    text: str
    box: PageBox
    size: float


@dataclass(frozen=True)
class Caption:
    """``label`` is how the report calls it: Figure 4, Table 2."""

    label: str
    text: str
    box: PageBox
    is_table: bool


def text_lines(words: Sequence[PrintedWord], gap: float = 1.6) -> list[TextLine]:
    """Upright words put together to lines; ``gap`` in letter sizes parts two lines' worth."""
    upright = sorted((w for w in words if not w.turned), key=lambda w: w.box.bottom)
    rows: list[list[PrintedWord]] = []
    for word in upright:
        row = next((r for r in rows[-4:] if _level(r[0], word)), None)
        if row is None:
            rows.append([word])
        else:
            row.append(word)
    found = []
    for row in rows:
        row.sort(key=lambda w: w.box.left)
        run = [row[0]]
        for word in row[1:]:
            if word.box.left - run[-1].box.right > gap * max(word.size, run[-1].size):
                found.append(_line(run))
                run = []
            run.append(word)
        found.append(_line(run))
    return sorted(found, key=lambda t: (t.box.top, t.box.left))


def _level(one: PrintedWord, two: PrintedWord) -> bool:
    """On one line: their boxes share most of the lower one's height (commas hang, letters rise)."""
    shared = min(one.box.bottom, two.box.bottom) - max(one.box.top, two.box.top)
    return shared > 0.45 * min(one.box.height, two.box.height)


def _line(words: list[PrintedWord]) -> TextLine:
    text = " ".join(w.text for w in words)
    return TextLine(text, around([w.box for w in words]), max(w.size for w in words))


def captions(lines: Sequence[TextLine]) -> list[Caption]:
    """Lines that begin as captions do, with the lines that go on below them."""
    found = []
    for i, line in enumerate(lines):
        match = _CAPTION.match(line.text)
        if not match:
            continue
        rest = line.text[match.end() :]
        if rest and not re.match(r"\s*[.:–—|)-]|\s+[A-Z(]|,?\s+cont|\s*$", rest):
            continue  # a sentence that begins with its name: Figure 4 shows …
        text, box = line.text, line.box
        for other in lines[i + 1 :]:
            close = 0 < other.box.top - box.bottom + 2 < 0.9 * line.size
            if close and abs(other.box.left - line.box.left) < 4 and len(text) < 400:
                text, box = f"{text} {other.text}", around([box, other.box])
            elif other.box.top > box.bottom + line.size:
                break
        kind = "Table" if match[1] in _TABLES else "Figure"
        label = f"{kind} {match[2]}"
        found.append(Caption(label, text, box, kind == "Table"))
    return found


def table_caption(box: PageBox, known: Sequence[Caption]) -> Caption | None:
    """The caption of the table in ``box``: above it, else near."""
    best: tuple[float, Caption] | None = None
    for caption in known:
        it = caption.box
        if not caption.is_table or min(it.right, box.right) < max(it.left, box.left):
            continue
        above, below = box.top - it.bottom, it.top - box.bottom
        gap = max(above, below, 0.0)
        cost = gap + (25 if below > 0 else 0)
        if gap <= REACH and (best is None or cost < best[0]):
            best = (cost, caption)
    return best[1] if best else None


def prose_beside(drawing: PageDrawing, box: PageBox, known: Sequence[Caption]) -> tuple[bool, bool]:
    """Whether running text stands above and below ``box``, within its width.

    Captions, notes (that begin with a mark or their name, or are set smaller than the page's
    text), running titles and page numbers are none.
    """
    lines = [
        line for line in text_lines(list(drawing.words))
        if min(line.box.right, box.right) - max(line.box.left, box.left) > 0
        and not any(c.box.holds(line.box.centre) for c in known)
    ]  # fmt: skip
    sizes = sorted(w.size for w in drawing.words)
    usual = sizes[len(sizes) // 2] if sizes else 0.0
    found = [False, False]
    for block in _blocks_of(lines):
        whole = around([line.box for line in block])
        edge = len(block) == 1 and not (
            0.09 * drawing.height < whole.centre[1] < 0.91 * drawing.height
        )
        words = sum(len(line.text.split()) for line in block)
        note = _NOTE.match(block[0].text) or block[0].size < 0.93 * usual
        if edge or note or words < 6 or _CONTINUED_ON.search(block[0].text):
            continue
        found[0] = found[0] or whole.bottom < box.top + 1
        found[1] = found[1] or whole.top > box.bottom - 1
    return found[0], found[1]


_NOTE = re.compile(r"\^|[a-z*†‡§¶][).]?\s|\d[).]?\s|[*†‡§¶]|Notes?\b|Sources?\b")
_CONTINUED_ON = re.compile(r"\bcontinue[sd]\b", re.I)


def _blocks_of(lines: Sequence[TextLine]) -> list[list[TextLine]]:
    """Lines without an empty line between them."""
    blocks: list[list[TextLine]] = []
    for line in lines:
        if blocks and line.box.top - blocks[-1][-1].box.bottom < 0.8 * line.size:
            blocks[-1].append(line)
        else:
            blocks.append([line])
    return blocks


def title_below(drawing: PageDrawing, labels: PageBox, wide: PageBox) -> str:
    """The words of an x axis: the first line below its labels, within the plot's width."""
    lines = text_lines([w for w in drawing.words if w.box.top > labels.bottom - 1], 3.0)
    for line in lines:
        near = line.box.top - labels.bottom < 2.2 * line.size
        middle = line.box.centre[0]
        if near and wide.left - 5 <= middle <= wide.right + 5 and re.search(r"[^\W\d]", line.text):
            return "" if _CAPTION.match(line.text) else line.text
    return ""


def title_beside(drawing: PageDrawing, labels: PageBox, high: PageBox, left: bool = True) -> str:
    """The words of a y axis: turned beside its labels, else a line just above the axis."""
    turned = [
        w for w in drawing.words
        if w.turned and high.top - 12 <= w.middle[1] <= high.bottom + 12
        and (-2 < labels.left - w.box.right < 40 if left else -2 < w.box.left - labels.right < 40)
    ]  # fmt: skip
    if turned:
        near = max(w.box.right for w in turned) if left else min(w.box.left for w in turned)
        column = [w for w in turned if abs((w.box.right if left else w.box.left) - near) < 6]
        return " ".join(w.text for w in sorted(column, key=lambda w: -w.box.bottom))
    above = [
        line for line in text_lines(list(drawing.words), 2.0)
        if 0 <= high.top - line.box.bottom < 22 and line.box.left <= labels.right + 12
        and line.box.right < high.centre[0] and re.search(r"[^\W\d]", line.text)
        and not _CAPTION.match(line.text)
    ]  # fmt: skip
    return above[-1].text if above else ""
