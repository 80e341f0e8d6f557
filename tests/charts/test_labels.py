"""Label placement: spread along a line, or in the emptiest spot."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import given, settings, strategies as st

from explainer.charts.display_list import Box, DisplayList
from explainer.charts.labels import InkMap, overlaps, spread

HEIGHTS = st.lists(st.floats(0, 200), min_size=1, max_size=15)


@given(HEIGHTS)
@settings(max_examples=60, deadline=None)
def test_spread_labels_keep_their_gap_their_order_and_their_bounds(wanted: list[float]) -> None:
    places = spread(wanted, 10, 0, 200)
    inner = sorted(places)
    assert all(b - a >= 10 - 1e-6 for a, b in pairwise(inner))
    assert inner[0] >= -1e-9
    assert inner[-1] <= 200 + 1e-9
    by_place = [wanted[i] for i in np.argsort(places, kind="stable")]
    assert by_place == sorted(wanted)


def test_labels_with_room_stay_where_they_are() -> None:
    assert spread([10, 50, 90], 10, 0, 100) == [10, 50, 90]


def test_two_equal_labels_part_evenly() -> None:
    assert spread([50, 50], 10, 0, 100) == [45, 55]


def test_more_labels_than_room_share_what_there_is() -> None:
    assert spread([5] * 11, 20, 0, 100) == [float(10 * n) for n in range(11)]


def test_a_note_avoids_the_ink_and_stays_near() -> None:
    ink = InkMap(200, 100)
    ink.add_line(np.array([(0.0, 50.0), (200.0, 50.0)]), 5)
    spot = ink.place(40, 10, (100, 50), Box(0, 0, 200, 100))
    assert spot is not None
    assert not spot.box.meets(Box(0, 49, 200, 51))
    assert abs((spot.box.left + spot.box.right) / 2 - 100) < 40


def test_a_note_that_must_cover_words_says_that_it_is_not_free() -> None:
    ink = InkMap(60, 30)
    ink.block(Box(0, 0, 60, 30))
    spot = ink.place(40, 10, (30, 15), Box(0, 0, 60, 30))
    assert spot is not None
    assert not spot.free


def test_a_note_larger_than_its_room_finds_none() -> None:
    assert InkMap(60, 30).place(80, 10, (0, 0), Box(0, 0, 60, 30)) is None


def test_overlaps_finds_what_touches_and_what_leaves_the_paper() -> None:
    plate = DisplayList(100, 50)
    plate.text(10, 20, "one", 10)
    plate.text(15, 22, "two", 10)
    plate.text(90, 40, "outside", 10)
    plate.text(10, 45, "free", 10)
    assert overlaps(plate) == ["'one' overlaps 'two'", "'outside' leaves the paper"]
