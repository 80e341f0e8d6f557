"""``rates``: successes out of attempts, pooled per condition and for each who did both."""

from __future__ import annotations

import numpy as np

from explainer.charts import axis, fonts, style
from explainer.charts.axis import Axis
from explainer.charts.callouts import callouts
from explainer.charts.columns import columns, mean_with_range, told_apart
from explainer.charts.display_list import DATA, SUMMARY, DisplayList, Text
from explainer.charts.frame import Frame, knocked_out
from explainer.charts.names import Named, names_beside
from explainer.charts.style import SMALL, WIDE, Canvas, Look, Role, series
from explainer.claims.figure_data import CROWD, Rate, RatesData
from explainer.claims.verdict import FigureResult
from explainer.words.quantity.numbers import percent
from explainer.words.said import FigureWords

MANY = 8
"""Of more people than this, each is the same plain line."""


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet, in per cent; ``result.data`` is a ``RatesData``."""
    data: RatesData = result.data
    below = [_totals(rate) for rate in data.pooled] if sheet.phone else ()
    made = columns(
        sheet, words, [rate.name for rate in data.pooled], _scale(data), below=below
    )
    names_beside(made, [(_pairs(made, data), float(made.across(0)) - 30)])
    # Who bowled under both is the fair comparison, so where there are pairs, they stand out.
    role, weight = ("muted", 0.5) if data.within else ("ink", 1.0)
    if data.within and len(data.pooled) > 1:
        # The two totals joined: which way all of them together go, against each on its own.
        ends = made.points(list(range(len(data.pooled))), [100 * r.rate for r in data.pooled])
        made.plate.line(ends, "muted", style.LINE, (1.4, 2.6), SUMMARY)
        made.ink.add_line(ends, 2)
    for index, rate in enumerate(data.pooled):
        x = float(made.across(index))
        low, high = (None if end is None else 100 * end for end in (rate.low, rate.high))
        mean_with_range(made, x, 100 * rate.rate, low, high, 9, role, weight)
    for index, rate in enumerate(() if sheet.phone else data.pooled):
        _counts(made, float(made.across(index)), rate, role)
    callouts(made, words)
    return made.plate


def _scale(data: RatesData) -> Axis:
    """Room for every rate and range, never past 0 and 100 per cent by more than a hair."""
    shown = [rate for _, own in data.within for rate in own]
    values = [100 * rate.rate for rate in (*data.pooled, *shown)]
    ranges = [100 * v for rate in data.pooled for v in (rate.low, rate.high) if v is not None]
    plain = axis.fit([*values, *ranges], 0.12)
    low, high = max(plain.low, -3.0), min(plain.high, 103.0)
    return Axis(low, high, tuple(t for t in axis.round_ticks(low, high) if 0 <= t <= 100))


def _pairs(made: Frame, data: RatesData) -> list[Named]:
    """Each one's own rates, joined; gives their names at the first."""
    starts = []
    told = told_apart([who for who, _ in data.within], 0.0)
    most = max((rate.attempts for _, own in data.within for rate in own), default=1) or 1
    for index, (who, own) in enumerate(data.within):
        look = series(index) if len(data.within) <= MANY else Look("s1", "circle", ())
        spots = made.points(list(range(len(own))), [100 * rate.rate for rate in own])
        spots[:, 0] += -16 + 4 * (index % 3 - 1)
        width = style.LINE * (1.8 if who in data.turned else 1.0)
        width = min(width, style.THIN) if len(data.within) > CROWD else width
        made.plate.line(spots, look.role, width, look.dash, DATA)
        before = len(data.pooled) + index * len(own)
        for i, rate in enumerate(own):
            # As large as its attempts are many, by area, so that who weighs most is seen.
            radius = max(1.3, 1.9 * style.DOT * (rate.attempts / most) ** 0.5)
            made.plate.dots(
                spots[i : i + 1], look.shape, radius, look.role, "paper", 0.4,
                cells=[(before + i, 0)],
            )  # fmt: skip
        made.ink.add_line(spots, 2)
        made.ink.add_points(spots, 8)
        starts.append(Named(told[index], (float(spots[0, 0]), float(spots[0, 1])), look.role))
    return starts


def _totals(rate: Rate) -> tuple[str, str]:
    """What the rate is a share of, in two lines."""
    return f"all: {percent(rate.rate)}", f"{rate.successes} of {rate.attempts}"


def _counts(made: Frame, x: float, rate: Rate, role: Role) -> None:
    """What the rate is a share of, beside its range: where ink is least, and next to its bar."""
    text = ", ".join(_totals(rate))
    wide = fonts.width(text, SMALL, "sans-bold")
    sides = (min(x + 17, made.area.right - wide), x - 17 - wide)
    low, high = (rate.rate if end is None else end for end in (rate.low, rate.high))
    shares = [rate.rate, *np.linspace(low, high, 9).tolist()]
    shares.sort(key=lambda share: abs(share - rate.rate))
    spots = [
        (left, float(made.up(100 * share)) + 0.33 * SMALL)
        for left in sides if left >= made.area.left for share in shares
    ]  # fmt: skip

    def under(spot: tuple[float, float]) -> float:
        return made.ink.under(Text(*spot, text, SMALL, "sans-bold", role, "start", SUMMARY).box)

    left, y = min(spots, key=under)  # of equals, the first
    knocked_out(made, left, y, text, SMALL, role, step=SUMMARY, face="sans-bold")
