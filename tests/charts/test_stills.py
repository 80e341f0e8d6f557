"""Stills: size, margins, legible text, and a build-up that only adds."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
import samples
from PIL import Image

from explainer.charts import stills
from explainer.charts.display_list import DisplayList
from explainer.charts.kinds import KINDS
from explainer.charts.style import STILL, STILL_SCALE, colour


def plate_of(kind: str) -> DisplayList:
    result, words = next(iter(samples.CASES[kind].values()))
    return KINDS[kind](result, words, STILL)


def pixels(data: bytes) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(data)).convert("RGB"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_still_is_full_hd_with_safe_margins(scheme: stills.Scheme) -> None:
    image = pixels(stills.png(plate_of("over-use"), scheme))
    assert image.shape == (1080, 1920, 3)
    paper = np.array([int(colour("paper", scheme)[i : i + 2], 16) for i in (1, 3, 5)])
    inked = (image != paper).any(axis=2)
    rows, columns = np.nonzero(inked.any(axis=1))[0], np.nonzero(inked.any(axis=0))[0]
    # Action-safe area of a 16:9 picture: 3.5% on each side (EBU R 95, from memory).
    assert columns[0] >= 0.035 * 1920
    assert columns[-1] <= 0.965 * 1920
    assert rows[0] >= 0.035 * 1080
    assert rows[-1] <= 0.965 * 1080


@pytest.mark.parametrize("kind", samples.CASES)
def test_all_text_is_at_least_28_pixels_high(kind: str) -> None:
    assert min(text.size for text in plate_of(kind).texts) * STILL_SCALE >= 28


def test_each_step_adds_to_the_one_before() -> None:
    plate = plate_of("over-use")
    paper = pixels(stills.png(DisplayList(STILL.width, STILL.height)))
    inks = [
        int((pixels(stills.png(plate, "light", step)) != paper).any(axis=2).sum())
        for step in plate.steps
    ]
    assert inks == sorted(inks)
    assert len(set(inks)) == len(inks)


def test_letters_no_font_here_has_are_no_failure() -> None:
    plate = DisplayList(STILL.width, STILL.height)
    plate.text(30, 60, "球 \U0001f3b3 ₤ Ж bold", 12, face="sans-bold")
    assert pixels(stills.png(plate)).shape == (1080, 1920, 3)
