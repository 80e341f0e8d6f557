"""Captions of a cut, as WebVTT and as SubRip: the same words at the same times in both."""

from __future__ import annotations

from collections.abc import Iterator

from explainer.editions.script_clock import Cue
from explainer.editions.script_cuts import Cut


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
