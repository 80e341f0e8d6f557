"""A chart read by hand: what was set on the desk, what it says, and the files that keep it."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from explainer.lift.written import ReportFile, digits, part_name
from explainer.study.description.lifted import sidecar_name
from explainer.study.lifted import origin_text

# Values from places on a picture: two points on each axis, then the marks, and how sure they are.
# All places are in pixels of the picture from its top left. A photo's perspective is taken out by
# the homography of four corners (Hartley and Zisserman 2004, 4.1). The error has two parts, as
# the analysis wants them: what differs from mark to mark, and what the axes' calibration adds to
# all marks together.

Spot = tuple[float, float]
Floats = NDArray[np.float64]

#: Half-widths in pixels: a place set by hand under a magnifier, and one moved to a mark's middle.
BY_HAND, SNAPPED = 1.6, 1.0


class CannotRead(ValueError):
    """What is missing or contradicts itself, as one line."""


@dataclass(frozen=True)
class SetAxis:
    """Two places on an axis and the values printed there."""

    first: Spot
    second: Spot
    low: float
    high: float
    scale: Literal["linear", "log"] = "linear"

    def values(self) -> tuple[float, float]:
        """On the scale's own line: logarithms to base 10 where it is logarithmic."""
        if self.scale == "log":
            if self.low <= 0 or self.high <= 0:
                raise CannotRead("a logarithmic axis has no zero and nothing below it")
            return math.log10(self.low), math.log10(self.high)
        return self.low, self.high


@dataclass(frozen=True)
class SetMark:
    """A place set on a mark."""

    at: Spot
    snapped: bool = False


@dataclass(frozen=True)
class Calibration:
    """What turns places into values: corners of a plane (or none), and both axes."""

    x: SetAxis
    y: SetAxis
    corners: tuple[Spot, Spot, Spot, Spot] | None = None

    def read(self, spots: Sequence[Spot]) -> Floats:
        """Values (n, 2) of places (n, 2).  Raises CannotRead."""
        to_plane = _flattening(self.corners)
        shares = self._shares(_moved(to_plane, spots), to_plane)
        columns = []
        for axis, share in zip((self.x, self.y), shares.T, strict=True):
            low, high = axis.values()
            line = low + share * (high - low)
            columns.append(10.0**line if axis.scale == "log" else line)
        return np.column_stack(columns)

    def _shares(self, flat: Floats, to_plane: Floats) -> Floats:
        """How far along each axis, 0 at its first place and 1 at its second.

        The axes need not be at right angles: a scan may be turned, a copy may be slanted.
        """
        ends = [_moved(to_plane, (a.first, a.second)) for a in (self.x, self.y)]
        u, v = (e[1] - e[0] for e in ends)
        basis = np.column_stack([u, v])
        lengths = [float(np.hypot(*side)) for side in (u, v)]
        if min(lengths) < 1e-9 or abs(np.linalg.det(basis)) < 0.05 * lengths[0] * lengths[1]:
            raise CannotRead("the two axes run the same way; set two places on each")
        inverse = np.linalg.inv(basis)
        along_x = (flat - ends[0][0]) @ inverse.T
        along_y = (flat - ends[1][0]) @ inverse.T
        return np.column_stack([along_x[:, 0], along_y[:, 1]])

    def places(self, values: Floats) -> Floats:
        """Places (n, 2) of values (n, 2), to draw what was read back over the picture."""
        to_plane = _flattening(self.corners)
        shares = []
        for axis, column in zip((self.x, self.y), np.asarray(values, float).T, strict=True):
            low, high = axis.values()
            line = np.log10(column) if axis.scale == "log" else column
            shares.append((line - low) / (high - low))
        ends = [_moved(to_plane, (a.first, a.second)) for a in (self.x, self.y)]
        u, v = (e[1] - e[0] for e in ends)
        inverse = np.linalg.inv(np.column_stack([u, v]))
        # Where the axes' own zero shares lie in the oblique frame that starts at x's first place.
        shift = (ends[1][0] - ends[0][0]) @ inverse.T
        flat = ends[0][0] + np.outer(shares[0], u) + np.outer(shares[1] + shift[1], v)
        return _moved(np.asarray(np.linalg.inv(to_plane), dtype=np.float64), flat)

    def errors(self, marks: Sequence[SetMark]) -> tuple[Floats, Floats]:
        """Half-widths (n, 2): of each mark alone, and of what the calibration adds to it.

        By how much the value changes where the mark, or in turn each calibrating place, is off by
        its half-width in either direction; those of the places add as independent errors.
        """
        spots = [m.at for m in marks]
        size = np.array([[SNAPPED if m.snapped else BY_HAND] for m in marks])
        value = self.read(spots)
        own = np.zeros_like(value)
        for step in ((1.0, 0.0), (0.0, 1.0)):
            moved = self.read([tuple(p) for p in np.asarray(spots) + size * np.array(step)])
            own += (moved - value) ** 2
        shared = np.zeros_like(value)
        for other in self._nudged():
            shared += (other.read(spots) - value) ** 2
        return np.sqrt(own), np.sqrt(shared)

    def _nudged(self) -> list[Calibration]:
        """This calibration with each of its places off by the error of a hand, one at a time."""
        found = []
        for name in ("x", "y"):
            axis: SetAxis = getattr(self, name)
            for end in ("first", "second"):
                place: Spot = getattr(axis, end)
                for dx, dy in ((BY_HAND, 0.0), (0.0, BY_HAND)):
                    new = SetAxis(**{**axis.__dict__, end: (place[0] + dx, place[1] + dy)})
                    found.append(Calibration(**{**self.__dict__, name: new}))
        for i, corner in enumerate(self.corners or ()):
            for dx, dy in ((BY_HAND, 0.0), (0.0, BY_HAND)):
                corners = list(self.corners or ())
                corners[i] = (corner[0] + dx, corner[1] + dy)
                found.append(Calibration(self.x, self.y, tuple(corners)))  # type: ignore[arg-type]
        return found


def _flattening(corners: Sequence[Spot] | None) -> Floats:
    """The homography (3, 3) that takes four corners, in turn around, to a rectangle."""
    if corners is None:
        return np.eye(3)
    given = np.asarray(corners, float)
    sides = [float(np.hypot(*(given[(i + 1) % 4] - given[i]))) for i in range(4)]
    if min(sides) < 8 or not _turns_one_way(given):
        raise CannotRead("the four corners do not go around a shape; set them in turn")
    wide, high = (sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2
    target = np.array([(0, 0), (wide, 0), (wide, high), (0, high)], float)
    rows = []
    for (x, y), (u, v) in zip(given, target, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, v])
    found = np.asarray(rows)
    solved = np.linalg.solve(found[:, :8], found[:, 8])
    return np.append(solved, 1.0).reshape(3, 3)


def _turns_one_way(corners: Floats) -> bool:
    after, later = np.roll(corners, -1, 0), np.roll(corners, -2, 0)
    a, b = after - corners, later - after
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return bool((cross > 0).all() or (cross < 0).all())


def _moved(by: Floats, spots: Sequence[Spot] | Floats) -> Floats:
    at = np.asarray(spots, float).reshape(-1, 2)
    made = np.column_stack([at, np.ones(len(at))]) @ by.T
    return made[:, :2] / made[:, 2:]


def repeatability(first: Floats, second: Floats) -> Floats:
    """Standard deviation (2,) of one reading, from the same marks (n, 2) read twice.

    √(Σd²/2n), the within-pair standard deviation (Bland and Altman 1996, BMJ 313:744).  Marks are
    paired by nearness, since nobody reads them in the same order.  Raises CannotRead.
    """
    if len(first) != len(second) or len(first) < 2:
        raise CannotRead(
            f"{len(first)} marks the first time, {len(second)} the second; set the same ones"
        )
    span = np.ptp(np.vstack([first, second]), axis=0)
    span[span == 0] = 1.0
    rest = list(range(len(second)))
    total = np.zeros(2)
    for row in first:
        apart = [float(np.hypot(*((second[i] - row) / span))) for i in rest]
        pick = rest.pop(int(np.argmin(apart)))
        total += (second[pick] - row) ** 2
    return np.asarray(np.sqrt(total / (2 * len(first))))


def snapped(image: NDArray[np.uint8], spot: Spot, reach: int = 14) -> Spot | None:
    """The middle of the mark at or near a place of an image (h, w, 3); None where there is none.

    A mark of its own colour that ends within reach is taken whole; of one that a line runs
    through, the place where it is thickest.
    """
    from scipy import ndimage

    high, wide = image.shape[:2]
    x, y = round(spot[0]), round(spot[1])
    if not (0 <= x < wide and 0 <= y < high):
        return None
    left, top = max(0, x - 2 * reach), max(0, y - 2 * reach)
    window = image[top : y + 2 * reach + 1, left : x + 2 * reach + 1].astype(float)
    ground = np.median(image[:: max(1, high // 200), :: max(1, wide // 200)].reshape(-1, 3), axis=0)
    ink = np.abs(window - ground).sum(axis=2) > 90
    rows, columns = np.nonzero(ink)
    if not len(rows):
        return None
    apart = np.hypot(columns + left - spot[0], rows + top - spot[1])
    nearest = int(np.argmin(apart))
    if apart[nearest] > reach:
        return None
    colour = window[rows[nearest], columns[nearest]]
    inside = _core(window, ink, rows[nearest], columns[nearest], colour)
    near_colour = np.abs(window - inside).sum(axis=2)
    labels, _ = ndimage.label(ink & (near_colour < 150), structure=np.ones((3, 3)))
    own = labels == labels[rows[nearest], columns[nearest]]
    if not own[rows[nearest], columns[nearest]] or own.sum() < 3:
        own = ink
    ys, xs = np.nonzero(own)
    edge = xs.min() == 0 or ys.min() == 0 or xs.max() == ink.shape[1] - 1 or (
        ys.max() == ink.shape[0] - 1
    )  # fmt: skip
    if not edge and np.ptp(xs) <= 2.4 * reach and np.ptp(ys) <= 2.4 * reach:
        weight = np.abs(window - ground).sum(axis=2) * ndimage.binary_dilation(own)
        rows_all, columns_all = np.indices(weight.shape)
        total = weight.sum()
        return (float((columns_all * weight).sum() / total) + left + 0.5,
                float((rows_all * weight).sum() / total) + top + 0.5)  # fmt: skip
    return _thickest(own, (spot[0] - left, spot[1] - top), reach, (left, top))


def _core(
    window: Floats, ink: NDArray[np.bool_], row: int, column: int, colour: Floats
) -> Floats:
    """The colour of a mark's inside: its edge is mixed with the ground."""
    near = window[max(0, row - 2) : row + 3, max(0, column - 2) : column + 3]
    inked = near[ink[max(0, row - 2) : row + 3, max(0, column - 2) : column + 3]]
    return np.asarray(np.median(inked, axis=0)) if len(inked) else colour


def _thickest(own: NDArray[np.bool_], spot: Spot, reach: int, corner: Spot) -> Spot | None:
    from scipy import ndimage

    depth = ndimage.distance_transform_edt(np.pad(own, 1))[1:-1, 1:-1]
    grid = np.indices(depth.shape)
    rows, columns = grid[0], grid[1]
    far = np.hypot(columns - spot[0], rows - spot[1])
    depth = np.where(far <= reach, depth, 0.0)
    peak = depth.max()
    if peak <= 0:
        return None
    best = depth >= peak - 0.5
    centre = far == np.where(best, far, np.inf).min()
    row, column = divmod(int(np.argmax(centre & best)), depth.shape[1])
    near = best & (np.hypot(columns - column, rows - row) <= peak + 1)
    middle = float(columns[near].mean()), float(rows[near].mean())
    return middle[0] + corner[0] + 0.5, middle[1] + corner[1] + 0.5


MOST_MARKS, MOST_SERIES = 5_000, 40


@dataclass(frozen=True)
class SetSeries:
    """Marks of one name; ``again`` are the same ones set a second time."""

    name: str
    marks: tuple[SetMark, ...]
    again: tuple[SetMark, ...] = ()


@dataclass(frozen=True)
class HandReading:
    """Everything set on the desk."""

    calibration: Calibration
    series: tuple[SetSeries, ...]
    x_title: str
    y_title: str
    figure: str


@dataclass(frozen=True)
class Read:
    """What a reading says; pairs are (x, y) in the axes' units."""

    values: tuple[Floats, ...]
    """Per series (n, 2)."""
    back: tuple[Floats, ...]
    """Per series, the places (n, 2) in pixels that the rounded values fall on."""
    grid: tuple[Floats, ...]
    """Lines (2, 2) in pixels at the values that calibrate, to look at over the picture."""
    error: tuple[float, float]
    """The most that a single value may be off, the axes' part included: a half-width."""
    shared: tuple[float, float]
    """The part of it that all values share."""
    repeated: tuple[float, float] | None
    """Standard deviation of one reading, where marks were read twice."""

    def told(self, reading: HandReading) -> str:
        """The error in words."""
        x, y = (f"{v:.2g}" for v in self.error)
        said = f"Give or take {y} ({reading.y_title or 'y'}) and {x} ({reading.x_title or 'x'})."
        if self.repeated is None:
            begun = sum(len(s.again) for s in reading.series)
            count = sum(len(s.marks) for s in reading.series)
            if begun:
                return f"{said} Read again: {begun} of {count} marks."
            return f"{said} Read it again to see how well you repeat yourself."
        x, y = (f"{v:.2g}" for v in self.repeated)
        return f"{said} Two readings of a mark differ with a standard deviation of {y} and {x}."


def reading_of(given: Mapping[str, Any]) -> HandReading:
    """What the page sends, checked.  Raises CannotRead with what is missing."""
    axes = {side: _axis(given.get(side), side) for side in ("x", "y")}
    corners = given.get("corners") or []
    if len(corners) not in (0, 4):
        raise CannotRead(f"{len(corners)} corners are set; set all four, or none")
    four = tuple(_place(c) for c in corners) or None
    sent = given.get("series") or []
    if not isinstance(sent, list) or len(sent) > MOST_SERIES:
        raise CannotRead(f"at most {MOST_SERIES} series")
    series = tuple(_series(s, n) for n, s in enumerate(sent, start=1))
    series = tuple(s for s in series if s.marks)
    if not series:
        raise CannotRead("no mark is set yet")
    calibration = Calibration(axes["x"], axes["y"], four)  # type: ignore[arg-type]
    titles = (_text(given, key) for key in ("xTitle", "yTitle", "figure"))
    return HandReading(calibration, series, *titles)


def _axis(given: Any, side: str) -> SetAxis:
    places = given.get("places") if isinstance(given, dict) else None
    if not isinstance(places, list) or len(places) != 2:
        raise CannotRead(f"set two places on the {side} axis")
    low, high = (_number(given.get(k), f"the value at a place on the {side} axis")
                 for k in ("low", "high"))  # fmt: skip
    if low == high:
        raise CannotRead(f"both places on the {side} axis have the value {low:g}")
    scale: Literal["linear", "log"] = "log" if given.get("scale") == "log" else "linear"
    axis = SetAxis(_place(places[0]), _place(places[1]), low, high, scale)
    axis.values()
    if math.dist(axis.first, axis.second) < 10:
        raise CannotRead(f"the two places on the {side} axis are too close; set them far apart")
    return axis


def _number(value: Any, what: str) -> float:
    text = str(value if value is not None else "").strip().replace("−", "-")
    if "," in text and "." not in text:
        text = text.replace(",", ".")
    try:
        number = float(text)
    except ValueError:
        raise CannotRead(f"{what}: found {text or 'nothing'}, expected a number") from None
    if not math.isfinite(number):
        raise CannotRead(f"{what}: found {text}, expected a number")
    return number


def _place(value: Any) -> Spot:
    if not isinstance(value, list) or len(value) != 2:
        raise CannotRead("a place is two numbers")
    x, y = (_number(v, "a place") for v in value)
    if max(abs(x), abs(y)) > 1e6:
        raise CannotRead("a place far off the picture")
    return x, y


def _series(given: Any, number: int) -> SetSeries:
    if not isinstance(given, dict):
        raise CannotRead("a series is a block of keys")
    name = str(given.get("name") or "").strip()[:120] or f"series {number}"
    found = []
    for key in ("marks", "again"):
        marks = given.get(key) or []
        if not isinstance(marks, list) or len(marks) > MOST_MARKS:
            raise CannotRead(f"at most {MOST_MARKS} marks in a series")
        found.append(tuple(
            SetMark(_place(m.get("at") if isinstance(m, dict) else None), bool(m.get("snapped")))
            for m in marks
        ))  # fmt: skip
    return SetSeries(name, *found)


def _text(given: Mapping[str, Any], key: str) -> str:
    return " ".join(str(given.get(key) or "").split())[:100]


def read_by_hand(reading: HandReading) -> Read:
    """Values, errors and what to draw back.  Raises CannotRead."""
    calibration = reading.calibration
    values = [calibration.read([m.at for m in s.marks]) for s in reading.series]
    own, shared = (
        np.vstack(parts).max(axis=0)
        for parts in zip(*(calibration.errors(s.marks) for s in reading.series), strict=True)
    )
    twice = [s for s in reading.series if s.again and len(s.again) >= len(s.marks) > 1]
    repeated = None
    if twice:
        pairs = [
            repeatability(calibration.read([m.at for m in s.marks]),
                          calibration.read([m.at for m in s.again])) ** 2
            for s in twice
        ]  # fmt: skip
        repeated = np.sqrt(np.mean(pairs, axis=0))
        own = np.maximum(own, 2 * repeated)
    error = own + shared
    if not (np.isfinite(error).all() and all(np.isfinite(v).all() for v in values)):
        raise CannotRead("a mark lies where the axes have no value")
    rounded = [_rounded(v, error) for v in values]
    return Read(
        tuple(rounded), tuple(calibration.places(v) for v in rounded), _grid(calibration),
        (float(error[0]), float(error[1])), (float(shared[0]), float(shared[1])),
        (float(repeated[0]), float(repeated[1])) if repeated is not None else None,
    )  # fmt: skip


def _rounded(values: Floats, error: Floats) -> Floats:
    made = [[float(digits(v, e)) for v, e in zip(row, error, strict=True)] for row in values]
    return np.asarray(made, dtype=float).reshape(-1, 2)


def _grid(calibration: Calibration) -> tuple[Floats, ...]:
    x, y = calibration.x, calibration.y
    lines = [[(v, y.low), (v, y.high)] for v in (x.low, x.high)]
    lines += [[(x.low, v), (x.high, v)] for v in (y.low, y.high)]
    return tuple(calibration.places(np.asarray(line, float)) for line in lines)


@dataclass(frozen=True)
class CameFrom:
    """What the picture is of."""

    report: ReportFile
    page: int
    day: str

    def files(self, reading: HandReading, read: Read) -> dict[str, bytes]:
        """The CSV file and its origin."""
        x, y = reading.x_title or "x", reading.y_title or "y"
        if x == y:
            x, y = f"{x} (x)", f"{y} (y)"
        rows: list[Sequence[str]] = [["series", x, y]]
        for series, values in zip(reading.series, read.values, strict=True):
            rows += [
                [series.name, *(digits(v, e) for v, e in zip(row, read.error, strict=True))]
                for row in values
            ]
        if len(reading.series) == 1 and reading.series[0].name == "series 1":
            rows = [row[1:] for row in rows]
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\n").writerows(rows)
        data = out.getvalue().encode("utf-8")
        name = part_name(reading.figure or "chart", self.page, set())
        return {name: data, sidecar_name(name): self._origin(name, data, (x, y), reading, read)}

    def _origin(
        self, name: str, data: bytes, columns: tuple[str, str], reading: HandReading, read: Read
    ) -> bytes:
        calibration = reading.calibration
        two = {key: dict(zip(columns, (float(f"{v:.2g}") for v in pair), strict=True))
               for key, pair in (("reading_error", read.error), ("axis_error", read.shared),
                                 ("repeated", read.repeated)) if pair}  # fmt: skip
        axes = {
            side: {"title": title or None, "scale": axis.scale,
                   "ticks": sorted((axis.low, axis.high)), "low": low, "high": high}
            for side, title, axis, (low, high) in (
                ("x", reading.x_title, calibration.x, _ends(calibration.x, read, 0)),
                ("y", reading.y_title, calibration.y, _ends(calibration.y, read, 1)),
            )
        }  # fmt: skip
        return origin_text({
            "file": name, "csv_sha256": sha256(data).hexdigest(), "report": self.report.record,
            "page": self.page, "what": reading.figure or None, "method": "picture",
            "read": self.day, **two, "axes": axes,
            "series": [
                {"name": s.name, "sort": "points", "points": v.tolist()}
                for s, v in zip(reading.series, read.values, strict=True)
            ],
        })  # fmt: skip


def _ends(axis: SetAxis, read: Read, column: int) -> tuple[float, float]:
    """The ends of an axis that hold its calibrating values and every mark."""
    found = [axis.low, axis.high, *(float(v) for part in read.values for v in part[:, column])]
    return min(found), max(found)
