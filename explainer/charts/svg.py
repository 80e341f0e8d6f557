"""A plate as SVG: one string that serves the page (inline) and the PDF (as an image).

Text stays text.  Colours are presentation attributes, one hex per role, because a PDF renderer
knows no CSS variables; ``theme_css`` gives the page bare attribute selectors that recolour
them for light and dark.  The picture has the role img, named and described by its own title
and desc, whose ids carry the ``uid`` so that they stay unique over a page.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from html import escape, unescape
from itertools import groupby, pairwise

import numpy as np

from explainer.charts import fonts
from explainer.charts.display_list import DisplayList, Dots, Mark, Points, Stroke, Text
from explainer.charts.style import CORNERS, PALETTE, Face, Role, Shape, colour

#: Characters XML 1.0 cannot hold at all.
FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
PLAIN_PAPER = "#ffffff"
FAMILY = fonts.STACK["Fieldguide Sans"]
MM = 25.4 / 72
#: What holds for every mark of a drawing unless it says otherwise.
SHARED = ' fill="none" stroke-linejoin="round"'


def render(
    plate: DisplayList,
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
    size = f"{short(plate.width)} {short(plate.height)}"
    own = (
        f' width="{plate.width * MM:.3f}mm" height="{plate.height * MM:.3f}mm"' if on_paper else ""
    )
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{uid}" viewBox="0 0 {size}"{own} role="img"'
        f' aria-labelledby="{named_by or uid}-t {named_by or uid}-d"{SHARED}'
        f' font-family="{FAMILY}">',
    ]
    if not named_by:
        parts.append(f'<title id="{uid}-t">{_said(title)}</title>')
        parts.append(f'<desc id="{uid}-d">{_said(description)}</desc>')
    if ground:
        parts.append(
            f'<path fill="{paper}" d="M0 0H{short(plate.width)}V{short(plate.height)}H0z"/>'
        )
    parts += pen.marks(plate.upto(upto))
    parts.append("</svg>")
    return "\n".join(parts)


def again(uid: str, width: float, height: float) -> str:
    """The drawing ``uid`` of the same page once more, named and described as it is there."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {short(width)} {short(height)}"'
        f' role="img" aria-labelledby="{uid}-t {uid}-d"><use href="#{uid}"/></svg>'
    )


def inline(drawing: str) -> str:
    """A drawing for a page that has ``theme_css``, which says what holds for all of them."""
    head, end, rest = drawing.partition(">")
    for said in (' xmlns="http://www.w3.org/2000/svg"', SHARED, f' font-family="{FAMILY}"'):
        head = head.replace(said, "")
    return head + end + rest


#: What an element of a drawing looks like, as its attributes say it one after the other.
_LOOK = re.compile(
    r"(?<=<)(path|g|text)((?: [xy]=\"[^\"]*\")*)"
    r"((?: (?:fill|stroke|stroke-width|stroke-dasharray|opacity|font-size|font-weight|font-style"
    r"|font-family|text-anchor)=\"[^\"]*\")+)"
)
_DRAWN = re.compile(r"<svg\b.*?(?:</svg>|\Z)", re.DOTALL)
_ROLE_OF = {both[0]: role for role, both in PALETTE.items()}


def looks(page: str) -> dict[str, str]:
    """The looks that the drawings of a page share, and a short class for each that saves bytes."""
    counted = Counter(
        found.group(3) for drawing in _DRAWN.findall(page) for found in _LOOK.finditer(drawing)
    )
    worth = [look for look, n in counted.most_common() if n * (len(look) - 11) > len(look) + 12]
    return {look: f"k{number}" for number, look in enumerate(worth)}


def looks_css(known: dict[str, str]) -> str:
    """The style of each class of ``looks``."""
    rules = []
    for look, name in known.items():
        said = ";".join(map(_declared, re.findall(r'(?<![a-z-])([a-z-]+)="([^"]*)"', look)))
        rules.append(f".{name}{{{said}}}")
    return "".join(rules)


def _declared(part: tuple[str, str]) -> str:
    """An attribute as CSS: colours by their role, so that dark paper has its own."""
    name, value = part
    if value in _ROLE_OF:
        return f"{name}:var(--{_ROLE_OF[value]})"
    return f"{name}:{value}px" if name == "font-size" else f"{name}:{value}"


def with_looks(page: str, known: dict[str, str]) -> str:
    """The page with the classes in place of the attributes, in its drawings alone."""

    def swap(found: re.Match[str]) -> str:
        tag, place, look = found.groups()
        return f'{tag}{place} class="{known[look]}"' if look in known else found.group(0)

    return _DRAWN.sub(lambda drawing: _LOOK.sub(swap, drawing.group(0).replace(SHARED, "")), page)


def held(drawing: str) -> str:
    """A drawing for a page without our faces: each text as wide as it was measured for.

    Another face runs wider, and would be cut off at the edge of the paper.
    """
    looks = [""]

    def hold(found: re.Match[str]) -> str:
        tag, own, text = found.group(1), found.group(2) or "", found.group(3)
        if tag == "g":
            looks.append(own)
        elif tag == "/g":
            looks.pop()
        if tag != "text" or text is None:
            return found.group(0)
        look = looks[-1] + own
        size = re.search(r'font-size="([\d.]+)"', look)
        wide = fonts.width(unescape(text), float(size.group(1)), _face_of(look)) if size else 0.0
        if not wide:
            return found.group(0)
        fit = f'textLength="{short(wide)}" lengthAdjust="spacingAndGlyphs"'
        return f"<text{own} {fit}>{text}</text>"

    return re.sub(r"<(/?g|text)\b([^>]*)>(?:([^<]*)</text>)?", hold, drawing)


def _face_of(look: str) -> Face:
    """The face that a text's attributes ask for."""
    for face, (family, weight, slant) in fonts.CUT.items():
        if (
            ("Fieldguide Serif,F" in look) == (family == "Fieldguide Serif")
            and (f'font-weight="{weight}"' in look or (weight == 400 and "font-weight" not in look))
            and ("font-style" in look) == (slant != "normal")
        ):
            return face
    return "sans"


def written(marks: list[Mark]) -> str:
    """Marks as SVG elements, for a page that puts its own <svg> with ``SHARED`` around them."""
    return "".join(_Pen(colour("paper")).marks(marks))


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
        f"svg[role=img],svg.mark{{fill:none;stroke-linejoin:round;font-family:{FAMILY}}}"
    )


class _Pen:
    """Writes one mark after the other; knows only the colour of the paper."""

    def __init__(self, paper: str) -> None:
        self.paper = paper

    def marks(self, marks: list[Mark]) -> list[str]:
        """Every mark in its order; texts that look alike share a group, strokes a path."""
        parts = []
        for _, group in groupby(marks, self.alike):
            same = list(group)
            if isinstance(same[0], Text):
                parts.append(self.texts([m for m in same if isinstance(m, Text)]))
            elif isinstance(same[0], Stroke):
                strokes = [m for m in same if isinstance(m, Stroke)]
                runs = tuple(run for stroke in strokes for run in stroke.runs)
                parts.append(self.stroke(replace(strokes[0], runs=runs)))
            else:
                parts += [self.dots(m) for m in same if isinstance(m, Dots)]
        return parts

    def alike(self, mark: Mark) -> object:
        """What marks that may be written as one have in common.

        Washes are drawn one by one: where two overlap, the overlap must be darker.
        """
        if isinstance(mark, Text):
            return self.look(replace(mark, anchor="start"))
        if isinstance(mark, Stroke) and mark.fill is None and mark.opacity == 1:
            return mark.stroke, mark.width, mark.dash
        return id(mark)

    def colour(self, role: Role | None) -> str:
        if role is None:
            return "none"
        return self.paper if role == "paper" else colour(role)

    def stroke(self, mark: Stroke) -> str:
        path = path_of_lines(mark.runs, closed=bool(mark.fill))
        look = f' fill="{self.colour(mark.fill)}"' if mark.fill else ""
        if mark.stroke:
            look += f' stroke="{self.colour(mark.stroke)}" stroke-width="{short(mark.width)}"'
            if mark.dash:
                look += f' stroke-dasharray="{" ".join(short(part) for part in mark.dash)}"'
        if mark.opacity < 1:
            look += f' opacity="{short(mark.opacity, 2)}"'
        return f'<path{look} d="{path}"/>'

    def dots(self, mark: Dots) -> str:
        path = path_of_markers(mark.at, mark.shape, mark.radius, found=bool(mark.cells))
        fill = f' fill="{self.colour(mark.fill)}"' if mark.fill else ""
        return (
            f'<path{fill} stroke="{self.colour(mark.stroke)}"'
            f' stroke-width="{short(mark.width)}"{_cells(mark)} d="{path}"/>'
        )

    def texts(self, marks: list[Text]) -> str:
        """Texts that follow one another and look alike: what they share is said once."""
        look = self.look(marks[0])
        if len(marks) == 1:
            return _set(marks[0], look)
        if len({mark.anchor for mark in marks}) == 1:
            return f"<g{look}>{''.join(_set(mark) for mark in marks)}</g>"
        # Where they hold on to different ends, the group has all else in common.
        look = self.look(replace(marks[0], anchor="start"))
        return f"<g{look}>{''.join(_set(mark, _anchor(mark)) for mark in marks)}</g>"

    def look(self, mark: Text) -> str:
        family, weight, style = fonts.CUT[mark.face]
        look = f' font-size="{short(mark.size)}" fill="{self.colour(mark.role)}"'
        if family != "Fieldguide Sans":
            look += f' font-family="{fonts.STACK[family]}"'
        if weight != 400:
            look += f' font-weight="{weight}"'
        if style != "normal":
            look += f' font-style="{style}"'
        return look + _anchor(mark)


def _anchor(mark: Text) -> str:
    return "" if mark.anchor == "start" else f' text-anchor="{mark.anchor}"'


def _set(mark: Text, look: str = "") -> str:
    return f'<text x="{short(mark.x)}" y="{short(mark.y)}"{look}>{_said(mark.text)}</text>'


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


def _said(text: str) -> str:
    return escape(fonts.typeset(FORBIDDEN.sub("", text)), quote=False)


# --- Path data as short as it can be written: steps from point to point, in whole tenths 

Place = tuple[int, int]


def path_of_lines(runs: Iterable[Points], closed: bool = False) -> str:
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


def path_of_markers(at: Points, shape: Shape, radius: float, found: bool = False) -> str:
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


# A build-up in SVG: every mark written once, and each still a short list of what it shows.
# Pages that show all stills of a figure stay small this way, sharp at any size, and follow the
# page's light or dark.

def stock(plate: DisplayList, uid: str) -> str:
    """The marks of a plate as a hidden <svg>, in groups that ``still`` calls up by name."""
    groups = "".join(
        f'<g id="{uid}-{number}">{written(marks)}</g>'
        for number, (_, marks) in enumerate(_runs(plate))
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="stock" width="0" height="0"'
        f' aria-hidden="true" focusable="false"><defs>{groups}</defs></svg>'
    )


def still(plate: DisplayList, uid: str, upto: int, name: str) -> str:
    """The plate up to a step as an <svg> named ``name``; ``stock`` must stand on the same page."""
    uses = "".join(
        f'<use href="#{uid}-{number}"/>'
        for number, (step, _) in enumerate(_runs(plate))
        if step <= upto
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {plate.width:g} {plate.height:g}"'
        f' role="img" aria-label="{attribute(name)}"{SHARED}'
        f' font-family="{FAMILY}">{uses}</svg>'
    )


def _runs(plate: DisplayList) -> list[tuple[int, list[Mark]]]:
    """Neighboring marks of one step together: the order of drawing stays as it is."""
    return [(step, list(marks)) for step, marks in groupby(plate.marks, lambda m: m.step)]
