"""A cut on the clock of a real recording: captions, chapters and timeline move with the voice.

What is known of the recording, an author's marks or the pauses of the voice, becomes pairs of a
time as planned and a time as recorded; between two of them time runs evenly.  It is bounded: where
what was said took less than half or more than four times what it should, the recording is of
other words, and that is said instead of stretching captions over it.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import log

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from explainer.editions.script_clock import Cue, clock
from explainer.editions.script_cuts import Chapter, Cut, Said, Scene
from explainer.editions.script_stills import Still
from explainer.errors import Problem
from explainer.study.recording import Mark, Recorded
from explainer.words.script.talk import Screen

FASTEST, SLOWEST = 0.5, 4.0
"""Recorded over planned time: less, or more, is not a reading of these words."""
DRAWN_OUT = 2.0
"""From here on time is taken for something said freely after the words."""
AT_EASE = 1.25
"""How slowly the words themselves are then taken to be said."""
ALLOWANCE = 3.0
"""Seconds within which nothing is made of a share: a breath is long beside a short sentence."""
PACE, SKIPPED, LEFT = 4.0, 0.5, 0.1
"""What a pace e times the usual one costs from one pause to the next, the end of a sentence
without a pause, and a pause that ends none (more, the longer it is)."""
ENDS, PAUSES = 5, 8
"""How many ends of sentences and pauses lie at most between one pair and the next, plus one."""
NEAREST = 800
"""Of how many pauses a sentence's own is looked for at most, half of them on either side of where
it would be at the usual pace: what is told apart then grows with the sentences alone."""
ENOUGH = 0.6
"""Of the ends of sentences, the share that must have a pause."""
HURRIED = 20.0
"""Characters a second from which captions that follow a quick voice are hard to read: the most
that is common for adults (value from memory)."""
HAPPENS = "captions, chapters and timeline keep the clock of the speaking rate"

Pair = tuple[float, float]
"""Seconds as planned, seconds as recorded."""


@dataclass(frozen=True)
class Retimed:
    """The cut on the recording's clock, or as it was; and what is to be said about it."""

    cut: Cut
    problems: tuple[Problem, ...] = ()


def retimed(cuts: Sequence[Cut], stills: Mapping[Screen, Still], recorded: Recorded) -> Retimed:
    """The cut that was recorded, on the recording's clock; as it was where it does not fit."""
    cut = next((c for c in cuts if c.name == recorded.length), None)
    if cut is None:
        known = ", ".join(each.name for each in cuts)
        found = f"a recording of the length {recorded.length}"
        return Retimed(cuts[-1], (_warning(recorded, 1, found, f"one of {known}"),))
    pairs, problem = (
        _marked(cut, stills, recorded) if recorded.marks else _paused(cut, recorded)
    )  # fmt: skip
    problem = problem or _out_of_bounds(pairs, recorded)
    if problem is not None:
        return Retimed(cut, (problem,))
    made = _moved(cut, _knees(pairs))
    fast = sum(len(c.text) > HURRIED * c.stands + 1 for s in made.scenes
               for line in s.said for c in line.cues)  # fmt: skip
    if not fast:
        return Retimed(made)
    found = f"{fast} caption{'s' * (fast != 1)} of more than {HURRIED:g} characters a second"
    return Retimed(made, (_warning(recorded, 1, found, "a voice that leaves time to read",
                                   "they follow the recording"),))  # fmt: skip


def _warning(
    recorded: Recorded, row: int, found: str, expected: str, happens: str = HAPPENS
) -> Problem:
    return Problem(recorded.file, row=row, found=found, expected=expected, happens=happens,
                   severity="warning", code="recording")  # fmt: skip


# --- an author's marks


def _marked(
    cut: Cut, stills: Mapping[Screen, Still], recorded: Recorded
) -> tuple[list[Pair], Problem | None]:
    """Each mark with the planned time of what it names: in order, a few may be left out."""
    scenes = [(scene.start, stills[scene.screen]) for scene in cut.scenes]
    spoken = list(_sentences(cut))
    pairs: list[Pair] = []
    for mark in recorded.marks:
        after = pairs[-1][0] if pairs else -1.0
        if mark.still:
            known = [(at, still.name) for at, still in scenes if at > after]
            planned = next((at for at, still in known if _names(mark.still, still)), None)
        else:
            known = [(at, text) for at, text in spoken if at > after]
            planned = next((at for at, text in known if _begins(text, mark.says)), None)
        if planned is None:
            return pairs, _unknown(mark, recorded, known)
        pairs.append((planned, mark.at))
    return _with_ends(cut, pairs, recorded.lasts), None


def _names(given: str, name: str) -> bool:
    """``07-hook-over-play``, the same with its ending, or its number."""
    given = re.sub(r"\.png$", "", given.rpartition("/")[2])
    number = name.partition("-")[0]
    return given == name or (given.isdigit() and int(given) == int(number))


def _begins(text: str, says: str) -> bool:
    return bool(bare := _bare(says)) and _bare(text).startswith(bare)


def _bare(text: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", text.replace("’", "").replace("'", "").casefold()))


def _unknown(mark: Mark, recorded: Recorded, known: list[tuple[float, str]]) -> Problem:
    what = f"the still {mark.still}" if mark.still else f"“{mark.says}”"
    following = list(dict.fromkeys(name for _, name in known))[:3]
    expected = f"what comes next in the length {recorded.length}: {', '.join(following)}"
    if not following:
        expected = f"nothing more, since the length {recorded.length} has ended"
    return _warning(recorded, mark.row, what, expected)


def _sentences(cut: Cut) -> Iterator[tuple[float, str]]:
    """When each sentence begins, and its words as far as its line goes."""
    for scene in cut.scenes:
        for line in scene.said:
            at, texts = line.start, [cue.text for cue in line.cues]
            for n, cue in enumerate(line.cues):
                if n == 0 or _ends_sentence(line.cues[n - 1]):
                    yield at, " ".join(texts[n:])
                at += cue.seconds


def _ends_sentence(cue: Cue) -> bool:
    return cue.text.rstrip("”\"’)")[-1:] in ".!?"


def _with_ends(cut: Cut, pairs: list[Pair], lasts: float | None) -> list[Pair]:
    """The beginning, unless it is marked, and the end: as told, else at the pace so far."""
    first, last = pairs[0], pairs[-1]
    if first[0] > 0:
        pairs = [(0.0, 0.0), *pairs]
    if last[0] >= cut.seconds:
        return pairs
    if lasts is None:
        run = last[0] - pairs[0][0]
        pace = (last[1] - pairs[0][1]) / run if run > 0 else 1.0
        lasts = last[1] + (cut.seconds - last[0]) * pace
    return [*pairs, (cut.seconds, lasts)]


# --- pauses


def _paused(cut: Cut, recorded: Recorded) -> tuple[list[Pair], Problem | None]:
    """Ends of sentences with the pauses that fit them best, in order."""
    ends = [at for at, _ in _sentences(cut)][1:]
    begins, goes = _voice(recorded)
    between = [(a, b) for a, b in recorded.pauses if a > begins and b < goes]
    if recorded.lasts is None and not between:
        # A last pause is the end of the voice where nothing says how long the sound lasts.
        found = "no pause but one at the end" if recorded.pauses else "no pauses"
    elif goes - begins < FASTEST * cut.seconds or goes - begins > SLOWEST * cut.seconds:
        found = f"a voice of {clock(goes - begins)}"
    else:
        longest = sorted(between, key=lambda p: p[0] - p[1])[: 3 * len(ends) + 3]
        pairs = _aligned([0.0, *ends, cut.seconds], begins, sorted(longest), goes)
        if len(pairs) - 2 >= ENOUGH * len(ends):
            return pairs, None
        found = f"pauses after {len(pairs) - 2} of {len(ends)} sentences"
    expected = f"a reading of the length {cut.name}, {clock(cut.seconds)} as planned"
    return [], _warning(recorded, 1, found, expected)


def _voice(recorded: Recorded) -> Pair:
    """When the voice begins and when it ends."""
    pauses = recorded.pauses
    lasts = recorded.lasts or (pauses[-1][1] if pauses else 0.0)
    begins = pauses[0][1] if pauses and pauses[0][0] < 0.1 else 0.0
    goes = pauses[-1][0] if pauses and pauses[-1][1] > lasts - 0.1 else lasts
    return begins, goes


def _aligned(
    ends: Sequence[float], begins: float, pauses: Sequence[Pair], goes: float
) -> list[Pair]:
    """Ends of sentences as planned, each with the middle of its pause, at the lowest cost.

    ``ends`` holds the beginning and the end, too, which are where the voice ``begins`` and
    ``goes``.  What costs is a pace from one pair to the next that is not the usual one, and what
    is left out (dynamic programming over both lists, in order, so that no pace far from its
    neighbors' wins).  Only the beginning and the end where nothing leads from one to the other.
    """
    usual = (goes - begins) / (ends[-1] - ends[0])
    middles = np.array([begins, *((a + b) / 2 for a, b in pauses), goes])
    left = [0.0, *(LEFT + 0.4 * min(b - a, 1.0) for a, b in pauses), 0.0]
    passed = np.cumsum(left)
    # A row each, those before it in order; what lies before the first is never reached.
    steps = np.log(middles[:, None] - _before(middles, begins - 1.0))
    skips = (passed - left)[:, None] - _before(passed, 0.0)
    costs = deque([_Reached(0, np.zeros(1))], ENDS)
    ways: list[_Ways] = []
    for i in range(1, len(ends)):
        there = begins + usual * (ends[i] - ends[0])
        low, high = _near(middles, there, goes - begins) if i < len(ends) - 1 else (
            len(middles) - 1, len(middles))  # fmt: skip
        every = [
            reached.before(low, high) + SKIPPED * back + skips[low:high]
            + PACE * np.abs(steps[low:high] - log((ends[i] - ends[i - 1 - back]) * usual))
            for back, reached in zip(range(len(costs) - 1, -1, -1), costs, strict=True)
        ]  # fmt: skip
        cells = np.hstack(every)
        which = cells.argmin(axis=1)
        ways.append(_Ways(low, (len(every) - which // PAUSES).astype(np.uint8),
                          (PAUSES - which % PAUSES).astype(np.uint8)))  # fmt: skip
        costs.append(_Reached(low, np.take_along_axis(cells, which[:, None], 1)[:, 0]))
    if not np.isfinite(costs[-1].cost[0]):
        return [(ends[0], begins), (ends[-1], goes)]
    i, j = len(ends) - 1, len(middles) - 1
    path = [(ends[i], goes)]
    while i:
        way = ways[i - 1]
        i, j = i - int(way.ends[j - way.low]), j - int(way.pauses[j - way.low])
        path.append((ends[i], float(middles[j])))
    return path[::-1]


Floats = NDArray[np.float64]


def _before(values: Floats, nothing: float) -> Floats:
    """The values before each, ``PAUSES`` of them in order, a row each."""
    return sliding_window_view(np.append(np.full(PAUSES, nothing), values), PAUSES)[:-1]


def _near(middles: Floats, there: float, lasts: float) -> tuple[int, int]:
    """From which pause to before which one a sentence may end that is planned ``there``."""
    far = 15 + 0.15 * lasts
    center, low, high = np.searchsorted(middles, (there, there - far, there + far)).tolist()
    last = len(middles) - 1
    low = min(max(1, low, center - NEAREST // 2), last)
    return low, min(max(low, min(high, center + NEAREST // 2)), last)


@dataclass(frozen=True)
class _Reached:
    """The lowest cost of an end of a sentence at each pause from ``low`` on."""

    low: int
    cost: Floats

    def before(self, low: int, high: int) -> Floats:
        """The costs at the pauses before each of those from ``low`` to ``high``, a row each."""
        whole = np.full(high - low + PAUSES, np.inf)
        first = low - PAUSES  # which pause the first of these is
        a, b = max(self.low, first), min(self.low + len(self.cost), first + len(whole))
        if a < b:
            whole[a - first : b - first] = self.cost[a - self.low : b - self.low]
        return sliding_window_view(whole, PAUSES)[:-1]


@dataclass(frozen=True)
class _Ways:
    """How many ends and pauses before each pause from ``low`` on the cheapest way comes from."""

    low: int
    ends: NDArray[np.uint8]
    pauses: NDArray[np.uint8]


# --- from one clock to the other


def _out_of_bounds(pairs: Sequence[Pair], recorded: Recorded) -> Problem | None:
    """Where the recording is too short or too long for what is said between two pairs."""
    rows = {mark.at: mark.row for mark in recorded.marks}
    for (a, begins), (b, goes) in pairwise(pairs):
        planned, took = b - a, goes - begins
        slow = took > SLOWEST * planned + ALLOWANCE
        if took <= 0 or took < FASTEST * planned - ALLOWANCE or slow:
            found = f"{took:.1f} seconds from {clock(max(begins, 0))} for what takes {planned:.1f}"
            expected = f"{FASTEST:g} to {SLOWEST:g} times as long"
            return _warning(recorded, rows.get(begins, 1), found, expected)
    return None


def _knees(pairs: Sequence[Pair]) -> list[Pair]:
    """Where much more time passed than the words take, they are said first and the rest is free."""
    made: list[Pair] = []
    for (a, begins), (b, goes) in pairwise(pairs):
        made.append((a, begins))
        if goes - begins > DRAWN_OUT * (b - a) and b - a > 0.002:
            made.append((b - 0.001, begins + AT_EASE * (b - a)))
    return [*made, pairs[-1]]


def _at(pairs: Sequence[Pair], planned: float) -> float:
    """A planned time on the recording's clock."""
    n = bisect_right(pairs, planned, key=lambda pair: pair[0])
    (a, begins), (b, goes) = pairs[max(n - 1, 0)], pairs[min(max(n, 1), len(pairs) - 1)]
    if b <= a:
        return begins + planned - a
    return begins + (planned - a) / (b - a) * (goes - begins)


def _moved(cut: Cut, pairs: Sequence[Pair]) -> Cut:
    """Every time of the cut on the other clock, to the millisecond."""

    def on(at: float) -> float:
        return round(_at(pairs, at), 3)

    def line(said: Said) -> Said:
        at, cues = said.start, []
        for cue in said.cues:
            cues.append(replace(cue, seconds=round(on(at + cue.seconds) - on(at), 3)))
            at += cue.seconds
        begins, goes = on(said.start), on(said.start + said.seconds)
        return replace(said, start=begins, seconds=round(goes - begins, 3), cues=tuple(cues))

    def scene(shown: Scene) -> Scene:
        return Scene(shown.screen, on(shown.start), tuple(map(line, shown.said)))

    chapters = [
        Chapter(c.id, c.title, on(c.start), tuple(map(scene, c.scenes))) for c in cut.chapters
    ]
    chapters[0] = replace(chapters[0], start=0.0)  # whatever stands before the first word
    return replace(cut, chapters=tuple(chapters))
