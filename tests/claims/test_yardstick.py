"""The physics yardstick: a formula's curve beside a figure, which judges nothing."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import pytest

from explainer.claims.verdict import Judgement
from explainer.words.say import say

Judge = Callable[..., Judgement]
One = Callable[..., str]

HEAD = """\
title: A test study
question: Does it?
tested: {each: ball}
use: {column: games}
measures:
  h: {unit: Shore D}
  v: {unit: mph}
figures:
  - {id: f, kind: over-use, table: t, y: h, yardstick: KIND}
"""


def frame(hard: list[float], speed: float) -> pd.DataFrame:
    rows = [(b, u, h, speed) for b in ("A", "B") for u, h in zip((0, 10), hard, strict=True)]
    return pd.DataFrame(rows, columns=["ball", "games", "h", "v"])


def test_the_patch_is_a_ratio_to_where_the_study_began(judged: Judge, one: One) -> None:
    """Five points softer: area × 1.198 (Qi et al. 2003 in Hertz; own arithmetic)."""
    claims = one("{kind: not-testable, because: taste}")
    j = judged(claims, frame([75, 70], 17), head=HEAD.replace("KIND", "contact-patch"))
    curve = j.figure("f").yardstick
    assert curve is not None
    assert (curve.x[0], curve.x[-1], curve.reference) == (70, 75, 75)
    assert curve.y[0] == pytest.approx(1.198, abs=5e-4)
    assert curve.y[-1] == pytest.approx(1.0)


def test_no_curve_where_the_formula_does_not_reach(judged: Judge, one: One) -> None:
    claims = one("{kind: not-testable, because: taste}")
    j = judged(claims, frame([90, 88], 17), head=HEAD.replace("KIND", "contact-patch"))
    assert j.figure("f").yardstick is None


def test_roll_out_takes_the_speed_that_was_measured(judged: Judge, one: One) -> None:
    """8 m/s and μ = .2 give 7.991 m (Hopkins & Patterson 1977; own arithmetic)."""
    claims = one("{kind: not-testable, because: taste}")
    speed = 8 / 0.44704
    j = judged(claims, frame([75, 70], speed), head=HEAD.replace("KIND", "roll-out"))
    curve = j.figure("f").yardstick
    assert curve is not None
    assert curve.y[curve.x.index(0.2)] * 0.3048 == pytest.approx(7.991, abs=1e-3)


def test_the_words_say_that_it_is_no_verdict(judged: Judge, one: One) -> None:
    claims = one("{kind: not-testable, because: taste}")
    for kind in ("contact-patch", "roll-out"):
        j = judged(claims, frame([75, 70], 17), head=HEAD.replace("KIND", kind))
        words = say(j).figures["f"].yardstick
        assert words is not None
        assert "A formula, not a reading." in words.looking_at
        assert "It judges no claim on this page." in words.shows
