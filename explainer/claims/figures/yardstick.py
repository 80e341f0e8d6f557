"""The physics yardstick a study may ask for beside a figure: a curve from a formula, no verdict.

``contact-patch``: the area of the ball's contact with the lane against hardness, as a ratio to the
study's first reading (Hertz contact, Qi et al. 2003).  ``roll-out``: how far a ball thrown without
spin slides before it rolls, against friction (Hopkins & Patterson 1977).
"""

from __future__ import annotations

import numpy as np

from explainer import units
from explainer.analysis.physics import SHORE_D_RANGE, contact_area_ratio, rolling_distance
from explainer.claims import evidence
from explainer.claims.figure_data import Yardstick
from explainer.study.description.figures import AnyFigure
from explainer.study.model import Study

#: Friction of an oiled lane up to a dry one (values for drawing; common practice, no source).
FRICTION = (0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15, 0.2, 0.25, 0.3)
#: Ball speed where the study measured none, in miles an hour (common practice, no source).
USUAL_SPEED = 17.0
METERS_TO_FEET = 1 / 0.3048


def yardstick(study: Study, figure: AnyFigure) -> Yardstick | None:
    """The curve asked for; None where none is, or where the study lacks what it needs."""
    if figure.yardstick == "contact-patch":
        return _contact_patch(study)
    if figure.yardstick == "roll-out":
        return _roll_out(study)
    return None


def _contact_patch(study: Study) -> Yardstick | None:
    """Over the study's own range of Shore D, against the mean of its first readings."""
    found = _measure(study, "Shore D")
    if found is None:
        return None
    name, values, first = found
    low, high = max(values.min(), SHORE_D_RANGE[0]), min(values.max(), SHORE_D_RANGE[1])
    if not low < high or not SHORE_D_RANGE[0] <= first <= SHORE_D_RANGE[1]:
        return None
    across = np.linspace(low, high, 13)
    ratios = [contact_area_ratio(float(d), first) for d in across]
    return Yardstick(
        "contact-patch", name, tuple(across.tolist()), tuple(r or 0.0 for r in ratios), first
    )


def _roll_out(study: Study) -> Yardstick:
    """At the study's mean ball speed, else at a usual one."""
    found = _measure(study, "mph")
    speed = float(found[1].mean()) if found else USUAL_SPEED
    meters = float(units.convert(speed, "mph", "m/s"))
    feet = [rolling_distance(meters, mu) * METERS_TO_FEET for mu in FRICTION]
    return Yardstick("roll-out", found[0] if found else "", FRICTION, tuple(feet), speed)


def _measure(study: Study, unit: str) -> tuple[str, evidence.Floats, float] | None:
    """The first measure in ``unit``: its item means, and the mean where use begins."""
    for name, measure in study.description.measures.items():
        if units.canonical(measure.unit) != units.canonical(unit):
            continue
        for table in study.tables.values():
            if name in table.measures and table.mean_of is None:
                start = table.checkpoints[0] if table.use and table.checkpoints else None
                every = table.frame[name].to_numpy(dtype=float)
                known = every[np.isfinite(every)]
                begin = evidence.at(table, name, start).values
                if known.size and begin.size:
                    return name, known, float(begin.mean())
    return None
