"""Pictures of drawn charts: clean, compressed, photographed; with the true place of every mark."""

from __future__ import annotations

import io

import numpy as np
import pypdfium2
from makers import MAKERS, SHAPES
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from explainer.lift.charts import ReadChart, read_charts
from explainer.lift.pages import page_drawing

Floats = NDArray[np.float64]
KINDS = ("clean", "compressed", "photographed")
SCALE = 2.6


class PicturedChart:
    """A chart as pixels, and where things are on it."""

    def __init__(self, maker: str, shape: str, kind: str) -> None:
        page = pypdfium2.PdfDocument(MAKERS[maker](shape))[0]
        (self.chart,), _ = read_charts(page_drawing(page, 1))
        image = page.render(scale=SCALE).to_pil().convert("RGB")
        points = np.array(page.get_size())
        self._scale = np.array(image.size) / points
        self._map = np.eye(3)
        if kind == "compressed":
            out = io.BytesIO()
            image.save(out, "JPEG", quality=35)
            image = Image.open(out).convert("RGB")
        elif kind == "photographed":
            image = self._photographed(image)
        self.shape, self.image = shape, image

    @property
    def png(self) -> bytes:
        out = io.BytesIO()
        self.image.save(out, "PNG")
        return out.getvalue()

    def _photographed(self, image: Image.Image) -> Image.Image:
        """Seen from the side and a little below, soft, noisy, unevenly lit, compressed."""
        wide, high = image.size
        corners = np.array([(0, 0), (wide, 0), (wide, high), (0, high)], float)
        seen = np.array([(60, 90), (wide * 0.96, 30), (wide * 1.02, high * 0.97),
                         (25, high * 1.06)], float)  # fmt: skip
        self._map = _homography(corners, seen)
        back = _homography(seen, corners)
        size = (int(wide * 1.06), int(high * 1.1))
        flat = tuple((back / back[2, 2]).ravel()[:8])
        photo = image.transform(size, Image.Transform.PERSPECTIVE, flat, Image.Resampling.BICUBIC,
                                fillcolor=(120, 110, 100))  # fmt: skip
        photo = photo.filter(ImageFilter.GaussianBlur(0.8))
        pixels = np.asarray(photo, float)
        light = np.linspace(0.86, 1.04, size[0])[None, :, None]
        noise = np.random.default_rng(7).normal(0, 4, pixels.shape)
        photo = Image.fromarray(np.clip(pixels * light + noise, 0, 255).astype(np.uint8))
        out = io.BytesIO()
        photo.save(out, "JPEG", quality=60)
        return Image.open(out).convert("RGB")

    def places(self, values: Floats) -> Floats:
        """Pixels (n, 2) where values (n, 2) are drawn."""
        x, y = self.chart.x, self.chart.y
        assert x is not None and y is not None
        points = np.array([(x.position(a), y.position(b)) for a, b in values])
        at = np.column_stack([points * self._scale, np.ones(len(points))]) @ self._map.T
        return at[:, :2] / at[:, 2:]

    def at_points(self, points: Floats) -> Floats:
        """Pixels of places given in points of the page."""
        at = np.column_stack([np.asarray(points) * self._scale, np.ones(len(points))]) @ self._map.T
        return at[:, :2] / at[:, 2:]

    def truth(self) -> dict[str, Floats]:
        return {name: np.array([row[:2] for row in rows], float)
                for name, rows in SHAPES[self.shape].items()}  # fmt: skip


def _homography(given: Floats, target: Floats) -> Floats:
    rows, right = [], []
    for (x, y), (u, v) in zip(given, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(right)), 1).reshape(3, 3)


def careful_reading(picture: PicturedChart, kind: str, seed: int, hand: float = 0.6) -> dict:
    """What a careful person's clicks send to the desk: each off by a pixel or so, then snapped.

    The ends of the axes are set at their first and last ticks; a photo's corners at the plot's.
    """
    from explainer.lift.reading import snapped

    rng = np.random.default_rng(seed)
    chart = picture.chart
    assert chart.x is not None and chart.y is not None

    def click(at: Floats) -> list[float]:
        return [float(v) for v in np.asarray(at) + rng.normal(0, hand, 2)]

    x, y, area = chart.x, chart.y, chart.area
    x_at = picture.at_points([(t[0], x.line) for t in (x.ticks[0], x.ticks[-1])])
    y_at = picture.at_points([(y.line, t[0]) for t in (y.ticks[0], y.ticks[-1])])
    corners = [(area.left, area.top), (area.right, area.top), (area.right, area.bottom),
               (area.left, area.bottom)]  # fmt: skip
    pixels = np.asarray(picture.image)
    series = []
    for name, values in picture.truth().items():
        marks = []
        for at in picture.places(values):
            spot = tuple(click(at))
            found = snapped(pixels, spot)
            # Somebody who looks takes back a snap that jumps to another mark.
            good = found is not None and np.hypot(*(np.array(found) - spot)) < 3.5
            marks.append({"at": list(found) if good else list(spot), "snapped": bool(good)})
        series.append({"name": name, "marks": marks, "again": []})
    return {
        "x": {"places": [click(p) for p in x_at], "low": x.ticks[0][1], "high": x.ticks[-1][1],
              "scale": x.scale},
        "y": {"places": [click(p) for p in y_at], "low": y.ticks[0][1], "high": y.ticks[-1][1],
              "scale": y.scale},
        "corners": [click(p) for p in picture.at_points(corners)] if kind == "photographed" else [],
        "series": series, "xTitle": "games", "yTitle": "hook (boards)", "figure": "Figure 4",
    }  # fmt: skip


def picture_errors(chart: ReadChart, true: dict[str, Floats], read: list[Floats]) -> list[float]:
    """The error of each mark as a share of the axis' length, the larger of x and y."""
    assert chart.x is not None and chart.y is not None
    wide, high = chart.area.width, chart.area.height
    found = []
    for rows, values in zip(true.values(), read, strict=True):
        for (tx, ty), (rx, ry) in zip(rows, values, strict=True):
            dx = abs(chart.x.position(rx) - chart.x.position(tx)) / wide
            dy = abs(chart.y.position(ry) - chart.y.position(ty)) / high
            found.append(float(max(dx, dy)))
    return found
