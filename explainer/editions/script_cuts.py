"""Cuts of a script: the whole of it, or as much as fits a length, the least needed gone first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from explainer.editions.script_clock import REACTION, Cue, cues, seconds
from explainer.words.quantity.spoken import spoken
from explainer.words.script.measure import ASKED, Measured, measured
from explainer.words.script.screen import FIRST_NOTE, TAKEAWAY
from explainer.words.script.talk import Kind, Line, Part, Screen, Talk

#: (name in file names, name for people, longest it may be in seconds).
LENGTHS: tuple[tuple[str, str, float | None], ...] = (
    ("2-minutes", "2 minutes", 120.0),
    ("8-minutes", "8 minutes", 480.0),
    ("full", "Full length", None),
)
ROOM = 240.0
"""Under this many seconds findings are said in one breath, and there is no room to react."""
SHORTEST_CHAPTER = 10.0
"""Shortest chapter in seconds: common practice of video sites (value from memory)."""


@dataclass(frozen=True)
class Said:
    """A line as it is said in a cut."""

    kind: Kind
    text: str
    """As printed; a prompt where the kind is ``react``."""
    aloud: str
    """The same with every number in words."""
    start: float
    seconds: float
    cues: tuple[Cue, ...]
    key: str = ""
    claim: str = ""
    """Of the line; see ``Line``."""


@dataclass(frozen=True)
class Scene:
    """Lines over one still."""

    screen: Screen
    start: float
    said: tuple[Said, ...]

    @property
    def seconds(self) -> float:
        return sum(line.seconds for line in self.said)


@dataclass(frozen=True)
class Chapter:
    """A part of the talk in a cut."""

    id: str
    title: str
    start: float
    scenes: tuple[Scene, ...]

    @property
    def lines(self) -> Iterator[Said]:
        return (line for scene in self.scenes for line in scene.said)


@dataclass(frozen=True)
class Cut:
    """A script of one length."""

    name: str
    label: str
    target: float | None
    chapters: tuple[Chapter, ...]

    @property
    def seconds(self) -> float:
        return round(sum(s.seconds for c in self.chapters for s in c.scenes), 3)

    @property
    def scenes(self) -> Iterator[Scene]:
        return (scene for chapter in self.chapters for scene in chapter.scenes)


def all_cuts(talk: Talk, rate: int) -> tuple[Cut, ...]:
    """Every length that differs from the next longer one, shortest first."""
    full = _laid_out(talk, _everything(talk), rate, *LENGTHS[-1])
    shorter = [
        _laid_out(talk, _kept(talk, limit, rate), rate, name, label, limit)
        for name, label, limit in LENGTHS[:-1]
        if limit is not None and full.seconds > limit
    ]
    return (*shorter, full)


Place = tuple[int, int, int]
"""Part, shot and line, counted from 0."""


def _everything(talk: Talk) -> frozenset[Place]:
    return frozenset(place for place, _ in _lines(talk))


def _lines(talk: Talk) -> Iterator[tuple[Place, Line]]:
    for p, part in enumerate(talk.parts):
        for s, shot in enumerate(part.shots):
            for n, line in enumerate(shot.lines):
                yield (p, s, n), line


def _kept(talk: Talk, limit: float, rate: int) -> frozenset[Place]:
    """The lines of a cut; a part whose point found no room is left out altogether."""
    out: set[int] = set()
    while True:
        kept = _filled(talk, limit, rate, out)
        said = {line.key for place, line in _lines(talk) if place in kept}
        pointless = {
            p
            for p, part in enumerate(talk.parts)
            if part.needs and not part.needs & said and any(place[0] == p for place in kept)
        }
        if not pointless:
            return kept
        out |= pointless


def _filled(talk: Talk, limit: float, rate: int, out: set[int]) -> frozenset[Place]:
    """Lines by rank, then in order, each kept if the whole still fits.

    A part's lead comes before the rest of it, a line after the one it needs, and lines of one
    key together.
    """
    lines = {place: line for place, line in _lines(talk) if place[0] not in out}
    kept: set[Place] = set()
    tried: set[str] = set()
    turn = _turns(lines)
    for place, line in sorted(lines.items(), key=lambda e: (turn[e[0]], bool(e[1].needs), e[0])):
        if line.key in tried or (line.kind == "react" and _short(limit)):
            continue
        tried |= {line.key} - {""}
        same = {p for p, other in lines.items() if line.key and other.key == line.key}
        lead = (place[0], 0, 0)
        if place != lead and lead not in kept | same:
            continue
        if line.needs and line.needs not in {lines[p].key for p in kept} | {line.key}:
            continue
        if _length(talk, kept | same | {place}, rate, _short(limit)) <= limit:
            kept |= same | {place}
    return frozenset(kept)


def _turns(lines: Mapping[Place, Line]) -> dict[Place, int]:
    """When each line is tried: by its rank, but never before the one it needs, or its part's first.
    """
    first: dict[str, int] = {}
    for line in lines.values():
        if line.key:
            first[line.key] = min(line.rank, first.get(line.key, line.rank))
    needed = {line.key: line.needs for line in lines.values() if line.key and line.needs}
    turn = {}
    for place, line in lines.items():
        rank, needs, seen = line.rank, line.needs, {line.key}
        while needs and needs not in seen:
            rank, seen = max(rank, first.get(needs, rank)), seen | {needs}
            needs = needed.get(needs, "")
        lead = lines.get((place[0], 0, 0), line)
        turn[place] = max(rank, first.get(lead.key, lead.rank))
    return turn


def _short(target: float | None) -> bool:
    return target is not None and target < ROOM


def _length(talk: Talk, kept: set[Place], rate: int, short: bool) -> float:
    lines = dict(_lines(talk))
    shown = {talk.parts[place[0]].id for place in kept}
    total = sum(
        REACTION if line.kind == "react" else seconds(_text(line, shown, short), rate)
        for line in (lines[place] for place in kept)
    )
    return round(total, 3)


def _text(line: Line, shown: set[str], short: bool) -> str:
    """What is said, given the parts that are in the cut and how much time there is."""
    if line.again is not None and line.again_after in shown:
        return line.again
    return line.brief if short and line.brief is not None else line.text


def _laid_out(
    talk: Talk, kept: frozenset[Place], rate: int, name: str, label: str, target: float | None
) -> Cut:
    """The kept lines one after the other on the clock."""
    shown = {talk.parts[place[0]].id for place in kept}
    chapters, at = [], 0.0
    for p, part in enumerate(talk.parts):
        scenes = []
        start = at
        for s, shot in enumerate(part.shots):
            said, begin = [], at
            for n, line in enumerate(shot.lines):
                text = _text(line, shown, _short(target))
                if (p, s, n) in kept and text:
                    said.append(_said(line, text, at, rate))
                    at += said[-1].seconds
            if said:
                scenes.append(Scene(_seen(part, s, kept, p), begin, tuple(said)))
        if scenes:
            chapters.append(Chapter(part.id, part.title, start, tuple(scenes)))
    return Cut(name, label, target, tuple(chapters))


def _seen(part: Part, place: int, kept: frozenset[Place], number: int) -> Screen:
    """What a shot is spoken over: with its notes only where every one of them was spoken of."""
    screen = part.shots[place].screen
    if not screen.of.startswith("figure:") or screen.step != TAKEAWAY:
        return screen
    same = [(i, s) for i, s in enumerate(part.shots) if s.screen.of == screen.of]
    notes = [i for i, s in same if FIRST_NOTE <= s.screen.step < TAKEAWAY]
    if all(any(p[:2] == (number, i) for p in kept) for i in notes):
        return screen
    before = [s.screen for i, s in same if s.screen.step < FIRST_NOTE and i < place]
    return before[-1] if before else screen


def _said(line: Line, text: str, at: float, rate: int) -> Said:
    if line.kind == "react":
        return Said("react", text, text, at, REACTION, ())
    made = cues(text, rate)
    lasts = sum(c.seconds for c in made)
    return Said(line.kind, text, spoken(text), at, lasts, made, line.key, line.claim)


def counted(cut: Cut) -> Measured:
    """What a listener meets in a cut, and by when the question was put."""
    lines = [n for chapter in cut.chapters for n in chapter.lines if n.kind != "react"]
    put = [n.start + n.seconds for n in lines if n.key in ASKED]
    ours, theirs = ([n.aloud for n in lines if n.kind == kind] for kind in ("say", "own"))
    return measured(ours, cut.seconds / 60, theirs, max(put, default=None))


def marks(cut: Cut) -> tuple[tuple[float, str], ...]:
    """Chapter marks (seconds, title), the first at 0; a short part joins the one before."""
    found: list[tuple[float, str]] = []
    for chapter in cut.chapters:
        lasts = sum(scene.seconds for scene in chapter.scenes)
        since = chapter.start - found[-1][0] if found else 0.0
        if not found or min(lasts, since) >= SHORTEST_CHAPTER:
            found.append((chapter.start, chapter.title))
    return tuple(found)
