"""Stills: a plate painted to 1920 by 1080 pixels, one picture for each step of its build-up."""

from __future__ import annotations

import struct
import warnings
import zlib
from collections.abc import Iterable, Iterator
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import Literal

import matplotlib
import numpy as np
from matplotlib import font_manager
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import Collection, LineCollection, PathCollection, PolyCollection
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.text import Text as Words
from matplotlib.transforms import Affine2D, Transform
from numpy.typing import NDArray
from PIL import Image

from explainer.charts import fonts
from explainer.charts.display_list import Anchor, DisplayList, Dots, Mark, Stroke, Text
from explainer.charts.style import CORNERS, STILL_SCALE, Face, Role, Scheme, Shape, colour

# A `matplotlibrc` in the folder one is in is read at import, and may be a stranger's: it can have
# every letter set by TeX, or bend the lines.  The library's own settings are taken again.
matplotlib.rcdefaults()

PLAIN = Image.Dither.NONE


def png(plate: DisplayList, scheme: Scheme = "light", upto: int | None = None) -> bytes:
    """The plate up to a step as PNG, four pixels to the point; the same bytes on every run."""
    canvas = FigureCanvasAgg(figure(plate, scheme, upto))
    stream = BytesIO()
    with warnings.catch_warnings():
        # A letter that no font here has is drawn as a box; the page has the reader's own fonts.
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        canvas.print_png(stream, metadata={"Software": None})  # type: ignore[no-untyped-call]
    return stream.getvalue()


#: How much of an ink stands at the edges of its letters and lines, in a small PNG.
EDGES = (1.0, 0.5)


def small_pngs(
    plate: DisplayList, scheme: Scheme, steps: Iterable[int], scale: float = STILL_SCALE
) -> dict[int, bytes]:
    """The plate up to each of ``steps`` as a PNG of few colors, a quarter of the size of ``png``.

    The colors are the plate's own and their edges on paper: the same at every step, so that
    nothing flickers as it builds up.
    """
    palette = Image.new("P", (1, 1))
    palette.putpalette(_inks(plate, scheme))
    made = {}
    for step in steps:
        whole = pixels(plate, scheme, step, scale)
        still = whole.quantize(palette=palette, dither=PLAIN)
        made[step] = packed(still)
    return made


def packed(still: Image.Image) -> bytes:
    """A picture of few colors (mode P) as a PNG, a twelfth smaller than the library packs it.

    The library chooses a filter for each row, which pays for photographs; on flat areas of a
    few inks the plain row is smaller, as the format's own advice for palette pictures says (PNG,
    third edition, W3C 2025, section 12.7).
    """
    wide, high = still.size
    rows = np.frombuffer(still.tobytes(), np.uint8).reshape(high, wide)
    plain = np.zeros((high, wide + 1), np.uint8)  # the filter of each row comes before it: none
    plain[:, 1:] = rows
    inks = bytes(still.getpalette("RGB") or ())[: 3 * (int(rows.max()) + 1)]
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, 3, 0, 0, 0)),
        (b"PLTE", inks),
        (b"IDAT", zlib.compress(plain.tobytes(), 9)),
        (b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(said)) + kind + said + struct.pack(">I", zlib.crc32(kind + said))
        for kind, said in parts
    )


def _inks(plate: DisplayList, scheme: Scheme) -> list[int]:
    """Red, green, blue of paper, of every role on the plate, and of its edges."""
    used: dict[Role, None] = {"paper": None}
    for mark in plate.marks:
        roles = (mark.role,) if isinstance(mark, Text) else (mark.fill, mark.stroke)
        used |= {role: None for role in roles if role}
    paper = np.array(to_rgb(colour("paper", scheme)))
    flat = [paper]
    for role in used:
        ink = np.array(to_rgb(colour(role, scheme)))
        steps = EDGES[:1] if role in ("paper", "grid", "zone") else EDGES
        flat += [paper + (ink - paper) * share for share in steps]
    return [round(255 * float(part)) for shade in flat for part in shade]


def pixels(
    plate: DisplayList, scheme: Scheme, upto: int | None, scale: float = STILL_SCALE
) -> Image.Image:
    """The plate up to a step in all its colors, ``scale`` pixels to the point."""
    return rgba(figure(plate, scheme, upto, scale)).convert("RGB")


def rgba(made: Figure) -> Image.Image:
    """A figure as a picture, with what is behind it where it has no paper."""
    canvas = FigureCanvasAgg(made)
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        canvas.draw()  # type: ignore[no-untyped-call]
    buffer = canvas.buffer_rgba()  # type: ignore[no-untyped-call]
    size = canvas.get_width_height()
    picture = Image.frombuffer("RGBA", size, buffer, "raw", "RGBA", 0, 1).copy()
    # A figure lives until Python next looks for lost circles; its pixels need not live as long.
    canvas.renderer = None
    return picture


def figure(
    plate: DisplayList,
    scheme: Scheme = "light",
    upto: int | None = None,
    scale: float = STILL_SCALE,
) -> Figure:
    """The plate as a matplotlib figure with the scheme's paper behind it."""
    _register()
    made = Figure(inches(plate, scale), dpi=72 * scale)
    made.patch.set_facecolor(colour("paper", scheme))
    points = Affine2D().scale(1, -1).translate(0, plate.height).scale(1 / 72) + made.dpi_scale_trans
    for order, mark in enumerate(plate.upto(upto)):
        _paint(made, mark, scheme, points, order)
    return made


def inches(plate: DisplayList, scale: float) -> tuple[float, float]:
    """A plate's size for matplotlib: a hair more than whole pixels, since it cuts off what is left
    of one."""
    wide, high = ((round(side * scale) + 1e-6) / scale / 72 for side in (plate.width, plate.height))
    return wide, high


@cache
def _register() -> None:
    """Makes the faces known to matplotlib, without its slow search for all fonts."""
    for face in fonts.CUT:
        font_manager.fontManager.addfont(fonts.path(face))


@cache
def _font(face: Face, size: float, ours: bool) -> FontProperties:
    """The face; a text with letters it lacks is set wholly in the font matplotlib carries."""
    family, weight, style = fonts.CUT[face]
    if not ours:
        weight = 700 if weight > 400 else 400
        return FontProperties(family=["DejaVu Sans"], style=style, weight=weight, size=size)
    other = "Fieldguide Serif" if family == "Fieldguide Sans" else "Fieldguide Sans"
    return FontProperties(family=[family, other], style=style, weight=weight, size=size)


def _paint(made: Figure, mark: Mark, scheme: Scheme, points: Transform, order: int) -> None:
    if isinstance(mark, Text):
        made.add_artist(_words(mark, scheme, points, order))
    elif isinstance(mark, Dots):
        made.add_artist(_dots(mark, scheme, points, order))
    else:
        made.add_artist(_stroke(mark, scheme, points, order))


ALIGN: dict[Anchor, Literal["left", "center", "right"]] = {
    "start": "left",
    "middle": "center",
    "end": "right",
}


def _words(mark: Text, scheme: Scheme, points: Transform, order: int) -> Words:
    return Words(
        mark.x, mark.y, mark.text, color=colour(mark.role, scheme), zorder=order,
        fontproperties=_font(mark.face, mark.size, fonts.has(mark.text)), parse_math=False,
        transform=points, verticalalignment="baseline", horizontalalignment=ALIGN[mark.anchor],
    )  # fmt: skip


def _stroke(mark: Stroke, scheme: Scheme, points: Transform, order: int) -> PathPatch:
    runs = [Path(run, closed=False) for run in mark.runs]
    dash = (0, tuple(part / mark.width for part in mark.dash)) if mark.dash else "solid"
    return PathPatch(
        Path.make_compound_path(*runs) if len(runs) > 1 else runs[0],
        facecolor=colour(mark.fill, scheme) if mark.fill else "none",
        edgecolor=colour(mark.stroke, scheme) if mark.stroke else "none",
        linewidth=mark.width, linestyle=dash, alpha=mark.opacity, transform=points,
        zorder=order, joinstyle="round", capstyle="butt",
    )  # fmt: skip


def _dots(mark: Dots, scheme: Scheme, points: Transform, order: int) -> PathCollection:
    dots = PathCollection(
        [outline(mark.shape)], sizes=[1.0], offsets=mark.at, offset_transform=points,
        facecolors=colour(mark.fill, scheme) if mark.fill else "none",
        edgecolors=colour(mark.stroke, scheme),
        linewidths=mark.width, zorder=order,
    )  # fmt: skip
    dots.set_transform(Affine2D().scale(mark.radius))
    return dots


@cache
def outline(shape: Shape) -> Path:
    """A marker of radius 1 about the origin, upward."""
    if shape == "circle":
        return Path.unit_circle()
    corners = np.array(CORNERS[shape]) * (1, -1)
    return Path(np.vstack([corners, corners[:1]]), closed=True)


# A still that builds itself: lines draw themselves, points appear, words are wiped in.
# A film of a build is the picture before and the picture after, and for each pixel that differs
# the moment at which it turns. Those moments are painted once, as shades, with the marks
# themselves: along a line from its beginning, dot after dot, words from the left. So every frame
# between is a blend of two pictures and costs next to nothing, and the last is the still itself.

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
    first = pixels(bare if before is None else plate, scheme, before, scale)
    old = np.asarray(first, dtype=np.uint8)
    new = np.asarray(pixels(plate, scheme, after, scale), dtype=np.uint8)
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
    made = Figure(inches(plate, scale), dpi=72 * scale)
    made.patch.set_facecolor("black")
    points = Affine2D().scale(1, -1).translate(0, plate.height).scale(1 / 72) + made.dpi_scale_trans
    for order, mark in enumerate(fresh):
        made.add_artist(_painted(mark, points, order))
    return np.asarray(rgba(made).convert("RGB"), dtype=np.uint8)[:, :, 0].copy()


def _painted(mark: Mark, points: Transform, order: int) -> Collection:
    """A mark in shades, a little wider than it is, so that its soft edges are covered."""
    if isinstance(mark, Dots):
        return _dots_in_turn(mark, points, order)
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


def _dots_in_turn(mark: Dots, points: Transform, order: int) -> PathCollection:
    """Dot after dot, from the left."""
    ranks = np.empty(len(mark.at))
    ranks[np.lexsort((mark.at[:, 1], mark.at[:, 0]))] = np.linspace(0, 1, len(mark.at))
    shades = _shades(ranks)
    dots = PathCollection(
        [outline(mark.shape)], sizes=[1.0], offsets=mark.at, offset_transform=points,
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
