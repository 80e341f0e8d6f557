"""Rolling and contact against closed forms, an integrated equation of motion and printed ones."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from explainer.analysis import physics
from explainer.study.derive import entry_angle
from explainer.units import BOARD_INCHES


def integrate(speed, friction, forward_spin, side_spin, k=0.4, g=physics.GRAVITY):
    """Newton's equations of a sliding ball, until the slip is gone: t, x, y and final angle."""

    def moves(_, s):
        _, _, vx, vy, wx, wy = s
        ux, uy = vx - wx, vy - wy
        size = math.hypot(ux, uy)
        ax, ay = -friction * g * ux / size, -friction * g * uy / size
        return [vx, vy, ax, ay, -ax / k, -ay / k]

    def rolls(_, s):
        return math.hypot(s[2] - s[4], s[3] - s[5]) - 1e-6

    rolls.terminal = True
    start = [0, 0, speed, 0, forward_spin, side_spin]
    run = solve_ivp(moves, (0, 60), start, events=rolls, rtol=1e-11, atol=1e-12, max_step=0.01)
    x, y, vx, vy = run.y[:4, -1]
    return run.t[-1], x, y, math.degrees(math.atan2(vy, vx))


def test_distance_without_spin():
    # 12v²/(49μg) for a solid sphere (e.g. Hopkins & Patterson 1977); figures computed here.
    assert physics.rolling_distance(8, 0.2) == pytest.approx(12 * 64 / (49 * 0.2 * 9.80665))
    assert physics.rolling_distance(8, 0.2) == pytest.approx(7.991, abs=5e-4)
    assert physics.rolling_distance(8, 0.04) == pytest.approx(39.96, abs=5e-3)
    assert physics.roll_out(8, 0.2).speed == pytest.approx(5 * 8 / 7)


def test_hook_against_the_equation_of_motion():
    end = physics.roll_out(8, 0.1, forward_spin=4, side_spin=3)
    assert end.time == pytest.approx(1.45674, abs=5e-6)
    assert (end.forward, end.side) == pytest.approx((10.8215, 0.62432), abs=5e-5)
    assert end.angle == pytest.approx(7.1250, abs=5e-5)
    assert integrate(8, 0.1, 4, 3) == pytest.approx(
        (end.time, end.forward, end.side, end.angle), rel=1e-5
    )


def test_friction_moves_the_turn_but_not_its_angle():
    for mu in (0.05, 0.2):
        assert integrate(8, mu, 3, 2)[3] == pytest.approx(
            physics.roll_out(8, mu, 3, 2).angle, rel=1e-5
        )


def test_modulus():
    # log₁₀E = .0235·S − .6403 (Qi, Joyce & Boyce 2003), S = Shore D + 50; computed here.
    assert physics.modulus(60) == pytest.approx(88.04, abs=5e-3)
    assert physics.modulus(75) == pytest.approx(198.24, abs=5e-3)


def test_five_points_softer():
    assert physics.contact_radius_ratio(70, 75) == pytest.approx(1.094, abs=5e-4)
    assert physics.contact_area_ratio(70, 75) == pytest.approx(1.198, abs=5e-4)


def test_entry_angle_of_seven_boards_in_three_metres():
    # 7 boards of 27 mm per 3 m: atan(.189/3) = 3.6049° (computed here; illustrative width).
    boards = 7 * 27 / 25.4 / BOARD_INCHES
    feet = np.array([0.0, 3 / 0.3048])
    assert entry_angle(feet, np.array([10, 10 + boards])) == pytest.approx(3.6049, abs=5e-5)
