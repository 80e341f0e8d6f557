"""The reason chain of a rule: one link under the other, the weakest marked.

It is torn only where the data contradict it: a reason that is open is not broken, and one that is
backed even less so.

It is as wide as a phone, so that one drawing serves every page.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from explainer.charts import fonts, svg
from explainer.charts.display_list import DisplayList, Points
from explainer.claims.verdict import Chain, ChainLink, Code
from explainer.words.said import ClaimWords
from explainer.words.sentence import unjoined
from explainer.words.speakers import speaker_of

WIDTH = 288.0
"""What a screen 320 wide leaves, so that a point is a pixel there."""
TEXT = 47.0
"""Left edge of the words; the links hang to the left of it."""
MIDDLE = 23.0
SIZE, NAME = 13.0, 12.0
LEADING = 1.25

NOBODY: Mapping[str, str] = MappingProxyType({})
#: How a link is drawn, from its verdict: width of its line and its dash.
LOOK: dict[Code, tuple[float, tuple[float, ...]]] = {
    "backed": (4.2, ()),
    "leans": (2.6, ()),
    "cannot-tell": (2.2, (5, 3)),
    "not-tested": (1.8, (1.6, 3)),
    "against": (2.6, ()),
}


def draw_chain(
    chain: Chain, uid: str, claims: Mapping[str, ClaimWords], summary: str, white: bool = False,
    spoken: Mapping[str, str] = NOBODY,
) -> str:  # fmt: skip
    """The chain as an SVG element; ``summary`` says in words what it shows, and
    ``white`` is for a sheet printed on white rather than a themed page.
    """
    return svg.render(
        chain_plate(chain, claims, spoken), uid, "The chain of reasons", summary, ground=False,
        white=white,
    )


def chain_plate(
    chain: Chain, claims: Mapping[str, ClaimWords], spoken: Mapping[str, str] = NOBODY
) -> DisplayList:
    """The chain as a plate 288 points wide and as high as its words.

    ``spoken``: who claims each reason, by claim, where that is worth a line.
    """
    rows = [_Row(link, claims[link.claim], spoken.get(link.claim, "")) for link in chain.links]
    plate = DisplayList(WIDTH, sum(row.height for row in rows) + 8)
    top = 4.0
    for number, row in enumerate(rows):
        row.draw(plate, top, last=number == len(rows) - 1)
        top += row.height
    return plate


class _Row:
    """One link and its words: what the reason says, how it fares, and the step to the next."""

    def __init__(self, link: ChainLink, words: ClaimWords, spoken: str) -> None:
        room = WIDTH - TEXT - 4
        self.link = link
        self.says = fonts.wrap(words.plainly or words.says, SIZE, "serif", room)
        marked = f"{words.label} · the weakest link" if link.weakest else words.label
        marked += f" · claimed by {spoken}" if spoken else ""
        self.verdict = fonts.wrap(marked, NAME, "sans-bold", room)
        says = speaker_of(link.said_by).says
        step = f"and so, {says}: {unjoined(link.therefore)}" if link.therefore else ""
        self.step = fonts.wrap(step, NAME + 0.5, "serif-italic", room)
        words_high = (
            len(self.says) * SIZE + len(self.verdict) * NAME + len(self.step) * (NAME + 0.5)
        )
        self.height = max(words_high * LEADING + (8 if self.step else 0) + 14, 62.0)

    def draw(self, plate: DisplayList, top: float, last: bool) -> None:
        bottom = top + self.height + (0 if last else 9)
        self._link(plate, top, bottom)
        y = top + 4
        for line in self.says:
            y += SIZE * LEADING
            plate.text(TEXT, y, line, SIZE, face="serif")
        role = "accent" if self.link.weakest else "muted"
        for line in self.verdict:
            y += NAME * LEADING
            plate.text(TEXT, y + 1, line, NAME, role, "sans-bold")
        y += 6
        for line in self.step:
            y += (NAME + 0.5) * LEADING
            plate.text(TEXT, y, line, NAME + 0.5, face="serif-italic")

    def _link(self, plate: DisplayList, top: float, bottom: float) -> None:
        width, dash = LOOK[self.link.code]
        half = 11.0
        if not self.link.weakest or self.link.code != "against":
            role = "accent" if self.link.weakest else "ink"
            plate.line(_oval(MIDDLE, top, bottom, half), role, width, dash)
            return
        centre = (top + bottom) / 2
        upper, lower = _broken(MIDDLE, top, bottom, half, centre)
        plate.lines([upper, lower], "accent", 2.8)
        cracks = [
            [(MIDDLE + side * 17, centre - 4), (MIDDLE + side * 22, centre - 7)] for side in (-1, 1)
        ]
        cracks += [
            [(MIDDLE + side * 17, centre + 3), (MIDDLE + side * 22, centre + 6)] for side in (-1, 1)
        ]
        plate.lines(cracks, "accent", 1.2)


def _oval(x: float, top: float, bottom: float, half: float) -> Points:
    """A long ring: two half circles and straight sides, closed."""
    turn = np.linspace(0, np.pi, 13)
    head = np.column_stack([x - half * np.cos(turn), top + half - half * np.sin(turn)])
    foot = np.column_stack([x + half * np.cos(turn), bottom - half + half * np.sin(turn)])
    return np.vstack([head, foot, head[:1]])


def _broken(
    x: float, top: float, bottom: float, half: float, centre: float
) -> tuple[Points, Points]:
    """The same ring torn across: two halves with ragged ends, the lower one slipped aside."""
    turn = np.linspace(0, np.pi, 13)
    head = np.column_stack([x - half * np.cos(turn), top + half - half * np.sin(turn)])
    foot = np.column_stack([x + 3 + half * np.cos(turn), bottom - half + half * np.sin(turn)])
    upper = np.vstack([[(x - half, centre - 3)], head, [(x + half, centre - 8)]])
    lower = np.vstack([[(x + 3 + half, centre + 2)], foot, [(x + 3 - half, centre + 7)]])
    return upper, lower
