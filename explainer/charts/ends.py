"""Names at the right ends of lines, in the margin beside the area, spread so that none touch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from explainer.charts import style
from explainer.charts.display_list import DATA
from explainer.charts.frame import Frame
from explainer.charts.labels import spread
from explainer.charts.style import SMALL, Face, Role

GAP = SMALL * 1.12


@dataclass(frozen=True)
class Ending:
    """Where a line ends, in points on the plate, and its name; ``always``: never left out."""

    x: float
    y: float
    name: str
    role: Role
    face: Face = "sans"
    step: int = DATA
    always: bool = False


def end_labels(made: Frame, endings: Sequence[Ending]) -> None:
    """Each name beside the area, joined to its line by a hairline.

    Where there is no room for all, the two highest and the two lowest are named, and above
    them it says how many are not.
    """
    area = made.area
    room = max(4, int((area.height - 8) // GAP) + 1)
    named = list(endings)
    top = area.top + 4
    if len(named) > room:
        plain = sorted((end for end in named if not end.always), key=lambda end: end.y)
        kept = [*plain[:2], *plain[-2:]]
        named = [end for end in named if end.always or end in kept]
        text = f"+ {len(endings) - len(named)} more"
        made.plate.text(area.right + 5, area.top + 0.8 * SMALL, text, SMALL, "muted", step=DATA)
        top += GAP
    places = spread([end.y for end in named], GAP, top, area.bottom - 5)
    for end, place in zip(named, places, strict=True):
        ends = [(end.x + 3.5, end.y), (area.right + 3, place)]
        made.plate.line(ends, end.role, style.HAIR, step=end.step)
    for end, place in zip(named, places, strict=True):
        made.plate.text(
            area.right + 5, place + 0.33 * SMALL, end.name, SMALL, end.role, end.face, step=end.step
        )
