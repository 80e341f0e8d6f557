"""How large the letters of every drawing are on the smallest phone, from the display lists."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import samples

from explainer.charts.as_read import PHONE
from explainer.charts.bands import draw_yardstick
from explainer.charts.board import board_plate, board_rows
from explainer.charts.chain import chain_plate
from explainer.charts.display_list import DATA, FIRST_CALLOUT, DisplayList, Dots
from explainer.charts.kinds import draw
from explainer.charts.labels import overlaps
from explainer.charts.strip import outcomes_plate, strip_plate
from explainer.charts.style import SMALL, TALL
from explainer.claims.judge import judge
from explainer.study.load import find_study, load_study
from explainer.words.quantity.systems import strip_in
from explainer.words.say import say

STUDIES = Path(__file__).parents[2] / "studies"
IDS = sorted(p.parent.name for p in STUDIES.glob("*/study.yaml"))
#: A screen 320 wide leaves a figure 316 pixels and all else 288 (templates/site.css).
FIGURE, TEXT, LEAST = 316.0, 288.0, 12.0


def drawn(id: str) -> Iterator[tuple[str, DisplayList, float]]:
    """Every drawing of a page as a phone gets it, with the pixels it has there."""
    workspace, folder = find_study(id, STUDIES)
    study = load_study(folder, workspace)
    judgement = judge(study)
    words = say(judgement, workspace.settings.audience)
    for result in judgement.figures:
        said = words.figures[result.figure.id]
        yield result.figure.id, draw(result, said, TALL), FIGURE
        if result.yardstick is not None and said.yardstick is not None:
            yield "yardstick", draw_yardstick(result.yardstick, said.yardstick, TALL), FIGURE
    if judgement.verdicts:
        yield "board", board_plate(board_rows(judgement.verdicts, words.claims)), TEXT
    for verdict in judgement.verdicts:
        told, strip = words.claims[verdict.claim.id], verdict.strip
        if strip is not None and (strip.value is not None or strip.measured is not None):
            strip = strip_in(strip, study)
            yield verdict.claim.id, strip_plate(strip, told.note, bool(told.held)), TEXT
            if len(told.outcomes) > 1:
                yield f"{verdict.claim.id} as dots", outcomes_plate(strip), TEXT
    if judgement.chain is not None:
        yield "chain", chain_plate(judgement.chain, words.claims), TEXT


@pytest.mark.parametrize("id", IDS)
def test_no_letter_is_under_12_pixels_on_a_screen_320_wide_and_none_is_cut_off(id: str) -> None:
    small, cut, over, remarks = {}, {}, {}, {}
    for name, plate, pixels in drawn(id):
        least = min(text.size for text in plate.texts) * pixels / plate.width
        if least < LEAST:
            small[name] = round(least, 1)
        if shortened := [t.text for t in plate.texts if "…" in t.text]:
            cut[name] = shortened
        if found := [*overlaps(plate), *covered(plate)]:
            over[name] = found
        said = {t.step for t in plate.texts if t.step >= FIRST_CALLOUT}
        if len(said) > 1:
            remarks[name] = said
    assert (small, cut, over, remarks) == ({}, {}, {}, {})


@pytest.mark.parametrize(
    ("kind", "case"), [(kind, case) for kind, cases in samples.CASES.items() for case in cases]
)
def test_on_a_phone_every_kind_keeps_its_letters_and_covers_no_mark(kind: str, case: str) -> None:
    plate = draw(*samples.CASES[kind][case], TALL)
    assert min(text.size for text in plate.texts) * FIGURE / plate.width >= LEAST
    assert plate.width == TALL.width and not overlaps(plate)
    assert covered(plate) == []


def covered(plate: DisplayList) -> list[str]:
    """Words that hide the middle of a reading."""
    spots = [m.at for m in plate.marks if isinstance(m, Dots) and m.step == DATA and m.cells]
    at = np.vstack(spots) if spots else np.empty((0, 2))
    return [
        text.text for text in plate.texts
        for box in (text.box.grown(-1),)
        if ((at > (box.left, box.top)) & (at < (box.right, box.bottom))).all(axis=1).any()
    ]


def test_a_chart_as_it_was_read_is_as_large() -> None:
    assert SMALL * FIGURE / PHONE[0] >= LEAST
