"""The markers: corners in radii from the centre, y downwards, of about the same area each."""

from __future__ import annotations

from explainer.charts.style import Shape

#: The circle has no corners and is drawn as one by each renderer.
CORNERS: dict[Shape, tuple[tuple[float, float], ...]] = {
    "square": ((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)),
    "triangle": ((0, -1.25), (1.15, 0.8), (-1.15, 0.8)),
    "diamond": ((0, -1.3), (1.15, 0), (0, 1.3), (-1.15, 0)),
    "wedge": ((0, 1.25), (-1.15, -0.8), (1.15, -0.8)),
    "cross": (
        (-0.4, -1.2), (0.4, -1.2), (0.4, -0.4), (1.2, -0.4), (1.2, 0.4), (0.4, 0.4),
        (0.4, 1.2), (-0.4, 1.2), (-0.4, 0.4), (-1.2, 0.4), (-1.2, -0.4), (-0.4, -0.4),
    ),
    "pentagon": ((0, -1.2), (1.14, -0.37), (0.71, 0.97), (-0.71, 0.97), (-1.14, -0.37)),
    "bar": ((-0.6, -1.3), (0.6, -1.3), (0.6, 1.3), (-0.6, 1.3)),
}  # fmt: skip
