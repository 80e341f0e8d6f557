"""What stands in place of too many points."""

from __future__ import annotations

import numpy as np

from explainer.charts.columns import swarm
from explainer.charts.downsample import density, ranges


def test_ranges_lose_neither_the_lowest_nor_the_highest() -> None:
    rng = np.random.default_rng(4)
    x, y = rng.permutation(1000).astype(float), rng.standard_normal(1000)
    found = ranges(x, y, 30)
    assert found.low.min() == y.min()
    assert found.high.max() == y.max()
    assert len(found.x) * found.each >= 1000
    assert (np.diff(found.x) > 0).all()
    first = y[np.argsort(x)][: found.each]
    assert (found.low[0], found.middle[0], found.high[0]) == (
        first.min(), np.median(first), first.max(),
    )  # fmt: skip


def test_density_counts_every_point_once() -> None:
    places = np.array([(1.0, 1.0), (2.0, 2.0), (20.0, 1.0)])
    cells, counts = density(places, 7.0)
    assert counts.sum() == 3
    assert dict(zip(map(tuple, cells.tolist()), counts.tolist(), strict=True)) == {
        (3.5, 3.5): 2.0, (17.5, 3.5): 1.0,
    }  # fmt: skip


def test_equal_values_stand_side_by_side() -> None:
    shifts = swarm(np.array([5.0, 5.0, 5.0, 50.0]), 4.0)
    assert sorted(shifts[:3].tolist()) == [-4.0, 0.0, 4.0]
    assert shifts[3] == 0.0


def test_dots_as_many_as_there_may_be_and_all_alike() -> None:
    """A thousand readings of one value once took minutes: each dot tried each place with each."""
    shifts = swarm(np.full(1_000, 5.0), 4.0)
    assert sorted((shifts / 4.0).tolist()) == list(range(-499, 501))


def test_no_two_dots_touch_and_each_lies_as_far_in_as_it_can() -> None:
    rng = np.random.default_rng(6)
    heights, step = rng.normal(0.0, 9.0, 90), 3.0
    shifts, lower = swarm(heights, step), np.argsort(heights, kind="stable")
    for n, index in enumerate(lower):
        near = [k for k in lower[:n] if heights[index] - heights[k] < step]
        taken = {round(shifts[k] / step) for k in near}
        inner = [s for s in range(-90, 90) if (abs(s), -s) < (abs(mine := round(
            shifts[index] / step)), -mine)]  # fmt: skip
        assert round(shifts[index] / step) not in taken and taken >= set(inner)
