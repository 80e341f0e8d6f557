"""Path data as short as it can be written: steps from point to point, in whole tenths of a point.

Places are rounded first and steps taken between the rounded places, so that no rounding adds up
along a path.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from explainer.charts.plate import Points
from explainer.charts.shapes import CORNERS
from explainer.charts.style import Shape

Place = tuple[int, int]


def lines(runs: Iterable[Points], closed: bool = False) -> str:
    """Runs of straight pieces, each (k, 2) in points; ``closed`` joins each to its start."""
    path, here = "", (0, 0)
    for run in runs:
        places = _tenths(run)
        path += _start(here, places[0], first=not path)
        path += _steps(places)
        here = places[-1]
        if closed:
            path, here = path + "z", places[0]
    return path


def markers(at: Points, shape: Shape, radius: float, found: bool = False) -> str:
    """One closed outline about each row of ``at`` (k, 2).

    ``found``: each is led in by its own centre, ``Mx ym``, for a script to find it by.
    """
    outline, (across, down) = _outline(shape, radius)
    if found:
        lead = f"m{_pair(across, down)}{outline}"
        return "".join(f"M{x} {y}{lead}" for x, y in (map(tenth, place) for place in _tenths(at)))
    corner = np.array([across, down])
    path, here = "", (0, 0)
    for place in _tenths(at + corner):
        path += _start(here, place, first=not path) + outline
        here = place
    return path


def short(value: float, digits: int = 1) -> str:
    """A length, without a needless zero before or after its point."""
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
    if text in ("-0", ""):
        return "0"
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def tenth(value: int) -> str:
    """So many tenths of a point."""
    return short(value / 10)


def _tenths(points: Points) -> list[Place]:
    return [(round(x), round(y)) for x, y in (points * 10).tolist()]


def _start(here: Place, there: Place, first: bool) -> str:
    """Where a run begins: as a place or as a step from the last, whichever is shorter."""
    place = "M" + _two(tenth(there[0]), tenth(there[1]))
    step = "m" + _two(tenth(there[0] - here[0]), tenth(there[1] - here[1]))
    return place if first or len(place) < len(step) else step


def _steps(places: list[Place]) -> str:
    """Straight pieces; along an axis only the way along it."""
    path, letter = "", ""
    for (x0, y0), (x, y) in pairwise(places):
        across, down = tenth(x - x0), tenth(y - y0)
        if y == y0:
            command, step = "h", across
        elif x == x0:
            command, step = "v", down
        else:
            command, step = "l", _two(across, down)
        path += step if command == letter and step.startswith("-") else (
            f" {step}" if command == letter else command + step
        )  # fmt: skip
        letter = command
    return path


def _two(first: str, second: str) -> str:
    """Two numbers; a minus sign needs no space before it."""
    return first + second if second.startswith("-") else f"{first} {second}"


def _pair(across: float, down: float) -> str:
    return _two(short(across, 2), short(down, 2))


def _outline(shape: Shape, radius: float) -> tuple[str, tuple[float, float]]:
    """A marker's path in relative steps, and where it begins as seen from its centre.

    A circle is one arc that stops a twentieth of a point short of its start and is closed.
    """
    if shape == "circle":
        r = short(radius, 2)
        return f"a{r} {r} 0 1 0 0-.05z", (-radius, 0.0)
    corners = [(across * radius, down * radius) for across, down in CORNERS[shape]]
    path = "".join(f"l{_pair(x - x0, y - y0)}" for (x0, y0), (x, y) in pairwise(corners))
    return path + "z", corners[0]
