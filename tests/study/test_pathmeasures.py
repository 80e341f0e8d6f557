import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explainer.study.pathmeasures import (
    BOARD_INCHES,
    Breakpoint,
    board_at,
    breakpoint_of,
    entry_angle,
    launch_line,
    total_hook,
)

FEET = [0, 5, 10, 15, 30, 40, 50, 60]
BOARDS = [20, 18, 16, 14, 8, 6, 10, 17]


def test_hook_is_measured_from_the_launch_line():
    assert launch_line(FEET, BOARDS) == pytest.approx((-0.4, 20))
    # The line would reach board −4 at 60 feet; the ball ends on 17.
    assert total_hook(FEET, BOARDS) == pytest.approx(21)


def test_a_straight_ball_does_not_hook():
    assert total_hook(FEET, [20 - 0.2 * f for f in FEET]) == pytest.approx(0, abs=1e-9)


def test_entry_angle_over_the_last_segment():
    across, along = 7 * BOARD_INCHES, 120
    assert entry_angle(FEET, BOARDS) == pytest.approx(math.degrees(math.atan2(across, along)))


def test_breakpoint_is_only_as_fine_as_the_points():
    assert breakpoint_of(FEET, BOARDS) == Breakpoint(40, 6, 10)
    assert breakpoint_of([0, 30, 35, 60], [20, 10, 8, 15]) == Breakpoint(35, 8, 25)


def test_a_ball_that_never_turns_has_no_breakpoint():
    assert breakpoint_of(FEET, range(8)) is None
    assert breakpoint_of(FEET, range(8, 0, -1)) is None
    assert breakpoint_of([0, 60], [20, 10]) is None


def test_board_between_and_outside_the_points():
    assert board_at(FEET, BOARDS, 45) == 8
    assert board_at(FEET, BOARDS, 60) == 17
    assert board_at(FEET, BOARDS, 60.1) is None
    assert board_at([], [], 10) is None


@given(st.permutations(range(8)))
def test_the_order_of_rows_does_not_matter(order):
    feet, boards = np.array(FEET)[list(order)], np.array(BOARDS)[list(order)]
    assert total_hook(feet, boards) == pytest.approx(21)
    assert breakpoint_of(feet, boards) == Breakpoint(40, 6, 10)


def test_gaps_and_repeats():
    feet = [*FEET, 50, 55]
    boards = [*BOARDS, 12, np.nan]
    assert board_at(feet, boards, 50) == 11
    assert total_hook(feet, boards) == pytest.approx(21)


@pytest.mark.parametrize(
    ("feet", "boards"),
    [([], []), ([0], [20]), ([0, 0, 60], [20, 21, 5]), ([20, 40], [10, 5]), ([0, 10], [20, 18])],
)
def test_paths_too_short_for_a_hook(feet, boards):
    assert total_hook(feet, boards) is None


def test_no_angle_from_one_point():
    assert entry_angle([60], [17]) is None
    assert entry_angle([60, 60], [17, 18]) is None


def test_arrays_that_do_not_match():
    with pytest.raises(ValueError, match="one board"):
        board_at([1, 2], [1], 1)
