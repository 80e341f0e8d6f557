"""What lies over a picture: lower thirds, guides, the verdict that lands; and the two pictures at
a video's ends, thumbnail and end card.

Lower thirds and guides are drawn on nothing, for a program that lays them over what was filmed.
All words stand inside the safe area for graphics (EBU R 95: 5% of each side, value from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from explainer.charts import fonts, stills, style
from explainer.charts.display_list import (
    AXES,
    DATA,
    SUMMARY,
    Box,
    DisplayList,
    Dots,
    Mark,
    Stroke,
    Text,
)
from explainer.charts.style import LEADING, STILL, STILL_SCALE, Canvas, Face, Role, Scheme
from explainer.charts.verdict_marks import set_mark
from explainer.claims.verdict import Code

# The pictures of a video: wide or tall, whole or with a place left free for a face.
# Each is laid out for itself: figures and cards are set anew on the sheet that a layout leaves
# them, never cut out of another. The safe margins of a tall picture are those that common video
# sites cover with their own buttons and words: a ninth at the top, a fifth at the foot, a tenth
# on the right (common practice, values from memory); the place for a face covers the foot.

@dataclass(frozen=True)
class Layout:
    """A picture in points, what a point is in pixels, and the sheet that is set on it."""

    name: str
    width: float
    height: float
    scale: float
    sheet: Canvas
    left: float = 0.0
    top: float = 0.0
    face: Box | None = None
    """Where nothing is drawn, so that somebody can stand there."""

    @property
    def pixels(self) -> tuple[int, int]:
        return round(self.width * self.scale), round(self.height * self.scale)

    @property
    def safe(self) -> Box:
        """Where words stand, in points of the picture: the sheet within its margins."""
        sheet = self.sheet
        return Box(
            self.left + sheet.margin_x, self.top + sheet.margin_y,
            self.left + sheet.width - sheet.margin_x, self.top + sheet.height - sheet.margin_y,
        )  # fmt: skip

    def set(self, drawn: DisplayList) -> DisplayList:
        """What was drawn on the sheet, in its place on the whole picture."""
        if (drawn.width, drawn.height) == (self.width, self.height):
            return drawn
        plate = DisplayList(self.width, self.height)
        plate.marks = [moved(mark, self.left, self.top) for mark in drawn.marks]
        plate.left_out = list(drawn.left_out)
        return plate


def moved(mark: Mark, right: float, down: float) -> Mark:
    """The same mark elsewhere."""
    if isinstance(mark, Stroke):
        return replace(mark, runs=tuple(run + np.array([right, down]) for run in mark.runs))
    if isinstance(mark, Dots):
        return replace(mark, at=mark.at + np.array([right, down]))
    return replace(mark, x=mark.x + right, y=mark.y + down)


SCREEN = Layout("stills", STILL.width, STILL.height, STILL_SCALE, STILL)
BESIDE = Layout(
    "stills-beside", STILL.width, STILL.height, STILL_SCALE,
    Canvas("beside", 336, STILL.height, STILL.margin_x, STILL.margin_y, titled=True),
    face=Box(336, 0, STILL.width, STILL.height),
)  # fmt: skip
TALL = Layout(
    "stills-tall", 300, 1600 / 3, 3.6, Canvas("tall-still", 271, 306, 5, 5, titled=True),
    left=9, top=58, face=Box(0, 366, 300, 1600 / 3),
)  # fmt: skip


SAFE = 0.05
PAD = 9.0
WIDEST = 300.0
KICKER, HEAD, MORE = 9.0, 17.0, 11.0
THUMBNAIL = (320.0, 180.0)
"""Points; 1280 by 720 pixels."""


@dataclass(frozen=True)
class LowerThird:
    """A term, a claim or a verdict: a small line, a large one, and what is said of it."""

    kicker: str
    head: str
    more: str = ""
    code: Code | None = None
    """Whose mark stands before ``more``."""


def lower_third(said: LowerThird, layout: Layout = SCREEN) -> DisplayList:
    """A band of paper at the lower left of a picture on which there is nothing else."""
    plate = DisplayList(layout.width, layout.height)
    left, foot = SAFE * plate.width, (1 - SAFE) * plate.height
    if layout.face is not None and layout.face.top > 0:
        foot = layout.face.top - 4
    room = min(WIDEST, plate.width - 2 * left) - 2 * PAD - 4
    indent = 16.0 if said.code else 0.0
    heads = _set(said.head, HEAD, "serif-bold", room, 3)
    more = _set(said.more, MORE, "sans", room - indent, 4)
    high = 2 * PAD + KICKER * LEADING + (len(heads) * HEAD + len(more) * MORE) * LEADING + 4
    top = foot - high
    wide = max(
        fonts.width(said.kicker, KICKER, "sans-bold"),
        *(fonts.width(line, HEAD, "serif-bold") for line in heads),
        *(fonts.width(line, MORE) + indent for line in more),
    )
    plate.rectangle(Box(left, top, left + min(wide, room) + 2 * PAD + 4, foot), "paper", AXES, 0.95)
    plate.rectangle(Box(left, top, left + 4, foot), "accent")
    x, y = left + 4 + PAD, top + PAD + KICKER
    plate.text(x, y, fonts.shorten(said.kicker, KICKER, "sans-bold", room), KICKER, "accent",
               "sans-bold")  # fmt: skip
    for line in heads:
        y += HEAD * LEADING
        plate.text(x, y, line, HEAD, face="serif-bold")
    y += 3
    if said.code and more:
        set_mark(plate, said.code, x + 5.5, y + MORE * 0.9, 11)
    for line in more:
        y += MORE * LEADING
        plate.text(x + indent, y, line, MORE)
    return plate


def _set(text: str, size: float, face: Face, room: float, most: int) -> list[str]:
    lines = fonts.balanced(fonts.typeset(text), size, face, room) if text else []
    if len(lines) > most:
        lines = [*lines[: most - 1], fonts.shorten(f"{lines[most - 1]} …", size, face, room)]
    return lines


def guide(layout: Layout) -> DisplayList:
    """The safe area, and where a face may stand: for the eye while editing, not to be shown."""
    plate = DisplayList(layout.width, layout.height)
    _outline(plate, layout.safe, "s1", (4, 2))
    plate.text(layout.safe.left + 4, layout.safe.top + 10, "words and numbers", 8.5, "s1")
    if layout.face is not None:
        face = layout.face.grown(-3)
        _outline(plate, face, "accent", ())
        middle = (face.left + face.right) / 2
        plate.text(middle, face.top + 14, "a face", 8.5, "accent", anchor="middle")
        turn = np.linspace(0, 2 * np.pi, 61)
        across, up = min(face.width, face.height) * 0.22, min(face.width, face.height) * 0.29
        height = face.top + face.height * 0.45
        oval = np.column_stack([middle + across * np.cos(turn), height + up * np.sin(turn)])
        plate.line(oval, "accent", style.LINE, (3, 2))
    return plate


def _outline(plate: DisplayList, box: Box, role: Role, dash: tuple[float, ...]) -> None:
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom),
               (box.left, box.bottom), (box.left, box.top)]  # fmt: skip
    plate.line(corners, role, style.LINE, dash)


def end_card(title: str, says: str, address: str, notice: str) -> DisplayList:
    """The last picture: where every number is, and room for what a video site lays over it."""
    plate = DisplayList(SCREEN.width, SCREEN.height)
    left, right = SAFE * plate.width, (1 - SAFE) * plate.width
    y = SAFE * plate.height + 22
    for line in _set(title, 22.0, "serif-bold", right - left, 2):
        plate.text(left, y, line, 22.0, face="serif-bold")
        y += 22 * LEADING
    for line in _set(says, 12.0, "sans", right - left, 2):
        plate.text(left, y, line, 12.0)
        y += 12 * LEADING
    if address:
        size = 13.0
        while size > 9 and fonts.width(address, size, "sans-bold") > right - left:
            size -= 0.5
        plate.text(left, y + 2, address, size, "accent", "sans-bold")
    for x in (left, plate.width / 2 + 8):
        wide = plate.width / 2 - 8 - left
        _outline(plate, Box(x, 134, x + wide, 134 + wide * 9 / 16 - 8), "line", (5, 3))
    plate.text(left, (1 - SAFE) * plate.height + 2, notice, 8.5, "muted")
    return plate


def thumbnail(
    words: Sequence[str], codes: Sequence[Code], drawn: DisplayList | None
) -> DisplayList:
    """The picture a video is chosen by: few large words, the marks of the verdicts, a drawing.

    ``drawn`` is a figure whose words are left out; it fills the right half.
    """
    plate = DisplayList(*THUMBNAIL)
    room = plate.width * (0.5 if drawn else 0.9)
    if drawn is not None:
        bare = [m for m in drawn.marks if not isinstance(m, Text) and m.step in (DATA, SUMMARY)]
        scale = min((plate.width * 0.46) / drawn.width, (plate.height * 0.9) / drawn.height)
        left, top = plate.width * 0.52, (plate.height - drawn.height * scale) / 2
        plate.marks += [moved(_grown(m, scale), left, top) for m in bare]
    size = 52.0
    while size > 16 and max(fonts.width(w, size, "sans-bold") for w in words) > room - 12:
        size -= 1
    y = 18 + size * 0.74
    for number, word in enumerate(words):
        last = number == len(words) - 1 and len(words) > 1
        plate.text(14, y, word, size, "accent" if last else "ink", "sans-bold")
        y += size * 1.08
    side = min(24.0, (room - 20) / max(len(codes), 1) - 4)
    for number, code in enumerate(codes):
        set_mark(plate, code, 14 + side / 2 + number * (side + 5), plate.height - 24, side)
    return plate


def _grown(mark: Stroke | Dots, by: float) -> Mark:
    """The mark at another size, to be seen at once and small: its lines are bolder."""
    if isinstance(mark, Stroke):
        dash = tuple(part * by for part in mark.dash)
        return replace(mark, runs=tuple(run * by for run in mark.runs), dash=dash,
                       width=mark.width * 1.4, step=AXES)  # fmt: skip
    return replace(mark, at=mark.at * by, radius=mark.radius * 1.2, step=AXES)


def transparent_png(plate: DisplayList, scheme: Scheme, scale: float = STILL_SCALE) -> bytes:
    """The plate on nothing, as PNG with alpha; the same bytes on every run."""
    stream = BytesIO()
    made = stills.figure(plate, scheme, None, scale)
    made.patch.set_alpha(0)
    stills.rgba(made).quantize(96, method=2, dither=stills.PLAIN).save(stream, "PNG")
    return stream.getvalue()


def landing(
    code: Code, label: str, notice: str, frames: int, scheme: Scheme
) -> Iterator[NDArray[np.uint8]]:
    """The mark of a verdict that falls into place and its label after it, (height, width, 4)."""
    width, height = SCREEN.width, SCREEN.height
    left, foot = SAFE * width, (1 - SAFE) * height
    size = 20.0
    for number in range(1, frames + 1):
        share = number / frames
        fall = min(share / 0.5, 1.0)
        plate = DisplayList(width, height)
        wide = fonts.width(label, size, "serif-bold")
        plate.rectangle(Box(left, foot - 46, left + 58 + wide, foot), "paper", AXES, 0.95)
        plate.text(left + 48, foot - 4, notice, 8.5, "muted")
        set_mark(plate, code, left + 25, foot - 23, 30 * (1 + 1.6 * (1 - fall) ** 2))
        shown = round(len(label) * min(max((share - 0.4) / 0.5, 0.0), 1.0))
        if shown:
            plate.text(left + 48, foot - 16, label[:shown], size, face="serif-bold")
        made = stills.figure(plate, scheme)
        made.patch.set_alpha(0)
        yield np.asarray(stills.rgba(made), dtype=np.uint8)
