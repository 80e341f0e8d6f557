"""Share cards: 1200 by 630 pixels, in their frame, and honest when seen alone."""

from __future__ import annotations

import struct
from dataclasses import replace

import pytest

from explainer.charts.cards import HEIGHT, WIDTH, claim_card, page_card
from explainer.charts.labels import overlaps
from explainer.charts.stills import small_pngs
from explainer.claims.verdict import STRENGTH, Strip
from explainer.words.said import ClaimWords

STRIP = Strip(
    -22.0, -26.0, -18.0, (None, -6.0), (-6.0, 6.0), 0.0, "microinch", "smoother", "rougher"
)
WORDS = ClaimWords(
    label="Backed by this data", plainly="Sanded balls go smooth as you bowl.",
    says="Over 60 games it fell by about 22 microinches.", because=(), settle="", strip="",
    estimate="", method="",
)  # fmt: skip
LONG = "When your own ball goes smooth, game after game, it hooks less than it did from the box. "


@pytest.mark.parametrize("code", STRENGTH)
@pytest.mark.parametrize("plainly", [WORDS.plainly, LONG, LONG * 4])
@pytest.mark.parametrize("held", ["", "one ball carries it"])
@pytest.mark.parametrize("strip", [STRIP, None])
def test_everything_on_a_claims_card_lies_inside_it_and_free(code, plainly, held, strip):
    words = replace(WORDS, plainly=plainly, held=held)
    plate = claim_card(code, words, strip, "Made-up data · A site", "It was not tested.")
    assert all(text.box.within(plate.box) for text in plate.texts)
    assert overlaps(plate) == []
    assert plate.texts[0].text.startswith("Made-up data")
    assert words.label in [text.text for text in plate.texts]


def test_the_page_card_counts_every_verdict():
    tally = tuple((code, n) for n, code in enumerate(STRENGTH, start=3))
    plate = page_card(LONG, LONG, tally, "Made-up data · A site")
    assert [t.text for t in plate.texts][-5:] == ["3", "4", "5", "6", "7"]
    assert all(text.box.within(plate.box) for text in plate.texts)
    assert overlaps(plate) == []


def test_a_card_is_1200_by_630_pixels():
    assert (WIDTH, HEIGHT) == (300.0, 157.5)
    [made] = small_pngs(page_card("Q?", "A.", (), "K"), "light", (0,)).values()
    assert struct.unpack(">II", made[16:24]) == (1200, 630)
