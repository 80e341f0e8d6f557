"""How every figure looks: one palette, one set of type sizes, one set of shapes.

The manner is that of a lane: pale boards, the dark sheen of oil by night, maple where something is
too small to matter, dark ink, thin rules, italic notes that point at the thing they speak of.
Every role has one colour on light and one on dark paper; no two
roles share a light colour, so that a page can recolour a drawing by its attributes alone.
Series differ by colour, by marker and by dash, so that a grey print still tells them apart.
Contrast is computed in the tests: text at least 4.5, marks at least 3.0 (WCAG 2.2, 1.4.3 and
1.4.11), on paper and on the shaded zone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Scheme = Literal["light", "dark"]
Role = str
Face = Literal["sans", "sans-bold", "serif", "serif-italic", "serif-bold"]

#: Role -> (on light paper, on dark paper).
PALETTE: dict[Role, tuple[str, str]] = {
    "paper": ("#fafaf6", "#14191b"),
    "ink": ("#2a241d", "#f1e9da"),
    "muted": ("#5f574a", "#bcb09d"),
    "line": ("#857965", "#918673"),  # axes, zone edges, hatching: marks, so 3:1
    "grid": ("#e3e4db", "#2c3336"),  # decoration only: nothing is read off it alone
    "zone": ("#f3e6cb", "#2e2a20"),  # too small to matter
    "accent": ("#9c1f2e", "#ff9d94"),  # limits, leaders, the weakest link
    "s1": ("#1b5b7a", "#84c1de"),
    "s2": ("#a8481a", "#ee9468"),
    "s3": ("#304118", "#efe08a"),
    "s4": ("#3f1d55", "#b58bdc"),
    "s5": ("#0f404d", "#73ddcc"),
    "s6": ("#a11978", "#dd81b9"),
    "s7": ("#5150a0", "#9d93fa"),
    "s8": ("#6b5a46", "#cdb8a0"),
}

Shape = Literal["circle", "square", "triangle", "diamond", "wedge", "cross", "pentagon", "bar"]


@dataclass(frozen=True)
class Look:
    """How one group of lines or points is told from the next."""

    role: Role
    shape: Shape
    dash: tuple[float, ...]
    """Lengths in points, () for a solid line."""


SERIES: tuple[Look, ...] = (
    Look("s1", "circle", ()),
    Look("s2", "square", (5, 2)),
    Look("s3", "triangle", (3, 1, 3, 4)),
    Look("s4", "diamond", (7, 2, 1.4, 2)),
    Look("s5", "wedge", (3, 1.5)),
    Look("s6", "pentagon", (9, 3)),
    Look("s7", "cross", (4, 1.5, 1.4, 1.5)),
    Look("s8", "bar", (2.4, 2.4)),
)


def series(index: int) -> Look:
    """The ``index``-th series; after eight, the shapes come round again with other dashes."""
    first = SERIES[index % 8]
    if index < 8:
        return first
    return Look(first.role, SERIES[(index + 3) % 8].shape, SERIES[(index + 5) % 8].dash)


# Type sizes in points on a sheet 512 points wide; a still shows a point as four pixels, so the
# smallest, 8.5, stands 34 pixels high there.
TITLE = 15.0
LABEL = 9.5
TICK = 9.0
SMALL = 8.5
CALLOUT = 10.0
LEADING = 1.22

#: Dots and gaps of a thin line where nothing was read: dashes of a series are no dots.
MISSING = (0.8, 3.0)
HAIR = 0.5
#: Colour and width of what joins a name to its point: no data, gap or range is drawn so.
LEADER: tuple[Role, float] = ("muted", 0.4)
THIN = 0.8
LINE = 1.1
BOLD = 2.2
DOT = 2.4


@dataclass(frozen=True)
class Canvas:
    """The paper a figure is set on, in points (a still shows one point as four pixels)."""

    name: str
    width: float
    height: float
    margin_x: float
    margin_y: float
    titled: bool = False
    """A still carries its title in the picture; a page sets it as text above."""
    area: float = 0.0
    """Where set, data have this much height and the sheet is as high as that takes."""
    named: bool = True
    """Whether single items are named: on a poster a name is one more thing between its lines."""

    @property
    def phone(self) -> bool:
        """Whether words stand outside the data, since a phone has no room among them."""
        return self.area > 0

    @property
    def poster(self) -> bool:
        """Whether it is read from a metre away: it has the lines alone, without what a claim says
        past them and without a band, which is taken for a limit."""
        return self.name == POSTER


#: The sheet for a noticeboard.
POSTER = "handout"
WIDE = Canvas("wide", 512, 288, 6, 5)
#: For a phone: 222 points on the 316 pixels that a screen of 320 leaves a figure, so that the
#: smallest letters, 8.5 points, are 12 pixels there.
TALL = Canvas("tall", 222, 270, 2, 4, area=152)
STILL = Canvas("still", 480, 270, 25, 14, titled=True)
STILL_SCALE = 4


def colour(role: Role, scheme: Scheme = "light") -> str:
    """The hex colour of a role on light or dark paper."""
    return PALETTE[role][0 if scheme == "light" else 1]


# The markers: corners in radii from the centre, y downwards, of about the same area each.

#: The circle has no corners and is drawn as one by each renderer.
CORNERS: dict[Shape, tuple[tuple[float, float], ...]] = {
    "square": ((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)),
    "triangle": ((0, -1.25), (1.15, 0.8), (-1.15, 0.8)),
    "diamond": ((0, -1.3), (1.15, 0), (0, 1.3), (-1.15, 0)),
    "wedge": ((0, 1.25), (-1.15, -0.8), (1.15, -0.8)),
    "cross": (
        (-0.4, -1.2), (0.4, -1.2), (0.4, -0.4), (1.2, -0.4), (1.2, 0.4), (0.4, 0.4),
        (0.4, 1.2), (-0.4, 1.2), (-0.4, 0.4), (-1.2, 0.4), (-1.2, -0.4), (-0.4, -0.4),
    ),
    "pentagon": ((0, -1.2), (1.14, -0.37), (0.71, 0.97), (-0.71, 0.97), (-1.14, -0.37)),
    "bar": ((-0.6, -1.3), (0.6, -1.3), (0.6, 1.3), (-0.6, 1.3)),
}  # fmt: skip
