"""A PDF page's drawing operators and words, read with pdfium.

Only ever run in the child process of ``bounded.py``: a hostile file costs that process, not ours.
"""

from __future__ import annotations

import base64
import ctypes
import io
import math
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

import pypdfium2 as pdfium
import pypdfium2.raw as raw

from explainer.lift.shapes import Colour, DrawnShape, PageBox, PageDrawing, Point, PrintedWord
from explainer.study.unseen import seen

#: More drawn objects than this on a page is no chart that can be told apart.
MOST_OBJECTS = 60_000
MOST_STEPS = 600_000
MOST_LETTERS = 60_000
#: Letters that tell which way a page lies.
_SAMPLED = 3000
#: Spaces within a number, and the gap, in letter sizes, that parts words without a space.
_THIN, _PARTED = (0x2009, 0x202F), 0.17
_DEEPEST = 8
_PER_CURVE = 8

Place = Callable[[float, float], Point]
Matrix = tuple[float, float, float, float, float, float]
_SAME: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


class TooMuchDrawn(Exception):
    """A page with more drawn objects than we are willing to look at."""


def page_drawing(page: pdfium.PdfPage, number: int) -> PageDrawing:
    """Everything drawn and printed on ``page``, as shown (its rotation applied).

    Raises TooMuchDrawn.
    """
    place, width, height = _as_shown(page)
    shapes: list[DrawnShape] = []
    pictures: list[PageBox] = []
    budget = _LookBudget()
    for obj, matrix in _objects(_of_page(page.raw), _SAME, budget, 0):
        kind = raw.FPDFPageObj_GetType(obj)
        if kind == raw.FPDF_PAGEOBJ_PATH:
            shapes += _shapes(obj, matrix, place, len(shapes), budget)
        elif kind == raw.FPDF_PAGEOBJ_IMAGE:
            pictures.append(_unit_square(_times(_matrix(obj), matrix), place))
    return PageDrawing(
        number, width, height, tuple(shapes), tuple(_words(page, place)),
        tuple(pictures),
    )


class _LookBudget:
    """What may still be looked at."""

    def __init__(self) -> None:
        self.objects, self.steps = MOST_OBJECTS, MOST_STEPS

    def spend(self, objects: int, steps: int) -> None:
        self.objects -= objects
        self.steps -= steps
        if self.objects < 0 or self.steps < 0:
            raise TooMuchDrawn


def stood_up(page: pdfium.PdfPage) -> bool:
    """Turns a page most of whose letters do not stand upright (a chart or table laid on its side)
    so that they do; whether it was turned."""
    text = page.get_textpage()
    turns = Counter(
        _turn(text.raw, i, page.get_rotation()) for i in range(min(text.count_chars(), _SAMPLED))
        if raw.FPDFText_GetUnicode(text.raw, i) > 32
    )  # fmt: skip
    most, count = max(turns.items(), key=lambda one: one[1], default=(0, 0))
    if not most or count <= 0.6 * turns.total():
        return False
    page.set_rotation((page.get_rotation() + most) % 360)
    return True


def _turn(text: Any, i: int, rotation: int) -> int:
    angle = math.degrees(raw.FPDFText_GetCharAngle(text, i))
    return round((-angle - rotation) / 90) * 90 % 360


def _as_shown(page: pdfium.PdfPage) -> tuple[Place, float, float]:
    """From user space to the page as a reader sees it: crop box and rotation."""
    left, bottom, right, top = page.get_cropbox()
    wide, high, turn = right - left, top - bottom, page.get_rotation() % 360
    placed: dict[int, Place] = {
        0: lambda x, y: (x - left, top - y),
        90: lambda x, y: (y - bottom, x - left),
        180: lambda x, y: (right - x, y - bottom),
        270: lambda x, y: (top - y, right - x),
    }
    if turn in (90, 270):
        wide, high = high, wide
    return placed[turn], wide, high


def _of_page(page: Any) -> Iterator[Any]:
    for i in range(raw.FPDFPage_CountObjects(page)):
        yield raw.FPDFPage_GetObject(page, i)


def _of_form(form: Any) -> Iterator[Any]:
    for i in range(max(0, raw.FPDFFormObj_CountObjects(form))):
        yield raw.FPDFFormObj_GetObject(form, i)


def _objects(
    found: Iterator[Any], matrix: Matrix, budget: _LookBudget, depth: int
) -> Iterator[tuple[Any, Matrix]]:
    """Every object, those inside forms with the form's own place on the page."""
    for obj in found:
        budget.spend(1, 0)
        if raw.FPDFPageObj_GetType(obj) != raw.FPDF_PAGEOBJ_FORM:
            yield obj, matrix
        elif depth < _DEEPEST:
            inner = _times(_matrix(obj), matrix)
            yield from _objects(_of_form(obj), inner, budget, depth + 1)


def _matrix(obj: Any) -> Matrix:
    found = raw.FS_MATRIX()
    if not raw.FPDFPageObj_GetMatrix(obj, found):
        return _SAME
    return found.a, found.b, found.c, found.d, found.e, found.f


def _times(first: Matrix, then: Matrix) -> Matrix:
    """``first``, then ``then`` (PDF 32000-1, 8.3.4)."""
    a, b, c, d, e, f = first
    p, q, r, s, t, u = then
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s,
            e * p + f * r + t, e * q + f * s + u)  # fmt: skip


def _unit_square(m: Matrix, place: Place) -> PageBox:
    a, b, c, d, e, f = m
    at = [place(a * x + c * y + e, b * x + d * y + f) for x in (0, 1) for y in (0, 1)]
    return PageBox(min(p[0] for p in at), min(p[1] for p in at),
               max(p[0] for p in at), max(p[1] for p in at))  # fmt: skip


def _shapes(
    obj: Any, matrix: Matrix, place: Place, order: int, budget: _LookBudget
) -> Iterator[DrawnShape]:
    """The strokes of a path, each as a shape of its own."""
    steps = max(0, raw.FPDFPath_CountSegments(obj))
    budget.spend(0, steps)
    mode, strokes = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(obj, mode, strokes)
    if not mode.value and not strokes.value:
        return
    whole = _times(_matrix(obj), matrix)
    fill = _colour(raw.FPDFPageObj_GetFillColor, obj) if mode.value else None
    stroke = _colour(raw.FPDFPageObj_GetStrokeColor, obj) if strokes.value else None
    width = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(obj, width)
    scale = math.sqrt(abs(whole[0] * whole[3] - whole[1] * whole[2])) or 1.0
    dash = _dash(obj, scale) if strokes.value else ()
    for knots, outline, kinds, closed in _strokes(obj, steps, whole, place):
        yield DrawnShape(tuple(knots), tuple(outline), closed, fill, stroke,
                         width.value * scale, dash, kinds, order)  # fmt: skip


def _strokes(
    obj: Any, steps: int, matrix: Matrix, place: Place
) -> Iterator[tuple[list[Point], list[Point], str, bool]]:
    a, b, c, d, e, f = matrix
    knots: list[Point] = []
    outline: list[Point] = []
    kinds, closed = "", False
    bends: list[Point] = []
    x, y = ctypes.c_float(), ctypes.c_float()
    for i in range(steps):
        step = raw.FPDFPath_GetPathSegment(obj, i)
        raw.FPDFPathSegment_GetPoint(step, x, y)
        at = place(a * x.value + c * y.value + e, b * x.value + d * y.value + f)
        kind = raw.FPDFPathSegment_GetType(step)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            if len(knots) > 1:
                yield knots, outline, kinds, closed
            knots, outline, kinds, bends, closed = [at], [at], "m", [], False
        elif kind == raw.FPDF_SEGMENT_BEZIERTO:
            bends.append(at)
            if len(bends) == 3 and knots:
                outline += _curve(knots[-1], *bends)
                knots.append(at)
                kinds, bends = kinds + "c", []
        elif knots:
            knots.append(at)
            outline.append(at)
            kinds += "l"
        closed = closed or bool(raw.FPDFPathSegment_GetClose(step))
    if len(knots) > 1:
        yield knots, outline, kinds, closed


def _curve(start: Point, one: Point, two: Point, end: Point) -> list[Point]:
    """Points along a Bézier curve after its start."""
    found = []
    for n in range(1, _PER_CURVE + 1):
        t = n / _PER_CURVE
        w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        at = zip(w, (start, one, two, end), strict=True)
        parts = [(k * p[0], k * p[1]) for k, p in at]
        found.append((sum(p[0] for p in parts), sum(p[1] for p in parts)))
    return found


def _colour(ask: Any, obj: Any) -> Colour | None:
    parts = [ctypes.c_uint() for _ in range(4)]
    if not ask(obj, *parts):
        return None
    red, green, blue, alpha = (part.value for part in parts)
    return red, green, blue, alpha


def _dash(obj: Any, scale: float) -> tuple[float, ...]:
    count = raw.FPDFPageObj_GetDashCount(obj)
    if count <= 0 or count > 16:
        return ()
    found = (ctypes.c_float * count)()
    raw.FPDFPageObj_GetDashArray(obj, found, count)
    return tuple(round(v * scale, 2) for v in found)


def _words(page: pdfium.PdfPage, place: Place) -> list[PrintedWord]:
    """Letters put together where they stand side by side on a line."""
    letters = list(_letters(page, place))
    words: list[PrintedWord] = []
    run: list[_Letter] = []
    for letter in letters:
        if run and not _goes_on(run, letter):
            words.append(_word(run))
            run = []
        run.append(letter)
    if run:
        words.append(_word(run))
    return words


class _Letter:
    """A printed letter: along and across are its place on, and the height of, its own line.

    ``box`` is its ink; ``room`` what its font gives it, without which a 1 and a point would seem
    parted, and a leaning f to touch the next word.
    """

    __slots__ = ("across", "along", "box", "end", "size", "spaced", "text", "turn")

    def __init__(
        self, text: str, box: PageBox, room: PageBox, origin: Point, size: float, turn: int,
        spaced: str,
    ) -> None:  # fmt: skip
        self.text, self.box, self.size, self.turn = text, box, size, turn
        self.spaced = spaced
        """The space printed before it, if any."""
        box = room
        self.along, self.across, self.end = {
            0: (box.left, origin[1], box.right), 90: (-box.bottom, origin[0], -box.top),
            180: (-box.right, -origin[1], -box.left), 270: (box.top, -origin[0], box.bottom),
        }[turn]  # fmt: skip


def _letters(page: pdfium.PdfPage, place: Place) -> Iterator[_Letter]:
    text = page.get_textpage()
    count = text.count_chars()
    if count > MOST_LETTERS:
        raise TooMuchDrawn
    numbers = [ctypes.c_double() for _ in range(4)]
    x, y = ctypes.c_double(), ctypes.c_double()
    rotation, spaced, loose = page.get_rotation(), "", raw.FS_RECTF()
    for i in range(count):
        code = raw.FPDFText_GetUnicode(text.raw, i)
        letter = seen(chr(code)) if 32 < code < 0x110000 else ""
        if not letter.strip():
            printed = code in (0x20, *_THIN) and not raw.FPDFText_IsGenerated(text.raw, i)
            spaced = chr(code) if printed else spaced
            continue
        if not raw.FPDFText_GetCharBox(text.raw, i, *numbers):
            continue
        left, right, bottom, top = (n.value for n in numbers)
        raw.FPDFText_GetCharOrigin(text.raw, i, x, y)
        box = room = _box_of(place(left, bottom), place(right, top))
        if raw.FPDFText_GetLooseCharBox(text.raw, i, loose):
            room = _box_of(place(loose.left, loose.bottom), place(loose.right, loose.top))
        turn = _turn(text.raw, i, rotation)
        matrix = raw.FS_MATRIX()
        size = raw.FPDFText_GetFontSize(text.raw, i)
        if raw.FPDFText_GetMatrix(text.raw, i, matrix):
            size *= math.hypot(matrix.c, matrix.d)
        yield _Letter(letter, box, room, place(x.value, y.value), size or box.height, turn, spaced)
        spaced = ""


def _box_of(one: Point, two: Point) -> PageBox:
    return PageBox(min(one[0], two[0]), min(one[1], two[1]), max(one[0], two[0]),
                   max(one[1], two[1]))  # fmt: skip


def _goes_on(run: list[_Letter], letter: _Letter) -> bool:
    last, first = run[-1], run[0]
    size = max(first.size, last.size, 1.0)
    gap = letter.along - last.end
    level = abs(letter.across - first.across)
    raised = letter.size < 0.85 * first.size and level < 0.75 * size
    most = 0.05 if letter.spaced == " " else 0.3 if letter.spaced else _PARTED
    return (
        letter.turn == last.turn
        and -0.6 * size < gap < most * size
        and (level < 0.15 * size or raised)
        and letter.along > first.along - 0.5 * size
    )


def _word(run: list[_Letter]) -> PrintedWord:
    base, size, text, up = run[0].across, run[0].size, "", False
    for letter in run:
        raised = letter.size < 0.85 * size and base - letter.across > 0.2 * size
        text += ("^" if raised and not up and text else "") + letter.text
        up = raised
    box = PageBox(
        min(r.box.left for r in run), min(r.box.top for r in run),
        max(r.box.right for r in run), max(r.box.bottom for r in run),
    )  # fmt: skip
    return PrintedWord(text, box, size, run[0].turn in (90, 270))


# A page or an image file as pixels, made in the child process and of bounded size.

#: Bytes that an image may take while it is decoded.
MOST_DECODED = 420_000_000


def picture_of(data: bytes, request: dict[str, Any]) -> dict[str, Any]:
    """The answer to a request for a picture: PNG in base64, or a fault."""
    pages = 0
    try:
        if request["page"] is not None:
            image, pages = _rendered(data, int(request["page"]), int(request["most"]))
        else:
            image = _decoded(data, int(request["most"]))
    except _CannotShow as fault:
        return {"fault": str(fault)}
    except MemoryError:
        return {"fault": "it needs more than a gigabyte to show; save it at half its size"}
    out = io.BytesIO()
    image.save(out, "PNG")
    return {"png": base64.b64encode(out.getvalue()).decode("ascii"), "width": image.width,
            "height": image.height, "pages": pages}  # fmt: skip


class _CannotShow(Exception):
    """Why there is no picture."""


def _rendered(data: bytes, number: int, most: int) -> tuple[Any, int]:
    """A page as an image, and how many pages there are."""
    import pypdfium2 as pdfium


    try:
        document = pdfium.PdfDocument(data)
        if not 1 <= number <= len(document):
            raise _CannotShow(f"it has {len(document)} pages; there is no page {number}")
        page = document[number - 1]
        stood_up(page)
        width, height = page.get_size()
        if not (width > 0 and height > 0):  # what it shows lies outside of its sheet
            raise _CannotShow(f"there is nothing to show on page {number}")
        scale = min(4.0, most / max(width, height, 1.0))
        image = page.render(scale=scale, may_draw_forms=False).to_pil().convert("RGB")
    except pdfium.PdfiumError as fault:
        locked = "password" in str(fault).casefold()
        raise _CannotShow(
            "it is encrypted and asks for a password; save an open copy of it first" if locked
            else "it is broken or no PDF; open it in a reader and print it to a new PDF"
        ) from None
    return image, len(document)


def _decoded(data: bytes, most: int) -> Any:
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = None  # bounded below, by what decoding would take
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            formats = ("PNG", "JPEG", "WEBP", "GIF", "BMP", "TIFF")
            image = Image.open(io.BytesIO(data), formats=formats)
            was = image.size
            image.draft("RGB", (most, most))  # a JPEG is decoded smaller at once
            if image.width * image.height * 4 > MOST_DECODED:
                size = was[0] * was[1] / 1e6
                raise _CannotShow(
                    f"{size:.0f} megapixels are too many; save it at half its width and height"
                )
            upright = ImageOps.exif_transpose(image).convert("RGB")
            upright.thumbnail((most, most))
    except (OSError, ValueError, SyntaxError) as fault:
        raise _CannotShow(f"it is no image that can be read ({type(fault).__name__})") from None
    return upright
