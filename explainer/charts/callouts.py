"""Callouts: short remarks in italics, each in the emptiest spot near the thing it points at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explainer.charts import fonts, style
from explainer.charts.display_list import FIRST_CALLOUT, Box
from explainer.charts.frame import RING, Frame
from explainer.charts.labels import InkMap, Placed
from explainer.charts.style import CALLOUT
from explainer.words.said import FigureWords

LEADING = CALLOUT * 1.16
WIDEST = 132.0


@dataclass(frozen=True)
class _Remark:
    """A callout in lines, and the spot it points at (None: the figure as a whole)."""

    step: int
    text: str
    lines: tuple[str, ...]
    spot: tuple[float, float] | None

    @property
    def wide(self) -> float:
        return max(fonts.width(line, CALLOUT, "serif-italic") for line in self.lines) + 4

    @property
    def tall(self) -> float:
        return LEADING * len(self.lines) + 2


def callouts(made: Frame, words: FigureWords, inside: Box | None = None) -> None:
    """Sets the callouts of a figure, each as a step of its own.

    They are placed one after the other, in the order given and in reverse, and the cheaper of
    the two stands.  One that would cover other words is left out and named in ``left_out``.
    """
    if made.sheet.phone:
        _ring(made, words)
        return
    inside = inside or made.area.grown(-2)
    made.ink.block(Box(0, 0, made.plate.width, made.area.top - 2))
    remarks = _remarks(made, words, min(WIDEST, inside.width * 0.45))
    if not remarks:
        return
    tries = [_place(made.ink.copy(), order, inside) for order in (remarks, remarks[::-1])]
    found = min(
        tries, key=lambda spots: sum(spot.price if spot else 1e6 for spot in spots.values())
    )
    for remark in remarks:
        spot = found[remark.step]
        if spot is None or not spot.free:
            made.plate.left_out.append(remark.text)
        else:
            _set(made, remark, spot.box)


def _ring(made: Frame, words: FigureWords) -> None:
    """On a phone one remark, which stands above the data: here only what it speaks of is ringed."""
    for text, (x, y) in words.callouts[:1]:
        del text
        if np.isfinite(x) and np.isfinite(y):
            made.plate.dots(
                [made.at(x, y)], "circle", RING, None, "accent", style.THIN, FIRST_CALLOUT
            )
    made.plate.left_out += [text for text, _ in words.callouts[1:]]


def _remarks(made: Frame, words: FigureWords, limit: float) -> list[_Remark]:
    found = []
    for number, (text, (x, y)) in enumerate(words.callouts):
        lines = tuple(fonts.balanced(text, CALLOUT, "serif-italic", limit))
        if lines:
            spot = made.at(x, y) if np.isfinite(x) and np.isfinite(y) else None
            found.append(_Remark(FIRST_CALLOUT + number, text, lines, spot))
    return found


def _place(ink: InkMap, remarks: list[_Remark], inside: Box) -> dict[int, Placed | None]:
    spots: dict[int, Placed | None] = {}
    for remark in remarks:
        if remark.spot is None:
            corner = (inside.right, inside.top)
            found = ink.place(remark.wide, remark.tall, corner, inside, reach=0.0)
        else:
            found = ink.place(
                remark.wide, remark.tall, remark.spot, inside, reach=11.0, leader=True
            )
        if found and found.free:
            ink.block(found.box.grown(1.5))
            if remark.spot is not None:
                ink.add_line(np.array([_edge(found.box, remark.spot), remark.spot]), 3.0)
        spots[remark.step] = found
    return spots


def _edge(box: Box, spot: tuple[float, float]) -> tuple[float, float]:
    """Where on its box a leader to ``spot`` begins."""
    return (
        float(np.clip(spot[0], box.left + 3, box.right - 3)),
        float(np.clip(spot[1], box.top + 2, box.bottom - 1)),
    )


def _set(made: Frame, remark: _Remark, box: Box) -> None:
    plate, step = made.plate, remark.step
    plate.rectangle(box, "paper", step, 0.86)
    if remark.spot is not None:
        _leader(made, box, remark.spot, step)
    for row, line in enumerate(remark.lines):
        y = box.top + LEADING * (row + 0.8)
        plate.text(box.left + 2, y, line, CALLOUT, "ink", "serif-italic", step=step)
    made.ink.block(box.grown(1.5))


def _leader(made: Frame, box: Box, spot: tuple[float, float], step: int) -> None:
    """A thin line from the words to a ring around the thing they speak of."""
    x, y = _edge(box, spot)
    distance = float(np.hypot(spot[0] - x, spot[1] - y)) or 1.0
    end = (spot[0] + (x - spot[0]) * RING / distance, spot[1] + (y - spot[1]) * RING / distance)
    # The leader stops short of the words rather than run into their first letter.
    start_x = float(np.clip(spot[0], box.left + 3, box.right - 3))
    start_y = float(np.clip(spot[1], box.top - 1, box.bottom + 1))
    made.plate.line([(start_x, start_y), end], "accent", style.THIN, step=step)
    made.plate.dots([spot], "circle", RING, None, "accent", style.THIN, step)
    made.ink.add_line(np.array([(x, y), end]), 3.0)
