"""A cut as an editor opens it: a timeline in the OpenTimelineIO interchange format, and a CSV.

The format is JSON with a named and numbered schema for each object (OpenTimelineIO, Academy
Software Foundation: "Serialized Data Documentation", schemas Timeline.1, Stack.1, Track.1,
Clip.2, Gap.1, Marker.2, ExternalReference.1, TimeRange.1, RationalTime.1).  It is written here
without the format's own library, which is compiled and not to be had for every Python; the tests
read every file back with that library.

Every boundary is rounded to a frame once, and a length is the difference of two of them, so that
lengths add up to the frame at any rate.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from explainer.editions.script_clock import Cue
from explainer.editions.script_cuts import Cut, Scene, marks
from explainer.editions.script_stills import Still
from explainer.study.description.study import FRAME_RATES
from explainer.words.script.talk import Screen

# Captions of a cut, as WebVTT and as SubRip: the same words at the same times in both.

def timed(cut: Cut) -> Iterator[tuple[float, float, Cue]]:
    """Every caption of a cut with the seconds at which it comes and goes; none over a reaction."""
    for scene in cut.scenes:
        for line in scene.said:
            at = line.start
            for cue in line.cues:
                yield at, at + cue.stands, cue
                at += cue.seconds


def captions(cut: Cut, title: str, notice: str) -> str:
    """WebVTT (W3C): one caption after the other, none while someone reacts."""
    blocks = ["WEBVTT", f"NOTE\n{_one(title)}, {cut.label.lower()}"]
    if notice:
        blocks.append(f"NOTE\n{_one(notice)}")
    for number, (begins, ends, cue) in enumerate(timed(cut), start=1):
        times = f"{stamp(begins)} --> {stamp(ends)}"
        blocks.append("\n".join([str(number), times, *map(_escaped, cue.lines)]))
    return "\n\n".join(blocks) + "\n"


def subrip(cut: Cut) -> str:
    """SubRip: what editors and video sites without WebVTT read.  Its text has no escapes, so
    what a player may take for a tag or a timing is written with signs that look alike."""
    blocks = []
    for number, (begins, ends, cue) in enumerate(timed(cut), start=1):
        times = f"{stamp(begins)} --> {stamp(ends)}".replace(".", ",")
        blocks.append("\n".join([str(number), times, *map(_bare, cue.lines)]))
    return "\n\n".join(blocks) + "\n"


def stamp(at: float) -> str:
    """Seconds as a WebVTT time: 00:01:02.345."""
    thousandths = round(at * 1000)
    minutes, rest = divmod(thousandths, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def _escaped(line: str) -> str:
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _bare(line: str) -> str:
    return _one(line).replace("<", "‹").replace(">", "›").replace("{", "(").replace("}", ")")


def _one(text: str) -> str:
    """One line that cannot be taken for a timing."""
    return " ".join(text.split()).replace("-->", "→")


#: As settings name a rate -> frames a second, exactly.
RATES: Mapping[float, Fraction] = {
    rate: Fraction(30_000, 1_001) if rate == 29.97 else Fraction(int(rate)) for rate in FRAME_RATES
}
#: What a marker is -> its color, of those that the format names.
COLORS = {"chapter": "GREEN", "build": "MAGENTA", "caption": "CYAN"}


@dataclass(frozen=True)
class OnTrack:
    """A file on a track: its name, where it lies beside the timeline, and its frames."""

    name: str
    path: str
    first: int
    frames: int
    available: int | None = None
    """Frames that the file itself has, where it is a film."""


@dataclass(frozen=True)
class OnFrames:
    """A scene with its still and its frames, the last not among them."""

    scene: Scene
    still: Still
    part: str
    """The id of the part it belongs to: unlike a title safe in any spreadsheet."""
    first: int
    end: int


def frame(at: float, rate: float) -> int:
    """The frame nearest to a time in seconds."""
    return round(Fraction(round(at * 1000), 1000) * RATES[rate])


def shown(cut: Cut, stills: Mapping[Screen, Still], rate: float) -> Iterator[OnFrames]:
    """The scenes of a cut one after the other, on frames; one shorter than a frame is not shown."""
    at = 0
    for chapter in cut.chapters:
        for scene in chapter.scenes:
            end = frame(scene.start + scene.seconds, rate)
            if end > at:
                yield OnFrames(scene, stills[scene.screen], chapter.id, at, end)
                at = end


def timeline(
    cut: Cut,
    stills: Mapping[Screen, Still],
    title: str,
    rate: float,
    folder: str = "stills",
    above: Mapping[str, Iterable[OnTrack]] | None = None,
) -> str:
    """The cut as a timeline: stills on one track; chapters, captions and builds as markers.

    ``folder``: where the stills lie beside the file.  ``above``: further tracks over the stills,
    each with files in order that do not overlap.
    """
    scenes = list(shown(cut, stills, rate))
    own = [
        OnTrack(s.still.name, f"{folder}/{s.still.name}.png", s.first, s.end - s.first)
        for s in scenes
    ]
    tracks = [_track("Stills", own, rate)]
    tracks += [_track(name, placed, rate) for name, placed in (above or {}).items()]
    document = {
        "OTIO_SCHEMA": "Timeline.1",
        "name": title,
        "global_start_time": _time(0, rate),
        "metadata": {"explainer": {"length": cut.label, "frames_per_second": f"{rate:g}"}},
        "tracks": {
            **_item("Stack.1", "tracks", None),
            "markers": list(_markers(cut, scenes, rate)),
            "children": tracks,
        },
    }
    return json.dumps(document, ensure_ascii=False, separators=(",", ":")) + "\n"


def cuts_csv(cut: Cut, stills: Mapping[Screen, Still], rate: float) -> str:
    """Still, in, out: for everybody whose program reads no timeline.  Times in seconds at whole
    frames, the same as frames, and as hours, minutes, seconds and frames."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    head = ("still", "in", "out", "in_frame", "out_frame", "frames_per_second", "timecode", "part")
    writer.writerow(head)
    for s in shown(cut, stills, rate):
        times = (f"{float(at / RATES[rate]):.3f}" for at in (s.first, s.end))
        counted = timecode(s.first, rate)
        writer.writerow([s.still.name, *times, s.first, s.end, f"{rate:g}", counted, s.part])
    return out.getvalue()


def timecode(at: int, rate: float) -> str:
    """A frame as hours:minutes:seconds:frames, counted without dropping numbers: what a program
    shows whose project does not drop any (SMPTE ST 12-1, from memory)."""
    whole = round(rate)
    seconds, rest = divmod(at, whole)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}:{rest:02d}"


def _markers(cut: Cut, scenes: list[OnFrames], rate: float) -> Iterator[dict[str, Any]]:
    starts = [(frame(at, rate), title) for at, title in marks(cut)]
    ends = [at for at, _ in starts[1:]] + [scenes[-1].end if scenes else 0]
    for (first, title), end in zip(starts, ends, strict=True):
        yield _marker("chapter", title, first, end, rate)
    for begins, goes, cue in timed(cut):
        yield _marker("caption", cue.text, frame(begins, rate), frame(goes, rate), rate)
    for s in scenes:
        if s.scene.screen.step:
            yield _marker("build", s.still.name, s.first, s.first, rate)


def _marker(kind: str, name: str, first: int, end: int, rate: float) -> dict[str, Any]:
    return {
        "OTIO_SCHEMA": "Marker.2",
        "name": name,
        "color": COLORS[kind],
        "comment": "",
        "metadata": {"explainer": {"kind": kind}},
        "marked_range": _range(first, end - first, rate),
    }


def _track(name: str, placed: Iterable[OnTrack], rate: float) -> dict[str, Any]:
    """Files in order, with gaps where there is nothing."""
    children, at = [], 0
    for file in placed:
        if file.first > at:
            children.append(_item("Gap.1", "", _range(0, file.first - at, rate)))
        children.append(_clip(file, rate))
        at = file.first + file.frames
    return {**_item("Track.1", name, None), "kind": "Video", "children": children}


def _clip(file: OnTrack, rate: float) -> dict[str, Any]:
    """A still has as many frames as are asked of it."""
    reference = {
        "OTIO_SCHEMA": "ExternalReference.1",
        "name": file.path.rpartition("/")[2],
        "metadata": {},
        "target_url": file.path,
        "available_range": _range(0, file.available or file.frames, rate),
    }
    return {
        **_item("Clip.2", file.name, _range(0, file.frames, rate)),
        "media_references": {"DEFAULT_MEDIA": reference},
        "active_media_reference_key": "DEFAULT_MEDIA",
    }


def _item(schema: str, name: str, source_range: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "OTIO_SCHEMA": schema, "name": name, "metadata": {}, "source_range": source_range,
        "effects": [], "markers": [], "enabled": True,
    }  # fmt: skip


def _range(first: int, frames: int, rate: float) -> dict[str, Any]:
    return {
        "OTIO_SCHEMA": "TimeRange.1",
        "start_time": _time(first, rate),
        "duration": _time(frames, rate),
    }


def _time(frames: int, rate: float) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "RationalTime.1", "rate": float(RATES[rate]), "value": float(frames)}
