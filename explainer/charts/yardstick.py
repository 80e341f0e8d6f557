"""The physics yardstick: one smooth curve, labelled as a formula and not as data."""

from __future__ import annotations

from explainer.charts import axis, style
from explainer.charts.axis import Axis
from explainer.charts.callouts import callouts
from explainer.charts.display_list import DATA, DisplayList
from explainer.charts.frame import frame
from explainer.charts.style import WIDE, Canvas
from explainer.claims.figure_data import Yardstick
from explainer.words.said import FigureWords

#: A lane from foul line to head pin, in feet (common practice, no source).
LANE_FEET = 60.0


def draw_yardstick(curve: Yardstick, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The curve on a sheet; dashed, for it is worked out and not measured."""
    if curve.kind == "roll-out":
        shown = [(x, y) for x, y in zip(curve.x, curve.y, strict=True) if y <= 2 * LANE_FEET]
        y_axis: Axis = axis.fit([0.0, *(y for _, y in shown), LANE_FEET], 0.05)
    else:
        shown = list(zip(curve.x, curve.y, strict=True))
        y_axis = axis.fit([*(y for _, y in shown), 1.0], 0.08)
    made = frame(sheet, words, axis.fit([x for x, _ in shown], 0.03), y_axis)
    level = LANE_FEET if curve.kind == "roll-out" else 1.0
    across = made.points([made.x.low, made.x.high], [level, level])
    made.plate.line(across, "muted", style.THIN, (2, 3), DATA)
    spots = made.points([x for x, _ in shown], [y for _, y in shown])
    made.plate.line(spots, "ink", 1.8, (6, 3), DATA)
    made.ink.add_line(spots, 3)
    callouts(made, words)
    return made.plate
