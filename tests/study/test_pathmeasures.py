import math

import numpy as np
import pytest

from explainer.study.derive import (
    PathError,
    board_at,
    breakpoint_feet,
    entry_angle,
    total_hook,
)
from explainer.units import BOARD_INCHES

FEET = np.array([0, 5, 10, 15, 30, 40, 50, 60.0])
BOARDS = np.array([20, 18, 16, 14, 8, 6, 10, 17.0])


def test_hook_is_measured_from_the_launch_line():
    # Launched at .4 boards a foot towards the gutter, the line would reach board −4 at 60 feet;
    # the ball ends on 17.
    assert total_hook(FEET, BOARDS, (0.0, 15.0)) == pytest.approx(21)


def test_a_straight_ball_does_not_hook():
    assert total_hook(FEET, 20 - 0.2 * FEET, (0.0, 15.0)) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("n", "launch"), [(4, (0.0, 15.0)), (8, (0.0, 4.0)), (8, (0.0, 60.0))])
def test_paths_too_short_for_a_hook(n, launch):
    with pytest.raises(PathError, match="point"):
        total_hook(FEET[:n], BOARDS[:n], launch)


def test_entry_angle_over_the_last_segment():
    across, along = 7 * BOARD_INCHES, 120
    assert entry_angle(FEET, BOARDS) == pytest.approx(math.degrees(math.atan2(across, along)))
    with pytest.raises(PathError, match="2 points"):
        entry_angle(FEET[:1], BOARDS[:1])


def test_breakpoint_is_the_outermost_point():
    assert breakpoint_feet(FEET, BOARDS) == 40
    # Counted from the other side, the same ball has the same breakpoint.
    assert breakpoint_feet(FEET, 40 - BOARDS) == 40
    with pytest.raises(PathError, match="3 points"):
        breakpoint_feet(FEET[:2], BOARDS[:2])


def test_board_between_the_points_and_never_beyond():
    assert board_at(FEET, BOARDS, 45) == 8
    assert board_at(FEET, BOARDS, 60) == 17
    for outside in (-0.1, 60.1):
        with pytest.raises(PathError, match="both sides"):
            board_at(FEET, BOARDS, outside)
