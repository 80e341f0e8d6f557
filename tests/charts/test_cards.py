"""Cards: whatever the words, they stay on the paper, legible, and build up row by row."""

from __future__ import annotations

import pytest

from explainer.charts.cards import draw_card
from explainer.charts.display_list import TAKEAWAY, Text
from explainer.charts.style import STILL, STILL_SCALE
from explainer.words.script.talk import Card, Row

LONG = "A claim about texture, hook, oil and the price of nachos that will not come to an end. " * 4
LINKS = tuple(Row(LONG[:90], "Can't tell from this data", "cannot-tell", i == 2) for i in range(5))
CARDS = {
    "title only": Card("The answer", LONG, note="8 balls; made-up data"),
    "short": Card("k", "T"),
    "rows": Card("Still open", "What nobody knows yet", tuple(Row(LONG) for _ in range(5)), "n"),
    "links": Card("The rule", LONG, LINKS, "8 balls", "chain"),
    "items": Card("Who", "288 bowlers", (Row("", look="288"),), kind="items"),
    "groups": Card("Who", "61 balls", (Row("Plover", look="60"), Row("T", look="1")), kind="items"),
    "one word": Card("W" * 200, "W" * 300, (Row("W" * 400),)),
}  # fmt: skip


@pytest.mark.parametrize("name", CARDS)
def test_words_stay_inside_the_margins_and_are_28_pixels_high(name: str) -> None:
    plate = draw_card(CARDS[name])
    assert plate.texts
    for text in plate.texts:
        assert text.size * STILL_SCALE >= 28
        assert text.box.left >= STILL.margin_x - 0.5
        assert text.box.right <= STILL.width - STILL.margin_x + 0.5, text.text
        assert text.box.top >= 0.035 * STILL.height
        assert text.box.bottom <= 0.965 * STILL.height


@pytest.mark.parametrize("name", CARDS)
def test_no_words_lie_on_others(name: str) -> None:
    boxes = [text.box for text in draw_card(CARDS[name]).texts]
    for i, box in enumerate(boxes):
        for other in boxes[i + 1 :]:
            lower, upper = max(box.top, other.top), min(box.bottom, other.bottom)
            side = min(box.right, other.right) - max(box.left, other.left)
            assert side < 1 or upper - lower < 0.3 * (box.bottom - box.top)


def test_each_row_is_a_step_and_the_weakest_link_comes_last() -> None:
    plate = draw_card(CARDS["links"])
    assert plate.steps == (0, 1, 2, 3, 4, 5, TAKEAWAY)
    marked = [m.text for m in plate.marks if isinstance(m, Text) and m.step == TAKEAWAY]
    assert marked == ["· the weakest link"]


def test_apostrophes_are_typeset() -> None:
    assert any("Can’t" in text.text for text in draw_card(CARDS["links"]).texts)
