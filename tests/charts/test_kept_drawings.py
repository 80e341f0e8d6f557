"""Every drawing compared by what it holds: its marks, their places, its labels, in ``kept/``.

A line for each mark: the step it comes with, how it is drawn, where.  A long run of points is kept
by its number and the sums of its places.  Written down again, once read, by::

    PYTHONPATH=tests python tests/charts/test_kept_drawings.py
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import samples
from kept import hold, keep
from test_cards import CARDS

from explainer.charts import cards, overlays
from explainer.charts.cards import draw_card
from explainer.charts.chain import chain_plate
from explainer.charts.display_list import DisplayList, Dots, Stroke, Text
from explainer.charts.kinds import KINDS
from explainer.charts.overlays import SCREEN
from explainer.charts.strip import outcomes_plate, strip_plate
from explainer.charts.style import STILL, TALL, WIDE, Canvas
from explainer.charts.verdict_marks import set_mark

KEPT = Path(__file__).parent / "kept"
CODES = ("backed", "leans", "cannot-tell", "against", "not-tested")


def places(points: np.ndarray) -> str:
    """A few places as they are; of many their number, sums, and sums by their order."""
    points = np.asarray(points, float)
    if len(points) <= 4:
        return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    order = np.arange(1, len(points) + 1)
    sums = [*points.sum(axis=0), *(order @ points)]
    return f"{len(points)} points " + " ".join(f"{v:.1f}" for v in sums)


def lines(name: str, plate: DisplayList) -> Iterator[str]:
    """One line a mark."""
    yield f"{name}: {plate.width:.2f} by {plate.height:.2f}"
    for mark in plate.marks:
        match mark:
            case Text():
                yield (f"  {mark.step} {mark.role} {mark.face} {mark.size:.4g} {mark.anchor} "
                       f"{mark.x:.2f},{mark.y:.2f} {mark.text}")  # fmt: skip
            case Dots():
                cells = f" {places(np.array(mark.cells))}" if mark.cells else ""
                yield (f"  {mark.step} {mark.shape} {mark.radius:.4g} {mark.fill} {mark.stroke} "
                       f"{mark.width:.4g} {places(mark.at)}{cells}")  # fmt: skip
            case Stroke():
                dash = ",".join(f"{part:.4g}" for part in mark.dash)
                runs = np.vstack([np.asarray(run, float) for run in mark.runs])
                yield (f"  {mark.step} line {mark.stroke} {mark.width:.4g} [{dash}] {mark.fill} "
                       f"{mark.opacity:.4g} {len(mark.runs)} runs {places(runs)}")  # fmt: skip


def figures(sheet: Canvas) -> Iterator[str]:
    for kind, cases in samples.CASES.items():
        # The first sheet shows every case; on the others the first of a kind does.
        for case in list(cases) if sheet is WIDE else list(cases)[:1]:
            result, words = cases[case]
            yield from lines(f"{kind}, {case}", KINDS[kind](result, words, sheet))


def strips() -> Iterator[str]:
    for name, strip in samples.STRIPS.items():
        yield from lines(name, strip_plate(strip))
        if strip.low is not None and strip.high is not None and strip.value is not None:
            answers = np.linspace(strip.low, strip.high, 20) ** 1
            yield from lines(f"{name}, answers",
                             outcomes_plate(replace(strip, outcomes=tuple(answers))))  # fmt: skip
    backed = samples.STRIPS["backed"]
    more = {
        "held back": (backed, "Held back: few balls"),
        "leans by its inner range": (replace(backed, inner=(-24.0, -19.0)), ""),
        "a size without a range": (replace(backed, low=None, high=None, rough=True), ""),
        "sure": (replace(backed, claim_zone=(None, 0.0), sure=(None, -10.0)), ""),
        "either way": (replace(backed, claim_zone=None, beyond=6.0), ""),
        "two limits": (replace(samples.STRIPS["limit"], claim_zone=(20.0, 60.0),
                               small_zone=(18.0, 22.0), small_too=(58.0, 62.0)), ""),
        "share": (samples.strip(0.42, 0.2, 0.7, (0.5, None), None, None, "share"), ""),
        "rate": (samples.strip(0.042, -0.02, 0.1, (0.0, None), (-0.01, 0.01), 0.0, "rate"), ""),
        "odds": (samples.strip(0.9, -0.2, 2.0, (0.0, None), None, 0.0, "odds ratio"), ""),
    }  # fmt: skip
    for name, (strip, held) in more.items():
        yield from lines(name, strip_plate(strip, held, bool(held)))
    yield from lines("too small", strip_plate(backed, "not as said: too small to matter"))


def others() -> Iterator[str]:
    """Cards, the chain, marks, what lies over a video."""
    for name, card in CARDS.items():
        yield from lines(f"card {name}", draw_card(card))
        yield from lines(f"card {name}, tall", draw_card(card, TALL))
    yield from lines("chain", chain_plate(samples.CHAIN, samples.CHAIN_WORDS,
                                          {"fair": "The rule’s makers say so."}))  # fmt: skip
    for code in CODES:
        plate = DisplayList(40, 40)
        set_mark(plate, code, 20, 18, 24)  # type: ignore[arg-type]
        yield from lines(f"mark {code}", plate)
    tally = tuple((code, n) for n, code in enumerate(CODES, start=1))
    words = samples.claim_words(held="Held back: few balls")
    yield from lines("page card", cards.page_card("Does it?", "It does, " * 12, tally, "k"))  # type: ignore[arg-type]
    for name in ("backed", "limit", "no number"):
        strip = samples.STRIPS[name]
        yield from lines(f"claim card {name}",
                         cards.claim_card("leans", words, strip, "Made up", "None."))  # fmt: skip
    yield from lines("claim card", cards.claim_card("leans", words, None, "Made up", "No number."))
    for letters in (90, 140):
        long = replace(words, plainly=("The cover of a ball gets smoother. " * 4)[:letters])
        card = cards.claim_card("leans", long, samples.STRIPS["backed"], "k", "")
        yield from lines(f"claim card, {letters} letters", card)
    more = "boards from side to side"
    for code in (None, "against"):
        said = overlays.LowerThird("Term", "total hook " * 6, more, code)  # type: ignore[arg-type]
        for layout in (SCREEN, overlays.BESIDE, overlays.TALL):
            yield from lines(f"lower third {code} {layout.name}",
                             overlays.lower_third(said, layout))  # fmt: skip
    yield from lines("guide", overlays.guide(SCREEN))
    yield from lines("end card", overlays.end_card("Does it? " * 9, "Numbers", "a.example", "n"))
    drawn = KINDS["over-use"](*next(iter(samples.OVER_USE.values())), STILL)
    for plate in (None, drawn):
        yield from lines("thumbnail", overlays.thumbnail(["SMOOTH", "COVERS"], CODES[:3], plate))  # type: ignore[arg-type]


DRAWINGS: dict[str, Callable[[], Iterator[str]]] = {
    "wide": lambda: figures(WIDE), "tall": lambda: figures(TALL), "still": lambda: figures(STILL),
    "strips": strips, "others": others,
}  # fmt: skip


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_holds_what_it_held(name: str) -> None:
    hold(list(DRAWINGS[name]()), KEPT / f"{name}.txt", within=0.03)


if __name__ == "__main__":
    for name, drawing in DRAWINGS.items():
        keep(list(drawing()), KEPT / f"{name}.txt")
