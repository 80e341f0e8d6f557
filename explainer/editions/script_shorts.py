"""Short vertical clips: one claim each, 20 to 40 seconds, with its limits said in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from explainer.editions.script_clock import cues, seconds
from explainer.editions.script_cuts import Chapter, Cut, Said, Scene
from explainer.words.quantity.spoken import spoken
from explainer.words.script.kit import Short, ShortLine
from explainer.words.script.talk import Screen

SHORTEST, LONGEST = 20.0, 40.0
#: Picture of a line -> the step of the clip's own card; a figure is shown whole.
STEPS = {"claim": 0, "verdict": 1}


@dataclass(frozen=True)
class Clip:
    """The plan of one clip: its lines on the clock, and how long its last picture is held."""

    short: Short
    cut: Cut
    held: float
    """Seconds of the last picture without words, so that the clip is not too short."""

    @property
    def seconds(self) -> float:
        return round(self.cut.seconds, 3)

    @property
    def fits(self) -> bool:
        return SHORTEST - 0.001 <= self.seconds <= LONGEST + 0.001


def clip_of(short: Short, rate: int) -> Clip:
    """A claim's clip at a speaking rate: what must be said, then what there is room for.

    Of a finding that is too long its last sentences go, never the first and never the verdict;
    then another, shorter limit stands in for the dearest one.  At a very slow rate the clip may
    still be over 40 seconds, which ``fits`` says.
    """
    said = {n: line for n, line in enumerate(short.lines) if line.rank <= 2}
    while _takes(said, rate) > LONGEST and _shortened(said):
        pass
    if _takes(said, rate) > LONGEST:
        _replaced(said, rate)
    further = [n for n, line in enumerate(short.lines) if line.rank > 2]
    for n in sorted(further, key=lambda n: short.lines[n].rank):
        known = {text for line in said.values() for text in line.said}
        if known.isdisjoint(short.lines[n].said):
            more = {**said, n: short.lines[n]}
            said = more if _takes(more, rate) <= LONGEST else said
    return _on_the_clock(short, [said[n] for n in sorted(said)], rate)


def _takes(said: Mapping[int, ShortLine], rate: int) -> float:
    return sum(seconds(" ".join(line.said), rate) for line in said.values())


def _shortened(said: dict[int, ShortLine]) -> bool:
    """Leaves out the last sentence of what was found; False where only one is left."""
    for n, line in said.items():
        if line.rank == 2 and len(line.said) > 1:
            said[n] = replace(line, said=line.said[:-1])
            return True
    return False


def _replaced(said: dict[int, ShortLine], rate: int) -> None:
    """Puts in the first of the other limits with which the clip fits, else the shortest."""
    for n, line in said.items():
        ways = [replace(line, said=(text,), instead=()) for text in line.instead]
        if ways:
            fitting = (w for w in ways if _takes({**said, n: w}, rate) <= LONGEST)
            shortest = min([line, *ways], key=lambda w: _takes({n: w}, rate))
            said[n] = next(fitting, shortest)


def _on_the_clock(short: Short, lines: list[ShortLine], rate: int) -> Clip:
    scenes: list[Scene] = []
    at = 0.0
    for line in lines:
        text = " ".join(line.said)
        made = cues(text, rate)
        said = Said("say", text, spoken(text), at, sum(c.seconds for c in made), made)
        screen = _screen(short, line)
        if scenes and scenes[-1].screen == screen:
            scenes[-1] = replace(scenes[-1], said=(*scenes[-1].said, said))
        else:
            scenes.append(Scene(screen, at, (said,)))
        at += said.seconds
    held = round(max(0.0, SHORTEST - at), 3)
    if held:
        pause = Said("react", "", "", at, held, ())
        scenes[-1] = replace(scenes[-1], said=(*scenes[-1].said, pause))
    whole = Chapter(short.claim, short.card.title, 0.0, tuple(scenes))
    return Clip(short, Cut(short.claim, "Short clip", LONGEST, (whole,)), held)


def _screen(short: Short, line: ShortLine) -> Screen:
    if line.picture == "figure":
        return Screen(f"figure:{short.figure}", WHOLE)
    return Screen(f"card:short-{short.claim}", STEPS[line.picture])


#: More than any step of a figure: all of it but its last word, the title.
WHOLE = 98
