"""Reads the times of a recording: an author's marks, or the pauses of a voice.

All that is read is bounded: a table of marks to five thousand rows, a sound to fifty megabytes.
"""

from __future__ import annotations

import csv
import io
import re
import wave
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from explainer.errors import Problem
from explainer.study.csvfault import unreadable
from explainer.study.describe import UNUSED
from explainer.study.description.study import Recording
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file

MAX_ROWS = 5_000
LONGEST = 6 * 3600.0
"""Most seconds that a recording may last."""
#: Under this many seconds a pause is part of speaking.
SHORTEST_PAUSE = 0.18
WINDOW = 0.02
"""Seconds over which loudness is taken."""
APART = 12.0
"""Decibels between voice and pause under which they cannot be told apart."""
#: A WAV file's part ``fmt`` begins within so many bytes; what it says there of its samples, and the
#: sub-format that plain ones have (Microsoft, Multiple Channel Audio Data and WAVE Files).
_HEAD, _EXTENSIBLE = 4096, b"\xfe\xff"
_PCM = bytes.fromhex("0100000000001000800000aa00389b71")
_TIME = re.compile(r"(?:(?:(\d{1,2}):)?(\d{1,3}):)?(\d{1,6}(?:[.,]\d{1,99})?)")


@dataclass(frozen=True)
class Mark:
    """What begins when, in seconds of the recording."""

    row: int
    """In the file; the header is row 1."""
    at: float
    still: str = ""
    says: str = ""


@dataclass(frozen=True)
class Recorded:
    """A recording's times, read."""

    file: str
    length: str
    marks: tuple[Mark, ...] = ()
    pauses: tuple[tuple[float, float], ...] = ()
    """From and to, in order, in seconds."""
    lasts: float | None = None
    sha256: str = ""


def read_recording(
    folder: Path, described: Recording | None, place: tuple[int, int] = (1, 1)
) -> tuple[Recorded | None, list[Problem]]:
    """The recording that study.yaml names at ``place`` (line, column), and what is wrong there."""
    if described is None:
        return None, []
    names = [n for n in (described.marks, described.silences) if n is not None]
    if len(names) != 1:
        found = "both `marks` and `silences`" if names else "neither `marks` nor `silences`"
        return None, [
            Problem("study.yaml", *place, found=f"{found} of the recording",
                    expected="one of them", happens=UNUSED, code="recording")
        ]  # fmt: skip
    [name] = names
    try:
        data = read_file(folder, name, MAX_CSV_BYTES)
    except FileFault as fault:
        of_sound = "" if described.marks else "one channel at 16,000 samples a second is enough"
        return None, [
            Problem("study.yaml", *place, found=fault.found, expected=fault.expected,
                    hint=fault.hint or of_sound, happens=UNUSED, code=fault.code)
        ]  # fmt: skip
    made = Recorded(name, described.length, lasts=described.lasts, sha256=sha256(data).hexdigest())
    reader = _Times(name)
    if described.marks is not None:
        marks = tuple(reader.marks(data))
        made = Recorded(name, made.length, marks, (), made.lasts, made.sha256)
    elif data[:4] in (b"RIFF", b"RIFX", b"RF64") or name.lower().endswith(".wav"):
        pauses, lasts = reader.sound(data)
        made = Recorded(name, made.length, (), pauses, made.lasts or lasts, made.sha256)
    else:
        made = Recorded(name, made.length, (), tuple(reader.silences(data)), made.lasts,
                        made.sha256)  # fmt: skip
    return (None if reader.problems else made), reader.problems


def seconds_of(text: str) -> float | None:
    """``62.5``, ``1:02.5`` or ``0:01:02,5`` in seconds; None for anything else, or too long."""
    found = _TIME.fullmatch(text.strip())
    if found is None:
        return None
    hours, minutes, rest = found.groups()
    seconds = float(rest.replace(",", "."))
    if (minutes and seconds >= 60) or (hours and int(minutes) >= 60):
        return None
    at = int(hours or 0) * 3600 + int(minutes or 0) * 60 + seconds
    return at if at <= LONGEST else None


class _Times:
    """Reads one file, and keeps what is wrong with it."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def wrong(self, found: str, expected: str, row: int = 1, cell: str | None = None) -> None:
        self.problems.append(Problem(
            self.file, row=row, cell=cell, found=found, expected=expected, happens=UNUSED,
            code="recording",
        ))  # fmt: skip

    def marks(self, data: bytes) -> Iterator[Mark]:
        head, rows = self._table(data)
        if self.problems:
            return
        if "in" not in head or not {"still", "says"} & set(head):
            self.wrong(f"the columns {', '.join(head) or 'none'}", "in, and still or says")
            return
        before = -1.0
        for number, row in rows:
            at = self._time(row, "in", number)
            still, says = row.get("still", "").strip(), row.get("says", "").strip()
            if at is None:
                continue
            if not (still or says):
                self.wrong("neither a still nor words", "what begins then", number)
            elif at <= before:
                self.wrong(row["in"].strip(), "a time after the one above", number, "in")
            else:
                before = at
                yield Mark(number, at, still, says)
        if before < 0 and not self.problems:
            self.wrong("no rows", "a row for each thing that begins", 2)

    def silences(self, data: bytes) -> Iterator[tuple[float, float]]:
        head, rows = self._table(data)
        if self.problems:
            return
        if not {"from", "to"} <= set(head):
            self.wrong(f"the columns {', '.join(head) or 'none'}", "from and to")
            return
        before = 0.0
        for number, row in rows:
            begins, ends = self._time(row, "from", number), self._time(row, "to", number)
            if begins is None or ends is None:
                continue
            if begins < before or ends <= begins:
                found = f"{row['from'].strip()} to {row['to'].strip()}"
                self.wrong(found, "a pause that ends after it begins, after the one above", number)
            else:
                before = ends
                yield begins, ends

    def _time(self, row: dict[str, str], cell: str, number: int) -> float | None:
        text = row.get(cell, "")
        at = seconds_of(text)
        if at is None:
            expected = f"seconds, or minutes:seconds below 60, within {LONGEST / 3600:g} hours"
            self.wrong(text.strip() or "an empty cell", expected, number, cell)
        return at

    def _table(self, data: bytes) -> tuple[list[str], list[tuple[int, dict[str, str]]]]:
        """The header in lower case, and each row that is not empty by its number."""
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as fault:
            row = data.count(b"\n", 0, fault.start) + 1
            self.wrong("bytes that are not UTF-8", "a CSV file in UTF-8", row)
            return [], []
        first = text.partition("\n")[0]
        mark = max(",;\t", key=first.count)
        try:
            read: list[list[str]] = []
            read += csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
        except csv.Error as fault:
            self.wrong(*unreadable(fault), row=len(read) + 1)
            return [], []
        if len(read) - 1 > MAX_ROWS:
            self.wrong(f"{len(read) - 1:,} rows", f"at most {MAX_ROWS:,}")
            return [], []
        head = [cell.strip().lower() for cell in read[0]] if read else []
        doubled = next((name for name in head if name and head.count(name) > 1), None)
        if doubled is not None:
            self.wrong(f"the column {doubled} twice", "each column once")
        rows = [
            (number, dict(zip(head, row, strict=False)))
            for number, row in enumerate(read[1:], start=2)
            if any(cell.strip() for cell in row)
        ]
        return head, rows

    def sound(self, data: bytes) -> tuple[tuple[tuple[float, float], ...], float]:
        """The pauses of a WAV file, and how long it lasts."""
        try:
            with wave.open(io.BytesIO(_plain_head(data))) as opened:
                rate, width, channels = (
                    opened.getframerate(), opened.getsampwidth(), opened.getnchannels(),
                )  # fmt: skip
                raw = opened.readframes(opened.getnframes())
        # The library answers a part that is longer than its file with an error of another kind.
        except (wave.Error, EOFError, ValueError, ArithmeticError, RuntimeError) as fault:
            self.wrong(f"a sound that cannot be read ({str(fault) or 'it ends too soon'})",
                       "a WAV file of plain samples (PCM)")  # fmt: skip
            return (), 0.0
        samples = _samples(raw, width, channels)
        if not len(samples) or rate < 1_000:
            self.wrong(f"{len(samples)} samples, {rate} a second", "a voice")
            return (), 0.0
        found = pauses(samples, rate)
        if found is None:
            self.wrong("a sound without pauses that can be told from its voice",
                       f"pauses at least {APART:g} decibels below the voice")  # fmt: skip
        return found or (), len(samples) / rate


def _plain_head(data: bytes) -> bytes:
    """The same sound under the plain head, where it is of plain samples under the longer one.

    Many editors write the longer head (WAVE_FORMAT_EXTENSIBLE) for 24 bits, and the library reads
    it from Python 3.12 on.  Its sub-format begins 24 bytes into the part ``fmt``, with the tag
    that the plain head begins with.
    """
    at = data.find(b"fmt ", 0, _HEAD) + 8
    if at > 8 and data[at : at + 2] == _EXTENSIBLE and data[at + 24 : at + 40] == _PCM:
        return data[:at] + _PCM[:2] + data[at + 2 :]
    return data


def _samples(raw: bytes, width: int, channels: int) -> NDArray[np.float64]:
    """Plain samples as numbers about 0, all channels as one."""
    frame = width * channels
    whole = np.frombuffer(raw[: len(raw) // frame * frame], dtype=np.uint8)
    split = whole.reshape(-1, channels, width)
    if width == 1:
        levels = split[:, :, 0].astype(np.float64) - 128
    else:  # of three or four bytes the lower ones say nothing that an ear would miss
        levels = split[:, :, -2:].copy().view("<i2")[:, :, 0].astype(np.float64)
    mixed: NDArray[np.float64] = levels.mean(axis=1)
    return mixed


def pauses(
    samples: NDArray[np.float64], rate: int
) -> tuple[tuple[float, float], ...] | None:  # fmt: skip
    """Stretches (from, to) in seconds that are much quieter than the voice.

    Loudness is the root mean square over 20 ms; quiet is below a third of the way, in decibels,
    from the quietest tenth to the loudest tenth.  None where these lie too near one another.
    """
    size = max(1, round(rate * WINDOW))
    count = len(samples) // size
    if not count:
        return None
    power = (samples[: count * size].reshape(count, size) ** 2).mean(axis=1)
    loud = 10 * np.log10(power + 1e-3)
    low, high = np.percentile(loud, (10, 90))
    if high - low < APART:
        return None
    quiet = np.concatenate([[False], loud < low + (high - low) / 3, [False]])
    turns = np.flatnonzero(quiet[1:] != quiet[:-1])
    step = size / rate
    found = zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True)
    return tuple((a * step, b * step) for a, b in found if (b - a) * step >= SHORTEST_PAUSE)
