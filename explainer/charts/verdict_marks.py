"""The five verdict marks: one shape each, the same on page, index, strip, sheet, card and still.

Their stock is the dart that is inlaid in a lane: whole and upright where the data back a claim,
tipped and half filled where they lean, turned round against a bar where they point the other way.
A lozenge that points both ways cannot tell; a dashed ring has nothing in it.  Shape and fill
carry the meaning, so a mark reads in black and white and without colour vision.
"""

from __future__ import annotations

import math
from base64 import b64encode

import numpy as np

from explainer.charts import svg
from explainer.charts.display_list import AXES, DisplayList, Points
from explainer.charts.style import colour
from explainer.claims.verdict import STRENGTH, Code

#: The square a mark is designed in; its centre is (8, 8).
SIDE = 16.0
_DART = ((8.0, 1.2), (13.6, 14.4), (8.0, 11.4), (2.4, 14.4))
#: The same, smaller, so that it stays in its square when it is tipped; and its left half.
_TIPPED = ((8.6, 2.4), (13.2, 13.2), (8.6, 10.8), (4.0, 13.2))
_LEFT_HALF = ((8.6, 2.4), (8.6, 10.8), (4.0, 13.2))
_TURNED = ((8.0, 12.2), (13.2, 0.8), (8.0, 3.4), (2.8, 0.8))
_LOZENGE = ((0.8, 8.0), (8.0, 2.8), (15.2, 8.0), (8.0, 13.2))
_TIP = math.radians(32)


def set_mark(
    plate: DisplayList, code: Code, x: float, y: float, side: float = SIDE, step: int = AXES
) -> None:
    """Draws the mark of a verdict with its centre at (x, y), ``side`` points wide."""
    grown = side / SIDE

    def at(corners: object, turn: float = 0.0) -> Points:
        points = np.asarray(corners, dtype=float) - SIDE / 2
        c, s = math.cos(turn), math.sin(turn)
        turned: Points = points @ np.array([[c, s], [-s, c]]) * grown + (x, y)
        return turned

    edge = 1.4 * grown
    if code == "backed":
        plate.area(at(_DART), "ink", step, stroke="ink", width=0.6 * grown)
    elif code == "leans":
        plate.line(at((*_TIPPED, _TIPPED[0], _TIPPED[1]), _TIP), "ink", edge, step=step)
        plate.area(at(_LEFT_HALF, _TIP), "ink", step)
    elif code == "cannot-tell":
        plate.line(at((*_LOZENGE, _LOZENGE[0], _LOZENGE[1])), "ink", edge, step=step)
    elif code == "against":
        plate.area(at(_TURNED), "ink", step, stroke="ink", width=0.6 * grown)
        plate.line(at(((1.6, 14.6), (14.4, 14.6))), "ink", 1.9 * grown, step=step)
    else:
        turn = np.linspace(0, 2 * np.pi, 25)
        ring = np.column_stack([8 + 6.2 * np.cos(turn), 8 + 6.2 * np.sin(turn)])
        plate.line(at(ring), "ink", edge, (2.6 * grown, 2.27 * grown), step)


def marks_css() -> str:
    """Rules ``.vmark.CODE`` that paint each mark in black: for sheets, whose labels say it all."""
    rules = []
    for code in STRENGTH:
        plate = DisplayList(SIDE, SIDE)
        set_mark(plate, code, SIDE / 2, SIDE / 2)
        drawn = svg.written(plate.marks).replace(colour("ink"), "#000000")
        whole = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"{svg.SHARED}>{drawn}</svg>'
        )
        data = b64encode(whole.encode()).decode("ascii")
        rules.append(f".vmark.{code}{{background-image:url(data:image/svg+xml;base64,{data})}}")
    return "".join(rules)


def mark_svg(code: Code, label: str) -> str:
    """The mark as a small inline <svg class="mark">, hidden from a listener.

    The title is for a pointer, and for the PDF, whose every picture has a name.
    """
    plate = DisplayList(SIDE, SIDE)
    set_mark(plate, code, SIDE / 2, SIDE / 2)
    return (
        f'<svg class="mark" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true"'
        f"{svg.SHARED}><title>{svg.attribute(label)}</title>"
        f"{svg.written(plate.marks)}</svg>"
    )
