"""A plate as SVG: one string that serves the page (inline) and the PDF (as an image).

Text stays text.  Colours are presentation attributes, one hex per role, because a PDF renderer
knows no CSS variables; ``theme_css`` gives the page bare attribute selectors that recolour
them for light and dark.  The picture has the role img, named and described by its own title
and desc, whose ids carry the ``uid`` so that they stay unique over a page.
"""

from __future__ import annotations

import re
from html import escape
from itertools import pairwise, starmap

from explainer.charts import fonts
from explainer.charts.plate import Dots, Mark, Plate, Points, Stroke, Text
from explainer.charts.shapes import CORNERS
from explainer.charts.style import PALETTE, Role, Shape, colour

#: Characters XML 1.0 cannot hold at all.
FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
PLAIN_PAPER = "#ffffff"
FAMILY = fonts.STACK["Fieldguide Sans"]
MM = 25.4 / 72


def render(
    plate: Plate,
    uid: str,
    title: str,
    description: str,
    ground: bool = True,
    white: bool = False,
    upto: int | None = None,
    on_paper: bool = False,
    named_by: str = "",
) -> str:
    """The plate as one <svg> element.

    ``uid`` begins its ids.  ``ground`` lays warm paper beneath; ``white`` is for a sheet that
    is printed on white, and has none.  ``upto`` leaves out later steps of the build-up.
    ``on_paper`` gives it its own size in millimeters (a point is a point), not its holder's.
    ``named_by`` is the uid of a drawing of the same page that says the same.
    """
    paper = PLAIN_PAPER if white else colour("paper")
    ground = ground and not white
    pen = _Pen(paper)
    description = " ".join([description, *plate.left_out])
    size = f"{_n(plate.width)} {_n(plate.height)}"
    own = (
        f' width="{plate.width * MM:.3f}mm" height="{plate.height * MM:.3f}mm"' if on_paper else ""
    )
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{uid}" viewBox="0 0 {size}"{own} role="img"'
        f' aria-labelledby="{named_by or uid}-t {named_by or uid}-d" stroke-linejoin="round"'
        f' font-family="{fonts.STACK["Fieldguide Sans"]}">',
    ]
    if not named_by:
        parts.append(f'<title id="{uid}-t">{_said(title)}</title>')
        parts.append(f'<desc id="{uid}-d">{_said(description)}</desc>')
    if ground:
        parts.append(f'<path fill="{paper}" d="M0 0H{_n(plate.width)}V{_n(plate.height)}H0z"/>')
    parts += [pen.mark(mark) for mark in plate.upto(upto)]
    parts.append("</svg>")
    return "\n".join(parts)


def again(uid: str, width: float, height: float) -> str:
    """The drawing ``uid`` of the same page once more, named and described as it is there."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(width)} {_n(height)}" role="img"'
        f' aria-labelledby="{uid}-t {uid}-d"><use href="#{uid}"/></svg>'
    )


def written(mark: Mark) -> str:
    """One mark as an SVG element, for a page that puts its own <svg> around it."""
    return _Pen(colour("paper")).mark(mark)


def attribute(text: str) -> str:
    """``text`` fit to stand in an attribute."""
    return escape(FORBIDDEN.sub("", text), quote=True)


def theme_css() -> str:
    """Variables for light and dark, and the selectors that hand them to every drawing.

    The selectors are bare attributes: with anything before them they would miss what a
    browser clones.
    """
    light = ";".join(f"--{role}:{both[0]}" for role, both in PALETTE.items())
    dark = ";".join(f"--{role}:{both[1]}" for role, both in PALETTE.items())
    rules = "".join(
        f'[fill="{both[0]}"]{{fill:var(--{role})}}[stroke="{both[0]}"]{{stroke:var(--{role})}}'
        for role, both in PALETTE.items()
    )
    return (
        f":root{{color-scheme:light dark;{light}}}"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}{rules}"
    )


class _Pen:
    """Writes one mark after the other; knows only the colour of the paper."""

    def __init__(self, paper: str) -> None:
        self.paper = paper

    def mark(self, mark: Mark) -> str:
        if isinstance(mark, Text):
            return self.text(mark)
        return self.stroke(mark) if isinstance(mark, Stroke) else self.dots(mark)

    def colour(self, role: Role | None) -> str:
        if role is None:
            return "none"
        return self.paper if role == "paper" else colour(role)

    def stroke(self, mark: Stroke) -> str:
        closed = "z" if mark.fill else ""
        path = "".join(_run(run) + closed for run in mark.runs)
        look = f'fill="{self.colour(mark.fill)}"'
        if mark.stroke:
            look += f' stroke="{self.colour(mark.stroke)}" stroke-width="{_n(mark.width)}"'
            if mark.dash:
                look += f' stroke-dasharray="{" ".join(_n(part) for part in mark.dash)}"'
        if mark.opacity < 1:
            look += f' opacity="{mark.opacity:g}"'
        return f'<path {look} d="{path}"/>'

    def dots(self, mark: Dots) -> str:
        outline = _outline(mark.shape, mark.radius)
        path = "".join(f"M{_n(x)} {_n(y)}{outline}" for x, y in mark.at.tolist())
        return (
            f'<path fill="{self.colour(mark.fill)}" stroke="{self.colour(mark.stroke)}"'
            f' stroke-width="{_n(mark.width)}"{_cells(mark)} d="{path}"/>'
        )

    def text(self, mark: Text) -> str:
        family, weight, style = fonts.CUT[mark.face]
        look = f'x="{_n(mark.x)}" y="{_n(mark.y)}" font-size="{_n(mark.size)}"'
        look += f' fill="{self.colour(mark.role)}"'
        if family != "Fieldguide Sans":
            look += f' font-family="{fonts.STACK[family]}"'
        if weight != 400:
            look += f' font-weight="{weight}"'
        if style != "normal":
            look += f' font-style="{style}"'
        if mark.anchor != "start":
            look += f' text-anchor="{mark.anchor}"'
        return f"<text {look}>{_said(mark.text)}</text>"


def _cells(mark: Dots) -> str:
    """Which cell of the table of numbers each marker shows, in runs: ``row.column*count``.

    A run goes along its row; one in column 0, which stands for the whole row, down the table.
    """
    if not mark.cells:
        return ""
    runs: list[tuple[int, int, int]] = []
    for row, column in mark.cells:
        if runs and _after(runs[-1]) == (row, column):
            runs[-1] = (*runs[-1][:2], runs[-1][2] + 1)
        else:
            runs.append((row, column, 1))
    said = " ".join(f"{row}.{column}*{count}" for row, column, count in runs)
    return f' data-cells="{said}"'


def _after(run: tuple[int, int, int]) -> tuple[int, int]:
    """The cell that would carry a run on."""
    row, column, count = run
    return (row, column + count) if column else (row + count, 0)


def _run(run: Points) -> str:
    places = [(_n(x), _n(y)) for x, y in run.tolist()]
    return f"M{places[0][0]} {places[0][1]}" + "".join(starmap(_step, pairwise(places)))


def _step(here: tuple[str, str], there: tuple[str, str]) -> str:
    """A straight piece; along an axis only the coordinate that changes."""
    (x0, y0), (x, y) = here, there
    return f"H{x}" if y == y0 else f"V{y}" if x == x0 else f"L{x} {y}"


def _n(value: float) -> str:
    """A length to a tenth of a point, as short as it can be written."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def _fine(value: float) -> str:
    """A length to a hundredth of a point, for what is as small as a marker."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _said(text: str) -> str:
    return escape(FORBIDDEN.sub("", text), quote=False)


def _outline(shape: Shape, radius: float) -> str:
    """A marker's path from its centre, in relative steps."""
    if shape == "circle":
        r, both = _fine(radius), _fine(2 * radius)
        return f"m-{r} 0a{r} {r} 0 1 0 {both} 0 {r} {r} 0 1 0-{both} 0z"
    x, y = 0.0, 0.0
    path = ""
    for step, (across, down) in enumerate(CORNERS[shape]):
        path += f"{'l' if step else 'm'}{_fine(across * radius - x)} {_fine(down * radius - y)}"
        x, y = across * radius, down * radius
    return path + "z"
