"""A script's stills: every picture of the talk, numbered in the order it is shown."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import groupby

from explainer.charts import stills
from explainer.charts.cards import draw_card
from explainer.charts.display_list import AXES, DATA, FIRST_CALLOUT, SUMMARY, TAKEAWAY, DisplayList
from explainer.charts.kinds import draw
from explainer.charts.overlays import SCREEN, Layout, moved
from explainer.charts.style import Canvas, Scheme
from explainer.claims.figures.pair import PairResult, pairs
from explainer.claims.verdict import Judgement
from explainer.words.said import FigureWords, StudyWords
from explainer.words.script.talk import Screen, Talk

STEPS = {AXES: "axes", DATA: "points", SUMMARY: "average", TAKEAWAY: "takeaway"}
MADE_UP = "made-up data"


@dataclass(frozen=True)
class Still:
    """One picture: its number, its file's name, and what is drawn."""

    number: int
    name: str
    uid: str
    plate: DisplayList
    step: int
    says: str
    """What is to be seen, for a list and for a listener."""


def all_stills(
    talk: Talk, judgement: Judgement, words: StudyWords, layout: Layout = SCREEN
) -> Mapping[Screen, Still]:
    """The stills of a talk, by what its shots ask for; a step a plate has not shows the one
    before it."""
    plates = _plates(talk, judgement, words, layout)
    shown: dict[tuple[str, int], None] = {}
    for screen in talk.screens:
        step = _at_most(plates[screen.of], screen.step)
        shown.setdefault((screen.of, step))
    wide = max(2, len(str(len(shown))))
    alone = Counter(of for of, _ in shown)
    made: dict[tuple[str, int], Still] = {}
    for number, (of, step) in enumerate(shown, start=1):
        plate = plates[of]
        part = of.partition(":")[2]
        name = f"{number:0{wide}d}-{_slug(part)}{_suffix(of, step, alone[of] == 1)}"
        made[of, step] = Still(
            number, name, f"k-{_slug(of)}", plate, step, _says(of, step, talk, words)
        )
    return {s: made[s.of, _at_most(plates[s.of], s.step)] for s in talk.screens}


def pngs(
    made: Iterable[Still], scheme: Scheme = "light", layout: Layout = SCREEN
) -> dict[str, bytes]:
    """Each still by name, 1920 by 1080 pixels or 1080 by 1920; the same bytes on every run."""
    files: dict[str, bytes] = {}
    for _, group in groupby(sorted(made, key=lambda s: s.number), key=lambda s: s.uid):
        same = list(group)
        steps = [s.step for s in same]
        pictures = stills.small_pngs(same[0].plate, scheme, steps, layout.scale)
        files |= {still.name: pictures[still.step] for still in same}
    return files


def _plates(
    talk: Talk, judgement: Judgement, words: StudyWords, layout: Layout
) -> dict[str, DisplayList]:
    made = {f"card:{name}": draw_card(card, layout.sheet) for name, card in talk.cards.items()}
    for result in judgement.figures:
        said = words.figures[result.figure.id]
        if judgement.study.description.is_invented:
            said = _stamped(said)
        made[f"figure:{result.figure.id}"] = draw(result, said, layout.sheet)
    for pair in pairs(judgement):
        made[f"pair:{pair.under}"] = _side_by_side(pair, judgement, words, layout.sheet)
    return {of: layout.set(plate) for of, plate in made.items()}


def _side_by_side(
    pair: PairResult, judgement: Judgement, words: StudyWords, sheet: Canvas
) -> DisplayList:
    """Both figures of a pair on one sheet, each set anew on its half: one over the other where the
    sheet is higher than wide.  All of it is there at once."""
    tall = sheet.height > sheet.width
    half = Canvas(
        f"{sheet.name}-half", sheet.width / (1 if tall else 2), sheet.height / (2 if tall else 1),
        sheet.margin_x if tall else sheet.margin_x / 2, sheet.margin_y, titled=True,
    )  # fmt: skip
    plate = DisplayList(sheet.width, sheet.height)
    for place, result in enumerate((pair.first, pair.second)):
        said = words.figures[result.figure.id]
        said = _stamped(said) if judgement.study.description.is_invented else said
        drawn = draw(result, said, half)
        right, down = (0.0, place * half.height) if tall else (place * half.width, 0.0)
        # Notes were read when each stood alone; on half a sheet they would hide what is compared.
        kept = [m for m in drawn.marks if not FIRST_CALLOUT <= m.step < TAKEAWAY]
        plate.marks += [replace(moved(mark, right, down), step=AXES) for mark in kept]
    return plate


def _stamped(words: FigureWords) -> FigureWords:
    """The figure's words with the notice on it, whatever a workspace's own phrases say."""
    if MADE_UP in words.note.lower():
        return words
    return replace(words, note=f"{words.note}; {MADE_UP}".lstrip("; "))


def _at_most(plate: DisplayList, step: int) -> int:
    return max(s for s in plate.steps if s <= step)


def _suffix(of: str, step: int, alone: bool) -> str:
    """What the build-up has come to; nothing for a picture that is shown at one step only."""
    if of.startswith("pair:"):
        return "-side-by-side"
    if of.startswith("card:"):
        return "" if alone else f"-{STEPS[step] if step == TAKEAWAY else step}"
    return "-" + STEPS.get(step, f"note-{step - FIRST_CALLOUT + 1}")


def _says(of: str, step: int, talk: Talk, words: StudyWords) -> str:
    kind, _, name = of.partition(":")
    if kind == "card":
        card = talk.cards[name]
        rows = [row.text for row in card.rows[: min(step, len(card.rows))]]
        return ". ".join(t.rstrip(".") for t in (card.title, *rows))
    if kind == "pair":
        return f"Side by side: {words.pairs[name].title}"
    said = words.figures[name]
    if step == TAKEAWAY:
        return said.title
    if step >= FIRST_CALLOUT and step - FIRST_CALLOUT < len(said.callouts):
        return f"The same, with a note: {said.callouts[step - FIRST_CALLOUT][0]}"
    what = {AXES: "Empty axes: ", DATA: "The readings: ", SUMMARY: "With what sums them up: "}
    across = f"{said.y_label} against {said.x_label}" if said.x_label else said.y_label
    return what.get(step, "") + across


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "still"
