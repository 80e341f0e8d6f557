"""Names of items set by their points: near enough to be taken for theirs, or left out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explainer.charts import fonts, style
from explainer.charts.display_list import DATA, Box
from explainer.charts.frame import Frame
from explainer.charts.labels import BLOCKED, spread
from explainer.charts.style import SMALL, Face, Role

# Names at the right ends of lines, in the margin beside the area, spread so that none touch.

GAP = SMALL * 1.12
"""From one name in a column to the next."""


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


def leader(made: Frame, run: Sequence[tuple[float, float]], step: int = DATA) -> None:
    """Joins a name to its point, in a look of its own: in that of a line it reads as one."""
    role, width = style.LEADER
    made.plate.line(run, role, width, step=step)


def end_labels(made: Frame, endings: Sequence[Ending]) -> None:
    """Each name beside the area, joined to its line by a hairline.

    A line that ends before the others has its name where it ends: beside the area it would stand
    by marks of others, and what led there would go on as the line does not.

    Where there is no room for all, the two highest and the two lowest are named, and above
    them it says how many are not.
    """
    area = made.area
    last = max((end.x for end in endings), default=0.0)
    whole = [end for end in endings if end.x > last - EARLY and end.x > area.right - FAR]
    early = [end for end in endings if end not in whole]
    room = max(4, int((area.height - 8) // GAP) + 1)
    if len(endings) > room:
        plain = sorted((end for end in whole if not end.always), key=lambda end: end.y)
        kept = [*plain[:2], *plain[-2:]]
        whole = [end for end in whole if end.always or end in kept]
        early = [end for end in early if end.always]
    left_out = len(endings) - len(whole) - sum(_name_early(made, end) for end in early)
    top = area.top + 4
    if left_out:
        text = f"+ {left_out} more"
        made.plate.text(area.right + 5, area.top + 0.8 * SMALL, text, SMALL, "muted", step=DATA)
        top += GAP
    places = spread([end.y for end in whole], GAP, top, area.bottom - 5)
    for end, place in zip(whole, places, strict=True):
        leader(made, [(end.x + 3.5, end.y), (area.right + 3, place)], end.step)
    for end, place in zip(whole, places, strict=True):
        made.plate.text(
            area.right + 5, place + 0.33 * SMALL, end.name, SMALL, end.role, end.face, step=end.step
        )


def _name_early(made: Frame, end: Ending) -> bool:
    """Sets the name of a line right where it ends, if that hides nothing."""
    item = Named(end.name, (end.x, end.y), end.role)
    return set_name(made, item, end.face, step=end.step, must=end.always)


EARLY = 6.0
"""A line that ends so much before the last one was not followed to the end."""
FAR = 34.0
"""A name further than this from its point would be taken for another's: it is left out."""
MANY = 14
"""With more items than this, only the outermost are named."""
LEAST = 5
"""Fewer letters of a longer name, the dots counted, name nobody."""
COVERED = 4.0
"""So much ink under a name on a phone hides data: a point, or a stretch of a line."""
OUTERMOST = "only the outermost are named"
LAST = "only the outermost ends are named"
"""Of trails, which have their names where they end: some start further out."""


@dataclass(frozen=True)
class Named:
    """A name and the point it belongs to, in points on the plate."""

    name: str
    at: tuple[float, float]
    role: Role


def near(made: Frame, x: float, y: float, reach: float, wide: float) -> Box:
    """The part of the area about a point where something ``wide`` may stand."""
    area, aside = made.area.grown(-1), wide + 0.7 * reach
    return Box(
        max(area.left, x - aside), max(area.top, y - reach),
        min(area.right, x + aside), min(area.bottom, y + reach),
    )  # fmt: skip


def name_all(
    made: Frame, items: Sequence[Named], patch: bool = False, of_many: str = OUTERMOST
) -> None:
    """Each item's name by its point; one that finds no room is left out, and that is said:
    ``of_many``, where only the outermost were tried."""
    told = _worth_naming(items)
    left_out = len(items) - len(told)
    for item in told:
        short = fonts.shorten(item.name, SMALL, "sans", made.sheet.width * 0.22)
        left_out += not set_name(made, Named(short, item.at, item.role), patch=patch)
    if len(told) < len(items) and left_out < len(items):
        _say_left_out(made, of_many)
    elif left_out:
        _say_left_out(made, f"{left_out} not named")


def _worth_naming(items: Sequence[Named]) -> list[Named]:
    """All of a few; of many, those that stand furthest out each way."""
    if len(items) <= MANY:
        return list(items)
    outer = {
        pick(range(len(items)), key=lambda index: items[index].at[way])
        for pick in (min, max)
        for way in (0, 1)
    }
    return [items[index] for index in sorted(outer)]


def names_beside(made: Frame, columns: Sequence[tuple[Sequence[Named], float]]) -> None:
    """Names in columns, each ending at its ``x``, left of their points and spread so none touch.

    Of many in any column, only the highest and the lowest of each are named, and that is said once.
    """
    if not made.sheet.named:
        return
    area = made.area
    most = min(MANY, int(area.height // GAP))
    before = area.left
    many = any(len(items) > most for items, _ in columns)
    for items, x in columns:
        left_edge, before = before, x + 16
        told = sorted(items, key=lambda item: item.at[1])
        if many and len(told) > 1:
            told = [told[0], told[-1]]
        places = spread([item.at[1] for item in told], GAP, area.top + 5, area.bottom - 5)
        for item, y in zip(told, places, strict=True):
            name = fonts.shorten(item.name, SMALL, "sans", x - left_edge - 2)
            if len(name) < LEAST and name != item.name:
                continue
            leader(made, [(x + 2, y), item.at])
            left = x - fonts.width(name, SMALL)
            text = made.plate.text(left, y + 0.33 * SMALL, name, SMALL, item.role, step=DATA)
            made.ink.block(text.box)
    if many:
        _say_left_out(made, OUTERMOST)


def set_close(made: Frame, items: Sequence[Named], radius: float) -> None:
    """Each name right at its ring, on the side where it can be taken for no other's, or nowhere."""
    rings = [Box(x - radius, y - radius, x + radius, y + radius) for x, y in (i.at for i in items)]
    for item, own in zip(items, rings, strict=True):
        wide, tall, (x, y) = fonts.width(item.name, SMALL), 0.8 * SMALL, item.at
        sides = [
            Box(own.right + 1, y - tall / 2, own.right + 1 + wide, y + tall / 2),
            Box(own.left - 1 - wide, y - tall / 2, own.left - 1, y + tall / 2),
            Box(x - wide / 2, own.top - 1 - tall, x + wide / 2, own.top - 1),
            Box(x - wide / 2, own.bottom + 1, x + wide / 2, own.bottom + 1 + tall),
        ]
        free = [
            side for side in sides
            if side.within(made.area) and made.ink.under(side) < BLOCKED
            and not any(side.grown(1).meets(ring) for ring in rings if ring is not own)
        ]  # fmt: skip
        if free:
            best = min(free, key=made.ink.under)
            text = made.plate.text(
                best.left, best.bottom - 0.04 * SMALL, item.name, SMALL, item.role, step=DATA
            )
            made.ink.block(text.box.grown(-1))
    for ring in rings:
        made.ink.block(ring)


def column_of(items: Sequence[Named]) -> float:
    """How wide a column the names want."""
    return max((fonts.width(item.name, SMALL) for item in items), default=0.0)


def set_name(
    made: Frame, item: Named, face: style.Face = "sans", patch: bool = False, step: int = DATA,
    must: bool = False,
) -> bool:  # fmt: skip
    """Sets one name by its point, joined to it by a hairline if it had to move away.

    ``patch``: on paper of its own, where it may stand among lines; ``must``: even over some on a
    phone.
    """
    size = SMALL + 1 if face == "serif-italic" else SMALL
    wide, tall = fonts.width(item.name, size, face) + 2, size * 1.1
    found = made.ink.place(wide, tall, item.at, near(made, *item.at, FAR, wide), 0.6, 3.2)
    if found is None or not found.free:
        return False
    if made.sheet.phone and not must and made.ink.under(found.box.grown(-0.5)) > COVERED:
        return False
    box = found.box
    edge = (
        float(np.clip(item.at[0], box.left, box.right)),
        float(np.clip(item.at[1], box.top, box.bottom)),
    )
    distance = math.dist(edge, item.at)
    if distance > FAR:
        return False
    if distance > 8:
        leader(made, [item.at, edge], step)
    if patch:
        made.plate.rectangle(box, "paper", step, 0.86)
    made.plate.text(
        box.left + 1, box.top + 0.82 * size, item.name, size, item.role, face, step=step
    )
    made.ink.block(box)
    return True


def _say_left_out(made: Frame, text: str) -> None:
    wide = fonts.width(text, SMALL) + 2
    corner = (made.area.right, made.area.top)
    found = made.ink.place(wide, SMALL * 1.2, corner, made.area, reach=0)
    if made.sheet.phone and found and made.ink.under(found.box) > COVERED:
        return
    if found and found.free:
        box = found.box
        made.plate.text(box.left, box.top + 0.86 * SMALL, text, SMALL, "muted", step=DATA)
        made.ink.block(box)
