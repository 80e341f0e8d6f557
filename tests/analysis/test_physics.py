import math

import pytest
from hypothesis import given, strategies as st

from explainer.analysis import physics

speeds = st.floats(2, 12)
spins = st.floats(0.0, 8)
frictions = st.floats(0.01, 0.4)


@given(speeds, frictions, spins, spins)
def test_the_angle_knows_no_friction(v, mu, forward, side):
    end = physics.roll_out(v, mu, forward, side)
    assert end.angle == pytest.approx(math.degrees(math.atan2(0.4 * side, v + 0.4 * forward)))


@given(speeds, frictions, spins, spins)
def test_angular_momentum_about_the_floor_is_kept(v, mu, forward, side):
    # Friction acts at the floor, so m(v + k·Rω) about it is the same at release and at rolling.
    end = physics.roll_out(v, mu, forward, side)
    angle = math.radians(end.angle)
    assert 1.4 * end.speed * math.cos(angle) == pytest.approx(v + 0.4 * forward)
    assert 1.4 * end.speed * math.sin(angle) == pytest.approx(0.4 * side, abs=1e-9)


@given(speeds, frictions, spins, spins)
def test_twice_the_friction_half_the_way(v, mu, forward, side):
    one, two = physics.roll_out(v, mu, forward, side), physics.roll_out(v, 2 * mu, forward, side)
    assert one.forward == pytest.approx(2 * two.forward)
    assert one.side == pytest.approx(2 * two.side)


def test_a_rolling_ball_goes_straight_from_the_start():
    end = physics.roll_out(8, 0.1, forward_spin=8)
    assert (end.time, end.forward, end.side, end.angle) == (0, 0, 0, 0)
    assert end.speed == pytest.approx(8)


@pytest.mark.parametrize(
    "bad", [{"friction": 0.0}, {"inertia": 0.0}, {"gravity": 0.0}, {"gravity": -1.0}]
)
def test_no_physics_without_friction(bad):
    with pytest.raises(ValueError, match="positive"):
        physics.roll_out(**{"speed": 8.0, "friction": 0.1, **bad})


def test_hardness_outside_the_formula_has_no_modulus():
    assert physics.modulus(29.9) is None
    assert physics.modulus(85.1) is None
    assert physics.contact_radius_ratio(90, 75) is None
    assert physics.contact_area_ratio(75, 20) is None


@given(st.floats(30, 85), st.floats(30, 85))
def test_only_the_difference_of_hardness_counts(a, b):
    area = physics.contact_area_ratio(a, b)
    assert area == pytest.approx(10 ** (0.0235 * (b - a) * 2 / 3))
    assert area == pytest.approx(physics.contact_radius_ratio(a, b) ** 2)
