"""A still that builds itself: lines draw themselves, points appear, words are wiped in.

A film of a build is the picture before and the picture after, and for each pixel that differs the
moment at which it turns.  Those moments are painted once, as shades, with the marks themselves:
along a line from its beginning, dot after dot, words from the left.  So every frame between is a
blend of two pictures and costs next to nothing, and the last is the still itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from matplotlib.collections import Collection, LineCollection, PathCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.transforms import Affine2D, Transform
from numpy.typing import NDArray

from explainer.charts import stills
from explainer.charts.display_list import DisplayList, Dots, Mark, Stroke, Text
from explainer.charts.style import STILL_SCALE, Scheme

Picture = NDArray[np.uint8]
"""(height, width, 3), red, green, blue."""

#: Shades that are moments; 0 is where nothing is painted.
FIRST, LAST = 1, 250
SOFT = 26
"""Over how many shades a pixel turns: about a tenth of the build."""
PIECES = 96
"""Into how many pieces a line is cut, so that it draws itself."""


def build(
    plate: DisplayList,
    before: int | None,
    after: int,
    frames: int,
    scheme: Scheme = "light",
    scale: float = STILL_SCALE,
) -> Iterator[Picture]:
    """``frames`` pictures from the plate at step ``before`` (None: bare paper) to ``after``.

    The last one is the still at ``after``, pixel for pixel; every picture is a new array.
    """
    bare = DisplayList(plate.width, plate.height)
    first = stills.pixels(bare if before is None else plate, scheme, before, scale)
    old = np.asarray(first, dtype=np.uint8)
    new = np.asarray(stills.pixels(plate, scheme, after, scale), dtype=np.uint8)
    turned = np.flatnonzero((old != new).any(axis=2))
    start = old.reshape(-1, 3)[turned].astype(np.int32)
    change = new.reshape(-1, 3)[turned].astype(np.int32) - start
    lowest = -1 if before is None else before
    fresh = [mark for mark in plate.marks if lowest < mark.step <= after]
    when = _moments(plate, fresh, scale).ravel()[turned].astype(np.int32)
    for number in range(1, frames + 1):
        now = _eased(number / frames) * (LAST + SOFT)
        share = np.clip((now - when) * 256 // SOFT, 0, 256)[:, None]
        picture = old.copy()
        picture.reshape(-1, 3)[turned] = start + change * share // 256
        yield picture


def _eased(share: float) -> float:
    """Quick at first, slow towards the end, as a hand draws."""
    return 1 - (1 - share) ** 2 if share < 1 else 1.0


def _moments(plate: DisplayList, fresh: list[Mark], scale: float) -> NDArray[np.uint8]:
    """For each pixel, the shade of the moment at which it turns; 0 (at once) where none is."""
    made = Figure(stills.inches(plate, scale), dpi=72 * scale)
    made.patch.set_facecolor("black")
    points = Affine2D().scale(1, -1).translate(0, plate.height).scale(1 / 72) + made.dpi_scale_trans
    for order, mark in enumerate(fresh):
        made.add_artist(_painted(mark, points, order))
    return np.asarray(stills.rgba(made).convert("RGB"), dtype=np.uint8)[:, :, 0].copy()


def _painted(mark: Mark, points: Transform, order: int) -> Collection:
    """A mark in shades, a little wider than it is, so that its soft edges are covered."""
    if isinstance(mark, Dots):
        return _dots(mark, points, order)
    if isinstance(mark, Text):
        return _wiped(mark.box.left, mark.box.top, mark.box.right, mark.box.bottom, points, order)
    every = np.vstack(mark.runs)
    if mark.fill:
        (left, top), (right, bottom) = every.min(axis=0), every.max(axis=0)
        return _wiped(left, top, right, bottom, points, order)
    return _drawn(mark, points, order)


def _drawn(mark: Stroke, points: Transform, order: int) -> LineCollection:
    """Each run from its beginning to its end, all runs at once."""
    pieces, at = [], []
    for run in mark.runs:
        steps = np.hypot(*np.diff(run, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(steps)])
        if along[-1] <= 0:
            continue
        cuts = np.union1d(np.linspace(0, along[-1], PIECES + 1), along)
        xy = np.column_stack([np.interp(cuts, along, run[:, axis]) for axis in (0, 1)])
        pieces.append(np.stack([xy[:-1], xy[1:]], axis=1))
        at.append(cuts[:-1] / along[-1])
    return LineCollection(
        list(np.concatenate(pieces)) if pieces else [], colors=_shades(np.concatenate(at or [[]])),
        linewidths=mark.width + 1.6, transform=points, zorder=order, antialiaseds=False,
        capstyle="projecting",
    )  # fmt: skip


def _dots(mark: Dots, points: Transform, order: int) -> PathCollection:
    """Dot after dot, from the left."""
    ranks = np.empty(len(mark.at))
    ranks[np.lexsort((mark.at[:, 1], mark.at[:, 0]))] = np.linspace(0, 1, len(mark.at))
    shades = _shades(ranks)
    dots = PathCollection(
        [stills.outline(mark.shape)], sizes=[1.0], offsets=mark.at, offset_transform=points,
        facecolors=shades, edgecolors=shades, linewidths=mark.width + 1.6, zorder=order,
        antialiaseds=False,
    )  # fmt: skip
    dots.set_transform(Affine2D().scale(mark.radius))
    return dots


def _wiped(
    left: float, top: float, right: float, bottom: float, points: Transform, order: int
) -> PolyCollection:
    """Words and areas from the left, in strips."""
    edges = np.linspace(left - 2, right + 2, 49)
    boxes = [
        [(a, top - 2), (b, top - 2), (b, bottom + 2), (a, bottom + 2)]
        for a, b in pairwise(edges)
    ]
    shades = _shades(np.linspace(0, 1, len(boxes)))
    return PolyCollection(
        boxes, facecolors=shades, edgecolors=shades, transform=points, zorder=order,
        antialiaseds=False,
    )  # fmt: skip


def _shades(share: NDArray[np.float64]) -> NDArray[np.float64]:
    """Shares of the build, 0 to 1, as shades of grey (n, 3)."""
    shade = np.round(FIRST + share * (LAST - FIRST)) / 255
    return np.repeat(shade[:, None], 3, axis=1)
