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

from explainer.lift.picture import (
    Calibration,
    CannotRead,
    Floats,
    SetAxis,
    SetMark,
    Spot,
    repeatability,
)
from explainer.lift.written import ReportFile, digits, part_name
from explainer.study.description.lifted import sidecar_name
from explainer.study.lifted import origin_text

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
